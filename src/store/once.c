#include "store/once.h"

#include "store/book-internal.h"

enum { KEPT_SECONDS = 366 * 24 * 60 * 60 };

/* What a thread sends. An action may make several changes, all under the one key. */
typedef struct sending {
    char *key;
    bool ours; /* it was this thread that wrote the key down */
} sending;

static void sending_free(gpointer data)
{
    sending *self = data;
    g_free(self->key);
    g_free(self);
}

static GPrivate now_sending = G_PRIVATE_INIT(sending_free);

static gboolean refuse(GError **error)
{
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_SENT_BEFORE,
                        "This was sent before and is done already.");
    return FALSE;
}

gboolean store_once_begin(store_book *book, const char *key, GError **error)
{
    sending *self = g_new0(sending, 1);
    self->key = g_strdup(key);
    g_private_replace(&now_sending, self);

    bool known;
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, "SELECT 1 FROM sent WHERE key = ?1", error);
    if (query == NULL)
        return FALSE;
    store_bind_text(query, 1, key);
    if (!store_next(query, &known, error))
        return FALSE;
    return known ? refuse(error) : TRUE;
}

void store_once_end(void)
{
    g_private_replace(&now_sending, NULL);
}

static gboolean forget_old(store_change *change, GError **error)
{
    g_autoptr(sqlite3_stmt) sweep =
        store_change_prepare(change, "DELETE FROM sent WHERE at < ?1", error);
    if (sweep == NULL)
        return FALSE;
    sqlite3_bind_int64(sweep, 1, change->at - KEPT_SECONDS);
    return store_run(sweep, error);
}

gboolean store_once_remember(store_change *change, GError **error)
{
    sending *self = g_private_get(&now_sending);
    if (self == NULL)
        return TRUE;
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change, "INSERT OR IGNORE INTO sent (key, at) VALUES (?1, ?2)", error);
    if (insert == NULL)
        return FALSE;
    store_bind_text(insert, 1, self->key);
    sqlite3_bind_int64(insert, 2, change->at);
    if (!store_run(insert, error))
        return FALSE;
    if (sqlite3_changes(change->book->writer) == 0 && !self->ours)
        return refuse(error);
    self->ours = true;
    return forget_old(change, error);
}
