#include "colour/signature.h"

#include "colour/ciede2000.h"
#include "colour/emd.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { K = COLOUR_SIGNATURE_MAX, ROUNDS = 12 };

static const double merge_distance = 4;
static const double merge_share = 0.01;

/* Levels an e-fold; 255 is then a difference of 220, more than black from white. */
static const double levels = 43;

/* 0.3 and 1 know fabrics as well; photos of half the size are known by it all the same.
 */
static const double noise = 0.6;

/* Levels a unit: of a logarithm that seldom passes 1, of a share. */
static const double sparse_levels = 150, crossed_levels = 250;

/* What the others weigh beside light and chroma, and what each kind is between two
 * pictures of the same cloth, at the median. Chosen on drawn cloth, not on the photos
 * that tests/photo/score_photos.c is given (docs/figures/scraps-in-photos.md). */
static const double sparse_weight = 1.7, crossed_weight = 2.7;
static const double usual_change = 0.15, usual_sparse = 0.03, usual_crossed = 0.01;

uint8_t colour_texture_level(double rms)
{
    return (uint8_t)fmin(255, 1 + round(levels * log1p(fmax(0, rms) / noise)));
}

uint8_t colour_sparse_level(double rms, double mean)
{
    double ratio = (fmax(0, rms) + noise) / (fmax(0, mean) + noise);
    return (uint8_t)fmin(255, 1 + round(sparse_levels * log(fmax(1, ratio))));
}

uint8_t colour_crossed_level(int directions, const double squares[static directions])
{
    double re = 0, im = 0, sum = directions * noise * noise;
    for (int k = 0; k < directions; k++) {
        double turn = 4 * M_PI * k / directions;
        re += squares[k] * cos(turn);
        im += squares[k] * sin(turn);
        sum += squares[k];
    }
    return (uint8_t)fmin(255, 1 + round(crossed_levels * hypot(re, im) / sum));
}

/* Sums up how far levels are apart where both are known. */
static void compare(const uint8_t a[static COLOUR_TEXTURE_STEPS],
                    const uint8_t b[static COLOUR_TEXTURE_STEPS], int *sum, int *known)
{
    for (int i = 0; i < COLOUR_TEXTURE_STEPS; i++)
        if (a[i] != 0 && b[i] != 0) {
            *sum += abs(a[i] - b[i]);
            ++*known;
        }
}

static double mean_or(double usual, int sum, int known, double per_unit)
{
    return known == 0 ? usual : sum / (per_unit * known);
}

double colour_texture_distance(const colour_texture *a, const colour_texture *b)
{
    int sum[3] = { 0 }, known[3] = { 0 };
    compare(a->light, b->light, &sum[0], &known[0]);
    compare(a->chroma, b->chroma, &sum[0], &known[0]);
    compare(a->sparse, b->sparse, &sum[1], &known[1]);
    compare(a->crossed, b->crossed, &sum[2], &known[2]);
    return mean_or(usual_change, sum[0], known[0], levels) +
           sparse_weight * mean_or(usual_sparse, sum[1], known[1], sparse_levels) +
           crossed_weight * mean_or(usual_crossed, sum[2], known[2], crossed_levels);
}

double colour_distance(const colour_lab *a, const colour_lab *b)
{
    double d = colour_ciede2000_kl(a, b, 2);
    return COLOUR_DISTANCE_MAX * (1 - exp(-d / COLOUR_DISTANCE_MAX));
}

double colour_signature_distance(const colour_signature *a, const colour_signature *b)
{
    if (a->count == 0 || b->count == 0)
        return COLOUR_DISTANCE_MAX;

    double cost[K * K];
    for (int i = 0; i < a->count; i++)
        for (int j = 0; j < b->count; j++)
            cost[i * b->count + j] = colour_distance(&a->lab[i], &b->lab[j]);
    return colour_emd(a->count, b->count, a->share, b->share, cost);
}

double colour_alike(const colour_signature *a, const colour_signature *b)
{
    return fmax(0, 1 - colour_signature_distance(a, b) / COLOUR_DISTANCE_MAX);
}

colour_lab colour_signature_mean(const colour_signature *signature)
{
    colour_lab mean = { 0, 0, 0 };
    for (int i = 0; i < signature->count; i++) {
        mean.l += signature->share[i] * signature->lab[i].l;
        mean.a += signature->share[i] * signature->lab[i].a;
        mean.b += signature->share[i] * signature->lab[i].b;
    }
    return mean;
}

/* Sums over the pixels of one centre: enough for its mean and covariance. */
typedef struct moments {
    double n, x[3], xx[3][3];
} moments;

static void gather(size_t count, const float *lab, const uint8_t *group, int k,
                   moments into[static K])
{
    memset(into, 0, sizeof into[0] * (size_t)k);
    for (size_t p = 0; p < count; p++) {
        moments *m = &into[group[p]];
        m->n++;
        for (int i = 0; i < 3; i++) {
            double v = lab[3 * p + i];
            m->x[i] += v;
            for (int j = 0; j <= i; j++)
                m->xx[i][j] += v * lab[3 * p + j];
        }
    }
}

/* The spread of a cluster along its longest axis (n times the variance), by a few rounds
 * of power iteration; axis has unit length. */
