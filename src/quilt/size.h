/* quilt/size.h: from the unit square to the size of the quilt, and back from a bed or a
 * wish to whole blocks. Pure; exact.
 *
 * Lengths are cut (raw edge to raw edge), finished (seam line to seam line) or unfinished
 * (a sewn piece that still has its outer seam allowances: finished + 2 seams). Diagonals
 * are irrational: what is cut to them is rounded up to the next length unit (1/8128 in),
 * what is only told is rounded to the nearest. */
#pragma once

#include "quilt/layout.h"

#define QUILT_SEAM         ((length)(LENGTH_INCH / 4)) /* the trade's seam allowance */
#define QUILT_FINISHED_MAX ((length)(100 * LENGTH_M))  /* a side of any quilt */

/* Diagonals in whole numbers. x is 0 to QUILT_FINISHED_MAX. */

length quilt_diagonal(length x);    /* x times the root of 2, to the nearest unit */
length quilt_diagonal_up(length x); /* the same, up */
length quilt_leg_up(length x);      /* x divided by the root of 2, up */

/* Squares to cut for triangles; f is the finished side named. Derived from geometry: a
 * seam allowance runs along all three sides, so the cut triangle's legs are longer by
 * s (2 + root 2), its long side by s (2 + 2 root 2). With a seam of 1/4 in these are the
 * trade's 7/8 and 1 1/4 in once rounded up to an eighth. All are the least length in
 * whole units that is enough; length_ceil(x, LENGTH_INCH / 8) gives what is on a ruler.
 */

/** Halved on a diagonal into two triangles with legs of f finished: also two at a time.
 */
length quilt_half_square(length f, length seam);

/** Two of these sewn along both diagonals and cut in eight give eight units. */
length quilt_half_square_by_eight(length f, length seam);

/** Two of these sewn all round and cut on both diagonals give four units. */
length quilt_half_square_by_four(length f, length seam);

/** Quartered on both diagonals into four triangles with a long side of f finished. */
length quilt_quarter_square(length f, length seam);

/** What two squares of side q sewn two at a time measure untrimmed; rounded down. */
length quilt_half_square_raw(length q, length seam);

/** The cut unit of which `side` patches finish as a block of that size, to the nearest
 * unit of length; side 1 or more. Nine patches in 12 in give 1.8333 in, which no ruler
 * has. */
length quilt_unit_for(length block_finished, int side, length seam);

/** What a plain border round a body must measure finished, on each side of one way, so
 * that a border pieced of `unit` finished fits round it: (next multiple - body) / 2, down
 * to a whole unit of length. 0 when the body is a multiple itself. */
length quilt_spacer(length body, length unit);

/** Squares of side c that a piece of cloth gives in rows and columns on its grain. */
int64_t quilt_squares_in(length width, length height, length c);

/* The seam test: three strips of one cut width sewn side by side. */

typedef struct quilt_seam_test {
    length middle, outer, whole; /* what they measure when the seams are right */
} quilt_seam_test;

quilt_seam_test quilt_seam_test_of(length strip, length seam);

/** The seam allowance really sewn, from the middle strip as measured. */
length quilt_seam_sewn(length strip, length middle);

/** How much shorter a row of n units comes out with seams too wide by `error` each. */
length quilt_row_short(int n, length error);

/** How much too wide each seam is on the mean in a block of n patches a side (2 or more)
 *  that measures `measured` unfinished; below 0 when too narrow. Nearest unit. */
length quilt_seam_error(int n, length cut, length seam, length measured);

/** Width and height. */
typedef struct quilt_extent {
    length width, height;
} quilt_extent;

typedef struct quilt_frame_border {
    length width; /* finished */
    uint8_t role; /* quilt_role */
    bool mitred;
} quilt_frame_border;

/**
 * A design at a size: all that the measures of a quilt follow from. quilt_frame_make()
 * fills it from the design; a caller may then set what the maker wants otherwise.
 */
typedef struct quilt_frame {
    int side;         /* patches along a block */
    int across, down; /* blocks, as in quilt_layout_make() */
    bool on_point;
    length unit; /* cut */
    length seam;
    length sash; /* finished; 0 for none */
    uint8_t sash_role, cornerstone_role, setting_role;
    bool sash_around, cornerstones; /* on point both are taken as given */
    int border_count;               /* from the inside outwards */
    quilt_frame_border borders[QUILT_BORDERS_MAX];
} quilt_frame;

/** Patches of so much cut, seams of so much; setting triangles of the background. */
quilt_frame quilt_frame_make(const quilt_design *design, int across, int down,
                             length unit, length seam);

typedef struct quilt_sizes {
    length unit_finished, block_finished, block_unfinished;
    quilt_extent body;                     /* finished: blocks and sashes */
    quilt_extent after[QUILT_BORDERS_MAX]; /* finished, with each border */
    quilt_extent finished;                 /* of the whole */
    int side_triangles, corner_triangles;  /* on point, else 0 */
} quilt_sizes;

/**
 * The sizes of a quilt. Straight: n blocks F and the sashes z between them (and around).
 * On point, with sashes all round each block: (n (F + z) + z) root 2.
 *
 * Errors: QUILT_MEASURE when the unit leaves nothing within its seams, or a width is
 * below 0 or a seam is 0; QUILT_SIZE when there are no blocks or a side is over
 * QUILT_FINISHED_MAX.
 */
gboolean quilt_frame_sizes(const quilt_frame *frame, quilt_sizes *ret,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/* Whole blocks for a wanted size. */

typedef enum quilt_fit_by {
    QUILT_FIT_BLOCKS,  /* any number of blocks (even numbers in quarters) */
    QUILT_FIT_REPEATS, /* whole repeats of the design */
    QUILT_FIT_ALIKE, /* numbers with which both edges end alike (quilt_start_even()); any
                        number where the design has none */
} quilt_fit_by;

/** The nearest numbers of blocks one way and the finished size that they give. */
typedef struct quilt_fit {
    int below, above; /* above = below when the size is met; below 0: none is as small */
    length below_finished, above_finished;
} quilt_fit;

/**
 * The nearest numbers of blocks below and above a wanted finished size, borders and
 * sashes reckoned in.
 *
 * @frame  its across and down are of no matter
 * @down   whether the height is asked for, else the width
 *
 * Errors: as quilt_frame_sizes(); QUILT_SIZE when QUILT_ACROSS_MAX blocks are too few;
 * QUILT_MEASURE when wanted is not above 0.
 */
gboolean quilt_frame_fit(const quilt_design *design, const quilt_frame *frame, bool down,
                         length wanted, quilt_fit_by by, quilt_fit *ret,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/* Beds. */

/** A mattress as listed; starting values only, the maker's own measures go first. */
typedef struct quilt_bed {
    const char *country; /* "us", "uk", "eu" */
    const char *size;    /* "queen", "california-king" */
    const char *name;    /* for people */
    length width, height;
    const char *source;
} quilt_bed;

/** All beds known; static. */
const quilt_bed *quilt_beds(int *ret_count);

/** Finds a bed whatever the case; NULL with QUILT_BED, which tells those that there are.
 */
const quilt_bed *quilt_bed_find(const char *size, const char *country, GError **error);

/**
 * What covers a bed: the drop hangs on both sides and at the foot, the tuck goes round
 * the pillow. Errors: QUILT_MEASURE for a mattress not above 0, or a drop or tuck below 0
 * or over 2 m.
 */
gboolean quilt_bed_cover(quilt_extent mattress, length drop, length tuck,
                         quilt_extent *ret, GError **error) G_GNUC_WARN_UNUSED_RESULT;
