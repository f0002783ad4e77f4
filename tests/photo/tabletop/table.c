#include "table.h"

#include "colour/lab.h"

#include <glib.h>
#include <math.h>
#include <string.h>

const table_surface table_surfaces[] = {
    { "dark green mat",
      { 31, 76, 62 },
      { 120, 170, 140 },
      0.02,
      true,
      false,
      true,
      0,
      0.02 },
    { "charcoal mat",
      { 48, 47, 48 },
      { 215, 215, 210 },
      0.03,
      true,
      true,
      true,
      0,
      0.02 },
    { "mid-blue mat",
      { 52, 92, 140 },
      { 175, 200, 225 },
      0.02,
      true,
      false,
      true,
      0,
      0.02 },
    { "pink mat",
      { 214, 130, 160 },
      { 250, 225, 232 },
      0.02,
      false,
      true,
      true,
      0,
      0.02 },
    { "light grey mat",
      { 178, 180, 182 },
      { 240, 240, 240 },
      0.025,
      true,
      false,
      true,
      0,
      0.02 },
    { "white mat",
      { 226, 227, 224 },
      { 120, 125, 130 },
      0.02,
      true,
      true,
      true,
      0,
      0.01 },
    { "purple mat", { 88, 62, 120 }, { 190, 175, 215 }, 0.02, true, true, true, 0, 0.02 },
    { "teal mat", { 20, 118, 122 }, { 160, 215, 210 }, 0.02, false, true, true, 0, 0.02 },
    { "yellow-green mat",
      { 150, 185, 70 },
      { 60, 95, 40 },
      0.02,
      true,
      false,
      true,
      0,
      0.02 },
    { "black mat", { 24, 24, 26 }, { 235, 205, 70 }, 0.02, true, true, true, 0, 0.02 },
    { "white table", { 228, 227, 222 }, { 0, 0, 0 }, 0, false, false, false, 0, 0.01 },
    { "grey table", { 140, 141, 143 }, { 0, 0, 0 }, 0, false, false, false, 0, 0.04 },
    { "tan table", { 190, 160, 122 }, { 0, 0, 0 }, 0, false, false, false, 0, 0.03 },
    { "light wood", { 205, 172, 128 }, { 0, 0, 0 }, 0, false, false, false, 0.12, 0.02 },
    { "brown wood", { 140, 95, 60 }, { 0, 0, 0 }, 0, false, false, false, 0.2, 0.02 },
    { "dark wood", { 78, 50, 38 }, { 0, 0, 0 }, 0, false, false, false, 0.25, 0.02 },
    { "ironing cloth", { 205, 200, 190 }, { 0, 0, 0 }, 0, false, false, false, 0, 0.06 },
};
const int table_mats = 10, table_surface_count = G_N_ELEMENTS(table_surfaces);

typedef void paint_fn(photo_point at, const void *data, double ret_rgb[static 3]);

/* Painted over what lies there without hiding it. */
enum { NOBODY = -1 };

/* What a surface looks like in its own inches. */
typedef struct spread {
    const table_surface *of;
    photo_point corner;
    double cos, sin, width, height;
    uint64_t seed;
} spread;

static bool on_line(double at, double every, double width)
{
    return fabs(at - every * round(at / every)) < width / 2;
}

/* Numerals as the strokes of figures, 0.2 in high beside the lines of two sides. */
static bool on_numeral(const spread *s, double x, double y)
{
    static const uint8_t strokes[10] = { 0x77, 0x24, 0x5d, 0x6d, 0x2e,
                                         0x6b, 0x7b, 0x25, 0x7f, 0x6f };
    bool below = y > 0.1 && y < 0.4;
    double along = below ? x : y, across = below ? y : x;
    if (!below && !(x > 0.1 && x < 0.4))
        return false;
    int number = (int)floor(along);
    double u = (along - number - 0.08) / 0.12, v = (across - 0.15) / 0.2;
    int figure = u < 1.2 && number >= 10 ? number / 10 : number % 10;
    if (number >= 10 && u >= 1.2)
        u -= 1.4;
    if (number < 1 || u < -0.1 || u > 1.1 || v < -0.1 || v > 1.1 ||
        along > (below ? s->width : s->height) - 1)
        return false;
    uint8_t lit = strokes[figure % 10];
    bool left = u<0.12, right = u> 0.88, low = v<0.1, high = v> 0.9,
         mid = fabs(v - 0.5) < 0.08;
    return (high && lit & 1) || (left && v > 0.5 && lit & 2) ||
           (right && v > 0.5 && lit & 4) || (mid && lit & 8) ||
           (left && v < 0.5 && lit & 16) || (right && v < 0.5 && lit & 32) ||
           (low && lit & 64);
}

