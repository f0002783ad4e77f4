#include "photo/pieces-internal.h"

#include "colour/signature.h"
#include "photo/find.h"
#include "photo/parallel-internal.h"

#include <math.h>
#include <string.h>

/* Cloth has an edge: the colour changes within a sixteenth of an inch all round it. A
 * sheen, a shadow, the grain of wood fade. */
static const double real_edge = 0.7, good_edge = 0.85;
static const double faint_contrast = 9;
static const double small_sq_in = 0.4;
static const double ragged_share = 0.35;
static const double side_px = 3; /* inside and outside are looked at this far away */
static const int along = 5;      /* and averaged over twice this and one along the edge */
static const float least_step = 3;  /* CIELAB */
static const float noise_times = 1; /* the surface's own unrest, or more */

typedef struct sample {
    float lab[3];
    bool there;
} sample;

static sample look(const photo_surface *s, double column, double row)
{
    sample out = { .there = false };
    int x = (int)floor(column), y = (int)floor(row);
    if (!photo_bits_get(s->usable, x, y))
        return out;
    out.there = true;
    memcpy(out.lab, s->lab + ((size_t)y * (size_t)s->width + (size_t)x) * 3,
           sizeof out.lab);
    return out;
}

/* The change of colour across the edge at each pixel of the way along a ring; below zero
 * where one side is out of the picture. */
static GArray *steps_along(const photo_surface *s, const photo_ring *ring)
{
    g_autoptr(GArray) across = g_array_new(FALSE, FALSE, sizeof(sample));
    for (int i = 0; i < ring->count; i++) {
        photo_point a = ring->point[i], b = ring->point[(i + 1) % ring->count];
        double dx = b.x - a.x, dy = b.y - a.y, size = hypot(dx, dy);
        if (!(size > 0))
            continue;
        double nx = -dy / size * side_px, ny = dx / size * side_px;
        for (double t = 0.5; t < size; t++) {
            double x = a.x + dx * t / size, y = a.y + dy * t / size;
            sample out = look(s, x + nx, y + ny), in = look(s, x - nx, y - ny);
            sample step = { .there = out.there && in.there };
            for (int k = 0; k < 3; k++)
                step.lab[k] = in.lab[k] - out.lab[k];
            g_array_append_val(across, step);
        }
    }
    int n = (int)across->len;
    GArray *steps = g_array_sized_new(FALSE, FALSE, sizeof(float), (guint)n);
    for (int i = 0; i < n; i++) {
        float sum[3] = { 0 };
        int there = 0;
        for (int k = -along; k <= along; k++) {
            const sample *one = &g_array_index(across, sample, (guint)((i + k + n) % n));
            if (!one->there)
                continue;
            there++;
            for (int j = 0; j < 3; j++)
                sum[j] += one->lab[j];
        }
        float size = there > 0
                         ? sqrtf(sum[0] * sum[0] + sum[1] * sum[1] + sum[2] * sum[2]) /
                               (float)there
                         : -1;
        g_array_append_val(steps, size);
    }
    return steps;
}

static void judge(const photo_surface *surface, photo_piece *piece)
{
    const photo_surface *s = surface;
    if (piece->ring_count == 0)
        return;
    g_autoptr(GArray) steps = steps_along(s, &piece->ring[0]);
    int x = CLAMP(piece->left + piece->mask->width / 2, 0, s->width - 1);
    int y = CLAMP(piece->top + piece->mask->height / 2, 0, s->height - 1);
    float noise = s->noise[y / s->cell * s->columns + x / s->cell];
    float bound = fmaxf(least_step, noise_times * noise);
    int sharp = 0, seen = 0;
    for (guint i = 0; i < steps->len; i++) {
        float step = g_array_index(steps, float, i);
        seen += step >= 0;
        sharp += step > bound;
    }
    piece->edge = seen > 0 ? (double)sharp / seen : 0;

    float *values = (float *)(void *)steps->data;
    piece->step = steps->len > 0 ? photo_quantile((int)steps->len, values, 0.5) : 0;
    int n = 0;
    const photo_bits *m = piece->mask;
    g_autofree float *distance = g_new(float, (gsize)m->width *(gsize)m->height / 4 + 1);
    for (int v = 0; v < m->height; v += 2)
        for (int u = 0; u + 1 < m->width; u += 2)
            if (photo_bits_get(m, u, v))
                distance[n++] = s->distance[(size_t)(v + piece->top) * (size_t)s->width +
                                            (size_t)(u + piece->left)];
    piece->contrast = n > 0 ? photo_quantile(n, distance, 0.5) : 0;
}

/* Skin in any light that the card's white has been balanced for: CIELAB hue from orange
 * red to orange yellow, neither pale nor strong. */
static bool like_skin(const colour_lab *lab)
{
    double hue = colour_hue_deg(lab), chroma = colour_chroma(lab);
    return lab->l > 25 && lab->l < 88 && chroma > 10 && chroma < 40 && hue > 25 &&
           hue < 75;
}

