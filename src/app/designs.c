/* The catalogue, and a design file looked over. */
#include "laid-internal.h"

#include "quilt/catalogue.h"

#include <string.h>

static bool has_triangles(const quilt_design *design)
{
    int side = quilt_design_side(design);
    for (int b = 0; b < design->block_count; b++)
        for (int p = 0; p < side * side; p++)
            if (design->blocks[b].patches[p].split != QUILT_WHOLE)
                return true;
    return false;
}

/* Letters of the roles that the design uses, in the order of the roles: "SB". */
static json_t *roles_used(const quilt_design *design)
{
    bool used[QUILT_ROLES] = { false };
    int side = quilt_design_side(design);
    for (int b = 0; b < design->block_count; b++)
        for (int p = 0; p < side * side; p++)
            for (int half = 0; half < 2; half++)
                used[design->blocks[b].patches[p].role[half]] = true;
    json_t *list = json_array();
    for (int role = 0; role < QUILT_ROLES; role++)
        if (used[role])
            json_array_append_new(list, json_string(quilt_role_name((quilt_role)role)));
    return list;
}

static json_t *summary(const quilt_design *design)
{
    quilt_kinds kinds;
    quilt_design_kinds(design, &kinds);
    return json_pack("{s:s, s:s, s:s, s:i, s:i, s:b, s:o}", "design", design->id, "name",
                     design->name, "about", design->about, "block",
                     quilt_design_side(design), "kinds", kinds.count, "triangles",
                     has_triangles(design), "roles", roles_used(design));
}

gboolean app_do_designs(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    (void)self;
    int64_t block = 0;
    if (!app_request_int(call, "block", 1, QUILT_SIDE_MAX, &block, error))
        return FALSE;
    int count;
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    g_autoptr(json_t) list = json_array();
    for (int i = 0; i < count; i++) {
        quilt_design design;
        if (!quilt_design_parse(entries[i].text, entries[i].size, entries[i].name,
                                &design, error))
            return FALSE;
        if (block == 0 || quilt_design_side(&design) == block)
            json_array_append_new(list, summary(&design));
    }
    *ret_document = json_pack("{s:O}", "designs", list);
    return TRUE;
}

gboolean app_do_design(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    (void)self;
    const char *name;
    quilt_design design;
    g_autofree char *text = NULL;
    if (!app_request_need_text(call, "design", &name, error) ||
        !app_design_read(name, &design, &text, error))
        return FALSE;
    json_t *document = summary(&design);
    json_object_set_new(document, "text", json_string(text));
    *ret_document = document;
    return TRUE;
}

gboolean app_do_design_check(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    (void)self;
    const char *file;
    quilt_design design;
    g_autofree char *text = NULL;
    gsize size;
    g_autoptr(GError) unreadable = NULL;
    if (!app_request_need_text(call, "file", &file, error))
        return FALSE;
    if (!g_file_get_contents(file, &text, &size, &unreadable)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNREADABLE, "%s",
                    unreadable->message);
        return FALSE;
    }
    g_autofree char *base = g_path_get_basename(file);
    char *dot = strrchr(base, '.');
    if (dot != NULL)
        *dot = '\0';
    if (!quilt_design_parse(text, size, base, &design, error)) {
        g_prefix_error(error, "%s: ", file);
        return FALSE;
    }
    g_autofree char *written = quilt_design_write(&design);
    json_t *document = summary(&design);
    json_object_set_new(document, "text", json_string(written));
    *ret_document = document;
    return TRUE;
}
