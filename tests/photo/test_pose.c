#include "test.h"

#include "base/error.h"
#include "scene.h"

/* The 95th percentile of the relative errors of lengths of 3 in wherever the picture
 * shows a 24 x 18 in mat round the middle. */
static double length_error(const photo_pose *truth, int width, int height,
                           photo_point middle, const photo_pose *pose)
{
    double errors[2 * 25 * 19];
    int count = 0;
    for (int y = -9; y <= 9; y++)
        for (int x = -12; x <= 12; x++)
            for (int along = 0; along < 2; along++) {
                photo_point end[2] = { { middle.x + x, middle.y + y } }, got[2];
                end[1] = (photo_point){ end[0].x + (along ? 0 : 3),
                                        end[0].y + (along ? 3 : 0) };
                bool seen = true;
                for (int i = 0; i < 2 && seen; i++) {
                    photo_point px;
                    seen = photo_pose_to_px(truth, end[i], &px) && px.x >= 0 &&
                           px.y >= 0 && px.x <= width && px.y <= height &&
                           photo_pose_to_table(pose, px, &got[i]);
                }
                if (seen)
                    errors[count++] =
                        fabs(hypot(got[1].x - got[0].x, got[1].y - got[0].y) / 3 - 1);
            }
    assert_true(count > 100);
    /* The errors below the 95th in a hundred, without sorting: drop the largest. */
    for (int drop = count / 20; drop > 0; drop--) {
        int largest = 0;
        for (int i = 1; i < count; i++)
            if (errors[i] > errors[largest])
                largest = i;
        errors[largest] = errors[--count];
    }
    double most = 0;
    for (int i = 0; i < count; i++)
        most = fmax(most, errors[i]);
    return most;
}

static photo_pose solve(const photo_picture *picture)
{
    photo_tags tags;
    photo_pose pose = { 0 };
    g_autoptr(GError) error = NULL;
    if (!photo_find_cards(picture, NULL, &tags, &error) ||
        !photo_solve_pose(picture, &tags, NULL, &pose, &error))
        fail_msg("%s", error->message);
    return pose;
}

/* One camera and card at a time; the limit is what the fit reaches with some room. */
static const struct {
    const char *what;
    double tilt_deg, azimuth_deg, roll_deg, k1, focal_factor, bow_x_in, bow_y_in, blur_px;
    int cards;
    double limit;
} views[] = {
    { "straight down", 0, 0, 0, 0, 1, 0, 0, 0.7, 1, 0.0015 },
    { "tilted", 15, 20, 3, 0, 1, 0, 0, 0.7, 1, 0.0015 },
    { "steep", 30, -40, -5, 0, 1, 0, 0, 0.7, 1, 0.002 },
    { "upside down", 12, 10, 180, 0, 1, 0, 0, 0.7, 1, 0.0015 },
    { "barrel lens", 12, 20, 0, -0.003, 1, 0, 0, 0.7, 1, 0.0035 },
    { "cushion lens", 12, 20, 0, 0.003, 1, 0, 0, 0.7, 1, 0.0035 },
    { "focal length 2 % off", 20, 0, 0, 0.001, 1.02, 0, 0, 0.7, 1, 0.0035 },
    { "bowed card", 10, 20, 0, 0.001, 1, 0.03, 0, 0.7, 1, 0.0035 },
    { "bowed the other way", 10, 20, 0, 0.001, 1, 0, -0.03, 0.7, 1, 0.0035 },
    { "blurred", 12, 20, 0, 0, 1, 0, 0, 1.8, 1, 0.0025 },
    { "two cards", 12, 20, 0, 0.003, 1, 0, 0, 0.7, 2, 0.001 },
    { "two cards, strong lens", 8, -20, 0, -0.012, 0.98, 0.01, 0.01, 0.7, 2, 0.0015 },
};

