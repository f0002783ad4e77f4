/* Designs of her own, sizes to start from, and what is bought: all on a book. */
#include "test.h"

#include "fixture.h"

#include <string.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* Drawn by hand on a 3 x 3 grid: five squares of a star's middle and corners would be
 * 3 x 3 = 9 patches, 4 of them split. */
#define STAR                                                                             \
    "name Evening star\\nblock star B S/B B / S\\\\B S B\\\\S / B B S\\n"                \
    "block plain B B B / B B B / B B B\\nrepeat star plain\\nrepeat plain star\\n"

static void keep_star(fixture *self)
{
    json_decref(does(self, "design.add", "{\"text\": \"" STAR "\"}"));
}

static long long designs_named(fixture *self, const char *request)
{
    json_t *designs = does(self, "designs", "%s", request);
    long long count = (long long)json_array_size(json_object_get(designs, "designs"));
    json_decref(designs);
    return count;
}

static void a_design_of_her_own_is_named_like_any_other(void **state)
{
    fixture *self = *state;
    long long before = designs_named(self, "{}");
    keep_star(self);
    assert_int_equal(designs_named(self, "{}"), before + 1);
    assert_int_equal(designs_named(self, "{\"own\": true}"), 1);
    json_t *design = does(self, "design", "{\"design\": \"evening-star\"}");
    assert_string_equal(text_at(design, "name"), "Evening star");
    assert_true(json_is_true(value_at(design, "own")));
    assert_true(json_is_true(value_at(design, "triangles")));
    assert_false(json_is_true(value_at(design, "as_cut")));
    /* Of 18 patches two are scrap (one and one) and four are half scrap: 2 + 3 x 1/2. */
    assert_float_equal(json_number_value(value_at(design, "scrap_share")), 3.5 / 18,
                       1e-9);
    json_decref(design);
    json_t *plan =
        does(self, "plan", "{\"design\": \"evening-star\", \"across\": 4, \"down\": 4}");
    assert_string_equal(text_at(plan, "design_name"), "Evening star");
    json_decref(plan);
    json_t *reuse = does(self, "reuse", "{}");
    bool named = false;
    size_t i;
    json_t *one;
    json_array_foreach (json_object_get(reuse, "designs"), i, one)
        named |= strcmp(text_at(one, "design"), "evening-star") == 0;
    assert_true(named);
    json_decref(reuse);
}

static void her_text_is_kept_as_she_wrote_it_and_undone(void **state)
{
    fixture *self = *state;
    keep_star(self);
    GError *error = NULL;
    const char *type;
    g_autoptr(json_t) request = json_pack("{s:s}", "design", "evening-star");
    app_call call = { .request = request };
    g_autoptr(GBytes) text = app_render(self->book, "design.text", &call, &type, &error);
    assert_null(error);
    gsize size;
    const char *bytes = g_bytes_get_data(text, &size);
    g_autofree char *written = g_strndup(bytes, size);
    assert_string_equal(written, "name Evening star\nblock star B S/B B / S\\B S B\\S / "
                                 "B B S\nblock plain B B B / B B B / B B B\n"
                                 "repeat star plain\nrepeat plain star\n");
    json_decref(does(self, "undo", "{}"));
    refuses(self, "design.unknown", "design", "{\"design\": \"evening-star\"}");
    json_decref(does(self, "redo", "{}"));
    json_decref(does(self, "design.drop", "{\"design\": \"evening-star\"}"));
    refuses(self, "design.unknown", "design", "{\"design\": \"evening-star\"}");
    json_decref(does(self, "undo", "{}"));
    assert_int_equal(designs_named(self, "{\"own\": true}"), 1);
}

static void a_quilt_keeps_its_copy_when_the_design_goes(void **state)
{
    fixture *self = *state;
    keep_star(self);
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Dusk\", \"design\": \"evening-star\", \"across\": 4,"
                     " \"down\": 4}"));
    json_decref(does(self, "design.drop", "{\"design\": \"evening-star\"}"));
    json_t *quilt = does(self, "quilt", "{\"quilt\": \"Dusk\"}");
    assert_string_equal(text_at(quilt, "design_name"), "Evening star");
    json_decref(quilt);
}

