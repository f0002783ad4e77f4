#include "draw/chart-internal.h"
#include "draw/square-internal.h"

#include <math.h>

/* ---- How kinds look ---- */

draw_style draw_kind_style(int kind)
{
    /* 6 tints and 8 hatches have a common cycle of 24; the hatch of the second 24 moves
     * on by one. Tints begin light, where hatches show best. */
    static const draw_ink tints[] = { DRAW_TINT_0, DRAW_TINT_2, DRAW_TINT_1,
                                      DRAW_TINT_3, DRAW_TINT_0, DRAW_TINT_1 };
    draw_style style = DRAW_FILL(tints[kind % 6]);
    style.hatch = (draw_hatch)((kind + kind / 24) % DRAW_HATCHES);
    return style;
}

draw_style draw_role_style(quilt_role role)
{
    static const draw_ink tints[QUILT_ROLES] = {
        [QUILT_SCRAP] = DRAW_TINT_0,  [QUILT_BACKGROUND] = DRAW_TINT_4,
        [QUILT_LIGHT] = DRAW_TINT_1,  [QUILT_DARK] = DRAW_TINT_5,
        [QUILT_ACCENT] = DRAW_TINT_2,
    };
    draw_style style = DRAW_FILL(tints[role]);
    style.hatch = role == QUILT_ACCENT ? DRAW_HATCH_DOTS : DRAW_HATCH_NONE;
    return style;
}

/* The square within a box: upright it fills the box, on point it stands on its corner in
 * it, turned by an eighth clockwise as blocks on point are. Its side is share times that
 * of the largest. */
static draw_square frame_in(length box, bool on_point, double share)
{
    double middle = box / 2.0, half = box * share / 2;
    if (on_point)
        return (draw_square){ middle, middle - half, half, half, -half, half };
    return (draw_square){ middle - half, middle - half, 2 * half, 0, 0, 2 * half };
}

static void draw_whole(draw_scene *scene, const draw_style *style, const draw_square *f)
{
    draw_point corners[4];
    draw_patch_corners(f, 1, 0, corners);
    draw_scene_polygon(scene, style, 4, corners);
}

static draw_style patch_style(quilt_role role, bool filled, draw_ink outline)
{
    draw_style style = filled ? draw_role_style(role) : (draw_style){ 0 };
    style.line.ink = outline;
    return style;
}

static void draw_patches(draw_scene *scene, const quilt_block *block,
                         const draw_square *frame, bool filled, draw_ink outline)
{
    int n = block->side;
    for (int i = 0; i < n * n; i++) {
        const quilt_patch *patch = &block->patches[i];
        draw_point corners[4];
        draw_patch_corners(frame, n, i, corners);
        draw_style first = patch_style(patch->role[0], filled, outline);
        draw_scene_polygon(scene, &first, 4, corners);
        if (patch->split == QUILT_WHOLE)
            continue;
        draw_pieces pieces = draw_patch_pieces(patch, corners);
        draw_style second = patch_style(patch->role[1], filled, outline);
        draw_scene_polygon(scene, &second, pieces.corners, pieces.at[1]);
    }
}

int draw_kind_symbol(draw_scene *scene, const quilt_block *block, length side)
{
    draw_square frame = frame_in(side, false, 1);
    int symbol = draw_scene_symbol_begin(scene, side, side);
    draw_patches(scene, block, &frame, true, DRAW_INK);
    draw_scene_symbol_end(scene);
    return symbol;
}

static int record_faint(draw_scene *scene, const quilt_block *block, length box,
                        bool on_point)
{
    draw_square frame = frame_in(box, on_point, 1);
    int symbol = draw_scene_symbol_begin(scene, box, box);
    draw_patches(scene, block, &frame, false, DRAW_LINE);
    draw_scene_symbol_end(scene);
    return symbol;
}

/* Two stitches from corner to corner, over a halo of paper. */
static int record_cross(draw_scene *scene, length box, bool on_point)
{
    draw_square f = frame_in(box, on_point, 1);
    length side = (length)hypot(f.right_x, f.right_y);
    draw_style halo = DRAW_STROKE(DRAW_RAISED, side / 5);
    draw_style stitch = DRAW_STROKE(DRAW_THREAD, side / 9);
    const draw_point ends[2][2] = {
        { draw_square_at(&f, 0.125, 0.125), draw_square_at(&f, 0.875, 0.875) },
        { draw_square_at(&f, 0.125, 0.875), draw_square_at(&f, 0.875, 0.125) }
    };
    int symbol = draw_scene_symbol_begin(scene, box, box);
    for (int pass = 0; pass < 2; pass++)
        for (int i = 0; i < 2; i++)
            draw_scene_polyline(scene, pass == 0 ? &halo : &stitch, 2, ends[i]);
    draw_scene_symbol_end(scene);
    return symbol;
}

