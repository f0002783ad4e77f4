#include "quilt/layout.h"
#include "store/book-internal.h"
#include "store/quilt.h"

void store_block_clear(store_block *block)
{
    g_clear_pointer(&block->kind, g_free);
}

/* --- changing
 * --------------------------------------------------------------------------------- */

/* No index holds places apart: undoing an exchange of two blocks passes through a moment
 * when both lie in one place. */
static gboolean refuse_taken_place(store_change *change, int64_t quilt, int row, int col,
                                   int64_t block, GError **error)
{
    bool taken;
    g_autoptr(sqlite3_stmt) query = store_change_prepare(
        change,
        "SELECT 1 FROM block WHERE quilt = ?1 AND row = ?2 AND col = ?3 AND id <> ?4",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, quilt);
    sqlite3_bind_int(query, 2, row);
    sqlite3_bind_int(query, 3, col);
    sqlite3_bind_int64(query, 4, block);
    if (!store_next(query, &taken, error))
        return FALSE;
    if (taken)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_PLACE_TAKEN,
                    "a block lies at row %d, column %d already", row, col);
    return !taken;
}

gboolean store_block_add(store_change *change, const store_block *block, int64_t *ret_id,
                         GError **error)
{
    if (block->row != 0 &&
        !refuse_taken_place(change, block->quilt, block->row, block->col, 0, error))
        return FALSE;
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change,
        "INSERT INTO block (quilt, kind, row, col, turn, pinned, made_at, made_on)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        error);
    if (insert == NULL)
        return FALSE;
    int64_t made_at = block->made_at != 0 ? block->made_at : change->at;
    sqlite3_bind_int64(insert, 1, block->quilt);
    store_bind_text(insert, 2, block->kind);
    store_bind_id(insert, 3, block->row);
    store_bind_id(insert, 4, block->col);
    sqlite3_bind_int(insert, 5, block->turn);
    sqlite3_bind_int(insert, 6, block->pinned);
    sqlite3_bind_int64(insert, 7, made_at);
    sqlite3_bind_int(insert, 8, store_day_of(made_at));
    if (!store_run(insert, error))
        return FALSE;
    *ret_id = sqlite3_last_insert_rowid(change->book->writer);
    return TRUE;
}

static gboolean erase_colours(store_change *change, int64_t block, GError **error)
{
    g_autoptr(sqlite3_stmt) erase =
        store_change_prepare(change, "DELETE FROM block_colours WHERE block = ?1", error);
    if (erase == NULL)
        return FALSE;
    sqlite3_bind_int64(erase, 1, block);
    return store_run(erase, error);
}

static gboolean erase_patches(store_change *change, int64_t block, GError **error)
{
    g_autoptr(sqlite3_stmt) erase =
        store_change_prepare(change, "DELETE FROM block_patch WHERE block = ?1", error);
    if (erase == NULL)
        return FALSE;
    sqlite3_bind_int64(erase, 1, block);
    return store_run(erase, error);
}

gboolean store_block_remove(store_change *change, int64_t block, GError **error)
{
    g_autoptr(sqlite3_stmt) erase =
        store_change_prepare(change, "DELETE FROM block WHERE id = ?1", error);
    if (erase == NULL || !erase_patches(change, block, error) ||
        !erase_colours(change, block, error))
        return FALSE;
    sqlite3_bind_int64(erase, 1, block);
    return store_run_one(erase, "block", block, error);
}

gboolean store_block_place(store_change *change, size_t count,
                           const store_placing placings[], GError **error)
{
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change,
        "UPDATE block SET row = ?2, col = ?3, turn = ?4, pinned = ?5 WHERE id = ?1",
        error);
    if (update == NULL)
        return FALSE;
    for (size_t i = 0; i < count; i++) {
        sqlite3_reset(update);
        sqlite3_bind_int64(update, 1, placings[i].block);
        store_bind_id(update, 2, placings[i].row);
        store_bind_id(update, 3, placings[i].col);
        sqlite3_bind_int(update, 4, placings[i].turn);
        sqlite3_bind_int(update, 5, placings[i].pinned);
        if (!store_run_one(update, "block", placings[i].block, error))
            return FALSE;
    }

    /* Looked at when all have moved, so that blocks may change places. */
    for (size_t i = 0; i < count; i++) {
        g_auto(store_block) block = { 0 };
        if (placings[i].row == 0)
            continue;
        if (!store_block_get(change->book, placings[i].block, &block, error) ||
            !refuse_taken_place(change, block.quilt, block.row, block.col, block.id,
                                error))
            return FALSE;
    }
    return TRUE;
}

