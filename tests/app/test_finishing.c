/* Assembling and finishing: what is said comes back, and the sums for a quilt as it
 * measures against worked examples. That every order closes every joint once is held by
 * tests/quilt/test_assemble.c. */
#include "test.h"

#include "fixture.h"

#include <string.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

static void start(fixture *self, const char *more)
{
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Tideline\", \"design\": \"nine-patch\","
                     " \"across\": 4, \"down\": 5, \"unit\": \"2in\"%s}",
                     more));
}

static double real_at(const json_t *document, const char *path)
{
    return json_number_value(value_at(document, path));
}

/* Four blocks of 4 1/2 in: 18 1/2 in raw edge to raw edge. 12 seams, so 3/8 in short is
 * 1/64 in a seam allowance; within 1/8 in a block it is eased in. */
static void a_row_is_compared_with_the_plan(void **state)
{
    static const struct {
        const char *measured, *verdict;
    } rows[] = { { "18 1/2 in", "true" },
                 { "18 1/8 in", "ease" },
                 { "17 3/4 in", "seam" },
                 { "19 1/4 in", "trim" } };
    fixture *self = *state;
    start(self, "");
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(json_t) said = does(self, "assembled",
                                      "{\"quilt\": \"Tideline\", \"step\": \"row-1\","
                                      " \"measured\": \"%s\"}",
                                      rows[i].measured);
        assert_float_equal(real_at(said, "steps.0.planned_in"), 18.5, 0);
        assert_string_equal(text_at(said, "steps.0.check.verdict"), rows[i].verdict);
    }
    g_autoptr(json_t) taken = does(self, "assembled",
                                   "{\"quilt\": \"Tideline\", \"step\": \"row-1\","
                                   " \"measured\": \"\"}");
    assert_true(json_is_null(value_at(taken, "steps.0.check")));
}

/* Rows that are all short alike still go together; one that differs does not. */
static void rows_that_agree_go_together(void **state)
{
    fixture *self = *state;
    start(self, "");
    g_autoptr(json_t) said = NULL;
    for (int row = 1; row <= 3; row++) {
        json_decref(said);
        said = does(self, "assembled",
                    "{\"quilt\": \"Tideline\", \"step\": \"row-%d\","
                    " \"measured\": \"17 3/4 in\"}",
                    row);
    }
    assert_true(json_is_true(value_at(said, "fit.together")));
    assert_float_equal(real_at(said, "fit.middle_in"), 17.75, 0);
    json_decref(said);
    said = does(self, "assembled",
                "{\"quilt\": \"Tideline\", \"step\": \"row-4\", \"measured\": \"19\"}");
    assert_true(json_is_false(value_at(said, "fit.together")));
}

static void the_order_and_the_ticks_are_kept_and_undone(void **state)
{
    fixture *self = *state;
    start(self, "");
    json_decref(does(self, "assembled",
                     "{\"quilt\": \"Tideline\", \"by\": \"quarters\","
                     " \"step\": \"row-1-left\", \"done\": true}"));
    g_autoptr(json_t) kept = does(self, "assemble", "{\"quilt\": \"Tideline\"}");
    assert_string_equal(text_at(kept, "by"), "quarters");
    assert_true(json_is_true(value_at(kept, "steps.0.done")));
    json_decref(does(self, "undo", "{}"));
    g_autoptr(json_t) back = does(self, "assemble", "{\"quilt\": \"Tideline\"}");
    assert_string_equal(text_at(back, "by"), "rows");
    refuses(self, "app.no-step", "assembled",
            "{\"quilt\": \"Tideline\", \"step\": \"row-99\", \"done\": true}");
    refuses(self, "app.field-wrong", "assembled",
            "{\"quilt\": \"Tideline\", \"measured\": \"3in\"}");
    /* The plan is untouched by it. */
    g_autoptr(json_t) quilt = does(self, "quilt", "{\"quilt\": \"Tideline\"}");
    assert_int_equal(number_at(quilt, "across"), 4);
}

/* Sewing says how each block is pressed, joining what nests then: all that nests is said
 * of some step, and of one only, and the blocks that are not pressed as usual are the
 * same ones, whatever the order. Compared one with the other; that what they say is right
 * is held by tests/quilt/test_press.c, by brute force. */
