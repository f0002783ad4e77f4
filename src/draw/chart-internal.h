/* draw/chart-internal.h: how a kind looks, shared by the charts and the map. */
#pragma once

#include "draw/chart.h"

/** The tint and pattern of the kind with this number; no two of the first 48 agree. */
draw_style draw_kind_style(int kind);

/** The grey of a role: scrap white, then light, accent (dotted), background, dark. */
draw_style draw_role_style(quilt_role role);

/**
 * Records the patches of a block as a symbol, in the greys of their roles: scrap white,
 * light, accent dotted, background, dark from light to dark. None of them looks different
 * for a quarter turn.
 */
int draw_kind_symbol(draw_scene *scene, const quilt_block *block, length side);
