/* web/request-internal.h: one request, from its headers to its answer. request.c has the
 * callbacks of the library below, whose closure is the server; gate.c says who comes in,
 * body.c takes what was sent, answer.c answers. */
#pragma once

#include "web/route-internal.h"
#include "web/server-internal.h"
#include "web/target-internal.h"

#include "base/error.h"

/** The method of a request that brought none: safe to log and to tell, where what was
 * sent might be neither. */
#define WEB_NO_METHOD "?"

/** What we look at of the headers; texts live as long as the request. */
typedef struct web_headers {
    const char *host, *origin, *fetch_site, *fetch_mode;
    const char *type, *length, *transfer_encoding;
    const char *accept_encoding, *if_none_match, *expect, *cookie;
    const char *key; /* of a change that may come again */
    int hosts, lengths;
    bool malformed; /* a name that is none */
} web_headers;

typedef struct web_request {
    web_server *server;
    struct MHD_Connection *connection;
    web_guest *guest;
    char *method; /* WEB_NO_METHOD when what was sent is none */
    gint64 began_us;
    web_headers headers;
    web_target target;
    const web_route *route; /* or else a file */
    const web_file *file;
    int64_t device; /* that was paired; 0 for none */
    char *token;    /* that the device showed; NULL for none */
    bool unpaired;  /* `file` is the page that says how to pair */
    json_t *fields; /* of the path */
    uint64_t length;
    GByteArray *body;
    char *photo; /* the file that a photo's body goes to */
    int photo_fd;
    GError *refusal; /* to be answered when the body has come to its end */
    char *allow;     /* for the header Allow of a refusal, or NULL */
    web_seat *seat;
    web_job *job; /* that the answer waits for */
} web_request;

/** An MHD_AccessHandlerCallback. */
enum MHD_Result web_request_handle(void *server, struct MHD_Connection *connection,
                                   const char *url, const char *method,
                                   const char *version, const char *upload,
                                   size_t *upload_size, void **context);

/** An MHD_RequestCompletedCallback. */
void web_request_completed(void *server, struct MHD_Connection *connection,
                           void **context, enum MHD_RequestTerminationCode code);

/** Whether its method is neither GET nor HEAD. */
bool web_request_changes(const web_request *r);

/** Sets the error and returns FALSE. */
gboolean web_refuse(GError **error, motley_error code, const char *what);

/* --- gate.c --- */

/** Refuses what leaves open where the request ends or whom it is for; after that, the
 * connection cannot be gone on with. */
gboolean web_gate_framing(const web_request *r, GError **error);

/**
 * Judges who asks (web_guard()) and for what, and writes `device`, and `route`, `file` or
 * `unpaired`. Only paired devices come in, also of this machine, which other people and
 * programs share; but for what pairing itself takes. Who may not come in does not hear
 * what there is either.
 */
gboolean web_gate_enter(web_request *r, GError **error);

/* --- body.c --- */

/** Judges what the headers say of the body, and opens the file that a photo goes to. */
gboolean web_body_expect(web_request *r, GError **error);

/** Takes a part of it. What goes wrong becomes the refusal; what comes after one is let
 * go. */
void web_body_take(web_request *r, const char *bytes, size_t size);

/** What an action is called with: the body's fields, over them those of the query, over
 * them those of the path. Free with json_decref(). */
json_t *web_body_fields(const web_request *r, GError **error);

/* --- answer.c --- */

/** Answers; called again when what it waits for is there, for then the connection is
 * resumed. */
enum MHD_Result web_answer(web_request *r);
