#include "scrap/outline.h"

#include "base/error.h"

#include <math.h>
#include <stdlib.h>

/* One side of a ring, for finding those that meet. */
typedef struct side {
    scrap_point from, to;
    length left, right;
    int ring, index; /* ring 0 is the outer one */
    int count;       /* sides of the ring */
} side;

static const scrap_ring *ring_of(const scrap_outline *outline, int ring)
{
    return ring == 0 ? &outline->outer : &outline->holes[ring - 1];
}

static scrap_point after(const scrap_ring *ring, int i)
{
    return ring->points[i + 1 == ring->count ? 0 : i + 1];
}

int64_t scrap_ring_area2(const scrap_ring *ring)
{
    /* About the first corner, so that the sums stay as small as the ring is. */
    int64_t sum = 0;
    for (int i = 1; i + 1 < ring->count; i++) {
        int64_t ax = ring->points[i].x - ring->points[0].x;
        int64_t ay = ring->points[i].y - ring->points[0].y;
        int64_t bx = ring->points[i + 1].x - ring->points[0].x;
        int64_t by = ring->points[i + 1].y - ring->points[0].y;
        sum += ax * by - ay * bx;
    }
    return sum;
}

int64_t scrap_outline_area2(const scrap_outline *outline)
{
    int64_t area = llabs(scrap_ring_area2(&outline->outer));
    for (int i = 0; i < outline->hole_count; i++)
        area -= llabs(scrap_ring_area2(&outline->holes[i]));
    return area > 0 ? area : 0;
}

double scrap_area2_to_sq_in(int64_t area2)
{
    return (double)area2 / (2.0 * LENGTH_INCH * LENGTH_INCH);
}

void scrap_outline_box(const scrap_outline *outline, scrap_point *ret_least,
                       scrap_point *ret_most)
{
    scrap_point least = outline->outer.points[0], most = least;
    for (int i = 1; i < outline->outer.count; i++) {
        scrap_point p = outline->outer.points[i];
        least.x = MIN(least.x, p.x);
        least.y = MIN(least.y, p.y);
        most.x = MAX(most.x, p.x);
        most.y = MAX(most.y, p.y);
    }
    *ret_least = least;
    *ret_most = most;
}

double scrap_outline_perimeter(const scrap_outline *outline)
{
    double sum = 0;
    for (int r = 0; r <= outline->hole_count; r++) {
        const scrap_ring *ring = ring_of(outline, r);
        for (int i = 0; i < ring->count; i++) {
            scrap_point a = ring->points[i], b = after(ring, i);
            sum += hypot((double)b.x - a.x, (double)b.y - a.y);
        }
    }
    return sum;
}

double scrap_outline_longest_side_deg(const scrap_outline *outline)
{
    int64_t longest = -1;
    double angle = 0;
    for (int i = 0; i < outline->outer.count; i++) {
        scrap_point a = outline->outer.points[i], b = after(&outline->outer, i);
        int64_t dx = b.x - a.x, dy = b.y - a.y;
        if (dx * dx + dy * dy > longest) {
            longest = dx * dx + dy * dy;
            angle = atan2((double)dy, (double)dx) * (180 / G_PI);
        }
    }
    if (angle < 0)
        angle += 180;
    return angle >= 180 ? angle - 180 : angle;
}

void scrap_points_turn(int count, const scrap_point points[], double angle_deg,
                       scrap_point ret_points[])
{
    double turn = fmod(angle_deg, 360);
    if (turn < 0)
        turn += 360;
    double c = cos(turn * (G_PI / 180)), s = sin(turn * (G_PI / 180));
    if (fmod(turn, 90) == 0) {
        static const int cosines[] = { 1, 0, -1, 0 };
        int quarter = (int)(turn / 90) % 4;
        c = cosines[quarter];
        s = cosines[(quarter + 3) % 4];
    }
    for (int i = 0; i < count; i++) {
        double x = points[i].x, y = points[i].y;
        ret_points[i].x = (length)lround(c * x - s * y);
        ret_points[i].y = (length)lround(s * x + c * y);
    }
}

static bool ring_holds(const scrap_ring *ring, double x, double y)
{
    bool inside = false;
    for (int i = 0; i < ring->count; i++) {
        scrap_point a = ring->points[i], b = after(ring, i);
        if ((a.y > y) != (b.y > y) &&
            x < a.x + (y - a.y) * ((double)b.x - a.x) / ((double)b.y - a.y))
            inside = !inside;
    }
    return inside;
}

bool scrap_outline_holds(const scrap_outline *outline, double x, double y)
{
    bool inside = ring_holds(&outline->outer, x, y);
    for (int i = 0; i < outline->hole_count; i++)
        if (ring_holds(&outline->holes[i], x, y))
            inside = !inside;
    return inside;
}

