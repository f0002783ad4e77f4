/* Looking after the book: undo, redo, check, backup, restore, export, import. */
#include "document-internal.h"
#include "shares-internal.h"
#include "store/change.h"
#include "store/daily.h"
#include "store/export.h"

gboolean app_do_undo(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    (void)call;
    g_autofree char *what = NULL;
    if (app_book(self, error) == NULL || !store_undo(self->book, &what, error))
        return FALSE;
    g_autofree char *text = g_strdup_printf("Undone: %s", what);
    *ret_document = app_document_done(text);
    return TRUE;
}

gboolean app_do_redo(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    (void)call;
    g_autofree char *what = NULL;
    if (app_book(self, error) == NULL || !store_redo(self->book, &what, error))
        return FALSE;
    g_autofree char *text = g_strdup_printf("Done again: %s", what);
    *ret_document = app_document_done(text);
    return TRUE;
}

/* The first few; a disk that fails can spoil thousands. */
static char *told(const GPtrArray *complaints)
{
    enum { MOST = 20 };
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < complaints->len && i < MOST; i++)
        g_string_append_printf(text, "%s%s", i > 0 ? "; " : "",
                               (const char *)complaints->pdata[i]);
    if (complaints->len > MOST)
        g_string_append_printf(text, "; and %u more", complaints->len - MOST);
    return g_string_free(text, FALSE);
}

gboolean app_do_check(app *self, const app_call *call, json_t **ret_document,
                      GError **error)
{
    (void)call;
    g_autoptr(GPtrArray) complaints = NULL;
    if (app_book(self, error) == NULL ||
        !store_book_examine(self->book, &complaints, error))
        return FALSE;
    if (complaints->len > 0) {
        g_autofree char *text = told(complaints);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_DAMAGED,
                    "The book is damaged, and is only read from now on. %u fault%s: %s",
                    complaints->len, complaints->len > 1 ? "s" : "", text);
        return FALSE;
    }
    *ret_document = app_document_done("The book is sound.");
    return TRUE;
}

gboolean app_do_backup(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    const char *file;
    if (app_book(self, error) == NULL ||
        !app_request_need_text(call, "file", &file, error) ||
        !store_book_backup(self->book, file, error))
        return FALSE;
    g_autofree char *text = g_strdup_printf("Copied the book to %s.", file);
    *ret_document = app_document_done(text);
    return TRUE;
}

gboolean app_daily_copy(app *self, GError **error)
{
    g_autofree char *made = NULL;
    g_autoptr(GDateTime) now = g_date_time_new_now_local();
    int year, month, day;
    GDate today;
    g_date_time_get_ymd(now, &year, &month, &day);
    g_date_clear(&today, 1);
    g_date_set_dmy(&today, (GDateDay)day, (GDateMonth)month, (GDateYear)year);
    return app_book(self, error) != NULL &&
           store_book_daily(self->book, &today, &made, error);
}

gboolean app_do_export(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    const char *folder;
    if (app_book(self, error) == NULL ||
        !app_request_need_text(call, "folder", &folder, error) ||
        !store_export(self->book, folder, error))
        return FALSE;
    g_autofree char *text = g_strdup_printf("Everything is in %s.", folder);
    *ret_document = app_document_done(text);
    return TRUE;
}

gboolean app_do_import(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    const char *folder;
    g_autofree char *kept = NULL;
    if (app_book(self, error) == NULL ||
        !app_request_need_text(call, "folder", &folder, error) ||
        !store_import(self->book, folder, &kept, error))
        return FALSE;
    g_autofree char *text = g_strdup_printf(
        "The book holds what %s held. What was there before is kept in %s.", folder,
        kept);
    *ret_document = app_document_done(text);
    return TRUE;
}
