#include "cloth.h"

#include "colour/lab.h"

#include <glib.h>
#include <math.h>
#include <string.h>

static uint64_t mix(uint64_t h)
{
    h ^= h >> 33;
    h *= 0xff51afd7ed558ccdULL;
    h ^= h >> 33;
    h *= 0xc4ceb9fe1a85ec53ULL;
    return h ^ (h >> 33);
}

/* A number of 0 to 1 that belongs to a cell of a lattice. */
static double at_cell(int64_t x, int64_t y, uint64_t seed)
{
    uint64_t h = mix((uint64_t)x * 0x9e3779b97f4a7c15ULL + mix((uint64_t)y + seed));
    return (double)(h >> 11) * 0x1p-53;
}

static double ease(double t)
{
    return t * t * (3 - 2 * t);
}

double cloth_noise(double x, double y, uint64_t seed)
{
    double fx = floor(x), fy = floor(y), u = ease(x - fx), v = ease(y - fy);
    int64_t i = (int64_t)fx, k = (int64_t)fy;
    double low = at_cell(i, k, seed) * (1 - u) + at_cell(i + 1, k, seed) * u;
    double high = at_cell(i, k + 1, seed) * (1 - u) + at_cell(i + 1, k + 1, seed) * u;
    return 2 * (low * (1 - v) + high * v) - 1;
}

static void set(double rgb[static 3], double l, double chroma, double hue)
{
    /* a colour that no dye gives is made duller until one does */
    for (; chroma > 1; chroma *= 0.92) {
        colour_linear c = colour_linear_from_lab(
            (colour_lab){ l, chroma * cos(hue), chroma * sin(hue) });
        if (fmin(c.r, fmin(c.g, c.b)) >= 0.008 && fmax(c.r, fmax(c.g, c.b)) <= 0.9)
            break;
    }
    colour_linear c =
        colour_linear_from_lab((colour_lab){ l, chroma * cos(hue), chroma * sin(hue) });
    rgb[0] = CLAMP(c.r, 0.008, 0.9);
    rgb[1] = CLAMP(c.g, 0.008, 0.9);
    rgb[2] = CLAMP(c.b, 0.008, 0.9);
}

double cloth_between(motley_random *random, double least, double most)
{
    return least + (most - least) * motley_random_unit(random);
}

/* Ground light, dark or in between; what is printed on it stands out, but for tonal and
 * low volume prints. */
static void choose_colours(cloth *c, motley_random *random)
{
    bool quiet = c->style == CLOTH_TONAL || c->style == CLOTH_BATIK;
    double kind = motley_random_unit(random);
    double l = kind < 0.3   ? cloth_between(random, 86, 94)
               : kind < 0.6 ? cloth_between(random, 20, 40)
                            : cloth_between(random, 40, 80);
    double hue = cloth_between(random, 0, 2 * G_PI);
    double chroma = l > 84 ? cloth_between(random, 0, 12) : cloth_between(random, 4, 70);
    if (c->style == CLOTH_TEXT) {
        l = cloth_between(random, 86, 93);
        chroma = cloth_between(random, 0, 8);
    }
    set(c->colour[0], l, chroma, hue);
    for (int i = 1; i < CLOTH_COLOURS; i++)
        if (quiet)
            set(c->colour[i],
                CLAMP(l + (l > 50 ? -1 : 1) * cloth_between(random, 6, 14), 10, 94),
                chroma * cloth_between(random, 0.8, 1.2),
                hue + cloth_between(random, -0.3, 0.3));
        else if (c->style == CLOTH_TEXT)
            set(c->colour[i], cloth_between(random, 30, 75), cloth_between(random, 0, 25),
                hue);
        else
            set(c->colour[i],
                l > 60 ? cloth_between(random, 25, 60) : cloth_between(random, 60, 92),
                cloth_between(random, 10, 75), cloth_between(random, 0, 2 * G_PI));
    if (c->style == CLOTH_GINGHAM || (c->style == CLOTH_CHECK && kind < 0.5))
        set(c->colour[0], 92, 3, hue);
}

cloth cloth_of(uint64_t number)
{
    static const double least[CLOTH_STYLES] = { 1,    0.8,  0.2, 0.4, 2,   0.8,
                                                0.25, 0.25, 1.2, 0.6, 1.5, 0.16 };
    static const double most[CLOTH_STYLES] = { 1,   2,   0.6, 0.9, 4, 2.5,
                                               0.6, 0.5, 3,   1.6, 4, 0.3 };
    motley_random random;
    motley_random_seed(&random, mix(number + 17));
    cloth c = { .style = (cloth_style)(number % CLOTH_STYLES), .seed = mix(number) };
    c.pitch_in = cloth_between(&random, least[c.style], most[c.style]);
    choose_colours(&c, &random);
    return c;
}

/* How far a place lies from a flower's middle, in its own radius, and its direction: the
 * flowers stand in a lattice, each moved a little. */
static double to_flower(const cloth *c, photo_point at, double radius, double *ret_turn,
                        double *ret_which)
{
    double nearest = INFINITY;
    double x = at.x / c->pitch_in, y = at.y / c->pitch_in;
    for (int64_t k = (int64_t)floor(y) - 1; k <= (int64_t)floor(y) + 1; k++)
        for (int64_t i = (int64_t)floor(x) - 1; i <= (int64_t)floor(x) + 1; i++) {
            double dx = x - ((double)i + 0.5 + 0.25 * (at_cell(i, k, c->seed) - 0.5) +
                             (k % 2 != 0 ? 0.5 : 0));
            double dy = y - ((double)k + 0.5 + 0.25 * (at_cell(i, k, c->seed + 1) - 0.5));
            double size = radius * (0.8 + 0.4 * at_cell(i, k, c->seed + 2));
            double d = hypot(dx, dy) / size;
            if (d >= nearest)
                continue;
            nearest = d;
            *ret_turn = atan2(dy, dx) + 6 * at_cell(i, k, c->seed + 3);
            *ret_which = at_cell(i, k, c->seed + 4);
        }
    return nearest;
}

