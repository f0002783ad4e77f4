#include "scrap/plan.h"

#include "base/error.h"
#include "scrap/plan-internal.h"
#include "scrap/yield-internal.h"

#include <math.h>
#include <stdlib.h>

const scrap_plan_request SCRAP_PLAN_USUAL = {
    .unit = 5 * LENGTH_INCH / 2,
    .method = SCRAP_CUT_BEST,
    .angles = SCRAP_ANGLES_GRAIN,
    .grain_deg = NAN,
    .tolerance_deg = 3,
    .step_deg = 1,
    .ruler = &SCRAP_RULER_PLAIN,
    .mat = &SCRAP_MAT_USUAL,
    .times = &SCRAP_TIMES_USUAL,
};

/* The best of one method so far. */
typedef struct found {
    int squares;
    double angle_deg; /* of the view */
    bool upright;     /* strips stand along y in it */
} found;

typedef struct search {
    const scrap_outline *outline;
    yield_unit unit;
    yield_room room;
    int by_area; /* bound */
    int bound;   /* over the angles tried so far */
    found grid, strips;
    bool wants_grid, wants_strips;
} search;

void scrap_plan_free(scrap_plan *plan)
{
    if (plan == NULL)
        return;
    g_free(plan->places);
    g_free(plan->cuts);
    plan_frame_free(plan->frame);
    g_free(plan);
}

static gboolean request_is_wrong(GError **error, const char *what)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_REQUEST,
                "The %s is out of range.", what);
    return FALSE;
}

gboolean plan_check_request(const scrap_plan_request *request, GError **error)
{
    if (request->unit < LENGTH_INCH / 4 || request->unit > SCRAP_SIZE_MAX) {
        char text[LENGTH_TEXT_SIZE];
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_UNIT,
                    "A unit of %s in cannot be cut.",
                    length_text_in(MAX(0, request->unit), 64, text));
        return FALSE;
    }
    if (!isnan(request->grain_deg) &&
        !(request->grain_deg >= -360 && request->grain_deg <= 360))
        return request_is_wrong(error, "direction of the grain");
    if (!(request->tolerance_deg >= 0 && request->tolerance_deg <= 45))
        return request_is_wrong(error, "tolerance of the grain");
    if (!(request->step_deg >= 0.25 && request->step_deg <= 45))
        return request_is_wrong(error, "step between angles");
    if (request->trim < 0 || request->trim > SCRAP_SIZE_MAX)
        return request_is_wrong(error, "trim");
    if (request->slack < 0 || request->slack > request->unit / 8)
        return request_is_wrong(error, "slack");
    return scrap_ruler_check(request->ruler, error);
}

/* 1/32 in where that is quick; 1/16 in on pieces over a metre. */
static length finest_pixel(const scrap_outline *outline)
{
    scrap_point least, most;
    scrap_outline_box(outline, &least, &most);
    length longest = MAX(most.x - least.x, most.y - least.y);
    return longest > LENGTH_M ? LENGTH_INCH / 16 : LENGTH_INCH / 32;
}

double plan_normal_deg(double angle_deg)
{
    double angle = fmod(angle_deg, 180);
    if (angle < 0)
        angle += 180;
    return angle >= 180 ? 0 : angle;
}

/* Looks at one angle, with strips both ways: at the angle and square to it. A grid is
 * strips that happen to be in line, so it is sought only where strips beat the best grid
 * so far. */
static void try_angle(search *s, double angle_deg)
{
    yield_view view;
    yield_look(s->outline, &s->unit, angle_deg, &s->room, &view);
    /* Along x last: what its rows hold tells which grids are worth a count. */
    int upright = yield_strips(&view, true, &s->room);
    int level = yield_strips(&view, false, &s->room);
    int most = MAX(level, upright);
    if (most > s->strips.squares)
        s->strips = (found){ most, angle_deg, upright > level };
    if (s->wants_grid && most > s->grid.squares) {
        int row, col;
        int grid = yield_grid(&view, s->room.strip, s->grid.squares, &row, &col);
        if (grid > 0)
            s->grid = (found){ grid, angle_deg, false };
    }
    if (s->bound < s->by_area) {
        int here = yield_bound(&view, s->bound, &s->room);
        s->bound = MAX(s->bound, MIN(s->by_area, here));
    }
}

static bool is_settled(const search *s)
{
    bool strips = !s->wants_strips || s->strips.squares >= s->by_area;
    bool grid = !s->wants_grid || s->grid.squares >= s->by_area;
    return strips && grid;
}

static void try_angles(search *s, const scrap_plan_request *request)
{
    double grain = request->grain_deg;
    if (isnan(grain))
        grain = scrap_outline_longest_side_deg(s->outline);
    double widest = request->angles == SCRAP_ANGLES_FREE ? 45 : request->tolerance_deg;
    s->strips.angle_deg = s->grid.angle_deg = plan_normal_deg(grain);
    /* From the grain outward: of equally good angles the one nearest to it is kept. */
    for (int i = 0; i * request->step_deg <= widest && !is_settled(s); i++) {
        try_angle(s, plan_normal_deg(grain + i * request->step_deg));
        if (i > 0 && i * request->step_deg < 45 && !is_settled(s))
            try_angle(s, plan_normal_deg(grain - i * request->step_deg));
    }
    if (is_settled(s))
        s->bound = s->by_area;
    s->bound = MAX(s->bound, MAX(s->strips.squares, s->grid.squares));
}

