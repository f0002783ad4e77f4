#include "test.h"

#include "base/error.h"
#include "base/random.h"
#include "scrap/plan.h"

#include <inttypes.h>

#define IN(x) ((length)((x)*LENGTH_INCH))

/* A plan of an outline without holes; every one of them goes through the checker. */
static scrap_plan *plan_as(int count, const scrap_point points[],
                           const scrap_plan_request *request)
{
    scrap_outline outline = { { count, points }, 0, NULL };
    g_autoptr(GError) error = NULL;
    if (!scrap_outline_check(&outline, &error))
        fail_msg("%s", error->message);
    scrap_plan *plan = scrap_plan_make(&outline, request, &error);
    if (plan == NULL ||
        !scrap_plan_check(plan, &outline, SCRAP_TOUCH + request->slack, &error))
        fail_msg("%s", error->message);
    int64_t used = 2 * (int64_t)plan->unit * plan->unit * plan->squares;
    assert_true(used <=
                    scrap_outline_area2(&outline) +
                        4 * SCRAP_TOUCH * (int64_t)scrap_outline_perimeter(&outline) ||
                request->slack > 0);
    assert_true(plan->squares <= plan->bound);
    return plan;
}

static scrap_plan *plan_of(int count, const scrap_point points[], length unit,
                           scrap_method method, scrap_angles angles)
{
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.unit = unit;
    request.method = method;
    request.angles = angles;
    return plan_as(count, points, &request);
}

/* As it lies: no other angle. */
static int squares_upright(int count, const scrap_point points[], length unit,
                           scrap_method method, int *ret_bound)
{
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.unit = unit;
    request.method = method;
    request.grain_deg = 0;
    request.tolerance_deg = 0;
    request.ruler = &(scrap_ruler){ LENGTH_M, LENGTH_M, 0, 0 };
    g_autoptr(scrap_plan) plan = plan_as(count, points, &request);
    if (ret_bound != NULL)
        *ret_bound = plan->bound;
    return plan->squares;
}

static void rectangles_give_whole_rows_and_columns(void **state)
{
    (void)state;
    static const struct {
        length width, height, unit;
        int squares;
    } rows[] = {
        { IN(18), IN(9.5), IN(2), 36 },
        { IN(20), IN(20), IN(2), 100 },
        { IN(20), IN(20) - 64, IN(2), 90 },
        { IN(2), IN(2), IN(2), 1 },
        { IN(2) - 64, IN(2), IN(2), 0 },
        { LENGTH_CM * 50, LENGTH_CM * 40, LENGTH_CM * 5, 80 },
        { LENGTH_MM * 333, LENGTH_MM * 111, LENGTH_MM * 37, 27 },
        { IN(44), IN(9), IN(2.5), 51 },
        { IN(3), IN(3), IN(5), 0 },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        scrap_point points[] = { { 0, 0 },
                                 { rows[i].width, 0 },
                                 { rows[i].width, rows[i].height },
                                 { 0, rows[i].height } };
        for (int method = SCRAP_CUT_GRID; method <= SCRAP_CUT_EASIEST; method++) {
            g_autoptr(scrap_plan) plan =
                plan_of(4, points, rows[i].unit, method, SCRAP_ANGLES_GRAIN);
            if (plan->squares != rows[i].squares || plan->bound < plan->squares)
                fail_msg("row %zu, method %d: %d squares of at most %d, wanted %d", i,
                         method, plan->squares, plan->bound, rows[i].squares);
        }
    }
}

/* Unit squares in rows one unit high, each slid on its own, in a circle of diameter n:
 * OEIS A374505 (D. Dewan, 2024), n = 0 to 51. */
