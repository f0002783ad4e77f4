#include "fake_app.h"

#include "base/error.h"

#include <string.h>

struct app {
    atomic_int_fast64_t revision;
    atomic_int running;
    atomic_int squares;
    atomic_int baskets;
    atomic_bool network;
    char *device; /* the hash of the token that was paired last */
};

app *fake_app_new(void)
{
    app *self = g_new0(app, 1);
    self->revision = 7;
    self->squares = 100;
    return self;
}

void fake_app_free(app *self)
{
    g_free(self->device);
    g_free(self);
}

void app_close(app *self)
{
    fake_app_free(self);
}

void fake_app_change(app *self)
{
    self->revision++;
}

int fake_app_running(app *self)
{
    return self->running;
}

int fake_app_baskets(app *self)
{
    return self->baskets;
}

bool app_in_network(app *self)
{
    return self->network;
}

int64_t app_revision(app *self)
{
    return self->revision;
}

gboolean app_run_once(app *self, const app_action *action, const char *key,
                      const app_call *call, json_t **ret_document, GError **error)
{
    if (key != NULL && strcmp(key, "sent-before") == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_SENT_BEFORE,
                            "This was sent before.");
        return FALSE;
    }
    return action->run(self, call, ret_document, error);
}

json_t *app_error_document(const GError *error)
{
    return json_pack("{s:{s:s, s:s, s:s}}", "error", "code", motley_error_code(error),
                     "message", error->message, "hint", motley_error_hint(error));
}

/* Answers {"asked": request}. */
static gboolean echo(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    (void)self;
    const char *fail = json_string_value(json_object_get(call->request, "fail"));
    for (int code = 0; fail != NULL && code < MOTLEY_ERROR_COUNT; code++) {
        g_autoptr(GError) candidate = g_error_new(MOTLEY_ERROR, code, "As you asked.");
        if (strcmp(motley_error_code(candidate), fail) == 0) {
            g_propagate_error(error, g_steal_pointer(&candidate));
            return FALSE;
        }
    }
    *ret_document = json_pack("{s:O}", "asked", call->request);
    return TRUE;
}

static gboolean basket(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    (void)call;
    (void)error;
    self->baskets++;
    *ret_document = json_pack("{s:i}", "squares", (int)self->squares);
    return TRUE;
}

static gboolean basket_add(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    self->squares += 1;
    self->revision++;
    return basket(self, call, ret_document, error);
}

static gboolean settings_change(app *self, const app_call *call, json_t **ret_document,
                                GError **error)
{
    const char *network = json_string_value(json_object_get(call->request, "network"));
    if (network != NULL)
        self->network = strcmp(network, "on") == 0;
    return echo(self, call, ret_document, error);
}

/* Works for as long as "work_ms" says, in steps of a millisecond. */
static gboolean work(const app_call *call, GError **error)
{
    const char *text = json_string_value(json_object_get(call->request, "work_ms"));
    int steps = text != NULL ? atoi(text) : 0;
    for (int i = 0; i < steps; i++) {
        if (call->stop != NULL && atomic_load(call->stop)) {
            g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_CANCELLED, "Stopped.");
            return FALSE;
        }
        if (call->progress != NULL)
            call->progress((double)i / steps, "stitching", call->data);
        g_usleep(1000);
    }
    return TRUE;
}

static gboolean slow_echo(app *self, const app_call *call, json_t **ret_document,
                          GError **error)
{
    self->running++;
    gboolean done = work(call, error) && echo(self, call, ret_document, error);
    self->running--;
    return done;
}

/* Answers {"asked", "bytes", "sum"} of the photo's file. */
static gboolean measure(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    if (!slow_echo(self, call, ret_document, error))
        return FALSE;
    const char *path =
        json_string_value(json_array_get(json_object_get(call->request, "photos"), 0));
    g_autofree char *bytes = NULL;
    gsize size;
    if (!g_file_get_contents(path, &bytes, &size, error))
        return FALSE;
    int64_t sum = 0;
    for (gsize i = 0; i < size; i++)
        sum += (guchar)bytes[i];
    json_object_set_new(*ret_document, "bytes", json_integer((json_int_t)size));
    json_object_set_new(*ret_document, "sum", json_integer(sum));
    self->revision++;
    return TRUE;
}

/* One code holds, "right", once. */
static gboolean claim(app *self, const app_call *call, json_t **ret_document,
                      GError **error)
{
    const char *code = json_string_value(json_object_get(call->request, "code"));
    if (g_strcmp0(code, "right") != 0 || self->device != NULL) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_PAIR_CODE, "Wrong.");
        return FALSE;
    }
    const char *hash = json_string_value(json_object_get(call->request, "token_sha256"));
    self->device = g_strdup(hash);
    *ret_document = json_pack("{s:i, s:s}", "device", 5, "hash", hash);
    return TRUE;
}

int64_t app_device_of(app *self, const char *token)
{
    g_autofree char *hash = g_compute_checksum_for_string(G_CHECKSUM_SHA256, token, -1);
    if (strcmp(token, FAKE_APP_TOKEN) == 0)
        return 4;
    return g_strcmp0(hash, self->device) == 0 ? 5 : 0;
}

char **app_network_addresses(void)
{
    return g_strsplit("", ",", -1);
}

static const app_action actions[] = {
    { "device.claim", claim, true, false },
    { "devices", echo, false, false },
    { "basket", basket, false, false },
    { "basket.add", basket_add, true, false },
    { "measure", measure, true, true },
    { "cut", slow_echo, false, true },
    { "quilt", echo, false, false },
    { "quilt.start", echo, true, false },
    { "plan", echo, false, false },
    { "scrap.throw", echo, true, false },
    { "settings.change", settings_change, true, false },
    { "undo", echo, true, false },
};

const app_action *app_action_find(const char *name)
{
    for (size_t i = 0; i < G_N_ELEMENTS(actions); i++)
        if (strcmp(actions[i].name, name) == 0)
            return &actions[i];
    return NULL;
}

GBytes *app_render(app *self, const char *what, const app_call *call,
                   const char **ret_type, GError **error)
{
    self->running++;
    gboolean done = work(call, error);
    self->running--;
    if (!done)
        return NULL;
    if (g_str_has_suffix(what, ".pdf"))
        *ret_type = "application/pdf";
    else if (g_str_has_suffix(what, ".svg"))
        *ret_type = "image/svg+xml";
    else
        *ret_type = "image/jpeg";
    if (strcmp(what, "nothing.pdf") == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_USAGE, "No such sheet.");
        return NULL;
    }
    return g_bytes_new(what, strlen(what));
}
