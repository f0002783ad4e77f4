/* photo/homography.h: the projective map between two planes. Pure.
 *
 * A homography is 9 numbers, row by row, that take (x, y) to
 * ((h0 x + h1 y + h2) / w, (h3 x + h4 y + h5) / w), w = h6 x + h7 y + h8. */
#pragma once

#include "photo/point.h"

#include <stdbool.h>

enum { PHOTO_HOMOGRAPHY_POINTS_MAX = 64 };

/**
 * Fits a homography to pairs of points: normalised direct linear transform (Hartley and
 * Zisserman, Multiple View Geometry, 2nd ed., algorithm 4.2), then Gauss-Newton on the
 * distances in the second plane.
 *
 * @count  4 to PHOTO_HOMOGRAPHY_POINTS_MAX
 * @ret_h  scaled so that h8 is 1 or -1 where it may be, w being positive at the points
 *
 * Returns false when the points do not fix a map, as when three of four lie on a line.
 */
bool photo_homography_fit(int count, const photo_point from[count],
                          const photo_point to[count], double ret_h[static 9]);

/** Maps a point; false when it lies on or behind the line that goes to infinity. */
bool photo_homography_map(const double h[static 9], photo_point from,
                          photo_point *ret_to);

/** The map back; false when there is none. */
bool photo_homography_invert(const double h[static 9], double ret_h[static 9]);
