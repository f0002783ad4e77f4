#include "scrap/pile.h"

#include "base/bits.h"
#include "scrap/plan-internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const scrap_thresholds SCRAP_THRESHOLDS_USUAL = {
    18 * LENGTH_INCH, 10 * LENGTH_INCH, 1, 3 * LENGTH_INCH / 4, 6 * LENGTH_INCH,
};

static const length pixel = LENGTH_INCH / 16;
static const length bit_width = LENGTH_INCH, bit_height = LENGTH_INCH / 2;

/* The scrap at the plan's angle as a raster of 1/16 in. */
typedef struct picture {
    double cosine, sine;
    bits mask;
    bits_frame frame;
} picture;

static void picture_take(const scrap_outline *outline, double angle_deg, picture *p)
{
    int corners = outline->outer.count;
    for (int i = 0; i < outline->hole_count; i++)
        corners += outline->holes[i].count;
    g_autofree int64_t *xy = g_new(int64_t, 2 * (size_t)corners);
    g_autofree bits_ring *rings = g_new(bits_ring, (size_t)outline->hole_count + 1);
    p->cosine = cos(angle_deg * (G_PI / 180));
    p->sine = sin(angle_deg * (G_PI / 180));

    int64_t least[2] = { INT64_MAX, INT64_MAX }, most[2] = { INT64_MIN, INT64_MIN };
    int64_t *at = xy;
    for (int r = 0; r <= outline->hole_count; r++) {
        const scrap_ring *ring = r == 0 ? &outline->outer : &outline->holes[r - 1];
        rings[r] = (bits_ring){ ring->count, at };
        for (int i = 0; i < ring->count; i++, at += 2) {
            scrap_point q = ring->points[i];
            at[0] = llround(p->cosine * q.x + p->sine * q.y);
            at[1] = llround(p->cosine * q.y - p->sine * q.x);
            for (int axis = 0; axis < 2; axis++) {
                least[axis] = MIN(least[axis], at[axis]);
                most[axis] = MAX(most[axis], at[axis]);
            }
        }
    }
    p->frame = (bits_frame){ least[0], least[1], pixel };
    p->mask.cols = (int)((most[0] - least[0]) / pixel) + 1;
    p->mask.rows = (int)((most[1] - least[1]) / pixel) + 1;
    p->mask.stride = bits_stride(p->mask.cols);
    p->mask.words = g_new(uint64_t, (size_t)p->mask.rows * (size_t)p->mask.stride);
    bits_fill_inside(&p->mask, outline->hole_count + 1, rings, &p->frame, -SCRAP_TOUCH);
}

static int pixels_of(length side)
{
    return (side + pixel - 1) / pixel;
}

static bool holds(const picture *p, length width, length height)
{
    bits left = p->mask;
    size_t words = (size_t)left.rows * (size_t)left.stride;
    left.words = g_memdup2(p->mask.words, sizeof left.words[0] * words);
    bits_erode(&left, MIN(pixels_of(width), left.cols + 1),
               MIN(pixels_of(height), left.rows + 1));
    bool any = bits_count(&left) > 0;
    g_free(left.words);
    return any;
}

static bool holds_either_way(const picture *p, length width, length height)
{
    return holds(p, width, height) || holds(p, height, width);
}

scrap_use scrap_pile_sort(const scrap_outline *outline, const scrap_plan *plan,
                          const scrap_thresholds *thresholds)
{
    picture p;
    picture_take(outline, plan->angle_deg, &p);
    scrap_use use = SCRAP_TOO_SMALL;
    if (holds_either_way(&p, thresholds->whole_width, thresholds->whole_height))
        use = SCRAP_KEEP_WHOLE;
    else if (plan->squares > 0 && plan->squares >= thresholds->least_squares)
        use = SCRAP_TO_SQUARES;
    else if (holds_either_way(&p, thresholds->string_width, thresholds->string_length))
        use = SCRAP_TO_STRINGS;
    g_free(p.mask.words);
    return use;
}

