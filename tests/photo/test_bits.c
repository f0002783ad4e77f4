#include "test.h"

#include <stdbool.h>

#include "base/random.h"
#include "photo/bits-internal.h"

static photo_bits *any_mask(motley_random *random, int width, int height, uint32_t of_ten)
{
    photo_bits *bits = photo_bits_new(width, height);
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++)
            if (motley_random_below(random, 10) < of_ten)
                photo_bits_set(bits, x, y);
    return bits;
}

/* By the definition: is any pixel within the radius (not) set? */
static bool any_near(const photo_bits *bits, int x, int y, double radius, bool value)
{
    int reach = (int)radius + 1;
    for (int v = y - reach; v <= y + reach; v++)
        for (int u = x - reach; u <= x + reach; u++)
            if (u >= 0 && v >= 0 && u < bits->width && v < bits->height &&
                (u - x) * (u - x) + (v - y) * (v - y) <= radius * radius &&
                photo_bits_get(bits, u, v) == value)
                return true;
    return false;
}

static void discs_grow_and_shrink_as_defined(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 1);
    static const int sizes[][2] = {
        { 1, 1 }, { 63, 9 }, { 64, 20 }, { 65, 31 }, { 200, 50 }
    };
    static const double radii[] = { 1, 1.5, 2.6, 4, 9.7, 70 };
    for (size_t i = 0; i < G_N_ELEMENTS(sizes); i++) {
        for (size_t k = 0; k < G_N_ELEMENTS(radii); k++) {
            int w = sizes[i][0], h = sizes[i][1];
            photo_bits *few = any_mask(&random, w, h, 1);
            photo_bits *grown = photo_bits_copy(few);
            photo_bits_grow(grown, radii[k]);
            photo_bits *many = any_mask(&random, w, h, 9);
            photo_bits *shrunk = photo_bits_copy(many);
            photo_bits_shrink(shrunk, radii[k]);
            for (int y = 0; y < h; y++) {
                for (int x = 0; x < w; x++) {
                    if (photo_bits_get(grown, x, y) !=
                        any_near(few, x, y, radii[k], true))
                        fail_msg("grown by %g, %d x %d: wrong at %d, %d", radii[k], w, h,
                                 x, y);
                    if (photo_bits_get(shrunk, x, y) ==
                        any_near(many, x, y, radii[k], false))
                        fail_msg("shrunk by %g, %d x %d: wrong at %d, %d", radii[k], w, h,
                                 x, y);
                }
            }
            photo_bits_free(few);
            photo_bits_free(grown);
            photo_bits_free(many);
            photo_bits_free(shrunk);
        }
    }
}

static bool within(const photo_bits *a, const photo_bits *b)
{
    photo_bits *rest = photo_bits_copy(a);
    photo_bits_and_not(rest, b);
    bool none = photo_bits_count(rest) == 0;
    photo_bits_free(rest);
    return none;
}

/* J. Serra, Image Analysis and Mathematical Morphology, 1982: openings only take away,
 * closings only add, and doing either twice changes nothing more. */
static void openings_and_closings_keep_their_laws(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 2);
    for (int round = 0; round < 20; round++) {
        photo_bits *mask = any_mask(&random, 130, 70, 5 + (uint32_t)round % 5);
        photo_bits *opened = photo_bits_copy(mask), *closed = photo_bits_copy(mask);
        photo_bits_open(opened, 1.5);
        photo_bits_close(closed, 1.5);
        assert_true(within(opened, mask));
        assert_true(within(mask, closed));
        photo_bits *again = photo_bits_copy(opened);
        photo_bits_open(again, 1.5);
        assert_true(within(opened, again));
        photo_bits_free(again);
        again = photo_bits_copy(closed);
        photo_bits_close(again, 1.5);
        assert_true(within(again, closed));
        photo_bits_free(again);
        photo_bits_free(mask);
        photo_bits_free(opened);
        photo_bits_free(closed);
    }
}

static void spread(const photo_bits *bits, int x, int y, int32_t *seen)
{
    if (!photo_bits_get(bits, x, y) || seen[y * bits->width + x])
        return;
    seen[y * bits->width + x] = 1;
    spread(bits, x + 1, y, seen);
    spread(bits, x - 1, y, seen);
    spread(bits, x, y + 1, seen);
    spread(bits, x, y - 1, seen);
}

static void parts_are_those_that_a_flood_finds(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 3);
    for (int round = 0; round < 40; round++) {
        enum { W = 70, H = 40 };
        static int32_t label[W * H], seen[W * H];
        photo_bits *mask = any_mask(&random, W, H, 2 + (uint32_t)round % 7);
        int count = photo_bits_label(mask, label), floods = 0;
        memset(seen, 0, sizeof seen);
        for (int y = 0; y < H; y++) {
            for (int x = 0; x < W; x++) {
                assert_true((label[y * W + x] != 0) == photo_bits_get(mask, x, y));
                if (!photo_bits_get(mask, x, y) || seen[y * W + x])
                    continue;
                floods++;
                /* numbered in reading order */
                assert_int_equal(label[y * W + x], floods);
                spread(mask, x, y, seen);
            }
        }
        assert_int_equal(count, floods);
        photo_bits_free(mask);
    }
}

/* Every set pixel of a row is met once, from left to right, by the definition. */
static void a_row_is_walked_by_its_set_pixels(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 4);
    static const int widths[] = { 1, 63, 64, 65, 200 };
    for (size_t i = 0; i < G_N_ELEMENTS(widths); i++)
        for (uint32_t of_ten = 0; of_ten <= 10; of_ten += 2) {
            photo_bits *mask = any_mask(&random, widths[i], 3, of_ten);
            int next = photo_bits_next(mask, 0, 1);
            for (int x = 0; x < widths[i]; x++) {
                if (!photo_bits_get(mask, x, 1))
                    continue;
                assert_int_equal(next, x);
                next = photo_bits_next(mask, x + 1, 1);
            }
            assert_int_equal(next, widths[i]);
            photo_bits_free(mask);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(discs_grow_and_shrink_as_defined),
        cmocka_unit_test(openings_and_closings_keep_their_laws),
        cmocka_unit_test(parts_are_those_that_a_flood_finds),
        cmocka_unit_test(a_row_is_walked_by_its_set_pixels),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
