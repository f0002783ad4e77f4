/* app/laid-internal.h: a design laid out at a size, from a request or from a quilt of the
 * book, and the documents that tell of it. */
#pragma once

#include "document-internal.h"
#include "quilt/buy.h"
#include "store/quilt.h"

/** Everything that plans, quilts and shopping lists are made from. */
typedef struct app_laid {
    char *design_name; /* the file's name without its ending */
    char *design_text;
    quilt_design design;
    quilt_layout layout;
    quilt_frame frame;
    quilt_start start;  /* in the repeat, of the top left block */
    bool even;          /* she asked that both edges end alike */
    bool edges_alike;   /* and they do */
    bool covers_cot;    /* asked for by the bed that it covers */
    length mattress[2]; /* her own, as she gave it; or 0 */
    quilt_sizes sizes;
    quilt_count count;
    json_t
        *nearest; /* what a wanted size was rounded to, and the other choice; or NULL */
} app_laid;

void app_laid_clear(app_laid *self);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(app_laid, app_laid_clear)

/** From the fields design, across, down or size or cover with drop and tuck, even, unit,
 * seam, set, sash, cornerstones, border. Errors: design.unknown with the nearest names,
 * those of quilt/. */
gboolean app_laid_from_request(app *self, const app_call *call, app_laid *ret_laid,
                               GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** From a quilt of the book, with the design as it was at the start. */
gboolean app_laid_from_quilt(const store_quilt *quilt, app_laid *ret_laid,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The block of the design that a kind is drawn by. */
const quilt_block *app_laid_block(const app_laid *self, int kind);

/** The square to cut for two half-square triangles of a patch, rounded up to what a ruler
 * shows. */
length app_laid_triangle_cut(const app_laid *self);

/** Squares that a block takes out of the basket: scrap, light and dark. */
int app_laid_basket_squares(const quilt_block *block);

/** Whether a quilt of this size is as small as those that are given to babies. */
bool app_is_of_baby_size(quilt_extent size);

/** Adds the fields of `plan` to a document. */
void app_laid_describe(const app_laid *self, json_t *document);

/** Fills laid->frame, start and nearest from the fields of a request (frame.c). */
gboolean app_frame_requested(app *self, const app_call *call, app_laid *laid,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Sashes of a design that has none of its own are of the background, cornerstones scrap.
 */
void app_frame_sash_default(const quilt_design *design, quilt_frame *frame);

/** What a quilt keeps beside its columns, as JSON, free with g_free(): the start, how
 * blocks are set, roles of sashes and borders. */
char *app_laid_options(const app_laid *self);

/** The quilt that the field "quilt" names. Errors: app.no-quilt. Free with
 *  store_quilt_clear(). */
gboolean app_quilt_requested(app *self, const app_call *call, store_quilt *ret_quilt,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A quilt of the book, or the fields of `plan`: then *ret_quilt is empty, its name NULL.
 * Free with store_quilt_clear() and app_laid_clear(). */
gboolean app_laid_requested(app *self, const app_call *call, app_laid *ret_laid,
                            store_quilt *ret_quilt,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** What `buy` and the shopping sheets are made from: as app_laid_requested(). */
gboolean app_shopping(app *self, const app_call *call, app_laid *ret_laid,
                      store_quilt *ret_quilt, quilt_shopping *ret_shopping,
                      GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The document of a quilt: plan, places, what is made. NULL with an error. */
json_t *app_quilt_document(app *self, const store_quilt *quilt, GError **error);

/** By place, as the layout numbers them: the id of the block that lies there, or 0. Free
 * with g_free(). @ret_made how many blocks are made. NULL with an error. */
int64_t *app_quilt_made_at(app *self, const app_laid *laid, int64_t quilt, int *ret_made,
                           GError **error);

/** The number of a place by row and column (from 1), -1 outside; and back. */
int app_laid_place_index(const app_laid *laid, int row, int col);
void app_laid_place_at(const app_laid *laid, int index, int *ret_row, int *ret_col);

/** Reads a place: "3,4" or [3, 4], from 1. Errors: app.no-place. */
gboolean app_laid_place_read(const json_t *item, const app_laid *laid, int *ret_place,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;
