#include "test.h"

#include "base/error.h"
#include "base/random.h"
#include "plan/arrange.h"

enum { FABRICS = 12, BLOCKS_MOST = 64, SIDE = 3, HALVES = 2 * SIDE * SIDE };

/* A quilt with invented blocks; everything that plan_arrange_quilt points to. */
typedef struct fixture {
    quilt_design design;
    quilt_layout layout;
    float alike[FABRICS * FABRICS], light[FABRICS], target[BLOCKS_MOST];
    int16_t fabric[BLOCKS_MOST * HALVES];
    plan_arrange_block block[BLOCKS_MOST];
    plan_arrange_quilt quilt;
} fixture;

static void fixture_clear(fixture *f)
{
    quilt_layout_clear(&f->layout);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(fixture, fixture_clear)

static const char all_scraps[] = "name Nine patch\n"
                                 "block nine S S S / S S S / S S S\n"
                                 "repeat nine\n";

/* Of the two kinds one looks alike after every turn, the other after none. */
static const char two_kinds[] = "name Strokes\n"
                                "block cross B S B / S B S / B S B\n"
                                "block stroke B S S / S B S / S S S\n"
                                "repeat cross stroke\n"
                                "repeat stroke+1 cross\n";

static void lay_fixture(fixture *f, const char *text, int across, int down, uint64_t seed)
{
    g_autoptr(GError) error = NULL;
    *f = (fixture){ 0 };
    assert_true(quilt_design_parse(text, strlen(text), "test", &f->design, &error));
    assert_true(quilt_layout_make(&f->design, across, down, (quilt_start){ 0, 0 },
                                  &f->layout, &error));
    assert_true(f->layout.count <= BLOCKS_MOST);
    motley_random random;
    motley_random_seed(&random, seed);
    for (int a = 0; a < FABRICS; a++) {
        f->light[a] = (float)a / (FABRICS - 1);
        for (int b = 0; b <= a; b++)
            f->alike[a * FABRICS + b] = f->alike[b * FABRICS + a] =
                a == b ? 1 : (float)(0.7 * motley_random_unit(&random));
    }
    for (int b = 0; b < BLOCKS_MOST; b++) {
        f->block[b] = (plan_arrange_block){ 0, f->fabric + b * HALVES };
        if (b < f->layout.count)
            f->block[b].kind = f->layout.places[b].kind;
        for (int p = 0; p < SIDE * SIDE; p++)
            f->fabric[b * HALVES + 2 * p] = f->fabric[b * HALVES + 2 * p + 1] =
                (int16_t)motley_random_below(&random, FABRICS);
    }
    f->quilt = (plan_arrange_quilt){ .design = &f->design,
                                     .layout = &f->layout,
                                     .fabrics = FABRICS,
                                     .alike = f->alike,
                                     .light = f->light,
                                     .blocks = f->layout.count,
                                     .block = f->block };
}

static plan_arrange_result arranged(const fixture *f, plan_arrange_weights weights,
                                    uint64_t seed, int64_t moves, plan_arrange_lay *lays)
{
    g_autoptr(GError) error = NULL;
    plan_arrange_search search = { .seed = seed, .moves = moves };
    plan_arrange_result result;
    if (!plan_arrange_run(&f->quilt, &weights, &search, lays, &result, &error))
        fail_msg("%s", error->message);
    return result;
}

/* Each block at most once, at a place of its kind, turned as the design draws it. */
static void assert_belongs(const fixture *f, const plan_arrange_lay *lays)
{
    bool is_laid[BLOCKS_MOST] = { false };
    for (int p = 0; p < f->layout.count; p++) {
        int b = lays[p].block;
        if (b < 0)
            continue;
        assert_false(is_laid[b]);
        is_laid[b] = true;
        const quilt_place *place = &f->layout.places[p];
        assert_int_equal(f->block[b].kind, place->kind);
        const quilt_block *drawn =
            &f->design.blocks[f->layout.kinds.kinds[place->kind].block];
        quilt_block wanted = quilt_block_turn(drawn, place->turn);
        quilt_block got = quilt_block_turn(drawn, lays[p].turn);
        assert_int_equal(quilt_block_compare(&wanted, &got), 0);
    }
}

static bool is_scrap(const fixture *f, int block, int patch)
{
    const quilt_block *drawn =
        &f->design.blocks[f->layout.kinds.kinds[f->block[block].kind].block];
    return drawn->patches[patch].role[0] == QUILT_SCRAP;
}

/* The fabric at row, col of a block as it lies, reckoned by turning one quarter after the
 * other: after one clockwise, what is at row, col was at side - 1 - col, row. */
static int laid_fabric(const fixture *f, plan_arrange_lay lay, int row, int col)
{
    for (int t = 0; t < lay.turn; t++) {
        int held = row;
        row = SIDE - 1 - col;
        col = held;
    }
    int patch = row * SIDE + col;
    return is_scrap(f, lay.block, patch) ? f->block[lay.block].fabric[2 * patch] : -1;
}

/* The whole quilt spread out as one sheet of patches; -1 where none is known. */
enum { SHEET_MOST = BLOCKS_MOST * SIDE * SIDE };

static void spread_out(const fixture *f, const plan_arrange_lay *lays,
                       int sheet[SHEET_MOST])
{
    int cols = f->layout.across * SIDE, rows = f->layout.down * SIDE;
    for (int r = 0; r < rows; r++)
        for (int c = 0; c < cols; c++) {
            plan_arrange_lay lay = lays[r / SIDE * f->layout.across + c / SIDE];
            sheet[r * cols + c] =
                lay.block < 0 ? -1 : laid_fabric(f, lay, r % SIDE, c % SIDE);
        }
}

static double alike_on(const fixture *f, const int *sheet, int a, int b, int *count)
{
    if (sheet[a] < 0 || sheet[b] < 0)
        return 0;
    (*count)++;
    return (double)f->alike[sheet[a] * FABRICS + sheet[b]];
}

typedef struct sheet_sum {
    double straight, corner;
    int count;
} sheet_sum;

/* Across the seams between blocks: patches side by side, and those that touch at a corner
 * of theirs without a third block there. */
static sheet_sum sum_of_sheet(const fixture *f, const plan_arrange_lay *lays)
{
    int cols = f->layout.across * SIDE, rows = f->layout.down * SIDE, corners = 0;
    int sheet[SHEET_MOST];
    sheet_sum sum = { 0 };
    spread_out(f, lays, sheet);
    for (int r = 0; r < rows; r++) {
        for (int c = 0; c < cols; c++) {
            int at = r * cols + c;
            bool to_right = c % SIDE == SIDE - 1 && c + 1 < cols;
            bool to_below = r % SIDE == SIDE - 1 && r + 1 < rows;
            if (to_right)
                sum.straight += alike_on(f, sheet, at, at + 1, &sum.count);
            if (to_right && r % SIDE > 0)
                sum.corner += alike_on(f, sheet, at, at + 1 - cols, &corners);
            if (to_right && r % SIDE < SIDE - 1)
                sum.corner += alike_on(f, sheet, at, at + 1 + cols, &corners);
            if (to_below)
                sum.straight += alike_on(f, sheet, at, at + cols, &sum.count);
            if (to_below && c % SIDE > 0)
                sum.corner += alike_on(f, sheet, at, at + cols - 1, &corners);
            if (to_below && c % SIDE < SIDE - 1)
                sum.corner += alike_on(f, sheet, at, at + cols + 1, &corners);
        }
    }
    return sum;
}

/* With weights for seams alone: a corner counts a quarter. */
static double sheet_cost(const fixture *f, const plan_arrange_lay *lays)
{
    sheet_sum sum = sum_of_sheet(f, lays);
    return sum.straight + sum.corner / 4;
}

static double sheet_seams(const fixture *f, const plan_arrange_lay *lays)
{
    sheet_sum sum = sum_of_sheet(f, lays);
    return sum.count > 0 ? sum.straight / sum.count : 0;
}

static void seams_are_those_of_the_whole_sheet_of_patches(void **state)
{
    (void)state;
    static const char *const designs[] = { all_scraps, two_kinds };
    for (int i = 0; i < 6; i++) {
        g_auto(fixture) f;
        lay_fixture(&f, designs[i % 2], 6, 4, (uint64_t)i);
        plan_arrange_lay lays[BLOCKS_MOST];
        plan_arrange_result result =
            arranged(&f, plan_arrange_usual(), (uint64_t)i, 2000, lays);
        assert_belongs(&f, lays);
        assert_float_equal(result.best.seams, sheet_seams(&f, lays), 1e-3);
        assert_true(result.best.cost <= result.start.cost);
    }
}

/* The least cost of all arrangements of the blocks from place `from` on, in the turns
 * that `turns` has bits of. */
static double least_cost(const fixture *f, plan_arrange_lay *lays, int turns, int from)
{
    int count = f->layout.count;
    if (from == count)
        return sheet_cost(f, lays);
    double least = 1e9;
    for (int other = from; other < count; other++) {
        plan_arrange_lay held = lays[from];
        lays[from] = lays[other];
        lays[other] = held;
        for (int t = 0; t < 4; t++) {
            lays[from].turn = t;
            if (turns >> t & 1)
                least = fmin(least, least_cost(f, lays, turns, from + 1));
        }
        lays[other] = lays[from];
        lays[from] = held;
    }
    return least;
}

static const plan_arrange_weights seams_alone = { .seams = 1 };

/* 4! x 4^4 arrangements. */
static void four_blocks_lie_as_well_as_by_trying_all(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < 6; seed++) {
        g_auto(fixture) f;
        lay_fixture(&f, all_scraps, 2, 2, seed);
        plan_arrange_lay lays[BLOCKS_MOST];
        for (int p = 0; p < 4; p++)
            lays[p] = (plan_arrange_lay){ p, 0 };
        double want = least_cost(&f, lays, 15, 0);
        plan_arrange_result result = arranged(&f, seams_alone, seed, 200000, lays);
        assert_float_equal(result.best.cost, want, 0.02); /* alikeness is in 800ths */
        assert_float_equal(sheet_cost(&f, lays), want, 0.02);
    }
}

