#include "test.h"

#include "base/error.h"
#include "scene.h"

static const photo_point diamond[4] = { { 8, -5 }, { 10, -3 }, { 12, -5 }, { 10, -7 } };

/* A tilted photo with an orange diamond of 8 sq in on the mat. */
static void draw_diamond(scene *ret_scene)
{
    scene_default(ret_scene);
    ret_scene->tilt_deg = 16;
    ret_scene->azimuth_deg = 25;
    ret_scene->roll_deg = 4;
    ret_scene->gain[0] = 0.95;
    ret_scene->gain[2] = 0.7;
    ret_scene->piece_count = 1;
    ret_scene->piece[0] =
        (scene_piece){ .count = 4, .corners_in = diamond, .colour = { 220, 120, 40 } };
}

static photo_plan *plan_of(const scene *drawn)
{
    g_autoptr(photo_picture) picture = scene_picture(drawn);
    photo_tags tags;
    photo_pose pose;
    g_autoptr(GError) error = NULL;
    if (!photo_find_cards(picture, NULL, &tags, &error) ||
        !photo_solve_pose(picture, &tags, NULL, &pose, &error))
        fail_msg("%s", error->message);
    photo_plan *plan = photo_make_plan(picture, &pose, NULL, &error);
    assert_non_null(plan);
    return plan;
}

static void a_piece_lies_where_it_lies(void **state)
{
    (void)state;
    scene drawn;
    draw_diamond(&drawn);
    g_autoptr(photo_plan) plan = plan_of(&drawn);
    double area = 0, mean_x = 0, mean_y = 0;
    for (int row = 0; row < plan->height; row++)
        for (int column = 0; column < plan->width; column++) {
            size_t at = (size_t)row * (size_t)plan->width + (size_t)column;
            if (!plan->covered[at])
                continue;
            double x, y;
            photo_plan_to_table(plan, column + 0.5, row + 0.5, &x, &y);
            if (fabs(x - 10) > 3 || fabs(y + 5) > 3)
                continue;
            /* How far each pixel is from the mat's red to the piece's, between 0 and 1.
             */
            static const double mat = 0.0130,
                                orange = 0.7157; /* sRGB 30 and 220, linear */
            double share =
                (plan->rgb[3 * at] / (PHOTO_PAPER_Y / 0.8388) - mat) / (orange - mat);
            share = CLAMP(share, 0, 1);
            area += share;
            mean_x += share * x;
            mean_y += share * y;
        }
    mean_x /= area;
    mean_y /= area;
    area /= plan->pixels_per_in * plan->pixels_per_in;
    if (fabs(area / 8 - 1) > 0.01)
        fail_msg("8 sq in measured as %.3f", area);
    if (hypot(mean_x - 10, mean_y + 5) > 0.01)
        fail_msg("centre at (%.4f, %.4f)", mean_x, mean_y);
}

static void the_cards_paper_becomes_white(void **state)
{
    (void)state;
    scene drawn;
    draw_diamond(&drawn);
    g_autoptr(photo_plan) plan = plan_of(&drawn);
    double column, row;
    photo_plan_from_table(plan, 0.5, 1.2, &column, &row);
    const float *paper =
        plan->rgb + 3 * ((size_t)row * (size_t)plan->width + (size_t)column);
    for (int band = 0; band < 3; band++)
        if (fabs((double)paper[band] / PHOTO_PAPER_Y - 1) > 0.05)
            fail_msg("band %d is %.3f", band, (double)paper[band]);
    /* As photographed: paper 236, 235, 231 by 0.85 and the light's gains. */
    static const double want[3] = { 0.8388 * 0.85 * 0.95, 0.8308 * 0.85,
                                    0.7991 * 0.85 * 0.7 };
    for (int band = 0; band < 3; band++)
        assert_true(fabs(plan->paper_rgb[band] - want[band]) < 0.015);
}

