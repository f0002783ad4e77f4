#include "quilt/buy.h"

#include "base/error.h"
#include "quilt/cloth-internal.h"

#include <string.h>

quilt_buying quilt_buying_defaults(void)
{
    return (quilt_buying){
        .cloth = 40 * LENGTH_INCH,
        .step = LENGTH_INCH / 8,
        .from_basket = { [QUILT_SCRAP] = true,
                         [QUILT_LIGHT] = true,
                         [QUILT_DARK] = true },
        .binding = LENGTH_INCH * 9 / 4,
        .binding_extra = 12 * LENGTH_INCH,
        .backing = true,
        .backing_cloth = 40 * LENGTH_INCH,
        .backing_margin = 4 * LENGTH_INCH,
        .backing_seam = LENGTH_INCH / 2,
        .batting = true,
        .batting_margin = 4 * LENGTH_INCH,
        .mitre_extra = 4 * LENGTH_INCH,
    };
}

const char *quilt_part_name(quilt_part part)
{
    static const char *const names[] = {
        [QUILT_PART_PATCH] = "patch",
        [QUILT_PART_BLOCK] = "whole block",
        [QUILT_PART_TRIANGLES] = "square for triangles",
        [QUILT_PART_SASH] = "sash",
        [QUILT_PART_CORNERSTONE] = "cornerstone",
        [QUILT_PART_SIDE] = "square for side triangles",
        [QUILT_PART_CORNER] = "square for corner triangles",
        [QUILT_PART_BORDER] = "border",
        [QUILT_PART_BINDING] = "binding",
        [QUILT_PART_BACKING] = "backing panel",
        [QUILT_PART_SLEEVE] = "sleeve",
    };
    return names[part];
}

const char *quilt_item_name(const quilt_item *item)
{
    switch (item->use) {
    case QUILT_USE_BINDING:
        return "binding";
    case QUILT_USE_BACKING:
        return "backing";
    case QUILT_USE_SLEEVE:
        return "sleeve";
    default:
        return quilt_role_name(item->role);
    }
}

/* Making the list. */

/* What is being worked out, and from what. */
typedef struct work {
    const quilt_frame *frame;
    const quilt_buying *buying;
    quilt_shopping *shop;
    quilt_item *roles[QUILT_ROLES]; /* cloth of each role */
    GError **error;
} work;

static gboolean too_wide(const work *self, quilt_part part, length piece, length cloth)
{
    char one[LENGTH_TEXT_SIZE], two[LENGTH_TEXT_SIZE];
    g_set_error(self->error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_CLOTH,
                "a %s is cut %s in wide and the cloth is %s in", quilt_part_name(part),
                length_text_in(piece, 8, one), length_text_in(cloth, 8, two));
    return FALSE;
}

static length on_ruler(const work *self, length exact)
{
    return length_ceil(exact, self->buying->step);
}

static quilt_line *add_line(quilt_item *item, quilt_line line)
{
    g_assert(item->line_count < QUILT_LINES_MAX);
    item->lines[item->line_count] = line;
    return &item->lines[item->line_count++];
}

/* Pieces that fit on the cloth. `turns` when they may lie either way: then the way that
 * takes less cloth, and across as named when both take the same. */
static gboolean add_pieces(const work *self, quilt_item *item, quilt_line want,
                           bool turns)
{
    length cloth = item->cloth_width;
    int64_t kept = quilt_strips(want.pieces, want.piece_width, cloth);
    int64_t turned =
        turns ? quilt_strips(want.pieces, want.piece_height, cloth) : (int64_t)-1;
    if (kept < 0 && turned < 0)
        return too_wide(self, want.part, want.piece_width, cloth);
    bool turn =
        kept < 0 || (turned >= 0 && turned * want.piece_width < kept * want.piece_height);
    if (turn) {
        length across = want.piece_height;
        want.piece_height = want.piece_width;
        want.piece_width = across;
    }
    want.strips = turn ? turned : kept;
    want.strip_width = want.piece_height;
    want.strip_length = cloth;
    want.per_strip = cloth / want.piece_width;
    if (want.parts == 0)
        want.parts = 1;
    if (want.pieces >= want.per_strip && want.per_strip * want.piece_width == cloth)
        item->exact_fit = true;
    add_line(item, want);
    return TRUE;
}

