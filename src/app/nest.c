#include "nest-internal.h"

#include <string.h>

static const char *const presses[] = { "side", "open", NULL };

const char *app_nest_name(bool open)
{
    return presses[open];
}

bool app_nest_is_open(const app_work *work)
{
    const char *said = json_string_value(json_object_get(work->said, "press"));
    return g_strcmp0(said, presses[1]) == 0;
}

const char *app_nest_way(uint8_t way)
{
    static const char *const ways[QUILT_PRESS_WAYS] = { "usual", "rows-other",
                                                        "long-other", "both-other" };
    g_assert(way < QUILT_PRESS_WAYS);
    return ways[way];
}

gboolean app_nest_say(app_work *work, const app_call *call, GError **error)
{
    int open = app_nest_is_open(work);
    if (!app_request_word(call, "press", presses, &open, error))
        return FALSE;
    if (app_request_has(call, "press"))
        json_object_set_new(work->said, "press", json_string(presses[open]));
    return TRUE;
}

void app_nest_clear(app_nest *self)
{
    g_free(self->way);
    for (int k = 0; k < APP_NEST_JOINTS; k++) {
        g_free(self->next[k]);
        g_free(self->usual[k]);
        g_free(self->pressed[k]);
    }
    memset(self, 0, sizeof *self);
}

static int8_t nests(const quilt_pressing *one, quilt_edge edge,
                    const quilt_pressing *other)
{
    if (one->seams == 0 || other->seams == 0)
        return -1;
    return quilt_pressing_nest(one, edge, other) == one->seams;
}

static quilt_pressing *press_all(const quilt_design *design, const quilt_layout *turned,
                                 const uint8_t *way)
{
    quilt_pressing *all = g_new(quilt_pressing, (gsize)turned->count + 1);
    for (int place = 0; place < turned->count; place++)
        all[place] = quilt_pressing_at(design, turned, place,
                                       way == NULL ? QUILT_PRESS_USUAL : way[place]);
    return all;
}

static void find_neighbours(const quilt_layout *layout, app_nest *nest)
{
    static const quilt_edge edges[] = { QUILT_EDGE_RIGHT, QUILT_EDGE_BOTTOM };
    for (int row = 0, place = 0; row < layout->rows; row++) {
        int across;
        quilt_layout_row(layout, row, &across);
        for (int col = 0; col < across; col++, place++)
            for (int k = 0; k < APP_NEST_JOINTS; k++)
                nest->next[k][place] = quilt_layout_neighbour(layout, row, col, edges[k]);
    }
}

/* Fills what nests and returns how many joints do. */
static int find_nested(const quilt_layout *layout, const quilt_pressing *all,
                       const app_nest *nest, int8_t *const into[APP_NEST_JOINTS])
{
    static const quilt_edge edges[] = { QUILT_EDGE_RIGHT, QUILT_EDGE_BOTTOM };
    int nested = 0;
    for (int k = 0; k < APP_NEST_JOINTS; k++)
        for (int place = 0; place < layout->count; place++) {
            int other = nest->next[k][place];
            into[k][place] = other < 0 ? -1 : nests(&all[place], edges[k], &all[other]);
            nested += into[k][place] == 1;
        }
    return nested;
}

void app_nest_read(const app_wall *wall, bool open, app_nest *ret_nest)
{
    const quilt_design *design = &wall->laid.design;
    quilt_layout turned = app_wall_turned_layout(wall);
    g_autofree quilt_place *places = turned.places;
    gsize count = (gsize)turned.count + 1;
    app_nest nest = { .open = open, .way = g_new0(uint8_t, count) };
    for (int k = 0; k < APP_NEST_JOINTS; k++) {
        nest.next[k] = g_new(int, count);
        nest.usual[k] = g_malloc(count);
        nest.pressed[k] = g_malloc(count);
        /* Where a sash lies between, or seams lie both ways, there is nothing to nest. */
        memset(nest.usual[k], -1, count);
        memset(nest.pressed[k], -1, count);
    }
    find_neighbours(&turned, &nest);
    if (!open && wall->laid.frame.sash == 0) {
        quilt_layout_pressing(design, &turned, nest.way);
        g_autofree quilt_pressing *usual = press_all(design, &turned, NULL);
        g_autofree quilt_pressing *pressed = press_all(design, &turned, nest.way);
        nest.nested_usual = find_nested(&turned, usual, &nest, nest.usual);
        nest.nested = find_nested(&turned, pressed, &nest, nest.pressed);
        for (int k = 0; k < APP_NEST_JOINTS; k++)
            for (int place = 0; place < turned.count; place++)
                nest.joints += nest.usual[k][place] >= 0;
    }
    *ret_nest = nest;
}
