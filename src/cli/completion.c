#include "cli/reference.h"

#include "command-internal.h"

#include <string.h>

/* What a value is completed with. */
typedef enum {
    OFFER_NOTHING,
    OFFER_FILES,
    OFFER_WORDS, /* "a4|letter": those of its words that can be typed as they stand */
} offer;

static bool typed_as_it_stands(const char *word)
{
    return *word != '\0' &&
           strspn(word, "abcdefghijklmnopqrstuvwxyz0123456789-") == strlen(word);
}

/* The words to choose from, with spaces between; empty where a value is free. */
static char *choices(const char *value)
{
    g_autofree char *found = g_strdup("");
    g_auto(GStrv) words = g_strsplit(value, "|", -1);
    for (int i = 0; words[i] != NULL && words[1] != NULL; i++) {
        if (!typed_as_it_stands(words[i]))
            continue;
        char *longer = g_strconcat(found, *found == '\0' ? "" : " ", words[i], NULL);
        g_free(found);
        found = longer;
    }
    return g_steal_pointer(&found);
}

static offer offer_of(const cli_flag *flag)
{
    if (flag->value == NULL)
        return OFFER_NOTHING;
    if (strcmp(flag->value, "FILE") == 0 || g_str_has_prefix(flag->value, "F.") ||
        flag->kind == CLI_PHOTOS)
        return OFFER_FILES;
    g_autofree char *words = choices(flag->value);
    return *words == '\0' ? OFFER_NOTHING : OFFER_WORDS;
}

static bool takes_files(const cli_command *command)
{
    return strstr(command->places, "file") != NULL ||
           strstr(command->places, "folder") != NULL ||
           strstr(command->places, "photos") != NULL;
}

static bool has_two_words(const cli_command *command)
{
    return strchr(command->words, ' ') != NULL;
}

static char *first_word(const cli_command *command)
{
    return g_strndup(command->words, strcspn(command->words, " "));
}

/* The first command of those that begin with the same word. */
static bool first_of_its_word(const cli_command *command)
{
    g_autofree char *word = first_word(command);
    for (const cli_command *other = cli_commands; other < command; other++) {
        g_autofree char *earlier = first_word(other);
        if (strcmp(earlier, word) == 0)
            return false;
    }
    return true;
}

/* What may follow the first word of a command; empty where it stands alone. */
static char *second_words(const cli_command *command)
{
    g_autofree char *word = first_word(command);
    GString *found = g_string_new("");
    for (const cli_command *other = cli_commands; other->words != NULL; other++) {
        g_autofree char *begins = first_word(other);
        if (has_two_words(other) && strcmp(begins, word) == 0)
            g_string_append_printf(found, "%s%s", found->len == 0 ? "" : " ",
                                   other->words + strlen(word) + 1);
    }
    return g_string_free(found, FALSE);
}

/* --- bash -----------------------------------------------------------------------------
 */

static void bash_values(const char *command, const cli_flag *flag, FILE *out)
{
    g_autofree char *words = flag->value == NULL ? g_strdup("") : choices(flag->value);
    if (offer_of(flag) == OFFER_FILES)
        fprintf(out, "    '%s --%s') files=1 ;;\n", command, flag->name);
    else if (flag->kind != CLI_SWITCH && flag->kind != CLI_MAYBE)
        fprintf(out, "    '%s --%s') words='%s' ;;\n", command, flag->name, words);
}

static void bash_names(const char *what, const cli_flag *flags, FILE *out)
{
    fprintf(out, "%s", what);
    for (; flags->name != NULL; flags++)
        fprintf(out, " --%s", flags->name);
}

