#include "store/fabric.h"

#include "store/book-internal.h"

/* --- sources
 * ---------------------------------------------------------------------------------- */

static const char *const kind_words[] = {
    [STORE_SOURCE_QUILT] = "quilt", [STORE_SOURCE_PURCHASE] = "purchase",
    [STORE_SOURCE_GIFT] = "gift",   [STORE_SOURCE_SWAP] = "swap",
    [STORE_SOURCE_OTHER] = "other",
};

void store_source_clear(store_source *source)
{
    g_clear_pointer(&source->name, g_free);
    g_clear_pointer(&source->note, g_free);
}

/* New identities, which are never taken back. */
static gboolean add_identity(store_change *change, const char *sql, int64_t *ret_id,
                             GError **error)
{
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(change, sql, error);
    if (insert == NULL)
        return FALSE;
    sqlite3_bind_int64(insert, 1, change->at);
    if (!store_run(insert, error))
        return FALSE;
    *ret_id = sqlite3_last_insert_rowid(change->book->writer);
    return TRUE;
}

/* A source of another id that has this name already. */
static gboolean refuse_taken_source(store_change *change, const char *name,
                                    const char *key, int64_t id, GError **error)
{
    bool taken;
    g_autoptr(sqlite3_stmt) query = store_change_prepare(
        change, "SELECT 1 FROM source_said WHERE name_key = ?1 AND source <> ?2", error);
    if (query == NULL)
        return FALSE;
    store_bind_text(query, 1, key);
    sqlite3_bind_int64(query, 2, id);
    if (!store_next(query, &taken, error))
        return FALSE;
    if (taken)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NAME_TAKEN,
                    "there is a source %s already", name);
    return !taken;
}

gboolean store_source_add(store_change *change, const char *name, store_source_kind kind,
                          const char *note, int64_t *ret_id, GError **error)
{
    int64_t id;
    g_autofree char *key = store_name_key(name);
    if (!refuse_taken_source(change, name, key, 0, error) ||
        !add_identity(change, "INSERT INTO source (created) VALUES (?1)", &id, error))
        return FALSE;
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change,
        "INSERT INTO source_said (source, name, name_key, kind, note)"
        " VALUES (?1, ?2, ?3, ?4, ?5)",
        error);
    if (insert == NULL)
        return FALSE;
    sqlite3_bind_int64(insert, 1, id);
    store_bind_text(insert, 2, name);
    store_bind_text(insert, 3, key);
    store_bind_text(insert, 4, kind_words[kind]);
    store_bind_text(insert, 5, note);
    if (!store_run(insert, error))
        return FALSE;
    *ret_id = id;
    return TRUE;
}

gboolean store_source_say(store_change *change, const store_source *source,
                          GError **error)
{
    g_autofree char *key = store_name_key(source->name);
    if (!refuse_taken_source(change, source->name, key, source->id, error))
        return FALSE;
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change,
        "UPDATE source_said SET name = ?2, name_key = ?3, kind = ?4, note = ?5"
        " WHERE source = ?1",
        error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, source->id);
    store_bind_text(update, 2, source->name);
    store_bind_text(update, 3, key);
    store_bind_text(update, 4, kind_words[source->kind]);
    store_bind_text(update, 5, source->note);
    return store_run_one(update, "source", source->id, error);
}

static void read_id(sqlite3_stmt *row, void *ret)
{
    *(int64_t *)ret = sqlite3_column_int64(row, 0);
}

gboolean store_source_find(store_book *book, const char *name, int64_t *ret_id,
                           GError **error)
{
    g_autofree char *key = store_name_key(name);
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, "SELECT source FROM source_said WHERE name_key = ?1", error);
    if (query == NULL)
        return FALSE;
    store_bind_text(query, 1, key);
    return store_one(query, read_id, ret_id, error, "source called %s", name);
}