/* Squares of a role: asked of the basket, or off its cloth. */
static gboolean add_squares(const work *self, quilt_role role, quilt_part part,
                            length cut, int64_t count, int parts, int64_t covers_twice)
{
    if (count == 0)
        return TRUE;
    quilt_shopping *shop = self->shop;
    if (self->buying->from_basket[role]) {
        g_assert(shop->asked_count < QUILT_ASKED_MAX);
        shop->asked[shop->asked_count++] = (quilt_asked){ .role = role,
                                                          .part = part,
                                                          .cut = cut,
                                                          .count = count,
                                                          .parts = parts,
                                                          .covers_twice = covers_twice };
        return TRUE;
    }
    return add_pieces(self, self->roles[role],
                      (quilt_line){ .part = part,
                                    .piece_width = cut,
                                    .piece_height = cut,
                                    .pieces = count,
                                    .parts = parts,
                                    .covers_twice = covers_twice },
                      false);
}

/* A block of one role and no splits can be cut whole. */
static bool plain_role(const quilt_block *block, quilt_role *ret_role)
{
    for (int i = 0; i < block->side * block->side; i++)
        if (block->patches[i].split != QUILT_WHOLE ||
            block->patches[i].role[0] != block->patches[0].role[0])
            return false;
    *ret_role = block->patches[0].role[0];
    return true;
}

static gboolean add_blocks(const work *self, const quilt_design *design,
                           const quilt_layout *layout)
{
    const quilt_sizes *sizes = &self->shop->sizes;
    const quilt_count *count = &self->shop->count;
    int side = quilt_design_side(design);
    int64_t squares[QUILT_ROLES], whole[QUILT_ROLES] = { 0 };
    memcpy(squares, count->squares, sizeof squares);
    for (int kind = 0; kind < layout->kinds.count; kind++) {
        quilt_role role;
        if (side > 1 &&
            plain_role(&design->blocks[layout->kinds.kinds[kind].block], &role) &&
            !self->buying->from_basket[role] &&
            sizes->block_unfinished <= self->buying->cloth) {
            squares[role] -= count->kind_blocks[kind] * side * side;
            whole[role] += count->kind_blocks[kind];
        }
    }
    int64_t patch = 2 * (int64_t)sizes->unit_finished * sizes->unit_finished;
    for (int role = 0; role < QUILT_ROLES; role++) {
        if (!add_squares(self, (quilt_role)role, QUILT_PART_PATCH, self->frame->unit,
                         squares[role], 1, squares[role] * patch) ||
            !add_squares(self, (quilt_role)role, QUILT_PART_BLOCK,
                         sizes->block_unfinished, whole[role], 1,
                         whole[role] * patch * side * side))
            return FALSE;
    }
    return TRUE;
}

/* Side of the squares for half-square triangles, how many units two of them give and in
 * how many parts each is cut. */
typedef struct hst_way {
    length cut;
    int units, parts;
} hst_way;

static hst_way way_of(const work *self)
{
    length f = self->shop->sizes.unit_finished, seam = self->frame->seam;
    length exact = on_ruler(self, quilt_half_square(f, seam));
    switch (self->buying->hst) {
    case QUILT_HST_TRIMMED:
        return (hst_way){ on_ruler(self, exact + LENGTH_INCH / 4), 2, 2 };
    case QUILT_HST_EIGHT:
        return (hst_way){ on_ruler(self, quilt_half_square_by_eight(f, seam)), 8, 8 };
    case QUILT_HST_CORNER:
        return (hst_way){ self->frame->unit, 1, 2 };
    default:
        return (hst_way){ exact, 2, 2 };
    }
}

