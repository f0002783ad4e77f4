/* draw/map.h: the arrangement to lay a quilt out by: which block goes where, how turned.
 */
#pragma once

#include "draw/block.h"
#include "draw/chart.h"

typedef struct draw_map_place {
    int8_t kind;           /* index into kinds; -1 is an open place */
    uint8_t turn;          /* quarter turns clockwise from how the block was kept */
    const char *label;     /* which block, short: "17"; NULL for one still to come */
    draw_picture *picture; /* of the block, not turned; or NULL */
    const draw_fabric *const *fabrics; /* of its patches, as draw_block() takes them, when
                                          there is no picture; or NULL */
} draw_map_place;

/** Borrowed memory throughout. */
typedef struct draw_map {
    int across, down; /* 1 to 1000 */
    int kind_count;
    const draw_chart_kind *kinds;
    const draw_map_place *places; /* down * across, row by row */
    /* Blocks stand on a corner; down then counts all rows, and every second one is a
     * place shorter (what `places` has at its end is not read). The map draws them
     * upright, as bricks: rows between begin half a cell further in. */
    bool on_point;
} draw_map;

/**
 * The map on paper: cells of 20 to 45 mm with each block's picture, or its patches or its
 * kind's pattern, turned as it goes in; its label in figures that can be read from
 * standing height; a wedge at the side that was its top. Row and column numbers on all
 * four sides; several pages when needed.
 *
 * Free with draw_scene_free().
 */
draw_scene *draw_map_sheet(const draw_map *map, const draw_heading *heading);
