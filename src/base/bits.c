#include "base/bits.h"

#include <math.h>
#include <string.h>

/* A side that enters a pixel by less than this share of it only touches: what is left of
 * rounding in the crossings. */
static const double touch_px = 1e-7;

static uint64_t *row_of(const bits *raster, int row)
{
    return raster->words + (size_t)row * (size_t)raster->stride;
}

void bits_clear(bits *raster)
{
    memset(raster->words, 0,
           sizeof raster->words[0] * (size_t)raster->rows * (size_t)raster->stride);
}

int64_t bits_count(const bits *raster)
{
    int64_t count = 0;
    for (int row = 0; row < raster->rows; row++) {
        const uint64_t *words = row_of(raster, row);
        for (int i = 0; i < raster->stride; i++)
            count += __builtin_popcountll(words[i]);
    }
    return count;
}

void bits_count_rows(const bits *raster, int counts[])
{
    for (int row = 0; row < raster->rows; row++) {
        const uint64_t *words = row_of(raster, row);
        counts[row] = 0;
        for (int i = 0; i < raster->stride; i++)
            counts[row] += __builtin_popcountll(words[i]);
    }
}

void bits_count_cols(const bits *raster, int counts[])
{
    memset(counts, 0, sizeof counts[0] * (size_t)raster->cols);
    for (int row = 0; row < raster->rows; row++)
        for (int col = bits_next(raster, row, 0); col >= 0;
             col = bits_next(raster, row, col + 1))
            counts[col]++;
}

int bits_next(const bits *raster, int row, int col)
{
    if (col >= raster->cols)
        return -1;
    const uint64_t *words = row_of(raster, row);
    int i = col / 64;
    uint64_t word = words[i] & (~UINT64_C(0) << (col % 64));
    while (word == 0) {
        if (++i >= raster->stride)
            return -1;
        word = words[i];
    }
    return 64 * i + __builtin_ctzll(word);
}

/* One side of a ring in pixels of the frame, from its lower to its upper end. */
typedef struct side {
    double x, y, top_x, top_y, slope; /* slope is dx/dy; 0 when level */
} side;

static side side_in_pixels(const int64_t from[2], const int64_t to[2],
                           const bits_frame *frame)
{
    const int64_t *low = from[1] <= to[1] ? from : to;
    const int64_t *high = low == from ? to : from;
    double pitch = (double)frame->pitch;
    side s = { (double)(low[0] - frame->left) / pitch,
               (double)(low[1] - frame->bottom) / pitch,
               (double)(high[0] - frame->left) / pitch,
               (double)(high[1] - frame->bottom) / pitch, 0 };
    if (high[1] != low[1])
        s.slope = (double)(high[0] - low[0]) / (double)(high[1] - low[1]);
    return s;
}

static int clamp_int(double x, int least, int most)
{
    return x < least ? least : x > most ? most : (int)x;
}

/* Flips, in each row whose middle the side crosses, the first pixel whose middle is not
 * left of the crossing. The running parity of a row is then the even-odd rule. */
static void flip_crossings(bits *raster, const side *s)
{
    int first = clamp_int(ceil(s->y - 0.5), 0, raster->rows);
    int end = clamp_int(ceil(s->top_y - 0.5), 0, raster->rows);
    for (int row = first; row < end; row++) {
        double x = s->x + (row + 0.5 - s->y) * s->slope;
        int col = clamp_int(ceil(x - 0.5), 0, raster->cols);
        if (col < raster->cols)
            row_of(raster, row)[col / 64] ^= UINT64_C(1) << (col % 64);
    }
}

/* Each bit becomes the parity of those up to it in its row. */
static void run_parity(bits *raster)
{
    int spare = raster->cols % 64;
    uint64_t last = spare == 0 ? ~UINT64_C(0) : (UINT64_C(1) << spare) - 1;
    for (int row = 0; row < raster->rows; row++) {
        uint64_t *words = row_of(raster, row), carry = 0;
        for (int i = 0; i < raster->stride; i++) {
            uint64_t word = words[i];
            word ^= word << 1;
            word ^= word << 2;
            word ^= word << 4;
            word ^= word << 8;
            word ^= word << 16;
            word ^= word << 32;
            word ^= carry;
            carry = -(word >> 63);
            words[i] = word;
        }
        /* Rows that end inside would run on past the last pixel. */
        words[bits_stride(raster->cols) - 1] &= last;
        for (int i = bits_stride(raster->cols); i < raster->stride; i++)
            words[i] = 0;
    }
}

