#include "store/seal.h"

#include <errno.h>
#include <fcntl.h>
#include <glib/gstdio.h>
#include <unistd.h>

/* --- onto the disk --------------------------------------------------------------------
 */

static gboolean sync_path(const char *path, GError **error)
{
    int file = open(path, O_RDONLY | O_CLOEXEC);
    bool safe = file >= 0 && fsync(file) == 0;
    int cause = errno;
    if (file >= 0)
        close(file);
    if (!safe)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_FULL,
                    "%s could not be written to the disk: %s", path, g_strerror(cause));
    return safe;
}

gboolean store_copy_to(sqlite3 *db, const char *path, GError **error)
{
    if (g_file_test(path, G_FILE_TEST_EXISTS)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_EXISTS,
                    "there is a file %s already", path);
        return FALSE;
    }
    g_autoptr(sqlite3_stmt) copy = store_prepare(db, "VACUUM INTO ?1", error);
    if (copy == NULL)
        return FALSE;
    store_bind_text(copy, 1, path);
    /* SQLite does not wait until the copy is on the disk. */
    g_autofree char *folder = g_path_get_dirname(path);
    if (store_run(copy, error) && sync_path(path, error) && sync_path(folder, error))
        return TRUE;
    if (error != NULL &&
        g_error_matches(*error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_READ_ONLY)) {
        g_clear_error(error);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE,
                    "%s cannot be written", path);
    }
    g_unlink(path);
    return FALSE;
}

gboolean store_book_backup(store_book *book, const char *path, GError **error)
{
    g_autoptr(sqlite3) db =
        store_connect(book->path, SQLITE_OPEN_READONLY, book->patience_ms, error);
    return db != NULL && store_copy_to(db, path, error);
}

/* --- checking
 * --------------------------------------------------------------------------- */

static gboolean complain(sqlite3 *db, const char *sql, GPtrArray *complaints,
                         GError **error)
{
    g_autoptr(sqlite3_stmt) query = store_prepare(db, sql, error);
    if (query == NULL)
        return FALSE;
    for (;;) {
        bool row;
        if (!store_next(query, &row, error))
            return FALSE;
        if (!row)
            return TRUE;
        g_ptr_array_add(complaints, store_column_words(query, 0));
    }
}

/* Each gives one row a fault. */
static const char *const checks[] = {
    "SELECT integrity_check FROM pragma_integrity_check WHERE integrity_check <> 'ok'",
    "SELECT 'a row of ' || \"table\" || ' points to a row of ' || parent ||"
    " ' that is not there' FROM pragma_foreign_key_check",
    "SELECT 'the basket of unit ' || unit || ' is not the sum of the ledger' FROM"
    " (SELECT unit, squares, estimated FROM basket_unit UNION ALL"
    "  SELECT unit, -sum(count), -sum(iif(counted, 0, count)) FROM ledger GROUP BY unit)"
    " GROUP BY unit HAVING sum(squares) <> 0 OR sum(estimated) <> 0",
    "SELECT 'the basket of fabric ' || fabric || ' is not the sum of the ledger' FROM"
    " (SELECT fabric, unit, known, inferred FROM basket_fabric UNION ALL"
    "  SELECT ifnull(fabric, 0), unit, -sum(iif(fabric_known, count, 0)),"
    "   -sum(iif(fabric_known, 0, count)) FROM ledger GROUP BY 1, 2)"
    " GROUP BY fabric, unit HAVING sum(known) <> 0 OR sum(inferred) <> 0",
    "SELECT 'the basket of source ' || source || ' is not the sum of the ledger' FROM"
    " (SELECT source, unit, known, inferred FROM basket_source UNION ALL"
    "  SELECT ifnull(source, 0), unit, -sum(iif(fabric_known, count, 0)),"
    "   -sum(iif(fabric_known, 0, count)) FROM ledger GROUP BY 1, 2)"
    " GROUP BY source, unit HAVING sum(known) <> 0 OR sum(inferred) <> 0",
    "SELECT 'layer ' || layer || ' is not the sum of the ledger' FROM"
    " (SELECT layer, unit, put_in, known, inferred FROM basket_layer UNION ALL"
    "  SELECT layer, unit, -sum(iif(inward, count, 0)), -sum(iif(fabric_known, count, "
    "0)),"
    "   -sum(iif(fabric_known, 0, count)) FROM ledger GROUP BY 1, 2)"
    " GROUP BY layer, unit"
    " HAVING sum(put_in) <> 0 OR sum(known) <> 0 OR sum(inferred) <> 0",
    "SELECT 'layer ' || layer || ', fabric ' || fabric || ' is not the sum of the ledger'"
    " FROM (SELECT layer, unit, fabric, source, known, inferred FROM basket_heap UNION "
    "ALL"
    "  SELECT layer, unit, ifnull(fabric, 0), ifnull(source, 0),"
    "   -sum(iif(fabric_known, count, 0)), -sum(iif(fabric_known, 0, count))"
    "  FROM ledger GROUP BY 1, 2, 3, 4)"
    " GROUP BY layer, unit, fabric, source HAVING sum(known) <> 0 OR sum(inferred) <> 0",
    "SELECT 'month ' || month || ' is not the sum of the ledger' FROM"
    " (SELECT month, unit, came_in, went_out FROM basket_month UNION ALL"
    "  SELECT day / 100, unit, -sum(iif(inward, count, 0)), sum(iif(inward, 0, count))"
    "  FROM ledger GROUP BY 1, 2)"
    " GROUP BY month, unit HAVING sum(came_in) <> 0 OR sum(went_out) <> 0",
};

