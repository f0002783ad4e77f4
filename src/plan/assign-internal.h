/* plan/assign-internal.h: what the files of the assignment engine share. */
#pragma once

#include "base/random.h"
#include "plan/assign.h"

#include <stddef.h>

enum {
    ASSIGN_LANES = 32, /* rows are padded to this many entries, with zeros */
    ASSIGN_SORTS_MAX = 6,
};

/* A problem made ready, shared by all threads and not changed any more.
 *
 * With two tables of which neither is symmetric, rows have two halves, one of the
 * symmetric and one of the antisymmetric parts: sum K W = 1/4 (sum Ks Ws + sum Ka Wa) for
 * Ks = K + K', Ka = K - K', since products of unlike parts cancel. Where one is symmetric
 * the antisymmetric part of the other falls away. `factor` says how many times the true
 * cost is kept. */
typedef struct assign_core {
    const plan_assign_problem *problem;
    int n;
    bool pairs;                  /* there is a pair term */
    int halves;                  /* 1 or 2 */
    int half;                    /* entries of half a row: n and padding */
    size_t stride;               /* entries of a row */
    int factor;                  /* 1, 2 or 4 */
    bool near_even, weight_even; /* between, weight are symmetric */
    bool wide;       /* for tabu search: rows of 32 bits, and rows even for few sorts */
    bool narrow;     /* all fits 16 bits, sums fit 32 */
    int16_t *near16; /* between, n x stride */
    int32_t *near32; /* diagonals are zero in both tables, and kept apart: */
    int32_t *near_own, *weight_own; /* by place, by item; NULL when they cancel out */
    /* Items of equal rows and columns are of one sort; 0 sorts: too many to be of use. */
    int sorts;
    uint8_t *sort_of; /* by item */
    int32_t sort_weight[ASSIGN_SORTS_MAX][ASSIGN_SORTS_MAX];

    uint16_t *meets; /* cost of side against side, 4n x 4n; NULL: reckoned each time */
    const plan_assign_seams *seams;

    /* Places whose item can be exchanged, those of a group beside each other. */
    int movable_count;
    int32_t *movable;
    int32_t *group_first, *group_count; /* by place: its group's part of movable */
    int turnable_count;
    int32_t *turnable; /* places with two turns or more */
    uint8_t *turn_count;
    uint8_t (*turn_list)[PLAN_TURNS];
} assign_core;

/* One arrangement with what is kept of it to weigh changes. */
typedef struct assign_state {
    const assign_core *core;
    int64_t cost; /* factor times the true cost */
    int32_t *item;
    uint8_t *turn;
    int16_t *weight16; /* weight of the items in the order of their places, n x stride */
    int32_t *weight32;
    uint8_t *sort;  /* of the item, by place; where there are sorts */
    int64_t *field; /* sorts x n: what an item of the sort would cost at the place */
    int32_t (*joint)[PLAN_EDGES]; /* cost of each joint, kept at both its places */
} assign_state;

/* Why a preparation ended. */
typedef enum assign_ready { ASSIGN_READY, ASSIGN_NO_MEMORY, ASSIGN_STOPPED } assign_ready;

static inline bool assign_is_stopped(const atomic_bool *stop)
{
    return stop != NULL && atomic_load_explicit(stop, memory_order_relaxed);
}

assign_ready assign_core_make(assign_core *core, const plan_assign_problem *problem,
                              bool wide, const atomic_bool *stop);
void assign_core_clear(assign_core *core);

/* The entry of between or weight as kept: half 0 symmetric, half 1 antisymmetric. */
int32_t assign_part(const assign_core *core, const int32_t *table, bool even, int half,
                    int i, int j);

/* What two sides cost when they meet; a side is item x 4 + side of it. */
int assign_sides_meet(const plan_assign_seams *seams, int side, int across);

/* The same out of the table, where there is one. */
int32_t assign_meet(const assign_core *core, int side, int across);

bool assign_state_make(assign_state *state, const assign_core *core);
void assign_state_clear(assign_state *state);

/* Lays the state out anew; false when it was stopped. */
bool assign_state_set(assign_state *state, const int32_t *item, const uint8_t *turn,
                      const atomic_bool *stop);

/* What the cost rises by when the items of p and q are exchanged and then lie turned by
 * turn_p at p and turn_q at q. p and q differ. */
int64_t assign_swap_delta(const assign_state *state, int p, int q, int turn_p,
                          int turn_q);

/* The part of it that pairs make: all in all without seams and levels. */
int64_t assign_pair_delta(const assign_state *state, int p, int q);

int64_t assign_turn_delta(const assign_state *state, int p, int turn);
void assign_swap(assign_state *state, int p, int q, int turn_p, int turn_q,
                 int64_t delta);
void assign_turn(assign_state *state, int p, int turn, int64_t delta);

/* sum over k of (near_p[k] - near_q[k]) (weight_q[k] - weight_p[k]). */
int64_t assign_dot16(size_t count, const int16_t *near_p, const int16_t *near_q,
                     const int16_t *weight_p, const int16_t *weight_q);
int64_t assign_dot32(size_t count, const int32_t *near_p, const int32_t *near_q,
                     const int32_t *weight_p, const int32_t *weight_q);

/* How far a thread has come, and where its best goes. */
typedef struct assign_watch {
    const plan_assign_search *search;
    double begun;  /* of the clock, in seconds */
    double now;    /* seconds since, as last looked */
    int64_t moves; /* weighed */
    bool over;
    void *shared; /* assign_shared of assign.c */
    int thread;
    int64_t told; /* the best cost that this thread told */
} assign_watch;

/* Looks at the clock and the stop flag; whether time is up. */
bool assign_watch_look(assign_watch *watch, int64_t moves);

/* Moves or seconds, whichever limits the search; and the limit, 0 for none. */
double assign_watch_spent(const assign_watch *watch);
double assign_watch_limit(const assign_watch *watch);

/* Tells the others what is best so far. */
void assign_watch_tell(assign_watch *watch, int64_t cost, const int32_t *item,
                       const uint8_t *turn);

/* The searches: from a state that holds the start, until the watch is over. False when
 * memory ran out. */
bool assign_anneal(assign_state *state, assign_watch *watch, motley_random *random);
bool assign_tabu(assign_state *state, assign_watch *watch, motley_random *random);
