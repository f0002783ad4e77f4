/* Photos drawn with known truth: scraps that lie in two of them are counted once, and a
 * sheet of paper stands in for the card. */
#include "test.h"

#include "app/app-internal.h"
#include "app/lens-internal.h"
#include "fixture.h"
#include "photo/scene.h"

enum { PIECES = 6, CORNERS = 6 };

/* Where each piece lies, its shape about that place, and its colour. */
static const struct {
    double x, y;
    int count;
    double shape[CORNERS][2];
    colour_srgb8 colour;
} pieces[PIECES] = {
    { 7, 4, 3, { { -2, -1 }, { 2.5, -1.2 }, { -1, 2 } }, { 176, 52, 48 } },
    { 12,
      -5,
      6,
      { { -2, -2 }, { 2, -2 }, { 2, 0 }, { 0, 0 }, { 0, 2 }, { -2, 2 } },
      { 232, 206, 120 } },
    { 15,
      4,
      4,
      { { -2.5, -1 }, { 2.5, -1.4 }, { 2.3, 0.9 }, { -2, 1.3 } },
      { 68, 96, 160 } },
    { 20,
      -4,
      5,
      { { -1.5, -2 }, { 1.5, -1.8 }, { 2.2, 0.4 }, { 0, 2 }, { -1.8, 0.6 } },
      { 214, 140, 176 } },
    { -7,
      -3,
      4,
      { { -1, -1.5 }, { 1, -1.5 }, { 1, 1.5 }, { -1, 1.5 } },
      { 240, 236, 226 } },
    { 31, -3, 4, { { -1, -1 }, { 1.4, -1 }, { 1.4, 1 }, { -1, 1 } }, { 120, 70, 130 } },
};

/* The table with its pieces, each turned and moved by `stir`: 0 leaves them where they
 * are. */
static scene table(photo_point corners[PIECES][CORNERS], double stir)
{
    scene drawn;
    scene_default(&drawn);
    drawn.width = 2000;
    drawn.height = 1500;
    drawn.distance_in = 25;
    drawn.tilt_deg = 3;
    drawn.piece_count = PIECES;
    for (int i = 0; i < PIECES; i++) {
        double c = cos(stir * (i + 1)), s = sin(stir * (i + 1));
        for (int k = 0; k < pieces[i].count; k++) {
            const double *p = pieces[i].shape[k];
            corners[i][k] = (photo_point){ pieces[i].x + c * p[0] - s * p[1],
                                           pieces[i].y + s * p[0] + c * p[1] + stir };
        }
        drawn.piece[i] = (scene_piece){ .count = pieces[i].count,
                                        .corners_in = corners[i],
                                        .colour = pieces[i].colour,
                                        .other = pieces[i].colour };
    }
    return drawn;
}

/* Writes the photo into the fixture's folder and keeps it; its document. */
static json_t *keep(fixture *self, const scene *drawn, const char *name,
                    const char *source)
{
    g_autofree char *path = g_build_filename(self->folder, name, NULL);
    g_autoptr(GBytes) jpeg = scene_jpeg(drawn, 92, 1);
    assert_true(g_file_set_contents(path, g_bytes_get_data(jpeg, NULL),
                                    (gssize)g_bytes_get_size(jpeg), NULL));
    g_autoptr(json_t) measured =
        does(self, "measure",
             "{\"photos\": [\"%s\"], \"keep\": true, \"source\": \"%s\"}", path, source);
    return json_incref(value_at(measured, "photos.0"));
}

static int counted_again(const json_t *photo)
{
    int again = 0;
    size_t i;
    json_t *scrap;
    json_array_foreach (value_at(photo, "scraps"), i, scrap)
        again += json_is_integer(value_at(scrap, "again_of"));
    return again;
}

static size_t scraps_in_all(fixture *self)
{
    g_autoptr(json_t) all = does(self, "scraps", "{}");
    return json_array_size(value_at(all, "scraps"));
}

/* The left photo shows five pieces, the right one five; four lie in both. The card was
 * moved and turned between them. */
