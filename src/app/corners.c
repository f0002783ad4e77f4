#include "corners-internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* How far a corner that was tapped with care lies from where it is. */
static const double tap_in = 0.04;

static gboolean wrong(GError **error, const char *what)
{
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG, what);
    return FALSE;
}

/* Eight numbers, from a list of pairs or a text with commas and spaces. */
static int read_numbers(const json_t *value, double numbers[static 8])
{
    int count = 0;
    if (json_is_array(value)) {
        size_t i;
        json_t *pair;
        json_array_foreach (value, i, pair)
            for (size_t k = 0; k < 2 && count < 8 && json_array_size(pair) == 2; k++)
                if (json_is_number(json_array_get(pair, k)))
                    numbers[count++] = json_number_value(json_array_get(pair, k));
        return json_array_size(value) == 4 ? count : 0;
    }
    g_auto(GStrv) words =
        g_strsplit_set(json_is_string(value) ? json_string_value(value) : "", ", \t", -1);
    for (int i = 0; words[i] != NULL; i++) {
        char *end;
        if (words[i][0] == '\0')
            continue;
        double number = g_ascii_strtod(words[i], &end);
        if (*end != '\0' || count == 8)
            return 0;
        numbers[count++] = number;
    }
    return count;
}

/* Clockwise on the screen from the upper left one; false when they make no four-cornered
 * shape without a dent. */
static bool put_in_order(photo_point px[static 4])
{
    double x = 0, y = 0, way[4];
    for (int i = 0; i < 4; i++)
        x += px[i].x / 4, y += px[i].y / 4;
    for (int i = 0; i < 4; i++) {
        photo_point p = px[i];
        double angle = atan2(p.y - y, p.x - x);
        int at = i;
        for (; at > 0 && way[at - 1] > angle; at--)
            px[at] = px[at - 1], way[at] = way[at - 1];
        px[at] = p, way[at] = angle;
    }
    int first = 0;
    for (int i = 1; i < 4; i++)
        if (px[i].x + px[i].y < px[first].x + px[first].y)
            first = i;
    photo_point turned[4];
    for (int i = 0; i < 4; i++)
        turned[i] = px[(first + i) % 4];
    memcpy(px, turned, sizeof turned);
    for (int i = 0; i < 4; i++) {
        const photo_point *a = &px[i], *b = &px[(i + 1) % 4], *c = &px[(i + 2) % 4];
        if (!((b->x - a->x) * (c->y - b->y) - (b->y - a->y) * (c->x - b->x) > 1))
            return false;
    }
    return true;
}

gboolean app_corners_requested(app *self, const app_call *call, app_corners *ret_corners,
                               GError **error)
{
    static const struct {
        const char *name, *size;
    } papers[] = { { "a4", "210 x 297 mm" },
                   { "a3", "297 x 420 mm" },
                   { "letter", "8.5 x 11 in" } };
    app_corners corners = { .given = true };
    const json_t *value = json_object_get(call->request, "corners_px");
    if (value == NULL || json_is_null(value)) {
        *ret_corners = (app_corners){ .given = false };
        return TRUE;
    }
    double numbers[8];
    if (read_numbers(value, numbers) != 8)
        return wrong(error, "corners_px: four corners x,y in pixels are needed.");
    for (int i = 0; i < 4; i++)
        corners.px[i] = (photo_point){ numbers[2 * i], numbers[2 * i + 1] };
    if (!put_in_order(corners.px)) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_POINTS,
                            "The four points are no corners of a flat rectangle.");
        return FALSE;
    }
    app_settings settings;
    const char *size = app_request_text(call, "size");
    g_autoptr(json_t) paper = NULL;
    app_call sized = *call;
    for (size_t i = 0; size != NULL && i < G_N_ELEMENTS(papers); i++)
        if (g_ascii_strcasecmp(size, papers[i].name) == 0) {
            paper = json_pack("{s:s}", "size", papers[i].size);
            sized.request = paper;
        }
    if (!app_settings_get(self, &settings, error) ||
        !app_request_size(&sized, "size", settings.bare, &corners.width, &corners.height,
                          error))
        return FALSE;
    *ret_corners = corners;
    return TRUE;
}

