#include "test.h"

#include "book-fixture.h"
#include "store/once.h"

enum { UNIT = 20320 }; /* 2 1/2 in */

/* A layer of `count` squares of a fabric. */
static int64_t put_in(store_book *book, int64_t fabric, int count)
{
    GError *error = NULL;
    int64_t layer;
    g_autoptr(store_change) change = store_change_begin(book, "Put squares in", &error);
    MUST(change != NULL);
    MUST(store_layer_add(change, &layer, &error));
    store_ledger_row row = { .layer = layer,
                             .unit = UNIT,
                             .fabric = fabric,
                             .count = count,
                             .how = STORE_CUT,
                             .fabric_known = true,
                             .counted = true };
    MUST(store_ledger_append(change, &row, NULL, &error));
    MUST(store_change_commit(change, &error));
    return layer;
}

static int64_t squares(store_book *book)
{
    GError *error = NULL;
    g_autoptr(GArray) totals = NULL;
    MUST(store_basket_units(book, &totals, &error));
    int64_t sum = 0;
    for (guint i = 0; i < totals->len; i++)
        sum += g_array_index(totals, store_unit_total, i).squares;
    return sum;
}

static void set(store_book *book, const char *key, const char *value)
{
    GError *error = NULL;
    g_autoptr(store_change) change = store_change_begin(book, key, &error);
    MUST(change != NULL);
    MUST(store_setting_set(change, key, value, &error));
    MUST(store_change_commit(change, &error));
}

static void assert_setting(store_book *book, const char *key, const char *value)
{
    GError *error = NULL;
    g_autofree char *got = store_setting_get(book, key, &error);
    must(error == NULL, error);
    if (g_strcmp0(got, value) != 0)
        fail_msg("%s is %s, not %s", key, got, value);
}

static void a_change_left_without_commit_changes_nothing(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *before = dump(f->path);
    int64_t revision = store_revision(f->book);
    {
        g_autoptr(store_change) change = store_change_begin(f->book, "Lost", &error);
        MUST(change != NULL);
        MUST(store_setting_set(change, "unit", "2 in", &error));
        assert_setting(f->book, "unit", "2 in");
    }
    assert_setting(f->book, "unit", NULL);
    g_autofree char *after = dump(f->path);
    assert_string_equal(before, after);
    assert_int_equal(store_revision(f->book), revision);
}

static void undo_and_redo_go_back_and_forth(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *what = NULL;
    set(f->book, "unit", "2 in");
    set(f->book, "unit", "2 1/2 in");
    int64_t revision = store_revision(f->book);
    MUST(store_undo(f->book, &what, &error));
    assert_string_equal(what, "unit");
    assert_setting(f->book, "unit", "2 in");
    assert_true(store_revision(f->book) > revision);
    MUST(store_undo(f->book, NULL, &error));
    assert_setting(f->book, "unit", NULL);
    MUST_FAIL(store_undo(f->book, NULL, &error), "store.nothing-to-undo");
    MUST(store_redo(f->book, NULL, &error));
    assert_setting(f->book, "unit", "2 in");
    MUST(store_redo(f->book, NULL, &error));
    assert_setting(f->book, "unit", "2 1/2 in");
    MUST_FAIL(store_redo(f->book, NULL, &error), "store.nothing-to-redo");
}

static void squares_taken_back_are_rows_that_name_what_they_reverse(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    put_in(f->book, 0, 7);
    assert_int_equal(squares(f->book), 7);
    MUST(store_undo(f->book, NULL, &error));
    assert_int_equal(squares(f->book), 0);
    MUST(store_redo(f->book, NULL, &error));
    assert_int_equal(squares(f->book), 7);
    g_autofree char *rows = ask_text(f->path, "SELECT count, how, reverses FROM ledger");
    assert_string_equal(rows, "7|cut|-|\n-7|reversed|1|\n7|reversed|2|\n");
}

static void a_new_change_drops_what_could_be_done_again(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    set(f->book, "a", "1");
    set(f->book, "b", "1");
    set(f->book, "c", "1");
    MUST(store_undo(f->book, NULL, &error));
    MUST(store_undo(f->book, NULL, &error));
    g_auto(store_journal_head) head = { 0 }, later = { 0 };
    MUST(store_journal_head_get(f->book, &head, &error));
    assert_string_equal(head.undo, "a");
    assert_string_equal(head.redo, "b"); /* the last undone comes first */

    set(f->book, "d", "1");
    MUST_FAIL(store_redo(f->book, NULL, &error), "store.nothing-to-redo");
    MUST(store_journal_head_get(f->book, &later, &error));
    assert_string_equal(later.undo, "d");
    assert_null(later.redo);
    assert_int_equal(later.redo_id, 0);
    /* past it, to what came before */
    MUST(store_undo(f->book, NULL, &error));
    MUST(store_undo(f->book, NULL, &error));
    MUST_FAIL(store_undo(f->book, NULL, &error), "store.nothing-to-undo");
    assert_int_equal(ask_number(f->path, "SELECT count(*) FROM setting"), 0);
}

