#include "photo/plan.h"

#include "base/error.h"
#include "photo/memory-internal.h"

#include <limits.h>
#include <math.h>
#include <string.h>

/* Below so many loaded pixels an inch a scrap's edge is too soft to measure by. */
static const double fewest_per_in = 14;

/* sRGB byte to linear light, IEC 61966-2-1. */
static void linear_table(float table[static 256])
{
    for (int i = 0; i < 256; i++) {
        double v = i / 255.0;
        table[i] = (float)(v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4));
    }
}

/* Loaded pixels an inch at a place on the table, in the worse direction; 0 off the
 * picture. */
static double density(const photo_picture *picture, const photo_pose *pose, double x,
                      double y)
{
    const double step = 0.05;
    photo_point at, right, up;
    if (!photo_pose_to_px(pose, (photo_point){ x, y }, &at) ||
        !photo_pose_to_px(pose, (photo_point){ x + step, y }, &right) ||
        !photo_pose_to_px(pose, (photo_point){ x, y + step }, &up))
        return 0;
    if (at.x < 0 || at.y < 0 || at.x > picture->width || at.y > picture->height)
        return 0;
    double a = right.x - at.x, b = up.x - at.x, c = right.y - at.y, d = up.y - at.y;
    /* Smaller singular value of the 2 x 2 Jacobian. */
    double sum = a * a + b * b + c * c + d * d, det = a * d - b * c;
    double root = sqrt(fmax(0, sum * sum - 4 * det * det));
    return sqrt(fmax(0, (sum - root) / 2)) / step / picture->shrink;
}

/* The box on the table that the photo shows densely enough, in whole inches: grown
 * outwards from what the middle of the picture shows. */
static void find_extent(const photo_picture *picture, const photo_pose *pose,
                        int box[static 4])
{
    const int side = PHOTO_PLAN_SIDE_MAX_IN;
    photo_point middle = { 0, 0 };
    photo_pose_to_table(pose, pose->centre_px, &middle);
    int from_x = (int)round(middle.x) - side, from_y = (int)round(middle.y) - side;
    box[0] = box[1] = INT_MAX;
    box[2] = box[3] = INT_MIN;
    for (int y = from_y; y <= from_y + 2 * side; y++)
        for (int x = from_x; x <= from_x + 2 * side; x++)
            if (density(picture, pose, x, y) >= fewest_per_in) {
                box[0] = MIN(box[0], x - 1);
                box[1] = MIN(box[1], y - 1);
                box[2] = MAX(box[2], x + 1);
                box[3] = MAX(box[3], y + 1);
            }
    if (box[0] > box[2])
        memset(box, 0, 4 * sizeof box[0]);
    /* Too much: what lies farthest from the picture's middle is given up. */
    for (int axis = 0; axis < 2; axis++)
        if (box[axis + 2] - box[axis] > side) {
            int at = (int)round(axis == 0 ? middle.x : middle.y);
            box[axis] = CLAMP(at - side / 2, box[axis], box[axis + 2] - side);
            box[axis + 2] = box[axis] + side;
        }
}

/* What the threads that warp share; each writes rows of its own. */
typedef struct warp {
    const photo_picture *picture;
    const photo_pose *pose;
    const photo_watch *watch;
    photo_plan *plan;
    float linear[256];
    int next_row; /* atomic */
} warp;

enum { ROWS_AT_ONCE = 16, WIDTH_MAX = PHOTO_PLAN_PER_IN * PHOTO_PLAN_SIDE_MAX_IN };

/* Where in the loaded picture, counted between pixel centres, the pixels of a row are
 * seen; far outside for what lies behind the camera. Plain arithmetic over the row, so
 * that compilers use vectors. */
static void map_row(const warp *job, int row, double x[static WIDTH_MAX],
                    double y[static WIDTH_MAX])
{
    const photo_plan *plan = job->plan;
    const double *h = job->pose->table_to_ray;
    double x_in, y_in, step_in = 1.0 / plan->pixels_per_in;
    photo_plan_to_table(plan, 0.5, row + 0.5, &x_in, &y_in);
    double u0 = h[0] * x_in + h[1] * y_in + h[2], du = h[0] * step_in;
    double v0 = h[3] * x_in + h[4] * y_in + h[5], dv = h[3] * step_in;
    double w0 = h[6] * x_in + h[7] * y_in + h[8], dw = h[6] * step_in;
    double k1 = job->pose->lens.k1, scale = 1.0 / job->picture->shrink;
    double focal = job->pose->lens.focal_px * scale;
    double centre_x = job->pose->centre_px.x * scale - 0.5;
    double centre_y = job->pose->centre_px.y * scale - 0.5;
    for (int column = 0; column < plan->width; column++) {
        double w = w0 + column * dw;
        double by = w > 1e-9 ? 1 / w : 1e9;
        double u = (u0 + column * du) * by, v = (v0 + column * dv) * by;
        double bend = k1 * (u * u + v * v), bent = focal * (1 + bend);
        /* As photo_pose_to_px() does, where the radial term turns back. */
        if (1 + 3 * bend < 0.5)
            bent = 1e30;
        x[column] = centre_x + bent * u;
        y[column] = centre_y + bent * v;
    }
}

