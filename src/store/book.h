/* store/book.h: the book: one SQLite file that holds everything a maker has.
 *
 * A book may be used from many threads at once. Reading never waits for writing: each
 * reader sees the book as it last was (write-ahead log). Writing goes through one
 * connection, one change at a time (store/change.h). What a commit has confirmed survives
 * a power cut.
 *
 * A program that uses books must ignore SIGXFSZ, so that a file size limit comes back as
 * store.full and does not end the program.
 *
 * Times are whole seconds since 1970 UTC. Ids are above 0 and never given twice; 0 means
 * none. Lists are GArray (plain structs, freed by the array with their texts) or
 * GPtrArray; free them with g_array_unref() or g_ptr_array_unref(). */
#pragma once

#include <glib.h>
#include <inttypes.h>
#include <stdbool.h>
#include <stdint.h>

typedef struct store_book store_book;

typedef enum store_open_mode {
    STORE_OPEN_CREATE,    /* make the book, and its folder, where there is none */
    STORE_OPEN_EXISTING,  /* refuse with store.no-book where there is none */
    STORE_OPEN_READ_ONLY, /* the same, for reading alone; also where nothing may be
                             written */
} store_open_mode;

/**
 * Opens the book at path, bringing one of an older version up to date after a copy beside
 * it ("NAME.before-VERSION"). Takes a few milliseconds, whatever the book's size.
 *
 * A book that is known to be damaged, or is seen to be while it is opened, opens for
 * reading (store_book_damage()); changes are refused with store.damaged until it is sound
 * again.
 *
 * Returns the book, free with store_book_close(); NULL with store.no-book,
 * store.not-a-book, store.newer, store.read-only, store.busy, store.full,
 * store.damaged, or store.elsewhere when it lies on a network disk and another machine
 * has it open. A file that is not a book is left as it was.
 */
store_book *store_book_open(const char *path, store_open_mode mode,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Closes the book with all its readers. No change or reading may be open. */
void store_book_close(store_book *book);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(store_book, store_book_close)

/** Where the book lies, as it was opened. Borrowed. */
const char *store_book_path(const store_book *book);

/** The kind of network disk that the book lies on ("nfs", "fuse"), NULL for a disk of
 * this machine. Static. There only one machine at a time may open it for writing. */
const char *store_book_network(const store_book *book);

/** How long to wait for another program that writes, before store.busy; 5000 at first. */
void store_book_set_patience(store_book *book, int milliseconds);

/**
 * A count that grows with every committed change, undo and redo, also those of other
 * programs. 0 when it cannot be read.
 */
int64_t store_revision(store_book *book);

/* --- reading several things as they were at one moment ------------------------------ */

typedef struct store_reading store_reading;

/**
 * From here to store_reading_end() all queries of this thread see the book as it is now,
 * whatever others write meanwhile. Inside a change of this thread they see what the
 * change has written so far. Readings nest. Each query makes its own when none is open.
 */
store_reading *store_reading_begin(store_book *book,
                                   GError **error) G_GNUC_WARN_UNUSED_RESULT;
void store_reading_end(store_reading *reading);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(store_reading, store_reading_end)

/* --- keeping it safe ---------------------------------------------------------------- */

/**
 * Looks through the whole book: the file's pages, that every reference leads somewhere,
 * that ledger and basket agree. Takes seconds for a large one.
 *
 * @ret_complaints  texts, one a fault; empty when the book is sound. g_ptr_array_unref()
 *
 * Returns FALSE only when the looking itself failed.
 */
gboolean store_book_check(store_book *book, GPtrArray **ret_complaints,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * The same, and acts by it: while there are complaints the book is only read, by every
 * program that opens it (they stand in "NAME.damage" beside it); when there are none it
 * can be changed again.
 */
gboolean store_book_examine(store_book *book, GPtrArray **ret_complaints,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Whether the file is a book of an older version, which opening brings to the present:
 * of a large one that takes long (docs/figures/store.md). Looks at its first bytes alone.
 */
bool store_book_is_older(const char *path);

/** What is known to be damaged in the book, one fault a line; NULL for nothing. Free with
 * g_free(). */
char *store_book_damage(store_book *book);

/**
 * Copies the book, as it is now, into a new file; others may read and write meanwhile.
 * Returns when the copy is safely on the disk. Refuses a file that is there already with
 * store.exists; leaves no half copy behind.
 */
gboolean store_book_backup(store_book *book, const char *path,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Puts a backup in place of all that the book holds, also of a damaged one. The backup is
 * looked through first (store.no-book, store.not-a-book, store.newer, store.damaged); one
 * of an older version is brought up to date on the way. The book as it is now is copied
 * beside it
 * ("NAME.before-restore-YYYYMMDD-HHMMSS"). All or nothing.
 *
 * @ret_kept  the file name of that copy, free with g_free(); or NULL
 */
gboolean store_book_restore(store_book *book, const char *backup, char **ret_kept,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * The same for a book that does not even open: its file is moved aside and the backup
 * copied in its place. No program may have it open.
 */
gboolean store_restore_file(const char *book, const char *backup, char **ret_kept,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Copies whatever of a damaged book can still be read into a new one, which is sound.
 * Rows that are not as they were sealed come along; what is lost is told, and what only
 * pointed there is left out. The history comes along, but what is in it can no longer be
 * undone.
 *
 * @book      a file; no book that opens
 * @target    refused with store.exists where there is a file
 * @ret_lost  texts: what is lost or doubtful, empty when nothing. g_ptr_array_unref()
 *
 * Errors: store.damaged when not even the list of tables can be read; store.full, ...
 */
gboolean store_salvage(const char *book, const char *target, GPtrArray **ret_lost,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;

/* --- small pictures ----------------------------------------------------------------- */

/** A picture by its id (photo, swatch, block): JPEG, free with g_bytes_unref(). NULL with
 * store.unknown when there is none. */
GBytes *store_picture(store_book *book, int64_t picture,
                      GError **error) G_GNUC_WARN_UNUSED_RESULT;
