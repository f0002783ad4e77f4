#include "web/request-internal.h"

#include "web/guard-internal.h"
#include "web/reply-internal.h"
#include "web/route-internal.h"
#include "web/target-internal.h"

#include "base/error.h"

#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <sys/socket.h>
#include <unistd.h>

enum { KEY_LONGEST = 80 };

/* Safe to log and to tell, where what was sent might be neither. */
static const char NO_METHOD[] = "?";

/* What we look at of the headers; texts live as long as the request. */
typedef struct headers {
    const char *host, *origin, *fetch_site, *fetch_mode;
    const char *type, *length, *transfer_encoding;
    const char *accept_encoding, *if_none_match, *expect, *cookie;
    const char *key; /* of a change that may come again */
    int hosts, lengths;
    bool malformed; /* a name that is none */
} headers;

typedef struct request {
    web_server *server;
    struct MHD_Connection *connection;
    web_guest *guest;
    char *method; /* NO_METHOD when what was sent is none */
    gint64 began_us;
    headers headers;
    web_target target;
    const web_route *route; /* or else a file */
    const web_file *file;
    int64_t device; /* that was paired; 0 for this machine */
    bool unpaired;  /* `file` is the page that says how to pair */
    json_t *fields; /* of the path */
    uint64_t length;
    GByteArray *body;
    char *photo; /* the file that a photo's body goes to */
    int photo_fd;
    GError *refusal; /* to be answered when the body has come to its end */
    char *allow;
    web_seat *seat;
    web_job *job; /* that the answer waits for */
} request;

static gboolean refuse(GError **error, motley_error code, const char *what)
{
    g_set_error_literal(error, MOTLEY_ERROR, (int)code, what);
    return FALSE;
}

/* --- headers --- */

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
    headers *seen = data;
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
           refuse(error, MOTLEY_ERROR_WEB_HEADERS,
                  "Idempotency-Key has 1 to 80 letters without spaces.");
}

/* Refuses what leaves open where the request ends or whom it is for. The library takes
 * the first of two lengths, others may take the last. */
static gboolean check_framing(const request *r, GError **error)
{
    const headers *h = &r->headers;
    if (strcmp(r->method, NO_METHOD) == 0)
        return refuse(error, MOTLEY_ERROR_WEB_HEADERS, "The method is no word.");
    if (h->malformed)
        return refuse(error, MOTLEY_ERROR_WEB_HEADERS, "A header has no proper name.");
    if (h->hosts > 1)
        return refuse(error, MOTLEY_ERROR_WEB_HEADERS, "Host is given twice.");
    if (h->lengths > 1)
        return refuse(error, MOTLEY_ERROR_WEB_HEADERS, "Content-Length is given twice.");
    if (h->lengths > 0 && h->transfer_encoding != NULL)
        return refuse(error, MOTLEY_ERROR_WEB_HEADERS,
                      "Content-Length and Transfer-Encoding are both given.");
    if (h->transfer_encoding != NULL)
        return refuse(error, MOTLEY_ERROR_WEB_LENGTH_REQUIRED,
                      "The body comes without its length.");
    size_t bytes =
        MHD_get_connection_info(r->connection, MHD_CONNECTION_INFO_REQUEST_HEADER_SIZE)
            ->header_size;
    if (bytes > r->server->limits.header_bytes)
        return refuse(error, MOTLEY_ERROR_WEB_HEADERS_LARGE,
                      "The headers are too large.");
    return check_key(h->key, error);
}

/* The address that the client reached us at, as a Host names it. Free with g_free(). */
static char *own_address(const request *r)
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

static bool is_change(const char *method)
{
    return strcmp(method, "GET") != 0 && strcmp(method, "HEAD") != 0;
}

