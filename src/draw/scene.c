#include "draw/scene-internal.h"

const char *const draw_ink_names[DRAW_INKS] = {
    "",     "paper",  "raised", "ink",    "quiet",  "thread", "line",   "ask",
    "stop", "tint-0", "tint-1", "tint-2", "tint-3", "tint-4", "tint-5", "",
};

const colour_srgb8 draw_ink_screen[DRAW_INKS] = {
    [DRAW_PAPER] = { 0xfb, 0xf8, 0xf3 },  [DRAW_RAISED] = { 0xff, 0xff, 0xff },
    [DRAW_INK] = { 0x24, 0x21, 0x1d },    [DRAW_QUIET] = { 0x5d, 0x57, 0x4e },
    [DRAW_THREAD] = { 0x2c, 0x4a, 0x80 }, [DRAW_LINE] = { 0xd9, 0xd2, 0xc6 },
    [DRAW_ASK] = { 0x8a, 0x5a, 0x00 },    [DRAW_STOP] = { 0x9b, 0x2c, 0x2c },
    [DRAW_TINT_0] = { 0xff, 0xff, 0xff }, [DRAW_TINT_1] = { 0xe9, 0xe5, 0xdd },
    [DRAW_TINT_2] = { 0xcf, 0xc9, 0xbe }, [DRAW_TINT_3] = { 0xb0, 0xa8, 0x9b },
    [DRAW_TINT_4] = { 0x8b, 0x83, 0x76 }, [DRAW_TINT_5] = { 0x62, 0x5b, 0x50 },
};

/* Those of ui/style/page.css; the greys go from its raised surface towards its ink. */
const colour_srgb8 draw_ink_dark[DRAW_INKS] = {
    [DRAW_PAPER] = { 0x1c, 0x1a, 0x18 },  [DRAW_RAISED] = { 0x26, 0x23, 0x20 },
    [DRAW_INK] = { 0xf0, 0xea, 0xe0 },    [DRAW_QUIET] = { 0xb9, 0xb1, 0xa4 },
    [DRAW_THREAD] = { 0xa9, 0xc1, 0xee }, [DRAW_LINE] = { 0x41, 0x3c, 0x36 },
    [DRAW_ASK] = { 0xf0, 0xc3, 0x6a },    [DRAW_STOP] = { 0xf2, 0xa3, 0xa0 },
    [DRAW_TINT_0] = { 0x26, 0x23, 0x20 }, [DRAW_TINT_1] = { 0x36, 0x32, 0x2d },
    [DRAW_TINT_2] = { 0x4a, 0x45, 0x3e }, [DRAW_TINT_3] = { 0x61, 0x5b, 0x52 },
    [DRAW_TINT_4] = { 0x7f, 0x78, 0x6d }, [DRAW_TINT_5] = { 0xa6, 0x9e, 0x92 },
};

const colour_srgb8 draw_ink_print[DRAW_INKS] = {
    [DRAW_PAPER] = { 0xff, 0xff, 0xff },  [DRAW_RAISED] = { 0xff, 0xff, 0xff },
    [DRAW_INK] = { 0x00, 0x00, 0x00 },    [DRAW_QUIET] = { 0x40, 0x40, 0x40 },
    [DRAW_THREAD] = { 0x00, 0x00, 0x00 }, [DRAW_LINE] = { 0xa0, 0xa0, 0xa0 },
    [DRAW_ASK] = { 0x00, 0x00, 0x00 },    [DRAW_STOP] = { 0x00, 0x00, 0x00 },
    [DRAW_TINT_0] = { 0xff, 0xff, 0xff }, [DRAW_TINT_1] = { 0xe8, 0xe8, 0xe8 },
    [DRAW_TINT_2] = { 0xcc, 0xcc, 0xcc }, [DRAW_TINT_3] = { 0xaa, 0xaa, 0xaa },
    [DRAW_TINT_4] = { 0x84, 0x84, 0x84 }, [DRAW_TINT_5] = { 0x58, 0x58, 0x58 },
};

