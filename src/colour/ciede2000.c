#include "colour/ciede2000.h"

#include <math.h>

static double radians(double degrees)
{
    return degrees * (M_PI / 180);
}

/* (x / 25)^7 / (1 + (x / 25)^7), as a root: the weight of chroma in both corrections. */
static double chroma_root(double chroma)
{
    double x2 = chroma * chroma, x7 = x2 * x2 * x2 * chroma;
    return sqrt(x7 / (x7 + 6103515625.0)); /* 25^7 */
}

double colour_ciede2000(const colour_lab *a, const colour_lab *b)
{
    return colour_ciede2000_kl(a, b, 1);
}

/* Colours are neither huge nor tiny: the plain root is exact enough, and hypot(), which
 * guards against both, took a third of the time (bench/documents.sh, backgrounds). */
static double length_of(double x, double y)
{
    return sqrt(x * x + y * y);
}

/* Numbers in brackets are the equations of Sharma, Wu and Dalal 2005. */
double colour_ciede2000_kl(const colour_lab *a, const colour_lab *b, double kl)
{
    /* (2) to (7): stretch a near the neutral axis */
    double mean = (length_of(a->a, a->b) + length_of(b->a, b->b)) / 2;
    double stretch = 1 + 0.5 * (1 - chroma_root(mean));
    double a1 = stretch * a->a, a2 = stretch * b->a;
    double c1 = length_of(a1, a->b), c2 = length_of(a2, b->b);
    double h1 = a1 == 0 && a->b == 0 ? 0 : atan2(a->b, a1) * (180 / M_PI);
    double h2 = a2 == 0 && b->b == 0 ? 0 : atan2(b->b, a2) * (180 / M_PI);
    h1 += h1 < 0 ? 360 : 0;
    h2 += h2 < 0 ? 360 : 0;

    /* (8) to (11) */
    double dl = b->l - a->l, dc = c2 - c1, dh = 0;
    if (c1 * c2 != 0) {
        dh = h2 - h1;
        if (dh > 180)
            dh -= 360;
        else if (dh < -180)
            dh += 360;
    }
    double big_dh = 2 * sqrt(c1 * c2) * sin(radians(dh / 2));

    /* (12) to (14): the mean hue, on the shorter way round */
    double l = (a->l + b->l) / 2, c = (c1 + c2) / 2, h = h1 + h2;
    if (c1 * c2 != 0) {
        if (fabs(h1 - h2) <= 180)
            h /= 2;
        else if (h < 360)
            h = (h + 360) / 2;
        else
            h = (h - 360) / 2;
    }

    /* (15) to (21) */
    double t = 1 - 0.17 * cos(radians(h - 30)) + 0.24 * cos(radians(2 * h)) +
               0.32 * cos(radians(3 * h + 6)) - 0.20 * cos(radians(4 * h - 63));
    double bump = (h - 275) / 25;
    double turn = 30 * exp(-bump * bump);
    double l50 = (l - 50) * (l - 50);
    double sl = 1 + 0.015 * l50 / sqrt(20 + l50);
    double sc = 1 + 0.045 * c;
    double sh = 1 + 0.015 * c * t;
    double rt = -sin(radians(2 * turn)) * 2 * chroma_root(c);

    /* (22) */
    double x = dl / (kl * sl), y = dc / sc, z = big_dh / sh;
    return sqrt(fmax(0, x * x + y * y + z * z + rt * y * z));
}
