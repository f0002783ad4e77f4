/* quilt/layout-internal.h: what sizing and starts ask of a layout. */
#pragma once

#include "quilt/layout.h"

/** A cell of the repeat as it goes on for ever both ways. */
quilt_cell quilt_repeat_at(const quilt_design *design, int row, int col);

/**
 * With which numbers of blocks both edges can end alike, one way.
 *
 * @down       the top and the bottom edge, else left and right
 * @ret_alike  for each number of blocks modulo the period
 *
 * Returns the period: straight design->rows down, else design->cols; on point their least
 * common multiple; 0 where that is over QUILT_REPEAT_MAX.
 */
int quilt_alike_counts(const quilt_design *design, bool down,
                       bool ret_alike[static QUILT_REPEAT_MAX]);
