#include "draw/piecing.h"

#include "draw/flow.h"

#include <string.h>

enum { PULL_COLUMNS = 3 };

#define PULL_HEIGHT (10 * LENGTH_MM)
#define SWATCH      (8 * LENGTH_MM)
#define BLOCK_SIDE  (33 * LENGTH_MM)
#define BLOCK_GAP   (5 * LENGTH_MM)
#define LABEL       (11 * LENGTH_MM) /* under a block */

/* A number on a disc of paper, to be read on any cloth. */
static void number_at(draw_scene *scene, length x, length y, int number)
{
    const draw_text_style style = { .size = DRAW_PT(8.5),
                                    .bold = true,
                                    .align = DRAW_CENTRE };
    const draw_style paper = DRAW_FILL(DRAW_PAPER);
    char text[16];
    g_snprintf(text, sizeof text, "%d", number);
    length width = draw_text_width(&style, text) + DRAW_PT(4), height = DRAW_PT(10.5);
    draw_scene_rect(scene, &paper, x - width / 2, y - height / 2, width, height);
    draw_scene_text(scene, &style, x, y + DRAW_PT(3), text);
}

static void draw_one_pull(draw_flow *flow, const draw_pull *pull, int number, length x,
                          length width)
{
    const draw_text_style text = { .size = DRAW_PT(11) };
    const draw_text_style strong = { .size = DRAW_PT(11),
                                     .bold = true,
                                     .align = DRAW_RIGHT };
    const draw_style box = DRAW_STROKE(DRAW_INK, DRAW_PT(0.75));
    const draw_style edge = DRAW_STROKE(DRAW_LINE, DRAW_PT(0.5));
    const draw_style cloth = { .fill = { DRAW_COLOUR, pull->fabric.colour } };
    length y = flow->y, base = y + SWATCH / 2 + DRAW_PT(4), tick = 5 * LENGTH_MM;
    char count[24];
    g_snprintf(count, sizeof count, "%d \303\227", pull->squares);
    draw_scene_rect(flow->scene, &box, x, y + (SWATCH - tick) / 2, tick, tick);
    x += tick + 3 * LENGTH_MM;
    draw_scene_rect(flow->scene, &cloth, x, y, SWATCH, SWATCH);
    draw_scene_rect(flow->scene, &edge, x, y, SWATCH, SWATCH);
    number_at(flow->scene, x + SWATCH / 2, y + SWATCH / 2, number);
    x += SWATCH + 11 * LENGTH_MM;
    draw_scene_text(flow->scene, &strong, x, base, count);
    x += 2 * LENGTH_MM;
    length room = width - (SWATCH + 18 * LENGTH_MM + tick);
    g_autofree char *cloth_name = draw_fabric_words(flow->heading->language, pull->name);
    g_autofree char *name = draw_text_fit(&text, cloth_name, room);
    draw_scene_text(flow->scene, &text, x, base, name);
}

static void draw_pulls(draw_flow *flow, int pulls, const draw_pull pull[])
{
    length width = (flow->frame.right - flow->frame.left) / PULL_COLUMNS;
    int squares = 0, rows = (pulls + PULL_COLUMNS - 1) / PULL_COLUMNS;
    for (int i = 0; i < pulls; i++)
        squares += pull[i].squares;
    g_autofree char *heading = g_strdup_printf(
        draw_words(flow->heading->language, "Squares to pull: %d"), squares);
    draw_flow_heading(flow, heading, PULL_HEIGHT);
    for (int row = 0; row < rows; row++) {
        draw_flow_room(flow, PULL_HEIGHT);
        for (int col = 0; col < PULL_COLUMNS; col++) {
            int i = row * PULL_COLUMNS + col;
            if (i < pulls)
                draw_one_pull(flow, &pull[i], i + 1, flow->frame.left + col * width,
                              width);
        }
        flow->y += PULL_HEIGHT;
    }
}

