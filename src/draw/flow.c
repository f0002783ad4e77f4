#include "draw/flow.h"

static const draw_text_style heading_style = { .size = DRAW_PT(12.5), .bold = true };
static const draw_text_style body_style = { .size = DRAW_PT(10.5) };
static const draw_text_style cell_style = { .size = DRAW_PT(9.5) };

draw_flow draw_flow_begin(const draw_heading *heading)
{
    draw_frame frame = draw_sheet_frame(heading->paper);
    return (draw_flow){ .scene = draw_sheet_new(heading),
                        .heading = heading,
                        .frame = frame,
                        .y = frame.top };
}

bool draw_flow_room(draw_flow *self, length height)
{
    if (self->y + height <= self->frame.bottom || self->y == self->frame.top)
        return false;
    draw_sheet_page(self->scene, self->heading);
    self->y = self->frame.top;
    return true;
}

void draw_flow_space(draw_flow *self, length height)
{
    if (self->y > self->frame.top) /* none at the top of a page */
        self->y += height;
}

void draw_flow_heading(draw_flow *self, const char *text, length with)
{
    draw_flow_space(self, 4 * LENGTH_MM);
    draw_flow_room(self, DRAW_PT(20) + with);
    g_autofree char *fitted =
        draw_text_fit(&heading_style, text, self->frame.right - self->frame.left);
    draw_scene_text(self->scene, &heading_style, self->frame.left, self->y + DRAW_PT(12),
                    fitted);
    self->y += DRAW_PT(20);
}

void draw_flow_paragraph(draw_flow *self, const char *text)
{
    length width = self->frame.right - self->frame.left;
    length height = draw_scene_paragraph(NULL, &body_style, 0, 0, width, text, false);
    draw_flow_room(self, height);
    draw_scene_paragraph(self->scene, &body_style, self->frame.left,
                         self->y + DRAW_PT(10), width, text, true);
    self->y += height + DRAW_PT(4);
}

void draw_flow_tick(draw_flow *self, const char *text, const char *figure)
{
    const draw_text_style strong = { .size = body_style.size,
                                     .bold = true,
                                     .align = DRAW_RIGHT };
    length box = 4 * LENGTH_MM, indent = 7 * LENGTH_MM;
    length room = self->frame.right - self->frame.left - indent;
    if (figure != NULL)
        room -= draw_text_width(&strong, figure) + 4 * LENGTH_MM;
    length height = draw_scene_paragraph(NULL, &body_style, 0, 0, room, text, false);
    height = MAX(height, 6 * LENGTH_MM);
    draw_flow_room(self, height);
    draw_style line = DRAW_STROKE(DRAW_INK, DRAW_PT(0.75));
    draw_scene_rect(self->scene, &line, self->frame.left, self->y, box, box);
    draw_scene_paragraph(self->scene, &body_style, self->frame.left + indent,
                         self->y + DRAW_PT(10), room, text, true);
    draw_scene_text(self->scene, &strong, self->frame.right, self->y + DRAW_PT(10),
                    figure);
    self->y += height + DRAW_PT(2);
}

/* One row of a table; bold for its head. */
static void table_row(draw_flow *self, int columns,
                      const draw_flow_column column[columns], const char *const cells[],
                      bool head)
{
    int shares = 0;
    for (int c = 0; c < columns; c++)
        shares += column[c].share;
    int before = 0;
    length width = self->frame.right - self->frame.left, air = 3 * LENGTH_MM / 2;
    for (int c = 0; c < columns; c++) {
        length x1 = self->frame.left + (length)((int64_t)width * before / shares);
        before += column[c].share;
        length x2 = self->frame.left + (length)((int64_t)width * before / shares);
        draw_text_style style = cell_style;
        style.bold = head;
        style.align = column[c].align;
        length x = style.align == DRAW_LEFT     ? x1 + air
                   : style.align == DRAW_CENTRE ? (x1 + x2) / 2
                                                : x2 - air;
        const char *text =
            head ? draw_words_of(self->heading->language, column[c].name) : cells[c];
        if (text == NULL)
            continue;
        g_autofree char *fitted = draw_text_fit(&style, text, x2 - x1 - 2 * air);
        draw_scene_text(self->scene, &style, x, self->y + DRAW_PT(10), fitted);
    }
    self->y += DRAW_PT(head ? 15 : 14.5);
    draw_style line =
        DRAW_STROKE(head ? DRAW_INK : DRAW_LINE, DRAW_PT(head ? 0.75 : 0.4));
    draw_scene_line(self->scene, &line, self->frame.left, self->y, self->frame.right,
                    self->y);
}

void draw_flow_table(draw_flow *self, int columns, const draw_flow_column column[columns],
                     int rows, const char *const cells[])
{
    draw_flow_room(self, DRAW_PT(15 + 2 * 14.5));
    table_row(self, columns, column, NULL, true);
    for (int r = 0; r < rows; r++) {
        if (draw_flow_room(self, DRAW_PT(15)))
            table_row(self, columns, column, NULL, true);
        table_row(self, columns, column, cells + r * columns, false);
    }
    self->y += DRAW_PT(6);
}

draw_scene *draw_flow_end(draw_flow *self)
{
    draw_sheet_finish(self->scene, self->heading);
    return g_steal_pointer(&self->scene);
}
