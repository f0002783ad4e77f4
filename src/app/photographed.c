/* Crossing off by photo: blocks that lie beside the card are found, counted and
 * remembered patch by patch; and where does this one go? */
#include "kept-internal.h"
#include "patches-internal.h"
#include "scrap-internal.h"
#include "seen-internal.h"

#include "photo/load.h"
#include "store/basket.h"

#include <math.h>
#include <string.h>

enum {
    BLOCK_PICTURE_PX = 240,
    PICTURE_QUALITY = 85,
    APP_PATCHES_MAX = 2 * APP_CELLS_MAX
};

static const double trim_from_in = 1.0 / 16; /* off its size that is worth a word */
static const double nearly_alike = 0.1;
static const double wrong_size = 0.035; /* of it: another quilt's block */

/* --- keeping -------------------------------------------------------------------------
 */

/* What goes into the book for one block. */
typedef struct keeping {
    app *self;
    store_change *change;
    const store_quilt *quilt;
    const app_laid *laid;
    const app_seen *seen;
    const GArray *references;
    int64_t background; /* the fabric chosen for it, or 0 */
    GHashTable *stock;  /* squares left in the basket by fabric, as it goes down */
    int short_by;
} keeping;

/* As its design draws it: a corner that lies so many quarters on comes first again. */
static void unturned_picture(const keeping *k, const app_seen_block *block, uint8_t *rgb)
{
    photo_block unturned = *block->found;
    for (int i = 0; i < 4; i++)
        unturned.corner_in[i] = block->found->corner_in[(i + block->reading.turn) % 4];
    photo_block_to_srgb(k->seen->survey.plan, &unturned, BLOCK_PICTURE_PX, rgb);
}

static GBytes *picture_of(const keeping *k, const app_seen_block *block, GError **error)
{
    g_autofree uint8_t *rgb = g_malloc((gsize)3 * BLOCK_PICTURE_PX * BLOCK_PICTURE_PX);
    unturned_picture(k, block, rgb);
    return photo_jpeg(BLOCK_PICTURE_PX, BLOCK_PICTURE_PX, rgb, PICTURE_QUALITY, error);
}

static int stock_of(const keeping *k, int64_t fabric)
{
    return GPOINTER_TO_INT(g_hash_table_lookup(k->stock, &fabric));
}

static void take_from_stock(keeping *k, int64_t fabric)
{
    g_hash_table_insert(k->stock, g_memdup2(&fabric, sizeof fabric),
                        GINT_TO_POINTER(stock_of(k, fabric) - 1));
}

/* Brings to the front, of fabrics that are nearly as likely, one of which squares are
 * left. */
static void prefer_in_stock(const keeping *k, colour_match *match)
{
    for (int i = 0; i < match->count; i++)
        if (match->likely[i].alike > match->likely[0].alike - nearly_alike &&
            stock_of(k, match->likely[i].fabric) > 0) {
            colour_likely one = match->likely[i];
            memmove(match->likely + 1, match->likely, (size_t)i * sizeof one);
            match->likely[0] = one;
            return;
        }
}

/* The whole photo together: what is sure takes its squares first, what is unsure is
 * bounded by those that are left. */
static void decide_by_stock(keeping *k, app_seen *seen)
{
    int cells = seen->side * seen->side;
    for (int sure = 1; sure >= 0; sure--)
        for (int i = 0; i < seen->blocks->count * cells; i++) {
            app_seen_block *block = &seen->block[i / cells];
            colour_match *match = &block->match[i % cells][0];
            if (match->count == 0 || (match->verdict == COLOUR_SAME) != sure ||
                !app_seen_counts(block) ||
                !app_patch_from_basket(
                    app_seen_patch(k->laid, block, seen->side, i % cells)))
                continue;
            if (!sure)
                prefer_in_stock(k, match);
            take_from_stock(k, match->likely[0].fabric);
        }
}

static int64_t likeliest(const colour_match *match)
{
    return match->count == 0 ? 0 : match->likely[0].fabric;
}