static long long agree(fixture *self, const char *by)
{
    size_t i, k;
    json_t *step, *other;
    long long joints = 0, nested = 0, usual = 0, others = 0, of_all = 0;
    g_autoptr(json_t) sew = does(self, "sew", "{\"quilt\": \"Tideline\"}");
    g_autoptr(json_t) it =
        does(self, "assemble", "{\"quilt\": \"Tideline\", \"by\": \"%s\"}", by);
    json_array_foreach (value_at(it, "steps"), i, step) {
        joints += number_at(step, "joints");
        nested += number_at(step, "nested");
        usual += number_at(step, "nested_usual");
        json_array_foreach (json_object_get(step, "ways"), k, other) {
            g_autofree char *path =
                g_strdup_printf("nesting.ways.%lld.%lld", number_at(step, "lines.0") - 1,
                                number_at(other, "block") - 1);
            if (!json_is_true(value_at(it, "on_point"))) /* lines are rows */
                assert_string_equal(text_at(other, "way"), text_at(sew, path));
            others++;
        }
    }
    json_array_foreach (value_at(sew, "nesting.ways"), i, step)
        json_array_foreach (step, k, other)
            of_all += strcmp(json_string_value(other), "usual") != 0;
    assert_int_equal(others, of_all);
    assert_int_equal(joints, number_at(sew, "nesting.joints"));
    assert_int_equal(joints - usual, number_at(sew, "nesting.exceptions"));
    assert_float_equal((double)nested, real_at(sew, "nesting.solved") * (double)joints,
                       1e-6);
    return others;
}

/* One that nests as it is, one that never does until it is pressed to suit, blocks of an
 * even side, and diagonals. */
static void sewing_and_joining_agree_on_what_nests(void **state)
{
    static const char *const quilts[] = { "\"nine-patch\"", "\"reversed-chain\"",
                                          "\"four-patch\"",
                                          "\"lattice-chain\", \"set\": \"on-point\"",
                                          "\"lattice-chain\"" };
    fixture *self = *state;
    long long others = 0;
    for (size_t i = 0; i < G_N_ELEMENTS(quilts); i++) {
        json_decref(does(self, "quilt.start",
                         "{\"quilt\": \"Tideline\", \"design\": %s, \"across\": 4,"
                         " \"down\": 5, \"unit\": \"2in\"}",
                         quilts[i]));
        others += agree(self, "rows");
        agree(self, "quarters");
        json_decref(does(self, "quilt.delete", "{\"quilt\": \"Tideline\"}"));
    }
    assert_true(others > 0);
}

static void nothing_nests_across_a_sash_or_where_seams_are_pressed_open(void **state)
{
    fixture *self = *state;
    start(self, ", \"sash\": \"1in\"");
    agree(self, "rows");
    g_autoptr(json_t) sashed = does(self, "sew", "{\"quilt\": \"Tideline\"}");
    assert_int_equal(number_at(sashed, "nesting.joints"), 0);
    json_decref(does(self, "quilt.delete", "{\"quilt\": \"Tideline\"}"));
    start(self, "");
    g_autoptr(json_t) said =
        does(self, "assembled", "{\"quilt\": \"Tideline\", \"press\": \"open\"}");
    assert_string_equal(text_at(said, "steps.0.press"), "open");
    g_autoptr(json_t) open = does(self, "sew", "{\"quilt\": \"Tideline\"}");
    assert_string_equal(text_at(open, "kinds.0.rows.1.press"), "open");
    assert_string_equal(text_at(open, "kinds.0.long"), "open");
    assert_int_equal(number_at(open, "nesting.joints"), 0);
    /* What is asked for once is not kept. */
    g_autoptr(json_t) side =
        does(self, "sew", "{\"quilt\": \"Tideline\", \"press\": \"side\"}");
    assert_true(number_at(side, "nesting.joints") > 0);
    agree(self, "rows");
}

/* quiltingboard.com: a body that measures 69 1/2 wide, side borders cut 8 1/2: top and
 * bottom 85 1/2. */
static void borders_are_cut_to_the_middle(void **state)
{
    fixture *self = *state;
    start(self, ", \"border\": [\"8in\"]");
    g_autoptr(json_t) said = does(
        self, "assembled", "{\"quilt\": \"Tideline\", \"middle\": \"69 1/2 x 80 in\"}");
    assert_float_equal(real_at(said, "borders.0.width_in"), 8.5, 0);
    assert_float_equal(real_at(said, "borders.0.sides_in"), 80, 0);
    assert_float_equal(real_at(said, "borders.0.ends_in"), 85.5, 0);
}

/* Backing: derived and published sums (4 in a side, cloth 40 in): 63 x 90 takes two
 * lengths of 98 in, 5 1/2 yd; 60 x 72 two of 80, 4 1/2 yd; 72 x 48 all told 80 x 56 is
 * the trap: not two panels (79 in) but 160 in, 4 1/2 yd (quiltingboard.com, mended).
 * Batting: honeybegood.com 2012: 71 x 98 wants queen.
 * Binding, extra 12: 63 x 90 at 2 1/4 in is 318 in, with joins ceil(315.75 / 37.75) = 9.
 * Sleeve: sewhappystitchers.com: 4 in finished is cut 9 in; 2 in shorter than the quilt.
 */
