/* The sheet "next": the squares to pull for a day of chain piecing, and its blocks. */
#include "piecing-internal.h"

#include "laid-internal.h"

#include "draw/piecing.h"

enum { BLOCKS_USUAL = 10 };

/* What the document says, as it is drawn. */
typedef struct piecing {
    json_t *document;
    int pulls, blocks;
    draw_pull *pull;
    draw_pieced *pieced;
    quilt_block *turned;
    char **where;
    int *sites; /* 2 x side x side of each block */
} piecing;

static void piecing_clear(piecing *self)
{
    for (int i = 0; self->where != NULL && i < self->blocks; i++)
        g_free(self->where[i]);
    g_free(self->where);
    g_free(self->pull);
    g_free(self->pieced);
    g_free(self->turned);
    g_free(self->sites);
    json_decref(self->document);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(piecing, piecing_clear)

static void read_pulls(piecing *self)
{
    const json_t *list = json_object_get(self->document, "pull");
    self->pulls = (int)json_array_size(list);
    self->pull = g_new0(draw_pull, (gsize)self->pulls + 1);
    for (int i = 0; i < self->pulls; i++) {
        const json_t *row = json_array_get(list, (size_t)i);
        self->pull[i] = (draw_pull){
            .name = json_string_value(json_object_get(row, "name")),
            .squares = (int)json_integer_value(json_object_get(row, "squares")),
            .fabric = { .colour = app_document_srgb_of(row) },
        };
    }
}

/* Which of the pulls a patch or triangle is of; -1: it is not drawn from the basket. */
static int pull_of(const piecing *self, const json_t *site)
{
    const char *role = json_string_value(json_object_get(site, "role"));
    if (g_strcmp0(role, "background") == 0 || g_strcmp0(role, "accent") == 0)
        return -1;
    for (int i = 0; i < self->pulls; i++) {
        const json_t *row =
            json_array_get(json_object_get(self->document, "pull"), (size_t)i);
        if (json_equal(json_object_get(row, "fabric"), json_object_get(site, "fabric")))
            return i;
    }
    return -1;
}

static void read_sites(const piecing *self, const json_t *rows, int side, int *ret_sites)
{
    for (int p = 0; p < side * side; p++) {
        const json_t *site =
            json_array_get(json_array_get(rows, (size_t)(p / side)), (size_t)(p % side));
        const json_t *other = json_object_get(site, "other");
        ret_sites[2 * p] = pull_of(self, site);
        ret_sites[2 * p + 1] = other == NULL ? ret_sites[2 * p] : pull_of(self, other);
    }
}

static gboolean read_blocks(piecing *self, const app_laid *laid, draw_language language,
                            GError **error)
{
    const json_t *list = json_object_get(self->document, "blocks");
    int side = laid->frame.side;
    gsize count = json_array_size(list);
    self->pieced = g_new0(draw_pieced, count + 1);
    self->turned = g_new0(quilt_block, count + 1);
    self->where = g_new0(char *, count + 1);
    self->sites = g_new(int, 2 * (gsize)(side * side) * (count + 1));
    for (gsize i = 0; i < count; i++) {
        const json_t *block = json_array_get(list, i);
        int place, row, col;
        int *sites = self->sites + 2 * (gsize)(side * side) * i;
        if (!app_laid_place_read(json_object_get(block, "place"), laid, &place, error))
            return FALSE;
        app_laid_place_at(laid, place, &row, &col);
        const quilt_place *where = &laid->layout.places[place];
        self->turned[i] =
            quilt_block_turn(app_laid_block(laid, where->kind), where->turn);
        self->where[i] =
            g_strdup_printf(draw_words(language, "row %d, column %d"), row, col);
        self->blocks = (int)i + 1;
        read_sites(self, json_object_get(block, "patches"), side, sites);
        self->pieced[i] = (draw_pieced){ &self->turned[i], self->where[i], sites };
    }
    return TRUE;
}

draw_scene *app_piecing_sheet(app *self, const app_call *call, GError **error)
{
    int64_t count = BLOCKS_USUAL, seed = 0;
    g_auto(app_sheet_head) head = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    g_auto(piecing) day = { 0 };
    if (!app_request_int(call, "count", 1, 100, &count, error) ||
        !app_request_int(call, "seed", 0, INT64_MAX, &seed, error) ||
        !app_sheet_heading(self, call, DRAW_WORDS("A day's blocks"), &head, error) ||
        !app_quilt_requested(self, call, &quilt, error) ||
        !app_laid_from_quilt(&quilt, &laid, error))
        return NULL;
    g_autoptr(json_t) request = json_pack("{s:s, s:I, s:I}", "quilt", quilt.name, "count",
                                          (json_int_t)count, "seed", (json_int_t)seed);
    const app_call next = { .request = request, .stop = call->stop };
    if (!app_do_next(self, &next, &day.document, error))
        return NULL;
    read_pulls(&day);
    if (!read_blocks(&day, &laid, head.heading.language, error))
        return NULL;
    head.heading.quilt = quilt.name;
    return draw_piecing_sheet(day.pulls, day.pull, day.blocks, day.pieced, &head.heading);
}
