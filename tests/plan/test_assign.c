/* The engine of assignments, on laws and on published instances.
 *
 * usage: test_plan_assign [SEEDS]    published optima are looked for from so many starts
 */
#include "test.h"

#include "base/random.h"
#include "plan/assign-internal.h"
#include "qaplib.h"

static uint64_t seeds = 1;

/* A random problem with every term; tables are symmetric where asked. */
enum { MOST = 36, SIDE = 6, ALONG = 3, COLOURS = 7 };

typedef struct problem_with_tables {
    plan_assign_problem problem;
    plan_assign_seams seams;
    int32_t between[MOST * MOST], weight[MOST * MOST], neighbour[MOST * 4];
    int16_t spot[MOST * 4 * ALONG];
    uint16_t alike[COLOURS * COLOURS];
    int32_t turning[4][4][4];
    bool turned[MOST], fixed[MOST];
    int32_t level[MOST], target[MOST];
    uint8_t group[MOST], turns[MOST];
} problem_with_tables;

typedef struct shape {
    const char *what;
    bool near_even, weight_even, is_large, sorts, pairs, seams;
} shape;

static int32_t below(motley_random *random, int limit)
{
    return (int32_t)motley_random_below(random, (uint32_t)limit);
}

static void fill_table(motley_random *random, int n, bool even, int most, int32_t *table)
{
    for (int i = 0; i < n; i++)
        for (int j = 0; j < n; j++)
            table[i * n + j] =
                even && j < i ? table[j * n + i] : below(random, most) - most / 3;
}

static void fill_seams(problem_with_tables *p, motley_random *random)
{
    for (int i = 0; i < MOST; i++) {
        int row = i / SIDE, col = i % SIDE;
        p->neighbour[i * 4 + 0] = row > 0 ? i - SIDE : -1;
        p->neighbour[i * 4 + 1] = col + 1 < SIDE ? i + 1 : -1;
        p->neighbour[i * 4 + 2] = row + 1 < SIDE ? i + SIDE : -1;
        p->neighbour[i * 4 + 3] = col > 0 ? i - 1 : -1;
        p->turned[i] = below(random, 4) > 0;
    }
    for (int i = 0; i < MOST * 4 * ALONG; i++)
        p->spot[i] = (int16_t)(below(random, COLOURS + 1) - 1);
    for (int a = 0; a < COLOURS; a++)
        for (int b = 0; b <= a; b++)
            p->alike[a * COLOURS + b] = p->alike[b * COLOURS + a] =
                (uint16_t)below(random, 100);
    for (int edge = 0; edge < 2; edge++) /* the same joint seen from both its sides */
        for (int a = 0; a < 4; a++)
            for (int b = 0; b < 4; b++)
                p->turning[edge][a][b] = p->turning[edge + 2][b][a] = below(random, 50);
    p->seams = (plan_assign_seams){
        .neighbour = p->neighbour,
        .along = ALONG,
        .spot = p->spot,
        .colours = COLOURS,
        .alike = p->alike,
        .straight = 4,
        .corner = 1,
        .turning = (const int32_t(*)[4][4])p->turning,
        .turned = p->turned,
    };
}

static void make_problem(problem_with_tables *p, shape of, uint64_t seed)
{
    motley_random random;
    motley_random_seed(&random, seed);
    int most = of.is_large ? 2000000 : 90;
    fill_table(&random, MOST, of.near_even, most, p->between);
    fill_table(&random, MOST, of.weight_even, most, p->weight);
    if (of.sorts) {
        int32_t weight[3][3] = { { 5, 0, 2 }, { 0, 7, 1 }, { 2, 1, 3 } };
        for (int i = 0; i < MOST; i++)
            for (int j = 0; j < MOST; j++)
                p->weight[i * MOST + j] =
                    weight[i % 3][j % 3] + (i == j ? 2 * (i % 3) : 0);
    }
    fill_seams(p, &random);
    for (int i = 0; i < MOST; i++) {
        p->level[i] = below(&random, 1000) - 100;
        p->target[i] = below(&random, 1000) - 100;
        p->group[i] = (uint8_t)(below(&random, 3));
        p->turns[i] = (uint8_t)(1 + below(&random, 15));
        p->fixed[i] = below(&random, 8) == 0;
    }
    p->problem = (plan_assign_problem){
        .places = MOST,
        .between = of.pairs ? p->between : NULL,
        .weight = of.pairs ? p->weight : NULL,
        .pair_factor = 3,
        .seams = of.seams ? &p->seams : NULL,
        .seam_factor = 5,
        .level = of.seams ? p->level : NULL,
        .target = of.seams ? p->target : NULL,
        .level_factor = 2,
        .group = of.seams ? p->group : NULL,
        .turns = of.seams ? p->turns : NULL,
        .fixed = of.seams ? p->fixed : NULL,
    };
}

