/* The record: quilts and months, and the head of the book. */
#include "fabric-internal.h"
#include "laid-internal.h"
#include "shares-internal.h"

#include "store/basket.h"
#include "store/scrap.h"
#include "store/setting.h"

/* Which months there are, with what came in, went out and was made. */
typedef struct month_flow {
    int64_t in, out;
    int blocks;
} month_flow;

static month_flow *month_at(GTree *months, int year, int number)
{
    gpointer key = GINT_TO_POINTER(year * 12 + number - 1);
    month_flow *found = g_tree_lookup(months, key);
    if (found == NULL) {
        found = g_new0(month_flow, 1);
        g_tree_insert(months, key, found);
    }
    return found;
}

static int compare_months(gconstpointer a, gconstpointer b, gpointer data)
{
    (void)data;
    return GPOINTER_TO_INT(a) - GPOINTER_TO_INT(b);
}

static gboolean append_month(gpointer key, gpointer value, gpointer data)
{
    int number = GPOINTER_TO_INT(key);
    const month_flow *one = value;
    g_autofree char *name = g_strdup_printf("%04d-%02d", number / 12, number % 12 + 1);
    json_array_append_new(data,
                          json_pack("{s:s, s:I, s:I, s:i}", "month", name, "squares_in",
                                    (json_int_t)one->in, "squares_out",
                                    (json_int_t)one->out, "blocks", one->blocks));
    return FALSE;
}

static json_t *months_document(app *self, GError **error)
{
    g_autoptr(GArray) flows = NULL;
    g_autoptr(GArray) blocks = NULL;
    if (!store_basket_months(self->book, 0, &flows, error) ||
        !store_block_months(self->book, &blocks, error))
        return NULL;
    g_autoptr(GTree) months = g_tree_new_full(compare_months, NULL, NULL, g_free);
    for (guint i = 0; i < flows->len; i++) {
        const store_flow *flow = &g_array_index(flows, store_flow, i);
        month_flow *one = month_at(months, flow->year, flow->month);
        one->in += flow->in;
        one->out += flow->out;
    }
    for (guint i = 0; i < blocks->len; i++) {
        const store_day *made = &g_array_index(blocks, store_day, i);
        month_at(months, made->year, made->month)->blocks += made->blocks;
    }
    json_t *list = json_array();
    g_tree_foreach(months, append_month, list);
    return list;
}

/* A quilt has a page of its own with every source; among all quilts the most of them do.
 */
enum { SOURCES_SHOWN = 8 };

static gboolean add_sources(app *self, const GArray *sources,
                            const store_quilt_line *line, json_t *quilt, GError **error)
{
    g_autoptr(GArray) shares = NULL;
    if (!app_shares_of(self, line, &shares, error))
        return FALSE;
    int more = (int)shares->len - SOURCES_SHOWN;
    json_object_set_new(quilt, "sources",
                        app_shares_document(shares, sources, SOURCES_SHOWN));
    json_object_set_new(quilt, "sources_more", json_integer(MAX(0, more)));
    return TRUE;
}

gboolean app_do_record(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    g_autoptr(json_t) list = NULL;
    g_autoptr(GArray) sources = NULL;
    g_autoptr(GArray) lines = NULL;
    if (app_request_has(call, "quilt"))
        return app_do_story(self, call, ret_document, error);
    if (!app_do_quilts(self, call, &list, error) ||
        !store_source_list(self->book, &sources, error) ||
        !store_quilt_list(self->book, &lines, error) || !app_shares_refresh(self, error))
        return FALSE;
    json_t *quilts = json_object_get(list, "quilts");
    for (guint i = 0; i < lines->len && i < json_array_size(quilts); i++) {
        json_t *quilt = json_array_get(quilts, i);
        if (!add_sources(self, sources, &g_array_index(lines, store_quilt_line, i), quilt,
                         error))
            return FALSE;
        json_object_set_new(
            quilt, "blocks",
            json_integer(json_integer_value(json_object_get(quilt, "made")) +
                         json_integer_value(json_object_get(quilt, "left"))));
    }
    json_t *months = months_document(self, error);
    if (months == NULL)
        return FALSE;
    json_object_set_new(list, "months", months);
    *ret_document = g_steal_pointer(&list);
    return TRUE;
}

static json_t *journal_word(const char *what)
{
    return what == NULL ? json_null() : json_pack("{s:s}", "what", what);
}

gboolean app_do_book(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    (void)call;
    app_settings settings;
    g_autoptr(GArray) units = NULL;
    g_autoptr(GArray) lying = NULL;
    g_autoptr(GArray) quilts = NULL;
    g_auto(store_journal_head) head = { 0 };
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error) ||
        !store_basket_units(self->book, &units, error) ||
        !store_scrap_list(self->book, STORE_SCRAP_LYING, 0, 0, &lying, error) ||
        !store_quilt_list(self->book, &quilts, error) ||
        !store_journal_head_get(self->book, &head, error))
        return FALSE;
    int64_t squares = 0;
    for (guint i = 0; i < units->len; i++)
        squares += g_array_index(units, store_unit_total, i).squares;
    g_autoptr(GError) never = NULL;
    g_autofree char *demo = store_setting_get(self->book, "demo", &never);
    g_autofree char *damage = store_book_damage(self->book);
    g_autofree char *name = g_path_get_basename(store_book_path(self->book));
    *ret_document =
        json_pack("{s:s, s:I, s:o, s:i, s:i, s:b, s:b, s:o, s:o, s:I, s:s}", "book", name,
                  "squares", (json_int_t)squares, "unit_in",
                  app_document_inches(settings.unit), "scraps", (int)lying->len, "quilts",
                  (int)quilts->len, "demo", demo != NULL, "damaged", damage != NULL,
                  "undo", journal_word(head.undo), "redo", journal_word(head.redo),
                  "revision", (json_int_t)app_revision(self), "version", MOTLEY_VERSION);
    return TRUE;
}
