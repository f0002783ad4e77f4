#include "test.h"

#include "base/error.h"
#include "base/random.h"
#include "scrap/outline.h"

#define GEOS_USE_ONLY_R_API
#include <geos_c.h>
#include <inttypes.h>

#define IN(x) ((length)((x)*LENGTH_INCH))

static void refusals_name_what_is_wrong(void **state)
{
    (void)state;
    scrap_point bow[] = { { 0, 0 }, { IN(4), IN(4) }, { IN(4), 0 }, { 0, IN(4) } };
    scrap_point two[] = { { 0, 0 }, { IN(4), IN(4) } };
    scrap_point line[] = { { 0, 0 }, { IN(1), IN(1) }, { IN(2), IN(2) } };
    scrap_point spike[] = {
        { 0, 0 }, { IN(4), 0 }, { IN(4), IN(4) }, { IN(4), IN(2) }, { 0, IN(4) }
    };
    scrap_point touching[] = { { 0, 0 }, { IN(4), 0 }, { IN(2), 0 }, { 0, IN(4) } };
    scrap_point large[] = { { 0, 0 }, { IN(200), 0 }, { 0, IN(1) } };
    static const char *const codes[] = {
        "scrap.outline-crosses", "scrap.outline-too-few", "scrap.outline-too-few",
        "scrap.outline-crosses", "scrap.outline-crosses", "scrap.outline-too-large"
    };
    scrap_ring rings[] = { { 4, bow },   { 2, two },      { 3, line },
                           { 5, spike }, { 4, touching }, { 3, large } };
    for (size_t i = 0; i < G_N_ELEMENTS(rings); i++) {
        scrap_outline outline = { rings[i], 0, NULL };
        g_autoptr(GError) error = NULL;
        assert_false(scrap_outline_check(&outline, &error));
        if (strcmp(motley_error_code(error), codes[i]) != 0)
            fail_msg("row %zu: %s, wanted %s", i, motley_error_code(error), codes[i]);
    }
}

static void a_crossing_is_named_by_its_place(void **state)
{
    (void)state;
    scrap_point bow[] = { { 0, 0 }, { IN(4), IN(4) }, { IN(4), 0 }, { 0, IN(4) } };
    scrap_outline outline = { { 4, bow }, 0, NULL };
    g_autoptr(GError) error = NULL;
    assert_false(scrap_outline_check(&outline, &error));
    assert_non_null(strstr(error->message, "(2.00, 2.00)"));
}

