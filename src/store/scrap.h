/* store/scrap.h: photos and the scraps that were found in them. */
#pragma once

#include "colour/signature.h"
#include "scrap/outline.h"
#include "store/change.h"

/** A photo with what was measured in it. */
typedef struct store_photo {
    int64_t id, added; /* given by the book */
    char *sha256; /* of the original file, 64 hexadecimal digits; one photo of each */
    char *name;   /* of the original file */
    int width, height;          /* of the original, upright, in pixels */
    int64_t taken;              /* or 0: not known */
    int64_t source;             /* or 0 */
    int64_t plan;               /* picture: the true-scale plan; or 0 */
    length plan_left, plan_top; /* where its upper left corner lies on the mat */
    double plan_pixels_per_in;
    int card_tags;        /* tags seen */
    double card_error_in; /* remaining error of the card's corners */
    double pixels_per_in; /* of the original, at the card */
    char *warnings;       /* JSON list of {code, message}; or NULL */
    char *geometry; /* JSON, as app writes it: how the camera saw the mat; or NULL */
} store_photo;

void store_photo_clear(store_photo *photo);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(store_photo, store_photo_clear)

/**
 * Keeps a photo. id, added and plan of the struct are ignored.
 *
 * @plan  JPEG of the true-scale plan, or NULL
 *
 * Errors: store.photo-known when a photo of that sha256 is kept already.
 */
gboolean store_photo_add(store_change *change, const store_photo *photo, GBytes *plan,
                         int64_t *ret_id, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** One photo; store.unknown when there is none. */
gboolean store_photo_get(store_book *book, int64_t photo, store_photo *ret_photo,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The id of the photo with this hash; 0 (and TRUE) when there is none. */
gboolean store_photo_find(store_book *book, const char *sha256, int64_t *ret_id,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_photo, newest first, with an id below `before` (0: from the end), at
 * most `limit` (0: all). */
gboolean store_photo_list(store_book *book, int64_t before, int limit,
                          GArray **ret_photos, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Other remarks on a photo: JSON list, or NULL. Errors: store.unknown. */
gboolean store_photo_set_warnings(store_change *change, int64_t photo,
                                  const char *warnings,
                                  GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Removes a photo and its scraps. The ledger stays. Errors: store.unknown. */
gboolean store_photo_remove(store_change *change, int64_t photo,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** An outline with its own memory. */
typedef struct store_outline store_outline;

const scrap_outline *store_outline_view(const store_outline *outline);
store_outline *store_outline_copy(const scrap_outline *outline);
void store_outline_free(store_outline *outline);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(store_outline, store_outline_free)

/** The text that the book keeps: [[[x,y],...],[hole],...] in 1/8128 in. g_free() it. */
char *store_outline_write(const scrap_outline *outline);

/** Reads such a text. NULL when it is not one. */
store_outline *store_outline_read(const char *text);

typedef enum store_scrap_state {
    STORE_SCRAP_LYING, /* not yet cut */
    STORE_SCRAP_CUT,
    STORE_SCRAP_THROWN
} store_scrap_state;

typedef struct store_scrap {
    int64_t id;
    int64_t photo;          /* or 0: entered by hand */
    int number;             /* in the photo, from 1 */
    int64_t fabric;         /* as it counts now; or 0 */
    int64_t source;         /* or 0 */
    store_outline *outline; /* as mended where she mended it, else as found */
    bool mended;            /* she mended it */
    int64_t area;           /* of the outline, in square lengths (1/8128 in squared) */
    double sure;            /* 0 to 1 that it is a scrap */
    bool on_edge;           /* cut off by the edge of the picture */
    store_scrap_state state;
    colour_signature colours; /* worked out; count 0 when there are none yet */
    int value;                /* colour_value of the colours; -1: none yet */
    int64_t again_of;         /* the scrap of another photo that it is seen again; or 0 */
    bool again_sure;          /* else she is asked */
} store_scrap;

void store_scrap_clear(store_scrap *scrap);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(store_scrap, store_scrap_clear)

/** Adds a scrap with its colours (when count is not 0). id is ignored; @ret_id may be
 * NULL. */
gboolean store_scrap_add(store_change *change, const store_scrap *scrap, int64_t *ret_id,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The maker's own outline; it wins over the one found. NULL goes back to that (area is
 * then the found outline's). Errors: store.unknown. */
gboolean store_scrap_mend(store_change *change, int64_t scrap,
                          const scrap_outline *outline, int64_t area,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Which fabric or source it is; 0: not known. Errors: store.unknown. */
gboolean store_scrap_say(store_change *change, int64_t scrap, int64_t fabric,
                         int64_t source, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** It is `of` seen again in another photo, for sure or to be asked; of 0: it is none but
 * itself. When `of` goes out of the book, it is itself again. Errors: store.unknown. */
gboolean store_scrap_again(store_change *change, int64_t scrap, int64_t of, bool sure,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Whether it is a whole scrap after all, 0 to 1. Errors: store.unknown. */
gboolean store_scrap_set_sure(store_change *change, int64_t scrap, double sure,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Errors: store.unknown. */
gboolean store_scrap_set_state(store_change *change, int64_t scrap,
                               store_scrap_state state,
                               GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Removes a scrap that is none. Errors: store.unknown. */
gboolean store_scrap_remove(store_change *change, int64_t scrap,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Colours as worked out (anew). May stand in a quiet change. In one that can be undone
 * they go back with it. */
gboolean store_scrap_set_colours(store_change *change, int64_t scrap,
                                 const colour_signature *colours, colour_value value,
                                 GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** One scrap; store.unknown when there is none. */
gboolean store_scrap_get(store_book *book, int64_t scrap, store_scrap *ret_scrap,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_scrap of a photo, by number. */
gboolean store_scrap_of_photo(store_book *book, int64_t photo, GArray **ret_scraps,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_scrap in a state, oldest first, with an id above `after`, at most
 * `limit` (0: all). Those that are surely another one seen again are not among them. */
gboolean store_scrap_list(store_book *book, store_scrap_state state, int64_t after,
                          int limit, GArray **ret_scraps,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;
