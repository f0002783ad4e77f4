/* app/corners-internal.h: a photo without a card, measured by a sheet of paper or a mat
 * whose four corners were tapped. */
#pragma once

#include "app-internal.h"
#include "photo/photo.h"

/** Four corners of a thing of known size, in upright pixels of the photo, in any order.
 */
typedef struct app_corners {
    bool given;
    photo_point px[4];
    length width, height;
} app_corners;

/** Reads corners_px ([[x, y] x 4], or as text "x,y x,y x,y x,y") and size ("a4",
 * "letter", "8.5 x 11 in"). Without corners_px nothing is given, and TRUE. Errors:
 * app.field-wrong, app.field-missing, photo.points. */
gboolean app_corners_requested(app *self, const app_call *call, app_corners *ret_corners,
                               GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * The pose that shows the corners so. Which side is the longer is told by the picture: a
 * camera sees right angles where they are. What the tapping leaves unsure becomes the
 * pose's length_error, by moving each corner a little. Errors: photo.points.
 */
gboolean app_corners_pose(const photo_picture *picture, const app_corners *corners,
                          const photo_lens *lens, photo_pose *ret_pose,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Loads a photo and finds its scale and plan: by the cards in it, with what was learnt
 * of the camera's lens, or by the corners that were given. Errors: those of
 * photo_survey_load(), photo_survey_by_cards() and app_corners_pose(). */
gboolean app_survey_file(app *self, const char *path, const app_corners *corners,
                         const photo_watch *watch, photo_survey *survey,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;
