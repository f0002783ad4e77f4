#include "test.h"

#include "base/error.h"
#include "quilt/buy.h"
#include "quilt/catalogue.h"

#define IN(x) ((length)lround((x)*LENGTH_INCH))

static quilt_design design_of(const char *name)
{
    quilt_design design;
    GError *error = NULL;
    if (!quilt_catalogue_design(name, &design, &error))
        fail_msg("%s", error->message);
    return design;
}

/* A whole list, or the failure of the test. */
static quilt_shopping shopped(const quilt_design *design, const quilt_frame *frame,
                              const quilt_buying *buying)
{
    g_auto(quilt_layout) layout = { 0 };
    quilt_shopping shop = { 0 };
    GError *error = NULL;
    if (!quilt_layout_make(design, frame->across, frame->down, (quilt_start){ 0, 0 },
                           &layout, &error) ||
        !quilt_shopping_make(design, &layout, frame, buying, &shop, &error))
        fail_msg("%s: %s", design->id, error->message);
    return shop;
}

static const quilt_item *item_of(const quilt_shopping *shop, const char *name)
{
    for (int i = 0; i < shop->item_count; i++)
        if (strcmp(quilt_item_name(&shop->items[i]), name) == 0)
            return &shop->items[i];
    fail_msg("nothing is bought for %s", name);
    return NULL;
}

static const quilt_line *line_of(const quilt_item *item, quilt_part part, int border)
{
    for (int i = 0; i < item->line_count; i++)
        if (item->lines[i].part == part && item->lines[i].border == border)
            return &item->lines[i];
    fail_msg("no line for %s", quilt_part_name(part));
    return NULL;
}

static int64_t asked_of(const quilt_shopping *shop, quilt_role role, quilt_part part)
{
    int64_t count = 0;
    for (int i = 0; i < shop->asked_count; i++)
        if (shop->asked[i].role == role && shop->asked[i].part == part)
            count += shop->asked[i].count;
    return count;
}

/* Derived by hand: a single Irish chain of 14 x 20 in 2 in squares on 40 in cloth takes
 * 700 scraps; background 560 squares in 28 strips and 140 blocks of 5 in in 18 strips:
 * 56 + 90 = 146 in, 4 1/8 yd. */
static void an_irish_chain_takes_146_in_of_background(void **state)
{
    (void)state;
    quilt_design design = design_of("single-irish-chain");
    quilt_frame frame = quilt_frame_make(&design, 14, 20, IN(2), QUILT_SEAM);
    quilt_buying buying = quilt_buying_defaults();
    quilt_shopping shop = shopped(&design, &frame, &buying);

    assert_int_equal(asked_of(&shop, QUILT_SCRAP, QUILT_PART_PATCH), 700);
    const quilt_item *background = item_of(&shop, "background");
    assert_int_equal(background->cut_length, IN(146));
    assert_int_equal(background->buy_yards, LENGTH_YARD * 33 / 8);
    assert_int_equal(line_of(background, QUILT_PART_PATCH, 0)->strips, 28);
    assert_int_equal(line_of(background, QUILT_PART_PATCH, 0)->pieces, 560);
    assert_int_equal(line_of(background, QUILT_PART_BLOCK, 0)->strips, 18);
    assert_int_equal(line_of(background, QUILT_PART_BLOCK, 0)->piece_width, IN(5));
    /* Longest cuts first, and 8 x 5 in is all of the cloth. */
    assert_int_equal(background->lines[0].part, QUILT_PART_BLOCK);
    assert_true(background->exact_fit);
}

/* By hand: the same chain with the ends used. 140 blocks of 5 in are 8 a strip: 17 full
 * ones, which are used to the inch, and 4 on the 18th, which leaves 20 x 5 in: two rows
 * of ten patches. 540 are left, 27 strips: 90 + 54 = 144 in. */
