/* web/memo-internal.h: documents kept as text for as long as the book stays as it is.
 * A page asks for the same few documents again and again, and what an action that changes
 * nothing answers depends on its request, the book and the day alone. Thread-safe. */
#pragma once

#include <glib.h>
#include <stdint.h>

/** What a document depends on beside its request. */
typedef struct web_stamp {
    int64_t revision; /* of the book; 0 when it could not be read: nothing is kept */
    int day;          /* for forecasts begin today */
} web_stamp;

typedef struct web_memo web_memo;

web_memo *web_memo_new(void);
void web_memo_free(web_memo *memo);

/** The stamp of a book of that revision, today. */
web_stamp web_stamp_now(int64_t revision);

/** The text kept for the key under this stamp, free with g_bytes_unref(); or NULL. */
GBytes *web_memo_get(web_memo *memo, const char *key, web_stamp stamp);

/**
 * Keeps a text. What is kept under an older stamp is dropped, and all when it comes to
 * more than 4 MiB.
 *
 * @stamp  read before the text was made, so that what changed meanwhile makes it old
 */
void web_memo_put(web_memo *memo, const char *key, web_stamp stamp, GBytes *text);
