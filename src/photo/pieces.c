#include "photo/pieces-internal.h"

#include "photo/memory-internal.h"
#include "photo/parallel-internal.h"

#include <math.h>
#include <string.h>

/* All found on rendered photos with known truth, tests/photo/score_photos.c. */
static const float noise_times = 3.2f, least = 4.5f, most = 9;
static const float peak_cap = 24; /* of the local maximum whose half is needed */
static const double peak_window_in = 0.12;
static const double gap_in = 0.03; /* radius of the gaps between a print's fine stripes */
static const double away_in =
    0.12; /* lines this far from pieces show the print's colour */
static const double small_print_sq_in = 0.3;
static const double crumb_px =
    1.5; /* radius of what is left where a line was taken off */
static const double stripe_in = 0.05;
static const double line_in = 0.055;     /* radius that grid lines and numerals lack */
static const double wide_line_in = 0.09; /* the same where they are blurred */
static const double tip_in = 0.15;       /* most that a corner reaches beyond that disc */
static const double thin_in = 0.2;       /* inscribed radius of a fragment */
static const double join_in = 0.09;      /* fragments nearer than twice this are one */
static const double near_in = 0.045, small_sq_in = 2.5;
static const double close_in = 0.2;
static const double reach_in = 0.6;   /* of a print's lines beyond its bands */
static const double thread_in = 0.12; /* half of what is wider than a loop of thread */
static const double worth_it = 1.15;  /* growth by which lines show to be a print's */
static const double fillet_in = 0.04; /* more than the inscribed radius of a fillet */
static const double hole_sq_in = 0.2;
static const double piece_sq_in = 0.15;
static const double outside_contact_in = 3;
static const double table_contact_in = 20; /* nothing but a table is so long at the rim */
static const double reaches_in = 1.25;     /* way round inside by that along the rim */

/* into[x] = max(into[x], from[x]) for n values. */
static void rise(size_t n, const float *from, float *into)
{
    for (size_t x = 0; x < n; x++)
        into[x] = from[x] > into[x] ? from[x] : into[x];
}

/* What the threads share that mark the pixels which stand out; each writes rows of its
 * own. */
typedef struct standing_out {
    const photo_surface *s;
    int reach;     /* half the window of the local peak, px */
    float *across; /* the largest distance in the window's row round each pixel */
    photo_bits *raw;
} standing_out;

static void peak_across(int y, void *data)
{
    const standing_out *job = data;
    size_t width = (size_t)job->s->width, r = (size_t)job->reach;
    const float *in = job->s->distance + (size_t)y * width;
    float *out = job->across + (size_t)y * width;
    memcpy(out, in, width * sizeof in[0]);
    for (size_t k = 1; k <= r && k < width; k++) {
        rise(width - k, in + k, out);
        rise(width - k, in, out + k);
    }
}

/* A pixel stands out that is farther from the surface than its noise, and at least half
 * as far as the farthest in the window. */
static void mark_row(int y, void *data)
{
    const standing_out *job = data;
    const photo_surface *s = job->s;
    size_t width = (size_t)s->width;
    g_autofree float *peak = g_new(float, width);
    memcpy(peak, job->across + (size_t)y * width, width * sizeof peak[0]);
    for (int k = MAX(0, y - job->reach); k <= MIN(s->height - 1, y + job->reach); k++)
        if (k != y)
            rise(width, job->across + (size_t)k * width, peak);
    const float *noise = s->noise + y / s->cell * s->columns;
    const float *distance = s->distance + (size_t)y * width;
    for (int x = 0; x < s->width; x++) {
        float d = distance[x];
        if (d <= least)
            continue;
        float bound = CLAMP(noise_times * noise[x / s->cell], least, most);
        if (d > bound && 2 * d >= fminf(peak[x], peak_cap))
            photo_bits_set(job->raw, x, y);
    }
}

static photo_bits *mark_standing_out(const photo_surface *s)
{
    size_t pixels = (size_t)s->width * (size_t)s->height;
    g_autofree float *across = photo_memory_new(pixels * sizeof across[0]);
    standing_out job = { s, (int)(peak_window_in / 2 * s->per_in), across,
                         photo_bits_new(s->width, s->height) };
    photo_parallel(s->height, peak_across, &job);
    photo_parallel(s->height, mark_row, &job);
    return job.raw;
}

