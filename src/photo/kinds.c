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

/* The cost of the likeliest kind and turn; the next likely kind's too. */
static double read_block(const photo_block *block, int side, int kind_count,
                         const photo_kind kinds[], const colour_lab *background,
                         photo_reading *ret, double *ret_next)
{
    double share[PHOTO_BLOCK_SIDE_MAX * PHOTO_BLOCK_SIDE_MAX], best = INFINITY;
    for (int i = 0; i < side * side; i++)
        share[i] = likely(&block->cell[i], background);
    *ret_next = INFINITY;
    for (int kind = 0; kind < kind_count; kind++) {
        double least = INFINITY;
        int at_turn = 0;
        for (int turn = 0; turn < 4; turn++) {
            double cost = 0;
            for (int i = 0; i < side * side; i++)
                cost += cost_of_role(share[i], kinds[kind].role[photo_cell_unturned(
                                                   side, i / side, i % side, turn)]);
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

/* The mean of all cells that are read as background; FALSE when none is. */
static int gather(const photo_blocks *blocks, int side, int kind_count,
                  const photo_kind kinds[], const colour_lab *background, colour_lab *ret)
{
    colour_lab sum = { 0, 0, 0 };
    int cells = 0;
    for (int b = 0; b < blocks->count; b++) {
        const photo_block *block = &blocks->block[b];
        photo_reading reading;
        double next;
        read_block(block, side, kind_count, kinds, background, &reading, &next);
        for (int i = 0; i < side * side; i++) {
            int drawn = photo_cell_unturned(side, i / side, i % side, reading.turn);
            if (kinds[reading.kind].role[drawn] != PHOTO_CELL_BACKGROUND ||
                likely(&block->cell[i], background) < 0.5)
                continue;
            sum.l += block->cell[i].mean.l;
            sum.a += block->cell[i].mean.a;
            sum.b += block->cell[i].mean.b;
            cells++;
        }
    }
    if (cells > 0)
        *ret = (colour_lab){ sum.l / cells, sum.a / cells, sum.b / cells };
    return cells;
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
    for (int b = 0; b < blocks->count; b++)
        for (int i = 0; i < side * side; i++) {
            const photo_cell *cell = &blocks->block[b].cell[i];
            if (cell->spread > plain_spread + 2 * spread_soft)
                continue;
            double cost =
                cost_of_all(blocks, side, kind_count, kinds, &cell->mean, known);
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
    int wrong = 0;
    for (int i = 0; i < side * side; i++) {
        int role =
            kind->role[photo_cell_unturned(side, i / side, i % side, reading->turn)];
        bool looks = likely(&block->cell[i], background) >= 0.5;
        wrong += role != PHOTO_CELL_EITHER && looks != (role == PHOTO_CELL_BACKGROUND);
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
