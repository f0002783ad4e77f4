/* The next block: composed from the top of the basket. */
#include "buying-internal.h"
#include "fabric-internal.h"
#include "laid-internal.h"

#include "base/random.h"
#include "plan/compose.h"
#include "store/basket.h"

#include <string.h>

/* How alike a corner of two patches weighs beside a whole seam: makers allow like fabrics
 * to touch at a corner (common practice), so little. */
#define CORNER_WEIGHT 0.15

enum {
    REACH_SQUARES = 80, /* near the top of the basket: what her hand reaches */
    HANDFUL = 2,        /* squares in the hand for each that a block takes */
    OTHERS = 5,
    NEXT_MAX = 100,
};

/* What lies within reach, ready for composing. */
typedef struct within_reach {
    int count;
    app_look *looks;
    int *squares;
    int *taken; /* of each, for the blocks composed so far */
    double *alike, *fits;
    int *source;  /* of each: that of its largest heap, numbered as they come; or -1 */
    int *largest; /* that heap's squares */
    int sources;
    int64_t source_id[PLAN_SOURCES_MAX];
    const app_look *background; /* borrowed */
} within_reach;

static void within_reach_clear(within_reach *reach)
{
    for (int i = 0; i < reach->count; i++)
        app_look_clear(&reach->looks[i]);
    g_clear_pointer(&reach->looks, g_free);
    g_clear_pointer(&reach->squares, g_free);
    g_clear_pointer(&reach->taken, g_free);
    g_clear_pointer(&reach->alike, g_free);
    g_clear_pointer(&reach->fits, g_free);
    g_clear_pointer(&reach->source, g_free);
    g_clear_pointer(&reach->largest, g_free);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(within_reach, within_reach_clear)

static int index_of(const within_reach *reach, int64_t fabric)
{
    for (int i = 0; i < reach->count; i++)
        if (reach->looks[i].fabric == fabric)
            return i;
    return -1;
}

/* The engine's number of a source; -1 for one that is not known, or one too many. */
static int source_number(within_reach *reach, int64_t source)
{
    for (int i = 0; i < reach->sources; i++)
        if (reach->source_id[i] == source)
            return i;
    if (source == 0 || reach->sources == PLAN_SOURCES_MAX)
        return -1;
    reach->source_id[reach->sources] = source;
    return reach->sources++;
}

/* Room for one more fabric, of which nothing is known yet. */
static int reach_grow(within_reach *reach)
{
    gsize room = (gsize)reach->count + 1;
    reach->looks = g_renew(app_look, reach->looks, room);
    reach->squares = g_renew(int, reach->squares, room);
    reach->taken = g_renew(int, reach->taken, room);
    reach->source = g_renew(int, reach->source, room);
    reach->largest = g_renew(int, reach->largest, room);
    int at = reach->count;
    reach->squares[at] = reach->taken[at] = reach->largest[at] = 0;
    reach->source[at] = -1;
    return at;
}

/* How well a value plays a role: lights want light, darks dark; a medium will do. */
static double fit_of(int value, int role)
{
    if (role == QUILT_LIGHT)
        return value == COLOUR_LIGHT ? 1 : value == COLOUR_DARK ? 0 : 0.5;
    if (role == QUILT_DARK)
        return value == COLOUR_DARK ? 1 : value == COLOUR_LIGHT ? 0 : 0.5;
    return 1;
}

/* A square that is like the background would be lost in it: what is alike by half or more
 * fits the less, down to nothing for the same cloth. */
static double contrast_with(app *self, const app_look *look, const app_look *background)
{
    if (background->fabric == 0 || look->colours.count == 0)
        return 1;
    double alike = app_fabric_alike(self, look, background);
    return alike <= 0.5 ? 1 : 2 * (1 - alike);
}

static void fill_tables(app *self, within_reach *reach)
{
    int n = reach->count;
    g_free(reach->alike);
    g_free(reach->fits);
    reach->alike = g_new(double, (gsize)(n * n));
    reach->fits = g_new(double, (gsize)(n * QUILT_ROLES));
    for (int a = 0; a < n; a++) {
        for (int b = 0; b <= a; b++)
            reach->alike[a * n + b] = reach->alike[b * n + a] =
                app_fabric_alike(self, &reach->looks[a], &reach->looks[b]);
        double contrast = contrast_with(self, &reach->looks[a], reach->background);
        for (int role = 0; role < QUILT_ROLES; role++)
            reach->fits[a * QUILT_ROLES + role] =
                contrast * fit_of(reach->looks[a].value, role);
    }
}

/* Takes in the top of the basket, at least so many squares where there are so many. */
static gboolean reach_in(app *self, length unit, int64_t squares,
                         const app_look *background, within_reach *ret_reach,
                         GError **error)
{
    g_autoptr(GArray) heaps = NULL;
    if (!store_basket_top(self->book, unit, squares, &heaps, error))
        return FALSE;
    g_auto(within_reach) reach = { 0 };
    for (guint i = 0; i < heaps->len; i++) {
        const store_heap *heap = &g_array_index(heaps, store_heap, i);
        int at = index_of(&reach, heap->fabric);
        if (at < 0) {
            at = reach_grow(&reach);
            if (!app_look_get(self, heap->fabric, &reach.looks[at], error))
                return FALSE;
            reach.count++;
        }
        reach.squares[at] += heap->left;
        if (heap->left > reach.largest[at]) {
            reach.largest[at] = heap->left;
            reach.source[at] = source_number(&reach, heap->source);
        }
    }
    reach.background = background;
    fill_tables(self, &reach);
    *ret_reach = reach;
    reach = (within_reach){ 0 };
    return TRUE;
}

/* The index of a fabric, taken within reach without squares where it is not there yet. */
static gboolean reach_fabric(app *self, within_reach *reach, int64_t fabric,
                             int *ret_index, GError **error)
{
    int at = index_of(reach, fabric);
    g_autoptr(GError) none = NULL;
    if (at < 0) {
        at = reach_grow(reach);
        if (!app_look_get(self, fabric, &reach->looks[at], &none)) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_FABRIC,
                        "There is no fabric %" PRId64 ".", fabric);
            return FALSE;
        }
        reach->count++;
        fill_tables(self, reach);
    }
    *ret_index = at;
    return TRUE;
}

