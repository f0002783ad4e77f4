#include "colour/value.h"

const colour_value_limits colour_value_defaults = { .light = 68, .dark = 45 };

static const double reach = 12;        /* limits stay this near the defaults */
static const double prior_fabrics = 8; /* that the defaults count for */

static void sift(int n, const double *l, int *order, int at)
{
    for (;;) {
        int child = 2 * at + 1;
        if (child >= n)
            return;
        if (child + 1 < n && l[order[child + 1]] > l[order[child]])
            child++;
        if (l[order[at]] >= l[order[child]])
            return;
        int swap = order[at];
        order[at] = order[child];
        order[child] = swap;
        at = child;
    }
}

/* Heap sort: no room but the order itself, whatever the size of the basket. */
static void sort_by_lightness(int n, const double *l, int *order)
{
    for (int i = 0; i < n; i++)
        order[i] = i;
    for (int i = n / 2 - 1; i >= 0; i--)
        sift(n, l, order, i);
    for (int end = n - 1; end > 0; end--) {
        int swap = order[0];
        order[0] = order[end];
        order[end] = swap;
        sift(end, l, order, 0);
    }
}

/* Halfway between the last lightness below the share and the first above it. */
static double quantile(int n, const double *l, const double *weight, const int *order,
                       double share)
{
    double below = 0;
    for (int i = 0; i < n; i++) {
        below += weight[order[i]];
        if (below >= share)
            return i + 1 < n ? (l[order[i]] + l[order[i + 1]]) / 2 : l[order[i]];
    }
    return l[order[n - 1]];
}

static double drawn_to(double measured, double standard, double trust)
{
    double x = standard + trust * (measured - standard);
    return x < standard - reach   ? standard - reach
           : x > standard + reach ? standard + reach
                                  : x;
}

colour_value_limits colour_value_limits_from(int n, const double *l, const double *weight,
                                             int *order)
{
    double sum = 0;
    for (int i = 0; i < n; i++)
        sum += weight[i];
    if (n == 0 || !(sum > 0))
        return colour_value_defaults;

    sort_by_lightness(n, l, order);
    double trust = n / (n + prior_fabrics);
    return (colour_value_limits){
        .light = drawn_to(quantile(n, l, weight, order, sum * 2 / 3),
                          colour_value_defaults.light, trust),
        .dark = drawn_to(quantile(n, l, weight, order, sum / 3),
                         colour_value_defaults.dark, trust),
    };
}

colour_value colour_value_of(double l, const colour_value_limits *limits)
{
    return l >= limits->light ? COLOUR_LIGHT
           : l < limits->dark ? COLOUR_DARK
                              : COLOUR_MEDIUM;
}

const char *colour_value_text(colour_value value)
{
    switch (value) {
    case COLOUR_LIGHT:
        return "light";
    case COLOUR_MEDIUM:
        return "medium";
    case COLOUR_DARK:
        break;
    }
    return "dark";
}
