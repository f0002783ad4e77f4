#include "drawing.h"

#include "base/error.h"
#include "base/random.h"
#include "draw/sheet.h"
#include "draw/weave.h"

#include <cairo.h>

/* ---- Text ---- */

static void fractions_are_set_as_fractions(void **state)
{
    (void)state;
    static const struct {
        const char *plain, *set;
    } rows[] = {
        { "2 1/2 in", "2½ in" },
        { "1/4", "¼" },
        { "0 3/4", "0¾" },
        { "1 11/16 in", "1¹¹⁄₁₆ in" },
        { "7/8", "⅞" },
        { "1/8 3/8 5/8 2/8", "⅛ ⅜ ⅝ ¼" },
        { "12 63/64 in", "12⁶³⁄₆₄ in" },
        { "9/32", "⁹⁄₃₂" },
        { "strips of 2 1/2 x 40 1/8 in", "strips of 2½ x 40⅛ in" },
        /* No measures: dates, shares, sums, names. */
        { "24/7", "24/7" },
        { "1/3", "1/3" },
        { "11/24/2026", "11/24/2026" },
        { "2/1", "2/1" },
        { "1/2/3", "1/2/3" },
        { "A1/2", "A1/2" },
        { "0.1/2", "0.1/2" },
        { "Kite Day", "Kite Day" },
        { "", "" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autofree char *got = draw_text_fractions(rows[i].plain);
        if (strcmp(got, rows[i].set) != 0)
            fail_msg("“%s” became “%s”, not “%s”", rows[i].plain, got, rows[i].set);
    }
}

/* Every fraction of a ruler comes out of our own font, regular and bold. */
static void the_font_has_every_fraction(void **state)
{
    (void)state;
    g_autoptr(draw_scene) scene = draw_scene_new("fractions");
    draw_scene_add_page(scene, 500 * LENGTH_MM, 300 * LENGTH_MM);
    length y = 0;
    for (int den = 2; den <= 64; den *= 2, y += 20 * LENGTH_MM)
        for (int num = 1; num < den; num += 2)
            for (int bold = 0; bold < 2; bold++) {
                char text[32];
                g_snprintf(text, sizeof text, "3 %d/%d in", num, den);
                const draw_text_style style = { .size = DRAW_PT(10), .bold = bold };
                draw_scene_text(scene, &style, num * 7 * LENGTH_MM,
                                y + (bold + 1) * 6 * LENGTH_MM, text);
            }
    g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
    g_autofree char *path = drawing_write("fractions.pdf", pdf);
    g_autofree char *fonts = drawing_run("pdffonts %s", path);
    g_auto(GStrv) lines = g_strsplit(g_strchomp(fonts), "\n", -1);
    for (char **line = lines + 2; *line != NULL; line++)
        if (strstr(*line, "MotleyHyperlegible") == NULL)
            fail_msg("a font from elsewhere: %s", *line);
    g_autofree char *words = drawing_run("pdftotext %s -", path);
    assert_non_null(strstr(words, "3⅞ in"));
    assert_non_null(strstr(words, "3⁶³⁄₆₄ in"));
}

static void no_bytes_break_the_text(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 5);
    g_autoptr(draw_scene) scene = draw_scene_new("\xff\x01 <&>\"' \xef\xbf\xbf");
    draw_scene_add_page(scene, 1000 * LENGTH_MM, 1000 * LENGTH_MM);
    const draw_text_style style = { .size = DRAW_PT(10) };
    for (int i = 0; i < 200; i++) {
        char text[24] = "";
        for (size_t k = 0; k + 1 < sizeof text; k++)
            text[k] = (char)(1 + motley_random_below(&random, 255));
        draw_scene_text(scene, &style, LENGTH_MM, (i + 1) * 4 * LENGTH_MM, text);
    }
    g_autoptr(GBytes) svg = draw_scene_svg(scene, 0);
    g_autofree char *path = drawing_write("bytes.svg", svg);
    drawing_check("xmllint --noout %s", path);
    gsize size;
    const char *data = g_bytes_get_data(svg, &size);
    assert_true(g_utf8_validate(data, (gssize)size, NULL));
}

static void a_text_that_is_cut_fits(void **state)
{
    (void)state;
    const draw_text_style style = { .size = DRAW_PT(12), .bold = true };
    const char *text = "Überwältigend lange Überschrift — Łódź, Háskóli";
    length all = draw_text_width(&style, text);
    for (length room = 0; room <= all + LENGTH_MM; room += 2 * LENGTH_MM) {
        g_autofree char *fitted = draw_text_fit(&style, text, room);
        length least = draw_text_width(&style, "…");
        assert_true(draw_text_width(&style, fitted) <= MAX(room, least));
        if (room >= all)
            assert_string_equal(fitted, text);
    }
}