static const struct {
    const char *top;
    int panels, strips;
    double length, yards, sleeve;
    const char *batting;
} finished[] = {
    { "63 x 90", 2, 9, 196, 5.5, 61, "queen" },
    { "60 x 72", 2, 8, 160, 4.5, 58, "twin" },
    { "72 x 48", 2, 7, 160, 4.5, 70, "twin" },
};

static void cloth_follows_what_the_quilt_measures(void **state)
{
    fixture *self = *state;
    start(self, "");
    for (size_t i = 0; i < G_N_ELEMENTS(finished); i++) {
        g_autoptr(json_t) it =
            does(self, "finishing",
                 "{\"quilt\": \"Tideline\", \"top\": \"%s in\", \"sleeve\": \"4in\"}",
                 finished[i].top);
        assert_true(json_is_true(value_at(it, "measured")));
        assert_float_equal(real_at(it, "backing.length_in"), finished[i].length, 0);
        assert_float_equal(real_at(it, "backing.buy_yd"), finished[i].yards, 0);
        assert_int_equal(number_at(it, "backing.panels"), finished[i].panels);
        assert_int_equal(number_at(it, "binding.strips"), finished[i].strips);
        assert_string_equal(text_at(it, "batting.packaged"), finished[i].batting);
        assert_float_equal(real_at(it, "sleeve.cut_in.0"), finished[i].sleeve, 0);
        assert_float_equal(real_at(it, "sleeve.cut_in.1"), 9, 0);
    }
}

/* hcqg: wider than 90 in, two sleeves. */
static void a_wide_quilt_hangs_by_two_sleeves(void **state)
{
    fixture *self = *state;
    start(self, "");
    g_autoptr(json_t) it = does(self, "finishing",
                                "{\"quilt\": \"Tideline\", \"top\": \"100 x 90 in\","
                                " \"sleeve\": \"4in\"}");
    assert_int_equal(number_at(it, "sleeve.count"), 2);
    assert_float_equal(real_at(it, "sleeve.cut_in.0"), 49, 0);
}

/* The limit is what the batting's maker says: 8 in on a quilt of 48 x 60 leaves 5 and 7
 * lines (derived: 6 and 8 gaps). */
static void lines_are_held_against_the_limit(void **state)
{
    fixture *self = *state;
    start(self, "");
    g_autoptr(json_t) far = does(self, "finishing",
                                 "{\"quilt\": \"Tideline\", \"top\": \"48 x 60 in\","
                                 " \"limit\": \"8in\", \"spacing\": \"10in\"}");
    assert_true(json_is_false(value_at(far, "quilting.within")));
    g_autoptr(json_t) near =
        does(self, "finishing", "{\"quilt\": \"Tideline\", \"spacing\": \"8in\"}");
    assert_true(json_is_true(value_at(near, "quilting.within")));
    assert_int_equal(number_at(near, "quilting.lines.0"), 5);
    assert_int_equal(number_at(near, "quilting.lines.1"), 7);
}

/* The caution follows the size as measured, not as planned. */
static void a_small_quilt_brings_the_caution_for_babies(void **state)
{
    fixture *self = *state;
    start(self, "");
    g_autoptr(json_t) small = does(self, "finish", "{\"quilt\": \"Tideline\"}");
    assert_string_equal(text_at(small, "notes.0.code"), "finish.baby");
    g_autoptr(json_t) large =
        does(self, "finishing", "{\"quilt\": \"Tideline\", \"top\": \"63 x 90 in\"}");
    assert_int_equal(json_array_size(value_at(large, "notes")), 0);
    g_autoptr(json_t) ticked =
        does(self, "finishing",
             "{\"quilt\": \"Tideline\", \"step\": \"bind\", \"done\": true}");
    assert_string_equal(text_at(ticked, "steps.6.step"), "bind");
    assert_true(json_is_true(value_at(ticked, "steps.6.done")));
    refuses(self, "app.no-step", "finishing",
            "{\"quilt\": \"Tideline\", \"step\": \"fly\"}");
    refuses(self, "length.not-positive", "finishing",
            "{\"quilt\": \"Tideline\", \"top\": \"0 x 4\"}");
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)
    const struct CMUnitTest tests[] = {
        TEST(a_row_is_compared_with_the_plan),
        TEST(rows_that_agree_go_together),
        TEST(the_order_and_the_ticks_are_kept_and_undone),
        TEST(sewing_and_joining_agree_on_what_nests),
        TEST(nothing_nests_across_a_sash_or_where_seams_are_pressed_open),
        TEST(borders_are_cut_to_the_middle),
        TEST(cloth_follows_what_the_quilt_measures),
        TEST(a_wide_quilt_hangs_by_two_sleeves),
        TEST(lines_are_held_against_the_limit),
        TEST(a_small_quilt_brings_the_caution_for_babies),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
