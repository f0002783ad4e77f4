#include "photo/describe-internal.h"

#include "colour/value.h"
#include "photo/parallel-internal.h"
#include "photo/pieces-internal.h"

#include <math.h>
#include <string.h>

enum { SAMPLE_MAX = 2500 };
static const double inside_px = 3; /* the edge's blur and frays are not the cloth's */

static length to_length(double inches)
{
    return length_from_inches(inches);
}

static scrap_ring table_ring(const photo_plan *plan, const photo_ring *ring)
{
    scrap_point *points = g_new(scrap_point, ring->count);
    int n = 0;
    for (int i = 0; i < ring->count; i++) {
        double x, y;
        photo_plan_to_table(plan, ring->point[i].x, ring->point[i].y, &x, &y);
        scrap_point p = { to_length(x), to_length(y) };
        if (n == 0 || points[n - 1].x != p.x || points[n - 1].y != p.y)
            points[n++] = p;
    }
    return (scrap_ring){ n, points };
}

static void clear_outline(scrap_outline *outline)
{
    g_free((gpointer)outline->outer.points);
    for (int k = 0; k < outline->hole_count; k++)
        g_free((gpointer)outline->holes[k].points);
    g_free((gpointer)outline->holes);
    *outline = (scrap_outline){ .hole_count = 0 };
}

static scrap_outline table_outline(const photo_plan *plan, const photo_piece *piece)
{
    scrap_outline outline = { .outer = table_ring(plan, &piece->ring[0]) };
    scrap_ring *holes = g_new(scrap_ring, piece->ring_count);
    for (int k = 1; k < piece->ring_count; k++)
        holes[outline.hole_count++] = table_ring(plan, &piece->ring[k]);
    outline.holes = holes;
    return outline;
}

/* The outline of a piece, which crosses itself nowhere: as it was traced, or without its
 * tips, or by the mask alone, or by the mask without what is narrow and without holes. */
static bool sound_outline(const photo_plan *plan, photo_piece *piece,
                          scrap_outline *ret_outline)
{
    for (int attempt = 0; attempt < 4; attempt++) {
        if (attempt == 3) {
            photo_bits_open(piece->mask, 4);
            photo_bits_close(piece->mask, 4);
            photo_piece_keep_largest(piece);
        }
        if (attempt == 1)
            photo_piece_trace(piece, plan, false);
        else if (attempt > 1)
            photo_piece_trace_plainly(piece);
        if (piece->ring_count == 0)
            return false;
        scrap_outline outline = table_outline(plan, piece);
        if (attempt == 3) {
            for (int k = 0; k < outline.hole_count; k++)
                g_free((gpointer)outline.holes[k].points);
            outline.hole_count = 0;
        }
        if (scrap_outline_check(&outline, NULL)) {
            *ret_outline = outline;
            return true;
        }
        clear_outline(&outline);
    }
    return false;
}

/* Steps of 1/16, 1/8 and 1/4 in at 48 px an inch. */
static const double texture_step_px[COLOUR_TEXTURE_STEPS] = { 3, 6, 12 };

static const float *lab_at(const photo_surface *s, int x, int y)
{
    return s->lab + ((size_t)y * (size_t)s->width + (size_t)x) * 3;
}

/* How much the colour changes over a step, every so many pixels in eight directions,
 * where both ends lie in the cloth. */