/* Clears the pixels of a box in the frame, whole ones and those begun. */
static void clear_box(picture *p, double left, double bottom, double right, double top)
{
    int first_row = MAX(0, (int)floor((bottom - (double)p->frame.bottom) / pixel));
    int first_col = MAX(0, (int)floor((left - (double)p->frame.left) / pixel));
    int end_row = MIN(p->mask.rows, (int)ceil((top - (double)p->frame.bottom) / pixel));
    int end_col = MIN(p->mask.cols, (int)ceil((right - (double)p->frame.left) / pixel));
    for (int row = first_row; row < end_row; row++)
        for (int col = first_col; col < end_col; col++)
            p->mask.words[(size_t)row * (size_t)p->mask.stride + (size_t)col / 64] &=
                ~(UINT64_C(1) << (col % 64));
}

/* Takes away the squares, and a pixel's width where a cut runs. */
static void take_away(picture *p, const scrap_plan *plan)
{
    for (int i = 0; i < plan->squares; i++) {
        scrap_point a = plan->places[i].corners[0];
        double x = p->cosine * a.x + p->sine * a.y, y = p->cosine * a.y - p->sine * a.x;
        clear_box(p, x + SCRAP_TOUCH, y + SCRAP_TOUCH, x + plan->unit - SCRAP_TOUCH,
                  y + plan->unit - SCRAP_TOUCH);
    }
    const plan_frame *frame = plan->frame;
    for (int i = 0; i < frame->count; i++) {
        scrap_line line = frame->lines[i];
        if (i < frame->along_count)
            clear_box(p, line.from, line.at, line.to, line.at + 1.0);
        else
            clear_box(p, line.at, line.from, line.at + 1.0, line.to);
    }
}

typedef struct rectangle {
    int row, col, rows, cols; /* pixels; rows 0 for none */
} rectangle;

/* Labels the piece that holds a pixel, and its box. */
static rectangle flood(const bits *mask, int row, int col, int label, int *labels,
                       int *stack)
{
    int low = row, high = row, left = col, right = col, depth = 0;
    stack[depth++] = row * mask->cols + col;
    labels[stack[0]] = label;
    while (depth > 0) {
        int at = stack[--depth], r = at / mask->cols, c = at % mask->cols;
        low = MIN(low, r);
        high = MAX(high, r);
        left = MIN(left, c);
        right = MAX(right, c);
        const int next[4][2] = { { r - 1, c }, { r + 1, c }, { r, c - 1 }, { r, c + 1 } };
        for (int i = 0; i < 4; i++) {
            int nr = next[i][0], nc = next[i][1];
            if (nr < 0 || nc < 0 || nr >= mask->rows || nc >= mask->cols)
                continue;
            int there = nr * mask->cols + nc;
            if (labels[there] != 0 || !bits_get(mask, nr, nc))
                continue;
            labels[there] = label;
            stack[depth++] = there;
        }
    }
    return (rectangle){ low, left, high - low + 1, right - left + 1 };
}

/* The largest rectangle of one label within a box: bars grow upward row by row, and each
 * bar is widened until a lower one stops it. O(pixels of the box). */
static rectangle largest_rectangle(const int *labels, int cols, int label, rectangle box,
                                   int *bars, int *open)
{
    rectangle best = { 0, 0, 0, 0 };
    memset(bars, 0, sizeof bars[0] * ((size_t)box.cols + 1));
    for (int r = box.row; r < box.row + box.rows; r++) {
        int depth = 0;
        for (int c = 0; c <= box.cols; c++) {
            if (c < box.cols)
                bars[c] = labels[r * cols + box.col + c] == label ? bars[c] + 1 : 0;
            while (depth > 0 && bars[open[depth - 1]] >= bars[c]) {
                int height = bars[open[--depth]];
                int from = depth > 0 ? open[depth - 1] + 1 : 0;
                if (height * (c - from) > best.rows * best.cols)
                    best =
                        (rectangle){ r - height + 1, box.col + from, height, c - from };
            }
            open[depth++] = c;
        }
    }
    return best;
}

