#include "plan/assign-internal.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    CHANCES = 1024, /* entries of the table of chances */
    SAMPLES = 400,  /* exchanges that tell how much one changes */
    RETRIES = 6,    /* to find a place that holds another sort */
    TURN_SHARE = 4, /* one move in so many is a turn, where there are turns */
};

/* Rounds of annealing: the first is so short that a picture stands at once; each after it
 * is longer, and the last is what is left of the time. Chosen while bench/arrange and
 * bench/qap were watched, not by a sweep. */
#define FIRST_SECONDS 0.1
#define LONGER        2.5

#define FIRST_MOVES        200.0 /* of the first round, for each two places, at most */
#define FIRST_MOVE_SECONDS 25e-9 /* what a move is taken to cost before it is known */

/* Temperatures begin and end at these parts of the mean change of a random exchange; */
#define HOT  0.25
#define COLD 0.01
/* those of narrow rounds at these parts of where the best was found. */
#define ABOVE 3.0
#define BELOW 0.7

typedef struct annealing {
    assign_state *now;
    assign_watch *watch;
    motley_random *random;
    double temperature;
    float chance[CHANCES]; /* -log of a random number: how many temperatures it bears */
    int next;              /* of the movable or turnable places */
    int look_every;        /* moves between looks at the clock */
    int64_t best_cost;
    int32_t *best_item;
    uint8_t *best_turn;
} annealing;

static int pick(uint32_t bits, int count)
{
    return (int)(((uint64_t)bits * (uint64_t)count) >> 32);
}

static void keep_best(annealing *run)
{
    const assign_state *now = run->now;
    run->best_cost = now->cost;
    memcpy(run->best_item, now->item, (size_t)now->core->n * sizeof now->item[0]);
    memcpy(run->best_turn, now->turn, (size_t)now->core->n * sizeof now->turn[0]);
}

static bool is_borne(const annealing *run, int64_t delta, uint64_t bits)
{
    return delta <= 0 ||
           (double)delta < run->temperature * (double)run->chance[bits % CHANCES];
}

/* Another place of p's group; where items are of few sorts and nothing else counts, one
 * that holds another sort, unless luck is out: to exchange like with like is to wait. */
static int other_place(annealing *run, int p, uint64_t bits)
{
    const assign_state *now = run->now;
    const assign_core *core = now->core;
    const int32_t *group = core->movable + core->group_first[p];
    int q = group[pick((uint32_t)(bits >> 32), core->group_count[p])];
    if (now->sort == NULL || core->seams != NULL || core->problem->level != NULL)
        return q;
    for (int i = 0; i < RETRIES && now->sort[q] == now->sort[p]; i++) {
        bits *= 0xd1342543de82ef95u;
        q = group[pick((uint32_t)(bits >> 32), core->group_count[p])];
    }
    return now->sort[q] == now->sort[p] ? p : q;
}

static void try_swap(annealing *run)
{
    assign_state *now = run->now;
    const assign_core *core = now->core;
    uint64_t bits = motley_random_bits(run->random);
    run->next = run->next + 1 < core->movable_count ? run->next + 1 : 0;
    int p = core->movable[run->next], q = other_place(run, p, bits);
    if (p == q)
        return;
    int turn_p = now->turn[p], turn_q = now->turn[q];
    if (core->turnable_count > 0) {
        turn_p = core->turn_list[p][(bits >> 10 & 0xff) % core->turn_count[p]];
        turn_q = core->turn_list[q][(bits >> 18 & 0xff) % core->turn_count[q]];
    }
    int64_t delta = assign_swap_delta(now, p, q, turn_p, turn_q);
    if (is_borne(run, delta, bits))
        assign_swap(now, p, q, turn_p, turn_q, delta);
}

static void try_turn(annealing *run)
{
    assign_state *now = run->now;
    const assign_core *core = now->core;
    uint64_t bits = motley_random_bits(run->random);
    int p = core->turnable[pick((uint32_t)(bits >> 32), core->turnable_count)];
    int turn = core->turn_list[p][(bits >> 10 & 0xff) % core->turn_count[p]];
    if (turn == now->turn[p])
        return;
    int64_t delta = assign_turn_delta(now, p, turn);
    if (is_borne(run, delta, bits))
        assign_turn(now, p, turn, delta);
}

/* So many moves at one temperature. The best is copied when the cost has left a new
 * lowest point, not at each step down to it. */
static void move_on(annealing *run, int moves)
{
    const assign_core *core = run->now->core;
    for (int i = 0; i < moves; i++) {
        bool turns =
            core->turnable_count > 0 && (core->movable_count == 0 || i % TURN_SHARE == 0);
        if (turns)
            try_turn(run);
        else
            try_swap(run);
        if (run->now->cost < run->best_cost)
            keep_best(run);
    }
}

