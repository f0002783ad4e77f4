/* Finished blocks as a photo shows them. */
#include "seen-internal.h"

#include "corners-internal.h"
#include "patches-internal.h"
#include "scrap-internal.h"

#include <math.h>
#include <string.h>

/* How far cells of one block lie apart in two photos, by colour_signature_distance(). */
static const double same_mean = 4, same_most = 11, rival_margin = 1.2;
static const double least_sure = 0.45;

void app_seen_clear(app_seen *self)
{
    photo_survey_clear(&self->survey);
    photo_blocks_free(self->blocks);
    g_free(self->block);
}

const quilt_patch *app_seen_patch(const app_laid *laid, const app_seen_block *block,
                                  int side, int cell)
{
    const quilt_block *kind = app_laid_block(laid, block->reading.kind);
    return &kind->patches[photo_cell_unturned(side, cell / side, cell % side,
                                              block->reading.turn)];
}

/* quilt_split of a triangle as photo_cut. */
static photo_cut cut_of(const quilt_patch *patch)
{
    return patch->split == QUILT_RISING ? PHOTO_CUT_RISING : PHOTO_CUT_FALLING;
}

const photo_cell *app_seen_part(const app_laid *laid, const app_seen_block *block,
                                int side, int cell, int part)
{
    const quilt_patch *patch = app_seen_patch(laid, block, side, cell);
    if (patch->split == QUILT_WHOLE)
        return &block->found->cell[cell];
    photo_cut cut = cut_of(patch);
    int half = part;
    photo_half_turned(block->reading.turn, &cut, &half);
    return &block->found->half[cell][cut][half];
}

static photo_cell_role role_of(uint8_t role)
{
    return role == QUILT_ACCENT       ? PHOTO_CELL_EITHER
           : role == QUILT_BACKGROUND ? PHOTO_CELL_BACKGROUND
                                      : PHOTO_CELL_SCRAP;
}

static bool has_triangles(const app_laid *laid, int side)
{
    for (int kind = 0; kind < laid->layout.kinds.count; kind++)
        for (int i = 0; i < side * side; i++)
            if (app_laid_block(laid, kind)->patches[i].split != QUILT_WHOLE)
                return true;
    return false;
}

static photo_kind *kinds_of(const app_laid *laid, int side)
{
    int count = laid->layout.kinds.count;
    photo_kind *kinds = g_new0(photo_kind, count);
    for (int kind = 0; kind < count; kind++) {
        const quilt_block *block = app_laid_block(laid, kind);
        for (int i = 0; i < side * side; i++) {
            const quilt_patch *patch = &block->patches[i];
            kinds[kind].cell[i] = (photo_kind_cell){
                .halved = patch->split != QUILT_WHOLE,
                .cut = (uint8_t)cut_of(patch),
                .role = { (uint8_t)role_of(patch->role[0]),
                          (uint8_t)role_of(patch->role[1]) },
            };
        }
    }
    return kinds;
}

/* The colour of the fabric chosen for the background, when there is one. */
static gboolean known_background(app *self, const store_quilt *quilt, bool *ret_known,
                                 colour_lab *ret_lab, GError **error)
{
    int64_t fabrics[QUILT_ROLES];
    g_auto(app_look) look = { 0 };
    *ret_known = false;
    if (!store_quilt_fabrics(self->book, quilt->id, fabrics, error))
        return FALSE;
    if (fabrics[QUILT_BACKGROUND] == 0)
        return TRUE;
    if (!app_look_get(self, fabrics[QUILT_BACKGROUND], &look, error))
        return FALSE;
    *ret_known = look.colours.count > 0;
    *ret_lab = colour_signature_mean(&look.colours);
    return TRUE;
}

static gboolean read_kinds(app *self, const store_quilt *quilt, const app_laid *laid,
                           app_seen *seen, GError **error)
{
    bool known;
    colour_lab background;
    if (!known_background(self, quilt, &known, &background, error))
        return FALSE;
    g_autofree photo_kind *kinds = kinds_of(laid, seen->side);
    g_autofree photo_reading *readings = g_new0(photo_reading, seen->blocks->count + 1);
    photo_read_kinds(seen->blocks, seen->side, laid->layout.kinds.count, kinds,
                     known ? &background : NULL, readings, &seen->background);
    for (int i = 0; i < seen->blocks->count; i++) {
        seen->block[i].found = &seen->blocks->block[i];
        seen->block[i].reading = readings[i];
    }
    return TRUE;
}

