#include "photo/blocks.h"

#include "photo/parallel-internal.h"
#include "photo/pieces-internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

double photo_block_unfinished_in(const photo_block_size *size)
{
    return size->side * size->unit_in - 2 * (size->side - 1) * size->seam_in;
}

/* --- where squares may lie -----------------------------------------------------------
 */

/* The mask of all that is no surface is looked at coarsely and turned, and squares of the
 * size of a block are held against it. */
enum { COARSE_PER_IN = 12, ANGLE_STEP_DEG = 3, ANGLES = 90 / ANGLE_STEP_DEG };

static const double least_fill = 0.72; /* of a square: a patch may look like the table */
static const double rim_in = 0.35;     /* what lies round a square counts against it */
static const double rim_weight = 0.35;
static const double most_overlap = 0.3; /* of two squares, of their side */
static const double most_unexplained = 0.4;
static const double lies_over = 0.2; /* of a side: something lies across it */

typedef struct square {
    double x, y, angle; /* centre in plan pixels; radians, clockwise as rows run down */
    double score, fill;
    double over[4]; /* unexplained(), side by side */
} square;

/* The mask turned about the middle of the plan, as sums over all pixels above and to the
 * left. */
typedef struct turned {
    int side; /* of the table of sums */
    double middle_x, middle_y, cosine, sine, per_px;
    int32_t *sum;
} turned;

static void turn_mask(const photo_bits *mask, double angle, double per_px, turned *ret)
{
    double reach = hypot(mask->width, mask->height) / per_px;
    int side = (int)ceil(reach) + 3;
    *ret = (turned){ side,
                     mask->width / 2.0,
                     mask->height / 2.0,
                     cos(angle),
                     sin(angle),
                     per_px,
                     g_new0(int32_t, (gsize)side * (gsize)side) };
    for (int v = 1; v < side; v++) {
        int32_t row = 0;
        for (int u = 1; u < side; u++) {
            double a = (u - 0.5 - side / 2.0) * per_px,
                   b = (v - 0.5 - side / 2.0) * per_px;
            int x = (int)floor(ret->middle_x + a * ret->cosine - b * ret->sine);
            int y = (int)floor(ret->middle_y + a * ret->sine + b * ret->cosine);
            row += x >= 0 && y >= 0 && x < mask->width && y < mask->height &&
                   photo_bits_get(mask, x, y);
            ret->sum[(size_t)v * (size_t)side + (size_t)u] =
                ret->sum[(size_t)(v - 1) * (size_t)side + (size_t)u] + row;
        }
    }
}

static int32_t sum_of(const turned *t, int left, int top, int size)
{
    int right = CLAMP(left + size, 0, t->side - 1),
        bottom = CLAMP(top + size, 0, t->side - 1);
    left = CLAMP(left, 0, t->side - 1);
    top = CLAMP(top, 0, t->side - 1);
    const int32_t *s = t->sum;
    size_t w = (size_t)t->side;
    return s[(size_t)bottom * w + (size_t)right] - s[(size_t)top * w + (size_t)right] -
           s[(size_t)bottom * w + (size_t)left] + s[(size_t)top * w + (size_t)left];
}

/* All squares that are full enough and no worse than those next to them. */
static void squares_at(const turned *t, double angle, double side_px, GArray *squares)
{
    const int size = (int)lround(side_px / t->per_px);
    const int rim = MAX(2, (int)lround(rim_in * COARSE_PER_IN));
    const double all = (double)size * size;
    const double round_it = (size + 2.0 * rim) * (size + 2.0 * rim) - all;
    int n = t->side - size;
    if (n < 1)
        return;
    g_autofree float *score = g_new0(float, (gsize)n *(gsize)n);
    for (int v = 0; v < n; v++)
        for (int u = 0; u < n; u++) {
            int32_t in = sum_of(t, u, v, size);
            if (in < least_fill * all)
                continue;
            int32_t around = sum_of(t, u - rim, v - rim, size + 2 * rim) - in;
            score[v * n + u] = (float)(in / all - rim_weight * around / round_it);
        }
    for (int v = 0; v < n; v++)
        for (int u = 0; u < n; u++) {
            float here = score[v * n + u];
            bool best = here > 0;
            for (int b = MAX(0, v - 2); b <= MIN(n - 1, v + 2) && best; b++)
                for (int a = MAX(0, u - 2); a <= MIN(n - 1, u + 2) && best; a++)
                    best = score[b * n + a] < here ||
                           (score[b * n + a] == here && (b > v || (b == v && a >= u)));
            if (!best)
                continue;
            double p = (u + size / 2.0 - t->side / 2.0) * t->per_px;
            double q = (v + size / 2.0 - t->side / 2.0) * t->per_px;
            square one = { .x = t->middle_x + p * t->cosine - q * t->sine,
                           .y = t->middle_y + p * t->sine + q * t->cosine,
                           .angle = angle,
                           .score = here,
                           .fill = sum_of(t, u, v, size) / all };
            g_array_append_val(squares, one);
        }
}

