#include "photo/outline-internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Douglas and Peucker's tolerance. What they leave out is error that the picture does not
 * ask for: 0.5 px cost a tenth of all that outlines were off. */
static const double spare_px = 0.25;
static const double spare_hole_px2 = 20; /* smaller holes are noise */

photo_piece *photo_piece_new(int left, int top, int width, int height)
{
    photo_piece *piece = g_new0(photo_piece, 1);
    piece->left = left;
    piece->top = top;
    piece->mask = photo_bits_new(width, height);
    piece->sure = 1;
    return piece;
}

static void clear_rings(photo_piece *piece)
{
    for (int i = 0; i < piece->ring_count; i++)
        g_free(piece->ring[i].point);
    g_clear_pointer(&piece->ring, g_free);
    piece->ring_count = 0;
}

void photo_piece_free(photo_piece *piece)
{
    if (piece == NULL)
        return;
    clear_rings(piece);
    photo_bits_free(piece->mask);
    g_free(piece);
}

double photo_ring_area(const photo_ring *ring)
{
    double twice = 0;
    for (int i = 0, j = ring->count - 1; i < ring->count; j = i++)
        twice +=
            ring->point[j].x * ring->point[i].y - ring->point[i].x * ring->point[j].y;
    return -twice / 2; /* rows run down, the table's y up */
}

/* Directions of a crack: right, down, left, up. The mask lies to the left of the walk as
 * the table sees it, so outer rings come out anticlockwise. */
static const int step_x[4] = { 1, 0, -1, 0 }, step_y[4] = { 0, 1, 0, -1 };

/* Whether the pixel ahead on the left, or on the right, of a crack walk at corner (x, y)
 * is set. */
static bool ahead_left(const photo_bits *m, int x, int y, int d)
{
    static const int dx[4] = { 0, 0, -1, -1 }, dy[4] = { -1, 0, 0, -1 };
    return photo_bits_get(m, x + dx[d], y + dy[d]);
}

static bool ahead_right(const photo_bits *m, int x, int y, int d)
{
    return ahead_left(m, x, y, (d + 1) % 4);
}

/* Walks one ring from the crack below... its midpoints are appended to points. Cracks
 * walked to the right are marked, which finds every ring once. */
static void walk(const photo_bits *m, int x0, int y0, photo_bits *seen, GArray *points)
{
    int x = x0, y = y0, d = 0;
    do {
        photo_point mid = { x + step_x[d] * 0.5, y + step_y[d] * 0.5 };
        g_array_append_val(points, mid);
        if (d == 0)
            photo_bits_set(seen, x, y);
        x += step_x[d];
        y += step_y[d];
        /* 4-connected: at a corner where pixels touch only diagonally, turn left, so
         * that they stay apart */
        if (!ahead_left(m, x, y, d))
            d = (d + 3) % 4;
        else if (ahead_right(m, x, y, d))
            d = (d + 1) % 4;
    } while (x != x0 || y != y0 || d != 0);
}

/* Gaussian weights along the ring, closed. */
static void smooth(int n, const photo_point *in, double sigma, photo_point *out)
{
    enum { REACH = 12 };
    double w[REACH + 1];
    int reach = MIN(REACH, (int)ceil(3 * sigma));
    double sum = 0;
    for (int i = 0; i <= reach; i++) {
        w[i] = exp(-0.5 * i * i / (sigma * sigma));
        sum += i == 0 ? w[i] : 2 * w[i];
    }
    for (int i = 0; i < n; i++) {
        photo_point p = { w[0] * in[i].x, w[0] * in[i].y };
        for (int k = 1; k <= reach; k++) {
            photo_point a = in[(i + k) % n], b = in[((i - k) % n + n) % n];
            p.x += w[k] * (a.x + b.x);
            p.y += w[k] * (a.y + b.y);
        }
        out[i] = (photo_point){ p.x / sum, p.y / sum };
    }
}

