/* draw/card.h: the measuring card to print, whose tags give a photo its scale. */
#pragma once

#include "draw/sheet.h"

/**
 * The card on paper, as base/card.h describes it: page 1 with tags 0 to 3, page 2 with
 * tags 4 to 7, each with its outer cut marks, the 3 in line in its middle, a 100 mm line
 * beside it and what to do when the printer changed the scale.
 *
 * Free with draw_scene_free().
 */
draw_scene *draw_card_sheet(draw_paper paper, draw_language language);
