#include "photo/homography.h"

#include "photo/solve-internal.h"

#include <math.h>
#include <string.h>

bool photo_homography_map(const double h[static 9], photo_point from, photo_point *ret_to)
{
    double w = h[6] * from.x + h[7] * from.y + h[8];
    if (!(w > 1e-12))
        return false;
    *ret_to = (photo_point){ (h[0] * from.x + h[1] * from.y + h[2]) / w,
                             (h[3] * from.x + h[4] * from.y + h[5]) / w };
    return true;
}

static void multiply(const double a[static 9], const double b[static 9],
                     double ret[static 9])
{
    double out[9];
    for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++)
            out[3 * r + c] =
                a[3 * r] * b[c] + a[3 * r + 1] * b[3 + c] + a[3 * r + 2] * b[6 + c];
    memcpy(ret, out, sizeof out);
}

/* So that maps compare: h8 is 1 or -1, or unit length where it is next to nothing. The
 * sign stays, so that w is positive at the points. */
static void rescale(double h[static 9])
{
    double norm = 0;
    for (int i = 0; i < 9; i++)
        norm += h[i] * h[i];
    norm = sqrt(norm);
    double by = fabs(h[8]) > 1e-9 * norm ? fabs(h[8]) : norm;
    for (int i = 0; i < 9; i++)
        h[i] /= by;
}

bool photo_homography_invert(const double h[static 9], double ret_h[static 9])
{
    double out[9];
    for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++) {
            int r1 = (c + 1) % 3, r2 = (c + 2) % 3, c1 = (r + 1) % 3, c2 = (r + 2) % 3;
            out[3 * r + c] =
                h[3 * r1 + c1] * h[3 * r2 + c2] - h[3 * r1 + c2] * h[3 * r2 + c1];
        }
    double determinant = h[0] * out[0] + h[1] * out[3] + h[2] * out[6];
    if (determinant == 0 || !isfinite(determinant))
        return false;
    for (int i = 0; i < 9; i++)
        ret_h[i] = out[i] / determinant;
    return true;
}

/* The similarity that moves points to a mean of 0 and a mean distance of sqrt(2), and its
 * inverse. */
static bool normalise(int count, const photo_point points[count], double ret_to[static 9],
                      double ret_back[static 9])
{
    photo_point mean = { 0 };
    double distance = 0;
    for (int i = 0; i < count; i++) {
        mean.x += points[i].x / count;
        mean.y += points[i].y / count;
    }
    for (int i = 0; i < count; i++)
        distance += hypot(points[i].x - mean.x, points[i].y - mean.y) / count;
    if (!(distance > 0) || !isfinite(distance))
        return false;
    double s = sqrt(2) / distance;
    memcpy(ret_to, (double[9]){ s, 0, -s * mean.x, 0, s, -s * mean.y, 0, 0, 1 },
           9 * sizeof(double));
    memcpy(ret_back, (double[9]){ 1 / s, 0, mean.x, 0, 1 / s, mean.y, 0, 0, 1 },
           9 * sizeof(double));
    return true;
}

/* Whether the points lie on one side of the line that h sends to infinity, with h's sign
 * turned so that it is the positive one. */
static bool one_sided(int count, const photo_point from[count], double h[static 9])
{
    double least = INFINITY, most = -INFINITY;
    for (int i = 0; i < count; i++) {
        double w = h[6] * from[i].x + h[7] * from[i].y + h[8];
        least = fmin(least, w);
        most = fmax(most, w);
    }
    if (most < 0)
        for (int i = 0; i < 9; i++)
            h[i] = -h[i];
    return (least > 0) == (most > 0) && least != 0 && most != 0;
}

/* Whether a map between normalised points squeezes the plane into a line or a point. */
static bool flat(const double h[static 9])
{
    double inverse[9], size = 0, inverse_size = 0;
    if (!photo_homography_invert(h, inverse))
        return true;
    for (int i = 0; i < 9; i++) {
        size += h[i] * h[i];
        inverse_size += inverse[i] * inverse[i];
    }
    return !(sqrt(size * inverse_size) < 1e6);
}

/* Sums up the distances in the second plane and how the first eight numbers change them.
 */
static void sum_up(int count, const photo_point from[count], const photo_point to[count],
                   const double h[static 9], solve_sums *sums)
{
    solve_sums_start(sums, 8);
    for (int i = 0; i < count; i++) {
        double x = from[i].x, y = from[i].y;
        double w = h[6] * x + h[7] * y + h[8];
        double u = (h[0] * x + h[1] * y + h[2]) / w, v = (h[3] * x + h[4] * y + h[5]) / w;
        double by_u[8] = { x / w, y / w, 1 / w, 0, 0, 0, -u * x / w, -u * y / w };
        double by_v[8] = { 0, 0, 0, x / w, y / w, 1 / w, -v * x / w, -v * y / w };
        solve_sums_add(sums, by_u, to[i].x - u, 1);
        solve_sums_add(sums, by_v, to[i].y - v, 1);
    }
}

/* Gauss-Newton on the distances in the second plane; the last of the nine numbers is held
 * at its value. A step that does not help is taken back and damped. */
static void polish(int count, const photo_point from[count], const photo_point to[count],
                   double h[static 9])
{
    double damping = 0;
    solve_sums sums;
    sum_up(count, from, to, h, &sums);
    for (int turn = 0; turn < 30; turn++) {
        double step[8], tried[9];
        if (!solve_sums_step(&sums, damping, step))
            return;
        memcpy(tried, h, sizeof tried);
        for (int i = 0; i < 8; i++)
            tried[i] += step[i];
        solve_sums after;
        sum_up(count, from, to, tried, &after);
        if (after.cost < sums.cost) {
            bool settled = sums.cost - after.cost <= 1e-13 * sums.cost;
            memcpy(h, tried, sizeof tried);
            sums = after;
            damping *= 0.1;
            if (settled)
                return;
        } else {
            if (damping > 1e3)
                return;
            damping = fmax(damping * 10, 1e-8);
        }
    }
}

bool photo_homography_fit(int count, const photo_point from[count],
                          const photo_point to[count], double ret_h[static 9])
{
    double from_to[9], from_back[9], to_to[9], to_back[9];
    if (count < 4 || count > PHOTO_HOMOGRAPHY_POINTS_MAX ||
        !normalise(count, from, from_to, from_back) ||
        !normalise(count, to, to_to, to_back))
        return false;

    double a[9][9] = { 0 };
    photo_point near[PHOTO_HOMOGRAPHY_POINTS_MAX], far[PHOTO_HOMOGRAPHY_POINTS_MAX];
    for (int i = 0; i < count; i++) {
        photo_homography_map(from_to, from[i], &near[i]);
        photo_homography_map(to_to, to[i], &far[i]);
        double x = near[i].x, y = near[i].y, u = far[i].x, v = far[i].y;
        double rows[2][9] = { { x, y, 1, 0, 0, 0, -u * x, -u * y, -u },
                              { 0, 0, 0, x, y, 1, -v * x, -v * y, -v } };
        for (int row = 0; row < 2; row++)
            for (int j = 0; j < 9; j++)
                for (int k = 0; k < 9; k++)
                    a[j][k] += rows[row][j] * rows[row][k];
    }
    double h[9];
    solve_smallest_eigenvector(9, a, h);
    if (!one_sided(count, near, h) || flat(h))
        return false;
    polish(count, near, far, h);
    if (!one_sided(count, near, h) || flat(h))
        return false;
    multiply(h, from_to, h);
    multiply(to_back, h, h);
    rescale(h);
    memcpy(ret_h, h, sizeof h);
    return true;
}
