#include "photo/middle.h"

#include <glib.h>
#include <math.h>
#include <string.h>

/* The middle is brought to at most so many pixels a side. */
enum { SIDE_MAX = 256, SAMPLE_EVERY = 4, DIRECTIONS = 8 };

/* The smallest step, as a share of the side: a sixteenth of an inch at the farthest that
 * a cloth is photographed from. */
static const double least_step = 1.414 / 256;

/* The middle in CIELAB, each pixel the mean of the light that falls on it. */
typedef struct square {
    int side;
    float *lab;
} square;

static square shrink_middle(const photo_picture *picture)
{
    int side = MIN(picture->columns, picture->rows) / 2, out = MIN(side, SIDE_MAX);
    int left = (picture->columns - side) / 2, top = (picture->rows - side) / 2;
    float *lab = g_new(float, 3 * (gsize)out * (gsize)out);
    for (int i = 0; i < out * out; i++) {
        int row = i / out, col = i % out, count = 0;
        colour_linear sum = { 0 };
        for (int r = row * side / out; r < (row + 1) * side / out; r++)
            for (int c = col * side / out; c < (col + 1) * side / out; c++) {
                const uint8_t *at =
                    picture->rgb + 3 * ((size_t)(top + r) * (size_t)picture->columns +
                                        (size_t)(left + c));
                colour_linear one =
                    colour_linear_from_srgb8((colour_srgb8){ at[0], at[1], at[2] });
                sum.r += one.r, sum.g += one.g, sum.b += one.b;
                count++;
            }
        colour_lab mean = colour_lab_from_linear(
            (colour_linear){ sum.r / count, sum.g / count, sum.b / count });
        lab[3 * i] = (float)mean.l;
        lab[3 * i + 1] = (float)mean.a;
        lab[3 * i + 2] = (float)mean.b;
    }
    return (square){ out, lab };
}

static void read_colours(const square *it, colour_signature *ret_signature)
{
    enum { SAMPLES = (SIDE_MAX / SAMPLE_EVERY) * (SIDE_MAX / SAMPLE_EVERY) };
    g_autofree float *sample = g_new(float, 3 * SAMPLES);
    g_autofree uint8_t *group = g_new(uint8_t, SAMPLES);
    int every = MAX(1, it->side * SAMPLE_EVERY / SIDE_MAX);
    size_t n = 0;
    for (int row = 0; row < it->side; row += every)
        for (int col = 0; col < it->side && n < SAMPLES; col += every, n++)
            memcpy(sample + 3 * n, it->lab + 3 * (row * it->side + col),
                   3 * sizeof *sample);
    colour_signature_from_pixels(n, sample, group, ret_signature);
    ret_signature->texture = (colour_texture){ .light = { 0 } };
}

/* One step of a texture, in all directions (photo/describe.c); 0 for a step that the
 * pixels do not show. */
typedef struct step_levels {
    uint8_t light, chroma, sparse, crossed;
} step_levels;

static step_levels read_step(const square *it, double step)
{
    double squares[DIRECTIONS], light = 0, chroma = 0, size = 0;
    int pairs = 0, side = it->side;
    if (step < 1)
        return (step_levels){ 0, 0, 0, 0 };
    for (int k = 0; k < DIRECTIONS; k++) {
        double turn = M_PI * k / DIRECTIONS, sum = 0;
        int dx = (int)lround(step * cos(turn)), dy = (int)lround(step * sin(turn));
        int count = 0;
        for (int y = 0; y + dy < side; y += SAMPLE_EVERY)
            for (int x = MAX(0, -dx); x < side && x + dx < side; x += SAMPLE_EVERY) {
                const float *p = it->lab + 3 * (y * side + x);
                const float *q = it->lab + 3 * ((y + dy) * side + x + dx);
                float l = p[0] - q[0], a = p[1] - q[1], b = p[2] - q[2];
                sum += (double)(l * l);
                size += (double)fabsf(l);
                chroma += (double)(a * a + b * b);
                count++;
            }
        squares[k] = sum / count;
        light += sum;
        pairs += count;
    }
    double rms = sqrt(light / pairs);
    return (step_levels){ colour_texture_level(rms),
                          colour_texture_level(sqrt(chroma / pairs)),
                          colour_sparse_level(rms, size / pairs),
                          colour_crossed_level(DIRECTIONS, squares) };
}

void photo_middle_read(const photo_picture *picture, photo_middle *ret_middle)
{
    /* Each step of a texture is twice the one before: two of our half octaves. */
    enum { STEPS = PHOTO_MIDDLE_SCALES + 2 * (COLOUR_TEXTURE_STEPS - 1) };
    step_levels levels[STEPS];
    square it = shrink_middle(picture);
    g_autofree float *lab = it.lab;
    read_colours(&it, &ret_middle->signature);
    for (int i = 0; i < STEPS; i++)
        levels[i] = read_step(&it, it.side * least_step * exp2(i / 2.0));
    for (int scale = 0; scale < PHOTO_MIDDLE_SCALES; scale++)
        for (int step = 0; step < COLOUR_TEXTURE_STEPS; step++) {
            const step_levels *from = &levels[scale + 2 * step];
            colour_texture *into = &ret_middle->texture[scale];
            into->light[step] = from->light;
            into->chroma[step] = from->chroma;
            into->sparse[step] = from->sparse;
            into->crossed[step] = from->crossed;
        }
}

colour_signature photo_middle_nearest(const photo_middle *middle,
                                      const colour_signature *other)
{
    colour_signature nearest = middle->signature;
    double least = INFINITY;
    for (int scale = 0; scale < PHOTO_MIDDLE_SCALES; scale++) {
        double off = colour_texture_distance(&middle->texture[scale], &other->texture);
        if (off < least) {
            least = off;
            nearest.texture = middle->texture[scale];
        }
    }
    return nearest;
}
