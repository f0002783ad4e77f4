/* Quilts: start, list, show, close, drop. */
#include "bed-internal.h"
#include "buying-internal.h"
#include "fabric-internal.h"
#include "laid-internal.h"

#include "store/basket.h"

#include <string.h>

gboolean app_quilt_requested(app *self, const app_call *call, store_quilt *ret_quilt,
                             GError **error)
{
    const char *name;
    g_autoptr(GError) none = NULL;
    if (app_book(self, error) == NULL ||
        !app_request_need_text(call, "quilt", &name, error))
        return FALSE;
    if (store_quilt_find(self->book, name, ret_quilt, &none))
        return TRUE;
    if (g_error_matches(none, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNKNOWN))
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_QUILT,
                    "There is no quilt \"%.60s\".", name);
    else
        g_propagate_error(error, g_steal_pointer(&none));
    return FALSE;
}

static const char *state_of(int64_t closed)
{
    return closed == 0 ? "under way" : "finished";
}

gboolean app_do_quilts(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    (void)call;
    g_autoptr(GArray) lines = NULL;
    if (app_book(self, error) == NULL || !store_quilt_list(self->book, &lines, error))
        return FALSE;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < lines->len; i++) {
        const store_quilt_line *line = &g_array_index(lines, store_quilt_line, i);
        g_auto(store_quilt) quilt = { 0 };
        g_auto(app_laid) laid = { 0 };
        if (!store_quilt_get(self->book, line->id, &quilt, error) ||
            !app_laid_from_quilt(&quilt, &laid, error))
            return FALSE;
        json_array_append_new(
            list, json_pack("{s:s, s:s, s:s, s:s, s:i, s:i, s:i, s:i, s:o, s:o, s:o}",
                            "quilt", line->name, "state", state_of(line->closed),
                            "design", line->design, "design_name", laid.design.name,
                            "across", line->across, "down", line->down, "made",
                            line->made, "left", laid.layout.count - line->made, "started",
                            app_document_time(line->started), "closed",
                            app_document_time(line->closed), "finished_in",
                            app_document_size(laid.sizes.finished.width,
                                              laid.sizes.finished.height)));
    }
    *ret_document = json_pack("{s:O}", "quilts", list);
    return TRUE;
}

int64_t *app_quilt_made_at(app *self, const app_laid *laid, int64_t quilt, int *ret_made,
                           GError **error)
{
    g_autoptr(GArray) blocks = NULL;
    if (!store_block_list(self->book, quilt, &blocks, error))
        return NULL;
    g_autofree int64_t *made = g_new0(int64_t, (gsize)laid->layout.count);
    *ret_made = (int)blocks->len;
    for (guint i = 0; i < blocks->len; i++) {
        const store_block *block = &g_array_index(blocks, store_block, i);
        int place = app_laid_place_index(laid, block->row, block->col);
        if (place >= 0)
            made[place] = block->id;
    }
    return g_steal_pointer(&made);
}

int app_laid_place_index(const app_laid *laid, int row, int col)
{
    int count;
    if (row < 1 || row > laid->layout.rows)
        return -1;
    const quilt_place *places = quilt_layout_row(&laid->layout, row - 1, &count);
    return col < 1 || col > count ? -1 : (int)(places - laid->layout.places) + col - 1;
}

void app_laid_place_at(const app_laid *laid, int index, int *ret_row, int *ret_col)
{
    int count;
    for (int row = 0; row < laid->layout.rows; row++) {
        const quilt_place *places = quilt_layout_row(&laid->layout, row, &count);
        int first = (int)(places - laid->layout.places);
        if (index < first + count) {
            *ret_row = row + 1;
            *ret_col = index - first + 1;
            return;
        }
    }
    g_assert_not_reached();
}

static json_t *places_document(const app_laid *laid, const int64_t *made)
{
    json_t *rows = json_array();
    for (int row = 0; row < laid->layout.rows; row++) {
        int count;
        const quilt_place *places = quilt_layout_row(&laid->layout, row, &count);
        json_t *line = json_array();
        for (int i = 0; i < count; i++) {
            int64_t block = made[places - laid->layout.places + i];
            json_array_append_new(
                line, json_pack("{s:s, s:i, s:o}", "kind",
                                app_laid_block(laid, places[i].kind)->name, "turn",
                                places[i].turn, "block", app_document_id(block)));
        }
        json_array_append_new(rows, line);
    }
    return rows;
}

static json_t *patches_document(const quilt_block *block)
{
    static const char *const splits[] = { "whole", "rising", "falling" };
    json_t *rows = json_array();
    for (int r = 0; r < block->side; r++) {
        json_t *line = json_array();
        for (int c = 0; c < block->side; c++) {
            const quilt_patch *patch = &block->patches[r * block->side + c];
            json_t *roles = json_array();
            for (int half = 0; half < (patch->split == QUILT_WHOLE ? 1 : 2); half++)
                json_array_append_new(
                    roles, json_string(quilt_role_name((quilt_role)patch->role[half])));
            json_array_append_new(line, json_pack("{s:s, s:o}", "split",
                                                  splits[patch->split], "roles", roles));
        }
        json_array_append_new(rows, line);
    }
    return rows;
}

