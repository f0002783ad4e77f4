#include "web/server-internal.h"

#include "web/lock-internal.h"
#include "web/request-internal.h"

#include "base/error.h"

#include <glib/gstdio.h>
#include <stdarg.h>
#include <string.h>
#include <unistd.h>

void web_log(const char *format, ...)
{
    g_autoptr(GDateTime) now = g_date_time_new_now_local();
    g_autofree char *time = g_date_time_format(now, "%H:%M:%S");
    va_list args;
    va_start(args, format);
    g_autofree char *text = g_strdup_vprintf(format, args);
    va_end(args);
    /* One call, so that the lines of several threads do not mix. */
    fprintf(stderr, "%s %s\n", time, text);
}

/* --- names --- */

static char **own_names(const web_options *options)
{
    g_autoptr(GStrvBuilder) names = g_strv_builder_new();
    g_strv_builder_add_many(names, "localhost", "127.0.0.1", "[::1]", NULL);
    for (const char *const *host = options->hosts; host != NULL && *host != NULL; host++)
        g_strv_builder_add(names, *host);
    return g_strv_builder_end(names);
}

static char **network_names(void)
{
    g_autoptr(GStrvBuilder) names = g_strv_builder_new();
    g_auto(GStrv) addresses = app_network_addresses();
    g_strv_builder_addv(names, (const char **)addresses);
    g_autofree char *local = g_strconcat(g_get_host_name(), ".local", NULL);
    g_strv_builder_add_many(names, g_get_host_name(), local, NULL);
    return g_strv_builder_end(names);
}

uint16_t web_server_port(const web_server *server)
{
    return web_door_port(server->door);
}

char **web_server_addresses(const web_server *server)
{
    int port = web_server_port(server);
    g_autoptr(GStrvBuilder) addresses = g_strv_builder_new();
    g_autofree char *here = g_strdup_printf("http://localhost:%d/", port);
    g_strv_builder_add(addresses, here);
    if (server->lan) {
        g_auto(GStrv) found = app_network_addresses();
        for (char **one = found; *one != NULL; one++) {
            g_autofree char *there = g_strdup_printf("http://%s:%d/", *one, port);
            g_strv_builder_add(addresses, there);
        }
    }
    return g_strv_builder_end(addresses);
}

/* --- callbacks --- */

/* Called when the first line of a request has come. What it returns would be the
 * request's context, but the library does not say when one ends whose headers never
 * come, so all is kept with the guest. */
static void *note_target(void *server, const char *target,
                         struct MHD_Connection *connection)
{
    (void)server;
    web_guest_line_came(web_guest_of(connection), target);
    return NULL;
}

/* web/target.c decodes the whole target; this keeps the library from doing it. */
static size_t leave_escaped(void *server, struct MHD_Connection *connection, char *text)
{
    (void)server;
    (void)connection;
    return strlen(text);
}

static void log_library(void *data, const char *format, va_list args)
{
    web_server *server = data;
    if (!server->verbose)
        return;
    g_autofree char *text = g_strdup_vprintf(format, args);
    web_log("%s", g_strchomp(text));
}

/* Listens to the network too, or to this machine alone, as the book's settings say now.
 * One that was started for the network stays there; where its address cannot be had it
 * says so in the log and stays as it is. */
static void follow_settings(web_server *server)
{
    bool lan = server->always_lan || app_in_network(server->app);
    WEB_LOCK(&server->moving);
    if (lan == server->lan || server->ending)
        return;
    g_autoptr(GError) failed = NULL;
    if (web_door_move(server->door, lan, &failed))
        server->lan = lan;
    else
        web_log("%s", failed->message);
}

void web_server_book_changed(web_server *server)
{
    follow_settings(server);
    web_events_changed(server->events);
}

static void job_changed(void *server)
{
    web_server_book_changed(server);
}

/* --- life --- */

/* Each daemon is one thread with an epoll of its own. Their connections come from the
 * door, which can listen to several addresses and count across all of them. */