static gboolean add_triangles(const work *self)
{
    quilt_shopping *shop = self->shop;
    hst_way way = way_of(self);
    int64_t squares[QUILT_ROLES] = { 0 };
    for (int a = 0; a < QUILT_ROLES; a++) {
        for (int b = a; b < QUILT_ROLES; b++) {
            int64_t units = shop->count.pairs[a][b];
            if (units == 0)
                continue;
            /* They come in pairs alike, or in eights: the last ones may be over. */
            int64_t each = quilt_divide_up(units, way.units);
            squares[a] += each;
            squares[b] += each;
            shop->triangles[shop->triangle_count++] =
                (quilt_triangles){ .roles = { (quilt_role)a, (quilt_role)b },
                                   .count = units,
                                   .cut = way.cut,
                                   .squares = { each, each } };
        }
    }
    int64_t triangle = (int64_t)shop->sizes.unit_finished * shop->sizes.unit_finished;
    for (int role = 0; role < QUILT_ROLES; role++)
        if (!add_squares(self, (quilt_role)role, QUILT_PART_TRIANGLES, way.cut,
                         squares[role], way.parts,
                         shop->count.triangles[role] * triangle))
            return FALSE;
    return TRUE;
}

/* Strips of one width in two lengths, all cut whole where the longest fits across the
 * cloth, else all from strips joined end to end, which loses a seam at each join. */
static void add_strips(const work *self, quilt_item *item, quilt_line one, quilt_line two)
{
    length cloth = item->cloth_width, seam = 2 * self->frame->seam;
    length width = one.piece_height;
    bool joined = MAX(one.piece_width, two.pieces > 0 ? two.piece_width : 0) > cloth;
    int64_t all = one.pieces * one.piece_width + two.pieces * two.piece_width;
    quilt_line *first = NULL;
    quilt_line wants[2] = { one, two };
    for (int i = 0; i < 2; i++) {
        quilt_line want = wants[i];
        if (want.pieces == 0)
            continue;
        want.parts = 1;
        want.strip_width = width;
        want.strip_length = cloth;
        if (joined) {
            want.joined = true;
            want.strips = first == NULL ? quilt_divide_up(all - seam, cloth - seam) : 0;
        } else {
            want.per_strip = cloth / want.piece_width;
            want.strips = quilt_divide_up(want.pieces, want.per_strip);
        }
        first = add_line(item, want);
    }
}

static gboolean add_cornerstones(const work *self, int64_t count)
{
    const quilt_frame *frame = self->frame;
    return add_squares(self, (quilt_role)frame->cornerstone_role, QUILT_PART_CORNERSTONE,
                       frame->sash + 2 * frame->seam, count, 1,
                       2 * count * frame->sash * frame->sash);
}

static quilt_line sash_line(const work *self, length finished, int64_t count)
{
    const quilt_frame *frame = self->frame;
    return (quilt_line){ .part = QUILT_PART_SASH,
                         .piece_width = finished + 2 * frame->seam,
                         .piece_height = frame->sash + 2 * frame->seam,
                         .pieces = count,
                         .covers_twice = 2 * count * finished * frame->sash };
}

/* Sashes as long as a block: off strips either way round, joined only where a block is
 * wider than the cloth. */
static gboolean add_short_sashes(const work *self, int64_t count)
{
    quilt_item *item = self->roles[self->frame->sash_role];
    quilt_line want = sash_line(self, self->shop->sizes.block_finished, count);
    if (count == 0)
        return TRUE;
    if (want.piece_width <= item->cloth_width)
        return add_pieces(self, item, want, !self->buying->directional);
    add_strips(self, item, want, (quilt_line){ 0 });
    return TRUE;
}

static gboolean add_sashes_straight(const work *self)
{
    const quilt_frame *frame = self->frame;
    int64_t lines_down = frame->across - 1 + 2 * frame->sash_around;
    int64_t lines_across = frame->down - 1 + 2 * frame->sash_around;
    int64_t upright = lines_down * frame->down;
    if (frame->cornerstones)
        return add_short_sashes(self, upright + lines_across * frame->across) &&
               add_cornerstones(self, lines_down * lines_across);
    add_strips(self, self->roles[frame->sash_role],
               sash_line(self, self->shop->sizes.body.width, lines_across),
               (quilt_line){ 0 });
    return add_short_sashes(self, upright);
}

/* Each block has four sashes round it and shares those towards its neighbours; where they
 * meet follows from Euler: corners = 1 + sashes - blocks. */