/* How far from where they were tapped the corners lie by a pose, root mean square in
 * pixels: a camera sees a sheet laid the other way round only with bent corners. */
static double misfit_px(const photo_pose *pose, const app_corners *corners)
{
    double half_x = length_to_inches(corners->width) / 2;
    double half_y = length_to_inches(corners->height) / 2, sum = 0;
    for (int i = 0; i < 4; i++) {
        photo_point at = { i == 1 || i == 2 ? half_x : -half_x,
                           i < 2 ? half_y : -half_y };
        photo_point px;
        if (!photo_pose_to_px(pose, at, &px))
            return INFINITY;
        sum += pow(px.x - corners->px[i].x, 2) + pow(px.y - corners->px[i].y, 2);
    }
    return sqrt(sum / 4);
}

/* The error of an inch at a place of the table, along or across, when a pose that is a
 * little off reads what the true one shows. */
static double inch_error(const photo_pose *shows, const photo_pose *reads, double x,
                         double y, bool along)
{
    photo_point a = { x, y }, b = { x + along, y + !along }, p, q, c, d;
    if (!photo_pose_to_px(shows, a, &p) || !photo_pose_to_px(shows, b, &q) ||
        !photo_pose_to_table(reads, p, &c) || !photo_pose_to_table(reads, q, &d))
        return 1;
    return hypot(d.x - c.x, d.y - c.y) - 1;
}

/* Twice the root mean square over the table, each tap moved by its spread. */
static double expected_error(const photo_picture *picture, const app_corners *corners,
                             const photo_lens *lens, const photo_pose *pose)
{
    double sum = 0, spread_px = tap_in * pose->pixels_per_in;
    int places = 0;
    for (int tap = 0; tap < 8; tap++) {
        app_corners moved = *corners;
        double *at = tap % 2 == 0 ? &moved.px[tap / 2].x : &moved.px[tap / 2].y;
        *at += spread_px;
        photo_pose reads;
        if (!photo_pose_from_points(picture, moved.px, moved.width, moved.height, lens,
                                    &reads, NULL))
            return 1;
        places = 0;
        for (int x = -12; x <= 12; x += 6)
            for (int y = -12; y <= 12; y += 6)
                for (int along = 0; along < 2; along++, places++)
                    sum += pow(inch_error(pose, &reads, x, y, along), 2);
    }
    return fmin(1, 2 * sqrt(sum / places));
}

gboolean app_corners_pose(const photo_picture *picture, const app_corners *corners,
                          const photo_lens *lens, photo_pose *ret_pose, GError **error)
{
    app_corners upright = *corners, sideways = *corners;
    sideways.width = corners->height;
    sideways.height = corners->width;
    photo_pose pose, other;
    /* Only one way may be what a camera sees at all. */
    gboolean can = photo_pose_from_points(picture, upright.px, upright.width,
                                          upright.height, lens, &pose, error);
    gboolean other_can = photo_pose_from_points(picture, sideways.px, sideways.width,
                                                sideways.height, lens, &other, NULL);
    if (!can && !other_can)
        return FALSE;
    if (!can ||
        (other_can && misfit_px(&other, &sideways) < misfit_px(&pose, &upright))) {
        g_clear_error(error);
        pose = other;
        upright = sideways;
    }
    double around_px = 0;
    for (int i = 0; i < 4; i++)
        around_px += hypot(upright.px[(i + 1) % 4].x - upright.px[i].x,
                           upright.px[(i + 1) % 4].y - upright.px[i].y);
    pose.pixels_per_in =
        around_px / (2 * length_to_inches(upright.width + upright.height));
    pose.error_in = tap_in;
    pose.length_error = expected_error(picture, &upright, lens, &pose);
    *ret_pose = pose;
    return TRUE;
}
