#include "scrap/guillotine.h"

#include "base/error.h"
#include "scrap/guillotine-internal.h"

enum { STEPS_MAX = 4096 };
static const int64_t value_max = INT64_C(1000000000000);

/* The remnant and the wants in steps of their common divisor. */
typedef struct problem {
    length step;
    int width, height; /* of the remnant, in steps, rounded down */
    int64_t worth;     /* common divisor of the values */
    int count;
    guillotine_size *sizes; /* each way round that fits */
} problem;

void scrap_guillotine_free(scrap_guillotine *pattern)
{
    if (pattern == NULL)
        return;
    g_free(pattern->pieces);
    g_free(pattern->cuts);
    g_free(pattern);
}

static int64_t common_divisor(int64_t a, int64_t b)
{
    while (b != 0) {
        int64_t rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

static gboolean check_wants(length width, length height, int count,
                            const scrap_want wants[], GError **error)
{
    if (count < 1 || width <= 0 || height <= 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_WANT,
                    count < 1 ? "No size is wanted." : "The remnant has no size.");
        return FALSE;
    }
    for (int i = 0; i < count; i++) {
        if (wants[i].width <= 0 || wants[i].height <= 0) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_WANT,
                        "Wanted size %d has no length or no width.", i + 1);
            return FALSE;
        }
        if (wants[i].value <= 0 || wants[i].value > value_max) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_WANT,
                        "Wanted size %d has a value of %" PRId64 ".", i + 1,
                        wants[i].value);
            return FALSE;
        }
    }
    return TRUE;
}

static void add_size(problem *p, length width, length height, const scrap_want *want,
                     int index, length sheet_width, length sheet_height)
{
    if (width > sheet_width || height > sheet_height)
        return;
    p->step = (length)common_divisor(width, common_divisor(height, p->step));
    p->worth = common_divisor(want->value, p->worth);
    p->sizes[p->count++] = (guillotine_size){ width, height, 0, index };
}

/* Sizes that fit, in steps, with values divided by what they have in common. */
static gboolean reduce(length width, length height, int count, const scrap_want wants[],
                       problem *p, GError **error)
{
    for (int i = 0; i < count; i++) {
        const scrap_want *w = &wants[i];
        add_size(p, w->width, w->height, w, i, width, height);
        if (w->turns && w->width != w->height)
            add_size(p, w->height, w->width, w, i, width, height);
    }
    if (p->count == 0)
        return TRUE;
    p->width = width / p->step;
    p->height = height / p->step;
    double dearest = 0;
    for (int i = 0; i < p->count; i++) {
        guillotine_size *size = &p->sizes[i];
        int64_t value = wants[size->want].value / p->worth;
        size->width /= p->step;
        size->height /= p->step;
        dearest = MAX(dearest, (double)value / ((double)size->width * size->height));
        size->value = (int32_t)MIN(value, INT32_MAX);
    }
    if (dearest * p->width * p->height >= INT32_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_WANT,
                    "The values are too large or too uneven to add up.");
        return FALSE;
    }
    if (p->height > STEPS_MAX) {
        char text[LENGTH_TEXT_SIZE];
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_GUILLOTINE_TOO_FINE,
                    "The wanted sizes go by steps of %.4f in: too fine for %s in.",
                    length_to_inches(p->step), length_text_in(height, 64, text));
        return FALSE;
    }
    return TRUE;
}

static guillotine_table *table_new(const problem *p, GError **error)
{
    guillotine_table *table = g_new0(guillotine_table, 1);
    table->width = p->width;
    table->height = p->height;
    table->size_count = p->count;
    table->sizes = p->sizes;
    table->point_of = g_new(int, (size_t)p->width + 1);
    table->points = g_new(int, (size_t)p->width + 1);
    guillotine_points(table);
    if (table->point_count > STEPS_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_GUILLOTINE_TOO_FINE,
                    "The wanted sizes meet in %d places along the remnant: too many.",
                    table->point_count);
        g_free(table->point_of);
        g_free(table->points);
        g_free(table);
        return NULL;
    }
    table->stride = (p->height + 1 + 15) / 16 * 16;
    table->best = g_new0(int32_t, (size_t)table->point_count * (size_t)table->stride);
    return table;
}

