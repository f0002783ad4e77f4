#include "store/export-internal.h"
#include "store/export.h"
#include "store/seal.h"

#include <glib/gstdio.h>
#include <stdio.h>
#include <stdlib.h>

static gboolean unreadable(const char *path, int line, const char *why, GError **error)
{
    if (line > 0)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNREADABLE, "%s, line %d: %s",
                    path, line, why);
    else
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNREADABLE, "%s: %s", path,
                    why);
    return FALSE;
}

/* --- hexadecimal, which this SQLite writes but does not read
 * --------------------------------- */

static void unhex(sqlite3_context *context, int count, sqlite3_value **values)
{
    (void)count;
    const char *text = (const char *)sqlite3_value_text(values[0]);
    if (text == NULL)
        return; /* NULL stays NULL */
    size_t size = (size_t)sqlite3_value_bytes(values[0]) / 2;
    uint8_t *bytes = sqlite3_malloc64(size + 1);
    if (bytes == NULL) {
        sqlite3_result_error_nomem(context);
        return;
    }
    for (size_t i = 0; i < size; i++) {
        int high = g_ascii_xdigit_value(text[2 * i]);
        int low = g_ascii_xdigit_value(text[2 * i + 1]);
        if (high < 0 || low < 0) {
            sqlite3_free(bytes);
            sqlite3_result_error(context, "not hexadecimal", -1);
            return;
        }
        bytes[i] = (uint8_t)(high * 16 + low);
    }
    sqlite3_result_blob64(context, bytes, size, sqlite3_free);
}

/* --- rows
 * --------------------------------------------------------------------------------------
 */

/* INSERT of one line (?1) and, for pictures, the bytes (?2). The names of tables and
 * columns are those of our own schema. */
static gboolean insert_for(sqlite3 *db, const char *table, sqlite3_stmt **ret_insert,
                           GError **error)
{
    g_autoptr(GString) names = g_string_new(NULL);
    g_autoptr(GString) values = g_string_new(NULL);
    g_autoptr(sqlite3_stmt) columns =
        store_prepare(db, "SELECT name, type FROM pragma_table_info(?1)", error);
    if (columns == NULL)
        return FALSE;
    store_bind_text(columns, 1, table);
    for (bool row, first = true;; first = false) {
        if (!store_next(columns, &row, error))
            return FALSE;
        if (!row)
            break;
        const char *name = (const char *)sqlite3_column_text(columns, 0);
        bool blob = g_strcmp0((const char *)sqlite3_column_text(columns, 1), "BLOB") == 0;
        const char *comma = first ? "" : ", ";
        g_string_append_printf(names, "%s%s", comma, name);
        if (g_str_equal(name, "bytes"))
            g_string_append_printf(values, "%s?2", comma);
        else
            g_string_append_printf(values,
                                   blob ? "%sunhex(json_extract(?1, '$.%s'))"
                                        : "%sjson_extract(?1, '$.%s')",
                                   comma, name);
    }
    g_autofree char *insert = g_strdup_printf("INSERT INTO %s (%s) VALUES (%s)", table,
                                              names->str, values->str);
    *ret_insert = store_prepare(db, insert, error);
    return *ret_insert != NULL;
}

static gboolean bind_picture(sqlite3_stmt *insert, const char *folder, const char *line,
                             GError **error)
{
    sqlite3 *db = sqlite3_db_handle(insert);
    g_autoptr(sqlite3_stmt) query =
        store_prepare(db, "SELECT json_extract(?1, '$.id')", error);
    bool row;
    if (query == NULL)
        return FALSE;
    store_bind_text(query, 1, line);
    if (!store_next(query, &row, error))
        return FALSE;
    g_autofree char *path = g_strdup_printf("%s/pictures/%" PRId64 ".jpg", folder,
                                            (int64_t)sqlite3_column_int64(query, 0));
    char *bytes = NULL;
    gsize size = 0;
    if (!g_file_get_contents(path, &bytes, &size, NULL))
        return unreadable(path, 0, "the picture is missing", error);
    sqlite3_bind_blob64(insert, 2, bytes, size, g_free);
    return TRUE;
}

static gboolean import_line(sqlite3_stmt *insert, const char *folder, const char *line,
                            bool picture, GError **error)
{
    sqlite3_reset(insert);
    store_bind_text(insert, 1, line);
    return (!picture || bind_picture(insert, folder, line, error)) &&
           store_run(insert, error);
}

