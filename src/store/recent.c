#include "store/recent.h"

#include "book-internal.h"

static void read_fabric(sqlite3_stmt *row, void *ret)
{
    store_recent *recent = ret;
    recent->fabric = sqlite3_column_int64(row, 0);
    recent->last = store_column_time(row, 1);
    recent->same_as = sqlite3_column_int64(row, 2);
}

static store_recent *counts_as(const GArray *all, store_recent *own)
{
    store_recent *whole = own->same_as != 0 ? store_find(all, own->same_as) : NULL;
    return whole != NULL ? whole : own;
}

static void take_time(sqlite3_stmt *row, const GArray *all, void *self)
{
    store_recent *whole = counts_as(all, self);
    int64_t at = store_column_time(row, 1);
    whole->last = MAX(whole->last, at);
}

static void take_squares(sqlite3_stmt *row, const GArray *all, void *self)
{
    counts_as(all, self)->squares += sqlite3_column_int64(row, 1);
}

gboolean store_recent_list(store_book *book, GArray **ret_recent, GError **error)
{
    /* Squares that were taken of no fabric named are guessed to be of some: nothing that
     * she had in hand. */
    static const char used[] = "SELECT fabric, at FROM"
                               " (SELECT fabric, at, fabric_known FROM ledger"
                               "  ORDER BY id DESC LIMIT 20000)"
                               " WHERE fabric_known AND fabric IS NOT NULL";
    static const char photographed[] =
        "SELECT s.fabric, p.added FROM"
        " (SELECT fabric, photo FROM scrap ORDER BY id DESC LIMIT 1000) s"
        " JOIN photo p ON p.id = s.photo WHERE s.fabric IS NOT NULL";
    static const char left[] = "SELECT fabric, known + inferred FROM basket_fabric"
                               " WHERE known + inferred <> 0";
    g_autoptr(GArray) all = NULL;
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT s.fabric, f.created, ifnull(s.same_as, 0)"
        " FROM fabric_said s JOIN fabric f ON f.id = s.fabric ORDER BY s.fabric",
        error);
    if (query == NULL ||
        !store_list(query, sizeof(store_recent), read_fabric, NULL, &all, error) ||
        !store_take_rows(reading, used, all, take_time, error) ||
        !store_take_rows(reading, photographed, all, take_time, error) ||
        !store_take_rows(reading, left, all, take_squares, error))
        return FALSE;
    *ret_recent = g_steal_pointer(&all);
    return TRUE;
}

int store_recent_order(gconstpointer a, gconstpointer b)
{
    const store_recent *one = a, *other = b;
    if (one->last != other->last)
        return one->last < other->last ? 1 : -1;
    if (one->squares != other->squares)
        return one->squares < other->squares ? 1 : -1;
    return (one->fabric < other->fabric) - (one->fabric > other->fabric);
}

const store_recent *store_recent_find(const GArray *recent, int64_t fabric)
{
    return store_find(recent, fabric);
}
