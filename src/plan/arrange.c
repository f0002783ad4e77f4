#include "plan/arrange.h"

#include "base/error.h"
#include "plan/arrange-internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

plan_arrange_weights plan_arrange_usual(void)
{
    return (plan_arrange_weights){ .seams = 1, .spread = 1, .nesting = 0, .value = 1 };
}

/* A wave from 0 over 1 back to 0 while `at` runs over one. */
static float wave(double at)
{
    double part = at - floor(at);
    return (float)(part < 0.5 ? 2 * part : 2 - 2 * part);
}

void plan_arrange_target(const quilt_layout *layout, plan_arrange_value value,
                         float *ret_target)
{
    bool on_point = layout->set == QUILT_ON_POINT;
    double width = on_point ? 2 * layout->across - 2 : layout->across - 1;
    double height = layout->rows - 1;
    for (int row = 0, place = 0; row < layout->rows; row++) {
        int count;
        quilt_layout_row(layout, row, &count);
        for (int col = 0; col < count; col++, place++) {
            double x = on_point ? 2 * col + row % 2 : col, y = row;
            double across = width > 0 ? x / width : 0.5,
                   down = height > 0 ? y / height : 0.5;
            double out = 2 * fmax(fabs(across - 0.5), fabs(down - 0.5));
            switch (value) {
            case PLAN_VALUE_RINGS:
                ret_target[place] = wave(1.5 * out);
                break;
            case PLAN_VALUE_DIAGONALS:
                ret_target[place] = wave((x + y) / 8);
                break;
            case PLAN_VALUE_GRADIENT:
                ret_target[place] = (float)(1 - (across + down) / 2);
                break;
            }
        }
    }
}

static gboolean wrong_place(GError **error, int place, int block)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_NO_PLACE,
                "There is no place %d for block %d", place + 1, block + 1);
    return FALSE;
}

static gboolean put_pins(const arrange_tables *tables, int32_t *item, uint8_t *turn,
                         bool *is_put, GError **error)
{
    const plan_arrange_quilt *quilt = tables->quilt;
    for (int i = 0; i < quilt->pins; i++) {
        const plan_arrange_pin *pin = &quilt->pin[i];
        if (pin->place < 0 || pin->place >= tables->laid || pin->block < 0 ||
            pin->block >= quilt->blocks || pin->turn >= PLAN_TURNS)
            return wrong_place(error, pin->place, pin->block);
        if (item[pin->place] >= 0) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_PIN_PLACE,
                        "Blocks %d and %d are both pinned at place %d",
                        item[pin->place] + 1, pin->block + 1, pin->place + 1);
            return FALSE;
        }
        if (is_put[pin->block]) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_PIN_BLOCK,
                        "Block %d is pinned at two places", pin->block + 1);
            return FALSE;
        }
        uint8_t turns = tables->turns[pin->place];
        if (tables->group[pin->place] != quilt->block[pin->block].kind ||
            (pin->turn >= 0 && !(turns >> pin->turn & 1))) {
            g_set_error(
                error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_PIN_KIND,
                "Block %d does not belong at place %d%s", pin->block + 1, pin->place + 1,
                tables->group[pin->place] == quilt->block[pin->block].kind ? " turned so"
                                                                           : "");
            return FALSE;
        }
        item[pin->place] = pin->block;
        is_put[pin->block] = true;
        tables->fixed[pin->place] = true;
        if (pin->turn >= 0) {
            turn[pin->place] = (uint8_t)pin->turn;
            tables->turns[pin->place] = (uint8_t)(1 << pin->turn);
        }
    }
    return TRUE;
}

static gboolean put_start(const arrange_tables *tables, const plan_arrange_lay *start,
                          int32_t *item, uint8_t *turn, bool *is_put, GError **error)
{
    const plan_arrange_quilt *quilt = tables->quilt;
    for (int p = 0; start != NULL && p < tables->laid; p++) {
        int block = start[p].block;
        if (block < 0)
            continue;
        if (block >= quilt->blocks || start[p].turn < 0 || start[p].turn >= PLAN_TURNS)
            return wrong_place(error, p, block);
        /* A pin, or a change of design since, overrules what lay there. */
        if (item[p] >= 0 || is_put[block] || tables->group[p] != quilt->block[block].kind)
            continue;
        item[p] = block;
        turn[p] = (uint8_t)start[p].turn;
        is_put[block] = true;
    }
    return TRUE;
}

