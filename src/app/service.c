/* Motley as a service of systemd that runs for its user: the unit is put into its place
 * and systemctl is told. Where there is none, it is said what to do. */
#include "document-internal.h"

#include "service-unit.h"

#include <glib/gstdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define UNIT "motley.service"

/* --- telling systemctl --- */

typedef enum answer {
    TOLD_DONE,
    TOLD_REFUSED, /* it answered, with another status than 0 */
    TOLD_MISSING, /* there is no systemctl, or no manager that it could tell */
} answer;

/* @ret_said  what it said, stripped; g_free() it; or NULL */
static answer tell_systemctl(const char *verb, const char *flag, const char *unit,
                             char **ret_said)
{
    const char *words[] = { "systemctl", "--user", verb, NULL, NULL, NULL };
    int count = 3;
    if (flag != NULL)
        words[count++] = flag;
    if (unit != NULL)
        words[count++] = unit;
    g_autofree char *out = NULL, *err = NULL;
    int status;
    if (!g_spawn_sync(NULL, (char **)words, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, &out,
                      &err, &status, NULL))
        return TOLD_MISSING;
    g_strstrip(err);
    bool bus = strstr(err, "connect to bus") != NULL || strstr(err, "not been booted");
    if (ret_said != NULL)
        *ret_said = g_strdup(*err != '\0' ? err : g_strstrip(out));
    return bus                                       ? TOLD_MISSING
           : g_spawn_check_wait_status(status, NULL) ? TOLD_DONE
                                                     : TOLD_REFUSED;
}

/* --- places --- */

static char *own_program(void)
{
    char *path = g_file_read_link("/proc/self/exe", NULL);
    return path != NULL ? path : g_strdup(MOTLEY_BINDIR "/motley");
}

/* Whether it is the installed program that runs, with its unit in place. */
static bool is_installed(const char *program)
{
    return strcmp(program, MOTLEY_BINDIR "/motley") == 0 &&
           g_file_test(MOTLEY_UNIT_DIR "/" UNIT, G_FILE_TEST_EXISTS);
}

static char *in_config(const char *name)
{
    return g_build_filename(g_get_user_config_dir(), "systemd", "user", name, NULL);
}

static gboolean write_file(const char *path, const char *text, GError **error)
{
    g_autofree char *folder = g_path_get_dirname(path);
    g_autoptr(GError) cause = NULL;
    if (g_mkdir_with_parents(folder, 0700) == 0 &&
        g_file_set_contents(path, text, -1, &cause))
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE,
                "%s cannot be written: %s", path,
                cause != NULL ? cause->message : g_strerror(errno));
    return FALSE;
}

/* --- the unit --- */

/* A word of a command line or a path in a unit: quoted, with what systemd would replace
 * (systemd.unit(5), systemd.service(5): % and, in commands, $) doubled. */
static void append_word(GString *text, const char *word, bool command)
{
    g_string_append(text, " \"");
    for (const char *c = word; *c != '\0'; c++) {
        if (*c == '"' || *c == '\\')
            g_string_append_c(text, '\\');
        if (*c == '%' || (command && *c == '$'))
            g_string_append_c(text, *c);
        g_string_append_c(text, *c);
    }
    g_string_append_c(text, '"');
}

/* The home's usual book is what the unit opens without being told. */
static bool is_usual_book(const char *path)
{
    g_autofree char *usual = g_build_filename(g_get_home_dir(), ".local", "share",
                                              "motley", "motley.book", NULL);
    return strcmp(path, usual) == 0;
}

/* What differs from the unit; empty when nothing does. Free with g_free(). */
static char *drop_in(const app_call *call, const char *program, const char *book,
                     const char *port)
{
    bool lan = json_is_true(json_object_get(call->request, "lan"));
    bool installed = is_installed(program), usual = is_usual_book(book);
    if (installed && usual && !lan && port == NULL)
        return g_strdup("");
    GString *text =
        g_string_new("# Written by `motley service enable`.\n[Service]\nExecStart=\n"
                     "ExecStart=");
    append_word(text, program, true);
    g_string_append(text, " serve");
    if (lan)
        g_string_append(text, " --lan");
    if (port != NULL) {
        g_string_append(text, " --port");
        append_word(text, port, true);
    }
    if (!usual) {
        g_autofree char *folder = g_path_get_dirname(book);
        g_string_append(text, " --book");
        append_word(text, book, true);
        /* Set anew, for the usual folder may not be there. */
        g_string_append(text, "\nBindPaths=\nBindPaths=");
        append_word(text, folder, false);
        g_string_append(text, "\nReadWritePaths=\nReadWritePaths=");
        append_word(text, folder, false);
        if (g_str_has_prefix(g_get_home_dir(), folder))
            g_string_append(text, "\nProtectHome=no\nTemporaryFileSystem=");
    }
    if (!installed) {
        g_string_append(text, "\nBindReadOnlyPaths=");
        append_word(text, program, false);
    }
    g_string_append_c(text, '\n');
    return g_string_free(text, FALSE);
}

static gboolean write_unit(const char *program, const char *options, GError **error)
{
    g_autofree char *unit = in_config(UNIT);
    g_autofree char *drop = in_config(UNIT ".d/options.conf");
    if (is_installed(program)) {
        g_unlink(unit);
    } else {
        g_autoptr(GString) text = g_string_new(service_unit_text);
        g_autoptr(GString) word = g_string_new(NULL);
        append_word(word, program, true);
        g_string_replace(text, "@PROGRAM@", g_strstrip(word->str), 0);
        if (!write_file(unit, text->str, error))
            return FALSE;
    }
    if (*options != '\0')
        return write_file(drop, options, error);
    g_unlink(drop);
    return TRUE;
}

