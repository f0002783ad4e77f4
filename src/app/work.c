#include "work-internal.h"

#include <stdlib.h>
#include <string.h>

void app_work_clear(app_work *self)
{
    store_quilt_clear(&self->quilt);
    app_laid_clear(&self->laid);
    g_clear_pointer(&self->said, json_decref);
}

gboolean app_work_requested(app *self, const app_call *call, app_work *ret_work,
                            GError **error)
{
    g_auto(app_work) work = { 0 };
    if (!app_quilt_requested(self, call, &work.quilt, error) ||
        !app_laid_from_quilt(&work.quilt, &work.laid, error))
        return FALSE;
    g_autoptr(json_t) options =
        work.quilt.options == NULL ? NULL : json_loads(work.quilt.options, 0, NULL);
    const json_t *said = json_object_get(options, "work");
    work.said = json_is_object(said) ? json_deep_copy(said) : json_object();
    *ret_work = work;
    memset(&work, 0, sizeof work);
    return TRUE;
}

gboolean app_work_keep(store_change *change, app_work *work, GError **error)
{
    g_autoptr(json_t) options =
        work->quilt.options == NULL ? NULL : json_loads(work->quilt.options, 0, NULL);
    if (!json_is_object(options)) {
        json_decref(options);
        options = json_object();
    }
    json_object_set(options, "work", work->said);
    char *text = json_dumps(options, JSON_COMPACT);
    g_free(work->quilt.options);
    work->quilt.options = g_strdup(text);
    free(text); /* jansson's memory is freed by another function */
    return store_quilt_say(change, &work->quilt, error) &&
           store_change_commit(change, error);
}

bool app_work_is_done(const app_work *self, const char *step)
{
    return json_is_true(json_object_get(json_object_get(self->said, "done"), step));
}

void app_work_tick(app_work *self, const char *step, bool done)
{
    json_t *ticked = json_object_get(self->said, "done");
    if (!json_is_object(ticked)) {
        ticked = json_object();
        json_object_set_new(self->said, "done", ticked);
    }
    if (done)
        json_object_set_new(ticked, step, json_true());
    else
        json_object_del(ticked, step);
}

/* A book may have been written to by others: what is no length is none. */
static length length_in(const json_t *value)
{
    json_int_t said = json_integer_value(value);
    return said > 0 && said <= QUILT_FINISHED_MAX ? (length)said : 0;
}

length app_work_length(const app_work *self, const char *name)
{
    return length_in(json_object_get(self->said, name));
}

void app_work_say_length(app_work *self, const char *name, length said)
{
    if (said > 0)
        json_object_set_new(self->said, name, json_integer(said));
    else
        json_object_del(self->said, name);
}

quilt_extent app_work_size(const app_work *self, const char *name)
{
    const json_t *value = json_object_get(self->said, name);
    quilt_extent size = { length_in(json_array_get(value, 0)),
                          length_in(json_array_get(value, 1)) };
    return size.width > 0 && size.height > 0 ? size : (quilt_extent){ 0, 0 };
}

static bool is_taken_back(const app_call *call, const char *field)
{
    const json_t *value = json_object_get(call->request, field);
    return json_is_null(value) ||
           (json_is_string(value) && *json_string_value(value) == '\0');
}

static gboolean refuse_too_long(length measured, const char *field, GError **error)
{
    if (measured <= QUILT_FINISHED_MAX)
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "%s: no quilt is over a hundred metres long.", field);
    return FALSE;
}

gboolean app_work_read_size(app_work *self, const app_call *call, const char *field,
                            length bare, GError **error)
{
    quilt_extent size;
    if (is_taken_back(call, field)) {
        json_object_del(self->said, field);
        return TRUE;
    }
    if (!app_request_has(call, field))
        return TRUE;
    if (!app_request_size(call, field, bare, &size.width, &size.height, error) ||
        !refuse_too_long(MAX(size.width, size.height), field, error))
        return FALSE;
    json_object_set_new(self->said, field, json_pack("[i, i]", size.width, size.height));
    return TRUE;
}

gboolean app_work_read_length(app_work *self, const app_call *call, const char *field,
                              const char *name, length bare, GError **error)
{
    length said = app_work_length(self, name);
    if (is_taken_back(call, field))
        said = 0;
    else if (!app_request_length(call, field, bare, &said, error) ||
             !refuse_too_long(said, field, error))
        return FALSE;
    app_work_say_length(self, name, said);
    return TRUE;
}

gboolean app_work_read_step(app_work *self, const app_call *call,
                            const char *const steps[], const char **ret_step,
                            GError **error)
{
    const char *step = app_request_text(call, "step");
    *ret_step = step;
    if (step == NULL)
        return TRUE;
    if (!g_strv_contains(steps, step)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_STEP,
                    "There is no step \"%.40s\".", step);
        return FALSE;
    }
    if (app_request_has(call, "done"))
        app_work_tick(self, step, app_request_flag(call, "done"));
    return TRUE;
}

json_t *app_work_inches(length x)
{
    return x > 0 ? app_document_inches(x) : json_null();
}

json_t *app_work_size_document(quilt_extent size)
{
    return size.width > 0 ? app_document_size(size.width, size.height) : json_null();
}
