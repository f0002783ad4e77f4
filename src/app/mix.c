/* Several sizes at once: the most valuable mix, exact from rectangles, with its bound
 * from scraps and outlines; and what sizes are worth by what quilts still need. */
#include "laid-internal.h"
#include "pieces-internal.h"

#include "scrap/mix.h"
#include "store/basket.h"

#include <math.h>
#include <string.h>

enum { WANTS_MAX = 64, NEEDS_MAX = 32 };

/* ---- What quilts need ---- */

/* A size of square that quilts under way still need, beyond what is in the basket. */
typedef struct need {
    length side;
    int64_t squares;
} need;

typedef struct needs {
    int count;
    need of[NEEDS_MAX];
} needs;

static void add_need(needs *all, length side, int64_t squares)
{
    for (int i = 0; i < all->count; i++) {
        if (all->of[i].side == side) {
            all->of[i].squares += squares;
            return;
        }
    }
    if (all->count < NEEDS_MAX && squares > 0)
        all->of[all->count++] = (need){ side, squares };
}

static bool is_from_basket(uint8_t role)
{
    return role == QUILT_SCRAP || role == QUILT_LIGHT || role == QUILT_DARK;
}

/* Squares of one block, and triangles: two of them come from a square. */
static void count_block(const quilt_block *block, int64_t *squares, int64_t *triangles)
{
    for (int i = 0; i < block->side * block->side; i++) {
        const quilt_patch *patch = &block->patches[i];
        if (patch->split == QUILT_WHOLE)
            *squares += is_from_basket(patch->role[0]);
        else
            *triangles += is_from_basket(patch->role[0]) + is_from_basket(patch->role[1]);
    }
}

static gboolean add_quilt(app *self, int64_t id, needs *all, GError **error)
{
    int count;
    int64_t squares = 0, triangles = 0;
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    if (!store_quilt_get(self->book, id, &quilt, error) ||
        !app_laid_from_quilt(&quilt, &laid, error))
        return FALSE;
    g_autofree int64_t *made = app_quilt_made_at(self, &laid, id, &count, error);
    if (made == NULL)
        return FALSE;
    for (int i = 0; i < laid.layout.count; i++)
        if (made[i] == 0)
            count_block(app_laid_block(&laid, laid.layout.places[i].kind), &squares,
                        &triangles);
    add_need(all, laid.frame.unit, squares);
    add_need(all, app_laid_triangle_cut(&laid), (triangles + 1) / 2);
    return TRUE;
}

static gboolean take_off_basket(app *self, needs *all, GError **error)
{
    g_autoptr(GArray) units = NULL;
    if (!store_basket_units(self->book, &units, error))
        return FALSE;
    for (guint i = 0; i < units->len; i++) {
        const store_unit_total *unit = &g_array_index(units, store_unit_total, i);
        for (int k = 0; k < all->count; k++)
            if (all->of[k].side == unit->unit)
                all->of[k].squares = MAX(0, all->of[k].squares - unit->squares);
    }
    return TRUE;
}

/* Without a book no quilt is under way. */
static gboolean find_needs(app *self, needs *ret_needs, GError **error)
{
    g_autoptr(GArray) lines = NULL;
    *ret_needs = (needs){ 0 };
    if (self->book == NULL)
        return TRUE;
    g_autoptr(store_reading) reading = store_reading_begin(self->book, error);
    if (reading == NULL || !store_quilt_list(self->book, &lines, error))
        return FALSE;
    for (guint i = 0; i < lines->len; i++) {
        const store_quilt_line *line = &g_array_index(lines, store_quilt_line, i);
        if (line->closed == 0 && !add_quilt(self, line->id, ret_needs, error))
            return FALSE;
    }
    return take_off_basket(self, ret_needs, error);
}

/* What a piece is worth of itself: its cloth, in hundredths of a square inch; as much
 * again when all that quilts still need is of this size, and in proportion. */
