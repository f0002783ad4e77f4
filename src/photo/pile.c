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

/* Twice the area that the ring encloses from one of its points to another, closed by the
 * line between them. */
static double area2_between(const photo_ring *ring, int from, int to)
{
    double sum = 0;
    for (int i = from; i != to; i = (i + 1) % ring->count) {
        photo_point a = ring->point[i], b = ring->point[(i + 1) % ring->count];
        sum += a.x * b.y - b.x * a.y;
    }
    photo_point a = ring->point[to], b = ring->point[from];
    return fabs(sum + a.x * b.y - b.x * a.y);
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

static gint deeper_first(gconstpointer a, gconstpointer b)
{
    const photo_neck *one = a, *other = b;
    return (one->fill < other->fill) - (one->fill > other->fill);
}

double photo_piece_notched(const photo_piece *piece, int per_in)
{
    if (piece->ring_count == 0)
        return 0;
    const photo_ring *ring = &piece->ring[0];
    double least_px2 = 2 * least_sq_in * per_in * per_in, most = 0;
    g_autoptr(GArray) notches = notches_of(piece, per_in, notch_fill);
    for (guint i = 0; i < notches->len; i++)
        for (guint k = i + 1; k < notches->len; k++) {
            const notch *one = &g_array_index(notches, notch, i);
            const notch *other = &g_array_index(notches, notch, k);
            int from = one->at, to = other->at;
            photo_point a = ring->point[from], b = ring->point[to];
            if (one->fill + other->fill > fmax(most, least_both_fill) &&
                hypot(b.x - a.x, b.y - a.y) > least_line_in * per_in &&
                area2_between(ring, from, to) > least_px2 &&
                area2_between(ring, to, from) > least_px2 &&
                runs_inside(piece, a, b, beside_in * per_in))
                most = one->fill + other->fill;
        }
    return most;
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
            const notch *one = &g_array_index(notches, notch, i);
            const notch *other = &g_array_index(notches, notch, k);
            photo_neck neck = { one->at, other->at, one->fill + other->fill };
            photo_point a = ring->point[neck.from], b = ring->point[neck.to];
            double beside = fabs(sums[neck.to] - sums[neck.from] + b.x * a.y - a.x * b.y);
            double smaller = fmin(beside, fabs(sums[ring->count]) - beside) / 2;
            double length_px = hypot(b.x - a.x, b.y - a.y);
            if (neck.fill > least_fill && smaller > least_px2 &&
                length_px > least_neck_px && length_px < most_length * sqrt(smaller) &&
                runs_inside(piece, a, b, 0))
                g_array_append_val(necks, neck);
        }
    g_array_sort(necks, deeper_first);
    return necks;
}