/* The patches of a block as its design draws it. */
static size_t patches_of(keeping *k, const app_seen_block *block, int64_t id, int turn,
                         store_patch patches[static APP_PATCHES_MAX])
{
    size_t count = 0;
    int side = k->seen->side;
    for (int i = 0; i < 2 * side * side; i++) {
        int cell = i / 2, part = i % 2;
        const quilt_patch *patch = app_seen_patch(k->laid, block, side, cell);
        store_patch one = { .block = id,
                            .place =
                                photo_cell_unturned(side, cell / side, cell % side, turn),
                            .part = part };
        if (part >= app_patch_parts(patch))
            continue;
        if (app_patch_of_scraps(patch, part)) {
            const colour_match *match = &block->match[cell][part];
            one.fabric = likeliest(match);
            one.known = match->verdict == COLOUR_SAME;
            for (int l = 0; l < match->count; l++)
                if (match->likely[l].fabric == one.fabric)
                    one.sure = match->likely[l].alike;
        } else if (patch->role[part] == QUILT_BACKGROUND) {
            one.fabric = k->background;
            one.known = true;
            one.sure = 1;
        }
        if (one.fabric != 0)
            patches[count++] = one;
    }
    return count;
}

static gboolean keep_looks(keeping *k, const app_seen_block *block, int64_t id, int turn,
                           GError **error)
{
    int side = k->seen->side;
    colour_signature colours[APP_CELLS_MAX];
    g_autoptr(GBytes) picture = picture_of(k, block, error);
    if (picture == NULL)
        return FALSE;
    for (int cell = 0; cell < side * side; cell++)
        colours[photo_cell_unturned(side, cell / side, cell % side, turn)] =
            block->found->cell[cell].signature;
    return store_block_set_picture(k->change, id, picture, error) &&
           store_block_set_colours(k->change, id, side * side, colours, error);
}

/* A new fabric from one patch: its middle is the swatch. */
static gboolean learn_part(keeping *k, const app_seen_block *block, int cell, int part,
                           int64_t *ret_fabric, GError **error)
{
    int side = k->seen->side, turn = block->reading.turn;
    const photo_cell *seen = app_seen_part(k->laid, block, side, cell, part);
    uint8_t all[3 * BLOCK_PICTURE_PX * BLOCK_PICTURE_PX];
    uint8_t one[3 * APP_PATCH_SWATCH_PX * APP_PATCH_SWATCH_PX];
    unturned_picture(k, block, all);
    app_patch_swatch(all, BLOCK_PICTURE_PX, side,
                     photo_cell_unturned(side, cell / side, cell % side, turn),
                     app_seen_patch(k->laid, block, side, cell), part, one);
    colour_value_limits limits = app_value_limits(k->references);
    g_auto(app_reading) reading = {
        .colours = seen->signature,
        .value = colour_value_of(seen->mean.l, &limits),
        .swatch = photo_jpeg(APP_PATCH_SWATCH_PX, APP_PATCH_SWATCH_PX, one,
                             PICTURE_QUALITY, error),
    };
    return reading.swatch != NULL &&
           app_fabric_learn(k->change, &reading, ret_fabric, error);
}

/* Patches that are like nothing in the book: those of one photo that are alike are one
 * new fabric. */
static gboolean learn_new(keeping *k, app_seen *seen, GError **error)
{
    int cells = 2 * seen->side * seen->side, n = 0, most = seen->blocks->count * cells;
    g_autofree colour_signature *signatures = g_new(colour_signature, most + 1);
    g_autofree int *where = g_new(int, most + 1);
    for (int i = 0; i < most; i++) {
        const app_seen_block *block = &seen->block[i / cells];
        int cell = i % cells / 2, part = i % 2;
        const quilt_patch *patch = app_seen_patch(k->laid, block, seen->side, cell);
        if (!app_seen_counts(block) || part >= app_patch_parts(patch) ||
            !app_patch_of_scraps(patch, part) ||
            block->match[cell][part].verdict != COLOUR_NEW)
            continue;
        signatures[n] = app_seen_part(k->laid, block, seen->side, cell, part)->signature;
        where[n++] = i;
    }
    g_autofree double *distance = g_new(double, (gsize)n *(gsize)n + 1);
    g_autofree int *group = g_new(int, (gsize)n + 1);
    int groups = colour_group(n, signatures, 0, distance, group);
    for (int g = 0; g < groups; g++) {
        int64_t fabric = 0;
        for (int i = 0; i < n; i++) {
            if (group[i] != g)
                continue;
            app_seen_block *block = &seen->block[where[i] / cells];
            int cell = where[i] % cells / 2, part = where[i] % 2;
            if (fabric == 0 && !learn_part(k, block, cell, part, &fabric, error))
                return FALSE;
            block->match[cell][part] = (colour_match){ .count = 1,
                                                       .likely = { { fabric, 1 } },
                                                       .verdict = COLOUR_SAME };
        }
    }
    return TRUE;
}

