/* Cutting plans for scraps, rectangles and outlines; and what was really cut. */
#include "fabric-internal.h"
#include "outline-internal.h"
#include "scrap-internal.h"
#include "tools-internal.h"

#include "scrap/guillotine.h"
#include "store/basket.h"

#include <stdlib.h>
#include <string.h>

enum { LEFTOVERS_MAX = 12 };

/* One piece to plan: a scrap of the book, or an outline that came with the request. */
typedef struct cut_piece {
    store_scrap scrap; /* id 0 when it isn't of the book */
    store_outline *own;
} cut_piece;

static void piece_clear(gpointer data)
{
    cut_piece *self = data;
    store_scrap_clear(&self->scrap);
    g_clear_pointer(&self->own, store_outline_free);
}

static const scrap_outline *piece_outline(const cut_piece *self)
{
    return store_outline_view(self->own != NULL ? self->own : self->scrap.outline);
}

static GArray *pieces_new(void)
{
    GArray *pieces = g_array_new(FALSE, TRUE, sizeof(cut_piece));
    g_array_set_clear_func(pieces, piece_clear);
    return pieces;
}

static gboolean add_own(GArray *pieces, store_outline *outline)
{
    cut_piece piece = { .own = outline };
    if (outline != NULL)
        g_array_append_val(pieces, piece);
    return outline != NULL;
}

/* A scrap that was cut or thrown away is no piece to plan any more. */
static gboolean add_scrap(app *self, GArray *pieces, const json_t *item, GError **error)
{
    cut_piece piece = { 0 };
    if (!app_scrap_requested(self, item, &piece.scrap, error))
        return FALSE;
    if (piece.scrap.state != STORE_SCRAP_LYING) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_SCRAP_CUT,
                    "Scrap %" PRId64 " doesn't lie there any more.", piece.scrap.id);
        piece_clear(&piece);
        return FALSE;
    }
    g_array_append_val(pieces, piece);
    return TRUE;
}

static gboolean add_all_lying(app *self, GArray *pieces, GError **error)
{
    g_autoptr(GArray) lying = NULL;
    if (app_book(self, error) == NULL ||
        !store_scrap_list(self->book, STORE_SCRAP_LYING, 0, 0, &lying, error))
        return FALSE;
    for (guint i = 0; i < lying->len; i++) {
        g_autoptr(json_t) id = json_integer(g_array_index(lying, store_scrap, i).id);
        if (!add_scrap(self, pieces, id, error))
            return FALSE;
    }
    return TRUE;
}

/* What the request wants planned: rect, outline, the scraps named, or all that lie there.
 */
static GArray *pieces_requested(app *self, const app_call *call, length bare,
                                GError **error)
{
    g_autoptr(GArray) pieces = pieces_new();
    const json_t *outline = json_object_get(call->request, "outline");
    if (app_request_has(call, "rect")) {
        length width, height;
        if (!app_request_size(call, "rect", bare, &width, &height, error))
            return NULL;
        add_own(pieces, app_outline_of_rectangle(width, height));
        if (!scrap_outline_check(piece_outline(&g_array_index(pieces, cut_piece, 0)),
                                 error))
            return NULL;
        return g_steal_pointer(&pieces);
    }
    if (outline != NULL)
        return add_own(pieces,
                       json_is_string(outline)
                           ? app_outline_from_file(json_string_value(outline), error)
                           : app_outline_from_json(outline, error))
                   ? g_steal_pointer(&pieces)
                   : NULL;
    if (!app_request_has(call, "scraps"))
        return add_all_lying(self, pieces, error) ? g_steal_pointer(&pieces) : NULL;
    g_autoptr(json_t) ids = app_request_list(call, "scraps");
    for (size_t i = 0; i < json_array_size(ids); i++)
        if (!add_scrap(self, pieces, json_array_get(ids, i), error))
            return NULL;
    return g_steal_pointer(&pieces);
}

