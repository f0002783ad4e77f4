/* The middle of a photo without a card, held against cloths whose texture is worked out
 * from their pattern: the root mean square of f(x) - f(x + h), half of what Matheron
 * (Principles of geostatistics, Economic Geology 58 (1963) 1246-1266) calls the
 * variogram, at 1/16, 1/8 and 1/4 in. */
#include "test.h"

#include "colour/match.h"
#include "photo/middle.h"

#include <glib.h>
#include <math.h>

/* Lightness of a cloth at a place in inches; all of one mean, 55. */
typedef double cloth(double x_in, double y_in);

static double solid(double x, double y)
{
    (void)x;
    (void)y;
    return 55;
}

static double tone(double at, double repeat)
{
    return fmod(fmod(at, repeat) + repeat, repeat) < repeat / 2 ? 1 : -1;
}

static double gingham(double x, double y) /* checks of 1/8 in */
{
    return 55 + 10 * tone(x, 0.25) + 10 * tone(y, 0.25);
}

static double tonal(double x, double y) /* stripes that hardly show */
{
    (void)y;
    return 55 + 2 * tone(x, 0.375);
}

static double dots(double x, double y) /* 1/16 in wide, 3/16 in apart */
{
    double dx = remainder(x, 0.1875), dy = remainder(y, 0.1875);
    return hypot(dx, dy) < 1.0 / 32 ? 85 : 52.2;
}

static cloth *const cloths[] = { solid, gingham, tonal, dots };

static colour_texture texture_of(cloth *of)
{
    colour_texture texture = { .light = { 0 } };
    GRand *draw = g_rand_new_with_seed(8);
    for (int step = 0; step < COLOUR_TEXTURE_STEPS; step++) {
        enum { PAIRS = 20000 };
        double lag = ldexp(1, step - 4), sum = 0;
        for (int i = 0; i < PAIRS; i++) {
            double x = g_rand_double_range(draw, 0, 6),
                   y = g_rand_double_range(draw, 0, 6);
            double turn = g_rand_double_range(draw, 0, 2 * M_PI);
            double off = of(x, y) - of(x + lag * cos(turn), y + lag * sin(turn));
            sum += off * off;
        }
        texture.light[step] = colour_texture_level(sqrt(sum / PAIRS));
        texture.chroma[step] = colour_texture_level(0);
    }
    g_rand_free(draw);
    return texture;
}

/* A photo whose middle is so many inches across. */
static photo_picture *photograph(cloth *of, double inches)
{
    enum { SIDE = 900 };
    photo_picture *picture = g_new0(photo_picture, 1);
    picture->columns = picture->width = picture->rows = picture->height = SIDE;
    picture->shrink = 1;
    picture->rgb = g_malloc(3 * SIDE * SIDE);
    for (int i = 0; i < SIDE * SIDE; i++) {
        double x = (i % SIDE) * 2 * inches / SIDE, y = (i / SIDE) * 2.0 * inches / SIDE;
        colour_srgb8 c = colour_srgb8_from_lab((colour_lab){ of(x, y), 0, 0 });
        picture->rgb[3 * i] = c.r;
        picture->rgb[3 * i + 1] = c.g;
        picture->rgb[3 * i + 2] = c.b;
    }
    return picture;
}

/* From wherever it was photographed, a cloth is nearest to itself. */
static void a_print_is_told_from_others_at_any_distance(void **state)
{
    static const double across_in[] = { 1.5, 2.5, 4, 7 };
    colour_texture known[G_N_ELEMENTS(cloths)];
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(cloths); i++)
        known[i] = texture_of(cloths[i]);
    for (size_t i = 0; i < G_N_ELEMENTS(cloths); i++)
        for (size_t d = 0; d < G_N_ELEMENTS(across_in); d++) {
            photo_middle seen;
            g_autoptr(photo_picture) picture = photograph(cloths[i], across_in[d]);
            photo_middle_read(picture, &seen);
            size_t nearest = 0;
            double least = INFINITY;
            for (size_t k = 0; k < G_N_ELEMENTS(cloths); k++) {
                const colour_signature other = { .count = 1, .texture = known[k] };
                colour_signature as = photo_middle_nearest(&seen, &other);
                double off = colour_texture_distance(&as.texture, &known[k]);
                if (off < least) {
                    least = off;
                    nearest = k;
                }
            }
            if (nearest != i)
                fail_msg("cloth %zu, %.1f in across: taken for cloth %zu", i,
                         across_in[d], nearest);
        }
}

/* What no lens shows is not known, and so held against no one. */
static void a_small_picture_tells_no_fine_print(void **state)
{
    (void)state;
    photo_middle seen;
    g_autoptr(photo_picture) picture = photograph(gingham, 4);
    picture->columns = picture->rows = 120; /* its upper left part; rows run on */
    photo_middle_read(picture, &seen);
    assert_int_equal(seen.texture[0].light[0], 0);
    assert_true(seen.texture[PHOTO_MIDDLE_SCALES - 1].light[0] > 0);
    assert_true(seen.signature.count > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_print_is_told_from_others_at_any_distance),
        cmocka_unit_test(a_small_picture_tells_no_fine_print),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
