/* Designs, plans and cloth as they are shown. */
#include "show-internal.h"

#include "draw/cutlist.h"

#include "own-internal.h"
#include "store/basket.h"

#include <string.h>

/* A picture of more patches than this is a grey area that takes seconds to draw. */
enum { PATCHES_DRAWN_MAX = 60000 };

enum { DESIGN_BLOCKS_LEAST = 3 };

/* About as wide as the catalogue shows them, in CSS pixels. */
enum { SMALL_DESIGN_PX = 192 };

static void palette_add(app_palette *self, quilt_role role, colour_srgb8 colour)
{
    int *count = &self->cloths.count[role];
    if (*count < APP_PALETTE_MAX)
        self->fabric[role][(*count)++] = (draw_fabric){ .colour = colour };
}

/* Invented colours for a book without fabrics, and for the roles that are bought. */
static void palette_complete(app_palette *self)
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

/* A fabric of the basket as pictures show it. */
typedef struct shown_fabric {
    colour_srgb8 colour;
    int value; /* colour_value */
} shown_fabric;

static gboolean read_basket(app *self, GArray *ret_shown, GError **error)
{
    g_autoptr(GArray) shares = NULL;
    if (!store_basket_fabrics(self->book, 0, &shares, error))
        return FALSE;
    for (guint i = 0; i < shares->len && i < APP_PALETTE_MAX; i++) {
        g_auto(app_look) look = { 0 };
        if (!app_look_get(self, g_array_index(shares, store_share, i).id, &look, error))
            return FALSE;
        if (look.colours.count == 0)
            continue;
        shown_fabric one = { colour_srgb8_from_lab(look.colours.lab[0]), look.value };
        g_array_append_val(ret_shown, one);
    }
    return TRUE;
}

/* The colours of the basket, kept until the book changes: a page of the catalogue asks
 * for them once for each of its pictures. Returns a reference, NULL with an error. */
static GArray *shown_of_basket(app *self, GError **error)
{
    int64_t revision = app_revision(self);
    g_mutex_lock(&self->shown_lock);
    GArray *kept = self->shown != NULL && self->shown_revision == revision
                       ? g_array_ref(self->shown)
                       : NULL;
    g_mutex_unlock(&self->shown_lock);
    if (kept != NULL)
        return kept;

    g_autoptr(GArray) shown = g_array_new(FALSE, FALSE, sizeof(shown_fabric));
    if (self->book != NULL && !read_basket(self, shown, error))
        return NULL;
    g_mutex_lock(&self->shown_lock);
    g_clear_pointer(&self->shown, g_array_unref);
    self->shown = g_array_ref(shown);
    self->shown_revision = revision;
    g_mutex_unlock(&self->shown_lock);
    return g_steal_pointer(&shown);
}

/* Her own from the basket, as far as no fabric was chosen for the role. */
static gboolean palette_add_basket(app *self, app_palette *palette, GError **error)
{
    bool lights = palette->cloths.count[QUILT_LIGHT] == 0;
    bool darks = palette->cloths.count[QUILT_DARK] == 0;
    g_autoptr(GArray) shown = shown_of_basket(self, error);
    if (shown == NULL)
        return FALSE;
    for (guint i = 0; i < shown->len; i++) {
        const shown_fabric *one = &g_array_index(shown, shown_fabric, i);
        palette_add(palette, QUILT_SCRAP, one->colour);
        if (one->value == COLOUR_LIGHT && lights)
            palette_add(palette, QUILT_LIGHT, one->colour);
        if (one->value == COLOUR_DARK && darks)
            palette_add(palette, QUILT_DARK, one->colour);
    }
    return TRUE;
}

