/* The sheet "story": a quilt's picture, what it is, where its cloth came from and where
 * each source's lies. */
#include "story-internal.h"

#include "draw/flow.h"
#include "store/basket.h"
#include "work-internal.h"

enum { FABRICS_ON_SHEET = 40, MAPS_ON_SHEET = 9, MAPS_ACROSS = 3 };

#define MAP_GAP (6 * LENGTH_MM)

static void add_row(GPtrArray *cells, char *name, char *figure)
{
    g_ptr_array_add(cells, name);
    g_ptr_array_add(cells, figure);
}

/* "12", or "about 12" where it was partly reckoned. Free with g_free(). */
static char *number_in_words(draw_language language, bool about, int64_t number)
{
    return g_strdup_printf(about ? draw_words(language, "about %d") : "%d", (int)number);
}

static void tell_facts(draw_flow *flow, const app_story *self, const app_work *work,
                       length_system system)
{
    static const draw_flow_column columns[] = { { DRAW_WORDS("What"), 2, DRAW_LEFT },
                                                { "", 3, DRAW_RIGHT } };
    const draw_language language = flow->heading->language;
    char w[LENGTH_TEXT_SIZE], h[LENGTH_TEXT_SIZE];
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    const app_laid *laid = &self->wall.laid;
    const store_quilt *quilt = &self->wall.quilt;
    quilt_extent top = app_work_size(work, "top");
    quilt_extent size = top.width > 0 ? top : laid->sizes.finished;
    add_row(cells, g_strdup(draw_words(language, "Begun")),
            draw_day(language, quilt->started));
    add_row(cells, g_strdup(draw_words(language, "Finished")),
            quilt->closed == 0 ? g_strdup(draw_words(language, "under way"))
                               : draw_day(language, quilt->closed));
    add_row(cells, g_strdup(draw_words(language, "Design")), g_strdup(laid->design.name));
    add_row(cells, g_strdup(draw_words(language, "Blocks")),
            g_strdup_printf(draw_words(language, "%d x %d, %d made"), laid->frame.across,
                            laid->frame.down, app_story_places_filled(self)));
    add_row(cells,
            g_strdup(top.width > 0 ? draw_words(language, "Measures")
                                   : draw_words(language, "Size by the plan")),
            g_strdup_printf("%s x %s", draw_length(language, size.width, system, 8, w),
                            draw_length(language, size.height, system, 8, h)));
    for (int role = 0; role < QUILT_ROLES; role++)
        if (self->chosen.look[role].fabric != 0)
            add_row(cells,
                    g_strdup(draw_words_of(language, quilt_role_name((quilt_role)role))),
                    draw_fabric_words(language, self->chosen.look[role].name));
    draw_flow_table(flow, 2, columns, (int)cells->len / 2,
                    (const char *const *)cells->pdata);
}

static void tell_sources(draw_flow *flow, const app_story *self)
{
    static const draw_flow_column columns[] = { { DRAW_WORDS("Came from"), 3, DRAW_LEFT },
                                                { DRAW_WORDS("Squares"), 1, DRAW_RIGHT },
                                                { DRAW_WORDS("Share"), 1, DRAW_RIGHT } };
    const draw_language language = flow->heading->language;
    int64_t all = 0;
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    for (guint i = 0; i < self->shares->len; i++) {
        const store_share *share = &g_array_index(self->shares, store_share, i);
        all += share->known + share->inferred;
    }
    if (all == 0)
        return;
    for (guint i = 0; i < self->shares->len; i++) {
        const store_share *share = &g_array_index(self->shares, store_share, i);
        int64_t squares = share->known + share->inferred;
        char *name = app_source_name(self->sources, share->id);
        g_ptr_array_add(cells,
                        name != NULL ? name : g_strdup(draw_words(language, "not said")));
        g_ptr_array_add(cells, number_in_words(language, share->inferred > 0, squares));
        g_ptr_array_add(
            cells, g_strdup_printf("%.0f %%", 100.0 * (double)squares / (double)all));
    }
    draw_flow_heading(flow, draw_words(language, "Where its cloth came from"),
                      30 * LENGTH_MM);
    draw_flow_table(flow, 3, columns, (int)cells->len / 3,
                    (const char *const *)cells->pdata);
}

/* One small map: what came from a source in full, the rest pale. */
static void draw_source_map(draw_flow *flow, const app_story *self,
                            const store_share *share, length left, length width)
{
    const draw_text_style text = { .size = DRAW_PT(9) };
    const app_story_shown shown = { .by_source = true, .source = share->id };
    g_autofree char *name = app_source_name(self->sources, share->id);
    g_autofree char *fitted = draw_text_fit(
        &text, name != NULL ? name : draw_words(flow->heading->language, "not said"),
        width);
    draw_scene_text(flow->scene, &text, left, flow->y + DRAW_PT(9), fitted);
    app_story_draw(self, &shown, flow->scene, left, flow->y + DRAW_PT(13), width);
}

