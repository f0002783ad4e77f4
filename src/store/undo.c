#include "store/book-internal.h"

/* --- the ledger, which is never rewritten
 * --------------------------------------------------- */

/* Takes back the rows of the last deed of a change (done, or done again, or undone) by
 * appending their opposites, which name them and keep their day. */
static gboolean reverse_ledger(store_change *change, int64_t of, GError **error)
{
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change,
        "INSERT INTO ledger (at, day, change, layer, unit, fabric, source, count, how,"
        "                    inward, fabric_known, counted, block, reverses)"
        " SELECT ?1, day, ?2, layer, unit, fabric, source, -count, 'reversed',"
        "        inward, fabric_known, counted, block, id FROM ledger"
        " WHERE change = (SELECT max(id) FROM journal"
        "                 WHERE (id = ?3 OR of = ?3) AND id <> ?2)"
        " ORDER BY id DESC",
        error);
    if (insert == NULL)
        return FALSE;
    sqlite3_bind_int64(insert, 1, change->at);
    sqlite3_bind_int64(insert, 2, change->id);
    sqlite3_bind_int64(insert, 3, of);
    return store_run(insert, error);
}

/* --- everything else
 * ------------------------------------------------------------------------ */

/* Colours may have been worked out anew since, in a quiet change: that is no conflict
 * with what she said, and neither stands in the way of the other. */
static int refuse_conflict(void *data, int conflict, sqlite3_changeset_iter *at)
{
    (void)data;
    const char *table = "";
    int columns, operation, indirect;
    /* Of a broken reference there is no row to look at. */
    if (conflict == SQLITE_CHANGESET_FOREIGN_KEY ||
        conflict == SQLITE_CHANGESET_CONSTRAINT ||
        sqlite3changeset_op(at, &table, &columns, &operation, &indirect) != SQLITE_OK ||
        !(g_str_equal(table, "scrap_colours") || g_str_equal(table, "fabric_signature")))
        return SQLITE_CHANGESET_ABORT;
    return conflict == SQLITE_CHANGESET_NOTFOUND ? SQLITE_CHANGESET_OMIT
                                                 : SQLITE_CHANGESET_REPLACE;
}

static gboolean apply(store_change *change, int size, void *changeset, GError **error)
{
    sqlite3 *db = change->book->writer;
    int code = size == 0 ? SQLITE_OK
                         : sqlite3changeset_apply(db, size, changeset, NULL,
                                                  refuse_conflict, NULL);
    if (code == SQLITE_OK)
        return TRUE;
    if (code == SQLITE_ABORT || (code & 0xff) == SQLITE_CONSTRAINT) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNDO_CONFLICT,
                            "the book has been altered since in another way");
        return FALSE;
    }
    return store_fail(db, code, error);
}

static gboolean apply_inverse(store_change *change, int size, const void *changeset,
                              GError **error)
{
    int inverse_size = 0;
    void *inverse = NULL;
    int code = size == 0
                   ? SQLITE_OK
                   : sqlite3changeset_invert(size, changeset, &inverse_size, &inverse);
    gboolean done = code == SQLITE_OK ? apply(change, inverse_size, inverse, error)
                                      : store_fail(change->book->writer, code, error);
    sqlite3_free(inverse);
    return done;
}

/* --- undo and redo
 * ---------------------------------------------------------------------------- */

/* A change as the journal has it. */
typedef struct recorded {
    int64_t id;
    char *what;
    GBytes *changeset;
} recorded;

