#include "store/daily.h"
#include "store/seal.h"

#include <glib/gstdio.h>
#include <sys/stat.h>

enum { PATIENCE_MS = 5000 };

/* --- opening
 * ------------------------------------------------------------------------------ */

/* Looks at the file before SQLite does, which would wait on a pipe and make what is not
 * there. */
static gboolean look_at_file(const char *path, store_open_mode mode, GError **error)
{
    struct stat found;
    if (g_stat(path, &found) == 0) {
        if (S_ISREG(found.st_mode))
            return TRUE;
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NOT_A_BOOK,
                    S_ISDIR(found.st_mode) ? "%s is a folder, not a book"
                                           : "%s is not a file, so not a book",
                    path);
        return FALSE;
    }
    int cause = errno;
    if (cause != ENOENT) {
        g_set_error(error, MOTLEY_ERROR,
                    cause == ENOTDIR ? MOTLEY_ERROR_STORE_NO_BOOK
                                     : MOTLEY_ERROR_FILE_UNREADABLE,
                    "%s cannot be opened: %s", path, g_strerror(cause));
        return FALSE;
    }
    if (mode != STORE_OPEN_CREATE) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NO_BOOK,
                    "there is no book %s", path);
        return FALSE;
    }

    g_autofree char *folder = g_path_get_dirname(path);
    if (g_mkdir_with_parents(folder, 0755) != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE,
                    "the folder %s cannot be made: %s", folder, g_strerror(errno));
        return FALSE;
    }
    return TRUE;
}

sqlite3 *store_connect(const char *path, int flags, int patience_ms, GError **error)
{
    g_autoptr(sqlite3) db = NULL;
    int code = sqlite3_open_v2(path, &db,
                               flags | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE, NULL);
    if (code != SQLITE_OK) {
        store_fail(db, code, error);
        return NULL;
    }
    sqlite3_busy_timeout(db, patience_ms);
    sqlite3_db_config(db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    /* recursive_triggers: so that REPLACE, which deletes, meets the triggers that keep
     * the ledger append-only. synchronous: with FULL, a commit of a rollback journal can
     * be lost with the power; beside a log EXTRA costs nothing. */
    if (!store_exec(db,
                    "PRAGMA foreign_keys = ON; PRAGMA trusted_schema = OFF;"
                    "PRAGMA recursive_triggers = ON; PRAGMA synchronous = EXTRA;"
                    "PRAGMA temp_store = MEMORY",
                    error))
        return NULL;
    return g_steal_pointer(&db);
}

gboolean store_recognise(sqlite3 *db, const char *path, bool *ret_empty, int *ret_version,
                         GError **error)
{
    int64_t application, version, pages;
    if (!store_number(db, "PRAGMA application_id", &application, error) ||
        !store_number(db, "PRAGMA user_version", &version, error) ||
        !store_number(db, "PRAGMA page_count", &pages, error)) {
        g_prefix_error(error, "%s: ", path);
        return FALSE;
    }
    if (pages != 0 && application != STORE_APPLICATION_ID) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NOT_A_BOOK,
                    "%s belongs to another program; it is not a book", path);
        return FALSE;
    }
    int64_t sealed;
    if (version != store_schema_version() &&
        store_number(db, "SELECT key FROM seal WHERE part = 'schema'", &sealed, NULL) &&
        sealed != version) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_DAMAGED,
                    "%s: the version of the book is not as it was written", path);
        return FALSE;
    }
    if (version > store_schema_version()) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NEWER,
                    "%s was written by a newer version of this program", path);
        return FALSE;
    }
    *ret_empty = pages == 0;
    *ret_version = (int)version;
    return TRUE;
}

/* Where no file can be made beside the book, SQLite cannot coordinate with writers; but
 * then nobody writes. Changes that wait in a log beside the book would be missed. */
static sqlite3 *connect_immutable(const char *path, int patience_ms, GError **error)
{
    g_autofree char *log = g_strconcat(path, "-wal", NULL);
    struct stat found;
    if (g_stat(log, &found) == 0 && found.st_size > 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_READ_ONLY,
                            "it was not closed, and its folder may only be read");
        return NULL;
    }
    g_autofree char *escaped = g_uri_escape_string(path, "/", TRUE);
    g_autofree char *uri = g_strdup_printf("file:%s?immutable=1", escaped);
    return store_connect(uri, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, patience_ms, error);
}

static sqlite3 *connect_reader(const store_book *book, GError **error)
{
    sqlite3 *db =
        book->immutable
            ? connect_immutable(book->path, book->patience_ms, error)
            : store_connect(book->path, SQLITE_OPEN_READONLY, book->patience_ms, error);
    if (db == NULL)
        g_prefix_error(error, "%s: ", book->path);
    return db;
}

