#include "store/scrap.h"

#include "store/book-internal.h"

static const char *const state_words[] = {
    [STORE_SCRAP_LYING] = "lying",
    [STORE_SCRAP_CUT] = "cut",
    [STORE_SCRAP_THROWN] = "thrown",
};

void store_scrap_clear(store_scrap *scrap)
{
    g_clear_pointer(&scrap->outline, store_outline_free);
}

/* --- changing
 * --------------------------------------------------------------------------------- */

gboolean store_scrap_set_colours(store_change *change, int64_t scrap,
                                 const colour_signature *colours, colour_value value,
                                 GError **error)
{
    uint8_t bytes[STORE_COLOURS_SIZE];
    g_autoptr(sqlite3_stmt) set = store_change_prepare(
        change,
        "INSERT INTO scrap_colours (scrap, value, colours) VALUES (?1, ?2, ?3)"
        " ON CONFLICT DO UPDATE SET value = excluded.value, colours = excluded.colours",
        error);
    if (set == NULL)
        return FALSE;
    sqlite3_bind_int64(set, 1, scrap);
    sqlite3_bind_int(set, 2, (int)value);
    sqlite3_bind_blob(set, 3, bytes, store_colours_pack(colours, bytes), SQLITE_STATIC);
    return store_run(set, error);
}

gboolean store_scrap_add(store_change *change, const store_scrap *scrap, int64_t *ret_id,
                         GError **error)
{
    g_autofree char *outline = store_outline_write(store_outline_view(scrap->outline));
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change,
        "INSERT INTO scrap (photo, number, fabric, source, outline, area, outline_mended,"
        "                   area_mended, sure, on_edge, state, again_of, again_sure)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6, iif(?7, ?5, NULL), iif(?7, ?6, NULL), ?8, ?9,"
        "         ?10, ?11, ?12)",
        error);
    if (insert == NULL)
        return FALSE;
    store_bind_id(insert, 1, scrap->photo);
    sqlite3_bind_int(insert, 2, scrap->number);
    store_bind_id(insert, 3, scrap->fabric);
    store_bind_id(insert, 4, scrap->source);
    store_bind_text(insert, 5, outline);
    sqlite3_bind_int64(insert, 6, scrap->area);
    sqlite3_bind_int(insert, 7, scrap->mended);
    sqlite3_bind_double(insert, 8, scrap->sure);
    sqlite3_bind_int(insert, 9, scrap->on_edge);
    store_bind_text(insert, 10, state_words[scrap->state]);
    store_bind_id(insert, 11, scrap->again_of);
    sqlite3_bind_int(insert, 12, scrap->again_sure);
    if (!store_run(insert, error))
        return FALSE;

    int64_t id = sqlite3_last_insert_rowid(change->book->writer);
    if (scrap->colours.count > 0 &&
        !store_scrap_set_colours(change, id, &scrap->colours, (colour_value)scrap->value,
                                 error))
        return FALSE;
    if (ret_id != NULL)
        *ret_id = id;
    return TRUE;
}

gboolean store_scrap_mend(store_change *change, int64_t scrap,
                          const scrap_outline *outline, int64_t area, GError **error)
{
    g_autofree char *text = outline != NULL ? store_outline_write(outline) : NULL;
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change, "UPDATE scrap SET outline_mended = ?2, area_mended = ?3 WHERE id = ?1",
        error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, scrap);
    store_bind_text(update, 2, text);
    if (outline != NULL)
        sqlite3_bind_int64(update, 3, area);
    return store_run_one(update, "scrap", scrap, error);
}

gboolean store_scrap_say(store_change *change, int64_t scrap, int64_t fabric,
                         int64_t source, GError **error)
{
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change, "UPDATE scrap SET fabric = ?2, source = ?3 WHERE id = ?1", error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, scrap);
    store_bind_id(update, 2, fabric);
    store_bind_id(update, 3, source);
    return store_run_one(update, "scrap", scrap, error);
}

gboolean store_scrap_again(store_change *change, int64_t scrap, int64_t of, bool sure,
                           GError **error)
{
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change, "UPDATE scrap SET again_of = ?2, again_sure = ?3 WHERE id = ?1", error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, scrap);
    store_bind_id(update, 2, of);
    sqlite3_bind_int(update, 3, of != 0 && sure);
    return store_run_one(update, "scrap", scrap, error);
}

gboolean store_scrap_set_sure(store_change *change, int64_t scrap, double sure,
                              GError **error)
{
    g_autoptr(sqlite3_stmt) update =
        store_change_prepare(change, "UPDATE scrap SET sure = ?2 WHERE id = ?1", error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, scrap);
    sqlite3_bind_double(update, 2, sure);
    return store_run_one(update, "scrap", scrap, error);
}

gboolean store_scrap_set_state(store_change *change, int64_t scrap,
                               store_scrap_state state, GError **error)
{
    g_autoptr(sqlite3_stmt) update =
        store_change_prepare(change, "UPDATE scrap SET state = ?2 WHERE id = ?1", error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, scrap);
    store_bind_text(update, 2, state_words[state]);
    return store_run_one(update, "scrap", scrap, error);
}

