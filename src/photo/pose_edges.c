#include "photo/pose-internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PROFILE_MAX = 65, POINTS_AN_EDGE = 4 };

/* Light of the loaded picture between its pixel centres, linear; NAN off it. */
static double light_at(const photo_picture *picture, const float linear[static 256],
                       double x, double y)
{
    x -= 0.5;
    y -= 0.5;
    if (!(x >= 0 && y >= 0 && x < picture->columns - 1 && y < picture->rows - 1))
        return NAN;
    int c = (int)x, r = (int)y;
    double fx = x - c, fy = y - r, light[2][2];
    const uint8_t *p =
        picture->rgb + ((size_t)r * (size_t)picture->columns + (size_t)c) * 3;
    for (int i = 0; i < 2; i++, p += 3 * (size_t)picture->columns)
        for (int j = 0; j < 2; j++)
            light[i][j] = 0.25 * (double)linear[p[3 * j]] +
                          0.65 * (double)linear[p[3 * j + 1]] +
                          0.1 * (double)linear[p[3 * j + 2]];
    return (light[0][0] * (1 - fx) + light[0][1] * fx) * (1 - fy) +
           (light[1][0] * (1 - fx) + light[1][1] * fx) * fy;
}

/* The edge along a normal through at: where the light rises, by the centroid of its
 * gradient, and how widely (variance). False where it does not rise clearly. */
static bool find_rise(const photo_picture *picture, const float linear[static 256],
                      photo_point at, photo_point normal, double reach,
                      double *ret_offset, double *ret_variance)
{
    const double step = 0.5;
    int half = (int)ceil(reach / step);
    if (half > PROFILE_MAX / 2)
        half = PROFILE_MAX / 2;
    double light[PROFILE_MAX] = { 0 };
    for (int i = 0; i <= 2 * half; i++) {
        double along = (i - half) * step;
        light[i] =
            light_at(picture, linear, at.x + along * normal.x, at.y + along * normal.y);
        if (isnan(light[i]))
            return false;
    }
    double rise = light[2 * half] - light[0], first = 0, second = 0, path = 0;
    for (int i = 1; i <= 2 * half; i++) {
        double gradient = light[i] - light[i - 1], along = (i - half - 0.5) * step;
        first += gradient * along;
        second += gradient * along * along;
        path += fabs(gradient);
    }
    /* A clean edge goes up and hardly ever down again. */
    if (!(rise > 0.03) || rise < 0.6 * path)
        return false;
    *ret_offset = first / rise;
    *ret_variance = second / rise - *ret_offset * *ret_offset;
    return fabs(*ret_offset) < 0.7 * reach;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* One edge between two cells, by its ends and the direction towards the white. */
typedef struct cell_edge {
    photo_point from, to, white;
} cell_edge;

/* The edges of a tag where black meets white, in its card's frame. */
static int list_edges(int id, cell_edge edges[static 2 * 9 * 8])
{
    length x, y;
    card_tag_centre(id, &x, &y);
    double cell = length_to_inches(CARD_TAG_CELL);
    double left = length_to_inches(x) - cell * CARD_TAG_CELLS / 2;
    double top = length_to_inches(y) + cell * CARD_TAG_CELLS / 2;
    int count = 0;
    for (int line = 0; line <= CARD_TAG_CELLS; line++)
        for (int along = 0; along < CARD_TAG_CELLS; along++) {
            bool before = card_tag_black(id, line - 1, along),
                 after = card_tag_black(id, line, along);
            if (before != after)
                edges[count++] =
                    (cell_edge){ { left + line * cell, top - along * cell },
                                 { left + line * cell, top - (along + 1) * cell },
                                 { before ? 1 : -1, 0 } };
            before = card_tag_black(id, along, line - 1);
            after = card_tag_black(id, along, line);
            if (before != after)
                edges[count++] =
                    (cell_edge){ { left + along * cell, top - line * cell },
                                 { left + (along + 1) * cell, top - line * cell },
                                 { 0, before ? -1 : 1 } };
        }
    return count;
}

int fit_measure_edges(const photo_picture *picture, const photo_tags *tags,
                      const fit_state *state, int first_id, double reach_px,
                      fit_sight *sights, double *ret_blur_px)
{
    g_autofree double *variances = g_new(double, FIT_SIGHTS_MAX);
    float linear[256];
    for (int i = 0; i < 256; i++) {
        double v = i / 255.0;
        linear[i] = (float)(v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4));
    }
    const double cell = length_to_inches(CARD_TAG_CELL), nudge = 0.1 * cell;
    fit_view view = fit_view_of(state);
    int count = 0;
    for (int t = 0; t < tags->count; t++) {
        cell_edge edges[2 * 9 * 8];
        int id = tags->tag[t].id, other = id / CARD_TAGS * CARD_TAGS != first_id;
        int edge_count = list_edges(id, edges);
        for (int i = 0; i < edge_count * POINTS_AN_EDGE && count < FIT_SIGHTS_MAX; i++) {
            const cell_edge *edge = &edges[i / POINTS_AN_EDGE];
            double share = (i % POINTS_AN_EDGE + 1.0) / (POINTS_AN_EDGE + 1);
            photo_point on = { edge->from.x + share * (edge->to.x - edge->from.x),
                               edge->from.y + share * (edge->to.y - edge->from.y) };
            photo_point here, whiter, along;
            if (!fit_project(&view, other, on, &here) ||
                !fit_project(&view, other,
                             (photo_point){ on.x + nudge * edge->white.x,
                                            on.y + nudge * edge->white.y },
                             &whiter) ||
                !fit_project(&view, other,
                             (photo_point){ on.x + nudge * edge->white.y,
                                            on.y + nudge * edge->white.x },
                             &along))
                continue;
            /* The normal stands square on the edge as it is seen, which is not the way
             * the card's own normal is seen. */
            double dx = along.x - here.x, dy = along.y - here.y, norm = hypot(dx, dy);
            photo_point normal = { -dy / norm, dx / norm };
            double across =
                (whiter.x - here.x) * normal.x + (whiter.y - here.y) * normal.y;
            if (across < 0)
                normal = (photo_point){ -normal.x, -normal.y };
            /* No farther than the middle of the cells on both sides. */
            double reach = fmin(reach_px, 0.5 * fabs(across) / 0.1);
            double offset, variance;
            if (!find_rise(picture, linear, here, normal, reach, &offset, &variance))
                continue;
            variances[count] = variance;
            sights[count++] = (fit_sight){ .other = other,
                                           .on_in = on,
                                           .seen_px = { here.x + offset * normal.x,
                                                        here.y + offset * normal.y },
                                           .normal = normal,
                                           .growth = 1,
                                           .weight = 1 };
        }
    }
    *ret_blur_px = 0;
    if (count > 0) {
        qsort(variances, (size_t)count, sizeof variances[0], by_value);
        *ret_blur_px = sqrt(fmax(0, variances[count / 2]));
    }
    return count;
}
