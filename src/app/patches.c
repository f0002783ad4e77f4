/* Patches: which fabric lies where in a block that is made. */
#include "patches-internal.h"

#include "fabric-internal.h"
#include "kept-internal.h"
#include "scrap-internal.h"

#include "photo/load.h"
#include "store/basket.h"

#include <string.h>

enum {
    SWATCH_PX = 96,
    PICTURE_QUALITY = 85,
    PATCHES_MAX = 2 * QUILT_SIDE_MAX * QUILT_SIDE_MAX
};

bool app_patch_from_basket(const quilt_patch *patch)
{
    return patch->split == QUILT_WHOLE &&
           (patch->role[0] == QUILT_SCRAP || patch->role[0] == QUILT_LIGHT ||
            patch->role[0] == QUILT_DARK);
}

gboolean app_patches_take(store_change *change, length unit, const quilt_block *kind,
                          int64_t block, size_t count, const store_patch patches[],
                          int *ret_short, GError **error)
{
    int need = app_laid_basket_squares(kind), taken = 0;
    for (size_t i = 0; i < count; i++) {
        if (!patches[i].known || patches[i].fabric == 0 ||
            !app_patch_from_basket(&kind->patches[patches[i].place]))
            continue;
        store_take take = { .unit = unit,
                            .count = 1,
                            .fabric = patches[i].fabric,
                            .fabric_known = true,
                            .how = STORE_MADE,
                            .block = block };
        int one = 0;
        if (!store_basket_take(change, &take, &one, error))
            return FALSE;
        taken += one;
    }
    store_take rest = {
        .unit = unit, .count = need - taken, .how = STORE_MADE, .block = block
    };
    int got = 0;
    if (rest.count > 0 && !store_basket_take(change, &rest, &got, error))
        return FALSE;
    *ret_short += MAX(0, rest.count) - got;
    return TRUE;
}

/* --- saying what a patch is ----------------------------------------------------------
 */

/* A block of the book with what it was laid out by. */
typedef struct patched {
    store_block block;
    store_quilt quilt;
    app_laid laid;
    const quilt_block *kind; /* as its design draws it */
} patched;

static void patched_clear(patched *self)
{
    store_block_clear(&self->block);
    store_quilt_clear(&self->quilt);
    app_laid_clear(&self->laid);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(patched, patched_clear)

static gboolean patched_requested(app *self, const app_call *call, patched *ret,
                                  GError **error)
{
    int64_t id = 0;
    g_autoptr(GError) none = NULL;
    if (app_book(self, error) == NULL ||
        !app_request_int(call, "block", 1, G_MAXINT64, &id, error))
        return FALSE;
    if (!store_block_get(self->book, id, &ret->block, &none)) {
        if (g_error_matches(none, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNKNOWN))
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_BLOCK,
                        "There is no block %" PRId64 ".", id);
        else
            g_propagate_error(error, g_steal_pointer(&none));
        return FALSE;
    }
    if (!store_quilt_get(self->book, ret->block.quilt, &ret->quilt, error) ||
        !app_laid_from_quilt(&ret->quilt, &ret->laid, error))
        return FALSE;
    for (int kind = 0; kind < ret->laid.layout.kinds.count; kind++)
        if (strcmp(app_laid_block(&ret->laid, kind)->name, ret->block.kind) == 0)
            ret->kind = app_laid_block(&ret->laid, kind);
    if (ret->kind != NULL)
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_KIND,
                "The design has no \"%.40s\" any more.", ret->block.kind);
    return FALSE;
}

/* The middle of one cell of a block's picture, which shows it unturned or turned: the
 * swatch of a new fabric needs to be of the right cell, so it is looked for by colour. */
static GBytes *swatch_of(app *self, const patched *it, const colour_signature *colours)
{
    g_autoptr(GBytes) jpeg = store_picture(self->book, it->block.picture, NULL);
    g_autoptr(photo_picture) picture =
        jpeg == NULL ? NULL : photo_load_bytes(jpeg, PHOTO_SIDE_PX, NULL, NULL);
    if (picture == NULL)
        return NULL;
    int side = it->laid.frame.side, span = picture->columns / side, size = span * 2 / 3;
    double nearest = COLOUR_DISTANCE_MAX;
    uint8_t best[3 * SWATCH_PX * SWATCH_PX], one[sizeof best];
    float lab[3 * SWATCH_PX * SWATCH_PX];
    uint8_t group[SWATCH_PX * SWATCH_PX];
    memset(best, 255, sizeof best);
    for (int cell = 0; cell < side * side; cell++) {
        int left = cell % side * span + span / 6, top = cell / side * span + span / 6;
        for (int i = 0; i < SWATCH_PX * SWATCH_PX; i++) {
            int x = left + i % SWATCH_PX * size / SWATCH_PX;
            int y = top + i / SWATCH_PX * size / SWATCH_PX;
            const uint8_t *at =
                picture->rgb + 3 * ((size_t)y * (size_t)picture->columns + (size_t)x);
            memcpy(one + 3 * i, at, 3);
            colour_lab here =
                colour_lab_from_srgb8((colour_srgb8){ at[0], at[1], at[2] });
            lab[3 * i] = (float)here.l;
            lab[3 * i + 1] = (float)here.a;
            lab[3 * i + 2] = (float)here.b;
        }
        colour_signature found;
        colour_signature_from_pixels(SWATCH_PX * SWATCH_PX, lab, group, &found);
        double d = colour_signature_distance(&found, colours);
        if (d < nearest) {
            nearest = d;
            memcpy(best, one, sizeof best);
        }
    }
    return photo_jpeg(SWATCH_PX, SWATCH_PX, best, PICTURE_QUALITY, NULL);
}

