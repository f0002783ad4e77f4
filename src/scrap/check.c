/* Checks of plans and patterns. Nothing here is shared with the searches that made them:
 * what one side overlooks, the other does not. */
#include "base/error.h"
#include "scrap/guillotine.h"
#include "scrap/mix.h"
#include "scrap/plan.h"

#include <math.h>
#include <stdlib.h>

/* Corners are whole length units after a turn: a place may be off by one, a distance
 * between two of them by two. */
static const double rounded = 2;

/* A square in the frame of the plan, or a piece in the frame of its remnant. */
typedef struct box {
    double left, bottom, right, top;
} box;

typedef struct span {
    double from, to;
} span;

typedef struct frame {
    double cosine, sine;
} frame;

static void wrong(GError **error, int number, const char *what)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_PLAN_WRONG, "Piece %d %s.",
                number + 1, what);
}

static int by_left(const void *a, const void *b)
{
    const box *p = a, *q = b;
    return (p->left > q->left) - (p->left < q->left);
}

static int by_bottom(const void *a, const void *b)
{
    const box *p = a, *q = b;
    return (p->bottom > q->bottom) - (p->bottom < q->bottom);
}

/* Parts boxes by cuts from edge to edge: sorted in one direction, a cut goes wherever all
 * that started has ended. Returns whether all come apart; then none lies over another. */
static bool come_apart(int count, box boxes[], bool upright, bool stuck)
{
    if (count < 2)
        return true;
    qsort(boxes, (size_t)count, sizeof boxes[0], upright ? by_left : by_bottom);
    int first = 0, groups = 0;
    for (int i = 0; i < count; i++) {
        double end = -INFINITY;
        first = i;
        for (;; i++) {
            end = fmax(end, upright ? boxes[i].right : boxes[i].top);
            if (i + 1 == count ||
                (upright ? boxes[i + 1].left : boxes[i + 1].bottom) >= end - rounded)
                break;
        }
        groups++;
        bool whole = i - first + 1 == count;
        if (whole && stuck)
            return false;
        if (!come_apart(i - first + 1, boxes + first, !upright, whole))
            return false;
    }
    return groups > 0;
}

static frame frame_of(double angle_deg)
{
    return (frame){ cos(angle_deg * (G_PI / 180)), sin(angle_deg * (G_PI / 180)) };
}

static void turn(frame f, scrap_point p, double *ret_x, double *ret_y)
{
    *ret_x = f.cosine * p.x + f.sine * p.y;
    *ret_y = f.cosine * p.y - f.sine * p.x;
}

/* Whether corners are those of a rectangle of this size that stands upright in the frame
 * of the plan. */
static bool corners_as_box(const scrap_point corners[4], frame f, length width,
                           length height, box *ret_box)
{
    double x[4], y[4];
    for (int i = 0; i < 4; i++)
        turn(f, corners[i], &x[i], &y[i]);
    *ret_box = (box){ (x[0] + x[3]) / 2, (y[0] + y[1]) / 2, (x[1] + x[2]) / 2,
                      (y[2] + y[3]) / 2 };
    return fabs(x[0] - x[3]) <= rounded && fabs(x[1] - x[2]) <= rounded &&
           fabs(y[0] - y[1]) <= rounded && fabs(y[2] - y[3]) <= rounded &&
           fabs(ret_box->right - ret_box->left - width) <= rounded &&
           fabs(ret_box->top - ret_box->bottom - height) <= rounded;
}

/* The outline's sides in the frame of the plan. */
typedef struct side {
    double x1, y1, x2, y2;
} side;

static side *turned_sides(const scrap_outline *outline, frame f, int *ret_count)
{
    size_t count = (size_t)outline->outer.count;
    for (int i = 0; i < outline->hole_count; i++)
        count += (size_t)outline->holes[i].count;
    side *sides = g_new(side, count), *next = sides;
    for (int r = 0; r <= outline->hole_count; r++) {
        const scrap_ring *ring = r == 0 ? &outline->outer : &outline->holes[r - 1];
        for (int i = 0; i < ring->count; i++, next++) {
            turn(f, ring->points[i], &next->x1, &next->y1);
            turn(f, ring->points[(i + 1) % ring->count], &next->x2, &next->y2);
        }
    }
    *ret_count = (int)count;
    return sides;
}

