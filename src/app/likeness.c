/* "Which of mine is this?": a photo of a fabric, and her fabrics by how alike they are,
 * in colours and in print. */
#include "corners-internal.h"
#include "fabric-internal.h"

#include "photo/find.h"
#include "photo/middle.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SHOWN = 12 };

/* What the photo shows: a scrap beside the card, whose scale and light are known; or else
 * whatever fills its middle. */
typedef struct sight {
    bool by_card;
    colour_signature scrap;
    photo_middle middle;
} sight;

static const photo_scrap *largest(const photo_scraps *scraps)
{
    const photo_scrap *best = NULL;
    for (int i = 0; i < scraps->count; i++) {
        const photo_scrap *one = &scraps->scrap[i];
        if (one->signature.count > 0 &&
            (best == NULL || one->twice_area > best->twice_area))
            best = one;
    }
    return best;
}

/* The largest scrap beside a card. Not one, and TRUE, where there is no card or no scrap.
 */
static gboolean look_beside_card(photo_survey *survey, const photo_watch *watch,
                                 sight *into, GError **error)
{
    GError *failed = NULL;
    g_autoptr(photo_scraps) scraps = NULL;
    if (photo_survey_by_cards(survey, NULL, watch, &failed) &&
        photo_find_scraps(survey->plan, watch, &scraps, &failed)) {
        const photo_scrap *scrap = largest(scraps);
        into->by_card = scrap != NULL;
        if (scrap != NULL)
            into->scrap = scrap->signature;
        return TRUE;
    }
    if (g_error_matches(failed, MOTLEY_ERROR, MOTLEY_ERROR_CANCELLED)) {
        g_propagate_error(error, failed);
        return FALSE;
    }
    g_clear_error(&failed); /* a card that cannot be read is none */
    return TRUE;
}

static gboolean look(const char *path, const photo_watch *watch, sight *ret_sight,
                     GError **error)
{
    g_auto(photo_survey) survey = { 0 };
    if (!photo_survey_load(path, watch, &survey, error) ||
        !look_beside_card(&survey, watch, ret_sight, error))
        return FALSE;
    if (!ret_sight->by_card)
        photo_middle_read(survey.picture, &ret_sight->middle);
    return TRUE;
}

static double alike_to(const sight *seen, const colour_signature *known)
{
    if (known->count == 0)
        return 0;
    const colour_signature asked =
        seen->by_card ? seen->scrap : photo_middle_nearest(&seen->middle, known);
    return fmax(0, 1 - colour_match_distance(&asked, known) / COLOUR_DISTANCE_MAX);
}

typedef struct likeness {
    guint look;
    double alike;
} likeness;

static int most_alike(const void *a, const void *b)
{
    const likeness *one = a, *other = b;
    if (one->alike != other->alike)
        return one->alike < other->alike ? 1 : -1;
    return (one->look > other->look) - (one->look < other->look);
}

static json_t *rank(const GArray *looks, const sight *seen)
{
    g_autofree likeness *all = g_new(likeness, looks->len + 1);
    for (guint i = 0; i < looks->len; i++) {
        const store_look *look = &g_array_index(looks, store_look, i);
        all[i] = (likeness){ i, alike_to(seen, &look->colours) };
    }
    qsort(all, looks->len, sizeof all[0], most_alike);
    json_t *list = json_array();
    for (guint i = 0; i < looks->len && i < SHOWN && all[i].alike > 0; i++) {
        g_auto(app_look) look =
            app_look_of(&g_array_index(looks, store_look, all[i].look));
        json_t *row = app_fabric_document(&look);
        json_object_set_new(row, "alike", json_real(all[i].alike));
        json_array_append_new(list, row);
    }
    return list;
}

static gboolean look_requested(const app_call *call, sight *ret_sight, GError **error)
{
    photo_watch watch = { .stop = call->stop };
    const char *path = app_request_photo(call, error);
    return path != NULL && look(path, &watch, ret_sight, error);
}

static const colour_signature *colours_of(const sight *seen)
{
    return seen->by_card ? &seen->scrap : &seen->middle.signature;
}

gboolean app_photo_colours(const app_call *call, colour_signature *ret_colours,
                           GError **error)
{
    sight seen = { 0 };
    if (!look_requested(call, &seen, error))
        return FALSE;
    *ret_colours = *colours_of(&seen);
    return TRUE;
}

gboolean app_do_fabrics_photo(app *self, const app_call *call, json_t **ret_document,
                              GError **error)
{
    g_autoptr(GArray) looks = NULL;
    sight seen = { 0 };
    if (app_book(self, error) == NULL || !look_requested(call, &seen, error) ||
        !store_look_list(self->book, false, &looks, error))
        return FALSE;
    *ret_document =
        json_pack("{s:b, s:o, s:o}", "card", seen.by_card, "colours",
                  app_document_colours(colours_of(&seen)), "fabrics", rank(looks, &seen));
    return TRUE;
}