static int64_t worth_of(length width, length height, const needs *all)
{
    double in = length_to_inches(width) * length_to_inches(height), share = 0, sum = 0;
    for (int i = 0; i < all->count; i++) {
        double side = length_to_inches(all->of[i].side);
        double cloth = (double)all->of[i].squares * side * side;
        sum += cloth;
        if (width == height && all->of[i].side == width)
            share = cloth;
    }
    return MAX(1, llround(100 * in * (1 + (sum > 0 ? share / sum : 0))));
}

/* ---- What is wanted ---- */

typedef struct wanted {
    int count;
    scrap_want of[WANTS_MAX];
    int64_t needed[WANTS_MAX]; /* squares of this size that quilts under way still need */
} wanted;

static gboolean want_is_wrong(const char *text, const char *why, GError **error)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG, "want: \"%.40s\" %s",
                text, why);
    return FALSE;
}

/* "2in", "2in:7" or "1 1/2 x 6 in:3"; a value of 0 says that none was given. */
static gboolean read_want(const char *text, length bare, bool turns, scrap_want *ret_want,
                          GError **error)
{
    g_auto(GStrv) pair = g_strsplit(text, ":", 2);
    const char *size = pair[0] == NULL ? "" : pair[0];
    scrap_want want = { .turns = turns };
    g_autoptr(json_t) one = json_pack("{s:s}", "want", size);
    app_call each = { .request = one };
    if (strchr(size, 'x') != NULL) {
        if (!app_request_size(&each, "want", bare, &want.width, &want.height, error))
            return FALSE;
    } else {
        if (!length_parse_positive(size, bare, &want.width, error)) {
            g_prefix_error(error, "want \"%.40s\": ", text);
            return FALSE;
        }
        want.height = want.width;
    }
    if (pair[0] != NULL && pair[1] != NULL &&
        !g_ascii_string_to_signed(pair[1], 10, 1, G_GINT64_CONSTANT(1000000000000),
                                  &want.value, NULL))
        return want_is_wrong(text, "has no worth from 1 up.", error);
    *ret_want = want;
    return TRUE;
}

static gboolean read_list(const char *text, length bare, bool turns, wanted *wants,
                          GError **error)
{
    g_auto(GStrv) parts = g_strsplit(text, ",", -1);
    for (int i = 0; parts[i] != NULL; i++) {
        if (wants->count == WANTS_MAX)
            return want_is_wrong(parts[i], "comes after 64 others.", error);
        if (!read_want(parts[i], bare, turns, &wants->of[wants->count], error))
            return FALSE;
        wants->count++;
    }
    return TRUE;
}

static gboolean want_what_is_needed(const needs *all, wanted *wants, GError **error)
{
    for (int i = 0; i < all->count; i++)
        if (all->of[i].squares > 0)
            wants->of[wants->count++] =
                (scrap_want){ all->of[i].side, all->of[i].side, 0, true };
    if (wants->count > 0)
        return TRUE;
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                        "want: no quilt under way needs more squares; name the sizes, as "
                        "in \"2in:1,5in:7\".");
    return FALSE;
}

/* Sizes with what they are worth: by her word, or when she gave none by what quilts still
 * need. A size without a word among others with one is worth 1. */
static gboolean read_wants(app *self, const app_call *call, length bare, wanted *ret,
                           GError **error)
{
    const char *text = app_request_text(call, "want");
    bool turns = !app_request_flag(call, "no_turn"), any_said = false;
    wanted wants = { 0 };
    needs all;
    if (!find_needs(self, &all, error))
        return FALSE;
    if (text == NULL)
        return want_is_wrong("", "names no size.", error);
    if (strcmp(text, "needed") == 0 ? !want_what_is_needed(&all, &wants, error)
                                    : !read_list(text, bare, turns, &wants, error))
        return FALSE;
    for (int i = 0; i < wants.count; i++)
        any_said = any_said || wants.of[i].value > 0;
    for (int i = 0; i < wants.count; i++) {
        scrap_want *want = &wants.of[i];
        if (want->value == 0)
            want->value = any_said ? 1 : worth_of(want->width, want->height, &all);
        for (int k = 0; k < all.count; k++)
            if (want->width == want->height && all.of[k].side == want->width)
                wants.needed[i] = all.of[k].squares;
    }
    *ret = wants;
    return TRUE;
}