/* --- which block of the quilt it is --------------------------------------------------
 */

/* Where a photographed block goes: a block of its kind that was only tapped so far, else
 * the next open place. */
typedef struct chosen_place {
    int64_t block; /* that it is, or 0 */
    int place;     /* of the layout; -1: none is open */
    int turn;
} chosen_place;

static chosen_place choose_place(const keeping *k, const app_seen_block *block,
                                 const GArray *blocks, int64_t *made, GHashTable *claimed)
{
    const char *name = app_laid_block(k->laid, block->reading.kind)->name;
    for (guint i = 0; i < blocks->len; i++) {
        const store_block *one = &g_array_index(blocks, store_block, i);
        if (one->picture != 0 || one->row == 0 || strcmp(one->kind, name) != 0 ||
            g_hash_table_contains(claimed, &one->id))
            continue;
        int64_t *id = g_memdup2(&one->id, sizeof one->id);
        g_hash_table_add(claimed, id);
        return (chosen_place){ one->id, app_laid_place_index(k->laid, one->row, one->col),
                               one->turn };
    }
    for (int place = 0; place < k->laid->layout.count; place++) {
        const quilt_place *where = &k->laid->layout.places[place];
        if (made[place] != 0 || where->kind != block->reading.kind)
            continue;
        made[place] = -1; /* taken from now on */
        return (chosen_place){ 0, place, where->turn };
    }
    return (chosen_place){ 0, -1, 0 };
}

static gboolean keep_block(keeping *k, const app_seen_block *block, chosen_place *at,
                           GError **error)
{
    store_patch patches[APP_PATCHES_MAX];
    if (at->block == 0) {
        store_block row = {
            .quilt = k->quilt->id,
            .kind = (char *)app_laid_block(k->laid, block->reading.kind)->name,
            .turn = at->turn
        };
        app_laid_place_at(k->laid, at->place, &row.row, &row.col);
        if (!store_block_add(k->change, &row, &at->block, error))
            return FALSE;
    } else if (!store_basket_put_back(k->change, at->block, NULL, error)) {
        return FALSE; /* what was taken for it by guess */
    }
    int turn = block->reading.turn;
    size_t count = patches_of(k, block, at->block, turn, patches);
    return (count == 0 || store_patch_set(k->change, at->block, count, patches, error)) &&
           app_patches_take(k->change, k->quilt->unit,
                            app_laid_block(k->laid, block->reading.kind), at->block,
                            count, patches, &k->short_by, error) &&
           keep_looks(k, block, at->block, turn, error);
}

/* --- documents -----------------------------------------------------------------------
 */