static void add_square(plan_layout *layout, length y, length x)
{
    int last = layout->strip_count - 1;
    if (last < 0 || layout->strips[last].y != y)
        layout->strips[layout->strip_count++] = (plan_strip){ y, layout->count, 1 };
    else
        layout->strips[last].count++;
    layout->x[layout->count++] = x;
}

/* The first pixel of a strip's next square at or after `at`, or -1. */
static int next_square(const bits *corners, bool upright, int strip, int at)
{
    if (!upright)
        return bits_next(corners, strip, at);
    for (; at < corners->rows; at++)
        if (bits_get(corners, at, strip))
            return at;
    return -1;
}

/* Squares that touch stay exactly a unit apart, whatever their first was rounded by. */
static void place_strip(const yield_view *view, bool upright, int strip, length y,
                        plan_layout *layout)
{
    int k = view->unit.k, last = -k - 1;
    int64_t start = upright ? view->bottom : view->left;
    length x = 0;
    for (int at = next_square(&view->feasible, upright, strip, 0); at >= 0;
         at = next_square(&view->feasible, upright, strip, at + k)) {
        x = at - last == k ? x + view->unit.unit
                           : yield_edge(start, at + view->shift, &view->unit);
        add_square(layout, y, x);
        last = at;
    }
}

/* Strips from the first row (or column) on, each where the best begins. */
static void place_strips(const yield_view *view, bool upright, const yield_room *room,
                         plan_layout *layout)
{
    int k = view->unit.k, last = -k - 1;
    int starts = upright ? view->feasible.cols : view->feasible.rows;
    int64_t start = upright ? view->left : view->bottom;
    length y = 0;
    for (int at = 0; at < starts;) {
        int above = at + k < starts ? room->best[at + k] : 0;
        if (room->strip[at] == 0 || room->strip[at] + above != room->best[at]) {
            at++;
            continue;
        }
        y = at - last == k ? y + view->unit.unit
                           : yield_edge(start, at + view->shift, &view->unit);
        place_strip(view, upright, at, y, layout);
        last = at;
        at += k;
    }
}

static length mirrored(length start, length unit)
{
    return -start - unit;
}

/* Turns strips that stand along y into strips that lie along x, in a frame a quarter turn
 * on: its x is this y, and its y runs against this x, so that the last strip becomes the
 * first. */
static void lay_down_forward(plan_layout *layout)
{
    for (int i = 0, j = layout->strip_count - 1; i <= j; i++, j--) {
        plan_strip lower = layout->strips[j], upper = layout->strips[i];
        lower.y = mirrored(lower.y, layout->unit);
        upper.y = mirrored(upper.y, layout->unit);
        layout->strips[i] = lower;
        layout->strips[j] = upper;
    }
}

/* The same in a frame a quarter turn back: its y is this x, and its x runs against this
 * y, so that the last square of a strip becomes the first. */
static void lay_down_backward(plan_layout *layout)
{
    for (int s = 0; s < layout->strip_count; s++) {
        length *x = layout->x + layout->strips[s].first;
        for (int i = 0, j = layout->strips[s].count - 1; i <= j; i++, j--) {
            length left = mirrored(x[j], layout->unit),
                   right = mirrored(x[i], layout->unit);
            x[i] = left;
            x[j] = right;
        }
    }
}

/* Keeps the angle of the strips in 0 <= angle < 180. */
static double lay_down(plan_layout *layout, double angle_deg)
{
    double cosine = layout->cosine, sine = layout->sine;
    bool forward = angle_deg < 90;
    layout->cosine = forward ? -sine : sine;
    layout->sine = forward ? cosine : -cosine;
    if (forward)
        lay_down_forward(layout);
    else
        lay_down_backward(layout);
    return forward ? angle_deg + 90 : angle_deg - 90;
}

static void place_grid(const yield_view *view, int first_row, int first_col,
                       plan_layout *layout)
{
    int k = view->unit.k;
    length bottom = yield_edge(view->bottom, first_row + view->shift, &view->unit);
    length left = yield_edge(view->left, first_col + view->shift, &view->unit);
    for (int row = first_row; row < view->feasible.rows; row += k)
        for (int col = first_col; col < view->feasible.cols; col += k)
            if (bits_get(&view->feasible, row, col))
                add_square(layout, bottom + (row - first_row) / k * view->unit.unit,
                           left + (col - first_col) / k * view->unit.unit);
}

