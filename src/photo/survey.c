#include "photo/photo.h"

#include <string.h>

gboolean photo_survey_load(const char *path, const photo_watch *watch,
                           photo_survey *ret_survey, GError **error)
{
    ret_survey->picture = photo_load(path, watch, error);
    return ret_survey->picture != NULL;
}

static gboolean finish(photo_survey *survey, const photo_watch *watch, GError **error)
{
    survey->plan = photo_make_plan(survey->picture, &survey->pose, watch, error);
    if (survey->plan == NULL)
        return FALSE;
    photo_judge(&survey->pose, survey->plan, &survey->quality, &survey->warnings);
    return TRUE;
}

gboolean photo_survey_by_cards(photo_survey *survey, const photo_lens *lens,
                               const photo_watch *watch, GError **error)
{
    if (!photo_find_cards(survey->picture, watch, &survey->tags, error) ||
        !photo_solve_pose(survey->picture, &survey->tags, lens, &survey->pose, error))
        return FALSE;
    if (survey->print_scale > 0)
        photo_pose_rescale(&survey->pose, survey->print_scale);
    return finish(survey, watch, error);
}

gboolean photo_survey_by_pose(photo_survey *survey, const photo_pose *pose,
                              const photo_watch *watch, GError **error)
{
    survey->pose = *pose;
    return finish(survey, watch, error);
}

gboolean photo_survey_run(const char *path, const photo_lens *lens,
                          const photo_watch *watch, photo_survey *ret_survey,
                          GError **error)
{
    return photo_survey_load(path, watch, ret_survey, error) &&
           photo_survey_by_cards(ret_survey, lens, watch, error);
}

void photo_survey_clear(photo_survey *survey)
{
    photo_picture_free(survey->picture);
    photo_plan_free(survey->plan);
    memset(survey, 0, sizeof *survey);
}
