#include "draw/chart-internal.h"

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

static draw_style role_style(quilt_role role)
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

/* Edges of patch i of n along a side: whole lengths that meet without a gap. */
static length patch_edge(length side, int i, int n)
{
    return (length)((int64_t)side * i / n);
}

/* Draws the patches of a block on a square from 0, 0; styles per role, then outlines. */
static void draw_patches(draw_scene *scene, const quilt_block *block, length side,
                         bool filled, draw_ink outline)
{
    for (int r = 0; r < block->side; r++)
        for (int c = 0; c < block->side; c++) {
            const quilt_patch *patch = &block->patches[r * block->side + c];
            length x1 = patch_edge(side, c, block->side);
            length x2 = patch_edge(side, c + 1, block->side);
            length y1 = patch_edge(side, r, block->side);
            length y2 = patch_edge(side, r + 1, block->side);
            draw_style style = filled ? role_style(patch->role[0]) : (draw_style){ 0 };
            style.line.ink = outline;
            draw_scene_rect(scene, &style, x1, y1, x2 - x1, y2 - y1);
            if (patch->split == QUILT_WHOLE)
                continue;
            draw_style second = filled ? role_style(patch->role[1]) : (draw_style){ 0 };
            second.line.ink = outline;
            bool rising = patch->split == QUILT_RISING;
            const draw_point lower[3] = { { x1, rising ? y2 : y1 },
                                          { x2, rising ? y1 : y2 },
                                          { rising ? x2 : x1, y2 } };
            draw_scene_polygon(scene, &second, 3, lower);
        }
}

int draw_kind_symbol(draw_scene *scene, const quilt_block *block, length side)
{
    int symbol = draw_scene_symbol_begin(scene, side, side);
    draw_patches(scene, block, side, true, DRAW_INK);
    draw_scene_symbol_end(scene);
    return symbol;
}

int draw_kind_faint_symbol(draw_scene *scene, const quilt_block *block, length side)
{
    int symbol = draw_scene_symbol_begin(scene, side, side);
    draw_patches(scene, block, side, false, DRAW_LINE);
    draw_scene_symbol_end(scene);
    return symbol;
}

int draw_cross_symbol(draw_scene *scene, length side)
{
    int symbol = draw_scene_symbol_begin(scene, side, side);
    length near = side / 8, far = side - side / 8;
    draw_style halo = DRAW_STROKE(DRAW_RAISED, side / 5);
    draw_style stitch = DRAW_STROKE(DRAW_THREAD, side / 9);
    for (int pass = 0; pass < 2; pass++) {
        const draw_style *style = pass == 0 ? &halo : &stitch;
        draw_scene_line(scene, style, near, near, far, far);
        draw_scene_line(scene, style, near, far, far, near);
    }
    draw_scene_symbol_end(scene);
    return symbol;
}

/* ---- Cells ---- */

/* What a chart places again and again; -1 where it is not needed. */
typedef struct cell_symbols {
    length side;
    int cell[DRAW_CHART_KINDS_MAX][4]; /* by kind and turn */
    int faint[DRAW_CHART_KINDS_MAX];
    int cross;
    int open; /* a place without a block */
} cell_symbols;

/* A frame of the kind's pattern with its patches inside, as they are turned; or, where
 * patches would come out under 1 mm, the pattern with a notch that shows the turn. */
static void record_cells(draw_scene *scene, const draw_chart *chart, length side,
                         cell_symbols *ret)
{
    ret->side = side;
    draw_style border = DRAW_STROKE(DRAW_INK, DRAW_PT(0.5));
    for (int k = 0; k < chart->kind_count; k++) {
        const quilt_block *block = chart->kinds[k].block;
        length inside = side * 7 / 10, edge = (side - inside) / 2;
        bool pictured = inside / block->side >= LENGTH_MM;
        int picture = pictured ? draw_kind_symbol(scene, block, inside) : -1;
        ret->faint[k] = draw_kind_faint_symbol(scene, block, side);
        int notch = draw_scene_symbol_begin(scene, side, side);
        const draw_point tip[3] = { { side / 3, 0 },
                                    { side - side / 3, 0 },
                                    { side / 2, side / 4 } };
        draw_scene_polygon(scene, &DRAW_FILL(DRAW_INK), 3, tip);
        draw_scene_symbol_end(scene);
        for (int turn = 0; turn < 4; turn++) {
            ret->cell[k][turn] = draw_scene_symbol_begin(scene, side, side);
            draw_style style = draw_kind_style(k);
            style.line = border.line;
            style.width = border.width;
            draw_scene_rect(scene, &style, 0, 0, side, side);
            if (pictured)
                draw_scene_place(scene, picture, edge, edge, inside, turn);
            else if (turn != 0)
                draw_scene_place(scene, notch, 0, 0, side, turn);
            draw_scene_symbol_end(scene);
        }
    }
    ret->cross = draw_cross_symbol(scene, side);
    ret->open = draw_scene_symbol_begin(scene, side, side);
    draw_style open = DRAW_STROKE(DRAW_LINE, DRAW_PT(0.5));
    draw_scene_rect(scene, &open, 0, 0, side, side);
    draw_scene_symbol_end(scene);
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
    draw_scene_place(scene, symbol, x, y, symbols->side, 0);
}

