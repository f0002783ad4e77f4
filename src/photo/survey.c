#include "photo/photo.h"

#include <string.h>

gboolean photo_survey_run(const char *path, const photo_lens *lens,
                          const photo_watch *watch, photo_survey *ret_survey,
                          GError **error)
{
    photo_survey *survey = ret_survey;
    survey->picture = photo_load(path, watch, error);
    if (survey->picture == NULL ||
        !photo_find_cards(survey->picture, watch, &survey->tags, error) ||
        !photo_solve_pose(survey->picture, &survey->tags, lens, &survey->pose, error))
        return FALSE;
    survey->plan = photo_make_plan(survey->picture, &survey->pose, watch, error);
    if (survey->plan == NULL)
        return FALSE;
    photo_judge(&survey->pose, survey->plan, &survey->quality, &survey->warnings);
    return TRUE;
}

void photo_survey_clear(photo_survey *survey)
{
    photo_picture_free(survey->picture);
    photo_plan_free(survey->plan);
    memset(survey, 0, sizeof *survey);
}
