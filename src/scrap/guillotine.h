/* scrap/guillotine.h: the most valuable mix of wanted sizes from a rectangular remnant,
 * by straight cuts from edge to edge. Pure, in whole numbers.
 *
 * Unconstrained two-dimensional guillotine knapsack, exact: P. C. Gilmore and R. E.
 * Gomory, "The theory and computation of knapsack functions", Operations Research 14,
 * 1966; J. C. Herz, IBM J. Research and Development 16, 1972 (discretisation points); J.
 * E. Beasley, J. Operational Research Society 36, 1985. */
#pragma once

#include "scrap/ruler.h"

/** A size that is wanted, any number of times. */
typedef struct scrap_want {
    length width, height; /* above 0 */
    int64_t value;        /* of one piece, 1 to 10^12 */
    bool turns;           /* may lie either way round */
} scrap_want;

typedef enum scrap_stages {
    SCRAP_STAGES_TWO, /* strips, then pieces from each strip, trimmed to height; the
                         better of strips along and across */
    SCRAP_STAGES_ANY,
} scrap_stages;

/** A piece in its place; the remnant's lower left corner is (0, 0). */
typedef struct scrap_piece {
    length x, y, width, height;
    int want; /* index into the wants */
} scrap_piece;

/** A cut from edge to edge of what it divides, in the order of cutting: all that run one
 * way, then, with the mat turned, all that run the other way, and so on. */
typedef struct scrap_guillotine_cut {
    length x1, y1, x2, y2;
} scrap_guillotine_cut;

/** A cutting pattern. Free with scrap_guillotine_free(). */
typedef struct scrap_guillotine {
    int64_t value;
    int piece_count;
    scrap_piece *pieces;
    int cut_count;
    scrap_guillotine_cut *cuts;
} scrap_guillotine;

void scrap_guillotine_free(scrap_guillotine *pattern);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(scrap_guillotine, scrap_guillotine_free)

/**
 * Finds a pattern of most value; it has gone through scrap_guillotine_check(). Sizes may
 * be in any whole unit; lengths are divided by their common divisor first.
 *
 * @wants  count of them; sizes larger than the remnant are passed over
 *
 * Errors: scrap.want (a size or value not above 0, value over 10^12, or none wanted),
 * scrap.guillotine-too-fine (over 4096 discretisation points a side: round the sizes to
 * fewer).
 *
 * Returns a pattern (without pieces when nothing fits), or NULL with an error.
 * O(points across * points up * (points across + points up)) at worst.
 */
scrap_guillotine *scrap_guillotine_best(length width, length height, int count,
                                        const scrap_want wants[], scrap_stages stages,
                                        GError **error);

/**
 * What cutting a pattern takes, cut by cut in its order: a laying for each cut, or for
 * each ruler's length of it, and a turn whenever the direction changes.
 */
scrap_effort scrap_guillotine_effort(const scrap_guillotine *pattern,
                                     const scrap_ruler *ruler, const scrap_mat *mat,
                                     const scrap_times *times);

/**
 * Checks a pattern afresh: pieces of the wanted sizes, inside, none over another, their
 * values the total, parted by edge-to-edge cuts.
 *
 * Errors: scrap.plan-wrong.
 */
gboolean scrap_guillotine_check(const scrap_guillotine *pattern, length width,
                                length height, int count, const scrap_want wants[],
                                GError **error) G_GNUC_WARN_UNUSED_RESULT;