/* Linear light at a place of the plan; FALSE outside of what the photo covers. */
static bool sample(const photo_plan *plan, double column, double row, float rgb[static 3])
{
    double u = column - 0.5, v = row - 0.5;
    int x = (int)floor(u), y = (int)floor(v);
    if (x < 0 || y < 0 || x + 1 >= plan->width || y + 1 >= plan->height)
        return false;
    size_t at = (size_t)y * (size_t)plan->width + (size_t)x,
           below = at + (size_t)plan->width;
    if (!plan->covered[at] || !plan->covered[at + 1] || !plan->covered[below] ||
        !plan->covered[below + 1])
        return false;
    float p = (float)(u - x), q = (float)(v - y);
    for (int k = 0; k < 3; k++) {
        float top = plan->rgb[3 * at + k] * (1 - p) + plan->rgb[3 * at + 3 + k] * p;
        float low = plan->rgb[3 * below + k] * (1 - p) + plan->rgb[3 * below + 3 + k] * p;
        rgb[k] = top * (1 - q) + low * q;
    }
    return true;
}

enum {
    REACH_PX = 4, /* how far the step is looked for on either side */
    PER_PX = 2,   /* samples a pixel */
    SIDE = REACH_PX * PER_PX,
    SAMPLES = 2 * SIDE + 1,
};

static int by_float(const void *a, const void *b)
{
    float x = *(const float *)a, y = *(const float *)b;
    return (x > y) - (x < y);
}

/* How much of the cloth's colour a place has, the surface having none. Each channel
 * counts relative to its own strength, so that dark cloth on a dark mat counts as much as
 * light on light. FALSE where both differ, so measured, by no more than the least. */
static bool cloth_at(const float in[static 3], const float out[static 3],
                     const float at[static 3], float least, double *ret_share)
{
    float along = 0, size = 0;
    for (int k = 0; k < 3; k++) {
        float scale = 1 / (in[k] + out[k] + 0.02f), step = (in[k] - out[k]) * scale;
        along += (at[k] - out[k]) * scale * step;
        size += step * step;
    }
    if (!(size > least * least))
        return false;
    *ret_share = along / size;
    return true;
}

/* Cloth shades the surface right beside it: an edge to darker cloth looks farther out
 * than it is, by about 0.003 in on rendered photos. */
static float cut_between(const float in[static 3], const float out[static 3])
{
    static const float half = 0.5f, half_of_dark = 0.57f;
    return in[0] + in[1] + in[2] < out[0] + out[1] + out[2] ? half_of_dark : half;
}

static bool sample_across(const photo_plan *plan, photo_point at, double nx, double ny,
                          float rgb[static SAMPLES][3])
{
    for (int i = 0; i < SAMPLES; i++) {
        double t = (double)(i - SIDE) / PER_PX;
        if (!sample(plan, at.x + t * nx, at.y + t * ny, rgb[i]))
            return false;
    }
    return true;
}

/* Of several places where the colour steps, that nearest to where the edge is held to
 * be. */
static void keep_nearest(int i, double here, double next, double cut, double *best)
{
    if (!(here >= cut && next < cut))
        return;
    double t = (i + (here - cut) / (here - next) - SIDE) / PER_PX;
    if (isnan(*best) || fabs(t) < fabs(*best))
        *best = t;
}

double photo_edge_step(const photo_plan *plan, photo_point at, double nx, double ny)
{
    /* Both sides: the outer and inner 1.5 px. */
    enum { ENDS = 4 };
    float rgb[SAMPLES][3], in[3] = { 0 }, out[3] = { 0 };
    double share[SAMPLES], best = NAN;
    if (!sample_across(plan, at, nx, ny, rgb))
        return NAN;
    for (int k = 0; k < 3; k++)
        for (int i = 0; i < ENDS; i++) {
            in[k] += rgb[i][k] / ENDS;
            out[k] += rgb[SAMPLES - 1 - i][k] / ENDS;
        }
    for (int i = 0; i < SAMPLES; i++)
        if (!cloth_at(in, out, rgb[i], 0.063f, &share[i]))
            return NAN;
    double cut = cut_between(in, out);
    for (int i = 0; i + 1 < SAMPLES; i++)
        keep_nearest(i, share[i], share[i + 1], cut, &best);
    return best;
}

/* The same beside the edge of a mask, which is seldom off by more than a pixel: the
 * surface is looked at 1 to 1.5 px beyond it, nearer than most of what lies beside an
 * edge, and the cloth 1.5 to 2 px within of each place where the edge may be, since print
 * changes from there on. Measured by build/tests/score-photos: half a pixel more or less
 * changes the mean overlap by 0.0002 at most. */
