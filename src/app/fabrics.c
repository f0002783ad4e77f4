/* Fabrics and sources: how they look, what she says of them, where they went. */
#include "fabric-internal.h"

#include "colour/name.h"
#include "store/basket.h"
#include "store/quilt.h"
#include "store/recent.h"

#include <string.h>

void app_look_clear(app_look *look)
{
    g_clear_pointer(&look->name, g_free);
}

/* A fabric that she hasn't named is called by its colour and number: "dark teal 12". */
static char *name_by_colour(const colour_signature *colours, int64_t fabric)
{
    char name[COLOUR_NAME_SIZE] = "fabric";
    if (colours->count > 0)
        colour_name(&colours->lab[0], name);
    return g_strdup_printf("%s %" PRId64, name, fabric);
}

gboolean app_look_get(app *self, int64_t fabric, app_look *ret_look, GError **error)
{
    if (fabric == 0) {
        *ret_look = (app_look){ .name = g_strdup("any square"), .value = -1 };
        return TRUE;
    }
    g_autoptr(GArray) looks = NULL;
    if (!store_look_get(self->book, 1, &fabric, &looks, error))
        return FALSE;
    *ret_look = app_look_of(&g_array_index(looks, store_look, 0));
    return TRUE;
}

GArray *app_looks_of_basket(app *self, GError **error)
{
    GArray *looks = NULL;
    return store_look_list(self->book, true, &looks, error) ? looks : NULL;
}

app_look app_look_of(const store_look *stored)
{
    return (app_look){ .fabric = stored->fabric,
                       .name = stored->name != NULL
                                   ? g_strdup(stored->name)
                                   : name_by_colour(&stored->colours, stored->fabric),
                       .value = stored->value,
                       .swatch = stored->swatch,
                       .colours = stored->colours };
}

gboolean app_look_among(app *self, const GArray *looks, int64_t fabric,
                        app_look *ret_look, GError **error)
{
    const store_look *look = store_look_find(looks, fabric);
    if (look == NULL)
        return app_look_get(self, fabric, ret_look, error);
    *ret_look = app_look_of(look);
    return TRUE;
}

json_t *app_fabric_document(const app_look *look)
{
    return json_pack("{s:o, s:s, s:o, s:o, s:b}", "fabric", app_document_id(look->fabric),
                     "name", look->name, "value", app_document_value(look->value), "srgb",
                     look->colours.count > 0 ? app_document_srgb(&look->colours.lab[0])
                                             : json_null(),
                     "swatch", look->swatch);
}

gboolean app_fabric_requested(app *self, const app_call *call, const char *field,
                              int64_t *ret_fabric, GError **error)
{
    *ret_fabric = 0;
    const json_t *value = json_object_get(call->request, field);
    if (value == NULL || json_is_null(value))
        return TRUE;
    int64_t id;
    const char *name = json_string_value(value);
    g_autoptr(GError) none = NULL;
    g_auto(store_fabric) fabric = { 0 };
    if (app_request_item_id(value, field, &id, NULL)) {
        if (!store_fabric_get(self->book, id, &fabric, &none))
            goto unknown;
        *ret_fabric = id;
        return TRUE;
    }
    if (name != NULL && store_fabric_find(self->book, name, ret_fabric, &none))
        return TRUE;
unknown:
    if (none != NULL &&
        !g_error_matches(none, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNKNOWN)) {
        g_propagate_error(error, g_steal_pointer(&none));
        return FALSE;
    }
    g_autofree char *text = json_dumps(value, JSON_ENCODE_ANY);
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_FABRIC,
                "There is no fabric %.60s.", text);
    return FALSE;
}

gboolean app_source_made(store_change *change, const char *name, int64_t *ret_source,
                         GError **error)
{
    *ret_source = 0;
    if (name == NULL || *name == '\0')
        return TRUE;
    g_autoptr(GError) none = NULL;
    if (store_source_find(store_change_book(change), name, ret_source, &none))
        return TRUE;
    if (!g_error_matches(none, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNKNOWN)) {
        g_propagate_error(error, g_steal_pointer(&none));
        return FALSE;
    }
    return store_source_add(change, name, STORE_SOURCE_OTHER, NULL, ret_source, error);
}

char *app_source_name(const GArray *sources, int64_t source)
{
    for (guint i = 0; i < sources->len; i++) {
        const store_source *one = &g_array_index(sources, store_source, i);
        if (one->id == source)
            return g_strdup(one->name);
    }
    return NULL;
}

