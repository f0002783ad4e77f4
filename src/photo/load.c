#include "photo/load.h"

#include "apart-internal.h"
#include "base/error.h"
#include "photo/memory-internal.h"

#include <math.h>
#include <string.h>
#include <vips/vips.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(VipsImage, g_object_unref)

/* The formats that are read. A photo comes from anywhere, so the file's first bytes
 * choose among these few loaders; libvips' own search would try document formats too. */
typedef enum photo_format {
    PHOTO_FORMAT_NONE,
    PHOTO_FORMAT_JPEG,
    PHOTO_FORMAT_PNG,
    PHOTO_FORMAT_HEIF,
} photo_format;

static bool starts(const uint8_t *bytes, size_t size, size_t at, const char *mark)
{
    size_t length = strlen(mark);
    return size >= at + length && memcmp(bytes + at, mark, length) == 0;
}

static photo_format sniff(const uint8_t *bytes, size_t size)
{
    if (starts(bytes, size, 0, "\xff\xd8\xff"))
        return PHOTO_FORMAT_JPEG;
    if (starts(bytes, size, 0, "\x89PNG\r\n\x1a\n"))
        return PHOTO_FORMAT_PNG;
    if (starts(bytes, size, 4, "ftyphei") || starts(bytes, size, 4, "ftyphev") ||
        starts(bytes, size, 4, "ftypmif1") || starts(bytes, size, 4, "ftypavif"))
        return PHOTO_FORMAT_HEIF;
    return PHOTO_FORMAT_NONE;
}

static void say_nothing(const char *domain, GLogLevelFlags level, const char *message,
                        gpointer data)
{
    (void)domain;
    (void)level;
    (void)message;
    (void)data;
}

static void start_vips(void)
{
    static gsize once = 0;
    if (!g_once_init_enter(&once))
        return;
    if (VIPS_INIT("motley") != 0)
        g_error("libvips does not start: %s", vips_error_buffer());
    /* What goes wrong comes back as an error and is said by those who speak. */
    g_log_set_handler("VIPS", G_LOG_LEVEL_WARNING, say_nothing, NULL);
    /* Every photo is read once; a cache would only hold memory. */
    vips_cache_set_max(0);
    vips_concurrency_set(2);
    /* No other loader is ever started, whatever asks for it. */
    vips_operation_block_set("VipsForeignLoad", TRUE);
    vips_operation_block_set("VipsForeignLoadJpeg", FALSE);
    vips_operation_block_set("VipsForeignLoadPng", FALSE);
    g_once_init_leave(&once, 1);
}

void photo_decode_prepare(void)
{
    start_vips();
}

/* The reason that libvips gives, on one line, and its buffer emptied. */
static char *vips_reason(void)
{
    g_autofree char *text = vips_error_buffer_copy();
    char *line_end = strchr(text, '\n');
    if (line_end != NULL)
        *line_end = '\0';
    return g_steal_pointer(&text);
}

/* Opens a file with its format's loader; only a JPEG is reduced by it. A loader that is
 * not strict bears what can be put up with, such as stray bytes between the parts. */
static VipsImage *open_format(GBytes *file, photo_format format, int shrink, bool strict)
{
    VipsFailOn fail_on = strict ? VIPS_FAIL_ON_WARNING : VIPS_FAIL_ON_TRUNCATED;
    gsize size;
    void *bytes = (void *)g_bytes_get_data(file, &size);
    VipsImage *image = NULL;
    switch (format) {
    case PHOTO_FORMAT_JPEG:
        vips_jpegload_buffer(bytes, size, &image, "shrink", shrink, "fail_on", fail_on,
                             "access", VIPS_ACCESS_SEQUENTIAL, NULL);
        break;
    case PHOTO_FORMAT_PNG:
        vips_pngload_buffer(bytes, size, &image, "fail_on", fail_on, "access",
                            VIPS_ACCESS_SEQUENTIAL, NULL);
        break;
    case PHOTO_FORMAT_HEIF: /* known only to say so */
    case PHOTO_FORMAT_NONE:
        break;
    }
    return image;
}

/* Largest power of two up to 8 that leaves the long side at least side_px. */
static int choose_shrink(int long_side, int side_px)
{
    int shrink = 1;
    while (shrink < 8 && long_side / (2 * shrink) >= side_px)
        shrink *= 2;
    return shrink;
}

/* One step of the chain below: image becomes the result of call, or the chain fails. */
#define STEP(call)                                                                       \
    do {                                                                                 \
        VipsImage *next = NULL;                                                          \
        if ((call) != 0)                                                                 \
            return NULL;                                                                 \
        g_object_unref(image);                                                           \
        image = next;                                                                    \
    } while (0)

