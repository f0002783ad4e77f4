#include "test.h"

#include "fixture.h"

int fixture_open(void **state)
{
    fixture *self = g_new0(fixture, 1);
    self->folder = g_dir_make_tmp("motley-app-XXXXXX", NULL);
    self->path = g_build_filename(self->folder, "test.book", NULL);
    self->book = app_open(self->path, APP_OPEN_CREATE, NULL);
    *state = self;
    return self->book == NULL ? -1 : 0;
}

int fixture_close(void **state)
{
    fixture *self = *state;
    app_close(self->book);
    g_autoptr(GDir) folder = g_dir_open(self->folder, 0, NULL);
    const char *name;
    while (folder != NULL && (name = g_dir_read_name(folder)) != NULL) {
        g_autofree char *path = g_build_filename(self->folder, name, NULL);
        g_unlink(path);
    }
    g_rmdir(self->folder);
    g_free(self->folder);
    g_free(self->path);
    g_free(self);
    return 0;
}

static gboolean run(fixture *self, const char *action, const char *request,
                    json_t **document, GError **error)
{
    json_error_t fault;
    json_t *fields = json_loads(request, 0, &fault);
    if (fields == NULL)
        fail_msg("%s: the request is no JSON: %s", action, fault.text);
    const app_action *found = app_action_find(action);
    if (found == NULL)
        fail_msg("no action %s", action);
    app_call call = { .request = fields };
    gboolean done = found->run(self->book, &call, document, error);
    json_decref(fields);
    return done;
}

json_t *does(fixture *self, const char *action, const char *request, ...)
{
    va_list arguments;
    va_start(arguments, request);
    g_autofree char *text = g_strdup_vprintf(request, arguments);
    va_end(arguments);
    json_t *document = NULL;
    g_autoptr(GError) error = NULL;
    if (!run(self, action, text, &document, &error))
        fail_msg("%s %s: %s (%s)", action, text, error->message,
                 motley_error_code(error));
    return document;
}

void refuses(fixture *self, const char *code, const char *action, const char *request,
             ...)
{
    va_list arguments;
    va_start(arguments, request);
    g_autofree char *text = g_strdup_vprintf(request, arguments);
    va_end(arguments);
    json_t *document = NULL;
    g_autoptr(GError) error = NULL;
    int64_t before = app_revision(self->book);
    if (run(self, action, text, &document, &error))
        fail_msg("%s %s was done", action, text);
    if (strcmp(motley_error_code(error), code) != 0)
        fail_msg("%s %s: %s, not %s: %s", action, text, motley_error_code(error), code,
                 error->message);
    assert_null(document);
    assert_int_equal(app_revision(self->book), before);
}

json_t *value_at(const json_t *document, const char *path)
{
    g_auto(GStrv) steps = g_strsplit(path, ".", -1);
    json_t *at = (json_t *)(uintptr_t)document;
    for (int i = 0; steps[i] != NULL && at != NULL; i++)
        at = g_ascii_isdigit(steps[i][0]) ? json_array_get(at, (size_t)atoi(steps[i]))
                                          : json_object_get(at, steps[i]);
    if (at == NULL)
        fail_msg("the document has no %s", path);
    return at;
}

long long number_at(const json_t *document, const char *path)
{
    return json_integer_value(value_at(document, path));
}

const char *text_at(const json_t *document, const char *path)
{
    return json_string_value(value_at(document, path));
}
