#include "test.h"

#include "web/target-internal.h"

#include "base/error.h"

/* Escapes as of RFC 3986, section 2.1, UTF-8 as of RFC 3629; forms write spaces as +. */
static const struct {
    const char *raw, *path, *query; /* segments joined by |; path NULL when refused */
} rows[] = {
    { "/", "", "{}" },
    { "/api/basket", "api|basket", "{}" },
    { "/api/basket/", "api|basket|", "{}" },
    { "//", "|", "{}" },
    { "/a%20b", "a b", "{}" },
    { "/a+b", "a+b", "{}" },
    { "/a%2Fb/c", "a/b|c", "{}" },
    { "/K%c3%BCste", "K\u00fcste", "{}" },
    { "/%F0%9F%A7%B5", "\U0001f9f5", "{}" },
    { "/%25", "%", "{}" },
    { "/%2525", "%25", "{}" },
    { "/...", "...", "{}" },
    { "/a?", "a", "{}" },
    { "/a?b", "a", "{\"b\":\"\"}" },
    { "/a?b=", "a", "{\"b\":\"\"}" },
    { "/a?b=c=d", "a", "{\"b\":\"c=d\"}" },
    { "/a?b=1&&c=2&", "a", "{\"b\":\"1\",\"c\":\"2\"}" },
    { "/a?b=1&b=2&b=3", "a", "{\"b\":[\"1\",\"2\",\"3\"]}" },
    { "/a?b=x+y%2B%26", "a", "{\"b\":\"x y+&\"}" },
    { "/a?b=/../x?y", "a", "{\"b\":\"/../x?y\"}" },
    { "", NULL, NULL },
    { "*", NULL, NULL },
    { "a", NULL, NULL },
    { "http://localhost/", NULL, NULL },
    { "/%", NULL, NULL },
    { "/%2", NULL, NULL },
    { "/%2?", NULL, NULL },
    { "/%2/f", NULL, NULL },
    { "/%g0", NULL, NULL },
    { "/%+1", NULL, NULL },
    { "/% 1", NULL, NULL },
    { "/%00", NULL, NULL },
    { "/a?b=%00", NULL, NULL },
    { "/a?%00", NULL, NULL },
    { "/%80", NULL, NULL },
    { "/%C3", NULL, NULL },
    { "/%C0%AF", NULL, NULL },
    { "/%ED%A0%80", NULL, NULL },
    { "/%F4%90%80%80", NULL, NULL },
    { "/%1B[31m", NULL, NULL },
    { "/%7F", NULL, NULL },
    { "/a b", NULL, NULL },
    { "/a\tb", NULL, NULL },
    { "/a#b", NULL, NULL },
    { "/\xc3\xbc", NULL, NULL },
    { "/.", NULL, NULL },
    { "/..", NULL, NULL },
    { "/a/../b", NULL, NULL },
    { "/a/%2e%2E", NULL, NULL },
    { "/a/.%2e/b", NULL, NULL },
};

static void targets_are_taken_apart_or_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_auto(web_target) target = { 0 };
        g_autoptr(GError) error = NULL;
        gboolean taken = web_target_parse(rows[i].raw, &target, &error);
        if (taken != (rows[i].path != NULL))
            fail_msg("%s: %s", rows[i].raw, taken ? "taken" : error->message);
        if (!taken) {
            assert_string_equal(motley_error_code(error), "web.target");
            assert_null(target.segments);
            continue;
        }
        g_autofree char *path = g_strjoinv("|", target.segments);
        char *query = json_dumps(target.query, JSON_COMPACT);
        if (strcmp(path, rows[i].path) != 0 || strcmp(query, rows[i].query) != 0)
            fail_msg("%s: %s %s", rows[i].raw, path, query);
        free(query);
    }
}

/* Whatever is in a name, it comes back as it was when the client escapes it. */
static void what_is_escaped_comes_back(void **state)
{
    (void)state;
    g_autoptr(GRand) random = g_rand_new_with_seed(5);
    for (int i = 0; i < 2000; i++) {
        g_autoptr(GString) name = g_string_new("x");
        for (int n = g_rand_int_range(random, 0, 12); n > 0; n--) {
            gunichar c = (gunichar)g_rand_int_range(random, 0x20, 0x2fff);
            if (c != 0x7f)
                g_string_append_unichar(name, c);
        }
        g_autofree char *escaped = g_uri_escape_string(name->str, NULL, FALSE);
        g_autofree char *raw = g_strdup_printf("/q/%s?n=%s", escaped, escaped);
        g_auto(web_target) target = { 0 };
        assert_true(web_target_parse(raw, &target, NULL));
        assert_string_equal(target.segments[1], name->str);
        assert_string_equal(json_string_value(json_object_get(target.query, "n")),
                            name->str);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(targets_are_taken_apart_or_refused),
        cmocka_unit_test(what_is_escaped_comes_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
