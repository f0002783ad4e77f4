#include "web/guesses-internal.h"

#include "web/lock-internal.h"

struct web_guesses {
    GMutex lock;
    gint64 since_us;        /* when the minute began that is counted now */
    GHashTable *by_address; /* wrong ones of this minute; as many keys as `all` at most */
    int all;
};

web_guesses *web_guesses_new(void)
{
    web_guesses *guesses = g_new0(web_guesses, 1);
    g_mutex_init(&guesses->lock);
    guesses->by_address = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    return guesses;
}

void web_guesses_free(web_guesses *guesses)
{
    g_hash_table_unref(guesses->by_address);
    g_mutex_clear(&guesses->lock);
    g_free(guesses);
}

static void begin_anew(web_guesses *guesses, gint64 now_us)
{
    if (now_us - guesses->since_us < 60 * G_USEC_PER_SEC)
        return;
    guesses->since_us = now_us;
    guesses->all = 0;
    g_hash_table_remove_all(guesses->by_address);
}

static int wrong_from(const web_guesses *guesses, const char *address)
{
    return GPOINTER_TO_INT(g_hash_table_lookup(guesses->by_address, address));
}

bool web_guesses_may(web_guesses *guesses, const char *address, gint64 now_us)
{
    WEB_LOCK(&guesses->lock);
    begin_anew(guesses, now_us);
    return guesses->all < WEB_GUESSES_ALL &&
           wrong_from(guesses, address) < WEB_GUESSES_EACH;
}

void web_guesses_wrong(web_guesses *guesses, const char *address, gint64 now_us)
{
    WEB_LOCK(&guesses->lock);
    begin_anew(guesses, now_us);
    guesses->all++;
    g_hash_table_replace(guesses->by_address, g_strdup(address),
                         GINT_TO_POINTER(wrong_from(guesses, address) + 1));
}
