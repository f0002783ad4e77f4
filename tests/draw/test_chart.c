#include "drawing.h"

#include "draw/chart.h"

/* A block of 3 x 3 patches from nine letters. */
static quilt_block block_of(const char *name, const char *letters)
{
    static const char roles[] = "SBLDA";
    quilt_block block = { .side = 3 };
    g_strlcpy(block.name, name, sizeof block.name);
    for (int i = 0; i < 9; i++) {
        uint8_t role = (uint8_t)(strchr(roles, letters[i]) - roles);
        block.patches[i] = (quilt_patch){ .split = QUILT_WHOLE, .role = { role, role } };
    }
    return block;
}

typedef struct sample {
    quilt_block block[3];
    draw_chart_kind kind[3];
    draw_chart_place *places;
    draw_chart chart;
} sample;

/* Chain blocks: two background chains cross a field of scraps (rows of a repeat of 4). */
static void lay_sample(sample *self, int across, int down)
{
    static const char repeat[4][5] = { "1000", "0202", "0010", "0202" };
    static const char *const letters[3] = { "SSSSSSSSS", "BSBSBSBSB", "BSSSBSSSB" };
    static const char *const names[3] = { "plain", "cross", "stroke" };
    for (int k = 0; k < 3; k++) {
        self->block[k] = block_of(names[k], letters[k]);
        self->kind[k] = (draw_chart_kind){ names[k], &self->block[k] };
    }
    self->places = g_new0(draw_chart_place, across * down);
    for (int r = 0; r < down; r++)
        for (int c = 0; c < across; c++)
            self->places[r * across + c] = (draw_chart_place){
                .kind = (int8_t)(repeat[r % 4][c % 4] - '0'),
                .turn = (uint8_t)((r + c) / 2 % 2),
                .made = r < 2,
            };
    self->chart = (draw_chart){ across, down, 3, self->kind, self->places, false, NULL };
}

static const draw_heading heading = { DRAW_A4, "Chart to cross off", "Tideline",
                                      "24 November", DRAW_ENGLISH };

static int count(const char *text, const char *what)
{
    int n = 0;
    for (const char *p = text; (p = strstr(p, what)) != NULL; p += strlen(what))
        n++;
    return n;
}

static char *svg_text(draw_scene *scene, int page)
{
    g_autoptr(GBytes) svg = draw_scene_svg(scene, page);
    gsize size;
    const char *data = g_bytes_get_data(svg, &size);
    return g_strndup(data, size);
}

/* 12 x 16 of this repeat: two cross, four stroke and ten plain in every 4 x 4, so 24, 48
 * and 120. */
static void the_screen_has_every_place_once(void **state)
{
    (void)state;
    sample s;
    lay_sample(&s, 12, 16);
    g_autoptr(draw_scene) scene = draw_chart_screen(&s.chart, "Tideline");
    g_autofree char *svg = svg_text(scene, 0);
    assert_int_equal(count(svg, "class=\"cell "), 192);
    assert_int_equal(count(svg, "class=\"cell kind-0"), 120);
    assert_int_equal(count(svg, "class=\"cell kind-1"), 24);
    assert_int_equal(count(svg, "class=\"cell kind-2"), 48);
    assert_int_equal(count(svg, " made\""), 24);
    assert_int_equal(count(svg, "<g class=\"cross\">"), 24);
    assert_int_equal(count(svg, "<g class=\"cross\" visibility=\"hidden\">"), 168);
    assert_int_equal(count(svg, "data-row=\"16\" data-col=\"12\""), 1);
    assert_int_equal(count(svg, "data-row=\"0\"") + count(svg, "data-col=\"13\""), 0);
    g_free(s.places);
}

/* How many areas the one path has that is painted so. */
static int areas_of(const char *svg, const char *class)
{
    g_autofree char *begin = g_strdup_printf("<g class=\"fill-%s\"", class);
    const char *path = strstr(svg, begin);
    if (path == NULL)
        return 0;
    assert_null(strstr(path + 1, begin));
    const char *end = strstr(path, "</g>");
    g_autofree char *text = g_strndup(path, (size_t)(end - path));
    assert_int_equal(count(text, "<path"), 1);
    return count(text, "z");
}

/* The same 192 blocks by hand: plain is nine scraps; cross has four and five of
 * background, stroke six and three. */
static void the_small_one_is_a_few_paths(void **state)
{
    (void)state;
    sample s;
    lay_sample(&s, 12, 16);
    g_autoptr(draw_scene) scene = draw_chart_small(&s.chart, "Tideline");
    g_autofree char *svg = svg_text(scene, 0);
    assert_int_equal(areas_of(svg, "tint-0"), 120 * 9 + 24 * 4 + 48 * 6);
    assert_int_equal(areas_of(svg, "tint-4"), 24 * 5 + 48 * 3);
    assert_int_equal(areas_of(svg, "thread"), 24);
    assert_non_null(strstr(svg, "width=\"1152\" height=\"1536\""));

    s.chart.on_point = true; /* eight rows of 12 and eight of 11 */
    g_autoptr(draw_scene) turned = draw_chart_small(&s.chart, "Tideline");
    g_autofree char *diamonds = svg_text(turned, 0);
    assert_int_equal(areas_of(diamonds, "tint-0") + areas_of(diamonds, "tint-4"),
                     9 * (8 * 12 + 8 * 11));
    assert_non_null(strstr(diamonds, "width=\"1152\" height=\"816\""));
    g_free(s.places);
}

