#include "test.h"

#include "base/error.h"

static void every_code_is_plain_and_stands_once(void **state)
{
    (void)state;
    g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
    for (int code = 0; code < MOTLEY_ERROR_COUNT; code++) {
        g_autoptr(GError) error = g_error_new_literal(MOTLEY_ERROR, code, "what");
        const char *name = motley_error_code(error);
        if (!g_hash_table_add(seen, (char *)name))
            fail_msg("%s stands twice", name);
        if (strspn(name, "abcdefghijklmnopqrstuvwxyz.-") != strlen(name))
            fail_msg("%s is not lower case words with . and -", name);
        int status = motley_error_exit_status(error);
        if (status != 1 && status != 2)
            fail_msg("%s: exit status %d", name, status);
        const char *hint = motley_error_hint(error);
        if (!g_str_has_suffix(hint, "."))
            fail_msg("%s: the hint is no sentence: %s", name, hint);
    }
}

static void a_foreign_error_is_internal(void **state)
{
    (void)state;
    g_autoptr(GError) error = g_error_new_literal(G_FILE_ERROR, 3, "what");
    assert_string_equal(motley_error_code(error), "internal");
    assert_int_equal(motley_error_exit_status(error), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_code_is_plain_and_stands_once),
        cmocka_unit_test(a_foreign_error_is_internal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