static const int circle_rows[] = {
    0,    0,    1,    4,    8,    14,   21,   29,   40,   52,   65,   81,   97,
    116,  135,  156,  180,  203,  229,  258,  286,  317,  350,  383,  419,  455,
    495,  536,  575,  620,  664,  711,  761,  808,  860,  916,  966,  1024, 1079,
    1140, 1200, 1261, 1326, 1391, 1458, 1528, 1595, 1666, 1741, 1814, 1892, 1972,
};
/* In one grid with a corner at the middle of a disc of diameter n = 1 to 51: A136485. */
static const int grid_about_corner[] = {
    0,    0,    4,    4,    12,   16,   24,   32,   52,   60,   76,   88,   112,
    120,  148,  164,  192,  216,  256,  276,  308,  332,  376,  392,  440,  476,
    524,  556,  608,  648,  688,  732,  796,  832,  904,  936,  1012, 1052, 1124,
    1176, 1232, 1288, 1372, 1428, 1508, 1560, 1648, 1696, 1788, 1860, 1952,
};
/* In one grid with a square at the middle of a disc of radius r = 1 to 25: A373193; in
 * rows on both sides of its middle line, slid freely: A372847. */
static const int grid_about_square[] = {
    1,   5,   21,  37,  61,  89,   129,  177,  221,  277,  341,  401,  489,
    561, 657, 749, 845, 949, 1049, 1185, 1313, 1441, 1573, 1709, 1877,
};
static const int rows_about_line[] = {
    0,   6,   18,  36,  64,  92,   130,  172,  224,  284,  344,  410,  488,
    570, 658, 750, 852, 956, 1072, 1194, 1312, 1450, 1584, 1728, 1882,
};

enum { CIRCLE = 1024 };

/* A polygon drawn around a circle that is larger by a millionth. */
static void draw_circle(double diameter, scrap_point points[CIRCLE])
{
    double radius = diameter / 2 * (1 + 1e-6) / cos(G_PI / CIRCLE);
    for (int i = 0; i < CIRCLE; i++) {
        points[i].x = (length)lround(radius * cos(2 * G_PI * i / CIRCLE));
        points[i].y = (length)lround(radius * sin(2 * G_PI * i / CIRCLE));
    }
}

static void circles_give_no_less_than_the_published_grids(void **state)
{
    (void)state;
    const length unit = IN(3.75);
    static scrap_point points[CIRCLE];
    for (int n = 1; n <= 51; n++) {
        draw_circle((double)n * unit, points);
        int grid = squares_upright(CIRCLE, points, unit, SCRAP_CUT_GRID, NULL);
        int least = grid_about_corner[n - 1];
        if (n % 2 == 0)
            least = MAX(least, grid_about_square[n / 2 - 1]);
        if (grid < least || grid > circle_rows[n] ||
            (n % 2 == 0 && rows_about_line[n / 2 - 1] > circle_rows[n]))
            fail_msg("diameter %d: %d squares in a grid, published %d to %d", n, grid,
                     least, circle_rows[n]);
    }
}

static int common_divisor(int a, int b)
{
    return b == 0 ? a : common_divisor(b, a % b);
}

/* Whole cells of a right triangle with its legs on the axes: a long side across a by b
 * cells touches a + b - gcd(a, b) of them (OEIS A074712), and half of the others lie
 * inside. No other offset and no sliding gives more. */
static void right_triangles_give_the_cells_under_their_long_side(void **state)
{
    (void)state;
    for (int a = 1; a <= 12; a++) {
        for (int b = 1; b <= 12; b++) {
            scrap_point points[] = { { 0, 0 }, { a * IN(1.5), 0 }, { 0, b * IN(1.5) } };
            int want = (a * b - a - b + common_divisor(a, b)) / 2;
            int grid = squares_upright(3, points, IN(1.5), SCRAP_CUT_GRID, NULL);
            int strips = squares_upright(3, points, IN(1.5), SCRAP_CUT_STRIPS, NULL);
            if (grid != want || strips != want)
                fail_msg("%d by %d: grid %d, strips %d, wanted %d", a, b, grid, strips,
                         want);
        }
    }
}

/* Aztec diamond of order n: rows of 2, 4, ..., 2n, 2n, ..., 4, 2 cells, 2n(n + 1) in all
 * (N. Elkies, G. Kuperberg, M. Larsen, J. Propp, J. Algebraic Combinatorics 1, 1992). */
