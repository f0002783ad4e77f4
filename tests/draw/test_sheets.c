#include "drawing.h"

#include "draw/block.h"
#include "draw/card.h"
#include "draw/chart.h"
#include "draw/cutlist.h"
#include "draw/cutting.h"
#include "draw/flow.h"
#include "draw/labels.h"
#include "draw/map.h"
#include "draw/shopping.h"
#include "draw/weave.h"

#include <cairo.h>

/* ---- What the sheets are made from ---- */

static const char design_text[] =
    "name Harbour lattice\n"
    "about Chains of background over scraps, a split square in the middle.\n"
    "block plain S S S / S S S / S S S\n"
    "block cross B S B / S L/D S / B S B\n"
    "block stroke B S S / S B S / S S B\n"
    "repeat cross plain plain plain\n"
    "repeat plain stroke plain stroke+1\n"
    "repeat plain plain cross plain\n"
    "repeat plain stroke+1 plain stroke\n";

typedef struct sample {
    quilt_design design;
    quilt_layout layout;
    quilt_frame frame;
    quilt_shopping shopping;
    draw_chart_kind kinds[DRAW_CHART_KINDS_MAX];
} sample;

static void make_sample(sample *self, int across, int down)
{
    memset(self, 0, sizeof *self);
    assert_true(quilt_design_parse(design_text, strlen(design_text), "harbour-lattice",
                                   &self->design, NULL));
    assert_true(quilt_layout_make(&self->design, across, down, (quilt_start){ 0, 0 },
                                  &self->layout, NULL));
    self->frame =
        quilt_frame_make(&self->design, across, down, LENGTH_INCH * 5 / 2, QUILT_SEAM);
    self->frame.border_count = 2;
    self->frame.borders[0] = (quilt_frame_border){ LENGTH_INCH, QUILT_DARK, false };
    self->frame.borders[1] = (quilt_frame_border){ LENGTH_INCH * 3, QUILT_ACCENT, true };
    quilt_buying buying = quilt_buying_defaults();
    buying.sleeve = 4 * LENGTH_INCH;
    assert_true(quilt_shopping_make(&self->design, &self->layout, &self->frame, &buying,
                                    &self->shopping, NULL));
    for (int k = 0; k < self->layout.kinds.count; k++) {
        const quilt_block *block =
            &self->design.blocks[self->layout.kinds.kinds[k].block];
        self->kinds[k] = (draw_chart_kind){ block->name, block };
    }
}

static draw_scene *map_of(const sample *s, const draw_heading *heading)
{
    int count = s->layout.count;
    g_autofree draw_map_place *places = g_new0(draw_map_place, count);
    g_autoptr(GPtrArray) labels = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(draw_picture) cloth =
        draw_weave_picture((colour_srgb8){ 0x90, 0x50, 0x70 });
    for (int i = 0; i < count; i++) {
        g_ptr_array_add(labels, g_strdup_printf("%d", 100 + i));
        /* Some by their own picture, the same one often. */
        places[i] = (draw_map_place){ .picture = i % 4 == 3 ? cloth : NULL,
                                      .kind = (int8_t)s->layout.places[i].kind,
                                      .turn = s->layout.places[i].turn,
                                      .label = i % 9 == 8 ? NULL : labels->pdata[i] };
    }
    const draw_map map = { s->layout.across, s->layout.down, s->layout.kinds.count,
                           s->kinds,         places,         false };
    return draw_map_sheet(&map, heading);
}

static draw_scene *chart_of(const sample *s, const draw_heading *heading)
{
    int count = s->layout.count;
    g_autofree draw_chart_place *places = g_new0(draw_chart_place, count);
    for (int i = 0; i < count; i++)
        places[i] = (draw_chart_place){ .kind = (int8_t)s->layout.places[i].kind,
                                        .turn = s->layout.places[i].turn,
                                        .made = i % 3 == 0 };
    const draw_chart chart = { .across = s->layout.across,
                               .down = s->layout.down,
                               .kind_count = s->layout.kinds.count,
                               .kinds = s->kinds,
                               .places = places };
    return draw_chart_sheet(&chart, heading);
}

