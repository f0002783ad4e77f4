#include "store/design.h"

#include "store/book-internal.h"

void store_design_clear(store_design *design)
{
    g_clear_pointer(&design->name, g_free);
    g_clear_pointer(&design->text, g_free);
}

gboolean store_design_set(store_change *change, const char *name, const char *text,
                          GError **error)
{
    g_autoptr(sqlite3_stmt) set =
        store_change_prepare(change,
                             "INSERT INTO design_own (name, text) VALUES (?1, ?2)"
                             " ON CONFLICT DO UPDATE SET text = excluded.text",
                             error);
    if (set == NULL)
        return FALSE;
    store_bind_text(set, 1, name);
    store_bind_text(set, 2, text);
    return store_run(set, error);
}

gboolean store_design_remove(store_change *change, const char *name, GError **error)
{
    bool there;
    g_autoptr(sqlite3_stmt) remove = store_change_prepare(
        change, "DELETE FROM design_own WHERE name = ?1 RETURNING 1", error);
    if (remove == NULL)
        return FALSE;
    store_bind_text(remove, 1, name);
    if (!store_next(remove, &there, error))
        return FALSE;
    if (!there)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNKNOWN,
                    "there is no design \"%.60s\" in the book", name);
    return there;
}

char *store_design_get(store_book *book, const char *name, GError **error)
{
    bool row;
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, "SELECT text FROM design_own WHERE name = ?1", error);
    if (query == NULL)
        return NULL;
    store_bind_text(query, 1, name);
    if (!store_next(query, &row, error) || !row)
        return NULL;
    return store_column_words(query, 0);
}

static void read_design(sqlite3_stmt *row, void *ret)
{
    store_design *design = ret;
    design->name = store_column_words(row, 0);
    design->text = store_column_words(row, 1);
}

gboolean store_design_list(store_book *book, GArray **ret_designs, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, "SELECT name, text FROM design_own ORDER BY name", error);
    return query != NULL &&
           store_list(query, sizeof(store_design), read_design,
                      (GDestroyNotify)store_design_clear, ret_designs, error);
}
