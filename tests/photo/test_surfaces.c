/* Scraps of rough cloth with frayed edges and their shadows, on surfaces with a life of
 * their own; and a rotary cutter among them. Areas by arithmetic; how wood, tweed and
 * mats look is from memory. */
#include "test.h"

#include "drawn.h"

/* A value from 0 to 1 that only depends on the place. */
static double chance(int x, int y, unsigned salt)
{
    unsigned h = (unsigned)x * 374761393u + (unsigned)y * 668265263u + salt * 2246822519u;
    h = (h ^ (h >> 13)) * 1274126177u;
    return ((h ^ (h >> 16)) & 0xffff) / 65535.0;
}

/* The same between the places, smoothly. */
static double wave(double x, double y, unsigned salt)
{
    int i = (int)floor(x), j = (int)floor(y);
    double u = x - i, v = y - j;
    u = u * u * (3 - 2 * u);
    v = v * v * (3 - 2 * v);
    return (chance(i, j, salt) * (1 - u) + chance(i + 1, j, salt) * u) * (1 - v) +
           (chance(i, j + 1, salt) * (1 - u) + chance(i + 1, j + 1, salt) * u) * v;
}

/* Boards of 4 in with their grain and a dark joint. */
static void wood(double x, double y, const void *data, double rgb[static 3])
{
    const double *colour = data;
    double grain = wave(x * 0.25 + 3 * wave(x * 0.1, y * 0.3, 7), y * 4, 1);
    double k = 0.8 + 0.25 * grain + 0.08 * wave(x * 2, y * 40, 2);
    if (fabs(y / 4 - round(y / 4)) * 4 < 0.02)
        k /= 2;
    for (int i = 0; i < 3; i++)
        rgb[i] = k * colour[i];
}

/* A mat with lines each inch, some aslant, and crumbs of print beside them. */
static void mat(double x, double y, const void *data, double rgb[static 3])
{
    static const double ink[3] = { 0.5, 0.5, 0.2 };
    bool line = fabs(x - round(x)) < 0.012 || fabs(y - round(y)) < 0.012 ||
                fabs(x + y - 12 * round((x + y) / 12)) < 0.017;
    bool print = (int)floor(y) % 6 == 0 && x - floor(x) < 0.25 && y - floor(y) < 0.2 &&
                 chance((int)floor(x * 16), (int)floor(y * 16), 9) > 0.5;
    memcpy(rgb, line || print ? ink : data, sizeof ink);
}

/* Threads of 1/24 in, and knots of twice the light. */
static void tweed(double x, double y, const void *data, double rgb[static 3])
{
    const double *colour = data;
    double k = 0.7 + 0.6 * chance((int)floor(x * 24), (int)floor(y * 24), 3);
    if (chance((int)floor(x * 12), (int)floor(y * 12), 5) > 0.93)
        k *= 2;
    for (int i = 0; i < 3; i++)
        rgb[i] = k * colour[i];
}

enum { RAGGED_MAX = 400 };

/* The corners of a w x h piece, turned, with teeth of a fray every 0.1 in. */
static int ragged(double x, double y, double w, double h, double turn, double fray,
                  double p[static RAGGED_MAX][2])
{
    static const double ends[5][2] = {
        { -1, -1 }, { 1, -1 }, { 1, 1 }, { -1, 1 }, { -1, -1 }
    };
    double c = cos(turn), s = sin(turn);
    int n = 0;
    for (int side = 0; side < 4; side++) {
        double along = side % 2 ? h : w;
        for (int i = 0; i < (int)(along * 10); i++) {
            double t = i / (along * 10), off = fray * (chance(i, side, 11) - 0.5);
            double u = w / 2 * (ends[side][0] + t * (ends[side + 1][0] - ends[side][0]));
            double v = h / 2 * (ends[side][1] + t * (ends[side + 1][1] - ends[side][1]));
            u += off * (side == 1) - off * (side == 3);
            v += off * (side == 2) - off * (side == 0);
            p[n][0] = x + c * u - s * v;
            p[n++][1] = y + s * u + c * v;
        }
    }
    return n;
}

static double area_of(int n, const double (*p)[2])
{
    double twice = 0;
    for (int i = 0, j = n - 1; i < n; j = i++)
        twice += p[j][0] * p[i][1] - p[i][0] * p[j][1];
    return twice / 2;
}

static double sq_in(const photo_scrap *scrap)
{
    return (double)scrap->twice_area / 2 / ((double)LENGTH_INCH * LENGTH_INCH);
}

static const double wooden[3] = { 0.45, 0.27, 0.14 }, green[3] = { 0.02, 0.08, 0.05 };
static const double red[3] = { 0.5, 0.05, 0.04 }, cream[3] = { 0.7, 0.65, 0.5 },
                    navy[3] = { 0.02, 0.03, 0.1 };

static const struct {
    double x, y, w, h, turn, fray;
    const double *colour;
    bool tweed;
} pieces[] = {
    { -6, 3.4, 3, 2, 0.2, 0.08, navy, true },
    { 5.6, 3, 2.5, 2.5, 0.5, 0.02, cream, false },
    { 5.8, -3.2, 3, 2, 1.0, 0.06, red, true },
};
enum { PIECES = G_N_ELEMENTS(pieces) };

