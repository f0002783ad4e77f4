/* app/devices-internal.h: devices when one book takes the place of another. */
#pragma once

#include "app-internal.h"

/** All devices of the book, also those let in no more (store_device_list()); NULL when it
 * cannot be read. Free with g_array_unref(). */
GArray *app_devices_before(app *self);

/** Takes them over into the book as it is now: who was let in stays so, and who is let in
 * no more does not come in by an old copy. Not all of it matters enough to fail. */
void app_devices_keep(app *self, const GArray *before);