/* Extent and size of each label of a mask. */
typedef struct part {
    int x0, y0, x1, y1; /* x1, y1 beyond */
    int64_t pixels;
    int contact; /* pixels at the edge of what the photo covers */
} part;

static part *measure_parts(const photo_bits *mask, const int32_t *label, int count)
{
    part *parts = g_new0(part, count + 1);
    for (int i = 0; i <= count; i++)
        parts[i] = (part){ .x0 = mask->width, .y0 = mask->height };
    for (int y = 0; y < mask->height; y++) {
        for (int x = -1; (x = photo_bits_next(mask, x + 1, y)) < mask->width;) {
            part *p = &parts[label[(size_t)y * (size_t)mask->width + (size_t)x]];
            p->x0 = MIN(p->x0, x);
            p->x1 = MAX(p->x1, x + 1);
            p->y0 = MIN(p->y0, y);
            p->y1 = MAX(p->y1, y + 1);
            p->pixels++;
        }
    }
    return parts;
}

/* The share of cells that hold more than a few of some pixels. */
static double cells_with(const photo_surface *s, const photo_bits *some)
{
    enum { FEW = 5 };
    int cells = s->columns * s->rows, with = 0, usable = 0;
    g_autofree int *count = g_new0(int, cells);
    g_autofree bool *seen = g_new0(bool, cells);
    for (int y = 0; y < s->height; y++) {
        int row = y / s->cell * s->columns;
        for (int x = -1; (x = photo_bits_next(some, x + 1, y)) < s->width;)
            count[row + x / s->cell]++;
        for (int c = 0; c < s->columns; c++)
            seen[row + c] |= photo_bits_get(s->usable, c * s->cell + s->cell / 2, y);
    }
    for (int i = 0; i < cells; i++) {
        with += count[i] > FEW;
        usable += seen[i];
    }
    return (double)with / MAX(1, usable);
}

/* What is narrow and hangs together all over the mask, or lies all over it in pieces, is
 * a grid. */
static bool holds_grid(const photo_surface *s, const photo_bits *mask, double wide_px)
{
    static const double all_over = 0.15;
    int w = mask->width, h = mask->height;
    photo_bits *wide = photo_bits_copy(mask), *narrow = photo_bits_copy(mask);
    photo_bits_open(wide, wide_px);
    photo_bits_and_not(narrow, wide);
    photo_bits_free(wide);
    if (cells_with(s, narrow) > all_over) {
        photo_bits_free(narrow);
        return true;
    }
    g_autofree int32_t *label = photo_memory_new((size_t)w * (size_t)h * sizeof label[0]);
    int count = photo_bits_label(narrow, label);
    g_autofree part *parts = measure_parts(narrow, label, count);
    photo_bits_free(narrow);
    for (int i = 1; i <= count; i++)
        if (parts[i].x1 - parts[i].x0 > w / 3 && parts[i].y1 - parts[i].y0 > h / 3)
            return true;
    return false;
}

/* The radius of the disc that does not fit into the lines of a mat: larger in a blurred
 * photo. */
static double line_radius(const photo_surface *s, const photo_bits *raw, double radius_px)
{
    static const double wider[] = { 1, 1.35, 1.8, 2.4 };
    for (size_t i = 0; i + 1 < G_N_ELEMENTS(wider); i++) {
        photo_bits *open = photo_bits_copy(raw);
        photo_bits_open(open, wider[i] * radius_px);
        bool grid = holds_grid(s, open, 2.2 * radius_px);
        photo_bits_free(open);
        if (!grid)
            return wider[i] * radius_px;
    }
    return wider[G_N_ELEMENTS(wider) - 1] * radius_px;
}

/* Takes away lines and numerals, which a disc cannot enter; but fine stripes of a print
 * that lie close together make an area that it can. Where lines meet a piece, or each
 * other, closing makes no more than fillets, which stay away. */
