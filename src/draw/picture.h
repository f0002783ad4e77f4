/* draw/picture.h: a JPEG or PNG picture that scenes may hold. */
#pragma once

#include <glib.h>

/** Immutable and counted by reference; safe to share among threads. */
typedef struct draw_picture draw_picture;

/**
 * Reads a picture. PDF takes a JPEG over as it is; its EXIF orientation is not applied,
 * so give upright pixels.
 *
 * @bytes  a whole JPEG or PNG file, at most 64 megapixels; a reference is kept
 * @href   where the page gets the same picture from, so that an SVG can name it instead
 *         of carrying it; or NULL, then the SVG carries the bytes
 *
 * Errors: DRAW_PICTURE_UNREADABLE. Free with draw_picture_unref().
 */
draw_picture *draw_picture_new(GBytes *bytes, const char *href,
                               GError **error) G_GNUC_WARN_UNUSED_RESULT;

draw_picture *draw_picture_ref(draw_picture *self);
void draw_picture_unref(draw_picture *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(draw_picture, draw_picture_unref)

int draw_picture_width_px(const draw_picture *self);
int draw_picture_height_px(const draw_picture *self);
