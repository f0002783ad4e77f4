#include "test.h"

#include "base/error.h"
#include "quilt/catalogue.h"
#include "quilt/size.h"

#define IN(x) ((length)lround((x)*LENGTH_INCH))

static quilt_design design_of(const char *name)
{
    quilt_design design;
    GError *error = NULL;
    if (!quilt_catalogue_design(name, &design, &error))
        fail_msg("%s", error->message);
    return design;
}

static quilt_frame plain_frame(int side, int across, int down, length unit)
{
    return (quilt_frame){
        .side = side, .across = across, .down = down, .unit = unit, .seam = QUILT_SEAM
    };
}

static quilt_sizes sizes_of(const quilt_frame *frame)
{
    quilt_sizes sizes;
    GError *error = NULL;
    if (!quilt_frame_sizes(frame, &sizes, &error))
        fail_msg("%s", error->message);
    return sizes;
}

/* Squares of one size, sewn with the trade's seam. */
static const struct {
    const char *source;
    int side;
    double cut, finished, unfinished;
} blocks[] = {
    { "lillianscupboard (2012) and ittybittyquilts (2011), a nine patch of 2 in squares",
      3, 2, 4.5, 5 },
    { "52quilts.com (2012), a nine patch of 2 1/2 in squares", 3, 2.5, 6, 6.5 },
    { "Tourmaline & Thyme Quilts, Nine Patch Perfected", 3, 2.5, 6, 6.5 },
    { "cbottsprojects (2019), a 25 patch of 1 1/2 in squares", 5, 1.5, 5, 5.5 },
};

static void blocks_measure_what_makers_published(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(blocks); i++) {
        quilt_frame frame = plain_frame(blocks[i].side, 1, 1, IN(blocks[i].cut));
        quilt_sizes sizes = sizes_of(&frame);
        if (sizes.block_finished != IN(blocks[i].finished) ||
            sizes.block_unfinished != IN(blocks[i].unfinished))
            fail_msg("%s", blocks[i].source);
    }
}

static const struct {
    const char *source;
    int side, across, down;
    double cut, width, height;
} quilts[] = {
    { "Karen Says Sew, The Nine Patch Project (2010)", 3, 8, 10, 2.5, 48, 60 },
    { "cbottsprojects (2019)", 5, 12, 14, 1.5, 60, 70 },
    { "sherriquiltsalot.com (2020), 9 in blocks", 3, 4, 5, 3.5, 36, 45 },
    { "arithmetic: an Irish chain of 13 x 17", 3, 13, 17, 2, 58.5, 76.5 },
    { "arithmetic: an Irish chain of 14 x 20", 3, 14, 20, 2, 63, 90 },
    { "easyquilting.info, Broken dishes (by its wording McKim 1931), 11 in blocks", 4, 7,
      8, 3.25, 77, 88 },
};

static void quilts_measure_what_makers_published(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(quilts); i++) {
        quilt_frame frame = plain_frame(quilts[i].side, quilts[i].across, quilts[i].down,
                                        IN(quilts[i].cut));
        quilt_sizes sizes = sizes_of(&frame);
        if (sizes.finished.width != IN(quilts[i].width) ||
            sizes.finished.height != IN(quilts[i].height))
            fail_msg("%s", quilts[i].source);
    }
}

/* easyquilting.info, "Broken dishes": 7 x 8, every other block plain. */
static void broken_dishes_alternates_28_with_28(void **state)
{
    (void)state;
    quilt_design design = design_of("broken-dishes");
    g_auto(quilt_layout) layout = { 0 };
    assert_true(quilt_layout_make(&design, 7, 8, (quilt_start){ 0, 0 }, &layout, NULL));
    quilt_count count;
    quilt_layout_count(&design, &layout, &count);
    assert_int_equal(count.kind_blocks[0], 28);
    assert_int_equal(count.kind_blocks[1], 28);
}

