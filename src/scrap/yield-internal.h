/* scrap/yield-internal.h: how many unit squares a scrap gives at one angle. Kernels: the
 * caller brings the memory.
 *
 * Frame of a view: the scrap turned clockwise by the angle, so that strips lie along x.
 * Coordinates are in sub-units, 1/k of a length unit, so that the pitch of a pixel,
 * unit/k length units, is `unit` sub-units: a whole number whatever the unit. */
#pragma once

#include "base/bits.h"
#include "scrap/outline.h"

/** Memory for views of one outline; what it needs is asked of yield_room_for(). */
typedef struct yield_room {
    size_t words;      /* of each raster */
    size_t work_words; /* of work */
    int pixels;        /* rows or columns, at most */
    int corners;       /* of all rings */
    uint64_t *mask, *feasible, *work;
    int *strip, *best; /* pixels of them */
    double *turned;    /* x, y by turns, in length units */
    int64_t *scaled;   /* the same in sub-units */
    bits_ring *rings;
} yield_room;

/** What is asked of a view. */
typedef struct yield_unit {
    length unit;
    int k;         /* pixels along a unit */
    length margin; /* left free round a square; below zero it may stand over */
} yield_unit;

/** A scrap at one angle. */
typedef struct yield_view {
    yield_unit unit;
    double cosine, sine;
    int64_t left, bottom; /* of the raster's first pixel, in sub-units */
    int shift;            /* a core's corner at pixel c is a square's at c + shift */
    int side;             /* of a core, in pixels */
    bits feasible;        /* corners of cores that lie inside */
    bits loose;           /* the same for cores a pixel smaller */
} yield_view;

/** Pixels along a unit so that one is at most `finest` long. */
int yield_pixels(length unit, length finest);

/** Sizes for an outline at any angle: words, pixels, corners. */
void yield_room_for(const scrap_outline *outline, const yield_unit *unit,
                    yield_room *ret_sizes);

/** Rasterises the scrap at an angle: view->loose are the pixels wholly inside, feasible
 * is not set. */
void yield_turn(const scrap_outline *outline, const yield_unit *unit, double angle_deg,
                yield_room *room, yield_view *ret_view);

/** Rasterises the scrap at an angle and finds the feasible corners. */
void yield_look(const scrap_outline *outline, const yield_unit *unit, double angle_deg,
                yield_room *room, yield_view *ret_view);

/**
 * The most squares in strips slid on their own. Fills room->strip, the squares of a strip
 * that starts in each row (or column), and room->best, the most from that row up.
 *
 * @upright  strips stand along y, side by side, instead of lying along x
 */
int yield_strips(const yield_view *view, bool upright, yield_room *room);

/**
 * The most squares in one grid, and its first fullest offset (row, col below k); 0 when
 * no grid has more than `beyond` of them.
 *
 * @in_row  room->strip after yield_strips() along x: no grid has more squares in a row,
 *          which passes most rows over. NULL when it is not at hand.
 */
int yield_grid(const yield_view *view, const int in_row[], int beyond, int *ret_row,
               int *ret_col);

/**
 * No placing of squares upright in this view gives more. Each square crosses just one of
 * the lines y = c + j * unit, and those that cross one line are apart on it; the best c,
 * and the better of level and upright lines, count. Uses up the rasters of the view.
 *
 * @enough  as soon as the bound is no more than this, it need not be the least; -1 to get
 * it
 */
int yield_bound(yield_view *view, int enough, yield_room *room);

/** Whole length units nearest to the edge of a pixel; start is the view's left or bottom.
 */
length yield_edge(int64_t start, int pixel, const yield_unit *unit);

/** Memory for views of an outline; free with yield_room_clear(). */
void yield_room_alloc(const scrap_outline *outline, const yield_unit *unit,
                      yield_room *ret_room);
void yield_room_clear(yield_room *room);

/** No placing of squares at any angle gives more: by area. */
int yield_area_bound(const scrap_outline *outline, const yield_unit *unit);
