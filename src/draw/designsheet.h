/* draw/designsheet.h: a design at a size on paper: how it looks and what it is made of.
 */
#pragma once

#include "draw/block.h"
#include "draw/sheet.h"

/**
 * The design sheet: the quilt drawn in its fabrics, what the maker reads of the design,
 * its measures with each border, then every kind of block with how many there are and the
 * squares and triangles of each.
 *
 * @layout  of this design
 * @frame   its sizes
 *
 * Returns NULL with an error of quilt_frame_sizes(). Free with draw_scene_free().
 */
draw_scene *draw_design_sheet(const quilt_design *design, const quilt_layout *layout,
                              const quilt_frame *frame, const draw_cloths *cloths,
                              length_system system, const draw_heading *heading,
                              GError **error);
