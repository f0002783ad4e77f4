#include "test.h"

#include "base/error.h"
#include "base/random.h"
#include "scrap/mix.h"

#include <inttypes.h>

#define IN(x) ((length)((x)*LENGTH_INCH))

static const scrap_want usual[] = {
    { IN(2), IN(2), 10, false },         { IN(5), IN(5), 70, false },
    { IN(10), IN(10), 310, false },      { IN(1.5), IN(8), 35, true },
    { IN(2.875), IN(2.875), 22, false },
};

static scrap_mix *mix_of(const scrap_outline *outline, int count,
                         const scrap_want wants[], scrap_angles angles)
{
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.angles = angles;
    request.step_deg = 5;
    g_autoptr(GError) error = NULL;
    scrap_mix *mix = scrap_mix_make(outline, &request, count, wants, &error);
    if (mix == NULL || !scrap_mix_check(mix, outline, SCRAP_TOUCH, count, wants, &error))
        fail_msg("%s", error->message);
    assert_true(mix->value <= mix->bound);
    return mix;
}

/* In a rectangle strips of any depth, pieces trimmed, are the two-stage patterns, for
 * which the guillotine knapsack is exact. */
static void rectangles_give_the_best_two_stage_pattern(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 61);
    for (int round = 0; round < 25; round++) {
        length width = IN(0.125) * (length)(40 + motley_random_below(&random, 80));
        length height = IN(0.125) * (length)(40 + motley_random_below(&random, 80));
        scrap_point points[] = {
            { 0, 0 }, { width, 0 }, { width, height }, { 0, height }
        };
        scrap_outline outline = { { 4, points }, 0, NULL };
        g_autoptr(scrap_mix) mix =
            mix_of(&outline, G_N_ELEMENTS(usual), usual, SCRAP_ANGLES_GRAIN);
        g_autoptr(scrap_guillotine) two = scrap_guillotine_best(
            width, height, G_N_ELEMENTS(usual), usual, SCRAP_STAGES_TWO, NULL);
        if (mix->value != two->value)
            fail_msg("round %d: %" PRId64 ", two stages %" PRId64, round, mix->value,
                     two->value);
    }
}

/* With one size worth 1 a mix is a strip cut. */
static void one_square_size_gives_what_strips_give(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 62);
    for (int round = 0; round < 25; round++) {
        scrap_point points[16];
        for (int i = 0; i < 16; i++) {
            double reach = IN(3) + IN(5) * motley_random_unit(&random);
            points[i].x = (length)lround(reach * cos(2 * G_PI * i / 16));
            points[i].y = (length)lround(reach * sin(2 * G_PI * i / 16));
        }
        scrap_outline outline = { { 16, points }, 0, NULL };
        scrap_want want = { IN(2), IN(2), 1, false };
        scrap_plan_request request = SCRAP_PLAN_USUAL;
        request.unit = IN(2);
        request.method = SCRAP_CUT_STRIPS;
        request.step_deg = 5;
        g_autoptr(scrap_plan) plan = scrap_plan_make(&outline, &request, NULL);
        g_autoptr(scrap_mix) mix = mix_of(&outline, 1, &want, SCRAP_ANGLES_GRAIN);
        /* Another raster starts elsewhere: one square may be found or lost by a pixel. */
        assert_true(llabs(mix->value - plan->squares) <= 1);
        assert_true(mix->value <= plan->bound);
    }
}

static void more_sizes_and_more_angles_only_help(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 63);
    for (int round = 0; round < 10; round++) {
        scrap_point points[12];
        for (int i = 0; i < 12; i++) {
            double reach = IN(5) + IN(5) * motley_random_unit(&random);
            points[i].x = (length)lround(reach * cos(2 * G_PI * i / 12));
            points[i].y = (length)lround(reach * sin(2 * G_PI * i / 12));
        }
        scrap_outline outline = { { 12, points }, 0, NULL };
        int64_t last = 0;
        for (int count = 1; count <= 4; count++) {
            g_autoptr(scrap_mix) mix = mix_of(&outline, count, usual, SCRAP_ANGLES_GRAIN);
            g_autoptr(scrap_mix) free_mix =
                mix_of(&outline, count, usual, SCRAP_ANGLES_FREE);
            assert_true(free_mix->value >= mix->value);
            /* The fourth size halves the pixels' common step: the raster changes. */
            assert_true(mix->value >= last - 10);
            last = mix->value;
        }
    }
}

