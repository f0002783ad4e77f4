#include "store/shade.h"

#include "book-internal.h"

static void read_said(sqlite3_stmt *row, void *ret)
{
    store_shade *shade = ret;
    shade->fabric = sqlite3_column_int64(row, 0);
    shade->value = store_column_within(row, 1, -1, 2);
    shade->same_as = sqlite3_column_int64(row, 2);
}

static void take_colour(store_shade *shade, const colour_lab *colour)
{
    if (shade->coloured)
        return;
    shade->coloured = true;
    shade->colour = *colour;
}

/* As store_look_list() has it: the first signature is what a fabric looks like, and one
 * that it counts as. */
static void take_signature(sqlite3_stmt *row, const GArray *shades, void *self)
{
    store_shade *own = self;
    if (own->value < 0)
        own->value = store_column_within(row, 1, -1, 2);
    colour_lab colour;
    if (!store_colour_unpack(row, 2, &colour))
        return;
    take_colour(own, &colour);
    store_shade *whole = own->same_as != 0 ? store_find(shades, own->same_as) : NULL;
    if (whole != NULL)
        take_colour(whole, &colour);
}

gboolean store_shade_list(store_book *book, GArray **ret_shades, GError **error)
{
    g_autoptr(GArray) shades = NULL;
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT fabric, ifnull(value, -1), ifnull(same_as, 0) FROM fabric_said"
        " ORDER BY fabric",
        error);
    if (query == NULL ||
        !store_list(query, sizeof(store_shade), read_said, NULL, &shades, error) ||
        !store_take_rows(reading, STORE_SIGNATURES, shades, take_signature, error))
        return FALSE;
    *ret_shades = g_steal_pointer(&shades);
    return TRUE;
}

const store_shade *store_shade_find(const GArray *shades, int64_t fabric)
{
    const store_shade *own = store_find(shades, fabric);
    const store_shade *whole =
        own != NULL && own->same_as != 0 ? store_find(shades, own->same_as) : NULL;
    return whole != NULL ? whole : own;
}
