#include "test.h"

#include "quilt/catalogue.h"
#include "quilt/press.h"

static quilt_design design_of(const char *name)
{
    quilt_design design;
    GError *error = NULL;
    if (!quilt_catalogue_design(name, &design, &error))
        fail_msg("%s", error->message);
    return design;
}

static quilt_layout laid(const quilt_design *design, int across, int down)
{
    quilt_layout layout;
    GError *error = NULL;
    if (!quilt_layout_make(design, across, down, (quilt_start){ 0, 0 }, &layout, &error))
        fail_msg("%s", error->message);
    return layout;
}

/* Followed by hand with a nine patch, as alefthandedquilter (2022) and grammilousgarden
 * (2015) press it: rows 1 and 3 outward, row 2 inward, long seams to the middle. */
static void a_nine_patch_has_out_edges_above_and_in_edges_beside(void **state)
{
    (void)state;
    quilt_pressing nine = quilt_pressing_of(3, 0, QUILT_PRESS_USUAL);
    assert_int_equal(nine.seams, 2);
    /* Top, from the left: the first seam lies left, against the clock; the second right.
     */
    assert_int_equal(nine.lies[QUILT_EDGE_TOP][0], -1);
    assert_int_equal(nine.lies[QUILT_EDGE_TOP][1], 1);
    /* Right, from the top: the first lies down, clockwise; the second up. */
    assert_int_equal(nine.lies[QUILT_EDGE_RIGHT][0], 1);
    assert_int_equal(nine.lies[QUILT_EDGE_RIGHT][1], -1);
    assert_memory_equal(nine.lies[QUILT_EDGE_TOP], nine.lies[QUILT_EDGE_BOTTOM], 2);
    assert_memory_equal(nine.lies[QUILT_EDGE_LEFT], nine.lies[QUILT_EDGE_RIGHT], 2);
}

/* Derived from that: with all places at one turn no neighbouring pair nests; with turns
 * like a checkerboard all do; half turns change nothing. */
static void nine_patches_nest_when_turns_follow_a_checkerboard(void **state)
{
    (void)state;
    quilt_design design = design_of("nine-patch");
    g_auto(quilt_layout) layout = laid(&design, 5, 7);
    quilt_nesting nesting = quilt_layout_nesting(&design, &layout, NULL);
    assert_int_equal(nesting.joints, 4 * 7 + 5 * 6);
    assert_int_equal(nesting.nested, 0);
    for (int i = 0; i < layout.count; i++)
        layout.places[i].turn = (uint8_t)(i % 3 == 0 ? 2 : 0);
    assert_int_equal(quilt_layout_nesting(&design, &layout, NULL).nested, 0);
    for (int row = 0; row < 7; row++)
        for (int col = 0; col < 5; col++)
            layout.places[row * 5 + col].turn = (uint8_t)((row + col) % 2);
    nesting = quilt_layout_nesting(&design, &layout, NULL);
    assert_int_equal(nesting.nested_joints, nesting.joints);
    assert_int_equal(nesting.nested, nesting.seams);
}

static void plain_blocks_nest_with_anything(void **state)
{
    (void)state;
    quilt_design design = design_of("single-irish-chain");
    g_auto(quilt_layout) layout = laid(&design, 6, 6);
    assert_int_equal(quilt_layout_nesting(&design, &layout, NULL).joints, 0);
}

static void four_patches_twirl_and_nest_whichever_way(void **state)
{
    (void)state;
    quilt_design design = design_of("four-patch");
    g_auto(quilt_layout) layout = laid(&design, 4, 4);
    for (int i = 0; i < layout.count; i++)
        layout.places[i].turn = (uint8_t)(i * 7 % 4);
    quilt_nesting nesting = quilt_layout_nesting(&design, &layout, NULL);
    assert_int_equal(nesting.nested, nesting.joints);
}

/* The seams' directions as points on paper: turned about the middle of the block and
 * compared where they meet, by another way than the room's. */
