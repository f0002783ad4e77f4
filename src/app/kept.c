#include "kept-internal.h"

#include "colour/value.h"
#include "photo/load.h"
#include "store/fabric.h"

#include <math.h>

enum { SWATCH_PX = 128, SWATCH_QUALITY = 85, SWATCH_LEAST_PX = 12 };

/* --- geometry as JSON --- */

static json_t *numbers(size_t count, const double values[])
{
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, json_real(values[i]));
    return list;
}

char *app_geometry_write(const photo_geometry *geometry)
{
    const photo_pose *pose = &geometry->pose;
    json_t *cards = json_array();
    for (int i = 0; i < pose->card_count; i++) {
        json_t *corners = json_array();
        for (int k = 0; k < 4; k++)
            json_array_append_new(corners,
                                  json_pack("[f, f]", pose->card[i].corners_in[k].x,
                                            pose->card[i].corners_in[k].y));
        json_array_append_new(
            cards, json_pack("{s:i, s:i, s:o}", "first_id", pose->card[i].first_id,
                             "tags", pose->card[i].tags, "corners_in", corners));
    }
    g_autoptr(json_t) document = json_pack(
        "{s:[i, i], s:i, s:[i, i], s:s, s:{s:f, s:f, s:f, s:f}, s:o, s:[f, f], s:f, s:f,"
        " s:f, s:o, s:[i, i], s:o}",
        "file_px", geometry->file_width, geometry->file_height, "shrink",
        geometry->shrink, "loaded_px", geometry->columns, geometry->rows, "camera",
        geometry->camera, "lens", "focal_px", pose->lens.focal_px, "focal_sd_px",
        pose->lens.focal_sd_px, "k1", pose->lens.k1, "k1_sd", pose->lens.k1_sd,
        "table_to_ray", numbers(9, pose->table_to_ray), "centre_px", pose->centre_px.x,
        pose->centre_px.y, "error_in", pose->error_in, "length_error",
        isfinite(pose->length_error) ? pose->length_error : 1.0, "pixels_per_in",
        pose->pixels_per_in, "cards", cards, "plan_px", geometry->width, geometry->height,
        "paper_rgb", numbers(3, geometry->paper_rgb));
    return json_dumps(document, JSON_COMPACT);
}

static bool read_numbers(const json_t *list, size_t count, double values[])
{
    if (json_array_size(list) != count)
        return false;
    for (size_t i = 0; i < count; i++)
        values[i] = json_number_value(json_array_get(list, i));
    return true;
}

static bool read_cards(const json_t *list, photo_pose *pose)
{
    pose->card_count = (int)json_array_size(list);
    if (pose->card_count > CARD_KINDS)
        return false;
    for (int i = 0; i < pose->card_count; i++) {
        const json_t *card = json_array_get(list, (size_t)i);
        const json_t *corners = json_object_get(card, "corners_in");
        pose->card[i].first_id =
            (int)json_integer_value(json_object_get(card, "first_id"));
        pose->card[i].tags = (int)json_integer_value(json_object_get(card, "tags"));
        for (size_t k = 0; k < 4; k++) {
            double at[2];
            if (!read_numbers(json_array_get(corners, k), 2, at))
                return false;
            pose->card[i].corners_in[k] = (photo_point){ at[0], at[1] };
        }
    }
    return true;
}

bool app_geometry_read(const store_photo *photo, photo_geometry *ret_geometry)
{
    g_autoptr(json_t) document =
        photo->geometry == NULL ? NULL : json_loads(photo->geometry, 0, NULL);
    photo_geometry geometry = {
        .pixels_per_in = (int)photo->plan_pixels_per_in,
        .left_in = length_to_inches(photo->plan_left),
        .top_in = length_to_inches(photo->plan_top),
    };
    photo_pose *pose = &geometry.pose;
    pose->scale_ratio = 1;
    const char *camera = "";
    const json_t *ray, *cards, *paper;
    if (document == NULL ||
        json_unpack(
            document,
            "{s:[i, i], s:i, s:[i, i], s:s, s:{s:F, s:F, s:F, s:F}, s:o, s:[F, F],"
            " s:F, s:F, s:F, s:o, s:[i, i], s:o}",
            "file_px", &geometry.file_width, &geometry.file_height, "shrink",
            &geometry.shrink, "loaded_px", &geometry.columns, &geometry.rows, "camera",
            &camera, "lens", "focal_px", &pose->lens.focal_px, "focal_sd_px",
            &pose->lens.focal_sd_px, "k1", &pose->lens.k1, "k1_sd", &pose->lens.k1_sd,
            "table_to_ray", &ray, "centre_px", &pose->centre_px.x, &pose->centre_px.y,
            "error_in", &pose->error_in, "length_error", &pose->length_error,
            "pixels_per_in", &pose->pixels_per_in, "cards", &cards, "plan_px",
            &geometry.width, &geometry.height, "paper_rgb", &paper) != 0 ||
        !read_numbers(ray, 9, pose->table_to_ray) ||
        !read_numbers(paper, 3, geometry.paper_rgb) || !read_cards(cards, pose) ||
        geometry.shrink < 1)
        return false;
    g_strlcpy(geometry.camera, camera, sizeof geometry.camera);
    *ret_geometry = geometry;
    return true;
}

