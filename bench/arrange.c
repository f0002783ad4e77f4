/* arrange: how soon a quilt of nine patches lies well.
 *
 * usage: arrange [--down N] [--across N] [--seconds S] [--seed N] [--threads T]
 *                [--nest] [--cpu] [--compose]
 *
 * Invents fabrics and blocks, arranges them, and prints each better cost with its time,
 * then the scores before and after. --compose: instead, how long the next block
 * and a forecast take. */
#include "plan/arrange.h"
#include "base/random.h"
#include "plan/compose.h"
#include "plan/forecast.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

enum { SIDE = 3, HALVES = 2 * SIDE * SIDE };

static const char design_text[] = "name Nine patch\n"
                                  "block nine S S S / S S S / S S S\n"
                                  "repeat nine\n";

/* Invented fabrics: colours in a cube, alike as their distance is small. */
static float *invent_alike(int fabrics, motley_random *random)
{
    float *alike = g_new(float, (size_t)fabrics *(size_t)fabrics);
    g_autofree double *colour = g_new(double, 3 * fabrics);
    for (int i = 0; i < 3 * fabrics; i++)
        colour[i] = motley_random_unit(random);
    for (int a = 0; a < fabrics; a++) {
        for (int b = 0; b < fabrics; b++) {
            double square = 0;
            for (int c = 0; c < 3; c++) {
                double off = colour[3 * a + c] - colour[3 * b + c];
                square += off * off;
            }
            alike[(size_t)a * fabrics + b] = (float)exp(-3 * sqrt(square));
        }
    }
    return alike;
}

/* Blocks sewn through the months draw from a basket that changes: each from a run of the
 * fabrics that moves on with the blocks, so that neighbours in time are alike. */
static int16_t *invent_blocks(int blocks, int fabrics, motley_random *random)
{
    int16_t *fabric = g_new(int16_t, (size_t)blocks * HALVES);
    int within = fabrics / 3;
    for (int b = 0; b < blocks; b++) {
        int first = (int)((int64_t)b * (fabrics - within) / blocks);
        for (int p = 0; p < SIDE * SIDE; p++) {
            int16_t f =
                (int16_t)(first + (int)motley_random_below(random, (uint32_t)within));
            fabric[b * HALVES + 2 * p] = fabric[b * HALVES + 2 * p + 1] = f;
        }
    }
    return fabric;
}

static void tell(void *data, double cost, const plan_arrange_lay *lays)
{
    (void)lays;
    printf("%8.3f s  cost %.2f\n", g_timer_elapsed(data, NULL), cost);
    fflush(stdout);
}

static void print_score(const char *what, const plan_arrange_score *score)
{
    printf("%s: cost %.3f, seams %.4f, spread %.4f, nesting %.3f\n", what, score->cost,
           score->seams, score->spread, score->nesting);
}

static double processor_seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Blocks one after the other from 60 fabrics of a few squares each. */
static void time_compose(const quilt_design *design)
{
    enum { FABRICS = 60, BLOCKS = 300 };
    motley_random random;
    motley_random_seed(&random, 7);
    g_autofree float *alike = invent_alike(FABRICS, &random);
    double wide[FABRICS * FABRICS], fits[FABRICS * QUILT_ROLES];
    int count[FABRICS], hand[FABRICS], fabric[PLAN_SITES_MAX];
    for (int i = 0; i < FABRICS * FABRICS; i++)
        wide[i] = (double)alike[i];
    for (int i = 0; i < FABRICS * QUILT_ROLES; i++)
        fits[i] = 1;
    for (int i = 0; i < FABRICS; i++)
        count[i] = 1 + (int)motley_random_below(&random, 3);
    plan_reach reach = {
        .fabrics = FABRICS, .count = count, .alike = wide, .fits = fits
    };
    plan_block block;
    plan_block_make(&design->blocks[0], 0.15, &block);
    double slowest = 0, sum = 0;
    for (int i = 0; i < BLOCKS; i++) {
        double most, before = processor_seconds();
        plan_compose_wish wish = { .seed = (uint64_t)i };
        plan_reach drawn = reach;
        drawn.count = hand;
        plan_handful(&block, &reach, 2, wish.seed, hand);
        if (plan_compose(&block, &drawn, &wish, fabric, &most) != 0)
            return;
        double took = processor_seconds() - before;
        slowest = MAX(slowest, took);
        sum += took;
    }
    printf("a nine patch from %d fabrics: %.3f ms, the slowest of %d %.3f ms\n", FABRICS,
           1e3 * sum / BLOCKS, BLOCKS, 1e3 * slowest);
}