/* willowcottage (2011): 23 x 23 one-inch squares are 529. */
static void squares_multiply_out(void **state)
{
    (void)state;
    quilt_design stamps;
    const char one[] = "block one  S\n";
    assert_true(quilt_design_parse(one, strlen(one), "one", &stamps, NULL));
    g_auto(quilt_layout) layout = { 0 };
    assert_true(quilt_layout_make(&stamps, 23, 23, (quilt_start){ 0, 0 }, &layout, NULL));
    quilt_count count;
    quilt_layout_count(&stamps, &layout, &count);
    assert_int_equal(count.squares[QUILT_SCRAP], 529);
}

/* kleinmeisjequilts (2013): 240 blocks of 8 patches each and one solid are 1920 patches
 * and 240 solids. */
static void blocks_of_eight_and_one_multiply_out(void **state)
{
    (void)state;
    quilt_design design;
    const char one[] = "block one  S S S / S A S / S S S\n";
    assert_true(quilt_design_parse(one, strlen(one), "one", &design, NULL));
    g_auto(quilt_layout) layout = { 0 };
    assert_true(quilt_layout_make(&design, 15, 16, (quilt_start){ 0, 0 }, &layout, NULL));
    quilt_count count;
    quilt_layout_count(&design, &layout, &count);
    assert_int_equal(count.squares[QUILT_SCRAP], 1920);
    assert_int_equal(count.squares[QUILT_ACCENT], 240);
}

/* Tourmaline & Thyme Quilts, Nine Patch Perfected: to finish at 6 in, 6 / 3 + 1/2 = 2
 * 1/2. oneworldfabrics (2017): nine in 12 in is 1 1/3 in finished, which no ruler has. */
static void a_unit_follows_from_the_block_wanted(void **state)
{
    (void)state;
    assert_int_equal(quilt_unit_for(IN(6), 3, QUILT_SEAM), IN(2.5));
    length odd = quilt_unit_for(IN(12), 9, QUILT_SEAM);
    assert_true(fabs(length_to_inches(odd) - (4.0 / 3 + 0.5)) < 1e-4);
    assert_int_not_equal(odd % (LENGTH_INCH / 8), 0);
}

/* Derived: 58 1/2 in round with a border of 2 in squares wants 60, so 3/4 in a side. */
static void a_spacer_makes_a_pieced_border_fit(void **state)
{
    (void)state;
    assert_int_equal(quilt_spacer(IN(58.5), IN(2)), IN(0.75));
    assert_int_equal(quilt_spacer(IN(60), IN(2)), 0);
}

/* delawarequilts.com: 5 x 6 blocks of 12 in with a 3 in sash, then also round them. */
static void sashes_add_what_is_published(void **state)
{
    (void)state;
    quilt_frame frame = plain_frame(4, 5, 6, IN(3.5));
    frame.sash = IN(3);
    quilt_sizes sizes = sizes_of(&frame);
    assert_int_equal(sizes.finished.width, IN(72));
    assert_int_equal(sizes.finished.height, IN(87));
    frame.sash_around = true;
    sizes = sizes_of(&frame);
    assert_int_equal(sizes.finished.width, IN(78));
    assert_int_equal(sizes.finished.height, IN(93));
}

static void borders_add_on_both_sides_one_after_another(void **state)
{
    (void)state;
    quilt_frame frame = plain_frame(4, 2, 3, IN(4.5));
    frame.border_count = 3;
    for (int i = 0; i < 3; i++)
        frame.borders[i].width = IN(1 << i);
    quilt_sizes sizes = sizes_of(&frame);
    assert_int_equal(sizes.after[0].width, IN(32 + 2));
    assert_int_equal(sizes.after[1].width, IN(32 + 2 + 4));
    assert_int_equal(sizes.finished.width, IN(32 + 2 + 4 + 8));
    assert_int_equal(sizes.finished.height, IN(48 + 14));
}

