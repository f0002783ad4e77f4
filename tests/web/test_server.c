#include "server_fixture.h"

#include "base/error.h"

#include <unistd.h>

static void an_action_answers_its_document(void **state)
{
    fixture *f = *state;
    g_auto(answer) a = client_request(f->port, "GET /api/basket", NULL, NULL);
    assert_int_equal(a.status, 200);
    assert_string_equal(a.body, "{\"squares\":100}");
    g_autofree char *type = answer_header(&a, "Content-Type");
    assert_string_equal(type, "application/json");
}

static void fields_come_from_body_query_and_path(void **state)
{
    fixture *f = *state;
    static const struct {
        const char *line, *body, *want;
    } rows[] = {
        { "GET /api/quilts/My%20quilt", NULL, "{\"asked\":{\"quilt\":\"My quilt\"}}" },
        { "GET /api/quilts/K%C3%BCste%2FMeer?count=2", NULL,
          "{\"asked\":{\"count\":\"2\",\"quilt\":\"K\u00fcste/Meer\"}}" },
        { "GET /api/plan?border=2+in&border=3in&design=a%2Bb", NULL,
          "{\"asked\":{\"border\":[\"2 in\",\"3in\"],\"design\":\"a+b\"}}" },
        { "POST /api/quilts", "{\"quilt\":\"Tideline\",\"across\":12}",
          "{\"asked\":{\"quilt\":\"Tideline\",\"across\":12}}" },
        { "POST /api/scraps/17/throw", "{\"scrap\":\"18\"}",
          "{\"asked\":{\"scrap\":\"17\"}}" },
        { "PUT /api/settings", "{\"unit\":2.5}", "{\"asked\":{\"unit\":2.5}}" },
        { "POST /api/undo", NULL, "{\"asked\":{}}" },
        { "POST /api/undo", "", "{\"asked\":{}}" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_auto(answer) a = client_request(
            f->port, rows[i].line, "Content-Type: application/json\r\n", rows[i].body);
        if (a.status != 200 || strcmp(a.body, rows[i].want) != 0)
            fail_msg("%s: %d %s, not %s", rows[i].line, a.status, a.body, rows[i].want);
    }
}

static void one_connection_serves_many_requests(void **state)
{
    fixture *f = *state;
    int fd = client_connect(f->port);
    for (int i = 0; i < 100; i++) {
        static const char text[] = "GET /api/basket HTTP/1.1\r\nHost: localhost\r\n\r\n";
        assert_true(client_write(fd, text, strlen(text)));
        g_auto(answer) a = client_read(fd, false);
        assert_int_equal(a.status, 200);
    }
    close(fd);
}

static void head_answers_as_get_without_its_body(void **state)
{
    fixture *f = *state;
    g_auto(answer) a = client_request(f->port, "HEAD /api/basket", NULL, NULL);
    assert_int_equal(a.status, 200);
    g_autofree char *length = answer_header(&a, "Content-Length");
    assert_string_equal(length, "15");
    assert_int_equal(a.size, 0);
}

static void errors_of_actions_have_their_status(void **state)
{
    fixture *f = *state;
    static const struct {
        const char *code;
        int status;
    } rows[] = {
        { "usage", 400 },
        { "length.unreadable", 400 },
        { "app.no-quilt", 404 },
        { "design.unknown", 404 },
        { "app.basket-short", 409 },
        { "cancelled", 409 },
        { "photo.no-card", 422 },
        { "internal", 500 },
        { "file.unwritable", 500 },
        { "store.no-book", 500 },
        { "store.damaged", 500 },
        { "store.busy", 503 },
        { "web.busy", 503 },
        { "store.full", 507 },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autofree char *line = g_strdup_printf("GET /api/plan?fail=%s", rows[i].code);
        g_auto(answer) a = client_request(f->port, line, NULL, NULL);
        g_autofree char *code = answer_error_code(&a);
        if (a.status != rows[i].status || g_strcmp0(code, rows[i].code) != 0)
            fail_msg("%s: %d %s", rows[i].code, a.status, a.body);
    }
}

static void pictures_are_known_again_until_the_book_changes(void **state)
{
    fixture *f = *state;
    static const char line[] = "GET /api/quilts/T/chart.svg";
    g_auto(answer) first = client_request(f->port, line, NULL, NULL);
    assert_int_equal(first.status, 200);
    assert_string_equal(first.body, "chart.shown");
    g_autofree char *etag = answer_header(&first, "ETag");
    assert_non_null(etag);
    g_autofree char *known = g_strdup_printf("If-None-Match: %s\r\n", etag);
    g_auto(answer) second = client_request(f->port, line, known, NULL);
    assert_int_equal(second.status, 304);
    fake_app_change(f->app);
    g_auto(answer) third = client_request(f->port, line, known, NULL);
    assert_int_equal(third.status, 200);
}

static void a_document_is_worked_out_once_until_the_book_changes(void **state)
{
    fixture *f = *state;
    g_auto(answer) first = client_request(f->port, "GET /api/basket", NULL, NULL);
    assert_int_equal(first.status, 200);
    int baskets = fake_app_baskets(f->app);
    g_auto(answer) again = client_request(f->port, "GET /api/basket", NULL, NULL);
    assert_string_equal(again.body, first.body);
    assert_int_equal(fake_app_baskets(f->app), baskets);
    g_auto(answer) other =
        client_request(f->port, "GET /api/basket?unit=5in", NULL, NULL);
    assert_int_equal(other.status, 200);
    assert_int_equal(fake_app_baskets(f->app), baskets + 1);

    g_autofree char *etag = answer_header(&first, "ETag");
    g_autofree char *known = g_strdup_printf("If-None-Match: %s\r\n", etag);
    g_auto(answer) same = client_request(f->port, "GET /api/basket", known, NULL);
    assert_int_equal(same.status, 304);

    g_auto(answer) add = client_request(f->port, "POST /api/basket/add", NULL, "");
    assert_int_equal(add.status, 200);
    g_auto(answer) changed = client_request(f->port, "GET /api/basket", known, NULL);
    assert_int_equal(changed.status, 200);
    assert_string_equal(changed.body, add.body);
    assert_string_not_equal(changed.body, first.body);

    baskets = fake_app_baskets(f->app);
    fake_app_change(f->app); /* by another program */
    g_auto(answer) after = client_request(f->port, "GET /api/basket", NULL, NULL);
    assert_int_equal(after.status, 200);
    assert_int_equal(fake_app_baskets(f->app), baskets + 1);
}

static void an_error_is_not_kept(void **state)
{
    fixture *f = *state;
    g_auto(answer) bad = client_request(f->port, "GET /api/plan?fail=usage", NULL, NULL);
    g_auto(answer) worse =
        client_request(f->port, "GET /api/plan?fail=usage", NULL, NULL);
    assert_int_equal(bad.status, 400);
    assert_int_equal(worse.status, 400);
}

static void a_sheet_is_waited_for(void **state)
{
    fixture *f = *state;
    g_auto(answer) a =
        client_request(f->port, "GET /api/print/chart.pdf?work_ms=100", NULL, NULL);
    assert_int_equal(a.status, 200);
    assert_string_equal(a.body, "chart.pdf");
    g_autofree char *type = answer_header(&a, "Content-Type");
    assert_string_equal(type, "application/pdf");
    g_auto(answer) none =
        client_request(f->port, "GET /api/print/nothing.pdf", NULL, NULL);
    assert_int_equal(none.status, 400);
}

static void two_servers_cannot_have_one_port(void **state)
{
    fixture *f = *state;
    web_options options = { .port = (uint16_t)f->port, .quiet = true };
    g_autoptr(GError) error = NULL;
    assert_null(web_server_start(f->app, &options, &error));
    assert_string_equal(motley_error_code(error), "web.port-in-use");
    assert_non_null(strstr(motley_error_hint(error), "--port"));
}

static void it_stops_while_clients_are_connected(void **state)
{
    (void)state;
    fixture *f = fixture_start(&web_limits_default, false);
    int events = client_connect(f->port);
    static const char text[] = "GET /api/events HTTP/1.1\r\nHost: localhost\r\n\r\n";
    assert_true(client_write(events, text, strlen(text)));
    g_autoptr(GString) seen = g_string_new(NULL);
    assert_true(client_wait_for(events, seen, "event: change"));
    int idle = client_connect(f->port);
    int sheet = client_connect(f->port);
    static const char wait[] =
        "GET /api/print/map.pdf?work_ms=60000 HTTP/1.1\r\nHost: localhost\r\n\r\n";
    assert_true(client_write(sheet, wait, strlen(wait)));
    while (fake_app_running(f->app) == 0)
        g_usleep(1000);
    gint64 began = g_get_monotonic_time();
    fixture_stop(f);
    assert_true(g_get_monotonic_time() - began < G_USEC_PER_SEC);
    close(events);
    close(idle);
    close(sheet);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_action_answers_its_document),
        cmocka_unit_test(fields_come_from_body_query_and_path),
        cmocka_unit_test(one_connection_serves_many_requests),
        cmocka_unit_test(head_answers_as_get_without_its_body),
        cmocka_unit_test(errors_of_actions_have_their_status),
        cmocka_unit_test(pictures_are_known_again_until_the_book_changes),
        cmocka_unit_test(a_document_is_worked_out_once_until_the_book_changes),
        cmocka_unit_test(an_error_is_not_kept),
        cmocka_unit_test(a_sheet_is_waited_for),
        cmocka_unit_test(two_servers_cannot_have_one_port),
        cmocka_unit_test(it_stops_while_clients_are_connected),
    };
    return cmocka_run_group_tests(tests, fixture_setup, fixture_teardown);
}