/* ---- Cells ---- */

/* Where cells lie: each has a box, the boxes follow each other at a pitch, with a gap
 * after every tenth. On point boxes are interlocked: rows are half a box apart, every
 * second one begins half a box further in, and there is no room for gaps. */
typedef struct cell_grid {
    bool on_point;
    length box, pitch_x, pitch_y, gap;
} cell_grid;

static cell_grid grid_of(bool on_point, length cell, length gap)
{
    if (!on_point)
        return (cell_grid){ false, cell, cell, cell, gap };
    length half = (length)lround(cell / G_SQRT2);
    return (cell_grid){ true, 2 * half, 2 * half, half, 0 };
}

/* Where column (or row) n of the whole chart begins when the first begins at 0. */
static length offset_x(const cell_grid *grid, int row, int n, int first)
{
    return (n - first) * grid->pitch_x + (n / 10 - first / 10) * grid->gap +
           (grid->on_point && row % 2 == 1 ? grid->pitch_y : 0);
}

static length offset_y(const cell_grid *grid, int n, int first)
{
    return (n - first) * grid->pitch_y + (n / 10 - first / 10) * grid->gap;
}

/* What a chart places again and again; -1 where it is not needed. */
typedef struct cell_symbols {
    length box;
    int cell[DRAW_CHART_KINDS_MAX][4]; /* by kind and turn */
    int faint[DRAW_CHART_KINDS_MAX];
    int cross;
    int open; /* a place without a block */
} cell_symbols;

static int record_patches(draw_scene *scene, const quilt_block *block, length box,
                          bool on_point)
{
    draw_square inside = frame_in(box, on_point, 0.7);
    int symbol = draw_scene_symbol_begin(scene, box, box);
    draw_patches(scene, block, &inside, true, DRAW_INK);
    draw_scene_symbol_end(scene);
    return symbol;
}

/* Where patches are too small: a notch in what is the block's upper side. */
static int record_notch(draw_scene *scene, length box, bool on_point)
{
    draw_square f = frame_in(box, on_point, 1);
    const draw_point tip[3] = { draw_square_at(&f, 1.0 / 3, 0),
                                draw_square_at(&f, 2.0 / 3, 0),
                                draw_square_at(&f, 0.5, 0.25) };
    int symbol = draw_scene_symbol_begin(scene, box, box);
    draw_scene_polygon(scene, &DRAW_FILL(DRAW_INK), 3, tip);
    draw_scene_symbol_end(scene);
    return symbol;
}

/* A frame of the kind's pattern with its patches inside, as they are turned; or, where
 * patches would come out under 1 mm, the pattern with a notch that shows the turn. */
static void record_cells(draw_scene *scene, const draw_chart *chart, length box,
                         cell_symbols *ret)
{
    draw_square whole = frame_in(box, chart->on_point, 1);
    double side = hypot(whole.right_x, whole.right_y);
    ret->box = box;
    for (int k = 0; k < chart->kind_count; k++) {
        const quilt_block *block = chart->kinds[k].block;
        bool pictured = side * 0.7 / block->side >= LENGTH_MM;
        int over = pictured ? record_patches(scene, block, box, chart->on_point)
                            : record_notch(scene, box, chart->on_point);
        ret->faint[k] = record_faint(scene, block, box, chart->on_point);
        draw_style style = draw_kind_style(k);
        style.line.ink = DRAW_INK;
        style.width = DRAW_PT(0.5);
        for (int turn = 0; turn < 4; turn++) {
            ret->cell[k][turn] = draw_scene_symbol_begin(scene, box, box);
            draw_whole(scene, &style, &whole);
            if (pictured || turn != 0)
                draw_scene_place(scene, over, 0, 0, box, turn);
            draw_scene_symbol_end(scene);
        }
    }
    ret->cross = record_cross(scene, box, chart->on_point);
    ret->open = draw_scene_symbol_begin(scene, box, box);
    draw_whole(scene, &DRAW_STROKE(DRAW_LINE, DRAW_PT(0.5)), &whole);
    draw_scene_symbol_end(scene);
}

