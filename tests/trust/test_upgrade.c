/* A book of an older version is brought to the present whole or not at all, wherever in
 * it the program is killed, the disk is full or the power goes.
 *
 * usage: test_trust_upgrade [STEP [CUTS]]: every how many writes, and how many power cuts
 */
#include "test.h"

#include "power-disk.h"
#include "store/book-fixture.h"

#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

static int step = 140, cuts = 3, oldest;

static void put_seed(const fixture *f, int version, const char *path)
{
    g_autofree char *seed = g_strdup_printf("%s/version-%d.book", BOOK_SEEDS, version);
    g_autofree char *bytes = NULL;
    gsize size;
    remove_tree(f->folder);
    assert_int_equal(g_mkdir(f->folder, 0700), 0);
    assert_true(g_file_get_contents(seed, &bytes, &size, NULL));
    assert_true(g_file_set_contents(path, bytes, (gssize)size, NULL));
}

/* Queries for all rows of the book as it is now, without what a step works out or
 * settles. Free with g_strfreev(). */
static char **queries_of(const char *path)
{
    g_autofree char *all = ask_text(
        path, "SELECT format('SELECT ''%w'', \"%s\" FROM \"%w\" ORDER BY 2, 3', m.name,"
              " group_concat(c.name, '\", \"'), m.name) FROM sqlite_schema m,"
              " pragma_table_info(m.name) c WHERE m.type = 'table' AND m.name NOT LIKE"
              " 'sqlite_%' AND m.name NOT IN ('journal', 'revision') GROUP BY m.name");
    return g_strsplit(all, "|\n", -1);
}

/* What they give. Free with g_free(). */
static char *rows_of(const char *path, char *const *queries)
{
    g_autoptr(GString) text = g_string_new(NULL);
    for (; *queries != NULL && **queries != '\0'; queries++) {
        g_autofree char *rows = ask_text(path, *queries);
        g_string_append(text, rows);
    }
    return g_string_free(g_steal_pointer(&text), FALSE);
}

/* What an older book held, which no step may lose. */
typedef struct old_book {
    int version;
    char **queries;
    char *said;
} old_book;

