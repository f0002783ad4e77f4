#include "store/book-internal.h"

#include <string.h>

/* --- what SQLite's results mean
 * --------------------------------------------------------- */

static const char *const full_text = "there is no room left on the disk for the book";

static gboolean fail(GError **error, int code, const char *text)
{
    g_set_error_literal(error, MOTLEY_ERROR, code, text);
    return FALSE;
}

gboolean store_fail(sqlite3 *db, int code, GError **error)
{
    switch (code & 0xff) {
    case SQLITE_FULL:
        return fail(error, MOTLEY_ERROR_STORE_FULL, full_text);
    case SQLITE_IOERR:
        /* A file size limit and a full quota come as write errors; only what fails while
         * reading speaks of the disk itself. */
        if (code == SQLITE_IOERR_READ || code == SQLITE_IOERR_SHORT_READ ||
            code == SQLITE_IOERR_CORRUPTFS || code == SQLITE_IOERR_DATA)
            return fail(error, MOTLEY_ERROR_STORE_DAMAGED,
                        "the book could not be read from the disk");
        return fail(error, MOTLEY_ERROR_STORE_FULL, full_text);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return fail(error, MOTLEY_ERROR_STORE_BUSY,
                    "the book is locked by another program");
    case SQLITE_READONLY:
    case SQLITE_PERM:
        return fail(error, MOTLEY_ERROR_STORE_READ_ONLY, "the book may only be read");
    case SQLITE_CANTOPEN:
        return fail(error, MOTLEY_ERROR_STORE_READ_ONLY,
                    "the book's folder does not let it be opened for writing");
    case SQLITE_NOMEM:
        return fail(error, MOTLEY_ERROR_STORE_MEMORY,
                    "there is not enough memory for the book");
    case SQLITE_NOTADB:
        return fail(error, MOTLEY_ERROR_STORE_NOT_A_BOOK, "this file is not a book");
    case SQLITE_CORRUPT:
        return fail(error, MOTLEY_ERROR_STORE_DAMAGED, "the book's file is damaged");
    default:
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_INTERNAL, "the book: %s (%d)",
                    db != NULL ? sqlite3_errmsg(db) : sqlite3_errstr(code), code);
        return FALSE;
    }
}

/* --- statements
 * ------------------------------------------------------------------------- */

sqlite3_stmt *store_prepare(sqlite3 *db, const char *sql, GError **error)
{
    sqlite3_stmt *statement = NULL;
    int code = sqlite3_prepare_v2(db, sql, -1, &statement, NULL);
    if (code != SQLITE_OK) {
        store_fail(db, code, error);
        return NULL;
    }
    return statement;
}

sqlite3_stmt *store_reading_prepare(store_reading *reading, const char *sql,
                                    GError **error)
{
    return reading == NULL ? NULL : store_prepare(reading->db, sql, error);
}

bool store_rolled_back(store_change *change, GError **error)
{
    g_assert(change->open);
    if (!sqlite3_get_autocommit(change->book->writer))
        return false;
    fail(error, MOTLEY_ERROR_STORE_FULL, full_text);
    return true;
}

sqlite3_stmt *store_change_prepare(store_change *change, const char *sql, GError **error)
{
    return store_rolled_back(change, error)
               ? NULL
               : store_prepare(change->book->writer, sql, error);
}

/* A text that could not be bound would be NULL, or what was bound before. */
static _Thread_local bool bind_failed;

gboolean store_next(sqlite3_stmt *statement, bool *ret_row, GError **error)
{
    if (bind_failed) {
        bind_failed = false;
        return store_fail(NULL, SQLITE_NOMEM, error);
    }
    int code = sqlite3_step(statement);
    if (code != SQLITE_ROW && code != SQLITE_DONE)
        return store_fail(sqlite3_db_handle(statement), code, error);
    *ret_row = code == SQLITE_ROW;
    return TRUE;
}

gboolean store_run(sqlite3_stmt *statement, GError **error)
{
    bool row;
    if (!store_next(statement, &row, error))
        return FALSE;
    g_assert(!row);
    return TRUE;
}

gboolean store_run_one(sqlite3_stmt *statement, const char *what, int64_t id,
                       GError **error)
{
    if (!store_run(statement, error))
        return FALSE;
    if (sqlite3_changes(sqlite3_db_handle(statement)) == 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNKNOWN,
                    "there is no %s %" PRId64, what, id);
        return FALSE;
    }
    return TRUE;
}

gboolean store_exec(sqlite3 *db, const char *sql, GError **error)
{
    int code = sqlite3_exec(db, sql, NULL, NULL, NULL);
    return code == SQLITE_OK ? TRUE : store_fail(db, code, error);
}

