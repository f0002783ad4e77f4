/* Cutting plans for scraps, rectangles and outlines; and what was really cut. */
#include "fabric-internal.h"
#include "pieces-internal.h"

#include "store/basket.h"

#include <stdlib.h>
#include <string.h>

enum { LEFTOVERS_MAX = 12 };

/* Numbers of squares, from 1, that lie close to the edge. */
static json_t *tight_document(const scrap_plan *plan)
{
    json_t *tight = json_array();
    for (int i = 0; i < plan->squares; i++)
        if (plan->places[i].tight)
            json_array_append_new(tight, json_integer(i + 1));
    return tight;
}

static json_t *plan_document(const app_piece *piece, const scrap_plan *plan, bool chosen,
                             bool easiest)
{
    json_t *corners = json_array(), *lines = json_array(), *layings = json_array();
    for (int i = 0; i < plan->squares; i++)
        json_array_append_new(corners, app_document_points(4, plan->places[i].corners));
    for (int i = 0; i < plan->cut_count; i++) {
        const scrap_point ends[2] = { plan->cuts[i].from, plan->cuts[i].to };
        json_array_append_new(lines, app_document_points(2, ends));
        json_array_append_new(layings, json_integer(plan->cuts[i].pass));
    }
    json_t *document = json_pack(
        "{s:o, s:s, s:b, s:b, s:f, s:i, s:i, s:f}", "scrap",
        app_document_id(piece->scrap.id), "method",
        plan->method == SCRAP_CUT_GRID ? "grid" : "strips", "chosen", chosen, "easiest",
        easiest, "angle_deg", plan->angle_deg, "squares", plan->squares, "bound",
        plan->bound, "waste_sq_in", scrap_area2_to_sq_in(plan->waste_area2));
    app_describe_effort(&plan->effort, document);
    json_object_update_new(document, json_pack("{s:o, s:o, s:o, s:o}", "corners_in",
                                               corners, "lines_in", lines, "lines_pass",
                                               layings, "tight", tight_document(plan)));
    return document;
}

/* What to do with the scrap, and the strings and bits that its squares leave. */
static void describe_rest(const app_piece *piece, const scrap_plan *plan,
                          const app_cutting *cutting, json_t *document)
{
    scrap_bit bits[LEFTOVERS_MAX];
    const scrap_outline *outline = app_piece_outline(piece);
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
    json_object_set_new(
        document, "use",
        json_string(app_use_word(scrap_pile_sort(outline, plan, thresholds))));
}

/* How a piece is to be planned: by one method, or both plans where they differ. */
typedef struct cut_asked {
    bool both;
    scrap_method method;
} cut_asked;

static gboolean read_method(const app_call *call, cut_asked *ret_asked, GError **error)
{
    static const char *const words[] = { "grid", "strips", "best", "easiest", NULL };
    static const scrap_method methods[] = { SCRAP_CUT_GRID, SCRAP_CUT_STRIPS,
                                            SCRAP_CUT_BEST, SCRAP_CUT_EASIEST };
    int which = -1;
    if (!app_request_word(call, "method", words, &which, error))
        return FALSE;
    *ret_asked = (cut_asked){ which < 0, which < 0 ? SCRAP_CUT_BEST : methods[which] };
    return TRUE;
}

/* Plans a piece: the plan to follow first, then the easier one where that is another. */
static gboolean plan_piece(const app_piece *piece, const app_cutting *cutting,
                           const cut_asked *asked, json_t *plans, int *squares,
                           double *minutes, GError **error)
{
    scrap_plan *best = NULL, *easiest = NULL;
    scrap_plan_request request = cutting->plan;
    request.method = asked->method;
    if (asked->both) {
        if (!scrap_plan_both(app_piece_outline(piece), &request, &best, &easiest, error))
            return FALSE;
    } else {
        best = scrap_plan_make(app_piece_outline(piece), &request, error);
        if (best == NULL)
            return FALSE;
    }
    *squares += best->squares;
    *minutes += best->effort.minutes;
    bool both_ways = asked->both || asked->method == SCRAP_CUT_EASIEST;
    json_t *chosen = plan_document(piece, best, true, both_ways && easiest == NULL);
    describe_rest(piece, best, cutting, chosen);
    json_array_append_new(plans, chosen);
    if (easiest != NULL)
        json_array_append_new(plans, plan_document(piece, easiest, false, true));
    scrap_plan_free(best);
    scrap_plan_free(easiest);
    return TRUE;
}

gboolean app_do_cut(app *self, const app_call *call, json_t **ret_document,
                    GError **error)
{
    app_cutting cutting;
    cut_asked asked;
    if (!app_cutting_requested(self, call, &cutting, error) ||
        !read_method(call, &asked, error))
        return FALSE;
    if (app_request_has(call, "done"))
        return app_do_cut_done(self, call, ret_document, error);
    if (app_request_has(call, "want"))
        return app_cut_mixed(self, call, &cutting, ret_document, error);
    g_autoptr(GArray) pieces = app_pieces_requested(self, call, &cutting, error);
    if (pieces == NULL)
        return FALSE;
    g_autoptr(json_t) plans = json_array();
    int squares = 0;
    double minutes = 0;
    for (guint i = 0; i < pieces->len; i++)
        if (!app_call_step(call, (double)i / pieces->len, "Planning the cuts", error) ||
            !plan_piece(&g_array_index(pieces, app_piece, i), &cutting, &asked, plans,
                        &squares, &minutes, error))
            return FALSE;
    *ret_document = json_pack("{s:o, s:O, s:{s:i, s:f}}", "unit_in",
                              app_document_inches(cutting.plan.unit), "plans", plans,
                              "total", "squares", squares, "minutes", minutes);
    app_pieces_describe(pieces, *ret_document);
    return TRUE;
}

