/* colour/lab.h: sRGB, linear light and CIELAB. Pure: no input or output, no globals.
 *
 * sRGB by IEC 61966-2-1:1999, whose matrices are derived from its chromaticities and not
 * from the rounded ones it prints; CIELAB by CIE 15 with epsilon 216/24389 and kappa
 * 24389/27; D50 through the Bradford transform. */
#pragma once

#include <stddef.h>
#include <stdint.h>

/** CIELAB: l 0 to 100; a, b about -130 to 130. White point D65 unless a name says d50. */
typedef struct colour_lab {
    double l, a, b;
} colour_lab;

/** 8-bit sRGB (IEC 61966-2-1). */
typedef struct colour_srgb8 {
    uint8_t r, g, b;
} colour_srgb8;

/** Linear light in the primaries of sRGB, 0 to 1 within its gamut. */
typedef struct colour_linear {
    double r, g, b;
} colour_linear;

/** CIE 1931 tristimulus values, Y of the white being 1. */
typedef struct colour_xyz {
    double x, y, z;
} colour_xyz;

/** White points: D65 and D50 of the 2 degree observer, from their chromaticities
 *  (0.3127, 0.3290) and (0.3457, 0.3585). */
extern const colour_xyz colour_white_d65;
extern const colour_xyz colour_white_d50;

/** The transfer function of sRGB and its inverse, on 0 to 1; odd beyond zero. */
double colour_srgb_decode(double encoded);
double colour_srgb_encode(double linear);

/** 8-bit sRGB to linear light, and back with clipping to the gamut and rounding. */
colour_linear colour_linear_from_srgb8(colour_srgb8 srgb);
colour_srgb8 colour_srgb8_from_linear(colour_linear linear);

/** XYZ relative to a white to CIELAB of that white, and back. */
colour_lab colour_lab_from_xyz(colour_xyz xyz, colour_xyz white);
colour_xyz colour_xyz_from_lab(colour_lab lab, colour_xyz white);

/** Linear light to CIELAB (D65), and back; what lies outside sRGB is not clipped. */
colour_lab colour_lab_from_linear(colour_linear linear);
colour_linear colour_linear_from_lab(colour_lab lab);

/** 8-bit sRGB to CIELAB (D65), and back with clipping and rounding. */
colour_lab colour_lab_from_srgb8(colour_srgb8 srgb);
colour_srgb8 colour_srgb8_from_lab(colour_lab lab);

/** The same colour seen under the other white, adapted by Bradford. */
colour_lab colour_lab_d50_from_d65(colour_lab d65);
colour_lab colour_lab_d65_from_d50(colour_lab d50);

/** CIE 1976 colour difference: plain distance in CIELAB. */
double colour_delta_e76(const colour_lab *a, const colour_lab *b);

/** Chroma, and hue in degrees, 0 <= hue < 360 (0 for a neutral). */
double colour_chroma(const colour_lab *lab);
double colour_hue_deg(const colour_lab *lab);

/** Relative luminance of 8-bit sRGB, 0 to 1, and the contrast ratio of two colours, 1 to
 *  21 (W3C, WCAG 2.1; with the standard's own 0.04045, which 8 bits cannot tell from the
 *  0.03928 printed there). */
double colour_luminance(colour_srgb8 srgb);
double colour_contrast(colour_srgb8 a, colour_srgb8 b);

/** Tables for whole pictures; fill once with colour_tables_init(), then share freely. */
typedef struct colour_tables {
    float linear[256];    /* 8-bit sRGB to linear light */
    float cube[4096 + 2]; /* the f of CIELAB at i / 4096 */
} colour_tables;

void colour_tables_init(colour_tables *tables);

/**
 * 8-bit sRGB to CIELAB (D65) for a whole picture.
 *
 * @count  pixels
 * @gain   factors on linear r, g, b, for the white balance; results above 1 are clipped
 * @rgb    r, g, b of each pixel
 * @lab    l, a, b of each pixel, within 0.01 of colour_lab_from_srgb8() at gain 1
 */
void colour_lab_picture(const colour_tables *tables, size_t count,
                        const float gain[static 3], const uint8_t *rgb, float *lab);

/**
 * Linear light to CIELAB (D65) for a whole picture.
 *
 * @count  pixels
 * @rgb    linear r, g, b of each pixel; what lies outside 0 to 1 is clipped
 * @lab    l, a, b of each pixel, within 0.01 of colour_lab_from_linear()
 */
void colour_lab_linear_picture(const colour_tables *tables, size_t count,
                               const float *rgb, float *lab);
