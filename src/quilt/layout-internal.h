/* quilt/layout-internal.h: what sizing asks of a layout. */
#pragma once

#include "quilt/layout.h"

/**
 * With which numbers of blocks both edges can end alike, one way.
 *
 * @down       the top and the bottom edge, else left and right
 * @ret_alike  for each number of blocks modulo the period: design->rows down, else
 *             design->cols
 */
void quilt_alike_counts(const quilt_design *design, bool down,
                        bool ret_alike[static QUILT_REPEAT_MAX]);
