#include "test.h"

#include "base/random.h"
#include "plan/forecast.h"

/* NIST/SEMATECH e-Handbook of Statistical Methods, 6.4.3.1, alpha 0.1. */
static void smoothing_gives_the_handbooks_figures(void **state)
{
    (void)state;
    static const double y[] = { 71, 70, 69, 68, 64, 65, 72, 78, 75, 75, 75, 70 };
    static const double want[] = { 71,    70.9,  70.71, 70.44, 69.80, 69.32,
                                   69.58, 70.43, 70.88, 71.29, 71.67, 71.50 };
    double smooth[13];
    plan_smooth(12, y, 0.1, smooth);
    for (int i = 0; i < 12; i++)
        if (fabs(smooth[i + 1] - want[i]) > 0.0051)
            fail_msg("week %d: %.4f, published %.2f", i + 2, smooth[i + 1], want[i]);
}

/* C. I. Bliss, R. A. Fisher, Biometrics 9, 1953, 176-200: red mites on 150 apple leaves;
 * mean 1.14667, and k = 1.02459 by maximum likelihood. */
static void mites_on_apple_leaves_have_the_published_shape(void **state)
{
    (void)state;
    static const int leaves[] = { 70, 38, 17, 10, 9, 3, 2, 1 };
    int counts[150], count = 0;
    for (int mites = 0; mites < 8; mites++)
        for (int i = 0; i < leaves[mites]; i++)
            counts[count++] = mites;
    assert_int_equal(count, 150);
    plan_pace pace = plan_pace_fit(count, counts, 1);
    assert_float_equal(pace.mean, 1.14667, 1e-5);
    assert_float_equal(pace.shape, 1.02459, 1e-5);
    assert_float_equal(pace.weeks, 150, 1e-9);
}

static void recent_weeks_weigh_more(void **state)
{
    (void)state;
    int history[40];
    for (int i = 0; i < 40; i++)
        history[i] = i < 20 ? 2 : 10;
    assert_float_equal(plan_pace_fit(40, history, 1).mean, 6, 1e-12);
    plan_pace pace = plan_pace_fit(40, history, 0.9);
    assert_true(pace.mean > 8.5 && pace.mean < 10);
    assert_true(pace.weeks < 20);
}

/* A week's count, by its definition: as many Bernoulli trials as it takes. The number of
 * failures before the second success is negative binomial of shape 2. */
static int drawn_week(motley_random *random, double mean)
{
    double success = 2 / (2 + mean);
    int failures = 0;
    for (int successes = 0; successes < 2;) {
        if (motley_random_unit(random) < success)
            successes++;
        else
            failures++;
    }
    return failures;
}

/* 500 makers whose pace and history differ: of their true dates, four fifths lie between
 * the 10 and the 90 per cent. */
static void four_fifths_of_makers_are_done_within_the_range(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 1953);
    int within = 0, early = 0, late = 0;
    for (int maker = 0; maker < 500; maker++) {
        int history[104], weeks = 8 + (int)motley_random_below(&random, 97);
        double mean = 2 + 8 * motley_random_unit(&random);
        for (int i = 0; i < weeks; i++)
            history[i] = drawn_week(&random, mean);
        plan_pace pace = plan_pace_fit(weeks, history, 0.97);
        int left = 20 + (int)motley_random_below(&random, 200), done = 0, took = 0;
        plan_range range = plan_forecast_done(&pace, left, (uint64_t)maker);
        while (done < left) {
            done += drawn_week(&random, mean);
            took++;
        }
        /* Within its last week she may have been done any day. */
        double at = took - motley_random_unit(&random);
        early += at < range.p10;
        late += at > range.p90;
        within += at >= range.p10 && at <= range.p90;
    }
    if (within < 375 || within > 425)
        fail_msg("%d of 500 within, %d earlier, %d later", within, early, late);
}

static void a_short_history_gives_a_wide_range(void **state)
{
    (void)state;
    int history[156];
    for (int i = 0; i < 156; i++)
        history[i] = 3 + i % 5;
    plan_pace few = plan_pace_fit(3, history + 153, 0.97);
    plan_pace many = plan_pace_fit(156, history, 0.99);
    plan_range wide = plan_forecast_done(&few, 100, 1);
    plan_range narrow = plan_forecast_done(&many, 100, 1);
    assert_true(wide.p10 < wide.p50 && wide.p50 < wide.p90);
    assert_true((wide.p90 - wide.p10) / wide.p50 >
                1.5 * (narrow.p90 - narrow.p10) / narrow.p50);
    assert_true(fabs(narrow.p50 - 100 / many.mean) < 2);
    plan_range again = plan_forecast_done(&many, 100, 1);
    assert_memory_equal(&again, &narrow, sizeof again);
}

