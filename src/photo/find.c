#include "photo/find.h"

#include "photo/describe-internal.h"
#include "photo/parallel-internal.h"
#include "photo/pieces-internal.h"

#include <math.h>

/* A first look at half the size: what is no part of the surface, grown by shadows and
 * loose threads. */
static photo_bits *first_look(const photo_surface *surface, const photo_plan *plan)
{
    g_autoptr(photo_surface) half = photo_surface_halved(surface);
    photo_plan small = *plan; /* for the places of its cards alone */
    small.width = half->width;
    small.height = half->height;
    small.pixels_per_in = half->per_in;
    photo_surface_learn(half, &small, NULL);
    photo_bits *mask = photo_pieces_mask(half);
    photo_bits *full = photo_bits_new(surface->width, surface->height);
    for (int y = 0; y < mask->height; y++)
        for (int x = 0; x < mask->width; x++)
            if (photo_bits_get(mask, x, y)) {
                photo_bits_set(full, 2 * x, 2 * y);
                photo_bits_set(full, 2 * x + 1, 2 * y);
                photo_bits_set(full, 2 * x, 2 * y + 1);
                photo_bits_set(full, 2 * x + 1, 2 * y + 1);
            }
    photo_bits_free(mask);
    photo_bits_grow(full, 0.1 * plan->pixels_per_in);
    return full;
}

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
    photo_bits *mask = first_look(surface, plan);
    if (!photo_watch_tell(watch, 0.3, "Learning the surface", error)) {
        photo_bits_free(mask);
        return FALSE;
    }
    photo_surface_learn(surface, plan, mask);
    photo_bits_free(mask);
    mask = photo_pieces_mask(surface);
    g_autoptr(GPtrArray) pieces = photo_pieces_from_mask(surface, mask);
    photo_bits_free(mask);
    photo_pieces_split(surface, pieces);
    photo_pieces_refine(surface, pieces);
    if (!photo_watch_tell(watch, 0.7, "Following the edges", error))
        return FALSE;

    tracing job = { plan, pieces };
    photo_parallel((int)pieces->len, trace_one, &job);
    g_autoptr(GPtrArray) rejects = photo_pieces_new_list();
    photo_pieces_verify(surface, pieces, rejects);
    if (!photo_watch_tell(watch, 0.9, "Reading the colours", error))
        return FALSE;
    *ret_scraps = photo_describe(surface, plan, pieces, rejects);
    return TRUE;
}
