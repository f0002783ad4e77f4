#include "quilt/layout-internal.h"

#include "base/error.h"

#include <string.h>

static int modulo(int x, int n)
{
    return ((x % n) + n) % n;
}

static gboolean check_size(const quilt_design *design, int across, int down,
                           GError **error)
{
    if (across < 1 || down < 1 || across > QUILT_ACROSS_MAX || down > QUILT_ACROSS_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_SIZE,
                    "a quilt of %d x %d blocks cannot be laid out; 1 to %d each way can",
                    across, down, QUILT_ACROSS_MAX);
        return FALSE;
    }
    int odd = across % 2 != 0 ? across : down;
    if (design->set == QUILT_QUARTERS && odd % 2 != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_UNEVEN,
                    "this design is laid in quarters from the middle, so it wants even "
                    "numbers of blocks both ways: %d or %d in place of %d",
                    MAX(odd - 1, 2), odd + 1, odd);
        return FALSE;
    }
    return TRUE;
}

quilt_cell quilt_repeat_at(const quilt_design *design, int row, int col)
{
    return design
        ->repeat[modulo(row, design->rows) * design->cols + modulo(col, design->cols)];
}

static quilt_cell straight_cell(const quilt_design *design, quilt_start start, int row,
                                int col)
{
    return quilt_repeat_at(design, row + start.row, col + start.col);
}

/* The rows and columns of the repeat run along the diagonals of the quilt: one step of
 * the repeat to the right leads down to the right, one step down leads down to the
 * left. Row 2r holds the blocks of the upright grid, row 2r + 1 those between. */
static quilt_cell point_cell(const quilt_design *design, quilt_start start, int row,
                             int col)
{
    int r = row / 2, between = row % 2;
    int right = r + col + between; /* steps down to the right */
    int left = r - col;            /* steps down to the left */
    return quilt_repeat_at(design, left + start.row, right + start.col);
}

/* up and side count the blocks between this one and the middle lines. */
static quilt_cell quarter_cell(const quilt_design *design, int across, int down, int row,
                               int col)
{
    bool low = row >= down / 2, right = col >= across / 2;
    int up = low ? row - down / 2 : down / 2 - 1 - row;
    int side = right ? col - across / 2 : across / 2 - 1 - col;
    int quarter = low ? (right ? 2 : 3) : (right ? 1 : 0);
    /* Turned by a quarter, what lay above the middle lies beside it. */
    quilt_cell cell = quarter % 2 == 0 ? quilt_repeat_at(design, -1 - up, -1 - side)
                                       : quilt_repeat_at(design, -1 - side, -1 - up);
    cell.turn = (uint8_t)((cell.turn + quarter) % 4);
    return cell;
}

static int row_offset(const quilt_layout *layout, int row)
{
    if (layout->set != QUILT_ON_POINT)
        return row * layout->across;
    return row / 2 * (2 * layout->across - 1) + row % 2 * layout->across;
}

static int row_length(const quilt_layout *layout, int row)
{
    return layout->across - (layout->set == QUILT_ON_POINT && row % 2 == 1);
}

static quilt_cell layout_cell(const quilt_design *design, const quilt_layout *layout,
                              int row, int col)
{
    switch (layout->set) {
    case QUILT_ON_POINT:
        return point_cell(design, layout->start, row, col);
    case QUILT_QUARTERS:
        return quarter_cell(design, layout->across, layout->down, row, col);
    default:
        return straight_cell(design, layout->start, row, col);
    }
}

gboolean quilt_layout_make(const quilt_design *design, int across, int down,
                           quilt_start start, quilt_layout *ret, GError **error)
{
    if (!check_size(design, across, down, error))
        return FALSE;

    quilt_layout layout = {
        .set = design->set,
        .across = across,
        .down = down,
        .start = { modulo(start.row, design->rows), modulo(start.col, design->cols) },
        .rows = design->set == QUILT_ON_POINT ? 2 * down - 1 : down,
    };
    layout.count = row_offset(&layout, layout.rows);
    if (design->set == QUILT_ON_POINT)
        layout.count = across * down + (across - 1) * (down - 1);
    quilt_design_kinds(design, &layout.kinds);
    layout.places = g_new(quilt_place, layout.count);

    quilt_place *place = layout.places;
    for (int row = 0; row < layout.rows; row++) {
        for (int col = 0; col < row_length(&layout, row); col++) {
            quilt_cell cell = layout_cell(design, &layout, row, col);
            int turn = cell.turn + layout.kinds.turn_of[cell.block];
            *place++ =
                (quilt_place){ layout.kinds.kind_of[cell.block], (uint8_t)(turn % 4) };
        }
    }
    *ret = layout;
    return TRUE;
}

void quilt_layout_clear(quilt_layout *layout)
{
    g_clear_pointer(&layout->places, g_free);
    layout->count = 0;
}

const quilt_place *quilt_layout_row(const quilt_layout *layout, int row, int *ret_count)
{
    *ret_count = row_length(layout, row);
    return layout->places + row_offset(layout, row);
}

/* Adds the patches of so many blocks. */
static void add_blocks(const quilt_block *block, int64_t blocks, quilt_count *count)
{
    quilt_block_count each = quilt_block_counted(block);
    for (int a = 0; a < QUILT_ROLES; a++) {
        count->squares[a] += blocks * each.squares[a];
        for (int b = a; b < QUILT_ROLES; b++) {
            count->pairs[a][b] += blocks * each.pairs[a][b];
            count->triangles[a] += blocks * each.pairs[a][b];
            count->triangles[b] += blocks * each.pairs[a][b];
        }
    }
}

void quilt_layout_count(const quilt_design *design, const quilt_layout *layout,
                        quilt_count *ret)
{
    memset(ret, 0, sizeof *ret);
    ret->blocks = layout->count;
    for (int i = 0; i < layout->count; i++)
        ret->kind_blocks[layout->places[i].kind]++;
    for (int kind = 0; kind < layout->kinds.count; kind++)
        add_blocks(&design->blocks[layout->kinds.kinds[kind].block],
                   ret->kind_blocks[kind], ret);
}

double quilt_count_share(const quilt_count *count, const bool roles[static QUILT_ROLES])
{
    int64_t halves = 0, all = 0;
    for (int role = 0; role < QUILT_ROLES; role++) {
        int64_t here = 2 * count->squares[role] + count->triangles[role];
        all += here;
        halves += roles[role] ? here : 0;
    }
    return all > 0 ? (double)halves / (double)all : 0;
}
