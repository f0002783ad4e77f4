/* The basket: what is in it, and squares put in, taken out and counted again. */
#include "fabric-internal.h"

#include "store/basket.h"

#include <math.h>
#include <string.h>

static json_t *units_document(app *self, int64_t *ret_squares, GError **error)
{
    g_autoptr(GArray) units = NULL;
    if (!store_basket_units(self->book, &units, error))
        return NULL;
    json_t *list = json_array();
    *ret_squares = 0;
    for (guint i = 0; i < units->len; i++) {
        const store_unit_total *unit = &g_array_index(units, store_unit_total, i);
        *ret_squares += unit->squares;
        json_array_append_new(list, json_pack("{s:o, s:I, s:b}", "unit_in",
                                              app_document_inches(unit->unit), "squares",
                                              (json_int_t)unit->squares, "exact",
                                              unit->estimated == 0));
    }
    return list;
}

static void add_share(json_t *row, const store_share *share, int64_t squares)
{
    int64_t mine = share->known + share->inferred;
    json_object_set_new(row, "squares", json_integer(mine));
    json_object_set_new(row, "exact", json_boolean(share->inferred == 0));
    json_object_set_new(row, "share",
                        json_real(squares == 0 ? 0 : (double)mine / (double)squares));
}

static json_t *fabrics_document(app *self, int64_t squares, GError **error)
{
    g_autoptr(GArray) shares = NULL;
    if (!store_basket_fabrics(self->book, 0, &shares, error))
        return NULL;
    g_autoptr(GArray) looks = app_looks_of_basket(self, error);
    if (looks == NULL)
        return NULL;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < shares->len; i++) {
        const store_share *share = &g_array_index(shares, store_share, i);
        g_auto(app_look) look = { 0 };
        if (!app_look_among(self, looks, share->id, &look, error))
            return NULL;
        json_t *row = app_fabric_document(&look);
        add_share(row, share, squares);
        json_array_append_new(list, row);
    }
    return g_steal_pointer(&list);
}

static json_t *sources_document(app *self, const GArray *sources, int64_t squares,
                                GError **error)
{
    g_autoptr(GArray) shares = NULL;
    if (!store_basket_sources(self->book, 0, &shares, error))
        return NULL;
    json_t *list = json_array();
    for (guint i = 0; i < shares->len; i++) {
        const store_share *share = &g_array_index(shares, store_share, i);
        g_autofree char *name = app_source_name(sources, share->id);
        json_t *row =
            json_pack("{s:o, s:s?}", "id", app_document_id(share->id), "source", name);
        add_share(row, share, squares);
        json_array_append_new(list, row);
    }
    return list;
}

static json_t *values_document(app *self, int64_t squares, GError **error)
{
    g_autoptr(GArray) shares = NULL;
    if (!store_basket_values(self->book, 0, &shares, error))
        return NULL;
    json_t *list = json_array();
    for (guint i = 0; i < shares->len; i++) {
        const store_share *share = &g_array_index(shares, store_share, i);
        json_t *row = json_pack("{s:o}", "value", app_document_value((int)share->id));
        add_share(row, share, squares);
        json_array_append_new(list, row);
    }
    return list;
}

/* The source that most of a layer came from isn't kept with it: a layer is a moment. */
static json_t *layers_document(app *self, GError **error)
{
    g_autoptr(GArray) layers = NULL;
    if (!store_basket_layers(self->book, 0, &layers, error))
        return NULL;
    json_t *list = json_array();
    for (guint i = 0; i < layers->len; i++) {
        const store_layer_total *layer = &g_array_index(layers, store_layer_total, i);
        json_array_append_new(
            list, json_pack("{s:I, s:o, s:o, s:I, s:I, s:b}", "layer",
                            (json_int_t)layer->layer, "at", app_document_time(layer->at),
                            "unit_in", app_document_inches(layer->unit), "squares",
                            (json_int_t)layer->left, "put_in", (json_int_t)layer->put_in,
                            "exact", layer->inferred == 0));
    }
    return list;
}

