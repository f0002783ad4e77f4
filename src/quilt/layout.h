/* quilt/layout.h: a design laid out at a size: which kind of block lies where, turned
 * how, and what that takes. Pure.
 *
 * Straight and on point the repeat runs over the quilt from a start of its own. In
 * quarters it is laid outwards from the middle: the last cell of the repeat's last row
 * lies above and to the left of the middle, the upper left quarter runs up and left from
 * there, and each quarter after it, clockwise, is the one before turned by a quarter
 * about the middle, blocks and all. */
#pragma once

#include "quilt/design.h"

enum { QUILT_ACROSS_MAX = 1000 }; /* blocks each way */

typedef struct quilt_place {
    uint8_t kind; /* index into kinds of the layout */
    uint8_t turn; /* quarter turns clockwise of the kind's block, 0 to 3 */
} quilt_place;

/** Where in the repeat the top left block is. */
typedef struct quilt_start {
    int row, col;
} quilt_start;

/**
 * Places row by row. Straight and in quarters there are `down` rows of `across`. On
 * point, `across` and `down` count the blocks along the upper and the left edge; between
 * two of their rows lies one of across - 1 blocks, so there are 2 down - 1 rows, and a
 * repeat's rows and columns run along the diagonals.
 */
typedef struct quilt_layout {
    quilt_set set;
    int across, down;
    quilt_start start;
    int rows;  /* of places */
    int count; /* places in all */
    quilt_kinds kinds;
    quilt_place *places; /* count of them, owned */
} quilt_layout;

/**
 * Lays a design out.
 *
 * @start  taken modulo the repeat; no matter in quarters
 * @ret    free its places with quilt_layout_clear(); unchanged on error
 *
 * Errors: QUILT_SIZE unless 1 <= across, down <= QUILT_ACROSS_MAX, QUILT_UNEVEN for an
 * odd number in quarters. O(across x down).
 */
gboolean quilt_layout_make(const quilt_design *design, int across, int down,
                           quilt_start start, quilt_layout *ret,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

void quilt_layout_clear(quilt_layout *layout);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(quilt_layout, quilt_layout_clear)

/** The places of a row, and how many there are; 0 <= row < layout->rows. */
const quilt_place *quilt_layout_row(const quilt_layout *layout, int row, int *ret_count);

/** What a laid out quilt takes in all. */
typedef struct quilt_count {
    int64_t blocks;                        /* in all */
    int64_t kind_blocks[QUILT_BLOCKS_MAX]; /* of each kind of the layout */
    int64_t squares[QUILT_ROLES];          /* patches that are one square */
    /* Patches of two triangles by their two roles, the lower first: [a][b], a <= b. */
    int64_t pairs[QUILT_ROLES][QUILT_ROLES];
    int64_t triangles[QUILT_ROLES]; /* half-square triangles of each role */
} quilt_count;

void quilt_layout_count(const quilt_design *design, const quilt_layout *layout,
                        quilt_count *ret);

/** The share of the blocks' area that is of these roles, 0 to 1. */
double quilt_count_share(const quilt_count *count, const bool roles[static QUILT_ROLES]);

/**
 * The start with which a quilt of so many blocks ends alike at both edges.
 *
 * Every start is tried and the one kept that makes most columns mirror images of each
 * other, and rows likewise; of equal ones the first. On point, of the columns and rows in
 * which the blocks stand on their corners.
 *
 * @ret_alike  whether both pairs of edges then end exactly alike; may be NULL
 */
quilt_start quilt_start_even(const quilt_design *design, int across, int down,
                             bool *ret_alike);
