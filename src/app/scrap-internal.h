/* app/scrap-internal.h: what documents tell of a scrap, measured just now or kept. */
#pragma once

#include "colour/match.h"
#include "document-internal.h"
#include "scrap/plan.h"
#include "store/scrap.h"

/** A scrap as it is told of. Borrows its outline. */
typedef struct app_scrap_facts {
    int64_t id; /* in the book; for one that isn't kept, its number in the photo */
    int number;
    const scrap_outline *outline;
    int64_t twice_area;
    bool on_edge;
    double sure;
    const colour_signature *colours;
    int value;          /* colour_value or -1 */
    int64_t fabric;     /* or 0 */
    colour_match match; /* likeliest fabrics of the book */
    const char *state;  /* "lying", "cut", "thrown"; "measured" when it isn't kept */
} app_scrap_facts;

/** The document of a scrap; squares are counted for the unit of the request. NULL with an
 *  error. */
json_t *app_scrap_document(app *self, const app_scrap_facts *facts,
                           const scrap_plan_request *plan, GError **error);

/** The same of one in the book, matched against the references when it has no fabric. */
json_t *app_scrap_document_kept(app *self, const store_scrap *scrap,
                                const GArray *references, const scrap_plan_request *plan,
                                GError **error);

/** All pictures of fabrics that the book has, as GArray of colour_reference; empty
 * without a book. */
GArray *app_scrap_references(app *self, GError **error);

/** The document of a photo in the book. NULL with an error. */
json_t *app_photo_document(app *self, int64_t photo, const scrap_plan_request *plan,
                           GError **error);

/** The photo or scrap that a field names. Errors: app.no-photo, app.no-scrap. */
gboolean app_photo_requested(app *self, const app_call *call, store_photo *ret_photo,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;
gboolean app_scrap_requested(app *self, const json_t *item, store_scrap *ret_scrap,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;
