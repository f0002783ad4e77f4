#include "test.h"

#include "base/random.h"
#include "scrap/yield-internal.h"

/* Unit squares in rows one unit high, each slid on its own, in a circle of diameter n:
 * OEIS A374505 (D. Dewan, 2024), n = 0 to 51. */
static const int circle_rows[] = {
    0,    0,    1,    4,    8,    14,   21,   29,   40,   52,   65,   81,   97,
    116,  135,  156,  180,  203,  229,  258,  286,  317,  350,  383,  419,  455,
    495,  536,  575,  620,  664,  711,  761,  808,  860,  916,  966,  1024, 1079,
    1140, 1200, 1261, 1326, 1391, 1458, 1528, 1595, 1666, 1741, 1814, 1892, 1972,
};

enum { CIRCLE = 4096 };

/* A polygon drawn around a circle: its corners lie out by less than a length unit. */
static void draw_circle(double diameter, scrap_point points[CIRCLE])
{
    double radius = diameter / 2 / cos(G_PI / CIRCLE);
    for (int i = 0; i < CIRCLE; i++) {
        points[i].x = (length)lround(radius * cos(2 * G_PI * i / CIRCLE));
        points[i].y = (length)lround(radius * sin(2 * G_PI * i / CIRCLE));
    }
}

/* The rows of some circles fit within a band no wider than a fraction of the unit: pixels
 * must be finer than it, 1/550 of a unit for n = 30, 1/200 for the others. */
static void circles_give_the_published_rows(void **state)
{
    (void)state;
    static scrap_point points[CIRCLE];
    scrap_outline outline = { { CIRCLE, points }, 0, NULL };
    for (int n = 1; n <= 51; n++) {
        yield_unit unit = { 100000, n == 30 ? 600 : 200, 0 };
        draw_circle((double)n * unit.unit, points);
        yield_room room;
        yield_room_alloc(&outline, &unit, &room);
        yield_view view;
        yield_look(&outline, &unit, 0, &room, &view);
        int lying = yield_strips(&view, false, &room);
        int standing = yield_strips(&view, true, &room);
        int bound = yield_bound(&view, -1, &room);
        yield_room_clear(&room);
        if (lying != circle_rows[n] || standing != circle_rows[n] ||
            bound < circle_rows[n])
            fail_msg("diameter %d: %d lying, %d standing of at most %d, published %d", n,
                     lying, standing, bound, circle_rows[n]);
    }
}

/* A star of up to 12 corners, each at a random distance. */
static int random_star(motley_random *random, length most, scrap_point points[12])
{
    int count = 5 + (int)motley_random_below(random, 8);
    for (int i = 0; i < count; i++) {
        double reach = most * (0.3 + 0.7 * motley_random_unit(random));
        points[i].x = (length)lround(reach * cos(2 * G_PI * i / count));
        points[i].y = (length)lround(reach * sin(2 * G_PI * i / count));
    }
    return count;
}

static int grid_by_trying_all(const bits *corners, int k)
{
    int best = 0;
    for (int row = 0; row < k; row++) {
        for (int col = 0; col < k; col++) {
            int count = 0;
            for (int r = row; r < corners->rows; r += k)
                for (int c = col; c < corners->cols; c += k)
                    count += bits_get(corners, r, c);
            best = MAX(best, count);
        }
    }
    return best;
}

/* The most along one strip, square by square or not. */
static int strip_by_trying_all(const bits *corners, bool upright, int strip, int k)
{
    int end = upright ? corners->rows : corners->cols;
    g_autofree int *most = g_new0(int, end + k + 1);
    for (int i = end - 1; i >= 0; i--) {
        bool fits = upright ? bits_get(corners, i, strip) : bits_get(corners, strip, i);
        most[i] = MAX(most[i + 1], fits ? 1 + most[i + k] : 0);
    }
    return most[0];
}

static int strips_by_trying_all(const bits *corners, bool upright, int k)
{
    int end = upright ? corners->cols : corners->rows;
    g_autofree int *most = g_new0(int, end + k + 1);
    for (int i = end - 1; i >= 0; i--)
        most[i] =
            MAX(most[i + 1], strip_by_trying_all(corners, upright, i, k) + most[i + k]);
    return most[0];
}

