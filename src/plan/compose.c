#include "plan/compose.h"

#include "base/random.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>

enum {
    RESTARTS = 40,
    ROUNDS = 40,
    STEPS_MOST = 10000, /* fabrics tried by the exact search, under a millisecond */
};

/* What a second square of a fabric costs wherever it lies: a block of two fabrics is
 * apart at every seam and dull all the same. Less than a seam between like ones. */
#define AGAIN 0.3

/* What two squares of one source cost, of several sources that hold as much each; more
 * where the source holds less, so that sources come in proportion to the reach: the sum
 * of n^2 / share is least there. All nine of one source cost as much as a bad seam more
 * than an even mix; one more or less hardly counts. */
#define SAME_SOURCE 0.04

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

/* Which fabric lies where, and what that costs. */
typedef struct trial {
    int fabric[PLAN_SITES_MAX];
    double cost;
} trial;

/* What two squares of each source cost. Unused without sources. */
static void price_sources(const plan_reach *reach, double ret_price[PLAN_SOURCES_MAX])
{
    int64_t squares[PLAN_SOURCES_MAX] = { 0 }, all = 0;
    int there = 0;
    for (int f = 0; reach->source != NULL && f < reach->fabrics; f++) {
        if (reach->source[f] < 0)
            continue;
        squares[reach->source[f]] += reach->count[f];
        all += reach->count[f];
    }
    for (int s = 0; reach->source != NULL && s < reach->sources; s++)
        there += squares[s] > 0;
    for (int s = 0; reach->source != NULL && s < reach->sources; s++)
        ret_price[s] = there < 2 || squares[s] == 0
                           ? 0
                           : SAME_SOURCE * (double)all / (double)squares[s] / there;
}

static int source_of(const plan_reach *reach, int f)
{
    return reach->source != NULL ? reach->source[f] : -1;
}

/* What the fabric f costs at site s beside its neighbours and the rest of the block. */
static double cost_at(const plan_block *block, const plan_reach *reach,
                      const double *price, const int *fabric, int s, int f)
{
    double cost = 1 - reach->fits[f * QUILT_ROLES + block->site[s].role];
    int source = source_of(reach, f);
    for (int t = 0; t < block->sites; t++) {
        if (t == s || fabric[t] < 0)
            continue;
        cost += fabric[t] == f ? AGAIN : 0;
        cost += source >= 0 && source_of(reach, fabric[t]) == source ? price[source] : 0;
    }
    for (int i = 0; i < block->seams; i++) {
        const plan_seam *seam = &block->seam[i];
        int other = seam->a == s ? seam->b : seam->b == s ? seam->a : -1;
        if (other >= 0 && fabric[other] >= 0)
            cost += seam->weight * reach->alike[f * reach->fabrics + fabric[other]];
    }
    return cost;
}