/* 9! arrangements: these blocks have one turn each. */
static void nine_blocks_lie_as_well_as_by_trying_all(void **state)
{
    (void)state;
    g_auto(fixture) f;
    lay_fixture(&f, "name Corner\nblock corner B S S / S S S / S S S\nrepeat corner\n", 3,
                3, 4);
    plan_arrange_lay lays[BLOCKS_MOST];
    for (int p = 0; p < 9; p++)
        lays[p] = (plan_arrange_lay){ p, 0 };
    double want = least_cost(&f, lays, 1, 0);
    plan_arrange_result result = arranged(&f, seams_alone, 1, 200000, lays);
    assert_belongs(&f, lays);
    assert_float_equal(result.best.cost, want, 0.04);
}

static void a_quilt_without_like_neighbours_is_found_again_after_shuffling(void **state)
{
    (void)state;
    g_auto(fixture) f;
    lay_fixture(&f, all_scraps, 6, 6, 9);
    for (int a = 0; a < FABRICS; a++)
        for (int b = 0; b < FABRICS; b++)
            f.alike[a * FABRICS + b] = a == b;
    /* Blocks of one fabric each, set as a chessboard of two lots of six fabrics. */
    for (int b = 0; b < 36; b++)
        for (int i = 0; i < HALVES; i++)
            f.fabric[b * HALVES + i] =
                (int16_t)((b / 6 + b % 6) % 2 * 6 + (b * 5 + b / 6) % 6);
    plan_arrange_lay known[BLOCKS_MOST], lays[BLOCKS_MOST];
    for (int p = 0; p < 36; p++)
        known[p] = (plan_arrange_lay){ p, 0 };
    g_autoptr(GError) error = NULL;
    plan_arrange_result best;
    plan_arrange_weights usual = plan_arrange_usual();
    assert_true(plan_arrange_score_of(&f.quilt, &usual, known, &best, NULL, &error));
    assert_float_equal(best.best.seams, 0, 1e-9);
    assert_int_equal(best.worst_count, 0);
    plan_arrange_lay shuffled[BLOCKS_MOST];
    for (int p = 0; p < 36; p++)
        shuffled[p] = (plan_arrange_lay){ p * 7 % 36, p % 4 };
    f.quilt.start = shuffled;
    plan_arrange_result result = arranged(&f, usual, 3, 1000000, lays);
    assert_true(result.start.cost > best.best.cost);
    assert_true(result.best.cost <= best.best.cost + 1e-6);
    assert_belongs(&f, lays);
}