gboolean app_do_basket(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    (void)call;
    int64_t squares;
    g_autoptr(GArray) sources = NULL;
    if (app_book(self, error) == NULL)
        return FALSE;
    g_autoptr(store_reading) reading = store_reading_begin(self->book, error);
    if (reading == NULL || !store_source_list(self->book, &sources, error))
        return FALSE;
    g_autoptr(json_t) units = units_document(self, &squares, error);
    g_autoptr(json_t) fabrics =
        units == NULL ? NULL : fabrics_document(self, squares, error);
    g_autoptr(json_t) by_source =
        fabrics == NULL ? NULL : sources_document(self, sources, squares, error);
    g_autoptr(json_t) values =
        by_source == NULL ? NULL : values_document(self, squares, error);
    g_autoptr(json_t) layers = values == NULL ? NULL : layers_document(self, error);
    if (layers == NULL)
        return FALSE;
    *ret_document = json_pack("{s:I, s:O, s:O, s:O, s:O, s:O}", "squares",
                              (json_int_t)squares, "units", units, "fabrics", fabrics,
                              "sources", by_source, "values", values, "layers", layers);
    return TRUE;
}

/* Of a source, also where nothing of it is left. */
static store_share share_of(const GArray *shares, int64_t source)
{
    for (guint i = 0; i < shares->len; i++)
        if (g_array_index(shares, store_share, i).id == source)
            return g_array_index(shares, store_share, i);
    return (store_share){ .id = source };
}

static int newest_first(gconstpointer a, gconstpointer b)
{
    const store_source *one = a, *other = b;
    return (one->id < other->id) - (one->id > other->id);
}

/* The basket without its fabrics and layers, which a maker of decades has by the
 * thousand. */
gboolean app_do_sources(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    (void)call;
    int64_t squares;
    g_autoptr(GArray) sources = NULL, shares = NULL;
    if (app_book(self, error) == NULL)
        return FALSE;
    g_autoptr(store_reading) reading = store_reading_begin(self->book, error);
    if (reading == NULL || !store_source_list(self->book, &sources, error) ||
        !store_basket_sources(self->book, 0, &shares, error))
        return FALSE;
    g_autoptr(json_t) units = units_document(self, &squares, error);
    if (units == NULL)
        return FALSE;
    g_array_sort(sources, newest_first);
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < sources->len; i++) {
        const store_source *source = &g_array_index(sources, store_source, i);
        store_share share = share_of(shares, source->id);
        json_t *row =
            json_pack("{s:I, s:s}", "id", (json_int_t)source->id, "source", source->name);
        add_share(row, &share, squares);
        json_array_append_new(list, row);
    }
    *ret_document = json_pack("{s:I, s:O, s:O}", "squares", (json_int_t)squares, "units",
                              units, "sources", list);
    return TRUE;
}

/* What the three changes by hand ask alike. */
typedef struct hand_entry {
    int64_t count, fabric;
    length unit;
    const char *source;
} hand_entry;

static gboolean hand_read(app *self, const app_call *call, int64_t least,
                          hand_entry *ret_hand, GError **error)
{
    app_settings settings;
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error))
        return FALSE;
    hand_entry hand = { .count = -1,
                        .unit = settings.unit,
                        .source = app_request_text(call, "source") };
    if (!app_request_int(call, "count", least, 1000000, &hand.count, error) ||
        !app_request_length(call, "unit", settings.bare, &hand.unit, error) ||
        !app_fabric_requested(self, call, "fabric", &hand.fabric, error))
        return FALSE;
    if (hand.count < 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "\"count\" is missing.");
        return FALSE;
    }
    *ret_hand = hand;
    return TRUE;
}

gboolean app_do_basket_add(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    hand_entry hand;
    if (!hand_read(self, call, 1, &hand, error))
        return FALSE;
    g_autofree char *count = app_document_count(hand.count, "square");
    g_autofree char *what = g_strdup_printf("Put %s into the basket", count);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    store_ledger_row row = { .unit = hand.unit,
                             .fabric = hand.fabric,
                             .count = (int)hand.count,
                             .how = STORE_ADDED,
                             .fabric_known = true,
                             .counted = true };
    if (change == NULL || !app_source_made(change, hand.source, &row.source, error) ||
        !store_layer_add(change, &row.layer, error) ||
        !store_ledger_append(change, &row, NULL, error) ||
        !store_change_commit(change, error))
        return FALSE;
    return app_do_basket(self, call, ret_document, error);
}

