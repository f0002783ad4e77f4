/* draw/piecing.h: a day's blocks and the squares to pull for them, to lie by the machine.
 */
#pragma once

#include "draw/block.h"
#include "draw/sheet.h"

/** Squares of one fabric to take out of the basket. */
typedef struct draw_pull {
    const char *name;
    int squares;
    draw_fabric fabric;
} draw_pull;

/** A block to sew. */
typedef struct draw_pieced {
    const quilt_block *block; /* as it lies */
    const char *where;        /* "row 7, column 2" */
    const int *pull; /* of each patch two, as draw_block() takes them: index into the
                        pulls, or -1 for a patch that is not of the basket */
} draw_pieced;

/**
 * The sheet: first the pulls, each with its number, a box to tick, its cloth and how many
 * squares; then the blocks, every patch with the number of its fabric, so that they can
 * be told apart in black and white too.
 *
 * Free with draw_scene_free().
 */
draw_scene *draw_piecing_sheet(int pulls, const draw_pull pull[pulls], int blocks,
                               const draw_pieced block[blocks],
                               const draw_heading *heading);