static gboolean learn_patch(app *self, store_change *change, const patched *it, int place,
                            int64_t *ret_fabric, GError **error)
{
    g_autoptr(GArray) cells = NULL;
    g_autoptr(GArray) references = app_scrap_references(self, error);
    if (references == NULL ||
        !store_block_colours(self->book, it->quilt.id, &cells, error))
        return FALSE;
    for (guint i = 0; i < cells->len; i++) {
        const store_cell *cell = &g_array_index(cells, store_cell, i);
        if (cell->block != it->block.id || cell->place != place)
            continue;
        colour_value_limits limits = app_value_limits(references);
        g_auto(app_reading) reading = {
            .colours = cell->colours,
            .value = colour_value_of(colour_signature_mean(&cell->colours).l, &limits),
            .swatch = swatch_of(self, it, &cell->colours),
        };
        return app_fabric_learn(change, &reading, ret_fabric, error);
    }
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_FABRIC,
                        "This block has no photo to take a new fabric from.");
    return FALSE;
}

/* Which fabric she says: one of the book, a new one, or none ("never mind"). */
static gboolean fabric_said(app *self, const app_call *call, store_change *change,
                            const patched *it, int place, int64_t *ret_fabric,
                            GError **error)
{
    const char *word = app_request_text(call, "fabric");
    *ret_fabric = 0;
    if (word != NULL && strcmp(word, "new") == 0)
        return learn_patch(self, change, it, place, ret_fabric, error);
    return app_fabric_requested(self, call, "fabric", ret_fabric, error);
}

/* Puts one patch in place of what was said of it. */
static size_t replace_patch(const GArray *before, const store_patch *now,
                            store_patch patches[static PATCHES_MAX])
{
    size_t count = 0;
    for (guint i = 0; i < before->len && count + 1 < PATCHES_MAX; i++) {
        const store_patch *one = &g_array_index(before, store_patch, i);
        if (one->place != now->place || one->part != now->part)
            patches[count++] = *one;
    }
    if (now->fabric != 0)
        patches[count++] = *now;
    return count;
}

gboolean app_do_patch_say(app *self, const app_call *call, json_t **ret_document,
                          GError **error)
{
    g_auto(patched) it = { 0 };
    g_autoptr(GArray) before = NULL;
    int64_t place = -1, fabric;
    int short_by = 0;
    if (!patched_requested(self, call, &it, error) ||
        !app_request_int(call, "place", 0, it.kind->side * it.kind->side - 1, &place,
                         error))
        return FALSE;
    if (place < 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "place: which patch is missing.");
        return FALSE;
    }
    g_autoptr(store_change) change =
        store_change_begin(self->book, "Said the fabric of a patch", error);
    if (change == NULL ||
        !fabric_said(self, call, change, &it, (int)place, &fabric, error) ||
        !store_patch_of_block(self->book, it.block.id, &before, error))
        return FALSE;
    const store_patch now = { .block = it.block.id,
                              .place = (int)place,
                              .fabric = fabric,
                              .sure = 1,
                              .known = true };
    store_patch patches[PATCHES_MAX];
    size_t count = replace_patch(before, &now, patches);
    if (!store_patch_set(change, it.block.id, count, patches, error) ||
        !store_basket_put_back(change, it.block.id, NULL, error) ||
        !app_patches_take(change, it.quilt.unit, it.kind, it.block.id, count, patches,
                          &short_by, error) ||
        !store_change_commit(change, error))
        return FALSE;
    *ret_document =
        json_pack("{s:I, s:I, s:o, s:s}", "block", (json_int_t)it.block.id, "place",
                  (json_int_t)place, "fabric", app_document_id(fabric), "done",
                  "Said the fabric of a patch");
    return TRUE;
}