static void pins_stay_where_and_as_they_are(void **state)
{
    (void)state;
    g_auto(fixture) f;
    lay_fixture(&f, all_scraps, 5, 4, 1);
    const plan_arrange_pin pins[] = { { 0, 13, 3 }, { 7, 2, -1 }, { 19, 0, 1 } };
    f.quilt.pin = pins;
    f.quilt.pins = 3;
    plan_arrange_lay lays[BLOCKS_MOST];
    for (uint64_t seed = 0; seed < 5; seed++) {
        arranged(&f, plan_arrange_usual(), seed, 50000, lays);
        assert_belongs(&f, lays);
        for (int i = 0; i < 3; i++) {
            assert_int_equal(lays[pins[i].place].block, pins[i].block);
            if (pins[i].turn >= 0)
                assert_int_equal(lays[pins[i].place].turn, pins[i].turn);
        }
    }
}

static void fewer_blocks_leave_places_open_and_more_are_left_over(void **state)
{
    (void)state;
    g_auto(fixture) f;
    lay_fixture(&f, all_scraps, 4, 4, 2);
    plan_arrange_lay lays[BLOCKS_MOST];
    f.quilt.blocks = 11;
    plan_arrange_result result = arranged(&f, plan_arrange_usual(), 1, 50000, lays);
    assert_int_equal(result.open, 5);
    assert_int_equal(result.over, 0);
    int laid = 0;
    for (int p = 0; p < 16; p++)
        laid += lays[p].block >= 0;
    assert_int_equal(laid, 11);
    assert_belongs(&f, lays);

    f.quilt.blocks = 19;
    result = arranged(&f, plan_arrange_usual(), 1, 50000, lays);
    assert_int_equal(result.open, 0);
    assert_int_equal(result.over, 3);
    assert_belongs(&f, lays);

    f.quilt.blocks = 0;
    result = arranged(&f, plan_arrange_usual(), 1, 1000, lays);
    assert_int_equal(result.open, 16);
    for (int p = 0; p < 16; p++)
        assert_int_equal(lays[p].block, -1);
}

