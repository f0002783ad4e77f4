/* The wall: where the finished blocks of a quilt lie, and moving them by hand. */
#include "wall-internal.h"

#include <string.h>

void app_wall_clear(app_wall *self)
{
    store_quilt_clear(&self->quilt);
    app_laid_clear(&self->laid);
    for (int i = 0; i < self->fabrics; i++)
        app_look_clear(&self->looks[i]);
    g_clear_pointer(&self->looks, g_free);
    g_clear_pointer(&self->block, g_free);
    g_clear_pointer(&self->fabric, g_free);
    g_clear_pointer(&self->at, g_free);
    g_clear_pointer(&self->stranger, g_free);
}

static int halves_of(const app_wall *self)
{
    return 2 * self->laid.frame.side * self->laid.frame.side;
}

const int16_t *app_wall_fabrics(const app_wall *self, int block)
{
    return self->fabric + (size_t)block * (size_t)halves_of(self);
}

int app_wall_find(const app_wall *self, int64_t id)
{
    for (int b = 0; b < self->blocks; b++)
        if (self->block[b].id == id)
            return b;
    return -1;
}

quilt_layout app_wall_turned_layout(const app_wall *wall)
{
    quilt_layout turned = wall->laid.layout;
    turned.places =
        g_memdup2(turned.places, sizeof turned.places[0] * (gsize)turned.count);
    for (int place = 0; place < turned.count; place++)
        if (wall->at[place] >= 0)
            turned.places[place].turn = wall->block[wall->at[place]].turn;
    return turned;
}

int app_wall_turn_step(const app_wall *self, int kind)
{
    return 4 / quilt_block_symmetry(app_laid_block(&self->laid, kind));
}

bool app_wall_fits(const app_wall *self, int block, int place, int turn)
{
    const quilt_place *where = &self->laid.layout.places[place];
    int kind = self->block[block].kind;
    return where->kind == kind &&
           (turn - where->turn + 4) % app_wall_turn_step(self, kind) == 0;
}

/* The kind of that name, of those that the layout has places for; -1: none. */
static int kind_named(const app_wall *self, const char *name)
{
    for (int kind = 0; kind < self->laid.layout.kinds.count; kind++)
        if (self->laid.count.kind_blocks[kind] > 0 &&
            strcmp(app_laid_block(&self->laid, kind)->name, name) == 0)
            return kind;
    return -1;
}

static void take_in_blocks(app_wall *self, const GArray *blocks)
{
    int places = self->laid.layout.count;
    self->block = g_new0(app_wall_block, blocks->len + 1);
    self->stranger = g_new(int64_t, blocks->len + 1);
    self->at = g_new(int, (gsize)places);
    for (int p = 0; p < places; p++)
        self->at[p] = -1;
    for (guint i = 0; i < blocks->len; i++) {
        const store_block *stored = &g_array_index(blocks, store_block, i);
        int kind = kind_named(self, stored->kind);
        if (kind < 0) {
            self->stranger[self->strangers++] = stored->id;
            continue;
        }
        int place = stored->row == 0
                        ? -1
                        : app_laid_place_index(&self->laid, stored->row, stored->col);
        /* Where the design has changed under a block, it lies nowhere. */
        if (place >= 0 && self->laid.layout.places[place].kind != kind)
            place = -1;
        if (place >= 0)
            self->at[place] = self->blocks;
        self->block[self->blocks++] = (app_wall_block){ .id = stored->id,
                                                        .picture = stored->picture,
                                                        .kind = kind,
                                                        .place = place,
                                                        .turn = stored->turn,
                                                        .pinned = stored->pinned };
    }
}

