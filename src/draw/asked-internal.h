/* draw/asked-internal.h: the squares that a quilt asks of scraps and the basket, as the
 * sheets list them. */
#pragma once

#include "draw/flow.h"
#include "quilt/buy.h"

/** A heading and a line to tick for each; nothing where none are asked for. */
void draw_asked_list(draw_flow *flow, const quilt_shopping *shopping,
                     length_system system);
