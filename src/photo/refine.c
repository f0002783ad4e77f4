#include "photo/pieces-internal.h"

#include "colour/lab.h"
#include "photo/parallel-internal.h"

#include <math.h>
#include <string.h>

/* Measured on rendered photos, tests/photo/score_photos.c. */
static const double inward_in = 0.1,
                    outward_in = 0.08; /* the band that is decided anew */
static const float cap = 20;           /* colours further off than this are just other */
static const float trust =
    1.5f; /* in what was decided before, where colours cannot tell */
static const float deepest_shade = 0.7f; /* cube root of the light left under an edge */
static const float shade_weight = 0.25f; /* darker alone says little beside an edge */
static const double crumb_px = 1.5;

enum { COLOURS = 8, SAMPLE_MAX = 1500, ROUNDS = 6 };

typedef struct cloth {
    int count;
    float lab[COLOURS][3];
    bool bare[COLOURS]; /* the surface has it too: a stripe, or a notch that was closed */
} cloth;

/* What is left deep enough inside that no shadow or line beside the edge is taken for
 * cloth; less deep where the piece is narrow. */
static photo_bits *well_inside(const photo_bits *mask)
{
    double whole = (double)photo_bits_count(mask);
    for (double depth = 9;; depth -= 2) {
        photo_bits *inner = photo_bits_copy(mask);
        photo_bits_shrink(inner, depth);
        if (depth < 4 || (double)photo_bits_count(inner) > 0.35 * whole)
            return inner;
        photo_bits_free(inner);
    }
}

static void mark_bare(cloth *c, int n, const uint8_t *to, const float *distance)
{
    static const float bare = 3.0f; /* a mask begins beyond it */
    for (int j = 0; j < c->count; j++) {
        double sum = 0, count = 0;
        for (int i = 0; i < n; i++)
            if (to[i] == j) {
                sum += distance[i];
                count++;
            }
        c->bare[j] = sum < bare * count;
    }
}

/* The colours of a piece, well inside: farthest points first, then k-means. More than the
 * signature's, because a rare colour may lie at the edge. */
static cloth learn_cloth(const photo_surface *s, const photo_piece *piece)
{
    cloth c = { .count = 0 };
    photo_bits *inner = well_inside(piece->mask);
    int64_t all = photo_bits_count(inner), seen = 0, every = all / SAMPLE_MAX + 1;
    g_autofree float *lab = g_new(float, 3 * (gsize)(SAMPLE_MAX + 1));
    g_autofree float *distance = g_new(float, SAMPLE_MAX + 1);
    int n = 0;
    for (int y = 0; y < inner->height; y++) {
        for (int x = 0; x < inner->width; x++) {
            int px = x + piece->left, py = y + piece->top;
            if (!photo_bits_get(inner, x, y) || seen++ % every != 0 || n == SAMPLE_MAX ||
                !photo_bits_get(s->usable, px, py))
                continue;
            size_t at = (size_t)py * (size_t)s->width + (size_t)px;
            memcpy(lab + 3 * n, s->lab + 3 * at, 3 * sizeof(float));
            distance[n++] = s->distance[at];
        }
    }
    photo_bits_free(inner);
    if (n < 20)
        return c;

    g_autofree float *gap = g_new(float, n);
    g_autofree uint8_t *to = g_new0(uint8_t, n);
    for (int i = 0; i < n; i++)
        gap[i] = INFINITY;
    int next = n / 2;
    while (c.count < COLOURS) {
        memcpy(c.lab[c.count++], lab + 3 * next, 3 * sizeof(float));
        float widest = 0;
        for (int i = 0; i < n; i++) {
            float d = 0;
            for (int k = 0; k < 3; k++) {
                float step = lab[3 * i + k] - c.lab[c.count - 1][k];
                d += step * step;
            }
            if (d < gap[i]) {
                gap[i] = d;
                to[i] = (uint8_t)(c.count - 1);
            }
            if (gap[i] > widest) {
                widest = gap[i];
                next = i;
            }
        }
        if (widest < 5 * 5)
            break;
    }
    for (int round = 0; round < ROUNDS; round++) {
        float sum[COLOURS][3] = { { 0 } };
        int count[COLOURS] = { 0 };
        for (int i = 0; i < n; i++) {
            count[to[i]]++;
            for (int k = 0; k < 3; k++)
                sum[to[i]][k] += lab[3 * i + k];
        }
        for (int j = 0; j < c.count; j++)
            for (int k = 0; k < 3 && count[j] > 0; k++)
                c.lab[j][k] = sum[j][k] / (float)count[j];
        for (int i = 0; i < n; i++) {
            float nearest = INFINITY;
            for (int j = 0; j < c.count; j++) {
                float d = 0;
                for (int k = 0; k < 3; k++) {
                    float step = lab[3 * i + k] - c.lab[j][k];
                    d += step * step;
                }
                if (d < nearest) {
                    nearest = d;
                    to[i] = (uint8_t)j;
                }
            }
        }
    }
    mark_bare(&c, n, to, distance);
    return c;
}