/* The place of a fabric among those of the quilt, at their end where it is a new one. */
static int16_t fabric_index(GHashTable *known, GArray *fabrics, int64_t fabric)
{
    gpointer found;
    if (g_hash_table_lookup_extended(known, &fabric, NULL, &found))
        return (int16_t)GPOINTER_TO_INT(found);
    g_hash_table_insert(known, g_memdup2(&fabric, sizeof fabric),
                        GINT_TO_POINTER((int)fabrics->len));
    g_array_append_val(fabrics, fabric);
    return (int16_t)(fabrics->len - 1);
}

static gboolean look_at(app *self, app_wall *wall, const GArray *fabrics, GError **error)
{
    g_autoptr(GArray) looks = NULL;
    if (!store_look_get(self->book, (int)fabrics->len,
                        (const int64_t *)(void *)fabrics->data, &looks, error))
        return FALSE;
    wall->looks = g_new(app_look, (gsize)looks->len + 1);
    while (wall->fabrics < (int)looks->len) {
        wall->looks[wall->fabrics] =
            app_look_of(&g_array_index(looks, store_look, wall->fabrics));
        wall->fabrics++;
    }
    return TRUE;
}

static gboolean take_in_patches(app *self, app_wall *wall, const GArray *patches,
                                GError **error)
{
    int side = wall->laid.frame.side, halves = halves_of(wall);
    wall->fabric = g_new(int16_t, (gsize)(wall->blocks + 1) * (gsize)halves);
    memset(wall->fabric, 0xff,
           sizeof(int16_t) * (size_t)(wall->blocks + 1) * (size_t)halves);
    g_autoptr(GHashTable) index =
        g_hash_table_new_full(g_int64_hash, g_int64_equal, NULL, NULL);
    for (int b = 0; b < wall->blocks; b++)
        g_hash_table_insert(index, &wall->block[b].id, GINT_TO_POINTER(b));
    g_autoptr(GHashTable) known =
        g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, NULL);
    g_autoptr(GArray) fabrics = g_array_new(FALSE, FALSE, sizeof(int64_t));
    for (guint i = 0; i < patches->len; i++) {
        const store_patch *patch = &g_array_index(patches, store_patch, i);
        gpointer found;
        if (patch->fabric == 0 || patch->place < 0 || patch->place >= side * side ||
            patch->part < 0 || patch->part > 1 ||
            !g_hash_table_lookup_extended(index, &patch->block, NULL, &found))
            continue;
        int16_t look = fabric_index(known, fabrics, patch->fabric);
        int b = GPOINTER_TO_INT(found);
        int16_t *fabric =
            wall->fabric + (size_t)b * (size_t)halves + (size_t)(2 * patch->place);
        const quilt_block *kind = app_laid_block(&wall->laid, wall->block[b].kind);
        fabric[patch->part] = look;
        if (kind->patches[patch->place].split == QUILT_WHOLE)
            fabric[0] = fabric[1] = look;
        wall->block[b].known = true;
    }
    return look_at(self, wall, fabrics, error);
}

gboolean app_wall_requested(app *self, const app_call *call, app_wall *ret_wall,
                            GError **error)
{
    g_auto(app_wall) wall = { 0 };
    g_autoptr(GArray) blocks = NULL;
    g_autoptr(GArray) patches = NULL;
    if (!app_quilt_requested(self, call, &wall.quilt, error) ||
        !app_laid_from_quilt(&wall.quilt, &wall.laid, error) ||
        !store_block_list(self->book, wall.quilt.id, &blocks, error) ||
        !store_patch_of_quilt(self->book, wall.quilt.id, &patches, error))
        return FALSE;
    take_in_blocks(&wall, blocks);
    if (!take_in_patches(self, &wall, patches, error))
        return FALSE;
    *ret_wall = wall;
    memset(&wall, 0, sizeof wall);
    return TRUE;
}

plan_arrange_lay *app_wall_lays(const app_wall *self)
{
    plan_arrange_lay *lays = g_new(plan_arrange_lay, (gsize)self->laid.layout.count);
    for (int p = 0; p < self->laid.layout.count; p++) {
        int b = self->at[p];
        lays[p] = (plan_arrange_lay){ b, b < 0 ? self->laid.layout.places[p].turn
                                               : self->block[b].turn };
    }
    return lays;
}