static void a_paragraph_stays_in_its_width(void **state)
{
    (void)state;
    g_autoptr(draw_scene) scene = draw_scene_new("paragraph");
    draw_scene_add_page(scene, 120 * LENGTH_MM, 200 * LENGTH_MM);
    const draw_text_style style = { .size = DRAW_PT(11) };
    const char *text =
        "Two cards at opposite ends of the table measure better than one, "
        "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamten"
        "gesellschaft or not.\nSecond.";
    length x = 20 * LENGTH_MM, width = 80 * LENGTH_MM;
    length end =
        draw_scene_paragraph(scene, &style, x, 20 * LENGTH_MM, width, text, true);
    assert_int_equal(
        draw_scene_paragraph(NULL, &style, x, 20 * LENGTH_MM, width, text, false), end);
    g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
    g_autofree char *path = drawing_write("paragraph.pdf", pdf);
    g_autofree char *words = drawing_run("pdftotext -bbox %s -", path);
    int seen = 0;
    for (const char *p = words; (p = strstr(p, "<word ")) != NULL; p++, seen++) {
        double x1, y1, x2, y2;
        assert_int_equal(
            sscanf(p, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"", &x1,
                   &y1, &x2, &y2),
            4);
        assert_true(x1 >= length_to_inches(x) * 72 - 1);
        assert_true(x2 <= length_to_inches(x + width) * 72 + 1);
    }
    assert_true(seen >= 14);
}

/* ---- One scene, several writers ---- */

/* Everything that a scene can hold, once; accent for what is coloured on the screen. */
static draw_scene *a_bit_of_all(draw_ink accent)
{
    draw_scene *scene = draw_scene_new("A bit of all");
    draw_scene_add_page(scene, 100 * LENGTH_MM, 80 * LENGTH_MM);
    for (int h = 0; h < DRAW_HATCHES; h++) {
        draw_style style = DRAW_FILL(DRAW_TINT_0 + h % 6);
        style.hatch = (draw_hatch)h;
        style.line.ink = DRAW_INK;
        style.width = DRAW_PT(1);
        draw_scene_rect(scene, &style, (2 + 12 * h) * LENGTH_MM, 2 * LENGTH_MM,
                        11 * LENGTH_MM, 11 * LENGTH_MM);
    }
    for (int s = 0; s < 4; s++) {
        draw_style style = DRAW_STROKE(accent, DRAW_PT(3));
        style.stitch = (draw_stitch)s;
        draw_scene_line(scene, &style, 4 * LENGTH_MM, (18 + 4 * s) * LENGTH_MM,
                        96 * LENGTH_MM, (18 + 4 * s) * LENGTH_MM);
    }
    const draw_point rings[8] = {
        { 4 * LENGTH_MM, 36 * LENGTH_MM },  { 24 * LENGTH_MM, 36 * LENGTH_MM },
        { 24 * LENGTH_MM, 56 * LENGTH_MM }, { 4 * LENGTH_MM, 56 * LENGTH_MM },
        { 10 * LENGTH_MM, 42 * LENGTH_MM }, { 18 * LENGTH_MM, 42 * LENGTH_MM },
        { 18 * LENGTH_MM, 50 * LENGTH_MM }, { 10 * LENGTH_MM, 50 * LENGTH_MM },
    };
    const int counts[2] = { 4, 4 };
    draw_style ring = DRAW_FILL(accent);
    draw_scene_rings(scene, &ring, 2, counts, rings);

    int symbol = draw_scene_symbol_begin(scene, 8 * LENGTH_MM, 8 * LENGTH_MM);
    const draw_point corner[3] = { { 0, 0 }, { 8 * LENGTH_MM, 0 }, { 0, 8 * LENGTH_MM } };
    draw_scene_polygon(scene, &DRAW_FILL(accent), 3, corner);
    draw_scene_symbol_end(scene);
    for (int turn = 0; turn < 4; turn++)
        draw_scene_place(scene, symbol, (28 + 14 * turn) * LENGTH_MM, 36 * LENGTH_MM,
                         (8 + turn) * LENGTH_MM, turn);

    g_autoptr(draw_picture) weave =
        draw_weave_picture((colour_srgb8){ 0xc0, 0x40, 0x20 });
    const draw_point lozenge[4] = { { 40 * LENGTH_MM, 52 * LENGTH_MM },
                                    { 60 * LENGTH_MM, 56 * LENGTH_MM },
                                    { 56 * LENGTH_MM, 76 * LENGTH_MM },
                                    { 36 * LENGTH_MM, 72 * LENGTH_MM } };
    draw_scene_cloth(scene, weave, lozenge[0], 10 * LENGTH_MM, 4, lozenge);
    const draw_point laid[3] = { { 70 * LENGTH_MM, 52 * LENGTH_MM },
                                 { 92 * LENGTH_MM, 56 * LENGTH_MM },
                                 { 66 * LENGTH_MM, 74 * LENGTH_MM } };
    draw_scene_picture(scene, weave, laid, 0, NULL);

    draw_scene_group_begin(scene, "class=\"hidden\"", true);
    draw_scene_group_begin(scene, "class=\"inner\"", false);
    draw_scene_rect(scene, &DRAW_FILL(DRAW_INK), 0, 0, 100 * LENGTH_MM, 80 * LENGTH_MM);
    draw_scene_group_end(scene);
    draw_scene_group_end(scene);

    for (int align = 0; align < 3; align++) {
        const draw_text_style text = { .size = DRAW_PT(9), .align = (draw_align)align };
        draw_scene_text(scene, &text, 18 * LENGTH_MM, (62 + 5 * align) * LENGTH_MM,
                        "2 1/2 & 7/8 in");
    }
    return scene;
}

