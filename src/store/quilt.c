#include "store/quilt.h"

#include "quilt/layout.h"
#include "store/book-internal.h"

#include <stdlib.h>

void store_quilt_clear(store_quilt *quilt)
{
    g_clear_pointer(&quilt->name, g_free);
    g_clear_pointer(&quilt->design, g_free);
    g_clear_pointer(&quilt->design_text, g_free);
    g_clear_pointer(&quilt->options, g_free);
    g_clear_pointer(&quilt->note, g_free);
}

/* --- borders as text
 * ------------------------------------------------------------------------- */

static char *write_borders(const store_quilt *quilt)
{
    g_assert(quilt->border_count >= 0 && quilt->border_count <= STORE_BORDERS_MAX);
    GString *text = g_string_new(NULL);
    for (int i = 0; i < quilt->border_count; i++)
        g_string_append_printf(text, i == 0 ? "%" PRId32 : " %" PRId32,
                               quilt->borders[i]);
    return g_string_free(text, FALSE);
}

static void read_borders(const char *text, store_quilt *quilt)
{
    char *end = NULL;
    for (const char *at = text; quilt->border_count < STORE_BORDERS_MAX; at = end) {
        gint64 border = g_ascii_strtoll(at, &end, 10);
        if (end == at)
            break;
        quilt->borders[quilt->border_count++] = (length)CLAMP(border, 0, LENGTH_M);
    }
}

/* --- changing
 * ----------------------------------------------------------------------------------- */

/* Another quilt under way that has this name. */
static gboolean refuse_taken_name(store_change *change, const char *name, const char *key,
                                  int64_t quilt, GError **error)
{
    bool taken;
    g_autoptr(sqlite3_stmt) query = store_change_prepare(
        change, "SELECT 1 FROM quilt WHERE name_key = ?1 AND closed IS NULL AND id <> ?2",
        error);
    if (query == NULL)
        return FALSE;
    store_bind_text(query, 1, key);
    sqlite3_bind_int64(query, 2, quilt);
    if (!store_next(query, &taken, error))
        return FALSE;
    if (taken)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NAME_TAKEN,
                    "a quilt %s is under way already", name);
    return !taken;
}

/* The values that adding and saying share, from place 2 on. */
static void bind_quilt(sqlite3_stmt *statement, const store_quilt *quilt, const char *key)
{
    g_autofree char *borders = write_borders(quilt);
    store_bind_text(statement, 2, quilt->name);
    store_bind_text(statement, 3, key);
    store_bind_text(statement, 4, quilt->design);
    store_bind_text(statement, 5, quilt->design_text);
    sqlite3_bind_int(statement, 6, quilt->across);
    sqlite3_bind_int(statement, 7, quilt->down);
    sqlite3_bind_int(statement, 8, quilt->unit);
    sqlite3_bind_int(statement, 9, quilt->seam);
    sqlite3_bind_int(statement, 10, quilt->width_of_fabric);
    sqlite3_bind_int(statement, 11, quilt->overage_permille);
    sqlite3_bind_int(statement, 12, quilt->sash);
    sqlite3_bind_int(statement, 13, quilt->on_point);
    store_bind_text(statement, 14, borders);
    sqlite3_bind_int(statement, 15, quilt->binding);
    store_bind_text(statement, 16, quilt->options);
    store_bind_text(statement, 17, quilt->note);
}

gboolean store_quilt_add(store_change *change, const store_quilt *quilt, int64_t *ret_id,
                         GError **error)
{
    g_autofree char *key = store_name_key(quilt->name);
    if (!refuse_taken_name(change, quilt->name, key, 0, error))
        return FALSE;
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change,
        "INSERT INTO quilt (started, name, name_key, design, design_text, across, down,"
        "  unit, seam, width_of_fabric, overage_permille, sash, on_point, borders, "
        "binding,"
        "  options, note)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16,"
        "  ?17)",
        error);
    if (insert == NULL)
        return FALSE;
    sqlite3_bind_int64(insert, 1, change->at);
    bind_quilt(insert, quilt, key);
    if (!store_run(insert, error))
        return FALSE;
    *ret_id = sqlite3_last_insert_rowid(change->book->writer);
    return TRUE;
}

static gboolean quilt_is_open(store_change *change, int64_t quilt, bool *ret_open,
                              GError **error)
{
    g_autoptr(sqlite3_stmt) query = store_change_prepare(
        change, "SELECT 1 FROM quilt WHERE id = ?1 AND closed IS NULL", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, quilt);
    return store_next(query, ret_open, error);
}

gboolean store_quilt_say(store_change *change, const store_quilt *quilt, GError **error)
{
    bool open;
    g_autofree char *key = store_name_key(quilt->name);
    if (!quilt_is_open(change, quilt->id, &open, error) ||
        (open && !refuse_taken_name(change, quilt->name, key, quilt->id, error)))
        return FALSE;
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change,
        "UPDATE quilt SET name = ?2, name_key = ?3, design = ?4, design_text = ?5,"
        "  across = ?6, down = ?7, unit = ?8, seam = ?9, width_of_fabric = ?10,"
        "  overage_permille = ?11, sash = ?12, on_point = ?13, borders = ?14,"
        "  binding = ?15, options = ?16, note = ?17 WHERE id = ?1",
        error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, quilt->id);
    bind_quilt(update, quilt, key);
    return store_run_one(update, "quilt", quilt->id, error);
}

