/* scene_block.h: finished blocks for drawn photos. */
#pragma once

#include "photo/blocks.h"
#include "scene.h"

enum { SCENE_CORNERS_MAX = 6 };

typedef struct scene_block {
    double x, y, angle; /* centre, inches; radians anticlockwise */
    const char *cells;  /* reading order: B the background, a to f a cloth; of a cell that
                           is cut, its first half as photo_cut says */
    const char *cuts;   /* '/', '\\' or '.' for each cell; NULL: all are whole */
    const char *others; /* the second halves, where cut */
} scene_block;

/** Where the corners of its pieces are kept, as long as the scene is used. */
typedef photo_point scene_corners[SCENE_PIECES_MAX][SCENE_CORNERS_MAX];

/** The colour of 'B' or 'a' to 'f'. */
colour_srgb8 scene_cloth(char letter);

/** Lays a block on the table: its outer cells keep their allowance, a cut runs through
 * the corners of the square as it was cut. */
void scene_add_block(scene *drawn, const scene_block *block, const photo_block_size *size,
                     scene_corners corners);
