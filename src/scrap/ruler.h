/* scrap/ruler.h: rulers, mats, and what cutting with them takes: passes, cuts, turns,
 * minutes. Pure.
 *
 * A pass is one laying-down of the ruler with the cuts made along it. A plain ruler cuts
 * along one edge: one cut a pass. A slotted ruler cuts along every slot of a laying, so
 * that lines which lie a whole number of pitches apart are cut in one pass. */
#pragma once

#include "base/length.h"

/** A ruler as its maker describes it. */
typedef struct scrap_ruler {
    length reach; /* the longest cut along its edge or a slot, above 0 */
    length width; /* across; a strip wider than this cannot be measured with it */
    int slots;    /* 0 for a plain ruler, else 2 to 1000 */
    length pitch; /* from slot to slot; not read when there are no slots */
} scrap_ruler;

typedef struct scrap_mat {
    length width, height;
    bool turns; /* turns under the cloth, so that nothing is lifted for the cross-cuts */
} scrap_mat;

/** What each move takes, in seconds. */
typedef struct scrap_times {
    double lay;    /* lay the ruler and check it */
    double cut;    /* one cut along an edge or slot */
    double turn;   /* turn the mat a quarter, or walk round it */
    double handle; /* take up a piece and lay it straight */
} scrap_times;

/** 24 x 6 1/2 in without slots. */
extern const scrap_ruler SCRAP_RULER_PLAIN;
/** 24 x 18 in, does not turn. */
extern const scrap_mat SCRAP_MAT_USUAL;
/** Our own guesses, to be replaced by the maker's: they land within what makers say of
 * themselves, 20 to 40 seconds a laying with its cuts and 60 to 200 squares an hour. */
extern const scrap_times SCRAP_TIMES_USUAL;

/** What a plan, or several, take. */
typedef struct scrap_effort {
    int passes;  /* layings of the ruler */
    int cuts;    /* along an edge or slot */
    int turns;   /* of the mat, or of the maker round it */
    int handled; /* pieces taken up and laid straight */
    double minutes;
} scrap_effort;

/** Minutes of so many moves; minutes in the effort are not read. */
double scrap_effort_minutes(const scrap_effort *effort, const scrap_times *times);

/** Adds one effort to another, minutes too. */
void scrap_effort_add(scrap_effort *sum, const scrap_effort *more);

/**
 * Refuses a ruler that cannot be: reach, width or pitch not above 0, one slot or over
 * 1000, or slots that reach further than the ruler is wide.
 *
 * Errors: scrap.ruler.
 */
gboolean scrap_ruler_check(const scrap_ruler *ruler,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Whether the ruler can cut this unit: a plain one when its width is not less, a slotted
 * one when the unit is a whole number of pitches and lies between two of its slots.
 *
 * Errors: scrap.pitch-cannot, naming the units that this ruler can cut.
 */
gboolean scrap_ruler_can_cut(const scrap_ruler *ruler, length unit,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A straight cut in the frame of the plan: along x at height `at`, from `from` to `to`
 * (or along y, with x and y exchanged). from <= to. */
typedef struct scrap_line {
    length at, from, to;
} scrap_line;

/**
 * Lays the ruler along parallel lines until all are cut, always from the first line left
 * and from its lowest end: a laying takes with it every line within its slots' reach.
 *
 * @lines      ascending by `at`, then by `from`; lines at one place do not overlap
 * @done       room for count lengths
 * @ret_pass   which laying cuts the line, from 0; a line longer than the reach names its
 *             first. NULL when not wanted
 * @ret_cuts   cuts made along edges and slots
 *
 * Returns the layings. O(count * layings).
 */
int scrap_ruler_lay(const scrap_ruler *ruler, int count, const scrap_line lines[],
                    length done[], int *ret_pass, int *ret_cuts);

/**
 * Fits the times of the moves to timed piles: least squares with no time below an
 * eighth of that of `prior`, since every move takes some, drawn towards `prior` as if a
 * pile of ten of each move had been timed at it. So one pile already helps, and moves
 * that always come together do not run apart. Each of the 16 sets of times that may be
 * the least is tried, so the answer is the least.
 *
 * @piles        their moves, with the minutes that they took
 * @ret_times    always written
 * @ret_error_s  root mean square of what is left, in seconds a pile; 0 without piles
 */
void scrap_times_fit(int count, const scrap_effort piles[], const scrap_times *prior,
                     scrap_times *ret_times, double *ret_error_s);
