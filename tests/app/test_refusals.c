/* Everything may be wrong: each is refused with its own code, and nothing changes. */
#include "test.h"

#include "fixture.h"

#include <fcntl.h>
#include <signal.h>
#include <sys/resource.h>
#include <unistd.h>

static const struct {
    const char *code, *action, *request;
} refused[] = {
    { "length.not-positive", "cut", "{\"rect\": \"4x4\", \"unit\": \"0\"}" },
    { "length.not-positive", "cut", "{\"rect\": \"4x4\", \"unit\": \"-1 in\"}" },
    { "length.unreadable", "cut", "{\"rect\": \"4x4\", \"unit\": \"2 1/0 in\"}" },
    { "length.unreadable", "cut", "{\"rect\": \"4xfour\"}" },
    { "app.field-wrong", "cut", "{\"rect\": \"4\"}" },
    { "scrap.outline-too-large", "cut", "{\"rect\": \"6 m x 1 m\"}" },
    { "scrap.outline-crosses", "cut",
      "{\"outline\": {\"outline_in\": [[0,0],[4,4],[4,0],[0,4]]}}" },
    { "scrap.outline-too-few", "cut", "{\"outline\": {\"outline_in\": [[0,0],[4,4]]}}" },
    { "scrap.hole-outside", "cut",
      "{\"outline\": {\"outline_in\": [[0,0],[4,0],[4,4]], \"holes_in\": "
      "[[[8,8],[9,8],[9,9]]]}}" },
    { "app.field-wrong", "cut", "{\"outline\": {\"outline_in\": [[0,0],[4],[4,4]]}}" },
    { "app.field-wrong", "cut",
      "{\"outline\": {\"outline_in\": [[0,0],[1e99,0],[4,4]]}}" },
    { "file.unreadable", "cut", "{\"outline\": \"/nowhere/at/all.json\"}" },
    { "app.no-scrap", "cut", "{\"scraps\": [99]}" },
    { "app.field-wrong", "cut", "{\"scraps\": [\"first\"]}" },
    { "app.field-wrong", "cut", "{\"rect\": \"4x4\", \"method\": \"tear\"}" },
    { "app.field-wrong", "cut", "{\"rect\": \"4x4\", \"angles\": \"any\"}" },
    { "design.unknown", "plan",
      "{\"design\": \"latice-chain\", \"across\": 2, \"down\": 2}" },
    { "quilt.size", "plan", "{\"design\": \"nine-patch\", \"across\": 0, \"down\": 0}" },
    { "quilt.size", "plan",
      "{\"design\": \"nine-patch\", \"across\": 10000, \"down\": 10000}" },
    { "app.field-wrong", "plan",
      "{\"design\": \"nine-patch\", \"across\": 1e99, \"down\": 2}" },
    { "app.field-missing", "plan", "{\"design\": \"nine-patch\"}" },
    { "app.field-missing", "plan", "{}" },
    { "quilt.bed-unknown", "plan",
      "{\"design\": \"nine-patch\", \"cover\": \"bed:giant:us\"}" },
    { "app.field-wrong", "plan",
      "{\"design\": \"nine-patch\", \"cover\": \"the sofa\"}" },
    { "length.not-positive", "plan",
      "{\"design\": \"nine-patch\", \"cover\": \"bed:queen:us\", \"drop\": \"-12in\"}" },
    { "quilt.measure", "plan",
      "{\"design\": \"nine-patch\", \"across\": 2, \"down\": 2, \"unit\": \"1/2 in\"}" },
    { "quilt.cloth-too-narrow", "buy",
      "{\"design\": \"nine-patch\", \"across\": 2, \"down\": 2, \"width_of_fabric\": "
      "\"1in\"}" },
    { "app.no-quilt", "quilt", "{\"quilt\": \"Nothing\"}" },
    { "app.no-quilt", "next", "{\"quilt\": \"Nothing\"}" },
    { "app.field-missing", "quilt", "{}" },
    { "app.field-missing", "basket.add", "{}" },
    { "app.field-wrong", "basket.add", "{\"count\": 0}" },
    { "app.field-wrong", "basket.add", "{\"count\": \"many\"}" },
    { "app.no-fabric", "basket.add", "{\"count\": 1, \"fabric\": 12}" },
    { "app.basket-short", "basket.take", "{\"count\": 1}" },
    { "store.nothing-to-undo", "undo", "{}" },
    { "store.nothing-to-redo", "redo", "{}" },
    { "app.no-photo", "photo", "{\"photo\": 3}" },
    { "app.no-scrap", "scrap.throw", "{\"scrap\": 3}" },
    { "app.no-fabric", "fabric", "{\"fabric\": 3}" },
    { "app.field-wrong", "settings.change", "{\"system\": \"cubits\"}" },
    { "app.field-wrong", "settings.change", "{\"unit\": \"4 m\"}" },
    { "app.no-sheet", "print", "{\"what\": \"banner\", \"output\": \"/tmp/x.pdf\"}" },
    { "draw.paper-unknown", "print",
      "{\"what\": \"card\", \"paper\": \"a7\", \"output\": \"/tmp/x.pdf\"}" },
    { "file.unwritable", "print",
      "{\"what\": \"card\", \"output\": \"/nowhere/x.pdf\"}" },
    { "file.unreadable", "measure", "{\"photos\": [\"/nowhere/at/all.jpg\"]}" },
    { "app.field-missing", "measure", "{}" },
};