/* Adds what is made and how each kind is drawn to the kinds of the plan. */
static void describe_kinds(const app_laid *laid, const int64_t *made, json_t *document)
{
    json_t *kinds = json_object_get(document, "kinds");
    for (int kind = 0; kind < laid->layout.kinds.count; kind++) {
        int count = 0;
        for (int i = 0; i < laid->layout.count; i++)
            count += laid->layout.places[i].kind == kind && made[i] != 0;
        json_t *row = json_array_get(kinds, (size_t)kind);
        json_object_set_new(row, "made", json_integer(count));
        json_object_set_new(row, "patches", patches_document(app_laid_block(laid, kind)));
    }
}

json_t *app_quilt_document(app *self, const store_quilt *quilt, GError **error)
{
    int count;
    g_auto(app_laid) laid = { 0 };
    g_auto(app_chosen) chosen = { 0 };
    if (!app_laid_from_quilt(quilt, &laid, error) ||
        !app_chosen_get(self, quilt->id, &chosen, error))
        return NULL;
    g_autofree int64_t *made = app_quilt_made_at(self, &laid, quilt->id, &count, error);
    if (made == NULL)
        return NULL;
    json_t *document =
        json_pack("{s:s, s:s, s:o, s:o, s:i, s:i}", "quilt", quilt->name, "state",
                  state_of(quilt->closed), "started", app_document_time(quilt->started),
                  "closed", app_document_time(quilt->closed), "made", count, "left",
                  laid.layout.count - count);
    app_laid_describe(&laid, document);
    json_object_set_new(document, "fabrics", app_chosen_document(&chosen));
    json_object_set_new(document, "places", places_document(&laid, made));
    describe_kinds(&laid, made, document);
    return document;
}

gboolean app_do_quilt(app *self, const app_call *call, json_t **ret_document,
                      GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    if (!app_quilt_requested(self, call, &quilt, error))
        return FALSE;
    *ret_document = app_quilt_document(self, &quilt, error);
    return *ret_document != NULL;
}

gboolean app_do_quilt_start(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    const char *name;
    int64_t id;
    g_auto(app_laid) laid = { 0 };
    if (app_book(self, error) == NULL ||
        !app_request_need_text(call, "quilt", &name, error) ||
        !app_laid_from_request(self, call, &laid, error))
        return FALSE;
    g_autofree char *options = app_laid_options(&laid);
    store_quilt quilt = { .name = (char *)name,
                          .options = options,
                          .design = laid.design_name,
                          .design_text = laid.design_text,
                          .across = laid.frame.across,
                          .down = laid.frame.down,
                          .unit = laid.frame.unit,
                          .seam = laid.frame.seam,
                          .sash = laid.frame.sash,
                          .on_point = laid.frame.on_point,
                          .border_count = laid.frame.border_count };
    for (int i = 0; i < quilt.border_count; i++)
        quilt.borders[i] = laid.frame.borders[i].width;

    g_autofree char *what = g_strdup_printf("Started %s", name);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    g_autoptr(GError) failed = NULL;
    if (change == NULL)
        return FALSE;
    if (!store_quilt_add(change, &quilt, &id, &failed)) {
        if (g_error_matches(failed, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NAME_TAKEN))
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_QUILT_EXISTS,
                        "There is a quilt \"%.60s\" under way.", name);
        else
            g_propagate_error(error, g_steal_pointer(&failed));
        return FALSE;
    }
    if ((laid.mattress[0] > 0 &&
         !app_bed_keep(change, laid.mattress[0], laid.mattress[1], error)) ||
        !store_change_commit(change, error))
        return FALSE;
    return app_do_quilt(self, call, ret_document, error);
}

gboolean app_do_quilt_close(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    if (!app_quilt_requested(self, call, &quilt, error))
        return FALSE;
    if (quilt.closed != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_QUILT_CLOSED,
                    "%s is finished already.", quilt.name);
        return FALSE;
    }
    g_autofree char *what = g_strdup_printf("Called %s finished", quilt.name);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !store_quilt_set_closed(change, quilt.id, true, error) ||
        !store_change_commit(change, error))
        return FALSE;
    return app_do_quilt(self, call, ret_document, error);
}

/* A quilt that is dropped was a slip or was given up: its squares go back in. */
gboolean app_do_quilt_delete(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    g_autoptr(GArray) blocks = NULL;
    if (!app_quilt_requested(self, call, &quilt, error) ||
        !store_block_list(self->book, quilt.id, &blocks, error))
        return FALSE;
    g_autofree char *what = g_strdup_printf("Dropped %s", quilt.name);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL)
        return FALSE;
    int back = 0;
    for (guint i = 0; i < blocks->len; i++) {
        int count;
        if (!store_basket_put_back(change, g_array_index(blocks, store_block, i).id,
                                   &count, error))
            return FALSE;
        back += count;
    }
    if (!store_quilt_remove(change, quilt.id, error) ||
        !store_change_commit(change, error))
        return FALSE;
    g_autofree char *squares = app_document_count(back, "square");
    g_autofree char *done =
        back == 0 ? g_strdup_printf("%s.", what)
                  : g_strdup_printf("%s; %s went back into the basket.", what, squares);
    *ret_document = app_document_done(done);
    return TRUE;
}
