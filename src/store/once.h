/* store/once.h: changes that are made once, however often they are sent.
 *
 * A device whose network fails does not know whether its change arrived, so it sends the
 * change again, under the same key. The key is written in the same transaction as the
 * change: either both are in the book or neither is.
 */
#pragma once

#include "store/book.h"

enum { STORE_ONCE_LONGEST = 80 }; /* letters in a key */

/**
 * What this thread changes from here on, up to store_once_end(), carries the key. Quiet
 * changes do not, and a change that alters nothing does not use the key up.
 *
 * @key  1 to STORE_ONCE_LONGEST letters, not to be guessed; copied
 *
 * FALSE with store.sent-before when a change with this key was made within the last year;
 * store_change_begin() and store_undo() may say so too, when it is made at the same time.
 * Call store_once_end() in either case.
 */
gboolean store_once_begin(store_book *book, const char *key,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;
void store_once_end(void);