json_t *app_wall_places(const app_wall *self, const plan_arrange_lay *lay)
{
    json_t *rows = json_array();
    for (int row = 0; row < self->laid.layout.rows; row++) {
        int count;
        const quilt_place *places = quilt_layout_row(&self->laid.layout, row, &count);
        json_t *line = json_array();
        for (int i = 0; i < count; i++) {
            const plan_arrange_lay *one = &lay[places - self->laid.layout.places + i];
            json_t *place = json_object();
            json_object_set_new(
                place, "block",
                app_document_id(one->block < 0 ? 0 : self->block[one->block].id));
            json_object_set_new(
                place, "turn", json_integer(one->block < 0 ? places[i].turn : one->turn));
            json_array_append_new(line, place);
        }
        json_array_append_new(rows, line);
    }
    return rows;
}

gboolean app_wall_keep(app *self, const app_wall *wall, const plan_arrange_lay *lay,
                       const char *what, GError **error)
{
    int count = wall->blocks + wall->strangers;
    g_autofree store_placing *placings = g_new0(store_placing, (gsize)count + 1);
    /* What the design has no place for any more must not hold one. */
    for (int i = 0; i < wall->strangers; i++)
        placings[wall->blocks + i].block = wall->stranger[i];
    for (int b = 0; b < wall->blocks; b++)
        placings[b] = (store_placing){ .block = wall->block[b].id,
                                       .turn = wall->block[b].turn,
                                       .pinned = false };
    for (int p = 0; p < wall->laid.layout.count; p++) {
        if (lay[p].block < 0)
            continue;
        store_placing *placing = &placings[lay[p].block];
        app_laid_place_at(&wall->laid, p, &placing->row, &placing->col);
        placing->turn = lay[p].turn;
        placing->pinned = wall->block[lay[p].block].pinned;
    }
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    return change != NULL && store_block_place(change, (size_t)count, placings, error) &&
           store_change_commit(change, error);
}

/* ---- What the page draws ---- */

/* By patch as the block is drawn unturned: a fabric, null where it is not known, or the
 * two of a patch of two triangles. */
static json_t *fabrics_document(const app_wall *wall, int b)
{
    const quilt_block *kind = app_laid_block(&wall->laid, wall->block[b].kind);
    const int16_t *fabric = app_wall_fabrics(wall, b);
    json_t *list = json_array();
    for (int p = 0; p < kind->side * kind->side; p++) {
        json_t *half[2];
        for (int h = 0; h < 2; h++)
            half[h] = fabric[2 * p + h] < 0
                          ? json_null()
                          : app_document_id(wall->looks[fabric[2 * p + h]].fabric);
        if (kind->patches[p].split == QUILT_WHOLE) {
            json_array_append_new(list, half[0]);
            json_decref(half[1]);
        } else {
            json_array_append_new(list, json_pack("[o, o]", half[0], half[1]));
        }
    }
    return list;
}

static json_t *blocks_document(const app_wall *wall)
{
    json_t *list = json_array();
    for (int b = 0; b < wall->blocks; b++) {
        const app_wall_block *block = &wall->block[b];
        json_array_append_new(
            list,
            json_pack("{s:I, s:s, s:b, s:b, s:o}", "block", (json_int_t)block->id, "kind",
                      app_laid_block(&wall->laid, block->kind)->name, "pinned",
                      block->pinned, "picture", block->picture != 0, "patches",
                      block->known ? fabrics_document(wall, b) : json_null()));
    }
    return list;
}