static void holes_lie_inside_and_apart(void **state)
{
    (void)state;
    scrap_point outer[] = { { 0, 0 }, { IN(8), 0 }, { IN(8), IN(8) }, { 0, IN(8) } };
    static const struct {
        length at[2], size, second;
        const char *code;
    } rows[] = {
        { { IN(2), IN(2) }, IN(1), 0, NULL },
        { { IN(9), IN(2) }, IN(1), 0, "scrap.hole-outside" },
        { { IN(7), IN(2) }, IN(2), 0, "scrap.outline-crosses" },
        { { IN(7), IN(2) }, IN(1), 0, "scrap.outline-crosses" }, /* touches the edge */
        { { IN(2), IN(2) }, IN(4), IN(3), "scrap.hole-outside" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        length x = rows[i].at[0], y = rows[i].at[1], s = rows[i].size;
        scrap_point hole[] = { { x, y }, { x, y + s }, { x + s, y + s }, { x + s, y } };
        scrap_point inner[] = { { IN(3), IN(3) }, { IN(3), IN(4) }, { IN(4), IN(4) } };
        scrap_ring holes[] = { { 4, hole }, { 3, inner } };
        scrap_outline outline = { { 4, outer }, rows[i].second > 0 ? 2 : 1, holes };
        g_autoptr(GError) error = NULL;
        gboolean fine = scrap_outline_check(&outline, &error);
        if (fine != (rows[i].code == NULL) ||
            (!fine && strcmp(motley_error_code(error), rows[i].code) != 0))
            fail_msg("row %zu: %s", i, fine ? "fine" : motley_error_code(error));
    }
}

static GEOSGeometry *geos_ring(GEOSContextHandle_t geos, const scrap_ring *ring)
{
    GEOSCoordSequence *corners =
        GEOSCoordSeq_create_r(geos, (unsigned)ring->count + 1, 2);
    for (int i = 0; i <= ring->count; i++) {
        scrap_point p = ring->points[i % ring->count];
        GEOSCoordSeq_setXY_r(geos, corners, (unsigned)i, p.x, p.y);
    }
    return GEOSGeom_createLinearRing_r(geos, corners);
}

/* The same outline held by GEOS (libgeos), a separate geometry library. */
static GEOSGeometry *geos_polygon(GEOSContextHandle_t geos, const scrap_outline *outline)
{
    GEOSGeometry *holes[8];
    for (int i = 0; i < outline->hole_count; i++)
        holes[i] = geos_ring(geos, &outline->holes[i]);
    return GEOSGeom_createPolygon_r(geos, geos_ring(geos, &outline->outer), holes,
                                    (unsigned)outline->hole_count);
}

static void small_polygons_are_refused_where_geos_finds_them_invalid(void **state)
{
    (void)state;
    GEOSContextHandle_t geos = GEOS_init_r();
    motley_random random;
    motley_random_seed(&random, 31);
    int fine = 0;
    for (int round = 0; round < 20000; round++) {
        scrap_point points[8];
        scrap_outline outline = { { 3 + (int)motley_random_below(&random, 5), points },
                                  0,
                                  NULL };
        uint32_t grid = 3 + motley_random_below(&random, 6);
        for (int i = 0; i < outline.outer.count; i++)
            points[i] = (scrap_point){ (length)motley_random_below(&random, grid),
                                       (length)motley_random_below(&random, grid) };
        GEOSGeometry *polygon = geos_polygon(geos, &outline);
        bool valid = GEOSisValid_r(geos, polygon) == 1;
        GEOSGeom_destroy_r(geos, polygon);
        fine += valid;
        if (scrap_outline_check(&outline, NULL) != valid) {
            for (int i = 0; i < outline.outer.count; i++)
                print_message("(%d, %d) ", points[i].x, points[i].y);
            fail_msg("round %d: should be %s", round, valid ? "fine" : "refused");
        }
    }
    assert_in_range(fine, 2000, 18000);
    GEOS_finish_r(geos);
}

static void random_star(motley_random *random, int count, length most, length dx,
                        length dy, scrap_point points[])
{
    for (int i = 0; i < count; i++) {
        double reach = most * (0.4 + 0.6 * motley_random_unit(random));
        points[i].x = dx + (length)lround(reach * cos(2 * G_PI * i / count));
        points[i].y = dy + (length)lround(reach * sin(2 * G_PI * i / count));
    }
}

static void areas_and_perimeters_are_those_of_geos(void **state)
{
    (void)state;
    GEOSContextHandle_t geos = GEOS_init_r();
    motley_random random;
    motley_random_seed(&random, 32);
    for (int round = 0; round < 500; round++) {
        scrap_point outer[64], inner[16];
        int count = 3 + (int)motley_random_below(&random, 60);
        length dx = (length)motley_random_below(&random, 200000), dy = -dx / 3;
        random_star(&random, count, IN(20), dx, dy, outer);
        random_star(&random, 9, IN(2), dx, dy, inner);
        scrap_ring holes[] = { { 9, inner } };
        scrap_outline outline = { { count, outer }, count > 20 ? 1 : 0, holes };
        GEOSGeometry *polygon = geos_polygon(geos, &outline);
        double area, perimeter;
        GEOSArea_r(geos, polygon, &area);
        GEOSLength_r(geos, polygon, &perimeter);
        GEOSGeom_destroy_r(geos, polygon);
        /* Whole numbers below 2^53: doubles hold twice the area exactly. */
        if (fabs((double)scrap_outline_area2(&outline) - 2 * area) > 1)
            fail_msg("round %d: twice the area is %" PRId64 ", GEOS %.1f", round,
                     scrap_outline_area2(&outline), 2 * area);
        assert_true(fabs(scrap_outline_perimeter(&outline) - perimeter) < 0.01);
    }
    GEOS_finish_r(geos);
}

static int common_divisor(int a, int b)
{
    return b == 0 ? abs(a) : common_divisor(b, a % b);
}

/* G. Pick, 1899: twice the area is 2 I + B - 2, with I lattice points inside and B on the
 * boundary. */
static void lattice_polygons_keep_picks_theorem(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 33);
    for (int round = 0; round < 300;) {
        scrap_point points[7];
        scrap_outline outline = { { 3 + (int)motley_random_below(&random, 5), points },
                                  0,
                                  NULL };
        for (int i = 0; i < outline.outer.count; i++)
            points[i] = (scrap_point){ (length)motley_random_below(&random, 20),
                                       (length)motley_random_below(&random, 20) };
        if (!scrap_outline_check(&outline, NULL))
            continue;
        round++;
        int boundary = 0, inside = 0;
        for (int i = 0; i < outline.outer.count; i++) {
            scrap_point a = points[i], b = points[(i + 1) % outline.outer.count];
            boundary += common_divisor(b.x - a.x, b.y - a.y);
        }
        for (int x = 0; x < 20; x++) {
            for (int y = 0; y < 20; y++) {
                bool on_boundary = false;
                for (int i = 0; i < outline.outer.count; i++) {
                    scrap_point a = points[i], b = points[(i + 1) % outline.outer.count];
                    int64_t turn = (int64_t)(b.x - a.x) * (y - a.y) -
                                   (int64_t)(b.y - a.y) * (x - a.x);
                    if (turn == 0 && MIN(a.x, b.x) <= x && x <= MAX(a.x, b.x) &&
                        MIN(a.y, b.y) <= y && y <= MAX(a.y, b.y))
                        on_boundary = true;
                }
                inside += !on_boundary && scrap_outline_holds(&outline, x, y);
            }
        }
        assert_int_equal(scrap_outline_area2(&outline), 2 * inside + boundary - 2);
    }
}