static void read_texture_step(const photo_surface *s, const photo_piece *piece,
                              const photo_bits *inner, int every, int step,
                              colour_texture *into)
{
    enum { DIRECTIONS = 8, PAIRS_MIN = 200 };
    double square[DIRECTIONS], light = 0, chroma = 0, size = 0;
    int pairs = 0;
    bool all_ways = true;
    for (int k = 0; k < DIRECTIONS; k++) {
        double turn = M_PI * k / DIRECTIONS, squares = 0;
        int dx = (int)lround(texture_step_px[step] * cos(turn));
        int dy = (int)lround(texture_step_px[step] * sin(turn)), count = 0;
        for (int y = 0; y < inner->height; y += every) {
            for (int x = 0; x < inner->width; x += every) {
                if (!photo_bits_get(inner, x, y) ||
                    !photo_bits_get(inner, x + dx, y + dy))
                    continue;
                const float *p = lab_at(s, x + piece->left, y + piece->top);
                const float *q = lab_at(s, x + dx + piece->left, y + dy + piece->top);
                float l = p[0] - q[0], a = p[1] - q[1], b = p[2] - q[2];
                squares += (double)(l * l);
                size += (double)fabsf(l);
                chroma += (double)(a * a + b * b);
                count++;
            }
        }
        all_ways = all_ways && count >= PAIRS_MIN / DIRECTIONS;
        square[k] = count > 0 ? squares / count : 0;
        light += squares;
        pairs += count;
    }
    if (pairs < PAIRS_MIN)
        return;
    double rms = sqrt(light / pairs);
    into->light[step] = colour_texture_level(rms);
    into->chroma[step] = colour_texture_level(sqrt(chroma / pairs));
    into->sparse[step] = colour_sparse_level(rms, size / pairs);
    if (all_ways)
        into->crossed[step] = colour_crossed_level(DIRECTIONS, square);
}

static void read_texture(const photo_surface *s, const photo_piece *piece,
                         const photo_bits *inner, int64_t count, colour_texture *into)
{
    enum { SAMPLES = 2500 };
    int every = (int)fmax(1, floor(sqrt((double)count / SAMPLES)));
    *into = (colour_texture){ .light = { 0 } };
    for (int step = 0; step < COLOUR_TEXTURE_STEPS; step++)
        read_texture_step(s, piece, inner, every, step, into);
}

static void read_colours(const photo_surface *s, const photo_piece *piece,
                         photo_scrap *scrap)
{
    photo_bits *inner = photo_bits_copy(piece->mask);
    photo_bits_shrink(inner, inside_px);
    int64_t count = photo_bits_count(inner);
    if (count < 60) {
        photo_bits_free(inner);
        inner = photo_bits_copy(piece->mask);
        count = photo_bits_count(inner);
    }

    g_autofree float *lab = g_new(float, 3 * (gsize)SAMPLE_MAX);
    g_autofree uint8_t *group = g_new(uint8_t, SAMPLE_MAX);
    /* every so many pixels in reading order, shifted from row to row by the width */
    double every = fmax(1, (double)count / SAMPLE_MAX), next = every / 2;
    int64_t seen = 0;
    size_t n = 0;
    for (int y = 0; y < inner->height; y++) {
        for (int x = 0; x < inner->width; x++) {
            if (!photo_bits_get(inner, x, y) || (double)seen++ < next)
                continue;
            next += every;
            int px = x + piece->left, py = y + piece->top;
            if (n < SAMPLE_MAX && photo_bits_get(s->usable, px, py))
                memcpy(lab + 3 * n++,
                       s->lab + ((size_t)py * (size_t)s->width + (size_t)px) * 3,
                       3 * sizeof(float));
        }
    }
    colour_signature_from_pixels(n, lab, group, &scrap->signature);
    read_texture(s, piece, inner, count, &scrap->signature.texture);
    photo_bits_free(inner);
    scrap->mean = colour_signature_mean(&scrap->signature);
    scrap->srgb = colour_srgb8_from_lab(scrap->mean);
    scrap->value = colour_value_of(scrap->mean.l, &colour_value_defaults);
}

