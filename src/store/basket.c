#include "store/basket.h"

#include "store/book-internal.h"

static const char *const how_words[] = {
    [STORE_CUT] = "cut",
    [STORE_MADE] = "made",
    [STORE_ADDED] = "added",
    [STORE_TAKEN] = "taken",
    [STORE_CORRECTED] = "corrected",
    [STORE_WEIGHED] = "weighed",
    [STORE_REVERSED] = "reversed",
};

/* --- appending
 * ------------------------------------------------------------------------------ */

gboolean store_layer_add(store_change *change, int64_t *ret_layer, GError **error)
{
    g_autoptr(sqlite3_stmt) insert =
        store_change_prepare(change, "INSERT INTO layer (at) VALUES (?1)", error);
    if (insert == NULL)
        return FALSE;
    sqlite3_bind_int64(insert, 1, change->at);
    if (!store_run(insert, error))
        return FALSE;
    *ret_layer = sqlite3_last_insert_rowid(change->book->writer);
    return TRUE;
}

/* Compiled once for many rows: its trigger makes it the costliest statement of the room.
 */
static sqlite3_stmt *prepare_append(store_change *change, GError **error)
{
    g_assert(change->id != 0); /* a quiet change has no place in the ledger */
    return store_change_prepare(
        change,
        "INSERT INTO ledger (at, day, change, layer, unit, fabric, source, count, how,"
        "                    inward, fabric_known, counted, block)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?8 > 0, ?10, ?11, ?12)",
        error);
}

static gboolean append(store_change *change, sqlite3_stmt *insert,
                       const store_ledger_row *row, GError **error)
{
    g_assert(row->count != 0 && row->unit > 0 && row->how != STORE_REVERSED);
    sqlite3_reset(insert);
    sqlite3_bind_int64(insert, 1, change->at);
    sqlite3_bind_int(insert, 2, change->day);
    sqlite3_bind_int64(insert, 3, change->id);
    sqlite3_bind_int64(insert, 4, row->layer);
    sqlite3_bind_int(insert, 5, row->unit);
    store_bind_id(insert, 6, row->fabric);
    store_bind_id(insert, 7, row->source);
    sqlite3_bind_int(insert, 8, row->count);
    store_bind_text(insert, 9, how_words[row->how]);
    sqlite3_bind_int(insert, 10, row->fabric_known);
    sqlite3_bind_int(insert, 11, row->counted);
    store_bind_id(insert, 12, row->block);
    return store_run(insert, error);
}

gboolean store_ledger_append(store_change *change, const store_ledger_row *row,
                             int64_t *ret_id, GError **error)
{
    g_autoptr(sqlite3_stmt) insert = prepare_append(change, error);
    if (insert == NULL || !append(change, insert, row, error))
        return FALSE;
    if (ret_id != NULL)
        *ret_id = sqlite3_last_insert_rowid(change->book->writer);
    return TRUE;
}

gboolean store_basket_put_back(store_change *change, int64_t block, int *ret_count,
                               GError **error)
{
    g_assert(change->id != 0);
    /* What was undone already sums to nothing. */
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change,
        "INSERT INTO ledger (at, day, change, layer, unit, fabric, source, count, how,"
        "                    inward, fabric_known, counted, block, reverses)"
        " SELECT ?1, day, ?2, layer, unit, fabric, source, -sum(count), 'reversed',"
        "        inward, fabric_known, counted, block, max(id) FROM ledger"
        " WHERE block = ?3"
        " GROUP BY day, layer, unit, fabric, source, inward, fabric_known, counted"
        " HAVING sum(count) <> 0",
        error);
    g_autoptr(sqlite3_stmt) sum = store_change_prepare(
        change, "SELECT -ifnull(sum(count), 0) FROM ledger WHERE block = ?1", error);
    bool row;
    if (insert == NULL || sum == NULL)
        return FALSE;
    sqlite3_bind_int64(sum, 1, block);
    sqlite3_bind_int64(insert, 1, change->at);
    sqlite3_bind_int64(insert, 2, change->id);
    sqlite3_bind_int64(insert, 3, block);
    if (!store_next(sum, &row, error) || !store_run(insert, error))
        return FALSE;
    if (ret_count != NULL)
        *ret_count = store_column_within(sum, 0, -STORE_SQUARES_MAX, STORE_SQUARES_MAX);
    return TRUE;
}