/* Squares cut for triangles, quarter-inch seam, rounded up to 1/8 in. */
static const struct {
    const char *source;
    double finished;
    char way; /* h halved, q quartered, e eight at a time */
    double cut, exact;
} triangles[] = {
    { "North Hampshire Quilters, Half Square and Quarter Square Triangles", 3, 'h', 3.875,
      3.8536 },
    { "North Hampshire Quilters, the same", 3, 'q', 4.25, 4.2071 },
    { "sewhelpmequilts.com (2010) and craftsy.com (2014)", 3, 'e', 7.75, 7.7071 },
    { "ewespecial (2022)", 1.5, 'e', 4.75, 4.7071 },
    { "members.shaw.ca/beverlysquiltingpage, geese 4 x 2, the large square", 4, 'q', 5.25,
      5.2071 },
    { "the same, the small squares", 2, 'h', 2.875, 2.8536 },
    { "livinginstitches (2009), geese 3 x 1 1/2, the large square", 3, 'q', 4.25,
      4.2071 },
    { "the same, the small squares", 1.5, 'h', 2.375, 2.3536 },
};

static void triangles_are_cut_as_published(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(triangles); i++) {
        length f = IN(triangles[i].finished), s = QUILT_SEAM;
        length exact = triangles[i].way == 'h'   ? quilt_half_square(f, s)
                       : triangles[i].way == 'q' ? quilt_quarter_square(f, s)
                                                 : quilt_half_square_by_eight(f, s);
        if (length_ceil(exact, LENGTH_INCH / 8) != IN(triangles[i].cut))
            fail_msg("%s: rounded up", triangles[i].source);
        if (fabs(length_to_inches(exact) - triangles[i].exact) > 1e-4)
            fail_msg("%s: exact %.5f", triangles[i].source, length_to_inches(exact));
    }
}

/* North Hampshire Quilters: 4 1/8 in and 4 1/2 in when cut over and trimmed. */
static void a_quarter_inch_over_is_trimmed_off(void **state)
{
    (void)state;
    length half = length_ceil(quilt_half_square(IN(3), QUILT_SEAM), LENGTH_INCH / 8);
    length quarter =
        length_ceil(quilt_quarter_square(IN(3), QUILT_SEAM), LENGTH_INCH / 8);
    assert_int_equal(half + LENGTH_INCH / 4, IN(4.125));
    assert_int_equal(quarter + LENGTH_INCH / 4, IN(4.5));
}

/* theashleytomlinson.com: eight at a time and trimmed to 2 in from 5 in squares;
 * quilted-diary.com: to 2 1/2 in from 6 in. The exact ones and a quarter inch over. */
static void eight_at_a_time_and_trimmed_are_cut_as_published(void **state)
{
    (void)state;
    static const double rows[][2] = { { 1.5, 5 }, { 2, 6 } };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        length exact = quilt_half_square_by_eight(IN(rows[i][0]), QUILT_SEAM);
        assert_int_equal(length_ceil(exact, LENGTH_INCH / 8) + LENGTH_INCH / 4,
                         IN(rows[i][1]));
    }
}

/* Derived: 3.41421 x 7.5 mm = 25.607 mm, 26 on a metric ruler; 3.41421 x 2032 = 6937.7,
 * the next eighth 7112. A German practice of 25 mm (P&Q magazine forum, 2008) is short.
 */
static void other_seams_give_right_triangles(void **state)
{
    (void)state;
    length metric = quilt_half_square(0, 15 * LENGTH_MM / 2);
    assert_true(fabs(length_to_mm(metric) - 25.607) < 1e-3 + 1 / 320.0);
    assert_int_equal(length_ceil(metric, LENGTH_MM), 26 * LENGTH_MM);
    assert_int_equal(quilt_half_square(0, QUILT_SEAM), 6938);
    assert_int_equal(length_ceil(6938, LENGTH_INCH / 8), 7112);
}

