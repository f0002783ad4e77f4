/* Outlines mended, cut in two, joined, taken away and grown; and all of it undone. */
#include "test.h"

#include "fixture.h"

#include <geos_c.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* tests/photos/scraps-1.jpg is a rendered picture of 16 invented scraps. */
static const char photo_path[] = TEST_PHOTOS "/scraps-1.jpg";

static char *photo_text(fixture *self)
{
    g_autoptr(json_t) document = does(self, "photo", "{\"photo\": 1}");
    return json_dumps(document, JSON_INDENT(1) | JSON_SORT_KEYS);
}

static int with_photo(void **state)
{
    if (fixture_open(state) != 0)
        return -1;
    json_decref(does(*state, "measure",
                     "{\"photos\": [\"%s\"], \"keep\": true, \"source\": \"Harbour\"}",
                     photo_path));
    return 0;
}

/* The largest lying scrap: its id, and its document (borrowed from the photo's). */
static json_t *largest_of(json_t *photo)
{
    json_t *largest = NULL, *scrap;
    size_t i;
    json_array_foreach (value_at(photo, "scraps"), i, scrap)
        if (largest == NULL || json_number_value(value_at(scrap, "area_sq_in")) >
                                   json_number_value(value_at(largest, "area_sq_in")))
            largest = scrap;
    return largest;
}

static void box_of(const json_t *outline, double box[static 4])
{
    box[0] = box[1] = INFINITY;
    box[2] = box[3] = -INFINITY;
    size_t i;
    json_t *point;
    json_array_foreach (outline, i, point)
        for (size_t axis = 0; axis < 2; axis++) {
            double at = json_number_value(json_array_get(point, axis));
            box[axis] = fmin(box[axis], at);
            box[axis + 2] = fmax(box[axis + 2], at);
        }
}

static double area_of(const json_t *scrap)
{
    return json_number_value(value_at(scrap, "area_sq_in"));
}

/* --- GEOS's own word on areas --- */

static GEOSGeometry *geos_of(const json_t *outline)
{
    unsigned count = (unsigned)json_array_size(outline);
    GEOSCoordSequence *points = GEOSCoordSeq_create(count + 1, 2);
    for (unsigned i = 0; i <= count; i++) {
        const json_t *point = json_array_get(outline, i % count);
        GEOSCoordSeq_setXY(points, i, json_number_value(json_array_get(point, 0)),
                           json_number_value(json_array_get(point, 1)));
    }
    return GEOSGeom_createPolygon(GEOSGeom_createLinearRing(points), NULL, 0);
}

static double geos_area(const GEOSGeometry *geometry)
{
    double area = 0;
    assert_int_equal(GEOSArea(geometry, &area), 1);
    return area;
}

/* A vertical line through the middle of the largest scrap. */
static json_t *part_largest(fixture *self, json_t *scrap)
{
    double box[4];
    box_of(value_at(scrap, "outline_in"), box);
    double x = (box[0] + box[2]) / 2;
    return does(self, "scrap.part",
                "{\"scrap\": %lld, \"line_in\": [[%.6f, %.6f], [%.6f, %.6f]]}",
                number_at(scrap, "id"), x, box[1] - 0.2, x + 0.1, box[3] + 0.2);
}