typedef struct turning {
    const photo_bits *mask;
    double per_px, side_px;
    GArray *squares[ANGLES];
} turning;

static void look_at_angle(int i, void *data)
{
    turning *job = data;
    double angle = (i * ANGLE_STEP_DEG - 45) * G_PI / 180;
    turned t;
    turn_mask(job->mask, angle, job->per_px, &t);
    squares_at(&t, angle, job->side_px, job->squares[i]);
    g_free(t.sum);
}

static int by_score(gconstpointer a, gconstpointer b)
{
    const square *p = a, *q = b;
    if (p->score != q->score)
        return p->score < q->score ? 1 : -1;
    return p->y != q->y ? (p->y > q->y ? 1 : -1) : (p->x > q->x) - (p->x < q->x);
}

/* How deep one square reaches into another, of their side: by their axes (two squares are
 * apart when one of the four axes parts them). */
static double overlap_of(const square *a, const square *b, double side_px)
{
    double least = INFINITY;
    double dx = b->x - a->x, dy = b->y - a->y, between = b->angle - a->angle;
    double other = (fabs(cos(between)) + fabs(sin(between))) / 2;
    for (int k = 0; k < 4; k++) {
        double angle = (k < 2 ? a->angle : b->angle) + (k % 2) * G_PI / 2;
        double apart = fabs(dx * cos(angle) + dy * sin(angle)) / side_px;
        least = fmin(least, 0.5 + other - apart);
    }
    return least;
}

/* How much of what lies just outside each side of a square (top, right, bottom, left) is
 * no surface and no other square: all of it where the square is a part of something
 * larger. */
static void unexplained(const photo_bits *mask, const GArray *squares, guint which,
                        double side_px, double per_in, double share[static 4])
{
    enum { LOOKS = 24 };
    const square *s = &g_array_index(squares, square, which);
    double out = side_px / 2 + 0.22 * per_in;
    for (int k = 0; k < 4; k++) {
        double c = cos(s->angle + (k - 1) * G_PI / 2),
               d = sin(s->angle + (k - 1) * G_PI / 2);
        int seen = 0;
        for (int look = 0; look < LOOKS; look++) {
            double along = ((look + 0.5) / LOOKS - 0.5) * side_px * 0.8;
            square place = { .x = s->x + out * c - along * d,
                             .y = s->y + out * d + along * c };
            int x = (int)floor(place.x), y = (int)floor(place.y);
            if (x < 0 || y < 0 || x >= mask->width || y >= mask->height ||
                !photo_bits_get(mask, x, y))
                continue;
            bool explained = false;
            for (guint i = 0; i < squares->len && !explained; i++) {
                const square *o = &g_array_index(squares, square, i);
                double dx = place.x - o->x, dy = place.y - o->y;
                double p = dx * cos(o->angle) + dy * sin(o->angle);
                double q = dy * cos(o->angle) - dx * sin(o->angle);
                explained =
                    i != which && fmax(fabs(p), fabs(q)) < side_px / 2 + 0.1 * per_in;
            }
            seen += !explained;
        }
        share[k] = (double)seen / LOOKS;
    }
}

/* Takes out squares that are parts of something larger: a block of another size, a heap.
 */
