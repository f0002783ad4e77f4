/* What an arrangement is worth. */
#include "plan/arrange-internal.h"

#include <stdlib.h>

/* The patches that meet across an edge of a place: how many are known, how alike. */
static double joint_alike(const arrange_tables *tables, const int32_t *item,
                          const uint8_t *turn, int p, int edge, int *ret_known)
{
    int q = tables->neighbour[p * PLAN_EDGES + edge], side = tables->side;
    int here = item[p] * PLAN_EDGES + (edge - turn[p] + PLAN_TURNS) % PLAN_TURNS;
    int there = item[q] * PLAN_EDGES + (edge + 2 - turn[q] + PLAN_TURNS) % PLAN_TURNS;
    const int16_t *a = tables->spot + (size_t)here * side;
    const int16_t *b = tables->spot + (size_t)there * side;
    double sum = 0;
    *ret_known = 0;
    for (int j = 0; j < side; j++) {
        if (a[j] < 0 || b[side - 1 - j] < 0)
            continue;
        sum +=
            tables
                ->alike[(size_t)a[j] * (size_t)tables->colours + (size_t)b[side - 1 - j]];
        (*ret_known)++;
    }
    return sum / ARRANGE_ALIKE;
}

/* The pairs of blocks that lie there: for each how near the others are, and how alike, in
 * deviations above the mean. One pass through half the table serves all scores. */
typedef struct pairs {
    int count;
    int *place, *block;
    int64_t *near, *alike;
} pairs;

