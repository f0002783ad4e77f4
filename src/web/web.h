/* web/web.h: the server behind the page. It answers the actions of app as documents under
 * /api, runs long ones on a queue, tells of changes as they happen, and serves the page
 * itself, which is compiled in. docs/openapi.json describes what it answers. */
#pragma once

#include "app/app.h"

#include <glib.h>
#include <stdbool.h>
#include <stdint.h>

/** A running server. */
typedef struct web_server web_server;

typedef struct web_options {
    uint16_t port; /* 0 takes any free one */
    bool lan;      /* listen to the network too, not to this machine alone */
    const char *const
        *hosts;   /* more names that the page may be asked for by, to NULL; or NULL */
    bool verbose; /* log every request, not only changes, refusals and faults */
    bool quiet;   /* log faults alone */
} web_options;

/**
 * Starts serving the book, in threads of its own, and returns. Loopback is served on
 * 127.0.0.1 and, where the machine has it, on ::1.
 *
 * @self     the open book; must stay open until web_server_stop() has returned
 * @options  copied
 *
 * Errors: WEB_PORT_IN_USE, WEB_NO_ADDRESS, FILE_UNWRITABLE when there is no room for
 * temporary files. Free with web_server_stop(). Logs to standard error.
 */
web_server *web_server_start(app *self, const web_options *options,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The port that it listens on. */
uint16_t web_server_port(const web_server *server);

/**
 * Where the page is to be had, best first: "http://localhost:8766/", and with lan one
 * for each address of this machine in the network. NULL-terminated, free with
 * g_strfreev().
 */
char **web_server_addresses(const web_server *server);

/**
 * Stops: asks what runs on the queue to end, waits for it, closes every connection and
 * frees the server. NULL is fine.
 */
void web_server_stop(web_server *server);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(web_server, web_server_stop)