static gboolean check_asker(const request *r, GError **error)
{
    const headers *h = &r->headers;
    web_asked asked = {
        .changes = is_change(r->method),
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
    /* Addresses change while the server runs; the one it was reached at is its own. */
    g_autofree char *address = own_address(r);
    const char *const names[] = { address, NULL };
    g_clear_error(error);
    return web_guard(&asked, names, error);
}

/* The token of our cookie, or NULL; free with g_free(). Cookies know no ports, so the
 * name does: two servers of one machine have a cookie each. */
static char *token_of(const request *r)
{
    g_autofree char *name = g_strdup_printf("motley_%d=", web_door_port(r->server->door));
    g_auto(GStrv) cookies =
        g_strsplit(r->headers.cookie != NULL ? r->headers.cookie : "", ";", -1);
    for (char **one = cookies; *one != NULL; one++)
        if (g_str_has_prefix(g_strstrip(*one), name))
            return g_strdup(*one + strlen(name));
    return NULL;
}

static gboolean choose_route(request *r, GError **error)
{
    r->file = web_files_find(r->server->files, r->target.segments);
    if (r->file != NULL) {
        if (!is_change(r->method))
            return TRUE;
        r->allow = g_strdup("GET, HEAD");
    } else {
        r->route = web_route_find(r->method, r->target.segments, r->fields, &r->allow);
        if (r->route != NULL)
            return TRUE;
    }
    if (r->allow == NULL)
        return refuse(error, MOTLEY_ERROR_WEB_NO_SUCH_PAGE, "There is no such page.");
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_METHOD, "%s is not done here.",
                r->method);
    return FALSE;
}

/* What is not of this machine needs a session, but for what pairing itself takes. */
static gboolean check_device(request *r, GError **error)
{
    static const char *const open[] = { "pair.js", "pair.css", "icon.svg" };
    if (web_guest_is_here(r->guest) ||
        (r->route != NULL && r->route->kind == WEB_ROUTE_CLAIM))
        return TRUE;
    for (size_t i = 0; i < G_N_ELEMENTS(open); i++)
        if (r->file != NULL && g_strcmp0(r->target.segments[0], open[i]) == 0)
            return TRUE;
    g_autofree char *token = token_of(r);
    if (token != NULL)
        r->device = app_device_of(r->server->app, token);
    if (r->device != 0)
        return TRUE;
    char *path[] = { (char *)"pair.html", NULL };
    r->file = is_change(r->method) || g_strcmp0(r->target.segments[0], "api") == 0
                  ? NULL
                  : web_files_find(r->server->files, path);
    r->unpaired = r->file != NULL;
    return r->unpaired ||
           refuse(error, MOTLEY_ERROR_WEB_NOT_PAIRED, "This device is not paired.");
}

/* Who may not come in does not hear what there is either. */
static gboolean choose(request *r, GError **error)
{
    g_autoptr(GError) unknown = NULL;
    gboolean known = choose_route(r, &unknown);
    if (!check_device(r, error))
        return FALSE;
    if (!known && !r->unpaired)
        g_propagate_error(error, g_steal_pointer(&unknown));
    return known || r->unpaired;
}

/* --- bodies --- */

static bool is_type(const char *given, const char *type)
{
    size_t length = strcspn(given, "; ");
    return strlen(type) == length && g_ascii_strncasecmp(given, type, length) == 0;
}

static gboolean check_body(request *r, GError **error)
{
    const web_limits *limits = &r->server->limits;
    bool photo = r->route != NULL && r->route->kind == WEB_ROUTE_PHOTO;
    if (photo && r->headers.lengths == 0)
        return refuse(error, MOTLEY_ERROR_WEB_LENGTH_REQUIRED,
                      "The photo comes without its length.");
    if (r->length > (photo ? limits->photo_bytes : limits->json_bytes))
        return refuse(error, MOTLEY_ERROR_WEB_BODY_LARGE, "The body is too large.");
    if (r->length == 0)
        return TRUE;
    const char *type = r->headers.type;
    if (photo && type != NULL && !is_type(type, "image/jpeg") &&
        !is_type(type, "image/png"))
        return refuse(error, MOTLEY_ERROR_WEB_BODY_TYPE,
                      "The photo is neither JPEG nor PNG.");
    if (!photo && (type == NULL || !is_type(type, "application/json")))
        return refuse(error, MOTLEY_ERROR_WEB_BODY_TYPE, "The body is no JSON.");
    return TRUE;
}