static void old_book_clear(old_book *old)
{
    g_strfreev(old->queries);
    g_free(old->said);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(old_book, old_book_clear)

static old_book look(const char *path, int version)
{
    old_book old = { .version = version, .queries = queries_of(path) };
    old.said = rows_of(path, old.queries);
    assert_true(g_strv_length(old.queries) > 20 && strlen(old.said) > 10000);
    return old;
}

/* The book is of one version or the other, with all that the maker said; and it opens. */
static void check(const char *path, const old_book *old, const char *when, guint nth)
{
    GError *error = NULL;
    int64_t found = ask_number(path, "PRAGMA user_version");
    if (found != old->version && found != store_schema_version())
        fail_msg("%s %u: version %d", when, nth, (int)found);
    g_autofree char *before = rows_of(path, old->queries);
    if (strcmp(before, old->said) != 0)
        fail_msg("%s %u: the book of version %d holds something else", when, nth,
                 (int)found);
    g_autoptr(store_book) book = store_book_open(path, STORE_OPEN_EXISTING, &error);
    if (book == NULL)
        fail_msg("%s %u: %s", when, nth, error->message);
    g_autoptr(GPtrArray) complaints = NULL;
    MUST(store_book_check(book, &complaints, &error));
    if (complaints->len > 0)
        fail_msg("%s %u: %s", when, nth, (const char *)complaints->pdata[0]);
    g_autofree char *after = rows_of(path, old->queries);
    assert_int_equal(ask_number(path, "PRAGMA user_version"), store_schema_version());
    if (strcmp(after, old->said) != 0)
        fail_msg("%s %u: opened, the book holds something else", when, nth);
}

/* How many writes bringing it to the present takes. */
static guint count_writes(const fixture *f, int version)
{
    put_seed(f, version, f->path);
    guint before = power_disk_writes();
    assert_true(store_book_is_older(f->path));
    store_book_close(store_book_open(f->path, STORE_OPEN_EXISTING, NULL));
    assert_false(store_book_is_older(f->path));
    return power_disk_writes() - before;
}

static void kill_at(const fixture *f, guint nth)
{
    int status = 0;
    pid_t child = fork();
    if (child == 0) {
        power_disk_break(nth, TRUE);
        store_book_close(store_book_open(f->path, STORE_OPEN_EXISTING, NULL));
        _exit(1);
    }
    waitpid(child, &status, 0);
    if (!WIFSIGNALED(status) || WTERMSIG(status) != SIGKILL)
        fail_msg("write %u: it was not killed", nth);
}

/* When the book is brought to the present, what it writes later may wait. */
static void fill_at(const fixture *f, guint nth)
{
    g_autoptr(GError) error = NULL;
    power_disk_break(nth, FALSE);
    g_autoptr(store_book) book = store_book_open(f->path, STORE_OPEN_EXISTING, &error);
    if (book == NULL && strcmp(motley_error_code(error), "store.full") != 0)
        fail_msg("write %u: %s (%s)", nth, error->message, motley_error_code(error));
    g_clear_pointer(&book, store_book_close);
    power_disk_break(0, FALSE);
}

static void a_kill_or_a_full_disk_leaves_the_book_whole(void **state)
{
    fixture *f = *state;
    g_clear_pointer(&f->book, store_book_close);
    for (int version = oldest; version < store_schema_version(); version++) {
        power_disk_plug_in(TRUE);
        guint writes = count_writes(f, version);
        put_seed(f, version, f->path);
        g_auto(old_book) old = look(f->path, version);
        assert_true(writes > 50);
        guint tried = 0;
        for (guint nth = 1; nth <= writes; nth += (guint)step, tried++) {
            put_seed(f, version, f->path);
            kill_at(f, nth);
            check(f->path, &old, "killed at write", nth);
            put_seed(f, version, f->path);
            fill_at(f, nth);
            check(f->path, &old, "full at write", nth);
        }
        power_disk_unplug();
        print_message("# version %d: %u writes, %u tried\n", version, writes, tried);
    }
}

/* Through the logged disk, so that it is known what of it is synced: all. */
static void copy_through_disk(const char *from, const char *to)
{
    sqlite3 *source = NULL, *copy = NULL;
    assert_int_equal(sqlite3_open(from, &source), SQLITE_OK);
    assert_int_equal(sqlite3_open(to, &copy), SQLITE_OK);
    sqlite3_backup *backup = sqlite3_backup_init(copy, "main", source, "main");
    assert_int_equal(sqlite3_backup_step(backup, -1), SQLITE_DONE);
    assert_int_equal(sqlite3_backup_finish(backup), SQLITE_OK);
    sqlite3_close(copy);
    sqlite3_close(source);
}

static void a_power_cut_leaves_the_book_whole(void **state)
{
    fixture *f = *state;
    g_clear_pointer(&f->book, store_book_close);
    g_autoptr(GRand) chance = g_rand_new_with_seed(20261129);
    int version = store_schema_version() - 1;
    g_autofree char *seed = g_build_filename(f->folder, "seed.book", NULL);
    put_seed(f, version, seed);
    power_disk_plug_in(TRUE);
    copy_through_disk(seed, f->path);
    g_auto(old_book) old = look(f->path, version);
    power_disk_settle(f->path);
    guint start = power_disk_moments();
    store_book_close(store_book_open(f->path, STORE_OPEN_EXISTING, NULL));
    guint end = power_disk_moments();
    assert_int_equal(ask_number(f->path, "PRAGMA user_version"), store_schema_version());
    g_autofree char *after = g_build_filename(f->folder, "after", NULL);
    g_autofree char *name = g_path_get_basename(f->path);
    g_autofree char *path = g_build_filename(after, name, NULL);
    for (int i = 0; i < cuts; i++) {
        guint moment = (guint)g_rand_int_range(chance, (gint32)start, (gint32)end + 1);
        remove_tree(after);
        assert_int_equal(g_mkdir(after, 0700), 0);
        power_disk_cut(moment, chance, after);
        check(path, &old, "power cut at moment", moment - start);
    }
    power_disk_unplug();
    print_message("# version %d: %u moments, %d cuts\n", version, end - start, cuts);
}

#define TEST(test) cmocka_unit_test_setup_teardown(test, book_setup, book_teardown)

int main(int argc, char **argv)
{
    if (argc > 1)
        step = atoi(argv[1]);
    if (argc > 2)
        cuts = atoi(argv[2]);
    oldest = argc > 3 ? atoi(argv[3]) : store_schema_version() - 1;
    const struct CMUnitTest tests[] = {
        TEST(a_kill_or_a_full_disk_leaves_the_book_whole),
        TEST(a_power_cut_leaves_the_book_whole),
    };
    return cmocka_run_group_tests_name("trust/upgrade", tests, NULL, NULL);
}
