#include "draw/block.h"
#include "base/random.h"

#include <math.h>

/* A square on the drawing that may stand turned: its upper left corner and its two sides,
 * in length units. */
typedef struct square_frame {
    double x, y;
    double right_x, right_y; /* along its upper side */
    double down_x, down_y;   /* along its left side */
} square_frame;

/* s, t: 0 to 1 from the left and from the top. */
static draw_point at(const square_frame *f, double s, double t)
{
    return (draw_point){ (length)lround(f->x + s * f->right_x + t * f->down_x),
                         (length)lround(f->y + s * f->right_y + t * f->down_y) };
}

static square_frame turned(const square_frame *f, int turn)
{
    square_frame out = *f;
    for (int i = 0; i < (turn & 3); i++) {
        square_frame g = out;
        out = (square_frame){ g.x + g.right_x, g.y + g.right_y, g.down_x,
                              g.down_y,        -g.right_x,      -g.right_y };
    }
    return out;
}

static draw_ink role_ink(quilt_role role)
{
    static const draw_ink inks[QUILT_ROLES] = {
        [QUILT_SCRAP] = DRAW_TINT_1,  [QUILT_BACKGROUND] = DRAW_TINT_0,
        [QUILT_LIGHT] = DRAW_TINT_2,  [QUILT_DARK] = DRAW_TINT_5,
        [QUILT_ACCENT] = DRAW_TINT_4,
    };
    return inks[role];
}

/* number moves the cloth, so that two pieces of one fabric do not show the same part. */
static void draw_piece(draw_scene *scene, const draw_fabric *fabric, quilt_role role,
                       unsigned number, int count, const draw_point corners[count])
{
    draw_style style = DRAW_STROKE(DRAW_LINE, 0);
    if (fabric == NULL)
        style.fill.ink = role_ink(role);
    else if (fabric->picture == NULL)
        style.fill = (draw_paint){ DRAW_COLOUR, fabric->colour };
    else {
        length repeat = MAX(fabric->repeat, 1);
        draw_point origin = {
            corners[0].x - (length)((int64_t)repeat * (number * 37 % 64) / 64),
            corners[0].y - (length)((int64_t)repeat * (number * 23 % 64) / 64),
        };
        draw_scene_cloth(scene, fabric->picture, origin, repeat, count, corners);
    }
    draw_scene_polygon(scene, &style, count, corners);
}

static void draw_patches(draw_scene *scene, const quilt_block *block,
                         const draw_fabric *const fabrics[], const square_frame *frame)
{
    int n = block->side;
    for (int i = 0; i < n * n; i++) {
        const quilt_patch *patch = &block->patches[i];
        double s1 = (double)(i % n) / n, s2 = (double)(i % n + 1) / n;
        double t1 = (double)(i / n) / n, t2 = (double)(i / n + 1) / n;
        draw_point a = at(frame, s1, t1), b = at(frame, s2, t1);
        draw_point c = at(frame, s2, t2), d = at(frame, s1, t2);
        const draw_fabric *first = fabrics == NULL ? NULL : fabrics[2 * i];
        const draw_fabric *second = fabrics == NULL ? NULL : fabrics[2 * i + 1];
        unsigned number = 2 * (unsigned)i;
        switch ((quilt_split)patch->split) {
        case QUILT_WHOLE:
            draw_piece(scene, first, patch->role[0], number, 4,
                       (draw_point[]){ a, b, c, d });
            break;
        case QUILT_RISING:
            draw_piece(scene, first, patch->role[0], number, 3,
                       (draw_point[]){ a, b, d });
            draw_piece(scene, second, patch->role[1], number + 1, 3,
                       (draw_point[]){ b, c, d });
            break;
        case QUILT_FALLING:
            draw_piece(scene, first, patch->role[0], number, 3,
                       (draw_point[]){ a, b, c });
            draw_piece(scene, second, patch->role[1], number + 1, 3,
                       (draw_point[]){ a, c, d });
            break;
        }
    }
}

void draw_block(draw_scene *scene, const quilt_block *block,
                const draw_fabric *const fabrics[], length x, length y, length side,
                int turn)
{
    square_frame upright = { x, y, side, 0, 0, side };
    square_frame frame = turned(&upright, turn);
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
    const draw_cloths *cloths;
    motley_random random;
    double scale; /* drawing units to one of cloth */
    const draw_fabric *used[2 * QUILT_SIDE_MAX * QUILT_SIDE_MAX];
} design_painter;

static const draw_fabric *choose(design_painter *self, quilt_role role,
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
static void fill_block(design_painter *self, const quilt_block *block)
{
    int n = block->side;
    for (int i = 0; i < n * n; i++) {
        const draw_fabric *left = i % n > 0 ? self->used[2 * (i - 1)] : NULL;
        const draw_fabric *above = i >= n ? self->used[2 * (i - n)] : NULL;
        for (int half = 0; half < 2; half++)
            self->used[2 * i + half] =
                choose(self, block->patches[i].role[half], left, above);
    }
}

static const draw_fabric *strip_fabric(const design_painter *self, quilt_role role)
{
    return self->cloths->count[role] == 0 ? NULL : &self->cloths->fabrics[role][0];
}

static void draw_area(design_painter *self, quilt_role role, double x, double y, double w,
                      double h)
{
    square_frame f = { x, y, w, 0, 0, h };
    draw_piece(self->scene, strip_fabric(self, role), role, 0, 4,
               (draw_point[]){ at(&f, 0, 0), at(&f, 1, 0), at(&f, 1, 1), at(&f, 0, 1) });
}

static void draw_placed(design_painter *self, const quilt_place *place,
                        const square_frame *upright)
{
    const quilt_kinds *kinds = &self->layout->kinds;
    const quilt_block *block = &self->design->blocks[kinds->kinds[place->kind].block];
    square_frame frame = turned(upright, place->turn);
    fill_block(self, block);
    draw_patches(self->scene, block, self->used, &frame);
}

/* A cornerstone at each meeting of sashes: in a net of so many cells each way. */
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
            square_frame at_place = {
                x + first + c * pitch, y + first + r * pitch, block, 0, 0, block
            };
            draw_placed(self, &row[c], &at_place);
        }
    }
}