static void names_stay_apart(void **state)
{
    fixture *self = *state;
    keep_star(self);
    refuses(self, "design.name-taken", "design.add", "{\"text\": \"" STAR "\"}");
    refuses(self, "design.name-taken", "design.add",
            "{\"text\": \"" STAR "\", \"design\": \"other\"}");
    refuses(self, "design.name-taken", "design.add",
            "{\"text\": \"" STAR "\", \"design\": \"nine-patch\", \"replace\": true}");
    refuses(self, "design.name-taken", "design.add",
            "{\"text\": \"name nine PATCH\\nblock a S\\n\", \"design\": \"mine\"}");
    refuses(self, "app.field-missing", "design.add", "{\"text\": \"block a S\\n\"}");
    refuses(self, "app.field-missing", "design.add", "{}");
    refuses(self, "design.unreadable", "design.add", "{\"text\": \"block a Q\\n\"}");
    refuses(self, "design.of-the-catalogue", "design.drop",
            "{\"design\": \"nine-patch\"}");
    json_decref(does(self, "design.add", "{\"text\": \"" STAR "\", \"replace\": true}"));
    assert_int_equal(designs_named(self, "{\"own\": true}"), 1);
}

static void mistakes_are_told_by_line_and_column(void **state)
{
    fixture *self = *state;
    GError *error = NULL;
    json_t *document = NULL;
    g_autoptr(json_t) request =
        json_pack("{s:s}", "text", "name Moon\nblock a S B / B S\nrepeat a  b\n");
    app_call call = { .request = request };
    assert_false(
        app_action_find("design.check")->run(self->book, &call, &document, &error));
    assert_non_null(strstr(error->message, "line 3, column 11"));
    g_error_free(error);
}

static void what_a_unit_allows_is_a_filter(void **state)
{
    fixture *self = *state;
    json_t *designs = does(self, "designs", "{\"as_cut\": true, \"unit\": \"2in\"}");
    size_t i;
    json_t *one;
    json_array_foreach (json_object_get(designs, "designs"), i, one) {
        double finished = json_number_value(json_object_get(one, "block_finished_in"));
        assert_float_equal(finished, 1.5 * (double)number_at(one, "block"), 1e-9);
        assert_true(json_is_true(json_object_get(one, "as_cut")));
    }
    json_decref(designs);
    assert_int_equal(designs_named(self, "{\"triangles\": \"yes\"}") +
                         designs_named(self, "{\"triangles\": \"no\"}"),
                     designs_named(self, "{}"));
    refuses(self, "app.field-wrong", "designs", "{\"triangles\": \"perhaps\"}");
    refuses(self, "quilt.measure", "designs", "{\"unit\": \"1/2in\"}");
}

/* sleep.org: a queen mattress is 60 x 80 in. With 12 in hanging down on both sides and at
 * the foot it takes 84 x 92 in. */
static void a_bed_is_covered_by_the_nearest_whole_repeats(void **state)
{
    fixture *self = *state;
    json_t *plan = does(self, "plan",
                        "{\"design\": \"nine-patch\", \"cover\": \"bed:queen:us\","
                        " \"drop\": \"12in\", \"unit\": \"2.5in\"}");
    assert_float_equal(json_number_value(value_at(plan, "nearest.wanted_in.0")), 84,
                       1e-9);
    assert_float_equal(json_number_value(value_at(plan, "nearest.wanted_in.1")), 92,
                       1e-9);
    assert_true(json_number_value(value_at(plan, "finished_in.0")) >= 84);
    assert_true(json_number_value(value_at(plan, "finished_in.1")) >= 92);
    assert_int_equal(json_array_size(value_at(plan, "notes")), 0);
    json_decref(plan);
}

static void her_own_mattress_is_remembered(void **state)
{
    fixture *self = *state;
    const char *cover = "{\"design\": \"nine-patch\", \"cover\": \"%s\", \"drop\": 0,"
                        " \"unit\": \"2.5in\"}";
    refuses(self, "quilt.bed-unknown", "plan", cover, "bed:own");
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Bed\", \"design\": \"nine-patch\","
                     " \"cover\": \"bed:90x200cm\", \"drop\": \"0\"}"));
    json_t *beds = does(self, "beds", "{}");
    assert_string_equal(text_at(beds, "beds.0.cover"), "bed:own");
    assert_float_equal(json_number_value(value_at(beds, "beds.0.mattress_in.0")),
                       900 / 25.4, 1e-9);
    json_decref(beds);
    json_t *plan = does(self, "plan", cover, "bed:own");
    assert_float_equal(json_number_value(value_at(plan, "nearest.wanted_in.1")),
                       2000 / 25.4, 1e-9);
    json_decref(plan);
}

