/* Starts with which both edges of a quilt end alike: every start is tried, and its cells
 * held against those as far from the other edge, seen in a mirror. */
#include "quilt/layout-internal.h"

#include <string.h>

/* A mirror in which a quilt is its own image. On point the blocks stand on a corner, so
 * what is left and right of the quilt are diagonals of a block. */
typedef enum mirror {
    MIRROR_SIDE,  /* straight, left and right */
    MIRROR_OVER,  /* straight, top and bottom */
    MIRROR_POINT, /* on point, left and right: rows become columns */
    MIRROR_DEPTH, /* on point, top and bottom: the same about the other diagonal */
    MIRRORS
} mirror;

/* Where a patch comes from that lies at row, col of the image. */
static quilt_patch patch_in(const quilt_block *block, int turn, mirror how, int row,
                            int col)
{
    int last = block->side - 1;
    switch (how) {
    case MIRROR_SIDE:
        return quilt_block_at(block, turn, row, last - col);
    case MIRROR_OVER:
        return quilt_block_at(block, turn, last - row, col);
    case MIRROR_POINT:
        return quilt_block_at(block, turn, col, row);
    default:
        return quilt_block_at(block, turn, last - col, last - row);
    }
}

/* Seen in a mirror at the side, a split leans the other way and keeps what is on top; in
 * one below, it also changes top and bottom. About a diagonal it stays or, where it lies
 * across, changes its sides. */
static quilt_patch mirrored(quilt_patch patch, mirror how)
{
    if (patch.split == QUILT_WHOLE)
        return patch;
    bool rising = patch.split == QUILT_RISING;
    bool swaps = how == MIRROR_OVER || (how == MIRROR_POINT && !rising) ||
                 (how == MIRROR_DEPTH && rising);
    if (how == MIRROR_SIDE || how == MIRROR_OVER)
        patch.split = rising ? QUILT_FALLING : QUILT_RISING;
    if (swaps)
        patch = (quilt_patch){ patch.split, { patch.role[1], patch.role[0] } };
    return patch;
}

static bool cells_mirror(const quilt_design *design, quilt_cell a, quilt_cell b,
                         mirror how)
{
    const quilt_block *left = &design->blocks[a.block], *right = &design->blocks[b.block];
    for (int row = 0; row < left->side; row++)
        for (int col = 0; col < left->side; col++)
            if (!quilt_patch_equal(quilt_block_at(left, a.turn, row, col),
                                   mirrored(patch_in(right, b.turn, how, row, col), how)))
                return false;
    return true;
}

/* Which cells mirror which, worked out once: [block and turn][block and turn]. */
typedef struct mirror_table {
    const quilt_design *design;
    mirror how;
    bool alike[4 * QUILT_BLOCKS_MAX][4 * QUILT_BLOCKS_MAX];
} mirror_table;

static void find_mirrors(const quilt_design *design, mirror how, mirror_table *ret)
{
    int count = 4 * design->block_count;
    *ret = (mirror_table){ .design = design, .how = how };
    for (int a = 0; a < count; a++) {
        for (int b = 0; b < count; b++) {
            quilt_cell one = { (uint8_t)(a / 4), (uint8_t)(a % 4) };
            quilt_cell two = { (uint8_t)(b / 4), (uint8_t)(b % 4) };
            ret->alike[a][b] = cells_mirror(design, one, two, how);
        }
    }
}

static int cell_key(quilt_cell cell)
{
    return 4 * cell.block + cell.turn;
}

/* Whether the cell at (row, col) of a quilt of `count` blocks that way, which begins at
 * `start`, mirrors its partner. On point row and col are steps down to the left and down
 * to the right: left and right they change places about the middle column, top and bottom
 * about the middle row. */
static bool has_partner(const mirror_table *table, quilt_start start, int count, int row,
                        int col)
{
    int other_row = row, other_col = col, last = count - 1;
    if (table->how == MIRROR_SIDE)
        other_col = last - col;
    else if (table->how == MIRROR_OVER)
        other_row = last - row;
    else if (table->how == MIRROR_POINT) {
        other_row = col - last;
        other_col = row + last;
    } else {
        other_row = last - col;
        other_col = last - row;
    }
    quilt_cell a = quilt_repeat_at(table->design, start.row + row, start.col + col);
    quilt_cell b =
        quilt_repeat_at(table->design, start.row + other_row, start.col + other_col);
    return table->alike[cell_key(a)][cell_key(b)];
}