static void add_stripes(const photo_surface *s, double line_px, photo_bits *mask)
{
    photo_bits *stripes = photo_bits_copy(mask);
    photo_bits_open(mask, line_px);
    photo_bits_close(stripes, gap_in * s->per_in);
    photo_bits_open(stripes, line_px);
    photo_bits_and_not(stripes, mask);
    photo_bits *wide = photo_bits_copy(stripes);
    photo_bits_shrink(wide, stripe_in * s->per_in);
    photo_bits_grow(wide, (stripe_in + gap_in) * s->per_in);
    photo_bits_and(stripes, wide);
    photo_bits_free(wide);
    photo_bits_or(mask, stripes);
    photo_bits_free(stripes);
}

/* Learns the colour of grid lines and numerals from the thin things that lie away from
 * all pieces. */
static photo_print learn_print(const photo_surface *s, const photo_bits *thin)
{
    enum { MOST = 20000 };
    /* a grid lies in a fifth of all cells and more where a table is seen beside the mat;
     * loose threads, crumbs and the grain of wood lie in a tenth */
    static const double least_share = 0.13;
    photo_print print = { .any = false };
    int64_t count = photo_bits_count(thin);
    if (cells_with(s, thin) < least_share)
        return print;
    int every = (int)(count / MOST) + 1, seen = 0, n = 0;
    g_autofree float *strength = g_new(float, MOST + 1);
    g_autofree float *step = g_new(float, 4 * (gsize)(MOST + 1));
    for (int y = 0; y < s->height; y++) {
        for (int x = 0; x < s->width; x++) {
            if (!photo_bits_get(thin, x, y) || seen++ % every != 0 || n == MOST)
                continue;
            float back[3];
            photo_surface_at(s, x, y, back);
            const float *c = s->lab + ((size_t)y * (size_t)s->width + (size_t)x) * 3;
            for (int i = 0; i < 3; i++)
                step[4 * n + i] = c[i] - back[i];
            step[4 * n + 3] = back[0];
            strength[n++] = s->distance[(size_t)y * (size_t)s->width + (size_t)x];
        }
    }
    g_autofree float *sorted = g_memdup2(strength, sizeof strength[0] * (gsize)n);
    float strong = photo_quantile(n, sorted, 0.6), full = photo_quantile(n, sorted, 0.9);
    double sum[4] = { 0 }, of = 0;
    for (int i = 0; i < n; i++) {
        if (strength[i] < strong)
            continue;
        for (int k = 0; k < 4; k++)
            sum[k] += step[4 * i + k];
        of++;
    }
    double size = sqrt(sum[0] * sum[0] + sum[1] * sum[1] + sum[2] * sum[2]) / of;
    if (!(size > 3)) /* they have no colour in common */
        return print;
    print.any = true;
    for (int i = 0; i < 3; i++)
        print.step[i] = (float)(sum[i] / of * 1.15 * fmax(1, full / size));
    print.bare_l = (float)(sum[3] / of);
    return print;
}

/* The pixels of a mask whose colour is one that the print on the surface has at some
 * strength: its edges are blurred into the bare surface. */
typedef struct comparing {
    const photo_surface *s;
    const photo_bits *mask;
    photo_bits *like;
} comparing;

static void compare_row(int y, void *data)
{
    const comparing *job = data;
    const photo_surface *s = job->s;
    const float *noise = s->noise + y / s->cell * s->columns;
    for (int x = 0; x < s->width; x++) {
        if (!photo_bits_get(job->mask, x, y))
            continue;
        float along, off = photo_surface_off_print(s, x, y, &along);
        float bound = CLAMP(noise_times * noise[x / s->cell], least, most);
        if (off < bound + 0.1f * along)
            photo_bits_set(job->like, x, y);
    }
}

static photo_bits *like_print(const photo_surface *s, const photo_bits *mask)
{
    comparing job = { s, mask, photo_bits_new(s->width, s->height) };
    photo_parallel(s->height, compare_row, &job);
    return job.like;
}

/* Takes the surface's print off the edges of pieces whose own cloth has other colours,
 * and small parts that are nothing but print, where lines cross. */