/* Whether a picture brings a colour profile other than sRGB's, as phones with a wide
 * gamut do. Its name is in it as plain text or in two bytes a letter. */
static bool has_other_profile(VipsImage *image)
{
    const void *profile;
    size_t size;
    if (vips_image_get_typeof(image, VIPS_META_ICC_NAME) == 0 ||
        vips_image_get_blob(image, VIPS_META_ICC_NAME, &profile, &size) != 0) {
        vips_error_clear();
        return false;
    }
    return memmem(profile, size, "sRGB", 4) == NULL &&
           memmem(profile, size, "s\0R\0G\0B", 7) == NULL;
}

/* A picture's own colours as sRGB; a profile that makes no sense is passed over. */
static VipsImage *apply_profile(VipsImage *image)
{
    VipsImage *out = NULL;
    if (vips_icc_transform(image, &out, "srgb", "embedded", TRUE, "intent",
                           VIPS_INTENT_RELATIVE, NULL) == 0)
        return out;
    vips_error_clear();
    return g_object_ref(image);
}

/* Any picture as 8-bit sRGB of three bands, reduced by the rest of the shrink. */
static VipsImage *to_srgb(VipsImage *opened, int shrink)
{
    g_autoptr(VipsImage) image = g_object_ref(opened);
    if (vips_image_hasalpha(image)) {
        VipsArrayDouble *white = vips_array_double_newv(
            1, image->BandFmt == VIPS_FORMAT_USHORT ? 65535.0 : 255.0);
        VipsImage *flat = NULL;
        int failed = vips_flatten(image, &flat, "background", white, NULL);
        vips_area_unref(VIPS_AREA(white));
        if (failed)
            return NULL;
        g_object_unref(image);
        image = flat;
    }
    if (shrink > 1)
        STEP(vips_shrink(image, &next, shrink, shrink, NULL));
    if (has_other_profile(image)) {
        VipsImage *profiled = apply_profile(image);
        g_object_unref(image);
        image = profiled;
    }
    if (image->Type != VIPS_INTERPRETATION_sRGB || image->BandFmt != VIPS_FORMAT_UCHAR)
        STEP(vips_colourspace(image, &next, VIPS_INTERPRETATION_sRGB, NULL));
    if (image->BandFmt != VIPS_FORMAT_UCHAR)
        STEP(vips_cast(image, &next, VIPS_FORMAT_UCHAR, NULL));
    if (image->Bands == 1)
        STEP(vips_bandjoin((VipsImage *[]){ image, image, image }, &next, 3, NULL));
    if (image->Bands > 3)
        STEP(vips_extract_band(image, &next, 0, "n", 3, NULL));
    return g_steal_pointer(&image);
}
#undef STEP

/* Turns stored pixels upright by an EXIF orientation (TIFF 6.0 / EXIF 2.3, tag 274):
 * 1 as it is, 2 mirrored, 3 half turn, 4 mirrored upside down, 5 to 8 with rows and
 * columns exchanged. Takes the pixels, returns them upright. */
static uint8_t *turn_upright(uint8_t *stored, int columns, int rows, int orientation)
{
    if (orientation <= 1 || orientation > 8)
        return stored;
    bool exchanged = orientation >= 5;
    bool from_right =
        orientation == 2 || orientation == 3 || orientation == 7 || orientation == 8;
    bool from_bottom =
        orientation == 3 || orientation == 4 || orientation == 6 || orientation == 7;
    int out_columns = exchanged ? rows : columns, out_rows = exchanged ? columns : rows;
    uint8_t *out = photo_memory_new((size_t)columns * (size_t)rows * 3);
    for (int r = 0; r < out_rows; r++)
        for (int c = 0; c < out_columns; c++) {
            int x = exchanged ? r : c, y = exchanged ? c : r;
            if (from_right)
                x = columns - 1 - x;
            if (from_bottom)
                y = rows - 1 - y;
            memcpy(out + ((size_t)r * (size_t)out_columns + (size_t)c) * 3,
                   stored + ((size_t)y * (size_t)columns + (size_t)x) * 3, 3);
        }
    g_free(stored);
    return out;
}

