/* qap: solves a quadratic assignment problem with the engine that arranges quilts, and
 * prints `best N` on its last line.
 *
 * usage: qap FILE --seconds S --seed N [--threads T] [--tabu | --anneal] [--plain]
 * [--cpu]
 *
 * FILE is QAPLIB's: n, then matrices A and B; the cost is the sum of A[i][j]
 * B[p[i]][p[j]].
 * --plain is the yardstick: robust tabu search as published, on one thread, nothing else.
 * --cpu counts the processor's seconds instead of the clock's. */
#include "plan/assign.h"

#include <glib.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

typedef struct instance {
    int n;
    int32_t *a, *b;
} instance;

static gboolean read_matrix(FILE *file, int n, int32_t *matrix)
{
    for (int i = 0; i < n * n; i++)
        if (fscanf(file, "%" SCNd32, &matrix[i]) != 1)
            return FALSE;
    return TRUE;
}

static gboolean read_instance(const char *path, instance *ret)
{
    FILE *file = fopen(path, "r");
    if (file == NULL)
        return FALSE;
    gboolean is_read = fscanf(file, "%d", &ret->n) == 1 && ret->n >= 2 && ret->n <= 2000;
    if (is_read) {
        ret->a = g_new0(int32_t, ret->n * ret->n);
        ret->b = g_new0(int32_t, ret->n * ret->n);
        is_read = read_matrix(file, ret->n, ret->a) && read_matrix(file, ret->n, ret->b);
    }
    fclose(file);
    return is_read;
}

static double cpu_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Robust tabu search after E. Taillard, Parallel Computing 17, 1991, 443-455, plainly: a
 * table of differences, tenures from 0.9 n to 1.1 n drawn anew each time, an exchange
 * that leads below the best or was not made for 5 n^2 iterations is made in any case. */
typedef struct plain {
    const instance *in;
    int *p; /* p[i]: the index in B of i */
    int64_t *delta, *tabu, cost, best;
} plain;

static int64_t plain_cost(const plain *run)
{
    const instance *in = run->in;
    int64_t cost = 0;
    for (int i = 0; i < in->n; i++)
        for (int j = 0; j < in->n; j++)
            cost += (int64_t)in->a[i * in->n + j] * in->b[run->p[i] * in->n + run->p[j]];
    return cost;
}

/* Equation 2: an exchange of i and j weighed in O(n). */
static int64_t plain_delta(const plain *run, int i, int j)
{
    int n = run->in->n;
    const int *p = run->p;
#define A(r, s) ((int64_t)run->in->a[(r)*n + (s)])
#define B(r, s) ((int64_t)run->in->b[p[r] * n + p[s]])
    int64_t d = (A(i, i) - A(j, j)) * (B(j, j) - B(i, i)) +
                (A(i, j) - A(j, i)) * (B(j, i) - B(i, j));
    for (int k = 0; k < n; k++)
        if (k != i && k != j)
            d += (A(k, i) - A(k, j)) * (B(k, j) - B(k, i)) +
                 (A(i, k) - A(j, k)) * (B(j, k) - B(i, k));
    return d;
}

/* Equation 4: the exchange of i and j, after r and s were exchanged, in O(1). */
static int64_t plain_update(const plain *run, int i, int j, int r, int s)
{
    int n = run->in->n;
    const int *p = run->p;
    return run->delta[i * n + j] +
           (A(r, i) - A(r, j) + A(s, j) - A(s, i)) *
               (B(s, i) - B(s, j) + B(r, j) - B(r, i)) +
           (A(i, r) - A(j, r) + A(j, s) - A(i, s)) *
               (B(i, s) - B(j, s) + B(j, r) - B(i, r));
#undef A
#undef B
}

static int64_t plain_tenure(GRand *rand, int n)
{
    return (int64_t)g_rand_double_range(rand, 0.9 * n, 1.1 * n + 1);
}

static gboolean plain_choose(const plain *run, int64_t iteration, int *ret_i, int *ret_j)
{
    int n = run->in->n;
    int64_t least = INT64_MAX, overdue = iteration - 5LL * n * n;
    gboolean aspired = FALSE, found = FALSE;
    for (int i = 0; i < n - 1; i++) {
        for (int j = i + 1; j < n; j++) {
            int64_t d = run->delta[i * n + j];
            int64_t bar_i = run->tabu[i * n + run->p[j]];
            int64_t bar_j = run->tabu[j * n + run->p[i]];
            gboolean allowed = bar_i < iteration || bar_j < iteration;
            gboolean aspires =
                (bar_i < overdue && bar_j < overdue) || run->cost + d < run->best;
            if ((aspires && !aspired) || (aspires && aspired && d < least) ||
                (!aspires && !aspired && d < least && allowed)) {
                aspired = aspires;
                least = d;
                *ret_i = i;
                *ret_j = j;
                found = TRUE;
            }
        }
    }
    return found;
}

static void plain_exchange(plain *run, int r, int s)
{
    int n = run->in->n;
    int held = run->p[r];
    run->p[r] = run->p[s];
    run->p[s] = held;
    run->cost += run->delta[r * n + s];
    run->best = MIN(run->best, run->cost);
    for (int i = 0; i < n - 1; i++)
        for (int j = i + 1; j < n; j++)
            run->delta[i * n + j] = i == r || i == s || j == r || j == s
                                        ? plain_delta(run, i, j)
                                        : plain_update(run, i, j, r, s);
}

