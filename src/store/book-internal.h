/* store/book-internal.h: what the files of this room share. */
#pragma once

#define SQLITE_ENABLE_SESSION
#define SQLITE_ENABLE_PREUPDATE_HOOK
#include <sqlite3.h>

#include "base/error.h"
#include "colour/signature.h"
#include "store/book.h"
#include "store/change.h"

#include "place-internal.h"

G_DEFINE_AUTOPTR_CLEANUP_FUNC(sqlite3, sqlite3_close_v2)
G_DEFINE_AUTOPTR_CLEANUP_FUNC(sqlite3_stmt, sqlite3_finalize)

/** "Motl": what tells a book from other SQLite files. */
#define STORE_APPLICATION_ID 0x4d6f746c

struct store_reading {
    store_book *book;
    sqlite3 *db;
    GThread *thread;
    int depth;
};

struct store_book {
    char *path;
    bool read_only;
    bool immutable; /* read-only where no file can be made beside the book */
    int patience_ms;
    const char *network; /* the kind of network disk it lies on; NULL for none */
    int hold;            /* of its lock file there; -1 for none */
    int64_t turns; /* how often it was found damaged, or sound again; under `pool` */
    char *damage;  /* what is known to be wrong, a line each; or NULL; under `pool` */
    sqlite3 *writer;
    sqlite3_stmt *roll_back; /* made ready, for it must not fail when memory is short */
    GMutex writing;          /* held while a change is open */
    store_change *change;    /* the open change, under `writing` */
    GThread *writer_thread;  /* who holds it; read by others, so atomically */
    store_reading inside;    /* reading through the open change */
    GMutex pool;             /* guards the two below */
    GPtrArray *idle;         /* sqlite3, kept open for the next reading */
    GPtrArray *readings;     /* store_reading that are open */
};

struct store_change {
    store_book *book;
    int64_t id; /* in the journal; 0 for a quiet change */
    int64_t at;
    int day; /* 20261124 */
    char *what;
    sqlite3_session *session; /* for the journal; NULL in a quiet change */
    sqlite3_session *touched; /* for the seals (seal.h) */
    int64_t total_changes_before;
    bool open;
};

/* --- statements (sql.c) --------------------------------------------------------------
 */

/** Compiles a statement; NULL with an error. */
sqlite3_stmt *store_prepare(sqlite3 *db, const char *sql, GError **error);
/** Whether SQLite has rolled the change back by itself, as it does when the disk is full;
 * then store.full. What followed would last, each statement by itself. */
bool store_rolled_back(store_change *change, GError **error);
/** store_prepare() in a reading, or in a change that stands; NULL, with the error
 * untouched, when the reading is NULL. */
sqlite3_stmt *store_reading_prepare(store_reading *reading, const char *sql,
                                    GError **error);
sqlite3_stmt *store_change_prepare(store_change *change, const char *sql, GError **error);

