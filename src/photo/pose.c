#include "photo/pose.h"

#include "base/error.h"
#include "photo/homography.h"
#include "photo/pose-internal.h"

#include <math.h>
#include <string.h>

/* A phone's main camera without EXIF: 26 mm as on a 35 mm frame, give or take. */
static const double usual_focal_35mm = 26, usual_focal_spread = 0.12;
/* How far a card's paper usually stands up, and how much two prints of it differ. */
static const double bow_spread_in = 0.03, print_spread = 0.001;
/* Spread that an edge point is taken to have at least. Neighbouring points err alike, so
 * the fit must not trust their number. */
static const double edge_noise_px = 0.2;
/* Lengths that may be farther off than this are not worth giving. */
static const double length_error_max = 0.015;
/* Tags farther off than this lie on no card, not even on a crumpled one. */
static const double misfit_max_in = 0.3;
/* How far off a finger's tap is, as a share of the picture's long side. */
static const double tap_spread = 0.0015;

void photo_pose_rescale(photo_pose *pose, double scale)
{
    for (int row = 0; row < 3; row++) {
        pose->table_to_ray[3 * row] /= scale;
        pose->table_to_ray[3 * row + 1] /= scale;
    }
    for (int i = 0; i < pose->card_count; i++) {
        for (int corner = 0; corner < 4; corner++) {
            pose->card[i].corners_in[corner].x *= scale;
            pose->card[i].corners_in[corner].y *= scale;
        }
    }
    pose->error_in *= scale;
    pose->bow_in *= scale;
    pose->pixels_per_in /= scale;
}

bool photo_pose_to_px(const photo_pose *pose, photo_point table_in, photo_point *ret_px)
{
    photo_point ray;
    if (!photo_homography_map(pose->table_to_ray, table_in, &ray))
        return false;
    double bend = pose->lens.k1 * (ray.x * ray.x + ray.y * ray.y), s = 1 + bend;
    /* Far out one radial term turns back, and what is far away would be seen in the
     * middle. */
    if (1 + 3 * bend < 0.5)
        return false;
    ret_px->x = pose->centre_px.x + pose->lens.focal_px * s * ray.x;
    ret_px->y = pose->centre_px.y + pose->lens.focal_px * s * ray.y;
    return true;
}

/* The undistorted radius r with r (1 + k1 r^2) = bent: Newton from the bent one. */
static double unbend(double bent, double k1)
{
    double r = bent;
    for (int turn = 0; turn < 8; turn++) {
        double slope = 1 + 3 * k1 * r * r;
        if (!(slope > 0.1))
            break;
        r -= (r * (1 + k1 * r * r) - bent) / slope;
    }
    return r;
}

/* A pixel's ray without the lens' bending. */
static photo_point px_to_ray(const photo_pose *pose, photo_point px)
{
    double u = (px.x - pose->centre_px.x) / pose->lens.focal_px;
    double v = (px.y - pose->centre_px.y) / pose->lens.focal_px;
    double bent = hypot(u, v);
    double by = bent > 0 ? unbend(bent, pose->lens.k1) / bent : 1;
    return (photo_point){ u * by, v * by };
}

bool photo_pose_to_table(const photo_pose *pose, photo_point px, photo_point *ret_in)
{
    double inverse[9];
    return photo_homography_invert(pose->table_to_ray, inverse) &&
           photo_homography_map(inverse, px_to_ray(pose, px), ret_in);
}

photo_lens photo_lens_guess(const photo_picture *picture)
{
    double usual =
        usual_focal_35mm / hypot(36, 24) * hypot(picture->width, picture->height);
    if (picture->focal_px > 0)
        return (photo_lens){ picture->focal_px, 0.02 * picture->focal_px, 0, 0.003 };
    return (photo_lens){ usual, usual_focal_spread * usual, 0, 0.003 };
}

/* Corner i of a tag in its card's frame, inches: top left, top right, bottom right,
 * bottom left. */
