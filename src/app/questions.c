#include "questions-internal.h"

#include "fabric-internal.h"
#include "kept-internal.h"
#include "scrap-internal.h"
#include "tools-internal.h"

#include <string.h>

/* --- what may be a scrap --- */

static json_t *all_remarks(const store_photo *photo)
{
    json_t *remarks =
        photo->warnings == NULL ? NULL : json_loads(photo->warnings, 0, NULL);
    return remarks != NULL ? remarks : json_array();
}

json_t *app_photo_remarks(const store_photo *photo)
{
    g_autoptr(json_t) all = all_remarks(photo);
    json_t *open = json_array(), *remark;
    size_t i;
    json_array_foreach (all, i, remark)
        if (!json_is_true(json_object_get(remark, "settled")))
            json_array_append(open, remark);
    return open;
}

static const store_scrap *scrap_numbered(const GArray *scraps, json_int_t number)
{
    for (guint i = 0; i < scraps->len; i++)
        if (g_array_index(scraps, store_scrap, i).number == number)
            return &g_array_index(scraps, store_scrap, i);
    return NULL;
}

/* Whether a scrap has been drawn where something was thought to lie. */
static bool is_drawn(const GArray *scraps, const json_t *at_in)
{
    double x = json_number_value(json_array_get(at_in, 0)) * LENGTH_INCH;
    double y = json_number_value(json_array_get(at_in, 1)) * LENGTH_INCH;
    for (guint i = 0; i < scraps->len; i++)
        if (scrap_outline_holds(
                store_outline_view(g_array_index(scraps, store_scrap, i).outline), x, y))
            return true;
    return false;
}

/* Remarks that she can do something about: those on a scrap that is not sure to be one,
 * and those on a place where none was found. */
static bool asks(const json_t *remark, const GArray *scraps,
                 const store_scrap **ret_scrap)
{
    static const char *const codes[] = { "scraps.maybe", "scraps.hand", "scraps.tool",
                                         "scraps.pile", "scraps.faint" };
    const char *code = json_string_value(json_object_get(remark, "code"));
    const json_t *number = json_object_get(remark, "number");
    bool known = false;
    for (size_t i = 0; code != NULL && i < G_N_ELEMENTS(codes); i++)
        known |= strcmp(code, codes[i]) == 0;
    *ret_scrap = NULL;
    if (!known || json_is_true(json_object_get(remark, "settled")))
        return false;
    if (number == NULL)
        return !is_drawn(scraps, json_object_get(remark, "at_in"));
    *ret_scrap = scrap_numbered(scraps, json_integer_value(number));
    return *ret_scrap != NULL && (*ret_scrap)->state == STORE_SCRAP_LYING &&
           (*ret_scrap)->sure < 1;
}

static void ask_remarks(const store_photo *photo, const GArray *scraps, json_t *questions)
{
    g_autoptr(json_t) remarks = all_remarks(photo);
    json_t *remark;
    size_t i;
    json_array_foreach (remarks, i, remark) {
        const store_scrap *scrap;
        if (!asks(remark, scraps, &scrap))
            continue;
        json_t *question = json_pack("{s:s, s:I, s:i, s:O, s:O}", "kind", "maybe",
                                     "photo", (json_int_t)photo->id, "remark", (int)i,
                                     "code", json_object_get(remark, "code"), "message",
                                     json_object_get(remark, "message"));
        if (json_object_get(remark, "at_in") != NULL)
            json_object_set(question, "at_in", json_object_get(remark, "at_in"));
        json_object_set_new(question, "scraps",
                            scrap == NULL ? json_array()
                                          : json_pack("[I]", (json_int_t)scrap->id));
        json_array_append_new(questions, question);
    }
}

/* --- which fabric it is --- */

static bool wants_fabric(const store_scrap *scrap)
{
    return scrap->state == STORE_SCRAP_LYING && scrap->fabric == 0 && !scrap->again_sure;
}

