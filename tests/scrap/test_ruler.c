#include "test.h"

#include "base/error.h"
#include "base/random.h"
#include "scrap/ruler.h"

#define IN(x) ((length)((x)*LENGTH_INCH))

static void rulers_that_cannot_be_are_refused(void **state)
{
    (void)state;
    static const struct {
        scrap_ruler ruler;
        bool fine;
    } rows[] = {
        { { IN(24), IN(6.5), 0, 0 }, true },
        { { IN(24), IN(12), 23, IN(0.5) }, true },
        { { IN(24), IN(11), 23, IN(0.5) }, true },
        { { IN(24), IN(10.9), 23, IN(0.5) }, false }, /* slots past its edge */
        { { 0, IN(6.5), 0, 0 }, false },
        { { IN(24), -1, 0, 0 }, false },
        { { IN(24), IN(12), 1, IN(0.5) }, false },
        { { IN(24), IN(12), -3, IN(0.5) }, false },
        { { IN(24), IN(12), 5, 0 }, false },
        { { IN(24), LENGTH_MAX, 1001, 1 }, false },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(GError) error = NULL;
        if (scrap_ruler_check(&rows[i].ruler, &error) != rows[i].fine)
            fail_msg("row %zu should be %s", i, rows[i].fine ? "fine" : "refused");
        if (!rows[i].fine)
            assert_string_equal(motley_error_code(error), "scrap.ruler");
    }
    assert_true(scrap_ruler_check(&SCRAP_RULER_PLAIN, NULL));
}

static void a_pitch_says_which_units_it_cuts(void **state)
{
    (void)state;
    scrap_ruler slotted = { IN(24), IN(12), 23, IN(0.5) };
    static const struct {
        length unit;
        bool can;
    } rows[] = {
        { IN(0.5), true },   { IN(2.5), true },         { IN(11), true },
        { IN(11.5), false }, { 50 * LENGTH_MM, false }, { IN(2.25), false },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(GError) error = NULL;
        if (scrap_ruler_can_cut(&slotted, rows[i].unit, &error) != rows[i].can)
            fail_msg("row %zu should be %d", i, rows[i].can);
        if (rows[i].can)
            continue;
        assert_string_equal(motley_error_code(error), "scrap.pitch-cannot");
        assert_non_null(strstr(error->message, "1/2 in and its multiples up to 11 in"));
    }
    g_autoptr(GError) error = NULL;
    assert_true(scrap_ruler_can_cut(&SCRAP_RULER_PLAIN, IN(6.5), &error));
    assert_false(scrap_ruler_can_cut(&SCRAP_RULER_PLAIN, IN(7), &error));
    assert_non_null(strstr(error->message, "up to 6 1/2 in"));
}

static int lay(const scrap_ruler *ruler, int count, const scrap_line lines[], int pass[],
               int *ret_cuts)
{
    length done[64];
    return scrap_ruler_lay(ruler, count, lines, done, pass, ret_cuts);
}

static void a_plain_ruler_cuts_a_line_at_a_time(void **state)
{
    (void)state;
    scrap_line lines[] = { { 0, 0, IN(10) }, { IN(2), 0, IN(10) }, { IN(4), 0, IN(30) } };
    int pass[3], cuts;
    assert_int_equal(lay(&SCRAP_RULER_PLAIN, 3, lines, pass, &cuts), 4);
    assert_int_equal(cuts, 4);
    assert_int_equal(pass[2], 2);
}

static void slots_cut_what_lies_whole_pitches_apart(void **state)
{
    (void)state;
    scrap_ruler ruler = { IN(24), IN(6), 13, IN(0.5) };
    /* 0, 2, 4, 6 under slots 1, 5, 9, 13; 3 1/4 under none; 8 out of reach. */
    scrap_line lines[] = { { 0, 0, IN(10) },         { IN(2), IN(1), IN(9) },
                           { IN(3.25), 0, IN(5) },   { IN(4), 0, IN(10) },
                           { IN(6), IN(-1), IN(5) }, { IN(8), 0, IN(10) } };
    int pass[6], cuts;
    assert_int_equal(lay(&ruler, 6, lines, pass, &cuts), 3);
    assert_int_equal(cuts, 6);
    const int want[] = { 0, 0, 1, 0, 0, 2 };
    assert_memory_equal(pass, want, sizeof want);
}

static void lines_longer_than_the_ruler_are_cut_piece_by_piece(void **state)
{
    (void)state;
    scrap_ruler ruler = { IN(12), IN(6), 13, IN(0.5) };
    /* 30 in takes three layings; the short line at its far end goes with the third. */
    scrap_line lines[] = { { 0, 0, IN(30) }, { IN(2), IN(25), IN(29) } };
    int pass[2], cuts;
    assert_int_equal(lay(&ruler, 2, lines, pass, &cuts), 3);
    assert_int_equal(cuts, 4);
    assert_int_equal(pass[0], 0);
    assert_int_equal(pass[1], 2);
}