gboolean arrange_begin(const arrange_tables *tables, const plan_arrange_lay *start,
                       int32_t *ret_item, uint8_t *ret_turn, GError **error)
{
    const plan_arrange_quilt *quilt = tables->quilt;
    g_autofree bool *is_put = g_new0(bool, quilt->blocks + 1);
    for (int p = 0; p < tables->places; p++) {
        ret_item[p] = -1;
        ret_turn[p] = 0;
        while (!(tables->turns[p] >> ret_turn[p] & 1))
            ret_turn[p]++;
    }
    if (!put_pins(tables, ret_item, ret_turn, is_put, error) ||
        !put_start(tables, start, ret_item, ret_turn, is_put, error))
        return FALSE;
    /* Each kind has places for all its blocks, those aside taken in. */
    int free_from[QUILT_BLOCKS_MAX] = { 0 };
    for (int b = 0; b < quilt->blocks; b++) {
        int *p = &free_from[quilt->block[b].kind];
        if (is_put[b])
            continue;
        while (tables->group[*p] != quilt->block[b].kind || ret_item[*p] >= 0)
            (*p)++;
        ret_item[*p] = b;
    }
    int open = quilt->blocks;
    for (int p = 0; p < tables->places; p++)
        if (ret_item[p] < 0)
            ret_item[p] = open++;
    return TRUE;
}

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

static double alike_of(const arrange_tables *tables, int a, int b)
{
    return tables->mean +
           tables->deviation / ARRANGE_DEVIATION *
               tables->weight[(size_t)a * (size_t)tables->places + (size_t)b];
}

/* The mean alikeness of what lies round a place to what lies there, near ones weighing
 * more; -1 when nothing lies there or round it. */
static double alike_round(const arrange_tables *tables, const int32_t *item, int p)
{
    int blocks = tables->quilt->blocks;
    double sum = 0, near = 0;
    for (int q = 0; item[p] < blocks && q < tables->laid; q++) {
        if (q == p || item[q] >= blocks)
            continue;
        int32_t kernel = tables->between[(size_t)p * (size_t)tables->places + (size_t)q];
        near += kernel;
        sum += kernel * alike_of(tables, item[p], item[q]);
    }
    return near > 0 ? sum / near : -1;
}

