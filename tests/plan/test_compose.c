#include "test.h"

#include "base/random.h"
#include "plan/compose.h"

static quilt_block block_of(int side, const char *roles)
{
    quilt_block block = { .side = side };
    for (int p = 0; p < side * side; p++) {
        uint8_t role = roles[p] == 'B' ? QUILT_BACKGROUND : QUILT_SCRAP;
        block.patches[p] = (quilt_patch){ QUILT_WHOLE, { role, role } };
    }
    return block;
}

/* A reach of fabrics that are alike only to themselves and fit every role. */
static plan_reach plain_reach(int fabrics, const int *count, double *alike, double *fits)
{
    for (int a = 0; a < fabrics; a++) {
        for (int b = 0; b < fabrics; b++)
            alike[a * fabrics + b] = a == b;
        for (int role = 0; role < QUILT_ROLES; role++)
            fits[a * QUILT_ROLES + role] = 1;
    }
    return (
        plan_reach){ .fabrics = fabrics, .count = count, .alike = alike, .fits = fits };
}

/* A grid graph of 3 x 3 has 12 edges; each of the 4 inner corners joins two pairs. */
static void a_nine_patch_has_twelve_seams(void **state)
{
    (void)state;
    quilt_block nine = block_of(3, "SSSSSSSSS");
    plan_block block;
    plan_block_make(&nine, 0, &block);
    assert_int_equal(block.sites, 9);
    assert_int_equal(block.seams, 12);
    plan_block_make(&nine, 0.3, &block);
    assert_int_equal(block.seams, 12 + 8);
}

static void triangles_meet_the_half_that_touches(void **state)
{
    (void)state;
    quilt_block block = block_of(2, "SSSS");
    block.patches[0] = (quilt_patch){ QUILT_RISING, { QUILT_SCRAP, QUILT_BACKGROUND } };
    plan_block parts;
    plan_block_make(&block, 0, &parts);
    assert_int_equal(parts.sites, 5);
    /* The lower right half of patch 0 meets its right and lower neighbours. */
    int met = 0;
    for (int i = 0; i < parts.seams; i++) {
        const plan_seam *seam = &parts.seam[i];
        if (parts.site[seam->a].patch == 0 && parts.site[seam->b].patch != 0) {
            assert_int_equal(parts.site[seam->a].half, 1);
            met++;
        }
    }
    assert_int_equal(met, 2);
}

/* A chessboard needs two fabrics only: so the least cost is 0 whenever both reach, and
 * any basket with no fabric in the majority has a block without like neighbours. */
static void like_fabrics_never_touch_where_the_basket_allows(void **state)
{
    (void)state;
    quilt_block nine = block_of(3, "SSSSSSSSS");
    plan_block block;
    plan_block_make(&nine, 0, &block);
    double alike[36], fits[6 * QUILT_ROLES];
    static const int counts[][6] = {
        { 5, 4, 0, 0, 0, 0 }, { 5, 2, 2, 0, 0, 0 },   { 3, 3, 3, 0, 0, 0 },
        { 4, 1, 1, 1, 1, 1 }, { 20, 20, 1, 0, 0, 0 }, { 2, 2, 2, 2, 2, 2 },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(counts); i++) {
        plan_reach reach = plain_reach(6, counts[i], alike, fits);
        for (uint64_t seed = 0; seed < 50; seed++) {
            int fabric[PLAN_SITES_MAX];
            double most;
            plan_compose_wish wish = { .seed = seed };
            assert_int_equal(plan_compose(&block, &reach, &wish, fabric, &most), 0);
            if (most != 0)
                fail_msg("basket %zu, seed %d: like fabrics touch", i, (int)seed);
        }
    }
}

static void no_fabric_is_used_beyond_its_squares(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 3);
    quilt_block cross = block_of(3, "BSBSSSBSB");
    plan_block block;
    plan_block_make(&cross, 0.3, &block);
    for (int i = 0; i < 300; i++) {
        int count[8], total = 0;
        double alike[64], fits[8 * QUILT_ROLES];
        for (int f = 0; f < 8; f++)
            total += count[f] = (int)motley_random_below(&random, 3);
        plan_reach reach = plain_reach(8, count, alike, fits);
        int fabric[PLAN_SITES_MAX];
        double most;
        plan_compose_wish wish = { .seed = (uint64_t)i };
        int lacking = plan_compose(&block, &reach, &wish, fabric, &most);
        assert_int_equal(lacking, total >= 5 ? 0 : 5 - total);
        for (int s = 0; lacking == 0 && s < block.sites; s++) {
            if (block.site[s].role == QUILT_BACKGROUND) {
                assert_int_equal(fabric[s], -1);
                continue;
            }
            assert_true(--count[fabric[s]] >= 0);
        }
    }
}

