/* main.c: ties the command line to the server, which know nothing of each other. */
#include "cli/cli.h"
#include "web/web.h"

#include "base/error.h"
#include "photo/apart.h"

#include <errno.h>
#include <glib-unix.h>
#include <locale.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <sys/resource.h>

/* A first copy of the book soon, when the page is up; from then on a look each hour. */
enum { FIRST_COPY_S = 60, NEXT_LOOK_S = 3600, LEAST_PRIORITY = 19 };

typedef struct warming {
    app *book;
    atomic_bool stop;
} warming;

static gboolean quit(gpointer loop)
{
    g_main_loop_quit(loop);
    return G_SOURCE_REMOVE;
}

static gboolean read_port(const json_t *request, uint16_t *ret_port, GError **error)
{
    const char *text = json_string_value(json_object_get(request, "port"));
    gint64 port = 0;
    if (text == NULL)
        return TRUE;
    if (!g_ascii_string_to_signed(text, 10, 0, 65535, &port, NULL)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "port: \"%.40s\" is no port from 0 to 65535.", text);
        return FALSE;
    }
    *ret_port = (uint16_t)port;
    return TRUE;
}

/* What goes wrong with a daily copy is told and tried again; the work goes on. */
static gboolean copy_daily(gpointer book)
{
    g_autoptr(GError) error = NULL;
    if (!app_daily_copy(book, &error))
        fprintf(stderr, "motley: no daily copy of the book: %s\n", error->message);
    return G_SOURCE_CONTINUE;
}

/* At the least priority, which on Linux is a thread's own: the first page comes first. */
static gpointer warm(gpointer data)
{
    warming *self = data;
    setpriority(PRIO_PROCESS, 0, LEAST_PRIORITY);
    app_warm(self->book, &self->stop);
    return NULL;
}

static gboolean copy_first(gpointer book)
{
    copy_daily(book);
    return G_SOURCE_REMOVE;
}

/* Tells how the browser of this computer gets in, as it is to be typed. */
static void tell_how(const json_t *request, uint16_t port)
{
    const char *book = json_string_value(json_object_get(request, "book"));
    g_autofree char *quoted = book != NULL ? g_shell_quote(book) : NULL;
    fprintf(stderr, "For a browser of this computer that is new to it: %s open",
            program_invocation_name);
    if (port != APP_PORT)
        fprintf(stderr, " --port %d", port);
    fprintf(stderr, "%s%s\n", quoted != NULL ? " --book " : "",
            quoted != NULL ? quoted : "");
}

/* This program's own call, so that a book that takes no change lets her in too. */
static gboolean show_page(app *book, const json_t *options, uint16_t port, GError **error)
{
    json_t *request = json_pack("{s:i, s:b}", "port", (int)port, "serves", 1);
    app_call call = { .request = request };
    json_t *document = NULL;
    gboolean done = app_action_find("open")->run(book, &call, &document, error);
    if (done && !cli_show_page(document, stdout))
        tell_how(options, port);
    json_decref(document);
    json_decref(request);
    return done;
}

/* Serves until a signal comes, printing one line with the address first. */
static gboolean serve(app *book, const json_t *request, GError **error)
{
    web_options options = { .port = APP_PORT,
                            .lan = json_is_true(json_object_get(request, "lan")),
                            .verbose = json_is_true(json_object_get(request, "verbose")),
                            .quiet = json_is_true(json_object_get(request, "quiet")) };
    if (!read_port(request, &options.port, error))
        return FALSE;
    bool open = json_is_true(json_object_get(request, "open"));
    g_autoptr(GError) failed = NULL;
    g_autoptr(web_server) server = web_server_start(book, &options, &failed);
    /* It may run as a service: then what she wants is its page. */
    if (open && g_error_matches(failed, MOTLEY_ERROR, MOTLEY_ERROR_WEB_PORT_IN_USE) &&
        show_page(book, request, options.port, NULL))
        return TRUE;
    if (server == NULL) {
        g_propagate_error(error, g_steal_pointer(&failed));
        return FALSE;
    }
    g_auto(GStrv) addresses = web_server_addresses(server);
    printf("Motley is at %s\n", addresses[0]);
    fflush(stdout);
    for (int i = 1; addresses[i] != NULL; i++)
        fprintf(stderr, "also at %s\n", addresses[i]);
    if (app_book_network(book) != NULL && !options.quiet)
        fprintf(stderr,
                "The book lies on a network disk (%s): while Motley runs here, no other "
                "machine can open it. A disk of this machine is faster and safer.\n",
                app_book_network(book));
    uint16_t port = web_server_port(server);
    if (open && !show_page(book, request, port, &failed))
        fprintf(stderr, "motley: no browser was opened: %s\n", failed->message);
    else if (!open && !options.quiet)
        tell_how(request, port);

    g_autoptr(GMainLoop) loop = g_main_loop_new(NULL, FALSE);
    g_unix_signal_add(SIGINT, quit, loop);
    g_unix_signal_add(SIGTERM, quit, loop);
    g_timeout_add_seconds(FIRST_COPY_S, copy_first, book);
    g_timeout_add_seconds(NEXT_LOOK_S, copy_daily, book);
    warming sums = { .book = book };
    GThread *thread = g_thread_new("warm", warm, &sums);
    g_main_loop_run(loop);
    atomic_store(&sums.stop, true);
    g_thread_join(thread);
    return TRUE;
}

int main(int argc, char **argv)
{
    photo_apart_start(); /* first: it is to hold nothing that we open */
    setlocale(LC_ALL, "");
    setlocale(LC_NUMERIC, "C"); /* JSON and lengths have decimal points everywhere */
    signal(SIGXFSZ, SIG_IGN);   /* a full disk is an error that is told, not an end */
    signal(SIGPIPE, SIG_IGN);
    return cli_run(argc, argv, serve, stdout, stderr);
}
