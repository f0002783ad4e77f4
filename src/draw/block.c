#include "draw/block.h"
#include "draw/square-internal.h"

#include "base/random.h"

#include <math.h>

static draw_ink role_ink(quilt_role role)
{
    static const draw_ink inks[QUILT_ROLES] = {
        [QUILT_SCRAP] = DRAW_TINT_1,  [QUILT_BACKGROUND] = DRAW_TINT_0,
        [QUILT_LIGHT] = DRAW_TINT_2,  [QUILT_DARK] = DRAW_TINT_5,
        [QUILT_ACCENT] = DRAW_TINT_4,
    };
    return inks[role];
}

/* Pieces of one fabric do not all show the same part of it: the cloth is moved to one of
 * four places. No more, so that an SVG needs only four patterns for each fabric. */
static void draw_piece(draw_scene *scene, const draw_fabric *fabric, quilt_role role,
                       unsigned number, int count, const draw_point corners[count])
{
    static const draw_point moved[4] = { { 0, 0 }, { 5, 3 }, { 2, 6 }, { 7, 4 } };
    if (fabric != NULL && fabric->picture != NULL) {
        length repeat = MAX(fabric->repeat, 1);
        draw_point origin = { (length)((int64_t)repeat * moved[number % 4].x / 8),
                              (length)((int64_t)repeat * moved[number % 4].y / 8) };
        draw_scene_cloth(scene, fabric->picture, origin, repeat, count, corners);
        return;
    }
    draw_style style = DRAW_FILL(role_ink(role));
    if (fabric != NULL && fabric->ink != DRAW_NONE)
        style.fill.ink = fabric->ink;
    else if (fabric != NULL)
        style.fill = (draw_paint){ DRAW_COLOUR, fabric->colour };
    draw_scene_polygon(scene, &style, count, corners);
}

/* Outlines of pieces, to be drawn as one path over all of them. */
typedef struct seam_lines {
    int rings;
    int counts[2 * QUILT_SIDE_MAX * QUILT_SIDE_MAX];
    int points;
    draw_point
        corners[6 * QUILT_SIDE_MAX * QUILT_SIDE_MAX]; /* a square or two triangles */
} seam_lines;

static void draw_patch_piece(draw_scene *scene, const draw_fabric *fabric,
                             quilt_role role, unsigned number, int count,
                             const draw_point corners[count], seam_lines *seams)
{
    draw_piece(scene, fabric, role, number, count, corners);
    seams->counts[seams->rings++] = count;
    for (int i = 0; i < count; i++)
        seams->corners[seams->points++] = corners[i];
}

static void draw_patches(draw_scene *scene, const quilt_block *block,
                         const draw_fabric *const fabrics[], const draw_square *frame)
{
    int n = block->side;
    seam_lines seams;
    seams.rings = seams.points = 0;
    for (int i = 0; i < n * n; i++) {
        const quilt_patch *patch = &block->patches[i];
        draw_point corners[4];
        draw_patch_corners(frame, n, i, corners);
        draw_pieces pieces = draw_patch_pieces(patch, corners);
        for (int k = 0; k < pieces.count; k++)
            draw_patch_piece(scene, fabrics == NULL ? NULL : fabrics[2 * i + k],
                             patch->role[k], (unsigned)(i + i / n + k), pieces.corners,
                             pieces.at[k], &seams);
    }
    draw_scene_rings(scene, &DRAW_STROKE(DRAW_LINE, 0), seams.rings, seams.counts,
                     seams.corners);
}

void draw_block(draw_scene *scene, const quilt_block *block,
                const draw_fabric *const fabrics[], length x, length y, length side,
                int turn)
{
    draw_square upright = { x, y, side, 0, 0, side };
    draw_square frame = draw_square_turned(&upright, turn);
    draw_patches(scene, block, fabrics, &frame);
}

draw_scene *draw_block_scene(const quilt_block *block, const draw_fabric *const fabrics[],
                             int turn, length side, const char *title)
{
    draw_scene *scene = draw_scene_new(title);
    draw_scene_add_page(scene, side, side);
    draw_block(scene, block, fabrics, 0, 0, side, turn);
    return scene;
}

/* ---- Designs ---- */

typedef struct design_painter {
    draw_scene *scene;
    const quilt_design *design;
    const quilt_layout *layout;
    const quilt_frame *frame;
    const draw_cloth *cloth;
    double scale; /* drawing units to one of cloth */
} design_painter;

static void draw_cut(design_painter *self, quilt_role role, const draw_square *square)
{
    draw_point corners[4];
    draw_patch_corners(square, 1, 0, corners);
    draw_piece(self->scene, self->cloth->role[role], role, 0, 4, corners);
}