static void clear_run(uint64_t *words, int first, int last)
{
    int from = first / 64, to = last / 64;
    uint64_t head = ~UINT64_C(0) << (first % 64);
    uint64_t tail = ~UINT64_C(0) >> (63 - last % 64);
    if (from == to) {
        words[from] &= ~(head & tail);
        return;
    }
    words[from] &= ~head;
    for (int i = from + 1; i < to; i++)
        words[i] = 0;
    words[to] &= ~tail;
}

/* Clears the pixels whose box, grown, the side enters. */
static void clear_entered(bits *raster, const side *s, double grow)
{
    int first = clamp_int(floor(s->y - grow + touch_px), 0, raster->rows);
    int last = clamp_int(ceil(s->top_y + grow - touch_px) - 1, -1, raster->rows - 1);
    for (int row = first; row <= last; row++) {
        /* The part of the side within this row's grown band. */
        double low = fmax(s->y, row - grow), high = fmin(s->top_y, row + 1 + grow);
        double x1 = s->x + (low - s->y) * s->slope;
        double x2 = s->x + (high - s->y) * s->slope;
        if (s->slope == 0) {
            x1 = s->x;
            x2 = s->top_x;
        }
        double left = fmin(x1, x2), right = fmax(x1, x2);
        double from = floor(left - grow + touch_px);
        double to = ceil(right + grow - touch_px) - 1;
        if (to < 0 || from >= raster->cols || from > to)
            continue;
        clear_run(row_of(raster, row), clamp_int(from, 0, raster->cols - 1),
                  clamp_int(to, 0, raster->cols - 1));
    }
}

void bits_fill_inside(bits *raster, int ring_count, const bits_ring rings[],
                      const bits_frame *frame, int64_t grow)
{
    bits_clear(raster);
    for (int pass = 0; pass < 2; pass++) {
        for (int i = 0; i < ring_count; i++) {
            for (int j = 0; j < rings[i].count; j++) {
                int next = j + 1 == rings[i].count ? 0 : j + 1;
                side s =
                    side_in_pixels(rings[i].xy + 2 * j, rings[i].xy + 2 * next, frame);
                if (pass == 0)
                    flip_crossings(raster, &s);
                else
                    clear_entered(raster, &s, (double)grow / (double)frame->pitch);
            }
        }
        if (pass == 0)
            run_parity(raster);
    }
}

/* words[i] becomes its own and that of the pixels `shift` to the right of them. */
static void and_shifted(uint64_t *words, int stride, int shift)
{
    int whole = shift / 64, part = shift % 64;
    int full = stride - whole;
    if (full <= 0) {
        memset(words, 0, sizeof words[0] * (size_t)stride);
        return;
    }
    if (part == 0) {
        for (int i = 0; i < full; i++)
            words[i] &= words[i + whole];
    } else {
        for (int i = 0; i < full - 1; i++)
            words[i] &= words[i + whole] >> part | words[i + whole + 1] << (64 - part);
        words[full - 1] &= words[stride - 1] >> part;
    }
    for (int i = full; i < stride; i++)
        words[i] = 0;
}

void bits_erode(bits *raster, int width, int height)
{
    /* After each step a 1 stands for a run of `done` 1s; the last step overlaps. */
    for (int done = 1, step; done < width; done += step) {
        step = done < width - done ? done : width - done;
        for (int row = 0; row < raster->rows; row++)
            and_shifted(row_of(raster, row), raster->stride, step);
    }
    for (int done = 1, step; done < height; done += step) {
        step = done < height - done ? done : height - done;
        for (int row = 0; row < raster->rows; row++) {
            uint64_t *words = row_of(raster, row);
            if (row + step >= raster->rows) {
                memset(words, 0, sizeof words[0] * (size_t)raster->stride);
                continue;
            }
            const uint64_t *above = row_of(raster, row + step);
            for (int i = 0; i < raster->stride; i++)
                words[i] &= above[i];
        }
    }
}

void bits_smear_up(bits *raster, int height)
{
    for (int done = 1, step; done < height; done += step) {
        step = done < height - done ? done : height - done;
        for (int row = raster->rows - 1; row >= step; row--) {
            uint64_t *words = row_of(raster, row);
            const uint64_t *below = row_of(raster, row - step);
            for (int i = 0; i < raster->stride; i++)
                words[i] |= below[i];
        }
    }
}
