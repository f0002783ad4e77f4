/* Finished blocks: a rendered photo with its truth (tests/photos/README.md), and drawn
 * ones whose truth is known. */
#include "test.h"

#include "photo/blocks.h"
#include "photo/kinds.h"
#include "photo/photo.h"
#include "scene_block.h"

#include <jansson.h>

static photo_point middle_of(const photo_block *block)
{
    photo_point m = { 0, 0 };
    for (int k = 0; k < 4; k++) {
        m.x += block->corner_in[k].x / 4;
        m.y += block->corner_in[k].y / 4;
    }
    return m;
}

static const photo_block *block_at(const photo_blocks *blocks, double x, double y)
{
    for (int i = 0; i < blocks->count; i++) {
        photo_point m = middle_of(&blocks->block[i]);
        if (hypot(m.x - x, m.y - y) < 0.4)
            return &blocks->block[i];
    }
    return NULL;
}

/* --- the rendered photo --------------------------------------------------------------
 */

#define S                                                                                \
    {                                                                                    \
        .role = { PHOTO_CELL_SCRAP }                                                     \
    }
#define B                                                                                \
    {                                                                                    \
        .role = { PHOTO_CELL_BACKGROUND }                                                \
    }
static const photo_kind kinds[] = {
    { { S, S, S, S, S, S, S, S, S } },
    { { B, S, B, S, B, S, B, S, B } },
    { { B, S, S, S, B, S, S, S, B } },
};
#undef S
#undef B
static const char *const kind_names[] = { "all scrap", "cross", "diagonal" };

static void rendered_blocks_are_found_measured_and_read(void **state)
{
    (void)state;
    static const char *const sides[] = { "top", "right", "bottom", "left" };
    const photo_block_size size = { 3, 2, 0.25, false };
    g_autofree char *path =
        g_build_filename(g_getenv("MOTLEY_TEST_PHOTOS"), "blocks-1.jpg", NULL);
    g_autofree char *json =
        g_build_filename(g_getenv("MOTLEY_TEST_PHOTOS"), "blocks-1.json", NULL);
    g_auto(photo_survey) survey = { 0 };
    g_autoptr(photo_blocks) found = NULL;
    assert_true(photo_survey_run(path, NULL, NULL, &survey, NULL));
    assert_true(photo_find_blocks(survey.plan, &size, NULL, &found, NULL));
    json_t *truth = json_load_file(json, 0, NULL), *one;
    json_t *list = json_object_get(truth, "blocks");
    assert_int_equal(found->count, json_array_size(list));
    photo_reading readings[8];
    photo_background background;
    photo_read_kinds(found, 3, G_N_ELEMENTS(kinds), kinds, NULL, readings, &background);
    assert_true(background.seen);
    size_t i;
    json_array_foreach (list, i, one) {
        const json_t *corners = json_object_get(one, "corners");
        double x = 0, y = 0;
        for (size_t k = 0; k < 4; k++) {
            x += json_number_value(json_array_get(json_array_get(corners, k), 0)) / 4;
            y += json_number_value(json_array_get(json_array_get(corners, k), 1)) / 4;
        }
        const photo_block *block = block_at(found, x, y);
        assert_non_null(block);
        for (size_t k = 0; k < 4; k++) {
            double side = json_number_value(
                json_object_get(json_object_get(one, "sides"), sides[k]));
            if (fabs(block->side_in[k] - side) > 0.06)
                fail_msg("side of %.3f in for %.3f", block->side_in[k], side);
        }
        const photo_reading *reading = &readings[block - found->block];
        assert_string_equal(kind_names[reading->kind],
                            json_string_value(json_object_get(one, "kind")));
        assert_true(reading->fits && reading->sure > 0.9);
    }
    json_decref(truth);
}

/* --- drawn photos --------------------------------------------------------------------
 */

static void find_in(const photo_picture *picture, const photo_block_size *size,
                    photo_blocks **ret_found)
{
    photo_tags tags;
    photo_pose pose;
    assert_true(photo_find_cards(picture, NULL, &tags, NULL));
    assert_true(photo_solve_pose(picture, &tags, NULL, &pose, NULL));
    g_autoptr(photo_plan) plan = photo_make_plan(picture, &pose, NULL, NULL);
    assert_true(photo_find_blocks(plan, size, NULL, ret_found, NULL));
}

/* A bare table, seen from so high above a place. */
static scene scene_of_blocks(double x, double y, double distance_in)
{
    scene drawn;
    scene_default(&drawn);
    drawn.width = 1280; /* less to draw, and enough to see */
    drawn.height = 960;
    drawn.target_in = (photo_point){ x, y };
    drawn.distance_in = distance_in;
    return drawn;
}

