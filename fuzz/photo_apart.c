/* Any bytes as a photo that is decoded apart: a picture, or an error of photos; within
 * five seconds, and this process lives. */
#include "base/error.h"
#include "photo/apart.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    photo_apart_start();
    g_assert(photo_apart_runs());
    g_autoptr(GBytes) file = g_bytes_new(data, size);
    g_autoptr(GError) error = NULL;
    gint64 start = g_get_monotonic_time();
    g_autoptr(photo_picture) picture =
        photo_load_bytes(file, PHOTO_SIDE_PX, NULL, &error);
    g_assert(g_get_monotonic_time() - start < 5 * G_USEC_PER_SEC);
    g_assert(picture != NULL || g_str_has_prefix(motley_error_code(error), "photo."));
    return 0;
}