double app_fabric_alike(app *self, const app_look *a, const app_look *b)
{
    if (a->fabric == 0 || b->fabric == 0)
        return 0;
    if (a->fabric == b->fabric)
        return 1;
    if (a->colours.count == 0 || b->colours.count == 0)
        return 0;
    int64_t low = MIN(a->fabric, b->fabric), high = MAX(a->fabric, b->fabric);
    int64_t pair = low << 32 | high;
    g_mutex_lock(&self->alike_lock);
    const double *known = g_hash_table_lookup(self->alikes, &pair);
    double alike = known == NULL ? -1 : *known;
    g_mutex_unlock(&self->alike_lock);
    if (alike >= 0)
        return alike;

    alike = colour_alike(&a->colours, &b->colours);
    g_mutex_lock(&self->alike_lock);
    g_hash_table_replace(self->alikes, g_memdup2(&pair, sizeof pair),
                         g_memdup2(&alike, sizeof alike));
    g_mutex_unlock(&self->alike_lock);
    return alike;
}

/* Colours that hold less of a fabric than this do not name it. */
static const double least_named_share = 0.15;

static bool holds_folded(const char *text, const char *folded)
{
    g_autofree char *here = g_utf8_casefold(text, -1);
    return strstr(here, folded) != NULL;
}

/* A fabric that she has not named is called by its colour and number; the number is
 * looked at only where she typed one. */
static bool is_called(const store_look *look, const char *folded)
{
    if (look->name != NULL)
        return holds_folded(look->name, folded);
    if (strpbrk(folded, "0123456789") != NULL) {
        g_autofree char *name = name_by_colour(&look->colours, look->fabric);
        return strstr(name, folded) != NULL; /* plain small letters already */
    }
    char text[COLOUR_NAME_SIZE];
    const char *name =
        look->colours.count > 0 ? colour_name(&look->colours.lab[0], text) : "fabric";
    return strstr(name, folded) != NULL;
}

/* How much of a fabric is what she looks for: all of it by its name, else the share of
 * colours that are called so. */
static double found_share(const store_look *look, const char *folded)
{
    double share = 0;
    char text[COLOUR_NAME_SIZE];
    if (is_called(look, folded))
        return 1;
    /* The first colour of one without a name was looked at just now. */
    for (int i = look->name == NULL ? 1 : 0; i < look->colours.count; i++)
        if (look->colours.share[i] >= least_named_share &&
            strstr(colour_name(&look->colours.lab[i], text), folded) != NULL)
            share += look->colours.share[i];
    return share;
}

/* A fabric that was found: how much of it is what she looks for. */
typedef struct found_look {
    const store_look *look;
    const store_recent *recent;
    double share;
} found_look;

/* Those that are most so first; of equals those that she had in hand last. */
static int by_share(gconstpointer a, gconstpointer b)
{
    const found_look *one = a, *other = b;
    if (one->share != other->share)
        return one->share < other->share ? 1 : -1;
    return store_recent_order(one->recent, other->recent);
}

/* "Find the teal one": all fabrics of that name or colour; NULL finds each. */
static gboolean find_fabrics(app *self, const char *wanted, bool in_basket, int64_t limit,
                             json_t *list, GError **error)
{
    static const store_recent long_ago = { 0 }; /* came between the two readings */
    g_autofree char *folded = g_utf8_casefold(wanted == NULL ? "" : wanted, -1);
    g_autoptr(GArray) looks = NULL, recent = NULL;
    if (!store_look_list(self->book, in_basket, &looks, error) ||
        !store_recent_list(self->book, &recent, error))
        return FALSE;
    g_autoptr(GArray) all = g_array_new(FALSE, FALSE, sizeof(found_look));
    for (guint i = 0; i < looks->len; i++) {
        found_look one = { .look = &g_array_index(looks, store_look, i) };
        one.share = found_share(one.look, folded);
        if (one.share <= 0)
            continue;
        one.recent = store_recent_find(recent, one.look->fabric);
        if (one.recent == NULL)
            one.recent = &long_ago;
        g_array_append_val(all, one);
    }
    g_array_sort(all, by_share);
    for (guint i = 0; i < all->len && i < (guint)limit; i++) {
        const found_look *one = &g_array_index(all, found_look, i);
        g_auto(app_look) look = app_look_of(one->look);
        json_t *row = app_fabric_document(&look);
        if (wanted != NULL)
            json_object_set_new(row, "found", json_real(one->share));
        json_array_append_new(list, row);
    }
    return TRUE;
}

/* Page by page, by id: whoever wants all of them misses none. */
static gboolean fabrics_after(app *self, int64_t after, int64_t limit, json_t *list,
                              GError **error)
{
    g_autoptr(GArray) fabrics = NULL;
    if (!store_fabric_list(self->book, after, (int)limit, &fabrics, error))
        return FALSE;
    for (guint i = 0; i < fabrics->len; i++) {
        g_auto(app_look) look = { 0 };
        if (!app_look_get(self, g_array_index(fabrics, store_fabric, i).id, &look, error))
            return FALSE;
        json_array_append_new(list, app_fabric_document(&look));
    }
    return TRUE;
}