static void table_free(guillotine_table *table)
{
    if (table == NULL)
        return;
    g_free(table->point_of);
    g_free(table->points);
    g_free(table->best);
    g_free(table);
}
G_DEFINE_AUTOPTR_CLEANUP_FUNC(guillotine_table, table_free)

/* A part of the remnant that is still to be cut, in length units, and how it came to be:
 * which way it was cut last, and in which stage. A stage ends where the mat is turned. */
typedef struct part {
    length x, y, width, height;
    guillotine_kind cut;
    int stage;
} part;

typedef struct staged_cut {
    scrap_guillotine_cut cut;
    int stage, number;
} staged_cut;

typedef struct tracing {
    const problem *problem;
    GArray *parts; /* still to be cut */
    GArray *pieces, *cuts;
} tracing;

/* Another way than the last cut of this part is the next stage. */
static part part_of(part from, guillotine_kind way, length x, length y, length width,
                    length height)
{
    return (part){ x, y, width, height, way, from.stage + (from.cut != way) };
}

static void add_cut(tracing *t, part one, length x1, length y1, length x2, length y2)
{
    staged_cut cut = { { x1, y1, x2, y2 }, one.stage, (int)t->cuts->len };
    g_array_append_val(t->cuts, cut);
}

static void cut_upright(tracing *t, part from, length at, part *ret_left, part *ret_right)
{
    if (at >= from.width) {
        *ret_left = *ret_right = from;
        ret_right->x += from.width;
        ret_right->width = 0;
        return;
    }
    *ret_left = part_of(from, GUILLOTINE_UPRIGHT, from.x, from.y, at, from.height);
    *ret_right = part_of(from, GUILLOTINE_UPRIGHT, from.x + at, from.y, from.width - at,
                         from.height);
    add_cut(t, *ret_left, from.x + at, from.y, from.x + at, from.y + from.height);
}

static void cut_level(tracing *t, part from, length at, part *ret_lower, part *ret_upper)
{
    if (at >= from.height) {
        *ret_lower = *ret_upper = from;
        ret_upper->y += from.height;
        ret_upper->height = 0;
        return;
    }
    *ret_lower = part_of(from, GUILLOTINE_LEVEL, from.x, from.y, from.width, at);
    *ret_upper = part_of(from, GUILLOTINE_LEVEL, from.x, from.y + at, from.width,
                         from.height - at);
    add_cut(t, *ret_lower, from.x, from.y + at, from.x + from.width, from.y + at);
}

/* Trims a part to a size and keeps it. */
static void take_piece(tracing *t, part from, const guillotine_size *size)
{
    length step = t->problem->step;
    part strip, piece, rest;
    cut_upright(t, from, size->width * step, &strip, &rest);
    cut_level(t, strip, size->height * step, &piece, &rest);
    scrap_piece kept = { piece.x, piece.y, piece.width, piece.height, size->want };
    g_array_append_val(t->pieces, kept);
}

static void trace_part(tracing *t, const guillotine_table *table, part from)
{
    length step = t->problem->step;
    guillotine_choice choice;
    guillotine_choose(table, from.width / step, from.height / step, from.cut, &choice);
    part first, second;
    switch (choice.kind) {
    case GUILLOTINE_NOTHING:
        return;
    case GUILLOTINE_PIECE:
        take_piece(t, from, &table->sizes[choice.at]);
        return;
    case GUILLOTINE_UPRIGHT:
        cut_upright(t, from, choice.at * step, &first, &second);
        break;
    case GUILLOTINE_LEVEL:
        cut_level(t, from, choice.at * step, &first, &second);
        break;
    }
    g_array_append_val(t->parts, second);
    g_array_append_val(t->parts, first);
}

static int by_stage(gconstpointer a, gconstpointer b)
{
    const staged_cut *one = a, *other = b;
    return one->stage != other->stage ? one->stage - other->stage
                                      : one->number - other->number;
}

/* All cuts of a stage run one way: all are made before the mat is turned for the next. */
static scrap_guillotine_cut *cuts_by_stage(GArray *staged)
{
    scrap_guillotine_cut *cuts = g_new(scrap_guillotine_cut, staged->len);
    g_array_sort(staged, by_stage);
    for (guint i = 0; i < staged->len; i++)
        cuts[i] = g_array_index(staged, staged_cut, i).cut;
    g_array_free(staged, TRUE);
    return cuts;
}

