/* store/export.h: the whole book in open formats, and back.
 *
 * The folder holds
 *   book.json       {"format": "motley book", "version": 1}
 *   tables/T.jsonl  every row of table T as one JSON object a line, columns by their
 * names in the schema (lengths in 1/8128 in, times in seconds since 1970, other bytes in
 * hexadecimal) pictures/N.jpg  picture N T.csv           fabrics, sources, quilts, blocks
 * and the ledger for a spreadsheet (RFC 4180, UTF-8; lengths in inches, times as
 * 2026-11-24 18:30:00 UTC) What can be worked out from the rest (the basket) is not among
 * the tables. */
#pragma once

#include "store/book.h"

/**
 * Writes the book, as it is at one moment, into a new or empty folder. Others may write
 * meanwhile.
 *
 * Errors: store.exists when the folder holds something; file.unwritable; store.full. Then
 * the folder is as it was.
 */
gboolean store_export(store_book *book, const char *folder,
                      GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Puts what store_export() wrote in place of all that the book holds, all or nothing; the
 * book as it was is kept beside it, as with store_book_restore().
 *
 * @ret_kept  the file name of that copy, free with g_free(); or NULL
 *
 * Errors: store.unreadable with file and line; store.newer.
 */
gboolean store_import(store_book *book, const char *folder, char **ret_kept,
                      GError **error) G_GNUC_WARN_UNUSED_RESULT;