gboolean app_kept_plan(app *self, int64_t photo, const photo_window *window,
                       const photo_watch *watch, photo_plan **ret_plan, GError **error)
{
    *ret_plan = NULL;
    g_auto(store_photo) stored = { 0 };
    photo_geometry geometry;
    if (photo == 0)
        return TRUE;
    if (!store_photo_get(self->book, photo, &stored, error))
        return FALSE;
    if (stored.plan == 0 || !app_geometry_read(&stored, &geometry))
        return TRUE;
    g_autoptr(GBytes) jpeg = store_picture(self->book, stored.plan, error);
    if (jpeg == NULL)
        return FALSE;
    *ret_plan = photo_kept_plan(jpeg, &geometry, window, watch, error);
    return *ret_plan != NULL;
}

/* --- what an outline shows --- */

void app_reading_clear(app_reading *reading)
{
    g_clear_pointer(&reading->swatch, g_bytes_unref);
}

colour_value_limits app_value_limits(const GArray *references)
{
    guint n = references->len;
    g_autofree double *l = g_new(double, n + 1);
    g_autofree double *weight = g_new(double, n + 1);
    g_autofree int *order = g_new(int, n + 1);
    for (guint i = 0; i < n; i++) {
        l[i] = colour_signature_mean(
                   &g_array_index(references, colour_reference, i).signature)
                   .l;
        weight[i] = 1;
    }
    return colour_value_limits_from((int)n, l, weight, order);
}

GBytes *app_swatch_jpeg(const photo_plan *plan, const photo_swatch *swatch)
{
    photo_swatch square = *swatch;
    square.columns_px = square.rows_px = MIN(swatch->columns_px, swatch->rows_px);
    if (square.columns_px < SWATCH_LEAST_PX)
        return NULL;
    uint8_t rgb[SWATCH_PX * SWATCH_PX * 3];
    photo_swatch_to_srgb(plan, &square, SWATCH_PX, SWATCH_PX, rgb);
    return photo_jpeg(SWATCH_PX, SWATCH_PX, rgb, SWATCH_QUALITY, NULL);
}

app_reading app_reading_of(const photo_plan *plan, const photo_scrap *scrap,
                           const GArray *references)
{
    colour_value_limits limits = app_value_limits(references);
    return (app_reading){ .colours = scrap->signature,
                          .value = colour_value_of(scrap->mean.l, &limits),
                          .swatch = app_swatch_jpeg(plan, &scrap->swatch) };
}

gboolean app_outline_reading(app *self, int64_t photo, const scrap_outline *outline,
                             const GArray *references, app_reading *ret_reading,
                             GError **error)
{
    static const double round_in = 0.5; /* what the reading looks at beside the piece */
    *ret_reading = (app_reading){ 0 };
    scrap_point least, most;
    scrap_outline_box(outline, &least, &most);
    const photo_window window = { length_to_inches(least.x) - round_in,
                                  length_to_inches(least.y) - round_in,
                                  length_to_inches(most.x) + round_in,
                                  length_to_inches(most.y) + round_in };
    g_autoptr(photo_plan) plan = NULL;
    if (!app_kept_plan(self, photo, &window, NULL, &plan, error))
        return FALSE;
    if (plan == NULL || plan->width == 0 || plan->height == 0)
        return TRUE;
    g_autoptr(photo_scraps) read = photo_read_outline(plan, outline);
    if (read->count > 0 && read->scrap[0].signature.count > 0)
        *ret_reading = app_reading_of(plan, &read->scrap[0], references);
    return TRUE;
}

gboolean app_fabric_learn(store_change *change, const app_reading *reading,
                          int64_t *ret_fabric, GError **error)
{
    return store_fabric_add(change, NULL, -1, ret_fabric, error) &&
           (reading->swatch == NULL ||
            store_swatch_add(change, *ret_fabric, reading->swatch, NULL, error)) &&
           (reading->colours.count == 0 ||
            store_signature_add(change, *ret_fabric, &reading->colours, reading->value,
                                error));
}
