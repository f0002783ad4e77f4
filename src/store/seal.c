#include "store/seal.h"

#include <string.h>

enum { LINK_SIZE = 16 };

/* What is sealed, by the first column of its primary key; key NULL: the table as a whole.
 * `what` names it in a complaint. */
typedef struct part {
    const char *table, *key, *order, *what;
} part;

static const part parts[] = {
    { "revision", "one", "one", "the count of changes," },
    { "journal", "id", "id", "change" },
    { "setting", NULL, "key", "the settings" },
    { "device", "id", "id", "device" },
    { "pairing", NULL, "code_sha256", "the codes for pairing" },
    { "source", "id", "id", "source" },
    { "source_said", "source", "source", "what was said of source" },
    { "fabric", "id", "id", "fabric" },
    { "fabric_said", "fabric", "fabric", "what was said of fabric" },
    { "swatch", "id", "id", "swatch" },
    { "fabric_signature", "id", "id", "the colours of fabrics, entry" },
    { "photo", "id", "id", "photo" },
    { "scrap", "id", "id", "scrap" },
    { "scrap_colours", "scrap", "scrap", "the colours of scrap" },
    { "design_own", NULL, "name", "your own designs" },
    { "quilt", "id", "id", "quilt" },
    { "quilt_role", "quilt", "quilt, role", "the fabrics chosen for quilt" },
    { "block", "id", "id", "block" },
    { "block_patch", "block", "block, place, part", "the patches of block" },
    { "block_colours", "block", "block, place", "the colours of block" },
    { "bought", "quilt", "quilt, item", "what was bought for quilt" },
    { "layer", "id", "id", "layer" },
};

static const part *part_of(const char *table)
{
    for (size_t i = 0; i < G_N_ELEMENTS(parts); i++)
        if (strcmp(parts[i].table, table) == 0)
            return &parts[i];
    return NULL;
}

/* --- hashing rows ------------------------------------------------------------------- */

static void add(GChecksum *sum, int type, const void *bytes, size_t size)
{
    uint8_t head[9] = { (uint8_t)type };
    for (int i = 0; i < 8; i++)
        head[1 + i] = (uint8_t)((uint64_t)size >> (8 * i));
    g_checksum_update(sum, head, sizeof head);
    if (size > 0)
        g_checksum_update(sum, bytes, (gssize)size);
}

static void add_eight(GChecksum *sum, int type, uint64_t bits)
{
    uint64_t low_first = GUINT64_TO_LE(bits);
    add(sum, type, &low_first, sizeof low_first);
}

static void add_row(GChecksum *sum, sqlite3_stmt *row)
{
    for (int i = 0; i < sqlite3_column_count(row); i++) {
        int type = sqlite3_column_type(row, i);
        double real;
        uint64_t bits;
        switch (type) {
        case SQLITE_INTEGER:
            add_eight(sum, type, (uint64_t)sqlite3_column_int64(row, i));
            break;
        case SQLITE_FLOAT:
            real = sqlite3_column_double(row, i);
            memcpy(&bits, &real, sizeof bits);
            add_eight(sum, type, bits);
            break;
        case SQLITE_NULL:
            add(sum, type, NULL, 0);
            break;
        default: {
            const void *bytes = sqlite3_column_blob(row, i);
            add(sum, type, bytes, (size_t)sqlite3_column_bytes(row, i));
        }
        }
    }
}

static void first_bytes(GChecksum *sum, uint8_t link[static LINK_SIZE])
{
    uint8_t digest[32];
    gsize size = sizeof digest;
    g_checksum_get_digest(sum, digest, &size);
    memcpy(link, digest, LINK_SIZE);
}

static int64_t first_number(GChecksum *sum)
{
    uint8_t link[LINK_SIZE];
    first_bytes(sum, link);
    int64_t number;
    memcpy(&number, link, sizeof number);
    return GINT64_FROM_LE(number);
}

/* --- reading a table, one sealed thing after the other ------------------------------ */

/* The rows that one seal is over. */
typedef struct group {
    bool there;
    int64_t key, hash;
} group;

typedef struct groups {
    sqlite3_stmt *rows;
    GChecksum *sum;
    bool whole, row;
} groups;

