/* app/sewsheet-internal.h: the sheet to lie by the machine. */
#pragma once

#include "sheet-internal.h"

/** The sheet "sew" for the blocks that are still to make. Free with draw_scene_free(). */
draw_scene *app_sew_sheet(app *self, const app_call *call, GError **error);
