#include "base/error.h"
#include "plan/arrange-internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What the weights of 1 mean beside each other, by our own judgement: a pair of
 * neighbours one standard deviation more alike than the mean costs as much as so many
 * patches of one fabric that meet. */
#define SPREAD_IN_SEAMS 0.1
/* A seam that does not nest, and a block wholly off its target, in the same measure. */
#define NEST_IN_SEAMS  0.1
#define VALUE_IN_SEAMS 20.0
/* The pair term's own measure at weight 1: all else is made large beside it, so that a
 * tenth of a weight still is a whole number. */
enum { PAIR_FACTOR = 10 };

static bool is_drawn(uint8_t role)
{
    return role == QUILT_SCRAP || role == QUILT_LIGHT || role == QUILT_DARK;
}

static const quilt_block *kind_block(const plan_arrange_quilt *quilt, int kind)
{
    return &quilt->design->blocks[quilt->layout->kinds.kinds[kind].block];
}

/* The fabric of a half of a patch of a block, or -1. */
static int fabric_at(const plan_arrange_quilt *quilt, int block, int patch, int half)
{
    const plan_arrange_block *b = &quilt->block[block];
    const quilt_patch *drawn = &kind_block(quilt, b->kind)->patches[patch];
    return is_drawn(drawn->role[half]) ? b->fabric[patch * 2 + half] : -1;
}

static gboolean check_blocks(const plan_arrange_quilt *quilt, int side, GError **error)
{
    const quilt_layout *layout = quilt->layout;
    bool has_place[QUILT_BLOCKS_MAX] = { false };
    for (int p = 0; p < layout->count; p++)
        has_place[layout->places[p].kind] = true;
    for (int b = 0; b < quilt->blocks; b++) {
        int kind = quilt->block[b].kind;
        if (kind < 0 || kind >= layout->kinds.count || !has_place[kind]) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_KIND,
                        "Block %d is of a kind that this quilt has no place for", b + 1);
            return FALSE;
        }
        for (int i = 0; i < side * side * 2; i++) {
            if (quilt->block[b].fabric[i] >= quilt->fabrics) {
                g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_FABRIC,
                            "Block %d holds fabric %d of %d", b + 1,
                            quilt->block[b].fabric[i] + 1, quilt->fabrics);
                return FALSE;
            }
        }
    }
    return TRUE;
}

static gboolean check_weights(const plan_arrange_weights *weights, GError **error)
{
    const double all[] = { weights->seams, weights->spread, weights->nesting,
                           weights->value };
    for (size_t i = 0; i < G_N_ELEMENTS(all); i++) {
        if (!(all[i] >= 0 && all[i] <= 10)) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_WEIGHTS,
                        "A weight is %g, not from 0 to 10", all[i]);
            return FALSE;
        }
    }
    return TRUE;
}

/* Bits of the turns in which a block of the kind lies as the design draws it. */
static uint8_t turns_of(const quilt_block *block, int turn)
{
    int symmetry = quilt_block_symmetry(block);
    uint8_t turns = 0;
    for (int t = 0; t < PLAN_TURNS; t += PLAN_TURNS / symmetry)
        turns |= (uint8_t)(1 << (turn + t) % PLAN_TURNS);
    return turns;
}

static void place_groups(arrange_tables *tables)
{
    const plan_arrange_quilt *quilt = tables->quilt;
    const quilt_layout *layout = quilt->layout;
    int over[QUILT_BLOCKS_MAX] = { 0 };
    for (int b = 0; b < quilt->blocks; b++)
        over[quilt->block[b].kind]++;
    for (int p = 0; p < tables->laid; p++) {
        const quilt_place *place = &layout->places[p];
        over[place->kind]--;
        tables->group[p] = place->kind;
        tables->turns[p] = turns_of(kind_block(quilt, place->kind), place->turn);
    }
    int aside = tables->laid;
    for (int k = 0; k < layout->kinds.count; k++) {
        for (int i = 0; i < over[k]; i++) {
            tables->group[aside] = (uint8_t)k;
            tables->turns[aside++] = 1;
        }
    }
}