static void drop_parts(const photo_bits *mask, double side_px, double per_in,
                       GArray *squares)
{
    g_autofree bool *part = g_new0(bool, squares->len + 1);
    for (guint i = 0; i < squares->len; i++) {
        double *share = g_array_index(squares, square, i).over;
        unexplained(mask, squares, i, side_px, per_in, share);
        part[i] = (share[0] + share[1] + share[2] + share[3]) / 4 > most_unexplained;
    }
    guint kept = 0;
    for (guint i = 0; i < squares->len; i++)
        if (!part[i])
            g_array_index(squares, square, kept++) = g_array_index(squares, square, i);
    g_array_set_size(squares, kept);
}

static GArray *propose(const photo_bits *mask, int per_in, double side_px)
{
    turning job = { mask, (double)per_in / COARSE_PER_IN, side_px, { NULL } };
    for (int i = 0; i < ANGLES; i++)
        job.squares[i] = g_array_new(FALSE, FALSE, sizeof(square));
    photo_parallel(ANGLES, look_at_angle, &job);
    g_autoptr(GArray) all = g_array_new(FALSE, FALSE, sizeof(square));
    for (int i = 0; i < ANGLES; i++) {
        g_array_append_vals(all, job.squares[i]->data, job.squares[i]->len);
        g_array_unref(job.squares[i]);
    }
    g_array_sort(all, by_score);
    GArray *chosen = g_array_new(FALSE, FALSE, sizeof(square));
    for (guint i = 0; i < all->len && chosen->len < PHOTO_BLOCKS_MAX; i++) {
        const square *one = &g_array_index(all, square, i);
        bool clear = true;
        for (guint k = 0; k < chosen->len && clear; k++)
            clear = overlap_of(one, &g_array_index(chosen, square, k), side_px) <
                    most_overlap;
        if (clear)
            g_array_append_val(chosen, *one);
    }
    drop_parts(mask, side_px, per_in, chosen);
    return chosen;
}

/* --- its sides -----------------------------------------------------------------------
 */

enum { SIDE_SAMPLES = 96, ROUNDS = 4 };

static const double wide_reach_in = 0.22; /* first look, then as far as a step is seen */
static const double near_in = 0.03;       /* of a line: what raggedness does */
static const double least_sharp = 0.4;
/* A side that something lies across is seen less than this; how sure the block is then.
 */
static const double crossed_sharp = 0.75, covered_sure = 0.4;
static const double trim = 0.06; /* of a side left out at each end: corners are round */

/* A line: x cos + y sin = d, the normal pointing out of the block. */
typedef struct edge_line {
    double nx, ny, d;
    double sharp, error; /* share of samples near it; rms of those, plan px */
} edge_line;

static photo_point crossing(const edge_line *a, const edge_line *b)
{
    double det = a->nx * b->ny - a->ny * b->nx;
    return (photo_point){ (a->d * b->ny - b->d * a->ny) / det,
                          (a->nx * b->d - b->nx * a->d) / det };
}

/* The four sides of a square: top, right, bottom, left as rows run down. */
static void lines_of(const square *s, double side_px, edge_line lines[static 4])
{
    for (int k = 0; k < 4; k++) {
        double angle = s->angle + (k - 1) * G_PI / 2;
        double nx = cos(angle), ny = sin(angle);
        lines[k] = (edge_line){ nx, ny, s->x * nx + s->y * ny + side_px / 2, 0, 0 };
    }
}

/* A robust line through places, begun from one: each round places count that are near. */
static void fit_line(int n, const photo_point *p, double near_px, int all,
                     edge_line *line)
{
    for (int round = 0; round < ROUNDS; round++) {
        double within = near_px * (round == 0 ? 3 : round == 1 ? 2 : 1);
        double sw = 0, sx = 0, sy = 0, sxx = 0, sxy = 0, syy = 0, off2 = 0;
        for (int i = 0; i < n; i++) {
            double off = p[i].x * line->nx + p[i].y * line->ny - line->d;
            if (fabs(off) > within)
                continue;
            sw++;
            sx += p[i].x, sy += p[i].y;
            off2 += off * off;
        }
        line->sharp = sw / all;
        line->error = sw > 0 ? sqrt(off2 / sw) : 0;
        if (sw < 6)
            return;
        double mx = sx / sw, my = sy / sw;
        for (int i = 0; i < n; i++) {
            double off = p[i].x * line->nx + p[i].y * line->ny - line->d;
            if (fabs(off) > within)
                continue;
            double u = p[i].x - mx, v = p[i].y - my;
            sxx += u * u, sxy += u * v, syy += v * v;
        }
        double way = 0.5 * atan2(2 * sxy, sxx - syy);
        double nx = -sin(way), ny = cos(way);
        if (nx * line->nx + ny * line->ny < 0)
            nx = -nx, ny = -ny;
        /* A side that turned by more than 5 degrees is something else. */
        if (nx * line->nx + ny * line->ny < 0.9962)
            return;
        line->nx = nx;
        line->ny = ny;
        line->d = mx * nx + my * ny;
    }
}