/* Derived: two squares of 2 1/2 in make units of 2.1464 in. */
static void loose_squares_make_smaller_units(void **state)
{
    (void)state;
    length raw = quilt_half_square_raw(IN(2.5), QUILT_SEAM);
    assert_true(fabs(length_to_inches(raw) - 2.1464) < 2e-4);
    assert_int_equal(length_floor(raw, LENGTH_INCH / 8), IN(2.125));
}

/* The law: the side after rounding up is enough and one unit less is not. */
static void diagonals_are_the_least_that_is_enough(void **state)
{
    (void)state;
    for (int64_t x = 1; x < QUILT_FINISHED_MAX; x = x * 5 / 3 + 1) {
        int64_t up = quilt_diagonal_up((length)x), leg = quilt_leg_up((length)x);
        int64_t near = quilt_diagonal((length)x);
        assert_true(up * up >= 2 * x * x && (up - 1) * (up - 1) < 2 * x * x);
        assert_true(2 * leg * leg >= x * x && 2 * (leg - 1) * (leg - 1) < x * x);
        assert_true(near == up || near == up - 1);
        assert_true(fabs((double)near - (double)x * sqrt(2)) <= 0.5 + 1e-6);
    }
    assert_int_equal(quilt_diagonal_up(0), 0);
}

/* joanne-everyonedeservesaquilt (2014) and Dalmeny Quilters for 6 in blocks, Pine Meadows
 * Designs for 12 in. */
static void setting_squares_are_cut_as_published(void **state)
{
    (void)state;
    static const struct {
        double block, side, corner;
    } rows[] = { { 6, 9.75, 5.125 }, { 12, 18.25, 9.375 } };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        length f = IN(rows[i].block), two = 2 * QUILT_SEAM;
        length side = two + quilt_diagonal_up(f + two);
        length corner = two + quilt_leg_up(f + two);
        assert_int_equal(length_ceil(side, LENGTH_INCH / 8), IN(rows[i].side));
        assert_int_equal(length_ceil(corner, LENGTH_INCH / 8), IN(rows[i].corner));
    }
}

/* Derived: 3 x 4 blocks of 12 in: 18 blocks, 10 sides, 50.91 x 67.88 in. */
static void on_point_the_size_is_the_diagonals(void **state)
{
    (void)state;
    quilt_frame frame = plain_frame(4, 3, 4, IN(3.5));
    frame.on_point = true;
    quilt_sizes sizes = sizes_of(&frame);
    assert_int_equal(sizes.side_triangles, 10);
    assert_int_equal(sizes.corner_triangles, 4);
    assert_true(fabs(length_to_inches(sizes.finished.width) - 36 * sqrt(2)) < 1e-4);
    assert_true(fabs(length_to_inches(sizes.finished.height) - 48 * sqrt(2)) < 1e-4);
}

/* quiltingaffection (2014) and quiltcentric (2012) for 1 1/2 in, quilting.about.com for
 * 2 in strips, traceypereira.blogspot.com for 5 in. */
static void the_seam_test_measures_what_is_published(void **state)
{
    (void)state;
    static const struct {
        double strip, middle, outer, whole;
    } rows[] = { { 1.5, 1, 1.25, 3.5 }, { 2, 1.5, 1.75, 5 }, { 5, 4.5, 4.75, 14 } };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        quilt_seam_test test = quilt_seam_test_of(IN(rows[i].strip), QUILT_SEAM);
        assert_int_equal(test.middle, IN(rows[i].middle));
        assert_int_equal(test.outer, IN(rows[i].outer));
        assert_int_equal(test.whole, IN(rows[i].whole));
    }
    assert_int_equal(quilt_seam_sewn(IN(1.5), IN(15.0 / 16)), IN(9.0 / 32));
}

