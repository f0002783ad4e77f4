/* Cutting, sorting and comparing as a maker asks for them: every way to ask, and what
 * cannot be asked. Counts of rectangles are counted by hand. */
#include "test.h"

#include "fixture.h"

static const char photo[] = TEST_PHOTOS "/scraps-1.jpg";

static double real_at(const json_t *document, const char *path)
{
    return json_number_value(value_at(document, path));
}

static void keep_photo(fixture *self)
{
    json_decref(does(self, "measure",
                     "{\"photos\": [\"%s\"], \"keep\": true, \"unit\": \"2in\"}", photo));
}

/* 18 / 2 = 9 squares in each of floor(9 1/2 / 2) = 4 strips; less 1/4 in all round 8 in
 * each of 4; less a selvage of 2 in along the long side 9 in each of 3. */
static void squares_of_a_rectangle_are_those_counted_by_hand(void **state)
{
    static const struct {
        const char *more;
        int squares;
    } rows[] = {
        { "", 36 },
        { ", \"trim\": \"1/4 in\"", 32 },
        { ", \"trim\": 0", 36 },
        { ", \"selvage\": \"2 in\"", 27 },
        { ", \"selvage\": true", 36 },
        { ", \"selvage\": false", 36 },
        { ", \"method\": \"easiest\"", 36 },
        { ", \"method\": \"grid\"", 36 },
        { ", \"angles\": \"free\", \"tolerance\": 0", 36 },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        json_t *cut =
            does(*state, "cut", "{\"rect\": \"18 x 9 1/2 in\", \"unit\": \"2in\"%s}",
                 rows[i].more);
        if (number_at(cut, "total.squares") != rows[i].squares)
            fail_msg("%s: %lld squares, not %d", rows[i].more,
                     number_at(cut, "total.squares"), rows[i].squares);
        json_decref(cut);
    }
}

/* Three steps of 2 in, each moved on by 1 in, hold six squares in three strips slid on
 * their own; no grid takes more than four. */
static void the_best_and_the_easiest_are_both_shown_where_they_differ(void **state)
{
    json_t *cut =
        does(*state, "cut",
             "{\"unit\": \"2in\", \"tolerance\": 0, \"outline\": {\"outline_in\": "
             "[[0,0],[4,0],[4,2],[5,2],[5,4],[6,4],[6,6],[2,6],[2,4],[1,4],[1,2],"
             "[0,2]]}}");
    size_t count = json_array_size(value_at(cut, "plans"));
    assert_int_equal(number_at(cut, "plans.0.squares"), 6);
    assert_true(json_is_true(value_at(cut, "plans.0.chosen")));
    assert_true(count == 1 || count == 2);
    assert_true(
        json_is_true(value_at(cut, count == 2 ? "plans.1.easiest" : "plans.0.easiest")));
    if (count == 2) {
        assert_true(json_is_false(value_at(cut, "plans.0.easiest")));
        assert_true(
            real_at(cut, "plans.1.minutes") / (double)number_at(cut, "plans.1.squares") <
            real_at(cut, "plans.0.minutes") / (double)number_at(cut, "plans.0.squares"));
    }
    assert_int_equal(json_array_size(value_at(cut, "plans.0.lines_in")),
                     json_array_size(value_at(cut, "plans.0.lines_pass")));
    json_decref(cut);
}

