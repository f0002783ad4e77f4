#include "test.h"

#include "base/random.h"
#include "colour/match.h"
#include "colour/signature.h"

enum { MANY = 4000 };

typedef struct mixture {
    int count;
    double lab[5][3], share[5];
} mixture;

static void draw(motley_random *random, const mixture *m, double noise, int n, float *lab)
{
    for (int p = 0; p < n; p++) {
        double u = motley_random_unit(random);
        int k = 0;
        while (k + 1 < m->count && u >= m->share[k])
            u -= m->share[k++];
        for (int i = 0; i < 3; i++)
            lab[3 * p + i] = (float)(m->lab[k][i] + noise * motley_random_normal(random));
    }
}

static colour_signature signature_of(motley_random *random, const mixture *m,
                                     double noise)
{
    static float lab[3 * MANY];
    static uint8_t group[MANY];
    colour_signature s;
    draw(random, m, noise, MANY, lab);
    colour_signature_from_pixels(MANY, lab, group, &s);
    return s;
}

static mixture any_mixture(motley_random *random)
{
    mixture m = { .count = 1 + (int)motley_random_below(random, 5) };
    double sum = 0;
    for (int k = 0; k < m.count; k++) {
        m.lab[k][0] = 15 + 75 * motley_random_unit(random);
        m.lab[k][1] = 100 * motley_random_unit(random) - 50;
        m.lab[k][2] = 100 * motley_random_unit(random) - 50;
        sum += m.share[k] = 0.2 + motley_random_unit(random);
    }
    for (int k = 0; k < m.count; k++)
        m.share[k] /= sum;
    return m;
}

static const mixture print = { 3,
                               { { 30, 10, -40 }, { 85, 2, 8 }, { 55, 45, 30 } },
                               { 0.6, 0.3, 0.1 } };

static void the_colours_of_a_print_are_found_with_their_shares(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 1);
    colour_signature s = signature_of(&random, &print, 1);
    assert_int_equal(s.count, 3);
    for (int k = 0; k < 3; k++) {
        colour_lab want = { print.lab[k][0], print.lab[k][1], print.lab[k][2] };
        if (colour_delta_e76(&s.lab[k], &want) > 0.6 ||
            fabs(s.share[k] - print.share[k]) > 0.04)
            fail_msg("colour %d: %.1f %.1f %.1f, share %.3f", k, s.lab[k].l, s.lab[k].a,
                     s.lab[k].b, s.share[k]);
    }
}

static void a_plain_cloth_has_one_colour(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 2);
    mixture plain = { .count = 1, .lab = { { 50, 20, 20 } }, .share = { 1 } };
    assert_int_equal(signature_of(&random, &plain, 0.8).count, 1);
    assert_int_equal(signature_of(&random, &plain, 0).count, 1);
}

static void no_pixels_give_no_colours(void **state)
{
    (void)state;
    colour_signature s = { .count = 3 },
                     plain = { .count = 1, .lab = { { 50, 0, 0 } }, .share = { 1 } };
    colour_signature_from_pixels(0, NULL, NULL, &s);
    assert_int_equal(s.count, 0);
    assert_true(colour_signature_distance(&s, &plain) == COLOUR_DISTANCE_MAX);
    assert_true(colour_alike(&s, &plain) == 0);
}

static void shares_sum_to_one_and_fall(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 3);
    for (int round = 0; round < 200; round++) {
        mixture m = any_mixture(&random);
        colour_signature s = signature_of(&random, &m, 6 * motley_random_unit(&random));
        double sum = 0;
        assert_in_range(s.count, 1, COLOUR_SIGNATURE_MAX);
        for (int k = 0; k < s.count; k++) {
            sum += s.share[k];
            assert_true(s.share[k] >= 0.01);
            assert_true(k == 0 || s.share[k] <= s.share[k - 1]);
            for (int j = 0; j < k; j++)
                assert_true(colour_delta_e76(&s.lab[k], &s.lab[j]) >= 4);
        }
        assert_true(fabs(sum - 1) < 1e-9);
    }
}

static void the_mean_survives_the_clustering(void **state)
{
    (void)state;
    static float lab[3 * MANY];
    static uint8_t group[MANY];
    motley_random random;
    motley_random_seed(&random, 4);
    for (int round = 0; round < 50; round++) {
        mixture m = any_mixture(&random);
        draw(&random, &m, 3, MANY, lab);
        double sum[3] = { 0 };
        for (int p = 0; p < 3 * MANY; p++)
            sum[p % 3] += lab[p];
        colour_signature s;
        colour_signature_from_pixels(MANY, lab, group, &s);
        colour_lab got = colour_signature_mean(&s);
        colour_lab want = { sum[0] / MANY, sum[1] / MANY, sum[2] / MANY };
        assert_true(colour_delta_e76(&got, &want) < 1e-6);
    }
}