/* Three scraps: one of eleven corners' worth of wobble, a long rectangle, a triangle. */
static draw_scene *cutting_of(const draw_heading *heading)
{
    static const scrap_point wobbly[] = { { 0, 0 },         { 30000, -2500 },
                                          { 73000, 500 },   { 81000, 40000 },
                                          { 60000, 58000 }, { 31000, 57000 },
                                          { -7000, 48000 } };
    static const scrap_point remnant[] = { { 0, 0 },
                                           { 18 * LENGTH_INCH, 0 },
                                           { 18 * LENGTH_INCH, 9 * LENGTH_INCH },
                                           { 0, 9 * LENGTH_INCH } };
    static const scrap_point corner[] = { { 0, 0 },
                                          { 5 * LENGTH_INCH, 0 },
                                          { 0, 6 * LENGTH_INCH } };
    const scrap_outline outlines[] = { { { G_N_ELEMENTS(wobbly), wobbly }, 0, NULL },
                                       { { G_N_ELEMENTS(remnant), remnant }, 0, NULL },
                                       { { G_N_ELEMENTS(corner), corner }, 0, NULL } };
    static const char *const names[] = { "Scrap 1", "Scrap 2", "Scrap 3" };
    enum { COUNT = G_N_ELEMENTS(outlines) };
    g_autoptr(draw_picture) cloth =
        draw_weave_picture((colour_srgb8){ 0x30, 0x60, 0x50 });
    draw_cutting_scrap scraps[COUNT];
    for (int i = 0; i < COUNT; i++) {
        scrap_plan_request request = SCRAP_PLAN_USUAL;
        static const length units[COUNT] = { LENGTH_INCH * 3 / 2, 2 * LENGTH_INCH,
                                             LENGTH_INCH * 3 / 8 };
        request.unit = units[i];
        scraps[i] = (draw_cutting_scrap){
            .name = names[i],
            .fabric = i == 0
                          ? "A fabric with a name that goes on for longer than its column"
                          : NULL,
            .setting = i < 2 ? "Plain ruler" : "Slotted ruler",
            .outline = &outlines[i],
            .plan = scrap_plan_make(&outlines[i], &request, NULL),
            .picture = i == 0 ? cloth : NULL,
            .picture_corner = { { -9000, 60000 }, { 90000, 60000 }, { -9000, -9000 } },
        };
        assert_non_null(scraps[i].plan);
    }
    draw_scene *scene = draw_cutting_sheet(COUNT, scraps, heading);
    for (int i = 0; i < COUNT; i++)
        scrap_plan_free((scrap_plan *)scraps[i].plan);
    return scene;
}

static draw_scene *flow_of(const draw_heading *heading)
{
    draw_flow flow = draw_flow_begin(heading);
    static const draw_flow_column columns[] = { { "row", 1, DRAW_RIGHT },
                                                { "what to do, told at length", 4,
                                                  DRAW_LEFT },
                                                { "blocks", 1, DRAW_CENTRE } };
    static const char task[] =
        "Press every second seam the other way, then join the rows "
        "from the middle outward and back";
    static const char *const row[] = { "12 1/2", task, "7" };
    const char *cells[90 * 3];
    for (size_t i = 0; i < G_N_ELEMENTS(cells); i++)
        cells[i] = row[i % 3];
    draw_flow_heading(&flow, "Rows", 0);
    draw_flow_paragraph(&flow, "Sew from left to right.");
    draw_flow_table(&flow, 3, columns, 90, cells);
    for (int i = 0; i < 40; i++)
        draw_flow_tick(&flow, row[1], "2 1/2 yd");
    return draw_flow_end(&flow);
}

static const struct {
    const char *name;
    const char *title;
} sheets[] = {
    { "card", NULL },
    { "chart", "Chart to cross off" },
    { "map", "Arrangement map" },
    { "cutting", "Cutting sheet" },
    { "shopping", "Shopping list" },
    { "cutlist", "Cutting list" },
    { "rows", "Labels for rows" },
    { "label", "Label for the back" },
    { "flow",
      "A title that is much too long for the room that a sheet has at its head, and so "
      "has to be cut short with dots somewhere along its way" },
};

