/* scrap/outline.h: the outline of a scrap: its checks, area, size and turning. Pure: no
 * input or output, no globals. */
#pragma once

#include "base/length.h"

/** A point on the mat: x to the right, y up, in the frame of the card (origin at its
 * centre). */
typedef struct scrap_point {
    length x, y;
} scrap_point;

/** A closed polygon; the last point joins the first and is not repeated. Borrowed memory.
 */
typedef struct scrap_ring {
    int count;
    const scrap_point *points;
} scrap_ring;

/** A scrap: its outer ring anticlockwise, its holes clockwise. Borrowed memory. */
typedef struct scrap_outline {
    scrap_ring outer;
    int hole_count;
    const scrap_ring *holes;
} scrap_outline;

enum {
    SCRAP_CORNERS_MAX = 20000, /* of an outline with its holes */
    SCRAP_HOLES_MAX = 1000,
};

/** The longest side of an outline's box, and the furthest that a corner may lie from the
 * card. */
#define SCRAP_SIZE_MAX (5 * LENGTH_M)

/**
 * Refuses what is no scrap. Rings may run either way round: no function of this room asks
 * for a direction. Two sides may not touch but at the corner that they share; a side may
 * not double back on itself. A corner that repeats the one before it is passed over.
 *
 * Errors: scrap.outline-too-few (a ring of under three corners, or without area),
 * scrap.outline-too-many, scrap.outline-too-large (over SCRAP_SIZE_MAX across, or further
 * than that from the card), scrap.outline-crosses (with the place, in inches),
 * scrap.hole-outside (a hole outside the outer ring, or inside another).
 *
 * O(n log n) for outlines that photos give, O(n * n) at worst.
 */
gboolean scrap_outline_check(const scrap_outline *outline,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Twice the area in length units squared, exact (Gauss's trapezoid formula): above zero
 * when the ring runs anticlockwise. Within SCRAP_SIZE_MAX of the card nothing overflows.
 */
int64_t scrap_ring_area2(const scrap_ring *ring);

/** Twice the area of the scrap without its holes, exact, not below zero. */
int64_t scrap_outline_area2(const scrap_outline *outline);

/** Twice an area in length units squared, as square inches; for JSON and drawing. */
double scrap_area2_to_sq_in(int64_t area2);

/** The smallest upright box round the outer ring. */
void scrap_outline_box(const scrap_outline *outline, scrap_point *ret_least,
                       scrap_point *ret_most);

/** Length of all rings together, in length units. */
double scrap_outline_perimeter(const scrap_outline *outline);

/** Direction of the outer ring's longest side, 0 <= degrees < 180; of equally long ones,
 * the first. */
double scrap_outline_longest_side_deg(const scrap_outline *outline);

/**
 * Turns points about (0, 0), anticlockwise, each coordinate rounded to the nearest length
 * unit. A turn of 0, 90, 180 or 270 degrees is exact.
 *
 * @count  of both arrays, which may be the same
 */
void scrap_points_turn(int count, const scrap_point points[], double angle_deg,
                       scrap_point ret_points[]);

/** Whether (x, y) lies inside by the even-odd rule; on the boundary either may come. */
bool scrap_outline_holds(const scrap_outline *outline, double x, double y);
