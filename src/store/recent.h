/* recent.h: which fabrics the maker has in hand: those used or photographed last. */
#pragma once

#include "store/book.h"

typedef struct store_recent {
    int64_t fabric;
    int64_t same_as; /* the fabric that it counts as; 0: itself */
    int64_t last;    /* when it was put in, sewn, taken or photographed last, or came */
    int64_t squares; /* in the basket, of all units */
} store_recent;

/** GArray of store_recent of all fabrics, by fabric. What is told of a fabric that counts
 * as another is told of that one. Looks no further back than the last 20,000 lines of the
 * ledger and the last 1,000 scraps: before that a fabric stands by when it came. 20,000
 * fabrics take about 30 ms. */
gboolean store_recent_list(store_book *book, GArray **ret_recent,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** For g_array_sort(): those in hand last first; of equals that of which there is most,
 * then the one that came last. */
int store_recent_order(gconstpointer a, gconstpointer b);

/** Of a fabric, borrowed from store_recent_list()'s as it came; NULL when there is none.
 */
const store_recent *store_recent_find(const GArray *recent, int64_t fabric);