static const shape shapes[] = {
    { "both symmetric", true, true, false, false, true, false },
    { "near symmetric", true, false, false, false, true, false },
    { "weight symmetric", false, true, false, false, true, false },
    { "neither symmetric", false, false, false, false, true, false },
    { "large, both symmetric", true, true, true, false, true, false },
    { "large, neither symmetric", false, false, true, false, true, false },
    { "few sorts", true, true, false, true, true, false },
    { "few sorts, near not symmetric", false, true, false, true, true, false },
    { "few sorts, large", true, true, true, true, true, false },
    { "seams only", true, true, false, false, false, true },
    { "every term", true, true, false, false, true, true },
    { "every term, neither symmetric", false, false, false, false, true, true },
    { "every term, few sorts", true, true, false, true, true, true },
};

static int64_t recount(const assign_state *state)
{
    return plan_assign_cost_of(state->core->problem, state->item, state->turn).cost;
}

/* 10,000 random exchanges and turns, each accepted: the cost kept by differences is the
 * cost reckoned anew by the plain sums of plan_assign_cost_of(). */
static void cost_by_differences_is_the_cost_reckoned_anew(void **state)
{
    (void)state;
    for (size_t s = 0; s < G_N_ELEMENTS(shapes); s++) {
        g_autofree problem_with_tables *p = g_new0(problem_with_tables, 1);
        make_problem(p, shapes[s], 100 + s);
        assign_core core;
        assign_state kept;
        assert_int_equal(assign_core_make(&core, &p->problem, false, NULL), ASSIGN_READY);
        assert_true(assign_state_make(&kept, &core));
        int32_t item[MOST];
        uint8_t turn[MOST] = { 0 };
        for (int i = 0; i < MOST; i++)
            item[i] = i;
        assert_true(assign_state_set(&kept, item, turn, NULL));
        motley_random random;
        motley_random_seed(&random, s);
        for (int move = 0; move < 10000; move++) {
            int a = below(&random, MOST), b = below(&random, MOST);
            int turn_a = shapes[s].seams ? below(&random, 4) : 0;
            int turn_b = shapes[s].seams ? below(&random, 4) : 0;
            if (a == b)
                assign_turn(&kept, a, turn_a, assign_turn_delta(&kept, a, turn_a));
            else
                assign_swap(&kept, a, b, turn_a, turn_b,
                            assign_swap_delta(&kept, a, b, turn_a, turn_b));
            if (move % 500 == 499 && kept.cost != core.factor * recount(&kept))
                fail_msg("%s: after %d moves the cost has drifted", shapes[s].what, move);
        }
        assign_state_clear(&kept);
        assign_core_clear(&core);
    }
}

/* What the engine finds for a plain quadratic assignment problem. */
static int64_t solved(int n, const int32_t *between, const int32_t *weight,
                      plan_assign_search search)
{
    plan_assign_problem problem = {
        .places = n, .between = between, .weight = weight, .pair_factor = 1
    };
    g_autofree int32_t *item = g_new(int32_t, n);
    g_autofree uint8_t *turn = g_new0(uint8_t, n);
    g_autofree bool *is_seen = g_new0(bool, n);
    for (int i = 0; i < n; i++)
        item[i] = i;
    assert_true(plan_assign_run(&problem, &search, item, turn));
    for (int i = 0; i < n; i++) {
        assert_false(is_seen[item[i]]);
        is_seen[item[i]] = true;
    }
    return plan_assign_cost_of(&problem, item, turn).cost;
}

