#include "draw/cutlist.h"

#include "draw/asked-internal.h"

#include <string.h>

#define LETTERS       DRAW_PT(24) /* two rows of them above the cloth */
#define CLOTH_HIGHEST (60 * LENGTH_MM)

/* More pieces than this are not drawn one by one: they would be a grey area. */
enum { PIECES_DRAWN_MAX = 3000 };

/* ---- The drawing ---- */

/* A cloth on paper: along the cloth runs to the right, across it downward. */
typedef struct cloth_view {
    draw_scene *scene;
    length x, y;
    double scale; /* paper to cloth */
} cloth_view;

static length on_paper(const cloth_view *view, int64_t cloth)
{
    return (length)(cloth * view->scale + 0.5);
}

static void draw_area(const cloth_view *view, const draw_style *style,
                      const quilt_rect *rect)
{
    length x1 = on_paper(view, rect->y),
           x2 = on_paper(view, (int64_t)rect->y + rect->height);
    length y1 = on_paper(view, rect->x),
           y2 = on_paper(view, (int64_t)rect->x + rect->width);
    draw_scene_rect(view->scene, style, view->x + x1, view->y + y1, x2 - x1, y2 - y1);
}

static void draw_line_of(const cloth_view *view, const quilt_line *line, bool with_pieces)
{
    draw_style strip = { .fill = { .ink = DRAW_TINT_2 },
                         .line = { .ink = DRAW_INK },
                         .width = DRAW_PT(0.5) };
    draw_style piece = { .fill = { .ink = DRAW_TINT_0 },
                         .line = { .ink = DRAW_INK },
                         .width = DRAW_PT(0.35) };
    if (line->joined || line->bias || line->per_strip == 0)
        strip.fill.ink = DRAW_TINT_0; /* all of it is used */
    for (int64_t i = 0; i < line->strips; i++) {
        quilt_rect rect = quilt_line_strip(line, i);
        draw_area(view, &strip, &rect);
    }
    if (!with_pieces || line->per_strip == 0)
        return;
    for (int64_t i = 0; i < line->pieces; i++) {
        quilt_rect rect = quilt_line_piece(line, i);
        draw_area(view, &piece, &rect);
    }
}

static const char *letter_of(int line, char text[static 4])
{
    g_snprintf(text, 4, "%c", 'A' + line);
    return text;
}

/* A letter over each line's strips; where they lie closer than letters are wide, in two
 * rows. */
static void draw_letters(const cloth_view *view, const quilt_item *item)
{
    const draw_text_style style = { .size = DRAW_PT(9),
                                    .bold = true,
                                    .align = DRAW_CENTRE };
    const draw_style tick = DRAW_STROKE(DRAW_INK, DRAW_PT(0.5));
    length free_from[2] = { view->x - DRAW_PT(10), view->x - DRAW_PT(10) };
    for (int i = 0; i < item->line_count; i++) {
        const quilt_line *line = &item->lines[i];
        if (line->strips == 0)
            continue;
        int64_t end = line->at + line->strips * line->strip_width;
        length x1 = view->x + on_paper(view, line->at),
               x2 = view->x + on_paper(view, end);
        length middle = (x1 + x2) / 2;
        int row = middle - DRAW_PT(4) >= free_from[0] ? 0 : 1;
        if (middle - DRAW_PT(4) < free_from[row])
            continue; /* too thin to name: the table has its place */
        char text[4];
        length base = view->y - DRAW_PT(4) - row * DRAW_PT(10.5);
        draw_scene_text(view->scene, &style, middle, base, letter_of(i, text));
        if (row == 1)
            draw_scene_line(view->scene, &tick, middle, base + DRAW_PT(1.5), middle,
                            view->y);
        free_from[row] = middle + DRAW_PT(4);
    }
}