typedef struct rgb_picture {
    cairo_surface_t *surface;
    int width, height, stride;
    const guint8 *pixels;
} rgb_picture;

static rgb_picture read_png(const char *path)
{
    rgb_picture p = { .surface = cairo_image_surface_create_from_png(path) };
    assert_int_equal(cairo_surface_status(p.surface), CAIRO_STATUS_SUCCESS);
    p.width = cairo_image_surface_get_width(p.surface);
    p.height = cairo_image_surface_get_height(p.surface);
    p.stride = cairo_image_surface_get_stride(p.surface);
    p.pixels = cairo_image_surface_get_data(p.surface);
    return p;
}

/* Share of pixels of which some channel differs by more than so much. */
static double share_apart(const rgb_picture *a, const rgb_picture *b, int by)
{
    int64_t apart = 0;
    assert_int_equal(a->width, b->width);
    assert_true(abs(a->height - b->height) <= 1);
    int height = MIN(a->height, b->height);
    for (int y = 0; y < height; y++)
        for (int x = 0; x < a->width; x++) {
            const guint8 *p = a->pixels + y * a->stride + 4 * x;
            const guint8 *q = b->pixels + y * b->stride + 4 * x;
            apart +=
                abs(p[0] - q[0]) > by || abs(p[1] - q[1]) > by || abs(p[2] - q[2]) > by;
        }
    return (double)apart / a->width / height;
}

/* The SVG, drawn by librsvg with the program's font, beside our own PNG. */
static void svg_and_png_look_alike(void **state)
{
    (void)state;
    g_autofree char *conf = g_strdup_printf(
        "<?xml version=\"1.0\"?><!DOCTYPE fontconfig SYSTEM \"fonts.dtd\"><fontconfig>"
        "<dir>%s</dir><cachedir>%s</cachedir></fontconfig>",
        DRAW_FONT_FOLDER, drawing_folder());
    g_autoptr(GBytes) conf_bytes = g_bytes_new(conf, strlen(conf));
    g_autofree char *conf_path = drawing_write("fonts.conf", conf_bytes);

    g_autoptr(draw_scene) scene = a_bit_of_all(DRAW_ASK);
    enum { WIDE = 1000 };
    g_autoptr(GBytes) png = draw_scene_png(scene, 0, WIDE, NULL);
    g_autoptr(GBytes) svg = draw_scene_svg(scene, 0);
    g_autofree char *png_path = drawing_write("all.png", png);
    g_autofree char *svg_path = drawing_write("all.svg", svg);
    g_autofree char *other = g_build_filename(drawing_folder(), "other.png", NULL);
    drawing_check("env FONTCONFIG_FILE=%s rsvg-convert -w %d -b '#fbf8f3' -o %s %s",
                  conf_path, WIDE, other, svg_path);
    rgb_picture ours = read_png(png_path), theirs = read_png(other);
    double apart = share_apart(&ours, &theirs, 64);
    cairo_surface_destroy(ours.surface);
    cairo_surface_destroy(theirs.surface);
    if (apart > 0.005)
        fail_msg("%.2f %% of the pixels differ", 100 * apart);
}

