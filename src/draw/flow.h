/* draw/flow.h: sheets that are written from top to bottom: headings, paragraphs, lines to
 * tick, tables. A page that is full goes over into the next. */
#pragma once

#include "draw/sheet.h"

/** A sheet being written. Callers may draw on `scene` between left and right from y on,
 *  after draw_flow_room(), and move y below what they drew. */
typedef struct draw_flow {
    draw_scene *scene;
    const draw_heading *heading; /* borrowed */
    draw_frame frame;
    length y; /* upper edge of what comes next */
} draw_flow;

/** Begins a sheet with an empty first page. */
draw_flow draw_flow_begin(const draw_heading *heading);

/** Turns over unless so much height is left. Returns whether a page was turned. */
bool draw_flow_room(draw_flow *self, length height);

/** A heading that stays with what follows it: room for `with` more is asked for. */
void draw_flow_heading(draw_flow *self, const char *text, length with);

void draw_flow_paragraph(draw_flow *self, const char *text);

/** A line with a box to tick; figure (or NULL) stands at the right edge in bold. A text
 *  that is too long goes on below. */
void draw_flow_tick(draw_flow *self, const char *text, const char *figure);

/** A column of a table. */
typedef struct draw_flow_column {
    const char *name;
    int share; /* of the width, beside the shares of the others */
    draw_align align;
} draw_flow_column;

/**
 * A table with a head, which is repeated on each page.
 *
 * @cells  rows x columns texts, row by row; NULL is an empty one. Texts too long for
 * their column are shortened.
 */
void draw_flow_table(draw_flow *self, int columns, const draw_flow_column column[columns],
                     int rows, const char *const cells[]);

void draw_flow_space(draw_flow *self, length height);

/** Writes head and foot and gives the finished sheet. Free with draw_scene_free(). */
draw_scene *draw_flow_end(draw_flow *self);
