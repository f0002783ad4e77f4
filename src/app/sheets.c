/* The sheets that are printed: card, chart, cutting, design, shopping. */
#include "buying-internal.h"
#include "chart-internal.h"
#include "fabric-internal.h"
#include "piecing-internal.h"
#include "quilt/assemble.h"
#include "scrap-internal.h"
#include "sewsheet-internal.h"
#include "sheet-internal.h"
#include "show-internal.h"
#include "story-internal.h"
#include "tools-internal.h"
#include "wall-internal.h"

#include "draw/card.h"
#include "draw/cutlist.h"
#include "draw/cutting.h"
#include "draw/designsheet.h"
#include "draw/labels.h"
#include "draw/map.h"
#include "draw/shopping.h"
#include "store/basket.h"

#include <string.h>

enum {
    CHART_PLACES_MAX = 40000, /* some seventy sheets of A4 */
    MAP_PLACES_MAX = 8192,    /* as many as are arranged at once */
};

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
    ret_head->date = draw_day(settings.language, g_get_real_time() / G_USEC_PER_SEC);
    ret_head->heading.title =
        title == NULL ? NULL : draw_words_of(settings.language, title);
    ret_head->heading.date = ret_head->date;
    ret_head->heading.language = settings.language;
    ret_head->system = settings.system;
    return TRUE;
}

static draw_scene *card_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(app_sheet_head) head = { 0 };
    return app_sheet_heading(self, call, DRAW_WORDS("Measuring card"), &head, error)
               ? draw_card_sheet(head.heading.paper, head.heading.language)
               : NULL;
}

static draw_scene *chart_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(app_chart) chart = { 0 };
    g_auto(app_sheet_head) head = { 0 };
    if (!app_sheet_heading(self, call, DRAW_WORDS("Chart to cross off"), &head, error) ||
        !app_chart_of(self, call, &chart, error) ||
        !app_chart_tell_cloths(self, &chart, head.heading.language, error))
        return NULL;
    if (chart.chart.across * chart.chart.down > CHART_PLACES_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_CHART_TOO_LARGE,
                    "A chart of %d x %d blocks would fill hundreds of sheets.",
                    chart.chart.across, chart.chart.down);
        return NULL;
    }
    head.heading.quilt =
        chart.quilt.name != NULL ? chart.quilt.name : chart.laid.design.name;
    return draw_chart_sheet(&chart.chart, &head.heading);
}

/* A list of what is bought, drawn as a sheet. */
typedef draw_scene *list_drawing(const quilt_shopping *shopping,
                                 const char *const names[], length_system system,
                                 const draw_heading *heading);

static draw_scene *list_sheet(app *self, const app_call *call, const char *title,
                              list_drawing *draw, GError **error)
{
    g_auto(app_sheet_head) head = { 0 };
    g_auto(app_laid) laid = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_chosen) chosen = { 0 };
    const char *names[QUILT_ITEMS_MAX];
    g_autofree quilt_shopping *shopping = g_new(quilt_shopping, 1);
    if (!app_sheet_heading(self, call, title, &head, error) ||
        !app_shopping(self, call, &laid, &quilt, shopping, error) ||
        !app_chosen_get(self, quilt.id, &chosen, error))
        return NULL;
    app_chosen_names(&chosen, shopping, names);
    head.heading.quilt = quilt.name != NULL ? quilt.name : laid.design.name;
    return draw(shopping, names, head.system, &head.heading);
}

static draw_scene *shopping_sheet(app *self, const app_call *call, GError **error)
{
    return list_sheet(self, call, DRAW_WORDS("Shopping list"), draw_shopping_sheet,
                      error);
}

/* A quilt, a plan, or a design at the size in which it shows what it does. */
static draw_scene *design_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(app_sheet_head) head = { 0 };
    g_auto(app_laid) laid = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_chosen) chosen = { 0 };
    g_autofree app_palette *palette = g_new0(app_palette, 1);
    if (!app_sheet_heading(self, call, DRAW_WORDS("Design sheet"), &head, error) ||
        !app_laid_requested(self, call, &laid, &quilt, error) ||
        !app_laid_check_drawn(&laid, error) ||
        !app_chosen_get(self, quilt.id, &chosen, error) ||
        !app_palette_fill(self, &chosen, palette, error))
        return NULL;
    g_autofree char *both = quilt.name == NULL
                                ? NULL
                                : g_strdup_printf("%s, %s", quilt.name, laid.design.name);
    head.heading.quilt = both != NULL ? both : laid.design.name;
    return draw_design_sheet(&laid.design, &laid.layout, &laid.frame, &palette->cloths,
                             head.system, &head.heading, error);
}

