#include "photo/judge.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Where each remark begins; all looked at on the rendered photos, which get none, and on
 * drawn ones with each fault (tests/photo/test_judge.c). */
static const double bow_too_high_in = 0.08, misfit_too_large_in = 0.008;
static const double prints_too_unlike = 0.005, length_error_too_large = 0.005;
static const double tilt_too_steep_deg = 38, too_few_per_in = 40;
static const double blur_too_wide_in = 0.025, paper_too_dark_y = 0.1;
static const double burnt_too_much = 0.01, burnt_card_too_much = 0.02;
static const double cast_too_strong = 30, fall_off_too_strong = 4, mixed_too_much = 1.8;

/* A value of the plan that was this near to white before the white balance is burnt out.
 */
static const double burnt_from = 0.985;

static void judge_cards(const photo_pose *pose, photo_warnings *warnings)
{
    for (int i = 0; i < pose->card_count; i++)
        if (pose->card[i].tags < CARD_TAGS)
            photo_warn(warnings, "photo.card-partly",
                       "Only %d of a card's 4 tags can be seen. Lay the whole card in "
                       "view, with "
                       "nothing on it, and the scale is surer.",
                       pose->card[i].tags);
    if (pose->card_count > 1 && fabs(pose->scale_ratio - 1) > prints_too_unlike)
        photo_warn(warnings, "photo.cards-differ",
                   "The second card is %.1f %% %s than the first: one was printed "
                   "scaled. Measure "
                   "the 3 in line on both and print again at 100 %%.",
                   100 * fabs(pose->scale_ratio - 1),
                   pose->scale_ratio > 1 ? "larger" : "smaller");
    if (pose->card_count > 0 &&
        (pose->bow_in > bow_too_high_in || pose->error_in > misfit_too_large_in))
        photo_warn(warnings, "photo.card-bowed",
                   "The card does not lie flat. Press it down or glue it to cardboard; "
                   "until then "
                   "lengths far from it are less sure.");
    if (pose->length_error > length_error_too_large)
        photo_warn(warnings, "photo.scale-unsure",
                   "Lengths may be off by up to %.1f %%. A second card at the far side "
                   "makes them "
                   "surer.",
                   100 * pose->length_error);
}

static void judge_without_card(const photo_pose *pose, photo_warnings *warnings)
{
    if (pose->card_count == 0)
        photo_warn(
            warnings, "photo.no-white",
            "Without the card nothing in the picture is known to be white: colours are "
            "as the camera took them, and fabrics may not be known again.");
}

static void judge_view(const photo_pose *pose, const photo_quality *quality,
                       photo_warnings *warnings)
{
    if (pose->tilt_deg > tilt_too_steep_deg)
        photo_warn(
            warnings, "photo.steep",
            "The photo was taken %.0f degrees from straight down. Hold the phone flatter "
            "above the table.",
            pose->tilt_deg);
    if (pose->pixels_per_in < too_few_per_in)
        photo_warn(
            warnings, "photo.far",
            "An inch has only %.0f pixels. Go nearer, or take the photo in two parts.",
            pose->pixels_per_in);
    if (quality->blur_in > blur_too_wide_in)
        photo_warn(warnings, "photo.blurred",
                   "The photo is blurred: edges are uncertain by about 1/%.0f in. Wipe "
                   "the lens, tap "
                   "to focus and hold still.",
                   fmin(32, fmax(1, floor(1 / quality->blur_in))));
}