static double step_by_mask(const photo_plan *plan, photo_point at, double nx, double ny)
{
    enum { BEYOND = SIDE + 1 * PER_PX, WITHIN = 3 };
    float rgb[SAMPLES][3], in[3], out[3];
    double best = NAN, here, next;
    if (!sample_across(plan, at, nx, ny, rgb))
        return NAN;
    for (int k = 0; k < 3; k++)
        out[k] = (rgb[BEYOND][k] + rgb[BEYOND + 1][k]) / 2;
    for (int i = WITHIN + 1; i + 1 < SAMPLES; i++) {
        for (int k = 0; k < 3; k++)
            in[k] = (rgb[i - WITHIN][k] + rgb[i - WITHIN - 1][k]) / 2;
        if (cloth_at(in, out, rgb[i], 0.1f, &here) &&
            cloth_at(in, out, rgb[i + 1], 0.1f, &next))
            keep_nearest(i, here, next, cut_between(in, out), &best);
    }
    return best;
}

/* The median of the found steps over a window along the edge; 0 where few were found. */
static double steady(int n, const double *offset, int i, int reach)
{
    float v[64];
    int found = 0, looked = 0;
    reach = MIN(reach, (n - 1) / 2);
    for (int k = -reach; k <= reach; k++) {
        double o = offset[((i + k) % n + n) % n];
        looked++;
        if (!isnan(o))
            v[found++] = (float)o;
    }
    if (found * 3 < looked)
        return 0;
    qsort(v, (size_t)found, sizeof v[0], by_float);
    return found % 2 ? v[found / 2] : (v[found / 2 - 1] + v[found / 2]) / 2;
}

/* Moves each point of a ring to the step of colour. Returns the share of points whose
 * step was not found. */
static double sharpen(const photo_plan *plan, int n, photo_point *point)
{
    enum { WINDOW = 3 };
    g_autofree photo_point *soft = g_new(photo_point, n);
    g_autofree photo_point *fine = g_new(photo_point, n);
    g_autofree double *offset = g_new(double, n);
    g_autofree photo_point *normal = g_new(photo_point, n);
    smooth(n, point, 2.5, soft);
    smooth(n, point, 1.1, fine);
    int lost = 0;
    for (int i = 0; i < n; i++) {
        photo_point a = soft[(i + n - 2) % n], b = soft[(i + 2) % n];
        double dx = b.x - a.x, dy = b.y - a.y, size = hypot(dx, dy);
        /* the mask lies to the left of the walk, in rows that run down */
        normal[i] =
            size > 1e-6 ? (photo_point){ -dy / size, dx / size } : (photo_point){ 0, 0 };
        offset[i] =
            size > 1e-6 ? step_by_mask(plan, fine[i], normal[i].x, normal[i].y) : NAN;
        lost += isnan(offset[i]);
    }
    for (int i = 0; i < n; i++) {
        double o = steady(n, offset, i, WINDOW);
        point[i] =
            (photo_point){ fine[i].x + o * normal[i].x, fine[i].y + o * normal[i].y };
    }
    /* the steps of neighbours jump by what the median lets pass */
    smooth(n, point, 0.8, fine);
    memcpy(point, fine, sizeof point[0] * (size_t)n);
    return (double)lost / n;
}

/* A straight line through points of a ring from one index on, some steps apart. FALSE
 * when they are not straight. */
typedef struct straight {
    double x, y, dx, dy; /* a point, and the unit way of the walk */
} straight;

static bool fit_straight(int n, const photo_point *p, int from, int to, straight *ret)
{
    static const double most_rms_px = 0.9;
    double x = 0, y = 0, xx = 0, xy = 0, yy = 0;
    int count = to - from + 1;
    for (int i = from; i <= to; i++) {
        photo_point q = p[(i % n + n) % n];
        x += q.x / count;
        y += q.y / count;
    }
    for (int i = from; i <= to; i++) {
        photo_point q = p[(i % n + n) % n];
        xx += (q.x - x) * (q.x - x);
        xy += (q.x - x) * (q.y - y);
        yy += (q.y - y) * (q.y - y);
    }
    double way = 0.5 * atan2(2 * xy, xx - yy);
    straight line = { x, y, cos(way), sin(way) };
    photo_point a = p[(from % n + n) % n], b = p[(to % n + n) % n];
    if ((b.x - a.x) * line.dx + (b.y - a.y) * line.dy < 0) {
        line.dx = -line.dx;
        line.dy = -line.dy;
    }
    double across = (xx + yy - hypot(xx - yy, 2 * xy)) / 2;
    if (sqrt(across / count) > most_rms_px)
        return false;
    *ret = line;
    return true;
}

