/* scrap/outline.h: the outline of a scrap. Pure: no input or output, no globals. */
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