static void the_history_keeps_every_deed(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    set(f->book, "a", "1");
    MUST(store_undo(f->book, NULL, &error));
    MUST(store_redo(f->book, NULL, &error));
    MUST(store_undo(f->book, NULL, &error));
    set(f->book, "b", "1");
    g_autoptr(GArray) entries = NULL, older = NULL;
    MUST(store_journal_list(f->book, 0, 10, &entries, &error));
    static const struct {
        const char *what;
        store_deed deed;
        bool stands;
    } wanted[] = {
        { "b", STORE_DID, true },    { "a", STORE_UNDID, false },
        { "a", STORE_REDID, false }, { "a", STORE_UNDID, false },
        { "a", STORE_DID, false },
    };
    assert_int_equal(entries->len, G_N_ELEMENTS(wanted));
    for (guint i = 0; i < entries->len; i++) {
        const store_journal_entry *entry =
            &g_array_index(entries, store_journal_entry, i);
        if (strcmp(entry->what, wanted[i].what) != 0 || entry->deed != wanted[i].deed ||
            entry->stands != wanted[i].stands)
            fail_msg("entry %u: %s, deed %d, stands %d", i, entry->what, (int)entry->deed,
                     entry->stands);
        assert_int_equal(entry->of, i == 0 ? 5 : 1);
    }
    MUST(store_journal_list(f->book, 3, 1, &older, &error));
    assert_int_equal(older->len, 1);
    assert_int_equal(g_array_index(older, store_journal_entry, 0).id, 2);
}

static void a_change_that_alters_nothing_leaves_no_trace(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    set(f->book, "a", "1");
    set(f->book, "b", "1");
    MUST(store_undo(f->book, NULL, &error));
    int64_t journal = ask_number(f->path, "SELECT count(*) FROM journal");
    set(f->book, "a", "1");  /* as it is */
    set(f->book, "z", NULL); /* was never there */
    assert_int_equal(ask_number(f->path, "SELECT count(*) FROM journal"), journal);
    /* so what was undone can still be done again */
    MUST(store_redo(f->book, NULL, &error));
    assert_setting(f->book, "b", "1");
}

static void a_quiet_change_is_seen_but_not_undone(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t device;
    set(f->book, "a", "1");
    int64_t revision = store_revision(f->book);
    {
        g_autoptr(store_change) change = store_change_begin_quiet(f->book, &error);
        MUST(change != NULL);
        MUST(store_device_add(change, "Phone", "token", &device, &error));
        MUST(store_change_commit(change, &error));
    }
    assert_true(store_revision(f->book) > revision);
    MUST(store_undo(f->book, NULL, &error));
    assert_setting(f->book, "a", NULL);
    assert_int_equal(ask_number(f->path, "SELECT count(*) FROM device"), 1);
}

static void undo_changes_nothing_where_the_book_was_altered_by_other_means(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t quilt, fabric;
    {
        g_autoptr(store_change) change =
            store_change_begin(f->book, "Three things", &error);
        MUST(change != NULL);
        MUST(store_setting_set(change, "a", "1", &error));
        MUST(store_setting_set(change, "b", "1", &error));
        MUST(store_fabric_add(change, NULL, -1, &fabric, &error));
        const store_quilt start = { .name = (char *)"Q",
                                    .design = (char *)"d",
                                    .design_text = (char *)"",
                                    .across = 1,
                                    .down = 1,
                                    .unit = UNIT };
        MUST(store_quilt_add(change, &start, &quilt, &error));
        MUST(store_change_commit(change, &error));
    }
    static const char *const altered[] = {
        "UPDATE setting SET value = 'other' WHERE key = 'b'", /* another value */
        "DELETE FROM setting WHERE key = 'b'",                /* the row is gone */
        "INSERT INTO quilt_role VALUES (1, 1, 1)",            /* a row points to it */
    };
    static const char *const mended[] = {
        "UPDATE setting SET value = '1' WHERE key = 'b'",
        "INSERT INTO setting VALUES ('b', '1')",
        "DELETE FROM quilt_role",
    };
    for (size_t i = 0; i < G_N_ELEMENTS(altered); i++) {
        assert_int_equal(run_sql(f->path, altered[i]), SQLITE_OK);
        g_autofree char *before = dump(f->path);
        MUST_FAIL(store_undo(f->book, NULL, &error), "store.undo-conflict");
        g_autofree char *after = dump(f->path);
        assert_string_equal(before, after);
        assert_int_equal(run_sql(f->path, mended[i]), SQLITE_OK);
    }
    MUST(store_undo(f->book, NULL, &error));
}

