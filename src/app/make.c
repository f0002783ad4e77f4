/* Making blocks: the next one from the basket, and crossing off what was made. */
#include "buying-internal.h"
#include "fabric-internal.h"
#include "laid-internal.h"

#include "plan/compose.h"
#include "store/basket.h"

#include <stdlib.h>
#include <string.h>

/* How alike a corner of two patches weighs beside a whole seam: makers allow like fabrics
 * to touch at a corner (common practice), so little. */
#define CORNER_WEIGHT 0.15

enum {
    REACH_SQUARES = 80, /* near the top of the basket: what her hand reaches */
    OTHERS = 5,
    NEXT_MAX = 100,
};

/* What lies within reach, ready for composing. */
typedef struct within_reach {
    int count;
    app_look *looks;
    int *squares;
    double *alike, *fits;
} within_reach;

static void within_reach_clear(within_reach *reach)
{
    for (int i = 0; i < reach->count; i++)
        app_look_clear(&reach->looks[i]);
    g_clear_pointer(&reach->looks, g_free);
    g_clear_pointer(&reach->squares, g_free);
    g_clear_pointer(&reach->alike, g_free);
    g_clear_pointer(&reach->fits, g_free);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(within_reach, within_reach_clear)

static int index_of(const within_reach *reach, int64_t fabric)
{
    for (int i = 0; i < reach->count; i++)
        if (reach->looks[i].fabric == fabric)
            return i;
    return -1;
}

/* How well a value plays a role: lights want light, darks dark; a medium will do. */
static double fit_of(int value, int role)
{
    if (role == QUILT_LIGHT)
        return value == COLOUR_LIGHT ? 1 : value == COLOUR_DARK ? 0 : 0.5;
    if (role == QUILT_DARK)
        return value == COLOUR_DARK ? 1 : value == COLOUR_LIGHT ? 0 : 0.5;
    return 1;
}

/* A square that is like the background would be lost in it: what is alike by half or more
 * fits the less, down to nothing for the same cloth. */
static double contrast_with(app *self, const app_look *look, const app_look *background)
{
    if (background->fabric == 0 || look->colours.count == 0)
        return 1;
    double alike = app_fabric_alike(self, look, background);
    return alike <= 0.5 ? 1 : 2 * (1 - alike);
}

static void fill_tables(app *self, const app_look *background, within_reach *reach)
{
    int n = reach->count;
    reach->alike = g_new(double, (gsize)(n * n));
    reach->fits = g_new(double, (gsize)(n * QUILT_ROLES));
    for (int a = 0; a < n; a++) {
        for (int b = 0; b <= a; b++)
            reach->alike[a * n + b] = reach->alike[b * n + a] =
                app_fabric_alike(self, &reach->looks[a], &reach->looks[b]);
        double contrast = contrast_with(self, &reach->looks[a], background);
        for (int role = 0; role < QUILT_ROLES; role++)
            reach->fits[a * QUILT_ROLES + role] =
                contrast * fit_of(reach->looks[a].value, role);
    }
}

/* Takes in the top of the basket, at least so many squares where there are so many. */
static gboolean reach_in(app *self, length unit, int64_t squares,
                         const app_look *background, within_reach *ret_reach,
                         GError **error)
{
    g_autoptr(GArray) heaps = NULL;
    if (!store_basket_top(self->book, unit, squares, &heaps, error))
        return FALSE;
    g_auto(within_reach) reach = { .looks = g_new0(app_look, heaps->len + 1),
                                   .squares = g_new0(int, heaps->len + 1) };
    for (guint i = 0; i < heaps->len; i++) {
        const store_heap *heap = &g_array_index(heaps, store_heap, i);
        int at = index_of(&reach, heap->fabric);
        if (at < 0) {
            at = reach.count;
            if (!app_look_get(self, heap->fabric, &reach.looks[at], error))
                return FALSE;
            reach.count++;
        }
        reach.squares[at] += heap->left;
    }
    fill_tables(self, background, &reach);
    *ret_reach = reach;
    reach = (within_reach){ 0 };
    return TRUE;
}

static json_t *look_document(const app_look *look)
{
    return json_pack("{s:o, s:s, s:o}", "fabric", app_document_id(look->fabric), "name",
                     look->name, "srgb",
                     look->colours.count > 0 ? app_document_srgb(&look->colours.lab[0])
                                             : json_null());
}

static json_t *site_document(const plan_block *block, const plan_reach *plan,
                             const within_reach *reach, const int *fabric, int site)
{
    int others[OTHERS];
    json_t *document = fabric[site] < 0
                           ? json_pack("{s:n, s:s, s:n}", "fabric", "name", "", "srgb")
                           : look_document(&reach->looks[fabric[site]]);
    json_object_set_new(document, "role",
                        json_string(quilt_role_name((quilt_role)block->site[site].role)));
    json_t *list = json_array();
    int count = fabric[site] < 0
                    ? 0
                    : plan_compose_others(block, plan, fabric, site, OTHERS, others);
    for (int i = 0; i < count; i++)
        json_array_append_new(list, look_document(&reach->looks[others[i]]));
    json_object_set_new(document, "alternatives", list);
    return document;
}

/* Patches row by row as the block lies; the second triangle of a patch stands in "other".
 */
static json_t *composed_patches(const quilt_block *laid_down, const plan_block *block,
                                const plan_reach *plan, const within_reach *reach,
                                const int *fabric)
{
    static const char *const splits[] = { "whole", "rising", "falling" };
    json_t *rows = json_array();
    int site = 0;
    for (int r = 0; r < laid_down->side; r++) {
        json_t *line = json_array();
        for (int c = 0; c < laid_down->side; c++) {
            const quilt_patch *patch = &laid_down->patches[r * laid_down->side + c];
            json_t *document = site_document(block, plan, reach, fabric, site++);
            json_object_set_new(document, "split", json_string(splits[patch->split]));
            if (patch->split != QUILT_WHOLE)
                json_object_set_new(document, "other",
                                    site_document(block, plan, reach, fabric, site++));
            json_array_append_new(line, document);
        }
        json_array_append_new(rows, line);
    }
    return rows;
}

/* Composes one block and takes its squares out of the reach, so that the next block of
 * the same day finds the rest. */
static json_t *compose_one(const app_laid *laid, int place, within_reach *reach,
                           uint64_t seed, GError **error)
{
    const quilt_place *where = &laid->layout.places[place];
    quilt_block turned = quilt_block_turn(app_laid_block(laid, where->kind), where->turn);
    g_autofree plan_block *block = g_new(plan_block, 1);
    plan_block_make(&turned, CORNER_WEIGHT, block);
    plan_reach plan = { reach->count, reach->squares, reach->alike, reach->fits };
    plan_compose_wish wish = { .seed = seed };
    int fabric[PLAN_SITES_MAX];
    double alike_most;
    int lacking = plan_compose(block, &plan, &wish, fabric, &alike_most);
    if (lacking > 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_BASKET_SHORT,
                    "The basket is %d squares short of this block.", lacking);
        return NULL;
    }
    int row, col;
    app_laid_place_at(laid, place, &row, &col);
    json_t *patches = composed_patches(&turned, block, &plan, reach, fabric);
    for (int s = 0; s < block->sites; s++)
        if (fabric[s] >= 0)
            reach->squares[fabric[s]]--;
    return json_pack("{s:s, s:i, s:[i, i], s:o, s:f}", "kind",
                     app_laid_block(laid, where->kind)->name, "turn", where->turn,
                     "place", row, col, "patches", patches, "alike_most", alike_most);
}