static void ends_of_strips_give_smaller_squares(void **state)
{
    (void)state;
    quilt_design design = design_of("single-irish-chain");
    quilt_frame frame = quilt_frame_make(&design, 14, 20, IN(2), QUILT_SEAM);
    quilt_buying buying = quilt_buying_defaults();
    buying.use_ends = true;
    quilt_shopping shop = shopped(&design, &frame, &buying);
    const quilt_item *background = item_of(&shop, "background");
    const quilt_line *patches = line_of(background, QUILT_PART_PATCH, 0);
    assert_int_equal(background->cut_length, IN(144));
    assert_int_equal(patches->ends.pieces, 20);
    assert_int_equal(patches->strips, 27);
    assert_int_equal(patches->pieces, 560);
    quilt_rect first = quilt_line_piece(patches, 0),
               later = quilt_line_piece(patches, 19);
    assert_int_equal(first.x, IN(20));
    assert_int_equal(first.y, IN(17 * 5));
    assert_int_equal(later.x, IN(38));
    assert_int_equal(later.y, IN(17 * 5 + 2));
}

/* bobbininquilts.com, how much fabric: 300 pieces of 3 x 2 in: 13 a strip, 24 strips,
 * 48 in. Derived: turned 20 a strip, 15 strips; 100 squares of 2 1/2 in are 7 strips. */
static void strips_are_counted_as_published(void **state)
{
    (void)state;
    assert_int_equal(quilt_strips(300, IN(3), IN(40)), 24);
    assert_int_equal(quilt_strips(300, IN(2), IN(40)), 15);
    assert_int_equal(quilt_strips(100, IN(2.5), IN(40)), 7);
    assert_int_equal(quilt_strips(100, IN(2.5), IN(54)), 5);
    assert_int_equal(quilt_strips(0, IN(2.5), IN(40)), 0);
    assert_int_equal(quilt_strips(1, IN(41), IN(40)), -1);
}

static const struct {
    const char *source;
    double width, height, cloth; /* all told */
    int panels;
    bool along;
    double bought, eighths; /* of a yard */
} backings[] = {
    { "Karen Says Sew, The Nine Patch Project (2010): 48 x 60 and 3 in a side", 54, 66,
      40, 2, false, 108, 24 },
    { "quiltingboard.com, batting and backing sizes (2015)", 65, 78, 40, 2, false, 130,
      29 },
    { "derived: two widths of 40 in are 79 in once joined", 80, 56, 40, 2, false, 160,
      36 },
    { "quiltingboard.com, backing 80 by 56, on 42 in cloth", 80, 56, 42, 2, true, 112,
      25 },
    { "quiltingboard.com, backing 59 by 65 (3 3/4 yd bought)", 67, 73, 42, 2, false, 134,
      30 },
    { "American Patchwork & Quilting, Garden Paths (2016): 4 1/3 yd", 78, 78, 42, 2, true,
      156, 35 },
    { "derived: 63 x 90 and 4 in a side", 71, 98, 40, 2, true, 196, 44 },
    { "derived: 60 x 72 and 4 in a side", 68, 80, 40, 2, true, 160, 36 },
    { "derived: 86 x 98 and 4 in a side", 94, 106, 42, 3, false, 282, 63 },
    { "sewtodaycleantomorrow (2014): one width of 44 in", 40, 49, 44, 1, true, 49, 11 },
    { "sewtodaycleantomorrow (2014), with 4 in a side, on 44 in: 53 in", 44, 53, 44, 1,
      true, 53, 12 },
    { "the same on 42 in: two widths", 44, 53, 42, 2, false, 88, 20 },
    { "American Patchwork & Quilting, Neon Dreams (2019): 9 3/4 yd, 1/2 of it over", 111,
      111, 42, 3, true, 333, 74 },
    { "quiltingboard.com, backing 80 by 56: 41 in cloth is enough too", 80, 56, 41, 2,
      true, 112, 25 },
};

static void backings_are_pieced_as_published(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(backings); i++) {
        quilt_backing backing = quilt_backing_of(
            (quilt_extent){ IN(backings[i].width), IN(backings[i].height) },
            IN(backings[i].cloth), LENGTH_INCH / 2);
        length bought = backing.panels * backing.panel_length;
        if (backing.panels != backings[i].panels || bought != IN(backings[i].bought) ||
            backing.along != backings[i].along)
            fail_msg("%s: %d panels of %.2f in", backings[i].source, backing.panels,
                     length_to_inches(backing.panel_length));
        if (length_ceil(bought, LENGTH_YARD / 8) !=
            (length)(backings[i].eighths * LENGTH_YARD / 8))
            fail_msg("%s: yards", backings[i].source);
    }
}

