/* The sheet "sew": each kind of block with its rows and their pressing, what to cut, and
 * which blocks are pressed otherwise, to lie by the machine. */
#include "sewsheet-internal.h"

#include "laid-internal.h"

#include "draw/block.h"
#include "draw/flow.h"

#define BLOCK_SIDE (34 * LENGTH_MM)
#define BLOCK_GAP  (6 * LENGTH_MM)
#define WAY_SIDE   (7 * LENGTH_MM)

/* What the document calls it in a field, in her language. */
static const char *words_at(const json_t *object, const char *field,
                            draw_language language)
{
    return draw_words_of(language, json_string_value(json_object_get(object, field)));
}

static void tell_cutting(draw_flow *flow, const json_t *sew)
{
    size_t i;
    json_t *cut;
    char text[LENGTH_TEXT_SIZE];
    const draw_language language = flow->heading->language;
    if (json_array_size(json_object_get(sew, "cut")) == 0)
        return;
    draw_flow_heading(flow, draw_words(language, "Cut ahead"), 12 * LENGTH_MM);
    json_array_foreach (json_object_get(sew, "cut"), i, cut) {
        double size = json_number_value(json_object_get(cut, "size_in"));
        g_autofree char *line =
            g_strdup_printf(draw_words(language, "%s, squares of %s, for %s"),
                            words_at(cut, "role", language),
                            draw_unit(language, length_from_inches(size), text),
                            words_at(cut, "for", language));
        g_autofree char *count = g_strdup_printf(
            "%" JSON_INTEGER_FORMAT, json_integer_value(json_object_get(cut, "count")));
        draw_flow_tick(flow, line, count);
    }
}

/* Which way seams go, by the word of the document. */
typedef struct pressing {
    const char *way, *said;
} pressing;

static const pressing row_pressings[] = {
    { "open", DRAW_WORDS("Press open.") },
    { "outward", DRAW_WORDS("Press outward.") },
    { "inward", DRAW_WORDS("Press inward.") },
    { "left", DRAW_WORDS("Press left.") },
    { "right", DRAW_WORDS("Press right.") },
};
static const pressing long_pressings[] = {
    { "open", DRAW_WORDS("Join the rows. Press the long seams open.") },
    { "inward", DRAW_WORDS("Join the rows. Press the long seams inward.") },
    { "down", DRAW_WORDS("Join the rows. Press the long seams down.") },
};

static const char *pressing_in_words(size_t count, const pressing pressings[count],
                                     const json_t *way, draw_language language)
{
    for (size_t i = 0; i < count; i++)
        if (g_strcmp0(json_string_value(way), pressings[i].way) == 0)
            return draw_words_of(language, pressings[i].said);
    g_assert_not_reached();
}

static char *row_in_words(const json_t *row, int number, draw_language language)
{
    size_t i;
    json_t *piece;
    g_autoptr(GString) pieces = g_string_new(NULL);
    json_array_foreach (json_object_get(row, "pieces"), i, piece)
        g_string_append_printf(pieces, "%s%s", i > 0 ? ", " : "",
                               json_is_string(piece)
                                   ? draw_words_of(language, json_string_value(piece))
                                   : draw_words(language, "two triangles"));
    return g_strdup_printf(draw_words(language, "Row %d: %s. %s"), number, pieces->str,
                           pressing_in_words(G_N_ELEMENTS(row_pressings), row_pressings,
                                             json_object_get(row, "press"), language));
}

static const quilt_block *block_named(const app_laid *laid, const char *name)
{
    for (int kind = 0; kind < laid->layout.kinds.count; kind++) {
        const quilt_block *block = app_laid_block(laid, kind);
        if (g_strcmp0(block->name, name) == 0)
            return block;
    }
    return NULL;
}