static void lengths_are_true_across_the_mat(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(views); i++) {
        scene drawn;
        scene_default(&drawn);
        drawn.tilt_deg = views[i].tilt_deg;
        drawn.azimuth_deg = views[i].azimuth_deg;
        drawn.roll_deg = views[i].roll_deg;
        drawn.k1 = views[i].k1;
        drawn.focal_factor = views[i].focal_factor;
        drawn.blur_px = views[i].blur_px;
        drawn.card[0].bow_x = views[i].bow_x_in / (3.5 * 3.5);
        drawn.card[0].bow_y = views[i].bow_y_in / (2.5 * 2.5);
        drawn.card_count = views[i].cards;
        drawn.card[1] = (scene_card){
            .first_id = 4, .centre_in = { 11, -8 }, .angle_rad = 0.4, .scale = 1
        };
        if (views[i].roll_deg == 180)
            drawn.target_in = (photo_point){ 4, -3 };
        g_autoptr(photo_picture) picture = scene_picture(&drawn);
        photo_pose truth = scene_truth(&drawn), pose = solve(picture);
        double off =
            length_error(&truth, picture->width, picture->height, drawn.target_in, &pose);
        if (off > views[i].limit)
            fail_msg("%s: off by %.3f %%", views[i].what, 100 * off);
        if (!(pose.length_error < 0.005))
            fail_msg("%s: expects to be off by %.2f %%", views[i].what,
                     100 * pose.length_error);
        assert_true(fabs(pose.tilt_deg - drawn.tilt_deg) < 1);
        assert_int_equal(pose.card_count, views[i].cards);
    }
}

/* The cameras that the photos of tests/photos were rendered with, from their truth. */
static const struct {
    const char *photo;
    double focal_px, k1;
    photo_point centre_px;
    double table_to_px[9]; /* before the lens bends */
} rendered[] = {
    { "blocks-1.jpg",
      1502.3135,
      -0.002,
      { 1000.0, 750.0 },
      { 93.2206094, 11.95858032, 458.5383601, 2.882662063, -86.261494, 402.1384088,
        -0.0004544513175, 0.008671447707, 1 } },
    { "scraps-1.jpg",
      1502.3135,
      -0.002,
      { 1000.0, 750.0 },
      { 68.7301327, 7.78635758, 644.6041145, 2.935153241, -64.84263545, 367.7405981,
        -8.364059804e-05, 0.004791766652, 1 } },
    { "scraps-5.jpg",
      1572.5755,
      -0.003,
      { 756.0, 1008.0 },
      { 73.781303, 3.273993899, 882.2703035, 20.97575055, -65.870849, 987.452894,
        0.01787834247, 0.0006243254762, 1 } },
};

static void rendered_photos_are_measured_to_a_third_of_a_percent(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(rendered); i++) {
        g_autofree char *path =
            g_build_filename(g_getenv("MOTLEY_TEST_PHOTOS"), rendered[i].photo, NULL);
        photo_pose truth = { .centre_px = rendered[i].centre_px,
                             .lens = { .focal_px = rendered[i].focal_px,
                                       .k1 = rendered[i].k1 } };
        for (int c = 0; c < 3; c++) {
            double w = rendered[i].table_to_px[6 + c];
            truth.table_to_ray[c] = (rendered[i].table_to_px[c] - truth.centre_px.x * w) /
                                    rendered[i].focal_px;
            truth.table_to_ray[3 + c] =
                (rendered[i].table_to_px[3 + c] - truth.centre_px.y * w) /
                rendered[i].focal_px;
            truth.table_to_ray[6 + c] = w;
        }
        g_auto(photo_survey) survey = { 0 };
        g_autoptr(GError) error = NULL;
        if (!photo_survey_run(path, NULL, NULL, &survey, &error))
            fail_msg("%s: %s", path, error->message);
        assert_int_equal(survey.tags.count, 4);
        assert_int_equal(survey.warnings.count, 0);
        photo_point middle;
        assert_true(photo_pose_to_table(&truth, truth.centre_px, &middle));
        double off = length_error(&truth, survey.picture->width, survey.picture->height,
                                  middle, &survey.pose);
        if (off > 0.0033)
            fail_msg("%s: off by %.3f %%", rendered[i].photo, 100 * off);
    }
}

