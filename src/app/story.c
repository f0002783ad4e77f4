#include "story-internal.h"

#include "photo/load.h"
#include "shares-internal.h"
#include "store/basket.h"
#include "work-internal.h"

#include <string.h>

enum { PICTURE_QUALITY = 85 };

void app_story_clear(app_story *self)
{
    app_wall_clear(&self->wall);
    app_chosen_clear(&self->chosen);
    g_clear_pointer(&self->origins, g_array_unref);
    g_clear_pointer(&self->sources, g_array_unref);
    g_clear_pointer(&self->shares, g_array_unref);
    g_free(self->patches);
    g_free(self->inferred);
}

/* --- what went in ---------------------------------------------------------------------
 */

static int halves_of(const app_story *self)
{
    return 2 * self->wall.laid.frame.side * self->wall.laid.frame.side;
}

static bool is_a_patch(const quilt_block *block, int half)
{
    return half % 2 == 0 || block->patches[half / 2].split != QUILT_WHOLE;
}

static void count_patches(app_story *self)
{
    const app_wall *wall = &self->wall;
    int halves = halves_of(self);
    self->patches = g_new0(int, (gsize)wall->fabrics + 1);
    for (int b = 0; b < wall->blocks; b++) {
        const quilt_block *block = app_laid_block(&wall->laid, wall->block[b].kind);
        const int16_t *fabric = app_wall_fabrics(wall, b);
        for (int half = 0; half < halves; half++)
            if (fabric[half] >= 0 && is_a_patch(block, half))
                self->patches[fabric[half]]++;
    }
}

static int look_of(const app_wall *wall, int64_t fabric)
{
    for (int i = 0; i < wall->fabrics; i++)
        if (wall->looks[i].fabric == fabric)
            return i;
    return -1;
}

/* What nobody saw or said is told as inferred. */
static gboolean count_inferred(app *self, app_story *story, GError **error)
{
    g_autoptr(GArray) patches = NULL;
    story->inferred = g_new0(int, (gsize)story->wall.fabrics + 1);
    if (!store_patch_of_quilt(self->book, story->wall.quilt.id, &patches, error))
        return FALSE;
    int64_t last = -1;
    int look = -1;
    for (guint i = 0; i < patches->len; i++) {
        const store_patch *patch = &g_array_index(patches, store_patch, i);
        if (patch->known || patch->fabric == 0)
            continue;
        if (patch->fabric != last)
            look = look_of(&story->wall, last = patch->fabric);
        if (look >= 0)
            story->inferred[look]++;
    }
    return TRUE;
}

gboolean app_story_requested(app *self, const app_call *call, app_story *ret_story,
                             GError **error)
{
    g_auto(app_story) story = { 0 };
    if (!app_wall_requested(self, call, &story.wall, error))
        return FALSE;
    int64_t quilt = story.wall.quilt.id;
    if (!app_chosen_get(self, quilt, &story.chosen, error) ||
        !store_quilt_origins(self->book, quilt, &story.origins, error) ||
        !store_source_list(self->book, &story.sources, error) ||
        !store_quilt_sources(self->book, quilt, &story.shares, error) ||
        !count_inferred(self, &story, error))
        return FALSE;
    count_patches(&story);
    *ret_story = story;
    memset(&story, 0, sizeof story);
    return TRUE;
}

/* --- where it lies --------------------------------------------------------------------
 */

/* The first origin of a block, where its fabrics begin. */
static guint first_origin(const GArray *origins, int64_t block)
{
    guint low = 0, high = origins->len;
    while (low < high) {
        guint mid = low + (high - low) / 2;
        if (g_array_index(origins, store_origin, mid).block < block)
            low = mid + 1;
        else
            high = mid;
    }
    return low;
}

/* Where a fabric of a block came from: the source of most of its squares there. -1 where
 * the ledger tells nothing. */
