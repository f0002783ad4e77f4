/* score-photos: how well the photos of a folder are measured, by their truth.
 *
 * usage: score-photos [-v] DIR
 *
 * DIR holds NAME.jpg with NAME.json as tests/photos/README.md describes. A line for each
 * photo, first for its scale, then for its scraps (with -v also one for each scrap that
 * came out badly), then lines of figures for all. */
#include "photo/photo.h"
#include "score_scraps.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The camera that took the photo. */
typedef struct true_photo {
    photo_pose pose;
    int cards;
} true_photo;

static double number_at(const json_t *array, size_t i)
{
    return json_number_value(json_array_get(array, i));
}

static bool read_truth(const char *path, true_photo *ret_truth)
{
    json_t *root = json_load_file(path, 0, NULL);
    json_t *camera = json_object_get(root, "camera");
    if (camera == NULL) {
        json_decref(root);
        return false;
    }
    true_photo t = { .cards = (int)json_array_size(json_object_get(root, "cards")) };
    t.pose.lens.focal_px = json_number_value(json_object_get(camera, "focal_px"));
    t.pose.lens.k1 = json_number_value(json_object_get(camera, "k1"));
    json_t *centre = json_object_get(camera, "principal_point_upright_px");
    t.pose.centre_px = (photo_point){ number_at(centre, 0), number_at(centre, 1) };
    json_t *h = json_object_get(camera, "homography_table_to_upright_px_undistorted");
    for (size_t r = 0; r < 3; r++)
        for (size_t c = 0; c < 3; c++)
            t.pose.table_to_ray[3 * r + c] = number_at(json_array_get(h, r), c);
    /* From pixels to rays: less the centre, by the focal length. */
    for (size_t c = 0; c < 3; c++) {
        double w = t.pose.table_to_ray[6 + c];
        t.pose.table_to_ray[c] =
            (t.pose.table_to_ray[c] - t.pose.centre_px.x * w) / t.pose.lens.focal_px;
        t.pose.table_to_ray[3 + c] =
            (t.pose.table_to_ray[3 + c] - t.pose.centre_px.y * w) / t.pose.lens.focal_px;
    }
    json_decref(root);
    *ret_truth = t;
    return true;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double quantile(int count, double values[count], double share)
{
    if (count == 0)
        return NAN;
    qsort(values, (size_t)count, sizeof values[0], by_value);
    return values[(int)fmin(count - 1, floor(share * count))];
}

enum { LENGTHS_MAX = 20000 };

/* Relative errors of lengths of 1 to 6 in on a 24 x 18 in mat that lies as the photo
 * shows it: the true place of each end is projected by the true camera and measured back
 * by ours. The mat is centred where the picture's middle is; ends out of the picture are
 * left out. */
static int measure_lengths(const true_photo *truth, const photo_pose *pose, int width,
                           int height, double errors[LENGTHS_MAX], double *ret_worst_in)
{
    photo_point middle;
    int count = 0;
    *ret_worst_in = 0;
    if (!photo_pose_to_table(&truth->pose, truth->pose.centre_px, &middle))
        return 0;
    bool wide = width >= height;
    int reach_x = wide ? 12 : 9, reach_y = wide ? 9 : 12;
    static const double spans[][2] = { { 3, 0 }, { 0, 3 }, { 1, 1 },
                                       { 6, 0 }, { 0, 6 }, { 2, -2 } };
    for (int y = -reach_y; y <= reach_y; y++)
        for (int x = -reach_x; x <= reach_x; x++)
            for (size_t s = 0; s < G_N_ELEMENTS(spans); s++) {
                photo_point end[2] = { { middle.x + x, middle.y + y },
                                       { middle.x + x + spans[s][0],
                                         middle.y + y + spans[s][1] } };
                photo_point got[2];
                bool seen = true;
                for (int i = 0; i < 2; i++) {
                    photo_point px;
                    seen = seen && fabs(end[i].x - middle.x) <= reach_x &&
                           fabs(end[i].y - middle.y) <= reach_y &&
                           photo_pose_to_px(&truth->pose, end[i], &px) && px.x >= 0 &&
                           px.y >= 0 && px.x <= width && px.y <= height &&
                           photo_pose_to_table(pose, px, &got[i]);
                    if (seen)
                        *ret_worst_in = fmax(*ret_worst_in, hypot(got[i].x - end[i].x,
                                                                  got[i].y - end[i].y));
                }
                if (!seen || count == LENGTHS_MAX)
                    continue;
                double true_in = hypot(spans[s][0], spans[s][1]);
                errors[count++] =
                    fabs(hypot(got[1].x - got[0].x, got[1].y - got[0].y) / true_in - 1);
            }
    return count;
}

/* Finds the scraps and scores them where the truth has any. Returns the time from the
 * file on, ms_before having gone by already. */
static double score_photo(const char *name, const char *json, const photo_plan *plan,
                          bool verbose, double ms_before, score_totals *totals)
{
    gint64 start = g_get_monotonic_time();
    photo_scraps *found = NULL;
    if (!photo_find_scraps(plan, NULL, &found, NULL))
        return ms_before;
    double ms = ms_before + (double)(g_get_monotonic_time() - start) / 1000;
    json_t *truth = json_load_file(json, 0, NULL);
    if (json_object_get(truth, "scraps") != NULL)
        score_scraps(name, truth, found, verbose, totals);
    json_decref(truth);
    photo_scraps_free(found);
    return ms;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

int main(int argc, char **argv)
{
    bool verbose = argc == 3 && strcmp(argv[1], "-v") == 0;
    if (argc != 2 && !verbose) {
        fprintf(stderr, "usage: score-photos [-v] DIR\n");
        return 2;
    }
    const char *folder = argv[argc - 1];
    score_totals totals;
    score_totals_init(&totals);
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    for (const char *name; dir != NULL && (name = g_dir_read_name(dir)) != NULL;)
        if (g_str_has_suffix(name, ".jpg"))
            g_ptr_array_add(names, g_strndup(name, strlen(name) - 4));
    g_ptr_array_sort(names, by_name);

    double *errors = g_new(double, LENGTHS_MAX), *one = g_new(double, names->len + 1),
           *two = g_new(double, names->len + 1);
    double *ms_all = g_new0(double, names->len + 1);
    int ones = 0, twos = 0, tags = 0, tags_there = 0;
    double slowest = 0;
    printf("%-12s %5s %9s %9s %9s %9s %7s\n", "photo", "tags", "length95", "expected",
           "worst_in", "error_in", "ms");
    for (guint i = 0; i < names->len; i++) {
        const char *name = names->pdata[i];
        g_autofree char *photo = g_strdup_printf("%s/%s.jpg", folder, name);
        g_autofree char *json = g_strdup_printf("%s/%s.json", folder, name);
        true_photo truth;
        if (!read_truth(json, &truth))
            continue;
        tags_there += CARD_TAGS * truth.cards;
        g_autoptr(GError) error = NULL;
        g_auto(photo_survey) survey = { 0 };
        gint64 start = g_get_monotonic_time();
        gboolean done = photo_survey_run(photo, NULL, NULL, &survey, &error);
        double ms = (double)(g_get_monotonic_time() - start) / 1000;
        slowest = fmax(slowest, ms);
        tags += survey.tags.count;
        if (!done) {
            printf("%-12s %s\n", name, error->message);
            continue;
        }
        double worst;
        int count = measure_lengths(&truth, &survey.pose, survey.picture->width,
                                    survey.picture->height, errors, &worst);
        double p95 = quantile(count, errors, 0.95);
        if (truth.cards > 1)
            two[twos++] = p95;
        else
            one[ones++] = p95;
        printf("%-12s %2d/%-2d %8.3f%% %8.3f%% %9.4f %9.4f %7.0f\n", name,
               survey.tags.count, CARD_TAGS * truth.cards, 100 * p95,
               100 * survey.pose.length_error, worst, survey.pose.error_in, ms);
        ms_all[i] = score_photo(name, json, survey.plan, verbose, ms, &totals);
        for (int w = 0; w < survey.warnings.count; w++)
            printf("             %s: %s\n", survey.warnings.item[w].code,
                   survey.warnings.item[w].message);
    }
    printf("scale: tags %d/%d, length p95 one card worst %.3f%%, two cards worst %.3f%%, "
           "slowest %.0f ms\n",
           tags, tags_there, 100 * quantile(ones, one, 1), 100 * quantile(twos, two, 1),
           slowest);
    score_print(&totals);
    score_totals_clear(&totals);
    printf("file to scraps: median %.0f ms, slowest %.0f ms\n",
           quantile((int)names->len, ms_all, 0.5), quantile((int)names->len, ms_all, 1));
    g_free(ms_all);
    g_free(errors);
    g_free(one);
    g_free(two);
    return 0;
}