static void take_from_reach(within_reach *reach, int fabric)
{
    reach->squares[fabric] = MAX(reach->squares[fabric] - 1, 0);
    reach->taken[fabric]++;
}

static json_t *look_document(const app_look *look)
{
    return json_pack("{s:o, s:s, s:o, s:b}", "fabric", app_document_id(look->fabric),
                     "name", look->name, "srgb",
                     look->colours.count > 0 ? app_document_srgb(&look->colours.lab[0])
                                             : json_null(),
                     "swatch", look->swatch);
}

static json_t *site_document(const plan_block *block, const plan_reach *plan,
                             const within_reach *reach, const int *fabric, int site)
{
    int others[OTHERS];
    json_t *document = fabric[site] < 0 ? json_pack("{s:n, s:s, s:n, s:b}", "fabric",
                                                    "name", "", "srgb", "swatch", false)
                                        : look_document(&reach->looks[fabric[site]]);
    json_object_set_new(document, "role",
                        json_string(quilt_role_name((quilt_role)block->site[site].role)));
    json_t *list = json_array();
    int count = fabric[site] < 0
                    ? 0
                    : plan_compose_others(block, plan, fabric, site, OTHERS, others);
    for (int i = 0; i < count; i++)
        json_array_append_new(list, look_document(&reach->looks[others[i]]));
    json_object_set_new(document, "alternatives", list);
    return document;
}

/* Patches row by row as the block lies; the second triangle of a patch stands in "other".
 */
static json_t *composed_patches(const quilt_block *laid_down, const plan_block *block,
                                const plan_reach *plan, const within_reach *reach,
                                const int *fabric)
{
    static const char *const splits[] = { "whole", "rising", "falling" };
    json_t *rows = json_array();
    int site = 0;
    for (int r = 0; r < laid_down->side; r++) {
        json_t *line = json_array();
        for (int c = 0; c < laid_down->side; c++) {
            const quilt_patch *patch = &laid_down->patches[r * laid_down->side + c];
            json_t *document = site_document(block, plan, reach, fabric, site++);
            json_object_set_new(document, "split", json_string(splits[patch->split]));
            if (patch->split != QUILT_WHOLE)
                json_object_set_new(document, "other",
                                    site_document(block, plan, reach, fabric, site++));
            json_array_append_new(line, document);
        }
        json_array_append_new(rows, line);
    }
    return rows;
}