static void the_largest_outline_does_not_overflow(void **state)
{
    (void)state;
    scrap_point points[] = { { -SCRAP_SIZE_MAX, -SCRAP_SIZE_MAX },
                             { 0, -SCRAP_SIZE_MAX },
                             { 0, 0 },
                             { -SCRAP_SIZE_MAX, 0 } };
    scrap_outline outline = { { 4, points }, 0, NULL };
    assert_true(scrap_outline_check(&outline, NULL));
    /* 25 square metres. */
    assert_true(scrap_outline_area2(&outline) == INT64_C(2) * 1600000 * 1600000);
    assert_true(fabs(scrap_area2_to_sq_in(scrap_outline_area2(&outline)) -
                     25 / (0.0254 * 0.0254)) < 1e-6);
}

static void four_quarter_turns_change_nothing(void **state)
{
    (void)state;
    scrap_point points[] = { { 3, 5 }, { -70001, 12 }, { 8, -99999 } }, turned[3];
    memcpy(turned, points, sizeof points);
    for (int i = 0; i < 4; i++)
        scrap_points_turn(3, turned, 90, turned);
    assert_memory_equal(points, turned, sizeof points);
    scrap_points_turn(3, points, 90, turned);
    assert_int_equal(turned[0].x, -5);
    assert_int_equal(turned[0].y, 3);
    scrap_points_turn(3, points, -270, turned);
    assert_int_equal(turned[0].x, -5);
}

static void the_longest_side_gives_the_direction(void **state)
{
    (void)state;
    scrap_point points[] = { { 0, 0 }, { IN(1), 0 }, { IN(1), IN(7) }, { 0, IN(1) } };
    scrap_outline outline = { { 4, points }, 0, NULL };
    assert_true(scrap_outline_longest_side_deg(&outline) == 90);
    scrap_point leaning[] = { { 0, 0 }, { -IN(4), IN(4) }, { -IN(4), 0 } };
    outline.outer = (scrap_ring){ 3, leaning };
    assert_true(fabs(scrap_outline_longest_side_deg(&outline) - 135) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refusals_name_what_is_wrong),
        cmocka_unit_test(a_crossing_is_named_by_its_place),
        cmocka_unit_test(holes_lie_inside_and_apart),
        cmocka_unit_test(small_polygons_are_refused_where_geos_finds_them_invalid),
        cmocka_unit_test(areas_and_perimeters_are_those_of_geos),
        cmocka_unit_test(lattice_polygons_keep_picks_theorem),
        cmocka_unit_test(the_largest_outline_does_not_overflow),
        cmocka_unit_test(four_quarter_turns_change_nothing),
        cmocka_unit_test(the_longest_side_gives_the_direction),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