static void two_parts_sum_to_the_whole_and_do_not_overlap(void **state)
{
    fixture *self = *state;
    g_autofree char *before = photo_text(self);
    g_autoptr(json_t) photo = does(self, "photo", "{\"photo\": 1}");
    json_t *scrap = largest_of(photo);
    g_autoptr(json_t) parts = part_largest(self, scrap);
    json_t *list = value_at(parts, "scraps");
    assert_int_equal(json_array_size(list), 2);
    json_t *one = json_array_get(list, 0), *other = json_array_get(list, 1);
    assert_int_equal(number_at(one, "id"), number_at(scrap, "id"));
    assert_true(area_of(one) >= area_of(other));
    assert_float_equal(area_of(one) + area_of(other), area_of(scrap), 1e-3);

    initGEOS(NULL, NULL);
    GEOSGeometry *a = geos_of(value_at(one, "outline_in")),
                 *b = geos_of(value_at(other, "outline_in")),
                 *whole = geos_of(value_at(scrap, "outline_in"));
    GEOSGeometry *common = GEOSIntersection(a, b), *both = GEOSUnion(a, b);
    assert_float_equal(geos_area(a), area_of(one), 1e-6);
    assert_float_equal(geos_area(b), area_of(other), 1e-6);
    assert_float_equal(geos_area(common), 0, 1e-3);
    assert_float_equal(geos_area(both), geos_area(whole), 1e-3);
    GEOSGeom_destroy(a), GEOSGeom_destroy(b), GEOSGeom_destroy(whole);
    GEOSGeom_destroy(common), GEOSGeom_destroy(both);
    finishGEOS();

    json_decref(does(self, "undo", "{}"));
    g_autofree char *after = photo_text(self);
    assert_string_equal(before, after);
}

/* Corners of two outlines, whatever corner they start at. */
static void assert_same_ring(const json_t *one, const json_t *other)
{
    size_t count = json_array_size(one);
    assert_int_equal(count, json_array_size(other));
    for (size_t start = 0; start < count; start++) {
        bool same = true;
        for (size_t i = 0; same && i < count; i++)
            same = json_equal(json_array_get(one, i),
                              json_array_get(other, (start + i) % count));
        if (same)
            return;
    }
    g_autofree char *a = json_dumps(one, JSON_COMPACT);
    g_autofree char *b = json_dumps(other, JSON_COMPACT);
    fail_msg("%s is not %s", a, b);
}

static void parts_that_are_joined_give_the_whole_back(void **state)
{
    fixture *self = *state;
    g_autoptr(json_t) photo = does(self, "photo", "{\"photo\": 1}");
    json_t *scrap = largest_of(photo);
    /* Corners a hair off a straight side are no corners to a join; draw it without. */
    g_autoptr(json_t) drawn = does(
        self, "scrap.mend",
        "{\"scrap\": %lld, \"outline_in\": [[1,1],[5,1.5],[6,4],[3,3],[2.5,6],[0.5,4]]}",
        number_at(scrap, "id"));
    g_autofree char *before = photo_text(self);
    g_autoptr(json_t) parts = part_largest(self, drawn);
    g_autofree char *apart = photo_text(self);
    g_autoptr(json_t) joined =
        does(self, "scrap.join", "{\"scraps\": [%lld, %lld]}",
             number_at(parts, "scraps.1.id"), number_at(parts, "scraps.0.id"));
    assert_int_equal(number_at(joined, "id"), number_at(scrap, "id"));
    assert_same_ring(value_at(joined, "outline_in"), value_at(drawn, "outline_in"));
    assert_float_equal(area_of(joined), area_of(drawn), 1e-9);

    json_decref(does(self, "undo", "{}"));
    g_autofree char *apart_again = photo_text(self);
    assert_string_equal(apart, apart_again);
    json_decref(does(self, "undo", "{}"));
    g_autofree char *whole_again = photo_text(self);
    assert_string_equal(before, whole_again);
}

/* Two squares of 2 in with a gap between them: by hand, 8 sq in and the gap's 2 x gap. */
static void a_gap_is_filled_up_to_three_sixteenths(void **state)
{
    fixture *self = *state;
    static const struct {
        double gap;
        bool joins;
    } table[] = { { 0, true }, { 0.0625, true }, { 0.17, true }, { 0.25, false } };
    for (size_t i = 0; i < G_N_ELEMENTS(table); i++) {
        double right = 2 + table[i].gap;
        json_decref(does(self, "scrap.mend",
                         "{\"scrap\": 1, \"outline_in\": [[0,0],[2,0],[2,2],[0,2]]}"));
        json_decref(does(self, "scrap.mend",
                         "{\"scrap\": 2, \"outline_in\": [[%g,0],[%g,0],[%g,2],[%g,2]]}",
                         right, right + 2, right + 2, right));
        if (!table[i].joins) {
            refuses(self, "scrap.apart", "scrap.join", "{\"scraps\": [1, 2]}");
            continue;
        }
        g_autoptr(json_t) joined = does(self, "scrap.join", "{\"scraps\": [1, 2]}");
        assert_float_equal(area_of(joined), 8 + 2 * table[i].gap, 0.01);
        assert_int_equal(json_array_size(value_at(joined, "outline_in")), 4);
        json_decref(does(self, "undo", "{}"));
    }
}

