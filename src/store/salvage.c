#include "store/export-internal.h"
#include "store/seal.h"

#include <glib/gstdio.h>
#include <string.h>

/* --- reading past what is damaged ------------------------------------------------------
 */

/* Copies rows of one table, in whatever order they come. */
typedef struct carrier {
    sqlite3 *from, *to;
    const char *table;
    char *key;    /* its first column; NULL when that is text */
    int64_t last; /* the key read last */
    bool last_known;
    sqlite3_stmt *insert;
    GChecksum *sum;
} carrier;

static void carrier_clear(carrier *self)
{
    g_free(self->key);
    sqlite3_finalize(self->insert);
    g_checksum_free(self->sum);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(carrier, carrier_clear)

/* An insert into the columns that a query has, in its order. */
static sqlite3_stmt *insert_like(sqlite3 *to, const char *table, sqlite3_stmt *rows,
                                 GError **error)
{
    g_autoptr(GString) names = g_string_new(NULL);
    g_autoptr(GString) places = g_string_new(NULL);
    for (int i = 0; i < sqlite3_column_count(rows); i++) {
        g_string_append_printf(names, "%s\"%s\"", i > 0 ? ", " : "",
                               sqlite3_column_name(rows, i));
        g_string_append(places, i > 0 ? ", ?" : "?");
    }
    g_autofree char *sql = g_strdup_printf(
        "INSERT OR IGNORE INTO %s (%s) VALUES (%s)",
        strcmp(table, "ledger") == 0 ? "temp.staged" : table, names->str, places->str);
    return store_prepare(to, sql, error);
}

/* A picture that changed is kept as it is, under the hash of what it is now. */
static void bind_row(carrier *self, sqlite3_stmt *row)
{
    bool picture = strcmp(self->table, "picture") == 0;
    for (int i = 0; i < sqlite3_column_count(row); i++)
        sqlite3_bind_value(self->insert, i + 1, sqlite3_column_value(row, i));
    if (!picture)
        return;
    g_checksum_reset(self->sum);
    g_checksum_update(self->sum, sqlite3_column_blob(row, 2),
                      sqlite3_column_bytes(row, 2));
    store_bind_text(self->insert, 2, g_checksum_get_string(self->sum));
}

/* What the new book's own rules refuse is left out: its loss is told by the seals. */
static gboolean carry(carrier *self, sqlite3_stmt *row, GError **error)
{
    GError *refused = NULL;
    if (self->insert == NULL) {
        self->insert = insert_like(self->to, self->table, row, error);
        if (self->insert == NULL)
            return FALSE;
    }
    sqlite3_reset(self->insert);
    bind_row(self, row);
    if (self->key != NULL) {
        self->last = sqlite3_column_int64(row, 0);
        self->last_known = true;
    }
    if (store_run(self->insert, &refused) ||
        g_error_matches(refused, MOTLEY_ERROR, MOTLEY_ERROR_INTERNAL)) {
        g_clear_error(&refused);
        return TRUE;
    }
    g_propagate_error(error, refused);
    return FALSE;
}

typedef enum reach { REACHED_END, REACHED_DAMAGE, FAILED } reach;

/* Carries rows until they end or cannot be read. */
static reach run_through(carrier *self, const char *sql, int64_t above, int64_t below,
                         GError **error)
{
    g_autoptr(sqlite3_stmt) rows = store_prepare(self->from, sql, NULL);
    if (rows == NULL)
        return REACHED_DAMAGE;
    if (sqlite3_bind_parameter_count(rows) > 0) {
        sqlite3_bind_int64(rows, 1, above);
        sqlite3_bind_int64(rows, 2, below);
    }
    for (;;) {
        bool row;
        if (!store_next(rows, &row, NULL))
            return REACHED_DAMAGE;
        if (!row)
            return REACHED_END;
        if (!carry(self, rows, error))
            return FAILED;
    }
}

/* Past a place that cannot be read: on from a key further along, twice as far each time,
 * then back from there to the place's other side. */
static reach carry_by_key(carrier *self, GError **error)
{
    g_autofree char *onward = g_strdup_printf(
        "SELECT * FROM %s NOT INDEXED WHERE %s > ?1 AND %s < ?2 ORDER BY %s", self->table,
        self->key, self->key, self->key);
    g_autofree char *back = g_strconcat(onward, " DESC", NULL);
    int64_t from = INT64_MIN, jump = 1;
    bool whole = true;
    for (;;) {
        self->last_known = false;
        reach end = run_through(self, onward, from, INT64_MAX, error);
        int64_t reached = self->last;
        bool read = self->last_known;
        if (end == FAILED)
            return FAILED;
        if (end == REACHED_DAMAGE)
            whole = false;
        if (read && jump > 1) {
            /* what was jumped over, as far as it can be read from this side */
            if (run_through(self, back, MAX(from - jump, 0), from + 1, error) == FAILED)
                return FAILED;
        }
        if (end == REACHED_END)
            return whole ? REACHED_END : REACHED_DAMAGE;
        if (read) {
            from = reached;
            jump = 1;
        }
        from = MAX(from, 0) + jump;
        jump *= 2;
        if (jump > (int64_t)1 << 40)
            return REACHED_DAMAGE;
    }
}

static reach carry_from_both_ends(carrier *self, GError **error)
{
    g_autofree char *onward = g_strdup_printf("SELECT * FROM %s ORDER BY 1", self->table);
    g_autofree char *back = g_strconcat(onward, " DESC", NULL);
    reach end = run_through(self, onward, 0, 0, error);
    if (end != REACHED_DAMAGE)
        return end;
    return run_through(self, back, 0, 0, error) == FAILED ? FAILED : REACHED_DAMAGE;
}

/* The first column when it is a number; NULL when it is not, or the table cannot be
 * asked. */
static char *key_of(sqlite3 *db, const char *table)
{
    bool row;
    g_autoptr(sqlite3_stmt) query = store_prepare(db,
                                                  "SELECT name FROM pragma_table_info(?1)"
                                                  " WHERE cid = 0 AND type = 'INTEGER'",
                                                  NULL);
    if (query == NULL)
        return NULL;
    store_bind_text(query, 1, table);
    return store_next(query, &row, NULL) && row ? store_column_text(query, 0) : NULL;
}

static gboolean carry_table(sqlite3 *from, sqlite3 *to, const char *table, GError **error)
{
    g_auto(carrier) self = { .from = from,
                             .to = to,
                             .table = table,
                             .key = key_of(to, table),
                             .sum = g_checksum_new(G_CHECKSUM_SHA256) };
    reach end = self.key != NULL ? carry_by_key(&self, error)
                                 : carry_from_both_ends(&self, error);
    return end != FAILED;
}

/* --- making one book of it
 * -------------------------------------------------------------- */

#define LOST_CHANGE "'A change whose words are lost', 'did', 'settled'"
#define GONE(column, table)                                                              \
    column " IS NOT NULL AND " column " NOT IN (SELECT id FROM " table ")"

/* Stand-ins for what squares and cloth are counted by; what only pointed to what is lost
 * loses that, or goes. */
static const char *const mending[] = {
    "INSERT OR IGNORE INTO journal (id, at, what, deed, state)"
    " SELECT change, min(at), " LOST_CHANGE " FROM ledger"
    " WHERE " GONE("change", "journal") " GROUP BY change",
    "INSERT OR IGNORE INTO journal (id, at, what, deed, state)"
    " SELECT of, min(at), " LOST_CHANGE " FROM journal"
    " WHERE " GONE("of", "journal") " GROUP BY of",
    "UPDATE journal SET state = iif(state IN ('done', 'settled'), 'settled', 'dropped'),"
    "                   changeset = NULL WHERE deed = 'did'",
    "INSERT OR IGNORE INTO layer SELECT layer, min(at) FROM ledger"
    " WHERE " GONE("layer", "layer") " GROUP BY layer",
    "INSERT OR IGNORE INTO source SELECT x, 0 FROM (SELECT source AS x FROM ledger UNION"
    " SELECT source FROM source_said UNION SELECT source FROM photo UNION"
    " SELECT source FROM scrap) WHERE " GONE("x", "source"),
    "INSERT OR IGNORE INTO fabric SELECT x, 0 FROM (SELECT fabric AS x FROM ledger UNION"
    " SELECT fabric FROM fabric_said UNION SELECT same_as FROM fabric_said UNION"
    " SELECT fabric FROM swatch UNION SELECT fabric FROM fabric_signature UNION"
    " SELECT fabric FROM scrap UNION SELECT fabric FROM quilt_role UNION"
    " SELECT fabric FROM block_patch) WHERE " GONE("x", "fabric"),
    "INSERT OR IGNORE INTO fabric_said (fabric) SELECT fabric FROM basket_fabric"
    " WHERE fabric <> 0 GROUP BY fabric HAVING sum(known + inferred) <> 0",
    "UPDATE photo SET plan = NULL WHERE " GONE("plan", "picture"),
    "UPDATE block SET picture = NULL WHERE " GONE("picture", "picture"),
    "UPDATE quilt SET picture = NULL WHERE " GONE("picture", "picture"),
    "DELETE FROM swatch WHERE " GONE("picture", "picture"),
    "UPDATE scrap SET photo = NULL WHERE " GONE("photo", "photo"),
    "DELETE FROM block WHERE " GONE("quilt", "quilt"),
    "DELETE FROM quilt_role WHERE " GONE("quilt", "quilt"),
    "DELETE FROM bought WHERE " GONE("quilt", "quilt"),
    "DELETE FROM block_patch WHERE " GONE("block", "block"),
    "DELETE FROM block_colours WHERE " GONE("block", "block"),
};

/* The ledger is append-only in the new book too, so it is put together before: without
 * rows that take back what is lost. */
static gboolean append_ledger(sqlite3 *to, GError **error)
{
    /* Not being STRICT, the table took values of any type. */
    if (!store_exec(
            to,
            "DELETE FROM temp.staged WHERE typeof(how) <> 'text' OR replace(typeof(id) ||"
            " typeof(at) || typeof(day) || typeof(change) || typeof(layer) ||"
            " typeof(unit) || typeof(count) || typeof(inward) || typeof(fabric_known) ||"
            " typeof(counted) || ifnull(nullif(typeof(fabric), 'null'), 'integer') ||"
            " ifnull(nullif(typeof(source), 'null'), 'integer') ||"
            " ifnull(nullif(typeof(block), 'null'), 'integer') ||"
            " ifnull(nullif(typeof(reverses), 'null'), 'integer'), 'integer', '') <> ''",
            error))
        return FALSE;
    do {
        if (!store_exec(to,
                        "DELETE FROM temp.staged WHERE reverses IS NOT NULL"
                        " AND reverses NOT IN (SELECT id FROM temp.staged)",
                        error))
            return FALSE;
    } while (sqlite3_changes(to) > 0);
    return store_exec(
        to,
        "INSERT OR IGNORE INTO ledger SELECT * FROM temp.staged ORDER BY id;"
        "DROP TABLE temp.staged",
        error);
}

/* With foreign keys off: rows come before those that they point to, or those are lost. */
static gboolean fill(sqlite3 *from, sqlite3 *to, GError **error)
{
    if (!store_exec(to,
                    "PRAGMA foreign_keys = OFF; BEGIN IMMEDIATE;"
                    "CREATE TEMP TABLE staged AS SELECT * FROM ledger;"
                    "CREATE UNIQUE INDEX temp.staged_id ON staged (id)",
                    error))
        return FALSE;
    for (int i = 1; store_export_tables[i] != NULL; i++)
        if (!carry_table(from, to, store_export_tables[i], error))
            return FALSE;
    if (!append_ledger(to, error))
        return FALSE;
    for (size_t i = 0; i < G_N_ELEMENTS(mending); i++)
        if (!store_exec(to, mending[i], error))
            return FALSE;
    return store_seal_all(to, error) && store_exec(to, "COMMIT", error);
}

/* A book whose list of tables cannot be read gives nothing. */
static bool open_damaged(const char *path, sqlite3 **ret)
{
    int64_t tables = 0;
    g_autoptr(sqlite3) db = store_connect(path, SQLITE_OPEN_READONLY, 0, NULL);
    if (db == NULL ||
        !store_number(db, "SELECT count(*) FROM sqlite_schema WHERE type = 'table'",
                      &tables, NULL) ||
        tables == 0)
        return false;
    *ret = g_steal_pointer(&db);
    return true;
}

/* Copies a file whose first bytes are spoilt, or whose end is missing, under the header
 * that a book of as many pages has (sqlite.org/fileformat2.html, 1.3): pages of 4096
 * bytes, a journal in place of a log, UTF-8. What SQLite looks after by itself may stay
 * zero. */
static gboolean write_with_header(const char *path, const char *to, GError **error)
{
    enum { PAGE = 4096, HEADER = 100 };
    g_autofree char *bytes = NULL;
    gsize size;
    g_autoptr(GError) cause = NULL;
    if (!g_file_get_contents(path, &bytes, &size, &cause)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNREADABLE, "%s",
                    cause->message);
        return FALSE;
    }
    size = size / PAGE * PAGE;
    uint32_t pages = (uint32_t)(size / PAGE);
    if (pages == 0)
        return TRUE;
    uint8_t head[HEADER] = "SQLite format 3";
    head[16] = PAGE >> 8;
    head[18] = head[19] = 1;
    head[21] = 64;
    head[22] = head[23] = 32;
    head[27] = head[95] = 1; /* for these changes the count of pages is right */
    for (int i = 0; i < 4; i++)
        head[28 + i] = (uint8_t)(pages >> (24 - 8 * i));
    head[47] = 4;
    head[59] = 1;
    memcpy(bytes, head, HEADER);
    if (g_file_set_contents(to, bytes, (gssize)size, &cause))
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE, "%s", cause->message);
    return FALSE;
}