/* Derived: each seam wrong by e takes 2e; a row of n has n - 1 seams. */
static void errors_of_seams_add_up(void **state)
{
    (void)state;
    assert_int_equal(quilt_row_short(15, LENGTH_INCH / 32), IN(0.875));
    assert_int_equal(quilt_row_short(60, LENGTH_INCH / 64), IN(1 + 27.0 / 32));
    assert_int_equal(quilt_seam_error(3, IN(2), QUILT_SEAM, IN(4.875)), LENGTH_INCH / 32);
    assert_int_equal(quilt_seam_error(3, IN(2), QUILT_SEAM, IN(5)), 0);
    assert_true(quilt_seam_error(3, IN(2), QUILT_SEAM, IN(5.125)) < 0);
}

/* A chart in common circulation, and derived: squares from a fat quarter of 18 x 22 in.
 */
static void pieces_give_the_squares_of_the_common_chart(void **state)
{
    (void)state;
    static const struct {
        double c;
        int fat_quarter, yard;
    } rows[] = { { 2, 99, 360 },   { 2.5, 56, 224 }, { 3, 42, 156 },
                 { 3.5, 30, 110 }, { 4, 20, 90 },    { 5, 12, 56 } };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        length c = IN(rows[i].c);
        assert_int_equal(quilt_squares_in(IN(18), IN(22), c), rows[i].fat_quarter);
        assert_int_equal(quilt_squares_in(IN(40), IN(36), c), rows[i].yard);
    }
}

/* ciaspalette.com: twin of 39 x 75 with a drop of 12 in, with and without 15 in for the
 * pillow; a classroom slide show on yardage: double, queen and king. */
static void beds_are_covered_as_published(void **state)
{
    (void)state;
    static const struct {
        const char *size, *country;
        double drop, tuck, width, height;
    } rows[] = {
        { "twin-39", "us", 12, 0, 63, 87 }, { "twin-39", "us", 12, 15, 63, 102 },
        { "Double", "US", 12, 0, 78, 87 },  { "queen", "us", 12, 0, 84, 92 },
        { "king", "us", 12, 0, 100, 92 },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        const quilt_bed *bed = quilt_bed_find(rows[i].size, rows[i].country, NULL);
        assert_non_null(bed);
        quilt_extent cover;
        assert_true(quilt_bed_cover((quilt_extent){ bed->width, bed->height },
                                    IN(rows[i].drop), IN(rows[i].tuck), &cover, NULL));
        assert_int_equal(cover.width, IN(rows[i].width));
        assert_int_equal(cover.height, IN(rows[i].height));
    }
    /* National Bed Federation: a UK king is 150 x 200 cm, no US king. */
    const quilt_bed *bed = quilt_bed_find("king", "uk", NULL);
    assert_int_equal(bed->width, 150 * LENGTH_CM);
    assert_int_equal(bed->height, 200 * LENGTH_CM);
}

/* The reference list of mattresses: 16 CFR 1508.3 and 1219 (cribs), sleep.org (US), a
 * table after Wikipedia (the older twin, the continent), National Bed Federation (UK). */
static const struct {
    const char *country, *size;
    double width, height;
    bool cm;
} mattresses[] = {
    { "us", "crib", 28, 52.375, false },
    { "us", "crib-mattress", 27.25, 51.25, false },
    { "us", "twin", 38, 75, false },
    { "us", "twin-xl", 38, 80, false },
    { "us", "full", 54, 75, false },
    { "us", "queen", 60, 80, false },
    { "us", "king", 76, 80, false },
    { "us", "california-king", 72, 84, false },
    { "us", "twin-39", 39, 75, false },
    { "uk", "small-single", 75, 190, true },
    { "uk", "single", 90, 190, true },
    { "uk", "small-double", 120, 190, true },
    { "uk", "double", 135, 190, true },
    { "uk", "king", 150, 200, true },
    { "uk", "super-king", 180, 200, true },
    { "eu", "single", 90, 200, true },
    { "eu", "double", 140, 200, true },
    { "eu", "queen", 160, 200, true },
    { "eu", "king", 180, 200, true },
};

