/* store/setting.h: settings, and the devices that may use the book. */
#pragma once

#include "store/change.h"

/** What a setting says; free with g_free(). NULL with no error when it was never set. */
char *store_setting_get(store_book *book, const char *key, GError **error);

/** Sets it; NULL forgets it. Can be undone. */
gboolean store_setting_set(store_change *change, const char *key, const char *value,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

typedef struct store_setting {
    char *key, *value;
} store_setting;

/** GArray of store_setting by key. */
gboolean store_setting_list(store_book *book, GArray **ret_settings,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A phone or tablet that was paired. The token itself is never kept, only its hash. */
typedef struct store_device {
    int64_t id, created;
    int64_t seen;    /* last use; or 0 */
    int64_t revoked; /* when; or 0: may use the book */
    char *name;
    char *token_sha256; /* 64 hexadecimal digits */
} store_device;

void store_device_clear(store_device *device);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(store_device, store_device_clear)

/** Pairs a device. In a quiet change: a device is revoked, not undone. */
gboolean store_device_add(store_change *change, const char *name,
                          const char *token_sha256, int64_t *ret_id,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Errors: store.unknown. */
gboolean store_device_rename(store_change *change, int64_t device, const char *name,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** From here on it may not use the book. Errors: store.unknown. */
gboolean store_device_revoke(store_change *change, int64_t device,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Notes that it was used. */
gboolean store_device_seen(store_change *change, int64_t device,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Lets a device be paired by a code until it expires; codes that have expired go. In a
 * quiet change. */
gboolean store_pairing_offer(store_change *change, const char *code_sha256,
                             int64_t expires, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Takes a code, which is gone then, and says whether it still held. */
gboolean store_pairing_take(store_change *change, const char *code_sha256, bool *ret_held,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * The device with this token that is not revoked; 0 (and TRUE) when there is none.
 *
 * @ret_seen  when it was used last, 0 for never; or NULL
 */
gboolean store_device_find(store_book *book, const char *token_sha256, int64_t *ret_id,
                           int64_t *ret_seen, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Takes a device over from another book, with its name, its times and its token, which
 * becomes that of this book's device where both know it. In a quiet change.
 */
gboolean store_device_keep(store_change *change, const store_device *device,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_device, newest first. */
gboolean store_device_list(store_book *book, GArray **ret_devices,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;