/* Kinds and turns of the places, which an arrangement leaves as they are. */
static json_t *grid_document(const app_wall *wall)
{
    json_t *rows = json_array();
    for (int row = 0; row < wall->laid.layout.rows; row++) {
        int count;
        const quilt_place *places = quilt_layout_row(&wall->laid.layout, row, &count);
        json_t *line = json_array();
        for (int i = 0; i < count; i++)
            json_array_append_new(
                line, json_pack("{s:s, s:i, s:i}", "kind",
                                app_laid_block(&wall->laid, places[i].kind)->name, "turn",
                                places[i].turn, "step",
                                app_wall_turn_step(wall, places[i].kind)));
        json_array_append_new(rows, line);
    }
    return rows;
}

/* The part of a block's side, on either end, that goes into the seams between blocks:
 * its picture shows it, the finished quilt does not. */
static double allowance_share(const app_laid *laid)
{
    double side = (double)laid->frame.side * laid->frame.unit -
                  2.0 * (laid->frame.side - 1) * laid->frame.seam;
    return side > 0 ? laid->frame.seam / side : 0;
}

gboolean app_do_wall(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    g_auto(app_wall) wall = { 0 };
    int64_t fabrics[QUILT_ROLES];
    if (!app_wall_requested(self, call, &wall, error) ||
        !store_quilt_fabrics(self->book, wall.quilt.id, fabrics, error))
        return FALSE;
    g_autofree plan_arrange_lay *lays = app_wall_lays(&wall);
    g_autoptr(json_t) looks = json_array();
    for (int i = 0; i < wall.fabrics; i++)
        json_array_append_new(looks, app_fabric_document(&wall.looks[i]));
    g_autoptr(json_t) roles = json_object();
    for (int role = 0; role < QUILT_ROLES; role++) {
        g_auto(app_look) look = { 0 };
        if (fabrics[role] == 0)
            continue;
        if (!app_look_get(self, fabrics[role], &look, error))
            return FALSE;
        json_object_set_new(roles, quilt_role_name((quilt_role)role),
                            app_fabric_document(&look));
    }
    *ret_document =
        json_pack("{s:s, s:b, s:b, s:o, s:o, s:o, s:O, s:O, s:f, s:i}", "quilt",
                  wall.quilt.name, "closed", wall.quilt.closed != 0, "on_point",
                  wall.laid.layout.set == QUILT_ON_POINT, "grid", grid_document(&wall),
                  "places", app_wall_places(&wall, lays), "blocks",
                  blocks_document(&wall), "fabrics", looks, "roles", roles, "allowance",
                  allowance_share(&wall.laid), "strangers", wall.strangers);
    return TRUE;
}

/* ---- By hand ---- */

static gboolean wall_to_change(app *self, const app_call *call, app_wall *ret_wall,
                               GError **error)
{
    if (!app_wall_requested(self, call, ret_wall, error))
        return FALSE;
    if (ret_wall->quilt.closed == 0)
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_QUILT_CLOSED, "%s is finished.",
                ret_wall->quilt.name);
    return FALSE;
}

static gboolean place_of(const app_call *call, const app_wall *wall, const char *field,
                         int *ret_place, GError **error)
{
    const json_t *item = json_object_get(call->request, field);
    if (item == NULL || json_is_null(item)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                    "\"%s\" is missing.", field);
        return FALSE;
    }
    return app_laid_place_read(item, &wall->laid, ret_place, error);
}

static gboolean no_block_at(const app_wall *wall, int place, GError **error)
{
    int row, col;
    app_laid_place_at(&wall->laid, place, &row, &col);
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_PLACE_EMPTY,
                "No block lies at row %d, column %d.", row, col);
    return FALSE;
}

static gboolean document_after(app *self, const app_call *call, json_t **ret_document,
                               const char *what, GError **error)
{
    if (!app_do_wall(self, call, ret_document, error))
        return FALSE;
    json_object_set_new(*ret_document, "done", json_string(what));
    return TRUE;
}