static void words_and_time_can_be_set_before_the_end(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    {
        g_autoptr(store_change) change = store_change_begin(f->book, "Cut", &error);
        MUST(change != NULL);
        assert_ptr_equal(store_change_book(change), f->book);
        store_change_set_time(change, 1000000000);
        MUST(store_setting_set(change, "a", "1", &error));
        store_change_set_what(change, "Cut 11 squares");
        MUST(store_change_commit(change, &error));
    }
    g_autofree char *row = ask_text(f->path, "SELECT at, what, deed, state FROM journal");
    assert_string_equal(row, "1000000000|Cut 11 squares|did|done|\n");
}

/* --- sent again
 * -------------------------------------------------------------------------------------
 */

static void what_is_sent_twice_under_one_key_is_done_once(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    MUST(store_once_begin(f->book, "tap-1", &error));
    put_in(f->book, 0, 10);
    set(f->book, "unit", "2 in"); /* of the same deed */
    store_once_end();
    MUST_FAIL(store_once_begin(f->book, "tap-1", &error), "store.sent-before");
    MUST_FAIL(store_change_begin(f->book, "Again", &error) != NULL, "store.sent-before");
    store_once_end();
    MUST(store_once_begin(f->book, "tap-2", &error));
    put_in(f->book, 0, 3);
    store_once_end();
    put_in(f->book, 0, 1);
    put_in(f->book, 0, 1);
    assert_int_equal(squares(f->book), 15);
}

/* Else what was undone would come back when a device that heard no answer asks again. */
static void a_key_stays_used_when_its_change_is_undone(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    put_in(f->book, 0, 4);
    MUST(store_once_begin(f->book, "tap", &error));
    put_in(f->book, 0, 10);
    store_once_end();
    MUST(store_once_begin(f->book, "undo", &error));
    MUST(store_undo(f->book, NULL, &error));
    store_once_end();
    MUST_FAIL(store_once_begin(f->book, "tap", &error), "store.sent-before");
    store_once_end();
    MUST_FAIL(store_once_begin(f->book, "undo", &error), "store.sent-before");
    MUST_FAIL(store_undo(f->book, NULL, &error), "store.sent-before");
    store_once_end();
    assert_int_equal(squares(f->book), 4);
}

static void a_key_is_free_until_its_change_is_committed(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    MUST(store_once_begin(f->book, "tap", &error));
    {
        g_autoptr(store_change) change = store_change_begin(f->book, "Lost", &error);
        MUST(change != NULL);
        MUST(store_setting_set(change, "unit", "2 in", &error));
    }
    store_once_end();
    MUST(store_once_begin(f->book, "tap", &error));
    put_in(f->book, 0, 10);
    store_once_end();
    assert_int_equal(squares(f->book), 10);
}

static void keys_are_forgotten_after_a_year(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    assert_int_equal(run_sql(f->path, "INSERT INTO sent VALUES ('old', 1),"
                                      " ('recent', unixepoch() - 300 * 24 * 3600)"),
                     SQLITE_OK);
    MUST(store_once_begin(f->book, "new", &error));
    put_in(f->book, 0, 10);
    store_once_end();
    g_autofree char *keys = ask_text(f->path, "SELECT key FROM sent ORDER BY key");
    assert_string_equal(keys, "new|\nrecent|\n");
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, book_setup, book_teardown)
    const struct CMUnitTest tests[] = {
        TEST(what_is_sent_twice_under_one_key_is_done_once),
        TEST(a_key_stays_used_when_its_change_is_undone),
        TEST(a_key_is_free_until_its_change_is_committed),
        TEST(keys_are_forgotten_after_a_year),
        TEST(a_change_left_without_commit_changes_nothing),
        TEST(undo_and_redo_go_back_and_forth),
        TEST(squares_taken_back_are_rows_that_name_what_they_reverse),
        TEST(a_new_change_drops_what_could_be_done_again),
        TEST(the_history_keeps_every_deed),
        TEST(a_change_that_alters_nothing_leaves_no_trace),
        TEST(a_quiet_change_is_seen_but_not_undone),
        TEST(undo_changes_nothing_where_the_book_was_altered_by_other_means),
        TEST(words_and_time_can_be_set_before_the_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
