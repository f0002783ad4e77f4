#include "guests-internal.h"

struct app_guests {
    GMutex lock;        /* over both */
    GHashTable *codes;  /* hash -> when it expires, an int64_t */
    GHashTable *tokens; /* hashes */
};

app_guests *app_guests_new(void)
{
    app_guests *guests = g_new0(app_guests, 1);
    g_mutex_init(&guests->lock);
    guests->codes = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    guests->tokens = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    return guests;
}

void app_guests_free(app_guests *guests)
{
    g_hash_table_unref(guests->codes);
    g_hash_table_unref(guests->tokens);
    g_mutex_clear(&guests->lock);
    g_free(guests);
}

void app_guests_offer(app_guests *guests, const char *code_sha256, int64_t expires)
{
    g_mutex_lock(&guests->lock);
    g_hash_table_insert(guests->codes, g_strdup(code_sha256),
                        g_memdup2(&expires, sizeof expires));
    g_mutex_unlock(&guests->lock);
}

bool app_guests_claim(app_guests *guests, const char *code_sha256,
                      const char *token_sha256, int64_t now)
{
    g_mutex_lock(&guests->lock);
    const int64_t *expires = g_hash_table_lookup(guests->codes, code_sha256);
    bool held = expires != NULL && *expires > now;
    g_hash_table_remove(guests->codes, code_sha256);
    if (held)
        g_hash_table_add(guests->tokens, g_strdup(token_sha256));
    g_mutex_unlock(&guests->lock);
    return held;
}

bool app_guests_know(app_guests *guests, const char *token_sha256)
{
    g_mutex_lock(&guests->lock);
    bool known = g_hash_table_contains(guests->tokens, token_sha256);
    g_mutex_unlock(&guests->lock);
    return known;
}
