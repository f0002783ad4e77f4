#include "test.h"

#include "base/random.h"
#include "scrap/pile.h"

#define IN(x) ((length)((x)*LENGTH_INCH))

static scrap_plan *rectangle_plan(length width, length height, scrap_point points[4],
                                  scrap_outline *outline)
{
    const scrap_point corners[] = {
        { 0, 0 }, { width, 0 }, { width, height }, { 0, height }
    };
    memcpy(points, corners, sizeof corners);
    *outline = (scrap_outline){ { 4, points }, 0, NULL };
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.unit = IN(2);
    scrap_plan *plan = scrap_plan_make(outline, &request, NULL);
    assert_non_null(plan);
    return plan;
}

static void scraps_go_where_the_thresholds_say(void **state)
{
    (void)state;
    static const struct {
        length width, height;
        scrap_use use;
    } rows[] = {
        { IN(18), IN(10), SCRAP_KEEP_WHOLE },
        { IN(10), IN(18), SCRAP_KEEP_WHOLE }, /* either way round */
        { IN(17.5), IN(10), SCRAP_TO_SQUARES },
        { IN(2), IN(2), SCRAP_TO_SQUARES },
        { IN(1.9), IN(6), SCRAP_TO_STRINGS },
        { IN(6), IN(0.75), SCRAP_TO_STRINGS },
        { IN(6), IN(0.5), SCRAP_TOO_SMALL },
        { IN(5.5), IN(1.9), SCRAP_TOO_SMALL },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        scrap_point points[4];
        scrap_outline outline;
        g_autoptr(scrap_plan) plan =
            rectangle_plan(rows[i].width, rows[i].height, points, &outline);
        scrap_use use = scrap_pile_sort(&outline, plan, &SCRAP_THRESHOLDS_USUAL);
        if (use != rows[i].use)
            fail_msg("row %zu: %d, wanted %d", i, use, rows[i].use);
    }
}

/* At 0 degrees the largest rectangle of an L, 12 x 3 in and 3 x 9 in above it, is one of
 * its legs, whichever is larger; less what measuring by pixels gives away. */
static void a_scrap_is_big_enough_for_its_largest_rectangle(void **state)
{
    (void)state;
    const scrap_point corners[] = { { 0, 0 },          { IN(12), 0 },
                                    { IN(12), IN(3) }, { IN(4), IN(3) },
                                    { IN(4), IN(13) }, { 0, IN(13) } };
    const scrap_outline outline = { { 6, corners }, 0, NULL };
    scrap_bit bit;
    assert_true(scrap_pile_largest(&outline, 0, &SCRAP_THRESHOLDS_USUAL, &bit));
    assert_true(bit.width <= IN(13) && bit.width >= IN(13) - IN(0.125));
    assert_true(bit.height <= IN(4) && bit.height >= IN(4) - IN(0.125));
    const scrap_point thread[] = { { 0, 0 }, { IN(9), 0 }, { IN(9), IN(0.25) } };
    const scrap_outline none = { { 3, thread }, 0, NULL };
    assert_false(scrap_pile_largest(&none, 0, &SCRAP_THRESHOLDS_USUAL, &bit));
}

/* 18 x 9 1/2 in at 2 in leaves one string of 18 x 1 1/2 in, less the 1/16 in at the cut
 * that measuring by pixels gives away. */
static void the_rest_of_a_rectangle_is_one_string(void **state)
{
    (void)state;
    scrap_point points[4];
    scrap_outline outline;
    g_autoptr(scrap_plan) plan = rectangle_plan(IN(18), IN(9.5), points, &outline);
    scrap_bit left[8];
    assert_int_equal(
        scrap_pile_leftovers(&outline, plan, &SCRAP_THRESHOLDS_USUAL, 8, left), 1);
    assert_int_equal(left[0].width, IN(18));
    assert_in_range(left[0].height, IN(1.5) - IN(0.0625), IN(1.5));
    assert_true(left[0].string);
}

static void an_exact_multiple_leaves_nothing(void **state)
{
    (void)state;
    scrap_point points[4];
    scrap_outline outline;
    g_autoptr(scrap_plan) plan = rectangle_plan(IN(18), IN(8), points, &outline);
    scrap_bit left[8];
    assert_int_equal(
        scrap_pile_leftovers(&outline, plan, &SCRAP_THRESHOLDS_USUAL, 8, left), 0);
}