static void pairs_clear(pairs *self)
{
    free(self->place);
    free(self->block);
    free(self->near);
    free(self->alike);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(pairs, pairs_clear)

static bool pairs_sum(pairs *self, const arrange_tables *tables,
                      const plan_arrange_lay *lays)
{
    size_t n = (size_t)tables->places, laid = (size_t)tables->laid;
    self->place = calloc(laid, sizeof self->place[0]);
    self->block = calloc(laid, sizeof self->block[0]);
    self->near = calloc(laid, sizeof self->near[0]);
    self->alike = calloc(laid, sizeof self->alike[0]);
    if (self->place == NULL || self->block == NULL || self->near == NULL ||
        self->alike == NULL)
        return false;
    for (int p = 0; p < tables->laid; p++) {
        if (lays[p].block < 0)
            continue;
        self->place[self->count] = p;
        self->block[self->count++] = lays[p].block;
    }
    for (int i = 0; i < self->count; i++) {
        const int32_t *between = tables->between + (size_t)self->place[i] * n;
        const int32_t *weight = tables->weight + (size_t)self->block[i] * n;
        int64_t near = 0, alike = 0;
        for (int j = 0; j < i; j++) {
            int32_t kernel = between[self->place[j]];
            int32_t product = kernel * weight[self->block[j]]; /* at most 2^13 x 2^10 */
            near += kernel;
            alike += product;
            self->near[j] += kernel;
            self->alike[j] += product;
        }
        self->near[i] += near;
        self->alike[i] += alike;
    }
    return true;
}

/* The mean alikeness of what lies round a place to what lies there, over that of all
 * pairs; 1 where nothing lies round it. */
static double crowding_of(const arrange_tables *tables, const pairs *all, int i)
{
    if (all->near[i] == 0 || tables->mean <= 0)
        return 1;
    double above = (double)all->alike[i] / (double)all->near[i];
    return 1 + above * tables->deviation / ARRANGE_DEVIATION / tables->mean;
}

static void score_joints(const arrange_tables *tables, const int32_t *item,
                         const uint8_t *turn, plan_arrange_score *ret)
{
    double alike = 0, known = 0, nested = 0, meet = 0;
    for (int p = 0; p < tables->laid; p++) {
        for (int edge = QUILT_EDGE_RIGHT; edge <= QUILT_EDGE_BOTTOM; edge++) {
            int q = tables->neighbour[p * PLAN_EDGES + edge], count;
            if (q < 0 || item[p] >= tables->made || item[q] >= tables->made)
                continue;
            alike += joint_alike(tables, item, turn, p, edge, &count);
            known += count;
            quilt_pressing here =
                quilt_pressing_of(tables->side, turn[p], QUILT_PRESS_USUAL);
            quilt_pressing there =
                quilt_pressing_of(tables->side, turn[q], QUILT_PRESS_USUAL);
            nested += quilt_pressing_nest(&here, (quilt_edge)edge, &there);
            meet += here.seams;
        }
    }
    ret->seams = known > 0 ? alike / known : 0;
    ret->nesting = meet > 0 ? nested / meet : 1;
}

/* All that an arrangement costs but for its pairs. */
static int64_t cost_without_pairs(const arrange_tables *tables, const int32_t *item,
                                  const uint8_t *turn)
{
    plan_assign_problem problem = tables->problem;
    problem.places = tables->laid; /* nothing is reckoned of those aside */
    problem.between = problem.weight = NULL;
    return plan_assign_cost_of(&problem, item, turn).cost;
}

static void score_spread(const arrange_tables *tables, const pairs *all,
                         plan_arrange_score *ret, float *ret_crowding)
{
    double sum = 0;
    int count = 0;
    for (int p = 0; ret_crowding != NULL && p < tables->laid; p++)
        ret_crowding[p] = 1;
    for (int i = 0; i < all->count; i++) {
        double crowding = crowding_of(tables, all, i);
        sum += all->near[i] > 0 ? crowding : 0;
        count += all->near[i] > 0;
        if (ret_crowding != NULL)
            ret_crowding[all->place[i]] = (float)crowding;
    }
    ret->spread = count > 0 && tables->mean > 0 ? sum / count : 1;
}

/* The distance from the target of those that have both a lightness and a target. */
static double value_of(const arrange_tables *tables, const int32_t *item)
{
    double off = 0;
    int aimed = 0;
    for (int p = 0; tables->level != NULL && p < tables->laid; p++) {
        if (tables->level[item[p]] < 0 || tables->target[p] < 0)
            continue;
        off += abs(tables->level[item[p]] - tables->target[p]);
        aimed++;
    }
    return aimed > 0 ? off / aimed / ARRANGE_LEVEL : 0;
}

/* Lays as the engine takes them, an open item at each open place. */
static void items_of(const arrange_tables *tables, const plan_arrange_lay *lays,
                     int32_t *ret_item, uint8_t *ret_turn)
{
    for (int p = 0; p < tables->laid; p++) {
        ret_item[p] = lays[p].block >= 0 ? lays[p].block : tables->places;
        ret_turn[p] = (uint8_t)lays[p].turn;
    }
}

static bool score_items(const arrange_tables *tables, const plan_arrange_lay *lays,
                        const int32_t *item, const uint8_t *turn, plan_arrange_score *ret,
                        float *ret_crowding)
{
    g_auto(pairs) all = { 0 };
    if (!pairs_sum(&all, tables, lays))
        return false;
    *ret = (plan_arrange_score){ 0 };
    int64_t cost = 0;
    for (int i = 0; tables->problem.between != NULL && i < all.count; i++)
        cost += all.alike[i];
    cost *= tables->problem.pair_factor;
    cost += cost_without_pairs(tables, item, turn);
    ret->cost = ((double)cost + tables->offset) / tables->unit;
    score_joints(tables, item, turn, ret);
    score_spread(tables, &all, ret, ret_crowding);
    ret->value = value_of(tables, item);
    return true;
}

bool arrange_score(const arrange_tables *tables, const plan_arrange_lay *lays,
                   plan_arrange_score *ret, float *ret_crowding)
{
    g_autofree int32_t *item = g_new(int32_t, tables->laid);
    g_autofree uint8_t *turn = g_new(uint8_t, tables->laid);
    items_of(tables, lays, item, turn);
    return score_items(tables, lays, item, turn, ret, ret_crowding);
}

static void find_worst(const arrange_tables *tables, const int32_t *item,
                       const uint8_t *turn, plan_arrange_result *result)
{
    for (int p = 0; p < tables->laid; p++) {
        for (int edge = QUILT_EDGE_RIGHT; edge <= QUILT_EDGE_BOTTOM; edge++) {
            int q = tables->neighbour[p * PLAN_EDGES + edge], known;
            if (q < 0)
                continue;
            double alike = joint_alike(tables, item, turn, p, edge, &known);
            int at = result->worst_count;
            while (at > 0 && result->worst[at - 1].alike < alike)
                at--;
            if (at == PLAN_WORST || alike <= 0)
                continue;
            if (result->worst_count < PLAN_WORST)
                result->worst_count++;
            for (int i = result->worst_count - 1; i > at; i--)
                result->worst[i] = result->worst[i - 1];
            result->worst[at] = (plan_arrange_worst){ p, q, (quilt_edge)edge, alike };
        }
    }
}

static bool is_one_fabric(const arrange_tables *tables)
{
    const plan_arrange_quilt *quilt = tables->quilt;
    int only = -1, halves = 2 * tables->side * tables->side;
    for (int b = 0; b < quilt->blocks; b++) {
        for (int i = 0; i < halves; i++) {
            int f = quilt->block[b].fabric[i];
            if (f >= 0 && only >= 0 && f != only)
                return false;
            only = f >= 0 ? f : only;
        }
    }
    return only >= 0;
}

bool arrange_sum_up(const arrange_tables *tables, const plan_arrange_lay *lays,
                    plan_arrange_result *result, float *ret_crowding)
{
    g_autofree int32_t *item = g_new(int32_t, tables->laid);
    g_autofree uint8_t *turn = g_new(uint8_t, tables->laid);
    items_of(tables, lays, item, turn);
    if (!score_items(tables, lays, item, turn, &result->best, ret_crowding))
        return false;
    find_worst(tables, item, turn, result);
    for (int p = 0; p < tables->laid; p++)
        result->open += lays[p].block < 0;
    result->over = tables->made - (tables->laid - result->open);
    result->one_fabric = is_one_fabric(tables);
    return true;
}