static json_t *plan_document(const cut_piece *piece, const scrap_plan *plan, bool chosen)
{
    json_t *corners = json_array(), *lines = json_array(), *tight = json_array();
    for (int i = 0; i < plan->squares; i++) {
        json_array_append_new(corners, app_document_points(4, plan->places[i].corners));
        if (plan->places[i].tight)
            json_array_append_new(tight, json_integer(i + 1));
    }
    for (int i = 0; i < plan->cut_count; i++) {
        const scrap_point ends[2] = { plan->cuts[i].from, plan->cuts[i].to };
        json_array_append_new(lines, app_document_points(2, ends));
    }
    return json_pack(
        "{s:o, s:s, s:b, s:f, s:i, s:i, s:f, s:i, s:i, s:i, s:f, s:o, s:o, s:o}", "scrap",
        app_document_id(piece->scrap.id), "method",
        plan->method == SCRAP_CUT_GRID ? "grid" : "strips", "chosen", chosen, "angle_deg",
        plan->angle_deg, "squares", plan->squares, "bound", plan->bound, "waste_sq_in",
        scrap_area2_to_sq_in(plan->waste_area2), "passes", plan->effort.passes, "cuts",
        plan->effort.cuts, "turns", plan->effort.turns, "minutes", plan->effort.minutes,
        "corners_in", corners, "lines_in", lines, "tight", tight);
}

/* What to do with the scrap, and the strings and bits that its squares leave. */
static void describe_rest(const cut_piece *piece, const scrap_plan *plan,
                          const app_cutting *cutting, json_t *document)
{
    static const char *const uses[] = { "keep whole", "squares", "string", "too small" };
    scrap_bit bits[LEFTOVERS_MAX];
    const scrap_outline *outline = piece_outline(piece);
    const scrap_thresholds *thresholds = &cutting->thresholds;
    int count = scrap_pile_leftovers(outline, plan, thresholds, LEFTOVERS_MAX, bits);
    json_t *list = json_array();
    for (int i = 0; i < count; i++)
        json_array_append_new(list,
                              json_pack("{s:o, s:o, s:o, s:b}", "width_in",
                                        app_document_inches(bits[i].width), "height_in",
                                        app_document_inches(bits[i].height), "corners_in",
                                        app_document_points(4, bits[i].corners), "string",
                                        bits[i].string));
    json_object_set_new(document, "leftovers", list);
    json_object_set_new(document, "use",
                        json_string(uses[scrap_pile_sort(outline, plan, thresholds)]));
}

/* More squares first; of equals the one that is quicker to cut. */
static int better(const scrap_plan *a, const scrap_plan *b)
{
    if (a->squares != b->squares)
        return a->squares > b->squares ? 0 : 1;
    return a->effort.minutes <= b->effort.minutes ? 0 : 1;
}

/* Plans a piece both ways, or the one way that was asked; the chosen one comes first. */
static gboolean plan_piece(const cut_piece *piece, const app_cutting *cutting,
                           const char *method, json_t *plans, int *squares,
                           double *minutes, GError **error)
{
    scrap_plan *made[2] = { NULL, NULL };
    bool grid = method == NULL || strcmp(method, "strips") != 0;
    bool strips = method == NULL || strcmp(method, "grid") != 0;
    scrap_plan_request each = cutting->plan;
    int count = 0;
    for (int i = 0; i < 2; i++) {
        each.method = i == 0 ? SCRAP_CUT_GRID : SCRAP_CUT_STRIPS;
        if (i == 0 ? !grid : !strips)
            continue;
        made[count] = scrap_plan_make(piece_outline(piece), &each, error);
        if (made[count] == NULL) {
            g_clear_pointer(&made[0], scrap_plan_free);
            return FALSE;
        }
        count++;
    }
    int first = count == 2 ? better(made[0], made[1]) : 0;
    *squares += made[first]->squares;
    *minutes += made[first]->effort.minutes;
    json_t *chosen = plan_document(piece, made[first], true);
    describe_rest(piece, made[first], cutting, chosen);
    json_array_append_new(plans, chosen);
    if (count == 2 && (method == NULL || strcmp(method, "best") != 0))
        json_array_append_new(plans, plan_document(piece, made[1 - first], false));
    for (int i = 0; i < count; i++)
        scrap_plan_free(made[i]);
    return TRUE;
}

