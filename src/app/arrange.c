/* Arranging: which finished block goes where, searched for as long as she likes. */
#include "wall-internal.h"

#include <math.h>
#include <string.h>

static const double SECONDS_USUAL = 3, SECONDS_MAX = 3600;
static const gint64 PARTIAL_US = 250 * 1000; /* a few pictures a second */
enum {
    PARTIAL_LARGE = 1000,
    DENSITY_CELLS = 8
}; /* large patches along the longer side */

/* What is asked for, and what the engine needs for it. */
typedef struct arranging {
    app *book;
    const app_call *call;
    app_wall wall;
    plan_arrange_quilt quilt;
    plan_arrange_weights weights;
    plan_arrange_block *block;
    plan_arrange_pin *pin;
    plan_arrange_lay *now;   /* how the blocks lie in the book */
    plan_arrange_lay *start; /* what is gone on from, or judged: that, unless she says */
    int16_t *nothing;        /* fabrics of a block still to come */
    float *alike, *light, *target;
    float *crowding; /* by place, of what was found */
    double seconds;
    int64_t seed;
    gint64 begun_us, told_us;
    int loose_pins; /* pins of the book that the design has made void */
} arranging;

static void arranging_clear(arranging *self)
{
    app_wall_clear(&self->wall);
    g_free(self->block);
    g_free(self->pin);
    g_free(self->now);
    g_free(self->nothing);
    g_free(self->start);
    g_free(self->alike);
    g_free(self->light);
    g_free(self->target);
    g_free(self->crowding);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(arranging, arranging_clear)

/* ---- Reading what is asked ---- */

/* A weight or a time: from 0 to most; absent leaves *ret_number as it was. */
static gboolean read_number(const app_call *call, const char *field, double most,
                            double *ret_number, GError **error)
{
    const json_t *value = json_object_get(call->request, field);
    if (value == NULL || json_is_null(value))
        return TRUE;
    const char *text = json_string_value(value);
    char *end = NULL;
    double number = text != NULL ? g_ascii_strtod(text, &end) : json_number_value(value);
    bool read = text != NULL ? end != text && *end == '\0' : json_is_number(value);
    if (read && isfinite(number) && number >= 0 && number <= most) {
        *ret_number = number;
        return TRUE;
    }
    g_autofree char *shown = json_dumps(value, JSON_ENCODE_ANY);
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "%s: %.60s is no number from 0 to %g.", field, shown, most);
    return FALSE;
}

static gboolean read_choice(const app_call *call, const char *field,
                            const char *const *choices, int *ret_choice, GError **error)
{
    const char *text = app_request_text(call, field);
    if (text == NULL)
        return TRUE;
    for (int i = 0; choices[i] != NULL; i++) {
        if (strcmp(choices[i], text) == 0) {
            *ret_choice = i;
            return TRUE;
        }
    }
    g_autofree char *names = g_strjoinv(", ", (char **)(uintptr_t)choices);
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "%s: \"%.40s\" is none of %s.", field, text, names);
    return FALSE;
}

static gboolean read_weights(const app_call *call, plan_arrange_weights *weights,
                             GError **error)
{
    *weights = plan_arrange_usual();
    /* "nest" is a wish with a strength of its own; a number of "nesting" overrules it. */
    if (app_request_flag(call, "nest"))
        weights->nesting = 1;
    return read_number(call, "seams", 10, &weights->seams, error) &&
           read_number(call, "spread", 10, &weights->spread, error) &&
           read_number(call, "nesting", 10, &weights->nesting, error);
}

static gboolean read_target(arranging *self, GError **error)
{
    static const char *const layouts[] = { "none", "rings", "diagonals", "gradient",
                                           NULL };
    static const plan_arrange_value values[] = { PLAN_VALUE_RINGS, PLAN_VALUE_RINGS,
                                                 PLAN_VALUE_DIAGONALS,
                                                 PLAN_VALUE_GRADIENT };
    int layout = 0;
    if (!read_choice(self->call, "layout", layouts, &layout, error))
        return FALSE;
    if (layout == 0)
        return TRUE;
    const app_wall *wall = &self->wall;
    self->target = g_new(float, (gsize)wall->laid.layout.count);
    plan_arrange_target(&wall->laid.layout, values[layout], self->target);
    self->light = g_new(float, (gsize)wall->fabrics + 1);
    for (int i = 0; i < wall->fabrics; i++) {
        colour_lab mean = colour_signature_mean(&wall->looks[i].colours);
        self->light[i] = wall->looks[i].colours.count == 0 ? 0.5f : (float)(mean.l / 100);
    }
    return TRUE;
}

