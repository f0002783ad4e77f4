/* Photos and scraps that are kept: list, show, throw away, mend. */
#include "fabric-internal.h"
#include "kept-internal.h"
#include "questions-internal.h"
#include "scrap-internal.h"
#include "tools-internal.h"

GArray *app_scrap_references(app *self, GError **error)
{
    GArray *references = g_array_new(FALSE, FALSE, sizeof(colour_reference));
    g_autoptr(GArray) signatures = NULL;
    if (self->book == NULL)
        return references;
    if (!store_signature_list(self->book, 0, &signatures, error)) {
        g_array_unref(references);
        return NULL;
    }
    for (guint i = 0; i < signatures->len; i++) {
        const store_signature *signature = &g_array_index(signatures, store_signature, i);
        colour_reference reference = { signature->fabric, signature->colours };
        g_array_append_val(references, reference);
    }
    return references;
}

static json_t *alike_document(app *self, const colour_match *match, GError **error)
{
    json_t *list = json_array();
    for (int i = 0; i < match->count; i++) {
        g_auto(app_look) look = { 0 };
        if (!app_look_get(self, match->likely[i].fabric, &look, error)) {
            json_decref(list);
            return NULL;
        }
        json_t *row = app_fabric_document(&look);
        json_object_set_new(row, "alike", json_real(match->likely[i].alike));
        json_array_append_new(list, row);
    }
    return list;
}

/* How many squares each way of cutting gives. */
static json_t *squares_document(const scrap_outline *outline,
                                const scrap_plan_request *plan, GError **error)
{
    int squares[2];
    static const scrap_method methods[] = { SCRAP_CUT_GRID, SCRAP_CUT_STRIPS };
    for (int i = 0; i < 2; i++) {
        scrap_plan_request request = *plan;
        request.method = methods[i];
        g_autoptr(scrap_plan) made = scrap_plan_make(outline, &request, error);
        if (made == NULL)
            return NULL;
        squares[i] = made->squares;
    }
    return json_pack("{s:i, s:i}", "grid", squares[0], "strips", squares[1]);
}

json_t *app_scrap_document(app *self, const app_scrap_facts *facts,
                           const scrap_plan_request *plan, GError **error)
{
    g_autoptr(json_t) squares = squares_document(facts->outline, plan, error);
    g_autoptr(json_t) alike =
        squares == NULL ? NULL : alike_document(self, &facts->match, error);
    if (alike == NULL)
        return NULL;
    json_t *holes = json_array();
    for (int i = 0; i < facts->outline->hole_count; i++)
        json_array_append_new(holes,
                              app_document_points(facts->outline->holes[i].count,
                                                  facts->outline->holes[i].points));
    json_t *document = json_pack(
        "{s:I, s:i, s:o, s:o, s:f, s:b, s:f, s:o, s:o, s:o, s:O, s:O, s:s}", "id",
        (json_int_t)facts->id, "number", facts->number, "outline_in",
        app_document_points(facts->outline->outer.count, facts->outline->outer.points),
        "holes_in", holes, "area_sq_in", scrap_area2_to_sq_in(facts->twice_area),
        "on_edge", facts->on_edge, "sure", facts->sure, "colours",
        app_document_colours(facts->colours), "value", app_document_value(facts->value),
        "fabric", app_document_id(facts->fabric), "alike", alike, "squares", squares,
        "state", facts->state);
    if (facts->fabric != 0) {
        g_auto(app_look) look = { 0 };
        if (!app_look_get(self, facts->fabric, &look, error)) {
            json_decref(document);
            return NULL;
        }
        json_object_set_new(document, "fabric_name", json_string(look.name));
    }
    return document;
}

static const char *const states[] = { "lying", "cut", "thrown" };