/* Column and row of each place in halves of the distance between columns. */
static void positions(const quilt_layout *layout, int *ret_x, int *ret_y)
{
    bool on_point = layout->set == QUILT_ON_POINT;
    for (int row = 0, at = 0; row < layout->rows; row++) {
        int count;
        quilt_layout_row(layout, row, &count);
        for (int col = 0; col < count; col++, at++) {
            ret_x[at] = 2 * col + (on_point ? row % 2 : 0);
            ret_y[at] = on_point ? row : 2 * row;
        }
    }
}

/* Falls with the square of the distance, which is 1 between neighbours. The few distances
 * there are, across and down, are reckoned once each. */
static void fill_between(arrange_tables *tables)
{
    const quilt_layout *layout = tables->quilt->layout;
    g_autofree int *x = g_new(int, tables->laid), *y = g_new(int, tables->laid);
    positions(layout, x, y);
    int nearest = layout->set == QUILT_ON_POINT ? 2 : 4; /* squared, in those halves */
    int wide = 2 * layout->across + 1, high = 2 * layout->rows + 1;
    g_autofree int32_t *kernel = g_new0(int32_t, (gsize)wide * (gsize)high);
    for (int dy = 0; dy < high; dy++) {
        for (int dx = 0; dx < wide; dx++) {
            int square = dx * dx + dy * dy;
            if (square > 0)
                kernel[dy * wide + dx] = (ARRANGE_NEAR * nearest + square / 2) / square;
        }
    }
    for (int p = 0; p < tables->laid; p++) {
        int32_t *row = tables->between + (size_t)p * (size_t)tables->places;
        for (int q = 0; q < tables->laid; q++)
            row[q] = kernel[abs(y[p] - y[q]) * wide + abs(x[p] - x[q])];
    }
}

/* Counts of the fabrics of a block, those used numbered by `number`. Returns the patch
 * halves that are known, a whole patch being two. */
static int count_fabrics(const plan_arrange_quilt *quilt, int block, int side, int *list)
{
    int count = 0;
    for (int patch = 0; patch < side * side; patch++)
        for (int half = 0; half < 2; half++)
            if (fabric_at(quilt, block, patch, half) >= 0)
                list[count++] = fabric_at(quilt, block, patch, half);
    return count;
}

/* The mean alikeness of their patches, for each two blocks, in millionths. Summed in
 * whole numbers, so that it does not hang on the order in which the blocks come. */
enum { MILLION = 1000000, ALIKE_ONE = 1 << 16 };

static void fill_alikeness(arrange_tables *tables)
{
    const plan_arrange_quilt *quilt = tables->quilt;
    int halves = 2 * tables->side * tables->side;
    size_t n = (size_t)tables->places;
    g_autofree int *lists = g_new(int, (size_t)quilt->blocks *(size_t)halves + 1);
    g_autofree int *counts = g_new(int, quilt->blocks + 1);
    g_autofree int32_t *toward = g_new(int32_t, quilt->fabrics + 1);
    for (int b = 0; b < quilt->blocks; b++)
        counts[b] = count_fabrics(quilt, b, tables->side, lists + (size_t)b * halves);
    for (int b = 0; b < quilt->blocks; b++) {
        /* How alike each fabric is to this block, so that pairs take one sum each. */
        memset(toward, 0, sizeof toward[0] * (size_t)quilt->fabrics);
        for (int i = 0; i < counts[b]; i++) {
            const float *alike =
                quilt->alike + (size_t)lists[(size_t)b * halves + i] * quilt->fabrics;
            for (int f = 0; f < quilt->fabrics; f++)
                toward[f] += (int32_t)(alike[f] * ALIKE_ONE + 0.5f);
        }
        for (int c = 0; c < b; c++) {
            int64_t sum = 0;
            for (int i = 0; i < counts[c]; i++)
                sum += toward[lists[(size_t)c * halves + i]];
            int known = counts[b] * counts[c];
            tables->weight[(size_t)b * n + (size_t)c] =
                known == 0 ? -1
                           : (int32_t)lrint((double)sum / known * MILLION / ALIKE_ONE);
        }
    }
}

/* Copies what lies below the diagonal above it, in squares that stay in the cache. */
static void mirror(int count, size_t stride, int32_t *table)
{
    enum { SQUARE = 32 };
    for (int top = 0; top < count; top += SQUARE)
        for (int left = 0; left <= top; left += SQUARE)
            for (int b = top; b < MIN(top + SQUARE, count); b++)
                for (int c = left; c < MIN(left + SQUARE, b); c++)
                    table[(size_t)c * stride + (size_t)b] =
                        table[(size_t)b * stride + (size_t)c];
}