/* --- taking off the top
 * ---------------------------------------------------------------------- */

/* A heap as the ledger has it, without looking what its fabric counts as. */
typedef struct heap {
    int64_t layer, fabric, source;
    int left, taken;
} heap;

static void read_raw_heap(sqlite3_stmt *row, void *ret)
{
    heap *read = ret;
    read->layer = sqlite3_column_int64(row, 0);
    read->fabric = sqlite3_column_int64(row, 1);
    read->source = sqlite3_column_int64(row, 2);
    read->left = store_column_within(row, 3, -STORE_SQUARES_MAX, STORE_SQUARES_MAX);
}

/* The heaps that may be taken from, top first, until they hold `count` squares and the
 * last layer is whole. */
static gboolean find_heaps(store_change *change, const store_take *take, int count,
                           GArray **ret_heaps, GError **error)
{
    g_autoptr(GArray) heaps = g_array_new(FALSE, TRUE, sizeof(heap));
    g_autoptr(sqlite3_stmt) query = store_change_prepare(
        change,
        "SELECT layer, h.fabric, source, known + inferred FROM basket_heap h"
        " LEFT JOIN fabric_said s ON s.fabric = h.fabric"
        " WHERE unit = ?1 AND known + inferred > 0"
        " AND (?2 = 0 OR ifnull(s.same_as, h.fabric) = ?2) AND (?3 = 0 OR source = ?3)"
        " ORDER BY layer, h.fabric, source",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int(query, 1, take->unit);
    sqlite3_bind_int64(query, 2, take->fabric);
    sqlite3_bind_int64(query, 3, take->source);

    int64_t found = 0, layer = 0;
    for (;;) {
        bool row;
        heap next = { 0 };
        if (!store_next(query, &row, error))
            return FALSE;
        if (!row)
            break;
        read_raw_heap(query, &next);
        if (found >= count && next.layer != layer)
            break;
        g_array_append_val(heaps, next);
        found += next.left;
        layer = next.layer;
    }
    *ret_heaps = g_steal_pointer(&heaps);
    return TRUE;
}

/* Takes `count` from heaps of one layer in proportion to what is left of each: whole
 * parts first, then one more for the largest remainders (the first of equal ones).
 * Before: 0 <= count <= sum of left. After: sum of taken is count, 0 <= taken <= left. */
static void spread(size_t heap_count, heap heaps[], int64_t total, int count)
{
    int given = 0;
    for (size_t i = 0; i < heap_count; i++) {
        heaps[i].taken = (int)((int64_t)count * heaps[i].left / total);
        given += heaps[i].taken;
    }
    for (; given < count; given++) {
        size_t most = heap_count;
        int64_t most_rest = -1;
        for (size_t i = 0; i < heap_count; i++) {
            /* What its share goes beyond what it has given so far. */
            int64_t rest =
                (int64_t)count * heaps[i].left - (int64_t)heaps[i].taken * total;
            if (heaps[i].taken < heaps[i].left && rest > most_rest) {
                most = i;
                most_rest = rest;
            }
        }
        g_assert(most < heap_count);
        heaps[most].taken++;
    }
}

static int take_from_layers(GArray *heaps, int count)
{
    int taken = 0;
    for (guint first = 0, end; first < heaps->len && taken < count; first = end) {
        heap *layer = &g_array_index(heaps, heap, first);
        int64_t total = 0;
        for (end = first;
             end < heaps->len && g_array_index(heaps, heap, end).layer == layer->layer;
             end++)
            total += g_array_index(heaps, heap, end).left;
        int part = (int)MIN(total, count - taken);
        spread(end - first, layer, total, part);
        taken += part;
    }
    return taken;
}

/* How many squares of a unit there are, whatever is left of single heaps. */
static gboolean unit_total(store_change *change, length unit, int64_t *ret_squares,
                           int64_t *ret_estimated, GError **error)
{
    bool row;
    g_autoptr(sqlite3_stmt) query = store_change_prepare(
        change, "SELECT squares, estimated FROM basket_unit WHERE unit = ?1", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int(query, 1, unit);
    if (!store_next(query, &row, error))
        return FALSE;
    *ret_squares = row ? store_column_squares(query, 0) : 0;
    *ret_estimated = row ? store_column_squares(query, 1) : 0;
    return TRUE;
}

static gboolean take_some(store_change *change, const store_take *take, bool counted,
                          int *ret_taken, GError **error)
{
    g_assert(take->count > 0 && take->unit > 0);
    int64_t squares, estimated;
    g_autoptr(GArray) heaps = NULL;
    if (!unit_total(change, take->unit, &squares, &estimated, error))
        return FALSE;
    int count = (int)CLAMP(squares, 0, take->count);
    if (!find_heaps(change, take, count, &heaps, error))
        return FALSE;
    int taken = take_from_layers(heaps, count);
    g_autoptr(sqlite3_stmt) insert = prepare_append(change, error);
    if (insert == NULL)
        return FALSE;

    for (guint i = 0; i < heaps->len; i++) {
        const heap *from = &g_array_index(heaps, heap, i);
        store_ledger_row row = {
            .layer = from->layer,
            .unit = take->unit,
            .fabric = from->fabric,
            .source = from->source,
            .count = -from->taken,
            .how = take->how,
            .fabric_known = take->fabric != 0 && take->fabric_known,
            .counted = counted,
            .block = take->block,
        };
        if (from->taken > 0 && !append(change, insert, &row, error))
            return FALSE;
    }
    if (ret_taken != NULL)
        *ret_taken = taken;
    return TRUE;
}

gboolean store_basket_take(store_change *change, const store_take *take, int *ret_taken,
                           GError **error)
{
    return take_some(change, take, true, ret_taken, error);
}

/* --- counting again
 * --------------------------------------------------------------------------- */

/* What was weighed becomes exact: the estimates go out and come in again as counted. */
static gboolean settle_estimates(store_change *change, length unit, int64_t layer,
                                 int estimated, GError **error)
{
    store_ledger_row row = {
        .layer = layer,
        .unit = unit,
        .count = -estimated,
        .how = STORE_CORRECTED,
        .fabric_known = true,
        .counted = false,
    };
    if (!store_ledger_append(change, &row, NULL, error))
        return FALSE;
    row.count = estimated;
    row.counted = true;
    return store_ledger_append(change, &row, NULL, error);
}

gboolean store_basket_correct(store_change *change, length unit, int count, bool counted,
                              int *ret_difference, GError **error)
{
    g_assert(count >= 0 && unit > 0);
    int64_t squares, estimated, layer = 0;
    if (!unit_total(change, unit, &squares, &estimated, error))
        return FALSE;
    int difference = (int)(count - squares);
    store_how how = counted ? STORE_CORRECTED : STORE_WEIGHED;
    bool settle = counted && estimated != 0;

    if ((difference > 0 || settle) && !store_layer_add(change, &layer, error))
        return FALSE;
    if (settle && !settle_estimates(change, unit, layer, (int)estimated, error))
        return FALSE;
    if (difference > 0) {
        store_ledger_row row = { .layer = layer,
                                 .unit = unit,
                                 .count = difference,
                                 .how = how,
                                 .fabric_known = true,
                                 .counted = counted };
        if (!store_ledger_append(change, &row, NULL, error))
            return FALSE;
    }
    if (difference < 0) {
        store_take take = { .unit = unit, .count = -difference, .how = how };
        if (!take_some(change, &take, counted, NULL, error))
            return FALSE;
    }
    if (ret_difference != NULL)
        *ret_difference = difference;
    return TRUE;
}

/* --- what is in it
 * ------------------------------------------------------------------------------ */

static void read_unit_total(sqlite3_stmt *row, void *ret)
{
    store_unit_total *total = ret;
    total->unit = store_column_within(row, 0, 1, LENGTH_MAX);
    total->squares = store_column_squares(row, 1);
    total->estimated = store_column_squares(row, 2);
}

gboolean store_basket_units(store_book *book, GArray **ret_totals, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading,
                              "SELECT unit, squares, estimated FROM basket_unit WHERE "
                              "squares <> 0 ORDER BY unit",
                              error);
    return query != NULL && store_list(query, sizeof(store_unit_total), read_unit_total,
                                       NULL, ret_totals, error);
}

static void read_share(sqlite3_stmt *row, void *ret)
{
    store_share *share = ret;
    share->id = sqlite3_column_int64(row, 0);
    share->known = store_column_squares(row, 1);
    share->inferred = store_column_squares(row, 2);
}

/* Runs a query for store_share whose one value is the unit. */
static gboolean list_shares(store_book *book, const char *sql, int64_t value,
                            GArray **ret_shares, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(reading, sql, error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, value);
    return store_list(query, sizeof(store_share), read_share, NULL, ret_shares, error);
}

gboolean store_basket_fabrics(store_book *book, length unit, GArray **ret_shares,
                              GError **error)
{
    return list_shares(
        book,
        "SELECT ifnull(s.same_as, b.fabric), sum(known), sum(inferred)"
        " FROM basket_fabric b LEFT JOIN fabric_said s ON s.fabric = b.fabric"
        " WHERE known + inferred <> 0 AND (?1 = 0 OR unit = ?1)"
        " GROUP BY 1 HAVING sum(known + inferred) <> 0"
        " ORDER BY sum(known + inferred) DESC, 1",
        unit, ret_shares, error);
}

gboolean store_basket_sources(store_book *book, length unit, GArray **ret_shares,
                              GError **error)
{
    return list_shares(book,
                       "SELECT source, sum(known), sum(inferred) FROM basket_source"
                       " WHERE ?1 = 0 OR unit = ?1"
                       " GROUP BY source HAVING sum(known + inferred) <> 0"
                       " ORDER BY sum(known + inferred) DESC, 1",
                       unit, ret_shares, error);
}

gboolean store_basket_values(store_book *book, length unit, GArray **ret_shares,
                             GError **error)
{
    return list_shares(
        book,
        "WITH live AS (SELECT ifnull(s.same_as, b.fabric) AS fabric, known, inferred"
        "  FROM basket_fabric b LEFT JOIN fabric_said s ON s.fabric = b.fabric"
        "  WHERE known + inferred <> 0 AND (?1 = 0 OR unit = ?1))"
        " SELECT coalesce(s.value, (SELECT g.value FROM fabric_signature g"
        "                  WHERE g.fabric = live.fabric ORDER BY g.id LIMIT 1), -1),"
        "        sum(known), sum(inferred)"
        " FROM live LEFT JOIN fabric_said s ON s.fabric = live.fabric"
        " GROUP BY 1 HAVING sum(known + inferred) <> 0"
        " ORDER BY sum(known + inferred) DESC, 1",
        unit, ret_shares, error);
}

static void read_layer_total(sqlite3_stmt *row, void *ret)
{
    store_layer_total *total = ret;
    total->layer = sqlite3_column_int64(row, 0);
    total->at = store_column_time(row, 1);
    total->unit = store_column_within(row, 2, 1, LENGTH_MAX);
    total->put_in = store_column_squares(row, 3);
    total->left = store_column_squares(row, 4);
    total->inferred = store_column_squares(row, 5);
}

gboolean store_basket_layers(store_book *book, length unit, GArray **ret_layers,
                             GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT layer, at, unit, put_in, known + inferred, inferred"
        " FROM basket_layer b JOIN layer l ON l.id = b.layer"
        " WHERE known + inferred <> 0 AND (?1 = 0 OR unit = ?1) ORDER BY layer, unit",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int(query, 1, unit);
    return store_list(query, sizeof(store_layer_total), read_layer_total, NULL,
                      ret_layers, error);
}

static void read_heap(sqlite3_stmt *row, void *ret)
{
    store_heap *read = ret;
    read->layer = sqlite3_column_int64(row, 0);
    read->fabric = sqlite3_column_int64(row, 1);
    read->source = sqlite3_column_int64(row, 2);
    read->left = store_column_within(row, 3, -STORE_SQUARES_MAX, STORE_SQUARES_MAX);
    read->exact = store_column_within(row, 4, -STORE_SQUARES_MAX, STORE_SQUARES_MAX);
}

gboolean store_basket_top(store_book *book, length unit, int64_t squares,
                          GArray **ret_heaps, GError **error)
{
    g_autoptr(GArray) heaps = g_array_new(FALSE, TRUE, sizeof(store_heap));
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT layer, ifnull(s.same_as, h.fabric), source, known + inferred, inferred = "
        "0"
        " FROM basket_heap h LEFT JOIN fabric_said s ON s.fabric = h.fabric"
        " WHERE unit = ?1 AND known + inferred > 0 ORDER BY layer, h.fabric, source",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int(query, 1, unit);
    for (int64_t found = 0; squares == 0 || found < squares;) {
        bool row;
        store_heap next = { 0 };
        if (!store_next(query, &row, error))
            return FALSE;
        if (!row)
            break;
        read_heap(query, &next);
        g_array_append_val(heaps, next);
        found += next.left;
    }
    *ret_heaps = g_steal_pointer(&heaps);
    return TRUE;
}

/* --- the ledger itself
 * ---------------------------------------------------------------------------- */

#define LEDGER_COLUMNS                                                                   \
    "SELECT id, at, change, layer, unit, fabric, source, count, how, fabric_known,"      \
    " counted, block, reverses FROM ledger "

static void read_ledger_row(sqlite3_stmt *row, void *ret)
{
    store_ledger_row *read = ret;
    read->id = sqlite3_column_int64(row, 0);
    read->at = store_column_time(row, 1);
    read->change = sqlite3_column_int64(row, 2);
    read->layer = sqlite3_column_int64(row, 3);
    read->unit = store_column_within(row, 4, 1, LENGTH_MAX);
    read->fabric = sqlite3_column_int64(row, 5);
    read->source = sqlite3_column_int64(row, 6);
    read->count = store_column_within(row, 7, -STORE_SQUARES_MAX, STORE_SQUARES_MAX);
    read->how = (store_how)store_column_choice(row, 8, G_N_ELEMENTS(how_words), how_words,
                                               STORE_CORRECTED);
    read->fabric_known = sqlite3_column_int(row, 9);
    read->counted = sqlite3_column_int(row, 10);
    read->block = sqlite3_column_int64(row, 11);
    read->reverses = sqlite3_column_int64(row, 12);
}

gboolean store_ledger_of_fabric(store_book *book, int64_t fabric, GArray **ret_rows,
                                GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        LEDGER_COLUMNS
        "WHERE fabric IN (SELECT ?1 UNION ALL SELECT fabric FROM fabric_said"
        " WHERE same_as = ?1) ORDER BY id",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, fabric);
    return store_list(query, sizeof(store_ledger_row), read_ledger_row, NULL, ret_rows,
                      error);
}