static photo_point tag_corner(int id, int i)
{
    length x, y;
    card_tag_centre(id, &x, &y);
    length half = CARD_TAG_SIDE / 2;
    return (photo_point){ length_to_inches(x + (i == 1 || i == 2 ? half : -half)),
                          length_to_inches(y + (i < 2 ? half : -half)) };
}

/* The homography of one card from the corners of its tags; false when it has none. */
static bool card_homography(const photo_pose *pose, const photo_tags *tags, int first_id,
                            double ret_h[static 9])
{
    photo_point from[CARD_TAGS * 4], to[CARD_TAGS * 4];
    int count = 0;
    for (int t = 0; t < tags->count; t++) {
        const photo_tag *tag = &tags->tag[t];
        if (tag->id / CARD_TAGS * CARD_TAGS != first_id)
            continue;
        for (int i = 0; i < 4; i++, count++) {
            from[count] = tag_corner(tag->id, i);
            to[count] = px_to_ray(pose, tag->corners_px[i]);
        }
    }
    return count > 0 && photo_homography_fit(count, from, to, ret_h);
}

/* Tags of a card that were seen. */
static int tags_of(const photo_tags *tags, int first_id)
{
    int count = 0;
    for (int t = 0; t < tags->count; t++)
        count += tags->tag[t].id / CARD_TAGS * CARD_TAGS == first_id;
    return count;
}

/* A camera from the homography of a plane to its rays: columns 0 and 1 are the turn's, up
 * to a common factor, column 2 is the place (Zhang, "A flexible new technique for camera
 * calibration", PAMI 22(11), 2000, section 3.1). */
static void camera_from_homography(const double h[static 9], fit_state *state)
{
    double a[3] = { h[0], h[3], h[6] }, b[3] = { h[1], h[4], h[7] };
    double length_a = sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2]);
    double length_b = sqrt(b[0] * b[0] + b[1] * b[1] + b[2] * b[2]);
    double scale = 2 / (length_a + length_b), dot = 0, norm = 0;
    for (int i = 0; i < 3; i++)
        a[i] /= length_a;
    for (int i = 0; i < 3; i++)
        dot += a[i] * b[i];
    for (int i = 0; i < 3; i++) {
        b[i] -= dot * a[i];
        norm += b[i] * b[i];
    }
    for (int i = 0; i < 3; i++) {
        b[i] /= sqrt(norm);
        state->turn[i][0] = a[i];
        state->value[FIT_PLACE + i] = scale * h[3 * i + 2];
    }
    for (int i = 0; i < 3; i++) {
        int j = (i + 1) % 3, k = (i + 2) % 3;
        state->turn[i][1] = b[i];
        state->turn[i][2] = a[j] * b[k] - a[k] * b[j];
    }
}

static void state_to_ray(const fit_state *state, double ret_h[static 9])
{
    for (int i = 0; i < 3; i++) {
        ret_h[3 * i] = state->turn[i][0];
        ret_h[3 * i + 1] = state->turn[i][1];
        ret_h[3 * i + 2] = state->value[FIT_PLACE + i];
    }
}

/* What is believed before looking: the lens as known or guessed, a growth of some pixels,
 * paper that bows by some 0.03 in, two cards from one printer. */
static fit_prior prior_of(const photo_lens *lens, int shrink)
{
    fit_prior prior;
    for (int i = 0; i < FIT_UNKNOWNS; i++) {
        prior.mean[i] = 0;
        prior.sd[i] = INFINITY;
    }
    prior.mean[FIT_FOCAL] = log(lens->focal_px / shrink);
    prior.sd[FIT_FOCAL] = lens->focal_sd_px / lens->focal_px;
    prior.mean[FIT_K1] = lens->k1;
    prior.sd[FIT_K1] = lens->k1_sd;
    prior.sd[FIT_GROWTH] = 1;
    for (int i = 0; i < 2; i++) {
        prior.sd[FIT_BOW + i] = bow_spread_in;
        prior.sd[FIT_OTHER_BOW + i] = bow_spread_in;
    }
    prior.sd[FIT_OTHER_SCALE] = print_spread;
    return prior;
}

