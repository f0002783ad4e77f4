/* The whole job, from a photo to a crossed-off block. */
#include "test.h"

#include "fixture.h"

/* tests/photos/scraps-1.jpg is a rendered picture of 16 invented scraps; its truth stands
 * beside it. */
static const char photo[] = TEST_PHOTOS "/scraps-1.jpg";

static long long basket_squares(fixture *self)
{
    json_t *basket = does(self, "basket", "{}");
    long long squares = number_at(basket, "squares");
    json_decref(basket);
    return squares;
}

static void a_photo_becomes_squares_in_the_basket(void **state)
{
    fixture *self = *state;
    json_t *measured =
        does(self, "measure",
             "{\"photos\": [\"%s\"], \"keep\": true, \"source\": \"Harbour\","
             " \"unit\": \"2in\"}",
             photo);
    assert_int_equal(json_array_size(value_at(measured, "photos.0.scraps")), 16);
    json_decref(measured);

    json_t *plan = does(self, "cut", "{\"unit\": \"2in\"}");
    long long planned = number_at(plan, "total.squares");
    assert_true(planned > 0);
    json_decref(plan);
    assert_int_equal(basket_squares(self), 0);

    json_decref(does(self, "cut", "{\"unit\": \"2in\", \"done\": true}"));
    assert_int_equal(basket_squares(self), planned);
    json_t *basket = does(self, "basket", "{}");
    assert_string_equal(text_at(basket, "sources.0.source"), "Harbour");
    assert_int_equal(number_at(basket, "layers.0.squares"), planned);
    json_decref(basket);
    refuses(self, "app.no-scrap", "cut", "{\"unit\": \"2in\", \"done\": true}");

    json_decref(does(self, "undo", "{}"));
    assert_int_equal(basket_squares(self), 0);
    json_decref(does(self, "redo", "{}"));
    assert_int_equal(basket_squares(self), planned);
}

static void the_same_photo_is_kept_once(void **state)
{
    fixture *self = *state;
    const char *keep = "{\"photos\": [\"%s\"], \"keep\": true}";
    json_decref(does(self, "measure", keep, photo));
    int64_t revision = app_revision(self->book);
    json_t *again = does(self, "measure", keep, photo);
    assert_int_equal(app_revision(self->book), revision);
    assert_string_equal(text_at(again, "photos.0.warnings.0.code"), "photo.kept-already");
    json_decref(again);
}

static void what_she_really_got_is_what_goes_in(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "measure", "{\"photos\": [\"%s\"], \"keep\": true}", photo));
    json_decref(does(self, "cut", "{\"unit\": \"2in\", \"done\": 5}"));
    assert_int_equal(basket_squares(self), 5);
}

static void start_tideline(fixture *self)
{
    json_t *quilt = does(self, "quilt.start",
                         "{\"quilt\": \"Tideline\", \"design\": \"lattice-chain\","
                         " \"across\": 12, \"down\": 16, \"unit\": \"2.5in\"}");
    json_decref(quilt);
}

/* The tile of 4 x 4 blocks, counted by hand from the design's own text: 2 cross, 4
 * stroke, 10 plain; 12 x 16 holds twelve tiles. A cross takes 4 scrap and 5 background
 * squares, a stroke 6 and 3, a plain block 9. */
static void tideline_is_counted_as_by_hand(void **state)
{
    fixture *self = *state;
    start_tideline(self);
    json_t *quilt = does(self, "quilt", "{\"quilt\": \"tideline\"}");
    static const struct {
        const char *kind;
        int blocks;
    } want[] = { { "plain", 120 }, { "cross", 24 }, { "stroke", 48 } };
    for (size_t i = 0; i < G_N_ELEMENTS(want); i++) {
        g_autofree char *kind = g_strdup_printf("kinds.%zu.kind", i);
        g_autofree char *blocks = g_strdup_printf("kinds.%zu.blocks", i);
        assert_string_equal(text_at(quilt, kind), want[i].kind);
        assert_int_equal(number_at(quilt, blocks), want[i].blocks);
    }
    assert_int_equal(number_at(quilt, "squares.S"), 24 * 4 + 48 * 6 + 120 * 9);
    assert_int_equal(number_at(quilt, "squares.B"), 24 * 5 + 48 * 3);
    assert_int_equal(number_at(quilt, "left"), 192);
    assert_float_equal(json_number_value(value_at(quilt, "finished_in.0")), 72, 0);
    assert_float_equal(json_number_value(value_at(quilt, "finished_in.1")), 96, 0);
    json_decref(quilt);

    /* 264 squares of 2 1/2 in, 16 a strip of 40 in: 17 strips, 42 1/2 in; 1 1/4 yd is 45.
     */
    json_t *buy = does(self, "buy", "{\"quilt\": \"Tideline\"}");
    assert_string_equal(text_at(buy, "items.0.for"), "background");
    assert_int_equal(number_at(buy, "items.0.cuts.0.count"), 17);
    assert_float_equal(json_number_value(value_at(buy, "items.0.buy_yd")), 1.25, 0);
    json_decref(buy);
}

