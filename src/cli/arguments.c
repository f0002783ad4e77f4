#include "command-internal.h"

#include "base/error.h"

#include <string.h>

void cli_arguments_clear(cli_arguments *arguments)
{
    json_decref(arguments->request);
    g_free(arguments->book);
    *arguments = (cli_arguments){ 0 };
}

static gboolean usage_error(GError **error, const char *format, const char *word)
    G_GNUC_PRINTF(2, 0);

static gboolean usage_error(GError **error, const char *format, const char *word)
{
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_USAGE, format, word);
#pragma GCC diagnostic pop
    return FALSE;
}

/* How many of the words of a command stand at the start of argv; 0 when not all do. */
static int words_matched(const char *words, int argc, char **argv)
{
    g_auto(GStrv) parts = g_strsplit(words, " ", -1);
    int count = 0;
    for (; parts[count] != NULL; count++)
        if (count >= argc || strcmp(parts[count], argv[count]) != 0)
            return 0;
    return count;
}

static const cli_command *find_command(int argc, char **argv, int *ret_words)
{
    const cli_command *best = NULL;
    int most = 0;
    for (const cli_command *command = cli_commands; command->words != NULL; command++) {
        int matched = words_matched(command->words, argc, argv);
        if (matched > most) {
            most = matched;
            best = command;
        }
    }
    *ret_words = most;
    return best;
}

static const cli_flag *find_flag(const cli_flag *flags, const char *name)
{
    for (; flags != NULL && flags->name != NULL; flags++)
        if (strcmp(flags->name, name) == 0)
            return flags;
    return NULL;
}

static bool takes_many(const cli_flag *flag)
{
    return flag->kind == CLI_MANY || flag->kind == CLI_PHOTOS;
}

static void set_field(json_t *request, const cli_flag *flag, json_t *value)
{
    g_autofree char *field = flag->kind == CLI_PHOTOS
                                 ? g_strdup("photos")
                                 : g_strdelimit(g_strdup(flag->name), "-", '_');
    if (!takes_many(flag)) {
        json_object_set_new(request, field, value);
        return;
    }
    json_t *list = json_object_get(request, field);
    if (list == NULL) {
        list = json_array();
        json_object_set_new(request, field, list);
    }
    json_array_append_new(list, value);
}

static bool set_common(cli_arguments *arguments, const char *name, const char *value)
{
    if (strcmp(name, "book") == 0) {
        g_free(arguments->book);
        arguments->book = g_strdup(value);
        return true;
    }
    const struct {
        const char *name;
        bool *set;
    } switches[] = {
        { "json", &arguments->json },       { "quiet", &arguments->quiet },
        { "verbose", &arguments->verbose }, { "color", &arguments->color },
        { "help", &arguments->help },       { "version", &arguments->version },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(switches); i++) {
        if (strcmp(switches[i].name, name) == 0) {
            *switches[i].set = true;
            return true;
        }
    }
    return false;
}

static bool is_flag(const char *word)
{
    return word[0] == '-' && word[1] != '\0' && !g_ascii_isdigit(word[1]) &&
           word[1] != '.';
}

/* Reads the flag at argv[at] with what belongs to it; returns the index after it, 0 on
 * error. */
