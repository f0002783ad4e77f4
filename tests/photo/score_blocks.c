/* score-blocks: how well finished blocks are found in the photos of a folder, by their
 * truth.
 *
 * usage: score-blocks [-v] DIR
 *
 * DIR holds blocks-*.jpg with their .json as tests/photos/README.md describes: blocks of
 * nine patches, 5 in a side before they are sewn together, from unit squares of 2 in. */
#include "colour/match.h"
#include "photo/blocks.h"
#include "photo/find.h"
#include "photo/kinds.h"
#include "photo/photo.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const photo_block_size nine_patch = { 3, 2, 0.25, false };

/* As the photos' README names them. */
static const char *const kind_names[] = { "all scrap", "cross", "diagonal" };
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

typedef struct totals {
    int there, found, invented, kinds_right, cells, cells_right;
    int fabrics, first, three, assigned, assigned_wrong;
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

/* Whether each cell is background or scrap, as the truth says it. */
static void score_cells(const json_t *block, const photo_reading *reading, totals *t)
{
    const json_t *background = json_object_get(block, "background");
    for (int i = 0; i < 9; i++) {
        const json_t *fabric = json_array_get(
            json_array_get(json_object_get(block, "fabrics"), (size_t)i / 3),
            (size_t)i % 3);
        bool is = json_is_string(background) && json_equal(fabric, background);
        int drawn = photo_cell_unturned(3, i / 3, i % 3, reading->turn);
        bool read = kinds[reading->kind].cell[drawn].role[0] == PHOTO_CELL_BACKGROUND;
        t->cells++;
        t->cells_right += is == read;
    }
}

static int64_t fabric_number(const char *id)
{
    return (int64_t)g_str_hash(id);
}

/* Signatures of the swatches in DIR/swatches: pictures of the fabrics' own colours. */
static GArray *read_swatches(const char *folder)
{
    GArray *references = g_array_new(FALSE, FALSE, sizeof(colour_reference));
    g_autofree char *path = g_build_filename(folder, "swatches", NULL);
    g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
    for (const char *file; dir != NULL && (file = g_dir_read_name(dir)) != NULL;) {
        g_autofree char *name = g_build_filename(path, file, NULL);
        g_autoptr(photo_picture) picture = photo_load(name, NULL, NULL);
        if (picture == NULL)
            continue;
        size_t n = (size_t)picture->columns * (size_t)picture->rows;
        g_autofree float *lab = g_new(float, 3 * n);
        g_autofree uint8_t *group = g_new(uint8_t, n);
        for (size_t i = 0; i < n; i++) {
            colour_lab one = colour_lab_from_srgb8((colour_srgb8){
                picture->rgb[3 * i], picture->rgb[3 * i + 1], picture->rgb[3 * i + 2] });
            lab[3 * i] = (float)one.l;
            lab[3 * i + 1] = (float)one.a;
            lab[3 * i + 2] = (float)one.b;
        }
        g_autofree char *id = g_strndup(file, strcspn(file, "."));
        colour_reference reference = { .fabric = fabric_number(id) };
        colour_signature_from_pixels(n, lab, group, &reference.signature);
        g_array_append_val(references, reference);
    }
    return references;
}

static bool holds(const json_t *outline, double x, double y)
{
    bool in = false;
    size_t n = json_array_size(outline);
    for (size_t i = 0, j = n - 1; i < n; j = i++) {
        photo_point a = point_of(json_array_get(outline, i));
        photo_point b = point_of(json_array_get(outline, j));
        if ((a.y > y) != (b.y > y) && x < a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x))
            in = !in;
    }
    return in;
}

/* Scraps of the folder's other photos: pictures of the same fabrics in other light. */
static void read_scraps(const char *photo, const json_t *truth, GArray *references)
{
    g_auto(photo_survey) survey = { 0 };
    g_autoptr(photo_scraps) found = NULL;
    if (!photo_survey_run(photo, NULL, NULL, &survey, NULL) ||
        !photo_find_scraps(survey.plan, NULL, &found, NULL))
        return;
    for (int k = 0; k < found->count; k++) {
        const photo_scrap *scrap = &found->scrap[k];
        double x, y;
        photo_plan_to_table(survey.plan, scrap->swatch.centre_column,
                            scrap->swatch.centre_row, &x, &y);
        size_t i;
        json_t *one;
        json_array_foreach (json_object_get(truth, "scraps"), i, one) {
            if (!holds(json_object_get(one, "outline"), x, y))
                continue;
            colour_reference reference = { .fabric = fabric_number(json_string_value(
                                               json_object_get(one, "fabric"))),
                                           .signature = scrap->signature };
            g_array_append_val(references, reference);
            break;
        }
    }
}