/* "3,4=17": block 17 stays at row 3, column 4. */
static gboolean read_pin(arranging *self, const json_t *item, int *ret_place,
                         int *ret_block, GError **error)
{
    const char *text = json_string_value(item);
    const char *sign = text == NULL ? NULL : strchr(text, '=');
    if (sign == NULL) {
        g_autofree char *shown = json_dumps(item, JSON_ENCODE_ANY);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "pin: %.60s is no ROW,COLUMN=BLOCK.", shown);
        return FALSE;
    }
    int64_t id;
    g_autoptr(json_t) place = json_stringn(text, (size_t)(sign - text));
    g_autoptr(json_t) block = json_string(sign + 1);
    if (!app_laid_place_read(place, &self->wall.laid, ret_place, error) ||
        !app_request_item_id(block, "pin", &id, error))
        return FALSE;
    *ret_block = app_wall_find(&self->wall, id);
    if (*ret_block >= 0)
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_BLOCK,
                "pin %s: the quilt has no block %" PRId64 ".", text, id);
    return FALSE;
}

/* Whether a pin may stand beside those that stand already. */
static gboolean add_pin(arranging *self, int place, int block, int turn, GError **error)
{
    const app_wall *wall = &self->wall;
    int row, col;
    app_laid_place_at(&wall->laid, place, &row, &col);
    for (int i = 0; i < self->quilt.pins; i++) {
        const plan_arrange_pin *pin = &self->pin[i];
        if (pin->place == place && pin->block == block)
            return TRUE;
        if (pin->place == place) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_PIN_PLACE,
                        "Blocks %" PRId64 " and %" PRId64
                        " are both pinned at row %d, column %d.",
                        wall->block[pin->block].id, wall->block[block].id, row, col);
            return FALSE;
        }
        if (pin->block == block) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_PIN_BLOCK,
                        "Block %" PRId64 " is pinned at two places.",
                        wall->block[block].id);
            return FALSE;
        }
    }
    if (wall->block[block].kind != wall->laid.layout.places[place].kind) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_PIN_KIND,
                    "Block %" PRId64 " is a %s block: it does not belong at row %d, "
                    "column %d.",
                    wall->block[block].id,
                    app_laid_block(&wall->laid, wall->block[block].kind)->name, row, col);
        return FALSE;
    }
    self->pin[self->quilt.pins++] =
        (plan_arrange_pin){ .place = place, .block = block, .turn = turn };
    return TRUE;
}

/* Pins asked for here come first; a pin of the book gives way where its block is asked
 * for elsewhere. */
static gboolean read_pins(arranging *self, GError **error)
{
    const app_wall *wall = &self->wall;
    g_autoptr(json_t) asked = app_request_list(self->call, "pin");
    size_t count = json_array_size(asked);
    self->pin = g_new0(plan_arrange_pin, count + (gsize)wall->blocks + 1);
    self->quilt.pin = self->pin;
    for (size_t i = 0; i < count; i++) {
        int place, block;
        if (!read_pin(self, json_array_get(asked, i), &place, &block, error) ||
            !add_pin(self, place, block, -1, error))
            return FALSE;
    }
    int wished = self->quilt.pins;
    for (int b = 0; b < wall->blocks; b++) {
        const app_wall_block *block = &wall->block[b];
        bool moved = false;
        for (int i = 0; i < wished; i++)
            moved |= self->pin[i].block == b;
        if (!block->pinned || moved)
            continue;
        if (block->place < 0)
            self->loose_pins++;
        else if (!add_pin(self, block->place, b,
                          app_wall_fits(wall, b, block->place, block->turn) ? block->turn
                                                                            : -1,
                          error))
            return FALSE;
    }
    return TRUE;
}

