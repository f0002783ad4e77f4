/* photo/surface-internal.h: the table under the scraps, and how far each pixel is from
 * it. */
#pragma once

#include "photo/bits-internal.h"
#include "photo/plan.h"

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
} photo_surface;

/** Free with photo_surface_free(). */
photo_surface *photo_surface_new(const photo_plan *plan);
void photo_surface_free(photo_surface *surface);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(photo_surface, photo_surface_free)

/** Learns the surface from the cards outward, then the distances; with covered, what it
 * marks is no part of the surface. */
void photo_surface_learn(photo_surface *surface, const photo_plan *plan,
                         const photo_bits *covered);

/** The surface's colour at a pixel, between the cells' centres. */
void photo_surface_at(const photo_surface *surface, int x, int y, float back[static 3]);
