/* What is narrow: loose threads round a small piece are no cloth, stripes of the colour
 * of a mat's lines are, and two scraps that hang together at a corner are two. Areas by
 * arithmetic; how mats and threads look is from memory. */
#include "test.h"

#include "drawn.h"

static const double black[3] = { 0.01, 0.01, 0.011 }, cream[3] = { 0.7, 0.66, 0.55 },
                    plum[3] = { 0.2, 0.06, 0.1 };

/* A black mat with a line each inch, out of focus: half as light 0.025 in from the line's
 * middle. */
static void grid(double x, double y, const void *data, double rgb[static 3])
{
    const double *ink = data;
    double off = fmin(fabs(x - round(x)), fabs(y - round(y)));
    double share = exp2(-off * off / (0.025 * 0.025));
    for (int k = 0; k < 3; k++)
        rgb[k] = black[k] + share * (ink[k] - black[k]);
}

/* Plum with a stripe of 0.14 in each inch and a half: of the ink of the lines, in less
 * light. */
static void striped(double x, double y, const void *data, double rgb[static 3])
{
    const double *ink = data;
    double across = (0.8 * x + 0.6 * y) / 1.5;
    bool stripe = across - floor(across) < 0.14 / 1.5;
    for (int k = 0; k < 3; k++)
        rgb[k] = stripe ? 0.25 * ink[k] : plum[k];
}

typedef struct piece {
    double x, y, w, h, turn;
} piece;

static void corners(const piece *p, double ret[4][2])
{
    static const double ends[4][2] = { { -1, -1 }, { 1, -1 }, { 1, 1 }, { -1, 1 } };
    double c = cos(p->turn), s = sin(p->turn);
    for (int i = 0; i < 4; i++) {
        double u = p->w / 2 * ends[i][0], v = p->h / 2 * ends[i][1];
        ret[i][0] = p->x + c * u - s * v;
        ret[i][1] = p->y + s * u + c * v;
    }
}

/* Four threads 0.012 in thick and up to half an inch long on each side of a piece. */
static void hang_threads(photo_plan *plan, const piece *p, const double *colour)
{
    double at[4][2];
    corners(p, at);
    for (int side = 0; side < 4; side++)
        for (int i = 1; i <= 4; i++) {
            const double *a = at[side], *b = at[(side + 1) % 4];
            double x = a[0] + i / 5.0 * (b[0] - a[0]), y = a[1] + i / 5.0 * (b[1] - a[1]);
            double way = atan2(-(b[0] - a[0]), b[1] - a[1]) + 0.25 * ((i * 3) % 4 - 1.5);
            double to = 0.2 + 0.1 * (i % 4), u = cos(way), v = sin(way);
            double thread[4][2] = { { x + 0.006 * v, y - 0.006 * u },
                                    { x + to * u + 0.006 * v, y + to * v - 0.006 * u },
                                    { x + to * u - 0.006 * v, y + to * v + 0.006 * u },
                                    { x - 0.006 * v, y + 0.006 * u } };
            drawn_polygon(plan, 4, (const double(*)[2])thread, drawn_plain, colour);
        }
}

static void middle_of(const scrap_ring *ring, double *ret_x, double *ret_y)
{
    scrap_point least = ring->points[0], most = least;
    for (int i = 1; i < ring->count; i++) {
        scrap_point p = ring->points[i];
        least = (scrap_point){ MIN(least.x, p.x), MIN(least.y, p.y) };
        most = (scrap_point){ MAX(most.x, p.x), MAX(most.y, p.y) };
    }
    *ret_x = (length_to_inches(least.x) + length_to_inches(most.x)) / 2;
    *ret_y = (length_to_inches(least.y) + length_to_inches(most.y)) / 2;
}