static void time_forecast(void)
{
    enum { WEEKS = 150, TIMES = 50 };
    int history[WEEKS];
    for (int i = 0; i < WEEKS; i++)
        history[i] = i * 7 % 11;
    double before = processor_seconds(), never;
    for (int i = 0; i < TIMES; i++) {
        plan_pace pace = plan_pace_fit(WEEKS, history, 0.97);
        plan_forecast_done(&pace, 200, (uint64_t)i);
    }
    double done = processor_seconds();
    for (int i = 0; i < TIMES; i++) {
        plan_pace pace = plan_pace_fit(WEEKS, history, 0.97);
        plan_forecast_short(900, &pace, &pace, 9, 200, (uint64_t)i, &never);
    }
    double ran_short = processor_seconds();
    printf("when 200 blocks are done: %.3f ms; when squares run short: %.3f ms\n",
           1e3 * (done - before) / TIMES, 1e3 * (ran_short - done) / TIMES);
}

int main(int argc, char **argv)
{
    gint down = 24, across = 20, threads = 2, fabrics = 150;
    gint64 seed = 1;
    double seconds = 3;
    gboolean nest = FALSE, cpu = FALSE, is_quiet = FALSE, is_compose = FALSE;
    const GOptionEntry entries[] = {
        { "down", 0, 0, G_OPTION_ARG_INT, &down, "blocks down", "N" },
        { "across", 0, 0, G_OPTION_ARG_INT, &across, "blocks across", "N" },
        { "fabrics", 0, 0, G_OPTION_ARG_INT, &fabrics, "fabrics", "N" },
        { "threads", 0, 0, G_OPTION_ARG_INT, &threads, "threads", "T" },
        { "seed", 0, 0, G_OPTION_ARG_INT64, &seed, "seed of the search", "N" },
        { "seconds", 0, 0, G_OPTION_ARG_DOUBLE, &seconds, "time limit", "S" },
        { "nest", 0, 0, G_OPTION_ARG_NONE, &nest, "seams should nest", NULL },
        { "cpu", 0, 0, G_OPTION_ARG_NONE, &cpu, "count the processor's seconds", NULL },
        { "quiet", 0, 0, G_OPTION_ARG_NONE, &is_quiet, "no progress", NULL },
        { "compose", 0, 0, G_OPTION_ARG_NONE, &is_compose, "time the next block", NULL },
        { 0 }
    };
    g_autoptr(GOptionContext) context = g_option_context_new(NULL);
    g_autoptr(GError) error = NULL;
    g_option_context_add_main_entries(context, entries, NULL);
    if (!g_option_context_parse(context, &argc, &argv, &error) || argc != 1 ||
        fabrics < 3 || fabrics > 5000) {
        fprintf(stderr, "arrange: %s\n", error != NULL ? error->message : "wrong usage");
        return 2;
    }

    quilt_design design;
    g_auto(quilt_layout) layout = { 0 };
    if (!quilt_design_parse(design_text, strlen(design_text), "nine", &design, &error) ||
        !quilt_layout_make(&design, across, down, (quilt_start){ 0, 0 }, &layout,
                           &error)) {
        fprintf(stderr, "arrange: %s\n", error->message);
        return 1;
    }
    if (is_compose) {
        time_compose(&design);
        time_forecast();
        return 0;
    }
    motley_random random;
    motley_random_seed(&random, 2026);
    int blocks = layout.count;
    g_autofree float *alike = invent_alike(fabrics, &random);
    g_autofree int16_t *fabric = invent_blocks(blocks, fabrics, &random);
    g_autofree plan_arrange_block *block = g_new(plan_arrange_block, blocks);
    for (int b = 0; b < blocks; b++)
        block[b] = (plan_arrange_block){ 0, fabric + (size_t)b * HALVES };

    plan_arrange_quilt quilt = { .design = &design,
                                 .layout = &layout,
                                 .fabrics = fabrics,
                                 .alike = alike,
                                 .blocks = blocks,
                                 .block = block };
    plan_arrange_weights weights = plan_arrange_usual();
    weights.nesting = nest ? 1 : 0;
    g_autoptr(GTimer) timer = g_timer_new();
    plan_arrange_search search = { .seed = (uint64_t)seed,
                                   .threads = threads,
                                   .seconds = seconds,
                                   .cpu_seconds = cpu,
                                   .progress = is_quiet ? NULL : tell,
                                   .data = timer };
    g_autofree plan_arrange_lay *lays = g_new(plan_arrange_lay, layout.count);
    plan_arrange_result result;
    if (!plan_arrange_run(&quilt, &weights, &search, lays, &result, &error)) {
        fprintf(stderr, "arrange: %s\n", error->message);
        return 1;
    }
    print_score("start", &result.start);
    print_score("best", &result.best);
    return 0;
}
