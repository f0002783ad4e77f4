#include "test.h"

#include "base/error.h"
#include "photo/apart.h"
#include "scene.h"

#include <vips/vips.h>

static void refuses(const void *bytes, size_t size, const char *code)
{
    g_autoptr(GBytes) file = g_bytes_new(bytes, size);
    g_autoptr(GError) error = NULL;
    g_autoptr(photo_picture) picture =
        photo_load_bytes(file, PHOTO_SIDE_PX, NULL, &error);
    if (picture != NULL)
        fail_msg("loaded, where %s was wanted", code);
    assert_string_equal(motley_error_code(error), code);
    assert_true(strlen(error->message) > 8);
}

static void what_is_no_photo_is_refused_by_its_code(void **state)
{
    (void)state;
    refuses("", 0, "photo.empty-file");
    refuses("Dear diary,", 11, "photo.not-a-picture");
    refuses("GIF89a\1\0\1\0\0\0\0", 13, "photo.not-a-picture");
    refuses("\xff\xd8\xff\xe0", 4, "photo.not-a-picture");
    refuses("\x89PNG\r\n\x1a\n", 8, "photo.not-a-picture");
    refuses("RIFF\0\0\0\0WEBPVP8 ", 16, "photo.not-a-picture");
    refuses("\0\0\0\x18"
            "ftypheic\0\0\0\0",
            16, "photo.heic");
    refuses("\0\0\0\x18"
            "ftypmif1\0\0\0\0",
            16, "photo.heic");
    refuses("<svg xmlns=\"http://www.w3.org/2000/svg\"/>", 41, "photo.not-a-picture");
    refuses("%PDF-1.7", 8, "photo.not-a-picture");
}

static void a_missing_file_is_told_apart(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    assert_null(photo_load("/nowhere/photo.jpg", NULL, &error));
    assert_string_equal(motley_error_code(error), "file.unreadable");
}

static void draw_small(scene *ret_scene)
{
    scene_default(ret_scene);
    ret_scene->width = 640;
    ret_scene->height = 480;
    ret_scene->noise = 0;
}

static void what_breaks_off_is_refused(void **state)
{
    (void)state;
    scene drawn;
    draw_small(&drawn);
    g_autoptr(GBytes) file = scene_jpeg(&drawn, 90, 1);
    gsize size;
    const uint8_t *bytes = g_bytes_get_data(file, &size);
    refuses(bytes, size / 2, "photo.truncated");
    refuses(bytes, size * 9 / 10, "photo.truncated");
}

/* Where a JPEG's frame header says its height and width (ITU-T T.81, B.2.2). */
static uint8_t *frame_size(uint8_t *bytes, size_t size)
{
    for (size_t i = 2; i + 9 < size; i += 2 + ((size_t)bytes[i + 2] << 8 | bytes[i + 3]))
        if (bytes[i + 1] == 0xc0 || bytes[i + 1] == 0xc2)
            return bytes + i + 5;
    fail_msg("no frame header");
    return NULL;
}

static void a_header_that_lies_is_refused(void **state)
{
    (void)state;
    scene drawn;
    draw_small(&drawn);
    g_autoptr(GBytes) file = scene_jpeg(&drawn, 90, 1);
    gsize size;
    g_autofree uint8_t *bytes =
        g_memdup2(g_bytes_get_data(file, NULL), g_bytes_get_size(file));
    size = g_bytes_get_size(file);
    uint8_t *at = frame_size(bytes, size);
    at[0] = 1080 >> 8; /* taller than its data */
    at[1] = 1080 & 255;
    refuses(bytes, size, "photo.truncated");
    at[0] = at[2] = 0x1f; /* 8000 x 8000 are 64 MP: refused unread */
    at[1] = at[3] = 0x40;
    gint64 start = g_get_monotonic_time();
    refuses(bytes, size, "photo.too-large");
    assert_true(g_get_monotonic_time() - start < G_USEC_PER_SEC);
    at[0] = at[1] = 0;
    refuses(bytes, size, "photo.not-a-picture");
}