gboolean store_quilt_set_closed(store_change *change, int64_t quilt, bool closed,
                                GError **error)
{
    g_auto(store_quilt) now = { 0 };
    if (!store_quilt_get(change->book, quilt, &now, error))
        return FALSE;
    g_autofree char *key = store_name_key(now.name);
    if (!closed && !refuse_taken_name(change, now.name, key, quilt, error))
        return FALSE;
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change,
        "UPDATE quilt SET closed = iif(?2, ifnull(closed, ?3), NULL) WHERE id = ?1",
        error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, quilt);
    sqlite3_bind_int(update, 2, closed);
    sqlite3_bind_int64(update, 3, change->at);
    return store_run_one(update, "quilt", quilt, error);
}

gboolean store_quilt_set_picture(store_change *change, int64_t quilt, GBytes *jpeg,
                                 GError **error)
{
    int64_t picture;
    if (!store_picture_keep(change, jpeg, &picture, error))
        return FALSE;
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change, "UPDATE quilt SET picture = ?2 WHERE id = ?1", error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, quilt);
    store_bind_id(update, 2, picture);
    return store_run_one(update, "quilt", quilt, error);
}

#define OF_BLOCKS(table)                                                                 \
    "DELETE FROM " table " WHERE block IN (SELECT id FROM block WHERE quilt = ?1)"

gboolean store_quilt_remove(store_change *change, int64_t quilt, GError **error)
{
    static const char *const parts[] = {
        OF_BLOCKS("block_patch"),
        OF_BLOCKS("block_colours"),
        "DELETE FROM block WHERE quilt = ?1",
        "DELETE FROM quilt_role WHERE quilt = ?1",
        "DELETE FROM bought WHERE quilt = ?1",
    };
    for (size_t i = 0; i < G_N_ELEMENTS(parts); i++) {
        g_autoptr(sqlite3_stmt) erase = store_change_prepare(change, parts[i], error);
        if (erase == NULL)
            return FALSE;
        sqlite3_bind_int64(erase, 1, quilt);
        if (!store_run(erase, error))
            return FALSE;
    }
    g_autoptr(sqlite3_stmt) erase =
        store_change_prepare(change, "DELETE FROM quilt WHERE id = ?1", error);
    if (erase == NULL)
        return FALSE;
    sqlite3_bind_int64(erase, 1, quilt);
    return store_run_one(erase, "quilt", quilt, error);
}

gboolean store_quilt_set_fabric(store_change *change, int64_t quilt, quilt_role role,
                                int64_t fabric, GError **error)
{
    g_assert(role > QUILT_SCRAP && role < QUILT_ROLES);
    g_autoptr(sqlite3_stmt) set = store_change_prepare(
        change,
        fabric != 0 ? "INSERT INTO quilt_role (quilt, role, fabric) VALUES (?1, ?2, ?3)"
                      " ON CONFLICT DO UPDATE SET fabric = excluded.fabric"
                    : "DELETE FROM quilt_role WHERE quilt = ?1 AND role = ?2",
        error);
    if (set == NULL)
        return FALSE;
    sqlite3_bind_int64(set, 1, quilt);
    sqlite3_bind_int(set, 2, (int)role);
    if (fabric != 0)
        sqlite3_bind_int64(set, 3, fabric);
    return store_run(set, error);
}

/* --- reading
 * ------------------------------------------------------------------------------------ */

#define QUILT_COLUMNS                                                                    \
    "SELECT id, started, closed, name, design, design_text, across, down, unit, seam,"   \
    " width_of_fabric, overage_permille, sash, on_point, borders, binding, options,"     \
    " picture, note FROM quilt "

static void read_quilt(sqlite3_stmt *row, void *ret)
{
    store_quilt *quilt = ret;
    quilt->id = sqlite3_column_int64(row, 0);
    quilt->started = store_column_time(row, 1);
    quilt->closed = store_column_time(row, 2);
    quilt->name = store_column_words(row, 3);
    quilt->design = store_column_words(row, 4);
    quilt->design_text = store_column_words(row, 5);
    quilt->across = store_column_within(row, 6, 1, QUILT_ACROSS_MAX);
    quilt->down = store_column_within(row, 7, 1, QUILT_ACROSS_MAX);
    quilt->unit = store_column_within(row, 8, 1, LENGTH_M);
    quilt->seam = store_column_within(row, 9, 0, LENGTH_M);
    quilt->width_of_fabric = store_column_within(row, 10, 0, LENGTH_MAX);
    quilt->overage_permille = store_column_within(row, 11, 0, 10000);
    quilt->sash = store_column_within(row, 12, 0, LENGTH_M);
    quilt->on_point = sqlite3_column_int(row, 13);
    g_autofree char *borders = store_column_words(row, 14);
    read_borders(borders, quilt);
    quilt->binding = store_column_within(row, 15, 0, LENGTH_M);
    quilt->options = store_column_text(row, 16);
    quilt->picture = sqlite3_column_int64(row, 17);
    quilt->note = store_column_text(row, 18);
}