/* What `systemctl enable` does, for where it cannot be told: the manager finds the link
 * when it next starts. */
static gboolean link_unit(const char *program, GError **error)
{
    g_autofree char *link = in_config("default.target.wants/" UNIT);
    g_autofree char *folder = g_path_get_dirname(link);
    g_autofree char *unit =
        is_installed(program) ? g_strdup(MOTLEY_UNIT_DIR "/" UNIT) : in_config(UNIT);
    g_mkdir_with_parents(folder, 0700);
    g_unlink(link);
    if (symlink(unit, link) == 0)
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE,
                "%s cannot be made: %s", link, g_strerror(errno));
    return FALSE;
}

static gboolean fail_service(const char *said, GError **error)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_SERVICE, "systemctl: %s",
                said != NULL && *said != '\0' ? said : "it failed without a word");
    return FALSE;
}

/* --- what is asked for --- */

static json_t *describe(const char *done, bool enabled, bool running, bool systemd)
{
    return json_pack("{s:s, s:b, s:b, s:b}", "done", done, "enabled", enabled, "running",
                     running, "systemd", systemd);
}

static gboolean enable(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    int64_t number;
    if (app_book(self, error) == NULL || !app_port_requested(call, &number, error))
        return FALSE;
    g_autofree char *port =
        number == APP_PORT ? NULL : g_strdup_printf("%d", (int)number);
    g_autofree char *program = own_program();
    g_autofree char *book = g_canonicalize_filename(store_book_path(self->book), NULL);
    g_autofree char *options = drop_in(call, program, book, port);
    g_autofree char *said = NULL;
    if (!write_unit(program, options, error))
        return FALSE;
    answer told = tell_systemctl("daemon-reload", NULL, NULL, &said);
    if (told == TOLD_DONE) {
        g_clear_pointer(&said, g_free);
        told = tell_systemctl("enable", NULL, UNIT, &said);
    }
    if (told == TOLD_DONE) {
        /* Not start: one that runs shall take what was written now. */
        g_clear_pointer(&said, g_free);
        told = tell_systemctl("restart", NULL, UNIT, &said);
    }
    if (told == TOLD_REFUSED)
        return fail_service(said, error);

    g_autofree char *text = NULL;
    if (told == TOLD_DONE) {
        text =
            g_strdup_printf("Motley runs now and from each login on, at "
                            "http://localhost:%d/. motley open, with the same --port and "
                            "--book, opens it.",
                            (int)number);
    } else {
        if (!link_unit(program, error))
            return FALSE;
        text = g_strdup_printf(
            "The service is set up, but no systemd answers here, so nothing was started. "
            "Where systemd looks after logins, Motley starts at the next one. Where it "
            "does not, let your desktop start this at login: %s serve",
            program);
    }
    *ret_document = describe(text, true, told == TOLD_DONE, told == TOLD_DONE);
    return TRUE;
}

static gboolean disable(json_t **ret_document, GError **error)
{
    g_autofree char *unit = in_config(UNIT);
    g_autofree char *drop = in_config(UNIT ".d/options.conf");
    g_autofree char *drops = in_config(UNIT ".d");
    g_autofree char *link = in_config("default.target.wants/" UNIT);
    g_autofree char *said = NULL;
    bool known = g_file_test(unit, G_FILE_TEST_EXISTS) ||
                 g_file_test(MOTLEY_UNIT_DIR "/" UNIT, G_FILE_TEST_EXISTS);
    answer told = known ? tell_systemctl("disable", "--now", UNIT, &said) : TOLD_DONE;
    if (told == TOLD_REFUSED)
        return fail_service(said, error);
    g_unlink(link);
    g_unlink(unit);
    g_unlink(drop);
    g_rmdir(drops);
    if (told == TOLD_DONE && known)
        tell_systemctl("daemon-reload", NULL, NULL, NULL);
    *ret_document = describe(
        told == TOLD_DONE
            ? "Motley is no service any more. The book is where it was."
            : "Motley starts at no login any more. No systemd answers here: if Motley "
              "runs still, end it yourself. The book is where it was.",
        false, false, told == TOLD_DONE && known);
    return TRUE;
}

static gboolean tell_status(json_t **ret_document)
{
    g_autofree char *enabled = NULL, *active = NULL;
    answer told = tell_systemctl("is-enabled", NULL, UNIT, &enabled);
    bool on = g_strcmp0(enabled, "enabled") == 0;
    if (told != TOLD_MISSING)
        told = tell_systemctl("is-active", NULL, UNIT, &active);
    bool runs = g_strcmp0(active, "active") == 0;
    if (told == TOLD_MISSING) {
        g_autofree char *link = in_config("default.target.wants/" UNIT);
        on = g_file_test(link, G_FILE_TEST_IS_SYMLINK);
    }
    const char *text =
        told == TOLD_MISSING
            ? on ? "Motley is set up to start at login, but no systemd answers here."
                 : "Motley is no service, and no systemd answers here."
        : runs && on ? "Motley runs, and starts at each login."
        : runs       ? "Motley runs, but does not start at login: motley service enable"
        : on ? "Motley starts at each login, but does not run now. What went wrong: "
               "journalctl --user -u motley"
             : "Motley is no service: motley service enable makes it one.";
    *ret_document = describe(text, on, runs, told != TOLD_MISSING);
    return TRUE;
}

gboolean app_do_service(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    const char *what = app_request_text(call, "what");
    if (g_strcmp0(what, "enable") == 0)
        return enable(self, call, ret_document, error);
    if (g_strcmp0(what, "disable") == 0)
        return disable(ret_document, error);
    return tell_status(ret_document);
}