static void a_mended_outline_is_read_again_and_undone(void **state)
{
    fixture *self = *state;
    g_autofree char *before = photo_text(self);
    g_autoptr(json_t) photo = does(self, "photo", "{\"photo\": 1}");
    json_t *scrap = largest_of(photo), *other = NULL, *each;
    size_t i;
    json_array_foreach (value_at(photo, "scraps"), i, each)
        if (each != scrap &&
            !json_equal(value_at(each, "fabric"), value_at(scrap, "fabric")))
            other = each;
    /* Laid over another scrap, it shows that one's colours. */
    g_autofree char *outline = json_dumps(value_at(other, "outline_in"), JSON_COMPACT);
    g_autofree char *was = json_dumps(value_at(scrap, "outline_in"), JSON_COMPACT);
    g_autoptr(json_t) mended =
        does(self, "scrap.mend", "{\"scrap\": %lld, \"outline_in\": %s, \"was_in\": %s}",
             number_at(scrap, "id"), outline, was);
    assert_true(json_is_true(value_at(mended, "mended")));
    assert_float_equal(area_of(mended), area_of(other), 0.05);
    assert_true(json_equal(value_at(mended, "squares"), value_at(other, "squares")));
    for (size_t band = 0; band < 3; band++) {
        g_autofree char *path = g_strdup_printf("colours.0.srgb.%zu", band);
        assert_int_equal(llabs(number_at(mended, path) - number_at(other, path)) < 8, 1);
    }
    /* The second device started from what is no more. */
    refuses(self, "app.changed-meanwhile", "scrap.mend",
            "{\"scrap\": %lld, \"outline_in\": %s, \"was_in\": %s}",
            number_at(scrap, "id"), outline, was);
    json_decref(does(self, "undo", "{}"));
    g_autofree char *after = photo_text(self);
    assert_string_equal(before, after);
}

static void what_is_no_scrap_goes_and_is_grown_again_from_two_taps(void **state)
{
    fixture *self = *state;
    g_autofree char *before = photo_text(self);
    g_autoptr(json_t) photo = does(self, "photo", "{\"photo\": 1}");
    json_t *scrap = largest_of(photo);
    size_t count = json_array_size(value_at(photo, "scraps"));
    double box[4];
    box_of(value_at(scrap, "outline_in"), box);
    double x = (box[0] + box[2]) / 2, y = (box[1] + box[3]) / 2;
    json_decref(does(self, "scrap.remove", "{\"scrap\": %lld}", number_at(scrap, "id")));
    refuses(self, "app.no-scrap", "scrap.remove", "{\"scrap\": %lld}",
            number_at(scrap, "id"));
    g_autoptr(json_t) grown = does(
        self, "scrap.grow", "{\"photo\": 1, \"taps_in\": [[%.4f, %.4f], [%.4f, %.4f]]}",
        x - 0.3, y, x + 0.3, y + 0.2);
    if (fabs(area_of(grown) / area_of(scrap) - 1) > 0.03)
        fail_msg("%.3f sq in grown of %.3f", area_of(grown), area_of(scrap));
    assert_true(json_equal(value_at(grown, "fabric"), value_at(scrap, "fabric")));
    g_autoptr(json_t) now = does(self, "photo", "{\"photo\": 1}");
    assert_int_equal(json_array_size(value_at(now, "scraps")), count);
    json_decref(does(self, "undo", "{}"));
    json_decref(does(self, "undo", "{}"));
    g_autofree char *after = photo_text(self);
    assert_string_equal(before, after);
}

