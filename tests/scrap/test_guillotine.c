#include "test.h"

#include "base/error.h"
#include "base/random.h"
#include "scrap/guillotine.h"

enum { WANTS_MAX = 64 };

typedef struct instance {
    length width, height;
    int count;
    scrap_want wants[WANTS_MAX];
} instance;

static void read_instance(const char *name, bool turns, instance *in)
{
    g_autofree char *path = g_strdup_printf("%s/%s.txt", GCUT_FOLDER, name);
    FILE *file = fopen(path, "r");
    if (file == NULL ||
        fscanf(file, "%d %d %d", &in->count, &in->width, &in->height) != 3 ||
        in->count > WANTS_MAX)
        fail_msg("%s cannot be read", path);
    for (int i = 0; i < in->count; i++) {
        scrap_want *w = &in->wants[i];
        w->turns = turns;
        if (fscanf(file, "%d %d %" SCNd64, &w->width, &w->height, &w->value) != 3)
            fail_msg("%s breaks off", path);
    }
    fclose(file);
}

static int64_t solve(const instance *in, scrap_stages stages)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(scrap_guillotine) pattern = scrap_guillotine_best(
        in->width, in->height, in->count, in->wants, stages, &error);
    if (pattern == NULL || !scrap_guillotine_check(pattern, in->width, in->height,
                                                   in->count, in->wants, &error))
        fail_msg("%s", error->message);
    return pattern->value;
}

/* Optima published by Cintra, Miyazawa, Wakabayashi and Xavier (see gcut/README.md), and
 * Herz 1972, for which no turned optimum is published. Two-stage values: computed by a
 * separate program (strip knapsacks along either side, trimming allowed, no turning). */
static const struct {
    const char *name;
    int64_t fixed, turned, two_stage;
} published[] = {
    { "herz", 12348, 0, 12132 },
    { "gcut1", 56460, 58136, 56460 },
    { "gcut2", 60536, 60611, 60076 },
    { "gcut3", 61036, 61626, 60133 },
    { "gcut4", 61698, 62265, 61698 },
    { "gcut5", 246000, 246000, 246000 },
    { "gcut6", 238998, 240951, 238998 },
    { "gcut7", 242567, 245866, 242567 },
    { "gcut8", 246633, 247787, 245758 },
    { "gcut9", 971100, 971100, 971100 },
    { "gcut10", 982025, 982025, 982025 },
    { "gcut11", 980096, 980096, 980096 },
    { "gcut12", 979986, 988694, 978776 },
#ifdef GCUT_LONG
    { "gcut13", 8997780, 9000000, 8997780 },
#endif
};

static void the_published_optima_are_reached(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(published); i++) {
        instance in;
        read_instance(published[i].name, false, &in);
        int64_t fixed = solve(&in, SCRAP_STAGES_ANY), two = solve(&in, SCRAP_STAGES_TWO);
        read_instance(published[i].name, true, &in);
        int64_t turned = solve(&in, SCRAP_STAGES_ANY);
        if (fixed != published[i].fixed ||
            (published[i].turned != 0 && turned != published[i].turned) ||
            two != published[i].two_stage)
            fail_msg("%s: fixed %" PRId64 ", turned %" PRId64 ", two stages %" PRId64,
                     published[i].name, fixed, turned, two);
    }
}

/* Every way of cutting, by plain recursion over whole steps. */
static int64_t by_trying_all(int width, int height, const instance *in,
                             int64_t memory[32][32])
{
    if (memory[width][height] >= 0)
        return memory[width][height];
    int64_t best = 0;
    for (int i = 0; i < in->count; i++) {
        const scrap_want *w = &in->wants[i];
        if ((w->width <= width && w->height <= height) ||
            (w->turns && w->height <= width && w->width <= height))
            best = MAX(best, w->value);
    }
    for (int x = 1; x < width; x++)
        best = MAX(best, by_trying_all(x, height, in, memory) +
                             by_trying_all(width - x, height, in, memory));
    for (int y = 1; y < height; y++)
        best = MAX(best, by_trying_all(width, y, in, memory) +
                             by_trying_all(width, height - y, in, memory));
    memory[width][height] = best;
    return best;
}

static void random_instance(motley_random *random, instance *in)
{
    in->width = 3 + (length)motley_random_below(random, 28);
    in->height = 3 + (length)motley_random_below(random, 28);
    in->count = 1 + (int)motley_random_below(random, 5);
    for (int i = 0; i < in->count; i++)
        in->wants[i] = (scrap_want){ 1 + (length)motley_random_below(random, 12),
                                     1 + (length)motley_random_below(random, 12),
                                     1 + motley_random_below(random, 99),
                                     motley_random_below(random, 2) == 0 };
}

