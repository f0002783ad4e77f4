#include "test.h"

#include "base/error.h"
#include "quilt/press.h"
#include "quilt/reuse.h"

static const char lattice_chain[] = "name   Lattice chain\n"
                                    "block plain   S S S / S S S / S S S\n"
                                    "block cross   B S B / S B S / B S B\n"
                                    "block stroke  B S S / S B S / S S B\n"
                                    "repeat cross plain plain plain\n"
                                    "repeat plain stroke plain stroke+1\n"
                                    "repeat plain plain cross plain\n"
                                    "repeat plain stroke+1 plain stroke\n";

static quilt_design parsed(const char *text)
{
    quilt_design design;
    GError *error = NULL;
    if (!quilt_design_parse(text, strlen(text), "test", &design, &error))
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

/* Counted by hand: of each 4 x 4 repeat 2 are crosses, 4 strokes, 10 plain; 12 repeats.
 */
static void lattice_chain_of_12_x_16_gives_24_crosses(void **state)
{
    (void)state;
    quilt_design design = parsed(lattice_chain);
    g_auto(quilt_layout) layout = laid(&design, 12, 16);
    quilt_count count;
    quilt_layout_count(&design, &layout, &count);

    assert_int_equal(layout.kinds.count, 3);
    assert_int_equal(count.blocks, 192);
    assert_int_equal(count.kind_blocks[0], 120);
    assert_int_equal(count.kind_blocks[1], 24);
    assert_int_equal(count.kind_blocks[2], 48);
    /* A cross has 5 background squares, a stroke 3. */
    assert_int_equal(count.squares[QUILT_BACKGROUND], 24 * 5 + 48 * 3);
    assert_int_equal(count.squares[QUILT_SCRAP], 192 * 9 - 24 * 5 - 48 * 3);
}

/* The patch at a place of the whole quilt, by what the text of the design says and not by
 * the layout: the brute-force count. */
static quilt_patch patch_of_text(const quilt_design *design, int row, int col)
{
    int side = design->blocks[0].side;
    quilt_cell cell = design->repeat[row / side % design->rows * design->cols +
                                     col / side % design->cols];
    int r = row % side, c = col % side;
    /* Where that patch is when the block is not turned: turned back one by one. */
    for (int turn = 0; turn < cell.turn; turn++) {
        int back_row = side - 1 - c;
        c = r;
        r = back_row;
    }
    return design->blocks[cell.block].patches[r * side + c];
}

static void squares_agree_with_a_count_patch_by_patch(void **state)
{
    (void)state;
    quilt_design design = parsed(lattice_chain);
    g_auto(quilt_layout) layout = laid(&design, 7, 5);
    quilt_count count;
    quilt_layout_count(&design, &layout, &count);
    int64_t squares[QUILT_ROLES] = { 0 };
    for (int row = 0; row < 15; row++)
        for (int col = 0; col < 21; col++)
            squares[patch_of_text(&design, row, col).role[0]]++;
    for (int role = 0; role < QUILT_ROLES; role++)
        assert_int_equal(count.squares[role], squares[role]);
}

static void sizes_out_of_bounds_are_refused(void **state)
{
    (void)state;
    static const struct {
        int across, down;
    } bad[] = { { 0, 0 }, { 0, 5 }, { 5, -1 }, { 10000, 10000 }, { 1001, 1 } };
    quilt_design design = parsed(lattice_chain);
    for (size_t i = 0; i < G_N_ELEMENTS(bad); i++) {
        g_autoptr(GError) error = NULL;
        quilt_layout layout;
        assert_false(quilt_layout_make(&design, bad[i].across, bad[i].down,
                                       (quilt_start){ 0, 0 }, &layout, &error));
        assert_string_equal(motley_error_code(error), "quilt.size");
        assert_non_null(strstr(error->message, "1000"));
    }
}

/* Barn raising as drawn in the 4 x 4 of the trade: "half half+2 half+3 half+1 / ...". */
static void quarters_turn_about_the_middle(void **state)
{
    (void)state;
    static const uint8_t want[4][4] = {
        { 0, 2, 3, 1 }, { 2, 0, 1, 3 }, { 1, 3, 2, 0 }, { 3, 1, 0, 2 }
    };
    quilt_design design =
        parsed("block half  L L S / L S D / S D D\n"
               "repeat half half+2\nrepeat half+2 half\nset quarters\n");
    g_auto(quilt_layout) layout = laid(&design, 4, 4);
    for (int row = 0; row < 4; row++) {
        int count;
        const quilt_place *places = quilt_layout_row(&layout, row, &count);
        assert_int_equal(count, 4);
        for (int col = 0; col < 4; col++)
            if (places[col].turn != want[row][col])
                fail_msg("row %d, place %d: turn %d, the trade has %d", row, col,
                         places[col].turn, want[row][col]);
    }
}

/* The law of the page on designs: the last cell touches the middle, the repeat runs up
 * and left from there, and a quarter turn of the whole quilt changes nothing. */
static void quarters_are_one_quarter_turned_four_times(void **state)
{
    (void)state;
    quilt_design design =
        parsed("block a  S S / S S\nblock b  S B / B B\nblock c  D S / S S\n"
               "repeat a b c+1\nrepeat b+2 b c\nset quarters\n");
    enum { N = 10 };
    g_auto(quilt_layout) layout = laid(&design, N, N);
    for (int row = 0; row < N; row++) {
        for (int col = 0; col < N; col++) {
            quilt_place here = layout.places[row * N + col];
            /* Turned clockwise, what is here comes to (col, N - 1 - row). */
            quilt_place there = layout.places[col * N + N - 1 - row];
            assert_int_equal(there.kind, here.kind);
            assert_int_equal(there.turn, (here.turn + 1) % 4);
        }
    }
    for (int up = 0; up < N / 2; up++) {
        for (int out = 0; out < N / 2; out++) {
            quilt_place here = layout.places[(N / 2 - 1 - up) * N + N / 2 - 1 - out];
            quilt_cell want = design.repeat[(1 - up % 2) * 3 + 2 - out % 3];
            assert_int_equal(here.kind, layout.kinds.kind_of[want.block]);
            assert_int_equal(here.turn, want.turn);
        }
    }
}

static void quarters_want_even_numbers(void **state)
{
    (void)state;
    quilt_design design = parsed("block trip  D L A / L A D / A D L\nset quarters\n");
    g_autoptr(GError) error = NULL;
    quilt_layout layout;
    assert_false(
        quilt_layout_make(&design, 4, 7, (quilt_start){ 0, 0 }, &layout, &error));
    assert_string_equal(motley_error_code(error), "quilt.uneven");
    assert_non_null(strstr(error->message, "6 or 8 in place of 7"));
}

/* a x b + (a - 1)(b - 1), of which the inner ones are plain: the classic set. */
static void on_point_the_repeat_runs_along_the_diagonals(void **state)
{
    (void)state;
    quilt_design design =
        parsed("block nine  S B S / B S B / S B S\nblock plain  B B B / B B B / B B B\n"
               "repeat nine plain\nrepeat plain nine\nset on point\n");
    g_auto(quilt_layout) layout = laid(&design, 3, 4);
    quilt_count count;
    quilt_layout_count(&design, &layout, &count);
    assert_int_equal(layout.rows, 7);
    assert_int_equal(count.blocks, 18);
    assert_int_equal(count.kind_blocks[0], 12);
    assert_int_equal(count.kind_blocks[1], 6);
    for (int row = 0, seen = 0; row < layout.rows; row++) {
        int count_here;
        const quilt_place *places = quilt_layout_row(&layout, row, &count_here);
        assert_ptr_equal(places, layout.places + seen);
        assert_int_equal(count_here, row % 2 == 0 ? 3 : 2);
        assert_int_equal(places[0].kind, row % 2);
        seen += count_here;
    }
}

/* One step of the repeat to the right is the block below to the right, one step down the
 * block below to the left. */
static void on_point_steps_of_the_repeat_are_steps_along_the_diagonals(void **state)
{
    (void)state;
    quilt_design design =
        parsed("block a  S S / S S\nblock b  S B / B B\nblock c  D S / S S\n"
               "repeat a b c\nrepeat c+1 c b\nrepeat b a+3 a\n"
               "repeat a a c\nset on point\n");
    g_auto(quilt_layout) layout = laid(&design, 7, 6);
    assert_int_equal(layout.places[0].kind, 0);
    /* Steps of the repeat from the first place to each. */
    g_autofree int *down = g_new0(int, layout.count), *right = g_new0(int, layout.count);
    int seen = 0;
    for (int row = 0, place = 0; row < layout.rows; row++) {
        int count;
        quilt_layout_row(&layout, row, &count);
        for (int col = 0; col < count; col++, place++) {
            quilt_cell want =
                design
                    .repeat[(down[place] + 4 * layout.count) % 4 * 3 + right[place] % 3];
            assert_int_equal(layout.places[place].kind, layout.kinds.kind_of[want.block]);
            assert_int_equal(layout.places[place].turn, want.turn);
            int next = quilt_layout_neighbour(&layout, row, col, QUILT_EDGE_RIGHT);
            if (next >= 0) {
                right[next] = right[place] + 1;
                down[next] = down[place];
            }
            next = quilt_layout_neighbour(&layout, row, col, QUILT_EDGE_BOTTOM);
            if (next >= 0) {
                right[next] = right[place];
                down[next] = down[place] + 1;
            }
            /* Along the top row, two places apart: once right, once back up. */
            if (row == 0 && col + 1 < count) {
                right[place + 1] = right[place] + 1;
                down[place + 1] = down[place] - 1;
            }
            seen++;
        }
    }
    assert_int_equal(seen, 7 * 6 + 6 * 5);
}

static void an_even_start_ends_alike_at_both_edges(void **state)
{
    (void)state;
    quilt_design chain =
        parsed("block nine  S B S / B S B / S B S\nblock plain  B B B / B B B / B B B\n"
               "repeat nine plain\nrepeat plain nine\n");
    bool alike;
    quilt_start start = quilt_start_even(&chain, 13, 17, &alike);
    assert_true(alike);
    assert_int_equal(start.row, 0);
    assert_int_equal(start.col, 0);
    quilt_start_even(&chain, 14, 17, &alike);
    assert_false(alike);

    /* Teeth up in one row and down in the next: even numbers begin and end alike. */
    quilt_design teeth = parsed("block up    B/S B\\S / S S\nblock down  S S / S\\B S/B\n"
                                "repeat up\nrepeat down\n");
    start = quilt_start_even(&teeth, 3, 4, &alike);
    assert_true(alike);
    quilt_start_even(&teeth, 3, 5, &alike);
    assert_false(alike);

    /* Of the lattice chain an odd number can begin and end on the same column. */
    quilt_design lattice = parsed(lattice_chain);
    quilt_start_even(&lattice, 13, 17, &alike);
    assert_true(alike);
}

/* What lies a quarter of a patch from the middle of its edges, as the plane shows it: on
 * point a block's own right leads down to the right and its own down to the left. Points
 * are in quarters of a patch from the top corner of the quilt's middle block column. */
static char point_in_plane(const quilt_design *design, const quilt_layout *layout,
                           int row, int index, int patch_row, int patch_col, int point,
                           int64_t *ret_x, int64_t *ret_y)
{
    static const int along[4] = { 2, 3, 2, 1 }, beneath[4] = { 1, 2, 3, 2 };
    int count;
    const quilt_place *place = quilt_layout_row(layout, row, &count) + index;
    const quilt_block *block = &design->blocks[layout->kinds.kinds[place->kind].block];
    int64_t size = 4 * block->side;
    quilt_patch patch = quilt_block_at(block, place->turn, patch_row, patch_col);
    bool second = patch.split == QUILT_RISING    ? point == 1 || point == 2
                  : patch.split == QUILT_FALLING ? point == 2 || point == 3
                                                 : false;
    /* The block's top corner, then down to the right and down to the left. */
    int64_t a = 4 * patch_col + along[point], b = 4 * patch_row + beneath[point];
    *ret_x = size * (2 * index + 1 + row % 2) + a - b;
    *ret_y = size * row + a + b;
    return quilt_role_letter(patch.role[second]);
}

/* Compares every point of the plane with its image in a mirror across it. */
static bool plane_is_even(const quilt_design *design, int across, int down,
                          quilt_start start)
{
    g_auto(quilt_layout) layout = { 0 };
    assert_true(quilt_layout_make(design, across, down, start, &layout, NULL));
    int side = quilt_design_side(design);
    int64_t width = 8 * side * across, height = 8 * side * down;
    g_autofree char *plane = g_malloc0((gsize)((width + 1) * (height + 1)));
    for (int row = 0; row < layout.rows; row++) {
        int count;
        quilt_layout_row(&layout, row, &count);
        for (int i = 0; i < count * side * side * 4; i++) {
            int64_t x, y;
            char role = point_in_plane(design, &layout, row, i / (side * side * 4),
                                       i / 4 / side % side, i / 4 % side, i % 4, &x, &y);
            plane[y * width + x] = role;
        }
    }
    for (int64_t y = 0; y <= height; y++)
        for (int64_t x = 1; x < width; x++)
            if (plane[y * width + x] != plane[y * width + width - x] ||
                plane[y * width + x] != plane[(height - y) * width + x])
                return false;
    return true;
}

/* Every start is drawn: the one given is even when any is, and it says so. */
static void an_even_start_on_point_ends_alike_in_the_plane(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "block nine  S B S / B S B / S B S\nblock plain  B B B / B B B / B B B\n"
        "repeat nine plain\nrepeat plain nine\n",
        "block up    B/S B\\S / S S\nblock down  S S / S\\B S/B\n"
        "repeat up\nrepeat down\n",
        "block leaf  B/S B / S S/B\nrepeat leaf leaf+1\nrepeat leaf+3 leaf+2\n",
        "block a S\nblock b L\nblock c D\nrepeat a b c\n",
        lattice_chain,
    };
    int even = 0, odd = 0;
    for (size_t t = 0; t < G_N_ELEMENTS(texts); t++) {
        quilt_design design = parsed(texts[t]);
        design.set = QUILT_ON_POINT;
        for (int across = 2; across < 6; across++) {
            for (int down = 2; down < 5; down++) {
                bool alike, any = false;
                quilt_start start = quilt_start_even(&design, across, down, &alike);
                for (int r = 0; r < design.rows && !any; r++)
                    for (int c = 0; c < design.cols && !any; c++)
                        any = plane_is_even(&design, across, down, (quilt_start){ r, c });
                /* A small quilt may be even where its pattern would not go on so. */
                if (alike && !plane_is_even(&design, across, down, start))
                    fail_msg("design %d, %d x %d is called even", (int)t, across, down);
                if (any && !alike && across > 3 && down > 3)
                    fail_msg("design %d, %d x %d can be even", (int)t, across, down);
                even += alike;
                odd += !any;
            }
        }
    }
    assert_true(even > 5 && odd > 5);
}