static void a_cot_brings_one_calm_line(void **state)
{
    fixture *self = *state;
    json_t *plan = does(self, "plan",
                        "{\"design\": \"nine-patch\", \"cover\": \"bed:crib:us\","
                        " \"drop\": 0}");
    assert_string_equal(text_at(plan, "notes.0.code"), "plan.baby");
    assert_int_equal(json_array_size(value_at(plan, "notes")), 1);
    json_decref(plan);
}

static void sashes_are_of_the_background_unless_she_says(void **state)
{
    fixture *self = *state;
    json_t *plan = does(self, "plan",
                        "{\"design\": \"nine-patch\", \"across\": 4, \"down\": 4,"
                        " \"sash\": \"1in\"}");
    assert_string_equal(text_at(plan, "sash.role"), "background");
    assert_true(json_is_null(value_at(plan, "sash.cornerstones")));
    json_decref(plan);
}

/* 10 x 10 blocks of 6 in are 60 in; each border adds twice its width. */
static void borders_and_sashes_stay_with_the_quilt(void **state)
{
    fixture *self = *state;
    const char *start =
        "{\"quilt\": \"Frame\", \"design\": \"nine-patch\", \"across\": 10, \"down\": 10,"
        " \"unit\": \"2.5in\", \"even\": true, \"sash\": \"1in\", \"cornerstones\": true,"
        " \"sash_role\": \"accent\","
        " \"border\": [\"3in accent mitred\", {\"width\": \"2in\", \"role\": \"dark\"}]}";
    json_decref(does(self, "quilt.start", "%s", start));
    json_t *quilt = does(self, "quilt", "{\"quilt\": \"Frame\"}");
    assert_float_equal(json_number_value(value_at(quilt, "body_in.0")), 69, 1e-9);
    assert_float_equal(json_number_value(value_at(quilt, "borders.0.finished_in.0")), 75,
                       1e-9);
    assert_float_equal(json_number_value(value_at(quilt, "borders.1.finished_in.0")), 79,
                       1e-9);
    assert_string_equal(text_at(quilt, "borders.0.role"), "accent");
    assert_true(json_is_true(value_at(quilt, "borders.0.mitred")));
    assert_string_equal(text_at(quilt, "borders.1.role"), "dark");
    assert_false(json_is_true(value_at(quilt, "borders.1.mitred")));
    assert_string_equal(text_at(quilt, "sash.role"), "accent");
    assert_string_equal(text_at(quilt, "sash.cornerstones"), "scrap");
    assert_true(json_is_true(value_at(quilt, "even")));
    json_decref(quilt);
}

/* The upper left block of an even start lies turned like its mirror at the right edge:
 * each row of kinds reads the same both ways. */
static void an_even_start_is_kept(void **state)
{
    fixture *self = *state;
    json_decref(
        does(self, "quilt.start",
             "{\"quilt\": \"Even\", \"design\": \"lattice-chain\", \"across\": 13,"
             " \"down\": 13, \"even\": true}"));
    json_t *quilt = does(self, "quilt", "{\"quilt\": \"Even\"}");
    size_t r;
    json_t *row;
    json_array_foreach (json_object_get(quilt, "places"), r, row) {
        size_t count = json_array_size(row);
        for (size_t c = 0; c < count; c++)
            assert_string_equal(text_at(json_array_get(row, c), "kind"),
                                text_at(json_array_get(row, count - 1 - c), "kind"));
    }
    json_decref(quilt);
}

/* Each thing that cannot be, as issue 5 lists them. */
static void what_cannot_be_is_answered(void **state)
{
    fixture *self = *state;
#define NINE "\"design\": \"nine-patch\", \"unit\": \"2.5in\", "
    refuses(self, "quilt.size", "plan", "{" NINE "\"across\": 10000, \"down\": 3}");
    refuses(self, "quilt.bed-unknown", "plan", "{" NINE "\"cover\": \"bed:emperor:us\"}");
    refuses(self, "quilt.bed-unknown", "plan", "{" NINE "\"cover\": \"bed:king:moon\"}");
    refuses(self, "app.field-wrong", "plan", "{" NINE "\"cover\": \"queen\"}");
    refuses(self, "length.not-positive", "plan",
            "{" NINE "\"cover\": \"bed:queen:us\", \"drop\": \"-3in\"}");
    refuses(self, "length.not-positive", "plan",
            "{" NINE "\"cover\": \"bed:queen:us\", \"tuck\": \"-1in\"}");
    refuses(self, "quilt.cloth-too-narrow", "buy",
            "{" NINE "\"across\": 4, \"down\": 4, \"width_of_fabric\": \"2in\"}");
    refuses(self, "quilt.measure", "buy",
            "{" NINE "\"across\": 4, \"down\": 4, \"selvage\": \"20in\"}");
    refuses(self, "length.not-positive", "plan", "{" NINE "\"size\": \"-60x72in\"}");
    refuses(self, "design.unknown", "plan",
            "{\"design\": \"nine-pitch\", \"across\": 2, \"down\": 2}");
}

