/* store/quilt.h: quilts, their blocks and the patches in them.
 *
 * Rows and columns count from 1; 0 is "not placed". A quilt keeps the whole text of its
 * design as it was at the start, so that it can be read when the design has changed. */
#pragma once

#include "base/length.h"
#include "colour/signature.h"
#include "quilt/design.h"
#include "store/change.h"

enum { STORE_BORDERS_MAX = 8 };

typedef struct store_quilt {
    int64_t id, started; /* given by the book */
    int64_t closed;      /* when; or 0: under way. Ignored when adding */
    char *name;          /* one of each among those under way */
    char *design;        /* file name without its ending, or "own" */
    char *design_text;
    int across, down; /* blocks */
    length unit;      /* cut side of a patch's square */
    length seam;
    length width_of_fabric; /* usable; or 0: as in the settings */
    int overage_permille;
    length sash; /* finished width; 0: none */
    bool on_point;
    int border_count;
    length borders[STORE_BORDERS_MAX]; /* finished widths, innermost first */
    length binding;                    /* cut width of the strips; 0: none */
    char *options;                     /* further choices as JSON; or NULL */
    int64_t picture; /* of the finished quilt; or 0. Ignored when adding */
    char *note;      /* or NULL */
} store_quilt;

void store_quilt_clear(store_quilt *quilt);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(store_quilt, store_quilt_clear)