/* Both axes of every corner of every tag. */
static int list_corners(const photo_tags *tags, int anchor, int shrink, fit_sight *sights)
{
    int count = 0;
    for (int t = 0; t < tags->count; t++)
        for (int i = 0; i < 8; i++)
            sights[count++] = (fit_sight){
                .other = tags->tag[t].id / CARD_TAGS * CARD_TAGS != anchor,
                .on_in = tag_corner(tags->tag[t].id, i / 2),
                .seen_px = { tags->tag[t].corners_px[i / 2].x / shrink,
                             tags->tag[t].corners_px[i / 2].y / shrink },
                .normal = { i % 2 == 0, i % 2 },
                .weight = 1,
            };
    return count;
}

/* Lays the other card on the anchor's plane, roughly. */
static bool place_other(const photo_pose *rough, const photo_tags *tags, int other,
                        fit_state *state)
{
    double h[9], back[9];
    photo_point middle = { 0, 0 }, right = { 1, 0 };
    if (!card_homography(rough, tags, other, h) ||
        !photo_homography_invert(rough->table_to_ray, back) ||
        !photo_homography_map(h, middle, &middle) ||
        !photo_homography_map(h, right, &right) ||
        !photo_homography_map(back, middle, &middle) ||
        !photo_homography_map(back, right, &right))
        return false;
    state->value[FIT_OTHER_X] = middle.x;
    state->value[FIT_OTHER_Y] = middle.y;
    state->value[FIT_OTHER_ANGLE] = atan2(right.y - middle.y, right.x - middle.x);
    return true;
}

/* The camera of a pose whose homography and lens are roughly known. */
static fit_state start_camera(const photo_picture *picture, const photo_pose *rough)
{
    fit_state state = { .unknowns = FIT_ONE_CARD,
                        .centre_px = { rough->centre_px.x / picture->shrink,
                                       rough->centre_px.y / picture->shrink } };
    camera_from_homography(rough->table_to_ray, &state);
    state.value[FIT_FOCAL] = log(rough->lens.focal_px / picture->shrink);
    state.value[FIT_K1] = rough->lens.k1;
    return state;
}

/* A first camera by the homography of the card of which most is seen; false when even
 * that has none. */
static bool start_state(const photo_picture *picture, const photo_tags *tags,
                        photo_pose *rough, int *ret_anchor, fit_state *ret_state)
{
    int seen[CARD_KINDS];
    for (int kind = 0; kind < CARD_KINDS; kind++)
        seen[kind] = tags_of(tags, kind * CARD_TAGS);
    int anchor = seen[1] > seen[0] ? CARD_TAGS : 0, other = CARD_TAGS - anchor;
    if (!card_homography(rough, tags, anchor, rough->table_to_ray))
        return false;
    fit_state state = start_camera(picture, rough);
    if (seen[other / CARD_TAGS] > 0 && place_other(rough, tags, other, &state))
        state.unknowns = FIT_UNKNOWNS;
    *ret_anchor = anchor;
    *ret_state = state;
    return true;
}

/* Corners first, then edges, looked for ever more closely. */
static double fit_all(const photo_picture *picture, const photo_tags *tags, int anchor,
                      const fit_prior *prior, fit_state *state, solve_sums *ret_sums,
                      double *ret_blur_px)
{
    g_autofree fit_sight *sights = g_new(fit_sight, FIT_SIGHTS_MAX);
    int count = list_corners(tags, anchor, picture->shrink, sights);
    double spread = fit_run(state, prior, count, sights, 0.3, ret_sums);
    for (int round = 0; round < 3 && isfinite(spread); round++) {
        count = fit_measure_edges(picture, tags, state, anchor, round == 0 ? 5 : 4,
                                  sights, ret_blur_px);
        if (count < 50 * tags->count)
            break;
        spread = fit_run(state, prior, count, sights, edge_noise_px, ret_sums);
    }
    return spread;
}

/* Farthest that a tag's corner was seen from where the fit puts it, in pixels of the
 * file. */