static json_t *likely_document(app *self, const colour_match *match, GError **error)
{
    g_autoptr(json_t) list = json_array();
    for (int i = 0; i < match->count; i++) {
        g_auto(app_look) look = { 0 };
        if (!app_look_get(self, match->likely[i].fabric, &look, error))
            return NULL;
        json_t *row = app_fabric_document(&look);
        json_object_set_new(row, "alike", json_real(match->likely[i].alike));
        json_array_append_new(list, row);
    }
    return g_steal_pointer(&list);
}

/* Scraps of one fabric are one question; its largest piece is what is compared. */
static gboolean ask_group(app *self, int64_t photo, int count,
                          const store_scrap *const scraps[], const int group[], int which,
                          const GArray *references, json_t *questions, GError **error)
{
    json_t *ids = json_array();
    const store_scrap *largest = NULL;
    for (int i = 0; i < count; i++) {
        if (group[i] != which)
            continue;
        json_array_append_new(ids, json_integer(scraps[i]->id));
        if (largest == NULL || scraps[i]->area > largest->area)
            largest = scraps[i];
    }
    json_t *question = json_pack("{s:s, s:I, s:o}", "kind", "fabric", "photo",
                                 (json_int_t)photo, "scraps", ids);
    json_array_append_new(questions, question);
    colour_match match;
    colour_match_find(&largest->colours, (int)references->len,
                      (const colour_reference *)(const void *)references->data, &match);
    json_t *likely = likely_document(self, &match, error);
    if (likely == NULL)
        return FALSE;
    json_object_set_new(question, "likely", likely);
    json_object_set_new(question, "srgb",
                        largest->colours.count == 0
                            ? json_null()
                            : app_document_srgb(&largest->colours.lab[0]));
    return TRUE;
}

static gboolean ask_fabrics(app *self, int64_t photo, const GArray *scraps,
                            const GArray *references, json_t *questions, GError **error)
{
    gsize most = scraps->len;
    g_autofree const store_scrap **open = g_new(const store_scrap *, most + 1);
    g_autofree colour_signature *signatures = g_new(colour_signature, most + 1);
    int count = 0;
    for (guint i = 0; i < scraps->len; i++) {
        const store_scrap *scrap = &g_array_index(scraps, store_scrap, i);
        if (!wants_fabric(scrap))
            continue;
        signatures[count] = scrap->colours;
        open[count++] = scrap;
    }
    g_autofree double *distance = g_new(double, (gsize)count *(gsize)count + 1);
    g_autofree int *group = g_new(int, (gsize)count + 1);
    int groups = colour_group(count, signatures, 0, distance, group);
    for (int which = 0; which < groups; which++)
        if (!ask_group(self, photo, count, open, group, which, references, questions,
                       error))
            return FALSE;
    return TRUE;
}

/* --- whether it was counted before --- */

static gboolean ask_again(app *self, int64_t photo, const GArray *scraps,
                          json_t *questions, GError **error)
{
    for (guint i = 0; i < scraps->len; i++) {
        const store_scrap *scrap = &g_array_index(scraps, store_scrap, i);
        if (scrap->again_of == 0 || scrap->again_sure ||
            scrap->state != STORE_SCRAP_LYING)
            continue;
        g_auto(store_scrap) other = { 0 };
        if (!store_scrap_get(self->book, scrap->again_of, &other, error))
            return FALSE;
        json_array_append_new(questions,
                              json_pack("{s:s, s:I, s:[I], s:{s:I, s:i, s:o}}", "kind",
                                        "again", "photo", (json_int_t)photo, "scraps",
                                        (json_int_t)scrap->id, "other", "scrap",
                                        (json_int_t)other.id, "number", other.number,
                                        "photo", app_document_id(other.photo)));
    }
    return TRUE;
}