/** Starts a quilt. Errors: store.name-taken. */
gboolean store_quilt_add(store_change *change, const store_quilt *quilt, int64_t *ret_id,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Changes everything of it but id, started, closed and picture. Errors: store.unknown,
 * store.name-taken. */
gboolean store_quilt_say(store_change *change, const store_quilt *quilt,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Closes it, or opens it again. Errors: store.unknown, store.name-taken. */
gboolean store_quilt_set_closed(store_change *change, int64_t quilt, bool closed,
                                GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Its picture, JPEG; NULL: none. Errors: store.unknown. */
gboolean store_quilt_set_picture(store_change *change, int64_t quilt, GBytes *jpeg,
                                 GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Removes it with its blocks. The ledger stays: put squares back first where they are to
 * come back. Errors: store.unknown. */
gboolean store_quilt_remove(store_change *change, int64_t quilt,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** By id or name (capitals aside; one under way before closed ones, the last of these).
 * store.unknown when there is none. */
gboolean store_quilt_get(store_book *book, int64_t quilt, store_quilt *ret_quilt,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;
gboolean store_quilt_find(store_book *book, const char *name, store_quilt *ret_quilt,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A line of the list. */
typedef struct store_quilt_line {
    int64_t id, started, closed;
    char *name, *design;
    int across, down;
    int made; /* blocks */
    int64_t picture;
} store_quilt_line;

/** GArray of store_quilt_line: under way first, then the last closed first. */
gboolean store_quilt_list(store_book *book, GArray **ret_lines,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The fabric for a role, 0: not chosen. fabrics[QUILT_SCRAP] is always 0. */
gboolean store_quilt_set_fabric(store_change *change, int64_t quilt, quilt_role role,
                                int64_t fabric, GError **error) G_GNUC_WARN_UNUSED_RESULT;
gboolean store_quilt_fabrics(store_book *book, int64_t quilt,
                             int64_t ret_fabrics[static QUILT_ROLES],
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A block that is made. */
typedef struct store_block {
    int64_t id;
    int64_t quilt;
    char *kind;      /* the block's name in the design */
    int row, col;    /* where it goes; both 0: not placed */
    int turn;        /* quarter turns clockwise from the design, 0 to 3 */
    bool pinned;     /* arranging leaves it where it is */
    int64_t made_at; /* 0 when adding: the change's time */
    int64_t picture; /* or 0. Ignored when adding: store_block_set_picture() */
} store_block;

void store_block_clear(store_block *block);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(store_block, store_block_clear)

/** Adds a block. Errors: store.place-taken when another lies there. */
gboolean store_block_add(store_change *change, const store_block *block, int64_t *ret_id,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Removes it with its patches; put its squares back first (store_basket_put_back()).
 * Errors: store.unknown. */
gboolean store_block_remove(store_change *change, int64_t block,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Where a block goes. */
typedef struct store_placing {
    int64_t block;
    int row, col; /* both 0: off the quilt */
    int turn;
    bool pinned;
} store_placing;

/** Moves blocks, all at once, so that two may change places. Errors: store.unknown,
 * store.place-taken. */
gboolean store_block_place(store_change *change, size_t count,
                           const store_placing placings[],
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

gboolean store_block_set_picture(store_change *change, int64_t block, GBytes *jpeg,
                                 GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** What the cells of a block look like, as it is designed, in place of what was kept. */
gboolean store_block_set_colours(store_change *change, int64_t block, int count,
                                 const colour_signature colours[],
                                 GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** What one cell looks like. */
typedef struct store_cell {
    int64_t block;
    int place; /* in the block as designed, in reading order, from 0 */
    colour_signature colours;
} store_cell;

/** GArray of store_cell of all blocks of a quilt that were photographed, by block and
 * place. */
gboolean store_block_colours(store_book *book, int64_t quilt, GArray **ret_cells,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** One block; store.unknown when there is none. */
gboolean store_block_get(store_book *book, int64_t block, store_block *ret_block,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The block at a place; 0 (and TRUE) when none lies there. */
gboolean store_block_at(store_book *book, int64_t quilt, int row, int col,
                        int64_t *ret_block, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_block of a quilt, by row and column, those not placed last. */
gboolean store_block_list(store_book *book, int64_t quilt, GArray **ret_blocks,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A patch as sewn. */
typedef struct store_patch {
    int64_t block;
    int place;      /* in the block as designed (turn 0), in reading order, from 0 */
    int part;       /* 0: the square, or the first triangle of two; 1: the second */
    int64_t fabric; /* as it counts now; 0: not known */
    double sure;    /* 0 to 1 */
    bool known;     /* she said so, or a picture showed it; false: inferred */
} store_patch;

/** Says all patches of a block, in place of what was said before. */
gboolean store_patch_set(store_change *change, int64_t block, size_t count,
                         const store_patch patches[],
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_patch of one block, by place; or of all blocks of a quilt, by block.
 */
gboolean store_patch_of_block(store_book *book, int64_t block, GArray **ret_patches,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;
gboolean store_patch_of_quilt(store_book *book, int64_t quilt, GArray **ret_patches,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Where a fabric (with those said to be the same) was sewn: patches by quilt. */
typedef struct store_fabric_use {
    int64_t quilt;
    int known, inferred; /* patches */
} store_fabric_use;

/** GArray of store_fabric_use, oldest quilt first. */
gboolean store_fabric_uses(store_book *book, int64_t fabric, GArray **ret_uses,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Blocks made on a day. */
typedef struct store_day {
    int year, month, day; /* by the clock of the place */
    int blocks;
} store_day;

/** GArray of store_day with blocks, oldest first. quilt 0: all quilts. */
gboolean store_block_days(store_book *book, int64_t quilt, GArray **ret_days,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same by month, of all quilts: day is 0. Thirty years take half a millisecond. */
gboolean store_block_months(store_book *book, GArray **ret_months,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A line of the shopping list that she has dealt with. */
typedef struct store_bought {
    char *item;           /* what `buy` calls it */
    length length_bought; /* or 0 */
    bool ticked;
} store_bought;

void store_bought_clear(store_bought *bought);

/** Says one line, in place of what was said of that item before. */
gboolean store_bought_set(store_change *change, int64_t quilt, const store_bought *bought,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_bought by item. */
gboolean store_bought_list(store_book *book, int64_t quilt, GArray **ret_bought,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;