/* The colour of the print at a place: an index, with *ret_by between it and the ground
 * for what is printed thinly. */
static int sprig(const cloth *c, photo_point at)
{
    double turn, which, d = to_flower(c, at, 0.24, &turn, &which);
    if (d < 0.35)
        return 4;
    if (d < 0.75 + 0.25 * cos(5 * turn))
        return which < 0.6 ? 1 : 2;
    return d < 1.5 && fabs(sin(turn)) < 0.16 ? 3 : 0;
}

static int rose(const cloth *c, photo_point at)
{
    double turn, which;
    photo_point bent = { at.x + 0.12 * cloth_noise(at.x * 2, at.y * 2, c->seed + 8),
                         at.y + 0.12 * cloth_noise(at.x * 2, at.y * 2, c->seed + 9) };
    double d = to_flower(c, bent, 0.4, &turn, &which);
    if (d < 0.9 + 0.08 * cos(6 * turn)) {
        double ring = sin(14 * d + turn);
        return ring > 0.3 ? 1 : ring > -0.5 ? 2 : 4;
    }
    return d < 1.6 && cos(3 * turn) > 0.55 ? 3 : 0;
}

static int chevron(const cloth *c, photo_point at)
{
    double x = fabs(fmod(fabs(at.x), c->pitch_in) - c->pitch_in / 2);
    int row = (int)floor((at.y + x) / (c->pitch_in / 2));
    return ((row % 3) + 3) % 3;
}

static int stripe(const cloth *c, double across)
{
    double at = across / c->pitch_in - floor(across / c->pitch_in), from = 0;
    for (int i = 0; i < 6; i++) {
        from += 0.08 + 0.17 * at_cell(i, 0, c->seed);
        if (at < from)
            return (int)(at_cell(i, 1, c->seed) * 4);
    }
    return 0;
}

static int dot(const cloth *c, photo_point at)
{
    double y = at.y / (c->pitch_in * 0.866), row = floor(y + 0.5);
    double x = at.x / c->pitch_in + 0.5 * fmod(fabs(row), 2);
    double d = hypot(x - floor(x + 0.5), 0.866 * (y - row));
    return d < 0.16 + 0.12 * at_cell(0, 0, c->seed) ? 1 : 0;
}

static int text(const cloth *c, photo_point at)
{
    double row = floor(at.y / c->pitch_in), in = at.y / c->pitch_in - row;
    if (in < 0.25 || in > 0.7)
        return 0;
    double letter = floor(at.x / (0.35 * c->pitch_in));
    double word = floor(letter / 6);
    if (at_cell((int64_t)word, (int64_t)row, c->seed) < 0.2)
        return 0;
    return at_cell((int64_t)floor(at.x / (0.1 * c->pitch_in)),
                   (int64_t)floor(at.y / (0.15 * c->pitch_in)), c->seed) < 0.5
               ? 1
               : 0;
}

static void blend(const cloth *c, int to, double by, double rgb[static 3])
{
    for (int i = 0; i < 3; i++)
        rgb[i] = c->colour[0][i] * (1 - by) + c->colour[to][i] * by;
}

static bool woven_band(double at, double pitch)
{
    return at / pitch - floor(at / pitch) < 0.5;
}

void cloth_colour(const cloth *c, photo_point at, double ret_rgb[static 3])
{
    double x = at.x / c->pitch_in, y = at.y / c->pitch_in;
    int print = 0;
    double by = 1;
    switch (c->style) {
    case CLOTH_TONAL:
        print = fabs(cloth_noise(2 * x, 2 * y, c->seed) +
                     0.4 * cloth_noise(5 * x, 5 * y, c->seed + 1)) < 0.12;
        break;
    case CLOTH_BATIK:
        print = 1;
        by = CLAMP(0.5 + 0.6 * cloth_noise(3 * x, 3 * y, c->seed) +
                       0.4 * cloth_noise(9 * x, 9 * y, c->seed + 1),
                   0, 1);
        if (sprig(&(cloth){ .pitch_in = c->pitch_in * 0.7, .seed = c->seed }, at) == 1)
            print = 2, by = 1;
        break;
    case CLOTH_GINGHAM:
        print = 1;
        by = 0.5 * woven_band(at.x, c->pitch_in) + 0.5 * woven_band(at.y, c->pitch_in);
        break;
    case CLOTH_PLAID: {
        int a = stripe(c, at.x), b = stripe(c, at.y + 100);
        for (int i = 0; i < 3; i++)
            ret_rgb[i] = 0.5 * (c->colour[a][i] + c->colour[b][i]);
        return;
    }
    case CLOTH_CHECK:
        print = woven_band(at.x, 2 * c->pitch_in) != woven_band(at.y, 2 * c->pitch_in);
        break;
    case CLOTH_DOTS:
        print = dot(c, at);
        break;
    case CLOTH_SPRIGS:
        print = sprig(c, at);
        break;
    case CLOTH_ROSES:
        print = rose(c, at);
        break;
    case CLOTH_STRIPES:
        print = stripe(c, at.x);
        break;
    case CLOTH_CHEVRON:
        print = chevron(c, at);
        break;
    case CLOTH_TEXT:
        print = text(c, at);
        break;
    default:
        break;
    }
    blend(c, print, by, ret_rgb);
}