static draw_scene *rows_of(const sample *s, const draw_heading *heading)
{
    int blocks[100];
    for (int row = 0; row < s->layout.rows; row++)
        quilt_layout_row(&s->layout, row, &blocks[row]);
    const draw_rows rows = { "Tideline, for the harbour master and all of his family",
                             s->layout.rows, blocks, false };
    return draw_rows_sheet(&rows, heading);
}

static draw_scene *label_of(const draw_heading *heading)
{
    static const draw_label label = { "A quilt with quite a long name for its label",
                                      { "made by the one who made it", NULL,
                                        "2 March 2024 to 24 November 2026",
                                        "Lattice chain, 192 blocks",
                                        "Cloth from Harbour, Orchard, Kite Day, Winter "
                                        "Wheat and all that was left over "
                                        "when each of these was done",
                                        "Wash cool and gently, dry flat." } };
    return draw_label_sheet(&label, heading);
}

static draw_scene *sheet_of(const char *name, const sample *s,
                            const draw_heading *heading)
{
    static const char *const names[QUILT_ITEMS_MAX] = { "Oat" };
    if (strcmp(name, "card") == 0)
        return draw_card_sheet(heading->paper, heading->language);
    if (strcmp(name, "chart") == 0)
        return chart_of(s, heading);
    if (strcmp(name, "map") == 0)
        return map_of(s, heading);
    if (strcmp(name, "cutting") == 0)
        return cutting_of(heading);
    if (strcmp(name, "shopping") == 0)
        return draw_shopping_sheet(
            &s->shopping, names,
            heading->paper == DRAW_A4 ? LENGTH_METRIC : LENGTH_INCHES, heading);
    if (strcmp(name, "cutlist") == 0)
        return draw_cutlist_sheet(
            &s->shopping, names,
            heading->paper == DRAW_A4 ? LENGTH_METRIC : LENGTH_INCHES, heading);
    if (strcmp(name, "rows") == 0)
        return rows_of(s, heading);
    if (strcmp(name, "label") == 0)
        return label_of(heading);
    return flow_of(heading);
}

/* ---- Words on paper ---- */

typedef struct word {
    double x1, y1, x2, y2;
    char text[64];
} word;

/* The words of each page by another program; pages are marked by a word of no width. */
static GArray *words_of(const char *pdf, double *ret_width, double *ret_height)
{
    GArray *words = g_array_new(FALSE, TRUE, sizeof(word));
    g_autofree char *text = drawing_run("pdftotext -bbox %s -", pdf);
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    for (char **line = lines; *line != NULL; line++) {
        word w = { 0 };
        if (sscanf(*line, " <page width=\"%lf\" height=\"%lf\"", ret_width, ret_height) ==
            2)
            g_array_append_val(words, w);
        if (sscanf(*line,
                   " <word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\">%63[^<]",
                   &w.x1, &w.y1, &w.x2, &w.y2, w.text) == 5)
            g_array_append_val(words, w);
    }
    return words;
}

/* No two words over one another, none over the printer's margin. The boxes are as high as
 * the font's ascent and descent, which no letter fills: a fifth is taken off either way.
 */
static void check_words(const char *name, const GArray *words, double wide, double high)
{
    for (guint i = 0; i < words->len; i++) {
        const word *a = &g_array_index(words, word, i);
        if (a->x2 == 0)
            continue;
        if (a->x1 < 28 || a->y1 < 28 || a->x2 > wide - 28 || a->y2 > high - 28)
            fail_msg("%s: “%s” at %.0f, %.0f leaves the page", name, a->text, a->x1,
                     a->y1);
        for (guint k = i + 1; k < words->len; k++) {
            const word *b = &g_array_index(words, word, k);
            if (b->x2 == 0)
                break; /* the next page */
            double over_x = MIN(a->x2, b->x2) - MAX(a->x1, b->x1);
            double trim = 0.2 * MIN(a->y2 - a->y1, b->y2 - b->y1);
            double over_y = MIN(a->y2, b->y2) - MAX(a->y1, b->y1) - 2 * trim;
            if (over_x > 0.5 && over_y > 0)
                fail_msg("%s: “%s” and “%s” overlap at %.0f, %.0f", name, a->text,
                         b->text, a->x1, a->y1);
        }
    }
}

