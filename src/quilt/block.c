/* Patches, blocks and kinds. */
#include "quilt/design.h"

#include <string.h>

static const struct {
    char letter;
    const char *name;
} roles[QUILT_ROLES] = {
    [QUILT_SCRAP] = { 'S', "scrap" },   [QUILT_BACKGROUND] = { 'B', "background" },
    [QUILT_LIGHT] = { 'L', "light" },   [QUILT_DARK] = { 'D', "dark" },
    [QUILT_ACCENT] = { 'A', "accent" },
};

char quilt_role_letter(quilt_role role)
{
    return roles[role].letter;
}

const char *quilt_role_name(quilt_role role)
{
    return roles[role].name;
}

/* A quarter clockwise: the corner at the upper left comes to the upper right, which is
 * role[0] of a falling split; the one at the upper right to the lower right, which is
 * role[1] of a rising one. */
static quilt_patch turn_once(quilt_patch patch)
{
    switch (patch.split) {
    case QUILT_RISING:
        patch.split = QUILT_FALLING;
        return patch;
    case QUILT_FALLING:
        return (quilt_patch){ QUILT_RISING, { patch.role[1], patch.role[0] } };
    default:
        return patch;
    }
}

quilt_patch quilt_patch_turn(quilt_patch patch, int turn)
{
    for (int i = turn % 4; i > 0; i--)
        patch = turn_once(patch);
    return patch;
}

bool quilt_patch_equal(quilt_patch a, quilt_patch b)
{
    return a.split == b.split && a.role[0] == b.role[0] && a.role[1] == b.role[1];
}

quilt_patch quilt_block_at(const quilt_block *block, int turn, int row, int col)
{
    int last = block->side - 1, from_row = row, from_col = col;
    /* Turned clockwise, what is now at (row, col) was at (last - col, row). */
    for (int i = turn % 4; i > 0; i--) {
        int old_row = from_row;
        from_row = last - from_col;
        from_col = old_row;
    }
    return quilt_patch_turn(block->patches[from_row * block->side + from_col], turn);
}

quilt_block quilt_block_turn(const quilt_block *block, int turn)
{
    quilt_block turned = *block;
    for (int row = 0; row < block->side; row++)
        for (int col = 0; col < block->side; col++)
            turned.patches[row * block->side + col] =
                quilt_block_at(block, turn, row, col);
    return turned;
}

quilt_block quilt_block_mirror(const quilt_block *block)
{
    quilt_block mirror = *block;
    for (int row = 0; row < block->side; row++) {
        for (int col = 0; col < block->side; col++) {
            quilt_patch patch = block->patches[row * block->side + block->side - 1 - col];
            if (patch.split != QUILT_WHOLE)
                patch.split = patch.split == QUILT_RISING ? QUILT_FALLING : QUILT_RISING;
            mirror.patches[row * block->side + col] = patch;
        }
    }
    return mirror;
}

int quilt_block_compare(const quilt_block *a, const quilt_block *b)
{
    if (a->side != b->side)
        return a->side - b->side;
    return memcmp(a->patches, b->patches,
                  sizeof a->patches[0] * (size_t)(a->side * a->side));
}

quilt_block quilt_block_canonical(const quilt_block *block)
{
    quilt_block least = *block;
    for (int turn = 1; turn < 4; turn++) {
        quilt_block turned = quilt_block_turn(block, turn);
        if (quilt_block_compare(&turned, &least) < 0)
            least = turned;
    }
    return least;
}

int quilt_block_symmetry(const quilt_block *block)
{
    quilt_block turned = quilt_block_turn(block, 1);
    if (quilt_block_compare(&turned, block) == 0)
        return 4;
    turned = quilt_block_turn(block, 2);
    return quilt_block_compare(&turned, block) == 0 ? 2 : 1;
}

/* The least turn that makes b of a; -1 when none does. */
static int turn_between(const quilt_block *a, const quilt_block *b)
{
    for (int turn = 0; turn < 4; turn++) {
        quilt_block turned = quilt_block_turn(a, turn);
        if (quilt_block_compare(&turned, b) == 0)
            return turn;
    }
    return -1;
}

void quilt_design_kinds(const quilt_design *design, quilt_kinds *ret)
{
    memset(ret, 0, sizeof *ret);
    for (int block = 0; block < design->block_count; block++) {
        int kind = 0, turn = -1;
        for (; kind < ret->count; kind++) {
            turn = turn_between(&design->blocks[ret->kinds[kind].block],
                                &design->blocks[block]);
            if (turn >= 0)
                break;
        }
        if (turn < 0) {
            turn = 0;
            ret->kinds[ret->count++].block = block;
        }
        ret->kind_of[block] = (uint8_t)kind;
        ret->turn_of[block] = (uint8_t)turn;
    }
}

quilt_block_count quilt_block_counted(const quilt_block *block)
{
    quilt_block_count count = { 0 };
    for (int i = 0; i < block->side * block->side; i++) {
        quilt_patch patch = block->patches[i];
        if (patch.split == QUILT_WHOLE)
            count.squares[patch.role[0]]++;
        else if (patch.role[0] <= patch.role[1])
            count.pairs[patch.role[0]][patch.role[1]]++;
        else
            count.pairs[patch.role[1]][patch.role[0]]++;
    }
    return count;
}

int quilt_design_side(const quilt_design *design)
{
    return design->blocks[0].side;
}

static bool width_equal(quilt_width a, quilt_width b)
{
    return a.patches == b.patches && a.size == b.size;
}

static bool sash_equal(const quilt_sash *a, const quilt_sash *b)
{
    return width_equal(a->width, b->width) && a->role == b->role &&
           a->around == b->around && a->cornerstones == b->cornerstones &&
           a->cornerstone_role == b->cornerstone_role;
}

bool quilt_design_equal(const quilt_design *a, const quilt_design *b)
{
    if (a->block_count != b->block_count || a->rows != b->rows || a->cols != b->cols ||
        a->set != b->set || a->border_count != b->border_count ||
        !sash_equal(&a->sash, &b->sash))
        return false;
    for (int i = 0; i < a->block_count; i++)
        if (strcmp(a->blocks[i].name, b->blocks[i].name) != 0 ||
            quilt_block_compare(&a->blocks[i], &b->blocks[i]) != 0)
            return false;
    for (int i = 0; i < a->rows * a->cols; i++)
        if (a->repeat[i].block != b->repeat[i].block ||
            a->repeat[i].turn != b->repeat[i].turn)
            return false;
    for (int i = 0; i < a->border_count; i++)
        if (!width_equal(a->borders[i].width, b->borders[i].width) ||
            a->borders[i].role != b->borders[i].role ||
            a->borders[i].mitred != b->borders[i].mitred)
            return false;
    return true;
}