static void the_geometry_finds_the_cells(void **state)
{
    (void)state;
    sample s;
    lay_sample(&s, 23, 31);
    g_autoptr(draw_scene) scene = draw_chart_screen(&s.chart, "Tideline");
    g_autofree char *svg = svg_text(scene, 0);
    draw_chart_geometry g;
    draw_chart_screen_geometry(23, 31, false, &g);
    g_autofree char *head =
        g_strdup_printf("width=\"%g\" height=\"%g\"", g.width_px, g.height_px);
    assert_non_null(strstr(svg, head));
    for (int r = 0; r < 31; r += 6)
        for (int c = 0; c < 23; c += 7) {
            g_autofree char *cell =
                g_strdup_printf("data-row=\"%d\" data-col=\"%d\"", r + 1, c + 1);
            const char *at = strstr(svg, cell);
            assert_non_null(at);
            double x, y;
            assert_int_equal(sscanf(strstr(at, " x=\""), " x=\"%lf\" y=\"%lf\"", &x, &y),
                             2);
            assert_true(fabs(x - (g.margin_px + c * g.cell_px + c / 10 * g.gap_px)) <
                        0.01);
            assert_true(fabs(y - (g.margin_px + r * g.cell_px + r / 10 * g.gap_px)) <
                        0.01);
        }
    g_free(s.places);
}

/* Words of a page in reading order, by another program. */
static char *words_of(draw_scene *scene, int page)
{
    g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
    assert_non_null(pdf);
    g_autofree char *path = drawing_write("words.pdf", pdf);
    return drawing_run("pdftotext -layout -f %d -l %d %s -", page, page, path);
}

static void the_sheet_says_what_it_is(void **state)
{
    (void)state;
    sample s;
    lay_sample(&s, 12, 16);
    for (int paper = 0; paper < DRAW_PAPERS; paper++) {
        draw_heading h = heading;
        h.paper = paper;
        g_autoptr(draw_scene) scene = draw_chart_sheet(&s.chart, &h);
        assert_int_equal(draw_scene_pages(scene), 1);
        g_autofree char *words = words_of(scene, 1);
        static const char *const said[] = {
            "Chart to cross off",
            "for the quilt Tideline",
            "24 November",
            "page 1 of 1",
            "2 in",
            "5 cm",
            "plain",
            "192 blocks, 24 made",
            "120 blocks, 15 made",
            "24 blocks, 3 made",
            "48 blocks, 6 made",
        };
        for (size_t i = 0; i < G_N_ELEMENTS(said); i++)
            if (strstr(words, said[i]) == NULL)
                fail_msg("paper %d does not say “%s”:\n%s", paper, said[i], words);
        /* A row number on either side, and "16 down". */
        assert_int_equal(count(words, "16"), 3);
    }
    g_free(s.places);
}

/* Places of the page's drawing that are whole blocks, new on this page. */
static int cells_on(draw_scene *scene, int page)
{
    g_autofree char *svg = svg_text(scene, page);
    const char *body = strstr(svg, "</defs>");
    assert_non_null(body);
    int cells = 0;
    for (const char *p = body; (p = strstr(p, "<use ")) != NULL; p++)
        cells++;
    return cells;
}

static void every_place_is_on_some_page_once(void **state)
{
    (void)state;
    static const int sizes[][2] = { { 1, 1 },   { 12, 16 }, { 20, 24 }, { 29, 31 },
                                    { 45, 20 }, { 10, 99 }, { 101, 7 }, { 70, 80 } };
    for (size_t i = 0; i < G_N_ELEMENTS(sizes); i++) {
        int across = sizes[i][0], down = sizes[i][1];
        sample s;
        lay_sample(&s, across, down);
        for (int p = 0; p < across * down; p++)
            s.places[p].made = 0; /* stitches would be counted too */
        g_autoptr(draw_scene) scene = draw_chart_sheet(&s.chart, &heading);
        int all = 0;
        for (int page = 0; page < draw_scene_pages(scene); page++)
            all += cells_on(scene, page);
        /* Repeated ones: a column for each page more across, a row for each page more
         * down, and where they meet one more; the caption says how many pages there are.
         */
        g_autofree char *words = words_of(scene, 1);
        int legend = 3, again = 0, to_col = across, to_row = down;
        const char *cols = strstr(words, "Here columns 1 to "),
                   *rows = strstr(words, "Here rows 1 to ");
        if (cols != NULL)
            to_col = atoi(cols + strlen("Here columns 1 to "));
        if (rows != NULL)
            to_row = atoi(rows + strlen("Here rows 1 to "));
        int pages_across = (across + to_col - 1) / to_col,
            pages_down = (down + to_row - 1) / to_row;
        again = (pages_across - 1) * down + (pages_down - 1) * across +
                (pages_across - 1) * (pages_down - 1);
        if (all != across * down + again + legend)
            fail_msg("%d x %d on %d pages: %d cells, %d wanted", across, down,
                     draw_scene_pages(scene), all, across * down + again + legend);
        g_free(s.places);
    }
}