/* On point every second row is one place shorter. */
static int places_in_row(const draw_chart *chart, int row)
{
    return chart->across - (chart->on_point && row % 2 == 1);
}

static const draw_chart_place *place_at(const draw_chart *chart, int row, int col)
{
    return &chart->places[row * chart->across + col];
}

static void draw_cell(draw_scene *scene, const cell_symbols *symbols,
                      const draw_chart_place *place, length x, length y)
{
    int symbol =
        place->kind < 0 ? symbols->open : symbols->cell[place->kind][place->turn & 3];
    draw_scene_place(scene, symbol, x, y, symbols->box, 0);
}

/* ---- On the screen ---- */

/* Whole CSS pixels: one is 254/3 lengths. */
#define SCREEN_CELL   ((length)4064) /* 48 px */
#define SCREEN_MARGIN ((length)3048) /* for the numbers; 36 px */
#define SCREEN_BOX    ((length)5588) /* of a cell on point; 66 px */
#define SCREEN_GAP    ((length)762)  /* 9 px */

static cell_grid screen_grid(bool on_point)
{
    /* On point the box is of whole pixels too; its cell is a little smaller. */
    if (on_point)
        return (cell_grid){ true, SCREEN_BOX, SCREEN_BOX, SCREEN_BOX / 2, 0 };
    return grid_of(false, SCREEN_CELL, SCREEN_GAP);
}

static length screen_width(const cell_grid *grid, int across)
{
    return 2 * SCREEN_MARGIN + offset_x(grid, 0, across - 1, 0) + grid->box;
}

static length screen_height(const cell_grid *grid, int down)
{
    return 2 * SCREEN_MARGIN + offset_y(grid, down - 1, 0) + grid->box;
}

static double to_px(length x)
{
    return x * 96.0 / 8128;
}

void draw_chart_screen_geometry(int across, int down, bool on_point,
                                draw_chart_geometry *ret_geometry)
{
    cell_grid grid = screen_grid(on_point);
    *ret_geometry = (draw_chart_geometry){
        .margin_px = to_px(SCREEN_MARGIN),
        .cell_px = to_px(grid.box),
        .pitch_x_px = to_px(grid.pitch_x),
        .pitch_y_px = to_px(grid.pitch_y),
        .gap_px = to_px(grid.gap),
        .width_px = to_px(screen_width(&grid, across)),
        .height_px = to_px(screen_height(&grid, down)),
    };
}

static void number_at(draw_scene *scene, length size, length x, length y, int number,
                      bool quiet)
{
    const draw_text_style style = { .size = quiet ? size * 4 / 5 : size,
                                    .align = DRAW_CENTRE,
                                    .ink = quiet ? DRAW_QUIET : DRAW_INK,
                                    .bold = number % 10 == 0 };
    char text[16];
    g_snprintf(text, sizeof text, "%d", number);
    draw_scene_text(scene, &style, x, y + size * 35 / 100, text);
}

/* A part of the chart with its numbers on all four sides. */
typedef struct chart_part {
    int first_row, rows, first_col, cols;
    bool row_repeated, col_repeated; /* the first row or column was on a page before */
} chart_part;

static length part_width(const draw_chart *chart, const cell_grid *grid,
                         const chart_part *part)
{
    int end = part->first_col + part->cols;
    length width = offset_x(grid, 0, end - 1, part->first_col) + grid->box;
    /* Where the chart goes on, the rows between stick out by half a box. */
    return width + (grid->on_point && end < chart->across ? grid->pitch_y : 0);
}

static length part_height(const cell_grid *grid, const chart_part *part)
{
    return offset_y(grid, part->first_row + part->rows - 1, part->first_row) + grid->box;
}

/* On point the columns of the rows between are numbered on their own, in grey. */
static void draw_numbers(draw_scene *scene, const draw_chart *chart,
                         const cell_grid *grid, const chart_part *part, length left,
                         length top, length gutter, length size)
{
    int row_end = part->first_row + part->rows, col_end = part->first_col + part->cols;
    length bottom = top + part_height(grid, part);
    length right = left + part_width(chart, grid, part);
    for (int r = 0; r < (grid->on_point && chart->down > 1 ? 2 : 1); r++)
        for (int c = part->first_col; c < MIN(col_end, places_in_row(chart, r)); c++) {
            length x = left + offset_x(grid, r, c, part->first_col) + grid->box / 2;
            number_at(scene, size, x, top - gutter / 2, c + 1, r == 1);
            number_at(scene, size, x, bottom + gutter / 2, c + 1, r == 1);
        }
    for (int r = part->first_row; r < row_end; r++) {
        length y = top + offset_y(grid, r, part->first_row) + grid->box / 2;
        bool between = grid->on_point && r % 2 == 1;
        number_at(scene, size, left - gutter / 2, y, r + 1, between);
        number_at(scene, size, right + gutter / 2, y, r + 1, between);
    }
}

