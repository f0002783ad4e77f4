/* store/daily.h: copies of the book that the program makes by itself, one a day, in a
 * folder beside it ("NAME.daily"), fewer the older they are. */
#pragma once

#include "store/book.h"

/**
 * Which copies stay: those of the last 7 days, the newest of each week for 4 weeks more,
 * the newest of each 30 days for half a year more; never none. Pure.
 *
 * @days      of the copies, days of the Julian calendar as g_date_get_julian() counts
 *            them, ascending
 * @today     likewise; copies of later days stay, the clock may have been wrong
 * @ret_keep  one for each
 */
void store_daily_thin(int count, const uint32_t days[], uint32_t today, bool *ret_keep);

/**
 * Makes today's copy where there is none yet, then takes away those that are not to stay.
 * Others may read and write meanwhile; a copy counts only when it is whole and on the
 * disk.
 *
 * @ret_made  path of the new copy, free with g_free(); NULL when today's was there
 *
 * The book is looked through first (store_book_examine()): of a damaged one no copy is
 * made, and none is taken away.
 *
 * Errors: store.damaged; store.full also where less than three times the book's size is
 * free, before anything is written; file.unwritable.
 */
gboolean store_book_daily(store_book *book, const GDate *today, char **ret_made,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The day in the name of a daily copy ("2026-11-27.book"), as g_date_get_julian(); 0 for
 * another file. */
uint32_t store_daily_day(const char *name);

/** A file that a book can be brought back from. */
typedef struct store_copy {
    char *name; /* "2026-11-27", "before-restore-20261127-101500" */
    char *path;
    int64_t at; /* when it was written */
    int64_t bytes;
    bool daily; /* made by the program each day; else kept before a restore or an upgrade
                 */
} store_copy;

/** The copies that lie beside a book, newest first: GArray of store_copy. The book itself
 * need not open. */
GArray *store_copies(const char *book);

/** The path of the copy of that name, free with g_free(); NULL when there is none. */
char *store_copy_path(const char *book, const char *name);