static void small_remnants_give_what_trying_all_gives(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 7);
    for (int round = 0; round < 300; round++) {
        instance in;
        random_instance(&random, &in);
        int64_t memory[32][32];
        memset(memory, -1, sizeof memory);
        int64_t want = by_trying_all(in.width, in.height, &in, memory);
        int64_t got = solve(&in, SCRAP_STAGES_ANY);
        if (got != want)
            fail_msg("round %d: %" PRId64 ", by trying all %" PRId64, round, got, want);
    }
}

static void stages_turning_and_size_only_help(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 8);
    for (int round = 0; round < 200; round++) {
        instance in;
        random_instance(&random, &in);
        int64_t any = solve(&in, SCRAP_STAGES_ANY), two = solve(&in, SCRAP_STAGES_TWO);
        assert_true(any >= two);
        instance larger = in;
        larger.width++;
        assert_true(solve(&larger, SCRAP_STAGES_ANY) >= any);
        assert_true(solve(&larger, SCRAP_STAGES_TWO) >= two);
        instance turning = in;
        for (int i = 0; i < in.count; i++)
            turning.wants[i].turns = true;
        assert_true(solve(&turning, SCRAP_STAGES_ANY) >= any);
    }
}

static void a_mirrored_remnant_gives_the_same(void **state)
{
    (void)state;
    motley_random random;
    motley_random_seed(&random, 9);
    for (int round = 0; round < 200; round++) {
        instance in, mirrored;
        random_instance(&random, &in);
        mirrored = in;
        mirrored.width = in.height;
        mirrored.height = in.width;
        for (int i = 0; i < in.count; i++) {
            mirrored.wants[i].width = in.wants[i].height;
            mirrored.wants[i].height = in.wants[i].width;
        }
        for (int stages = SCRAP_STAGES_TWO; stages <= SCRAP_STAGES_ANY; stages++)
            assert_int_equal(solve(&in, stages), solve(&mirrored, stages));
    }
}

static void inches_and_millimetres_mix(void **state)
{
    (void)state;
    /* 18 x 9 1/2 in: 36 squares of 2 in; or three of 150 mm (5.906 in) side by side and
     * 18 squares of 2 in above them, one row of 9 and half of the next. */
    scrap_want wants[] = { { 2 * LENGTH_INCH, 2 * LENGTH_INCH, 10, false },
                           { 150 * LENGTH_MM, 150 * LENGTH_MM, 200, false } };
    instance in = { 18 * LENGTH_INCH, 19 * LENGTH_INCH / 2, 1, { wants[0], wants[1] } };
    assert_int_equal(solve(&in, SCRAP_STAGES_ANY), 360);
    in.count = 2;
    assert_int_equal(solve(&in, SCRAP_STAGES_ANY), 3 * 200 + 9 * 10);
}

