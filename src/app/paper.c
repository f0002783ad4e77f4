/* A sheet as a file: PDF, or by the file's ending SVG or PNG, page by page. */
#include "paper-internal.h"

#include "sheet-internal.h"

#include <string.h>

enum { PNG_WIDTH_PX = 1600 };

static GBytes *page_svg(const draw_scene *scene, int page, GError **error)
{
    (void)error; /* text is always written */
    return draw_scene_svg(scene, page);
}

static GBytes *page_png(const draw_scene *scene, int page, GError **error)
{
    return draw_scene_png(scene, page, PNG_WIDTH_PX, error);
}

static GBytes *all_pdf(const draw_scene *scene, int page, GError **error)
{
    (void)page;
    return draw_scene_pdf(scene, error);
}

static const app_paper papers[] = {
    { ".pdf", "application/pdf", true, all_pdf },
    { ".svg", "image/svg+xml", false, page_svg },
    { ".png", "image/png", false, page_png },
};

const app_paper *app_paper_named(const char *file)
{
    for (size_t i = 0; i < G_N_ELEMENTS(papers); i++)
        if (g_str_has_suffix(file, papers[i].ending))
            return &papers[i];
    return &papers[0];
}

/* "story.png" of page 2 is "story-2.png"; of the only one it stays. g_free() it. */
static char *name_of_page(const char *file, const app_paper *paper, int page, int pages)
{
    if (pages == 1)
        return g_strdup(file);
    return g_strdup_printf("%.*s-%d%s", (int)(strlen(file) - strlen(paper->ending)), file,
                           page + 1, paper->ending);
}

static gboolean write_file(const char *file, GBytes *bytes, GError **error)
{
    g_autoptr(GError) failed = NULL;
    gsize size;
    const char *data = g_bytes_get_data(bytes, &size);
    if (g_file_set_contents(file, data, (gssize)size, &failed))
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE, "%s", failed->message);
    return FALSE;
}

/* Writes a sheet into a file, or one for each page: each all of it or nothing. */
gboolean app_do_print(app *self, const app_call *call, json_t **ret_document,
                      GError **error)
{
    const char *what, *file;
    if (!app_request_need_text(call, "what", &what, error) ||
        !app_request_need_text(call, "output", &file, error))
        return FALSE;
    g_autoptr(draw_scene) scene = app_sheet_drawn(self, call, what, error);
    if (scene == NULL)
        return FALSE;
    const app_paper *paper = app_paper_named(file);
    int files = paper->whole ? 1 : draw_scene_pages(scene);
    g_autoptr(json_t) written = json_array();
    for (int page = 0; page < files; page++) {
        g_autofree char *name = name_of_page(file, paper, page, files);
        g_autoptr(GBytes) bytes = paper->write(scene, page, error);
        if (bytes == NULL || !write_file(name, bytes, error))
            return FALSE;
        json_array_append_new(written, json_string(name));
    }
    *ret_document = json_pack("{s:O, s:i, s:O}", "file", json_array_get(written, 0),
                              "pages", draw_scene_pages(scene), "files", written);
    return TRUE;
}
