/* Choosing the next quilt: which background, and which designs take what is there
 * already. */
#include "fabric-internal.h"
#include "laid-internal.h"

#include "choose-internal.h"
#include "colour/ciede2000.h"
#include "colour/name.h"
#include "own-internal.h"
#include "quilt/reuse.h"
#include "store/basket.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- Which background? ---- */

/* A square nearer than this to the background melts into it: seen from across a room the
 * seam is gone. Our own threshold; at 12 by CIEDE2000 neighbouring steps of a grey scale
 * of ten part (12 L* at mid grey come to about 12). */
#define MELTS 12.0

enum {
    HUES = 12,
    LIGHTNESSES = 3,
    NEUTRALS = 6,
    CANDIDATES = HUES * LIGHTNESSES + NEUTRALS
};

/* The basket as colours: each fabric's colours weigh by its squares. */
typedef struct basket_colours {
    GArray *looks;   /* of app_look */
    GArray *squares; /* of int64_t */
    int64_t all;
} basket_colours;

static void clear_look(gpointer data)
{
    app_look_clear(data);
}

static void basket_colours_clear(basket_colours *self)
{
    g_clear_pointer(&self->looks, g_array_unref);
    g_clear_pointer(&self->squares, g_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(basket_colours, basket_colours_clear)

static gboolean basket_colours_get(app *self, basket_colours *ret, GError **error)
{
    g_autoptr(GArray) shares = NULL;
    if (app_book(self, error) == NULL ||
        !store_basket_fabrics(self->book, 0, &shares, error))
        return FALSE;
    g_autoptr(GArray) looks = app_looks_of_basket(self, error);
    if (looks == NULL)
        return FALSE;
    ret->looks = g_array_new(FALSE, TRUE, sizeof(app_look));
    g_array_set_clear_func(ret->looks, clear_look);
    ret->squares = g_array_new(FALSE, FALSE, sizeof(int64_t));
    for (guint i = 0; i < shares->len; i++) {
        const store_share *share = &g_array_index(shares, store_share, i);
        int64_t squares = share->known + share->inferred;
        app_look look;
        if (!app_look_among(self, looks, share->id, &look, error))
            return FALSE;
        if (look.colours.count == 0 || squares <= 0) {
            app_look_clear(&look);
            continue;
        }
        g_array_append_val(ret->looks, look);
        g_array_append_val(ret->squares, squares);
        ret->all += squares;
    }
    if (ret->all > 0)
        return TRUE;
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_BASKET_EMPTY,
                        "No colours are known in the basket.");
    return FALSE;
}

/* How a background stands to the basket. */
typedef struct candidate {
    colour_lab lab;
    int64_t fabric; /* one of hers, or 0 for a solid of the wheel */
    double apart;   /* mean CIEDE2000 to the squares */
    double lighter; /* mean L* above (below zero: under) the squares */
    double melting; /* share of squares that melt into it */
} candidate;

static double apart_from(const candidate *one, const app_look *look)
{
    double apart = 0;
    for (int i = 0; i < look->colours.count; i++)
        apart +=
            look->colours.share[i] * colour_ciede2000(&one->lab, &look->colours.lab[i]);
    return apart;
}

static void measure(candidate *one, const basket_colours *basket)
{
    for (guint i = 0; i < basket->looks->len; i++) {
        const app_look *look = &g_array_index(basket->looks, app_look, i);
        double weight =
            (double)g_array_index(basket->squares, int64_t, i) / (double)basket->all;
        double apart = apart_from(one, look);
        one->apart += weight * apart;
        one->lighter += weight * (one->lab.l - colour_signature_mean(&look->colours).l);
        one->melting += apart < MELTS ? weight : 0;
    }
}

/* A wheel of solids: twelve hues in three lightnesses, and neutrals from white to black.
 */
static void fill_wheel(candidate ret[CANDIDATES])
{
    static const double lightness[LIGHTNESSES] = { 32, 58, 82 };
    static const double chroma[LIGHTNESSES] = { 30, 38, 24 };
    static const colour_lab neutrals[NEUTRALS] = {
        { 97, 0, 1 }, { 92, 1, 8 },  { 78, 2, 10 },
        { 62, 0, 0 }, { 38, 0, -2 }, { 16, 0, 0 },
    };
    int count = 0;
    for (int i = 0; i < NEUTRALS; i++)
        ret[count++] = (candidate){ .lab = neutrals[i] };
    for (int l = 0; l < LIGHTNESSES; l++) {
        for (int h = 0; h < HUES; h++) {
            double angle = h * 2 * G_PI / HUES;
            ret[count++] = (candidate){ .lab = { lightness[l], chroma[l] * cos(angle),
                                                 chroma[l] * sin(angle) } };
        }
    }
}

/* Fewest squares melting first; of equals (to a hundredth) the one farther apart. */
static int by_merit(gconstpointer a, gconstpointer b)
{
    const candidate *one = a, *other = b;
    int melting = (int)(100 * one->melting) - (int)(100 * other->melting);
    return melting != 0 ? melting : one->apart < other->apart ? 1 : -1;
}

static json_t *melting_document(const candidate *one, const basket_colours *basket)
{
    json_t *list = json_array();
    for (guint i = 0; i < basket->looks->len; i++) {
        const app_look *look = &g_array_index(basket->looks, app_look, i);
        if (apart_from(one, look) >= MELTS)
            continue;
        json_t *row = app_fabric_document(look);
        json_object_set_new(row, "squares",
                            json_integer(g_array_index(basket->squares, int64_t, i)));
        json_array_append_new(list, row);
    }
    return list;
}

static json_t *candidate_document(const candidate *one, const basket_colours *basket)
{
    char name[COLOUR_NAME_SIZE];
    return json_pack("{s:o, s:s, s:o, s:[f,f,f], s:f, s:f, s:f, s:o}", "fabric",
                     app_document_id(one->fabric), "name", colour_name(&one->lab, name),
                     "srgb", app_document_srgb(&one->lab), "lab", one->lab.l, one->lab.a,
                     one->lab.b, "apart", one->apart, "lighter", one->lighter, "melting",
                     one->melting, "melt", melting_document(one, basket));
}

gboolean app_do_backgrounds(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    int64_t fabric = 0, count = 12;
    candidate candidates[CANDIDATES + 1] = { 0 };
    int all = CANDIDATES;
    g_auto(basket_colours) basket = { 0 };
    if (!basket_colours_get(self, &basket, error) ||
        !app_request_int(call, "count", 1, CANDIDATES, &count, error) ||
        !app_fabric_requested(self, call, "fabric", &fabric, error))
        return FALSE;
    fill_wheel(candidates);
    if (fabric != 0) { /* this one alone */
        g_auto(app_look) look = { 0 };
        if (!app_look_get(self, fabric, &look, error))
            return FALSE;
        candidates[0] =
            (candidate){ .lab = colour_signature_mean(&look.colours), .fabric = fabric };
        all = 1;
    }
    for (int i = 0; i < all; i++)
        measure(&candidates[i], &basket);
    qsort(candidates, (size_t)all, sizeof candidates[0], by_merit);
    json_t *list = json_array();
    for (int i = 0; i < all && i < count; i++)
        json_array_append_new(list, candidate_document(&candidates[i], &basket));
    *ret_document = json_pack("{s:I, s:f, s:o}", "squares", (json_int_t)basket.all,
                              "melts_under", MELTS, "backgrounds", list);
    return TRUE;
}

/* ---- Same block, other quilt ---- */

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
    int64_t need = reuse.squares[QUILT_SCRAP] + reuse.squares[QUILT_LIGHT] +
                   reuse.squares[QUILT_DARK];
    return json_pack("{s:s, s:s, s:i, s:I, s:I, s:I, s:I, s:I, s:f}", "design",
                     design->id, "name", design->name, "block", quilt_design_side(design),
                     "taken", (json_int_t)reuse.taken, "spare", (json_int_t)reuse.spare,
                     "left", (json_int_t)reuse.left, "squares_needed", (json_int_t)need,
                     "squares_short", (json_int_t)MAX(need - basket, 0), "scrap_share",
                     quilt_count_share(&all, scraps));
}

/* Designs that take more of the blocks first, then those that ask for fewer squares. */
static int by_taken(const void *a, const void *b)
{
    const json_t *one = *(json_t *const *)a, *other = *(json_t *const *)b;
    json_int_t taken = json_integer_value(json_object_get(other, "taken")) -
                       json_integer_value(json_object_get(one, "taken"));
    json_int_t need = json_integer_value(json_object_get(one, "squares_needed")) -
                      json_integer_value(json_object_get(other, "squares_needed"));
    return taken != 0 ? (taken > 0 ? 1 : -1) : need > 0 ? 1 : need < 0 ? -1 : 0;
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
