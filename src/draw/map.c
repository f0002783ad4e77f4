#include "draw/map.h"
#include "draw/chart-internal.h"

#define CELL_MIN (20 * LENGTH_MM)
#define CELL_MAX (45 * LENGTH_MM)
#define GUTTER   (9 * LENGTH_MM)
#define CAPTION  (11 * LENGTH_MM) /* two lines */

/* What the map places again and again. */
typedef struct map_symbols {
    length cell;
    int kind[DRAW_CHART_KINDS_MAX][4]; /* by kind and turn */
} map_symbols;

static void record_kinds(draw_scene *scene, const draw_map *map, length cell,
                         map_symbols *ret)
{
    ret->cell = cell;
    for (int k = 0; k < map->kind_count; k++) {
        int picture = draw_kind_symbol(scene, map->kinds[k].block, cell);
        for (int turn = 0; turn < 4; turn++) {
            ret->kind[k][turn] = draw_scene_symbol_begin(scene, cell, cell);
            draw_scene_place(scene, picture, 0, 0, cell, turn);
            draw_scene_symbol_end(scene);
        }
    }
}

/* Corners of the cell clockwise from the upper left; a block turned by t quarters
 * clockwise has its own upper left corner at corner t. */
static void cell_corners(length x, length y, length side, draw_point ret[static 4])
{
    ret[0] = (draw_point){ x, y };
    ret[1] = (draw_point){ x + side, y };
    ret[2] = (draw_point){ x + side, y + side };
    ret[3] = (draw_point){ x, y + side };
}

/* An arrowhead at the edge where the block's top goes, light round dark to show on any
 * fabric. */
static void draw_wedge(draw_scene *scene, length x, length y, length side, int turn)
{
    draw_point c[4];
    cell_corners(x, y, side, c);
    draw_point a = c[turn], b = c[(turn + 1) & 3]; /* the edge */
    draw_point in = { c[(turn + 3) & 3].x - a.x, c[(turn + 3) & 3].y - a.y }; /* inward */
    draw_point middle = { (a.x + b.x) / 2, (a.y + b.y) / 2 };
    draw_point along = { (b.x - a.x) / 9, (b.y - a.y) / 9 };
    draw_point near = { in.x / 40, in.y / 40 }, far = { in.x / 6, in.y / 6 };
    const draw_point tip[3] = {
        { middle.x + near.x, middle.y + near.y },
        { middle.x + far.x + along.x, middle.y + far.y + along.y },
        { middle.x + far.x - along.x, middle.y + far.y - along.y },
    };
    draw_style style = DRAW_FILL(DRAW_INK);
    style.line.ink = DRAW_RAISED;
    style.width = DRAW_PT(1.5);
    draw_scene_polygon(scene, &style, 3, tip);
}

/* Figures as large as the cell takes, 24 pt and more where they are short, on a plate. */
static void draw_label(draw_scene *scene, length x, length y, length side,
                       const char *label)
{
    draw_text_style style = { .size = side * 45 / 100,
                              .bold = true,
                              .align = DRAW_CENTRE };
    length room = side * 6 / 10,
           /* the wedge has the rest */ wide = draw_text_width(&style, label);
    if (wide > room)
        style.size = MAX((length)((int64_t)style.size * room / wide), DRAW_PT(8));
    g_autofree char *fitted = draw_text_fit(&style, label, room);
    wide = draw_text_width(&style, fitted);
    length high = style.size * 9 / 10, air = side / 25;
    length middle_x = x + side / 2, middle_y = y + side / 2;
    draw_scene_rect(scene, &DRAW_FILL(DRAW_RAISED), middle_x - wide / 2 - air,
                    middle_y - high / 2, wide + 2 * air, high);
    draw_scene_text(scene, &style, middle_x, middle_y + style.size * 33 / 100, fitted);
}

static void draw_place(draw_scene *scene, const draw_map *map, const map_symbols *symbols,
                       const draw_map_place *place, length x, length y)
{
    length side = symbols->cell;
    draw_style edge = DRAW_STROKE(DRAW_INK, DRAW_PT(0.75));
    int turn = place->turn & 3;
    draw_point c[4];
    cell_corners(x, y, side, c);
    if (place->kind < 0 || place->kind >= map->kind_count) {
        draw_style open = DRAW_STROKE(DRAW_QUIET, DRAW_PT(1.5));
        open.stitch = DRAW_OPEN;
        draw_scene_rect(scene, &open, x + LENGTH_MM, y + LENGTH_MM, side - 2 * LENGTH_MM,
                        side - 2 * LENGTH_MM);
        return;
    }
    if (place->picture != NULL)
        draw_scene_picture(
            scene, place->picture,
            (draw_point[]){ c[turn], c[(turn + 1) & 3], c[(turn + 3) & 3] }, 0, NULL);
    else if (place->fabrics != NULL)
        draw_block(scene, map->kinds[place->kind].block, place->fabrics, x, y, side,
                   turn);
    else
        draw_scene_place(scene, symbols->kind[place->kind][turn], x, y, side, 0);
    draw_scene_rect(scene, &edge, x, y, side, side);
    if (place->label == NULL)
        return;
    draw_label(scene, x, y, side, place->label);
    draw_wedge(scene, x, y, side, turn);
}