static void every_mattress_is_as_listed(void **state)
{
    (void)state;
    int count;
    quilt_beds(&count);
    assert_int_equal(count, G_N_ELEMENTS(mattresses));
    for (size_t i = 0; i < G_N_ELEMENTS(mattresses); i++) {
        const quilt_bed *bed =
            quilt_bed_find(mattresses[i].size, mattresses[i].country, NULL);
        double one = mattresses[i].cm ? LENGTH_CM : LENGTH_INCH;
        assert_non_null(bed);
        if (bed->width != lround(mattresses[i].width * one) ||
            bed->height != lround(mattresses[i].height * one))
            fail_msg("%s %s", mattresses[i].country, mattresses[i].size);
        assert_true(bed->source[0] != '\0');
    }
}

static void unknown_beds_and_negative_drops_are_refused(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    assert_null(quilt_bed_find("emperor", "us", &error));
    assert_string_equal(motley_error_code(error), "quilt.bed-unknown");
    assert_non_null(strstr(error->message, "california-king"));
    g_clear_error(&error);
    assert_null(quilt_bed_find("king", "atlantis", &error));
    assert_non_null(strstr(error->message, "us, uk and eu"));
    g_clear_error(&error);
    quilt_extent cover;
    assert_false(
        quilt_bed_cover((quilt_extent){ IN(38), IN(75) }, -1, 0, &cover, &error));
    assert_string_equal(motley_error_code(error), "quilt.measure");
}

/* Derived: 4 1/2 in blocks for a US queen of 60 x 80 with 12 in drop, 84 x 92. */
static void a_wish_is_met_by_the_blocks_below_and_above(void **state)
{
    (void)state;
    quilt_design design = design_of("single-irish-chain");
    quilt_frame frame = quilt_frame_make(&design, 1, 1, IN(2), QUILT_SEAM);
    quilt_fit fit;
    assert_true(
        quilt_frame_fit(&design, &frame, false, IN(84), QUILT_FIT_BLOCKS, &fit, NULL));
    assert_int_equal(fit.below, 18);
    assert_int_equal(fit.above, 19);
    assert_int_equal(fit.above_finished, IN(85.5));
    assert_true(
        quilt_frame_fit(&design, &frame, true, IN(92), QUILT_FIT_ALIKE, &fit, NULL));
    assert_int_equal(fit.below, 19);
    assert_int_equal(fit.above, 21);
    assert_true(
        quilt_frame_fit(&design, &frame, true, IN(92), QUILT_FIT_REPEATS, &fit, NULL));
    assert_int_equal(fit.below, 20);
    assert_int_equal(fit.above, 22);
    assert_true(
        quilt_frame_fit(&design, &frame, true, IN(90), QUILT_FIT_BLOCKS, &fit, NULL));
    assert_int_equal(fit.below, 20);
    assert_int_equal(fit.above, 20);
    assert_true(
        quilt_frame_fit(&design, &frame, true, IN(1), QUILT_FIT_BLOCKS, &fit, NULL));
    assert_int_equal(fit.below, 0);
    assert_int_equal(fit.above, 1);

    g_autoptr(GError) error = NULL;
    frame = quilt_frame_make(&design, 1, 1, IN(10), QUILT_SEAM);
    assert_false(quilt_frame_fit(&design, &frame, true, 200 * LENGTH_M, QUILT_FIT_BLOCKS,
                                 &fit, &error));
    assert_string_equal(motley_error_code(error), "quilt.size");
    g_clear_error(&error);
    assert_false(
        quilt_frame_fit(&design, &frame, true, 0, QUILT_FIT_BLOCKS, &fit, &error));
    assert_string_equal(motley_error_code(error), "quilt.measure");
}