static void an_arrangement_scores_alike_however_it_came_about(void **state)
{
    (void)state;
    for (int blocks = 9; blocks <= 24; blocks += 5) {
        g_auto(fixture) f;
        lay_fixture(&f, all_scraps, 5, 4, (uint64_t)blocks);
        f.quilt.blocks = blocks;
        plan_arrange_lay lays[BLOCKS_MOST];
        plan_arrange_weights usual = plan_arrange_usual();
        plan_arrange_result found = arranged(&f, usual, 1, 50000, lays), laid;
        g_autoptr(GError) error = NULL;
        assert_true(plan_arrange_score_of(&f.quilt, &usual, lays, &laid, NULL, &error));
        assert_float_equal(laid.best.seams, found.best.seams, 1e-9);
        assert_float_equal(laid.best.nesting, found.best.nesting, 1e-9);
        assert_int_equal(laid.open, found.open);
        assert_int_equal(laid.over, found.over);
        assert_float_equal(laid.best.spread, found.best.spread, 1e-9);
    }
}

static void one_fabric_only_is_said_so(void **state)
{
    (void)state;
    g_auto(fixture) f;
    lay_fixture(&f, all_scraps, 4, 4, 2);
    for (int i = 0; i < BLOCKS_MOST * HALVES; i++)
        f.fabric[i] = 5;
    plan_arrange_lay lays[BLOCKS_MOST];
    plan_arrange_result result = arranged(&f, plan_arrange_usual(), 1, 20000, lays);
    assert_true(result.one_fabric);
    assert_float_equal(result.best.cost, result.start.cost, 1e-9);
    assert_float_equal(result.best.seams, 1, 1e-9);
    assert_float_equal(result.best.spread, 1, 1e-6);
    assert_int_equal(result.worst_count, PLAN_WORST);
    assert_float_equal(result.worst[0].alike, SIDE, 1e-9);
}