/* A quarter of the size: a pixel where all sixteen are set. */
static photo_bits *quartered(const photo_bits *mask)
{
    photo_bits *small = photo_bits_new((mask->width + 3) / 4, (mask->height + 3) / 4);
    for (int y = 0; y + 3 < mask->height; y += 4)
        for (int x = 0; x + 3 < mask->width; x += 4) {
            uint64_t all = 15;
            for (int k = 0; k < 4; k++)
                all &= photo_bits_row(mask, y + k)[x >> 6] >> (x & 63);
            if (all == 15)
                photo_bits_set(small, x / 4, y / 4);
        }
    return small;
}

/* The place deepest inside a mask and how deep it is, in its pixels: how far the mask can
 * shrink before it goes. */
static void deepest(const photo_bits *mask, int *ret_x, int *ret_y, double *ret_depth)
{
    /* halving the step finds the depth in few shrinkings */
    double depth = 0;
    photo_bits *best = photo_bits_copy(mask);
    for (double step = 32; step >= 1; step /= 2) {
        photo_bits *less = photo_bits_copy(mask);
        photo_bits_shrink(less, depth + step);
        if (photo_bits_count(less) > 0) {
            depth += step;
            photo_bits *swap = best;
            best = less;
            less = swap;
        }
        photo_bits_free(less);
    }
    double x_sum = 0, y_sum = 0, n = 0;
    for (int y = 0; y < best->height; y++)
        for (int x = 0; x < best->width; x++)
            if (photo_bits_get(best, x, y)) {
                x_sum += x;
                y_sum += y;
                n++;
            }
    /* the pixel nearest to the middle of the deepest ones */
    double least = INFINITY;
    *ret_x = mask->width / 2;
    *ret_y = mask->height / 2;
    for (int y = 0; y < best->height; y++)
        for (int x = 0; x < best->width; x++)
            if (photo_bits_get(best, x, y)) {
                double off = hypot(x - x_sum / n, y - y_sum / n);
                if (off < least) {
                    least = off;
                    *ret_x = x;
                    *ret_y = y;
                }
            }
    photo_bits_free(best);
    *ret_depth = depth;
}

/* The way most of the colour's edges run inside a piece, folded to a quarter turn: weave,
 * stripes and checks show it, and so do rulers' cuts. By the fourth harmonic of the
 * gradients' directions. Degrees anticlockwise, -45 to 45; 0 when none prevails. */
static double prevailing_turn(const photo_surface *s, const photo_piece *piece)
{
    double re = 0, im = 0, all = 0;
    for (int y = 1; y + 1 < piece->mask->height; y += 2) {
        for (int x = 1; x + 1 < piece->mask->width; x += 2) {
            int px = x + piece->left, py = y + piece->top;
            if (!photo_bits_get(piece->mask, x, y) || px < 1 || py < 1 ||
                px + 1 >= s->width || py + 1 >= s->height)
                continue;
            const float *at = s->lab + ((size_t)py * (size_t)s->width + (size_t)px) * 3;
            size_t down = (size_t)s->width * 3;
            double gx = at[3] - at[-3], gy = *(at - down) - at[down];
            double strength = hypot(gx, gy), way = atan2(gy, gx);
            if (strength < 1)
                continue;
            re += strength * cos(4 * way);
            im += strength * sin(4 * way);
            all += strength;
        }
    }
    return hypot(re, im) > 0.08 * all ? atan2(im, re) / 4 * (180 / M_PI) : 0;
}

static bool box_inside(const photo_bits *mask, double x, double y, double half_w,
                       double half_h, double turn_rad)
{
    double c = cos(turn_rad), d = sin(turn_rad);
    int steps = (int)ceil(fmax(half_w, half_h)) + 1;
    for (int i = -steps; i <= steps; i++) {
        double t = (double)i / steps;
        const double sides[4][2] = { { t * half_w, half_h },
                                     { t * half_w, -half_h },
                                     { half_w, t * half_h },
                                     { -half_w, t * half_h } };
        for (int k = 0; k < 4; k++)
            if (!photo_bits_get(mask, (int)floor(x + c * sides[k][0] - d * sides[k][1]),
                                (int)floor(y - d * sides[k][0] - c * sides[k][1])))
                return false;
    }
    return true;
}

