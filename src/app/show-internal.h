/* app/show-internal.h: designs, plans and cloth as they are shown. */
#pragma once

#include "buying-internal.h"
#include "draw/block.h"
#include "laid-internal.h"

enum { APP_PALETTE_MAX = 48 };

/** What a design is shown in. */
typedef struct app_palette {
    draw_fabric fabric[QUILT_ROLES][APP_PALETTE_MAX];
    draw_cloths cloths; /* points into fabric: never copy the whole */
} app_palette;

/** The fabrics chosen for the roles; for others her own from the basket, else a few of
 * our choice. */
gboolean app_palette_fill(app *self, const app_chosen *chosen, app_palette *ret_palette,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Refuses with app.chart-too-large what has too many patches to be seen. */
gboolean app_laid_check_drawn(const app_laid *laid,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A small picture for a list: twice as wide where the request asks for it to be `fine`,
 * and in the inks of the dark page where it says `dark`. */
GBytes *app_show_small(const draw_scene *scene, const app_call *call, int width_px,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Renders, as app_render() calls them. */
GBytes *app_show_design(app *self, const app_call *call, GError **error);
GBytes *app_show_design_small(app *self, const app_call *call, GError **error);
GBytes *app_show_text(app *self, const app_call *call, GError **error);
GBytes *app_show_plan(app *self, const app_call *call, GError **error);
GBytes *app_show_cloth(app *self, const app_call *call, GError **error);