static void what_is_locked_stays_and_equal_seeds_give_equal_blocks(void **state)
{
    (void)state;
    quilt_block nine = block_of(3, "SSSSSSSSS");
    plan_block block;
    plan_block_make(&nine, 0.3, &block);
    static const int count[6] = { 4, 4, 4, 4, 4, 4 };
    double alike[36], fits[6 * QUILT_ROLES];
    plan_reach reach = plain_reach(6, count, alike, fits);
    int locked[9] = { -1, -1, 5, -1, 2, -1, -1, -1, 0 };
    plan_compose_wish wish = { .seed = 9, .locked = locked };
    int first[PLAN_SITES_MAX], again[PLAN_SITES_MAX];
    double most;
    assert_int_equal(plan_compose(&block, &reach, &wish, first, &most), 0);
    assert_int_equal(plan_compose(&block, &reach, &wish, again, &most), 0);
    assert_memory_equal(first, again, 9 * sizeof first[0]);
    assert_int_equal(first[2], 5);
    assert_int_equal(first[4], 2);
    assert_int_equal(first[8], 0);
}

static void alternatives_come_best_first(void **state)
{
    (void)state;
    quilt_block two = block_of(2, "SSSS");
    plan_block block;
    plan_block_make(&two, 0, &block);
    static const int count[4] = { 4, 1, 1, 1 };
    double alike[16], fits[4 * QUILT_ROLES];
    plan_reach reach = plain_reach(4, count, alike, fits);
    alike[0 * 4 + 2] = alike[2 * 4 + 0] = 0.5;
    int fabric[4] = { 1, 0, 0, 0 }, others[3];
    /* Site 0 meets two squares of fabric 0: 3 costs nothing, 2 costs 1, 0 costs 2. */
    assert_int_equal(plan_compose_others(&block, &reach, fabric, 0, 3, others), 3);
    assert_int_equal(others[0], 3);
    assert_int_equal(others[1], 2);
    assert_int_equal(others[2], 0);
}

/* What a filled block costs, reckoned from the words of plan_compose(). */
static double told_cost(const plan_block *block, const plan_reach *reach,
                        const int *fabric)
{
    double cost = 0;
    for (int i = 0; i < block->seams; i++)
        cost += block->seam[i].weight *
                reach->alike[fabric[block->seam[i].a] * reach->fabrics +
                             fabric[block->seam[i].b]];
    for (int s = 0; s < block->sites; s++) {
        cost += 1 - reach->fits[fabric[s] * QUILT_ROLES + block->site[s].role];
        for (int t = 0; t < s; t++)
            cost += fabric[s] == fabric[t] ? 0.3 : 0;
    }
    return cost;
}

/* All ways to fill the sites that the basket allows. */
static double least_told(const plan_block *block, const plan_reach *reach, int *left,
                         int *fabric, int s)
{
    if (s == block->sites)
        return told_cost(block, reach, fabric);
    double least = 1e9;
    for (int f = 0; f < reach->fabrics; f++) {
        if (left[f] <= 0)
            continue;
        left[f]--;
        fabric[s] = f;
        least = fmin(least, least_told(block, reach, left, fabric, s + 1));
        left[f]++;
    }
    return least;
}

