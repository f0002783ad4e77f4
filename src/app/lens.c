#include "lens-internal.h"

#include "store/setting.h"

#include <math.h>

/* Focusing moves a lens: no memory is surer than this of the next photo. */
static const double focal_spread_least = 0.004, k1_spread_least = 0.004;
/* Less sure than this is no better than what may be said of any phone. */
static const double focal_spread_most = 0.03;

/* The same camera held upright or sideways gives the same picture turned. */
static char *key_of(const photo_picture *picture)
{
    return g_strdup_printf("lens %s %dx%d", picture->camera,
                           MAX(picture->width, picture->height),
                           MIN(picture->width, picture->height));
}

static bool recall(store_book *book, const photo_picture *picture, photo_lens *ret_lens)
{
    if (book == NULL || picture->camera[0] == '\0')
        return false;
    g_autofree char *key = key_of(picture);
    g_autofree char *text = store_setting_get(book, key, NULL);
    g_autoptr(json_t) known = text == NULL ? NULL : json_loads(text, 0, NULL);
    photo_lens lens;
    if (known == NULL ||
        json_unpack(known, "{s:F, s:F, s:F, s:F}", "focal_px", &lens.focal_px,
                    "focal_sd_px", &lens.focal_sd_px, "k1", &lens.k1, "k1_sd",
                    &lens.k1_sd) != 0 ||
        !(lens.focal_px > 0) || !(lens.focal_sd_px > 0) || !(lens.k1_sd > 0))
        return false;
    *ret_lens = lens;
    return true;
}

bool app_lens_recall(app *self, const photo_picture *picture, photo_lens *ret_lens)
{
    return recall(self->book, picture, ret_lens);
}

gboolean app_lens_learn(store_change *change, const photo_picture *picture,
                        const photo_pose *pose, GError **error)
{
    photo_lens known, taught = pose->lens;
    if (pose->card_count < 2 || picture->camera[0] == '\0' ||
        !(taught.focal_sd_px < focal_spread_most * taught.focal_px))
        return TRUE;
    taught.focal_sd_px = fmax(taught.focal_sd_px, focal_spread_least * taught.focal_px);
    taught.k1_sd = fmax(taught.k1_sd, k1_spread_least);
    if (recall(store_change_book(change), picture, &known) &&
        known.focal_sd_px <= taught.focal_sd_px)
        return TRUE;
    g_autofree char *key = key_of(picture);
    g_autoptr(json_t) lens =
        json_pack("{s:f, s:f, s:f, s:f}", "focal_px", taught.focal_px, "focal_sd_px",
                  taught.focal_sd_px, "k1", taught.k1, "k1_sd", taught.k1_sd);
    g_autofree char *text = json_dumps(lens, JSON_COMPACT);
    return store_setting_set(change, key, text, error);
}
