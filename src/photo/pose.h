/* photo/pose.h: where the camera stood, from the cards that it saw. */
#pragma once

#include "photo/card.h"
#include "photo/load.h"

/** A lens for pictures of one size; what a good photo teaches and later ones start from.
 */
typedef struct photo_lens {
    double focal_px, focal_sd_px; /* in pixels of the file */
    double k1, k1_sd;             /* radial term: x (1 + k1 r^2), r in focal lengths */
} photo_lens;

/** What may be said of a lens before it has measured anything: by EXIF, else a phone's.
 */
photo_lens photo_lens_guess(const photo_picture *picture);

/** A card on the table. */
typedef struct photo_card {
    int first_id;              /* 0 or 4 */
    int tags;                  /* seen, 1 to 4 */
    photo_point corners_in[4]; /* of the paper, table frame: top left, top right, bottom
                                right, bottom left */
} photo_card;

/**
 * How table and picture map onto each other. A table point (x, y) becomes the ray
 * (u, v) = (h0 x + h1 y + h2, h3 x + h4 y + h5) / (h6 x + h7 y + h8); with
 * s = 1 + k1 (u^2 + v^2) the upright pixel is centre_px + focal_px * s * (u, v).
 */
typedef struct photo_pose {
    double table_to_ray[9];
    photo_point centre_px;
    photo_lens lens; /* with the spread that this photo leaves */
    int card_count;  /* 0 when the scale came from a thing of known size */
    photo_card card[CARD_KINDS];
    double error_in;      /* spread (sigma) of the tags' edges or corners about the fit */
    double length_error;  /* expected 95th percentile of the relative error of a length
                             within 15 in of the card */
    double blur_px;       /* spread (sigma) of the tags' edges, pixels of the file; 0 when
                             none was measured */
    double pixels_per_in; /* of the file, at the card's centre, the worse direction */
    double tilt_deg;      /* 0: looking straight down */
    double bow_in;        /* most that the first card's paper rises from a plane, or that
                             a tag lies off where a smooth bow would put it */
    double scale_ratio;   /* size of the second card by the first; 1 with one card */
} photo_pose;

/**
 * Solves the pose from the tags and the picture's edges round them.
 *
 * @lens      what is known of the lens from earlier photos of this camera and size, or
 *            NULL; pixels of a picture of this size
 * @ret_pose  filled
 *
 * Errors: photo.half-card when too few tags were seen for a sure scale (lengths off by
 * up to 1.5 %); photo.too-far when all were but too small; photo.cards-clash when the
 * tags contradict each other.
 */
gboolean photo_solve_pose(const photo_picture *picture, const photo_tags *tags,
                          const photo_lens *lens, photo_pose *ret_pose,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * A pose without any card, from the four corners of a flat rectangle of known size (a
 * sheet of paper, a mat). Its centre becomes the origin, the side from the first to the
 * second point the x axis.
 *
 * @corners_px  upright pixels: top left, top right, bottom right, bottom left
 *
 * Errors: photo.points when the points are no convex quadrilateral in this order.
 */
gboolean photo_pose_from_points(const photo_picture *picture,
                                const photo_point corners_px[static 4], length width,
                                length height, const photo_lens *lens,
                                photo_pose *ret_pose,
                                GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same pose when the cards were printed larger or smaller than they should be: all
 * lengths on the table are `scale` times what their tags said; scale above 0. */
void photo_pose_rescale(photo_pose *pose, double scale);

/** Table inches to upright pixels; FALSE for a point behind the camera or so far out
 * that the lens model says nothing of it. */
bool photo_pose_to_px(const photo_pose *pose, photo_point table_in, photo_point *ret_px);

/** Upright pixels to table inches; FALSE for a pixel above the table's horizon. */
bool photo_pose_to_table(const photo_pose *pose, photo_point px, photo_point *ret_in);
