/* quilt/design.h: designs, their blocks and kinds. Pure: text in, structs out. */
#pragma once

#include "base/length.h"

enum {
    QUILT_SIDE_MAX = 12,   /* patches along a block */
    QUILT_BLOCKS_MAX = 16, /* blocks that a design may define */
    QUILT_REPEAT_MAX = 32, /* rows and columns of a repeat */
    QUILT_NAME_SIZE = 64,
};

/** What a patch calls for. */
typedef enum quilt_role {
    QUILT_SCRAP,
    QUILT_BACKGROUND,
    QUILT_LIGHT,
    QUILT_DARK,
    QUILT_ACCENT,
    QUILT_ROLES
} quilt_role;

/** How a patch is made: one square, or two half-square triangles. */
typedef enum quilt_split {
    QUILT_WHOLE,  /* role[0] everywhere */
    QUILT_RISING, /* `a/b`: split from lower left to upper right, role[0] upper left */
    QUILT_FALLING /* `a\b`: split from upper left to lower right, role[0] upper right */
} quilt_split;

typedef struct quilt_patch {
    uint8_t split;   /* quilt_split */
    uint8_t role[2]; /* quilt_role; role[1] equals role[0] when whole */
} quilt_patch;

/** A block as the design draws it (turn 0); patches row by row. */
typedef struct quilt_block {
    char name[QUILT_NAME_SIZE];
    int side;
    quilt_patch patches[QUILT_SIDE_MAX * QUILT_SIDE_MAX];
} quilt_block;
