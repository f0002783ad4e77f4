/* cut: how long plans take.
 *
 * usage: cut
 *
 * Processor time of one core, the least of several runs. */
#include "remnants.h"
#include "scrap/pile.h"
#include "scrap/plan.h"

#include <stdio.h>
#include <time.h>

enum { CORNERS = REMNANT_CORNERS, SCRAPS = 300, RUNS = 9 };

static double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

/* A square with wavering edges, so that no plan is proved best before all angles are
 * seen. */
static void draw_square(motley_random *random, double side_in,
                        scrap_point points[CORNERS])
{
    for (int i = 0; i < CORNERS; i++) {
        double angle = 2 * G_PI * (i + 0.5) / CORNERS;
        double c = cos(angle), s = sin(angle);
        double reach = side_in / 2 / fmax(fabs(c), fabs(s));
        reach -= 0.05 * motley_random_unit(random);
        points[i].x = length_from_inches(reach * c);
        points[i].y = length_from_inches(reach * s);
    }
}

static double plan_one(const scrap_outline *outline, const scrap_plan_request *request,
                       scrap_plan **ret_best)
{
    double least = INFINITY;
    for (int run = 0; run < RUNS; run++) {
        scrap_plan *best, *easiest;
        double start = now_ms();
        if (!scrap_plan_both(outline, request, &best, &easiest, NULL))
            return NAN;
        least = fmin(least, now_ms() - start);
        scrap_plan_free(easiest);
        if (run + 1 < RUNS)
            scrap_plan_free(best);
        else
            *ret_best = best;
    }
    return least;
}

static void bench_large(motley_random *random)
{
    scrap_point points[CORNERS];
    draw_square(random, 20, points);
    scrap_outline outline = { { CORNERS, points }, 0, NULL };
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.unit = 2 * LENGTH_INCH;
    request.angles = SCRAP_ANGLES_FREE;
    g_autoptr(scrap_plan) plan = NULL;
    double free_ms = plan_one(&outline, &request, &plan);
    printf(
        "20 x 20 in, 2 in, 90 angles, grid and strips: %.2f ms (%d squares, bound %d)\n",
        free_ms, plan->squares, plan->bound);
    request.angles = SCRAP_ANGLES_GRAIN;
    g_autoptr(scrap_plan) grain = NULL;
    double grain_ms = plan_one(&outline, &request, &grain);
    printf("the same on grain: %.2f ms (%d squares, bound %d)\n", grain_ms,
           grain->squares, grain->bound);
    scrap_bit bits[32];
    double start = now_ms();
    scrap_pile_leftovers(&outline, plan, &SCRAP_THRESHOLDS_USUAL, 32, bits);
    printf("its leftovers: %.2f ms\n", now_ms() - start);
}

static void bench_pile(motley_random *random, scrap_angles angles, const char *name)
{
    const scrap_ruler rulers[] = {
        SCRAP_RULER_PLAIN,
        { 12 * LENGTH_INCH, 12 * LENGTH_INCH, 23, LENGTH_INCH / 2 },
        { 24 * LENGTH_INCH, 24 * LENGTH_INCH, 45, LENGTH_INCH / 2 },
    };
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.unit = 2 * LENGTH_INCH;
    request.angles = angles;
    double start = now_ms();
    int squares = 0;
    scrap_effort sums[3] = { { 0 } };
    for (int i = 0; i < SCRAPS; i++) {
        scrap_point points[CORNERS];
        draw_remnant(random, points);
        scrap_outline outline = { { CORNERS, points }, 0, NULL };
        scrap_plan *best, *easiest;
        if (!scrap_plan_both(&outline, &request, &best, &easiest, NULL))
            continue;
        squares += best->squares;
        for (int r = 0; r < 3; r++)
            if (scrap_plan_retool(best, &rulers[r], request.mat, request.times, NULL))
                scrap_effort_add(&sums[r], &best->effort);
        scrap_plan_free(best);
        scrap_plan_free(easiest);
    }
    printf("%d scraps, 3 rulers, %s: %.0f ms (%d squares; %d, %d, %d passes)\n", SCRAPS,
           name, now_ms() - start, squares, sums[0].passes, sums[1].passes,
           sums[2].passes);
}

int main(void)
{
    motley_random random;
    motley_random_seed(&random, 1);
    bench_large(&random);
    motley_random_seed(&random, 2);
    bench_pile(&random, SCRAP_ANGLES_GRAIN, "on grain");
    motley_random_seed(&random, 2);
    bench_pile(&random, SCRAP_ANGLES_FREE, "90 angles");
    return 0;
}
