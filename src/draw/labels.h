/* draw/labels.h: labels to cut out: one for each row of blocks, to pin on; and one for
 * the back of the quilt, to trace or to print on cloth. */
#pragma once

#include "draw/sheet.h"

/** One label for each row: its number, how many blocks, and where the left end is. On
 * point the rows run down to the right. */
typedef struct draw_rows {
    const char *quilt; /* borrowed */
    int count;
    const int *blocks; /* in each row; borrowed */
    bool on_point;
} draw_rows;

/** Free with draw_scene_free(). */
draw_scene *draw_rows_sheet(const draw_rows *rows, const draw_heading *heading);

enum { DRAW_LABEL_LINES = 8 };

/** What stands on the label, the name first; NULL lines are left out. Borrowed. */
typedef struct draw_label {
    const char *name;
    const char *line[DRAW_LABEL_LINES];
} draw_label;

/** The label 6 x 4 in, with a dashed line to cut or turn under along, 1/2 in outside of
 * the frame. Free with draw_scene_free(). */
draw_scene *draw_label_sheet(const draw_label *label, const draw_heading *heading);