/* By hand: 100 nine patches in an Irish chain of 13 x 17, which has 111 and 110 plain. */
static void blocks_made_already_find_their_places(void **state)
{
    (void)state;
    quilt_design chain =
        parsed("block nine  S B S / B S B / S B S\nblock plain  B B B / B B B / B B B\n"
               "repeat nine plain\nrepeat plain nine\n");
    quilt_design stroke = parsed("block stroke  S S B / S B S / B S S\n");
    quilt_made made[] = { { chain.blocks[0], 90 },
                          { quilt_block_turn(&chain.blocks[0], 1), 10 },
                          { stroke.blocks[0], 5 } };
    g_auto(quilt_layout) layout = laid(&chain, 13, 17);
    quilt_reuse reuse;
    quilt_reuse_of(&chain, &layout, G_N_ELEMENTS(made), made, &reuse);
    assert_int_equal(reuse.taken, 100);
    assert_int_equal(reuse.spare, 5);
    assert_int_equal(reuse.left, 11 + 110);
    assert_int_equal(reuse.left_of[0], 11);
    assert_int_equal(reuse.squares[QUILT_SCRAP], 11 * 5);
    assert_int_equal(reuse.squares[QUILT_BACKGROUND], 11 * 4 + 110 * 9);

    /* A stroke leaning the other way is the same kind, turned. */
    quilt_design lattice = parsed(lattice_chain);
    g_auto(quilt_layout) other = laid(&lattice, 4, 4);
    quilt_reuse_of(&lattice, &other, 1, &made[2], &reuse);
    assert_int_equal(reuse.taken, 4);
    assert_int_equal(reuse.spare, 1);
    assert_int_equal(reuse.left, 12);
}

