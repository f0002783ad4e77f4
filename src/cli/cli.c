#include "cli/cli.h"

#include "command-internal.h"
#include "text-internal.h"

#include "base/error.h"

#include <glib/gstdio.h>
#include <signal.h>
#include <string.h>
#include <unistd.h>

/* The only global of the room: a signal has no other way to reach the work. */
static atomic_bool is_stopped;

static int say_error(const cli_arguments *arguments, const GError *error, FILE *out,
                     FILE *err)
{
    json_t *document = app_error_document(error);
    if (arguments->json) {
        json_dumpf(document, out, JSON_INDENT(2) | JSON_REAL_PRECISION(10));
        fputc('\n', out);
    } else {
        const char *message, *hint, *code;
        json_unpack(document, "{s:{s:s, s:s, s:s}}", "error", "message", &message, "hint",
                    &hint, "code", &code);
        fprintf(err, "motley: %s\n        %s  (%s)\n", message, hint, code);
    }
    json_decref(document);
    return motley_error_exit_status(error);
}

static char *default_book(void)
{
    return g_build_filename(g_get_user_data_dir(), "motley", "motley.book", NULL);
}

/* Before it begins, for of a book of many years it takes a while, and nothing is served
 * meanwhile. */
static void tell_of_upgrade(const cli_arguments *arguments, const char *path, FILE *err)
{
    GStatBuf file = { 0 };
    g_stat(path, &file);
    fprintf(err,
            "%s (%.1f MB) is of an older Motley: it is brought up to date now, once; a "
            "copy of it as it was stays beside it.%s\n",
            path, (double)file.st_size / 1e6,
            strcmp(arguments->command->words, "serve") == 0
                ? " The page can be opened when its address appears here."
                : "");
    fflush(err);
}

/* Opens the book as the command needs it. A command that works without one gets an app
 * without a book where there is none. */
static app *open_book(const cli_arguments *arguments, FILE *err, GError **error)
{
    g_autofree char *standard = default_book();
    const char *path = arguments->book != NULL ? arguments->book : standard;
    if (!arguments->quiet && arguments->command->book != CLI_BOOK_NONE &&
        app_is_older(path))
        tell_of_upgrade(arguments, path, err);
    bool there = g_file_test(path, G_FILE_TEST_EXISTS);
    bool keeps = json_is_true(json_object_get(arguments->request, "keep"));
    cli_book book = arguments->command->book;

    if (book == CLI_BOOK_NONE)
        return app_open(NULL, APP_OPEN_EXISTING, error);
    if (!there && (book == CLI_BOOK_MAYBE ||
                   (strcmp(arguments->command->words, "measure") == 0 && !keeps)))
        return app_open(NULL, APP_OPEN_EXISTING, error);
    /* Where nothing is, a copy can be brought back as well. */
    if (book == CLI_BOOK_HURT && there)
        return app_open(path, APP_OPEN_HURT, error);
    if (book == CLI_BOOK_HURT)
        book = CLI_BOOK_MAKE;
    if (arguments->book == NULL) {
        g_autofree char *folder = g_path_get_dirname(standard);
        g_mkdir_with_parents(folder, 0700);
        return app_open(path, APP_OPEN_CREATE, error);
    }
    return app_open(path, book == CLI_BOOK_MAKE ? APP_OPEN_CREATE : APP_OPEN_EXISTING,
                    error);
}

static void show_progress(double done, const char *doing, void *data)
{
    FILE *err = data;
    fprintf(err, "\r%3.0f %%  %-50s", 100 * done, doing);
    if (done >= 1)
        fprintf(err, "\r%58s\r", "");
    fflush(err);
}

static void stop_working(int signal_number)
{
    (void)signal_number;
    atomic_store(&is_stopped, true);
}

/* From now on the first Ctrl-C asks the work to end, and the next one ends the program.
 */
static void let_stop(void)
{
    struct sigaction action = { .sa_handler = stop_working };
    sigemptyset(&action.sa_mask);
    action.sa_flags = (int)SA_RESETHAND;
    atomic_store(&is_stopped, false);
    sigaction(SIGINT, &action, NULL);
}

static gboolean run_command(app *book, const cli_arguments *arguments, cli_serve *serve,
                            FILE *out, FILE *err, GError **error)
{
    const cli_command *command = arguments->command;
    if (command->action == NULL) {
        json_object_set_new(arguments->request, "verbose",
                            json_boolean(arguments->verbose));
        json_object_set_new(arguments->request, "quiet", json_boolean(arguments->quiet));
        if (arguments->book != NULL)
            json_object_set_new(arguments->request, "book", json_string(arguments->book));
        return serve(book, arguments->request, error);
    }

    const app_action *action = app_action_find(command->action);
    g_assert(action != NULL);
    bool shows =
        action->slow && !arguments->quiet && !arguments->json && isatty(fileno(err));
    /* An arrangement has something to show for itself at any time; nothing else has. */
    bool stops = strcmp(command->action, "arrange") == 0;
    if (stops)
        let_stop();
    app_call call = { .request = arguments->request,
                      .stop = stops ? &is_stopped : NULL,
                      .progress = shows ? show_progress : NULL,
                      .data = err };
    json_t *document = NULL;
    if (!app_run_once(book, action, NULL, &call, &document, error))
        return FALSE;
    if (arguments->json) {
        json_dumpf(document, out, JSON_INDENT(2) | JSON_REAL_PRECISION(10));
        fputc('\n', out);
    } else if (!arguments->quiet || command->print == cli_text_open) {
        command->print(document, out); /* that one opens the browser, too */
    }
    json_decref(document);
    return TRUE;
}

int cli_run(int argc, char **argv, cli_serve *serve, FILE *out, FILE *err)
{
    g_auto(cli_arguments) arguments = { 0 };
    g_autoptr(GError) error = NULL;
    if (!cli_arguments_read(argc, argv, &arguments, &error)) {
        for (int i = 1; i < argc; i++)
            arguments.json |= strcmp(argv[i], "--json") == 0;
        return say_error(&arguments, error, out, err);
    }
    if (arguments.version) {
        fprintf(out, "motley %s\n", MOTLEY_VERSION);
        return 0;
    }
    if (arguments.help || arguments.command == NULL) {
        cli_print_help(arguments.command, arguments.help ? out : err);
        return arguments.help ? 0 : 2;
    }
    g_autoptr(app) book = open_book(&arguments, err, &error);
    if (book == NULL || !run_command(book, &arguments, serve, out, err, &error))
        return say_error(&arguments, error, out, err);
    return 0;
}
