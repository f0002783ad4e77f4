#include "store/export.h"

#include "store/export-internal.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <string.h>

/* In an order in which each row finds those that it points to, as far as there is one. */
const char *const store_export_tables[] = {
    "sqlite_sequence", "journal",       "picture",          "setting",
    "device",          "source",        "source_said",      "fabric",
    "fabric_said",     "swatch",        "fabric_signature", "photo",
    "scrap",           "scrap_colours", "design_own",       "quilt",
    "quilt_role",      "block",         "block_patch",      "block_colours",
    "bought",          "layer",         "ledger",           NULL,
};

static const struct {
    const char *name, *query;
} sheets[] = {
    { "fabrics.csv",
      "SELECT f.id AS fabric, s.name, s.note,"
      " CASE coalesce(s.value, (SELECT g.value FROM fabric_signature g"
      "   WHERE g.fabric = f.id ORDER BY g.id LIMIT 1))"
      "  WHEN 0 THEN 'light' WHEN 1 THEN 'medium' WHEN 2 THEN 'dark' END AS value,"
      " s.same_as, datetime(f.created, 'unixepoch') || ' UTC' AS created,"
      " (SELECT sum(known) FROM basket_fabric b WHERE b.fabric = f.id) AS squares_known,"
      " (SELECT sum(inferred) FROM basket_fabric b WHERE b.fabric = f.id)"
      "  AS squares_inferred"
      " FROM fabric f JOIN fabric_said s ON s.fabric = f.id ORDER BY f.id" },
    { "sources.csv", "SELECT source, name, kind, note FROM source_said ORDER BY source" },
    { "quilts.csv",
      "SELECT id AS quilt, name, design, across, down, unit / 8128.0 AS unit_in,"
      " seam / 8128.0 AS seam_in, datetime(started, 'unixepoch') || ' UTC' AS started,"
      " datetime(closed, 'unixepoch') || ' UTC' AS closed,"
      " (SELECT count(*) FROM block b WHERE b.quilt = q.id) AS blocks_made, note"
      " FROM quilt q ORDER BY id" },
    { "blocks.csv",
      "SELECT b.id AS block, b.quilt, q.name AS quilt_name, b.kind, b.row, b.col, b.turn,"
      " datetime(b.made_at, 'unixepoch') || ' UTC' AS made"
      " FROM block b JOIN quilt q ON q.id = b.quilt ORDER BY b.id" },
    { "ledger.csv",
      "SELECT l.id, datetime(l.at, 'unixepoch') || ' UTC' AS at, j.what AS change,"
      " l.layer, l.unit / 8128.0 AS unit_in, l.fabric, s.name AS fabric_name,"
      " o.name AS source, l.count, l.how, l.fabric_known, l.counted, l.block, l.reverses"
      " FROM ledger l JOIN journal j ON j.id = l.change"
      " LEFT JOIN fabric_said s ON s.fabric = l.fabric"
      " LEFT JOIN source_said o ON o.source = l.source ORDER BY l.id" },
};

/* --- files
 * ------------------------------------------------------------------------------------ */

static gboolean unwritable(const char *path, GError **error)
{
    int cause = errno;
    bool full = cause == ENOSPC || cause == EFBIG || cause == EDQUOT;
    g_set_error(error, MOTLEY_ERROR,
                full ? MOTLEY_ERROR_STORE_FULL : MOTLEY_ERROR_FILE_UNWRITABLE,
                "%s cannot be written: %s", path, g_strerror(cause));
    return FALSE;
}

static gboolean make_folder(const char *path, GError **error)
{
    return g_mkdir_with_parents(path, 0755) == 0 ? TRUE : unwritable(path, error);
}

static gboolean write_file(const char *path, const void *bytes, gsize size,
                           GError **error)
{
    FILE *file = g_fopen(path, "wb");
    if (file == NULL)
        return unwritable(path, error);
    bool written = fwrite(bytes, 1, size, file) == size;
    if (fclose(file) != 0 || !written)
        return unwritable(path, error);
    return TRUE;
}

