/* drawn.h: plans painted from polygons whose areas are known exactly, without a camera.
 */
#pragma once

#include "base/card.h"
#include "base/random.h"
#include "photo/find.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { DRAWN_FINE = 4 }; /* samples a pixel and way: edges are blended as a lens does */

/** A plan of a bare surface with a card in the middle, in linear light. */
static photo_plan *drawn_new(int width_in, int height_in, const double surface[static 3])
{
    photo_plan *plan = g_new0(photo_plan, 1);
    plan->pixels_per_in = PHOTO_PLAN_PER_IN;
    plan->width = width_in * PHOTO_PLAN_PER_IN;
    plan->height = height_in * PHOTO_PLAN_PER_IN;
    plan->left_in = -width_in / 2.0;
    plan->top_in = height_in / 2.0;
    size_t pixels = (size_t)plan->width * (size_t)plan->height;
    plan->rgb = g_new(float, pixels * 3);
    plan->covered = g_malloc(pixels);
    memset(plan->covered, 1, pixels);
    for (size_t i = 0; i < pixels * 3; i++)
        plan->rgb[i] = (float)surface[i % 3];
    for (int i = 0; i < 3; i++)
        plan->paper_rgb[i] = 0.85;
    plan->card_count = 1;
    plan->card[0].tags = 4;
    static const double corner[4][2] = {
        { -3.5, 2.5 }, { 3.5, 2.5 }, { 3.5, -2.5 }, { -3.5, -2.5 }
    };
    for (int i = 0; i < 4; i++)
        plan->card[0].corners_in[i] = (photo_point){ corner[i][0], corner[i][1] };
    return plan;
}

/** Paints a polygon given in table inches; cloth gives the colour at a place of it. */
static void drawn_polygon(photo_plan *plan, int n, const double (*p)[2],
                          void (*cloth)(double x, double y, const void *data,
                                        double rgb[static 3]),
                          const void *data)
{
    double x0 = INFINITY, x1 = -INFINITY, y0 = INFINITY, y1 = -INFINITY;
    for (int i = 0; i < n; i++) {
        double c, r;
        photo_plan_from_table(plan, p[i][0], p[i][1], &c, &r);
        x0 = fmin(x0, c), x1 = fmax(x1, c), y0 = fmin(y0, r), y1 = fmax(y1, r);
    }
    for (int y = MAX(0, (int)y0); y < MIN(plan->height, (int)ceil(y1)); y++) {
        for (int x = MAX(0, (int)x0); x < MIN(plan->width, (int)ceil(x1)); x++) {
            int in = 0;
            double tx, ty;
            for (int s = 0; s < DRAWN_FINE * DRAWN_FINE; s++) {
                photo_plan_to_table(plan, x + (s % DRAWN_FINE + 0.5) / DRAWN_FINE,
                                    y + (s / DRAWN_FINE + 0.5) / DRAWN_FINE, &tx, &ty);
                bool odd = false;
                for (int i = 0, j = n - 1; i < n; j = i++)
                    if ((p[i][1] > ty) != (p[j][1] > ty) &&
                        tx < p[i][0] + (ty - p[i][1]) / (p[j][1] - p[i][1]) *
                                           (p[j][0] - p[i][0]))
                        odd = !odd;
                in += odd;
            }
            if (in == 0)
                continue;
            double rgb[3], share = (double)in / (DRAWN_FINE * DRAWN_FINE);
            photo_plan_to_table(plan, x + 0.5, y + 0.5, &tx, &ty);
            cloth(tx, ty, data, rgb);
            float *at = plan->rgb + 3 * ((size_t)y * (size_t)plan->width + (size_t)x);
            for (int k = 0; k < 3; k++)
                at[k] = (float)(at[k] * (1 - share) + rgb[k] * share);
        }
    }
}

/** A plain cloth; data is its colour. */
static void drawn_plain(double x, double y, const void *data, double rgb[static 3])
{
    (void)x;
    (void)y;
    memcpy(rgb, data, 3 * sizeof(double));
}

/** Blurs as a lens (binomial, 1 px), then adds noise as a sensor: last of all. */
static void drawn_expose(photo_plan *plan, motley_random *random, double noise)
{
    size_t n = (size_t)plan->width * 3, all = n * (size_t)plan->height;
    float *soft = g_new(float, all);
    for (size_t i = 0; i < all; i++) {
        size_t x = i % n, y = i / n;
        float sum = 2 * plan->rgb[i];
        sum += x >= 3 ? plan->rgb[i - 3] : plan->rgb[i];
        sum += x + 3 < n ? plan->rgb[i + 3] : plan->rgb[i];
        (void)y;
        soft[i] = sum / 4;
    }
    for (size_t i = 0; i < all; i++) {
        float up = i >= n ? soft[i - n] : soft[i],
              down = i + n < all ? soft[i + n] : soft[i];
        float light = (2 * soft[i] + up + down) / 4;
        /* shot noise grows with the root of the light */
        light += (float)(noise * sqrt(fmax(0.01, light)) * motley_random_normal(random));
        plan->rgb[i] = fmaxf(0, light);
    }
    g_free(soft);
}