static gboolean start_daemons(web_server *server, GError **error)
{
    for (int i = 0; i < WEB_DAEMONS; i++) {
        server->daemons[i] = MHD_start_daemon(
            MHD_USE_EPOLL_INTERNAL_THREAD | MHD_ALLOW_SUSPEND_RESUME |
                MHD_USE_NO_LISTEN_SOCKET | MHD_USE_ERROR_LOG,
            0, NULL, NULL, web_request_handle, server,
            /* first, so that it hears of the other options too */
            MHD_OPTION_EXTERNAL_LOGGER, log_library, server, MHD_OPTION_URI_LOG_CALLBACK,
            note_target, server, MHD_OPTION_UNESCAPE_CALLBACK, leave_escaped, server,
            MHD_OPTION_NOTIFY_CONNECTION, web_door_notify, server->door,
            MHD_OPTION_NOTIFY_COMPLETED, web_request_completed, server,
            MHD_OPTION_CONNECTION_LIMIT, (unsigned)server->limits.connections,
            MHD_OPTION_CONNECTION_TIMEOUT, server->limits.idle_s,
            /* room for headers over the limit, so that it is we who refuse them */
            MHD_OPTION_CONNECTION_MEMORY_LIMIT, 2 * server->limits.header_bytes,
            MHD_OPTION_END);
        if (server->daemons[i] == NULL) {
            g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_INTERNAL,
                                "The server could not start its threads.");
            return FALSE;
        }
    }
    return TRUE;
}

web_server *web_server_start_limited(app *self, const web_options *options,
                                     const web_limits *limits, GError **error)
{
    g_autoptr(web_server) server = g_new0(web_server, 1);
    server->app = self;
    server->verbose = options->verbose;
    server->quiet = options->quiet;
    server->limits = *limits;
    g_mutex_init(&server->moving);
    server->always_lan = options->lan;
    server->lan = options->lan || app_in_network(self);
    server->door = web_door_new(limits, options->port, server->lan, error);
    if (server->door == NULL)
        return NULL;
    server->folder = g_dir_make_tmp("motley-XXXXXX", NULL);
    if (server->folder == NULL) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE,
                    "No folder can be made for photos below %s.", g_get_tmp_dir());
        return NULL;
    }
    server->names = own_names(options);
    server->network_names = network_names();
    server->start = g_strdup_printf("%" G_GINT64_MODIFIER "x", g_get_real_time());
    server->files = web_files_new();
    server->memo = web_memo_new();
    server->guesses = web_guesses_new();
    server->hall = web_hall_new();
    server->events = web_events_new(self, server->hall);
    server->jobs = web_jobs_new(self, job_changed, server);
    if (!start_daemons(server, error))
        return NULL;
    web_door_open(server->door, server->daemons, WEB_DAEMONS);
    return g_steal_pointer(&server);
}

web_server *web_server_start(app *self, const web_options *options, GError **error)
{
    return web_server_start_limited(self, options, &web_limits_default, error);
}

/* The order matters: nobody new; nothing suspended, for no daemon may stop while it has
 * suspended connections; no job that could wake one; no guest who could still ask; and
 * only then the daemons. */
void web_server_stop(web_server *server)
{
    if (server == NULL)
        return;
    g_mutex_lock(&server->moving);
    server->ending = true;
    g_mutex_unlock(&server->moving);
    if (server->door != NULL)
        web_door_shut(server->door);
    if (server->hall != NULL)
        web_hall_close(server->hall);
    if (server->jobs != NULL)
        web_jobs_stop(server->jobs);
    if (server->door != NULL)
        web_door_clear(server->door);
    for (int i = 0; i < WEB_DAEMONS; i++)
        if (server->daemons[i] != NULL)
            MHD_stop_daemon(server->daemons[i]);
    g_clear_pointer(&server->jobs, web_jobs_free);
    g_clear_pointer(&server->events, web_events_free);
    g_clear_pointer(&server->hall, web_hall_free);
    g_clear_pointer(&server->files, web_files_free);
    g_clear_pointer(&server->memo, web_memo_free);
    g_clear_pointer(&server->guesses, web_guesses_free);
    g_clear_pointer(&server->door, web_door_free);
    if (server->folder != NULL)
        g_rmdir(server->folder);
    g_free(server->folder);
    g_free(server->start);
    g_strfreev(server->names);
    g_strfreev(server->network_names);
    g_mutex_clear(&server->moving);
    g_free(server);
}
