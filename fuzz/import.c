/* An export of a small book, with one file of it replaced by any bytes ("NAME", a line
 * end, the contents), read into another book: refused with its place and nothing changed,
 * or taken over, and then the book is sound and its documents can be read. */
#include "book.h"

#include "base/error.h"
#include "store/export.h"

#include <glib/gstdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* The folder of the export; what the target replaces is put back after each run. */
static const char *export_folder(void)
{
    static char made[96];
    if (made[0] != '\0')
        return made;
    g_snprintf(made, sizeof made, "%s/export", fuzz_folder());
    gsize length;
    const void *bytes = g_bytes_get_data(fuzz_book_bytes(FUZZ_BOOK_VERSIONS), &length);
    g_autoptr(GError) error = NULL;
    g_autoptr(store_book) book =
        store_book_open(fuzz_book_put(bytes, length), STORE_OPEN_EXISTING, &error);
    FUZZ_MUST(book != NULL && store_export(book, made, &error));
    return made;
}

/* "book.json", or a table or picture; NULL for what is no name of a file there. */
static char *path_of(const char *name)
{
    static const char *const parts[] = { "", "tables", "pictures" };
    for (size_t i = 0; i < G_N_ELEMENTS(parts) && strchr(name, '/') == NULL; i++) {
        char *path = g_build_filename(export_folder(), parts[i], name, NULL);
        if (g_file_test(path, G_FILE_TEST_IS_REGULAR))
            return path;
        g_free(path);
    }
    return NULL;
}

static void put_file(const char *path, const void *bytes, size_t size)
{
    FILE *file = fopen(path, "wb");
    FUZZ_MUST(file != NULL && fwrite(bytes, 1, size, file) == size && fclose(file) == 0);
}

static void read_into_a_book(int part)
{
    gsize length;
    const void *bytes = g_bytes_get_data(fuzz_book_bytes(FUZZ_BOOK_VERSIONS), &length);
    g_autoptr(GError) error = NULL;
    g_autoptr(app) book =
        app_open(fuzz_book_put(bytes, length), APP_OPEN_EXISTING, &error);
    FUZZ_MUST(book != NULL);
    int64_t before = app_revision(book);
    json_t *none = json_object();
    json_t *fields = json_pack("{s:s}", "folder", export_folder());
    bool taken = fuzz_act(book, app_action_find("import"), fields);
    FUZZ_MUST(taken || app_revision(book) == before);
    FUZZ_MUST(fuzz_act(book, app_action_find("check"), none));
    if (taken)
        fuzz_read(book, part);
    json_decref(fields);
    json_decref(none);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const uint8_t *line_end = memchr(data, '\n', size);
    if (line_end == NULL)
        return 0;
    g_autofree char *name = g_strndup((const char *)data, (gsize)(line_end - data));
    g_autofree char *path = path_of(name);
    char *was;
    gsize was_size;
    if (path == NULL || !g_file_get_contents(path, &was, &was_size, NULL))
        return 0;
    put_file(path, line_end + 1, size - (size_t)(line_end + 1 - data));
    read_into_a_book((int)(size % FUZZ_PARTS));
    put_file(path, was, was_size);
    g_free(was);
    return 0;
}