static bool on_print(const spread *s, double x, double y)
{
    double w = s->of->line_in;
    bool within = x > 0.5 && y > 0.5 && x < s->width - 0.5 && y < s->height - 0.5;
    if (w == 0)
        return false;
    if (s->of->marks && on_numeral(s, x, y))
        return true;
    if (!within)
        return false;
    if (on_line(x, 1, w) || on_line(y, 1, w))
        return true;
    if (s->of->ticks && ((on_line(x, 0.5, w) && on_line(y, 1, 0.12)) ||
                         (on_line(y, 0.5, w) && on_line(x, 1, 0.12))))
        return true;
    return s->of->slants &&
           (fabs(y - 1.732 * x) < w || fabs(y + 1.732 * (x - s->width)) < w);
}

static void paint_surface(photo_point at, const void *data, double ret_rgb[static 3])
{
    const spread *s = data;
    double dx = at.x - s->corner.x, dy = at.y - s->corner.y;
    double x = s->cos * dx + s->sin * dy, y = -s->sin * dx + s->cos * dy;
    colour_linear c =
        colour_linear_from_srgb8(on_print(s, x, y) ? s->of->line : s->of->base);
    double bend = 0.3 * cloth_noise(x / 4, y / 3, s->seed + 5);
    double by = 1 +
                s->of->grain * (0.6 * cloth_noise(x / 6, (y + bend) * 5, s->seed) +
                                0.4 * cloth_noise(x / 2, (y + bend) * 25, s->seed + 1)) +
                s->of->speckle * cloth_noise(x * 60, y * 60, s->seed + 2) +
                0.03 * cloth_noise(x / 5, y / 5, s->seed + 3);
    ret_rgb[0] = c.r * by;
    ret_rgb[1] = c.g * by;
    ret_rgb[2] = c.b * by;
}

static photo_point place_of(const table *t, double column, double row)
{
    return (photo_point){ t->top.least_in.x + column / t->top.per_in,
                          t->top.least_in.y + row / t->top.per_in };
}

/* A box of pixels about some points, and how much of each pixel a polygon covers. */
typedef struct cover {
    int left, bottom, width, height;
    float *share;
} cover;