static void more_slots_never_take_more_passes(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 41);
    for (int round = 0; round < 200; round++) {
        scrap_line lines[20];
        int count = 1 + (int)motley_random_below(&random, 20), cuts;
        length at = 0;
        for (int i = 0; i < count; i++) {
            at += IN(0.5) * (1 + (length)motley_random_below(&random, 6));
            lines[i] = (scrap_line){ at, 0, IN(5) };
        }
        int last = count + 1;
        for (int slots = 2; slots <= 40; slots += 2) {
            scrap_ruler ruler = { IN(24), IN(24), slots, IN(0.5) };
            int passes = lay(&ruler, count, lines, NULL, &cuts);
            assert_int_equal(cuts, count);
            assert_true(passes <= last);
            last = passes;
        }
    }
}

static void times_are_found_again_from_timed_piles(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 42);
    scrap_times hers = { 25, 6, 9, 14 }, fitted;
    scrap_effort piles[60];
    for (int i = 0; i < 60; i++) {
        piles[i] = (scrap_effort){ 20 + (int)motley_random_below(&random, 60),
                                   20 + (int)motley_random_below(&random, 200),
                                   1 + (int)motley_random_below(&random, 30),
                                   1 + (int)motley_random_below(&random, 30), 0 };
        piles[i].minutes = scrap_effort_minutes(&piles[i], &hers);
    }
    double error_s;
    scrap_times_fit(60, piles, &SCRAP_TIMES_USUAL, &fitted, &error_s);
    assert_true(fabs(fitted.lay - hers.lay) < 0.1);
    assert_true(fabs(fitted.cut - hers.cut) < 0.1);
    assert_true(fabs(fitted.turn - hers.turn) < 0.3);
    assert_true(fabs(fitted.handle - hers.handle) < 0.3);
    assert_true(error_s < 10);
}

static void without_piles_times_stay_and_one_pile_moves_them_its_way(void **state)
{
    (void)state;
    scrap_times usual = SCRAP_TIMES_USUAL, fitted;
    double error_s;
    scrap_times_fit(0, NULL, &usual, &fitted, &error_s);
    assert_true(fabs(fitted.lay - usual.lay) < 1e-9 &&
                fabs(fitted.turn - usual.turn) < 1e-9);
    assert_true(error_s == 0);

    scrap_effort pile = { 40, 40, 8, 10, 0 };
    pile.minutes = 2 * scrap_effort_minutes(&pile, &usual);
    scrap_times_fit(1, &pile, &usual, &fitted, &error_s);
    double before = scrap_effort_minutes(&pile, &usual);
    double after = scrap_effort_minutes(&pile, &fitted);
    assert_true(after > 1.8 * before && after <= pile.minutes);
}

static void every_move_takes_some_time(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 43);
    for (int round = 0; round < 200; round++) {
        scrap_effort piles[12];
        for (int i = 0; i < 12; i++)
            piles[i] = (scrap_effort){ (int)motley_random_below(&random, 100),
                                       (int)motley_random_below(&random, 100),
                                       (int)motley_random_below(&random, 100),
                                       (int)motley_random_below(&random, 100),
                                       60 * motley_random_unit(&random) };
        scrap_times t;
        double error_s, usual_s = 0;
        scrap_times_fit(12, piles, &SCRAP_TIMES_USUAL, &t, &error_s);
        const scrap_times *usual = &SCRAP_TIMES_USUAL;
        assert_true(t.lay >= usual->lay / 8 && t.cut >= usual->cut / 8 &&
                    t.turn >= usual->turn / 8 && t.handle >= usual->handle / 8);
        for (int i = 0; i < 12; i++) {
            double off = 60 * (piles[i].minutes -
                               scrap_effort_minutes(&piles[i], &SCRAP_TIMES_USUAL));
            usual_s += off * off / 12;
        }
        assert_true(error_s <= sqrt(usual_s) + 1e-9);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rulers_that_cannot_be_are_refused),
        cmocka_unit_test(a_pitch_says_which_units_it_cuts),
        cmocka_unit_test(a_plain_ruler_cuts_a_line_at_a_time),
        cmocka_unit_test(slots_cut_what_lies_whole_pitches_apart),
        cmocka_unit_test(lines_longer_than_the_ruler_are_cut_piece_by_piece),
        cmocka_unit_test(more_slots_never_take_more_passes),
        cmocka_unit_test(times_are_found_again_from_timed_piles),
        cmocka_unit_test(without_piles_times_stay_and_one_pile_moves_them_its_way),
        cmocka_unit_test(every_move_takes_some_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