static void read_source(sqlite3_stmt *row, void *ret)
{
    store_source *source = ret;
    source->id = sqlite3_column_int64(row, 0);
    source->created = store_column_time(row, 1);
    source->name = store_column_words(row, 2);
    source->kind = (store_source_kind)store_column_choice(
        row, 3, G_N_ELEMENTS(kind_words), kind_words, STORE_SOURCE_OTHER);
    source->note = store_column_text(row, 4);
}

gboolean store_source_list(store_book *book, GArray **ret_sources, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading,
                              "SELECT id, created, name, kind, note FROM source_said"
                              " JOIN source ON id = source ORDER BY name_key",
                              error);
    return query != NULL &&
           store_list(query, sizeof(store_source), read_source,
                      (GDestroyNotify)store_source_clear, ret_sources, error);
}

/* --- fabrics
 * ---------------------------------------------------------------------------------- */

void store_fabric_clear(store_fabric *fabric)
{
    g_clear_pointer(&fabric->name, g_free);
    g_clear_pointer(&fabric->note, g_free);
}

static void bind_value(sqlite3_stmt *statement, int place, int value)
{
    if (value >= 0)
        sqlite3_bind_int(statement, place, value);
    else
        sqlite3_bind_null(statement, place);
}

gboolean store_fabric_add(store_change *change, const char *name, int value,
                          int64_t *ret_id, GError **error)
{
    int64_t id;
    g_autofree char *key = name != NULL ? store_name_key(name) : NULL;
    if (!add_identity(change, "INSERT INTO fabric (created) VALUES (?1)", &id, error))
        return FALSE;
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change,
        "INSERT INTO fabric_said (fabric, name, name_key, value) VALUES (?1, ?2, ?3, ?4)",
        error);
    if (insert == NULL)
        return FALSE;
    sqlite3_bind_int64(insert, 1, id);
    store_bind_text(insert, 2, name);
    store_bind_text(insert, 3, key);
    bind_value(insert, 4, value);
    if (!store_run(insert, error))
        return FALSE;
    *ret_id = id;
    return TRUE;
}

gboolean store_fabric_say(store_change *change, const store_fabric *fabric,
                          GError **error)
{
    g_autofree char *key = fabric->name != NULL ? store_name_key(fabric->name) : NULL;
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change,
        "UPDATE fabric_said SET name = ?2, name_key = ?3, note = ?4, value = ?5"
        " WHERE fabric = ?1",
        error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, fabric->id);
    store_bind_text(update, 2, fabric->name);
    store_bind_text(update, 3, key);
    store_bind_text(update, 4, fabric->note);
    bind_value(update, 5, fabric->value_said ? fabric->value : -1);
    return store_run_one(update, "fabric", fabric->id, error);
}

/* What a fabric counts as. */
static gboolean find_root(store_change *change, int64_t fabric, int64_t *ret_root,
                          GError **error)
{
    g_autoptr(sqlite3_stmt) query = store_change_prepare(
        change, "SELECT ifnull(same_as, fabric) FROM fabric_said WHERE fabric = ?1",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, fabric);
    return store_one(query, read_id, ret_root, error, "fabric %" PRId64, fabric);
}

gboolean store_fabric_same(store_change *change, int64_t fabric, int64_t as,
                           GError **error)
{
    int64_t root = 0, own;
    if (!find_root(change, fabric, &own, error) ||
        (as != 0 && !find_root(change, as, &root, error)))
        return FALSE;
    if (as != 0 && root == own)
        return TRUE;
    /* Kept flat: what counts as another has none that count as it. */
    g_autoptr(sqlite3_stmt) update = store_change_prepare(
        change,
        as != 0 ? "UPDATE fabric_said SET same_as = ?2 WHERE fabric = ?1 OR same_as = ?1"
                : "UPDATE fabric_said SET same_as = ?2 WHERE fabric = ?1",
        error);
    if (update == NULL)
        return FALSE;
    sqlite3_bind_int64(update, 1, as != 0 ? own : fabric);
    store_bind_id(update, 2, root);
    return store_run(update, error);
}

