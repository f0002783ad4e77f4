/* Mending what a photo gave: outlines drawn anew, cut in two, joined, taken away, and
 * scraps grown that were missed. Each is one change; colours, fabrics and squares follow.
 */
#include "fabric-internal.h"
#include "kept-internal.h"
#include "outline-internal.h"
#include "scrap-internal.h"
#include "shape-internal.h"
#include "tools-internal.h"

#include <math.h>

/* What every one of these actions needs. */
typedef struct mending {
    app_cutting cutting;
    GArray *references;
    store_change *change;
} mending;

static void mending_clear(mending *self)
{
    g_clear_pointer(&self->change, store_change_free);
    g_clear_pointer(&self->references, g_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(mending, mending_clear)

static gboolean mending_begin(app *self, const app_call *call, const char *what,
                              mending *mend, GError **error)
{
    mend->references = app_scrap_references(self, error);
    if (mend->references == NULL ||
        !app_counting_requested(self, call, &mend->cutting, error))
        return FALSE;
    mend->change = store_change_begin(self->book, what, error);
    return mend->change != NULL;
}

/* The documents of scraps as they are now. */
static json_t *scraps_now(app *self, const mending *mend, const GArray *ids,
                          GError **error)
{
    g_autoptr(GArray) references = app_scrap_references(self, error);
    if (references == NULL)
        return NULL;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < ids->len; i++) {
        g_auto(store_scrap) scrap = { 0 };
        if (!store_scrap_get(self->book, g_array_index(ids, int64_t, i), &scrap, error))
            return NULL;
        json_t *document =
            app_scrap_document_kept(self, &scrap, references, &mend->cutting.plan, error);
        if (document == NULL)
            return NULL;
        json_array_append_new(list, document);
    }
    return g_steal_pointer(&list);
}

static json_t *scrap_now(app *self, const mending *mend, int64_t id, GError **error)
{
    g_autoptr(GArray) ids = g_array_new(FALSE, FALSE, sizeof(int64_t));
    g_array_append_val(ids, id);
    g_autoptr(json_t) list = scraps_now(self, mend, ids, error);
    return list == NULL ? NULL : json_incref(json_array_get(list, 0));
}

/* --- who else mended it --- */

/* An outline may be mended at two places at once. The one that comes second says what it
 * started from, and is told when that is no more. */
static gboolean check_unchanged(const app_call *call, const store_scrap *scrap,
                                GError **error)
{
    const json_t *was = json_object_get(call->request, "was_in");
    if (was == NULL || json_is_null(was))
        return TRUE;
    const scrap_outline *now = store_outline_view(scrap->outline);
    bool same = json_array_size(was) == (size_t)now->outer.count;
    for (int i = 0; same && i < now->outer.count; i++) {
        const json_t *point = json_array_get(was, (size_t)i);
        double x = json_number_value(json_array_get(point, 0));
        double y = json_number_value(json_array_get(point, 1));
        same = fabs(x - length_to_inches(now->outer.points[i].x)) < 1e-4 &&
               fabs(y - length_to_inches(now->outer.points[i].y)) < 1e-4;
    }
    if (!same)
        g_set_error(
            error, MOTLEY_ERROR, MOTLEY_ERROR_APP_CHANGED_MEANWHILE,
            "Scrap %d was changed meanwhile: it has %d corners and %.1f sq in now.",
            scrap->number, now->outer.count, scrap_area2_to_sq_in(2 * scrap->area));
    return same;
}

/* A scrap that was cut is no more what its outline says. */
static gboolean check_lies(const store_scrap *scrap, GError **error)
{
    if (scrap->state != STORE_SCRAP_CUT)
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_SCRAP_CUT,
                "Scrap %d was cut already.", scrap->number);
    return FALSE;
}

static gboolean scrap_to_mend(app *self, const app_call *call, store_scrap *ret_scrap,
                              GError **error)
{
    return app_scrap_requested(self, json_object_get(call->request, "scrap"), ret_scrap,
                               error) &&
           check_lies(ret_scrap, error) && check_unchanged(call, ret_scrap, error);
}

/* --- outlines with what follows from them --- */