/* A scrap on the cutting sheet, with what it is drawn from. */
typedef struct cutting_entry {
    draw_cutting_scrap scrap;
    char *name, *setting;
    app_look look;
    scrap_plan *plan;
} cutting_entry;

static void cutting_entry_clear(gpointer data)
{
    cutting_entry *self = data;
    g_free(self->name);
    g_free(self->setting);
    app_look_clear(&self->look);
    scrap_plan_free(self->plan);
    if (self->scrap.picture != NULL)
        draw_picture_unref(self->scrap.picture);
}

/* The true-scale picture of a photo, kept from scrap to scrap: those of one photo mostly
 * follow each other, and decoding takes longer than all the rest. */
typedef struct plan_picture {
    int64_t photo; /* 0: none yet */
    draw_picture *picture;
    scrap_point corner[3]; /* upper left, upper right, lower left, in the scraps' frame */
} plan_picture;

static void plan_picture_clear(plan_picture *self)
{
    draw_picture_unref(self->picture);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(plan_picture, plan_picture_clear)

static gboolean plan_picture_turn_to(app *self, int64_t id, plan_picture *shown,
                                     GError **error)
{
    g_auto(store_photo) photo = { 0 };
    if (!store_photo_get(self->book, id, &photo, error))
        return FALSE;
    g_clear_pointer(&shown->picture, draw_picture_unref);
    shown->photo = id;
    if (photo.plan == 0)
        return TRUE;
    g_autoptr(GBytes) jpeg = store_picture(self->book, photo.plan, error);
    shown->picture = jpeg == NULL ? NULL : draw_picture_new(jpeg, NULL, error);
    if (shown->picture == NULL)
        return FALSE;
    double per_in = photo.plan_pixels_per_in;
    length right = photo.plan_left +
                   length_from_inches(draw_picture_width_px(shown->picture) / per_in);
    length bottom = photo.plan_top -
                    length_from_inches(draw_picture_height_px(shown->picture) / per_in);
    shown->corner[0] = (scrap_point){ photo.plan_left, photo.plan_top };
    shown->corner[1] = (scrap_point){ right, photo.plan_top };
    shown->corner[2] = (scrap_point){ photo.plan_left, bottom };
    return TRUE;
}

/* The plan of the photo that the scrap lies in, where there is one. */
static gboolean find_picture(app *self, const store_scrap *scrap, plan_picture *shown,
                             draw_cutting_scrap *drawn, GError **error)
{
    if (scrap->photo == 0)
        return TRUE;
    if (shown->photo != scrap->photo &&
        !plan_picture_turn_to(self, scrap->photo, shown, error))
        return FALSE;
    if (shown->picture != NULL) {
        drawn->picture = draw_picture_ref(shown->picture);
        memcpy(drawn->picture_corner, shown->corner, sizeof shown->corner);
    }
    return TRUE;
}

static bool of_several_photos(const GArray *scraps)
{
    for (guint i = 1; i < scraps->len; i++)
        if (g_array_index(scraps, store_scrap, i).photo !=
            g_array_index(scraps, store_scrap, 0).photo)
            return true;
    return false;
}

/* As the page calls it in its photo; with its source where scraps of several photos lie
 * there. Free with g_free(). */
static char *name_of(const store_scrap *scrap, bool of_several, const GArray *sources,
                     draw_language language)
{
    g_autofree char *source = of_several ? app_source_name(sources, scrap->source) : NULL;
    return source == NULL
               ? g_strdup_printf(draw_words(language, "Scrap %d"), scrap->number)
               : g_strdup_printf(draw_words(language, "Scrap %d, %s"), scrap->number,
                                 source);
}

static gboolean cutting_entry_fill(app *self, const store_scrap *scrap, scrap_plan *plan,
                                   draw_language language, plan_picture *shown,
                                   cutting_entry *entry, GError **error)
{
    char unit[LENGTH_TEXT_SIZE];
    entry->plan = plan;
    if (!app_look_get(self, scrap->fabric, &entry->look, error) ||
        !find_picture(self, scrap, shown, &entry->scrap, error))
        return FALSE;
    entry->setting =
        g_strdup_printf(entry->plan->method == SCRAP_CUT_GRID
                            ? draw_words(language, "Grid cut, squares of %s")
                            : draw_words(language, "Strip cut, squares of %s"),
                        draw_unit(language, entry->plan->unit, unit));
    entry->scrap.name = entry->name;
    entry->scrap.fabric = scrap->fabric == 0 ? NULL : entry->look.name;
    entry->scrap.setting = entry->setting;
    entry->scrap.outline = store_outline_view(scrap->outline);
    entry->scrap.plan = entry->plan;
    return TRUE;
}

/* Scraps of like settings follow each other: the way of cutting, then as many strips
 * under the ruler, then as many squares along them, so that it is set anew seldom. */
static int by_setting(gconstpointer a, gconstpointer b)
{
    const scrap_plan *one = ((const cutting_entry *)a)->plan;
    const scrap_plan *other = ((const cutting_entry *)b)->plan;
    if (one->method != other->method)
        return (int)one->method - (int)other->method;
    if (one->strips != other->strips)
        return other->strips - one->strips;
    return other->squares - one->squares;
}

static draw_scene *draw_entries(GArray *entries, const app_sheet_head *head)
{
    g_array_sort(entries, by_setting);
    g_autofree draw_cutting_scrap *scraps = g_new0(draw_cutting_scrap, entries->len + 1);
    for (guint i = 0; i < entries->len; i++)
        scraps[i] = g_array_index(entries, cutting_entry, i).scrap;
    return draw_cutting_sheet((int)entries->len, scraps, &head->heading);
}

/* All scraps that lie there and give squares. */
static draw_scene *scraps_sheet(app *self, const app_call *call, GError **error)
{
    app_cutting cutting;
    g_auto(app_sheet_head) head = { 0 };
    g_autoptr(GArray) scraps = NULL;
    g_autoptr(GArray) sources = NULL;
    if (!app_sheet_heading(self, call, DRAW_WORDS("Cutting sheet"), &head, error) ||
        app_book(self, error) == NULL ||
        !app_cutting_requested(self, call, &cutting, error) ||
        !store_source_list(self->book, &sources, error) ||
        !store_scrap_list(self->book, STORE_SCRAP_LYING, 0, 0, &scraps, error))
        return NULL;
    const bool of_several = of_several_photos(scraps);
    g_auto(plan_picture) shown = { 0 };
    g_autoptr(GArray) entries = g_array_new(FALSE, TRUE, sizeof(cutting_entry));
    g_array_set_clear_func(entries, cutting_entry_clear);
    for (guint i = 0; i < scraps->len; i++) {
        const store_scrap *scrap = &g_array_index(scraps, store_scrap, i);
        if (!app_call_step(call, (double)i / scraps->len, "Drawing the scraps", error))
            return NULL;
        g_autoptr(scrap_plan) plan =
            scrap_plan_make(store_outline_view(scrap->outline), &cutting.plan, error);
        if (plan == NULL)
            return NULL;
        if (plan->squares == 0)
            continue;
        cutting_entry entry = { .name = name_of(scrap, of_several, sources,
                                                head.heading.language) };
        gboolean filled =
            cutting_entry_fill(self, scrap, g_steal_pointer(&plan), head.heading.language,
                               &shown, &entry, error);
        g_array_append_val(entries, entry);
        if (!filled)
            return NULL;
    }
    return draw_entries(entries, &head);
}

/* For a quilt: how its cloth is cut. Without one: the scraps that lie there. */
static draw_scene *cutting_sheet(app *self, const app_call *call, GError **error)
{
    bool of_quilt = app_request_has(call, "quilt") || app_request_has(call, "design");
    return of_quilt ? list_sheet(self, call, DRAW_WORDS("Cutting list"),
                                 draw_cutlist_sheet, error)
                    : scraps_sheet(self, call, error);
}

/* The arrangement map with what it is drawn from. */
typedef struct map_entry {
    app_wall wall;
    draw_map map;
    draw_chart_kind kinds[DRAW_CHART_KINDS_MAX];
    draw_map_place *places;
    draw_fabric *fabrics;        /* of the wall's looks */
    const draw_fabric **patches; /* of each block, two a patch */
    draw_picture **pictures;     /* of each block; NULL where there is none */
    char (*labels)[24];          /* of each block */
} map_entry;

static void map_entry_clear(map_entry *self)
{
    for (int b = 0; self->pictures != NULL && b < self->wall.blocks; b++)
        if (self->pictures[b] != NULL)
            draw_picture_unref(self->pictures[b]);
    app_wall_clear(&self->wall);
    g_free(self->places);
    g_free(self->fabrics);
    g_free(self->patches);
    g_free(self->pictures);
    g_free(self->labels);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(map_entry, map_entry_clear)

static gboolean map_pictures(app *self, map_entry *entry, GError **error)
{
    entry->pictures = g_new0(draw_picture *, (gsize)entry->wall.blocks + 1);
    for (int b = 0; b < entry->wall.blocks; b++) {
        if (entry->wall.block[b].picture == 0)
            continue;
        g_autoptr(GBytes) jpeg =
            store_picture(self->book, entry->wall.block[b].picture, error);
        entry->pictures[b] = jpeg == NULL ? NULL : draw_picture_new(jpeg, NULL, error);
        if (entry->pictures[b] == NULL)
            return FALSE;
    }
    return TRUE;
}

/* Fabrics of the patches of each block: NULL paints the tint of the role. */
static void map_patches(map_entry *entry)
{
    const app_wall *wall = &entry->wall;
    int halves = 2 * wall->laid.frame.side * wall->laid.frame.side;
    entry->fabrics = g_new0(draw_fabric, (gsize)wall->fabrics + 1);
    for (int i = 0; i < wall->fabrics; i++)
        entry->fabrics[i].colour =
            wall->looks[i].colours.count > 0
                ? colour_srgb8_from_lab(colour_signature_mean(&wall->looks[i].colours))
                : (colour_srgb8){ 200, 200, 200 };
    entry->patches =
        g_new0(const draw_fabric *, (gsize)(wall->blocks + 1) * (gsize)halves);
    for (int i = 0; i < wall->blocks * halves; i++)
        if (wall->fabric[i] >= 0)
            entry->patches[i] = &entry->fabrics[wall->fabric[i]];
}

static void map_fill(map_entry *entry)
{
    const app_wall *wall = &entry->wall;
    const quilt_layout *layout = &wall->laid.layout;
    int halves = 2 * wall->laid.frame.side * wall->laid.frame.side;
    for (int kind = 0; kind < layout->kinds.count; kind++) {
        const quilt_block *block = app_laid_block(&wall->laid, kind);
        entry->kinds[kind] = (draw_chart_kind){ block->name, block };
    }
    entry->places = g_new0(draw_map_place, (gsize)layout->rows * (gsize)layout->across);
    entry->labels = g_malloc0(sizeof entry->labels[0] * ((gsize)wall->blocks + 1));
    map_patches(entry);
    for (int row = 0; row < layout->rows; row++) {
        int count;
        const quilt_place *places = quilt_layout_row(layout, row, &count);
        for (int col = 0; col < layout->across; col++) {
            draw_map_place *place = &entry->places[row * layout->across + col];
            int b = col < count ? wall->at[places - layout->places + col] : -1;
            *place = (draw_map_place){ .kind = -1 };
            if (col < count)
                *place = (draw_map_place){ .kind = (int8_t)places[col].kind,
                                           .turn = places[col].turn };
            if (b < 0)
                continue;
            g_snprintf(entry->labels[b], sizeof entry->labels[b], "%" PRId64,
                       wall->block[b].id);
            place->turn = (uint8_t)wall->block[b].turn;
            place->label = entry->labels[b];
            place->picture = entry->pictures[b];
            place->fabrics =
                wall->block[b].known ? entry->patches + (size_t)b * (size_t)halves : NULL;
        }
    }
    entry->map = (draw_map){ .across = layout->across,
                             .down = layout->rows,
                             .kind_count = layout->kinds.count,
                             .kinds = entry->kinds,
                             .places = entry->places,
                             .on_point = layout->set == QUILT_ON_POINT };
}

static draw_scene *map_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(map_entry) entry = { 0 };
    g_auto(app_sheet_head) head = { 0 };
    if (!app_sheet_heading(self, call, DRAW_WORDS("Arrangement map"), &head, error) ||
        !app_wall_requested(self, call, &entry.wall, error) ||
        !map_pictures(self, &entry, error))
        return NULL;
    if (entry.wall.laid.layout.count > MAP_PLACES_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_CHART_TOO_LARGE,
                    "A map of %d places would fill hundreds of sheets.",
                    entry.wall.laid.layout.count);
        return NULL;
    }
    map_fill(&entry);
    head.heading.quilt = entry.wall.quilt.name;
    return draw_map_sheet(&entry.map, &head.heading);
}

