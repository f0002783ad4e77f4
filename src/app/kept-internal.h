/* app/kept-internal.h: photos of the book measured again: the plan that was kept, and
 * what an outline drawn on it shows. */
#pragma once

#include "colour/match.h"
#include "colour/value.h"
#include "document-internal.h"
#include "photo/find.h"
#include "photo/kept.h"
#include "store/scrap.h"

/** The geometry of a photo as the book keeps it: JSON text, free with g_free(). */
char *app_geometry_write(const photo_geometry *geometry);

/** Reads it back; the plan's corner comes from the photo itself. false when the photo
 * has none or it cannot be read. */
bool app_geometry_read(const store_photo *photo, photo_geometry *ret_geometry);

/** The plan of a photo, or the part of it in a window; *ret_plan is NULL (and TRUE
 * returned) when the photo was kept without what that needs. */
gboolean app_kept_plan(app *self, int64_t photo, const photo_window *window,
                       const photo_watch *watch, photo_plan **ret_plan,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** What an outline shows. Zeroed it is empty: colours.count 0. Free with
 * app_reading_clear(). */
typedef struct app_reading {
    colour_signature colours;
    colour_value value;
    GBytes *swatch; /* a small JPEG of its best flat piece, or NULL */
} app_reading;

void app_reading_clear(app_reading *reading);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(app_reading, app_reading_clear)

/** What a scrap that was just found shows; values are told beside the references. */
app_reading app_reading_of(const photo_plan *plan, const photo_scrap *scrap,
                           const GArray *references);

/** Reads an outline on the kept plan of a photo; empty when it cannot be read there. */
gboolean app_outline_reading(app *self, int64_t photo, const scrap_outline *outline,
                             const GArray *references, app_reading *ret_reading,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A square JPEG of a swatch; NULL when it is too small to show a fabric by. */
GBytes *app_swatch_jpeg(const photo_plan *plan, const photo_swatch *swatch);

/** A fabric that was not in the book, known from now on by what was read. */
gboolean app_fabric_learn(store_change *change, const app_reading *reading,
                          int64_t *ret_fabric, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Light and dark beside what she already has. */
colour_value_limits app_value_limits(const GArray *references);
