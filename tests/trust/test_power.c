/* What a commit has confirmed outlives a power cut. The disk that is cut off is the
 * test's own (power-disk.h); what it may lose is what SQLite says that disks lose
 * (sqlite.org/atomiccommit.html, sections 2 and 3; sqlite.org/psow.html). */
#include "test.h"

#include "power-disk.h"
#include "store/book-fixture.h"

#include <sqlite3.h>

enum { COMMITS = 60, PER_RUN = 50 };

static int cuts = PER_RUN; /* the number of power cuts in all */

/* Each commit: one square in, one setting; now and then one larger than the cache. */
static void commit_and_tell(store_book *book)
{
    GError *error = NULL;
    g_autofree char *large = g_strnfill(3000, 'x');
    for (int i = 1; i <= COMMITS; i++) {
        g_autofree char *text = g_strdup_printf("%d", i);
        int64_t layer;
        g_autoptr(store_change) change = store_change_begin(book, text, &error);
        MUST(change != NULL);
        MUST(store_layer_add(change, &layer, &error));
        const store_ledger_row row = { .layer = layer,
                                       .unit = 2 * 8128,
                                       .count = 1,
                                       .how = STORE_ADDED,
                                       .fabric_known = true,
                                       .counted = true };
        MUST(store_ledger_append(change, &row, NULL, &error));
        MUST(store_setting_set(change, "made", text, &error));
        for (int k = 0; k < (i % 7 == 0 ? 20 : 1); k++) {
            g_autofree char *key = g_strdup_printf("large %d", k);
            MUST(store_setting_set(change, key, large, &error));
        }
        MUST(store_change_commit(change, &error));
        power_disk_acknowledge(i);
    }
}

/* The book as it is after the cut: NULL when all is well, else what is wrong. */
static char *fault_after_cut(const char *path, int acknowledged)
{
    GError *error = NULL;
    g_autoptr(store_book) book = store_book_open(path, STORE_OPEN_EXISTING, &error);
    if (book == NULL) {
        /* Before the first acknowledged commit there may be no book yet. */
        char *fault = acknowledged == 0 ? NULL : g_strdup(error->message);
        g_clear_error(&error);
        return fault;
    }
    g_autoptr(GPtrArray) complaints = NULL;
    if (!store_book_check(book, &complaints, &error)) {
        char *fault = g_strdup(error->message);
        g_clear_error(&error);
        return fault;
    }
    if (complaints->len > 0)
        return g_strdup(complaints->pdata[0]);
    g_autofree char *made = store_setting_get(book, "made", NULL);
    int there = made != NULL ? (int)g_ascii_strtoll(made, NULL, 10) : 0;
    /* the last commit may have been made but not told */
    if (there != acknowledged && there != acknowledged + 1)
        return g_strdup_printf("%d acknowledged, %d there", acknowledged, there);
    g_autoptr(GArray) totals = NULL;
    if (!store_basket_units(book, &totals, NULL))
        return g_strdup("the basket cannot be read");
    int64_t squares =
        totals->len > 0 ? g_array_index(totals, store_unit_total, 0).squares : 0;
    return squares == there
               ? NULL
               : g_strdup_printf("%d made, %" PRId64 " squares", there, squares);
}

static char *cut_once(guint moment, GRand *chance)
{
    g_autofree char *folder = g_dir_make_tmp("motley-power-XXXXXX", NULL);
    g_autofree char *path = g_build_filename(folder, "test.book", NULL);
    int acknowledged = power_disk_cut(moment, chance, folder);
    char *fault = fault_after_cut(path, acknowledged);
    remove_tree(folder);
    return fault;
}

/* Runs commits on the disk and cuts the power at moments of chance; returns how many cuts
 * lost or hurt something. */
static int faults_of_run(int count, guint32 seed, gboolean shared_memory, gboolean tell)
{
    GError *error = NULL;
    int faults = 0;
    g_autoptr(GRand) chance = g_rand_new_with_seed(seed);
    g_autofree char *folder = g_dir_make_tmp("motley-power-XXXXXX", NULL);
    g_autofree char *path = g_build_filename(folder, "test.book", NULL);
    power_disk_plug_in(shared_memory);
    store_book *book = store_book_open(path, STORE_OPEN_CREATE, &error);
    MUST(book != NULL);
    commit_and_tell(book);
    store_book_close(book);
    guint moments = power_disk_moments();

    g_autoptr(GArray) at = g_array_new(FALSE, FALSE, sizeof(guint));
    for (int i = 0; i < count; i++) {
        guint moment = (guint)g_rand_int_range(chance, 0, (gint32)moments + 1);
        g_array_append_val(at, moment);
    }
    /* What is read after a cut goes into the log too, so the cuts come from a copy of it:
     * the log grows only behind the moments that are cut at. */
    for (int i = 0; i < count; i++) {
        g_autofree char *fault = cut_once(g_array_index(at, guint, i), chance);
        faults += fault != NULL;
        if (fault != NULL && tell)
            print_message("# seed %u, cut %d at moment %u: %s\n", seed, i,
                          g_array_index(at, guint, i), fault);
    }
    power_disk_unplug();
    remove_tree(folder);
    return faults;
}

static void what_a_commit_has_confirmed_outlives_a_power_cut(void **state)
{
    (void)state;
    int faults = 0;
    for (int done = 0; done < cuts; done += PER_RUN)
        faults += faults_of_run(MIN(PER_RUN, cuts - done), 1 + (guint32)done, TRUE, TRUE);
    print_message("# %d power cuts, %d faults\n", cuts, faults);
    assert_int_equal(faults, 0);
}

/* On such a disk the book keeps a rollback journal. Its removal is the commit, and is
 * lost with the folder's unless synchronous is EXTRA (sqlite.org/pragma.html). */
static void it_does_so_where_the_disk_cannot_share_memory(void **state)
{
    (void)state;
    assert_int_equal(faults_of_run(PER_RUN, 3, FALSE, TRUE), 0);
}

/* --- the test can fail -------------------------------------------------------------- */

static int ignore_synchronous(void *data, int action, const char *name, const char *value,
                              const char *schema, const char *by)
{
    (void)data, (void)schema, (void)by;
    return action == SQLITE_PRAGMA && value != NULL && strcmp(name, "synchronous") == 0
               ? SQLITE_IGNORE
               : SQLITE_OK;
}

static int never_sync(sqlite3 *db, char **ret_message, const sqlite3_api_routines *api)
{
    (void)ret_message, (void)api;
    sqlite3_exec(db, "PRAGMA synchronous = OFF", NULL, NULL, NULL);
    return sqlite3_set_authorizer(db, ignore_synchronous, NULL);
}

static void a_book_that_does_not_sync_loses_what_it_confirmed(void **state)
{
    (void)state;
    sqlite3_auto_extension((void (*)(void))never_sync);
    int faults = faults_of_run(PER_RUN, 7, TRUE, FALSE);
    sqlite3_cancel_auto_extension((void (*)(void))never_sync);
    print_message("# without syncing: %d of %d power cuts lost something\n", faults,
                  PER_RUN);
    assert_true(faults > 0);
}

int main(int argc, char **argv)
{
    if (argc > 1)
        cuts = atoi(argv[1]);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_a_commit_has_confirmed_outlives_a_power_cut),
        cmocka_unit_test(it_does_so_where_the_disk_cannot_share_memory),
        cmocka_unit_test(a_book_that_does_not_sync_loses_what_it_confirmed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
