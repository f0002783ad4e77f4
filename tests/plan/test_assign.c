#include "test.h"

#include "base/random.h"
#include "plan/assign-internal.h"

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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cost_by_differences_is_the_cost_reckoned_anew),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
