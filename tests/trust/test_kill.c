/* What a commit has confirmed outlives a program that is killed at any moment.
 *
 * usage: test_trust_kill [ROUNDS] */
#include "test.h"

#include "store/book-fixture.h"

#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

enum { UNIT = 2 * 8128, MOST_COMMITS = 8 };

static int rounds = 20;

static gboolean commit_one(store_book *book, int number)
{
    g_autofree char *text = g_strdup_printf("%d", number);
    int64_t layer;
    g_autoptr(store_change) change = store_change_begin(book, text, NULL);
    const store_ledger_row row = { .unit = UNIT,
                                   .count = 1,
                                   .how = STORE_ADDED,
                                   .fabric_known = true,
                                   .counted = true };
    if (change == NULL || !store_layer_add(change, &layer, NULL))
        return FALSE;
    store_ledger_row placed = row;
    placed.layer = layer;
    return store_ledger_append(change, &placed, NULL, NULL) &&
           store_setting_set(change, "made", text, NULL) &&
           store_change_commit(change, NULL);
}

/* Commits for ever and tells each commit when it is confirmed. */
G_GNUC_NORETURN static void commit_until_killed(const char *path, int from, int tell)
{
    store_book *book = store_book_open(path, STORE_OPEN_EXISTING, NULL);
    if (book == NULL)
        _exit(1);
    for (int i = from + 1;; i++)
        if (!commit_one(book, i) || write(tell, &i, sizeof i) != sizeof i)
            _exit(1);
}

/* The last number that was told before the kill; from when none was. The kill comes some
 * commits after the start, none too, and then at any moment of the next: counted in
 * commits, not in time, for a busy machine may take long for one. The first commit of a
 * round, with which the book is opened, took *opening_us in an earlier one. */
static int kill_at_random(const char *path, int from, GRand *chance, gint64 *opening_us)
{
    int ends[2], told = from, status = 0;
    const int commits = g_rand_int_range(chance, 0, MOST_COMMITS);
    gint64 since = g_get_monotonic_time(), one = *opening_us;
    assert_int_equal(pipe(ends), 0);
    pid_t child = fork();
    if (child == 0)
        commit_until_killed(path, from, ends[1]);
    close(ends[1]);
    for (int i = 0; i < commits; i++) {
        assert_int_equal(read(ends[0], &told, sizeof told), sizeof told);
        one = g_get_monotonic_time() - since;
        since += one;
        if (i == 0)
            *opening_us = one;
    }
    g_usleep((gulong)(g_rand_double(chance) * (double)one));
    kill(child, SIGKILL);
    waitpid(child, &status, 0);
    assert_true(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
    for (int i; read(ends[0], &i, sizeof i) == sizeof i;)
        told = i;
    close(ends[0]);
    return told;
}

/* What is in the book, which must be sound in all its parts. */
static int read_number(const char *path)
{
    GError *error = NULL;
    g_autoptr(store_book) book = store_book_open(path, STORE_OPEN_EXISTING, &error);
    MUST(book != NULL);
    g_autoptr(GPtrArray) complaints = NULL;
    MUST(store_book_check(book, &complaints, &error));
    if (complaints->len > 0)
        fail_msg("%s", (const char *)complaints->pdata[0]);
    g_autofree char *made = store_setting_get(book, "made", NULL);
    g_autoptr(GArray) totals = NULL;
    MUST(store_basket_units(book, &totals, &error));
    int64_t squares =
        totals->len > 0 ? g_array_index(totals, store_unit_total, 0).squares : 0;
    int number = made != NULL ? (int)g_ascii_strtoll(made, NULL, 10) : 0;
    assert_int_equal(squares, number);
    return number;
}

static void what_was_said_to_be_saved_is_there_after_a_kill(void **state)
{
    fixture *f = *state;
    g_clear_pointer(&f->book, store_book_close);
    g_autoptr(GRand) chance = g_rand_new_with_seed(20261127);
    int there = 0;
    gint64 opening_us = 0;
    for (int round = 0; round < rounds; round++) {
        int told = kill_at_random(f->path, there, chance, &opening_us);
        int found = read_number(f->path);
        /* the last commit may have been made but not told */
        if (found != told && found != told + 1)
            fail_msg("round %d: %d told, %d in the book", round, told, found);
        there = found;
    }
    print_message("# %d kills, %d commits, none lost\n", rounds, there);
    assert_true(there > rounds);
}

int main(int argc, char **argv)
{
    if (argc > 1)
        rounds = atoi(argv[1]);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_was_said_to_be_saved_is_there_after_a_kill,
                                        book_setup, book_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
