#include "photo/pose.h"

#include "base/error.h"
#include "photo/homography.h"

#include <math.h>
#include <string.h>

/* A phone's main camera without EXIF: 26 mm as on a 35 mm frame, give or take. */
static const double usual_focal_35mm = 26, usual_focal_spread = 0.12;

bool photo_pose_to_px(const photo_pose *pose, photo_point table_in, photo_point *ret_px)
{
    photo_point ray;
    if (!photo_homography_map(pose->table_to_ray, table_in, &ray))
        return false;
    double s = 1 + pose->lens.k1 * (ray.x * ray.x + ray.y * ray.y);
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

static void place_card(photo_pose *pose, const photo_tags *tags, int first_id)
{
    double h[9], back[9];
    if (!card_homography(pose, tags, first_id, h) ||
        !photo_homography_invert(pose->table_to_ray, back))
        return;
    photo_card *card = &pose->card[pose->card_count++];
    card->first_id = first_id;
    card->tags = 0;
    for (int t = 0; t < tags->count; t++)
        card->tags += tags->tag[t].id / CARD_TAGS * CARD_TAGS == first_id;
    double half_w = length_to_inches(CARD_WIDTH) / 2;
    double half_h = length_to_inches(CARD_HEIGHT) / 2;
    for (int i = 0; i < 4; i++) {
        photo_point corner = { i == 1 || i == 2 ? half_w : -half_w,
                               i < 2 ? half_h : -half_h };
        photo_homography_map(h, corner, &corner);
        photo_homography_map(back, corner, &card->corners_in[i]);
    }
}

gboolean photo_solve_pose(const photo_picture *picture, const photo_tags *tags,
                          const photo_lens *lens, photo_pose *ret_pose, GError **error)
{
    photo_pose pose = {
        .centre_px = { picture->width / 2.0, picture->height / 2.0 },
        .lens = lens != NULL ? *lens : photo_lens_guess(picture),
        .scale_ratio = 1,
    };
    pose.lens.k1 = 0;
    if (tags->count < 3 ||
        !card_homography(&pose, tags, tags->tag[0].id / CARD_TAGS * CARD_TAGS,
                         pose.table_to_ray)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_HALF_CARD,
                    "Only %d of the card's 4 tags can be seen.", tags->count);
        return FALSE;
    }
    for (int kind = 0; kind < CARD_KINDS; kind++)
        place_card(&pose, tags, kind * CARD_TAGS);
    *ret_pose = pose;
    return TRUE;
}

gboolean photo_pose_from_points(const photo_picture *picture,
                                const photo_point corners_px[static 4], length width,
                                length height, const photo_lens *lens,
                                photo_pose *ret_pose, GError **error)
{
    photo_pose pose = {
        .centre_px = { picture->width / 2.0, picture->height / 2.0 },
        .lens = lens != NULL ? *lens : photo_lens_guess(picture),
        .scale_ratio = 1,
    };
    photo_point from[4], to[4];
    for (int i = 0; i < 4; i++) {
        from[i] =
            (photo_point){ length_to_inches(width) * (i == 1 || i == 2 ? 0.5 : -0.5),
                           length_to_inches(height) * (i < 2 ? 0.5 : -0.5) };
        to[i] = px_to_ray(&pose, corners_px[i]);
    }
    if (!photo_homography_fit(4, from, to, pose.table_to_ray)) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_POINTS,
                            "The four points are no corners of a flat rectangle.");
        return FALSE;
    }
    *ret_pose = pose;
    return TRUE;
}