static void what_the_lens_taught_makes_the_next_photo_surer(void **state)
{
    (void)state;
    scene drawn;
    scene_default(&drawn);
    drawn.tilt_deg = 15;
    drawn.azimuth_deg = 30;
    drawn.k1 = 0.008;
    drawn.card_count = 2;
    drawn.card[1] = (scene_card){ .first_id = 4, .centre_in = { 11, -8 }, .scale = 1 };
    g_autoptr(photo_picture) both = scene_picture(&drawn);
    photo_pose first = solve(both);
    assert_true(fabs(first.lens.k1 - 0.008) < 0.001 && first.lens.k1_sd < 0.001);

    drawn.card_count = 1;
    g_autoptr(photo_picture) one = scene_picture(&drawn);
    photo_tags tags;
    photo_pose without, with, truth = scene_truth(&drawn);
    assert_true(photo_find_cards(one, NULL, &tags, NULL));
    assert_true(photo_solve_pose(one, &tags, NULL, &without, NULL));
    assert_true(photo_solve_pose(one, &tags, &first.lens, &with, NULL));
    assert_true(with.length_error < without.length_error);
    assert_true(length_error(&truth, one->width, one->height, drawn.target_in, &with) <
                0.0015);
}

static void the_second_cards_print_is_compared(void **state)
{
    (void)state;
    static const double scales[] = { 0.94, 0.98, 1, 1.03 };
    for (size_t i = 0; i < G_N_ELEMENTS(scales); i++) {
        scene drawn;
        scene_default(&drawn);
        drawn.tilt_deg = 10;
        drawn.card_count = 2;
        drawn.card[1] = (scene_card){
            .first_id = 4, .centre_in = { 11, -7 }, .angle_rad = 2.5, .scale = scales[i]
        };
        g_autoptr(photo_picture) picture = scene_picture(&drawn);
        photo_pose pose = solve(picture);
        if (fabs(pose.scale_ratio - scales[i]) > 0.003)
            fail_msg("scale %.2f measured as %.4f", scales[i], pose.scale_ratio);
        /* Where it lies, too: its centre, and its top edge turned by 2.5 radians. */
        const photo_point *corner = pose.card[1].corners_in;
        assert_true(hypot((corner[0].x + corner[2].x) / 2 - 11,
                          (corner[0].y + corner[2].y) / 2 + 7) < 0.03);
        assert_true(fabs(atan2(corner[1].y - corner[0].y, corner[1].x - corner[0].x) -
                         2.5) < 0.005);
    }
}

/* The frame is the lower card's even when the other is seen better. */
static void the_frame_is_that_of_the_lowest_card(void **state)
{
    (void)state;
    static const photo_point lid[4] = { { 1, 0.5 }, { 5, 0.5 }, { 5, 4 }, { 1, 4 } };
    scene drawn;
    scene_default(&drawn);
    drawn.tilt_deg = 10;
    drawn.card_count = 2;
    drawn.card[1] = (scene_card){
        .first_id = 4, .centre_in = { 11, -7 }, .angle_rad = 0.3, .scale = 1
    };
    drawn.piece_count = 1;
    drawn.piece[0] =
        (scene_piece){ .count = 4, .corners_in = lid, .colour = { 170, 40, 60 } };
    g_autoptr(photo_picture) picture = scene_picture(&drawn);
    photo_pose pose = solve(picture), truth = scene_truth(&drawn);
    assert_int_equal(pose.card[0].first_id, 0);
    assert_int_equal(pose.card[0].tags, 3);
    assert_int_equal(pose.card[1].tags, 4);
    photo_point px, got, asked = { 6, -4 };
    assert_true(photo_pose_to_px(&truth, asked, &px));
    assert_true(photo_pose_to_table(&pose, px, &got));
    assert_true(hypot(got.x - 6, got.y + 4) < 0.02);
    assert_true(
        hypot(pose.card[1].corners_in[1].x - (11 + 3.5 * cos(0.3) - 2.5 * sin(0.3)),
              pose.card[1].corners_in[1].y - (-7 + 3.5 * sin(0.3) + 2.5 * cos(0.3))) <
        0.02);
}