static void groups_clear(groups *self)
{
    sqlite3_finalize(self->rows);
    g_clear_pointer(&self->sum, g_checksum_free);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(groups, groups_clear)

/* The rows of one key, to be bound, or all of them. They are read as they lie: an index
 * may be what is damaged. */
static gboolean groups_open(sqlite3 *db, const part *of, bool one, groups *ret,
                            GError **error)
{
    g_autofree char *where = one && of->key != NULL
                                 ? g_strdup_printf(" WHERE %s = ?1", of->key)
                                 : g_strdup("");
    g_autofree char *sql = g_strdup_printf("SELECT * FROM %s NOT INDEXED%s ORDER BY %s",
                                           of->table, where, of->order);
    ret->rows = store_prepare(db, sql, error);
    ret->sum = g_checksum_new(G_CHECKSUM_SHA256);
    ret->whole = of->key == NULL;
    return ret->rows != NULL;
}

static int64_t key_of(const groups *self)
{
    return self->whole ? 0 : sqlite3_column_int64(self->rows, 0);
}

/* Call groups_start() once, then groups_next() until it is not there. */
static gboolean groups_start(groups *self, GError **error)
{
    return store_next(self->rows, &self->row, error);
}

static gboolean groups_next(groups *self, group *ret, GError **error)
{
    *ret = (group){ .there = self->row };
    if (!self->row)
        return TRUE;
    ret->key = key_of(self);
    g_checksum_reset(self->sum);
    do {
        add_row(self->sum, self->rows);
        if (!store_next(self->rows, &self->row, error))
            return FALSE;
    } while (self->row && key_of(self) == ret->key);
    ret->hash = first_number(self->sum);
    return TRUE;
}

/* --- sealing --------------------------------------------------------------------------
 */

static const char *const put_text =
    "INSERT INTO seal (part, key, hash) VALUES (?1, ?2, ?3)"
    " ON CONFLICT DO UPDATE SET hash = excluded.hash";

static gboolean put(sqlite3_stmt *put, const char *table, int64_t key, int64_t hash,
                    GError **error)
{
    sqlite3_reset(put);
    sqlite3_bind_text(put, 1, table, -1, SQLITE_STATIC);
    sqlite3_bind_int64(put, 2, key);
    sqlite3_bind_int64(put, 3, hash);
    return store_run(put, error);
}

static gboolean take_off(sqlite3 *db, const char *table, int64_t key, GError **error)
{
    g_autoptr(sqlite3_stmt) take =
        store_prepare(db, "DELETE FROM seal WHERE part = ?1 AND key = ?2", error);
    if (take == NULL)
        return FALSE;
    store_bind_text(take, 1, table);
    sqlite3_bind_int64(take, 2, key);
    return store_run(take, error);
}

static gboolean seal_key(sqlite3 *db, const part *of, groups *rows, sqlite3_stmt *to,
                         int64_t key, GError **error)
{
    group found;
    sqlite3_reset(rows->rows);
    if (of->key != NULL)
        sqlite3_bind_int64(rows->rows, 1, key);
    if (!groups_start(rows, error) || !groups_next(rows, &found, error))
        return FALSE;
    return found.there ? put(to, of->table, key, found.hash, error)
                       : take_off(db, of->table, key, error);
}

static gboolean seal_keys(sqlite3 *db, const part *of, GHashTable *keys, GError **error)
{
    g_auto(groups) rows = { 0 };
    g_autoptr(sqlite3_stmt) to = store_prepare(db, put_text, error);
    if (to == NULL || !groups_open(db, of, true, &rows, error))
        return FALSE;
    GHashTableIter each;
    gpointer key;
    g_hash_table_iter_init(&each, keys);
    while (g_hash_table_iter_next(&each, &key, NULL))
        if (!seal_key(db, of, &rows, to, *(const int64_t *)key, error))
            return FALSE;
    return TRUE;
}

gboolean store_seal_revision(sqlite3 *db, GError **error)
{
    const int64_t one = 1;
    g_auto(groups) rows = { 0 };
    g_autoptr(sqlite3_stmt) to = store_prepare(db, put_text, error);
    return to != NULL && groups_open(db, &parts[0], true, &rows, error) &&
           seal_key(db, &parts[0], &rows, to, one, error);
}

static gboolean seal_table(sqlite3 *db, const part *of, GError **error)
{
    g_auto(groups) rows = { 0 };
    g_autoptr(sqlite3_stmt) to = store_prepare(db, put_text, error);
    if (to == NULL || !groups_open(db, of, false, &rows, error) ||
        !groups_start(&rows, error))
        return FALSE;
    for (;;) {
        group found;
        if (!groups_next(&rows, &found, error))
            return FALSE;
        if (!found.there)
            return TRUE;
        if (!put(to, of->table, found.key, found.hash, error))
            return FALSE;
    }
}

/* --- the chain of the ledger ----------------------------------------------------------
 */

/* What the link of a row is made of: the link before it and the row. */
static void make_link(GChecksum *sum, const uint8_t *before, size_t size,
                      sqlite3_stmt *row, uint8_t ret_link[static LINK_SIZE])
{
    g_checksum_reset(sum);
    if (size > 0)
        g_checksum_update(sum, before, (gssize)size);
    add_row(sum, row);
    first_bytes(sum, ret_link);
}

/* The last link; *ret_size 0 when there is none. */
static gboolean last_link(sqlite3 *db, int64_t *ret_row, uint8_t link[static LINK_SIZE],
                          size_t *ret_size, GError **error)
{
    bool row;
    g_autoptr(sqlite3_stmt) query = store_prepare(
        db, "SELECT ledger, link FROM ledger_link ORDER BY ledger DESC LIMIT 1", error);
    if (query == NULL || !store_next(query, &row, error))
        return FALSE;
    *ret_row = 0;
    *ret_size = 0;
    if (row) {
        *ret_row = sqlite3_column_int64(query, 0);
        *ret_size = (size_t)MIN(sqlite3_column_bytes(query, 1), LINK_SIZE);
        if (*ret_size > 0)
            memcpy(link, sqlite3_column_blob(query, 1), *ret_size);
    }
    return TRUE;
}

/* Links the rows that have no link yet; rows are only ever appended. */
static gboolean link_ledger(sqlite3 *db, GError **error)
{
    int64_t last;
    uint8_t link[LINK_SIZE];
    size_t size;
    g_autoptr(sqlite3_stmt) rows = NULL, to = NULL;
    g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
    if (!last_link(db, &last, link, &size, error))
        return FALSE;
    rows = store_prepare(db, "SELECT * FROM ledger WHERE id > ?1 ORDER BY id", error);
    if (rows == NULL)
        return FALSE;
    to = store_prepare(db, "INSERT INTO ledger_link (ledger, link) VALUES (?1, ?2)",
                       error);
    if (to == NULL)
        return FALSE;
    sqlite3_bind_int64(rows, 1, last);
    for (;;) {
        bool row;
        if (!store_next(rows, &row, error))
            return FALSE;
        if (!row)
            return TRUE;
        make_link(sum, link, size, rows, link);
        size = LINK_SIZE;
        sqlite3_reset(to);
        sqlite3_bind_int64(to, 1, sqlite3_column_int64(rows, 0));
        sqlite3_bind_blob(to, 2, link, LINK_SIZE, SQLITE_STATIC);
        if (!store_run(to, error))
            return FALSE;
    }
}

/* --- the text that made the tables ----------------------------------------------------
 */

static gboolean hash_schema(sqlite3 *db, int64_t *ret_hash, GError **error)
{
    g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
    g_autoptr(sqlite3_stmt) rows =
        store_prepare(db,
                      "SELECT type, name, tbl_name, sql FROM sqlite_schema"
                      " ORDER BY name COLLATE BINARY, type",
                      error);
    if (rows == NULL)
        return FALSE;
    for (;;) {
        bool row;
        if (!store_next(rows, &row, error))
            return FALSE;
        if (!row)
            break;
        add_row(sum, rows);
    }
    *ret_hash = first_number(sum);
    return TRUE;
}

/* By the version, so that a version that was altered is noticed as well. */
static gboolean seal_schema(sqlite3 *db, GError **error)
{
    int64_t hash, version;
    g_autoptr(sqlite3_stmt) to = store_prepare(db, put_text, error);
    return to != NULL &&
           store_exec(db, "DELETE FROM seal WHERE part = 'schema'", error) &&
           store_number(db, "PRAGMA user_version", &version, error) &&
           hash_schema(db, &hash, error) && put(to, "schema", version, hash, error);
}

static gboolean schema_is_sealed(sqlite3 *db, bool *ret_so, GError **error)
{
    int64_t hash, version;
    bool row;
    g_autoptr(sqlite3_stmt) query =
        store_prepare(db, "SELECT key, hash FROM seal WHERE part = 'schema'", error);
    if (query == NULL || !store_next(query, &row, error) ||
        !hash_schema(db, &hash, error) ||
        !store_number(db, "PRAGMA user_version", &version, error))
        return FALSE;
    *ret_so = row && sqlite3_column_int64(query, 0) == version &&
              sqlite3_column_int64(query, 1) == hash;
    return TRUE;
}

gboolean store_seal_check_schema(sqlite3 *db, GError **error)
{
    bool sealed = false;
    GError *stopped = NULL;
    if (schema_is_sealed(db, &sealed, &stopped) && sealed)
        return TRUE;
    /* A table that is not there any more is damage as well. */
    if (stopped != NULL &&
        !g_error_matches(stopped, MOTLEY_ERROR, MOTLEY_ERROR_INTERNAL)) {
        g_propagate_error(error, stopped);
        return FALSE;
    }
    g_clear_error(&stopped);
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_DAMAGED,
                        "what the book says of its own tables is not as it was written");
    return FALSE;
}