static bool side_enters(scrap_point a, scrap_point b, const scrap_bit *bit, double shrink)
{
    /* In the frame of the bit, from its first corner along its first side. */
    double ux = bit->corners[1].x - bit->corners[0].x;
    double uy = bit->corners[1].y - bit->corners[0].y;
    double along = hypot(ux, uy);
    double vx = bit->corners[3].x - bit->corners[0].x;
    double vy = bit->corners[3].y - bit->corners[0].y;
    double up = hypot(vx, vy);
    for (int i = 0; i <= 400; i++) {
        double px = a.x + (b.x - a.x) * i / 400.0 - bit->corners[0].x;
        double py = a.y + (b.y - a.y) * i / 400.0 - bit->corners[0].y;
        double x = (px * ux + py * uy) / along, y = (px * vx + py * vy) / up;
        if (x > shrink && x < along - shrink && y > shrink && y < up - shrink)
            return true;
    }
    return false;
}

static void bits_lie_in_the_scrap_off_squares_and_cuts_largest_first(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 51);
    for (int round = 0; round < 30; round++) {
        scrap_point points[14];
        int count = 6 + (int)motley_random_below(&random, 8);
        for (int i = 0; i < count; i++) {
            double reach = IN(3) + IN(5) * motley_random_unit(&random);
            points[i].x = (length)lround(reach * cos(2 * G_PI * i / count));
            points[i].y = (length)lround(reach * sin(2 * G_PI * i / count));
        }
        scrap_outline outline = { { count, points }, 0, NULL };
        scrap_plan_request request = SCRAP_PLAN_USUAL;
        request.unit = IN(2);
        g_autoptr(scrap_plan) plan = scrap_plan_make(&outline, &request, NULL);
        scrap_bit left[40];
        int bits =
            scrap_pile_leftovers(&outline, plan, &SCRAP_THRESHOLDS_USUAL, 40, left);
        int64_t area2 = 0, last = INT64_MAX;
        for (int i = 0; i < bits; i++) {
            int64_t size = (int64_t)left[i].width * left[i].height;
            assert_true(size <= last && left[i].width >= left[i].height);
            last = size;
            area2 += 2 * size;
            for (int j = 0; j < count; j++)
                assert_false(
                    side_enters(points[j], points[(j + 1) % count], &left[i], 8));
            for (int j = 0; j < plan->cut_count; j++)
                assert_false(
                    side_enters(plan->cuts[j].from, plan->cuts[j].to, &left[i], 8));
            for (int j = 0; j < plan->squares; j++)
                for (int k = 0; k < 4; k++)
                    assert_false(side_enters(plan->places[j].corners[k],
                                             plan->places[j].corners[(k + 1) % 4],
                                             &left[i], 8));
        }
        assert_true(area2 <= plan->waste_area2 + 1000000);
    }
}

static void a_small_room_keeps_the_largest(void **state)
{
    (void)state;
    scrap_point points[] = { { 0, 0 },         { IN(9.5), 0 },      { IN(9.5), IN(3) },
                             { IN(3), IN(3) }, { IN(3), IN(8.75) }, { 0, IN(8.75) } };
    scrap_outline outline = { { 6, points }, 0, NULL };
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.unit = IN(2);
    g_autoptr(scrap_plan) plan = scrap_plan_make(&outline, &request, NULL);
    scrap_bit all[20], one[1];
    int count = scrap_pile_leftovers(&outline, plan, &SCRAP_THRESHOLDS_USUAL, 20, all);
    assert_true(count > 1);
    assert_int_equal(
        scrap_pile_leftovers(&outline, plan, &SCRAP_THRESHOLDS_USUAL, 1, one), 1);
    assert_true((int64_t)one[0].width * one[0].height ==
                (int64_t)all[0].width * all[0].height);
    assert_int_equal(
        scrap_pile_leftovers(&outline, plan, &SCRAP_THRESHOLDS_USUAL, 0, one), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(scraps_go_where_the_thresholds_say),
        cmocka_unit_test(a_scrap_is_big_enough_for_its_largest_rectangle),
        cmocka_unit_test(the_rest_of_a_rectangle_is_one_string),
        cmocka_unit_test(an_exact_multiple_leaves_nothing),
        cmocka_unit_test(bits_lie_in_the_scrap_off_squares_and_cuts_largest_first),
        cmocka_unit_test(a_small_room_keeps_the_largest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