static void nugents_twelve_are_laid_at_578(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 10; seed++) {
        plan_assign_search search = { .seed = seed, .moves = 400000 };
        assert_int_equal(solved(12, nug12_a, nug12_b, search), 578);
        search.method = PLAN_ASSIGN_TABU;
        assert_int_equal(solved(12, nug12_b, nug12_a, search), 578);
    }
}

static void nugents_thirty_are_laid_at_6124(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= seeds; seed++) {
        plan_assign_search search = { .seed = seed, .threads = 2, .moves = 10000000 };
        assert_int_equal(solved(30, nug30_a, nug30_b, search), 6124);
        search.method = PLAN_ASSIGN_TABU;
        assert_int_equal(solved(30, nug30_b, nug30_a, search), 6124);
    }
}

/* E. D. Taillard, "Comparison of iterative searches for the quadratic assignment
 * problem", Location Science 3, 1995, 87-105: 13 black cells of 64 spread over a torus.
 * The optimum was proved by M. Fischetti, M. Monaci, D. Salvagnin, "Three ideas for the
 * quadratic assignment problem", Operations Research 60, 2012. */
static void a_grey_pattern_is_spread_at_1855928(void **state)
{
    (void)state;
    enum { CELLS = 64, ROUND = 8, BLACK = 13 };
    int32_t black[CELLS * CELLS], force[CELLS * CELLS];
    for (int i = 0; i < CELLS; i++) {
        for (int j = 0; j < CELLS; j++) {
            int down = abs(i / ROUND - j / ROUND), across = abs(i % ROUND - j % ROUND);
            down = MIN(down, ROUND - down);
            across = MIN(across, ROUND - across);
            int square = down * down + across * across;
            black[i * CELLS + j] = i < BLACK && j < BLACK;
            /* To the nearest, halves to even. */
            force[i * CELLS + j] = i == j ? 0 : (int32_t)rint(100000.0 / square);
        }
    }
    for (uint64_t seed = 1; seed <= 2 * seeds; seed++) {
        plan_assign_search search = { .seed = seed, .moves = 4000000 };
        assert_int_equal(solved(CELLS, force, black, search), 1855928);
    }
    plan_assign_search search = { .seed = 1,
                                  .moves = 40000000,
                                  .method = PLAN_ASSIGN_TABU };
    assert_int_equal(solved(CELLS, force, black, search), 1855928);
}

/* Every exchange and turn, over and over: the least cost of all arrangements. */
static int64_t least_of_all(const plan_assign_problem *problem, int32_t *item,
                            uint8_t *turn, int from)
{
    int n = problem->places;
    if (from == n)
        return plan_assign_cost_of(problem, item, turn).cost;
    int64_t least = INT64_MAX;
    for (int other = from; other < n; other++) {
        int32_t held = item[from];
        item[from] = item[other];
        item[other] = held;
        for (uint8_t t = 0; t < 4; t++) {
            turn[from] = t;
            if (problem->turns[from] >> t & 1)
                least = MIN(least, least_of_all(problem, item, turn, from + 1));
        }
        item[other] = item[from];
        item[from] = held;
    }
    return least;
}

static void few_places_are_laid_as_well_as_by_trying_all(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < 20; seed++) {
        g_autofree problem_with_tables *p = g_new0(problem_with_tables, 1);
        make_problem(p, shapes[10 + seed % 3], seed);
        /* Two rows of three out of the larger tables, anything anywhere. */
        enum { FEW = 6 };
        p->problem.places = FEW;
        p->problem.group = NULL;
        p->problem.fixed = NULL;
        for (int i = 0; i < FEW; i++) {
            int row = i / 3, col = i % 3;
            p->neighbour[i * 4 + 0] = row > 0 ? i - 3 : -1;
            p->neighbour[i * 4 + 1] = col < 2 ? i + 1 : -1;
            p->neighbour[i * 4 + 2] = row < 1 ? i + 3 : -1;
            p->neighbour[i * 4 + 3] = col > 0 ? i - 1 : -1;
            p->turns[i] = (uint8_t)(i % 2 == 0 ? 5 : 1 << seed % 4);
        }
        int32_t item[FEW] = { 0, 1, 2, 3, 4, 5 };
        uint8_t turn[FEW] = { 0 };
        plan_assign_search search = { .seed = seed, .moves = 200000 };
        assert_true(plan_assign_run(&p->problem, &search, item, turn));
        int64_t got = plan_assign_cost_of(&p->problem, item, turn).cost;
        int64_t want = least_of_all(&p->problem, item, turn, 0);
        if (got != want)
            fail_msg("seed %d: %d, the least is %d", (int)seed, (int)got, (int)want);
    }
}

