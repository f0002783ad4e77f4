/* store/design.h: designs of the maker's own, as their text. Those that come with the
 * program are not in the book. */
#pragma once

#include "store/change.h"

typedef struct store_design {
    char *name; /* the file's name without its ending */
    char *text; /* in the format of designs */
} store_design;

void store_design_clear(store_design *design);

/** Keeps a design under its name, in place of what was there. Can be undone. */
gboolean store_design_set(store_change *change, const char *name, const char *text,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Errors: store.unknown. */
gboolean store_design_remove(store_change *change, const char *name,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Its text, free with g_free(); NULL with no error when there is none of that name. */
char *store_design_get(store_book *book, const char *name, GError **error);

/** GArray of store_design by name. */
gboolean store_design_list(store_book *book, GArray **ret_designs,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;