static void warp_row(const warp *job, int row, const double x[static WIDTH_MAX],
                     const double y[static WIDTH_MAX])
{
    const photo_picture *picture = job->picture;
    const float *linear = job->linear;
    float *out = job->plan->rgb + (size_t)row * (size_t)job->plan->width * 3;
    uint8_t *covered = job->plan->covered + (size_t)row * (size_t)job->plan->width;
    size_t stride = (size_t)picture->columns * 3;
    double right = picture->columns - 1, bottom = picture->rows - 1;
    for (int column = 0; column < job->plan->width; column++, out += 3) {
        double c = x[column], r = y[column];
        if (!(c >= 0 && r >= 0 && c < right && r < bottom))
            continue;
        int c0 = (int)c, r0 = (int)r;
        float fc = (float)(c - c0), fr = (float)(r - r0);
        const uint8_t *p = picture->rgb + (size_t)r0 * stride + (size_t)c0 * 3,
                      *q = p + stride;
        for (int band = 0; band < 3; band++) {
            float top = linear[p[band]] + (linear[p[band + 3]] - linear[p[band]]) * fc;
            float low = linear[q[band]] + (linear[q[band + 3]] - linear[q[band]]) * fc;
            out[band] = top + (low - top) * fr;
        }
        covered[column] = 1;
    }
}

/* A thread's work: rows that nobody has taken, until there are none or it is stopped. */
static gpointer warp_rows(gpointer data)
{
    warp *job = data;
    double x[WIDTH_MAX], y[WIDTH_MAX];
    for (;;) {
        int first = g_atomic_int_add(&job->next_row, ROWS_AT_ONCE);
        int end = MIN(first + ROWS_AT_ONCE, job->plan->height);
        if (first >= end || (job->watch != NULL && job->watch->stop != NULL &&
                             atomic_load(job->watch->stop)))
            return NULL;
        for (int row = first; row < end; row++) {
            map_row(job, row, x, y);
            warp_row(job, row, x, y);
        }
    }
}

static int by_value(const void *a, const void *b)
{
    float x = *(const float *)a, y = *(const float *)b;
    return (x > y) - (x < y);
}

/* The paper's light: median of each band over the card's middle, where no ink is but the
 * thin rule. */
static void measure_paper(photo_plan *plan)
{
    enum { SIDE = 48 };
    static const double reach_x = 1.8, reach_y = 2.2;
    float samples[3][SIDE * SIDE];
    int count = 0;
    const photo_point *corner = plan->card[0].corners_in;
    for (int i = 0; i < SIDE * SIDE && plan->card_count > 0; i++) {
        /* Card coordinates, -0.5 to 0.5 of its sides, from three of its corners. */
        double u = reach_x / 7 * (2 * (i % SIDE + 0.5) / SIDE - 1);
        double v = reach_y / 5 * (2 * (i / SIDE + 0.5) / SIDE - 1);
        double x = (corner[0].x + corner[2].x) / 2 + u * (corner[1].x - corner[0].x) +
                   v * (corner[0].x - corner[3].x);
        double y = (corner[0].y + corner[2].y) / 2 + u * (corner[1].y - corner[0].y) +
                   v * (corner[0].y - corner[3].y);
        double column, row;
        photo_plan_from_table(plan, x, y, &column, &row);
        int c = (int)floor(column), r = (int)floor(row);
        if (c < 0 || r < 0 || c >= plan->width || r >= plan->height)
            continue;
        size_t at = (size_t)r * (size_t)plan->width + (size_t)c;
        if (!plan->covered[at])
            continue;
        for (int band = 0; band < 3; band++)
            samples[band][count] = plan->rgb[3 * at + (size_t)band];
        count++;
    }
    for (int band = 0; band < 3; band++) {
        plan->paper_rgb[band] = 1;
        if (count > 0) {
            qsort(samples[band], (size_t)count, sizeof samples[band][0], by_value);
            plan->paper_rgb[band] = fmax(0.01, samples[band][count / 2]);
        }
    }
}