/* The block at the left, its rows in words beside it. */
static void tell_kind(draw_flow *flow, const app_laid *laid, const json_t *kind)
{
    size_t i;
    json_t *row;
    const draw_text_style text = { .size = DRAW_PT(10.5) };
    const draw_language language = flow->heading->language;
    const char *name = json_string_value(json_object_get(kind, "kind"));
    const quilt_block *block = block_named(laid, name);
    if (block == NULL)
        return;
    g_autofree char *heading = g_strdup_printf(
        draw_words(language, "%s, %d of them"), draw_words_of(language, name),
        (int)json_integer_value(json_object_get(kind, "blocks")));
    draw_flow_heading(flow, heading, BLOCK_SIDE + BLOCK_GAP);
    g_autofree const draw_fabric **none =
        g_new0(const draw_fabric *, (gsize)(2 * block->side * block->side));
    draw_block(flow->scene, block, none, flow->frame.left, flow->y, BLOCK_SIDE, 0);
    length left = flow->frame.left + BLOCK_SIDE + BLOCK_GAP;
    length width = flow->frame.right - left;
    length y = flow->y + DRAW_PT(11);
    json_array_foreach (json_object_get(kind, "rows"), i, row) {
        g_autofree char *words = row_in_words(row, (int)i + 1, language);
        y = draw_scene_paragraph(flow->scene, &text, left, y, width, words, true) +
            DRAW_PT(3);
    }
    const char *last = pressing_in_words(G_N_ELEMENTS(long_pressings), long_pressings,
                                         json_object_get(kind, "long"), language);
    y = draw_scene_paragraph(flow->scene, &text, left, y, width, last, true);
    flow->y = MAX(flow->y + BLOCK_SIDE, y) + BLOCK_GAP;
}

/* How far a row begins to the right: on point every other one half a block. */
static length indent_of(const app_laid *laid, size_t row, length cell)
{
    return laid->layout.set == QUILT_ON_POINT && row % 2 == 1 ? cell / 2 : 0;
}

/* A block pressed otherwise: a bar along what goes the other way, as the rows run, as the
 * long seams run between them, or both. */
static void draw_way(draw_scene *scene, const char *way, length x, length y, length cell)
{
    const draw_style box = DRAW_STROKE(DRAW_LINE, 0);
    const draw_style bar = DRAW_STROKE(DRAW_INK, DRAW_PT(1.6));
    length in = cell / 4;
    draw_scene_rect(scene, &box, x, y, cell, cell);
    if (g_strcmp0(way, "rows-other") == 0 || g_strcmp0(way, "both-other") == 0)
        draw_scene_line(scene, &bar, x + in, y + cell / 2, x + cell - in, y + cell / 2);
    if (g_strcmp0(way, "long-other") == 0 || g_strcmp0(way, "both-other") == 0)
        draw_scene_line(scene, &bar, x + cell / 2, y + in, x + cell / 2, y + cell - in);
}

/* The quilt as it lies, its rows numbered, with a mark where a block is pressed
 * otherwise.
 */
static void draw_ways(draw_flow *flow, const app_laid *laid, const json_t *ways)
{
    const draw_text_style number = { .size = DRAW_PT(8), .align = DRAW_RIGHT };
    const length left = flow->frame.left + 8 * LENGTH_MM;
    length cell = MIN((flow->frame.right - left) / (laid->layout.across + 1), WAY_SIDE);
    size_t r, c;
    json_t *row, *way;
    draw_flow_room(flow,
                   (length)json_array_size(ways) * cell); /* on one page if it can */
    json_array_foreach (ways, r, row) {
        char text[16];
        draw_flow_room(flow, cell);
        g_snprintf(text, sizeof text, "%zu", r + 1);
        draw_scene_text(flow->scene, &number, left - LENGTH_MM,
                        flow->y + cell / 2 + DRAW_PT(3), text);
        json_array_foreach (row, c, way)
            draw_way(flow->scene, json_string_value(way),
                     left + indent_of(laid, r, cell) + (length)c * cell, flow->y, cell);
        flow->y += cell;
    }
    flow->y += 4 * LENGTH_MM;
}

