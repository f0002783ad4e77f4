/* draw/weave.h: a plain weave in a measured colour, for a fabric without a picture. */
#pragma once

#include "draw/scene.h"

/**
 * Sixteen threads by sixteen of a plain weave, to be repeated like cloth. The mean of its
 * linear light is that of the colour as nearly as 8 bits allow.
 *
 * Free with draw_picture_unref().
 */
draw_picture *draw_weave_picture(colour_srgb8 colour);

/**
 * A square of the weave as PNG.
 *
 * @side_px  1 to 4096
 * @threads  across it, at least 2
 *
 * Errors: DRAW_FAILED. Free with g_bytes_unref().
 */
GBytes *draw_weave_png(colour_srgb8 colour, int side_px, int threads,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;