gboolean store_quilt_get(store_book *book, int64_t quilt, store_quilt *ret_quilt,
                         GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, QUILT_COLUMNS "WHERE id = ?1", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, quilt);
    store_quilt found = { 0 };
    if (!store_one(query, read_quilt, &found, error, "quilt %" PRId64, quilt))
        return FALSE;
    *ret_quilt = found;
    return TRUE;
}

gboolean store_quilt_find(store_book *book, const char *name, store_quilt *ret_quilt,
                          GError **error)
{
    g_autofree char *key = store_name_key(name);
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        QUILT_COLUMNS
        "WHERE name_key = ?1 ORDER BY closed IS NOT NULL, closed DESC, id DESC LIMIT 1",
        error);
    if (query == NULL)
        return FALSE;
    store_bind_text(query, 1, key);
    store_quilt found = { 0 };
    if (!store_one(query, read_quilt, &found, error, "quilt called %s", name))
        return FALSE;
    *ret_quilt = found;
    return TRUE;
}

static void read_line(sqlite3_stmt *row, void *ret)
{
    store_quilt_line *line = ret;
    line->id = sqlite3_column_int64(row, 0);
    line->started = store_column_time(row, 1);
    line->closed = store_column_time(row, 2);
    line->name = store_column_words(row, 3);
    line->design = store_column_words(row, 4);
    line->across = store_column_within(row, 5, 1, QUILT_ACROSS_MAX);
    line->down = store_column_within(row, 6, 1, QUILT_ACROSS_MAX);
    line->made = store_column_within(row, 7, 0, STORE_SQUARES_MAX);
    line->picture = sqlite3_column_int64(row, 8);
}

static void clear_line(void *data)
{
    store_quilt_line *line = data;
    g_free(line->name);
    g_free(line->design);
}

gboolean store_quilt_list(store_book *book, GArray **ret_lines, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT id, started, closed, name, design, across, down,"
        " (SELECT count(*) FROM block b WHERE b.quilt = q.id), picture FROM quilt q"
        " ORDER BY closed IS NOT NULL, ifnull(closed, started) DESC, id DESC",
        error);
    return query != NULL && store_list(query, sizeof(store_quilt_line), read_line,
                                       clear_line, ret_lines, error);
}

gboolean store_quilt_fabrics(store_book *book, int64_t quilt,
                             int64_t ret_fabrics[static QUILT_ROLES], GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT role, ifnull(s.same_as, r.fabric) FROM quilt_role r"
        " LEFT JOIN fabric_said s ON s.fabric = r.fabric WHERE quilt = ?1",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, quilt);
    int64_t fabrics[QUILT_ROLES] = { 0 };
    for (;;) {
        bool row;
        if (!store_next(query, &row, error))
            return FALSE;
        if (!row)
            break;
        int role = sqlite3_column_int(query, 0);
        if (role > QUILT_SCRAP && role < QUILT_ROLES)
            fabrics[role] = sqlite3_column_int64(query, 1);
    }
    for (int role = 0; role < QUILT_ROLES; role++)
        ret_fabrics[role] = fabrics[role];
    return TRUE;
}

/* --- the shopping list
 * --------------------------------------------------------------------------- */

void store_bought_clear(store_bought *bought)
{
    g_clear_pointer(&bought->item, g_free);
}

gboolean store_bought_set(store_change *change, int64_t quilt, const store_bought *bought,
                          GError **error)
{
    g_autoptr(sqlite3_stmt) set = store_change_prepare(
        change,
        "INSERT INTO bought (quilt, item, amount, ticked) VALUES (?1, ?2, ?3, ?4)"
        " ON CONFLICT DO UPDATE SET amount = excluded.amount, ticked = excluded.ticked",
        error);
    if (set == NULL)
        return FALSE;
    sqlite3_bind_int64(set, 1, quilt);
    store_bind_text(set, 2, bought->item);
    sqlite3_bind_int(set, 3, bought->length_bought);
    sqlite3_bind_int(set, 4, bought->ticked);
    return store_run(set, error);
}

static void read_bought(sqlite3_stmt *row, void *ret)
{
    store_bought *bought = ret;
    bought->item = store_column_words(row, 0);
    bought->length_bought = sqlite3_column_int(row, 1);
    bought->ticked = sqlite3_column_int(row, 2);
}

gboolean store_bought_list(store_book *book, int64_t quilt, GArray **ret_bought,
                           GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, "SELECT item, amount, ticked FROM bought WHERE quilt = ?1 ORDER BY item",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, quilt);
    return store_list(query, sizeof(store_bought), read_bought,
                      (GDestroyNotify)store_bought_clear, ret_bought, error);
}
