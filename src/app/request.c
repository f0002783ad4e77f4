#include "app/request-internal.h"

#include "base/error.h"

#include <string.h>

static json_t *field_of(const app_call *call, const char *field)
{
    json_t *value = json_object_get(call->request, field);
    return json_is_null(value) ? NULL : value;
}

bool app_request_has(const app_call *call, const char *field)
{
    return field_of(call, field) != NULL;
}

const char *app_request_text(const app_call *call, const char *field)
{
    const char *text = json_string_value(field_of(call, field));
    return text != NULL && *text != '\0' ? text : NULL;
}

gboolean app_request_need_text(const app_call *call, const char *field,
                               const char **ret_text, GError **error)
{
    const char *text = app_request_text(call, field);
    if (text == NULL) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                    "\"%s\" is missing.", field);
        return FALSE;
    }
    *ret_text = text;
    return TRUE;
}

bool app_request_flag(const app_call *call, const char *field)
{
    const json_t *value = field_of(call, field);
    if (!json_is_string(value))
        return json_is_true(value);
    const char *text = json_string_value(value);
    return *text == '\0' || strcmp(text, "1") == 0 || strcmp(text, "true") == 0 ||
           strcmp(text, "yes") == 0;
}

static gboolean whole_number(const json_t *value, int64_t *ret_number)
{
    if (json_is_integer(value)) {
        *ret_number = json_integer_value(value);
        return TRUE;
    }
    const char *text = json_string_value(value);
    return text != NULL && g_ascii_string_to_signed(text, 10, INT64_MIN, INT64_MAX,
                                                    (gint64 *)ret_number, NULL);
}

gboolean app_request_int(const app_call *call, const char *field, int64_t low,
                         int64_t high, int64_t *ret_number, GError **error)
{
    const json_t *value = field_of(call, field);
    if (value == NULL)
        return TRUE;
    int64_t number;
    if (!whole_number(value, &number) || number < low || number > high) {
        g_autofree char *text = json_dumps(value, JSON_ENCODE_ANY);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "%s: %.60s is no whole number from %" PRId64 " to %" PRId64 ".",
                    field, text, low, high);
        return FALSE;
    }
    *ret_number = number;
    return TRUE;
}

gboolean app_port_requested(const app_call *call, int64_t *ret_port, GError **error)
{
    *ret_port = APP_PORT;
    return app_request_int(call, "port", 1, 65535, ret_port, error);
}

static gboolean request_length(const app_call *call, const char *field, length bare,
                               bool may_be_nothing, length *ret_length, GError **error)
{
    const json_t *value = field_of(call, field);
    if (value == NULL)
        return TRUE;
    char number[32];
    const char *text = json_string_value(value);
    if (json_is_number(value)) {
        g_ascii_formatd(number, sizeof number, "%.9g", json_number_value(value));
        text = number;
    }
    if (may_be_nothing ? length_parse(text, bare, ret_length, error)
                       : length_parse_positive(text, bare, ret_length, error))
        return TRUE;
    g_prefix_error(error, "%s: ", field);
    return FALSE;
}

gboolean app_request_length(const app_call *call, const char *field, length bare,
                            length *ret_length, GError **error)
{
    return request_length(call, field, bare, false, ret_length, error);
}

gboolean app_request_width(const app_call *call, const char *field, length bare,
                           length *ret_length, GError **error)
{
    return request_length(call, field, bare, true, ret_length, error);
}

gboolean app_request_word(const app_call *call, const char *field,
                          const char *const words[], int *ret_which, GError **error)
{
    const char *said = app_request_text(call, field);
    if (said == NULL)
        return TRUE;
    for (int i = 0; words[i] != NULL; i++) {
        if (strcmp(words[i], said) == 0) {
            *ret_which = i;
            return TRUE;
        }
    }
    g_autofree char *all = g_strjoinv(", ", (char **)words);
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "%s: \"%.40s\" is none of %s.", field, said, all);
    return FALSE;
}

json_t *app_request_list(const app_call *call, const char *field)
{
    json_t *value = field_of(call, field);
    if (json_is_array(value))
        return json_incref(value);
    json_t *list = json_array();
    if (value != NULL)
        json_array_append(list, value);
    return list;
}

const char *app_request_photo(const app_call *call, GError **error)
{
    const json_t *photos = field_of(call, "photos");
    const char *path =
        json_string_value(json_is_array(photos) ? json_array_get(photos, 0) : photos);
    if (path == NULL)
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "\"photos\" is missing.");
    return path;
}

/* The unit at the end of a length, or the empty end: "cm" of "140 cm". */
static const char *unit_at_end(const char *text)
{
    const char *at = text + strlen(text);
    const char *end = at;
    while (end > text && g_ascii_isspace(end[-1]))
        end--;
    if (g_str_has_suffix(text, "″"))
        return at - strlen("″");
    for (at = end; at > text && (g_ascii_isalpha(at[-1]) || at[-1] == '"');)
        at--;
    return at;
}

gboolean app_request_size(const app_call *call, const char *field, length bare,
                          length *ret_width, length *ret_height, GError **error)
{
    const char *text = app_request_text(call, field);
    if (text == NULL) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                    "\"%s\" is missing.", field);
        return FALSE;
    }
    static const char *const signs[] = { "x", "X", "×", "by" };
    for (size_t i = 0; i < G_N_ELEMENTS(signs); i++) {
        const char *sign = strstr(text, signs[i]);
        if (sign == NULL)
            continue;
        const char *second = sign + strlen(signs[i]);
        g_autofree char *alone = g_strndup(text, (gsize)(sign - text));
        /* A unit that stands once is meant for both: 70 x 140 cm. */
        bool bare_first =
            *unit_at_end(alone) == '\0' || g_ascii_isspace(*unit_at_end(alone));
        g_autofree char *first =
            g_strconcat(alone, bare_first ? unit_at_end(second) : "", NULL);
        length width, height;
        if (!length_parse_positive(second, bare, &height, error) ||
            !length_parse_positive(first, bare, &width, error)) {
            g_prefix_error(error, "%s \"%.60s\": ", field, text);
            return FALSE;
        }
        *ret_width = width;
        *ret_height = height;
        return TRUE;
    }
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "%s: \"%.60s\" is no width x height.", field, text);
    return FALSE;
}

gboolean app_request_item_id(const json_t *item, const char *field, int64_t *ret_id,
                             GError **error)
{
    int64_t id;
    if (!whole_number(item, &id) || id < 1) {
        g_autofree char *text = json_dumps(item, JSON_ENCODE_ANY);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "%s: %.60s is no number of one.", field, text == NULL ? "" : text);
        return FALSE;
    }
    *ret_id = id;
    return TRUE;
}

gboolean app_call_step(const app_call *call, double done, const char *doing,
                       GError **error)
{
    if (call->stop != NULL && atomic_load(call->stop)) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_CANCELLED, "Stopped.");
        return FALSE;
    }
    if (call->progress != NULL)
        call->progress(done, doing, call->data);
    return TRUE;
}

char *app_file_read(const char *path, gsize *ret_size, GError **error)
{
    char *bytes = NULL;
    g_autoptr(GError) unreadable = NULL;
    if (!g_file_get_contents(path, &bytes, ret_size, &unreadable))
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNREADABLE, "%s",
                    unreadable->message);
    return bytes;
}
