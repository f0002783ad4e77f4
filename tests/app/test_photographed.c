/* Crossing off by photo: the four blocks of tests/photos/blocks-1.jpg, whose truth is in
 * its README: one all of scraps, two crosses, one diagonal, of unit squares of 2 in. */
#include "test.h"

#include "fixture.h"

#include "base/random.h"
#include "photo/scene_block.h"

#include <math.h>
#include <string.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

static const char *const photo = TEST_PHOTOS "/blocks-1.jpg";

/* Lattice chain has these three kinds: plain, cross, stroke (a diagonal). */
static void start(fixture *self)
{
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Tideline\", \"design\": \"lattice-chain\","
                     " \"across\": 12, \"down\": 16, \"unit\": \"2in\"}"));
    json_decref(does(self, "basket.add", "{\"count\": 200, \"unit\": \"2in\"}"));
}

static json_t *photograph(fixture *self)
{
    return does(self, "blocks.photo", "{\"quilt\": \"Tideline\", \"photos\": [\"%s\"]}",
                photo);
}

static int of_kind(const json_t *list, const char *kind)
{
    int count = 0;
    size_t i;
    json_t *one;
    json_array_foreach (list, i, one)
        count += strcmp(text_at(one, "kind"), kind) == 0;
    return count;
}

static long long basket_squares(fixture *self)
{
    g_autoptr(json_t) basket = does(self, "basket", "{}");
    return number_at(basket, "squares");
}

static void blocks_are_crossed_off_by_their_kinds(void **state)
{
    fixture *self = *state;
    start(self);
    g_autoptr(json_t) document = photograph(self);
    const json_t *made = value_at(document, "made");
    assert_int_equal(json_array_size(made), 4);
    assert_int_equal(of_kind(made, "plain"), 1);
    assert_int_equal(of_kind(made, "cross"), 2);
    assert_int_equal(of_kind(made, "stroke"), 1);
    assert_int_equal(number_at(document, "left"), 192 - 4);
    /* A plain block takes nine squares, a cross four, a stroke six. */
    assert_int_equal(basket_squares(self), 200 - (9 + 4 + 4 + 6));
    g_autoptr(json_t) quilt = does(self, "quilt", "{\"quilt\": \"Tideline\"}");
    assert_int_equal(number_at(quilt, "made"), 4);
    /* 3 x 2 in less four allowances of 1/4 in. */
    assert_float_equal(json_number_value(value_at(document, "sizes.unfinished_in")), 5,
                       0);
    assert_true(fabs(json_number_value(value_at(document, "sizes.seam_in")) - 0.25) <
                0.02);
}

static void the_same_blocks_are_not_counted_twice(void **state)
{
    fixture *self = *state;
    start(self);
    json_decref(photograph(self));
    g_autoptr(json_t) second = photograph(self);
    assert_int_equal(json_array_size(value_at(second, "made")), 0);
    assert_int_equal(json_array_size(value_at(second, "again")), 4);
    assert_int_equal(number_at(second, "left"), 192 - 4);
    assert_int_equal(basket_squares(self), 200 - 23);
}

static void a_block_that_was_tapped_gets_its_patches_from_the_photo(void **state)
{
    fixture *self = *state;
    start(self);
    json_decref(does(self, "made",
                     "{\"quilt\": \"Tideline\", \"kind\": \"cross\", \"count\": 3}"));
    assert_int_equal(basket_squares(self), 200 - 12);
    g_autoptr(json_t) document = photograph(self);
    int tapped = 0;
    size_t i;
    json_t *one;
    json_array_foreach (value_at(document, "made"), i, one)
        tapped += json_is_true(json_object_get(one, "tapped_before"));
    assert_int_equal(tapped, 2); /* both crosses of the photo */
    assert_int_equal(number_at(document, "left"), 192 - 3 - 2);
    assert_int_equal(basket_squares(self), 200 - 12 - 9 - 6);
    g_autoptr(json_t) wall = does(self, "wall", "{\"quilt\": \"Tideline\"}");
    assert_int_equal(json_array_size(value_at(wall, "blocks")), 5);
}

static void new_fabrics_are_learnt_and_known_again(void **state)
{
    fixture *self = *state;
    start(self);
    g_autoptr(json_t) first = photograph(self);
    size_t i, r, c;
    json_t *block, *row, *patch;
    int named = 0, scraps = 0;
    json_array_foreach (value_at(first, "made"), i, block)
        json_array_foreach (value_at(block, "patches"), r, row)
            json_array_foreach (row, c, patch) {
                bool scrap = strcmp(text_at(patch, "role"), "scrap") == 0;
                scraps += scrap;
                named += scrap && !json_is_null(value_at(patch, "fabric"));
            }
    assert_int_equal(scraps, 23);
    assert_int_equal(named, 23); /* an empty book knows none: all are new */
    g_autoptr(json_t) fabrics = does(self, "fabrics", "{}");
    assert_true(json_array_size(value_at(fabrics, "fabrics")) >= 8);
}