static void metric_and_inch_sizes_mix(void **state)
{
    (void)state;
    scrap_point points[] = { { 0, 0 }, { IN(20), 0 }, { IN(17), IN(12) }, { 0, IN(9) } };
    scrap_outline outline = { { 4, points }, 0, NULL };
    const scrap_want wants[] = { { IN(2), IN(2), 40, false },
                                 { 63 * LENGTH_MM, 63 * LENGTH_MM, 62, false },
                                 { 7777, 9999, 5, true } };
    g_autoptr(scrap_mix) mix = mix_of(&outline, 3, wants, SCRAP_ANGLES_GRAIN);
    assert_in_range(mix->piece_count, 20, 60);
    assert_true(mix->effort.minutes > 0 && mix->effort.passes >= mix->strips);
}

static void what_cannot_be_asked_is_refused(void **state)
{
    (void)state;
    scrap_point points[] = { { 0, 0 }, { IN(20), 0 }, { 0, IN(9) } };
    scrap_outline outline = { { 3, points }, 0, NULL };
    const scrap_want none = { IN(2), IN(2), 0, false }, flat = { IN(2), 0, 1, false };
    g_autoptr(GError) error = NULL;
    assert_null(scrap_mix_make(&outline, &SCRAP_PLAN_USUAL, 1, &none, &error));
    assert_string_equal(motley_error_code(error), "scrap.want");
    g_clear_error(&error);
    assert_null(scrap_mix_make(&outline, &SCRAP_PLAN_USUAL, 1, &flat, &error));
    assert_string_equal(motley_error_code(error), "scrap.want");
    g_clear_error(&error);
    assert_null(scrap_mix_make(&outline, &SCRAP_PLAN_USUAL, 0, NULL, &error));
    assert_string_equal(motley_error_code(error), "scrap.want");

    const scrap_want large = { IN(30), IN(30), 1, false };
    g_autoptr(scrap_mix) nothing = mix_of(&outline, 1, &large, SCRAP_ANGLES_GRAIN);
    assert_int_equal(nothing->piece_count, 0);
    assert_int_equal(nothing->cut_count, 0);
}

static void the_checker_sees_what_is_wrong(void **state)
{
    (void)state;
    scrap_point points[] = { { 0, 0 }, { IN(14), 0 }, { IN(14), IN(9) }, { 0, IN(9) } };
    scrap_outline outline = { { 4, points }, 0, NULL };
    for (int fault = 0; fault < 4; fault++) {
        g_autoptr(scrap_mix) mix =
            mix_of(&outline, G_N_ELEMENTS(usual), usual, SCRAP_ANGLES_GRAIN);
        if (fault == 0)
            mix->value++;
        else if (fault == 1)
            mix->pieces[0].corners[2].x += IN(0.5);
        else if (fault == 2)
            mix->pieces[0] = mix->pieces[1];
        else
            mix->cut_count = 1;
        assert_false(scrap_mix_check(mix, &outline, SCRAP_TOUCH, G_N_ELEMENTS(usual),
                                     usual, NULL));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rectangles_give_the_best_two_stage_pattern),
        cmocka_unit_test(one_square_size_gives_what_strips_give),
        cmocka_unit_test(more_sizes_and_more_angles_only_help),
        cmocka_unit_test(metric_and_inch_sizes_mix),
        cmocka_unit_test(what_cannot_be_asked_is_refused),
        cmocka_unit_test(the_checker_sees_what_is_wrong),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
