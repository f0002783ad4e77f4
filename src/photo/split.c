#include "photo/pieces-internal.h"

#include "colour/signature.h"
#include "photo/parallel-internal.h"

#include <math.h>
#include <string.h>

/* Scraps that touch or overlap make one piece of the mask. They are told by their cloths:
 * the mix of colours round a place changes at once, along a cut that is straight. A print
 * changes its mix too, but along the bent edges of its motifs. Figures from rendered
 * photos with known truth: real borders are straight within 0.02 to 0.04 in, those of
 * prints bend by 0.1 in and more. */
static const double window_in = 0.6;
static const double least_sq_in = 0.5;  /* of each part */
static const double least_unlike = 0.6; /* one minus the intersection of the mixes */
static const double least_distance = 5; /* of the two signatures */
static const double least_whole = 0.93; /* of each part hangs together */
static const double straight_in = 0.07; /* root mean square from a line */
/* A corner that lies over another scrap: each of its two sides, and what it takes. */
static const double bent_in = 0.045, bent_unlike = 0.8;
static const double notch_in = 0.25; /* radius in which two outlines that meet are seen */
static const double notch_fill = 0.545, sure_unlike = 0.9;
static const double refit_in = 0.3; /* how near the line the pixels are cut by it */
enum { BLOCK = 4, COLOURS = 8, SAMPLE_MAX = 2000, DEEP = 4 };

/* A piece in blocks of pixels, each with the counts of its colours. */
typedef struct blocks {
    int columns, rows;
    int *count;      /* of set pixels */
    float *mix;      /* columns x rows x COLOURS: shares in the window round each block */
    int8_t *part;    /* -1 outside, 0, 1 */
    uint8_t *colour; /* of each pixel of the mask */
    int colours;
    float centre[COLOURS][3];
} blocks;

