#include "shape.h"

#include "cloth.h"

#include <glib.h>
#include <math.h>

/* Corners of unit size; scaled to the area afterwards. */
static const struct {
    int corners;
    double stretch; /* most that one way is longer than the other */
    photo_point corner[SHAPE_CORNERS_MAX];
} forms[] = {
    { 4, 1.6, { { -1, -1 }, { 1, -1 }, { 1, 1 }, { -1, 1 } } },
    { 4, 7, { { -1, -1 }, { 1, -1 }, { 1, 1 }, { -1, 1 } } },
    { 3, 1.7, { { -1, -1 }, { 1, -1 }, { -1, 1 } } },
    { 4, 2, { { -1, -1 }, { 1, -1 }, { 0.6, 1 }, { -0.7, 1 } } },
    { 6, 1.4, { { -1, -1 }, { 1, -1 }, { 1, 0 }, { 0, 0 }, { 0, 1 }, { -1, 1 } } },
    { 5, 1.2, { { -0.7, -1 }, { 0.6, -0.9 }, { 1, 0.2 }, { 0.1, 1 }, { -1, 0.3 } } },
    { 8,
      1.3,
      { { -1, -1 },
        { 1, -1 },
        { 1, 1 },
        { 0.5, 1 },
        { 0.5, 0.4 },
        { 0, 0.4 },
        { 0, 1 },
        { -1, 1 } } },
};

enum { BITTEN = G_N_ELEMENTS(forms) - 1 };

double shape_area(int n, const photo_point *p)
{
    double twice = 0;
    for (int i = 0, j = n - 1; i < n; j = i++)
        twice += p[j].x * p[i].y - p[i].x * p[j].y;
    return twice / 2;
}

shape shape_draw(motley_random *random, double area_sq_in)
{
    /* nobody bites into what is small already */
    guint small = area_sq_in < 5 ? BITTEN : G_N_ELEMENTS(forms);
    guint form = motley_random_below(random, small);
    shape s = { .corners = forms[form].corners };
    double stretch = sqrt(cloth_between(random, 1, forms[form].stretch));
    for (int i = 0; i < s.corners; i++)
        s.corner[i] = (photo_point){ forms[form].corner[i].x * stretch +
                                         cloth_between(random, -0.08, 0.08),
                                     forms[form].corner[i].y / stretch +
                                         cloth_between(random, -0.08, 0.08) / stretch };
    double by = sqrt(area_sq_in / shape_area(s.corners, s.corner));
    for (int i = 0; i < s.corners; i++) {
        s.corner[i].x *= by;
        s.corner[i].y *= by;
        double way = motley_random_unit(random);
        s.edge[i] = way < 0.35  ? SHAPE_ROTARY
                    : way < 0.6 ? SHAPE_SCISSORS
                    : way < 0.9 ? SHAPE_FRAYED
                                : SHAPE_PINKED;
    }
    return s;
}

shape shape_laid(const shape *s, photo_point to, double turn)
{
    shape laid = *s;
    for (int i = 0; i < s->corners; i++)
        laid.corner[i] =
            (photo_point){ to.x + cos(turn) * s->corner[i].x - sin(turn) * s->corner[i].y,
                           to.y + sin(turn) * s->corner[i].x +
                               cos(turn) * s->corner[i].y };
    return laid;
}

/* How far outward the cut strays so far along a side; inches. */
static double stray(shape_edge edge, double along, uint64_t seed)
{
    switch (edge) {
    case SHAPE_ROTARY:
        return 0.003 * cloth_noise(along / 0.8, 0.5, seed);
    case SHAPE_SCISSORS:
        return 0.025 * cloth_noise(along / 1.2, 0.5, seed) +
               0.006 * cloth_noise(along / 0.2, 0.5, seed + 1);
    case SHAPE_FRAYED:
        return 0.02 * cloth_noise(along / 0.06, 0.5, seed) +
               0.02 * cloth_noise(along / 0.3, 0.5, seed + 1);
    default: {
        double tooth = along / 0.19 - floor(along / 0.19);
        return -0.1 * (1 - fabs(2 * tooth - 1));
    }
    }
}

int shape_outline(const shape *s, uint64_t seed, photo_point *ret_points)
{
    static const double step[SHAPE_EDGES] = { 0.1, 0.05, 0.015, 0.0475 };
    int count = 0;
    for (int i = 0; i < s->corners; i++) {
        photo_point a = s->corner[i], b = s->corner[(i + 1) % s->corners];
        double side = hypot(b.x - a.x, b.y - a.y);
        photo_point out = { (b.y - a.y) / side, -(b.x - a.x) / side };
        for (double along = 0; along < side && count < SHAPE_POINTS_MAX;
             along += step[s->edge[i]]) {
            /* at its ends a side meets the next one */
            double near = fmin(1, fmin(along, side - along) / 0.06);
            double off = near * stray(s->edge[i], along, seed + 16 * (uint64_t)i);
            ret_points[count++] =
                (photo_point){ a.x + (b.x - a.x) * along / side + off * out.x,
                               a.y + (b.y - a.y) * along / side + off * out.y };
        }
    }
    return count;
}
