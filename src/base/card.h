/* base/card.h: the printed measuring card: what is drawn and what is looked for. Pure.
 *
 * A white card with a square tag near each corner and a 3 in line to check the print by.
 * Card frame: origin at the card's centre, x right, y up. The tags are those of family
 * tag36h11 (Wang and Olson, AprilTag 2, IROS 2016): 8 x 8 cells, the outer ring black,
 * 6 x 6 bits inside, on a white margin. Seen upright, a card's four ids run clockwise
 * from the top left. */
#pragma once

#include "base/length.h"

enum {
    CARD_TAGS = 4,      /* on each card */
    CARD_KINDS = 2,     /* ids 0 to 3 and 4 to 7 */
    CARD_TAG_CELLS = 8, /* on a tag's side, black ring included */
};

#define CARD_WIDTH    ((length)(7 * LENGTH_INCH))
#define CARD_HEIGHT   ((length)(5 * LENGTH_INCH))
#define CARD_TAG_CELL ((length)1270)                             /* 5/32 in */
#define CARD_TAG_SIDE ((length)(CARD_TAG_CELLS * CARD_TAG_CELL)) /* 1 1/4 in */
#define CARD_TAG_X    ((length)(LENGTH_INCH * 21 / 8)) /* centres at +-2 5/8 in ... */
#define CARD_TAG_Y    ((length)(LENGTH_INCH * 13 / 8)) /* ... and +-1 5/8 in */
#define CARD_RULE                                                                        \
    ((length)(3 * LENGTH_INCH)) /* the line in the middle, a tick each inch */

/** sRGB of paper and ink in the pictures that the tests draw. */
#define CARD_PAPER_SRGB 236, 235, 231
#define CARD_INK_SRGB   38, 37, 38

/** Centre of the tag with this id on its card; id 0 to 7. */
static inline void card_tag_centre(int id, length *ret_x, length *ret_y)
{
    int place = id % CARD_TAGS; /* top left, top right, bottom right, bottom left */
    *ret_x = place == 1 || place == 2 ? CARD_TAG_X : -CARD_TAG_X;
    *ret_y = place < 2 ? CARD_TAG_Y : -CARD_TAG_Y;
}

/**
 * Whether a cell of a tag is black; column 0 is the left, row 0 the top of the upright
 * tag. Cells outside 0 to 7 are the white margin.
 */
static inline bool card_tag_black(int id, int column, int row)
{
    /* The first eight codes of the family and where their bits lie, first bit highest, as
     * published with it. */
    static const uint64_t codes[CARD_TAGS * CARD_KINDS] = {
        0xd7e00984b, 0xdda664ca7, 0xdc4a1c821, 0xe17b470e9,
        0xef91d01b1, 0xf429cdd73, 0x5da29225,  0x1106cba43,
    };
    static const uint8_t places[CARD_TAG_CELLS][CARD_TAG_CELLS] = {
        { 0, 0, 0, 0, 0, 0, 0, 0 },       { 0, 1, 2, 3, 4, 5, 10, 0 },
        { 0, 32, 6, 7, 8, 15, 11, 0 },    { 0, 31, 35, 9, 18, 16, 12, 0 },
        { 0, 30, 34, 36, 27, 17, 13, 0 }, { 0, 29, 33, 26, 25, 24, 14, 0 },
        { 0, 28, 23, 22, 21, 20, 19, 0 }, { 0, 0, 0, 0, 0, 0, 0, 0 },
    };
    if (column < 0 || row < 0 || column >= CARD_TAG_CELLS || row >= CARD_TAG_CELLS)
        return false;
    int place = places[row][column];
    return place == 0 || !(codes[id] >> (36 - place) & 1);
}