static void what_cannot_be_asked_is_refused(void **state)
{
    (void)state;
    static const struct {
        scrap_want want;
        const char *code;
    } rows[] = {
        { { 0, LENGTH_INCH, 1, false }, "scrap.want" },
        { { LENGTH_INCH, -1, 1, false }, "scrap.want" },
        { { LENGTH_INCH, LENGTH_INCH, 0, false }, "scrap.want" },
        { { LENGTH_INCH, LENGTH_INCH, -5, false }, "scrap.want" },
        { { 10007, 10009, 1, false }, "scrap.guillotine-too-fine" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(GError) error = NULL;
        assert_null(scrap_guillotine_best(20 * LENGTH_INCH, 20 * LENGTH_INCH, 1,
                                          &rows[i].want, SCRAP_STAGES_ANY, &error));
        assert_string_equal(motley_error_code(error), rows[i].code);
    }
}

/* The first cut is longer than the ruler: two layings. */
static void effort_counts_layings_and_turns(void **state)
{
    (void)state;
    scrap_guillotine_cut cuts[] = {
        { 3, 0, 3, 4 }, { 0, 2, 3, 2 }, { 3, 2, 6, 2 }, { 4, 0, 4, 2 }
    };
    scrap_guillotine pattern = { 0, 0, NULL, 4, cuts };
    scrap_ruler ruler = { 3, 3, 0, 0 };
    scrap_mat turning = { 10, 10, true }, fixed = { 10, 10, false };
    scrap_times times = { 10, 1, 5, 3 };
    scrap_effort effort = scrap_guillotine_effort(&pattern, &ruler, &turning, &times);
    assert_int_equal(effort.passes, 5);
    assert_int_equal(effort.turns, 2);
    assert_int_equal(effort.handled, 1);
    assert_true(fabs(effort.minutes - (5 * 11 + 2 * 5 + 3) / 60.0) < 1e-12);
    assert_int_equal(scrap_guillotine_effort(&pattern, &ruler, &fixed, &times).handled,
                     3);
}

/* 18 x 9 1/2 in holds 7 x 3 squares of 2 1/2 in: three strips along it and what is left
 * over, then all strips across; and each cut divides a part that lies whole before it. */
static void all_cuts_of_one_way_come_before_the_mat_is_turned(void **state)
{
    (void)state;
    scrap_want want = { 5 * LENGTH_INCH / 2, 5 * LENGTH_INCH / 2, 1, true };
    for (int stages = 0; stages < 2; stages++) {
        g_autoptr(scrap_guillotine) pattern = scrap_guillotine_best(
            18 * LENGTH_INCH, 19 * LENGTH_INCH / 2, 1, &want,
            stages == 0 ? SCRAP_STAGES_TWO : SCRAP_STAGES_ANY, NULL);
        assert_int_equal(pattern->piece_count, 21);
        scrap_effort effort = scrap_guillotine_effort(
            pattern, &SCRAP_RULER_PLAIN, &SCRAP_MAT_USUAL, &SCRAP_TIMES_USUAL);
        assert_int_equal(effort.turns, 1);
        assert_true(effort.cuts <= 3 + 3 * 7 + 1);
        for (int i = 0; i < 3; i++)
            assert_int_equal(pattern->cuts[i].y1, pattern->cuts[i].y2);
    }
}

static void a_size_larger_than_the_remnant_gives_nothing(void **state)
{
    (void)state;
    instance in = {
        LENGTH_INCH, LENGTH_INCH, 1, { { LENGTH_FOOT, LENGTH_INCH, 1, true } }
    };
    assert_int_equal(solve(&in, SCRAP_STAGES_ANY), 0);
}

static void the_checker_sees_what_is_wrong(void **state)
{
    (void)state;
    /* A pinwheel: five pieces that no cut from edge to edge parts. */
    scrap_want wants[] = { { 2, 1, 2, true }, { 1, 1, 1, false } };
    scrap_piece pinwheel[] = { { 0, 0, 2, 1, 0 },
                               { 2, 0, 1, 2, 0 },
                               { 1, 2, 2, 1, 0 },
                               { 0, 1, 1, 2, 0 },
                               { 1, 1, 1, 1, 1 } };
    scrap_guillotine pattern = { 9, 5, pinwheel, 0, NULL };
    assert_false(scrap_guillotine_check(&pattern, 3, 3, 2, wants, NULL));
    /* Without the middle it comes no more apart; without one arm it does. */
    pattern.piece_count = 4;
    pattern.value = 8;
    assert_false(scrap_guillotine_check(&pattern, 3, 3, 2, wants, NULL));
    pattern.piece_count = 3;
    pattern.value = 6;
    assert_true(scrap_guillotine_check(&pattern, 3, 3, 2, wants, NULL));
    pattern.value = 7;
    assert_false(scrap_guillotine_check(&pattern, 3, 3, 2, wants, NULL));
    pattern.value = 6;
    assert_false(scrap_guillotine_check(&pattern, 3, 2, 2, wants, NULL));
    pinwheel[1].x = 1;
    assert_false(scrap_guillotine_check(&pattern, 3, 3, 2, wants, NULL));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_published_optima_are_reached),
        cmocka_unit_test(small_remnants_give_what_trying_all_gives),
        cmocka_unit_test(stages_turning_and_size_only_help),
        cmocka_unit_test(a_mirrored_remnant_gives_the_same),
        cmocka_unit_test(inches_and_millimetres_mix),
        cmocka_unit_test(what_cannot_be_asked_is_refused),
        cmocka_unit_test(effort_counts_layings_and_turns),
        cmocka_unit_test(all_cuts_of_one_way_come_before_the_mat_is_turned),
        cmocka_unit_test(a_size_larger_than_the_remnant_gives_nothing),
        cmocka_unit_test(the_checker_sees_what_is_wrong),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