static gboolean read_method(const app_call *call, const char **ret_method, GError **error)
{
    const char *method = app_request_text(call, "method");
    if (method != NULL && strcmp(method, "grid") != 0 && strcmp(method, "strips") != 0 &&
        strcmp(method, "best") != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "method: \"%.40s\" is none of grid, strips, best.", method);
        return FALSE;
    }
    *ret_method = method;
    return TRUE;
}

/* "2in:1,5in:7": squares of these sizes with what one is worth. */
static GArray *wants_requested(const app_call *call, length bare, GError **error)
{
    g_autoptr(GArray) wants = g_array_new(FALSE, FALSE, sizeof(scrap_want));
    g_auto(GStrv) parts = g_strsplit(app_request_text(call, "want"), ",", -1);
    for (int i = 0; parts[i] != NULL; i++) {
        g_auto(GStrv) pair = g_strsplit(parts[i], ":", 2);
        gint64 value = 1;
        scrap_want want = { .turns = true };
        bool is_rect = pair[0] != NULL && strchr(pair[0], 'x') != NULL;
        g_autoptr(json_t) one =
            json_pack("{s:s}", "want", pair[0] == NULL ? "" : pair[0]);
        app_call each = { .request = one };
        if (is_rect
                ? !app_request_size(&each, "want", bare, &want.width, &want.height, error)
                : pair[0] == NULL ||
                      !length_parse_positive(pair[0], bare, &want.width, error))
            return NULL;
        if (pair[0] != NULL && pair[1] != NULL &&
            !g_ascii_string_to_signed(pair[1], 10, 1, G_GINT64_CONSTANT(1000000000000),
                                      &value, NULL)) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                        "want: \"%.40s\" is no worth from 1 up.", pair[1]);
            return NULL;
        }
        if (!is_rect)
            want.height = want.width;
        want.value = value;
        g_array_append_val(wants, want);
    }
    return g_steal_pointer(&wants);
}

/* The most valuable mix of sizes from a rectangle. */
static gboolean cut_mixed(const app_call *call, length bare, json_t **ret_document,
                          GError **error)
{
    length width, height;
    g_autoptr(GArray) wants = wants_requested(call, bare, error);
    if (wants == NULL || !app_request_size(call, "rect", bare, &width, &height, error))
        return FALSE;
    g_autoptr(scrap_guillotine) pattern = scrap_guillotine_best(
        width, height, (int)wants->len, (const scrap_want *)(const void *)wants->data,
        SCRAP_STAGES_ANY, error);
    if (pattern == NULL)
        return FALSE;
    json_t *pieces = json_array(), *lines = json_array();
    for (int i = 0; i < pattern->piece_count; i++) {
        const scrap_piece *piece = &pattern->pieces[i];
        json_array_append_new(
            pieces, json_pack("{s:i, s:o, s:o, s:o, s:o}", "want", piece->want + 1,
                              "x_in", app_document_inches(piece->x), "y_in",
                              app_document_inches(piece->y), "width_in",
                              app_document_inches(piece->width), "height_in",
                              app_document_inches(piece->height)));
    }
    for (int i = 0; i < pattern->cut_count; i++) {
        const scrap_guillotine_cut *cut = &pattern->cuts[i];
        const scrap_point ends[2] = { { cut->x1, cut->y1 }, { cut->x2, cut->y2 } };
        json_array_append_new(lines, app_document_points(2, ends));
    }
    *ret_document = json_pack(
        "{s:o, s:[{s:n, s:s, s:b, s:I, s:o, s:o, s:i}], s:{s:i, s:f, s:I, s:i}}",
        "unit_in", json_null(), "plans", "scrap", "method", "mix", "chosen", 1, "value",
        (json_int_t)pattern->value, "pieces", pieces, "lines_in", lines, "cuts",
        pattern->cut_count, "total", "squares", pattern->piece_count, "minutes", 0.0,
        "value", (json_int_t)pattern->value, "pieces", pattern->piece_count);
    return TRUE;
}

