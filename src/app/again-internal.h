/* app/again-internal.h: scraps that lie in two photos of one batch, counted once. */
#pragma once

#include "store/scrap.h"

/**
 * Looks for scraps of a photo that other photos show too: those kept within the hour, of
 * the same source. Where the photos overlap, one motion takes at least two scraps, shape
 * and colours, onto scraps of the other; all that it lays on each other are then the same
 * for sure, also those that an edge of a photo cuts off. A single likeness proves little
 * (strips of one width are many): when its shape is like no other's it is asked about,
 * else nothing is said.
 */
gboolean app_again_mark(store_change *change, int64_t photo,
                        GError **error) G_GNUC_WARN_UNUSED_RESULT;