json_t *app_scrap_document_kept(app *self, const store_scrap *scrap,
                                const GArray *references, const scrap_plan_request *plan,
                                GError **error)
{
    app_scrap_facts facts = { .id = scrap->id,
                              .number = scrap->number,
                              .outline = store_outline_view(scrap->outline),
                              .twice_area = 2 * scrap->area,
                              .on_edge = scrap->on_edge,
                              .sure = scrap->sure,
                              .colours = &scrap->colours,
                              .value = scrap->value,
                              .fabric = scrap->fabric,
                              .state = states[scrap->state] };
    if (scrap->fabric == 0)
        colour_match_find(&scrap->colours, (int)references->len,
                          (const colour_reference *)(const void *)references->data,
                          &facts.match);
    json_t *document = app_scrap_document(self, &facts, plan, error);
    if (document != NULL) {
        json_object_set_new(document, "photo_id", app_document_id(scrap->photo));
        json_object_set_new(document, "mended", json_boolean(scrap->mended));
        json_object_set_new(document, "again_of",
                            app_document_id(scrap->again_sure ? scrap->again_of : 0));
    }
    return document;
}

static json_t *scrap_list_document(app *self, const GArray *scraps,
                                   const scrap_plan_request *plan, GError **error)
{
    g_autoptr(GArray) references = app_scrap_references(self, error);
    if (references == NULL)
        return NULL;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < scraps->len; i++) {
        json_t *scrap = app_scrap_document_kept(
            self, &g_array_index(scraps, store_scrap, i), references, plan, error);
        if (scrap == NULL)
            return NULL;
        json_array_append_new(list, scrap);
    }
    return g_steal_pointer(&list);
}

/* Where on the table the photo ends: what the plan shows beyond is bare paper. The lens
 * bends its sides, so each is told in steps. NULL where it reaches to the horizon. */
static json_t *seen_document(const photo_geometry *geometry)
{
    /* The JPEG lets the paper run into the photo's last pixels: they are left away. */
    enum { STEPS = 8, RIM = 3 };
    double far_x = (double)(geometry->columns - RIM) * geometry->shrink,
           far_y = (double)(geometry->rows - RIM) * geometry->shrink,
           near = (double)RIM * geometry->shrink;
    const photo_point corners[5] = {
        { near, near }, { far_x, near }, { far_x, far_y }, { near, far_y }, { near, near }
    };
    g_autoptr(json_t) ring = json_array();
    for (int i = 0; i < 4 * STEPS; i++) {
        const photo_point *from = &corners[i / STEPS], *to = from + 1;
        double part = (double)(i % STEPS) / STEPS;
        photo_point px = { from->x + part * (to->x - from->x),
                           from->y + part * (to->y - from->y) };
        photo_point at;
        if (!photo_pose_to_table(&geometry->pose, px, &at))
            return NULL;
        json_array_append_new(ring, json_pack("[f, f]", at.x, at.y));
    }
    return g_steal_pointer(&ring);
}

/* What only the geometry tells: the size of the plan, where the photo in it ends, and how
 * sure lengths are. */
static void describe_geometry(const store_photo *photo, json_t *document)
{
    photo_geometry geometry;
    if (!app_geometry_read(photo, &geometry))
        return;
    json_t *plan = json_object_get(document, "plan");
    json_object_set_new(plan, "width_px", json_integer(geometry.width));
    json_object_set_new(plan, "height_px", json_integer(geometry.height));
    json_t *seen = seen_document(&geometry);
    if (seen != NULL)
        json_object_set_new(plan, "seen_in", seen);
    json_object_set_new(json_object_get(document, "card"), "length_error",
                        json_real(geometry.pose.length_error));
}

