/* photo/pieces-internal.h: from distances to separate pieces of cloth. */
#pragma once

#include "photo/outline-internal.h"
#include "photo/surface-internal.h"

/** What differs enough from the surface to be something, cleaned of grid lines. Free with
 * photo_bits_free(). */
photo_bits *photo_pieces_mask(const photo_surface *surface);

/** The pieces of the mask, each closed and filled by itself, as photo_piece. Free with
 * g_ptr_array_unref(). */
GPtrArray *photo_pieces_from_mask(const photo_surface *surface, const photo_bits *mask);