static int64_t source_in_block(const GArray *origins, int64_t block, int64_t fabric)
{
    for (guint i = first_origin(origins, block); i < origins->len; i++) {
        const store_origin *one = &g_array_index(origins, store_origin, i);
        if (one->block != block)
            break;
        if (one->fabric == fabric)
            return one->source;
    }
    return -1;
}

static bool is_shown(const app_story *self, const app_story_shown *shown, int64_t block,
                     int64_t fabric)
{
    if (shown->by_fabric)
        return fabric == shown->fabric;
    return !shown->by_source ||
           source_in_block(self->origins, block, fabric) == shown->source;
}

/* What nobody has seen is grey; greys follow the scheme of the page. */
static draw_fabric in_full(const app_look *look, draw_ink unseen)
{
    if (look->colours.count == 0)
        return (draw_fabric){ .ink = unseen };
    return (draw_fabric){ .colour = colour_srgb8_from_lab(
                              colour_signature_mean(&look->colours)) };
}

/* What is not meant stands back, fainter than any that is unseen, but the design stays to
 * be seen by its background. */
static const draw_fabric pale = { .ink = DRAW_TINT_1 };
static const draw_fabric pale_background = { .ink = DRAW_TINT_0 };

/* What a patch may be painted with in full: each look, and each chosen role. */
typedef struct palette {
    draw_fabric *full; /* of the looks */
    draw_fabric role[QUILT_ROLES];
    const draw_fabric **patches; /* of one block */
} palette;

static palette palette_of(const app_story *self)
{
    static const draw_ink unseen[QUILT_ROLES] = {
        [QUILT_SCRAP] = DRAW_TINT_2,  [QUILT_BACKGROUND] = DRAW_TINT_1,
        [QUILT_LIGHT] = DRAW_TINT_1,  [QUILT_DARK] = DRAW_TINT_4,
        [QUILT_ACCENT] = DRAW_TINT_3,
    };
    palette colours = { 0 };
    int looks = self->wall.fabrics;
    colours.full = g_new0(draw_fabric, (gsize)looks + 1);
    colours.patches = g_new0(const draw_fabric *, (gsize)halves_of(self));
    for (int i = 0; i < looks; i++)
        colours.full[i] = in_full(&self->wall.looks[i], DRAW_TINT_2);
    for (int role = 0; role < QUILT_ROLES; role++)
        colours.role[role] = in_full(&self->chosen.look[role], unseen[role]);
    return colours;
}

