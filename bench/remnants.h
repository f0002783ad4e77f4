/* bench/remnants.h: outlines to cut, drawn by chance. */
#pragma once

#include "base/random.h"
#include "scrap/outline.h"

#include <math.h>

enum { REMNANT_CORNERS = 28 };

/* Remnants as a basket holds them: most are small, some long, all uneven. */
static inline void draw_remnant(motley_random *random,
                                scrap_point points[REMNANT_CORNERS])
{
    double across = 3 + 9 * motley_random_unit(random);
    double up = across * (0.3 + 0.7 * motley_random_unit(random));
    double turn = G_PI * motley_random_unit(random);
    for (int i = 0; i < REMNANT_CORNERS; i++) {
        double angle = 2 * G_PI * (i + 0.5) / REMNANT_CORNERS;
        double reach = 0.85 + 0.3 * motley_random_unit(random);
        double x = across / 2 * reach * cos(angle), y = up / 2 * reach * sin(angle);
        points[i].x = length_from_inches(x * cos(turn) - y * sin(turn));
        points[i].y = length_from_inches(x * sin(turn) + y * cos(turn));
    }
}