/* A rectangle that grows from the deepest place until it meets the edge. */
static void choose_swatch(const photo_surface *s, const photo_piece *piece,
                          photo_scrap *scrap)
{
    enum { LONGEST_IN = 4 };
    photo_bits *inner = photo_bits_copy(piece->mask);
    photo_bits_shrink(inner, inside_px);
    int x, y;
    double depth;
    photo_bits *small = quartered(inner);
    deepest(small, &x, &y, &depth);
    photo_bits_free(small);
    x = 4 * x + 2;
    y = 4 * y + 2;
    depth *= 4;
    double turn = prevailing_turn(s, piece), turn_rad = turn * (M_PI / 180);
    double most = LONGEST_IN * s->per_in / 2.0;
    double w = fmin(most, depth / M_SQRT2), h = w;
    while (w > 0 && !box_inside(inner, x + 0.5, y + 0.5, w, h, turn_rad) && w > 1)
        w = h = w * 0.8;
    for (bool wider = true, higher = true; w > 0 && (wider || higher);) {
        wider = wider && w < most && w < 2.5 * h &&
                box_inside(inner, x + 0.5, y + 0.5, w + 1, h, turn_rad);
        w += wider;
        higher = higher && h < most && h < 2.5 * w &&
                 box_inside(inner, x + 0.5, y + 0.5, w, h + 1, turn_rad);
        h += higher;
    }
    photo_bits_free(inner);
    scrap->swatch =
        (photo_swatch){ x + piece->left + 0.5, y + piece->top + 0.5, 2 * w, 2 * h, turn };
}

static void add_remark(photo_scraps *scraps, const char *code, int scrap,
                       const scrap_point *place, const char *message)
{
    scraps->remark =
        g_renew(photo_remark, scraps->remark, (gsize)scraps->remark_count + 1);
    photo_remark *remark = &scraps->remark[scraps->remark_count++];
    *remark = (photo_remark){ .code = code, .scrap = scrap, .has_place = place != NULL };
    if (place != NULL)
        remark->place = *place;
    g_strlcpy(remark->message, message, sizeof remark->message);
}

/* The middle of a ring's extent. */
static scrap_point middle_of(const scrap_ring *ring)
{
    length x0 = INT32_MAX, x1 = INT32_MIN, y0 = INT32_MAX, y1 = INT32_MIN;
    for (int i = 0; i < ring->count; i++) {
        x0 = MIN(x0, ring->points[i].x);
        x1 = MAX(x1, ring->points[i].x);
        y0 = MIN(y0, ring->points[i].y);
        y1 = MAX(y1, ring->points[i].y);
    }
    return (scrap_point){ x0 + (x1 - x0) / 2, y0 + (y1 - y0) / 2 };
}

static void remark_on_scraps(photo_scraps *scraps)
{
    static const struct {
        photo_doubt doubt;
        const char *code, *message;
    } table[] = {
        { PHOTO_DOUBT_HAND, "scraps.hand", "This looks like a hand. Is it cloth?" },
        { PHOTO_DOUBT_TOOL, "scraps.tool",
          "This looks like a ruler or another tool. Is it cloth?" },
        { PHOTO_DOUBT_PILE, "scraps.pile",
          "This may be several scraps that overlap. Cut it in two, or lay them apart." },
        { PHOTO_DOUBT_EDGE, "scraps.edge",
          "This scrap runs out of the picture; its size is only what can be seen." },
        { PHOTO_DOUBT_FAINT, "scraps.faint",
          "This scrap hardly differs from the surface. Check its outline." },
    };
    if (scraps->count == 0)
        add_remark(
            scraps, "scraps.none", -1, NULL,
            "No scraps were found. Lay them on a plain surface of another colour.");
    for (int i = 0; i < scraps->count; i++)
        for (size_t k = 0; k < G_N_ELEMENTS(table); k++)
            if (scraps->scrap[i].doubts & (unsigned)table[k].doubt) {
                scrap_point place = middle_of(&scraps->scrap[i].outline.outer);
                add_remark(scraps, table[k].code, i, &place, table[k].message);
                break;
            }
}