/* What is not as it was sealed there, and what was sealed there and is not here. */
static GPtrArray *tell_lost(sqlite3 *from, sqlite3 *to)
{
    GPtrArray *lost = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(GPtrArray) all = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(GHashTable) told = g_hash_table_new(g_str_hash, g_str_equal);
    /* What cannot even be looked through is seen by what is missing. */
    if (!store_seal_check(from, all, NULL))
        g_debug("the check of %s stopped", sqlite3_db_filename(from, "main"));
    store_seal_missing(from, to, all);
    for (guint i = 0; i < all->len; i++)
        if (g_hash_table_add(told, all->pdata[i]))
            g_ptr_array_add(lost, g_strdup(all->pdata[i]));
    return lost;
}

/* The damaged book, or a copy of it under a new header. */
typedef struct remains {
    sqlite3 *db;
    char *part; /* the copy; NULL when the book itself is read */
} remains;

static void remains_clear(remains *self)
{
    sqlite3_close_v2(self->db);
    if (self->part != NULL)
        store_remove_book(self->part);
    g_free(self->part);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(remains, remains_clear)

static gboolean open_remains(const char *path, const char *target, remains *ret,
                             GError **error)
{
    if (!g_file_test(path, G_FILE_TEST_IS_REGULAR)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NO_BOOK,
                    "there is no book %s", path);
        return FALSE;
    }
    if (open_damaged(path, &ret->db))
        return TRUE;
    ret->part = g_strconcat(target, ".part", NULL);
    store_remove_book(ret->part);
    if (write_with_header(path, ret->part, error) && open_damaged(ret->part, &ret->db))
        return TRUE;
    if (error == NULL || *error == NULL)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_DAMAGED,
                    "%s: nothing in it can be read", path);
    return FALSE;
}

gboolean store_salvage(const char *path, const char *target, GPtrArray **ret_lost,
                       GError **error)
{
    g_auto(remains) from = { 0 };
    if (g_file_test(target, G_FILE_TEST_EXISTS)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_EXISTS,
                    "there is a file %s already", target);
        return FALSE;
    }
    if (!open_remains(path, target, &from, error))
        return FALSE;
    g_autoptr(store_book) book = store_book_open(target, STORE_OPEN_CREATE, error);
    if (book == NULL)
        return FALSE;
    if (!fill(from.db, book->writer, error)) {
        g_clear_pointer(&book, store_book_close);
        store_remove_book(target);
        return FALSE;
    }
    *ret_lost = tell_lost(from.db, book->writer);
    return TRUE;
}