static void fill_alike(arranging *self)
{
    const app_wall *wall = &self->wall;
    size_t n = (size_t)wall->fabrics;
    self->alike = g_new(float, n *n + 1);
    for (size_t a = 0; a < n; a++)
        for (size_t b = 0; b <= a; b++)
            self->alike[a * n + b] = self->alike[b * n + a] =
                (float)app_fabric_alike(self->book, &wall->looks[a], &wall->looks[b]);
}

/* Open places stay open: a block that is still to come, of which nothing is known, is
 * pinned at each for the search. Where blocks of a kind lie nowhere yet, its open places
 * are theirs to take. */
static void hold_open_places(arranging *self)
{
    const app_wall *wall = &self->wall;
    int count = wall->laid.layout.count;
    size_t halves = 2 * (size_t)wall->laid.frame.side * (size_t)wall->laid.frame.side;
    bool is_free[QUILT_BLOCKS_MAX] = { false };
    g_autofree bool *is_pinned = g_new0(bool, (gsize)count);
    g_autofree bool *is_laid = g_new0(bool, (gsize)wall->blocks + 1);
    for (int p = 0; p < count; p++)
        if (self->start[p].block >= 0)
            is_laid[self->start[p].block] = true;
    for (int b = 0; b < wall->blocks; b++)
        is_free[wall->block[b].kind] |= !is_laid[b];
    for (int i = 0; i < self->quilt.pins; i++) {
        is_pinned[self->pin[i].place] = true;
        /* A pin at an open place sends a block there, and another may take its own. */
        if (self->start[self->pin[i].place].block < 0)
            is_free[wall->laid.layout.places[self->pin[i].place].kind] = true;
    }
    self->pin = g_renew(plan_arrange_pin, self->pin, self->quilt.pins + count);
    self->quilt.pin = self->pin;
    self->nothing = g_new(int16_t, halves);
    memset(self->nothing, 0xff, sizeof(int16_t) * halves);
    for (int p = 0; p < count; p++) {
        const quilt_place *place = &wall->laid.layout.places[p];
        if (self->start[p].block >= 0 || is_pinned[p] || is_free[place->kind])
            continue;
        self->quilt.to_come++;
        int block = self->quilt.blocks++;
        self->block[block] = (plan_arrange_block){ place->kind, self->nothing };
        self->pin[self->quilt.pins++] = (plan_arrange_pin){ p, block, place->turn };
    }
}

static gboolean arranging_begin(app *self, const app_call *call, arranging *job,
                                GError **error)
{
    static const char *const froms[] = { "now", "afresh", NULL };
    int from = 0;
    app_wall *wall = &job->wall;
    job->book = self;
    job->call = call;
    job->seconds = SECONDS_USUAL;
    if (!read_number(call, "seconds", SECONDS_MAX, &job->seconds, error) ||
        !app_request_int(call, "seed", 0, INT64_MAX, &job->seed, error) ||
        !read_choice(call, "from", froms, &from, error) ||
        !read_weights(call, &job->weights, error) ||
        !app_wall_requested(self, call, wall, error) || !read_target(job, error) ||
        !read_pins(job, error))
        return FALSE;
    if (wall->blocks == 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_BLOCKS,
                    wall->strangers > 0
                        ? "The design of %s has changed: no block is of its kinds."
                        : "No block of %s is made yet.",
                    wall->quilt.name);
        return FALSE;
    }
    if (app_request_flag(call, "keep") && wall->quilt.closed != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_QUILT_CLOSED, "%s is finished.",
                    wall->quilt.name);
        return FALSE;
    }
    fill_alike(job);
    job->now = app_wall_lays(wall);
    job->start = g_memdup2(job->now, sizeof job->now[0] * (gsize)wall->laid.layout.count);
    const json_t *start = json_object_get(call->request, "start");
    if (start != NULL && !json_is_null(start) &&
        !app_wall_read(wall, start, job->start, error))
        return FALSE;
    job->block =
        g_new(plan_arrange_block, (gsize)wall->blocks + (gsize)wall->laid.layout.count);
    for (int b = 0; b < wall->blocks; b++)
        job->block[b] =
            (plan_arrange_block){ wall->block[b].kind, app_wall_fabrics(wall, b) };
    job->quilt.design = &wall->laid.design;
    job->quilt.layout = &wall->laid.layout;
    job->quilt.fabrics = wall->fabrics;
    job->quilt.alike = job->alike;
    job->quilt.light = job->light;
    job->quilt.blocks = wall->blocks;
    job->quilt.block = job->block;
    job->quilt.start = from == 0 ? job->start : NULL;
    job->quilt.before = job->now;
    job->quilt.target = job->target;
    job->crowding = g_new(float, (gsize)wall->laid.layout.count);
    if (!app_request_flag(call, "whole"))
        hold_open_places(job);
    return TRUE;
}

