#include "server_fixture.h"

#include "base/error.h"

#include <sys/stat.h>
#include <unistd.h>

/* Starts a job; returns its id, free with g_free(). */
static char *start_job(const fixture *f, const char *line, const char *type,
                       const char *body)
{
    g_autofree char *header = g_strdup_printf("Content-Type: %s\r\n", type);
    g_auto(answer) a = client_request(f->port, line, header, body);
    if (a.status != 202)
        fail_msg("%s: %d %s", line, a.status, a.body);
    json_t *document = answer_json(&a);
    char *id = g_strdup(json_string_value(json_object_get(document, "job")));
    json_decref(document);
    g_autofree char *location = answer_header(&a, "Location");
    g_autofree char *path = g_strconcat("/api/jobs/", id, NULL);
    assert_string_equal(location, path);
    return id;
}

static char *start_cut(const fixture *f, int work_ms)
{
    g_autofree char *body = g_strdup_printf("{\"work_ms\":\"%d\"}", work_ms);
    return start_job(f, "POST /api/cut", "application/json", body);
}

/* Free with json_decref(). */
static json_t *job_at(const fixture *f, const char *method, const char *id)
{
    g_autofree char *line = g_strdup_printf("%s /api/jobs/%s", method, id);
    g_auto(answer) a = client_request(f->port, line, NULL, NULL);
    if (a.status != 200)
        fail_msg("%s: %d %s", line, a.status, a.body);
    return answer_json(&a);
}

static bool is_in_state(const fixture *f, const char *id, const char *state)
{
    json_t *job = job_at(f, "GET", id);
    bool is = strcmp(json_string_value(json_object_get(job, "state")), state) == 0;
    json_decref(job);
    return is;
}

static void wait_for_state(const fixture *f, const char *id, const char *state)
{
    for (int tries = 0; !is_in_state(f, id, state); tries++) {
        if (tries == 1000)
            fail_msg("job %s never came to be %s", id, state);
        g_usleep(5 * 1000);
    }
}

static int follow(const fixture *f, const char *path)
{
    int fd = client_connect(f->port);
    g_autofree char *text =
        g_strdup_printf("GET %s HTTP/1.1\r\nHost: localhost\r\n\r\n", path);
    assert_true(client_write(fd, text, strlen(text)));
    return fd;
}

static void a_job_runs_and_keeps_its_result(void **state)
{
    fixture *f = *state;
    g_autofree char *id = start_cut(f, 30);
    wait_for_state(f, id, "done");
    json_t *job = job_at(f, "GET", id);
    assert_string_equal(json_string_value(json_object_get(job, "job")), id);
    assert_true(json_number_value(json_object_get(job, "done")) == 1);
    assert_string_equal(json_string_value(json_object_get(job, "doing")), "stitching");
    json_t *asked = json_object_get(json_object_get(job, "result"), "asked");
    assert_string_equal(json_string_value(json_object_get(asked, "work_ms")), "30");
    assert_null(json_object_get(job, "error"));
    json_decref(job);
}

static void a_job_that_fails_says_why(void **state)
{
    fixture *f = *state;
    g_autofree char *id = start_job(f, "POST /api/cut", "application/json",
                                    "{\"fail\":\"length.unreadable\"}");
    wait_for_state(f, id, "failed");
    json_t *job = job_at(f, "GET", id);
    json_t *error = json_object_get(job, "error");
    assert_string_equal(json_string_value(json_object_get(error, "code")),
                        "length.unreadable");
    assert_null(json_object_get(job, "result"));
    json_decref(job);
}

static void a_job_tells_how_it_gets_on(void **state)
{
    fixture *f = *state;
    g_autofree char *id = start_cut(f, 400);
    g_autofree char *path = g_strdup_printf("/api/jobs/%s/events", id);
    int fd = follow(f, path);
    g_auto(answer) a = client_read(fd, false); /* to its end */
    close(fd);
    assert_int_equal(a.status, 200);
    g_autofree char *type = answer_header(&a, "Content-Type");
    assert_string_equal(type, "text/event-stream");
    g_auto(GStrv) events = g_strsplit(a.body, "\n\n", -1);
    guint count = g_strv_length(events) - 1; /* the last is empty */
    assert_true(count >= 3);
    double before = 0;
    for (guint i = 0; i < count; i++) {
        const char *data = strstr(events[i], "\ndata: ");
        assert_non_null(data);
        json_t *job = json_loads(data + 7, 0, NULL);
        assert_non_null(job);
        double done = json_number_value(json_object_get(job, "done"));
        assert_true(done >= before);
        before = done;
        json_decref(job);
        assert_true(g_str_has_prefix(events[i], i < count - 1 ? "event: progress\n"
                                                              : "event: done\n"));
    }
    assert_true(before == 1);
}