static int draw_aztec(int n, length cell, length dx, length dy, scrap_point points[])
{
    int count = 0;
    for (int quarter = 0; quarter < 4; quarter++) {
        for (int i = 0; i < n; i++) {
            int corners[2][2] = { { n - i, i }, { n - i, i + 1 } };
            for (int j = 0; j < 2; j++) {
                int x = corners[j][0], y = corners[j][1];
                for (int turn = 0; turn < quarter; turn++) {
                    int kept = x;
                    x = -y;
                    y = kept;
                }
                points[count++] = (scrap_point){ x * cell + dx, y * cell + dy };
            }
        }
    }
    return count;
}

static void aztec_diamonds_give_all_their_cells_wherever_they_lie(void **state)
{
    (void)state;
    scrap_point points[400];
    for (int n = 1; n <= 9; n++) {
        static const length moved[][2] = {
            { 0, 0 }, { 1, -1 }, { 2709, 5555 }, { -100003, 70001 }
        };
        for (size_t i = 0; i < G_N_ELEMENTS(moved); i++) {
            int count = draw_aztec(n, 5 * LENGTH_CM, moved[i][0], moved[i][1], points);
            for (int method = SCRAP_CUT_GRID; method <= SCRAP_CUT_STRIPS; method++) {
                g_autoptr(scrap_plan) plan =
                    plan_of(count, points, 5 * LENGTH_CM, method, SCRAP_ANGLES_GRAIN);
                if (plan->squares != 2 * n * (n + 1))
                    fail_msg("order %d moved by %d, %d: %d squares, wanted %d", n,
                             moved[i][0], moved[i][1], plan->squares, 2 * n * (n + 1));
            }
        }
    }
}

enum { CELLS = 12, OUTLINE_MAX = 4 * CELLS * CELLS };

/* A random polyomino without holes or corners that touch: rows of cells that overlap the
 * row below by one at least and start and end anywhere. Returns its cells. */
static int random_polyomino(motley_random *random, length cell, scrap_point points[],
                            int *ret_count)
{
    int rows = 2 + (int)motley_random_below(random, CELLS - 2), cells = 0;
    int left[CELLS], right[CELLS];
    for (int r = 0; r < rows; r++) {
        do {
            left[r] = (int)motley_random_below(random, CELLS);
            right[r] = left[r] + 1 + (int)motley_random_below(random, CELLS);
        } while (r > 0 && (left[r] >= right[r - 1] || right[r] <= left[r - 1]));
        cells += right[r] - left[r];
    }
    int count = 0;
    for (int r = 0; r < rows; r++) {
        points[count++] = (scrap_point){ right[r] * cell, r * cell };
        points[count++] = (scrap_point){ right[r] * cell, (r + 1) * cell };
    }
    for (int r = rows - 1; r >= 0; r--) {
        points[count++] = (scrap_point){ left[r] * cell, (r + 1) * cell };
        points[count++] = (scrap_point){ left[r] * cell, r * cell };
    }
    /* Two rows that end alike would double a corner. */
    int kept = 0;
    for (int i = 0; i < count; i++)
        if (kept == 0 || points[kept - 1].x != points[i].x ||
            points[kept - 1].y != points[i].y)
            points[kept++] = points[i];
    *ret_count = kept;
    return cells;
}

static void expect_cells(int cells, int count, const scrap_point points[], length unit,
                         const char *how)
{
    for (int method = SCRAP_CUT_GRID; method <= SCRAP_CUT_STRIPS; method++) {
        g_autoptr(scrap_plan) plan =
            plan_of(count, points, unit, method, SCRAP_ANGLES_GRAIN);
        if (plan->squares != cells)
            fail_msg("%s, method %d: %d squares, wanted %d", how, method, plan->squares,
                     cells);
    }
}

