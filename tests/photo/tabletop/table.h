/* table.h: a table top with its mat and the scraps that lie on it, painted flat; scene.h
 * then photographs it. */
#pragma once

#include "cloth.h"
#include "photo/scene.h"
#include "shape.h"

typedef struct table_surface {
    const char *name;
    colour_srgb8 base, line;
    double line_in;            /* width of a grid's lines; 0: no grid */
    bool ticks, slants, marks; /* half inches, lines of 60 degrees, numerals */
    double grain, speckle;     /* of wood; of anything: shares of its lightness */
} table_surface;

/** Known surfaces: mats first, then what tables are made of. */
extern const table_surface table_surfaces[];
extern const int table_mats, table_surface_count;

typedef struct table {
    scene_table top;
    uint8_t *on; /* the number of the scrap that shows in each pixel; 0 for none */
} table;

/** A bare table that covers a box of inches; free with table_free(). */
table *table_new(photo_point least_in, photo_point most_in, double per_in,
                 const table_surface *wood, uint64_t seed);
void table_free(table *t);

/** A mat with its lower left corner at a place, turned by radians. */
void table_lay_mat(table *t, const table_surface *mat, photo_point corner_in, double turn,
                   double width_in, double height_in, uint64_t seed);

/** How a scrap lies. */
typedef struct table_scrap {
    int number; /* 1 to 255 */
    const cloth *print;
    shape laid;
    photo_point bolt_in; /* where on the bolt it was cut from */
    double grain_rad;
    photo_point shade_in; /* where its shadow falls */
    double crease;        /* strength of the fold across it; 0 none */
    uint64_t seed;
} table_scrap;

/** Lays a scrap, its shadow and its loose threads on all that lies there. */
void table_lay_scrap(table *t, const table_scrap *scrap);

/** Square inches that show of a scrap, and its mean albedo. */
double table_visible(const table *t, int number, double ret_rgb[static 3]);
