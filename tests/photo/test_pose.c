#include "test.h"

#include "base/error.h"
#include "scene.h"

/* The worst relative error of lengths of 3 in across a 24 x 18 in mat round the target.
 */
static double worst_length(const scene *drawn, const photo_pose *pose)
{
    photo_pose truth = scene_truth(drawn);
    double worst = 0;
    for (int y = -9; y <= 9; y += 3)
        for (int x = -12; x <= 12; x += 3)
            for (int along = 0; along < 2; along++) {
                photo_point at = { drawn->target_in.x + x, drawn->target_in.y + y };
                photo_point end = { at.x + (along ? 0 : 3), at.y + (along ? 3 : 0) };
                photo_point at_px, end_px, at_got, end_got;
                assert_true(photo_pose_to_px(&truth, at, &at_px));
                assert_true(photo_pose_to_px(&truth, end, &end_px));
                assert_true(photo_pose_to_table(pose, at_px, &at_got));
                assert_true(photo_pose_to_table(pose, end_px, &end_got));
                double got = hypot(end_got.x - at_got.x, end_got.y - at_got.y);
                worst = fmax(worst, fabs(got / 3 - 1));
            }
    return worst;
}

static void the_pose_of_a_drawn_photo_is_found(void **state)
{
    (void)state;
    scene drawn;
    scene_default(&drawn);
    drawn.tilt_deg = 12;
    drawn.azimuth_deg = 20;
    drawn.roll_deg = 3;
    g_autoptr(photo_picture) picture = scene_picture(&drawn);
    photo_tags tags;
    photo_pose pose;
    assert_true(photo_find_cards(picture, NULL, &tags, NULL));
    assert_int_equal(tags.count, 4);
    assert_true(photo_solve_pose(picture, &tags, NULL, &pose, NULL));
    double worst = worst_length(&drawn, &pose);
    if (worst > 0.004)
        fail_msg("lengths are off by up to %.3f %%", 100 * worst);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_pose_of_a_drawn_photo_is_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
