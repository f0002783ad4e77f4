/* photo/describe-internal.h: from traced pieces to scraps with colours and swatches. */
#pragma once

#include "photo/find.h"
#include "photo/outline-internal.h"
#include "photo/surface-internal.h"

/** Describes the pieces that have an outline, in reading order, and remarks on what is
 * doubtful; rejects, or NULL, are only remarked on. */
photo_scraps *photo_describe(const photo_surface *surface, const photo_plan *plan,
                             GPtrArray *pieces, GPtrArray *rejects);
