#include "test.h"

#include "base/bits.h"
#include "base/random.h"

#include <inttypes.h>

static bits raster_new(int rows, int cols)
{
    bits raster = { rows, cols, bits_stride(cols), NULL };
    raster.words = g_new0(uint64_t, (size_t)rows * (size_t)raster.stride);
    return raster;
}

static bits copy_of(const bits *raster)
{
    bits copy = *raster;
    copy.words = g_memdup2(raster->words, sizeof raster->words[0] * (size_t)raster->rows *
                                              (size_t)raster->stride);
    return copy;
}

static bits random_raster(motley_random *random, int rows, int cols, int of_a_hundred)
{
    bits raster = raster_new(rows, cols);
    for (int r = 0; r < rows; r++)
        for (int c = 0; c < cols; c++)
            if (motley_random_below(random, 100) < (uint32_t)of_a_hundred)
                bits_set(&raster, r, c);
    return raster;
}

static bool get_or_0(const bits *raster, int row, int col)
{
    return row >= 0 && col >= 0 && row < raster->rows && col < raster->cols &&
           bits_get(raster, row, col);
}

static bool has_spare_bits(const bits *raster)
{
    for (int r = 0; r < raster->rows; r++)
        for (int c = raster->cols; c < 64 * raster->stride; c++)
            if (bits_get(raster, r, c))
                return true;
    return false;
}

/* scipy.ndimage.binary_erosion (SciPy 1.10.1), outside as 0, origin at the first pixel,
 * of 150 x 200 pixels that are 1 where (31 r^2 + 17 c^2 + 11 r c) mod 211 >= 2: how many
 * 1s are left and the sum of their 200 r + c. */
static const struct {
    int width, height, ones;
    int64_t sum;
} eroded[] = {
    { 1, 1, 29580, 443685068 }, { 2, 1, 29018, 435250525 },  { 1, 2, 28969, 431634343 },
    { 2, 2, 28014, 417450814 }, { 3, 3, 25751, 381448269 },  { 5, 4, 21922, 323142671 },
    { 7, 7, 14664, 210709114 }, { 10, 3, 18828, 278677258 }, { 13, 13, 3090, 41746652 },
    { 20, 6, 6055, 85875851 },  { 70, 1, 6422, 95510437 },   { 1, 40, 12062, 131702364 },
};

static void erosion_gives_the_figures_of_scipy(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(eroded); i++) {
        bits raster = raster_new(150, 200);
        for (int r = 0; r < 150; r++)
            for (int c = 0; c < 200; c++)
                if ((31 * r * r + 17 * c * c + 11 * r * c) % 211 >= 2)
                    bits_set(&raster, r, c);
        bits_erode(&raster, eroded[i].width, eroded[i].height);
        int64_t sum = 0;
        for (int r = 0; r < 150; r++)
            for (int c = bits_next(&raster, r, 0); c >= 0;
                 c = bits_next(&raster, r, c + 1))
                sum += 200 * r + c;
        if (bits_count(&raster) != eroded[i].ones || sum != eroded[i].sum)
            fail_msg("%d x %d: %d ones, sum %" PRId64, eroded[i].width, eroded[i].height,
                     (int)bits_count(&raster), sum);
        g_free(raster.words);
    }
}

static bool box_is_full(const bits *raster, int row, int col, int width, int height)
{
    for (int r = row; r < row + height; r++)
        for (int c = col; c < col + width; c++)
            if (!get_or_0(raster, r, c))
                return false;
    return true;
}

static bool box_has_any(const bits *raster, int row, int col, int width, int height)
{
    for (int r = row; r < row + height; r++)
        for (int c = col; c < col + width; c++)
            if (get_or_0(raster, r, c))
                return true;
    return false;
}

