/* The maker's own designs: brought in, drawn anew, dropped. */
#include "own-internal.h"

#include "document-internal.h"
#include "quilt/catalogue.h"
#include "store/design.h"

#include <string.h>

static void clear_known(gpointer data)
{
    app_known_design *known = data;
    g_free(known->name);
    g_free(known->text);
}

gboolean app_designs_known(app *self, GArray **ret_known, GError **error)
{
    int count;
    g_autoptr(GArray) own = NULL;
    g_autoptr(GArray) known = g_array_new(FALSE, FALSE, sizeof(app_known_design));
    g_array_set_clear_func(known, clear_known);
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    for (int i = 0; i < count; i++) {
        app_known_design one = { g_strdup(entries[i].name),
                                 g_strndup(entries[i].text, entries[i].size), false };
        g_array_append_val(known, one);
    }
    if (self->book != NULL && !store_design_list(self->book, &own, error))
        return FALSE;
    for (guint i = 0; own != NULL && i < own->len; i++) {
        const store_design *design = &g_array_index(own, store_design, i);
        app_known_design one = { g_strdup(design->name), g_strdup(design->text), true };
        g_array_append_val(known, one);
    }
    *ret_known = g_steal_pointer(&known);
    return TRUE;
}

static const quilt_catalogue_entry *of_catalogue(const char *name)
{
    int count;
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    for (int i = 0; i < count; i++)
        if (strcmp(entries[i].name, name) == 0)
            return &entries[i];
    return NULL;
}

gboolean app_design_read(app *self, const char *name, quilt_design *ret_design,
                         char **ret_text, bool *ret_own, GError **error)
{
    g_autoptr(GError) failed = NULL;
    g_autofree char *text = NULL;
    const quilt_catalogue_entry *entry = of_catalogue(name);
    if (entry != NULL)
        text = g_strndup(entry->text, entry->size);
    else if (self->book != NULL)
        text = store_design_get(self->book, name, &failed);
    if (failed != NULL) {
        g_propagate_error(error, g_steal_pointer(&failed));
        return FALSE;
    }
    if (text == NULL) /* there is none: the catalogue knows which are near */
        return quilt_catalogue_design(name, ret_design, error);
    if (!quilt_design_parse(text, strlen(text), name, ret_design, error))
        return FALSE;
    if (ret_text != NULL)
        *ret_text = g_steal_pointer(&text);
    if (ret_own != NULL)
        *ret_own = entry == NULL;
    return TRUE;
}

/* "Grandma's Fan, no. 2" is kept as "grandma-s-fan-no-2". */
static char *spell(const char *name)
{
    g_autofree char *ascii = g_str_to_ascii(name, "C");
    GString *text = g_string_new(NULL);
    for (const char *at = ascii; *at != '\0' && text->len < QUILT_NAME_SIZE - 1; at++) {
        if (g_ascii_isalnum(*at))
            g_string_append_c(text, g_ascii_tolower(*at));
        else if (text->len > 0 && text->str[text->len - 1] != '-')
            g_string_append_c(text, '-');
    }
    while (text->len > 0 && text->str[text->len - 1] == '-')
        g_string_truncate(text, text->len - 1);
    return g_string_free(text, FALSE);
}

/* The text of a design that a request brings, by file or as it is. */
static gboolean text_requested(const app_call *call, char **ret_text, char **ret_base,
                               GError **error)
{
    gsize size;
    g_autofree char *text = NULL;
    g_autoptr(GError) unreadable = NULL;
    const char *file = app_request_text(call, "file");
    if (file == NULL) {
        const char *sent;
        if (!app_request_need_text(call, "text", &sent, error))
            return FALSE;
        *ret_text = g_strdup(sent);
        *ret_base = NULL;
        return TRUE;
    }
    if (!g_file_get_contents(file, &text, &size, &unreadable)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNREADABLE, "%s",
                    unreadable->message);
        return FALSE;
    }
    if (memchr(text, '\0', size) != NULL) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_DESIGN_UNREADABLE,
                    "in %s: this is no text", file);
        return FALSE;
    }
    *ret_text = g_steal_pointer(&text);
    *ret_base = g_path_get_basename(file);
    char *dot = strrchr(*ret_base, '.');
    if (dot != NULL)
        *dot = '\0';
    return TRUE;
}

