#include "store/book-internal.h"
#include "store/scrap.h"

void store_photo_clear(store_photo *photo)
{
    g_clear_pointer(&photo->sha256, g_free);
    g_clear_pointer(&photo->name, g_free);
    g_clear_pointer(&photo->warnings, g_free);
    g_clear_pointer(&photo->geometry, g_free);
}

gboolean store_photo_add(store_change *change, const store_photo *photo, GBytes *plan,
                         int64_t *ret_id, GError **error)
{
    int64_t known, picture;
    if (!store_photo_find(change->book, photo->sha256, &known, error))
        return FALSE;
    if (known != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_PHOTO_KNOWN,
                    "%s: this photo is in the book already, as photo %" PRId64,
                    photo->name, known);
        return FALSE;
    }
    if (!store_picture_keep(change, plan, &picture, error))
        return FALSE;

    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change,
        "INSERT INTO photo (added, sha256, name, width, height, taken, source, plan,"
        "  plan_left, plan_top, plan_pixels_per_in, card_tags, card_error_in,"
        "  pixels_per_in, warnings, geometry)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)",
        error);
    if (insert == NULL)
        return FALSE;
    sqlite3_bind_int64(insert, 1, change->at);
    store_bind_text(insert, 2, photo->sha256);
    store_bind_text(insert, 3, photo->name);
    sqlite3_bind_int(insert, 4, photo->width);
    sqlite3_bind_int(insert, 5, photo->height);
    store_bind_id(insert, 6, photo->taken);
    store_bind_id(insert, 7, photo->source);
    store_bind_id(insert, 8, picture);
    sqlite3_bind_int(insert, 9, photo->plan_left);
    sqlite3_bind_int(insert, 10, photo->plan_top);
    sqlite3_bind_double(insert, 11, photo->plan_pixels_per_in);
    sqlite3_bind_int(insert, 12, photo->card_tags);
    sqlite3_bind_double(insert, 13, photo->card_error_in);
    sqlite3_bind_double(insert, 14, photo->pixels_per_in);
    store_bind_text(insert, 15, photo->warnings);
    store_bind_text(insert, 16, photo->geometry);
    if (!store_run(insert, error))
        return FALSE;
    *ret_id = sqlite3_last_insert_rowid(change->book->writer);
    return TRUE;
}

#define PHOTO_COLUMNS                                                                    \
    "SELECT id, added, sha256, name, width, height, taken, source, plan, plan_left,"     \
    " plan_top, plan_pixels_per_in, card_tags, card_error_in, pixels_per_in, warnings,"  \
    " geometry FROM photo "

static void read_photo(sqlite3_stmt *row, void *ret)
{
    store_photo *photo = ret;
    photo->id = sqlite3_column_int64(row, 0);
    photo->added = store_column_time(row, 1);
    photo->sha256 = store_column_words(row, 2);
    photo->name = store_column_words(row, 3);
    photo->width = store_column_within(row, 4, 0, STORE_PIXELS_MAX);
    photo->height = store_column_within(row, 5, 0, STORE_PIXELS_MAX);
    photo->taken = store_column_time(row, 6);
    photo->source = sqlite3_column_int64(row, 7);
    photo->plan = sqlite3_column_int64(row, 8);
    photo->plan_left = store_column_within(row, 9, -LENGTH_MAX, LENGTH_MAX);
    photo->plan_top = store_column_within(row, 10, -LENGTH_MAX, LENGTH_MAX);
    photo->plan_pixels_per_in = store_column_real(row, 11, 0, 1e6);
    photo->card_tags = store_column_within(row, 12, 0, 100);
    photo->card_error_in = store_column_real(row, 13, 0, 1e6);
    photo->pixels_per_in = store_column_real(row, 14, 0, 1e6);
    photo->warnings = store_column_text(row, 15);
    photo->geometry = store_column_text(row, 16);
}

gboolean store_photo_get(store_book *book, int64_t photo, store_photo *ret_photo,
                         GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, PHOTO_COLUMNS "WHERE id = ?1", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, photo);
    store_photo found = { 0 };
    if (!store_one(query, read_photo, &found, error, "photo %" PRId64, photo))
        return FALSE;
    *ret_photo = found;
    return TRUE;
}

gboolean store_photo_find(store_book *book, const char *sha256, int64_t *ret_id,
                          GError **error)
{
    bool row;
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, "SELECT id FROM photo WHERE sha256 = ?1", error);
    if (query == NULL)
        return FALSE;
    store_bind_text(query, 1, sha256);
    if (!store_next(query, &row, error))
        return FALSE;
    *ret_id = row ? sqlite3_column_int64(query, 0) : 0;
    return TRUE;
}

gboolean store_photo_list(store_book *book, int64_t before, int limit,
                          GArray **ret_photos, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, PHOTO_COLUMNS "WHERE id < ?1 ORDER BY id DESC LIMIT ?2", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, before > 0 ? before : INT64_MAX);
    sqlite3_bind_int(query, 2, limit > 0 ? limit : -1);
    return store_list(query, sizeof(store_photo), read_photo,
                      (GDestroyNotify)store_photo_clear, ret_photos, error);
}

gboolean store_photo_set_warnings(store_change *change, int64_t photo,
                                  const char *warnings, GError **error)
{
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change, "UPDATE photo SET warnings = ?2 WHERE id = ?1", error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, photo);
    store_bind_text(update, 2, warnings);
    return store_run_one(update, "photo", photo, error);
}

gboolean store_photo_remove(store_change *change, int64_t photo, GError **error)
{
    g_autoptr(sqlite3_stmt) colours =
        store_change_prepare(change,
                             "DELETE FROM scrap_colours"
                             " WHERE scrap IN (SELECT id FROM scrap WHERE photo = ?1)",
                             error);
    g_autoptr(sqlite3_stmt) scraps =
        store_change_prepare(change, "DELETE FROM scrap WHERE photo = ?1", error);
    g_autoptr(sqlite3_stmt) erase =
        store_change_prepare(change, "DELETE FROM photo WHERE id = ?1", error);
    if (colours == NULL || scraps == NULL || erase == NULL)
        return FALSE;
    sqlite3_bind_int64(colours, 1, photo);
    sqlite3_bind_int64(scraps, 1, photo);
    sqlite3_bind_int64(erase, 1, photo);
    return store_run(colours, error) && store_run(scraps, error) &&
           store_run_one(erase, "photo", photo, error);
}