static void judge_light(const photo_quality *quality, photo_warnings *warnings)
{
    if (quality->paper_y < paper_too_dark_y)
        photo_warn(warnings, "photo.dark",
                   "The photo is dark: the card's paper is hardly brighter than grey. "
                   "More light, and "
                   "colours can be told apart.");
    if (quality->burnt_card > burnt_card_too_much)
        photo_warn(warnings, "photo.glare",
                   "The card is burnt out by %.0f %%, so its white cannot be trusted. "
                   "Turn it or the "
                   "light so that nothing shines, and measure again.",
                   100 * quality->burnt_card);
    if (quality->burnt > burnt_too_much)
        photo_warn(warnings, "photo.glare",
                   "%.0f %% of the picture is burnt out. Turn the lamp away, or draw the "
                   "curtain; pale "
                   "fabrics there cannot be seen.",
                   ceil(100 * quality->burnt));
    if (quality->cast > cast_too_strong)
        photo_warn(warnings, "photo.light-coloured",
                   "The light is strongly coloured. Outlines are right, but colours "
                   "cannot be trusted: "
                   "use daylight to have fabrics known again.");
    if (quality->fall_off > fall_off_too_strong)
        photo_warn(warnings, "photo.light-uneven",
                   "The light falls off %.1f times across the table. Outlines are right, "
                   "but light and "
                   "dark of a fabric cannot be trusted.",
                   quality->fall_off);
    else if (quality->mixed > mixed_too_much)
        photo_warn(warnings, "photo.light-uneven",
                   "Two lights of different colour shine on the table. Outlines are "
                   "right, but colours "
                   "cannot be trusted: switch one off.");
}

/* CIELAB chroma of a linear colour with the luminance taken as it is; D65 of sRGB, IEC
 * 61966-2-1 and CIE 15. */
static double chroma(const double rgb[static 3])
{
    static const double to_xyz[3][3] = { { 0.4124, 0.3576, 0.1805 },
                                         { 0.2126, 0.7152, 0.0722 },
                                         { 0.0193, 0.1192, 0.9505 } };
    static const double white[3] = { 0.9505, 1.0, 1.089 };
    double f[3];
    for (int i = 0; i < 3; i++) {
        double t = 0;
        for (int j = 0; j < 3; j++)
            t += to_xyz[i][j] * rgb[j] / white[i];
        f[i] = t > 216.0 / 24389 ? cbrt(t) : (24389.0 / 27 * t + 16) / 116;
    }
    return hypot(500 * (f[0] - f[1]), 200 * (f[1] - f[2]));
}

static double luminance(const double rgb[static 3])
{
    return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2];
}

/* Whether the photo itself was at its brightest in this pixel: two bands of three, since
 * a pure red's or blue's own band is soon full. */
static bool is_burnt(const float *rgb, const double limit[static 3])
{
    return (rgb[0] >= limit[0]) + (rgb[1] >= limit[1]) + (rgb[2] >= limit[2]) >= 2;
}

static void burnt_limits(const photo_plan *plan, double limit[static 3])
{
    for (int band = 0; band < 3; band++)
        limit[band] = burnt_from *
                      (plan->card_count > 0 ? PHOTO_PAPER_Y / plan->paper_rgb[band] : 1);
}

static double burnt_share(const photo_plan *plan)
{
    double limit[3];
    burnt_limits(plan, limit);
    size_t pixels = (size_t)plan->width * (size_t)plan->height, burnt = 0, seen = 0;
    for (size_t i = 0; i < pixels; i += 3) {
        seen += plan->covered[i];
        burnt += plan->covered[i] && is_burnt(plan->rgb + 3 * i, limit);
    }
    return seen == 0 ? 0 : (double)burnt / (double)seen;
}