static void remove_all(const char *path)
{
    g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        g_autofree char *child = g_build_filename(path, name, NULL);
        if (g_file_test(child, G_FILE_TEST_IS_DIR) &&
            !g_file_test(child, G_FILE_TEST_IS_SYMLINK))
            remove_all(child);
        else
            g_unlink(child);
    }
    g_rmdir(path);
}

/* Writes each row of a query by a function of its own. */
typedef void write_row(FILE *file, sqlite3_stmt *row);

static gboolean write_rows(store_reading *reading, const char *path, const char *query,
                           write_row *header, write_row *write, GError **error)
{
    g_autoptr(sqlite3_stmt) rows = store_prepare(reading->db, query, error);
    if (rows == NULL)
        return FALSE;
    FILE *file = g_fopen(path, "wb");
    if (file == NULL)
        return unwritable(path, error);
    gboolean read;
    bool row = true;
    if (header != NULL)
        header(file, rows);
    while ((read = store_next(rows, &row, error)) && row && !ferror(file))
        write(file, rows);
    bool written = !ferror(file);
    if (fclose(file) != 0)
        written = false;
    if (read && !written)
        return unwritable(path, error);
    return read;
}

/* --- tables as JSON lines
 * ---------------------------------------------------------------------- */

/* The names of our own tables and columns, which the schema gives: no values. */
static gboolean json_query(store_reading *reading, const char *table, char **ret_query,
                           GError **error)
{
    g_autoptr(GString) query = g_string_new("SELECT json_object(");
    g_autoptr(sqlite3_stmt) columns = store_prepare(
        reading->db, "SELECT name, type FROM pragma_table_info(?1) WHERE name <> 'bytes'",
        error);
    if (columns == NULL)
        return FALSE;
    store_bind_text(columns, 1, table);
    for (bool row, first = true;; first = false) {
        if (!store_next(columns, &row, error))
            return FALSE;
        if (!row)
            break;
        const char *name = (const char *)sqlite3_column_text(columns, 0);
        const char *type = (const char *)sqlite3_column_text(columns, 1);
        /* SQLite's own JSON keeps 15 digits; a double needs 17 to come back. */
        const char *form =
            g_str_equal(type, "BLOB") ? "'%s', iif(%s IS NULL, NULL, hex(%s))"
            : g_str_equal(type, "REAL")
                ? "'%s', iif(%s IS NULL, NULL, json(printf('%%!.17g', %s)))"
                : NULL;
        if (!first)
            g_string_append(query, ", ");
        if (form == NULL)
            g_string_append_printf(query, "'%s', %s", name, name);
        else {
            g_autoptr(GString) part = g_string_new(form);
            g_string_replace(part, "%s", name, 0);
            g_string_replace(part, "%%", "%", 0);
            g_string_append(query, part->str);
        }
    }
    g_string_append_printf(query, ") FROM %s", table);
    if (g_str_equal(table, "scrap_colours"))
        g_string_append(query, " WHERE scrap IN (SELECT id FROM scrap)");
    *ret_query = g_string_free(g_steal_pointer(&query), FALSE);
    return TRUE;
}

static void write_line(FILE *file, sqlite3_stmt *row)
{
    fputs((const char *)sqlite3_column_text(row, 0), file);
    fputc('\n', file);
}

static gboolean export_tables(store_reading *reading, const char *folder, GError **error)
{
    g_autofree char *tables = g_build_filename(folder, "tables", NULL);
    if (!make_folder(tables, error))
        return FALSE;
    for (int i = 0; store_export_tables[i] != NULL; i++) {
        g_autofree char *name = g_strconcat(store_export_tables[i], ".jsonl", NULL);
        g_autofree char *path = g_build_filename(tables, name, NULL);
        g_autofree char *query = NULL;
        if (!json_query(reading, store_export_tables[i], &query, error) ||
            !write_rows(reading, path, query, NULL, write_line, error))
            return FALSE;
    }
    return TRUE;
}

