#include "test.h"

#include "scene.h"

static photo_warnings judge(const scene *drawn, photo_quality *ret_quality)
{
    g_autoptr(photo_picture) picture = scene_picture(drawn);
    photo_tags tags;
    photo_pose pose;
    photo_warnings warnings = { 0 };
    g_autoptr(GError) error = NULL;
    if (!photo_find_cards(picture, NULL, &tags, &error) ||
        !photo_solve_pose(picture, &tags, NULL, &pose, &error))
        fail_msg("%s", error->message);
    g_autoptr(photo_plan) plan = photo_make_plan(picture, &pose, NULL, &error);
    assert_non_null(plan);
    photo_judge(&pose, plan, ret_quality, &warnings);
    return warnings;
}

static void blur(scene *drawn)
{
    drawn->blur_px = 2.5;
}

static void lean(scene *drawn)
{
    drawn->tilt_deg = 45;
    drawn->azimuth_deg = 90;
    drawn->target_in = (photo_point){ 2, 0 };
}

static void go_far(scene *drawn)
{
    drawn->distance_in = 40;
}

static void darken(scene *drawn)
{
    drawn->exposure = 0.08;
}

static void shine(scene *drawn)
{
    drawn->glare_in = 3;
}

static void overexpose(scene *drawn)
{
    drawn->exposure = 1.6;
}

static void light_by_lamp(scene *drawn)
{
    drawn->gain[0] = 1.1;
    drawn->gain[1] = 0.75;
    drawn->gain[2] = 0.3;
}

static void light_from_one_side(scene *drawn)
{
    drawn->fall_off = 8;
}

static void bow(scene *drawn)
{
    drawn->tilt_deg = 10;
    drawn->card[0].bow_x = 0.25 / (3.5 * 3.5);
}

static void print_smaller(scene *drawn)
{
    drawn->card_count = 2;
    drawn->card[1] =
        (scene_card){ .first_id = 4, .centre_in = { 11, -7 }, .scale = 0.97 };
}

static void cover(scene *drawn)
{
    static const photo_point corners[4] = {
        { 1.5, 0.5 }, { 5, 0.5 }, { 5, 4 }, { 1.5, 4 }
    };
    drawn->piece_count = 1;
    drawn->piece[0] =
        (scene_piece){ .count = 4, .corners_in = corners, .colour = { 170, 40, 60 } };
}

static const struct {
    void (*spoil)(scene *drawn);
    const char *code;
} faults[] = {
    { blur, "photo.blurred" },
    { lean, "photo.steep" },
    { go_far, "photo.far" },
    { darken, "photo.dark" },
    { shine, "photo.glare" },
    { overexpose, "photo.glare" },
    { light_by_lamp, "photo.light-coloured" },
    { light_from_one_side, "photo.light-uneven" },
    { bow, "photo.card-bowed" },
    { print_smaller, "photo.cards-differ" },
    { cover, "photo.card-partly" },
};

static void each_fault_is_told_by_its_code(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(faults); i++) {
        scene drawn;
        scene_default(&drawn);
        faults[i].spoil(&drawn);
        photo_quality quality;
        photo_warnings warnings = judge(&drawn, &quality);
        if (!photo_warned(&warnings, faults[i].code))
            fail_msg("fault %zu: no %s among %d remarks (blur %.4f in, paper %.2f, cast "
                     "%.0f, burnt "
                     "%.3f, card %.3f, fall-off %.1f)",
                     i, faults[i].code, warnings.count, quality.blur_in, quality.paper_y,
                     quality.cast, quality.burnt, quality.burnt_card, quality.fall_off);
    }
}

static void a_good_photo_gets_no_remark(void **state)
{
    (void)state;
    for (int i = 0; i < 3; i++) {
        scene drawn;
        scene_default(&drawn);
        drawn.tilt_deg = 10 * i;
        drawn.fall_off = 1 + 0.7 * i;
        drawn.grid = i == 1 ? (colour_srgb8){ 120, 150, 130 } : drawn.grid;
        photo_warnings warnings = judge(&drawn, NULL);
        if (warnings.count > 0)
            fail_msg("photo %d: %s (%s)", i, warnings.item[0].code,
                     warnings.item[0].message);
    }
}

static void fall_off_and_paper_are_measured(void **state)
{
    (void)state;
    scene drawn;
    scene_default(&drawn);
    drawn.fall_off = 3;
    photo_quality quality;
    judge(&drawn, &quality);
    /* Nine tenths of the way from one side to the other: 3 to the power 0.9. */
    if (fabs(quality.fall_off / pow(3, 0.9) - 1) > 0.1)
        fail_msg("fall-off %.2f", quality.fall_off);

    scene_default(&drawn);
    judge(&drawn, &quality);
    /* Paper of sRGB (236, 235, 231) is Y 0.824 (IEC 61966-2-1), lit by 0.85. */
    if (fabs(quality.paper_y - 0.824 * 0.85) > 0.015)
        fail_msg("paper %.3f", quality.paper_y);
    assert_true(quality.cast < 4);
    /* 0.7 px at 60 px an inch, and half a pixel more by reading it between pixels. */
    assert_true(quality.blur_in > 0.7 / 61 && quality.blur_in < 1.1 / 60);
}

static void remarks_are_made_once_each(void **state)
{
    (void)state;
    photo_warnings warnings = { 0 };
    photo_warn(&warnings, "photo.dark", "%s", "first");
    photo_warn(&warnings, "photo.dark", "%s", "second");
    photo_warn(&warnings, "photo.far", "%s", "third");
    assert_int_equal(warnings.count, 2);
    assert_string_equal(warnings.item[0].message, "first");
    assert_true(photo_warned(&warnings, "photo.far"));
    assert_false(photo_warned(&warnings, "photo.steep"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_fault_is_told_by_its_code),
        cmocka_unit_test(a_good_photo_gets_no_remark),
        cmocka_unit_test(fall_off_and_paper_are_measured),
        cmocka_unit_test(remarks_are_made_once_each),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