static void polyominoes_give_all_their_cells_moved_mirrored_and_turned(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 11);
    for (int round = 0; round < 40; round++) {
        scrap_point points[OUTLINE_MAX], other[OUTLINE_MAX];
        length unit = round % 2 == 0 ? IN(2) : 37 * LENGTH_MM;
        int count, cells = random_polyomino(&random, unit, points, &count);
        expect_cells(cells, count, points, unit, "as drawn");

        length dx = (length)motley_random_below(&random, 20000);
        length dy = (length)motley_random_below(&random, 20000);
        for (int i = 0; i < count; i++)
            other[i] = (scrap_point){ points[i].x + dx, points[i].y - dy };
        expect_cells(cells, count, other, unit, "moved");
        for (int i = 0; i < count; i++)
            other[i] = (scrap_point){ dx - points[i].x, points[i].y };
        expect_cells(cells, count, other, unit, "mirrored");
        scrap_points_turn(count, points, 360 * motley_random_unit(&random), other);
        expect_cells(cells, count, other, unit, "turned");
    }
}

/* A star with its corners at random distances. */
static void random_star(motley_random *random, int count, length least, length most,
                        scrap_point points[])
{
    for (int i = 0; i < count; i++) {
        double reach = least + (most - least) * motley_random_unit(random);
        points[i].x = (length)lround(reach * cos(2 * G_PI * i / count));
        points[i].y = (length)lround(reach * sin(2 * G_PI * i / count));
    }
}

static void no_plan_exceeds_the_bound_of_the_same_scrap_laid_otherwise(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 12);
    for (int round = 0; round < 60; round++) {
        scrap_point points[24], other[24];
        int count = 5 + (int)motley_random_below(&random, 20);
        random_star(&random, count, IN(3), IN(8), points);
        int bound,
            squares = squares_upright(count, points, IN(1.75), SCRAP_CUT_STRIPS, NULL);
        int grid = squares_upright(count, points, IN(1.75), SCRAP_CUT_GRID, NULL);
        assert_true(grid <= squares);
        /* Mirrored, moved by no whole pixel, a quarter turned: other rasters. */
        for (int i = 0; i < count; i++)
            other[i] = (scrap_point){ 77 - points[i].x, points[i].y + 123 };
        int mirrored = squares_upright(count, other, IN(1.75), SCRAP_CUT_STRIPS, &bound);
        if (squares > bound || abs(mirrored - squares) > 1)
            fail_msg("round %d: %d squares, mirrored %d of at most %d", round, squares,
                     mirrored, bound);
        scrap_points_turn(count, points, 90, other);
        int turned = squares_upright(count, other, IN(1.75), SCRAP_CUT_STRIPS, &bound);
        if (squares > bound || abs(turned - squares) > 1)
            fail_msg("round %d: %d squares, turned %d of at most %d", round, squares,
                     turned, bound);
    }
}

static void a_scrap_moved_gives_the_same_plan(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 13);
    for (int round = 0; round < 20; round++) {
        scrap_point points[24], other[24];
        int count = 5 + (int)motley_random_below(&random, 20);
        random_star(&random, count, IN(3), IN(8), points);
        for (int i = 0; i < count; i++)
            other[i] = (scrap_point){ points[i].x + 12345 + round, points[i].y - 999 };
        for (int method = SCRAP_CUT_GRID; method <= SCRAP_CUT_STRIPS; method++)
            assert_int_equal(squares_upright(count, points, IN(1.5), method, NULL),
                             squares_upright(count, other, IN(1.5), method, NULL));
    }
}

static void a_larger_scrap_bounds_the_one_inside_it(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 14);
    for (int round = 0; round < 40; round++) {
        scrap_point points[24], larger[24];
        int count = 5 + (int)motley_random_below(&random, 20), bound;
        random_star(&random, count, IN(3), IN(7), points);
        for (int i = 0; i < count; i++)
            larger[i] = (scrap_point){ points[i].x / 10 * 11, points[i].y / 10 * 11 };
        int inner = squares_upright(count, points, IN(1.5), SCRAP_CUT_STRIPS, NULL);
        int outer = squares_upright(count, larger, IN(1.5), SCRAP_CUT_STRIPS, &bound);
        if (inner > bound || outer < inner - 1)
            fail_msg("round %d: %d squares in a scrap that holds one of %d", round, outer,
                     inner);
    }
}