/* All that is found on a plan, of which the pieces given must be all. */
static void hold(photo_plan *plan, int count, const piece *pieces, double most_error)
{
    static const double card[4][2] = {
        { -3.5, -2.5 }, { 3.5, -2.5 }, { 3.5, 2.5 }, { -3.5, 2.5 }
    };
    static const double paper[3] = { 0.85, 0.85, 0.85 };
    motley_random random;
    motley_random_seed(&random, 3);
    drawn_polygon(plan, 4, card, drawn_plain, paper);
    drawn_expose(plan, &random, 0.006);
    g_autoptr(photo_scraps) scraps = NULL;
    GError *error = NULL;
    if (!photo_find_scraps(plan, NULL, &scraps, &error))
        fail_msg("%s", error->message);
    for (int i = 0; i < scraps->count; i++) {
        const photo_scrap *found = &scraps->scrap[i];
        double x = 0, y = 0;
        middle_of(&found->outline.outer, &x, &y);
        double area = (double)found->twice_area / 2 / ((double)LENGTH_INCH * LENGTH_INCH);
        int of = 0;
        for (int k = 1; k < count; k++)
            if (hypot(pieces[k].x - x, pieces[k].y - y) <
                hypot(pieces[of].x - x, pieces[of].y - y))
                of = k;
        double there = pieces[of].w * pieces[of].h;
        if (fabs(area / there - 1) > most_error)
            fail_msg("%.3f sq in at %.1f, %.1f for %.3f", area, x, y, there);
    }
    assert_int_equal(scraps->count, count);
}

static void stripes_of_the_colour_of_lines_are_cloth(void **state)
{
    (void)state;
    static const double table[4][2] = { { -9, -6 }, { 9, -6 }, { 9, 6 }, { -9, 6 } };
    static const double yellow[3] = { 0.55, 0.4, 0.05 };
    static const piece one = { 6, -1, 3.2, 4, 0.2 };
    double p[4][2];
    corners(&one, p);
    g_autoptr(photo_plan) plan = drawn_new(18, 12, black);
    drawn_polygon(plan, 4, table, grid, yellow);
    drawn_polygon(plan, 4, (const double(*)[2])p, striped, yellow);
    hold(plan, 1, &one, 0.06);
}

static void threads_are_no_print_of_a_small_piece(void **state)
{
    (void)state;
    static const double tan[3] = { 0.5, 0.35, 0.2 };
    static const piece pieces[] = { { -6, 3, 1.1, 1, 0.3 }, { 6, -3, 0.9, 0.9, 0.7 } };
    g_autoptr(photo_plan) plan = drawn_new(18, 12, tan);
    for (size_t k = 0; k < G_N_ELEMENTS(pieces); k++) {
        double p[4][2];
        corners(&pieces[k], p);
        hang_threads(plan, &pieces[k], cream);
        drawn_polygon(plan, 4, (const double(*)[2])p, drawn_plain, cream);
    }
    hold(plan, G_N_ELEMENTS(pieces), pieces, 0.04);
}

/* Stripes of cream and another colour, so that half of two such cloths is alike. */
static void half_cream(double x, double y, const void *data, double rgb[static 3])
{
    (void)y;
    memcpy(rgb, x * 4 - floor(x * 4) < 0.5 ? cream : data, 3 * sizeof *rgb);
}

/* The corner of a small square touches the side, or the corner, of a large one. */
static void scraps_that_touch_at_a_corner_are_two(void **state)
{
    (void)state;
    static const double tan[3] = { 0.5, 0.35, 0.2 }, red[3] = { 0.35, 0.02, 0.03 },
                        navy[3] = { 0.02, 0.05, 0.3 };
    static const piece large = { 6, 0, 3, 4, 0 };
    static const piece small[] = { { 6.1, 2.82, 1.2, 1.2, 0.785 },
                                   { 7.85, 2.42, 1, 1.1, 0.1 } };
    for (size_t k = 0; k < G_N_ELEMENTS(small); k++) {
        const piece pieces[] = { large, small[k] };
        const double *colours[] = { red, navy };
        g_autoptr(photo_plan) plan = drawn_new(18, 12, tan);
        for (int i = 0; i < 2; i++) {
            double p[4][2];
            corners(&pieces[i], p);
            drawn_polygon(plan, 4, (const double(*)[2])p, half_cream, colours[i]);
        }
        hold(plan, 2, pieces, 0.05);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stripes_of_the_colour_of_lines_are_cloth),
        cmocka_unit_test(scraps_that_touch_at_a_corner_are_two),
        cmocka_unit_test(threads_are_no_print_of_a_small_piece),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