static double lab_step(const photo_surface *s, photo_point in, photo_point out)
{
    int x = (int)floor(in.x), y = (int)floor(in.y), u = (int)floor(out.x),
        v = (int)floor(out.y);
    if (!photo_bits_get(s->covered, x, y) || !photo_bits_get(s->covered, u, v))
        return 0;
    const float *a = s->lab + ((size_t)y * (size_t)s->width + (size_t)x) * 3;
    const float *b = s->lab + ((size_t)v * (size_t)s->width + (size_t)u) * 3;
    return hypot(hypot(a[0] - b[0], a[1] - b[1]), a[2] - b[2]);
}

/* Where along the normal the colour changes most, looked at as far as the first square
 * may be off. */
static bool widest_step(const photo_surface *s, photo_point at, const edge_line *line,
                        double reach, photo_point *ret)
{
    double best = 4, best_t = NAN; /* CIELAB */
    for (double t = -reach; t <= reach; t += 1) {
        photo_point in = { at.x + (t - 2) * line->nx, at.y + (t - 2) * line->ny };
        photo_point out = { at.x + (t + 2) * line->nx, at.y + (t + 2) * line->ny };
        double step = fmin(20, lab_step(s, in, out)) - 0.15 * fabs(t);
        if (step > best) {
            best = step;
            best_t = t;
        }
    }
    *ret = (photo_point){ at.x + best_t * line->nx, at.y + best_t * line->ny };
    return !isnan(best_t);
}

static void refine_side(const photo_surface *s, const photo_plan *plan,
                        const edge_line before[static 4], int k, bool wide,
                        edge_line *line)
{
    photo_point from = crossing(&before[(k + 3) % 4], &before[k]);
    photo_point to = crossing(&before[k], &before[(k + 1) % 4]);
    photo_point found[SIDE_SAMPLES];
    int n = 0;
    for (int i = 0; i < SIDE_SAMPLES; i++) {
        double share = trim + (1 - 2 * trim) * (i + 0.5) / SIDE_SAMPLES;
        photo_point at = { from.x + share * (to.x - from.x),
                           from.y + share * (to.y - from.y) };
        if (wide) {
            n += widest_step(s, at, line, wide_reach_in * plan->pixels_per_in, &found[n]);
            continue;
        }
        double t = photo_edge_step(plan, at, line->nx, line->ny);
        if (!isnan(t))
            found[n++] = (photo_point){ at.x + t * line->nx, at.y + t * line->ny };
    }
    fit_line(n, found, near_in * plan->pixels_per_in, SIDE_SAMPLES, line);
}

/* What three good sides say of a fourth that was not seen: it is across from one of them
 * by the size of a block. */
static void replace_lost_sides(double side_px, edge_line lines[static 4])
{
    for (int k = 0; k < 4; k++) {
        edge_line *line = &lines[k];
        const edge_line *across = &lines[(k + 2) % 4];
        double size = line->d + across->d;
        bool parallel = line->nx * across->nx + line->ny * across->ny < -0.9994;
        bool fits = parallel && fabs(size / side_px - 1) < 0.05;
        if ((line->sharp >= least_sharp && fits) || line->sharp > across->sharp ||
            across->sharp < least_sharp)
            continue;
        line->nx = -across->nx;
        line->ny = -across->ny;
        line->d = side_px - across->d;
    }
}

/* --- its cells -----------------------------------------------------------------------
 */

enum { CELL_SAMPLES = 24 };

/* Of a cell, left out on each side: seams and their shadows. */
static const double cell_margin = 0.06;
static const double half_margin = 0.14; /* of the cut square, from the seam of a cut */