static void squares_keep_off_holes(void **state)
{
    (void)state;
    scrap_point outer[] = { { 0, 0 }, { IN(10), 0 }, { IN(10), IN(10) }, { 0, IN(10) } };
    scrap_point hole[] = {
        { IN(4), IN(4) }, { IN(4), IN(6) }, { IN(6), IN(6) }, { IN(6), IN(4) }
    };
    scrap_ring holes[] = { { 4, hole } };
    scrap_outline outline = { { 4, outer }, 1, holes };
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.unit = IN(2);
    g_autoptr(GError) error = NULL;
    for (int method = SCRAP_CUT_GRID; method <= SCRAP_CUT_STRIPS; method++) {
        request.method = method;
        g_autoptr(scrap_plan) plan = scrap_plan_make(&outline, &request, &error);
        assert_non_null(plan);
        assert_int_equal(plan->squares, 24);
        if (!scrap_plan_check(plan, &outline, SCRAP_TOUCH, &error))
            fail_msg("%s", error->message);
    }
}

/* A 20 in square whose edges waver by 0.01 in loses a row and a column; slack brings them
 * back, trim takes as much from a straight one. */
static void slack_and_trim_move_the_edge(void **state)
{
    (void)state;
    scrap_point straight[] = {
        { 0, 0 }, { IN(20), 0 }, { IN(20), IN(20) }, { 0, IN(20) }
    };
    scrap_point ragged[80];
    for (int i = 0; i < 80; i++) {
        int side = i / 20, along = IN(1) * (i % 20);
        length off = i % 20 == 0 ? 0 : i % 2 == 0 ? IN(0.01) : -IN(0.01);
        scrap_point at = { along, off };
        const scrap_point sides[] = { at,
                                      { IN(20) - at.y, at.x },
                                      { IN(20) - at.x, IN(20) - at.y },
                                      { at.y, IN(20) - at.x } };
        ragged[i] = sides[side];
    }
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.unit = IN(2);
    request.tolerance_deg = 0;
    request.grain_deg = 0;
    g_autoptr(scrap_plan) lost = plan_as(80, ragged, &request);
    request.slack = IN(0.02);
    g_autoptr(scrap_plan) found = plan_as(80, ragged, &request);
    request.slack = 0;
    request.trim = IN(0.25);
    g_autoptr(scrap_plan) trimmed = plan_as(4, straight, &request);
    assert_in_range(lost->squares, 81, 90);
    assert_int_equal(found->squares, 100);
    assert_int_equal(found->tight, 36);
    assert_int_equal(trimmed->squares, 81);
    assert_int_equal(trimmed->tight, 0);
}

static scrap_plan *rectangle(const scrap_ruler *ruler, bool mat_turns)
{
    scrap_point points[] = {
        { 0, 0 }, { IN(18), 0 }, { IN(18), IN(9.5) }, { 0, IN(9.5) }
    };
    scrap_mat mat = { IN(24), IN(18), mat_turns };
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.unit = IN(2);
    request.method = SCRAP_CUT_GRID;
    request.ruler = ruler;
    request.mat = &mat;
    return plan_as(4, points, &request);
}

/* 18 x 9 1/2 in: 9 by 4 squares of 2 in. Edges left, right and below are there already,
 * so 4 cuts along and 8 across. */
static void passes_cuts_and_turns_are_counted(void **state)
{
    (void)state;
    static const struct {
        scrap_ruler ruler;
        bool mat_turns;
        int passes, handled;
    } rows[] = {
        { { IN(24), IN(6.5), 0, 0 }, true, 12, 1 },  /* a cut at a time */
        { { IN(24), IN(6.5), 0, 0 }, false, 12, 5 }, /* four strips laid anew */
        { { IN(12), IN(6.5), 0, 0 }, true, 16, 1 },  /* along the strips twice */
        { { IN(24), IN(12), 23, IN(0.5) },
          true,
          3,
          1 }, /* 6 lines within 11 in; 4, 6, 2 */
        { { IN(24), IN(24), 45, IN(0.5) }, true, 2, 1 }, /* all at once, both ways */
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(scrap_plan) plan = rectangle(&rows[i].ruler, rows[i].mat_turns);
        int want_cuts = i == 2 ? 16 : 12;
        if (plan->effort.passes != rows[i].passes || plan->effort.cuts != want_cuts ||
            plan->effort.turns != 1 || plan->effort.handled != rows[i].handled)
            fail_msg("row %zu: %d passes, %d cuts, %d turns, %d handled", i,
                     plan->effort.passes, plan->effort.cuts, plan->effort.turns,
                     plan->effort.handled);
    }
}

