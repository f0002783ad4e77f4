#include "server_fixture.h"

#include "base/error.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <unistd.h>

/* The usual limits with short times, so that the tests need not wait for long. */
static web_limits hasty(void)
{
    web_limits limits = web_limits_default;
    limits.idle_s = 1;
    limits.headers_us = 300 * 1000;
    limits.grace_us = 300 * 1000;
    return limits;
}

static int setup_hasty(void **state)
{
    web_limits limits = hasty();
    *state = fixture_start(&limits, false);
    return 0;
}

/* Sends the text over and over, a byte each 20 ms, until the other side closes. Returns
 * the seconds that it took; fails the test when it is never closed. */
static double drip(int fd, const char *text)
{
    gint64 began = g_get_monotonic_time();
    for (size_t i = 0;; i++) {
        double spent = (double)(g_get_monotonic_time() - began) / G_USEC_PER_SEC;
        if (!client_write(fd, &text[i % strlen(text)], 1))
            return spent;
        if (spent > 4)
            fail_msg("after %.1f s it was still listened to", spent);
        g_usleep(20 * 1000);
    }
}

static void headers_that_drip_are_cut_off(void **state)
{
    fixture *f = *state;
    int fd = client_connect(f->port);
    static const char start[] = "GET /api/basket HTTP/1.1\r\n";
    assert_true(client_write(fd, start, strlen(start)));
    double seconds = drip(fd, "X-Slow: yes\r\n");
    assert_true(seconds > 0.25 && seconds < 2.5);
    close(fd);
}

static void a_line_that_drips_is_cut_off(void **state)
{
    fixture *f = *state;
    int fd = client_connect(f->port);
    assert_true(drip(fd, "GETGETGET") < 2.5);
    close(fd);
}

static void a_second_request_that_drips_is_cut_off(void **state)
{
    fixture *f = *state;
    int fd = client_connect(f->port);
    static const char whole[] = "GET /api/basket HTTP/1.1\r\nHost: localhost\r\n\r\n";
    assert_true(client_write(fd, whole, strlen(whole)));
    g_auto(answer) a = client_read(fd, false);
    assert_int_equal(a.status, 200);
    double seconds = drip(fd, "G");
    assert_true(seconds > 1 && seconds < 3.5);
    close(fd);
}

static void a_body_that_drips_is_cut_off(void **state)
{
    fixture *f = *state;
    int fd = client_connect(f->port);
    static const char start[] =
        "PUT /api/photos?name=slow HTTP/1.1\r\nHost: localhost\r\n"
        "Content-Length: 1000000\r\n\r\n";
    assert_true(client_write(fd, start, strlen(start)));
    double seconds = drip(fd, "x");
    assert_true(seconds > 0.25 && seconds < 2.5);
    close(fd);
}

static void a_body_that_keeps_pace_is_taken(void **state)
{
    fixture *f = *state;
    int fd = client_connect(f->port);
    static const char start[] =
        "PUT /api/photos?name=fair HTTP/1.1\r\nHost: localhost\r\n"
        "Content-Length: 100000\r\n\r\n";
    assert_true(client_write(fd, start, strlen(start)));
    /* about 100 kB a second, where 16 are asked for */
    static const char piece[2000];
    for (int i = 0; i < 50; i++) {
        assert_true(client_write(fd, piece, sizeof piece));
        g_usleep(20 * 1000);
    }
    g_auto(answer) a = client_read(fd, false);
    assert_int_equal(a.status, 202);
    close(fd);
}

static void an_idle_connection_is_closed(void **state)
{
    fixture *f = *state;
    int fd = client_connect(f->port);
    gint64 began = g_get_monotonic_time();
    char byte;
    assert_int_equal(recv(fd, &byte, 1, 0), 0);
    assert_true(g_get_monotonic_time() - began < 4 * G_USEC_PER_SEC);
    close(fd);
}

