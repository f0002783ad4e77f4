#include "test.h"

#include "web/files-internal.h"
#include "web/guard-internal.h"
#include "web/memo-internal.h"
#include "web/route-internal.h"
#include "web/status-internal.h"

#include "base/error.h"

#include <gio/gio.h>

static void every_route_is_found_and_none_hides_another(void **state)
{
    (void)state;
    size_t count;
    const web_route *routes = web_routes(&count);
    assert_true(count > 40);
    for (size_t i = 0; i < count; i++) {
        /* A path with a value for each field. */
        g_autoptr(GRegex) field = g_regex_new("\\{[a-z]+\\}", 0, 0, NULL);
        g_autofree char *path =
            g_regex_replace_literal(field, routes[i].path, -1, 0, "value", 0, NULL);
        g_auto(GStrv) segments = g_strsplit(path + 1, "/", -1);
        json_t *fields = json_object();
        g_autofree char *allow = NULL;
        const web_route *found =
            web_route_find(routes[i].method, segments, fields, &allow);
        if (found != &routes[i])
            fail_msg("%s %s leads elsewhere", routes[i].method, routes[i].path);
        g_auto(GStrv) braces = g_strsplit(routes[i].path, "{", -1);
        assert_int_equal(json_object_size(fields), g_strv_length(braces) - 1);
        json_decref(fields);
    }
}

/* The description, as it is compiled in. Free with json_decref(). */
static json_t *description(void)
{
    web_files *files = web_files_new();
    char *path[] = { (char *)"openapi.json", NULL };
    gsize size;
    const char *text = g_bytes_get_data(web_files_find(files, path)->plain, &size);
    json_t *document = json_loadb(text, size, JSON_REJECT_DUPLICATES, NULL);
    web_files_free(files);
    assert_non_null(document);
    return document;
}

static void every_route_is_described_and_no_other(void **state)
{
    (void)state;
    json_t *document = description();
    json_t *paths = json_object_get(document, "paths");
    size_t count, described = 0;
    const web_route *routes = web_routes(&count);
    for (size_t i = 0; i < count; i++) {
        g_autofree char *method = g_ascii_strdown(routes[i].method, -1);
        json_t *path = json_object_get(paths, routes[i].path);
        if (json_object_get(path, method) == NULL)
            fail_msg("%s %s is not described", routes[i].method, routes[i].path);
    }
    const char *name;
    json_t *path;
    json_object_foreach (paths, name, path)
        described += json_object_size(path);
    assert_int_equal(described, count + 1); /* and itself */
    json_decref(document);
}

static void every_error_has_a_status_of_its_kind(void **state)
{
    (void)state;
    for (int code = 0; code < MOTLEY_ERROR_COUNT; code++) {
        g_autoptr(GError) error = g_error_new_literal(MOTLEY_ERROR, code, "what");
        unsigned status = web_status_of(error);
        if (status < 400 || status > 599)
            fail_msg("%s: %u", motley_error_code(error), status);
        /* What the asker did wrong is never called a fault of the server. */
        if (motley_error_exit_status(error) == 2 && status >= 500)
            fail_msg("%s: %u", motley_error_code(error), status);
    }
    g_autoptr(GError) foreign = g_error_new_literal(G_FILE_ERROR, 3, "what");
    assert_int_equal(web_status_of(foreign), 500);
}

static void hosts_are_known_by_their_whole_name(void **state)
{
    (void)state;
    static const char *const names[] = { "localhost", "127.0.0.1", "[::1]", "loft.local",
                                         NULL };
    static const struct {
        const char *host;
        bool known;
    } rows[] = {
        { "localhost", true },
        { "LOCALHOST:8766", true },
        { "127.0.0.1:1", true },
        { "[::1]:8766", true },
        { "[::1]", true },
        { "loft.local:8766", true },
        { "", false },
        { ":8766", false },
        { "localhost:", false },
        { "localhost:x", false },
        { "localhost:80:80", false },
        { "localhost ", false },
        { "localhost.", false },
        { "xlocalhost", false },
        { "localhost:999999", false },
        { "[::1", false },
        { "::1", false },
        { "[::1]x", false },
        { "loft", false },
        { "user@localhost", false },
        { "localhost/", false },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        web_asked asked = { .host = rows[i].host, .from_here = true };
        g_autoptr(GError) error = NULL;
        gboolean known = web_guard(&asked, names, &error);
        if (known != rows[i].known)
            fail_msg("%s is %sknown", rows[i].host, known ? "" : "not ");
    }
}