static gboolean fail_to_keep(GError **error)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE,
                "The photo cannot be kept: %s.", g_strerror(errno));
    return FALSE;
}

/* Opens the photo's file, which nobody else may read. */
static gboolean open_photo(request *r, GError **error)
{
    if (r->route == NULL || r->route->kind != WEB_ROUTE_PHOTO)
        return TRUE;
    r->photo = g_build_filename(r->server->folder, "photo-XXXXXX", NULL);
    r->photo_fd = g_mkstemp_full(r->photo, O_RDWR | O_CLOEXEC, 0600);
    if (r->photo_fd >= 0)
        return TRUE;
    g_clear_pointer(&r->photo, g_free);
    return fail_to_keep(error);
}

static gboolean write_photo(request *r, const char *bytes, size_t size, GError **error)
{
    while (size > 0) {
        ssize_t n = write(r->photo_fd, bytes, size);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return fail_to_keep(error);
        bytes += n;
        size -= (size_t)n;
    }
    return TRUE;
}

static void take_body(request *r, const char *bytes, size_t size)
{
    web_guest_body_came(r->guest, size);
    if (r->refusal != NULL)
        return;
    if (r->photo != NULL) {
        if (!write_photo(r, bytes, size, &r->refusal)) {
            unlink(r->photo);
            g_clear_pointer(&r->photo, g_free);
        }
        return;
    }
    if (r->body == NULL)
        r->body = g_byte_array_sized_new((guint)r->length);
    g_byte_array_append(r->body, (const guint8 *)bytes, (guint)size);
}

/* What on the command line names a file would name one of this machine, which a page has
 * no business with. */
static gboolean names_a_file(const json_t *fields)
{
    static const char *const files[] = { "file", "output", "photos" };
    for (size_t i = 0; i < G_N_ELEMENTS(files); i++)
        if (json_object_get(fields, files[i]) != NULL)
            return TRUE;
    return json_is_string(json_object_get(fields, "outline"));
}

/* What an action is called with: the body's fields, over them those of the query, over
 * them those of the path. Free with json_decref(). */
static json_t *gather_fields(const request *r, GError **error)
{
    json_t *all = NULL;
    if (r->body != NULL) {
        json_error_t wrong;
        all = json_loadb((const char *)r->body->data, r->body->len,
                         JSON_REJECT_DUPLICATES, &wrong);
        if (!json_is_object(all)) {
            json_decref(all);
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_BODY_UNREADABLE,
                        "The body is no JSON object: %s, at byte %d.",
                        all == NULL ? wrong.text : "something else",
                        all == NULL ? wrong.position : 0);
            return NULL;
        }
    } else {
        all = json_object();
    }
    json_object_update(all, r->target.query);
    json_object_update(all, r->fields);
    if (names_a_file(all)) {
        json_decref(all);
        refuse(error, MOTLEY_ERROR_WEB_FILE_NAMED, "A file is named.");
        return NULL;
    }
    return all;
}

/* --- answers --- */

static enum MHD_Result answer_error(request *r, GError *error)
{
    enum MHD_Result result = web_reply_error(r->connection, error, r->allow, FALSE);
    if (motley_error_exit_status(error) == 1 && !r->server->quiet)
        web_log("%s: %s", motley_error_code(error), error->message);
    g_error_free(error);
    return result;
}

static enum MHD_Result submit(request *r, web_work *work, web_job **ret_job)
{
    GError *error = NULL;
    *ret_job = web_jobs_submit(r->server->jobs, work, &error);
    return *ret_job != NULL ? MHD_YES : answer_error(r, error);
}

static enum MHD_Result answer_queued(request *r, web_work *work)
{
    g_autoptr(web_job) job = NULL;
    enum MHD_Result result = submit(r, work, &job);
    return job != NULL ? web_reply_job(r->connection, web_job_id(job)) : result;
}

static const app_action *find_action(const char *name, GError **error)
{
    const app_action *action = app_action_find(name);
    if (action == NULL)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_INTERNAL,
                    "The action %s is missing.", name);
    return action;
}

