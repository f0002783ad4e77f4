#include "test.h"

#include "book-fixture.h"

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

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, book_setup, book_teardown)
    const struct CMUnitTest tests[] = {
        TEST(a_change_left_without_commit_changes_nothing),
        TEST(undo_and_redo_go_back_and_forth),
        TEST(squares_taken_back_are_rows_that_name_what_they_reverse),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