static void habits_are_what_plans_go_by(void **state)
{
    fixture *self = *state;
    json_t *tools = does(self, "cutting.say",
                         "{\"trim\": \"1/4 in\", \"whole\": \"9 x 5 in\", "
                         "\"least_squares\": 3, \"string\": \"8 x 1 in\", \"selvage\": "
                         "\"2 in\", \"tolerance\": 1.5}");
    assert_float_equal(real_at(tools, "cutting.tolerance_deg"), 1.5, 0);
    assert_float_equal(real_at(tools, "cutting.whole_in.0"), 9, 0);
    json_decref(tools);
    json_t *cut = does(self, "cut", "{\"rect\": \"18x9.5in\", \"unit\": \"2in\"}");
    assert_int_equal(number_at(cut, "total.squares"), 32);
    assert_string_equal(text_at(cut, "plans.0.use"), "keep whole");
    json_decref(cut);
    /* 7 1/2 in less 1/4 in twice is 7: three strips of 8. */
    cut = does(self, "cut",
               "{\"rect\": \"18x9.5in\", \"unit\": \"2in\", \"selvage\": true}");
    assert_int_equal(number_at(cut, "total.squares"), 24);
    json_decref(cut);
    json_decref(does(self, "undo", "{}"));
    tools = does(self, "tools", "{}");
    assert_float_equal(real_at(tools, "cutting.trim_in"), 0, 0);
    json_decref(tools);
}

/* 10 x 12 in holds four 5 in squares and, above them, a strip of 2 in with five 2 in
 * squares: 4 x 7 + 5 = 33. Worth 5 each the five bring 53. */
static void the_most_valuable_mix_is_the_one_counted_by_hand(void **state)
{
    fixture *self = *state;
    json_t *cut = does(self, "cut", "{\"rect\": \"10x12in\", \"want\": \"2in:1,5in:7\"}");
    assert_int_equal(number_at(cut, "total.value"), 33);
    assert_int_equal(number_at(cut, "total.pieces"), 9);
    assert_true(number_at(cut, "plans.0.passes") > 0);
    assert_true(real_at(cut, "total.minutes") > 0);
    assert_float_equal(real_at(cut, "plans.0.waste_sq_in"), 0, 1e-9);
    json_decref(cut);

    /* Trimmed by 1/4 in all round, 9 1/2 x 11 1/2 holds one 5 in square of each row: a
     * value of two strips; no more than before. */
    cut = does(self, "cut",
               "{\"rect\": \"10x12in\", \"want\": \"2in:1,5in:7\", \"trim\": \"1/4in\"}");
    assert_true(number_at(cut, "total.value") < 33);
    assert_float_equal(real_at(cut, "plans.0.bound"), real_at(cut, "plans.0.value"), 0);
    json_decref(cut);
}

/* A strip of 3 x 10 in gives ten pieces of 3 x 1 in any way; when pieces keep their
 * direction, one of 1 across and 3 up fits as often, one of 3 up to 1 across in 10 in
 * lengths three times in each inch. */
static void stages_and_turning_change_what_can_be_had(void **state)
{
    static const char *const sizes =
        "{\"rect\": \"7x11in\", \"want\": \"4x3in:12,3x2in:6,"
        "2in:4\"%s}";
    long long any, two, still;
    json_t *cut = does(*state, "cut", sizes, "");
    any = number_at(cut, "total.value");
    json_decref(cut);
    cut = does(*state, "cut", sizes, ", \"stages\": \"two\"");
    two = number_at(cut, "total.value");
    json_decref(cut);
    cut = does(*state, "cut", sizes, ", \"no_turn\": true");
    still = number_at(cut, "total.value");
    json_decref(cut);
    assert_true(two <= any && still <= any && any <= 77);
    /* Only lying: 7 / 6 = 1 across, 11 / 2 = 5 up. Either way round a sixth stands in the
     * rest of 7 x 11 - 5 x 12 only as 1 x 11: none. */
    cut = does(*state, "cut",
               "{\"rect\": \"5x6in\", \"want\": \"6x2in:1\", \"no_turn\": true}");
    assert_int_equal(number_at(cut, "total.pieces"), 0);
    json_decref(cut);
    cut = does(*state, "cut", "{\"rect\": \"5x6in\", \"want\": \"6x2in:1\"}");
    assert_int_equal(number_at(cut, "total.pieces"), 2);
    json_decref(cut);
}