gboolean app_do_basket_take(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    hand_entry hand;
    if (!hand_read(self, call, 1, &hand, error))
        return FALSE;
    g_autofree char *count = app_document_count(hand.count, "square");
    g_autofree char *what = g_strdup_printf("Took %s out of the basket", count);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    store_take take = { .unit = hand.unit,
                        .count = (int)hand.count,
                        .fabric = hand.fabric,
                        .fabric_known = hand.fabric != 0,
                        .how = STORE_TAKEN };
    int taken;
    if (change == NULL)
        return FALSE;
    if (hand.source != NULL &&
        !store_source_find(self->book, hand.source, &take.source, error))
        return FALSE;
    if (!store_basket_take(change, &take, &taken, error))
        return FALSE;
    if (taken < hand.count) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_BASKET_SHORT,
                    "There are %d such squares in the basket, not %" PRId64 ".", taken,
                    hand.count);
        return FALSE;
    }
    if (!store_change_commit(change, error))
        return FALSE;
    return app_do_basket(self, call, ret_document, error);
}

gboolean app_do_basket_correct(app *self, const app_call *call, json_t **ret_document,
                               GError **error)
{
    hand_entry hand;
    if (!hand_read(self, call, 0, &hand, error))
        return FALSE;
    g_autofree char *what = g_strdup_printf("Counted the basket: %" PRId64, hand.count);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL ||
        !store_basket_correct(change, hand.unit, (int)hand.count, true, NULL, error) ||
        !store_change_commit(change, error))
        return FALSE;
    return app_do_basket(self, call, ret_document, error);
}

/* A weight as it was written, in any unit of weight: its last figure tells how fine the
 * balance is. */
static gboolean read_weight(const app_call *call, const char *field, double *ret_weight,
                            double *ret_fineness, GError **error)
{
    char number[32];
    const json_t *value = json_object_get(call->request, field);
    const char *text = json_string_value(value);
    if (json_is_number(value)) {
        g_ascii_formatd(number, sizeof number, "%.6g", json_number_value(value));
        text = number;
    }
    char *end = NULL;
    double weight = text == NULL ? 0 : g_ascii_strtod(text, &end);
    if (text == NULL || end == text || *end != '\0' || !(weight > 0 && weight < 1e9)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "%s: \"%.40s\" is no weight above zero.", field,
                    text == NULL ? "" : text);
        return FALSE;
    }
    const char *point = strchr(text, '.');
    *ret_weight = weight;
    *ret_fineness = point == NULL ? 1 : pow(10, -(double)strlen(point + 1));
    return TRUE;
}

/* How far the mean weight of a handful of squares strays from that of the pile: cloths
 * differ by about a tenth (our guess, to be replaced when weighed piles were counted). */
#define CLOTH_SPREAD 0.10

/* Weighing instead of counting: n squares, then the pile, on the same balance. */
gboolean app_do_basket_weigh(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    app_settings settings;
    int64_t sample = 20;
    double one, pile, fine_one, fine_pile;
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error) ||
        !app_request_int(call, "sample", 1, 1000, &sample, error) ||
        !read_weight(call, "sample_weight", &one, &fine_one, error) ||
        !read_weight(call, "pile_weight", &pile, &fine_pile, error))
        return FALSE;
    length unit = settings.unit;
    if (!app_request_length(call, "unit", settings.bare, &unit, error))
        return FALSE;
    double count = pile * (double)sample / one;
    if (count > 1e6) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                            "pile_weight: that is over a million squares.");
        return FALSE;
    }
    /* Rounding is even over a step (a twelfth of its square); the parts add as
     * squares. 1.28 standard deviations each way leave a tenth of the chances on either
     * side. */
    double relative = sqrt((fine_one * fine_one / 12) / (one * one) +
                           (fine_pile * fine_pile / 12) / (pile * pile) +
                           CLOTH_SPREAD * CLOTH_SPREAD / (double)sample);
    int squares = (int)(count + 0.5);
    g_autofree char *what = g_strdup_printf("Weighed the basket: about %d", squares);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL ||
        !store_basket_correct(change, unit, squares, false, NULL, error) ||
        !store_change_commit(change, error) ||
        !app_do_basket(self, call, ret_document, error))
        return FALSE;
    json_object_set_new(*ret_document, "weighed",
                        json_pack("{s:i, s:i, s:i}", "squares", squares, "low",
                                  (int)floor(count * (1 - 1.28 * relative)), "high",
                                  (int)ceil(count * (1 + 1.28 * relative))));
    return TRUE;
}