static void the_distance_is_fair_in_both_directions_and_bounded(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 5);
    for (int round = 0; round < 300; round++) {
        mixture m = any_mixture(&random), n = any_mixture(&random);
        colour_signature a = signature_of(&random, &m, 2);
        colour_signature b = signature_of(&random, &n, 2);
        double there = colour_signature_distance(&a, &b);
        double back = colour_signature_distance(&b, &a);
        assert_true(fabs(there - back) < 1e-9);
        assert_true(there > 0 && there < COLOUR_DISTANCE_MAX);
        assert_true(colour_signature_distance(&a, &a) < 1e-9);
        assert_true(fabs(colour_alike(&a, &a) - 1) < 1e-9);
        assert_true(fabs(colour_alike(&a, &b) - (1 - there / COLOUR_DISTANCE_MAX)) <
                    1e-12);
        /* two samples of one cloth are nearer than cloths drawn apart */
        colour_signature again = signature_of(&random, &m, 2);
        assert_true(colour_signature_distance(&a, &again) < 5.6);
    }
}

static void a_known_fabric_is_found_among_many(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 6);
    enum { FABRICS = 40 };
    static mixture cloth[FABRICS];
    static colour_reference known[2 * FABRICS];
    for (int i = 0; i < FABRICS; i++) {
        cloth[i] = any_mixture(&random);
        for (int k = 0; k < 2; k++) {
            known[2 * i + k].fabric = 100 + i;
            known[2 * i + k].signature = signature_of(&random, &cloth[i], 2);
        }
    }
    for (int i = 0; i < FABRICS; i++) {
        colour_signature query = signature_of(&random, &cloth[i], 2);
        colour_match match;
        colour_match_find(&query, 2 * FABRICS, known, &match);
        assert_int_equal(match.count, 3);
        assert_int_equal(match.likely[0].fabric, 100 + i);
        assert_true(match.verdict != COLOUR_NEW);
        for (int k = 1; k < 3; k++) {
            assert_true(match.likely[k].alike <= match.likely[k - 1].alike);
            assert_true(match.likely[k].fabric != match.likely[k - 1].fabric);
        }
        assert_true(match.likely[0].fabric != match.likely[2].fabric);
    }
}

static void two_rivals_are_a_question_and_a_stranger_is_new(void **state)
{
    (void)state;
    colour_signature red = { .count = 1, .lab = { { 45, 60, 30 } }, .share = { 1 } };
    colour_signature blue = { .count = 1, .lab = { { 40, 5, -45 } }, .share = { 1 } };
    colour_reference known[] = { { 1, red }, { 2, red }, { 3, { .count = 0 } } };
    colour_match match;
    colour_match_find(&red, 1, known, &match);
    assert_int_equal(match.verdict, COLOUR_SAME);
    colour_match_find(&red, 3, known, &match);
    assert_int_equal(match.verdict, COLOUR_ASK);
    assert_int_equal(match.count, 2);
    colour_match_find(&blue, 3, known, &match);
    assert_int_equal(match.verdict, COLOUR_NEW);
    colour_match_find(&red, 0, NULL, &match);
    assert_int_equal(match.verdict, COLOUR_NEW);
    assert_int_equal(match.count, 0);
}

static void scraps_of_one_cloth_are_grouped(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 8);
    colour_signature s[9];
    double distance[81];
    int group[9];
    static const mixture cloth[3] = {
        { .count = 1, .lab = { { 30, 10, -40 } }, .share = { 1 } },
        { 2, { { 80, 5, 30 }, { 40, 30, 20 } }, { 0.7, 0.3 } },
        { .count = 1, .lab = { { 60, -30, 20 } }, .share = { 1 } },
    };
    for (int i = 0; i < 9; i++)
        s[i] = signature_of(&random, &cloth[i % 3], 1);
    assert_int_equal(colour_group(9, s, 0, distance, group), 3);
    for (int i = 0; i < 9; i++)
        assert_int_equal(group[i], i % 3);
    assert_int_equal(colour_group(0, s, 0, distance, group), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_colours_of_a_print_are_found_with_their_shares),
        cmocka_unit_test(a_plain_cloth_has_one_colour),
        cmocka_unit_test(no_pixels_give_no_colours),
        cmocka_unit_test(shares_sum_to_one_and_fall),
        cmocka_unit_test(the_mean_survives_the_clustering),
        cmocka_unit_test(the_distance_is_fair_in_both_directions_and_bounded),
        cmocka_unit_test(a_known_fabric_is_found_among_many),
        cmocka_unit_test(two_rivals_are_a_question_and_a_stranger_is_new),
        cmocka_unit_test(scraps_of_one_cloth_are_grouped),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
