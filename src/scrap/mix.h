/* scrap/mix.h: several wanted sizes from a scrap of any outline. Pure.
 *
 * A mix cuts the scrap into strips, each as deep as one of the sizes, and pieces from the
 * strips, every strip slid on its own: of all such cuts at the angles tried and at the
 * raster's resolution, one of most value. Whether pieces that lie otherwise would be
 * worth more stays open: `bound` says by how much at most. For a rectangle
 * scrap_guillotine_best() is exact. */
#pragma once

#include "scrap/guillotine.h"
#include "scrap/plan.h"

/** One piece in the scrap's own frame, anticlockwise from the start of its strip. */
typedef struct scrap_mix_piece {
    scrap_point corners[4];
    int want; /* index into the wants */
} scrap_mix_piece;

/** A mix. Free with scrap_mix_free(). */
typedef struct scrap_mix {
    double angle_deg;
    int64_t value;
    int64_t bound; /* no cut gives more, by area */
    int64_t waste_area2;
    int strips;
    scrap_effort effort;
    int piece_count;
    scrap_mix_piece *pieces;
    int cut_count;
    scrap_cut *cuts;
} scrap_mix;

void scrap_mix_free(scrap_mix *mix);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(scrap_mix, scrap_mix_free)

/**
 * Makes the most valuable mix of strips. The outline must have passed
 * scrap_outline_check().
 *
 * @request  angles, trim, slack and tools; unit and method are not read
 * @wants    count of them, 1 to 64
 *
 * Sizes that are no whole number of pixels (when their common divisor is under 1/128 in)
 * take up to 1/32 in more of the cloth than they need. Checked by scrap_mix_check()
 * before it is given.
 *
 * Errors: scrap.want, scrap.request, scrap.ruler; scrap.plan-wrong is a fault of ours.
 *
 * Returns a mix, without pieces when nothing fits, or NULL with an error.
 */
scrap_mix *scrap_mix_make(const scrap_outline *outline, const scrap_plan_request *request,
                          int count, const scrap_want wants[], GError **error);

/** As scrap_plan_check(): wanted sizes, inside but for `over`, apart, not cut through,
 * adding up to the value. Errors: scrap.plan-wrong. */
gboolean scrap_mix_check(const scrap_mix *mix, const scrap_outline *outline, length over,
                         int count, const scrap_want wants[],
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;
