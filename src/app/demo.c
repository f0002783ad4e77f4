/* The demo: a scenario of our own invention. A maker in a harbour town keeps 2 1/2 in
 * squares from four earlier quilts; one quilt is finished, one is under way. Every
 * fabric, name and date is invented and drawn by this file. */
#include "fabric-internal.h"
#include "laid-internal.h"

#include "base/random.h"
#include "colour/value.h"
#include "photo/load.h"
#include "store/basket.h"
#include "store/setting.h"

#include <math.h>
#include <string.h>

enum {
    SWATCH = 128, /* px, four inches of cloth */
    DAY = 86400,
    MONTHS = 14,
    LAYERS = 22,
    FIRST_QUILT_BLOCKS = 48,
    SECOND_QUILT_BLOCKS = 73,
    TOP_SQUARES = 45,
};

typedef enum demo_weave { PLAIN, STRIPES, CHECKS, DOTS, SPRIGS, WAVES } demo_weave;

static const char *const source_names[] = { "Harbour", "Orchard", "Kite Day",
                                            "Winter Wheat" };

static const struct {
    const char *name;
    int source;
    demo_weave weave;
    uint8_t ground[3], figure[3];
} fabrics[] = {
    { "deep water", 0, PLAIN, { 31, 58, 95 }, { 31, 58, 95 } },
    { "mooring rope", 0, STRIPES, { 214, 199, 168 }, { 160, 134, 92 } },
    { "gull wing", 0, PLAIN, { 226, 227, 222 }, { 226, 227, 222 } },
    { "tarred hull", 0, DOTS, { 40, 42, 46 }, { 92, 96, 101 } },
    { "buoy red", 0, PLAIN, { 178, 50, 44 }, { 178, 50, 44 } },
    { "ripple", 0, WAVES, { 92, 138, 160 }, { 152, 187, 200 } },
    { "harbour light", 0, CHECKS, { 232, 205, 120 }, { 245, 231, 184 } },
    { "kelp", 0, SPRIGS, { 74, 88, 58 }, { 118, 132, 84 } },
    { "sail canvas", 0, STRIPES, { 238, 231, 214 }, { 202, 190, 164 } },
    { "storm", 0, WAVES, { 78, 86, 98 }, { 116, 126, 138 } },
    { "russet apple", 1, DOTS, { 156, 72, 48 }, { 204, 140, 88 } },
    { "pear leaf", 1, SPRIGS, { 126, 150, 84 }, { 176, 194, 124 } },
    { "blossom", 1, DOTS, { 242, 214, 216 }, { 219, 140, 152 } },
    { "bark", 1, STRIPES, { 98, 78, 62 }, { 70, 54, 44 } },
    { "quince", 1, PLAIN, { 222, 190, 84 }, { 222, 190, 84 } },
    { "plum", 1, PLAIN, { 92, 48, 84 }, { 92, 48, 84 } },
    { "long grass", 1, WAVES, { 86, 118, 66 }, { 122, 152, 92 } },
    { "cider", 1, CHECKS, { 198, 140, 72 }, { 226, 184, 126 } },
    { "picnic", 1, CHECKS, { 240, 236, 228 }, { 200, 82, 78 } },
    { "kite tail", 2, STRIPES, { 222, 92, 70 }, { 248, 214, 130 } },
    { "high sky", 2, PLAIN, { 118, 168, 210 }, { 118, 168, 210 } },
    { "cloud", 2, DOTS, { 214, 226, 236 }, { 246, 248, 250 } },
    { "yellow ribbon", 2, WAVES, { 246, 208, 62 }, { 252, 230, 142 } },
    { "swallow", 2, SPRIGS, { 46, 62, 98 }, { 108, 126, 168 } },
    { "paper lantern", 2, CHECKS, { 236, 148, 96 }, { 248, 190, 150 } },
    { "lilac string", 2, STRIPES, { 176, 154, 200 }, { 222, 208, 234 } },
    { "turf", 2, DOTS, { 96, 142, 74 }, { 60, 98, 48 } },
    { "teal bow", 2, PLAIN, { 38, 118, 122 }, { 38, 118, 122 } },
    { "wheat", 3, SPRIGS, { 224, 200, 142 }, { 184, 150, 84 } },
    { "frost", 3, WAVES, { 222, 230, 236 }, { 188, 204, 216 } },
    { "hearth", 3, CHECKS, { 132, 44, 36 }, { 84, 30, 28 } },
    { "slate", 3, PLAIN, { 96, 104, 112 }, { 96, 104, 112 } },
    { "oat", 3, PLAIN, { 208, 194, 168 }, { 208, 194, 168 } },
    { "evergreen", 3, DOTS, { 34, 70, 54 }, { 74, 116, 90 } },
    { "berry", 3, DOTS, { 124, 34, 58 }, { 188, 88, 108 } },
    { "night", 3, SPRIGS, { 26, 30, 52 }, { 82, 90, 130 } },
};
enum { FABRICS = G_N_ELEMENTS(fabrics) };

