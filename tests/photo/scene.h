/* scene.h: draws photos for tests: cards and pieces on a mat, seen by a known camera.
 *
 * A pinhole with one radial term looks at the table; edges are antialiased by 4 x 4
 * samples in linear light, then blurred, given noise and coded as sRGB. 1 MP takes about
 * 0.2 s. The truth is a photo_pose whose maps are exact. */
#pragma once

#include "colour/lab.h"
#include "photo/photo.h"

enum { SCENE_CARDS_MAX = 3, SCENE_PIECES_MAX = 400 };

typedef struct scene_card {
    int first_id; /* 0 or 4 */
    photo_point centre_in;
    double angle_rad;
    double scale;        /* of the print: 1, or 0.97 where the printer scaled it */
    double bow_x, bow_y; /* its paper stands at z = bow_x X^2 + bow_y Y^2 inches, X and
                            Y in the card's frame */
    double curl;         /* and z = curl * (X Y) besides: a corner that stands up */
} scene_card;

typedef struct scene_piece {
    int count;
    const photo_point *corners_in; /* any direction; borrowed */
    colour_srgb8 colour, other;    /* albedo as sRGB */
    double stripe_in;              /* width of stripes of both colours; 0 for a solid */
} scene_piece;

/** A table top painted beforehand, with all that lies on it but the cards. */
typedef struct scene_table {
    photo_point least_in; /* its lower left corner */
    double per_in;        /* pixels */
    int width, height;
    float *rgb; /* linear albedo, rows from the lower one up */
} scene_table;

/** Whether a point lies in a polygon. */
bool scene_inside(int count, const photo_point *corners, photo_point at);

/** Fill by scene_default(), then change what matters. */
typedef struct scene {
    int width, height;
    double focal_35mm;   /* what the EXIF says too */
    double focal_factor; /* true focal length by that; 1 */
    double k1;
    photo_point target_in; /* what the middle of the picture sees */
    double distance_in;
    double tilt_deg, azimuth_deg,
        roll_deg; /* azimuth 0: the maker stands at the low side */

    const scene_table
        *table; /* in place of mat, grid and pieces; NULL for those; borrowed */
    colour_srgb8 mat, grid; /* grid lines of 0.02 in each inch, where it differs */
    int card_count;
    scene_card card[SCENE_CARDS_MAX];
    int piece_count;
    scene_piece piece[SCENE_PIECES_MAX]; /* later ones lie on top, and all on the cards */

    double exposure; /* 1: paper just under white */
    double gain[3];  /* colour of the light, linear */
    double fall_off; /* brightest over darkest light across the picture, from where */
    double fall_deg; /* 0: left to right, 90: top to bottom */
    double glare_in; /* radius of a burnt-out spot in the picture's middle; 0 none */
    double blur_px;  /* sigma */
    double sharpen;  /* share of the difference from its surroundings that is added */
    double noise;    /* sigma, of 255 */
    uint64_t seed;
} scene;

/** 1600 x 1200, 26 mm, straight down from 20 in at (6, -4), one flat card of ids 0 to 3
 * at the origin on a dark green mat, no pieces, blur 0.7 px, noise 1.5. */
void scene_default(scene *ret_scene);

/** The pose that made it: table_to_ray, centre_px, lens.focal_px, lens.k1. */
photo_pose scene_truth(const scene *drawn);

/** Upright pixels, height x width x 3 sRGB; free with g_free(). */
uint8_t *scene_pixels(const scene *drawn);

/** The same as a picture that photo_load() would give, not reduced; free with
 * photo_picture_free(). It has no file, so it cannot be looked at more closely. */
photo_picture *scene_picture(const scene *drawn);

/** As a JPEG file with EXIF focal length, stored turned as that EXIF orientation says. */
GBytes *scene_jpeg(const scene *drawn, int quality, int orientation);