static void fails_with(const photo_picture *picture, const char *code)
{
    photo_tags tags;
    photo_pose pose;
    g_autoptr(GError) error = NULL;
    if (photo_find_cards(picture, NULL, &tags, &error) &&
        photo_solve_pose(picture, &tags, NULL, &pose, &error))
        fail_msg("solved, where %s was wanted; expects %.2f %%", code,
                 100 * pose.length_error);
    assert_string_equal(motley_error_code(error), code);
}

static void too_little_of_a_card_is_refused(void **state)
{
    (void)state;
    static const photo_point lid[4] = { { -1.8, -3 }, { 4, -3 }, { 4, 3 }, { -1.8, 3 } };
    static const photo_point rest[4] = {
        { -4, -3 }, { -1, -3 }, { -1, 0.9 }, { -4, 0.9 }
    };
    static const photo_point last[4] = { { -4, 0.5 }, { -1, 0.5 }, { -1, 3 }, { -4, 3 } };
    scene drawn;
    scene_default(&drawn);
    drawn.width = 800;
    drawn.height = 600;
    scene_piece piece = { .count = 4, .colour = { 170, 40, 60 } };
    drawn.piece[0] = drawn.piece[1] = drawn.piece[2] = piece;
    drawn.piece[0].corners_in = lid;
    drawn.piece[1].corners_in = rest;
    drawn.piece[2].corners_in = last;
    drawn.piece_count = 2;
    drawn.distance_in = 22;
    g_autoptr(photo_picture) one_tag = scene_picture(&drawn);
    fails_with(one_tag, "photo.half-card");
    drawn.piece_count = 3;
    g_autoptr(photo_picture) no_tag = scene_picture(&drawn);
    fails_with(no_tag, "photo.no-card");
}

static void cards_that_contradict_are_refused(void **state)
{
    (void)state;
    scene drawn;
    scene_default(&drawn);
    drawn.card_count = 2;
    drawn.card[1] = (scene_card){ .first_id = 0, .centre_in = { 11, -7 }, .scale = 1 };
    g_autoptr(photo_picture) twice = scene_picture(&drawn);
    fails_with(twice, "photo.cards-clash");

    /* Half of one card and half of another of the same kind. */
    static const photo_point lids[2][4] = {
        { { 0, -3 }, { 4, -3 }, { 4, 3 }, { 0, 3 } },
        { { 7, -10 }, { 11, -10 }, { 11, -4 }, { 7, -4 } }
    };
    drawn.piece_count = 2;
    for (int i = 0; i < 2; i++)
        drawn.piece[i] =
            (scene_piece){ .count = 4, .corners_in = lids[i], .colour = { 170, 40, 60 } };
    g_autoptr(photo_picture) halves = scene_picture(&drawn);
    fails_with(halves, "photo.cards-clash");
}

/* A turned file is the same picture: what a point of the picture measures stays. */
static void exif_turns_change_no_measure(void **state)
{
    (void)state;
    static const int orientations[] = { 1, 3, 6, 8 };
    scene drawn;
    scene_default(&drawn);
    drawn.tilt_deg = 14;
    drawn.k1 = -0.002;
    photo_point first[9];
    for (size_t o = 0; o < G_N_ELEMENTS(orientations); o++) {
        g_autoptr(GBytes) file = scene_jpeg(&drawn, 92, orientations[o]);
        g_autoptr(photo_picture) picture =
            photo_load_bytes(file, PHOTO_SIDE_PX, NULL, NULL);
        assert_non_null(picture);
        photo_pose pose = solve(picture);
        for (int i = 0; i < 9; i++) {
            photo_point px = { picture->width * (0.1 + 0.4 * (i % 3)),
                               picture->height * (0.1 + 0.4 * (i / 3)) },
                        got;
            assert_true(photo_pose_to_table(&pose, px, &got));
            if (o == 0)
                first[i] = got;
            else if (hypot(got.x - first[i].x, got.y - first[i].y) > 0.01)
                fail_msg("orientation %d, place %d: off by %.4f in", orientations[o], i,
                         hypot(got.x - first[i].x, got.y - first[i].y));
        }
    }
}

