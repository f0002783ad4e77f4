#include "colour/match.h"

#include "colour/emd.h"

#include <math.h>
#include <stdbool.h>

/* What to do by how far the nearest fabric is. */
typedef struct limits {
    double same_below, ask_below;
    double rival_margin; /* a second fabric this near makes it a question */
} limits;

/* Measured on pictures of the same and of other fabrics in different photos
 * (docs/figures/scraps-in-photos.md). */
static const limits limits_whole = { 4.5, 10, 1.5 };
static const limits limits_part = { 4.6, 8, 1.2 };
static const double group_limit = 4.2; /* on drawn cloth 4.5 links no other cloth yet */

/* What tells prints on like grounds apart is their small colours: shares count by this
 * power. Of 100 scraps seen again in other photos 95 then come first and 99 among three,
 * where plain shares give 93 and 98. */
static const double share_power = 0.6;

/*
 * What two pictures of cloth are compared by: the earth mover's distance between their
 * colours; how far the colours of the one lie from those of the other, each from its
 * nearest, since a small piece shows only some of the colours of a large print, and the
 * other way round; and their textures. The first three add up to 1.
 */
typedef struct mixture {
    double moved, part, part_back, texture;
} mixture;

/* Of whole scraps 98 in 100 then have their fabric first; by colours moved alone 95. */
static const mixture mixture_whole = { 0.4, 0.3, 0.3, 6 };

/* Of 157 patches 96 in 100 then have their fabric first and all among three; by colours
 * moved alone 94 and 99. */
static const mixture mixture_part = { 0.7, 0.3, 0, 0 };

static colour_signature even_out(const colour_signature *signature)
{
    colour_signature out = *signature;
    double sum = 0;
    for (int i = 0; i < out.count; i++)
        sum += out.share[i] = pow(out.share[i], share_power);
    for (int i = 0; i < out.count; i++)
        out.share[i] /= sum;
    return out;
}

/* At least this far are two colours apart by colour_distance(): the lightness term of
 * CIEDE2000 with kL = 2 alone, whose other terms, y^2 + z^2 + R_T y z with |R_T| < 2, are
 * never negative. */
static double least_by_lightness(double l, double other)
{
    double off = ((l + other) / 2 - 50) * ((l + other) / 2 - 50);
    double d = fabs(l - other) / (2 * (1 + 0.015 * off / sqrt(20 + off)));
    return COLOUR_DISTANCE_MAX * (1 - exp(-d / COLOUR_DISTANCE_MAX));
}

/* The costs of one colour against all of another signature; returns the least. */
static double cost_row(const colour_lab *lab, const colour_signature *other,
                       double cost[static COLOUR_SIGNATURE_MAX])
{
    double least = COLOUR_DISTANCE_MAX;
    for (int j = 0; j < other->count; j++) {
        cost[j] = colour_distance(lab, &other->lab[j]);
        least = fmin(least, cost[j]);
    }
    return least;
}

/*
 * The distance by a mixture, or infinity as soon as it is sure to lie above limit.
 *
 * All that is moved goes at least to the nearest colour, so the part distance bounds the
 * earth mover's from below; and each colour's share in it is bounded in turn by lightness
 * alone, until its row of costs is known.
 *
 * @asked  its shares are evened out
 * @known  as it is kept
 */
static double mixed_distance(const mixture *by, const colour_signature *asked,
                             const colour_signature *known, double limit)
{
    double least[COLOUR_SIGNATURE_MAX], cost[COLOUR_SIGNATURE_MAX * COLOUR_SIGNATURE_MAX];
    double texture =
        by->texture * colour_texture_distance(&asked->texture, &known->texture);
    double sure = by->moved + by->part, bound = texture;
    for (int i = 0; i < asked->count; i++) {
        least[i] = COLOUR_DISTANCE_MAX;
        for (int j = 0; j < known->count; j++)
            least[i] =
                fmin(least[i], least_by_lightness(asked->lab[i].l, known->lab[j].l));
        bound += sure * asked->share[i] * least[i];
    }
    for (int i = 0; i < asked->count; i++) {
        if (bound > limit)
            return INFINITY;
        double found = cost_row(&asked->lab[i], known, cost + i * known->count);
        bound += sure * asked->share[i] * (found - least[i]);
        least[i] = found;
    }
    if (bound > limit)
        return INFINITY;

    const colour_signature even = even_out(known);
    double part = 0, back = 0;
    for (int i = 0; i < asked->count; i++)
        part += asked->share[i] * least[i];
    for (int j = 0; j < even.count; j++) {
        double nearest = COLOUR_DISTANCE_MAX;
        for (int i = 0; i < asked->count; i++)
            nearest = fmin(nearest, cost[i * even.count + j]);
        back += even.share[j] * nearest;
    }
    double moved = colour_emd(asked->count, even.count, asked->share, even.share, cost);
    return by->moved * moved + by->part * part + by->part_back * back + texture;
}