gboolean app_do_cut(app *self, const app_call *call, json_t **ret_document,
                    GError **error)
{
    app_settings settings;
    app_cutting cutting;
    const char *method;
    if (!app_settings_get(self, &settings, error) ||
        !app_cutting_requested(self, call, &cutting, error) ||
        !read_method(call, &method, error))
        return FALSE;
    if (app_request_has(call, "done"))
        return app_do_cut_done(self, call, ret_document, error);
    if (app_request_has(call, "want"))
        return cut_mixed(call, settings.bare, ret_document, error);
    g_autoptr(GArray) pieces = pieces_requested(self, call, settings.bare, error);
    if (pieces == NULL)
        return FALSE;
    g_autoptr(json_t) plans = json_array();
    int squares = 0;
    double minutes = 0;
    for (guint i = 0; i < pieces->len; i++)
        if (!app_call_step(call, (double)i / pieces->len, "Planning the cuts", error) ||
            !plan_piece(&g_array_index(pieces, cut_piece, i), &cutting, method, plans,
                        &squares, &minutes, error))
            return FALSE;
    *ret_document = json_pack("{s:o, s:O, s:{s:i, s:f}}", "unit_in",
                              app_document_inches(cutting.plan.unit), "plans", plans,
                              "total", "squares", squares, "minutes", minutes);
    return TRUE;
}

/* A scrap that was cut, and how many squares it gave. */
typedef struct cut_harvest {
    store_scrap scrap;
    int squares;
} cut_harvest;

static void harvest_clear(gpointer data)
{
    store_scrap_clear(&((cut_harvest *)data)->scrap);
}

/* {scraps: [{scrap, squares}, ...]}: each with its own count. */
static gboolean harvest_listed(app *self, const json_t *rows, GArray *harvests,
                               GError **error)
{
    for (size_t i = 0; i < json_array_size(rows); i++) {
        json_t *row = json_array_get(rows, i);
        g_autoptr(GArray) pieces = pieces_new();
        app_call each = { .request = row };
        int64_t squares = -1;
        if (!add_scrap(self, pieces, json_object_get(row, "scrap"), error) ||
            !app_request_int(&each, "squares", 0, 100000, &squares, error))
            return FALSE;
        cut_harvest harvest = { g_array_index(pieces, cut_piece, 0).scrap, (int)squares };
        memset(&g_array_index(pieces, cut_piece, 0), 0, sizeof(cut_piece));
        g_array_append_val(harvests, harvest);
        if (squares < 0) {
            g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                                "\"squares\" is missing.");
            return FALSE;
        }
    }
    return TRUE;
}

/* Spreads the number that she really got over the scraps as planned, by largest
 * remainders, so that the sum is exactly hers. */
static void spread(GArray *harvests, int planned, int got)
{
    int given = 0;
    for (guint i = 0; i < harvests->len; i++) {
        cut_harvest *one = &g_array_index(harvests, cut_harvest, i);
        int64_t share = planned == 0 ? got / (int)harvests->len
                                     : (int64_t)one->squares * got / planned;
        one->squares = (int)share;
        given += one->squares;
    }
    for (guint i = 0; given < got; i = (i + 1) % harvests->len, given++)
        g_array_index(harvests, cut_harvest, i).squares++;
}

/* The scraps that the request names, with the squares of the best plan, or the number of
 * --done spread over them. */
