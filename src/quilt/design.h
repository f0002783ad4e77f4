/* quilt/design.h: designs, their blocks and kinds. Pure: text in, structs out.
 *
 * The text of a design is described in docs/designs.md. */
#pragma once

#include "base/length.h"

#include <stddef.h>

enum {
    QUILT_SIDE_MAX = 12,      /* patches along a block */
    QUILT_BLOCKS_MAX = 16,    /* blocks that a design may define */
    QUILT_REPEAT_MAX = 32,    /* rows and columns of a repeat */
    QUILT_BORDERS_MAX = 4,    /* borders, from the inside outwards */
    QUILT_NAME_SIZE = 64,     /* bytes of a name with its closing zero */
    QUILT_ABOUT_SIZE = 512,   /* bytes of what is told about a design, likewise */
    QUILT_TEXT_MAX = 1 << 16, /* bytes of a design's text; more is refused unread */
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

/** 'S', 'B', 'L', 'D' or 'A'. */
char quilt_role_letter(quilt_role role);

/** "scrap", "background", "light", "dark" or "accent". Static. */
const char *quilt_role_name(quilt_role role);

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

/** One cell of the repeat: which block, with how many quarter turns clockwise. */
typedef struct quilt_cell {
    uint8_t block; /* index into blocks of the design */
    uint8_t turn;  /* 0 to 3 */
} quilt_cell;

/** How the blocks are set. */
typedef enum quilt_set {
    QUILT_STRAIGHT, /* in rows and columns, the repeat over and over from the top left */
    QUILT_ON_POINT, /* the same, the whole turned by an eighth: blocks stand on a corner
                     */
    QUILT_QUARTERS, /* the repeat laid outwards from the middle, once for each quarter of
                       the quilt, each quarter turned with it (layout.h says how) */
} quilt_set;

/** A width that grows with the patches or is fixed: patches x finished patch + size. */
typedef struct quilt_width {
    int patches;
    length size;
} quilt_width;

/** Strips between the blocks; there are none when the width is nothing. */
typedef struct quilt_sash {
    quilt_width width; /* finished */
    uint8_t role;      /* quilt_role */
    bool around;       /* also round the outside */
    bool cornerstones; /* squares where strips meet, else the strips across run through */
    uint8_t cornerstone_role;
} quilt_sash;

typedef struct quilt_border {
    quilt_width width; /* finished */
    uint8_t role;      /* quilt_role */
    bool mitred;       /* corners joined on the diagonal, else sides first, then ends */
} quilt_border;

/** A design. Holds no memory of its own: copy it by assignment. */
typedef struct quilt_design {
    char id[QUILT_NAME_SIZE];   /* the file's name without its ending: "lattice-chain" */
    char name[QUILT_NAME_SIZE]; /* for people: "Lattice chain" */
    char about[QUILT_ABOUT_SIZE];
    int block_count; /* 1 or more, all of one side */
    quilt_block blocks[QUILT_BLOCKS_MAX];
    int rows, cols;                                         /* of the repeat, 1 or more */
    quilt_cell repeat[QUILT_REPEAT_MAX * QUILT_REPEAT_MAX]; /* rows x cols, row by row */
    quilt_set set;
    quilt_sash sash;
    int border_count;
    quilt_border borders[QUILT_BORDERS_MAX]; /* from the inside outwards */
} quilt_design;

/**
 * Reads the text of a design.
 *
 * @text   size bytes of UTF-8; need not end in a zero
 * @name   the design's id, and its name where the text gives none; cut to what fits
 * @ret    the design; unchanged on error
 *
 * Errors, each beginning with "line L, column C: " counted from 1 in characters:
 * DESIGN_UNREADABLE (not of the format), DESIGN_SIZES (a block of another size than the
 * first), DESIGN_NAME (a repeat names a block that is not defined), DESIGN_TWICE (a name
 * defined twice); and without a place DESIGN_TOO_LARGE, in no time, for more than
 * QUILT_TEXT_MAX bytes. O(size).
 */
gboolean quilt_design_parse(const char *text, size_t size, const char *name,
                            quilt_design *ret, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The text of a design, which quilt_design_parse() reads back into an equal one. Free
 * with g_free(). */
char *quilt_design_write(const quilt_design *design);

/** Whether two designs draw the same: all but id, name and about. */
bool quilt_design_equal(const quilt_design *a, const quilt_design *b);

/** Patches along a block of the design. */
int quilt_design_side(const quilt_design *design);

/** A patch turned by so many quarters clockwise; turn 0 or more. */
quilt_patch quilt_patch_turn(quilt_patch patch, int turn);

bool quilt_patch_equal(quilt_patch a, quilt_patch b);

/** The patch at row, col of a block that lies turned; 0 <= row, col < side. */
quilt_patch quilt_block_at(const quilt_block *block, int turn, int row, int col);

/** The block turned by so many quarters clockwise, under its own name. */
quilt_block quilt_block_turn(const quilt_block *block, int turn);

/** The block seen from behind, left and right exchanged, under its own name. */
quilt_block quilt_block_mirror(const quilt_block *block);

/** Order of two blocks by their drawing, names apart: below, at or above 0. */
int quilt_block_compare(const quilt_block *a, const quilt_block *b);

/** The least of the four turns by quilt_block_compare(): equal for blocks of one kind. */
quilt_block quilt_block_canonical(const quilt_block *block);

/** Of how many turns 0 to 3 the block looks alike: 1, 2 (at a half turn) or 4. */
int quilt_block_symmetry(const quilt_block *block);

/** A kind: blocks that agree after quarter turns. */
typedef struct quilt_kind {
    int block; /* the first block of the design that is of this kind; it names the kind */
} quilt_kind;

/** The kinds of a design. Places in a layout name a kind and a turn. */
typedef struct quilt_kinds {
    int count;
    quilt_kind kinds[QUILT_BLOCKS_MAX];
    uint8_t kind_of[QUILT_BLOCKS_MAX]; /* of each block of the design */
    uint8_t turn_of[QUILT_BLOCKS_MAX]; /* the block is its kind's block, turned so */
} quilt_kinds;

/** Sorts the blocks of a design into kinds, in the order of the first of each. */
void quilt_design_kinds(const quilt_design *design, quilt_kinds *ret);

/** What one block is made of. */
typedef struct quilt_block_count {
    int squares[QUILT_ROLES];
    /* Patches of two triangles, by their two roles, the lower first: [a][b], a <= b. */
    int pairs[QUILT_ROLES][QUILT_ROLES];
} quilt_block_count;

quilt_block_count quilt_block_counted(const quilt_block *block);