/* The photo's truth: one patch of red with white dots among its fabrics. */
static void a_fabric_is_found_by_its_colour_and_by_its_name(void **state)
{
    fixture *self = *state;
    start(self);
    json_decref(photograph(self));
    g_autoptr(json_t) all = does(self, "fabrics", "{}");
    g_autoptr(json_t) red = does(self, "fabrics", "{\"find\": \"Red\"}");
    size_t found = json_array_size(value_at(red, "fabrics"));
    assert_true(found > 0 && found < json_array_size(value_at(all, "fabrics")));
    long long first = number_at(red, "fabrics.0.fabric");
    json_decref(
        does(self, "fabric.say", "{\"fabric\": %lld, \"name\": \"Quay lights\"}", first));
    g_autoptr(json_t) named = does(self, "fabrics", "{\"find\": \"QUAY\"}");
    assert_int_equal(json_array_size(value_at(named, "fabrics")), 1);
    assert_int_equal(number_at(named, "fabrics.0.fabric"), first);
    g_autoptr(json_t) none = does(self, "fabrics", "{\"find\": \"no such thing\"}");
    assert_int_equal(json_array_size(value_at(none, "fabrics")), 0);
}

static void undo_takes_the_whole_photo_back(void **state)
{
    fixture *self = *state;
    start(self);
    json_decref(photograph(self));
    json_decref(does(self, "undo", "{}"));
    assert_int_equal(basket_squares(self), 200);
    g_autoptr(json_t) quilt = does(self, "quilt", "{\"quilt\": \"Tideline\"}");
    assert_int_equal(number_at(quilt, "made"), 0);
    json_decref(does(self, "redo", "{}"));
    g_autoptr(json_t) again = photograph(self);
    assert_int_equal(json_array_size(value_at(again, "again")), 4);
    g_autoptr(json_t) sound = does(self, "check", "{}");
    assert_non_null(sound);
}

static void each_block_is_told_where_it_goes(void **state)
{
    fixture *self = *state;
    start(self);
    g_autoptr(json_t) made = photograph(self);
    g_autoptr(json_t) placed = does(
        self, "blocks.place", "{\"quilt\": \"Tideline\", \"photos\": [\"%s\"]}", photo);
    assert_int_equal(json_array_size(value_at(placed, "blocks")), 4);
    size_t i, k;
    json_t *one, *other;
    json_array_foreach (value_at(placed, "blocks"), i, one) {
        bool found = false;
        json_array_foreach (value_at(made, "made"), k, other)
            if (number_at(other, "block") == number_at(one, "block")) {
                found = true;
                assert_true(json_equal(value_at(one, "place"), value_at(other, "place")));
            }
        assert_true(found);
    }
}

static void blocks_of_another_quilt_are_said_to_be_so(void **state)
{
    fixture *self = *state;
    start(self);
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Small\", \"design\": \"lattice-chain\","
                     " \"across\": 4, \"down\": 4, \"unit\": \"1.5in\"}"));
    g_autoptr(json_t) document =
        does(self, "blocks.photo", "{\"quilt\": \"Small\", \"photos\": [\"%s\"]}", photo);
    g_autofree char *warnings = json_dumps(value_at(document, "warnings"), JSON_COMPACT);
    assert_non_null(strstr(warnings, "Tideline"));
    assert_int_equal(json_array_size(value_at(document, "made")), 0);
}

static void a_patch_is_what_she_says(void **state)
{
    fixture *self = *state;
    start(self);
    g_autoptr(json_t) made = photograph(self);
    long long block = number_at(made, "made.0.block");
    g_autoptr(json_t) said = does(
        self, "patch.say", "{\"block\": %lld, \"place\": 1, \"fabric\": \"new\"}", block);
    long long fabric = number_at(said, "fabric");
    assert_true(fabric > 0);
    g_autoptr(json_t) one = does(self, "fabric", "{\"fabric\": %lld}", fabric);
    assert_true(json_is_true(value_at(one, "swatch")));
    assert_int_equal(basket_squares(self), 200 - 23); /* the sum stays */
    json_decref(does(self, "patch.say",
                     "{\"block\": %lld, \"place\": 1, \"fabric\": null}", block));
    json_decref(does(self, "undo", "{}"));
    json_decref(does(self, "undo", "{}"));
    assert_int_equal(basket_squares(self), 200 - 23);
    refuses(self, "app.no-block", "patch.say", "{\"block\": 99999, \"place\": 1}");
    refuses(self, "app.field-wrong", "patch.say", "{\"block\": %lld, \"place\": 9}",
            block);
    refuses(self, "app.no-fabric", "patch.say",
            "{\"block\": %lld, \"place\": 1, \"fabric\": 99999}", block);
}

