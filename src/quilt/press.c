#include "quilt/press.h"

#include <string.h>

quilt_pressing quilt_pressing_of(int side, int turn, int way)
{
    quilt_pressing pressing = { .seams = side - 1 };
    int rows = way & QUILT_PRESS_ROWS ? -1 : 1, across = way & QUILT_PRESS_LONG ? -1 : 1;
    for (int edge = 0; edge < QUILT_EDGES; edge++) {
        /* Turned clockwise, what was at the top is at the right. */
        int drawn = (edge + QUILT_EDGES - turn % QUILT_EDGES) % QUILT_EDGES;
        bool upright = drawn == QUILT_EDGE_TOP || drawn == QUILT_EDGE_BOTTOM;
        for (int i = 0; i < pressing.seams; i++) {
            int lies = 1;
            if (side % 2 == 1) /* out: away from the middle; in: towards it */
                lies = (2 * i < pressing.seams) == upright ? -1 : 1;
            else if (side > 2 && drawn == QUILT_EDGE_LEFT)
                lies = -1;
            pressing.lies[edge][i] = (int8_t)(lies * (upright ? rows : across));
        }
    }
    return pressing;
}

int quilt_pressing_nest(const quilt_pressing *one, quilt_edge edge,
                        const quilt_pressing *other)
{
    if (one->seams != other->seams)
        return 0;
    const int8_t *lies = one->lies[edge];
    const int8_t *meets = other->lies[(edge + 2) % QUILT_EDGES];
    int nested = 0;
    /* Seen from two sides of a joint, clockwise is opposite ways and runs backwards. */
    for (int i = 0; i < one->seams; i++)
        nested += lies[i] == meets[one->seams - 1 - i];
    return nested;
}

static int index_of(const quilt_layout *layout, int row, int col)
{
    int count;
    if (row < 0 || row >= layout->rows)
        return -1;
    const quilt_place *places = quilt_layout_row(layout, row, &count);
    return col < 0 || col >= count ? -1 : (int)(places - layout->places) + col;
}

int quilt_layout_neighbour(const quilt_layout *layout, int row, int col, quilt_edge edge)
{
    static const int down[QUILT_EDGES] = { -1, 0, 1, 0 },
                     right[QUILT_EDGES] = { 0, 1, 0, -1 };
    if (layout->set != QUILT_ON_POINT)
        return index_of(layout, row + down[edge], col + right[edge]);
    /* The rows between are a block shorter and begin half a block to the right. */
    int between = row % 2;
    switch (edge) {
    case QUILT_EDGE_TOP:
        return index_of(layout, row - 1, col + between);
    case QUILT_EDGE_RIGHT:
        return index_of(layout, row + 1, col + between);
    case QUILT_EDGE_BOTTOM:
        return index_of(layout, row + 1, col - 1 + between);
    default:
        return index_of(layout, row - 1, col - 1 + between);
    }
}

/* A block of one role and no splits may be cut whole and then has no seams. */
static bool has_seams(const quilt_design *design, const quilt_layout *layout, int place)
{
    const quilt_block *block =
        &design->blocks[layout->kinds.kinds[layout->places[place].kind].block];
    for (int i = 0; i < block->side * block->side; i++)
        if (block->patches[i].split != QUILT_WHOLE ||
            block->patches[i].role[0] != block->patches[0].role[0] ||
            block->patches[i].role[0] == QUILT_SCRAP)
            return true;
    return false;
}

quilt_pressing quilt_pressing_at(const quilt_design *design, const quilt_layout *layout,
                                 int place, int way)
{
    int side = has_seams(design, layout, place) ? quilt_design_side(design) : 1;
    return quilt_pressing_of(side, layout->places[place].turn, way);
}

quilt_nesting quilt_layout_nesting(const quilt_design *design, const quilt_layout *layout,
                                   const uint8_t *ways)
{
    static const quilt_edge edges[] = { QUILT_EDGE_RIGHT, QUILT_EDGE_BOTTOM };
    quilt_nesting nesting = { 0 };
    for (int row = 0, place = 0; row < layout->rows; row++) {
        int count;
        quilt_layout_row(layout, row, &count);
        for (int col = 0; col < count; col++, place++) {
            quilt_pressing one =
                quilt_pressing_at(design, layout, place, ways != NULL ? ways[place] : 0);
            for (size_t i = 0; i < G_N_ELEMENTS(edges); i++) {
                int next = quilt_layout_neighbour(layout, row, col, edges[i]);
                if (next < 0 || one.seams == 0)
                    continue;
                quilt_pressing other = quilt_pressing_at(design, layout, next,
                                                         ways != NULL ? ways[next] : 0);
                if (other.seams == 0)
                    continue;
                int nested = quilt_pressing_nest(&one, edges[i], &other);
                nesting.joints++;
                nesting.nested_joints += nested == one.seams;
                nesting.seams += one.seams;
                nesting.nested += nested;
            }
        }
    }
    return nesting;
}

void quilt_layout_pressing(const quilt_design *design, const quilt_layout *layout,
                           uint8_t *ways)
{
    static const int order[QUILT_PRESS_WAYS] = { QUILT_PRESS_USUAL,
                                                 QUILT_PRESS_ROWS | QUILT_PRESS_LONG,
                                                 QUILT_PRESS_ROWS, QUILT_PRESS_LONG };
    /* Both lie before this place, in reading order. */
    static const quilt_edge before[] = { QUILT_EDGE_LEFT, QUILT_EDGE_TOP };
    for (int row = 0, place = 0; row < layout->rows; row++) {
        int count;
        quilt_layout_row(layout, row, &count);
        for (int col = 0; col < count; col++, place++) {
            ways[place] = QUILT_PRESS_USUAL;
            for (int i = 0; i < QUILT_PRESS_WAYS; i++) {
                quilt_pressing mine = quilt_pressing_at(design, layout, place, order[i]);
                bool all = true;
                for (size_t e = 0; e < G_N_ELEMENTS(before); e++) {
                    int other = quilt_layout_neighbour(layout, row, col, before[e]);
                    if (other < 0 || mine.seams == 0)
                        continue;
                    quilt_pressing theirs =
                        quilt_pressing_at(design, layout, other, ways[other]);
                    all &= theirs.seams == 0 ||
                           quilt_pressing_nest(&mine, before[e], &theirs) == mine.seams;
                }
                if (all) {
                    ways[place] = (uint8_t)order[i];
                    break;
                }
            }
        }
    }
}