gboolean app_palette_fill(app *self, const app_chosen *chosen, app_palette *ret_palette,
                          GError **error)
{
    for (int role = 0; role < QUILT_ROLES; role++) {
        const colour_signature *colours = &chosen->look[role].colours;
        if (colours->count > 0)
            palette_add(ret_palette, (quilt_role)role,
                        colour_srgb8_from_lab(colours->lab[0]));
    }
    if (!palette_add_basket(self, ret_palette, error))
        return FALSE;
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

GBytes *app_show_small(const draw_scene *scene, const app_call *call, int width_px,
                       GError **error)
{
    int fine = app_request_flag(call, "fine") ? 2 : 1;
    return draw_scene_small_png(scene, 0, fine * width_px, app_request_flag(call, "dark"),
                                error);
}

static draw_scene *design_scene(app *self, const app_call *call, GError **error)
{
    const char *name;
    quilt_design design;
    app_chosen nothing = { 0 };
    g_autofree app_palette *palette = g_new0(app_palette, 1);
    if (!app_request_need_text(call, "design", &name, error) ||
        !app_design_read(self, name, &design, NULL, NULL, error) ||
        !app_palette_fill(self, &nothing, palette, error))
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
    return draw_design_scene(&design, &layout, &frame, &palette->cloths, 1,
                             4 * LENGTH_INCH, error);
}

GBytes *app_show_design(app *self, const app_call *call, GError **error)
{
    g_autoptr(draw_scene) scene = design_scene(self, call, error);
    return scene == NULL ? NULL : draw_scene_svg_on_page(scene, 0);
}

/* For the catalogue. */
GBytes *app_show_design_small(app *self, const app_call *call, GError **error)
{
    g_autoptr(draw_scene) scene = design_scene(self, call, error);
    return scene == NULL ? NULL : app_show_small(scene, call, SMALL_DESIGN_PX, error);
}

GBytes *app_show_text(app *self, const app_call *call, GError **error)
{
    const char *name;
    quilt_design design;
    char *text;
    if (!app_request_need_text(call, "design", &name, error) ||
        !app_design_read(self, name, &design, &text, NULL, error))
        return NULL;
    return g_bytes_new_take(text, strlen(text));
}

gboolean app_laid_check_drawn(const app_laid *laid, GError **error)
{
    int side = laid->frame.side;
    if ((int64_t)laid->layout.count * side * side <= PATCHES_DRAWN_MAX)
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_CHART_TOO_LARGE,
                "%d blocks are too many to draw.", laid->layout.count);
    return FALSE;
}

/* A quilt, or a plan that is none yet, in the fabrics that it shall have. */
GBytes *app_show_plan(app *self, const app_call *call, GError **error)
{
    g_auto(app_laid) laid = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_chosen) chosen = { 0 };
    g_autofree app_palette *palette = g_new0(app_palette, 1);
    if (!app_laid_requested(self, call, &laid, &quilt, error) ||
        !app_laid_check_drawn(&laid, error) ||
        !app_chosen_get(self, quilt.id, &chosen, error) ||
        !app_palette_fill(self, &chosen, palette, error))
        return NULL;
    g_autoptr(draw_scene) scene =
        draw_design_scene(&laid.design, &laid.layout, &laid.frame, &palette->cloths, 1,
                          6 * LENGTH_INCH, error);
    return scene == NULL ? NULL : draw_scene_svg_on_page(scene, 0);
}

/* How the strips of one line of the shopping list lie on its cloth. */
GBytes *app_show_cloth(app *self, const app_call *call, GError **error)
{
    const char *name;
    g_auto(app_laid) laid = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_autofree quilt_shopping *shopping = g_new(quilt_shopping, 1);
    if (!app_request_need_text(call, "item", &name, error) ||
        !app_shopping(self, call, &laid, &quilt, shopping, error))
        return NULL;
    for (int i = 0; i < shopping->item_count; i++) {
        if (strcmp(quilt_item_name(&shopping->items[i]), name) == 0) {
            g_autoptr(draw_scene) scene =
                draw_cloth_scene(&shopping->items[i], 7 * LENGTH_INCH);
            return draw_scene_svg_on_page(scene, 0);
        }
    }
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_ITEM,
                "No cloth is cut for \"%.40s\".", name);
    return NULL;
}
