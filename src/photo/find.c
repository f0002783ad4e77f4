#include "photo/find.h"

#include "photo/describe-internal.h"
#include "photo/parallel-internal.h"
#include "photo/pieces-internal.h"

#include <math.h>

typedef struct tracing {
    const photo_plan *plan;
    GPtrArray *pieces;
} tracing;

static void trace_one(int i, void *data)
{
    tracing *job = data;
    photo_piece_trace(job->pieces->pdata[i], job->plan, true);
}

gboolean photo_find_scraps(const photo_plan *plan, const photo_watch *watch,
                           photo_scraps **ret_scraps, GError **error)
{
    if (!photo_watch_tell(watch, 0, "Looking at the surface", error))
        return FALSE;
    g_autoptr(photo_surface) surface = photo_surface_new(plan);
    if (plan->width < plan->pixels_per_in || plan->height < plan->pixels_per_in ||
        photo_bits_count(surface->usable) == 0) {
        /* less than an inch of table */
        g_autoptr(GPtrArray) nothing = photo_pieces_new_list();
        *ret_scraps = photo_describe(surface, plan, nothing, NULL);
        return TRUE;
    }
    photo_bits *mask = photo_pieces_first_look(surface, plan);
    if (!photo_watch_tell(watch, 0.3, "Learning the surface", error)) {
        photo_bits_free(mask);
        return FALSE;
    }
    photo_surface_learn(surface, plan, mask);
    photo_bits_free(mask);
    mask = photo_pieces_mask(surface);
    g_autoptr(GPtrArray) rejects = photo_pieces_new_list();
    g_autoptr(GPtrArray) pieces = photo_pieces_from_mask(surface, mask, rejects);
    photo_bits_free(mask);
    photo_pieces_split(surface, pieces);
    photo_pieces_refine(surface, pieces);
    if (!photo_watch_tell(watch, 0.7, "Following the edges", error))
        return FALSE;

    tracing job = { plan, pieces };
    photo_parallel((int)pieces->len, trace_one, &job);
    photo_pieces_verify(surface, pieces, rejects);
    if (!photo_watch_tell(watch, 0.9, "Reading the colours", error))
        return FALSE;
    *ret_scraps = photo_describe(surface, plan, pieces, rejects);
    return TRUE;
}
