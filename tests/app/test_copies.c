/* The view of the copies, as the page asks for it: what lies beside the book, what is
 * damaged in it, and taking a copy back by its name. */
#include "test.h"

#include "fixture.h"

#include <sqlite3.h>

static long long squares(fixture *f)
{
    json_t *document = does(f, "basket", "{}");
    long long count = number_at(document, "squares");
    json_decref(document);
    return count;
}

/* The copies of a kind, "daily" or not; their names begin with `prefix`. */
static int count_copies(fixture *f, bool daily, const char *prefix)
{
    json_t *document = does(f, "copies", "{}"), *one;
    size_t i;
    int count = 0;
    json_array_foreach (value_at(document, "copies"), i, one) {
        count += json_is_true(json_object_get(one, "daily")) == daily &&
                 g_str_has_prefix(text_at(one, "copy"), prefix);
        assert_true(number_at(one, "bytes") > 10000);
        assert_int_equal(strlen(text_at(one, "written")), strlen("2026-11-29T12:00:00Z"));
    }
    json_decref(document);
    return count;
}

static size_t count_damage(fixture *f)
{
    json_t *document = does(f, "copies", "{}");
    const json_t *damage = value_at(document, "damage");
    assert_true(json_is_null(damage) || json_array_size(damage) > 0);
    size_t count = json_array_size(damage);
    json_decref(document);
    return count;
}

/* As a disk that gives back another number than was written. */
static void spoil(const char *path)
{
    sqlite3 *db = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL);
    assert_int_equal(
        sqlite3_exec(db, "UPDATE ledger SET count = count + 1", NULL, NULL, NULL),
        SQLITE_OK);
    sqlite3_close(db);
}

static char *today(void)
{
    g_autoptr(GDateTime) now = g_date_time_new_now_local();
    return g_date_time_format(now, "%Y-%m-%d");
}

static void a_damaged_book_is_brought_back_from_the_copy_of_the_day(void **state)
{
    fixture *f = *state;
    g_autoptr(GError) error = NULL;
    json_decref(does(f, "basket.add", "{\"count\": 40, \"unit\": \"2in\"}"));
    assert_int_equal(count_copies(f, true, ""), 0);
    g_autofree char *day = today();
    assert_true(app_daily_copy(f->book, &error));
    assert_int_equal(count_copies(f, true, day), 1);
    assert_int_equal(count_damage(f), 0);

    spoil(f->path);
    int64_t before = app_revision(f->book);
    json_t *document = NULL;
    assert_false(
        app_action_find("check")->run(f->book, &(app_call){ 0 }, &document, &error));
    assert_string_equal(motley_error_code(error), "store.damaged");
    /* Pages ask anew, for the list is another one now. */
    assert_true(app_revision(f->book) != before);
    assert_true(count_damage(f) > 0);
    refuses(f, "store.damaged", "basket.add", "{\"count\": 1, \"unit\": \"2in\"}");
    assert_int_equal(count_copies(f, true, day), 1);

    json_decref(does(f, "copy.restore", "{\"copy\": \"%s\"}", day));
    assert_int_equal(squares(f), 40);
    assert_int_equal(count_damage(f), 0);
    json_decref(does(f, "check", "{}"));
    json_decref(does(f, "basket.add", "{\"count\": 2, \"unit\": \"2in\"}"));
    assert_int_equal(squares(f), 42);
    /* What was there before is kept, and can be looked at. */
    assert_int_equal(count_copies(f, false, "before-restore"), 1);
}

static void a_copy_goes_by_a_name_of_the_list_alone(void **state)
{
    fixture *f = *state;
    g_autoptr(GError) error = NULL;
    assert_true(app_daily_copy(f->book, &error));
    static const char *const names[] = { "1999-12-31", "../test.book",    "/etc/passwd",
                                         "",           "2026-11-29.book", "." };
    for (size_t i = 0; i < G_N_ELEMENTS(names); i++) {
        const char *code = *names[i] == '\0' ? "app.field-missing" : "store.unknown";
        refuses(f, code, "copy.restore", "{\"copy\": \"%s\"}", names[i]);
    }
}

#define TEST(test) cmocka_unit_test_setup_teardown(test, fixture_open, fixture_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_damaged_book_is_brought_back_from_the_copy_of_the_day),
        TEST(a_copy_goes_by_a_name_of_the_list_alone),
    };
    return cmocka_run_group_tests_name("app/copies", tests, NULL, NULL);
}
