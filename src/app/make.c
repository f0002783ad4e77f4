/* Crossing off what was made. */
#include "laid-internal.h"

#include "store/basket.h"

#include <string.h>

/* Whether a request is for one place given as [row, col] and not for a list of places. */
static json_t *places_asked(const app_call *call)
{
    json_t *place = json_object_get(call->request, "place");
    if (json_array_size(place) == 2 && json_is_integer(json_array_get(place, 0)))
        return json_pack("[O]", place);
    return app_request_has(call, "place") ? app_request_list(call, "place")
                                          : app_request_list(call, "places");
}

static gboolean add_open_of_kind(const app_call *call, const app_laid *laid,
                                 const int64_t *made, GArray *places, GError **error)
{
    const char *kind = app_request_text(call, "kind");
    int64_t count = 1;
    if (kind == NULL || !app_request_int(call, "count", 1, 1000000, &count, error)) {
        if (kind == NULL)
            g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                                "Which? place, or kind with count, is missing.");
        return FALSE;
    }
    bool known = false;
    for (int i = 0; i < laid->layout.count; i++) {
        if (strcmp(app_laid_block(laid, laid->layout.places[i].kind)->name, kind) != 0)
            continue;
        known = true;
        if (made[i] == 0 && (int64_t)places->len < count)
            g_array_append_val(places, i);
    }
    if (!known || (int64_t)places->len < count) {
        g_set_error(error, MOTLEY_ERROR,
                    known ? MOTLEY_ERROR_APP_PLACE_MADE : MOTLEY_ERROR_APP_NO_KIND,
                    known ? "Only %u places for \"%.40s\" are open."
                          : "There are %u blocks of a kind \"%.40s\" in this quilt.",
                    places->len, kind);
        return FALSE;
    }
    return TRUE;
}

/* The places that a request means, each once. */
static GArray *places_requested(const app_call *call, const app_laid *laid,
                                const int64_t *made, GError **error)
{
    g_autoptr(GArray) places = g_array_new(FALSE, FALSE, sizeof(int));
    g_autoptr(json_t) asked = places_asked(call);
    if (json_array_size(asked) == 0)
        return add_open_of_kind(call, laid, made, places, error)
                   ? g_steal_pointer(&places)
                   : NULL;
    for (size_t i = 0; i < json_array_size(asked); i++) {
        int place;
        if (!app_laid_place_read(json_array_get(asked, i), laid, &place, error))
            return NULL;
        bool again = false;
        for (guint k = 0; k < places->len; k++)
            again |= g_array_index(places, int, k) == place;
        if (!again)
            g_array_append_val(places, place);
    }
    return g_steal_pointer(&places);
}

/* Fabrics that she says she sewed, in reading order as the block lies: taken as known. */
static gboolean take_said(store_change *change, const app_call *call, int64_t block,
                          const quilt_block *laid_down, length unit, int *taken,
                          GError **error)
{
    json_t *said = json_object_get(call->request, "patches");
    int side = laid_down->side;
    for (int p = 0; p < side * side && p < (int)json_array_size(said); p++) {
        int64_t fabric;
        json_t *item = json_array_get(said, (size_t)p);
        const quilt_patch *patch = &laid_down->patches[p];
        bool from_basket = patch->role[0] == QUILT_SCRAP ||
                           patch->role[0] == QUILT_LIGHT || patch->role[0] == QUILT_DARK;
        if (json_is_null(item) || patch->split != QUILT_WHOLE || !from_basket)
            continue;
        if (!app_request_item_id(item, "patches", &fabric, error))
            return FALSE;
        store_take take = { .unit = unit,
                            .count = 1,
                            .fabric = fabric,
                            .fabric_known = true,
                            .how = STORE_MADE,
                            .block = block };
        int one;
        if (!store_basket_take(change, &take, &one, error))
            return FALSE;
        *taken += one;
    }
    return TRUE;
}

/* Writes down which fabric lies where, turned back to how the design draws the block. */
static gboolean keep_patches(store_change *change, const app_call *call, int64_t block,
                             int side, int turn, GError **error)
{
    json_t *said = json_object_get(call->request, "patches");
    store_patch patches[QUILT_SIDE_MAX * QUILT_SIDE_MAX];
    size_t count = 0;
    for (int p = 0; p < side * side && p < (int)json_array_size(said); p++) {
        int64_t fabric;
        json_t *item = json_array_get(said, (size_t)p);
        if (json_is_null(item))
            continue;
        if (!app_request_item_id(item, "patches", &fabric, error))
            return FALSE;
        int r = p / side, c = p % side;
        for (int t = 0; t < turn; t++) { /* a quarter turn anticlockwise each */
            int was = r;
            r = side - 1 - c;
            c = was;
        }
        patches[count++] = (store_patch){ .block = block,
                                          .place = r * side + c,
                                          .fabric = fabric,
                                          .sure = 1,
                                          .known = true };
    }
    return count == 0 || store_patch_set(change, block, count, patches, error);
}

