#include "photo/solve-internal.h"

#include <math.h>
#include <string.h>

void solve_sums_start(solve_sums *sums, int unknowns)
{
    sums->unknowns = unknowns;
    sums->cost = 0;
    for (int i = 0; i < unknowns; i++) {
        memset(sums->a[i], 0, sizeof sums->a[i]);
        sums->b[i] = 0;
    }
}

void solve_sums_add(solve_sums *sums, const double *derivatives, double residual,
                    double weight)
{
    for (int i = 0; i < sums->unknowns; i++) {
        double scaled = weight * derivatives[i];
        if (scaled == 0)
            continue;
        for (int j = 0; j <= i; j++)
            sums->a[i][j] += scaled * derivatives[j];
        sums->b[i] += scaled * residual;
    }
    sums->cost += weight * residual * residual;
}

/* Lower triangular l with l l' = a + damping * diag(a). */
static bool factor(const solve_sums *sums, double damping,
                   double l[SOLVE_UNKNOWNS_MAX][SOLVE_UNKNOWNS_MAX])
{
    for (int i = 0; i < sums->unknowns; i++)
        for (int j = 0; j <= i; j++) {
            double sum = sums->a[i][j];
            if (i == j)
                sum += damping * sum;
            for (int k = 0; k < j; k++)
                sum -= l[i][k] * l[j][k];
            if (i != j) {
                l[i][j] = sum / l[j][j];
            } else {
                if (!(sum > 1e-14 * sums->a[i][i]))
                    return false;
                l[i][i] = sqrt(sum);
            }
        }
    return true;
}

bool solve_sums_step(const solve_sums *sums, double damping, double *ret_step)
{
    double l[SOLVE_UNKNOWNS_MAX][SOLVE_UNKNOWNS_MAX], y[SOLVE_UNKNOWNS_MAX];
    if (!factor(sums, damping, l))
        return false;
    int n = sums->unknowns;
    for (int i = 0; i < n; i++) {
        y[i] = sums->b[i];
        for (int k = 0; k < i; k++)
            y[i] -= l[i][k] * y[k];
        y[i] /= l[i][i];
    }
    for (int i = n - 1; i >= 0; i--) {
        for (int k = i + 1; k < n; k++)
            y[i] -= l[k][i] * y[k];
        y[i] /= l[i][i];
    }
    memcpy(ret_step, y, sizeof y[0] * (size_t)n);
    return true;
}

double solve_sums_variance(const solve_sums *sums, const double *derivatives)
{
    double l[SOLVE_UNKNOWNS_MAX][SOLVE_UNKNOWNS_MAX], y[SOLVE_UNKNOWNS_MAX];
    if (!factor(sums, 0, l))
        return INFINITY;
    /* With a = l l', d' a^-1 d is the square of the y that solves l y = d. */
    double variance = 0;
    for (int i = 0; i < sums->unknowns; i++) {
        y[i] = derivatives[i];
        for (int k = 0; k < i; k++)
            y[i] -= l[i][k] * y[k];
        y[i] /= l[i][i];
        variance += y[i] * y[i];
    }
    return variance;
}

void solve_smallest_eigenvector(int n, double a[n][n], double ret[n])
{
    double v[SOLVE_UNKNOWNS_MAX][SOLVE_UNKNOWNS_MAX] = { 0 };
    for (int i = 0; i < n; i++)
        v[i][i] = 1;
    for (int sweep = 0; sweep < 60; sweep++) {
        double off = 0, all = 0;
        for (int i = 0; i < n; i++)
            for (int j = 0; j < n; j++) {
                all += a[i][j] * a[i][j];
                off += i == j ? 0 : a[i][j] * a[i][j];
            }
        if (off <= 1e-30 * all)
            break;
        for (int p = 0; p < n; p++)
            for (int q = p + 1; q < n; q++) {
                if (a[p][q] == 0)
                    continue;
                double tau = (a[q][q] - a[p][p]) / (2 * a[p][q]);
                double t = (tau >= 0 ? 1 : -1) / (fabs(tau) + sqrt(1 + tau * tau));
                double c = 1 / sqrt(1 + t * t), s = t * c;
                for (int k = 0; k < n; k++) {
                    double kp = a[k][p], kq = a[k][q];
                    a[k][p] = c * kp - s * kq;
                    a[k][q] = s * kp + c * kq;
                }
                for (int k = 0; k < n; k++) {
                    double pk = a[p][k], qk = a[q][k];
                    a[p][k] = c * pk - s * qk;
                    a[q][k] = s * pk + c * qk;
                    double kp = v[k][p], kq = v[k][q];
                    v[k][p] = c * kp - s * kq;
                    v[k][q] = s * kp + c * kq;
                }
            }
    }
    int best = 0;
    for (int i = 1; i < n; i++)
        if (a[i][i] < a[best][best])
            best = i;
    for (int i = 0; i < n; i++)
        ret[i] = v[i][best];
}
