/* Beds and other sizes to start a quilt from. */
#include "bed-internal.h"

#include "document-internal.h"
#include "store/setting.h"

#include <string.h>

#define OWN_KEY "mattress"

/* Sizes that quilts are made in which cover no bed; starting values, as makers give them
 * when they are asked. */
static const struct {
    const char *name;
    int width, height; /* inches */
} usual[] = {
    { "play mat or pram", 36, 42 },
    { "lap or wheelchair", 38, 47 },
    { "throw", 50, 65 },
    { "wall", 30, 30 },
};

static gboolean own_bed(app *self, quilt_extent *ret_mattress, bool *ret_known,
                        GError **error)
{
    g_autoptr(GError) failed = NULL;
    *ret_known = false;
    if (self->book == NULL)
        return TRUE;
    g_autofree char *kept = store_setting_get(self->book, OWN_KEY, &failed);
    if (failed != NULL) {
        g_propagate_error(error, g_steal_pointer(&failed));
        return FALSE;
    }
    gint64 width = 0, height = 0;
    char *end = NULL;
    if (kept != NULL) {
        width = g_ascii_strtoll(kept, &end, 10);
        height = g_ascii_strtoll(end, NULL, 10);
    }
    if (width > 0 && width <= LENGTH_MAX && height > 0 && height <= LENGTH_MAX) {
        *ret_mattress = (quilt_extent){ (length)width, (length)height };
        *ret_known = true;
    }
    return TRUE;
}

gboolean app_bed_keep(store_change *change, length width, length height, GError **error)
{
    g_autofree char *text = g_strdup_printf("%d %d", width, height);
    return store_setting_set(change, OWN_KEY, text, error);
}

static bool is_cot(const quilt_bed *bed)
{
    return g_str_has_prefix(bed->size, "crib");
}

static gboolean listed_bed(const char *size, const char *country, app_bed *ret_bed,
                           GError **error)
{
    const quilt_bed *bed = quilt_bed_find(size, country, error);
    if (bed != NULL)
        *ret_bed =
            (app_bed){ .mattress = { bed->width, bed->height }, .cot = is_cot(bed) };
    return bed != NULL;
}

/* "60x80in", or "own". */
static gboolean measured_bed(app *self, const char *size, length bare, app_bed *ret_bed,
                             GError **error)
{
    bool known;
    app_bed bed = { .own = true };
    if (strcmp(size, "own") == 0) {
        if (!own_bed(self, &bed.mattress, &known, error))
            return FALSE;
        if (!known) {
            g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_BED,
                                "Your own mattress is not measured yet.");
            return FALSE;
        }
    } else {
        g_autoptr(json_t) request = json_pack("{s:s}", "cover", size);
        app_call call = { .request = request };
        if (!app_request_size(&call, "cover", bare, &bed.mattress.width,
                              &bed.mattress.height, error))
            return FALSE;
    }
    *ret_bed = bed;
    return TRUE;
}

gboolean app_bed_requested(app *self, const app_call *call, length bare, app_bed *ret_bed,
                           GError **error)
{
    const char *cover;
    if (!app_request_need_text(call, "cover", &cover, error))
        return FALSE;
    g_auto(GStrv) parts = g_strsplit(cover, ":", 3);
    guint count = g_strv_length(parts);
    if (count >= 2 && strcmp(parts[0], "bed") == 0)
        return count == 3 ? listed_bed(parts[1], parts[2], ret_bed, error)
                          : measured_bed(self, parts[1], bare, ret_bed, error);
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "cover: \"%.60s\" is neither bed:SIZE:COUNTRY nor bed:WxH.", cover);
    return FALSE;
}

static json_t *bed_document(const char *cover, const char *country, const char *name,
                            const quilt_extent *mattress, const char *source, bool cot)
{
    return json_pack("{s:s, s:s?, s:s, s:o, s:s?, s:b}", "cover", cover, "country",
                     country, "name", name, "mattress_in",
                     app_document_size(mattress->width, mattress->height), "listed_by",
                     source, "cot", cot);
}

gboolean app_do_beds(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    (void)call;
    int count;
    bool known;
    quilt_extent own;
    g_autoptr(json_t) list = json_array();
    g_autoptr(json_t) sizes = json_array();
    if (!own_bed(self, &own, &known, error))
        return FALSE;
    if (known) /* what she measured goes before what is listed */
        json_array_append_new(
            list, bed_document("bed:own", NULL, "as you measured it", &own, NULL, false));
    const quilt_bed *beds = quilt_beds(&count);
    for (int i = 0; i < count; i++) {
        const quilt_bed *bed = &beds[i];
        quilt_extent mattress = { bed->width, bed->height };
        g_autofree char *cover = g_strdup_printf("bed:%s:%s", bed->size, bed->country);
        json_array_append_new(list, bed_document(cover, bed->country, bed->name,
                                                 &mattress, bed->source, is_cot(bed)));
    }
    for (size_t i = 0; i < G_N_ELEMENTS(usual); i++)
        json_array_append_new(
            sizes, json_pack("{s:s, s:o}", "name", usual[i].name, "size_in",
                             app_document_size(usual[i].width * LENGTH_INCH,
                                               usual[i].height * LENGTH_INCH)));
    *ret_document = json_pack("{s:O, s:O}", "beds", list, "sizes", sizes);
    return TRUE;
}