/* Whether cloth reaches on from a rounded corner towards the point where its sides meet:
 * halfway there some of its colour is left, between the colours well inside and beyond.
 */
static bool cloth_reaches(const photo_plan *plan, photo_point corner, photo_point meet)
{
    static const float least = 0.2f;
    double dx = meet.x - corner.x, dy = meet.y - corner.y, size = hypot(dx, dy);
    dx /= size;
    dy /= size;
    float in[3], out[3], at[3], along = 0, all = 0;
    if (!sample(plan, corner.x - 4 * dx, corner.y - 4 * dy, in) ||
        !sample(plan, meet.x + 5 * dx, meet.y + 5 * dy, out) ||
        !sample(plan, (corner.x + meet.x) / 2, (corner.y + meet.y) / 2, at))
        return false;
    for (int k = 0; k < 3; k++) {
        float scale = 1 / (in[k] + out[k] + 0.02f);
        along += (at[k] - out[k]) * (in[k] - out[k]) * scale * scale;
        all += (in[k] - out[k]) * (in[k] - out[k]) * scale * scale;
    }
    return all > 0.004f && along > least * all;
}

/* Masks round off corners. Where two straight sides meet at an angle the tip is put back,
 * if the picture shows cloth there. Tips only: an inner corner is as sharp as it looks.
 */
static void restore_corners(const photo_plan *plan, int n, photo_point *p)
{
    enum { NEAR = 6, FAR = 26 };
    static const double most_px = 9, least_px = 0.6;
    static const double least_turn = 0.5; /* sine: 30 degrees */
    if (n < 2 * FAR + 2)
        return;
    g_autofree double *turn = g_new(double, n);
    g_autofree straight *before = g_new(straight, n);
    g_autofree straight *after = g_new(straight, n);
    for (int i = 0; i < n; i++) {
        turn[i] = 0;
        if (!fit_straight(n, p, i - FAR, i - NEAR, &before[i]) ||
            !fit_straight(n, p, i + NEAR, i + FAR, &after[i]))
            continue;
        /* anticlockwise in the table is clockwise in rows that run down */
        double left = before[i].dy * after[i].dx - before[i].dx * after[i].dy;
        double along = before[i].dx * after[i].dx + before[i].dy * after[i].dy;
        turn[i] = left <= 0 ? 0 : along < 0 ? 2 - left : left;
    }
    g_autofree photo_point *out = g_memdup2(p, sizeof p[0] * (gsize)n);
    for (int i = 0; i < n; i++) {
        bool sharpest = turn[i] > least_turn && turn[i] < 1.95;
        for (int k = -FAR / 2; k <= FAR / 2 && sharpest; k++) {
            double other = turn[((i + k) % n + n) % n];
            sharpest = other < turn[i] || (other == turn[i] && k >= 0);
        }
        if (!sharpest)
            continue;
        const straight *a = &before[i], *b = &after[i];
        double det = a->dx * b->dy - a->dy * b->dx;
        double t = ((b->x - a->x) * b->dy - (b->y - a->y) * b->dx) / det;
        photo_point meet = { a->x + t * a->dx, a->y + t * a->dy };
        double far = hypot(meet.x - p[i].x, meet.y - p[i].y);
        if (far > most_px || far < least_px || !cloth_reaches(plan, p[i], meet))
            continue;
        for (int k = -NEAR; k <= NEAR; k++) {
            const straight *line = k < 0 ? a : b;
            photo_point q = p[((i + (k < 0 ? -NEAR - 1 : NEAR + 1)) % n + n) % n];
            double foot = (q.x - line->x) * line->dx + (q.y - line->y) * line->dy;
            photo_point from = { line->x + foot * line->dx, line->y + foot * line->dy };
            double share = abs(k) / (NEAR + 1.0);
            out[((i + k) % n + n) % n] =
                (photo_point){ meet.x + share * (from.x - meet.x),
                               meet.y + share * (from.y - meet.y) };
        }
    }
    memcpy(p, out, sizeof p[0] * (size_t)n);
}

