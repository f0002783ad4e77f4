#include "plan/assign-internal.h"

#include <errno.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* The only file of the room that knows of threads. */

enum { TELL_MS = 50 }; /* between two calls of progress */

/* What the threads share: the best, and how many still run. */
typedef struct assign_shared {
    pthread_mutex_t lock;
    pthread_cond_t changed;
    int n;
    int64_t cost;
    int thread; /* whose best it is: of equal ones the first thread's, whoever was faster
                 */
    int32_t *item;
    uint8_t *turn;
    unsigned version;
    int running;
    bool no_memory;
} assign_shared;

typedef struct assign_worker {
    pthread_t id;
    const assign_core *core;
    const int32_t *item;
    const uint8_t *turn;
    assign_watch watch;
    bool tabu;
} assign_worker;

static double seconds_of(clockid_t clock)
{
    struct timespec now;
    clock_gettime(clock, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static double clock_of(const plan_assign_search *search)
{
    return seconds_of(search->cpu_seconds ? CLOCK_THREAD_CPUTIME_ID : CLOCK_MONOTONIC);
}

bool assign_watch_look(assign_watch *watch, int64_t moves)
{
    const plan_assign_search *search = watch->search;
    watch->moves += moves;
    watch->now = clock_of(search) - watch->begun;
    watch->over = (search->seconds > 0 && watch->now >= search->seconds) ||
                  (search->moves > 0 && watch->moves >= search->moves) ||
                  assign_is_stopped(search->stop);
    return watch->over;
}

double assign_watch_spent(const assign_watch *watch)
{
    return watch->search->moves > 0 ? (double)watch->moves : watch->now;
}

double assign_watch_limit(const assign_watch *watch)
{
    return watch->search->moves > 0 ? (double)watch->search->moves
                                    : watch->search->seconds;
}

void assign_watch_tell(assign_watch *watch, int64_t cost, const int32_t *item,
                       const uint8_t *turn)
{
    assign_shared *shared = watch->shared;
    if (cost >= watch->told)
        return;
    watch->told = cost;
    pthread_mutex_lock(&shared->lock);
    if (cost < shared->cost || (cost == shared->cost && watch->thread < shared->thread)) {
        if (cost < shared->cost)
            shared->version++;
        shared->cost = cost;
        shared->thread = watch->thread;
        memcpy(shared->item, item, (size_t)shared->n * sizeof item[0]);
        memcpy(shared->turn, turn, (size_t)shared->n * sizeof turn[0]);
        pthread_cond_signal(&shared->changed);
    }
    pthread_mutex_unlock(&shared->lock);
}

static void *work(void *data)
{
    assign_worker *worker = data;
    assign_watch *watch = &worker->watch;
    assign_shared *shared = watch->shared;
    motley_random random;
    motley_random_seed(&random, watch->search->seed +
                                    0x632be59bd9b4e019u * (uint64_t)watch->thread);
    assign_state state;
    bool made = assign_state_make(&state, worker->core);
    if (watch->search->cpu_seconds) /* each thread's clock begins with it */
        watch->begun = clock_of(watch->search);
    if (made &&
        assign_state_set(&state, worker->item, worker->turn, watch->search->stop)) {
        watch->told = state.cost;
        made = worker->tabu ? assign_tabu(&state, watch, &random)
                            : assign_anneal(&state, watch, &random);
    }
    assign_state_clear(&state);
    pthread_mutex_lock(&shared->lock);
    shared->running--;
    shared->no_memory = shared->no_memory || !made;
    pthread_cond_signal(&shared->changed);
    pthread_mutex_unlock(&shared->lock);
    return NULL;
}

static struct timespec later(int ms)
{
    struct timespec until;
    clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_nsec += ms * 1000000L;
    until.tv_sec += until.tv_nsec / 1000000000L;
    until.tv_nsec %= 1000000000L;
    return until;
}

/* Waits for the threads, and tells the caller of each better arrangement. */
static void wait_and_tell(assign_shared *shared, const plan_assign_search *search,
                          int factor, int32_t *item, uint8_t *turn)
{
    unsigned told = 0;
    pthread_mutex_lock(&shared->lock);
    while (shared->running > 0) {
        struct timespec until = later(TELL_MS);
        while (shared->running > 0 &&
               pthread_cond_timedwait(&shared->changed, &shared->lock, &until) !=
                   ETIMEDOUT)
            continue;
        if (search->progress == NULL || told == shared->version)
            continue;
        told = shared->version;
        int64_t cost = shared->cost / factor;
        memcpy(item, shared->item, (size_t)shared->n * sizeof item[0]);
        memcpy(turn, shared->turn, (size_t)shared->n * sizeof turn[0]);
        pthread_mutex_unlock(&shared->lock);
        search->progress(search->data, cost, item, turn);
        pthread_mutex_lock(&shared->lock);
    }
    pthread_mutex_unlock(&shared->lock);
}

static void init_shared(assign_shared *shared, int n)
{
    *shared = (assign_shared){ .n = n };
    pthread_mutex_init(&shared->lock, NULL);
    pthread_condattr_t monotonic;
    pthread_condattr_init(&monotonic);
    pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
    pthread_cond_init(&shared->changed, &monotonic);
    pthread_condattr_destroy(&monotonic);
    shared->item = malloc((size_t)n * sizeof shared->item[0]);
    shared->turn = malloc((size_t)n * sizeof shared->turn[0]);
}

static void clear_shared(assign_shared *shared)
{
    pthread_cond_destroy(&shared->changed);
    pthread_mutex_destroy(&shared->lock);
    free(shared->item);
    free(shared->turn);
}

/* Runs the threads; the best is then in `shared`. False when not one could work. */
static bool run_threads(const assign_core *core, const plan_assign_search *search,
                        double begun, bool tabu, assign_shared *shared, int32_t *item,
                        uint8_t *turn)
{
    int threads = search->threads < 1                         ? 1
                  : search->threads > PLAN_ASSIGN_THREADS_MAX ? PLAN_ASSIGN_THREADS_MAX
                                                              : search->threads;
    assign_worker *workers = calloc((size_t)threads, sizeof workers[0]);
    size_t n = (size_t)core->n;
    int32_t *shown_item = malloc(n * sizeof item[0]);
    uint8_t *shown_turn = malloc(n);
    bool made = workers != NULL && shown_item != NULL && shown_turn != NULL;
    int started = 0;
    shared->running = made ? threads : 0;
    for (; made && started < threads; started++) {
        workers[started] = (assign_worker){
            .core = core,
            .item = item,
            .turn = turn,
            .tabu = tabu,
            .watch = { .search = search,
                       .begun = begun,
                       .shared = shared,
                       .thread = started },
        };
        if (pthread_create(&workers[started].id, NULL, work, &workers[started]) != 0)
            break;
    }
    pthread_mutex_lock(&shared->lock);
    shared->running -= made ? threads - started : 0;
    pthread_mutex_unlock(&shared->lock);
    if (started > 0)
        wait_and_tell(shared, search, core->factor, shown_item, shown_turn);
    for (int i = 0; i < started; i++)
        pthread_join(workers[i].id, NULL);
    free(workers);
    free(shown_item);
    free(shown_turn);
    return started == threads && !shared->no_memory;
}

/* Brings each turn among those that the place allows. */
static void right_turns(const plan_assign_problem *problem, uint8_t *turn)
{
    for (int p = 0; p < problem->places; p++) {
        uint8_t allowed = problem->turns != NULL ? problem->turns[p] : 1;
        for (uint8_t t = 0; !(allowed >> turn[p] & 1) && t < PLAN_TURNS; t++)
            if (allowed >> t & 1)
                turn[p] = t;
    }
}

static bool suits_tabu(const plan_assign_problem *problem)
{
    return problem->seams == NULL && problem->turns == NULL && problem->between != NULL;
}

plan_assign_cost plan_assign_cost_of(const plan_assign_problem *problem,
                                     const int32_t *item, const uint8_t *turn)
{
    plan_assign_cost cost = { 0 };
    size_t n = (size_t)problem->places;
    for (size_t p = 0; problem->between != NULL && p < n; p++)
        for (size_t q = 0; q < n; q++)
            cost.pairs += (int64_t)problem->between[p * n + q] *
                          problem->weight[(size_t)item[p] * n + (size_t)item[q]];
    cost.pairs *= problem->pair_factor;
    for (int p = 0; problem->level != NULL && p < problem->places; p++) {
        int64_t off = problem->level[item[p]] - problem->target[p];
        if (problem->level[item[p]] >= 0 && problem->target[p] >= 0)
            cost.level += problem->level_factor * off * off;
    }
    const plan_assign_seams *seams = problem->seams;
    for (int p = 0; seams != NULL && p < problem->places; p++) {
        for (int edge = 0; edge < PLAN_EDGES; edge++) {
            int q = seams->neighbour[p * PLAN_EDGES + edge];
            if (q < p)
                continue; /* none, or counted from there */
            int side = item[p] * PLAN_EDGES + ((edge - turn[p]) & 3);
            int across = item[q] * PLAN_EDGES + ((edge + 2 - turn[q]) & 3);
            cost.seams += assign_sides_meet(seams, side, across);
            if (seams->turning != NULL && seams->turned[item[p]] &&
                seams->turned[item[q]])
                cost.turning += seams->turning[edge][turn[p]][turn[q]];
        }
    }
    cost.seams *= problem->seam_factor;
    cost.turning *= problem->seam_factor;
    cost.cost = cost.pairs + cost.seams + cost.turning + cost.level;
    return cost;
}

bool plan_assign_run(const plan_assign_problem *problem, const plan_assign_search *search,
                     int32_t *item, uint8_t *turn)
{
    double begun = clock_of(search);
    bool tabu = search->method == PLAN_ASSIGN_TABU && suits_tabu(problem);
    assign_core core;
    assign_ready ready = assign_core_make(&core, problem, tabu, search->stop);
    bool done = ready == ASSIGN_STOPPED;
    if (ready == ASSIGN_READY) {
        assign_shared shared;
        init_shared(&shared, core.n);
        if (shared.item != NULL && shared.turn != NULL) {
            memcpy(shared.item, item, (size_t)core.n * sizeof item[0]);
            memcpy(shared.turn, turn, (size_t)core.n);
            right_turns(problem, shared.turn);
            shared.cost =
                core.factor * plan_assign_cost_of(problem, item, shared.turn).cost;
            shared.thread = PLAN_ASSIGN_THREADS_MAX;
            uint8_t *started = malloc((size_t)core.n);
            if (started != NULL) {
                memcpy(started, shared.turn, (size_t)core.n);
                done = run_threads(&core, search, begun, tabu, &shared, item, started);
            }
            free(started);
        }
        if (done) {
            memcpy(item, shared.item, (size_t)core.n * sizeof item[0]);
            memcpy(turn, shared.turn, (size_t)core.n);
        }
        clear_shared(&shared);
    }
    assign_core_clear(&core);
    return done;
}