/* Of what an answer is that depends on the book. Free with g_free(). */
static char *etag_of(const request *r, web_stamp stamp)
{
    return g_strdup_printf("\"%s-%" PRId64 "-%d\"", r->server->start, stamp.revision,
                           stamp.day);
}

/* Whether the client has the answer already. Revision 0 may stand for one that could not
 * be read, so nothing is known by it. */
static bool is_known(const request *r, web_stamp stamp, const char *etag)
{
    return !is_change(r->method) && stamp.revision != 0 &&
           web_etag_matches(r->headers.if_none_match, etag);
}

static enum MHD_Result answer_change(request *r, const app_action *action,
                                     const json_t *fields)
{
    GError *error = NULL;
    app_call call = { .request = fields };
    json_t *document = NULL;
    if (!app_run_once(r->server->app, action, r->headers.key, &call, &document, &error))
        return answer_error(r, error);
    web_events_changed(r->server->events);
    return web_reply_document(r->connection, MHD_HTTP_OK, document);
}

/* What only reads the book is worked out once for each state of the book. */
static enum MHD_Result answer_reading(request *r, const app_action *action,
                                      const json_t *fields)
{
    web_stamp stamp = web_stamp_now(app_revision(r->server->app));
    g_autofree char *etag = etag_of(r, stamp);
    if (is_known(r, stamp, etag))
        return web_reply_known(r->connection, etag);
    char *asked = json_dumps(fields, JSON_COMPACT | JSON_SORT_KEYS);
    g_autofree char *key = g_strconcat(action->name, " ", asked, NULL);
    free(asked);

    GBytes *text = web_memo_get(r->server->memo, key, stamp);
    if (text == NULL) {
        GError *error = NULL;
        app_call call = { .request = fields };
        json_t *document = NULL;
        if (!action->run(r->server->app, &call, &document, &error))
            return answer_error(r, error);
        text = web_document_text(document);
        web_memo_put(r->server->memo, key, stamp, text);
    }
    return web_reply_text(r->connection, text, etag);
}

static enum MHD_Result answer_action(request *r)
{
    GError *error = NULL;
    const app_action *action = find_action(r->route->name, &error);
    if (action == NULL)
        return answer_error(r, error);
    json_t *fields = gather_fields(r, &error);
    if (fields == NULL)
        return answer_error(r, error);
    if (action->slow) {
        g_auto(web_work) work = { .action = action, .request = fields };
        return answer_queued(r, &work);
    }
    enum MHD_Result result = action->changes ? answer_change(r, action, fields)
                                             : answer_reading(r, action, fields);
    json_decref(fields);
    return result;
}

/* What only the server knows is told to the action: who asks, and where it listens. */
static enum MHD_Result answer_devices(request *r)
{
    GError *error = NULL;
    const app_action *action = find_action(r->route->name, &error);
    json_t *fields = action != NULL ? gather_fields(r, &error) : NULL;
    if (fields == NULL)
        return answer_error(r, error);
    json_object_set_new(fields, "here", json_integer(r->device));
    json_object_set_new(fields, "lan", json_boolean(r->server->lan));
    json_object_set_new(fields, "port", json_integer(web_door_port(r->server->door)));
    enum MHD_Result result = action->changes ? answer_change(r, action, fields)
                                             : answer_reading(r, action, fields);
    json_decref(fields);
    return result;
}

enum {
    TOKEN_BYTES = 32,
    COOKIE_SECONDS = 400 * 24 * 60 * 60, /* browsers keep none for longer */
};

/* The token is known to the device alone; the book gets its hash. */
static enum MHD_Result answer_claim(request *r)
{
    GError *error = NULL;
    const char *address = web_guest_address(r->guest);
    gint64 now = g_get_monotonic_time();
    if (!web_guesses_may(r->server->guesses, address, now)) {
        refuse(&error, MOTLEY_ERROR_WEB_GUESSES, "Too many wrong codes were tried.");
        return answer_error(r, error);
    }
    const app_action *action = find_action(r->route->name, &error);
    json_t *fields = action != NULL ? gather_fields(r, &error) : NULL;
    if (fields == NULL)
        return answer_error(r, error);