static int64_t plain_search(const instance *in, double seconds, guint32 seed,
                            gboolean cpu)
{
    int n = in->n;
    g_autoptr(GTimer) timer = g_timer_new();
    double begun = cpu_now();
    GRand *rand = g_rand_new_with_seed(seed);
    plain run = { .in = in };
    run.p = g_new(int, n);
    run.delta = g_new0(int64_t, n * n);
    run.tabu = g_new(int64_t, n * n);
    for (int i = 0; i < n; i++) {
        int j = g_rand_int_range(rand, 0, i + 1);
        run.p[i] = run.p[j];
        run.p[j] = i;
    }
    for (int i = 0; i < n; i++)
        for (int k = 0; k < n; k++) {
            run.tabu[i * n + k] = -(n * i + k);
            run.delta[i * n + k] = i == k ? 0 : plain_delta(&run, i, k);
        }
    run.cost = run.best = plain_cost(&run);
    for (int64_t iteration = 1;; iteration++) {
        int r = 0, s = 0;
        if (plain_choose(&run, iteration, &r, &s)) {
            run.tabu[r * n + run.p[r]] = iteration + plain_tenure(rand, n);
            run.tabu[s * n + run.p[s]] = iteration + plain_tenure(rand, n);
            plain_exchange(&run, r, s);
        }
        if ((cpu ? cpu_now() - begun : g_timer_elapsed(timer, NULL)) >= seconds)
            break;
    }
    g_assert(run.cost == plain_cost(&run));
    g_free(run.p);
    g_free(run.delta);
    g_free(run.tabu);
    g_rand_free(rand);
    return run.best;
}

static void tell(void *data, int64_t cost, const int32_t *item, const uint8_t *turn)
{
    (void)item;
    (void)turn;
    GTimer *timer = data;
    fprintf(stderr, "%8.3f s  %" PRId64 "\n", g_timer_elapsed(timer, NULL), cost);
}

static int solve(const instance *in, plan_assign_search *search, gboolean is_told)
{
    g_autofree int32_t *item = g_new(int32_t, in->n);
    g_autofree uint8_t *turn = g_new0(uint8_t, in->n);
    g_autoptr(GTimer) timer = g_timer_new();
    for (int i = 0; i < in->n; i++)
        item[i] = i;
    /* Places are the rows of A, or of B where A is a pattern of few sorts of rows: the
     * cost is the same either way round, sum A[q[i]][q[j]] B[i][j] for q = p inverted. */
    plan_assign_problem problem = {
        .places = in->n, .between = in->b, .weight = in->a, .pair_factor = 1
    };
    if (is_told) {
        search->progress = tell;
        search->data = timer;
    }
    if (!plan_assign_run(&problem, search, item, turn)) {
        fprintf(stderr, "qap: out of memory\n");
        return 1;
    }
    printf("best %" PRId64 "\n", plan_assign_cost_of(&problem, item, turn).cost);
    return 0;
}

int main(int argc, char **argv)
{
    double seconds = 10;
    gint64 seed = 1, moves = 0;
    gint threads = 2;
    gboolean tabu = FALSE, anneal = FALSE, is_plain = FALSE, cpu = FALSE, is_told = FALSE;
    const GOptionEntry entries[] = {
        { "seconds", 0, 0, G_OPTION_ARG_DOUBLE, &seconds, "time limit", "S" },
        { "seed", 0, 0, G_OPTION_ARG_INT64, &seed, "seed of the search", "N" },
        { "moves", 0, 0, G_OPTION_ARG_INT64, &moves, "limit by moves instead", "N" },
        { "threads", 0, 0, G_OPTION_ARG_INT, &threads, "threads", "T" },
        { "tabu", 0, 0, G_OPTION_ARG_NONE, &tabu, "robust tabu search only", NULL },
        { "anneal", 0, 0, G_OPTION_ARG_NONE, &anneal, "annealing only", NULL },
        { "plain", 0, 0, G_OPTION_ARG_NONE, &is_plain, "plain robust tabu search", NULL },
        { "cpu", 0, 0, G_OPTION_ARG_NONE, &cpu, "count the processor's seconds", NULL },
        { "verbose", 0, 0, G_OPTION_ARG_NONE, &is_told, "tell of each better one", NULL },
        { 0 }
    };
    g_autoptr(GOptionContext) context = g_option_context_new("FILE");
    g_autoptr(GError) error = NULL;
    g_option_context_add_main_entries(context, entries, NULL);
    if (!g_option_context_parse(context, &argc, &argv, &error) || argc != 2) {
        fprintf(stderr, "qap: %s\n", error != NULL ? error->message : "give one file");
        return 2;
    }
    instance in = { 0 };
    int status = 1;
    if (!read_instance(argv[1], &in)) {
        fprintf(stderr, "qap: %s: not an instance in QAPLIB's format\n", argv[1]);
    } else if (is_plain) {
        printf("best %" PRId64 "\n", plain_search(&in, seconds, (guint32)seed, cpu));
        status = 0;
    } else {
        plan_assign_search search = {
            .seed = (uint64_t)seed,
            .threads = threads,
            .seconds = moves > 0 ? 0 : seconds,
            .moves = moves,
            .cpu_seconds = cpu,
            .method = tabu     ? PLAN_ASSIGN_TABU
                      : anneal ? PLAN_ASSIGN_ANNEAL
                               : PLAN_ASSIGN_BEST,
        };
        status = solve(&in, &search, is_told);
    }
    g_free(in.a);
    g_free(in.b);
    return status;
}
