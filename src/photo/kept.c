#include "photo/kept.h"

#include "base/error.h"
#include "photo/memory-internal.h"

#include <math.h>
#include <string.h>

photo_geometry photo_geometry_of(const photo_picture *picture, const photo_pose *pose,
                                 const photo_plan *plan)
{
    photo_geometry geometry = { .file_width = picture->width,
                                .file_height = picture->height,
                                .shrink = picture->shrink,
                                .columns = picture->columns,
                                .rows = picture->rows,
                                .pose = *pose,
                                .width = plan->width,
                                .height = plan->height,
                                .pixels_per_in = plan->pixels_per_in,
                                .left_in = plan->left_in,
                                .top_in = plan->top_in };
    memcpy(geometry.paper_rgb, plan->paper_rgb, sizeof geometry.paper_rgb);
    g_strlcpy(geometry.camera, picture->camera, sizeof geometry.camera);
    return geometry;
}

/* Whether the picture that the plan was made from had pixels all round the place where a
 * point of the table was seen. */
static bool was_seen(const photo_geometry *geometry, double x_in, double y_in)
{
    photo_point px;
    if (!photo_pose_to_px(&geometry->pose, (photo_point){ x_in, y_in }, &px))
        return false;
    double column = px.x / geometry->shrink - 0.5, row = px.y / geometry->shrink - 0.5;
    return column >= 0 && row >= 0 && column < geometry->columns - 1 &&
           row < geometry->rows - 1;
}

/* The window in whole pixels of the whole plan: first column and row, end column and row.
 */
static void window_px(const photo_geometry *geometry, const photo_window *window,
                      int box[static 4])
{
    box[0] = box[1] = 0;
    box[2] = geometry->width;
    box[3] = geometry->height;
    if (window == NULL)
        return;
    double per_in = geometry->pixels_per_in;
    double from[2] = { (window->left_in - geometry->left_in) * per_in,
                       (geometry->top_in - window->top_in) * per_in };
    double to[2] = { (window->right_in - geometry->left_in) * per_in,
                     (geometry->top_in - window->bottom_in) * per_in };
    for (int axis = 0; axis < 2; axis++) {
        int most = box[axis + 2];
        box[axis] = (int)fmin(most, fmax(0, floor(from[axis])));
        box[axis + 2] = (int)fmax(box[axis], fmin(most, ceil(to[axis])));
    }
}

static void fill_pixels(const photo_geometry *geometry, const photo_picture *picture,
                        int left, int top, photo_plan *plan)
{
    float linear[256];
    for (int i = 0; i < 256; i++)
        linear[i] = (float)colour_linear_from_srgb8((colour_srgb8){ (uint8_t)i, 0, 0 }).r;
    for (int row = 0; row < plan->height; row++) {
        size_t start = (size_t)row * (size_t)plan->width;
        const uint8_t *from =
            picture->rgb +
            ((size_t)(top + row) * (size_t)picture->columns + (size_t)left) * 3;
        for (int column = 0; column < plan->width; column++) {
            double x_in, y_in;
            photo_plan_to_table(plan, column + 0.5, row + 0.5, &x_in, &y_in);
            if (!was_seen(geometry, x_in, y_in))
                continue;
            size_t at = start + (size_t)column;
            plan->covered[at] = 1;
            for (size_t band = 0; band < 3; band++)
                plan->rgb[3 * at + band] = linear[from[3 * (size_t)column + band]];
        }
    }
}

photo_plan *photo_kept_plan(GBytes *jpeg, const photo_geometry *geometry,
                            const photo_window *window, const photo_watch *watch,
                            GError **error)
{
    g_autoptr(photo_picture) picture =
        photo_load_bytes(jpeg, PHOTO_PLAN_PER_IN * PHOTO_PLAN_SIDE_MAX_IN, watch, error);
    if (picture == NULL)
        return NULL;
    if (picture->columns != geometry->width || picture->rows != geometry->height) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_KEPT_DIFFERS,
                    "The kept picture has %d x %d pixels, not %d x %d.", picture->columns,
                    picture->rows, geometry->width, geometry->height);
        return NULL;
    }
    int box[4];
    window_px(geometry, window, box);
    photo_plan *plan = g_new0(photo_plan, 1);
    plan->width = box[2] - box[0];
    plan->height = box[3] - box[1];
    plan->pixels_per_in = geometry->pixels_per_in;
    plan->left_in = geometry->left_in + (double)box[0] / geometry->pixels_per_in;
    plan->top_in = geometry->top_in - (double)box[1] / geometry->pixels_per_in;
    plan->card_count = geometry->pose.card_count;
    memcpy(plan->card, geometry->pose.card, sizeof plan->card);
    memcpy(plan->paper_rgb, geometry->paper_rgb, sizeof plan->paper_rgb);
    plan->paper = colour_srgb8_from_linear(
        (colour_linear){ plan->paper_rgb[0], plan->paper_rgb[1], plan->paper_rgb[2] });
    size_t pixels = (size_t)plan->width * (size_t)plan->height;
    plan->rgb = photo_memory_new0((3 * pixels + 1) * sizeof plan->rgb[0]);
    plan->covered = photo_memory_new0(pixels + 1);
    fill_pixels(geometry, picture, box[0], box[1], plan);
    return plan;
}