/* --- drawn photos --------------------------------------------------------------------
 */

/* A photo in the fixture's folder; free with g_free(). */
static char *drawn_photo(fixture *self, const char *name, int count,
                         const scene_block blocks[], double light)
{
    static scene_corners corners;
    const photo_block_size size = { 3, 2, 0.25, false };
    scene drawn;
    scene_default(&drawn);
    drawn.target_in = count > 1 ? (photo_point){ 12, -7 } : (photo_point){ 8, -5 };
    drawn.distance_in = count > 1 ? 27 : 24;
    drawn.gain[0] *= light; /* warmer or colder */
    drawn.gain[2] /= light;
    for (int i = 0; i < count; i++)
        scene_add_block(&drawn, &blocks[i], &size, corners);
    g_autoptr(GBytes) jpeg = scene_jpeg(&drawn, 92, 1);
    char *path = g_build_filename(self->folder, name, NULL);
    assert_true(g_file_set_contents(path, g_bytes_get_data(jpeg, NULL),
                                    (gssize)g_bytes_get_size(jpeg), NULL));
    return path;
}

static json_t *photographed(fixture *self, const char *path)
{
    return does(self, "blocks.photo", "{\"quilt\": \"Flies\", \"photos\": [\"%s\"]}",
                path);
}

/* Shoo fly (designs/shoo-fly.design) has triangles at its corners: here of a, c, e and b
 * round a square of d. */
static void triangles_are_kept_with_their_fabrics(void **state)
{
    fixture *self = *state;
    const scene_block first = { 8, -4, 0.15, "BBBBdBeBb", "/.\\...\\./", "a.c...B.B" };
    /* The same block, a quarter turn on, in other light. */
    scene_block turned = first;
    turned.x = 10;
    turned.angle = 0.05 - G_PI / 2;
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Flies\", \"design\": \"shoo-fly\","
                     " \"across\": 5, \"down\": 5, \"unit\": \"2in\"}"));
    json_decref(does(self, "basket.add", "{\"count\": 50, \"unit\": \"2in\"}"));
    g_autofree char *path = drawn_photo(self, "first.jpg", 1, &first, 1);
    g_autofree char *again = drawn_photo(self, "again.jpg", 1, &turned, 1.03);
    g_autoptr(json_t) made = photographed(self, path);
    assert_int_equal(json_array_size(value_at(made, "made")), 1);
    assert_string_equal(text_at(made, "made.0.kind"), "fly");
    /* Of each corner one half is background, the other a cloth of its own. */
    static const int corner[4][2] = { { 0, 0 }, { 0, 2 }, { 2, 0 }, { 2, 2 } };
    long long fabric[5] = { number_at(made, "made.0.patches.1.1.fabric") };
    for (int i = 0; i < 4; i++) {
        g_autofree char *at =
            g_strdup_printf("made.0.patches.%d.%d", corner[i][0], corner[i][1]);
        const json_t *one = value_at(made, at), *other = json_object_get(one, "other");
        assert_non_null(other);
        if (strcmp(text_at(one, "role"), "scrap") != 0)
            one = other;
        assert_string_equal(text_at(one, "role"), "scrap");
        fabric[i + 1] = number_at(one, "fabric");
        for (int k = 0; k <= i; k++)
            assert_true(fabric[k] != fabric[i + 1]);
        assert_true(fabric[i + 1] > 0);
    }
    g_autoptr(json_t) second = photographed(self, again);
    assert_int_equal(json_array_size(value_at(second, "made")), 0);
    assert_int_equal(json_array_size(value_at(second, "again")), 1);
    long long block = number_at(made, "made.0.block");
    assert_int_equal(number_at(second, "again.0.block"), block);
    g_autoptr(json_t) said =
        does(self, "patch.say",
             "{\"block\": %lld, \"place\": 8, \"part\": 1, \"fabric\": \"new\"}", block);
    assert_true(number_at(said, "fabric") > 0);
    refuses(self, "app.field-missing", "patch.say",
            "{\"block\": %lld, \"place\": 4, \"part\": 1, \"fabric\": \"new\"}", block);
}

