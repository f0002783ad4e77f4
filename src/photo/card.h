/* photo/card.h: the tags of the measuring cards in a photo. */
#pragma once

#include "base/card.h"
#include "photo/load.h"
#include "photo/point.h"

enum { PHOTO_TAGS_MAX = CARD_TAGS * CARD_KINDS };

/** One tag as seen. */
typedef struct photo_tag {
    int id; /* 0 to 7, see base/card.h */
    photo_point
        corners_px[4]; /* of the black square, upright pixels: top left, top right,
                        bottom right, bottom left of the tag seen upright */
} photo_tag;

/** The tags seen in a photo, each id once, by id. Zeroed is empty. */
typedef struct photo_tags {
    int count;
    photo_tag tag[PHOTO_TAGS_MAX];
} photo_tags;

/**
 * Finds the cards' tags (libapriltag, family tag36h11, one bit corrected). Looks quickly
 * first, more closely when a card seen lacks a tag.
 *
 * Errors: photo.no-card when there is no tag at all; photo.cards-clash when an id is seen
 * twice, as when two identical cards lie there; cancelled.
 */
gboolean photo_find_cards(const photo_picture *picture, const photo_watch *watch,
                          photo_tags *ret_tags, GError **error) G_GNUC_WARN_UNUSED_RESULT;
