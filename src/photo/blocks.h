/* photo/blocks.h: finished blocks on the table: where they lie, how large they came out,
 * and the colours of their cells.
 *
 * A block is a square of side x side cells. Sewn of unit squares with a seam allowance it
 * measures side x unit less two allowances a seam; its outer cells still carry an
 * allowance, so they look wider than the inner ones. */
#pragma once

#include "colour/signature.h"
#include "photo/plan.h"
#include "photo/watch.h"

enum { PHOTO_BLOCK_SIDE_MAX = 5, PHOTO_BLOCKS_MAX = 100 };

/** What blocks to look for. */
typedef struct photo_block_size {
    int side;       /* cells, 2 to PHOTO_BLOCK_SIDE_MAX */
    double unit_in; /* cut size of the unit squares */
    double seam_in; /* seam allowance */
    bool halves;    /* some cells are two triangles: read the halves of all */
} photo_block_size;

/** The side of such a block before it is sewn to others: side x unit - 2 (side - 1) seam.
 */
double photo_block_unfinished_in(const photo_block_size *size);

/** One cell, its middle sampled away from the seams. */
typedef struct photo_cell {
    colour_signature signature;
    colour_lab mean;
    double spread; /* CIELAB: how far its pixels lie from the mean, median; a plain cloth
                      has little */
} photo_cell;

/** How a cell may be cut into two triangles. */
typedef enum photo_cut {
    PHOTO_CUT_RISING, /* from lower left to upper right: halves upper left, lower right */
    PHOTO_CUT_FALLING, /* from upper left to lower right: halves upper right, lower left
                        */
    PHOTO_CUTS
} photo_cut;

/** Why a block is not quite sure; may be combined. */
typedef enum photo_block_doubt {
    PHOTO_BLOCK_CUT_OFF = 1 << 0, /* runs out of the picture */
    PHOTO_BLOCK_COVERED = 1 << 1, /* a part of its square is missing: something lies on
                                     it, or a corner looks like the table */
    PHOTO_BLOCK_PLAIN = 1 << 2,   /* one colour all over: the wrong side up, or paper */
} photo_block_doubt;

/** One block as it lies. Corners and sides go clockwise from the upper left; the upper
 * side is the one nearest to level, so a block is turned by less than half a quarter. */
typedef struct photo_block {
    photo_point corner_in[4];
    double side_in[4]; /* top, right, bottom, left: each between its two corners */
    double sharp[4];   /* share of each side where an edge was seen, 0 to 1 */
    double error_in;   /* expected of a side */
    double sure;       /* 0 to 1: that it is one whole block */
    unsigned doubts;   /* of photo_block_doubt */
    photo_cell cell[PHOTO_BLOCK_SIDE_MAX * PHOTO_BLOCK_SIDE_MAX]; /* reading order */
    /* Each cell as if it were cut so, its halves sampled away from the seam between them;
     * empty unless asked for. */
    photo_cell half[PHOTO_BLOCK_SIDE_MAX * PHOTO_BLOCK_SIDE_MAX][PHOTO_CUTS][2];
} photo_block;

typedef struct photo_blocks {
    int count;
    photo_block *block; /* in reading order; owned */
} photo_blocks;

/**
 * Finds every block of a size on the surface, turned any way, apart or touching.
 *
 * Deterministic. Returns TRUE and the blocks, free with photo_blocks_free(), none being
 * no error; FALSE with `cancelled`.
 */
gboolean photo_find_blocks(const photo_plan *plan, const photo_block_size *size,
                           const photo_watch *watch, photo_blocks **ret_blocks,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Frees what was found; NULL is nothing. */
void photo_blocks_free(photo_blocks *blocks);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(photo_blocks, photo_blocks_free)

/** The picture of a block, straightened: side_px x side_px x 3 bytes of sRGB, its upper
 * left corner first. */
void photo_block_to_srgb(const photo_plan *plan, const photo_block *block, int side_px,
                         uint8_t *rgb);
