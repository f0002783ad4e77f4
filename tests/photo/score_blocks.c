/* score-blocks: how well finished blocks are found in the photos of a folder, by their
 * truth.
 *
 * usage: score-blocks [-v] DIR
 *
 * DIR holds blocks-*.jpg with their .json as tests/photos/README.md describes: blocks of
 * nine patches, 5 in a side before they are sewn together, from unit squares of 2 in. */
#include "photo/blocks.h"
#include "photo/photo.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const photo_block_size nine_patch = { 3, 2, 0.25 };

typedef struct totals {
    int there, found, invented;
    GArray *side_error; /* double, in */
    GArray *ms;
} totals;

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double quantile(GArray *values, double share)
{
    if (values->len == 0)
        return NAN;
    qsort(values->data, values->len, sizeof(double), by_value);
    return g_array_index(values, double,
                         (guint)fmin(values->len - 1, floor(share * values->len)));
}

static photo_point point_of(const json_t *pair)
{
    return (photo_point){ json_number_value(json_array_get(pair, 0)),
                          json_number_value(json_array_get(pair, 1)) };
}

static photo_point middle_of(const photo_block *block)
{
    photo_point m = { 0, 0 };
    for (int k = 0; k < 4; k++) {
        m.x += block->corner_in[k].x / 4;
        m.y += block->corner_in[k].y / 4;
    }
    return m;
}

static void score(const char *name, const json_t *truth, const photo_blocks *found,
                  bool verbose, totals *t)
{
    static const char *const sides[] = { "top", "right", "bottom", "left" };
    const json_t *list = json_object_get(truth, "blocks");
    g_autofree bool *used = g_new0(bool, found->count + 1);
    size_t i;
    json_t *block;
    json_array_foreach (list, i, block) {
        photo_point centre = point_of(json_object_get(block, "centre"));
        int match = -1;
        for (int k = 0; k < found->count; k++) {
            photo_point m = middle_of(&found->block[k]);
            if (hypot(m.x - centre.x, m.y - centre.y) < 0.5)
                match = k;
        }
        t->there++;
        t->found += match >= 0;
        if (match < 0) {
            if (verbose)
                printf("  %s: block at %.1f, %.1f missed\n", name, centre.x, centre.y);
            continue;
        }
        used[match] = true;
        for (int k = 0; k < 4; k++) {
            double side = json_number_value(
                json_object_get(json_object_get(block, "sides"), sides[k]));
            double error = found->block[match].side_in[k] - side, size = fabs(error);
            g_array_append_val(t->side_error, size);
            if (verbose && size > 0.04)
                printf("  %s: block at %.1f, %.1f: %s %+.3f in (sharp %.2f, expected "
                       "%.3f, sure %.2f)\n",
                       name, centre.x, centre.y, sides[k], error,
                       found->block[match].sharp[k], found->block[match].error_in,
                       found->block[match].sure);
        }
    }
    for (int k = 0; k < found->count; k++) {
        if (used[k])
            continue;
        t->invented++;
        photo_point m = middle_of(&found->block[k]);
        if (verbose)
            printf("  %s: none at %.1f, %.1f, sure %.2f doubts %x\n", name, m.x, m.y,
                   found->block[k].sure, found->block[k].doubts);
    }
}

int main(int argc, char **argv)
{
    bool verbose = argc == 3 && strcmp(argv[1], "-v") == 0;
    if (argc != 2 && !verbose) {
        fprintf(stderr, "usage: score-blocks [-v] DIR\n");
        return 2;
    }
    const char *folder = argv[argc - 1];
    totals t = { .side_error = g_array_new(FALSE, FALSE, sizeof(double)),
                 .ms = g_array_new(FALSE, FALSE, sizeof(double)) };
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    for (const char *file; dir != NULL && (file = g_dir_read_name(dir)) != NULL;) {
        if (!g_str_has_suffix(file, ".jpg"))
            continue;
        g_autofree char *name = g_strndup(file, strlen(file) - 4);
        g_autofree char *photo = g_strdup_printf("%s/%s.jpg", folder, name);
        g_autofree char *json = g_strdup_printf("%s/%s.json", folder, name);
        json_t *truth = json_load_file(json, 0, NULL);
        if (json_object_get(truth, "blocks") != NULL) {
            gint64 start = g_get_monotonic_time();
            g_auto(photo_survey) survey = { 0 };
            g_autoptr(photo_blocks) found = NULL;
            g_autoptr(GError) error = NULL;
            if (photo_survey_run(photo, NULL, NULL, &survey, &error) &&
                photo_find_blocks(survey.plan, &nine_patch, NULL, &found, &error)) {
                double ms = (double)(g_get_monotonic_time() - start) / 1000;
                g_array_append_val(t.ms, ms);
                score(name, truth, found, verbose, &t);
            } else {
                printf("%s: %s\n", name, error->message);
            }
        }
        json_decref(truth);
    }
    printf(
        "blocks: %d of %d found, %d invented; sides off by %.4f in at the median, %.4f "
        "at the 95th percentile; file to blocks: slowest %.0f ms\n",
        t.found, t.there, t.invented, quantile(t.side_error, 0.5),
        quantile(t.side_error, 0.95), quantile(t.ms, 1));
    g_array_unref(t.side_error);
    g_array_unref(t.ms);
    return 0;
}
