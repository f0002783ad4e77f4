#include "web/target-internal.h"

#include "base/error.h"

#include <string.h>

static gboolean refuse(GError **error, const char *what)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_TARGET,
                "The address cannot be read: %s.", what);
    return FALSE;
}

static gboolean has_control(const char *text)
{
    for (const char *c = text; *c != '\0'; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7f)
            return TRUE;
    return FALSE;
}

/* Decodes length bytes of raw, as forms write their fields when plus_is_space. */
static char *decode(const char *raw, size_t length, gboolean plus_is_space,
                    GError **error)
{
    g_autofree char *text = g_malloc(length + 1);
    size_t n = 0;
    for (size_t i = 0; i < length; i++) {
        char c = raw[i];
        if (c == '+' && plus_is_space)
            c = ' ';
        if (c == '%') {
            if (length - i < 3 || !g_ascii_isxdigit(raw[i + 1]) ||
                !g_ascii_isxdigit(raw[i + 2])) {
                refuse(error, "% without two hexadecimal digits");
                return NULL;
            }
            c = (char)(g_ascii_xdigit_value(raw[i + 1]) << 4 |
                       g_ascii_xdigit_value(raw[i + 2]));
            i += 2;
            if (c == '\0') {
                refuse(error, "%00");
                return NULL;
            }
        }
        text[n++] = c;
    }
    text[n] = '\0';
    if (!g_utf8_validate(text, (gssize)n, NULL)) {
        refuse(error, "not UTF-8");
        return NULL;
    }
    if (has_control(text)) {
        refuse(error, "a control character");
        return NULL;
    }
    return g_steal_pointer(&text);
}

static char **parse_path(const char *path, size_t length, GError **error)
{
    g_autoptr(GPtrArray) segments = g_ptr_array_new_with_free_func(g_free);
    const char *end = path + length;
    for (const char *from = path + 1;;) {
        const char *slash = memchr(from, '/', (size_t)(end - from));
        const char *to = slash != NULL ? slash : end;
        char *segment = decode(from, (size_t)(to - from), FALSE, error);
        if (segment == NULL)
            return NULL;
        g_ptr_array_add(segments, segment);
        if (strcmp(segment, ".") == 0 || strcmp(segment, "..") == 0) {
            refuse(error, "a step of dots");
            return NULL;
        }
        if (slash == NULL)
            break;
        from = slash + 1;
    }
    g_ptr_array_add(segments, NULL);
    return (char **)g_ptr_array_free(g_steal_pointer(&segments), FALSE);
}

/* A name given twice becomes an array, as flags given twice do. */
static void add_field(json_t *query, const char *name, const char *value)
{
    json_t *known = json_object_get(query, name);
    if (known == NULL) {
        json_object_set_new(query, name, json_string(value));
        return;
    }
    if (!json_is_array(known)) {
        json_t *both = json_array();
        json_array_append(both, known);
        json_object_set_new(query, name, both);
        known = both;
    }
    json_array_append_new(known, json_string(value));
}

static gboolean parse_query(const char *text, json_t *query, GError **error)
{
    while (*text != '\0') {
        size_t length = strcspn(text, "&");
        const char *equals = memchr(text, '=', length);
        size_t name_length = equals != NULL ? (size_t)(equals - text) : length;
        g_autofree char *name = decode(text, name_length, TRUE, error);
        if (name == NULL)
            return FALSE;
        g_autofree char *value =
            equals != NULL ? decode(equals + 1, length - name_length - 1, TRUE, error)
                           : g_strdup("");
        if (value == NULL)
            return FALSE;
        if (length > 0)
            add_field(query, name, value);
        text += length;
        if (*text == '&')
            text++;
    }
    return TRUE;
}

gboolean web_target_parse(const char *raw, web_target *ret_target, GError **error)
{
    if (raw[0] != '/')
        return refuse(error, "it does not begin with /");
    for (const char *c = raw; *c != '\0'; c++)
        if (*c < 0x21 || *c > 0x7e || *c == '#')
            return refuse(error, "a character that must be written as %XX");

    g_auto(web_target) target = { 0 };
    size_t path_length = strcspn(raw, "?");
    target.segments = parse_path(raw, path_length, error);
    if (target.segments == NULL)
        return FALSE;
    target.query = json_object();
    if (raw[path_length] == '?' &&
        !parse_query(raw + path_length + 1, target.query, error))
        return FALSE;

    *ret_target = target;
    memset(&target, 0, sizeof target);
    return TRUE;
}

void web_target_clear(web_target *target)
{
    g_strfreev(target->segments);
    json_decref(target->query);
    memset(target, 0, sizeof *target);
}
