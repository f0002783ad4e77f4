/* The sheet "sew": each kind of block with its rows and their pressing, what to cut, and
 * which blocks are pressed otherwise, to lie by the machine. */
#include "sewsheet-internal.h"

#include "laid-internal.h"

#include "draw/block.h"
#include "draw/flow.h"

#define BLOCK_SIDE (34 * LENGTH_MM)
#define BLOCK_GAP  (6 * LENGTH_MM)

static void tell_cutting(draw_flow *flow, const json_t *sew)
{
    size_t i;
    json_t *cut;
    char text[LENGTH_TEXT_SIZE];
    if (json_array_size(json_object_get(sew, "cut")) == 0)
        return;
    draw_flow_heading(flow, "Cut ahead", 12 * LENGTH_MM);
    json_array_foreach (json_object_get(sew, "cut"), i, cut) {
        double size = json_number_value(json_object_get(cut, "size_in"));
        g_autofree char *line =
            g_strdup_printf("%s, squares of %s in, for %s",
                            json_string_value(json_object_get(cut, "role")),
                            length_text_in(length_from_inches(size), 16, text),
                            json_string_value(json_object_get(cut, "for")));
        g_autofree char *count = g_strdup_printf(
            "%" JSON_INTEGER_FORMAT, json_integer_value(json_object_get(cut, "count")));
        draw_flow_tick(flow, line, count);
    }
}

static char *row_in_words(const json_t *row, size_t number)
{
    size_t i;
    json_t *piece;
    g_autoptr(GString) words = g_string_new(NULL);
    g_string_append_printf(words, "Row %zu: ", number);
    json_array_foreach (json_object_get(row, "pieces"), i, piece)
        g_string_append_printf(words, "%s%s", i > 0 ? ", " : "",
                               json_is_string(piece) ? json_string_value(piece)
                                                     : "two triangles");
    g_string_append_printf(words, ". Press %s.",
                           json_string_value(json_object_get(row, "press")));
    return g_string_free(g_steal_pointer(&words), FALSE);
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
    const char *name = json_string_value(json_object_get(kind, "kind"));
    const quilt_block *block = block_named(laid, name);
    if (block == NULL)
        return;
    g_autofree char *heading =
        g_strdup_printf("%s, %" JSON_INTEGER_FORMAT " of them", name,
                        json_integer_value(json_object_get(kind, "blocks")));
    draw_flow_heading(flow, heading, BLOCK_SIDE + BLOCK_GAP);
    g_autofree const draw_fabric **none =
        g_new0(const draw_fabric *, (gsize)(2 * block->side * block->side));
    draw_block(flow->scene, block, none, flow->frame.left, flow->y, BLOCK_SIDE, 0);
    length left = flow->frame.left + BLOCK_SIDE + BLOCK_GAP;
    length width = flow->frame.right - left;
    length y = flow->y + DRAW_PT(11);
    json_array_foreach (json_object_get(kind, "rows"), i, row) {
        g_autofree char *words = row_in_words(row, i + 1);
        y = draw_scene_paragraph(flow->scene, &text, left, y, width, words, true) +
            DRAW_PT(3);
    }
    g_autofree char *last =
        g_strdup_printf("Join the rows. Press the long seams %s.",
                        json_string_value(json_object_get(kind, "long")));
    y = draw_scene_paragraph(flow->scene, &text, left, y, width, last, true);
    flow->y = MAX(flow->y + BLOCK_SIDE, y) + BLOCK_GAP;
}

static const char *mark_of(const char *way)
{
    static const char *const marks[][2] = { { "usual", "" },
                                            { "rows-other", "rows" },
                                            { "long-other", "long" },
                                            { "both-other", "both" } };
    for (size_t i = 0; i < G_N_ELEMENTS(marks); i++)
        if (g_strcmp0(way, marks[i][0]) == 0)
            return marks[i][1];
    return "";
}

/* Every row of the quilt in one line: which of its blocks are pressed otherwise. */
static void tell_ways(draw_flow *flow, const json_t *nesting)
{
    size_t r, c;
    json_t *row, *way;
    double usual = json_number_value(json_object_get(nesting, "usual"));
    if (json_integer_value(json_object_get(nesting, "joints")) == 0)
        return; /* sashes lie between, or seams are pressed open */
    draw_flow_heading(flow, "Where blocks meet", 20 * LENGTH_MM);
    g_autofree char *share = g_strdup_printf(
        "Pressed as above, %.0f %% of the joints between blocks nest.%s", 100 * usual,
        usual < 1 ? " Pressed as listed here, all that can: in each row, the places whose"
                    " rows, long seams or both go the other way."
                  : "");
    draw_flow_paragraph(flow, share);
    if (usual >= 1)
        return;
    json_array_foreach (json_object_get(nesting, "ways"), r, row) {
        g_autoptr(GString) words = g_string_new(NULL);
        json_array_foreach (row, c, way) {
            const char *mark = mark_of(json_string_value(way));
            if (*mark != '\0')
                g_string_append_printf(words, "%s%zu %s", words->len > 0 ? ", " : "",
                                       c + 1, mark);
        }
        if (words->len == 0)
            continue;
        g_autofree char *line = g_strdup_printf("Row %zu: %s", r + 1, words->str);
        draw_flow_tick(flow, line, NULL);
    }
}

draw_scene *app_sew_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(app_sheet_head) head = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    size_t i;
    json_t *kind, *document = NULL;
    if (!app_sheet_heading(self, call, "Sewing", &head, error) ||
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
    draw_flow_paragraph(&flow,
                        "Feed pairs one after another without cutting the thread. Set the"
                        " iron down and lift it; keep fingers out of the steam, and take"
                        " pins out before they reach the needle.");
    tell_cutting(&flow, sew);
    json_array_foreach (json_object_get(sew, "kinds"), i, kind)
        tell_kind(&flow, &laid, kind);
    tell_ways(&flow, json_object_get(sew, "nesting"));
    return draw_flow_end(&flow);
}