/* ---- On the screen ---- */

/* Whole CSS pixels: one is 254/3 lengths. */
#define SCREEN_CELL   ((length)4064) /* 48 px */
#define SCREEN_MARGIN ((length)3048) /* for the numbers; 36 px */
#define SCREEN_GAP    ((length)762)  /* 9 px */

static length along(int n, length cell, length gap)
{
    return n * cell + n / 10 * gap;
}

static length screen_at(int n)
{
    return SCREEN_MARGIN + along(n, SCREEN_CELL, SCREEN_GAP);
}

static length screen_side(int n)
{
    return screen_at(n - 1) + SCREEN_CELL + SCREEN_MARGIN;
}

void draw_chart_screen_geometry(int across, int down, draw_chart_geometry *ret_geometry)
{
    *ret_geometry = (draw_chart_geometry){
        .margin_px = SCREEN_MARGIN * 96.0 / 8128,
        .cell_px = SCREEN_CELL * 96.0 / 8128,
        .gap_px = SCREEN_GAP * 96.0 / 8128,
        .width_px = screen_side(across) * 96.0 / 8128,
        .height_px = screen_side(down) * 96.0 / 8128,
    };
}

static void number_at(draw_scene *scene, length size, length x, length y, int number)
{
    const draw_text_style style = { .size = size,
                                    .align = DRAW_CENTRE,
                                    .bold = number % 10 == 0 };
    char text[16];
    g_snprintf(text, sizeof text, "%d", number);
    draw_scene_text(scene, &style, x, y + size * 35 / 100, text);
}

