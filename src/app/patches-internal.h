/* app/patches-internal.h: the fabrics of a block's patches, and the squares they took. */
#pragma once

#include "laid-internal.h"

/** Whether a patch is a square out of the basket. */
bool app_patch_from_basket(const quilt_patch *patch);

/** Takes the squares of a block out of the basket: those of patches whose fabric is known
 * are exact, the others come off the top. @ret_short how many the basket lacked is added
 * to it. */
gboolean app_patches_take(store_change *change, length unit, const quilt_block *kind,
                          int64_t block, size_t count, const store_patch patches[],
                          int *ret_short, GError **error) G_GNUC_WARN_UNUSED_RESULT;