/* Returns the height that it takes with its letters. */
static length draw_cloth(draw_scene *scene, const quilt_item *item, length x, length y,
                         double scale)
{
    cloth_view view = { scene, x, y + LETTERS, scale };
    int64_t pieces = 0;
    for (int i = 0; i < item->line_count; i++)
        pieces += item->lines[i].per_strip > 0 ? item->lines[i].pieces : 0;
    draw_style cloth = { .fill = { .ink = DRAW_TINT_2 },
                         .line = { .ink = DRAW_INK },
                         .width = DRAW_PT(0.75) };
    quilt_rect all = { 0, 0, item->cloth_width, item->cut_length };
    draw_area(&view, &cloth, &all);
    for (int i = 0; i < item->line_count; i++)
        draw_line_of(&view, &item->lines[i], pieces <= PIECES_DRAWN_MAX);
    draw_letters(&view, item);
    return LETTERS + on_paper(&view, item->cloth_width);
}

draw_scene *draw_cloth_scene(const quilt_item *item, length width)
{
    draw_scene *scene = draw_scene_new(quilt_item_name(item));
    length edge = DRAW_PT(6);
    double scale = (double)(width - 2 * edge) / MAX(item->cut_length, 1);
    /* A short cloth is not drawn wider than life. */
    scale = MIN(scale, 1);
    length high = LETTERS + (length)(item->cloth_width * scale) + edge;
    draw_scene_add_page(scene, width, high);
    draw_cloth(scene, item, edge, 0, scale);
    return scene;
}

/* ---- The list ---- */

/* "2 1/2 x 40 in", "6.4 x 101.6 cm" */
static char *sides(length a, length b, length_system system, draw_language language)
{
    char one[LENGTH_TEXT_SIZE], two[LENGTH_TEXT_SIZE];
    draw_length(language, a, system, 16, one);
    *strrchr(one, ' ') = '\0'; /* its unit: the second says it for both */
    return g_strdup_printf("%s x %s", one, draw_length(language, b, system, 16, two));
}

/* The letter of the line on whose strips' ends this one begins. */
static char letter_above(const quilt_item *item, const quilt_line *line)
{
    for (int i = 0; i < item->line_count; i++)
        if (&item->lines[i] != line && item->lines[i].strips > 0 &&
            item->lines[i].at == line->ends.at)
            return (char)('A' + i);
    return '?';
}

static char *strips_text(const quilt_item *item, const quilt_line *line,
                         length_system system, draw_language language)
{
    const int strips = (int)line->strips;
    if (strips == 0 && line->joined)
        return g_strdup(draw_words(language, "from the strips above"));
    if (strips == 0)
        return g_strdup_printf(draw_words(language, "from the ends of %c"),
                               letter_above(item, line));
    g_autofree char *size =
        sides(line->strip_width, line->strip_length, system, language);
    if (line->bias)
        return g_strdup_printf(draw_words(language, "bias, from %s"), size);
    if (line->ends.pieces > 0)
        return g_strdup_printf(draw_words(language, "%d of %s, ends of %c"), strips, size,
                               letter_above(item, line));
    return g_strdup_printf(draw_words(language, "%d of %s"), strips, size);
}

static const char *then_text(const quilt_line *line, draw_language language)
{
    switch (line->parts) {
    case 2:
        return draw_words(language, "halve on the diagonal");
    case 4:
        return draw_words(language, "quarter on both diagonals");
    case 8:
        return draw_words(language, "two and two, eight at a time");
    default:
        return line->joined && line->strips > 0 && !line->bias
                   ? draw_words(language, "join the strips first")
                   : "";
    }
}

/* As wide as the longest texts of either language need, in millimetres of A4. */
static const draw_flow_column columns[] = {
    { "", 6, DRAW_LEFT },
    { DRAW_WORDS("strips across the cloth"), 47, DRAW_LEFT },
    { DRAW_WORDS("pieces"), 14, DRAW_RIGHT },
    { DRAW_WORDS("each"), 30, DRAW_LEFT },
    { DRAW_WORDS("for"), 45, DRAW_LEFT },
    { DRAW_WORDS("then"), 44, DRAW_LEFT },
};