static double corner_misfit(const photo_tags *tags, int anchor, const fit_state *state,
                            int shrink)
{
    fit_view view = fit_view_of(state);
    double worst = 0;
    for (int t = 0; t < tags->count; t++)
        for (int i = 0; i < 4; i++) {
            photo_point px, seen = tags->tag[t].corners_px[i];
            int other = tags->tag[t].id / CARD_TAGS * CARD_TAGS != anchor;
            if (!fit_project(&view, other, tag_corner(tags->tag[t].id, i), &px))
                return INFINITY;
            worst = fmax(worst, hypot(px.x * shrink - seen.x, px.y * shrink - seen.y));
        }
    return worst;
}

/* The pose in the anchor's frame becomes that in the frame of the other card. */
static void to_other_frame(const fit_state *state, double table_to_ray[static 9])
{
    double scale = exp(state->value[FIT_OTHER_SCALE]);
    double c = cos(state->value[FIT_OTHER_ANGLE]), s = sin(state->value[FIT_OTHER_ANGLE]);
    double x = state->value[FIT_OTHER_X], y = state->value[FIT_OTHER_Y];
    for (int i = 0; i < 3; i++) {
        double *row = table_to_ray + 3 * i, a = row[0], b = row[1];
        row[2] += a * x + b * y;
        row[0] = scale * (c * a + s * b);
        row[1] = scale * (-s * a + c * b);
    }
}

static void place_cards(const photo_tags *tags, int anchor, const fit_state *state,
                        photo_pose *pose)
{
    double half_w = length_to_inches(CARD_WIDTH) / 2,
           half_h = length_to_inches(CARD_HEIGHT) / 2;
    double scale = exp(state->value[FIT_OTHER_SCALE]);
    double c = cos(state->value[FIT_OTHER_ANGLE]), s = sin(state->value[FIT_OTHER_ANGLE]);
    double x = state->value[FIT_OTHER_X], y = state->value[FIT_OTHER_Y];
    /* The card that is not at the origin: seen from the other one, the same turn back. */
    if (anchor != 0) {
        scale = 1 / scale;
        s = -s;
        double back_x = -scale * (c * x - s * y), back_y = -scale * (s * x + c * y);
        x = back_x;
        y = back_y;
    }
    pose->scale_ratio = state->unknowns == FIT_UNKNOWNS ? scale : 1;
    for (int kind = 0; kind < CARD_KINDS; kind++) {
        int seen = tags_of(tags, kind * CARD_TAGS);
        if (seen == 0)
            continue;
        bool first = pose->card_count == 0;
        photo_card *card = &pose->card[pose->card_count++];
        *card = (photo_card){ .first_id = kind * CARD_TAGS, .tags = seen };
        for (int i = 0; i < 4; i++) {
            photo_point corner = { i == 1 || i == 2 ? half_w : -half_w,
                                   i < 2 ? half_h : -half_h };
            card->corners_in[i] =
                first ? corner
                      : (photo_point){ x + scale * (c * corner.x - s * corner.y),
                                       y + scale * (s * corner.x + c * corner.y) };
        }
    }
}

/* Length of a short line of the table seen by one state and read by another, over its
 * true one. */
static double length_read(const photo_pose *seen_by, const photo_pose *read_by,
                          photo_point at, int along)
{
    const double reach = 1.5;
    photo_point end[2], px;
    for (int i = 0; i < 2; i++) {
        double off = i == 0 ? -reach : reach;
        photo_point on = { at.x + (along ? 0 : off), at.y + (along ? off : 0) };
        if (!photo_pose_to_px(seen_by, on, &px) ||
            !photo_pose_to_table(read_by, px, &end[i]))
            return 1;
    }
    return hypot(end[1].x - end[0].x, end[1].y - end[0].y) / (2 * reach);
}

static void pose_of_state(const fit_state *state, int shrink, photo_pose *pose)
{
    state_to_ray(state, pose->table_to_ray);
    pose->lens.focal_px = exp(state->value[FIT_FOCAL]) * shrink;
    pose->lens.k1 = state->value[FIT_K1];
}

