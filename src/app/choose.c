/* Same block, other quilt: which designs take what is there already. */
#include "choose-internal.h"
#include "laid-internal.h"
#include "own-internal.h"
#include "quilt/reuse.h"
#include "store/basket.h"

#include <stdlib.h>
#include <string.h>

/* What is made of a quilt, by kind. */
static int made_of(const app_laid *laid, const int64_t *made, quilt_made ret[])
{
    int kinds = laid->layout.kinds.count;
    for (int kind = 0; kind < kinds; kind++) {
        ret[kind] = (quilt_made){ .block = *app_laid_block(laid, kind) };
        for (int i = 0; i < laid->layout.count; i++)
            ret[kind].count += laid->layout.places[i].kind == kind && made[i] != 0;
    }
    return kinds;
}

static json_t *reuse_document(const quilt_design *design, const quilt_layout *layout,
                              int count, const quilt_made made[], int64_t basket)
{
    static const bool scraps[QUILT_ROLES] = {
        [QUILT_SCRAP] = true, [QUILT_LIGHT] = true, [QUILT_DARK] = true
    };
    quilt_reuse reuse;
    quilt_count all;
    quilt_reuse_of(design, layout, count, made, &reuse);
    quilt_layout_count(design, layout, &all);
    int64_t need = 0, halves = 0;
    for (int a = 0; a < QUILT_ROLES; a++) {
        need += scraps[a] ? reuse.squares[a] : 0;
        for (int b = a; b < QUILT_ROLES; b++)
            halves += (scraps[a] + scraps[b]) * reuse.pairs[a][b];
    }
    int64_t cut = (halves + 1) / 2;
    /* A unit square is too small for triangles on its own grid: those are cut anew. */
    return json_pack("{s:s, s:s, s:i, s:I, s:I, s:I, s:I, s:I, s:I, s:I, s:I, s:f}",
                     "design", design->id, "name", design->name, "block",
                     quilt_design_side(design), "taken", (json_int_t)reuse.taken, "spare",
                     (json_int_t)reuse.spare, "left", (json_int_t)reuse.left,
                     "squares_needed", (json_int_t)need, "squares_used",
                     (json_int_t)MIN(need, basket), "squares_short",
                     (json_int_t)MAX(need - basket, 0), "triangle_squares",
                     (json_int_t)cut, "anew", (json_int_t)(cut + MAX(need - basket, 0)),
                     "scrap_share", quilt_count_share(&all, scraps));
}

/* Designs that take more of the blocks first; then those of which less is to be cut anew,
 * as squares that are short or for triangles; then those that use more squares up. */
static int by_taken(const void *a, const void *b)
{
    static const struct {
        const char *field;
        int sign;
    } keys[] = { { "taken", -1 }, { "anew", 1 }, { "squares_used", -1 } };
    const json_t *one = *(json_t *const *)a, *other = *(json_t *const *)b;
    for (size_t i = 0; i < G_N_ELEMENTS(keys); i++) {
        json_int_t x = json_integer_value(json_object_get(one, keys[i].field));
        json_int_t y = json_integer_value(json_object_get(other, keys[i].field));
        if (x != y)
            return x < y ? -keys[i].sign : keys[i].sign;
    }
    return 0;
}

static json_t *sorted(json_t *list)
{
    size_t count = json_array_size(list);
    g_autofree json_t **rows = g_new(json_t *, count + 1);
    for (size_t i = 0; i < count; i++)
        rows[i] = json_incref(json_array_get(list, i));
    qsort(rows, count, sizeof rows[0], by_taken);
    json_t *inorder = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(inorder, rows[i]);
    return inorder;
}

gboolean app_basket_squares(app *self, length unit, int64_t *ret_squares, GError **error)
{
    g_autoptr(GArray) units = NULL;
    *ret_squares = 0;
    if (!store_basket_units(self->book, &units, error))
        return FALSE;
    for (guint i = 0; i < units->len; i++) {
        const store_unit_total *total = &g_array_index(units, store_unit_total, i);
        if (total->unit == unit)
            *ret_squares = total->squares;
    }
    return TRUE;
}

/* For a quilt: which designs, at its size, take the blocks that it has; without one:
 * which take the squares of the basket. */
gboolean app_do_reuse(app *self, const app_call *call, json_t **ret_document,
                      GError **error)
{
    app_settings settings;
    int made_count, kinds = 0;
    g_autoptr(GArray) known = NULL;
    int64_t basket, across = 12, down = 12;
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    g_autofree quilt_made *made = g_new0(quilt_made, QUILT_BLOCKS_MAX);
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error))
        return FALSE;
    length unit = settings.unit;
    if (app_request_has(call, "quilt")) {
        if (!app_quilt_requested(self, call, &quilt, error) ||
            !app_laid_from_quilt(&quilt, &laid, error))
            return FALSE;
        g_autofree int64_t *at =
            app_quilt_made_at(self, &laid, quilt.id, &made_count, error);
        if (at == NULL)
            return FALSE;
        kinds = made_of(&laid, at, made);
        unit = quilt.unit;
        across = quilt.across;
        down = quilt.down;
    }
    if (!app_request_int(call, "across", 1, QUILT_ACROSS_MAX, &across, error) ||
        !app_request_int(call, "down", 1, QUILT_ACROSS_MAX, &down, error) ||
        !app_basket_squares(self, unit, &basket, error) ||
        !app_designs_known(self, &known, error))
        return FALSE;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < known->len; i++) {
        const app_known_design *one = &g_array_index(known, app_known_design, i);
        quilt_design design;
        g_auto(quilt_layout) layout = { 0 };
        if (!quilt_design_parse(one->text, strlen(one->text), one->name, &design, error))
            return FALSE;
        /* Quarters need even numbers: such a design is shown at the next. */
        bool even = design.set == QUILT_QUARTERS;
        if (!quilt_layout_make(&design, (int)(across + (even ? across % 2 : 0)),
                               (int)(down + (even ? down % 2 : 0)), (quilt_start){ 0, 0 },
                               &layout, error))
            return FALSE;
        json_array_append_new(list,
                              reuse_document(&design, &layout, kinds, made, basket));
    }
    *ret_document = json_pack("{s:o, s:I, s:o}", "unit_in", app_document_inches(unit),
                              "basket", (json_int_t)basket, "designs", sorted(list));
    return TRUE;
}
