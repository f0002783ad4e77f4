/* colour/emd.h: earth mover's distance between two small sets of weights. Pure. */
#pragma once

enum { COLOUR_EMD_MAX = 8 };

/**
 * The least cost of moving the weights of one set onto the other's, per weight moved
 * (Y. Rubner, C. Tomasi, L. J. Guibas, "The earth mover's distance as a metric for image
 * retrieval", IJCV 40(2), 2000), by successive shortest augmenting paths. Both sets are
 * scaled to a sum of 1 first. It is a metric when cost is one.
 *
 * @m, @n   sizes, 1 to COLOUR_EMD_MAX
 * @from    m weights, none below 0, some above
 * @to      n weights, the same
 * @cost    m x n, row by row, none below 0
 */
double colour_emd(int m, int n, const double from[static m], const double to[static n],
                  const double cost[static m * n]);