static void a_block_is_composed_crossed_off_and_undone(void **state)
{
    fixture *self = *state;
    start_tideline(self);
    refuses(self, "app.basket-short", "next", "{\"quilt\": \"Tideline\"}");
    json_decref(does(self, "basket.add", "{\"count\": 30, \"unit\": \"2.5in\"}"));

    json_t *next = does(self, "next", "{\"quilt\": \"Tideline\"}");
    assert_int_equal(number_at(next, "blocks.0.place.0"), 1);
    assert_string_equal(text_at(next, "blocks.0.kind"), "cross");
    json_decref(next);

    /* A cross takes four squares of the basket, a plain block nine. */
    json_decref(does(self, "made", "{\"quilt\": \"Tideline\", \"place\": [1, 1]}"));
    assert_int_equal(basket_squares(self), 26);
    json_decref(does(self, "made", "{\"quilt\": \"Tideline\", \"place\": \"3,4\"}"));
    assert_int_equal(basket_squares(self), 17);
    refuses(self, "app.place-made", "made",
            "{\"quilt\": \"Tideline\", \"place\": \"3,4\"}");

    json_t *undone = does(self, "made",
                          "{\"quilt\": \"Tideline\", \"place\": [3, 4], \"undo\": true}");
    assert_int_equal(number_at(undone, "left"), 191);
    json_decref(undone);
    assert_int_equal(basket_squares(self), 26);
    json_decref(does(self, "undo", "{}"));
    assert_int_equal(basket_squares(self), 17);
}

static void a_sewn_block_counts_though_the_basket_runs_dry(void **state)
{
    fixture *self = *state;
    start_tideline(self);
    json_decref(does(self, "basket.add", "{\"count\": 3, \"unit\": \"2.5in\"}"));
    json_t *made = does(self, "made", "{\"quilt\": \"Tideline\", \"place\": [1, 2]}");
    assert_int_equal(number_at(made, "left"), 191);
    assert_string_equal(text_at(made, "warnings.0.code"), "basket.short");
    json_decref(made);
    assert_int_equal(basket_squares(self), 0);
}

static void squares_of_a_dropped_quilt_go_back(void **state)
{
    fixture *self = *state;
    start_tideline(self);
    json_decref(does(self, "basket.add", "{\"count\": 60, \"unit\": \"2.5in\"}"));
    json_decref(does(self, "made",
                     "{\"quilt\": \"Tideline\", \"kind\": \"stroke\", \"count\": 5}"));
    assert_int_equal(basket_squares(self), 30);
    json_decref(does(self, "quilt.delete", "{\"quilt\": \"Tideline\"}"));
    assert_int_equal(basket_squares(self), 60);
    refuses(self, "app.no-quilt", "quilt", "{\"quilt\": \"Tideline\"}");
    json_decref(does(self, "undo", "{}"));
    assert_int_equal(basket_squares(self), 30);
    json_decref(does(self, "quilt", "{\"quilt\": \"Tideline\"}"));
}

/* Whatever is done and undone, totals by fabric, source, value and layer all sum to the
 * basket, and undoing all of it leaves nothing. */