bool draw_stitch_dashes(draw_stitch stitch, double width, double ret_dashes[static 2])
{
    switch (stitch) {
    case DRAW_RUNNING:
    case DRAW_OPEN: /* 7 and 5 to a width of 2, as on the page */
        ret_dashes[0] = 3.5 * width;
        ret_dashes[1] = 2.5 * width;
        return true;
    case DRAW_DOTTED: /* round caps make a dot of nothing */
        ret_dashes[0] = 0;
        ret_dashes[1] = 2.5 * width;
        return true;
    case DRAW_SOLID:
        break;
    }
    return false;
}

static void clear_item(gpointer data)
{
    draw_item *item = data;
    switch (item->what) {
    case DRAW_ITEM_TEXT:
        g_free(item->text.text);
        break;
    case DRAW_ITEM_PICTURE:
    case DRAW_ITEM_CLOTH:
        draw_picture_unref(item->picture.picture);
        break;
    case DRAW_ITEM_GROUP_BEGIN:
        g_free(item->group.attributes);
        break;
    case DRAW_ITEM_PATH:
    case DRAW_ITEM_PLACE:
    case DRAW_ITEM_GROUP_END:
        break;
    }
}

static void clear_part(gpointer data)
{
    g_array_unref(((draw_sheet_part *)data)->items);
}

static GArray *new_parts(void)
{
    GArray *parts = g_array_new(FALSE, FALSE, sizeof(draw_sheet_part));
    g_array_set_clear_func(parts, clear_part);
    return parts;
}

static int add_part(GArray *parts, length width, length height)
{
    g_assert(width > 0 && height > 0);
    draw_sheet_part part = { .width = width, .height = height };
    part.items = g_array_new(FALSE, FALSE, sizeof(draw_item));
    g_array_set_clear_func(part.items, clear_item);
    g_array_append_val(parts, part);
    return (int)parts->len - 1;
}

draw_scene *draw_scene_new(const char *title)
{
    draw_scene *self = g_new0(draw_scene, 1);
    self->title = draw_text_fractions(title == NULL ? "" : title);
    self->pages = new_parts();
    self->symbols = new_parts();
    self->points = g_array_new(FALSE, FALSE, sizeof(draw_point));
    self->rings = g_array_new(FALSE, FALSE, sizeof(int));
    self->page = self->symbol = -1;
    return self;
}

void draw_scene_free(draw_scene *self)
{
    if (self == NULL)
        return;
    g_free(self->title);
    g_array_unref(self->pages);
    g_array_unref(self->symbols);
    g_array_unref(self->points);
    g_array_unref(self->rings);
    g_free(self);
}

int draw_scene_add_page(draw_scene *self, length width, length height)
{
    g_assert(self->symbol < 0);
    return self->page = add_part(self->pages, width, height);
}

void draw_scene_turn_to(draw_scene *self, int page)
{
    g_assert(page >= 0 && (guint)page < self->pages->len);
    self->page = page;
}

int draw_scene_pages(const draw_scene *self)
{
    return (int)self->pages->len;
}

length draw_scene_width(const draw_scene *self, int page)
{
    return draw_scene_page(self, page)->width;
}

length draw_scene_height(const draw_scene *self, int page)
{
    return draw_scene_page(self, page)->height;
}

static void record(draw_scene *self, const draw_item *item)
{
    GArray *items;
    if (self->symbol >= 0)
        items = g_array_index(self->symbols, draw_sheet_part, self->symbol).items;
    else
        items = draw_scene_page(self, self->page)->items;
    g_array_append_vals(items, item, 1);
}

static void record_path(draw_scene *self, const draw_style *style, bool open, int rings,
                        const int counts[], const draw_point points[])
{
    draw_item item = {
        .what = DRAW_ITEM_PATH,
        .path = { .style = *style,
                  .first_ring = self->rings->len,
                  .rings = (guint)rings,
                  .first_point = self->points->len,
                  .open = open },
    };
    guint all = 0;
    for (int i = 0; i < rings; i++) {
        g_assert(counts[i] >= 2);
        all += (guint)counts[i];
    }
    g_array_append_vals(self->rings, counts, (guint)rings);
    g_array_append_vals(self->points, points, all);
    record(self, &item);
}