static uint8_t to_srgb8(double linear)
{
    double v =
        linear <= 0.0031308 ? 12.92 * linear : 1.055 * pow(linear, 1 / 2.4) - 0.055;
    return (uint8_t)lround(255 * fmin(1, fmax(0, v)));
}

static void balance(photo_plan *plan)
{
    measure_paper(plan);
    plan->paper =
        (colour_srgb8){ to_srgb8(plan->paper_rgb[0]), to_srgb8(plan->paper_rgb[1]),
                        to_srgb8(plan->paper_rgb[2]) };
    if (plan->card_count == 0)
        return;
    float gain[3];
    for (int band = 0; band < 3; band++)
        gain[band] = (float)(PHOTO_PAPER_Y / plan->paper_rgb[band]);
    size_t pixels = (size_t)plan->width * (size_t)plan->height;
    for (size_t i = 0; i < pixels; i++)
        for (int band = 0; band < 3; band++)
            plan->rgb[3 * i + (size_t)band] *= gain[band];
}

photo_plan *photo_make_plan(const photo_picture *picture, const photo_pose *pose,
                            const photo_watch *watch, GError **error)
{
    if (!photo_watch_tell(watch, 0.4, "Making the plan", error))
        return NULL;
    int box[4];
    find_extent(picture, pose, box);
    g_autoptr(photo_plan) plan = g_new0(photo_plan, 1);
    plan->pixels_per_in = PHOTO_PLAN_PER_IN;
    plan->left_in = box[0];
    plan->top_in = box[3];
    plan->width = MAX(0, box[2] - box[0]) * PHOTO_PLAN_PER_IN;
    plan->height = MAX(0, box[3] - box[1]) * PHOTO_PLAN_PER_IN;
    plan->card_count = pose->card_count;
    memcpy(plan->card, pose->card, sizeof plan->card);
    size_t pixels = (size_t)plan->width * (size_t)plan->height;
    plan->rgb = photo_memory_new0((3 * pixels + 1) * sizeof plan->rgb[0]);
    plan->covered = photo_memory_new0(pixels + 1);

    warp job = { .picture = picture, .pose = pose, .watch = watch, .plan = plan };
    linear_table(job.linear);
    GThread *helper = g_thread_try_new("warp", warp_rows, &job, NULL);
    warp_rows(&job);
    if (helper != NULL)
        g_thread_join(helper);
    if (!photo_watch_tell(watch, 0.55, "Making the plan", error))
        return NULL;
    balance(plan);
    return g_steal_pointer(&plan);
}

void photo_plan_free(photo_plan *plan)
{
    if (plan == NULL)
        return;
    g_free(plan->rgb);
    g_free(plan->covered);
    g_free(plan);
}

void photo_plan_to_srgb(const photo_plan *plan, uint8_t *rgb)
{
    static const uint8_t unseen[3] = { 251, 248, 243 }; /* the page's own paper */
    /* 4096 steps are finer than a byte's everywhere but next to black. */
    uint8_t table[4097];
    for (int i = 0; i <= 4096; i++)
        table[i] = to_srgb8(i / 4096.0);
    size_t values = 3 * (size_t)plan->width * (size_t)plan->height;
    for (size_t i = 0; i < values; i++) {
        float v = plan->rgb[i];
        rgb[i] = table[v <= 0 ? 0 : v >= 1 ? 4096 : (int)(v * 4096 + 0.5f)];
    }
    for (size_t at = 0; at < values / 3; at++)
        if (!plan->covered[at])
            memcpy(rgb + 3 * at, unseen, sizeof unseen);
}

void photo_plan_srgb_at(const photo_plan *plan, double column, double row,
                        uint8_t rgb[static 3])
{
    column = CLAMP(column - 0.5, 0, plan->width - 1);
    row = CLAMP(row - 0.5, 0, plan->height - 1);
    int i = MIN((int)column, MAX(0, plan->width - 2));
    int j = MIN((int)row, MAX(0, plan->height - 2));
    size_t right = plan->width > 1 ? 3 : 0;
    size_t down = plan->height > 1 ? (size_t)plan->width * 3 : 0;
    const float *at = plan->rgb + ((size_t)j * (size_t)plan->width + (size_t)i) * 3;
    double p = column - i, q = row - j;
    for (size_t k = 0; k < 3; k++)
        rgb[k] = to_srgb8((1 - q) * ((1 - p) * at[k] + p * at[right + k]) +
                          q * ((1 - p) * at[down + k] + p * at[down + right + k]));
}
