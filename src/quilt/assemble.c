#include "quilt/assemble.h"

#include "quilt/buy.h"

#include <assert.h>
#include <stdlib.h>

#define TRUE_WITHIN  ((length)(LENGTH_INCH / 16))
#define EASE_A_BLOCK ((length)(LENGTH_INCH / 8))
#define EASE_IN_ALL  ((length)(LENGTH_INCH / 2))

/* --- lines ----------------------------------------------------------------------------
 */

/* On point, place (row, col) lies at x = 2 col + row % 2 half diagonals from the left and
 * at y = row from the top; x - y is the same along a diagonal that runs down to the
 * right, and greatest in the upper right corner. */
static int diagonal_of(const quilt_layout *layout, int row, int col)
{
    return layout->across - 1 - (2 * col + row % 2 - row) / 2;
}

/* The first of a diagonal lies on the upper or the left edge. */
static int diagonal_start_row(const quilt_layout *layout, int line)
{
    return line < layout->across ? 0 : 2 * (line - layout->across + 1);
}

int quilt_lines(const quilt_layout *layout)
{
    return layout->set == QUILT_ON_POINT ? layout->across + layout->down - 1
                                         : layout->rows;
}

static void place_at(const quilt_layout *layout, int place, int *ret_row, int *ret_col)
{
    int count;
    for (int row = 0; row < layout->rows; row++) {
        const quilt_place *places = quilt_layout_row(layout, row, &count);
        int first = (int)(places - layout->places);
        if (place < first + count) {
            *ret_row = row;
            *ret_col = place - first;
            return;
        }
    }
    assert(!"a place of the layout");
}

void quilt_line_of(const quilt_layout *layout, int place, int *ret_line, int *ret_pos)
{
    int row, col;
    place_at(layout, place, &row, &col);
    bool on_point = layout->set == QUILT_ON_POINT;
    *ret_line = on_point ? diagonal_of(layout, row, col) : row;
    *ret_pos = on_point ? row - diagonal_start_row(layout, *ret_line) : col;
}

int quilt_line_blocks(const quilt_layout *layout, int line)
{
    if (layout->set != QUILT_ON_POINT)
        return layout->across;
    int row = diagonal_start_row(layout, line), blocks = 0;
    int x = row + 2 * (layout->across - 1 - line); /* from the left, in half diagonals */
    for (; row < layout->rows && x < 2 * layout->across - 1; row++, x++)
        blocks++;
    return blocks;
}

/* --- the order ------------------------------------------------------------------------
 */

int quilt_steps_max(const quilt_layout *layout)
{
    return 2 * quilt_lines(layout) + 8;
}

static quilt_step strip_of(int line, int first_pos, int last_pos)
{
    return (quilt_step){ QUILT_STEP_ROW, line, line, first_pos, last_pos, -1 };
}

static int by_lines(const quilt_layout *layout, quilt_step *steps)
{
    int lines = quilt_lines(layout), count = 0, longest = 0;
    for (int line = 0; line < lines; line++) {
        int blocks = quilt_line_blocks(layout, line);
        longest = blocks > longest ? blocks : longest;
        if (blocks > 1)
            steps[count++] = strip_of(line, 0, blocks - 1);
    }
    for (int size = 1; size < lines; size *= 2)
        for (int line = 0; line + size < lines; line += 2 * size) {
            int last = line + 2 * size < lines ? line + 2 * size - 1 : lines - 1;
            steps[count++] = (quilt_step){ QUILT_STEP_JOIN, line,           last, 0,
                                           longest - 1,     line + size - 1 };
        }
    return count;
}

