/* shade.h: how light each fabric is, and its main colour.
 *
 * What a document over many years wants of twenty thousand fabrics: a tenth of what
 * store_look_list() reads of each. */
#pragma once

#include "colour/lab.h"
#include "store/book.h"

#include <stdbool.h>

typedef struct store_shade {
    int64_t fabric;
    int64_t same_as;   /* the fabric that it counts as; 0: itself */
    int value;         /* as in store_fabric */
    bool coloured;     /* whether its colour is known */
    colour_lab colour; /* the first of its first picture */
} store_shade;

/** GArray of store_shade of all fabrics, by fabric; value and colour as store_look_list()
 * gives them. */
gboolean store_shade_list(store_book *book, GArray **ret_shades,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The shade of a fabric as it counts, borrowed from shades, which store_shade_list()
 * gave; NULL when there is none. */
const store_shade *store_shade_find(const GArray *shades, int64_t fabric);