gboolean store_number(sqlite3 *db, const char *sql, int64_t *ret_number, GError **error)
{
    g_autoptr(sqlite3_stmt) query = store_prepare(db, sql, error);
    bool row;
    if (query == NULL || !store_next(query, &row, error))
        return FALSE;
    *ret_number = row ? sqlite3_column_int64(query, 0) : 0;
    return TRUE;
}

void store_bind_id(sqlite3_stmt *statement, int place, int64_t id)
{
    if (id != 0)
        sqlite3_bind_int64(statement, place, id);
    else
        sqlite3_bind_null(statement, place);
}

void store_bind_text(sqlite3_stmt *statement, int place, const char *text)
{
    if (sqlite3_bind_text(statement, place, text, -1, SQLITE_TRANSIENT) == SQLITE_NOMEM)
        bind_failed = true;
}

char *store_column_text(sqlite3_stmt *row, int column)
{
    return g_strdup((const char *)sqlite3_column_text(row, column));
}

char *store_column_words(sqlite3_stmt *row, int column)
{
    char *text = store_column_text(row, column);
    return text != NULL ? text : g_strdup("");
}

int store_column_within(sqlite3_stmt *row, int column, int low, int high)
{
    return (int)CLAMP(sqlite3_column_int64(row, column), low, high);
}

int64_t store_column_squares(sqlite3_stmt *row, int column)
{
    const int64_t most = INT64_C(1000000000000);
    return CLAMP(sqlite3_column_int64(row, column), -most, most);
}

int64_t store_column_time(sqlite3_stmt *row, int column)
{
    const int64_t last = INT64_C(253402214400); /* 9999-12-31 */
    return CLAMP(sqlite3_column_int64(row, column), 0, last);
}

double store_column_real(sqlite3_stmt *row, int column, double low, double high)
{
    double number = sqlite3_column_double(row, column); /* SQLite holds no NaN */
    return CLAMP(number, low, high);
}

int store_column_choice(sqlite3_stmt *row, int column, size_t count,
                        const char *const words[], int otherwise)
{
    const char *word = (const char *)sqlite3_column_text(row, column);
    for (size_t i = 0; i < count; i++)
        if (g_strcmp0(word, words[i]) == 0)
            return (int)i;
    return otherwise;
}

gboolean store_list(sqlite3_stmt *query, size_t size, store_read_row *read,
                    GDestroyNotify clear, GArray **ret_list, GError **error)
{
    g_autoptr(GArray) list = g_array_new(FALSE, TRUE, (guint)size);
    if (clear != NULL)
        g_array_set_clear_func(list, clear);
    for (;;) {
        bool row;
        if (!store_next(query, &row, error))
            return FALSE;
        if (!row)
            break;
        g_array_set_size(list, list->len + 1);
        read(query, list->data + (list->len - 1) * size);
    }
    *ret_list = g_steal_pointer(&list);
    return TRUE;
}

/* Numbers are given one after another, so that most lie as far from the first as their
 * number says. */
void *store_find(const GArray *list, int64_t id)
{
    const guint size = g_array_get_element_size((GArray *)list);
    guint low = 0, end = list->len, at = end / 2;
    int64_t guess = end > 0 ? id - *(const int64_t *)list->data : -1;
    if (guess >= 0 && guess < end)
        at = (guint)guess;
    for (; low < end; at = low + (end - low) / 2) {
        char *there = list->data + (gsize)at * size;
        if (*(const int64_t *)there == id)
            return there;
        if (*(const int64_t *)there < id)
            low = at + 1;
        else
            end = at;
    }
    return NULL;
}

gboolean store_take_rows(store_reading *reading, const char *sql, const GArray *list,
                         store_take_row *take, GError **error)
{
    g_autoptr(sqlite3_stmt) query = store_reading_prepare(reading, sql, error);
    for (bool row = query != NULL; row;) {
        if (!store_next(query, &row, error))
            return FALSE;
        void *own = row ? store_find(list, sqlite3_column_int64(query, 0)) : NULL;
        if (own != NULL)
            take(query, list, own);
    }
    return query != NULL;
}

gboolean store_one(sqlite3_stmt *query, store_read_row *read, void *ret, GError **error,
                   const char *what, ...)
{
    bool row;
    if (!store_next(query, &row, error))
        return FALSE;
    if (!row) {
        va_list values;
        va_start(values, what);
        g_autofree char *text = g_strdup_vprintf(what, values);
        va_end(values);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNKNOWN, "there is no %s",
                    text);
        return FALSE;
    }
    read(query, ret);
    return TRUE;
}

/* --- names, pictures, colours
 * ----------------------------------------------------------- */

char *store_name_key(const char *name)
{
    g_autofree char *folded = g_utf8_casefold(name, -1);
    char *key = g_utf8_normalize(folded, -1, G_NORMALIZE_ALL_COMPOSE);
    /* Not UTF-8: such a name is found by its bytes. */
    return key != NULL ? g_strstrip(key) : g_strdup(name);
}

