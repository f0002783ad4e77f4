#include "test.h"

#include "base/error.h"
#include "base/length.h"
#include "base/random.h"

/* 1 yd = 0.9144 m exactly: "Refinement of values for the yard and the pound", Federal
 * Register, 1 July 1959; a foot is a third, an inch a 36th of it. */
static void the_international_yard_is_exact(void **state)
{
    (void)state;
    assert_int_equal((int64_t)LENGTH_YARD * 10000, (int64_t)LENGTH_M * 9144);
    assert_int_equal(LENGTH_FOOT * 3, LENGTH_YARD);
    assert_int_equal(LENGTH_INCH * 36, LENGTH_YARD);
    assert_int_equal(LENGTH_INCH * 10, LENGTH_MM * 254);
    assert_int_equal(LENGTH_INCH, 64 * 127);
}

static const struct {
    const char *text;
    length want;
} readable[] = {
    { "2", 16256 },
    { "2.5", 20320 },
    { "2 1/2", 20320 },
    { "2-1/2", 20320 },
    { "2½", 20320 },
    { "2 ½", 20320 },
    { "½", 4064 },
    { "1/2", 4064 },
    { "3/2", 12192 },
    { ".5", 4064 },
    { "0", 0 },
    { "2in", 16256 },
    { "2 in", 16256 },
    { "2\"", 16256 },
    { "2″", 16256 },
    { "1 1/8 yd", 329184 },
    { "1 ft", 97536 },
    { "1'", 97536 },
    { "50 mm", 16000 }, /* trade.md test table, row 51 */
    { "50.8mm", 16256 },
    { "5 cm", 16000 },
    { "1 m", 320000 },
    { "7.5 mm", 2400 },
    { "  2 1/2  in  ", 20320 },
    { "1/3", 2709 }, /* 2709.33, to the nearest */
    { "2/3", 5419 }, /* 5418.67 */
    { "1/64", 127 },
    { "1⁄2", 4064 },
    { "1000 m", 320000000 },
    /* A comma is a decimal sign too: ISO 80000-1 (from memory). 8128 units an inch. */
    { "2,5", 20320 },
    { "7,5 mm", 2400 },
    { "2,5 Zoll", 20320 },
    { "2 1/2 zoll", 20320 },
    { "0,125 in", 1016 },
    { "1,0625in", 8636 },
};

static void lengths_are_read(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(readable); i++) {
        g_autoptr(GError) error = NULL;
        length got = -1;
        if (!length_parse(readable[i].text, LENGTH_INCH, &got, &error))
            fail_msg("\"%s\": %s", readable[i].text, error->message);
        if (got != readable[i].want)
            fail_msg("\"%s\": %d, not %d", readable[i].text, got, readable[i].want);
    }
}

static const struct {
    const char *text;
    motley_error code;
} unreadable[] = {
    { NULL, MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "in", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "two", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "2 1/0 in", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "1/0", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "2 3/2", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "2 1/", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "2.", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "2,", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { ",5", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "1,500 mm", MOTLEY_ERROR_LENGTH_UNREADABLE }, /* one and a half, or many? */
    { "2,5,5", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "2.5 1/2", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "2-", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "2 3", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "2 in in", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "2 km", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "2e3", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "+2", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "0x10", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "nan", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "9999999999", MOTLEY_ERROR_LENGTH_UNREADABLE },
    { "-1 in", MOTLEY_ERROR_LENGTH_NOT_POSITIVE },
    { "1001 m", MOTLEY_ERROR_LENGTH_RANGE },
    { "999999999 m", MOTLEY_ERROR_LENGTH_RANGE },
};

static void what_is_no_length_is_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(unreadable); i++) {
        g_autoptr(GError) error = NULL;
        length got = -1;
        const char *text = unreadable[i].text;
        if (length_parse(text, LENGTH_INCH, &got, &error))
            fail_msg("\"%s\" was read as %d", text, got);
        if (!g_error_matches(error, MOTLEY_ERROR, (int)unreadable[i].code))
            fail_msg("\"%s\": %s", text, motley_error_code(error));
        assert_int_equal(got, -1);
    }
    g_autoptr(GError) error = NULL;
    length got = -1;
    assert_false(length_parse_positive("0 in", LENGTH_INCH, &got, &error));
    assert_string_equal(motley_error_code(error), "length.not-positive");
}

static void what_is_written_is_read_again(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 1);
    for (int i = 0; i < 20000; i++) {
        char text[LENGTH_TEXT_SIZE], metric[LENGTH_TEXT_SIZE];
        length x = (length)motley_random_below(&random, 10000 * 64) * 127, got;
        length_text_in(x, 64, text);
        assert_true(length_parse(text, LENGTH_INCH, &got, NULL));
        assert_int_equal(got, x);

        x = (length)motley_random_below(&random, 100000) * LENGTH_MM;
        length_text(x, LENGTH_METRIC, 8, metric);
        assert_true(length_parse(metric, LENGTH_INCH, &got, NULL));
        assert_int_equal(got, x);
    }
}

static void texts_round_once_and_up_where_bought(void **state)
{
    (void)state;
    char text[LENGTH_TEXT_SIZE];
    assert_string_equal(length_text_in(20320, 8, text), "2 1/2");
    assert_string_equal(length_text_in(0, 8, text), "0");
    assert_string_equal(length_text_in(LENGTH_INCH - 1, 8, text), "1");
    assert_string_equal(length_text_in(LENGTH_INCH / 8, 8, text), "1/8");
    /* trade.md 5.2: 146 in = 4.056 yd, buy 4 1/8 */
    assert_string_equal(length_text_yd_up(146 * LENGTH_INCH, text), "4 1/8 yd");
    assert_string_equal(length_text_yd_up(LENGTH_YARD, text), "1 yd");
    assert_string_equal(length_text_yd_up(LENGTH_YARD + 1, text), "1 1/8 yd");
    assert_string_equal(length_text_m_up(LENGTH_M, text), "1.00 m");
    assert_string_equal(length_text_m_up(LENGTH_M + 1, text), "1.05 m");
    assert_string_equal(length_text(20320, LENGTH_INCHES, 8, text), "2 1/2 in");
    assert_string_equal(length_text(20320, LENGTH_METRIC, 8, text), "6.4 cm");
}

static void rounding_keeps_its_side(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 2);
    for (int i = 0; i < 20000; i++) {
        length x = (length)motley_random_below(&random, LENGTH_MAX);
        length step = 1 + (length)motley_random_below(&random, LENGTH_YARD);
        length down = length_floor(x, step), up = length_ceil(x, step);
        assert_true(down <= x && x <= up && up - down <= step);
        assert_true(down % step == 0 && up % step == 0);
        length near = length_round(x, step);
        assert_true(near == down || near == up);
        assert_true(2 * (int64_t)abs(near - x) <= step);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_international_yard_is_exact),
        cmocka_unit_test(lengths_are_read),
        cmocka_unit_test(what_is_no_length_is_refused),
        cmocka_unit_test(what_is_written_is_read_again),
        cmocka_unit_test(texts_round_once_and_up_where_bought),
        cmocka_unit_test(rounding_keeps_its_side),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
