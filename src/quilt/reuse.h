/* quilt/reuse.h: the same blocks in another quilt: what is made already, and what another
 * design or size would still ask for. Pure. */
#pragma once

#include "quilt/layout.h"

/** Blocks finished already that look alike, up to turns. */
typedef struct quilt_made {
    quilt_block block; /* its name is of no matter */
    int64_t count;
} quilt_made;

typedef struct quilt_reuse {
    int64_t taken;                     /* blocks made that find a place as they are */
    int64_t spare;                     /* blocks made that do not */
    int64_t left;                      /* places still to make a block for */
    int64_t left_of[QUILT_BLOCKS_MAX]; /* of each kind of the layout */
    int64_t squares[QUILT_ROLES];      /* for those: patches of one square */
    int64_t pairs[QUILT_ROLES][QUILT_ROLES]; /* and of two triangles: [a][b], a <= b */
} quilt_reuse;

/**
 * Fits blocks made already into a layout: each goes to a place of its kind, turned as
 * that place asks. Roles count as they are: a block of scraps and background fits where
 * scraps and background are called for.
 */
void quilt_reuse_of(const quilt_design *design, const quilt_layout *layout,
                    int made_count, const quilt_made made[], quilt_reuse *ret);
