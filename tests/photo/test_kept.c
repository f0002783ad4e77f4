/* A plan that was kept as a JPEG is measured again as it was. */
#include "test.h"

#include "base/error.h"
#include "photo/find.h"
#include "photo/kept.h"
#include "scene.h"

enum { QUALITY = 86 }; /* what the book keeps */

static const photo_point strip[] = { { 4, 2 }, { 10, 2.5 }, { 9.8, 4.5 }, { 3.8, 4 } };

/* A table seen at a slant, so that the plan has corners which the photo does not cover.
 */
typedef struct kept {
    photo_picture *picture;
    photo_plan *plan;
    photo_geometry geometry;
    GBytes *jpeg;
} kept;

static int keep(void **state)
{
    scene drawn;
    scene_default(&drawn);
    drawn.tilt_deg = 20;
    drawn.roll_deg = 12;
    drawn.piece_count = 1;
    drawn.piece[0] = (scene_piece){ .count = 4,
                                    .corners_in = strip,
                                    .colour = { 190, 60, 50 },
                                    .other = { 190, 60, 50 } };
    kept *self = g_new0(kept, 1);
    self->picture = scene_picture(&drawn);
    photo_pose pose = scene_truth(&drawn);
    self->plan = photo_make_plan(self->picture, &pose, NULL, NULL);
    self->geometry = photo_geometry_of(self->picture, &pose, self->plan);
    g_autofree uint8_t *rgb =
        g_malloc((gsize)self->plan->width * (gsize)self->plan->height * 3);
    photo_plan_to_srgb(self->plan, rgb);
    self->jpeg = photo_jpeg(self->plan->width, self->plan->height, rgb, QUALITY, NULL);
    *state = self;
    return 0;
}

static int drop(void **state)
{
    kept *self = *state;
    photo_picture_free(self->picture);
    photo_plan_free(self->plan);
    g_bytes_unref(self->jpeg);
    g_free(self);
    return 0;
}

static void what_the_photo_covers_is_known_again(void **state)
{
    kept *self = *state;
    g_autoptr(photo_plan) again =
        photo_kept_plan(self->jpeg, &self->geometry, NULL, NULL, NULL);
    assert_non_null(again);
    assert_int_equal(again->width, self->plan->width);
    assert_int_equal(again->height, self->plan->height);
    assert_true(again->left_in == self->plan->left_in);
    assert_true(again->top_in == self->plan->top_in);
    int64_t pixels = (int64_t)again->width * again->height, covered = 0, unlike = 0;
    for (int64_t i = 0; i < pixels; i++) {
        covered += again->covered[i];
        unlike += again->covered[i] != self->plan->covered[i];
    }
    assert_true(covered < pixels); /* the slant leaves corners bare */
    if (unlike * 20000 > pixels)
        fail_msg("%lld of %lld pixels", (long long)unlike, (long long)pixels);
}

/* Distances of colours read on both plans; 2.3 is what an eye just sees (Mahy, Van
 * Eycken and Oosterlinck 1994). */
static void an_outline_shows_the_same_colours(void **state)
{
    kept *self = *state;
    scrap_point points[4];
    for (int i = 0; i < 4; i++)
        points[i] = (scrap_point){ length_from_inches(strip[i].x),
                                   length_from_inches(strip[i].y) };
    const scrap_outline outline = { { 4, points }, 0, NULL };
    const photo_window window = { 3.3, 1.5, 10.5, 5 };
    g_autoptr(photo_plan) part =
        photo_kept_plan(self->jpeg, &self->geometry, &window, NULL, NULL);
    assert_true(part->width < self->plan->width && part->height < self->plan->height);
    g_autoptr(photo_scraps) before = photo_read_outline(self->plan, &outline);
    g_autoptr(photo_scraps) after = photo_read_outline(part, &outline);
    double off = colour_delta_e76(&before->scrap[0].mean, &after->scrap[0].mean);
    if (off > 1)
        fail_msg("%.2f away", off);
    assert_true(after->scrap[0].swatch.columns_px > PHOTO_PLAN_PER_IN);
}

static void a_window_is_a_piece_of_the_whole(void **state)
{
    kept *self = *state;
    const photo_window window = { 3.001, 1, 6.5, 4 }, outside = { 90, 90, 91, 91 };
    g_autoptr(photo_plan) whole =
        photo_kept_plan(self->jpeg, &self->geometry, NULL, NULL, NULL);
    g_autoptr(photo_plan) part =
        photo_kept_plan(self->jpeg, &self->geometry, &window, NULL, NULL);
    int left = (int)lround((part->left_in - whole->left_in) * PHOTO_PLAN_PER_IN);
    int top = (int)lround((whole->top_in - part->top_in) * PHOTO_PLAN_PER_IN);
    assert_int_equal(part->width, (int)(3.5 * PHOTO_PLAN_PER_IN));
    for (int row = 0; row < part->height; row++)
        assert_memory_equal(
            part->rgb + (size_t)row * (size_t)part->width * 3,
            whole->rgb + ((size_t)(row + top) * (size_t)whole->width + (size_t)left) * 3,
            (size_t)part->width * 3 * sizeof(float));
    g_autoptr(photo_plan) none =
        photo_kept_plan(self->jpeg, &self->geometry, &outside, NULL, NULL);
    assert_int_equal(none->width * none->height, 0);
}

static void a_picture_of_another_size_is_refused(void **state)
{
    kept *self = *state;
    photo_geometry other = self->geometry;
    other.width++;
    GError *error = NULL;
    assert_null(photo_kept_plan(self->jpeg, &other, NULL, NULL, &error));
    assert_string_equal(motley_error_code(error), "photo.kept-differs");
    g_clear_error(&error);
    g_autoptr(GBytes) broken = g_bytes_new_from_bytes(self->jpeg, 0, 900);
    assert_null(photo_kept_plan(broken, &self->geometry, NULL, NULL, &error));
    assert_non_null(error);
    g_clear_error(&error);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_the_photo_covers_is_known_again),
        cmocka_unit_test(an_outline_shows_the_same_colours),
        cmocka_unit_test(a_window_is_a_piece_of_the_whole),
        cmocka_unit_test(a_picture_of_another_size_is_refused),
    };
    return cmocka_run_group_tests(tests, keep, drop);
}
