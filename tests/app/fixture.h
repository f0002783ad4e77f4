/* fixture.h: a book of its own for each test, and actions called as the server calls
 * them. */
#pragma once

#include "app/app.h"
#include "base/error.h"

#include <glib/gstdio.h>

typedef struct fixture {
    char *folder, *path;
    app *book;
} fixture;

/** cmocka's setup and teardown: an empty book in a folder that goes away again. */
int fixture_open(void **state);
int fixture_close(void **state);

/** Runs an action; request is JSON text. Fails the test on an error. Free with
 *  json_decref(). */
json_t *does(fixture *self, const char *action, const char *request, ...)
    G_GNUC_PRINTF(3, 4);

/** Runs an action that must fail with this code, and change nothing in the book. */
void refuses(fixture *self, const char *code, const char *action, const char *request,
             ...) G_GNUC_PRINTF(4, 5);

/** The whole number at a path of a document: "total.squares", "plans.0.squares". */
long long number_at(const json_t *document, const char *path);
const char *text_at(const json_t *document, const char *path);
json_t *value_at(const json_t *document, const char *path);