/* From alikeness to standard deviations above the mean, four at most, so that neither the
 * fabrics of a quilt nor their number decide how much spreading matters. */
static void fill_weight(arrange_tables *tables)
{
    fill_alikeness(tables);
    int blocks = tables->quilt->blocks;
    size_t n = (size_t)tables->places;
    double sum = 0, squares = 0, pairs = 0;
    for (int b = 0; b < blocks; b++) {
        for (int c = 0; c < b; c++) {
            double alike = (double)tables->weight[(size_t)b * n + (size_t)c] / MILLION;
            if (alike < 0)
                continue;
            pairs++;
            sum += alike;
            squares += alike * alike;
        }
    }
    tables->mean = pairs > 0 ? sum / pairs : 0;
    double variance = pairs > 0 ? squares / pairs - tables->mean * tables->mean : 0;
    tables->deviation = variance > 1e-9 ? sqrt(variance) : 0;
    for (int b = 0; b < blocks; b++) {
        for (int c = 0; c < b; c++) {
            int32_t *here = &tables->weight[(size_t)b * n + (size_t)c];
            double above =
                tables->deviation == 0 || *here < 0
                    ? 0
                    : ((double)*here / MILLION - tables->mean) / tables->deviation;
            *here = (int32_t)lrint(ARRANGE_DEVIATION * CLAMP(above, -4.0, 4.0));
        }
    }
    mirror(blocks, n, tables->weight);
}

/* The half of a patch that touches a side of the block. */
static int half_at(const quilt_patch *patch, int side)
{
    if (patch->split == QUILT_RISING) /* first half upper left */
        return side == QUILT_EDGE_TOP || side == QUILT_EDGE_LEFT ? 0 : 1;
    if (patch->split == QUILT_FALLING) /* first half upper right */
        return side == QUILT_EDGE_TOP || side == QUILT_EDGE_RIGHT ? 0 : 1;
    return 0;
}

/* The patch that is spot j, clockwise, of a side. */
static int patch_at(int side, int edge, int j)
{
    int last = side - 1;
    switch (edge) {
    case QUILT_EDGE_TOP:
        return j;
    case QUILT_EDGE_RIGHT:
        return j * side + last;
    case QUILT_EDGE_BOTTOM:
        return last * side + last - j;
    default:
        return (last - j) * side;
    }
}

static void fill_seams(arrange_tables *tables)
{
    const plan_arrange_quilt *quilt = tables->quilt;
    int side = tables->side;
    g_autofree int *number = g_new(int, quilt->fabrics + 1);
    g_autofree int *used = g_new(int, quilt->fabrics + 1);
    for (int f = 0; f < quilt->fabrics; f++)
        number[f] = -1;
    for (int item = 0; item <= tables->places; item++) {
        for (int edge = 0; edge < PLAN_EDGES; edge++) {
            int16_t *spot = tables->spot + (size_t)(item * PLAN_EDGES + edge) * side;
            for (int j = 0; j < side; j++) {
                spot[j] = -1;
                if (item >= quilt->blocks)
                    continue;
                int patch = patch_at(side, edge, j);
                const quilt_block *block = kind_block(quilt, quilt->block[item].kind);
                int f =
                    fabric_at(quilt, item, patch, half_at(&block->patches[patch], edge));
                if (f < 0)
                    continue;
                if (number[f] < 0) {
                    number[f] = tables->colours;
                    used[tables->colours++] = f;
                }
                spot[j] = (int16_t)number[f];
            }
        }
    }
    size_t colours = (size_t)tables->colours;
    tables->alike = malloc(sizeof tables->alike[0] * (colours * colours + 1));
    for (size_t a = 0; tables->alike != NULL && a < colours; a++)
        for (size_t b = 0; b < colours; b++)
            tables->alike[a * colours + b] = (uint16_t)lrintf(
                ARRANGE_ALIKE *
                CLAMP(quilt->alike[(size_t)used[a] * quilt->fabrics + used[b]], 0.0f,
                      1.0f));
}

