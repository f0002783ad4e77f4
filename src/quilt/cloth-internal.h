/* quilt/cloth-internal.h: laying the lines of a cutting list on their cloth. */
#pragma once

#include "quilt/buy.h"

/** a / b rounded up; a 0 or more, b above 0. */
int64_t quilt_divide_up(int64_t a, int64_t b);

/** Puts the lines in the order in which they are cut and gives each its place. With
 *  use_ends smaller squares come from the ends of wider strips first. Returns the length
 *  of cloth that they take, which may be over LENGTH_MAX. */
int64_t quilt_cloth_lay(quilt_item *item, bool use_ends);