static void small_blocks_are_the_best_of_all(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 12);
    for (int i = 0; i < 40; i++) {
        int side = i % 4 == 0 ? 3 : 2, fabrics = side == 3 ? 3 : 8;
        quilt_block squares = block_of(side, "SSSSSSSSS");
        plan_block block;
        plan_block_make(&squares, 0.15, &block);
        int count[8], fabric[PLAN_SITES_MAX];
        double alike[64], fits[8 * QUILT_ROLES], most;
        for (int f = 0; f < fabrics; f++)
            count[f] = side + (int)motley_random_below(&random, 3);
        plan_reach reach = plain_reach(fabrics, count, alike, fits);
        for (int a = 0; a < fabrics; a++) {
            for (int b = 0; b < a; b++)
                alike[a * fabrics + b] = alike[b * fabrics + a] =
                    motley_random_unit(&random);
            fits[a * QUILT_ROLES + QUILT_SCRAP] = motley_random_unit(&random);
        }
        plan_compose_wish wish = { .seed = (uint64_t)i };
        assert_int_equal(plan_compose(&block, &reach, &wish, fabric, &most), 0);
        double got = told_cost(&block, &reach, fabric);
        double want = least_told(&block, &reach, count, fabric, 0);
        if (fabs(got - want) > 1e-6)
            fail_msg("block %d costs %f, the least is %f", i, got, want);
    }
}

/* Of N squares laid in a row every N/n-th is taken: of a run of c squares that is n c /
 * N, rounded down or up, whatever the order (W. Madow, L. Madow, "On the theory of
 * systematic sampling", Annals of Mathematical Statistics 15, 1944, from memory). */
static void a_handful_is_the_basket_in_small(void **state)
{
    (void)state;
    enum { FABRICS = 12, SOURCES = 3, TIMES = 2, DRAWN = 9 * TIMES };
    quilt_block nine = block_of(3, "SSSSSSSSS");
    plan_block block;
    plan_block_make(&nine, 0, &block);
    motley_random random;
    motley_random_seed(&random, 5);
    for (uint64_t seed = 0; seed < 200; seed++) {
        int count[FABRICS], source[FABRICS], hand[FABRICS], all = 0;
        double alike[FABRICS * FABRICS], fits[FABRICS * QUILT_ROLES];
        for (int f = 0; f < FABRICS; f++) {
            all += count[f] = (int)motley_random_below(&random, 20);
            source[f] = (int)motley_random_below(&random, SOURCES);
        }
        plan_reach reach = plain_reach(FABRICS, count, alike, fits);
        reach.source = source;
        reach.sources = SOURCES;
        plan_handful(&block, &reach, TIMES, seed, hand);
        double held[SOURCES] = { 0 }, want[SOURCES] = { 0 };
        for (int f = 0; f < FABRICS; f++) {
            double share = (double)count[f] * DRAWN / fmax(all, DRAWN);
            if (fabs(hand[f] - share) >= 1)
                fail_msg("seed %d: %d of a share of %f", (int)seed, hand[f], share);
            held[source[f]] += hand[f];
            want[source[f]] += share;
        }
        for (int s = 0; s < SOURCES; s++)
            assert_true(fabs(held[s] - want[s]) < 1);
    }
}

/* Twelve squares of one source and 24 of another, no two fabrics alike: n^2 / 12 +
 * (9 - n)^2 / 24 is least at n = 3. */
static void sources_come_in_proportion(void **state)
{
    (void)state;
    quilt_block nine = block_of(3, "SSSSSSSSS");
    plan_block block;
    plan_block_make(&nine, 0, &block);
    static const int count[12] = { 3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3 };
    static const int source[12] = { 0, 1, 1, 0, 1, 1, 0, 1, 1, 0, 1, 1 };
    double alike[144], fits[12 * QUILT_ROLES], most;
    plan_reach reach = plain_reach(12, count, alike, fits);
    reach.source = source;
    reach.sources = 2;
    for (uint64_t seed = 0; seed < 20; seed++) {
        int fabric[PLAN_SITES_MAX], first = 0;
        plan_compose_wish wish = { .seed = seed };
        assert_int_equal(plan_compose(&block, &reach, &wish, fabric, &most), 0);
        for (int s = 0; s < block.sites; s++)
            first += source[fabric[s]] == 0;
        assert_int_equal(first, 3);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_nine_patch_has_twelve_seams),
        cmocka_unit_test(triangles_meet_the_half_that_touches),
        cmocka_unit_test(like_fabrics_never_touch_where_the_basket_allows),
        cmocka_unit_test(no_fabric_is_used_beyond_its_squares),
        cmocka_unit_test(what_is_locked_stays_and_equal_seeds_give_equal_blocks),
        cmocka_unit_test(small_blocks_are_the_best_of_all),
        cmocka_unit_test(alternatives_come_best_first),
        cmocka_unit_test(a_handful_is_the_basket_in_small),
        cmocka_unit_test(sources_come_in_proportion),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
