/* draw/square-internal.h: squares that may stand turned, and the patches of a block that
 * lies in one. */
#pragma once

#include "draw/scene.h"
#include "quilt/design.h"

/** Its upper left corner and its two sides, in length units. */
typedef struct draw_square {
    double x, y;
    double right_x, right_y; /* along its upper side */
    double down_x, down_y;   /* along its left side */
} draw_square;

/** A point of it; s and t: 0 to 1 from the left and from the top. */
draw_point draw_square_at(const draw_square *square, double s, double t);

/** The same square, after so many quarter turns clockwise. */
draw_square draw_square_turned(const draw_square *square, int turn);

/** The corners of patch i of n x n, clockwise from its upper left. */
void draw_patch_corners(const draw_square *square, int n, int i,
                        draw_point ret[static 4]);

/** What a patch is sewn of: all of it, or the triangle of role[0] and that of role[1]. */
typedef struct draw_pieces {
    int count;   /* 1 or 2 */
    int corners; /* of each: 4 or 3 */
    draw_point at[2][4];
} draw_pieces;

draw_pieces draw_patch_pieces(const quilt_patch *patch,
                              const draw_point corners[static 4]);
