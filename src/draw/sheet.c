#include "draw/sheet.h"
#include "base/error.h"

static const struct {
    const char *name;
    length width, height;
} papers[DRAW_PAPERS] = {
    [DRAW_A4] = { "a4", 210 * LENGTH_MM, 297 * LENGTH_MM },
    [DRAW_LETTER] = { "letter", 17 * LENGTH_INCH / 2, 11 * LENGTH_INCH },
};

#define MARGIN (12 * LENGTH_MM)
#define HEAD   (16 * LENGTH_MM)
#define FOOT   (13 * LENGTH_MM)

length draw_paper_width(draw_paper paper)
{
    return papers[paper].width;
}

length draw_paper_height(draw_paper paper)
{
    return papers[paper].height;
}

gboolean draw_paper_parse(const char *text, draw_paper *ret_paper, GError **error)
{
    if (text == NULL) {
        *ret_paper = DRAW_A4;
        return TRUE;
    }
    for (draw_paper paper = 0; paper < DRAW_PAPERS; paper++)
        if (g_ascii_strcasecmp(text, papers[paper].name) == 0) {
            *ret_paper = paper;
            return TRUE;
        }
    g_autofree char *shown = g_utf8_make_valid(text, -1);
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_DRAW_PAPER_UNKNOWN,
                "There is no paper called “%s” here.", shown);
    return FALSE;
}

draw_frame draw_sheet_frame(draw_paper paper)
{
    return (draw_frame){ .left = MARGIN,
                         .top = MARGIN + HEAD,
                         .right = draw_paper_width(paper) - MARGIN,
                         .bottom = draw_paper_height(paper) - MARGIN - FOOT };
}

draw_scene *draw_sheet_new(const draw_heading *heading)
{
    g_autofree char *title =
        heading->quilt == NULL
            ? g_strdup(heading->title)
            : g_strdup_printf("%s: %s", heading->quilt, heading->title);
    draw_scene *scene = draw_scene_new(title);
    draw_sheet_page(scene, heading);
    return scene;
}

void draw_sheet_page(draw_scene *scene, const draw_heading *heading)
{
    draw_scene_add_page(scene, draw_paper_width(heading->paper),
                        draw_paper_height(heading->paper));
}

static void draw_head(draw_scene *scene, const draw_heading *heading, int page, int pages)
{
    draw_frame frame = draw_sheet_frame(heading->paper);
    const draw_text_style title = { .size = DRAW_PT(16), .bold = true };
    const draw_text_style right = { .size = DRAW_PT(10), .align = DRAW_RIGHT };
    const draw_text_style quilt = { .size = DRAW_PT(11) };
    length room = (frame.right - frame.left) * 3 / 4, y = MARGIN + DRAW_PT(13);

    g_autofree char *what = draw_text_fit(&title, heading->title, room);
    draw_scene_text(scene, &title, frame.left, y, what);
    g_autofree char *number =
        g_strdup_printf(draw_words(heading->language, "page %d of %d"), page + 1, pages);
    draw_scene_text(scene, &right, frame.right, y, number);

    y += DRAW_PT(17);
    if (heading->quilt != NULL) {
        g_autofree char *whose = g_strdup_printf(
            draw_words(heading->language, "for the quilt %s"), heading->quilt);
        g_autofree char *fits = draw_text_fit(&quilt, whose, room);
        draw_scene_text(scene, &quilt, frame.left, y, fits);
    }
    draw_scene_text(scene, &right, frame.right, y, heading->date);

    draw_style stitches = DRAW_STROKE(DRAW_INK, DRAW_PT(1));
    stitches.stitch = DRAW_RUNNING;
    y += DRAW_PT(7);
    draw_scene_line(scene, &stitches, frame.left, y, frame.right, y);
}

static void draw_measure(draw_scene *scene, length x, length y, length span,
                         const char *text)
{
    const draw_style line = DRAW_STROKE(DRAW_INK, DRAW_PT(0.6));
    const draw_text_style label = { .size = DRAW_PT(9) };
    length tick = DRAW_PT(3);
    draw_scene_line(scene, &line, x, y, x + span, y);
    draw_scene_line(scene, &line, x, y - tick, x, y + tick);
    draw_scene_line(scene, &line, x + span, y - tick, x + span, y + tick);
    draw_scene_text(scene, &label, x + span + DRAW_PT(5), y + DRAW_PT(3), text);
}

static void draw_foot(draw_scene *scene, const draw_heading *heading)
{
    draw_frame frame = draw_sheet_frame(heading->paper);
    const draw_text_style note = { .size = DRAW_PT(8.5),
                                   .align = DRAW_RIGHT,
                                   .ink = DRAW_QUIET };
    char inches[LENGTH_TEXT_SIZE];
    draw_length(heading->language, 2 * LENGTH_INCH, LENGTH_INCHES, 8, inches);
    length bottom = draw_paper_height(heading->paper) - MARGIN;
    draw_measure(scene, frame.left, bottom - DRAW_PT(15), 2 * LENGTH_INCH, inches);
    draw_measure(scene, frame.left, bottom - DRAW_PT(3), 5 * LENGTH_CM, "5 cm");
    draw_scene_text(
        scene, &note, frame.right, bottom - DRAW_PT(12),
        draw_words(heading->language, "Lay a ruler on these lines. If they are off,"));
    draw_scene_text(scene, &note, frame.right, bottom - DRAW_PT(1),
                    draw_words(heading->language, "the sheet was not printed at 100 %."));
}

void draw_sheet_finish(draw_scene *scene, const draw_heading *heading)
{
    int pages = draw_scene_pages(scene);
    for (int page = 0; page < pages; page++) {
        draw_scene_turn_to(scene, page);
        draw_head(scene, heading, page, pages);
        draw_foot(scene, heading);
    }
}
