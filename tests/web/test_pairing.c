#include "server_fixture.h"

#include "web/guesses-internal.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <sys/socket.h>
#include <unistd.h>

/* The first address of this machine in a network; 0 where it is in none. */
static in_addr_t network_address(void)
{
    in_addr_t found = 0;
    struct ifaddrs *all;
    assert_int_equal(getifaddrs(&all), 0);
    for (struct ifaddrs *one = all; one != NULL && found == 0; one = one->ifa_next)
        if (one->ifa_addr != NULL && one->ifa_addr->sa_family == AF_INET &&
            (one->ifa_flags & IFF_UP) && !(one->ifa_flags & IFF_LOOPBACK))
            found = ((struct sockaddr_in *)one->ifa_addr)->sin_addr.s_addr;
    freeifaddrs(all);
    return found;
}

static int setup(void **state)
{
    *state = fixture_start(&web_limits_default, true);
    client_address = network_address();
    client_token = NULL;
    return 0;
}

static int teardown(void **state)
{
    client_address = 0;
    return fixture_teardown(state);
}

static void skip_without_network(void)
{
    if (client_address == 0)
        skip();
}

static answer ask(const fixture *f, const char *line, const char *headers,
                  const char *body)
{
    char text[INET_ADDRSTRLEN];
    inet_ntop(AF_INET, &client_address, text, sizeof text);
    g_autofree char *length = body != NULL
                                  ? g_strdup_printf("Content-Type: application/json\r\n"
                                                    "Content-Length: %zu\r\n",
                                                    strlen(body))
                                  : NULL;
    g_autofree char *request = g_strdup_printf(
        "%s HTTP/1.1\r\nHost: %s:%d\r\nOrigin: http://%s:%d\r\n%s%s\r\n%s", line, text,
        f->port, text, f->port, headers != NULL ? headers : "",
        length != NULL ? length : "", body != NULL ? body : "");
    return client_ask(f->port, request);
}

static answer claim(const fixture *f, const char *code)
{
    g_autofree char *body = g_strdup_printf("{\"code\": \"%s\"}", code);
    return ask(f, "POST /api/pair/claim", NULL, body);
}

/* "motley_8766=..." of an answer, as it is sent back; free with g_free(). */
static char *cookie_of(const answer *a)
{
    g_autofree char *set = answer_header(a, "Set-Cookie");
    assert_non_null(set);
    assert_non_null(strstr(set, "HttpOnly"));
    assert_non_null(strstr(set, "SameSite=Strict"));
    char **parts = g_strsplit(set, ";", 2);
    char *cookie = g_strdup_printf("Cookie: other=1; %s\r\n", parts[0]);
    g_strfreev(parts);
    return cookie;
}

static void check_strange(const fixture *f)
{
    static const struct {
        const char *line, *body;
    } asked[] = {
        { "GET /", NULL },
        { "GET /main.js", NULL },
        { "GET /nothing", NULL },
        { "GET /api/basket", NULL },
        { "GET /api/events", NULL },
        { "POST /api/undo", "{}" },
        { "GET /api/nothing", NULL },
        { "GET /openapi.json", NULL },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(asked); i++) {
        g_auto(answer) a = ask(f, asked[i].line, NULL, asked[i].body);
        if (a.status != 401)
            fail_msg("%s: %d", asked[i].line, a.status);
        g_autofree char *challenge = answer_header(&a, "WWW-Authenticate");
        assert_non_null(challenge);
        if (strstr(asked[i].line, "/api/") != NULL) {
            g_autofree char *code = answer_error_code(&a);
            assert_string_equal(code, "web.not-paired");
        } else {
            assert_non_null(strstr(a.body, "motley pair"));
        }
    }
}

static void whoever_is_not_paired_gets_nothing_but_how_to_pair(void **state)
{
    skip_without_network();
    check_strange(*state);
}

/* Other people and their programs share the machine. */
static void nor_does_who_comes_from_this_machine(void **state)
{
    client_address = htonl(INADDR_LOOPBACK);
    check_strange(*state);
    fixture *f = *state;
    g_auto(answer) paired = claim(f, "right");
    assert_int_equal(paired.status, 200);
    g_autofree char *cookie = cookie_of(&paired);
    g_auto(answer) in = ask(f, "GET /api/basket", cookie, NULL);
    assert_int_equal(in.status, 200);
}

static void a_code_pairs_one_device_whose_token_only_it_knows(void **state)
{
    skip_without_network();
    fixture *f = *state;
    g_auto(answer) paired = claim(f, "right");
    assert_int_equal(paired.status, 200);
    g_autofree char *cookie = cookie_of(&paired);

    const char *token = strrchr(cookie, '=') + 1;
    assert_int_equal(strcspn(token, "\r"), 64); /* 256 bits */
    g_autofree char *digits = g_strndup(token, 64);
    json_t *document = answer_json(&paired);
    g_autofree char *hash = g_compute_checksum_for_string(G_CHECKSUM_SHA256, digits, -1);
    assert_string_equal(json_string_value(json_object_get(document, "hash")), hash);
    json_decref(document);

    g_auto(answer) in = ask(f, "GET /api/basket", cookie, NULL);
    assert_int_equal(in.status, 200);
    g_auto(answer) page = ask(f, "GET /", cookie, NULL);
    assert_int_equal(page.status, 200);
    g_autofree char *renewed =
        cookie_of(&page); /* for as long again, and only by the page */
    assert_string_equal(renewed, cookie);
    assert_null(answer_header(&in, "Set-Cookie"));
    g_auto(answer) script = ask(f, "GET /main.js", cookie, NULL);
    assert_int_equal(script.status, 200);
    assert_null(answer_header(&script, "Set-Cookie"));
    g_auto(answer) again = claim(f, "right");
    assert_int_equal(again.status, 403);
    char *last = strrchr(cookie, '\r') - 1;
    *last = *last == '0' ? '1' : '0';
    g_auto(answer) other = ask(f, "GET /api/basket", cookie, NULL);
    assert_int_equal(other.status, 401);
}