static void recorded_clear(recorded *change)
{
    g_free(change->what);
    g_clear_pointer(&change->changeset, g_bytes_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(recorded, recorded_clear)

static void read_recorded(sqlite3_stmt *row, void *ret)
{
    recorded *change = ret;
    change->id = sqlite3_column_int64(row, 0);
    change->what = store_column_words(row, 1);
    change->changeset =
        g_bytes_new(sqlite3_column_blob(row, 2), (gsize)sqlite3_column_bytes(row, 2));
}

typedef struct direction {
    const char *find, *deed, *state;
    int none;
    const char *none_text;
} direction;

static const direction undoing = {
    "SELECT id, what, changeset FROM journal WHERE state = 'done' ORDER BY id DESC LIMIT "
    "1",
    "undid",
    "undone",
    MOTLEY_ERROR_STORE_NOTHING_TO_UNDO,
    "there is nothing to undo",
};

static const direction redoing = {
    "SELECT id, what, changeset FROM journal WHERE state = 'undone' ORDER BY id LIMIT 1",
    "redid",
    "done",
    MOTLEY_ERROR_STORE_NOTHING_TO_REDO,
    "there is nothing to redo",
};

static gboolean find(store_change *change, const direction *way, recorded *ret,
                     GError **error)
{
    bool row;
    g_autoptr(sqlite3_stmt) query = store_change_prepare(change, way->find, error);
    if (query == NULL || !store_next(query, &row, error))
        return FALSE;
    if (!row) {
        g_set_error_literal(error, MOTLEY_ERROR, way->none, way->none_text);
        return FALSE;
    }
    read_recorded(query, ret);
    return TRUE;
}

static gboolean set_state(store_change *change, int64_t id, const char *state,
                          GError **error)
{
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change, "UPDATE journal SET state = ?2 WHERE id = ?1", error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, id);
    store_bind_text(update, 2, state);
    return store_run(update, error);
}

static gboolean move(store_book *book, const direction *way, char **ret_what,
                     GError **error)
{
    g_auto(recorded) found = { 0 };
    g_autoptr(store_change) change = store_change_begin_bare(book, error);
    if (change == NULL || !find(change, way, &found, error))
        return FALSE;

    gsize size;
    void *changeset = (void *)g_bytes_get_data(found.changeset, &size);
    gboolean applied = way == &undoing
                           ? apply_inverse(change, (int)size, changeset, error)
                           : apply(change, (int)size, changeset, error);
    if (!applied) {
        g_prefix_error(error, "%s: ", found.what);
        return FALSE;
    }
    if (!store_journal_append(change, found.what, way->deed, found.id, error) ||
        !reverse_ledger(change, found.id, error) ||
        !set_state(change, found.id, way->state, error) ||
        !store_change_commit(change, error))
        return FALSE;
    if (ret_what != NULL)
        *ret_what = g_steal_pointer(&found.what);
    return TRUE;
}

gboolean store_undo(store_book *book, char **ret_what, GError **error)
{
    return move(book, &undoing, ret_what, error);
}

gboolean store_redo(store_book *book, char **ret_what, GError **error)
{
    return move(book, &redoing, ret_what, error);
}

/* --- the journal
 * ------------------------------------------------------------------------------ */

static gboolean read_end(sqlite3 *db, const char *sql, int64_t *ret_id, char **ret_what,
                         GError **error)
{
    bool row;
    g_autoptr(sqlite3_stmt) query = store_prepare(db, sql, error);
    if (query == NULL || !store_next(query, &row, error))
        return FALSE;
    if (row) {
        *ret_id = sqlite3_column_int64(query, 0);
        *ret_what = store_column_text(query, 1);
    }
    return TRUE;
}

gboolean store_journal_head_get(store_book *book, store_journal_head *ret_head,
                                GError **error)
{
    g_auto(store_journal_head) head = { 0 };
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    if (reading == NULL ||
        !read_end(reading->db, undoing.find, &head.undo_id, &head.undo, error) ||
        !read_end(reading->db, redoing.find, &head.redo_id, &head.redo, error))
        return FALSE;
    *ret_head = head;
    head = (store_journal_head){ 0 };
    return TRUE;
}

void store_journal_head_clear(store_journal_head *head)
{
    g_clear_pointer(&head->undo, g_free);
    g_clear_pointer(&head->redo, g_free);
}

static void read_entry(sqlite3_stmt *row, void *ret)
{
    store_journal_entry *entry = ret;
    entry->id = sqlite3_column_int64(row, 0);
    entry->at = store_column_time(row, 1);
    entry->deed = sqlite3_column_int(row, 2);
    entry->of = sqlite3_column_int64(row, 3);
    entry->stands = sqlite3_column_int(row, 4);
    entry->what = store_column_words(row, 5);
}

static void clear_entry(void *data)
{
    store_journal_entry *entry = data;
    g_free(entry->what);
}

gboolean store_journal_list(store_book *book, int64_t before, int limit,
                            GArray **ret_entries, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT j.id, j.at, iif(j.deed = 'did', 0, iif(j.deed = 'undid', 1, 2)),"
        "       ifnull(j.of, j.id), d.state IN ('done', 'settled'), j.what"
        " FROM journal j JOIN journal d ON d.id = ifnull(j.of, j.id)"
        " WHERE j.id < ?1 ORDER BY j.id DESC LIMIT ?2",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, before > 0 ? before : INT64_MAX);
    sqlite3_bind_int(query, 2, limit);
    return store_list(query, sizeof(store_journal_entry), read_entry, clear_entry,
                      ret_entries, error);
}