/* ---- Telling what was found ---- */

static json_t *place_document(const app_laid *laid, int place)
{
    int row, col;
    app_laid_place_at(laid, place, &row, &col);
    return json_pack("[i, i]", row, col);
}

static json_t *worst_document(const arranging *self, const plan_arrange_lay *lays,
                              const plan_arrange_result *result)
{
    const app_wall *wall = &self->wall;
    json_t *list = json_array();
    for (int i = 0; i < result->worst_count; i++) {
        const plan_arrange_worst *worst = &result->worst[i];
        int a = lays[worst->place].block, b = lays[worst->across].block;
        json_array_append_new(
            list, json_pack("{s:[o, o], s:[o, o], s:f}", "places",
                            place_document(&wall->laid, worst->place),
                            place_document(&wall->laid, worst->across), "blocks",
                            app_document_id(a < 0 ? 0 : wall->block[a].id),
                            app_document_id(b < 0 ? 0 : wall->block[b].id), "alike",
                            worst->alike));
    }
    return list;
}

/* A share in words, and the level by which the page says it in her language. */
typedef struct level {
    double below;
    const char *name, *words;
} level;

/* The limits are those of figures that a maker can tell apart on the wall. */
static const level seam_levels[] = {
    { 0.10, "hardly", "Hardly any like fabrics meet." },
    { 0.25, "few", "Few like fabrics meet." },
    { 0.45, "some", "Some like fabrics meet." },
    { INFINITY, "many", "Many like fabrics meet." },
};
static const level no_seams = { 0, "unknown",
                                "No fabric is known yet, so no seam can be judged." };
static const level spread_levels[] = {
    { 0.985, "even", "Colours are spread evenly over the quilt." },
    { 1.01, "shuffled", "Colours are spread as evenly as a good shuffle would." },
    { 1.06, "uneven", "Here and there like colours come together." },
    { INFINITY, "clumped", "Like colours clump together." },
};
static const level value_levels[] = {
    { 0.12, "close", "Light and dark follow the design closely." },
    { 0.22, "follows", "Light and dark follow the design." },
    { INFINITY, "even", "The blocks are too even in value to show the design well." },
};

static const level *level_of(double share, const level *levels)
{
    while (share >= levels->below)
        levels++;
    return levels;
}

/* The same twice: "words" to print, "levels" to say in another language. */
static void tell_in_words(json_t *document, const arranging *self,
                          const plan_arrange_score *score)
{
    const level *seams =
        self->wall.fabrics == 0 ? &no_seams : level_of(score->seams, seam_levels);
    const level *spread = level_of(score->spread, spread_levels);
    g_autofree char *nesting = g_strdup_printf(
        "%.0f of 100 seams lock where blocks meet.", 100 * score->nesting);
    json_t *words = json_pack("{s:s, s:s, s:s}", "seams", seams->words, "spread",
                              spread->words, "nesting", nesting);
    json_t *levels =
        json_pack("{s:s, s:s}", "seams", seams->name, "spread", spread->name);
    if (self->target != NULL) {
        const level *value = level_of(score->value, value_levels);
        json_object_set_new(words, "value", json_string(value->words));
        json_object_set_new(levels, "value", json_string(value->name));
    }
    json_object_set_new(document, "words", words);
    json_object_set_new(document, "levels", levels);
}

/* The mean colour and crowding of a large patch of the quilt. */
typedef struct density {
    double l, a, b, crowding;
    int patches, blocks;
} density;

