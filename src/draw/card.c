#include "draw/card.h"
#include "base/card.h"

/* Card frame (y up, from the centre) to the page. */
typedef struct card_place {
    draw_scene *scene;
    draw_language language;
    length x, y; /* of the card's centre on the page */
} card_place;

/* All white cells are one area on the black square, so that no viewer shows a seam
 * between two of them. */
static void draw_tag(const card_place *at, int id)
{
    length x, y;
    card_tag_centre(id, &x, &y);
    length left = at->x + x - CARD_TAG_SIDE / 2, top = at->y - y - CARD_TAG_SIDE / 2;
    draw_scene_rect(at->scene, &DRAW_FILL(DRAW_INK), left, top, CARD_TAG_SIDE,
                    CARD_TAG_SIDE);

    int counts[CARD_TAG_CELLS * CARD_TAG_CELLS], rings = 0;
    draw_point corners[G_N_ELEMENTS(counts) * 4];
    for (int row = 0; row < CARD_TAG_CELLS; row++)
        for (int first = 0, next; first < CARD_TAG_CELLS; first = next) {
            bool black = card_tag_black(id, first, row);
            for (next = first + 1; next < CARD_TAG_CELLS; next++)
                if (card_tag_black(id, next, row) != black)
                    break;
            if (black)
                continue;
            length x1 = left + first * CARD_TAG_CELL, x2 = left + next * CARD_TAG_CELL;
            length y1 = top + row * CARD_TAG_CELL, y2 = y1 + CARD_TAG_CELL;
            draw_point *c = &corners[4 * rings];
            c[0] = (draw_point){ x1, y1 };
            c[1] = (draw_point){ x2, y1 };
            c[2] = (draw_point){ x2, y2 };
            c[3] = (draw_point){ x1, y2 };
            counts[rings++] = 4;
        }
    draw_scene_rings(at->scene, &DRAW_FILL(DRAW_PAPER), rings, counts, corners);
}

/* The line stands in the middle of the card, its ticks upward at each inch. */
static void draw_rule(const card_place *at)
{
    const draw_style line = DRAW_STROKE(DRAW_INK, DRAW_PT(0.75));
    const draw_text_style label = { .size = DRAW_PT(9), .align = DRAW_CENTRE };
    length left = at->x - CARD_RULE / 2;
    draw_scene_line(at->scene, &line, left, at->y, left + CARD_RULE, at->y);
    for (int inch = 0; inch <= CARD_RULE / LENGTH_INCH; inch++) {
        char number[LENGTH_TEXT_SIZE];
        length x = left + inch * LENGTH_INCH;
        if (inch == 3)
            draw_length(at->language, inch * LENGTH_INCH, LENGTH_INCHES, 8, number);
        else
            g_snprintf(number, sizeof number, "%d", inch);
        draw_scene_line(at->scene, &line, x, at->y - LENGTH_INCH / 8, x, at->y);
        draw_scene_text(at->scene, &label, x, at->y - LENGTH_INCH / 8 - DRAW_PT(4),
                        number);
    }
}

/* Marks outside the corners, to lay a ruler along; nothing of them stays on the card. */
static void draw_cut_marks(const card_place *at)
{
    const draw_style line = DRAW_STROKE(DRAW_INK, DRAW_PT(0.4));
    length off = 2 * LENGTH_MM, end = 8 * LENGTH_MM;
    for (int side = 0; side < 4; side++) {
        int right = side & 1 ? 1 : -1, down = side & 2 ? 1 : -1;
        length x = at->x + right * CARD_WIDTH / 2, y = at->y + down * CARD_HEIGHT / 2;
        draw_scene_line(at->scene, &line, x + right * off, y, x + right * end, y);
        draw_scene_line(at->scene, &line, x, y + down * off, x, y + down * end);
    }
}

static void draw_card(draw_scene *scene, draw_language language, int kind, length x,
                      length y)
{
    const card_place at = { scene, language, x, y };
    const draw_text_style name = { .size = DRAW_PT(13),
                                   .bold = true,
                                   .align = DRAW_CENTRE };
    const draw_text_style small = { .size = DRAW_PT(9),
                                    .align = DRAW_CENTRE,
                                    .ink = DRAW_QUIET };
    for (int tag = 0; tag < CARD_TAGS; tag++)
        draw_tag(&at, kind * CARD_TAGS + tag);
    draw_rule(&at);
    char text[64];
    g_snprintf(text, sizeof text, draw_words(language, "Motley measuring card %d"),
               kind + 1);
    draw_scene_text(scene, &name, x, y + DRAW_PT(26), text);
    draw_scene_text(scene, &small, x, y + DRAW_PT(41),
                    draw_words(language, "Keep it flat, clean and whole."));
    draw_cut_marks(&at);
}

/* 100 mm with a tick at each centimetre: a second measure, for a metric ruler. */
static void draw_metric_rule(draw_scene *scene, length x, length y)
{
    const draw_style line = DRAW_STROKE(DRAW_INK, DRAW_PT(0.75));
    const draw_text_style label = { .size = DRAW_PT(9) };
    draw_scene_line(scene, &line, x, y, x + 100 * LENGTH_MM, y);
    for (int cm = 0; cm <= 10; cm++) {
        length tick = cm % 5 == 0 ? LENGTH_INCH / 8 : LENGTH_INCH / 16;
        draw_scene_line(scene, &line, x + cm * LENGTH_CM, y - tick, x + cm * LENGTH_CM,
                        y);
    }
    draw_scene_text(scene, &label, x + 100 * LENGTH_MM + DRAW_PT(6), y, "100 mm");
}

static const char advice[] = DRAW_WORDS(
    "Print this sheet at 100 % (“actual size”), not fitted to the page. Then lay a ruler "
    "on the 3 in line of the card and on the 100 mm line above. If both are right, cut "
    "the card out along the marks and glue it to stiff board, so that it lies flat.\nIf "
    "they are not right, the printer changed the size. Print again with scaling turned "
    "off; or measure the 100 mm line as well as you can and give the program that "
    "length, and it will reckon with it. Every length in a photo depends on this.\nIn a "
    "photo the whole card must be seen, all four squares of it, flat on the same table "
    "as the scraps. Two cards (pages 1 and 2) at opposite ends of the table measure "
    "better than one.");

draw_scene *draw_card_sheet(draw_paper paper, draw_language language)
{
    const draw_heading heading = { .paper = paper,
                                   .title = draw_words(language, "Measuring card"),
                                   .language = language };
    draw_frame frame = draw_sheet_frame(paper);
    draw_scene *scene = draw_sheet_new(&heading);
    for (int kind = 0; kind < CARD_KINDS; kind++) {
        if (kind > 0)
            draw_sheet_page(scene, &heading);
        length top = frame.top + 10 * LENGTH_MM;
        draw_card(scene, language, kind, draw_paper_width(paper) / 2,
                  top + CARD_HEIGHT / 2);
        length y = top + CARD_HEIGHT + 20 * LENGTH_MM;
        draw_metric_rule(scene, frame.left, y);
        const draw_text_style text = { .size = DRAW_PT(10.5) };
        draw_scene_paragraph(scene, &text, frame.left, y + DRAW_PT(24),
                             frame.right - frame.left, draw_words_of(language, advice),
                             true);
    }
    draw_sheet_finish(scene, &heading);
    return scene;
}