/* On point every second row is a place shorter and begins half a cell further in. */
static bool is_between(const draw_map *map, int row)
{
    return map->on_point && row % 2 == 1;
}

/* Blocks along one way on one page, the pages as even as they can be. */
static int per_page(int total, length room, length cell)
{
    int most = MAX((int)(room / cell), 1);
    int pages = (total + most - 1) / most;
    return (total + pages - 1) / pages;
}

static void number_at(draw_scene *scene, length x, length y, int number)
{
    const draw_text_style style = { .size = DRAW_PT(13),
                                    .bold = true,
                                    .align = DRAW_CENTRE };
    char text[16];
    g_snprintf(text, sizeof text, "%d", number);
    draw_scene_text(scene, &style, x, y + DRAW_PT(4.5), text);
}

static void draw_part(draw_scene *scene, const draw_map *map, const draw_frame *frame,
                      draw_language language, const map_symbols *symbols, int row,
                      int rows, int col, int cols)
{
    length cell = symbols->cell, high = rows * cell;
    /* Where the map goes on, the rows between stick out by half a cell. */
    length wide =
        cols * cell + (map->on_point && col + cols < map->across ? cell / 2 : 0);
    length left = frame->left + (frame->right - frame->left - wide) / 2;
    length top = frame->top + CAPTION + GUTTER;

    const draw_text_style text = { .size = DRAW_PT(10) };
    g_autofree char *caption =
        cols == map->across && rows == map->down
            ? g_strdup_printf(draw_words(language, "%d across, %d down. The wedge points "
                                                   "to what was the top of the block."),
                              map->across, map->down)
            : g_strdup_printf(
                  draw_words(language,
                             "%d across, %d down. Here columns %d to %d, rows %d to %d. "
                             "The wedge points to what was the top of the block."),
                  map->across, map->down, col + 1, col + cols, row + 1, row + rows);
    draw_scene_paragraph(scene, &text, frame->left, frame->top + DRAW_PT(10),
                         frame->right - frame->left, caption, true);

    for (int c = 0; c < cols; c++) {
        number_at(scene, left + c * cell + cell / 2, top - GUTTER / 2, col + c + 1);
        number_at(scene, left + c * cell + cell / 2, top + high + GUTTER / 2,
                  col + c + 1);
    }
    for (int r = 0; r < rows; r++) {
        number_at(scene, left - GUTTER / 2, top + r * cell + cell / 2, row + r + 1);
        number_at(scene, left + wide + GUTTER / 2, top + r * cell + cell / 2,
                  row + r + 1);
    }
    for (int r = 0; r < rows; r++) {
        bool between = is_between(map, row + r);
        for (int c = 0; c < MIN(cols, map->across - between - col); c++)
            draw_place(scene, map, symbols,
                       &map->places[(row + r) * map->across + col + c],
                       left + c * cell + (between ? cell / 2 : 0), top + r * cell);
    }
}

draw_scene *draw_map_sheet(const draw_map *map, const draw_heading *heading)
{
    g_assert(map->across >= 1 && map->across <= 1000);
    g_assert(map->down >= 1 && map->down <= 1000);
    g_assert(map->kind_count >= 0 && map->kind_count <= DRAW_CHART_KINDS_MAX);
    draw_frame frame = draw_sheet_frame(heading->paper);
    length wide = frame.right - frame.left - 2 * GUTTER;
    length high = frame.bottom - frame.top - 2 * GUTTER - CAPTION;

    /* As few pages as cells of 20 mm take, and on these the largest cells. */
    int cols = per_page(map->across, wide, CELL_MIN);
    int rows = per_page(map->down, high, CELL_MIN);
    if (map->on_point && cols < map->across)
        cols = per_page(map->across, wide - CELL_MIN / 2, CELL_MIN);
    map_symbols symbols;
    draw_scene *scene = draw_sheet_new(heading);
    length widest = wide / cols;
    if (map->on_point && cols < map->across)
        widest = 2 * wide / (2 * cols + 1);
    record_kinds(scene, map, MIN(CELL_MAX, MIN(widest, high / rows)), &symbols);
    for (int row = 0; row < map->down; row += rows)
        for (int col = 0; col < map->across; col += cols) {
            if (row > 0 || col > 0)
                draw_sheet_page(scene, heading);
            draw_part(scene, map, &frame, heading->language, &symbols, row,
                      MIN(rows, map->down - row), col, MIN(cols, map->across - col));
        }
    draw_sheet_finish(scene, heading);
    return scene;
}