/** Runs a statement that gives no rows. */
gboolean store_run(sqlite3_stmt *statement, GError **error) G_GNUC_WARN_UNUSED_RESULT;
/** The same; store.unknown when it touched no row: "There is no WHAT 7." */
gboolean store_run_one(sqlite3_stmt *statement, const char *what, int64_t id,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;
/** Steps to the next row, or the end. */
gboolean store_next(sqlite3_stmt *statement, bool *ret_row,
                    GError **error) G_GNUC_WARN_UNUSED_RESULT;
/** Runs SQL without values, such as BEGIN. */
gboolean store_exec(sqlite3 *db, const char *sql,
                    GError **error) G_GNUC_WARN_UNUSED_RESULT;
/** The first column of the first row; 0 when there is none. */
gboolean store_number(sqlite3 *db, const char *sql, int64_t *ret_number,
                      GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** 0 and NULL are stored as NULL. */
void store_bind_id(sqlite3_stmt *statement, int place, int64_t id);
void store_bind_text(sqlite3_stmt *statement, int place, const char *text);

/** Copies the text of a column; NULL for NULL. */
char *store_column_text(sqlite3_stmt *row, int column);
/** The same where the schema allows no NULL; empty when a damaged file gives one. */
char *store_column_words(sqlite3_stmt *row, int column);
/** Which of the words a column holds; `otherwise` when a damaged file gives another. */
int store_column_choice(sqlite3_stmt *row, int column, size_t count,
                        const char *const words[], int otherwise);

/* What a sound book holds lies well within these; what damage or another hand wrote is
 * brought there where it is read, so that nobody further up need reckon with it. */
enum {
    STORE_SQUARES_MAX = 10000000, /* of one row */
    STORE_PLACE_MAX = 9999,       /* of a patch in its block */
    STORE_PIXELS_MAX = 1000000,   /* of a photo's side */
    STORE_MONTH_FIRST = 101,      /* January of year 1, as basket_month has it */
    STORE_MONTH_LAST = 999912,
};

/** A whole number, the nearest of low to high. */
int store_column_within(sqlite3_stmt *row, int column, int low, int high);
/** The same for a count of squares, up to 10^12 either way, so that sums stay exact. */
int64_t store_column_squares(sqlite3_stmt *row, int column);
/** The same for a time, up to the end of the year 9999; 0 for NULL. */
int64_t store_column_time(sqlite3_stmt *row, int column);
/** The same for a number with a fraction; never infinite. */
double store_column_real(sqlite3_stmt *row, int column, double low, double high);

/** Fills a cleared struct from a row. */
typedef void store_read_row(sqlite3_stmt *row, void *ret);
/** Reads all rows into an array of such structs. clear may be NULL. */
gboolean store_list(sqlite3_stmt *query, size_t size, store_read_row *read,
                    GDestroyNotify clear, GArray **ret_list,
                    GError **error) G_GNUC_WARN_UNUSED_RESULT;
/** The struct of such an array whose first field, an int64_t by which they lie in order,
 * is id; borrowed, NULL when there is none. */
void *store_find(const GArray *list, int64_t id);
/** What a row tells of the struct that it belongs to. */
typedef void store_take_row(sqlite3_stmt *row, const GArray *list, void *own);
/** Takes each row of a query whose first column is the id of a struct of such an array;
 * rows of none are passed over. */
gboolean store_take_rows(store_reading *reading, const char *sql, const GArray *list,
                         store_take_row *take, GError **error) G_GNUC_WARN_UNUSED_RESULT;
/** Reads the first row; store.unknown when there is none: "There is no WHAT." */
gboolean store_one(sqlite3_stmt *query, store_read_row *read, void *ret, GError **error,
                   const char *what, ...) G_GNUC_PRINTF(5, 6) G_GNUC_WARN_UNUSED_RESULT;

/** Says what SQLite's result code means to a maker. Returns FALSE. */
gboolean store_fail(sqlite3 *db, int code, GError **error);

/* --- shared ----------------------------------------------------------------------------
 */

/** The day of a time, by the clock of the place: 20261124. */
int store_day_of(int64_t at);

/** A name as it is looked up: without capitals and in one normal form. g_free() it. */
char *store_name_key(const char *name);

/** Keeps a picture, or finds it when it is kept already; jpeg NULL gives 0. */
gboolean store_picture_keep(store_change *change, GBytes *jpeg, int64_t *ret_id,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Writes down the key that this thread sends its change under, if any (once.h). */
gboolean store_once_remember(store_change *change,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Single-precision colours for a BLOB column, and back. */
enum { STORE_COLOURS_SIZE = COLOUR_SIGNATURE_MAX * 16 + sizeof(colour_texture) };
int store_colours_pack(const colour_signature *colours,
                       uint8_t bytes[static STORE_COLOURS_SIZE]);
void store_colours_unpack(sqlite3_stmt *row, int column, colour_signature *ret_colours);
/** The columns that a look or a shade takes of signatures, the first picture's first. */
#define STORE_SIGNATURES "SELECT fabric, value, colours FROM fabric_signature ORDER BY id"
/** The first of its colours; false when there is none. */
bool store_colour_unpack(sqlite3_stmt *row, int column, colour_lab *ret_colour);

/* --- damage (damage.c) -----------------------------------------------------------------
 */

/** Takes over what an earlier check wrote beside the book; false when there is nothing.
 */
bool store_damage_known(store_book *book);
/** Says that the book is damaged, in this program alone. */
void store_damage_set(store_book *book, const char *fault);
/** It is sound again. */
void store_damage_forget(store_book *book);
/** FALSE with store.damaged when the book is known to be damaged: it is not to be
 * changed. */
gboolean store_damage_refuse(store_book *book, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/* --- the file --------------------------------------------------------------------------
 */

/** store_book_open() with its own patience. */
store_book *store_book_open_patient(const char *path, store_open_mode mode,
                                    int patience_ms, GError **error);
/** The same, where `place` says. */
store_book *store_book_open_placed(const char *path, store_open_mode mode,
                                   int patience_ms, const store_place *place,
                                   GError **error);

/** A connection with the room's settings (rights, checks, patience). */
sqlite3 *store_connect(const char *path, int flags, int patience_ms, GError **error);

/** Opens the connection for changes of a book that was opened damaged, and is sound now;
 * with the mutex of changes held. */
gboolean store_book_open_writer(store_book *book,
                                GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** What a file is, from its header. Errors: store.not-a-book, store.newer, and what
 * reading it gives. */
gboolean store_recognise(sqlite3 *db, const char *path, bool *ret_empty, int *ret_version,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The version that this program writes. */
int store_schema_version(void);

/**
 * Brings a book from one version to another, in one transaction, after a copy beside it
 * when it holds anything.
 *
 * @steps  steps[v] leads from version v to v + 1; count of them
 */
gboolean store_migrate(sqlite3 *db, const char *path, int count,
                       const char *const steps[],
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;
gboolean store_migrate_to_present(sqlite3 *db, const char *path,
                                  GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Takes away the file of a book that is not open, and what SQLite keeps beside it. */
void store_remove_book(const char *path);

/** Copies a database to a new file and sees it onto the disk. */
gboolean store_copy_to(sqlite3 *db, const char *path,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Begins writing as the one writer: mutex, BEGIN IMMEDIATE. */
store_change *store_change_begin_bare(store_book *book, GError **error);
/** Appends to the journal. of 0: a change that was done. */
gboolean store_journal_append(store_change *change, const char *what, const char *deed,
                              int64_t of, GError **error) G_GNUC_WARN_UNUSED_RESULT;
