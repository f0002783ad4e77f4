/* draw/shopping.h: what to buy for a quilt, to take to the shop. */
#pragma once

#include "draw/sheet.h"
#include "quilt/buy.h"

/**
 * The shopping list: each cloth with its width, yards and metres rounded up, a box to
 * tick; backing, batting and binding; squares that are asked of the basket; advice on
 * dye lots.
 *
 * @names  for each item the fabric that the maker chose, or NULL; NULL when none is known
 *
 * Free with draw_scene_free().
 */
draw_scene *draw_shopping_sheet(const quilt_shopping *shopping, const char *const names[],
                                length_system system, const draw_heading *heading);
