#include "web/request-internal.h"

#include "web/reply-internal.h"

#include "base/error.h"

#include <string.h>
#include <unistd.h>

gboolean web_refuse(GError **error, motley_error code, const char *what)
{
    g_set_error_literal(error, MOTLEY_ERROR, (int)code, what);
    return FALSE;
}

/* Whether it is a token as RFC 9110, 5.6.2, has it: what methods and headers' names are.
 */
static bool is_token(const char *text, size_t size)
{
    for (size_t i = 0; i < size; i++)
        if (!g_ascii_isalnum(text[i]) && strchr("!#$%&'*+-.^_`|~", text[i]) == NULL)
            return false;
    return size > 0;
}

static enum MHD_Result note_header(void *data, enum MHD_ValueKind kind, const char *name,
                                   size_t name_size, const char *value, size_t size)
{
    (void)kind;
    (void)size;
    web_headers *seen = data;
    struct {
        const char *name;
        const char **value;
        int *count;
    } known[] = {
        { "Host", &seen->host, &seen->hosts },
        { "Content-Length", &seen->length, &seen->lengths },
        { "Transfer-Encoding", &seen->transfer_encoding, NULL },
        { "Content-Type", &seen->type, NULL },
        { "Origin", &seen->origin, NULL },
        { "Sec-Fetch-Site", &seen->fetch_site, NULL },
        { "Sec-Fetch-Mode", &seen->fetch_mode, NULL },
        { "Accept-Encoding", &seen->accept_encoding, NULL },
        { "If-None-Match", &seen->if_none_match, NULL },
        { "Expect", &seen->expect, NULL },
        { "Cookie", &seen->cookie, NULL },
        { "Idempotency-Key", &seen->key, NULL },
    };
    if (!is_token(name, name_size))
        seen->malformed = true;
    for (size_t i = 0; i < G_N_ELEMENTS(known); i++)
        if (g_ascii_strcasecmp(known[i].name, name) == 0) {
            *known[i].value = value != NULL ? value : "";
            if (known[i].count != NULL)
                ++*known[i].count;
        }
    return MHD_YES;
}

bool web_request_changes(const web_request *r)
{
    return strcmp(r->method, "GET") != 0 && strcmp(r->method, "HEAD") != 0;
}

static web_request *request_new(web_server *server, struct MHD_Connection *connection,
                                const char *method)
{
    web_request *r = g_new0(web_request, 1);
    r->server = server;
    r->connection = connection;
    r->guest = web_guest_of(connection);
    r->method = g_strdup(is_token(method, strlen(method)) ? method : WEB_NO_METHOD);
    r->began_us = g_get_monotonic_time();
    r->fields = json_object();
    r->photo_fd = -1;
    return r;
}

static void request_free(web_request *r)
{
    if (r->seat != NULL) {
        web_events_forget(r->server->events, r->seat);
        web_seat_leave(r->seat);
        web_seat_unref(r->seat);
    }
    if (r->job != NULL) {
        /* Nobody else knows of it, so nobody else can want it. */
        web_job_cancel(r->job);
        web_job_unref(r->job);
    }
    if (r->photo_fd >= 0)
        close(r->photo_fd);
    if (r->photo != NULL)
        unlink(r->photo);
    g_free(r->photo);
    g_free(r->token);
    if (r->body != NULL)
        g_byte_array_unref(r->body);
    g_clear_error(&r->refusal);
    g_free(r->allow);
    json_decref(r->fields);
    web_target_clear(&r->target);
    g_free(r->method);
    g_free(r);
}

/* The headers have come. A request that cannot be trusted to end where it says is
 * answered at once and its connection closed. Any other refusal waits for the end of the
 * body: closing before it has come would take the answer away from the client too. Unless
 * the client itself waits for leave to send it. */
static enum MHD_Result begin(web_request *r)
{
    MHD_get_connection_values_n(r->connection, MHD_HEADER_KIND, note_header, &r->headers);
    g_autoptr(GError) error = NULL;
    if (!web_gate_framing(r, &error))
        return web_reply_error(r->connection, error, NULL, TRUE);

    /* The library has checked that it is a number. */
    r->length =
        r->headers.lengths > 0 ? g_ascii_strtoull(r->headers.length, NULL, 10) : 0;
    if (web_target_parse(web_guest_target(r->guest), &r->target, &r->refusal) &&
        web_gate_enter(r, &r->refusal) && web_body_expect(r, &r->refusal)) {
        web_guest_headers_came(r->guest);
        return MHD_YES;
    }
    if (r->length > r->server->limits.refused_bytes || r->headers.expect != NULL)
        return web_reply_error(r->connection, r->refusal, r->allow, TRUE);
    web_guest_headers_came(r->guest);
    return MHD_YES;
}

enum MHD_Result web_request_handle(void *server, struct MHD_Connection *connection,
                                   const char *url, const char *method,
                                   const char *version, const char *upload,
                                   size_t *upload_size, void **context)
{
    (void)url; /* without its query; the guest has the whole target */
    (void)version;
    web_request *r = *context;
    if (r == NULL) {
        r = *context = request_new(server, connection, method);
        return begin(r);
    }
    if (*upload_size > 0) {
        web_body_take(r, upload, *upload_size);
        *upload_size = 0;
        return MHD_YES;
    }
    web_guest_request_came(r->guest);
    return web_answer(r);
}

static void log_request(const web_request *r)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(r->connection, MHD_CONNECTION_INFO_HTTP_STATUS);
    unsigned status = info != NULL ? info->http_status : 0;
    bool fault = status >= 500;
    bool worth = fault || status >= 400 || web_request_changes(r) || r->server->verbose;
    if (!worth || (r->server->quiet && !fault))
        return;
    /* What could not be decoded may hold anything, also what a terminal acts on. */
    const char *target =
        r->target.segments != NULL ? web_guest_target(r->guest) : "(unreadable)";
    /* Nor is what was asked for told further: a query may hold names and codes. */
    web_log("%u %s %.*s %.1f ms", status, r->method, (int)strcspn(target, "?"), target,
            (double)(g_get_monotonic_time() - r->began_us) / 1000);
}

void web_request_completed(void *server, struct MHD_Connection *connection,
                           void **context, enum MHD_RequestTerminationCode code)
{
    (void)server;
    (void)connection;
    (void)code;
    web_request *r = *context;
    if (r == NULL)
        return;
    log_request(r);
    web_guest_answered(r->guest);
    request_free(r);
    *context = NULL;
}