gboolean store_ledger_list(store_book *book, int64_t after, int limit, GArray **ret_rows,
                           GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, LEDGER_COLUMNS "WHERE id > ?1 ORDER BY id LIMIT ?2", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, after);
    sqlite3_bind_int(query, 2, limit);
    return store_list(query, sizeof(store_ledger_row), read_ledger_row, NULL, ret_rows,
                      error);
}

static void read_flow(sqlite3_stmt *row, void *ret)
{
    store_flow *flow = ret;
    int month = store_column_within(row, 0, STORE_MONTH_FIRST, STORE_MONTH_LAST);
    flow->year = month / 100;
    flow->month = CLAMP(month % 100, 1, 12);
    flow->unit = store_column_within(row, 1, 1, LENGTH_MAX);
    flow->in = store_column_squares(row, 2);
    flow->out = store_column_squares(row, 3);
}

gboolean store_basket_months(store_book *book, length unit, GArray **ret_flows,
                             GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT month, unit, came_in, went_out FROM basket_month"
        " WHERE (?1 = 0 OR unit = ?1) AND (came_in <> 0 OR went_out <> 0)"
        " ORDER BY month, unit",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int(query, 1, unit);
    return store_list(query, sizeof(store_flow), read_flow, NULL, ret_flows, error);
}

