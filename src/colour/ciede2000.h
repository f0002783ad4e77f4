/* colour/ciede2000.h: how different two colours look. Pure. */
#pragma once

#include "colour/lab.h"

/**
 * The CIEDE2000 colour difference with all parametric factors 1.
 * Formula: CIE 142-2001; hue means as in G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000
 * color-difference formula: implementation notes, supplementary test data, and
 * mathematical observations", Color Research and Application 30(1), 2005.
 *
 * 0 for equal colours, about 1 just visible side by side; the same in both directions; no
 * true metric (the triangle inequality may fail by a little).
 */
double colour_ciede2000(const colour_lab *a, const colour_lab *b);

/** The same with the parametric factor kl on lightness: 2 halves its weight, as is usual
 *  for textiles. */
double colour_ciede2000_kl(const colour_lab *a, const colour_lab *b, double kl);