static const struct {
    const char *source;
    double width, height, extra, cloth, strip, need;
    int joined, simple; /* simple 0: not given */
} bindings[] = {
    { "monicacurryquiltdesign.com (2019)", 54, 60, 10, 42, 2.5, 238, 6, 6 },
    { "quiltsbyjen.ca", 42.75, 63.5, 0, 40, 2.25, 212.5, 6, 6 },
    { "onceuponaquilt: 7 strips with nothing lost at joins; derived: 8", 56, 78, 8, 40, 2,
      276, 8, 7 },
    { "Karen Says Sew, The Nine Patch Project (2010)", 48, 60, 10, 40, 2.25, 226, 6, 6 },
    { "derived", 63, 90, 10, 40, 2.25, 316, 9, 8 },
    { "derived", 60, 72, 10, 40, 2.5, 274, 8, 7 },
    { "castillejacotton (2013): 40 in less 2 in a strip for joins", 50, 60, 0, 40, 2, 220,
      6, 6 },
};

static void bindings_take_the_published_strips(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(bindings); i++) {
        quilt_extent quilt = { IN(bindings[i].width), IN(bindings[i].height) };
        length need = quilt_binding_length(quilt, IN(bindings[i].extra));
        if (need != IN(bindings[i].need))
            fail_msg("%s: length", bindings[i].source);
        if (quilt_binding_strips(need, IN(bindings[i].cloth), IN(bindings[i].strip)) !=
            bindings[i].joined)
            fail_msg("%s: strips", bindings[i].source);
        length simple = length_ceil(need, IN(bindings[i].cloth)) / IN(bindings[i].cloth);
        if (simple != bindings[i].simple)
            fail_msg("%s: strips without joins", bindings[i].source);
    }
}

static void a_short_binding_is_one_strip(void **state)
{
    (void)state;
    assert_int_equal(quilt_binding_strips(IN(1), IN(40), IN(2.25)), 1);
    assert_int_equal(quilt_binding_strips(IN(40), IN(40), IN(2.25)), 1);
    assert_int_equal(quilt_binding_strips(IN(40.125), IN(40), IN(2.25)), 2);
    assert_int_equal(quilt_binding_strips(IN(10), IN(2), IN(2)), -1);
}

/* By hand: sides of 45 1/2 and ends of 14 in are 119 in, which is 3 strips of 40 in less
 * two joins of 1/2 in to the inch. */
static void joined_strips_are_used_to_the_inch(void **state)
{
    (void)state;
    quilt_design design = design_of("nine-patch");
    quilt_frame frame = quilt_frame_make(&design, 1, 5, IN(3.5), QUILT_SEAM);
    frame.border_count = 1;
    frame.borders[0] = (quilt_frame_border){ IN(2.25), QUILT_ACCENT, false };
    quilt_buying buying = quilt_buying_defaults();
    quilt_shopping shop = shopped(&design, &frame, &buying);
    const quilt_item *item = item_of(&shop, "accent");
    assert_int_equal(item->line_count, 2);
    assert_int_equal(item->lines[0].piece_width, IN(45.5));
    assert_int_equal(item->lines[1].piece_width, IN(14));
    assert_int_equal(item->lines[0].strips, 3);
    assert_int_equal(item->lines[1].strips, 0);
    assert_int_equal(item->cut_length, 3 * IN(2.75));
}

/* mydecozo.co.uk: 250 in of 2 in, a square of 22.36, cut 23; quiltersquestiontime.com
 * (2021): 100 in of 3 1/2 in, 18.71, cut 19. */
static void bias_squares_are_cut_as_published(void **state)
{
    (void)state;
    assert_int_equal(quilt_bias_square(IN(250), IN(2)), IN(23));
    assert_int_equal(quilt_bias_square(IN(100), IN(3.5)), IN(19));
}

/* American Patchwork & Quilting, mitering borders: 56; ritasquilts.com: 54.
 * sewhappystitchers.com and Moonlight Quilters: sleeves of 9 and 11 in. */
static void mitres_and_sleeves_are_cut_as_published(void **state)
{
    (void)state;
    assert_int_equal(quilt_mitred(IN(40), IN(5), IN(6)), IN(56));
    assert_int_equal(quilt_mitred(IN(34), IN(8), IN(4)), IN(54));
    /* sylviasquiltdepot.com, mitred borders. */
    assert_int_equal(quilt_mitred(IN(72), IN(5), IN(2)), IN(84));
    assert_int_equal(quilt_sleeve_cut(IN(4)), IN(9));
    assert_int_equal(quilt_sleeve_cut(IN(5)), IN(11));
}

