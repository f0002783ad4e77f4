#include "test.h"

#include "base/random.h"
#include "colour/match.h"

enum { REFERENCES = 400, FABRICS = 150 };

static colour_signature any_signature(motley_random *random)
{
    colour_signature s = { .count = 1 + (int)motley_random_below(random, 5) };
    double sum = 0;
    for (int i = 0; i < s.count; i++) {
        s.lab[i] = (colour_lab){ 100 * motley_random_unit(random),
                                 80 * motley_random_unit(random) - 40,
                                 80 * motley_random_unit(random) - 40 };
        sum += s.share[i] = 0.05 + motley_random_unit(random);
    }
    for (int i = 0; i < s.count; i++)
        s.share[i] /= sum;
    if (motley_random_below(random, 4) > 0)
        for (int i = 0; i < COLOUR_TEXTURE_STEPS; i++) {
            s.texture.light[i] = (uint8_t)(1 + motley_random_below(random, 200));
            s.texture.chroma[i] = (uint8_t)(1 + motley_random_below(random, 200));
            s.texture.sparse[i] = (uint8_t)motley_random_below(random, 150);
            s.texture.crossed[i] = (uint8_t)motley_random_below(random, 100);
        }
    return s;
}

/* Another picture of nearly the same cloth. */
static colour_signature again(motley_random *random, colour_signature s)
{
    for (int i = 0; i < s.count; i++)
        s.lab[i].l += 6 * motley_random_unit(random) - 3;
    return s;
}

/* The three nearest fabrics by asking for every distance: what the search must give in
 * spite of the references that it passes over. */
static int by_brute_force(const colour_signature *query, const colour_reference *known,
                          int64_t fabric[static 3], double distance[static 3])
{
    int count = 0;
    while (count < 3) {
        int best = -1;
        double least = INFINITY;
        for (int i = 0; i < REFERENCES; i++) {
            int taken = known[i].signature.count == 0;
            for (int k = 0; k < count; k++)
                taken |= known[i].fabric == fabric[k];
            double d =
                taken ? INFINITY : colour_match_distance(query, &known[i].signature);
            if (d < least) {
                least = d;
                best = i;
            }
        }
        if (best < 0)
            break;
        fabric[count] = known[best].fabric;
        distance[count++] = least;
    }
    return count;
}

static void passing_over_what_is_far_changes_no_answer(void **state)
{
    (void)state;
    static colour_reference known[REFERENCES];
    motley_random random;
    motley_random_seed(&random, 11);
    for (int i = 0; i < REFERENCES; i++) {
        known[i].fabric = 1 + (int64_t)motley_random_below(&random, FABRICS);
        known[i].signature = any_signature(&random);
    }
    known[7].signature.count = 0;
    for (int round = 0; round < 150; round++) {
        colour_signature query = any_signature(&random);
        if (round % 2)
            query =
                again(&random, known[motley_random_below(&random, REFERENCES)].signature);
        if (query.count == 0)
            continue;
        colour_match match;
        int64_t fabric[3];
        double distance[3];
        colour_match_find(&query, REFERENCES, known, &match);
        assert_int_equal(by_brute_force(&query, known, fabric, distance), 3);
        assert_int_equal(match.count, 3);
        for (int k = 0; k < 3; k++) {
            if (match.likely[k].fabric != fabric[k])
                fail_msg("round %d, place %d: fabric %d, by brute force %d", round, k,
                         (int)match.likely[k].fabric, (int)fabric[k]);
            double alike = fmax(0, 1 - distance[k] / COLOUR_DISTANCE_MAX);
            assert_true(fabs(match.likely[k].alike - alike) < 1e-12);
        }
    }
}

/* Levels are even steps of a logarithm: twice the difference, once it is well over the
 * noise, is ln 2 = 0.693 wherever it begins. */
static void a_level_is_a_logarithm(void **state)
{
    (void)state;
    assert_int_equal(colour_texture_level(0), 1);
    assert_int_equal(colour_texture_level(1e6), 255);
    for (double rms = 6; rms < 50; rms *= 1.5) {
        colour_texture a = { { colour_texture_level(rms) }, { 1 }, { 1 }, { 1 } };
        colour_texture b = { { colour_texture_level(2 * rms) }, { 1 }, { 1 }, { 1 } };
        assert_true(fabs(2 * colour_texture_distance(&a, &b) - 0.693) < 0.05);
    }
}

/* Of a normal distribution the root mean square is sqrt(pi / 2) times the mean size, and
 * of differences of which one in n is not zero sqrt(n) times. */