static void density_add(density *cell, const arranging *self, int block, float crowding)
{
    const app_wall *wall = &self->wall;
    int halves = 2 * wall->laid.frame.side * wall->laid.frame.side;
    const int16_t *fabric = app_wall_fabrics(wall, block);
    for (int i = 0; i < halves; i++) {
        if (fabric[i] < 0 || wall->looks[fabric[i]].colours.count == 0)
            continue;
        colour_lab mean = colour_signature_mean(&wall->looks[fabric[i]].colours);
        cell->l += mean.l;
        cell->a += mean.a;
        cell->b += mean.b;
        cell->patches++;
    }
    cell->crowding += (double)crowding;
    cell->blocks++;
}

static json_t *density_cell(const density *cell)
{
    colour_lab mean = { 0, 0, 0 };
    if (cell->patches > 0)
        mean = (colour_lab){ cell->l / cell->patches, cell->a / cell->patches,
                             cell->b / cell->patches };
    return json_pack(
        "{s:o, s:o}", "srgb", cell->patches > 0 ? app_document_srgb(&mean) : json_null(),
        "crowding",
        cell->blocks > 0 ? json_real(cell->crowding / cell->blocks) : json_null());
}

/* The spread as a picture: the quilt in some large patches. */
static json_t *density_document(const arranging *self, const plan_arrange_lay *lays)
{
    const quilt_layout *layout = &self->wall.laid.layout;
    int longer = MAX(layout->across, layout->rows);
    int across = MAX(
        1, MIN(layout->across, (layout->across * DENSITY_CELLS + longer / 2) / longer));
    int down =
        MAX(1, MIN(layout->rows, (layout->rows * DENSITY_CELLS + longer / 2) / longer));
    g_autofree density *cells = g_new0(density, (gsize)(across * down));
    for (int row = 0; row < layout->rows; row++) {
        int count;
        const quilt_place *places = quilt_layout_row(layout, row, &count);
        for (int i = 0; i < count; i++) {
            int place = (int)(places - layout->places) + i;
            density *cell =
                &cells[row * down / layout->rows * across + i * across / MAX(count, 1)];
            if (lays[place].block >= 0)
                density_add(cell, self, lays[place].block, self->crowding[place]);
        }
    }
    json_t *rows = json_array();
    for (int r = 0; r < down; r++) {
        json_t *line = json_array();
        for (int c = 0; c < across; c++)
            json_array_append_new(line, density_cell(&cells[r * across + c]));
        json_array_append_new(rows, line);
    }
    return rows;
}

static void warn(json_t *warnings, const char *code, const char *message)
{
    json_array_append_new(warnings,
                          json_pack("{s:s, s:s}", "code", code, "message", message));
}

static json_t *warnings_document(const arranging *self, const plan_arrange_result *result)
{
    const app_wall *wall = &self->wall;
    json_t *warnings = json_array();
    int unknown = 0;
    for (int b = 0; b < wall->blocks; b++)
        unknown += !wall->block[b].known;
    if (unknown > 0) {
        g_autofree char *blocks = app_document_count(unknown, "block");
        g_autofree char *text = g_strdup_printf(
            "Of %s no fabric is known: they count as unlike everything. A photo of them "
            "or a tap on their patches tells.",
            blocks);
        warn(warnings, "arrange.unknown-fabric", text);
    }
    if (result->one_fabric)
        warn(warnings, "arrange.one-fabric",
             "All known patches are of one fabric, so every arrangement is as good: this "
             "is the best there is.");
    if (result->over > 0) {
        g_autofree char *blocks = app_document_count(result->over, "block");
        g_autofree char *text = g_strdup_printf(
            "There is no place for %s: those that suit best were taken, and nothing is "
            "lost.",
            blocks);
        warn(warnings, "arrange.over", text);
    }
    if (wall->strangers > 0) {
        g_autofree char *blocks = app_document_count(wall->strangers, "block");
        g_autofree char *text = g_strdup_printf(
            "The design has no place for %s any more; the book still has them.", blocks);
        warn(warnings, "arrange.design-changed", text);
    }
    if (self->loose_pins > 0)
        warn(warnings, "arrange.pin-loose",
             "A pinned block had no place in this design: its pin was left out.");
    return warnings;
}

static json_t *over_document(const arranging *self, const plan_arrange_lay *lays)
{
    const app_wall *wall = &self->wall;
    g_autofree bool *is_laid = g_new0(bool, (gsize)wall->blocks + 1);
    json_t *list = json_array();
    for (int p = 0; p < wall->laid.layout.count; p++)
        if (lays[p].block >= 0)
            is_laid[lays[p].block] = true;
    for (int b = 0; b < wall->blocks; b++)
        if (!is_laid[b])
            json_array_append_new(list, json_integer(wall->block[b].id));
    return list;
}