static double longest_axis(const moments *m, double axis[static 3])
{
    double c[3][3];
    int widest = 0;
    for (int i = 0; i < 3; i++)
        for (int j = 0; j <= i; j++)
            c[i][j] = c[j][i] = m->xx[i][j] - m->x[i] * m->x[j] / m->n;
    for (int i = 1; i < 3; i++)
        if (c[i][i] > c[widest][widest])
            widest = i;
    for (int i = 0; i < 3; i++)
        axis[i] = c[i][widest];

    double size = 0;
    for (int round = 0; round < 12; round++) {
        double next[3];
        for (int i = 0; i < 3; i++)
            next[i] = c[i][0] * axis[0] + c[i][1] * axis[1] + c[i][2] * axis[2];
        size = sqrt(next[0] * next[0] + next[1] * next[1] + next[2] * next[2]);
        if (!(size > 1e-9))
            return 0;
        for (int i = 0; i < 3; i++)
            axis[i] = next[i] / size;
    }
    return size;
}

/* Divides the widest cluster by the plane through its mean. False when none has any
 * width, that is when fewer colours than centres occur. */
static int split_widest(size_t count, const float *lab, uint8_t *group, int k,
                        const moments from[static K])
{
    double best = 1e-6, best_axis[3] = { 0 };
    int widest = -1;
    for (int i = 0; i < k; i++) {
        double axis[3] = { 0 };
        double spread = from[i].n > 1 ? longest_axis(&from[i], axis) : 0;
        if (spread > best) {
            best = spread;
            widest = i;
            memcpy(best_axis, axis, sizeof axis);
        }
    }
    if (widest < 0)
        return 0;

    const moments *m = &from[widest];
    double at = 0;
    for (int i = 0; i < 3; i++)
        at += best_axis[i] * m->x[i] / m->n;
    for (size_t p = 0; p < count; p++)
        if (group[p] == widest && best_axis[0] * lab[3 * p] +
                                          best_axis[1] * lab[3 * p + 1] +
                                          best_axis[2] * lab[3 * p + 2] >
                                      at)
            group[p] = (uint8_t)k;
    return 1;
}

/* Lloyd's rounds: each pixel to its nearest mean, until none moves. */
static void settle(size_t count, const float *lab, uint8_t *group, int k,
                   moments sums[static K])
{
    for (int round = 0; round < ROUNDS; round++) {
        float mean[K][3];
        gather(count, lab, group, k, sums);
        for (int c = 0; c < k; c++)
            for (int i = 0; i < 3; i++) /* an empty centre is moved out of reach */
                mean[c][i] = sums[c].n > 0 ? (float)(sums[c].x[i] / sums[c].n) : 1e6f;
        size_t moved = 0;
        for (size_t p = 0; p < count; p++) {
            const float *x = &lab[3 * p];
            float least = INFINITY;
            uint8_t nearest = 0;
            for (int c = 0; c < k; c++) {
                float l = x[0] - mean[c][0], a = x[1] - mean[c][1], b = x[2] - mean[c][2];
                float d = l * l + a * a + b * b;
                if (d < least) {
                    least = d;
                    nearest = (uint8_t)c;
                }
            }
            moved += group[p] != nearest;
            group[p] = nearest;
        }
        if (moved * 1000 <= count)
            break;
    }
    gather(count, lab, group, k, sums);
}

static void remove_colour(colour_signature *s, int which)
{
    for (int i = which + 1; i < s->count; i++) {
        s->lab[i - 1] = s->lab[i];
        s->share[i - 1] = s->share[i];
    }
    s->count--;
}

static void merge_into(colour_signature *s, int keep, int gone)
{
    double p = s->share[keep], q = s->share[gone], sum = p + q;
    s->lab[keep].l = (p * s->lab[keep].l + q * s->lab[gone].l) / sum;
    s->lab[keep].a = (p * s->lab[keep].a + q * s->lab[gone].a) / sum;
    s->lab[keep].b = (p * s->lab[keep].b + q * s->lab[gone].b) / sum;
    s->share[keep] = sum;
    remove_colour(s, gone);
}

/* Merges the closest pair while it is too close or one of it too small. */
static void merge_near(colour_signature *s)
{
    for (;;) {
        int keep = -1, gone = -1;
        double least = INFINITY;
        for (int i = 0; i < s->count; i++) {
            for (int j = 0; j < s->count; j++) {
                if (i == j || s->share[j] > s->share[i] ||
                    (s->share[j] == s->share[i] && j < i))
                    continue;
                double d = colour_delta_e76(&s->lab[i], &s->lab[j]);
                if ((d < merge_distance || s->share[j] < merge_share) && d < least) {
                    least = d;
                    keep = i;
                    gone = j;
                }
            }
        }
        if (keep < 0)
            return;
        merge_into(s, keep, gone);
    }
}

static void largest_first(colour_signature *s)
{
    for (int i = 1; i < s->count; i++) {
        for (int j = i; j > 0 && s->share[j] > s->share[j - 1]; j--) {
            colour_lab lab = s->lab[j];
            double share = s->share[j];
            s->lab[j] = s->lab[j - 1];
            s->share[j] = s->share[j - 1];
            s->lab[j - 1] = lab;
            s->share[j - 1] = share;
        }
    }
}

void colour_signature_from_pixels(size_t count, const float *lab, uint8_t *group,
                                  colour_signature *ret_signature)
{
    colour_signature s = { .count = 0 };
    if (count == 0) {
        *ret_signature = s;
        return;
    }

    memset(group, 0, count);
    moments sums[K];
    int k = 1;
    gather(count, lab, group, k, sums);
    while (k < K && split_widest(count, lab, group, k, sums)) {
        k++;
        settle(count, lab, group, k, sums);
    }

    for (int c = 0; c < k; c++) {
        if (!(sums[c].n > 0))
            continue;
        s.lab[s.count] = (colour_lab){ sums[c].x[0] / sums[c].n, sums[c].x[1] / sums[c].n,
                                       sums[c].x[2] / sums[c].n };
        s.share[s.count++] = sums[c].n / (double)count;
    }
    merge_near(&s);
    largest_first(&s);
    *ret_signature = s;
}