static bool exif_number(VipsImage *image, const char *field, double *ret_number)
{
    const char *text = NULL;
    if (vips_image_get_typeof(image, field) == 0 ||
        vips_image_get_string(image, field, &text) != 0) {
        vips_error_clear();
        return false;
    }
    char *end;
    double number = g_ascii_strtod(text, &end);
    if (end == text || !isfinite(number))
        return false;
    if (*end == '/') {
        double divisor = g_ascii_strtod(end + 1, NULL);
        if (!(divisor > 0))
            return false;
        number /= divisor;
    }
    *ret_number = number;
    return true;
}

/* libvips gives EXIF text as "value (value, ASCII, n components, n bytes)". */
static void exif_text(VipsImage *image, const char *field, size_t size, char text[size])
{
    const char *found = NULL;
    text[0] = '\0';
    if (vips_image_get_typeof(image, field) == 0 ||
        vips_image_get_string(image, field, &found) != 0) {
        vips_error_clear();
        return;
    }
    const char *end = strstr(found, " (");
    size_t length = end == NULL ? strlen(found) : (size_t)(end - found);
    g_autofree char *valid = g_utf8_make_valid(found, (gssize)length);
    g_strstrip(valid);
    g_strlcpy(text, valid, size);
}

/* EXIF gives the focal length as that of a 35 mm frame with the same diagonal (CIPA
 * DC-008, FocalLengthIn35mmFilm): 43.27 mm is the diagonal of 36 x 24. */
static double exif_focal_px(VipsImage *image, int width, int height)
{
    double focal_35mm;
    if (!exif_number(image, "exif-ifd2-FocalLengthIn35mmFilm", &focal_35mm) ||
        focal_35mm < 8 || focal_35mm > 600)
        return 0;
    return focal_35mm / hypot(36, 24) * hypot(width, height);
}

static void read_exif(VipsImage *image, photo_picture *picture)
{
    char maker[PHOTO_CAMERA_SIZE / 2], model[PHOTO_CAMERA_SIZE / 2];
    exif_text(image, "exif-ifd0-Make", sizeof maker, maker);
    exif_text(image, "exif-ifd0-Model", sizeof model, model);
    g_snprintf(picture->camera, sizeof picture->camera, "%s%s%s", maker,
               maker[0] != '\0' && model[0] != '\0' ? " " : "", model);
    picture->focal_px = exif_focal_px(image, image->Xsize, image->Ysize);
}

static gboolean refuse_vips(int code, const char *what, GError **error)
{
    g_autofree char *reason = vips_reason();
    g_set_error(error, MOTLEY_ERROR, code, "%s (%s).", what, reason);
    return FALSE;
}

/* What stops a decoding that the maker has stopped. */
static void stop_decoding(VipsImage *image, VipsProgress *progress,
                          const photo_watch *watch)
{
    (void)progress;
    if (watch->stop != NULL && atomic_load(watch->stop))
        vips_image_set_kill(image, TRUE);
}

/* All pixels as 8-bit sRGB, stored order; NULL with the reason in libvips' buffer. */
static uint8_t *read_pixels(const photo_picture *picture, photo_format format,
                            bool strict, const photo_watch *watch, int *ret_columns,
                            int *ret_rows)
{
    bool by_loader = format == PHOTO_FORMAT_JPEG;
    g_autoptr(VipsImage) opened =
        open_format(picture->file, format, by_loader ? picture->shrink : 1, strict);
    if (opened == NULL)
        return NULL;
    g_autoptr(VipsImage) image = to_srgb(opened, by_loader ? 1 : picture->shrink);
    if (image == NULL)
        return NULL;
    if (watch != NULL && watch->stop != NULL) {
        vips_image_set_progress(image, TRUE);
        g_signal_connect(image, "eval", G_CALLBACK(stop_decoding), (void *)watch);
    }
    *ret_columns = image->Xsize;
    *ret_rows = image->Ysize;
    size_t size;
    return vips_image_write_to_memory(image, &size);
}

/* A JPEG's faults that leave every pixel as it was, in the words of libjpeg. */
static bool is_harmless(const char *reason)
{
    return strstr(reason, "extraneous bytes") != NULL ||
           strstr(reason, "Invalid SOS parameters") != NULL ||
           strstr(reason, "Unknown Adobe color transform") != NULL ||
           strstr(reason, "unknown JFIF revision") != NULL;
}

