#include "photo/outline-internal.h"

#include <math.h>
#include <string.h>

/* Half of the stretch of edge that is looked at, in points, which lie about 1 px apart:
 * half an inch on either side. */
enum { REACH = 24, TRIALS = 5, RUN = 7 };

static const double near_px = 1.4;      /* of the side's line: what raggedness does */
static const double least_share = 0.55; /* of the points on either side that lie near */
static const double least_px = 1.5;     /* off the line that is worth a change */
static const double most_out_px = 8; /* a tooth: a grid line or a thread that held on */
static const double most_in_px = 8;  /* a bite: print in the colour of the surface */

typedef struct side {
    double x, y, dx, dy; /* a point, and the unit way of the walk */
} side;

static photo_point at(int n, const photo_point *p, int i)
{
    return p[(i % n + n) % n];
}

/* How far a place lies from the side's line, above 0 outside of the cloth. */
static double outside(const side *line, photo_point q)
{
    return (q.y - line->y) * line->dx - (q.x - line->x) * line->dy;
}

static int count_near(int n, const photo_point *p, int from, int to, const side *line)
{
    int count = 0;
    for (int i = from; i <= to; i++)
        count += fabs(outside(line, at(n, p, i))) <= near_px;
    return count;
}

static bool line_through(photo_point a, photo_point b, side *ret_line)
{
    double dx = b.x - a.x, dy = b.y - a.y, size = hypot(dx, dy);
    if (!(size > 1))
        return false;
    *ret_line = (side){ a.x, a.y, dx / size, dy / size };
    return true;
}

/* The least-squares line through the points near a first one. */
static void fit_to_near(int n, const photo_point *p, int from, int to, side *line)
{
    double x = 0, y = 0, xx = 0, xy = 0, yy = 0;
    int count = 0;
    for (int i = from; i <= to; i++) {
        photo_point q = at(n, p, i);
        if (fabs(outside(line, q)) > near_px)
            continue;
        double u = q.x - line->x, v = q.y - line->y;
        x += u, y += v;
        xx += u * u, xy += u * v, yy += v * v;
        count++;
    }
    x /= count;
    y /= count;
    double way =
        0.5 * atan2(2 * (xy / count - x * y), xx / count - x * x - (yy / count - y * y));
    side fit = { line->x + x, line->y + y, cos(way), sin(way) };
    if (fit.dx * line->dx + fit.dy * line->dy < 0) {
        fit.dx = -fit.dx;
        fit.dy = -fit.dy;
    }
    *line = fit;
}

/* The straight side from which a point strays: of the lines through a point before and
 * one after, that which most points are near. FALSE for points on a side, and at corners
 * and along curves, where no line has enough of them on either side. */
static bool find_side(int n, const photo_point *p, int i, side *ret_line)
{
    int best = 0;
    for (int a = 0; a < TRIALS; a++)
        for (int b = 0; b < TRIALS; b++) {
            side line;
            int from = i - REACH + a * REACH / (TRIALS + 1);
            int to = i + REACH - b * REACH / (TRIALS + 1);
            if (!line_through(at(n, p, from), at(n, p, to), &line))
                continue;
            int before = count_near(n, p, i - REACH, i - 1, &line);
            int after = count_near(n, p, i + 1, i + REACH, &line);
            if (before < least_share * REACH || after < least_share * REACH)
                continue;
            if (fabs(outside(&line, at(n, p, i))) < least_px / 2)
                return false;
            if (before + after <= best)
                continue;
            best = before + after;
            *ret_line = line;
        }
    if (best == 0)
        return false;
    fit_to_near(n, p, i - REACH, i + REACH, ret_line);
    return true;
}

/* Whether a point lies on a straight run of its own that is slanted to the side's line:
 * the line then only cuts across a step between two sides. */
static bool is_on_a_slant(int n, const photo_point *p, int i, const side *line)
{
    static const double straight_px = 0.6, least_slope = 0.05, most_slope = 0.4;
    side run;
    if (!line_through(at(n, p, i - RUN), at(n, p, i + RUN), &run))
        return false;
    for (int k = -RUN; k <= RUN; k++)
        if (fabs(outside(&run, at(n, p, i + k))) > straight_px)
            return false;
    double slope = fabs(run.dx * line->dy - run.dy * line->dx);
    return slope > least_slope && slope < most_slope;
}

void photo_ring_straighten(int n, photo_point *p)
{
    if (n < 4 * REACH)
        return;
    g_autofree photo_point *before = g_memdup2(p, sizeof p[0] * (gsize)n);
    for (int i = 0; i < n; i++) {
        side line;
        if (!find_side(n, before, i, &line))
            continue;
        double off = outside(&line, before[i]);
        if (fabs(off) < least_px || off > most_out_px || off < -most_in_px ||
            is_on_a_slant(n, before, i, &line))
            continue;
        p[i].x += off * line.dy;
        p[i].y -= off * line.dx;
    }
}
