/* photo/outline-internal.h: from a mask to a sub-pixel outline. */
#pragma once

#include "photo/bits-internal.h"
#include "photo/plan.h"
#include "photo/point.h"

#include <glib.h>

/** A closed ring of plan places (columns, rows); the first point is not repeated. */
typedef struct photo_ring {
    int count;
    photo_point *point; /* owned */
} photo_ring;

/** A mask cut out of the plan: its pixel (x, y) is the plan's (x + left, y + top). */
typedef struct photo_piece {
    int left, top;
    photo_bits *mask;
    int ring_count;
    photo_ring *ring; /* the outer one first; empty until photo_piece_trace() */
    bool on_edge;
    double sure;
    unsigned doubts;
    /* by photo_pieces_verify(): */
    double edge;     /* share of its edge where the colour changes at once */
    double step;     /* change of colour at its edge, CIELAB, median */
    double contrast; /* distance from the surface, median */
    /* by photo_piece_trace(): */
    double ragged; /* share of the edge whose step was not found */
} photo_piece;

photo_piece *photo_piece_new(int left, int top, int width, int height);
void photo_piece_free(photo_piece *piece);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(photo_piece, photo_piece_free)

/** Follows the cracks of the mask, moves the points to where the colour is halfway
 * between both sides in linear light, and drops points that a tolerance of 0.005 in can
 * spare. With corners, tips that the mask rounded off are put back. The outer ring runs
 * anticlockwise in the table frame, holes clockwise. */
void photo_piece_trace(photo_piece *piece, const photo_plan *plan, bool corners);

/** The same by the mask alone, its steps smoothed: for a piece whose sharp outline came
 * out crossing itself. */
void photo_piece_trace_plainly(photo_piece *piece);

/**
 * Takes teeth and bites off straight sides. Scraps are cut with rulers and scissors:
 * where a short stretch strays from the line that the edge keeps before and after it, a
 * grid line or a thread was taken for cloth there, or print in the surface's colour for
 * the surface. What is ragged by less than 0.03 in, corners and curves stay.
 *
 * @p  an outer ring, mask to the left as the table sees it, points about 1 px apart
 */
void photo_ring_straighten(int n, photo_point *p);

/**
 * How far along the outward normal (nx, ny) from a place of the plan the colour is
 * halfway between both sides, in linear light: blur moves the half of a perceptual scale,
 * but not that one; a little more than half where the inside is darker, for the shadow
 * beside it. Plan pixels, -4 to 4; NAN where no step stands out.
 */
double photo_edge_step(const photo_plan *plan, photo_point at, double nx, double ny);

/** Signed area by the shoelace formula, plan pixels; above 0 for anticlockwise in the
 * table frame. */
double photo_ring_area(const photo_ring *ring);
