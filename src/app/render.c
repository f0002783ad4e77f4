/* Pictures for the page: charts, designs, swatches, plans of photos; and the sheets as
 * PDF. */
#include "chart-internal.h"
#include "fabric-internal.h"
#include "scrap-internal.h"
#include "sheet-internal.h"

#include "draw/block.h"
#include "store/basket.h"

#include <string.h>

void app_chart_clear(app_chart *chart)
{
    store_quilt_clear(&chart->quilt);
    app_laid_clear(&chart->laid);
    g_clear_pointer(&chart->places, g_free);
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

gboolean app_chart_of(app *self, const app_call *call, app_chart *chart, GError **error)
{
    int made_count;
    if (!app_quilt_requested(self, call, &chart->quilt, error) ||
        !app_laid_from_quilt(&chart->quilt, &chart->laid, error))
        return FALSE;
    g_autofree int64_t *made =
        app_quilt_made_at(self, &chart->laid, chart->quilt.id, &made_count, error);
    if (made == NULL)
        return FALSE;
    chart_fill(chart, made);
    return TRUE;
}

static GBytes *chart_svg(app *self, const app_call *call, GError **error)
{
    g_auto(app_chart) chart = { 0 };
    if (!app_chart_of(self, call, &chart, error))
        return NULL;
    g_autoptr(draw_scene) scene = draw_chart_screen(&chart.chart, chart.quilt.name);
    return draw_scene_svg(scene, 0);
}

enum { DESIGN_FABRICS = 48, DESIGN_BLOCKS_LEAST = 3 };

/* What a design is shown in: her own fabrics where she has some, else a few of our
 * choice. */
typedef struct palette {
    draw_fabric fabric[QUILT_ROLES][DESIGN_FABRICS];
    draw_cloths cloths;
} palette;

static void palette_add(palette *self, quilt_role role, colour_srgb8 colour)
{
    int *count = &self->cloths.count[role];
    if (*count < DESIGN_FABRICS)
        self->fabric[role][(*count)++] = (draw_fabric){ .colour = colour };
}

/* Invented colours for a book without fabrics, and for the roles that are bought. */
static void palette_complete(palette *self)
{
    static const struct {
        quilt_role role;
        colour_srgb8 colour;
    } ours[] = {
        { QUILT_BACKGROUND, { 240, 234, 220 } }, { QUILT_ACCENT, { 150, 52, 44 } },
        { QUILT_LIGHT, { 226, 208, 170 } },      { QUILT_LIGHT, { 198, 216, 224 } },
        { QUILT_DARK, { 44, 62, 92 } },          { QUILT_DARK, { 92, 52, 60 } },
        { QUILT_SCRAP, { 60, 96, 130 } },        { QUILT_SCRAP, { 178, 84, 60 } },
        { QUILT_SCRAP, { 112, 138, 88 } },       { QUILT_SCRAP, { 214, 172, 84 } },
        { QUILT_SCRAP, { 108, 72, 108 } },       { QUILT_SCRAP, { 70, 130, 128 } },
    };
    bool had[QUILT_ROLES];
    for (int role = 0; role < QUILT_ROLES; role++)
        had[role] = self->cloths.count[role] > 0;
    for (size_t i = 0; i < G_N_ELEMENTS(ours); i++)
        if (!had[ours[i].role])
            palette_add(self, ours[i].role, ours[i].colour);
    for (int role = 0; role < QUILT_ROLES; role++)
        self->cloths.fabrics[role] = self->fabric[role];
}

static gboolean palette_fill(app *self, palette *ret_palette, GError **error)
{
    g_autoptr(GArray) shares = NULL;
    if (self->book != NULL && !store_basket_fabrics(self->book, 0, &shares, error))
        return FALSE;
    for (guint i = 0; shares != NULL && i < shares->len && i < DESIGN_FABRICS; i++) {
        g_auto(app_look) look = { 0 };
        if (!app_look_get(self, g_array_index(shares, store_share, i).id, &look, error))
            return FALSE;
        if (look.colours.count == 0)
            continue;
        colour_srgb8 colour = colour_srgb8_from_lab(look.colours.lab[0]);
        palette_add(ret_palette, QUILT_SCRAP, colour);
        if (look.value == COLOUR_LIGHT)
            palette_add(ret_palette, QUILT_LIGHT, colour);
        if (look.value == COLOUR_DARK)
            palette_add(ret_palette, QUILT_DARK, colour);
    }
    palette_complete(ret_palette);
    return TRUE;
}

/* Whole repeats that show what the design does, an even number where quarters ask for it.
 */
static int blocks_to_show(int repeat)
{
    int blocks = repeat;
    while (blocks < DESIGN_BLOCKS_LEAST || blocks % 2 != 0)
        blocks += repeat;
    return blocks;
}

static GBytes *design_svg(app *self, const app_call *call, GError **error)
{
    const char *name;
    quilt_design design;
    g_autofree palette *cloths = g_new0(palette, 1);
    if (!app_request_need_text(call, "design", &name, error) ||
        !app_design_read(name, &design, NULL, error) ||
        !palette_fill(self, cloths, error))
        return NULL;
    int64_t across = blocks_to_show(design.cols), down = blocks_to_show(design.rows);
    g_auto(quilt_layout) layout = { 0 };
    if (!app_request_int(call, "across", 1, 60, &across, error) ||
        !app_request_int(call, "down", 1, 60, &down, error) ||
        !quilt_layout_make(&design, (int)across, (int)down, (quilt_start){ 0, 0 },
                           &layout, error))
        return NULL;
    quilt_frame frame = quilt_frame_make(&design, (int)across, (int)down,
                                         LENGTH_INCH * 5 / 2, QUILT_SEAM);
    g_autoptr(draw_scene) scene = draw_design_scene(
        &design, &layout, &frame, &cloths->cloths, 1, 4 * LENGTH_INCH, error);
    return scene == NULL ? NULL : draw_scene_svg(scene, 0);
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
    { "chart.svg", "image/svg+xml", chart_svg },
    { "design.svg", "image/svg+xml", design_svg },
    { "swatch.jpg", "image/jpeg", swatch_jpeg },
    { "plan.jpg", "image/jpeg", plan_jpeg },
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
    *ret_type = "application/pdf";
    return draw_scene_pdf(scene, error);
}