static void there_and_back_is_the_same_place(void **state)
{
    (void)state;
    scene drawn;
    scene_default(&drawn);
    drawn.tilt_deg = 25;
    drawn.k1 = -0.02;
    photo_pose pose = scene_truth(&drawn);
    for (int i = 0; i < 100; i++) {
        photo_point at = { i % 10 * 2.0 - 4, i / 10 * 1.5 - 10 }, px, back;
        assert_true(photo_pose_to_px(&pose, at, &px));
        assert_true(photo_pose_to_table(&pose, px, &back));
        assert_true(hypot(back.x - at.x, back.y - at.y) < 1e-9);
    }
    photo_point px, horizon = { 0, 500 };
    drawn.tilt_deg = 60;
    pose = scene_truth(&drawn);
    assert_false(photo_pose_to_px(&pose, (photo_point){ 0, -500 }, &px));
    assert_false(photo_pose_to_px(&pose, horizon, &px) && px.y > drawn.height);
    assert_false(photo_pose_to_table(&pose, (photo_point){ 800, -5000 }, &px));
}

static void four_points_of_a_known_thing_give_the_scale(void **state)
{
    (void)state;
    static const photo_point sheet[4] = {
        { 0, 0 }, { 11, 0 }, { 11, -8.5 }, { 0, -8.5 }
    };
    scene drawn;
    scene_default(&drawn);
    drawn.tilt_deg = 18;
    drawn.azimuth_deg = 15;
    photo_pose truth = scene_truth(&drawn), pose;
    photo_picture picture = { .width = 1600, .height = 1200, .shrink = 1 };
    photo_point taps[4];
    for (int i = 0; i < 4; i++) {
        assert_true(photo_pose_to_px(&truth, sheet[i], &taps[i]));
        taps[i].x += i % 2 == 0 ? 1 : -1; /* a finger's width of error */
    }
    g_autoptr(GError) error = NULL;
    assert_true(photo_pose_from_points(&picture, taps, 11 * LENGTH_INCH,
                                       LENGTH_INCH * 17 / 2, NULL, &pose, &error));
    assert_int_equal(pose.card_count, 0);
    photo_point px, got;
    assert_true(photo_pose_to_px(&truth, (photo_point){ 8.5, -2.25 }, &px));
    assert_true(photo_pose_to_table(&pose, px, &got));
    /* The sheet's centre is the origin. */
    assert_true(hypot(got.x - 3, got.y - 2) < 0.05);
    /* A wider error than with the card, and it says so. */
    assert_true(pose.length_error > 0.003 && pose.length_error < 0.05);

    photo_point crossed[4] = { taps[0], taps[2], taps[1], taps[3] };
    assert_false(photo_pose_from_points(&picture, crossed, 11 * LENGTH_INCH,
                                        8 * LENGTH_INCH, NULL, &pose, &error));
    assert_string_equal(motley_error_code(error), "photo.points");
    g_clear_error(&error);
    photo_point line[4] = { { 0, 0 }, { 100, 100 }, { 200, 200 }, { 300, 300 } };
    assert_false(photo_pose_from_points(&picture, line, 11 * LENGTH_INCH, 8 * LENGTH_INCH,
                                        NULL, &pose, &error));
    assert_string_equal(motley_error_code(error), "photo.points");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths_are_true_across_the_mat),
        cmocka_unit_test(rendered_photos_are_measured_to_a_third_of_a_percent),
        cmocka_unit_test(what_the_lens_taught_makes_the_next_photo_surer),
        cmocka_unit_test(the_second_cards_print_is_compared),
        cmocka_unit_test(the_frame_is_that_of_the_lowest_card),
        cmocka_unit_test(too_little_of_a_card_is_refused),
        cmocka_unit_test(cards_that_contradict_are_refused),
        cmocka_unit_test(exif_turns_change_no_measure),
        cmocka_unit_test(there_and_back_is_the_same_place),
        cmocka_unit_test(four_points_of_a_known_thing_give_the_scale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
