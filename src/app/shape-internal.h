/* app/shape-internal.h: outlines cut in two and joined, by GEOS: polygons' boolean
 * operations are nobody's afternoon work. What comes out passes scrap_outline_check(). */
#pragma once

#include "store/scrap.h"

/** Pieces of less than this are threads, not scraps: they are left away. */
#define APP_SHAPE_LEAST_SQ_IN 0.02

/** Two scraps with no more than this between them are one that was seen as two. */
#define APP_SHAPE_GAP (LENGTH_INCH * 3 / 16)

/** An array of store_outline; g_ptr_array_unref() frees them too. */
typedef GPtrArray app_shapes;

/**
 * Cuts an outline along a line. The line is followed as it was drawn, and on in the same
 * direction where it ends inside the scrap. Corners that the cut makes are rounded to the
 * nearest length unit, the same on both sides, so that app_shape_join() gives the whole
 * back.
 *
 * Returns two or more outlines, the largest first; NULL with scrap.line-misses when the
 * line cuts no piece of APP_SHAPE_LEAST_SQ_IN off.
 */
app_shapes *app_shape_part(const scrap_outline *outline, scrap_point from, scrap_point to,
                           GError **error);

/**
 * Joins two outlines, filling a gap of up to APP_SHAPE_GAP where they lie side by side.
 * Corners that lie on a straight side then go.
 *
 * Returns the outline, free with store_outline_free(); NULL with scrap.apart when more
 * than the gap lies between them.
 */
store_outline *app_shape_join(const scrap_outline *one, const scrap_outline *other,
                              GError **error);