static void palette_clear(palette *self)
{
    g_free(self->full);
    g_free(self->patches);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(palette, palette_clear)

/* What a map is painted from while it is drawn. */
typedef struct map_painter {
    const app_story *story;
    const app_story_shown *shown;
    palette *colours;
} map_painter;

/* A role's cloth in full where it is meant and has been sewn. */
static const draw_fabric *role_fabric(const map_painter *self, int role, bool sewn)
{
    const app_story_shown *shown = self->shown;
    bool all = !shown->by_source && !shown->by_fabric;
    bool meant = all || (shown->by_fabric &&
                         shown->fabric == self->story->chosen.look[role].fabric);
    if (sewn && meant)
        return &self->colours->role[role];
    return role == QUILT_BACKGROUND ? &pale_background : &pale;
}

static const draw_fabric *const *paint_block(void *data, int place, int *turn)
{
    map_painter *self = data;
    const app_wall *wall = &self->story->wall;
    const quilt_block *block =
        app_laid_block(&wall->laid, wall->laid.layout.places[place].kind);
    int b = wall->at[place];
    const int16_t *fabric = b < 0 ? NULL : app_wall_fabrics(wall, b);
    for (int half = 0; half < halves_of(self->story); half++) {
        const quilt_patch *patch = &block->patches[half / 2];
        int role = patch->role[patch->split == QUILT_WHOLE ? 0 : half % 2];
        int look = fabric == NULL ? -1 : fabric[half];
        if (look < 0)
            self->colours->patches[half] = role_fabric(self, role, b >= 0);
        else
            self->colours->patches[half] =
                is_shown(self->story, self->shown, wall->block[b].id,
                         wall->looks[look].fabric)
                    ? &self->colours->full[look]
                    : &pale;
    }
    if (b >= 0)
        *turn = wall->block[b].turn;
    return self->colours->patches;
}

length app_story_draw(const app_story *self, const app_story_shown *shown,
                      draw_scene *scene, length left, length top, length width)
{
    const app_laid *laid = &self->wall.laid;
    g_auto(palette) colours = palette_of(self);
    map_painter painter = { self, shown, &colours };
    draw_cloth cloth = { .block = paint_block, .data = &painter };
    bool together = app_story_places_filled(self) == laid->layout.count;
    for (int role = 0; role < QUILT_ROLES; role++)
        cloth.role[role] = role_fabric(&painter, role, together);
    length height = draw_quilt(scene, &laid->design, &laid->layout, &laid->frame,
                               &laid->sizes, &cloth, left, top, width);
    draw_scene_rect(scene, &DRAW_STROKE(DRAW_LINE, 0), left, top, width, height);
    return height;
}

length app_story_width_within(const app_story *self, length wide, length high)
{
    quilt_extent size = self->wall.laid.sizes.finished;
    return MIN(wide, (length)((double)high * size.width / size.height));
}

static gboolean shown_requested(app *self, const app_call *call, const app_story *story,
                                app_story_shown *ret_shown, GError **error)
{
    app_story_shown shown = { 0 };
    const char *source = json_string_value(json_object_get(call->request, "source"));
    if (!app_fabric_requested(self, call, "fabric", &shown.fabric, error))
        return FALSE;
    shown.by_fabric = shown.fabric != 0;
    shown.by_source = source != NULL && !shown.by_fabric;
    if (shown.by_source && *source != '\0') {
        for (guint i = 0; i < story->sources->len; i++) {
            const store_source *one = &g_array_index(story->sources, store_source, i);
            if (strcmp(one->name, source) == 0)
                shown.source = one->id;
        }
        if (shown.source == 0) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                        "source: there is none called \"%.60s\".", source);
            return FALSE;
        }
    }
    *ret_shown = shown;
    return TRUE;
}

draw_scene *app_story_picture(app *self, const app_call *call, GError **error)
{
    const length width = 6 * LENGTH_INCH;
    g_auto(app_story) story = { 0 };
    app_story_shown shown;
    if (!app_story_requested(self, call, &story, error) ||
        !shown_requested(self, call, &story, &shown, error))
        return NULL;
    draw_scene *scene = draw_scene_new(story.wall.quilt.name);
    draw_scene_add_page(scene, width, draw_quilt_height(&story.wall.laid.sizes, width));
    app_story_draw(&story, &shown, scene, 0, 0, width);
    return scene;
}

GBytes *app_story_svg(app *self, const app_call *call, GError **error)
{
    g_autoptr(draw_scene) scene = app_story_picture(self, call, error);
    return scene == NULL ? NULL : draw_scene_svg_on_page(scene, 0);
}

/* --- the document ---------------------------------------------------------------------
 */

int *app_story_by_patches(const app_story *self)
{
    int count = self->wall.fabrics;
    int *order = g_new(int, (gsize)count + 1);
    for (int i = 0; i < count; i++) {
        int at = i;
        while (at > 0 && self->patches[order[at - 1]] < self->patches[i]) {
            order[at] = order[at - 1];
            at--;
        }
        order[at] = i;
    }
    return order;
}

static json_t *fabrics_document(const app_story *self)
{
    g_autofree int *order = app_story_by_patches(self);
    json_t *list = json_array();
    for (int i = 0; i < self->wall.fabrics; i++) {
        int look = order[i];
        json_t *row = app_fabric_document(&self->wall.looks[look]);
        json_object_set_new(row, "patches", json_integer(self->patches[look]));
        json_object_set_new(row, "exact", json_boolean(self->inferred[look] == 0));
        json_array_append_new(list, row);
    }
    return list;
}