/* How far off lengths of 3 in within 15 in of the anchor may be: twice the root mean
 * square over the places that the picture shows of their spread, by the fit's own
 * equations. */
static double expect_error(const photo_picture *picture, const fit_state *state,
                           const solve_sums *sums)
{
    photo_pose here = { .centre_px = { picture->width / 2.0, picture->height / 2.0 } },
               moved[FIT_UNKNOWNS];
    pose_of_state(state, picture->shrink, &here);
    const double tiny = 1e-5;
    for (int j = 0; j < state->unknowns; j++) {
        double step[FIT_UNKNOWNS] = { 0 };
        step[j] = tiny;
        fit_state nudged = fit_moved(state, step);
        moved[j] = here;
        pose_of_state(&nudged, picture->shrink, &moved[j]);
    }
    double sum = 0;
    int count = 0;
    for (int y = -15; y <= 15; y += 5)
        for (int x = -15; x <= 15; x += 5)
            for (int along = 0; along < 2; along++) {
                photo_point at = { x, y }, px;
                if (hypot(x, y) > 15.5 || !photo_pose_to_px(&here, at, &px) || px.x < 0 ||
                    px.y < 0 || px.x > picture->width || px.y > picture->height)
                    continue;
                double by[FIT_UNKNOWNS];
                for (int j = 0; j < state->unknowns; j++)
                    by[j] = (length_read(&here, &moved[j], at, along) - 1) / tiny;
                sum += solve_sums_variance(sums, by);
                count++;
            }
    return count == 0 ? INFINITY : 2 * sqrt(sum / count);
}

/* Pixels of the file an inch at the anchor's centre, in the worse direction. */
static double pixels_per_in(const photo_pose *pose)
{
    photo_point at, right, up;
    const double step = 0.1;
    if (!photo_pose_to_px(pose, (photo_point){ 0, 0 }, &at) ||
        !photo_pose_to_px(pose, (photo_point){ step, 0 }, &right) ||
        !photo_pose_to_px(pose, (photo_point){ 0, step }, &up))
        return 0;
    double a = right.x - at.x, b = up.x - at.x, c = right.y - at.y, d = up.y - at.y;
    double sum = a * a + b * b + c * c + d * d, det = a * d - b * c;
    return sqrt((sum - sqrt(fmax(0, sum * sum - 4 * det * det))) / 2) / step;
}

static photo_pose start_pose(const photo_picture *picture, const photo_lens *lens)
{
    return (photo_pose){
        .centre_px = { picture->width / 2.0, picture->height / 2.0 },
        .lens = lens != NULL ? *lens : photo_lens_guess(picture),
        .scale_ratio = 1,
    };
}

/* Spread of one unknown by the fit's equations. */
static double spread_of(const solve_sums *sums, int unknown)
{
    double by[FIT_UNKNOWNS] = { 0 };
    by[unknown] = 1;
    return sqrt(solve_sums_variance(sums, by));
}

/* What the fit says of view, lens and sureness. */
static void finish_pose(const photo_picture *picture, const fit_state *state,
                        const solve_sums *sums, photo_pose *pose)
{
    pose_of_state(state, picture->shrink, pose);
    pose->pixels_per_in = pixels_per_in(pose);
    pose->length_error = expect_error(picture, state, sums);
    pose->lens.focal_sd_px = pose->lens.focal_px * spread_of(sums, FIT_FOCAL);
    pose->lens.k1_sd = spread_of(sums, FIT_K1);
    pose->tilt_deg = acos(fmin(1, fabs(state->turn[2][2]))) * 180 / G_PI;
}

/* No scale: for want of tags, or because they are too small to measure by. */
static gboolean refuse_unsure(const photo_tags *tags, GError **error)
{
    if (tags->count < CARD_TAGS)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_HALF_CARD,
                    "Only %d of the card's 4 tags can be seen, too few for a sure scale.",
                    tags->count);
    else
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_TOO_FAR,
                            "The card is too small in the picture for a sure scale.");
    return FALSE;
}

