/* One outline laid on another: known motions are found again. */
#include "test.h"

#include "scrap/fit.h"

#include <math.h>

enum { CORNERS = 7, STEPS = 40 };

static const double shape[CORNERS][2] = { { 0, 0 },   { 5, 0.3 }, { 6, 2 },  { 4.2, 2.4 },
                                          { 4, 4.5 }, { 1, 3.5 }, { 0.7, 2 } };

static length inches(double x)
{
    return length_from_inches(x);
}

static void turned_and_moved_outlines_are_laid_back(void **state)
{
    (void)state;
    scrap_point one[CORNERS], other[CORNERS];
    for (int i = 0; i < CORNERS; i++)
        one[i] = (scrap_point){ inches(shape[i][0]), inches(shape[i][1]) };
    for (int step = 0; step < STEPS; step++) {
        double way = 2 * M_PI * step / STEPS, c = cos(way), s = sin(way);
        for (int i = 0; i < CORNERS; i++) {
            int at = (i + step) % CORNERS; /* begin anywhere, and run either way */
            at = step % 2 == 0 ? at : CORNERS - 1 - at;
            other[at] = (scrap_point){ inches(c * shape[i][0] - s * shape[i][1] + 7),
                                       inches(s * shape[i][0] + c * shape[i][1] - 3) };
        }
        const scrap_outline a = { { CORNERS, one }, 0, NULL },
                            b = { { CORNERS, other }, 0, NULL };
        scrap_fit fits[SCRAP_FITS_MAX];
        int count = scrap_fit_find(&a, &b, fits);
        assert_true(count >= 1);
        if (fits[0].rms > 0.01 * LENGTH_INCH)
            fail_msg("step %d: %.3f in off", step, fits[0].rms / LENGTH_INCH);
        double x, y;
        scrap_motion_apply(&fits[0].motion, inches(2), inches(1), &x, &y);
        assert_float_equal(x / LENGTH_INCH, c * 2 - s * 1 + 7, 0.03);
        assert_float_equal(y / LENGTH_INCH, s * 2 + c * 1 - 3, 0.03);
    }
}

/* Turned over it is another scrap: this shape has no mirror line. */
static void a_mirror_picture_does_not_fit(void **state)
{
    (void)state;
    scrap_point one[CORNERS], other[CORNERS];
    for (int i = 0; i < CORNERS; i++) {
        one[i] = (scrap_point){ inches(shape[i][0]), inches(shape[i][1]) };
        other[i] = (scrap_point){ inches(-shape[i][0]), inches(shape[i][1]) };
    }
    const scrap_outline a = { { CORNERS, one }, 0, NULL },
                        b = { { CORNERS, other }, 0, NULL };
    scrap_fit fits[SCRAP_FITS_MAX];
    int count = scrap_fit_find(&a, &b, fits);
    for (int i = 0; i < count; i++)
        assert_true(fits[i].rms > 0.1 * LENGTH_INCH);
}

/* By their symmetry: a square lies on itself four ways, a strip two. */
static void what_is_even_fits_more_than_one_way(void **state)
{
    (void)state;
    static const struct {
        double width, height;
        int ways;
    } table[] = { { 3, 3, 4 }, { 2, 9, 2 } };
    for (size_t i = 0; i < G_N_ELEMENTS(table); i++) {
        const length w = inches(table[i].width), h = inches(table[i].height);
        const scrap_point box[4] = { { 0, 0 }, { w, 0 }, { w, h }, { 0, h } };
        const scrap_outline a = { { 4, box }, 0, NULL };
        scrap_fit fits[SCRAP_FITS_MAX];
        int count = scrap_fit_find(&a, &a, fits), good = 0;
        for (int k = 0; k < count; k++)
            good += fits[k].rms < 0.01 * LENGTH_INCH;
        assert_int_equal(good, table[i].ways);
    }
}

static void nothing_fits_an_empty_ring(void **state)
{
    (void)state;
    const scrap_outline none = { 0 };
    scrap_fit fits[SCRAP_FITS_MAX];
    assert_int_equal(scrap_fit_find(&none, &none, fits), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(turned_and_moved_outlines_are_laid_back),
        cmocka_unit_test(a_mirror_picture_does_not_fit),
        cmocka_unit_test(what_is_even_fits_more_than_one_way),
        cmocka_unit_test(nothing_fits_an_empty_ring),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
