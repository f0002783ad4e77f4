/* Patches: which fabric lies where in a block that is made. */
#include "patches-internal.h"

#include "fabric-internal.h"
#include "kept-internal.h"
#include "scrap-internal.h"

#include "photo/load.h"
#include "store/basket.h"

#include <string.h>

enum { PICTURE_QUALITY = 85, PATCHES_MAX = 2 * QUILT_SIDE_MAX * QUILT_SIDE_MAX };

int app_patch_parts(const quilt_patch *patch)
{
    return patch->split == QUILT_WHOLE ? 1 : 2;
}

bool app_patch_of_scraps(const quilt_patch *patch, int part)
{
    int role = patch->role[part];
    return role == QUILT_SCRAP || role == QUILT_LIGHT || role == QUILT_DARK;
}

bool app_patch_from_basket(const quilt_patch *patch)
{
    return patch->split == QUILT_WHOLE && app_patch_of_scraps(patch, 0);
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

void app_patch_swatch(const uint8_t *rgb, int span, int side, int place,
                      const quilt_patch *patch, int part, uint8_t *swatch)
{
    /* The middle of a square; of a triangle, what lies towards its right angle. */
    double left = 1.0 / 6, top = 1.0 / 6, size = 2.0 / 3, cell = (double)span / side;
    if (patch->split != QUILT_WHOLE) {
        bool upper = part == 0, right = (patch->split == QUILT_FALLING) == upper;
        size = 0.36;
        left = right ? 0.9 - size : 0.1;
        top = upper ? 0.1 : 0.9 - size;
    }
    for (int i = 0; i < APP_PATCH_SWATCH_PX * APP_PATCH_SWATCH_PX; i++) {
        double u = (i % APP_PATCH_SWATCH_PX + 0.5) / APP_PATCH_SWATCH_PX * size + left;
        double v = (i / APP_PATCH_SWATCH_PX + 0.5) / APP_PATCH_SWATCH_PX * size + top;
        int x = (int)((place % side + u) * cell), y = (int)((place / side + v) * cell);
        memcpy(swatch + 3 * i, rgb + 3 * ((size_t)y * (size_t)span + (size_t)x), 3);
    }
}

/* What the block's own picture, kept as designed, shows of a part of a patch. */
static gboolean read_part(app *self, const patched *it, int place, int part,
                          app_reading *ret, GError **error)
{
    uint8_t one[3 * APP_PATCH_SWATCH_PX * APP_PATCH_SWATCH_PX];
    float lab[3 * APP_PATCH_SWATCH_PX * APP_PATCH_SWATCH_PX];
    uint8_t group[APP_PATCH_SWATCH_PX * APP_PATCH_SWATCH_PX];
    g_autoptr(GArray) references = app_scrap_references(self, error);
    if (references == NULL)
        return FALSE;
    g_autoptr(GBytes) jpeg = it->block.picture == 0
                                 ? NULL
                                 : store_picture(self->book, it->block.picture, NULL);
    g_autoptr(photo_picture) picture =
        jpeg == NULL ? NULL : photo_load_bytes(jpeg, PHOTO_SIDE_PX, NULL, NULL);
    if (picture == NULL || picture->columns != picture->rows) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_FABRIC,
                            "This block has no photo to take a new fabric from.");
        return FALSE;
    }
    app_patch_swatch(picture->rgb, picture->columns, it->laid.frame.side, place,
                     &it->kind->patches[place], part, one);
    for (int i = 0; i < APP_PATCH_SWATCH_PX * APP_PATCH_SWATCH_PX; i++) {
        colour_lab here = colour_lab_from_srgb8(
            (colour_srgb8){ one[3 * i], one[3 * i + 1], one[3 * i + 2] });
        lab[3 * i] = (float)here.l;
        lab[3 * i + 1] = (float)here.a;
        lab[3 * i + 2] = (float)here.b;
    }
    colour_signature_from_pixels(APP_PATCH_SWATCH_PX * APP_PATCH_SWATCH_PX, lab, group,
                                 &ret->colours);
    colour_value_limits limits = app_value_limits(references);
    ret->value = colour_value_of(colour_signature_mean(&ret->colours).l, &limits);
    ret->swatch =
        photo_jpeg(APP_PATCH_SWATCH_PX, APP_PATCH_SWATCH_PX, one, PICTURE_QUALITY, error);
    return ret->swatch != NULL;
}

static gboolean learn_patch(app *self, store_change *change, const patched *it, int place,
                            int part, int64_t *ret_fabric, GError **error)
{
    g_auto(app_reading) reading = { 0 };
    return read_part(self, it, place, part, &reading, error) &&
           app_fabric_learn(change, &reading, ret_fabric, error);
}

/* Which fabric she says: one of the book, a new one, or none ("never mind"). */
static gboolean fabric_said(app *self, const app_call *call, store_change *change,
                            const patched *it, int place, int part, int64_t *ret_fabric,
                            GError **error)
{
    const char *word = app_request_text(call, "fabric");
    *ret_fabric = 0;
    if (word != NULL && strcmp(word, "new") == 0)
        return learn_patch(self, change, it, place, part, ret_fabric, error);
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
    int64_t place = -1, part = 0, fabric;
    int short_by = 0;
    if (!patched_requested(self, call, &it, error) ||
        !app_request_int(call, "place", 0, it.kind->side * it.kind->side - 1, &place,
                         error) ||
        !app_request_int(call, "part", 0, 1, &part, error))
        return FALSE;
    if (place >= 0 && part >= app_patch_parts(&it.kind->patches[place])) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "part: this patch is one square; part 1 is for triangles.");
        return FALSE;
    }
    if (place < 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "place: which patch is missing.");
        return FALSE;
    }
    g_autoptr(store_change) change =
        store_change_begin(self->book, "Said the fabric of a patch", error);
    if (change == NULL ||
        !fabric_said(self, call, change, &it, (int)place, (int)part, &fabric, error) ||
        !store_patch_of_block(self->book, it.block.id, &before, error))
        return FALSE;
    const store_patch now = { .block = it.block.id,
                              .place = (int)place,
                              .part = (int)part,
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
