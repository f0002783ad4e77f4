/* The words on paper: lengths, days, counts and fabrics in both languages. That every
 * sentence has its German is held by check_words.py. An inch is 2.54 cm and a yard 36 in
 * (the agreement of 1959); German writes a decimal comma and the day as "1. März 2026"
 * (CLDR, from memory); the words themselves are our own. */
#include "draw/words.h"
#include "test.h"

static void lengths_are_written_as_the_language_does(void **state)
{
    (void)state;
    static const struct {
        draw_language language;
        length_system system;
        const char *text;
    } rows[] = {
        { DRAW_ENGLISH, LENGTH_INCHES, "2 1/2 in" },
        { DRAW_GERMAN, LENGTH_INCHES, "2 1/2 Zoll" },
        { DRAW_ENGLISH, LENGTH_METRIC, "6.4 cm" },
        { DRAW_GERMAN, LENGTH_METRIC, "6,4 cm" },
    };
    char text[LENGTH_TEXT_SIZE];
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++)
        assert_string_equal(
            draw_length(rows[i].language, LENGTH_INCH * 5 / 2, rows[i].system, 8, text),
            rows[i].text);
    assert_string_equal(draw_length_yd_up(DRAW_GERMAN, LENGTH_YARD * 9 / 8, text),
                        "1 1/8 Yard");
    assert_string_equal(draw_length_m_up(DRAW_GERMAN, LENGTH_M * 11 / 10, text),
                        "1,10 m");
    assert_string_equal(draw_length_m_up(DRAW_ENGLISH, LENGTH_M * 11 / 10, text),
                        "1.10 m");
}

static void a_unit_keeps_its_system(void **state)
{
    (void)state;
    char text[LENGTH_TEXT_SIZE];
    assert_string_equal(draw_unit(DRAW_GERMAN, LENGTH_INCH * 5 / 2, text), "2 1/2 Zoll");
    assert_string_equal(draw_unit(DRAW_GERMAN, 50 * LENGTH_MM, text), "50 mm");
    assert_string_equal(draw_unit(DRAW_ENGLISH, LENGTH_INCH * 3 / 64, text), "3/64 in");
}

static void days_are_written_as_the_language_does(void **state)
{
    (void)state;
    g_autoptr(GDateTime) day = g_date_time_new_local(2026, 3, 1, 12, 0, 0);
    g_autofree char *english = draw_day(DRAW_ENGLISH, g_date_time_to_unix(day));
    g_autofree char *german = draw_day(DRAW_GERMAN, g_date_time_to_unix(day));
    assert_string_equal(english, "1 March 2026");
    assert_string_equal(german, "1. März 2026");
}

static void one_is_told_from_many(void **state)
{
    (void)state;
    char text[DRAW_COUNTED_SIZE];
    assert_string_equal(draw_counted(DRAW_GERMAN, 1, "square", "squares", text),
                        "1 Quadrat");
    assert_string_equal(draw_counted(DRAW_GERMAN, 2, "square", "squares", text),
                        "2 Quadrate");
    assert_string_equal(draw_counted(DRAW_ENGLISH, 2, "square", "squares", text),
                        "2 squares");
}

/* The program names fabrics by colour and number; what she called "plum" is no colour. */
static void names_that_she_gave_stay(void **state)
{
    (void)state;
    static const struct {
        const char *name, *german;
    } rows[] = {
        { "dark teal 12", "dunkles Petrol 12" },
        { "off-white 3", "gebrochenes Weiß 3" },
        { "any square", "irgendein Quadrat" },
        { "plum", "plum" },
        { "Grandmother's 1962", "Grandmother's 1962" },
        { "star", "star" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autofree char *german = draw_fabric_words(DRAW_GERMAN, rows[i].name);
        g_autofree char *english = draw_fabric_words(DRAW_ENGLISH, rows[i].name);
        assert_string_equal(german, rows[i].german);
        assert_string_equal(english, rows[i].name);
    }
    assert_string_equal(draw_words_of(DRAW_GERMAN, "Tideline"), "Tideline");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths_are_written_as_the_language_does),
        cmocka_unit_test(a_unit_keeps_its_system),
        cmocka_unit_test(days_are_written_as_the_language_does),
        cmocka_unit_test(one_is_told_from_many),
        cmocka_unit_test(names_that_she_gave_stay),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