gboolean store_seal_all(sqlite3 *db, GError **error)
{
    if (!store_exec(db, "DELETE FROM seal; DELETE FROM ledger_link", error) ||
        !link_ledger(db, error) || !seal_schema(db, error))
        return FALSE;
    for (size_t i = 0; i < G_N_ELEMENTS(parts); i++)
        if (!seal_table(db, &parts[i], error))
            return FALSE;
    return TRUE;
}

/* --- a change -------------------------------------------------------------------------
 */

sqlite3_session *store_seal_watch(sqlite3 *db, GError **error)
{
    sqlite3_session *watch = NULL;
    int code = sqlite3session_create(db, "main", &watch);
    for (size_t i = 0; i < G_N_ELEMENTS(parts) && code == SQLITE_OK; i++)
        code = sqlite3session_attach(watch, parts[i].table);
    if (code == SQLITE_OK)
        return watch;
    sqlite3session_delete(watch);
    store_fail(db, code, error);
    return NULL;
}

/* The keys of one table that a change touched. */
static int64_t touched_key(sqlite3_changeset_iter *at, int operation, const part *of)
{
    sqlite3_value *value = NULL;
    int code = operation == SQLITE_INSERT ? sqlite3changeset_new(at, 0, &value)
                                          : sqlite3changeset_old(at, 0, &value);
    g_assert(code == SQLITE_OK && value != NULL); /* a primary key is always there */
    return of->key == NULL ? 0 : sqlite3_value_int64(value);
}