/* Of what the mask leaves out, the surface's own colour is no sign of cloth. */
static float from_cloth(const cloth *c, const float *lab, bool here)
{
    float nearest = INFINITY;
    for (int j = 0; j < c->count; j++) {
        if (!here && c->bare[j])
            continue;
        float l = lab[0] - c->lab[j][0], a = lab[1] - c->lab[j][1],
              b = lab[2] - c->lab[j][2];
        nearest = fminf(nearest, l * l + a * a + b * b);
    }
    return sqrtf(nearest);
}

/* How far a pixel is from the surface in any light from full down to a deep shadow. Light
 * scales lightness plus 16, and a and b, by its cube root. */
static float from_shaded(const photo_surface *s, int x, int y)
{
    float back[3];
    photo_surface_at(s, x, y, back);
    const float *c = s->lab + ((size_t)y * (size_t)s->width + (size_t)x) * 3;
    float shade = CLAMP((c[0] + 16) / (back[0] + 16), deepest_shade, 1);
    float dark = (1 - shade) * (back[0] + 16);
    float l = c[0] - (back[0] - dark), a = c[1] - shade * back[1],
          b = c[2] - shade * back[2];
    dark *= shade_weight;
    return sqrtf(dark * dark + l * l + a * a + b * b);
}

/* How much more a pixel is like the cloth than like the surface; lines of the surface's
 * print count as surface where they are narrow. */
static float leaning(const photo_surface *s, const cloth *c, int x, int y, bool here)
{
    size_t at = (size_t)y * (size_t)s->width + (size_t)x;
    float surface = from_shaded(s, x, y), strength;
    if (s->print.any && s->narrow != NULL && photo_bits_get(s->narrow, x, y))
        surface = fminf(surface, photo_surface_off_print(s, x, y, &strength));
    return fminf(surface, cap) - fminf(from_cloth(c, s->lab + 3 * at, here), cap);
}

/* A soft 3 x 3 binomial, twice; out of the band the leaning is settled. */
static void soften(int width, int height, float *lean)
{
    g_autofree float *row = g_new(float, (gsize)width *(gsize)height);
    for (int round = 0; round < 2; round++) {
        for (int y = 0; y < height; y++) {
            const float *in = lean + y * width;
            float *out = row + y * width;
            for (int x = 0; x < width; x++)
                out[x] = (in[MAX(0, x - 1)] + 2 * in[x] + in[MIN(width - 1, x + 1)]) / 4;
        }
        for (int y = 0; y < height; y++) {
            const float *up = row + MAX(0, y - 1) * width, *in = row + y * width;
            const float *down = row + MIN(height - 1, y + 1) * width;
            for (int x = 0; x < width; x++)
                lean[y * width + x] = (up[x] + 2 * in[x] + down[x]) / 4;
        }
    }
}

static void refine(const photo_surface *s, const photo_bits *others, photo_piece *piece)
{
    cloth c = learn_cloth(s, piece);
    if (c.count == 0)
        return;
    photo_bits *m = piece->mask;
    photo_bits *inner = photo_bits_copy(m), *outer = photo_bits_copy(m);
    photo_bits_shrink(inner, inward_in * s->per_in);
    photo_bits_grow(outer, outward_in * s->per_in);
    g_autofree float *lean = g_new(float, (gsize)m->width *(gsize)m->height);
    for (int y = 0; y < m->height; y++) {
        for (int x = 0; x < m->width; x++) {
            float *to = &lean[y * m->width + x];
            int px = x + piece->left, py = y + piece->top;
            bool here = photo_bits_get(m, x, y);
            if (photo_bits_get(inner, x, y))
                *to = cap;
            else if (!photo_bits_get(outer, x, y) || !photo_bits_get(s->usable, px, py) ||
                     (!here && photo_bits_get(others, px, py)))
                *to = -cap;
            else
                *to = leaning(s, &c, px, py, here) + (here ? trust : -trust);
        }
    }
    soften(m->width, m->height, lean);
    photo_bits *decided = photo_bits_new(m->width, m->height);
    for (int y = 0; y < m->height; y++)
        for (int x = 0; x < m->width; x++)
            if (photo_bits_get(outer, x, y) && lean[y * m->width + x] > 0)
                photo_bits_set(decided, x, y);
    photo_bits_open(decided, crumb_px);
    photo_bits_or(decided, inner);
    photo_bits_free(inner);
    photo_bits_free(outer);
    photo_bits_free(m);
    piece->mask = decided;
}

typedef struct refining {
    const photo_surface *surface;
    const photo_bits *all;
    GPtrArray *pieces;
} refining;

static void refine_one(int i, void *data)
{
    refining *job = data;
    refine(job->surface, job->all, job->pieces->pdata[i]);
    photo_piece_tidy(job->surface, job->pieces->pdata[i]);
}

void photo_pieces_refine(const photo_surface *surface, GPtrArray *pieces)
{
    photo_bits *all = photo_bits_new(surface->width, surface->height);
    for (guint i = 0; i < pieces->len; i++) {
        const photo_piece *piece = pieces->pdata[i];
        for (int y = 0; y < piece->mask->height; y++)
            for (int x = 0; x < piece->mask->width; x++)
                if (photo_bits_get(piece->mask, x, y))
                    photo_bits_set(all, x + piece->left, y + piece->top);
    }
    refining job = { surface, all, pieces };
    photo_parallel((int)pieces->len, refine_one, &job);
    photo_bits_free(all);
}