static void shares_of_roles_are_shares_of_area(void **state)
{
    (void)state;
    quilt_design design = parsed("block one  S B/S / S\\D B\n");
    g_auto(quilt_layout) layout = laid(&design, 3, 5);
    quilt_count count;
    quilt_layout_count(&design, &layout, &count);
    const bool scraps[QUILT_ROLES] = { [QUILT_SCRAP] = true };
    assert_true(fabs(quilt_count_share(&count, scraps) - 0.5) < 1e-12);
    const bool all[QUILT_ROLES] = { true, true, true, true, true };
    assert_true(quilt_count_share(&count, all) == 1.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lattice_chain_of_12_x_16_gives_24_crosses),
        cmocka_unit_test(squares_agree_with_a_count_patch_by_patch),
        cmocka_unit_test(sizes_out_of_bounds_are_refused),
        cmocka_unit_test(quarters_turn_about_the_middle),
        cmocka_unit_test(quarters_are_one_quarter_turned_four_times),
        cmocka_unit_test(quarters_want_even_numbers),
        cmocka_unit_test(on_point_the_repeat_runs_along_the_diagonals),
        cmocka_unit_test(blocks_made_already_find_their_places),
        cmocka_unit_test(shares_of_roles_are_shares_of_area),
        cmocka_unit_test(on_point_steps_of_the_repeat_are_steps_along_the_diagonals),
        cmocka_unit_test(an_even_start_ends_alike_at_both_edges),
        cmocka_unit_test(an_even_start_on_point_ends_alike_in_the_plane),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