/* A table's changes follow each other, so that one table is held at a time. */
static gboolean seal_each(sqlite3 *db, sqlite3_changeset_iter *at, GError **error)
{
    const part *now = NULL;
    g_autoptr(GHashTable) keys =
        g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, NULL);
    int code;
    while ((code = sqlite3changeset_next(at)) == SQLITE_ROW) {
        const char *table;
        int columns, operation, indirect;
        sqlite3changeset_op(at, &table, &columns, &operation, &indirect);
        const part *of = part_of(table);
        if (of != now && now != NULL) {
            if (!seal_keys(db, now, keys, error))
                return FALSE;
            g_hash_table_remove_all(keys);
        }
        now = of;
        int64_t key = touched_key(at, operation, of);
        g_hash_table_add(keys, g_memdup2(&key, sizeof key));
    }
    if (code != SQLITE_DONE)
        return store_fail(db, code, error);
    return now == NULL || seal_keys(db, now, keys, error);
}

gboolean store_seal_touched(sqlite3 *db, sqlite3_session *watch, GError **error)
{
    int size = 0;
    void *patches = NULL;
    sqlite3_changeset_iter *at = NULL;
    /* A patchset has the keys, and not the old values, which nobody asks for. */
    int code = sqlite3session_patchset(watch, &size, &patches);
    if (code == SQLITE_OK)
        code = sqlite3changeset_start(&at, size, patches);
    gboolean done = code == SQLITE_OK ? seal_each(db, at, error) && link_ledger(db, error)
                                      : store_fail(db, code, error);
    sqlite3changeset_finalize(at);
    sqlite3_free(patches);
    return done;
}

/* --- checking -------------------------------------------------------------------------
 */

static void complain(GPtrArray *complaints, const part *of, int64_t key, const char *how)
{
    g_ptr_array_add(complaints,
                    of->key == NULL
                        ? g_strdup_printf("%s are %s", of->what, how)
                        : g_strdup_printf("%s %" PRId64 " is %s", of->what, key, how));
}

/* Whatever a damaged file makes SQLite say is a fault of the book; that it is in use, or
 * that memory or room are short, is not. */