static void free_outlines_get_a_mix_with_its_bound(void **state)
{
    fixture *self = *state;
    json_t *cut = does(self, "cut",
                       "{\"outline\": {\"outline_in\": [[0,0],[10,0],[0,10]]}, "
                       "\"angles\": \"free\", \"want\": "
                       "\"2in:4,3in:9\"}");
    long long value = number_at(cut, "plans.0.value");
    /* Half of 10 x 10; in whole strips of 2 in stand 4 + 3 + 2 + 1 squares. */
    assert_true(value >= 40 && value <= 50);
    assert_true(number_at(cut, "plans.0.bound") >= value);
    assert_int_equal(json_array_size(value_at(cut, "plans.0.pieces.0.corners_in")), 4);
    json_decref(cut);

    keep_photo(self);
    cut = does(self, "cut", "{\"want\": \"1.5in:2,2.5in:7\"}");
    assert_int_equal(json_array_size(value_at(cut, "plans")), 16);
    assert_true(number_at(cut, "plans.3.scrap") > 0);
    json_decref(cut);
}

/* Lattice chain at 12 x 16, counted by hand in test_path.c: 1464 squares from the basket;
 * 30 are in it. With no other need a square of that size is worth its cloth twice over.
 */
static void what_quilts_still_need_sets_the_values(void **state)
{
    fixture *self = *state;
    refuses(self, "app.field-wrong", "cut",
            "{\"rect\": \"10x10in\", \"want\": \"needed\"}");
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Tideline\", \"design\": \"lattice-chain\","
                     " \"across\": 12, \"down\": 16, \"unit\": \"2.5in\"}"));
    json_decref(does(self, "basket.add", "{\"count\": 30, \"unit\": \"2.5in\"}"));
    json_t *cut = does(self, "cut", "{\"rect\": \"10x10in\", \"want\": \"needed\"}");
    assert_int_equal(number_at(cut, "wants.0.needed"), 24 * 4 + 48 * 6 + 120 * 9 - 30);
    assert_int_equal(number_at(cut, "wants.0.value"), 2 * 625);
    assert_int_equal(number_at(cut, "total.pieces"), 16);
    json_decref(cut);
    cut = does(self, "cut", "{\"rect\": \"10x10in\", \"want\": \"2.5in,5in\"}");
    assert_int_equal(number_at(cut, "wants.0.value"), 1250);
    assert_int_equal(number_at(cut, "wants.1.value"), 2500);
    json_decref(cut);
    json_decref(does(self, "quilt.close", "{\"quilt\": \"Tideline\"}"));
    refuses(self, "app.field-wrong", "cut",
            "{\"rect\": \"10x10in\", \"want\": \"needed\"}");
}

static long long pile_of(const json_t *pile, const char *use)
{
    size_t i;
    json_t *row;
    json_array_foreach (value_at(pile, "piles"), i, row)
        if (strcmp(text_at(row, "use"), use) == 0)
            return number_at(row, "scraps");
    fail_msg("no pile %s", use);
    return 0;
}

static void the_pile_is_sorted_by_her_thresholds(void **state)
{
    fixture *self = *state;
    keep_photo(self);
    json_t *pile = does(self, "pile", "{\"unit\": \"2in\"}");
    assert_int_equal(json_array_size(value_at(pile, "scraps")), 16);
    assert_int_equal(pile_of(pile, "keep whole") + pile_of(pile, "squares") +
                         pile_of(pile, "string") + pile_of(pile, "too small"),
                     16);
    long long squares = pile_of(pile, "squares");
    assert_true(squares > 0);
    json_decref(pile);
    /* What holds an inch is kept whole; then nothing is left to cut. */
    json_decref(does(self, "cutting.say", "{\"whole\": \"1 x 1 in\"}"));
    pile = does(self, "pile", "{\"unit\": \"2in\"}");
    assert_int_equal(pile_of(pile, "squares"), 0);
    assert_true(pile_of(pile, "keep whole") >= squares);
    json_decref(pile);
    /* No scrap gives a thousand: strings are left, and what is too small. */
    json_decref(does(self, "cutting.say",
                     "{\"whole\": \"100 x 100 in\", \"least_squares\": 1000}"));
    pile = does(self, "pile", "{\"unit\": \"2in\"}");
    assert_int_equal(pile_of(pile, "string") + pile_of(pile, "too small"), 16);
    json_decref(pile);
}

