#include "plan/forecast.h"

#include "base/random.h"

#include <glib.h>
#include <math.h>
#include <stdlib.h>

/* Shapes outside these are as good as these. */
#define SHAPE_LEAST 0.05
#define SHAPE_MOST  1e4
/* The spread that a pace is taken to have before it is known, and the weeks that this
 * counts for: three equal weeks do not make a clockwork. */
#define SHAPE_PRIOR       2.0
#define SHAPE_PRIOR_WEEKS 3.0
#define FITTED            2.0

enum {
    STEPS_MOST = 36, /* in which a simulation strides to the end */
};

void plan_smooth(int count, const double *y, double alpha, double *ret_smooth)
{
    ret_smooth[0] = count > 0 ? y[0] : 0;
    for (int i = 1; i <= count; i++)
        ret_smooth[i] =
            i == 1 ? y[0] : alpha * y[i - 1] + (1 - alpha) * ret_smooth[i - 1];
}

/* A history as its likelihood sees it. */
typedef struct tally {
    double mean, weights; /* weighted mean; sum of the weights */
    int most;             /* in a week */
    double *above;        /* above[j]: the weights of weeks with more than j; `most` */
} tally;

static tally tally_of(int count, const int *by_week, double discount, double mean,
                      double weights)
{
    tally self = { mean, weights, 0, NULL };
    for (int i = 0; i < count; i++)
        self.most = MAX(self.most, by_week[i]);
    self.above = g_new0(double, (gsize)self.most + 1);
    double weight = 1;
    for (int i = count - 1; i >= 0; i--, weight *= discount)
        if (by_week[i] > 0)
            self.above[by_week[i] - 1] += weight;
    for (int j = self.most - 2; j >= 0; j--)
        self.above[j] += self.above[j + 1];
    return self;
}

/* The derivative of the log likelihood by the shape, for the weighted mean (Bliss and
 * Fisher 1953, the equation for k): above 0 while the shape is too small. */
static double slope_at(const tally *weeks, double shape)
{
    double slope = -weeks->weights * log1p(weeks->mean / shape);
    for (int j = 0; j < weeks->most; j++)
        slope += weeks->above[j] / (shape + j);
    return slope;
}

static double fitted_shape(const tally *weeks)
{
    double least = log(SHAPE_LEAST), most = log(SHAPE_MOST);
    if (slope_at(weeks, SHAPE_MOST) > 0)
        return INFINITY; /* no more spread than Poisson's */
    for (int i = 0; i < 60; i++) {
        double middle = (least + most) / 2;
        if (slope_at(weeks, exp(middle)) > 0)
            least = middle;
        else
            most = middle;
    }
    return exp((least + most) / 2);
}

plan_pace plan_pace_fit(int count, const int *by_week, double discount)
{
    double weight = 1, weights = 0, squares = 0, sum = 0;
    for (int i = count - 1; i >= 0; i--, weight *= discount) {
        weights += weight;
        squares += weight * weight;
        sum += weight * by_week[i];
    }
    plan_pace pace = { 0, INFINITY, 0 };
    pace.weeks = count > 0 ? weights * weights / squares : 0;
    if (count == 0 || sum <= 0)
        return pace;
    pace.mean = sum / weights;
    tally weeks = tally_of(count, by_week, discount, pace.mean, weights);
    pace.shape = fitted_shape(&weeks);
    g_free(weeks.above);
    return pace;
}

/* G. Marsaglia, W. W. Tsang, "A simple method for generating gamma variables", ACM
 * Transactions on Mathematical Software 26, 2000; below shape 1 by a power of a uniform.
 */
static double draw_gamma(motley_random *random, double shape)
{
    if (shape < 1)
        return draw_gamma(random, shape + 1) *
               pow(1 - motley_random_unit(random), 1 / shape);
    double d = shape - 1.0 / 3, c = 1 / sqrt(9 * d);
    for (;;) {
        double x = motley_random_normal(random), v = 1 + c * x;
        if (v <= 0)
            continue;
        v = v * v * v;
        if (log(1 - motley_random_unit(random)) < 0.5 * x * x + d - d * v + d * log(v))
            return d * v;
    }
}

/* By multiplying uniforms (D. Knuth, The Art of Computer Programming 2, 3.4.1); where the
 * mean is large, by the normal distribution, which then is as good. */
static double draw_poisson(motley_random *random, double mean)
{
    if (mean > 60)
        return fmax(0, rint(mean + sqrt(mean) * motley_random_normal(random)));
    double limit = exp(-mean), product = 1 - motley_random_unit(random);
    int count = 0;
    while (product > limit) {
        product *= 1 - motley_random_unit(random);
        count++;
    }
    return count;
}