void draw_scene_polygon(draw_scene *self, const draw_style *style, int count,
                        const draw_point points[count])
{
    record_path(self, style, false, 1, &count, points);
}

void draw_scene_rings(draw_scene *self, const draw_style *style, int rings,
                      const int counts[], const draw_point points[])
{
    if (rings > 0)
        record_path(self, style, false, rings, counts, points);
}

void draw_scene_rect(draw_scene *self, const draw_style *style, length x, length y,
                     length width, length height)
{
    const draw_point corners[4] = {
        { x, y }, { x + width, y }, { x + width, y + height }, { x, y + height }
    };
    draw_scene_polygon(self, style, 4, corners);
}

void draw_scene_polyline(draw_scene *self, const draw_style *style, int count,
                         const draw_point points[count])
{
    record_path(self, style, true, 1, &count, points);
}

void draw_scene_line(draw_scene *self, const draw_style *style, length x1, length y1,
                     length x2, length y2)
{
    const draw_point ends[2] = { { x1, y1 }, { x2, y2 } };
    draw_scene_polyline(self, style, 2, ends);
}

void draw_scene_text(draw_scene *self, const draw_text_style *style, length x, length y,
                     const char *text)
{
    if (text == NULL || *text == '\0')
        return;
    draw_item item = {
        .what = DRAW_ITEM_TEXT,
        .text = { .style = *style, .x = x, .y = y, .text = draw_text_fractions(text) },
    };
    if (item.text.style.ink == DRAW_NONE)
        item.text.style.ink = DRAW_INK;
    record(self, &item);
}

static void record_picture(draw_scene *self, draw_item *item, int count,
                           const draw_point outline[])
{
    item->picture.first_point = self->points->len;
    item->picture.points = (guint)count;
    if (count > 0)
        g_array_append_vals(self->points, outline, (guint)count);
    record(self, item);
}

void draw_scene_picture(draw_scene *self, draw_picture *picture,
                        const draw_point corners[static 3], int count,
                        const draw_point outline[])
{
    draw_item item = {
        .what = DRAW_ITEM_PICTURE,
        .picture = { .picture = draw_picture_ref(picture),
                     .corner = { corners[0], corners[1], corners[2] } },
    };
    record_picture(self, &item, count, outline);
}

void draw_scene_cloth(draw_scene *self, draw_picture *picture, draw_point origin,
                      length width, int count, const draw_point outline[])
{
    g_assert(width > 0 && count >= 3);
    draw_item item = {
        .what = DRAW_ITEM_CLOTH,
        .picture = { .picture = draw_picture_ref(picture),
                     .corner = { origin, { origin.x + width, origin.y } } },
    };
    record_picture(self, &item, count, outline);
}

int draw_scene_symbol_begin(draw_scene *self, length width, length height)
{
    g_assert(self->symbol < 0);
    return self->symbol = add_part(self->symbols, width, height);
}

void draw_scene_symbol_end(draw_scene *self)
{
    g_assert(self->symbol >= 0);
    self->symbol = -1;
}

void draw_scene_place(draw_scene *self, int symbol, length x, length y, length width,
                      int turns)
{
    /* A symbol within itself would never end. */
    g_assert(symbol >= 0 && (guint)symbol < self->symbols->len && width > 0);
    g_assert(self->symbol < 0 || symbol < self->symbol);
    draw_item item = {
        .what = DRAW_ITEM_PLACE,
        .place = { .symbol = symbol, .turns = turns & 3, .x = x, .y = y, .width = width },
    };
    record(self, &item);
}

void draw_scene_group_begin(draw_scene *self, const char *attributes, bool hidden)
{
    draw_item item = {
        .what = DRAW_ITEM_GROUP_BEGIN,
        .group = { .attributes = g_strdup(attributes), .hidden = hidden },
    };
    record(self, &item);
}

void draw_scene_group_end(draw_scene *self)
{
    draw_item item = { .what = DRAW_ITEM_GROUP_END };
    record(self, &item);
}
