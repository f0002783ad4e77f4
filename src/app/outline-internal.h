/* app/outline-internal.h: outlines that come as JSON: from a file, or mended on the page.
 */
#pragma once

#include "document-internal.h"
#include "store/scrap.h"

/**
 * Reads {outline_in: [[x, y]...], holes_in: [[[x, y]...]...]} and checks it.
 *
 * Returns the outline, free with store_outline_free(); NULL with app.field-wrong or one
 * of scrap/outline.h.
 */
store_outline *app_outline_from_json(const json_t *document, GError **error);

/** The same from a file. Errors also: file.unreadable. */
store_outline *app_outline_from_file(const char *path, GError **error);

/** The outline of a rectangle, its lower left corner at the origin. */
store_outline *app_outline_of_rectangle(length width, length height);