/* Blocks of 6 in: no whole number gives 61 x 73 in. The nearest below and above are
 * 10 and 11, 12 and 13 of them. */
static void a_size_that_no_blocks_give_brings_the_nearest_two(void **state)
{
    fixture *self = *state;
    json_t *plan = does(self, "plan", "{" NINE "\"size\": \"61 x 73 in\"}");
    assert_int_equal(number_at(plan, "nearest.across.below"), 10);
    assert_int_equal(number_at(plan, "nearest.across.above"), 11);
    assert_int_equal(number_at(plan, "nearest.down.below"), 12);
    assert_int_equal(number_at(plan, "nearest.down.above"), 13);
    assert_float_equal(json_number_value(value_at(plan, "nearest.across.above_in")), 66,
                       1e-9);
    assert_int_equal(number_at(plan, "across"), 10);
    json_decref(plan);
}

/* A file that calls itself by a name of the catalogue is looked over, with word of it,
 * but not kept; nor is a second of her own by one name. */
static void a_file_by_a_name_of_the_catalogue_is_not_kept(void **state)
{
    fixture *self = *state;
    g_autofree char *file = g_build_filename(self->folder, "mine.design", NULL);
    assert_true(
        g_file_set_contents(file, "name nine PATCH\nblock a S B / B S\n", -1, NULL));
    json_t *seen = does(self, "design.check", "{\"file\": \"%s\"}", file);
    assert_string_equal(text_at(seen, "taken"), "nine-patch");
    json_decref(seen);
    refuses(self, "design.name-taken", "design.add", "{\"file\": \"%s\"}", file);
    assert_true(g_file_set_contents(file, "name Dusk\nblock a S B / B S\n", -1, NULL));
    seen = does(self, "design.check", "{\"file\": \"%s\"}", file);
    assert_null(json_object_get(seen, "taken"));
    json_decref(seen);
    json_decref(does(self, "design.add", "{\"file\": \"%s\"}", file));
    refuses(self, "design.name-taken", "design.add", "{\"file\": \"%s\"}", file);
    refuses(self, "design.name-taken", "design.add",
            "{\"text\": \"name DUSK\\nblock a S\\n\", \"design\": \"dawn\"}");
}

/* Selvages of 1/2 in leave 39 in of 40: 15 squares of 2 1/2 in a strip for 16. */
static void selvages_are_cut_off_first(void **state)
{
    fixture *self = *state;
    const char *buy = "{" NINE "\"across\": 10, \"down\": 10,"
                      " \"width_of_fabric\": \"40in\", \"selvage\": \"%s\"}";
    json_t *whole = does(self, "buy", buy, "0in"),
           *less = does(self, "buy", buy, "0.5in");
    assert_int_equal(number_at(whole, "items.0.cuts.0.per_strip"), 16);
    assert_int_equal(number_at(less, "items.0.cuts.0.per_strip"), 15);
    assert_float_equal(json_number_value(value_at(less, "items.0.cloth_width_in")), 39,
                       1e-9);
    json_decref(whole);
    json_decref(less);
}

/* Pieces of one name that all cuts of a cloth give. */
static long long pieces_named(const json_t *item, const char *piece)
{
    size_t i, k;
    json_t *cut, *into;
    long long count = 0;
    json_array_foreach (json_object_get(item, "cuts"), i, cut)
        json_array_foreach (json_object_get(cut, "into"), k, into)
            if (strcmp(text_at(into, "piece"), piece) == 0)
                count += number_at(into, "count");
    return count;
}

/* By hand: 14 x 20 blocks of a chain have 140 whole ones and 140 x 4 patches of
 * background, wherever on the cloth they lie; 146 in of it, or 144 with the ends. */
static void ends_change_where_pieces_lie_and_not_how_many(void **state)
{
    fixture *self = *state;
    for (int ends = 0; ends < 2; ends++) {
        json_t *buy = does(self, "buy",
                           "{\"design\": \"single-irish-chain\", \"across\": 14,"
                           " \"down\": 20, \"unit\": \"2in\", \"ends\": %s}",
                           ends ? "true" : "false");
        const json_t *background = value_at(buy, "items.0");
        assert_string_equal(text_at(background, "for"), "background");
        assert_int_equal(pieces_named(background, "whole block"), 140);
        assert_int_equal(pieces_named(background, "patch"), 560);
        assert_float_equal(json_number_value(value_at(background, "length_in")),
                           ends ? 144 : 146, 1e-9);
        json_decref(buy);
    }
}