static json_t *result_document(const arranging *self, const plan_arrange_lay *lays,
                               const plan_arrange_result *result)
{
    const plan_arrange_score *best = &result->best, *start = &result->start;
    json_t *document = json_pack(
        "{s:s, s:f, s:f, s:f, s:f, s:f, s:o, s:o, s:o, s:i, s:o, s:o, s:I}", "quilt",
        self->wall.quilt.name, "cost", best->cost, "start_cost", start->cost, "seams",
        best->seams, "spread", best->spread, "nesting", best->nesting, "value",
        self->target != NULL ? json_real(best->value) : json_null(), "places",
        app_wall_places(&self->wall, lays), "worst", worst_document(self, lays, result),
        "open", result->open, "over", over_document(self, lays), "density",
        density_document(self, lays), "seed", (json_int_t)self->seed);
    json_object_set_new(document, "start",
                        json_pack("{s:f, s:f, s:f}", "seams", start->seams, "spread",
                                  start->spread, "nesting", start->nesting));
    tell_in_words(document, self, best);
    json_object_set_new(document, "warnings", warnings_document(self, result));
    return document;
}

/* ---- Searching ---- */

static void tell(void *data, double cost, const plan_arrange_lay *lays)
{
    arranging *self = data;
    const app_call *call = self->call;
    gint64 now = g_get_monotonic_time();
    gint64 pause =
        self->wall.laid.layout.count > PARTIAL_LARGE ? 2 * PARTIAL_US : PARTIAL_US;
    if (now - self->told_us < pause)
        return;
    self->told_us = now;
    if (call->partial != NULL) {
        g_autoptr(json_t) partial = json_pack("{s:f, s:o}", "cost", cost, "places",
                                              app_wall_places(&self->wall, lays));
        call->partial(partial, call->data);
    }
    if (call->progress != NULL)
        call->progress((double)(now - self->begun_us) / 1e6 / self->seconds,
                       "Trying arrangements", call->data);
}

/* With no time to search, what lies there is only judged. */
static gboolean search_or_judge(arranging *self, plan_arrange_lay *lays,
                                plan_arrange_result *ret_result, GError **error)
{
    if (self->seconds <= 0) {
        memcpy(lays, self->start, sizeof lays[0] * (size_t)self->wall.laid.layout.count);
        return plan_arrange_score_of(&self->quilt, &self->weights, lays, ret_result,
                                     self->crowding, error);
    }
    self->begun_us = g_get_monotonic_time();
    plan_arrange_search search = {
        .seed = (uint64_t)self->seed,
        .threads = (int)MIN(g_get_num_processors(), 8),
        .seconds = self->seconds,
        .stop = self->call->stop,
        .progress = tell,
        .data = self,
        .crowding = self->crowding,
    };
    return plan_arrange_run(&self->quilt, &self->weights, &search, lays, ret_result,
                            error);
}

gboolean app_do_arrange(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    g_auto(arranging) job = { 0 };
    plan_arrange_result result;
    if (!arranging_begin(self, call, &job, error))
        return FALSE;
    g_autofree plan_arrange_lay *lays =
        g_new(plan_arrange_lay, (gsize)job.wall.laid.layout.count);
    if (!search_or_judge(&job, lays, &result, error))
        return FALSE;
    g_autoptr(json_t) document = result_document(&job, lays, &result);
    /* Stopped early is no failure: she has seen enough and takes the best so far, also
     * into the book where she asked for that; it can be undone. */
    bool stopped = call->stop != NULL && atomic_load(call->stop);
    bool keep = app_request_flag(call, "keep");
    g_autofree char *what = g_strdup_printf("Arranged %s", job.wall.quilt.name);
    if (keep && !app_wall_keep(self, &job.wall, lays, what, error))
        return FALSE;
    json_object_set_new(document, "stopped", json_boolean(stopped));
    json_object_set_new(document, "kept", json_boolean(keep));
    *ret_document = g_steal_pointer(&document);
    return TRUE;
}