/* The part of the way from a to b, as shares of it, that lies between two places. */
static span part_between(double a, double b, double least, double most)
{
    if (fabs(b - a) < 1e-9)
        return a > least && a < most ? (span){ 0, 1 } : (span){ 1, 0 };
    double t1 = (least - a) / (b - a), t2 = (most - a) / (b - a);
    return (span){ fmax(0, fmin(t1, t2)), fmin(1, fmax(t1, t2)) };
}

static bool enters(const side *s, const box *in)
{
    if ((s->x1 <= in->left && s->x2 <= in->left) ||
        (s->x1 >= in->right && s->x2 >= in->right) ||
        (s->y1 <= in->bottom && s->y2 <= in->bottom) ||
        (s->y1 >= in->top && s->y2 >= in->top))
        return false;
    span x = part_between(s->x1, s->x2, in->left, in->right);
    span y = part_between(s->y1, s->y2, in->bottom, in->top);
    return fmax(x.from, y.from) < fmin(x.to, y.to);
}

/* Whether no side enters a box, shrunk by what may stand over, and its middle lies in the
 * scrap. */
static bool is_inside(const scrap_outline *outline, frame f, int count,
                      const side sides[], const box *piece, double over)
{
    double by = over + rounded;
    box core = { piece->left + by, piece->bottom + by, piece->right - by,
                 piece->top - by };
    for (int i = 0; i < count; i++)
        if (enters(&sides[i], &core))
            return false;
    double x = (piece->left + piece->right) / 2, y = (piece->bottom + piece->top) / 2;
    return scrap_outline_holds(outline, f.cosine * x - f.sine * y,
                               f.sine * x + f.cosine * y);
}

/* Cuts and sides of the outline in the frame of the plan. Those along it are sorted by
 * where they lie, so that each square is held only against those near it. */
typedef struct rule {
    double at; /* y of a level one, x of an upright one */
    span along;
    double off;  /* how far from `at` it may part a square's side */
    bool is_cut; /* else a side of the outline */
} rule;

typedef struct rules {
    int count[2]; /* level, upright */
    rule *list[2];
    bool all_cuts_along; /* no cut leans */
    int side_count;
    side *sides;
    span *spans; /* room for the rules along one side of a piece */
} rules;

static int by_at(const void *a, const void *b)
{
    const rule *p = a, *q = b;
    return (p->at > q->at) - (p->at < q->at);
}

static bool add_rule(rules *rs, frame f, scrap_point a, scrap_point b, double off,
                     bool is_cut)
{
    double x[2], y[2];
    turn(f, a, &x[0], &y[0]);
    turn(f, b, &x[1], &y[1]);
    bool fits = false;
    for (int upright = 0; upright < 2; upright++) {
        const double *across = upright ? x : y, *along = upright ? y : x;
        if (fabs(across[0] - across[1]) > off)
            continue;
        fits = true;
        rs->list[upright][rs->count[upright]++] = (rule){
            (across[0] + across[1]) / 2,
            { fmin(along[0], along[1]), fmax(along[0], along[1]) },
            off,
            is_cut,
        };
    }
    return fits;
}

static void rules_make(rules *rs, int cut_count, const scrap_cut cuts[],
                       const scrap_outline *outline, frame f, double over)
{
    *rs = (rules){ .all_cuts_along = true };
    rs->sides = turned_sides(outline, f, &rs->side_count);
    size_t most = (size_t)cut_count + (size_t)rs->side_count;
    rs->list[0] = g_new(rule, most);
    rs->list[1] = g_new(rule, most);
    rs->spans = g_new(span, most);
    for (int i = 0; i < cut_count; i++)
        if (!add_rule(rs, f, cuts[i].from, cuts[i].to, rounded, true))
            rs->all_cuts_along = false;
    for (int r = 0; r <= outline->hole_count; r++) {
        const scrap_ring *ring = r == 0 ? &outline->outer : &outline->holes[r - 1];
        for (int i = 0; i < ring->count; i++)
            add_rule(rs, f, ring->points[i], ring->points[(i + 1) % ring->count],
                     over + rounded, false);
    }
    for (int upright = 0; upright < 2; upright++)
        qsort(rs->list[upright], (size_t)rs->count[upright], sizeof(rule), by_at);
}