/* The hang-up comes in one piece with the last bytes. */
static void who_hangs_up_in_mid_request_makes_room_at_once(void **state)
{
    (void)state;
    web_limits limits = web_limits_default;
    limits.patience_us = 60 * G_USEC_PER_SEC;
    fixture *f = fixture_start(&limits, false);
    static const char *const parts[] = {
        "GET /api/bas",
        "GET /api/basket HTTP/1.1\r\nHost: loc",
        "PUT /api/photos HTTP/1.1\r\nHost: localhost\r\nContent-Length: 9\r\n\r\n123",
    };
    for (int i = 0; i < 40; i++) {
        int fd = client_connect(f->port);
        const char *part = parts[i % G_N_ELEMENTS(parts)];
        client_write(fd, part, strlen(part));
        close(fd);
    }
    g_usleep(2 * G_USEC_PER_SEC);
    enum { PLACES = 100 }; /* more than would be free beside the forty */
    int fds[PLACES];
    for (size_t i = 0; i < G_N_ELEMENTS(fds); i++) {
        fds[i] = client_connect(f->port);
        static const char text[] = "GET /api/basket HTTP/1.1\r\nHost: localhost\r\n\r\n";
        client_write(fds[i], text, strlen(text));
        g_auto(answer) a = client_read(fds[i], false);
        assert_int_equal(a.status, 200);
    }
    for (size_t i = 0; i < G_N_ELEMENTS(fds); i++)
        close(fds[i]);
    fixture_stop(f);
}

/* Some clients close their side as soon as they have asked. */
static void who_has_said_all_may_close_its_side(void **state)
{
    fixture *f = *state;
    int fd = client_connect(f->port);
    static const char plain[] = "GET /api/basket HTTP/1.1\r\nHost: localhost\r\n\r\n";
    assert_true(client_write(fd, plain, strlen(plain)));
    shutdown(fd, SHUT_WR);
    g_auto(answer) a = client_read(fd, false);
    assert_int_equal(a.status, 200);
    close(fd);
}

static void too_many_connections_are_turned_away(void **state)
{
    (void)state;
    web_limits limits = web_limits_default;
    limits.from_here = 24;
    limits.patience_us = 60 * G_USEC_PER_SEC;
    fixture *f = fixture_start(&limits, false);
    int fds[24];
    static const char text[] = "GET /api/basket HTTP/1.1\r\nHost: localhost\r\n\r\n";
    for (size_t i = 0; i < G_N_ELEMENTS(fds); i++) {
        fds[i] = client_connect(f->port);
        assert_true(client_write(fds[i], text, strlen(text)));
        g_auto(answer) a = client_read(fds[i], false);
        assert_int_equal(a.status, 200);
    }
    int one_more = client_connect(f->port);
    g_auto(answer) a = client_read(one_more, false);
    assert_int_equal(a.status, 503);
    g_autofree char *code = answer_error_code(&a);
    assert_string_equal(code, "web.busy");
    close(one_more);

    for (size_t i = 0; i < G_N_ELEMENTS(fds); i++)
        close(fds[i]);
    int status = 0;
    for (int tries = 0; status != 200 && tries < 100; tries++) {
        g_usleep(20 * 1000);
        g_auto(answer) b = client_ask(f->port, text);
        status = b.status;
    }
    assert_int_equal(status, 200);
    fixture_stop(f);
}

/* Half of them in the middle of their headers, a quarter in a body, a quarter at rest
 * after an answer. */
static void crowd_in(int port, int fds[], int count)
{
    static const char *const parts[] = {
        "GET /api/basket HTTP/1.1\r\nHost: loc",
        "PUT /api/photos HTTP/1.1\r\nHost: localhost\r\nContent-Length: 9000\r\n\r\n1",
        "GET /api/bas",
        "GET /api/basket HTTP/1.1\r\nHost: localhost\r\n\r\n",
    };
    for (int i = 0; i < count; i++) {
        const char *part = parts[i % (int)G_N_ELEMENTS(parts)];
        fds[i] = client_connect(port);
        assert_true(client_write(fds[i], part, strlen(part)));
    }
}

static void sixty_four_slow_clients_leave_room_for_a_good_one(void **state)
{
    (void)state;
    fixture *f = fixture_start(&web_limits_default, false);
    int fds[64];
    crowd_in(f->port, fds, 64);
    for (int i = 0; i < 50; i++) {
        g_auto(answer) a = client_request(f->port, "GET /api/basket", NULL, NULL);
        assert_int_equal(a.status, 200);
    }
    for (int i = 0; i < 64; i++)
        close(fds[i]);
    fixture_stop(f);
}