/* Which blocks are pressed otherwise, so that they nest where they lie. */
static void tell_ways(draw_flow *flow, const app_laid *laid, const json_t *nesting)
{
    double usual = json_number_value(json_object_get(nesting, "usual"));
    double solved = json_number_value(json_object_get(nesting, "solved"));
    const draw_language language = flow->heading->language;
    if (json_integer_value(json_object_get(nesting, "joints")) == 0)
        return; /* sashes lie between, or seams are pressed open */
    draw_flow_heading(flow, draw_words(language, "Where blocks meet"), 40 * LENGTH_MM);
    g_autofree char *share = g_strdup_printf(
        draw_words(language,
                   "Pressed as above, %.0f %% of the joints between blocks nest."),
        100 * usual);
    draw_flow_paragraph(flow, share);
    if (usual >= 1)
        return;
    g_autofree char *marks = g_strdup_printf(
        draw_words(
            language,
            "Pressed as marked here, %.0f %%: a level bar, the seams within rows go the "
            "other way; an upright bar, the long seams do; both bars, all do."),
        100 * solved);
    draw_flow_paragraph(flow, marks);
    draw_ways(flow, laid, json_object_get(nesting, "ways"));
}

static void tell_seam_test(draw_flow *flow, const json_t *sew, length_system system)
{
    const draw_language language = flow->heading->language;
    char strip[LENGTH_TEXT_SIZE], wanted[LENGTH_TEXT_SIZE];
    const json_t *test = json_object_get(sew, "seam_test");
    double strip_in = json_number_value(json_object_get(test, "strip_in"));
    double wanted_in = json_number_value(json_object_get(test, "wanted_in"));
    draw_flow_heading(flow, draw_words(language, "Is the seam true?"), 12 * LENGTH_MM);
    g_autofree char *words = g_strdup_printf(
        draw_words(language,
                   "Sew three strips of %s side by side, press, and measure across: %s "
                   "is right. The seam is out by a quarter of the difference: too wide "
                   "when it is less, too narrow when it is more."),
        draw_length(language, length_from_inches(strip_in), system, 16, strip),
        draw_length(language, length_from_inches(wanted_in), system, 16, wanted));
    draw_flow_paragraph(flow, words);
}

static void tell_keeping(draw_flow *flow)
{
    draw_flow_heading(flow,
                      draw_words(flow->heading->language, "Blocks that wait for months"),
                      16 * LENGTH_MM);
    draw_flow_paragraph(
        flow, draw_words(flow->heading->language,
                         "Let them cool and dry on the board before they are piled. Pile "
                         "them flat, right side up, under a light board, away from sun "
                         "and damp, and press them again before the rows are sewn."));
}

draw_scene *app_sew_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(app_sheet_head) head = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    size_t i;
    json_t *kind, *document = NULL;
    if (!app_sheet_heading(self, call, DRAW_WORDS("Sewing"), &head, error) ||
        !app_quilt_requested(self, call, &quilt, error) ||
        !app_laid_from_quilt(&quilt, &laid, error))
        return NULL;
    g_autoptr(json_t) request =
        json_pack("{s:s, s:i}", "quilt", quilt.name, "next", 1000);
    const app_call all = { .request = request, .stop = call->stop };
    if (!app_do_sew(self, &all, &document, error))
        return NULL;
    g_autoptr(json_t) sew = document;
    head.heading.quilt = quilt.name;
    draw_flow flow = draw_flow_begin(&head.heading);
    draw_flow_paragraph(
        &flow, draw_words(head.heading.language,
                          "Feed pairs one after another without cutting the thread. Set "
                          "the iron down and lift it; keep fingers out of the steam, and "
                          "take pins out before they reach the needle."));
    tell_cutting(&flow, sew);
    json_array_foreach (json_object_get(sew, "kinds"), i, kind)
        tell_kind(&flow, &laid, kind);
    if (g_strcmp0(json_string_value(json_object_get(sew, "press")), "open") == 0)
        draw_flow_paragraph(
            &flow, draw_words(head.heading.language,
                              "Seams that are pressed open do not lock where they meet: "
                              "pin each crossing on both sides of the seam."));
    tell_ways(&flow, &laid, json_object_get(sew, "nesting"));
    tell_seam_test(&flow, sew, head.system);
    tell_keeping(&flow);
    return draw_flow_end(&flow);
}
