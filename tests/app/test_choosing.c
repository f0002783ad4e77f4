/* Choosing: which background, and which designs take what is there already. */
#include "test.h"

#include "draw/scene.h"
#include "fixture.h"

#include <math.h>
#include <string.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

static double real_at(const json_t *document, const char *path)
{
    return json_number_value(value_at(document, path));
}

/* Squares that the rows of a list name. */
static long long squares_of(const json_t *list)
{
    size_t i;
    json_t *one;
    long long squares = 0;
    json_array_foreach (list, i, one)
        squares += json_integer_value(json_object_get(one, "squares"));
    return squares;
}

/* The law: the share that melts is that of the squares which are named; and the ranking
 * is by that share, fewest first. */
static void the_share_that_melts_is_of_the_squares_named(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    static const char *const requests[] = { "{\"count\": 42}",
                                            "{\"from\": \"fabrics\", \"count\": 100}" };
    for (size_t r = 0; r < G_N_ELEMENTS(requests); r++) {
        g_autoptr(json_t) ranked = does(self, "backgrounds", "%s", requests[r]);
        double all = (double)number_at(ranked, "squares"), before = 0;
        size_t i;
        json_t *one;
        int melting = 0;
        assert_true(json_array_size(value_at(ranked, "backgrounds")) > 20);
        json_array_foreach (value_at(ranked, "backgrounds"), i, one) {
            double share = real_at(one, "melting");
            assert_float_equal(share, (double)squares_of(value_at(one, "melt")) / all,
                               1e-9);
            assert_true(share >= before - 0.01);
            assert_int_equal(json_is_null(value_at(one, "fabric")), r == 0);
            melting += share > 0;
            before = share;
        }
        assert_true(melting > 3); /* else nothing was tried */
    }
}

/* Whoever goes to the shop for one of two dark teals knows which. */
static void no_two_solids_of_the_wheel_share_a_name(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    g_autoptr(json_t) ranked = does(self, "backgrounds", "{\"count\": 42}");
    g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
    size_t i;
    json_t *one;
    int greenish = 0;
    json_array_foreach (value_at(ranked, "backgrounds"), i, one) {
        assert_true(g_hash_table_add(seen, (gpointer)text_at(one, "name")));
        greenish += g_str_has_prefix(text_at(one, "name"), "greenish ");
    }
    assert_int_equal(i, 42);
    assert_true(greenish > 0); /* else nothing was told apart */
}

/* A fabric of the basket as its own background: at least its own squares are lost. */
static void a_fabric_melts_into_itself(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    g_autoptr(json_t) basket = does(self, "basket", "{}");
    int tried = 0;
    size_t i;
    json_t *row;
    json_array_foreach (value_at(basket, "fabrics"), i, row) {
        if (json_is_null(value_at(row, "fabric")) || number_at(row, "squares") <= 0)
            continue;
        long long fabric = number_at(row, "fabric");
        g_autoptr(json_t) one = does(self, "backgrounds", "{\"fabric\": %lld}", fabric);
        size_t k;
        json_t *lost;
        bool found = false;
        json_array_foreach (value_at(one, "backgrounds.0.melt"), k, lost)
            found |= number_at(lost, "fabric") == fabric;
        assert_true(found);
        assert_int_equal(json_array_size(value_at(one, "backgrounds")), 1);
        tried++;
    }
    assert_true(tried > 5);
}

/* Those that the basket names, without its figures; and of a colour only those. */
static void fabrics_of_the_basket_are_those_with_squares(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    g_autoptr(json_t) basket = does(self, "basket", "{}");
    g_autoptr(json_t) all = does(self, "fabrics", "{}");
    g_autoptr(json_t) here = does(self, "fabrics", "{\"basket\": true}");
    g_autoptr(json_t) few = does(self, "fabrics", "{\"basket\": true, \"limit\": 2}");
    g_autoptr(json_t) red =
        does(self, "fabrics", "{\"basket\": true, \"find\": \"red\"}");
    size_t squares = 0, i;
    json_t *row;
    json_array_foreach (value_at(basket, "fabrics"), i, row)
        squares +=
            !json_is_null(value_at(row, "fabric")) && number_at(row, "squares") > 0;
    size_t found = json_array_size(value_at(here, "fabrics"));
    assert_int_equal(found, squares);
    assert_true(found < json_array_size(value_at(all, "fabrics")));
    assert_int_equal(json_array_size(value_at(few, "fabrics")), 2);
    assert_in_range(json_array_size(value_at(red, "fabrics")), 1, found - 1);
}