/* Which fabric an outline shows. What is surely known is taken; the fabric that the scrap
 * had before is believed as long as the colours may be its own; what nothing in the book
 * resembles is new, and anything between is asked (0). */
static gboolean settle_fabric(const mending *mend, const app_reading *reading,
                              int64_t before, int64_t *ret_fabric, GError **error)
{
    colour_match match = { 0 };
    *ret_fabric = before;
    if (reading->colours.count == 0)
        return TRUE;
    colour_match_find(&reading->colours, (int)mend->references->len,
                      (const colour_reference *)(const void *)mend->references->data,
                      &match);
    for (int i = 0; i < match.count; i++)
        if (before != 0 && match.likely[i].fabric == before &&
            match.verdict != COLOUR_NEW)
            return TRUE;
    if (match.verdict == COLOUR_NEW)
        return app_fabric_learn(mend->change, reading, ret_fabric, error);
    *ret_fabric = match.verdict == COLOUR_SAME ? match.likely[0].fabric : 0;
    return TRUE;
}

/* Puts an outline in place of a scrap's own, and reads its colours anew. */
static gboolean put_outline(app *self, const mending *mend, const store_scrap *scrap,
                            const store_outline *outline, bool settles, GError **error)
{
    const scrap_outline *view = store_outline_view(outline);
    g_auto(app_reading) reading = { 0 };
    int64_t fabric = scrap->fabric;
    return app_outline_reading(self, scrap->photo, view, mend->references, &reading,
                               error) &&
           store_scrap_mend(mend->change, scrap->id, view, scrap_outline_area2(view) / 2,
                            error) &&
           (reading.colours.count == 0 ||
            store_scrap_set_colours(mend->change, scrap->id, &reading.colours,
                                    reading.value, error)) &&
           ((!settles && fabric != 0) ||
            settle_fabric(mend, &reading, fabric, &fabric, error)) &&
           (fabric == scrap->fabric ||
            store_scrap_say(mend->change, scrap->id, fabric, scrap->source, error));
}

/* A scrap of its own beside another of the same photo. */
static gboolean add_beside(app *self, const mending *mend, const store_scrap *scrap,
                           const store_outline *outline, int number, int64_t *ret_id,
                           GError **error)
{
    const scrap_outline *view = store_outline_view(outline);
    g_auto(app_reading) reading = { 0 };
    store_scrap added = { .photo = scrap->photo,
                          .number = number,
                          .fabric = scrap->fabric,
                          .source = scrap->source,
                          .outline = (store_outline *)(uintptr_t)outline,
                          .mended = true,
                          .area = scrap_outline_area2(view) / 2,
                          .sure = 1,
                          .on_edge = scrap->on_edge,
                          .state = scrap->state,
                          .value = -1 };
    if (!app_outline_reading(self, scrap->photo, view, mend->references, &reading,
                             error) ||
        !settle_fabric(mend, &reading, scrap->fabric, &added.fabric, error))
        return FALSE;
    added.colours = reading.colours;
    added.value = (int)reading.value;
    return store_scrap_add(mend->change, &added, ret_id, error);
}

/* The first number that no scrap of the photo has. */
static gboolean next_number(app *self, int64_t photo, int *ret_number, GError **error)
{
    g_autoptr(GArray) scraps = NULL;
    if (!store_scrap_of_photo(self->book, photo, &scraps, error))
        return FALSE;
    *ret_number = 1;
    for (guint i = 0; i < scraps->len; i++)
        *ret_number = MAX(*ret_number, g_array_index(scraps, store_scrap, i).number + 1);
    return TRUE;
}

/* --- the actions --- */

/* The outline as she mended it: it wins over the one found. */
gboolean app_do_scrap_mend(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    g_auto(mending) mend = { 0 };
    g_auto(store_scrap) scrap = { 0 };
    if (!scrap_to_mend(self, call, &scrap, error))
        return FALSE;
    const char *file = app_request_text(call, "outline");
    g_autoptr(store_outline) outline = file != NULL
                                           ? app_outline_from_file(file, error)
                                           : app_outline_from_json(call->request, error);
    if (outline == NULL)
        return FALSE;
    g_autofree char *what =
        g_strdup_printf("Mended the outline of scrap %d", scrap.number);
    if (!mending_begin(self, call, what, &mend, error) ||
        !put_outline(self, &mend, &scrap, outline, false, error) ||
        !store_change_commit(mend.change, error))
        return FALSE;
    *ret_document = scrap_now(self, &mend, scrap.id, error);
    return *ret_document != NULL;
}