gboolean store_picture_keep(store_change *change, GBytes *jpeg, int64_t *ret_id,
                            GError **error)
{
    *ret_id = 0;
    if (jpeg == NULL)
        return TRUE;

    g_autofree char *sha256 = g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, jpeg);
    g_autoptr(sqlite3_stmt) insert =
        store_change_prepare(change,
                             "INSERT INTO picture (sha256, bytes) VALUES (?1, ?2)"
                             " ON CONFLICT DO NOTHING",
                             error);
    if (insert == NULL)
        return FALSE;
    gsize size;
    const void *bytes = g_bytes_get_data(jpeg, &size);
    store_bind_text(insert, 1, sha256);
    sqlite3_bind_blob64(insert, 2, bytes, size, SQLITE_STATIC);
    if (!store_run(insert, error))
        return FALSE;

    g_autoptr(sqlite3_stmt) find =
        store_change_prepare(change, "SELECT id FROM picture WHERE sha256 = ?1", error);
    bool row;
    if (find == NULL)
        return FALSE;
    store_bind_text(find, 1, sha256);
    if (!store_next(find, &row, error))
        return FALSE;
    g_assert(row);
    *ret_id = sqlite3_column_int64(find, 0);
    return TRUE;
}

static void read_picture(sqlite3_stmt *row, void *ret)
{
    GBytes **bytes = ret;
    *bytes =
        g_bytes_new(sqlite3_column_blob(row, 0), (gsize)sqlite3_column_bytes(row, 0));
}

GBytes *store_picture(store_book *book, int64_t picture, GError **error)
{
    g_autoptr(store_reading) reading = store_reading_begin(book, error);
    g_autoptr(sqlite3_stmt) query =
        store_reading_prepare(reading, "SELECT bytes FROM picture WHERE id = ?1", error);
    GBytes *bytes = NULL;
    if (query == NULL)
        return NULL;
    sqlite3_bind_int64(query, 1, picture);
    if (!store_one(query, read_picture, &bytes, error, "picture %" PRId64, picture))
        return NULL;
    return bytes;
}

/* The book may travel to a machine of the other byte order. */
static void put_single(uint8_t bytes[static 4], double value)
{
    float single = (float)value;
    uint32_t bits;
    memcpy(&bits, &single, sizeof bits);
    bits = GUINT32_TO_LE(bits);
    memcpy(bytes, &bits, sizeof bits);
}

static double get_single(const uint8_t bytes[static 4])
{
    uint32_t bits;
    memcpy(&bits, bytes, sizeof bits);
    bits = GUINT32_FROM_LE(bits);
    float single;
    memcpy(&single, &bits, sizeof single);
    return (double)single;
}

int store_colours_pack(const colour_signature *colours,
                       uint8_t bytes[static STORE_COLOURS_SIZE])
{
    g_assert(colours->count >= 0 && colours->count <= COLOUR_SIGNATURE_MAX);
    for (int i = 0; i < colours->count; i++) {
        put_single(bytes + 16 * i, colours->lab[i].l);
        put_single(bytes + 16 * i + 4, colours->lab[i].a);
        put_single(bytes + 16 * i + 8, colours->lab[i].b);
        put_single(bytes + 16 * i + 12, colours->share[i]);
    }
    int size = 16 * colours->count;
    memcpy(bytes + size, &colours->texture, sizeof colours->texture);
    return size + (int)sizeof colours->texture;
}

static colour_lab get_colour(const uint8_t bytes[static 12])
{
    return (colour_lab){ get_single(bytes), get_single(bytes + 4),
                         get_single(bytes + 8) };
}

bool store_colour_unpack(sqlite3_stmt *row, int column, colour_lab *ret_colour)
{
    const uint8_t *bytes = sqlite3_column_blob(row, column);
    if (sqlite3_column_bytes(row, column) < 16)
        return false;
    *ret_colour = get_colour(bytes);
    return true;
}

void store_colours_unpack(sqlite3_stmt *row, int column, colour_signature *ret_colours)
{
    const uint8_t *bytes = sqlite3_column_blob(row, column);
    int count = MIN(sqlite3_column_bytes(row, column) / 16, COLOUR_SIGNATURE_MAX);
    *ret_colours = (colour_signature){ .count = count };
    for (int i = 0; i < count; i++) {
        ret_colours->lab[i] = get_colour(bytes + 16 * i);
        ret_colours->share[i] = get_single(bytes + 16 * i + 12);
    }
    /* kept before print was told by more than its strength: the rest stays unknown */
    int left = sqlite3_column_bytes(row, column) - 16 * count;
    if (left == offsetof(colour_texture, sparse) ||
        left == (int)sizeof ret_colours->texture)
        memcpy(&ret_colours->texture, bytes + 16 * count, (size_t)left);
}