/* Whether the figure of the weave covers a pixel. */
static bool is_figure(demo_weave weave, int x, int y)
{
    switch (weave) {
    case STRIPES:
        return x % 16 < 6;
    case CHECKS:
        return (x % 32 < 16) != (y % 32 < 16);
    case DOTS: {
        int dx = (x + (y / 16 % 2) * 8) % 16 - 8, dy = y % 16 - 8;
        return dx * dx + dy * dy < 14;
    }
    case SPRIGS: {
        int dx = (x + (y / 32 % 2) * 16) % 32 - 16, dy = y % 32 - 16;
        return abs(dx) + abs(dy) < 9 && (dx == 0 || (dx + dy) % 4 == 0);
    }
    case WAVES:
        return (y + (int)(5 * sin(x * 6.2831853 / 32)) + 128) % 16 < 5;
    case PLAIN:
    default:
        return false;
    }
}

/* Cloth is never quite even: threads cross, and show a little. */
static void weave_swatch(int fabric, uint8_t rgb[SWATCH * SWATCH * 3])
{
    motley_random random;
    motley_random_seed(&random, (uint64_t)fabric + 100);
    for (int y = 0; y < SWATCH; y++) {
        for (int x = 0; x < SWATCH; x++) {
            const uint8_t *colour = is_figure(fabrics[fabric].weave, x, y)
                                        ? fabrics[fabric].figure
                                        : fabrics[fabric].ground;
            int thread = (x + y) % 2 * 4 - 2 + (int)motley_random_below(&random, 7) - 3;
            for (int k = 0; k < 3; k++)
                rgb[(y * SWATCH + x) * 3 + k] =
                    (uint8_t)CLAMP(colour[k] + thread, 0, 255);
        }
    }
}

static void swatch_colours(const uint8_t rgb[SWATCH * SWATCH * 3], colour_signature *ret)
{
    static const float gain[3] = { 1, 1, 1 };
    enum { PIXELS = SWATCH * SWATCH };
    g_autofree float *lab = g_new(float, PIXELS * 3);
    g_autofree uint8_t *group = g_new(uint8_t, PIXELS);
    g_autofree colour_tables *tables = g_new(colour_tables, 1);
    colour_tables_init(tables);
    colour_lab_picture(tables, PIXELS, gain, rgb, lab);
    colour_signature_from_pixels(PIXELS, lab, group, ret);
}

static gboolean add_fabric(store_change *change, int which, int64_t *ret_id,
                           GError **error)
{
    g_autofree uint8_t *rgb = g_malloc(SWATCH * SWATCH * 3);
    colour_signature colours;
    weave_swatch(which, rgb);
    swatch_colours(rgb, &colours);
    colour_value value =
        colour_value_of(colour_signature_mean(&colours).l, &colour_value_defaults);
    g_autoptr(GBytes) jpeg = photo_jpeg(SWATCH, SWATCH, rgb, 88, error);
    return jpeg != NULL &&
           store_fabric_add(change, fabrics[which].name, -1, ret_id, error) &&
           store_swatch_add(change, *ret_id, jpeg, NULL, error) &&
           store_signature_add(change, *ret_id, &colours, value, error);
}

/* The invented book while it is made. */
typedef struct demo_scenario {
    app *book;
    motley_random random;
    int64_t now;
    length unit;
    int64_t source[G_N_ELEMENTS(source_names)];
    int64_t fabric[FABRICS];
} demo_scenario;

static store_change *begin_at(demo_scenario *self, int64_t at, const char *what,
                              GError **error)
{
    store_change *change = store_change_begin(self->book->book, what, error);
    if (change != NULL)
        store_change_set_time(change, at);
    return change;
}

