#include "photo/pose-internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Rodrigues' formula: the turn by the vector w, before m. */
static void turn_before(const double w[static 3], const double m[3][3], double ret[3][3])
{
    double angle = sqrt(w[0] * w[0] + w[1] * w[1] + w[2] * w[2]);
    double a = angle < 1e-9 ? 1 : sin(angle) / angle;
    double b = angle < 1e-9 ? 0.5 : (1 - cos(angle)) / (angle * angle);
    double cross[3][3] = { { 0, -w[2], w[1] }, { w[2], 0, -w[0] }, { -w[1], w[0], 0 } };
    double turn[3][3];
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++) {
            double square = 0;
            for (int k = 0; k < 3; k++)
                square += cross[i][k] * cross[k][j];
            turn[i][j] = (i == j) + a * cross[i][j] + b * square;
        }
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++) {
            ret[i][j] = 0;
            for (int k = 0; k < 3; k++)
                ret[i][j] += turn[i][k] * m[k][j];
        }
}

fit_state fit_moved(const fit_state *state, const double *step)
{
    fit_state moved = *state;
    turn_before(step + FIT_TURN, state->turn, moved.turn);
    for (int i = FIT_PLACE; i < state->unknowns; i++)
        moved.value[i] += step[i];
    return moved;
}

/* How high a bowed card's paper stands above the table. Bowed up at its sides, its middle
 * lies on the table; bowed down, its sides do. The change between both is rounded off
 * over 0.004 in, so that the fit sees no kink. */
static double bow_lift(double rise)
{
    return 0.5 * (sqrt(rise * rise + 0.004 * 0.004) - rise) - 0.002;
}

fit_view fit_view_of(const fit_state *state)
{
    const double *value = state->value;
    double scale = exp(value[FIT_OTHER_SCALE]);
    fit_view view = {
        .centre_px = state->centre_px,
        .focal_px = exp(value[FIT_FOCAL]),
        .k1 = value[FIT_K1],
        .growth = value[FIT_GROWTH],
        .card = { { .cos = 1, .sin = 0, .bow = { value[FIT_BOW], value[FIT_BOW + 1] } },
                  { .x = value[FIT_OTHER_X],
                    .y = value[FIT_OTHER_Y],
                    .cos = scale * cos(value[FIT_OTHER_ANGLE]),
                    .sin = scale * sin(value[FIT_OTHER_ANGLE]),
                    .bow = { value[FIT_OTHER_BOW], value[FIT_OTHER_BOW + 1] } } },
    };
    for (int i = 0; i < 2; i++)
        view.card[i].lift = bow_lift(view.card[i].bow[0]) + bow_lift(view.card[i].bow[1]);
    memcpy(view.turn, state->turn, sizeof view.turn);
    memcpy(view.place, value + FIT_PLACE, sizeof view.place);
    return view;
}

bool fit_project(const fit_view *view, int other, photo_point on_in, photo_point *ret_px)
{
    const double half_w = 3.5, half_h = 2.5;
    double along = on_in.x / half_w, up = on_in.y / half_h;
    double z = view->card[other].bow[0] * along * along +
               view->card[other].bow[1] * up * up + view->card[other].lift;
    double x = view->card[other].x + view->card[other].cos * on_in.x -
               view->card[other].sin * on_in.y;
    double y = view->card[other].y + view->card[other].sin * on_in.x +
               view->card[other].cos * on_in.y;
    double at[3];
    for (int i = 0; i < 3; i++)
        at[i] = view->turn[i][0] * x + view->turn[i][1] * y + view->turn[i][2] * z +
                view->place[i];
    if (!(at[2] > 1e-6))
        return false;
    double u = at[0] / at[2], v = at[1] / at[2];
    double by = view->focal_px * (1 + view->k1 * (u * u + v * v));
    *ret_px = (photo_point){ view->centre_px.x + by * u, view->centre_px.y + by * v };
    return true;
}