static void remark_on_rejects(const photo_surface *s, const photo_plan *plan,
                              GPtrArray *rejects, photo_scraps *scraps)
{
    static const double least_sq_in = 0.3;
    for (guint i = 0; i < rejects->len; i++) {
        const photo_piece *piece = rejects->pdata[i];
        if ((double)photo_bits_count(piece->mask) < least_sq_in * s->per_in * s->per_in)
            continue;
        double x, y;
        photo_plan_to_table(plan, piece->left + piece->mask->width / 2.0,
                            piece->top + piece->mask->height / 2.0, &x, &y);
        scrap_point place = { to_length(x), to_length(y) };
        add_remark(scraps, "scraps.maybe", -1, &place,
                   "Something may lie here. Tap it twice if it is a scrap.");
    }
}

static int by_place(const void *a, const void *b)
{
    const photo_piece *p = *(photo_piece *const *)a, *q = *(photo_piece *const *)b;
    return p->top != q->top ? p->top - q->top : p->left - q->left;
}

static void group_fabrics(photo_scraps *scraps)
{
    gsize n = (gsize)scraps->count;
    g_autofree colour_signature *signatures = g_new(colour_signature, n + 1);
    g_autofree double *distance = g_new(double, n *n + 1);
    g_autofree int *group = g_new(int, n + 1);
    for (gsize i = 0; i < n; i++)
        signatures[i] = scraps->scrap[i].signature;
    scraps->group_count = colour_group(scraps->count, signatures, 0, distance, group);
    for (gsize i = 0; i < n; i++)
        scraps->scrap[i].group = group[i];
}

static void flip_ring(const photo_plan *plan, const scrap_ring *ring, photo_piece *piece)
{
    g_autofree photo_point *at = g_new(photo_point, ring->count);
    for (int i = 0; i < ring->count; i++) {
        photo_plan_from_table(plan, length_to_inches(ring->points[i].x),
                              length_to_inches(ring->points[i].y), &at[i].x, &at[i].y);
        at[i].x -= piece->left;
        at[i].y -= piece->top;
    }
    photo_bits_flip_inside(piece->mask, ring->count, at);
}

/* Sets the pixels whose centres lie in the outline. */
static void fill_outline(const photo_plan *plan, const scrap_outline *outline,
                         photo_piece *piece)
{
    flip_ring(plan, &outline->outer, piece);
    for (int i = 0; i < outline->hole_count; i++)
        flip_ring(plan, &outline->holes[i], piece);
}

static scrap_ring copied_ring(const scrap_ring *ring)
{
    return (scrap_ring){ ring->count, g_memdup2(ring->points, sizeof ring->points[0] *
                                                                  (gsize)ring->count) };
}

