/* app/app.h: one action for each thing that a maker does, and one render for each picture
 * or sheet. The command line and the web server call these and nothing else; what an
 * action returns is the document of docs/openapi.json, the same everywhere. */
#pragma once

#include <glib.h>
#include <jansson.h>
#include <stdatomic.h>
#include <stdbool.h>

/** An open book with what the program keeps in memory for it. Safe to use from many
 * threads. */
typedef struct app app;

typedef enum app_open_mode {
    APP_OPEN_CREATE,   /* make the book where there is none */
    APP_OPEN_EXISTING, /* refuse with store.no-book where there is none */
    APP_OPEN_HURT, /* also a book that does not open any more: then "copies", "restore"
                      and "salvage" work, and nothing else does. `error` must not be NULL
                    */
} app_open_mode;

/** Where Motley listens when nothing else is said. */
enum { APP_PORT = 8766 };

/** Whether opening the book at path brings it from an older form to the present, which of
 * a large one takes long (store/book.h). */
bool app_is_older(const char *path);

/** Opens the book at path. Free with app_close(). NULL with a store.* error. */
app *app_open(const char *path, app_open_mode mode, GError **error);
void app_close(app *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(app, app_close)

/**
 * Makes the copy of the book for today, where there is none yet (store/daily.h).
 *
 * Errors: those of store_book_daily().
 */
gboolean app_daily_copy(app *self, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The kind of network disk that the book lies on ("nfs"); NULL for a disk of this
 * machine or no book. Static. */
const char *app_book_network(const app *self);

/** Whether the phone and tablet at home may reach this book: its setting "network". */
bool app_in_network(app *self);

/** Adds up beforehand what pages otherwise wait for once after a start: where the cloth
 * of closed quilts came from (a third of a second for thirty years). @stop may be set
 * from any thread; it then ends within a quilt. */
void app_warm(app *self, const atomic_bool *stop);

/** The addresses of this machine in the network, those of version 6 in brackets and last,
 * without those that only hold on one link. Free with g_strfreev(). */
char **app_network_addresses(void);

/** The device that was let in for this run alone, by "open" of a book that takes no
 * changes. */
#define APP_DEVICE_GUEST (-1)

/**
 * The paired device that brings a token; 0 when there is none, or when it was revoked or
 * the book cannot be read. Notes, once an hour, that it was here.
 */
int64_t app_device_of(app *self, const char *token);

/** A count that grows with every change of the book, also those of other programs. */
int64_t app_revision(app *self);

/**
 * One call of an action. The request is an object whose fields are named like the flags
 * of the command line ("design", "across", "unit"); numbers may also come as their text.
 */
typedef struct app_call {
    const json_t *request; /* borrowed; NULL is an empty object */
    const atomic_bool
        *stop; /* when it turns true, the action ends with `cancelled`; or NULL */
    void (*progress)(double done, const char *doing,
                     void *data); /* 0 to 1, in words; or NULL */
    /* What there is of the result so far, a few times a second; borrowed; or NULL. */
    void (*partial)(json_t *partial, void *data);
    void *data;
} app_call;

/** Returns TRUE and the document (free with json_decref) or FALSE and an error; then
 * nothing in the book was changed. */
typedef gboolean app_run(app *self, const app_call *call, json_t **ret_document,
                         GError **error);

typedef struct app_action {
    const char *name; /* "basket", "quilt.start" */
    app_run *run;
    bool changes; /* the book */
    bool slow;    /* may take over 50 ms: run it on the job queue */
} app_action;

/** NULL when there is none of that name. */
const app_action *app_action_find(const char *name);

/**
 * Runs an action that may change the book. When the change was made and its document
 * could not be, the error is app.done-unseen.
 *
 * @key  1 to 80 letters, not to be guessed, for a change that a device may send again
 *       when it heard no answer: fails with store.sent-before when the key was used
 * within a year; what is not undone (devices) is not counted. For actions that are not
 *       slow. NULL: run it in any case
 */
gboolean app_run_once(app *self, const app_action *action, const char *key,
                      const app_call *call, json_t **ret_document, GError **error);

/**
 * Draws a picture, "chart.shown", "swatch.jpg", or a sheet, "card.pdf", "chart.svg", ...
 * A picture whose name and ending a sheet has too is called otherwise.
 *
 * @call      request names the thing: {"quilt": "Tideline", "paper": "a4"}
 * @ret_type  its media type, static
 *
 * Returns the bytes, free with g_bytes_unref(); NULL with an error.
 */
GBytes *app_render(app *self, const char *what, const app_call *call,
                   const char **ret_type, GError **error);

/** {"error": {"code", "message", "hint"}}, free with json_decref(). */
json_t *app_error_document(const GError *error);
