#include "photo/kinds.h"

#include <math.h>
#include <string.h>

/* Light falls off over a photo: lightness counts by half. */
static const double lightness = 0.5;
static const double near_colour = 9, colour_soft = 1.6; /* CIELAB, as weighed */
static const double plain_spread = 1.8, spread_soft = 0.35;
static const double least_share = 0.02; /* no cell is surer than this */
static const double known_weight =
    0.15; /* of a cell's cost for each unit off the known */
/* Any fabric may lie in a scrap's cell, so to say which costs more than to say
 * "background" again; without this, a colour that no cell has would explain everything as
 * scrap. */
static const double scrap_cost = 1;
static const double same_kind = 1e-9;

int photo_cell_unturned(int side, int row, int col, int turn)
{
    for (int t = 0; t < turn; t++) { /* a quarter turn anticlockwise each */
        int was = row;
        row = side - 1 - col;
        col = was;
    }
    return row * side + col;
}

void photo_half_turned(int turn, photo_cut *cut, int *half)
{
    for (int t = 0; t < turn; t++) /* upper left, upper right, lower right, lower left */
        if (*cut == PHOTO_CUT_RISING) {
            *cut = PHOTO_CUT_FALLING;
        } else {
            *cut = PHOTO_CUT_RISING;
            *half = 1 - *half;
        }
}

static double apart(const colour_lab *a, const colour_lab *b)
{
    return hypot(hypot(lightness * (a->l - b->l), a->a - b->a), a->b - b->b);
}

static double logistic(double x)
{
    return 1 / (1 + exp(-x));
}

/* How likely a cell is background, of that colour. */
static double likely(const photo_cell *cell, const colour_lab *background)
{
    double near = logistic((near_colour - apart(&cell->mean, background)) / colour_soft);
    double plain = logistic((plain_spread - cell->spread) / spread_soft);
    return fmin(1 - least_share, fmax(least_share, near * plain));
}

static double cost_of_role(double share, uint8_t role)
{
    return role == PHOTO_CELL_BACKGROUND ? -log(share)
           : role == PHOTO_CELL_SCRAP    ? scrap_cost - log(1 - share)
                                         : -log(0.5);
}

/* How likely each cell, and each half of it, is background. */
typedef struct shares {
    double cell[PHOTO_BLOCK_SIDE_MAX * PHOTO_BLOCK_SIDE_MAX];
    double half[PHOTO_BLOCK_SIDE_MAX * PHOTO_BLOCK_SIDE_MAX][PHOTO_CUTS][2];
} shares;

static void share_out(const photo_block *block, int cells, bool halves,
                      const colour_lab *background, shares *ret)
{
    for (int i = 0; i < cells; i++) {
        ret->cell[i] = likely(&block->cell[i], background);
        for (int k = 0; k < 2 * PHOTO_CUTS && halves; k++)
            ret->half[i][k / 2][k % 2] =
                likely(&block->half[i][k / 2][k % 2], background);
    }
}

/* Of one cell of a kind, for the cell that lies at a place; a half counts half. */
static double cost_of_cell(const shares *of, int at, const photo_kind_cell *cell,
                           int turn)
{
    if (!cell->halved)
        return cost_of_role(of->cell[at], cell->role[0]);
    double cost = 0;
    for (int k = 0; k < 2; k++) {
        photo_cut cut = cell->cut;
        int half = k;
        photo_half_turned(turn, &cut, &half);
        cost += cost_of_role(of->half[at][cut][half], cell->role[k]) / 2;
    }
    return cost;
}

static bool any_halved(int side, int kind_count, const photo_kind kinds[])
{
    for (int i = 0; i < kind_count * side * side; i++)
        if (kinds[i / (side * side)].cell[i % (side * side)].halved)
            return true;
    return false;
}

/* The cost of the likeliest kind and turn; the next likely kind's too. */
static double read_block(const photo_block *block, int side, int kind_count,
                         const photo_kind kinds[], const colour_lab *background,
                         photo_reading *ret, double *ret_next)
{
    shares found;
    double best = INFINITY;
    share_out(block, side * side, any_halved(side, kind_count, kinds), background,
              &found);
    *ret_next = INFINITY;
    for (int kind = 0; kind < kind_count; kind++) {
        double least = INFINITY;
        int at_turn = 0;
        for (int turn = 0; turn < 4; turn++) {
            double cost = 0;
            for (int i = 0; i < side * side; i++)
                cost += cost_of_cell(
                    &found, i,
                    &kinds[kind]
                         .cell[photo_cell_unturned(side, i / side, i % side, turn)],
                    turn);
            if (cost < least - same_kind) {
                least = cost;
                at_turn = turn;
            }
        }
        if (least < best) {
            *ret_next = best;
            best = least;
            ret->kind = kind;
            ret->turn = at_turn;
        } else {
            *ret_next = fmin(*ret_next, least);
        }
    }
    return best;
}

static double cost_of_all(const photo_blocks *blocks, int side, int kind_count,
                          const photo_kind kinds[], const colour_lab *background,
                          const colour_lab *known)
{
    double cost = known == NULL ? 0 : known_weight * apart(background, known);
    for (int b = 0; b < blocks->count; b++) {
        photo_reading reading;
        double next;
        cost += read_block(&blocks->block[b], side, kind_count, kinds, background,
                           &reading, &next);
    }
    return cost;
}