static void another_ruler_changes_passes_and_nothing_else(void **state)
{
    (void)state;
    scrap_ruler slotted = { IN(24), IN(12), 23, IN(0.5) };
    scrap_mat mat = { IN(24), IN(18), true };
    g_autoptr(scrap_plan) plan = rectangle(&SCRAP_RULER_PLAIN, true);
    g_autoptr(scrap_plan) again = rectangle(&slotted, true);
    g_autoptr(GError) error = NULL;
    assert_true(scrap_plan_retool(plan, &slotted, &mat, &SCRAP_TIMES_USUAL, &error));
    assert_int_equal(plan->effort.passes, again->effort.passes);
    assert_int_equal(plan->effort.cuts, again->effort.cuts);
    assert_true(plan->effort.minutes == again->effort.minutes);
    assert_memory_equal(plan->cuts, again->cuts, sizeof plan->cuts[0] * plan->cut_count);
    scrap_ruler thirds = { IN(24), IN(12), 13, IN(0.75) };
    assert_false(scrap_plan_retool(plan, &thirds, &mat, &SCRAP_TIMES_USUAL, &error));
    assert_string_equal(motley_error_code(error), "scrap.pitch-cannot");
    assert_int_equal(plan->effort.passes, again->effort.passes);
}

static void passes_are_numbered_in_the_order_of_cutting(void **state)
{
    (void)state;
    scrap_ruler slotted = { IN(24), IN(12), 23, IN(0.5) };
    g_autoptr(scrap_plan) plan = rectangle(&slotted, true);
    for (int i = 0; i < plan->cut_count; i++) {
        assert_in_range(plan->cuts[i].pass, 1, plan->effort.passes);
        assert_true(i == 0 || plan->cuts[i].pass >= plan->cuts[i - 1].pass);
    }
}

static void both_plans_are_shown_when_they_differ(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 15);
    for (int round = 0; round < 10; round++) {
        scrap_point points[16];
        random_star(&random, 16, IN(4), IN(8), points);
        scrap_outline outline = { { 16, points }, 0, NULL };
        scrap_plan_request request = SCRAP_PLAN_USUAL;
        request.unit = IN(1.5);
        g_autoptr(scrap_plan) best = NULL;
        g_autoptr(scrap_plan) easiest = NULL;
        g_autoptr(GError) error = NULL;
        assert_true(scrap_plan_both(&outline, &request, &best, &easiest, &error));
        if (easiest != NULL) {
            assert_true(easiest->squares <= best->squares);
            assert_true(easiest->effort.minutes / easiest->squares <
                        best->effort.minutes / best->squares);
        }
        request.method = SCRAP_CUT_BEST;
        g_autoptr(scrap_plan) alone = scrap_plan_make(&outline, &request, &error);
        assert_int_equal(alone->squares, best->squares);
        request.method = SCRAP_CUT_EASIEST;
        g_autoptr(scrap_plan) easy = scrap_plan_make(&outline, &request, &error);
        assert_int_equal(easy->squares,
                         easiest != NULL ? easiest->squares : best->squares);
    }
}