static gboolean harvest_planned(app *self, const app_call *call, length bare,
                                const scrap_plan_request *request, GArray *harvests,
                                bool *ret_known, GError **error)
{
    int64_t got = -1;
    int planned = 0;
    const json_t *done = json_object_get(call->request, "done");
    if (!json_is_true(done) && !app_request_int(call, "done", 0, 100000, &got, error))
        return FALSE;
    g_autoptr(GArray) pieces = pieces_requested(self, call, bare, error);
    if (pieces == NULL)
        return FALSE;
    for (guint i = 0; i < pieces->len; i++) {
        cut_piece *piece = &g_array_index(pieces, cut_piece, i);
        scrap_plan_request best = *request;
        best.method = SCRAP_CUT_BEST;
        g_autoptr(scrap_plan) plan = scrap_plan_make(piece_outline(piece), &best, error);
        if (plan == NULL)
            return FALSE;
        if (piece->own != NULL) {
            g_set_error_literal(
                error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "done: only scraps of the book can be cut; count the squares "
                "of others with motley basket add.");
            return FALSE;
        }
        planned += plan->squares;
        cut_harvest harvest = { piece->scrap, plan->squares };
        memset(piece, 0, sizeof *piece);
        g_array_append_val(harvests, harvest);
    }
    *ret_known = got < 0 || got == planned || harvests->len == 1;
    if (got >= 0 && harvests->len > 0)
        spread(harvests, planned, (int)got);
    return TRUE;
}

static gboolean put_in(store_change *change, const GArray *harvests, length unit,
                       bool known, GError **error)
{
    int64_t layer;
    if (!store_layer_add(change, &layer, error))
        return FALSE;
    for (guint i = 0; i < harvests->len; i++) {
        const cut_harvest *one = &g_array_index(harvests, cut_harvest, i);
        store_ledger_row row = { .layer = layer,
                                 .unit = unit,
                                 .fabric = one->scrap.fabric,
                                 .source = one->scrap.source,
                                 .count = one->squares,
                                 .how = STORE_CUT,
                                 .fabric_known = known,
                                 .counted = true };
        if ((one->squares > 0 && !store_ledger_append(change, &row, NULL, error)) ||
            !store_scrap_set_state(change, one->scrap.id, STORE_SCRAP_CUT, error))
            return FALSE;
    }
    return TRUE;
}

gboolean app_do_cut_done(app *self, const app_call *call, json_t **ret_document,
                         GError **error)
{
    app_settings settings;
    app_cutting cutting;
    bool known = true;
    g_autoptr(GArray) harvests = g_array_new(FALSE, TRUE, sizeof(cut_harvest));
    g_array_set_clear_func(harvests, harvest_clear);
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error) ||
        !app_cutting_requested(self, call, &cutting, error))
        return FALSE;
    const json_t *rows = json_object_get(call->request, "scraps");
    if (json_is_object(json_array_get(rows, 0))
            ? !harvest_listed(self, rows, harvests, error)
            : !harvest_planned(self, call, settings.bare, &cutting.plan, harvests, &known,
                               error))
        return FALSE;
    if (harvests->len == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_SCRAP,
                            "There is no scrap to cut.");
        return FALSE;
    }
    int squares = 0;
    for (guint i = 0; i < harvests->len; i++)
        squares += g_array_index(harvests, cut_harvest, i).squares;

    g_autofree char *count = app_document_count(squares, "square");
    g_autofree char *scraps = app_document_count(harvests->len, "scrap");
    g_autofree char *what = g_strdup_printf("Cut %s from %s", count, scraps);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !put_in(change, harvests, cutting.plan.unit, known, error) ||
        !store_change_commit(change, error))
        return FALSE;
    *ret_document = json_pack("{s:o, s:[], s:{s:i, s:f}, s:s}", "unit_in",
                              app_document_inches(cutting.plan.unit), "plans", "total",
                              "squares", squares, "minutes", 0.0, "done", what);
    return TRUE;
}
