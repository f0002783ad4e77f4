#include "test.h"

#include "book-fixture.h"

static void a_setting_can_be_set_changed_and_forgotten(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autoptr(store_change) change = store_change_begin(f->book, "Settings", &error);
    MUST(change != NULL);
    assert_null(store_setting_get(f->book, "unit", &error));
    assert_null(error);
    MUST(store_setting_set(change, "unit", "2 in", &error));
    MUST(store_setting_set(change, "unit", "5 cm", &error));
    MUST(store_setting_set(change, "ruler", "'; DROP TABLE ledger; --", &error));
    g_autoptr(GArray) list = NULL;
    MUST(store_setting_list(f->book, &list, &error));
    assert_int_equal(list->len, 2);
    assert_string_equal(g_array_index(list, store_setting, 0).value,
                        "'; DROP TABLE ledger; --");
    assert_string_equal(g_array_index(list, store_setting, 1).value, "5 cm");
    MUST(store_setting_set(change, "unit", NULL, &error));
    assert_null(store_setting_get(f->book, "unit", &error));
}

static void a_revoked_device_is_no_longer_found(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t id, found;
    {
        g_autoptr(store_change) change = store_change_begin_quiet(f->book, &error);
        MUST(change != NULL);
        MUST(store_device_add(change, "Phone", "abc", &id, &error));
        MUST(store_device_seen(change, id, &error));
        MUST(store_device_rename(change, id, "Tablet", &error));
        MUST(store_change_commit(change, &error));
    }
    MUST(store_device_find(f->book, "abc", &found, NULL, &error));
    assert_int_equal(found, id);
    MUST(store_device_find(f->book, "abd", &found, NULL, &error));
    assert_int_equal(found, 0);
    /* a device is not a thing to undo */
    MUST_FAIL(store_undo(f->book, NULL, &error), "store.nothing-to-undo");
    {
        g_autoptr(store_change) change = store_change_begin_quiet(f->book, &error);
        MUST(change != NULL);
        MUST(store_device_revoke(change, id, &error));
        MUST_FAIL(store_device_revoke(change, 99, &error), "store.unknown");
        MUST(store_change_commit(change, &error));
    }
    MUST(store_device_find(f->book, "abc", &found, NULL, &error));
    assert_int_equal(found, 0);
    g_autoptr(GArray) list = NULL;
    MUST(store_device_list(f->book, &list, &error));
    assert_int_equal(list->len, 1);
    const store_device *device = &g_array_index(list, store_device, 0);
    assert_string_equal(device->name, "Tablet");
    assert_true(device->revoked != 0 && device->seen != 0);
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, book_setup, book_teardown)
    const struct CMUnitTest tests[] = {
        TEST(a_setting_can_be_set_changed_and_forgotten),
        TEST(a_revoked_device_is_no_longer_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
