#include "photo/card.h"

#include "base/error.h"

#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>
#include <math.h>

/* What one look at the picture gives, before it is judged. */
typedef struct look {
    photo_tags tags;
    int twice; /* an id seen twice, or -1 */
} sighting;

/* sRGB bytes to the grey that the detector wants; green and red carry the sharpness. */
static void to_grey(const photo_picture *picture, int stride, uint8_t *grey)
{
    for (int r = 0; r < picture->rows; r++) {
        const uint8_t *in = picture->rgb + (size_t)r * (size_t)picture->columns * 3;
        uint8_t *out = grey + (size_t)r * (size_t)stride;
        for (int c = 0; c < picture->columns; c++)
            out[c] =
                (uint8_t)((in[3 * c] * 5 + in[3 * c + 1] * 9 + in[3 * c + 2] * 2) >> 4);
    }
}

static void keep_tag(const apriltag_detection_t *seen, double scale, sighting *found)
{
    /* The detector gives bottom left, bottom right, top right, top left. */
    static const int order[4] = { 3, 2, 1, 0 };
    photo_tag *tag = &found->tags.tag[found->tags.count++];
    tag->id = seen->id;
    for (int i = 0; i < 4; i++)
        tag->corners_px[i] =
            (photo_point){ scale * seen->p[order[i]][0], scale * seen->p[order[i]][1] };
}

/* Two sightings of one id lie apart unless the detector has seen one tag twice. */
static bool same_place(const photo_tag *tag, const apriltag_detection_t *seen,
                       double scale)
{
    double side = hypot(tag->corners_px[0].x - tag->corners_px[2].x,
                        tag->corners_px[0].y - tag->corners_px[2].y);
    double x = (tag->corners_px[0].x + tag->corners_px[2].x) / 2,
           y = (tag->corners_px[0].y + tag->corners_px[2].y) / 2;
    return hypot(x - scale * seen->c[0], y - scale * seen->c[1]) < side / 2;
}

static sighting look_once(const photo_picture *picture, float decimate)
{
    sighting found = { .twice = -1 };
    image_u8_t *grey =
        image_u8_create((unsigned)picture->columns, (unsigned)picture->rows);
    to_grey(picture, grey->stride, grey->buf);

    apriltag_family_t *family = tag36h11_create();
    apriltag_detector_t *detector = apriltag_detector_create();
    apriltag_detector_add_family_bits(detector, family, 1);
    /* One: the pool of threads of libapriltag 3.3 takes tasks that are not there yet when
     * a thread wakes up early, and dies of it (pull request 339 of
     * AprilRobotics/apriltag). */
    detector->nthreads = 1;
    detector->quad_decimate = decimate;
    detector->refine_edges = true;

    zarray_t *seen = apriltag_detector_detect(detector, grey);
    for (int id = 0; id < PHOTO_TAGS_MAX; id++)
        for (int i = 0; i < zarray_size(seen); i++) {
            apriltag_detection_t *detection;
            zarray_get(seen, i, &detection);
            if (detection->id != id)
                continue;
            int last = found.tags.count - 1;
            if (last < 0 || found.tags.tag[last].id != id)
                keep_tag(detection, picture->shrink, &found);
            else if (!same_place(&found.tags.tag[last], detection, picture->shrink))
                found.twice = id;
        }

    apriltag_detections_destroy(seen);
    apriltag_detector_destroy(detector);
    tag36h11_destroy(family);
    image_u8_destroy(grey);
    return found;
}

/* Whether a card of which something was seen lacks a tag, or nothing was seen at all. */
static bool lacks_tags(const photo_tags *tags)
{
    int seen[CARD_KINDS] = { 0 };
    for (int i = 0; i < tags->count; i++)
        seen[tags->tag[i].id / CARD_TAGS]++;
    for (int kind = 0; kind < CARD_KINDS; kind++)
        if (seen[kind] != 0 && seen[kind] != CARD_TAGS)
            return true;
    return tags->count == 0;
}

/* The other look when it shows more. */
static void prefer(sighting *found, const sighting *other)
{
    if (other->tags.count > found->tags.count)
        *found = *other;
}

gboolean photo_find_cards(const photo_picture *picture, const photo_watch *watch,
                          photo_tags *ret_tags, GError **error)
{
    if (!photo_watch_tell(watch, 0.2, "Looking for the card", error))
        return FALSE;
    sighting found = look_once(picture, 2);
    if (lacks_tags(&found.tags)) {
        if (!photo_watch_tell(watch, 0.25, "Looking more closely", error))
            return FALSE;
        sighting closer = look_once(picture, 1);
        prefer(&found, &closer);
    }
    if (lacks_tags(&found.tags) && picture->shrink > 1) {
        g_autoptr(photo_picture) full = photo_load_bytes(
            picture->file, MAX(picture->width, picture->height), watch, error);
        if (full == NULL)
            return FALSE;
        sighting closest = look_once(full, 2);
        prefer(&found, &closest);
    }

    if (found.twice >= 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_CARDS_CLASH,
                    "The tag with number %d is there twice.", found.twice);
        return FALSE;
    }
    if (found.tags.count == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_NO_CARD,
                            "No measuring card was found.");
        return FALSE;
    }
    *ret_tags = found.tags;
    return TRUE;
}
