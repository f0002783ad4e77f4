#include "web/guard-internal.h"

#include "base/error.h"

#include <string.h>

/* The length of the name in "name", "name:port" or "[address]:port"; 0 when it is none.
 */
static size_t name_length(const char *host)
{
    size_t length = host[0] == '[' ? strcspn(host, "]") + 1 : strcspn(host, ":");
    if (length > strlen(host))
        return 0;
    const char *port = host + length;
    if (*port == '\0')
        return length;
    if (*port != ':' || port[1] == '\0' || strlen(port) > 6 ||
        strspn(port + 1, "0123456789") != strlen(port + 1))
        return 0;
    return length;
}

static bool is_known_host(const char *host, const char *const *names)
{
    size_t length = name_length(host);
    if (length == 0)
        return false;
    for (; *names != NULL; names++)
        if (strlen(*names) == length && g_ascii_strncasecmp(*names, host, length) == 0)
            return true;
    return false;
}

static bool is_own_origin(const char *origin, const char *host)
{
    static const char scheme[] = "http://";
    return g_str_has_prefix(origin, scheme) &&
           g_ascii_strcasecmp(origin + strlen(scheme), host) == 0;
}

static bool may_change(const web_asked *asked)
{
    if (asked->origin != NULL)
        return is_own_origin(asked->origin, asked->host);
    if (asked->fetch_site != NULL)
        return strcmp(asked->fetch_site, "same-origin") == 0;
    return asked->from_here;
}

/* A visit by a link is a plain GET that only shows the answer. */
static bool may_read(const web_asked *asked)
{
    if (!asked->api || asked->fetch_site == NULL)
        return true;
    return strcmp(asked->fetch_site, "same-origin") == 0 ||
           strcmp(asked->fetch_site, "none") == 0 ||
           g_strcmp0(asked->fetch_mode, "navigate") == 0;
}

gboolean web_guard(const web_asked *asked, const char *const *names, GError **error)
{
    if (asked->host == NULL) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_HEADERS,
                            "The request does not say which host it is for.");
        return FALSE;
    }
    if (!is_known_host(asked->host, names)) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_HOST,
                            "The page does not go by the name it was asked for.");
        return FALSE;
    }
    if (asked->changes ? !may_change(asked) : !may_read(asked)) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_ORIGIN,
                            "The request came from a foreign page.");
        return FALSE;
    }
    return TRUE;
}
