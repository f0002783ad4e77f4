/* colour/signature.h: the colours that make a fabric known again. Pure. */
#pragma once

#include "colour/lab.h"

enum { COLOUR_SIGNATURE_MAX = 5, COLOUR_TEXTURE_STEPS = 3 };

/**
 * How much the colour of a cloth changes from one place to another 1/16, 1/8 and 1/4 in
 * away in any direction: a variogram (Matheron 1963) at three lags, which tells a solid
 * from a tonal print and a gingham from a plaid in the same colours. Both places lie in
 * the same light, so its colour does not matter and its strength hardly (half the light
 * makes a difference in CIELAB smaller by a fifth); nor does it matter how the cloth is
 * turned.
 *
 * Two more say how the change of lightness comes about at each lag: by few places that
 * differ much, as sprigs and lines do, or by many (the root mean square over the mean);
 * and whether it differs between the two ways at right angles and those between them, as
 * in a gingham or a plaid (the fourth harmonic of its square over the directions).
 *
 * light and chroma are levels by colour_texture_level(), the others by
 * colour_sparse_level() and colour_crossed_level(); 0 when it is not known, because the
 * piece is too small, there was no picture to scale, or it was kept before these were
 * read.
 */
typedef struct colour_texture {
    uint8_t light[COLOUR_TEXTURE_STEPS];
    uint8_t chroma[COLOUR_TEXTURE_STEPS];
    uint8_t sparse[COLOUR_TEXTURE_STEPS];
    uint8_t crossed[COLOUR_TEXTURE_STEPS];
} colour_texture;

/** The level of a root mean square difference in CIELAB, 1 to 255: even steps of the
 * logarithm, those under 0.6 being noise. */
uint8_t colour_texture_level(double rms);

/** The level, 1 to 255, of differences whose root mean square and mean size are these. */
uint8_t colour_sparse_level(double rms, double mean);

/** The level, 1 to 255, of the fourth harmonic over the sum of mean squares by direction,
 * at even steps of half a turn. */
uint8_t colour_crossed_level(int directions, const double squares[static directions]);

/** How far two textures are apart: the mean difference of the natural logarithms of light
 * and chroma over the steps that both know, and so many times that of the others; 0 for
 * the same. Where they share no step, what two pictures of the same cloth usually are
 * apart. */
double colour_texture_distance(const colour_texture *a, const colour_texture *b);

/** Up to five colours, the largest share first; shares sum to 1. count 0: no picture yet.
 */
typedef struct colour_signature {
    int count;
    colour_lab lab[COLOUR_SIGNATURE_MAX];
    double share[COLOUR_SIGNATURE_MAX];
    colour_texture texture;
} colour_signature;

/** Light, medium, dark: how a fabric reads beside the others. */
typedef enum colour_value { COLOUR_LIGHT, COLOUR_MEDIUM, COLOUR_DARK } colour_value;

/** What colour_signature_distance() tends to for colours that have nothing in common. */
#define COLOUR_DISTANCE_MAX 20.0

/** How far two colours of fabrics are apart, 0 to 20; see the next. */
double colour_distance(const colour_lab *a, const colour_lab *b);

/**
 * How far two fabrics are apart, 0 to 20: the earth mover's distance between their
 * colours, each pair of colours being d = CIEDE2000 with kL = 2 apart (a photo's light is
 * the first thing to go wrong), saturated to 20 (1 - exp(-d / 20)) so that one odd colour
 * does not decide. A signature without colours is 20 from every other.
 */
double colour_signature_distance(const colour_signature *a, const colour_signature *b);

/** How alike two fabrics are, 1 for the same down to 0: 1 - distance / 20. */
double colour_alike(const colour_signature *a, const colour_signature *b);

/** The mean colour by shares; 0, 0, 0 when there is none. */
colour_lab colour_signature_mean(const colour_signature *signature);

/**
 * Finds the main colours of a sample of pixels: k-means with five centres in CIELAB,
 * begun by splitting the widest cluster along its longest axis, so that equal pixels in
 * any order give equal colours up to rounding; then centres closer than 4 (CIE 1976) or
 * holding less than 1 % are merged.
 *
 * @count  pixels; 0 gives a signature without colours. A few thousand are enough
 * @lab    l, a, b of each pixel
 * @group  room for one byte a pixel; afterwards the centre each pixel went to, before
 *         merging
 *
 * About 60 ns a pixel and centre round; allocates nothing.
 */
void colour_signature_from_pixels(size_t count, const float *lab, uint8_t *group,
                                  colour_signature *ret_signature);
