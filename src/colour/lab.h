/* colour/lab.h: sRGB, linear light and CIELAB. Pure. */
#pragma once

#include <stdint.h>

/** CIELAB: l 0 to 100; a, b about -130 to 130. White point D65 unless a name says d50. */
typedef struct colour_lab {
    double l, a, b;
} colour_lab;

/** 8-bit sRGB (IEC 61966-2-1). */
typedef struct colour_srgb8 {
    uint8_t r, g, b;
} colour_srgb8;
