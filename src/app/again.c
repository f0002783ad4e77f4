#include "again-internal.h"

#include "colour/signature.h"
#include "scrap/fit.h"

#include <math.h>

enum { WITHIN_SECONDS = 3600, PHOTOS_BACK = 12, SCRAPS_MOST = 200, PROOFS_LEAST = 2 };

/* Wider than what tests/app/test_again.c's drawn pairs of photos need, narrower than what
 * tells one scrap from another of the same cloth. */
static const double area_spread = 0.03, rms_most = 0.05 * LENGTH_INCH,
                    worst_most = 0.2 * LENGTH_INCH, colours_most = 5.6;
/* Two scraps prove a motion when it brings them so near. Distances between scraps that
 * were not moved agree to some hundredths of an inch. */
static const double place_most = 0.25 * LENGTH_INCH;

typedef struct place {
    double x, y;
} place;

/* Middle of the area. */
static place middle_of(const store_scrap *scrap)
{
    const scrap_ring *ring = &store_outline_view(scrap->outline)->outer;
    place sum = { 0, 0 };
    double area = 0;
    for (int i = 0, j = ring->count - 1; i < ring->count; j = i++) {
        const scrap_point *a = &ring->points[j], *b = &ring->points[i];
        double cross = (double)a->x * b->y - (double)b->x * a->y;
        area += cross;
        sum.x += ((double)a->x + b->x) * cross;
        sum.y += ((double)a->y + b->y) * cross;
    }
    return area == 0 ? sum : (place){ sum.x / (3 * area), sum.y / (3 * area) };
}

static bool colours_alike(const store_scrap *a, const store_scrap *b)
{
    return a->colours.count > 0 && b->colours.count > 0 &&
           colour_signature_distance(&a->colours, &b->colours) < colours_most;
}

static bool is_whole(const store_scrap *scrap)
{
    return !scrap->on_edge && scrap->area > 0;
}

/* All ways to lay one on the other in which they are the same shape. */
static int same_shapes(const store_scrap *one, const store_scrap *other,
                       scrap_fit fits[SCRAP_FITS_MAX])
{
    double ratio = (double)one->area / (double)other->area;
    if (!is_whole(one) || !is_whole(other) || fabs(ratio - 1) > area_spread ||
        !colours_alike(one, other))
        return 0;
    int count = scrap_fit_find(store_outline_view(one->outline),
                               store_outline_view(other->outline), fits);
    int good = 0;
    while (good < count && fits[good].rms <= rms_most && fits[good].worst <= worst_most)
        good++;
    return good;
}

/* A scrap that counts by itself; what was found to be another already does not. */
static bool counts(const store_scrap *scrap)
{
    return scrap->again_of == 0 || !scrap->again_sure;
}

/* How many whole scraps of one photo a motion lays on whole scraps of the other, of like
 * area and colours. */
static int proofs_of(const scrap_motion *motion, const GArray *ours, const GArray *theirs)
{
    int proofs = 0;
    for (guint i = 0; i < ours->len; i++) {
        const store_scrap *one = &g_array_index(ours, store_scrap, i);
        place at = middle_of(one), there;
        scrap_motion_apply(motion, at.x, at.y, &there.x, &there.y);
        for (guint k = 0; is_whole(one) && k < theirs->len; k++) {
            const store_scrap *other = &g_array_index(theirs, store_scrap, k);
            place its = middle_of(other);
            if (is_whole(other) && hypot(its.x - there.x, its.y - there.y) < place_most &&
                fabs((double)one->area / (double)other->area - 1) < 2 * area_spread &&
                colours_alike(one, other)) {
                proofs++;
                break;
            }
        }
    }
    return proofs;
}

/* The one likeness between two photos that no motion proves. */
typedef struct likeness {
    const store_scrap *one, *other;
    int count; /* of pairs that are alike: it is telling only when it is the only one */
} likeness;

/* The motion from our table to theirs that most scraps prove; false when fewer than two
 * do. */