/* A point in inches: [x, y], or the words "x,y" of the command line. */
static bool read_point(const json_t *item, scrap_point *ret_point)
{
    const double limit = length_to_inches(SCRAP_SIZE_MAX);
    double at[2] = { NAN, NAN };
    if (json_is_string(item)) {
        g_auto(GStrv) words = g_strsplit(json_string_value(item), ",", 3);
        for (guint i = 0; i < 2 && g_strv_length(words) == 2; i++) {
            char *end;
            double value = g_ascii_strtod(words[i], &end);
            at[i] = end != words[i] && *end == '\0' ? value : NAN;
        }
    } else if (json_array_size(item) == 2) {
        for (size_t i = 0; i < 2; i++)
            if (json_is_number(json_array_get(item, i)))
                at[i] = json_number_value(json_array_get(item, i));
    }
    if (!(fabs(at[0]) <= limit && fabs(at[1]) <= limit))
        return false;
    *ret_point = (scrap_point){ length_from_inches(at[0]), length_from_inches(at[1]) };
    return true;
}

/* Two points [[x, y], [x, y]] in inches. */
static gboolean read_two_points(const app_call *call, const char *field,
                                scrap_point ret_points[static 2], GError **error)
{
    const json_t *list = json_object_get(call->request, field);
    if (json_array_size(list) == 2 &&
        read_point(json_array_get(list, 0), &ret_points[0]) &&
        read_point(json_array_get(list, 1), &ret_points[1]))
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "%s: two points in inches are needed, [[x, y], [x, y]] or x,y x,y.",
                field);
    return FALSE;
}

/* Cuts one in two along a line. The largest piece stays the scrap that it was. */
gboolean app_do_scrap_part(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    g_auto(mending) mend = { 0 };
    g_auto(store_scrap) scrap = { 0 };
    scrap_point line[2];
    int number;
    if (!scrap_to_mend(self, call, &scrap, error) ||
        !read_two_points(call, "line_in", line, error) ||
        !next_number(self, scrap.photo, &number, error))
        return FALSE;
    g_autoptr(GPtrArray) parts =
        app_shape_part(store_outline_view(scrap.outline), line[0], line[1], error);
    if (parts == NULL) {
        g_prefix_error(error, "Scrap %d: ", scrap.number);
        return FALSE;
    }
    g_autofree char *what = g_strdup_printf("Told %u scraps apart that were scrap %d",
                                            parts->len, scrap.number);
    g_autoptr(GArray) ids = g_array_new(FALSE, FALSE, sizeof(int64_t));
    g_array_append_val(ids, scrap.id);
    if (!mending_begin(self, call, what, &mend, error) ||
        !put_outline(self, &mend, &scrap, parts->pdata[0], true, error) ||
        !store_scrap_set_sure(mend.change, scrap.id, 1, error))
        return FALSE;
    for (guint i = 1; i < parts->len; i++) {
        int64_t id;
        if (!add_beside(self, &mend, &scrap, parts->pdata[i], number + (int)i - 1, &id,
                        error))
            return FALSE;
        g_array_append_val(ids, id);
    }
    if (!store_change_commit(mend.change, error))
        return FALSE;
    json_t *list = scraps_now(self, &mend, ids, error);
    if (list == NULL)
        return FALSE;
    *ret_document = json_pack("{s:o}", "scraps", list);
    return TRUE;
}

