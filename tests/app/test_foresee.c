/* What the forecast of a quilt is made from: its blocks, the basket, what was bought. The
 * simulation itself is held by tests/plan/test_forecast.c. */
#include "test.h"

#include "fixture.h"

#include <string.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* The tile of 4 x 4 blocks takes 10 x 9 + 2 x 4 + 4 x 6 = 122 squares of the basket,
 * counted by hand from the design's own text. */
static void start(fixture *self)
{
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Tideline\", \"design\": \"lattice-chain\","
                     " \"across\": 4, \"down\": 4, \"unit\": \"2.5in\"}"));
}

static json_t *forecast(fixture *self)
{
    return does(self, "forecast", "{\"quilt\": \"Tideline\"}");
}

static void make(fixture *self, int row, int col)
{
    json_decref(
        does(self, "made", "{\"quilt\": \"Tideline\", \"place\": [%d, %d]}", row, col));
}

static void nothing_made_promises_nothing(void **state)
{
    fixture *self = *state;
    start(self);
    g_autoptr(json_t) document = forecast(self);
    assert_int_equal(number_at(document, "left"), 16);
    assert_float_equal(json_number_value(value_at(document, "pace.blocks_a_week")), 0, 0);
    assert_string_equal(text_at(document, "pace.sure"), "hardly");
    assert_true(json_is_null(value_at(document, "done.p50")));
    assert_true(json_is_null(value_at(document, "half.p10")));
    assert_int_equal(number_at(document, "basket.all.needed"), 122);
    assert_true(json_is_null(value_at(document, "background")));
}

static void every_block_counts_in_its_week_day_and_season(void **state)
{
    fixture *self = *state;
    start(self);
    json_decref(does(self, "basket.add", "{\"count\": 200, \"unit\": \"2.5in\"}"));
    for (int col = 1; col <= 3; col++)
        make(self, 2, col);
    g_autoptr(json_t) document = forecast(self);
    assert_int_equal(json_array_size(value_at(document, "pace.by_week")), 1);
    assert_int_equal(number_at(document, "pace.by_week.0.blocks"), 3);
    assert_int_equal(number_at(document, "pace.by_day.0.blocks"), 3);
    assert_int_equal(number_at(document, "pace.seasons.0.blocks"), 3);
    assert_string_equal(text_at(document, "pace.sure"), "hardly");
    /* The range of one week's data is wide, and in order. */
    const char *soon = text_at(document, "done.p10"),
               *middle = text_at(document, "done.p50");
    assert_true(strcmp(soon, middle) <= 0);
}

static void what_the_blocks_left_take_is_held_against_the_basket(void **state)
{
    fixture *self = *state;
    start(self);
    json_decref(does(self, "basket.add", "{\"count\": 200, \"unit\": \"2.5in\"}"));
    make(self, 1, 2); /* a plain block: nine squares */
    g_autoptr(json_t) document = forecast(self);
    assert_int_equal(number_at(document, "basket.all.squares"), 200 - 9);
    assert_int_equal(number_at(document, "basket.all.needed"), 122 - 9);
    assert_float_equal(json_number_value(value_at(document, "basket.all.lasts")), 1, 0);
    /* The design asks for no lights and no darks. */
    assert_true(json_is_null(value_at(document, "basket.lights")));
    assert_true(json_is_null(value_at(document, "basket.darks")));
}

static void so_many_a_week_is_a_division(void **state)
{
    fixture *self = *state;
    start(self);
    g_autoptr(json_t) document =
        does(self, "forecast", "{\"quilt\": \"Tideline\", \"per_week\": 4}");
    g_autoptr(GDateTime) now = g_date_time_new_now_local();
    g_autoptr(GDateTime) done = g_date_time_add_days(now, 28); /* 16 blocks, 4 a week */
    g_autofree char *want = g_date_time_format(done, "%Y-%m-%d");
    assert_string_equal(text_at(document, "if.done"), want);
    g_autoptr(GDateTime) half = g_date_time_add_days(now, 14);
    g_autofree char *want_half = g_date_time_format(half, "%Y-%m-%d");
    assert_string_equal(text_at(document, "if.half"), want_half);
    refuses(self, "app.field-wrong", "forecast",
            "{\"quilt\": \"Tideline\", \"per_week\": 0}");
    refuses(self, "app.no-quilt", "forecast", "{\"quilt\": \"Nowhere\"}");
}

/* All light and dark: nothing is to be bought, and nothing runs short. */
static void a_quilt_without_a_background_is_not_asked_for_one(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Barn\", \"design\": \"barn-raising\","
                     " \"across\": 4, \"down\": 4, \"unit\": \"2in\"}"));
    g_autoptr(json_t) document = does(self, "forecast", "{\"quilt\": \"Barn\"}");
    assert_true(json_is_true(value_at(document, "background.enough")));
    assert_true(json_number_value(value_at(document, "background.needed_in")) == 0);
    assert_true(json_is_object(value_at(document, "basket.lights")));
    assert_true(json_is_object(value_at(document, "basket.darks")));
}

static void background_lasts_as_far_as_it_was_bought(void **state)
{
    fixture *self = *state;
    start(self);
    json_decref(does(self, "bought",
                     "{\"quilt\": \"Tideline\", \"item\": \"background\","
                     " \"length\": \"2in\"}"));
    g_autoptr(json_t) document = forecast(self);
    assert_false(json_is_true(value_at(document, "background.enough")));
    double need = json_number_value(value_at(document, "background.needed_in"));
    assert_true(need > 2);
    assert_int_equal(number_at(document, "background.blocks"),
                     (long long)floor(2 / need * 16));
    json_decref(does(self, "bought",
                     "{\"quilt\": \"Tideline\", \"item\": \"background\","
                     " \"ticked\": true}"));
    g_autoptr(json_t) later = forecast(self);
    assert_true(json_is_true(value_at(later, "background.enough")));
    assert_int_equal(number_at(later, "background.blocks"), 16);
}

static void the_same_book_gives_the_same_forecast(void **state)
{
    fixture *self = *state;
    start(self);
    json_decref(does(self, "basket.add", "{\"count\": 50, \"unit\": \"2.5in\"}"));
    make(self, 1, 2);
    g_autoptr(json_t) one = forecast(self);
    g_autoptr(json_t) two = forecast(self);
    assert_true(json_equal(one, two));
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)
    const struct CMUnitTest tests[] = {
        TEST(nothing_made_promises_nothing),
        TEST(every_block_counts_in_its_week_day_and_season),
        TEST(what_the_blocks_left_take_is_held_against_the_basket),
        TEST(so_many_a_week_is_a_division),
        TEST(a_quilt_without_a_background_is_not_asked_for_one),
        TEST(background_lasts_as_far_as_it_was_bought),
        TEST(the_same_book_gives_the_same_forecast),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