/* The shape of the weeks to come, the fitted one drawn towards the prior. */
static double shape_to_come(const plan_pace *pace)
{
    double known = isfinite(pace->shape) ? 1 / pace->shape : 0;
    known *= pace->weeks / fmax(pace->weeks - FITTED, 1);
    double spread = (known * pace->weeks + SHAPE_PRIOR_WEEKS / SHAPE_PRIOR) /
                    (pace->weeks + SHAPE_PRIOR_WEEKS);
    return fmin(1 / spread, SHAPE_MOST);
}

/* A mean that the history may have come from: gamma, with the variance of a mean of so
 * many weeks, less those that the fit of mean and shape itself has used up. */
static double draw_mean(motley_random *random, const plan_pace *pace, double shape)
{
    if (!(pace->mean > 0) || !(pace->weeks > 0)) /* nor where they are no numbers */
        return 0;
    double variance =
        (pace->mean + pace->mean * pace->mean / shape) / fmax(pace->weeks - FITTED, 1);
    double mean_shape = pace->mean * pace->mean / variance;
    if (!isfinite(mean_shape)) /* a mean whose square is past all numbers */
        return pace->mean;
    return pace->mean / mean_shape * draw_gamma(random, mean_shape);
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static plan_range range_of(double *weeks)
{
    qsort(weeks, PLAN_SIMULATIONS, sizeof weeks[0], compare);
    return (plan_range){ weeks[PLAN_SIMULATIONS / 10], weeks[PLAN_SIMULATIONS / 2],
                         weeks[PLAN_SIMULATIONS * 9 / 10] };
}

/* When the rates of the weeks add up to `due`. Rates over several weeks are gamma too, of
 * so many times the shape; within a stride time runs evenly. */
static double weeks_until(motley_random *random, double due, double mean, double shape)
{
    if (mean * PLAN_WEEKS_MAX < due / 4)
        return INFINITY;
    double stride = fmax(1, rint(due / mean / (STEPS_MOST / 1.5)));
    double sum = 0;
    for (double week = 0; week < PLAN_WEEKS_MAX; week += stride) {
        double more = mean / shape * draw_gamma(random, shape * stride);
        if (sum + more >= due)
            return fmin(week + stride * (due - sum) / more, PLAN_WEEKS_MAX);
        sum += more;
    }
    return INFINITY;
}

plan_range plan_forecast_done(const plan_pace *pace, int64_t left, uint64_t seed)
{
    if (left <= 0)
        return (plan_range){ 0, 0, 0 };
    double weeks[PLAN_SIMULATIONS], shape = shape_to_come(pace);
    motley_random random;
    motley_random_seed(&random, seed);
    for (int i = 0; i < PLAN_SIMULATIONS; i++) {
        double mean = draw_mean(&random, pace, shape);
        /* The last of `left` comes when the rates add up to a gamma of that shape: the
         * time of an event of a Poisson process. */
        weeks[i] = mean <= 0 ? INFINITY
                             : weeks_until(&random, draw_gamma(&random, (double)left),
                                           mean, shape);
    }
    return range_of(weeks);
}

/* What comes in so many weeks. */
static double draw_count(motley_random *random, double mean, double shape, double weeks)
{
    if (mean <= 0)
        return 0;
    return draw_poisson(random, mean / shape * draw_gamma(random, shape * weeks));
}

plan_range plan_forecast_short(double stock, const plan_pace *come, const plan_pace *go,
                               double each, int64_t most, uint64_t seed,
                               double *ret_never)
{
    double weeks[PLAN_SIMULATIONS];
    double come_shape = shape_to_come(come), go_shape = shape_to_come(go);
    motley_random random;
    motley_random_seed(&random, seed);
    int never = 0;
    /* Until the last is made, or for twenty years. */
    double horizon = go->mean > 0 ? fmin(2 * (double)most / go->mean + 8, PLAN_WEEKS_MAX)
                                  : PLAN_WEEKS_MAX;
    double stride = fmax(1, ceil(horizon / STEPS_MOST));
    for (int i = 0; i < PLAN_SIMULATIONS; i++) {
        double come_mean = draw_mean(&random, come, come_shape);
        double go_mean = draw_mean(&random, go, go_shape);
        double level = stock, gone = 0;
        weeks[i] = INFINITY;
        for (double week = 0; week < horizon && gone < (double)most; week += stride) {
            double before = level;
            double went =
                fmin(draw_count(&random, go_mean, go_shape, stride), (double)most - gone);
            gone += went;
            level += draw_count(&random, come_mean, come_shape, stride) - went * each;
            if (level < 0) {
                weeks[i] = week + stride * before / (before - level);
                break;
            }
        }
        never += isinf(weeks[i]);
    }
    *ret_never = (double)never / PLAN_SIMULATIONS;
    return range_of(weeks);
}