/* Makes one of two. The larger stays; its fabric is kept. */
gboolean app_do_scrap_join(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    g_auto(mending) mend = { 0 };
    g_auto(store_scrap) one = { 0 };
    g_auto(store_scrap) other = { 0 };
    g_autoptr(json_t) list = app_request_list(call, "scraps");
    if (json_array_size(list) != 2) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                            "scraps: name the two that are one.");
        return FALSE;
    }
    if (!app_scrap_requested(self, json_array_get(list, 0), &one, error) ||
        !app_scrap_requested(self, json_array_get(list, 1), &other, error) ||
        !check_lies(&one, error) || !check_lies(&other, error))
        return FALSE;
    if (one.id == other.id || one.photo == 0 || one.photo != other.photo) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_APART,
                            one.id == other.id ? "Both are the same scrap."
                                               : "They do not lie in one photo.");
        return FALSE;
    }
    const store_scrap *stays = one.area >= other.area ? &one : &other;
    const store_scrap *goes = stays == &one ? &other : &one;
    g_autoptr(store_outline) outline = app_shape_join(
        store_outline_view(stays->outline), store_outline_view(goes->outline), error);
    if (outline == NULL) {
        g_prefix_error(error, "Scraps %d and %d: ", one.number, other.number);
        return FALSE;
    }
    g_autofree char *what =
        g_strdup_printf("Joined scraps %d and %d", one.number, other.number);
    if (!mending_begin(self, call, what, &mend, error) ||
        !put_outline(self, &mend, stays, outline, false, error) ||
        !store_scrap_set_sure(mend.change, stays->id, 1, error) ||
        !store_scrap_remove(mend.change, goes->id, error) ||
        !store_change_commit(mend.change, error))
        return FALSE;
    *ret_document = scrap_now(self, &mend, stays->id, error);
    return *ret_document != NULL;
}

/* It is no scrap: a ruler, a hand, a mark on the table. */
gboolean app_do_scrap_remove(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    g_auto(store_scrap) scrap = { 0 };
    if (!app_scrap_requested(self, json_object_get(call->request, "scrap"), &scrap,
                             error) ||
        !check_lies(&scrap, error))
        return FALSE;
    g_autofree char *what = g_strdup_printf("Said that %d is not a scrap", scrap.number);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !store_scrap_remove(change, scrap.id, error) ||
        !store_change_commit(change, error))
        return FALSE;
    *ret_document = app_document_done(what);
    return TRUE;
}

/* Draws one that was missed, from two taps on it. */
gboolean app_do_scrap_grow(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    g_auto(mending) mend = { 0 };
    g_auto(store_photo) photo = { 0 };
    scrap_point taps[2];
    store_scrap added = { .state = STORE_SCRAP_LYING, .sure = 1, .value = -1 };
    g_autoptr(photo_plan) plan = NULL;
    g_autoptr(photo_scraps) grown = NULL;
    const photo_watch watch = { call->stop, call->progress, call->data };
    if (!app_photo_requested(self, call, &photo, error) ||
        !read_two_points(call, "taps_in", taps, error) ||
        !app_kept_plan(self, photo.id, NULL, &watch, &plan, error))
        return FALSE;
    if (plan == NULL) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_PLAN,
                    "Of the photo %s no picture was kept that can be measured.",
                    photo.name);
        return FALSE;
    }
    if (!photo_grow_scrap(plan, taps[0], taps[1], &watch, &grown, error) ||
        !scrap_outline_check(&grown->scrap[0].outline, error) ||
        !next_number(self, photo.id, &added.number, error))
        return FALSE;
    g_autofree char *what =
        g_strdup_printf("Drew a scrap that was missed, %d", added.number);
    if (!mending_begin(self, call, what, &mend, error))
        return FALSE;
    const photo_scrap *found = &grown->scrap[0];
    g_auto(app_reading) reading = app_reading_of(plan, found, mend.references);
    g_autoptr(store_outline) outline = store_outline_copy(&found->outline);
    added.photo = photo.id;
    added.source = photo.source;
    added.outline = outline;
    added.area = found->twice_area / 2;
    added.on_edge = found->on_edge;
    added.colours = reading.colours;
    added.value = (int)reading.value;
    int64_t id;
    if (!settle_fabric(&mend, &reading, 0, &added.fabric, error) ||
        !store_scrap_add(mend.change, &added, &id, error) ||
        !store_change_commit(mend.change, error))
        return FALSE;
    *ret_document = scrap_now(self, &mend, id, error);
    return *ret_document != NULL;
}
