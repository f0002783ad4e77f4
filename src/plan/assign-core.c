#include "plan/assign-internal.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

/* A table of side against side larger than this is not made. It then would not stay in
 * the cache either, and reckoning three spots costs no more than a miss. */
enum { MEETS_MOST = 4000 };

/* Once stopped, tables are left as they are: nobody will look at them. */
static bool is_symmetric(int n, const int32_t *table, const atomic_bool *stop)
{
    for (int i = 0; i < n && !assign_is_stopped(stop); i++)
        for (int j = 0; j < i; j++)
            if (table[(size_t)i * n + j] != table[(size_t)j * n + i])
                return false;
    return true;
}

/* The entry of a table that is kept: itself, or its symmetric or antisymmetric part. */
static int64_t part_of(int n, const int32_t *table, bool symmetric, int half, int i,
                       int j)
{
    int64_t here = table[(size_t)i * n + j];
    if (symmetric)
        return here;
    int64_t there = table[(size_t)j * n + i];
    return half == 0 ? here + there : here - there;
}

typedef struct span {
    int64_t least, most, row; /* of the entries; largest sum of a row, signs dropped */
} span;

static span span_of(int n, const int32_t *table, bool symmetric, int halves,
                    const atomic_bool *stop)
{
    span s = { 0, 0, 0 };
    for (int i = 0; i < n && !assign_is_stopped(stop); i++) {
        int64_t row = 0;
        for (int half = 0; half < halves; half++) {
            for (int j = 0; j < n; j++) {
                int64_t entry = part_of(n, table, symmetric, half, i, j);
                s.least = entry < s.least ? entry : s.least;
                s.most = entry > s.most ? entry : s.most;
                row += entry < 0 ? -entry : entry;
            }
        }
        s.row = row > s.row ? row : s.row;
    }
    return s;
}

/* Whether differences of entries fit 16 bits and sums of their products 32. */
static bool fits_narrow(span near, span weight)
{
    return near.most - near.least <= INT16_MAX &&
           weight.most - weight.least <= INT16_MAX &&
           2 * near.row * (weight.most - weight.least) < INT32_MAX;
}

static bool same_sort(int n, const int32_t *weight, int i, int j)
{
    const int32_t *row_i = weight + (size_t)i * n, *row_j = weight + (size_t)j * n;
    if (row_i[i] != row_j[j] || row_i[j] != row_j[i])
        return false;
    for (int k = 0; k < n; k++)
        if (k != i && k != j &&
            (row_i[k] != row_j[k] ||
             weight[(size_t)k * n + i] != weight[(size_t)k * n + j]))
            return false;
    return true;
}

/* Sorts the items, if there are few sorts: a grey pattern has black and white. */
static void find_sorts(assign_core *core, bool symmetric)
{
    int n = core->n, first[ASSIGN_SORTS_MAX] = { 0 }, second[ASSIGN_SORTS_MAX] = { 0 };
    const int32_t *weight = core->problem->weight;
    core->sorts = 0;
    for (int i = 0; i < n; i++) {
        int sort = 0;
        while (sort < core->sorts && !same_sort(n, weight, first[sort], i))
            sort++;
        if (sort == ASSIGN_SORTS_MAX) {
            core->sorts = 0;
            return;
        }
        if (sort == core->sorts) {
            first[core->sorts] = i;
            second[core->sorts++] = -1;
        } else if (second[sort] < 0) {
            second[sort] = i;
        }
        core->sort_of[i] = (uint8_t)sort;
    }
    for (int s = 0; s < core->sorts; s++) {
        for (int t = 0; t < core->sorts; t++) {
            int other = s == t ? second[s] : first[t];
            core->sort_weight[s][t] =
                other < 0 ? 0
                          : (int32_t)part_of(n, weight, symmetric, 0, first[s], other);
        }
    }
}

int32_t assign_part(const assign_core *core, const int32_t *table, bool even, int half,
                    int i, int j)
{
    return (int32_t)part_of(core->n, table, even, half, i, j);
}