static scrap_guillotine *pattern_of(tracing *t, int32_t value)
{
    scrap_guillotine *pattern = g_new0(scrap_guillotine, 1);
    pattern->value = t->problem->worth * value;
    pattern->piece_count = (int)t->pieces->len;
    pattern->cut_count = (int)t->cuts->len;
    pattern->pieces = (scrap_piece *)(void *)g_array_free(t->pieces, FALSE);
    pattern->cuts = cuts_by_stage(t->cuts);
    return pattern;
}

static tracing tracing_new(const problem *p)
{
    return (tracing){ p, g_array_new(FALSE, FALSE, sizeof(part)),
                      g_array_new(FALSE, FALSE, sizeof(scrap_piece)),
                      g_array_new(FALSE, FALSE, sizeof(staged_cut)) };
}

/* The remnant, with the way that its first cuts had better run. */
static part whole_of(length width, length height, guillotine_kind first)
{
    return (part){ 0, 0, width, height, first, 1 };
}

static scrap_guillotine *best_any_stage(const problem *p, length width, length height,
                                        GError **error)
{
    g_autoptr(guillotine_table) table = table_new(p, error);
    if (table == NULL)
        return NULL;
    guillotine_fill(table);
    tracing t = tracing_new(p);
    /* What lies beyond the last whole step goes first, along all strips in one cut. */
    part whole = whole_of(width, height, GUILLOTINE_LEVEL), rest;
    cut_level(&t, whole, p->height * p->step, &whole, &rest);
    g_array_append_val(t.parts, whole);
    while (t.parts->len > 0) {
        part next = g_array_index(t.parts, part, t.parts->len - 1);
        g_array_set_size(t.parts, t.parts->len - 1);
        trace_part(&t, table, next);
    }
    g_array_free(t.parts, TRUE);
    return pattern_of(&t, guillotine_best_of(table, p->width, p->height));
}

/* Strips along x when not turned, along y when turned; returns their value. */
static int32_t fill_strips(const problem *p, bool turned, guillotine_strips *strips)
{
    strips->length = turned ? p->height : p->width;
    strips->depth = turned ? p->width : p->height;
    strips->turned = turned;
    strips->size_count = p->count;
    strips->sizes = p->sizes;
    strips->row = g_new(int32_t, (size_t)strips->length + 1);
    strips->row_size = g_new(int, (size_t)strips->length + 1);
    strips->stack = g_new(int32_t, (size_t)strips->depth + 1);
    strips->stack_size = g_new(int, (size_t)strips->depth + 1);
    strips->strip_value = g_new(int32_t, p->count);
    return guillotine_fill_strips(strips);
}

static void strips_clear(guillotine_strips *strips)
{
    g_free(strips->row);
    g_free(strips->row_size);
    g_free(strips->stack);
    g_free(strips->stack_size);
    g_free(strips->strip_value);
}

/* Cuts one strip off, then pieces from it. */
static void trace_strip(tracing *t, guillotine_strips *strips, int depth, part strip)
{
    length step = t->problem->step;
    guillotine_fill_row(strips, depth);
    for (int left = strips->length; strips->row[left] > 0;) {
        int size = strips->row_size[left];
        if (size < 0) {
            left--;
            continue;
        }
        const guillotine_size *s = &strips->sizes[size];
        part end, rest;
        int along = strips->turned ? s->height : s->width;
        if (strips->turned)
            cut_level(t, strip, along * step, &end, &rest);
        else
            cut_upright(t, strip, along * step, &end, &rest);
        take_piece(t, end, s);
        strip = rest;
        left -= along;
    }
}

static void trace_strips(tracing *t, guillotine_strips *strips, part whole)
{
    length step = t->problem->step;
    for (int left = strips->depth; strips->stack[left] > 0;) {
        int size = strips->stack_size[left];
        if (size < 0) {
            left--;
            continue;
        }
        const guillotine_size *s = &strips->sizes[size];
        int depth = strips->turned ? s->width : s->height;
        part strip, rest;
        if (strips->turned)
            cut_upright(t, whole, depth * step, &strip, &rest);
        else
            cut_level(t, whole, depth * step, &strip, &rest);
        trace_strip(t, strips, depth, strip);
        whole = rest;
        left -= depth;
    }
}

