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
        char *words = store_column_words(query, 0);
        g_ptr_array_add(complaints, g_strdelimit(words, "\n", ' ')); /* a line each */
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

bool store_is_fault(const GError *error)
{
    return !g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_BUSY) &&
           !g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_FULL) &&
           !g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_MEMORY);
}

gboolean store_book_check(store_book *book, GPtrArray **ret_complaints, GError **error)
{
    g_autoptr(GPtrArray) complaints = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    if (reading == NULL)
        return FALSE;
    if (!store_seal_check(reading->db, complaints, error))
        return FALSE;
    for (size_t i = 0; i < G_N_ELEMENTS(checks); i++) {
        g_autoptr(GError) stopped = NULL;
        if (complain(reading->db, checks[i], complaints, &stopped))
            continue;
        if (!store_is_fault(stopped)) {
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

static gboolean is_older(const char *path, bool *ret_older, GError **error)
{
    bool empty;
    int version;
    g_autoptr(sqlite3) db = NULL;
    if (!g_file_test(path, G_FILE_TEST_IS_REGULAR)) {
        *ret_older = false; /* opening says what it is */
        return TRUE;
    }
    db = store_connect(path, SQLITE_OPEN_READONLY, 0, error);
    if (db == NULL || !store_recognise(db, path, &empty, &version, error))
        return FALSE;
    *ret_older = !empty && version < store_schema_version();
    return TRUE;
}

/* Copies a file as it is, whatever is in it, onto the disk. */
static gboolean copy_file(const char *from, const char *to, GError **error)
{
    g_autoptr(GError) cause = NULL;
    g_autoptr(GMappedFile) bytes = g_mapped_file_new(from, FALSE, &cause);
    if (bytes != NULL && g_file_set_contents_full(to, g_mapped_file_get_contents(bytes),
                                                  (gssize)g_mapped_file_get_length(bytes),
                                                  G_FILE_SET_CONTENTS_CONSISTENT |
                                                      G_FILE_SET_CONTENTS_DURABLE,
                                                  0600, &cause))
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE,
                "%s could not be copied: %s", from, cause->message);
    return FALSE;
}

void store_remove_book(const char *path)
{
    g_autofree char *log = g_strconcat(path, "-wal", NULL);
    g_autofree char *index = g_strconcat(path, "-shm", NULL);
    g_unlink(path);
    g_unlink(log);
    g_unlink(index);
}

/* Brings a copy of an older version to the present, beside the book. */
static store_book *open_brought_up(const char *beside, const char *path, GError **error)
{
    g_autofree char *part = g_strconcat(beside, ".restoring", NULL);
    g_autofree char *before =
        g_strdup_printf("%s.before-%d", part, store_schema_version());
    store_remove_book(part); /* of a restore that was cut short */
    store_book *book = NULL;
    if (copy_file(path, part, error))
        book = store_book_open(part, STORE_OPEN_EXISTING, error);
    g_unlink(before);
    if (book == NULL)
        store_remove_book(part);
    return book;
}

/* A backup that is whole. */
typedef struct sound_backup {
    store_book *book;
    bool brought_up; /* it lies beside the book for the while */
} sound_backup;

static void sound_backup_clear(sound_backup *self)
{
    g_autofree char *path =
        self->brought_up && self->book != NULL ? g_strdup(self->book->path) : NULL;
    g_clear_pointer(&self->book, store_book_close);
    if (path != NULL)
        store_remove_book(path);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(sound_backup, sound_backup_clear)

static gboolean open_sound(const char *beside, const char *path, sound_backup *ret,
                           GError **error)
{
    g_autoptr(GPtrArray) complaints = NULL;
    if (!is_older(path, &ret->brought_up, error))
        return FALSE;
    ret->book = ret->brought_up ? open_brought_up(beside, path, error)
                                : store_book_open(path, STORE_OPEN_READ_ONLY, error);
    if (ret->book == NULL || !store_book_check(ret->book, &complaints, error))
        return FALSE;
    if (complaints->len == 0)
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_DAMAGED, "%s is damaged: %s",
                path, (const char *)complaints->pdata[0]);
    return FALSE;
}

static char *kept_path(const char *book)
{
    g_autoptr(GDateTime) now = g_date_time_new_now_local();
    g_autofree char *stamp = g_date_time_format(now, "%Y%m%d-%H%M%S");
    return g_strdup_printf("%s.before-restore-%s", book, stamp);
}

/* A damaged book may not let itself be read through; so its files are copied. */
static gboolean keep_damaged(const store_book *book, const char *kept, GError **error)
{
    g_autofree char *log = g_strconcat(book->path, "-wal", NULL);
    g_autofree char *log_kept = g_strconcat(kept, "-wal", NULL);
    GStatBuf found;
    return copy_file(book->path, kept, error) &&
           (g_stat(log, &found) != 0 || found.st_size == 0 ||
            copy_file(log, log_kept, error));
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

static gboolean swap_in(sqlite3 *db, store_book *backup, GError **error)
{
    int64_t before = 0;
    g_autoptr(store_reading) reading = store_reading_begin(backup, error);
    /* In a damaged book it may be beyond reading. */
    if (!store_number(db, "SELECT n FROM revision", &before, NULL))
        before = 0;
    return reading != NULL && copy_pages(reading->db, db, error) &&
           raise_revision(db, before, error);
}

/* With the mutex of changes held. */
static gboolean swap_damaged(store_book *book, store_book *backup, const char *kept,
                             GError **error)
{
    g_autoptr(sqlite3) db = NULL;
    if (!keep_damaged(book, kept, error))
        return FALSE;
    if (book->writer == NULL) {
        db = store_connect(book->path, SQLITE_OPEN_READWRITE, book->patience_ms, error);
        if (db == NULL)
            return FALSE;
    }
    if (!swap_in(book->writer != NULL ? book->writer : db, backup, error))
        return FALSE;
    g_clear_pointer(&db, sqlite3_close_v2);
    if (book->writer == NULL && !store_book_open_writer(book, error))
        return FALSE;
    store_damage_forget(book);
    return TRUE;
}

gboolean store_book_restore(store_book *book, const char *path, char **ret_kept,
                            GError **error)
{
    g_assert(!book->read_only);
    g_assert(g_atomic_pointer_get(&book->writer_thread) != g_thread_self());
    g_auto(sound_backup) sound = { 0 };
    if (!open_sound(book->path, path, &sound, error))
        return FALSE;

    g_autofree char *kept = kept_path(book->path);
    g_autofree char *damage = store_book_damage(book);
    if (damage == NULL && !store_book_backup(book, kept, error))
        return FALSE;

    g_mutex_lock(&book->writing);
    gboolean swapped = damage != NULL ? swap_damaged(book, sound.book, kept, error)
                                      : swap_in(book->writer, sound.book, error);
    g_mutex_unlock(&book->writing);
    if (!swapped)
        return FALSE;
    if (ret_kept != NULL)
        *ret_kept = g_steal_pointer(&kept);
    return TRUE;
}

/* Moves the book and its log; what is not there is no fault. */
static gboolean move_book(const char *from, const char *to, GError **error)
{
    g_autofree char *log = g_strconcat(from, "-wal", NULL);
    g_autofree char *log_to = g_strconcat(to, "-wal", NULL);
    g_autofree char *index = g_strconcat(from, "-shm", NULL);
    if (g_rename(from, to) != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE,
                    "%s cannot be moved: %s", from, g_strerror(errno));
        return FALSE;
    }
    g_rename(log, log_to);
    g_unlink(index);
    return TRUE;
}

gboolean store_restore_file(const char *book, const char *path, char **ret_kept,
                            GError **error)
{
    g_auto(sound_backup) sound = { 0 };
    g_autofree char *kept = kept_path(book);
    g_autofree char *note = g_strconcat(book, ".damage", NULL);
    if (!open_sound(book, path, &sound, error) || !move_book(book, kept, error))
        return FALSE;
    if (!store_book_backup(sound.book, book, error)) {
        move_book(kept, book, NULL);
        return FALSE;
    }
    g_unlink(note);
    if (ret_kept != NULL)
        *ret_kept = g_steal_pointer(&kept);
    return TRUE;
}
