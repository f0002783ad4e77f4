#include "server_fixture.h"

#include "base/error.h"

#include <unistd.h>

/* Requests as they are sent; PORT stands for the server's port. */
static const struct {
    const char *what, *text;
    int status;
    const char *code;
} refusals[] = {
    { "two Hosts",
      "GET /api/basket HTTP/1.1\r\nHost: localhost\r\nHost: localhost\r\n\r\n", 400,
      "web.headers" },
    { "no Host", "GET /api/basket HTTP/1.1\r\n\r\n", 400, "web.headers" },
    { "two lengths",
      "POST /api/undo HTTP/1.1\r\nHost: localhost\r\nContent-Length: 2\r\n"
      "Content-Length: 2\r\n\r\n{}",
      400, "web.headers" },
    { "both kinds of length",
      "POST /api/undo HTTP/1.1\r\nHost: localhost\r\nContent-Length: 2\r\n"
      "Transfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n",
      400, "web.headers" },
    { "a body in chunks",
      "POST /api/undo HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\n"
      "2\r\n{}\r\n0\r\n\r\n",
      411, "web.length-required" },
    { "a photo without its length", "PUT /api/photos HTTP/1.1\r\nHost: localhost\r\n\r\n",
      411, "web.length-required" },
    { "a space before the colon",
      "GET /api/basket HTTP/1.1\r\nHost: localhost\r\nOrigin : http://x\r\n\r\n", 400,
      "web.headers" },
    { "a method that is no text",
      "\xff\x1b[2J /api/basket HTTP/1.1\r\nHost: localhost\r\nContent-Length: 0\r\n\r\n",
      400, "web.headers" },
    { "a key with a space",
      "POST /api/undo HTTP/1.1\r\nHost: localhost\r\nIdempotency-Key: a b\r\n\r\n", 400,
      "web.headers" },
    { "a key that was used",
      "POST /api/basket/add HTTP/1.1\r\nHost: localhost\r\n"
      "Idempotency-Key: sent-before\r\n\r\n",
      409, "store.sent-before" },
    { "an absolute target",
      "GET http://localhost/api/basket HTTP/1.1\r\nHost: localhost\r\n\r\n", 400,
      "web.target" },
    { "a target of an authority",
      "CONNECT localhost:80 HTTP/1.1\r\nHost: localhost\r\n\r\n", 400, "web.target" },
    { "the target *", "OPTIONS * HTTP/1.1\r\nHost: localhost\r\n\r\n", 400,
      "web.target" },
    { "%00", "GET /api/quilts/a%00b HTTP/1.1\r\nHost: localhost\r\n\r\n", 400,
      "web.target" },
    { "%00 in the query", "GET /api/plan?a=%00 HTTP/1.1\r\nHost: localhost\r\n\r\n", 400,
      "web.target" },
    { "half an escape", "GET /api/quilts/a%4 HTTP/1.1\r\nHost: localhost\r\n\r\n", 400,
      "web.target" },
    { "no UTF-8", "GET /api/quilts/%FF HTTP/1.1\r\nHost: localhost\r\n\r\n", 400,
      "web.target" },
    { "raw UTF-8", "GET /api/quilts/\xc3\xbc HTTP/1.1\r\nHost: localhost\r\n\r\n", 400,
      "web.target" },
    { "a line end in a name", "GET /api/quilts/a%0Ab HTTP/1.1\r\nHost: localhost\r\n\r\n",
      400, "web.target" },
    { "steps up", "GET /../etc/passwd HTTP/1.1\r\nHost: localhost\r\n\r\n", 400,
      "web.target" },
    { "escaped steps up", "GET /%2e%2e/etc/passwd HTTP/1.1\r\nHost: localhost\r\n\r\n",
      400, "web.target" },
    { "an unknown page", "GET /api/nothing HTTP/1.1\r\nHost: localhost\r\n\r\n", 404,
      "web.no-such-page" },
    { "a page too deep", "GET /api/basket/ HTTP/1.1\r\nHost: localhost\r\n\r\n", 404,
      "web.no-such-page" },
    { "a slash in a file's name",
      "GET /openapi.json/ HTTP/1.1\r\nHost: localhost\r\n\r\n", 404, "web.no-such-page" },
    { "an empty field", "GET /api/quilts//next HTTP/1.1\r\nHost: localhost\r\n\r\n", 404,
      "web.no-such-page" },
    { "a foreign Host", "GET /api/basket HTTP/1.1\r\nHost: evil.example:PORT\r\n\r\n",
      421, "web.host" },
    { "a Host with a user",
      "GET /api/basket HTTP/1.1\r\nHost: localhost@evil.example\r\n\r\n", 421,
      "web.host" },
    { "a Host with a tail",
      "GET /api/basket HTTP/1.1\r\nHost: localhost.evil.example\r\n\r\n", 421,
      "web.host" },
    { "a foreign Host for the page", "GET / HTTP/1.1\r\nHost: evil.example\r\n\r\n", 421,
      "web.host" },
    { "an unreadable body",
      "POST /api/undo HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
      "Content-Length: 2\r\n\r\n{x",
      400, "web.body-unreadable" },
    { "a body that is no object",
      "POST /api/undo HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
      "Content-Length: 2\r\n\r\n[]",
      400, "web.body-unreadable" },
    { "a name twice in a body",
      "POST /api/undo HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
      "Content-Length: 13\r\n\r\n{\"a\":1,\"a\":2}",
      400, "web.body-unreadable" },
    { "a file of the server",
      "POST /api/cut HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
      "Content-Length: 25\r\n\r\n{\"outline\":\"/etc/passwd\"}",
      400, "web.file-named" },
    { "a file of the server in the query",
      "POST /api/cut?outline=/etc/passwd HTTP/1.1\r\nHost: localhost\r\n"
      "Content-Length: 0\r\n\r\n",
      400, "web.file-named" },
    { "a form",
      "POST /api/undo HTTP/1.1\r\nHost: localhost\r\n"
      "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 3\r\n\r\na=1",
      415, "web.body-type" },
    { "plain text",
      "POST /api/undo HTTP/1.1\r\nHost: localhost\r\nContent-Type: text/plain\r\n"
      "Content-Length: 2\r\n\r\n{}",
      415, "web.body-type" },
    { "a photo of another type",
      "PUT /api/photos HTTP/1.1\r\nHost: localhost\r\nContent-Type: image/heic\r\n"
      "Content-Length: 2\r\n\r\nxx",
      415, "web.body-type" },
    { "a foreign Origin",
      "POST /api/undo HTTP/1.1\r\nHost: localhost:PORT\r\nOrigin: http://evil.example\r\n"
      "Content-Length: 0\r\n\r\n",
      403, "web.origin" },
    { "an Origin of another port",
      "POST /api/undo HTTP/1.1\r\nHost: localhost:PORT\r\nOrigin: http://localhost:1\r\n"
      "Content-Length: 0\r\n\r\n",
      403, "web.origin" },
    { "an Origin that hides",
      "POST /api/undo HTTP/1.1\r\nHost: localhost:PORT\r\nOrigin: null\r\n"
      "Content-Length: 0\r\n\r\n",
      403, "web.origin" },
    { "a foreign page without Origin",
      "POST /api/undo HTTP/1.1\r\nHost: localhost:PORT\r\nSec-Fetch-Site: cross-site\r\n"
      "Content-Length: 0\r\n\r\n",
      403, "web.origin" },
    { "a foreign page that reads",
      "GET /api/basket HTTP/1.1\r\nHost: localhost:PORT\r\nSec-Fetch-Site: cross-site\r\n"
      "Sec-Fetch-Mode: no-cors\r\n\r\n",
      403, "web.origin" },
    { "a foreign Origin with a body",
      "PUT /api/settings HTTP/1.1\r\nHost: localhost:PORT\r\nOrigin: "
      "http://evil.example\r\n"
      "Content-Type: application/json\r\nContent-Length: 2\r\n\r\n{}",
      403, "web.origin" },
    { "a job that is unknown",
      "GET /api/jobs/0123456789abcdef HTTP/1.1\r\nHost: localhost\r\n\r\n", 404,
      "web.no-such-job" },
};