/* A picture saved by libvips in some form; takes the image. */
static GBytes *saved(VipsImage *image, const char *how)
{
    void *bytes = NULL;
    size_t size = 0;
    if (image == NULL || vips_image_write_to_buffer(image, how, &bytes, &size, NULL) != 0)
        fail_msg("%s: %s", how, vips_error_buffer());
    g_object_unref(image);
    return g_bytes_new_take(bytes, size);
}

static VipsImage *vips_of(const uint8_t *rgb, int width, int height)
{
    VipsImage *plain = vips_image_new_from_memory_copy(
        rgb, 3 * (size_t)width * (size_t)height, width, height, 3, VIPS_FORMAT_UCHAR);
    VipsImage *image;
    assert_int_equal(
        vips_copy(plain, &image, "interpretation", VIPS_INTERPRETATION_sRGB, NULL), 0);
    g_object_unref(plain);
    return image;
}

static VipsImage *in_space(VipsImage *image, VipsInterpretation space)
{
    VipsImage *out;
    if (vips_colourspace(image, &out, space, NULL) != 0)
        fail_msg("%s", vips_error_buffer());
    g_object_unref(image);
    return out;
}

static VipsImage *with_alpha(VipsImage *image)
{
    VipsImage *out;
    assert_int_equal(vips_bandjoin_const1(image, &out, 255, NULL), 0);
    g_object_unref(image);
    return out;
}

/* Mean difference of two pictures' bytes. */
static double difference(const uint8_t *a, const uint8_t *b, size_t values)
{
    double sum = 0;
    for (size_t i = 0; i < values; i++)
        sum += abs(a[i] - b[i]);
    return sum / (double)values;
}

static void every_kind_of_file_gives_the_same_picture(void **state)
{
    (void)state;
    scene drawn;
    draw_small(&drawn);
    g_autofree uint8_t *rgb = scene_pixels(&drawn);
    size_t values = 3 * 640 * 480;
    VipsImage *image = vips_of(rgb, 640, 480);
    struct {
        const char *what;
        GBytes *file;
        double limit;
    } kinds[] = {
        { "PNG", saved(g_object_ref(image), ".png"), 0.01 },
        { "interlaced PNG", saved(g_object_ref(image), ".png[interlace]"), 0.01 },
        { "16-bit PNG",
          saved(in_space(g_object_ref(image), VIPS_INTERPRETATION_RGB16), ".png"), 1 },
        { "PNG with alpha", saved(with_alpha(g_object_ref(image)), ".png"), 0.01 },
        { "progressive JPEG", saved(g_object_ref(image), ".jpg[Q=95,interlace]"), 2 },
        /* Ink cannot show the mat's dark green and grey shows no green at all. */
        { "CMYK JPEG",
          saved(in_space(g_object_ref(image), VIPS_INTERPRETATION_CMYK), ".jpg[Q=95]"),
          40 },
        { "grey JPEG",
          saved(in_space(g_object_ref(image), VIPS_INTERPRETATION_B_W), ".jpg[Q=95]"),
          25 },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(kinds); i++) {
        g_autoptr(GError) error = NULL;
        g_autoptr(photo_picture) picture =
            photo_load_bytes(kinds[i].file, PHOTO_SIDE_PX, NULL, &error);
        if (picture == NULL)
            fail_msg("%s: %s", kinds[i].what, error->message);
        assert_int_equal(picture->columns, 640);
        assert_int_equal(picture->rows, 480);
        double off = difference(picture->rgb, rgb, values);
        if (off > kinds[i].limit)
            fail_msg("%s: %.2f off on average", kinds[i].what, off);
        photo_tags tags;
        if (!photo_find_cards(picture, NULL, &tags, NULL) || tags.count != CARD_TAGS)
            fail_msg("%s: tags missing", kinds[i].what);
        g_bytes_unref(kinds[i].file);
    }
    g_object_unref(image);
}

/* Stored in Display P3 with its profile, as some phones do: as sRGB the numbers differ by
 * some 20, read through the profile they are the same again. */