static json_t *keep_both(fixture *self, const char *right_source, double stir,
                         json_t **ret_right)
{
    photo_point corners[PIECES][CORNERS];
    scene left = table(corners, 0);
    left.target_in = (photo_point){ 7, -2 };
    json_t *first = keep(self, &left, "left.jpg", "Harbour");
    scene right = table(corners, stir);
    right.target_in = (photo_point){ 18, -2 };
    right.card[0].centre_in = (photo_point){ 25, 4 };
    right.card[0].angle_rad = 0.4;
    right.seed++;
    *ret_right = keep(self, &right, "right.jpg", right_source);
    return first;
}

static void scraps_in_two_photos_are_counted_once(void **state)
{
    fixture *self = *state;
    json_t *right_now;
    g_autoptr(json_t) left = keep_both(self, "Harbour", 0, &right_now);
    g_autoptr(json_t) right = right_now;
    assert_int_equal(json_array_size(value_at(left, "scraps")), 5);
    assert_int_equal(json_array_size(value_at(right, "scraps")), 5);
    assert_int_equal(counted_again(left), 0);
    assert_int_equal(counted_again(right), 4);
    assert_int_equal(scraps_in_all(self), 6);
    g_autoptr(json_t) plan = does(self, "cut", "{\"unit\": \"1in\"}");
    size_t chosen = 0, i;
    json_t *each;
    json_array_foreach (value_at(plan, "plans"), i, each)
        chosen += json_is_true(json_object_get(each, "chosen"));
    assert_int_equal(chosen, 6);

    /* One is another after all, and the left photo goes: what is left counts again. */
    json_array_foreach (value_at(right, "scraps"), i, each)
        if (json_is_integer(value_at(each, "again_of"))) {
            json_decref(does(self, "scrap.again", "{\"scrap\": %lld, \"of\": null}",
                             number_at(each, "id")));
            break;
        }
    assert_int_equal(scraps_in_all(self), 7);
    json_decref(does(self, "undo", "{}"));
    assert_int_equal(scraps_in_all(self), 6);
    json_decref(does(self, "photo.forget", "{\"photo\": 1}"));
    assert_int_equal(scraps_in_all(self), 5);
    json_decref(does(self, "undo", "{}"));
    assert_int_equal(scraps_in_all(self), 6);
}

static void scraps_of_another_source_are_others(void **state)
{
    fixture *self = *state;
    json_t *right_now;
    g_autoptr(json_t) left = keep_both(self, "Orchard", 0, &right_now);
    g_autoptr(json_t) right = right_now;
    assert_int_equal(counted_again(right), 0);
    assert_int_equal(scraps_in_all(self), 10);
}

/* Each piece turned another way: no two of them prove the same motion, and nothing is
 * said to be sure. */
static void what_was_stirred_is_at_most_asked(void **state)
{
    fixture *self = *state;
    json_t *right_now;
    g_autoptr(json_t) left = keep_both(self, "Harbour", 0.9, &right_now);
    g_autoptr(json_t) right = right_now;
    assert_int_equal(counted_again(right), 0);
}

/* --- without a card --- */

static const photo_point sheet[4] = {
    { -4.25, 5.5 }, { 4.25, 5.5 }, { 4.25, -5.5 }, { -4.25, -5.5 }
};

/* Letter paper at the origin instead of the card, seen at a slant; corners tapped a few
 * pixels off, in whatever order. */
