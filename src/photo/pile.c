#include "photo/pieces-internal.h"

#include <math.h>

/* Scraps that touch and share their colours cannot be told apart by them. Their common
 * outline can show it: where one ends at the other, it is notched on both sides. */
static const double notch_in = 0.25; /* radius in which a notch is seen */
static const double notch_fill = 0.6,
                    least_both_fill = 1.3; /* less is no notch that anybody asks for */
static const double neck_fill = 0.53;      /* of a single notch of a neck */
static const double least_line_in = 0.4, least_sq_in = 0.5; /* of each part */
static const double least_neck_px = 4;
static const double beside_in = 0.08; /* cloth on both sides of the line */

double photo_piece_filled_round(const photo_bits *mask, double x, double y,
                                double radius_px)
{
    int in = 0, all = 0;
    for (int v = (int)(y - radius_px); v <= (int)(y + radius_px); v++)
        for (int u = (int)(x - radius_px); u <= (int)(x + radius_px); u++)
            if (hypot(u + 0.5 - x, v + 0.5 - y) <= radius_px) {
                all++;
                in += photo_bits_get(mask, u, v);
            }
    return (double)in / all;
}

/* Whether the line runs through the piece and not along its edge. */
static bool runs_inside(const photo_piece *piece, photo_point a, photo_point b,
                        double beside_px)
{
    double size = hypot(b.x - a.x, b.y - a.y);
    double nx = -(b.y - a.y) / size * beside_px, ny = (b.x - a.x) / size * beside_px;
    for (double t = 0.2; t <= 0.8; t += 0.05)
        for (int side = -1; side <= 1; side++) {
            double x = a.x + t * (b.x - a.x) + side * nx - piece->left;
            double y = a.y + t * (b.y - a.y) + side * ny - piece->top;
            if (!photo_bits_get(piece->mask, (int)floor(x), (int)floor(y)))
                return false;
        }
    return true;
}

/* A point of the ring at which it is notched. */
typedef struct notch {
    int at; /* index */
    double fill;
} notch;

/* All that fill more of their discs than that. */
static GArray *notches_of(const photo_piece *piece, int per_in, double least_fill)
{
    const photo_ring *ring = &piece->ring[0];
    GArray *notches = g_array_new(FALSE, FALSE, sizeof(notch));
    for (int i = 0; i < ring->count; i++) {
        notch one = { i, photo_piece_filled_round(
                             piece->mask, ring->point[i].x - piece->left,
                             ring->point[i].y - piece->top, notch_in * per_in) };
        if (one.fill > least_fill)
            g_array_append_val(notches, one);
    }
    return notches;
}

/* The sums of cross products along a ring from its first point on, one more than it has
 * points, so that the area beside any line through it is quickly had. */
static double *summed_crosses(const photo_ring *ring)
{
    double *sums = g_new(double, ring->count + 1);
    sums[0] = 0;
    for (int i = 0; i < ring->count; i++) {
        photo_point a = ring->point[i], b = ring->point[(i + 1) % ring->count];
        sums[i + 1] = sums[i] + a.x * b.y - b.x * a.y;
    }
    return sums;
}

/* A line between two notches. */
typedef struct part_line {
    photo_neck neck;
    photo_point a, b;
    double length_px, smaller_px2; /* of the two areas beside it */
} part_line;

static part_line line_between(const photo_ring *ring, const double *sums,
                              const notch *one, const notch *other)
{
    photo_point a = ring->point[one->at], b = ring->point[other->at];
    double beside = fabs(sums[other->at] - sums[one->at] + b.x * a.y - a.x * b.y);
    return (part_line){ .neck = { one->at, other->at, one->fill + other->fill },
                        .a = a,
                        .b = b,
                        .length_px = hypot(b.x - a.x, b.y - a.y),
                        .smaller_px2 =
                            fmin(beside, fabs(sums[ring->count]) - beside) / 2 };
}

double photo_piece_notched(const photo_piece *piece, int per_in)
{
    if (piece->ring_count == 0)
        return 0;
    const photo_ring *ring = &piece->ring[0];
    double most = least_both_fill;
    bool notched = false;
    g_autofree double *sums = summed_crosses(ring);
    g_autoptr(GArray) notches = notches_of(piece, per_in, notch_fill);
    for (guint i = 0; i < notches->len; i++)
        for (guint k = i + 1; k < notches->len; k++) {
            part_line line = line_between(ring, sums, &g_array_index(notches, notch, i),
                                          &g_array_index(notches, notch, k));
            if (line.neck.fill > most && line.length_px > least_line_in * per_in &&
                line.smaller_px2 > least_sq_in * per_in * per_in &&
                runs_inside(piece, line.a, line.b, beside_in * per_in)) {
                most = line.neck.fill;
                notched = true;
            }
        }
    return notched ? most : 0;
}

static gint deeper_first(gconstpointer a, gconstpointer b)
{
    const photo_neck *one = a, *other = b;
    return (one->fill < other->fill) - (one->fill > other->fill);
}

GArray *photo_piece_necks(const photo_piece *piece, int per_in, double least_fill,
                          double most_length, double least_px2)
{
    GArray *necks = g_array_new(FALSE, FALSE, sizeof(photo_neck));
    if (piece->ring_count == 0)
        return necks;
    const photo_ring *ring = &piece->ring[0];
    g_autofree double *sums = summed_crosses(ring);
    g_autoptr(GArray) notches = notches_of(piece, per_in, neck_fill);
    for (guint i = 0; i < notches->len; i++)
        for (guint k = i + 1; k < notches->len; k++) {
            part_line line = line_between(ring, sums, &g_array_index(notches, notch, i),
                                          &g_array_index(notches, notch, k));
            if (line.neck.fill > least_fill && line.smaller_px2 > least_px2 &&
                line.length_px > least_neck_px &&
                line.length_px < most_length * sqrt(line.smaller_px2) &&
                runs_inside(piece, line.a, line.b, 0))
                g_array_append_val(necks, line.neck);
        }
    g_array_sort(necks, deeper_first);
    return necks;
}
