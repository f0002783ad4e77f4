/* plan/assign.h: which thing goes to which place, and turned how. Pure and seeded.
 *
 * One engine for two questions: which finished block goes where in a quilt, and the plain
 * quadratic assignment problem, whose published instances check it. Every cost is a whole
 * number, so that a cost kept up to date by differences never drifts from the cost
 * reckoned anew. */
#pragma once

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

enum {
    PLAN_ASSIGN_MAX = 8192, /* places */
    PLAN_ASSIGN_THREADS_MAX = 64,
    PLAN_TURNS = 4, /* quarter turns, clockwise */
    PLAN_EDGES = 4, /* of a place: top, right, bottom, left */
};

/**
 * What meets where two neighbours touch. Each item has four sides, each of `along` spots
 * in clockwise order; turned by t quarters, its side s lies at the edge (s + t) mod 4 of
 * its place. Where two sides meet, spot j of one lies against spot along - 1 - j of the
 * other and touches the spots next to that at a corner.
 */
typedef struct plan_assign_seams {
    const int32_t *neighbour; /* places x 4: the place across each edge, or -1; it meets
                                 this one with its opposite edge */
    int along;                /* spots on a side, 1 or more */
    const int16_t *spot;      /* items x 4 x along: a colour, or -1 for one that costs
                                 nothing */
    int colours;
    const uint16_t *alike; /* colours x colours, symmetric: cost of two that meet */
    int straight, corner;  /* spots in line cost straight x alike, at a corner corner x
                              alike; 0 to 1000 */
    /* What a joint costs for its turns alone, [edge][turn here][turn across], alike seen
     * from both sides; only between two items marked in turned. NULL: nothing. */
    const int32_t (*turning)[PLAN_TURNS][PLAN_TURNS];
    const bool *turned; /* by item; not used without turning */
} plan_assign_seams;

/**
 * A problem of n places and as many items. The cost of an arrangement is the sum of
 *
 * - over all ordered pairs of places p, q, also p = q: between[p][q] x weight[i][j] for
 *   the items i and j that lie there, times pair_factor;
 * - over all joints: what meets there, as plan_assign_seams tells, times seam_factor;
 * - over all places: level_factor x (level[i] - target[p])^2, where neither is negative.
 *
 * Arrays stay the caller's and must not change while the engine runs; each may be NULL.
 */
typedef struct plan_assign_problem {
    int places;             /* 1 to PLAN_ASSIGN_MAX */
    const int32_t *between; /* places x places, row by row */
    const int32_t *weight;  /* items x items; both or neither */
    int pair_factor;        /* 0 or more */
    const plan_assign_seams *seams;
    int seam_factor;       /* 0 or more */
    const int32_t *level;  /* by item, up to 10,000 */
    const int32_t *target; /* by place, likewise; both or neither */
    int level_factor;      /* 0 or more */
    const uint8_t *group;  /* by place: items are exchanged within a group; NULL: all */
    const uint8_t *turns;  /* by place: bit t is set when an item may lie there turned by
                              t;  NULL: as they are */
    const bool *fixed; /* by place: what lies there is not exchanged, and turned only if
                          turns allows; NULL: none */
} plan_assign_problem;

/** What an arrangement costs, by term; cost is their sum. */
typedef struct plan_assign_cost {
    int64_t cost, pairs, seams, turning, level;
} plan_assign_cost;

typedef enum plan_assign_method {
    PLAN_ASSIGN_BEST,   /* what suits the problem */
    PLAN_ASSIGN_ANNEAL, /* simulated annealing, again and again, longer each time */
    PLAN_ASSIGN_TABU,   /* robust tabu search, iterated; only without seams and turns */
} plan_assign_method;

/** How long to search, and whom to tell. Without a limit it runs until stopped. */
typedef struct plan_assign_search {
    uint64_t seed;
    int threads;    /* 0 is 1 */
    double seconds; /* limit by the clock; 0: none */
    int64_t moves;  /* exchanges weighed by each thread; 0: no limit */
    /* Seconds are those that a thread really ran: for measuring beside other work. */
    bool cpu_seconds;
    plan_assign_method method;
    const atomic_bool *stop; /* set it from any thread to stop within 20 ms; or NULL */
    /* Called from the caller's own thread with each better arrangement, at most 20 times
     * a second; item and turn are by place and lent for the call. NULL: nobody is told.
     */
    void (*progress)(void *data, int64_t cost, const int32_t *item, const uint8_t *turn);
    void *data;
} plan_assign_search;

/** What an arrangement costs, reckoned anew. O(n^2). */
plan_assign_cost plan_assign_cost_of(const plan_assign_problem *problem,
                                     const int32_t *item, const uint8_t *turn);

/**
 * Searches for the arrangement that costs least.
 *
 * @item  by place, each item once. Holds the start, then the best found, which never
 *        costs more than the start
 * @turn  by place: 0 to 3; likewise. A place where that turn may not lie gets the first
 *        that may, before the search begins
 *
 * Threads run each on its own and share only the best. For equal seeds, numbers of
 * threads and moves the answer is equal, unless seconds or stop cut it short.
 *
 * Simulated annealing: S. Kirkpatrick, C. Gelatt, M. Vecchi, Science 220, 1983; exchanges
 * are weighed in O(n) along rows kept in the order of the places, in O(1) where items are
 * of few sorts, turns always in O(1). Robust tabu search: E. Taillard, "Robust taboo
 * search for the quadratic assignment problem", Parallel Computing 17, 1991, 443-455,
 * with its table of differences, O(1) for all exchanges but those of the places just
 * changed; then iterated, each time from the best one perturbed.
 *
 * Memory is 2 n^2 bytes and as much again for each thread (twice that where weights do
 * not fit 16 bits; 16 n^2 for tabu search). Returns false, with nothing changed, when
 * there is not enough.
 */
bool plan_assign_run(const plan_assign_problem *problem, const plan_assign_search *search,
                     int32_t *item, uint8_t *turn);
