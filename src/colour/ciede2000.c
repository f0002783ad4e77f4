#include "colour/ciede2000.h"

#include <math.h>
#include <stdbool.h>

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

/* A hue as a direction: the cosine and the sine of its angle. */
typedef struct hue {
    double c, s;
} hue;

/* Directions nearer to opposite than this have no mean but by the order of their angles.
 */
static const double opposite = 1e-7;

/* The mean of two hues on the shorter way round, which is the bisector. Of hues that lie
 * opposite, that after the one of the lower angle (0 to 180). */
static hue mean_hue(hue one, hue other, bool one_is_lower)
{
    double c = one.c + other.c, s = one.s + other.s, both = length_of(c, s);
    if (both > opposite)
        return (hue){ c / both, s / both };
    hue lower = one_is_lower ? one : other;
    return (hue){ -lower.s, lower.c };
}

/* (15), with the cosines of the multiples of an angle from those of the angle. */
static double hue_weight(hue h)
{
    static const double c30 = 0.86602540378443865, s30 = 0.5;
    static const double c6 = 0.99452189536827333, s6 = 0.10452846326765347;
    static const double c63 = 0.45399049973954675, s63 = 0.89100652418836786;
    double c2 = 2 * h.c * h.c - 1, s2 = 2 * h.s * h.c;
    double c3 = h.c * c2 - h.s * s2, s3 = h.s * c2 + h.c * s2;
    double c4 = 2 * c2 * c2 - 1, s4 = 2 * s2 * c2;
    return 1 - 0.17 * (h.c * c30 + h.s * s30) + 0.24 * c2 + 0.32 * (c3 * c6 - s3 * s6) -
           0.20 * (c4 * c63 + s4 * s63);
}

/* Minus the sine of (16), doubled: how blues lean. Below 125 degrees, six widths from the
 * middle of the bump at 275, it is less than rounding leaves. */
static double lean(hue h)
{
    static const double c125 = -0.57357643635104605;
    if (h.s >= 0 && h.c >= c125)
        return 0;
    double degrees = atan2(h.s, h.c) * (180 / M_PI);
    double bump = (degrees + (degrees < 0 ? 360 : 0) - 275) / 25;
    return -sin(60 * (M_PI / 180) * exp(-bump * bump));
}

/* Numbers in brackets are the equations of Sharma, Wu and Dalal 2005. Hues are kept as
 * directions, which spares most of the angles and their cosines. */
double colour_ciede2000_kl(const colour_lab *a, const colour_lab *b, double kl)
{
    /* (2) to (7): stretch a near the neutral axis */
    double mean = (length_of(a->a, a->b) + length_of(b->a, b->b)) / 2;
    double stretch = 1 + 0.5 * (1 - chroma_root(mean));
    double a1 = stretch * a->a, a2 = stretch * b->a;
    double c1 = length_of(a1, a->b), c2 = length_of(a2, b->b);
    hue h1 = c1 > 0 ? (hue){ a1 / c1, a->b / c1 } : (hue){ 1, 0 };
    hue h2 = c2 > 0 ? (hue){ a2 / c2, b->b / c2 } : (hue){ 1, 0 };

    /* (8) to (14): differences, and means on the shorter way round; what is neutral has
     * the hue of the other */
    double dl = b->l - a->l, dc = c2 - c1, dh = 0;
    double l = (a->l + b->l) / 2, c = (c1 + c2) / 2;
    hue h = c1 > 0 ? h1 : h2;
    if (c1 > 0 && c2 > 0) {
        double ahead = h1.c * h2.s - h1.s * h2.c; /* sine of h2 - h1 */
        bool first_is_lower = h1.s > 0 || (h1.s == 0 && h1.c > 0);
        double apart = length_of(h2.c - h1.c, h2.s - h1.s);
        bool forward =
            length_of(h1.c + h2.c, h1.s + h2.s) > opposite ? ahead >= 0 : first_is_lower;
        dh = sqrt(c1 * c2) * (forward ? apart : -apart);
        h = mean_hue(h1, h2, first_is_lower);
    }

    /* (15) to (21) */
    double l50 = (l - 50) * (l - 50);
    double sl = 1 + 0.015 * l50 / sqrt(20 + l50);
    double sc = 1 + 0.045 * c;
    double sh = 1 + 0.015 * c * hue_weight(h);
    double rt = lean(h) * 2 * chroma_root(c);

    /* (22) */
    double x = dl / (kl * sl), y = dc / sc, z = dh / sh;
    return sqrt(fmax(0, x * x + y * y + z * z + rt * y * z));
}
