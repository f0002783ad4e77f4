#include "web/request-internal.h"

#include "web/guard-internal.h"

#include "base/error.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <string.h>
#include <sys/socket.h>

enum { KEY_LONGEST = 80 };

/* A key that a device made for its change: letters that every client can send. */
static gboolean check_key(const char *key, GError **error)
{
    if (key == NULL)
        return TRUE;
    size_t size = strlen(key);
    for (size_t i = 0; i < size; i++)
        if (!g_ascii_isgraph(key[i]))
            size = 0;
    return (size > 0 && size <= KEY_LONGEST) ||
           web_refuse(error, MOTLEY_ERROR_WEB_HEADERS,
                      "Idempotency-Key has 1 to 80 letters without spaces.");
}

/* The library takes the first of two lengths, others may take the last. */
gboolean web_gate_framing(const web_request *r, GError **error)
{
    const web_headers *h = &r->headers;
    if (strcmp(r->method, WEB_NO_METHOD) == 0)
        return web_refuse(error, MOTLEY_ERROR_WEB_HEADERS, "The method is no word.");
    if (h->malformed)
        return web_refuse(error, MOTLEY_ERROR_WEB_HEADERS,
                          "A header has no proper name.");
    if (h->hosts > 1)
        return web_refuse(error, MOTLEY_ERROR_WEB_HEADERS, "Host is given twice.");
    if (h->lengths > 1)
        return web_refuse(error, MOTLEY_ERROR_WEB_HEADERS,
                          "Content-Length is given twice.");
    if (h->lengths > 0 && h->transfer_encoding != NULL)
        return web_refuse(error, MOTLEY_ERROR_WEB_HEADERS,
                          "Content-Length and Transfer-Encoding are both given.");
    if (h->transfer_encoding != NULL)
        return web_refuse(error, MOTLEY_ERROR_WEB_LENGTH_REQUIRED,
                          "The body comes without its length.");
    size_t bytes =
        MHD_get_connection_info(r->connection, MHD_CONNECTION_INFO_REQUEST_HEADER_SIZE)
            ->header_size;
    if (bytes > r->server->limits.header_bytes)
        return web_refuse(error, MOTLEY_ERROR_WEB_HEADERS_LARGE,
                          "The headers are too large.");
    return check_key(h->key, error);
}

/* The address that the client reached us at, as a Host names it. Free with g_free(). */
static char *own_address(const web_request *r)
{
    struct sockaddr_storage address = { 0 };
    socklen_t size = sizeof address;
    char text[INET6_ADDRSTRLEN] = "";
    getsockname(web_guest_fd(r->guest), (struct sockaddr *)&address, &size);
    if (address.ss_family == AF_INET6) {
        inet_ntop(AF_INET6, &((struct sockaddr_in6 *)&address)->sin6_addr, text,
                  sizeof text);
        return g_strdup_printf("[%s]", text);
    }
    inet_ntop(AF_INET, &((struct sockaddr_in *)&address)->sin_addr, text, sizeof text);
    return g_strdup(text);
}

static gboolean check_asker(const web_request *r, GError **error)
{
    const web_headers *h = &r->headers;
    web_asked asked = {
        .changes = web_request_changes(r),
        .from_here = web_guest_is_here(r->guest),
        .api = g_strcmp0(r->target.segments[0], "api") == 0,
        .host = h->host,
        .origin = h->origin,
        .fetch_site = h->fetch_site,
        .fetch_mode = h->fetch_mode,
    };
    if (web_guard(&asked, (const char *const *)r->server->names, error))
        return TRUE;
    if (!r->server->lan || !g_error_matches(*error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_HOST))
        return FALSE;
    g_clear_error(error);
    if (web_guard(&asked, (const char *const *)r->server->network_names, error))
        return TRUE;
    if (!g_error_matches(*error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_HOST))
        return FALSE;
    /* Addresses change while the server runs; the one it was reached at is its own. */
    g_autofree char *address = own_address(r);
    const char *const names[] = { address, NULL };
    g_clear_error(error);
    return web_guard(&asked, names, error);
}

/* The token of our cookie, or NULL; free with g_free(). Cookies know no ports, so the
 * name does: two servers of one machine have a cookie each. */
static char *token_of(const web_request *r)
{
    g_autofree char *name = g_strdup_printf("motley_%d=", web_door_port(r->server->door));
    g_auto(GStrv) cookies =
        g_strsplit(r->headers.cookie != NULL ? r->headers.cookie : "", ";", -1);
    for (char **one = cookies; *one != NULL; one++)
        if (g_str_has_prefix(g_strstrip(*one), name))
            return g_strdup(*one + strlen(name));
    return NULL;
}

static gboolean choose_route(web_request *r, GError **error)
{
    r->file = web_files_find(r->server->files, r->target.segments);
    if (r->file != NULL) {
        if (!web_request_changes(r))
            return TRUE;
        r->allow = g_strdup("GET, HEAD");
    } else {
        r->route = web_route_find(r->method, r->target.segments, r->fields, &r->allow);
        if (r->route != NULL)
            return TRUE;
    }
    if (r->allow == NULL)
        return web_refuse(error, MOTLEY_ERROR_WEB_NO_SUCH_PAGE, "There is no such page.");
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_METHOD, "%s is not done here.",
                r->method);
    return FALSE;
}

static gboolean check_device(web_request *r, GError **error)
{
    static const char *const open[] = { "pair.js", "pair.css", "icon.svg" };
    if (r->route != NULL && r->route->kind == WEB_ROUTE_CLAIM)
        return TRUE;
    for (size_t i = 0; i < G_N_ELEMENTS(open); i++)
        if (r->file != NULL && g_strcmp0(r->target.segments[0], open[i]) == 0)
            return TRUE;
    r->token = token_of(r);
    if (r->token != NULL)
        r->device = app_device_of(r->server->app, r->token);
    if (r->device != 0)
        return TRUE;
    char *path[] = { (char *)"pair.html", NULL };
    r->file = web_request_changes(r) || g_strcmp0(r->target.segments[0], "api") == 0
                  ? NULL
                  : web_files_find(r->server->files, path);
    r->unpaired = r->file != NULL;
    return r->unpaired ||
           web_refuse(error, MOTLEY_ERROR_WEB_NOT_PAIRED, "This device is not paired.");
}

gboolean web_gate_enter(web_request *r, GError **error)
{
    if (!check_asker(r, error))
        return FALSE;
    g_autoptr(GError) unknown = NULL;
    gboolean known = choose_route(r, &unknown);
    if (!check_device(r, error))
        return FALSE;
    if (!known && !r->unpaired)
        g_propagate_error(error, g_steal_pointer(&unknown));
    return known || r->unpaired;
}