/* What she has settled of a block, by site as the block lies: -1 where nothing. */
typedef struct site_wish {
    int locked[PLAN_SITES_MAX]; /* stays: hers, or what she sewed in its place */
    int turned[PLAN_SITES_MAX]; /* lay there and is to give way */
} site_wish;

/* The fabric at a patch of a list of rows, by half: a number, null, or a pair of them. */
static const json_t *item_at(const json_t *rows, int patch, int half, int side)
{
    const json_t *row = json_array_get(rows, (size_t)(patch / side));
    const json_t *item = json_array_get(row, (size_t)(patch % side));
    return json_is_array(item) ? json_array_get(item, (size_t)half)
           : half == 0         ? item
                               : NULL;
}

/* Reads rows of fabrics by site; a fabric that lies deeper in the basket, or is none of
 * it, is taken within reach without squares of its own. */
static gboolean read_rows(app *self, const app_call *call, const char *field,
                          const plan_block *block, int side, within_reach *reach,
                          int ret_fabric[PLAN_SITES_MAX], GError **error)
{
    const json_t *rows = json_object_get(call->request, field);
    for (int s = 0; s < block->sites; s++)
        ret_fabric[s] = -1;
    if (rows == NULL || json_is_null(rows))
        return TRUE;
    if ((int)json_array_size(rows) != side) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "%s: a block of this quilt has %d rows of patches.", field, side);
        return FALSE;
    }
    for (int s = 0; s < block->sites; s++) {
        const plan_site *site = &block->site[s];
        const json_t *item = item_at(rows, site->patch, site->half, side);
        int64_t fabric;
        bool drawn = site->role == QUILT_SCRAP || site->role == QUILT_LIGHT ||
                     site->role == QUILT_DARK;
        if (!drawn || item == NULL || json_is_null(item))
            continue;
        if (!app_request_item_id(item, field, &fabric, error) ||
            !reach_fabric(self, reach, fabric, &ret_fabric[s], error))
            return FALSE;
    }
    return TRUE;
}

/* "Turn some over": a few squares of the block that is shown give way, the others stay.
 */
static void turn_some_over(const plan_block *block, const int *shown, int64_t count,
                           uint64_t seed, site_wish *settled)
{
    motley_random random;
    int open[PLAN_SITES_MAX], left = 0;
    motley_random_seed(&random, seed);
    for (int s = 0; s < block->sites; s++)
        if (settled->locked[s] < 0 && shown[s] >= 0)
            open[left++] = s;
    for (int64_t i = 0; i < count && left > 0; i++) {
        int at = (int)motley_random_below(&random, (uint32_t)left);
        settled->turned[open[at]] = shown[open[at]];
        open[at] = open[--left];
    }
    for (int i = 0; i < left; i++)
        settled->locked[open[i]] = shown[open[i]];
}

enum { TURNED_USUAL = 3 };

/* Only the first block of a request is settled in parts: it is the one in view. */
static gboolean read_settled(app *self, const app_call *call, const plan_block *block,
                             int side, within_reach *reach, uint64_t seed,
                             site_wish *ret_settled, GError **error)
{
    int used[PLAN_SITES_MAX], shown[PLAN_SITES_MAX];
    int64_t over = TURNED_USUAL;
    if (!read_rows(self, call, "locked", block, side, reach, ret_settled->locked,
                   error) ||
        !read_rows(self, call, "used", block, side, reach, used, error) ||
        !read_rows(self, call, "shown", block, side, reach, shown, error) ||
        !app_request_int(call, "turn_over", 1, PLAN_SITES_MAX, &over, error))
        return FALSE;
    bool is_shown = false;
    for (int s = 0; s < block->sites; s++) {
        ret_settled->turned[s] = -1;
        if (used[s] >= 0)
            ret_settled->locked[s] = used[s];
        is_shown |= shown[s] >= 0;
    }
    if (is_shown)
        turn_some_over(block, shown, over, seed, ret_settled);
    return TRUE;
}

