#include "test.h"

#include "base/error.h"
#include "quilt/design.h"

static const struct {
    const char *what, *text, *code, *place;
} bad[] = {
    { "nothing", "", "design.unreadable", "line 1, column 1: " },
    { "only remarks", "# a\n\n# b\n", "design.unreadable", "line 4, column 1: " },
    { "another keyword", "name A\nblok a  S\n", "design.unreadable",
      "line 2, column 1: " },
    { "no name", "name\nblock a  S\n", "design.unreadable", "line 1, column 5: " },
    { "a second name", "name A\nname B\n", "design.name-taken", "line 2, column 1: " },
    { "a block without a name", "block\n", "design.unreadable", "line 1, column 6: " },
    { "a block without patches", "block a\n", "design.unreadable", "line 1, column 8: " },
    { "a name with a plus", "block a+1  S\n", "design.unreadable", "line 1, column 7: " },
    { "an unknown role", "block a  S X / S S\n", "design.unreadable",
      "line 1, column 12: " },
    { "a small letter", "block a  s\n", "design.unreadable", "line 1, column 10: " },
    { "half a split", "block a  S/ B / S S\n", "design.unreadable",
      "line 1, column 10: " },
    { "a split in three", "block a  S/B/S\n", "design.unreadable",
      "line 1, column 10: " },
    { "another stroke", "block a  S|B\n", "design.unreadable", "line 1, column 10: " },
    { "a short row", "block a  S B / S / S S\n", "design.unreadable",
      "line 1, column 18: " },
    { "a long row", "block a  S B / S B S\n", "design.unreadable",
      "line 1, column 20: " },
    { "a row too few", "block a  S B / S B / \n", "design.unreadable",
      "line 1, column 20: " },
    { "more rows than columns", "block a  S B / S B / S B\n", "design.unreadable",
      "line 1, column 20: " },
    { "fewer rows than columns", "block a  S B S / S B S\n", "design.unreadable",
      "line 1, column 7: " },
    { "an empty row", "block a  / S\n", "design.unreadable", "line 1, column 10: " },
    { "thirteen patches", "block a  S S S S S S S S S S S S S\n", "design.unreadable",
      "line 1, column 34: " },
    { "two blocks of one name", "block a  S\nblock a  B\n", "design.name-taken",
      "line 2, column 7: " },
    { "blocks of two sizes", "block a  S\nblock b  S B / B S\n",
      "design.block-sizes-differ", "line 2, column 7: " },
    { "a block that is not defined", "block a  S\nrepeat a b\n", "design.name-unknown",
      "line 2, column 10: " },
    { "a repeat before its block", "repeat a\nblock a  S\n", "design.name-unknown",
      "line 1, column 8: " },
    { "five quarter turns", "block a  S\nrepeat a+5\n", "design.unreadable",
      "line 2, column 8: " },
    { "a turn that is no number", "block a  S\nrepeat a+x\n", "design.unreadable",
      "line 2, column 8: " },
    { "an empty repeat", "block a  S\nrepeat\n", "design.unreadable",
      "line 2, column 7: " },
    { "rows of two lengths", "block a  S\nrepeat a a\nrepeat a\n", "design.unreadable",
      "line 3, column 9: " },
    { "a longer second row", "block a  S\nrepeat a\nrepeat a a\n", "design.unreadable",
      "line 3, column 10: " },
    { "two blocks and no repeat", "block a  S\nblock b  B\n", "design.unreadable",
      "line 3, column 1: " },
    { "set askew", "block a  S\nset askew\n", "design.unreadable", "line 2, column 5: " },
    { "set on nothing", "block a  S\nset on\n", "design.unreadable",
      "line 2, column 5: " },
    { "set twice", "block a  S\nset straight\nset on point\n", "design.name-taken",
      "line 3, column 1: " },
    { "more after set", "block a  S\nset on point please\n", "design.unreadable",
      "line 2, column 14: " },
    { "a sash of nothing", "block a  S\nsash\n", "design.unreadable",
      "line 2, column 5: " },
    { "a sash without a unit", "block a  S\nsash 2\n", "design.unreadable",
      "line 2, column 6: " },
    { "a sash of 0", "block a  S\nsash 0 in\n", "design.unreadable",
      "line 2, column 6: " },
    { "half a patch", "block a  S\nsash 1.5 patches\n", "design.unreadable",
      "line 2, column 6: " },
    { "a fraction over 0", "block a  S\nborder 2 1/0 in\n", "design.unreadable",
      "line 2, column 8: " },
    { "a border of a mile", "block a  S\nborder 63360 in\n", "design.unreadable",
      "line 2, column 8: " },
    { "five borders",
      "block a  S\nborder 1 in\nborder 1 in\nborder 1 in\nborder 1 in\n"
      "border 1 in\n",
      "design.unreadable", "line 6, column 8: " },
    { "columns in characters", "name äöü\nblock a  S\nrepeat ä\n", "design.name-unknown",
      "line 3, column 8: " },
    { "a line that goes on", "block a  S S /\n         S X\n", "design.unreadable",
      "line 2, column 12: " },
    { "lines of Windows", "block a  S\r\nrepeat b\r\n", "design.name-unknown",
      "line 2, column 8: " },
    { "no UTF-8", "name A\nabout \xff\n", "design.unreadable", "line 2, column 7: " },
};