    uint8_t bytes[TOKEN_BYTES];
    char token[2 * TOKEN_BYTES + 1];
    ssize_t got = getrandom(bytes, sizeof bytes, 0);
    g_assert(got == sizeof bytes);
    for (size_t i = 0; i < sizeof bytes; i++)
        g_snprintf(token + 2 * i, 3, "%02x", bytes[i]);
    g_autofree char *hash = g_compute_checksum_for_string(G_CHECKSUM_SHA256, token, -1);
    json_object_set_new(fields, "token_sha256", json_string(hash));
    app_call call = { .request = fields };
    json_t *document = NULL;
    gboolean paired =
        app_run_once(r->server->app, action, NULL, &call, &document, &error);
    json_decref(fields);
    if (!paired) {
        if (g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_PAIR_CODE))
            web_guesses_wrong(r->server->guesses, address, now);
        return answer_error(r, error);
    }
    web_events_changed(r->server->events);
    g_autofree char *cookie =
        g_strdup_printf("motley_%d=%s; Path=/; Max-Age=%d; HttpOnly; SameSite=Strict",
                        web_door_port(r->server->door), token, COOKIE_SECONDS);
    return web_reply_paired(r->connection, document, cookie);
}

static enum MHD_Result answer_photo(request *r)
{
    GError *error = NULL;
    const app_action *action = find_action(r->route->name, &error);
    if (action == NULL)
        return answer_error(r, error);

    json_t *fields = json_copy(r->target.query);
    const char *name = json_string_value(json_object_get(fields, "name"));
    json_object_set_new(fields, "names", json_pack("[s]", name != NULL ? name : "photo"));
    json_object_del(fields, "name");
    json_object_set_new(fields, "photos", json_pack("[s]", r->photo));
    json_object_set_new(fields, "keep", json_true());
    json_object_update(fields, r->fields);
    g_auto(web_work) work = {
        .action = action,
        .request = fields,
        .temporary = g_steal_pointer(&r->photo),
    };
    return answer_queued(r, &work);
}

/* A picture may change with every revision of the book, but not within one. */
static enum MHD_Result answer_picture(request *r)
{
    web_stamp stamp = web_stamp_now(app_revision(r->server->app));
    g_autofree char *etag = etag_of(r, stamp);
    if (is_known(r, stamp, etag))
        return web_reply_known(r->connection, etag);

    GError *error = NULL;
    json_t *fields = gather_fields(r, &error);
    if (fields == NULL)
        return answer_error(r, error);
    app_call call = { .request = fields };
    const char *type = NULL;
    GBytes *bytes = app_render(r->server->app, r->route->name, &call, &type, &error);
    json_decref(fields);
    if (bytes == NULL)
        return answer_error(r, error);
    return web_reply_bytes(r->connection, bytes, type, etag);
}

/* Called again when the sheet is drawn, for then the connection is resumed. */
static enum MHD_Result answer_sheet(request *r)
{
    GError *error = NULL;
    if (r->job == NULL) {
        json_t *fields = gather_fields(r, &error);
        if (fields == NULL)
            return answer_error(r, error);
        const char *what = json_string_value(json_object_get(fields, "what"));
        g_auto(web_work) work = { .sheet = g_strconcat(what, r->route->name, NULL),
                                  .request = fields };
        enum MHD_Result result = submit(r, &work, &r->job);
        if (r->job == NULL)
            return result;
        r->seat = web_seat_new(r->server->hall, r->connection);
    }
    if (web_job_wait(r->job, r->seat))
        return MHD_YES;

    bool over;
    const char *type = NULL;
    GBytes *sheet = web_job_sheet(r->job, &type, &over, &error);
    if (sheet != NULL)
        return web_reply_bytes(r->connection, sheet, type, NULL);
    if (over)
        return answer_error(r, error);
    /* The client is gone, or the server stops. */
    return MHD_NO;
}

static web_job *find_job(request *r, GError **error)
{
    const char *id = json_string_value(json_object_get(r->fields, "job"));
    return web_jobs_find(r->server->jobs, id, error);
}