/* Above zero when c lies to the left of a to b. */
static int64_t turn_of(scrap_point a, scrap_point b, scrap_point c)
{
    return (int64_t)(b.x - a.x) * (c.y - a.y) - (int64_t)(b.y - a.y) * (c.x - a.x);
}

static bool within(length a, length b, length x)
{
    return MIN(a, b) <= x && x <= MAX(a, b);
}

/* Whether p, which is in line with a and b, lies between them. */
static bool on_side(scrap_point a, scrap_point b, scrap_point p)
{
    return within(a.x, b.x, p.x) && within(a.y, b.y, p.y);
}

static int sign_of(int64_t x)
{
    return (x > 0) - (x < 0);
}

/* Whether two sides have a point in common; then where, roughly. */
static bool sides_meet(const side *s, const side *t, double *ret_x, double *ret_y)
{
    int64_t s1 = turn_of(t->from, t->to, s->from), s2 = turn_of(t->from, t->to, s->to);
    int64_t t1 = turn_of(s->from, s->to, t->from), t2 = turn_of(s->from, s->to, t->to);
    if (sign_of(s1) * sign_of(s2) < 0 && sign_of(t1) * sign_of(t2) < 0) {
        double share = (double)s1 / ((double)s1 - (double)s2);
        *ret_x = s->from.x + share * ((double)s->to.x - s->from.x);
        *ret_y = s->from.y + share * ((double)s->to.y - s->from.y);
        return true;
    }
    const scrap_point *at = NULL;
    if (s1 == 0 && on_side(t->from, t->to, s->from))
        at = &s->from;
    else if (s2 == 0 && on_side(t->from, t->to, s->to))
        at = &s->to;
    else if (t1 == 0 && on_side(s->from, s->to, t->from))
        at = &t->from;
    else if (t2 == 0 && on_side(s->from, s->to, t->to))
        at = &t->to;
    if (at == NULL)
        return false;
    *ret_x = at->x;
    *ret_y = at->y;
    return true;
}

/* Sides that follow each other share a corner; they may share no more. */
static bool doubles_back(const side *s, const side *next)
{
    return turn_of(s->from, s->to, next->to) == 0 &&
           (int64_t)(s->to.x - s->from.x) * (next->to.x - s->to.x) +
                   (int64_t)(s->to.y - s->from.y) * (next->to.y - s->to.y) <=
               0;
}

static bool pair_is_wrong(const side *s, const side *t, double *ret_x, double *ret_y)
{
    bool follows = s->ring == t->ring && (s->index + 1) % s->count == t->index;
    bool leads = s->ring == t->ring && (t->index + 1) % t->count == s->index;
    if (!follows && !leads)
        return sides_meet(s, t, ret_x, ret_y);
    const scrap_point corner = follows ? s->to : t->to;
    *ret_x = corner.x;
    *ret_y = corner.y;
    return follows ? doubles_back(s, t) : doubles_back(t, s);
}

static int by_left(const void *a, const void *b)
{
    const side *s = a, *t = b;
    if (s->left != t->left)
        return s->left < t->left ? -1 : 1;
    if (s->ring != t->ring)
        return s->ring < t->ring ? -1 : 1;
    return (s->index > t->index) - (s->index < t->index);
}

/* Corners that repeat the one before make no side. */
static int list_sides(const scrap_outline *outline, side *ret_sides)
{
    int count = 0;
    for (int r = 0; r <= outline->hole_count; r++) {
        const scrap_ring *ring = ring_of(outline, r);
        int first = count;
        for (int i = 0; i < ring->count; i++) {
            scrap_point a = ring->points[i], b = after(ring, i);
            if (a.x == b.x && a.y == b.y)
                continue;
            ret_sides[count] = (side){ a, b, MIN(a.x, b.x), MAX(a.x, b.x), r, 0, 0 };
            ret_sides[count].index = count - first;
            count++;
        }
        for (int i = first; i < count; i++)
            ret_sides[i].count = count - first;
    }
    return count;
}

static void set_crossing(GError **error, double x, double y)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_OUTLINE_CROSSES,
                "The outline crosses or touches itself at (%.2f, %.2f) in.",
                x / LENGTH_INCH, y / LENGTH_INCH);
}

/* Sides sorted by their left ends: each is held against those that start before it
 * ends. */
