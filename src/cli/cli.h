/* cli/cli.h: the command line: turns words and flags into a request, calls the action of
 * app and prints its document, as JSON or as text. */
#pragma once

#include "app/app.h"

#include <stdio.h>

/** Serves the page until it is told to stop; main() hands it in, so that cli needs no
 * web. */
typedef gboolean cli_serve(app *book, const json_t *request, GError **error);

/**
 * Brings the page to the maker: opens her browser where there is one, and else prints the
 * address. Its code lets in whoever has it, so it stands in no command line, which every
 * user of the machine can read, but in a file that only she can, and goes to `out` only
 * where that is a terminal.
 *
 * @document  of the action "open"
 *
 * Returns false, and has said nothing, when there is neither a browser nor a terminal.
 */
bool cli_show_page(const json_t *document, FILE *out);

/** Runs one command. Returns the exit status: 0 done, 1 failed, 2 wrong usage. */
int cli_run(int argc, char **argv, cli_serve *serve, FILE *out, FILE *err);
