/* plan/arrange-internal.h: a quilt made ready for the engine. */
#pragma once

#include "plan/arrange.h"

enum {
    ARRANGE_ALIKE = 800,     /* alikeness 1 of two patches that meet */
    ARRANGE_STRAIGHT = 4,    /* times this across a seam, */
    ARRANGE_CORNER = 1,      /* and this where they touch at a corner across it */
    ARRANGE_NEAR = 8192,     /* kernel of pairs at distance 1 */
    ARRANGE_DEVIATION = 256, /* alikeness of blocks, one standard deviation above mean */
    ARRANGE_LEVEL = 1000,    /* lightness 1 */
};

/* The tables of a quilt. Items are the blocks, then open ones, of which one more than
 * there are places for, so that an open item can be named in any case; places those of
 * the layout, then, one for each block of a kind that has more blocks than places, places
 * aside. */
typedef struct arrange_tables {
    const plan_arrange_quilt *quilt;
    int made;      /* blocks that are not still to come: the first ones */
    int side;      /* patches on a side of a block */
    int laid;      /* places of the layout */
    int places;    /* with those aside */
    bool touching; /* there is no sash between the blocks */
    int32_t *between, *weight;
    double mean, deviation; /* of the alikeness of two blocks */
    int32_t *neighbour;
    int16_t *spot;
    int colours;
    uint16_t *alike;
    int32_t (*turning)[PLAN_TURNS][PLAN_TURNS];
    bool *turned;
    int32_t *level, *target;
    uint8_t *group, *turns;
    bool *fixed;
    plan_assign_seams seams;
    plan_assign_problem problem;
    double unit;   /* cost of two like patches that meet, at the usual weights */
    double offset; /* what the pairs' mean makes, left out of the tables */
} arrange_tables;

/* Checks the quilt and makes its tables; unset on error. */
gboolean arrange_tables_make(arrange_tables *tables, const plan_arrange_quilt *quilt,
                             const plan_arrange_weights *weights, GError **error);
void arrange_tables_clear(arrange_tables *tables);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(arrange_tables, arrange_tables_clear)

/* Puts pins, then what start holds, then the other blocks, in their places. */
gboolean arrange_begin(const arrange_tables *tables, const plan_arrange_lay *start,
                       int32_t *ret_item, uint8_t *ret_turn, GError **error);

/* Scores what lies there, whichever way it came about; crowding by place, or NULL.
 * O(n^2), 1.5 ns for each two blocks. False without memory. */
bool arrange_score(const arrange_tables *tables, const plan_arrange_lay *lays,
                   plan_arrange_score *ret, float *ret_crowding);

/* All that a result says of what lies there but result.start. */
bool arrange_sum_up(const arrange_tables *tables, const plan_arrange_lay *lays,
                    plan_arrange_result *result, float *ret_crowding);