static void a_sheet_of_paper_gives_the_scale(void **state)
{
    fixture *self = *state;
    static const int orders[][4] = { { 0, 1, 2, 3 }, { 2, 0, 3, 1 } };
    static const char *const sizes[] = { "letter", "11 x 8.5 in" };
    photo_point corners[PIECES][CORNERS];
    scene drawn = table(corners, 0);
    drawn.card_count = 0;
    drawn.tilt_deg = 18;
    drawn.target_in = (photo_point){ 8, -1 };
    drawn.piece[drawn.piece_count++] = (scene_piece){ .count = 4,
                                                      .corners_in = sheet,
                                                      .colour = { 246, 246, 246 },
                                                      .other = { 246, 246, 246 } };
    photo_pose truth = scene_truth(&drawn);
    g_autofree char *path = g_build_filename(self->folder, "sheet.jpg", NULL);
    g_autoptr(GBytes) jpeg = scene_jpeg(&drawn, 92, 1);
    assert_true(g_file_set_contents(path, g_bytes_get_data(jpeg, NULL),
                                    (gssize)g_bytes_get_size(jpeg), NULL));
    refuses(self, "photo.no-card", "measure", "{\"photos\": [\"%s\"]}", path);

    for (size_t way = 0; way < G_N_ELEMENTS(orders); way++) {
        g_autoptr(GString) taps = g_string_new(NULL);
        for (int i = 0; i < 4; i++) {
            photo_point px;
            assert_true(photo_pose_to_px(&truth, sheet[orders[way][i]], &px));
            g_string_append_printf(taps, "%.0f,%.0f ", px.x + i - 1, px.y - i + 2);
        }
        g_autoptr(json_t) document =
            does(self, "measure",
                 "{\"photos\": [\"%s\"], \"corners_px\": \"%s\", \"size\": \"%s\"}", path,
                 taps->str, sizes[way]);
        double said = json_number_value(value_at(document, "photos.0.card.length_error"));
        assert_true(said > 0.002 && said < 0.05);
        assert_int_equal(number_at(document, "photos.0.card.tags"), 0);
        assert_string_equal(text_at(document, "photos.0.warnings.0.code"),
                            "photo.by-corners");
        /* The L is 12 sq in by hand, 4 x 4 less 2 x 2. Twice the error of a length. */
        double nearest = INFINITY;
        size_t i;
        json_t *scrap;
        json_array_foreach (value_at(document, "photos.0.scraps"), i, scrap)
            nearest = fmin(
                nearest, fabs(json_number_value(value_at(scrap, "area_sq_in")) / 12 - 1));
        if (nearest > 2 * said)
            fail_msg("area off by %.3f where %.3f was said of lengths", nearest, said);
    }
}

/* --- lenses --- */

static void a_lens_is_remembered_by_camera_and_size(void **state)
{
    fixture *self = *state;
    photo_picture taken = { .width = 4000, .height = 3000, .camera = "Maker Model 5" };
    photo_picture turned = { .width = 3000, .height = 4000, .camera = "Maker Model 5" };
    photo_picture other = { .width = 4000, .height = 3000, .camera = "Maker Model 6" };
    photo_pose pose = { .card_count = 2, .lens = { 3000, 30, -0.02, 0.006 } };
    photo_lens lens;
    GError *error = NULL;
    assert_false(app_lens_recall(self->book, &taken, &lens));
    {
        g_autoptr(store_change) change =
            store_change_begin(self->book->book, "Kept a photo", &error);
        assert_true(app_lens_learn(change, &taken, &pose, &error));
        pose.lens = (photo_lens){ 2000, 500, 0.1, 0.1 }; /* hardly knows: forgotten */
        assert_true(app_lens_learn(change, &taken, &pose, &error));
        pose = (photo_pose){ .card_count = 1, .lens = { 2500, 10, 0, 0.01 } };
        assert_true(
            app_lens_learn(change, &other, &pose, &error)); /* one card is no proof */
        assert_true(store_change_commit(change, &error));
    }
    assert_true(app_lens_recall(self->book, &turned, &lens));
    assert_float_equal(lens.focal_px, 3000, 0);
    assert_float_equal(lens.k1, -0.02, 0);
    assert_false(app_lens_recall(self->book, &other, &lens));
    json_decref(does(self, "undo", "{}"));
    assert_false(app_lens_recall(self->book, &taken, &lens));
}

#define AGAIN_TEST(name)                                                                 \
    cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        AGAIN_TEST(scraps_in_two_photos_are_counted_once),
        AGAIN_TEST(scraps_of_another_source_are_others),
        AGAIN_TEST(what_was_stirred_is_at_most_asked),
        AGAIN_TEST(a_sheet_of_paper_gives_the_scale),
        AGAIN_TEST(a_lens_is_remembered_by_camera_and_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
