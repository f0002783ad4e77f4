/* photo/pose-internal.h: the parts that photo_solve_pose() is made of. Pure but for the
 * picture that the edges are measured in.
 *
 * Here pixels are those of the loaded picture (of the file, by photo_picture.shrink). */
#pragma once

#include "photo/pose.h"
#include "photo/solve-internal.h"

/* The unknowns of a fit. The second card's are used only where there is one. */
enum {
    FIT_TURN = 0,       /* three: a small turn of the camera, radians */
    FIT_PLACE = 3,      /* three: the anchor card's centre seen from the camera, inches */
    FIT_FOCAL = 6,      /* logarithm of the focal length in pixels */
    FIT_K1 = 7,         /* radial term */
    FIT_GROWTH = 8,     /* how far edges moved towards the white, pixels */
    FIT_BOW = 9,        /* two: how far the anchor's paper stands up at its short and long
                           sides' middles, inches */
    FIT_ONE_CARD = 11,  /* so many unknowns with one card */
    FIT_OTHER_BOW = 11, /* two: the other card's */
    FIT_OTHER_X =
        13, /* where the other card's centre lies, inches, in the anchor's frame */
    FIT_OTHER_Y = 14,
    FIT_OTHER_ANGLE = 15, /* radians */
    FIT_OTHER_SCALE = 16, /* logarithm of its size by the anchor's */
    FIT_UNKNOWNS = 17,
};

/* A camera over a table with one or two cards. The first unknowns, the turn, are 0 here:
 * fit_moved() works them into the matrix. */
typedef struct fit_state {
    double turn[3][3]; /* table to camera; rows: right, down, forward */
    double value[FIT_UNKNOWNS];
    photo_point centre_px;
    int unknowns; /* FIT_ONE_CARD or FIT_UNKNOWNS */
} fit_state;

/* What is known beforehand of each unknown: a normal spread; infinite for nothing. */
typedef struct fit_prior {
    double mean[FIT_UNKNOWNS], sd[FIT_UNKNOWNS];
} fit_prior;

/* A point of a card, seen. The residual is along normal only. */
typedef struct fit_sight {
    int other;         /* 0 the anchor, 1 the other card */
    photo_point on_in; /* in that card's frame */
    photo_point seen_px;
    photo_point normal; /* unit, pixels; towards the white for edges */
    double growth;      /* 1 for edges, 0 for corners */
    double weight;      /* robust, 0 to 1 */
} fit_sight;

enum { FIT_SIGHTS_MAX = 8192 };

/** The state after a step in all unknowns. */
fit_state fit_moved(const fit_state *state, const double *step);

/* A state made ready to project many points. */
typedef struct fit_view {
    double turn[3][3], place[3];
    photo_point centre_px;
    double focal_px, k1, growth;
    struct {
        double x, y, cos, sin; /* where it lies, scaled */
        double bow[2], lift;   /* height x^2 bow[0] + y^2 bow[1] + lift, x and y in halves
                                  of   the card's sides */
    } card[2];
} fit_view;

fit_view fit_view_of(const fit_state *state);

/** Where a card's point is seen; false behind the camera. */
bool fit_project(const fit_view *view, int other, photo_point on_in, photo_point *ret_px);

/**
 * Levenberg and Marquardt on the sights and the prior (a maximum a posteriori fit), with
 * Tukey weights from the median residual in each of a few rounds.
 *
 * @noise_px  least spread that a sight is taken to have
 * @ret_sums  the normal equations at the end, scaled to unit variance; or NULL
 *
 * Returns the spread of the residuals in pixels (from their median), NAN when the fit
 * broke down.
 */
double fit_run(fit_state *state, const fit_prior *prior, int count, fit_sight *sights,
               double noise_px, solve_sums *ret_sums);

/**
 * Measures where the black-white edges of the seen tags lie: on each edge of a cell four
 * points, each the centroid of the gradient along the edge's normal in linear light.
 *
 * @first_id    of the anchor card
 * @reach_px    how far off the prediction an edge may lie
 * @sights      room for FIT_SIGHTS_MAX
 * @ret_blur_px median spread (sigma) of the edges
 *
 * Returns how many were measured.
 */
int fit_measure_edges(const photo_picture *picture, const photo_tags *tags,
                      const fit_state *state, int first_id, double reach_px,
                      fit_sight *sights, double *ret_blur_px);