/* What the engine is told of the reach, with so many squares of each fabric. */
static plan_reach reach_with(const within_reach *reach, const int *count)
{
    return (plan_reach){ .fabrics = reach->count,
                         .count = count,
                         .alike = reach->alike,
                         .fits = reach->fits,
                         .sources = reach->sources,
                         .source = reach->source };
}

/* Squares that stay lie in the block whatever is drawn, and of a fabric that gives way
 * none is drawn again. */
static void settle_counts(const within_reach *reach, const plan_block *block,
                          const site_wish *settled, bool give_way, int *count)
{
    g_autofree int *stay = g_new0(int, (gsize)reach->count + 1);
    for (int s = 0; s < block->sites; s++)
        if (settled->locked[s] >= 0)
            stay[settled->locked[s]]++;
    for (int s = 0; give_way && s < block->sites; s++)
        if (settled->turned[s] >= 0)
            count[settled->turned[s]] = 0;
    for (int f = 0; f < reach->count; f++)
        count[f] = MAX(count[f], stay[f]);
}

/* Fills a block: from a handful; where that has nothing for it, from all within reach;
 * and where nothing else is left, what was turned over may come up again. Returns 0, or
 * how many squares the basket is short of. */
static int compose(const plan_block *block, const within_reach *reach,
                   const site_wish *settled, uint64_t seed,
                   int ret_fabric[PLAN_SITES_MAX], double *ret_alike_most)
{
    enum { FROM_HAND, FROM_REACH, AS_IT_COMES, WAYS };
    plan_compose_wish wish = { .seed = seed, .locked = settled->locked };
    g_autofree int *count = g_new0(int, (gsize)reach->count + 1);
    plan_reach whole = reach_with(reach, reach->squares),
               drawn = reach_with(reach, count);
    int lacking = 0;
    for (int way = FROM_HAND; way < WAYS; way++) {
        if (way == FROM_HAND)
            plan_handful(block, &whole, HANDFUL, seed, count);
        else if (reach->count > 0)
            memcpy(count, reach->squares, sizeof(int) * (size_t)reach->count);
        settle_counts(reach, block, settled, way != AS_IT_COMES, count);
        lacking = plan_compose(block, &drawn, &wish, ret_fabric, ret_alike_most);
        if (lacking == 0)
            break;
    }
    return lacking;
}

/* Composes one block and takes its squares out of the reach, so that the next block of
 * the same day finds the rest. */
static json_t *compose_one(app *self, const app_call *call, const app_laid *laid,
                           int place, within_reach *reach, uint64_t seed, bool first,
                           GError **error)
{
    const quilt_place *where = &laid->layout.places[place];
    quilt_block turned = quilt_block_turn(app_laid_block(laid, where->kind), where->turn);
    g_autofree plan_block *block = g_new(plan_block, 1);
    plan_block_make(&turned, CORNER_WEIGHT, block);
    static const app_call nothing = { 0 };
    site_wish settled;
    int fabric[PLAN_SITES_MAX];
    double alike_most;
    if (!read_settled(self, first ? call : &nothing, block, turned.side, reach, seed,
                      &settled, error))
        return NULL;
    int lacking = compose(block, reach, &settled, seed, fabric, &alike_most);
    if (lacking > 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_BASKET_SHORT,
                    "The basket is %d squares short of this block.", lacking);
        return NULL;
    }
    int row, col;
    app_laid_place_at(laid, place, &row, &col);
    plan_reach plan = reach_with(reach, reach->squares);
    json_t *patches = composed_patches(&turned, block, &plan, reach, fabric);
    for (int s = 0; s < block->sites; s++)
        if (fabric[s] >= 0)
            take_from_reach(reach, fabric[s]);
    return json_pack("{s:s, s:i, s:[i, i], s:o, s:f}", "kind",
                     app_laid_block(laid, where->kind)->name, "turn", where->turn,
                     "place", row, col, "patches", patches, "alike_most", alike_most);
}

