/* Copies of each day: what stays is this project's own rule, so the test lives through
 * two years of days and looks at what is left. */
#include "test.h"

#include "book-fixture.h"
#include "store/daily.h"

enum { MOST = 32 };

/* How many copies there are of days so old: from, to days before today. */
static int copies_aged(int count, const uint32_t days[], uint32_t today, uint32_t from,
                       uint32_t to)
{
    int found = 0;
    for (int i = 0; i < count; i++)
        found += today - days[i] >= from && today - days[i] <= to;
    return found;
}

/* One day after the other, with every seventh left out as a laptop would. */
static void old_copies_grow_few_and_never_none(void **state)
{
    (void)state;
    uint32_t days[MOST];
    int count = 0;
    for (uint32_t today = 739000; today < 739730; today++) {
        bool keep[MOST];
        if (today % 7 == 3)
            continue;
        assert_true(count < MOST);
        days[count++] = today;
        store_daily_thin(count, days, today, keep);
        int kept = 0;
        for (int i = 0; i < count; i++)
            if (keep[i])
                days[kept++] = days[i];
        count = kept;
        assert_true(count <= 21);
        assert_int_equal(days[count - 1], today);
        if (today < 739000 + 300)
            continue;
        assert_int_equal(copies_aged(count, days, today, 0, 6), 6);
        for (uint32_t week = 0; week < 3; week++) /* one in any eight days */
            assert_true(copies_aged(count, days, today, 7 + 7 * week, 14 + 7 * week) > 0);
        for (uint32_t month = 0; month < 5; month++)
            assert_true(
                copies_aged(count, days, today, 35 + 30 * month, 65 + 30 * month) > 0);
        assert_int_equal(copies_aged(count, days, today, 216, 100000), 0);
    }
}

static void after_years_away_the_last_copy_stays(void **state)
{
    (void)state;
    const uint32_t days[] = { 735000, 735001 };
    bool keep[2];
    store_daily_thin(2, days, 739000, keep);
    assert_false(keep[0]);
    assert_true(keep[1]);
}

static void a_copy_is_made_once_a_day_and_can_be_restored(void **state)
{
    fixture *self = *state;
    GError *error = NULL;
    g_autofree char *made = NULL, *again = NULL, *later = NULL;
    g_autofree char *folder = g_strconcat(self->path, ".daily", NULL);
    g_autofree char *half = g_build_filename(folder, "2026-03-01.part", NULL);
    g_autofree char *hers = g_build_filename(folder, "2020-01-01 mine.book", NULL);
    GDate today;
    g_date_clear(&today, 1);
    g_date_set_dmy(&today, 1, 3, 2026);
    assert_int_equal(g_mkdir(folder, 0700), 0);
    assert_true(g_file_set_contents(half, "half a copy", -1, NULL));
    assert_true(g_file_set_contents(hers, "another file", -1, NULL));
    MUST(store_book_daily(self->book, &today, &made, &error));
    assert_true(g_str_has_suffix(made, "/2026-03-01.book"));
    assert_false(g_file_test(half, G_FILE_TEST_EXISTS));
    MUST(store_book_daily(self->book, &today, &again, &error));
    assert_null(again);
    {
        g_autoptr(store_change) change = store_change_begin(self->book, "Later", &error);
        int64_t fabric;
        MUST(change != NULL);
        MUST(store_fabric_add(change, "Plum", -1, &fabric, &error));
        MUST(store_change_commit(change, &error));
    }
    g_date_add_days(&today, 300);
    MUST(store_book_daily(self->book, &today, &later, &error));
    assert_false(g_file_test(made, G_FILE_TEST_EXISTS)); /* too old now */
    assert_true(g_file_test(hers, G_FILE_TEST_EXISTS));
    g_autofree char *kept = NULL;
    g_autoptr(GPtrArray) complaints = NULL;
    MUST(store_book_restore(self->book, later, &kept, &error));
    MUST(store_book_check(self->book, &complaints, &error));
    assert_int_equal(complaints->len, 0);
}

static void where_no_folder_can_be_made_it_says_so(void **state)
{
    fixture *self = *state;
    GError *error = NULL;
    g_autofree char *made = NULL;
    g_autofree char *folder = g_strconcat(self->path, ".daily", NULL);
    GDate today;
    g_date_clear(&today, 1);
    g_date_set_dmy(&today, 1, 3, 2026);
    assert_true(g_file_set_contents(folder, "a file in its place", -1, NULL));
    MUST_FAIL(store_book_daily(self->book, &today, &made, &error), "file.unwritable");
    assert_null(made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(old_copies_grow_few_and_never_none),
        cmocka_unit_test(after_years_away_the_last_copy_stays),
        cmocka_unit_test_setup_teardown(a_copy_is_made_once_a_day_and_can_be_restored,
                                        book_setup, book_teardown),
        cmocka_unit_test_setup_teardown(where_no_folder_can_be_made_it_says_so,
                                        book_setup, book_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