static gboolean days_of(app *self, int64_t quilt, json_t *document, GError **error)
{
    g_autoptr(GArray) days = NULL;
    if (!store_block_days(self->book, quilt, &days, error))
        return FALSE;
    const char *const fields[] = { "first_block", "last_block" };
    for (int i = 0; i < 2; i++) {
        if (days->len == 0) {
            json_object_set_new(document, fields[i], json_null());
            continue;
        }
        const store_day *day =
            &g_array_index(days, store_day, i == 0 ? 0 : days->len - 1);
        json_object_set_new(
            document, fields[i],
            json_sprintf("%04d-%02d-%02d", day->year, day->month, day->day));
    }
    json_object_set_new(document, "days_sewn", json_integer(days->len));
    return TRUE;
}

int app_story_places_filled(const app_story *self)
{
    const app_wall *wall = &self->wall;
    int filled = 0;
    for (int place = 0; place < wall->laid.layout.count; place++)
        filled += wall->at[place] >= 0;
    return filled;
}

static void describe_plan(const app_laid *laid, json_t *document)
{
    g_autoptr(json_t) plan = json_pack(
        "{s:s, s:s, s:i, s:i, s:o, s:o}", "design", laid->design_name, "design_name",
        laid->design.name, "across", laid->frame.across, "down", laid->frame.down,
        "unit_in", app_document_inches(laid->frame.unit), "finished_in",
        app_document_size(laid->sizes.finished.width, laid->sizes.finished.height));
    json_object_update(document, plan);
}

gboolean app_do_story(app *self, const app_call *call, json_t **ret_document,
                      GError **error)
{
    g_auto(app_story) story = { 0 };
    g_auto(app_work) work = { 0 };
    if (!app_story_requested(self, call, &story, error) ||
        !app_work_requested(self, call, &work, error))
        return FALSE;
    const store_quilt *quilt = &story.wall.quilt;
    g_autoptr(json_t) document = json_pack(
        "{s:s, s:s, s:o, s:o, s:i, s:i, s:b, s:s?, s:o, s:o, s:o, s:o}", "quilt",
        quilt->name, "state", quilt->closed == 0 ? "under way" : "finished", "started",
        app_document_time(quilt->started), "closed", app_document_time(quilt->closed),
        "made", app_story_places_filled(&story), "blocks", story.wall.laid.layout.count,
        "picture", quilt->picture != 0, "note", quilt->note, "measured_in",
        app_work_size_document(app_work_size(&work, "top")), "roles",
        app_chosen_document(&story.chosen), "sources",
        app_shares_document(story.shares, story.sources, G_MAXUINT), "fabrics",
        fabrics_document(&story));
    describe_plan(&story.wall.laid, document);
    if (!days_of(self, quilt->id, document, error))
        return FALSE;
    *ret_document = json_incref(document);
    return TRUE;
}

/* --- its picture ----------------------------------------------------------------------
 */

gboolean app_do_quilt_picture(app *self, const app_call *call, json_t **ret_document,
                              GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    const char *path;
    photo_watch watch = { .stop = call->stop };
    if (!app_quilt_requested(self, call, &quilt, error) ||
        (path = app_request_photo(call, error)) == NULL)
        return FALSE;
    g_autoptr(photo_picture) picture = photo_load(path, &watch, error);
    g_autoptr(GBytes) jpeg = picture == NULL
                                 ? NULL
                                 : photo_jpeg(picture->columns, picture->rows,
                                              picture->rgb, PICTURE_QUALITY, error);
    if (jpeg == NULL)
        return FALSE;
    g_autoptr(store_change) change =
        store_change_begin(self->book, "Kept a picture of the quilt", error);
    if (change == NULL || !store_quilt_set_picture(change, quilt.id, jpeg, error) ||
        !store_change_commit(change, error))
        return FALSE;
    return app_do_story(self, call, ret_document, error);
}

GBytes *app_quilt_jpeg(app *self, const app_call *call, GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    if (!app_quilt_requested(self, call, &quilt, error))
        return NULL;
    return store_picture(self->book, quilt.picture, error);
}