static void a_client_cannot_say_its_own_token(void **state)
{
    skip_without_network();
    fixture *f = *state;
    g_auto(answer) a = ask(f, "POST /api/pair/claim", NULL,
                           "{\"code\": \"right\", \"token_sha256\": \"00\"}");
    assert_int_equal(a.status, 200);
    json_t *document = answer_json(&a);
    assert_int_equal(strlen(json_string_value(json_object_get(document, "hash"))), 64);
    json_decref(document);
}

/* --- a network that is let in later --- */

static int setup_alone(void **state)
{
    *state = fixture_start(&web_limits_default, false);
    return 0;
}

/* A connection to this machine's address in the network; -1 where nobody listens there.
 */
static int connect_from_network(const fixture *f)
{
    struct sockaddr_in address = { .sin_family = AF_INET,
                                   .sin_port = htons((uint16_t)f->port),
                                   .sin_addr.s_addr = network_address() };
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    struct timeval patience = { .tv_sec = 5 };
    setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    if (connect(fd, (struct sockaddr *)&address, sizeof address) == 0)
        return fd;
    close(fd);
    return -1;
}

static void set_network(const fixture *f, const char *network)
{
    g_autofree char *body = g_strdup_printf("{\"network\": \"%s\"}", network);
    g_auto(answer) a = client_request(f->port, "PUT /api/settings",
                                      "Content-Type: application/json\r\n", body);
    assert_int_equal(a.status, 200);
}

static void the_network_is_let_in_and_shown_out_as_the_settings_say(void **state)
{
    fixture *f = *state;
    if (network_address() == 0)
        skip();
    static const char again[] = "GET /api/basket HTTP/1.1\r\nHost: localhost\r\n\r\n";
    int kept = client_connect(f->port);
    for (int round = 0; round < 5; round++) {
        assert_int_equal(connect_from_network(f), -1);
        set_network(f, "on");
        client_address = network_address();
        g_auto(answer) from_there = ask(f, "GET /api/basket", NULL, NULL);
        client_address = 0;
        assert_int_equal(from_there.status, 200);

        int stays = connect_from_network(f);
        assert_true(stays >= 0);
        assert_true(client_write(stays, "GET", 3));
        set_network(f, "off");
        char byte;
        assert_true(read(stays, &byte, 1) <= 0); /* shown out */
        close(stays);

        /* Who is here notices nothing. */
        assert_true(client_write(kept, again, strlen(again)));
        g_auto(answer) from_here = client_read(kept, false);
        assert_int_equal(from_here.status, 200);
    }
    close(kept);
}

static void of_a_thousand_guesses_ten_are_tried(void **state)
{
    skip_without_network();
    fixture *f = *state;
    int tried = 0;
    for (int i = 0; i < 1000; i++) {
        g_autofree char *code = g_strdup_printf("%032d", i);
        g_auto(answer) a = claim(f, code);
        assert_true(a.status == 403 || a.status == 429);
        tried += a.status == 403;
    }
    assert_int_equal(tried, WEB_GUESSES_EACH);
    g_auto(answer) right = claim(f, "right");
    assert_int_equal(right.status, 429);
}

static void guesses_are_counted_by_address_and_by_minute(void **state)
{
    (void)state;
    const gint64 second = G_USEC_PER_SEC;
    web_guesses *guesses = web_guesses_new();
    for (int i = 0; i < WEB_GUESSES_EACH; i++)
        web_guesses_wrong(guesses, "192.0.2.1", 100 * second);
    assert_false(web_guesses_may(guesses, "192.0.2.1", 159 * second));
    assert_true(web_guesses_may(guesses, "192.0.2.2", 159 * second));
    assert_true(web_guesses_may(guesses, "192.0.2.1", 160 * second));
    for (int i = 0; i < WEB_GUESSES_ALL; i++) {
        g_autofree char *address = g_strdup_printf("192.0.2.%d", i);
        web_guesses_wrong(guesses, address, 161 * second);
    }
    assert_false(web_guesses_may(guesses, "192.0.2.200", 162 * second));
    web_guesses_free(guesses);
}

#define WITH_SERVER(test) cmocka_unit_test_setup_teardown(test, setup, teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_SERVER(whoever_is_not_paired_gets_nothing_but_how_to_pair),
        WITH_SERVER(nor_does_who_comes_from_this_machine),
        WITH_SERVER(a_code_pairs_one_device_whose_token_only_it_knows),
        WITH_SERVER(a_client_cannot_say_its_own_token),
        WITH_SERVER(of_a_thousand_guesses_ten_are_tried),
        cmocka_unit_test_setup_teardown(
            the_network_is_let_in_and_shown_out_as_the_settings_say, setup_alone,
            teardown),
        cmocka_unit_test(guesses_are_counted_by_address_and_by_minute),
    };
    return cmocka_run_group_tests_name("web/pairing", tests, NULL, NULL);
}
