/* app/piecing-internal.h: the sheet for a day of chain piecing. */
#pragma once

#include "sheet-internal.h"

/** The sheet "next": so many blocks as count says (10) and the squares to pull for them,
 * as the action "next" composes them. Free with draw_scene_free(). */
draw_scene *app_piecing_sheet(app *self, const app_call *call, GError **error);