gboolean photo_solve_pose(const photo_picture *picture, const photo_tags *tags,
                          const photo_lens *lens, photo_pose *ret_pose, GError **error)
{
    photo_pose pose = start_pose(picture, lens);
    fit_prior prior = prior_of(&pose.lens, picture->shrink);
    int anchor;
    fit_state state;
    if (!start_state(picture, tags, &pose, &anchor, &state)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_HALF_CARD,
                    "Only %d of the card's 4 tags can be seen.", tags->count);
        return FALSE;
    }
    solve_sums sums;
    fit_state start = state;
    double spread = fit_all(picture, tags, anchor, &prior, &state, &sums, &pose.blur_px);
    if (isfinite(spread) && fabs(state.value[FIT_OTHER_SCALE]) > 2.5 * print_spread) {
        /* Not from one printer after all: ask again without that belief. */
        prior.sd[FIT_OTHER_SCALE] = 0.1;
        state = start;
        spread = fit_all(picture, tags, anchor, &prior, &state, &sums, &pose.blur_px);
    }
    pose_of_state(&state, picture->shrink, &pose);
    pose.pixels_per_in = pixels_per_in(&pose);
    double misfit_in =
        isfinite(spread)
            ? corner_misfit(tags, anchor, &state, picture->shrink) / pose.pixels_per_in
            : INFINITY;
    if (!(misfit_in < misfit_max_in)) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_CARDS_CLASH,
                            "The tags do not lie as on flat cards.");
        return FALSE;
    }

    pose.error_in = spread * picture->shrink / pose.pixels_per_in;
    pose.blur_px *= picture->shrink;
    finish_pose(picture, &state, &sums, &pose);
    if (!(pose.length_error < length_error_max))
        return refuse_unsure(tags, error);
    pose.bow_in =
        fmax(misfit_in, fmax(fabs(state.value[FIT_BOW]), fabs(state.value[FIT_BOW + 1])));
    if (anchor != 0 && state.unknowns == FIT_UNKNOWNS)
        to_other_frame(&state, pose.table_to_ray);
    place_cards(tags, anchor, &state, &pose);
    *ret_pose = pose;
    return TRUE;
}

gboolean photo_pose_from_points(const photo_picture *picture,
                                const photo_point corners_px[static 4], length width,
                                length height, const photo_lens *lens,
                                photo_pose *ret_pose, GError **error)
{
    photo_pose pose = start_pose(picture, lens);
    photo_point from[4], to[4];
    fit_sight sights[8];
    for (int i = 0; i < 4; i++) {
        from[i] =
            (photo_point){ length_to_inches(width) * (i == 1 || i == 2 ? 0.5 : -0.5),
                           length_to_inches(height) * (i < 2 ? 0.5 : -0.5) };
        to[i] = px_to_ray(&pose, corners_px[i]);
        for (int axis = 0; axis < 2; axis++)
            sights[2 * i + axis] = (fit_sight){
                .on_in = from[i],
                .seen_px = { corners_px[i].x / picture->shrink,
                             corners_px[i].y / picture->shrink },
                .normal = { axis == 0, axis == 1 },
                .weight = 1,
            };
    }
    if (!photo_homography_fit(4, from, to, pose.table_to_ray)) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_POINTS,
                            "The four points are no corners of a flat rectangle.");
        return FALSE;
    }

    /* What is flat and has no ink: neither bow nor growth. */
    fit_prior prior = prior_of(&pose.lens, picture->shrink);
    for (int i = FIT_GROWTH; i < FIT_ONE_CARD; i++)
        prior.sd[i] = 1e-6;
    fit_state state = start_camera(picture, &pose);
    double tap_px = fmax(2, tap_spread * MAX(picture->width, picture->height));
    solve_sums sums;
    if (!isfinite(fit_run(&state, &prior, 8, sights, tap_px / picture->shrink, &sums))) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_POINTS,
                            "No camera sees a rectangle of this size so.");
        return FALSE;
    }
    finish_pose(picture, &state, &sums, &pose);
    pose.error_in = tap_px / pose.pixels_per_in;
    *ret_pose = pose;
    return TRUE;
}
