/* cloth.h: printed cloths of our own invention, to be cut into drawn scraps. */
#pragma once

#include "base/random.h"
#include "photo/card.h"

typedef enum cloth_style {
    CLOTH_SOLID,
    CLOTH_TONAL,
    CLOTH_DOTS,
    CLOTH_SPRIGS,
    CLOTH_ROSES,
    CLOTH_STRIPES,
    CLOTH_CHECK,
    CLOTH_GINGHAM,
    CLOTH_PLAID,
    CLOTH_CHEVRON,
    CLOTH_BATIK,
    CLOTH_TEXT,
    CLOTH_STYLES
} cloth_style;

enum { CLOTH_COLOURS = 5 };

typedef struct cloth {
    cloth_style style;
    double colour[CLOTH_COLOURS][3]; /* linear albedo; the first is the ground */
    double pitch_in;                 /* of the print */
    uint64_t seed;
} cloth;

/** The cloth of that number: the same each time. */
cloth cloth_of(uint64_t number);

/** Its colour at a place of the bolt, in inches along and across the grain. */
void cloth_colour(const cloth *c, photo_point at, double ret_rgb[static 3]);

/** A number by lot between two. */
double cloth_between(motley_random *random, double least, double most);

/** Smooth noise of -1 to 1 that changes about once in a unit; seeds differ throughout. */
double cloth_noise(double x, double y, uint64_t seed);
