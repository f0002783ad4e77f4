/* draw/sheet.h: what all printed sheets share: paper, head, page numbers, scale line. */
#pragma once

#include "draw/scene.h"
#include "draw/words.h"

/** ISO 216 A4, 210 x 297 mm; ANSI A letter, 8 1/2 x 11 in. */
typedef enum draw_paper { DRAW_A4, DRAW_LETTER, DRAW_PAPERS } draw_paper;

length draw_paper_width(draw_paper paper);
length draw_paper_height(draw_paper paper);

/** "a4" or "letter", in any case; NULL is A4. Errors: DRAW_PAPER_UNKNOWN. */
gboolean draw_paper_parse(const char *text, draw_paper *ret_paper,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** What stands at the head of each page, and the language of all that is written on it.
 * Texts are borrowed until draw_sheet_finish(). */
typedef struct draw_heading {
    draw_paper paper;
    const char *title; /* what it is: "Chart to cross off" */
    const char *quilt; /* for which quilt; NULL where there is none */
    const char *date;  /* as the maker reads it; NULL leaves it out */
    draw_language language;
} draw_heading;

/** The part of a page between head and foot, inside the margins of 12 mm. */
typedef struct draw_frame {
    length left, top, right, bottom;
} draw_frame;

draw_frame draw_sheet_frame(draw_paper paper);

/** A scene named after the heading, with a first page. Free with draw_scene_free(). */
draw_scene *draw_sheet_new(const draw_heading *heading);

/** Adds a page of the same paper and turns to it. */
void draw_sheet_page(draw_scene *scene, const draw_heading *heading);

/** Writes head, page n of m, and a 2 in and a 5 cm line to check the scale with on every
 *  page. Call it once, when all pages are there. */
void draw_sheet_finish(draw_scene *scene, const draw_heading *heading);