static json_t *part_document(app *self, const keeping *k, const app_seen_block *block,
                             int cell, int part, GError **error)
{
    int side = k->seen->side;
    const quilt_patch *patch = app_seen_patch(k->laid, block, side, cell);
    const colour_match *match = &block->match[cell][part];
    bool scraps = app_patch_of_scraps(patch, part),
         background = patch->role[part] == QUILT_BACKGROUND;
    int64_t fabric = scraps ? likeliest(match) : background ? k->background : 0;
    double sure = background ? 1 : 0;
    json_t *likely = json_array();
    for (int i = 0; scraps && i < match->count; i++) {
        g_auto(app_look) look = { 0 };
        if (match->likely[i].fabric == fabric)
            sure = match->likely[i].alike;
        if (!app_look_get(self, match->likely[i].fabric, &look, error)) {
            json_decref(likely);
            return NULL;
        }
        json_t *row = app_fabric_document(&look);
        json_object_set_new(row, "alike", json_real(match->likely[i].alike));
        json_array_append_new(likely, row);
    }
    return json_pack(
        "{s:s, s:o, s:f, s:b, s:i, s:i, s:o, s:o}", "role",
        quilt_role_name((quilt_role)patch->role[part]), "fabric", app_document_id(fabric),
        "sure", sure, "ask", scraps && match->verdict != COLOUR_SAME, "place",
        photo_cell_unturned(side, cell / side, cell % side, block->reading.turn), "part",
        part, "srgb",
        app_document_srgb(&app_seen_part(k->laid, block, side, cell, part)->mean),
        "likely", likely);
}

/* The second of two triangles comes with the first, as its "other". */
static json_t *patch_document(app *self, const keeping *k, const app_seen_block *block,
                              int cell, GError **error)
{
    const quilt_patch *patch = app_seen_patch(k->laid, block, k->seen->side, cell);
    json_t *first = part_document(self, k, block, cell, 0, error);
    if (first == NULL || app_patch_parts(patch) == 1)
        return first;
    json_t *other = part_document(self, k, block, cell, 1, error);
    if (other == NULL) {
        json_decref(first);
        return NULL;
    }
    json_object_set_new(first, "other", other);
    return first;
}

static json_t *patches_document(app *self, const keeping *k, const app_seen_block *block,
                                GError **error)
{
    int side = k->seen->side;
    g_autoptr(json_t) rows = json_array();
    for (int row = 0; row < side; row++) {
        json_t *line = json_array();
        json_array_append_new(rows, line);
        for (int col = 0; col < side; col++) {
            json_t *patch = patch_document(self, k, block, row * side + col, error);
            if (patch == NULL)
                return NULL;
            json_array_append_new(line, patch);
        }
    }
    return g_steal_pointer(&rows);
}

/* The side that is most off, in sixteenths, and what to do about it. */
static void add_size(const photo_block *found, double unfinished_in, json_t *document)
{
    double off = 0;
    for (int k = 0; k < 4; k++)
        if (fabs(found->side_in[k] - unfinished_in) > fabs(off))
            off = found->side_in[k] - unfinished_in;
    const char *verdict = off > trim_from_in    ? "trim"
                          : off < -trim_from_in ? "ease"
                                                : "fits";
    json_object_set_new(document, "off_in", json_real(off));
    json_object_set_new(document, "off_sixteenths", json_integer(lround(off * 16)));
    json_object_set_new(document, "error_in", json_real(found->error_in));
    json_object_set_new(document, "size", json_string(verdict));
}

/* What all blocks of the photo say of her seams, and of a row of the quilt. */
static json_t *sizes_document(const app_laid *laid, const app_seen *seen)
{
    double sum = 0, unfinished = photo_block_unfinished_in(&seen->size);
    int n = 0;
    for (int i = 0; i < seen->blocks->count; i++) {
        if (seen->block[i].found->doubts & PHOTO_BLOCK_CUT_OFF)
            continue;
        for (int k = 0; k < 4; k++, n++)
            sum += seen->block[i].found->side_in[k];
    }
    if (n == 0)
        return json_null();
    double mean = sum / n, seams = 2.0 * (seen->side - 1);
    return json_pack("{s:f, s:f, s:f, s:f, s:f}", "unfinished_in", unfinished, "mean_in",
                     mean, "off_in", mean - unfinished, "seam_in",
                     (seen->side * seen->size.unit_in - mean) / seams, "row_in",
                     (mean - unfinished) * laid->frame.across);
}

/* What is said where no block (`found` is 0) or none of the right size lies in the photo.
 */