static gboolean open_for_reading(store_book *book, GError **error)
{
    bool empty;
    int version;
    g_autoptr(GError) refused = NULL;
    g_autoptr(sqlite3) db = connect_reader(book, error);
    if (db == NULL)
        return FALSE;
    if (!store_recognise(db, book->path, &empty, &version, &refused)) {
        if (!g_error_matches(refused, MOTLEY_ERROR, MOTLEY_ERROR_STORE_READ_ONLY)) {
            g_propagate_error(error, g_steal_pointer(&refused));
            return FALSE;
        }
        book->immutable = true;
        g_clear_pointer(&db, sqlite3_close_v2);
        db = connect_reader(book, error);
        if (db == NULL || !store_recognise(db, book->path, &empty, &version, error))
            return FALSE;
    }
    if (empty) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NOT_A_BOOK,
                    "%s is empty; it is not a book", book->path);
        return FALSE;
    }
    if (version < store_schema_version()) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_READ_ONLY,
                    "%s is of an older version and has to be brought up to date first",
                    book->path);
        return FALSE;
    }
    g_ptr_array_add(book->idle, g_steal_pointer(&db));
    return TRUE;
}

static gboolean open_for_writing(store_book *book, store_open_mode mode, GError **error)
{
    int flags = SQLITE_OPEN_READWRITE;
    if (mode == STORE_OPEN_CREATE)
        flags |= SQLITE_OPEN_CREATE;
    book->writer = store_connect(book->path, flags, book->patience_ms, error);
    if (book->writer == NULL) {
        g_prefix_error(error, "%s: ", book->path);
        return FALSE;
    }

    bool empty;
    int version;
    if (!store_recognise(book->writer, book->path, &empty, &version, error))
        return FALSE;
    if (empty && mode != STORE_OPEN_CREATE) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NOT_A_BOOK,
                    "%s is empty; it is not a book", book->path);
        return FALSE;
    }
    if (sqlite3_db_readonly(book->writer, "main") == 1) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_READ_ONLY,
                    "%s may only be read", book->path);
        return FALSE;
    }
    book->roll_back = store_prepare(book->writer, "ROLLBACK", error);
    if (book->roll_back == NULL)
        return FALSE;
    /* Where the file system cannot share memory this stays a rollback journal: slower,
     * and as safe. Some network disks only seem to share it. */
    if (!store_exec(book->writer,
                    book->network != NULL ? "PRAGMA journal_mode = DELETE"
                                          : "PRAGMA journal_mode = WAL",
                    error) ||
        (version < store_schema_version() &&
         !store_migrate_to_present(book->writer, book->path, error))) {
        g_prefix_error(error, "%s: ", book->path);
        return FALSE;
    }
    return store_seal_check_schema(book->writer, error);
}

static void close_writer(store_book *book)
{
    g_clear_pointer(&book->roll_back, sqlite3_finalize);
    g_clear_pointer(&book->writer, sqlite3_close_v2);
}

gboolean store_book_open_writer(store_book *book, GError **error)
{
    g_assert(book->writer == NULL && !book->read_only);
    if (open_for_writing(book, STORE_OPEN_EXISTING, error))
        return TRUE;
    close_writer(book);
    return FALSE;
}

/* A book that is damaged, or was found to be, is opened for reading, as far as that goes.
 */
static gboolean open_as_it_is(store_book *book, store_open_mode mode, GError **error)
{
    GError *refused = NULL;
    if (store_damage_known(book))
        return open_for_reading(book, error);
    if (open_for_writing(book, mode, &refused))
        return TRUE;
    close_writer(book);
    if (g_error_matches(refused, MOTLEY_ERROR, MOTLEY_ERROR_STORE_DAMAGED) &&
        open_for_reading(book, NULL)) {
        store_damage_set(book, refused->message);
        g_error_free(refused);
        return TRUE;
    }
    g_propagate_error(error, refused);
    return FALSE;
}

static void close_connection(void *db)
{
    sqlite3_close_v2(db);
}

/* Before SQLite touches the file. */
static gboolean settle_in(store_book *book, const store_place *place, GError **error)
{
    g_autofree char *folder = g_path_get_dirname(book->path);
    book->network = place->network_of(folder);
    if (book->network == NULL || book->read_only)
        return TRUE;
    g_autofree char *machine = place->machine();
    book->hold = store_hold_begin(book->path, machine, error);
    return book->hold >= 0;
}

/* A file of which there are daily copies is no other program's: its first bytes are
 * spoilt. */
static GError *was_a_book(const char *path, GError *refused)
{
    if (!g_error_matches(refused, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NOT_A_BOOK))
        return refused;
    g_autoptr(GArray) copies = store_copies(path);
    for (guint i = 0; i < copies->len; i++)
        if (g_array_index(copies, store_copy, i).daily) {
            g_error_free(refused);
            return g_error_new(MOTLEY_ERROR, MOTLEY_ERROR_STORE_DAMAGED,
                               "%s was a book, and its beginning is damaged", path);
        }
    return refused;
}