static json_t *wants_document(const wanted *wants)
{
    json_t *list = json_array();
    for (int i = 0; i < wants->count; i++)
        json_array_append_new(list, json_pack("{s:o, s:o, s:I, s:I}", "width_in",
                                              app_document_inches(wants->of[i].width),
                                              "height_in",
                                              app_document_inches(wants->of[i].height),
                                              "value", (json_int_t)wants->of[i].value,
                                              "needed", (json_int_t)wants->needed[i]));
    return list;
}

/* ---- Rectangles ---- */

static json_t *rectangle_piece(const scrap_piece *piece, length off)
{
    length x = piece->x + off, y = piece->y + off;
    const scrap_point corners[4] = { { x, y },
                                     { x + piece->width, y },
                                     { x + piece->width, y + piece->height },
                                     { x, y + piece->height } };
    return json_pack("{s:i, s:o, s:o, s:o, s:o, s:o}", "want", piece->want + 1, "x_in",
                     app_document_inches(x), "y_in", app_document_inches(y), "width_in",
                     app_document_inches(piece->width), "height_in",
                     app_document_inches(piece->height), "corners_in",
                     app_document_points(4, corners));
}

static json_t *rectangle_document(const app_piece *piece, const scrap_guillotine *pattern,
                                  length trim, const scrap_effort *effort)
{
    double waste = length_to_inches(piece->width) * length_to_inches(piece->height);
    json_t *pieces = json_array(), *lines = json_array();
    for (int i = 0; i < pattern->piece_count; i++) {
        const scrap_piece *one = &pattern->pieces[i];
        waste -= length_to_inches(one->width) * length_to_inches(one->height);
        json_array_append_new(pieces, rectangle_piece(one, trim));
    }
    for (int i = 0; i < pattern->cut_count; i++) {
        const scrap_guillotine_cut *cut = &pattern->cuts[i];
        const scrap_point ends[2] = { { cut->x1 + trim, cut->y1 + trim },
                                      { cut->x2 + trim, cut->y2 + trim } };
        json_array_append_new(lines, app_document_points(2, ends));
    }
    json_t *document = json_pack("{s:n, s:s, s:b, s:f, s:I, s:I, s:b, s:f, s:o, s:o}",
                                 "scrap", "method", "mix", "chosen", 1, "angle_deg", 0.0,
                                 "value", (json_int_t)pattern->value, "bound",
                                 (json_int_t)pattern->value, "exact", 1, "waste_sq_in",
                                 MAX(0, waste), "pieces", pieces, "lines_in", lines);
    app_describe_effort(effort, document);
    return document;
}

/* Edges that are trimmed away leave a smaller rectangle; one that trimming uses up holds
 * nothing. */
static json_t *cut_rectangle(const app_piece *piece, const app_cutting *cutting,
                             const wanted *wants, scrap_stages stages,
                             scrap_effort *ret_effort, int *ret_count, int64_t *ret_value,
                             GError **error)
{
    length trim = cutting->plan.trim;
    length width = MAX(1, piece->width - 2 * trim),
           height = MAX(1, piece->height - 2 * trim);
    g_autoptr(scrap_guillotine) pattern =
        scrap_guillotine_best(width, height, wants->count, wants->of, stages, error);
    if (pattern == NULL)
        return NULL;
    *ret_effort =
        scrap_guillotine_effort(pattern, &cutting->ruler, &cutting->mat, &cutting->times);
    *ret_count = pattern->piece_count;
    *ret_value = pattern->value;
    return rectangle_document(piece, pattern, trim, ret_effort);
}

/* ---- Free outlines ---- */