gboolean store_quilt_sources(store_book *book, int64_t quilt, GArray **ret_shares,
                             GError **error)
{
    return list_shares(
        book,
        "SELECT ifnull(l.source, 0), -sum(iif(l.fabric_known, l.count, 0)),"
        "       -sum(iif(l.fabric_known, 0, l.count))"
        " FROM block b JOIN ledger l ON l.block = b.id WHERE b.quilt = ?1"
        " GROUP BY 1 HAVING sum(l.count) <> 0 ORDER BY sum(l.count), 1",
        quilt, ret_shares, error);
}

static void read_origin(sqlite3_stmt *row, void *ret)
{
    store_origin *origin = ret;
    origin->block = sqlite3_column_int64(row, 0);
    origin->fabric = sqlite3_column_int64(row, 1);
    origin->source = sqlite3_column_int64(row, 2);
    origin->squares = store_column_squares(row, 3);
}

gboolean store_quilt_origins(store_book *book, int64_t quilt, GArray **ret_origins,
                             GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT b.id, coalesce(s.same_as, l.fabric, 0), ifnull(l.source, 0),"
        "       -sum(l.count)"
        " FROM block b JOIN ledger l ON l.block = b.id"
        " LEFT JOIN fabric_said s ON s.fabric = l.fabric"
        " WHERE b.quilt = ?1 GROUP BY 1, 2, 3 HAVING sum(l.count) < 0"
        " ORDER BY 1, 2, 4 DESC, 3",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, quilt);
    return store_list(query, sizeof(store_origin), read_origin, NULL, ret_origins, error);
}