static void score_joints(const arrange_tables *tables, const int32_t *item,
                         const uint8_t *turn, plan_arrange_score *ret)
{
    int blocks = tables->quilt->blocks;
    double alike = 0, known = 0, nested = 0, meet = 0;
    for (int p = 0; p < tables->laid; p++) {
        for (int edge = QUILT_EDGE_RIGHT; edge <= QUILT_EDGE_BOTTOM; edge++) {
            int q = tables->neighbour[p * PLAN_EDGES + edge], count;
            if (q < 0 || item[p] >= blocks || item[q] >= blocks)
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

void arrange_score(const arrange_tables *tables, const int32_t *item, const uint8_t *turn,
                   plan_arrange_score *ret)
{
    *ret = (plan_arrange_score){ 0 };
    plan_assign_cost cost = plan_assign_cost_of(&tables->problem, item, turn);
    ret->cost = ((double)cost.cost + tables->offset) / tables->unit;
    score_joints(tables, item, turn, ret);
    double sum = 0, off = 0;
    int count = 0, aimed = 0;
    for (int p = 0; p < tables->laid; p++) {
        double round = alike_round(tables, item, p);
        sum += round >= 0 ? round : 0;
        count += round >= 0;
        if (tables->level != NULL && tables->level[item[p]] >= 0 &&
            tables->target[p] >= 0) {
            off += abs(tables->level[item[p]] - tables->target[p]);
            aimed++;
        }
    }
    ret->spread = count > 0 && tables->mean > 0 ? sum / count / tables->mean : 1;
    ret->value = aimed > 0 ? off / aimed / ARRANGE_LEVEL : 0;
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

static void lay_out(const arrange_tables *tables, const int32_t *item,
                    const uint8_t *turn, plan_arrange_lay *ret_lays)
{
    for (int p = 0; p < tables->laid; p++)
        ret_lays[p] =
            (plan_arrange_lay){ item[p] < tables->quilt->blocks ? item[p] : -1, turn[p] };
}

static void sum_up(const arrange_tables *tables, const int32_t *item, const uint8_t *turn,
                   plan_arrange_result *result)
{
    arrange_score(tables, item, turn, &result->best);
    find_worst(tables, item, turn, result);
    for (int p = 0; p < tables->places; p++) {
        result->open += p < tables->laid && item[p] >= tables->quilt->blocks;
        result->over += p >= tables->laid && item[p] < tables->quilt->blocks;
    }
    result->one_fabric = is_one_fabric(tables);
}

typedef struct teller {
    const arrange_tables *tables;
    const plan_arrange_search *search;
    plan_arrange_lay *lays;
} teller;

static void tell(void *data, int64_t cost, const int32_t *item, const uint8_t *turn)
{
    const teller *to = data;
    lay_out(to->tables, item, turn, to->lays);
    to->search->progress(to->search->data,
                         ((double)cost + to->tables->offset) / to->tables->unit,
                         to->lays);
}

static gboolean search_for(const arrange_tables *tables,
                           const plan_arrange_search *search, int32_t *item,
                           uint8_t *turn, GError **error)
{
    g_autofree plan_arrange_lay *shown = g_new(plan_arrange_lay, tables->laid);
    teller to = { tables, search, shown };
    plan_assign_search engine = {
        .seed = search->seed,
        .threads = search->threads,
        .seconds = search->seconds,
        .moves = search->moves,
        .cpu_seconds = search->cpu_seconds,
        .stop = search->stop,
        .progress = search->progress != NULL ? tell : NULL,
        .data = &to,
    };
    if (plan_assign_run(&tables->problem, &engine, item, turn))
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_MEMORY,
                "There is not enough memory to arrange %d blocks", tables->places);
    return FALSE;
}

gboolean plan_arrange_run(const plan_arrange_quilt *quilt,
                          const plan_arrange_weights *weights,
                          const plan_arrange_search *search, plan_arrange_lay *ret_lays,
                          plan_arrange_result *ret_result, GError **error)
{
    arrange_tables tables;
    if (!arrange_tables_make(&tables, quilt, weights, error))
        return FALSE;
    g_autofree int32_t *item = g_new(int32_t, tables.places);
    g_autofree uint8_t *turn = g_new(uint8_t, tables.places);
    plan_arrange_result result = { 0 };
    gboolean done = arrange_begin(&tables, quilt->start, item, turn, error);
    if (done) {
        arrange_score(&tables, item, turn, &result.start);
        done = search_for(&tables, search, item, turn, error);
    }
    if (done) {
        sum_up(&tables, item, turn, &result);
        lay_out(&tables, item, turn, ret_lays);
        *ret_result = result;
    }
    arrange_tables_clear(&tables);
    return done;
}

/* A quilt as it lies: only the blocks that lie there, numbered as they come. What was
 * left open stays open, which plan_arrange_run() would fill. */
typedef struct as_laid {
    plan_arrange_quilt quilt;
    arrange_tables tables;
    int32_t *item;
    uint8_t *turn;
    plan_arrange_block *block;
} as_laid;

static void as_laid_clear(as_laid *laid)
{
    arrange_tables_clear(&laid->tables);
    g_free(laid->item);
    g_free(laid->turn);
    g_free(laid->block);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(as_laid, as_laid_clear)

static gboolean lay_as(as_laid *laid, const plan_arrange_quilt *quilt,
                       const plan_arrange_weights *weights, const plan_arrange_lay *lays,
                       GError **error)
{
    int count = quilt->layout->count;
    g_autofree plan_arrange_lay *start = g_new(plan_arrange_lay, count);
    laid->quilt = *quilt;
    laid->quilt.pins = laid->quilt.blocks = 0;
    laid->block = g_new(plan_arrange_block, count);
    for (int p = 0; p < count; p++) {
        start[p] = lays[p];
        if (lays[p].block >= quilt->blocks)
            return wrong_place(error, p, lays[p].block);
        if (lays[p].block < 0)
            continue;
        laid->block[laid->quilt.blocks] = quilt->block[lays[p].block];
        start[p].block = laid->quilt.blocks++;
    }
    laid->quilt.block = laid->block;
    if (!arrange_tables_make(&laid->tables, &laid->quilt, weights, error))
        return FALSE;
    laid->item = g_new(int32_t, laid->tables.places);
    laid->turn = g_new(uint8_t, laid->tables.places);
    return arrange_begin(&laid->tables, start, laid->item, laid->turn, error);
}

gboolean plan_arrange_score_of(const plan_arrange_quilt *quilt,
                               const plan_arrange_weights *weights,
                               const plan_arrange_lay *lays,
                               plan_arrange_result *ret_result, GError **error)
{
    g_auto(as_laid) laid = { 0 };
    if (!lay_as(&laid, quilt, weights, lays, error))
        return FALSE;
    *ret_result = (plan_arrange_result){ 0 };
    sum_up(&laid.tables, laid.item, laid.turn, ret_result);
    ret_result->start = ret_result->best;
    ret_result->over = quilt->blocks - laid.quilt.blocks;
    return TRUE;
}

gboolean plan_arrange_crowding(const plan_arrange_quilt *quilt,
                               const plan_arrange_lay *lays, float *ret_crowding,
                               GError **error)
{
    plan_arrange_weights usual = plan_arrange_usual();
    g_auto(as_laid) laid = { 0 };
    if (!lay_as(&laid, quilt, &usual, lays, error))
        return FALSE;
    for (int p = 0; p < laid.tables.laid; p++) {
        double round = alike_round(&laid.tables, laid.item, p);
        ret_crowding[p] =
            round >= 0 && laid.tables.mean > 0 ? (float)(round / laid.tables.mean) : 1.0f;
    }
    return TRUE;
}