/* Whatever a damaged file makes SQLite say is a fault of the book; that it is in use is
 * not. */
static bool is_fault(const GError *error)
{
    return !g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_BUSY) &&
           !g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_FULL);
}

gboolean store_book_check(store_book *book, GPtrArray **ret_complaints, GError **error)
{
    g_autoptr(GPtrArray) complaints = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    if (reading == NULL)
        return FALSE;
    store_seal_check(reading->db, complaints);
    for (size_t i = 0; i < G_N_ELEMENTS(checks); i++) {
        g_autoptr(GError) stopped = NULL;
        if (complain(reading->db, checks[i], complaints, &stopped))
            continue;
        if (!is_fault(stopped)) {
            g_propagate_error(error, g_steal_pointer(&stopped));
            return FALSE;
        }
        g_ptr_array_add(complaints, g_strdup(stopped->message));
    }
    *ret_complaints = g_steal_pointer(&complaints);
    return TRUE;
}

/* --- restoring
 * ---------------------------------------------------------------------------- */

/* Opens a backup that is whole and of this version or an older one. */
static store_book *open_sound(const char *path, GError **error)
{
    g_autoptr(store_book) book = store_book_open(path, STORE_OPEN_READ_ONLY, error);
    g_autoptr(GPtrArray) complaints = NULL;
    if (book == NULL || !store_book_check(book, &complaints, error))
        return NULL;
    if (complaints->len > 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_DAMAGED, "%s is damaged: %s",
                    path, (const char *)complaints->pdata[0]);
        return NULL;
    }
    return g_steal_pointer(&book);
}

/* Copies all pages in one transaction of the target: all or nothing. */
static gboolean copy_pages(sqlite3 *from, sqlite3 *to, GError **error)
{
    sqlite3_backup *copy = sqlite3_backup_init(to, "main", from, "main");
    if (copy == NULL)
        return store_fail(to, sqlite3_extended_errcode(to), error);
    int code = sqlite3_backup_step(copy, -1);
    int finished = sqlite3_backup_finish(copy);
    if (code != SQLITE_DONE)
        return store_fail(to, finished != SQLITE_OK ? finished : code, error);
    return TRUE;
}

/* Others tell a new state by a higher count. */
static gboolean raise_revision(sqlite3 *db, int64_t before, GError **error)
{
    if (!store_exec(db, "BEGIN IMMEDIATE", error))
        return FALSE;
    g_autoptr(sqlite3_stmt) raise =
        store_prepare(db, "UPDATE revision SET n = max(n, ?1) + 1", error);
    if (raise != NULL) {
        sqlite3_bind_int64(raise, 1, before);
        if (store_run(raise, error) && store_seal_revision(db, error) &&
            store_exec(db, "COMMIT", error))
            return TRUE;
    }
    sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    return FALSE;
}

static gboolean swap_in(store_book *book, store_book *backup, GError **error)
{
    int64_t before;
    g_autoptr(store_reading) reading = store_reading_begin(backup, error);
    if (reading == NULL ||
        !store_number(book->writer, "SELECT n FROM revision", &before, error) ||
        !copy_pages(reading->db, book->writer, error))
        return FALSE;
    return raise_revision(book->writer, before, error);
}

gboolean store_book_restore(store_book *book, const char *backup, char **ret_kept,
                            GError **error)
{
    g_assert(!book->read_only);
    g_assert(g_atomic_pointer_get(&book->writer_thread) != g_thread_self());
    g_autoptr(store_book) sound = open_sound(backup, error);
    if (sound == NULL)
        return FALSE;

    g_autoptr(GDateTime) now = g_date_time_new_now_local();
    g_autofree char *stamp = g_date_time_format(now, "%Y%m%d-%H%M%S");
    g_autofree char *kept = g_strdup_printf("%s.before-restore-%s", book->path, stamp);
    if (!store_book_backup(book, kept, error))
        return FALSE;

    g_mutex_lock(&book->writing);
    gboolean swapped = swap_in(book, sound, error);
    g_mutex_unlock(&book->writing);
    if (!swapped)
        return FALSE;
    if (ret_kept != NULL)
        *ret_kept = g_steal_pointer(&kept);
    return TRUE;
}
