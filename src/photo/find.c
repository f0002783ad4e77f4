#include "photo/find.h"

#include "photo/describe-internal.h"
#include "photo/pieces-internal.h"

#include <math.h>

gboolean photo_find_scraps(const photo_plan *plan, const photo_watch *watch,
                           photo_scraps **ret_scraps, GError **error)
{
    if (!photo_watch_tell(watch, 0, "Looking at the surface", error))
        return FALSE;
    g_autoptr(photo_surface) surface = photo_surface_new(plan);
    photo_surface_learn(surface, plan, NULL);
    photo_bits *mask = photo_pieces_mask(surface);
    if (!photo_watch_tell(watch, 0.3, "Learning the surface", error)) {
        photo_bits_free(mask);
        return FALSE;
    }

    /* Once more without what was found, grown by its shadows and loose threads. */
    photo_bits_grow(mask, 0.1 * plan->pixels_per_in);
    photo_surface_learn(surface, plan, mask);
    photo_bits_free(mask);
    mask = photo_pieces_mask(surface);
    g_autoptr(GPtrArray) pieces = photo_pieces_from_mask(surface, mask);
    photo_bits_free(mask);
    photo_pieces_split(surface, pieces);
    photo_pieces_refine(surface, pieces);
    if (!photo_watch_tell(watch, 0.7, "Following the edges", error))
        return FALSE;

    for (guint i = 0; i < pieces->len; i++)
        photo_piece_trace(pieces->pdata[i], plan);
    g_autoptr(GPtrArray) rejects = photo_pieces_new_list();
    photo_pieces_verify(surface, pieces, rejects);
    *ret_scraps = photo_describe(surface, plan, pieces, rejects);
    return photo_watch_tell(watch, 1, "Scraps found", NULL);
}