gboolean store_scrap_remove(store_change *change, int64_t scrap, GError **error)
{
    g_autoptr(sqlite3_stmt) colours =
        store_change_prepare(change, "DELETE FROM scrap_colours WHERE scrap = ?1", error);
    g_autoptr(sqlite3_stmt) erase =
        store_change_prepare(change, "DELETE FROM scrap WHERE id = ?1", error);
    if (colours == NULL || erase == NULL)
        return FALSE;
    sqlite3_bind_int64(colours, 1, scrap);
    sqlite3_bind_int64(erase, 1, scrap);
    return store_run(colours, error) && store_run_one(erase, "scrap", scrap, error);
}

/* --- reading
 * ------------------------------------------------------------------------------------ */

#define SCRAP_COLUMNS                                                                    \
    "SELECT c.id, c.photo, c.number, ifnull(s.same_as, c.fabric), c.source,"             \
    " ifnull(c.outline_mended, c.outline), c.outline_mended IS NOT NULL,"                \
    " ifnull(c.area_mended, c.area), c.sure, c.on_edge, c.state, w.colours, w.value,"    \
    " (SELECT id FROM scrap WHERE id = c.again_of), c.again_sure"                        \
    " FROM scrap c LEFT JOIN fabric_said s ON s.fabric = c.fabric"                       \
    " LEFT JOIN scrap_colours w ON w.scrap = c.id "

/* The outline of a text; what another hand or damage wrote, and is no outline, gives one
 * too small for any square, so that the other scraps can still be worked with. */
static store_outline *outline_of(const char *text)
{
    static const scrap_point corners[] = { { 0, 0 },
                                           { LENGTH_INCH / 8, 0 },
                                           { 0, LENGTH_INCH / 8 } };
    static const scrap_outline speck = { .outer = { 3, corners } };
    g_autoptr(store_outline) read = text != NULL ? store_outline_read(text) : NULL;
    if (read == NULL || !scrap_outline_check(store_outline_view(read), NULL))
        return store_outline_copy(&speck);
    return g_steal_pointer(&read);
}

static void read_scrap(sqlite3_stmt *row, void *ret)
{
    store_scrap *scrap = ret;
    scrap->id = sqlite3_column_int64(row, 0);
    scrap->photo = sqlite3_column_int64(row, 1);
    scrap->number = store_column_within(row, 2, 0, STORE_SQUARES_MAX);
    scrap->fabric = sqlite3_column_int64(row, 3);
    scrap->source = sqlite3_column_int64(row, 4);
    scrap->outline = outline_of((const char *)sqlite3_column_text(row, 5));
    scrap->mended = sqlite3_column_int(row, 6);
    scrap->area = sqlite3_column_int64(row, 7);
    scrap->sure = store_column_real(row, 8, 0, 1);
    scrap->on_edge = sqlite3_column_int(row, 9);
    scrap->state = (store_scrap_state)store_column_choice(
        row, 10, G_N_ELEMENTS(state_words), state_words, STORE_SCRAP_LYING);
    store_colours_unpack(row, 11, &scrap->colours);
    scrap->value =
        sqlite3_column_type(row, 12) == SQLITE_NULL ? -1 : sqlite3_column_int(row, 12);
    scrap->again_of = sqlite3_column_int64(row, 13);
    scrap->again_sure = scrap->again_of != 0 && sqlite3_column_int(row, 14);
}

gboolean store_scrap_get(store_book *book, int64_t scrap, store_scrap *ret_scrap,
                         GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, SCRAP_COLUMNS "WHERE c.id = ?1", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, scrap);
    store_scrap found = { 0 };
    if (!store_one(query, read_scrap, &found, error, "scrap %" PRId64, scrap))
        return FALSE;
    *ret_scrap = found;
    return TRUE;
}

gboolean store_scrap_of_photo(store_book *book, int64_t photo, GArray **ret_scraps,
                              GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, SCRAP_COLUMNS "WHERE c.photo = ?1 ORDER BY c.number, c.id", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, photo);
    return store_list(query, sizeof(store_scrap), read_scrap,
                      (GDestroyNotify)store_scrap_clear, ret_scraps, error);
}

gboolean store_scrap_list(store_book *book, store_scrap_state state, int64_t after,
                          int limit, GArray **ret_scraps, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        SCRAP_COLUMNS
        "WHERE c.state = ?1 AND c.id > ?2 AND (c.again_sure = 0 OR NOT EXISTS"
        "   (SELECT 1 FROM scrap o WHERE o.id = c.again_of))"
        " ORDER BY c.id LIMIT ?3",
        error);
    if (query == NULL)
        return FALSE;
    store_bind_text(query, 1, state_words[state]);
    sqlite3_bind_int64(query, 2, after);
    sqlite3_bind_int(query, 3, limit > 0 ? limit : -1);
    return store_list(query, sizeof(store_scrap), read_scrap,
                      (GDestroyNotify)store_scrap_clear, ret_scraps, error);
}
