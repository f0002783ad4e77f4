/* app/questions-internal.h: what is left open, gathered: a pile is a handful of
 * questions. */
#pragma once

#include "document-internal.h"
#include "store/scrap.h"

/**
 * The questions of one photo, [{kind, photo, ...}], none of which has to be answered:
 *   fabric  scraps that look like one fabric, and the likeliest fabrics of the book
 *   again   a scrap that may have been counted in another photo
 *   maybe   something that may or may not be a scrap
 *
 * @scraps      all of the photo
 * @references  app_scrap_references()
 *
 * Returns the list, free with json_decref(); NULL with an error.
 */
json_t *app_photo_questions(app *self, const store_photo *photo, const GArray *scraps,
                            const GArray *references, GError **error);

/** The remarks on a photo that she has not dealt with. Free with json_decref(). */
json_t *app_photo_remarks(const store_photo *photo);
