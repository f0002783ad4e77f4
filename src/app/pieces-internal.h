/* app/pieces-internal.h: the pieces that a request wants cut, and how plans for them are
 * told of. */
#pragma once

#include "outline-internal.h"
#include "scrap-internal.h"
#include "tools-internal.h"

/** One piece to plan: a scrap of the book, or an outline that came with the request. */
typedef struct app_piece {
    store_scrap scrap;    /* id 0 when it isn't of the book */
    store_outline *own;   /* what is planned instead of the scrap's outline; or NULL */
    length width, height; /* of a typed rectangle, its lower left corner at the origin; 0
                             for anything else */
} app_piece;

/** An empty GArray of app_piece, which clears them. */
GArray *app_pieces_new(void);

/** Adds the scrap that an id names. Errors: app.no-scrap; app.scrap-cut for one that was
 * cut or thrown away. */
gboolean app_pieces_add_scrap(app *self, GArray *pieces, const json_t *item,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * GArray of app_piece: what the field rect, outline or scraps names, or all scraps that
 * lie there; without the selvage, where the field says that there is one (true: as wide
 * as her settings say). NULL with an error.
 */
GArray *app_pieces_requested(app *self, const app_call *call, const app_cutting *cutting,
                             GError **error);

/** Borrowed from the piece. */
const scrap_outline *app_piece_outline(const app_piece *self);

/** Adds "outline_in" to a document when there is one piece and it came with the request:
 * a rectangle, or an outline, less its selvage. */
void app_pieces_describe(const GArray *pieces, json_t *document);

/** Adds passes, cuts, turns, handled and minutes to a document. */
void app_describe_effort(const scrap_effort *effort, json_t *document);

/** "keep whole", "squares", "string", "too small". */
const char *app_use_word(scrap_use use);

/** The most valuable mix of the sizes of the field `want` from each piece. */
gboolean app_cut_mixed(app *self, const app_call *call, const app_cutting *cutting,
                       json_t **ret_document, GError **error) G_GNUC_WARN_UNUSED_RESULT;