static void no_word_lies_over_another_or_off_the_page(void **state)
{
    (void)state;
    static const int sizes[][2] = { { 1, 1 }, { 12, 16 }, { 33, 41 } };
    for (size_t size = 0; size < G_N_ELEMENTS(sizes); size++) {
        sample s;
        make_sample(&s, sizes[size][0], sizes[size][1]);
        for (int way = 0; way < 2 * DRAW_PAPERS; way++)
            for (size_t i = 0; i < G_N_ELEMENTS(sheets); i++) {
                const draw_heading heading = { way / 2, sheets[i].title, "Tideline",
                                               "24 November 2026",
                                               way % 2 == 0 ? DRAW_ENGLISH
                                                            : DRAW_GERMAN };
                g_autoptr(draw_scene) scene = sheet_of(sheets[i].name, &s, &heading);
                g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
                assert_non_null(pdf);
                g_autofree char *path = drawing_write("sheet.pdf", pdf);
                double wide = 0, high = 0;
                g_autoptr(GArray) words = words_of(path, &wide, &high);
                assert_true(words->len > 8);
                check_words(sheets[i].name, words, wide, high);
            }
        quilt_layout_clear(&s.layout);
    }
}

/* What look.md asks of each sheet: what, for which quilt, date, page n of m, scale line.
 */
static void every_page_says_what_it_is(void **state)
{
    (void)state;
    sample s;
    make_sample(&s, 24, 30);
    for (size_t i = 1; i + 1 < G_N_ELEMENTS(sheets); i++) {
        const draw_heading heading = { DRAW_A4, sheets[i].title, "Tideline",
                                       "24 November 2026", DRAW_ENGLISH };
        g_autoptr(draw_scene) scene = sheet_of(sheets[i].name, &s, &heading);
        g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
        g_autofree char *path = drawing_write("sheet.pdf", pdf);
        int pages = draw_scene_pages(scene);
        for (int page = 1; page <= pages; page++) {
            g_autofree char *text =
                drawing_run("pdftotext -f %d -l %d %s -", page, page, path);
            g_autofree char *number = g_strdup_printf("page %d of %d", page, pages);
            const char *const said[] = { sheets[i].title,
                                         "for the quilt Tideline",
                                         "24 November 2026",
                                         number,
                                         "2 in",
                                         "5 cm" };
            for (size_t k = 0; k < G_N_ELEMENTS(said); k++)
                if (strstr(text, said[k]) == NULL)
                    fail_msg("%s, page %d does not say “%s”", sheets[i].name, page,
                             said[k]);
        }
        drawing_check("qpdf --check %s", path);
        for (int page = 0; page < pages; page++) {
            g_autoptr(GBytes) svg = draw_scene_svg(scene, page);
            g_autofree char *svg_path = drawing_write("sheet.svg", svg);
            drawing_check("xmllint --noout %s", svg_path);
        }
    }
    quilt_layout_clear(&s.layout);
}

/* 2 in are 1200 px at 600 dpi, 5 cm are 1181.1. */
static void the_scale_lines_are_true(void **state)
{
    (void)state;
    for (int paper = 0; paper < DRAW_PAPERS; paper++) {
        const draw_heading heading = { paper, "Rows", NULL, NULL, DRAW_ENGLISH };
        draw_flow flow = draw_flow_begin(&heading);
        g_autoptr(draw_scene) scene = draw_flow_end(&flow);
        g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
        g_autofree char *path = drawing_write("scale.pdf", pdf);
        drawing_grey grey = drawing_raster(path, 1, 600);
        GArray *runs = g_array_new(FALSE, FALSE, sizeof(int));
        int top = (int)(length_to_inches(draw_sheet_frame(paper).bottom) * 600);
        for (int y = top, last = 0; y < grey.height; y++) {
            int most = 0;
            for (int x = 0, run = 0; x < grey.width; x++) {
                run = grey.pixels[(gsize)y * (gsize)grey.width + (gsize)x] < 128 ? run + 1
                                                                                 : 0;
                most = MAX(most, run);
            }
            if (most > 600 && last <= 600)
                g_array_append_val(runs, most);
            last = most;
        }
        g_free(grey.pixels);
        assert_int_equal(runs->len, 2);
        /* The outer ticks are 5 px wide and stand half over each end. */
        assert_true(abs(g_array_index(runs, int, 0) - 5 - 1200) < 4);
        assert_true(fabs(g_array_index(runs, int, 1) - 5 - 1181.1) < 4);
        g_array_unref(runs);
    }
}