static void quarters_are_met_by_even_numbers(void **state)
{
    (void)state;
    quilt_design design = design_of("trip-around-the-world");
    quilt_frame frame = quilt_frame_make(&design, 1, 1, IN(2), QUILT_SEAM);
    quilt_fit fit;
    assert_true(
        quilt_frame_fit(&design, &frame, false, IN(50), QUILT_FIT_BLOCKS, &fit, NULL));
    assert_int_equal(fit.below, 10);
    assert_int_equal(fit.above, 12);
}

static void measures_that_cannot_be_sewn_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *what;
        length unit, seam, sash, border;
        const char *code;
    } rows[] = {
        { "no unit", 0, QUILT_SEAM, 0, 1, "quilt.measure" },
        { "a unit below 0", -LENGTH_INCH, QUILT_SEAM, 0, 1, "quilt.measure" },
        { "a unit of two seams", 2 * QUILT_SEAM, QUILT_SEAM, 0, 1, "quilt.measure" },
        { "no seam", 2 * LENGTH_INCH, 0, 0, 1, "quilt.measure" },
        { "a sash below 0", 2 * LENGTH_INCH, QUILT_SEAM, -1, 1, "quilt.measure" },
        { "a border of 0", 2 * LENGTH_INCH, QUILT_SEAM, 0, 0, "quilt.measure" },
        { "the lowest number", G_MININT32, QUILT_SEAM, 0, 1, "quilt.measure" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        quilt_frame frame = plain_frame(3, 2, 2, rows[i].unit);
        frame.seam = rows[i].seam;
        frame.sash = rows[i].sash;
        frame.border_count = 1;
        frame.borders[0].width = rows[i].border;
        quilt_sizes sizes;
        g_autoptr(GError) error = NULL;
        if (quilt_frame_sizes(&frame, &sizes, &error))
            fail_msg("%s is taken", rows[i].what);
        assert_string_equal(motley_error_code(error), rows[i].code);
    }
    quilt_frame huge = plain_frame(12, 1000, 1000, LENGTH_M);
    quilt_sizes sizes;
    g_autoptr(GError) error = NULL;
    assert_false(quilt_frame_sizes(&huge, &sizes, &error));
    assert_string_equal(motley_error_code(error), "quilt.size");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blocks_measure_what_makers_published),
        cmocka_unit_test(quilts_measure_what_makers_published),
        cmocka_unit_test(broken_dishes_alternates_28_with_28),
        cmocka_unit_test(squares_multiply_out),
        cmocka_unit_test(blocks_of_eight_and_one_multiply_out),
        cmocka_unit_test(a_unit_follows_from_the_block_wanted),
        cmocka_unit_test(a_spacer_makes_a_pieced_border_fit),
        cmocka_unit_test(sashes_add_what_is_published),
        cmocka_unit_test(borders_add_on_both_sides_one_after_another),
        cmocka_unit_test(triangles_are_cut_as_published),
        cmocka_unit_test(a_quarter_inch_over_is_trimmed_off),
        cmocka_unit_test(eight_at_a_time_and_trimmed_are_cut_as_published),
        cmocka_unit_test(other_seams_give_right_triangles),
        cmocka_unit_test(loose_squares_make_smaller_units),
        cmocka_unit_test(diagonals_are_the_least_that_is_enough),
        cmocka_unit_test(setting_squares_are_cut_as_published),
        cmocka_unit_test(on_point_the_size_is_the_diagonals),
        cmocka_unit_test(the_seam_test_measures_what_is_published),
        cmocka_unit_test(errors_of_seams_add_up),
        cmocka_unit_test(pieces_give_the_squares_of_the_common_chart),
        cmocka_unit_test(beds_are_covered_as_published),
        cmocka_unit_test(every_mattress_is_as_listed),
        cmocka_unit_test(unknown_beds_and_negative_drops_are_refused),
        cmocka_unit_test(a_wish_is_met_by_the_blocks_below_and_above),
        cmocka_unit_test(quarters_are_met_by_even_numbers),
        cmocka_unit_test(measures_that_cannot_be_sewn_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