static void read_whole(sqlite3_stmt *row, void *ret)
{
    *(int64_t *)ret = sqlite3_column_int64(row, 0);
}

gboolean store_ledger_newest(store_book *book, int64_t *ret_id, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, "SELECT ifnull(max(id), 0) FROM ledger", error);
    return query != NULL &&
           store_one(query, read_whole, ret_id, error, "row of the ledger");
}

gboolean store_ledger_quilts(store_book *book, int64_t after, GArray **ret_quilts,
                             GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT DISTINCT b.quilt FROM ledger l JOIN block b ON b.id = l.block"
        " WHERE l.id > ?1",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, after);
    return store_list(query, sizeof(int64_t), read_whole, NULL, ret_quilts, error);
}

static void read_came(sqlite3_stmt *row, void *ret)
{
    store_came *came = ret;
    came->month = store_column_within(row, 0, STORE_MONTH_FIRST, STORE_MONTH_LAST);
    came->fabric = sqlite3_column_int64(row, 1);
    came->squares = store_column_squares(row, 2);
}

static gboolean list_came(store_book *book, const char *sql, GArray **ret_came,
                          GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(reading, sql, error);
    return query != NULL &&
           store_list(query, sizeof(store_came), read_came, NULL, ret_came, error);
}

gboolean store_basket_came(store_book *book, GArray **ret_came, GError **error)
{
    return list_came(book,
                     "SELECT day / 100, ifnull(fabric, 0), count FROM ledger"
                     " WHERE inward = 1 ORDER BY day",
                     ret_came, error);
}

gboolean store_basket_stays(store_book *book, GArray **ret_came, GError **error)
{
    return list_came(book,
                     "SELECT CAST(strftime('%Y%m', y.at, 'unixepoch') AS INTEGER), 0,"
                     "       h.squares"
                     " FROM (SELECT layer, sum(known + inferred) AS squares"
                     "       FROM basket_heap GROUP BY layer HAVING squares <> 0) h"
                     " JOIN layer y ON y.id = h.layer ORDER BY 1",
                     ret_came, error);
}