static void what_cannot_be_asked_is_refused(void **state)
{
    (void)state;
    scrap_point points[] = {
        { 0, 0 }, { IN(18), 0 }, { IN(18), IN(9.5) }, { 0, IN(9.5) }
    };
    scrap_outline outline = { { 4, points }, 0, NULL };
    scrap_ruler half = { IN(24), IN(12), 23, IN(0.5) }, none = { 0, IN(6), 0, 0 };
    scrap_plan_request usual = SCRAP_PLAN_USUAL;
    scrap_plan_request asked[8];
    for (size_t i = 0; i < G_N_ELEMENTS(asked); i++)
        asked[i] = usual;
    static const char *const codes[] = {
        "scrap.unit",    "scrap.unit",    "scrap.request",      "scrap.request",
        "scrap.request", "scrap.request", "scrap.pitch-cannot", "scrap.ruler",
    };
    asked[0].unit = 0;
    asked[1].unit = -IN(1);
    asked[2].step_deg = NAN;
    asked[3].grain_deg = INFINITY;
    asked[4].slack = IN(1);
    asked[5].trim = -1;
    asked[6].ruler = &half;
    asked[6].unit = 50 * LENGTH_MM;
    asked[7].ruler = &none;
    for (size_t i = 0; i < G_N_ELEMENTS(asked); i++) {
        g_autoptr(GError) error = NULL;
        assert_null(scrap_plan_make(&outline, &asked[i], &error));
        if (strcmp(motley_error_code(error), codes[i]) != 0)
            fail_msg("row %zu: %s, wanted %s", i, motley_error_code(error), codes[i]);
    }
}

static void the_checker_sees_what_is_wrong(void **state)
{
    (void)state;
    scrap_point points[] = {
        { 0, 0 }, { IN(18), 0 }, { IN(18), IN(9.5) }, { 0, IN(9.5) }
    };
    scrap_outline outline = { { 4, points }, 0, NULL };
    for (int fault = 0; fault < 7; fault++) {
        g_autoptr(scrap_plan) plan = rectangle(&SCRAP_RULER_PLAIN, true);
        scrap_square *square = &plan->places[7];
        length over = SCRAP_TOUCH;
        switch (fault) {
        case 0: /* off by a sixteenth: a cut goes through it */
            for (int i = 0; i < 4; i++)
                square->corners[i].x += IN(0.0625);
            break;
        case 1: /* over the outline */
            for (int i = 0; i < 4; i++)
                square->corners[i].y -= IN(3);
            break;
        case 2: /* too large */
            square->corners[1].x += IN(0.25);
            square->corners[2].x += IN(0.25);
            break;
        case 3: /* twice the same */
            *square = plan->places[8];
            break;
        case 4: /* more than can be */
            plan->bound = 35;
            break;
        case 5: /* a cut left out */
            plan->cut_count--;
            break;
        case 6: /* a cut a little off */
            plan->cuts[0].from.y += 40;
            plan->cuts[0].to.y += 40;
            break;
        }
        g_autoptr(GError) error = NULL;
        if (scrap_plan_check(plan, &outline, over, &error))
            fail_msg("fault %d was not seen", fault);
        assert_string_equal(motley_error_code(error), "scrap.plan-wrong");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rectangles_give_whole_rows_and_columns),
        cmocka_unit_test(circles_give_no_less_than_the_published_grids),
        cmocka_unit_test(right_triangles_give_the_cells_under_their_long_side),
        cmocka_unit_test(aztec_diamonds_give_all_their_cells_wherever_they_lie),
        cmocka_unit_test(polyominoes_give_all_their_cells_moved_mirrored_and_turned),
        cmocka_unit_test(no_plan_exceeds_the_bound_of_the_same_scrap_laid_otherwise),
        cmocka_unit_test(a_scrap_moved_gives_the_same_plan),
        cmocka_unit_test(a_larger_scrap_bounds_the_one_inside_it),
        cmocka_unit_test(squares_keep_off_holes),
        cmocka_unit_test(slack_and_trim_move_the_edge),
        cmocka_unit_test(passes_cuts_and_turns_are_counted),
        cmocka_unit_test(another_ruler_changes_passes_and_nothing_else),
        cmocka_unit_test(passes_are_numbered_in_the_order_of_cutting),
        cmocka_unit_test(both_plans_are_shown_when_they_differ),
        cmocka_unit_test(what_cannot_be_asked_is_refused),
        cmocka_unit_test(the_checker_sees_what_is_wrong),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