static gboolean cross_off(store_change *change, const app_call *call,
                          const app_laid *laid, const store_quilt *quilt, int place,
                          int64_t *ret_block, int *short_by, GError **error)
{
    const quilt_place *where = &laid->layout.places[place];
    const quilt_block *kind = app_laid_block(laid, where->kind);
    quilt_block turned = quilt_block_turn(kind, where->turn);
    store_block block = { .quilt = quilt->id,
                          .kind = (char *)kind->name,
                          .turn = where->turn };
    app_laid_place_at(laid, place, &block.row, &block.col);
    int taken = 0;
    if (!store_block_add(change, &block, ret_block, error) ||
        !take_said(change, call, *ret_block, &turned, quilt->unit, &taken, error) ||
        !keep_patches(change, call, *ret_block, kind->side, where->turn, error))
        return FALSE;
    store_take take = { .unit = quilt->unit,
                        .count = app_laid_basket_squares(kind) - taken,
                        .how = STORE_MADE,
                        .block = *ret_block };
    int rest = 0;
    /* A block that is sewn is sewn, whatever the basket thought it held. */
    if (take.count > 0 && !store_basket_take(change, &take, &rest, error))
        return FALSE;
    *short_by += MAX(take.count, 0) - rest;
    return TRUE;
}

static gboolean take_back(store_change *change, int64_t block, GError **error)
{
    return store_basket_put_back(change, block, NULL, error) &&
           store_block_remove(change, block, error);
}

/* "Crossed off row 3, column 4", "Crossed off 12 blocks". */
static char *what_in_words(const app_laid *laid, const GArray *places, bool undo)
{
    const char *verb = undo ? "Took the cross off" : "Crossed off";
    if (places->len != 1)
        return g_strdup_printf("%s %u blocks", verb, places->len);
    int row, col;
    app_laid_place_at(laid, g_array_index(places, int, 0), &row, &col);
    return g_strdup_printf("%s row %d, column %d", verb, row, col);
}

static gboolean refuse_wrong_state(const app_laid *laid, const GArray *places,
                                   const int64_t *made, bool undo, GError **error)
{
    for (guint i = 0; i < places->len; i++) {
        int row, col, place = g_array_index(places, int, i);
        if ((made[place] != 0) == undo)
            continue;
        app_laid_place_at(laid, place, &row, &col);
        g_set_error(error, MOTLEY_ERROR,
                    undo ? MOTLEY_ERROR_APP_PLACE_OPEN : MOTLEY_ERROR_APP_PLACE_MADE,
                    undo ? "Row %d, column %d is not crossed off."
                         : "Row %d, column %d is crossed off already.",
                    row, col);
        return FALSE;
    }
    return TRUE;
}

static json_t *made_document(const app_laid *laid, int place, int64_t block)
{
    int row, col;
    const quilt_place *where = &laid->layout.places[place];
    app_laid_place_at(laid, place, &row, &col);
    return json_pack("{s:I, s:s, s:i, s:[i, i], s:f}", "block", (json_int_t)block, "kind",
                     app_laid_block(laid, where->kind)->name, "turn", where->turn,
                     "place", row, col, "sure", 1.0);
}

gboolean app_do_made(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    if (app_request_has(call, "photos"))
        return app_do_blocks_photo(self, call, ret_document, error);
    bool undo = app_request_flag(call, "undo");
    int count, short_by = 0;
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    if (!app_quilt_requested(self, call, &quilt, error) ||
        !app_laid_from_quilt(&quilt, &laid, error))
        return FALSE;
    if (quilt.closed != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_QUILT_CLOSED, "%s is finished.",
                    quilt.name);
        return FALSE;
    }
    g_autofree int64_t *made = app_quilt_made_at(self, &laid, quilt.id, &count, error);
    g_autoptr(GArray) places =
        made == NULL ? NULL : places_requested(call, &laid, made, error);
    if (places == NULL || !refuse_wrong_state(&laid, places, made, undo, error))
        return FALSE;

    g_autofree char *what = what_in_words(&laid, places, undo);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL)
        return FALSE;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < places->len; i++) {
        int place = g_array_index(places, int, i);
        int64_t block = made[place];
        if (undo ? !take_back(change, block, error)
                 : !cross_off(change, call, &laid, &quilt, place, &block, &short_by,
                              error))
            return FALSE;
        if (!undo)
            json_array_append_new(list, made_document(&laid, place, block));
    }
    if (!store_change_commit(change, error))
        return FALSE;

    int left = laid.layout.count - count + (undo ? (int)places->len : -(int)places->len);
    json_t *document =
        json_pack("{s:s, s:O, s:[], s:[], s:i, s:s}", "quilt", quilt.name, "made", list,
                  "unsure", "again", "left", left, "done", what);
    if (short_by > 0) {
        g_autofree char *squares = app_document_count(short_by, "square");
        g_autofree char *message = g_strdup_printf(
            "The basket had %s fewer than these blocks took: count it when you can.",
            squares);
        json_object_set_new(
            document, "warnings",
            json_pack("[{s:s, s:s}]", "code", "basket.short", "message", message));
    }
    *ret_document = document;
    return TRUE;
}
