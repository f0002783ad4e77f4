/* Any bytes as a picture: refused, or read and drawn in every form. */
#include "base/error.h"
#include "draw/scene.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    g_autoptr(GBytes) bytes = g_bytes_new(data, size);
    g_autoptr(GError) error = NULL;
    g_autoptr(draw_picture) picture = draw_picture_new(bytes, NULL, &error);
    if (picture == NULL) {
        if (!g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_DRAW_PICTURE_UNREADABLE))
            abort();
        return 0;
    }
    /* Drawing a large one takes long and tells nothing more. */
    if ((int64_t)draw_picture_width_px(picture) * draw_picture_height_px(picture) >
        1 << 20)
        return 0;
    g_autoptr(draw_scene) scene = draw_scene_new("fuzz");
    draw_scene_add_page(scene, LENGTH_INCH, LENGTH_INCH);
    const draw_point corners[3] = { { 0, 0 }, { LENGTH_INCH, 0 }, { 0, LENGTH_INCH } };
    draw_scene_picture(scene, picture, corners, 3, corners);
    g_bytes_unref(draw_scene_svg(scene, 0));
    g_autoptr(GBytes) png = draw_scene_png(scene, 0, 32, NULL);
    g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
    if (png == NULL || pdf == NULL)
        abort();
    return 0;
}