void cli_write_bash(FILE *out)
{
    fputs("# bash completion for motley; the build writes it from the table of commands\n"
          "_motley() {\n"
          "    local cur=\"${COMP_WORDS[COMP_CWORD]}\" "
          "prev=\"${COMP_WORDS[COMP_CWORD-1]}\"\n"
          "    local first=\"${COMP_WORDS[1]}\" command words='' more='' flags='' "
          "files=''\n"
          "    command=\"$first\"\n"
          "    case \"$first ${COMP_WORDS[2]}\" in\n",
          out);
    for (const cli_command *command = cli_commands; command->words != NULL; command++)
        if (has_two_words(command))
            fprintf(out, "    '%s') [ \"$COMP_CWORD\" -le 2 ] || command='%s' ;;\n",
                    command->words, command->words);
    fputs("    esac\n    COMPREPLY=()\n"
          "    if [ \"$COMP_CWORD\" -eq 1 ]; then\n        words='",
          out);
    for (const cli_command *command = cli_commands; command->words != NULL; command++) {
        g_autofree char *word = first_word(command);
        if (first_of_its_word(command))
            fprintf(out, "%s ", word);
    }
    bash_names("help", cli_common_flags, out);
    fputs("'\n        COMPREPLY=($(compgen -W \"$words\" -- \"$cur\")); return\n    fi\n"
          "    case \"$command $prev\" in\n"
          "    *' --book') COMPREPLY=($(compgen -f -- \"$cur\")); return ;;\n",
          out);
    for (const cli_command *command = cli_commands; command->words != NULL; command++)
        for (const cli_flag *flag = command->flags; flag->name != NULL; flag++)
            bash_values(command->words, flag, out);
    fputs("    *)\n        case \"$command\" in\n", out);
    for (const cli_command *command = cli_commands; command->words != NULL; command++) {
        g_autofree char *seconds =
            has_two_words(command) ? g_strdup("") : second_words(command);
        fprintf(out, "        '%s') more='%s' files='%s' flags='", command->words,
                seconds, takes_files(command) ? "1" : "");
        bash_names("", command->flags, out);
        fputs("' ;;\n", out);
    }
    for (const cli_command *command = cli_commands; command->words != NULL; command++) {
        g_autofree char *word = first_word(command);
        g_autofree char *seconds = second_words(command);
        if (first_of_its_word(command) && *seconds != '\0')
            fprintf(out, "        '%s') more='%s' ;;\n", word, seconds);
    }
    bash_names("        esac\n        words=\"$flags", cli_common_flags, out);
    fputs("\"\n        [ \"$COMP_CWORD\" -ne 2 ] || words=\"$more $words\" ;;\n"
          "    esac\n"
          "    COMPREPLY=($(compgen -W \"$words\" -- \"$cur\"))\n"
          "    [ -z \"$files\" ] || COMPREPLY+=($(compgen -f -- \"$cur\"))\n"
          "}\n"
          "complete -o filenames -F _motley motley\n",
          out);
}

/* --- zsh ------------------------------------------------------------------------------
 */

/* For within single quotes, where zsh's _arguments also gives [ ] and : a meaning. */
static char *zsh_text(const char *text)
{
    GString *safe = g_string_new("");
    for (; *text != '\0'; text++) {
        if (*text == '\'')
            g_string_append(safe, "'\\''");
        else if (strchr("[]:\\", *text) != NULL)
            g_string_append_printf(safe, "\\%c", *text);
        else
            g_string_append_c(safe, *text);
    }
    return g_string_free(safe, FALSE);
}

static void zsh_flag(const cli_flag *flag, FILE *out)
{
    g_autofree char *help = zsh_text(flag->help);
    const char *again = flag->kind == CLI_MANY || flag->kind == CLI_PHOTOS ? "*" : "";
    fprintf(out, " \\\n            '%s--%s[%s]", again, flag->name, help);
    if (flag->value != NULL) {
        g_autofree char *value = zsh_text(flag->value);
        g_autofree char *words = choices(flag->value);
        fprintf(out, "%s%s:", flag->kind == CLI_MAYBE ? "::" : ":", value);
        if (offer_of(flag) == OFFER_FILES)
            fputs("_files", out);
        else if (*words != '\0')
            fprintf(out, "(%s)", words);
        else
            fputc(' ', out);
    }
    fputc('\'', out);
}

static void zsh_flags(const cli_flag *flags, FILE *out)
{
    for (; flags->name != NULL; flags++)
        zsh_flag(flags, out);
}

