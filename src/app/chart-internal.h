/* app/chart-internal.h: the chart of a quilt, for the screen and for paper. */
#pragma once

#include "buying-internal.h"
#include "draw/chart.h"
#include "laid-internal.h"

/** A chart with what it is drawn from. Zeroed it is empty; free with app_chart_clear().
 */
typedef struct app_chart {
    store_quilt quilt;
    app_laid laid;
    draw_chart chart;
    draw_chart_kind kinds[DRAW_CHART_KINDS_MAX];
    draw_chart_place *places;
    char *cloths; /* the fabrics chosen, in words; or NULL */
} app_chart;

void app_chart_clear(app_chart *chart);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(app_chart, app_chart_clear)

/** The chart of the quilt that the request names, or of the plan that its fields
 * make: then nothing is crossed off. */
gboolean app_chart_of(app *self, const app_call *call, app_chart *chart,
                      GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Has the chart on paper tell which fabrics were chosen for its quilt. */
gboolean app_chart_tell_cloths(app *self, app_chart *chart, draw_language language,
                               GError **error) G_GNUC_WARN_UNUSED_RESULT;
