#include "store/shade.h"

#include "book-internal.h"

static void read_said(sqlite3_stmt *row, void *ret)
{
    store_shade *shade = ret;
    shade->fabric = sqlite3_column_int64(row, 0);
    shade->value = store_column_within(row, 1, -1, 2);
    shade->same_as = sqlite3_column_int64(row, 2);
}

/* Where a fabric is, or NULL. Numbers are given one after another, so that most lie as
 * far from the first as their number says. */
static store_shade *shade_of(const GArray *shades, int64_t fabric)
{
    if (shades->len == 0)
        return NULL;
    store_shade *all = &g_array_index(shades, store_shade, 0);
    guint low = 0, end = shades->len;
    int64_t guess = fabric - all[0].fabric;
    if (guess >= 0 && guess < end && all[guess].fabric == fabric)
        return &all[guess];
    while (low < end) {
        guint middle = low + (end - low) / 2;
        if (all[middle].fabric == fabric)
            return &all[middle];
        if (all[middle].fabric < fabric)
            low = middle + 1;
        else
            end = middle;
    }
    return NULL;
}

static void take_colour(store_shade *shade, const colour_lab *colour)
{
    if (shade->coloured)
        return;
    shade->coloured = true;
    shade->colour = *colour;
}

/* The first signature is what a fabric looks like, and one that it counts as. */
static gboolean add_signatures(store_reading *reading, GArray *shades, GError **error)
{
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, "SELECT fabric, value, colours FROM fabric_signature ORDER BY id",
        error);
    for (bool row = query != NULL; row;) {
        if (!store_next(query, &row, error))
            return FALSE;
        store_shade *own = row ? shade_of(shades, sqlite3_column_int64(query, 0)) : NULL;
        if (own == NULL)
            continue;
        if (own->value < 0)
            own->value = store_column_within(query, 1, -1, 2);
        colour_lab colour;
        if (!store_colour_unpack(query, 2, &colour))
            continue;
        take_colour(own, &colour);
        store_shade *whole = own->same_as != 0 ? shade_of(shades, own->same_as) : NULL;
        if (whole != NULL)
            take_colour(whole, &colour);
    }
    return query != NULL;
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
        !add_signatures(reading, shades, error))
        return FALSE;
    *ret_shades = g_steal_pointer(&shades);
    return TRUE;
}

const store_shade *store_shade_find(const GArray *shades, int64_t fabric)
{
    const store_shade *own = shade_of(shades, fabric);
    const store_shade *whole =
        own != NULL && own->same_as != 0 ? shade_of(shades, own->same_as) : NULL;
    return whole != NULL ? whole : own;
}