static char *misfit_words(int found, double unfinished_in, const char *others)
{
    char size[LENGTH_TEXT_SIZE];
    length_text(length_from_inches(unfinished_in), LENGTH_INCHES, 8, size);
    if (found == 0 && others[0] == '\0')
        return g_strdup_printf("No block of %s was found. Lay them right side up, apart.",
                               size);
    if (found == 0)
        return g_strdup_printf("No block of %s was found; they fit %s.", size, others);
    if (others[0] == '\0')
        return g_strdup_printf(
            "These blocks do not fit this quilt, whose blocks measure %s.", size);
    return g_strdup_printf("These blocks do not fit this quilt, whose blocks measure %s;"
                           " they fit %s.",
                           size, others);
}

/* Blocks of another size may be another quilt's. */
static gboolean which_quilt_fits(app *self, const store_quilt *quilt,
                                 const app_seen *seen, json_t *warnings, GError **error)
{
    double sum = 0, unfinished = photo_block_unfinished_in(&seen->size);
    int n = 0, misfits = 0;
    for (int i = 0; i < seen->blocks->count; i++) {
        misfits += !seen->block[i].reading.fits;
        for (int k = 0; k < 4; k++, n++)
            sum += seen->block[i].found->side_in[k];
    }
    bool size_off = n > 0 && fabs(sum / n / unfinished - 1) > wrong_size;
    if (n > 0 && !size_off && misfits * 2 <= seen->blocks->count)
        return TRUE;
    g_autoptr(GArray) lines = NULL;
    g_autoptr(GString) others = g_string_new(NULL);
    if (!store_quilt_list(self->book, &lines, error))
        return FALSE;
    for (guint i = 0; i < lines->len; i++) {
        const store_quilt_line *line = &g_array_index(lines, store_quilt_line, i);
        g_auto(store_quilt) other = { 0 };
        g_auto(app_laid) laid = { 0 };
        g_autoptr(photo_blocks) found = NULL;
        if (line->id == quilt->id || line->closed != 0)
            continue;
        if (!store_quilt_get(self->book, line->id, &other, error) ||
            !app_laid_from_quilt(&other, &laid, error))
            return FALSE;
        photo_block_size size = { .side = laid.frame.side,
                                  .unit_in = length_to_inches(laid.frame.unit),
                                  .seam_in = length_to_inches(laid.frame.seam) };
        if (size.side < 2 || size.side > PHOTO_BLOCK_SIDE_MAX ||
            fabs(photo_block_unfinished_in(&size) / unfinished - 1) < wrong_size)
            continue;
        if (!photo_find_blocks(seen->survey.plan, &size, NULL, &found, error))
            return FALSE;
        if (found->count > seen->blocks->count)
            g_string_append_printf(others, "%s%s", others->len > 0 ? ", " : "",
                                   line->name);
    }
    g_autofree char *message = misfit_words(n, unfinished, others->str);
    json_array_append_new(warnings,
                          json_pack("{s:s, s:s}", "code",
                                    n == 0 ? "blocks.none" : "blocks.other-quilt",
                                    "message", message));
    return TRUE;
}

static void add_warnings_of_photo(const app_seen *seen, json_t *warnings)
{
    for (int i = 0; i < seen->survey.warnings.count; i++)
        json_array_append_new(
            warnings, json_pack("{s:s, s:s}", "code", seen->survey.warnings.item[i].code,
                                "message", seen->survey.warnings.item[i].message));
}

/* --- made, by photo ------------------------------------------------------------------
 */

static gboolean begin_keeping(app *self, const store_quilt *quilt, const app_laid *laid,
                              const app_seen *seen, const GArray *references,
                              keeping *ret, GError **error)
{
    int64_t fabrics[QUILT_ROLES];
    g_autoptr(GArray) shares = NULL;
    if (!store_quilt_fabrics(self->book, quilt->id, fabrics, error) ||
        !store_basket_fabrics(self->book, quilt->unit, &shares, error))
        return FALSE;
    *ret = (keeping){ .self = self,
                      .quilt = quilt,
                      .laid = laid,
                      .seen = seen,
                      .references = references,
                      .background = fabrics[QUILT_BACKGROUND],
                      .stock = g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free,
                                                     NULL) };
    for (guint i = 0; i < shares->len; i++) {
        const store_share *share = &g_array_index(shares, store_share, i);
        g_hash_table_insert(ret->stock, g_memdup2(&share->id, sizeof share->id),
                            GINT_TO_POINTER((int)(share->known + share->inferred)));
    }
    return TRUE;
}