void cli_write_zsh(FILE *out)
{
    fputs("#compdef motley\n"
          "# the build writes this from the table of commands\n"
          "_motley() {\n    local -a commands more\n    local command=\"${words[2]}\"\n"
          "    local -i used=1\n    commands=(\n",
          out);
    for (const cli_command *command = cli_commands; command->words != NULL; command++) {
        g_autofree char *summary = zsh_text(command->summary);
        g_autofree char *word = first_word(command);
        if (first_of_its_word(command))
            fprintf(out, "        '%s:%s'\n", word, summary);
    }
    fputs("    )\n    case \"$command\" in\n", out);
    for (const cli_command *command = cli_commands; command->words != NULL; command++) {
        g_autofree char *word = first_word(command);
        g_autofree char *seconds = second_words(command);
        if (first_of_its_word(command) && *seconds != '\0')
            fprintf(out, "    %s) more=(%s) ;;\n", word, seconds);
    }
    fputs("    esac\n    if (( CURRENT == 2 )); then\n"
          "        _describe 'command' commands\n        _arguments",
          out);
    zsh_flags(cli_common_flags, out);
    fputs("\n        return\n    fi\n"
          "    if (( CURRENT == 3 && ${#more} )); then _describe 'command' more; fi\n"
          "    if (( CURRENT > 3 && ${more[(I)${words[3]}]} )); then\n"
          "        command=\"$command ${words[3]}\"; used=2\n    fi\n"
          "    shift $used words; (( CURRENT -= used ))\n"
          "    case \"$command\" in\n",
          out);
    for (const cli_command *command = cli_commands; command->words != NULL; command++) {
        fprintf(out, "    '%s')\n        _arguments", command->words);
        zsh_flags(command->flags, out);
        zsh_flags(cli_common_flags, out);
        if (takes_files(command))
            fputs(" \\\n            '*:file:_files'", out);
        fputs(" ;;\n", out);
    }
    fputs("    esac\n}\n"
          "if [ \"$funcstack[1]\" = _motley ]; then _motley \"$@\"; else compdef _motley "
          "motley; "
          "fi\n",
          out);
}

/* --- fish -----------------------------------------------------------------------------
 */

static char *fish_text(const char *text)
{
    g_auto(GStrv) parts = g_strsplit(text, "'", -1);
    return g_strjoinv("\\'", parts);
}

static void fish_flag(const char *when, const cli_flag *flag, FILE *out)
{
    g_autofree char *help = fish_text(flag->help);
    fprintf(out, "complete -c motley%s -l %s -d '%s'", when, flag->name, help);
    if (offer_of(flag) == OFFER_FILES) {
        fputs(" -r -F", out);
    } else if (flag->value != NULL && flag->kind != CLI_MAYBE) {
        g_autofree char *words = choices(flag->value);
        fprintf(out, " -x -a '%s'", words);
    }
    fputc('\n', out);
}

static void fish_command(const cli_command *command, FILE *out)
{
    g_autofree char *summary = fish_text(command->summary);
    g_autofree char *word = first_word(command);
    if (has_two_words(command))
        fprintf(out,
                "complete -c motley -n 'test (__motley_command) = %s' -a %s -d '%s'\n",
                word, command->words + strlen(word) + 1, summary);
    if (first_of_its_word(command))
        fprintf(out, "complete -c motley -n 'test -z (__motley_command)' -a %s -d '%s'\n",
                word, summary);
    g_autofree char *when =
        g_strdup_printf(" -n 'test (__motley_command) = \"%s\"'", command->words);
    for (const cli_flag *flag = command->flags; flag->name != NULL; flag++)
        fish_flag(when, flag, out);
    if (takes_files(command))
        fprintf(out, "complete -c motley%s -F\n", when);
}

void cli_write_fish(FILE *out)
{
    fputs("# fish completion for motley; the build writes it from the table of commands\n"
          "function __motley_command --description 'the command that is being typed'\n"
          "    set -l said (commandline -opc)\n"
          "    set -l two \"$said[2] $said[3]\"\n"
          "    if contains -- $two",
          out);
    for (const cli_command *command = cli_commands; command->words != NULL; command++)
        if (has_two_words(command))
            fprintf(out, " '%s'", command->words);
    fputs("\n        echo $two\n    else\n        echo \"$said[2]\"\n    end\nend\n"
          "complete -c motley -f\n",
          out);
    for (const cli_flag *flag = cli_common_flags; flag->name != NULL; flag++)
        fish_flag("", flag, out);
    for (const cli_command *command = cli_commands; command->words != NULL; command++)
        fish_command(command, out);
}