static void match_patch(const app_laid *laid, int side, int cell,
                        const GArray *references, app_seen_block *block)
{
    const quilt_patch *patch = app_seen_patch(laid, block, side, cell);
    for (int part = 0; part < app_patch_parts(patch); part++)
        if (app_patch_of_scraps(patch, part))
            colour_match_find_part(
                &app_seen_part(laid, block, side, cell, part)->signature,
                (int)references->len,
                (const colour_reference *)(const void *)references->data,
                &block->match[cell][part]);
}

static gboolean match_fabrics(app *self, const app_laid *laid, app_seen *seen,
                              GError **error)
{
    g_autoptr(GArray) references = app_scrap_references(self, error);
    if (references == NULL)
        return FALSE;
    for (int i = 0; i < seen->blocks->count; i++)
        for (int cell = 0; cell < seen->side * seen->side; cell++)
            match_patch(laid, seen->side, cell, references, &seen->block[i]);
    return TRUE;
}

/* --- known again ---------------------------------------------------------------------
 */

/* How unlike a photographed block and a kept one are when it lies turned so; above
 * same_mean when any cell is another. */
static double unlike(const app_seen *seen, const photo_block *found,
                     const store_cell cells[], int turn)
{
    double sum = 0;
    int count = seen->side * seen->side;
    for (int i = 0; i < count; i++) {
        int drawn = photo_cell_unturned(seen->side, i / seen->side, i % seen->side, turn);
        double d =
            colour_signature_distance(&found->cell[i].signature, &cells[drawn].colours);
        if (d > same_most)
            return COLOUR_DISTANCE_MAX;
        sum += d / count;
    }
    return sum;
}

/* Each kept block is known again once at most, by the photographed one most like it; one
 * that is as like another is left to be asked about. */
static void know_again(app_seen *seen, const GArray *cells)
{
    const int count = seen->side * seen->side;
    for (guint at = 0; at + (guint)count <= cells->len;) {
        const store_cell *first = &g_array_index(cells, store_cell, at);
        guint n = 1;
        while (at + n < cells->len &&
               g_array_index(cells, store_cell, at + n).block == first->block)
            n++;
        at += n;
        if (n != (guint)count)
            continue;
        double best = COLOUR_DISTANCE_MAX, next = COLOUR_DISTANCE_MAX;
        int which = -1, how = 0;
        for (int i = 0; i < seen->blocks->count; i++) {
            double here = COLOUR_DISTANCE_MAX;
            int turn_here = 0;
            for (int turn = 0; turn < 4; turn++) {
                double d = unlike(seen, &seen->blocks->block[i], first, turn);
                if (d < here) {
                    here = d;
                    turn_here = turn;
                }
            }
            if (here < best) {
                next = best;
                best = here;
                which = i;
                how = turn_here;
            } else {
                next = fmin(next, here);
            }
        }
        if (which < 0 || best > same_mean || next < best + rival_margin ||
            seen->block[which].again != 0)
            continue;
        seen->block[which].again = first->block;
        seen->block[which].again_turn = how;
        seen->block[which].again_sure = 1 - best / (2 * same_mean);
    }
}

/* --- all of it -----------------------------------------------------------------------
 */

