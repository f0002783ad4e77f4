#include "plan/assign-internal.h"

#include <stdlib.h>
#include <string.h>

bool assign_state_make(assign_state *state, const assign_core *core)
{
    size_t n = (size_t)core->n;
    *state = (assign_state){ .core = core };
    state->item = calloc(n, sizeof state->item[0]);
    state->turn = calloc(n, sizeof state->turn[0]);
    bool made = state->item != NULL && state->turn != NULL;
    if (core->pairs && core->sorts > 0 && !core->wide) {
        state->field = calloc(n * (size_t)core->sorts, sizeof state->field[0]);
        state->sort = calloc(n, sizeof state->sort[0]);
        made = made && state->field != NULL && state->sort != NULL;
    } else if (core->pairs && core->narrow) {
        state->weight16 = calloc(n * core->stride, sizeof state->weight16[0]);
        made = made && state->weight16 != NULL;
    } else if (core->pairs) {
        state->weight32 = calloc(n * core->stride, sizeof state->weight32[0]);
        made = made && state->weight32 != NULL;
    }
    if (core->seams != NULL) {
        state->joint = calloc(n, sizeof state->joint[0]);
        made = made && state->joint != NULL;
    }
    return made;
}

void assign_state_clear(assign_state *state)
{
    free(state->item);
    free(state->turn);
    free(state->weight16);
    free(state->weight32);
    free(state->field);
    free(state->sort);
    free(state->joint);
    *state = (assign_state){ 0 };
}

static int32_t near_at(const assign_core *core, int p, int q, int half)
{
    size_t at = (size_t)p * core->stride + (size_t)(half * core->half + q);
    return core->narrow ? core->near16[at] : core->near32[at];
}

static int32_t weight_at(const assign_state *state, int p, int q, int half)
{
    size_t at = (size_t)p * state->core->stride + (size_t)(half * state->core->half + q);
    return state->weight16 != NULL ? state->weight16[at] : state->weight32[at];
}

/* What the item, turned so, costs at edge `edge` against its neighbour there. */
static int32_t joint_of(const assign_core *core, int item, int turn, int edge, int other,
                        int other_turn)
{
    const plan_assign_seams *seams = core->seams;
    int side = item * PLAN_EDGES + ((edge - turn) & 3);
    int across = other * PLAN_EDGES + ((edge + 2 - other_turn) & 3);
    int32_t cost = assign_meet(core, side, across);
    if (seams->turning != NULL && seams->turned[item] && seams->turned[other])
        cost += seams->turning[edge][turn][other_turn];
    return cost;
}

static int64_t level_at(const plan_assign_problem *problem, int item, int place)
{
    if (problem->level == NULL || problem->level[item] < 0 || problem->target[place] < 0)
        return 0;
    int64_t off = problem->level[item] - problem->target[place];
    return problem->level_factor * off * off;
}

static int64_t lay_field(assign_state *state)
{
    const assign_core *core = state->core;
    int n = core->n;
    int64_t cost = 0;
    for (int p = 0; p < n; p++)
        state->sort[p] = core->sort_of[state->item[p]];
    for (int s = 0; s < core->sorts; s++) {
        int64_t *field = state->field + (size_t)s * (size_t)n;
        for (int p = 0; p < n; p++) {
            field[p] = 0;
            for (int q = 0; q < n; q++)
                if (q != p)
                    field[p] += (int64_t)near_at(core, p, q, 0) *
                                core->sort_weight[s][state->sort[q]];
        }
    }
    for (int p = 0; p < n; p++)
        cost += state->field[(size_t)state->sort[p] * (size_t)n + (size_t)p];
    return cost;
}

static bool lay_weights(assign_state *state, const atomic_bool *stop, int64_t *ret_cost)
{
    const assign_core *core = state->core;
    const int32_t *weight = core->problem->weight;
    int64_t cost = 0;
    for (int p = 0; p < core->n; p++) {
        if (assign_is_stopped(stop))
            return false;
        for (int half = 0; half < core->halves; half++) {
            size_t row = (size_t)p * core->stride + (size_t)(half * core->half);
            for (int q = 0; q < core->n; q++) {
                int32_t entry = p == q
                                    ? 0
                                    : assign_part(core, weight, core->weight_even, half,
                                                  state->item[p], state->item[q]);
                if (state->weight16 != NULL)
                    state->weight16[row + (size_t)q] = (int16_t)entry;
                else
                    state->weight32[row + (size_t)q] = entry;
                cost += (int64_t)near_at(core, p, q, half) * entry;
            }
        }
    }
    *ret_cost = cost;
    return true;
}