static void at_a_full_door_the_slowest_make_room(void **state)
{
    (void)state;
    web_limits limits = web_limits_default;
    limits.from_here = 24;
    limits.patience_us = 100 * 1000;
    fixture *f = fixture_start(&limits, false);
    int fds[24];
    crowd_in(f->port, fds, 24);
    g_usleep(300 * 1000);
    for (int i = 0; i < 50; i++) {
        g_auto(answer) a = client_request(f->port, "GET /api/basket", NULL, NULL);
        assert_int_equal(a.status, 200);
    }
    for (int i = 0; i < 24; i++)
        close(fds[i]);
    fixture_stop(f);
}

/* An IPv4 address of this machine that is not loopback; false when it has none. */
static bool own_network_address(struct sockaddr_in *ret_address)
{
    struct ifaddrs *all;
    bool found = false;
    if (getifaddrs(&all) != 0)
        return false;
    for (struct ifaddrs *one = all; one != NULL; one = one->ifa_next)
        if (one->ifa_addr != NULL && one->ifa_addr->sa_family == AF_INET &&
            !(one->ifa_flags & IFF_LOOPBACK)) {
            memcpy(ret_address, one->ifa_addr, sizeof *ret_address);
            found = true;
        }
    freeifaddrs(all);
    return found;
}

static int connect_to(struct sockaddr_in address, int port)
{
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    struct timeval patience = { .tv_sec = 5 };
    setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    address.sin_port = htons((uint16_t)port);
    if (connect(fd, (struct sockaddr *)&address, sizeof address) == 0)
        return fd;
    close(fd);
    return -1;
}

static void the_network_is_served_only_when_asked_to(void **state)
{
    (void)state;
    struct sockaddr_in address = { 0 };
    if (!own_network_address(&address))
        skip();
    fixture *f = fixture_start(&web_limits_default, false);
    assert_int_equal(connect_to(address, f->port), -1);
    fixture_stop(f);
}

static answer ask_from_network(struct sockaddr_in address, int port, const char *line,
                               const char *headers)
{
    int fd = connect_to(address, port);
    assert_true(fd >= 0);
    g_autofree char *text = g_strdup_printf("%s HTTP/1.1\r\n%s\r\n", line, headers);
    client_write(fd, text, strlen(text));
    answer a = client_read(fd, false);
    close(fd);
    return a;
}

static void a_client_of_the_network_must_come_from_our_page(void **state)
{
    (void)state;
    struct sockaddr_in address = { 0 };
    if (!own_network_address(&address))
        skip();
    fixture *f = fixture_start(&web_limits_default, true);
    char text[INET_ADDRSTRLEN];
    inet_ntop(AF_INET, &address.sin_addr, text, sizeof text);
    g_autofree char *host = g_strdup_printf("%s:%d", text, f->port);
    g_autofree char *plain = g_strdup_printf("Host: %s\r\nContent-Length: 0\r\n", host);
    g_autofree char *own = g_strdup_printf("%sOrigin: http://%s\r\n", plain, host);
    client_token = NULL;
    g_auto(answer) get = ask_from_network(address, f->port, "GET /api/basket", plain);
    assert_int_equal(get.status, 401); /* it is not paired: see test_pairing.c */
    g_auto(answer) bare = ask_from_network(address, f->port, "POST /api/undo", plain);
    assert_int_equal(bare.status, 403);
    g_auto(answer) page = ask_from_network(address, f->port, "POST /api/undo", own);
    assert_int_equal(page.status, 401); /* from our page, and not paired */
    client_token = FAKE_APP_TOKEN;
    fixture_stop(f);
}

