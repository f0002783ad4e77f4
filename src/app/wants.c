/* What the basket wants to become: designs and backgrounds ranked for what is in it now.
 */
#include "choose-internal.h"
#include "laid-internal.h"
#include "own-internal.h"

#include "store/basket.h"

#include <stdlib.h>
#include <string.h>

enum { WANTS_DESIGNS = 12 };

/* What the basket offers of the unit: its squares, and by light and dark. */
typedef struct offer {
    length unit;
    int64_t squares, light, medium, dark;
    double standing; /* share of the squares that stand out from the best background */
} offer;

static gboolean offer_get(app *self, length unit, offer *ret, GError **error)
{
    g_autoptr(GArray) values = NULL;
    *ret = (offer){ .unit = unit };
    if (!app_basket_squares(self, unit, &ret->squares, error) ||
        !store_basket_values(self->book, unit, &values, error))
        return FALSE;
    for (guint i = 0; i < values->len; i++) {
        const store_share *share = &g_array_index(values, store_share, i);
        int64_t squares = share->known + share->inferred;
        if (share->id == 0)
            ret->light += squares;
        else if (share->id == 2)
            ret->dark += squares;
        else /* mediums, and those of which no picture tells */
            ret->medium += squares;
    }
    return TRUE;
}

/* What a design asks of the basket: half-square triangles take a square for two. */
typedef struct asked {
    int64_t scrap, light, dark, all;
} asked;

static int64_t squares_of_role(const quilt_count *count, quilt_role role)
{
    return count->squares[role] + (count->triangles[role] + 1) / 2;
}

static asked asked_of(const quilt_design *design, const quilt_layout *layout)
{
    quilt_count count;
    quilt_layout_count(design, layout, &count);
    asked it = { .scrap = squares_of_role(&count, QUILT_SCRAP),
                 .light = squares_of_role(&count, QUILT_LIGHT),
                 .dark = squares_of_role(&count, QUILT_DARK) };
    it.all = it.scrap + it.light + it.dark;
    return it;
}

static double portion(int64_t have, int64_t need)
{
    return need == 0 ? 1 : MIN(1.0, (double)have / (double)need);
}

/* How much of it the basket has: of all squares, and of lights and darks with the mediums
 * lent to whichever lacks more. */
static double covered(const offer *basket, const asked *need)
{
    int64_t lack_light = MAX(need->light - basket->light, 0);
    int64_t lack_dark = MAX(need->dark - basket->dark, 0);
    int64_t lent = MIN(basket->medium, lack_light + lack_dark);
    double values = portion(need->light + need->dark - lack_light - lack_dark + lent,
                            need->light + need->dark);
    return MIN(values, portion(basket->squares, need->all));
}

/* Mediums that stand in for lights and darks blur the picture. */
static double contrast(const offer *basket, const asked *need)
{
    int64_t true_ones = MIN(need->light, basket->light) + MIN(need->dark, basket->dark);
    double values = portion(true_ones, need->light + need->dark);
    bool by_background = need->light + need->dark == 0;
    return by_background ? basket->standing : values;
}

/* So much of what is there goes in; a basket wants to be used. */
static double used(const offer *basket, const asked *need)
{
    return basket->squares == 0 ? 0 : portion(need->all, basket->squares);
}

static json_t *want_document(const quilt_design *design, const quilt_frame *frame,
                             const quilt_sizes *sizes, const offer *basket,
                             const asked *need)
{
    double enough = covered(basket, need), stands = contrast(basket, need);
    double merit = enough * (0.5 + 0.5 * stands) * (0.5 + 0.5 * used(basket, need));
    return json_pack("{s:s, s:s, s:i, s:i, s:o, s:I, s:I, s:I, s:f, s:f, s:f, s:f}",
                     "design", design->id, "name", design->name, "across", frame->across,
                     "down", frame->down, "finished_in",
                     app_document_size(sizes->finished.width, sizes->finished.height),
                     "squares", (json_int_t)need->all, "light", (json_int_t)need->light,
                     "dark", (json_int_t)need->dark, "enough", enough, "contrast", stands,
                     "uses", used(basket, need), "merit", merit);
}

/* The design at the wanted size; NULL (and no error) when it cannot be made so, or asks
 * nothing of the basket. */