static json_t *free_document(const app_piece *piece, const scrap_mix *mix,
                             const wanted *wants)
{
    json_t *pieces = json_array(), *lines = json_array();
    for (int i = 0; i < mix->piece_count; i++) {
        const scrap_want *want = &wants->of[mix->pieces[i].want];
        json_array_append_new(
            pieces, json_pack("{s:i, s:o, s:o, s:o}", "want", mix->pieces[i].want + 1,
                              "width_in", app_document_inches(want->width), "height_in",
                              app_document_inches(want->height), "corners_in",
                              app_document_points(4, mix->pieces[i].corners)));
    }
    for (int i = 0; i < mix->cut_count; i++) {
        const scrap_point ends[2] = { mix->cuts[i].from, mix->cuts[i].to };
        json_array_append_new(lines, app_document_points(2, ends));
    }
    json_t *document = json_pack(
        "{s:o, s:s, s:b, s:f, s:I, s:I, s:b, s:f, s:o, s:o}", "scrap",
        app_document_id(piece->scrap.id), "method", "mix", "chosen", 1, "angle_deg",
        mix->angle_deg, "value", (json_int_t)mix->value, "bound", (json_int_t)mix->bound,
        "exact", mix->value == mix->bound, "waste_sq_in",
        scrap_area2_to_sq_in(mix->waste_area2), "pieces", pieces, "lines_in", lines);
    app_describe_effort(&mix->effort, document);
    return document;
}

static json_t *cut_free(const app_piece *piece, const app_cutting *cutting,
                        const wanted *wants, scrap_effort *ret_effort, int *ret_count,
                        int64_t *ret_value, GError **error)
{
    g_autoptr(scrap_mix) mix = scrap_mix_make(app_piece_outline(piece), &cutting->plan,
                                              wants->count, wants->of, error);
    if (mix == NULL)
        return NULL;
    *ret_effort = mix->effort;
    *ret_count = mix->piece_count;
    *ret_value = mix->value;
    return free_document(piece, mix, wants);
}

gboolean app_cut_mixed(app *self, const app_call *call, const app_cutting *cutting,
                       json_t **ret_document, GError **error)
{
    static const char *const words[] = { "two", "any", NULL };
    int stages = 1, pieces_in_all = 0;
    int64_t value_in_all = 0;
    scrap_effort sum = { 0 };
    app_settings settings;
    wanted wants;
    if (!app_request_word(call, "stages", words, &stages, error) ||
        !app_settings_get(self, &settings, error) ||
        !read_wants(self, call, settings.bare, &wants, error))
        return FALSE;
    g_autoptr(GArray) pieces = app_pieces_requested(self, call, cutting, error);
    if (pieces == NULL)
        return FALSE;
    g_autoptr(json_t) plans = json_array();
    for (guint i = 0; i < pieces->len; i++) {
        const app_piece *piece = &g_array_index(pieces, app_piece, i);
        scrap_effort effort;
        int count;
        int64_t value;
        if (!app_call_step(call, (double)i / pieces->len, "Planning the cuts", error))
            return FALSE;
        json_t *plan =
            piece->width > 0
                ? cut_rectangle(piece, cutting, &wants,
                                stages == 0 ? SCRAP_STAGES_TWO : SCRAP_STAGES_ANY,
                                &effort, &count, &value, error)
                : cut_free(piece, cutting, &wants, &effort, &count, &value, error);
        if (plan == NULL)
            return FALSE;
        json_array_append_new(plans, plan);
        scrap_effort_add(&sum, &effort);
        pieces_in_all += count;
        value_in_all += value;
    }
    *ret_document = json_pack("{s:n, s:o, s:O, s:{s:i, s:f, s:I, s:i}}", "unit_in",
                              "wants", wants_document(&wants), "plans", plans, "total",
                              "squares", pieces_in_all, "minutes", sum.minutes, "value",
                              (json_int_t)value_in_all, "pieces", pieces_in_all);
    app_pieces_describe(pieces, *ret_document);
    return TRUE;
}