gboolean app_do_place_swap(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    int a, b, rows[2], cols[2];
    g_auto(app_wall) wall = { 0 };
    if (!wall_to_change(self, call, &wall, error) ||
        !place_of(call, &wall, "a", &a, error) || !place_of(call, &wall, "b", &b, error))
        return FALSE;
    const quilt_place *one = &wall.laid.layout.places[a];
    const quilt_place *other = &wall.laid.layout.places[b];
    app_laid_place_at(&wall.laid, a, &rows[0], &cols[0]);
    app_laid_place_at(&wall.laid, b, &rows[1], &cols[1]);
    if (a == b) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "Row %d, column %d can't change places with itself.", rows[0],
                    cols[0]);
        return FALSE;
    }
    if (wall.at[a] < 0 && wall.at[b] < 0)
        return no_block_at(&wall, a, error);
    if (one->kind != other->kind) {
        g_set_error(
            error, MOTLEY_ERROR, MOTLEY_ERROR_APP_KINDS_DIFFER,
            "Row %d, column %d takes a %s block and row %d, column %d a %s block.",
            rows[0], cols[0], app_laid_block(&wall.laid, one->kind)->name, rows[1],
            cols[1], app_laid_block(&wall.laid, other->kind)->name);
        return FALSE;
    }
    g_autofree plan_arrange_lay *lays = app_wall_lays(&wall);
    plan_arrange_lay kept = lays[a];
    /* A block keeps its turn against what the design draws at its place. */
    lays[a].turn = (lays[b].turn - other->turn + one->turn + 4) % 4;
    lays[b].turn = (kept.turn - one->turn + other->turn + 4) % 4;
    lays[a].block = lays[b].block;
    lays[b].block = kept.block;
    g_autofree char *what = g_strdup_printf(
        "%s row %d, column %d %s row %d, column %d",
        wall.at[b] < 0 || wall.at[a] < 0 ? "Moved" : "Exchanged", rows[wall.at[a] < 0],
        cols[wall.at[a] < 0], wall.at[b] < 0 || wall.at[a] < 0 ? "to" : "and",
        rows[wall.at[a] >= 0], cols[wall.at[a] >= 0]);
    return app_wall_keep(self, &wall, lays, what, error) &&
           document_after(self, call, ret_document, what, error);
}

gboolean app_do_place_turn(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    int place, row, col;
    int64_t turn = -1;
    g_auto(app_wall) wall = { 0 };
    if (!wall_to_change(self, call, &wall, error) ||
        !place_of(call, &wall, "place", &place, error) ||
        !app_request_int(call, "turn", 0, 3, &turn, error))
        return FALSE;
    int block = wall.at[place];
    if (block < 0)
        return no_block_at(&wall, place, error);
    app_laid_place_at(&wall.laid, place, &row, &col);
    int step = app_wall_turn_step(&wall, wall.block[block].kind);
    if (turn < 0 && step < 4)
        turn = (wall.block[block].turn + step) % 4;
    if (turn < 0 || !app_wall_fits(&wall, block, place, (int)turn)) {
        g_set_error(
            error, MOTLEY_ERROR, MOTLEY_ERROR_APP_TURN_WRONG,
            "Turned so, the %s block at row %d, column %d would break the design.",
            app_laid_block(&wall.laid, wall.block[block].kind)->name, row, col);
        return FALSE;
    }
    g_autofree plan_arrange_lay *lays = app_wall_lays(&wall);
    lays[place].turn = (int)turn;
    g_autofree char *what = g_strdup_printf("Turned row %d, column %d", row, col);
    return app_wall_keep(self, &wall, lays, what, error) &&
           document_after(self, call, ret_document, what, error);
}

