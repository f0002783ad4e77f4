/* app/fabric-internal.h: what documents tell of a fabric. */
#pragma once

#include "document-internal.h"
#include "store/fabric.h"

/** A fabric as it is shown: its name (its colour where she gave none), value, colours. */
typedef struct app_look {
    int64_t fabric; /* 0: squares of which no one said */
    char *name;
    int value; /* colour_value or -1 */
    bool swatch;
    colour_signature colours; /* of its first picture; count 0: none */
} app_look;

void app_look_clear(app_look *look);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(app_look, app_look_clear)

/** fabric 0 gives the look of the unknown. */
gboolean app_look_get(app *self, int64_t fabric, app_look *ret_look,
                      GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The looks of all fabrics of the basket, read at once; free with g_array_unref(). NULL
 * with an error. */
GArray *app_looks_of_basket(app *self, GError **error);

/** A look as it is shown; free with app_look_clear(). */
app_look app_look_of(const store_look *stored);

/** One of such looks, or as app_look_get() where it is none of them. */
gboolean app_look_among(app *self, const GArray *looks, int64_t fabric,
                        app_look *ret_look, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** {fabric, name, value, srgb, swatch}: what every list of fabrics says of one. */
json_t *app_fabric_document(const app_look *look);

/** The fabric that a field names, by number or name; 0 (and TRUE) when it isn't there.
 * Errors: app.no-fabric. */
gboolean app_fabric_requested(app *self, const app_call *call, const char *field,
                              int64_t *ret_fabric,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The source of that name, made where there is none; NULL or "" is 0. */
gboolean app_source_made(store_change *change, const char *name, int64_t *ret_source,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The name of a source, or NULL for 0; free with g_free(). */
char *app_source_name(const GArray *sources, int64_t source);

/** How alike two fabrics are, 0 to 1; 1 for the same. Unknown ones are like nothing. */
double app_fabric_alike(app *self, const app_look *a, const app_look *b);

/** The colours of a fabric that fills the middle of the photo that a request brings, as
 * they were photographed. Errors: those of photo_load(), app.field-missing. */
gboolean app_photo_colours(const app_call *call, colour_signature *ret_colours,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;
