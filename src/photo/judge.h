/* photo/judge.h: what to tell a maker about her photo while she still stands there. */
#pragma once

#include "photo/plan.h"

/** What was measured to judge by. */
typedef struct photo_quality {
    double blur_px;  /* spread (sigma) of a tag's edges, pixels of the file */
    double blur_in;  /* the same on the table */
    double paper_y;  /* luminance of the card's paper as photographed, 0 to 1 */
    double clipped;  /* share of the plan's pixels that are burnt out */
    double glare;    /* share of the card's paper that is burnt out */
    double fall_off; /* brightest over darkest light along the surface, 98 % over 2 % */
    double cast;     /* CIELAB chroma of the card's paper as photographed */
} photo_quality;

/**
 * Judges a photo by its pose, its tags' edges and its plan, and says what is wrong with
 * it. Codes: photo.blurred, photo.steep, photo.far, photo.dark, photo.glare,
 * photo.light-coloured, photo.light-uneven, photo.card-bowed, photo.card-partly,
 * photo.cards-differ, photo.lens-unknown.
 */
void photo_judge(const photo_picture *picture, const photo_tags *tags,
                 const photo_pose *pose, const photo_plan *plan,
                 photo_quality *ret_quality, photo_warnings *warnings);
