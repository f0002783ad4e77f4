/* photo/photo.h: from a file with a photo to a true-scale plan of the table, and what to
 * tell the maker about it. The steps are load.h, card.h, pose.h, judge.h and plan.h;
 * photo_survey_run() does them all.
 *
 * Two frames are used throughout. Table frame: inches, origin at the centre of the
 * lowest-numbered card seen, x to that card's right, y to its top. Upright pixels: pixels
 * of the stored picture after its EXIF orientation is applied, x right, y down; (0, 0) is
 * the outer corner of the upper left pixel, whose centre is (0.5, 0.5). Inches are
 * doubles here, since they are measured in a picture; they become lengths where outlines
 * are made.
 *
 * All functions may run on several threads at once, each with its own structs. */
#pragma once

#include "photo/card.h"
#include "photo/judge.h"
#include "photo/load.h"
#include "photo/plan.h"
#include "photo/pose.h"
#include "photo/watch.h"

/** Everything that is known of one photo's geometry. Zeroed, it is empty and valid. */
typedef struct photo_survey {
    double print_scale; /* how large the card was printed beside what it should be, as she
                           measured it; 0 is 1. Set it before the cards are looked at. */
    photo_picture *picture;
    photo_tags tags;
    photo_pose pose;
    photo_plan *plan;
    photo_quality quality;
    photo_warnings warnings;
} photo_survey;

/**
 * Loads a photo, finds the cards, solves the pose, judges it and makes the plan.
 *
 * @path        the file
 * @lens        what is known of this lens from earlier photos, or NULL
 * @watch       progress and stop, or NULL
 * @ret_survey  zeroed or cleared before; clear with photo_survey_clear(). On error it
 *              holds the steps that were done, so that the picture can still be shown.
 *
 * Errors: those of photo_load(), photo_find_cards(), photo_solve_pose(),
 * photo_make_plan(). About 0.3 s for 12 MP on two cores.
 */
gboolean photo_survey_run(const char *path, const photo_lens *lens,
                          const photo_watch *watch, photo_survey *ret_survey,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same in steps, for who has to look at the picture before its pose is solved:
 * first the picture alone. Errors: those of photo_load(). */
gboolean photo_survey_load(const char *path, const photo_watch *watch,
                           photo_survey *ret_survey,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Then the cards, the pose and all the rest. */
gboolean photo_survey_by_cards(photo_survey *survey, const photo_lens *lens,
                               const photo_watch *watch,
                               GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Or the rest by a pose that came from a thing of known size; no card is looked for. */
gboolean photo_survey_by_pose(photo_survey *survey, const photo_pose *pose,
                              const photo_watch *watch,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Frees what the survey holds and zeroes it. */
void photo_survey_clear(photo_survey *survey);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(photo_survey, photo_survey_clear)