/* What stands wrong in the file is said with its place; what the disk does is not. */
static gboolean say_where(const char *path, int line, GError *wrong, GError **error)
{
    if (wrong->code != MOTLEY_ERROR_INTERNAL) {
        g_propagate_error(error, wrong);
        return FALSE;
    }
    unreadable(path, line, wrong->message, error);
    g_error_free(wrong);
    return FALSE;
}

/* Tables that an export of an earlier version cannot have. */
static bool came_later(const char *table, int version)
{
    return version < 2 && g_str_equal(table, "block_colours");
}

static gboolean import_table(sqlite3 *db, const char *folder, int version,
                             const char *table, GError **error)
{
    g_autofree char *path = g_strdup_printf("%s/tables/%s.jsonl", folder, table);
    g_autoptr(sqlite3_stmt) insert = NULL;
    if (!insert_for(db, table, &insert, error))
        return FALSE;
    FILE *file = g_fopen(path, "rb");
    if (file == NULL && came_later(table, version))
        return TRUE;
    if (file == NULL)
        return unreadable(path, 0, "the file is missing", error);

    GError *wrong = NULL;
    char *line = NULL;
    size_t room = 0;
    int number = 0;
    while (wrong == NULL && getline(&line, &room, file) > 0) {
        number++;
        if (!import_line(insert, folder, line, g_str_equal(table, "picture"), &wrong))
            break;
    }
    bool ended = wrong != NULL || feof(file);
    free(line); /* getline's, not GLib's */
    fclose(file);
    if (wrong != NULL)
        return say_where(path, number, wrong, error);
    return ended ? TRUE : unreadable(path, number, "it cannot be read", error);
}

/* --- all of it
 * ---------------------------------------------------------------------------------- */

static gboolean check_about(sqlite3 *db, const char *folder, int *ret_version,
                            GError **error)
{
    g_autofree char *path = g_build_filename(folder, "book.json", NULL);
    g_autofree char *text = NULL;
    if (!g_file_get_contents(path, &text, NULL, NULL))
        return unreadable(folder, 0, "there is no book.json in it", error);
    g_autoptr(sqlite3_stmt) query = store_prepare(
        db,
        "SELECT iif(json_valid(?1), json_extract(?1, '$.format') = 'motley book', 0),"
        "       iif(json_valid(?1), json_extract(?1, '$.version'), 0)",
        error);
    bool row;
    if (query == NULL)
        return FALSE;
    store_bind_text(query, 1, text);
    if (!store_next(query, &row, error))
        return FALSE;
    int version = sqlite3_column_int(query, 1);
    if (!sqlite3_column_int(query, 0) || version < 1)
        return unreadable(path, 0, "it does not tell of a book", error);
    if (version > store_schema_version()) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NEWER,
                    "%s was written by a newer version of this program", folder);
        return FALSE;
    }
    *ret_version = version;
    return TRUE;
}

static gboolean fill(sqlite3 *db, const char *folder, int version, GError **error)
{
    /* Rows may come before those that they point to. */
    if (!store_exec(db, "BEGIN IMMEDIATE; PRAGMA defer_foreign_keys = ON", error))
        return FALSE;
    for (int i = 1; store_export_tables[i] != NULL; i++)
        if (!import_table(db, folder, version, store_export_tables[i], error))
            return FALSE;
    /* Ids that were given once are not given again; so these come last. */
    if (!store_exec(db, "DELETE FROM sqlite_sequence", error) ||
        !import_table(db, folder, version, store_export_tables[0], error) ||
        !store_seal_all(db, error))
        return FALSE;
    GError *wrong = NULL;
    if (!store_exec(db, "COMMIT", &wrong))
        return say_where(folder, 0, wrong, error);
    return TRUE;
}

/* Makes a new book of the folder; nothing of it is in use yet. */
static gboolean build(const char *path, const char *folder, GError **error)
{
    g_autoptr(store_book) book = store_book_open(path, STORE_OPEN_CREATE, error);
    if (book == NULL)
        return FALSE;
    sqlite3_create_function(book->writer, "unhex", 1, SQLITE_UTF8 | SQLITE_DETERMINISTIC,
                            NULL, unhex, NULL, NULL);
    int version = 0;
    return check_about(book->writer, folder, &version, error) &&
           fill(book->writer, folder, version, error);
}

gboolean store_import(store_book *book, const char *folder, char **ret_kept,
                      GError **error)
{
    g_autofree char *path = g_strconcat(store_book_path(book), ".import", NULL);
    store_remove_book(path); /* of an import that was cut short */
    gboolean done =
        build(path, folder, error) && store_book_restore(book, path, ret_kept, error);
    store_remove_book(path);
    return done;
}
