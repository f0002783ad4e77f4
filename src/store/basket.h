/* store/basket.h: the ledger of unit squares, and the basket that is its sum.
 *
 * The ledger is append-only. Which unit squares are in the basket, by unit, fabric,
 * source, value and layer, is the sum of its rows; running totals make that sum quick.
 *
 * Two kinds of certainty stay apart. A count is `counted` or was estimated (weighed). The
 * fabric of squares is `known` (measured, photographed, said) or inferred: squares taken
 * without saying which come off the top of the basket, oldest layers first, spread over
 * what lies there. The total stays exact then, the figure by fabric is "about". */
#pragma once

#include "base/length.h"
#include "store/change.h"

typedef enum store_how {
    STORE_CUT,       /* from scraps, by a cutting plan */
    STORE_MADE,      /* sewn into a block */
    STORE_ADDED,     /* put in by hand */
    STORE_TAKEN,     /* taken out by hand */
    STORE_CORRECTED, /* counted again */
    STORE_WEIGHED,   /* estimated by weight */
    STORE_REVERSED   /* takes back an earlier row */
} store_how;

/** One row. */
typedef struct store_ledger_row {
    int64_t id, at, change; /* given by the book; ignored when appending */
    int64_t layer;
    length unit;            /* cut side, above 0 */
    int64_t fabric, source; /* 0: not known */
    int count;              /* in above zero, out below; never 0 */
    store_how how;
    bool fabric_known; /* false: fabric and source are inferred */
    bool counted;      /* false: the count is an estimate */
    int64_t block;     /* the block they were sewn into; or 0 */
    int64_t reverses; /* the row that this one takes back; or 0. Ignored when appending */
} store_ledger_row;

