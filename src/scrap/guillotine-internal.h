/* scrap/guillotine-internal.h: kernels of the guillotine knapsack, in steps of the sizes'
 * common divisor. The caller brings the memory. */
#pragma once

#include "base/length.h"

/** One way to lay one wanted size. */
typedef struct guillotine_size {
    int32_t width, height, value;
    int want;
} guillotine_size;

/** The most value of every rectangle: widths are discretisation points (sums of sizes'
 * widths; Herz 1972), heights are all whole steps, so that a row is one plain array. */
typedef struct guillotine_table {
    int width, height;
    int size_count;
    const guillotine_size *sizes;
    int point_count;
    int *points;   /* ascending, from 0; width + 1 at most */
    int *point_of; /* for each width, the last point not above it; width + 1 */
    int stride;    /* height + 1 or more */
    int32_t *best; /* point_count rows of stride */
} guillotine_table;

/** Fills points and point_of from the sizes. */
void guillotine_points(guillotine_table *table);

/** Fills best, which comes zeroed. O(points^2 * height / 4 + points * height^2 / 4),
 * eight or sixteen at a time. */
void guillotine_fill(guillotine_table *table);

static inline int32_t guillotine_best_of(const guillotine_table *table, int width,
                                         int height)
{
    return table
        ->best[(size_t)table->point_of[width] * (size_t)table->stride + (size_t)height];
}

typedef enum guillotine_kind {
    GUILLOTINE_NOTHING,
    GUILLOTINE_PIECE,
    GUILLOTINE_UPRIGHT,
    GUILLOTINE_LEVEL,
} guillotine_kind;

typedef struct guillotine_choice {
    guillotine_kind kind;
    int at; /* index of the size, or steps from the left or the bottom */
} guillotine_choice;

/** What to do with a rectangle to get its most value; GUILLOTINE_NOTHING where there is
 * none.
 *
 * @liked  GUILLOTINE_UPRIGHT or GUILLOTINE_LEVEL: which way to cut where both do */
void guillotine_choose(const guillotine_table *table, int width, int height,
                       guillotine_kind liked, guillotine_choice *ret_choice);

/** Two stages: a knapsack of pieces for each strip, a knapsack of strips for the sheet
 * (Gilmore and Gomory 1965). A strip is as deep as one of the sizes. */
typedef struct guillotine_strips {
    int length, depth; /* along the strips and across them */
    bool turned;       /* strips run along y */
    int size_count;
    const guillotine_size *sizes;
    int32_t *row; /* most value along a strip; length + 1 */
    int *row_size;
    int32_t *stack; /* most value of strips; depth + 1 */
    int *stack_size;
    int32_t *strip_value; /* of a strip as deep as each size */
} guillotine_strips;

/** Fills row and row_size (the size laid last, -1 for none) for a strip this deep. */
void guillotine_fill_row(guillotine_strips *strips, int depth);

/** Fills all; returns the value of the sheet. */
int32_t guillotine_fill_strips(guillotine_strips *strips);