static void fill_neighbours(arrange_tables *tables)
{
    const quilt_layout *layout = tables->quilt->layout;
    for (int i = 0; i < tables->places * PLAN_EDGES; i++)
        tables->neighbour[i] = -1;
    for (int row = 0, at = 0; tables->touching && row < layout->rows; row++) {
        int count;
        quilt_layout_row(layout, row, &count);
        for (int col = 0; col < count; col++, at++)
            for (int edge = 0; edge < PLAN_EDGES; edge++)
                tables->neighbour[at * PLAN_EDGES + edge] =
                    quilt_layout_neighbour(layout, row, col, (quilt_edge)edge);
    }
}

/* Seams that do not nest, for each edge and two turns. */
static void fill_turning(arrange_tables *tables, double weight)
{
    int side = tables->side;
    for (int edge = 0; edge < PLAN_EDGES; edge++) {
        for (int a = 0; a < PLAN_TURNS; a++) {
            for (int b = 0; b < PLAN_TURNS; b++) {
                quilt_pressing here = quilt_pressing_of(side, a, QUILT_PRESS_USUAL);
                quilt_pressing there = quilt_pressing_of(side, b, QUILT_PRESS_USUAL);
                int nested = quilt_pressing_nest(&here, (quilt_edge)edge, &there);
                tables->turning[edge][a][b] =
                    (int32_t)lrint(weight * (here.seams - nested));
            }
        }
    }
    for (int item = 0; item <= tables->places; item++)
        tables->turned[item] = item < tables->quilt->blocks && side > 1;
}

static void fill_levels(arrange_tables *tables)
{
    const plan_arrange_quilt *quilt = tables->quilt;
    for (int p = 0; p < tables->places; p++)
        tables->target[p] =
            p < tables->laid && quilt->target[p] >= 0
                ? (int32_t)lrintf(ARRANGE_LEVEL * fminf(quilt->target[p], 1))
                : -1;
    for (int item = 0; item <= tables->places; item++) {
        double sum = 0;
        int list[2 * QUILT_SIDE_MAX * QUILT_SIDE_MAX], count = 0;
        if (item < quilt->blocks)
            count = count_fabrics(quilt, item, tables->side, list);
        for (int i = 0; i < count; i++)
            sum += (double)CLAMP(quilt->light[list[i]], 0.0f, 1.0f);
        tables->level[item] =
            count > 0 ? (int32_t)lrint(ARRANGE_LEVEL * sum / count) : -1;
    }
}

static bool allocate(arrange_tables *tables, bool has_target)
{
    size_t n = (size_t)tables->places;
    tables->between = calloc(n * n, sizeof tables->between[0]);
    tables->weight = calloc(n * n, sizeof tables->weight[0]);
    tables->neighbour = calloc(n * PLAN_EDGES, sizeof tables->neighbour[0]);
    tables->spot =
        calloc((n + 1) * PLAN_EDGES * (size_t)tables->side, sizeof tables->spot[0]);
    tables->turning = calloc(PLAN_EDGES, sizeof tables->turning[0]);
    tables->turned = calloc(n + 1, sizeof tables->turned[0]);
    tables->group = calloc(n, sizeof tables->group[0]);
    tables->turns = calloc(n, sizeof tables->turns[0]);
    tables->fixed = calloc(n, sizeof tables->fixed[0]);
    if (has_target) {
        tables->level = calloc(n + 1, sizeof tables->level[0]);
        tables->target = calloc(n, sizeof tables->target[0]);
    }
    return tables->between != NULL && tables->weight != NULL &&
           tables->neighbour != NULL && tables->spot != NULL && tables->turning != NULL &&
           tables->turned != NULL && tables->group != NULL && tables->turns != NULL &&
           tables->fixed != NULL &&
           (!has_target || (tables->level != NULL && tables->target != NULL));
}

