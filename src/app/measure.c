/* Measuring: from photos to scraps with outlines, squares and fabrics, kept or only
 * shown. */
#include "again-internal.h"
#include "corners-internal.h"
#include "fabric-internal.h"
#include "kept-internal.h"
#include "lens-internal.h"
#include "scrap-internal.h"
#include "tools-internal.h"

#include "colour/value.h"
#include "photo/find.h"
#include "photo/photo.h"

#include <malloc.h>

enum { PLAN_QUALITY = 86 };

/* One photo with all that was found in it. */
typedef struct measured_photo {
    const char *name;
    char *sha256;
    photo_survey survey;
    photo_scraps *scraps;
    colour_match *match; /* of each scrap */
    int64_t *fabric;     /* of each scrap, where it is sure; 0 else */
    colour_value *value; /* of each scrap, beside the fabrics of the book */
} measured_photo;

static void measured_clear(measured_photo *self)
{
    g_free(self->sha256);
    photo_survey_clear(&self->survey);
    photo_scraps_free(self->scraps);
    g_free(self->match);
    g_free(self->fabric);
    g_free(self->value);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(measured_photo, measured_clear)

static char *hash_of(const char *path, GError **error)
{
    gsize size;
    g_autofree char *bytes = app_file_read(path, &size, error);
    return bytes == NULL ? NULL
                         : g_compute_checksum_for_data(G_CHECKSUM_SHA256,
                                                       (const guchar *)bytes, size);
}

static void know_again(measured_photo *self, const GArray *references)
{
    int count = self->scraps->count;
    colour_value_limits limits = app_value_limits(references);
    self->match = g_new0(colour_match, (gsize)count);
    self->fabric = g_new0(int64_t, (gsize)count);
    self->value = g_new0(colour_value, (gsize)count);
    for (int i = 0; i < count; i++) {
        const photo_scrap *scrap = &self->scraps->scrap[i];
        colour_match_find(&scrap->signature, (int)references->len,
                          (const colour_reference *)(const void *)references->data,
                          &self->match[i]);
        if (self->match[i].verdict == COLOUR_SAME)
            self->fabric[i] = self->match[i].likely[0].fabric;
        self->value[i] = colour_value_of(scrap->mean.l, &limits);
    }
}

gboolean app_survey_file(app *self, const char *path, const app_corners *corners,
                         const photo_watch *watch, photo_survey *survey, GError **error)
{
    photo_lens known;
    if (!photo_survey_load(path, watch, survey, error))
        return FALSE;
    const photo_lens *lens =
        app_lens_recall(self, survey->picture, &known) ? &known : NULL;
    app_settings settings;
    if (!app_settings_get(self, &settings, error))
        return FALSE;
    survey->print_scale =
        length_to_inches(settings.card_line) / length_to_inches(APP_CARD_LINE);
    if (!corners->given)
        return photo_survey_by_cards(survey, lens, watch, error);
    photo_pose pose;
    if (!app_corners_pose(survey->picture, corners, lens, &pose, error))
        return FALSE;
    photo_warn(&survey->warnings, "photo.by-corners",
               "There is no card: the scale is that of the four corners you tapped. "
               "Lengths may be off by %.1f %%.",
               100 * pose.length_error);
    return photo_survey_by_pose(survey, &pose, watch, error);
}

static gboolean measure_file(app *self, const char *path, const app_call *call,
                             const app_corners *corners, const GArray *references,
                             measured_photo *photo, GError **error)
{
    photo_watch watch = { call->stop, call->progress, call->data };
    photo->sha256 = hash_of(path, error);
    if (photo->sha256 == NULL ||
        !app_survey_file(self, path, corners, &watch, &photo->survey, error) ||
        !photo_find_scraps(photo->survey.plan, &watch, &photo->scraps, error))
        return FALSE;
    know_again(photo, references);
    return TRUE;
}

static json_t *warnings_document(const measured_photo *self)
{
    json_t *list = json_array();
    for (int i = 0; i < self->survey.warnings.count; i++) {
        const photo_warning *warning = &self->survey.warnings.item[i];
        json_array_append_new(list, json_pack("{s:s, s:s}", "code", warning->code,
                                              "message", warning->message));
    }
    for (int i = 0; i < self->scraps->remark_count; i++) {
        const photo_remark *remark = &self->scraps->remark[i];
        json_t *row =
            json_pack("{s:s, s:s}", "code", remark->code, "message", remark->message);
        if (remark->has_place)
            json_object_set_new(row, "at_in",
                                app_document_size(remark->place.x, remark->place.y));
        if (remark->scrap >= 0)
            json_object_set_new(row, "number", json_integer(remark->scrap + 1));
        json_array_append_new(list, row);
    }
    return list;
}

static json_t *scraps_document(app *self, const measured_photo *photo,
                               const scrap_plan_request *plan, GError **error)
{
    g_autoptr(json_t) list = json_array();
    for (int i = 0; i < photo->scraps->count; i++) {
        const photo_scrap *scrap = &photo->scraps->scrap[i];
        app_scrap_facts facts = { .id = i + 1,
                                  .number = i + 1,
                                  .outline = &scrap->outline,
                                  .twice_area = scrap->twice_area,
                                  .on_edge = scrap->on_edge,
                                  .sure = scrap->sure,
                                  .colours = &scrap->signature,
                                  .value = (int)photo->value[i],
                                  .fabric = photo->fabric[i],
                                  .match = photo->match[i],
                                  .state = "measured" };
        json_t *document = app_scrap_document(self, &facts, plan, error);
        if (document == NULL)
            return NULL;
        json_object_set_new(document, "group", json_integer(scrap->group + 1));
        json_array_append_new(list, document);
    }
    return g_steal_pointer(&list);
}

static json_t *measured_document(app *self, const measured_photo *photo,
                                 const scrap_plan_request *plan, GError **error)
{
    json_t *scraps = scraps_document(self, photo, plan, error);
    if (scraps == NULL)
        return NULL;
    const photo_survey *survey = &photo->survey;
    return json_pack("{s:{s:s, s:s, s:i, s:i}, s:{s:i, s:f, s:f, s:f}, s:o, s:o}",
                     "photo", "name", photo->name, "sha256", photo->sha256, "width_px",
                     survey->picture->width, "height_px", survey->picture->height, "card",
                     "tags", survey->tags.count, "error_in", survey->pose.error_in,
                     "pixels_per_in", survey->pose.pixels_per_in, "length_error",
                     MIN(1, survey->pose.length_error), "scraps", scraps, "warnings",
                     warnings_document(photo));
}

static GBytes *plan_jpeg(const photo_plan *plan, GError **error)
{
    g_autofree uint8_t *rgb = g_malloc((gsize)plan->width * (gsize)plan->height * 3);
    photo_plan_to_srgb(plan, rgb);
    return photo_jpeg(plan->width, plan->height, rgb, PLAN_QUALITY, error);
}

/* Scraps of one group are one fabric: what is sure of one is sure of all; a group that
 * resembles nothing is a new fabric. A group that resembles several is asked about. */
static gboolean settle_group(store_change *change, measured_photo *photo, int group,
                             GError **error)
{
    int64_t fabric = 0;
    bool asks = false;
    int best = -1; /* the scrap with the largest flat piece shows the fabric */
    double largest = -1;
    for (int i = 0; i < photo->scraps->count; i++) {
        const photo_scrap *scrap = &photo->scraps->scrap[i];
        if (scrap->group != group)
            continue;
        if (fabric == 0)
            fabric = photo->fabric[i];
        asks |= photo->match[i].verdict == COLOUR_ASK;
        double side = MIN(scrap->swatch.columns_px, scrap->swatch.rows_px);
        if (side > largest) {
            largest = side;
            best = i;
        }
    }
    if (best < 0 || (fabric == 0 && asks))
        return TRUE;
    const photo_scrap *shown = &photo->scraps->scrap[best];
    /* Each photo in its own light is one more picture to know the fabric by. */
    g_auto(app_reading)
        reading = { .colours = shown->signature,
                    .value = photo->value[best],
                    .swatch = app_swatch_jpeg(photo->survey.plan, &shown->swatch) };
    if (fabric == 0 ? !app_fabric_learn(change, &reading, &fabric, error)
                    : !store_signature_add(change, fabric, &reading.colours,
                                           reading.value, error))
        return FALSE;
    for (int i = 0; i < photo->scraps->count; i++)
        if (photo->scraps->scrap[i].group == group)
            photo->fabric[i] = fabric;
    return TRUE;
}

static gboolean keep_scraps(store_change *change, const measured_photo *photo, int64_t id,
                            int64_t source, GError **error)
{
    for (int i = 0; i < photo->scraps->count; i++) {
        const photo_scrap *found = &photo->scraps->scrap[i];
        g_autoptr(store_outline) outline = store_outline_copy(&found->outline);
        store_scrap scrap = { .photo = id,
                              .number = i + 1,
                              .fabric = photo->fabric[i],
                              .source = source,
                              .outline = outline,
                              .area = found->twice_area / 2,
                              .sure = found->sure,
                              .on_edge = found->on_edge,
                              .colours = found->signature,
                              .value = (int)photo->value[i] };
        if (!store_scrap_add(change, &scrap, NULL, error))
            return FALSE;
    }
    return TRUE;
}

static gboolean keep(app *self, measured_photo *photo, const char *source_named,
                     int64_t *ret_id, GError **error)
{
    const photo_survey *survey = &photo->survey;
    g_autoptr(GBytes) plan = plan_jpeg(survey->plan, error);
    if (plan == NULL)
        return FALSE;
    g_autofree char *count = app_document_count(photo->scraps->count, "scrap");
    g_autofree char *what = g_strdup_printf("Kept %s of %s", count, photo->name);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    int64_t source = 0;
    if (change == NULL || !app_source_made(change, source_named, &source, error))
        return FALSE;
    for (int group = 0; group < photo->scraps->group_count; group++)
        if (!settle_group(change, photo, group, error))
            return FALSE;
    g_autoptr(json_t) warnings = warnings_document(photo);
    g_autofree char *warnings_text = json_dumps(warnings, JSON_COMPACT);
    photo_geometry geometry =
        photo_geometry_of(survey->picture, &survey->pose, survey->plan);
    g_autofree char *geometry_text = app_geometry_write(&geometry);
    store_photo stored = { .sha256 = photo->sha256,
                           .name = (char *)photo->name,
                           .width = survey->picture->width,
                           .height = survey->picture->height,
                           .source = source,
                           .plan_left = length_from_inches(survey->plan->left_in),
                           .plan_top = length_from_inches(survey->plan->top_in),
                           .plan_pixels_per_in = survey->plan->pixels_per_in,
                           .card_tags = survey->tags.count,
                           .card_error_in = survey->pose.error_in,
                           .pixels_per_in = survey->pose.pixels_per_in,
                           .warnings = warnings_text,
                           .geometry = geometry_text };
    return store_photo_add(change, &stored, plan, ret_id, error) &&
           keep_scraps(change, photo, *ret_id, source, error) &&
           app_again_mark(change, *ret_id, error) &&
           app_lens_learn(change, survey->picture, &survey->pose, error) &&
           store_change_commit(change, error);
}

/* The photo is in the book already: show what is kept, and say so. */
static json_t *kept_before(app *self, int64_t id, const scrap_plan_request *plan,
                           GError **error)
{
    json_t *document = app_photo_document(self, id, plan, error);
    if (document != NULL)
        json_array_append_new(
            json_object_get(document, "warnings"),
            json_pack("{s:s, s:s}", "code", "photo.kept-already", "message",
                      "This photo is in the book already; nothing was added."));
    return document;
}

static json_t *measure_one(app *self, const app_call *call, const char *path,
                           const char *name, const app_corners *corners,
                           const scrap_plan_request *plan, GError **error)
{
    bool keeps = app_request_flag(call, "keep");
    g_auto(measured_photo) photo = { .name = name };
    g_autoptr(GArray) references = app_scrap_references(self, error);
    if (references == NULL)
        return NULL;
    if (keeps) {
        int64_t known;
        g_autofree char *sha256 = hash_of(path, error);
        if (app_book(self, error) == NULL || sha256 == NULL ||
            !store_photo_find(self->book, sha256, &known, error))
            return NULL;
        if (known != 0)
            return kept_before(self, known, plan, error);
    }
    if (!measure_file(self, path, call, corners, references, &photo, error))
        return NULL;
    if (!keeps)
        return measured_document(self, &photo, plan, error);
    int64_t id;
    if (!keep(self, &photo, app_request_text(call, "source"), &id, error))
        return NULL;
    return app_photo_document(self, id, plan, error);
}

gboolean app_do_measure(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    app_cutting cutting;
    app_corners corners;
    g_autoptr(json_t) paths = app_request_list(call, "photos");
    g_autoptr(json_t) names = app_request_list(call, "names");
    g_autoptr(json_t) list = json_array();
    size_t count = json_array_size(paths);
    if (!app_counting_requested(self, call, &cutting, error) ||
        !app_corners_requested(self, call, &corners, error))
        return FALSE;
    if (count == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "\"photos\" is missing.");
        return FALSE;
    }
    for (size_t i = 0; i < count; i++) {
        const char *path = json_string_value(json_array_get(paths, i));
        const char *said = json_string_value(json_array_get(names, i));
        g_autofree char *name =
            said != NULL ? g_strdup(said) : g_path_get_basename(path == NULL ? "" : path);
        g_autoptr(GError) failed = NULL;
        json_t *document = measure_one(self, call, path == NULL ? "" : path, name,
                                       &corners, &cutting.plan, &failed);
        if (document == NULL && count == 1) {
            g_propagate_prefixed_error(error, g_steal_pointer(&failed), "%s: ", name);
            return FALSE;
        }
        /* One bad photo of many keeps none of the others from being measured. */
        if (document == NULL) {
            if (g_error_matches(failed, MOTLEY_ERROR, MOTLEY_ERROR_CANCELLED)) {
                g_propagate_error(error, g_steal_pointer(&failed));
                return FALSE;
            }
            document = app_error_document(failed);
            json_object_set_new(document, "photo", json_pack("{s:s}", "name", name));
        }
        json_array_append_new(list, document);
    }
    malloc_trim(0); /* a photo's pictures are large, and the server then idles for days */
    *ret_document = json_pack("{s:O}", "photos", list);
    return TRUE;
}