static scrap_bit bit_of(const picture *p, rectangle r, const scrap_thresholds *thresholds)
{
    double left = (double)p->frame.left + (double)r.col * pixel;
    double bottom = (double)p->frame.bottom + (double)r.row * pixel;
    length across = r.cols * pixel, up = r.rows * pixel;
    const double x[4] = { left, left + across, left + across, left };
    const double y[4] = { bottom, bottom, bottom + up, bottom + up };
    scrap_bit bit = { MAX(across, up), MIN(across, up), { { 0, 0 } }, false };
    for (int i = 0; i < 4; i++)
        bit.corners[i] =
            (scrap_point){ (length)lround(p->cosine * x[i] - p->sine * y[i]),
                           (length)lround(p->sine * x[i] + p->cosine * y[i]) };
    bit.string =
        bit.width >= thresholds->string_length && bit.height >= thresholds->string_width;
    return bit;
}

static int by_size(const void *a, const void *b)
{
    const scrap_bit *p = a, *q = b;
    int64_t size_p = (int64_t)p->width * p->height,
            size_q = (int64_t)q->width * q->height;
    return (size_p < size_q) - (size_p > size_q);
}

/* Keeps the largest: once the room is full, a larger one takes the smallest one's place.
 */
static int keep_bit(int room, int count, scrap_bit bits_kept[], scrap_bit bit)
{
    if (count < room) {
        bits_kept[count] = bit;
        return count + 1;
    }
    int smallest = 0;
    for (int i = 1; i < count; i++)
        if (by_size(&bits_kept[i], &bits_kept[smallest]) > 0)
            smallest = i;
    if (count > 0 && by_size(&bit, &bits_kept[smallest]) < 0)
        bits_kept[smallest] = bit;
    return count;
}

/* The largest rectangle of each piece of the picture that hangs together. */
static int find_bits(const picture *whole, const scrap_thresholds *thresholds, int room,
                     scrap_bit ret_bits[])
{
    const picture p = *whole;
    size_t pixels = (size_t)p.mask.rows * (size_t)p.mask.cols;
    g_autofree int *labels = g_new0(int, pixels);
    g_autofree int *stack = g_new(int, pixels);
    g_autofree int *bars = g_new(int, (size_t)p.mask.cols + 1);
    g_autofree int *open = g_new(int, (size_t)p.mask.cols + 1);

    int count = 0, label = 0;
    for (int row = 0; row < p.mask.rows; row++) {
        for (int col = bits_next(&p.mask, row, 0); col >= 0;
             col = bits_next(&p.mask, row, col + 1)) {
            if (labels[(size_t)row * (size_t)p.mask.cols + (size_t)col] != 0)
                continue;
            rectangle box = flood(&p.mask, row, col, ++label, labels, stack);
            rectangle r = largest_rectangle(labels, p.mask.cols, label, box, bars, open);
            scrap_bit bit = bit_of(&p, r, thresholds);
            if (bit.width >= bit_width && bit.height >= bit_height)
                count = keep_bit(room, count, ret_bits, bit);
        }
    }
    qsort(ret_bits, (size_t)count, sizeof ret_bits[0], by_size);
    return count;
}

int scrap_pile_leftovers(const scrap_outline *outline, const scrap_plan *plan,
                         const scrap_thresholds *thresholds, int room,
                         scrap_bit ret_bits[])
{
    picture p;
    picture_take(outline, plan->angle_deg, &p);
    take_away(&p, plan);
    int count = find_bits(&p, thresholds, room, ret_bits);
    g_free(p.mask.words);
    return count;
}

bool scrap_pile_largest(const scrap_outline *outline, double angle_deg,
                        const scrap_thresholds *thresholds, scrap_bit *ret_bit)
{
    picture p;
    picture_take(outline, angle_deg, &p);
    int count = find_bits(&p, thresholds, 1, ret_bit);
    g_free(p.mask.words);
    return count > 0;
}
