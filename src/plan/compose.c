#include "plan/compose.h"

#include "base/random.h"

#include <float.h>
#include <stdbool.h>
#include <string.h>

enum { RESTARTS = 40, ROUNDS = 40 };

/* What a second square of a fabric costs wherever it lies: a block of two fabrics is
 * apart at every seam and dull all the same. Less than a seam between like ones. */
#define AGAIN 0.3

/* A square of a role that is bought by length comes from no basket. */
static bool is_drawn(uint8_t role)
{
    return role == QUILT_SCRAP || role == QUILT_LIGHT || role == QUILT_DARK;
}

/* Which half of a patch touches a side: 0 top, 1 right, 2 bottom, 3 left. */
static int half_at(const quilt_patch *patch, int side)
{
    switch ((quilt_split)patch->split) {
    case QUILT_RISING: /* first half upper left */
        return side == 0 || side == 3 ? 0 : 1;
    case QUILT_FALLING: /* first half upper right */
        return side == 0 || side == 1 ? 0 : 1;
    case QUILT_WHOLE:
    default:
        return 0;
    }
}

static void add_seam(plan_block *block, int a, int b, double weight)
{
    block->seam[block->seams++] = (plan_seam){ a, b, weight };
}

void plan_block_make(const quilt_block *block, double corner, plan_block *ret_block)
{
    int side = block->side;
    int first[QUILT_SIDE_MAX * QUILT_SIDE_MAX]; /* site of the first half of each patch */
    ret_block->sites = ret_block->seams = 0;

    for (int p = 0; p < side * side; p++) {
        const quilt_patch *patch = &block->patches[p];
        first[p] = ret_block->sites;
        ret_block->site[ret_block->sites++] = (plan_site){ p, 0, patch->role[0] };
        if (patch->split != QUILT_WHOLE) {
            ret_block->site[ret_block->sites++] = (plan_site){ p, 1, patch->role[1] };
            add_seam(ret_block, first[p], first[p] + 1, 1);
        }
    }
    for (int r = 0; r < side; r++) {
        for (int c = 0; c < side; c++) {
            int p = r * side + c;
            const quilt_patch *patch = block->patches;
            if (c + 1 < side)
                add_seam(ret_block, first[p] + half_at(&patch[p], 1),
                         first[p + 1] + half_at(&patch[p + 1], 3), 1);
            if (r + 1 < side)
                add_seam(ret_block, first[p] + half_at(&patch[p], 2),
                         first[p + side] + half_at(&patch[p + side], 0), 1);
            /* At corners only whole squares are reckoned: a triangle's point hardly
             * shows. */
            for (int d = -1; d <= 1 && corner > 0 && r + 1 < side; d += 2) {
                if (c + d < 0 || c + d >= side)
                    continue;
                int q = p + side + d;
                if (patch[p].split == QUILT_WHOLE && patch[q].split == QUILT_WHOLE)
                    add_seam(ret_block, first[p], first[q], corner);
            }
        }
    }
}

/* The search's own state: which fabric lies where, and what is left to draw. */
typedef struct trial {
    int fabric[PLAN_SITES_MAX];
    double cost;
} trial;

/* What the fabric f costs at site s beside its neighbours and the rest of the block. */
static double cost_at(const plan_block *block, const plan_reach *reach, const int *fabric,
                      int s, int f)
{
    double cost = 1 - reach->fits[f * QUILT_ROLES + block->site[s].role];
    for (int t = 0; t < block->sites; t++)
        cost += t != s && fabric[t] == f ? AGAIN : 0;
    for (int i = 0; i < block->seams; i++) {
        const plan_seam *seam = &block->seam[i];
        int other = seam->a == s ? seam->b : seam->b == s ? seam->a : -1;
        if (other >= 0 && fabric[other] >= 0)
            cost += seam->weight * reach->alike[f * reach->fabrics + fabric[other]];
    }
    return cost;
}

static double cost_of_all(const plan_block *block, const plan_reach *reach,
                          const int *fabric)
{
    double cost = 0;
    for (int s = 0; s < block->sites; s++) {
        if (fabric[s] < 0)
            continue;
        cost += 1 - reach->fits[fabric[s] * QUILT_ROLES + block->site[s].role];
        for (int t = 0; t < s; t++)
            cost += fabric[t] == fabric[s] ? AGAIN : 0;
    }
    for (int i = 0; i < block->seams; i++) {
        int a = fabric[block->seam[i].a], b = fabric[block->seam[i].b];
        if (a >= 0 && b >= 0)
            cost += block->seam[i].weight * reach->alike[a * reach->fabrics + b];
    }
    return cost;
}

static int left_of(const plan_block *block, const plan_reach *reach, const int *fabric,
                   int f)
{
    int left = reach->count[f];
    for (int s = 0; s < block->sites; s++)
        left -= fabric[s] == f;
    return left;
}

/* One square as her hand draws it: every square within reach is as likely as any other.
 */
