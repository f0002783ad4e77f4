/* photo/surface-internal.h: the table under the scraps, and how far each pixel is from
 * it. */
#pragma once

#include "photo/bits-internal.h"
#include "photo/plan.h"

/** What is printed on the surface (grid lines, numerals): one colour, at some strength,
 * upon the bare one. */
typedef struct photo_print {
    bool any;
    float step[3]; /* from the bare colour, at its strongest */
    float bare_l;  /* where it was measured */
} photo_print;

/** The plan in CIELAB with a model of the bare surface. */
typedef struct photo_surface {
    int width, height, per_in; /* those of the plan */
    float *lab;                /* height x width x 3, slightly blurred */
    photo_bits *covered;       /* by the photo */
    photo_bits *usable;        /* covered and no card */
    int cell;                  /* side of a cell, px */
    int columns, rows;         /* cells */
    float *back;               /* rows x columns x 3: the bare surface's colour */
    float *noise;              /* rows x columns: how far bare pixels are from it */
    float *distance;           /* height x width, 0 where nothing is usable */
    photo_print print;
    photo_bits *narrow; /* what differs from the surface but is narrow; or NULL */
} photo_surface;

/** Free with photo_surface_free(). */
photo_surface *photo_surface_new(const photo_plan *plan);

/** The same at half the size, for a first look; free alike. */
photo_surface *photo_surface_halved(const photo_surface *surface);
void photo_surface_free(photo_surface *surface);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(photo_surface, photo_surface_free)

/** Learns the surface from the cards outward, then the distances; with covered, what it
 * marks is no part of the surface. */
void photo_surface_learn(photo_surface *surface, const photo_plan *plan,
                         const photo_bits *covered);

/** The surface's colour at a pixel, between the cells' centres. */
void photo_surface_at(const photo_surface *surface, int x, int y, float back[static 3]);

/** The value below which a share of n values lies, by selection; reorders them. n > 0. */
float photo_quantile(int n, float *values, double share);

/** How far a pixel is from all colours that the surface's print may have there, and how
 * strong the print would be; print.any must hold. */
float photo_surface_off_print(const photo_surface *surface, int x, int y,
                              float *ret_strength);