static void a_colour_profile_is_applied(void **state)
{
    (void)state;
    static const uint8_t red[3] = { 200, 50, 60 };
    VipsImage *one = vips_of(red, 1, 1), *many, *wide;
    assert_int_equal(vips_replicate(one, &many, 100, 100, NULL), 0);
    assert_int_equal(vips_icc_transform(many, &wide, "p3", "input_profile", "srgb", NULL),
                     0);
    g_object_unref(one);
    g_object_unref(many);
    size_t size = 0;
    g_autofree uint8_t *stored = vips_image_write_to_memory(wide, &size);
    assert_true(abs(stored[0] - 200) > 10);
    g_autoptr(GBytes) file = saved(wide, ".png");
    g_autoptr(photo_picture) picture = photo_load_bytes(file, PHOTO_SIDE_PX, NULL, NULL);
    assert_non_null(picture);
    for (int band = 0; band < 3; band++)
        assert_true(abs(picture->rgb[band] - red[band]) <= 2);
}

static void stray_bytes_are_put_up_with(void **state)
{
    (void)state;
    scene drawn;
    draw_small(&drawn);
    g_autoptr(GBytes) file = scene_jpeg(&drawn, 90, 1);
    gsize size;
    const uint8_t *bytes = g_bytes_get_data(file, &size);
    /* Between the first segment and the second, and after the end. */
    guint first = 4 + ((guint)bytes[4] << 8 | bytes[5]);
    g_autoptr(GByteArray) stray = g_byte_array_new();
    g_byte_array_append(stray, bytes, first);
    g_byte_array_append(stray, (const uint8_t *)"\0\0\0", 3);
    g_byte_array_append(stray, bytes + first, (guint)size - first);
    g_byte_array_append(stray, (const uint8_t *)"SEFT", 4);
    g_autoptr(GBytes) odd = g_bytes_new(stray->data, stray->len);
    g_autoptr(photo_picture) plain = photo_load_bytes(file, PHOTO_SIDE_PX, NULL, NULL);
    g_autoptr(photo_picture) picture = photo_load_bytes(odd, PHOTO_SIDE_PX, NULL, NULL);
    assert_non_null(picture);
    assert_memory_equal(picture->rgb, plain->rgb, 3 * 640 * 480);
}

static void too_small_and_too_large_are_refused(void **state)
{
    (void)state;
    static const uint8_t white[3] = { 255, 255, 255 };
    g_autoptr(GBytes) one = saved(vips_of(white, 1, 1), ".png");
    refuses(g_bytes_get_data(one, NULL), g_bytes_get_size(one), "photo.too-small");
    VipsImage *large;
    assert_int_equal(vips_black(&large, 8000, 8000, "bands", 1, NULL), 0);
    g_autoptr(GBytes) file = saved(large, ".png[compression=1]");
    refuses(g_bytes_get_data(file, NULL), g_bytes_get_size(file), "photo.too-large");
}

/* What libvips makes of the same file, turned by its own vips_autorot(). */
static void orientations_agree_with_libvips(void **state)
{
    (void)state;
    scene drawn;
    draw_small(&drawn);
    for (int orientation = 1; orientation <= 8; orientation++) {
        g_autoptr(GBytes) file = scene_jpeg(&drawn, 90, orientation);
        g_autoptr(photo_picture) picture =
            photo_load_bytes(file, PHOTO_SIDE_PX, NULL, NULL);
        assert_non_null(picture);
        assert_int_equal(picture->width, 640);
        assert_int_equal(picture->height, 480);
        gsize size;
        void *bytes = (void *)g_bytes_get_data(file, &size);
        VipsImage *stored, *turned;
        assert_int_equal(vips_jpegload_buffer(bytes, size, &stored, NULL), 0);
        assert_int_equal(vips_autorot(stored, &turned, NULL), 0);
        size_t values;
        g_autofree uint8_t *want = vips_image_write_to_memory(turned, &values);
        assert_int_equal(values, 3 * 640 * 480);
        if (memcmp(want, picture->rgb, values) != 0)
            fail_msg("orientation %d", orientation);
        g_object_unref(stored);
        g_object_unref(turned);
    }
}

