/* photo/kinds.h: which kind each block of a photo is, by where its background lies. */
#pragma once

#include "photo/blocks.h"

/** What a cell of a kind is made of. */
typedef enum photo_cell_role {
    PHOTO_CELL_SCRAP,      /* any fabric */
    PHOTO_CELL_BACKGROUND, /* the one plain fabric that all blocks share */
    PHOTO_CELL_EITHER,     /* another fixed fabric: says nothing */
} photo_cell_role;

/** A cell of a kind. */
typedef struct photo_kind_cell {
    bool halved;     /* two triangles */
    uint8_t cut;     /* photo_cut, when halved */
    uint8_t role[2]; /* of photo_cell_role; when halved, of each half */
} photo_kind_cell;

/** One kind as its design draws it, side x side cells in reading order. Halved cells need
 * blocks whose halves were read. */
typedef struct photo_kind {
    photo_kind_cell cell[PHOTO_BLOCK_SIDE_MAX * PHOTO_BLOCK_SIDE_MAX];
} photo_kind;

/** How a block is read. */
typedef struct photo_reading {
    int kind;    /* index into the kinds */
    int turn;    /* quarter turns clockwise from the design to how it lies, the fewest */
    double sure; /* 0 to 1, against the next likely kind */
    bool fits;   /* most of its cells are what the kind says */
} photo_reading;

/** The background as this photo shows it. */
typedef struct photo_background {
    bool seen;
    colour_lab lab;
    int cells; /* that are read as background */
} photo_background;

/**
 * Reads all blocks of a photo together: the background is the plain colour by which they
 * all fit the kinds best, near a known one when there is.
 *
 * @side   cells of a block
 * @kinds  one or more
 * @known  the background's colour by earlier photos or its swatch, or NULL
 * @ret_readings    one for each block
 * @ret_background  or NULL
 */
void photo_read_kinds(const photo_blocks *blocks, int side, int kind_count,
                      const photo_kind kinds[], const colour_lab *known,
                      photo_reading *ret_readings, photo_background *ret_background);

/** Cell (row, col) of a block that lies turned by so many quarters clockwise is this
 * cell, in reading order, of the block as its design draws it. */
int photo_cell_unturned(int side, int row, int col, int turn);

/** The half of a drawn cell, as it lies when the block is turned by so many quarters
 * clockwise: the cut and half, of how it is drawn, become those of how it lies. */
void photo_half_turned(int turn, photo_cut *cut, int *half);