static gboolean add_sashes_on_point(const work *self)
{
    const quilt_frame *frame = self->frame;
    int64_t blocks = self->shop->count.blocks;
    int64_t shared = 4 * (int64_t)(frame->across - 1) * (frame->down - 1);
    int64_t sashes = 4 * blocks - shared;
    return add_short_sashes(self, sashes) && add_cornerstones(self, 1 + sashes - blocks);
}

/* The long side of a side triangle is the diagonal of block and sash; that of a corner
 * triangle the side of a block with the sashes at both its ends. */
static gboolean add_setting(const work *self)
{
    const quilt_frame *frame = self->frame;
    const quilt_sizes *sizes = &self->shop->sizes;
    quilt_item *item = self->roles[frame->setting_role];
    int64_t pitch = sizes->block_finished + frame->sash, outer = pitch + frame->sash;
    length seam = 2 * frame->seam;
    length side = on_ruler(self, seam + quilt_diagonal_up((length)pitch + seam));
    length corner = on_ruler(self, seam + quilt_leg_up((length)outer + seam));
    if (sizes->side_triangles > 0 &&
        !add_pieces(self, item,
                    (quilt_line){ .part = QUILT_PART_SIDE,
                                  .piece_width = side,
                                  .piece_height = side,
                                  .pieces = quilt_divide_up(sizes->side_triangles, 4),
                                  .parts = 4,
                                  .covers_twice = sizes->side_triangles * pitch * pitch },
                    false))
        return FALSE;
    return add_pieces(self, item,
                      (quilt_line){ .part = QUILT_PART_CORNER,
                                    .piece_width = corner,
                                    .piece_height = corner,
                                    .pieces = 2,
                                    .parts = 2,
                                    .covers_twice = 2 * outer * outer },
                      false);
}

/* Straight: sides first, then top and bottom over them. */
static void add_border(const work *self, int border)
{
    const quilt_frame_border *want = &self->frame->borders[border];
    quilt_extent in =
        border == 0 ? self->shop->sizes.body : self->shop->sizes.after[border - 1];
    length seam = 2 * self->frame->seam, b = want->width;
    quilt_line sides = { .part = QUILT_PART_BORDER,
                         .border = border + 1,
                         .piece_height = b + seam,
                         .pieces = 2 };
    quilt_line ends = sides;
    if (want->mitred) {
        length extra = self->buying->mitre_extra;
        sides.piece_width = quilt_mitred(in.height, b, extra);
        ends.piece_width = quilt_mitred(in.width, b, extra);
        sides.covers_twice = 4 * (int64_t)b * (in.height + b);
        ends.covers_twice = 4 * (int64_t)b * (in.width + b);
    } else {
        sides.piece_width = in.height + seam;
        ends.piece_width = in.width + 2 * b + seam;
        sides.covers_twice = 4 * (int64_t)b * in.height;
        ends.covers_twice = 4 * (int64_t)b * (in.width + 2 * b);
    }
    add_strips(self, self->roles[want->role], sides, ends);
}

static gboolean add_binding(const work *self, quilt_item *item)
{
    const quilt_buying *buying = self->buying;
    quilt_binding *binding = &self->shop->binding;
    length w = buying->binding, cloth = item->cloth_width;
    if (w >= cloth)
        return too_wide(self, QUILT_PART_BINDING, w, cloth);
    binding->length_need =
        quilt_binding_length(self->shop->sizes.finished, buying->binding_extra);
    quilt_line line = { .part = QUILT_PART_BINDING,
                        .pieces = 1,
                        .parts = 1,
                        .piece_width = binding->length_need,
                        .piece_height = w,
                        .strip_length = cloth,
                        .joined = true };
    if (buying->binding_bias) {
        /* A square, or where that is wider than the cloth as much in area of its full
         * width; either is sewn to a tube and cut round and round. */
        length square = quilt_bias_square(binding->length_need, w);
        int64_t area = (int64_t)binding->length_need * w;
        binding->bias_square = square;
        line.bias = true;
        line.strips = 1;
        line.strip_length = MIN(square, cloth);
        line.strip_width =
            square <= cloth
                ? square
                : length_ceil((length)quilt_divide_up(area, cloth), LENGTH_INCH);
    } else {
        binding->strips = quilt_binding_strips(binding->length_need, cloth, w);
        binding->strips_simple = (int)quilt_divide_up(binding->length_need, cloth);
        line.strips = binding->strips;
        line.strip_width = w;
    }
    add_line(item, line);
    return TRUE;
}