store_book *store_book_open_placed(const char *path, store_open_mode mode,
                                   int patience_ms, const store_place *place,
                                   GError **error)
{
    if (!look_at_file(path, mode, error))
        return NULL;

    g_autoptr(store_book) book = g_new0(store_book, 1);
    book->path = g_strdup(path);
    book->patience_ms = patience_ms;
    book->read_only = mode == STORE_OPEN_READ_ONLY;
    book->idle = g_ptr_array_new_with_free_func(close_connection);
    book->readings = g_ptr_array_new();
    g_mutex_init(&book->writing);
    g_mutex_init(&book->pool);
    book->hold = -1;
    GError *refused = NULL;
    if (!settle_in(book, place, &refused) ||
        !(book->read_only ? open_for_reading(book, &refused)
                          : open_as_it_is(book, mode, &refused))) {
        g_propagate_error(error, was_a_book(path, refused));
        return NULL;
    }
    return g_steal_pointer(&book);
}

store_book *store_book_open_patient(const char *path, store_open_mode mode,
                                    int patience_ms, GError **error)
{
    return store_book_open_placed(path, mode, patience_ms, &store_place_here, error);
}

store_book *store_book_open(const char *path, store_open_mode mode, GError **error)
{
    return store_book_open_patient(path, mode, PATIENCE_MS, error);
}

void store_book_close(store_book *book)
{
    if (book == NULL)
        return;
    g_assert(book->readings->len == 0 && book->writer_thread == NULL);
    g_ptr_array_unref(book->readings);
    /* The writer last: it then folds the log into the file and takes it away, so that a
     * closed book is one file. */
    g_ptr_array_unref(book->idle);
    sqlite3_finalize(book->roll_back);
    sqlite3_close_v2(book->writer);
    store_hold_end(book->path, book->hold);
    g_mutex_clear(&book->writing);
    g_mutex_clear(&book->pool);
    g_free(book->path);
    g_free(book->damage);
    g_free(book);
}

const char *store_book_path(const store_book *book)
{
    return book->path;
}

const char *store_book_network(const store_book *book)
{
    return book->network;
}

void store_book_set_patience(store_book *book, int milliseconds)
{
    g_mutex_lock(&book->writing);
    g_mutex_lock(&book->pool);
    book->patience_ms = milliseconds;
    if (book->writer != NULL)
        sqlite3_busy_timeout(book->writer, milliseconds);
    for (guint i = 0; i < book->idle->len; i++)
        sqlite3_busy_timeout(book->idle->pdata[i], milliseconds);
    g_mutex_unlock(&book->pool);
    g_mutex_unlock(&book->writing);
}

/* --- reading
 * ------------------------------------------------------------------------------ */

/* The open reading of this thread; under the pool's mutex. */
static store_reading *own_reading(store_book *book)
{
    for (guint i = 0; i < book->readings->len; i++) {
        store_reading *reading = book->readings->pdata[i];
        if (reading->thread == g_thread_self())
            return reading;
    }
    return NULL;
}

store_reading *store_reading_begin(store_book *book, GError **error)
{
    /* Only this thread itself sets it to this thread. */
    if (g_atomic_pointer_get(&book->writer_thread) == g_thread_self()) {
        book->inside.depth++;
        return &book->inside;
    }

    g_mutex_lock(&book->pool);
    store_reading *open = own_reading(book);
    if (open != NULL)
        open->depth++;
    g_autoptr(sqlite3) db = NULL;
    if (open == NULL && book->idle->len > 0)
        db = g_ptr_array_steal_index_fast(book->idle, book->idle->len - 1);
    g_mutex_unlock(&book->pool);
    if (open != NULL)
        return open;

    if (db == NULL)
        db = connect_reader(book, error);
    if (db == NULL || !store_exec(db, "BEGIN", error))
        return NULL;
    store_reading *reading = g_new0(store_reading, 1);
    *reading = (store_reading){ book, g_steal_pointer(&db), g_thread_self(), 1 };
    g_mutex_lock(&book->pool);
    g_ptr_array_add(book->readings, reading);
    g_mutex_unlock(&book->pool);
    return reading;
}

void store_reading_end(store_reading *reading)
{
    if (reading == NULL || --reading->depth > 0)
        return;
    store_book *book = reading->book;
    if (reading == &book->inside)
        return;

    g_autoptr(sqlite3) db = reading->db;
    bool ended = sqlite3_exec(db, "COMMIT", NULL, NULL, NULL) == SQLITE_OK;
    g_mutex_lock(&book->pool);
    g_ptr_array_remove_fast(book->readings, reading);
    if (ended)
        g_ptr_array_add(book->idle, g_steal_pointer(&db));
    g_mutex_unlock(&book->pool);
    g_free(reading);
}

int64_t store_revision(store_book *book)
{
    int64_t revision;
    g_autoptr(store_reading) reading = store_reading_begin(book, NULL);
    if (reading == NULL ||
        !store_number(reading->db, "SELECT n FROM revision", &revision, NULL))
        return 0;
    /* That it is only read from now on is news for whoever shows it. */
    g_mutex_lock(&book->pool);
    revision += book->turns;
    g_mutex_unlock(&book->pool);
    return revision;
}