static draw_scene *rows_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(app_sheet_head) head = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    if (!app_sheet_heading(self, call, DRAW_WORDS("Labels for rows"), &head, error) ||
        !app_quilt_requested(self, call, &quilt, error) ||
        !app_laid_from_quilt(&quilt, &laid, error))
        return NULL;
    int lines = quilt_lines(&laid.layout);
    g_autofree int *blocks = g_new(int, (gsize)lines);
    for (int line = 0; line < lines; line++)
        blocks[line] = quilt_line_blocks(&laid.layout, line);
    head.heading.quilt = quilt.name;
    const draw_rows rows = { quilt.name, lines, blocks,
                             laid.layout.set == QUILT_ON_POINT };
    return draw_rows_sheet(&rows, &head.heading);
}

/* "Harbour, Orchard, Kite Day"; empty when nothing is known. g_free() it. */
static char *sources_in_words(app *self, int64_t quilt, GError **error)
{
    g_autoptr(GArray) shares = NULL;
    g_autoptr(GArray) sources = NULL;
    g_autoptr(GString) words = g_string_new(NULL);
    if (!store_quilt_sources(self->book, quilt, &shares, error) ||
        !store_source_list(self->book, &sources, error))
        return NULL;
    int named = 0;
    for (guint i = 0; i < shares->len; i++) {
        g_autofree char *name =
            app_source_name(sources, g_array_index(shares, store_share, i).id);
        if (name != NULL)
            g_string_append_printf(words, "%s%s", named++ > 0 ? ", " : "", name);
    }
    return g_string_free(g_steal_pointer(&words), FALSE);
}