/* The number of the block that lies where one was drawn; 0: none does. */
static long long block_at(const json_t *list, const scene_block *drawn)
{
    size_t i;
    json_t *one;
    json_array_foreach (list, i, one)
        if (fabs(json_number_value(value_at(one, "centre_in.0")) - drawn->x) < 1 &&
            fabs(json_number_value(value_at(one, "centre_in.1")) - drawn->y) < 1)
            return number_at(one, "block");
    return 0;
}

/* Twelve blocks of six cloths and the background, by chance; then the same ones in other
 * places, each turned by its own quarters, in warmer light. */
static void blocks_are_known_again_shuffled_and_turned(void **state)
{
    enum { BLOCKS = 12, SHUFFLE = 5 }; /* 5 has no divisor in common with 12 */
    fixture *self = *state;
    motley_random random;
    motley_random_seed(&random, 7);
    char cells[BLOCKS][10] = { { 0 } };
    scene_block first[BLOCKS], later[BLOCKS];
    for (int i = 0; i < BLOCKS; i++) {
        for (int k = 0; k < 9; k++) /* lattice chain's cross and plain by turns */
            cells[i][k] = i % 2 == 0 && k % 2 == 0
                              ? 'B'
                              : (char)('a' + motley_random_below(&random, 6));
        int at = i * SHUFFLE % BLOCKS;
        first[i] = (scene_block){
            7 + i % 4 * 5.4, -1.5 - i / 4 * 5.4, 0.03 * (i % 3 - 1), cells[i], NULL, NULL
        };
        later[i] = (scene_block){ 7 + at % 4 * 5.4,
                                  -1.5 - at / 4 * 5.4,
                                  0.03 * (i % 4 - 2) - i % 4 * G_PI / 2,
                                  cells[i],
                                  NULL,
                                  NULL };
    }
    start(self);
    g_autofree char *before = drawn_photo(self, "before.jpg", BLOCKS, first, 1);
    g_autofree char *after = drawn_photo(self, "after.jpg", BLOCKS, later, 1.04);
    g_autoptr(json_t) made = does(
        self, "blocks.photo", "{\"quilt\": \"Tideline\", \"photos\": [\"%s\"]}", before);
    assert_int_equal(json_array_size(value_at(made, "made")), BLOCKS);
    g_autoptr(json_t) again = does(
        self, "blocks.photo", "{\"quilt\": \"Tideline\", \"photos\": [\"%s\"]}", after);
    assert_int_equal(json_array_size(value_at(again, "made")), 0);
    assert_int_equal(json_array_size(value_at(again, "again")), BLOCKS);
    /* Each is the one that was drawn at its place. */
    for (int i = 0; i < BLOCKS; i++) {
        long long was = block_at(value_at(made, "made"), &first[i]);
        assert_int_equal(block_at(value_at(again, "again"), &later[i]), was);
        assert_true(was > 0);
    }
}

static void what_cannot_be_is_refused(void **state)
{
    fixture *self = *state;
    start(self);
    refuses(self, "app.no-quilt", "blocks.photo",
            "{\"quilt\": \"Nowhere\", \"photos\": [\"%s\"]}", photo);
    refuses(self, "app.field-missing", "blocks.photo", "{\"quilt\": \"Tideline\"}");
    refuses(self, "file.unreadable", "blocks.photo",
            "{\"quilt\": \"Tideline\", \"photos\": [\"/nowhere.jpg\"]}");
    refuses(self, "photo.no-card", "blocks.photo",
            "{\"quilt\": \"Tideline\", \"photos\": [\"%s\"]}", TEST_PHOTOS "/plain.png");
    json_decref(does(self, "quilt.close", "{\"quilt\": \"Tideline\"}"));
    refuses(self, "app.quilt-closed", "blocks.photo",
            "{\"quilt\": \"Tideline\", \"photos\": [\"%s\"]}", photo);
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)
    const struct CMUnitTest tests[] = {
        TEST(blocks_are_crossed_off_by_their_kinds),
        TEST(the_same_blocks_are_not_counted_twice),
        TEST(a_block_that_was_tapped_gets_its_patches_from_the_photo),
        TEST(new_fabrics_are_learnt_and_known_again),
        TEST(a_fabric_is_found_by_its_colour_and_by_its_name),
        TEST(undo_takes_the_whole_photo_back),
        TEST(each_block_is_told_where_it_goes),
        TEST(blocks_of_another_quilt_are_said_to_be_so),
        TEST(a_patch_is_what_she_says),
        TEST(triangles_are_kept_with_their_fabrics),
        TEST(blocks_are_known_again_shuffled_and_turned),
        TEST(what_cannot_be_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
