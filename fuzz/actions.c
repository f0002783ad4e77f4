/* Any requests, one a line as "ACTION {fields}", to a small book, as a page may send
 * them: each is done, or refused with a code and nothing changed; afterwards the book is
 * sound, every document can be read, and all can be undone. */
#include "book.h"

#include "web/route-internal.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static app *book; /* NULL: to be made anew */

static app *open_book(void)
{
    gsize size;
    const void *bytes = g_bytes_get_data(fuzz_book_bytes(FUZZ_BOOK_VERSIONS), &size);
    g_autoptr(GError) error = NULL;
    app *opened = app_open(fuzz_book_put(bytes, size), APP_OPEN_EXISTING, &error);
    FUZZ_MUST(opened != NULL);
    return opened;
}

static void close_book(void)
{
    g_clear_pointer(&book, app_close);
}

/* Whether a page can ask for it with fields alone. */
static bool is_routed(const char *name)
{
    size_t count;
    const web_route *routes = web_routes(&count);
    for (size_t i = 0; i < count; i++)
        if (routes[i].kind == WEB_ROUTE_ACTION && strcmp(routes[i].name, name) == 0)
            return true;
    return false;
}

/* The server refuses what names a file. */
static void forget_files(json_t *fields)
{
    static const char *const files[] = { "file", "output", "photos" };
    for (size_t i = 0; i < G_N_ELEMENTS(files); i++)
        json_object_del(fields, files[i]);
    if (json_is_string(json_object_get(fields, "outline")))
        json_object_del(fields, "outline");
}

/* Returns whether the book was changed. */
static bool do_line(char *line)
{
    char *space = strchr(line, ' ');
    if (space == NULL)
        return false;
    *space = '\0';
    const app_action *action = is_routed(line) ? app_action_find(line) : NULL;
    json_error_t wrong;
    json_t *fields =
        action == NULL ? NULL : json_loads(space + 1, JSON_REJECT_DUPLICATES, &wrong);
    int64_t before = app_revision(book);
    if (json_is_object(fields)) {
        forget_files(fields);
        bool done = fuzz_act(book, action, fields);
        FUZZ_MUST(app_revision(book) == before || (done && action->changes));
    }
    json_decref(fields);
    return app_revision(book) != before;
}

static void must_be_sound(void)
{
    json_t *none = json_object();
    FUZZ_MUST(fuzz_act(book, app_action_find("check"), none));
    json_decref(none);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (book == NULL) {
        book = open_book();
        atexit(close_book);
    }
    g_autofree char *text = g_strndup((const char *)data, size);
    g_auto(GStrv) lines = g_strsplit(text, "\n", 24);
    bool changed = false;
    for (char **line = lines; *line != NULL; line++)
        if (do_line(*line))
            changed = true;
    if (!changed)
        return 0;
    must_be_sound();
    fuzz_read(book, (int)(size % FUZZ_PARTS));
    json_t *none = json_object();
    while (fuzz_act(book, app_action_find("undo"), none))
        ;
    json_decref(none);
    must_be_sound();
    app_close(book);
    book = open_book();
    return 0;
}
