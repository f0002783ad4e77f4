#include "test.h"

#include "photo/photo.h"

#include "photo/find.h"
#include "scene.h"

#include <glib/gstdio.h>
#include <jansson.h>
#include <unistd.h>

/* The project's own test photos with their truth, tests/photos/README.md. */
static json_t *truth_of(const char *name)
{
    g_autofree char *path =
        g_strdup_printf("%s/%s.json", g_getenv("MOTLEY_TEST_PHOTOS"), name);
    json_t *root = json_load_file(path, 0, NULL);
    if (root == NULL)
        fail_msg("%s cannot be read", path);
    return root;
}

static photo_scraps *scraps_of(const char *name)
{
    g_autofree char *path =
        g_strdup_printf("%s/%s.jpg", g_getenv("MOTLEY_TEST_PHOTOS"), name);
    g_auto(photo_survey) survey = { 0 };
    GError *error = NULL;
    photo_scraps *scraps = NULL;
    if (!photo_survey_run(path, NULL, NULL, &survey, &error) ||
        !photo_find_scraps(survey.plan, NULL, &scraps, &error))
        fail_msg("%s: %s", name, error->message);
    return scraps;
}

static photo_point middle_of_truth(const json_t *scrap)
{
    double x0 = INFINITY, x1 = -INFINITY, y0 = INFINITY, y1 = -INFINITY;
    size_t i;
    json_t *point;
    json_array_foreach (json_object_get(scrap, "outline"), i, point) {
        double x = json_number_value(json_array_get(point, 0));
        double y = json_number_value(json_array_get(point, 1));
        x0 = fmin(x0, x), x1 = fmax(x1, x), y0 = fmin(y0, y), y1 = fmax(y1, y);
    }
    return (photo_point){ (x0 + x1) / 2, (y0 + y1) / 2 };
}

static photo_point middle_of_scrap(const photo_scrap *scrap)
{
    length x0 = INT32_MAX, x1 = INT32_MIN, y0 = INT32_MAX, y1 = INT32_MIN;
    for (int i = 0; i < scrap->outline.outer.count; i++) {
        scrap_point p = scrap->outline.outer.points[i];
        x0 = MIN(x0, p.x), x1 = MAX(x1, p.x), y0 = MIN(y0, p.y), y1 = MAX(y1, p.y);
    }
    return (photo_point){ (length_to_inches(x0) + length_to_inches(x1)) / 2,
                          (length_to_inches(y0) + length_to_inches(y1)) / 2 };
}

/* Every scrap of the truth lies where one was found, of its size, and no more are found.
 */
static void hold_to_truth(const char *name, double worst)
{
    json_t *truth = truth_of(name);
    g_autoptr(photo_scraps) found = scraps_of(name);
    const json_t *list = json_object_get(truth, "scraps");
    assert_int_equal(found->count, json_array_size(list));
    size_t i;
    json_t *scrap;
    json_array_foreach (list, i, scrap) {
        double visible = json_number_value(json_object_get(scrap, "visible_area_in2"));
        double whole = json_number_value(json_object_get(scrap, "area_in2"));
        photo_point at = middle_of_truth(scrap);
        /* what lies over a scrap moves the middle of what is seen of it */
        double least = visible < whole ? 1.5 : 0.15;
        const photo_scrap *nearest = NULL;
        for (int k = 0; k < found->count; k++) {
            photo_point p = middle_of_scrap(&found->scrap[k]);
            if (hypot(p.x - at.x, p.y - at.y) < least) {
                least = hypot(p.x - at.x, p.y - at.y);
                nearest = &found->scrap[k];
            }
        }
        if (nearest == NULL)
            fail_msg("%s: nothing was found at %.2f, %.2f", name, at.x, at.y);
        double measured =
            (double)nearest->twice_area / 2 / ((double)LENGTH_INCH * LENGTH_INCH);
        if (fabs(measured / visible - 1) > worst)
            fail_msg("%s: %.3f sq in for %.3f at %.2f, %.2f", name, measured, visible,
                     at.x, at.y);
    }
    json_decref(truth);
}

static void all_scraps_on_a_green_mat_are_found_with_their_areas(void **state)
{
    (void)state;
    hold_to_truth("scraps-1", 0.05);
}

static void all_scraps_on_a_black_mat_are_found_and_its_yellow_lines_are_not(void **state)
{
    (void)state;
    hold_to_truth("mat-1", 0.05);
}

static void scraps_that_touch_or_overlap_come_apart(void **state)
{
    (void)state;
    hold_to_truth("scraps-5", 0.05);
}

