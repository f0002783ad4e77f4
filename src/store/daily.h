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
 * Errors: store.full also where less than three times the book's size is free, before
 * anything is written; file.unwritable.
 */
gboolean store_book_daily(store_book *book, const GDate *today, char **ret_made,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;