typedef struct outcome {
    json_t *made, *unsure, *again, *warnings; /* owned */
    int added;                                /* blocks that were not crossed off */
} outcome;

static void outcome_clear(outcome *self)
{
    json_decref(self->made);
    json_decref(self->unsure);
    json_decref(self->again);
    json_decref(self->warnings);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(outcome, outcome_clear)

static json_t *place_document(const app_laid *laid, int place)
{
    int row, col;
    if (place < 0)
        return json_null();
    app_laid_place_at(laid, place, &row, &col);
    return json_pack("[i, i]", row, col);
}

static gboolean settle_block(keeping *k, const app_seen_block *block,
                             const GArray *blocks, int64_t *made, GHashTable *claimed,
                             outcome *out, GError **error)
{
    json_t *document = app_seen_document(k->laid, k->seen, block);
    json_t *trouble = app_seen_trouble(block);
    if (trouble == NULL)
        add_size(block->found, photo_block_unfinished_in(&k->seen->size), document);
    if (trouble == NULL && block->again != 0) {
        json_object_set_new(document, "block", json_integer(block->again));
        json_object_set_new(document, "again_sure", json_real(block->again_sure));
        json_array_append_new(out->again, document);
        return TRUE;
    }
    chosen_place at = { 0, -1, 0 };
    if (trouble == NULL)
        at = choose_place(k, block, blocks, made, claimed);
    if (trouble == NULL && at.place < 0)
        trouble = json_pack("{s:s, s:s}", "code", "block.no-place", "message",
                            "All places for this kind are crossed off already.");
    if (trouble != NULL) {
        json_object_set_new(document, "why", trouble);
        json_array_append_new(out->unsure, document);
        return TRUE;
    }
    bool tapped = at.block != 0;
    if (!keep_block(k, block, &at, error)) {
        json_decref(document);
        return FALSE;
    }
    out->added += !tapped;
    json_t *patches = patches_document(k->self, k, block, error);
    if (patches == NULL) {
        json_decref(document);
        return FALSE;
    }
    json_object_set_new(document, "block", json_integer(at.block));
    json_object_set_new(document, "place", place_document(k->laid, at.place));
    json_object_set_new(document, "tapped_before", json_boolean(tapped));
    json_object_set_new(document, "patches", patches);
    json_array_append_new(out->made, document);
    return TRUE;
}

static gboolean keep_photo(app *self, const store_quilt *quilt, const app_laid *laid,
                           app_seen *seen, outcome *out, int *ret_left, GError **error)
{
    int count;
    g_autoptr(GArray) blocks = NULL;
    g_autoptr(GArray) references = app_scrap_references(self, error);
    g_autofree int64_t *made = app_quilt_made_at(self, laid, quilt->id, &count, error);
    keeping k = { 0 };
    if (references == NULL || made == NULL ||
        !store_block_list(self->book, quilt->id, &blocks, error) ||
        !begin_keeping(self, quilt, laid, seen, references, &k, error))
        return FALSE;
    g_autoptr(GHashTable) stock = k.stock;
    g_autoptr(GHashTable) claimed =
        g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, NULL);
    g_autoptr(store_change) change =
        store_change_begin(self->book, "Crossed off blocks by photo", error);
    k.change = change;
    if (change == NULL || !learn_new(&k, seen, error))
        return FALSE;
    decide_by_stock(&k, seen);
    for (int i = 0; i < seen->blocks->count; i++)
        if (!settle_block(&k, &seen->block[i], blocks, made, claimed, out, error))
            return FALSE;
    g_autofree char *words =
        app_document_count((int64_t)json_array_size(out->made), "block");
    g_autofree char *what = g_strdup_printf("Crossed off %s by photo", words);
    store_change_set_what(change, what);
    if (!store_change_commit(change, error))
        return FALSE;
    if (k.short_by > 0) {
        g_autofree char *squares = app_document_count(k.short_by, "square");
        g_autofree char *message = g_strdup_printf(
            "The basket had %s fewer than these blocks took: count it when you can.",
            squares);
        json_array_append_new(
            out->warnings,
            json_pack("{s:s, s:s}", "code", "basket.short", "message", message));
    }
    *ret_left = laid->layout.count - count - out->added;
    return TRUE;
}

