/* app/choose-internal.h: what is shared in choosing the next quilt. */
#pragma once

#include "app-internal.h"

/** How many squares of a unit the basket holds. */
gboolean app_basket_squares(app *self, length unit, int64_t *ret_squares,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;