/* quiltingboard.com, border sum: a body that measures 69 1/2 in unfinished with side
 * borders cut 8 1/2 in has top and bottom of 85 1/2 in. */
static void borders_are_cut_as_published(void **state)
{
    (void)state;
    quilt_design design = design_of("postage-stamp");
    quilt_frame frame = quilt_frame_make(&design, 23, 23, IN(1.5), QUILT_SEAM);
    frame.border_count = 1;
    frame.borders[0] = (quilt_frame_border){ IN(8), QUILT_BACKGROUND, false };
    quilt_buying buying = quilt_buying_defaults();
    buying.cloth = IN(100); /* so that none is joined */
    quilt_shopping shop = shopped(&design, &frame, &buying);
    const quilt_item *item = item_of(&shop, "background");
    assert_int_equal(item->line_count, 2);
    assert_int_equal(item->lines[0].piece_width, IN(69 + 16 + 0.5));
    assert_int_equal(item->lines[1].piece_width, IN(69.5));
    assert_int_equal(item->lines[1].piece_height, IN(8.5));
}

/* oldmvc.villageserver.com: borders of 1 and 2 in on a body that measures 32 1/2 x 44 in
 * unfinished: sides of 44 and 46 in, ends of 34 1/2 and 38 1/2 in, cut 1 1/2 and 2 1/2.
 */
static void borders_one_round_another_are_cut_as_published(void **state)
{
    (void)state;
    quilt_design design; /* 32 x 43 1/2 in of half-inch squares */
    const char one[] = "block one  S\n";
    assert_true(quilt_design_parse(one, strlen(one), "one", &design, NULL));
    quilt_frame frame = quilt_frame_make(&design, 64, 87, IN(1), QUILT_SEAM);
    frame.border_count = 2;
    frame.borders[0] = (quilt_frame_border){ IN(1), QUILT_ACCENT, false };
    frame.borders[1] = (quilt_frame_border){ IN(2), QUILT_DARK, false };
    static const double sides[2] = { 44, 46 }, ends[2] = { 34.5, 38.5 };
    quilt_buying buying = quilt_buying_defaults();
    buying.cloth = IN(100); /* so that none is joined */
    quilt_shopping shop = shopped(&design, &frame, &buying);
    for (int b = 0; b < 2; b++) {
        const quilt_item *item = item_of(&shop, b == 0 ? "accent" : "dark");
        assert_int_equal(item->lines[0].piece_width, IN(sides[b]));
        assert_int_equal(item->lines[1].piece_width, IN(ends[b]));
        assert_int_equal(item->lines[0].piece_height, IN(1.5 + b));
    }
}

/* honeybegood.com (2012) and project12quilts (2012) list the packages; derived: 63 x 90
 * with 4 in a side needs 71 x 98, for which full fails by 2 in; with 3 it does. */
static void batting_is_the_smallest_package_that_covers(void **state)
{
    (void)state;
    static const struct {
        double width, height;
        const char *packaged;
    } rows[] = { { 71, 98, "queen" }, { 69, 96, "full" },   { 98, 71, "queen" },
                 { 36, 45, "craft" }, { 120, 120, "king" }, { 121, 60, NULL } };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        quilt_batting batting =
            quilt_batting_of((quilt_extent){ IN(rows[i].width), IN(rows[i].height) });
        if (g_strcmp0(batting.packaged, rows[i].packaged) != 0)
            fail_msg("%g x %g: %s", rows[i].width, rows[i].height, batting.packaged);
    }
}

/* sewhelpmequilts.com: 7 3/4 in for eight at a time; theashleytomlinson.com: 5 in squares
 * trimmed; North Hampshire Quilters: 3 7/8 in two at a time, or 4 1/8 in and trim. */
