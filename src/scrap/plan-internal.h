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
    int count;      /* of all lines */
    int trim_first; /* lines from here on are level again: they trim loose pieces */
    scrap_line *lines;
    int group_count;
    int *group_ends; /* of what follows: one past the last line of each group */
} plan_frame;

/** A side of the outline in the frame of the view. */
typedef struct turned_side {
    double x1, y1, x2, y2;
} turned_side;

typedef struct turned_outline {
    int count;
    turned_side *sides; /* free with g_free() */
    double left, right, bottom, top;
} turned_outline;

void plan_turn_outline(const scrap_outline *outline, double cosine, double sine,
                       turned_outline *ret_turned);

/** Widens from..to to the first and the last place where a level line meets the scrap. */
void plan_widen_to_section(const turned_outline *turned, length at, length *from,
                           length *to);

/** A frame with room for so many lines and groups. */
plan_frame *plan_frame_new(const turned_outline *turned, double cosine, double sine,
                           int lines, int groups);
void plan_frame_free(plan_frame *frame);

/** Fills in places, tight, cuts, frame and effort of a plan whose other fields are set.
 */
void plan_lay_out(scrap_plan *plan, const plan_layout *layout,
                  const scrap_outline *outline, const scrap_plan_request *request);

/** Counts passes, cuts, turns and minutes with these tools and numbers the cuts, of which
 * there are frame->count. */
void plan_count_effort(const plan_frame *frame, int strips, const scrap_ruler *ruler,
                       const scrap_mat *mat, const scrap_times *times, scrap_cut cuts[],
                       scrap_effort *ret_effort);

/** Errors as of scrap_plan_make(), but for the ruler's pitch. */
gboolean plan_check_request(const scrap_plan_request *request, GError **error);

/** The same direction in 0 <= angle < 180. */
double plan_normal_deg(double angle_deg);