static void take_print_off(const photo_surface *s, const photo_bits *like,
                           photo_bits *mask)
{
    enum { DEEP_PX = 5 };
    static const double few = 0.1, nearly_all = 0.8;
    size_t pixels = (size_t)s->width * (size_t)s->height;
    g_autofree int32_t *label = photo_memory_new(pixels * sizeof label[0]);
    int count = photo_bits_label(mask, label);
    g_autofree int *all = g_new0(int, count + 1);
    g_autofree int *all_like = g_new0(int, count + 1);
    g_autofree int *deep = g_new0(int, count + 1);
    g_autofree int *deep_like = g_new0(int, count + 1);
    photo_bits *core = photo_bits_copy(mask);
    photo_bits_shrink(core, DEEP_PX);
    for (int y = 0; y < s->height; y++)
        for (int x = -1; (x = photo_bits_next(mask, x + 1, y)) < s->width;) {
            int i = label[(size_t)y * (size_t)s->width + (size_t)x];
            int alike = photo_bits_get(like, x, y), inside = photo_bits_get(core, x, y);
            all[i]++;
            all_like[i] += alike;
            deep[i] += inside;
            deep_like[i] += alike && inside;
        }
    double small = small_print_sq_in * s->per_in * s->per_in;
    for (int y = 0; y < s->height; y++)
        for (int x = -1; (x = photo_bits_next(like, x + 1, y)) < s->width;) {
            int i = label[(size_t)y * (size_t)s->width + (size_t)x];
            if ((deep_like[i] < few * deep[i] && !photo_bits_get(core, x, y)) ||
                (all[i] < small && all_like[i] > nearly_all * all[i]))
                photo_bits_row(mask, y)[x >> 6] &= ~((uint64_t)1 << (x & 63));
        }
    photo_bits_free(core);
}

/* Takes lines of the surface's print off, which are narrow and go farther than a corner
 * of cloth does, also from pieces of their own colour. Stripes of cloth lie closer
 * together than the lines of a mat. */
static void take_lines_off(const photo_surface *s, const photo_bits *like,
                           photo_bits *mask)
{
    static const double nearly_all = 0.8;
    photo_bits *narrow = photo_bits_copy(mask), *wide = photo_bits_copy(mask);
    photo_bits_open(wide, wide_line_in * s->per_in);
    photo_bits_and_not(narrow, wide);
    photo_bits_grow(wide, tip_in * s->per_in);
    photo_bits *stripes = photo_bits_copy(mask);
    photo_bits_close(stripes, join_in * s->per_in);
    photo_bits_open(stripes, thin_in * s->per_in);
    photo_bits_or(wide, stripes);
    photo_bits_free(stripes);
    size_t pixels = (size_t)s->width * (size_t)s->height;
    g_autofree int32_t *label = photo_memory_new(pixels * sizeof label[0]);
    int count = photo_bits_label(narrow, label);
    g_autofree int *all = g_new0(int, count + 1);
    g_autofree int *all_like = g_new0(int, count + 1);
    g_autofree int *beyond = g_new0(int, count + 1);
    for (int y = 0; y < s->height; y++)
        for (int x = -1; (x = photo_bits_next(narrow, x + 1, y)) < s->width;) {
            int i = label[(size_t)y * (size_t)s->width + (size_t)x];
            all[i]++;
            all_like[i] += photo_bits_get(like, x, y);
            beyond[i] += !photo_bits_get(wide, x, y);
        }
    for (int y = 0; y < s->height; y++)
        for (int x = -1; (x = photo_bits_next(narrow, x + 1, y)) < s->width;) {
            int i = label[(size_t)y * (size_t)s->width + (size_t)x];
            if (beyond[i] > 0 && all_like[i] > nearly_all * all[i])
                photo_bits_row(mask, y)[x >> 6] &= ~((uint64_t)1 << (x & 63));
        }
    photo_bits_free(narrow);
    photo_bits_free(wide);
}

