#include "web/reply-internal.h"

#include "web/status-internal.h"

#include "app/app.h"

#include <stdlib.h>
#include <string.h>

/* The page makes its nodes one by one and never from text, so no policy of trusted types
 * is allowed at all. Photos are shown from blob: addresses before they are sent. */
#define PAGE_POLICY                                                                      \
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: "     \
    "data:; "                                                                            \
    "font-src 'self'; connect-src 'self'; manifest-src 'self'; base-uri 'none'; "        \
    "form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; "   \
    "trusted-types 'none'"

/* A picture opened by itself may carry styles and nothing else. */
#define PICTURE_POLICY                                                                   \
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors "     \
    "'none'; sandbox"

/* Viewers of PDF inside browsers fail under a stricter one. */
#define SHEET_POLICY "frame-ancestors 'none'"

static const char *const everywhere[][2] = {
    { "X-Content-Type-Options", "nosniff" },
    { "Referrer-Policy", "no-referrer" },
    { "Cross-Origin-Opener-Policy", "same-origin" },
    { "Cross-Origin-Resource-Policy", "same-origin" },
    { "X-Frame-Options", "DENY" },
};

static const char *policy_for(const char *type)
{
    if (type != NULL && strcmp(type, "application/pdf") == 0)
        return SHEET_POLICY;
    if (type != NULL && g_str_has_prefix(type, "image/"))
        return PICTURE_POLICY;
    return PAGE_POLICY;
}

/* What a client without leave gets says how to get leave, as RFC 9110, 11.6.1, asks. */
#define PAIRING_CHALLENGE "Pairing realm=\"Motley\""

/* Takes the response. */
static enum MHD_Result queue(struct MHD_Connection *connection, unsigned status,
                             struct MHD_Response *response, const char *type)
{
    for (size_t i = 0; i < G_N_ELEMENTS(everywhere); i++)
        MHD_add_response_header(response, everywhere[i][0], everywhere[i][1]);
    MHD_add_response_header(response, "Content-Security-Policy", policy_for(type));
    if (type != NULL)
        MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, type);
    enum MHD_Result result = MHD_queue_response(connection, status, response);
    MHD_destroy_response(response);
    return result;
}

static void unref_bytes(void *bytes)
{
    g_bytes_unref(bytes);
}

/* Takes the reference; copies nothing. */
static struct MHD_Response *response_of_bytes(GBytes *bytes)
{
    gsize size;
    const void *data = g_bytes_get_data(bytes, &size);
    return MHD_create_response_from_buffer_with_free_callback_cls(size, (void *)data,
                                                                  unref_bytes, bytes);
}

GBytes *web_document_text(json_t *document)
{
    char *text = json_dumps(document, JSON_COMPACT | JSON_REAL_PRECISION(12));
    json_decref(document);
    g_assert(text != NULL);
    return g_bytes_new_with_free_func(text, strlen(text), free, text);
}

/* Takes the document. */
static struct MHD_Response *response_of(json_t *document)
{
    struct MHD_Response *response = response_of_bytes(web_document_text(document));
    MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "no-store");
    return response;
}

enum MHD_Result web_reply_document(struct MHD_Connection *connection, unsigned status,
                                   json_t *document)
{
    return queue(connection, status, response_of(document), "application/json");
}

enum MHD_Result web_reply_text(struct MHD_Connection *connection, GBytes *text,
                               const char *etag)
{
    struct MHD_Response *response = response_of_bytes(text);
    MHD_add_response_header(response, MHD_HTTP_HEADER_ETAG, etag);
    MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "private, no-cache");
    return queue(connection, MHD_HTTP_OK, response, "application/json");
}

enum MHD_Result web_reply_job(struct MHD_Connection *connection, const char *id)
{
    struct MHD_Response *response = response_of(json_pack("{s:s}", "job", id));
    g_autofree char *path = g_strconcat("/api/jobs/", id, NULL);
    MHD_add_response_header(response, MHD_HTTP_HEADER_LOCATION, path);
    return queue(connection, MHD_HTTP_ACCEPTED, response, "application/json");
}