static void check_against_pixels(const bits *before, int width, int height)
{
    bits worn = copy_of(before), up = copy_of(before), right = copy_of(before);
    bits by_two = copy_of(before);
    bits_erode_by_two(before, &by_two);
    bits_erode(&worn, width, height);
    bits_smear_up(&up, height);
    bits_smear_right(&right, width);
    for (int r = 0; r < before->rows; r++) {
        for (int c = 0; c < before->cols; c++) {
            if (bits_get(&worn, r, c) != box_is_full(before, r, c, width, height))
                fail_msg("eroded by %d x %d at %d, %d", width, height, r, c);
            if (bits_get(&by_two, r, c) != box_is_full(before, r, c, 2, 2))
                fail_msg("eroded by two at %d, %d", r, c);
            if (bits_get(&up, r, c) != box_has_any(before, r - height + 1, c, 1, height))
                fail_msg("smeared up by %d at %d, %d", height, r, c);
            if (bits_get(&right, r, c) != box_has_any(before, r, c - width + 1, width, 1))
                fail_msg("smeared right by %d at %d, %d", width, r, c);
        }
    }
    assert_false(has_spare_bits(&worn));
    assert_false(has_spare_bits(&by_two));
    assert_false(has_spare_bits(&up));
    assert_false(has_spare_bits(&right));
    g_free(worn.words);
    g_free(by_two.words);
    g_free(up.words);
    g_free(right.words);
}

static void words_do_what_pixels_do_one_by_one(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 1);
    for (int round = 0; round < 60; round++) {
        int rows = 1 + (int)motley_random_below(&random, 40);
        int cols = 1 + (int)motley_random_below(&random, 300);
        bits raster = random_raster(&random, rows, cols, round % 2 == 0 ? 97 : 10);
        check_against_pixels(&raster, 1 + (int)motley_random_below(&random, 90),
                             1 + (int)motley_random_below(&random, 12));
        check_against_pixels(&raster, 64 * (1 + round % 3), 1);
        g_free(raster.words);
    }
}

static void runs_end_where_a_0_comes(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 5);
    for (int round = 0; round < 60; round++) {
        int cols = 1 + (int)motley_random_below(&random, 300);
        bits raster = random_raster(&random, 1, cols, round % 2 == 0 ? 100 : 98);
        for (int c = 0; c < cols; c++) {
            int end = c, next = c;
            while (end < cols && bits_get(&raster, 0, end))
                end++;
            while (next < cols && !bits_get(&raster, 0, next))
                next++;
            assert_int_equal(bits_run_end(&raster, 0, c), end);
            assert_int_equal(bits_next(&raster, 0, c), next < cols ? next : -1);
        }
        g_free(raster.words);
    }
}

static void counts_agree_with_one_another(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 2);
    for (int round = 0; round < 40; round++) {
        int rows = 1 + (int)motley_random_below(&random, 60);
        int cols = 1 + (int)motley_random_below(&random, 700);
        bits raster = random_raster(&random, rows, cols, 30);
        g_autofree int *by_row = g_new0(int, 64);
        g_autofree int *by_col = g_new0(int, 704);
        bits_count_rows(&raster, by_row);
        bits_count_cols(&raster, by_col);
        int64_t in_rows = 0, in_cols = 0;
        for (int r = 0; r < rows; r++)
            in_rows += by_row[r];
        for (int c = 0; c < cols; c++) {
            int one_by_one = 0;
            for (int r = 0; r < rows; r++)
                one_by_one += bits_get(&raster, r, c);
            assert_int_equal(by_col[c], one_by_one);
            in_cols += by_col[c];
        }
        assert_int_equal(in_rows, bits_count(&raster));
        assert_int_equal(in_cols, bits_count(&raster));
        g_free(raster.words);
    }
}

static void pixels_apart_are_kept_from_below(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 3);
    for (int round = 0; round < 60; round++) {
        int rows = 1 + (int)motley_random_below(&random, 80);
        int cols = 1 + (int)motley_random_below(&random, 300);
        int gap = 1 + (int)motley_random_below(&random, 20);
        bits raster = random_raster(&random, rows, cols, round % 2 == 0 ? 60 : 5);
        g_autofree uint64_t *work =
            g_new(uint64_t, (size_t)(gap + 1) * (size_t)raster.stride);
        g_autofree int *counts = g_new0(int, 704);
        bits_count_apart_cols(&raster, gap, work, counts);
        for (int c = 0; c < cols; c++) {
            int kept = 0;
            for (int r = 0; r < rows; r++) {
                if (bits_get(&raster, r, c)) {
                    kept++;
                    r += gap - 1;
                }
            }
            assert_int_equal(counts[c], kept);
        }
        g_free(raster.words);
    }
}