static void one_address_of_the_network_may_have_sixteen(void **state)
{
    (void)state;
    struct sockaddr_in address = { 0 };
    if (!own_network_address(&address))
        skip();
    web_limits limits = web_limits_default;
    limits.patience_us = 60 * G_USEC_PER_SEC;
    fixture *f = fixture_start(&limits, true);
    int fds[16];
    for (size_t i = 0; i < G_N_ELEMENTS(fds); i++)
        fds[i] = connect_to(address, f->port);
    int one_more = connect_to(address, f->port);
    g_auto(answer) a = client_read(one_more, false);
    assert_int_equal(a.status, 503);
    close(one_more);
    /* This machine's own page still comes in. */
    g_auto(answer) here = client_request(f->port, "GET /api/basket", NULL, NULL);
    assert_int_equal(here.status, 200);
    for (size_t i = 0; i < G_N_ELEMENTS(fds); i++)
        close(fds[i]);
    fixture_stop(f);
}

static void large_headers_are_refused(void **state)
{
    fixture *f = *state;
    static const struct {
        size_t size;
        int least, most; /* status; the library below answers for us when all is full */
    } rows[] = { { 20000, 200, 200 }, { 40000, 431, 431 }, { 200000, 413, 431 } };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autofree char *value = g_strnfill(rows[i].size, 'x');
        g_autofree char *header = g_strdup_printf("X-Large: %s\r\n", value);
        g_auto(answer) a = client_request(f->port, "GET /api/basket", header, NULL);
        if (a.status < rows[i].least || a.status > rows[i].most)
            fail_msg("%zu bytes: %d", rows[i].size, a.status);
    }
}

/* Sends a body of so many bytes, all 1, as far as it is taken. */
static answer send_body(int port, const char *line, const char *type, size_t size)
{
    int fd = client_connect(port);
    g_autofree char *start =
        g_strdup_printf("%s HTTP/1.1\r\nHost: localhost\r\nContent-Type: "
                        "%s\r\nContent-Length: %zu\r\n\r\n",
                        line, type, size);
    client_write(fd, start, strlen(start));
    g_autofree char *piece = g_malloc(1 << 16);
    memset(piece, 1, 1 << 16);
    for (size_t left = size; left > 0;) {
        size_t n = MIN(left, (size_t)1 << 16);
        if (!client_write(fd, piece, n))
            break;
        left -= n;
    }
    answer a = client_read(fd, false);
    close(fd);
    return a;
}

static void large_bodies_are_refused_and_the_client_learns_it(void **state)
{
    fixture *f = *state;
    static const struct {
        const char *line, *type;
        size_t size;
        int status;
    } rows[] = {
        { "POST /api/undo", "application/json", (1 << 20) + 1, 413 },
        { "PUT /api/photos", "image/jpeg", 33 << 20, 413 },
        { "PUT /api/photos", "image/jpeg", 60 << 20, 413 },
        { "PUT /api/photos", "image/heic", 5 << 20, 415 },
        { "PUT /api/photos", "image/jpeg", 32 << 20, 202 },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_auto(answer) a = send_body(f->port, rows[i].line, rows[i].type, rows[i].size);
        if (a.status != rows[i].status)
            fail_msg("%s of %zu bytes: %d", rows[i].line, rows[i].size, a.status);
    }
}

static void a_body_without_end_is_refused_at_once(void **state)
{
    fixture *f = *state;
    g_auto(answer) a =
        client_ask(f->port, "PUT /api/photos HTTP/1.1\r\nHost: localhost\r\n"
                            "Content-Length: 99999999999\r\n\r\n");
    assert_int_equal(a.status, 413);
    g_autofree char *connection = answer_header(&a, "Connection");
    assert_true(g_ascii_strcasecmp(connection, "close") == 0);
}

static void who_waits_for_leave_to_send_gets_it_or_learns_why_not(void **state)
{
    fixture *f = *state;
    static const char good[] = "PUT /api/photos HTTP/1.1\r\nHost: localhost\r\n"
                               "Content-Length: 3\r\nExpect: 100-continue\r\n\r\n";
    int fd = client_connect(f->port);
    assert_true(client_write(fd, good, strlen(good)));
    g_autoptr(GString) seen = g_string_new(NULL);
    assert_true(client_wait_for(fd, seen, "HTTP/1.1 100 Continue\r\n\r\n"));
    assert_true(client_write(fd, "abc", 3));
    g_auto(answer) a = client_read(fd, false);
    assert_int_equal(a.status, 202);
    close(fd);

    g_auto(answer) b =
        client_ask(f->port, "PUT /api/photos HTTP/1.1\r\nHost: localhost\r\n"
                            "Content-Length: 50000000\r\n"
                            "Expect: 100-continue\r\n\r\n");
    assert_int_equal(b.status, 413);
}

