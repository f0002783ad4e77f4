/* cli/cli.h: the command line: turns words and flags into a request, calls the action of
 * app and prints its document, as JSON or as text. */
#pragma once

#include "app/app.h"

#include <stdio.h>

/** Serves the page until it is told to stop; main() hands it in, so that cli needs no
 * web. */
typedef gboolean cli_serve(app *book, const json_t *request, GError **error);

/** Runs one command. Returns the exit status: 0 done, 1 failed, 2 wrong usage. */
int cli_run(int argc, char **argv, cli_serve *serve, FILE *out, FILE *err);