static void counts_are_those_of_trying_all(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 21);
    for (int round = 0; round < 300; round++) {
        scrap_point points[12];
        scrap_outline outline = { { random_star(&random, 60000, points), points },
                                  0,
                                  NULL };
        int k = 3 + (int)motley_random_below(&random, 90);
        yield_unit unit = { 10000 + (length)motley_random_below(&random, 20000), k, 0 };
        yield_room room;
        yield_room_alloc(&outline, &unit, &room);
        yield_view view;
        yield_look(&outline, &unit, 180 * motley_random_unit(&random), &room, &view);
        int row, col, grid = yield_grid(&view, NULL, 0, &row, &col);
        assert_int_equal(grid, grid_by_trying_all(&view.feasible, k));
        for (int upright = 0; upright < 2; upright++)
            assert_int_equal(yield_strips(&view, upright, &room),
                             strips_by_trying_all(&view.feasible, upright, k));
        /* Knowing the rows passes over what cannot win, and nothing else. */
        int row_again = -1, col_again = -1;
        yield_strips(&view, false, &room);
        assert_int_equal(yield_grid(&view, room.strip, grid - 1, &row_again, &col_again),
                         grid);
        assert_true(grid == 0 || (row_again == row && col_again == col));
        assert_int_equal(yield_grid(&view, room.strip, grid, &row_again, &col_again), 0);
        yield_room_clear(&room);
    }
}

/* The most squares that can be put anywhere on the pixels, by trying: take a corner or
 * leave it, in the order of rows. Small scraps only. */
static int most_anywhere(const bits *corners, int k, int from, int placed[], int count,
                         int best)
{
    best = MAX(best, count);
    int total = corners->rows * corners->cols;
    for (int at = from; at < total; at++) {
        int row = at / corners->cols, col = at % corners->cols;
        /* What is left cannot hold more: k * k corners make way for one square at most.
         */
        if (!bits_get(corners, row, col))
            continue;
        bool apart = true;
        for (int i = 0; i < count && apart; i++)
            apart = abs(placed[i] / corners->cols - row) >= k ||
                    abs(placed[i] % corners->cols - col) >= k;
        if (!apart)
            continue;
        placed[count] = at;
        best = most_anywhere(corners, k, at + 1, placed, count + 1, best);
    }
    return best;
}

static void no_placing_exceeds_the_bound(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 22);
    for (int round = 0; round < 200; round++) {
        scrap_point points[12];
        scrap_outline outline = { { random_star(&random, 26000, points), points },
                                  0,
                                  NULL };
        yield_unit unit = { 10000, 3, 0 };
        yield_room room;
        yield_room_alloc(&outline, &unit, &room);
        yield_view view;
        yield_look(&outline, &unit, 0, &room, &view);
        int placed[64];
        int most = most_anywhere(&view.feasible, unit.k, 0, placed, 0, 0);
        int strips =
            MAX(yield_strips(&view, false, &room), yield_strips(&view, true, &room));
        int bound = yield_bound(&view, -1, &room),
            area = yield_area_bound(&outline, &unit);
        yield_room_clear(&room);
        if (strips > most || most > bound || most > area)
            fail_msg("round %d: strips %d, anywhere %d, bound %d, by area %d", round,
                     strips, most, bound, area);
    }
}

/* Coarse pixels bound what fine ones find: the bound holds for every place. */
static void the_bound_holds_between_pixels(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 23);
    for (int round = 0; round < 100; round++) {
        scrap_point points[12];
        scrap_outline outline = { { random_star(&random, 60000, points), points },
                                  0,
                                  NULL };
        yield_unit coarse = { 12000, 5, 0 }, fine = { 12000, 67, 0 };
        yield_room room;
        yield_room_alloc(&outline, &coarse, &room);
        yield_view view;
        yield_look(&outline, &coarse, 0, &room, &view);
        int bound = yield_bound(&view, -1, &room);
        yield_room_clear(&room);
        yield_room_alloc(&outline, &fine, &room);
        yield_look(&outline, &fine, 0, &room, &view);
        assert_true(yield_strips(&view, false, &room) <= bound);
        assert_true(yield_strips(&view, true, &room) <= bound);
        yield_room_clear(&room);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(circles_give_the_published_rows),
        cmocka_unit_test(counts_are_those_of_trying_all),
        cmocka_unit_test(no_placing_exceeds_the_bound),
        cmocka_unit_test(the_bound_holds_between_pixels),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
