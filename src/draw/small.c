/* The chart as a small picture. Everything of one grey is one path: a thousand patches
 * are painted as quickly as ten. */
#include "draw/chart-internal.h"

#include <math.h>

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

/* Where a cell lies: its middle and half of its two sides. */
typedef struct small_cell {
    double x, y, right_x, right_y, down_x, down_y;
} small_cell;

static small_cell cell_at(const draw_chart *chart, int row, int col)
{
    double side = SMALL_CELL, half = side / 2;
    if (!chart->on_point)
        return (small_cell){ (col + 0.5) * side, (row + 0.5) * side, half, 0, 0, half };
    /* On its corner the diagonal is a cell; rows lie half a diagonal apart. */
    double x = (col + 0.5) * side + (row % 2 == 1 ? half : 0);
    return (small_cell){ x, (row + 1) * half, half / 2, half / 2, -half / 2, half / 2 };
}

static small_cell cell_turned(small_cell c, int turn)
{
    for (int i = 0; i < (turn & 3); i++)
        c = (small_cell){ c.x, c.y, c.down_x, c.down_y, -c.right_x, -c.right_y };
    return c;
}

/* s, t: -1 to 1 from the middle to the right and down. */
static draw_point at(const small_cell *c, double s, double t)
{
    return (draw_point){ (length)lround(c->x + s * c->right_x + t * c->down_x),
                         (length)lround(c->y + s * c->right_y + t * c->down_y) };
}

static void add_patches(areas roles[QUILT_ROLES], const quilt_block *block,
                        const small_cell *cell)
{
    int n = block->side;
    for (int i = 0; i < n * n; i++) {
        const quilt_patch *patch = &block->patches[i];
        double left = 2.0 * (i % n) / n - 1, right = left + 2.0 / n;
        double top = 2.0 * (i / n) / n - 1, bottom = top + 2.0 / n;
        const draw_point a = at(cell, left, top), b = at(cell, right, top);
        const draw_point c = at(cell, right, bottom), d = at(cell, left, bottom);
        areas *first = &roles[patch->role[0]], *second = &roles[patch->role[1]];
        if (patch->split == QUILT_WHOLE) {
            areas_add(first, 4, (const draw_point[]){ a, b, c, d });
        } else if (patch->split == QUILT_RISING) {
            areas_add(first, 3, (const draw_point[]){ a, b, d });
            areas_add(second, 3, (const draw_point[]){ b, c, d });
        } else {
            areas_add(first, 3, (const draw_point[]){ a, b, c });
            areas_add(second, 3, (const draw_point[]){ a, c, d });
        }
    }
}

/* Two stitches from corner to corner as one outline. */
static void add_cross(areas *crosses, const small_cell *cell)
{
    const double out = 0.84, wide = 0.18, mid = wide;
    const double quarter[3][2] = { { -out, -out + wide },
                                   { -out + wide, -out },
                                   { 0, -mid } };
    draw_point points[12];
    small_cell c = *cell;
    for (int turn = 0; turn < 4; turn++, c = cell_turned(c, 1))
        for (int i = 0; i < 3; i++)
            points[3 * turn + i] = at(&c, quarter[i][0], quarter[i][1]);
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
            small_cell upright = cell_at(chart, r, c);
            small_cell cell = cell_turned(upright, place->turn);
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