/* What lies at a place of a block as its kind says, the halves of a halved cell one by
 * one. */
typedef struct part {
    const photo_cell *cell;
    int role;
} part;

static int parts_at(const photo_block *block, int side, int at, const photo_kind *kind,
                    int turn, part parts[static 2])
{
    const photo_kind_cell *drawn =
        &kind->cell[photo_cell_unturned(side, at / side, at % side, turn)];
    if (!drawn->halved) {
        parts[0] = (part){ &block->cell[at], drawn->role[0] };
        return 1;
    }
    for (int k = 0; k < 2; k++) {
        photo_cut cut = drawn->cut;
        int half = k;
        photo_half_turned(turn, &cut, &half);
        parts[k] = (part){ &block->half[at][cut][half], drawn->role[k] };
    }
    return 2;
}

/* The mean of all that is read as background; how much of it there is. */
static int gather(const photo_blocks *blocks, int side, int kind_count,
                  const photo_kind kinds[], const colour_lab *background, colour_lab *ret)
{
    colour_lab sum = { 0, 0, 0 };
    int found = 0;
    for (int b = 0; b < blocks->count; b++) {
        photo_reading reading;
        double next;
        read_block(&blocks->block[b], side, kind_count, kinds, background, &reading,
                   &next);
        for (int i = 0; i < side * side; i++) {
            part parts[2];
            int n = parts_at(&blocks->block[b], side, i, &kinds[reading.kind],
                             reading.turn, parts);
            for (int k = 0; k < n; k++) {
                if (parts[k].role != PHOTO_CELL_BACKGROUND ||
                    likely(parts[k].cell, background) < 0.5)
                    continue;
                sum.l += parts[k].cell->mean.l;
                sum.a += parts[k].cell->mean.a;
                sum.b += parts[k].cell->mean.b;
                found++;
            }
        }
    }
    if (found > 0)
        *ret = (colour_lab){ sum.l / found, sum.a / found, sum.b / found };
    return found;
}

/* Everything that may be a patch of the background, one after the other; NULL at the end.
 */
static const photo_cell *candidate(const photo_blocks *blocks, int cells, bool halves,
                                   int at)
{
    int each = halves ? 1 + 2 * PHOTO_CUTS : 1;
    int block = at / (cells * each), cell = at / each % cells, which = at % each - 1;
    return block >= blocks->count ? NULL
           : which < 0            ? &blocks->block[block].cell[cell]
                       : &blocks->block[block].half[cell][which / 2][which % 2];
}

static photo_background find_background(const photo_blocks *blocks, int side,
                                        int kind_count, const photo_kind kinds[],
                                        const colour_lab *known)
{
    photo_background best = { .seen = false };
    double least = INFINITY;
    if (known != NULL) {
        best.lab = *known;
        least = cost_of_all(blocks, side, kind_count, kinds, known, known);
    }
    bool halves = any_halved(side, kind_count, kinds);
    const photo_cell *cell;
    for (int i = 0; (cell = candidate(blocks, side * side, halves, i)) != NULL; i++) {
        if (cell->spread > plain_spread + 2 * spread_soft)
            continue;
        double cost = cost_of_all(blocks, side, kind_count, kinds, &cell->mean, known);
        if (cost < least) {
            least = cost;
            best.lab = cell->mean;
        }
    }
    if (isinf(least)) { /* no plain cell anywhere: any colour that none has will do */
        best.lab = (colour_lab){ 50, 200, 200 };
        return best;
    }
    for (int round = 0; round < 3; round++)
        best.cells = gather(blocks, side, kind_count, kinds, &best.lab, &best.lab);
    best.seen = best.cells > 0;
    return best;
}

static bool mostly_fits(const photo_block *block, int side, const photo_kind *kind,
                        const photo_reading *reading, const colour_lab *background)
{
    double wrong = 0;
    for (int i = 0; i < side * side; i++) {
        part parts[2];
        int n = parts_at(block, side, i, kind, reading->turn, parts);
        for (int k = 0; k < n; k++) {
            bool looks = likely(parts[k].cell, background) >= 0.5;
            if (parts[k].role != PHOTO_CELL_EITHER &&
                looks != (parts[k].role == PHOTO_CELL_BACKGROUND))
                wrong += 1.0 / n;
        }
    }
    return wrong * 4 <= side * side;
}

void photo_read_kinds(const photo_blocks *blocks, int side, int kind_count,
                      const photo_kind kinds[], const colour_lab *known,
                      photo_reading *ret_readings, photo_background *ret_background)
{
    photo_background background = find_background(blocks, side, kind_count, kinds, known);
    for (int b = 0; b < blocks->count; b++) {
        photo_reading *reading = &ret_readings[b];
        double next, best = read_block(&blocks->block[b], side, kind_count, kinds,
                                       &background.lab, reading, &next);
        reading->sure = isinf(next) ? 1 : 1 - exp(-(next - best) / 2);
        reading->fits = mostly_fits(&blocks->block[b], side, &kinds[reading->kind],
                                    reading, &background.lab);
    }
    if (ret_background != NULL)
        *ret_background = background;
}