static int draw(const plan_block *block, const plan_reach *reach, const int *fabric,
                motley_random *random)
{
    int64_t all = 0;
    for (int f = 0; f < reach->fabrics; f++)
        all += left_of(block, reach, fabric, f);
    if (all <= 0)
        return -1;
    int64_t at = motley_random_below(random, (uint32_t)all);
    for (int f = 0; f < reach->fabrics; f++) {
        at -= left_of(block, reach, fabric, f);
        if (at < 0)
            return f;
    }
    return -1;
}

static bool is_open(const plan_block *block, const plan_compose_wish *wish, int s)
{
    return is_drawn(block->site[s].role) && (wish->locked == NULL || wish->locked[s] < 0);
}

/* Exchanges one square for one from the basket wherever that helps most. */
static bool replace_worst(const plan_block *block, const plan_reach *reach,
                          const plan_compose_wish *wish, trial *now)
{
    double best_gain = 1e-9;
    int best_site = -1, best_fabric = -1;
    for (int s = 0; s < block->sites; s++) {
        if (!is_open(block, wish, s))
            continue;
        int held = now->fabric[s];
        double cost = cost_at(block, reach, now->fabric, s, held);
        if (cost <= best_gain)
            continue;
        for (int f = 0; f < reach->fabrics; f++) {
            if (f == held || left_of(block, reach, now->fabric, f) <= 0)
                continue;
            double gain = cost - cost_at(block, reach, now->fabric, s, f);
            if (gain > best_gain) {
                best_gain = gain;
                best_site = s;
                best_fabric = f;
            }
        }
    }
    if (best_site < 0)
        return false;
    now->fabric[best_site] = best_fabric;
    now->cost -= best_gain;
    return true;
}

/* Exchanges the places of two squares of the block wherever that helps. */
static bool swap_two(const plan_block *block, const plan_reach *reach,
                     const plan_compose_wish *wish, trial *now)
{
    for (int s = 0; s < block->sites; s++) {
        for (int t = s + 1; t < block->sites; t++) {
            if (!is_open(block, wish, s) || !is_open(block, wish, t) ||
                now->fabric[s] == now->fabric[t])
                continue;
            int held = now->fabric[s];
            now->fabric[s] = now->fabric[t];
            now->fabric[t] = held;
            double cost = cost_of_all(block, reach, now->fabric);
            if (cost < now->cost - 1e-9) {
                now->cost = cost;
                return true;
            }
            now->fabric[t] = now->fabric[s];
            now->fabric[s] = held;
        }
    }
    return false;
}

/* Squares that the block asks for beyond what is within reach. */
static int short_by(const plan_block *block, const plan_reach *reach)
{
    int need = 0;
    for (int s = 0; s < block->sites; s++)
        need += is_drawn(block->site[s].role);
    for (int f = 0; f < reach->fabrics && need > 0; f++)
        need -= reach->count[f];
    return need > 0 ? need : 0;
}

static double alike_most(const plan_block *block, const plan_reach *reach,
                         const int *fabric)
{
    double most = 0;
    for (int i = 0; i < block->seams; i++) {
        int a = fabric[block->seam[i].a], b = fabric[block->seam[i].b];
        if (block->seam[i].weight < 1 || a < 0 || b < 0)
            continue;
        double alike = reach->alike[a * reach->fabrics + b];
        most = alike > most ? alike : most;
    }
    return most;
}

int plan_compose(const plan_block *block, const plan_reach *reach,
                 const plan_compose_wish *wish, int ret_fabric[PLAN_SITES_MAX],
                 double *ret_alike_most)
{
    int lacking = short_by(block, reach);
    if (lacking > 0)
        return lacking;

    motley_random random;
    motley_random_seed(&random, wish->seed);
    trial best = { .cost = DBL_MAX };
    for (int restart = 0; restart < RESTARTS; restart++) {
        trial now;
        for (int s = 0; s < block->sites; s++)
            now.fabric[s] = is_drawn(block->site[s].role) && wish->locked != NULL
                                ? wish->locked[s]
                                : -1;
        for (int s = 0; s < block->sites; s++)
            if (is_open(block, wish, s))
                now.fabric[s] = draw(block, reach, now.fabric, &random);
        now.cost = cost_of_all(block, reach, now.fabric);
        for (int round = 0; round < ROUNDS; round++)
            if (!swap_two(block, reach, wish, &now) &&
                !replace_worst(block, reach, wish, &now))
                break;
        if (now.cost < best.cost)
            best = now;
    }
    memcpy(ret_fabric, best.fabric, sizeof best.fabric[0] * (size_t)block->sites);
    *ret_alike_most = alike_most(block, reach, best.fabric);
    return 0;
}

int plan_compose_others(const plan_block *block, const plan_reach *reach,
                        const int *fabric, int site, int most, int ret_others[most])
{
    int count = 0;
    for (int f = 0; f < reach->fabrics; f++) {
        if (f == fabric[site] || left_of(block, reach, fabric, f) <= 0)
            continue;
        /* Insertion into the short list, cheapest first. */
        double cost = cost_at(block, reach, fabric, site, f);
        int at = count < most ? count++ : most;
        while (at > 0 && cost_at(block, reach, fabric, site, ret_others[at - 1]) > cost) {
            if (at < most)
                ret_others[at] = ret_others[at - 1];
            at--;
        }
        if (at < most)
            ret_others[at] = f;
    }
    return count;
}
