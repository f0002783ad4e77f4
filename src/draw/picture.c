#include "draw/picture.h"
#include "base/error.h"
#include "draw/scene-internal.h"

#include <setjmp.h>
#include <stdio.h>
#include <string.h>

#include <jpeglib.h>

enum { PIXELS_MAX = 64000000 };

struct draw_picture {
    GBytes *bytes;
    char *href;
    bool jpeg;
    cairo_surface_t *surface;
};

/* ---- JPEG ---- */

typedef struct jpeg_failure {
    struct jpeg_error_mgr manager;
    jmp_buf out;
} jpeg_failure;

G_NORETURN static void fail_jpeg(j_common_ptr info)
{
    longjmp(((jpeg_failure *)(void *)info->err)->out, 1);
}

static void keep_quiet(j_common_ptr info)
{
    (void)info;
}

/* The surface is the caller's variable, so that it survives the jump out of libjpeg. */
static bool read_jpeg(const guchar *data, gsize size, cairo_surface_t **surface)
{
    struct jpeg_decompress_struct info;
    jpeg_failure failure;
    info.err = jpeg_std_error(&failure.manager);
    failure.manager.error_exit = fail_jpeg;
    failure.manager.output_message = keep_quiet;
    if (setjmp(failure.out)) {
        jpeg_destroy_decompress(&info);
        return false;
    }
    jpeg_create_decompress(&info);
    jpeg_mem_src(&info, data, size);
    jpeg_read_header(&info, TRUE);
    if ((gint64)info.image_width * info.image_height > PIXELS_MAX)
        longjmp(failure.out, 1);
    info.out_color_space =
        JCS_EXT_BGRX; /* cairo's RGB24 where the low byte comes first */
    if (G_BYTE_ORDER == G_BIG_ENDIAN)
        info.out_color_space = JCS_EXT_XRGB;
    jpeg_start_decompress(&info);
    *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)info.output_width,
                                          (int)info.output_height);
    if (cairo_surface_status(*surface) != CAIRO_STATUS_SUCCESS)
        longjmp(failure.out, 1);
    unsigned char *pixels = cairo_image_surface_get_data(*surface);
    size_t stride = (size_t)cairo_image_surface_get_stride(*surface);
    while (info.output_scanline < info.output_height) {
        JSAMPROW row = pixels + stride * info.output_scanline;
        jpeg_read_scanlines(&info, &row, 1);
    }
    jpeg_finish_decompress(&info);
    jpeg_destroy_decompress(&info);
    cairo_surface_mark_dirty(*surface);
    return true;
}

static void drop_bytes(void *bytes)
{
    g_bytes_unref(bytes);
}

/* PDF then holds the JPEG as it came, once for the whole document. */
static void attach_jpeg(cairo_surface_t *surface, GBytes *bytes)
{
    gsize size;
    const guchar *data = g_bytes_get_data(bytes, &size);
    if (cairo_surface_set_mime_data(surface, CAIRO_MIME_TYPE_JPEG, data, size, drop_bytes,
                                    g_bytes_ref(bytes)) != CAIRO_STATUS_SUCCESS)
        g_bytes_unref(bytes);
    char *id = g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes);
    if (cairo_surface_set_mime_data(surface, CAIRO_MIME_TYPE_UNIQUE_ID,
                                    (const guchar *)id, strlen(id), g_free,
                                    id) != CAIRO_STATUS_SUCCESS)
        g_free(id);
}

/* ---- PNG ---- */

typedef struct reader {
    const guchar *data;
    gsize left;
} reader;

static cairo_status_t read_some(void *closure, unsigned char *into, unsigned int size)
{
    reader *self = closure;
    if (size > self->left)
        return CAIRO_STATUS_READ_ERROR;
    memcpy(into, self->data, size);
    self->data += size;
    self->left -= size;
    return CAIRO_STATUS_SUCCESS;
}

/* Width and height stand at the same place in every PNG: read them before room is made.
 */
static bool read_png(const guchar *data, gsize size, cairo_surface_t **surface)
{
    if (size < 24)
        return false;
    guint32 width, height;
    memcpy(&width, data + 16, 4);
    memcpy(&height, data + 20, 4);
    if ((guint64)GUINT32_FROM_BE(width) * GUINT32_FROM_BE(height) > PIXELS_MAX)
        return false;
    reader from = { data, size };
    *surface = cairo_image_surface_create_from_png_stream(read_some, &from);
    return cairo_surface_status(*surface) == CAIRO_STATUS_SUCCESS;
}

/* ---- The picture ---- */

draw_picture *draw_picture_new(GBytes *bytes, const char *href, GError **error)
{
    gsize size;
    const guchar *data = g_bytes_get_data(bytes, &size);
    bool jpeg = size > 3 && memcmp(data, "\xff\xd8\xff", 3) == 0;
    bool png = size > 8 && memcmp(data, "\x89PNG\r\n\x1a\n", 8) == 0;
    cairo_surface_t *surface = NULL;
    bool read =
        jpeg ? read_jpeg(data, size, &surface) : png && read_png(data, size, &surface);
    if (!read) {
        if (surface != NULL)
            cairo_surface_destroy(surface);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_DRAW_PICTURE_UNREADABLE, "%s",
                    jpeg || png ? "The picture is damaged or too large."
                                : "This is neither a JPEG nor a PNG picture.");
        return NULL;
    }
    if (jpeg)
        attach_jpeg(surface, bytes);

    draw_picture *self = g_atomic_rc_box_new0(draw_picture);
    self->bytes = g_bytes_ref(bytes);
    self->href = g_strdup(href);
    self->jpeg = jpeg;
    self->surface = surface;
    return self;
}

draw_picture *draw_picture_ref(draw_picture *self)
{
    return g_atomic_rc_box_acquire(self);
}

static void clear(gpointer data)
{
    draw_picture *self = data;
    g_bytes_unref(self->bytes);
    g_free(self->href);
    cairo_surface_destroy(self->surface);
}

void draw_picture_unref(draw_picture *self)
{
    if (self != NULL)
        g_atomic_rc_box_release_full(self, clear);
}

int draw_picture_width_px(const draw_picture *self)
{
    return cairo_image_surface_get_width(self->surface);
}

int draw_picture_height_px(const draw_picture *self)
{
    return cairo_image_surface_get_height(self->surface);
}

GBytes *draw_picture_bytes(const draw_picture *self)
{
    return self->bytes;
}

const char *draw_picture_href(const draw_picture *self)
{
    return self->href;
}

bool draw_picture_is_jpeg(const draw_picture *self)
{
    return self->jpeg;
}

cairo_surface_t *draw_picture_surface(const draw_picture *self)
{
    return self->surface;
}
