/* store/seal.h: hashes by which it is noticed when a disk gives back other bytes than
 * were written.
 *
 * Every row of a book is under one of these: a chain of hashes over the ledger; a seal
 * for each row, or for the rows that belong together (the patches of a block), of
 * whatever the maker said or a photo showed; the SHA-256 that each picture carries; the
 * sums of the ledger that the basket's tables are. The keys of changes that were sent are
 * under none: no document shows them. They tell of chance, not of a forger: who can write
 * the file can write seals.
 *
 * A program that writes the tables by itself, without sealing, makes the book look
 * damaged. */
#pragma once

#include "store/book-internal.h"

/** Watches, from now on, which rows a change touches. Free with sqlite3session_delete().
 */
sqlite3_session *store_seal_watch(sqlite3 *db, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Seals what was touched and links what was appended, before the commit. Costs some 10
 * microseconds a row. */
gboolean store_seal_touched(sqlite3 *db, sqlite3_session *watch,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Seals the whole book as it is, inside a transaction: after a migration or an import.
 */
gboolean store_seal_all(sqlite3 *db, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Seals the one row of `revision`, which a restore writes. */
gboolean store_seal_revision(sqlite3 *db, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Whether the tables are made by the text, and the file is of the version, that was
 * sealed. Fast: for every opening. Errors: store.damaged when not. */
gboolean store_seal_check_schema(sqlite3 *db, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Adds a text for each row that is not as it was sealed, gone, or there without a seal.
 * A table that cannot be read to its end is one fault. */
gboolean store_seal_check(sqlite3 *db, GPtrArray *complaints,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Whether an error tells of a damaged file, and not of a book in use or of short memory.
 */
bool store_is_fault(const GError *error);

/** Adds a text for each thing that is sealed in one book and is not in the other. */
void store_seal_missing(sqlite3 *from, sqlite3 *to, GPtrArray *lost);