static void every_sum_is_the_basket(void **state)
{
    fixture *self = *state;
    static const char *const lists[] = { "units", "fabrics", "sources", "values",
                                         "layers" };
    json_decref(does(self, "demo", "{}"));
    for (int i = 0; i < 12; i++) {
        switch (i % 4) {
        case 0:
            json_decref(
                does(self, "made", "{\"quilt\": \"Tideline\", \"kind\": \"plain\"}"));
            break;
        case 1:
            json_decref(
                does(self, "basket.add", "{\"count\": 7, \"source\": \"Swap %d\"}", i));
            break;
        case 2:
            json_decref(does(self, "undo", "{}"));
            break;
        default:
            json_decref(does(self, "basket.take", "{\"count\": 4}"));
        }
        json_t *basket = does(self, "basket", "{}");
        for (size_t k = 0; k < G_N_ELEMENTS(lists); k++) {
            long long sum = 0;
            size_t row;
            json_t *share;
            json_array_foreach (value_at(basket, lists[k]), row, share)
                sum += number_at(share, "squares");
            if (sum != number_at(basket, "squares"))
                fail_msg("step %d: %s sum to %lld of %lld", i, lists[k], sum,
                         number_at(basket, "squares"));
        }
        json_decref(basket);
    }
}

static void the_demo_goes_into_empty_books_only(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "basket.add", "{\"count\": 1}"));
    refuses(self, "app.book-not-empty", "demo", "{}");
}

static void settings_are_kept_in_either_system(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "settings.change", "{\"unit\": \"2 1/2 in\"}"));
    json_t *settings = does(self, "settings.change", "{\"system\": \"metric\"}");
    assert_float_equal(json_number_value(value_at(settings, "unit_in")), 2.5, 0);
    assert_string_equal(json_string_value(value_at(settings, "unit")), "2 1/2 in");
    assert_string_equal(json_string_value(value_at(settings, "seam")), "1/4 in");
    json_decref(settings);
    settings = does(self, "settings.change", "{\"unit\": \"5\"}"); /* centimetres now */
    assert_float_equal(json_number_value(value_at(settings, "unit_in")), 5 / 2.54, 1e-9);
    assert_string_equal(json_string_value(value_at(settings, "unit")), "5.0 cm");
    json_decref(settings);
    json_decref(does(self, "undo", "{}"));
    settings = does(self, "settings", "{}");
    assert_float_equal(json_number_value(value_at(settings, "unit_in")), 2.5, 0);
    json_decref(settings);
}

static double area_of_largest(fixture *self)
{
    double largest = 0;
    size_t i;
    json_t *scrap, *measured = does(self, "measure", "{\"photos\": [\"%s\"]}", photo);
    json_array_foreach (value_at(measured, "photos.0.scraps"), i, scrap) {
        double area = json_number_value(value_at(scrap, "area_sq_in"));
        largest = MAX(largest, area);
    }
    json_decref(measured);
    return largest;
}

/* A card printed at 102 per cent is 1.02 times as long, and what lies beside it 1.02
 * squared times as large as its tags say. The plan's pixels then fall elsewhere: within a
 * half per cent. */
static void a_card_that_the_printer_scaled_is_reckoned_with(void **state)
{
    fixture *self = *state;
    double as_drawn = area_of_largest(self);
    json_decref(does(self, "settings.change", "{\"card_line\": \"102\"}"));
    double scaled = area_of_largest(self);
    assert_true(as_drawn > 50);
    if (fabs(scaled / as_drawn / (1.02 * 1.02) - 1) > 0.005)
        fail_msg("%.3f sq in became %.3f", as_drawn, scaled);
}

#define PATH_TEST(name) cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        PATH_TEST(a_photo_becomes_squares_in_the_basket),
        PATH_TEST(the_same_photo_is_kept_once),
        PATH_TEST(what_she_really_got_is_what_goes_in),
        PATH_TEST(tideline_is_counted_as_by_hand),
        PATH_TEST(a_block_is_composed_crossed_off_and_undone),
        PATH_TEST(a_sewn_block_counts_though_the_basket_runs_dry),
        PATH_TEST(squares_of_a_dropped_quilt_go_back),
        PATH_TEST(every_sum_is_the_basket),
        PATH_TEST(the_demo_goes_into_empty_books_only),
        PATH_TEST(settings_are_kept_in_either_system),
        PATH_TEST(a_card_that_the_printer_scaled_is_reckoned_with),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