/* The share of a piece that is one skin in more or less light. Between fingers and along
 * an arm it is darker by far, so each colour counts by itself. */
static double skin_share(const colour_signature *signature)
{
    static const double one_skin = 14;
    const colour_lab *most = &signature->lab[0];
    double share = 0;
    for (int i = 0; i < signature->count; i++) {
        const colour_lab *lab = &signature->lab[i];
        if (like_skin(lab) && hypot(lab->a - most->a, lab->b - most->b) < one_skin)
            share += signature->share[i];
    }
    return share;
}

/* Whether all colours but a twentieth are one colour in more or less light. */
static bool is_plain(const colour_signature *signature)
{
    double other = 0;
    for (int i = 1; i < signature->count; i++) {
        double a = signature->lab[i].a - signature->lab[0].a;
        double b = signature->lab[i].b - signature->lab[0].b;
        if (hypot(a, b) > 9 || fabs(signature->lab[i].l - signature->lab[0].l) > 25)
            other += signature->share[i];
    }
    return other < 0.05;
}

/* Length and width of a ring along and across its longest axis, pixels. */
static void extents(const photo_ring *ring, double *ret_length, double *ret_width)
{
    double best = INFINITY;
    for (int step = 0; step < 90; step += 3) {
        double c = cos(step * M_PI / 180), d = sin(step * M_PI / 180);
        double u0 = INFINITY, u1 = -INFINITY, v0 = INFINITY, v1 = -INFINITY;
        for (int i = 0; i < ring->count; i++) {
            double u = c * ring->point[i].x + d * ring->point[i].y;
            double v = -d * ring->point[i].x + c * ring->point[i].y;
            u0 = fmin(u0, u), u1 = fmax(u1, u), v0 = fmin(v0, v), v1 = fmax(v1, v);
        }
        double area = (u1 - u0) * (v1 - v0);
        if (area < best) {
            best = area;
            *ret_length = fmax(u1 - u0, v1 - v0);
            *ret_width = fmin(u1 - u0, v1 - v0);
        }
    }
}

static void doubt(photo_piece *piece, photo_doubt why, double sure)
{
    piece->doubts |= (unsigned)why;
    piece->sure = fmin(piece->sure, sure);
}

/* The circle through three points; false when they lie nearly on a line. */
static bool circle_through(photo_point a, photo_point b, photo_point c,
                           photo_point *ret_centre, double *ret_radius)
{
    double bx = b.x - a.x, by = b.y - a.y, cx = c.x - a.x, cy = c.y - a.y;
    double d = 2 * (bx * cy - by * cx), bb = bx * bx + by * by, cc = cx * cx + cy * cy;
    if (fabs(d) < 1e-3 * (bb + cc))
        return false;
    double x = (cy * bb - by * cc) / d, y = (bx * cc - cx * bb) / d;
    *ret_centre = (photo_point){ a.x + x, a.y + y };
    *ret_radius = hypot(x, y);
    return true;
}

/* How much of a ring's length, 0 to 1, lies on one circle of a blade's radius, 28 to 60
 * mm across: what a rotary cutter's handle does not cover. */
static double share_on_blade(const photo_ring *ring, double px)
{
    enum { TRIES = 24 };
    const double within = 0.025 * px;
    double best = 0, all = 0;
    int n = ring->count;
    for (int i = 0; i < n; i++)
        all += hypot(ring->point[(i + 1) % n].x - ring->point[i].x,
                     ring->point[(i + 1) % n].y - ring->point[i].y);
    for (int t = 0; t < TRIES; t++) {
        photo_point centre;
        double radius, on = 0;
        int i = t * n / TRIES;
        if (!circle_through(ring->point[i], ring->point[(i + n / 6) % n],
                            ring->point[(i + n / 3) % n], &centre, &radius) ||
            radius < 0.5 * px || radius > 1.25 * px)
            continue;
        for (int k = 0; k < n; k++) {
            photo_point p = ring->point[k], q = ring->point[(k + 1) % n];
            if (fabs(hypot(p.x - centre.x, p.y - centre.y) - radius) < within &&
                fabs(hypot(q.x - centre.x, q.y - centre.y) - radius) < within)
                on += hypot(q.x - p.x, q.y - p.y);
        }
        best = fmax(best, on / all);
    }
    return best;
}

/* The least distance between the points of two rings, pixels. */
static double gap_between(const photo_ring *one, const photo_ring *other)
{
    double least = INFINITY;
    for (int i = 0; i < one->count; i++)
        for (int k = 0; k < other->count; k++)
            least = fmin(least, hypot(one->point[i].x - other->point[k].x,
                                      one->point[i].y - other->point[k].y));
    return least;
}

/* Plain and colourless and round where nothing covers it. */
static bool like_blade(const photo_surface *s, const photo_piece *piece)
{
    const double blade_share = 0.4; /* where the handle hides half of it, 0.46 */
    if (piece->ring_count == 0 || piece->ring[0].count < 12 ||
        share_on_blade(&piece->ring[0], s->per_in) <= blade_share)
        return false;
    colour_signature signature = photo_piece_colours(s, piece);
    colour_lab mean = colour_signature_mean(&signature);
    return signature.count > 0 && colour_chroma(&mean) < 8;
}