photo_bits *photo_pieces_mask(photo_surface *surface)
{
    photo_surface *s = surface;
    photo_bits *raw = mark_standing_out(s);
    double line_px = line_radius(s, raw, line_in * s->per_in);
    photo_bits *mask = photo_bits_copy(raw);
    photo_bits *narrow = photo_bits_copy(raw);
    add_stripes(s, line_px, mask);
    photo_bits *wide = photo_bits_copy(raw);
    photo_bits_open(wide, line_px);
    photo_bits_and_not(narrow, wide);
    photo_bits_free(wide);
    photo_bits_free(s->narrow);
    s->narrow = narrow;

    /* thin things away from all pieces */
    photo_bits *thin = photo_bits_copy(mask);
    photo_bits_grow(thin, away_in * s->per_in);
    photo_bits_and_not(raw, thin);
    photo_bits_free(thin);
    s->print = learn_print(s, raw);
    photo_bits_free(raw);
    if (s->print.any) {
        photo_bits *like = like_print(s, mask);
        take_print_off(s, like, mask);
        take_lines_off(s, like, mask);
        photo_bits_free(like);
        photo_bits_open(mask, crumb_px);
    }
    return mask;
}

/* The rim of what is covered by the photo, cards not counted as uncovered. */
static photo_bits *photo_rim(const photo_surface *s)
{
    enum { BEYOND = 2 }; /* the plan's edge nothing is covered either */
    photo_bits *rim = photo_bits_copy(s->covered), *inner = photo_bits_copy(s->covered);
    for (int y = 0; y < s->height; y++) {
        uint64_t *row = photo_bits_row(inner, y);
        if (y < BEYOND || y >= s->height - BEYOND)
            memset(row, 0, (size_t)inner->words * sizeof row[0]);
        for (int k = 0; k < MIN(BEYOND, s->width); k++) {
            row[k >> 6] &= ~((uint64_t)1 << (k & 63));
            int last = s->width - 1 - k;
            row[last >> 6] &= ~((uint64_t)1 << (last & 63));
        }
    }
    photo_bits_shrink(inner, 2.5);
    photo_bits_and_not(rim, inner);
    photo_bits_free(inner);
    return rim;
}

/* Unset pixels that no way leads out of, when few or unlike the surface, belong to the
 * piece. */
static void fill_holes(const photo_surface *s, photo_piece *piece)
{
    photo_bits *m = piece->mask;
    photo_bits *gaps = photo_bits_copy(m);
    photo_bits_invert(gaps);
    g_autofree int32_t *label = g_new(int32_t, (gsize)m->width * (gsize)m->height);
    int count = photo_bits_label(gaps, label);
    g_autofree part *parts = measure_parts(gaps, label, count);
    photo_bits_free(gaps);
    if (count < 2) /* only what lies all round it */
        return;
    g_autofree double *sum = g_new0(double, count + 1);
    for (int y = 0; y < m->height; y++) {
        for (int x = 0; x < m->width; x++) {
            int px = x + piece->left, py = y + piece->top;
            if (px >= 0 && py >= 0 && px < s->width && py < s->height)
                sum[label[y * m->width + x]] +=
                    s->distance[(size_t)py * (size_t)s->width + (size_t)px];
        }
    }
    double small = hole_sq_in * s->per_in * s->per_in;
    for (int y = 0; y < m->height; y++) {
        for (int x = 0; x < m->width; x++) {
            int i = label[y * m->width + x];
            if (i == 0)
                continue;
            const part *p = &parts[i];
            if (p->x0 == 0 || p->y0 == 0 || p->x1 == m->width || p->y1 == m->height)
                continue;
            if ((double)p->pixels < small || sum[i] / (double)p->pixels > 6)
                photo_bits_set(m, x, y);
        }
    }
}

void photo_piece_keep_largest(photo_piece *piece)
{
    photo_bits *m = piece->mask;
    g_autofree int32_t *label = g_new(int32_t, (gsize)m->width * (gsize)m->height);
    int count = photo_bits_label(m, label);
    if (count < 2)
        return;
    g_autofree part *parts = measure_parts(m, label, count);
    int best = 1;
    for (int i = 2; i <= count; i++)
        if (parts[i].pixels > parts[best].pixels)
            best = i;
    memset(m->row, 0, (size_t)m->words * (size_t)m->height * sizeof m->row[0]);
    for (int y = 0; y < m->height; y++)
        for (int x = 0; x < m->width; x++)
            if (label[y * m->width + x] == best)
                photo_bits_set(m, x, y);
}

