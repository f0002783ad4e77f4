#include "plan/assign-internal.h"

#include <stdlib.h>
#include <string.h>

/* Taillard's section 4: tenures are drawn anew from 0.9 n to 1.1 n, and an exchange that
 * has not been made for so long is made whatever it costs. */
#define TENURE_LEAST 0.9
#define TENURE_MOST  1.1
#define OVERDUE      5 /* times the number of exchanges */

enum {
    TIRED = 8, /* iterations without a better one, times n, before it is perturbed */
    SHAKE = 3, /* the least part of the places that is shuffled: n / SHAKE / 4 */
};

typedef struct tabu {
    assign_state *now;
    assign_watch *watch;
    motley_random *random;
    int64_t *delta;  /* places x places, p < q: what an exchange costs */
    int64_t *barred; /* places x items: till which iteration an item may not return */
    int64_t iteration;
    int64_t best_cost;
    int32_t *best_item;
} tabu;

static int64_t *delta_at(const tabu *run, int p, int q)
{
    return &run->delta[(size_t)p * (size_t)run->now->core->n + (size_t)q];
}

/* A sort is barred as one: otherwise another of its items would come back instead. */
static int64_t *barred_at(const tabu *run, int place, int item)
{
    const assign_core *core = run->now->core;
    int what = core->sorts > 0 ? core->sort_of[item] : item;
    return &run->barred[(size_t)place * (size_t)core->n + (size_t)what];
}

static bool is_alike(const assign_core *core, int item, int other)
{
    return core->sorts > 0 && core->problem->level == NULL &&
           core->sort_of[item] == core->sort_of[other];
}

/* After p and q were exchanged, the exchange of r and s, all four distinct, changes by a
 * difference of four against four (Taillard 1991, equation 4). State's rows are as they
 * are after the exchange of p and q. */
static int64_t update(const assign_state *now, int p, int q, int r, int s)
{
    const assign_core *core = now->core;
    size_t stride = core->stride;
    int64_t sum = 0;
    for (int half = 0; half < core->halves; half++) {
        size_t off = (size_t)(half * core->half);
        const int32_t *near_r = core->near32 + (size_t)r * stride + off;
        const int32_t *near_s = core->near32 + (size_t)s * stride + off;
        const int32_t *weight_r = now->weight32 + (size_t)r * stride + off;
        const int32_t *weight_s = now->weight32 + (size_t)s * stride + off;
        int64_t near =
            ((int64_t)near_r[p] - near_s[p]) - ((int64_t)near_r[q] - near_s[q]);
        int64_t weight =
            ((int64_t)weight_s[p] - weight_r[p]) - ((int64_t)weight_s[q] - weight_r[q]);
        sum += near * weight;
    }
    return 2 * sum;
}

static bool fill(tabu *run)
{
    const assign_core *core = run->now->core;
    for (int i = 0; i < core->movable_count; i++) {
        int p = core->movable[i];
        int last = core->group_first[p] + core->group_count[p];
        for (int j = i + 1; j < last; j++) {
            int q = core->movable[j];
            *delta_at(run, p, q) = assign_swap_delta(run->now, p, q, 0, 0);
        }
        if (assign_is_stopped(run->watch->search->stop))
            return false;
    }
    return true;
}

static void keep_best(tabu *run)
{
    run->best_cost = run->now->cost;
    memcpy(run->best_item, run->now->item,
           (size_t)run->now->core->n * sizeof run->best_item[0]);
    assign_watch_tell(run->watch, run->best_cost, run->best_item, run->now->turn);
}

/* Makes the exchange and brings the table of differences up to date. */
static void exchange(tabu *run, int p, int q)
{
    assign_state *now = run->now;
    const assign_core *core = now->core;
    assign_swap(now, p, q, now->turn[p], now->turn[q], *delta_at(run, p, q));
    int64_t factor = core->problem->pair_factor;
    for (int i = 0; i < core->movable_count; i++) {
        int r = core->movable[i];
        int last = core->group_first[r] + core->group_count[r];
        for (int j = i + 1; j < last; j++) {
            int s = core->movable[j];
            if (r == p || r == q || s == p || s == q)
                *delta_at(run, r, s) = assign_swap_delta(now, r, s, 0, 0);
            else
                *delta_at(run, r, s) += factor * update(now, p, q, r, s);
        }
    }
}

