#include "web/request-internal.h"

#include "web/reply-internal.h"

#include "base/error.h"
#include "base/secret.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

static enum MHD_Result answer_error(web_request *r, GError *error)
{
    enum MHD_Result result = web_reply_error(r->connection, error, r->allow, FALSE);
    if (motley_error_exit_status(error) == 1 && !r->server->quiet)
        web_log("%s: %s", motley_error_code(error), error->message);
    g_error_free(error);
    return result;
}

static enum MHD_Result submit(web_request *r, web_work *work, web_job **ret_job)
{
    GError *error = NULL;
    *ret_job = web_jobs_submit(r->server->jobs, work, &error);
    return *ret_job != NULL ? MHD_YES : answer_error(r, error);
}

static enum MHD_Result answer_queued(web_request *r, web_work *work)
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
static char *etag_of(const web_request *r, web_stamp stamp)
{
    return g_strdup_printf("\"%s-%" PRId64 "-%d\"", r->server->start, stamp.revision,
                           stamp.day);
}

/* Whether the client has the answer already. Revision 0 may stand for one that could not
 * be read, so nothing is known by it. */
static bool is_known(const web_request *r, web_stamp stamp, const char *etag)
{
    return !web_request_changes(r) && stamp.revision != 0 &&
           web_etag_matches(r->headers.if_none_match, etag);
}

static enum MHD_Result answer_change(web_request *r, const app_action *action,
                                     const json_t *fields)
{
    GError *error = NULL;
    app_call call = { .request = fields };
    json_t *document = NULL;
    if (!app_run_once(r->server->app, action, r->headers.key, &call, &document, &error))
        return answer_error(r, error);
    web_server_book_changed(r->server);
    return web_reply_document(r->connection, MHD_HTTP_OK, document);
}

/* What only reads the book is worked out once for each state of the book. */
static enum MHD_Result answer_reading(web_request *r, const app_action *action,
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

static enum MHD_Result answer_action(web_request *r)
{
    GError *error = NULL;
    const app_action *action = find_action(r->route->name, &error);
    if (action == NULL)
        return answer_error(r, error);
    json_t *fields = web_body_fields(r, &error);
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
static enum MHD_Result answer_devices(web_request *r)
{
    GError *error = NULL;
    const app_action *action = find_action(r->route->name, &error);
    json_t *fields = action != NULL ? web_body_fields(r, &error) : NULL;
    if (fields == NULL)
        return answer_error(r, error);
    json_object_set_new(fields, "here", json_integer(r->device));
    json_object_set_new(fields, "lan", json_boolean(r->server->lan));
    json_object_set_new(fields, "always", json_boolean(r->server->always_lan));
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

/* What makes a device bring its token; free with g_free(). */
static char *cookie_of(const web_request *r, const char *token)
{
    return g_strdup_printf("motley_%d=%s; Path=/; Max-Age=%d; HttpOnly; SameSite=Strict",
                           web_door_port(r->server->door), token, COOKIE_SECONDS);
}

/* The token is known to the device alone; the book gets its hash. */
static enum MHD_Result answer_claim(web_request *r)
{
    GError *error = NULL;
    const char *address = web_guest_address(r->guest);
    gint64 now = g_get_monotonic_time();
    if (!web_guesses_may(r->server->guesses, address, now)) {
        web_refuse(&error, MOTLEY_ERROR_WEB_GUESSES, "Too many wrong codes were tried.");
        return answer_error(r, error);
    }
    const app_action *action = find_action(r->route->name, &error);
    json_t *fields = action != NULL ? web_body_fields(r, &error) : NULL;
    if (fields == NULL)
        return answer_error(r, error);

    char token[2 * TOKEN_BYTES + 1];
    motley_secret(TOKEN_BYTES, token);
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
    g_autofree char *cookie = cookie_of(r, token);
    return web_reply_paired(r->connection, document, cookie);
}

static enum MHD_Result answer_photo(web_request *r)
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
static enum MHD_Result answer_picture(web_request *r)
{
    web_stamp stamp = web_stamp_now(app_revision(r->server->app));
    g_autofree char *etag = etag_of(r, stamp);
    if (is_known(r, stamp, etag))
        return web_reply_known(r->connection, etag);

    GError *error = NULL;
    json_t *fields = web_body_fields(r, &error);
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

/* Called again when the sheet is drawn. */
static enum MHD_Result answer_sheet(web_request *r)
{
    GError *error = NULL;
    if (r->job == NULL) {
        json_t *fields = web_body_fields(r, &error);
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

static web_job *find_job(web_request *r, GError **error)
{
    const char *id = json_string_value(json_object_get(r->fields, "job"));
    return web_jobs_find(r->server->jobs, id, error);
}

static enum MHD_Result answer_job(web_request *r)
{
    GError *error = NULL;
    g_autoptr(web_job) job = find_job(r, &error);
    if (job == NULL)
        return answer_error(r, error);
    if (r->route->kind == WEB_ROUTE_JOB_CANCEL)
        web_job_cancel(job);
    return web_reply_document(r->connection, MHD_HTTP_OK, web_job_document(job));
}

static enum MHD_Result answer_events(web_request *r)
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

/* The page itself brings its cookie anew each time that it is opened, so that a device
 * which is used stays let in. */
static enum MHD_Result answer_file(web_request *r)
{
    bool is_page = r->device != 0 && g_str_has_prefix(r->file->type, "text/html");
    g_autofree char *cookie = is_page ? cookie_of(r, r->token) : NULL;
    return web_reply_file(r->connection, r->file, r->headers.accept_encoding,
                          r->headers.if_none_match, cookie);
}

enum MHD_Result web_answer(web_request *r)
{
    if (r->refusal != NULL)
        return answer_error(r, g_steal_pointer(&r->refusal));
    if (r->unpaired)
        return web_reply_unpaired(r->connection, r->file);
    if (r->file != NULL)
        return answer_file(r);
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