static void what_cannot_be_is_refused_by_its_code(void **state)
{
    for (size_t i = 0; i < G_N_ELEMENTS(refused); i++)
        refuses(*state, refused[i].code, refused[i].action, "%s", refused[i].request);
}

/* A figure of the error's message must name the nearest designs. */
static void a_misspelt_design_is_told_its_nearest(void **state)
{
    fixture *self = *state;
    json_t *document = NULL;
    g_autoptr(GError) error = NULL;
    json_t *request = json_pack("{s:s}", "design", "latice-chain");
    app_call call = { .request = request };
    assert_false(app_action_find("design")->run(self->book, &call, &document, &error));
    assert_non_null(strstr(error->message, "lattice-chain"));
    json_decref(request);
}

/* Writes bytes into a file of the fixture's folder; free the path with g_free(). */
static char *file_of(fixture *self, const char *name, const char *bytes, gssize size)
{
    char *path = g_build_filename(self->folder, name, NULL);
    assert_true(g_file_set_contents(path, bytes, size, NULL));
    return path;
}

static void what_is_no_photo_is_refused(void **state)
{
    fixture *self = *state;
    g_autofree char *empty = file_of(self, "empty.jpg", "", 0);
    g_autofree char *text = file_of(self, "text.jpg", "not a picture at all", -1);
    refuses(self, "photo.empty-file", "measure", "{\"photos\": [\"%s\"]}", empty);
    refuses(self, "photo.not-a-picture", "measure",
            "{\"photos\": [\"%s\"], \"keep\": true}", text);
    refuses(self, "photo.no-card", "measure", "{\"photos\": [\"%s\"], \"keep\": true}",
            TEST_PHOTOS "/plain.png");
}

static void one_bad_photo_of_two_keeps_the_other(void **state)
{
    fixture *self = *state;
    g_autofree char *text = file_of(self, "text.jpg", "not a picture at all", -1);
    json_t *document =
        does(self, "measure", "{\"photos\": [\"%s\", \"%s\"], \"keep\": true}", text,
             TEST_PHOTOS "/scraps-1.jpg");
    assert_string_equal(text_at(document, "photos.0.error.code"), "photo.not-a-picture");
    assert_int_equal(json_array_size(value_at(document, "photos.1.scraps")), 16);
    json_decref(document);
}

static const char *code_of_opening(const char *path)
{
    g_autoptr(GError) error = NULL;
    app *book = app_open(path, APP_OPEN_EXISTING, &error);
    app_close(book);
    return error == NULL ? "opened" : motley_error_code(error);
}

static void what_is_no_book_is_refused_and_left_alone(void **state)
{
    fixture *self = *state;
    g_autofree char *path = file_of(self, "no.book", "dear diary", -1);
    assert_string_equal(code_of_opening(path), "store.not-a-book");
    g_autofree char *left = NULL;
    assert_true(g_file_get_contents(path, &left, NULL, NULL));
    assert_string_equal(left, "dear diary");
    assert_string_equal(code_of_opening("/nowhere/at/all.book"), "store.no-book");
}

/* A file size limit stands for a full disk: the kernel refuses the write all the same. */
static void a_full_disk_loses_nothing(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "basket.add", "{\"count\": 10}"));
    signal(SIGXFSZ, SIG_IGN);
    struct rlimit before, tight;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    tight = before;
    tight.rlim_cur = 4096;
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &tight), 0);
    json_t *document = NULL, *request = json_pack("{s:i}", "count", 5);
    g_autoptr(GError) error = NULL;
    app_call call = { .request = request };
    gboolean done =
        app_action_find("basket.add")->run(self->book, &call, &document, &error);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    json_decref(request);
    assert_false(done);
    assert_string_equal(motley_error_code(error), "store.full");

    json_t *basket = does(self, "basket", "{}");
    assert_int_equal(number_at(basket, "squares"), 10);
    json_decref(basket);
    json_decref(does(self, "basket.add", "{\"count\": 5}"));
}

#define REFUSAL(name) cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        REFUSAL(what_cannot_be_is_refused_by_its_code),
        REFUSAL(a_misspelt_design_is_told_its_nearest),
        REFUSAL(what_is_no_photo_is_refused),
        REFUSAL(one_bad_photo_of_two_keeps_the_other),
        REFUSAL(what_is_no_book_is_refused_and_left_alone),
        REFUSAL(a_full_disk_loses_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
