/* app/seen-internal.h: finished blocks as a photo shows them, read against a quilt and
 * the book. */
#pragma once

#include "fabric-internal.h"
#include "laid-internal.h"

#include "colour/match.h"
#include "photo/kinds.h"
#include "photo/photo.h"

enum { APP_CELLS_MAX = PHOTO_BLOCK_SIDE_MAX * PHOTO_BLOCK_SIDE_MAX };

/** One block, read. Cells count in reading order as it lies. */
typedef struct app_seen_block {
    const photo_block *found; /* borrowed from the app_seen */
    photo_reading reading;
    colour_match match[APP_CELLS_MAX][2]; /* the second for triangles, as designed */
    int64_t again;                        /* the block of the quilt that this is, or 0 */
    int again_turn; /* quarter turns clockwise from how that is designed to how it lies */
    double again_sure;
} app_seen_block;

typedef struct app_seen {
    photo_survey survey;
    photo_blocks *blocks;
    photo_background background;
    photo_block_size size;
    int side;
    app_seen_block *block; /* one for each of blocks */
} app_seen;

void app_seen_clear(app_seen *self);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(app_seen, app_seen_clear)

/** Finds the blocks of a quilt in a photo, reads their kinds, matches their patches with
 * the fabrics of the book, and knows those again that were photographed before. Errors:
 * those of photo_survey_load() and photo_survey_by_cards(). */
gboolean app_seen_read(app *self, const app_call *call, const char *path,
                       const store_quilt *quilt, const app_laid *laid, app_seen *ret_seen,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The patch of the design that a cell shows. */
const quilt_patch *app_seen_patch(const app_laid *laid, const app_seen_block *block,
                                  int side, int cell);

/** What the photo shows of a part of that patch. Borrowed. */
const photo_cell *app_seen_part(const app_laid *laid, const app_seen_block *block,
                                int side, int cell, int part);

/** {centre_in, corners_in, corners_px, sides_in, kind, turn, sure}: where a block lies,
 * on the table and in the upright photo, and what it is. */
json_t *app_seen_document(const app_laid *laid, const app_seen *seen,
                          const app_seen_block *block);

/** {width_px, height_px} of the upright photo. */
json_t *app_seen_photo_document(const app_seen *seen);

/** Why a block cannot be counted, as {code, message}; NULL when it can. */
json_t *app_seen_trouble(const app_seen_block *block);

/** Whether a block is one more: it has no trouble and was not known again. */
bool app_seen_counts(const app_seen_block *block);