/* Blocks on point stand on the setting cloth, each with sashes all round; rows are half a
 * diagonal apart, every second one begins half a diagonal further in. */
static void draw_on_point(design_painter *self, double x, double y, double w, double h,
                          double block, double sash)
{
    const quilt_frame *f = self->frame;
    double cell = (block + sash) * G_SQRT2, half = cell / 2, leg = block / G_SQRT2;
    double edge = sash / G_SQRT2; /* half the diagonal of a cornerstone */
    draw_area(self, f->setting_role, x, y, w, h);
    for (int r = 0; r < self->layout->rows; r++) {
        int count;
        const quilt_place *row = quilt_layout_row(self->layout, r, &count);
        for (int c = 0; c < count; c++) {
            double middle_x = x + edge + half + c * cell + (r % 2 ? half : 0);
            double middle_y = y + edge + half + r * half;
            if (sash > 0) {
                double out = half + edge;
                draw_piece(
                    self->scene, strip_fabric(self, f->sash_role), f->sash_role, 0, 4,
                    (draw_point[]){ { (length)(middle_x - out), (length)middle_y },
                                    { (length)middle_x, (length)(middle_y - out) },
                                    { (length)(middle_x + out), (length)middle_y },
                                    { (length)middle_x, (length)(middle_y + out) } });
            }
        }
    }
    for (int r = 0; r < self->layout->rows; r++) {
        int count;
        const quilt_place *row = quilt_layout_row(self->layout, r, &count);
        for (int c = 0; c < count; c++) {
            double middle_x = x + edge + half + c * cell + (r % 2 ? half : 0);
            double middle_y = y + edge + half + r * half;
            /* The upper left corner of the turned block points up. */
            square_frame place = { middle_x, middle_y - leg, leg, leg, -leg, leg };
            draw_placed(self, &row[c], &place);
            if (sash > 0 && f->cornerstones)
                for (int side = 0; side < 4; side++) {
                    double cx = middle_x + (side == 0 ? -half : side == 2 ? half : 0);
                    double cy = middle_y + (side == 1 ? -half : side == 3 ? half : 0);
                    draw_piece(self->scene, strip_fabric(self, f->cornerstone_role),
                               f->cornerstone_role, 0, 4,
                               (draw_point[]){ { (length)(cx - edge), (length)cy },
                                               { (length)cx, (length)(cy - edge) },
                                               { (length)(cx + edge), (length)cy },
                                               { (length)cx, (length)(cy + edge) } });
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
    square_frame all = { x, y, w, 0, 0, h };
    double s = wide / w, t = wide / h;
    draw_point out[4] = { at(&all, 0, 0), at(&all, 1, 0), at(&all, 1, 1),
                          at(&all, 0, 1) };
    draw_point in[4] = { at(&all, s, t), at(&all, 1 - s, t), at(&all, 1 - s, 1 - t),
                         at(&all, s, 1 - t) };
    for (int i = 0; i < 4; i++) {
        int next = (i + 1) % 4;
        draw_piece(self->scene, strip_fabric(self, border->role), border->role, 0, 4,
                   (draw_point[]){ out[i], out[next], in[next], in[i] });
    }
}

draw_scene *draw_design_scene(const quilt_design *design, const quilt_layout *layout,
                              const quilt_frame *frame, const draw_cloths *cloths,
                              uint64_t seed, length width, GError **error)
{
    quilt_sizes sizes;
    if (!quilt_frame_sizes(frame, &sizes, error))
        return NULL;
    design_painter self = {
        .scene = draw_scene_new(design->name),
        .design = design,
        .layout = layout,
        .frame = frame,
        .cloths = cloths,
        .scale = (double)width / sizes.finished.width,
    };
    motley_random_seed(&self.random, seed);
    double w = width, h = sizes.finished.height * self.scale, x = 0, y = 0;
    draw_scene_add_page(self.scene, width, MAX((length)lround(h), 1));
    for (int i = frame->border_count - 1; i >= 0; i--) {
        double wide = frame->borders[i].width * self.scale;
        draw_border(&self, &frame->borders[i], x, y, w, h, wide);
        x += wide;
        y += wide;
        w -= 2 * wide;
        h -= 2 * wide;
    }
    double block = sizes.block_finished * self.scale, sash = frame->sash * self.scale;
    if (frame->on_point)
        draw_on_point(&self, x, y, w, h, block, sash);
    else
        draw_straight(&self, x, y, block, sash);
    return self.scene;
}