static double off_line(photo_point p, photo_point a, photo_point b)
{
    double dx = b.x - a.x, dy = b.y - a.y, size = hypot(dx, dy);
    if (!(size > 1e-9))
        return hypot(p.x - a.x, p.y - a.y);
    double along = ((p.x - a.x) * dx + (p.y - a.y) * dy) / size;
    if (along < 0)
        return hypot(p.x - a.x, p.y - a.y);
    if (along > size)
        return hypot(p.x - b.x, p.y - b.y);
    return fabs((p.x - a.x) * dy - (p.y - a.y) * dx) / size;
}

/* D. Douglas, T. Peucker, The Canadian Cartographer 10(2), 1973; with a stack of ranges
 * instead of recursion. Point n stands for the first one again. */
static void keep_needed(int n, const photo_point *p, int first, int last, double spare,
                        uint8_t *keep)
{
    g_autoptr(GArray) todo = g_array_new(FALSE, FALSE, 2 * sizeof(int));
    int range[2] = { first, last };
    g_array_append_val(todo, range);
    while (todo->len > 0) {
        memcpy(range, todo->data + (todo->len - 1) * sizeof range, sizeof range);
        g_array_set_size(todo, todo->len - 1);
        double most = spare;
        int at = -1;
        for (int i = range[0] + 1; i < range[1]; i++) {
            double d = off_line(p[i], p[range[0]], p[range[1] % n]);
            if (d > most) {
                most = d;
                at = i;
            }
        }
        if (at < 0)
            continue;
        keep[at] = 1;
        int low[2] = { range[0], at }, high[2] = { at, range[1] };
        g_array_append_val(todo, low);
        g_array_append_val(todo, high);
    }
}

static photo_ring simplified(int n, const photo_point *p, double spare)
{
    /* begin with two points far apart, which stay */
    int far = 0;
    for (int i = 1; i < n; i++)
        if (hypot(p[i].x - p[0].x, p[i].y - p[0].y) >
            hypot(p[far].x - p[0].x, p[far].y - p[0].y))
            far = i;
    int start = 0;
    for (int i = 0; i < n; i++)
        if (hypot(p[i].x - p[far].x, p[i].y - p[far].y) >
            hypot(p[start].x - p[far].x, p[start].y - p[far].y))
            start = i;
    g_autofree photo_point *turned = g_new(photo_point, n);
    for (int i = 0; i < n; i++)
        turned[i] = p[(start + i) % n];
    far = (far - start + n) % n;

    g_autofree uint8_t *keep = g_new0(uint8_t, n + 1);
    keep[0] = keep[far] = 1;
    keep_needed(n, turned, 0, far, spare, keep);
    keep_needed(n, turned, far, n, spare, keep);
    photo_ring ring = { 0, g_new(photo_point, n) };
    for (int i = 0; i < n; i++)
        if (keep[i])
            ring.point[ring.count++] = turned[i];
    return ring;
}

/* Where the sides a b and c d cross each other. */
static bool crossing(photo_point a, photo_point b, photo_point c, photo_point d,
                     photo_point *ret_at)
{
    double ux = b.x - a.x, uy = b.y - a.y, vx = d.x - c.x, vy = d.y - c.y;
    double det = ux * vy - uy * vx, wx = c.x - a.x, wy = c.y - a.y;
    if (fabs(det) < 1e-12)
        return false;
    double s = (wx * vy - wy * vx) / det, t = (wx * uy - wy * ux) / det;
    if (s < 0 || s > 1 || t < 0 || t > 1)
        return false;
    *ret_at = (photo_point){ a.x + s * ux, a.y + s * uy };
    return true;
}

static double length_of(const photo_ring *ring, int from, int to)
{
    double sum = 0;
    for (int i = from; i < to; i++)
        sum += hypot(ring->point[i + 1].x - ring->point[i].x,
                     ring->point[i + 1].y - ring->point[i].y);
    return sum;
}