#define FABRIC_COLUMNS                                                                   \
    "SELECT f.id, f.created, s.name, s.note,"                                            \
    " coalesce(s.value, (SELECT g.value FROM fabric_signature g WHERE g.fabric = f.id"   \
    "                    ORDER BY g.id LIMIT 1), -1),"                                   \
    " s.value IS NOT NULL, s.same_as,"                                                   \
    " (SELECT w.picture FROM swatch w WHERE w.fabric = f.id ORDER BY w.id LIMIT 1)"      \
    " FROM fabric_said s JOIN fabric f ON f.id = s.fabric "

static void read_fabric(sqlite3_stmt *row, void *ret)
{
    store_fabric *fabric = ret;
    fabric->id = sqlite3_column_int64(row, 0);
    fabric->created = store_column_time(row, 1);
    fabric->name = store_column_text(row, 2);
    fabric->note = store_column_text(row, 3);
    fabric->value = store_column_within(row, 4, -1, 2);
    fabric->value_said = sqlite3_column_int(row, 5);
    fabric->same_as = sqlite3_column_int64(row, 6);
    fabric->swatch = sqlite3_column_int64(row, 7);
}

gboolean store_fabric_get(store_book *book, int64_t fabric, store_fabric *ret_fabric,
                          GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, FABRIC_COLUMNS "WHERE s.fabric = ?1", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, fabric);
    store_fabric found = { 0 };
    if (!store_one(query, read_fabric, &found, error, "fabric %" PRId64, fabric))
        return FALSE;
    *ret_fabric = found;
    return TRUE;
}

gboolean store_fabric_find(store_book *book, const char *name, int64_t *ret_id,
                           GError **error)
{
    g_autofree char *key = store_name_key(name);
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT min(fabric) FROM fabric_said WHERE name_key = ?1 HAVING count(*) > 0",
        error);
    if (query == NULL)
        return FALSE;
    store_bind_text(query, 1, key);
    return store_one(query, read_id, ret_id, error, "fabric called %s", name);
}

gboolean store_fabric_list(store_book *book, int64_t after, int limit,
                           GArray **ret_fabrics, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading, FABRIC_COLUMNS "WHERE s.fabric > ?1 ORDER BY s.fabric LIMIT ?2", error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, after);
    sqlite3_bind_int(query, 2, limit > 0 ? limit : -1);
    return store_list(query, sizeof(store_fabric), read_fabric,
                      (GDestroyNotify)store_fabric_clear, ret_fabrics, error);
}

/* --- swatches
 * --------------------------------------------------------------------------------- */

gboolean store_swatch_add(store_change *change, int64_t fabric, GBytes *jpeg,
                          int64_t *ret_picture, GError **error)
{
    int64_t picture;
    if (!store_picture_keep(change, jpeg, &picture, error))
        return FALSE;
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change, "INSERT INTO swatch (fabric, picture) VALUES (?1, ?2)", error);
    if (insert == NULL)
        return FALSE;
    sqlite3_bind_int64(insert, 1, fabric);
    sqlite3_bind_int64(insert, 2, picture);
    if (!store_run(insert, error))
        return FALSE;
    if (ret_picture != NULL)
        *ret_picture = picture;
    return TRUE;
}

gboolean store_swatch_list(store_book *book, int64_t fabric, GArray **ret_pictures,
                           GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(
        reading,
        "SELECT picture FROM swatch WHERE fabric IN (SELECT ?1 UNION ALL"
        " SELECT fabric FROM fabric_said WHERE same_as = ?1)"
        " ORDER BY fabric <> ?1, fabric, id",
        error);
    if (query == NULL)
        return FALSE;
    sqlite3_bind_int64(query, 1, fabric);
    return store_list(query, sizeof(int64_t), read_id, NULL, ret_pictures, error);
}

/* --- signatures
 * --------------------------------------------------------------------------------- */

