/* The catalogue with the maker's own designs, one design, and a text looked over. */
#include "laid-internal.h"
#include "own-internal.h"

#include <string.h>

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

/* What makers ask of a design before they take it. */
typedef struct design_facts {
    bool triangles;     /* there are some */
    bool as_cut;        /* all that comes from the basket is whole squares */
    double scrap_share; /* of the blocks' area, from the basket */
} design_facts;

static gboolean facts_of(const quilt_design *design, design_facts *ret, GError **error)
{
    static const bool basket[QUILT_ROLES] = {
        [QUILT_SCRAP] = true, [QUILT_LIGHT] = true, [QUILT_DARK] = true
    };
    quilt_count count;
    g_auto(quilt_layout) layout = { 0 };
    /* One whole repeat, doubled where quarters ask for even numbers. */
    int times = design->set == QUILT_QUARTERS ? 2 : 1;
    if (!quilt_layout_make(design, times * design->cols, times * design->rows,
                           (quilt_start){ 0, 0 }, &layout, error))
        return FALSE;
    quilt_layout_count(design, &layout, &count);
    *ret = (design_facts){ .as_cut = true,
                           .scrap_share = quilt_count_share(&count, basket) };
    for (int role = 0; role < QUILT_ROLES; role++) {
        ret->triangles |= count.triangles[role] > 0;
        ret->as_cut &= !basket[role] || count.triangles[role] == 0;
    }
    return TRUE;
}

static const char *const sets[] = { "straight", "on-point", "quarters" };

static json_t *summary(const quilt_design *design, bool own, const design_facts *facts,
                       length unit, length seam)
{
    quilt_kinds kinds;
    int side = quilt_design_side(design);
    quilt_design_kinds(design, &kinds);
    json_t *document = json_pack(
        "{s:s, s:s, s:s, s:i, s:i, s:b, s:o, s:b}", "design", design->id, "name",
        design->name, "about", design->about, "block", side, "kinds", kinds.count,
        "triangles", facts->triangles, "roles", roles_used(design), "own", own);
    json_object_set_new(document, "as_cut", json_boolean(facts->as_cut));
    json_object_set_new(document, "scrap_share", json_real(facts->scrap_share));
    json_object_set_new(document, "set", json_string(sets[design->set]));
    json_object_set_new(document, "repeat",
                        json_pack("[i, i]", design->cols, design->rows));
    json_object_set_new(document, "block_finished_in",
                        app_document_inches(side * (unit - 2 * seam)));
    return document;
}

/* Which designs a request asks for. */
typedef struct design_wish {
    int64_t block;  /* patches on a side; 0: any */
    int64_t scraps; /* at least so many per cent from the basket */
    int triangles;  /* 0: with, 1: without, -1: either */
    bool as_cut, own;
    length unit, seam;
} design_wish;

static gboolean read_wish(app *self, const app_call *call, design_wish *wish,
                          GError **error)
{
    static const char *const answers[] = { "yes", "no", NULL };
    app_settings settings;
    if (!app_settings_get(self, &settings, error))
        return FALSE;
    *wish = (design_wish){ .triangles = -1,
                           .as_cut = app_request_flag(call, "as_cut"),
                           .own = app_request_flag(call, "own"),
                           .unit = settings.unit,
                           .seam = settings.seam };
    if (!app_request_int(call, "block", 1, QUILT_SIDE_MAX, &wish->block, error) ||
        !app_request_int(call, "scraps", 0, 100, &wish->scraps, error) ||
        !app_request_word(call, "triangles", answers, &wish->triangles, error) ||
        !app_request_length(call, "unit", settings.bare, &wish->unit, error))
        return FALSE;
    if (wish->unit > 2 * wish->seam)
        return TRUE;
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_MEASURE,
                        "unit: the seams leave nothing of it.");
    return FALSE;
}

static bool grants(const design_wish *wish, const quilt_design *design, bool own,
                   const design_facts *facts)
{
    return (wish->block == 0 || wish->block == quilt_design_side(design)) &&
           (wish->triangles < 0 || (wish->triangles == 0) == facts->triangles) &&
           (!wish->as_cut || facts->as_cut) && (!wish->own || own) &&
           100 * facts->scrap_share >= (double)wish->scraps;
}

gboolean app_do_designs(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    design_wish wish;
    g_autoptr(GArray) known = NULL;
    if (!read_wish(self, call, &wish, error) || !app_designs_known(self, &known, error))
        return FALSE;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < known->len; i++) {
        const app_known_design *one = &g_array_index(known, app_known_design, i);
        quilt_design design;
        design_facts facts;
        if (!quilt_design_parse(one->text, strlen(one->text), one->name, &design,
                                error) ||
            !facts_of(&design, &facts, error))
            return FALSE;
        if (grants(&wish, &design, one->own, &facts))
            json_array_append_new(
                list, summary(&design, one->own, &facts, wish.unit, wish.seam));
    }
    *ret_document = json_pack("{s:o, s:O}", "unit_in", app_document_inches(wish.unit),
                              "designs", list);
    return TRUE;
}

static json_t *design_document(app *self, const app_call *call,
                               const quilt_design *design, bool own, const char *text,
                               GError **error)
{
    design_wish wish;
    design_facts facts;
    if (!read_wish(self, call, &wish, error) || !facts_of(design, &facts, error))
        return NULL;
    json_t *document = summary(design, own, &facts, wish.unit, wish.seam);
    json_object_set_new(document, "text", json_string(text));
    return document;
}

/* Writes the text where the command line asks for a file. */
static gboolean write_out(const app_call *call, const char *text, GError **error)
{
    g_autoptr(GError) failed = NULL;
    const char *file = app_request_text(call, "output");
    if (file == NULL || g_file_set_contents(file, text, -1, &failed))
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE, "%s", failed->message);
    return FALSE;
}

gboolean app_do_design(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    const char *name;
    bool own;
    quilt_design design;
    g_autofree char *text = NULL;
    if (!app_request_need_text(call, "design", &name, error) ||
        !app_design_read(self, name, &design, &text, &own, error) ||
        !write_out(call, text, error))
        return FALSE;
    *ret_document = design_document(self, call, &design, own, text, error);
    return *ret_document != NULL;
}

gboolean app_do_design_check(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    quilt_design design;
    g_autofree char *text = NULL;
    if (!app_design_requested(call, &design, &text, error))
        return FALSE;
    app_taken taken; /* told, though it is no mistake of the file */
    if (!app_design_taken(self, &design, false, &taken, error))
        return FALSE;
    g_autofree char *written = quilt_design_write(&design);
    json_t *document = design_document(self, call, &design, true, written, error);
    if (document != NULL && taken.id[0] != '\0')
        json_object_set_new(document, "taken", json_string(taken.id));
    *ret_document = document;
    return document != NULL;
}
