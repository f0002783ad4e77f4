/* score_scraps.h: scraps that were found against those that lie there. */
#pragma once

#include "photo/find.h"

#include <jansson.h>

/** Sums over photos; zeroed is empty. */
typedef struct score_totals {
    int photos;
    int far_there, far_found; /* more than 20 (CIE 1976) from the surface, 0.5 sq in up */
    int near_there, near_found;   /* 10 to 20 */
    int faint_there, faint_found; /* less */
    int false_pieces, split, fused;
    int fused_asked, whole_asked, maybe; /* asked about */
    int touching_there, touching_parted;
    int plans, plans_exact, plans_near; /* best plans for squares of 2 in */
    int squares_there, squares_found;
    GArray *overlap;    /* double: intersection over union of what was found */
    GArray *area_error; /* double: relative, of pieces of 1 sq in and more */
    GArray *bias;       /* double: the same with its sign */
    GArray *known;      /* score_known: for matching between photos */
} score_totals;

typedef struct score_known {
    char fabric[16];
    int photo, group; /* of its photo */
    colour_signature signature;
} score_known;

void score_totals_init(score_totals *totals);
void score_totals_clear(score_totals *totals);

/** Adds one photo and prints its line; lists each miss and false piece when verbose. */
void score_scraps(const char *name, const json_t *truth, const photo_scraps *found,
                  bool verbose, score_totals *totals);

/** Prints one line of figures for all. */
void score_print(const score_totals *totals);