bool assign_state_set(assign_state *state, const int32_t *item, const uint8_t *turn,
                      const atomic_bool *stop)
{
    const assign_core *core = state->core;
    const plan_assign_problem *problem = core->problem;
    int64_t pairs = 0, seams = 0, others = 0;
    memmove(state->item, item, (size_t)core->n * sizeof item[0]);
    memmove(state->turn, turn, (size_t)core->n * sizeof turn[0]);
    if (state->field != NULL)
        pairs = lay_field(state);
    else if (core->pairs && !lay_weights(state, stop, &pairs))
        return false;
    for (int p = 0; p < core->n; p++) {
        others += level_at(problem, item[p], p);
        if (core->pairs)
            pairs += (int64_t)core->near_own[p] * core->weight_own[item[p]];
        for (int edge = 0; core->seams != NULL && edge < PLAN_EDGES; edge++) {
            int q = core->seams->neighbour[p * PLAN_EDGES + edge];
            state->joint[p][edge] =
                q < 0 ? 0 : joint_of(core, item[p], turn[p], edge, item[q], turn[q]);
            seams += q > p ? state->joint[p][edge] : 0;
        }
    }
    state->cost = problem->pair_factor * pairs +
                  core->factor * (problem->seam_factor * seams + others);
    return true;
}

/* Before and after, items of sort a at p and b at q exchanged: what q feels of p and p of
 * q stays in, since their own pair does not change. */
static int64_t field_delta(const assign_state *state, int p, int q)
{
    const assign_core *core = state->core;
    int a = state->sort[p], b = state->sort[q];
    if (a == b)
        return 0;
    const int64_t *field_a = state->field + (size_t)a * (size_t)core->n;
    const int64_t *field_b = state->field + (size_t)b * (size_t)core->n;
    const int32_t(*weight)[ASSIGN_SORTS_MAX] = core->sort_weight;
    int64_t apart = near_at(core, p, q, 0);
    int64_t both = (int64_t)weight[a][a] + weight[b][b] - weight[a][b] - weight[b][a];
    return 2 * (field_b[p] - field_a[p] + field_a[q] - field_b[q] - apart * both);
}

/* The sum runs over all places, their diagonals being zero. What p and q add there is
 * -2 near_pq weight_pq, of either half; their own pair keeps its cost in the symmetric
 * half and changes its sign in the other, which adds just as much again. */
static int64_t row_delta(const assign_state *state, int p, int q)
{
    const assign_core *core = state->core;
    size_t stride = core->stride, row_p = (size_t)p * stride, row_q = (size_t)q * stride;
    int64_t sum = core->narrow
                      ? assign_dot16(stride, core->near16 + row_p, core->near16 + row_q,
                                     state->weight16 + row_p, state->weight16 + row_q)
                      : assign_dot32(stride, core->near32 + row_p, core->near32 + row_q,
                                     state->weight32 + row_p, state->weight32 + row_q);
    return 2 * sum + 4 * (int64_t)near_at(core, p, q, 0) * weight_at(state, p, q, 0);
}

int64_t assign_pair_delta(const assign_state *state, int p, int q)
{
    const assign_core *core = state->core;
    int64_t delta =
        state->field != NULL ? field_delta(state, p, q) : row_delta(state, p, q);
    int64_t nearer = (int64_t)core->near_own[p] - core->near_own[q];
    if (nearer != 0)
        delta += nearer *
                 (core->weight_own[state->item[q]] - core->weight_own[state->item[p]]);
    return delta;
}

/* The joints round p with the item turned so, when q holds other, turned other_turn. */
static int64_t joints_round(const assign_state *state, int p, int item, int turn, int q,
                            int other, int other_turn)
{
    const assign_core *core = state->core;
    int64_t cost = 0;
    for (int edge = 0; edge < PLAN_EDGES; edge++) {
        int r = core->seams->neighbour[p * PLAN_EDGES + edge];
        if (r == q)
            cost += joint_of(core, item, turn, edge, other, other_turn);
        else if (r >= 0)
            cost += joint_of(core, item, turn, edge, state->item[r], state->turn[r]);
    }
    return cost;
}

static int64_t joints_kept(const assign_state *state, int p)
{
    const int32_t *joint = state->joint[p];
    return (int64_t)joint[0] + joint[1] + joint[2] + joint[3];
}

static int64_t seams_delta(const assign_state *state, int p, int q, int turn_p,
                           int turn_q)
{
    const assign_core *core = state->core;
    int at_p = state->item[q], at_q = state->item[p]; /* afterwards */
    int64_t delta = joints_round(state, p, at_p, turn_p, q, at_q, turn_q) +
                    joints_round(state, q, at_q, turn_q, p, at_p, turn_p) -
                    joints_kept(state, p) - joints_kept(state, q);
    for (int edge = 0; edge < PLAN_EDGES; edge++)
        if (core->seams->neighbour[p * PLAN_EDGES + edge] == q)
            delta += state->joint[p][edge] - /* it was counted twice each way */
                     joint_of(core, at_p, turn_p, edge, at_q, turn_q);
    return delta;
}