/* Fabrics of scraps-1 in its truth: other fabrics never share a group, and pieces
 * of one fabric do where the light on them is alike. */
static void pieces_of_one_fabric_are_grouped(void **state)
{
    (void)state;
    g_autoptr(photo_scraps) found = scraps_of("scraps-1");
    json_t *truth = truth_of("scraps-1");
    const json_t *list = json_object_get(truth, "scraps");
    char fabric[64][16] = { "" };
    size_t i;
    json_t *scrap;
    json_array_foreach (list, i, scrap) {
        photo_point at = middle_of_truth(scrap);
        for (int k = 0; k < found->count && k < 64; k++) {
            photo_point p = middle_of_scrap(&found->scrap[k]);
            if (hypot(p.x - at.x, p.y - at.y) < 0.15)
                g_strlcpy(fabric[k], json_string_value(json_object_get(scrap, "fabric")),
                          16);
        }
    }
    json_decref(truth);
    int same = 0, together = 0, wrong = 0;
    for (int k = 0; k < found->count; k++) {
        for (int j = 0; j < k; j++) {
            bool one_fabric = strcmp(fabric[j], fabric[k]) == 0;
            bool one_group = found->scrap[j].group == found->scrap[k].group;
            same += one_fabric;
            together += one_fabric && one_group;
            wrong += !one_fabric && one_group;
        }
    }
    assert_int_equal(wrong, 0);
    assert_true(same > 0 && together > 0);
}

/* The camera stores what its sensor saw and says in the EXIF how it was held. The JPEG
 * codes of the four differ, the photo does not. */
static void a_photo_turned_by_its_exif_gives_the_same_scraps(void **state)
{
    (void)state;
    static const int orientations[] = { 1, 3, 6, 8 };
    static const photo_point square[] = { { 6, -3 }, { 9, -3 }, { 9, 0 }, { 6, 0 } };
    static const photo_point triangle[] = { { 5, -9 }, { 9, -9 }, { 5, -6 } };
    scene drawn;
    scene_default(&drawn);
    drawn.tilt_deg = 12;
    drawn.piece_count = 2;
    drawn.piece[0] =
        (scene_piece){ .count = 4, .corners_in = square, .colour = { 190, 60, 50 } };
    drawn.piece[1] =
        (scene_piece){ .count = 3, .corners_in = triangle, .colour = { 210, 200, 170 } };
    g_autofree char *path =
        g_build_filename(g_get_tmp_dir(), "motley-turned-XXXXXX", NULL);
    int file = g_mkstemp(path);
    assert_true(file >= 0);
    close(file);
    photo_point middle[2];
    double area[2];
    for (size_t i = 0; i < G_N_ELEMENTS(orientations); i++) {
        g_autoptr(GBytes) bytes = scene_jpeg(&drawn, 95, orientations[i]);
        gsize size;
        const char *data = g_bytes_get_data(bytes, &size);
        assert_true(g_file_set_contents(path, data, (gssize)size, NULL));
        g_auto(photo_survey) survey = { 0 };
        g_autoptr(photo_scraps) found = NULL;
        GError *error = NULL;
        if (!photo_survey_run(path, NULL, NULL, &survey, &error) ||
            !photo_find_scraps(survey.plan, NULL, &found, &error))
            fail_msg("orientation %d: %s", orientations[i], error->message);
        assert_int_equal(found->count, 2);
        for (int k = 0; k < 2; k++) {
            photo_point at = middle_of_scrap(&found->scrap[k]);
            double size_sq_in = length_to_inches(1) * length_to_inches(1) *
                                (double)found->scrap[k].twice_area / 2;
            if (i == 0) {
                middle[k] = at;
                area[k] = size_sq_in;
                continue;
            }
            double off = hypot(at.x - middle[k].x, at.y - middle[k].y);
            if (off > 0.01 || fabs(sqrt(size_sq_in) - sqrt(area[k])) > 0.01)
                fail_msg("orientation %d: scrap %d is off by %.4f in", orientations[i], k,
                         off);
        }
    }
    g_remove(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_scraps_on_a_green_mat_are_found_with_their_areas),
        cmocka_unit_test(
            all_scraps_on_a_black_mat_are_found_and_its_yellow_lines_are_not),
        cmocka_unit_test(scraps_that_touch_or_overlap_come_apart),
        cmocka_unit_test(pieces_of_one_fabric_are_grouped),
        cmocka_unit_test(a_photo_turned_by_its_exif_gives_the_same_scraps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