static int nested_on_paper(int side, int turn_one, int way_one, int turn_two, int way_two)
{
    int nested = 0;
    for (int y = 1; y < side; y++) {
        int dir[2];
        for (int block = 0; block < 2; block++) {
            int turn = block ? turn_two : turn_one, way = block ? way_two : way_one;
            /* The seam's end at height y on the right edge of the one, on the left edge
             * of the other, in doubled coordinates about the middle; turned back. */
            int px = block ? -side : side, py = 2 * y - side;
            for (int i = 0; i < turn; i++) {
                int old = px;
                px = py;
                py = -old;
            }
            /* Where that is in the block as drawn, the seam lies along (dx, dy). */
            int dx = 0, dy = 0;
            bool upright = py == side || py == -side; /* top or bottom */
            if (side % 2 == 1) {
                if (upright)
                    dx = px > 0 ? 1 : -1; /* outward */
                else
                    dy = py > 0 ? -1 : 1; /* to the middle; y grows down */
            } else if (side == 2) {       /* clockwise round the middle */
                dx = py < 0 && upright ? 1 : upright ? -1 : 0;
                dy = upright ? 0 : px > 0 ? 1 : -1;
            } else if (upright)
                dx = py < 0 ? 1 : -1; /* first row right, last row left */
            else
                dy = 1; /* down */
            int flip = way & (upright ? QUILT_PRESS_ROWS : QUILT_PRESS_LONG) ? -1 : 1;
            for (int i = 0; i < turn; i++) {
                int old = dx;
                dx = -dy;
                dy = old;
            }
            dir[block] = dy * flip;
        }
        nested += dir[0] == -dir[1];
    }
    return nested;
}

static void nesting_agrees_with_seams_turned_on_paper(void **state)
{
    (void)state;
    for (int side = 2; side <= 8; side++) {
        for (int i = 0; i < 256; i++) {
            int turn_one = i % 4, turn_two = i / 4 % 4, way_one = i / 16 % 4,
                way_two = i / 64;
            quilt_pressing one = quilt_pressing_of(side, turn_one, way_one);
            quilt_pressing two = quilt_pressing_of(side, turn_two, way_two);
            int got = quilt_pressing_nest(&one, QUILT_EDGE_RIGHT, &two);
            int want = nested_on_paper(side, turn_one, way_one, turn_two, way_two);
            if (got != want)
                fail_msg("side %d, turns %d %d, ways %d %d: %d nest, on paper %d", side,
                         turn_one, turn_two, way_one, way_two, got, want);
        }
    }
}

static void every_layout_can_be_pressed_to_nest(void **state)
{
    (void)state;
    static const char *const designs[] = { "lattice-chain",    "nine-patch-on-point",
                                           "dutchmans-puzzle", "four-patch",
                                           "churn-dash",       "barn-raising" };
    uint8_t ways[400];
    for (size_t i = 0; i < G_N_ELEMENTS(designs); i++) {
        for (int on_point = 0; on_point < 2; on_point++) {
            quilt_design design = design_of(designs[i]);
            if (on_point)
                design.set = QUILT_ON_POINT;
            g_auto(quilt_layout) layout = laid(&design, 8, 6);
            for (int p = 0; p < layout.count; p++) /* as an arrangement may turn them */
                layout.places[p].turn = (uint8_t)((p * 7 + p / 5) % 4);
            quilt_layout_pressing(&design, &layout, ways);
            quilt_nesting nesting = quilt_layout_nesting(&design, &layout, ways);
            assert_true(nesting.joints > 0 || strstr(designs[i], "point") != NULL);
            assert_int_equal(nesting.nested, nesting.seams);
        }
    }
}

static void neighbours_on_point_look_back(void **state)
{
    (void)state;
    quilt_design design = design_of("nine-patch-on-point");
    g_auto(quilt_layout) layout = laid(&design, 4, 3);
    int pairs = 0;
    for (int row = 0, place = 0; row < layout.rows; row++) {
        int count;
        quilt_layout_row(&layout, row, &count);
        for (int col = 0; col < count; col++, place++) {
            for (int edge = 0; edge < QUILT_EDGES; edge++) {
                int other = quilt_layout_neighbour(&layout, row, col, (quilt_edge)edge);
                if (other < 0)
                    continue;
                pairs++;
                int other_row =
                    row +
                    (edge == QUILT_EDGE_RIGHT || edge == QUILT_EDGE_BOTTOM ? 1 : -1);
                int length_here;
                const quilt_place *start =
                    quilt_layout_row(&layout, other_row, &length_here);
                int other_col = other - (int)(start - layout.places);
                assert_true(other_col >= 0 && other_col < length_here);
                assert_int_equal(quilt_layout_neighbour(&layout, other_row, other_col,
                                                        (quilt_edge)((edge + 2) % 4)),
                                 place);
            }
        }
    }
    /* Each of the 3 x 2 blocks between touches four. */
    assert_int_equal(pairs, 2 * 4 * 3 * 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_nine_patch_has_out_edges_above_and_in_edges_beside),
        cmocka_unit_test(nine_patches_nest_when_turns_follow_a_checkerboard),
        cmocka_unit_test(plain_blocks_nest_with_anything),
        cmocka_unit_test(four_patches_twirl_and_nest_whichever_way),
        cmocka_unit_test(nesting_agrees_with_seams_turned_on_paper),
        cmocka_unit_test(every_layout_can_be_pressed_to_nest),
        cmocka_unit_test(neighbours_on_point_look_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