/* How many of so many rows and columns of cells have their partner. */
static int count_alike(const mirror_table *table, quilt_start start, int count, int rows,
                       int cols)
{
    int alike = 0;
    for (int row = 0; row < rows; row++)
        for (int col = 0; col < cols; col++)
            alike += has_partner(table, start, count, row, col);
    return alike;
}

/* Whether all have it; most often the first cells tell that not. */
static bool all_alike(const mirror_table *table, quilt_start start, int count, int size)
{
    for (int row = 0; row < size; row++)
        for (int col = 0; col < size; col++)
            if (!has_partner(table, start, count, row, col))
                return false;
    return true;
}

/* Along one way of a straight set the other does not matter. */
static bool straight_start(const mirror_table *table, int count, int *ret_start)
{
    const quilt_design *design = table->design;
    bool over = table->how == MIRROR_OVER;
    int most = -1, all = design->rows * design->cols;
    for (int at = 0; at < (over ? design->rows : design->cols); at++) {
        quilt_start start = { over ? at : 0, over ? 0 : at };
        int alike = count_alike(table, start, count, design->rows, design->cols);
        if (alike > most) {
            most = alike;
            *ret_start = at;
        }
    }
    return most == all;
}

/* After so many steps both ways a repeat on point looks the same. */
static int point_period(const quilt_design *design)
{
    int a = design->rows, b = design->cols;
    while (b != 0) {
        int rest = a % b;
        a = b;
        b = rest;
    }
    return design->rows / a * design->cols;
}

/* On point a start moves both pairs of edges at once. Starts are told apart by a window
 * that holds most repeats whole; whether the best one is exact is looked at in full. */
static bool point_start(const mirror_table *sides, const mirror_table *ends, int across,
                        int down, quilt_start *ret_start)
{
    enum { LOOKS = 40000 }; /* cells looked at in all, so that large repeats are quick */
    const quilt_design *design = sides->design;
    int period = point_period(design), window = 1, most = -1;
    while (window < period &&
           (window + 1) * (window + 1) * design->rows * design->cols <= LOOKS)
        window++;
    for (int row = 0; row < design->rows; row++) {
        for (int col = 0; col < design->cols; col++) {
            quilt_start start = { row, col };
            int alike = count_alike(sides, start, across, window, window) +
                        count_alike(ends, start, down, window, window);
            if (alike > most) {
                most = alike;
                *ret_start = start;
            }
        }
    }
    return all_alike(sides, *ret_start, across, period) &&
           all_alike(ends, *ret_start, down, period);
}

quilt_start quilt_start_even(const quilt_design *design, int across, int down,
                             bool *ret_alike)
{
    quilt_start best = { 0, 0 };
    bool point = design->set == QUILT_ON_POINT, alike;
    mirror_table sides, ends;
    find_mirrors(design, point ? MIRROR_POINT : MIRROR_SIDE, &sides);
    find_mirrors(design, point ? MIRROR_DEPTH : MIRROR_OVER, &ends);
    if (point) {
        alike = point_start(&sides, &ends, across, down, &best);
    } else {
        alike = straight_start(&sides, across, &best.col);
        alike &= straight_start(&ends, down, &best.row);
    }
    if (ret_alike != NULL)
        *ret_alike = alike;
    return best;
}

/* Any start on point with which one pair of edges ends alike. */
static bool point_alike(const mirror_table *table, int count, int period)
{
    const quilt_design *design = table->design;
    for (int row = 0; row < design->rows; row++)
        for (int col = 0; col < design->cols; col++)
            if (all_alike(table, (quilt_start){ row, col }, count, period))
                return true;
    return false;
}

int quilt_alike_counts(const quilt_design *design, bool down,
                       bool ret_alike[static QUILT_REPEAT_MAX])
{
    bool point = design->set == QUILT_ON_POINT;
    int period = point ? point_period(design) : down ? design->rows : design->cols;
    mirror_table table;
    if (period > QUILT_REPEAT_MAX)
        return 0;
    find_mirrors(design,
                 point  ? (down ? MIRROR_DEPTH : MIRROR_POINT)
                 : down ? MIRROR_OVER
                        : MIRROR_SIDE,
                 &table);
    for (int count = 0; count < period; count++) {
        int start;
        ret_alike[count] = point ? point_alike(&table, count, period)
                                 : straight_start(&table, count, &start);
    }
    return period;
}