static void small_pictures_are_the_same_pixels(void **state)
{
    (void)state;
    g_autoptr(draw_scene) scene = a_bit_of_all(DRAW_ASK);
    g_autoptr(GBytes) usual = draw_scene_png(scene, 0, 300, NULL);
    g_autoptr(GBytes) small = draw_scene_small_png(scene, 0, 300, false, NULL);
    g_autoptr(GBytes) dark = draw_scene_small_png(scene, 0, 300, true, NULL);
    g_autofree char *usual_path = drawing_write("usual.png", usual);
    g_autofree char *small_path = drawing_write("small.png", small);
    g_autofree char *dark_path = drawing_write("dark.png", dark);
    rgb_picture a = read_png(usual_path), b = read_png(small_path);
    rgb_picture c = read_png(dark_path);
    assert_true(share_apart(&a, &b, 0) == 0);
    /* ui/style/page.css, --paper of the dark scheme: #1c1a18 */
    static const guint8 paper[] = { 0x18, 0x1a, 0x1c };
    if (G_BYTE_ORDER == G_LITTLE_ENDIAN)
        assert_memory_equal(c.pixels, paper, sizeof paper);
    cairo_surface_destroy(a.surface);
    cairo_surface_destroy(b.surface);
    cairo_surface_destroy(c.surface);
}

/* The page's style sheet is what says how its two schemes look. */
static void the_inks_are_those_of_the_page(void **state)
{
    (void)state;
    g_autofree char *css = NULL;
    assert_true(g_file_get_contents(DRAW_PAGE_STYLE, &css, NULL, NULL));
    const char *tokens[2] = { strstr(css, ":root {"),
                              strstr(css, "@media (prefers-color-scheme: dark)") };
    static const char *const inks[] = { "paper",  "raised", "ink", "quiet",
                                        "thread", "line",   "ask", "stop" };
    for (size_t i = 0; i < G_N_ELEMENTS(inks); i++) {
        g_autofree char *token = g_strdup_printf("--%s: ", inks[i]);
        char want[2][8];
        for (int dark = 0; dark < 2; dark++)
            g_strlcpy(want[dark], strstr(tokens[dark], token) + strlen(token), 8);

        g_autoptr(draw_scene) scene = draw_scene_new("Ink");
        draw_scene_add_page(scene, LENGTH_INCH, LENGTH_INCH);
        draw_style style = DRAW_FILL((draw_ink)(DRAW_PAPER + (int)i));
        draw_scene_rect(scene, &style, 0, 0, LENGTH_INCH, LENGTH_INCH);
        g_autoptr(GBytes) svg = draw_scene_svg_on_page(scene, 0);
        g_autofree char *text =
            g_strndup(g_bytes_get_data(svg, NULL), g_bytes_get_size(svg));
        g_autofree char *light =
            g_strdup_printf("<g class=\"fill-%s\" fill=\"%s\">", inks[i], want[0]);
        g_autofree char *dark = g_strdup_printf(".fill-%s{fill:%s}", inks[i], want[1]);
        if (strstr(text, light) == NULL || strstr(text, dark) == NULL)
            fail_msg("%s is not %s and %s:\n%s", inks[i], want[0], want[1], text);
    }
}

/* The PDF, drawn by poppler, beside our own PNG; in inks that paper and screen share. */
static void pdf_and_png_look_alike(void **state)
{
    (void)state;
    g_autoptr(draw_scene) scene = a_bit_of_all(DRAW_INK);
    enum { WIDE = 1000 };
    g_autoptr(GBytes) png = draw_scene_png(scene, 0, WIDE, NULL);
    g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
    g_autofree char *png_path = drawing_write("all.png", png);
    g_autofree char *pdf_path = drawing_write("all.pdf", pdf);
    g_autofree char *stem = g_build_filename(drawing_folder(), "paper", NULL);
    drawing_check("pdftoppm -png -singlefile -scale-to-x %d -scale-to-y -1 %s %s", WIDE,
                  pdf_path, stem);
    g_autofree char *other = g_strconcat(stem, ".png", NULL);
    rgb_picture ours = read_png(png_path), theirs = read_png(other);
    double apart = share_apart(&ours, &theirs, 96);
    cairo_surface_destroy(ours.surface);
    cairo_surface_destroy(theirs.surface);
    if (apart > 0.005)
        fail_msg("%.2f %% of the pixels differ", 100 * apart);
}