static void the_events_of_a_job_that_is_over_are_its_end(void **state)
{
    fixture *f = *state;
    g_autofree char *id = start_cut(f, 0);
    wait_for_state(f, id, "done");
    g_autofree char *path = g_strdup_printf("/api/jobs/%s/events", id);
    int fd = follow(f, path);
    g_auto(answer) a = client_read(fd, false);
    close(fd);
    assert_true(g_str_has_prefix(a.body, "event: done\ndata: {"));
}

static void a_running_job_is_cancelled_at_once(void **state)
{
    fixture *f = *state;
    g_autofree char *id = start_cut(f, 60000);
    wait_for_state(f, id, "running");
    g_autofree char *path = g_strdup_printf("/api/jobs/%s/events", id);
    int fd = follow(f, path);
    g_autoptr(GString) seen = g_string_new(NULL);
    assert_true(client_wait_for(fd, seen, "event: progress"));

    gint64 began = g_get_monotonic_time();
    json_decref(job_at(f, "DELETE", id));
    assert_true(client_wait_for(fd, seen, "event: failed"));
    gint64 spent = g_get_monotonic_time() - began;
    close(fd);
    /* 20 ms by itself; more here for a machine that is busy with other tests */
    if (spent > 200 * 1000)
        fail_msg("%d ms", (int)(spent / 1000));
    json_t *job = job_at(f, "GET", id);
    assert_string_equal(json_string_value(json_object_get(job, "state")), "cancelled");
    assert_string_equal(
        json_string_value(json_object_get(json_object_get(job, "error"), "code")),
        "cancelled");
    json_decref(job);
    assert_int_equal(fake_app_running(f->app), 0);
}

static void what_waits_is_refused_beyond_measure_and_cancelled_unrun(void **state)
{
    fixture *f = *state;
    char *ids[34]; /* two that run, and all that may wait */
    for (size_t i = 0; i < 2; i++) {
        ids[i] = start_cut(f, 60000);
        wait_for_state(f, ids[i], "running");
    }
    for (size_t i = 2; i < G_N_ELEMENTS(ids); i++)
        ids[i] = start_cut(f, 60000);
    assert_true(is_in_state(f, ids[33], "waiting"));
    g_auto(answer) a = client_request(f->port, "POST /api/cut", NULL, "");
    assert_int_equal(a.status, 503);
    g_autofree char *code = answer_error_code(&a);
    assert_string_equal(code, "web.busy");

    for (size_t i = G_N_ELEMENTS(ids); i-- > 2;) {
        json_t *job = job_at(f, "DELETE", ids[i]);
        assert_string_equal(json_string_value(json_object_get(job, "state")),
                            "cancelled");
        json_decref(job);
    }
    assert_int_equal(fake_app_running(f->app), 2);
    for (size_t i = 0; i < 2; i++) {
        json_decref(job_at(f, "DELETE", ids[i]));
        wait_for_state(f, ids[i], "cancelled");
    }
    for (size_t i = 0; i < G_N_ELEMENTS(ids); i++)
        g_free(ids[i]);
}

static void cancelling_what_is_over_changes_nothing(void **state)
{
    fixture *f = *state;
    g_autofree char *id = start_cut(f, 0);
    wait_for_state(f, id, "done");
    json_decref(job_at(f, "DELETE", id));
    assert_true(is_in_state(f, id, "done"));
}

static void a_photo_is_measured_and_its_file_removed(void **state)
{
    fixture *f = *state;
    g_autofree char *id = start_job(
        f, "PUT /api/photos?name=Mein%20Tisch.jpg&source=Harbour&unit=2.5in&work_ms=300",
        "image/jpeg", "not quite a picture");
    wait_for_state(f, id, "running");
    g_autoptr(GDir) dir = g_dir_open(f->server->folder, 0, NULL);
    const char *name = g_dir_read_name(dir);
    assert_non_null(name);
    g_autofree char *path = g_build_filename(f->server->folder, name, NULL);
    struct stat info;
    assert_int_equal(stat(path, &info), 0);
    assert_int_equal(info.st_mode & 0777, 0600);

    wait_for_state(f, id, "done");
    assert_int_not_equal(stat(path, &info), 0);
    json_t *job = job_at(f, "GET", id);
    json_t *result = json_object_get(job, "result");
    assert_int_equal(json_integer_value(json_object_get(result, "bytes")), 19);
    json_t *asked = json_object_get(result, "asked");
    g_autofree char *want = g_strdup_printf(
        "{\"keep\":true,\"names\":[\"Mein Tisch.jpg\"],\"photos\":[\"%s\"],"
        "\"source\":\"Harbour\",\"unit\":\"2.5in\",\"work_ms\":\"300\"}",
        path);
    char *got = json_dumps(asked, JSON_COMPACT | JSON_SORT_KEYS);
    assert_string_equal(got, want);
    free(got);
    json_decref(job);
}