static void list_lines(draw_flow *flow, const quilt_item *item, length_system system)
{
    enum { COLUMNS = G_N_ELEMENTS(columns) };
    const draw_language language = flow->heading->language;
    g_autoptr(GPtrArray) texts = g_ptr_array_new_with_free_func(g_free);
    for (int i = 0; i < item->line_count; i++) {
        const quilt_line *line = &item->lines[i];
        char text[4];
        g_ptr_array_add(texts, g_strdup(letter_of(i, text)));
        g_ptr_array_add(texts, strips_text(item, line, system, language));
        g_ptr_array_add(texts, g_strdup_printf("%" PRId64, line->pieces));
        g_ptr_array_add(texts,
                        sides(line->piece_width, line->piece_height, system, language));
        g_ptr_array_add(
            texts, line->border > 0
                       ? g_strdup_printf(draw_words(language, "border %d"), line->border)
                       : g_strdup(draw_words_of(language, quilt_part_name(line->part))));
        g_ptr_array_add(texts, g_strdup(then_text(line, language)));
    }
    draw_flow_table(flow, COLUMNS, columns, item->line_count,
                    (const char *const *)texts->pdata);
}

/* One to how many: the largest scale of those that makers know with which the cloth goes
 * on the sheet; beyond them any whole number. */
static int scale_of(const quilt_item *item, length width)
{
    static const int scales[] = { 1,  2,  3,  4,  5,  6,  8,  10, 12,
                                  15, 16, 20, 24, 25, 30, 40, 50 };
    int least = (item->cut_length + width - 1) / width;
    least = MAX(least, (item->cloth_width + CLOTH_HIGHEST - 1) / CLOTH_HIGHEST);
    for (size_t i = 0; i < G_N_ELEMENTS(scales); i++)
        if (scales[i] >= least)
            return scales[i];
    return least;
}

static void draw_item(draw_flow *flow, const quilt_item *item, const char *fabric,
                      length_system system)
{
    int scale = scale_of(item, flow->frame.right - flow->frame.left);
    length high = LETTERS + item->cloth_width / scale;
    char length_of[LENGTH_TEXT_SIZE], across[LENGTH_TEXT_SIZE];
    const draw_language language = flow->heading->language;
    g_autofree char *name = draw_item_words(language, item, fabric);
    draw_flow_heading(flow, name, high + DRAW_PT(70));
    g_autofree char *told = g_strdup_printf(
        draw_words(language,
                   "%s of cloth %s wide, drawn 1 : %d with its length to the right. Cut "
                   "the strips in this order; what is grey is left over."),
        draw_length(language, item->cut_length, system, 8, length_of),
        draw_length(language, item->cloth_width, system, 8, across), scale);
    draw_flow_paragraph(flow, told);
    draw_flow_room(flow, high);
    flow->y += draw_cloth(flow->scene, item, flow->frame.left, flow->y, 1.0 / scale);
    draw_flow_space(flow, DRAW_PT(6));
    list_lines(flow, item, system);
}

draw_scene *draw_cutlist_sheet(const quilt_shopping *shopping, const char *const names[],
                               length_system system, const draw_heading *heading)
{
    draw_flow flow = draw_flow_begin(heading);
    draw_flow_paragraph(
        &flow,
        draw_words(heading->language,
                   "Wash and press the cloth first if you mean to wash the quilt. True "
                   "up one end, then cut from the longest pieces to the shortest, so "
                   "that a slip can still become something smaller."));
    for (int i = 0; i < shopping->item_count; i++)
        draw_item(&flow, &shopping->items[i], names == NULL ? NULL : names[i], system);
    draw_asked_list(&flow, shopping, system);
    return draw_flow_end(&flow);
}
