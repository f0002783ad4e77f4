/* tests/store/book-fixture.h: a new book in a folder of its own for each test. */
#pragma once

#include <glib/gstdio.h>

#include "base/error.h"
#include "store/basket.h"
#include "store/book-internal.h"
#include "store/book.h"
#include "store/change.h"
#include "store/fabric.h"
#include "store/quilt.h"
#include "store/scrap.h"
#include "store/setting.h"

typedef struct fixture {
    char *folder, *path;
    store_book *book;
} fixture;

static inline void must(gboolean done, GError *error)
{
    if (!done)
        fail_msg("%s", error != NULL ? error->message : "failed without an error");
}

/** Does what gives FALSE and an error when it fails; needs a GError *error. */
#define MUST(call)                                                                       \
    do {                                                                                 \
        gboolean done_ = (call);                                                         \
        must(done_, error);                                                              \
    } while (0)

/** Holds that it fails with this code, and clears the error. */
#define MUST_FAIL(call, wanted)                                                          \
    do {                                                                                 \
        if (call)                                                                        \
            fail_msg("%s went well; wanted %s", #call, wanted);                          \
        assert_non_null(error);                                                          \
        if (strcmp(motley_error_code(error), wanted) != 0)                               \
            fail_msg("%s: %s (%s); wanted %s", #call, motley_error_code(error),          \
                     error->message, wanted);                                            \
        g_clear_error(&error);                                                           \
    } while (0)

static inline int book_setup(void **state)
{
    GError *error = NULL;
    fixture *f = g_new0(fixture, 1);
    f->folder = g_dir_make_tmp("motley-store-XXXXXX", NULL);
    f->path = g_build_filename(f->folder, "test.book", NULL);
    f->book = store_book_open(f->path, STORE_OPEN_CREATE, &error);
    must(f->book != NULL, error);
    *state = f;
    return 0;
}

static inline void remove_tree(const char *path)
{
    GDir *dir = g_dir_open(path, 0, NULL);
    if (dir != NULL) {
        const char *name;
        while ((name = g_dir_read_name(dir)) != NULL) {
            g_autofree char *child = g_build_filename(path, name, NULL);
            remove_tree(child);
        }
        g_dir_close(dir);
    }
    g_remove(path);
}

static inline int book_teardown(void **state)
{
    fixture *f = *state;
    /* A test that failed has left its change open; closing would hide what failed. */
    if (f->book != NULL && f->book->writer_thread == NULL && f->book->readings->len == 0)
        store_book_close(f->book);
    remove_tree(f->folder);
    g_free(f->folder);
    g_free(f->path);
    g_free(f);
    return 0;
}

/** Runs SQL as another program would, on a connection of its own. Returns SQLite's code.
 */
static inline int run_sql(const char *path, const char *sql)
{
    sqlite3 *db = NULL;
    int code = sqlite3_open(path, &db);
    if (code == SQLITE_OK)
        code = sqlite3_exec(db, sql, NULL, NULL, NULL);
    sqlite3_close(db);
    return code;
}

/** The first column of the first row as a number. */
static inline int64_t ask_number(const char *path, const char *sql)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *query = NULL;
    int64_t number = -1;
    if (sqlite3_open(path, &db) == SQLITE_OK &&
        sqlite3_prepare_v2(db, sql, -1, &query, NULL) == SQLITE_OK &&
        sqlite3_step(query) == SQLITE_ROW)
        number = sqlite3_column_int64(query, 0);
    sqlite3_finalize(query);
    sqlite3_close(db);
    return number;
}

/** All rows that a query gives, as text. g_free() it. */
static inline char *ask_text(const char *path, const char *sql)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *query = NULL;
    GString *text = g_string_new(NULL);
    if (sqlite3_open(path, &db) != SQLITE_OK ||
        sqlite3_prepare_v2(db, sql, -1, &query, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    while (sqlite3_step(query) == SQLITE_ROW) {
        for (int i = 0; i < sqlite3_column_count(query); i++) {
            const char *value = (const char *)sqlite3_column_text(query, i);
            g_string_append_printf(text, "%s|", value != NULL ? value : "-");
        }
        g_string_append_c(text, '\n');
    }
    sqlite3_finalize(query);
    sqlite3_close(db);
    return g_string_free(text, FALSE);
}

static const char *const said_tables[] = {
    "setting", "source_said",   "fabric_said",      "swatch",     "photo",
    "scrap",   "quilt",         "quilt_role",       "block",      "block_patch",
    "bought",  "scrap_colours", "fabric_signature", "design_own",
};

/** All that the maker said and what the basket holds: what undo has to bring back. */
static inline char *dump(const char *path)
{
    GString *text = g_string_new(NULL);
    for (size_t i = 0; i < G_N_ELEMENTS(said_tables); i++) {
        g_autofree char *sql = g_strdup_printf("SELECT '%s', * FROM %s ORDER BY 1, 2, 3",
                                               said_tables[i], said_tables[i]);
        g_autofree char *rows = ask_text(path, sql);
        g_string_append(text, rows);
    }
    g_autofree char *basket = ask_text(
        path,
        "SELECT 'heap', layer, unit, ifnull(fabric, 0), ifnull(source, 0), fabric_known,"
        " counted, sum(count) FROM ledger GROUP BY 2, 3, 4, 5, 6, 7"
        " HAVING sum(count) <> 0 ORDER BY 2, 3, 4, 5, 6, 7");
    g_string_append(text, basket);
    g_autofree char *months =
        ask_text(path, "SELECT 'month', month, unit, came_in, went_out FROM basket_month"
                       " WHERE came_in <> 0 OR went_out <> 0 ORDER BY 1, 2, 3");
    g_string_append(text, months);
    return g_string_free(text, FALSE);
}