static void exif_tells_the_lens_and_garbage_does_no_harm(void **state)
{
    (void)state;
    scene drawn;
    draw_small(&drawn);
    g_autoptr(GBytes) file = scene_jpeg(&drawn, 90, 1);
    g_autoptr(photo_picture) picture = photo_load_bytes(file, PHOTO_SIDE_PX, NULL, NULL);
    assert_non_null(picture);
    /* 26 mm on a frame of 43.267 mm, 800 px here. */
    assert_true(fabs(picture->focal_px - 26 / 43.2666 * 800) < 0.1);
    assert_string_equal(picture->camera, "Drawn camera");

    gsize size = g_bytes_get_size(file);
    g_autofree uint8_t *bytes = g_memdup2(g_bytes_get_data(file, NULL), size);
    size_t exif = 0;
    for (size_t i = 2; i + 10 < size && exif == 0; i++)
        if (bytes[i] == 0xff && bytes[i + 1] == 0xe1)
            exif = i;
    assert_true(exif > 0);
    size_t exif_size = (size_t)bytes[exif + 2] << 8 | bytes[exif + 3];
    for (unsigned seed = 0; seed < 40; seed++) {
        g_autofree uint8_t *spoilt = g_memdup2(bytes, size);
        for (size_t i = 10; i < exif_size; i++)
            if (seed < 20 || (i * 2654435761u >> 7) % 8 == seed % 8)
                spoilt[exif + 2 + i] = (uint8_t)((i + seed) * 2654435761u >> 13);
        g_autoptr(GBytes) other = g_bytes_new(spoilt, size);
        g_autoptr(photo_picture) loaded =
            photo_load_bytes(other, PHOTO_SIDE_PX, NULL, NULL);
        assert_non_null(loaded);
        assert_int_equal(loaded->columns * loaded->rows, 640 * 480);
        assert_true(g_utf8_validate(loaded->camera, -1, NULL));
    }
}

static void large_photos_are_reduced_by_powers_of_two(void **state)
{
    (void)state;
    static const struct {
        int width, height, shrink;
    } sizes[] = {
        { 1200, 800, 1 }, { 3000, 4000, 2 }, { 4032, 3024, 2 }, { 7600, 5700, 4 }
    };
    for (size_t i = 0; i < G_N_ELEMENTS(sizes); i++)
        for (int png = 0; png < 2; png++) {
            VipsImage *grey;
            assert_int_equal(
                vips_black(&grey, sizes[i].width, sizes[i].height, "bands", 3, NULL), 0);
            g_autoptr(GBytes) file = saved(grey, png ? ".png[compression=1]" : ".jpg");
            g_autoptr(photo_picture) picture =
                photo_load_bytes(file, PHOTO_SIDE_PX, NULL, NULL);
            assert_non_null(picture);
            assert_int_equal(picture->width, sizes[i].width);
            assert_int_equal(picture->shrink, sizes[i].shrink);
            assert_int_equal(picture->columns, sizes[i].width / sizes[i].shrink);
            assert_int_equal(picture->rows, sizes[i].height / sizes[i].shrink);
        }
}

static void loading_stops_when_told(void **state)
{
    (void)state;
    scene drawn;
    draw_small(&drawn);
    g_autoptr(GBytes) file = scene_jpeg(&drawn, 90, 1);
    atomic_bool stop = true;
    photo_watch watch = { .stop = &stop };
    g_autoptr(GError) error = NULL;
    assert_null(photo_load_bytes(file, PHOTO_SIDE_PX, &watch, &error));
    assert_string_equal(motley_error_code(error), "cancelled");
}

int main(int argc, char **argv)
{
    if (argc > 1 && strcmp(argv[1], "apart") == 0)
        photo_apart_start();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_no_photo_is_refused_by_its_code),
        cmocka_unit_test(a_missing_file_is_told_apart),
        cmocka_unit_test(what_breaks_off_is_refused),
        cmocka_unit_test(a_header_that_lies_is_refused),
        cmocka_unit_test(every_kind_of_file_gives_the_same_picture),
        cmocka_unit_test(a_colour_profile_is_applied),
        cmocka_unit_test(stray_bytes_are_put_up_with),
        cmocka_unit_test(too_small_and_too_large_are_refused),
        cmocka_unit_test(orientations_agree_with_libvips),
        cmocka_unit_test(exif_tells_the_lens_and_garbage_does_no_harm),
        cmocka_unit_test(large_photos_are_reduced_by_powers_of_two),
        cmocka_unit_test(loading_stops_when_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