static int count_files(const char *folder)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    int count = 0;
    while (g_dir_read_name(dir) != NULL)
        count++;
    return count;
}

static void a_photo_cut_short_leaves_no_file(void **state)
{
    (void)state;
    fixture *f = fixture_start(&web_limits_default, false);
    int fd = client_connect(f->port);
    static const char start[] = "PUT /api/photos HTTP/1.1\r\nHost: localhost\r\n"
                                "Content-Length: 1000\r\n\r\nonly so much";
    assert_true(client_write(fd, start, strlen(start)));
    for (int tries = 0; count_files(f->server->folder) == 0 && tries < 200; tries++)
        g_usleep(10 * 1000);
    assert_int_equal(count_files(f->server->folder), 1);
    close(fd);
    for (int tries = 0; count_files(f->server->folder) > 0 && tries < 200; tries++)
        g_usleep(10 * 1000);
    assert_int_equal(count_files(f->server->folder), 0);
    fixture_stop(f);
}

static void stopping_leaves_neither_files_nor_sockets(void **state)
{
    (void)state;
    int before = count_files("/proc/self/fd");
    fixture *f = fixture_start(&web_limits_default, false);
    g_autofree char *folder = g_strdup(f->server->folder);
    struct stat info;
    assert_int_equal(stat(folder, &info), 0);
    assert_int_equal(info.st_mode & 0777, 0700);
    g_auto(answer) a =
        send_body(f->port, "PUT /api/photos?work_ms=60000", "image/png", 5000);
    assert_int_equal(a.status, 202);
    int fd = client_connect(f->port);
    static const char start[] = "PUT /api/photos HTTP/1.1\r\nHost: localhost\r\n"
                                "Content-Length: 1000\r\n\r\nonly so much";
    assert_true(client_write(fd, start, strlen(start)));
    for (int tries = 0; count_files(folder) < 2 && tries < 200; tries++)
        g_usleep(10 * 1000);
    fixture_stop(f);
    close(fd);
    assert_int_not_equal(stat(folder, &info), 0);
    /* Fewer than before when the last test's connections have closed meanwhile. */
    assert_true(count_files("/proc/self/fd") <= before);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(headers_that_drip_are_cut_off),
        cmocka_unit_test(a_line_that_drips_is_cut_off),
        cmocka_unit_test(a_second_request_that_drips_is_cut_off),
        cmocka_unit_test(a_body_that_drips_is_cut_off),
        cmocka_unit_test(a_body_that_keeps_pace_is_taken),
        cmocka_unit_test(an_idle_connection_is_closed),
        cmocka_unit_test(who_hangs_up_in_mid_request_makes_room_at_once),
        cmocka_unit_test(who_has_said_all_may_close_its_side),
        cmocka_unit_test(too_many_connections_are_turned_away),
        cmocka_unit_test(sixty_four_slow_clients_leave_room_for_a_good_one),
        cmocka_unit_test(at_a_full_door_the_slowest_make_room),
        cmocka_unit_test(the_network_is_served_only_when_asked_to),
        cmocka_unit_test(a_client_of_the_network_must_come_from_our_page),
        cmocka_unit_test(one_address_of_the_network_may_have_sixteen),
        cmocka_unit_test(large_headers_are_refused),
        cmocka_unit_test(large_bodies_are_refused_and_the_client_learns_it),
        cmocka_unit_test(a_body_without_end_is_refused_at_once),
        cmocka_unit_test(who_waits_for_leave_to_send_gets_it_or_learns_why_not),
        cmocka_unit_test(a_photo_cut_short_leaves_no_file),
        cmocka_unit_test(stopping_leaves_neither_files_nor_sockets),
    };
    return cmocka_run_group_tests(tests, setup_hasty, fixture_teardown);
}
