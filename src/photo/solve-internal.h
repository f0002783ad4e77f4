/* photo/solve-internal.h: small dense least squares. Pure. */
#pragma once

#include <stdbool.h>

enum { SOLVE_UNKNOWNS_MAX = 32 };

/** The normal equations of a least squares problem, summed up row by row. */
typedef struct solve_sums {
    int unknowns;
    double a[SOLVE_UNKNOWNS_MAX][SOLVE_UNKNOWNS_MAX]; /* lower triangle of J' W J */
    double b[SOLVE_UNKNOWNS_MAX];                     /* J' W r */
    double cost;                                      /* sum of w r^2 */
} solve_sums;

void solve_sums_start(solve_sums *sums, int unknowns);

/** Adds one observation with residual (observed minus modelled), its derivatives of the
 *  model by the unknowns, and weight. */
void solve_sums_add(solve_sums *sums, const double *derivatives, double residual,
                    double weight);

/** Solves (J' W J + damping * its diagonal) step = J' W r by Cholesky; false when
 *  singular. */
bool solve_sums_step(const solve_sums *sums, double damping, double *ret_step);

/** Variance of a quantity with these derivatives by the unknowns, for residuals of unit
 *  weight; INFINITY when the unknowns are not fixed. */
double solve_sums_variance(const solve_sums *sums, const double *derivatives);

/** The eigenvector of the smallest eigenvalue of a symmetric matrix, by Jacobi turns
 *  (Golub and Van Loan, Matrix Computations, 4th ed., section 8.5); a is lost. */
void solve_smallest_eigenvector(int n, double a[n][n], double ret[n]);