json_t *app_photo_document(app *self, int64_t id, const scrap_plan_request *plan,
                           GError **error)
{
    g_auto(store_photo) photo = { 0 };
    g_autoptr(GArray) scraps = NULL;
    g_autoptr(GArray) sources = NULL;
    if (!store_photo_get(self->book, id, &photo, error) ||
        !store_scrap_of_photo(self->book, id, &scraps, error) ||
        !store_source_list(self->book, &sources, error))
        return NULL;
    json_t *list = scrap_list_document(self, scraps, plan, error);
    if (list == NULL)
        return NULL;
    g_autoptr(GArray) references = app_scrap_references(self, error);
    json_t *questions =
        references == NULL ? NULL
                           : app_photo_questions(self, &photo, scraps, references, error);
    if (questions == NULL) {
        json_decref(list);
        return NULL;
    }
    g_autofree char *source = app_source_name(sources, photo.source);
    g_autofree char *url = g_strdup_printf("/api/photos/%" PRId64 "/plan.jpg", id);
    json_t *document = json_pack(
        "{s:{s:I, s:s, s:s, s:i, s:i, s:o, s:s?}, s:{s:i, s:f, s:f}, "
        "s:{s:s, s:f, s:f, s:f}, s:o, s:o, s:o}",
        "photo", "id", (json_int_t)id, "name", photo.name, "sha256", photo.sha256,
        "width_px", photo.width, "height_px", photo.height, "at",
        app_document_time(photo.added), "source", source, "card", "tags", photo.card_tags,
        "error_in", photo.card_error_in, "pixels_per_in", photo.pixels_per_in, "plan",
        "url", url, "pixels_per_in", photo.plan_pixels_per_in, "left_in",
        length_to_inches(photo.plan_left), "top_in", length_to_inches(photo.plan_top),
        "scraps", list, "questions", questions, "warnings", app_photo_remarks(&photo));
    describe_geometry(&photo, document);
    return document;
}

/* Turns the store's "unknown" into what the maker asked for. */
static void name_unknown(GError *unknown, motley_error code, const char *what, int64_t id,
                         GError **error)
{
    if (g_error_matches(unknown, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNKNOWN)) {
        g_set_error(error, MOTLEY_ERROR, (int)code, "There is no %s %" PRId64 ".", what,
                    id);
        g_error_free(unknown);
    } else {
        g_propagate_error(error, unknown);
    }
}

gboolean app_photo_requested(app *self, const app_call *call, store_photo *ret_photo,
                             GError **error)
{
    int64_t id;
    GError *unknown = NULL;
    if (app_book(self, error) == NULL ||
        !app_request_item_id(json_object_get(call->request, "photo"), "photo", &id,
                             error))
        return FALSE;
    if (store_photo_get(self->book, id, ret_photo, &unknown))
        return TRUE;
    name_unknown(unknown, MOTLEY_ERROR_APP_NO_PHOTO, "photo", id, error);
    return FALSE;
}

gboolean app_scrap_requested(app *self, const json_t *item, store_scrap *ret_scrap,
                             GError **error)
{
    int64_t id;
    GError *unknown = NULL;
    if (app_book(self, error) == NULL || !app_request_item_id(item, "scrap", &id, error))
        return FALSE;
    if (store_scrap_get(self->book, id, ret_scrap, &unknown))
        return TRUE;
    name_unknown(unknown, MOTLEY_ERROR_APP_NO_SCRAP, "scrap", id, error);
    return FALSE;
}

/* Squares of the lying scraps of a photo by the better method: for the list. */
static gboolean photo_squares(const GArray *scraps, const scrap_plan_request *plan,
                              int *ret_lying, int *ret_squares, GError **error)
{
    *ret_lying = *ret_squares = 0;
    for (guint i = 0; i < scraps->len; i++) {
        const store_scrap *scrap = &g_array_index(scraps, store_scrap, i);
        if (scrap->state != STORE_SCRAP_LYING || scrap->again_sure)
            continue;
        g_autoptr(scrap_plan) made =
            scrap_plan_make(store_outline_view(scrap->outline), plan, error);
        if (made == NULL)
            return FALSE;
        *ret_squares += made->squares;
        ++*ret_lying;
    }
    return TRUE;
}