static json_t *want_of(const app_known_design *known, const offer *basket, length seam,
                       quilt_extent wanted, GError **error)
{
    quilt_design design;
    g_auto(quilt_layout) layout = { 0 };
    quilt_fit across, down;
    quilt_sizes sizes;
    if (!quilt_design_parse(known->text, strlen(known->text), known->name, &design,
                            error))
        return NULL;
    quilt_frame frame = quilt_frame_make(&design, 1, 1, basket->unit, seam);
    if (!quilt_frame_fit(&design, &frame, false, wanted.width, QUILT_FIT_REPEATS, &across,
                         NULL) ||
        !quilt_frame_fit(&design, &frame, true, wanted.height, QUILT_FIT_REPEATS, &down,
                         NULL))
        return NULL;
    frame.across = across.above;
    frame.down = down.above;
    if (!quilt_layout_make(&design, frame.across, frame.down, (quilt_start){ 0, 0 },
                           &layout, NULL) ||
        !quilt_frame_sizes(&frame, &sizes, NULL))
        return NULL;
    asked need = asked_of(&design, &layout);
    return need.all == 0 ? NULL : want_document(&design, &frame, &sizes, basket, &need);
}

static int by_want(const void *a, const void *b)
{
    double one = json_number_value(json_object_get(*(json_t *const *)a, "merit"));
    double other = json_number_value(json_object_get(*(json_t *const *)b, "merit"));
    return (one < other) - (one > other);
}

/* Backgrounds ranked as `backgrounds` does; none where no colours are known. */
static json_t *best_backgrounds(app *self, offer *basket, GError **error)
{
    json_t *document = NULL;
    g_autoptr(GError) none = NULL;
    g_autoptr(json_t) request = json_pack("{s:i}", "count", 6);
    const app_call call = { .request = request };
    basket->standing = 1;
    if (!app_do_backgrounds(self, &call, &document, &none)) {
        if (g_error_matches(none, MOTLEY_ERROR, MOTLEY_ERROR_APP_BASKET_EMPTY))
            return json_array();
        g_propagate_error(error, g_steal_pointer(&none));
        return NULL;
    }
    g_autoptr(json_t) all = document;
    json_t *list = json_object_get(all, "backgrounds");
    basket->standing =
        1 - json_number_value(json_object_get(json_array_get(list, 0), "melting"));
    return json_incref(list);
}

static json_t *wants_of(const GArray *known, const offer *basket, length seam,
                        quilt_extent wanted, GError **error)
{
    g_autoptr(GError) failed = NULL;
    g_autofree json_t **rows = g_new(json_t *, known->len + 1);
    size_t count = 0;
    for (guint i = 0; i < known->len && failed == NULL; i++) {
        json_t *row = want_of(&g_array_index(known, app_known_design, i), basket, seam,
                              wanted, &failed);
        if (row != NULL)
            rows[count++] = row;
    }
    qsort(rows, count, sizeof rows[0], by_want);
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++) {
        if (i < WANTS_DESIGNS)
            json_array_append(list, rows[i]);
        json_decref(rows[i]);
    }
    if (failed == NULL)
        return list;
    json_decref(list);
    g_propagate_error(error, g_steal_pointer(&failed));
    return NULL;
}

gboolean app_do_wants(app *self, const app_call *call, json_t **ret_document,
                      GError **error)
{
    app_settings settings;
    offer basket;
    /* A throw: the size that is made when nobody asked for another. */
    quilt_extent wanted = { 60 * LENGTH_INCH, 72 * LENGTH_INCH };
    g_autoptr(GArray) known = NULL;
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error))
        return FALSE;
    length unit = settings.unit;
    if (!app_request_length(call, "unit", settings.bare, &unit, error) ||
        (app_request_has(call, "size") &&
         !app_request_size(call, "size", settings.bare, &wanted.width, &wanted.height,
                           error)) ||
        !offer_get(self, unit, &basket, error) || !app_designs_known(self, &known, error))
        return FALSE;
    g_autoptr(json_t) backgrounds = best_backgrounds(self, &basket, error);
    json_t *designs = backgrounds == NULL
                          ? NULL
                          : wants_of(known, &basket, settings.seam, wanted, error);
    if (designs == NULL)
        return FALSE;
    *ret_document = json_pack(
        "{s:o, s:I, s:I, s:I, s:I, s:o, s:o, s:O}", "unit_in", app_document_inches(unit),
        "squares", (json_int_t)basket.squares, "light", (json_int_t)basket.light,
        "medium", (json_int_t)basket.medium, "dark", (json_int_t)basket.dark, "wanted_in",
        app_document_size(wanted.width, wanted.height), "designs", designs, "backgrounds",
        backgrounds);
    return TRUE;
}