static void triangles_are_asked_for_by_the_way_they_are_made(void **state)
{
    (void)state;
    static const struct {
        quilt_hst hst;
        double cut;
        int64_t each;
    } rows[] = { { QUILT_HST_TWO, 3.875, 6 },
                 { QUILT_HST_TRIMMED, 4.125, 6 },
                 { QUILT_HST_EIGHT, 7.75, 2 },
                 { QUILT_HST_CORNER, 3.5, 12 } };
    quilt_design design = design_of("friendship-star"); /* 4 a block */
    quilt_frame frame = quilt_frame_make(&design, 3, 1, IN(3.5), QUILT_SEAM);
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        quilt_buying buying = quilt_buying_defaults();
        buying.hst = rows[i].hst;
        quilt_shopping shop = shopped(&design, &frame, &buying);
        assert_int_equal(shop.triangle_count, 1);
        assert_int_equal(shop.triangles[0].count, 12);
        assert_int_equal(shop.triangles[0].cut, IN(rows[i].cut));
        assert_int_equal(shop.triangles[0].squares[0], rows[i].each);
        assert_int_equal(asked_of(&shop, QUILT_SCRAP, QUILT_PART_TRIANGLES),
                         rows[i].each);
        assert_int_equal(
            line_of(item_of(&shop, "background"), QUILT_PART_TRIANGLES, 0)->pieces,
            rows[i].each);
    }
}

/* joanne-everyonedeservesaquilt (2014) and Dalmeny Quilters for blocks of 6 in, Pine
 * Meadows Designs for 12 in; derived: 3 x 4 have 10 side triangles off 3 squares, and
 * always 4 corners off 2. */
static void setting_triangles_are_cut_as_published(void **state)
{
    (void)state;
    static const struct {
        double unit, side, corner;
    } rows[] = { { 2.5, 9.75, 5.125 }, { 4.5, 18.25, 9.375 } };
    quilt_design design = design_of("nine-patch-on-point");
    quilt_buying buying = quilt_buying_defaults();
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        quilt_frame frame = quilt_frame_make(&design, 3, 4, IN(rows[i].unit), QUILT_SEAM);
        quilt_shopping shop = shopped(&design, &frame, &buying);
        const quilt_item *item = item_of(&shop, "background");
        const quilt_line *side = line_of(item, QUILT_PART_SIDE, 0);
        const quilt_line *corner = line_of(item, QUILT_PART_CORNER, 0);
        assert_int_equal(side->piece_width, IN(rows[i].side));
        assert_int_equal(side->pieces, 3);
        assert_int_equal(side->parts, 4);
        assert_int_equal(corner->piece_width, IN(rows[i].corner));
        assert_int_equal(corner->pieces, 2);
        assert_int_equal(corner->parts, 2);
    }
}

/* bobbininquilts.com: 300 pieces of 3 x 2 in take 48 in as strips of 2 in; derived:
 * turned, strips of 3 in, 45 in. Here as sashes: 10 x 11 blocks of 2 1/2 in finished have
 * 9 x 11 + 10 x 10 = 199, cut 3 x 2: 16 strips of 2 in or 10 of 3 in. */
static void sashes_are_turned_where_that_saves_cloth(void **state)
{
    (void)state;
    quilt_design design;
    const char one[] = "block one  S\nsash 1 1/2 in B cornerstones S\n";
    assert_true(quilt_design_parse(one, strlen(one), "one", &design, NULL));
    quilt_frame frame = quilt_frame_make(&design, 10, 11, IN(3), QUILT_SEAM);
    quilt_buying buying = quilt_buying_defaults();
    quilt_shopping shop = shopped(&design, &frame, &buying);
    assert_int_equal(item_of(&shop, "background")->cut_length, IN(30));
    assert_int_equal(asked_of(&shop, QUILT_SCRAP, QUILT_PART_CORNERSTONE), 9 * 10);
    buying.directional = true;
    shop = shopped(&design, &frame, &buying);
    assert_int_equal(item_of(&shop, "background")->cut_length, IN(32));
}

/* The law: what is cut covers the finished quilt, no more and no less. */
static void check_area(const quilt_design *design, const quilt_frame *frame)
{
    quilt_buying buying = quilt_buying_defaults();
    quilt_shopping shop = shopped(design, frame, &buying);
    int64_t covers = 0;
    for (int i = 0; i < shop.item_count; i++)
        for (int line = 0; line < shop.items[i].line_count; line++)
            covers += shop.items[i].lines[line].covers_twice;
    for (int i = 0; i < shop.asked_count; i++)
        covers += shop.asked[i].covers_twice;
    int64_t area = 2 * (int64_t)shop.sizes.finished.width * shop.sizes.finished.height;
    /* On point the sides are irrational and told to half a unit. */
    int64_t off =
        frame->on_point
            ? 2 * ((int64_t)shop.sizes.finished.width + shop.sizes.finished.height)
            : 0;
    if (covers > area + off || covers < area - off)
        fail_msg("%s, %d x %d: pieces %" PRId64 ", quilt %" PRId64, design->id,
                 frame->across, frame->down, covers, area);
}