static gboolean decode(photo_picture *picture, photo_format format, int orientation,
                       const photo_watch *watch, GError **error)
{
    int columns, rows;
    uint8_t *pixels = read_pixels(picture, format, true, watch, &columns, &rows);
    if (pixels == NULL && is_harmless(vips_error_buffer())) {
        vips_error_clear();
        pixels = read_pixels(picture, format, false, watch, &columns, &rows);
    }
    if (pixels == NULL) {
        if (!photo_watch_tell(watch, 0, "Stopping", error)) {
            vips_error_clear();
            return FALSE;
        }
        return refuse_vips(MOTLEY_ERROR_PHOTO_TRUNCATED,
                           "The picture breaks off or is damaged", error);
    }
    picture->rgb = turn_upright(pixels, columns, rows, orientation);
    picture->columns = orientation >= 5 ? rows : columns;
    picture->rows = orientation >= 5 ? columns : rows;
    return TRUE;
}

photo_picture *photo_decode_here(GBytes *file, int side_px, const photo_watch *watch,
                                 GError **error)
{
    gsize size;
    const uint8_t *bytes = g_bytes_get_data(file, &size);
    photo_format format = sniff(bytes, size);
    if (format == PHOTO_FORMAT_HEIF) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_HEIC,
                            "This photo is in the phone's own format (HEIC), which is "
                            "not read.");
        return NULL;
    }
    if (format == PHOTO_FORMAT_NONE) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_NOT_A_PICTURE,
                            starts(bytes, size, 0, "GIF8") ? "This is a GIF, not a photo."
                                                           : "This is no photo.");
        return NULL;
    }
    start_vips();
    g_autoptr(VipsImage) header = open_format(file, format, 1, false);
    if (header == NULL) {
        refuse_vips(MOTLEY_ERROR_PHOTO_NOT_A_PICTURE,
                    "The picture's header cannot be read", error);
        return NULL;
    }
    int width = header->Xsize, height = header->Ysize;
    if ((int64_t)width * height >= PHOTO_PIXELS_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_TOO_LARGE,
                    "The picture has %d x %d pixels.", width, height);
        return NULL;
    }
    if (MIN(width, height) < 64) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_TOO_SMALL,
                    "The picture has only %d x %d pixels.", width, height);
        return NULL;
    }

    g_autoptr(photo_picture) picture = g_new0(photo_picture, 1);
    picture->file = g_bytes_ref(file);
    int orientation = vips_image_get_orientation(header);
    picture->width = orientation >= 5 ? height : width;
    picture->height = orientation >= 5 ? width : height;
    picture->shrink = choose_shrink(MAX(width, height), side_px);
    read_exif(header, picture);
    g_clear_object(&header);
    if (!decode(picture, format, orientation, watch, error))
        return NULL;
    return g_steal_pointer(&picture);
}

photo_picture *photo_load_bytes(GBytes *file, int side_px, const photo_watch *watch,
                                GError **error)
{
    gsize size = g_bytes_get_size(file);
    if (size == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_EMPTY_FILE,
                            "The file is empty.");
        return NULL;
    }
    if (size > PHOTO_BYTES_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_TOO_LARGE,
                    "The file has %" G_GSIZE_FORMAT " MB.", size >> 20);
        return NULL;
    }
    if (!photo_watch_tell(watch, 0, "Reading the photo", error))
        return NULL;
    return photo_apart_runs() ? photo_decode_apart(file, side_px, watch, error)
                              : photo_decode_here(file, side_px, watch, error);
}

photo_picture *photo_load(const char *path, const photo_watch *watch, GError **error)
{
    char *contents;
    gsize size;
    g_autoptr(GError) unread = NULL;
    if (!g_file_get_contents(path, &contents, &size, &unread)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNREADABLE, "%s",
                    unread->message);
        return NULL;
    }
    g_autoptr(GBytes) file = g_bytes_new_take(contents, size);
    return photo_load_bytes(file, PHOTO_SIDE_PX, watch, error);
}

void photo_picture_free(photo_picture *picture)
{
    if (picture == NULL)
        return;
    g_free(picture->rgb);
    if (picture->file != NULL)
        g_bytes_unref(picture->file);
    g_free(picture);
}

GBytes *photo_jpeg(int columns, int rows, const uint8_t *rgb, int quality, GError **error)
{
    start_vips();
    size_t size = (size_t)columns * (size_t)rows * 3;
    g_autoptr(VipsImage) image =
        vips_image_new_from_memory(rgb, size, columns, rows, 3, VIPS_FORMAT_UCHAR);
    void *bytes = NULL;
    size_t length = 0;
    if (image == NULL || vips_jpegsave_buffer(image, &bytes, &length, "Q", quality,
                                              "strip", TRUE, NULL) != 0) {
        refuse_vips(MOTLEY_ERROR_INTERNAL, "A picture cannot be written", error);
        return NULL;
    }
    return g_bytes_new_take(bytes, length);
}