static gboolean add_backing(const work *self, quilt_item *item)
{
    const quilt_buying *buying = self->buying;
    quilt_extent all = self->shop->sizes.finished;
    all.width += 2 * buying->backing_margin;
    all.height += 2 * buying->backing_margin;
    if (2 * buying->backing_seam >= item->cloth_width)
        return too_wide(self, QUILT_PART_BACKING, 2 * buying->backing_seam,
                        item->cloth_width);
    quilt_backing backing =
        quilt_backing_of(all, item->cloth_width, buying->backing_seam);
    self->shop->backing = backing;
    add_line(item, (quilt_line){ .part = QUILT_PART_BACKING,
                                 .strip_width = backing.panel_length,
                                 .strip_length = item->cloth_width,
                                 .strips = backing.panels,
                                 .per_strip = 1,
                                 .piece_width = item->cloth_width,
                                 .piece_height = backing.panel_length,
                                 .pieces = backing.panels,
                                 .parts = 1 });
    return TRUE;
}

/* A little shorter than the quilt is wide; two tubes behind a wide one. */
static void add_sleeve(const work *self, quilt_item *item)
{
    length width = self->shop->sizes.finished.width;
    int pieces = width > 90 * LENGTH_INCH ? 2 : 1;
    add_strips(
        self, item,
        (quilt_line){ .part = QUILT_PART_SLEEVE,
                      .piece_width = MAX(width - LENGTH_INCH, LENGTH_INCH) / pieces,
                      .piece_height = quilt_sleeve_cut(self->buying->sleeve),
                      .pieces = pieces },
        (quilt_line){ 0 });
}

static gboolean finish_item(const work *self, quilt_item *item)
{
    const quilt_buying *buying = self->buying;
    int64_t at = quilt_cloth_lay(item, buying->use_ends);
    int64_t need = quilt_divide_up(at * 1000, 1000 - buying->shrink);
    need = quilt_divide_up(need * (1000 + buying->share), 1000) + buying->overage;
    if (need > LENGTH_MAX - LENGTH_YARD) {
        g_set_error(self->error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_SIZE,
                    "the %s alone would take over a kilometre of cloth",
                    quilt_item_name(item));
        return FALSE;
    }
    item->cut_length = (length)at;
    item->length_need = (length)need;
    item->buy_yards = length_ceil(item->length_need, LENGTH_YARD / 8);
    item->buy_metres = length_ceil(item->length_need, 5 * LENGTH_CM);
    return TRUE;
}

static gboolean check_buying(const quilt_buying *buying, GError **error)
{
    const char *wrong = NULL;
    if (buying->cloth <= 0 || buying->cloth > 10 * LENGTH_M ||
        buying->backing_cloth <= 0 || buying->backing_cloth > 10 * LENGTH_M)
        wrong = "the width of a fabric is above 0 and up to 10 m";
    else if (buying->step <= 0 || buying->step > LENGTH_INCH)
        wrong = "cuts are rounded up to a step above 0 and up to 1 in";
    else if (buying->shrink < 0 || buying->shrink >= 500 || buying->share < 0 ||
             buying->share >= 500)
        wrong = "shrinkage and safety share are 0 to under 50 per cent";
    else if (buying->overage < 0 || buying->overage > 100 * LENGTH_M)
        wrong = "what is bought over is 0 to 100 m";
    else if (buying->binding < 0 || buying->binding > LENGTH_M ||
             buying->binding_extra < 0 || buying->binding_extra > 10 * LENGTH_M)
        wrong = "binding is 0 to 1 m wide, with 0 to 10 m to spare";
    else if (buying->backing_margin < 0 || buying->backing_margin > LENGTH_M ||
             buying->batting_margin < 0 || buying->batting_margin > LENGTH_M)
        wrong = "backing and batting reach 0 to 1 m beyond the top";
    else if (buying->backing_seam < 0 || buying->backing_seam > LENGTH_M)
        wrong = "a backing seam is 0 to 1 m";
    else if (buying->sleeve < 0 || buying->sleeve > LENGTH_M)
        wrong = "a sleeve is 0 to 1 m high";
    else if (buying->mitre_extra < 0 || buying->mitre_extra > LENGTH_M)
        wrong = "a mitred border has 0 to 1 m to spare";
    if (wrong == NULL)
        return TRUE;
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_MEASURE, wrong);
    return FALSE;
}

