/* photo/kept.h: a plan made again from the JPEG that was kept of it, so that an outline
 * drawn later is read in the same light.
 *
 * What the JPEG cannot say is kept beside it: how the camera saw the table, which tells
 * the pixels that the photo covers from those that are merely black, and the cards. */
#pragma once

#include "photo/plan.h"

/** How the camera saw the table. Plain values, to be written down and read back. */
typedef struct photo_geometry {
    int file_width, file_height; /* of the upright photo */
    int shrink, columns, rows;   /* of the picture that the plan was made from */
    photo_pose pose;
    int width, height, pixels_per_in; /* of the plan */
    double left_in, top_in;
    double paper_rgb[3];            /* as photo_plan has it */
    char camera[PHOTO_CAMERA_SIZE]; /* "" when unknown */
} photo_geometry;

/** The geometry of a plan that was just made. */
photo_geometry photo_geometry_of(const photo_picture *picture, const photo_pose *pose,
                                 const photo_plan *plan);

/** A part of a plan, in inches of the table. */
typedef struct photo_window {
    double left_in, bottom_in, right_in, top_in;
} photo_window;

/**
 * Makes the plan again: sRGB back to linear light, within what 8 bits and the JPEG's
 * quality left (lights above white stay clipped); coverage by the geometry, exactly.
 *
 * @jpeg      as photo_jpeg() made it of photo_plan_to_srgb()
 * @geometry  of that plan
 * @window    only this part, widened to whole pixels; what lies outside the plan is left
 *            away. NULL for all of it
 *
 * Returns the plan, free with photo_plan_free(); it has no pixel when the window misses
 * the plan. NULL with an error of photo_load_bytes(), or photo.kept-differs when the
 * picture has another size than the geometry. About 15 ms and 60 ns a pixel.
 */
photo_plan *photo_kept_plan(GBytes *jpeg, const photo_geometry *geometry,
                            const photo_window *window, const photo_watch *watch,
                            GError **error);