static void a_sheet_that_nobody_waits_for_is_not_drawn_on(void **state)
{
    fixture *f = *state;
    int fd = follow(f, "/api/print/map.pdf?work_ms=60000");
    for (int tries = 0; fake_app_running(f->app) == 0 && tries < 1000; tries++)
        g_usleep(5 * 1000);
    assert_int_equal(fake_app_running(f->app), 1);
    close(fd);
    for (int tries = 0; fake_app_running(f->app) > 0 && tries < 400; tries++)
        g_usleep(5 * 1000);
    assert_int_equal(fake_app_running(f->app), 0);
}

static void clients_who_leave_without_a_word_make_room(void **state)
{
    fixture *f = *state;
    int fds[40];
    for (size_t i = 0; i < G_N_ELEMENTS(fds); i++) {
        fds[i] = follow(f, "/api/events");
        g_autoptr(GString) seen = g_string_new(NULL);
        assert_true(client_wait_for(fds[i], seen, "event: change"));
    }
    /* As many clients as hang on events, no thread is held: work is done all the same. */
    g_auto(answer) a = client_request(f->port, "GET /api/basket", NULL, NULL);
    assert_int_equal(a.status, 200);
    for (size_t i = 0; i < G_N_ELEMENTS(fds); i++)
        close(fds[i]);
    for (int tries = 0; web_hall_sweep(f->server->hall, G_USEC_PER_SEC) > 0; tries++) {
        if (tries == 300)
            fail_msg("seats are still held");
        g_usleep(10 * 1000);
    }
}

static void own_changes_are_told_at_once_and_those_of_others_soon(void **state)
{
    fixture *f = *state;
    int fd = follow(f, "/api/events");
    g_autoptr(GString) seen = g_string_new(NULL);
    g_autofree char *now = g_strdup_printf("event: change\ndata: {\"revision\":%d}\n\n",
                                           (int)app_revision(f->app));
    assert_true(client_wait_for(fd, seen, now));

    gint64 began = g_get_monotonic_time();
    g_auto(answer) a = client_request(f->port, "POST /api/basket/add", NULL, "");
    assert_int_equal(a.status, 200);
    g_autofree char *own =
        g_strdup_printf("{\"revision\":%d}", (int)app_revision(f->app));
    assert_true(client_wait_for(fd, seen, own));
    assert_true(g_get_monotonic_time() - began < 300 * 1000);

    fake_app_change(f->app);
    began = g_get_monotonic_time();
    g_autofree char *other =
        g_strdup_printf("{\"revision\":%d}", (int)app_revision(f->app));
    assert_true(client_wait_for(fd, seen, other));
    assert_true(g_get_monotonic_time() - began < 1000 * 1000);
    close(fd);
}

static void a_silent_stream_says_that_it_lives(void **state)
{
    fixture *f = *state;
    int fd = follow(f, "/api/events");
    g_autoptr(GString) seen = g_string_new(NULL);
    assert_true(client_wait_for(fd, seen, "event: change"));
    g_usleep(50 * 1000); /* until it is suspended again */
    web_hall_sweep(f->server->hall, 0);
    assert_true(client_wait_for(fd, seen, ":\n\n"));
    close(fd);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_job_runs_and_keeps_its_result),
        cmocka_unit_test(a_job_that_fails_says_why),
        cmocka_unit_test(a_job_tells_how_it_gets_on),
        cmocka_unit_test(the_events_of_a_job_that_is_over_are_its_end),
        cmocka_unit_test(a_running_job_is_cancelled_at_once),
        cmocka_unit_test(what_waits_is_refused_beyond_measure_and_cancelled_unrun),
        cmocka_unit_test(cancelling_what_is_over_changes_nothing),
        cmocka_unit_test(a_photo_is_measured_and_its_file_removed),
        cmocka_unit_test(a_sheet_that_nobody_waits_for_is_not_drawn_on),
        cmocka_unit_test(clients_who_leave_without_a_word_make_room),
        cmocka_unit_test(own_changes_are_told_at_once_and_those_of_others_soon),
        cmocka_unit_test(a_silent_stream_says_that_it_lives),
    };
    return cmocka_run_group_tests(tests, fixture_setup, fixture_teardown);
}