/* Everything of the top: it is cut from the cloth of the roles. */
static gboolean add_top(const work *self, const quilt_design *design,
                        const quilt_layout *layout)
{
    const quilt_frame *frame = self->frame;
    if (!add_blocks(self, design, layout) || !add_triangles(self))
        return FALSE;
    if (frame->sash > 0) {
        if (self->buying->cloth <= 2 * frame->seam)
            return too_wide(self, QUILT_PART_SASH, 2 * frame->seam, self->buying->cloth);
        if (!(frame->on_point ? add_sashes_on_point(self) : add_sashes_straight(self)))
            return FALSE;
    }
    if (frame->on_point && !add_setting(self))
        return FALSE;
    if (frame->border_count > 0 && self->buying->cloth <= 2 * frame->seam)
        return too_wide(self, QUILT_PART_BORDER, 2 * frame->seam, self->buying->cloth);
    for (int i = 0; i < frame->border_count; i++)
        add_border(self, i);
    return TRUE;
}

/* Everything behind and around the top, each a cloth of its own. */
static gboolean add_finish(const work *self, quilt_item items[static 3])
{
    const quilt_buying *buying = self->buying;
    quilt_shopping *shop = self->shop;
    items[0] = (quilt_item){ .use = QUILT_USE_BINDING, .cloth_width = buying->cloth };
    items[1] =
        (quilt_item){ .use = QUILT_USE_BACKING, .cloth_width = buying->backing_cloth };
    items[2] = (quilt_item){ .use = QUILT_USE_SLEEVE, .cloth_width = buying->cloth };
    if (buying->binding > 0 && !add_binding(self, &items[0]))
        return FALSE;
    if (buying->backing && !add_backing(self, &items[1]))
        return FALSE;
    if (buying->sleeve > 0) {
        if (buying->cloth <= 2 * self->frame->seam)
            return too_wide(self, QUILT_PART_SLEEVE, 2 * self->frame->seam,
                            buying->cloth);
        add_sleeve(self, &items[2]);
    }
    if (buying->batting)
        shop->batting = quilt_batting_of(
            (quilt_extent){ shop->sizes.finished.width + 2 * buying->batting_margin,
                            shop->sizes.finished.height + 2 * buying->batting_margin });
    return TRUE;
}

gboolean quilt_shopping_make(const quilt_design *design, const quilt_layout *layout,
                             const quilt_frame *frame, const quilt_buying *buying,
                             quilt_shopping *ret, GError **error)
{
    quilt_shopping shop = { 0 };
    if (!check_buying(buying, error) || !quilt_frame_sizes(frame, &shop.sizes, error))
        return FALSE;
    quilt_layout_count(design, layout, &shop.count);

    quilt_item items[QUILT_ITEMS_MAX] = { 0 };
    work self = { frame, buying, &shop, { NULL }, error };
    for (int role = 0; role < QUILT_ROLES; role++) {
        items[role] = (quilt_item){ .use = QUILT_USE_ROLE,
                                    .role = (quilt_role)role,
                                    .cloth_width = buying->cloth };
        self.roles[role] = &items[role];
    }
    if (!add_top(&self, design, layout) || !add_finish(&self, &items[QUILT_ROLES]))
        return FALSE;
    for (int i = 0; i < QUILT_ITEMS_MAX; i++) {
        if (items[i].line_count == 0)
            continue;
        if (!finish_item(&self, &items[i]))
            return FALSE;
        shop.items[shop.item_count++] = items[i];
    }
    *ret = shop;
    return TRUE;
}