gboolean store_block_set_colours(store_change *change, int64_t block, int count,
                                 const colour_signature colours[], GError **error)
{
    uint8_t bytes[STORE_COLOURS_SIZE];
    if (!erase_colours(change, block, error))
        return FALSE;
    for (int place = 0; place < count; place++) {
        g_autoptr(sqlite3_stmt) insert = store_change_prepare(
            change,
            "INSERT INTO block_colours (block, place, colours) VALUES (?1, ?2, ?3)",
            error);
        if (insert == NULL)
            return FALSE;
        sqlite3_bind_int64(insert, 1, block);
        sqlite3_bind_int(insert, 2, place);
        sqlite3_bind_blob(insert, 3, bytes, store_colours_pack(&colours[place], bytes),
                          SQLITE_STATIC);
        if (!store_run(insert, error))
            return FALSE;
    }
    return TRUE;
}

gboolean store_block_set_picture(store_change *change, int64_t block, GBytes *jpeg,
                                 GError **error)
{
    int64_t picture;
    if (!store_picture_keep(change, jpeg, &picture, error))
        return FALSE;
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change, "UPDATE block SET picture = ?2 WHERE id = ?1", error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, block);
    store_bind_id(update, 2, picture);
    return store_run_one(update, "block", block, error);
}

/* --- reading
 * ------------------------------------------------------------------------------------ */

#define BLOCK_COLUMNS                                                                    \
    "SELECT id, quilt, kind, row, col, turn, pinned, made_at, picture FROM block "

static void read_block(sqlite3_stmt *row, void *ret)
{
    store_block *block = ret;
    block->id = sqlite3_column_int64(row, 0);
    block->quilt = sqlite3_column_int64(row, 1);
    block->kind = store_column_words(row, 2);
    block->row = store_column_within(row, 3, 0, QUILT_ACROSS_MAX);
    block->col = store_column_within(row, 4, 0, QUILT_ACROSS_MAX);
    block->turn = store_column_within(row, 5, 0, 3);
    block->pinned = sqlite3_column_int(row, 6);
    block->made_at = store_column_time(row, 7);
    block->picture = sqlite3_column_int64(row, 8);
}

gboolean store_block_get(store_book *book, int64_t block, store_block *ret_block,
                         GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, BLOCK_COLUMNS "WHERE id = ?1", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, block);
    store_block found = { 0 };
    if (!store_one(query, read_block, &found, error, "block %" PRId64, block))
        return FALSE;
    *ret_block = found;
    return TRUE;
}

gboolean store_block_at(store_book *book, int64_t quilt, int row, int col,
                        int64_t *ret_block, GError **error)
{
    bool found;
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, "SELECT id FROM block WHERE quilt = ?1 AND row = ?2 AND col = ?3",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, quilt);
    sqlite3_bind_int(query, 2, row);
    sqlite3_bind_int(query, 3, col);
    if (!store_next(query, &found, error))
        return FALSE;
    *ret_block = found ? sqlite3_column_int64(query, 0) : 0;
    return TRUE;
}

gboolean store_block_list(store_book *book, int64_t quilt, GArray **ret_blocks,
                          GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, BLOCK_COLUMNS "WHERE quilt = ?1 ORDER BY row IS NULL, row, col, id",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, quilt);
    return store_list(query, sizeof(store_block), read_block,
                      (GDestroyNotify)store_block_clear, ret_blocks, error);
}

/* --- patches
 * ------------------------------------------------------------------------------------ */

gboolean store_patch_set(store_change *change, int64_t block, size_t count,
                         const store_patch patches[], GError **error)
{
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change,
        "INSERT INTO block_patch (block, place, part, fabric, known, sure)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        error);
    if (insert == NULL || !erase_patches(change, block, error))
        return FALSE;
    for (size_t i = 0; i < count; i++) {
        sqlite3_reset(insert);
        sqlite3_bind_int64(insert, 1, block);
        sqlite3_bind_int(insert, 2, patches[i].place);
        sqlite3_bind_int(insert, 3, patches[i].part);
        store_bind_id(insert, 4, patches[i].fabric);
        sqlite3_bind_int(insert, 5, patches[i].known);
        sqlite3_bind_double(insert, 6, patches[i].sure);
        if (!store_run(insert, error))
            return FALSE;
    }
    return TRUE;
}

#define PATCH_COLUMNS                                                                    \
    "SELECT p.block, p.place, p.part, ifnull(s.same_as, p.fabric), p.known, p.sure"

static void read_patch(sqlite3_stmt *row, void *ret)
{
    store_patch *patch = ret;
    patch->block = sqlite3_column_int64(row, 0);
    patch->place = store_column_within(row, 1, 0, STORE_PLACE_MAX);
    patch->part = store_column_within(row, 2, 0, 1);
    patch->fabric = sqlite3_column_int64(row, 3);
    patch->known = sqlite3_column_int(row, 4);
    patch->sure = store_column_real(row, 5, 0, 1);
}

static gboolean list_patches(store_book *book, const char *sql, int64_t id,
                             GArray **ret_patches, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(reading, sql, error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, id);
    return store_list(query, sizeof(store_patch), read_patch, NULL, ret_patches, error);
}