static void the_areas_of_all_pieces_sum_to_the_quilt(void **state)
{
    (void)state;
    int count;
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    for (int i = 0; i < count; i++) {
        quilt_design design = design_of(entries[i].name);
        for (int way = 0; way < 12; way++) {
            design.set = way % 2 == 0 ? design.set : QUILT_ON_POINT;
            quilt_frame frame =
                quilt_frame_make(&design, 4 + way / 2 * 2, 6, IN(2.5), QUILT_SEAM);
            frame.sash = way % 3 == 0 ? frame.sash : way * IN(0.5);
            frame.sash_around = way % 4 > 1;
            frame.cornerstones = way % 3 == 2;
            frame.border_count = way % 5;
            for (int b = 0; b < frame.border_count; b++)
                frame.borders[b] = (quilt_frame_border){ IN(1 + 2 * b), QUILT_ACCENT,
                                                         (way + b) % 2 == 0 };
            check_area(&design, &frame);
        }
    }
}

/* Smallest to largest, every cloth alone. */
static void yardage_never_falls_when_a_quilt_grows(void **state)
{
    (void)state;
    static const char *const designs[] = { "lattice-chain",       "churn-dash",
                                           "nine-patch-on-point", "broken-dishes",
                                           "double-irish-chain",  "shoo-fly" };
    quilt_buying buying = quilt_buying_defaults();
    buying.sleeve = IN(4);
    buying.shrink = 30;
    buying.share = 50;
    for (size_t i = 0; i < G_N_ELEMENTS(designs); i++) {
        for (int way = 0; way < 4; way++) {
            buying.binding_bias = way % 2;
            buying.use_ends = way >= 2;
            buying.cloth = way == 3 ? IN(37.5) : IN(40);
            memset(buying.from_basket, way < 2, sizeof buying.from_basket);
            buying.hst = (quilt_hst)way;
            quilt_design design = design_of(designs[i]);
            length before[2][QUILT_ROLES + 4] = { 0 };
            for (int n = 1; n <= 60; n++) {
                for (int down = 0; down < 2; down++) {
                    quilt_frame frame = quilt_frame_make(&design, down ? 9 : n,
                                                         down ? n : 9, IN(2), QUILT_SEAM);
                    frame.border_count = 2;
                    frame.borders[0] = (quilt_frame_border){ IN(2), QUILT_ACCENT, false };
                    frame.borders[1] = (quilt_frame_border){ IN(5), QUILT_DARK, true };
                    quilt_shopping shop = shopped(&design, &frame, &buying);
                    for (int k = 0; k < shop.item_count; k++) {
                        const quilt_item *item = &shop.items[k];
                        int key = item->use == QUILT_USE_ROLE
                                      ? (int)item->role
                                      : QUILT_ROLES + (int)item->use;
                        if (item->cut_length < before[down][key])
                            fail_msg("%s of %s falls at %d blocks", quilt_item_name(item),
                                     designs[i], n);
                        before[down][key] = item->cut_length;
                    }
                }
            }
        }
    }
}

static bool apart(quilt_rect a, quilt_rect b)
{
    return a.x + a.width <= b.x || b.x + b.width <= a.x || a.y + a.height <= b.y ||
           b.y + b.height <= a.y;
}

/* Strips lie apart within the cloth, and every piece within its strip, apart from the
 * others: so two straight cuts free each. */