/* Over the faces of all cards. */
static double burnt_card_share(const photo_plan *plan)
{
    enum { SIDE = 60 };
    double limit[3];
    burnt_limits(plan, limit);
    int burnt = 0, seen = 0;
    for (int i = 0; i < plan->card_count * SIDE * SIDE; i++) {
        const photo_point *corner = plan->card[i / (SIDE * SIDE)].corners_in;
        double u = (i % SIDE + 0.5) / SIDE, v = (i / SIDE % SIDE + 0.5) / SIDE, column,
               row;
        photo_plan_from_table(plan,
                              corner[3].x + u * (corner[2].x - corner[3].x) +
                                  v * (corner[0].x - corner[3].x),
                              corner[3].y + u * (corner[2].y - corner[3].y) +
                                  v * (corner[0].y - corner[3].y),
                              &column, &row);
        if (column < 0 || row < 0 || column >= plan->width || row >= plan->height)
            continue;
        size_t at = (size_t)row * (size_t)plan->width + (size_t)column;
        if (!plan->covered[at])
            continue;
        seen++;
        burnt += is_burnt(plan->rgb + 3 * at, limit);
    }
    return seen == 0 ? 0 : (double)burnt / seen;
}

/* Half-inch cells of the plan; their medians, and which of them show the bare surface. */
typedef struct cell_grid {
    int columns, rows, side_px;
    float (*median)[3];
    bool *surface;
} cell_grid;

static int by_value(const void *a, const void *b)
{
    float x = *(const float *)a, y = *(const float *)b;
    return (x > y) - (x < y);
}

static void cell_median(const photo_plan *plan, const cell_grid *grid, int cell,
                        float ret[static 3])
{
    enum { SAMPLES = 64 };
    float values[3][SAMPLES];
    int count = 0;
    size_t left = (size_t)(cell % grid->columns * grid->side_px);
    size_t top = (size_t)(cell / grid->columns * grid->side_px);
    size_t step = (size_t)grid->side_px / 8;
    for (size_t i = 0; i < SAMPLES; i++) {
        size_t at = (top + i / 8 * step + step / 2) * (size_t)plan->width + left +
                    i % 8 * step + step / 2;
        if (!plan->covered[at])
            continue;
        for (int band = 0; band < 3; band++)
            values[band][count] = plan->rgb[3 * at + (size_t)band];
        count++;
    }
    for (int band = 0; band < 3; band++) {
        ret[band] = 0;
        if (count == SAMPLES) {
            qsort(values[band], (size_t)count, sizeof values[band][0], by_value);
            ret[band] = values[band][count / 2];
        }
    }
}

/* Light changes slowly from cell to cell, fabric does not. */
static bool alike(const float a[static 3], const float b[static 3], float factor)
{
    for (int band = 0; band < 3; band++)
        if (!(a[band] > 0.002f && b[band] > 0.002f && a[band] < factor * b[band] &&
              b[band] < factor * a[band]))
            return false;
    return true;
}

/* Two lights change the surface's colour only so far from where the growing began. */
static bool same_hue(const float a[static 3], const float b[static 3])
{
    float red = a[0] * b[1] / (a[1] * b[0]), blue = a[2] * b[1] / (a[1] * b[2]);
    return red < 1.4f && red > 1 / 1.4f && blue < 1.4f && blue > 1 / 1.4f;
}

/* Whether a cell's centre lies on a card or within margin inches of it. */
static bool near_card(const photo_plan *plan, double x, double y, double margin)
{
    for (int i = 0; i < plan->card_count; i++) {
        const photo_point *c = plan->card[i].corners_in;
        double mx = (c[0].x + c[2].x) / 2, my = (c[0].y + c[2].y) / 2;
        double ax = c[1].x - c[0].x, ay = c[1].y - c[0].y, w = hypot(ax, ay);
        double bx = c[0].x - c[3].x, by = c[0].y - c[3].y, h = hypot(bx, by);
        if (fabs((x - mx) * ax + (y - my) * ay) / w < w / 2 + margin &&
            fabs((x - mx) * bx + (y - my) * by) / h < h / 2 + margin)
            return true;
    }
    return false;
}

/* The commonest colour of the cells beside the cards starts the surface; from there it
 * grows over cells that change as slowly as light does. */
