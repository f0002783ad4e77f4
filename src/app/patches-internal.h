/* app/patches-internal.h: the fabrics of a block's patches, and the squares they took. */
#pragma once

#include "laid-internal.h"

/** Whether a patch is a square out of the basket. */
bool app_patch_from_basket(const quilt_patch *patch);

/** How many pieces of cloth a patch is: 1, or 2 triangles. */
int app_patch_parts(const quilt_patch *patch);

/** Whether a part of a patch is of any scrap, the book's fabrics being asked which. */
bool app_patch_of_scraps(const quilt_patch *patch, int part);

enum { APP_PATCH_SWATCH_PX = 96 };

/** The flat middle of a part of a patch, out of the picture of its block as designed.
 * @rgb     span x span x 3, sRGB
 * @place   of the patch, in reading order
 * @swatch  filled: APP_PATCH_SWATCH_PX squared, x 3 */
void app_patch_swatch(const uint8_t *rgb, int span, int side, int place,
                      const quilt_patch *patch, int part, uint8_t *swatch);

/** Takes the squares of a block out of the basket: those of patches whose fabric is known
 * are exact, the others come off the top. @ret_short how many the basket lacked is added
 * to it. */
gboolean app_patches_take(store_change *change, length unit, const quilt_block *kind,
                          int64_t block, size_t count, const store_patch patches[],
                          int *ret_short, GError **error) G_GNUC_WARN_UNUSED_RESULT;