static void equal_seeds_threads_and_moves_give_equal_answers(void **state)
{
    (void)state;
    g_autofree problem_with_tables *p = g_new0(problem_with_tables, 1);
    make_problem(p, shapes[10], 5);
    for (int threads = 1; threads <= 3; threads++) {
        int32_t item[2][MOST];
        uint8_t turn[2][MOST] = { { 0 } };
        for (int run = 0; run < 2; run++) {
            for (int i = 0; i < MOST; i++)
                item[run][i] = i;
            plan_assign_search search = { .seed = 8,
                                          .threads = threads,
                                          .moves = 100000 };
            assert_true(plan_assign_run(&p->problem, &search, item[run], turn[run]));
        }
        assert_memory_equal(item[0], item[1], sizeof item[0]);
        assert_memory_equal(turn[0], turn[1], sizeof turn[0]);
    }
}

static void what_is_fixed_stays_and_groups_keep_apart(void **state)
{
    (void)state;
    g_autofree problem_with_tables *p = g_new0(problem_with_tables, 1);
    make_problem(p, shapes[10], 6);
    int32_t item[MOST];
    uint8_t turn[MOST] = { 0 };
    for (int i = 0; i < MOST; i++)
        item[i] = i;
    plan_assign_search search = { .seed = 2, .moves = 100000 };
    assert_true(plan_assign_run(&p->problem, &search, item, turn));
    for (int i = 0; i < MOST; i++) {
        if (p->fixed[i])
            assert_int_equal(item[i], i);
        assert_int_equal(p->group[item[i]], p->group[i]);
        assert_true(p->turns[i] >> turn[i] & 1);
    }
}

typedef struct stopper {
    atomic_bool stop;
    int told;
    int64_t last;
    bool is_falling;
} stopper;

static void stop_when_told(void *data, int64_t cost, const int32_t *item,
                           const uint8_t *turn)
{
    stopper *stop = data;
    (void)item;
    (void)turn;
    stop->is_falling = stop->is_falling && cost < stop->last;
    stop->last = cost;
    if (++stop->told == 2)
        atomic_store(&stop->stop, true);
}

static void a_search_is_stopped_from_its_progress_and_keeps_the_best(void **state)
{
    (void)state;
    stopper stop = { .last = INT64_MAX, .is_falling = true };
    atomic_init(&stop.stop, false);
    enum { MANY = 300 };
    g_autofree int32_t *between = g_new(int32_t, MANY * MANY);
    g_autofree int32_t *weight = g_new(int32_t, MANY * MANY);
    motley_random random;
    motley_random_seed(&random, 1);
    fill_table(&random, MANY, true, 1000, between);
    fill_table(&random, MANY, true, 1000, weight);
    plan_assign_search search = { .seed = 1,
                                  .threads = 2,
                                  .stop = &stop.stop,
                                  .progress = stop_when_told,
                                  .data = &stop };
    int64_t got = solved(MANY, between, weight, search); /* it has no other limit */
    assert_true(stop.told >= 2);
    assert_true(stop.is_falling);
    assert_true(got <= stop.last);
}

int main(int argc, char **argv)
{
    if (argc > 1)
        seeds = g_ascii_strtoull(argv[1], NULL, 10);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cost_by_differences_is_the_cost_reckoned_anew),
        cmocka_unit_test(nugents_twelve_are_laid_at_578),
        cmocka_unit_test(nugents_thirty_are_laid_at_6124),
        cmocka_unit_test(a_grey_pattern_is_spread_at_1855928),
        cmocka_unit_test(few_places_are_laid_as_well_as_by_trying_all),
        cmocka_unit_test(equal_seeds_threads_and_moves_give_equal_answers),
        cmocka_unit_test(what_is_fixed_stays_and_groups_keep_apart),
        cmocka_unit_test(a_search_is_stopped_from_its_progress_and_keeps_the_best),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