/** Begins a layer, at the bottom of the basket. */
gboolean store_layer_add(store_change *change, int64_t *ret_layer,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Appends a row. @ret_id may be NULL. */
gboolean store_ledger_append(store_change *change, const store_ledger_row *row,
                             int64_t *ret_id, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** What to take out of the basket. */
typedef struct store_take {
    length unit;
    int count;         /* above 0 */
    int64_t fabric;    /* only of this fabric; 0: of any */
    int64_t source;    /* only from this source; 0: from any */
    bool fabric_known; /* she said which fabric, or a picture showed it */
    store_how how;     /* STORE_MADE, STORE_TAKEN or STORE_CORRECTED */
    int64_t block;     /* or 0 */
} store_take;

/**
 * Takes squares off the top: oldest layers first, within a layer spread over the fabrics
 * in proportion to what is left of each. Rows that come about without a fabric named are
 * inferred.
 *
 * @ret_taken  how many there were to take, at most take->count; the basket never goes
 *             below zero. May be NULL
 */
gboolean store_basket_take(store_change *change, const store_take *take, int *ret_taken,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Puts back all that was taken for a block, in the layers it came from.
 * @ret_count  how many squares; may be NULL */
gboolean store_basket_put_back(store_change *change, int64_t block, int *ret_count,
                               GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Makes the basket hold `count` squares of a unit: what is missing comes off the top,
 * what is over goes in as a new layer of unknown fabric. With counted, the total is exact
 * from here on, whatever was weighed before; without, the difference is an estimate
 * (weighed).
 *
 * @ret_difference  how many more there are now than before; may be NULL
 */
gboolean store_basket_correct(store_change *change, length unit, int count, bool counted,
                              int *ret_difference,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;

/* --- what is in it -------------------------------------------------------------------
 */

/** By unit. */
typedef struct store_unit_total {
    length unit;
    int64_t squares;   /* all */
    int64_t estimated; /* how many of them (above or below zero) were weighed; 0: exact */
} store_unit_total;

/** GArray of store_unit_total, smallest unit first; only units with squares. */
gboolean store_basket_units(store_book *book, GArray **ret_totals,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** By fabric, source or value. squares = known + inferred. */
typedef struct store_share {
    int64_t id;       /* fabric or source, 0 when not known; or the value */
    int64_t known;    /* exact */
    int64_t inferred; /* above or below zero; not 0: the sum is "about" */
} store_share;

/** GArray of store_share with squares other than 0, most squares first. Fabrics that she
 * said are one count as that one. unit 0: all units together. */
gboolean store_basket_fabrics(store_book *book, length unit, GArray **ret_shares,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;
gboolean store_basket_sources(store_book *book, length unit, GArray **ret_shares,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same by value: id is a colour_value, or -1 where none is known. */
gboolean store_basket_values(store_book *book, length unit, GArray **ret_shares,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** By layer. */
typedef struct store_layer_total {
    int64_t layer, at;
    length unit;
    int64_t put_in; /* squares that went in */
    int64_t
        left; /* squares of it still there; exact only if all that was taken is known */
    int64_t
        inferred; /* how many of the squares that were taken (below zero) are inferred */
} store_layer_total;

/** GArray of store_layer_total of layers with squares left, the top (oldest) first.
 * unit 0: all units. */
gboolean store_basket_layers(store_book *book, length unit, GArray **ret_layers,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A heap of like squares in a layer. */
typedef struct store_heap {
    int64_t layer, fabric, source; /* fabric as it counts now; 0: not known */
    int left;                      /* above 0 */
    bool exact;                    /* nothing of it is inferred */
} store_heap;

/** GArray of store_heap from the top of the basket down, at least `squares` squares if
 * there are so many (0: all). What a block is composed from. */
gboolean store_basket_top(store_book *book, length unit, int64_t squares,
                          GArray **ret_heaps, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_share by source: squares that went into the blocks of a quilt, all
 * zero or above, most first. */
gboolean store_quilt_sources(store_book *book, int64_t quilt, GArray **ret_shares,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/* --- the ledger itself ---------------------------------------------------------------
 */

/** Squares of a fabric that went into the basket in a month. */
typedef struct store_came {
    int month;      /* 202611 */
    int64_t fabric; /* as it was told then; 0: not known, or not asked for */
    int64_t squares;
} store_came;

/** GArray of store_came by month, a row for each time that squares went in; what was
 * taken back is a row below zero. */
gboolean store_basket_came(store_book *book, GArray **ret_came,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same of what is still there, a row for each layer with squares, of all fabrics
 * together, by the month of the layer, UTC. */
gboolean store_basket_stays(store_book *book, GArray **ret_came,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The id of the newest row of the ledger; 0 when there is none. */
gboolean store_ledger_newest(store_book *book, int64_t *ret_id,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of int64_t: quilts with blocks that rows of the ledger after `after` speak of.
 */
gboolean store_ledger_quilts(store_book *book, int64_t after, GArray **ret_quilts,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Squares of a fabric that went into a block from one source. */
typedef struct store_origin {
    int64_t block, fabric, source; /* 0: not known; the fabric as it counts now */
    int64_t squares;
} store_origin;

/** GArray of store_origin of all blocks of a quilt: by block, then fabric, the source of
 * most squares first. */
gboolean store_quilt_origins(store_book *book, int64_t quilt, GArray **ret_origins,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_ledger_row of a fabric (and those said to be the same), oldest first.
 */
gboolean store_ledger_of_fabric(store_book *book, int64_t fabric, GArray **ret_rows,
                                GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** GArray of store_ledger_row with an id above `after`, oldest first, at most `limit`. */
gboolean store_ledger_list(store_book *book, int64_t after, int limit, GArray **ret_rows,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Squares in and out in a month; what was undone does not count. */
typedef struct store_flow {
    int year, month; /* month 1 to 12, by the clock of the place */
    length unit;
    int64_t in, out; /* both zero or above */
} store_flow;

/** GArray of store_flow, oldest first. unit 0: all units, each by itself. */
gboolean store_basket_months(store_book *book, length unit, GArray **ret_flows,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;