static void pose(arrange_tables *tables, const plan_arrange_weights *weights)
{
    double pair_seam = 2.0 * ARRANGE_NEAR * ARRANGE_DEVIATION * PAIR_FACTOR;
    double seam = pair_seam / SPREAD_IN_SEAMS / (ARRANGE_ALIKE * ARRANGE_STRAIGHT);
    bool has_seams = tables->touching && (weights->seams > 0 || weights->nesting > 0);
    /* Nesting alone needs the factor too; then the patches cost nothing. */
    double factor = weights->seams > 0 ? weights->seams : 1;
    fill_turning(tables, weights->nesting / factor * NEST_IN_SEAMS * ARRANGE_ALIKE *
                             ARRANGE_STRAIGHT);
    tables->seams = (plan_assign_seams){
        .neighbour = tables->neighbour,
        .along = tables->side,
        .spot = tables->spot,
        .colours = tables->colours,
        .alike = tables->alike,
        .straight = weights->seams > 0 ? ARRANGE_STRAIGHT : 0,
        .corner = weights->seams > 0 ? ARRANGE_CORNER : 0,
        .turning = weights->nesting > 0
                       ? (const int32_t(*)[PLAN_TURNS][PLAN_TURNS])tables->turning
                       : NULL,
        .turned = tables->turned,
    };
    tables->unit = seam * ARRANGE_ALIKE * ARRANGE_STRAIGHT;
    bool has_pairs = weights->spread > 0 && tables->deviation > 0;
    tables->problem = (plan_assign_problem){
        .places = tables->places,
        .between = has_pairs ? tables->between : NULL,
        .weight = has_pairs ? tables->weight : NULL,
        .pair_factor = has_pairs ? (int)lrint(weights->spread * PAIR_FACTOR) : 0,
        .seams = has_seams ? &tables->seams : NULL,
        .seam_factor = (int)lrint(factor * seam),
        .level = weights->value > 0 ? tables->level : NULL,
        .target = weights->value > 0 ? tables->target : NULL,
        .level_factor = (int)lrint(weights->value * VALUE_IN_SEAMS * tables->unit /
                                   ((double)ARRANGE_LEVEL * ARRANGE_LEVEL)),
        .group = tables->group,
        .turns = tables->turns,
        .fixed = tables->fixed,
    };
    double near = 0;
    for (size_t i = 0; has_pairs && i < (size_t)tables->places * (size_t)tables->places;
         i++)
        near += tables->between[i];
    tables->offset = !has_pairs ? 0
                                : near * tables->mean / tables->deviation *
                                      ARRANGE_DEVIATION * tables->problem.pair_factor;
}

gboolean arrange_tables_make(arrange_tables *tables, const plan_arrange_quilt *quilt,
                             const plan_arrange_weights *weights, GError **error)
{
    const quilt_layout *layout = quilt->layout;
    *tables = (arrange_tables){ .quilt = quilt, .made = quilt->blocks - quilt->to_come };
    tables->side = quilt_design_side(quilt->design);
    if (!check_weights(weights, error) || !check_blocks(quilt, tables->side, error))
        return FALSE;
    int over[QUILT_BLOCKS_MAX] = { 0 }, places = layout->count;
    for (int b = 0; b < quilt->blocks; b++)
        over[quilt->block[b].kind]++;
    for (int p = 0; p < layout->count; p++)
        over[layout->places[p].kind]--;
    for (int k = 0; k < layout->kinds.count; k++)
        places += MAX(over[k], 0);
    if (places > PLAN_ASSIGN_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_TOO_MANY,
                    "%d places and blocks without one are too many", places);
        return FALSE;
    }
    tables->laid = layout->count;
    tables->places = places;
    const quilt_width *sash = &quilt->design->sash.width;
    tables->touching = sash->patches == 0 && sash->size == 0;
    bool made = allocate(tables, quilt->target != NULL);
    if (made) {
        place_groups(tables);
        fill_between(tables);
        fill_weight(tables);
        fill_neighbours(tables);
        fill_seams(tables);
        if (quilt->target != NULL)
            fill_levels(tables);
        made = tables->alike != NULL;
    }
    if (!made) {
        arrange_tables_clear(tables);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_MEMORY,
                    "There is not enough memory to arrange %d blocks", places);
        return FALSE;
    }
    pose(tables, weights);
    return TRUE;
}

void arrange_tables_clear(arrange_tables *tables)
{
    free(tables->between);
    free(tables->weight);
    free(tables->neighbour);
    free(tables->spot);
    free(tables->alike);
    free(tables->turning);
    free(tables->turned);
    free(tables->level);
    free(tables->target);
    free(tables->group);
    free(tables->turns);
    free(tables->fixed);
    *tables = (arrange_tables){ 0 };
}