static void rulers_are_compared_by_most_squares_and_by_least_effort(void **state)
{
    fixture *self = *state;
    keep_photo(self);
    json_t *rulers =
        does(self, "rulers",
             "{\"unit\": \"2in\", \"rulers\": [\"slotted:12.5x6.5:13:0.5in\", "
             "\"odd:12.5x6.5:5:0.75in\"]}");
    json_t *cut = does(self, "cut", "{\"unit\": \"2in\", \"method\": \"best\"}");
    assert_int_equal(number_at(rulers, "rulers.0.squares"),
                     number_at(cut, "total.squares"));
    json_decref(cut);
    assert_true(number_at(rulers, "rulers.0.easiest.squares") <=
                number_at(rulers, "rulers.0.squares"));
    assert_true(number_at(rulers, "rulers.1.passes") <
                number_at(rulers, "rulers.0.passes"));
    /* 2 in is no multiple of 3/4 in: she is told which units this ruler can cut. */
    assert_non_null(strstr(text_at(rulers, "rulers.2.cannot"), "3/4 in"));
    json_decref(rulers);
    /* A unit wider than the plain ruler is compared too, and said to be too wide. */
    rulers = does(self, "rulers", "{\"unit\": \"10in\", \"rulers\": [\"wide:24x12\"]}");
    assert_non_null(strstr(text_at(rulers, "rulers.0.cannot"), "6 1/2"));
    assert_true(json_is_null(value_at(rulers, "rulers.1.cannot")));
    json_decref(rulers);
}

static void a_timed_pile_draws_the_times_towards_hers(void **state)
{
    fixture *self = *state;
    json_t *before = does(self, "tools", "{}");
    json_t *plan = does(self, "cut", "{\"rect\": \"18x9.5in\", \"unit\": \"2in\"}");
    json_t *after =
        does(self, "times.add",
             "{\"passes\": %lld, \"cuts\": %lld, \"turns\": %lld, \"handled\": %lld, "
             "\"seconds\": 60}",
             number_at(plan, "plans.0.passes"), number_at(plan, "plans.0.cuts"),
             number_at(plan, "plans.0.turns"), number_at(plan, "plans.0.handled"));
    /* She took a minute where the usual times say more than five. */
    assert_true(real_at(plan, "plans.0.minutes") > 5);
    assert_true(real_at(after, "times.lay_s") < real_at(before, "times.lay_s"));
    assert_int_equal(number_at(after, "times.piles"), 1);
    json_t *again = does(self, "cut", "{\"rect\": \"18x9.5in\", \"unit\": \"2in\"}");
    assert_true(real_at(again, "plans.0.minutes") < real_at(plan, "plans.0.minutes"));
    json_decref(again);
    json_decref(before);
    json_decref(plan);
    json_decref(after);
}

#define SQUARE "{\"outline_in\": [[0,0],[4,0],[4,4],[0,4]]"