static scrap_guillotine *best_two_stage(const problem *p, length width, length height)
{
    guillotine_strips along = { 0 }, across = { 0 };
    int32_t value_along = fill_strips(p, false, &along);
    int32_t value_across = fill_strips(p, true, &across);
    bool turned = value_across > value_along;
    tracing t = tracing_new(p);
    trace_strips(&t, turned ? &across : &along,
                 whole_of(width, height, turned ? GUILLOTINE_UPRIGHT : GUILLOTINE_LEVEL));
    strips_clear(&along);
    strips_clear(&across);
    g_array_free(t.parts, TRUE);
    return pattern_of(&t, MAX(value_along, value_across));
}

static void exchange(length *a, length *b)
{
    length kept = *a;
    *a = *b;
    *b = kept;
}

/* The kernels go through the height step by step, so the remnant lies on its long side.
 */
static scrap_guillotine *best_lying(length width, length height, int count,
                                    const scrap_want wants[], scrap_stages stages,
                                    GError **error)
{
    g_autofree guillotine_size *sizes = g_new(guillotine_size, 2 * (size_t)count);
    problem p = { .sizes = sizes };
    if (!reduce(width, height, count, wants, &p, error))
        return NULL;
    if (p.count == 0)
        return g_new0(scrap_guillotine, 1);
    return stages == SCRAP_STAGES_TWO ? best_two_stage(&p, width, height)
                                      : best_any_stage(&p, width, height, error);
}

static scrap_guillotine *best_standing(length width, length height, int count,
                                       const scrap_want wants[], scrap_stages stages,
                                       GError **error)
{
    g_autofree scrap_want *lying = g_memdup2(wants, sizeof wants[0] * (size_t)count);
    for (int i = 0; i < count; i++)
        exchange(&lying[i].width, &lying[i].height);
    scrap_guillotine *pattern = best_lying(height, width, count, lying, stages, error);
    if (pattern == NULL)
        return NULL;
    for (int i = 0; i < pattern->piece_count; i++) {
        exchange(&pattern->pieces[i].x, &pattern->pieces[i].y);
        exchange(&pattern->pieces[i].width, &pattern->pieces[i].height);
    }
    for (int i = 0; i < pattern->cut_count; i++) {
        exchange(&pattern->cuts[i].x1, &pattern->cuts[i].y1);
        exchange(&pattern->cuts[i].x2, &pattern->cuts[i].y2);
    }
    return pattern;
}

scrap_guillotine *scrap_guillotine_best(length width, length height, int count,
                                        const scrap_want wants[], scrap_stages stages,
                                        GError **error)
{
    if (!check_wants(width, height, count, wants, error))
        return NULL;
    g_autoptr(scrap_guillotine) pattern =
        height > width ? best_standing(width, height, count, wants, stages, error)
                       : best_lying(width, height, count, wants, stages, error);
    if (pattern == NULL ||
        !scrap_guillotine_check(pattern, width, height, count, wants, error))
        return NULL;
    return g_steal_pointer(&pattern);
}

scrap_effort scrap_guillotine_effort(const scrap_guillotine *pattern,
                                     const scrap_ruler *ruler, const scrap_mat *mat,
                                     const scrap_times *times)
{
    scrap_effort effort = { 0 };
    bool upright = false;
    for (int i = 0; i < pattern->cut_count; i++) {
        const scrap_guillotine_cut *cut = &pattern->cuts[i];
        bool stands = cut->x1 == cut->x2;
        length along = MAX(cut->x2 - cut->x1, cut->y2 - cut->y1);
        int layings = MAX(1, (along + ruler->reach - 1) / ruler->reach);
        effort.passes += layings;
        effort.cuts += layings;
        if (i > 0 && stands != upright) {
            effort.turns++;
            /* Cloth that does not turn with its mat is laid anew. */
            effort.handled += !mat->turns;
        }
        upright = stands;
    }
    effort.handled += pattern->cut_count > 0;
    effort.minutes = scrap_effort_minutes(&effort, times);
    return effort;
}
