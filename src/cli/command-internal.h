/* cli/command-internal.h: the table of commands and the reading of arguments. */
#pragma once

#include <glib.h>
#include <jansson.h>
#include <stdbool.h>
#include <stdio.h>

typedef enum cli_flag_kind {
    CLI_SWITCH, /* --keep */
    CLI_VALUE,  /* --unit 2in */
    CLI_MAYBE,  /* --done or --done 7 */
    CLI_MANY,   /* may stand more than once, or take several words: --place 1,2 3,4 */
    CLI_PHOTOS, /* the same for files, which the request calls photos */
} cli_flag_kind;

typedef struct cli_flag {
    const char *name; /* without the dashes; the request's field has _ for - */
    cli_flag_kind kind;
    const char *value; /* what the help calls its value */
    const char *help;
} cli_flag;

typedef enum cli_book {
    CLI_BOOK_NONE,  /* not looked at */
    CLI_BOOK_MAYBE, /* used where there is one */
    CLI_BOOK_READ,  /* must exist when named by --book */
    CLI_BOOK_MAKE,  /* made where there is none */
    CLI_BOOK_HURT,  /* there, and perhaps too damaged to open */
} cli_book;

typedef struct cli_command {
    const char *words;  /* "quilt start" */
    const char *action; /* of app; NULL for serve */
    const char *preset; /* "what=card": fields that the words stand for; or NULL */
    const char *places; /* fields of the words after the command: "quilt", "photos...",
                           "[scraps...]" */
    cli_book book;
    const char *summary;
    void (*print)(const json_t *document, FILE *out);
    const cli_flag *flags; /* ends with a name of NULL */
} cli_command;

extern const cli_command cli_commands[]; /* ends with words of NULL */
extern const cli_flag cli_common_flags[];

/** What the arguments say. */
typedef struct cli_arguments {
    const cli_command *command; /* NULL: help or version */
    json_t *request;
    char *book; /* --book or NULL */
    bool json, quiet, verbose, color, help, version;
} cli_arguments;

void cli_arguments_clear(cli_arguments *arguments);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(cli_arguments, cli_arguments_clear)

/** Errors: usage, naming the word that isn't understood and the nearest that is. */
gboolean cli_arguments_read(int argc, char **argv, cli_arguments *ret_arguments,
                            GError **error);

void cli_print_help(const cli_command *command, FILE *out);