static void check_cloth(const char *design, const quilt_item *item)
{
    int64_t end = 0;
    for (int i = 0; i < item->line_count; i++) {
        const quilt_line *line = &item->lines[i];
        for (int64_t s = 0; s < line->strips; s++) {
            quilt_rect strip = quilt_line_strip(line, s);
            if (strip.y != end || strip.x != 0 || strip.width > item->cloth_width)
                fail_msg("%s: a strip lies off the cloth", design);
            end += strip.height;
        }
        if (line->joined)
            continue;
        /* Those on the ends of another line's strips are test_cloth.c's matter. */
        for (int64_t p = 0; p < line->pieces - line->ends.pieces; p++) {
            quilt_rect piece = quilt_line_piece(line, line->ends.pieces + p);
            quilt_rect strip = quilt_line_strip(line, p / line->per_strip);
            if (p / line->per_strip >= line->strips || piece.x < 0 ||
                piece.x + piece.width > strip.width || piece.y != strip.y ||
                piece.height > strip.height)
                fail_msg("%s: a piece lies off its strip", design);
            if (p % line->per_strip > 0 &&
                !apart(piece, quilt_line_piece(line, line->ends.pieces + p - 1)))
                fail_msg("%s: two pieces overlap", design);
        }
    }
    assert_int_equal(end, item->cut_length);
    assert_true(item->buy_yards >= item->length_need &&
                item->buy_yards < item->length_need + LENGTH_YARD / 8);
    assert_true(item->buy_metres >= item->length_need &&
                item->buy_metres < item->length_need + 5 * LENGTH_CM);
}

static void every_cutting_list_fits_on_its_cloth(void **state)
{
    (void)state;
    int count;
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    for (int i = 0; i < count; i++) {
        for (int way = 0; way < 8; way++) {
            quilt_design design = design_of(entries[i].name);
            if (way % 4 == 3)
                design.set = QUILT_ON_POINT;
            quilt_frame frame =
                quilt_frame_make(&design, 6 + way * 2, 8, IN(2.5), QUILT_SEAM);
            frame.sash = way % 2 ? IN(1.5) : frame.sash;
            frame.border_count = way % 3;
            for (int b = 0; b < frame.border_count; b++)
                frame.borders[b] =
                    (quilt_frame_border){ IN(3), QUILT_BACKGROUND, way % 2 == 0 };
            quilt_buying buying = quilt_buying_defaults();
            buying.hst = (quilt_hst)(way % 4);
            buying.sleeve = IN(4);
            buying.binding_bias = way % 2 == 0;
            buying.use_ends = way >= 4;
            memset(buying.from_basket, way % 2, sizeof buying.from_basket);
            quilt_shopping shop = shopped(&design, &frame, &buying);
            for (int k = 0; k < shop.item_count; k++)
                check_cloth(entries[i].name, &shop.items[k]);
        }
    }
}

/* Joined strips are long enough for what is cut from them, joins taken off. */
static void joined_strips_are_long_enough(void **state)
{
    (void)state;
    quilt_design design = design_of("nine-patch");
    quilt_buying buying = quilt_buying_defaults();
    for (int n = 4; n < 40; n += 3) {
        quilt_frame frame = quilt_frame_make(&design, n, n + 2, IN(2.5), QUILT_SEAM);
        frame.border_count = 1;
        frame.borders[0] = (quilt_frame_border){ IN(4), QUILT_ACCENT, false };
        quilt_shopping shop = shopped(&design, &frame, &buying);
        const quilt_item *item = item_of(&shop, "accent");
        int64_t have = 0, need = 0;
        for (int i = 0; i < item->line_count; i++) {
            const quilt_line *line = &item->lines[i];
            if (!line->joined)
                continue;
            have += line->strips * (item->cloth_width - 2 * QUILT_SEAM);
            need += line->pieces * line->piece_width;
        }
        assert_true(need == 0 ||
                    (have + 2 * QUILT_SEAM >= need && have < need + item->cloth_width));
    }
}

/* Derived from what is lost: 36 in after 3 in a hundred are lost is bought as 37.1 in. */
static void shrinkage_and_shares_are_added_before_rounding(void **state)
{
    (void)state;
    quilt_design design = design_of("single-irish-chain");
    quilt_frame frame = quilt_frame_make(&design, 14, 20, IN(2), QUILT_SEAM);
    quilt_buying buying = quilt_buying_defaults();
    buying.shrink = 30;
    quilt_shopping shop = shopped(&design, &frame, &buying);
    assert_true(fabs(length_to_inches(item_of(&shop, "background")->length_need) -
                     146 / 0.97) < 1e-3);
    buying.shrink = 0;
    buying.share = 100;
    buying.overage = IN(9);
    shop = shopped(&design, &frame, &buying);
    assert_int_equal(item_of(&shop, "background")->length_need, IN(146 * 1.1 + 9));
}

