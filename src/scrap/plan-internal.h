/* scrap/plan-internal.h: from where squares lie to the plan that a maker sees. */
#pragma once

#include "scrap/plan.h"

/** A strip of squares in the frame of a view, in length units. */
typedef struct plan_strip {
    length y;
    int first, count; /* into the layout's x */
} plan_strip;

/** Where the squares lie: strips upward, each from left to right. */
typedef struct plan_layout {
    length unit;
    double cosine, sine; /* of the view's angle */
    int count;           /* squares */
    length *x;           /* left edge of each */
    int strip_count;
    plan_strip *strips;
} plan_layout;

/** The cuts in the frame of the view, kept for counting them again with other tools:
 * first those along the strips, then the cross-cuts in groups that are cut together. */
typedef struct plan_frame {
    double cosine, sine;
    length across, up; /* size of the scrap in this frame */
    int along_count;
    int count; /* of all lines */
    scrap_line *lines;
    int group_count;
    int *group_ends; /* of cross-cuts: one past the last line of each group */
} plan_frame;

void plan_frame_free(plan_frame *frame);

/** Fills in places, tight, cuts, frame and effort of a plan whose other fields are set.
 */
void plan_lay_out(scrap_plan *plan, const plan_layout *layout,
                  const scrap_outline *outline, const scrap_plan_request *request);

/** Counts passes, cuts, turns and minutes with these tools and numbers the cuts. */
void plan_count_effort(scrap_plan *plan, const scrap_ruler *ruler, const scrap_mat *mat,
                       const scrap_times *times);