static void an_answer_takes_the_question_away(void **state)
{
    fixture *self = *state;
    g_autoptr(json_t) photo = does(self, "photo", "{\"photo\": 1}");
    json_t *scraps = value_at(photo, "scraps");
    long long one = number_at(scraps, "0.id"), other = number_at(scraps, "1.id");
    /* Of no fabric: both are asked. */
    json_decref(
        does(self, "scraps.same", "{\"scraps\": [%lld], \"fabric\": \"new\"}", one));
    g_autoptr(json_t) asked = does(self, "scrap.say", "{\"scrap\": %lld}", other);
    assert_true(json_is_null(value_at(asked, "fabric")));
    g_autoptr(json_t) open = does(self, "questions", "{}");
    long long before = (long long)json_array_size(value_at(open, "questions"));
    assert_true(before >= 1);
    g_autofree char *text = photo_text(self);
    g_autoptr(json_t) same =
        does(self, "scraps.same", "{\"scraps\": [%lld, %lld]}", one, other);
    assert_true(
        json_equal(value_at(same, "scraps.0.fabric"), value_at(same, "scraps.1.fabric")));
    assert_true(json_is_integer(value_at(same, "scraps.0.fabric")));
    g_autoptr(json_t) left = does(self, "questions", "{}");
    assert_int_equal(json_array_size(value_at(left, "questions")), before - 1);
    json_decref(does(self, "undo", "{}"));
    g_autofree char *again = photo_text(self);
    assert_string_equal(text, again);
}

static void two_fabrics_that_are_one_count_as_one(void **state)
{
    fixture *self = *state;
    g_autoptr(json_t) photo = does(self, "photo", "{\"photo\": 1}");
    long long one = 0, other = 0;
    json_t *scrap;
    size_t i;
    json_array_foreach (value_at(photo, "scraps"), i, scrap) {
        json_t *fabric = value_at(scrap, "fabric");
        if (json_is_null(fabric))
            continue;
        if (one == 0)
            one = json_integer_value(fabric);
        else if (json_integer_value(fabric) != one)
            other = json_integer_value(fabric);
    }
    g_autofree char *before = photo_text(self);
    json_decref(
        does(self, "fabric.same", "{\"fabric\": %lld, \"as\": %lld}", other, one));
    g_autoptr(json_t) now = does(self, "photo", "{\"photo\": 1}");
    json_array_foreach (value_at(now, "scraps"), i, scrap)
        assert_int_not_equal(json_integer_value(value_at(scrap, "fabric")), other);
    refuses(self, "app.field-wrong", "fabric.same", "{\"fabric\": %lld, \"as\": %lld}",
            one, one);
    json_decref(does(self, "undo", "{}"));
    g_autofree char *after = photo_text(self);
    assert_string_equal(before, after);
}