static void start_tideline(fixture *self)
{
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Tideline\", \"design\": \"lattice-chain\","
                     " \"across\": 12, \"down\": 16, \"unit\": \"2.5in\"}"));
}

static void what_is_bought_counts_against_the_list(void **state)
{
    fixture *self = *state;
    start_tideline(self);
    json_t *first = does(self, "buy", "{\"quilt\": \"Tideline\"}");
    double need = json_number_value(value_at(first, "items.0.length_in"));
    assert_string_equal(text_at(first, "items.0.for"), "background");
    assert_false(json_is_true(value_at(first, "items.0.bought.ticked")));
    json_decref(first);

    const char *one = "{\"quilt\": \"Tideline\", \"item\": \"background\", %s}";
    json_decref(does(self, "bought", one, "\"length\": \"1/2 yd\""));
    json_t *list = does(self, "bought", one, "\"more\": \"6in\", \"ticked\": true");
    assert_float_equal(json_number_value(value_at(list, "items.0.bought.length_in")), 24,
                       1e-9);
    assert_float_equal(json_number_value(value_at(list, "items.0.bought.left_in")),
                       need - 24, 1e-6);
    assert_true(json_is_true(value_at(list, "items.0.bought.ticked")));
    json_decref(list);
    json_decref(does(self, "undo", "{}"));
    list = does(self, "buy", "{\"quilt\": \"Tideline\"}");
    assert_float_equal(json_number_value(value_at(list, "items.0.bought.length_in")), 18,
                       1e-9);
    assert_false(json_is_true(value_at(list, "items.0.bought.ticked")));
    json_decref(list);
    refuses(self, "app.no-item", "bought",
            "{\"quilt\": \"Tideline\", \"item\": \"buttons\"}");
    refuses(self, "length.not-positive", "bought",
            "{\"quilt\": \"Tideline\", \"item\": \"batting\", \"length\": \"-1in\"}");
}

static void a_chosen_fabric_shows_wherever_its_role_does(void **state)
{
    fixture *self = *state;
    start_tideline(self);
    refuses(self, "app.no-fabric", "quilt.fabric",
            "{\"quilt\": \"Tideline\", \"fabric\": 77}");
    refuses(self, "app.field-wrong", "quilt.fabric",
            "{\"quilt\": \"Tideline\", \"role\": \"scrap\"}");
    json_t *quilt = does(self, "quilt.fabric", "{\"quilt\": \"Tideline\"}");
    assert_int_equal(json_object_size(value_at(quilt, "fabrics")), 0);
    json_decref(quilt);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define ON_A_BOOK(test) cmocka_unit_test_setup_teardown(test, fixture_open, fixture_close)
        ON_A_BOOK(a_design_of_her_own_is_named_like_any_other),
        ON_A_BOOK(her_text_is_kept_as_she_wrote_it_and_undone),
        ON_A_BOOK(a_quilt_keeps_its_copy_when_the_design_goes),
        ON_A_BOOK(names_stay_apart),
        ON_A_BOOK(mistakes_are_told_by_line_and_column),
        ON_A_BOOK(what_a_unit_allows_is_a_filter),
        ON_A_BOOK(a_bed_is_covered_by_the_nearest_whole_repeats),
        ON_A_BOOK(her_own_mattress_is_remembered),
        ON_A_BOOK(a_cot_brings_one_calm_line),
        ON_A_BOOK(sashes_are_of_the_background_unless_she_says),
        ON_A_BOOK(borders_and_sashes_stay_with_the_quilt),
        ON_A_BOOK(an_even_start_is_kept),
        ON_A_BOOK(what_cannot_be_is_answered),
        ON_A_BOOK(a_size_that_no_blocks_give_brings_the_nearest_two),
        ON_A_BOOK(a_file_by_a_name_of_the_catalogue_is_not_kept),
        ON_A_BOOK(selvages_are_cut_off_first),
        ON_A_BOOK(ends_change_where_pieces_lie_and_not_how_many),
        ON_A_BOOK(what_is_bought_counts_against_the_list),
        ON_A_BOOK(a_chosen_fabric_shows_wherever_its_role_does),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
