/* colour/value.h: light, medium and dark, as they read beside the others. Pure. */
#pragma once

#include "colour/signature.h"

/** Lightness (CIELAB l) from which a fabric reads as light, and below which as dark. */
typedef struct colour_value_limits {
    double light, dark;
} colour_value_limits;

/** What is used with nothing to compare with: 68 and 45. */
extern const colour_value_limits colour_value_defaults;

/**
 * Limits that divide a set in three, by weight: the quantiles at one and two thirds,
 * drawn towards the defaults when there is little (as if 8 fabrics of even lightness were
 * there already) and kept within 12 of them, so that a basket of nothing but pastels has
 * no "darks".
 *
 * @n       0 and more
 * @l       lightness of each, in any order
 * @weight  how much of each there is, none below 0
 * @order   room for n indices
 */
colour_value_limits colour_value_limits_from(int n, const double *l, const double *weight,
                                             int *order);

/** How a lightness reads under these limits. */
colour_value colour_value_of(double l, const colour_value_limits *limits);

/** "light", "medium", "dark". */
const char *colour_value_text(colour_value value);
