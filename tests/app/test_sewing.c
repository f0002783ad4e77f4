/* Sewing: order, pressing, what to cut ahead, the seam test. That every layout can be
 * pressed to nest is held by tests/quilt/test_press.c. */
#include "test.h"

#include "fixture.h"

#include <string.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

static void start(fixture *self, const char *design)
{
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Tideline\", \"design\": \"%s\","
                     " \"across\": 4, \"down\": 4, \"unit\": \"2in\"}",
                     design));
}

static double share_at(const json_t *document, const char *path)
{
    return json_number_value(value_at(document, path));
}

/* Nine patch: rows 1 and 3 one way, row 2 the other; then both long seams towards the
 * middle (the trade's way, as quilt/press.h has it). */
static void a_nine_patch_is_sewn_by_rows_pressed_by_turns(void **state)
{
    fixture *self = *state;
    start(self, "lattice-chain");
    g_autoptr(json_t) sew = does(self, "sew", "{\"quilt\": \"Tideline\", \"next\": 1}");
    assert_int_equal(number_at(sew, "next"), 1);
    assert_string_equal(text_at(sew, "kinds.0.kind"), "cross");
    assert_int_equal(json_array_size(value_at(sew, "kinds.0.rows")), 3);
    assert_string_equal(text_at(sew, "kinds.0.rows.0.pieces.0"), "background");
    assert_string_equal(text_at(sew, "kinds.0.rows.0.pieces.1"), "scrap");
    assert_string_equal(text_at(sew, "kinds.0.rows.0.press"), "outward");
    assert_string_equal(text_at(sew, "kinds.0.rows.1.press"), "inward");
    assert_string_equal(text_at(sew, "kinds.0.rows.2.press"), "outward");
    assert_string_equal(text_at(sew, "kinds.0.long"), "inward");
}

/* The tile has 2 crosses of 5 background squares and 4 strokes of 3. */
static void background_is_cut_ahead_for_the_blocks_to_come(void **state)
{
    fixture *self = *state;
    start(self, "lattice-chain");
    g_autoptr(json_t) all = does(self, "sew", "{\"quilt\": \"Tideline\", \"next\": 99}");
    assert_int_equal(number_at(all, "next"), 16);
    assert_string_equal(text_at(all, "cut.0.role"), "background");
    assert_int_equal(number_at(all, "cut.0.count"), 2 * 5 + 4 * 3);
    assert_float_equal(share_at(all, "cut.0.size_in"), 2, 0);
    json_decref(does(self, "basket.add", "{\"count\": 99, \"unit\": \"2in\"}"));
    json_decref(does(self, "made", "{\"quilt\": \"Tideline\", \"place\": [1, 1]}"));
    g_autoptr(json_t) rest = does(self, "sew", "{\"quilt\": \"Tideline\", \"next\": 99}");
    assert_int_equal(number_at(rest, "cut.0.count"), 5 + 4 * 3);
}

/* Pressed as usual, neighbours nest when their turns differ by an odd number of quarters:
 * with all turns alike none does (derived in quilt/press.h). */
static void without_turns_nothing_nests_until_pressed_to_suit(void **state)
{
    fixture *self = *state;
    start(self, "reversed-chain");
    g_autoptr(json_t) sew = does(self, "sew", "{\"quilt\": \"Tideline\"}");
    double usual = share_at(sew, "nesting.usual");
    assert_float_equal(share_at(sew, "nesting.solved"), 1, 0);
    /* What does not nest is named, joint by joint. */
    long long joints = number_at(sew, "nesting.joints");
    assert_int_equal(number_at(sew, "nesting.exceptions"),
                     llround((1 - usual) * (double)joints));
}

static void turns_of_a_checkerboard_nest_as_they_are(void **state)
{
    fixture *self = *state;
    start(self, "lattice-chain");
    json_decref(does(self, "basket.add", "{\"count\": 999, \"unit\": \"2in\"}"));
    for (int row = 1; row <= 4; row++)
        for (int col = 1; col <= 4; col++)
            json_decref(does(self, "made",
                             "{\"quilt\": \"Tideline\", \"place\": [%d, %d]}", row, col));
    g_autoptr(json_t) before = does(self, "sew", "{\"quilt\": \"Tideline\"}");
    /* Plain blocks look the same any way round: turn those on odd places by a quarter. */
    g_autoptr(json_t) wall = does(self, "wall", "{\"quilt\": \"Tideline\"}");
    for (int row = 1; row <= 4; row++)
        for (int col = 1; col <= 4; col++) {
            g_autofree char *kind = g_strdup_printf("grid.%d.%d.kind", row - 1, col - 1);
            if (strcmp(text_at(wall, kind), "plain") == 0 && (row + col) % 2 == 1)
                json_decref(does(self, "place.turn",
                                 "{\"quilt\": \"Tideline\", \"place\": [%d, %d]}", row,
                                 col));
        }
    g_autoptr(json_t) after = does(self, "sew", "{\"quilt\": \"Tideline\"}");
    assert_true(share_at(after, "nesting.usual") > share_at(before, "nesting.usual"));
    assert_float_equal(share_at(after, "nesting.solved"), 1, 0);
}

/* Three strips of 2 in with seams of 1/4 in are 5 in wide. A row of n units with seams e
 * too wide ends 2 (n - 1) e short: 4 7/8 in for three units is 1/32 in too wide. */
static void the_seam_test_gives_the_correction(void **state)
{
    fixture *self = *state;
    start(self, "lattice-chain");
    g_autoptr(json_t) sew =
        does(self, "sew", "{\"quilt\": \"Tideline\", \"measured\": \"4 7/8 in\"}");
    assert_float_equal(share_at(sew, "seam_test.wanted_in"), 5, 0);
    assert_float_equal(share_at(sew, "tested.sewn_in"), 0.25 + 1.0 / 32, 1e-6);
    assert_float_equal(share_at(sew, "tested.correction_in"), -1.0 / 32, 1e-6);
    assert_string_equal(text_at(sew, "tested.verdict"), "too wide");
    g_autoptr(json_t) good =
        does(self, "sew", "{\"quilt\": \"Tideline\", \"measured\": \"5 in\"}");
    assert_string_equal(text_at(good, "tested.verdict"), "true");
    refuses(self, "app.field-wrong", "sew",
            "{\"quilt\": \"Tideline\", \"measured\": \"7 in\"}");
    refuses(self, "app.field-wrong", "sew", "{\"quilt\": \"Tideline\", \"next\": 0}");
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)
    const struct CMUnitTest tests[] = {
        TEST(a_nine_patch_is_sewn_by_rows_pressed_by_turns),
        TEST(background_is_cut_ahead_for_the_blocks_to_come),
        TEST(without_turns_nothing_nests_until_pressed_to_suit),
        TEST(turns_of_a_checkerboard_nest_as_they_are),
        TEST(the_seam_test_gives_the_correction),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