static bool make_pairs(assign_core *core, const atomic_bool *stop)
{
    const plan_assign_problem *problem = core->problem;
    int n = core->n;
    bool near_even = core->near_even = is_symmetric(n, problem->between, stop);
    bool weight_even = core->weight_even = is_symmetric(n, problem->weight, stop);
    core->halves = near_even || weight_even ? 1 : 2;
    core->factor = near_even && weight_even ? 1 : near_even || weight_even ? 2 : 4;
    core->half = (n + ASSIGN_LANES - 1) / ASSIGN_LANES * ASSIGN_LANES;
    core->stride = (size_t)core->half * (size_t)core->halves;
    core->narrow =
        !core->wide &&
        fits_narrow(span_of(n, problem->between, near_even, core->halves, stop),
                    span_of(n, problem->weight, weight_even, core->halves, stop));
    core->sort_of = calloc((size_t)n, sizeof core->sort_of[0]);
    core->near_own = calloc((size_t)n, sizeof core->near_own[0]);
    core->weight_own = calloc((size_t)n, sizeof core->weight_own[0]);
    size_t entries = (size_t)n * core->stride;
    core->near16 = core->narrow ? calloc(entries, sizeof core->near16[0]) : NULL;
    core->near32 = core->narrow ? NULL : calloc(entries, sizeof core->near32[0]);
    if (core->sort_of == NULL || core->near_own == NULL || core->weight_own == NULL ||
        (core->near16 == NULL && core->near32 == NULL))
        return false;
    for (int p = 0; p < n && !assign_is_stopped(stop); p++) {
        for (int half = 0; half < core->halves; half++) {
            size_t row = (size_t)p * core->stride + (size_t)(half * core->half);
            for (int q = 0; q < n; q++) {
                int64_t entry =
                    p == q ? 0 : part_of(n, problem->between, near_even, half, p, q);
                if (core->narrow)
                    core->near16[row + (size_t)q] = (int16_t)entry;
                else
                    core->near32[row + (size_t)q] = (int32_t)entry;
            }
        }
    }
    for (int i = 0; i < n; i++) {
        core->near_own[i] = (int32_t)part_of(n, problem->between, near_even, 0, i, i);
        core->weight_own[i] = (int32_t)part_of(n, problem->weight, weight_even, 0, i, i);
    }
    if (core->halves == 1)
        find_sorts(core, weight_even);
    return true;
}

int assign_sides_meet(const plan_assign_seams *seams, int side, int across)
{
    int along = seams->along;
    const int16_t *here = seams->spot + (size_t)side * along;
    const int16_t *there = seams->spot + (size_t)across * along;
    int cost = 0;
    for (int j = 0; j < along; j++) {
        if (here[j] < 0)
            continue;
        const uint16_t *alike = seams->alike + (size_t)here[j] * seams->colours;
        int opposite = along - 1 - j, corners = 0;
        if (there[opposite] >= 0)
            cost += seams->straight * alike[there[opposite]];
        if (seams->corner == 0)
            continue;
        if (opposite > 0 && there[opposite - 1] >= 0)
            corners += alike[there[opposite - 1]];
        if (opposite + 1 < along && there[opposite + 1] >= 0)
            corners += alike[there[opposite + 1]];
        cost += seams->corner * corners;
    }
    return cost;
}

int32_t assign_meet(const assign_core *core, int side, int across)
{
    if (core->meets != NULL)
        return core->meets[(size_t)side * (size_t)core->n * PLAN_EDGES + (size_t)across];
    return assign_sides_meet(core->seams, side, across);
}