double colour_match_distance(const colour_signature *a, const colour_signature *b)
{
    if (a->count == 0 || b->count == 0)
        return COLOUR_DISTANCE_MAX +
               mixture_whole.texture * colour_texture_distance(&a->texture, &b->texture);
    const colour_signature asked = even_out(a);
    return mixed_distance(&mixture_whole, &asked, b, INFINITY);
}

typedef struct candidate {
    int64_t fabric;
    double distance;
} candidate;

/* Keeps the nearest three fabrics in order, each once. */
static void offer(candidate best[static COLOUR_LIKELY_MAX], int *count, candidate x)
{
    int at = *count;
    for (int i = 0; i < *count; i++) {
        if (best[i].fabric == x.fabric) {
            if (best[i].distance <= x.distance)
                return;
            at = i;
            break;
        }
    }
    if (at == COLOUR_LIKELY_MAX) {
        at--;
        if (best[at].distance <= x.distance)
            return;
    } else if (at == *count) {
        (*count)++;
    }
    for (; at > 0 && best[at - 1].distance > x.distance; at--)
        best[at] = best[at - 1];
    best[at] = x;
}

static void judge(const limits *by, int count, const candidate best[],
                  colour_match *ret_match)
{
    colour_match match = { .count = count, .verdict = COLOUR_NEW };
    for (int i = 0; i < count; i++) {
        match.likely[i].fabric = best[i].fabric;
        match.likely[i].alike = fmax(0, 1 - best[i].distance / COLOUR_DISTANCE_MAX);
    }
    if (count > 0 && best[0].distance < by->ask_below) {
        int rival = count > 1 && best[1].distance < best[0].distance + by->rival_margin;
        match.verdict =
            best[0].distance < by->same_below && !rival ? COLOUR_SAME : COLOUR_ASK;
    }
    *ret_match = match;
}

static void find(const mixture *by, const limits *verdict, const colour_signature *query,
                 int n, const colour_reference *references, colour_match *ret_match)
{
    candidate best[COLOUR_LIKELY_MAX];
    int count = 0;
    const colour_signature asked = even_out(query);
    for (int i = 0; i < n && query->count > 0; i++) {
        if (references[i].signature.count == 0)
            continue;
        /* a rounding error of the bound may not decide */
        double limit = count < COLOUR_LIKELY_MAX
                           ? INFINITY
                           : best[COLOUR_LIKELY_MAX - 1].distance + 1e-6;
        double d = mixed_distance(by, &asked, &references[i].signature, limit);
        if (d < INFINITY)
            offer(best, &count, (candidate){ references[i].fabric, d });
    }
    judge(verdict, count, best, ret_match);
}

void colour_match_find(const colour_signature *query, int n,
                       const colour_reference *references, colour_match *ret_match)
{
    find(&mixture_whole, &limits_whole, query, n, references, ret_match);
}

void colour_match_find_part(const colour_signature *query, int n,
                            const colour_reference *references, colour_match *ret_match)
{
    find(&mixture_part, &limits_part, query, n, references, ret_match);
}

/* Patches of blocks have no texture: then by colours, on the scale of the limit above,
 * for which 2.5 in colour_signature_distance() links no other cloth in one photo. */
static double group_distance(const colour_signature *a, const colour_signature *b)
{
    bool by_print = a->texture.light[0] != 0 && b->texture.light[0] != 0;
    return by_print ? colour_match_distance(a, b)
                    : group_limit / 2.5 * colour_signature_distance(a, b);
}

int colour_group(int n, const colour_signature *signatures, double limit,
                 double *distance, int *group)
{
    if (!(limit > 0))
        limit = group_limit;
    for (int i = 0; i < n; i++) {
        group[i] = i;
        distance[i * n + i] = 0;
        for (int j = 0; j < i; j++)
            distance[i * n + j] = distance[j * n + i] =
                group_distance(&signatures[i], &signatures[j]);
    }

    /* A group is named by its first scrap, whose row holds the mean distances to other
     * groups; the size of the group is kept on the diagonal, below zero. */
    for (int i = 0; i < n; i++)
        distance[i * n + i] = -1;
    for (;;) {
        int a = -1, b = -1;
        double least = limit;
        for (int i = 0; i < n; i++) {
            for (int j = i + 1; j < n; j++) {
                if (group[i] == i && group[j] == j && distance[i * n + j] < least) {
                    least = distance[i * n + j];
                    a = i;
                    b = j;
                }
            }
        }
        if (a < 0)
            break;
        double p = -distance[a * n + a], q = -distance[b * n + b];
        for (int k = 0; k < n; k++)
            if (group[k] == k && k != a && k != b)
                distance[a * n + k] = distance[k * n + a] =
                    (p * distance[a * n + k] + q * distance[b * n + k]) / (p + q);
        distance[a * n + a] = -(p + q);
        for (int k = 0; k < n; k++)
            if (group[k] == b)
                group[k] = a;
    }

    int groups = 0;
    for (int i = 0; i < n; i++)
        group[i] = group[i] == i ? groups++ : group[group[i]];
    return groups;
}