static gboolean cannot_read(GPtrArray *complaints, const char *what, GError *cause,
                            GError **error)
{
    if (!store_is_fault(cause)) {
        g_propagate_error(error, cause);
        return FALSE;
    }
    g_ptr_array_add(complaints, g_strdup_printf("the table %s cannot be read: %s", what,
                                                cause->message));
    g_error_free(cause);
    return TRUE;
}

/* Walks rows and seals side by side: both are in order of the key. */
static gboolean check_table(sqlite3 *db, const part *of, GPtrArray *complaints,
                            GError **error)
{
    bool sealed;
    group found;
    g_auto(groups) rows = { 0 };
    g_autoptr(sqlite3_stmt) seals = store_prepare(
        db, "SELECT key, hash FROM seal WHERE part = ?1 ORDER BY key", error);
    if (seals == NULL || !groups_open(db, of, false, &rows, error))
        return FALSE;
    store_bind_text(seals, 1, of->table);
    if (!store_next(seals, &sealed, error) || !groups_start(&rows, error) ||
        !groups_next(&rows, &found, error))
        return FALSE;
    while (sealed || found.there) {
        int64_t key = sealed ? sqlite3_column_int64(seals, 0) : 0;
        bool row = found.there && (!sealed || found.key <= key);
        bool seal = sealed && (!found.there || key <= found.key);
        if (!seal)
            complain(complaints, of, found.key, "there without a seal");
        else if (!row)
            complain(complaints, of, key, "gone");
        else if (found.hash != sqlite3_column_int64(seals, 1))
            complain(complaints, of, key, "not as it was written");
        if ((seal && !store_next(seals, &sealed, error)) ||
            (row && !groups_next(&rows, &found, error)))
            return FALSE;
    }
    return TRUE;
}

/* Where one link does not fit its row, the chain is followed on from the link that is
 * there: one row that is damaged is one fault, or two when it is its link. */
static gboolean check_chain(sqlite3 *db, GPtrArray *complaints, GError **error)
{
    uint8_t before[LINK_SIZE], link[LINK_SIZE];
    size_t size = 0;
    bool row;
    g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
    g_autoptr(sqlite3_stmt) rows =
        store_prepare(db, "SELECT * FROM ledger NOT INDEXED ORDER BY id", error);
    g_autoptr(sqlite3_stmt) links =
        rows == NULL
            ? NULL
            : store_prepare(db, "SELECT ledger, link FROM ledger_link ORDER BY ledger",
                            error);
    bool linked;
    if (links == NULL || !store_next(rows, &row, error) ||
        !store_next(links, &linked, error))
        return FALSE;
    while (row || linked) {
        int64_t id = row ? sqlite3_column_int64(rows, 0) : INT64_MAX;
        int64_t of = linked ? sqlite3_column_int64(links, 0) : INT64_MAX;
        if (id == of) {
            make_link(sum, before, size, rows, link);
            if (sqlite3_column_bytes(links, 1) != LINK_SIZE ||
                memcmp(sqlite3_column_blob(links, 1), link, LINK_SIZE) != 0)
                g_ptr_array_add(complaints,
                                g_strdup_printf("row %" PRId64
                                                " of the ledger, of day %d,"
                                                " is not as it was written",
                                                id, sqlite3_column_int(rows, 2)));
        } else {
            g_ptr_array_add(complaints,
                            g_strdup_printf("row %" PRId64 " of the ledger is %s",
                                            MIN(id, of),
                                            id < of ? "there without a link" : "gone"));
        }
        if (of <= id) {
            size = (size_t)MIN(sqlite3_column_bytes(links, 1), LINK_SIZE);
            if (size > 0)
                memcpy(before, sqlite3_column_blob(links, 1), size);
        }
        if ((id <= of && row && !store_next(rows, &row, error)) ||
            (of <= id && linked && !store_next(links, &linked, error)))
            return FALSE;
    }
    return TRUE;
}

/* Where a picture is shown, in words; a picture that nothing shows has none. */
static char *shown_by(sqlite3 *db, int64_t picture)
{
    g_autoptr(sqlite3_stmt) query = store_prepare(
        db,
        "SELECT group_concat(it, ', ') FROM ("
        " SELECT 'of photo ' || id AS it FROM photo WHERE plan = ?1 UNION ALL"
        " SELECT 'of fabric ' || fabric FROM swatch WHERE picture = ?1 UNION ALL"
        " SELECT 'of block ' || id FROM block WHERE picture = ?1 UNION ALL"
        " SELECT 'of quilt ' || id FROM quilt WHERE picture = ?1)",
        NULL);
    bool row;
    if (query == NULL)
        return g_strdup("");
    sqlite3_bind_int64(query, 1, picture);
    return store_next(query, &row, NULL) && row ? store_column_words(query, 0)
                                                : g_strdup("");
}