/* A scrap that was cut, and how many squares it gave. */
typedef struct cut_harvest {
    store_scrap scrap;
    int squares;
    length unit; /* of them */
} cut_harvest;

static void harvest_clear(gpointer data)
{
    store_scrap_clear(&((cut_harvest *)data)->scrap);
}

/* {scraps: [{scrap, squares, unit}, ...]}: each with its own count. A scrap that gave
 * squares of several sizes has a row for each. */
static gboolean harvest_listed(app *self, const json_t *rows, length unit,
                               GArray *harvests, GError **error)
{
    app_settings settings;
    if (!app_settings_get(self, &settings, error))
        return FALSE;
    for (size_t i = 0; i < json_array_size(rows); i++) {
        json_t *row = json_array_get(rows, i);
        g_autoptr(GArray) pieces = app_pieces_new();
        app_call each = { .request = row };
        int64_t squares = -1;
        length of = unit;
        if (!app_pieces_add_scrap(self, pieces, json_object_get(row, "scrap"), error) ||
            !app_request_int(&each, "squares", 0, 100000, &squares, error) ||
            !app_request_length(&each, "unit", settings.bare, &of, error))
            return FALSE;
        cut_harvest harvest = { g_array_index(pieces, app_piece, 0).scrap, (int)squares,
                                of };
        memset(&g_array_index(pieces, app_piece, 0), 0, sizeof(app_piece));
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
static gboolean harvest_planned(app *self, const app_call *call,
                                const app_cutting *cutting, GArray *harvests,
                                bool *ret_known, GError **error)
{
    int64_t got = -1;
    int planned = 0;
    const json_t *done = json_object_get(call->request, "done");
    if (app_request_has(call, "want")) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                            "done: of several sizes, count each: on the page, or with "
                            "motley basket add N --unit SIZE.");
        return FALSE;
    }
    if (!json_is_true(done) && !app_request_int(call, "done", 0, 100000, &got, error))
        return FALSE;
    g_autoptr(GArray) pieces = app_pieces_requested(self, call, cutting, error);
    if (pieces == NULL)
        return FALSE;
    for (guint i = 0; i < pieces->len; i++) {
        app_piece *piece = &g_array_index(pieces, app_piece, i);
        scrap_plan_request best = cutting->plan;
        best.method = SCRAP_CUT_BEST;
        g_autoptr(scrap_plan) plan =
            scrap_plan_make(app_piece_outline(piece), &best, error);
        if (plan == NULL)
            return FALSE;
        if (piece->scrap.id == 0) {
            g_set_error_literal(
                error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "done: only scraps of the book can be cut; count the squares "
                "of others with motley basket add.");
            return FALSE;
        }
        planned += plan->squares;
        cut_harvest harvest = { piece->scrap, plan->squares, plan->unit };
        piece->scrap = (store_scrap){ 0 };
        g_array_append_val(harvests, harvest);
    }
    *ret_known = got < 0 || got == planned || harvests->len == 1;
    if (got >= 0 && harvests->len > 0)
        spread(harvests, planned, (int)got);
    return TRUE;
}

static gboolean put_in(store_change *change, const GArray *harvests, bool known,
                       GError **error)
{
    int64_t layer;
    if (!store_layer_add(change, &layer, error))
        return FALSE;
    for (guint i = 0; i < harvests->len; i++) {
        const cut_harvest *one = &g_array_index(harvests, cut_harvest, i);
        store_ledger_row row = { .layer = layer,
                                 .unit = one->unit,
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
    app_cutting cutting;
    bool known = true;
    g_autoptr(GArray) harvests = g_array_new(FALSE, TRUE, sizeof(cut_harvest));
    g_array_set_clear_func(harvests, harvest_clear);
    if (app_book(self, error) == NULL ||
        !app_cutting_requested(self, call, &cutting, error))
        return FALSE;
    const json_t *rows = json_object_get(call->request, "scraps");
    if (json_is_object(json_array_get(rows, 0))
            ? !harvest_listed(self, rows, cutting.plan.unit, harvests, error)
            : !harvest_planned(self, call, &cutting, harvests, &known, error))
        return FALSE;
    if (harvests->len == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_SCRAP,
                            "There is no scrap to cut.");
        return FALSE;
    }
    int squares = 0, scraps_cut = 0;
    int64_t last = 0;
    for (guint i = 0; i < harvests->len; i++) {
        const cut_harvest *one = &g_array_index(harvests, cut_harvest, i);
        squares += one->squares;
        scraps_cut += one->scrap.id != last;
        last = one->scrap.id;
    }

    g_autofree char *count = app_document_count(squares, "square");
    g_autofree char *scraps = app_document_count(scraps_cut, "scrap");
    g_autofree char *what = g_strdup_printf("Cut %s from %s", count, scraps);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !put_in(change, harvests, known, error) ||
        !store_change_commit(change, error))
        return FALSE;
    *ret_document = json_pack("{s:o, s:[], s:{s:i, s:f}, s:s}", "unit_in",
                              app_document_inches(cutting.plan.unit), "plans", "total",
                              "squares", squares, "minutes", 0.0, "done", what);
    return TRUE;
}
