/* quilt/assemble.h: from finished blocks to a top: in which order to join them, whether a
 * row as sewn fits the plan, and how long to cut borders for the top as it measures.
 * Pure.
 *
 * A line is what is sewn into one strip of blocks: a row, or on point a diagonal. Lines
 * count from the top, on point from the upper right corner. */
#pragma once

#include "quilt/size.h"

/* --- the order -----------------------------------------------------------------------
 */

typedef enum quilt_step_kind {
    QUILT_STEP_ROW,     /* blocks first_pos to last_pos of one line into a strip */
    QUILT_STEP_JOIN,    /* strips or pieces above and below the seam after line `seam` */
    QUILT_STEP_QUARTER, /* all strips of a quarter, first_line to last_line */
    QUILT_STEP_HALF,    /* left and right piece, along the seam after position `seam` */
} quilt_step_kind;

/** One step; lines and positions count from 0, both ends are in it. */
typedef struct quilt_step {
    quilt_step_kind kind;
    int first_line, last_line;
    int first_pos, last_pos;
    int seam; /* -1 for strips and quarters */
} quilt_step;

/** Lines of a layout: its rows, on point its diagonals. */
int quilt_lines(const quilt_layout *layout);

/** Which line a place lies on, and where along it, both from 0. @place index in layout */
void quilt_line_of(const quilt_layout *layout, int place, int *ret_line, int *ret_pos);

/** How many blocks lie on a line. */
int quilt_line_blocks(const quilt_layout *layout, int line);

/** Room that quilt_assemble() needs. */
int quilt_steps_max(const quilt_layout *layout);

/**
 * The steps of sewing a top together. By lines: every line, then pairs of them, pairs of
 * pairs and so on, so that only one seam is as long as the whole. By quarters: the strips
 * of each quarter and their seams, then the halves, then the middle: the weight under the
 * needle stays small longest. On point, and where there is one line or column, there are
 * no quarters and the order is by lines.
 *
 * @ret_steps  room for quilt_steps_max()
 *
 * Returns how many steps there are. O(lines).
 */
int quilt_assemble(const quilt_layout *layout, bool quarters, quilt_step *ret_steps);

/** Whether the step closes the joint between two places that are neighbours. */
bool quilt_step_joins(const quilt_step *step, int line, int pos, int other_line,
                      int other_pos);

/* --- measuring -----------------------------------------------------------------------
 */

/** What a strip of `blocks` measures raw edge to raw edge, the sashes between and, where
 *  they go round, at its ends in; on point without the triangles at its ends. */
length quilt_strip_planned(const quilt_frame *frame, length block_finished, int blocks);

typedef enum quilt_strip_verdict {
    QUILT_STRIP_TRUE, /* within a sixteenth of an inch */
    QUILT_STRIP_EASE, /* near enough to be eased in with pins */
    QUILT_STRIP_TRIM, /* too long: seams too narrow; take in or trim */
    QUILT_STRIP_SEAM, /* too short: seams too wide; sew some again, narrower */
} quilt_strip_verdict;

typedef struct quilt_strip_check {
    quilt_strip_verdict verdict;
    length off;        /* measured less planned */
    length ease;       /* so much can be eased in */
    length seam_error; /* of each seam allowance, above 0 too wide; 0 without seams */
} quilt_strip_check;

/**
 * Compares a strip with its plan. An eighth of an inch for each block can be eased in
 * (common practice, told of single blocks), but no more than half an inch in all: beyond
 * that the seams are at fault.
 *
 * @seams  between blocks and sashes, not those inside blocks; with blocks of several
 *         patches count theirs too, since each adds its error twice
 */
quilt_strip_check quilt_strip_checked(length planned, length measured, int blocks,
                                      int seams);

/** Strips for one border, as cut. */
typedef struct quilt_border_strips {
    length width;        /* of all four */
    length sides;        /* length of left and right, which are sewn on first */
    length ends;         /* length of top and bottom */
    quilt_extent before; /* the top that they go round, raw edge to raw edge */
    quilt_extent after;  /* and with them on */
} quilt_border_strips;

/**
 * Borders for the top as it measures through its middle, never along its edges, which
 * stretch. Straight: sides as long as the top is high; ends as wide as the top with the
 * sides on. Mitred: each side and two border widths and `mitre_extra` to spare.
 *
 * @middle  raw edge to raw edge
 * @ret     room for frame->border_count
 */
void quilt_border_strips_of(const quilt_frame *frame, quilt_extent middle,
                            length mitre_extra, quilt_border_strips *ret);