/* docs/designs.md and quilt/press.h: a nine patch nests where the turns of neighbours
 * differ by an odd number of quarters, so a chessboard of turns nests everywhere. */
static void blocks_turn_until_all_seams_nest(void **state)
{
    (void)state;
    g_auto(fixture) f;
    lay_fixture(&f, all_scraps, 6, 5, 7);
    plan_arrange_weights nesting = { .nesting = 1 };
    plan_arrange_lay lays[BLOCKS_MOST];
    plan_arrange_result result = arranged(&f, nesting, 1, 300000, lays);
    assert_float_equal(result.start.nesting, 0, 1e-9);
    assert_float_equal(result.best.nesting, 1, 1e-9);
    for (int p = 0; p < 30; p++)
        assert_int_equal((lays[p].turn + p / 6 + p % 6) % 2, lays[0].turn % 2);
}

/* Blocks of one fabric each, from dark to light: sorting them is all there is to do. */
static void light_and_dark_follow_the_target(void **state)
{
    (void)state;
    g_auto(fixture) f;
    lay_fixture(&f, all_scraps, 4, 3, 7);
    plan_arrange_lay lays[BLOCKS_MOST];
    for (int b = 0; b < 12; b++)
        for (int i = 0; i < HALVES; i++)
            f.fabric[b * HALVES + i] = (int16_t)b;
    for (int p = 0; p < 12; p++)
        f.target[p] = (float)(p * 5 % 12) / 11;
    f.quilt.target = f.target;
    plan_arrange_weights value = { .value = 1 };
    plan_arrange_result result = arranged(&f, value, 1, 100000, lays);
    assert_float_equal(result.best.value, 0, 1e-3);
    for (int p = 0; p < 12; p++)
        assert_int_equal(lays[p].block, p * 5 % 12);
}

static void every_value_layout_runs_from_dark_to_light(void **state)
{
    (void)state;
    g_auto(fixture) f;
    lay_fixture(&f, all_scraps, 7, 7, 7);
    for (int v = PLAN_VALUE_RINGS; v <= PLAN_VALUE_GRADIENT; v++) {
        plan_arrange_target(&f.layout, (plan_arrange_value)v, f.target);
        float least = 1, most = 0;
        for (int p = 0; p < 49; p++) {
            least = MIN(least, f.target[p]);
            most = MAX(most, f.target[p]);
        }
        assert_true(least >= 0 && least < 0.05f && most <= 1 && most > 0.95f);
    }
}

/* Like blocks in one corner crowd it; a shuffled quilt is even in the mean. */
static void a_clump_is_crowded(void **state)
{
    (void)state;
    g_auto(fixture) f;
    lay_fixture(&f, all_scraps, 6, 6, 7);
    plan_arrange_lay lays[BLOCKS_MOST];
    float crowding[BLOCKS_MOST];
    for (int b = 0; b < 36; b++) {
        lays[b] = (plan_arrange_lay){ b, 0 };
        for (int i = 0; i < HALVES && b / 6 < 3 && b % 6 < 3; i++)
            f.fabric[b * HALVES + i] = 0;
    }
    g_autoptr(GError) error = NULL;
    plan_arrange_weights usual = plan_arrange_usual();
    plan_arrange_result result;
    assert_true(plan_arrange_score_of(&f.quilt, &usual, lays, &result, crowding, &error));
    assert_true(crowding[7] > 1.2f);
    assert_true(crowding[35] < crowding[7]);
}

