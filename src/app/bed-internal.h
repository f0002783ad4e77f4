/* app/bed-internal.h: the bed that a quilt shall cover. */
#pragma once

#include "app-internal.h"
#include "quilt/size.h"
#include "store/change.h"

typedef struct app_bed {
    quilt_extent mattress;
    bool cot; /* where a baby sleeps */
    bool own; /* measured by the maker */
} app_bed;

/**
 * The bed that the field "cover" names: bed:SIZE:COUNTRY as listed, bed:WxH by her own
 * measures, bed:own by those that she gave before.
 *
 * Errors: app.field-wrong, quilt.bed-unknown.
 */
gboolean app_bed_requested(app *self, const app_call *call, length bare, app_bed *ret_bed,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Keeps her measures of the mattress, so that bed:own names them. */
gboolean app_bed_keep(store_change *change, length width, length height,
                      GError **error) G_GNUC_WARN_UNUSED_RESULT;
