#include "app/app.h"

#include "guests-internal.h"
#include "shares-internal.h"
#include "tools-internal.h"

#include "store/change.h"
#include "store/once.h"

#include <string.h>

static const app_action actions[] = {
    { "book", app_do_book, false, false },
    { "settings", app_do_settings, false, false },
    { "settings.change", app_do_settings_change, true, false },
    { "measure", app_do_measure, true, true },
    { "photos", app_do_photos, false, false },
    { "photo", app_do_photo, false, false },
    { "photo.forget", app_do_photo_forget, true, false },
    { "scraps", app_do_scraps, false, false },
    { "scrap.throw", app_do_scrap_throw, true, false },
    { "scrap.keep", app_do_scrap_keep, true, false },
    { "scrap.mend", app_do_scrap_mend, true, false },
    { "scrap.say", app_do_scrap_say, true, false },
    { "scrap.part", app_do_scrap_part, true, false },
    { "scrap.join", app_do_scrap_join, true, false },
    { "scrap.remove", app_do_scrap_remove, true, false },
    { "scrap.grow", app_do_scrap_grow, true, true },
    { "scrap.again", app_do_scrap_again, true, false },
    { "scraps.same", app_do_scraps_same, true, false },
    { "photo.settle", app_do_photo_settle, true, false },
    { "questions", app_do_questions, false, false },
    { "cut", app_do_cut, true, false },
    { "cut.done", app_do_cut_done, true, false },
    { "pile", app_do_pile, false, false },
    { "cutting.say", app_do_cutting_say, true, false },
    { "tools", app_do_tools, false, false },
    { "rulers", app_do_rulers, false, false },
    { "ruler.keep", app_do_ruler_keep, true, false },
    { "ruler.drop", app_do_ruler_drop, true, false },
    { "mat.say", app_do_mat_say, true, false },
    { "times.add", app_do_times_add, true, false },
    { "basket", app_do_basket, false, false },
    { "sources", app_do_sources, false, false },
    { "basket.add", app_do_basket_add, true, false },
    { "basket.take", app_do_basket_take, true, false },
    { "basket.correct", app_do_basket_correct, true, false },
    { "basket.weigh", app_do_basket_weigh, true, false },
    { "designs", app_do_designs, false, false },
    { "design", app_do_design, false, false },
    { "design.check", app_do_design_check, false, false },
    { "design.add", app_do_design_add, true, false },
    { "design.drop", app_do_design_drop, true, false },
    { "beds", app_do_beds, false, false },
    { "plan", app_do_plan, false, false },
    { "buy", app_do_buy, false, false },
    { "bought", app_do_bought, true, false },
    { "backgrounds", app_do_backgrounds, false, false },
    { "backgrounds.photo", app_do_backgrounds_photo, false, true },
    { "wants", app_do_wants, false, false },
    { "reuse", app_do_reuse, false, false },
    { "quilts", app_do_quilts, false, false },
    { "quilt", app_do_quilt, false, false },
    { "quilt.start", app_do_quilt_start, true, false },
    { "quilt.fabric", app_do_quilt_fabric, true, false },
    { "quilt.close", app_do_quilt_close, true, false },
    { "quilt.delete", app_do_quilt_delete, true, false },
    { "next", app_do_next, false, false },
    { "made", app_do_made, true, false },
    { "blocks.photo", app_do_blocks_photo, true, true },
    { "patch.say", app_do_patch_say, true, false },
    { "blocks.place", app_do_blocks_place, false, true },
    { "wall", app_do_wall, false, false },
    { "arrange", app_do_arrange, true, true },
    { "arrange.keep", app_do_arrange_keep, true, false },
    { "place.swap", app_do_place_swap, true, false },
    { "place.turn", app_do_place_turn, true, false },
    { "place.pin", app_do_place_pin, true, false },
    { "sew", app_do_sew, false, false },
    { "assemble", app_do_assemble, false, false },
    { "assembled", app_do_assembled, true, false },
    { "finish", app_do_finish, false, false },
    { "finishing", app_do_finishing, true, false },
    { "forecast", app_do_forecast, false, false },
    { "story", app_do_story, false, false },
    { "quilt.picture", app_do_quilt_picture, true, true },
    { "record", app_do_record, false, false },
    { "years", app_do_years, false, false },
    { "fabrics", app_do_fabrics, false, false },
    { "fabric", app_do_fabric, false, false },
    { "fabrics.photo", app_do_fabrics_photo, false, true },
    { "fabric.say", app_do_fabric_say, true, false },
    { "fabric.same", app_do_fabric_same, true, false },
    { "devices", app_do_devices, false, false },
    { "open", app_do_open, true, false },
    { "pair", app_do_pair, true, false },
    { "device.claim", app_do_device_claim, true, false },
    { "device.drop", app_do_device_drop, true, false },
    { "undo", app_do_undo, true, false },
    { "redo", app_do_redo, true, false },
    { "check", app_do_check, false, true },
    { "backup", app_do_backup, false, true },
    { "restore", app_do_restore, true, true },
    { "copies", app_do_copies, false, false },
    { "copy.restore", app_do_copy_restore, true, true },
    { "salvage", app_do_salvage, false, true },
    { "export", app_do_export, false, true },
    { "import", app_do_import, true, true },
    { "print", app_do_print, false, true },
    { "demo", app_do_demo, true, true },
    { "service", app_do_service, false, true },
};

