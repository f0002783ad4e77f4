/* shape.h: the outlines of drawn scraps, each side cut in its own way. */
#pragma once

#include "base/random.h"
#include "photo/card.h"

typedef enum shape_edge {
    SHAPE_ROTARY,
    SHAPE_SCISSORS,
    SHAPE_FRAYED,
    SHAPE_PINKED,
    SHAPE_EDGES
} shape_edge;

enum { SHAPE_CORNERS_MAX = 10, SHAPE_POINTS_MAX = 4096 };

typedef struct shape {
    int corners;
    photo_point corner[SHAPE_CORNERS_MAX]; /* anticlockwise, about the origin, inches */
    shape_edge edge[SHAPE_CORNERS_MAX];    /* from each corner to the next */
} shape;

/** A strip, triangle, square, crumb, L, trapezium or remnant with a bite of about that
 * many square inches. */
shape shape_draw(motley_random *random, double area_sq_in);

/** The area of a polygon; above 0 for anticlockwise. */
double shape_area(int n, const photo_point *p);

/** Moved and turned; radians. */
shape shape_laid(const shape *s, photo_point to, double turn);

/**
 * Its true edge, teeth and wobbles with it.
 *
 * @ret_points  room for SHAPE_POINTS_MAX
 * Returns how many there are.
 */
int shape_outline(const shape *s, uint64_t seed, photo_point *ret_points);
