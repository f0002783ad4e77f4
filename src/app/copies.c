/* What to do about a book that is damaged: the copies that lie beside it, taking one
 * back, and saving what can still be read. */
#include "devices-internal.h"
#include "document-internal.h"
#include "shares-internal.h"
#include "store/daily.h"

enum { MOST_TOLD = 50 };

/* Also of a book that did not open. */
static const char *path_of(app *self, GError **error)
{
    if (self->unopened != NULL)
        return self->unopened;
    store_book *book = app_book(self, error);
    return book == NULL ? NULL : store_book_path(book);
}

static json_t *copy_document(const store_copy *copy)
{
    return json_pack("{s:s, s:o, s:I, s:b}", "copy", copy->name, "written",
                     app_document_time(copy->at), "bytes", (json_int_t)copy->bytes,
                     "daily", copy->daily);
}

/* A line each; null for a book of which nothing bad is known. */
static json_t *damage_document(app *self)
{
    g_autofree char *damage = NULL;
    if (self->book == NULL)
        return json_pack("[s]", "the book cannot be opened");
    damage = store_book_damage(self->book);
    if (damage == NULL)
        return json_null();
    g_auto(GStrv) lines = g_strsplit(damage, "\n", MOST_TOLD + 1);
    json_t *list = json_array();
    for (int i = 0; lines[i] != NULL && i < MOST_TOLD; i++)
        json_array_append_new(list, json_string_nocheck(lines[i]));
    return list;
}

gboolean app_do_copies(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    (void)call;
    const char *path = path_of(self, error);
    if (path == NULL)
        return FALSE;
    g_autoptr(GArray) copies = store_copies(path);
    json_t *list = json_array();
    for (guint i = 0; i < copies->len; i++)
        json_array_append_new(list, copy_document(&g_array_index(copies, store_copy, i)));
    *ret_document =
        json_pack("{s:o, s:o}", "damage", damage_document(self), "copies", list);
    return TRUE;
}

static gboolean restore(app *self, const char *file, json_t **ret_document,
                        GError **error)
{
    g_autofree char *kept = NULL;
    g_autoptr(GArray) devices = app_devices_before(self);
    if (self->unopened != NULL ? !store_restore_file(self->unopened, file, &kept, error)
                               : app_book(self, error) == NULL ||
                                     !store_book_restore(self->book, file, &kept, error))
        return FALSE;
    app_devices_keep(self, devices);
    app_shares_forget(self);
    g_autofree char *text = g_strdup_printf(
        "The book is as it was in %s. What was there before is kept in %s.", file, kept);
    *ret_document = app_document_done(text);
    return TRUE;
}

/* A file, or a copy by the name that the list gives it. */
gboolean app_do_restore(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    const char *file, *path = path_of(self, error);
    if (path == NULL || !app_request_need_text(call, "file", &file, error))
        return FALSE;
    g_autofree char *copy =
        g_file_test(file, G_FILE_TEST_EXISTS) ? NULL : store_copy_path(path, file);
    return restore(self, copy != NULL ? copy : file, ret_document, error);
}

/* By its name alone: a page is not to name files. */
gboolean app_do_copy_restore(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    const char *name, *path = path_of(self, error);
    if (path == NULL || !app_request_need_text(call, "copy", &name, error))
        return FALSE;
    g_autofree char *copy = store_copy_path(path, name);
    if (copy == NULL) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_UNKNOWN,
                    "there is no copy %.40s", name);
        return FALSE;
    }
    return restore(self, copy, ret_document, error);
}

gboolean app_do_salvage(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    const char *file, *path = path_of(self, error);
    g_autoptr(GPtrArray) lost = NULL;
    if (path == NULL || !app_request_need_text(call, "file", &file, error) ||
        !store_salvage(path, file, &lost, error))
        return FALSE;
    json_t *list = json_array();
    for (guint i = 0; i < lost->len; i++)
        json_array_append_new(list, json_string_nocheck(lost->pdata[i]));
    g_autofree char *text = g_strdup_printf("What could be read is in %s.", file);
    *ret_document = json_pack("{s:s, s:o}", "done", text, "lost", list);
    return TRUE;
}
