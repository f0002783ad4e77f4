/* app/sheet-internal.h: the sheets that are printed. */
#pragma once

#include "app-internal.h"
#include "draw/sheet.h"

/** The head of a sheet with the date that it holds. Free with app_sheet_head_clear(). */
typedef struct app_sheet_head {
    draw_heading heading;
    length_system system;
    char *date;
} app_sheet_head;

static inline void app_sheet_head_clear(app_sheet_head *head)
{
    g_clear_pointer(&head->date, g_free);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(app_sheet_head, app_sheet_head_clear)

/** Paper by the request or the settings, today's date, both and the title in the language
 * of the settings; a title of NULL is left to the caller. */
gboolean app_sheet_heading(app *self, const app_call *call, const char *title,
                           app_sheet_head *ret_head,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Draws "card", "chart", ... Free with draw_scene_free(). Errors: app.no-sheet. */
draw_scene *app_sheet_drawn(app *self, const app_call *call, const char *what,
                            GError **error);
