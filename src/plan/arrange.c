#include "plan/arrange.h"

#include "base/error.h"
#include "plan/arrange-internal.h"

#include <math.h>
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

static gboolean no_memory(const arrange_tables *tables, GError **error)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_PLAN_MEMORY,
                "There is not enough memory to arrange %d blocks", tables->places);
    return FALSE;
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

static void lay_out(const arrange_tables *tables, const int32_t *item,
                    const uint8_t *turn, plan_arrange_lay *ret_lays)
{
    for (int p = 0; p < tables->laid; p++)
        ret_lays[p] =
            (plan_arrange_lay){ item[p] < tables->made ? item[p] : -1, turn[p] };
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
    return plan_assign_run(&tables->problem, &engine, item, turn) ||
           no_memory(tables, error);
}

/* What lies there, of it only what belongs there. */
static gboolean read_lays(const arrange_tables *tables, const plan_arrange_lay *lays,
                          plan_arrange_lay *ret_lays, GError **error)
{
    const plan_arrange_quilt *quilt = tables->quilt;
    for (int p = 0; p < tables->laid; p++) {
        int block = lays[p].block;
        if (block >= quilt->blocks || lays[p].turn < 0 || lays[p].turn >= PLAN_TURNS)
            return wrong_place(error, p, block);
        ret_lays[p] = lays[p];
        if (block >= tables->made ||
            (block >= 0 && tables->group[p] != quilt->block[block].kind))
            ret_lays[p].block = -1;
    }
    return TRUE;
}

static gboolean score_before(const arrange_tables *tables, const plan_arrange_lay *lays,
                             plan_arrange_score *ret_score, GError **error)
{
    g_autofree plan_arrange_lay *read = g_new(plan_arrange_lay, tables->laid);
    if (!read_lays(tables, lays, read, error))
        return FALSE;
    return arrange_score(tables, read, ret_score, NULL) || no_memory(tables, error);
}

gboolean plan_arrange_run(const plan_arrange_quilt *quilt,
                          const plan_arrange_weights *weights,
                          const plan_arrange_search *search, plan_arrange_lay *ret_lays,
                          plan_arrange_result *ret_result, GError **error)
{
    g_auto(arrange_tables) tables = { 0 };
    if (!arrange_tables_make(&tables, quilt, weights, error))
        return FALSE;
    g_autofree int32_t *item = g_new(int32_t, tables.places);
    g_autofree uint8_t *turn = g_new(uint8_t, tables.places);
    g_autofree plan_arrange_lay *lays = g_new(plan_arrange_lay, tables.laid);
    plan_arrange_result result = { 0 };
    if (!arrange_begin(&tables, quilt->start, item, turn, error))
        return FALSE;
    lay_out(&tables, item, turn, lays);
    if (!score_before(&tables, quilt->before != NULL ? quilt->before : lays,
                      &result.start, error) ||
        !search_for(&tables, search, item, turn, error))
        return FALSE;
    lay_out(&tables, item, turn, lays);
    if (!arrange_sum_up(&tables, lays, &result, search->crowding))
        return no_memory(&tables, error);
    memcpy(ret_lays, lays, sizeof lays[0] * (size_t)tables.laid);
    *ret_result = result;
    return TRUE;
}

gboolean plan_arrange_score_of(const plan_arrange_quilt *quilt,
                               const plan_arrange_weights *weights,
                               const plan_arrange_lay *lays,
                               plan_arrange_result *ret_result, float *ret_crowding,
                               GError **error)
{
    g_auto(arrange_tables) tables = { 0 };
    plan_arrange_result result = { 0 };
    if (!arrange_tables_make(&tables, quilt, weights, error))
        return FALSE;
    g_autofree plan_arrange_lay *read = g_new(plan_arrange_lay, tables.laid);
    if (!read_lays(&tables, lays, read, error))
        return FALSE;
    if (!arrange_sum_up(&tables, read, &result, ret_crowding))
        return no_memory(&tables, error);
    result.start = result.best;
    if (quilt->before != NULL &&
        !score_before(&tables, quilt->before, &result.start, error))
        return FALSE;
    *ret_result = result;
    return TRUE;
}