static void look_at_drawn(int count, const scene_block blocks[],
                          const photo_block_size *size, photo_blocks **ret_found)
{
    static scene_corners corners;
    scene drawn = scene_of_blocks(8, -5, 24);
    drawn.tilt_deg = 8;
    for (int i = 0; i < count; i++)
        scene_add_block(&drawn, &blocks[i], size, corners);
    g_autoptr(photo_picture) picture = scene_picture(&drawn);
    find_in(picture, size, ret_found);
}

static void must_be_found(int count, const scene_block blocks[],
                          const photo_block_size *size)
{
    g_autoptr(photo_blocks) found = NULL;
    look_at_drawn(count, blocks, size, &found);
    assert_int_equal(found->count, count);
    for (int i = 0; i < count; i++) {
        const photo_block *block = block_at(found, blocks[i].x, blocks[i].y);
        if (block == NULL)
            fail_msg("block %d missed", i);
        for (int k = 0; k < 4; k++)
            if (fabs(block->side_in[k] - photo_block_unfinished_in(size)) > 0.06)
                fail_msg("block %d: a side of %.3f in", i, block->side_in[k]);
    }
}

static void blocks_that_touch_are_told_apart(void **state)
{
    (void)state;
    const photo_block_size size = { 3, 2, 0.25, false };
    const scene_block blocks[] = { { 6.5, -3, 0, "abcdefabc", NULL, NULL },
                                   { 11.5, -3, 0, "BdBeBfBaB", NULL, NULL },
                                   { 6.5, -8, 0, "fedcbafed", NULL, NULL } };
    must_be_found(3, blocks, &size);
}

static void blocks_lie_at_any_angle(void **state)
{
    (void)state;
    const photo_block_size size = { 3, 2, 0.25, false };
    const scene_block blocks[] = { { 7, -3, 0.7, "abcdefabc", NULL, NULL },
                                   { 14, -4, -0.35, "BdBeBfBaB", NULL, NULL },
                                   { 10, -10, 0.2, "fedcbafed", NULL, NULL } };
    must_be_found(3, blocks, &size);
}