static assign_ready make_meets(assign_core *core, const atomic_bool *stop)
{
    int sides = core->n * PLAN_EDGES;
    if (sides > MEETS_MOST)
        return ASSIGN_READY;
    core->meets = malloc(sizeof core->meets[0] * (size_t)sides * (size_t)sides);
    if (core->meets == NULL)
        return ASSIGN_NO_MEMORY;
    for (int a = 0; a < sides; a++) {
        if (assign_is_stopped(stop))
            return ASSIGN_STOPPED;
        for (int b = 0; b <= a; b++) {
            int cost = assign_sides_meet(core->seams, a, b);
            if (cost > UINT16_MAX) {
                free(core->meets);
                core->meets = NULL;
                return ASSIGN_READY;
            }
            core->meets[(size_t)a * sides + b] = core->meets[(size_t)b * sides + a] =
                (uint16_t)cost;
        }
    }
    return ASSIGN_READY;
}

static bool make_moves(assign_core *core)
{
    const plan_assign_problem *problem = core->problem;
    size_t n = (size_t)core->n;
    core->movable = calloc(n, sizeof core->movable[0]);
    core->group_first = calloc(n, sizeof core->group_first[0]);
    core->group_count = calloc(n, sizeof core->group_count[0]);
    core->turnable = calloc(n, sizeof core->turnable[0]);
    core->turn_count = calloc(n, sizeof core->turn_count[0]);
    core->turn_list = calloc(n, sizeof core->turn_list[0]);
    if (core->movable == NULL || core->group_first == NULL || core->group_count == NULL ||
        core->turnable == NULL || core->turn_count == NULL || core->turn_list == NULL)
        return false;

    int count_of[UINT8_MAX + 1] = { 0 }, first_of[UINT8_MAX + 1];
    for (int p = 0; p < core->n; p++) {
        bool is_fixed = problem->fixed != NULL && problem->fixed[p];
        if (!is_fixed)
            count_of[problem->group != NULL ? problem->group[p] : 0]++;
        for (uint8_t t = 0; t < PLAN_TURNS; t++)
            if (problem->turns != NULL ? problem->turns[p] >> t & 1 : t == 0)
                core->turn_list[p][core->turn_count[p]++] = t;
        assert(core->turn_count[p] > 0);
        if (core->turn_count[p] > 1)
            core->turnable[core->turnable_count++] = p;
    }
    for (int g = 0, first = 0; g <= UINT8_MAX; g++) {
        if (count_of[g] < 2)
            count_of[g] = 0;
        first_of[g] = first;
        first += count_of[g];
    }
    int filled[UINT8_MAX + 1] = { 0 };
    for (int p = 0; p < core->n; p++) {
        int g = problem->group != NULL ? problem->group[p] : 0;
        core->group_first[p] = first_of[g];
        core->group_count[p] = count_of[g];
        if (count_of[g] > 0 && !(problem->fixed != NULL && problem->fixed[p])) {
            core->movable[first_of[g] + filled[g]++] = p;
            core->movable_count++;
        }
    }
    return true;
}

assign_ready assign_core_make(assign_core *core, const plan_assign_problem *problem,
                              bool wide, const atomic_bool *stop)
{
    assert(problem->places >= 1 && problem->places <= PLAN_ASSIGN_MAX);
    assert((problem->between == NULL) == (problem->weight == NULL));
    assert((problem->level == NULL) == (problem->target == NULL));
    *core = (assign_core){ .problem = problem,
                           .n = problem->places,
                           .factor = 1,
                           .wide = wide,
                           .seams = problem->seams };
    core->pairs = problem->between != NULL && problem->pair_factor > 0;
    if ((core->pairs && !make_pairs(core, stop)) || !make_moves(core))
        return ASSIGN_NO_MEMORY;
    if (assign_is_stopped(stop))
        return ASSIGN_STOPPED;
    return core->seams != NULL ? make_meets(core, stop) : ASSIGN_READY;
}

void assign_core_clear(assign_core *core)
{
    free(core->near16);
    free(core->near32);
    free(core->near_own);
    free(core->weight_own);
    free(core->sort_of);
    free(core->meets);
    free(core->movable);
    free(core->group_first);
    free(core->group_count);
    free(core->turnable);
    free(core->turn_count);
    free(core->turn_list);
    *core = (assign_core){ 0 };
}
