/* photo/judge.h: what to tell a maker about her photo while she still stands there. */
#pragma once

#include "photo/card.h"
#include "photo/plan.h"

/** What was measured to judge by. */
typedef struct photo_quality {
    double blur_in; /* spread (sigma) of the tags' edges, on the table; 0 when unknown */
    double paper_y; /* luminance of the card's paper as photographed, 0 to 1 */
    double cast;    /* CIELAB chroma of the card's paper as photographed */
    double burnt;   /* share of the plan's pixels that are burnt out */
    double burnt_card; /* share of the card's face that is burnt out, ink included */
    double fall_off;   /* brightest over darkest light along the surface, 95 % over 5 %;
                          1 when it could not be told */
    double mixed;      /* how much redder against blue the light is at one place than at
                          another, same shares; 1 for one light */
    double
        surface_share; /* of the plan: where the light along the surface could be told */
} photo_quality;

/**
 * Judges a photo by its pose, its tags' edges and its plan, and says what is wrong with
 * it and what to do. Codes:
 *
 * photo.card-partly     fewer than four tags of a card were seen
 * photo.card-bowed      the paper stands up, or is folded
 * photo.cards-differ    two cards are not of one size: one was printed scaled
 * photo.no-white        the scale came from another thing than the card
 * photo.scale-unsure    lengths may be off by more than 0.5 %
 * photo.steep           over 38 degrees from straight down
 * photo.far             under 40 pixels of the file an inch
 * photo.blurred         edges spread over more than 0.025 in
 * photo.dark            paper darker than 0.1
 * photo.glare           burnt-out places, on the card or beside it
 * photo.light-coloured  a lamp's colour so strong that fabrics of other photos will not
 * match photo.light-uneven    light that falls off more than fourfold, or lights of two
 * colours
 *
 * @ret_quality  or NULL
 * @warnings     what is found is appended
 */
void photo_judge(const photo_pose *pose, const photo_plan *plan,
                 photo_quality *ret_quality, photo_warnings *warnings);
