/* The chart as a small picture. Everything of one grey is one path: a thousand patches
 * are painted as quickly as ten. */
#include "draw/chart-internal.h"
#include "draw/square-internal.h"

/* Whole pixels do not matter here, only that stitches and patches are round numbers. */
#define SMALL_CELL LENGTH_INCH

/* Areas of one style, gathered. */
typedef struct areas {
    GArray *counts; /* int, points of each ring */
    GArray *points; /* draw_point */
} areas;

static void areas_init(areas *self)
{
    self->counts = g_array_new(FALSE, FALSE, sizeof(int));
    self->points = g_array_new(FALSE, FALSE, sizeof(draw_point));
}

static void areas_add(areas *self, int count, const draw_point points[count])
{
    g_array_append_val(self->counts, count);
    g_array_append_vals(self->points, points, (guint)count);
}

/* Draws and empties. */
static void areas_draw(areas *self, draw_scene *scene, const draw_style *style)
{
    draw_scene_rings(scene, style, (int)self->counts->len,
                     (const int *)(const void *)self->counts->data,
                     (const draw_point *)(const void *)self->points->data);
    g_array_unref(self->counts);
    g_array_unref(self->points);
}

static draw_square cell_at(const draw_chart *chart, int row, int col)
{
    double side = SMALL_CELL, half = side / 2;
    if (!chart->on_point)
        return (draw_square){ col * side, row * side, side, 0, 0, side };
    /* On its corner the diagonal is a cell; rows lie half a diagonal apart. */
    double x = (col + 0.5) * side + (row % 2 == 1 ? half : 0);
    return (draw_square){ x, row * half, half, half, -half, half };
}

static void add_patches(areas roles[QUILT_ROLES], const quilt_block *block,
                        const draw_square *cell)
{
    int n = block->side;
    for (int i = 0; i < n * n; i++) {
        const quilt_patch *patch = &block->patches[i];
        draw_point corners[4];
        draw_patch_corners(cell, n, i, corners);
        draw_pieces pieces = draw_patch_pieces(patch, corners);
        for (int k = 0; k < pieces.count; k++)
            areas_add(&roles[patch->role[k]], pieces.corners, pieces.at[k]);
    }
}

/* Two stitches from corner to corner as one outline. */
static void add_cross(areas *crosses, const draw_square *cell)
{
    const double out = 0.08, wide = 0.09;
    const double quarter[3][2] = { { out, out + wide },
                                   { out + wide, out },
                                   { 0.5, 0.5 - wide } };
    draw_point points[12];
    for (int turn = 0; turn < 4; turn++) {
        draw_square turned = draw_square_turned(cell, turn);
        for (int i = 0; i < 3; i++)
            points[3 * turn + i] = draw_square_at(&turned, quarter[i][0], quarter[i][1]);
    }
    areas_add(crosses, 12, points);
}

draw_scene *draw_chart_small(const draw_chart *chart, const char *title)
{
    areas roles[QUILT_ROLES], crosses;
    for (int role = 0; role < QUILT_ROLES; role++)
        areas_init(&roles[role]);
    areas_init(&crosses);
    for (int r = 0; r < chart->down; r++)
        for (int c = 0; c < chart->across - (chart->on_point && r % 2 == 1); c++) {
            const draw_chart_place *place = &chart->places[r * chart->across + c];
            if (place->kind < 0)
                continue;
            draw_square upright = cell_at(chart, r, c);
            draw_square cell = draw_square_turned(&upright, place->turn);
            add_patches(roles, chart->kinds[place->kind].block, &cell);
            if (place->made)
                add_cross(&crosses, &upright);
        }

    draw_scene *scene = draw_scene_new(title);
    draw_scene_add_page(scene, chart->across * SMALL_CELL,
                        chart->on_point ? (chart->down + 1) * SMALL_CELL / 2
                                        : chart->down * SMALL_CELL);
    for (int role = 0; role < QUILT_ROLES; role++) {
        draw_style style = draw_role_style((quilt_role)role);
        style.hatch = DRAW_HATCH_NONE; /* nothing but noise in so little room */
        areas_draw(&roles[role], scene, &style);
    }
    areas_draw(&crosses, scene, &DRAW_FILL(DRAW_THREAD));
    return scene;
}
