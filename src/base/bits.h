/* base/bits.h: bit rasters, 64 pixels a word. Pure: the caller brings the memory.
 *
 * A raster is rows of `stride` words, a multiple of 4; pixel (row, col) is bit col % 64
 * of word row * stride + col / 64. Bits from `cols` up are always 0. Rows run upward with
 * y, columns to the right with x. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct bits {
    int rows, cols, stride; /* stride >= bits_stride(cols) */
    uint64_t *words;        /* rows * stride */
} bits;

/** Words for a row of so many pixels, a whole number of 256 bits. */
static inline int bits_stride(int cols)
{
    return (cols + 255) / 256 * 4;
}

static inline bool bits_get(const bits *raster, int row, int col)
{
    return raster->words[(size_t)row * (size_t)raster->stride + (size_t)col / 64] >>
               (col % 64) &
           1;
}

static inline void bits_set(bits *raster, int row, int col)
{
    raster->words[(size_t)row * (size_t)raster->stride + (size_t)col / 64] |=
        UINT64_C(1) << (col % 64);
}

/** Sets every pixel to 0. */
void bits_clear(bits *raster);

/** How many pixels are 1. */
int64_t bits_count(const bits *raster);

/** How many pixels of each row are 1; counts has room for raster->rows. */
void bits_count_rows(const bits *raster, int counts[]);

/** How many pixels of each column are 1; counts has room for raster->cols. */
void bits_count_cols(const bits *raster, int counts[]);

/** The first 1 of a row at or after col, or -1. */
static inline int bits_next(const bits *raster, int row, int col)
{
    if (col >= raster->cols)
        return -1;
    const uint64_t *words = raster->words + (size_t)row * (size_t)raster->stride;
    int i = col / 64;
    uint64_t word = words[i] & (~UINT64_C(0) << (col % 64));
    while (word == 0) {
        if (++i >= raster->stride)
            return -1;
        word = words[i];
    }
    return 64 * i + __builtin_ctzll(word);
}

/** One past the run of 1s of a row that starts at col; col itself where there is a 0. */
static inline int bits_run_end(const bits *raster, int row, int col)
{
    const uint64_t *words = raster->words + (size_t)row * (size_t)raster->stride;
    int i = col / 64;
    uint64_t word = ~words[i] & (~UINT64_C(0) << (col % 64));
    while (word == 0) {
        if (++i >= raster->stride)
            return raster->cols;
        word = ~words[i];
    }
    int end = 64 * i + __builtin_ctzll(word);
    return end < raster->cols ? end : raster->cols;
}

/** A closed polygon of `count` corners, x and y by turns, in sub-units. */
typedef struct bits_ring {
    int count;
    const int64_t *xy;
} bits_ring;

/** How sub-units map to pixels: pixel (row, col) covers x from left + col * pitch to
 * left + (col + 1) * pitch, y from bottom + row * pitch. */
typedef struct bits_frame {
    int64_t left, bottom;
    int64_t pitch; /* above 0 */
} bits_frame;

/**
 * Sets the pixels that lie wholly inside rings by the even-odd rule, and clears all
 * others: those whose middle is inside and whose box, grown by `grow` on every side, is
 * entered by no side of a ring. A box that a side only touches, or enters by under a
 * ten-millionth of a pixel, is not entered.
 *
 * @grow   -pitch/2 < grow < pitch; below zero lets pixels stand over the outline
 *
 * Coordinates up to 2^40 in size and within 2^30 pixels of the frame. O(rows * stride +
 * pixels along the sides).
 */
void bits_fill_inside(bits *raster, int ring_count, const bits_ring rings[],
                      const bits_frame *frame, int64_t grow);

/**
 * Keeps the pixels that have a whole box of 1s: pixel (row, col) stays when all of rows
 * row to row + height - 1 and columns col to col + width - 1 are 1 (outside counts as 0).
 * In place; width and height above 0. O(rows * stride * log width).
 */
void bits_erode(bits *raster, int width, int height);

/** Erosion by 2 x 2 into another raster of the same rows, cols and stride. */
void bits_erode_by_two(const bits *raster, bits *ret_eroded);

/** Pixel (row, col) becomes 1 when one of rows row - height + 1 to row is. In place. */
void bits_smear_up(bits *raster, int height);

/** Pixel (row, col) becomes 1 when one of columns col - width + 1 to col is. In place. */
void bits_smear_right(bits *raster, int width);

/**
 * How many pixels of each column can be kept when those kept lie `gap` rows or more
 * apart: from row 0 up, each as soon as it may.
 *
 * @work    room for 4 * gap words
 * @counts  room for raster->cols
 */
void bits_count_apart_cols(const bits *raster, int gap, uint64_t *work, int counts[]);