json_t *app_photo_questions(app *self, const store_photo *photo, const GArray *scraps,
                            const GArray *references, GError **error)
{
    g_autoptr(json_t) questions = json_array();
    if (!ask_fabrics(self, photo->id, scraps, references, questions, error) ||
        !ask_again(self, photo->id, scraps, questions, error))
        return NULL;
    ask_remarks(photo, scraps, questions);
    return g_steal_pointer(&questions);
}

/* All that is open, the newest photo first. */
gboolean app_do_questions(app *self, const app_call *call, json_t **ret_document,
                          GError **error)
{
    int64_t limit = 30;
    g_autoptr(GArray) photos = NULL;
    if (app_book(self, error) == NULL ||
        !app_request_int(call, "limit", 1, 200, &limit, error) ||
        !store_photo_list(self->book, 0, (int)limit, &photos, error))
        return FALSE;
    g_autoptr(GArray) references = app_scrap_references(self, error);
    if (references == NULL)
        return FALSE;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < photos->len; i++) {
        const store_photo *photo = &g_array_index(photos, store_photo, i);
        g_autoptr(GArray) scraps = NULL;
        if (!store_scrap_of_photo(self->book, photo->id, &scraps, error))
            return FALSE;
        g_autoptr(json_t) open =
            app_photo_questions(self, photo, scraps, references, error);
        if (open == NULL)
            return FALSE;
        json_array_extend(list, open);
    }
    *ret_document = json_pack("{s:O}", "questions", list);
    return TRUE;
}

/* --- answers --- */

/* The scraps that a field names; clears like GArray of store_scrap. */
static GArray *scraps_requested(app *self, const json_t *list, GError **error)
{
    g_autoptr(GArray) scraps = g_array_new(FALSE, TRUE, sizeof(store_scrap));
    g_array_set_clear_func(scraps, (GDestroyNotify)store_scrap_clear);
    for (size_t i = 0; i < json_array_size(list); i++) {
        store_scrap scrap = { 0 };
        if (!app_scrap_requested(self, json_array_get(list, i), &scrap, error))
            return NULL;
        g_array_append_val(scraps, scrap);
    }
    return g_steal_pointer(&scraps);
}

/* A fabric that is not in the book yet, known by the largest of these scraps; or one that
 * is, which is known the better by it. */
static gboolean teach(app *self, store_change *change, const GArray *scraps, bool is_new,
                      int64_t *fabric, GError **error)
{
    const store_scrap *largest = &g_array_index(scraps, store_scrap, 0);
    for (guint i = 1; i < scraps->len; i++)
        if (g_array_index(scraps, store_scrap, i).area > largest->area)
            largest = &g_array_index(scraps, store_scrap, i);
    if (!is_new)
        return *fabric == 0 || largest->colours.count == 0 ||
               store_signature_add(change, *fabric, &largest->colours,
                                   largest->value < 0 ? COLOUR_MEDIUM
                                                      : (colour_value)largest->value,
                                   error);
    g_autoptr(GArray) references = app_scrap_references(self, error);
    g_auto(app_reading) reading = { 0 };
    if (references == NULL ||
        !app_outline_reading(self, largest->photo, store_outline_view(largest->outline),
                             references, &reading, error))
        return FALSE;
    if (reading.colours.count == 0) {
        reading.colours = largest->colours;
        reading.value = largest->value < 0 ? COLOUR_MEDIUM : (colour_value)largest->value;
    }
    return app_fabric_learn(change, &reading, fabric, error);
}

static gboolean say(app *self, const GArray *scraps, bool is_new, int64_t fabric,
                    const char *what, GError **error)
{
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !teach(self, change, scraps, is_new, &fabric, error))
        return FALSE;
    for (guint i = 0; i < scraps->len; i++) {
        const store_scrap *scrap = &g_array_index(scraps, store_scrap, i);
        if (!store_scrap_say(change, scrap->id, fabric, scrap->source, error))
            return FALSE;
    }
    return store_change_commit(change, error);
}