static void blocks_of_two_to_five_patches_are_found(void **state)
{
    (void)state;
    static const struct {
        photo_block_size size;
        const char *cells;
    } cases[] = {
        { { 2, 3, 0.25, false }, "abcd" },
        { { 4, 1.75, 0.25, false }, "abcdbcdacdabdabc" },
        { { 5, 1.5, 0.25, false }, "aBbBcBdBeBfBaBbBcBdBeBfBa" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(cases); i++) {
        const scene_block blocks[] = { { 7, -4, 0.1, cases[i].cells, NULL, NULL },
                                       { 13.5, -5, -0.2, cases[i].cells, NULL, NULL } };
        must_be_found(2, blocks, &cases[i].size);
    }
}

static void the_background_is_what_all_blocks_agree_on(void **state)
{
    (void)state;
    const photo_block_size size = { 3, 2, 0.25, false };
    const scene_block blocks[] = { { 7, -3, 0, "BcBdBeBfB", NULL, NULL },
                                   { 13, -3, 0.1, "BbcdBfabB", NULL, NULL },
                                   { 7, -9, -0.1, "abcdefabc", NULL, NULL } };
    g_autoptr(photo_blocks) found = NULL;
    look_at_drawn(3, blocks, &size, &found);
    assert_int_equal(found->count, 3);
    photo_reading readings[3];
    photo_background seen;
    photo_read_kinds(found, 3, G_N_ELEMENTS(kinds), kinds, NULL, readings, &seen);
    static const int want[] = { 1, 2, 0 };
    for (int i = 0; i < 3; i++) {
        const photo_block *block = block_at(found, blocks[i].x, blocks[i].y);
        assert_int_equal(readings[block - found->block].kind, want[i]);
    }
    assert_int_equal(seen.cells, 5 + 3);
    colour_lab lab = colour_lab_from_srgb8(scene_cloth('B'));
    assert_true(hypot(seen.lab.a - lab.a, seen.lab.b - lab.b) < 3);
}

static void look_at_scene(const scene *drawn, const photo_block_size *size,
                          photo_blocks **ret_found)
{
    g_autoptr(photo_picture) picture = scene_picture(drawn);
    find_in(picture, size, ret_found);
}

static void forty_blocks_fit_in_one_photo(void **state)
{
    (void)state;
    const photo_block_size size = { 2, 2, 0.25, false };
    static scene_corners corners;
    scene drawn = scene_of_blocks(16, -9, 30);
    for (int i = 0; i < 40; i++) {
        const scene_block block = { 6 + i % 8 * 4.0,
                                    -2 - i / 8 * 4.0,
                                    0.02 * (i % 5 - 2),
                                    i % 2 == 0 ? "abcd" : "BeBf",
                                    NULL,
                                    NULL };
        scene_add_block(&drawn, &block, &size, corners);
    }
    g_autoptr(photo_blocks) found = NULL;
    look_at_scene(&drawn, &size, &found);
    assert_int_equal(found->count, 40);
    for (int i = 0; i < 40; i++)
        if (block_at(found, 6 + i % 8 * 4.0, -2 - i / 8 * 4.0) == NULL)
            fail_msg("block %d missed", i);
}

/* What is wrong with one block does no harm to the others: a hand (an oval in the colour
 * of skin) on the first, the second under the third, the fourth with its wrong side up,
 * the fifth free. */
static void a_troubled_block_is_doubted_and_the_rest_counted(void **state)
{
    (void)state;
    enum { HAND = 24 };
    const photo_block_size size = { 3, 2, 0.25, false };
    static const scene_block blocks[] = {
        { 8, -1, 0.1, "abcdefabc", NULL, NULL },
        { 14.5, -2, 0, "BdBeBfBaB", NULL, NULL },
        { 17, -4, 0.1, "fedcbafed", NULL, NULL },
        { 9, -8.5, 0, "BBBBBBBBB", NULL, NULL },
        { 16, -11, 0, "BdBeBfBaB", NULL, NULL },
    };
    static scene_corners corners;
    photo_point hand[HAND];
    scene drawn = scene_of_blocks(9, -5, 26);
    for (size_t i = 0; i < G_N_ELEMENTS(blocks); i++)
        scene_add_block(&drawn, &blocks[i], &size, corners);
    for (int i = 0; i < HAND; i++)
        hand[i] = (photo_point){ 8 + 1.6 * cos(2 * G_PI * i / HAND),
                                 1.2 + 2.6 * sin(2 * G_PI * i / HAND) };
    drawn.piece[drawn.piece_count++] =
        (scene_piece){ .count = HAND, .corners_in = hand, .colour = { 205, 160, 135 } };
    g_autoptr(photo_blocks) found = NULL;
    look_at_scene(&drawn, &size, &found);
    const photo_block *free_one = block_at(found, 16, -11),
                      *upper = block_at(found, 17, -4);
    const photo_block *plain = block_at(found, 9, -8.5);
    const photo_block *held = block_at(found, 8, -1), *under = block_at(found, 14.5, -2);
    assert_true(free_one != NULL && free_one->doubts == 0 && free_one->sure > 0.8);
    assert_true(upper != NULL);
    assert_true(plain != NULL && (plain->doubts & PHOTO_BLOCK_PLAIN));
    assert_true(held == NULL || held->sure < 0.8 || held->doubts != 0);
    assert_true(under == NULL || under->sure < 0.8 || under->doubts != 0);
    assert_true(found->count <= 5);
}

/* A printed chart: white paper with a grid of small boxes, some crossed off. */
static void a_chart_is_no_block(void **state)
{
    (void)state;
    const photo_block_size size = { 3, 2, 0.25, false };
    static photo_point corners[100][4];
    scene drawn = scene_of_blocks(7, -4, 22);
    for (int i = 0; i <= 64; i++) {
        double x = i == 0 ? 5 : 5.75 + (i - 1) % 8, y = i == 0 ? 1 : 0.25 - (i - 1) / 8;
        double wide = i == 0 ? 8.5 : 0.9, high = i == 0 ? 11 : 0.9;
        for (int k = 0; k < 4; k++)
            corners[i][k] = (photo_point){ x + (k == 1 || k == 2 ? wide : 0),
                                           y - (k >= 2 ? high : 0) };
        drawn.piece[drawn.piece_count++] = (scene_piece){
            .count = 4,
            .corners_in = corners[i],
            .colour = i == 0       ? (colour_srgb8){ 245, 245, 243 }
                      : i % 3 == 0 ? (colour_srgb8){ 150, 150, 150 }
                                   : (colour_srgb8){ 232, 232, 228 },
        };
    }
    g_autoptr(photo_blocks) found = NULL;
    look_at_scene(&drawn, &size, &found);
    for (int i = 0; i < found->count; i++)
        if (found->block[i].sure > 0.45 && found->block[i].doubts == 0)
            fail_msg("a block at %.1f, %.1f", middle_of(&found->block[i]).x,
                     middle_of(&found->block[i]).y);
}

static void nothing_is_found_where_no_block_lies(void **state)
{
    (void)state;
    const photo_block_size size = { 3, 2, 0.25, false };
    g_autoptr(photo_blocks) found = NULL;
    look_at_drawn(0, NULL, &size, &found);
    assert_int_equal(found->count, 0);
}

/* --- half-square triangles -----------------------------------------------------------
 */

static double off_cloth(const photo_cell *cell, char cloth)
{
    colour_lab lab = colour_lab_from_srgb8(scene_cloth(cloth));
    return hypot(cell->mean.a - lab.a, cell->mean.b - lab.b);
}

/* One design of triangles and squares, laid turned by one and two quarters; each half
 * must be read with the cloth that was drawn there, and the turn be told by the
 * triangles. */
static void the_halves_of_triangles_are_read(void **state)
{
    (void)state;
    const photo_block_size size = { 3, 2, 0.25, true };
    static const char first[] = "abBcdefBe", second[] = "B..B....B",
                      cuts[] = "/..\\..../";
#define HALF(c, one, two)                                                                \
    {                                                                                    \
        .halved = true, .cut = c, .role = { one, two }                                   \
    }
    enum { S = PHOTO_CELL_SCRAP, B = PHOTO_CELL_BACKGROUND };
    static const photo_kind star[] = { { { HALF(PHOTO_CUT_RISING, S, B),
                                           { .role = { S } },
                                           { .role = { B } },
                                           HALF(PHOTO_CUT_FALLING, S, B),
                                           { .role = { S } },
                                           { .role = { S } },
                                           { .role = { S } },
                                           { .role = { B } },
                                           HALF(PHOTO_CUT_RISING, S, B) } } };
#undef HALF
    static scene_corners corners;
    for (int turn = 1; turn < 3; turn++) {
        const scene_block block = { 9, -5, 0.1 - turn * G_PI / 2, first, cuts, second };
        scene drawn = scene_of_blocks(7, -4, 20);
        scene_add_block(&drawn, &block, &size, corners);
        g_autoptr(photo_picture) picture = scene_picture(&drawn);
        g_autoptr(photo_blocks) found = NULL;
        find_in(picture, &size, &found);
        assert_int_equal(found->count, 1);
        photo_reading reading;
        photo_read_kinds(found, 3, 1, star, NULL, &reading, NULL);
        assert_true(reading.fits);
        assert_int_equal(reading.turn, turn);
        for (int i = 0; i < 9; i++) {
            int at = photo_cell_unturned(3, i / 3, i % 3, turn);
            for (int k = 0; k < 2 && cuts[at] != '.'; k++) {
                photo_cut cut = cuts[at] == '/' ? PHOTO_CUT_RISING : PHOTO_CUT_FALLING;
                int half = k;
                photo_half_turned(turn, &cut, &half);
                double off = off_cloth(&found->block[0].half[i][cut][half],
                                       k == 0 ? first[at] : second[at]);
                if (off > 6)
                    fail_msg("turn %d, cell %d, half %d: %.1f off", turn, i, k, off);
            }
        }
    }
}

/* --- turns ---------------------------------------------------------------------------
 */

/* Turned by a quarter clockwise, what was at the left end of the lowest row comes to the
 * upper left. */
static void cells_are_turned_back(void **state)
{
    (void)state;
    assert_int_equal(photo_cell_unturned(3, 0, 0, 1), 6);
    assert_int_equal(photo_cell_unturned(3, 0, 2, 1), 0);
    assert_int_equal(photo_cell_unturned(3, 1, 1, 3), 4);
    for (int side = 2; side <= PHOTO_BLOCK_SIDE_MAX; side++)
        for (int cell = 0; cell < side * side; cell++)
            assert_int_equal(photo_cell_unturned(side, cell / side, cell % side, 4),
                             cell);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rendered_blocks_are_found_measured_and_read),
        cmocka_unit_test(blocks_that_touch_are_told_apart),
        cmocka_unit_test(blocks_lie_at_any_angle),
        cmocka_unit_test(blocks_of_two_to_five_patches_are_found),
        cmocka_unit_test(the_background_is_what_all_blocks_agree_on),
        cmocka_unit_test(forty_blocks_fit_in_one_photo),
        cmocka_unit_test(a_troubled_block_is_doubted_and_the_rest_counted),
        cmocka_unit_test(a_chart_is_no_block),
        cmocka_unit_test(nothing_is_found_where_no_block_lies),
        cmocka_unit_test(the_halves_of_triangles_are_read),
        cmocka_unit_test(cells_are_turned_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
