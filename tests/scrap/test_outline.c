#include "test.h"

#include "base/error.h"
#include "scrap/outline.h"

#define IN(x) ((length)((x)*LENGTH_INCH))

static void refusals_name_what_is_wrong(void **state)
{
    (void)state;
    scrap_point bow[] = { { 0, 0 }, { IN(4), IN(4) }, { IN(4), 0 }, { 0, IN(4) } };
    scrap_point two[] = { { 0, 0 }, { IN(4), IN(4) } };
    scrap_point line[] = { { 0, 0 }, { IN(1), IN(1) }, { IN(2), IN(2) } };
    scrap_point spike[] = {
        { 0, 0 }, { IN(4), 0 }, { IN(4), IN(4) }, { IN(4), IN(2) }, { 0, IN(4) }
    };
    scrap_point touching[] = { { 0, 0 }, { IN(4), 0 }, { IN(2), 0 }, { 0, IN(4) } };
    scrap_point large[] = { { 0, 0 }, { IN(200), 0 }, { 0, IN(1) } };
    static const char *const codes[] = {
        "scrap.outline-crosses", "scrap.outline-too-few", "scrap.outline-too-few",
        "scrap.outline-crosses", "scrap.outline-crosses", "scrap.outline-too-large"
    };
    scrap_ring rings[] = { { 4, bow },   { 2, two },      { 3, line },
                           { 5, spike }, { 4, touching }, { 3, large } };
    for (size_t i = 0; i < G_N_ELEMENTS(rings); i++) {
        scrap_outline outline = { rings[i], 0, NULL };
        g_autoptr(GError) error = NULL;
        assert_false(scrap_outline_check(&outline, &error));
        if (strcmp(motley_error_code(error), codes[i]) != 0)
            fail_msg("row %zu: %s, wanted %s", i, motley_error_code(error), codes[i]);
    }
}

static void a_crossing_is_named_by_its_place(void **state)
{
    (void)state;
    scrap_point bow[] = { { 0, 0 }, { IN(4), IN(4) }, { IN(4), 0 }, { 0, IN(4) } };
    scrap_outline outline = { { 4, bow }, 0, NULL };
    g_autoptr(GError) error = NULL;
    assert_false(scrap_outline_check(&outline, &error));
    assert_non_null(strstr(error->message, "(2.00, 2.00)"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refusals_name_what_is_wrong),
        cmocka_unit_test(a_crossing_is_named_by_its_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