static void blocks_clear(blocks *b)
{
    g_free(b->count);
    g_free(b->mix);
    g_free(b->part);
    g_free(b->colour);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(blocks, blocks_clear)

static int nearest_colour(const blocks *b, const float *lab)
{
    float least = INFINITY;
    int at = 0;
    for (int i = 0; i < b->colours; i++) {
        float l = lab[0] - b->centre[i][0], u = lab[1] - b->centre[i][1],
              v = lab[2] - b->centre[i][2];
        float d = l * l + u * u + v * v;
        if (d < least) {
            least = d;
            at = i;
        }
    }
    return at;
}

/* Eight colours that cover the piece: two times the signature of one half would do, so
 * farthest points from the middle of the sample on, then means. */
static void learn_colours(const photo_surface *s, const photo_piece *piece, blocks *b)
{
    photo_bits *m = piece->mask;
    g_autofree float *lab = g_new(float, 3 * (gsize)(SAMPLE_MAX + 1));
    int64_t every = photo_bits_count(m) / SAMPLE_MAX + 1, seen = 0;
    int n = 0;
    for (int y = 0; y < m->height; y++)
        for (int x = 0; x < m->width; x++)
            if (photo_bits_get(m, x, y) && seen++ % every == 0 && n < SAMPLE_MAX &&
                photo_bits_get(s->usable, x + piece->left, y + piece->top))
                memcpy(lab + 3 * n++,
                       s->lab + ((size_t)(y + piece->top) * (size_t)s->width +
                                 (size_t)(x + piece->left)) *
                                    3,
                       3 * sizeof(float));
    b->colours = 0;
    g_autofree float *gap = g_new(float, n + 1);
    for (int i = 0; i < n; i++)
        gap[i] = INFINITY;
    for (int next = n / 2; n > 0 && b->colours < COLOURS;) {
        memcpy(b->centre[b->colours++], lab + 3 * next, 3 * sizeof(float));
        float widest = 0;
        for (int i = 0; i < n; i++) {
            float d = 0;
            for (int k = 0; k < 3; k++) {
                float step = lab[3 * i + k] - b->centre[b->colours - 1][k];
                d += step * step;
            }
            gap[i] = fminf(gap[i], d);
            if (gap[i] > widest) {
                widest = gap[i];
                next = i;
            }
        }
        if (widest < 64)
            break;
    }
    for (int round = 0; round < 4; round++) {
        float sum[COLOURS][4] = { { 0 } };
        for (int i = 0; i < n; i++) {
            int c = nearest_colour(b, lab + 3 * i);
            for (int k = 0; k < 3; k++)
                sum[c][k] += lab[3 * i + k];
            sum[c][3]++;
        }
        for (int c = 0; c < b->colours; c++)
            for (int k = 0; k < 3 && sum[c][3] > 0; k++)
                b->centre[c][k] = sum[c][k] / sum[c][3];
    }
}

static void mix_colours(const photo_surface *s, const photo_piece *piece, blocks *b)
{
    const photo_bits *m = piece->mask;
    b->columns = (m->width + BLOCK - 1) / BLOCK;
    b->rows = (m->height + BLOCK - 1) / BLOCK;
    size_t all = (size_t)b->columns * (size_t)b->rows;
    b->count = g_new0(int, all);
    b->mix = g_new0(float, all *COLOURS);
    b->part = g_new(int8_t, all);
    b->colour = g_new0(uint8_t, (size_t)m->width * (size_t)m->height);

    /* sums over the rectangle from the origin, one row and column more */
    int across = b->columns + 1;
    g_autofree int *sum = g_new0(int, (gsize)across *(gsize)(b->rows + 1) * COLOURS);
    for (int y = 0; y < m->height; y++) {
        for (int x = 0; x < m->width; x++) {
            if (!photo_bits_get(m, x, y))
                continue;
            size_t at =
                (size_t)(y + piece->top) * (size_t)s->width + (size_t)(x + piece->left);
            int c = nearest_colour(b, s->lab + 3 * at);
            b->colour[y * m->width + x] = (uint8_t)c;
            b->count[y / BLOCK * b->columns + x / BLOCK]++;
            sum[((y / BLOCK + 1) * across + x / BLOCK + 1) * COLOURS + c]++;
        }
    }
    for (int r = 1; r <= b->rows; r++)
        for (int c = 1; c <= b->columns; c++)
            for (int k = 0; k < COLOURS; k++)
                sum[(r * across + c) * COLOURS + k] +=
                    sum[((r - 1) * across + c) * COLOURS + k] +
                    sum[(r * across + c - 1) * COLOURS + k] -
                    sum[((r - 1) * across + c - 1) * COLOURS + k];

    int reach = (int)(window_in / 2 * s->per_in / BLOCK);
    for (int r = 0; r < b->rows; r++) {
        for (int c = 0; c < b->columns; c++) {
            int at = r * b->columns + c, total = 0;
            b->part[at] = b->count[at] > BLOCK * BLOCK / 2 ? 0 : -1;
            if (b->part[at] < 0)
                continue;
            int r0 = MAX(0, r - reach), r1 = MIN(b->rows, r + reach + 1);
            int c0 = MAX(0, c - reach), c1 = MIN(b->columns, c + reach + 1), n[COLOURS];
            for (int k = 0; k < COLOURS; k++) {
                n[k] = sum[(r1 * across + c1) * COLOURS + k] -
                       sum[(r0 * across + c1) * COLOURS + k] -
                       sum[(r1 * across + c0) * COLOURS + k] +
                       sum[(r0 * across + c0) * COLOURS + k];
                total += n[k];
            }
            for (int k = 0; k < COLOURS; k++)
                b->mix[at * COLOURS + k] = (float)n[k] / (float)MAX(1, total);
        }
    }
}

static float unlike(const float *a, const float *b)
{
    float common = 0;
    for (int k = 0; k < COLOURS; k++)
        common += fminf(a[k], b[k]);
    return 1 - common;
}

/* Two means of the mixes, from the two that differ most. Returns how unlike they are. */
static float part_in_two(blocks *b, float mean[static 2][COLOURS])
{
    int all = b->columns * b->rows, one = -1, other = -1;
    float middle[COLOURS] = { 0 }, n = 0, most = -1;
    for (int i = 0; i < all; i++) {
        if (b->part[i] < 0)
            continue;
        for (int k = 0; k < COLOURS; k++)
            middle[k] += b->mix[i * COLOURS + k];
        n++;
    }
    for (int k = 0; k < COLOURS; k++)
        middle[k] /= n;
    for (int i = 0; i < all; i++)
        if (b->part[i] >= 0 && unlike(b->mix + i * COLOURS, middle) > most) {
            most = unlike(b->mix + i * COLOURS, middle);
            one = i;
        }
    most = -1;
    for (int i = 0; i < all && one >= 0; i++)
        if (b->part[i] >= 0 &&
            unlike(b->mix + i * COLOURS, b->mix + one * COLOURS) > most) {
            most = unlike(b->mix + i * COLOURS, b->mix + one * COLOURS);
            other = i;
        }
    if (other < 0)
        return 0;
    memcpy(mean[0], b->mix + one * COLOURS, sizeof mean[0]);
    memcpy(mean[1], b->mix + other * COLOURS, sizeof mean[1]);
    for (int round = 0; round < 8; round++) {
        float sum[2][COLOURS] = { { 0 } }, count[2] = { 0 };
        for (int i = 0; i < all; i++) {
            if (b->part[i] < 0)
                continue;
            const float *mix = b->mix + i * COLOURS;
            int p = unlike(mix, mean[1]) < unlike(mix, mean[0]);
            b->part[i] = (int8_t)p;
            for (int k = 0; k < COLOURS; k++)
                sum[p][k] += mix[k];
            count[p]++;
        }
        if (!(count[0] > 0 && count[1] > 0))
            return 0;
        for (int p = 0; p < 2; p++)
            for (int k = 0; k < COLOURS; k++)
                mean[p][k] = sum[p][k] / count[p];
    }
    return unlike(mean[0], mean[1]);
}

/* Gives small islands of either part to the other; FALSE when a part is much in pieces.
 */
static bool make_whole(blocks *b)
{
    int all = b->columns * b->rows;
    g_autofree int32_t *label = g_new(int32_t, all);
    for (int p = 0; p < 2; p++) {
        photo_bits *mine = photo_bits_new(b->columns, b->rows);
        for (int i = 0; i < all; i++)
            if (b->part[i] == p)
                photo_bits_set(mine, i % b->columns, i / b->columns);
        int count = photo_bits_label(mine, label);
        photo_bits_free(mine);
        g_autofree int *size = g_new0(int, count + 1);
        int total = 0, best = 0;
        for (int i = 0; i < all; i++)
            if (label[i] != 0) {
                size[label[i]]++;
                total++;
            }
        for (int i = 1; i <= count; i++)
            if (size[i] > size[best])
                best = i;
        if (total == 0 || size[best] < least_whole * total)
            return false;
        for (int i = 0; i < all; i++)
            if (label[i] != 0 && label[i] != best)
                b->part[i] = (int8_t)!p;
    }
    return true;
}

/* A straight border: its points are those with along . normal = at. */
typedef struct border {
    double nx, ny, at; /* pixels of the mask; part 1 lies where the product is larger */
    double rms_px, length_px;
    double x0, y0, x1, y1; /* its ends */
} border;

/* Where blocks of both parts meet. */
static GArray *border_points(const blocks *b)
{
    GArray *points = g_array_new(FALSE, FALSE, sizeof(photo_point));
    for (int r = 0; r < b->rows; r++) {
        for (int c = 0; c < b->columns; c++) {
            int at = r * b->columns + c;
            for (int way = 0; way < 2; way++) {
                int c2 = c + (way == 0), r2 = r + (way == 1);
                if (c2 >= b->columns || r2 >= b->rows)
                    continue;
                int to = r2 * b->columns + c2;
                if (b->part[at] < 0 || b->part[to] < 0 || b->part[at] == b->part[to])
                    continue;
                photo_point p = { ((c + c2) / 2.0 + 0.5) * BLOCK,
                                  ((r + r2) / 2.0 + 0.5) * BLOCK };
                g_array_append_val(points, p);
            }
        }
    }
    return points;
}

/* On which side of a line part 1 lies, by its blocks near the line. */
static void face_part_one(const blocks *b, border *line)
{
    double side = 0;
    for (int i = 0; i < b->columns * b->rows; i++) {
        if (b->part[i] < 0)
            continue;
        double x = (i % b->columns + 0.5) * BLOCK, y = (i / b->columns + 0.5) * BLOCK;
        double off = line->nx * x + line->ny * y - line->at;
        if (fabs(off) < 8 * BLOCK)
            side += (off > 0) == (b->part[i] == 1) ? 1 : -1;
    }
    if (side < 0) {
        line->nx = -line->nx;
        line->ny = -line->ny;
        line->at = -line->at;
    }
}

static border fit_border(const GArray *points)
{
    double x = 0, y = 0;
    for (guint i = 0; i < points->len; i++) {
        x += g_array_index(points, photo_point, i).x;
        y += g_array_index(points, photo_point, i).y;
    }
    border out = { .rms_px = INFINITY };
    int n = (int)points->len;
    if (n < 3)
        return out;
    x /= n;
    y /= n;
    double xx = 0, xy = 0, yy = 0;
    for (int i = 0; i < n; i++) {
        photo_point p = g_array_index(points, photo_point, i);
        xx += (p.x - x) * (p.x - x);
        xy += (p.x - x) * (p.y - y);
        yy += (p.y - y) * (p.y - y);
    }
    double way = 0.5 * atan2(2 * xy, xx - yy); /* along the line */
    out.nx = -sin(way);
    out.ny = cos(way);
    out.at = out.nx * x + out.ny * y;
    double sum = 0, low = INFINITY, high = -INFINITY;
    for (int i = 0; i < n; i++) {
        photo_point p = g_array_index(points, photo_point, i);
        double off = out.nx * p.x + out.ny * p.y - out.at;
        double along = -out.ny * p.x + out.nx * p.y;
        sum += off * off;
        low = fmin(low, along);
        high = fmax(high, along);
    }
    out.rms_px = sqrt(sum / n);
    out.length_px = high - low;
    out.x0 = out.nx * out.at - out.ny * low, out.y0 = out.ny * out.at + out.nx * low;
    out.x1 = out.nx * out.at - out.ny * high, out.y1 = out.ny * out.at + out.nx * high;
    return out;
}

/* The border of a corner that lies over another scrap: two straight lines. The points are
 * parted at the one farthest from the line through their ends, and each part is fitted;
 * rms_px and the ends in *whole become those of the bent border. */
static void fit_corner(const GArray *points, border *whole)
{
    enum { FEWEST = 3 };
    double ux = -whole->ny, uy = whole->nx, most = 0;
    photo_point a = { whole->x0, whole->y0 }, z = { whole->x1, whole->y1 }, apex = a;
    double low = INFINITY, high = -INFINITY;
    for (guint i = 0; i < points->len; i++) {
        photo_point p = g_array_index(points, photo_point, i);
        double t = ux * p.x + uy * p.y;
        if (t < low) {
            low = t;
            a = p;
        }
        if (t > high) {
            high = t;
            z = p;
        }
    }
    double cx = z.x - a.x, cy = z.y - a.y, size = hypot(cx, cy);
    for (guint i = 0; i < points->len; i++) {
        photo_point p = g_array_index(points, photo_point, i);
        double off = fabs((p.x - a.x) * cy - (p.y - a.y) * cx) / (size + 1e-9);
        if (off > most) {
            most = off;
            apex = p;
        }
    }
    g_autoptr(GArray) before = g_array_new(FALSE, FALSE, sizeof(photo_point));
    g_autoptr(GArray) after = g_array_new(FALSE, FALSE, sizeof(photo_point));
    double at = ux * apex.x + uy * apex.y;
    for (guint i = 0; i < points->len; i++) {
        photo_point p = g_array_index(points, photo_point, i);
        g_array_append_val(ux * p.x + uy * p.y > at ? after : before, p);
    }
    if (before->len < FEWEST || after->len < FEWEST)
        return;
    border one = fit_border(before), other = fit_border(after);
    whole->rms_px = fmax(one.rms_px, other.rms_px);
    whole->x0 = a.x, whole->y0 = a.y;
    whole->x1 = z.x, whole->y1 = z.y;
}

static double off_segment(const border *line, double x, double y)
{
    double dx = line->x1 - line->x0, dy = line->y1 - line->y0;
    double t = ((x - line->x0) * dx + (y - line->y0) * dy) / (dx * dx + dy * dy + 1e-9);
    t = CLAMP(t, 0, 1);
    return hypot(x - line->x0 - t * dx, y - line->y0 - t * dy);
}

/* Moves and turns the line to where the pixels' own colours part best. */
static void refit_border(const photo_surface *s, const photo_piece *piece,
                         const blocks *b, float mean[static 2][COLOURS], border *line)
{
    const photo_bits *m = piece->mask;
    double reach = refit_in * s->per_in, tell[COLOURS];
    for (int k = 0; k < COLOURS; k++) /* what a pixel of this colour says for part 1 */
        tell[k] = log((mean[1][k] + 0.02) / (mean[0][k] + 0.02));
    g_autoptr(GArray) near = g_array_new(FALSE, FALSE, 3 * sizeof(float));
    double mx = (line->x0 + line->x1) / 2, my = (line->y0 + line->y1) / 2;
    for (int y = 0; y < m->height; y++)
        for (int x = 0; x < m->width; x++) {
            if (!photo_bits_get(m, x, y) ||
                off_segment(line, x + 0.5, y + 0.5) > 1.5 * reach)
                continue;
            double across = line->nx * (x + 0.5 - mx) + line->ny * (y + 0.5 - my);
            double along = -line->ny * (x + 0.5 - mx) + line->nx * (y + 0.5 - my);
            float entry[3] = { (float)across, (float)along,
                               (float)tell[b->colour[y * m->width + x]] };
            g_array_append_val(near, entry);
        }
    const float(*p)[3] = (const float(*)[3])(const void *)near->data;
    double best = -INFINITY, best_shift = 0, best_slope = 0;
    for (int turn = -10; turn <= 10; turn++) {
        double slope = tan(turn * M_PI / 180);
        /* the gain of every shift at once: a histogram, then running sums */
        enum { BINS = 64 };
        double bin[BINS] = { 0 }, gain = 0, width = 2 * reach / BINS;
        for (guint i = 0; i < near->len; i++) {
            double at = p[i][0] - slope * p[i][1];
            int k = (int)floor((at + reach) / width);
            gain += p[i][2];
            if (k >= 0 && k < BINS)
                bin[k] += p[i][2];
            else if (k < 0)
                gain -= 2 * p[i][2];
        }
        for (int k = 0; k < BINS; k++) {
            /* the line lies before bin k */
            if (gain > best) {
                best = gain;
                best_shift = k * width - reach;
                best_slope = slope;
            }
            gain -= 2 * bin[k];
        }
    }
    double turn = atan(best_slope), c = cos(turn), d = sin(turn);
    double nx = c * line->nx + d * line->ny, ny = c * line->ny - d * line->nx;
    line->nx = nx;
    line->ny = ny;
    line->at = nx * mx + ny * my + best_shift * c;
}

/* The ends of the line, walking out from its middle as long as both sides of it are
 * cloth: beyond the shorter scrap's corner it runs along the other's edge. */
static void find_ends(const photo_bits *m, border *line)
{
    enum { BESIDE = 4 };
    double mx = (line->x0 + line->x1) / 2, my = (line->y0 + line->y1) / 2;
    double off = line->nx * mx + line->ny * my - line->at;
    mx -= off * line->nx;
    my -= off * line->ny;
    double far[2] = { 0, 0 };
    for (int side = 0; side < 2; side++) {
        double sign = side == 0 ? -1 : 1, reach = line->length_px / 2 + 24;
        for (double t = 0; t < reach; t += 0.5) {
            double x = mx - sign * t * line->ny, y = my + sign * t * line->nx;
            if (!photo_bits_get(m, (int)floor(x + BESIDE * line->nx),
                                (int)floor(y + BESIDE * line->ny)) ||
                !photo_bits_get(m, (int)floor(x - BESIDE * line->nx),
                                (int)floor(y - BESIDE * line->ny)))
                break;
            far[side] = t;
        }
        /* on to the outline, which an oblique line meets later than its sides do */
        for (double t = far[side]; t < far[side] + BESIDE + 1; t += 0.5) {
            if (!photo_bits_get(m, (int)floor(mx - sign * t * line->ny),
                                (int)floor(my + sign * t * line->nx)) ||
                t >= far[side] + BESIDE) {
                far[side] = t;
                break;
            }
        }
    }
    line->x0 = mx + far[0] * line->ny, line->y0 = my - far[0] * line->nx;
    line->x1 = mx - far[1] * line->ny, line->y1 = my + far[1] * line->nx;
}

static photo_piece *take_part(const photo_piece *piece, const blocks *b,
                              const border *line, double reach, int part)
{
    const photo_bits *m = piece->mask;
    photo_piece *out = photo_piece_new(piece->left, piece->top, m->width, m->height);
    out->on_edge = piece->on_edge;
    out->sure = piece->sure;
    out->doubts = piece->doubts;
    for (int y = 0; y < m->height; y++) {
        for (int x = 0; x < m->width; x++) {
            if (!photo_bits_get(m, x, y))
                continue;
            double off = line->nx * (x + 0.5) + line->ny * (y + 0.5) - line->at;
            int mine = b->part[y / BLOCK * b->columns + x / BLOCK];
            if (mine < 0 || off_segment(line, x + 0.5, y + 0.5) < reach)
                mine = off > 0;
            if (mine == part)
                photo_bits_set(out->mask, x, y);
        }
    }
    return out;
}

/* Parts a piece where its pixels' colours, each with those within a tenth of an inch, say
 * so; away from the border the blocks decide. */
static void cut_softly(const photo_piece *piece, const blocks *b,
                       float mean[static 2][COLOURS], const GArray *points,
                       photo_piece *parts[static 2])
{
    enum { REACH = 5 };
    const photo_bits *m = piece->mask;
    int w = m->width, h = m->height;
    float tell[COLOURS];
    for (int k = 0; k < COLOURS; k++)
        tell[k] = logf((mean[1][k] + 0.02f) / (mean[0][k] + 0.02f));
    photo_bits *near = photo_bits_new(w, h);
    for (guint i = 0; i < points->len; i++) {
        photo_point p = g_array_index(points, photo_point, i);
        photo_bits_set(near, CLAMP((int)p.x, 0, w - 1), CLAMP((int)p.y, 0, h - 1));
    }
    photo_bits_grow(near, 4 * BLOCK);
    for (int k = 0; k < 2; k++)
        parts[k] = photo_piece_new(piece->left, piece->top, w, h);
    for (int y = 0; y < h; y++) {
        for (int x = 0; x < w; x++) {
            if (!photo_bits_get(m, x, y))
                continue;
            int mine = b->part[y / BLOCK * b->columns + x / BLOCK];
            if (mine < 0 || photo_bits_get(near, x, y)) {
                float sum = 0;
                for (int v = MAX(0, y - REACH); v <= MIN(h - 1, y + REACH); v++)
                    for (int u = MAX(0, x - REACH); u <= MIN(w - 1, x + REACH); u++)
                        if (photo_bits_get(m, u, v))
                            sum += tell[b->colour[v * w + u]];
                mine = sum > 0;
            }
            photo_bits_set(parts[mine]->mask, x, y);
        }
    }
    photo_bits_free(near);
    for (int k = 0; k < 2; k++) {
        parts[k]->on_edge = piece->on_edge;
        parts[k]->sure = piece->sure;
        parts[k]->doubts = piece->doubts;
    }
}

colour_signature photo_piece_colours(const photo_surface *surface,
                                     const photo_piece *piece)
{
    const photo_surface *s = surface;
    g_autofree float *lab = g_new(float, 3 * (gsize)(SAMPLE_MAX + 1));
    g_autofree uint8_t *group = g_new(uint8_t, SAMPLE_MAX + 1);
    photo_bits *m = photo_bits_copy(piece->mask);
    photo_bits_shrink(m, 4);
    int64_t every = photo_bits_count(m) / SAMPLE_MAX + 1, seen = 0;
    size_t n = 0;
    for (int y = 0; y < m->height; y++)
        for (int x = 0; x < m->width; x++)
            if (photo_bits_get(m, x, y) && seen++ % every == 0 && n < SAMPLE_MAX)
                memcpy(lab + 3 * n++,
                       s->lab + ((size_t)(y + piece->top) * (size_t)s->width +
                                 (size_t)(x + piece->left)) *
                                    3,
                       3 * sizeof(float));
    photo_bits_free(m);
    colour_signature signature;
    colour_signature_from_pixels(n, lab, group, &signature);
    return signature;
}

void photo_piece_cut(const photo_surface *surface, const photo_piece *piece,
                     const photo_bits *side, photo_piece *ret_parts[static 2])
{
    g_auto(blocks) b = { 0 };
    learn_colours(surface, piece, &b);
    mix_colours(surface, piece, &b);
    float mean[2][COLOURS] = { { 0 } }, count[2] = { 0 };
    for (int i = 0; i < b.columns * b.rows; i++) {
        if (b.part[i] < 0)
            continue;
        int x = i % b.columns * BLOCK + BLOCK / 2, y = i / b.columns * BLOCK + BLOCK / 2;
        int p = photo_bits_get(side, x, y);
        b.part[i] = (int8_t)p;
        for (int k = 0; k < COLOURS; k++)
            mean[p][k] += b.mix[i * COLOURS + k];
        count[p]++;
    }
    for (int p = 0; p < 2; p++)
        for (int k = 0; k < COLOURS; k++)
            mean[p][k] /= fmaxf(1, count[p]);
    g_autoptr(GArray) points = border_points(&b);
    cut_softly(piece, &b, mean, points, ret_parts);
}

/* Two pieces for one, or FALSE. */
static bool split_once(const photo_surface *s, const photo_piece *piece,
                       photo_piece *ret_parts[static 2])
{
    double least_px = least_sq_in * s->per_in * s->per_in;
    if ((double)photo_bits_count(piece->mask) < 2 * least_px)
        return false;
    g_auto(blocks) b = { 0 };
    learn_colours(s, piece, &b);
    if (b.colours < 2)
        return false;
    mix_colours(s, piece, &b);
    float mean[2][COLOURS];
    if (part_in_two(&b, mean) < least_unlike || !make_whole(&b))
        return false;
    double differ = unlike(mean[0], mean[1]);
    g_autoptr(GArray) points = border_points(&b);
    border line = fit_border(points);
    bool straight = line.rms_px < straight_in * s->per_in;
    if (straight) {
        face_part_one(&b, &line);
        refit_border(s, piece, &b, mean, &line);
        find_ends(piece->mask, &line);
    } else if (differ > bent_unlike) {
        fit_corner(points, &line);
        if (!(line.rms_px < bent_in * s->per_in))
            return false;
    } else {
        return false;
    }
    /* Where two scraps meet, their outlines make a notch; a print's border ends at a
     * straight edge. The less the mixes differ, the deeper it has to be. */
    double notch = fmax(
        photo_piece_filled_round(piece->mask, line.x0, line.y0, notch_in * s->per_in),
        photo_piece_filled_round(piece->mask, line.x1, line.y1, notch_in * s->per_in));
    if (notch < notch_fill + (sure_unlike - differ) / 2)
        return false;

    photo_piece *parts[2];
    if (straight) {
        parts[0] = take_part(piece, &b, &line, refit_in * s->per_in, 0);
        parts[1] = take_part(piece, &b, &line, refit_in * s->per_in, 1);
    } else {
        cut_softly(piece, &b, mean, points, parts);
    }
    g_autoptr(photo_piece) one = parts[0];
    g_autoptr(photo_piece) other = parts[1];
    photo_piece_tidy(s, one);
    photo_piece_tidy(s, other);
    if ((double)photo_bits_count(one->mask) < least_px ||
        (double)photo_bits_count(other->mask) < least_px)
        return false;
    colour_signature a = photo_piece_colours(s, one), c = photo_piece_colours(s, other);
    if (colour_signature_distance(&a, &c) < least_distance)
        return false;
    ret_parts[0] = g_steal_pointer(&one);
    ret_parts[1] = g_steal_pointer(&other);
    return true;
}

static void split_deep(const photo_surface *s, photo_piece *piece, int deep,
                       GPtrArray *into)
{
    photo_piece *parts[2];
    if (deep == 0 || !split_once(s, piece, parts)) {
        g_ptr_array_add(into, piece);
        return;
    }
    photo_piece_free(piece);
    split_deep(s, parts[0], deep - 1, into);
    split_deep(s, parts[1], deep - 1, into);
}

typedef struct splitting {
    const photo_surface *surface;
    GPtrArray *whole;
    GPtrArray **parts; /* of each */
} splitting;

static void split_one(int i, void *data)
{
    const splitting *job = data;
    job->parts[i] = g_ptr_array_new();
    split_deep(job->surface, job->whole->pdata[i], DEEP, job->parts[i]);
    job->whole->pdata[i] = NULL;
}

void photo_pieces_split(const photo_surface *surface, GPtrArray *pieces)
{
    guint count = pieces->len;
    g_autofree GPtrArray **parts = g_new(GPtrArray *, count + 1);
    splitting job = { surface, pieces, parts };
    photo_parallel((int)count, split_one, &job);
    g_ptr_array_set_size(pieces, 0);
    for (guint i = 0; i < count; i++)
        g_ptr_array_extend_and_steal(pieces, parts[i]);
}
