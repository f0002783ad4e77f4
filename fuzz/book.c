#include "book.h"

#include "base/error.h"
#include "web/route-internal.h"

#include <glib/gstdio.h>
#include <stdlib.h>
#include <string.h>

/* --- files ---------------------------------------------------------------------------
 */

static char *folder;

static void remove_tree(const char *path)
{
    GDir *dir = g_dir_open(path, 0, NULL);
    for (const char *name; dir != NULL && (name = g_dir_read_name(dir)) != NULL;) {
        g_autofree char *child = g_build_filename(path, name, NULL);
        remove_tree(child);
    }
    if (dir != NULL)
        g_dir_close(dir);
    g_remove(path);
}

static void remove_folder(void)
{
    remove_tree(folder);
    g_clear_pointer(&folder, g_free);
}

const char *fuzz_folder(void)
{
    if (folder == NULL) {
        bool memory = g_file_test("/dev/shm", G_FILE_TEST_IS_DIR);
        folder = g_build_filename(memory ? "/dev/shm" : g_get_tmp_dir(),
                                  "motley-fuzz-XXXXXX", NULL);
        FUZZ_MUST(g_mkdtemp(folder) != NULL);
        atexit(remove_folder);
    }
    return folder;
}

static GBytes *bytes_of(const char *path)
{
    char *bytes;
    gsize size;
    FUZZ_MUST(g_file_get_contents(path, &bytes, &size, NULL));
    return g_bytes_new_take(bytes, size);
}

/* Opening a book brings it to the present. */
static GBytes *brought_to_the_present(GBytes *old)
{
    gsize size;
    const void *bytes = g_bytes_get_data(old, &size);
    const char *path = fuzz_book_put(bytes, size);
    app *book = app_open(path, APP_OPEN_EXISTING, NULL);
    FUZZ_MUST(book != NULL);
    app_close(book);
    return bytes_of(path);
}

GBytes *fuzz_book_bytes(int version)
{
    static GBytes *books[FUZZ_BOOK_VERSIONS];
    if (books[version - 1] == NULL && version == FUZZ_BOOK_VERSIONS) {
        books[version - 1] = brought_to_the_present(fuzz_book_bytes(FUZZ_BOOK_SEEDS));
    } else if (books[version - 1] == NULL) {
        g_autofree char *path =
            g_strdup_printf("%s/book/version-%d.book", FUZZ_SEEDS, version);
        books[version - 1] = bytes_of(path);
    }
    return books[version - 1];
}

static void remove_beside(const char *path)
{
    g_autoptr(GDir) dir = g_dir_open(fuzz_folder(), 0, NULL);
    g_autofree char *base = g_path_get_basename(path);
    for (const char *name; (name = g_dir_read_name(dir)) != NULL;)
        if (g_str_has_prefix(name, base)) {
            g_autofree char *beside = g_build_filename(fuzz_folder(), name, NULL);
            remove_tree(beside);
        }
}

const char *fuzz_book_put(const void *bytes, size_t size)
{
    static char path[64];
    g_snprintf(path, sizeof path, "%s/a.book", fuzz_folder());
    remove_beside(path);
    FILE *file = fopen(path, "wb");
    FUZZ_MUST(file != NULL && fwrite(bytes, 1, size, file) == size && fclose(file) == 0);
    return path;
}

/* --- acting --------------------------------------------------------------------------
 */

/* Long work is let go on for a few steps. */
typedef struct patience {
    atomic_bool stop;
    int steps;
} patience;

static void step(double done, const char *doing, void *data)
{
    patience *left = data;
    FUZZ_MUST(done >= 0 && done <= 1 && doing != NULL);
    if (--left->steps <= 0)
        atomic_store(&left->stop, true);
}

static void check_refusal(const GError *error, const char *what)
{
    FUZZ_MUST(error != NULL && error->domain == MOTLEY_ERROR);
    FUZZ_MUST(g_utf8_validate(error->message, -1, NULL));
    if (g_getenv("FUZZ_TELL") != NULL)
        g_printerr("%s: %s (%s)\n", what, error->message, motley_error_code(error));
    json_t *document = app_error_document(error);
    FUZZ_MUST(document != NULL);
    json_decref(document);
}