const app_action *app_action_find(const char *name)
{
    for (size_t i = 0; i < G_N_ELEMENTS(actions); i++)
        if (strcmp(actions[i].name, name) == 0)
            return &actions[i];
    return NULL;
}

/* What was done stays done, also when then its document cannot be made: the book may be
 * damaged elsewhere, or memory short. To say that it failed would let her do it twice. */
static gboolean app_run_plain(app *self, const app_action *action, const app_call *call,
                              json_t **ret_document, GError **error)
{
    int64_t before = store_change_count_here();
    g_autoptr(GError) failed = NULL;
    if (action->run(self, call, ret_document, &failed))
        return TRUE;
    /* A slow action may make several, such as one a photo, and says which it made. */
    if (!action->slow && store_change_count_here() != before)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_DONE_UNSEEN,
                    "It was done, but cannot be shown: %s", failed->message);
    else
        g_propagate_error(error, g_steal_pointer(&failed));
    return FALSE;
}

gboolean app_run_once(app *self, const app_action *action, const char *key,
                      const app_call *call, json_t **ret_document, GError **error)
{
    if (key == NULL || self == NULL || self->book == NULL)
        return app_run_plain(self, action, call, ret_document, error);
    gboolean done = store_once_begin(self->book, key, error) &&
                    app_run_plain(self, action, call, ret_document, error);
    store_once_end();
    return done;
}

/* What a file gives that was a book once, or may have been. */
static bool is_hurt(const GError *error)
{
    return g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_DAMAGED) ||
           g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NOT_A_BOOK) ||
           g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NEWER);
}

bool app_is_older(const char *path)
{
    return store_book_is_older(path);
}

app *app_open(const char *path, app_open_mode mode, GError **error)
{
    store_book *book = NULL;
    if (path != NULL) {
        book = store_book_open(
            path, mode == APP_OPEN_CREATE ? STORE_OPEN_CREATE : STORE_OPEN_EXISTING,
            error);
        if (book == NULL && (mode != APP_OPEN_HURT || !is_hurt(*error)))
            return NULL;
        g_clear_error(error);
    }
    app *self = g_new0(app, 1);
    self->book = book;
    self->unopened = book == NULL ? g_strdup(path) : NULL;
    self->alikes = g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, g_free);
    g_mutex_init(&self->alike_lock);
    self->shares = app_shares_new();
    g_mutex_init(&self->shown_lock);
    self->guests = app_guests_new();
    return self;
}

void app_close(app *self)
{
    if (self == NULL)
        return;
    g_clear_pointer(&self->book, store_book_close);
    g_hash_table_unref(self->alikes);
    app_shares_free(self->shares);
    g_free(self->unopened);
    g_mutex_clear(&self->alike_lock);
    g_clear_pointer(&self->shown, g_array_unref);
    g_mutex_clear(&self->shown_lock);
    app_guests_free(self->guests);
    g_free(self);
}

const char *app_book_network(const app *self)
{
    return self->book == NULL ? NULL : store_book_network(self->book);
}

int64_t app_revision(app *self)
{
    return self->book == NULL ? 0 : store_revision(self->book);
}

store_book *app_book(app *self, GError **error)
{
    if (self->book == NULL)
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_NO_BOOK,
                            "There is no book yet.");
    return self->book;
}

/* Each caller puts a place before the message, so messages begin small; what a maker
 * reads is a sentence. A file's name in it may be any bytes; a document is UTF-8. */
static char *sentence(const char *message)
{
    g_autofree char *text = g_strstrip(g_utf8_make_valid(message, -1));
    size_t size = strlen(text);
    bool open = size > 0 && strchr(".!?", text[size - 1]) == NULL;
    /* A file keeps its name. */
    if (strcspn(text, "./") > strcspn(text, " :"))
        text[0] = g_ascii_toupper(text[0]);
    return g_strconcat(text, open ? "." : "", NULL);
}

json_t *app_error_document(const GError *error)
{
    g_autofree char *message = sentence(error->message);
    return json_pack("{s:{s:s, s:s, s:s}}", "error", "code", motley_error_code(error),
                     "message", message, "hint", motley_error_hint(error));
}