draw_scene *draw_chart_screen(const draw_chart *chart, const char *title)
{
    draw_scene *scene = draw_scene_new(title);
    cell_grid grid = screen_grid(chart->on_point);
    draw_scene_add_page(scene, screen_width(&grid, chart->across),
                        screen_height(&grid, chart->down));
    cell_symbols symbols;
    record_cells(scene, chart, grid.box, &symbols);
    chart_part all = { .rows = chart->down, .cols = chart->across };
    draw_numbers(scene, chart, &grid, &all, SCREEN_MARGIN, SCREEN_MARGIN, SCREEN_MARGIN,
                 LENGTH_INCH / 6);

    for (int r = 0; r < chart->down; r++)
        for (int c = 0; c < places_in_row(chart, r); c++) {
            const draw_chart_place *place = place_at(chart, r, c);
            length x = SCREEN_MARGIN + offset_x(&grid, r, c, 0);
            length y = SCREEN_MARGIN + offset_y(&grid, r, 0);
            char text[128];
            g_snprintf(text, sizeof text,
                       "class=\"cell kind-%d%s\" data-row=\"%d\" data-col=\"%d\"",
                       place->kind, place->made ? " made" : "", r + 1, c + 1);
            draw_scene_group_begin(scene, text, false);
            draw_cell(scene, &symbols, place, x, y);
            if (place->kind >= 0) {
                draw_scene_group_begin(scene, "class=\"cross\"", !place->made);
                draw_scene_place(scene, symbols.cross, x, y, grid.box, 0);
                draw_scene_group_end(scene);
            }
            draw_scene_group_end(scene);
        }
    return scene;
}

/* ---- On paper ---- */

#define CELL_MIN       (6 * LENGTH_MM)
#define CELL_MAX       (14 * LENGTH_MM)
#define CELL_STEP      (LENGTH_MM / 2)
#define CELL_WIDE      (9 * LENGTH_MM) /* of several pages, where that needs no page more */
#define TEN_GAP        (3 * LENGTH_MM / 2)
#define GUTTER         (7 * LENGTH_MM)  /* for the numbers on each side */
#define CAPTION        (11 * LENGTH_MM) /* two lines */
#define LEGEND_LINE    DRAW_PT(17)      /* of the fabrics chosen, above the kinds */
#define LEGEND_ROW     (15 * LENGTH_MM)
#define LEGEND_SAMPLE  (12 * LENGTH_MM)
#define LEGEND_COLUMNS 3

/* How many columns (or rows) go on each page: new ones, and one before them that is
 * repeated on all pages but the first. */
typedef struct chart_run {
    int total, step, pages;
} chart_run;

static int fits_across(length room, const cell_grid *grid)
{
    int n = 1;
    while (offset_x(grid, 0, n, 0) + grid->box <= room)
        n++;
    return n;
}

static int fits_down(length room, const cell_grid *grid)
{
    int n = 1;
    while (offset_y(grid, n, 0) + grid->box <= room)
        n++;
    return n;
}

/* Pages end at whole tens where they can, so that the gaps lie alike on each. */
static chart_run run_of(int total, int most)
{
    if (most >= total)
        return (chart_run){ total, total, 1 };
    int step = most - 1 >= 10 ? (most - 1) / 10 * 10 : most - 1;
    return (chart_run){ total, step, (total + step - 1) / step };
}

typedef struct chart_layout {
    cell_grid grid;
    chart_run across, down;
    bool legend_apart; /* on a page of its own */
} chart_layout;

static length legend_height(const draw_chart *chart)
{
    int rows = (chart->kind_count + LEGEND_COLUMNS - 1) / LEGEND_COLUMNS;
    length cloths = chart->cloths != NULL ? LEGEND_LINE : 0;
    return rows * LEGEND_ROW + cloths + 4 * LENGTH_MM;
}