static gboolean begin_book(demo_scenario *self, GError **error)
{
    g_autoptr(store_change) change =
        begin_at(self, self->now - (int64_t)MONTHS * 31 * DAY, "Made the demo", error);
    if (change == NULL || !store_setting_set(change, "demo", "1", error) ||
        !store_setting_set(change, "unit", "2.5 in", error))
        return FALSE;
    for (size_t i = 0; i < G_N_ELEMENTS(source_names); i++)
        if (!store_source_add(change, source_names[i], STORE_SOURCE_QUILT, NULL,
                              &self->source[i], error))
            return FALSE;
    for (int i = 0; i < FABRICS; i++)
        if (!add_fabric(change, i, &self->fabric[i], error))
            return FALSE;
    return store_change_commit(change, error);
}

/* An evening at the cutting table: scraps of one quilt, a few fabrics, one new layer. */
static gboolean add_layer(demo_scenario *self, int64_t at, int source, GError **error)
{
    g_autofree char *what = g_strdup_printf("Cut squares from %s", source_names[source]);
    g_autoptr(store_change) change = begin_at(self, at, what, error);
    store_ledger_row row = { .unit = self->unit,
                             .source = self->source[source],
                             .how = STORE_CUT,
                             .fabric_known = true,
                             .counted = true };
    if (change == NULL || !store_layer_add(change, &row.layer, error))
        return FALSE;
    for (int i = 0; i < FABRICS; i++) {
        row.fabric = self->fabric[i];
        row.count = 3 + (int)motley_random_below(&self->random, 11);
        if (fabrics[i].source == source && motley_random_unit(&self->random) < 0.7 &&
            !store_ledger_append(change, &row, NULL, error))
            return FALSE;
    }
    return store_change_commit(change, error);
}

static gboolean start_quilt(demo_scenario *self, const char *name, const char *design,
                            int across, int down, int64_t at, store_quilt *ret_quilt,
                            GError **error)
{
    g_auto(app_laid) laid = { 0 };
    g_autoptr(json_t) request =
        json_pack("{s:s, s:i, s:i}", "design", design, "across", across, "down", down);
    app_call call = { .request = request };
    if (!app_laid_from_request(self->book, &call, &laid, error))
        return FALSE;
    store_quilt quilt = { .name = (char *)name,
                          .design = laid.design_name,
                          .design_text = laid.design_text,
                          .across = across,
                          .down = down,
                          .unit = self->unit,
                          .seam = LENGTH_INCH / 4 };
    int64_t id;
    g_autofree char *what = g_strdup_printf("Started %s", name);
    g_autoptr(store_change) change = begin_at(self, at, what, error);
    return change != NULL && store_quilt_add(change, &quilt, &id, error) &&
           store_change_commit(change, error) &&
           store_quilt_get(self->book->book, id, ret_quilt, error);
}

/* Draws one square of those on top, as a hand would. */
static int64_t draw_fabric(demo_scenario *self, GArray *heaps)
{
    int all = 0;
    for (guint i = 0; i < heaps->len; i++)
        all += g_array_index(heaps, store_heap, i).left;
    if (all == 0)
        return 0;
    int at = (int)motley_random_below(&self->random, (uint32_t)all);
    for (guint i = 0; i < heaps->len; i++) {
        store_heap *heap = &g_array_index(heaps, store_heap, i);
        at -= heap->left;
        if (at < 0) {
            heap->left--;
            return heap->fabric;
        }
    }
    return 0;
}

/* Takes the squares of a block whose fabrics were photographed. */
static gboolean take_known(demo_scenario *self, store_change *change,
                           const quilt_block *block, int64_t id, GError **error)
{
    g_autoptr(GArray) heaps = NULL;
    store_patch patches[QUILT_SIDE_MAX * QUILT_SIDE_MAX];
    size_t count = 0;
    if (!store_basket_top(self->book->book, self->unit, TOP_SQUARES, &heaps, error))
        return FALSE;
    for (int p = 0; p < block->side * block->side; p++) {
        if (block->patches[p].role[0] != QUILT_SCRAP)
            continue;
        int64_t fabric = draw_fabric(self, heaps);
        store_take take = { .unit = self->unit,
                            .count = 1,
                            .fabric = fabric,
                            .fabric_known = true,
                            .how = STORE_MADE,
                            .block = id };
        if (fabric == 0)
            return TRUE;
        if (!store_basket_take(change, &take, NULL, error))
            return FALSE;
        patches[count++] = (store_patch){
            .block = id, .place = p, .fabric = fabric, .sure = 1, .known = true
        };
    }
    return store_patch_set(change, id, count, patches, error);
}