enum MHD_Result web_reply_error(struct MHD_Connection *connection, const GError *error,
                                const char *allow, gboolean end)
{
    unsigned status = web_status_of(error);
    struct MHD_Response *response = response_of(app_error_document(error));
    if (allow != NULL)
        MHD_add_response_header(response, MHD_HTTP_HEADER_ALLOW, allow);
    if (status == MHD_HTTP_UNAUTHORIZED)
        MHD_add_response_header(response, MHD_HTTP_HEADER_WWW_AUTHENTICATE,
                                PAIRING_CHALLENGE);
    if (status == MHD_HTTP_TOO_MANY_REQUESTS)
        MHD_add_response_header(response, MHD_HTTP_HEADER_RETRY_AFTER, "60");
    if (status == MHD_HTTP_SERVICE_UNAVAILABLE)
        MHD_add_response_header(response, MHD_HTTP_HEADER_RETRY_AFTER, "2");
    if (end)
        MHD_add_response_header(response, MHD_HTTP_HEADER_CONNECTION, "close");
    return queue(connection, status, response, "application/json");
}

enum MHD_Result web_reply_paired(struct MHD_Connection *connection, json_t *document,
                                 const char *cookie)
{
    struct MHD_Response *response = response_of(document);
    MHD_add_response_header(response, MHD_HTTP_HEADER_SET_COOKIE, cookie);
    MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "no-store");
    return queue(connection, MHD_HTTP_OK, response, "application/json");
}

enum MHD_Result web_reply_unpaired(struct MHD_Connection *connection,
                                   const web_file *page)
{
    struct MHD_Response *response = response_of_bytes(g_bytes_ref(page->plain));
    MHD_add_response_header(response, MHD_HTTP_HEADER_WWW_AUTHENTICATE,
                            PAIRING_CHALLENGE);
    MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "no-store");
    return queue(connection, MHD_HTTP_UNAUTHORIZED, response, page->type);
}

/* "gzip" among the codings and not forbidden by "q=0". */
static gboolean takes_gzip(const char *accept_encoding)
{
    const char *gzip = accept_encoding != NULL ? strstr(accept_encoding, "gzip") : NULL;
    if (gzip == NULL)
        return FALSE;
    gzip += strlen("gzip");
    gzip += strspn(gzip, " ;");
    if (!g_str_has_prefix(gzip, "q=0"))
        return TRUE;
    return g_ascii_strtod(gzip + 2, NULL) > 0;
}

gboolean web_etag_matches(const char *if_none_match, const char *etag)
{
    if (if_none_match == NULL)
        return FALSE;
    return strcmp(if_none_match, "*") == 0 || strstr(if_none_match, etag) != NULL;
}

enum MHD_Result web_reply_known(struct MHD_Connection *connection, const char *etag)
{
    struct MHD_Response *response =
        MHD_create_response_from_buffer(0, NULL, MHD_RESPMEM_PERSISTENT);
    MHD_add_response_header(response, MHD_HTTP_HEADER_ETAG, etag);
    MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "no-cache");
    return queue(connection, MHD_HTTP_NOT_MODIFIED, response, NULL);
}

enum MHD_Result web_reply_file(struct MHD_Connection *connection, const web_file *file,
                               const char *accept_encoding, const char *if_none_match,
                               const char *cookie)
{
    gboolean packed = file->gzip != NULL && takes_gzip(accept_encoding);
    const char *etag = packed ? file->etag_gzip : file->etag;
    if (cookie == NULL && web_etag_matches(if_none_match, etag))
        return web_reply_known(connection, etag);

    struct MHD_Response *response =
        response_of_bytes(g_bytes_ref(packed ? file->gzip : file->plain));
    MHD_add_response_header(response, MHD_HTTP_HEADER_ETAG, etag);
    MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "no-cache");
    if (packed)
        MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_ENCODING, "gzip");
    if (file->gzip != NULL)
        MHD_add_response_header(response, MHD_HTTP_HEADER_VARY, "Accept-Encoding");
    if (cookie != NULL)
        MHD_add_response_header(response, MHD_HTTP_HEADER_SET_COOKIE, cookie);
    return queue(connection, MHD_HTTP_OK, response, file->type);
}

enum MHD_Result web_reply_bytes(struct MHD_Connection *connection, GBytes *bytes,
                                const char *type, const char *etag)
{
    struct MHD_Response *response = response_of_bytes(bytes);
    if (etag != NULL)
        MHD_add_response_header(response, MHD_HTTP_HEADER_ETAG, etag);
    MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL,
                            etag != NULL ? "no-cache" : "no-store");
    return queue(connection, MHD_HTTP_OK, response, type);
}

enum MHD_Result web_reply_events(struct MHD_Connection *connection,
                                 struct MHD_Response *response)
{
    MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "no-store");
    return queue(connection, MHD_HTTP_OK, response, "text/event-stream");
}