/* "new", or one of the book's. */
static gboolean read_fabric(app *self, const app_call *call, bool *ret_new,
                            int64_t *ret_fabric, GError **error)
{
    const char *word = app_request_text(call, "fabric");
    *ret_new = word != NULL && strcmp(word, "new") == 0;
    *ret_fabric = 0;
    return *ret_new || app_fabric_requested(self, call, "fabric", ret_fabric, error);
}

static json_t *scraps_document(app *self, const app_call *call, const GArray *scraps,
                               GError **error)
{
    app_cutting cutting;
    g_autoptr(GArray) references = app_scrap_references(self, error);
    g_autoptr(json_t) list = json_array();
    if (references == NULL || !app_counting_requested(self, call, &cutting, error))
        return NULL;
    for (guint i = 0; i < scraps->len; i++) {
        g_auto(store_scrap) now = { 0 };
        if (!store_scrap_get(self->book, g_array_index(scraps, store_scrap, i).id, &now,
                             error))
            return NULL;
        json_t *document =
            app_scrap_document_kept(self, &now, references, &cutting.plan, error);
        if (document == NULL)
            return NULL;
        json_array_append_new(list, document);
    }
    return g_steal_pointer(&list);
}

/* Which fabric a scrap is: one of the book's, or "new" for one that isn't there yet. */
gboolean app_do_scrap_say(app *self, const app_call *call, json_t **ret_document,
                          GError **error)
{
    bool is_new;
    int64_t fabric;
    g_autoptr(json_t) one = json_array();
    json_array_append(one, json_object_get(call->request, "scrap"));
    if (json_array_size(one) == 0)
        json_array_append_new(one, json_null());
    g_autoptr(GArray) scraps = scraps_requested(self, one, error);
    if (scraps == NULL || !read_fabric(self, call, &is_new, &fabric, error))
        return FALSE;
    g_autofree char *what = g_strdup_printf("Said the fabric of scrap %d",
                                            g_array_index(scraps, store_scrap, 0).number);
    if (!say(self, scraps, is_new, fabric, what, error))
        return FALSE;
    g_autoptr(json_t) list = scraps_document(self, call, scraps, error);
    if (list == NULL)
        return FALSE;
    *ret_document = json_incref(json_array_get(list, 0));
    return TRUE;
}

/* "These are one fabric": the one that is named, else the one that most of them are
 * already, else a new one. */
gboolean app_do_scraps_same(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    bool is_new;
    int64_t fabric;
    g_autoptr(json_t) listed = app_request_list(call, "scraps");
    if (app_book(self, error) == NULL)
        return FALSE;
    if (json_array_size(listed) == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "\"scraps\" is missing.");
        return FALSE;
    }
    g_autoptr(GArray) scraps = scraps_requested(self, listed, error);
    if (scraps == NULL || !read_fabric(self, call, &is_new, &fabric, error))
        return FALSE;
    int most = 0;
    for (guint i = 0; !app_request_has(call, "fabric") && i < scraps->len; i++) {
        int64_t candidate = g_array_index(scraps, store_scrap, i).fabric;
        int count = 0;
        for (guint k = 0; k < scraps->len; k++)
            count += g_array_index(scraps, store_scrap, k).fabric == candidate;
        if (candidate != 0 && count > most) {
            most = count;
            fabric = candidate;
        }
    }
    is_new |= fabric == 0;
    g_autofree char *count = app_document_count(scraps->len, "scrap");
    g_autofree char *what = g_strdup_printf("Said that %s are one fabric", count);
    if (!say(self, scraps, is_new, fabric,
             scraps->len == 1 ? "Said the fabric of a scrap" : what, error))
        return FALSE;
    json_t *list = scraps_document(self, call, scraps, error);
    if (list == NULL)
        return FALSE;
    *ret_document = json_pack("{s:o}", "scraps", list);
    return TRUE;
}