static void few_large_differences_are_told_from_many(void **state)
{
    (void)state;
    double normal = (colour_sparse_level(1e4, 1e4 / sqrt(M_PI / 2)) - 1) / 150.0;
    double sprigs = (colour_sparse_level(1e4, 1e4 / sqrt(4)) - 1) / 150.0;
    assert_true(fabs(normal - log(M_PI / 2) / 2) < 0.005);
    assert_true(fabs(sprigs - log(2)) < 0.005);
    assert_int_equal(colour_sparse_level(0, 0), 1);
    assert_int_equal(colour_sparse_level(1, 2), 1);
    assert_int_equal(colour_sparse_level(INFINITY, 1), 255);
}

/* By the definition of a Fourier series: 1 + a cos 4t has the fourth harmonic a / 2, and
 * it does not matter how it is turned; a stripe's second harmonic is none of it. */
static void crossing_threads_are_told_whichever_way_they_lie(void **state)
{
    (void)state;
    for (double turn = 0; turn < M_PI / 2; turn += 0.1) {
        double crossed[8], stripe[8];
        for (int k = 0; k < 8; k++) {
            double way = M_PI * k / 8 - turn;
            crossed[k] = 1e6 * (1 + 0.4 * cos(4 * way));
            stripe[k] = 1e6 * (1 + 0.4 * cos(2 * way));
        }
        assert_true(abs(colour_crossed_level(8, crossed) - 51) <= 1);
        assert_int_equal(colour_crossed_level(8, stripe), 1);
    }
    const double none[8] = { 0 };
    assert_int_equal(colour_crossed_level(8, none), 1);
}

/* A gingham and a plaid in the same colours and of one strength: not put together. */
static void a_gingham_is_not_a_plaid(void **state)
{
    (void)state;
    colour_reference gingham = { 1,
                                 { .count = 2,
                                   .lab = { { 90, 0, 0 }, { 50, 5, -40 } },
                                   .share = { 0.5, 0.5 },
                                   .texture = { { 120, 140, 150 },
                                                { 110, 130, 140 },
                                                { 60, 40, 30 },
                                                { 20, 30, 40 } } } };
    colour_signature plaid = gingham.signature;
    for (int i = 0; i < COLOUR_TEXTURE_STEPS; i++) {
        plaid.texture.sparse[i] += 60;
        plaid.texture.crossed[i] -= 18;
    }
    colour_match match;
    colour_match_find(&gingham.signature, 1, &gingham, &match);
    assert_int_equal(match.verdict, COLOUR_SAME);
    colour_match_find(&plaid, 1, &gingham, &match);
    assert_int_not_equal(match.verdict, COLOUR_SAME);
}

/* The same brown, plain and as a tonal print: a maker would not have them put together.
 */
static void a_solid_is_not_its_tonal_print(void **state)
{
    (void)state;
    colour_reference solid = { 1,
                               { .count = 1,
                                 .lab = { { 40, 20, 25 } },
                                 .share = { 1 },
                                 .texture = { .light = { 25, 25, 25 },
                                              .chroma = { 20, 20, 20 } } } };
    colour_signature tonal = solid.signature;
    for (int i = 0; i < COLOUR_TEXTURE_STEPS; i++) {
        tonal.texture.light[i] = 100;
        tonal.texture.chroma[i] = 80;
    }
    colour_match match;
    colour_match_find(&solid.signature, 1, &solid, &match);
    assert_int_equal(match.verdict, COLOUR_SAME);
    colour_match_find(&tonal, 1, &solid, &match);
    assert_int_not_equal(match.verdict, COLOUR_SAME);

    /* from a book that knows no textures, by colours alone */
    solid.signature.texture = (colour_texture){ .light = { 0 } };
    colour_match_find(&tonal, 1, &solid, &match);
    assert_int_equal(match.verdict, COLOUR_SAME);
}

static void what_has_no_colours_is_far_from_all(void **state)
{
    (void)state;
    colour_signature none = { .count = 0 }, red = { .count = 1, .share = { 1 } };
    assert_true(colour_match_distance(&none, &red) >= COLOUR_DISTANCE_MAX);
    assert_true(colour_match_distance(&red, &red) < 2); /* the usual, unknown textures */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(passing_over_what_is_far_changes_no_answer),
        cmocka_unit_test(a_level_is_a_logarithm),
        cmocka_unit_test(few_large_differences_are_told_from_many),
        cmocka_unit_test(crossing_threads_are_told_whichever_way_they_lie),
        cmocka_unit_test(a_gingham_is_not_a_plaid),
        cmocka_unit_test(a_solid_is_not_its_tonal_print),
        cmocka_unit_test(what_has_no_colours_is_far_from_all),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
