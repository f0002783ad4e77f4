/* Who is let in, and stays so whatever happens to the book. */
#include "test.h"

#include "fixture.h"

#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

/* A port that this program listens on: a code is made for no other. */
static int listener = -1;
static int port;

static int setup(void **state)
{
    struct sockaddr_in address = { .sin_family = AF_INET,
                                   .sin_addr.s_addr = htonl(INADDR_LOOPBACK) };
    socklen_t size = sizeof address;
    listener = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (bind(listener, (struct sockaddr *)&address, size) != 0 ||
        listen(listener, 1) != 0 ||
        getsockname(listener, (struct sockaddr *)&address, &size) != 0)
        return -1;
    port = ntohs(address.sin_port);
    return fixture_open(state);
}

static int teardown(void **state)
{
    close(listener);
    return fixture_close(state);
}

/* Free with g_free(). */
static char *offered(fixture *f, const char *serves)
{
    json_t *document = does(f, "open", "{\"port\": %d, \"serves\": %s}", port, serves);
    char *code = g_strdup(strrchr(text_at(document, "address"), '/') + 1);
    json_decref(document);
    return code;
}

static long long claimed(fixture *f, const char *code, const char *token)
{
    g_autofree char *hash = g_compute_checksum_for_string(G_CHECKSUM_SHA256, token, -1);
    json_t *document =
        does(f, "device.claim",
             "{\"code\": \"%s\", \"token_sha256\": \"%s\", \"name\": \"computer\"}", code,
             hash);
    long long device = number_at(document, "device");
    json_decref(document);
    return device;
}

static long long let_in(fixture *f, const char *token)
{
    g_autofree char *code = offered(f, "false");
    return claimed(f, code, token);
}

static void a_code_lets_in_one_device(void **state)
{
    fixture *f = *state;
    g_autofree char *code = offered(f, "false");
    assert_int_equal(strlen(code), 32); /* 128 bits */
    assert_int_equal(app_device_of(f->book, "one"), 0);
    long long device = claimed(f, code, "one");
    assert_true(device > 0);
    assert_int_equal(app_device_of(f->book, "one"), device);
    refuses(f, "app.pair-code", "device.claim",
            "{\"code\": \"%s\", \"token_sha256\": \"aa\"}", code);
    assert_int_equal(app_device_of(f->book, "two"), 0);
}

static void a_code_is_made_for_a_port_of_this_program_only(void **state)
{
    fixture *f = *state;
    close(listener);
    listener = -1;
    refuses(f, "app.not-serving", "open", "{\"port\": %d}", port);
}

static void a_copy_that_is_taken_back_lets_in_whom_the_book_let_in(void **state)
{
    fixture *f = *state;
    g_autofree char *copy = g_build_filename(f->folder, "copy.book", NULL);
    long long first = let_in(f, "first");
    json_decref(does(f, "backup", "{\"file\": \"%s\"}", copy));
    let_in(f, "later");
    json_decref(does(f, "device.drop", "{\"device\": %lld}", first));
    assert_int_equal(app_device_of(f->book, "first"), 0);
    json_decref(does(f, "restore", "{\"file\": \"%s\"}", copy));
    assert_int_equal(app_device_of(f->book, "first"), 0);
    assert_true(app_device_of(f->book, "later") > 0);
}

static void a_damaged_book_lets_its_maker_in_to_mend_it(void **state)
{
    fixture *f = *state;
    let_in(f, "before");
    app_close(f->book);
    g_autofree char *note = g_strconcat(f->path, ".damage", NULL);
    assert_true(
        g_file_set_contents(note, "a picture is not as it was written\n", -1, NULL));
    f->book = app_open(f->path, APP_OPEN_EXISTING, NULL);
    assert_non_null(f->book);
    assert_true(app_device_of(f->book, "before") > 0);
    /* A code of another program could not be taken. */
    refuses(f, "store.damaged", "open", "{\"port\": %d}", port);
    g_autofree char *code = offered(f, "true");
    assert_int_equal(claimed(f, code, "now"), APP_DEVICE_GUEST);
    assert_int_equal(app_device_of(f->book, "now"), APP_DEVICE_GUEST);
    refuses(f, "store.damaged", "device.claim",
            "{\"code\": \"%s\", \"token_sha256\": \"aa\"}", code);
}

#define TEST(test) cmocka_unit_test_setup_teardown(test, setup, teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_code_lets_in_one_device),
        TEST(a_code_is_made_for_a_port_of_this_program_only),
        TEST(a_copy_that_is_taken_back_lets_in_whom_the_book_let_in),
        TEST(a_damaged_book_lets_its_maker_in_to_mend_it),
    };
    return cmocka_run_group_tests_name("app/devices", tests, NULL, NULL);
}
