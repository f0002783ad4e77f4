/* Any bytes as what a decoding process says of a photo: a picture whose fields hold and
 * whose pixels are all there, or an error of photos. The last byte says how the file of
 * pixels differs from what is said: its size, or that it is no file. */
#include "base/error.h"
#include "photo/apart-internal.h"

#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* What a decoder that tells the truth says: see fill_answer() in apart.c. */
typedef struct said {
    int32_t error;
    char message[240];
    int32_t width, height, shrink, columns, rows;
    double focal_px;
    char camera[PHOTO_CAMERA_SIZE];
} said;

static int pixels_for(const said *says, uint8_t how)
{
    int64_t size, apart = how % 4 - (how % 4 == 3) * 4;
    int file = memfd_create("pixels", MFD_CLOEXEC);
    g_assert(file >= 0);
    if (!__builtin_mul_overflow((int64_t)says->columns * says->rows, 3, &size) &&
        size < 1 << 20 && (size += apart) > 0)
        g_assert(ftruncate(file, size) == 0);
    return file;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    said says = { 0 };
    memcpy(&says, data, MIN(size, sizeof says));
    int pixels = pixels_for(&says, size > 0 ? data[size - 1] & 3 : 0);
    g_autoptr(GBytes) file = g_bytes_new_static("", 0);
    g_autoptr(GError) error = NULL;
    g_autoptr(photo_picture) picture =
        photo_hear_decoder(data, size, pixels, file, &error);
    close(pixels);
    if (picture == NULL) {
        g_assert(g_str_has_prefix(motley_error_code(error), "photo."));
        g_assert(g_utf8_validate(error->message, -1, NULL));
        return 0;
    }
    g_assert(error == NULL && size == sizeof says);
    g_assert((int64_t)picture->width * picture->height < PHOTO_PIXELS_MAX);
    g_assert(picture->focal_px >= 0 && picture->focal_px < 1e7);
    g_assert(g_utf8_validate(picture->camera, -1, NULL));
    g_autofree uint8_t *copy =
        g_memdup2(picture->rgb, 3 * (size_t)picture->columns * (size_t)picture->rows);
    g_assert(copy != NULL);
    return 0;
}
