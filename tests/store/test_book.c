#include "test.h"

#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "book-fixture.h"

enum { UNIT = 20320, SHORT_MS = 50 };

static char *beside(const fixture *f, const char *name)
{
    return g_build_filename(f->folder, name, NULL);
}

static store_book *open_book(const char *path, store_open_mode mode, GError **error)
{
    return store_book_open_patient(path, mode, SHORT_MS, error);
}

/* Opening fails with this code in each mode, and the file is as it was. */
static void assert_refused(const char *path, const char *code)
{
    GError *error = NULL;
    gchar *before = NULL, *after = NULL;
    gsize size_before = 0, size_after = 0;
    bool there = g_file_test(path, G_FILE_TEST_IS_REGULAR) &&
                 g_file_get_contents(path, &before, &size_before, NULL);
    for (int mode = STORE_OPEN_CREATE; mode <= STORE_OPEN_READ_ONLY; mode++) {
        store_book *book = open_book(path, (store_open_mode)mode, &error);
        if (book != NULL)
            fail_msg("%s was opened", path);
        if (strcmp(motley_error_code(error), code) != 0)
            fail_msg("%s, mode %d: %s (%s), wanted %s", path, mode,
                     motley_error_code(error), error->message, code);
        if (strstr(error->message, path) == NULL)
            fail_msg("%s does not say which book", error->message);
        g_clear_error(&error);
    }
    if (there) {
        assert_true(g_file_get_contents(path, &after, &size_after, NULL));
        assert_int_equal(size_before, size_after);
        assert_memory_equal(before, after, size_after);
    }
    g_free(before);
    g_free(after);
}

static void set(store_book *book, const char *key, const char *value)
{
    GError *error = NULL;
    g_autoptr(store_change) change = store_change_begin(book, "Set", &error);
    MUST(change != NULL);
    MUST(store_setting_set(change, key, value, &error));
    MUST(store_change_commit(change, &error));
}

/* --- what is no book
 * ---------------------------------------------------------------------- */

static void a_book_that_is_not_there_is_only_made_when_asked(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *path = beside(f, "new/folder/my.book");
    MUST_FAIL(open_book(path, STORE_OPEN_EXISTING, &error) != NULL, "store.no-book");
    MUST_FAIL(open_book(path, STORE_OPEN_READ_ONLY, &error) != NULL, "store.no-book");
    assert_false(g_file_test(path, G_FILE_TEST_EXISTS));
    g_autoptr(store_book) book = open_book(path, STORE_OPEN_CREATE, &error);
    MUST(book != NULL);
    assert_string_equal(store_book_path(book), path);
    assert_int_equal(ask_number(path, "PRAGMA application_id"), 0x4d6f746c);
    assert_int_equal(ask_number(path, "PRAGMA user_version"), store_schema_version());
    g_autofree char *mode = ask_text(path, "PRAGMA journal_mode");
    assert_string_equal(mode, "wal|\n");
}

static void files_of_other_kinds_are_refused_and_left_alone(void **state)
{
    fixture *f = *state;
    static const struct {
        const char *name, *bytes;
        gssize size;
    } files[] = {
        { "text", "Dear diary, today I sewed nine patches and two borders to the quilt.",
          -1 },
        { "short", "hello", -1 },
        { "jpeg", "\xff\xd8\xff\xe0\0\x10JFIF\0", 11 },
        { "header-only", "SQLite format 3\0", 16 },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(files); i++) {
        g_autofree char *path = beside(f, files[i].name);
        assert_true(g_file_set_contents(path, files[i].bytes, files[i].size, NULL));
        assert_refused(path, "store.not-a-book");
    }
    g_autofree char *other = beside(f, "other.sqlite");
    assert_int_equal(run_sql(other, "CREATE TABLE t (x)"), SQLITE_OK);
    assert_refused(other, "store.not-a-book");
    g_autofree char *foreign = beside(f, "foreign.sqlite");
    assert_int_equal(run_sql(foreign, "PRAGMA application_id = 7; CREATE TABLE t (x)"),
                     SQLITE_OK);
    assert_refused(foreign, "store.not-a-book");
    assert_refused(f->folder, "store.not-a-book");
    assert_refused("/dev/null", "store.not-a-book");
    g_autofree char *pipe = beside(f, "pipe");
    assert_int_equal(mkfifo(pipe, 0600), 0);
    assert_refused(pipe, "store.not-a-book");
    g_autofree char *through_file = beside(f, "text/my.book");
    GError *error = NULL;
    MUST_FAIL(open_book(through_file, STORE_OPEN_CREATE, &error) != NULL,
              "store.no-book");
}

