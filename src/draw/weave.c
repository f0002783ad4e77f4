#include "draw/weave.h"
#include "base/error.h"

#include <cairo.h>
#include <math.h>

/* The tile that is repeated: many threads, since viewers show a faint seam between tiles.
 */
enum { TILE_THREADS = 16, TILE_THREAD_PX = 8 };

/* How light a point of the cloth is beside the mean: x and y count threads. Where the
 * warp lies over, the thread runs up; where the weft does, across. A thread is round:
 * lightest along its middle, darkest where it dives under its neighbours. */
static double shade(double x, double y)
{
    int column = (int)floor(x), row = (int)floor(y);
    double across = x - column - 0.5, along = y - row - 0.5;
    bool warp = ((column + row) & 1) == 0;
    if (!warp) {
        double swap = across;
        across = along;
        along = swap;
    }
    double round = cos(across * G_PI), dive = cos(along * G_PI);
    return (warp ? 0.06 : -0.02) + 0.16 * round * (0.6 + 0.4 * dive);
}

/* Mean of shade() over the repeat of 2 x 2 threads, at the points that a picture of so
 * many pixels a thread takes. */
static double mean_shade(double threads_per_px)
{
    double sum = 0;
    int n = MAX(1, (int)(2 / threads_per_px + 0.5));
    for (int i = 0; i < n; i++)
        for (int j = 0; j < n; j++)
            sum += shade((j + 0.5) * threads_per_px, (i + 0.5) * threads_per_px);
    return sum / n / n;
}

static cairo_status_t append(void *closure, const unsigned char *data, unsigned int size)
{
    g_byte_array_append(closure, data, size);
    return CAIRO_STATUS_SUCCESS;
}

/* The shades are scaled so that their mean is 1 and the lightest channel stays within
 * white: a colour that is nearly white gets a fainter weave, not a darker mean. */
static GBytes *weave(colour_srgb8 colour, int side_px, double threads_per_px,
                     GError **error)
{
    colour_linear light = colour_linear_from_srgb8(colour);
    double most = MAX(light.r, MAX(light.g, light.b)), mean = mean_shade(threads_per_px);
    double peak = shade(0.5, 0.5) - mean;
    double depth = most * (1 + peak) > 1 ? (1 / most - 1) / peak : 1;

    cairo_surface_t *surface =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, side_px, side_px);
    unsigned char *pixels = cairo_image_surface_get_data(surface);
    int stride = cairo_image_surface_get_stride(surface);
    for (int y = 0; pixels != NULL && y < side_px; y++) {
        uint32_t *row = (uint32_t *)(void *)(pixels + (size_t)y * (size_t)stride);
        for (int x = 0; x < side_px; x++) {
            double s = 1 + depth * (shade((x + 0.5) * threads_per_px,
                                          (y + 0.5) * threads_per_px) -
                                    mean);
            colour_srgb8 c = colour_srgb8_from_linear(
                (colour_linear){ light.r * s, light.g * s, light.b * s });
            row[x] = (uint32_t)c.r << 16 | (uint32_t)c.g << 8 | c.b;
        }
    }
    cairo_surface_mark_dirty(surface);
    GByteArray *bytes = g_byte_array_new();
    cairo_status_t status = cairo_surface_write_to_png_stream(surface, append, bytes);
    cairo_surface_destroy(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        return g_byte_array_free_to_bytes(bytes);
    g_byte_array_unref(bytes);
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_DRAW_FAILED, "The weave failed: %s.",
                cairo_status_to_string(status));
    return NULL;
}

GBytes *draw_weave_png(colour_srgb8 colour, int side_px, int threads, GError **error)
{
    g_assert(side_px >= 1 && side_px <= 4096 && threads >= 2);
    return weave(colour, side_px, (double)threads / side_px, error);
}

draw_picture *draw_weave_picture(colour_srgb8 colour)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GBytes) png =
        weave(colour, TILE_THREADS * TILE_THREAD_PX, 1.0 / TILE_THREAD_PX, &error);
    draw_picture *picture = png == NULL ? NULL : draw_picture_new(png, NULL, &error);
    g_assert_no_error(error); /* so few pixels: only memory could fail */
    return picture;
}