/* A place of a block, u and v from 0 to 1 along its sides. */
static photo_point within(const photo_point corner[static 4], double u, double v)
{
    double top_x = corner[0].x + u * (corner[1].x - corner[0].x);
    double top_y = corner[0].y + u * (corner[1].y - corner[0].y);
    double low_x = corner[3].x + u * (corner[2].x - corner[3].x);
    double low_y = corner[3].y + u * (corner[2].y - corner[3].y);
    return (photo_point){ top_x + v * (low_x - top_x), top_y + v * (low_y - top_y) };
}

/* Where a cell begins and ends along a side, as a share of it: outer cells keep their
 * allowance. */
static void cell_span(const photo_block_size *size, int i, double *ret_from,
                      double *ret_to)
{
    double all = photo_block_unfinished_in(size);
    double inner = size->unit_in - 2 * size->seam_in,
           outer = size->unit_in - size->seam_in;
    double from = i == 0 ? 0 : outer + (i - 1) * inner;
    *ret_from = from / all;
    *ret_to = (from + (i == 0 || i == size->side - 1 ? outer : inner)) / all;
}

static int by_float(const void *a, const void *b)
{
    float x = *(const float *)a, y = *(const float *)b;
    return (x > y) - (x < y);
}

/* A part of a cell: all of it, or the half of a cut. */
typedef struct cell_part {
    bool whole;
    photo_cut cut;
    int half;
} cell_part;

/* Whether a place lies in a part, clear of the seam. The seam runs through the corners of
 * the square as it was cut, of which neighbours and the raw edge hide different shares.
 * @u, @v  of the cut square, inches */
static bool is_in_part(const photo_block_size *size, cell_part part, double u, double v)
{
    if (part.whole)
        return true;
    double over = part.cut == PHOTO_CUT_RISING ? size->unit_in - u - v : u - v;
    return (part.half == 0 ? over : -over) > half_margin * size->unit_in;
}

/* Where in its cut square a share of the visible cell lies, inches. */
static double in_cut_square(const photo_block_size *size, int i, double share)
{
    double hidden = i == 0 ? 0 : size->seam_in;
    double seen = size->unit_in - size->seam_in * (i == 0 || i == size->side - 1 ? 1 : 2);
    return hidden + share * seen;
}

static void read_cell(const photo_surface *s, const photo_block_size *size,
                      const photo_point corner_px[static 4], int row, int col,
                      cell_part part, photo_cell *cell)
{
    float lab[3 * CELL_SAMPLES * CELL_SAMPLES], off[CELL_SAMPLES * CELL_SAMPLES];
    uint8_t group[CELL_SAMPLES * CELL_SAMPLES];
    double u0, u1, v0, v1, sum[3] = { 0 };
    cell_span(size, col, &u0, &u1);
    cell_span(size, row, &v0, &v1);
    size_t n = 0;
    for (int i = 0; i < CELL_SAMPLES * CELL_SAMPLES; i++) {
        double a =
            cell_margin + (1 - 2 * cell_margin) * (i % CELL_SAMPLES + 0.5) / CELL_SAMPLES;
        double b =
            cell_margin + (1 - 2 * cell_margin) * (i / CELL_SAMPLES + 0.5) / CELL_SAMPLES;
        photo_point at = within(corner_px, u0 + a * (u1 - u0), v0 + b * (v1 - v0));
        int x = (int)floor(at.x), y = (int)floor(at.y);
        if (!is_in_part(size, part, in_cut_square(size, col, a),
                        in_cut_square(size, row, b)) ||
            x < 0 || y < 0 || x >= s->width || y >= s->height ||
            !photo_bits_get(s->covered, x, y))
            continue;
        memcpy(lab + 3 * n, s->lab + ((size_t)y * (size_t)s->width + (size_t)x) * 3,
               3 * sizeof(float));
        for (int k = 0; k < 3; k++)
            sum[k] += lab[3 * n + (size_t)k];
        n++;
    }
    *cell = (photo_cell){ .spread = 0 };
    colour_signature_from_pixels(n, lab, group, &cell->signature);
    if (n == 0)
        return;
    cell->mean =
        (colour_lab){ sum[0] / (double)n, sum[1] / (double)n, sum[2] / (double)n };
    for (size_t i = 0; i < n; i++)
        off[i] = hypotf(hypotf(lab[3 * i] - (float)cell->mean.l,
                               lab[3 * i + 1] - (float)cell->mean.a),
                        lab[3 * i + 2] - (float)cell->mean.b);
    qsort(off, n, sizeof off[0], by_float);
    cell->spread = off[n / 2];
}