/* The best exchange that is allowed, or that leads lower than ever, or is overdue. */
static bool choose(tabu *run, int *ret_p, int *ret_q)
{
    assign_state *now = run->now;
    const assign_core *core = now->core;
    int64_t least = INT64_MAX;
    int64_t overdue = run->iteration - OVERDUE * (int64_t)core->n * core->n;
    bool forced = false, found = false;
    for (int i = 0; i < core->movable_count; i++) {
        int p = core->movable[i];
        int last = core->group_first[p] + core->group_count[p];
        for (int j = i + 1; j < last; j++) {
            int q = core->movable[j];
            int64_t delta = *delta_at(run, p, q);
            if (is_alike(core, now->item[p], now->item[q]))
                continue;
            if (delta >= least && !(overdue > 0 && !forced))
                continue;
            int64_t bar_p = *barred_at(run, p, now->item[q]);
            int64_t bar_q = *barred_at(run, q, now->item[p]);
            bool is_allowed = bar_p < run->iteration || bar_q < run->iteration;
            bool is_due = (bar_p < overdue && bar_q < overdue) ||
                          now->cost + delta < run->best_cost;
            if ((is_due && !forced) ||
                (delta < least && (is_due == forced) && (is_due || is_allowed))) {
                forced = is_due;
                least = delta;
                *ret_p = p;
                *ret_q = q;
                found = true;
            }
        }
    }
    return found;
}

static int64_t tenure(tabu *run)
{
    int n = run->now->core->n;
    int least = (int)(TENURE_LEAST * n), most = (int)(TENURE_MOST * n);
    return least + motley_random_below(run->random, (uint32_t)(most - least + 1));
}

static bool set_out_from(tabu *run, int shaken)
{
    assign_state *now = run->now;
    const assign_core *core = now->core;
    for (int i = 0; i < shaken; i++) {
        int p = core->movable[motley_random_below(run->random,
                                                  (uint32_t)core->movable_count)];
        int q = core->movable[core->group_first[p] +
                              (int)motley_random_below(run->random,
                                                       (uint32_t)core->group_count[p])];
        int32_t held = now->item[p];
        now->item[p] = now->item[q];
        now->item[q] = held;
    }
    memset(run->barred, 0, (size_t)core->n * (size_t)core->n * sizeof run->barred[0]);
    run->iteration = 1;
    return assign_state_set(now, now->item, now->turn, run->watch->search->stop) &&
           fill(run);
}

static void search_tabu(tabu *run)
{
    assign_state *now = run->now;
    assign_watch *watch = run->watch;
    const assign_core *core = now->core;
    int64_t pairs = (int64_t)core->movable_count * (core->movable_count - 1) / 2;
    int64_t round_best = INT64_MAX, idle = 0, unlooked = 0;
    int shaken = core->n;
    if (!set_out_from(run, shaken))
        return;
    while (!watch->over) {
        if (now->cost < run->best_cost)
            keep_best(run);
        if (now->cost < round_best) {
            round_best = now->cost;
            idle = 0;
        } else if (++idle > (int64_t)TIRED * core->n * core->n) {
            memcpy(now->item, run->best_item, (size_t)core->n * sizeof now->item[0]);
            shaken =
                core->n / SHAKE / 4 +
                (int)motley_random_below(run->random, (uint32_t)(core->n / SHAKE + 2));
            if (!set_out_from(run, shaken))
                return;
            round_best = INT64_MAX;
            idle = 0;
        }
        int p, q;
        if (choose(run, &p, &q)) {
            *barred_at(run, p, now->item[p]) = run->iteration + tenure(run);
            *barred_at(run, q, now->item[q]) = run->iteration + tenure(run);
            exchange(run, p, q);
        }
        run->iteration++;
        unlooked += pairs;
        if (unlooked > 20000) {
            assign_watch_look(watch, unlooked);
            unlooked = 0;
        }
    }
    if (now->cost < run->best_cost)
        keep_best(run);
}

bool assign_tabu(assign_state *state, assign_watch *watch, motley_random *random)
{
    size_t n = (size_t)state->core->n;
    if (state->core->movable_count == 0)
        return true;
    tabu run = {
        .now = state, .watch = watch, .random = random, .best_cost = state->cost
    };
    run.delta = calloc(n * n, sizeof run.delta[0]);
    run.barred = calloc(n * n, sizeof run.barred[0]);
    run.best_item = calloc(n, sizeof run.best_item[0]);
    bool made = run.delta != NULL && run.barred != NULL && run.best_item != NULL;
    if (made) {
        memcpy(run.best_item, state->item, n * sizeof run.best_item[0]);
        search_tabu(&run);
    }
    free(run.delta);
    free(run.barred);
    free(run.best_item);
    return made;
}
