#include "quilt/reuse.h"

#include <string.h>

static void add_blocks_left(const quilt_block *block, int64_t blocks, quilt_reuse *reuse)
{
    quilt_block_count each = quilt_block_counted(block);
    reuse->left += blocks;
    for (int a = 0; a < QUILT_ROLES; a++) {
        reuse->squares[a] += blocks * each.squares[a];
        for (int b = a; b < QUILT_ROLES; b++)
            reuse->pairs[a][b] += blocks * each.pairs[a][b];
    }
}

void quilt_reuse_of(const quilt_design *design, const quilt_layout *layout,
                    int made_count, const quilt_made made[], quilt_reuse *ret)
{
    quilt_count count;
    quilt_layout_count(design, layout, &count);
    memset(ret, 0, sizeof *ret);
    memcpy(ret->left_of, count.kind_blocks, sizeof ret->left_of);
    for (int i = 0; i < made_count; i++) {
        quilt_block have = quilt_block_canonical(&made[i].block);
        int64_t spare = made[i].count;
        for (int kind = 0; kind < layout->kinds.count; kind++) {
            quilt_block want =
                quilt_block_canonical(&design->blocks[layout->kinds.kinds[kind].block]);
            if (quilt_block_compare(&have, &want) != 0)
                continue;
            int64_t taken = MIN(spare, ret->left_of[kind]);
            ret->left_of[kind] -= taken;
            ret->taken += taken;
            spare -= taken;
        }
        ret->spare += spare;
    }
    for (int kind = 0; kind < layout->kinds.count; kind++)
        add_blocks_left(&design->blocks[layout->kinds.kinds[kind].block],
                        ret->left_of[kind], ret);
}