/* --- blocks --------------------------------------------------------------------------
 */

typedef struct looking {
    const photo_surface *surface;
    const photo_plan *plan;
    const photo_block_size *size;
    const square *squares;
    photo_block *blocks; /* one for each square; sure 0: none */
} looking;

static bool on_plan(const photo_plan *plan, photo_point px)
{
    int x = (int)floor(px.x), y = (int)floor(px.y);
    return x >= 0 && y >= 0 && x < plan->width && y < plan->height &&
           plan->covered[(size_t)y * (size_t)plan->width + (size_t)x];
}

static double plain_distance(const colour_lab *a, const colour_lab *b)
{
    return hypot(hypot(a->l - b->l, a->a - b->a), a->b - b->b);
}

/* Mostly white and colourless: a chart, a list, a newspaper. */
static bool is_printed_paper(const photo_cell *cell)
{
    double white = 0;
    for (int i = 0; i < cell->signature.count; i++) {
        const colour_lab *lab = &cell->signature.lab[i];
        if (lab->l > 84 && hypot(lab->a, lab->b) < 5)
            white += cell->signature.share[i];
    }
    return white > 0.4 && hypot(cell->mean.a, cell->mean.b) < 5;
}

static void judge_block(const looking *job, const square *proposed,
                        const edge_line lines[static 4], photo_block *block)
{
    int good = 0, cells = job->size->side * job->size->side;
    double sharp = 0;
    for (int k = 0; k < 4; k++) {
        good += lines[k].sharp >= least_sharp;
        sharp += fmin(1, lines[k].sharp / 0.8) / 4;
    }
    bool plain = true, printed = true;
    for (int i = 0; i < cells; i++) {
        printed = printed && is_printed_paper(&block->cell[i]);
        plain = plain && block->cell[i].spread < 2 &&
                plain_distance(&block->cell[i].mean, &block->cell[0].mean) < 6;
    }
    block->doubts |= plain || printed ? PHOTO_BLOCK_PLAIN : 0;
    block->doubts |= proposed->fill < 0.93 ? PHOTO_BLOCK_COVERED : 0;
    block->sure = good < 3 ? 0 : sharp * fmin(1, proposed->fill / 0.95);
    for (int k = 0; k < 4; k++)
        if (proposed->over[k] > lies_over && lines[k].sharp < crossed_sharp) {
            block->doubts |= PHOTO_BLOCK_COVERED;
            block->sure = fmin(block->sure, covered_sure);
        }
}

static void read_cells(const looking *job, const photo_point corner_px[static 4],
                       photo_block *block)
{
    int side = job->size->side;
    for (int i = 0; i < side * side; i++) {
        read_cell(job->surface, job->size, corner_px, i / side, i % side,
                  (cell_part){ .whole = true }, &block->cell[i]);
        for (int k = 0; k < 2 * PHOTO_CUTS && job->size->halves; k++)
            read_cell(job->surface, job->size, corner_px, i / side, i % side,
                      (cell_part){ .cut = (photo_cut)(k / 2), .half = k % 2 },
                      &block->half[i][k / 2][k % 2]);
    }
}

static void look_at_square(int i, void *data)
{
    const looking *job = data;
    const photo_plan *plan = job->plan;
    photo_block *block = &job->blocks[i];
    double unfinished = photo_block_unfinished_in(job->size);
    double side_px = unfinished * plan->pixels_per_in;
    edge_line lines[4];
    lines_of(&job->squares[i], side_px, lines);
    for (int round = 0; round < 3; round++) {
        edge_line before[4];
        memcpy(before, lines, sizeof before);
        for (int k = 0; k < 4; k++)
            refine_side(job->surface, plan, before, k, round == 0, &lines[k]);
        replace_lost_sides(side_px, lines);
    }
    photo_point corner[4];
    for (int k = 0; k < 4; k++)
        corner[k] = crossing(&lines[(k + 3) % 4], &lines[k]);
    double error = 0;
    for (int k = 0; k < 4; k++) {
        photo_plan_to_table(plan, corner[k].x, corner[k].y, &block->corner_in[k].x,
                            &block->corner_in[k].y);
        block->sharp[k] = lines[k].sharp;
        error = fmax(error, lines[k].error);
        if (!on_plan(plan, corner[k]))
            block->doubts |= PHOTO_BLOCK_CUT_OFF;
    }
    for (int k = 0; k < 4; k++)
        block->side_in[k] =
            hypot(block->corner_in[(k + 1) % 4].x - block->corner_in[k].x,
                  block->corner_in[(k + 1) % 4].y - block->corner_in[k].y);
    block->error_in = fmax(0.005, error / sqrt(8) / plan->pixels_per_in);
    read_cells(job, corner, block);
    judge_block(job, &job->squares[i], lines, block);
}

