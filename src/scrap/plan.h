/* scrap/plan.h: how to cut a scrap into unit squares. Pure: no input or output, no
 * globals; the same request gives the same plan.
 *
 * A plan turns the scrap by an angle and cuts strips a unit high, then squares from the
 * strips: as a *grid cut*, all strips in line, so that one set of cross-cuts serves them
 * all, or as a *strip cut*, each strip slid on its own. Places are tried at every pixel
 * of a raster whose pitch divides the unit exactly and is 1/32 in or finer (1/16 in for
 * scraps over 1 m), so that a 20 in square gives 10 x 10 squares of 2 in. */
#pragma once

#include "scrap/outline.h"
#include "scrap/ruler.h"

typedef enum scrap_method {
    SCRAP_CUT_GRID,    /* the most squares in one common grid */
    SCRAP_CUT_STRIPS,  /* the most squares in strips slid on their own */
    SCRAP_CUT_BEST,    /* whichever gives more squares; of equals, the quicker */
    SCRAP_CUT_EASIEST, /* whichever takes fewer minutes a square */
} scrap_method;

typedef enum scrap_angles {
    SCRAP_ANGLES_GRAIN, /* along and across the grain, give or take the tolerance */
    SCRAP_ANGLES_FREE,  /* every angle, by steps */
} scrap_angles;

/** A square may stand over the outline by this much (1/2032 in, well under a thread):
 * corners that were turned and rounded must still touch. */
#define SCRAP_TOUCH ((length)4)

/** What is asked. Start from SCRAP_PLAN_USUAL. */
typedef struct scrap_plan_request {
    length unit; /* cut size, 1/4 in to SCRAP_SIZE_MAX */
    scrap_method method;
    scrap_angles angles;
    double grain_deg;     /* direction of the grain; NAN for the outline's longest side */
    double tolerance_deg; /* either side of the grain, 0 to 45 */
    double step_deg;      /* between angles tried, 0.25 to 45 */
    length trim;          /* left along every edge to true it up, not below 0 */
    length slack; /* how far a square may stand over a measured outline, 0 to unit / 8 */
    const scrap_ruler *ruler; /* borrowed */
    const scrap_mat *mat;     /* borrowed */
    const scrap_times *times; /* borrowed */
} scrap_plan_request;

/** 2 1/2 in, best, on grain along the longest side +- 3 degrees by 1, no trim, no slack,
 * the usual ruler, mat and times. */
extern const scrap_plan_request SCRAP_PLAN_USUAL;

/** One unit square, in the scrap's own frame. */
typedef struct scrap_square {
    scrap_point corners[4]; /* anticlockwise from the one at the start of its strip */
    bool tight;             /* would not fit an outline 1/32 in smaller all round */
} scrap_square;

/** One straight cut, in the scrap's own frame. */
typedef struct scrap_cut {
    scrap_point from, to;
    int pass; /* which laying of the ruler makes it (first), from 1 */
} scrap_cut;

/** A plan. Free with scrap_plan_free(). */
typedef struct scrap_plan {
    scrap_method method; /* SCRAP_CUT_GRID or SCRAP_CUT_STRIPS */
    double angle_deg;    /* of the strips, anticlockwise from x, 0 <= angle < 180 */
    length unit;
    int squares;         /* 0 is an answer */
    int tight;           /* how many of them are tight */
    int bound;           /* no plan at an angle tried gives more; >= squares */
    int64_t waste_area2; /* twice the area that becomes no square */
    int strips;          /* that hold squares */
    scrap_effort effort;
    scrap_square *places; /* `squares` of them, strip by strip */
    int cut_count;
    scrap_cut *cuts;          /* in the order of cutting */
    struct plan_frame *frame; /* the room's own */
} scrap_plan;

void scrap_plan_free(scrap_plan *plan);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(scrap_plan, scrap_plan_free)

/**
 * Makes the best plan of the method asked. The outline must have passed
 * scrap_outline_check().
 *
 * Squares are counted at the raster's resolution and lean to the cautious side: a pixel
 * counts when all of it lies inside. `bound` is the better of area and of strip
 * relaxation, over the angles tried.
 *
 * Every plan goes through scrap_plan_check() before it is given.
 *
 * Errors: scrap.unit (under 1/4 in or over SCRAP_SIZE_MAX), scrap.request (an angle, trim
 * or slack out of range), scrap.pitch-cannot, scrap.ruler; scrap.plan-wrong is a fault of
 * ours. A unit that the scrap does not hold is no error: 0 squares.
 *
 * Returns a plan, or NULL with an error.
 */
scrap_plan *scrap_plan_make(const scrap_outline *outline,
                            const scrap_plan_request *request, GError **error);

/**
 * Both plans to show: the one of most squares and the one of least effort; the method of
 * the request is not read. When they are the same, ret_easiest is NULL.
 *
 * Free both with scrap_plan_free(). Errors as above; then neither is written.
 */
gboolean scrap_plan_both(const scrap_outline *outline, const scrap_plan_request *request,
                         scrap_plan **ret_best, scrap_plan **ret_easiest,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same plan with other tools: counts its passes, cuts, turns and minutes again and
 * renumbers its cuts. For comparing rulers without searching again.
 * Errors: scrap.pitch-cannot, scrap.ruler; then the plan is unchanged. */
gboolean scrap_plan_retool(scrap_plan *plan, const scrap_ruler *ruler,
                           const scrap_mat *mat, const scrap_times *times,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Checks a plan afresh, sharing nothing with the search: every square a square of the
 * unit, inside the outline but for `over`, none over another, all of them reachable by
 * straight cuts from edge to edge, no cut through a square, and a cut or the outline's
 * edge along each side.
 *
 * @over  how far a square may stand over the outline: SCRAP_TOUCH, or the request's slack
 *        with it
 *
 * Errors: scrap.plan-wrong, with the square and what is wrong.
 */
gboolean scrap_plan_check(const scrap_plan *plan, const scrap_outline *outline,
                          length over, GError **error) G_GNUC_WARN_UNUSED_RESULT;