static void only_what_was_photographed_is_covered(void **state)
{
    (void)state;
    scene drawn;
    draw_diamond(&drawn);
    photo_pose truth = scene_truth(&drawn);
    g_autoptr(photo_plan) plan = plan_of(&drawn);
    for (int row = 0; row < plan->height; row += 7)
        for (int column = 0; column < plan->width; column += 7) {
            photo_point in, px;
            photo_plan_to_table(plan, column + 0.5, row + 0.5, &in.x, &in.y);
            assert_true(photo_pose_to_px(&truth, in, &px));
            double inside =
                fmin(fmin(px.x, drawn.width - px.x), fmin(px.y, drawn.height - px.y));
            size_t at = (size_t)row * (size_t)plan->width + (size_t)column;
            if (inside > 5 && !plan->covered[at])
                fail_msg("(%.2f, %.2f) is missing", in.x, in.y);
            if (inside < -5 && plan->covered[at])
                fail_msg("(%.2f, %.2f) was never photographed", in.x, in.y);
            if (!plan->covered[at])
                assert_true(plan->rgb[3 * at] == 0 && plan->rgb[3 * at + 2] == 0);
        }
    /* All corners of the picture are in it. */
    for (int i = 0; i < 4; i++) {
        photo_point in;
        double column, row;
        assert_true(photo_pose_to_table(
            &truth, (photo_point){ i % 2 * 1600, i / 2 * 1200 }, &in));
        photo_plan_from_table(plan, in.x, in.y, &column, &row);
        assert_true(column > 0 && row > 0 && column < plan->width && row < plan->height);
    }
}

static void inches_and_pixels_map_both_ways(void **state)
{
    (void)state;
    photo_plan plan = { .pixels_per_in = 48, .left_in = -7, .top_in = 9 };
    double column, row, x, y;
    photo_plan_from_table(&plan, -7, 9, &column, &row);
    assert_true(column == 0 && row == 0);
    photo_plan_from_table(&plan, -6, 7, &column, &row);
    assert_true(column == 48 && row == 96);
    photo_plan_to_table(&plan, column, row, &x, &y);
    assert_true(fabs(x + 6) < 1e-12 && fabs(y - 7) < 1e-12);
}

/* IEC 61966-2-1: linear 0.5 is sRGB 188, 0.0031308 the end of the straight part, 10. */
static void a_plan_becomes_srgb(void **state)
{
    (void)state;
    float rgb[] = { 0, 0.0031308f, 0.5f, 1, 1.7f, 0.214041f, 0, 0, 0 };
    uint8_t covered[] = { 1, 1, 0 }; /* what was not seen is of the page's paper */
    photo_plan plan = { .width = 3, .height = 1, .rgb = rgb, .covered = covered };
    uint8_t bytes[9];
    photo_plan_to_srgb(&plan, bytes);
    static const uint8_t want[9] = { 0, 10, 188, 255, 255, 128, 251, 248, 243 };
    for (int i = 0; i < 9; i++)
        if (abs(bytes[i] - want[i]) > (i == 5 ? 1 : 0))
            fail_msg("%g became %d", (double)rgb[i], bytes[i]);
    g_autoptr(GBytes) file = photo_jpeg(2, 1, bytes, 90, NULL);
    assert_non_null(file);
    assert_memory_equal(g_bytes_get_data(file, NULL), "\xff\xd8\xff", 3);
}

static void a_horizon_in_view_ends_the_plan(void **state)
{
    (void)state;
    scene drawn;
    scene_default(&drawn);
    drawn.tilt_deg = 68;
    drawn.k1 = -0.01;
    photo_pose pose = scene_truth(&drawn);
    g_autoptr(photo_picture) picture = scene_picture(&drawn);
    g_autoptr(photo_plan) plan = photo_make_plan(picture, &pose, NULL, NULL);
    assert_non_null(plan);
    assert_true(plan->width > 0 && plan->width <= 48 * 48 && plan->height <= 48 * 48);
}

static void a_plan_stops_when_told(void **state)
{
    (void)state;
    scene drawn;
    scene_default(&drawn);
    photo_pose pose = scene_truth(&drawn);
    g_autoptr(photo_picture) picture = scene_picture(&drawn);
    atomic_bool stop = true;
    photo_watch watch = { .stop = &stop };
    g_autoptr(GError) error = NULL;
    assert_null(photo_make_plan(picture, &pose, &watch, &error));
    assert_string_equal(motley_error_code(error), "cancelled");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_piece_lies_where_it_lies),
        cmocka_unit_test(the_cards_paper_becomes_white),
        cmocka_unit_test(only_what_was_photographed_is_covered),
        cmocka_unit_test(inches_and_pixels_map_both_ways),
        cmocka_unit_test(a_plan_becomes_srgb),
        cmocka_unit_test(a_horizon_in_view_ends_the_plan),
        cmocka_unit_test(a_plan_stops_when_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