/* ---- Lists ---- */

static void every_row_has_its_label_once(void **state)
{
    (void)state;
    sample s;
    make_sample(&s, 12, 33);
    const draw_heading heading = { DRAW_LETTER, "Labels for rows", "Tideline", NULL,
                                   DRAW_ENGLISH };
    g_autoptr(draw_scene) scene = rows_of(&s, &heading);
    g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
    g_autofree char *path = drawing_write("rows.pdf", pdf);
    g_autofree char *text = drawing_run("pdftotext -layout %s -", path);
    for (int row = 1; row <= 33; row++) {
        g_autofree char *pattern = g_strdup_printf("Row %d(?!\\d)", row);
        g_autoptr(GRegex) regex = g_regex_new(pattern, 0, 0, NULL);
        g_autoptr(GMatchInfo) match = NULL;
        int times = 0;
        for (g_regex_match(regex, text, 0, &match); g_match_info_matches(match);
             g_match_info_next(match, NULL))
            times++;
        if (times != 1)
            fail_msg("row %d stands there %d times", row, times);
    }
    quilt_layout_clear(&s.layout);
}

static void the_shopping_list_names_every_amount(void **state)
{
    (void)state;
    sample s;
    make_sample(&s, 12, 16);
    const draw_heading heading = { DRAW_LETTER, "Shopping list", "Tideline", NULL,
                                   DRAW_ENGLISH };
    g_autoptr(draw_scene) scene =
        draw_shopping_sheet(&s.shopping, NULL, LENGTH_INCHES, &heading);
    g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
    g_autofree char *path = drawing_write("shopping.pdf", pdf);
    g_autofree char *text = drawing_run("pdftotext -layout %s -", path);
    for (int i = 0; i < s.shopping.item_count; i++) {
        char yards[LENGTH_TEXT_SIZE];
        g_autofree char *set =
            draw_text_fractions(length_text_yd_up(s.shopping.items[i].buy_yards, yards));
        if (strstr(text, set) == NULL)
            fail_msg("%s of %s is missing", set, quilt_item_name(&s.shopping.items[i]));
    }
    g_autofree char *squares = g_strdup_printf("%" PRId64, s.shopping.asked[0].count);
    assert_non_null(strstr(text, squares));
    assert_non_null(strstr(text, "bolt"));
    quilt_layout_clear(&s.layout);
}

/* On point, with sashes, borders and a bias binding: every kind of text that the list
 * has. */
static void make_hard_shopping(sample *self)
{
    static const char text[] = "name Ferry\n"
                               "block star B/S S B/S / S S/L S / B/S S B/S\n"
                               "repeat star\n"
                               "set on point\n";
    memset(self, 0, sizeof *self);
    assert_true(quilt_design_parse(text, strlen(text), "ferry", &self->design, NULL));
    assert_true(quilt_layout_make(&self->design, 18, 20, (quilt_start){ 0, 0 },
                                  &self->layout, NULL));
    self->frame =
        quilt_frame_make(&self->design, 18, 20, LENGTH_INCH * 5 / 2, QUILT_SEAM);
    self->frame.sash = LENGTH_INCH;
    self->frame.sash_role = QUILT_BACKGROUND;
    self->frame.border_count = 1;
    self->frame.borders[0] = (quilt_frame_border){ LENGTH_INCH * 3, QUILT_ACCENT, true };
    quilt_buying buying = quilt_buying_defaults();
    buying.sleeve = 4 * LENGTH_INCH;
    buying.binding_bias = true;
    assert_true(quilt_shopping_make(&self->design, &self->layout, &self->frame, &buying,
                                    &self->shopping, NULL));
}