static void mistakes_are_told_with_line_and_column(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(bad); i++) {
        quilt_design design = { .rows = 77 };
        g_autoptr(GError) error = NULL;
        if (quilt_design_parse(bad[i].text, strlen(bad[i].text), "bad", &design, &error))
            fail_msg("%s is taken", bad[i].what);
        if (strcmp(motley_error_code(error), bad[i].code) != 0 ||
            !g_str_has_prefix(error->message, bad[i].place))
            fail_msg("%s: %s (%s)", bad[i].what, error->message,
                     motley_error_code(error));
        assert_int_equal(design.rows, 77);
    }
}

static void a_zero_byte_is_no_text(void **state)
{
    (void)state;
    static const char text[] = "block a  S\n\0block b  B\n";
    quilt_design design;
    g_autoptr(GError) error = NULL;
    assert_false(quilt_design_parse(text, sizeof text - 1, "zero", &design, &error));
    assert_true(g_str_has_prefix(error->message, "line 2, column 1: "));
}

static void a_megabyte_is_refused_unread(void **state)
{
    (void)state;
    g_autofree char *text = g_malloc(1 << 20);
    memset(text, 'S', 1 << 20);
    quilt_design design;
    g_autoptr(GError) error = NULL;
    assert_false(quilt_design_parse(text, 1 << 20, "big", &design, &error));
    assert_string_equal(motley_error_code(error), "design.too-large");
}

static const char everything[] = "# A remark.\n"
                                 "name     Everything at once\n"
                                 "about    Goes on\n"
                                 "         over lines.\n"
                                 "\n"
                                 "block one  S B/S /\n"
                                 "           S\\D A\n"
                                 "block two  L D / D L\n"
                                 "repeat   one one+1 two\n"
                                 "repeat   two+3 one+2 one\n"
                                 "set      on point\n"
                                 "sash     1 patch D around cornerstones A\n"
                                 "border   1 1/2 in A mitred\n"
                                 "border   2 patches\n"
                                 "border   35 mm D\n"
                                 "border   0.3 in L\n";

static void all_that_a_text_says_is_kept(void **state)
{
    (void)state;
    quilt_design design;
    GError *error = NULL;
    if (!quilt_design_parse(everything, sizeof everything - 1, "all", &design, &error))
        fail_msg("%s", error->message);
    assert_string_equal(design.id, "all");
    assert_string_equal(design.name, "Everything at once");
    assert_string_equal(design.about, "Goes on over lines.");
    assert_int_equal(design.block_count, 2);
    assert_int_equal(design.rows, 2);
    assert_int_equal(design.cols, 3);
    assert_int_equal(design.repeat[3].block, 1);
    assert_int_equal(design.repeat[3].turn, 3);
    assert_int_equal(design.repeat[4].turn, 2);
    assert_int_equal(design.set, QUILT_ON_POINT);
    assert_int_equal(design.sash.width.patches, 1);
    assert_int_equal(design.sash.role, QUILT_DARK);
    assert_true(design.sash.around && design.sash.cornerstones);
    assert_int_equal(design.sash.cornerstone_role, QUILT_ACCENT);
    assert_int_equal(design.border_count, 4);
    assert_int_equal(design.borders[0].width.size, LENGTH_INCH * 3 / 2);
    assert_true(design.borders[0].mitred);
    assert_int_equal(design.borders[1].width.patches, 2);
    assert_int_equal(design.borders[2].width.size, 35 * LENGTH_MM);

    quilt_patch split = design.blocks[0].patches[1];
    assert_int_equal(split.split, QUILT_RISING);
    assert_int_equal(split.role[0], QUILT_BACKGROUND);
    assert_int_equal(split.role[1], QUILT_SCRAP);
    split = design.blocks[0].patches[2];
    assert_int_equal(split.split, QUILT_FALLING);
    assert_int_equal(split.role[0], QUILT_SCRAP);
    assert_int_equal(split.role[1], QUILT_DARK);

    g_autofree char *text = quilt_design_write(&design);
    quilt_design again;
    if (!quilt_design_parse(text, strlen(text), "all", &again, &error))
        fail_msg("%s in\n%s", error->message, text);
    assert_true(quilt_design_equal(&design, &again));
    assert_string_equal(design.about, again.about);
    g_autofree char *twice = quilt_design_write(&again);
    assert_string_equal(text, twice);
}