gboolean store_signature_add(store_change *change, int64_t fabric,
                             const colour_signature *colours, colour_value value,
                             GError **error)
{
    uint8_t bytes[STORE_COLOURS_SIZE];
    g_autoptr(sqlite3_stmt) insert = store_change_prepare(
        change,
        "INSERT INTO fabric_signature (fabric, value, colours) VALUES (?1, ?2, ?3)",
        error);
    if (insert == NULL)
        return FALSE;
    sqlite3_bind_int64(insert, 1, fabric);
    sqlite3_bind_int(insert, 2, (int)value);
    sqlite3_bind_blob(insert, 3, bytes, store_colours_pack(colours, bytes),
                      SQLITE_STATIC);
    return store_run(insert, error);
}

gboolean store_signature_forget(store_change *change, int64_t fabric, GError **error)
{
    g_autoptr(sqlite3_stmt) erase = store_change_prepare(
        change, "DELETE FROM fabric_signature WHERE ?1 = 0 OR fabric = ?1", error);
    if (erase == NULL)
        return FALSE;
    sqlite3_bind_int64(erase, 1, fabric);
    return store_run(erase, error);
}

static void read_signature(sqlite3_stmt *row, void *ret)
{
    store_signature *signature = ret;
    signature->fabric = sqlite3_column_int64(row, 0);
    signature->value = store_column_within(row, 1, -1, 2);
    store_colours_unpack(row, 2, &signature->colours);
}

gboolean store_signature_list(store_book *book, int64_t fabric, GArray **ret_signatures,
                              GError **error)
{
    /* Without a row in fabric_said the fabric was undone. */
    static const char all[] =
        "SELECT ifnull(s.same_as, g.fabric), g.value, g.colours FROM fabric_signature g"
        " JOIN fabric_said s ON s.fabric = g.fabric ORDER BY 1, g.id";
    static const char one[] =
        "SELECT ?1, g.value, g.colours FROM fabric_signature g"
        " JOIN fabric_said s ON s.fabric = g.fabric WHERE g.fabric IN (SELECT ?1 UNION "
        "ALL"
        " SELECT fabric FROM fabric_said WHERE same_as = ?1) ORDER BY g.id";
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, fabric == 0 ? all : one, error);
    if (query == NULL)
        return FALSE;
    if (fabric != 0)
        sqlite3_bind_int64(query, 1, fabric);
    return store_list(query, sizeof(store_signature), read_signature, NULL,
                      ret_signatures, error);
}

/* --- looks of many
 * ------------------------------------------------------------------------------ */

void store_look_clear(store_look *look)
{
    g_clear_pointer(&look->name, g_free);
}

static void read_look(sqlite3_stmt *row, void *ret)
{
    store_look *look = ret;
    look->fabric = sqlite3_column_int64(row, 0);
    look->name = store_column_text(row, 1);
    look->value = store_column_within(row, 2, -1, 2);
    look->swatch = sqlite3_column_int(row, 3);
    if (sqlite3_column_type(row, 4) != SQLITE_NULL)
        store_colours_unpack(row, 4, &look->colours);
}

gboolean store_look_get(store_book *book, int count, const int64_t *fabrics,
                        GArray **ret_looks, GError **error)
{
    static const char one[] =
        "SELECT s.fabric, s.name, coalesce(s.value, (SELECT g.value FROM "
        "fabric_signature g"
        "  WHERE g.fabric = s.fabric ORDER BY g.id LIMIT 1), -1),"
        " EXISTS (SELECT 1 FROM swatch w WHERE w.fabric = s.fabric),"
        " (SELECT g.colours FROM fabric_signature g WHERE g.fabric IN (SELECT s.fabric"
        "   UNION ALL SELECT t.fabric FROM fabric_said t WHERE t.same_as = s.fabric)"
        "  ORDER BY g.id LIMIT 1)"
        " FROM fabric_said s WHERE s.fabric = ?1";
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(reading, one, error);
    if (query == NULL)
        return FALSE;
    g_autoptr(GArray) looks =
        g_array_sized_new(FALSE, TRUE, sizeof(store_look), (guint)count);
    g_array_set_clear_func(looks, (GDestroyNotify)store_look_clear);
    for (int i = 0; i < count; i++) {
        store_look look = { 0 };
        sqlite3_reset(query);
        sqlite3_bind_int64(query, 1, fabrics[i]);
        if (!store_one(query, read_look, &look, error, "fabric %" PRId64, fabrics[i]))
            return FALSE;
        g_array_append_val(looks, look);
    }
    *ret_looks = g_steal_pointer(&looks);
    return TRUE;
}