static void the_cutting_list_is_nowhere_cut_short(void **state)
{
    (void)state;
    sample s;
    make_hard_shopping(&s);
    for (int way = 0; way < 4; way++) {
        const draw_language language = way % 2 == 0 ? DRAW_ENGLISH : DRAW_GERMAN;
        const draw_heading heading = { DRAW_A4, "Cutting list", "Ferry", NULL, language };
        g_autoptr(draw_scene) scene = draw_cutlist_sheet(
            &s.shopping, NULL, way / 2 == 0 ? LENGTH_INCHES : LENGTH_METRIC, &heading);
        g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
        g_autofree char *path = drawing_write("cutlist.pdf", pdf);
        g_autofree char *text = drawing_run("pdftotext -layout %s -", path);
        assert_non_null(
            strstr(text, draw_words_of(language, "square for corner triangles")));
        if (strstr(text, "…") != NULL)
            fail_msg("a text is cut short:\n%s", text);
    }
    quilt_layout_clear(&s.layout);
}

static int count(const char *text, const char *what)
{
    int n = 0;
    for (const char *p = text; (p = strstr(p, what)) != NULL; p += strlen(what))
        n++;
    return n;
}

static char *svg_text(draw_scene *scene)
{
    g_autoptr(GBytes) svg = draw_scene_svg(scene, 0);
    gsize size;
    const char *data = g_bytes_get_data(svg, &size);
    return g_strndup(data, size);
}

/* The cloth itself, each strip, each piece that is cut from one strip, and the ticks of
 * letters that lie in the second row. */
static void the_cloth_is_drawn_with_every_strip_and_piece(void **state)
{
    (void)state;
    sample s;
    make_sample(&s, 12, 16);
    for (int i = 0; i < s.shopping.item_count; i++) {
        const quilt_item *item = &s.shopping.items[i];
        int want = 1;
        for (int k = 0; k < item->line_count; k++)
            want += (int)(item->lines[k].strips +
                          (item->lines[k].per_strip > 0 ? item->lines[k].pieces : 0));
        g_autoptr(draw_scene) scene = draw_cloth_scene(item, 8 * LENGTH_INCH);
        g_autofree char *svg = svg_text(scene);
        int closed = count(svg, "z\"/>");
        if (closed != want)
            fail_msg("%s: %d areas, %d wanted", quilt_item_name(item), closed, want);
    }
    quilt_layout_clear(&s.layout);
}

/* On point: rows of 5 and of 4, each place labelled once, what pads the short rows never,
 * on one page and over several. */
static void a_map_on_point_shows_every_place_once(void **state)
{
    (void)state;
    static const int sizes[][2] = { { 5, 7 }, { 13, 9 }, { 2, 31 } };
    for (size_t size = 0; size < G_N_ELEMENTS(sizes); size++) {
        int across = sizes[size][0], down = sizes[size][1];
        g_autofree draw_map_place *places = g_new0(draw_map_place, across * down);
        g_autoptr(GPtrArray) labels = g_ptr_array_new_with_free_func(g_free);
        sample s;
        make_sample(&s, 4, 4);
        for (int i = 0; i < across * down; i++) {
            g_ptr_array_add(labels, g_strdup_printf("k%d", i));
            places[i] = (draw_map_place){ .label = labels->pdata[i] };
        }
        const draw_map map = {
            across, down, s.layout.kinds.count, s.kinds, places, true
        };
        const draw_heading heading = { DRAW_A4, "Arrangement map", NULL, NULL,
                                       DRAW_ENGLISH };
        g_autoptr(draw_scene) scene = draw_map_sheet(&map, &heading);
        g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
        g_autofree char *path = drawing_write("map.pdf", pdf);
        double wide, high;
        g_autoptr(GArray) words = words_of(path, &wide, &high);
        check_words("map on point", words, wide, high);
        for (int i = 0; i < across * down; i++) {
            bool padding = i / across % 2 == 1 && i % across == across - 1;
            int seen = 0;
            for (guint k = 0; k < words->len; k++)
                seen += strcmp(g_array_index(words, word, k).text, labels->pdata[i]) == 0;
            if (seen != !padding)
                fail_msg("%d x %d: place %d is seen %d times", across, down, i, seen);
        }
        quilt_layout_clear(&s.layout);
    }
}

/* ---- Blocks ---- */

