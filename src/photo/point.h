/* photo/point.h: a point of a picture or of the table. */
#pragma once

/** In upright pixels or table inches, as the name of what holds it says. */
typedef struct photo_point {
    double x, y;
} photo_point;
