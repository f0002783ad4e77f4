/* app/story-internal.h: the record of one quilt: what went into it, from where, and where
 * it lies. */
#pragma once

#include "buying-internal.h"
#include "sheet-internal.h"
#include "wall-internal.h"

#include "draw/block.h"

/** Zeroed it is empty; free with app_story_clear(). */
typedef struct app_story {
    app_wall wall;
    app_chosen chosen;
    GArray *origins; /* store_origin */
    GArray *sources; /* store_source */
    GArray *shares;  /* store_share of the sources, most first */
    int *patches;    /* of each look of the wall: how many in the quilt */
    int *inferred;   /* how many of these nobody saw */
} app_story;

void app_story_clear(app_story *self);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(app_story, app_story_clear)

/** The record of the quilt that the field "quilt" names. */
gboolean app_story_requested(app *self, const app_call *call, app_story *ret_story,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** What is shown of a map: all of it, or one source or fabric with the rest pale. */
typedef struct app_story_shown {
    bool by_source, by_fabric;
    int64_t source; /* 0: that of which no one said where it came from */
    int64_t fabric;
} app_story_shown;

/** Draws the quilt as it is sewn, each patch in the colour of its fabric; what is not
 * sewn yet, or not meant, is pale. Returns its height. */
length app_story_draw(const app_story *self, const app_story_shown *shown,
                      draw_scene *scene, length left, length top, length width);

/** How wide the map is drawn where there is so much room. */
length app_story_width_within(const app_story *self, length wide, length high);

/** The looks of the wall, those with most patches first; free with g_free(). */
int *app_story_by_patches(const app_story *self);

/** How many places are filled; blocks off the quilt lie in no place of the plan. */
int app_story_places_filled(const app_story *self);

/** The map alone, on a page of its own shape, for the fields of app_story_svg(). Free
 * with draw_scene_free(). */
draw_scene *app_story_picture(app *self, const app_call *call, GError **error);

/** The map for the page; fields "source" (a name; "" those not said) or "fabric". */
GBytes *app_story_svg(app *self, const app_call *call, GError **error);

/** The sheet "story". */
draw_scene *app_story_sheet(app *self, const app_call *call, GError **error);

/** The sheet "year" of the field "year", of the last one where it is not said. */
draw_scene *app_year_sheet(app *self, const app_call *call, GError **error);

/** The picture of a quilt: JPEG. */
GBytes *app_quilt_jpeg(app *self, const app_call *call, GError **error);
