/* quilt/catalogue.h: the traditional designs that come with the program: the files of
 * designs/, built in. */
#pragma once

#include "quilt/design.h"

typedef struct quilt_catalogue_entry {
    const char *name; /* the design's id: "lattice-chain" */
    size_t size;
    const char *text; /* for quilt_design_parse() */
} quilt_catalogue_entry;

/** All designs, by name; static. */
const quilt_catalogue_entry *quilt_catalogue(int *ret_count);

/** The design of that name, read: DESIGN_UNKNOWN tells the nearest names when there is
 *  none. */
gboolean quilt_catalogue_design(const char *name, quilt_design *ret,
                                GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Names like a misspelt one, the nearest first: by the letters to put in, leave out,
 * exchange or swap (optimal string alignment), capitals and blanks apart; a name that
 * holds what was written counts as near. Names that have little in common are left out.
 *
 * @ret  room for `most` static names
 *
 * Returns how many were found, 0 to most.
 */
int quilt_catalogue_nearest(const char *name, int most, const char *ret[]);
