#include "colour/emd.h"

#include <math.h>

enum { N = COLOUR_EMD_MAX };

/* Weights below this are rounding dust. */
static const double dust = 1e-12;

static double sum_of(int n, const double x[static n])
{
    double sum = 0;
    for (int i = 0; i < n; i++)
        sum += x[i];
    return sum;
}

/* All of one weight goes to many, or many to one: there is nothing to choose. */
static double mean_cost(int n, const double weight[static n], const double cost[static n])
{
    double sum = sum_of(n, weight), total = 0;
    for (int i = 0; i < n; i++)
        total += weight[i] / sum * cost[i];
    return total;
}

double colour_emd(int m, int n, const double from[static m], const double to[static n],
                  const double cost[static m * n])
{
    if (m == 1)
        return mean_cost(n, to, cost);
    if (n == 1)
        return mean_cost(m, from, cost);

    double left[N], want[N], flow[N][N] = { { 0 } };
    double from_sum = sum_of(m, from), to_sum = sum_of(n, to);
    for (int i = 0; i < m; i++)
        left[i] = from[i] / from_sum;
    for (int j = 0; j < n; j++)
        want[j] = to[j] / to_sum;

    double total = 0;
    for (;;) {
        /* Bellman and Ford from every row with weight left: forward edges cost what they
         * cost, backward ones give back what the flow along them did. */
        double row[N], col[N];
        int row_from[N], col_from[N];
        for (int i = 0; i < m; i++) {
            row[i] = left[i] > dust ? 0 : INFINITY;
            row_from[i] = -1;
        }
        for (int j = 0; j < n; j++) {
            col[j] = INFINITY;
            col_from[j] = -1;
        }
        for (int round = 0, moved = 1; moved && round < m + n; round++) {
            moved = 0;
            for (int i = 0; i < m; i++) {
                for (int j = 0; j < n; j++) {
                    if (row[i] + cost[i * n + j] < col[j] - dust) {
                        col[j] = row[i] + cost[i * n + j];
                        col_from[j] = i;
                        moved = 1;
                    }
                    if (flow[i][j] > dust && col[j] - cost[i * n + j] < row[i] - dust) {
                        row[i] = col[j] - cost[i * n + j];
                        row_from[i] = j;
                        moved = 1;
                    }
                }
            }
        }

        int end = -1;
        for (int j = 0; j < n; j++)
            if (want[j] > dust && isfinite(col[j]) && (end < 0 || col[j] < col[end]))
                end = j;
        if (end < 0)
            return total;

        /* The path is walked twice: for the room along it, then to send that much. */
        double room = want[end];
        int i, j = end;
        for (;;) {
            i = col_from[j];
            if (row_from[i] < 0)
                break;
            j = row_from[i];
            room = fmin(room, flow[i][j]);
        }
        room = fmin(room, left[i]);
        total += room * col[end];
        left[i] -= room;
        want[end] -= room;
        for (j = end;;) {
            i = col_from[j];
            flow[i][j] += room;
            if (row_from[i] < 0)
                break;
            j = row_from[i];
            flow[i][j] -= room;
        }
    }
}
