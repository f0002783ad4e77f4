/* draw/cutlist.h: how to cut the cloth of a quilt. */
#pragma once

#include "draw/sheet.h"
#include "quilt/buy.h"

/**
 * The cutting list: for each cloth its strips and pieces from the longest cut to the
 * shortest, and a drawing of how they lie on the cloth, to a stated scale; then the
 * squares to cut from scraps.
 *
 * @names  for each item the fabric that the maker chose, or NULL; NULL when none is known
 *
 * Free with draw_scene_free().
 */
draw_scene *draw_cutlist_sheet(const quilt_shopping *shopping, const char *const names[],
                               length_system system, const draw_heading *heading);

/** The drawing of one cloth alone, for the page; width is that of the drawing. Free with
 *  draw_scene_free(). */
draw_scene *draw_cloth_scene(const quilt_item *item, length width);