/* On point every second row is a place shorter: 2 n m - n - m + 1 blocks of n along the
 * upper and m along the left edge, that is n and m rows of each sort interlocked. */
static void on_point_rows_between_are_shorter(void **state)
{
    (void)state;
    for (int n = 1; n <= 9; n += 4)
        for (int m = 1; m <= 7; m += 3) {
            sample s;
            lay_sample(&s, n, 2 * m - 1);
            s.chart.on_point = true;
            g_autoptr(draw_scene) scene = draw_chart_screen(&s.chart, "on point");
            g_autofree char *svg = svg_text(scene, 0);
            assert_int_equal(count(svg, "class=\"cell "), 2 * n * m - n - m + 1);
            draw_chart_geometry g;
            draw_chart_screen_geometry(n, 2 * m - 1, true, &g);
            g_autofree char *head =
                g_strdup_printf("width=\"%g\" height=\"%g\"", g.width_px, g.height_px);
            assert_non_null(strstr(svg, head));
            g_free(s.places);
        }
}

/* Mean grey of each kind's sample on a page printed without colour. */
static void kinds_differ_in_black_and_white(void **state)
{
    (void)state;
    sample s;
    lay_sample(&s, 3, 1);
    for (int k = 0; k < 3; k++)
        s.places[k] = (draw_chart_place){ .kind = (int8_t)k };
    g_autoptr(draw_scene) scene = draw_chart_screen(&s.chart, "three kinds");
    draw_chart_geometry g;
    draw_chart_screen_geometry(3, 1, false, &g);
    g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
    g_autofree char *path = drawing_write("kinds.pdf", pdf);
    drawing_grey grey = drawing_raster(path, 1, 288); /* 3 pixels to a CSS pixel */
    double mean[3], rough[3];
    for (int k = 0; k < 3; k++) {
        int x1 = (int)(3 * (g.margin_px + k * g.cell_px)) + 3,
            y1 = (int)(3 * g.margin_px) + 3;
        int side = (int)(3 * g.cell_px) - 6;
        double sum = 0, edges = 0;
        for (int y = y1; y < y1 + side; y++)
            for (int x = x1; x < x1 + side; x++) {
                guint8 here = grey.pixels[y * grey.width + x];
                sum += here;
                edges += abs(here - grey.pixels[y * grey.width + x + 1]) > 60;
            }
        mean[k] = sum / side / side;
        rough[k] = edges / side;
    }
    g_free(grey.pixels);
    for (int a = 0; a < 3; a++)
        for (int b = a + 1; b < 3; b++)
            if (fabs(mean[a] - mean[b]) < 12 && fabs(rough[a] - rough[b]) < 4)
                fail_msg("kinds %d and %d: grey %.0f and %.0f, edges %.1f and %.1f", a, b,
                         mean[a], mean[b], rough[a], rough[b]);
    g_free(s.places);
}

static void the_page_is_well_formed_and_the_file_sound(void **state)
{
    (void)state;
    sample s;
    lay_sample(&s, 45, 60);
    draw_heading h = { DRAW_LETTER, "A <chart> & \"more\"", "Kite \x01 Day\xff", NULL,
                       DRAW_ENGLISH };
    g_autoptr(draw_scene) scene = draw_chart_sheet(&s.chart, &h);
    for (int page = 0; page < draw_scene_pages(scene); page++) {
        g_autoptr(GBytes) svg = draw_scene_svg(scene, page);
        g_autofree char *path = drawing_write("chart.svg", svg);
        drawing_check("xmllint --noout %s", path);
    }
    g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
    g_autofree char *path = drawing_write("chart.pdf", pdf);
    drawing_check("qpdf --check %s", path);
    g_free(s.places);
}

static int throw_away(void **state)
{
    (void)state;
    drawing_clean();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_screen_has_every_place_once),
        cmocka_unit_test(the_small_one_is_a_few_paths),
        cmocka_unit_test(the_geometry_finds_the_cells),
        cmocka_unit_test(the_sheet_says_what_it_is),
        cmocka_unit_test(every_place_is_on_some_page_once),
        cmocka_unit_test(on_point_rows_between_are_shorter),
        cmocka_unit_test(kinds_differ_in_black_and_white),
        cmocka_unit_test(the_page_is_well_formed_and_the_file_sound),
    };
    return cmocka_run_group_tests(tests, NULL, throw_away);
}
