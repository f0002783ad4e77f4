/* draw/asked-internal.h: what the shopping list and the cutting list both write. */
#pragma once

#include "draw/flow.h"
#include "quilt/buy.h"

/** "Background, sail cloth"; fabric may be NULL. Free with g_free(). */
char *draw_item_words(draw_language language, const quilt_item *item, const char *fabric);

/** The squares that a quilt asks of scraps and the basket: a heading and a line to tick
 * for each; nothing where none are asked for. */
void draw_asked_list(draw_flow *flow, const quilt_shopping *shopping,
                     length_system system);
