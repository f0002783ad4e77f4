/* What the basket wants to become: the ranking follows what is there. */
#include "test.h"

#include "fixture.h"

#include <string.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

static const json_t *want_named(const json_t *wants, const char *design)
{
    size_t i;
    json_t *one;
    json_array_foreach (value_at(wants, "designs"), i, one)
        if (strcmp(text_at(one, "design"), design) == 0)
            return one;
    return NULL;
}

static double real_at(const json_t *document, const char *path)
{
    return json_number_value(value_at(document, path));
}

/* What is asked of the basket is what `plan` counts for that design at that size. */
static void what_is_asked_agrees_with_the_plan(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "basket.add", "{\"count\": 400, \"unit\": \"2in\"}"));
    g_autoptr(json_t) wants = does(self, "wants", "{\"unit\": \"2in\"}");
    size_t i;
    json_t *one;
    assert_true(json_array_size(value_at(wants, "designs")) > 5);
    json_array_foreach (value_at(wants, "designs"), i, one) {
        g_autoptr(json_t) plan = does(
            self, "plan",
            "{\"design\": \"%s\", \"across\": %lld, \"down\": %lld,"
            " \"unit\": \"2in\"}",
            text_at(one, "design"), number_at(one, "across"), number_at(one, "down"));
        if (json_array_size(value_at(plan, "triangles")) > 0)
            continue; /* told there by pairs */
        long long squares = 0;
        for (const char *role = "SLD"; *role != '\0'; role++) {
            const char key[2] = { *role, '\0' };
            squares +=
                json_integer_value(json_object_get(value_at(plan, "squares"), key));
        }
        assert_int_equal(number_at(one, "squares"), squares);
        /* It is about as large as was asked for: 60 x 72 in, up to a whole repeat. */
        assert_true(real_at(one, "finished_in.0") >= 60);
        assert_true(real_at(one, "finished_in.1") >= 72);
    }
}

/* More squares never make a design less covered; with none, none is. */
static void more_squares_cover_more(void **state)
{
    fixture *self = *state;
    double before = 0;
    for (int round = 0; round < 4; round++) {
        g_autoptr(json_t) wants = does(self, "wants", "{\"unit\": \"2in\"}");
        const json_t *one = want_named(wants, "checkerboard");
        double enough = one == NULL ? before : real_at(one, "enough");
        assert_true(enough >= before);
        if (round == 0)
            assert_float_equal(enough, 0, 0);
        before = enough;
        json_decref(does(self, "basket.add", "{\"count\": 500, \"unit\": \"2in\"}"));
    }
    assert_true(before > 0);
    refuses(self, "length.unreadable", "wants", "{\"size\": \"huge x huge\"}");
}

/* Merit falls from row to row. */
static void the_best_comes_first(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    g_autoptr(json_t) wants = does(self, "wants", "{}");
    double before = 1;
    size_t i;
    json_t *one;
    json_array_foreach (value_at(wants, "designs"), i, one) {
        assert_true(real_at(one, "merit") <= before);
        before = real_at(one, "merit");
    }
    assert_int_equal(number_at(wants, "light") + number_at(wants, "medium") +
                         number_at(wants, "dark"),
                     number_at(wants, "squares"));
    assert_true(json_array_size(value_at(wants, "backgrounds")) > 0);
}

/* Read at once or one by one, fabrics look the same, also when two are said to be one. */
static void fabrics_read_at_once_look_as_one_by_one(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    for (int round = 0; round < 2; round++) {
        g_autoptr(json_t) basket = does(self, "basket", "{}");
        size_t i;
        json_t *row;
        assert_true(json_array_size(value_at(basket, "fabrics")) > 10);
        json_array_foreach (value_at(basket, "fabrics"), i, row) {
            static const char *const fields[] = { "name", "value", "srgb", "swatch" };
            if (json_is_null(value_at(row, "fabric")))
                continue;
            g_autoptr(json_t) one =
                does(self, "fabric", "{\"fabric\": %lld}", number_at(row, "fabric"));
            for (size_t f = 0; f < G_N_ELEMENTS(fields); f++)
                assert_true(json_equal(json_object_get(row, fields[f]),
                                       json_object_get(one, fields[f])));
        }
        if (round == 0)
            json_decref(does(self, "fabric.same", "{\"fabric\": %lld, \"as\": %lld}",
                             number_at(basket, "fabrics.0.fabric"),
                             number_at(basket, "fabrics.1.fabric")));
    }
    /* And by what she looks for: every fabric that is found has it in its name or its
     * colours. */
    g_autoptr(json_t) found = does(self, "fabrics", "{\"find\": \"OAT\"}");
    assert_string_equal(text_at(found, "fabrics.0.name"), "oat");
}

/* The picture of a fabric, shown again, finds that fabric, whatever else there is. */
static void a_picture_of_a_fabric_finds_it(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    g_autofree char *file = g_build_filename(self->folder, "swatch.jpg", NULL);
    int tried = 0, right = 0;
    for (int id = 1; id <= 12; id++) {
        const char *type;
        GError *none = NULL;
        g_autoptr(json_t) request = json_pack("{s:i}", "fabric", id);
        const app_call call = { .request = request };
        g_autoptr(GBytes) jpeg =
            app_render(self->book, "swatch.jpg", &call, &type, &none);
        g_clear_error(&none);
        if (jpeg == NULL)
            continue;
        gsize size;
        const char *bytes = g_bytes_get_data(jpeg, &size);
        assert_true(g_file_set_contents(file, bytes, (gssize)size, NULL));
        g_autoptr(json_t) like =
            does(self, "fabrics.photo", "{\"photos\": [\"%s\"]}", file);
        tried++;
        right += number_at(like, "fabrics.0.fabric") == id;
        assert_true(real_at(like, "fabrics.0.alike") >= real_at(like, "fabrics.1.alike"));
    }
    assert_true(tried >= 10);
    /* Prints of one palette may stand first for each other; see colour/signature.h. */
    assert_true(right * 10 >= tried * 8);
    refuses(self, "app.field-missing", "fabrics.photo", "{}");
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)
    const struct CMUnitTest tests[] = {
        TEST(what_is_asked_agrees_with_the_plan),
        TEST(more_squares_cover_more),
        TEST(the_best_comes_first),
        TEST(a_picture_of_a_fabric_finds_it),
        TEST(fabrics_read_at_once_look_as_one_by_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
