#include "test.h"

#include "base/error.h"
#include "photo/load.h"

static void refuses(const void *bytes, size_t size, const char *code)
{
    g_autoptr(GBytes) file = g_bytes_new(bytes, size);
    g_autoptr(GError) error = NULL;
    assert_null(photo_load_bytes(file, PHOTO_SIDE_PX, NULL, &error));
    assert_string_equal(motley_error_code(error), code);
}

static void what_is_no_photo_is_refused_by_its_code(void **state)
{
    (void)state;
    refuses("", 0, "photo.empty-file");
    refuses("Dear diary,", 11, "photo.not-a-picture");
    refuses("GIF89a\1\0\1\0\0\0\0", 13, "photo.not-a-picture");
    refuses("\xff\xd8\xff\xe0", 4, "photo.not-a-picture");
    refuses("\x89PNG\r\n\x1a\n", 8, "photo.not-a-picture");
}

static void a_missing_file_is_told_apart(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    assert_null(photo_load("/nowhere/photo.jpg", NULL, &error));
    assert_string_equal(motley_error_code(error), "file.unreadable");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_no_photo_is_refused_by_its_code),
        cmocka_unit_test(a_missing_file_is_told_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