static photo_scraps *found_on(void (*surface)(double, double, const void *,
                                              double[static 3]),
                              const double *colour, double area[static PIECES])
{
    static const double table[4][2] = { { -9, -6 }, { 9, -6 }, { 9, 6 }, { -9, 6 } };
    static const double card[4][2] = {
        { -3.5, -2.5 }, { 3.5, -2.5 }, { 3.5, 2.5 }, { -3.5, 2.5 }
    };
    static const double paper[3] = { 0.85, 0.85, 0.85 };
    g_autoptr(photo_plan) plan = drawn_new(18, 12, colour);
    drawn_polygon(plan, 4, table, surface, colour);
    drawn_polygon(plan, 4, card, drawn_plain, paper);
    for (int i = 0; i < PIECES; i++) {
        double p[RAGGED_MAX][2], shade[RAGGED_MAX][2];
        int n = ragged(pieces[i].x, pieces[i].y, pieces[i].w, pieces[i].h, pieces[i].turn,
                       pieces[i].fray, p);
        double dark[3] = { 0.75 * colour[0], 0.75 * colour[1], 0.75 * colour[2] };
        for (int k = 0; k < n; k++) {
            shade[k][0] = p[k][0] + 0.03;
            shade[k][1] = p[k][1] - 0.03;
        }
        drawn_polygon(plan, n, (const double(*)[2])shade, surface, dark);
        drawn_polygon(plan, n, (const double(*)[2])p,
                      pieces[i].tweed ? tweed : drawn_plain, pieces[i].colour);
        area[i] = area_of(n, (const double(*)[2])p);
    }
    motley_random random;
    motley_random_seed(&random, 21);
    drawn_expose(plan, &random, 0.01);
    photo_scraps *scraps = NULL;
    GError *error = NULL;
    if (!photo_find_scraps(plan, NULL, &scraps, &error))
        fail_msg("%s", error->message);
    return scraps;
}

/* Each is found with its area within a fiftieth, and nothing else is. */
static void hold(const char *where, const photo_scraps *scraps,
                 const double area[static PIECES])
{
    if (scraps->count != PIECES)
        fail_msg("%s: %d scraps", where, scraps->count);
    for (int i = 0; i < PIECES; i++) {
        double least = INFINITY;
        const photo_scrap *nearest = NULL;
        for (int k = 0; k < scraps->count; k++) {
            scrap_point p = scraps->scrap[k].outline.outer.points[0];
            double d = hypot(length_to_inches(p.x) - pieces[i].x,
                             length_to_inches(p.y) - pieces[i].y);
            if (d < least) {
                least = d;
                nearest = &scraps->scrap[k];
            }
        }
        if (fabs(sq_in(nearest) / area[i] - 1) > 0.02)
            fail_msg("%s, piece %d: %.3f sq in for %.3f", where, i, sq_in(nearest),
                     area[i]);
    }
}

static void frayed_tweed_is_found_on_wood(void **state)
{
    (void)state;
    double area[PIECES];
    g_autoptr(photo_scraps) scraps = found_on(wood, wooden, area);
    hold("wood", scraps, area);
}

static void frayed_tweed_is_found_on_a_printed_mat(void **state)
{
    (void)state;
    double area[PIECES];
    g_autoptr(photo_scraps) scraps = found_on(mat, green, area);
    hold("mat", scraps, area);
}

/* Points of an arc, appended; angles in half turns. */
static int arc(double x, double y, double radius, double from, double to, int n,
               double p[][2])
{
    enum { STEPS = 20 };
    for (int i = 0; i <= STEPS; i++) {
        double a = M_PI * (from + (to - from) * i / STEPS);
        p[n][0] = x + radius * cos(a);
        p[n++][1] = y + radius * sin(a);
    }
    return n;
}

/* A blade of 45 mm and a yellow handle of 5 in that covers a part of it. */
static void a_rotary_cutter_is_asked_about(void **state)
{
    (void)state;
    static const double yellow[3] = { 0.7, 0.45, 0.03 }, steel[3] = { 0.5, 0.5, 0.52 };
    static const double square[4][2] = { { -8, 3 }, { -6, 3 }, { -6, 5 }, { -8, 5 } };
    double blade[50][2], handle[50][2];
    int n = arc(1.2, 4.4, 0.886, 0, 2, 0, blade);
    int m = arc(1.6, 4, 0.6, 0.5, 1.5, arc(6.2, 4, 0.45, -0.5, 0.5, 0, handle), handle);
    g_autoptr(photo_plan) plan = drawn_new(18, 12, green);
    motley_random random;
    motley_random_seed(&random, 5);
    drawn_polygon(plan, n, (const double(*)[2])blade, drawn_plain, steel);
    drawn_polygon(plan, m, (const double(*)[2])handle, drawn_plain, yellow);
    drawn_polygon(plan, 4, square, drawn_plain, cream);
    drawn_expose(plan, &random, 0.01);
    g_autoptr(photo_scraps) scraps = NULL;
    GError *error = NULL;
    assert_true(photo_find_scraps(plan, NULL, &scraps, &error));
    int tools = 0;
    for (int i = 0; i < scraps->count; i++) {
        bool tool = scraps->scrap[i].doubts & PHOTO_DOUBT_TOOL;
        bool cloth = scraps->scrap[i].outline.outer.points[0].x < 0;
        if (tool == cloth)
            fail_msg("piece %d of %.2f sq in: %s", i, sq_in(&scraps->scrap[i]),
                     cloth ? "cloth taken for a tool" : "a tool taken for cloth");
        tools += tool;
    }
    assert_in_range(tools, 1, 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frayed_tweed_is_found_on_wood),
        cmocka_unit_test(frayed_tweed_is_found_on_a_printed_mat),
        cmocka_unit_test(a_rotary_cutter_is_asked_about),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
