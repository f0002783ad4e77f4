/* app/lens-internal.h: what photos have taught of the cameras they were taken with, by
 * model and size of picture. */
#pragma once

#include "app-internal.h"
#include "photo/pose.h"
#include "store/change.h"

/** What is known of the lens that took a picture; false when nothing is. */
bool app_lens_recall(app *self, const photo_picture *picture, photo_lens *ret_lens);

/** Remembers what a photo with two cards taught, when that is surer than what was known.
 */
gboolean app_lens_learn(store_change *change, const photo_picture *picture,
                        const photo_pose *pose, GError **error) G_GNUC_WARN_UNUSED_RESULT;