/* A fabric with the one that it counts as; 0: itself. */
typedef struct said_look {
    store_look look;
    int64_t same_as;
} said_look;

G_STATIC_ASSERT(offsetof(said_look, look.fabric) == 0); /* for store_find() */

static void said_look_clear(gpointer data)
{
    store_look_clear(&((said_look *)data)->look);
}

static void read_said(sqlite3_stmt *row, void *ret)
{
    said_look *said = ret;
    said->look.fabric = sqlite3_column_int64(row, 0);
    said->look.name = store_column_text(row, 1);
    said->look.value = store_column_within(row, 2, -1, 2);
    said->same_as = sqlite3_column_int64(row, 3);
}

/* The first signature is what a fabric looks like, and one that it counts as. */
static void take_signature(sqlite3_stmt *row, const GArray *all, void *self)
{
    said_look *own = self;
    said_look *whole = own->same_as != 0 ? store_find(all, own->same_as) : NULL;
    if (own->look.value < 0)
        own->look.value = store_column_within(row, 1, -1, 2);
    if (own->look.colours.count == 0)
        store_colours_unpack(row, 2, &own->look.colours);
    if (whole != NULL && whole->look.colours.count == 0)
        store_colours_unpack(row, 2, &whole->look.colours);
}

static void take_swatch(sqlite3_stmt *row, const GArray *all, void *self)
{
    (void)row;
    (void)all;
    ((said_look *)self)->look.swatch = true;
}

const store_look *store_look_find(const GArray *looks, int64_t fabric)
{
    return store_find(looks, fabric);
}

/* Three tables read from end to end take a fraction of what three look-ups for each of
 * twenty thousand fabrics do. */
gboolean store_look_list(store_book *book, bool in_basket, GArray **ret_looks,
                         GError **error)
{
    static const char all_said[] = "SELECT fabric, name, ifnull(value, -1),"
                                   " ifnull(same_as, 0) FROM fabric_said ORDER BY fabric";
    /* With those that count as one in the basket: the first of them says how it looks. */
    static const char basket_said[] =
        "SELECT fabric, name, ifnull(value, -1), ifnull(same_as, 0) FROM fabric_said"
        " WHERE ifnull(same_as, fabric) IN ("
        "  SELECT ifnull(t.same_as, b.fabric) FROM basket_fabric b"
        "  LEFT JOIN fabric_said t ON t.fabric = b.fabric"
        "  WHERE b.known + b.inferred <> 0) ORDER BY fabric";
    g_autoptr(GArray) all = NULL;
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, in_basket ? basket_said : all_said, error);
    if (query == NULL ||
        !store_list(query, sizeof(said_look), read_said, said_look_clear, &all, error) ||
        !store_take_rows(reading, STORE_SIGNATURES, all, take_signature, error) ||
        !store_take_rows(reading, "SELECT fabric FROM swatch", all, take_swatch, error))
        return FALSE;
    GArray *looks = g_array_sized_new(FALSE, TRUE, sizeof(store_look), all->len);
    g_array_set_clear_func(looks, (GDestroyNotify)store_look_clear);
    for (guint i = 0; i < all->len; i++) {
        said_look *said = &g_array_index(all, said_look, i);
        if (in_basket && said->same_as != 0)
            continue;
        g_array_append_val(looks, said->look);
        said->look.name = NULL; /* moved */
    }
    *ret_looks = looks;
    return TRUE;
}