gboolean app_do_place_pin(app *self, const app_call *call, json_t **ret_document,
                          GError **error)
{
    int place, row, col;
    g_auto(app_wall) wall = { 0 };
    if (!wall_to_change(self, call, &wall, error) ||
        !place_of(call, &wall, "place", &place, error))
        return FALSE;
    if (wall.at[place] < 0)
        return no_block_at(&wall, place, error);
    bool pinned = !app_request_has(call, "pinned") || app_request_flag(call, "pinned");
    app_laid_place_at(&wall.laid, place, &row, &col);
    wall.block[wall.at[place]].pinned = pinned;
    g_autofree plan_arrange_lay *lays = app_wall_lays(&wall);
    g_autofree char *what = g_strdup_printf(
        "%s row %d, column %d", pinned ? "Pinned" : "Took the pin off", row, col);
    return app_wall_keep(self, &wall, lays, what, error) &&
           document_after(self, call, ret_document, what, error);
}

/* One place of an arrangement that came back from the page. */
static gboolean read_lay(const app_wall *wall, const json_t *item, int place,
                         bool *is_laid, plan_arrange_lay *ret_lay, GError **error)
{
    int row, col;
    const json_t *block = json_object_get(item, "block");
    *ret_lay = (plan_arrange_lay){ -1, 0 };
    if (block == NULL || json_is_null(block))
        return TRUE;
    int64_t id;
    app_laid_place_at(&wall->laid, place, &row, &col);
    if (!app_request_item_id(block, "places", &id, error))
        return FALSE;
    int at = app_wall_find(wall, id);
    json_int_t turn = json_integer_value(json_object_get(item, "turn"));
    if (at < 0 || is_laid[at]) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_BLOCK,
                    at < 0 ? "Row %d, column %d: the quilt has no block %" PRId64 "."
                           : "Row %d, column %d: block %" PRId64 " lies elsewhere too.",
                    row, col, id);
        return FALSE;
    }
    if (wall->block[at].kind != wall->laid.layout.places[place].kind) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_KINDS_DIFFER,
                    "Block %" PRId64 " is no block for row %d, column %d.", id, row, col);
        return FALSE;
    }
    if (turn < 0 || turn > 3 || !app_wall_fits(wall, at, place, (int)turn)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_TURN_WRONG,
                    "Turned so, block %" PRId64 " would break the design.", id);
        return FALSE;
    }
    is_laid[at] = true;
    *ret_lay = (plan_arrange_lay){ at, (int)turn };
    return TRUE;
}

gboolean app_wall_read(const app_wall *self, const json_t *rows,
                       plan_arrange_lay *ret_lays, GError **error)
{
    const quilt_layout *layout = &self->laid.layout;
    g_autofree bool *is_laid = g_new0(bool, (gsize)self->blocks + 1);
    if ((int)json_array_size(rows) != layout->rows) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "places: the quilt has %d rows.", layout->rows);
        return FALSE;
    }
    for (int row = 0; row < layout->rows; row++) {
        int count;
        const quilt_place *places = quilt_layout_row(layout, row, &count);
        const json_t *line = json_array_get(rows, (size_t)row);
        if ((int)json_array_size(line) != count) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                        "places: row %d has %d places.", row + 1, count);
            return FALSE;
        }
        for (int i = 0; i < count; i++) {
            int place = (int)(places - layout->places) + i;
            if (!read_lay(self, json_array_get(line, (size_t)i), place, is_laid,
                          &ret_lays[place], error))
                return FALSE;
        }
    }
    return TRUE;
}

gboolean app_do_arrange_keep(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    g_auto(app_wall) wall = { 0 };
    if (!wall_to_change(self, call, &wall, error))
        return FALSE;
    g_autofree plan_arrange_lay *lays =
        g_new(plan_arrange_lay, (gsize)wall.laid.layout.count);
    g_autofree char *what = g_strdup_printf("Arranged %s", wall.quilt.name);
    return app_wall_read(&wall, json_object_get(call->request, "places"), lays, error) &&
           app_wall_keep(self, &wall, lays, what, error) &&
           document_after(self, call, ret_document, what, error);
}
