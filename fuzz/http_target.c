/* Any bytes as the target of a request, and after a line end as its Host: refused with
 * the code that is meant for it, or decoded to what is safe to look up and to log. */
#include "base/error.h"
#include "web/guard-internal.h"
#include "web/route-internal.h"
#include "web/target-internal.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds)
{
    if (!holds)
        abort();
}

static bool is_plain(const char *text)
{
    for (const char *c = text; *c != '\0'; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7f)
            return false;
    return g_utf8_validate(text, -1, NULL);
}

static void take_apart(const char *raw)
{
    g_auto(web_target) target = { 0 };
    g_autoptr(GError) error = NULL;
    if (!web_target_parse(raw, &target, &error)) {
        must(g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_TARGET));
        return;
    }
    size_t length = 0;
    for (char **segment = target.segments; *segment != NULL; segment++) {
        must(is_plain(*segment));
        must(strcmp(*segment, ".") != 0 && strcmp(*segment, "..") != 0);
        length += strlen(*segment);
    }
    must(length < strlen(raw));

    json_t *fields = json_object();
    g_autofree char *allow = NULL;
    const web_route *route = web_route_find("GET", target.segments, fields, &allow);
    const char *name;
    json_t *value;
    json_object_foreach (fields, name, value)
        must(route != NULL && is_plain(json_string_value(value)));
    json_decref(fields);
}

static void ask_for(const char *host)
{
    static const char *const names[] = { "localhost", "[::1]", NULL };
    web_asked asked = { .host = host, .from_here = true };
    if (web_guard(&asked, names, NULL))
        must(g_ascii_strncasecmp(host, "localhost", 9) == 0 ||
             strncmp(host, "[::1]", 5) == 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    g_autofree char *text = g_strndup((const char *)data, size);
    char *line_end = strchr(text, '\n');
    if (line_end != NULL) {
        *line_end = '\0';
        ask_for(line_end + 1);
    }
    take_apart(text);
    return 0;
}