gboolean app_seen_read(app *self, const app_call *call, const char *path,
                       const store_quilt *quilt, const app_laid *laid, app_seen *ret_seen,
                       GError **error)
{
    const photo_watch watch = { call->stop, call->progress, call->data };
    const app_corners no_corners = { .given = false };
    g_autoptr(GArray) cells = NULL;
    g_auto(app_seen) seen = { .side = laid->frame.side };
    seen.size = (photo_block_size){ .side = seen.side,
                                    .unit_in = length_to_inches(laid->frame.unit),
                                    .seam_in = length_to_inches(laid->frame.seam) };
    if (seen.side < 2 || seen.side > PHOTO_BLOCK_SIDE_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_BLOCK_SIZE,
                    "Blocks of %d x %d patches are not read from photos.", seen.side,
                    seen.side);
        return FALSE;
    }
    seen.size.halves = has_triangles(laid, seen.side);
    if (!app_survey_file(self, path, &no_corners, &watch, &seen.survey, error) ||
        !photo_find_blocks(seen.survey.plan, &seen.size, &watch, &seen.blocks, error))
        return FALSE;
    seen.block = g_new0(app_seen_block, seen.blocks->count + 1);
    if (!read_kinds(self, quilt, laid, &seen, error) ||
        !match_fabrics(self, laid, &seen, error) ||
        !store_block_colours(self->book, quilt->id, &cells, error))
        return FALSE;
    know_again(&seen, cells);
    *ret_seen = seen;
    memset(&seen, 0, sizeof seen);
    return TRUE;
}

/* --- documents -----------------------------------------------------------------------
 */

json_t *app_seen_photo_document(const app_seen *seen)
{
    return json_pack("{s:i, s:i}", "width_px", seen->survey.picture->width, "height_px",
                     seen->survey.picture->height);
}

json_t *app_seen_document(const app_laid *laid, const app_seen *seen,
                          const app_seen_block *block)
{
    const photo_block *found = block->found;
    json_t *corners = json_array(), *pixels = json_array(), *sides = json_array();
    double x = 0, y = 0;
    for (int k = 0; k < 4; k++) {
        json_array_append_new(
            corners, json_pack("[f, f]", found->corner_in[k].x, found->corner_in[k].y));
        photo_point px = { 0, 0 };
        if (!photo_pose_to_px(&seen->survey.pose, found->corner_in[k], &px))
            px = (photo_point){ 0, 0 };
        json_array_append_new(pixels, json_pack("[f, f]", px.x, px.y));
        json_array_append_new(sides, json_real(found->side_in[k]));
        x += found->corner_in[k].x / 4;
        y += found->corner_in[k].y / 4;
    }
    return json_pack("{s:s, s:i, s:[f, f], s:o, s:o, s:o, s:f}", "kind",
                     app_laid_block(laid, block->reading.kind)->name, "turn",
                     block->reading.turn, "centre_in", x, y, "corners_in", corners,
                     "corners_px", pixels, "sides_in", sides, "sure",
                     MIN(found->sure, MAX(0.5, block->reading.sure)));
}

/* Why a block cannot be counted; no code: it can. */
typedef struct trouble {
    const char *code, *message;
} trouble;

static trouble trouble_of(const app_seen_block *block)
{
    static const struct {
        unsigned doubt;
        const char *code, *message;
    } doubts[] = {
        { PHOTO_BLOCK_CUT_OFF, "block.cut-off",
          "This block runs out of the picture. Take it again with all of it in view." },
        { PHOTO_BLOCK_PLAIN, "block.plain",
          "This is one colour all over, or printed paper: a block with its wrong side "
          "up, "
          "or no block." },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(doubts); i++)
        if (block->found->doubts & doubts[i].doubt)
            return (trouble){ doubts[i].code, doubts[i].message };
    if (!block->reading.fits)
        return (trouble){ "block.other-kind", "This block fits no kind of this quilt." };
    if (block->found->sure >= least_sure)
        return (trouble){ NULL, NULL };
    const char *message =
        block->found->doubts & PHOTO_BLOCK_COVERED
            ? "Something lies on this block, or its edge looks like the table. Lay it "
              "free and take it again."
            : "The edges of this block cannot be followed.";
    return (trouble){ "block.unclear", message };
}

json_t *app_seen_trouble(const app_seen_block *block)
{
    trouble why = trouble_of(block);
    return why.code == NULL
               ? NULL
               : json_pack("{s:s, s:s}", "code", why.code, "message", why.message);
}

bool app_seen_counts(const app_seen_block *block)
{
    return block->again == 0 && trouble_of(block).code == NULL;
}