static chart_layout lay_out_at(const draw_chart *chart, length cell, length wide,
                               length high)
{
    chart_layout layout = { .grid = grid_of(chart->on_point, cell, TEN_GAP) };
    int most = fits_across(wide, &layout.grid);
    if (chart->on_point && most < chart->across)
        most = fits_across(wide - layout.grid.pitch_y, &layout.grid);
    layout.across = run_of(chart->across, most);
    layout.down = run_of(chart->down, fits_down(high, &layout.grid));
    return layout;
}

static chart_layout lay_out(const draw_chart *chart, const draw_frame *frame)
{
    length wide = frame->right - frame->left - 2 * GUTTER;
    length high = frame->bottom - frame->top - 2 * GUTTER - CAPTION;
    length beside = high - legend_height(chart);

    /* The largest cell with everything on one page; then with the legend on a second. */
    for (int apart = 0; apart < 2; apart++)
        for (length cell = CELL_MAX; cell >= CELL_MIN; cell -= CELL_STEP) {
            chart_layout layout = lay_out_at(chart, cell, wide, apart ? high : beside);
            layout.legend_apart = apart;
            if (layout.across.pages == 1 && layout.down.pages == 1)
                return layout;
        }
    /* As few pages as the smallest cells take, with the largest that take no more. */
    chart_layout best = lay_out_at(chart, CELL_MIN, wide, high);
    for (length cell = CELL_WIDE; cell > CELL_MIN; cell -= CELL_STEP) {
        chart_layout layout = lay_out_at(chart, cell, wide, high);
        if (layout.across.pages * layout.down.pages ==
            best.across.pages * best.down.pages) {
            best = layout;
            break;
        }
    }
    int last_rows = chart->down - best.down.step * (best.down.pages - 1) + 1;
    best.legend_apart = last_rows > fits_down(beside, &best.grid);
    return best;
}

static void part_of(const chart_run *run, int page, int *ret_first, int *ret_count,
                    bool *ret_repeated)
{
    int first = page * run->step, end = MIN(first + run->step, run->total);
    *ret_repeated = page > 0;
    *ret_first = *ret_repeated ? first - 1 : first;
    *ret_count = end - *ret_first;
}

/* Adds the blocks of a kind, and those that are made. */
static void count_kind(const draw_chart *chart, int kind, int *blocks, int *made)
{
    for (int r = 0; r < chart->down; r++)
        for (int c = 0; c < places_in_row(chart, r); c++) {
            const draw_chart_place *place = place_at(chart, r, c);
            *blocks += place->kind == kind;
            *made += place->kind == kind && place->made;
        }
}

static void draw_caption(draw_scene *scene, const draw_chart *chart,
                         const draw_frame *frame, const chart_part *part,
                         draw_language language)
{
    int blocks = 0, made = 0;
    for (int kind = 0; kind < chart->kind_count; kind++)
        count_kind(chart, kind, &blocks, &made);
    g_autoptr(GString) text = g_string_new(NULL);
    g_string_printf(text, draw_words(language, "%d across, %d down: %d blocks, %d made."),
                    chart->across, chart->down, blocks, made);
    if (part->cols < chart->across)
        g_string_append_printf(text, draw_words(language, " Here columns %d to %d."),
                               part->first_col + part->col_repeated + 1,
                               part->first_col + part->cols);
    if (part->rows < chart->down)
        g_string_append_printf(text, draw_words(language, " Here rows %d to %d."),
                               part->first_row + part->row_repeated + 1,
                               part->first_row + part->rows);
    if (part->col_repeated && part->row_repeated)
        g_string_append_printf(
            text, draw_words(language, " Column %d and row %d again, in grey."),
            part->first_col + 1, part->first_row + 1);
    else if (part->col_repeated)
        g_string_append_printf(text, draw_words(language, " Column %d again, in grey."),
                               part->first_col + 1);
    else if (part->row_repeated)
        g_string_append_printf(text, draw_words(language, " Row %d again, in grey."),
                               part->first_row + 1);
    const draw_text_style style = { .size = DRAW_PT(10) };
    draw_scene_paragraph(scene, &style, frame->left, frame->top + DRAW_PT(10),
                         frame->right - frame->left, text->str, true);
}

