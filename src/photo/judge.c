#include "photo/judge.h"

void photo_judge(const photo_picture *picture, const photo_tags *tags,
                 const photo_pose *pose, const photo_plan *plan,
                 photo_quality *ret_quality, photo_warnings *warnings)
{
    (void)picture;
    (void)plan;
    *ret_quality = (photo_quality){ 0 };
    for (int i = 0; i < pose->card_count; i++)
        if (pose->card[i].tags < CARD_TAGS)
            photo_warn(warnings, "photo.card-partly",
                       "Only %d of a card's 4 tags can be seen (%d tags in all); lay the "
                       "whole card "
                       "in view, so that the scale is sure.",
                       pose->card[i].tags, tags->count);
}