static void one_block_needs_no_repeat_and_no_name(void **state)
{
    (void)state;
    quilt_design design;
    static const char text[] = "block a  S B / B S";
    assert_true(quilt_design_parse(text, sizeof text - 1, "my own", &design, NULL));
    assert_string_equal(design.name, "my own");
    assert_int_equal(design.rows * design.cols, 1);
    assert_int_equal(quilt_design_side(&design), 2);
}

/* netflixandquilt (2020): of a friendship star one wrong way round spoils the set. */
static void a_star_and_its_mirror_are_two_kinds_and_its_turns_one(void **state)
{
    (void)state;
    static const char text[] = "block star    B B/S B / S\\B S B\\S / B S/B B\n"
                               "block turned  B B\\S B / B/S S S/B / B S\\B B\n"
                               "block half    B B S / B S S / S S S\n"
                               "block side    S S S / B S S / B B S\n"
                               "repeat star turned half side\n";
    quilt_design design;
    GError *error = NULL;
    if (!quilt_design_parse(text, sizeof text - 1, "stars", &design, &error))
        fail_msg("%s", error->message);
    quilt_kinds kinds;
    quilt_design_kinds(&design, &kinds);
    assert_int_equal(kinds.count, 3);
    /* "turned" is the mirror image: all four turns of a star are alike. */
    quilt_block mirror = quilt_block_mirror(&design.blocks[0]);
    assert_int_equal(quilt_block_compare(&mirror, &design.blocks[1]), 0);
    assert_int_equal(kinds.kind_of[1], 1);
    /* The last is the third, turned by three quarters. */
    assert_int_equal(kinds.kind_of[3], kinds.kind_of[2]);
    assert_int_equal(kinds.turn_of[3], 3);
    quilt_block turned = quilt_block_turn(&design.blocks[2], 3);
    assert_int_equal(quilt_block_compare(&turned, &design.blocks[3]), 0);
}

/* A triangle's corner, followed by hand: upper left, upper right, lower right, lower
 * left. */
static void a_quarter_turn_takes_corners_clockwise(void **state)
{
    (void)state;
    quilt_patch upper_left = { QUILT_RISING, { QUILT_SCRAP, QUILT_BACKGROUND } };
    quilt_patch upper_right = { QUILT_FALLING, { QUILT_SCRAP, QUILT_BACKGROUND } };
    quilt_patch lower_right = { QUILT_RISING, { QUILT_BACKGROUND, QUILT_SCRAP } };
    quilt_patch lower_left = { QUILT_FALLING, { QUILT_BACKGROUND, QUILT_SCRAP } };
    assert_true(quilt_patch_equal(quilt_patch_turn(upper_left, 1), upper_right));
    assert_true(quilt_patch_equal(quilt_patch_turn(upper_left, 2), lower_right));
    assert_true(quilt_patch_equal(quilt_patch_turn(upper_left, 3), lower_left));
    assert_true(quilt_patch_equal(quilt_patch_turn(upper_left, 4), upper_left));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mistakes_are_told_with_line_and_column),
        cmocka_unit_test(a_zero_byte_is_no_text),
        cmocka_unit_test(a_megabyte_is_refused_unread),
        cmocka_unit_test(all_that_a_text_says_is_kept),
        cmocka_unit_test(one_block_needs_no_repeat_and_no_name),
        cmocka_unit_test(a_star_and_its_mirror_are_two_kinds_and_its_turns_one),
        cmocka_unit_test(a_quarter_turn_takes_corners_clockwise),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