static cover box_about(const table *t, int n, const photo_point *p, double margin_in)
{
    photo_point least = { INFINITY, INFINITY }, most = { -INFINITY, -INFINITY };
    for (int i = 0; i < n; i++) {
        least = (photo_point){ fmin(least.x, p[i].x), fmin(least.y, p[i].y) };
        most = (photo_point){ fmax(most.x, p[i].x), fmax(most.y, p[i].y) };
    }
    double per_in = t->top.per_in;
    cover box = { .left = (int)floor((least.x - margin_in - t->top.least_in.x) * per_in),
                  .bottom =
                      (int)floor((least.y - margin_in - t->top.least_in.y) * per_in) };
    box.width = (int)ceil((most.x + margin_in - t->top.least_in.x) * per_in) - box.left;
    box.height =
        (int)ceil((most.y + margin_in - t->top.least_in.y) * per_in) - box.bottom;
    box.left = MAX(0, box.left);
    box.bottom = MAX(0, box.bottom);
    box.width = MAX(1, MIN(box.width, t->top.width - box.left));
    box.height = MAX(1, MIN(box.height, t->top.height - box.bottom));
    box.share = g_new0(float, (size_t)box.width *(size_t)box.height);
    return box;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void add_span(float *row, int width, double from, double to, float weight)
{
    from = CLAMP(from, 0, width);
    to = CLAMP(to, 0, width);
    for (int x = (int)from; x < to; x++)
        row[x] += weight * (float)(fmin(x + 1, to) - fmax(x, from));
}

/* Exact across, four lines a row. */
static cover cover_of(const table *t, int n, const photo_point *p, double margin_in)
{
    enum { LINES = 4 };
    cover box = box_about(t, n, p, margin_in);
    g_autofree double *cross = g_new(double, n);
    for (int line = 0; line < LINES * box.height; line++) {
        double y = place_of(t, 0, box.bottom + (line + 0.5) / LINES).y;
        int count = 0;
        for (int i = 0, j = n - 1; i < n; j = i++)
            if ((p[i].y > y) != (p[j].y > y))
                cross[count++] =
                    (p[i].x + (y - p[i].y) / (p[j].y - p[i].y) * (p[j].x - p[i].x) -
                     t->top.least_in.x) *
                        t->top.per_in -
                    box.left;
        qsort(cross, (size_t)count, sizeof *cross, by_value);
        for (int i = 0; i + 1 < count; i += 2)
            add_span(box.share + (size_t)(line / LINES) * (size_t)box.width, box.width,
                     cross[i], cross[i + 1], 1.0f / LINES);
    }
    return box;
}

static void paint(table *t, const cover *box, int number, paint_fn *colour,
                  const void *data)
{
    for (int r = 0; r < box->height; r++)
        for (int c = 0; c < box->width; c++) {
            float share = box->share[r * box->width + c];
            if (share <= 0)
                continue;
            size_t i = (size_t)(box->bottom + r) * (size_t)t->top.width +
                       (size_t)(box->left + c);
            double rgb[3];
            colour(place_of(t, box->left + c + 0.5, box->bottom + r + 0.5), data, rgb);
            for (int k = 0; k < 3; k++)
                t->top.rgb[3 * i + (size_t)k] =
                    t->top.rgb[3 * i + (size_t)k] * (1 - share) + (float)rgb[k] * share;
            if (share > 0.5f && number != NOBODY)
                t->on[i] = (uint8_t)number;
        }
}

static void lay(table *t, const spread *s)
{
    photo_point p[4];
    for (int i = 0; i < 4; i++) {
        double x = i == 1 || i == 2 ? s->width : 0, y = i >= 2 ? s->height : 0;
        p[i] = (photo_point){ s->corner.x + s->cos * x - s->sin * y,
                              s->corner.y + s->sin * x + s->cos * y };
    }
    cover box = cover_of(t, 4, p, 0);
    paint(t, &box, 0, paint_surface, s);
    g_free(box.share);
}

table *table_new(photo_point least_in, photo_point most_in, double per_in,
                 const table_surface *wood, uint64_t seed)
{
    table *t = g_new0(table, 1);
    t->top.least_in = least_in;
    t->top.per_in = per_in;
    t->top.width = (int)ceil((most_in.x - least_in.x) * per_in);
    t->top.height = (int)ceil((most_in.y - least_in.y) * per_in);
    size_t pixels = (size_t)t->top.width * (size_t)t->top.height;
    t->top.rgb = g_new0(float, 3 * pixels);
    t->on = g_malloc0(pixels);
    lay(t, &(spread){ wood, least_in, 1, 0, most_in.x - least_in.x,
                      most_in.y - least_in.y, seed });
    return t;
}

void table_free(table *t)
{
    g_free(t->top.rgb);
    g_free(t->on);
    g_free(t);
}

void table_lay_mat(table *t, const table_surface *mat, photo_point corner_in, double turn,
                   double width_in, double height_in, uint64_t seed)
{
    lay(t, &(spread){ mat, corner_in, cos(turn), sin(turn), width_in, height_in, seed });
}

/* The print as it lies, with the weave's threads and a fold across. */
static void paint_cloth(photo_point at, const void *data, double ret_rgb[static 3])
{
    const table_scrap *s = data;
    double c = cos(s->grain_rad), n = sin(s->grain_rad);
    double u = c * at.x + n * at.y, v = -n * at.x + c * at.y;
    cloth_colour(s->print, (photo_point){ u + s->bolt_in.x, v + s->bolt_in.y }, ret_rgb);
    double threads = 0.04 * cloth_noise(u * 70, v * 8, s->seed) +
                     0.04 * cloth_noise(u * 8, v * 70, s->seed + 1);
    double waves = 0.04 * cloth_noise(at.x / 1.5, at.y / 1.5, s->seed + 2);
    double off = 0.8 * at.x + 0.6 * at.y - 0.8 * s->laid.corner[0].x -
                 0.6 * s->laid.corner[0].y - 0.9;
    double fold = s->crease * off / 0.1 * exp(-off * off / 0.02);
    for (int k = 0; k < 3; k++)
        ret_rgb[k] *= (1 + threads) * (1 + waves + fold);
}

/* A box filter along lines of pixels, three of which are nearly a Gaussian. */
static void soften(float *share, int lines, size_t line_step, int pixels, size_t step,
                   int reach)
{
    g_autofree float *was = g_new(float, pixels);
    for (int l = 0; l < lines; l++) {
        float *line = share + (size_t)l * line_step, sum = 0;
        for (int i = 0; i < pixels; i++)
            was[i] = line[(size_t)i * step];
        for (int i = -reach; i < pixels; i++) {
            sum += i + reach < pixels ? was[i + reach] : 0;
            sum -= i - reach - 1 >= 0 ? was[i - reach - 1] : 0;
            if (i >= 0)
                line[(size_t)i * step] = sum / (float)(2 * reach + 1);
        }
    }
}

static void shade(table *t, const photo_point *outline, int n, photo_point to)
{
    g_autofree photo_point *moved = g_new(photo_point, n);
    for (int i = 0; i < n; i++)
        moved[i] = (photo_point){ outline[i].x + to.x, outline[i].y + to.y };
    cover box = cover_of(t, n, moved, 0.1);
    int reach = MAX(1, (int)(0.4 * hypot(to.x, to.y) * t->top.per_in));
    for (int turn = 0; turn < 3; turn++) {
        soften(box.share, box.height, (size_t)box.width, box.width, 1, reach);
        soften(box.share, box.width, 1, box.height, (size_t)box.width, reach);
    }
    for (int r = 0; r < box.height; r++)
        for (int c = 0; c < box.width; c++) {
            float by = 1 - 0.45f * box.share[r * box.width + c];
            size_t i =
                (size_t)(box.bottom + r) * (size_t)t->top.width + (size_t)(box.left + c);
            for (size_t k = 0; k < 3; k++)
                t->top.rgb[3 * i + k] *= by;
        }
    g_free(box.share);
}

static void paint_thread(photo_point at, const void *data, double ret_rgb[static 3])
{
    (void)at;
    memcpy(ret_rgb, data, 3 * sizeof *ret_rgb);
}

/* A loose thread that leaves a frayed side and bends away. */
static void hang_thread(table *t, const table_scrap *s, photo_point from, double turn,
                        motley_random *random)
{
    enum { STEPS = 12 };
    double reach = 0.06 + 0.4 * motley_random_unit(random);
    double bend = 3 * (motley_random_unit(random) - 0.5);
    photo_point p[2 * STEPS];
    for (int i = 0; i < STEPS; i++) {
        p[i] = p[2 * STEPS - 1 - i] = from;
        p[i].x += 0.003 * sin(turn);
        p[i].y -= 0.003 * cos(turn);
        p[2 * STEPS - 1 - i].x -= 0.003 * sin(turn);
        p[2 * STEPS - 1 - i].y += 0.003 * cos(turn);
        from.x += reach / STEPS * cos(turn);
        from.y += reach / STEPS * sin(turn);
        turn += bend / STEPS;
    }
    cover box = cover_of(t, 2 * STEPS, p, 0);
    paint(t, &box, NOBODY, paint_thread, s->print->colour[0]);
    g_free(box.share);
}

void table_lay_scrap(table *t, const table_scrap *s)
{
    g_autofree photo_point *outline = g_new(photo_point, SHAPE_POINTS_MAX);
    int n = shape_outline(&s->laid, s->seed, outline);
    shade(t, outline, n, s->shade_in);
    motley_random random;
    motley_random_seed(&random, s->seed + 77);
    for (int i = 0; i < s->laid.corners; i++) {
        photo_point a = s->laid.corner[i], b = s->laid.corner[(i + 1) % s->laid.corners];
        int threads = (int)(1.2 * hypot(b.x - a.x, b.y - a.y) + 0.5); /* some each inch */
        for (int k = 0; s->laid.edge[i] == SHAPE_FRAYED && k < threads; k++) {
            double by = motley_random_unit(&random);
            double turn =
                atan2(-(b.x - a.x), b.y - a.y) + motley_random_unit(&random) - 0.5;
            hang_thread(t, s,
                        (photo_point){ a.x + by * (b.x - a.x), a.y + by * (b.y - a.y) },
                        turn, &random);
        }
    }
    cover box = cover_of(t, n, outline, 0);
    paint(t, &box, s->number, paint_cloth, s);
    g_free(box.share);
}

double table_visible(const table *t, int number, double ret_rgb[static 3])
{
    size_t pixels = (size_t)t->top.width * (size_t)t->top.height, count = 0;
    double sum[3] = { 0 };
    for (size_t i = 0; i < pixels; i++)
        if (t->on[i] == number) {
            count++;
            for (size_t k = 0; k < 3; k++)
                sum[k] += t->top.rgb[3 * i + k];
        }
    for (size_t k = 0; k < 3; k++)
        ret_rgb[k] = sum[k] / (double)MAX(1, count);
    return (double)count / (t->top.per_in * t->top.per_in);
}