/* Rotary cutters come apart into a blade and a plain handle of another colour. */
static void doubt_cutters(const photo_surface *s, GPtrArray *pieces)
{
    const double touching = 0.15 * s->per_in;
    for (guint i = 0; i < pieces->len; i++) {
        photo_piece *blade = pieces->pdata[i];
        if (!like_blade(s, blade))
            continue;
        doubt(blade, PHOTO_DOUBT_TOOL, 0.4);
        for (guint k = 0; k < pieces->len; k++) {
            photo_piece *handle = pieces->pdata[k];
            if (k == i || handle->ring_count == 0 ||
                gap_between(&blade->ring[0], &handle->ring[0]) > touching)
                continue;
            colour_signature signature = photo_piece_colours(s, handle);
            if (is_plain(&signature))
                doubt(handle, PHOTO_DOUBT_TOOL, 0.4);
        }
    }
}

/* Hands reach in from the edge, or out of a sleeve, with gaps between their fingers, and
 * are of the colours of skin; scissors and some rotary
 * cutters are plain with a finger hole; rulers are long, narrow and grey or colourless.
 * Plain cloth can look so too: it is asked, not dropped. */
static void doubt_things(const photo_surface *s, photo_piece *piece, double notched)
{
    /* Less than a pile's: its colour speaks for it. Drawn hands fill 1.399 and more, of
     * scraps all but one up to 1.40 (tests/photo/test_surfaces.c, score_photos.c). */
    static const double arm_sq_in = 4, hand_sq_in = 8, most_skin = 0.8, hand_fill = 1.36;
    double px = s->per_in, longest = 0, width = 0, holes = 0;
    double area = photo_ring_area(&piece->ring[0]) / (px * px);
    colour_signature signature = photo_piece_colours(s, piece);
    if (area > arm_sq_in && skin_share(&signature) > most_skin &&
        (piece->on_edge || (area > hand_sq_in && notched > hand_fill))) {
        doubt(piece, PHOTO_DOUBT_HAND, 0.2);
        return;
    }
    if (signature.count == 0 || !is_plain(&signature))
        return;
    colour_lab mean = colour_signature_mean(&signature);
    extents(&piece->ring[0], &longest, &width);
    for (int i = 1; i < piece->ring_count; i++)
        holes -= photo_ring_area(&piece->ring[i]) / (px * px);
    if (holes > 0.3 || (longest > 6 * px && longest > 12 * width) ||
        (longest > 8 * px && longest > 5 * width && colour_chroma(&mean) < 6 &&
         piece->ragged < 0.05 && piece->on_edge))
        doubt(piece, PHOTO_DOUBT_TOOL, 0.4);
}

/* Judges one piece; FALSE when it is none. */
static bool passes(const photo_surface *surface, photo_piece *piece)
{
    double px2 = (double)surface->per_in * surface->per_in;
    judge(surface, piece);
    bool small =
        piece->ring_count > 0 && photo_ring_area(&piece->ring[0]) < small_sq_in * px2;
    bool faint = piece->edge < good_edge || piece->contrast < faint_contrast;
    if (piece->ring_count == 0 || piece->edge < real_edge || (small && faint))
        return false;
    if (faint)
        doubt(piece, PHOTO_DOUBT_FAINT, 0.6);
    if (piece->ragged > ragged_share)
        doubt(piece, PHOTO_DOUBT_RAGGED, 0.7);
    if (small)
        doubt(piece, PHOTO_DOUBT_SMALL, 0.6);
    if (piece->on_edge)
        doubt(piece, PHOTO_DOUBT_EDGE, 0.7);
    /* Drawn pairs, an oblique corner over another among them, fill 1.42 and more; bites
     * and waves of the edge of one scrap up to 1.40 on rendered photos, one more. */
    static const double pile_fill = 1.40;
    const double notched = photo_piece_notched(piece, surface->per_in);
    if (notched > pile_fill)
        doubt(piece, PHOTO_DOUBT_PILE, 0.6);
    doubt_things(surface, piece, notched);
    return true;
}

typedef struct verifying {
    const photo_surface *surface;
    GPtrArray *pieces;
    bool *passed;
} verifying;

static void verify_one(int i, void *data)
{
    const verifying *job = data;
    job->passed[i] = passes(job->surface, job->pieces->pdata[i]);
}

void photo_pieces_verify(const photo_surface *surface, GPtrArray *pieces,
                         GPtrArray *rejects)
{
    g_autofree bool *passed = g_new(bool, pieces->len + 1);
    verifying job = { surface, pieces, passed };
    photo_parallel((int)pieces->len, verify_one, &job);
    for (guint i = pieces->len; i-- > 0;)
        if (!passed[i])
            g_ptr_array_add(rejects, g_ptr_array_steal_index(pieces, i));
    doubt_cutters(surface, pieces);
}
