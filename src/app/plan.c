/* Plans and shopping lists: what a quilt will measure, take and cost in cloth. */
#include "buying-internal.h"
#include "fabric-internal.h"
#include "laid-internal.h"

#include <string.h>

gboolean app_do_plan(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    g_auto(app_laid) laid = { 0 };
    if (!app_laid_from_request(self, call, &laid, error))
        return FALSE;
    json_t *document = json_object();
    app_laid_describe(&laid, document);
    *ret_document = document;
    return TRUE;
}

static char *piece_name(const quilt_line *line)
{
    return line->border > 0
               ? g_strdup_printf("%s %d", quilt_part_name(line->part), line->border)
               : g_strdup(quilt_part_name(line->part));
}

static void add_into(json_t *into, const quilt_line *line, int64_t count)
{
    g_autofree char *piece = piece_name(line);
    if (count > 0)
        json_array_append_new(
            into, json_pack("{s:s, s:o, s:o, s:I, s:i}", "piece", piece, "width_in",
                            app_document_inches(line->piece_width), "length_in",
                            app_document_inches(line->piece_height), "count",
                            (json_int_t)count, "parts", line->parts));
}

/* What a line's strips are cut into: its own pieces, and those of another on their ends.
 */
static json_t *line_document(const quilt_item *item, const quilt_line *line)
{
    json_t *into = json_array();
    add_into(into, line, line->pieces - line->ends.pieces);
    for (const quilt_line *other = line + 1; other < item->lines + item->line_count;
         other++)
        if (line->strips > 0 && other->ends.pieces > 0 && other->ends.at == line->at)
            add_into(into, other, other->ends.pieces);
    g_autofree char *piece = piece_name(line);
    return json_pack("{s:s, s:o, s:o, s:I, s:i, s:b, s:b, s:o, s:o}", "piece", piece,
                     "width_in", app_document_inches(line->strip_width), "length_in",
                     app_document_inches(line->strip_length), "count",
                     (json_int_t)line->strips, "per_strip", line->per_strip, "joined",
                     line->joined, "bias", line->bias, "at_in",
                     app_document_inches(line->at), "into", into);
}

static void add_bought(json_t *item, length yards, length metres)
{
    char text[LENGTH_TEXT_SIZE];
    json_object_set_new(item, "buy_yd", json_real((double)yards / LENGTH_YARD));
    json_object_set_new(item, "buy_m", json_real((double)metres / LENGTH_M));
    json_object_set_new(item, "buy_text", json_string(length_text_yd_up(yards, text)));
    json_object_set_new(item, "buy_metric_text",
                        json_string(length_text_m_up(metres, text)));
}

static json_t *item_document(const quilt_item *item)
{
    json_t *cuts = json_array();
    for (int i = 0; i < item->line_count; i++) {
        const quilt_line *line = &item->lines[i];
        if (line->strips > 0 || line->joined) /* else all of it lies on ends */
            json_array_append_new(cuts, line_document(item, line));
    }
    json_t *document =
        json_pack("{s:s, s:o, s:o, s:o, s:b, s:o}", "for", quilt_item_name(item),
                  "cloth_width_in", app_document_inches(item->cloth_width),
                  "cut_length_in", app_document_inches(item->cut_length), "length_in",
                  app_document_inches(item->length_need), "exact_fit", item->exact_fit,
                  "cuts", cuts);
    add_bought(document, item->buy_yards, item->buy_metres);
    return document;
}

static json_t *asked_document(const quilt_shopping *shopping)
{
    json_t *list = json_array();
    for (int i = 0; i < shopping->asked_count; i++) {
        const quilt_asked *asked = &shopping->asked[i];
        json_array_append_new(list, json_pack("{s:s, s:s, s:o, s:I}", "role",
                                              quilt_role_name(asked->role), "piece",
                                              quilt_part_name(asked->part), "cut_in",
                                              app_document_inches(asked->cut), "count",
                                              (json_int_t)asked->count));
    }
    return list;
}

static json_t *backing_document(const quilt_shopping *shopping)
{
    const quilt_backing *backing = &shopping->backing;
    json_t *document = json_pack(
        "{s:i, s:s, s:o, s:o, s:o}", "panels", backing->panels, "seams",
        backing->panels < 2 ? "none"
        : backing->along    ? "along"
                            : "across",
        "panel_length_in", app_document_inches(backing->panel_length), "size_in",
        app_document_size(backing->size.width, backing->size.height), "length_in",
        app_document_inches(backing->panels * backing->panel_length));
    for (int i = 0; i < shopping->item_count; i++)
        if (shopping->items[i].use == QUILT_USE_BACKING)
            add_bought(document, shopping->items[i].buy_yards,
                       shopping->items[i].buy_metres);
    return document;
}

/* Dye lots differ; what is patched out later shows. */
static json_t *buying_notes(const quilt_shopping *shopping)
{
    json_t *notes = json_array();
    for (int i = 0; i < shopping->item_count; i++) {
        const quilt_item *item = &shopping->items[i];
        if (item->use == QUILT_USE_ROLE) {
            g_autofree char *message = g_strdup_printf(
                "Buy all of the %s at once and from one bolt: two dyeings of one colour"
                " are seldom the same.",
                quilt_item_name(item));
            json_array_append_new(
                notes, json_pack("{s:s, s:s, s:s}", "code", "buy.dye-lot", "item",
                                 quilt_item_name(item), "message", message));
        }
        if (item->exact_fit) {
            g_autofree char *message = g_strdup_printf(
                "The %s fits its cloth with nothing over: measure the width that you"
                " have before you buy.",
                quilt_item_name(item));
            json_array_append_new(
                notes, json_pack("{s:s, s:s, s:s}", "code", "buy.exact-fit", "item",
                                 quilt_item_name(item), "message", message));
        }
    }
    return notes;
}

