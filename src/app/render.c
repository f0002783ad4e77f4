/* Pictures for the page: charts, swatches, plans of photos; and the sheets as PDF. */
#include "chart-internal.h"
#include "fabric-internal.h"
#include "paper-internal.h"
#include "scrap-internal.h"
#include "sheet-internal.h"
#include "show-internal.h"
#include "story-internal.h"

#include <string.h>

/* As wide as lists show them, in CSS pixels; twice that on screens with fine pixels. */
enum { SMALL_CHART_PX = 96 };

void app_chart_clear(app_chart *chart)
{
    store_quilt_clear(&chart->quilt);
    app_laid_clear(&chart->laid);
    g_clear_pointer(&chart->places, g_free);
    g_clear_pointer(&chart->cloths, g_free);
}

static void chart_fill(app_chart *self, const int64_t *made)
{
    const quilt_layout *layout = &self->laid.layout;
    int across = layout->across, rows = layout->rows;
    for (int kind = 0; kind < layout->kinds.count; kind++) {
        const quilt_block *block = app_laid_block(&self->laid, kind);
        self->kinds[kind] = (draw_chart_kind){ block->name, block };
    }
    self->places = g_new0(draw_chart_place, (gsize)across * (gsize)rows);
    for (int row = 0; row < rows; row++) {
        int count;
        const quilt_place *places = quilt_layout_row(layout, row, &count);
        for (int col = 0; col < across; col++) {
            draw_chart_place *place = &self->places[row * across + col];
            place->kind = -1; /* on point every other row is one block shorter */
            if (col >= count)
                continue;
            place->kind = (int8_t)places[col].kind;
            place->turn = places[col].turn;
            place->made = made[places - layout->places + col] != 0;
        }
    }
    self->chart = (draw_chart){ .across = across,
                                .down = rows,
                                .kind_count = layout->kinds.count,
                                .kinds = self->kinds,
                                .places = self->places,
                                .on_point = layout->set == QUILT_ON_POINT };
}

/* "Background: sail cloth. Accent: rust." */
static char *cloths_in_words(const app_chosen *chosen, draw_language language)
{
    g_autoptr(GString) words = g_string_new(NULL);
    for (int role = 0; role < QUILT_ROLES; role++) {
        const char *name = draw_words_of(language, quilt_role_name((quilt_role)role));
        if (chosen->look[role].fabric == 0)
            continue;
        g_autofree char *cloth = draw_fabric_words(language, chosen->look[role].name);
        g_string_append_printf(words, "%s%c%s: %s.", words->len > 0 ? " " : "",
                               g_ascii_toupper(name[0]), name + 1, cloth);
    }
    return words->len == 0 ? NULL : g_strdup(words->str);
}

gboolean app_chart_of(app *self, const app_call *call, app_chart *chart, GError **error)
{
    int made_count;
    if (app_request_has(call, "design")
            ? !app_laid_from_request(self, call, &chart->laid, error)
            : !app_quilt_requested(self, call, &chart->quilt, error) ||
                  !app_laid_from_quilt(&chart->quilt, &chart->laid, error))
        return FALSE;
    bool quilt = chart->quilt.id != 0;
    g_autofree int64_t *made =
        quilt ? app_quilt_made_at(self, &chart->laid, chart->quilt.id, &made_count, error)
              : g_new0(int64_t, (gsize)chart->laid.layout.count);
    if (made == NULL)
        return FALSE;
    chart_fill(chart, made);
    return TRUE;
}

gboolean app_chart_tell_cloths(app *self, app_chart *chart, draw_language language,
                               GError **error)
{
    g_auto(app_chosen) chosen = { 0 };
    if (!app_chosen_get(self, chart->quilt.id, &chosen, error))
        return FALSE;
    chart->chart.cloths = chart->cloths = cloths_in_words(&chosen, language);
    return TRUE;
}

static GBytes *chart_svg(app *self, const app_call *call, GError **error)
{
    g_auto(app_chart) chart = { 0 };
    if (!app_chart_of(self, call, &chart, error))
        return NULL;
    g_autoptr(draw_scene) scene = draw_chart_screen(
        &chart.chart,
        chart.quilt.name != NULL ? chart.quilt.name : chart.laid.design.name);
    return draw_scene_svg_on_page(scene, 0);
}

/* For a list of quilts. */
static GBytes *chart_png(app *self, const app_call *call, GError **error)
{
    g_auto(app_chart) chart = { 0 };
    if (!app_chart_of(self, call, &chart, error) ||
        !app_laid_check_drawn(&chart.laid, error))
        return NULL;
    g_autoptr(draw_scene) scene = draw_chart_small(&chart.chart, chart.quilt.name);
    return app_show_small(scene, call, SMALL_CHART_PX, error);
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

static GBytes *block_jpeg(app *self, const app_call *call, GError **error)
{
    int64_t id = 0;
    g_auto(store_block) block = { 0 };
    if (app_book(self, error) == NULL ||
        !app_request_int(call, "block", 1, G_MAXINT64, &id, error) ||
        !store_block_get(self->book, id, &block, error))
        return NULL;
    return store_picture(self->book, block.picture, error);
}

static const struct {
    const char *what, *type;
    GBytes *(*render)(app *self, const app_call *call, GError **error);
} pictures[] = {
    { "chart.shown", "image/svg+xml", chart_svg },
    { "chart.small", "image/png", chart_png },
    { "design.shown", "image/svg+xml", app_show_design },
    { "design.small", "image/png", app_show_design_small },
    { "design.text", "text/plain; charset=utf-8", app_show_text },
    { "plan.svg", "image/svg+xml", app_show_plan },
    { "cloth.svg", "image/svg+xml", app_show_cloth },
    { "swatch.jpg", "image/jpeg", swatch_jpeg },
    { "plan.jpg", "image/jpeg", plan_jpeg },
    { "block.jpg", "image/jpeg", block_jpeg },
    { "where.svg", "image/svg+xml", app_story_svg },
    { "quilt.jpg", "image/jpeg", app_quilt_jpeg },
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
    const app_paper *paper = app_paper_named(what);
    g_autofree char *sheet = g_strdup(what);
    if (g_str_has_suffix(sheet, paper->ending))
        sheet[strlen(sheet) - strlen(paper->ending)] = '\0';
    g_autoptr(draw_scene) scene = app_sheet_drawn(self, call, sheet, error);
    if (scene == NULL)
        return NULL;
    *ret_type = paper->type;
    return paper->write(scene, 0, error);
}