gboolean app_do_next(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    int64_t count = 1, seed = 0;
    int made_count;
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    g_auto(within_reach) reach = { 0 };
    g_auto(app_chosen) chosen = { 0 };
    if (!app_request_int(call, "count", 1, NEXT_MAX, &count, error) ||
        !app_request_int(call, "seed", 0, INT64_MAX, &seed, error) ||
        !app_quilt_requested(self, call, &quilt, error) ||
        !app_laid_from_quilt(&quilt, &laid, error) ||
        !app_chosen_get(self, quilt.id, &chosen, error))
        return FALSE;
    const app_look *background = &chosen.look[QUILT_BACKGROUND];
    g_autofree int64_t *made =
        app_quilt_made_at(self, &laid, quilt.id, &made_count, error);
    int64_t need = count * laid.frame.side * laid.frame.side;
    if (made == NULL || !reach_in(self, quilt.unit, MAX(REACH_SQUARES, 3 * need),
                                  background, &reach, error))
        return FALSE;

    g_autoptr(json_t) blocks = json_array();
    for (int place = 0; place < laid.layout.count; place++) {
        if (made[place] != 0 || (int64_t)json_array_size(blocks) == count)
            continue;
        /* Blocks differ by place and by what lies on top, so that asking again tomorrow
         * for another place gives another block, and the same question the same answer.
         */
        uint64_t own =
            (uint64_t)seed * 1000003u + (uint64_t)place * 7919u + (uint64_t)quilt.id;
        json_t *block = compose_one(&laid, place, &reach, own, error);
        if (block == NULL)
            return FALSE;
        json_array_append_new(blocks, block);
    }
    if (json_array_size(blocks) == 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_QUILT_DONE,
                    "All blocks of %s are made.", quilt.name);
        return FALSE;
    }
    *ret_document = json_pack("{s:s, s:O}", "quilt", quilt.name, "blocks", blocks);
    return TRUE;
}

/* "3,4" or [3, 4]. */
static gboolean read_place(const json_t *item, const app_laid *laid, int *ret_place,
                           GError **error)
{
    long row = 0, col = 0;
    if (json_array_size(item) == 2) {
        row = (long)json_integer_value(json_array_get(item, 0));
        col = (long)json_integer_value(json_array_get(item, 1));
    } else if (json_is_string(item)) {
        char *end;
        row = strtol(json_string_value(item), &end, 10);
        col = *end == ',' ? strtol(end + 1, &end, 10) : 0;
        if (*end != '\0')
            col = 0;
    }
    int place = row > 100000 || col > 100000
                    ? -1
                    : app_laid_place_index(laid, (int)row, (int)col);
    if (place < 0) {
        g_autofree char *text = json_dumps(item, JSON_ENCODE_ANY);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_PLACE,
                    "The quilt has no place %.40s: it has %d rows of %d.", text,
                    laid->layout.rows, laid->layout.across);
        return FALSE;
    }
    *ret_place = place;
    return TRUE;
}

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
        if (!read_place(json_array_get(asked, i), laid, &place, error))
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
