#include "draw/labels.h"

#define ROW_HEIGHT (LENGTH_INCH * 5 / 4)
#define PAD        (LENGTH_INCH / 6)

/* ---- Rows ---- */

static void draw_row(draw_scene *scene, const draw_rows *rows, int row, length x,
                     length y, length width, draw_language language)
{
    const draw_style cut = { .line = { .ink = DRAW_LINE },
                             .width = DRAW_PT(0.5),
                             .stitch = DRAW_RUNNING };
    const draw_style pin = DRAW_STROKE(DRAW_INK, DRAW_PT(1));
    const draw_text_style big = { .size = DRAW_PT(30), .bold = true };
    const draw_text_style small = { .size = DRAW_PT(9), .ink = DRAW_QUIET };
    char counted[DRAW_COUNTED_SIZE];
    draw_counted(language, rows->blocks[row], "block", "blocks", counted);
    g_autofree char *number = g_strdup_printf(draw_words(language, "Row %d"), row + 1);
    g_autofree char *blocks =
        g_strdup_printf(rows->on_point ? draw_words(language, "%s, upper end")
                                       : draw_words(language, "%s, left end"),
                        counted);
    draw_scene_rect(scene, &cut, x, y, width, ROW_HEIGHT);
    /* A pin goes through here, at the first block. */
    draw_scene_rect(scene, &pin, x + PAD, y + ROW_HEIGHT / 2 - PAD / 2, PAD, PAD);
    length text = x + 3 * PAD;
    draw_scene_text(scene, &big, text, y + ROW_HEIGHT / 2 + DRAW_PT(4), number);
    draw_scene_text(scene, &small, text, y + ROW_HEIGHT - PAD - DRAW_PT(12), blocks);
    g_autofree char *quilt = draw_text_fit(&small, rows->quilt, width - 4 * PAD);
    draw_scene_text(scene, &small, text, y + ROW_HEIGHT - PAD, quilt);
}

draw_scene *draw_rows_sheet(const draw_rows *rows, const draw_heading *heading)
{
    const draw_frame frame = draw_sheet_frame(heading->paper);
    const length width = (frame.right - frame.left) / 2;
    const int down = (frame.bottom - frame.top) / ROW_HEIGHT;
    draw_scene *scene = draw_sheet_new(heading);
    for (int row = 0; row < rows->count; row++) {
        int at = row % (2 * down);
        if (row > 0 && at == 0)
            draw_sheet_page(scene, heading);
        draw_row(scene, rows, row, frame.left + at / down * width,
                 frame.top + at % down * ROW_HEIGHT, width, heading->language);
    }
    draw_sheet_finish(scene, heading);
    return scene;
}

/* ---- The label on the back ---- */

draw_scene *draw_label_sheet(const draw_label *label, const draw_heading *heading)
{
    const draw_frame frame = draw_sheet_frame(heading->paper);
    const length width = 6 * LENGTH_INCH, height = 4 * LENGTH_INCH,
                 turn = LENGTH_INCH / 2;
    const draw_style edge = DRAW_STROKE(DRAW_INK, DRAW_PT(1.5));
    const draw_style cut = { .line = { .ink = DRAW_LINE },
                             .width = DRAW_PT(0.5),
                             .stitch = DRAW_RUNNING };
    const draw_text_style name = { .size = DRAW_PT(28),
                                   .bold = true,
                                   .align = DRAW_CENTRE };
    const draw_text_style text = { .size = DRAW_PT(12), .align = DRAW_CENTRE };
    const draw_text_style note = { .size = DRAW_PT(9), .ink = DRAW_QUIET };
    draw_scene *scene = draw_sheet_new(heading);
    length left = (frame.left + frame.right - width) / 2, top = frame.top + turn;
    length middle = left + width / 2, inner = width - LENGTH_INCH / 2;
    draw_scene_rect(scene, &cut, left - turn, top - turn, width + 2 * turn,
                    height + 2 * turn);
    draw_scene_rect(scene, &edge, left, top, width, height);
    g_autofree char *fitted = draw_text_fit(&name, label->name, inner);
    draw_scene_text(scene, &name, middle, top + DRAW_PT(48), fitted);
    length y = top + DRAW_PT(84);
    for (int i = 0; i < DRAW_LABEL_LINES; i++)
        if (label->line[i] != NULL && *label->line[i] != '\0')
            y = draw_scene_paragraph(scene, &text, middle, y, inner, label->line[i],
                                     true) +
                DRAW_PT(4);
    draw_scene_paragraph(
        scene, &note, frame.left, top + height + 2 * turn + DRAW_PT(10),
        frame.right - frame.left,
        draw_words(heading->language,
                   "Trace it with a pen made for cloth, or print it on cloth made for "
                   "printing, as their makers say. Cut along the stitches, turn under to "
                   "the frame, and sew it to the back."),
        true);
    draw_sheet_finish(scene, heading);
    return scene;
}