/* Two fabrics of the book are one; without `as` that is taken back. */
gboolean app_do_fabric_same(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    int64_t fabric, as;
    if (app_book(self, error) == NULL ||
        !app_fabric_requested(self, call, "fabric", &fabric, error) ||
        !app_fabric_requested(self, call, "as", &as, error))
        return FALSE;
    if (fabric == 0 || fabric == as) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                            fabric == 0 ? "\"fabric\" is missing."
                                        : "as: that is the same fabric already.");
        return FALSE;
    }
    g_autoptr(store_change) change =
        store_change_begin(self->book,
                           as != 0 ? "Said that two fabrics are one"
                                   : "Said that a fabric is one of its own",
                           error);
    if (change == NULL || !store_fabric_same(change, fabric, as, error) ||
        !store_change_commit(change, error))
        return FALSE;
    g_autoptr(json_t) request =
        json_pack("{s:I}", "fabric", (json_int_t)(as != 0 ? as : fabric));
    const app_call shown = { .request = request };
    return app_do_fabric(self, &shown, ret_document, error);
}

/* Whether a scrap was counted in another photo already (`of`), or is one of its own. */
gboolean app_do_scrap_again(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    g_auto(store_scrap) other = { 0 };
    g_autoptr(json_t) one = json_array();
    json_array_append(one, json_object_get(call->request, "scrap"));
    g_autoptr(GArray) scraps = scraps_requested(self, one, error);
    if (scraps == NULL)
        return FALSE;
    if (scraps->len == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "\"scrap\" is missing.");
        return FALSE;
    }
    const store_scrap *scrap = &g_array_index(scraps, store_scrap, 0);
    bool again = app_request_has(call, "of");
    if (again &&
        !app_scrap_requested(self, json_object_get(call->request, "of"), &other, error))
        return FALSE;
    if (again && (other.id == scrap->id || other.again_of == scrap->id)) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                            "of: that is this scrap itself.");
        return FALSE;
    }
    g_autofree char *what =
        again ? g_strdup_printf("Said that scrap %d was counted before", scrap->number)
              : g_strdup_printf("Said that scrap %d is one of its own", scrap->number);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !store_scrap_again(change, scrap->id, other.id, true, error) ||
        !store_change_commit(change, error))
        return FALSE;
    g_autoptr(json_t) list = scraps_document(self, call, scraps, error);
    if (list == NULL)
        return FALSE;
    *ret_document = json_incref(json_array_get(list, 0));
    return TRUE;
}

/* She has looked where something was unsure: it is a scrap as it stands, or nothing lies
 * there. A scrap that is none is taken away by scrap.remove. */
gboolean app_do_photo_settle(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    int64_t which = -1;
    g_auto(store_photo) photo = { 0 };
    g_autoptr(GArray) scraps = NULL;
    app_cutting cutting;
    if (!app_photo_requested(self, call, &photo, error) ||
        !app_request_int(call, "remark", 0, 10000, &which, error) ||
        !app_counting_requested(self, call, &cutting, error) ||
        !store_scrap_of_photo(self->book, photo.id, &scraps, error))
        return FALSE;
    g_autoptr(json_t) remarks = all_remarks(&photo);
    json_t *remark = json_array_get(remarks, (size_t)MAX(which, 0));
    if (which < 0 || remark == NULL) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                            "remark: the photo has no such question.");
        return FALSE;
    }
    json_object_set_new(remark, "settled", json_true());
    const json_t *number = json_object_get(remark, "number");
    const store_scrap *scrap =
        number == NULL ? NULL : scrap_numbered(scraps, json_integer_value(number));
    g_autofree char *text = json_dumps(remarks, JSON_COMPACT);
    g_autofree char *what =
        scrap == NULL ? g_strdup("Looked where something might have lain")
                      : g_strdup_printf("Said that %d is a scrap", scrap->number);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !store_photo_set_warnings(change, photo.id, text, error) ||
        (scrap != NULL && !store_scrap_set_sure(change, scrap->id, 1, error)) ||
        !store_change_commit(change, error))
        return FALSE;
    *ret_document = app_photo_document(self, photo.id, &cutting.plan, error);
    return *ret_document != NULL;
}
