#include "scrap/fit.h"

#include <math.h>
#include <string.h>

enum { SAMPLES = 96, SETTLING = 12 };

typedef struct spot {
    double x, y;
} spot;

void scrap_motion_apply(const scrap_motion *motion, double x, double y, double *ret_x,
                        double *ret_y)
{
    *ret_x = motion->c * x - motion->s * y + motion->dx;
    *ret_y = motion->s * x + motion->c * y + motion->dy;
}

/* The ring's corner i, counted anticlockwise whichever way the ring runs. */
static spot corner(const scrap_ring *ring, bool backwards, int i)
{
    int at = i % ring->count;
    const scrap_point *p = &ring->points[backwards ? ring->count - 1 - at : at];
    return (spot){ p->x, p->y };
}

/* SAMPLES points at even steps along a ring, anticlockwise. */
static void spread(const scrap_ring *ring, spot ret_at[static SAMPLES])
{
    bool backwards = scrap_ring_area2(ring) < 0;
    double whole = 0;
    for (int i = 0; i < ring->count; i++) {
        spot a = corner(ring, backwards, i), b = corner(ring, backwards, i + 1);
        whole += hypot(b.x - a.x, b.y - a.y);
    }
    double gone = 0;
    int n = 0;
    for (int i = 0; i < ring->count && n < SAMPLES; i++) {
        spot a = corner(ring, backwards, i), b = corner(ring, backwards, i + 1);
        double side = hypot(b.x - a.x, b.y - a.y);
        for (double at; n < SAMPLES && (at = whole * n / SAMPLES - gone) < side; n++)
            ret_at[n] =
                (spot){ a.x + (b.x - a.x) * at / side, a.y + (b.y - a.y) * at / side };
        gone += side;
    }
    for (; n < SAMPLES; n++) /* what rounding left of the last step */
        ret_at[n] = corner(ring, backwards, 0);
}

/* The motion that brings from[i] nearest to to[(i + start) % SAMPLES] by least squares.
 */
static scrap_motion laid_on(const spot from[static SAMPLES],
                            const spot to[static SAMPLES], int start)
{
    spot a = { 0, 0 }, b = { 0, 0 };
    for (int i = 0; i < SAMPLES; i++) {
        a.x += from[i].x / SAMPLES, a.y += from[i].y / SAMPLES;
        b.x += to[i].x / SAMPLES, b.y += to[i].y / SAMPLES;
    }
    double along = 0, across = 0;
    for (int i = 0; i < SAMPLES; i++) {
        const spot *p = &from[i], *q = &to[(i + start) % SAMPLES];
        along += (p->x - a.x) * (q->x - b.x) + (p->y - a.y) * (q->y - b.y);
        across += (p->x - a.x) * (q->y - b.y) - (p->y - a.y) * (q->x - b.x);
    }
    double size = hypot(along, across);
    double c = size > 0 ? along / size : 1, s = size > 0 ? across / size : 0;
    return (scrap_motion){ c, s, b.x - (c * a.x - s * a.y), b.y - (s * a.x + c * a.y) };
}

static double misfit(const spot from[static SAMPLES], const spot to[static SAMPLES],
                     int start)
{
    scrap_motion motion = laid_on(from, to, start);
    double sum = 0;
    for (int i = 0; i < SAMPLES; i++) {
        const spot *q = &to[(i + start) % SAMPLES];
        double x, y;
        scrap_motion_apply(&motion, from[i].x, from[i].y, &x, &y);
        sum += (x - q->x) * (x - q->x) + (y - q->y) * (y - q->y);
    }
    return sqrt(sum / SAMPLES);
}

/* The place on a ring that lies nearest to a point. */
static spot nearest_on(const scrap_ring *ring, spot p)
{
    spot best = p;
    double least = INFINITY;
    for (int i = 0; i < ring->count; i++) {
        spot a = corner(ring, false, i), b = corner(ring, false, i + 1);
        double ux = b.x - a.x, uy = b.y - a.y, whole = ux * ux + uy * uy;
        double t = whole > 0 ? ((p.x - a.x) * ux + (p.y - a.y) * uy) / whole : 0;
        t = fmin(1, fmax(0, t));
        spot q = { a.x + t * ux, a.y + t * uy };
        double off = hypot(q.x - p.x, q.y - p.y);
        if (off < least) {
            least = off;
            best = q;
        }
    }
    return best;
}

/* From a rough motion to the one that lays the points on the ring's sides. */
static scrap_fit settle(const spot from[static SAMPLES], const scrap_ring *onto,
                        scrap_motion motion)
{
    scrap_fit fit = { .motion = motion };
    for (int round = 0; round <= SETTLING; round++) {
        spot to[SAMPLES];
        double sum = 0;
        fit.worst = 0;
        for (int i = 0; i < SAMPLES; i++) {
            spot p;
            scrap_motion_apply(&fit.motion, from[i].x, from[i].y, &p.x, &p.y);
            to[i] = nearest_on(onto, p);
            double off = hypot(to[i].x - p.x, to[i].y - p.y);
            sum += off * off;
            fit.worst = fmax(fit.worst, off);
        }
        fit.rms = sqrt(sum / SAMPLES);
        if (round < SETTLING)
            fit.motion = laid_on(from, to, 0);
    }
    return fit;
}

int scrap_fit_find(const scrap_outline *one, const scrap_outline *other,
                   scrap_fit ret_fits[SCRAP_FITS_MAX])
{
    if (one->outer.count < 3 || other->outer.count < 3)
        return 0;
    spot from[SAMPLES], to[SAMPLES];
    double off[SAMPLES];
    spread(&one->outer, from);
    spread(&other->outer, to);
    for (int start = 0; start < SAMPLES; start++)
        off[start] = misfit(from, to, start);

    /* The lowest valleys over all starts, the best first. */
    int valleys[SCRAP_FITS_MAX], count = 0;
    for (int start = 0; start < SAMPLES; start++) {
        if (off[start] > off[(start + 1) % SAMPLES] ||
            off[start] >= off[(start + SAMPLES - 1) % SAMPLES])
            continue;
        int at = count;
        if (count < SCRAP_FITS_MAX)
            count++;
        else if (off[start] < off[valleys[SCRAP_FITS_MAX - 1]])
            at = SCRAP_FITS_MAX - 1;
        else
            continue;
        for (; at > 0 && off[valleys[at - 1]] > off[start]; at--)
            valleys[at] = valleys[at - 1];
        valleys[at] = start;
    }
    for (int i = 0; i < count; i++)
        ret_fits[i] = settle(from, &other->outer, laid_on(from, to, valleys[i]));
    for (int i = 1; i < count; i++)
        for (int k = i; k > 0 && ret_fits[k].rms < ret_fits[k - 1].rms; k--) {
            scrap_fit swap = ret_fits[k];
            ret_fits[k] = ret_fits[k - 1];
            ret_fits[k - 1] = swap;
        }
    return count;
}