static void the_same_scene_gives_the_same_bytes(void **state)
{
    (void)state;
    g_autoptr(draw_scene) one = a_bit_of_all(DRAW_ASK);
    g_autoptr(draw_scene) two = a_bit_of_all(DRAW_ASK);
    g_autoptr(GBytes) a = draw_scene_svg(one, 0);
    g_autoptr(GBytes) b = draw_scene_svg(two, 0);
    assert_true(g_bytes_equal(a, b));
    g_autoptr(GBytes) c = draw_scene_png(one, 0, 300, NULL);
    g_autoptr(GBytes) d = draw_scene_png(two, 0, 300, NULL);
    assert_true(g_bytes_equal(c, d));
}

static gpointer draw_again(gpointer want)
{
    for (int i = 0; i < 8; i++) {
        g_autoptr(draw_scene) scene = a_bit_of_all(DRAW_ASK);
        g_autoptr(GBytes) png = draw_scene_png(scene, 0, 300, NULL);
        g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
        if (pdf == NULL || !g_bytes_equal(png, want))
            return GINT_TO_POINTER(1);
    }
    return NULL;
}

static void threads_draw_alike(void **state)
{
    (void)state;
    g_autoptr(draw_scene) scene = a_bit_of_all(DRAW_ASK);
    g_autoptr(GBytes) want = draw_scene_png(scene, 0, 300, NULL);
    GThread *threads[4];
    for (int i = 0; i < 4; i++)
        threads[i] = g_thread_new("draw", draw_again, want);
    for (int i = 0; i < 4; i++)
        assert_null(g_thread_join(threads[i]));
}

static void nothing_in_an_svg_needs_a_style_of_its_own(void **state)
{
    (void)state;
    g_autoptr(draw_scene) scene = a_bit_of_all(DRAW_ASK);
    g_autoptr(GBytes) svg = draw_scene_svg(scene, 0);
    gsize size;
    g_autofree char *text =
        g_strndup(g_bytes_get_data(svg, &size), g_bytes_get_size(svg));
    static const char *const refused[] = { "style=", "<style", "<script",
                                           "javascript:", " on" };
    for (size_t i = 0; i < G_N_ELEMENTS(refused); i++)
        if (strstr(text, refused[i]) != NULL)
            fail_msg("the SVG holds “%s”", refused[i]);
    assert_non_null(strstr(text, "class=\"fill-ask\""));
    assert_non_null(strstr(text, "<title>A bit of all</title>"));
}

/* Four quarter turns change nothing. */
static void four_turns_come_back(void **state)
{
    (void)state;
    g_autoptr(draw_scene) scene = draw_scene_new("turns");
    length side = 20 * LENGTH_MM;
    draw_scene_add_page(scene, side, side);
    draw_scene_add_page(scene, side, side);
    int symbol = draw_scene_symbol_begin(scene, side, side);
    const draw_point flag[3] = { { 0, 0 }, { side / 2, side / 5 }, { 0, side / 3 } };
    draw_scene_polygon(scene, &DRAW_FILL(DRAW_INK), 3, flag);
    draw_scene_symbol_end(scene);
    int turned = symbol;
    for (int i = 0; i < 4; i++) {
        int next = draw_scene_symbol_begin(scene, side, side);
        draw_scene_place(scene, turned, 0, 0, side, 1);
        draw_scene_symbol_end(scene);
        turned = next;
    }
    draw_scene_turn_to(scene, 0);
    draw_scene_place(scene, symbol, 0, 0, side, 0);
    draw_scene_turn_to(scene, 1);
    draw_scene_place(scene, turned, 0, 0, side, 0);
    g_autoptr(GBytes) one = draw_scene_png(scene, 0, 200, NULL);
    g_autoptr(GBytes) four = draw_scene_png(scene, 1, 200, NULL);
    g_autofree char *one_path = drawing_write("one.png", one);
    g_autofree char *four_path = drawing_write("four.png", four);
    rgb_picture a = read_png(one_path), b = read_png(four_path);
    assert_true(share_apart(&a, &b, 8) == 0);
    cairo_surface_destroy(a.surface);
    cairo_surface_destroy(b.surface);
}

/* ---- Pictures and papers ---- */