static scrap_plan *plan_of(search *s, const scrap_plan_request *request,
                           scrap_method method)
{
    const found *best = method == SCRAP_CUT_GRID ? &s->grid : &s->strips;
    g_autofree length *x = g_new(length, best->squares);
    g_autofree plan_strip *strips = g_new(plan_strip, best->squares);
    plan_layout layout = { .unit = request->unit, .x = x, .strips = strips };
    double angle_deg = best->angle_deg;
    if (best->squares > 0) {
        yield_view view;
        yield_look(s->outline, &s->unit, best->angle_deg, &s->room, &view);
        layout.cosine = view.cosine;
        layout.sine = view.sine;
        if (method == SCRAP_CUT_GRID) {
            int row = 0, col = 0;
            yield_grid(&view, NULL, 0, &row, &col);
            place_grid(&view, row, col, &layout);
        } else {
            yield_strips(&view, best->upright, &s->room);
            place_strips(&view, best->upright, &s->room, &layout);
            if (best->upright)
                angle_deg = lay_down(&layout, angle_deg);
        }
    }

    scrap_plan *plan = g_new0(scrap_plan, 1);
    plan->method = method;
    plan->angle_deg = angle_deg;
    plan->unit = request->unit;
    plan->squares = layout.count;
    plan->bound = s->bound;
    plan->strips = layout.strip_count;
    int64_t used = 2 * (int64_t)request->unit * request->unit * layout.count;
    plan->waste_area2 = MAX(0, scrap_outline_area2(s->outline) - used);
    plan_lay_out(plan, &layout, s->outline, request);
    return plan;
}

/* Minutes a square; without squares none is easier than another. */
static double toil(const scrap_plan *plan)
{
    return plan->squares > 0 ? plan->effort.minutes / plan->squares : 0;
}

static bool is_easier(const scrap_plan *a, const scrap_plan *b)
{
    if (a->squares == 0 || b->squares == 0)
        return a->squares > b->squares;
    return toil(a) < toil(b);
}

static bool is_better(const scrap_plan *a, const scrap_plan *b)
{
    if (a->squares != b->squares)
        return a->squares > b->squares;
    return a->effort.minutes < b->effort.minutes;
}

/* Grid and strips, those that are wanted, each checked before it leaves. */
static gboolean make_plans(const scrap_outline *outline,
                           const scrap_plan_request *request, bool wants_grid,
                           bool wants_strips, scrap_plan **ret_grid,
                           scrap_plan **ret_strips, GError **error)
{
    if (!plan_check_request(request, error) ||
        !scrap_ruler_can_cut(request->ruler, request->unit, error))
        return FALSE;
    search s = {
        .outline = outline,
        .unit = { .unit = request->unit,
                  .k = yield_pixels(request->unit, finest_pixel(outline)),
                  .margin = request->trim - request->slack },
        .wants_grid = wants_grid,
        .wants_strips = wants_strips,
    };
    s.by_area = yield_area_bound(outline, &s.unit);
    yield_room_alloc(outline, &s.unit, &s.room);
    try_angles(&s, request);
    g_autoptr(scrap_plan) grid = wants_grid ? plan_of(&s, request, SCRAP_CUT_GRID) : NULL;
    g_autoptr(scrap_plan) strips =
        wants_strips ? plan_of(&s, request, SCRAP_CUT_STRIPS) : NULL;
    yield_room_clear(&s.room);

    length over = SCRAP_TOUCH + request->slack;
    if ((grid != NULL && !scrap_plan_check(grid, outline, over, error)) ||
        (strips != NULL && !scrap_plan_check(strips, outline, over, error)))
        return FALSE;
    *ret_grid = g_steal_pointer(&grid);
    *ret_strips = g_steal_pointer(&strips);
    return TRUE;
}

scrap_plan *scrap_plan_make(const scrap_outline *outline,
                            const scrap_plan_request *request, GError **error)
{
    g_autoptr(scrap_plan) grid = NULL;
    g_autoptr(scrap_plan) strips = NULL;
    if (!make_plans(outline, request, request->method != SCRAP_CUT_STRIPS,
                    request->method != SCRAP_CUT_GRID, &grid, &strips, error))
        return NULL;
    if (grid == NULL)
        return g_steal_pointer(&strips);
    if (strips == NULL)
        return g_steal_pointer(&grid);
    bool takes_grid = request->method == SCRAP_CUT_BEST ? !is_better(strips, grid)
                                                        : !is_easier(strips, grid);
    return takes_grid ? g_steal_pointer(&grid) : g_steal_pointer(&strips);
}

gboolean scrap_plan_both(const scrap_outline *outline, const scrap_plan_request *request,
                         scrap_plan **ret_best, scrap_plan **ret_easiest, GError **error)
{
    g_autoptr(scrap_plan) grid = NULL;
    g_autoptr(scrap_plan) strips = NULL;
    if (!make_plans(outline, request, true, true, &grid, &strips, error))
        return FALSE;
    bool best_is_grid = !is_better(strips, grid);
    bool easiest_is_grid = !is_easier(strips, grid);
    scrap_plan **best = best_is_grid ? &grid : &strips;
    scrap_plan **other = best_is_grid ? &strips : &grid;
    *ret_best = g_steal_pointer(best);
    *ret_easiest = best_is_grid == easiest_is_grid ? NULL : g_steal_pointer(other);
    return TRUE;
}
