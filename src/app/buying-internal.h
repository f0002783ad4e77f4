/* app/buying-internal.h: what was bought already for a quilt, and the fabrics chosen for
 * it. */
#pragma once

#include "fabric-internal.h"
#include "quilt/buy.h"

/** Adds to the shopping list of a quilt what was ticked and bought, and to each item the
 * fabric that was chosen for it. */
gboolean app_bought_describe(app *self, int64_t quilt, const quilt_shopping *shopping,
                             json_t *document, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The looks of the fabrics chosen for a quilt's roles: fabric 0 where none is. Each is
 * cleared with app_look_clear(). */
typedef struct app_chosen {
    app_look look[QUILT_ROLES];
} app_chosen;

void app_chosen_clear(app_chosen *self);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(app_chosen, app_chosen_clear)

/** @quilt  0: nothing is chosen */
gboolean app_chosen_get(app *self, int64_t quilt, app_chosen *ret_chosen,
                        GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** {"background": {fabric, name, ...}, ...}: the roles for which one is chosen. */
json_t *app_chosen_document(const app_chosen *chosen);

/** For each item of a shopping list the name of the fabric chosen for it, borrowed, or
 * NULL. */
void app_chosen_names(const app_chosen *chosen, const quilt_shopping *shopping,
                      const char *ret_names[static QUILT_ITEMS_MAX]);