/* Colours of the middles of the patches, by our own PNG, for each turn against the room
 * quilt's own turning of the block. */
static void a_turned_block_shows_its_patches_where_they_go(void **state)
{
    (void)state;
    sample s;
    make_sample(&s, 4, 4);
    const quilt_block *block = &s.design.blocks[1];
    draw_fabric fabrics[18];
    const draw_fabric *chosen[18];
    for (int i = 0; i < 18; i++) {
        fabrics[i] = (draw_fabric){ .colour = { (uint8_t)(10 * i + 40),
                                                (uint8_t)(200 - 9 * i), 90 } };
        chosen[i] = &fabrics[i];
    }
    for (int turn = 0; turn < 4; turn++) {
        g_autoptr(draw_scene) scene =
            draw_block_scene(block, chosen, turn, 3 * LENGTH_INCH, "block");
        g_autoptr(GBytes) png = draw_scene_png(scene, 0, 300, NULL);
        g_autofree char *path = drawing_write("block.png", png);
        cairo_surface_t *surface = cairo_image_surface_create_from_png(path);
        const guint8 *pixels = cairo_image_surface_get_data(surface);
        int stride = cairo_image_surface_get_stride(surface);
        for (int row = 0; row < 3; row++)
            for (int col = 0; col < 3; col++) {
                if (row == 1 && col == 1)
                    continue; /* the split patch: see below */
                /* Where this patch of the turned block lay before. */
                int r = row, c = col;
                for (int t = 0; t < turn; t++) {
                    int before = r;
                    r = 2 - c;
                    c = before;
                }
                const guint8 *p =
                    pixels + (row * 100 + 50) * stride + 4 * (col * 100 + 50);
                colour_srgb8 want = fabrics[2 * (3 * r + c)].colour;
                if (abs(p[2] - want.r) > 1 || abs(p[1] - want.g) > 1)
                    fail_msg("turn %d, patch %d, %d: %d %d, wanted %d %d", turn, row, col,
                             p[2], p[1], want.r, want.g);
            }
        /* L/D: light lies upper left; after a quarter turn upper right, and so on. */
        static const int light[4][2] = {
            { 125, 125 }, { 175, 125 }, { 175, 175 }, { 125, 175 }
        };
        const guint8 *p = pixels + light[turn][1] * stride + 4 * light[turn][0];
        assert_true(abs(p[2] - fabrics[8].colour.r) <= 1);
        cairo_surface_destroy(surface);
    }
    quilt_layout_clear(&s.layout);
}

static void a_design_is_drawn_in_its_true_shape(void **state)
{
    (void)state;
    sample s;
    make_sample(&s, 8, 12);
    const draw_cloths none = { { 0 }, { NULL } };
    g_autoptr(draw_scene) scene = draw_design_scene(&s.design, &s.layout, &s.frame, &none,
                                                    1, 8 * LENGTH_INCH, NULL);
    assert_non_null(scene);
    double shape = (double)draw_scene_height(scene, 0) / draw_scene_width(scene, 0);
    /* 8 and 12 blocks of 6 in, borders of 1 and 3 in all round: 56 x 80 in. */
    assert_true(fabs(shape - 80.0 / 56) < 1e-4);
    g_autofree char *svg = svg_text(scene);
    assert_true(strlen(svg) < 200000);
    quilt_layout_clear(&s.layout);
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
        cmocka_unit_test(no_word_lies_over_another_or_off_the_page),
        cmocka_unit_test(every_page_says_what_it_is),
        cmocka_unit_test(the_scale_lines_are_true),
        cmocka_unit_test(every_row_has_its_label_once),
        cmocka_unit_test(the_shopping_list_names_every_amount),
        cmocka_unit_test(the_cutting_list_is_nowhere_cut_short),
        cmocka_unit_test(the_cloth_is_drawn_with_every_strip_and_piece),
        cmocka_unit_test(a_map_on_point_shows_every_place_once),
        cmocka_unit_test(a_turned_block_shows_its_patches_where_they_go),
        cmocka_unit_test(a_design_is_drawn_in_its_true_shape),
    };
    return cmocka_run_group_tests(tests, NULL, throw_away);
}