/* Returns the lower edge, numbers included. */
static length draw_part(draw_scene *scene, const draw_chart *chart,
                        const draw_frame *frame, const cell_grid *grid,
                        const cell_symbols *symbols, const chart_part *part)
{
    int row_end = part->first_row + part->rows, col_end = part->first_col + part->cols;
    length wide = part_width(chart, grid, part), high = part_height(grid, part);
    length left = frame->left + (frame->right - frame->left - wide) / 2;
    length top = frame->top + CAPTION + GUTTER;
    draw_numbers(scene, chart, grid, part, left, top, GUTTER,
                 MIN(DRAW_PT(9), grid->pitch_y * (grid->on_point ? 55 : 42) / 100));
    for (int r = part->first_row; r < row_end; r++)
        for (int c = part->first_col; c < MIN(col_end, places_in_row(chart, r)); c++) {
            const draw_chart_place *place = place_at(chart, r, c);
            length x = left + offset_x(grid, r, c, part->first_col);
            length y = top + offset_y(grid, r, part->first_row);
            bool again = (part->row_repeated && r == part->first_row) ||
                         (part->col_repeated && c == part->first_col);
            if (again && place->kind >= 0)
                draw_scene_place(scene, symbols->faint[place->kind], x, y, grid->box,
                                 place->turn);
            else
                draw_cell(scene, symbols, place, x, y);
            if (!again && place->kind >= 0 && place->made)
                draw_scene_place(scene, symbols->cross, x, y, grid->box, 0);
        }
    return top + high + GUTTER;
}

static void draw_legend(draw_scene *scene, const draw_chart *chart,
                        const draw_frame *frame, length top, draw_language language)
{
    cell_symbols samples;
    record_cells(scene, chart, LEGEND_SAMPLE, &samples);
    const draw_text_style name = { .size = DRAW_PT(10.5), .bold = true };
    const draw_text_style counts = { .size = DRAW_PT(10) };
    length column = (frame->right - frame->left) / LEGEND_COLUMNS;
    if (chart->cloths != NULL) {
        g_autofree char *fitted =
            draw_text_fit(&counts, chart->cloths, frame->right - frame->left);
        draw_scene_text(scene, &counts, frame->left, top + DRAW_PT(11), fitted);
        top += LEGEND_LINE;
    }
    for (int k = 0; k < chart->kind_count; k++) {
        int blocks = 0, made = 0;
        count_kind(chart, k, &blocks, &made);
        length x = frame->left + k % LEGEND_COLUMNS * column;
        length y = top + k / LEGEND_COLUMNS * LEGEND_ROW;
        length text_x = x + LEGEND_SAMPLE + 3 * LENGTH_MM;
        draw_scene_place(scene, samples.cell[k][0], x, y, LEGEND_SAMPLE, 0);
        g_autofree char *fitted =
            draw_text_fit(&name, draw_words_of(language, chart->kinds[k].name),
                          x + column - 2 * LENGTH_MM - text_x);
        draw_scene_text(scene, &name, text_x, y + DRAW_PT(13), fitted);
        char text[64], counted[DRAW_COUNTED_SIZE];
        g_snprintf(text, sizeof text, draw_words(language, "%s, %d made"),
                   draw_counted(language, blocks, "block", "blocks", counted), made);
        draw_scene_text(scene, &counts, text_x, y + DRAW_PT(27), text);
    }
}

draw_scene *draw_chart_sheet(const draw_chart *chart, const draw_heading *heading)
{
    g_assert(chart->across >= 1 && chart->across <= 1000);
    g_assert(chart->down >= 1 && chart->down <= 1000);
    g_assert(chart->kind_count >= 1 && chart->kind_count <= DRAW_CHART_KINDS_MAX);
    draw_frame frame = draw_sheet_frame(heading->paper);
    chart_layout layout = lay_out(chart, &frame);
    draw_scene *scene = draw_sheet_new(heading);
    cell_symbols symbols;
    record_cells(scene, chart, layout.grid.box, &symbols);

    length bottom = frame.top;
    for (int i = 0; i < layout.across.pages * layout.down.pages; i++) {
        chart_part part;
        part_of(&layout.across, i % layout.across.pages, &part.first_col, &part.cols,
                &part.col_repeated);
        part_of(&layout.down, i / layout.across.pages, &part.first_row, &part.rows,
                &part.row_repeated);
        if (i > 0)
            draw_sheet_page(scene, heading);
        draw_caption(scene, chart, &frame, &part, heading->language);
        bottom = draw_part(scene, chart, &frame, &layout.grid, &symbols, &part);
    }
    if (layout.legend_apart) {
        draw_sheet_page(scene, heading);
        bottom = frame.top;
    }
    draw_legend(scene, chart, &frame, bottom + 4 * LENGTH_MM, heading->language);
    draw_sheet_finish(scene, heading);
    return scene;
}