gboolean app_do_blocks_photo(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    g_auto(outcome) out = { json_array(), json_array(), json_array(), json_array(), 0 };
    g_autoptr(json_t) paths = app_request_list(call, "photos");
    g_autoptr(json_t) sizes = json_null();
    g_autoptr(json_t) photo = json_null();
    int left = 0;
    if (!app_quilt_requested(self, call, &quilt, error) ||
        !app_laid_from_quilt(&quilt, &laid, error))
        return FALSE;
    if (quilt.closed != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_QUILT_CLOSED, "%s is finished.",
                    quilt.name);
        return FALSE;
    }
    if (json_array_size(paths) == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "photo: which one is missing.");
        return FALSE;
    }
    for (size_t i = 0; i < json_array_size(paths); i++) {
        const char *path = json_string_value(json_array_get(paths, i));
        g_auto(app_seen) seen = { 0 };
        if (!app_seen_read(self, call, path, &quilt, &laid, &seen, error) ||
            !keep_photo(self, &quilt, &laid, &seen, &out, &left, error) ||
            !which_quilt_fits(self, &quilt, &seen, out.warnings, error)) {
            g_prefix_error(error, "%s: ", path);
            return FALSE;
        }
        add_warnings_of_photo(&seen, out.warnings);
        json_decref(sizes);
        sizes = sizes_document(&laid, &seen);
        json_decref(photo);
        photo = app_seen_photo_document(&seen);
    }
    g_autofree char *words =
        app_document_count((int64_t)json_array_size(out.made), "block");
    g_autofree char *done = g_strdup_printf("Crossed off %s by photo", words);
    *ret_document = json_pack("{s:s, s:O, s:O, s:O, s:O, s:i, s:O, s:O, s:s}", "quilt",
                              quilt.name, "photo", photo, "made", out.made, "unsure",
                              out.unsure, "again", out.again, "left", left, "sizes",
                              sizes, "warnings", out.warnings, "done", done);
    return TRUE;
}

/* --- where does this one go? ---------------------------------------------------------
 */

gboolean app_do_blocks_place(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    g_auto(app_seen) seen = { 0 };
    g_autoptr(json_t) paths = app_request_list(call, "photos");
    if (!app_quilt_requested(self, call, &quilt, error) ||
        !app_laid_from_quilt(&quilt, &laid, error))
        return FALSE;
    if (json_array_size(paths) != 1) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "photo: give one photo.");
        return FALSE;
    }
    if (!app_seen_read(self, call, json_string_value(json_array_get(paths, 0)), &quilt,
                       &laid, &seen, error))
        return FALSE;
    g_autoptr(json_t) placed = json_array();
    g_autoptr(json_t) unsure = json_array();
    for (int i = 0; i < seen.blocks->count; i++) {
        const app_seen_block *one = &seen.block[i];
        json_t *document = app_seen_document(&laid, &seen, one);
        g_auto(store_block) block = { 0 };
        if (one->again == 0) {
            json_array_append_new(unsure, document);
            continue;
        }
        if (!store_block_get(self->book, one->again, &block, error)) {
            json_decref(document);
            return FALSE;
        }
        int place =
            block.row == 0 ? -1 : app_laid_place_index(&laid, block.row, block.col);
        json_object_set_new(document, "block", json_integer(one->again));
        json_object_set_new(document, "place", place_document(&laid, place));
        /* From how it lies to how it goes. */
        json_object_set_new(document, "turn",
                            json_integer((block.turn - one->again_turn + 4) % 4));
        json_object_set_new(document, "sure", json_real(one->again_sure));
        json_array_append_new(placed, document);
    }
    *ret_document =
        json_pack("{s:s, s:o, s:O, s:O}", "quilt", quilt.name, "photo",
                  app_seen_photo_document(&seen), "blocks", placed, "unsure", unsure);
    return TRUE;
}