static void without_a_pace_no_end_is_in_sight(void **state)
{
    (void)state;
    static const int idle[] = { 0, 0, 0, 0 };
    plan_pace pace = plan_pace_fit(4, idle, 0.97), none = plan_pace_fit(0, NULL, 0.97);
    assert_true(isinf(plan_forecast_done(&pace, 5, 1).p10));
    assert_true(isinf(plan_forecast_done(&none, 5, 1).p10));
    assert_float_equal(plan_forecast_done(&none, 0, 1).p90, 0, 0);
}

/* 90 squares, nine in a block, two blocks a week and none come in: short in the sixth
 * week, give or take; with enough for all that is still to be made, never. */
static void a_basket_runs_short_when_more_goes_than_comes(void **state)
{
    (void)state;
    plan_pace none = { 0, INFINITY, 100 }, two = { 2, 50, 400 };
    double never;
    plan_range range = plan_forecast_short(90, &none, &two, 9, 40, 1, &never);
    assert_true(range.p10 > 3 && range.p10 < range.p50);
    assert_true(range.p50 > 4.5 && range.p50 < 6.5 && range.p90 < 9);
    assert_true(never < 0.02);
    range = plan_forecast_short(360, &none, &two, 9, 40, 1, &never);
    assert_true(isinf(range.p10));
    assert_float_equal(never, 1, 0);
}

/* Survival of treated and of control mice, in days: B. Efron, R. Tibshirani, "An
 * Introduction to the Bootstrap", 1993, table 2.1. The standard error of the mean that
 * resampling tends to is the root of the sum of squares over n: 23.36 and 13.35. */
static void resampling_gives_the_published_standard_errors(void **state)
{
    (void)state;
    static const struct {
        int n;
        double values[9], error;
    } groups[] = {
        { 7, { 94, 197, 16, 38, 99, 141, 23 }, 23.36 },
        { 9, { 52, 104, 146, 10, 51, 30, 40, 27, 46 }, 13.35 },
    };
    enum { RESAMPLES = 40000 };
    motley_random random;
    motley_random_seed(&random, 13);
    for (size_t g = 0; g < G_N_ELEMENTS(groups); g++) {
        double sum = 0, squares = 0;
        for (int r = 0; r < RESAMPLES; r++) {
            double mean = 0;
            for (int i = 0; i < groups[g].n; i++)
                mean += groups[g]
                            .values[motley_random_below(&random, (uint32_t)groups[g].n)] /
                        groups[g].n;
            sum += mean;
            squares += mean * mean;
        }
        double error = sqrt(squares / RESAMPLES - pow(sum / RESAMPLES, 2));
        assert_true(fabs(error / groups[g].error - 1) < 0.015);
    }
}

/* What a spoilt book gives: it once drew for ever. An answer of any kind will do. */
static void a_pace_past_all_numbers_gives_an_answer(void **state)
{
    (void)state;
    static const double means[] = { NAN, INFINITY, 1e200, 1e-200, -1 };
    for (size_t i = 0; i < G_N_ELEMENTS(means); i++) {
        const plan_pace odd = { means[i], 0.01, 3 }, usual = { 3, 2, 10 };
        double never;
        plan_forecast_done(&odd, 100, 1);
        plan_forecast_short(50, &odd, &usual, 4, 100, 1, &never);
        assert_true(never >= 0 && never <= 1);
        plan_forecast_short(50, &usual, &odd, 4, 100, 1, &never);
        assert_true(never >= 0 && never <= 1);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(smoothing_gives_the_handbooks_figures),
        cmocka_unit_test(mites_on_apple_leaves_have_the_published_shape),
        cmocka_unit_test(recent_weeks_weigh_more),
        cmocka_unit_test(four_fifths_of_makers_are_done_within_the_range),
        cmocka_unit_test(a_short_history_gives_a_wide_range),
        cmocka_unit_test(without_a_pace_no_end_is_in_sight),
        cmocka_unit_test(a_basket_runs_short_when_more_goes_than_comes),
        cmocka_unit_test(a_pace_past_all_numbers_gives_an_answer),
        cmocka_unit_test(resampling_gives_the_published_standard_errors),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