photo_scraps *photo_read_outline(const photo_plan *plan, const scrap_outline *outline)
{
    photo_scraps *scraps = g_new0(photo_scraps, 1);
    scraps->count = scraps->group_count = 1;
    photo_scrap *scrap = scraps->scrap = g_new0(photo_scrap, 1);
    scrap_ring *holes = g_new(scrap_ring, outline->hole_count);
    scrap->outline.outer = copied_ring(&outline->outer);
    scrap->twice_area = scrap_outline_area2(outline);
    for (int i = 0; i < outline->hole_count; i++) {
        holes[i] = copied_ring(&outline->holes[i]);
    }
    scrap->outline.holes = holes;
    scrap->outline.hole_count = outline->hole_count;
    scrap->sure = 1;

    double c0 = plan->width, c1 = 0, r0 = plan->height, r1 = 0;
    for (int i = 0; i < outline->outer.count; i++) {
        double c, r;
        photo_plan_from_table(plan, length_to_inches(outline->outer.points[i].x),
                              length_to_inches(outline->outer.points[i].y), &c, &r);
        c0 = fmin(c0, c), c1 = fmax(c1, c), r0 = fmin(r0, r), r1 = fmax(r1, r);
    }
    int left = (int)fmax(0, floor(c0)), right = (int)fmin(plan->width, ceil(c1));
    int top = (int)fmax(0, floor(r0)), bottom = (int)fmin(plan->height, ceil(r1));
    if (right <= left || bottom <= top)
        return scraps;

    g_autoptr(photo_surface) surface = photo_surface_new(plan);
    g_autoptr(photo_piece) piece = photo_piece_new(left, top, right - left, bottom - top);
    fill_outline(plan, outline, piece);
    read_colours(surface, piece, scrap);
    choose_swatch(surface, piece, scrap);
    return scraps;
}

void photo_swatch_to_srgb(const photo_plan *plan, const photo_swatch *swatch, int width,
                          int height, uint8_t *rgb)
{
    double turn = swatch->turn_deg * (M_PI / 180), c = cos(turn), d = sin(turn);
    for (int y = 0; y < height; y++) {
        for (int x = 0; x < width; x++) {
            double u = ((x + 0.5) / width - 0.5) * swatch->columns_px;
            double v = ((y + 0.5) / height - 0.5) * swatch->rows_px;
            photo_plan_srgb_at(plan, swatch->centre_column + c * u + d * v,
                               swatch->centre_row - d * u + c * v,
                               rgb + 3 * ((size_t)y * (size_t)width + (size_t)x));
        }
    }
}

typedef struct describing {
    const photo_surface *surface;
    const photo_piece **of; /* each scrap */
    photo_scraps *scraps;
} describing;

static void describe_one(int i, void *data)
{
    describing *job = data;
    read_colours(job->surface, job->of[i], &job->scraps->scrap[i]);
    choose_swatch(job->surface, job->of[i], &job->scraps->scrap[i]);
}

photo_scraps *photo_describe(const photo_surface *surface, const photo_plan *plan,
                             GPtrArray *pieces, GPtrArray *rejects)
{
    photo_scraps *scraps = g_new0(photo_scraps, 1);
    scraps->scrap = g_new0(photo_scrap, pieces->len);
    g_autofree const photo_piece **of = g_new(const photo_piece *, pieces->len);
    g_ptr_array_sort(pieces, by_place);
    for (guint i = 0; i < pieces->len; i++) {
        photo_piece *piece = pieces->pdata[i];
        scrap_outline outline;
        if (piece->ring_count == 0 || !sound_outline(plan, piece, &outline)) {
            if (rejects != NULL)
                g_ptr_array_add(rejects, piece);
            else
                photo_piece_free(piece);
            pieces->pdata[i] = NULL;
            continue;
        }
        photo_scrap *scrap = &scraps->scrap[scraps->count++];
        scrap->outline = outline;
        scrap->twice_area = scrap_outline_area2(&outline);
        scrap->on_edge = piece->on_edge;
        scrap->sure = piece->sure;
        scrap->doubts = piece->doubts;
        of[scraps->count - 1] = piece;
    }
    describing job = { surface, of, scraps };
    photo_parallel(scraps->count, describe_one, &job);
    group_fabrics(scraps);
    remark_on_scraps(scraps);
    if (rejects != NULL)
        remark_on_rejects(surface, plan, rejects, scraps);
    return scraps;
}

void photo_scraps_free(photo_scraps *scraps)
{
    if (scraps == NULL)
        return;
    for (int i = 0; i < scraps->count; i++)
        clear_outline(&scraps->scrap[i].outline);
    g_free(scraps->scrap);
    g_free(scraps->remark);
    g_free(scraps);
}
