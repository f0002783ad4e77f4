/* app/wall-internal.h: the finished blocks of a quilt, what is known of their patches,
 * and where they lie. */
#pragma once

#include "fabric-internal.h"
#include "laid-internal.h"

#include "plan/arrange.h"

typedef struct app_wall_block {
    int64_t id, picture;
    int kind;  /* of the layout */
    int place; /* of the layout; -1: not placed */
    int turn;  /* 0 to 3 */
    bool pinned;
    bool known; /* some of its patches are */
} app_wall_block;

/** Zeroed it is empty; free with app_wall_clear(). */
typedef struct app_wall {
    store_quilt quilt;
    app_laid laid;
    int blocks;
    app_wall_block *block;
    int16_t *fabric; /* of each block side x side x 2, as its kind is drawn unturned:
                        index into looks, or -1 where it is not known */
    int *at;         /* by place: the block that lies there, or -1 */
    int fabrics;
    app_look *looks;
    int strangers; /* blocks left out: the design has no place for their kind any more */
    int64_t *stranger; /* their numbers in the book */
} app_wall;

void app_wall_clear(app_wall *self);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(app_wall, app_wall_clear)

/** The blocks of the quilt that the field "quilt" names. */
gboolean app_wall_requested(app *self, const app_call *call, app_wall *ret_wall,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Where the fabrics of a block begin. */
const int16_t *app_wall_fabrics(const app_wall *self, int block);

/** Index of a block by its number in the book, -1 when it is none of this quilt. */
int app_wall_find(const app_wall *self, int64_t id);

/** The layout with each block turned as it really lies, as planned where none is made;
 * its places are its own, free them with g_free(). */
quilt_layout app_wall_turned_layout(const app_wall *self);

/** How many turns lie between two that the design allows at a place of a kind: 4 when it
 * allows one alone, 2 or 1. */
int app_wall_turn_step(const app_wall *self, int kind);

/** Whether a block may lie at a place turned so. */
bool app_wall_fits(const app_wall *self, int block, int place, int turn);

/** Writes where blocks lie, as one change of the book: `lay` by place, blocks that lie
 * nowhere coming off the quilt. Pins stay with their blocks. Errors: those of the book.
 */
gboolean app_wall_keep(app *self, const app_wall *wall, const plan_arrange_lay *lay,
                       const char *what, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** [[{block, turn}...]...] by rows of places. */
json_t *app_wall_places(const app_wall *self, const plan_arrange_lay *lay);

/** How the blocks lie now; free with g_free(). */
plan_arrange_lay *app_wall_lays(const app_wall *self);

/** Reads such rows back: "places" of a request. Errors: app.field-wrong, app.no-block,
 * app.kinds-differ, app.turn-wrong. @ret_lays room for all places */
gboolean app_wall_read(const app_wall *self, const json_t *rows,
                       plan_arrange_lay *ret_lays,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;