static gboolean make_block(demo_scenario *self, const app_laid *laid, int64_t quilt,
                           int place, int64_t at, GError **error)
{
    const quilt_place *where = &laid->layout.places[place];
    const quilt_block *kind = app_laid_block(laid, where->kind);
    store_block block = { .quilt = quilt,
                          .kind = (char *)kind->name,
                          .turn = where->turn };
    app_laid_place_at(laid, place, &block.row, &block.col);
    int64_t id;
    g_autofree char *what =
        g_strdup_printf("Crossed off row %d, column %d", block.row, block.col);
    g_autoptr(store_change) change = begin_at(self, at, what, error);
    if (change == NULL || !store_block_add(change, &block, &id, error))
        return FALSE;
    store_take take = { .unit = self->unit,
                        .count = app_laid_basket_squares(kind),
                        .how = STORE_MADE,
                        .block = id };
    if (motley_random_unit(&self->random) < 0.6) {
        if (!take_known(self, change, kind, id, error))
            return FALSE;
    } else if (take.count > 0 && !store_basket_take(change, &take, NULL, error)) {
        return FALSE;
    }
    return store_change_commit(change, error);
}

/* Lays out a quilt and makes its first blocks in reading order, spread over some days. */
static gboolean sew_quilt(demo_scenario *self, const char *name, const char *design,
                          int across, int down, int blocks, int64_t from, int64_t to,
                          bool close, GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    if (!start_quilt(self, name, design, across, down, from, &quilt, error) ||
        !app_laid_from_quilt(&quilt, &laid, error))
        return FALSE;
    for (int i = 0; i < blocks; i++)
        if (!make_block(self, &laid, quilt.id, i,
                        from + (to - from) * (i + 1) / (blocks + 1), error))
            return FALSE;
    if (!close)
        return TRUE;
    g_autofree char *what = g_strdup_printf("Called %s finished", name);
    g_autoptr(store_change) change = begin_at(self, to, what, error);
    return change != NULL && store_quilt_set_closed(change, quilt.id, true, error) &&
           store_change_commit(change, error);
}

static gboolean fill(demo_scenario *self, const app_call *call, GError **error)
{
    int64_t start = self->now - (int64_t)MONTHS * 30 * DAY;
    int64_t step = (int64_t)MONTHS * 30 * DAY / LAYERS;
    if (!begin_book(self, error))
        return FALSE;
    for (int layer = 0; layer < LAYERS; layer++) {
        int64_t at = start + layer * step + 19 * 3600;
        if (!app_call_step(call, (double)layer / LAYERS, "Filling the demo book",
                           error) ||
            !add_layer(self, at, (layer * 3 + layer / 4) % 4, error))
            return FALSE;
        if (layer == 7 &&
            !sew_quilt(self, "Low Water", "single-irish-chain", 6, 8, FIRST_QUILT_BLOCKS,
                       at + DAY, at + step - DAY, true, error))
            return FALSE;
        if (layer == LAYERS - 2 &&
            !sew_quilt(self, "Tideline", "lattice-chain", 12, 16, SECOND_QUILT_BLOCKS,
                       at + DAY, at + step - DAY, false, error))
            return FALSE;
    }
    return TRUE;
}

static gboolean is_empty(app *self, GError **error)
{
    g_autoptr(GArray) entries = NULL;
    if (!store_journal_list(self->book, 0, 1, &entries, error))
        return FALSE;
    if (entries->len == 0)
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_BOOK_NOT_EMPTY,
                "%s holds something already.", store_book_path(self->book));
    return FALSE;
}

gboolean app_do_demo(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    if (app_book(self, error) == NULL || !is_empty(self, error))
        return FALSE;
    demo_scenario scenario = { .book = self, .unit = LENGTH_INCH * 5 / 2 };
    g_autoptr(GDateTime) now = g_date_time_new_now_utc();
    scenario.now = g_date_time_to_unix(now);
    motley_random_seed(&scenario.random, 20);
    if (!fill(&scenario, call, error))
        return FALSE;
    *ret_document =
        app_document_done("The book holds the demo now. All of it is invented.");
    return TRUE;
}