/* The label on the back: what she gives as maker, for and care, and what the book knows.
 */
static draw_scene *label_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(app_sheet_head) head = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    if (!app_sheet_heading(self, call, DRAW_WORDS("Label for the back"), &head, error) ||
        !app_quilt_requested(self, call, &quilt, error) ||
        !app_laid_from_quilt(&quilt, &laid, error))
        return NULL;
    g_autofree char *sources = sources_in_words(self, quilt.id, error);
    if (sources == NULL)
        return NULL;
    const draw_language language = head.heading.language;
    const char *maker = app_request_text(call, "maker");
    const char *whom = app_request_text(call, "for");
    const char *care = app_request_text(call, "care");
    g_autofree char *made =
        maker == NULL ? NULL : g_strdup_printf(draw_words(language, "made by %s"), maker);
    g_autofree char *given =
        whom == NULL ? NULL : g_strdup_printf(draw_words(language, "for %s"), whom);
    g_autofree char *begun = draw_day(language, quilt.started);
    g_autofree char *ended = quilt.closed == 0 ? NULL : draw_day(language, quilt.closed);
    g_autofree char *dates =
        ended == NULL ? g_strdup_printf(draw_words(language, "begun %s"), begun)
                      : g_strdup_printf(draw_words(language, "%s to %s"), begun, ended);
    g_autofree char *pattern = g_strdup_printf(draw_words(language, "%s, %d blocks"),
                                               laid.design.name, laid.layout.count);
    g_autofree char *cloth =
        *sources == '\0'
            ? NULL
            : g_strdup_printf(draw_words(language, "Cloth from %s"), sources);
    const draw_label label = {
        quilt.name,
        { made, given, dates, pattern, cloth,
          care != NULL ? care : draw_words(language, "Wash cool and gently, dry flat.") },
    };
    head.heading.quilt = quilt.name;
    return draw_label_sheet(&label, &head.heading);
}

static const struct {
    const char *what;
    draw_scene *(*draw)(app *self, const app_call *call, GError **error);
} sheets[] = {
    { "card", card_sheet },           { "chart", chart_sheet },
    { "cutting", cutting_sheet },     { "design", design_sheet },
    { "label", label_sheet },         { "map", map_sheet },
    { "picture", app_story_picture }, { "year", app_year_sheet },
    { "next", app_piecing_sheet },    { "rows", rows_sheet },
    { "sew", app_sew_sheet },         { "shopping", shopping_sheet },
    { "story", app_story_sheet },
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
