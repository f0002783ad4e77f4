/* quilt/press.h: which way seam allowances are pressed, and where they nest. Pure.
 *
 * Where two blocks are joined, the seams that end at the joint lie to one side or the
 * other. Two that meet nest, and so lock and lie flat, when they lie opposite ways.
 *
 * A block with an odd number of rows is pressed: rows by turns outward and inward, the
 * first and last outward; then the long seams towards the middle. So its top and bottom
 * edges carry seams pressed out, its sides seams pressed in, and an out edge nests with
 * an in edge: neighbours nest when their turns differ by an odd number of quarters. With
 * an even number, rows go right and left by turns and all long seams down: above one
 * another such blocks nest as they are, beside one another when one is turned by a half.
 * In a four patch the seams twirl round the middle, and it nests with its like whichever
 * way. Pressing the rows, or the long seams, the other way exchanges these. */
#pragma once

#include "quilt/layout.h"

/** Edges of a place, clockwise. */
typedef enum quilt_edge {
    QUILT_EDGE_TOP,
    QUILT_EDGE_RIGHT,
    QUILT_EDGE_BOTTOM,
    QUILT_EDGE_LEFT,
    QUILT_EDGES
} quilt_edge;

/** Ways to press a block; may be combined. */
enum {
    QUILT_PRESS_USUAL = 0,
    QUILT_PRESS_ROWS = 1, /* the seams within rows all the other way */
    QUILT_PRESS_LONG = 2, /* the long seams all the other way */
    QUILT_PRESS_WAYS = 4,
};

/** How the seams that end at the edges of a block lie. */
typedef struct quilt_pressing {
    int seams; /* at each edge: one less than patches on a side; 0 for a block cut whole
                */
    /* 1 when the seam lies clockwise along the edge, -1 when against; seams in clockwise
     * order, so from the left at the top and from the right at the bottom. */
    int8_t lies[QUILT_EDGES][QUILT_SIDE_MAX];
} quilt_pressing;

/** A block of `side` patches that lies turned; way is any of QUILT_PRESS_... */
quilt_pressing quilt_pressing_of(int side, int turn, int way);

/** The same of the block at a place of a layout, as it is turned there; no seams for one
 * that is cut whole. */
quilt_pressing quilt_pressing_at(const quilt_design *design, const quilt_layout *layout,
                                 int place, int way);

/** How many seams nest when an edge of one meets the opposite edge of the other; 0 when
 *  either has none. */
int quilt_pressing_nest(const quilt_pressing *one, quilt_edge edge,
                        const quilt_pressing *other);

/** How a laid out quilt nests where blocks meet. Whole-cut plain blocks have no seams and
 *  nest with anything; their joints are not counted. */
typedef struct quilt_nesting {
    int joints,
        nested_joints;     /* between two blocks with seams; those that nest in full */
    int64_t seams, nested; /* that meet there; those that nest */
} quilt_nesting;

/**
 * @ways  how each place of the layout is pressed; NULL is the usual way for all
 *
 * O(places).
 */
quilt_nesting quilt_layout_nesting(const quilt_design *design, const quilt_layout *layout,
                                   const uint8_t *ways);

/**
 * How to press each block so that all nest where they lie, with their turns as they are.
 * There always is such a way: turned so or so, a block can be pressed to suit its left
 * and its upper neighbour both, since its rows decide on one and its long seams on the
 * other. Where nothing asks otherwise it is the usual way.
 *
 * @ways  room for layout->count
 */
void quilt_layout_pressing(const quilt_design *design, const quilt_layout *layout,
                           uint8_t *ways);

/** The place on the other side of an edge, or -1 at the edge of the quilt. On point, the
 *  right edge looks down to the right and the others follow clockwise. */
int quilt_layout_neighbour(const quilt_layout *layout, int row, int col, quilt_edge edge);
