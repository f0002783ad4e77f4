/* plan/compose.h: which squares to sew into the next block. Pure and seeded. */
#pragma once

#include "quilt/design.h"

#include <stdint.h>

enum {
    PLAN_SITES_MAX = 2 * QUILT_SIDE_MAX * QUILT_SIDE_MAX,
    PLAN_SEAMS_MAX = 8 * QUILT_SIDE_MAX * QUILT_SIDE_MAX,
    PLAN_SOURCES_MAX = 64,
};

/** A place of a block that takes one piece of fabric: a square or a half-square triangle.
 */
typedef struct plan_site {
    int patch;    /* row * side + column */
    int half;     /* 0, or 1 for the second triangle */
    uint8_t role; /* quilt_role */
} plan_site;

/** Two sites that meet: weight 1 along a whole edge, less along half of one or at a
 * corner. */
typedef struct plan_seam {
    int a, b;
    double weight;
} plan_seam;

/** The sites of a block and where they meet; sites of one fabric (background, accent)
 * too. */
typedef struct plan_block {
    int sites, seams;
    plan_site site[PLAN_SITES_MAX];
    plan_seam seam[PLAN_SEAMS_MAX];
} plan_block;

/** Takes a block of a design apart. Patches meet along edges (weight 1) and at corners
 *  (weight corner, 0 to 1); the two triangles of a patch meet along their long edge. */
void plan_block_make(const quilt_block *block, double corner, plan_block *ret_block);

/**
 * What may be drawn: fabrics 0 to fabrics - 1.
 *
 * @count  squares of each fabric within reach: those near the top of the basket
 * @alike  fabrics x fabrics, row by row, symmetric, 0 to 1, 1 on the diagonal
 * @fits   fabrics x QUILT_ROLES, row by row, 0 to 1: how well a fabric plays a role
 * @source which source each fabric came from, 0 to sources - 1, or -1 where that is not
 *         known; NULL: sources do not count
 */
typedef struct plan_reach {
    int fabrics;
    const int *count;
    const double *alike;
    const double *fits;
    int sources; /* up to PLAN_SOURCES_MAX */
    const int *source;
} plan_reach;

/**
 * A handful for one block, as her hand draws it: out of what is within reach so many
 * squares as the block takes, `times` over, in proportion to how many there are of each
 * fabric and from each source. Lights are drawn for light sites, darks for dark ones.
 * Blocks composed each from a handful of its own use the basket up evenly, and differ;
 * out of the whole basket each would be the same best few fabrics.
 *
 * @ret_count  by fabric: squares in the hand, never more than reach->count
 */
void plan_handful(const plan_block *block, const plan_reach *reach, int times,
                  uint64_t seed, int *ret_count);

/** What the maker has settled and how far to search. */
typedef struct plan_compose_wish {
    uint64_t seed;
    const int *locked; /* by site: a fabric that stays, or -1; NULL locks none */
} plan_compose_wish;

/**
 * Fills the scrap, light and dark sites of a block: squares are drawn as her hand would,
 * by their numbers within reach, then exchanged until no single exchange makes like
 * fabrics lie farther apart; and at last every block is looked at that could come out
 * lower, as long as that takes 10,000 steps at most: so the answer is the best there is
 * for four squares from a dozen fabrics, or nine from three or four, and wherever a block
 * comes out that cannot be better, such as one that costs nothing. Like across an edge
 * costs weight x alike, a second square of a fabric a little wherever it lies, two of one
 * source a little where its share of the reach is small, a site that its fabric does not
 * fit 1 - fits.
 *
 * @ret_fabric      by site: the fabric; -1 at sites of background and accent
 * @ret_alike_most  the largest alike across a seam of weight 1 (the same fabric: 1)
 *
 * Returns 0, or the number of squares that the reach is short of: then nothing is
 * written. O(restarts x sites x fabrics); a nine patch from 60 fabrics takes well under 1
 * ms.
 */
int plan_compose(const plan_block *block, const plan_reach *reach,
                 const plan_compose_wish *wish, int ret_fabric[PLAN_SITES_MAX],
                 double *ret_alike_most);

/**
 * The best other fabrics for one site of a filled block, the best first.
 *
 * @fabric  by site, as plan_compose() gave it
 * @site    whose alternatives are asked for
 *
 * Returns how many were written, up to most; each has squares left within reach.
 */
int plan_compose_others(const plan_block *block, const plan_reach *reach,
                        const int *fabric, int site, int most, int ret_others[most]);