static bool residual_of(const fit_view *view, const fit_sight *sight, double *ret)
{
    photo_point px;
    if (!fit_project(view, sight->other, sight->on_in, &px))
        return false;
    *ret = (sight->seen_px.x - px.x) * sight->normal.x +
           (sight->seen_px.y - px.y) * sight->normal.y - sight->growth * view->growth;
    return true;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The spread of the residuals by their median size (which is 0.6745 sigma of a normal
 * one), and Tukey's weights from it or from the least noise if that is more. */
static double weigh(const fit_state *state, int count, fit_sight *sights, double noise_px)
{
    g_autofree double *sizes = g_new(double, count), *sorted = g_new(double, count);
    fit_view view = fit_view_of(state);
    for (int i = 0; i < count; i++) {
        if (!residual_of(&view, &sights[i], &sizes[i]))
            return NAN;
        sorted[i] = sizes[i] = fabs(sizes[i]);
    }
    qsort(sorted, (size_t)count, sizeof sorted[0], by_value);
    double spread = sorted[count / 2] / 0.6745, taken = fmax(noise_px, spread);
    for (int i = 0; i < count; i++) {
        double u = sizes[i] / (4.685 * taken);
        sights[i].weight = u < 1 ? (1 - u * u) * (1 - u * u) : 0;
    }
    return spread;
}

/* The normal equations of sights of this spread, and the prior; cost infinite where a
 * point falls behind the camera. */
static void sum_up(const fit_state *state, const fit_prior *prior, int count,
                   const fit_sight *sights, double spread, solve_sums *sums)
{
    /* Steps for the differences that stand for derivatives: some 0.01 px each. */
    static const double tiny[FIT_UNKNOWNS] = { 1e-6, 1e-6, 1e-6, 1e-5, 1e-5, 1e-5,
                                               1e-6, 1e-5, 1e-3, 1e-4, 1e-4, 1e-4,
                                               1e-4, 1e-5, 1e-5, 1e-6, 1e-6 };
    fit_view view = fit_view_of(state), nudged[FIT_UNKNOWNS];
    int n = state->unknowns;
    for (int j = 0; j < n; j++) {
        double step[FIT_UNKNOWNS] = { 0 };
        step[j] = tiny[j];
        fit_state moved = fit_moved(state, step);
        nudged[j] = fit_view_of(&moved);
    }
    solve_sums_start(sums, n);
    for (int i = 0; i < count; i++) {
        if (sights[i].weight == 0)
            continue;
        double here, there, by[FIT_UNKNOWNS];
        bool seen = residual_of(&view, &sights[i], &here);
        for (int j = 0; j < n && seen; j++) {
            seen = residual_of(&nudged[j], &sights[i], &there);
            by[j] = (here - there) / tiny[j];
        }
        if (!seen) {
            sums->cost = INFINITY;
            return;
        }
        solve_sums_add(sums, by, here, sights[i].weight / (spread * spread));
    }
    for (int j = FIT_PLACE; j < n; j++) {
        if (!isfinite(prior->sd[j]))
            continue;
        double by[FIT_UNKNOWNS] = { 0 };
        by[j] = 1;
        solve_sums_add(sums, by, prior->mean[j] - state->value[j],
                       1 / (prior->sd[j] * prior->sd[j]));
    }
}

static double cost_of(const fit_state *state, const fit_prior *prior, int count,
                      const fit_sight *sights, double spread)
{
    double cost = 0, residual;
    fit_view view = fit_view_of(state);
    for (int i = 0; i < count; i++) {
        if (sights[i].weight == 0)
            continue;
        if (!residual_of(&view, &sights[i], &residual))
            return INFINITY;
        cost += sights[i].weight * residual * residual / (spread * spread);
    }
    for (int j = FIT_PLACE; j < state->unknowns; j++)
        if (isfinite(prior->sd[j]))
            cost += pow((prior->mean[j] - state->value[j]) / prior->sd[j], 2);
    return cost;
}

/* With weights and spread held. */
static void descend(fit_state *state, const fit_prior *prior, int count,
                    const fit_sight *sights, double spread, solve_sums *sums)
{
    double damping = 1e-6;
    for (int turn = 0; turn < 25; turn++) {
        double step[FIT_UNKNOWNS];
        sum_up(state, prior, count, sights, spread, sums);
        if (!isfinite(sums->cost))
            return;
        double before = sums->cost, after = INFINITY;
        while (damping < 1e6) {
            if (solve_sums_step(sums, damping, step)) {
                fit_state tried = fit_moved(state, step);
                after = cost_of(&tried, prior, count, sights, spread);
                if (after < before) {
                    *state = tried;
                    damping = fmax(1e-9, damping * 0.1);
                    break;
                }
            }
            damping = fmax(1e-6, damping * 10);
        }
        if (!(before - after > 1e-6 * before))
            return;
    }
}

double fit_run(fit_state *state, const fit_prior *prior, int count, fit_sight *sights,
               double noise_px, solve_sums *ret_sums)
{
    solve_sums sums;
    double spread = NAN;
    for (int round = 0; round < 3; round++) {
        spread = weigh(state, count, sights, noise_px);
        if (!isfinite(spread))
            return NAN;
        descend(state, prior, count, sights, fmax(noise_px, spread), &sums);
    }
    spread = weigh(state, count, sights, noise_px);
    if (isfinite(spread))
        sum_up(state, prior, count, sights, fmax(noise_px, spread), &sums);
    if (!isfinite(sums.cost))
        return NAN;
    if (ret_sums != NULL)
        *ret_sums = sums;
    return spread;
}