void photo_piece_tidy(const photo_surface *surface, photo_piece *piece)
{
    fill_holes(surface, piece);
    photo_piece_keep_largest(piece);
}

/* What the closing added may not be another piece's, nor lie beyond the photo or on a
 * card. */
static void respect_others(const photo_surface *s, const int32_t *group, int which,
                           photo_piece *piece)
{
    photo_bits *m = piece->mask;
    for (int y = 0; y < m->height; y++) {
        for (int x = 0; x < m->width; x++) {
            if (!photo_bits_get(m, x, y))
                continue;
            int px = x + piece->left, py = y + piece->top;
            int32_t owner = px >= 0 && py >= 0 && px < s->width && py < s->height
                                ? group[(size_t)py * (size_t)s->width + (size_t)px]
                                : -1;
            if ((owner != 0 && owner != which) || !photo_bits_get(s->usable, px, py))
                photo_bits_row(m, y)[x >> 6] &= ~((uint64_t)1 << (x & 63));
        }
    }
}

/* Sets all that no way leads out of. */
static void fill_enclosed(photo_bits *m)
{
    photo_bits *gaps = photo_bits_copy(m);
    photo_bits_invert(gaps);
    g_autofree int32_t *label = g_new(int32_t, (gsize)m->width * (gsize)m->height);
    int count = photo_bits_label(gaps, label);
    g_autofree part *parts = measure_parts(gaps, label, count);
    for (int y = 0; y < m->height; y++)
        for (int x = -1; (x = photo_bits_next(gaps, x + 1, y)) < m->width;) {
            const part *p = &parts[label[y * m->width + x]];
            if (p->x0 > 0 && p->y0 > 0 && p->x1 < m->width && p->y1 < m->height)
                photo_bits_set(m, x, y);
        }
    photo_bits_free(gaps);
}

/* Lines of a print cross and enclose its ground; loose threads end in the open. */
static bool lines_enclose(const photo_surface *s, const photo_bits *lines,
                          const photo_bits *piece)
{
    photo_bits *whole = photo_bits_copy(lines);
    fill_enclosed(whole);
    photo_bits_open(whole, line_in * s->per_in);
    photo_bits_or(whole, piece);
    bool enclose =
        (double)photo_bits_count(whole) > worth_it * (double)photo_bits_count(piece);
    photo_bits_free(whole);
    return enclose;
}

/* On a bare surface, narrow lines that hang on to a piece are its own print: a plaid
 * whose ground has the surface's colour shows only its bands and lines. With them the
 * piece is closed; what they do not make wide, as loose threads, goes again. */
static void add_own_lines(const photo_surface *s, const int32_t *group, int which,
                          photo_piece *piece)
{
    photo_bits *m = piece->mask;
    photo_bits *with = photo_bits_copy(m);
    for (int y = 0; y < m->height; y++) {
        for (int x = 0; x < m->width; x++) {
            int px = x + piece->left, py = y + piece->top;
            if (!photo_bits_get(s->narrow, px, py))
                continue;
            int32_t owner = group[(size_t)py * (size_t)s->width + (size_t)px];
            if (owner == 0 || owner == which)
                photo_bits_set(with, x, y);
        }
    }
    photo_piece whole = { .left = piece->left, .top = piece->top, .mask = with };
    photo_bits_close(with, 1.5);
    photo_piece_keep_largest(&whole);
    if (lines_enclose(s, with, m)) {
        photo_bits_close(with, close_in * s->per_in);
        photo_bits_open(with, thread_in * s->per_in);
        photo_bits_or(with, m);
        respect_others(s, group, which, &whole);
        piece->mask = with;
        with = m;
    }
    photo_bits_free(with);
}

static photo_piece *cut_out(const photo_surface *s, const int32_t *group, int which,
                            const part *p)
{
    /* room for the closing, and for lines that reach out, on all sides */
    int margin = (int)(reach_in * s->per_in) + 2;
    photo_piece *piece =
        photo_piece_new(p->x0 - margin, p->y0 - margin, p->x1 - p->x0 + 2 * margin,
                        p->y1 - p->y0 + 2 * margin);
    for (int y = p->y0; y < p->y1; y++)
        for (int x = p->x0; x < p->x1; x++)
            if (group[(size_t)y * (size_t)s->width + (size_t)x] == which)
                photo_bits_set(piece->mask, x - piece->left, y - piece->top);
    return piece;
}