static photo_point centre_of(const photo_block *block)
{
    photo_point c = { 0, 0 };
    for (int k = 0; k < 4; k++) {
        c.x += block->corner_in[k].x / 4;
        c.y += block->corner_in[k].y / 4;
    }
    return c;
}

/* By rows of blocks, the upper first, then from the left; on the table y runs up. */
static int by_place(const void *a, const void *b)
{
    photo_point p = centre_of(a), q = centre_of(b);
    const photo_block *block = a;
    double row = block->side_in[1] / 2;
    if (fabs(p.y - q.y) > row)
        return p.y < q.y ? 1 : -1;
    return (p.x > q.x) - (p.x < q.x);
}

gboolean photo_find_blocks(const photo_plan *plan, const photo_block_size *size,
                           const photo_watch *watch, photo_blocks **ret_blocks,
                           GError **error)
{
    if (!photo_watch_tell(watch, 0, "Looking at the surface", error))
        return FALSE;
    g_autoptr(photo_blocks) found = g_new0(photo_blocks, 1);
    g_autoptr(photo_surface) surface = photo_surface_new(plan);
    if (plan->width < plan->pixels_per_in || plan->height < plan->pixels_per_in ||
        photo_bits_count(surface->usable) == 0) {
        *ret_blocks = g_steal_pointer(&found);
        return TRUE;
    }
    photo_bits *covered = photo_pieces_first_look(surface, plan);
    if (!photo_watch_tell(watch, 0.3, "Learning the surface", error)) {
        photo_bits_free(covered);
        return FALSE;
    }
    photo_surface_learn(surface, plan, covered);
    photo_bits_free(covered);
    photo_bits *mask = photo_pieces_mask(surface);
    photo_bits_close(mask, 0.05 * plan->pixels_per_in);
    double side_px = photo_block_unfinished_in(size) * plan->pixels_per_in;
    g_autoptr(GArray) squares = propose(mask, plan->pixels_per_in, side_px);
    photo_bits_free(mask);
    if (!photo_watch_tell(watch, 0.7, "Following the edges", error))
        return FALSE;
    found->block = g_new0(photo_block, squares->len + 1);
    looking job = { surface, plan, size, (const square *)(void *)squares->data,
                    found->block };
    photo_parallel((int)squares->len, look_at_square, &job);
    for (guint i = 0; i < squares->len; i++)
        if (found->block[i].sure > 0)
            found->block[found->count++] = found->block[i];
    qsort(found->block, (size_t)found->count, sizeof found->block[0], by_place);
    *ret_blocks = g_steal_pointer(&found);
    return TRUE;
}

void photo_blocks_free(photo_blocks *blocks)
{
    if (blocks == NULL)
        return;
    g_free(blocks->block);
    g_free(blocks);
}

void photo_block_to_srgb(const photo_plan *plan, const photo_block *block, int side_px,
                         uint8_t *rgb)
{
    photo_point corner[4];
    for (int k = 0; k < 4; k++)
        photo_plan_from_table(plan, block->corner_in[k].x, block->corner_in[k].y,
                              &corner[k].x, &corner[k].y);
    for (int row = 0; row < side_px; row++)
        for (int col = 0; col < side_px; col++) {
            photo_point at = within(corner, (col + 0.5) / side_px, (row + 0.5) / side_px);
            photo_plan_srgb_at(plan, at.x, at.y,
                               rgb + 3 * ((size_t)row * (size_t)side_px + (size_t)col));
        }
}
