/* photo/middle.h: the cloth that fills the middle of a photo, where no card tells the
 * scale. */
#pragma once

#include "colour/signature.h"
#include "photo/load.h"

enum { PHOTO_MIDDLE_SCALES = 9 };

/**
 * The colours of the middle, and its texture at scales from half an octave to the next:
 * one for each size that the middle may have, about 0.7 to 11 in across. A solid, a tonal
 * print and a bold one are told apart so; a small check and the same check six times as
 * large are not, which takes the card.
 */
typedef struct photo_middle {
    colour_signature signature; /* its texture is not known */
    colour_texture texture[PHOTO_MIDDLE_SCALES];
} photo_middle;

/** Reads the middle half of a photo; its edges may show the table. About 30 ms. */
void photo_middle_read(const photo_picture *picture, photo_middle *ret_middle);

/** The signature with the texture, of those scales, that comes nearest to that of another
 * fabric: at some distance the camera may have seen it so. */
colour_signature photo_middle_nearest(const photo_middle *middle,
                                      const colour_signature *other);
