/* photo/bits-internal.h: masks of one bit a pixel, and shapes grown and shrunk by discs.
 *
 * 64 pixels to a word makes a disc of 10 px cost less than one pass over a picture of
 * bytes, so that masks need not be reduced first. */
#pragma once

#include "photo/point.h"

#include <stdbool.h>
#include <stdint.h>

/** A mask; bits beyond its width are 0. */
typedef struct photo_bits {
    int width, height;
    int words; /* in a row */
    uint64_t *row;
} photo_bits;

/** An empty mask. Free with photo_bits_free(). */
photo_bits *photo_bits_new(int width, int height);
photo_bits *photo_bits_copy(const photo_bits *from);
void photo_bits_free(photo_bits *bits);

static inline uint64_t *photo_bits_row(const photo_bits *bits, int y)
{
    return bits->row + (int64_t)y * bits->words;
}

/** Whether a pixel is set; outside the mask none is. */
static inline bool photo_bits_get(const photo_bits *bits, int x, int y)
{
    return x >= 0 && y >= 0 && x < bits->width && y < bits->height &&
           (photo_bits_row(bits, y)[x >> 6] >> (x & 63) & 1);
}

/** The first set pixel of a row from x on; the width when there is none. */
static inline int photo_bits_next(const photo_bits *bits, int x, int y)
{
    const uint64_t *row = photo_bits_row(bits, y);
    for (int i = x >> 6; i < bits->words; i++) {
        uint64_t ahead = i == x >> 6 ? row[i] >> (x & 63) << (x & 63) : row[i];
        if (ahead != 0)
            return 64 * i + __builtin_ctzll(ahead);
    }
    return bits->width;
}

/** The pixel must lie in the mask. */
static inline void photo_bits_set(photo_bits *bits, int x, int y)
{
    photo_bits_row(bits, y)[x >> 6] |= (uint64_t)1 << (x & 63);
}

/** The pixel must lie in the mask. */
static inline void photo_bits_unset(photo_bits *bits, int x, int y)
{
    photo_bits_row(bits, y)[x >> 6] &= ~((uint64_t)1 << (x & 63));
}

/** Flips the pixels whose centres lie in a ring of columns and rows, in either direction:
 * a ring and its holes, one after another, set what lies between them. */
void photo_bits_flip_inside(photo_bits *bits, int count, const photo_point *ring);

/** Sets, within both masks, what is set in either, in both, or in the first alone. The
 * masks have one size. */
void photo_bits_or(photo_bits *into, const photo_bits *with);
void photo_bits_and(photo_bits *into, const photo_bits *with);
void photo_bits_and_not(photo_bits *into, const photo_bits *with);
void photo_bits_invert(photo_bits *bits);

int64_t photo_bits_count(const photo_bits *bits);

/** Grows by a disc: sets every pixel whose centre is within radius_px of a set one's. */
void photo_bits_grow(photo_bits *bits, double radius_px);

/** Shrinks by a disc; beyond the mask's edge everything counts as set. */
void photo_bits_shrink(photo_bits *bits, double radius_px);

/** Shrinks, then grows: what a disc cannot enter goes. */
void photo_bits_open(photo_bits *bits, double radius_px);

/** Grows, then shrinks: what a disc outside cannot enter fills. Nothing is lost at the
 * mask's edge. */
void photo_bits_close(photo_bits *bits, double radius_px);

/**
 * Labels the 4-connected parts, from 1, in reading order of their first pixels.
 *
 * @label  height x width, 0 where the mask is not set
 *
 * Returns how many there are.
 */
int photo_bits_label(const photo_bits *bits, int32_t *label);

/** Extent and size of a labelled part, or of some of its pixels. */
typedef struct photo_part {
    int x0, y0, x1, y1; /* x1, y1 beyond */
    int64_t pixels;
} photo_part;

/** Of the pixels of each label from 1 to count that are set; entry 0 is none's. bits are
 * those that photo_bits_label() labelled, or some of them. Free with g_free(). */
photo_part *photo_bits_measure(const photo_bits *bits, const int32_t *label, int count);