bool fuzz_act(app *book, const app_action *action, const json_t *fields)
{
    patience left = { .steps = 40 };
    app_call call = {
        .request = fields, .stop = &left.stop, .progress = step, .data = &left
    };
    json_t *document = NULL;
    g_autoptr(GError) error = NULL;
    if (!action->run(book, &call, &document, &error)) {
        FUZZ_MUST(document == NULL);
        check_refusal(error, action->name);
        return false;
    }
    FUZZ_MUST(error == NULL && document != NULL);
    char *text = json_dumps(document, JSON_COMPACT);
    FUZZ_MUST(text != NULL);
    free(text);
    json_decref(document);
    return true;
}

/* --- reading -------------------------------------------------------------------------
 */

/* What the braces of a route's path may stand for in the small books. */
static const struct {
    const char *field, *values[10];
} known[] = {
    { "quilt", { "Tideline", "Kite", "Done" } },
    { "photo", { "1" } },
    { "fabric", { "2", "18" } },
    { "design", { "own", "lattice-chain" } },
    { "block", { "1" } },
    { "what",
      { "card", "chart", "cutting", "design", "label", "map", "rows", "sew", "shopping",
        "story" } },
};

/* What some routes need in their query. */
static const struct {
    const char *name, *field, *value;
} needed[] = {
    { "plan", "design", "own" },        { "plan", "size", "40x50" },
    { "plan.svg", "design", "own" },    { "plan.svg", "size", "40x50" },
    { "buy", "quilt", "Tideline" },     { "cloth.svg", "quilt", "Tideline" },
    { "cloth.svg", "item", "backing" }, { "backgrounds", "quilt", "Kite" },
};

static void show(app *book, const char *what, const json_t *fields)
{
    app_call call = { .request = fields };
    const char *type = NULL;
    g_autoptr(GError) error = NULL;
    GBytes *bytes = app_render(book, what, &call, &type, &error);
    if (bytes == NULL) {
        check_refusal(error, what);
        return;
    }
    FUZZ_MUST(error == NULL && type != NULL);
    g_bytes_unref(bytes);
}

static void ask(app *book, const web_route *route, json_t *fields)
{
    if (route->kind == WEB_ROUTE_SHEET) {
        json_object_set_new(fields, "quilt", json_string("Tideline"));
        json_object_set_new(fields, "design", json_string("own"));
        g_autofree char *sheet =
            g_strconcat(json_string_value(json_object_get(fields, "what")), ".pdf", NULL);
        show(book, sheet, fields);
        return;
    }
    for (size_t i = 0; i < G_N_ELEMENTS(needed); i++)
        if (strcmp(needed[i].name, route->name) == 0 &&
            json_object_get(fields, needed[i].field) == NULL)
            json_object_set_new(fields, needed[i].field, json_string(needed[i].value));
    if (route->kind == WEB_ROUTE_PICTURE) {
        show(book, route->name, fields);
        return;
    }
    const app_action *action = app_action_find(route->name);
    FUZZ_MUST(action != NULL && !action->changes);
    fuzz_act(book, action, fields);
}

static void ask_for_each(app *book, const web_route *route)
{
    const char *brace = strchr(route->path, '{');
    for (size_t i = 0; i < G_N_ELEMENTS(known) && brace != NULL; i++) {
        size_t size = strlen(known[i].field);
        if (strncmp(brace + 1, known[i].field, size) != 0 || brace[1 + size] != '}')
            continue;
        for (int j = 0; j < (int)G_N_ELEMENTS(known[i].values); j++)
            if (known[i].values[j] != NULL) {
                json_t *fields = json_pack("{s:s}", known[i].field, known[i].values[j]);
                ask(book, route, fields);
                json_decref(fields);
            }
        return;
    }
    FUZZ_MUST(brace == NULL);
    json_t *fields = json_object();
    ask(book, route, fields);
    json_decref(fields);
}

void fuzz_read(app *book, int part)
{
    size_t count;
    const web_route *routes = web_routes(&count);
    for (size_t i = 0; i < count; i++) {
        const web_route *route = &routes[i];
        bool document = route->kind == WEB_ROUTE_ACTION ||
                        route->kind == WEB_ROUTE_PICTURE ||
                        route->kind == WEB_ROUTE_SHEET;
        if (document && strcmp(route->method, "GET") == 0 &&
            (part < 0 || (int)(i % FUZZ_PARTS) == part))
            ask_for_each(book, route);
    }
}