gboolean store_patch_of_block(store_book *book, int64_t block, GArray **ret_patches,
                              GError **error)
{
    return list_patches(book,
                        PATCH_COLUMNS " FROM block_patch p LEFT JOIN fabric_said s"
                                      " ON s.fabric = p.fabric WHERE p.block = ?1"
                                      " ORDER BY p.place, p.part",
                        block, ret_patches, error);
}

gboolean store_patch_of_quilt(store_book *book, int64_t quilt, GArray **ret_patches,
                              GError **error)
{
    return list_patches(book,
                        PATCH_COLUMNS
                        " FROM block b JOIN block_patch p ON p.block = b.id"
                        " LEFT JOIN fabric_said s ON s.fabric = p.fabric"
                        " WHERE b.quilt = ?1 ORDER BY p.block, p.place, p.part",
                        quilt, ret_patches, error);
}

static void read_cell(sqlite3_stmt *row, void *ret)
{
    store_cell *cell = ret;
    cell->block = sqlite3_column_int64(row, 0);
    cell->place = store_column_within(row, 1, 0, STORE_PLACE_MAX);
    store_colours_unpack(row, 2, &cell->colours);
}

gboolean store_block_colours(store_book *book, int64_t quilt, GArray **ret_cells,
                             GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading,
                              "SELECT c.block, c.place, c.colours FROM block b"
                              " JOIN block_colours c ON c.block = b.id"
                              " WHERE b.quilt = ?1 ORDER BY c.block, c.place",
                              error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, quilt);
    return store_list(query, sizeof(store_cell), read_cell, NULL, ret_cells, error);
}

/* --- the record
 * ----------------------------------------------------------------------------------- */

static void read_use(sqlite3_stmt *row, void *ret)
{
    store_fabric_use *use = ret;
    use->quilt = sqlite3_column_int64(row, 0);
    use->known = store_column_within(row, 1, 0, STORE_SQUARES_MAX);
    use->inferred = store_column_within(row, 2, 0, STORE_SQUARES_MAX);
}

gboolean store_fabric_uses(store_book *book, int64_t fabric, GArray **ret_uses,
                           GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT b.quilt, sum(p.known), sum(NOT p.known) FROM block_patch p"
        " JOIN block b ON b.id = p.block WHERE p.fabric IN (SELECT ?1 UNION ALL"
        " SELECT fabric FROM fabric_said WHERE same_as = ?1) GROUP BY 1 ORDER BY 1",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, fabric);
    return store_list(query, sizeof(store_fabric_use), read_use, NULL, ret_uses, error);
}

static void read_day(sqlite3_stmt *row, void *ret)
{
    store_day *day = ret;
    int date = store_column_within(row, 0, STORE_MONTH_FIRST * 100 + 1,
                                   STORE_MONTH_LAST * 100 + 31);
    day->year = date / 10000;
    day->month = CLAMP(date / 100 % 100, 1, 12);
    day->day = CLAMP(date % 100, 1, 31);
    day->blocks = store_column_within(row, 1, 0, STORE_SQUARES_MAX);
}

gboolean store_block_days(store_book *book, int64_t quilt, GArray **ret_days,
                          GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        quilt != 0
            ? "SELECT made_on, count(*) FROM block WHERE quilt = ?1"
              " GROUP BY made_on ORDER BY made_on"
            : "SELECT made_on, count(*) FROM block GROUP BY made_on ORDER BY made_on",
        error);
    if (query == NULL)
        return FALSE;
    if (quilt != 0)
        sqlite3_bind_int64(query, 1, quilt);
    return store_list(query, sizeof(store_day), read_day, NULL, ret_days, error);
}

static void read_month(sqlite3_stmt *row, void *ret)
{
    int month = store_column_within(row, 0, STORE_MONTH_FIRST, STORE_MONTH_LAST);
    *(store_day *)ret =
        (store_day){ .year = month / 100,
                     .month = CLAMP(month % 100, 1, 12),
                     .blocks = store_column_within(row, 1, 0, STORE_SQUARES_MAX) };
}

/* From one month with blocks to the next through the index, and each month's counted
 * there: to group forty thousand rows takes several times as long. */
gboolean store_block_months(store_book *book, GArray **ret_months, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "WITH RECURSIVE months (month) AS ("
        " SELECT min(made_on) / 100 FROM block"
        " UNION ALL SELECT (SELECT min(made_on) FROM block"
        "   WHERE made_on >= (month + 1) * 100) / 100 FROM months"
        " WHERE month IS NOT NULL)"
        " SELECT month, (SELECT count(*) FROM block"
        "   WHERE made_on >= month * 100 AND made_on < (month + 1) * 100)"
        " FROM months WHERE month IS NOT NULL",
        error);
    return query != NULL &&
           store_list(query, sizeof(store_day), read_month, NULL, ret_months, error);
}