static const struct {
    const char *code, *action, *request;
} refused[] = {
    { "scrap.outline-crosses", "cut",
      "{\"outline\": {\"outline_in\": [[0,0],[4,4],[4,0],[0,4]]}, \"want\": \"1in\"}" },
    { "scrap.outline-too-few", "cut", "{\"outline\": {\"outline_in\": [[0,0],[4,4]]}}" },
    { "scrap.outline-too-few", "cut",
      "{\"outline\": {\"outline_in\": [[0,0],[4,4],[8,8]]}}" },
    { "scrap.hole-outside", "cut",
      "{\"outline\": " SQUARE ", \"holes_in\": [[[8,8],[9,8],[9,9]]]}}" },
    { "scrap.outline-too-large", "cut",
      "{\"outline\": {\"outline_in\": [[0,0],[200,0],[200,4]]}}" },
    { "scrap.outline-too-large", "cut", "{\"rect\": \"5.01 m x 2 in\"}" },
    { "scrap.unit", "cut", "{\"rect\": \"4x4\", \"unit\": \"1/8 in\"}" },
    { "app.no-ruler", "cut", "{\"rect\": \"4x4\", \"ruler\": \"hers\"}" },
    { "length.not-positive", "cut", "{\"rect\": \"4x4\", \"trim\": \"-1 in\"}" },
    { "app.field-wrong", "cut", "{\"rect\": \"4x4\", \"tolerance\": 60}" },
    { "app.field-wrong", "cut", "{\"rect\": \"4x4\", \"tolerance\": \"steep\"}" },
    { "app.field-wrong", "cut", "{\"rect\": \"4x4\", \"selvage\": \"4 in\"}" },
    { "app.field-wrong", "cut", "{\"rect\": \"4x4\", \"selvage\": \"40 in\"}" },
    { "app.field-wrong", "cut", "{\"rect\": \"4x4\", \"want\": \"2in:0\"}" },
    { "app.field-wrong", "cut", "{\"rect\": \"4x4\", \"want\": \"2in:-3\"}" },
    { "app.field-wrong", "cut", "{\"rect\": \"4x4\", \"want\": \"2in:much\"}" },
    { "app.field-wrong", "cut", "{\"rect\": \"4x4\", \"want\": \"2in:9999999999999\"}" },
    { "length.not-positive", "cut", "{\"rect\": \"4x4\", \"want\": \"0in:2\"}" },
    { "length.unreadable", "cut", "{\"rect\": \"4x4\", \"want\": \"2in,,3in\"}" },
    { "app.field-wrong", "cut",
      "{\"rect\": \"4x4\", \"want\": \"2in:1\", \"stages\": \"three\"}" },
    { "scrap.ruler", "ruler.keep",
      "{\"name\": \"x\", \"size\": \"12x6in\", \"slots\": 9, \"pitch\": \"2in\"}" },
    { "app.field-wrong", "cutting.say", "{\"tolerance\": -1}" },
    { "app.field-wrong", "cutting.say", "{\"trim\": \"9 in\"}" },
    { "app.field-wrong", "cutting.say", "{\"selvage\": \"9 in\"}" },
    { "app.field-wrong", "cutting.say", "{\"whole\": \"9 m x 1 m\"}" },
    { "app.field-wrong", "cutting.say", "{\"least_squares\": 0}" },
    { "app.field-wrong", "cutting.say", "{\"string\": \"long\"}" },
    { "app.field-missing", "times.add", "{\"passes\": 3}" },
};

static void what_cannot_be_cut_is_refused_by_its_code(void **state)
{
    for (size_t i = 0; i < G_N_ELEMENTS(refused); i++)
        refuses(*state, refused[i].code, refused[i].action, "%s", refused[i].request);
}

/* A scrap cut to several sizes has a row for each; it is one scrap, cut once. */
static void squares_of_several_sizes_go_into_the_basket_each_by_its_unit(void **state)
{
    fixture *self = *state;
    keep_photo(self);
    json_t *before = does(self, "basket", "{}");
    json_t *cut = does(self, "cut.done",
                       "{\"scraps\": [{\"scrap\": 1, \"squares\": 3, \"unit\": "
                       "\"2in\"}, {\"scrap\": 1, \"squares\": 2, \"unit\": \"5in\"}]}");
    assert_string_equal(text_at(cut, "done"), "Cut 5 squares from 1 scrap");
    json_t *after = does(self, "basket", "{}");
    assert_int_equal(number_at(after, "squares"), number_at(before, "squares") + 5);
    refuses(self, "app.scrap-cut", "cut.done",
            "{\"scraps\": [{\"scrap\": 1, \"squares\": 1}]}");
    refuses(self, "length.unreadable", "cut.done",
            "{\"scraps\": [{\"scrap\": 2, \"squares\": 1, \"unit\": \"wide\"}]}");
    refuses(self, "app.field-wrong", "cut",
            "{\"scraps\": [2], \"want\": \"2in\", \"done\": true}");
    json_decref(before);
    json_decref(cut);
    json_decref(after);
}

