#include "store/book-internal.h"
#include "store/seal.h"

/* What an undo takes back by the changeset. Not among them: the ledger and what it points
 * to (append-only), pictures, devices, and running totals. Colours are worked out, but
 * what a change taught of a fabric or read in an outline must go with it. None of them
 * may delete by ON DELETE CASCADE: doing a change again would then find rows gone that it
 * deletes. */
static const char *const undoable[] = {
    "setting",       "source_said",
    "fabric_said",   "swatch",
    "photo",         "scrap",
    "quilt",         "quilt_role",
    "block",         "block_patch",
    "bought",        "scrap_colours",
    "block_colours", "fabric_signature",
    "design_own",
};

int store_day_of(int64_t at)
{
    int year, month, day;
    g_autoptr(GDateTime) here = g_date_time_new_from_unix_local(at);
    g_assert(here != NULL);
    g_date_time_get_ymd(here, &year, &month, &day);
    return year * 10000 + month * 100 + day;
}

static void set_time(store_change *change, int64_t at)
{
    change->at = at;
    change->day = store_day_of(at);
}

/* Takes back what is written and not committed, if anything is. */
static void roll_back(store_book *book)
{
    if (sqlite3_get_autocommit(book->writer))
        return;
    sqlite3_step(book->roll_back);
    sqlite3_reset(book->roll_back);
}

store_change *store_change_begin_bare(store_book *book, GError **error)
{
    if (book->read_only) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_READ_ONLY,
                    "%s was opened for reading alone", book->path);
        return NULL;
    }
    g_assert(g_atomic_pointer_get(&book->writer_thread) != g_thread_self());

    g_mutex_lock(&book->writing);
    gboolean sound = store_damage_refuse(book, error);
    if (sound)
        roll_back(book); /* should the change before not have got rid of what it wrote */
    if (!sound || !store_exec(book->writer, "BEGIN IMMEDIATE", error)) {
        g_mutex_unlock(&book->writing);
        return NULL;
    }
    book->inside = (store_reading){ book, book->writer, g_thread_self(), 0 };
    g_atomic_pointer_set(&book->writer_thread, g_thread_self());

    g_autoptr(store_change) change = g_new0(store_change, 1);
    change->book = book;
    change->open = true;
    set_time(change, g_get_real_time() / G_USEC_PER_SEC);
    change->touched = store_seal_watch(book->writer, error);
    return change->touched != NULL ? g_steal_pointer(&change) : NULL;
}

store_change *store_change_begin_quiet(store_book *book, GError **error)
{
    return store_change_begin_bare(book, error);
}

gboolean store_journal_append(store_change *change, const char *what, const char *deed,
                              int64_t of, GError **error)
{
    g_autoptr(sqlite3_stmt) insert =
        store_change_prepare(change,
                             "INSERT INTO journal (at, what, deed, of, state)"
                             " VALUES (?1, ?2, ?3, ?4, iif(?4 IS NULL, 'done', NULL))",
                             error);
    if (insert == NULL)
        return FALSE;
    sqlite3_bind_int64(insert, 1, change->at);
    store_bind_text(insert, 2, what);
    store_bind_text(insert, 3, deed);
    store_bind_id(insert, 4, of);
    if (!store_run(insert, error))
        return FALSE;
    change->id = sqlite3_last_insert_rowid(change->book->writer);
    return store_once_remember(change, error);
}

static gboolean begin_recording(store_change *change, GError **error)
{
    sqlite3 *db = change->book->writer;
    int code = sqlite3session_create(db, "main", &change->session);
    for (size_t i = 0; i < G_N_ELEMENTS(undoable) && code == SQLITE_OK; i++)
        code = sqlite3session_attach(change->session, undoable[i]);
    return code == SQLITE_OK ? TRUE : store_fail(db, code, error);
}

store_change *store_change_begin(store_book *book, const char *what, GError **error)
{
    g_autoptr(store_change) change = store_change_begin_bare(book, error);
    if (change == NULL)
        return NULL;
    change->what = g_strdup(what);
    if (!store_journal_append(change, what, "did", 0, error) ||
        !begin_recording(change, error))
        return NULL;
    change->total_changes_before = sqlite3_total_changes64(book->writer);
    return g_steal_pointer(&change);
}