static void an_empty_file_becomes_a_book_only_when_asked(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *path = beside(f, "empty");
    assert_true(g_file_set_contents(path, "", 0, NULL));
    MUST_FAIL(open_book(path, STORE_OPEN_EXISTING, &error) != NULL, "store.not-a-book");
    MUST_FAIL(open_book(path, STORE_OPEN_READ_ONLY, &error) != NULL, "store.not-a-book");
    g_autoptr(store_book) book = open_book(path, STORE_OPEN_CREATE, &error);
    MUST(book != NULL);
}

static void a_newer_book_is_refused_and_left_alone(void **state)
{
    fixture *f = *state;
    g_clear_pointer(&f->book, store_book_close);
    assert_int_equal(run_sql(f->path, "PRAGMA user_version = 99;"
                                      " UPDATE seal SET key = 99 WHERE part = 'schema'"),
                     SQLITE_OK);
    assert_refused(f->path, "store.newer");
}

static void a_damaged_book_is_said_to_be_damaged(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_clear_pointer(&f->book, store_book_close);
    /* every page but the first is overwritten */
    FILE *file = fopen(f->path, "r+b");
    assert_non_null(file);
    fseek(file, 0, SEEK_END);
    long size = ftell(file);
    for (long at = 4096; at < size; at++) {
        fseek(file, at, SEEK_SET);
        fputc(0x5a, file);
    }
    fclose(file);
    g_autoptr(store_book) book = open_book(f->path, STORE_OPEN_EXISTING, &error);
    if (book == NULL) {
        assert_string_equal(motley_error_code(error), "store.damaged");
        g_clear_error(&error);
        return;
    }
    g_autoptr(GPtrArray) complaints = NULL;
    MUST(store_book_check(book, &complaints, &error));
    assert_true(complaints->len > 0);
    store_change *change = store_change_begin(book, "Write", &error);
    assert_null(change);
    assert_string_equal(motley_error_code(error), "store.damaged");
    g_clear_error(&error);
}

/* --- what may not be written
 * ---------------------------------------------------------------- */

/* Runs a check in a child, as a user whom file modes bind (root minds none). Its status
 * says how it went; 0 well. */
static int as_nobody(int (*check)(const char *path), const char *path)
{
    pid_t child = fork();
    if (child == 0) {
        if (geteuid() == 0 && setresuid(65534, 65534, 65534) != 0)
            _exit(99);
        _exit(check(path));
    }
    int status = 0;
    waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 100 + WTERMSIG(status);
}

static int refuses_to_write(const char *path)
{
    GError *error = NULL;
    store_book *book = open_book(path, STORE_OPEN_EXISTING, &error);
    if (book != NULL)
        return 1;
    return strcmp(motley_error_code(error), "store.read-only") == 0 ? 0 : 2;
}

static int reads_but_never_writes(const char *path)
{
    GError *error = NULL;
    store_book *book = open_book(path, STORE_OPEN_READ_ONLY, &error);
    if (book == NULL)
        return 1;
    g_autofree char *unit = store_setting_get(book, "unit", &error);
    if (g_strcmp0(unit, "2 in") != 0)
        return 2;
    if (store_change_begin(book, "Write", &error) != NULL)
        return 3;
    if (strcmp(motley_error_code(error), "store.read-only") != 0)
        return 4;
    store_book_close(book);
    return 0;
}

static void a_read_only_book_can_be_read_but_not_written(void **state)
{
    fixture *f = *state;
    set(f->book, "unit", "2 in");
    g_clear_pointer(&f->book, store_book_close);
    /* the file alone, then its folder too */
    chmod(f->path, 0444);
    chmod(f->folder, 0777);
    assert_int_equal(as_nobody(refuses_to_write, f->path), 0);
    assert_int_equal(as_nobody(reads_but_never_writes, f->path), 0);
    chmod(f->folder, 0555);
    assert_int_equal(as_nobody(refuses_to_write, f->path), 0);
    assert_int_equal(as_nobody(reads_but_never_writes, f->path), 0);
    chmod(f->path, 0644);
    assert_int_equal(as_nobody(refuses_to_write, f->path), 0);
    chmod(f->folder, 0755);
}