/* Those that she had in hand last are those that she chooses among. */
static gboolean fabrics_in_hand(app *self, int64_t limit, json_t *list, GError **error)
{
    g_autoptr(GArray) recent = NULL, looks = NULL;
    if (!store_recent_list(self->book, &recent, error))
        return FALSE;
    g_array_sort(recent, store_recent_order);
    int count = (int)MIN(limit, (int64_t)recent->len);
    g_autofree int64_t *fabrics = g_new(int64_t, (gsize)count + 1);
    for (int i = 0; i < count; i++)
        fabrics[i] = g_array_index(recent, store_recent, i).fabric;
    if (!store_look_get(self->book, count, fabrics, &looks, error))
        return FALSE;
    for (guint i = 0; i < looks->len; i++) {
        g_auto(app_look) look = app_look_of(&g_array_index(looks, store_look, i));
        json_array_append_new(list, app_fabric_document(&look));
    }
    return TRUE;
}

gboolean app_do_fabrics(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    int64_t after = 0, limit = 200;
    const char *wanted = app_request_text(call, "find");
    bool in_basket = app_request_flag(call, "basket");
    if (app_book(self, error) == NULL ||
        !app_request_int(call, "after", 0, INT64_MAX, &after, error) ||
        !app_request_int(call, "limit", 1, 1000, &limit, error))
        return FALSE;
    g_autoptr(json_t) list = json_array();
    gboolean done = wanted != NULL || in_basket
                        ? find_fabrics(self, wanted, in_basket, limit, list, error)
                    : json_object_get(call->request, "after") != NULL
                        ? fabrics_after(self, after, limit, list, error)
                        : fabrics_in_hand(self, limit, list, error);
    if (!done)
        return FALSE;
    *ret_document = json_pack("{s:O}", "fabrics", list);
    return TRUE;
}

static gboolean squares_of_fabric(app *self, int64_t fabric, int64_t *ret_squares,
                                  bool *ret_exact, GError **error)
{
    g_autoptr(GArray) shares = NULL;
    if (!store_basket_fabrics(self->book, 0, &shares, error))
        return FALSE;
    *ret_squares = 0;
    *ret_exact = true;
    for (guint i = 0; i < shares->len; i++) {
        const store_share *share = &g_array_index(shares, store_share, i);
        if (share->id == fabric) {
            *ret_squares = share->known + share->inferred;
            *ret_exact = share->inferred == 0;
        }
    }
    return TRUE;
}

static json_t *uses_document(app *self, int64_t fabric, GError **error)
{
    g_autoptr(GArray) uses = NULL;
    if (!store_fabric_uses(self->book, fabric, &uses, error))
        return NULL;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < uses->len; i++) {
        const store_fabric_use *use = &g_array_index(uses, store_fabric_use, i);
        g_auto(store_quilt) quilt = { 0 };
        if (!store_quilt_get(self->book, use->quilt, &quilt, error))
            return NULL;
        json_array_append_new(list,
                              json_pack("{s:s, s:i, s:i}", "quilt", quilt.name, "exact",
                                        use->known, "about", use->inferred));
    }
    return g_steal_pointer(&list);
}

/* In and out, as the ledger has it; reversed rows and what they reverse cancel out there
 * too. */
static json_t *ledger_document(app *self, int64_t fabric, GError **error)
{
    static const char *const how[] = { "cut",       "made",    "added",   "taken",
                                       "corrected", "weighed", "reversed" };
    g_autoptr(GArray) rows = NULL;
    if (!store_ledger_of_fabric(self->book, fabric, &rows, error))
        return NULL;
    json_t *list = json_array();
    for (guint i = 0; i < rows->len; i++) {
        const store_ledger_row *row = &g_array_index(rows, store_ledger_row, i);
        json_array_append_new(list,
                              json_pack("{s:o, s:i, s:s, s:b, s:o}", "at",
                                        app_document_time(row->at), "count", row->count,
                                        "how", how[row->how], "exact", row->fabric_known,
                                        "unit_in", app_document_inches(row->unit)));
    }
    return list;
}

/* What came in, by where it came from; what was reversed cancels out. */
typedef struct came_in {
    int64_t source, squares;
    bool exact;
} came_in;

static int most_first(gconstpointer a, gconstpointer b)
{
    const came_in *one = a, *other = b;
    return (one->squares < other->squares) - (one->squares > other->squares);
}

static void add_came(GArray *came, const store_ledger_row *row)
{
    for (guint i = 0; i < came->len; i++) {
        came_in *one = &g_array_index(came, came_in, i);
        if (one->source == row->source) {
            one->squares += row->count;
            one->exact &= row->counted;
            return;
        }
    }
    const came_in first = { row->source, row->count, row->counted };
    g_array_append_val(came, first);
}