void store_change_set_time(store_change *change, int64_t at)
{
    set_time(change, at);
}

void store_change_set_what(store_change *change, const char *what)
{
    g_assert(change->id != 0);
    g_free(change->what);
    change->what = g_strdup(what);
}

store_book *store_change_book(store_change *change)
{
    return change->book;
}

static gboolean appended_to_ledger(store_change *change, bool *ret_appended,
                                   GError **error)
{
    g_autoptr(sqlite3_stmt) query = store_change_prepare(
        change, "SELECT 1 FROM ledger WHERE change = ?1 LIMIT 1", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, change->id);
    return store_next(query, ret_appended, error);
}

/* Once something new is done, what was undone before it can no longer follow. */
static gboolean drop_undone(store_change *change, GError **error)
{
    g_autoptr(sqlite3_stmt) drop = store_change_prepare(
        change, "UPDATE journal SET state = 'dropped' WHERE state = 'undone'", error);
    return drop != NULL && store_run(drop, error);
}

static gboolean write_journal(store_change *change, int size, const void *changeset,
                              GError **error)
{
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change, "UPDATE journal SET at = ?2, what = ?3, changeset = ?4 WHERE id = ?1",
        error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, change->id);
    sqlite3_bind_int64(update, 2, change->at);
    store_bind_text(update, 3, change->what);
    sqlite3_bind_blob(update, 4, changeset, size, SQLITE_STATIC);
    return store_run(update, error) && drop_undone(change, error);
}

static gboolean erase_journal(store_change *change, GError **error)
{
    g_autoptr(sqlite3_stmt) erase =
        store_change_prepare(change, "DELETE FROM journal WHERE id = ?1", error);
    if (erase == NULL)
        return FALSE;
    sqlite3_bind_int64(erase, 1, change->id);
    return store_run(erase, error);
}

/* Completes the journal's row, or takes it away when there is nothing to undo. */
static gboolean finish_journal(store_change *change, GError **error)
{
    sqlite3 *db = change->book->writer;
    int size = 0;
    void *changeset = NULL;
    int code = sqlite3session_changeset(change->session, &size, &changeset);
    if (code != SQLITE_OK)
        return store_fail(db, code, error);

    bool appended = false;
    gboolean done = appended_to_ledger(change, &appended, error) &&
                    (size > 0 || appended ? write_journal(change, size, changeset, error)
                                          : erase_journal(change, error));
    sqlite3_free(changeset);
    return done;
}

/* Leaves the writer to the next. */
static void let_go(store_change *change)
{
    store_book *book = change->book;
    g_assert(book->inside.depth == 0);
    change->open = false;
    if (change->session != NULL)
        sqlite3session_delete(g_steal_pointer(&change->session));
    if (change->touched != NULL)
        sqlite3session_delete(g_steal_pointer(&change->touched));
    roll_back(book);
    g_atomic_pointer_set(&book->writer_thread, NULL);
    g_mutex_unlock(&book->writing);
}

static _Thread_local int64_t committed_here;

int64_t store_change_count_here(void)
{
    return committed_here;
}

gboolean store_change_commit(store_change *change, GError **error)
{
    g_assert(change->open);
    sqlite3 *db = change->book->writer;
    gboolean done = !store_rolled_back(change, error);
    if (done && change->session != NULL) {
        bool altered = sqlite3_total_changes64(db) > change->total_changes_before;
        if (!altered) {
            let_go(change);
            return TRUE;
        }
        done = finish_journal(change, error);
    }
    if (done) {
        g_autoptr(sqlite3_stmt) raise =
            store_change_prepare(change, "UPDATE revision SET n = n + 1", error);
        done = raise != NULL && store_run(raise, error) &&
               store_seal_touched(db, change->touched, error);
    }
    done = done && store_exec(db, "COMMIT", error);
    if (done && change->session != NULL)
        committed_here++;
    let_go(change);
    return done;
}

void store_change_free(store_change *change)
{
    if (change == NULL)
        return;
    if (change->open)
        let_go(change);
    g_free(change->what);
    g_free(change);
}