/* Closes a piece, so that stripes and checks of the surface's colour become part of it.
 * A closing also rounds off every inner corner and narrow notch: what it added so thinly
 * is no stripe and goes again. */
static void close_alone(const photo_surface *s, photo_piece *piece)
{
    photo_bits *before = photo_bits_copy(piece->mask);
    photo_bits_close(piece->mask, close_in * s->per_in);
    photo_bits *added = photo_bits_copy(piece->mask);
    photo_bits_and_not(added, before);
    photo_bits *stripes = photo_bits_copy(added);
    photo_bits_shrink(stripes, fillet_in * s->per_in);
    photo_bits_grow(stripes, 2 * fillet_in * s->per_in);
    photo_bits_and(added, stripes);
    photo_bits_or(before, added);
    memcpy(piece->mask->row, before->row,
           (size_t)before->words * (size_t)before->height * sizeof before->row[0]);
    photo_bits_free(before);
    photo_bits_free(added);
    photo_bits_free(stripes);
}

static void mark_of_kind(const photo_bits *mask, const int32_t *label,
                         const uint8_t *kind, uint8_t which, photo_bits *bits)
{
    for (int y = 0; y < bits->height; y++)
        for (int x = -1; (x = photo_bits_next(mask, x + 1, y)) < bits->width;)
            if (kind[label[(size_t)y * (size_t)bits->width + (size_t)x]] & which)
                photo_bits_set(bits, x, y);
}

/* What belongs together although the mask shows it apart: fragments too narrow to be
 * cloth by themselves with what is near, small parts (the squares of a check) with what
 * is very near, and all across gaps that are no more than the blur between dark and
 * light of a print. @label is room for the mask's pixels. */
static photo_bits *join_fragments(const photo_surface *s, const photo_bits *mask,
                                  int32_t *label)
{
    enum { NARROW = 1, SMALL = 2 };
    int count = photo_bits_label(mask, label);
    g_autofree part *parts = measure_parts(mask, label, count);
    g_autofree uint8_t *kind = g_new0(uint8_t, count + 1);
    double small = small_sq_in * s->per_in * s->per_in;
    for (int i = 1; i <= count; i++)
        kind[i] = NARROW | ((double)parts[i].pixels < small ? SMALL : 0);
    photo_bits *core = photo_bits_copy(mask);
    photo_bits_shrink(core, thin_in * s->per_in);
    for (int y = 0; y < s->height; y++)
        for (int x = -1; (x = photo_bits_next(core, x + 1, y)) < s->width;)
            kind[label[(size_t)y * (size_t)s->width + (size_t)x]] &= (uint8_t)~NARROW;
    photo_bits_free(core);

    photo_bits *joined = photo_bits_new(s->width, s->height);
    photo_bits *near = photo_bits_new(s->width, s->height);
    mark_of_kind(mask, label, kind, NARROW, joined);
    photo_bits_close(joined, join_in * s->per_in);
    mark_of_kind(mask, label, kind, SMALL, near);
    photo_bits_close(near, near_in * s->per_in);
    photo_bits_or(joined, near);
    photo_bits_free(near);
    photo_bits_or(joined, mask);
    photo_bits_close(joined, gap_in * s->per_in);
    return joined;
}

static void free_piece(gpointer piece)
{
    photo_piece_free(piece);
}

GPtrArray *photo_pieces_new_list(void)
{
    return g_ptr_array_new_with_free_func(free_piece);
}

/* Whether a piece that lies long on the rim of the photo reaches into it as cloth does.
 * The table beyond a mat ends at the mat's straight edge, which is no longer than the way
 * along the rim. */