int64_t assign_swap_delta(const assign_state *state, int p, int q, int turn_p, int turn_q)
{
    const assign_core *core = state->core;
    const plan_assign_problem *problem = core->problem;
    int64_t delta = 0, others = 0;
    if (core->pairs)
        delta = problem->pair_factor * assign_pair_delta(state, p, q);
    if (core->seams != NULL)
        others = problem->seam_factor * seams_delta(state, p, q, turn_p, turn_q);
    if (problem->level != NULL)
        others +=
            level_at(problem, state->item[q], p) + level_at(problem, state->item[p], q) -
            level_at(problem, state->item[p], p) - level_at(problem, state->item[q], q);
    return delta + core->factor * others;
}

int64_t assign_turn_delta(const assign_state *state, int p, int turn)
{
    if (state->core->seams == NULL)
        return 0;
    const plan_assign_problem *problem = state->core->problem;
    return state->core->factor * problem->seam_factor *
           (joints_round(state, p, state->item[p], turn, -2, 0, 0) -
            joints_kept(state, p));
}

static void keep_joints(assign_state *state, int p)
{
    const assign_core *core = state->core;
    for (int edge = 0; edge < PLAN_EDGES; edge++) {
        int q = core->seams->neighbour[p * PLAN_EDGES + edge];
        if (q >= 0)
            state->joint[p][edge] = state->joint[q][(edge + 2) % PLAN_EDGES] =
                joint_of(core, state->item[p], state->turn[p], edge, state->item[q],
                         state->turn[q]);
    }
}

#define ADD_TO_FIELD(near)                                                               \
    do {                                                                                 \
        for (int k = 0; k < n; k++)                                                      \
            field[k] +=                                                                  \
                more * ((int64_t)(near)[row_p + (size_t)k] - (near)[row_q + (size_t)k]); \
    } while (0)

/* A place does not feel what lies there itself; the zero diagonal sees to that. */
static void swap_in_field(assign_state *state, int p, int q)
{
    const assign_core *core = state->core;
    int n = core->n, a = state->sort[p], b = state->sort[q];
    size_t row_p = (size_t)p * core->stride, row_q = (size_t)q * core->stride;
    for (int s = 0; s < core->sorts; s++) {
        int64_t *field = state->field + (size_t)s * (size_t)n;
        int64_t more = (int64_t)core->sort_weight[s][b] - core->sort_weight[s][a];
        if (more == 0)
            continue;
        if (core->narrow)
            ADD_TO_FIELD(core->near16);
        else
            ADD_TO_FIELD(core->near32);
    }
    state->sort[p] = (uint8_t)b;
    state->sort[q] = (uint8_t)a;
}

#define SWAP_ROWS_AND_COLUMNS(type, table)                                               \
    do {                                                                                 \
        type *row_p = (table) + (size_t)p * stride,                                      \
             *row_q = (table) + (size_t)q * stride;                                      \
        for (size_t k = 0; k < stride; k++) {                                            \
            type held = row_p[k];                                                        \
            row_p[k] = row_q[k];                                                         \
            row_q[k] = held;                                                             \
        }                                                                                \
        for (size_t k = 0; k < (size_t)core->n * (size_t)core->halves; k++) {            \
            type *row = (table) + k / (size_t)core->halves * stride +                    \
                        k % (size_t)core->halves * (size_t)core->half;                   \
            type held = row[p];                                                          \
            row[p] = row[q];                                                             \
            row[q] = held;                                                               \
        }                                                                                \
    } while (0)

static void swap_in_weights(assign_state *state, int p, int q)
{
    const assign_core *core = state->core;
    size_t stride = core->stride;
    if (state->weight16 != NULL)
        SWAP_ROWS_AND_COLUMNS(int16_t, state->weight16);
    else
        SWAP_ROWS_AND_COLUMNS(int32_t, state->weight32);
}

void assign_swap(assign_state *state, int p, int q, int turn_p, int turn_q, int64_t delta)
{
    if (state->field != NULL)
        swap_in_field(state, p, q);
    else if (state->core->pairs)
        swap_in_weights(state, p, q);
    int32_t held = state->item[p];
    state->item[p] = state->item[q];
    state->item[q] = held;
    state->turn[p] = (uint8_t)turn_p;
    state->turn[q] = (uint8_t)turn_q;
    state->cost += delta;
    if (state->core->seams != NULL) {
        keep_joints(state, p);
        keep_joints(state, q);
    }
}

void assign_turn(assign_state *state, int p, int turn, int64_t delta)
{
    state->turn[p] = (uint8_t)turn;
    state->cost += delta;
    if (state->core->seams != NULL)
        keep_joints(state, p);
}