static int by_quarters(const quilt_layout *layout, quilt_step *steps)
{
    int mid = (layout->rows + 1) / 2, half = (layout->across + 1) / 2, count = 0;
    const int line[] = { 0, mid, layout->rows }, pos[] = { 0, half, layout->across };
    for (int v = 0; v < 2; v++) {
        for (int h = 0; h < 2; h++) {
            if (pos[h + 1] - pos[h] > 1)
                for (int l = line[v]; l < line[v + 1]; l++)
                    steps[count++] = strip_of(l, pos[h], pos[h + 1] - 1);
            if (line[v + 1] - line[v] > 1)
                steps[count++] =
                    (quilt_step){ QUILT_STEP_QUARTER, line[v], line[v + 1] - 1, pos[h],
                                  pos[h + 1] - 1,     -1 };
        }
        steps[count++] = (quilt_step){ QUILT_STEP_HALF,    line[v], line[v + 1] - 1, 0,
                                       layout->across - 1, half - 1 };
    }
    steps[count++] = (quilt_step){ QUILT_STEP_JOIN,    0,      layout->rows - 1, 0,
                                   layout->across - 1, mid - 1 };
    return count;
}

int quilt_assemble(const quilt_layout *layout, bool quarters, quilt_step *ret_steps)
{
    bool can = layout->set != QUILT_ON_POINT && layout->rows > 1 && layout->across > 1;
    return quarters && can ? by_quarters(layout, ret_steps) : by_lines(layout, ret_steps);
}

bool quilt_step_joins(const quilt_step *step, int line, int pos, int other_line,
                      int other_pos)
{
    int low_line = line < other_line ? line : other_line;
    int high_line = line < other_line ? other_line : line;
    int low_pos = pos < other_pos ? pos : other_pos;
    int high_pos = pos < other_pos ? other_pos : pos;
    if (low_line < step->first_line || high_line > step->last_line)
        return false;
    bool along = low_line == high_line; /* beside each other on one line */
    /* On point, positions of neighbouring lines count from different ends. */
    bool within = low_pos >= step->first_pos && high_pos <= step->last_pos;
    switch (step->kind) {
    case QUILT_STEP_ROW:
        return along && within;
    case QUILT_STEP_HALF:
        return along && low_pos == step->seam;
    case QUILT_STEP_QUARTER:
        return !along && within;
    case QUILT_STEP_JOIN:
    default:
        return !along && low_line == step->seam;
    }
}

/* --- measuring ------------------------------------------------------------------------
 */

length quilt_strip_planned(const quilt_frame *frame, length block_finished, int blocks)
{
    int sashes = blocks - 1 + (frame->sash_around ? 2 : 0);
    return blocks * block_finished + sashes * frame->sash + 2 * frame->seam;
}

static length min_length(length a, length b)
{
    return a < b ? a : b;
}

quilt_strip_check quilt_strip_checked(length planned, length measured, int blocks,
                                      int seams)
{
    quilt_strip_check check = { .off = measured - planned,
                                .ease = min_length(EASE_A_BLOCK * blocks, EASE_IN_ALL) };
    length off = abs(check.off);
    /* A row of k units has k - 1 seams and comes out 2 (k - 1) e short. */
    if (seams > 0)
        check.seam_error = -check.off / (2 * seams);
    check.verdict = off <= TRUE_WITHIN  ? QUILT_STRIP_TRUE
                    : off <= check.ease ? QUILT_STRIP_EASE
                    : check.off > 0     ? QUILT_STRIP_TRIM
                                        : QUILT_STRIP_SEAM;
    return check;
}

void quilt_border_strips_of(const quilt_frame *frame, quilt_extent middle,
                            length mitre_extra, quilt_border_strips *ret)
{
    for (int i = 0; i < frame->border_count; i++) {
        const quilt_frame_border *border = &frame->borders[i];
        quilt_border_strips *one = &ret[i];
        one->before = middle;
        one->width = border->width + 2 * frame->seam;
        middle.width += 2 * border->width;
        middle.height += 2 * border->width;
        one->after = middle;
        one->sides = border->mitred
                         ? quilt_mitred(one->before.height, border->width, mitre_extra)
                         : one->before.height;
        one->ends = border->mitred
                        ? quilt_mitred(one->before.width, border->width, mitre_extra)
                        : one->after.width;
    }
}