static bool reaches_inside(const photo_surface *s, const photo_bits *rim,
                           const photo_piece *piece, double contact_px)
{
    enum { WIDE = 2 };
    photo_bits *edge = photo_bits_copy(piece->mask), *inner = photo_bits_copy(edge);
    photo_bits_shrink(inner, WIDE);
    photo_bits_and_not(edge, inner);
    photo_bits_free(inner);
    double inside = 0;
    for (int y = 0; y < edge->height; y++)
        for (int x = 0; x < edge->width; x++)
            inside += photo_bits_get(edge, x, y) &&
                      photo_bits_get(s->usable, x + piece->left, y + piece->top) &&
                      !photo_bits_get(rim, x + piece->left, y + piece->top);
    photo_bits_free(edge);
    return inside / WIDE > reaches_in * contact_px;
}

/* The length of a part along the rim, which is about 4 px wide. */
static double contact_px(const part *p)
{
    return p->contact / 4.0;
}

typedef struct making {
    const photo_surface *s;
    const int32_t *label;
    const part *parts;
    const int *which; /* the labels of those that are large enough */
    photo_piece **made;
} making;

static void make_piece(int k, void *data)
{
    const making *job = data;
    const photo_surface *s = job->s;
    int i = job->which[k];
    photo_piece *piece = cut_out(s, job->label, i, &job->parts[i]);
    piece->on_edge = job->parts[i].contact > 8;
    if (!s->print.any && s->narrow != NULL)
        add_own_lines(s, job->label, i, piece);
    close_alone(s, piece);
    respect_others(s, job->label, i, piece);
    photo_piece_tidy(s, piece);
    job->made[k] = piece;
}

GPtrArray *photo_pieces_from_mask(const photo_surface *surface, const photo_bits *mask,
                                  GPtrArray *long_on_edge)
{
    const photo_surface *s = surface;
    size_t pixels = (size_t)s->width * (size_t)s->height;
    GPtrArray *pieces = photo_pieces_new_list();

    g_autofree int32_t *label = photo_memory_new(pixels * sizeof label[0]);
    photo_bits *joined = join_fragments(s, mask, label);
    int groups = photo_bits_label(joined, label);
    g_autofree part *parts = measure_parts(joined, label, groups);
    photo_bits_free(joined);
    photo_bits *rim = photo_rim(s);
    for (int y = 0; y < s->height; y++)
        for (int x = -1; (x = photo_bits_next(rim, x + 1, y)) < s->width;)
            parts[label[(size_t)y * (size_t)s->width + (size_t)x]].contact++;

    g_autofree int *large = g_new(int, groups + 1);
    g_autofree photo_piece **made = g_new(photo_piece *, groups + 1);
    int count = 0;
    for (int i = 1; i <= groups; i++)
        if ((double)parts[i].pixels >= piece_sq_in * s->per_in * s->per_in &&
            contact_px(&parts[i]) <= table_contact_in * s->per_in)
            large[count++] = i;
    making job = { s, label, parts, large, made };
    photo_parallel(count, make_piece, &job);

    for (int k = 0; k < count; k++) {
        double contact = contact_px(&parts[large[k]]);
        if (contact <= outside_contact_in * s->per_in)
            g_ptr_array_add(pieces, made[k]);
        else if (reaches_inside(s, rim, made[k], contact))
            g_ptr_array_add(long_on_edge, made[k]);
        else
            photo_piece_free(made[k]);
    }
    photo_bits_free(rim);
    return pieces;
}

photo_bits *photo_pieces_first_look(const photo_surface *surface, const photo_plan *plan)
{
    g_autoptr(photo_surface) half = photo_surface_halved(surface);
    photo_plan small = *plan; /* for the places of its cards alone */
    small.width = half->width;
    small.height = half->height;
    small.pixels_per_in = half->per_in;
    photo_surface_learn(half, &small, NULL);
    photo_bits *mask = photo_pieces_mask(half);
    photo_bits *full = photo_bits_new(surface->width, surface->height);
    for (int y = 0; y < mask->height; y++)
        for (int x = 0; x < mask->width; x++)
            if (photo_bits_get(mask, x, y)) {
                photo_bits_set(full, 2 * x, 2 * y);
                photo_bits_set(full, 2 * x + 1, 2 * y);
                photo_bits_set(full, 2 * x, 2 * y + 1);
                photo_bits_set(full, 2 * x + 1, 2 * y + 1);
            }
    photo_bits_free(mask);
    photo_bits_grow(full, 0.1 * plan->pixels_per_in);
    return full;
}
