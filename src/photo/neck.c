#include "photo/pieces-internal.h"

#include "colour/signature.h"

#include <math.h>

/* Two scraps that touch, or one of which lies over the other's corner, hang together at a
 * neck: notched deeply on both sides, short for their size, along which the colour steps
 * and on whose sides the cloths differ. No whole scrap of 700 in rendered photos and in
 * drawn ones had all four, and nearly half of the pairs that colours alone had not parted
 * did (docs/figures/scraps-in-photos.md). */
static const double least_fill = 1.35;    /* see photo_piece_notched() */
static const double most_length = 0.9;    /* by the root of the smaller part's area */
static const double least_sq_in = 0.4;    /* of each part */
static const double least_stepping = 0.6; /* of the line's length */
static const double least_distance = 7;   /* of the two signatures */

/* The pixels of a traced piece on one side of a line between two points of its ring. */
static photo_bits *beside(const photo_piece *traced, const photo_neck *neck)
{
    const photo_ring *ring = &traced->ring[0];
    int count = neck->to - neck->from + 1;
    g_autofree photo_point *at = g_new(photo_point, count);
    for (int i = 0; i < count; i++)
        at[i] = (photo_point){ ring->point[neck->from + i].x - traced->left,
                               ring->point[neck->from + i].y - traced->top };
    photo_bits *side = photo_bits_new(traced->mask->width, traced->mask->height);
    photo_bits_flip_inside(side, count, at);
    photo_bits_and(side, traced->mask);
    return side;
}

static const float *lab_near(const photo_surface *s, double x, double y)
{
    int u = CLAMP((int)floor(x), 0, s->width - 1);
    int v = CLAMP((int)floor(y), 0, s->height - 1);
    return s->lab + ((size_t)v * (size_t)s->width + (size_t)u) * 3;
}

/* The share of a line, moved and turned a little to where it is largest, at which the
 * colour steps. */
static double stepping(const photo_surface *s, photo_point a, photo_point b)
{
    enum { AWAY = 5, TURN = 3, BESIDE = 2 };
    static const double step = 6; /* CIE 1976 */
    double size = hypot(b.x - a.x, b.y - a.y), most = 0;
    double nx = -(b.y - a.y) / size, ny = (b.x - a.x) / size;
    for (int away = -AWAY; away <= AWAY; away++)
        for (int turn = -TURN; turn <= TURN; turn++) {
            int with = 0, all = 0;
            for (double t = 0.1; t <= 0.9; t += fmin(0.1, 1 / size)) {
                double off = away + turn * (2 * t - 1);
                double x = a.x + t * (b.x - a.x) + off * nx;
                double y = a.y + t * (b.y - a.y) + off * ny;
                const float *one = lab_near(s, x + BESIDE * nx, y + BESIDE * ny);
                const float *other = lab_near(s, x - BESIDE * nx, y - BESIDE * ny);
                double l = one[0] - other[0], u = one[1] - other[1],
                       v = one[2] - other[2];
                with += l * l + u * u + v * v > step * step;
                all++;
            }
            most = fmax(most, (double)with / all);
        }
    return most;
}

/* Whether what lies on the sides of a neck is two cloths. */
static bool parts_cloths(const photo_surface *s, const photo_piece *traced,
                         const photo_bits *side)
{
    photo_piece one = *traced, other = *traced;
    one.mask = photo_bits_copy(side);
    other.mask = photo_bits_copy(traced->mask);
    photo_bits_and_not(other.mask, side);
    colour_signature of_one = photo_piece_colours(s, &one);
    colour_signature of_other = photo_piece_colours(s, &other);
    photo_bits_free(one.mask);
    photo_bits_free(other.mask);
    return colour_signature_distance(&of_one, &of_other) >= least_distance;
}

photo_bits *photo_piece_beside_neck(const photo_surface *surface,
                                    const photo_piece *piece)
{
    /* the deepest; what they do not tell, others tell not at all */
    enum { LOOKED_AT = 200, TRIED = 20 };
    photo_piece *traced =
        photo_piece_new(piece->left, piece->top, piece->mask->width, piece->mask->height);
    g_autoptr(photo_piece) own = traced;
    photo_bits_or(traced->mask, piece->mask);
    photo_piece_tidy(surface, traced);
    photo_piece_trace_plainly(traced);
    g_autoptr(GArray) necks =
        photo_piece_necks(traced, surface->per_in, least_fill, most_length,
                          least_sq_in * surface->per_in * surface->per_in);
    for (guint i = 0, tried = 0; i < MIN(necks->len, LOOKED_AT) && tried < TRIED; i++) {
        const photo_neck *neck = &g_array_index(necks, photo_neck, i);
        const photo_ring *ring = &traced->ring[0];
        if (stepping(surface, ring->point[neck->from], ring->point[neck->to]) <
            least_stepping)
            continue;
        tried++;
        photo_bits *side = beside(traced, neck);
        if (parts_cloths(surface, traced, side))
            return side;
        photo_bits_free(side);
    }
    return NULL;
}