static void what_cannot_be_is_refused_with_its_own_code(void **state)
{
    (void)state;
    static const struct {
        int code;
        int kind, fabric, pins;
        plan_arrange_pin pin[2];
        double spread;
    } rows[] = {
        { MOTLEY_ERROR_PLAN_KIND, 3, 0, 0, { { 0 } }, 1 },
        { MOTLEY_ERROR_PLAN_FABRIC, 0, FABRICS, 0, { { 0 } }, 1 },
        { MOTLEY_ERROR_PLAN_PIN_PLACE, 0, 0, 2, { { 2, 0, -1 }, { 2, 5, -1 } }, 1 },
        { MOTLEY_ERROR_PLAN_PIN_BLOCK, 0, 0, 2, { { 2, 0, -1 }, { 5, 0, -1 } }, 1 },
        { MOTLEY_ERROR_PLAN_PIN_KIND, 0, 0, 1, { { 1, 0, -1 } }, 1 },
        { MOTLEY_ERROR_PLAN_PIN_KIND, 0, 0, 1, { { 1, 1, 2 } }, 1 },
        { MOTLEY_ERROR_PLAN_NO_PLACE, 0, 0, 1, { { 16, 0, -1 } }, 1 },
        { MOTLEY_ERROR_PLAN_NO_PLACE, 0, 0, 1, { { 0, 16, -1 } }, 1 },
        { MOTLEY_ERROR_PLAN_WEIGHTS, 0, 0, 0, { { 0 } }, -1 },
        { MOTLEY_ERROR_PLAN_WEIGHTS, 0, 0, 0, { { 0 } }, NAN },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_auto(fixture) f;
        lay_fixture(&f, two_kinds, 4, 4, 3);
        f.block[0].kind = rows[i].kind;
        f.fabric[0] = (int16_t)rows[i].fabric;
        f.quilt.pins = rows[i].pins;
        f.quilt.pin = rows[i].pin;
        plan_arrange_weights weights = plan_arrange_usual();
        weights.spread = rows[i].spread;
        plan_arrange_search search = { .moves = 1000 };
        plan_arrange_lay lays[BLOCKS_MOST] = { { 77, 0 } };
        plan_arrange_result result;
        GError *error = NULL;
        assert_false(
            plan_arrange_run(&f.quilt, &weights, &search, lays, &result, &error));
        if (!g_error_matches(error, MOTLEY_ERROR, rows[i].code))
            fail_msg("row %zu: %s", i, error->message);
        assert_int_equal(lays[0].block, 77);
        g_error_free(error);
    }
}

/* On point a row lies half a block beside the next; every place is still used once, and
 * neighbours are those across the diagonals. */
static void on_point_blocks_lie_as_the_design_draws_them(void **state)
{
    (void)state;
    g_auto(fixture) f;
    lay_fixture(&f,
                "name Strokes\nblock cross B S B / S B S / B S B\n"
                "block stroke B S S / S B S / S S B\n"
                "repeat cross stroke\nrepeat stroke+1 cross\nset on point\n",
                4, 4, 3);
    plan_arrange_lay lays[BLOCKS_MOST];
    plan_arrange_result result = arranged(&f, plan_arrange_usual(), 1, 50000, lays);
    assert_belongs(&f, lays);
    assert_int_equal(result.open, 0);
    assert_true(result.best.cost < result.start.cost);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(seams_are_those_of_the_whole_sheet_of_patches),
        cmocka_unit_test(four_blocks_lie_as_well_as_by_trying_all),
        cmocka_unit_test(nine_blocks_lie_as_well_as_by_trying_all),
        cmocka_unit_test(a_quilt_without_like_neighbours_is_found_again_after_shuffling),
        cmocka_unit_test(pins_stay_where_and_as_they_are),
        cmocka_unit_test(fewer_blocks_leave_places_open_and_more_are_left_over),
        cmocka_unit_test(an_arrangement_scores_alike_however_it_came_about),
        cmocka_unit_test(one_fabric_only_is_said_so),
        cmocka_unit_test(blocks_turn_until_all_seams_nest),
        cmocka_unit_test(light_and_dark_follow_the_target),
        cmocka_unit_test(every_value_layout_runs_from_dark_to_light),
        cmocka_unit_test(a_clump_is_crowded),
        cmocka_unit_test(what_cannot_be_is_refused_with_its_own_code),
        cmocka_unit_test(on_point_blocks_lie_as_the_design_draws_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