/* A ruler with slots every 3/4 in cuts no 2 in squares: only cutting with it is refused.
 */
static void a_ruler_that_cannot_cut_the_unit_hides_no_scrap(void **state)
{
    fixture *self = *state;
    keep_photo(self);
    json_t *before = does(self, "pile", "{\"unit\": \"2in\"}");
    json_decref(does(self, "ruler.keep",
                     "{\"name\": \"odd\", \"size\": \"12x6in\", \"slots\": 9, "
                     "\"pitch\": \"3/4 in\"}"));
    refuses(self, "scrap.pitch-cannot", "cut", "{\"rect\": \"4x4\", \"unit\": \"2in\"}");
    json_t *after = does(self, "pile", "{\"unit\": \"2in\"}");
    assert_int_equal(number_at(after, "piles.1.squares"),
                     number_at(before, "piles.1.squares"));
    json_decref(does(self, "photo", "{\"photo\": 1, \"unit\": \"2in\"}"));
    /* With another ruler of hers that can, cuts are planned with that one. */
    json_decref(does(self, "ruler.keep", "{\"name\": \"plain\", \"size\": \"24x6in\"}"));
    json_decref(does(self, "cut", "{\"rect\": \"4x4\", \"unit\": \"2in\"}"));
    json_decref(before);
    json_decref(after);
}

static void a_unit_larger_than_the_scrap_gives_none(void **state)
{
    json_t *cut = does(*state, "cut", "{\"rect\": \"4x4in\", \"unit\": \"5in\"}");
    assert_int_equal(number_at(cut, "total.squares"), 0);
    assert_int_equal(number_at(cut, "plans.0.bound"), 0);
    json_decref(cut);
    cut = does(*state, "cut", "{\"rect\": \"4x4in\", \"want\": \"5in:1\"}");
    assert_int_equal(number_at(cut, "total.pieces"), 0);
    json_decref(cut);
    cut = does(*state, "cut",
               "{\"rect\": \"1x4in\", \"want\": \"1in:1\", \"trim\": \"2in\"}");
    assert_int_equal(number_at(cut, "total.pieces"), 0);
    json_decref(cut);
}

#define CUTTING(name) cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        CUTTING(squares_of_a_rectangle_are_those_counted_by_hand),
        CUTTING(the_best_and_the_easiest_are_both_shown_where_they_differ),
        CUTTING(habits_are_what_plans_go_by),
        CUTTING(the_most_valuable_mix_is_the_one_counted_by_hand),
        CUTTING(stages_and_turning_change_what_can_be_had),
        CUTTING(free_outlines_get_a_mix_with_its_bound),
        CUTTING(what_quilts_still_need_sets_the_values),
        CUTTING(the_pile_is_sorted_by_her_thresholds),
        CUTTING(rulers_are_compared_by_most_squares_and_by_least_effort),
        CUTTING(a_timed_pile_draws_the_times_towards_hers),
        CUTTING(what_cannot_be_cut_is_refused_by_its_code),
        CUTTING(squares_of_several_sizes_go_into_the_basket_each_by_its_unit),
        CUTTING(a_ruler_that_cannot_cut_the_unit_hides_no_scrap),
        CUTTING(a_unit_larger_than_the_scrap_gives_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
