/* app/nest-internal.h: how the blocks of a quilt are pressed so that their seams nest
 * where they meet, as they lie. Sewing and joining both say what stands here. */
#pragma once

#include "wall-internal.h"
#include "work-internal.h"

#include "quilt/press.h"

/** Which neighbour a joint is with. */
enum { APP_NEST_RIGHT, APP_NEST_BELOW, APP_NEST_JOINTS };

/** Zeroed it is empty; free with app_nest_clear(). All arrays go by place. */
typedef struct app_nest {
    bool open;    /* she presses all seams open: nothing nests, there are no joints */
    uint8_t *way; /* how the block there is pressed: QUILT_PRESS_... */
    int *next[APP_NEST_JOINTS];       /* the neighbour, or -1 */
    int8_t *usual[APP_NEST_JOINTS];   /* 1: nests in full when all are pressed as usual,
                                         0: does not, -1: there is nothing to nest */
    int8_t *pressed[APP_NEST_JOINTS]; /* the same when each is pressed its own way */
    int joints, nested_usual, nested;
} app_nest;

void app_nest_clear(app_nest *self);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(app_nest, app_nest_clear)

/** What nests on a wall. Between sashes nothing does. */
void app_nest_read(const app_wall *wall, bool open, app_nest *ret_nest);

/** Whether she said that seams are pressed open; to one side otherwise. */
bool app_nest_is_open(const app_work *work);

/** Reads the field "press", "side" or "open", into what she says. */
gboolean app_nest_say(app_work *work, const app_call *call,
                      GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** "usual", "rows-other", "long-other" or "both-other", for documents. @way of
 * QUILT_PRESS_... */
const char *app_nest_way(uint8_t way);

/** "side" or "open", for documents. */
const char *app_nest_name(bool open);