gboolean app_design_requested(const app_call *call, quilt_design *ret_design,
                              char **ret_text, GError **error)
{
    g_autofree char *text = NULL, *base = NULL;
    const char *said = app_request_text(call, "design");
    const char *file = app_request_text(call, "file");
    if (!text_requested(call, &text, &base, error))
        return FALSE;
    const char *name = said != NULL ? said : base != NULL ? base : "";
    if (!quilt_design_parse(text, strlen(text), name, ret_design, error)) {
        if (file != NULL)
            g_prefix_error(error, "in %s: ", file);
        return FALSE;
    }
    g_autofree char *id = spell(*name != '\0' ? name : ret_design->name);
    if (*id == '\0') {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "The design has no name: give it a line like"
                            " \"name Evening star\".");
        return FALSE;
    }
    g_strlcpy(ret_design->id, id, sizeof ret_design->id);
    if (*ret_design->name == '\0')
        g_strlcpy(ret_design->name, id, sizeof ret_design->name);
    *ret_text = g_steal_pointer(&text);
    return TRUE;
}

static bool same_name(const char *a, const char *b)
{
    g_autofree char *one = g_utf8_casefold(a, -1), *other = g_utf8_casefold(b, -1);
    return strcmp(one, other) == 0;
}

gboolean app_design_taken(app *self, const quilt_design *design, bool replace,
                          app_taken *ret_taken, GError **error)
{
    g_autoptr(GArray) known = NULL;
    *ret_taken = (app_taken){ .id = "" };
    if (!app_designs_known(self, &known, error))
        return FALSE;
    for (guint i = 0; i < known->len; i++) {
        const app_known_design *one = &g_array_index(known, app_known_design, i);
        quilt_design other;
        bool same = strcmp(one->name, design->id) == 0;
        if (same && one->own && replace)
            continue;
        if (!quilt_design_parse(one->text, strlen(one->text), one->name, &other, error))
            return FALSE;
        if (!same && !same_name(other.name, design->name))
            continue;
        g_strlcpy(ret_taken->id, other.id, sizeof ret_taken->id);
        g_strlcpy(ret_taken->name, other.name, sizeof ret_taken->name);
        ret_taken->own = one->own;
        return TRUE;
    }
    return TRUE;
}

/* Two designs of one name could not be told apart in any list. A new text for a design of
 * her own takes the place of the old one when she says so. */
static gboolean refuse_taken(app *self, const quilt_design *design, bool replace,
                             GError **error)
{
    app_taken taken;
    if (!app_design_taken(self, design, replace, &taken, error))
        return FALSE;
    if (taken.id[0] == '\0')
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_DESIGN_TWICE,
                "%s has a design called \"%s\" (%s) already.",
                taken.own ? "The book" : "The catalogue", taken.name, taken.id);
    return FALSE;
}

gboolean app_do_design_add(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    quilt_design design;
    g_autofree char *text = NULL;
    if (app_book(self, error) == NULL ||
        !app_design_requested(call, &design, &text, error) ||
        !refuse_taken(self, &design, app_request_flag(call, "replace"), error))
        return FALSE;
    g_autofree char *what = g_strdup_printf("Kept the design %s", design.name);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !store_design_set(change, design.id, text, error) ||
        !store_change_commit(change, error))
        return FALSE;
    g_autoptr(json_t) request = json_pack("{s:s}", "design", design.id);
    app_call shown = { .request = request };
    return app_do_design(self, &shown, ret_document, error);
}

gboolean app_do_design_drop(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    const char *name;
    bool own = false;
    quilt_design design;
    if (app_book(self, error) == NULL ||
        !app_request_need_text(call, "design", &name, error) ||
        !app_design_read(self, name, &design, NULL, &own, error))
        return FALSE;
    if (!own) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_DESIGN_BUILT_IN,
                    "%s is of the catalogue and stays.", design.name);
        return FALSE;
    }
    g_autofree char *what = g_strdup_printf("Dropped the design %s", design.name);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !store_design_remove(change, design.id, error) ||
        !store_change_commit(change, error))
        return FALSE;
    g_autofree char *done =
        g_strdup_printf("%s. Quilts begun with it keep their own copy.", what);
    *ret_document = app_document_done(done);
    return TRUE;
}
