/* draw/chart.h: the picture of a quilt's places, crossed off as blocks are made. */
#pragma once

#include "draw/sheet.h"
#include "quilt/design.h"

enum { DRAW_CHART_KINDS_MAX = QUILT_BLOCKS_MAX };

typedef struct draw_chart_kind {
    const char *name;         /* "stroke" */
    const quilt_block *block; /* as the design draws it */
} draw_chart_kind;

typedef struct draw_chart_place {
    int8_t kind;  /* index into kinds; -1 is a place without a block */
    uint8_t turn; /* quarter turns clockwise, 0 to 3 */
    uint8_t made; /* 1 when crossed off */
} draw_chart_place;

/** Borrowed memory throughout. */
typedef struct draw_chart {
    int across, down; /* 1 to 1000 */
    int kind_count;   /* 1 to DRAW_CHART_KINDS_MAX */
    const draw_chart_kind *kinds;
    const draw_chart_place *places; /* down * across, row by row */
    /* Blocks stand on a corner; down then counts all rows, and every second one is a
     * place shorter: what `places` has at its end is not read. */
    bool on_point;
    const char *cloths; /* fabrics chosen for its roles, in words; or NULL */
} draw_chart;

/**
 * The chart to cross off by pen: cells of 6 to 14 mm, each with the tint and pattern of
 * its kind and, where they come out large enough, its patches as they are turned; made
 * ones crossed by two stitches; row and column numbers on all four sides; a gap after
 * every tenth (not on point, where cells interlock). A chart that does not fit goes on
 * over several pages, which say which rows and columns they hold and repeat the last row
 * or column of the page before in grey. The last page has the kinds with their counts.
 *
 * Free with draw_scene_free().
 */
draw_scene *draw_chart_sheet(const draw_chart *chart, const draw_heading *heading);

/**
 * The same for the screen, one page as large as it needs. Every cell is a group
 * `class="cell kind-K"`, also `made`, with `data-row` and `data-col` counted from 1; the
 * two stitches are in a group `class="cross"` of each cell, which is hidden until made.
 *
 * Free with draw_scene_free().
 */
draw_scene *draw_chart_screen(const draw_chart *chart, const char *title);

/**
 * The same as a small picture for a list, without numbers: the greys of the patches as
 * they lie, so that the design can be told, and two stitches over what is made. The page
 * is across x down squares (half as many squares and a half on point) of equal size.
 *
 * Free with draw_scene_free().
 */
draw_scene *draw_chart_small(const draw_chart *chart, const char *title);

/** Screen geometry, so that a tap can be found without asking the drawing, in CSS pixels:
 *  the square that holds the cell in row r and column c (from 0) begins at
 *  margin + c * pitch_x + c / 10 * gap (+ pitch_y on point in odd r) from the left and at
 *  margin + r * pitch_y + r / 10 * gap from the top. */
typedef struct draw_chart_geometry {
    double margin_px, cell_px, pitch_x_px, pitch_y_px, gap_px, width_px, height_px;
} draw_chart_geometry;
void draw_chart_screen_geometry(int across, int down, bool on_point,
                                draw_chart_geometry *ret_geometry);
