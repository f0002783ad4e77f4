/* Memory that runs out: the nth allocation of SQLite fails, once or from then on, while a
 * maker works with her book. Each thing that she does is done or refused with a code, the
 * book stays sound, holds what was confirmed and nothing else, and goes on when there is
 * memory again. (GLib ends a program that is out of memory, so its own allocations cannot
 * be failed; that the book survives such an end is what test_kill.c holds.)
 *
 * usage: test_trust_memory STEP; every STEP-th allocation is failed */
#include "test.h"

#include "app/app.h"
#include "base/error.h"

#include <glib/gstdio.h>
#include <sqlite3.h>
#include <stdlib.h>

/* --- an allocator that fails ----------------------------------------------------------
 */

static sqlite3_mem_methods real;
static atomic_long count;   /* of allocations */
static atomic_long failing; /* the one that fails; 0: none does */
static atomic_bool lasting; /* and all that follow it */

static bool fails(void)
{
    long n = ++count, nth = failing;
    return nth != 0 && (n == nth || (lasting && n > nth));
}

static void *allocate(int size)
{
    return fails() ? NULL : real.xMalloc(size);
}

static void *reallocate(void *memory, int size)
{
    return fails() ? NULL : real.xRealloc(memory, size);
}

static void fail_from(long nth, bool for_good)
{
    count = 0;
    lasting = for_good;
    failing = nth;
}

static void put_between(void)
{
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_GETMALLOC, &real), SQLITE_OK);
    sqlite3_mem_methods ours = real;
    ours.xMalloc = allocate;
    ours.xRealloc = reallocate;
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_MALLOC, &ours), SQLITE_OK);
    /* What SQLite keeps beside it for small pieces would hide most of them. */
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_LOOKASIDE, 0, 0), SQLITE_OK);
}

/* --- her work -------------------------------------------------------------------------
 */

static long step = 200;
static char *folder, *path;

static const struct {
    const char *action, *request;
    int squares; /* that it puts in the basket */
} deeds[] = {
    { "basket", "{}", 0 },
    { "basket.add", "{\"count\": 5, \"unit\": \"2in\", \"source\": \"New\"}", 5 },
    { "made", "{\"quilt\": \"Tideline\", \"place\": [2, 1]}", -9 },
    { "undo", "{}", 9 },
    { "quilt", "{\"quilt\": \"Tideline\"}", 0 },
    { "basket.take", "{\"count\": 2, \"unit\": \"2in\"}", -2 },
    { "next", "{\"quilt\": \"Kite\"}", 0 },
    { "fabric.say", "{\"fabric\": 2, \"name\": \"kelp\"}", 0 },
};

static void lay_out_book(void)
{
    g_autofree char *bytes = NULL;
    gsize size;
    assert_true(g_file_get_contents(SMALL_BOOK, &bytes, &size, NULL));
    for (int i = 0; i < 3; i++) {
        static const char *const beside[] = { "-wal", "-shm", "-journal" };
        g_autofree char *other = g_strconcat(path, beside[i], NULL);
        g_unlink(other);
    }
    assert_true(g_file_set_contents(path, bytes, (gssize)size, NULL));
}

static json_t *fields_of(const char *text)
{
    json_t *fields = json_loads(text, 0, NULL);
    assert_non_null(fields);
    return fields;
}

/* Whether it was done; an error must be one that tells what is wrong. */
static bool act(app *book, const char *name, const char *text, bool memory_is_short)
{
    json_t *fields = fields_of(text);
    json_t *document = NULL;
    g_autoptr(GError) error = NULL;
    app_call call = { .request = fields };
    gboolean done =
        app_run_once(book, app_action_find(name), NULL, &call, &document, &error);
    json_decref(fields);
    json_decref(document);
    if (done)
        return true;
    const char *code = motley_error_code(error);
    if (!memory_is_short)
        fail_msg("%s with memory enough: %s (%s)", name, error->message, code);
    /* What was refused before it leaves nothing to undo, or undoes something else. */
    bool known = strcmp(code, "store.memory") == 0 ||
                 strcmp(code, "app.done-unseen") == 0 ||
                 strcmp(code, "store.nothing-to-undo") == 0;
    if (!known)
        fail_msg("%s, allocation %ld: %s (%s)", name, (long)failing, error->message,
                 code);
    return strcmp(code, "app.done-unseen") == 0;
}

static int64_t squares_in(void)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *query = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(
        sqlite3_prepare_v2(db, "SELECT sum(count) FROM ledger", -1, &query, NULL),
        SQLITE_OK);
    assert_int_equal(sqlite3_step(query), SQLITE_ROW);
    int64_t squares = sqlite3_column_int64(query, 0);
    sqlite3_finalize(query);
    sqlite3_close(db);
    return squares;
}

/* Does all of it with the nth allocation failing. Returns how many there were. */
static long work(long nth, bool for_good)
{
    lay_out_book();
    int64_t squares = squares_in();
    bool made = false;
    fail_from(nth, for_good);
    g_autoptr(GError) closed = NULL;
    app *book = app_open(path, APP_OPEN_EXISTING, &closed);
    if (book == NULL && strcmp(motley_error_code(closed), "store.memory") != 0)
        fail_msg("opening, allocation %ld: %s (%s)", nth, closed->message,
                 motley_error_code(closed));
    for (size_t i = 0; book != NULL && i < G_N_ELEMENTS(deeds); i++) {
        /* What she would not do: undo what came before a block that was refused. */
        if (strcmp(deeds[i].action, "undo") == 0 && !made)
            continue;
        bool done = act(book, deeds[i].action, deeds[i].request, nth != 0);
        if (strcmp(deeds[i].action, "made") == 0)
            made = done;
        squares += done ? deeds[i].squares : 0;
    }
    long allocations = count;
    fail_from(0, false);
    if (book != NULL) {
        act(book, "check", "{}", false);
        act(book, "basket.add", "{\"count\": 1, \"unit\": \"2in\"}", false);
        app_close(book);
    } else {
        squares--;
    }
    if (squares_in() != squares + 1)
        fail_msg("allocation %ld%s: %d squares, of which %d were confirmed", nth,
                 for_good ? " and all after it" : "", (int)squares_in(),
                 (int)squares + 1);
    return allocations;
}

static void nothing_is_lost_when_memory_is_short(void **state)
{
    (void)state;
    long all = work(0, false);
    assert_true(all > 1000);
    for (long nth = 1; nth <= all; nth += step) {
        work(nth, false);
        work(nth, true);
    }
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_is_lost_when_memory_is_short),
    };
    if (argc > 1)
        step = strtol(argv[1], NULL, 10);
    put_between();
    folder = g_dir_make_tmp("motley-memory-XXXXXX", NULL);
    path = g_build_filename(folder, "a.book", NULL);
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    g_autofree char *clear = g_strdup_printf("rm -rf '%s'", folder);
    if (system(clear) != 0)
        return 1;
    g_free(path);
    g_free(folder);
    return failed;
}