static void read_references(const char *folder, GArray *references)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    for (const char *file; dir != NULL && (file = g_dir_read_name(dir)) != NULL;) {
        if (!g_str_has_suffix(file, ".jpg"))
            continue;
        g_autofree char *name = g_strndup(file, strlen(file) - 4);
        g_autofree char *photo = g_strdup_printf("%s/%s.jpg", folder, name);
        g_autofree char *json = g_strdup_printf("%s/%s.json", folder, name);
        json_t *truth = json_load_file(json, 0, NULL);
        if (json_object_get(truth, "scraps") != NULL)
            read_scraps(photo, truth, references);
        json_decref(truth);
    }
}

static void score_fabrics(const json_t *block, const photo_block *found,
                          const GArray *references, bool verbose, totals *t)
{
    for (int i = 0; i < 9; i++) {
        const char *id = json_string_value(json_array_get(
            json_array_get(json_object_get(block, "fabrics"), (size_t)i / 3),
            (size_t)i % 3));
        if (references->len == 0 || id[0] == 'B')
            continue;
        colour_match match;
        colour_match_find_part(&found->cell[i].signature, (int)references->len,
                               (const colour_reference *)(const void *)references->data,
                               &match);
        bool first = false, three = false;
        for (int k = 0; k < match.count; k++) {
            bool right = match.likely[k].fabric == fabric_number(id);
            first |= right && k == 0;
            three |= right;
        }
        t->fabrics++;
        t->first += first;
        t->three += three;
        t->assigned += match.verdict == COLOUR_SAME;
        t->assigned_wrong += match.verdict == COLOUR_SAME && !first;
        if (verbose && !three)
            printf("    %s not among three: likeliest %.2f alike\n", id,
                   match.count > 0 ? match.likely[0].alike : 0);
    }
}

static void score(const char *name, const json_t *truth, const photo_blocks *found,
                  const GArray *references, bool verbose, totals *t)
{
    static const char *const sides[] = { "top", "right", "bottom", "left" };
    const json_t *list = json_object_get(truth, "blocks");
    g_autofree bool *used = g_new0(bool, found->count + 1);
    g_autofree photo_reading *readings = g_new(photo_reading, found->count + 1);
    photo_background background;
    photo_read_kinds(found, 3, G_N_ELEMENTS(kinds), kinds, NULL, readings, &background);
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
        const char *kind = json_string_value(json_object_get(block, "kind"));
        bool right = strcmp(kind, kind_names[readings[match].kind]) == 0;
        t->kinds_right += right;
        score_cells(block, &readings[match], t);
        score_fabrics(block, &found->block[match], references, verbose, t);
        if (verbose && (!right || readings[match].sure < 0.9))
            printf("  %s: block at %.1f, %.1f is %s, read as %s, sure %.2f\n", name,
                   centre.x, centre.y, kind, kind_names[readings[match].kind],
                   readings[match].sure);
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
    g_autoptr(GArray) references = read_swatches(folder);
    guint swatches = references->len;
    read_references(folder, references);
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
                score(name, truth, found, references, verbose, &t);
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
    printf("kinds: %d of %d right; background or scrap: %d of %d cells right\n",
           t.kinds_right, t.found, t.cells_right, t.cells);
    printf("fabrics by %u swatches and %u scraps: %d cells, first %.1f %%, among three "
           "%.1f %%; %d "
           "assigned without asking, %d wrongly\n",
           swatches, references->len - swatches, t.fabrics,
           100.0 * t.first / MAX(1, t.fabrics), 100.0 * t.three / MAX(1, t.fabrics),
           t.assigned, t.assigned_wrong);
    g_array_unref(t.side_error);
    g_array_unref(t.ms);
    return 0;
}