static void grow_surface(const photo_plan *plan, cell_grid *grid)
{
    int cells = grid->columns * grid->rows, queued = 0, done = 0, best_alike = 0,
        best = -1;
    g_autofree int *queue = g_new(int, cells + 1);
    g_autofree bool *beside = g_new0(bool, cells + 1);
    double side_in = (double)grid->side_px / plan->pixels_per_in;
    for (int i = 0; i < cells; i++) {
        double x = plan->left_in + (i % grid->columns + 0.5) * side_in;
        double y = plan->top_in - (i / grid->columns + 0.5) * side_in;
        beside[i] = near_card(plan, x, y, 1.2) && !near_card(plan, x, y, 0.4);
    }
    for (int i = 0; i < cells; i++) {
        int count = 0;
        for (int j = 0; j < cells && beside[i]; j++)
            count += beside[j] && alike(grid->median[i], grid->median[j], 1.1f);
        if (count > best_alike) {
            best_alike = count;
            best = i;
        }
    }
    if (best >= 0) {
        queue[queued++] = best;
        grid->surface[best] = true;
    }
    while (done < queued) {
        int cell = queue[done++], column = cell % grid->columns,
            row = cell / grid->columns;
        int next[4] = { column > 0 ? cell - 1 : -1,
                        column + 1 < grid->columns ? cell + 1 : -1,
                        row > 0 ? cell - grid->columns : -1,
                        row + 1 < grid->rows ? cell + grid->columns : -1 };
        for (int i = 0; i < 4; i++)
            if (next[i] >= 0 && !grid->surface[next[i]] &&
                alike(grid->median[cell], grid->median[next[i]], 1.1f) &&
                same_hue(grid->median[best], grid->median[next[i]])) {
                grid->surface[next[i]] = true;
                queue[queued++] = next[i];
            }
    }
}

static double spread_of(int count, float values[count])
{
    if (count < 20)
        return 1;
    qsort(values, (size_t)count, sizeof values[0], by_value);
    return (double)values[count * 19 / 20] / (double)values[count / 20];
}

/* The surface is of one colour, so what differs along it is the light. */
static void measure_light(const photo_plan *plan, photo_quality *quality)
{
    cell_grid grid = { .side_px = plan->pixels_per_in / 2 };
    grid.columns = plan->width / grid.side_px;
    grid.rows = plan->height / grid.side_px;
    int cells = grid.columns * grid.rows, count = 0;
    g_autofree float(*median)[3] = g_malloc0(sizeof *median * (size_t)(cells + 1));
    g_autofree bool *surface = g_new0(bool, cells + 1);
    g_autofree float *light = g_new(float, cells + 1), *colour = g_new(float, cells + 1);
    grid.median = median;
    grid.surface = surface;
    for (int i = 0; i < cells; i++)
        cell_median(plan, &grid, i, median[i]);
    grow_surface(plan, &grid);
    for (int i = 0; i < cells; i++)
        if (surface[i]) {
            light[count] = median[i][1];
            colour[count++] = median[i][0] / median[i][2];
        }
    quality->surface_share = cells == 0 ? 0 : (double)count / cells;
    quality->fall_off = spread_of(count, light);
    quality->mixed = spread_of(count, colour);
}

void photo_judge(const photo_pose *pose, const photo_plan *plan,
                 photo_quality *ret_quality, photo_warnings *warnings)
{
    photo_quality quality = { .fall_off = 1, .mixed = 1, .paper_y = 1 };
    if (pose->pixels_per_in > 0)
        quality.blur_in = pose->blur_px / pose->pixels_per_in;
    quality.burnt = burnt_share(plan);
    if (plan->card_count > 0) {
        quality.paper_y = luminance(plan->paper_rgb);
        quality.cast = chroma(plan->paper_rgb);
        quality.burnt_card = burnt_card_share(plan);
        measure_light(plan, &quality);
    }
    judge_cards(pose, warnings);
    judge_without_card(pose, warnings);
    judge_view(pose, &quality, warnings);
    judge_light(&quality, warnings);
    if (ret_quality != NULL)
        *ret_quality = quality;
}