static void what_cannot_be_cut_is_refused(void **state)
{
    (void)state;
    quilt_design design = design_of("single-irish-chain");
    g_auto(quilt_layout) layout = { 0 };
    assert_true(quilt_layout_make(&design, 4, 4, (quilt_start){ 0, 0 }, &layout, NULL));
    static const struct {
        const char *what;
        double cloth;
        int shrink;
        double binding, margin;
        const char *code;
    } rows[] = {
        { "cloth below the widest cut", 1, 0, 0.5, 4, "quilt.cloth-too-narrow" },
        { "cloth below the binding", 5, 0, 6, 4, "quilt.cloth-too-narrow" },
        { "no cloth", 0, 0, 2, 4, "quilt.measure" },
        { "cloth below 0", -40, 0, 2, 4, "quilt.measure" },
        { "cloth that shrinks to half", 40, 500, 2, 4, "quilt.measure" },
        { "a margin below 0", 40, 0, 2, -1, "quilt.measure" },
        { "a binding below 0", 40, 0, -2, 4, "quilt.measure" },
    };
    quilt_frame frame = quilt_frame_make(&design, 4, 4, IN(2), QUILT_SEAM);
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        quilt_buying buying = quilt_buying_defaults();
        buying.cloth = IN(rows[i].cloth);
        buying.shrink = rows[i].shrink;
        buying.binding = IN(rows[i].binding);
        buying.backing_margin = IN(rows[i].margin);
        quilt_shopping shop;
        g_autoptr(GError) error = NULL;
        if (quilt_shopping_make(&design, &layout, &frame, &buying, &shop, &error))
            fail_msg("%s is taken", rows[i].what);
        if (strcmp(motley_error_code(error), rows[i].code) != 0)
            fail_msg("%s: %s", rows[i].what, error->message);
    }
}

/* A whole block that is wider than the cloth is sewn from its squares instead. */
static void plain_blocks_wider_than_the_cloth_stay_in_squares(void **state)
{
    (void)state;
    quilt_design design = design_of("single-irish-chain");
    quilt_frame frame = quilt_frame_make(&design, 2, 2, IN(2), QUILT_SEAM);
    quilt_buying buying = quilt_buying_defaults();
    buying.cloth = IN(4);
    quilt_shopping shop = shopped(&design, &frame, &buying);
    const quilt_item *item = item_of(&shop, "background");
    assert_int_equal(item->line_count, 1);
    assert_int_equal(item->lines[0].pieces, 2 * 4 + 2 * 9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_irish_chain_takes_146_in_of_background),
        cmocka_unit_test(ends_of_strips_give_smaller_squares),
        cmocka_unit_test(strips_are_counted_as_published),
        cmocka_unit_test(backings_are_pieced_as_published),
        cmocka_unit_test(bindings_take_the_published_strips),
        cmocka_unit_test(a_short_binding_is_one_strip),
        cmocka_unit_test(joined_strips_are_used_to_the_inch),
        cmocka_unit_test(bias_squares_are_cut_as_published),
        cmocka_unit_test(mitres_and_sleeves_are_cut_as_published),
        cmocka_unit_test(borders_are_cut_as_published),
        cmocka_unit_test(borders_one_round_another_are_cut_as_published),
        cmocka_unit_test(batting_is_the_smallest_package_that_covers),
        cmocka_unit_test(triangles_are_asked_for_by_the_way_they_are_made),
        cmocka_unit_test(setting_triangles_are_cut_as_published),
        cmocka_unit_test(sashes_are_turned_where_that_saves_cloth),
        cmocka_unit_test(the_areas_of_all_pieces_sum_to_the_quilt),
        cmocka_unit_test(yardage_never_falls_when_a_quilt_grows),
        cmocka_unit_test(every_cutting_list_fits_on_its_cloth),
        cmocka_unit_test(joined_strips_are_long_enough),
        cmocka_unit_test(shrinkage_and_shares_are_added_before_rounding),
        cmocka_unit_test(what_cannot_be_cut_is_refused),
        cmocka_unit_test(plain_blocks_wider_than_the_cloth_stay_in_squares),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