/* Whoever chooses is shown what she used last; whoever pages is shown all, by id. */
static void fabrics_used_last_come_first_but_page_by_page_by_id(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    g_autoptr(json_t) oldest = does(self, "fabrics", "{\"after\": 0, \"limit\": 1000}");
    json_t *all = value_at(oldest, "fabrics"), *row;
    size_t i;
    long long before = 0;
    json_array_foreach (all, i, row) {
        assert_true(number_at(row, "fabric") > before);
        before = number_at(row, "fabric");
    }
    long long first = number_at(json_array_get(all, 0), "fabric");
    json_decref(does(self, "basket.add", "{\"count\": 3, \"fabric\": %lld}", first));
    static const char *const asked[] = { "{}", "{\"limit\": 2}", "{\"basket\": true}" };
    for (size_t k = 0; k < G_N_ELEMENTS(asked); k++) {
        g_autoptr(json_t) now = does(self, "fabrics", "%s", asked[k]);
        assert_int_equal(number_at(now, "fabrics.0.fabric"), first);
        if (k == 0)
            assert_int_equal(json_array_size(value_at(now, "fabrics")),
                             json_array_size(all));
    }
}

static char *photo_of(fixture *self, const draw_style *style)
{
    GError *error = NULL;
    g_autoptr(draw_scene) scene = draw_scene_new("cloth");
    draw_scene_add_page(scene, LENGTH_INCH, LENGTH_INCH);
    draw_scene_rect(scene, style, 0, 0, LENGTH_INCH, LENGTH_INCH);
    g_autoptr(GBytes) png = draw_scene_png(scene, 0, 200, &error);
    assert_null(error);
    gsize size;
    const char *bytes = g_bytes_get_data(png, &size);
    char *file = g_build_filename(self->folder, "cloth.png", NULL);
    assert_true(g_file_set_contents(file, bytes, (gssize)size, NULL));
    return file;
}

/* CIE 15: white is L* 100 and black L* 0, so that one lies 100 above the other against
 * any squares; and of a flat colour all of the photo is that colour. */
static void a_photographed_fabric_is_measured_as_it_is(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    double lighter[2];
    for (int white = 0; white < 2; white++) {
        const uint8_t level = white ? 255 : 0;
        draw_style style = { .fill = { .ink = DRAW_COLOUR,
                                       .colour = { level, level, level } } };
        g_autofree char *file = photo_of(self, &style);
        g_autoptr(json_t) seen =
            does(self, "backgrounds.photo", "{\"photos\": [\"%s\"]}", file);
        assert_int_equal(json_array_size(value_at(seen, "backgrounds")), 1);
        assert_true(json_is_null(value_at(seen, "backgrounds.0.fabric")));
        assert_float_equal(real_at(seen, "backgrounds.0.lab.0"), white ? 100 : 0, 0.01);
        lighter[white] = real_at(seen, "backgrounds.0.lighter");
    }
    assert_float_equal(lighter[1] - lighter[0], 100, 0.02);
    refuses(self, "app.field-missing", "backgrounds.photo", "{}");
    refuses(self, "app.field-wrong", "backgrounds", "{\"from\": \"moon\"}");
    refuses(self, "app.no-fabric", "backgrounds", "{\"fabric\": 9999}");
}

static void an_empty_basket_ranks_nothing(void **state)
{
    fixture *self = *state;
    refuses(self, "app.basket-empty", "backgrounds", "{}");
}

static const json_t *named(const json_t *list, const char *design)
{
    size_t i;
    json_t *one;
    json_array_foreach (list, i, one)
        if (strcmp(text_at(one, "design"), design) == 0)
            return one;
    fail_msg("%s is not listed", design);
    return NULL;
}

/* By hand, from the drawings: a friendship star has 1 square of scrap and 4 patches half
 * of scrap, a nine patch 5 squares; 12 x 12 blocks, 700 squares at hand. */
static void squares_for_triangles_are_told_apart(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "basket.add", "{\"count\": 700}"));
    g_autoptr(json_t) reuse = does(self, "reuse", "{}");
    const json_t *list = value_at(reuse, "designs");
    const json_t *star = named(list, "friendship-star"),
                 *nine = named(list, "nine-patch");
    assert_int_equal(number_at(star, "squares_needed"), 144);
    assert_int_equal(number_at(star, "squares_short"), 0);
    assert_int_equal(number_at(star, "triangle_squares"), 288);
    assert_int_equal(number_at(star, "anew"), 288);
    assert_int_equal(number_at(nine, "squares_needed"), 720);
    assert_int_equal(number_at(nine, "squares_used"), 700);
    assert_int_equal(number_at(nine, "squares_short"), 20);
    assert_int_equal(number_at(nine, "triangle_squares"), 0);
    long long before = 0;
    size_t i;
    json_t *one;
    json_array_foreach (list, i, one) {
        assert_true(number_at(one, "anew") >= before);
        before = number_at(one, "anew");
    }
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)
    const struct CMUnitTest tests[] = {
        TEST(the_share_that_melts_is_of_the_squares_named),
        TEST(no_two_solids_of_the_wheel_share_a_name),
        TEST(a_fabric_melts_into_itself),
        TEST(fabrics_of_the_basket_are_those_with_squares),
        TEST(fabrics_used_last_come_first_but_page_by_page_by_id),
        TEST(a_photographed_fabric_is_measured_as_it_is),
        TEST(an_empty_basket_ranks_nothing),
        TEST(squares_for_triangles_are_told_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