/* Where what came from each source lies, the sources with most squares first. */
static void draw_source_maps(draw_flow *flow, const app_story *self)
{
    guint maps = MIN(self->shares->len, (guint)MAPS_ON_SHEET);
    if (self->wall.blocks == 0 || maps < 2)
        return;
    length room = flow->frame.right - flow->frame.left;
    length across = (room - (MAPS_ACROSS - 1) * MAP_GAP) / MAPS_ACROSS;
    length wide = app_story_width_within(self, across, 80 * LENGTH_MM);
    length height =
        DRAW_PT(13) + draw_quilt_height(&self->wall.laid.sizes, wide) + MAP_GAP;
    draw_flow_heading(flow, draw_words(flow->heading->language, "Where each source lies"),
                      height);
    for (guint i = 0; i < maps; i++) {
        if (i % MAPS_ACROSS == 0)
            draw_flow_room(flow, height);
        draw_source_map(flow, self, &g_array_index(self->shares, store_share, i),
                        flow->frame.left + (length)(i % MAPS_ACROSS) * (across + MAP_GAP),
                        wide);
        if (i % MAPS_ACROSS == MAPS_ACROSS - 1 || i == maps - 1)
            flow->y += height;
    }
}

static void tell_fabrics(draw_flow *flow, const app_story *self)
{
    static const draw_flow_column columns[] = {
        { DRAW_WORDS("Fabric"), 3, DRAW_LEFT }, { DRAW_WORDS("Patches"), 1, DRAW_RIGHT }
    };
    const draw_language language = flow->heading->language;
    g_autofree int *order = app_story_by_patches(self);
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    int told = MIN(self->wall.fabrics, FABRICS_ON_SHEET);
    if (told == 0)
        return;
    for (int i = 0; i < told; i++)
        add_row(cells, draw_fabric_words(language, self->wall.looks[order[i]].name),
                number_in_words(language, self->inferred[order[i]] > 0,
                                self->patches[order[i]]));
    draw_flow_heading(flow, draw_words(language, "Its fabrics"), 30 * LENGTH_MM);
    draw_flow_table(flow, 2, columns, told, (const char *const *)cells->pdata);
    if (told < self->wall.fabrics) {
        g_autofree char *more = g_strdup_printf(draw_words(language, "and %d more"),
                                                self->wall.fabrics - told);
        draw_flow_paragraph(flow, more);
    }
}

/* The map as wide as the page, or as high as leaves room for the facts. */
static void draw_whole_map(draw_flow *flow, const app_story *self)
{
    const app_story_shown all = { 0 };
    length room = flow->frame.right - flow->frame.left;
    length width = app_story_width_within(self, room, 120 * LENGTH_MM);
    flow->y += app_story_draw(self, &all, flow->scene,
                              flow->frame.left + (room - width) / 2, flow->y, width) +
               5 * LENGTH_MM;
}

/* Her own picture of the quilt below the map, where she kept one. */
static gboolean draw_kept_picture(app *self, draw_flow *flow, int64_t picture,
                                  GError **error)
{
    if (picture == 0)
        return TRUE;
    g_autoptr(GBytes) jpeg = store_picture(self->book, picture, error);
    draw_picture *drawn = jpeg == NULL ? NULL : draw_picture_new(jpeg, NULL, error);
    if (drawn == NULL)
        return FALSE;
    double ratio =
        (double)draw_picture_height_px(drawn) / (double)draw_picture_width_px(drawn);
    length room = flow->frame.right - flow->frame.left;
    length width = MIN(room, (length)(80 * LENGTH_MM / ratio));
    length height = (length)(width * ratio);
    draw_flow_room(flow, height);
    length left = flow->frame.left + (room - width) / 2;
    draw_scene_picture(flow->scene, drawn,
                       (draw_point[]){ { left, flow->y },
                                       { left + width, flow->y },
                                       { left, flow->y + height } },
                       0, NULL);
    draw_picture_unref(drawn);
    flow->y += height + 5 * LENGTH_MM;
    return TRUE;
}

draw_scene *app_story_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(app_sheet_head) head = { 0 };
    g_auto(app_story) story = { 0 };
    g_auto(app_work) work = { 0 };
    if (!app_sheet_heading(self, call, DRAW_WORDS("The story of a quilt"), &head,
                           error) ||
        !app_story_requested(self, call, &story, error) ||
        !app_work_requested(self, call, &work, error))
        return NULL;
    head.heading.quilt = story.wall.quilt.name;
    draw_flow flow = draw_flow_begin(&head.heading);
    draw_whole_map(&flow, &story);
    if (!draw_kept_picture(self, &flow, story.wall.quilt.picture, error)) {
        draw_scene_free(flow.scene);
        return NULL;
    }
    if (story.wall.quilt.note != NULL)
        draw_flow_paragraph(&flow, story.wall.quilt.note);
    tell_facts(&flow, &story, &work, head.system);
    tell_sources(&flow, &story);
    draw_source_maps(&flow, &story);
    tell_fabrics(&flow, &story);
    return draw_flow_end(&flow);
}