/* Whether a row puts in, or takes such a one back. */
static bool comes_in(const GArray *rows, guint at)
{
    const store_ledger_row *row = &g_array_index(rows, store_ledger_row, at);
    if (row->how != STORE_REVERSED)
        return row->how != STORE_MADE && row->how != STORE_TAKEN && row->count > 0;
    while (at-- > 0)
        if (g_array_index(rows, store_ledger_row, at).id == row->reverses)
            return comes_in(rows, at);
    return false;
}

static json_t *came_document(app *self, int64_t fabric, GError **error)
{
    g_autoptr(GArray) rows = NULL;
    g_autoptr(GArray) sources = NULL;
    g_autoptr(GArray) came = g_array_new(FALSE, FALSE, sizeof(came_in));
    if (!store_ledger_of_fabric(self->book, fabric, &rows, error) ||
        !store_source_list(self->book, &sources, error))
        return NULL;
    for (guint i = 0; i < rows->len; i++)
        if (comes_in(rows, i))
            add_came(came, &g_array_index(rows, store_ledger_row, i));
    g_array_sort(came, most_first);
    json_t *list = json_array();
    for (guint i = 0; i < came->len; i++) {
        const came_in *one = &g_array_index(came, came_in, i);
        g_autofree char *name = app_source_name(sources, one->source);
        if (one->squares > 0)
            json_array_append_new(list, json_pack("{s:s?, s:I, s:b}", "source", name,
                                                  "squares", (json_int_t)one->squares,
                                                  "exact", one->exact));
    }
    return list;
}

gboolean app_do_fabric(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    int64_t id, squares;
    bool exact;
    g_auto(app_look) look = { 0 };
    g_auto(store_fabric) stored = { 0 };
    if (app_book(self, error) == NULL ||
        !app_fabric_requested(self, call, "fabric", &id, error))
        return FALSE;
    if (id == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "\"fabric\" is missing.");
        return FALSE;
    }
    if (!app_look_get(self, id, &look, error) ||
        !store_fabric_get(self->book, id, &stored, error) ||
        !squares_of_fabric(self, id, &squares, &exact, error))
        return FALSE;
    g_autoptr(json_t) uses = uses_document(self, id, error);
    g_autoptr(json_t) ledger = uses == NULL ? NULL : ledger_document(self, id, error);
    json_t *came = ledger == NULL ? NULL : came_document(self, id, error);
    if (came == NULL)
        return FALSE;
    json_t *document = app_fabric_document(&look);
    json_object_set_new(document, "sources", came);
    json_object_set_new(document, "value_said", json_boolean(stored.value_said));
    json_object_set_new(document, "note",
                        stored.note == NULL ? json_null() : json_string(stored.note));
    json_object_set_new(document, "colours", app_document_colours(&look.colours));
    json_object_set_new(document, "squares", json_integer(squares));
    json_object_set_new(document, "exact", json_boolean(exact));
    json_object_set(document, "quilts", uses);
    json_object_set(document, "ledger", ledger);
    *ret_document = document;
    return TRUE;
}

static gboolean read_value(const app_call *call, store_fabric *fabric, GError **error)
{
    static const char *const words[] = { "light", "medium", "dark" };
    const char *said = app_request_text(call, "value");
    if (said == NULL)
        return TRUE;
    if (strcmp(said, "measured") == 0) {
        fabric->value_said = false;
        return TRUE;
    }
    for (int i = 0; i < 3; i++) {
        if (strcmp(words[i], said) == 0) {
            fabric->value = i;
            fabric->value_said = true;
            return TRUE;
        }
    }
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "value: \"%.40s\" is none of light, medium, dark, measured.", said);
    return FALSE;
}

gboolean app_do_fabric_say(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    int64_t id;
    if (app_book(self, error) == NULL ||
        !app_fabric_requested(self, call, "fabric", &id, error))
        return FALSE;
    g_autoptr(store_change) change =
        store_change_begin(self->book, "Said more of a fabric", error);
    g_auto(store_fabric) fabric = { 0 };
    if (change == NULL || !store_fabric_get(self->book, id, &fabric, error) ||
        !read_value(call, &fabric, error))
        return FALSE;
    const char *name = app_request_text(call, "name"),
               *note = app_request_text(call, "note");
    if (app_request_has(call, "name")) {
        g_free(fabric.name);
        fabric.name = g_strdup(name);
    }
    if (app_request_has(call, "note")) {
        g_free(fabric.note);
        fabric.note = g_strdup(note);
    }
    if (!store_fabric_say(change, &fabric, error) || !store_change_commit(change, error))
        return FALSE;
    return app_do_fabric(self, call, ret_document, error);
}
