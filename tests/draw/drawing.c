#include "drawing.h"

#include <glib/gstdio.h>

static char *folder;

const char *drawing_folder(void)
{
    if (folder == NULL)
        folder = g_dir_make_tmp("motley-draw-XXXXXX", NULL);
    return folder;
}

void drawing_clean(void)
{
    if (folder == NULL)
        return;
    GDir *dir = g_dir_open(folder, 0, NULL);
    for (const char *name; dir != NULL && (name = g_dir_read_name(dir)) != NULL;) {
        g_autofree char *path = g_build_filename(folder, name, NULL);
        g_unlink(path);
    }
    if (dir != NULL)
        g_dir_close(dir);
    g_rmdir(folder);
    g_clear_pointer(&folder, g_free);
}

char *drawing_write(const char *name, GBytes *bytes)
{
    char *path = g_build_filename(drawing_folder(), name, NULL);
    gsize size;
    const char *data = g_bytes_get_data(bytes, &size);
    assert_true(g_file_set_contents(path, data, (gssize)size, NULL));
    return path;
}

/* With its files left open, as GLib wants it to be for posix_spawn(): a fork would copy
 * the page tables of all that the address sanitizer has mapped. */
static char *run_line(const char *line)
{
    char *out = NULL;
    g_autofree char *said = NULL;
    int status = 0;
    g_autoptr(GError) error = NULL;
    g_auto(GStrv) words = NULL;
    if (!g_shell_parse_argv(line, NULL, &words, &error) ||
        !g_spawn_sync(NULL, words, NULL,
                      G_SPAWN_SEARCH_PATH | G_SPAWN_LEAVE_DESCRIPTORS_OPEN, NULL, NULL,
                      &out, &said, &status, &error))
        fail_msg("%s: %s", line, error->message);
    if (status != 0)
        fail_msg("%s: status %d\n%s%s", line, status, out, said);
    return out;
}

char *drawing_run(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    g_autofree char *line = g_strdup_vprintf(format, args);
    va_end(args);
    return run_line(line);
}

void drawing_check(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    g_autofree char *line = g_strdup_vprintf(format, args);
    va_end(args);
    g_free(run_line(line));
}

drawing_grey drawing_read_pgm(const char *path)
{
    drawing_grey grey = { 0 };
    g_autofree char *data = NULL;
    gsize size;
    assert_true(g_file_get_contents(path, &data, &size, NULL));
    int head = 0, top = 0;
    assert_int_equal(
        sscanf(data, "P5 %d %d %d%n", &grey.width, &grey.height, &top, &head), 3);
    assert_int_equal(top, 255);
    gsize need = (gsize)grey.width * (gsize)grey.height;
    assert_int_equal(size, (gsize)head + 1 + need);
    grey.pixels = g_memdup2(data + head + 1, need);
    return grey;
}

drawing_grey drawing_raster(const char *pdf, int page, int dpi)
{
    g_autofree char *stem = g_build_filename(drawing_folder(), "raster", NULL);
    drawing_check("pdftoppm -gray -singlefile -f %d -r %d %s %s", page, dpi, pdf, stem);
    g_autofree char *path = g_strconcat(stem, ".pgm", NULL);
    return drawing_read_pgm(path);
}
