#include "web/memo-internal.h"

#include "web/lock-internal.h"

#include <time.h>

enum {
    MAX_BYTES = 4 << 20,
    MAX_TEXT_BYTES = 1 << 20,
    ENTRY_BYTES = 256, /* about what an entry takes beside its text */
};

struct web_memo {
    GMutex lock; /* over what follows */
    web_stamp stamp;
    GHashTable *texts; /* by key */
    size_t bytes;
};

static void unref_bytes(gpointer bytes)
{
    g_bytes_unref(bytes);
}

web_memo *web_memo_new(void)
{
    web_memo *memo = g_new0(web_memo, 1);
    g_mutex_init(&memo->lock);
    memo->texts = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, unref_bytes);
    return memo;
}

void web_memo_free(web_memo *memo)
{
    g_hash_table_unref(memo->texts);
    g_mutex_clear(&memo->lock);
    g_free(memo);
}

web_stamp web_stamp_now(int64_t revision)
{
    time_t now = time(NULL);
    struct tm local;
    localtime_r(&now, &local);
    return (web_stamp){ revision, local.tm_year * 366 + local.tm_yday };
}

static gboolean is_same(web_stamp a, web_stamp b)
{
    return a.revision == b.revision && a.day == b.day;
}

static void forget_all(web_memo *memo)
{
    g_hash_table_remove_all(memo->texts);
    memo->bytes = 0;
}

GBytes *web_memo_get(web_memo *memo, const char *key, web_stamp stamp)
{
    WEB_LOCK(&memo->lock);
    if (!is_same(memo->stamp, stamp))
        return NULL;
    GBytes *text = g_hash_table_lookup(memo->texts, key);
    return text != NULL ? g_bytes_ref(text) : NULL;
}

void web_memo_put(web_memo *memo, const char *key, web_stamp stamp, GBytes *text)
{
    size_t bytes = g_bytes_get_size(text) + ENTRY_BYTES;
    if (stamp.revision == 0 || bytes > MAX_TEXT_BYTES)
        return;
    WEB_LOCK(&memo->lock);
    /* A slow answer must not drive out what is newer. */
    if (stamp.revision < memo->stamp.revision)
        return;
    if (!is_same(memo->stamp, stamp) || memo->bytes + bytes > MAX_BYTES)
        forget_all(memo);
    memo->stamp = stamp;
    if (g_hash_table_contains(memo->texts, key))
        return;
    g_hash_table_insert(memo->texts, g_strdup(key), g_bytes_ref(text));
    memo->bytes += bytes;
}