/* The middle of a patch, or of one of its triangles, a third of the way to its corner. */
static void middle_of(const quilt_patch *patch, int half, length x, length y, length side,
                      length *ret_x, length *ret_y)
{
    *ret_x = x + side / 2;
    *ret_y = y + side / 2;
    length off = side / 5;
    if (patch->split == QUILT_WHOLE)
        return;
    bool rising = patch->split == QUILT_RISING; /* its first half is upper left */
    *ret_x += (rising == (half == 0)) ? -off : off;
    *ret_y += half == 0 ? -off : off;
}

static void draw_one_block(draw_flow *flow, const draw_pieced *pieced, int number,
                           const draw_pull pull[], length x)
{
    const quilt_block *block = pieced->block;
    const draw_style box = DRAW_STROKE(DRAW_INK, DRAW_PT(0.75));
    int side = block->side, patches = side * side;
    g_autofree const draw_fabric **fabrics =
        g_new0(const draw_fabric *, (gsize)(2 * patches));
    for (int i = 0; i < 2 * patches; i++)
        if (pieced->pull[i] >= 0)
            fabrics[i] = &pull[pieced->pull[i]].fabric;
    draw_block(flow->scene, block, fabrics, x, flow->y, BLOCK_SIDE, 0);
    length patch = BLOCK_SIDE / side;
    for (int i = 0; i < 2 * patches; i++) {
        const quilt_patch *at = &block->patches[i / 2];
        length cx, cy;
        if (pieced->pull[i] < 0 || (i % 2 == 1 && at->split == QUILT_WHOLE))
            continue;
        middle_of(at, i % 2, x + i / 2 % side * patch, flow->y + i / 2 / side * patch,
                  patch, &cx, &cy);
        number_at(flow->scene, cx, cy, pieced->pull[i] + 1);
    }
    const draw_text_style strong = { .size = DRAW_PT(9.5), .bold = true };
    const draw_text_style text = { .size = DRAW_PT(9.5) };
    length tick = 4 * LENGTH_MM, y = flow->y + BLOCK_SIDE + 2 * LENGTH_MM;
    draw_scene_rect(flow->scene, &box, x, y, tick, tick);
    length left = x + tick + 2 * LENGTH_MM, room = BLOCK_SIDE - tick - 2 * LENGTH_MM;
    g_autofree char *name = g_strdup_printf(
        "%d  %s", number, draw_words_of(flow->heading->language, block->name));
    g_autofree char *fitted = draw_text_fit(&strong, name, room);
    g_autofree char *where = draw_text_fit(&text, pieced->where, BLOCK_SIDE);
    draw_scene_text(flow->scene, &strong, left, y + DRAW_PT(9), fitted);
    draw_scene_text(flow->scene, &text, x, y + DRAW_PT(21), where);
}

draw_scene *draw_piecing_sheet(int pulls, const draw_pull pull[pulls], int blocks,
                               const draw_pieced block[blocks],
                               const draw_heading *heading)
{
    draw_flow flow = draw_flow_begin(heading);
    draw_pulls(&flow, pulls, pull);
    draw_flow_heading(
        &flow, draw_words(heading->language, "The blocks, as they lie in the quilt"),
        BLOCK_SIDE + LABEL);
    length width = flow.frame.right - flow.frame.left;
    int across = (width + BLOCK_GAP) / (BLOCK_SIDE + BLOCK_GAP);
    for (int i = 0; i < blocks; i++) {
        if (i % across == 0)
            draw_flow_room(&flow, BLOCK_SIDE + LABEL);
        draw_one_block(&flow, &block[i], i + 1, pull,
                       flow.frame.left + i % across * (BLOCK_SIDE + BLOCK_GAP));
        if (i % across == across - 1 || i == blocks - 1)
            flow.y += BLOCK_SIDE + LABEL + BLOCK_GAP;
    }
    draw_flow_paragraph(
        &flow,
        draw_words(heading->language,
                   "Numbers are those of the fabrics above; patches without one are cut "
                   "from cloth. Feed pairs one after another without cutting the thread, "
                   "and take pins out before they reach the needle."));
    return draw_flow_end(&flow);
}