static int read_flag(cli_arguments *arguments, int argc, char **argv, int at,
                     GError **error)
{
    const char *word = strcmp(argv[at], "-o") == 0   ? "--output"
                       : strcmp(argv[at], "-h") == 0 ? "--help"
                                                     : argv[at];
    if (!g_str_has_prefix(word, "--"))
        return usage_error(error, "\"%s\" is no flag.", word);
    const char *equals = strchr(word, '=');
    g_autofree char *name = g_strndup(
        word + 2, equals == NULL ? strlen(word + 2) : (gsize)(equals - word - 2));

    const cli_flag *flag = find_flag(cli_common_flags, name);
    bool common = flag != NULL;
    if (!common && arguments->command != NULL)
        flag = find_flag(arguments->command->flags, name);
    if (flag == NULL)
        return usage_error(error, "--%s is no flag of this command.", name);

    at++;
    const char *value = equals == NULL ? NULL : equals + 1;
    bool takes =
        flag->kind != CLI_SWITCH && value == NULL && at < argc && !is_flag(argv[at]);
    if (flag->kind == CLI_SWITCH && value != NULL)
        return usage_error(error, "--%s takes no value.", name);
    if (takes && (flag->kind != CLI_MAYBE || g_ascii_isdigit(argv[at][0])))
        value = argv[at++];
    if (value == NULL && (flag->kind == CLI_VALUE || takes_many(flag)))
        return usage_error(error, "--%s needs a value.", name);

    if (common) {
        set_common(arguments, name, value);
        return at;
    }
    set_field(arguments->request, flag, value == NULL ? json_true() : json_string(value));
    while (takes_many(flag) && equals == NULL && at < argc && !is_flag(argv[at]))
        set_field(arguments->request, flag, json_string(argv[at++]));
    return at;
}

static void preset_fields(const cli_command *command, json_t *request)
{
    if (command->preset == NULL)
        return;
    g_auto(GStrv) pair = g_strsplit(command->preset, "=", 2);
    json_object_set_new(request, pair[0], json_string(pair[1]));
}

/* Gives the words that are no flags to the fields that the command has for them. */
static gboolean read_places(cli_arguments *arguments, GPtrArray *words, GError **error)
{
    g_auto(GStrv) places = g_strsplit(arguments->command->places, " ", -1);
    guint next = 0;
    for (int i = 0; places[i] != NULL && *places[i] != '\0'; i++) {
        char *place = places[i];
        bool may_lack = *place == '[';
        if (may_lack) {
            place[strlen(place) - 1] = '\0';
            place++;
        }
        bool many = g_str_has_suffix(place, "...");
        if (many)
            place[strlen(place) - 3] = '\0';
        if (next == words->len && !may_lack)
            return usage_error(error, "This command needs its %s.", place);
        if (many) {
            json_t *list = json_array();
            while (next < words->len)
                json_array_append_new(list, json_string(words->pdata[next++]));
            if (json_array_size(list) > 0)
                json_object_set(arguments->request, place, list);
            json_decref(list);
        } else if (next < words->len) {
            json_object_set_new(arguments->request, place,
                                json_string(words->pdata[next++]));
        }
    }
    if (next < words->len)
        return usage_error(error, "\"%s\" is one word too many.", words->pdata[next]);
    return TRUE;
}

gboolean cli_arguments_read(int argc, char **argv, cli_arguments *ret_arguments,
                            GError **error)
{
    g_auto(cli_arguments) arguments = { .request = json_object() };
    int at = 1, used = 0;
    while (at < argc &&
           is_flag(argv[at])) { /* common flags may stand before the command */
        at = read_flag(&arguments, argc, argv, at, error);
        if (at == 0)
            return FALSE;
    }
    if (at < argc && strcmp(argv[at], "help") == 0) {
        arguments.help = true;
        at++;
    }
    if (at < argc) {
        arguments.command = find_command(argc - at, argv + at, &used);
        if (arguments.command == NULL)
            return usage_error(error, "There is no command \"%s\".", argv[at]);
        preset_fields(arguments.command, arguments.request);
    }

    g_autoptr(GPtrArray) words = g_ptr_array_new();
    for (at += used; at < argc;) {
        if (!is_flag(argv[at])) {
            g_ptr_array_add(words, argv[at++]);
            continue;
        }
        at = read_flag(&arguments, argc, argv, at, error);
        if (at == 0)
            return FALSE;
    }
    if (arguments.command != NULL && !arguments.help && !arguments.version &&
        !read_places(&arguments, words, error))
        return FALSE;

    *ret_arguments = arguments;
    arguments = (cli_arguments){ 0 };
    return TRUE;
}