static gboolean export_pictures(store_reading *reading, const char *folder,
                                GError **error)
{
    g_autofree char *pictures = g_build_filename(folder, "pictures", NULL);
    g_autoptr(sqlite3_stmt) query =
        store_prepare(reading->db, "SELECT id, bytes FROM picture ORDER BY id", error);
    if (query == NULL || !make_folder(pictures, error))
        return FALSE;
    for (;;) {
        bool row;
        if (!store_next(query, &row, error))
            return FALSE;
        if (!row)
            return TRUE;
        g_autofree char *path = g_strdup_printf("%s/%" PRId64 ".jpg", pictures,
                                                (int64_t)sqlite3_column_int64(query, 0));
        const void *bytes = sqlite3_column_blob(query, 1);
        if (!write_file(path, bytes, (gsize)sqlite3_column_bytes(query, 1), error))
            return FALSE;
    }
}

/* --- sheets
 * ------------------------------------------------------------------------------------ */

/* RFC 4180: quoted where a comma, quote or line end is within, quotes doubled. */
static void write_cell(FILE *file, bool first, const char *text)
{
    if (!first)
        fputc(',', file);
    if (text == NULL)
        return;
    bool quoted = strpbrk(text, ",\"\r\n") != NULL;
    if (quoted)
        fputc('"', file);
    for (const char *at = text; *at != '\0'; at++) {
        if (*at == '"')
            fputc('"', file);
        fputc(*at, file);
    }
    if (quoted)
        fputc('"', file);
}

static void write_names(FILE *file, sqlite3_stmt *row)
{
    for (int i = 0; i < sqlite3_column_count(row); i++)
        write_cell(file, i == 0, sqlite3_column_name(row, i));
    fputs("\r\n", file);
}

static void write_cells(FILE *file, sqlite3_stmt *row)
{
    for (int i = 0; i < sqlite3_column_count(row); i++)
        write_cell(file, i == 0, (const char *)sqlite3_column_text(row, i));
    fputs("\r\n", file);
}

static gboolean export_sheets(store_reading *reading, const char *folder, GError **error)
{
    for (size_t i = 0; i < G_N_ELEMENTS(sheets); i++) {
        g_autofree char *path = g_build_filename(folder, sheets[i].name, NULL);
        if (!write_rows(reading, path, sheets[i].query, write_names, write_cells, error))
            return FALSE;
    }
    return TRUE;
}

/* --- all of it
 * ---------------------------------------------------------------------------------- */

static gboolean export_into(store_book *book, const char *folder, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autofree char *path = g_build_filename(folder, "book.json", NULL);
    g_autofree char *about = g_strdup_printf(
        "{\"format\": \"motley book\", \"version\": %d}\n", store_schema_version());
    return reading != NULL && make_folder(folder, error) &&
           export_tables(reading, folder, error) &&
           export_pictures(reading, folder, error) &&
           export_sheets(reading, folder, error) &&
           write_file(path, about, strlen(about), error);
}

gboolean store_export(store_book *book, const char *folder, GError **error)
{
    /* Made beside it and moved at the end, so that no half of it is ever there. */
    g_autofree char *trimmed = g_strdup(folder);
    for (size_t end = strlen(trimmed); end > 1 && trimmed[end - 1] == '/'; end--)
        trimmed[end - 1] = '\0';
    g_autofree char *part = g_strconcat(trimmed, ".part", NULL);
    g_autoptr(GDir) there = g_dir_open(trimmed, 0, NULL);
    if ((there != NULL && g_dir_read_name(there) != NULL) ||
        (there == NULL && g_file_test(trimmed, G_FILE_TEST_EXISTS)) ||
        g_file_test(part, G_FILE_TEST_EXISTS)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_EXISTS,
                    "%s holds something already", trimmed);
        return FALSE;
    }
    if (export_into(book, part, error) &&
        (g_rename(part, trimmed) == 0 || unwritable(trimmed, error)))
        return TRUE;
    remove_all(part);
    return FALSE;
}