static double cost_of_all(const plan_block *block, const plan_reach *reach,
                          const double *price, const int *fabric)
{
    double cost = 0;
    for (int s = 0; s < block->sites; s++) {
        if (fabric[s] < 0)
            continue;
        int source = source_of(reach, fabric[s]);
        cost += 1 - reach->fits[fabric[s] * QUILT_ROLES + block->site[s].role];
        for (int t = 0; t < s; t++) {
            if (fabric[t] < 0)
                continue;
            cost += fabric[t] == fabric[s] ? AGAIN : 0;
            cost +=
                source >= 0 && source_of(reach, fabric[t]) == source ? price[source] : 0;
        }
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

static bool is_open(const plan_block *block, const plan_compose_wish *wish, int s)
{
    return is_drawn(block->site[s].role) && (wish->locked == NULL || wish->locked[s] < 0);
}

/* A site as one of its neighbours sees it. */
typedef struct meeting {
    int site;
    double weight;
} meeting;

/* A search through the blocks that the reach allows. What each fabric would cost at each
 * site beside what lies there now is kept, so that an exchange is weighed in O(1). */
typedef struct composing {
    const plan_block *block;
    const plan_reach *reach;
    int open, site[PLAN_SITES_MAX]; /* the open sites */
    int first[PLAN_SITES_MAX + 1];  /* of each site's meetings */
    meeting meets[2 * PLAN_SEAMS_MAX];
    trial now;
    int *left;                  /* squares of each fabric that are not in the block */
    int *used;                  /* and those that are */
    int from[PLAN_SOURCES_MAX]; /* of each source in the block */
    double price[PLAN_SOURCES_MAX];
    double *field; /* sites x fabrics: 1 - fits, and alikeness to what it meets */
} composing;

static void search_clear(composing *search)
{
    g_free(search->left);
    g_free(search->used);
    g_free(search->field);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(composing, search_clear)

static void list_meetings(composing *search)
{
    const plan_block *block = search->block;
    int at = 0;
    for (int s = 0; s < block->sites; s++) {
        search->first[s] = at;
        for (int i = 0; i < block->seams; i++) {
            const plan_seam *seam = &block->seam[i];
            if (seam->a == s || seam->b == s)
                search->meets[at++] =
                    (meeting){ seam->a == s ? seam->b : seam->a, seam->weight };
        }
    }
    search->first[block->sites] = at;
}

/* Puts a fabric on an empty site (sign 1), or takes it off (-1). */
static void put(composing *search, int s, int f, int sign)
{
    int fabrics = search->reach->fabrics;
    const double *alike = search->reach->alike + (size_t)f * (size_t)fabrics;
    search->now.fabric[s] = sign > 0 ? f : -1;
    search->left[f] -= sign;
    search->used[f] += sign;
    if (source_of(search->reach, f) >= 0)
        search->from[source_of(search->reach, f)] += sign;
    for (int i = search->first[s]; i < search->first[s + 1]; i++) {
        double *field = search->field + (size_t)search->meets[i].site * (size_t)fabrics;
        double weight = sign * search->meets[i].weight;
        for (int g = 0; g < fabrics; g++)
            field[g] += weight * alike[g];
    }
}

/* What f costs at s in place of what lies there, if anything does. */
static double cost_now(const composing *search, int s, int f)
{
    const plan_reach *reach = search->reach;
    int held = search->now.fabric[s], source = source_of(reach, f);
    int again = search->used[f] - (held == f);
    double cost = AGAIN * again;
    if (source >= 0) {
        int others =
            search->from[source] - (held >= 0 && source_of(reach, held) == source);
        cost += search->price[source] * others;
    }
    return cost + search->field[(size_t)s * (size_t)reach->fabrics + (size_t)f];
}

/* Takes everything off but what is locked. */
static void start_over(composing *search, const plan_compose_wish *wish)
{
    const plan_block *block = search->block;
    const plan_reach *reach = search->reach;
    for (int f = 0; f < reach->fabrics; f++) {
        search->left[f] = reach->count[f];
        search->used[f] = 0;
    }
    memset(search->from, 0, sizeof search->from);
    for (int s = 0; s < block->sites; s++) {
        search->now.fabric[s] = -1;
        for (int f = 0; f < reach->fabrics; f++)
            search->field[(size_t)s * (size_t)reach->fabrics + (size_t)f] =
                1 - reach->fits[f * QUILT_ROLES + block->site[s].role];
    }
    for (int s = 0; s < block->sites; s++)
        if (is_drawn(block->site[s].role) && !is_open(block, wish, s))
            put(search, s, wish->locked[s], 1);
}

static void search_begin(composing *search, const plan_block *block,
                         const plan_reach *reach, const plan_compose_wish *wish)
{
    search->block = block;
    search->reach = reach;
    search->left = g_new(int, reach->fabrics);
    search->used = g_new(int, reach->fabrics);
    search->field = g_new(double, (size_t)block->sites *(size_t)reach->fabrics);
    for (int s = 0; s < block->sites; s++)
        if (is_open(block, wish, s))
            search->site[search->open++] = s;
    list_meetings(search);
    price_sources(reach, search->price);
}

/* One square as her hand draws it: every square within reach is as likely as any other.
 */
static int draw(const composing *search, motley_random *random)
{
    int64_t all = 0;
    for (int f = 0; f < search->reach->fabrics; f++)
        all += MAX(search->left[f], 0);
    int64_t at = all > 0 ? motley_random_below(random, (uint32_t)all) : 0;
    for (int f = 0; f < search->reach->fabrics; f++) {
        at -= MAX(search->left[f], 0);
        if (at < 0)
            return f;
    }
    return -1;
}

/* Exchanges one square for one from the basket wherever that helps most. */
static bool replace_worst(composing *search)
{
    double best_gain = 1e-9;
    int best_site = -1, best_fabric = -1;
    for (int i = 0; i < search->open; i++) {
        int s = search->site[i], held = search->now.fabric[s];
        double cost = cost_now(search, s, held);
        for (int f = 0; f < search->reach->fabrics; f++) {
            if (f == held || search->left[f] <= 0)
                continue;
            double gain = cost - cost_now(search, s, f);
            if (gain > best_gain) {
                best_gain = gain;
                best_site = s;
                best_fabric = f;
            }
        }
    }
    if (best_site < 0)
        return false;
    put(search, best_site, search->now.fabric[best_site], -1);
    put(search, best_site, best_fabric, 1);
    return true;
}

/* Exchanges the places of two squares of the block where that helps. */
static bool swap_two(composing *search)
{
    int fabrics = search->reach->fabrics;
    const double *alike = search->reach->alike, *field = search->field;
    for (int i = 0; i < search->open; i++) {
        for (int j = i + 1; j < search->open; j++) {
            int s = search->site[i], t = search->site[j];
            int at_s = search->now.fabric[s], at_t = search->now.fabric[t];
            if (at_s == at_t)
                continue;
            double rise = field[s * fabrics + at_t] + field[t * fabrics + at_s] -
                          field[s * fabrics + at_s] - field[t * fabrics + at_t];
            /* Where the two meet, nothing changes between them. */
            for (int m = search->first[s]; m < search->first[s + 1]; m++)
                if (search->meets[m].site == t)
                    rise += search->meets[m].weight *
                            (2 * alike[at_s * fabrics + at_t] -
                             alike[at_s * fabrics + at_s] - alike[at_t * fabrics + at_t]);
            if (rise < -1e-9) {
                put(search, s, at_s, -1);
                put(search, t, at_t, -1);
                put(search, s, at_t, 1);
                put(search, t, at_s, 1);
                return true;
            }
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

/* Branch and bound: sites are filled one after the other, and what cannot come out below
 * the best is not followed. */
typedef struct proving {
    composing *search;
    double rest[PLAN_SITES_MAX + 1]; /* the least that fits cost from a site on */
    int steps;
    trial *best;
} proving;

static void fill_from(proving *proof, int at)
{
    composing *search = proof->search;
    if (at == search->open) {
        *proof->best = search->now;
        return;
    }
    int s = search->site[at];
    double before = search->now.cost;
    for (int f = 0; f < search->reach->fabrics && proof->steps > 0; f++) {
        if (search->left[f] <= 0)
            continue;
        proof->steps--;
        double cost = before + cost_now(search, s, f);
        if (cost + proof->rest[at + 1] >= proof->best->cost - 1e-9)
            continue;
        put(search, s, f, 1);
        search->now.cost = cost;
        fill_from(proof, at + 1);
        put(search, s, f, -1);
    }
    search->now.cost = before;
}

/* Looks for a better block than the best found, among all of them if the steps last. */
static void prove_best(composing *search, const plan_compose_wish *wish, trial *best)
{
    const plan_reach *reach = search->reach;
    proving proof = { .search = search, .best = best, .steps = STEPS_MOST };
    start_over(search, wish);
    search->now.cost =
        cost_of_all(search->block, reach, search->price, search->now.fabric);
    for (int at = search->open - 1; at >= 0; at--) {
        int role = search->block->site[search->site[at]].role;
        double fit = 0;
        for (int f = 0; f < reach->fabrics; f++)
            fit = fmax(fit, reach->fits[f * QUILT_ROLES + role]);
        proof.rest[at] = proof.rest[at + 1] + 1 - fit;
    }
    fill_from(&proof, 0);
}

/* ---- A handful ---- */

/* Fabrics that play a role well; where there is none, whatever there is. */
static int64_t suit_role(const plan_reach *reach, int role, bool *ret_suits)
{
    int64_t all = 0;
    for (int f = 0; f < reach->fabrics; f++) {
        ret_suits[f] = role == QUILT_SCRAP || reach->fits[f * QUILT_ROLES + role] >= 0.75;
        all += ret_suits[f] ? reach->count[f] : 0;
    }
    for (int f = 0; all == 0 && f < reach->fabrics; f++)
        ret_suits[f] = true;
    for (int f = 0; all == 0 && f < reach->fabrics; f++)
        all += reach->count[f];
    return all;
}

/* The fabrics in an order of chance, those of a source beside each other. */
static void order_by_source(const plan_reach *reach, motley_random *random,
                            int *ret_order)
{
    int at = 0;
    for (int s = -1; s < (reach->source != NULL ? reach->sources : 0); s++) {
        int first = at;
        for (int f = 0; f < reach->fabrics; f++)
            if (source_of(reach, f) == s)
                ret_order[at++] = f;
        for (int i = at - 1; i > first; i--) {
            int j = first + (int)motley_random_below(random, (uint32_t)(i - first + 1));
            int held = ret_order[i];
            ret_order[i] = ret_order[j];
            ret_order[j] = held;
        }
    }
}

/* Every so many-th square of them all laid in a row, from one of the first on (systematic
 * sampling): so each run of the row, be it a fabric or a source, gives its share. */
void plan_handful(const plan_block *block, const plan_reach *reach, int times,
                  uint64_t seed, int *ret_count)
{
    motley_random random;
    motley_random_seed(&random, seed);
    g_autofree bool *suits = g_new(bool, reach->fabrics + 1);
    g_autofree int *order = g_new(int, reach->fabrics + 1);
    memset(ret_count, 0, sizeof ret_count[0] * (size_t)reach->fabrics);
    order_by_source(reach, &random, order);
    for (int role = 0; role < QUILT_ROLES; role++) {
        int64_t want = 0;
        for (int s = 0; s < block->sites && is_drawn((uint8_t)role); s++)
            want += block->site[s].role == role ? times : 0;
        if (want == 0)
            continue;
        int64_t all = suit_role(reach, role, suits), passed = 0;
        double step = all > want ? (double)all / (double)want : 1;
        double next = motley_random_unit(&random) * step;
        for (int i = 0; i < reach->fabrics; i++) {
            int f = order[i], taken = 0;
            if (!suits[f])
                continue;
            passed += reach->count[f];
            for (; next < (double)passed; next += step)
                taken++;
            ret_count[f] += taken;
            if (ret_count[f] > reach->count[f])
                ret_count[f] = reach->count[f];
        }
    }
}

static void compose_among(const plan_block *block, const plan_reach *reach,
                          const plan_compose_wish *wish, int ret_fabric[PLAN_SITES_MAX],
                          double *ret_alike_most)
{
    g_auto(composing) search = { 0 };
    search_begin(&search, block, reach, wish);
    motley_random random;
    motley_random_seed(&random, wish->seed);
    trial best = { .cost = DBL_MAX };
    for (int restart = 0; restart < RESTARTS; restart++) {
        start_over(&search, wish);
        for (int i = 0; i < search.open; i++) {
            int f = draw(&search, &random);
            if (f >= 0)
                put(&search, search.site[i], f, 1);
        }
        for (int round = 0; round < ROUNDS; round++)
            if (!swap_two(&search) && !replace_worst(&search))
                break;
        search.now.cost = cost_of_all(block, reach, search.price, search.now.fabric);
        if (search.now.cost < best.cost)
            best = search.now;
    }
    prove_best(&search, wish, &best);
    memcpy(ret_fabric, best.fabric, sizeof best.fabric[0] * (size_t)block->sites);
    *ret_alike_most = alike_most(block, reach, best.fabric);
}

/* A reach of only the fabrics that a block may hold: a handful is much smaller than what
 * it was drawn from, and every step of the search runs over the fabrics. */
typedef struct few {
    plan_reach reach;
    int *fabric; /* of the whole reach, by fabric of this one */
    int *index;  /* the other way; -1: not among them */
    int *count, *source;
    double *alike, *fits;
} few;

static void few_clear(few *self)
{
    g_free(self->fabric);
    g_free(self->index);
    g_free(self->count);
    g_free(self->source);
    g_free(self->alike);
    g_free(self->fits);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(few, few_clear)

static void few_choose(few *self, const plan_block *block, const plan_reach *whole,
                       const plan_compose_wish *wish)
{
    int n = 0;
    self->fabric = g_new(int, whole->fabrics + 1);
    self->index = g_new(int, whole->fabrics + 1);
    for (int f = 0; f < whole->fabrics; f++)
        self->index[f] = whole->count[f] > 0 ? 0 : -1;
    for (int s = 0; wish->locked != NULL && s < block->sites; s++)
        if (wish->locked[s] >= 0)
            self->index[wish->locked[s]] = 0;
    for (int f = 0; f < whole->fabrics; f++) {
        if (self->index[f] < 0)
            continue;
        self->index[f] = n;
        self->fabric[n++] = f;
    }
    self->count = g_new(int, n + 1);
    self->source = g_new(int, n + 1);
    self->alike = g_new(double, (size_t)n *(size_t)n + 1);
    self->fits = g_new(double, (size_t)n *QUILT_ROLES + 1);
    for (int i = 0; i < n; i++) {
        int f = self->fabric[i];
        self->count[i] = whole->count[f];
        self->source[i] = source_of(whole, f);
        for (int j = 0; j < n; j++)
            self->alike[i * n + j] = whole->alike[f * whole->fabrics + self->fabric[j]];
        memcpy(self->fits + i * QUILT_ROLES, whole->fits + f * QUILT_ROLES,
               sizeof self->fits[0] * QUILT_ROLES);
    }
    self->reach = (plan_reach){ .fabrics = n,
                                .count = self->count,
                                .alike = self->alike,
                                .fits = self->fits,
                                .sources = whole->source != NULL ? whole->sources : 0,
                                .source = whole->source != NULL ? self->source : NULL };
}

int plan_compose(const plan_block *block, const plan_reach *reach,
                 const plan_compose_wish *wish, int ret_fabric[PLAN_SITES_MAX],
                 double *ret_alike_most)
{
    int lacking = short_by(block, reach);
    if (lacking > 0)
        return lacking;
    g_auto(few) some = { 0 };
    few_choose(&some, block, reach, wish);
    int locked[PLAN_SITES_MAX];
    for (int s = 0; s < block->sites; s++)
        locked[s] = wish->locked == NULL || wish->locked[s] < 0
                        ? -1
                        : some.index[wish->locked[s]];
    plan_compose_wish own = { .seed = wish->seed, .locked = locked };
    compose_among(block, &some.reach, &own, ret_fabric, ret_alike_most);
    for (int s = 0; s < block->sites; s++)
        if (ret_fabric[s] >= 0)
            ret_fabric[s] = some.fabric[ret_fabric[s]];
    return 0;
}

int plan_compose_others(const plan_block *block, const plan_reach *reach,
                        const int *fabric, int site, int most, int ret_others[most])
{
    int count = 0;
    double price[PLAN_SOURCES_MAX];
    price_sources(reach, price);
    for (int f = 0; f < reach->fabrics; f++) {
        if (f == fabric[site] || left_of(block, reach, fabric, f) <= 0)
            continue;
        /* Insertion into the short list, cheapest first. */
        double cost = cost_at(block, reach, price, fabric, site, f);
        int at = count < most ? count++ : most;
        while (at > 0 &&
               cost_at(block, reach, price, fabric, site, ret_others[at - 1]) > cost) {
            if (at < most)
                ret_others[at] = ret_others[at - 1];
            at--;
        }
        if (at < most)
            ret_others[at] = f;
    }
    return count;
}
