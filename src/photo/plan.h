/* photo/plan.h: the table seen straight from above, true to scale. */
#pragma once

#include "colour/lab.h"
#include "photo/load.h"
#include "photo/pose.h"

enum { PHOTO_PLAN_PER_IN = 48, PHOTO_PLAN_SIDE_MAX_IN = 48 };

/** Luminance that the card's paper is given, so that near-white prints do not clip. */
#define PHOTO_PAPER_Y 0.85

/**
 * A picture of the table at 48 pixels an inch, in linear light and white-balanced: the
 * card's paper is (0.85, 0.85, 0.85) there, with the primaries and D65 of sRGB.
 *
 * Pixel (column c, row r) has its centre at table x = left_in + (c + 0.5) / 48,
 * y = top_in - (r + 0.5) / 48: rows go down, table y up. All values of a pixel that the
 * photo does not cover are 0.
 */
typedef struct photo_plan {
    int width, height;
    int pixels_per_in;      /* PHOTO_PLAN_PER_IN */
    double left_in, top_in; /* table place of the upper left pixel's outer corner */
    float *rgb;             /* height x width x 3; owned */
    uint8_t *covered;       /* height x width, 1 where the photo shows the table; owned */
    int card_count;         /* may be 0 */
    photo_card card[CARD_KINDS];
    double paper_rgb[3]; /* the card's paper as photographed, linear light, 0 to 1;
                            what was divided out, times 0.85. White without a card. */
    colour_srgb8 paper;  /* the same as sRGB */
} photo_plan;

/**
 * Makes the plan of all that the photo shows of the table, as far as its pixels lie dense
 * enough to measure by and at most PHOTO_PLAN_SIDE_MAX_IN in a side. Blended in linear
 * light.
 *
 * Returns the plan, free with photo_plan_free(); NULL with cancelled.
 */
photo_plan *photo_make_plan(const photo_picture *picture, const photo_pose *pose,
                            const photo_watch *watch,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Frees a plan; NULL is nothing. */
void photo_plan_free(photo_plan *plan);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(photo_plan, photo_plan_free)

/** Writes height x width x 3 bytes of sRGB, to show or keep the plan with photo_jpeg();
 * what the photo does not cover is of a paper's colour.
 */
void photo_plan_to_srgb(const photo_plan *plan, uint8_t *rgb);

/** The colour at a place of the plan (continuous; pixel centres at +0.5), blended in
 * linear light, as three bytes of sRGB; at the plan's edge that of its last pixels. */
void photo_plan_srgb_at(const photo_plan *plan, double column, double row,
                        uint8_t rgb[static 3]);

/** Table inches to plan pixels (continuous; pixel centres at +0.5) and back. */
static inline void photo_plan_from_table(const photo_plan *plan, double x_in, double y_in,
                                         double *ret_column, double *ret_row)
{
    *ret_column = (x_in - plan->left_in) * plan->pixels_per_in;
    *ret_row = (plan->top_in - y_in) * plan->pixels_per_in;
}

static inline void photo_plan_to_table(const photo_plan *plan, double column, double row,
                                       double *ret_x_in, double *ret_y_in)
{
    *ret_x_in = plan->left_in + column / plan->pixels_per_in;
    *ret_y_in = plan->top_in - row / plan->pixels_per_in;
}