/* The mean change of an exchange or a turn of what lies at random, signs dropped. */
static double usual_change(annealing *run)
{
    assign_state *now = run->now;
    const assign_core *core = now->core;
    double sum = 0;
    int count = 0;
    for (int i = 0; i < SAMPLES; i++) {
        uint64_t bits = motley_random_bits(run->random);
        int64_t delta;
        bool turns = core->turnable_count > 0 && (core->movable_count == 0 || i % 2 == 0);
        if (!turns) {
            int p = core->movable[pick((uint32_t)bits, core->movable_count)];
            int q = core->movable[core->group_first[p] +
                                  pick((uint32_t)(bits >> 32), core->group_count[p])];
            delta = p == q ? 0 : assign_swap_delta(now, p, q, now->turn[p], now->turn[q]);
        } else {
            int p = core->turnable[pick((uint32_t)bits, core->turnable_count)];
            delta = assign_turn_delta(
                now, p, core->turn_list[p][(bits >> 32) % core->turn_count[p]]);
        }
        sum += fabs((double)delta);
        count += delta != 0;
    }
    return count > 0 ? sum / count : 0;
}

/* Exchanges until nothing is where it was. */
static void shuffle(annealing *run)
{
    assign_state *now = run->now;
    const assign_core *core = now->core;
    for (int i = 0; i < core->movable_count; i++) {
        int p = core->movable[i];
        int left = core->group_first[p] + core->group_count[p] - i;
        int q = core->movable[i + pick((uint32_t)(motley_random_bits(run->random) >> 32),
                                       left)];
        int32_t held = now->item[p];
        now->item[p] = now->item[q];
        now->item[q] = held;
    }
}

static bool lay(annealing *run, const int32_t *item, const uint8_t *turn)
{
    return assign_state_set(run->now, item, turn, run->watch->search->stop);
}

/* Cools from hot to cold while moves or seconds run from now on by length. Returns the
 * temperature at which the round's own best was found. */
static double anneal_once(annealing *run, double hot, double cold, double length)
{
    assign_watch *watch = run->watch;
    double begun = assign_watch_spent(watch), found_at = cold;
    int64_t told = run->best_cost, round_best = INT64_MAX;
    while (!watch->over) {
        double part = (assign_watch_spent(watch) - begun) / length;
        if (part >= 1)
            break;
        run->temperature = hot * pow(cold / hot, part);
        move_on(run, run->look_every);
        if (run->now->cost < round_best) {
            round_best = run->now->cost;
            found_at = run->temperature;
        }
        if (run->best_cost < told) {
            told = run->best_cost;
            assign_watch_tell(watch, told, run->best_item, run->best_turn);
        }
        assign_watch_look(watch, run->look_every);
    }
    return found_at;
}

/* The first round cools through the whole range. Those after it, but for every third,
 * stay where rounds have found their best: above it nothing holds together, below it all
 * is frozen. (D. Connolly, "An improved annealing scheme for the QAP", European Journal
 * of Operational Research 46, 1990, stays at that one temperature.) */
static void anneal_again_and_again(annealing *run)
{
    assign_watch *watch = run->watch;
    const assign_core *core = run->now->core;
    shuffle(run);
    if (!lay(run, run->now->item, run->now->turn))
        return;
    double change = usual_change(run);
    if (change == 0)
        return;
    double limit = assign_watch_limit(watch), size = (double)core->n * core->n;
    double length = watch->search->moves > 0
                        ? fmin((double)watch->search->moves / 20, FIRST_MOVES * size)
                        : fmin(FIRST_SECONDS, FIRST_MOVE_SECONDS * FIRST_MOVES * size);
    double found_at = 0; /* mean of their logarithms */
    for (int round = 0; !watch->over; round++, length *= LONGER) {
        double left = limit > 0 ? limit - assign_watch_spent(watch) : DBL_MAX;
        if (left <= length * LONGER)
            length = left;
        double hot = HOT * change, cold = COLD * change;
        if (round % 3 != 0) {
            hot = fmin(hot, ABOVE * exp(found_at));
            cold = fmax(cold, BELOW * exp(found_at));
        }
        double found = log(anneal_once(run, hot, cold, length));
        found_at = (found_at * round + found) / (round + 1);
        assign_watch_look(watch, 0);
    }
}

bool assign_anneal(assign_state *state, assign_watch *watch, motley_random *random)
{
    const assign_core *core = state->core;
    if (core->movable_count == 0 && core->turnable_count == 0)
        return true;
    annealing *run = calloc(1, sizeof *run);
    int32_t *item = calloc((size_t)core->n, sizeof item[0]);
    uint8_t *turn = calloc((size_t)core->n, sizeof turn[0]);
    bool made = run != NULL && item != NULL && turn != NULL;
    if (made) {
        *run = (annealing){ .now = state,
                            .watch = watch,
                            .random = random,
                            .best_item = item,
                            .best_turn = turn };
        for (int i = 0; i < CHANCES; i++)
            run->chance[i] = (float)-log((i + 0.5) / CHANCES);
        /* A move costs from 10 ns to some microseconds: a look each millisecond or so. */
        run->look_every = 40000 / (core->n + 40) + 20;
        keep_best(run);
        anneal_again_and_again(run);
        assign_watch_tell(watch, run->best_cost, item, turn);
    }
    free(run);
    free(item);
    free(turn);
    return made;
}