static void rules_clear(rules *rs)
{
    g_free(rs->sides);
    g_free(rs->list[0]);
    g_free(rs->list[1]);
    g_free(rs->spans);
}

/* The first rule at or after a place. */
static int first_at(const rules *rs, bool upright, double at)
{
    int low = 0, high = rs->count[upright];
    while (low < high) {
        int middle = low + (high - low) / 2;
        if (rs->list[upright][middle].at < at)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static bool is_cut_through(const rules *rs, const box *square)
{
    for (int upright = 0; upright < 2; upright++) {
        double from = upright ? square->left : square->bottom;
        double to = upright ? square->right : square->top;
        double low = upright ? square->bottom : square->left;
        double high = upright ? square->top : square->right;
        for (int i = first_at(rs, upright, from + rounded);
             i < rs->count[upright] && rs->list[upright][i].at < to - rounded; i++) {
            const rule *cut = &rs->list[upright][i];
            if (cut->is_cut && cut->along.from < high - rounded &&
                cut->along.to > low + rounded)
                return true;
        }
    }
    return false;
}

static int by_from(const void *a, const void *b)
{
    const span *p = a, *q = b;
    return (p->from > q->from) - (p->from < q->from);
}

/* Whether cuts or the outline's own edge run along the whole of a side. */
static bool is_parted(const rules *rs, bool upright, double at, span part, double over)
{
    int count = 0;
    span *spans = rs->spans;
    for (int i = first_at(rs, upright, at - over - rounded);
         i < rs->count[upright] && rs->list[upright][i].at <= at + over + rounded; i++) {
        const rule *r = &rs->list[upright][i];
        if (fabs(r->at - at) <= r->off && r->along.to >= part.from &&
            r->along.from <= part.to)
            spans[count++] = r->along;
    }
    qsort(spans, (size_t)count, sizeof spans[0], by_from);
    double reached = part.from;
    for (int i = 0; i < count && spans[i].from <= reached + over + rounded; i++)
        reached = fmax(reached, spans[i].to);
    return reached >= part.to - over - rounded;
}

static bool all_sides_are_parted(const rules *rs, const box *b, double over)
{
    span level = { b->left, b->right }, upright = { b->bottom, b->top };
    return is_parted(rs, false, b->bottom, level, over) &&
           is_parted(rs, false, b->top, level, over) &&
           is_parted(rs, true, b->left, upright, over) &&
           is_parted(rs, true, b->right, upright, over);
}

/* What is wrong with where a piece lies, or NULL. */
static const char *fault_of_place(const scrap_outline *outline, frame f, const rules *rs,
                                  double over, const box *piece)
{
    if (!is_inside(outline, f, rs->side_count, rs->sides, piece, over))
        return "stands over the outline";
    if (is_cut_through(rs, piece))
        return "is cut through";
    return all_sides_are_parted(rs, piece, over) ? NULL : "has a side that nothing cuts";
}

static gboolean check_squares(const scrap_plan *plan, const scrap_outline *outline,
                              frame f, const rules *rs, length over, box boxes[],
                              GError **error)
{
    for (int i = 0; i < plan->squares; i++) {
        const char *what = "is no square of the unit along the plan";
        if (corners_as_box(plan->places[i].corners, f, plan->unit, plan->unit, &boxes[i]))
            what = fault_of_place(outline, f, rs, over, &boxes[i]);
        if (what != NULL) {
            wrong(error, i, what);
            return FALSE;
        }
    }
    return TRUE;
}

static gboolean check_whole(bool fine, GError **error)
{
    if (!fine)
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_PLAN_WRONG,
                            "The pieces do not come apart by straight cuts from edge to "
                            "edge, or do not add up.");
    return fine;
}

gboolean scrap_plan_check(const scrap_plan *plan, const scrap_outline *outline,
                          length over, GError **error)
{
    g_autofree box *boxes = g_new(box, (size_t)plan->squares + 1);
    frame f = frame_of(plan->angle_deg);
    rules rs;
    rules_make(&rs, plan->cut_count, plan->cuts, outline, f, over);
    bool along = rs.all_cuts_along;
    gboolean placed = check_squares(plan, outline, f, &rs, over, boxes, error);
    rules_clear(&rs);
    return placed &&
           check_whole(along && plan->squares <= plan->bound && plan->waste_area2 >= 0 &&
                           come_apart(plan->squares, boxes, false, false),
                       error);
}

static bool is_wanted(const scrap_piece *piece, int count, const scrap_want wants[])
{
    if (piece->want < 0 || piece->want >= count)
        return false;
    const scrap_want *w = &wants[piece->want];
    return (piece->width == w->width && piece->height == w->height) ||
           (w->turns && piece->width == w->height && piece->height == w->width);
}

gboolean scrap_guillotine_check(const scrap_guillotine *pattern, length width,
                                length height, int count, const scrap_want wants[],
                                GError **error)
{
    g_autofree box *boxes = g_new(box, pattern->piece_count + 1);
    int64_t value = 0;
    for (int i = 0; i < pattern->piece_count; i++) {
        const scrap_piece *p = &pattern->pieces[i];
        const char *what = NULL;
        if (!is_wanted(p, count, wants))
            what = "is of no wanted size";
        else if (p->x < 0 || p->y < 0 || p->width > width - p->x ||
                 p->height > height - p->y)
            what = "stands over the remnant";
        if (what != NULL) {
            wrong(error, i, what);
            return FALSE;
        }
        /* Grown by the slip that come_apart() allows, so that here it allows none. */
        boxes[i] = (box){ p->x, p->y, (double)p->x + p->width + rounded,
                          (double)p->y + p->height + rounded };
        value += wants[p->want].value;
    }
    if (value != pattern->value ||
        !come_apart(pattern->piece_count, boxes, true, false)) {
        g_set_error_literal(
            error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_PLAN_WRONG,
            value != pattern->value
                ? "The pieces do not add up to the value."
                : "Straight cuts from edge to edge do not part the pieces.");
        return FALSE;
    }
    return TRUE;
}

static gboolean check_mix_pieces(const scrap_mix *mix, const scrap_outline *outline,
                                 frame f, const rules *rs, length over, int count,
                                 const scrap_want wants[], box boxes[], GError **error)
{
    for (int i = 0; i < mix->piece_count; i++) {
        const scrap_mix_piece *piece = &mix->pieces[i];
        const char *what = "is of no wanted size";
        if (piece->want >= 0 && piece->want < count) {
            const scrap_want *w = &wants[piece->want];
            if (corners_as_box(piece->corners, f, w->width, w->height, &boxes[i]) ||
                (w->turns &&
                 corners_as_box(piece->corners, f, w->height, w->width, &boxes[i])))
                what = fault_of_place(outline, f, rs, over, &boxes[i]);
        }
        if (what != NULL) {
            wrong(error, i, what);
            return FALSE;
        }
    }
    return TRUE;
}

gboolean scrap_mix_check(const scrap_mix *mix, const scrap_outline *outline, length over,
                         int count, const scrap_want wants[], GError **error)
{
    g_autofree box *boxes = g_new(box, (size_t)mix->piece_count + 1);
    frame f = frame_of(mix->angle_deg);
    rules rs;
    rules_make(&rs, mix->cut_count, mix->cuts, outline, f, over);
    bool along = rs.all_cuts_along;
    gboolean placed =
        check_mix_pieces(mix, outline, f, &rs, over, count, wants, boxes, error);
    rules_clear(&rs);
    if (!placed)
        return FALSE;
    int64_t value = 0;
    for (int i = 0; i < mix->piece_count; i++)
        value += wants[mix->pieces[i].want].value;
    return check_whole(along && value == mix->value && value <= mix->bound &&
                           come_apart(mix->piece_count, boxes, false, false),
                       error);
}