/* What to lay ready for a day of chain piecing, the most of a fabric first. */
static json_t *pull_document(const within_reach *reach)
{
    json_t *list = json_array();
    int most = 0;
    for (int i = 0; i < reach->count; i++)
        most = MAX(most, reach->taken[i]);
    for (int squares = most; squares > 0; squares--) {
        for (int i = 0; i < reach->count; i++) {
            if (reach->taken[i] != squares)
                continue;
            json_t *row = look_document(&reach->looks[i]);
            json_object_set_new(row, "squares", json_integer(squares));
            json_array_append_new(list, row);
        }
    }
    return list;
}

/* With one fabric there is nothing to keep apart, which is better said than wondered at.
 */
static json_t *next_warnings(const within_reach *reach, bool is_short, size_t blocks)
{
    json_t *warnings = json_array();
    int64_t fabrics = 0, only = 0;
    for (int i = 0; i < reach->count; i++) {
        if (reach->squares[i] + reach->taken[i] == 0)
            continue;
        fabrics++;
        only = reach->looks[i].fabric;
    }
    if (fabrics == 1 && only != 0)
        json_array_append_new(
            warnings, json_pack("{s:s, s:s}", "code", "next.one-fabric", "message",
                                "All squares within reach are of one fabric, so like "
                                "meets like: this is the best there is."));
    if (is_short) {
        g_autofree char *count = app_document_count((int64_t)blocks, "block");
        g_autofree char *message =
            g_strdup_printf("The basket holds squares for %s and no more.", count);
        json_array_append_new(
            warnings, json_pack("{s:s, s:s}", "code", "next.short", "message", message));
    }
    return warnings;
}

gboolean app_do_next(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    int64_t count = 1, seed = 0;
    int made_count;
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    g_auto(within_reach) reach = { 0 };
    g_auto(app_chosen) chosen = { 0 };
    if (!app_request_int(call, "count", 1, NEXT_MAX, &count, error) ||
        !app_request_int(call, "seed", 0, INT64_MAX, &seed, error) ||
        !app_quilt_requested(self, call, &quilt, error) ||
        !app_laid_from_quilt(&quilt, &laid, error) ||
        !app_chosen_get(self, quilt.id, &chosen, error))
        return FALSE;
    const app_look *background = &chosen.look[QUILT_BACKGROUND];
    g_autofree int64_t *made =
        app_quilt_made_at(self, &laid, quilt.id, &made_count, error);
    int64_t need = count * laid.frame.side * laid.frame.side;
    if (made == NULL || !reach_in(self, quilt.unit, MAX(REACH_SQUARES, 3 * need),
                                  background, &reach, error))
        return FALSE;

    bool is_short = false;
    g_autoptr(GError) failed = NULL;
    g_autoptr(json_t) blocks = json_array();
    for (int place = 0; place < laid.layout.count; place++) {
        if (made[place] != 0 || (int64_t)json_array_size(blocks) == count)
            continue;
        /* Blocks differ by place and by what lies on top, so that asking again tomorrow
         * for another place gives another block, and the same question the same answer.
         */
        uint64_t own =
            (uint64_t)seed * 1000003u + (uint64_t)place * 7919u + (uint64_t)quilt.id;
        json_t *block = compose_one(self, call, &laid, place, &reach, own,
                                    json_array_size(blocks) == 0, &failed);
        /* A day's blocks end where the basket does; only the first must be had. */
        is_short = block == NULL && json_array_size(blocks) > 0 &&
                   g_error_matches(failed, MOTLEY_ERROR, MOTLEY_ERROR_APP_BASKET_SHORT);
        if (is_short)
            break;
        if (block == NULL) {
            g_propagate_error(error, g_steal_pointer(&failed));
            return FALSE;
        }
        json_array_append_new(blocks, block);
    }
    if (json_array_size(blocks) == 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_QUILT_DONE,
                    "All blocks of %s are made.", quilt.name);
        return FALSE;
    }
    *ret_document = json_pack("{s:s, s:O, s:o, s:o}", "quilt", quilt.name, "blocks",
                              blocks, "pull", pull_document(&reach), "warnings",
                              next_warnings(&reach, is_short, json_array_size(blocks)));
    return TRUE;
}
