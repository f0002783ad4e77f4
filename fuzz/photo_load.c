/* Any bytes as a photo: a picture whose fields hold, or an error with a code of the
 * table. */
#include "base/error.h"
#include "photo/load.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    g_autoptr(GBytes) file = g_bytes_new(data, size);
    g_autoptr(GError) error = NULL;
    g_autoptr(photo_picture) picture =
        photo_load_bytes(file, PHOTO_SIDE_PX, NULL, &error);
    if (picture == NULL) {
        g_assert(g_str_has_prefix(motley_error_code(error), "photo."));
        return 0;
    }
    g_assert(error == NULL);
    g_assert((int64_t)picture->width * picture->height < PHOTO_PIXELS_MAX);
    g_assert(abs(picture->columns * picture->shrink - picture->width) < 8);
    g_assert(abs(picture->rows * picture->shrink - picture->height) < 8);
    g_assert(g_utf8_validate(picture->camera, -1, NULL));
    /* Every byte can be read. */
    g_autofree uint8_t *copy =
        g_memdup2(picture->rgb, 3 * (size_t)picture->columns * (size_t)picture->rows);
    g_assert(copy != NULL);
    return 0;
}