static char *with_port(const char *text, int port)
{
    g_auto(GStrv) parts = g_strsplit(text, "PORT", -1);
    g_autofree char *number = g_strdup_printf("%d", port);
    return g_strjoinv(number, parts);
}

static void what_is_wrong_is_refused_with_its_code(void **state)
{
    fixture *f = *state;
    for (size_t i = 0; i < G_N_ELEMENTS(refusals); i++) {
        g_autofree char *text = with_port(refusals[i].text, f->port);
        g_auto(answer) a = client_ask(f->port, text);
        if (a.status != refusals[i].status)
            fail_msg("%s: %d %s", refusals[i].what, a.status, a.body);
        g_autofree char *code = answer_error_code(&a);
        if (g_strcmp0(code, refusals[i].code) != 0)
            fail_msg("%s: %s", refusals[i].what, a.body);
    }
}

static void what_is_right_is_let_through(void **state)
{
    fixture *f = *state;
    static const struct {
        const char *what, *text;
    } rows[] = {
        { "another own name",
          "GET /api/basket HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n\r\n" },
        { "a name in capitals",
          "GET /api/basket HTTP/1.1\r\nhost: LocalHost:PORT\r\n\r\n" },
        { "version 6", "GET /api/basket HTTP/1.1\r\nHost: [::1]:PORT\r\n\r\n" },
        { "a forwarded port", "GET /api/basket HTTP/1.1\r\nHost: localhost:9\r\n\r\n" },
        { "its own Origin",
          "POST /api/undo HTTP/1.1\r\nHost: localhost:PORT\r\n"
          "Origin: http://localhost:PORT\r\nContent-Length: 0\r\n\r\n" },
        { "its own page without Origin",
          "POST /api/undo HTTP/1.1\r\nHost: localhost:PORT\r\n"
          "Sec-Fetch-Site: same-origin\r\nContent-Length: 0\r\n\r\n" },
        { "a program of this machine",
          "POST /api/undo HTTP/1.1\r\nHost: localhost\r\nContent-Length: 0\r\n\r\n" },
        { "a link that is followed",
          "GET /api/basket HTTP/1.1\r\nHost: localhost\r\nSec-Fetch-Site: cross-site\r\n"
          "Sec-Fetch-Mode: navigate\r\n\r\n" },
        { "an address that is typed",
          "GET /api/basket HTTP/1.1\r\nHost: localhost\r\nSec-Fetch-Site: none\r\n\r\n" },
        { "a type with its charset",
          "POST /api/undo HTTP/1.1\r\nHost: localhost\r\nContent-Length: 2\r\n"
          "Content-Type: application/json; charset=utf-8\r\n\r\n{}" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autofree char *text = with_port(rows[i].text, f->port);
        g_auto(answer) a = client_ask(f->port, text);
        if (a.status != 200)
            fail_msg("%s: %d %s", rows[i].what, a.status, a.body);
    }
}

static void a_wrong_method_learns_the_right_ones(void **state)
{
    fixture *f = *state;
    static const struct {
        const char *line, *allow;
    } rows[] = {
        { "DELETE /api/basket", "GET, HEAD" },
        { "GET /api/undo", "POST" },
        { "PATCH /api/photos", "GET, HEAD, PUT" },
        { "POST /api/quilts/Tideline", "GET, HEAD, DELETE" },
        { "OPTIONS /api/cut", "POST" },
        { "POST /openapi.json", "GET, HEAD" },
        { "TRACE /api/book", "GET, HEAD" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_auto(answer) a = client_request(f->port, rows[i].line, NULL, NULL);
        g_autofree char *allow = answer_header(&a, "Allow");
        if (a.status != 405 || g_strcmp0(allow, rows[i].allow) != 0)
            fail_msg("%s: %d, Allow: %s", rows[i].line, a.status, allow);
    }
}

static void every_answer_is_guarded(void **state)
{
    fixture *f = *state;
    static const char *const lines[] = {
        "GET /openapi.json",
        "GET /api/basket",
        "GET /api/nothing",
        "GET /api/quilts/T/chart.svg",
        "GET /api/plan?fail=internal",
        "GET /api/print/chart.pdf",
        "DELETE /api/basket",
    };
    static const char *const wanted[][2] = {
        { "X-Content-Type-Options", "nosniff" },
        { "Referrer-Policy", "no-referrer" },
        { "Cross-Origin-Opener-Policy", "same-origin" },
        { "Cross-Origin-Resource-Policy", "same-origin" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(lines); i++) {
        g_auto(answer) a = client_request(f->port, lines[i], NULL, NULL);
        for (size_t j = 0; j < G_N_ELEMENTS(wanted); j++) {
            g_autofree char *value = answer_header(&a, wanted[j][0]);
            if (g_strcmp0(value, wanted[j][1]) != 0)
                fail_msg("%s: %s: %s", lines[i], wanted[j][0], value);
        }
        g_autofree char *policy = answer_header(&a, "Content-Security-Policy");
        if (policy == NULL || strstr(policy, "frame-ancestors 'none'") == NULL)
            fail_msg("%s: policy %s", lines[i], policy);
        g_autofree char *foreign = answer_header(&a, "Access-Control-Allow-Origin");
        assert_null(foreign);
    }
    g_auto(answer) a = client_request(f->port, "GET /api/basket", NULL, NULL);
    g_autofree char *policy = answer_header(&a, "Content-Security-Policy");
    assert_non_null(strstr(policy, "default-src 'none'; script-src 'self';"));
    assert_non_null(strstr(policy, "require-trusted-types-for 'script'"));
    assert_null(strstr(policy, "unsafe"));
}

static void a_refused_request_changes_nothing(void **state)
{
    fixture *f = *state;
    int64_t before = app_revision(f->app);
    g_auto(answer) a = client_request(f->port, "POST /api/basket/add",
                                      "Origin: http://evil.example\r\n", "");
    assert_int_equal(a.status, 403);
    assert_int_equal(app_revision(f->app), before);
    g_auto(answer) b = client_request(f->port, "POST /api/basket/add", NULL, "");
    assert_int_equal(b.status, 200);
    assert_int_equal(app_revision(f->app), before + 1);
}

/* What is no HTTP at all may be answered or not, but the server lives on. */
static void garbage_does_no_harm(void **state)
{
    fixture *f = *state;
    g_autoptr(GRand) random = g_rand_new_with_seed(20);
    static const char *const pieces[] = {
        "GET ",
        "POST ",
        "/api/basket",
        " HTTP/1.1",
        "\r\n",
        "\r\n\r\n",
        "Host: ",
        "\n",
        "localhost",
        ":",
        "Content-Length",
        "-1",
        "%",
        "\xff",
        " ",
        "chunked",
        "PUT /api/photos",
        "?",
        "\t",
        "99999999999999999999",
        "{",
        "HTTP/9.9",
        "Expect: 100-continue",
    };
    for (int i = 0; i < 500; i++) {
        g_autoptr(GString) text = g_string_new(NULL);
        for (int n = g_rand_int_range(random, 1, 30); n > 0; n--) {
            if (g_rand_int_range(random, 0, 8) == 0)
                g_string_append_c(text, (char)g_rand_int_range(random, 0, 256));
            else
                g_string_append(
                    text, pieces[g_rand_int_range(random, 0, G_N_ELEMENTS(pieces))]);
        }
        int fd = client_connect(f->port);
        client_write(fd, text->str, text->len);
        close(fd);
    }
    /* Those of them that are still being closed may fill the house for a moment. */
    int status = 0;
    for (int tries = 0; status != 200 && tries < 100; tries++) {
        g_usleep(20 * 1000);
        g_auto(answer) a = client_request(f->port, "GET /api/basket", NULL, NULL);
        status = a.status;
    }
    assert_int_equal(status, 200);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_wrong_is_refused_with_its_code),
        cmocka_unit_test(what_is_right_is_let_through),
        cmocka_unit_test(a_wrong_method_learns_the_right_ones),
        cmocka_unit_test(every_answer_is_guarded),
        cmocka_unit_test(a_refused_request_changes_nothing),
        cmocka_unit_test(garbage_does_no_harm),
    };
    return cmocka_run_group_tests(tests, fixture_setup, fixture_teardown);
}
