/* A small book of any version, spoilt: opened, every document read, changed, undone. What
 * comes may be wrong or an error, but it comes. The first byte chooses the version and
 * how the rest spoils it, four bytes at a time: a byte of the file (where, three bytes;
 * what), or a value of a row (table, column, row; which value). */
#include "book.h"

#include <glib/gstdio.h>
#include <math.h>
#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* --- values that no program of ours would write --------------------------------------
 */

static const sqlite3_int64 numbers[] = {
    0,         1,         -1,        2,         255,
    256,       65536,     INT32_MAX, INT32_MIN, (sqlite3_int64)INT32_MAX + 1,
    INT64_MAX, INT64_MIN, 8128,      1000000,   -8128,
    20320,
};
static const double reals[] = {
    0, -0.0, 1, -1, 0.5, 1e-300, 1e300, -1e300, 1e9, 1.0 / 3
};
static const char *const texts[] = {
    "",
    " ",
    "x",
    "\n",
    "\xff\xfe",
    "<script>alert(1)</script>",
    "null",
    "{}",
    "[]",
    "[[[0, 0], [8128, 0], [0, 8128]]]",
    "[[[0, 0], [0, 0], [0, 0]]]",
    "[[]]",
    "[[[9e999, 1], [2, 3], [4, 5]]]",
    "[[[0, 0], [9223372036854775807, 0], [0, 1]]]",
    "1e308",
    "-1",
    "9223372036854775807",
    "\xe2\x80\xae\xcc\x81",
    "../../etc/passwd",
    "block a S / S",
    "[{\"code\": 7}]",
    "{\"image_from_mat\": [0, 0, 0]}",
    "[[[[[[[[[[[[[[[[",
    "metric",
    "cut",
    "lying",
    "undone",
    "done",
};

static void bind_odd(sqlite3_stmt *update, const char *type, uint8_t which)
{
    static const uint8_t bytes[200] = { 0xff, 0xff, 0xff, 0x7f, 0, 0, 0x80, 0x7f };
    if (which == 255)
        sqlite3_bind_null(update, 1);
    else if (strcmp(type, "INTEGER") == 0)
        sqlite3_bind_int64(update, 1, numbers[which % G_N_ELEMENTS(numbers)]);
    else if (strcmp(type, "REAL") == 0)
        sqlite3_bind_double(update, 1,
                            which == 254 ? (double)INFINITY
                                         : reals[which % G_N_ELEMENTS(reals)]);
    else if (strcmp(type, "BLOB") == 0)
        sqlite3_bind_blob(update, 1, bytes + which % 8, which % 100, SQLITE_STATIC);
    else if (which == 254)
        sqlite3_bind_text(update, 1, g_strnfill(70000, 'm'), -1, g_free);
    else
        sqlite3_bind_text(update, 1, texts[which % G_N_ELEMENTS(texts)], -1,
                          SQLITE_STATIC);
}

/* The n-th row of a query of one or two texts; NULL when it fails. Free with g_free(). */
static char *pick(sqlite3 *db, const char *sql, uint8_t n, char **ret_type)
{
    sqlite3_stmt *query = NULL;
    char *found = NULL;
    if (sqlite3_prepare_v2(db, sql, -1, &query, NULL) == SQLITE_OK) {
        for (int i = 0; i <= n && sqlite3_step(query) == SQLITE_ROW; i++) {
            g_free(found);
            found = g_strdup((const char *)sqlite3_column_text(query, 0));
            if (ret_type != NULL) {
                g_free(*ret_type);
                *ret_type = g_strdup((const char *)sqlite3_column_text(query, 1));
            }
        }
    }
    sqlite3_finalize(query);
    return found;
}

static void spoil_value(sqlite3 *db, const uint8_t patch[static 4])
{
    g_autofree char *type = NULL;
    g_autofree char *table =
        pick(db, "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name",
             patch[0] % 40, NULL);
    if (table == NULL)
        return;
    g_autofree char *columns =
        g_strdup_printf("SELECT name, type FROM pragma_table_info('%s')", table);
    g_autofree char *column = pick(db, columns, patch[1] % 20, &type);
    if (column == NULL)
        return;
    /* Tables without row ids are few and small: all their rows at once. */
    g_autofree char *one = g_strdup_printf(
        "UPDATE \"%s\" SET \"%s\" = ?1 WHERE rowid = (SELECT rowid FROM \"%s\" LIMIT 1"
        " OFFSET %d)",
        table, column, table, patch[2] % 16);
    g_autofree char *all =
        g_strdup_printf("UPDATE OR IGNORE \"%s\" SET \"%s\" = ?1", table, column);
    sqlite3_stmt *update = NULL;
    if (sqlite3_prepare_v2(db, one, -1, &update, NULL) != SQLITE_OK)
        sqlite3_prepare_v2(db, all, -1, &update, NULL);
    if (update != NULL) {
        bind_odd(update, type != NULL ? type : "", patch[3]);
        sqlite3_step(update);
    }
    sqlite3_finalize(update);
}

static void spoil_values(const char *path, const uint8_t *data, size_t size)
{
    sqlite3 *db = NULL;
    FUZZ_MUST(sqlite3_open(path, &db) == SQLITE_OK);
    sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL);
    sqlite3_exec(db,
                 "PRAGMA ignore_check_constraints = ON; PRAGMA synchronous = OFF; BEGIN",
                 NULL, NULL, NULL);
    for (size_t at = 0; at + 4 <= size && at < 32; at += 4)
        spoil_value(db, data + at);
    sqlite3_exec(db, "COMMIT", NULL, NULL, NULL);
    sqlite3_close(db);
}

/* --- the whole -----------------------------------------------------------------------
 */

static const char *put_spoilt(const uint8_t *data, size_t size)
{
    gsize length;
    int version = 1 + data[0] % FUZZ_BOOK_VERSIONS;
    const void *whole = g_bytes_get_data(fuzz_book_bytes(version), &length);
    bool values = data[0] & 0x80;
    g_autofree uint8_t *bytes = g_memdup2(whole, length);
    for (size_t at = 1; !values && at + 4 <= size && at < 400; at += 4) {
        size_t where = (size_t)data[at] << 16 | (size_t)data[at + 1] << 8 | data[at + 2];
        bytes[where % length] = data[at + 3];
    }
    const char *path = fuzz_book_put(bytes, length);
    if (values)
        spoil_values(path, data + 1, size - 1);
    return path;
}

/* Some of what a maker might do next. */
static void change(app *book)
{
    static const char *const deeds[][2] = {
        { "basket.add", "{\"count\": 3}" },
        { "made", "{\"quilt\": \"Tideline\", \"place\": [2, 1]}" },
        { "made", "{\"quilt\": \"Kite\", \"kind\": \"plain\"}" },
        { "scrap.throw", "{\"scrap\": 5}" },
        { "cut.done", "{\"scraps\": [6]}" },
        { "undo", "{}" },
        { "undo", "{}" },
        { "redo", "{}" },
        { "check", "{}" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(deeds); i++) {
        json_t *fields = json_loads(deeds[i][1], 0, NULL);
        fuzz_act(book, app_action_find(deeds[i][0]), fields);
        json_decref(fields);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 1)
        return 0;
    g_autoptr(GError) error = NULL;
    g_autoptr(app) book = app_open(put_spoilt(data, size), APP_OPEN_EXISTING, &error);
    if (book == NULL) {
        FUZZ_MUST(error != NULL);
        return 0;
    }
    fuzz_read(book, size == 1 ? -1 : (data[0] & 0x7f) % FUZZ_PARTS);
    change(book);
    return 0;
}
