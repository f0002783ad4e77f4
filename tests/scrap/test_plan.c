#include "test.h"

#include "base/error.h"
#include "scrap/plan.h"

#define IN(x) ((length)((x)*LENGTH_INCH))

static scrap_plan *plan_of(int count, const scrap_point points[], length unit,
                           scrap_method method, scrap_angles angles)
{
    scrap_outline outline = { { count, points }, 0, NULL };
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.unit = unit;
    request.method = method;
    request.angles = angles;
    g_autoptr(GError) error = NULL;
    if (!scrap_outline_check(&outline, &error))
        fail_msg("%s", error->message);
    scrap_plan *plan = scrap_plan_make(&outline, &request, &error);
    if (plan == NULL)
        fail_msg("%s", error->message);
    return plan;
}

static void rectangles_give_whole_rows_and_columns(void **state)
{
    (void)state;
    static const struct {
        length width, height, unit;
        int squares;
    } rows[] = {
        { IN(18), IN(9.5), IN(2), 36 },
        { IN(20), IN(20), IN(2), 100 },
        { IN(20), IN(20) - 64, IN(2), 90 },
        { IN(2), IN(2), IN(2), 1 },
        { IN(2) - 64, IN(2), IN(2), 0 },
        { LENGTH_CM * 50, LENGTH_CM * 40, LENGTH_CM * 5, 80 },
        { LENGTH_MM * 333, LENGTH_MM * 111, LENGTH_MM * 37, 27 },
        { IN(44), IN(9), IN(2.5), 51 },
        { IN(3), IN(3), IN(5), 0 },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        scrap_point points[] = { { 0, 0 },
                                 { rows[i].width, 0 },
                                 { rows[i].width, rows[i].height },
                                 { 0, rows[i].height } };
        for (int method = SCRAP_CUT_GRID; method <= SCRAP_CUT_EASIEST; method++) {
            g_autoptr(scrap_plan) plan =
                plan_of(4, points, rows[i].unit, method, SCRAP_ANGLES_GRAIN);
            if (plan->squares != rows[i].squares || plan->bound < plan->squares)
                fail_msg("row %zu, method %d: %d squares of at most %d, wanted %d", i,
                         method, plan->squares, plan->bound, rows[i].squares);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rectangles_give_whole_rows_and_columns),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
