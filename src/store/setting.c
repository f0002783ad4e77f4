#include "store/setting.h"

#include "store/book-internal.h"

/* --- settings
 * --------------------------------------------------------------------------------- */

char *store_setting_get(store_book *book, const char *key, GError **error)
{
    bool row;
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, "SELECT value FROM setting WHERE key = ?1", error);
    if (query == NULL)
        return NULL;
    store_bind_text(query, 1, key);
    if (!store_next(query, &row, error) || !row)
        return NULL;
    return store_column_text(query, 0);
}

gboolean store_setting_set(store_change *change, const char *key, const char *value,
                           GError **error)
{
    g_autoptr(sqlite3_stmt) set = store_change_prepare(
        change,
        value != NULL ? "INSERT INTO setting (key, value) VALUES (?1, ?2)"
                        " ON CONFLICT DO UPDATE SET value = excluded.value"
                      : "DELETE FROM setting WHERE key = ?1",
        error);
    if (set == NULL)
        return FALSE;
    store_bind_text(set, 1, key);
    if (value != NULL)
        store_bind_text(set, 2, value);
    return store_run(set, error);
}

static void read_setting(sqlite3_stmt *row, void *ret)
{
    store_setting *setting = ret;
    setting->key = store_column_words(row, 0);
    setting->value = store_column_words(row, 1);
}

static void clear_setting(void *data)
{
    store_setting *setting = data;
    g_free(setting->key);
    g_free(setting->value);
}

gboolean store_setting_list(store_book *book, GArray **ret_settings, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, "SELECT key, value FROM setting ORDER BY key", error);
    return query != NULL && store_list(query, sizeof(store_setting), read_setting,
                                       clear_setting, ret_settings, error);
}

/* --- devices
 * ---------------------------------------------------------------------------------- */

void store_device_clear(store_device *device)
{
    g_clear_pointer(&device->name, g_free);
    g_clear_pointer(&device->token_sha256, g_free);
}

gboolean store_device_add(store_change *change, const char *name,
                          const char *token_sha256, int64_t *ret_id, GError **error)
{
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change, "INSERT INTO device (created, name, token_sha256) VALUES (?1, ?2, ?3)",
        error);
    if (insert == NULL)
        return FALSE;
    sqlite3_bind_int64(insert, 1, change->at);
    store_bind_text(insert, 2, name);
    store_bind_text(insert, 3, token_sha256);
    if (!store_run(insert, error))
        return FALSE;
    *ret_id = sqlite3_last_insert_rowid(change->book->writer);
    return TRUE;
}

gboolean store_device_rename(store_change *change, int64_t device, const char *name,
                             GError **error)
{
    g_autoptr(sqlite3_stmt) update =
        store_change_prepare(change, "UPDATE device SET name = ?2 WHERE id = ?1", error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, device);
    store_bind_text(update, 2, name);
    return store_run_one(update, "device", device, error);
}

static gboolean stamp(store_change *change, const char *sql, int64_t device,
                      GError **error)
{
    g_autoptr(sqlite3_stmt) update = store_change_prepare(change, sql, error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, device);
    sqlite3_bind_int64(update, 2, change->at);
    return store_run_one(update, "device", device, error);
}

gboolean store_device_revoke(store_change *change, int64_t device, GError **error)
{
    return stamp(change, "UPDATE device SET revoked = ifnull(revoked, ?2) WHERE id = ?1",
                 device, error);
}

gboolean store_device_seen(store_change *change, int64_t device, GError **error)
{
    return stamp(change, "UPDATE device SET seen = ?2 WHERE id = ?1", device, error);
}

gboolean store_pairing_offer(store_change *change, const char *code_sha256,
                             int64_t expires, GError **error)
{
    g_autoptr(sqlite3_stmt) sweep =
        store_change_prepare(change, "DELETE FROM pairing WHERE expires <= ?1", error);
    if (sweep == NULL)
        return FALSE;
    sqlite3_bind_int64(sweep, 1, change->at);
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change, "INSERT INTO pairing (code_sha256, expires) VALUES (?1, ?2)", error);
    if (insert == NULL || !store_run(sweep, error))
        return FALSE;
    store_bind_text(insert, 1, code_sha256);
    sqlite3_bind_int64(insert, 2, expires);
    return store_run(insert, error);
}

gboolean store_pairing_take(store_change *change, const char *code_sha256, bool *ret_held,
                            GError **error)
{
    bool row;
    g_autoptr(sqlite3_stmt) take = store_change_prepare(
        change, "DELETE FROM pairing WHERE code_sha256 = ?1 RETURNING expires", error);
    if (take == NULL)
        return FALSE;
    store_bind_text(take, 1, code_sha256);
    if (!store_next(take, &row, error))
        return FALSE;
    *ret_held = row && sqlite3_column_int64(take, 0) > change->at;
    return TRUE;
}

gboolean store_device_keep(store_change *change, const store_device *device,
                           GError **error)
{
    g_autoptr(sqlite3_stmt) keep = store_change_prepare(
        change,
        "INSERT INTO device (created, name, token_sha256, seen, revoked) "
        "VALUES (?1, ?2, ?3, nullif(?4, 0), nullif(?5, 0)) ON CONFLICT (token_sha256) "
        "DO UPDATE SET name = excluded.name, seen = excluded.seen, "
        "revoked = excluded.revoked",
        error);
    if (keep == NULL)
        return FALSE;
    sqlite3_bind_int64(keep, 1, device->created);
    store_bind_text(keep, 2, device->name);
    store_bind_text(keep, 3, device->token_sha256);
    sqlite3_bind_int64(keep, 4, device->seen);
    sqlite3_bind_int64(keep, 5, device->revoked);
    return store_run(keep, error);
}

gboolean store_device_find(store_book *book, const char *token_sha256, int64_t *ret_id,
                           int64_t *ret_seen, GError **error)
{
    bool row;
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT id, seen FROM device WHERE token_sha256 = ?1 AND revoked IS NULL", error);
    if (query == NULL)
        return FALSE;
    store_bind_text(query, 1, token_sha256);
    if (!store_next(query, &row, error))
        return FALSE;
    *ret_id = row ? sqlite3_column_int64(query, 0) : 0;
    if (ret_seen != NULL)
        *ret_seen = row ? store_column_time(query, 1) : 0;
    return TRUE;
}

static void read_device(sqlite3_stmt *row, void *ret)
{
    store_device *device = ret;
    device->id = sqlite3_column_int64(row, 0);
    device->created = store_column_time(row, 1);
    device->seen = store_column_time(row, 2);
    device->revoked = store_column_time(row, 3);
    device->name = store_column_words(row, 4);
    device->token_sha256 = store_column_words(row, 5);
}

gboolean store_device_list(store_book *book, GArray **ret_devices, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading,
                              "SELECT id, created, seen, revoked, name, token_sha256 "
                              "FROM device ORDER BY id DESC",
                              error);
    return query != NULL &&
           store_list(query, sizeof(store_device), read_device,
                      (GDestroyNotify)store_device_clear, ret_devices, error);
}