static void what_is_no_picture_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        gsize size;
    } rows[] = {
        { "", 0 },
        { "GIF89a", 6 },
        { "\xff\xd8\xff\xe0 no more", 12 },
        { "\x89PNG\r\n\x1a\n", 8 },
        { "\x89PNG\r\n\x1a\n\0\0\0\rIHDR\x7f\xff\xff\xff\x7f\xff\xff\xff\x08\x02\0\0\0",
          33 },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(GBytes) bytes = g_bytes_new_static(rows[i].bytes, rows[i].size);
        g_autoptr(GError) error = NULL;
        assert_null(draw_picture_new(bytes, NULL, &error));
        assert_string_equal(motley_error_code(error), "draw.picture-unreadable");
    }
}

static void a_picture_of_too_many_pixels_is_refused(void **state)
{
    (void)state;
    g_autoptr(draw_scene) scene = draw_scene_new("long");
    draw_scene_add_page(scene, LENGTH_MM, 1000 * LENGTH_MM);
    g_autoptr(GError) error = NULL;
    assert_null(draw_scene_png(scene, 0, 16384, &error));
    assert_string_equal(motley_error_code(error), "draw.failed");
}

static void papers_are_known_by_name(void **state)
{
    (void)state;
    draw_paper paper;
    assert_true(draw_paper_parse("A4", &paper, NULL));
    assert_int_equal(paper, DRAW_A4);
    assert_true(draw_paper_parse("letter", &paper, NULL));
    assert_int_equal(paper, DRAW_LETTER);
    assert_true(draw_paper_parse(NULL, &paper, NULL));
    assert_int_equal(paper, DRAW_A4);
    g_autoptr(GError) error = NULL;
    assert_false(draw_paper_parse("foolscap", &paper, &error));
    assert_string_equal(motley_error_code(error), "draw.paper-unknown");
    assert_int_equal(motley_error_exit_status(error), 2);
}

/* The mean of the weave's linear light is the fabric's, by a sum of our own. */
static void a_weave_keeps_its_colour(void **state)
{
    (void)state;
    static const colour_srgb8 rows[] = { { 0x2c, 0x4a, 0x80 }, { 0xf2, 0xe6, 0xd0 },
                                         { 0xff, 0xff, 0xff }, { 0, 0, 0 },
                                         { 0xb3, 0x30, 0x2e }, { 0x40, 0x80, 0x40 } };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(GBytes) png = draw_weave_png(rows[i], 128, 16, NULL);
        g_autofree char *path = drawing_write("weave.png", png);
        rgb_picture p = read_png(path);
        double sum[3] = { 0, 0, 0 };
        for (int y = 0; y < p.height; y++)
            for (int x = 0; x < p.width; x++)
                for (int c = 0; c < 3; c++) {
                    double v = p.pixels[y * p.stride + 4 * x + c] / 255.0;
                    sum[c] += v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
                }
        const int want[3] = { rows[i].b, rows[i].g, rows[i].r };
        for (int c = 0; c < 3; c++) {
            double mean = sum[c] / p.width / p.height;
            double coded =
                mean <= 0.0031308 ? 12.92 * mean : 1.055 * pow(mean, 1 / 2.4) - 0.055;
            if (fabs(coded * 255 - want[c]) > 1)
                fail_msg("row %zu channel %d: %.2f, wanted %d", i, c, coded * 255,
                         want[c]);
        }
        cairo_surface_destroy(p.surface);
    }
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
        cmocka_unit_test(fractions_are_set_as_fractions),
        cmocka_unit_test(the_font_has_every_fraction),
        cmocka_unit_test(no_bytes_break_the_text),
        cmocka_unit_test(a_text_that_is_cut_fits),
        cmocka_unit_test(a_paragraph_stays_in_its_width),
        cmocka_unit_test(svg_and_png_look_alike),
        cmocka_unit_test(small_pictures_are_the_same_pixels),
        cmocka_unit_test(the_inks_are_those_of_the_page),
        cmocka_unit_test(pdf_and_png_look_alike),
        cmocka_unit_test(the_same_scene_gives_the_same_bytes),
        cmocka_unit_test(threads_draw_alike),
        cmocka_unit_test(nothing_in_an_svg_needs_a_style_of_its_own),
        cmocka_unit_test(four_turns_come_back),
        cmocka_unit_test(what_is_no_picture_is_refused),
        cmocka_unit_test(a_picture_of_too_many_pixels_is_refused),
        cmocka_unit_test(papers_are_known_by_name),
        cmocka_unit_test(a_weave_keeps_its_colour),
    };
    return cmocka_run_group_tests(tests, NULL, throw_away);
}