/* Above zero when p lies left of a to b. */
static int64_t side_of(const int64_t *a, const int64_t *b, int64_t px, int64_t py)
{
    return (b[0] - a[0]) * (py - a[1]) - (b[1] - a[1]) * (px - a[0]);
}

/* Whether a box lies within a triangle that runs anticlockwise, edges allowed. */
static bool box_in_triangle(const int64_t t[6], const int64_t box[4])
{
    for (int i = 0; i < 3; i++)
        for (int corner = 0; corner < 4; corner++)
            if (side_of(t + 2 * i, t + 2 * ((i + 1) % 3), box[corner % 2 * 2],
                        box[corner / 2 * 2 + 1]) < 0)
                return false;
    return true;
}

/* Whether open box and open triangle are apart: some side of either parts them. */
static bool box_off_triangle(const int64_t t[6], const int64_t box[4])
{
    for (int i = 0; i < 3; i++) {
        bool parts = true;
        for (int corner = 0; corner < 4; corner++)
            parts = parts && side_of(t + 2 * i, t + 2 * ((i + 1) % 3),
                                     box[corner % 2 * 2], box[corner / 2 * 2 + 1]) <= 0;
        if (parts)
            return true;
    }
    for (int axis = 0; axis < 2; axis++) {
        int64_t least = MIN(MIN(t[axis], t[2 + axis]), t[4 + axis]);
        int64_t most = MAX(MAX(t[axis], t[2 + axis]), t[4 + axis]);
        if (most <= box[axis] || least >= box[2 + axis])
            return true;
    }
    return false;
}

static void random_triangle(motley_random *random, int64_t t[6])
{
    do {
        for (int i = 0; i < 6; i++)
            t[i] = motley_random_below(random, 2400);
    } while (side_of(t, t + 2, t[4], t[5]) <= 0);
}

/* Two triangles by the even-odd rule: a pixel is wholly inside when its box is within one
 * and off the other, so what exact arithmetic says of boxes must come out. */
static void filling_keeps_the_pixels_wholly_inside(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 4);
    bits raster = raster_new(24, 24);
    for (int round = 0; round < 400; round++) {
        int64_t t[12];
        random_triangle(&random, t);
        random_triangle(&random, t + 6);
        bits_ring rings[] = { { 3, t }, { 3, t + 6 } };
        bits_frame frame = { 0, 0, 100 };
        bits_fill_inside(&raster, 2, rings, &frame, 0);
        for (int r = 0; r < 24; r++) {
            for (int c = 0; c < 24; c++) {
                const int64_t box[4] = { 100 * c, 100 * r, 100 * c + 100, 100 * r + 100 };
                bool want = (box_in_triangle(t, box) && box_off_triangle(t + 6, box)) ||
                            (box_in_triangle(t + 6, box) && box_off_triangle(t, box));
                if (bits_get(&raster, r, c) != want)
                    fail_msg("round %d: pixel %d, %d should be %d", round, r, c, want);
            }
        }
        assert_false(has_spare_bits(&raster));
    }
    g_free(raster.words);
}

static void a_grown_pixel_asks_for_more_room(void **state)
{
    (void)state;
    const int64_t square[] = { 103, 103, 897, 103, 897, 897, 103, 897 };
    bits_ring ring = { 4, square };
    bits_frame frame = { 0, 0, 100 };
    bits raster = raster_new(10, 10);
    static const struct {
        int64_t grow;
        int ones;
    } rows[] = { { 0, 36 },  { -2, 36 }, { -3, 64 }, { -40, 64 },
                 { 96, 36 }, { 97, 36 }, { 98, 16 } };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        bits_fill_inside(&raster, 1, &ring, &frame, rows[i].grow);
        if (bits_count(&raster) != rows[i].ones)
            fail_msg("grown by %" PRId64 ": %d pixels", rows[i].grow,
                     (int)bits_count(&raster));
    }
    g_free(raster.words);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(erosion_gives_the_figures_of_scipy),
        cmocka_unit_test(words_do_what_pixels_do_one_by_one),
        cmocka_unit_test(runs_end_where_a_0_comes),
        cmocka_unit_test(counts_agree_with_one_another),
        cmocka_unit_test(pixels_apart_are_kept_from_below),
        cmocka_unit_test(filling_keeps_the_pixels_wholly_inside),
        cmocka_unit_test(a_grown_pixel_asks_for_more_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