static void a_book_opened_for_reading_refuses_changes(void **state)
{
    fixture *f = *state;
    set(f->book, "unit", "2 in");
    assert_int_equal(reads_but_never_writes(f->path), 0);
    /* and sees what is written after it was opened */
    GError *error = NULL;
    g_autoptr(store_book) reader = open_book(f->path, STORE_OPEN_READ_ONLY, &error);
    MUST(reader != NULL);
    int64_t revision = store_revision(reader);
    set(f->book, "unit", "5 cm");
    assert_true(store_revision(reader) > revision);
}

/* --- others at the book
 * ----------------------------------------------------------------------- */

static void a_book_locked_by_another_program_is_busy_and_then_free(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    store_book_set_patience(f->book, SHORT_MS);
    sqlite3 *other = NULL;
    assert_int_equal(sqlite3_open(f->path, &other), SQLITE_OK);
    assert_int_equal(sqlite3_exec(other, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    MUST_FAIL(store_change_begin(f->book, "Write", &error) != NULL, "store.busy");
    MUST_FAIL(store_undo(f->book, NULL, &error), "store.busy");
    /* reading goes on */
    assert_true(store_revision(f->book) >= 0);
    assert_null(store_setting_get(f->book, "unit", &error));
    assert_null(error);
    assert_int_equal(sqlite3_exec(other, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(other);
    set(f->book, "unit", "2 in");
}

static void a_book_that_another_program_keeps_to_itself_is_busy(void **state)
{
    fixture *f = *state;
    g_clear_pointer(&f->book, store_book_close);
    sqlite3 *other = NULL;
    assert_int_equal(sqlite3_open(f->path, &other), SQLITE_OK);
    assert_int_equal(sqlite3_exec(other,
                                  "PRAGMA locking_mode = EXCLUSIVE; BEGIN EXCLUSIVE;"
                                  "UPDATE revision SET n = 1; COMMIT",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    GError *error = NULL;
    MUST_FAIL(open_book(f->path, STORE_OPEN_EXISTING, &error) != NULL, "store.busy");
    MUST_FAIL(open_book(f->path, STORE_OPEN_READ_ONLY, &error) != NULL, "store.busy");
    sqlite3_close(other);
}

static void two_programs_share_a_book_and_see_each_others_changes(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autoptr(store_book) other = open_book(f->path, STORE_OPEN_EXISTING, &error);
    MUST(other != NULL);
    int64_t revision = store_revision(f->book);
    set(other, "unit", "2 in");
    assert_true(store_revision(f->book) > revision);
    g_autofree char *unit = store_setting_get(f->book, "unit", &error);
    assert_string_equal(unit, "2 in");
    /* what one did, the other can undo */
    MUST(store_undo(f->book, NULL, &error));
    assert_null(store_setting_get(other, "unit", &error));
}

/* --- no room left
 * -------------------------------------------------------------------------------- */

/* Writes settings until it fails, in changes of 20. Returns how many changes went well.
 */
static int write_until_full(store_book *book, GError **error)
{
    g_autofree char *large = g_strnfill(20000, 'x');
    for (int done = 0;; done++) {
        g_autoptr(store_change) change = store_change_begin(book, "Fill", error);
        if (change == NULL)
            return done;
        for (int i = 0; i < 20; i++) {
            g_autofree char *key = g_strdup_printf("%d-%d", done, i);
            if (!store_setting_set(change, key, large, error))
                return done;
        }
        if (!store_change_commit(change, error))
            return done;
    }
}

static void assert_whole_changes(const char *path, int changes)
{
    assert_int_equal(ask_number(path, "SELECT count(*) FROM setting"), 20 * changes);
    assert_int_equal(ask_number(path, "SELECT count(*) FROM journal"), changes);
}

static void a_full_disk_loses_the_change_and_nothing_else(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    /* SQLite then says SQLITE_FULL, as it does when the disk is */
    assert_int_equal(
        sqlite3_exec(f->book->writer, "PRAGMA max_page_count = 600", NULL, NULL, NULL),
        SQLITE_OK);
    int done = write_until_full(f->book, &error);
    assert_non_null(error);
    assert_string_equal(motley_error_code(error), "store.full");
    g_clear_error(&error);
    assert_true(done >= 1);
    assert_whole_changes(f->path, done);
    /* and there is life after it */
    assert_int_equal(
        sqlite3_exec(f->book->writer, "PRAGMA max_page_count = 60000", NULL, NULL, NULL),
        SQLITE_OK);
    set(f->book, "unit", "2 in");
}

/* After a failure nothing more may be written in the same change: SQLite has rolled it
 * back, and each statement would last by itself. */
static void a_change_that_failed_for_room_writes_no_more(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    sqlite3_exec(f->book->writer, "PRAGMA max_page_count = 200", NULL, NULL, NULL);
    {
        g_autofree char *large = g_strnfill(2000000, 'x');
        g_autoptr(store_change) change = store_change_begin(f->book, "Fill", &error);
        MUST(change != NULL);
        MUST_FAIL(store_setting_set(change, "large", large, &error), "store.full");
        bool rolled_back = sqlite3_get_autocommit(f->book->writer);
        if (rolled_back) {
            MUST_FAIL(store_setting_set(change, "small", "x", &error), "store.full");
            MUST_FAIL(store_change_commit(change, &error), "store.full");
        }
    }
    assert_int_equal(ask_number(f->path, "SELECT count(*) FROM setting"), 0);
}

static int fills_to_the_size_limit(const char *path)
{
    GError *error = NULL;
    signal(SIGXFSZ, SIG_IGN);
    const struct rlimit limit = { 1 << 21, 1 << 21 };
    setrlimit(RLIMIT_FSIZE, &limit);
    store_book *book = open_book(path, STORE_OPEN_EXISTING, &error);
    if (book == NULL)
        return 90;
    int done = write_until_full(book, &error);
    if (strcmp(motley_error_code(error), "store.full") != 0)
        return 91;
    return done;
}

static void a_file_size_limit_is_no_room(void **state)
{
    fixture *f = *state;
    g_clear_pointer(&f->book, store_book_close);
    pid_t child = fork();
    if (child == 0)
        _exit(fills_to_the_size_limit(f->path));
    int status = 0;
    waitpid(child, &status, 0);
    assert_true(WIFEXITED(status));
    int done = WEXITSTATUS(status);
    assert_true(done >= 1 && done < 90);
    assert_whole_changes(f->path, done);
}

/* --- sudden ends
 * ----------------------------------------------------------------------------------- */

static void write_and_die(const char *path)
{
    GError *error = NULL;
    store_book *book = open_book(path, STORE_OPEN_EXISTING, &error);
    store_change *change = store_change_begin(book, "Lost", &error);
    g_autofree char *large = g_strnfill(100000, 'x');
    /* more than the cache holds, so that pages reach the log before the commit */
    for (int i = 0; i < 60; i++) {
        g_autofree char *key = g_strdup_printf("%d", i);
        if (!store_setting_set(change, key, large, &error))
            _exit(1);
    }
    kill(getpid(), SIGKILL);
}

static void a_program_killed_within_a_change_leaves_the_book_as_it_was(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    set(f->book, "unit", "2 in");
    g_autofree char *before = dump(f->path);
    g_clear_pointer(&f->book, store_book_close);
    pid_t child = fork();
    if (child == 0)
        write_and_die(f->path);
    int status = 0;
    waitpid(child, &status, 0);
    assert_true(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);

    f->book = open_book(f->path, STORE_OPEN_EXISTING, &error);
    MUST(f->book != NULL);
    g_autofree char *after = dump(f->path);
    assert_string_equal(before, after);
    g_autoptr(GPtrArray) complaints = NULL;
    MUST(store_book_check(f->book, &complaints, &error));
    assert_int_equal(complaints->len, 0);
}

/* --- threads
 * ----------------------------------------------------------------------------------------
 */

enum { ROUNDS = 150, READERS = 4 };

typedef struct shared {
    store_book *book;
    gint stop, wrong, reads;
} shared;

/* Both settings are always written in one change: whoever sees them differ has seen half
 * of it. */
static void *read_pairs(void *data)
{
    shared *s = data;
    while (!g_atomic_int_get(&s->stop)) {
        g_autoptr(store_reading) reading = store_reading_begin(s->book, NULL);
        g_autofree char *left = store_setting_get(s->book, "left", NULL);
        g_autofree char *right = store_setting_get(s->book, "right", NULL);
        g_autoptr(GArray) totals = NULL;
        if (g_strcmp0(left, right) != 0 || !store_basket_units(s->book, &totals, NULL) ||
            (left != NULL && g_array_index(totals, store_unit_total, 0).squares !=
                                 g_ascii_strtoll(left, NULL, 10)))
            g_atomic_int_inc(&s->wrong);
        g_atomic_int_inc(&s->reads);
    }
    return NULL;
}

static void *write_pairs(void *data)
{
    shared *s = data;
    for (int i = 0; i < ROUNDS; i++) {
        int64_t layer;
        g_autoptr(store_change) change = store_change_begin(s->book, "Pair", NULL);
        g_autoptr(GArray) totals = NULL;
        if (change == NULL || !store_layer_add(change, &layer, NULL) ||
            !store_basket_units(s->book, &totals, NULL))
            return s;
        int64_t squares =
            totals->len > 0 ? g_array_index(totals, store_unit_total, 0).squares : 0;
        const store_ledger_row row = { .layer = layer,
                                       .unit = UNIT,
                                       .count = 1,
                                       .how = STORE_ADDED,
                                       .fabric_known = true,
                                       .counted = true };
        g_autofree char *text = g_strdup_printf("%d", (int)squares + 1);
        if (!store_ledger_append(change, &row, NULL, NULL) ||
            !store_setting_set(change, "left", text, NULL) ||
            !store_setting_set(change, "right", text, NULL) ||
            !store_change_commit(change, NULL))
            return s;
    }
    return NULL;
}

static void readers_see_whole_changes_while_two_threads_write(void **state)
{
    fixture *f = *state;
    shared s = { .book = f->book };
    GThread *readers[READERS], *writers[2];
    for (int i = 0; i < READERS; i++)
        readers[i] = g_thread_new("reader", read_pairs, &s);
    for (int i = 0; i < 2; i++)
        writers[i] = g_thread_new("writer", write_pairs, &s);
    for (int i = 0; i < 2; i++)
        assert_null(g_thread_join(writers[i]));
    g_atomic_int_set(&s.stop, 1);
    for (int i = 0; i < READERS; i++)
        g_thread_join(readers[i]);
    assert_int_equal(s.wrong, 0);
    assert_true(s.reads > 0);
    assert_int_equal(ask_number(f->path, "SELECT sum(count) FROM ledger"), 2 * ROUNDS);
}

/* --- older books
 * --------------------------------------------------------------------------------------
 */

static void a_migration_keeps_a_copy_and_settles_the_journal(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *copy = g_strconcat(f->path, ".before-5", NULL);
    set(f->book, "unit", "2 in");
    static const char *const steps[] = {
        NULL,
        NULL,
        NULL,
        NULL,
        "ALTER TABLE setting ADD COLUMN since INTEGER NOT NULL DEFAULT 7",
    };
    MUST(store_migrate(f->book->writer, f->path, 5, steps, &error));
    assert_int_equal(ask_number(f->path, "PRAGMA user_version"), 5);
    assert_int_equal(ask_number(f->path, "SELECT since FROM setting"), 7);
    MUST_FAIL(store_undo(f->book, NULL, &error), "store.nothing-to-undo");
    assert_int_equal(ask_number(copy, "PRAGMA user_version"), 4);
    g_autofree char *unit = ask_text(copy, "SELECT * FROM setting");
    assert_string_equal(unit, "unit|2 in|\n");
}

static void a_migration_that_fails_changes_nothing(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    set(f->book, "unit", "2 in");
    g_autofree char *before = dump(f->path);
    static const char *const steps[] = {
        NULL, NULL, NULL, NULL, "DELETE FROM setting; ALTER TABLE nowhere ADD COLUMN x",
    };
    assert_false(store_migrate(f->book->writer, f->path, 5, steps, &error));
    g_clear_error(&error);
    g_autofree char *after = dump(f->path);
    assert_string_equal(before, after);
    assert_int_equal(ask_number(f->path, "PRAGMA user_version"), 4);
    MUST(store_undo(f->book, NULL, &error));
}

/* A book as version 1 left it, made by taking out what later versions brought. */
static void a_book_of_version_1_is_brought_to_the_present(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    set(f->book, "unit", "2 in");
    g_clear_pointer(&f->book, store_book_close);
    assert_int_equal(run_sql(f->path, "DROP TABLE pairing; DROP TABLE block_colours;"
                                      " DROP TABLE sent; DROP TABLE seal;"
                                      " DROP TABLE ledger_link; DROP INDEX ledger_inward;"
                                      " PRAGMA user_version = 1"),
                     SQLITE_OK);
    f->book = open_book(f->path, STORE_OPEN_EXISTING, &error);
    MUST(f->book != NULL);
    assert_int_equal(ask_number(f->path, "PRAGMA user_version"), store_schema_version());
    assert_int_equal(ask_number(f->path, "SELECT count(*) FROM pairing"), 0);
    assert_int_equal(ask_number(f->path, "SELECT count(*) FROM block_colours"), 0);
    g_autofree char *unit = store_setting_get(f->book, "unit", &error);
    assert_string_equal(unit, "2 in");
    assert_int_equal(ask_number(f->path, "SELECT count(*) FROM sent"), 0);
    g_autofree char *copy = g_strconcat(f->path, ".before-4", NULL);
    assert_int_equal(ask_number(copy, "PRAGMA user_version"), 1);
    g_autoptr(GPtrArray) complaints = NULL;
    MUST(store_book_check(f->book, &complaints, &error));
    assert_int_equal(complaints->len, 0);
}

static void a_book_begun_but_not_filled_is_brought_to_the_present(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *path = beside(f, "zero.book");
    assert_int_equal(run_sql(path, "PRAGMA application_id = 1299149932"), SQLITE_OK);
    MUST_FAIL(open_book(path, STORE_OPEN_READ_ONLY, &error) != NULL, "store.read-only");
    g_autoptr(store_book) book = open_book(path, STORE_OPEN_EXISTING, &error);
    MUST(book != NULL);
    set(book, "unit", "2 in");
}

static void the_book_explains_itself(void **state)
{
    fixture *f = *state;
    /* SQLite keeps the comments inside CREATE TABLE */
    assert_int_equal(ask_number(f->path, "SELECT count(*) FROM sqlite_schema WHERE type ="
                                         " 'table' AND name NOT LIKE 'sqlite_%'"
                                         " AND sql NOT LIKE '%STRICT%'"),
                     0);
    assert_int_equal(ask_number(f->path,
                                "SELECT count(*) FROM sqlite_schema WHERE name ="
                                " 'ledger' AND sql LIKE '%the sum is the basket%'"),
                     1);
}

static void a_closed_book_is_one_file(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    set(f->book, "unit", "2 in");
    g_free(store_setting_get(f->book, "unit", &error));
    g_clear_pointer(&f->book, store_book_close);
    g_autofree char *log = g_strconcat(f->path, "-wal", NULL);
    assert_false(g_file_test(log, G_FILE_TEST_EXISTS));
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, book_setup, book_teardown)
    const struct CMUnitTest tests[] = {
        TEST(a_book_that_is_not_there_is_only_made_when_asked),
        TEST(files_of_other_kinds_are_refused_and_left_alone),
        TEST(an_empty_file_becomes_a_book_only_when_asked),
        TEST(a_newer_book_is_refused_and_left_alone),
        TEST(a_damaged_book_is_said_to_be_damaged),
        TEST(a_read_only_book_can_be_read_but_not_written),
        TEST(a_book_opened_for_reading_refuses_changes),
        TEST(a_book_locked_by_another_program_is_busy_and_then_free),
        TEST(a_book_that_another_program_keeps_to_itself_is_busy),
        TEST(two_programs_share_a_book_and_see_each_others_changes),
        TEST(a_full_disk_loses_the_change_and_nothing_else),
        TEST(a_change_that_failed_for_room_writes_no_more),
        TEST(a_file_size_limit_is_no_room),
        TEST(a_program_killed_within_a_change_leaves_the_book_as_it_was),
        TEST(readers_see_whole_changes_while_two_threads_write),
        TEST(a_migration_keeps_a_copy_and_settles_the_journal),
        TEST(a_migration_that_fails_changes_nothing),
        TEST(a_book_of_version_1_is_brought_to_the_present),
        TEST(a_book_begun_but_not_filled_is_brought_to_the_present),
        TEST(the_book_explains_itself),
        TEST(a_closed_book_is_one_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