static gboolean check_pictures(sqlite3 *db, GPtrArray *complaints, GError **error)
{
    g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
    g_autoptr(sqlite3_stmt) rows = store_prepare(
        db, "SELECT id, sha256, bytes FROM picture NOT INDEXED ORDER BY id", error);
    if (rows == NULL)
        return FALSE;
    for (;;) {
        bool row;
        if (!store_next(rows, &row, error))
            return FALSE;
        if (!row)
            return TRUE;
        const void *bytes = sqlite3_column_blob(rows, 2);
        g_checksum_reset(sum);
        g_checksum_update(sum, bytes, sqlite3_column_bytes(rows, 2));
        const char *said = (const char *)sqlite3_column_text(rows, 1);
        if (g_strcmp0(said, g_checksum_get_string(sum)) == 0)
            continue;
        int64_t id = sqlite3_column_int64(rows, 0);
        g_autofree char *whose = shown_by(db, id);
        g_ptr_array_add(complaints,
                        g_strdup_printf("the picture %" PRId64 "%s%s is not as it"
                                        " was kept",
                                        id, whose[0] != '\0' ? " " : "", whose));
    }
}

gboolean store_seal_check(sqlite3 *db, GPtrArray *complaints, GError **error)
{
    GError *cause = NULL;
    if (!store_seal_check_schema(db, &cause)) {
        if (!store_is_fault(cause)) {
            g_propagate_error(error, cause);
            return FALSE;
        }
        g_ptr_array_add(complaints, g_strdup(cause->message));
        g_clear_error(&cause);
    }
    if (!check_chain(db, complaints, &cause) &&
        !cannot_read(complaints, "ledger", g_steal_pointer(&cause), error))
        return FALSE;
    if (!check_pictures(db, complaints, &cause) &&
        !cannot_read(complaints, "picture", g_steal_pointer(&cause), error))
        return FALSE;
    for (size_t i = 0; i < G_N_ELEMENTS(parts); i++)
        if (!check_table(db, &parts[i], complaints, &cause) &&
            !cannot_read(complaints, parts[i].table, g_steal_pointer(&cause), error))
            return FALSE;
    return TRUE;
}

static void add_missing(sqlite3 *from, sqlite3 *to, const part *of, GPtrArray *lost)
{
    bool row, there;
    g_autoptr(sqlite3_stmt) seals =
        store_prepare(from, "SELECT key FROM seal WHERE part = ?1 ORDER BY key", NULL);
    g_autoptr(sqlite3_stmt) find =
        store_prepare(to, "SELECT 1 FROM seal WHERE part = ?1 AND key = ?2", NULL);
    if (seals == NULL || find == NULL)
        return;
    store_bind_text(seals, 1, of->table);
    store_bind_text(find, 1, of->table);
    while (store_next(seals, &row, NULL) && row) {
        int64_t key = sqlite3_column_int64(seals, 0);
        sqlite3_reset(find);
        sqlite3_bind_int64(find, 2, key);
        if (store_next(find, &there, NULL) && !there)
            complain(lost, of, key, "gone");
    }
}

void store_seal_missing(sqlite3 *from, sqlite3 *to, GPtrArray *lost)
{
    bool row, there;
    for (size_t i = 0; i < G_N_ELEMENTS(parts); i++)
        add_missing(from, to, &parts[i], lost);
    g_autoptr(sqlite3_stmt) links =
        store_prepare(from, "SELECT ledger FROM ledger_link ORDER BY ledger", NULL);
    g_autoptr(sqlite3_stmt) find =
        store_prepare(to, "SELECT 1 FROM ledger WHERE id = ?1", NULL);
    while (links != NULL && find != NULL && store_next(links, &row, NULL) && row) {
        int64_t id = sqlite3_column_int64(links, 0);
        sqlite3_reset(find);
        sqlite3_bind_int64(find, 1, id);
        if (store_next(find, &there, NULL) && !there)
            g_ptr_array_add(lost,
                            g_strdup_printf("row %" PRId64 " of the ledger is gone", id));
    }
}
