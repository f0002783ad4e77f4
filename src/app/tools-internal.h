/* app/tools-internal.h: the maker's rulers, mat and times, and plans made with them. */
#pragma once

#include "app-internal.h"
#include "scrap/pile.h"
#include "scrap/plan.h"

/** A ruler by its name. Free with app_ruler_clear(). */
typedef struct app_ruler {
    char *name;
    scrap_ruler ruler;
} app_ruler;

/** GArray of app_ruler: hers, or the usual one when she has told of none. */
GArray *app_rulers(app *self, GError **error);

/** What a plan is asked with: the request points to the tools beside it, so a cutting
 * stays where it was filled. */
typedef struct app_cutting {
    scrap_plan_request plan;
    scrap_ruler ruler;
    scrap_mat mat;
    scrap_times times;
    scrap_thresholds thresholds;
    length selvage; /* how wide she leaves one out */
} app_cutting;

/** Unit, angles, tolerance, trim and ruler by the request, the rest by her settings. When
 * none is named, the ruler is the first of hers that can cut the unit. Errors:
 * app.no-ruler, app.field-wrong, those of lengths. */
gboolean app_cutting_requested(app *self, const app_call *call, app_cutting *ret_cutting,
                               GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same where squares are only counted: a ruler that cannot cut the unit is no
 * hindrance to knowing how many lie in a scrap. */
gboolean app_counting_requested(app *self, const app_call *call, app_cutting *ret_cutting,
                                GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** How she cuts, and the pile sorted by it; app.c has their names. */
app_run app_do_cutting_say, app_do_pile;

/** {whole_in, least_squares, string_in} */
json_t *app_thresholds_document(const scrap_thresholds *thresholds);
