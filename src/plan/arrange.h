/* plan/arrange.h: which finished block goes to which place of a quilt, and turned how.
 * Pure and seeded. */
#pragma once

#include "plan/assign.h"
#include "quilt/layout.h"
#include "quilt/press.h"

/** A finished block. */
typedef struct plan_arrange_block {
    int kind; /* index into the kinds of the layout */
    /* side x side x 2: the fabric of each half of each patch, as the kind's block is
     * drawn unturned, the second like the first in a whole patch; -1 when not known.
     * Patches of background and accent are not reckoned, whatever stands here. */
    const int16_t *fabric;
} plan_arrange_block;

/** What lies at a place: a block and its quarter turns clockwise. */
typedef struct plan_arrange_lay {
    int block; /* -1: open, for a block to come */
    int turn;  /* 0 to 3, of the block as drawn in its kind */
} plan_arrange_lay;

/** A block that stays where the maker put it. */
typedef struct plan_arrange_pin {
    int place, block;
    int turn; /* 0 to 3, or -1 for whichever lies best */
} plan_arrange_pin;

/**
 * A quilt to arrange. Arrays stay the caller's.
 *
 * A block goes only to places of its kind, and lies there only as the design draws it: a
 * block that looks alike after a half turn has two turns at a place, one that always
 * looks alike has four.
 */
typedef struct plan_arrange_quilt {
    const quilt_design *design;
    const quilt_layout *layout; /* of that design */
    int fabrics;                /* up to 20,000 */
    const float *alike;         /* fabrics x fabrics, symmetric, 0 to 1 */
    const float *light;         /* by fabric, 0 dark to 1 light; NULL without target */
    int blocks;
    const plan_arrange_block *block;
    /* The last so many of them are still to come: pinned, each holds a place open. They
     * do not count in scores, and in what is given back such a place is open. */
    int to_come;
    int pins;
    const plan_arrange_pin *pin;
    const plan_arrange_lay *start; /* by place, to go on from; NULL: blocks in their
                                      order, each to the first free place of its kind */
    const plan_arrange_lay
        *before;         /* by place: what result.start scores; NULL: the start */
    const float *target; /* by place, 0 dark to 1 light, negative: any; NULL: no
                            value layout */
} plan_arrange_quilt;

/** How much each thing matters; 1 is usual, 0 leaves it out, up to 10. */
typedef struct plan_arrange_weights {
    double seams;   /* like fabrics do not meet */
    double spread;  /* like blocks lie far apart */
    double nesting; /* seams lock where blocks meet */
    double value;   /* light and dark follow the target */
} plan_arrange_weights;

/** Seams and spread 1, value 1 (it needs a target), nesting 0. */
plan_arrange_weights plan_arrange_usual(void);

/** What a value layout follows. */
typedef enum plan_arrange_value {
    PLAN_VALUE_RINGS,     /* from a dark middle out to a light edge, twice over */
    PLAN_VALUE_DIAGONALS, /* bands, light and dark by turns, along one diagonal */
    PLAN_VALUE_GRADIENT,  /* from light at the top left to dark at the bottom right */
} plan_arrange_value;

/** Fills a target for a value layout; by place of the layout. */
void plan_arrange_target(const quilt_layout *layout, plan_arrange_value value,
                         float *ret_target);

/** What an arrangement is worth; less is better in all but nested. */
typedef struct plan_arrange_score {
    double cost;    /* the weighted sum that the search lowers */
    double seams;   /* mean alikeness of the patches that meet across seams, 0 to 1 */
    double spread;  /* mean alikeness of blocks, near pairs weighing more (by the inverse
                       square of their distance), over that of all pairs: 1 is as if
                       shuffled */
    double nesting; /* share of seams that nest, of those that meet another, 0 to 1 */
    double value;   /* mean distance from the target, 0 to 1 */
} plan_arrange_score;

enum { PLAN_WORST = 5 };

/** Two neighbours that meet badly. */
typedef struct plan_arrange_worst {
    int place, across; /* the second lies at the right or at the bottom of the first */
    quilt_edge edge;   /* of the first place */
    double alike;      /* summed over the patches that meet */
} plan_arrange_worst;

typedef struct plan_arrange_result {
    plan_arrange_score start, best;
    int worst_count;
    plan_arrange_worst worst[PLAN_WORST]; /* the worst first; only those above 0 */
    int open;                             /* places left open */
    int over;                             /* blocks left without a place */
    bool one_fabric; /* all known patches are of one fabric: every arrangement is alike */
} plan_arrange_result;

/** Called from the caller's own thread with each better arrangement, at most 20 times a
 *  second. */
typedef void (*plan_arrange_progress)(void *data, double cost,
                                      const plan_arrange_lay *lays);

typedef struct plan_arrange_search {
    uint64_t seed;
    int threads;
    double seconds;
    int64_t moves;    /* as in plan_assign_search */
    bool cpu_seconds; /* likewise */
    const atomic_bool *stop;
    plan_arrange_progress progress;
    void *data;
    float *crowding; /* by place: filled as by plan_arrange_score_of(); or NULL */
} plan_arrange_search;

/**
 * Arranges the blocks.
 *
 * @ret_lays    by place of the layout: what lies there. An open place may be anywhere
 *              among the places of its kind; when there are more blocks of a kind than
 *              places, those that suit best are taken
 * @ret_result  the scores before and after
 *
 * Errors, nothing being written: PLAN_KIND (a block of a kind that the layout has no
 * place for), PLAN_PIN_PLACE (two pins at one place), PLAN_PIN_BLOCK (a block pinned
 * twice), PLAN_PIN_KIND (pinned where its kind or turn does not belong), PLAN_NO_PLACE (a
 * pin or start beyond the places or blocks), PLAN_FABRIC (a fabric beyond the table),
 * PLAN_TOO_MANY (more places or blocks than PLAN_ASSIGN_MAX), PLAN_WEIGHTS, PLAN_MEMORY.
 * A search that is stopped gives what it has: that is no error. It stops within 20 ms,
 * and scores what it found in another 20 ms for 5,000 blocks; the tables that come before
 * the search, some hundred milliseconds for as many, it makes to their end.
 */
gboolean plan_arrange_run(const plan_arrange_quilt *quilt,
                          const plan_arrange_weights *weights,
                          const plan_arrange_search *search, plan_arrange_lay *ret_lays,
                          plan_arrange_result *ret_result,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Scores an arrangement without searching: one that the maker laid by hand, or that is
 * compared with another. What lies where it does not belong counts as open. Errors as
 * plan_arrange_run().
 *
 * @ret_crowding  by place, or NULL: how alike the blocks near it are to the one that lies
 *                there, over what a shuffled quilt would have. 1 is even, above it a
 * clump. For a picture
 */
gboolean plan_arrange_score_of(const plan_arrange_quilt *quilt,
                               const plan_arrange_weights *weights,
                               const plan_arrange_lay *lays,
                               plan_arrange_result *ret_result, float *ret_crowding,
                               GError **error) G_GNUC_WARN_UNUSED_RESULT;
