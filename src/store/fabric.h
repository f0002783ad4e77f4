/* store/fabric.h: sources and fabrics, their pictures and colours.
 *
 * A source or fabric, once made, keeps its id for ever (the ledger points to it). What
 * the maker says about it can be changed and undone. Signatures are worked out from
 * pictures and may be made anew. */
#pragma once

#include "colour/signature.h"
#include "store/change.h"

typedef enum store_source_kind {
    STORE_SOURCE_QUILT,
    STORE_SOURCE_PURCHASE,
    STORE_SOURCE_GIFT,
    STORE_SOURCE_SWAP,
    STORE_SOURCE_OTHER
} store_source_kind;

typedef struct store_source {
    int64_t id, created;
    char *name;
    store_source_kind kind;
    char *note; /* or NULL */
} store_source;

/** Free the texts with store_source_clear(). */
void store_source_clear(store_source *source);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(store_source, store_source_clear)

/** Adds a source. store.name-taken when one of that name (capitals aside) is there. */
gboolean store_source_add(store_change *change, const char *name, store_source_kind kind,
                          const char *note, int64_t *ret_id,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Changes name, kind and note. Errors: store.unknown, store.name-taken. */
gboolean store_source_say(store_change *change, const store_source *source,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The id of the source of a name, capitals aside. store.unknown when there is none. */
gboolean store_source_find(store_book *book, const char *name, int64_t *ret_id,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_source by name. */
gboolean store_source_list(store_book *book, GArray **ret_sources,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

typedef struct store_fabric {
    int64_t id, created;
    char *name; /* or NULL: she has not named it */
    char *note; /* or NULL */
    int value;  /* colour_value, as she said or as worked out; -1: not known */
    bool value_said;
    int64_t same_as; /* the fabric that she said it is; or 0 */
    int64_t swatch;  /* picture of its first swatch; or 0 */
} store_fabric;

void store_fabric_clear(store_fabric *fabric);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(store_fabric, store_fabric_clear)

/** Makes a fabric. @name may be NULL; @value a colour_value that she said, or -1. */
gboolean store_fabric_add(store_change *change, const char *name, int value,
                          int64_t *ret_id, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Changes name, note and, where value_said, the value (else it is as worked out).
 * Other fields are ignored. Errors: store.unknown. */
gboolean store_fabric_say(store_change *change, const store_fabric *fabric,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** "These are one fabric": from here on `fabric` counts as `as`, and so does all that
 * counted as `fabric`. as 0: takes that back for this fabric alone. Errors:
 * store.unknown. */
gboolean store_fabric_same(store_change *change, int64_t fabric, int64_t as,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** One fabric; store.unknown when there is none. Free with store_fabric_clear(). */
gboolean store_fabric_get(store_book *book, int64_t fabric, store_fabric *ret_fabric,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The id of the fabric of a name, capitals aside (the first made of several).
 * store.unknown when there is none. */
gboolean store_fabric_find(store_book *book, const char *name, int64_t *ret_id,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_fabric with an id above `after`, by id, at most `limit` (0: all). */
gboolean store_fabric_list(store_book *book, int64_t after, int limit,
                           GArray **ret_fabrics,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** What is shown of a fabric, read for many at once. */
typedef struct store_look {
    int64_t fabric;
    char *name; /* or NULL: she has not named it */
    int value;  /* as in store_fabric */
    bool swatch;
    colour_signature colours; /* of its first picture; count 0: none */
} store_look;

void store_look_clear(store_look *look);

/** GArray of store_look by fabric: of all fabrics, or of those with squares in the
 * basket. A thousand take about a millisecond. */
gboolean store_look_list(store_book *book, bool in_basket, GArray **ret_looks,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The look of a fabric in store_look_list()'s, which it borrows from; NULL when there is
 * none. */
const store_look *store_look_find(const GArray *looks, int64_t fabric);

/** GArray of store_look of count fabrics, in their order. store.unknown where there is
 * none of a number. */
gboolean store_look_get(store_book *book, int count, const int64_t *fabrics,
                        GArray **ret_looks, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Adds a swatch, a small JPEG; the first is shown. @ret_picture may be NULL. */
gboolean store_swatch_add(store_change *change, int64_t fabric, GBytes *jpeg,
                          int64_t *ret_picture, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of int64_t: the pictures of a fabric's swatches (and of those said to be the
 * same), the one to show first. */
gboolean store_swatch_list(store_book *book, int64_t fabric, GArray **ret_pictures,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Colours that a fabric is known by; several references a fabric. Worked out: may stand
 * in a quiet change. */
typedef struct store_signature {
    int64_t fabric;           /* as it counts now */
    int value;                /* colour_value */
    colour_signature colours; /* single precision in the book */
} store_signature;

gboolean store_signature_add(store_change *change, int64_t fabric,
                             const colour_signature *colours, colour_value value,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Forgets the signatures of a fabric, to work them out anew; fabric 0: of all. */
gboolean store_signature_forget(store_change *change, int64_t fabric,
                                GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_signature by fabric. fabric 0: all that are in the book. */
gboolean store_signature_list(store_book *book, int64_t fabric, GArray **ret_signatures,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;
