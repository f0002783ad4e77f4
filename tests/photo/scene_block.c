#include "scene_block.h"

#include <math.h>

static const colour_srgb8 cloths[] = { { 176, 58, 46 },  { 40, 116, 166 },
                                       { 212, 172, 13 }, { 30, 132, 73 },
                                       { 136, 78, 160 }, { 230, 126, 34 } };
static const colour_srgb8 background = { 225, 222, 214 };

colour_srgb8 scene_cloth(char letter)
{
    return letter == 'B' ? background : cloths[letter - 'a'];
}

static photo_point place_of(const scene_block *block, double u, double v)
{
    double c = cos(block->angle), s = sin(block->angle);
    return (photo_point){ block->x + c * u - s * v, block->y + s * u + c * v };
}

/* All cells as if they were whole. */
static void add_first(scene *drawn, const scene_block *block,
                      const photo_block_size *size, scene_corners corners)
{
    double all = photo_block_unfinished_in(size),
           inner = size->unit_in - 2 * size->seam_in;
    for (int i = 0; i < size->side * size->side; i++) {
        double edge[2][2];
        int at[2] = { i % size->side, i / size->side };
        for (int k = 0; k < 2; k++) {
            edge[k][0] =
                at[k] == 0 ? 0 : size->unit_in - size->seam_in + (at[k] - 1) * inner;
            edge[k][1] = at[k] == size->side - 1
                             ? all
                             : size->unit_in - size->seam_in + at[k] * inner;
        }
        photo_point *p = corners[drawn->piece_count];
        for (int k = 0; k < 4; k++)
            p[k] = place_of(block, edge[0][k == 1 || k == 2] - all / 2,
                            all / 2 - edge[1][k >= 2]);
        drawn->piece[drawn->piece_count++] = (scene_piece){
            .count = 4,
            .corners_in = p,
            .colour = scene_cloth(block->cells[i]),
        };
    }
}

/* The corners of the second half of the cut square that show, in inches of the square:
 * its visible rectangle on that side of the cut. */
static int second_half(double unit, double seen[2][2], char cut,
                       photo_point corners[static SCENE_CORNERS_MAX])
{
    photo_point box[4];
    double over[4];
    int n = 0;
    for (int k = 0; k < 4; k++) {
        box[k] = (photo_point){ seen[0][k == 1 || k == 2], seen[1][k >= 2] };
        over[k] = cut == '/' ? box[k].x + box[k].y - unit : box[k].y - box[k].x;
    }
    for (int k = 0; k < 4; k++) {
        int next = (k + 1) % 4;
        if (over[k] >= 0)
            corners[n++] = box[k];
        if ((over[k] > 0 && over[next] < 0) || (over[k] < 0 && over[next] > 0)) {
            double share = over[k] / (over[k] - over[next]);
            corners[n++] = (photo_point){ box[k].x + share * (box[next].x - box[k].x),
                                          box[k].y + share * (box[next].y - box[k].y) };
        }
    }
    return n;
}

/* Laid over them: the second halves of those that are cut. */
static void add_second(scene *drawn, const scene_block *block,
                       const photo_block_size *size, scene_corners corners)
{
    double all = photo_block_unfinished_in(size), seam = size->seam_in,
           step = size->unit_in - 2 * seam;
    for (int i = 0; i < size->side * size->side; i++) {
        if (block->cuts[i] == '.')
            continue;
        double seen[2][2];
        int at[2] = { i % size->side, i / size->side };
        for (int k = 0; k < 2; k++) {
            seen[k][0] = at[k] == 0 ? 0 : seam;
            seen[k][1] = size->unit_in - (at[k] == size->side - 1 ? 0 : seam);
        }
        photo_point *p = corners[drawn->piece_count];
        int n = second_half(size->unit_in, seen, block->cuts[i], p);
        for (int k = 0; k < n; k++)
            p[k] = place_of(block, p[k].x + at[0] * step - all / 2,
                            all / 2 - p[k].y - at[1] * step);
        drawn->piece[drawn->piece_count++] = (scene_piece){
            .count = n,
            .corners_in = p,
            .colour = scene_cloth(block->others[i]),
        };
    }
}

void scene_add_block(scene *drawn, const scene_block *block, const photo_block_size *size,
                     scene_corners corners)
{
    add_first(drawn, block, size, corners);
    if (block->cuts != NULL)
        add_second(drawn, block, size, corners);
}
