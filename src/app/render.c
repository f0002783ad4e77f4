/* Pictures and sheets: charts, the card, swatches, plans of photos. */
#include "fabric-internal.h"
#include "laid-internal.h"
#include "scrap-internal.h"
#include "sheet-internal.h"

#include "draw/card.h"
#include "draw/chart.h"

#include <string.h>

static const char SVG[] = "image/svg+xml", PDF[] = "application/pdf",
                  JPEG[] = "image/jpeg";

/* What the chart of a quilt is drawn from. */
typedef struct chart_source {
    draw_chart chart;
    draw_chart_kind kinds[DRAW_CHART_KINDS_MAX];
    draw_chart_place *places;
} chart_source;

static void chart_clear(chart_source *self)
{
    g_free(self->places);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(chart_source, chart_clear)

static void chart_fill(chart_source *self, const app_laid *laid, const int64_t *made)
{
    int across = laid->layout.across, rows = laid->layout.rows;
    for (int kind = 0; kind < laid->layout.kinds.count; kind++) {
        const quilt_block *block = app_laid_block(laid, kind);
        self->kinds[kind] = (draw_chart_kind){ block->name, block };
    }
    self->places = g_new0(draw_chart_place, (gsize)across * (gsize)rows);
    for (int row = 0; row < rows; row++) {
        int count;
        const quilt_place *places = quilt_layout_row(&laid->layout, row, &count);
        for (int col = 0; col < across; col++) {
            draw_chart_place *place = &self->places[row * across + col];
            place->kind = -1; /* on point every other row is one block shorter */
            if (col >= count)
                continue;
            place->kind = (int8_t)places[col].kind;
            place->turn = places[col].turn;
            place->made = made[places - laid->layout.places + col] != 0;
        }
    }
    self->chart = (draw_chart){ .across = across,
                                .down = rows,
                                .kind_count = laid->layout.kinds.count,
                                .kinds = self->kinds,
                                .places = self->places };
}

static gboolean chart_of(app *self, const app_call *call, store_quilt *quilt,
                         app_laid *laid, chart_source *chart, GError **error)
{
    int made_count;
    if (!app_quilt_requested(self, call, quilt, error) ||
        !app_laid_from_quilt(quilt, laid, error))
        return FALSE;
    g_autofree int64_t *made =
        app_quilt_made_at(self, laid, quilt->id, &made_count, error);
    if (made == NULL)
        return FALSE;
    chart_fill(chart, laid, made);
    return TRUE;
}

static GBytes *chart_svg(app *self, const app_call *call, GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    g_auto(chart_source) chart = { 0 };
    if (!chart_of(self, call, &quilt, &laid, &chart, error))
        return NULL;
    g_autoptr(draw_scene) scene = draw_chart_screen(&chart.chart, quilt.name);
    return draw_scene_svg(scene, 0);
}

gboolean app_sheet_heading(app *self, const app_call *call, const char *title,
                           app_sheet_head *ret_head, GError **error)
{
    app_settings settings;
    if (!app_settings_get(self, &settings, error))
        return FALSE;
    const char *paper = app_request_text(call, "paper");
    if (!draw_paper_parse(paper != NULL ? paper : settings.paper,
                          &ret_head->heading.paper, error))
        return FALSE;
    g_autoptr(GDateTime) now = g_date_time_new_now_local();
    ret_head->date = g_date_time_format(now, "%e %B %Y");
    ret_head->heading.title = title;
    ret_head->heading.date = g_strstrip(ret_head->date);
    return TRUE;
}

static draw_scene *card_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(app_sheet_head) head = { 0 };
    return app_sheet_heading(self, call, "Measuring card", &head, error)
               ? draw_card_sheet(head.heading.paper)
               : NULL;
}

static draw_scene *chart_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    g_auto(chart_source) chart = { 0 };
    g_auto(app_sheet_head) head = { 0 };
    if (!app_sheet_heading(self, call, "Chart to cross off", &head, error) ||
        !chart_of(self, call, &quilt, &laid, &chart, error))
        return NULL;
    head.heading.quilt = quilt.name;
    return draw_chart_sheet(&chart.chart, &head.heading);
}

static const struct {
    const char *what;
    draw_scene *(*draw)(app *self, const app_call *call, GError **error);
} sheets[] = {
    { "card", card_sheet },
    { "chart", chart_sheet },
};

draw_scene *app_sheet_drawn(app *self, const app_call *call, const char *what,
                            GError **error)
{
    g_autoptr(GString) names = g_string_new(NULL);
    for (size_t i = 0; i < G_N_ELEMENTS(sheets); i++) {
        if (strcmp(sheets[i].what, what) == 0)
            return sheets[i].draw(self, call, error);
        g_string_append_printf(names, "%s%s", i == 0 ? "" : ", ", sheets[i].what);
    }
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_RENDER,
                "There is no sheet \"%.40s\"; there are %s.", what, names->str);
    return NULL;
}

static GBytes *swatch_jpeg(app *self, const app_call *call, GError **error)
{
    int64_t id;
    g_auto(store_fabric) fabric = { 0 };
    if (app_book(self, error) == NULL ||
        !app_fabric_requested(self, call, "fabric", &id, error) ||
        !store_fabric_get(self->book, id, &fabric, error))
        return NULL;
    return store_picture(self->book, fabric.swatch, error);
}

static GBytes *plan_jpeg(app *self, const app_call *call, GError **error)
{
    g_auto(store_photo) photo = { 0 };
    if (!app_photo_requested(self, call, &photo, error))
        return NULL;
    return store_picture(self->book, photo.plan, error);
}

static const struct {
    const char *what, *type;
    GBytes *(*render)(app *self, const app_call *call, GError **error);
} pictures[] = {
    { "chart.svg", SVG, chart_svg },
    { "swatch.jpg", JPEG, swatch_jpeg },
    { "plan.jpg", JPEG, plan_jpeg },
};

GBytes *app_render(app *self, const char *what, const app_call *call,
                   const char **ret_type, GError **error)
{
    for (size_t i = 0; i < G_N_ELEMENTS(pictures); i++) {
        if (strcmp(pictures[i].what, what) == 0) {
            *ret_type = pictures[i].type;
            return pictures[i].render(self, call, error);
        }
    }
    g_autofree char *sheet = g_strdup(what);
    if (g_str_has_suffix(sheet, ".pdf"))
        sheet[strlen(sheet) - 4] = '\0';
    g_autoptr(draw_scene) scene = app_sheet_drawn(self, call, sheet, error);
    if (scene == NULL)
        return NULL;
    *ret_type = PDF;
    return draw_scene_pdf(scene, error);
}

/* Writes a sheet into a file: all of it or nothing. */
gboolean app_do_print(app *self, const app_call *call, json_t **ret_document,
                      GError **error)
{
    const char *what, *file;
    g_autoptr(GError) failed = NULL;
    if (!app_request_need_text(call, "what", &what, error) ||
        !app_request_need_text(call, "output", &file, error))
        return FALSE;
    g_autoptr(draw_scene) scene = app_sheet_drawn(self, call, what, error);
    g_autoptr(GBytes) pdf = scene == NULL ? NULL : draw_scene_pdf(scene, error);
    if (pdf == NULL)
        return FALSE;
    gsize size;
    const char *bytes = g_bytes_get_data(pdf, &size);
    if (!g_file_set_contents(file, bytes, (gssize)size, &failed)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE, "%s",
                    failed->message);
        return FALSE;
    }
    *ret_document =
        json_pack("{s:s, s:i}", "file", file, "pages", draw_scene_pages(scene));
    return TRUE;
}