static const struct {
    const char *code, *action, *request;
} refused[] = {
    { "app.no-scrap", "scrap.mend",
      "{\"scrap\": 99, \"outline_in\": [[0,0],[1,0],[1,1]]}" },
    { "scrap.outline-crosses", "scrap.mend",
      "{\"scrap\": 1, \"outline_in\": [[0,0],[4,4],[4,0],[0,4]]}" },
    { "scrap.outline-too-few", "scrap.mend",
      "{\"scrap\": 1, \"outline_in\": [[0,0],[4,4]]}" },
    { "app.field-wrong", "scrap.mend", "{\"scrap\": 1}" },
    { "app.changed-meanwhile", "scrap.mend",
      "{\"scrap\": 1, \"outline_in\": [[0,0],[4,0],[4,4]], \"was_in\": [[0,0],[9,9]]}" },
    { "scrap.line-misses", "scrap.part",
      "{\"scrap\": 1, \"line_in\": [[-40,-40],[-40,40]]}" },
    { "scrap.line-misses", "scrap.part", "{\"scrap\": 1, \"line_in\": [[0,0],[0,0]]}" },
    { "app.field-wrong", "scrap.part", "{\"scrap\": 1, \"line_in\": [[0,0]]}" },
    { "app.field-wrong", "scrap.part", "{\"scrap\": 1, \"line_in\": \"across\"}" },
    { "app.field-wrong", "scrap.part", "{\"scrap\": 1, \"line_in\": [[0,0],[1e300,0]]}" },
    { "app.no-scrap", "scrap.part", "{\"scrap\": 99, \"line_in\": [[0,0],[1,1]]}" },
    { "scrap.apart", "scrap.join", "{\"scraps\": [1, 12]}" },
    { "scrap.apart", "scrap.join", "{\"scraps\": [1, 1]}" },
    { "app.field-wrong", "scrap.join", "{\"scraps\": [1]}" },
    { "app.no-scrap", "scrap.join", "{\"scraps\": [1, 99]}" },
    { "app.no-scrap", "scrap.remove", "{\"scrap\": 99}" },
    { "app.no-photo", "scrap.grow", "{\"photo\": 9, \"taps_in\": [[0,0],[1,1]]}" },
    { "photo.points", "scrap.grow", "{\"photo\": 1, \"taps_in\": [[90,0],[1,1]]}" },
    { "app.field-wrong", "scrap.grow", "{\"photo\": 1}" },
    { "app.field-missing", "scraps.same", "{}" },
    { "app.no-scrap", "scraps.same", "{\"scraps\": [1, 99]}" },
    { "app.no-fabric", "scraps.same", "{\"scraps\": [1], \"fabric\": 999}" },
    { "app.no-scrap", "scrap.again", "{\"scrap\": 1, \"of\": 99}" },
    { "app.field-wrong", "scrap.again", "{\"scrap\": 1, \"of\": 1}" },
    { "app.field-wrong", "photo.settle", "{\"photo\": 1, \"remark\": 999}" },
    { "app.field-wrong", "photo.settle", "{\"photo\": 1}" },
    { "app.field-wrong", "measure",
      "{\"photos\": [\"x.jpg\"], \"corners_px\": \"1,2 3\", \"size\": \"a4\"}" },
    { "photo.points", "measure",
      "{\"photos\": [\"x.jpg\"], \"corners_px\": \"0,0 50,0 100,0 50,10\","
      " \"size\": \"a4\"}" },
    { "app.field-missing", "measure",
      "{\"photos\": [\"x.jpg\"], \"corners_px\": \"0,0 50,0 50,50 0,50\"}" },
    { "app.field-wrong", "measure",
      "{\"photos\": [\"x.jpg\"], \"corners_px\": \"0,0 50,0 50,50 0,50\","
      " \"size\": \"a quarto\"}" },
};

static void what_cannot_be_mended_is_refused_and_nothing_changes(void **state)
{
    for (size_t i = 0; i < G_N_ELEMENTS(refused); i++)
        refuses(*state, refused[i].code, refused[i].action, "%s", refused[i].request);
}

static void what_was_cut_is_mended_no_more(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "cut.done", "{\"scraps\": [{\"scrap\": 1, \"squares\": 2}]}"));
    refuses(self, "app.scrap-cut", "scrap.mend",
            "{\"scrap\": 1, \"outline_in\": [[0,0],[1,0],[1,1]]}");
    refuses(self, "app.scrap-cut", "scrap.part",
            "{\"scrap\": 1, \"line_in\": [[0,0],[1,0]]}");
    refuses(self, "app.scrap-cut", "scrap.join", "{\"scraps\": [1, 2]}");
    refuses(self, "app.scrap-cut", "scrap.remove", "{\"scrap\": 1}");
}

#define MEND_TEST(name) cmocka_unit_test_setup_teardown(name, with_photo, fixture_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        MEND_TEST(two_parts_sum_to_the_whole_and_do_not_overlap),
        MEND_TEST(parts_that_are_joined_give_the_whole_back),
        MEND_TEST(a_gap_is_filled_up_to_three_sixteenths),
        MEND_TEST(a_mended_outline_is_read_again_and_undone),
        MEND_TEST(what_is_no_scrap_goes_and_is_grown_again_from_two_taps),
        MEND_TEST(an_answer_takes_the_question_away),
        MEND_TEST(two_fabrics_that_are_one_count_as_one),
        MEND_TEST(what_cannot_be_mended_is_refused_and_nothing_changes),
        MEND_TEST(what_was_cut_is_mended_no_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