static bool find_motion(const GArray *ours, const GArray *theirs,
                        scrap_motion *ret_motion, likeness *ret_likeness)
{
    int most = 0;
    for (guint i = 0; i < ours->len; i++) {
        for (guint k = 0; k < theirs->len; k++) {
            const store_scrap *one = &g_array_index(ours, store_scrap, i);
            const store_scrap *other = &g_array_index(theirs, store_scrap, k);
            scrap_fit fits[SCRAP_FITS_MAX];
            int count = same_shapes(one, other, fits);
            if (count > 0) {
                ret_likeness->one = one;
                ret_likeness->other = other;
                ret_likeness->count += count;
            }
            for (int f = 0; f < count; f++) {
                int proofs = proofs_of(&fits[f].motion, ours, theirs);
                if (proofs > most) {
                    most = proofs;
                    *ret_motion = fits[f].motion;
                }
            }
        }
    }
    return most >= PROOFS_LEAST;
}

/* Of two pictures of one scrap the whole one counts, else the one that shows more, else
 * the one that was there first. */
static bool replaces(const store_scrap *newer, const store_scrap *older)
{
    return older->state == STORE_SCRAP_LYING && older->on_edge &&
           (!newer->on_edge || newer->area > older->area);
}

static gboolean mark_laid(store_change *change, const scrap_motion *motion,
                          const GArray *ours, const GArray *theirs, GError **error)
{
    for (guint i = 0; i < ours->len; i++) {
        store_scrap *one = &g_array_index(ours, store_scrap, i);
        place at = middle_of(one), there;
        scrap_motion_apply(motion, at.x, at.y, &there.x, &there.y);
        for (guint k = 0; counts(one) && k < theirs->len; k++) {
            store_scrap *other = &g_array_index(theirs, store_scrap, k);
            place its = middle_of(other);
            bool lies_on =
                scrap_outline_holds(store_outline_view(other->outline), there.x, there.y);
            bool near = hypot(its.x - there.x, its.y - there.y) < place_most;
            if (!counts(other) || !colours_alike(one, other) ||
                !(near || (lies_on && (one->on_edge || other->on_edge))))
                continue;
            store_scrap *again = replaces(one, other) ? other : one;
            store_scrap *kept = again == one ? other : one;
            if (!store_scrap_again(change, again->id, kept->id, true, error))
                return FALSE;
            again->again_of = kept->id;
            again->again_sure = true;
        }
    }
    return TRUE;
}

/* Strips and squares are cut by the ruler, so that many are alike. */
static bool is_telling(const store_scrap *scrap)
{
    return store_outline_view(scrap->outline)->outer.count > 4;
}

static gboolean compare(store_change *change, GArray *ours, GArray *theirs,
                        GError **error)
{
    scrap_motion motion;
    likeness only = { 0 };
    if (ours->len > SCRAPS_MOST || theirs->len > SCRAPS_MOST)
        return TRUE;
    if (find_motion(ours, theirs, &motion, &only))
        return mark_laid(change, &motion, ours, theirs, error);
    if (only.count != 1 || !is_telling(only.one) || !counts(only.one) ||
        only.one->again_of != 0)
        return TRUE;
    return store_scrap_again(change, only.one->id, only.other->id, false, error);
}

gboolean app_again_mark(store_change *change, int64_t photo, GError **error)
{
    store_book *book = store_change_book(change);
    g_auto(store_photo) ours = { 0 };
    g_autoptr(GArray) photos = NULL;
    g_autoptr(GArray) scraps = NULL;
    if (!store_photo_get(book, photo, &ours, error) ||
        !store_photo_list(book, photo, PHOTOS_BACK, &photos, error) ||
        !store_scrap_of_photo(book, photo, &scraps, error))
        return FALSE;
    for (guint i = 0; i < photos->len; i++) {
        const store_photo *other = &g_array_index(photos, store_photo, i);
        g_autoptr(GArray) theirs = NULL;
        if (other->source != ours.source || ours.added - other->added > WITHIN_SECONDS)
            continue;
        if (!store_scrap_of_photo(book, other->id, &theirs, error) ||
            !compare(change, scraps, theirs, error))
            return FALSE;
    }
    return TRUE;
}