gboolean app_do_photos(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    int64_t before = 0, limit = 30;
    app_cutting cutting;
    g_autoptr(GArray) photos = NULL;
    g_autoptr(GArray) sources = NULL;
    if (app_book(self, error) == NULL ||
        !app_counting_requested(self, call, &cutting, error) ||
        !app_request_int(call, "before", 0, INT64_MAX, &before, error) ||
        !app_request_int(call, "limit", 1, 200, &limit, error) ||
        !store_photo_list(self->book, before, (int)limit, &photos, error) ||
        !store_source_list(self->book, &sources, error))
        return FALSE;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < photos->len; i++) {
        const store_photo *photo = &g_array_index(photos, store_photo, i);
        g_autoptr(GArray) scraps = NULL;
        int lying, squares;
        if (!store_scrap_of_photo(self->book, photo->id, &scraps, error) ||
            !photo_squares(scraps, &cutting.plan, &lying, &squares, error))
            return FALSE;
        g_autofree char *source = app_source_name(sources, photo->source);
        json_array_append_new(
            list, json_pack("{s:I, s:s, s:o, s:s?, s:i, s:i, s:i}", "photo",
                            (json_int_t)photo->id, "name", photo->name, "at",
                            app_document_time(photo->added), "source", source, "scraps",
                            (int)scraps->len, "lying", lying, "squares", squares));
    }
    *ret_document = json_pack("{s:O}", "photos", list);
    return TRUE;
}

gboolean app_do_photo(app *self, const app_call *call, json_t **ret_document,
                      GError **error)
{
    app_cutting cutting;
    g_auto(store_photo) photo = { 0 };
    if (!app_photo_requested(self, call, &photo, error) ||
        !app_counting_requested(self, call, &cutting, error))
        return FALSE;
    *ret_document = app_photo_document(self, photo.id, &cutting.plan, error);
    return *ret_document != NULL;
}

gboolean app_do_photo_forget(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    g_auto(store_photo) photo = { 0 };
    if (!app_photo_requested(self, call, &photo, error))
        return FALSE;
    g_autofree char *what = g_strdup_printf("Dropped the photo %s", photo.name);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !store_photo_remove(change, photo.id, error) ||
        !store_change_commit(change, error))
        return FALSE;
    *ret_document = app_document_done(what);
    return TRUE;
}

gboolean app_do_scraps(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    int64_t after = 0, limit = 60;
    app_cutting cutting;
    g_autoptr(GArray) scraps = NULL;
    if (app_book(self, error) == NULL ||
        !app_counting_requested(self, call, &cutting, error) ||
        !app_request_int(call, "after", 0, INT64_MAX, &after, error) ||
        !app_request_int(call, "limit", 1, 500, &limit, error) ||
        !store_scrap_list(self->book, STORE_SCRAP_LYING, after, (int)limit, &scraps,
                          error))
        return FALSE;
    g_autoptr(json_t) list = scrap_list_document(self, scraps, &cutting.plan, error);
    if (list == NULL)
        return FALSE;
    *ret_document = json_pack("{s:O}", "scraps", list);
    return TRUE;
}

static gboolean answer_scrap(app *self, const app_call *call, int64_t id,
                             json_t **ret_document, GError **error)
{
    app_cutting cutting;
    g_auto(store_scrap) scrap = { 0 };
    if (!app_counting_requested(self, call, &cutting, error) ||
        !store_scrap_get(self->book, id, &scrap, error))
        return FALSE;
    g_autoptr(GArray) references = app_scrap_references(self, error);
    if (references == NULL)
        return FALSE;
    *ret_document =
        app_scrap_document_kept(self, &scrap, references, &cutting.plan, error);
    return *ret_document != NULL;
}

static gboolean set_state(app *self, const app_call *call, store_scrap_state state,
                          const char *verb, json_t **ret_document, GError **error)
{
    g_auto(store_scrap) scrap = { 0 };
    if (!app_scrap_requested(self, json_object_get(call->request, "scrap"), &scrap,
                             error))
        return FALSE;
    g_autofree char *what = g_strdup_printf("%s scrap %d", verb, scrap.number);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !store_scrap_set_state(change, scrap.id, state, error) ||
        !store_change_commit(change, error))
        return FALSE;
    return answer_scrap(self, call, scrap.id, ret_document, error);
}

gboolean app_do_scrap_throw(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    return set_state(self, call, STORE_SCRAP_THROWN, "Put aside", ret_document, error);
}

gboolean app_do_scrap_keep(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    return set_state(self, call, STORE_SCRAP_LYING, "Took back", ret_document, error);
}
