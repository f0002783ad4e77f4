/* photo: what it costs to measure a photo, and how true it is.
 *
 * usage: photo PHOTO       milliseconds of each step, median of 9, and peak memory
 *        photo             errors of lengths over drawn cameras, cards and lenses */
#include "base/random.h"
#include "photo/find.h"
#include "scene.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double quantile(int count, double *values, double share)
{
    qsort(values, (size_t)count, sizeof values[0], by_value);
    return values[(int)fmin(count - 1, share * count)];
}

static double since(gint64 *start)
{
    gint64 now = g_get_monotonic_time();
    double ms = (double)(now - *start) / 1000;
    *start = now;
    return ms;
}

static int time_steps(const char *path)
{
    enum { TURNS = 9, STEPS = 5 };
    static const char *const names[STEPS] = { "load", "tags", "pose", "plan", "scraps" };
    double ms[STEPS][TURNS], all = 0;
    for (int turn = 0; turn < TURNS; turn++) {
        photo_tags tags;
        photo_pose pose;
        g_autoptr(GError) error = NULL;
        gint64 start = g_get_monotonic_time();
        g_autoptr(photo_picture) picture = photo_load(path, NULL, &error);
        ms[0][turn] = since(&start);
        bool done = picture != NULL && photo_find_cards(picture, NULL, &tags, &error);
        ms[1][turn] = since(&start);
        done = done && photo_solve_pose(picture, &tags, NULL, &pose, &error);
        ms[2][turn] = since(&start);
        g_autoptr(photo_plan) plan =
            done ? photo_make_plan(picture, &pose, NULL, &error) : NULL;
        ms[3][turn] = since(&start);
        if (plan == NULL) {
            fprintf(stderr, "%s: %s\n", path, error->message);
            return 1;
        }
        g_autoptr(photo_scraps) scraps = NULL;
        if (!photo_find_scraps(plan, NULL, &scraps, NULL))
            return 1;
        ms[4][turn] = since(&start);
    }
    for (int step = 0; step < STEPS; step++) {
        double median = quantile(TURNS, ms[step], 0.5);
        all += median;
        printf("%s %.0f ms, ", names[step], median);
    }
    struct rusage used;
    getrusage(RUSAGE_SELF, &used);
    printf("all %.0f ms, peak %ld MB\n", all, used.ru_maxrss / 1024);
    return 0;
}

/* The 95th percentile of the relative errors of 3 in lengths on a 24 x 18 in mat. */
static double length_error(const scene *drawn, const photo_pose *pose)
{
    photo_pose truth = scene_truth(drawn);
    double errors[2 * 25 * 19];
    int count = 0;
    for (int i = 0; i < 2 * 25 * 19; i++) {
        photo_point end[2] = { { 6 + i / 2 % 25 - 12, -4 + i / 50 - 9 } }, got[2];
        end[1] = (photo_point){ end[0].x + (i % 2 ? 3 : 0), end[0].y + (i % 2 ? 0 : 3) };
        bool seen = true;
        for (int e = 0; e < 2 && seen; e++) {
            photo_point px;
            seen = photo_pose_to_px(&truth, end[e], &px) && px.x >= 0 && px.y >= 0 &&
                   px.x <= drawn->width && px.y <= drawn->height &&
                   photo_pose_to_table(pose, px, &got[e]);
        }
        if (seen)
            errors[count++] =
                fabs(hypot(got[1].x - got[0].x, got[1].y - got[0].y) / 3 - 1);
    }
    return quantile(count, errors, 0.95);
}

static double random_between(motley_random *random, double from, double to)
{
    return from + (to - from) * motley_random_unit(random);
}

/* A hand-held view of a 24 x 18 in mat, the card in one corner, paper and lens not quite
 * straight. */
static void draw_any(motley_random *random, double k1, double bow_in, int cards,
                     scene *drawn)
{
    scene_default(drawn);
    drawn->width = 2000;
    drawn->height = 1500;
    drawn->k1 = random_between(random, -k1, k1);
    drawn->focal_factor = 1 + 0.01 * motley_random_normal(random);
    drawn->tilt_deg = random_between(random, 0, 30);
    drawn->azimuth_deg = random_between(random, -60, 60);
    drawn->roll_deg = random_between(random, -10, 10);
    drawn->distance_in = random_between(random, 20, 24);
    drawn->target_in =
        (photo_point){ random_between(random, 3, 7), random_between(random, -5, -2) };
    drawn->blur_px = random_between(random, 0.6, 1.4);
    drawn->seed = motley_random_bits(random);
    drawn->card_count = cards;
    drawn->card[1] = (scene_card){
        .first_id = 4, .centre_in = { 12, -8 }, .angle_rad = 0.4, .scale = 1
    };
    for (int i = 0; i < cards; i++) {
        drawn->card[i].bow_x = bow_in * motley_random_normal(random) / (3.5 * 3.5);
        drawn->card[i].bow_y = bow_in * motley_random_normal(random) / (2.5 * 2.5);
    }
}

static void measure_drawn(double k1, double bow_in, int cards)
{
    enum { VIEWS = 40 };
    motley_random random;
    motley_random_seed(&random, 7);
    double errors[VIEWS];
    int count = 0, tags_seen = 0, within = 0;
    for (int view = 0; view < VIEWS; view++) {
        scene drawn;
        draw_any(&random, k1, bow_in, cards, &drawn);
        g_autoptr(photo_picture) picture = scene_picture(&drawn);
        photo_tags tags;
        photo_pose pose;
        g_autoptr(GError) error = NULL;
        if (!photo_find_cards(picture, NULL, &tags, &error) ||
            !photo_solve_pose(picture, &tags, NULL, &pose, &error)) {
            printf("view %d: %s\n", view, error->message);
            continue;
        }
        tags_seen += tags.count;
        errors[count] = length_error(&drawn, &pose);
        within += errors[count++] < pose.length_error;
    }
    printf(
        "|k1| to %.3f, bow sigma %.2f in, %d card%s: median %.2f %%, p90 %.2f %%, worst "
        "%.2f %%, within what was expected %d of %d, tags %d\n",
        k1, bow_in, cards, cards == 1 ? "" : "s", 100 * quantile(count, errors, 0.5),
        100 * quantile(count, errors, 0.9), 100 * quantile(count, errors, 1), within,
        count, tags_seen);
}

int main(int argc, char **argv)
{
    if (argc > 1)
        return time_steps(argv[1]);
    measure_drawn(0.003, 0, 1);
    measure_drawn(0.003, 0.02, 1);
    measure_drawn(0.005, 0.05, 1);
    measure_drawn(0.003, 0.02, 2);
    measure_drawn(0.010, 0.05, 2);
    return 0;
}