static gboolean check_crossings(const scrap_outline *outline, int corners, GError **error)
{
    g_autofree side *sides = g_new(side, corners);
    int count = list_sides(outline, sides);
    qsort(sides, (size_t)count, sizeof sides[0], by_left);
    for (int i = 0; i < count; i++) {
        length low = MIN(sides[i].from.y, sides[i].to.y);
        length high = MAX(sides[i].from.y, sides[i].to.y);
        for (int j = i + 1; j < count && sides[j].left <= sides[i].right; j++) {
            double x, y;
            if (MAX(sides[j].from.y, sides[j].to.y) < low ||
                MIN(sides[j].from.y, sides[j].to.y) > high)
                continue;
            if (pair_is_wrong(&sides[i], &sides[j], &x, &y)) {
                set_crossing(error, x, y);
                return FALSE;
            }
        }
    }
    return TRUE;
}

static gboolean check_ring(const scrap_ring *ring, int number, GError **error)
{
    if (ring->count < 3 || ring->points == NULL) {
        if (number == 0)
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_OUTLINE_TOO_FEW,
                        "The outline has %d corners.", ring->count);
        else
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_OUTLINE_TOO_FEW,
                        "Hole %d has %d corners.", number, ring->count);
        return FALSE;
    }
    for (int i = 0; i < ring->count; i++) {
        scrap_point p = ring->points[i];
        if (p.x < -SCRAP_SIZE_MAX || p.x > SCRAP_SIZE_MAX || p.y < -SCRAP_SIZE_MAX ||
            p.y > SCRAP_SIZE_MAX) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_OUTLINE_TOO_LARGE,
                        "A corner lies more than 5 m from the card.");
            return FALSE;
        }
    }
    return TRUE;
}

static gboolean check_rings(const scrap_outline *outline, int *ret_corners,
                            GError **error)
{
    if (outline->hole_count < 0 || outline->hole_count > SCRAP_HOLES_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_OUTLINE_TOO_MANY,
                    "The outline has %d holes; %d are the most.", outline->hole_count,
                    SCRAP_HOLES_MAX);
        return FALSE;
    }
    int64_t corners = 0;
    for (int r = 0; r <= outline->hole_count; r++)
        corners += MAX(0, ring_of(outline, r)->count);
    if (corners > SCRAP_CORNERS_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_OUTLINE_TOO_MANY,
                    "The outline has %" PRId64 " corners; %d are the most.", corners,
                    SCRAP_CORNERS_MAX);
        return FALSE;
    }
    for (int r = 0; r <= outline->hole_count; r++)
        if (!check_ring(ring_of(outline, r), r, error))
            return FALSE;
    *ret_corners = (int)corners;
    return TRUE;
}

static bool in_one_line(const scrap_ring *ring)
{
    /* From the corner furthest off, so that a repeated first corner hides nothing. */
    scrap_point a = ring->points[0], far = a;
    int64_t furthest = 0;
    for (int i = 1; i < ring->count; i++) {
        int64_t dx = ring->points[i].x - a.x, dy = ring->points[i].y - a.y;
        if (dx * dx + dy * dy > furthest) {
            furthest = dx * dx + dy * dy;
            far = ring->points[i];
        }
    }
    for (int i = 0; i < ring->count; i++)
        if (turn_of(a, far, ring->points[i]) != 0)
            return false;
    return true;
}

/* No sides meet, so one corner of a hole tells for all of it. */
static gboolean check_holes(const scrap_outline *outline, GError **error)
{
    for (int i = 0; i < outline->hole_count; i++) {
        scrap_point p = outline->holes[i].points[0];
        if (!ring_holds(&outline->outer, p.x, p.y)) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_HOLE_OUTSIDE,
                        "Hole %d lies outside the scrap.", i + 1);
            return FALSE;
        }
        for (int j = 0; j < outline->hole_count; j++) {
            if (j != i && ring_holds(&outline->holes[j], p.x, p.y)) {
                g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_HOLE_OUTSIDE,
                            "Hole %d lies inside hole %d.", i + 1, j + 1);
                return FALSE;
            }
        }
    }
    return TRUE;
}

gboolean scrap_outline_check(const scrap_outline *outline, GError **error)
{
    int corners;
    if (!check_rings(outline, &corners, error))
        return FALSE;
    scrap_point least, most;
    scrap_outline_box(outline, &least, &most);
    if (most.x - least.x > SCRAP_SIZE_MAX || most.y - least.y > SCRAP_SIZE_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_OUTLINE_TOO_LARGE,
                    "The scrap is %.1f in long.",
                    length_to_inches(MAX(most.x - least.x, most.y - least.y)));
        return FALSE;
    }
    for (int r = 0; r <= outline->hole_count; r++) {
        if (in_one_line(ring_of(outline, r))) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_OUTLINE_TOO_FEW,
                        "The corners of %s lie in one line.",
                        r == 0 ? "the outline" : "a hole");
            return FALSE;
        }
    }
    return check_crossings(outline, corners, error) && check_holes(outline, error);
}