/* Takes off small loops: where a thin tooth or notch is narrower than the steps of its
 * two sides are sure, these cross each other. Each loop becomes the point of crossing. */
static void take_loops_off(photo_ring *ring)
{
    static const double most_px = 24; /* round a loop */
    for (int i = 0; i + 2 < ring->count; i++) {
        for (int j = i + 2; j < ring->count - (i == 0); j++) {
            photo_point at, *p = ring->point;
            if (!crossing(p[i], p[i + 1], p[j], p[(j + 1) % ring->count], &at))
                continue;
            int n = ring->count;
            double loop = length_of(ring, i + 1, j);
            double rest =
                length_of(ring, 0, i) + length_of(ring, j + 1, n - 1) +
                (j + 1 < n ? hypot(p[n - 1].x - p[0].x, p[n - 1].y - p[0].y) : 0);
            if (fmin(loop, rest) > most_px)
                continue;
            if (loop <= rest) {
                p[i + 1] = at;
                memmove(p + i + 2, p + j + 1, (size_t)(n - j - 1) * sizeof p[0]);
                ring->count = n - (j - i - 1);
            } else {
                p[i] = at;
                memmove(p, p + i, (size_t)(j - i + 1) * sizeof p[0]);
                ring->count = j - i + 1;
            }
            i = -1; /* from the start: loops may lie in loops */
            break;
        }
    }
}

/* With a plan the points are moved to the step of colour; without one they are only
 * smoothed. */
static void trace(photo_piece *piece, const photo_plan *plan, bool corners)
{
    clear_rings(piece);
    const photo_bits *m = piece->mask;
    photo_bits *seen = photo_bits_new(m->width + 1, m->height + 1);
    g_autoptr(GArray) rings = g_array_new(FALSE, FALSE, sizeof(photo_ring));
    g_autoptr(GArray) points = g_array_new(FALSE, FALSE, sizeof(photo_point));
    double lost = 0, edge = 0;
    for (int y = 0; y <= m->height; y++) {
        for (int x = 0; x < m->width; x++) {
            /* a crack walked to the right has the mask on its left: the row above it */
            if (!photo_bits_get(m, x, y - 1) || photo_bits_get(m, x, y) ||
                photo_bits_get(seen, x, y))
                continue;
            g_array_set_size(points, 0);
            walk(m, x, y, seen, points);
            int n = (int)points->len;
            photo_point *p = (photo_point *)(void *)points->data;
            photo_ring whole = { n, p };
            double area = photo_ring_area(&whole);
            if (fabs(area) < spare_hole_px2)
                continue;
            for (int i = 0; i < n; i++) {
                p[i].x += piece->left;
                p[i].y += piece->top;
            }
            edge += n;
            if (plan == NULL) {
                g_autofree photo_point *soft = g_new(photo_point, n);
                smooth(n, p, 1.0, soft);
                memcpy(p, soft, sizeof p[0] * (size_t)n);
            } else {
                lost += n * sharpen(plan, n, p);
                if (area > 0)
                    photo_ring_straighten(n, p);
                if (area > 0 && corners)
                    restore_corners(plan, n, p);
            }
            photo_ring ring = simplified(n, p, spare_px);
            take_loops_off(&ring);
            double after = photo_ring_area(&ring);
            if (ring.count < 3 || (after > 0) != (area > 0)) {
                g_free(ring.point);
                continue;
            }
            g_array_append_val(rings, ring);
        }
    }
    photo_bits_free(seen);

    piece->ragged = edge > 0 ? lost / edge : 0;
    piece->ring_count = (int)rings->len;
    piece->ring = (photo_ring *)(void *)g_array_free(g_steal_pointer(&rings), FALSE);
    int outer = 0;
    for (int i = 1; i < piece->ring_count; i++)
        if (photo_ring_area(&piece->ring[i]) > photo_ring_area(&piece->ring[outer]))
            outer = i;
    if (outer > 0) {
        photo_ring swap = piece->ring[0];
        piece->ring[0] = piece->ring[outer];
        piece->ring[outer] = swap;
    }
}

void photo_piece_trace(photo_piece *piece, const photo_plan *plan, bool corners)
{
    trace(piece, plan, corners);
}

void photo_piece_trace_plainly(photo_piece *piece)
{
    trace(piece, NULL, false);
}
