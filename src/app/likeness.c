/* "Which of mine is this?": a photo of a fabric, and her fabrics by how alike they are.
 */
#include "fabric-internal.h"

#include "photo/load.h"

#include <stdlib.h>
#include <string.h>

enum { SAMPLE_SIDE = 64, SHOWN = 12 };

/* The fabric fills the middle of the photo; its edges may show the table. */
static colour_signature signature_of_middle(const photo_picture *picture)
{
    enum { PIXELS = SAMPLE_SIDE * SAMPLE_SIDE };
    g_autofree float *lab = g_new(float, 3 * PIXELS);
    g_autofree uint8_t *group = g_new(uint8_t, PIXELS);
    colour_signature signature = { 0 };
    int side = MIN(picture->columns, picture->rows) / 2;
    int left = (picture->columns - side) / 2, top = (picture->rows - side) / 2;
    for (int i = 0; i < PIXELS; i++) {
        int row = top + i / SAMPLE_SIDE * side / SAMPLE_SIDE;
        int col = left + i % SAMPLE_SIDE * side / SAMPLE_SIDE;
        const uint8_t *at =
            picture->rgb + 3 * ((size_t)row * (size_t)picture->columns + (size_t)col);
        colour_lab one = colour_lab_from_srgb8((colour_srgb8){ at[0], at[1], at[2] });
        lab[3 * i] = (float)one.l;
        lab[3 * i + 1] = (float)one.a;
        lab[3 * i + 2] = (float)one.b;
    }
    colour_signature_from_pixels(PIXELS, lab, group, &signature);
    return signature;
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

static json_t *rank(const GArray *looks, const colour_signature *seen)
{
    g_autofree likeness *all = g_new(likeness, looks->len + 1);
    for (guint i = 0; i < looks->len; i++) {
        const store_look *look = &g_array_index(looks, store_look, i);
        all[i] = (likeness){ i, look->colours.count == 0
                                    ? 0
                                    : colour_alike(seen, &look->colours) };
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

gboolean app_photo_colours(const app_call *call, colour_signature *ret_colours,
                           GError **error)
{
    photo_watch watch = { .stop = call->stop };
    const char *path = app_request_photo(call, error);
    g_autoptr(photo_picture) picture =
        path == NULL ? NULL : photo_load(path, &watch, error);
    if (picture == NULL)
        return FALSE;
    *ret_colours = signature_of_middle(picture);
    return TRUE;
}

gboolean app_do_fabrics_photo(app *self, const app_call *call, json_t **ret_document,
                              GError **error)
{
    g_autoptr(GArray) looks = NULL;
    colour_signature seen;
    if (app_book(self, error) == NULL || !app_photo_colours(call, &seen, error) ||
        !store_look_list(self->book, false, &looks, error))
        return FALSE;
    *ret_document = json_pack("{s:o, s:o}", "colours", app_document_colours(&seen),
                              "fabrics", rank(looks, &seen));
    return TRUE;
}