static GBytes *text_of(size_t size)
{
    return g_bytes_new_take(g_strnfill(size, 'x'), size);
}

static void what_is_kept_goes_with_its_stamp_and_stays_small(void **state)
{
    (void)state;
    web_memo *memo = web_memo_new();
    web_stamp now = { 7, 1 }, older = { 6, 1 }, newer = { 8, 1 }, tomorrow = { 7, 2 },
              unread = { 0, 1 };
    g_autoptr(GBytes) text = text_of(100);
    web_memo_put(memo, "a", now, text);
    g_autoptr(GBytes) kept = web_memo_get(memo, "a", now);
    assert_ptr_equal(kept, text);
    assert_null(web_memo_get(memo, "b", now));
    assert_null(web_memo_get(memo, "a", newer));
    assert_null(web_memo_get(memo, "a", tomorrow));
    web_memo_put(memo, "b", older, text);
    assert_null(web_memo_get(memo, "b", older));
    web_memo_put(memo, "c", unread, text);
    assert_null(web_memo_get(memo, "c", unread));
    web_memo_put(memo, "d", newer, text);
    assert_null(web_memo_get(memo, "a", now));

    g_autoptr(GBytes) huge = text_of(2 << 20);
    web_memo_put(memo, "huge", newer, huge);
    assert_null(web_memo_get(memo, "huge", newer));
    g_autoptr(GBytes) large = text_of(1000 * 1000);
    for (int i = 0; i < 100; i++) {
        g_autofree char *key = g_strdup_printf("large %d", i);
        web_memo_put(memo, key, newer, large);
    }
    int held = 0;
    for (int i = 0; i < 100; i++) {
        g_autofree char *key = g_strdup_printf("large %d", i);
        g_autoptr(GBytes) one = web_memo_get(memo, key, newer);
        held += one != NULL;
    }
    assert_true(held > 0 && held <= 4);
    web_memo_free(memo);
}

static GBytes *unpack(GBytes *packed)
{
    g_autoptr(GZlibDecompressor) gunzip =
        g_zlib_decompressor_new(G_ZLIB_COMPRESSOR_FORMAT_GZIP);
    g_autoptr(GInputStream) from = g_memory_input_stream_new_from_bytes(packed);
    g_autoptr(GInputStream) through =
        g_converter_input_stream_new(from, G_CONVERTER(gunzip));
    g_autoptr(GOutputStream) to = g_memory_output_stream_new_resizable();
    assert_true(g_output_stream_splice(to, through, G_OUTPUT_STREAM_SPLICE_CLOSE_TARGET,
                                       NULL, NULL) > 0);
    return g_memory_output_stream_steal_as_bytes(G_MEMORY_OUTPUT_STREAM(to));
}

static void a_packed_file_holds_what_the_plain_one_does(void **state)
{
    (void)state;
    web_files *files = web_files_new();
    char *path[] = { (char *)"openapi.json", NULL };
    const web_file *file = web_files_find(files, path);
    assert_non_null(file);
    assert_string_equal(file->type, "application/json");
    assert_non_null(file->gzip);
    g_autoptr(GBytes) unpacked = unpack(file->gzip);
    assert_true(g_bytes_equal(unpacked, file->plain));
    assert_true(g_bytes_get_size(file->gzip) < g_bytes_get_size(file->plain));
    assert_string_not_equal(file->etag, file->etag_gzip);
    char *missing[] = { (char *)"openapi.json.gz", NULL };
    assert_null(web_files_find(files, missing));
    web_files_free(files);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_route_is_found_and_none_hides_another),
        cmocka_unit_test(every_route_is_described_and_no_other),
        cmocka_unit_test(every_error_has_a_status_of_its_kind),
        cmocka_unit_test(hosts_are_known_by_their_whole_name),
        cmocka_unit_test(what_is_kept_goes_with_its_stamp_and_stays_small),
        cmocka_unit_test(a_packed_file_holds_what_the_plain_one_does),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
