/* scrap/pile.h: sorting a pile of scraps, and what is left when squares are cut. Pure. */
#pragma once

#include "scrap/plan.h"

/** What to do with a scrap. */
typedef enum scrap_use {
    SCRAP_KEEP_WHOLE, /* big enough for other things */
    SCRAP_TO_SQUARES, /* gives unit squares */
    SCRAP_TO_STRINGS, /* long and narrow: keep as a string */
    SCRAP_TOO_SMALL,
} scrap_use;

/** The maker's thresholds. */
typedef struct scrap_thresholds {
    length whole_width, whole_height;   /* holds this rectangle, either way: keep whole */
    int least_squares;                  /* gives as many: cut to squares */
    length string_width, string_length; /* holds this: a string */
} scrap_thresholds;

/** Whole from 18 x 10 in, squares from one, strings from 3/4 x 6 in. */
extern const scrap_thresholds SCRAP_THRESHOLDS_USUAL;

/** A rectangle that a scrap holds: its size, long side first, and its corners. */
typedef struct scrap_bit {
    length width, height; /* width >= height */
    scrap_point corners[4];
    bool string; /* by the thresholds */
} scrap_bit;

/**
 * Sorts a scrap. Rectangles are sought at the plan's angle, at 1/16 in.
 *
 * @plan  of this outline
 */
scrap_use scrap_pile_sort(const scrap_outline *outline, const scrap_plan *plan,
                          const scrap_thresholds *thresholds);

/**
 * The largest rectangle at an angle that the whole scrap holds, at 1/16 in: what it is
 * big enough for. FALSE when that is under 1/2 in across or 1 in long.
 */
bool scrap_pile_largest(const scrap_outline *outline, double angle_deg,
                        const scrap_thresholds *thresholds, scrap_bit *ret_bit);

/**
 * What is left once the squares are cut: in each piece between the plan's cuts the
 * largest rectangle along them, largest first. Bits under 1/2 in across or 1 in long are
 * left out.
 *
 * @ret_bits  `room` of them
 *
 * Returns how many were written.
 */
int scrap_pile_leftovers(const scrap_outline *outline, const scrap_plan *plan,
                         const scrap_thresholds *thresholds, int room,
                         scrap_bit ret_bits[]);