static void draw_area(design_painter *self, quilt_role role, double x, double y, double w,
                      double h)
{
    draw_cut(self, role, &(draw_square){ x, y, w, 0, 0, h });
}

static void draw_placed(design_painter *self, const quilt_place *place,
                        const draw_square *upright)
{
    const quilt_kinds *kinds = &self->layout->kinds;
    const quilt_block *block = &self->design->blocks[kinds->kinds[place->kind].block];
    int turn = place->turn;
    const draw_fabric *const *fabrics =
        self->cloth->block(self->cloth->data, (int)(place - self->layout->places), &turn);
    draw_square frame = draw_square_turned(upright, turn);
    draw_patches(self->scene, block, fabrics, &frame);
}

/* Sashes are one area under the blocks, with a cornerstone wherever two of them meet. */
static void draw_straight(design_painter *self, double x, double y, double block,
                          double sash)
{
    const quilt_frame *f = self->frame;
    double first = sash > 0 && f->sash_around ? sash : 0, pitch = block + sash;
    if (sash > 0)
        draw_area(self, f->sash_role, x, y, f->across * pitch - sash + 2 * first,
                  f->down * pitch - sash + 2 * first);
    if (sash > 0 && f->cornerstones) {
        int out = f->sash_around ? 1 : 0;
        for (int r = 1 - out; r < f->down + out; r++)
            for (int c = 1 - out; c < f->across + out; c++)
                draw_area(self, f->cornerstone_role, x + first + c * pitch - sash,
                          y + first + r * pitch - sash, sash, sash);
    }
    for (int r = 0; r < self->layout->rows; r++) {
        int count;
        const quilt_place *row = quilt_layout_row(self->layout, r, &count);
        for (int c = 0; c < count; c++) {
            draw_square at_place = {
                x + first + c * pitch, y + first + r * pitch, block, 0, 0, block
            };
            draw_placed(self, &row[c], &at_place);
        }
    }
}

/* A square on its corner, by its middle and half its diagonal. */
static void draw_diamond(design_painter *self, quilt_role role, double x, double y,
                         double half)
{
    draw_cut(self, role, &(draw_square){ x, y - half, half, half, -half, half });
}

/* Blocks on point stand on the setting cloth, each with sashes all round; rows are half a
 * diagonal apart, every second one begins half a diagonal further in. The quilt's right
 * is a block's lower right, as in the layout. Sashes first, then what lies on them. */
static void draw_on_point(design_painter *self, double x, double y, double w, double h,
                          double block, double sash)
{
    enum { SASHES, BLOCKS, CORNERSTONES, LAYERS };
    const quilt_frame *f = self->frame;
    double half = (block + sash) / G_SQRT2; /* of the diagonal from middle to middle */
    double edge = sash / G_SQRT2, leg = block / G_SQRT2;
    draw_area(self, f->setting_role, x, y, w, h);
    for (int layer = sash > 0 ? SASHES : BLOCKS; layer < LAYERS; layer++)
        for (int r = 0; r < self->layout->rows; r++) {
            int count;
            const quilt_place *row = quilt_layout_row(self->layout, r, &count);
            for (int c = 0; c < count; c++) {
                double mx = x + edge + half + c * 2 * half + (r % 2 ? half : 0);
                double my = y + edge + half + r * half;
                if (layer == SASHES)
                    draw_diamond(self, f->sash_role, mx, my, half + edge);
                if (layer == BLOCKS) {
                    draw_square place = { mx, my - leg, leg, leg, -leg, leg };
                    draw_placed(self, &row[c], &place);
                }
                if (layer == CORNERSTONES && sash > 0 && f->cornerstones)
                    for (int side = -1; side <= 1; side += 2) {
                        draw_diamond(self, f->cornerstone_role, mx + side * half, my,
                                     edge);
                        draw_diamond(self, f->cornerstone_role, mx, my + side * half,
                                     edge);
                    }
            }
        }
}

/* One border as four strips: sides first and then ends, or mitred. */
static void draw_border(design_painter *self, const quilt_frame_border *border, double x,
                        double y, double w, double h, double wide)
{
    if (!border->mitred) {
        draw_area(self, border->role, x, y + wide, wide, h - 2 * wide);
        draw_area(self, border->role, x + w - wide, y + wide, wide, h - 2 * wide);
        draw_area(self, border->role, x, y, w, wide);
        draw_area(self, border->role, x, y + h - wide, w, wide);
        return;
    }
    draw_square all = { x, y, w, 0, 0, h };
    double s = wide / w, t = wide / h;
    draw_point out[4];
    draw_patch_corners(&all, 1, 0, out);
    draw_point in[4] = { draw_square_at(&all, s, t), draw_square_at(&all, 1 - s, t),
                         draw_square_at(&all, 1 - s, 1 - t),
                         draw_square_at(&all, s, 1 - t) };
    for (int i = 0; i < 4; i++) {
        int next = (i + 1) % 4;
        draw_piece(self->scene, self->cloth->role[border->role], border->role, 0, 4,
                   (draw_point[]){ out[i], out[next], in[next], in[i] });
    }
}

