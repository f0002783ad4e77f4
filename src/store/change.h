/* store/change.h: changes of the book, and taking them back.
 *
 *     g_autoptr(store_change) change =
 *         store_change_begin(book, "Crossed off row 3, 4", error);
 *     if (change == NULL || !store_block_add(change, &block, &id, error))
 *         return FALSE;
 *     return store_change_commit(change, error);
 *
 * Leaving without a commit rolls everything back; do so after any error, for what failed
 * may have been written in part. End readings begun inside a change before its commit.
 * Each committed change stands in the journal with what it did, so that it can be undone
 * and done again, by whichever device or program made it. The ledger is never rewritten:
 * undoing appends rows that reverse.
 */
#pragma once

#include "store/book.h"

typedef struct store_change store_change;

/**
 * Begins a change. Waits for a change of another thread, and up to the book's patience
 * for another program (store.busy). One thread has one change at a time.
 *
 * @what  what it does, in the maker's words, for "Undo: ..."; copied
 *
 * Returns the change, free with store_change_free(); NULL with store.read-only,
 * store.busy, store.full or store.damaged.
 */
store_change *store_change_begin(store_book *book, const char *what,
                                 GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same for what is not undone: devices, and what can be worked out again (colours).
 * It leaves the journal alone. It must not touch what the maker said. */
store_change *store_change_begin_quiet(store_book *book,
                                       GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The time that the change and its rows carry; the clock's unless set, before the first
 * write. For the demo and for imports. */
void store_change_set_time(store_change *change, int64_t at);

/** Other words for it, when the outcome is known only at the end. Copied. */
void store_change_set_what(store_change *change, const char *what);

store_book *store_change_book(store_change *change);

/** How many changes (no quiet ones) this thread has committed so far, to any book: tells
 * a caller that hears of an error whether it came before or after. */
int64_t store_change_count_here(void);

/** Makes it last. A change that altered nothing leaves no trace in the journal. After a
 * failure (store.full, store.busy) the book is as it was before the change. */
gboolean store_change_commit(store_change *change,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Frees it, rolling back what was not committed. */
void store_change_free(store_change *change);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(store_change, store_change_free)

/**
 * Takes back the last change that still stands.
 *
 * @ret_what  its words, free with g_free(); or NULL
 *
 * Errors: store.nothing-to-undo; store.undo-conflict when the book was altered outside
 * the journal; then nothing is changed.
 */
gboolean store_undo(store_book *book, char **ret_what,
                    GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Does again what was last undone. A new change drops what could be done again.
 * Errors: store.nothing-to-redo, store.undo-conflict. */
gboolean store_redo(store_book *book, char **ret_what,
                    GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** What undo and redo would do now. */
typedef struct store_journal_head {
    int64_t undo_id, redo_id; /* 0: there is none */
    char *undo, *redo;        /* in words; NULL: there is none */
} store_journal_head;

/** Free the texts with store_journal_head_clear(). */
gboolean store_journal_head_get(store_book *book, store_journal_head *ret_head,
                                GError **error) G_GNUC_WARN_UNUSED_RESULT;
void store_journal_head_clear(store_journal_head *head);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(store_journal_head, store_journal_head_clear)

typedef enum store_deed { STORE_DID, STORE_UNDID, STORE_REDID } store_deed;

/** One line of the history. */
typedef struct store_journal_entry {
    int64_t id, at;
    store_deed deed;
    int64_t of;  /* the change that was undone or redone; its own id for STORE_DID */
    bool stands; /* whether that change is in effect now */
    char *what;
} store_journal_entry;

/** The last `limit` entries with an id below `before` (0: from the end), newest first:
 * GArray of store_journal_entry. */
gboolean store_journal_list(store_book *book, int64_t before, int limit,
                            GArray **ret_entries,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;