static enum MHD_Result answer_job(request *r)
{
    GError *error = NULL;
    g_autoptr(web_job) job = find_job(r, &error);
    if (job == NULL)
        return answer_error(r, error);
    if (r->route->kind == WEB_ROUTE_JOB_CANCEL)
        web_job_cancel(job);
    return web_reply_document(r->connection, MHD_HTTP_OK, web_job_document(job));
}

static enum MHD_Result answer_events(request *r)
{
    GError *error = NULL;
    g_autoptr(web_job) job = NULL;
    if (r->route->kind == WEB_ROUTE_JOB_EVENTS) {
        job = find_job(r, &error);
        if (job == NULL)
            return answer_error(r, error);
    }
    r->seat = web_seat_new(r->server->hall, r->connection);
    if (job != NULL)
        web_job_tell(job, r->seat);
    else
        web_events_tell(r->server->events, r->seat);
    return web_reply_events(r->connection, web_seat_response(r->seat));
}

static enum MHD_Result answer(request *r)
{
    if (r->refusal != NULL)
        return answer_error(r, g_steal_pointer(&r->refusal));
    if (r->unpaired)
        return web_reply_unpaired(r->connection, r->file);
    if (r->file != NULL)
        return web_reply_file(r->connection, r->file, r->headers.accept_encoding,
                              r->headers.if_none_match);
    switch (r->route->kind) {
    case WEB_ROUTE_ACTION:
        return answer_action(r);
    case WEB_ROUTE_DEVICES:
        return answer_devices(r);
    case WEB_ROUTE_CLAIM:
        return answer_claim(r);
    case WEB_ROUTE_PICTURE:
        return answer_picture(r);
    case WEB_ROUTE_SHEET:
        return answer_sheet(r);
    case WEB_ROUTE_PHOTO:
        return answer_photo(r);
    case WEB_ROUTE_CHANGES:
    case WEB_ROUTE_JOB_EVENTS:
        return answer_events(r);
    case WEB_ROUTE_JOB:
    case WEB_ROUTE_JOB_CANCEL:
        return answer_job(r);
    }
    return MHD_NO;
}

/* --- life --- */

static request *request_new(web_server *server, struct MHD_Connection *connection,
                            const char *method)
{
    request *r = g_new0(request, 1);
    r->server = server;
    r->connection = connection;
    r->guest = web_guest_of(connection);
    r->method = g_strdup(is_token(method, strlen(method)) ? method : NO_METHOD);
    r->began_us = g_get_monotonic_time();
    r->fields = json_object();
    r->photo_fd = -1;
    return r;
}

static void request_free(request *r)
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
static enum MHD_Result begin(request *r)
{
    MHD_get_connection_values_n(r->connection, MHD_HEADER_KIND, note_header, &r->headers);
    g_autoptr(GError) error = NULL;
    if (!check_framing(r, &error))
        return web_reply_error(r->connection, error, NULL, TRUE);

    /* The library has checked that it is a number. */
    r->length =
        r->headers.lengths > 0 ? g_ascii_strtoull(r->headers.length, NULL, 10) : 0;
    if (web_target_parse(web_guest_target(r->guest), &r->target, &r->refusal) &&
        check_asker(r, &r->refusal) && choose(r, &r->refusal) &&
        check_body(r, &r->refusal) && open_photo(r, &r->refusal)) {
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
    request *r = *context;
    if (r == NULL) {
        r = *context = request_new(server, connection, method);
        return begin(r);
    }
    if (*upload_size > 0) {
        take_body(r, upload, *upload_size);
        *upload_size = 0;
        return MHD_YES;
    }
    web_guest_request_came(r->guest);
    return answer(r);
}

static void log_request(const request *r)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(r->connection, MHD_CONNECTION_INFO_HTTP_STATUS);
    unsigned status = info != NULL ? info->http_status : 0;
    bool fault = status >= 500;
    bool worth = fault || status >= 400 || is_change(r->method) || r->server->verbose;
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
    request *r = *context;
    if (r == NULL)
        return;
    log_request(r);
    web_guest_answered(r->guest);
    request_free(r);
    *context = NULL;
}