static json_t *shopping_document(const quilt_shopping *shopping)
{
    json_t *items = json_array();
    for (int i = 0; i < shopping->item_count; i++)
        json_array_append_new(items, item_document(&shopping->items[i]));
    const quilt_batting *batting = &shopping->batting;
    return json_pack(
        "{s:o, s:o, s:o, s:o, s:{s:o, s:s?}, s:{s:i, s:o, s:o}}", "notes",
        buying_notes(shopping), "items", items, "scraps", asked_document(shopping),
        "backing", backing_document(shopping), "batting", "size_in",
        app_document_size(batting->size.width, batting->size.height), "packaged",
        batting->packaged, "binding", "strips", shopping->binding.strips, "length_in",
        app_document_inches(shopping->binding.length_need), "bias_square_in",
        app_document_inches(shopping->binding.bias_square));
}

static gboolean read_triangles_way(const app_call *call, quilt_hst *ret_way,
                                   GError **error)
{
    static const char *const ways[] = { "two", "trimmed", "eight", "corner", NULL };
    int way = (int)*ret_way;
    if (!app_request_word(call, "triangles", ways, &way, error))
        return FALSE;
    *ret_way = (quilt_hst)way;
    return TRUE;
}

/* Selvages are cut off before anything else. */
static gboolean less_selvage(length selvage, quilt_buying *buying, GError **error)
{
    length narrow = MIN(buying->cloth, buying->backing_cloth);
    if (selvage > narrow / 2 - LENGTH_INCH / 2) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_MEASURE,
                            "selvage: the two edges leave nothing of the cloth.");
        return FALSE;
    }
    buying->cloth -= 2 * selvage;
    buying->backing_cloth -= 2 * selvage;
    return TRUE;
}

/* Her settings, and what the request says of this one. */
static gboolean buying_read(app *self, const app_call *call, quilt_buying *ret_buying,
                            GError **error)
{
    app_settings settings;
    if (!app_settings_get(self, &settings, error))
        return FALSE;
    length selvage = 0; /* at each edge */
    int64_t shrink = 0, share = 0;
    quilt_buying buying = quilt_buying_defaults();
    buying.cloth = buying.backing_cloth = settings.width_of_fabric;
    buying.binding = settings.binding;
    const struct {
        const char *field;
        length *to;
    } lengths[] = {
        { "overage", &buying.overage },
        { "binding", &buying.binding }, /* 0: none */
        { "sleeve", &buying.sleeve },
        { "backing_margin", &buying.backing_margin },
        { "batting_margin", &buying.batting_margin },
        { "selvage", &selvage },
    };
    if (!app_request_length(call, "width_of_fabric", settings.bare, &buying.cloth, error))
        return FALSE;
    for (size_t i = 0; i < G_N_ELEMENTS(lengths); i++)
        if (!app_request_width(call, lengths[i].field, settings.bare, lengths[i].to,
                               error))
            return FALSE;
    if (!app_request_int(call, "shrink", 0, 49, &shrink, error) ||
        !app_request_int(call, "spare", 0, 49, &share, error) ||
        !read_triangles_way(call, &buying.hst, error))
        return FALSE;
    if (app_request_has(call, "width_of_fabric"))
        buying.backing_cloth = buying.cloth;
    if (!less_selvage(selvage, &buying, error))
        return FALSE;
    buying.shrink = (int)shrink * 10; /* per cent to thousandths */
    buying.share = (int)share * 10;
    buying.binding_bias = app_request_flag(call, "bias");
    buying.use_ends = app_request_flag(call, "ends");
    buying.step = settings.system == LENGTH_METRIC ? LENGTH_MM : LENGTH_INCH / 8;
    *ret_buying = buying;
    return TRUE;
}

gboolean app_shopping(app *self, const app_call *call, app_laid *ret_laid,
                      store_quilt *ret_quilt, quilt_shopping *ret_shopping,
                      GError **error)
{
    quilt_buying buying;
    g_auto(app_laid) laid = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    if (!app_laid_requested(self, call, &laid, &quilt, error) ||
        !buying_read(self, call, &buying, error) ||
        !quilt_shopping_make(&laid.design, &laid.layout, &laid.frame, &buying,
                             ret_shopping, error))
        return FALSE;
    *ret_quilt = quilt;
    *ret_laid = laid;
    memset(&laid, 0, sizeof laid);
    memset(&quilt, 0, sizeof quilt);
    return TRUE;
}

gboolean app_do_buy(app *self, const app_call *call, json_t **ret_document,
                    GError **error)
{
    g_auto(app_laid) laid = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_autofree quilt_shopping *shopping = g_new(quilt_shopping, 1);
    if (!app_shopping(self, call, &laid, &quilt, shopping, error))
        return FALSE;
    g_autoptr(json_t) document = shopping_document(shopping);
    json_object_set_new(
        document, "finished_in",
        app_document_size(laid.sizes.finished.width, laid.sizes.finished.height));
    if (quilt.name != NULL) {
        json_object_set_new(document, "quilt", json_string(quilt.name));
        if (!app_bought_describe(self, quilt.id, shopping, document, error))
            return FALSE;
    }
    *ret_document = json_incref(document);
    return TRUE;
}