draw_scene *draw_chart_screen(const draw_chart *chart, const char *title)
{
    draw_scene *scene = draw_scene_new(title);
    length wide = screen_side(chart->across), high = screen_side(chart->down);
    draw_scene_add_page(scene, wide, high);
    cell_symbols symbols;
    record_cells(scene, chart, SCREEN_CELL, &symbols);

    length half = SCREEN_CELL / 2, middle = SCREEN_MARGIN / 2, size = LENGTH_INCH / 6;
    for (int c = 0; c < chart->across; c++) {
        number_at(scene, size, screen_at(c) + half, middle, c + 1);
        number_at(scene, size, screen_at(c) + half, high - middle, c + 1);
    }
    for (int r = 0; r < chart->down; r++) {
        number_at(scene, size, middle, screen_at(r) + half, r + 1);
        number_at(scene, size, wide - middle, screen_at(r) + half, r + 1);
    }
    for (int r = 0; r < chart->down; r++)
        for (int c = 0; c < chart->across; c++) {
            const draw_chart_place *place = place_at(chart, r, c);
            char text[128];
            g_snprintf(text, sizeof text,
                       "class=\"cell kind-%d%s\" data-row=\"%d\" data-col=\"%d\"",
                       place->kind, place->made ? " made" : "", r + 1, c + 1);
            draw_scene_group_begin(scene, text, false);
            draw_cell(scene, &symbols, place, screen_at(c), screen_at(r));
            if (place->kind >= 0) {
                draw_scene_group_begin(scene, "class=\"cross\"", !place->made);
                draw_scene_place(scene, symbols.cross, screen_at(c), screen_at(r),
                                 SCREEN_CELL, 0);
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
#define GUTTER         (7 * LENGTH_MM) /* for the numbers on each side */
#define CAPTION        (7 * LENGTH_MM)
#define LEGEND_ROW     (15 * LENGTH_MM)
#define LEGEND_SAMPLE  (12 * LENGTH_MM)
#define LEGEND_COLUMNS 3

/* How many columns (or rows) go on each page: new ones, and one before them that is
 * repeated on all pages but the first. */
typedef struct chart_run {
    int total, step, pages;
} chart_run;

static int fits(length room, length cell)
{
    int n = 0;
    while (along(n + 1, cell, TEN_GAP) <= room)
        n++;
    return n;
}

/* Pages end at whole tens where they can, so that the gaps lie alike on each. */
static chart_run run_of(int total, length room, length cell)
{
    int most = fits(room, cell);
    if (most >= total)
        return (chart_run){ total, total, 1 };
    int step = most - 1 >= 10 ? (most - 1) / 10 * 10 : most - 1;
    return (chart_run){ total, step, (total + step - 1) / step };
}

typedef struct chart_layout {
    length cell;
    chart_run across, down;
    bool legend_apart; /* on a page of its own */
} chart_layout;

static length legend_height(const draw_chart *chart)
{
    int rows = (chart->kind_count + LEGEND_COLUMNS - 1) / LEGEND_COLUMNS;
    return rows * LEGEND_ROW + 4 * LENGTH_MM;
}

static chart_layout lay_out(const draw_chart *chart, const draw_frame *frame)
{
    length wide = frame->right - frame->left - 2 * GUTTER;
    length high = frame->bottom - frame->top - 2 * GUTTER - CAPTION;
    length beside = high - legend_height(chart);

    /* The largest cell with everything on one page; then with the legend on a second. */
    for (int apart = 0; apart < 2; apart++)
        for (length cell = CELL_MAX; cell >= CELL_MIN; cell -= CELL_STEP) {
            chart_run across = run_of(chart->across, wide, cell);
            chart_run down = run_of(chart->down, apart ? high : beside, cell);
            if (across.pages == 1 && down.pages == 1)
                return (chart_layout){ cell, across, down, apart };
        }
    chart_run least_across = run_of(chart->across, wide, CELL_MIN);
    chart_run least_down = run_of(chart->down, high, CELL_MIN);
    chart_layout best = { CELL_MIN, least_across, least_down, true };
    for (length cell = CELL_WIDE; cell > CELL_MIN; cell -= CELL_STEP) {
        chart_run across = run_of(chart->across, wide, cell);
        chart_run down = run_of(chart->down, high, cell);
        if (across.pages * down.pages == least_across.pages * least_down.pages) {
            best = (chart_layout){ cell, across, down, true };
            break;
        }
    }
    int last_rows = chart->down - best.down.step * (best.down.pages - 1) + 1;
    best.legend_apart = along(last_rows, best.cell, TEN_GAP) > beside;
    return best;
}

/* The part of the chart on one page; first is repeated when it is not the chart's own. */
typedef struct chart_part {
    int first_row, rows, first_col, cols;
    bool row_repeated, col_repeated;
} chart_part;

static void part_of(const chart_run *run, int page, int *ret_first, int *ret_count,
                    bool *ret_repeated)
{
    int first = page * run->step, end = MIN(first + run->step, run->total);
    *ret_repeated = page > 0;
    *ret_first = *ret_repeated ? first - 1 : first;
    *ret_count = end - *ret_first;
}

static void draw_caption(draw_scene *scene, const draw_chart *chart,
                         const draw_frame *frame, const chart_part *part)
{
    int blocks = 0, made = 0;
    for (int i = 0; i < chart->across * chart->down; i++) {
        blocks += chart->places[i].kind >= 0;
        made += chart->places[i].kind >= 0 && chart->places[i].made;
    }
    g_autoptr(GString) text = g_string_new(NULL);
    g_string_printf(text, "%d across, %d down: %d blocks, %d made.", chart->across,
                    chart->down, blocks, made);
    if (part->cols < chart->across)
        g_string_append_printf(text, " Here columns %d to %d.",
                               part->first_col + part->col_repeated + 1,
                               part->first_col + part->cols);
    if (part->rows < chart->down)
        g_string_append_printf(text, " Here rows %d to %d.",
                               part->first_row + part->row_repeated + 1,
                               part->first_row + part->rows);
    if (part->col_repeated && part->row_repeated)
        g_string_append_printf(text, " Column %d and row %d again, in grey.",
                               part->first_col + 1, part->first_row + 1);
    else if (part->col_repeated)
        g_string_append_printf(text, " Column %d again, in grey.", part->first_col + 1);
    else if (part->row_repeated)
        g_string_append_printf(text, " Row %d again, in grey.", part->first_row + 1);
    const draw_text_style style = { .size = DRAW_PT(10) };
    g_autofree char *one = draw_text_fit(&style, text->str, frame->right - frame->left);
    draw_scene_text(scene, &style, frame->left, frame->top + DRAW_PT(10), one);
}

/* Where column (or row) n of the whole chart begins on the page whose first is first. */
static length offset(int n, int first, length cell)
{
    return (n - first) * cell + (n / 10 - first / 10) * TEN_GAP;
}

/* Returns the lower edge, numbers included. */
static length draw_part(draw_scene *scene, const draw_chart *chart,
                        const draw_frame *frame, const chart_layout *layout,
                        const cell_symbols *symbols, const chart_part *part)
{
    length cell = layout->cell, half = cell / 2;
    int row_end = part->first_row + part->rows, col_end = part->first_col + part->cols;
    length wide = offset(col_end - 1, part->first_col, cell) + cell;
    length high = offset(row_end - 1, part->first_row, cell) + cell;
    length left = frame->left + (frame->right - frame->left - wide) / 2;
    length top = frame->top + CAPTION + GUTTER;
    length size = MIN(DRAW_PT(9), cell * 42 / 100);

    for (int c = part->first_col; c < col_end; c++) {
        length x = left + offset(c, part->first_col, cell) + half;
        number_at(scene, size, x, top - GUTTER / 2, c + 1);
        number_at(scene, size, x, top + high + GUTTER / 2, c + 1);
    }
    for (int r = part->first_row; r < row_end; r++) {
        length y = top + offset(r, part->first_row, cell) + half;
        number_at(scene, size, left - GUTTER / 2, y, r + 1);
        number_at(scene, size, left + wide + GUTTER / 2, y, r + 1);
    }
    for (int r = part->first_row; r < row_end; r++)
        for (int c = part->first_col; c < col_end; c++) {
            const draw_chart_place *place = place_at(chart, r, c);
            length x = left + offset(c, part->first_col, cell);
            length y = top + offset(r, part->first_row, cell);
            bool again = (part->row_repeated && r == part->first_row) ||
                         (part->col_repeated && c == part->first_col);
            if (again && place->kind >= 0)
                draw_scene_place(scene, symbols->faint[place->kind], x, y, cell,
                                 place->turn);
            else
                draw_cell(scene, symbols, place, x, y);
            if (!again && place->kind >= 0 && place->made)
                draw_scene_place(scene, symbols->cross, x, y, cell, 0);
        }
    return top + high + GUTTER;
}

static void draw_legend(draw_scene *scene, const draw_chart *chart,
                        const draw_frame *frame, length top)
{
    cell_symbols samples;
    record_cells(scene, chart, LEGEND_SAMPLE, &samples);
    const draw_text_style name = { .size = DRAW_PT(10.5), .bold = true };
    const draw_text_style counts = { .size = DRAW_PT(10) };
    length column = (frame->right - frame->left) / LEGEND_COLUMNS;
    for (int k = 0; k < chart->kind_count; k++) {
        int blocks = 0, made = 0;
        for (int i = 0; i < chart->across * chart->down; i++)
            if (chart->places[i].kind == k) {
                blocks++;
                made += chart->places[i].made != 0;
            }
        length x = frame->left + k % LEGEND_COLUMNS * column;
        length y = top + k / LEGEND_COLUMNS * LEGEND_ROW;
        length text_x = x + LEGEND_SAMPLE + 3 * LENGTH_MM;
        draw_scene_place(scene, samples.cell[k][0], x, y, LEGEND_SAMPLE, 0);
        g_autofree char *fitted = draw_text_fit(&name, chart->kinds[k].name,
                                                x + column - 2 * LENGTH_MM - text_x);
        draw_scene_text(scene, &name, text_x, y + DRAW_PT(13), fitted);
        char text[64];
        g_snprintf(text, sizeof text, "%d %s, %d made", blocks,
                   blocks == 1 ? "block" : "blocks", made);
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
    record_cells(scene, chart, layout.cell, &symbols);

    length bottom = frame.top;
    for (int i = 0; i < layout.across.pages * layout.down.pages; i++) {
        chart_part part;
        part_of(&layout.across, i % layout.across.pages, &part.first_col, &part.cols,
                &part.col_repeated);
        part_of(&layout.down, i / layout.across.pages, &part.first_row, &part.rows,
                &part.row_repeated);
        if (i > 0)
            draw_sheet_page(scene, heading);
        draw_caption(scene, chart, &frame, &part);
        bottom = draw_part(scene, chart, &frame, &layout, &symbols, &part);
    }
    if (layout.legend_apart) {
        draw_sheet_page(scene, heading);
        bottom = frame.top;
    }
    draw_legend(scene, chart, &frame, bottom + 4 * LENGTH_MM);
    draw_sheet_finish(scene, heading);
    return scene;
}
