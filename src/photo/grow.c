#include "base/error.h"
#include "photo/describe-internal.h"
#include "photo/find.h"
#include "photo/pieces-internal.h"

#include <math.h>
#include <string.h>

/* A tap's fingertip, and how unlike the surface a colour must be to count. */
static const double tap_in = 0.12;
static const float least_step = 2;
static const double join_in = 0.12;

/* Colours round both taps that the surface does not have there. */
typedef struct palette {
    int count;
    colour_lab lab[2 * COLOUR_SIGNATURE_MAX];
} palette;

static void take_tap(const photo_surface *s, int column, int row, palette *into)
{
    int reach = (int)(tap_in * s->per_in);
    g_autofree float *lab = g_new(float, 3 * (gsize)((2 * reach + 1) * (2 * reach + 1)));
    g_autofree uint8_t *group =
        g_new(uint8_t, (gsize)((2 * reach + 1) * (2 * reach + 1)));
    size_t n = 0;
    for (int y = row - reach; y <= row + reach; y++)
        for (int x = column - reach; x <= column + reach; x++)
            if (hypot(x - column, y - row) <= reach && photo_bits_get(s->usable, x, y))
                memcpy(lab + 3 * n++,
                       s->lab + ((size_t)y * (size_t)s->width + (size_t)x) * 3,
                       3 * sizeof(float));
    colour_signature found;
    colour_signature_from_pixels(n, lab, group, &found);
    float back[3];
    photo_surface_at(s, column, row, back);
    colour_lab bare = { back[0], back[1], back[2] };
    for (int i = 0; i < found.count; i++)
        if (found.share[i] > 0.1 && colour_delta_e76(&found.lab[i], &bare) > least_step)
            into->lab[into->count++] = found.lab[i];
}

/* Pixels nearer to a colour of the taps than to the bare surface. */
static photo_bits *like_taps(const photo_surface *s, const palette *colours)
{
    photo_bits *mask = photo_bits_new(s->width, s->height);
    for (int y = 0; y < s->height; y++) {
        for (int x = 0; x < s->width; x++) {
            if (!photo_bits_get(s->usable, x, y))
                continue;
            const float *at = s->lab + ((size_t)y * (size_t)s->width + (size_t)x) * 3;
            float back[3];
            photo_surface_at(s, x, y, back);
            colour_lab here = { at[0], at[1], at[2] };
            colour_lab bare = { back[0], back[1], back[2] };
            double from_surface = colour_delta_e76(&here, &bare);
            for (int i = 0; i < colours->count; i++) {
                if (colour_delta_e76(&here, &colours->lab[i]) < from_surface) {
                    photo_bits_set(mask, x, y);
                    break;
                }
            }
        }
    }
    return mask;
}

static bool holds_tap(const photo_piece *piece, int column, int row, int reach)
{
    for (int y = -reach; y <= reach; y++)
        for (int x = -reach; x <= reach; x++)
            if (photo_bits_get(piece->mask, column + x - piece->left,
                               row + y - piece->top))
                return true;
    return false;
}

gboolean photo_grow_scrap(const photo_plan *plan, scrap_point one, scrap_point other,
                          const photo_watch *watch, photo_scraps **ret_scraps,
                          GError **error)
{
    const scrap_point taps[2] = { one, other };
    int column[2], row[2];
    for (int i = 0; i < 2; i++) {
        double c, r;
        photo_plan_from_table(plan, length_to_inches(taps[i].x),
                              length_to_inches(taps[i].y), &c, &r);
        column[i] = (int)floor(c);
        row[i] = (int)floor(r);
        if (column[i] < 0 || row[i] < 0 || column[i] >= plan->width ||
            row[i] >= plan->height ||
            !plan->covered[(size_t)row[i] * (size_t)plan->width + (size_t)column[i]]) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_POINTS,
                        "The tap lies outside of the photo");
            return FALSE;
        }
    }
    if (!photo_watch_tell(watch, 0, "Looking at the surface", error))
        return FALSE;
    g_autoptr(photo_surface) surface = photo_surface_new(plan);
    photo_surface_learn(surface, plan, NULL);
    palette colours = { .count = 0 };
    take_tap(surface, column[0], row[0], &colours);
    take_tap(surface, column[1], row[1], &colours);
    if (!photo_watch_tell(watch, 0.5, "Growing the piece", error))
        return FALSE;

    photo_bits *mask = like_taps(surface, &colours);
    photo_bits_open(mask, 2);
    photo_bits_close(mask, join_in * plan->pixels_per_in);
    g_autoptr(GPtrArray) on_edge = photo_pieces_new_list();
    g_autoptr(GPtrArray) pieces = photo_pieces_from_mask(surface, mask, on_edge);
    photo_bits_free(mask);
    while (on_edge->len > 0) /* a tap says that it is cloth */
        g_ptr_array_add(pieces, g_ptr_array_steal_index(on_edge, on_edge->len - 1));
    int reach = (int)(tap_in * plan->pixels_per_in);
    for (guint i = pieces->len; i-- > 0;) {
        photo_piece *piece = pieces->pdata[i];
        if (holds_tap(piece, column[0], row[0], reach) ||
            holds_tap(piece, column[1], row[1], reach))
            photo_piece_trace(piece, plan, true);
        else
            g_ptr_array_remove_index(pieces, i);
    }
    /* of two pieces, the one with both taps or else the larger */
    while (pieces->len > 1) {
        photo_piece *a = pieces->pdata[0], *b = pieces->pdata[1];
        g_ptr_array_remove_index(
            pieces, photo_bits_count(a->mask) < photo_bits_count(b->mask) ? 0 : 1);
    }
    photo_scraps *scraps = photo_describe(surface, plan, pieces, NULL);
    if (scraps->count == 0) {
        photo_scraps_free(scraps);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PHOTO_NOTHING_THERE,
                    "Nothing differs from the surface at the taps");
        return FALSE;
    }
    *ret_scraps = scraps;
    return TRUE;
}
