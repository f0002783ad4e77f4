/* draw/cutting.h: the sheet to cut scraps by. */
#pragma once

#include "draw/sheet.h"
#include "scrap/plan.h"

typedef struct draw_cutting_scrap {
    const char *name;    /* "Scrap 12" */
    const char *fabric;  /* or NULL */
    const char *setting; /* how ruler and mat are set; scraps of like settings that follow
                            each other share one heading; or NULL */
    const scrap_outline *outline;
    const scrap_plan *plan; /* of this outline */
    draw_picture *picture;  /* a true-scale picture that holds the scrap; or NULL */
    scrap_point picture_corner[3]; /* in the scrap's frame: the picture's upper left,
                                      upper right, lower left corner */
} draw_cutting_scrap;

/**
 * Scraps in the order given, drawn to a stated scale over their own picture, with the
 * cuts numbered in order, squares, bound, passes, cuts, turns and minutes; a caution on
 * rotary cutters at the top.
 *
 * @count  0 or more; borrowed memory throughout
 *
 * Free with draw_scene_free().
 */
draw_scene *draw_cutting_sheet(int count, const draw_cutting_scrap scraps[],
                               const draw_heading *heading);
