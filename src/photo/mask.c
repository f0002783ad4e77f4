#include "photo/pieces-internal.h"

#include "photo/memory-internal.h"
#include "photo/parallel-internal.h"

#include <math.h>
#include <string.h>

/* All found on rendered photos with known truth, tests/photo/score_photos.c. */
static const float noise_times = 3.2f, least = 4.5f, most = 9;
static const float peak_cap = 24; /* of the local maximum whose half is needed */
static const double peak_window_in = 0.12;
static const double away_in =
    0.12; /* lines this far from pieces show the print's colour */
static const double small_print_sq_in = 0.3;
static const double crumb_px =
    1.5; /* radius of what is left where a line was taken off */
static const double stripe_in = 0.05;
static const double wide_line_in = 0.09; /* PHOTO_LINE_IN where lines are blurred */
static const double tip_in = 0.15;       /* most that a corner reaches beyond that disc */

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
    g_autofree photo_part *parts = photo_bits_measure(narrow, label, count);
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
    photo_bits_close(stripes, PHOTO_GAP_IN * s->per_in);
    photo_bits_open(stripes, line_px);
    photo_bits_and_not(stripes, mask);
    photo_bits *wide = photo_bits_copy(stripes);
    photo_bits_shrink(wide, stripe_in * s->per_in);
    photo_bits_grow(wide, (stripe_in + PHOTO_GAP_IN) * s->per_in);
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

/* Whether some pixels of a part are more than that share of it. */
static bool are_more(const photo_part *some, double share, const photo_part *all)
{
    return (double)some->pixels > share * (double)all->pixels;
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
    photo_bits *core = photo_bits_copy(mask);
    photo_bits_shrink(core, DEEP_PX);
    photo_bits *core_like = photo_bits_copy(core);
    photo_bits_and(core_like, like);
    g_autofree photo_part *all = photo_bits_measure(mask, label, count);
    g_autofree photo_part *all_like = photo_bits_measure(like, label, count);
    g_autofree photo_part *deep = photo_bits_measure(core, label, count);
    g_autofree photo_part *deep_like = photo_bits_measure(core_like, label, count);
    photo_bits_free(core_like);
    double small = small_print_sq_in * s->per_in * s->per_in;
    for (int y = 0; y < s->height; y++)
        for (int x = -1; (x = photo_bits_next(like, x + 1, y)) < s->width;) {
            int i = label[(size_t)y * (size_t)s->width + (size_t)x];
            bool edge = !photo_bits_get(core, x, y);
            if ((edge && (double)deep_like[i].pixels < few * (double)deep[i].pixels) ||
                ((double)all[i].pixels < small &&
                 are_more(&all_like[i], nearly_all, &all[i])))
                photo_bits_unset(mask, x, y);
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
    photo_bits_close(stripes, PHOTO_JOIN_IN * s->per_in);
    photo_bits_open(stripes, PHOTO_THIN_IN * s->per_in);
    photo_bits_or(wide, stripes);
    photo_bits_free(stripes);
    size_t pixels = (size_t)s->width * (size_t)s->height;
    g_autofree int32_t *label = photo_memory_new(pixels * sizeof label[0]);
    int count = photo_bits_label(narrow, label);
    photo_bits *narrow_like = photo_bits_copy(narrow), *beyond = photo_bits_copy(narrow);
    photo_bits_and(narrow_like, like);
    photo_bits_and_not(beyond, wide);
    g_autofree photo_part *all = photo_bits_measure(narrow, label, count);
    g_autofree photo_part *all_like = photo_bits_measure(narrow_like, label, count);
    g_autofree photo_part *all_beyond = photo_bits_measure(beyond, label, count);
    for (int y = 0; y < s->height; y++)
        for (int x = -1; (x = photo_bits_next(narrow, x + 1, y)) < s->width;) {
            int i = label[(size_t)y * (size_t)s->width + (size_t)x];
            if (all_beyond[i].pixels > 0 && are_more(&all_like[i], nearly_all, &all[i]))
                photo_bits_unset(mask, x, y);
        }
    photo_bits_free(narrow_like);
    photo_bits_free(beyond);
    photo_bits_free(narrow);
    photo_bits_free(wide);
}

photo_bits *photo_pieces_mask(photo_surface *surface)
{
    photo_surface *s = surface;
    photo_bits *raw = mark_standing_out(s);
    double line_px = line_radius(s, raw, PHOTO_LINE_IN * s->per_in);
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