length draw_quilt_height(const quilt_sizes *sizes, length width)
{
    return MAX(
        (length)lround((double)sizes->finished.height * width / sizes->finished.width),
        1);
}

length draw_quilt(draw_scene *scene, const quilt_design *design,
                  const quilt_layout *layout, const quilt_frame *frame,
                  const quilt_sizes *sizes, const draw_cloth *cloth, length left,
                  length top, length width)
{
    design_painter self = {
        .scene = scene,
        .design = design,
        .layout = layout,
        .frame = frame,
        .cloth = cloth,
        .scale = (double)width / sizes->finished.width,
    };
    double w = width, h = sizes->finished.height * self.scale, x = left, y = top;
    for (int i = frame->border_count - 1; i >= 0; i--) {
        double wide = frame->borders[i].width * self.scale;
        draw_border(&self, &frame->borders[i], x, y, w, h, wide);
        x += wide;
        y += wide;
        w -= 2 * wide;
        h -= 2 * wide;
    }
    double block = sizes->block_finished * self.scale, sash = frame->sash * self.scale;
    if (frame->on_point)
        draw_on_point(&self, x, y, w, h, block, sash);
    else
        draw_straight(&self, x, y, block, sash);
    return draw_quilt_height(sizes, width);
}

/* ---- Cloth by chance ---- */

typedef struct cloth_by_chance {
    const quilt_design *design;
    const quilt_layout *layout;
    const draw_cloths *cloths;
    motley_random random;
    const draw_fabric *used[2 * QUILT_SIDE_MAX * QUILT_SIDE_MAX];
} cloth_by_chance;

static const draw_fabric *choose(cloth_by_chance *self, quilt_role role,
                                 const draw_fabric *left, const draw_fabric *above)
{
    int count = self->cloths->count[role];
    if (count == 0)
        return NULL;
    const draw_fabric *fabric = NULL;
    for (int tries = 0; tries < 8; tries++) {
        fabric =
            &self->cloths
                 ->fabrics[role][motley_random_below(&self->random, (uint32_t)count)];
        if (fabric != left && fabric != above)
            break;
    }
    return fabric;
}

/* Neighbours are looked at within the block: across its edges like fabrics may meet, as
 * they may where nobody arranged them. */
static const draw_fabric *const *fill_block(void *data, int place, int *turn)
{
    (void)turn; /* as the layout has it */
    cloth_by_chance *self = data;
    const quilt_kinds *kinds = &self->layout->kinds;
    const quilt_block *block =
        &self->design->blocks[kinds->kinds[self->layout->places[place].kind].block];
    int n = block->side;
    for (int i = 0; i < n * n; i++) {
        const draw_fabric *left = i % n > 0 ? self->used[2 * (i - 1)] : NULL;
        const draw_fabric *above = i >= n ? self->used[2 * (i - n)] : NULL;
        for (int half = 0; half < 2; half++)
            self->used[2 * i + half] =
                choose(self, block->patches[i].role[half], left, above);
    }
    return self->used;
}

gboolean draw_design(draw_scene *scene, const quilt_design *design,
                     const quilt_layout *layout, const quilt_frame *frame,
                     const draw_cloths *cloths, uint64_t seed, length left, length top,
                     length width, GError **error)
{
    quilt_sizes sizes;
    if (!quilt_frame_sizes(frame, &sizes, error))
        return FALSE;
    cloth_by_chance chance = { .design = design, .layout = layout, .cloths = cloths };
    motley_random_seed(&chance.random, seed);
    draw_cloth cloth = { .block = fill_block, .data = &chance };
    for (int role = 0; role < QUILT_ROLES; role++)
        if (cloths->count[role] > 0)
            cloth.role[role] = &cloths->fabrics[role][0];
    draw_quilt(scene, design, layout, frame, &sizes, &cloth, left, top, width);
    return TRUE;
}

draw_scene *draw_design_scene(const quilt_design *design, const quilt_layout *layout,
                              const quilt_frame *frame, const draw_cloths *cloths,
                              uint64_t seed, length width, GError **error)
{
    quilt_sizes sizes;
    if (!quilt_frame_sizes(frame, &sizes, error))
        return NULL;
    g_autoptr(draw_scene) scene = draw_scene_new(design->name);
    draw_scene_add_page(scene, width, draw_quilt_height(&sizes, width));
    if (!draw_design(scene, design, layout, frame, cloths, seed, 0, 0, width, error))
        return NULL;
    return g_steal_pointer(&scene);
}
