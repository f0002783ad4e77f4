/* plan/forecast.h: when a quilt will be done and when the basket runs short, with ranges.
 * Pure and seeded. */
#pragma once

#include <stdint.h>

/**
 * Counts by week, over-dispersed as a hobby is: negative binomial, its variance mean +
 * mean^2 / shape. A shape of INFINITY is Poisson's.
 */
typedef struct plan_pace {
    double mean;  /* each week */
    double shape; /* above 0 */
    double weeks; /* how many equally good weeks the history is worth */
} plan_pace;

/**
 * Single exponential smoothing as in the NIST/SEMATECH e-Handbook of Statistical Methods,
 * 6.4.3.1: s[1] = y[0], then s[i] = alpha y[i - 1] + (1 - alpha) s[i - 1].
 *
 * @ret_smooth  count + 1 values; the first, of which there is no past, is y[0] as well,
 * and the last is the forecast for what comes next
 */
void plan_smooth(int count, const double *y, double alpha, double *ret_smooth);

/**
 * Fits a pace to a history: the mean, and the shape by maximum likelihood (C. I. Bliss,
 * R. A. Fisher, "Fitting the negative binomial distribution to biological data",
 * Biometrics 9, 1953, 176-200), each week weighing `discount` as much as the one after
 * it.
 *
 * @count     weeks, the oldest first; 0 gives mean 0
 * @discount  above 0, up to 1; 0.97 forgets half in 23 weeks
 */
plan_pace plan_pace_fit(int count, const int *by_week, double discount);

/** Weeks from now; INFINITY beyond PLAN_WEEKS_MAX. */
typedef struct plan_range {
    double p10, p50, p90;
} plan_range;

enum {
    PLAN_WEEKS_MAX = 1040, /* twenty years: beyond that it is "not in sight" */
    PLAN_SIMULATIONS = 4000,
};

/**
 * When `left` more will have come at this pace: the weeks by which 10, 50 and 90 per cent
 * of 4,000 simulations are done. Each simulation draws a mean of its own, as far from the
 * fitted one as so short a history allows, so that three weeks' data give a wide range
 * and three years' a narrow one; then each week's rate, then what comes.
 *
 * Under 30 ms (docs/figures/plan.md). Nothing left is 0 weeks.
 */
plan_range plan_forecast_done(const plan_pace *pace, int64_t left, uint64_t seed);

/**
 * When a supply runs short: it holds `stock`, `come` is what comes in, and each of `go`
 * takes `each`; after `most` of those it is needed no more. The range is of the weeks in
 * which the simulations fall below nothing; INFINITY where so many never do.
 *
 * @ret_never  the share of simulations in which it lasts
 */
plan_range plan_forecast_short(double stock, const plan_pace *come, const plan_pace *go,
                               double each, int64_t most, uint64_t seed,
                               double *ret_never);
