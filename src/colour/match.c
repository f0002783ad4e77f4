#include "colour/match.h"

#include <math.h>

/* Measured on pictures of the same and of other fabrics in different photos. */
static const double same_below = 4.6;
static const double ask_below = 8;
static const double rival_margin =
    1.2; /* a second fabric this near makes it a question */
static const double group_limit =
    2.5; /* one photo, one light: far tighter than same_below */

/* What tells prints on like grounds apart is their small colours: shares count by this
 * power. Of 100 scraps seen again in other photos 95 then come first and 99 among three,
 * where plain shares give 93 and 98. */
static const double share_power = 0.6;

/* Of 157 patches 96 in 100 then have their fabric first and all among three; without it
 * 94 and 99. For whole scraps it does harm. */
static const double part_weight_of_patch = 0.3;

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

/* How far the colours of a part lie from those of the whole, each from its nearest: a
 * large print shows only some of them in a small piece. */
static double part_distance(const colour_signature *part, const colour_signature *whole)
{
    double sum = 0;
    for (int i = 0; i < part->count; i++) {
        double least = COLOUR_DISTANCE_MAX;
        for (int j = 0; j < whole->count; j++)
            least = fmin(least, colour_distance(&part->lab[i], &whole->lab[j]));
        sum += part->share[i] * least;
    }
    return sum;
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

static void find(const colour_signature *query, double part_weight, int n,
                 const colour_reference *references, colour_match *ret_match)
{
    candidate best[COLOUR_LIKELY_MAX];
    int count = 0;
    const colour_signature asked = even_out(query);
    for (int i = 0; i < n; i++) {
        if (query->count == 0 || references[i].signature.count == 0)
            continue;
        const colour_signature known = even_out(&references[i].signature);
        double distance = (1 - part_weight) * colour_signature_distance(&asked, &known);
        if (part_weight > 0)
            distance += part_weight * part_distance(&asked, &known);
        offer(best, &count, (candidate){ references[i].fabric, distance });
    }

    colour_match match = { .count = count, .verdict = COLOUR_NEW };
    for (int i = 0; i < count; i++) {
        match.likely[i].fabric = best[i].fabric;
        match.likely[i].alike = fmax(0, 1 - best[i].distance / COLOUR_DISTANCE_MAX);
    }
    if (count > 0 && best[0].distance < ask_below) {
        int rival = count > 1 && best[1].distance < best[0].distance + rival_margin;
        match.verdict =
            best[0].distance < same_below && !rival ? COLOUR_SAME : COLOUR_ASK;
    }
    *ret_match = match;
}

void colour_match_find(const colour_signature *query, int n,
                       const colour_reference *references, colour_match *ret_match)
{
    find(query, 0, n, references, ret_match);
}

void colour_match_find_part(const colour_signature *query, int n,
                            const colour_reference *references, colour_match *ret_match)
{
    find(query, part_weight_of_patch, n, references, ret_match);
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
                colour_signature_distance(&signatures[i], &signatures[j]);
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
