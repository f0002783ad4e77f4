/* Scenes as SVG for the page. */
#include "draw/scene-internal.h"

#include <math.h>
#include <string.h>

/* Ids begin with this byte until the digest of the drawing is known. */
#define ID_MARK "\x01"

typedef struct writer {
    const draw_scene *scene;
    GString *body;
    GString *defs;
    GString *style;     /* of the group that is open; "" when none is */
    GHashTable *images; /* draw_picture -> number + 1 */
    GHashTable *cloths; /* what a pattern is -> number + 1 */
    bool hatch[DRAW_HATCHES];
    int next_clip;
} writer;

/* 96 px are 8128, so an eighth of an inch is 12 px exactly; two digits are 3 micrometres.
 * Most of a drawing is such numbers, so they are written digit by digit from the end. */
static void put_px(GString *out, double x)
{
    gint64 hundredths = (gint64)floor(x * 9600 / 8128 + 0.5);
    guint64 whole = (guint64)ABS(hundredths) / 100;
    int fraction = (int)(ABS(hundredths) % 100);
    char text[24], *end = text + sizeof text, *at = end;
    if (fraction % 10 != 0)
        *--at = (char)('0' + fraction % 10);
    if (fraction != 0) {
        *--at = (char)('0' + fraction / 10);
        *--at = '.';
    }
    do
        *--at = (char)('0' + whole % 10);
    while ((whole /= 10) > 0);
    if (hundredths < 0)
        *--at = '-';
    g_string_append_len(out, at, end - at);
}

static void put_pair(GString *out, length x, length y)
{
    put_px(out, x);
    g_string_append_c(out, ' ');
    put_px(out, y);
}

static void put_attribute(GString *out, const char *name, double x)
{
    g_string_append_printf(out, " %s=\"", name);
    put_px(out, x);
    g_string_append_c(out, '"');
}

static void put_paint(GString *out, const char *name, const draw_paint *paint)
{
    colour_srgb8 c =
        paint->ink == DRAW_COLOUR ? paint->colour : draw_ink_screen[paint->ink];
    if (paint->ink == DRAW_NONE)
        g_string_append_printf(out, " %s=\"none\"", name);
    else
        g_string_append_printf(out, " %s=\"#%02x%02x%02x\"", name, c.r, c.g, c.b);
}

static void put_class(GString *out, draw_ink fill, draw_ink line)
{
    const char *f = draw_ink_names[fill], *l = draw_ink_names[line];
    if (*f == '\0' && *l == '\0')
        return;
    g_string_append_printf(out, " class=\"%s%s%s%s%s\"", *f ? "fill-" : "", f,
                           *f && *l ? " " : "", *l ? "line-" : "", l);
}

/* ---- Groups of one style ---- */

static void close_style(writer *self)
{
    if (self->style->len > 0)
        g_string_append(self->body, "</g>\n");
    g_string_truncate(self->style, 0);
}

static void open_style(writer *self, const char *style)
{
    if (strcmp(self->style->str, style) == 0)
        return;
    close_style(self);
    g_string_append_printf(self->body, "<g%s>", style);
    g_string_assign(self->style, style);
}

/* ---- Items ---- */

static void put_ring(GString *out, int count, const draw_point points[count], bool open)
{
    g_string_append_c(out, 'M');
    put_pair(out, points[0].x, points[0].y);
    for (int i = 1; i < count; i++) {
        if (points[i].y == points[i - 1].y) {
            g_string_append_c(out, 'H');
            put_px(out, points[i].x);
        } else if (points[i].x == points[i - 1].x) {
            g_string_append_c(out, 'V');
            put_px(out, points[i].y);
        } else {
            g_string_append_c(out, 'L');
            put_pair(out, points[i].x, points[i].y);
        }
    }
    if (!open)
        g_string_append_c(out, 'z');
}

static void put_hatch_defs(writer *self, draw_hatch hatch)
{
    static const char *const turned[DRAW_HATCHES] = {
        [DRAW_HATCH_RISING] = " patternTransform=\"rotate(-45)\"",
        [DRAW_HATCH_FALLING] = " patternTransform=\"rotate(45)\"",
        [DRAW_HATCH_LATTICE] = " patternTransform=\"rotate(45)\"",
        [DRAW_HATCH_DOTS] = " patternTransform=\"rotate(45)\"",
    };
    if (self->hatch[hatch])
        return;
    self->hatch[hatch] = true;

    GString *out = self->defs;
    double p = DRAW_HATCH_PITCH;
    g_string_append_printf(
        out, "<pattern id=\"" ID_MARK "h%d\" patternUnits=\"userSpaceOnUse\"", hatch);
    put_attribute(out, "width", p);
    put_attribute(out, "height", p);
    g_string_append(out, turned[hatch] == NULL ? "" : turned[hatch]);
    g_string_append(out, "><path fill=\"none\"");
    put_class(out, DRAW_NONE, DRAW_INK);
    put_paint(out, "stroke", &(draw_paint){ .ink = DRAW_INK });
    put_attribute(out, "stroke-width",
                  hatch == DRAW_HATCH_DOTS ? 3 * DRAW_HATCH_WIDTH : DRAW_HATCH_WIDTH);
    if (hatch == DRAW_HATCH_DOTS)
        g_string_append(out, " stroke-linecap=\"round\"");
    g_string_append(out, " d=\"");
    if (hatch == DRAW_HATCH_DOTS) {
        g_string_append_c(out, 'M');
        put_pair(out, DRAW_HATCH_PITCH / 2, DRAW_HATCH_PITCH / 2);
        g_string_append(out, "h0.01");
    } else if (hatch != DRAW_HATCH_UPRIGHT) {
        g_string_append(out, "M0 ");
        put_px(out, p / 2);
        g_string_append_c(out, 'H');
        put_px(out, p);
    }
    if (hatch == DRAW_HATCH_UPRIGHT || hatch == DRAW_HATCH_LATTICE ||
        hatch == DRAW_HATCH_GRID) {
        g_string_append_c(out, 'M');
        put_px(out, p / 2);
        g_string_append(out, " 0V");
        put_px(out, p);
    }
    g_string_append(out, "\"/></pattern>\n");
}

static void put_path(writer *self, const draw_item *item)
{
    const draw_style *s = &item->path.style;
    g_autoptr(GString) d = g_string_new(NULL);
    const draw_point *points = draw_scene_points(self->scene, item->path.first_point);
    for (guint i = 0; i < item->path.rings; i++) {
        int count = g_array_index(self->scene->rings, int, item->path.first_ring + i);
        put_ring(d, count, points, item->path.open);
        points += count;
    }

    draw_paint none = { 0 };
    const draw_paint *fill = item->path.open ? &none : &s->fill;
    double width = s->width > 0 ? s->width : DRAW_HAIRLINE, dash[2];
    bool stitched = draw_stitch_dashes(s->stitch, width, dash);
    bool lined = s->line.ink != DRAW_NONE;
    /* The hatch lies on the fill and under the line. */
    bool apart = s->hatch != DRAW_HATCH_NONE && fill->ink != DRAW_NONE;

    for (int layer = 0; layer < 4; layer++) {
        g_autoptr(GString) style = g_string_new(NULL);
        bool filled = layer == 0 && fill->ink != DRAW_NONE;
        bool stroked = lined && layer == (apart ? 2 : 0);
        if (layer == 1 && s->hatch != DRAW_HATCH_NONE && !item->path.open) {
            put_hatch_defs(self, s->hatch);
            g_string_append_printf(style, " fill=\"url(#" ID_MARK "h%d)\"", s->hatch);
        } else if (layer == 3 && lined && s->stitch == DRAW_OPEN) {
            put_class(style, DRAW_NONE, DRAW_PAPER);
            g_string_append(style, " fill=\"none\"");
            put_paint(style, "stroke", &(draw_paint){ .ink = DRAW_PAPER });
            put_attribute(style, "stroke-width", width * DRAW_OPEN_HOLLOW);
        } else if (filled || stroked) {
            put_class(style, filled ? fill->ink : DRAW_NONE,
                      stroked ? s->line.ink : DRAW_NONE);
            put_paint(style, "fill", filled ? fill : &none);
            if (filled && item->path.rings > 1)
                g_string_append(style, " fill-rule=\"evenodd\"");
            if (stroked) {
                put_paint(style, "stroke", &s->line);
                put_attribute(style, "stroke-width", width);
            }
        } else {
            continue;
        }
        if (stitched && (stroked || layer == 3)) {
            g_string_append(style, " stroke-linecap=\"round\" stroke-dasharray=\"");
            put_px(style, dash[0]);
            g_string_append_c(style, ' ');
            put_px(style, dash[1]);
            g_string_append_c(style, '"');
        } else if (stroked && item->path.open) {
            g_string_append(style, " stroke-linecap=\"round\"");
        }
        open_style(self, style->str);
        g_string_append_printf(self->body, "<path d=\"%s\"/>", d->str);
    }
}

static void put_text(writer *self, const draw_item *item)
{
    static const char *const anchor[] = { "", " text-anchor=\"middle\"",
                                          " text-anchor=\"end\"" };
    const draw_text_style *s = &item->text.style;
    g_autoptr(GString) style = g_string_new(NULL);
    put_class(style, s->ink, DRAW_NONE);
    put_paint(style, "fill", &(draw_paint){ .ink = s->ink });
    put_attribute(style, "font-size", s->size);
    g_string_append(style, s->bold ? " font-weight=\"700\"" : "");
    g_string_append(style, anchor[s->align]);
    open_style(self, style->str);
    g_string_append(self->body, "<text");
    put_attribute(self->body, "x", item->text.x);
    put_attribute(self->body, "y", item->text.y);
    g_autofree char *text = g_markup_escape_text(item->text.text, -1);
    g_string_append_printf(self->body, ">%s</text>", text);
}

/* The picture as a unit square in the defs, once however often it is laid. */
static int image_number(writer *self, draw_picture *picture)
{
    int number = GPOINTER_TO_INT(g_hash_table_lookup(self->images, picture)) - 1;
    if (number >= 0)
        return number;
    number = (int)g_hash_table_size(self->images);
    g_hash_table_insert(self->images, picture, GINT_TO_POINTER(number + 1));

    g_string_append_printf(self->defs,
                           "<image id=\"" ID_MARK "i%d\" width=\"1\" height=\"1\" "
                           "preserveAspectRatio=\"none\" href=\"",
                           number);
    if (draw_picture_href(picture) != NULL) {
        g_autofree char *href = g_markup_escape_text(draw_picture_href(picture), -1);
        g_string_append(self->defs, href);
    } else {
        gsize size;
        const guchar *bytes = g_bytes_get_data(draw_picture_bytes(picture), &size);
        g_autofree char *base64 = g_base64_encode(bytes, size);
        g_string_append_printf(self->defs, "data:image/%s;base64,%s",
                               draw_picture_is_jpeg(picture) ? "jpeg" : "png", base64);
    }
    g_string_append(self->defs, "\"/>\n");
    return number;
}

static void put_picture(writer *self, const draw_item *item)
{
    int number = image_number(self, item->picture.picture);
    const draw_point *c = item->picture.corner;
    close_style(self);
    if (item->picture.points > 0) {
        int clip = self->next_clip++;
        g_string_append_printf(self->defs, "<clipPath id=\"" ID_MARK "c%d\"><path d=\"",
                               clip);
        put_ring(self->defs, (int)item->picture.points,
                 draw_scene_points(self->scene, item->picture.first_point), false);
        g_string_append(self->defs, "\"/></clipPath>\n");
        g_string_append_printf(self->body, "<g clip-path=\"url(#" ID_MARK "c%d)\">",
                               clip);
    }
    g_string_append_printf(self->body,
                           "<use href=\"#" ID_MARK "i%d\" transform=\"matrix(", number);
    put_pair(self->body, c[1].x - c[0].x, c[1].y - c[0].y);
    g_string_append_c(self->body, ' ');
    put_pair(self->body, c[2].x - c[0].x, c[2].y - c[0].y);
    g_string_append_c(self->body, ' ');
    put_pair(self->body, c[0].x, c[0].y);
    g_string_append(self->body, item->picture.points > 0 ? ")\"/></g>" : ")\"/>");
}

/* Cloth of one picture laid the same way is one pattern, however many pieces show it. */
static int cloth_number(writer *self, const draw_item *item)
{
    const draw_point *c = item->picture.corner;
    double width = c[1].x - c[0].x;
    double height = width * draw_picture_height_px(item->picture.picture) /
                    draw_picture_width_px(item->picture.picture);
    int image = image_number(self, item->picture.picture);
    GString *out = g_string_new(" patternUnits=\"userSpaceOnUse\"");
    put_attribute(out, "x", c[0].x);
    put_attribute(out, "y", c[0].y);
    put_attribute(out, "width", width);
    put_attribute(out, "height", height);
    g_string_append_printf(out, "><use href=\"#" ID_MARK "i%d\" transform=\"scale(",
                           image);
    put_px(out, width);
    g_string_append_c(out, ' ');
    put_px(out, height);
    g_string_append(out, ")\"/></pattern>\n");

    int number = GPOINTER_TO_INT(g_hash_table_lookup(self->cloths, out->str)) - 1;
    if (number >= 0) {
        g_string_free(out, TRUE);
        return number;
    }
    number = (int)g_hash_table_size(self->cloths);
    g_string_append_printf(self->defs, "<pattern id=\"" ID_MARK "t%d\"%s", number,
                           out->str);
    g_hash_table_insert(self->cloths, g_string_free(out, FALSE),
                        GINT_TO_POINTER(number + 1));
    return number;
}

static void put_cloth(writer *self, const draw_item *item)
{
    g_autofree char *style =
        g_strdup_printf(" fill=\"url(#" ID_MARK "t%d)\"", cloth_number(self, item));
    open_style(self, style);
    g_string_append(self->body, "<path d=\"");
    put_ring(self->body, (int)item->picture.points,
             draw_scene_points(self->scene, item->picture.first_point), false);
    g_string_append(self->body, "\"/>");
}

static void put_place(writer *self, const draw_item *item)
{
    static const int quarter[4] = { 0, 90, 180, 270 };
    const draw_sheet_part *part =
        &g_array_index(self->scene->symbols, draw_sheet_part, item->place.symbol);
    int turns = item->place.turns;
    bool aside = turns & 1;
    length seen = aside ? part->height : part->width; /* its own side that lies across */
    double scale = (double)item->place.width / seen;
    double high = (aside ? part->width : part->height) * scale;

    close_style(self);
    g_string_append_printf(self->body, "<use href=\"#" ID_MARK "s%d\"",
                           item->place.symbol);
    if (turns == 0 && item->place.width == seen) {
        put_attribute(self->body, "x", item->place.x);
        put_attribute(self->body, "y", item->place.y);
    } else {
        g_string_append(self->body, " transform=\"translate(");
        put_px(self->body,
               item->place.x + (turns == 1 || turns == 2 ? item->place.width : 0));
        g_string_append_c(self->body, ' ');
        put_px(self->body, item->place.y + (turns >= 2 ? high : 0));
        g_string_append_c(self->body, ')');
        if (turns != 0)
            g_string_append_printf(self->body, "rotate(%d)", quarter[turns]);
        if (item->place.width != seen) {
            char number[G_ASCII_DTOSTR_BUF_SIZE];
            g_string_append_printf(self->body, "scale(%s)",
                                   g_ascii_formatd(number, sizeof number, "%.5g", scale));
        }
        g_string_append_c(self->body, '"');
    }
    g_string_append(self->body, "/>");
}

static void put_items(writer *self, const GArray *items)
{
    for (guint i = 0; i < items->len; i++) {
        const draw_item *item = &g_array_index(items, draw_item, i);
        switch (item->what) {
        case DRAW_ITEM_PATH:
            put_path(self, item);
            break;
        case DRAW_ITEM_TEXT:
            put_text(self, item);
            break;
        case DRAW_ITEM_PICTURE:
            put_picture(self, item);
            break;
        case DRAW_ITEM_CLOTH:
            put_cloth(self, item);
            break;
        case DRAW_ITEM_PLACE:
            put_place(self, item);
            break;
        case DRAW_ITEM_GROUP_BEGIN:
            close_style(self);
            g_string_append_printf(self->body, "<g %s%s>", item->group.attributes,
                                   item->group.hidden ? " visibility=\"hidden\"" : "");
            break;
        case DRAW_ITEM_GROUP_END:
            close_style(self);
            g_string_append(self->body, "</g>\n");
            break;
        }
    }
    close_style(self);
}

/* Marks which symbols the items use, and those that these use. */
static void mark_symbols(const draw_scene *scene, const GArray *items, bool used[])
{
    for (guint i = 0; i < items->len; i++) {
        const draw_item *item = &g_array_index(items, draw_item, i);
        if (item->what != DRAW_ITEM_PLACE || used[item->place.symbol])
            continue;
        used[item->place.symbol] = true;
        mark_symbols(
            scene,
            g_array_index(scene->symbols, draw_sheet_part, item->place.symbol).items,
            used);
    }
}

static char *join_with_ids(const GString *head, const GString *defs, const GString *body,
                           gsize *ret_size)
{
    g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
    g_checksum_update(sum, (const guchar *)defs->str, (gssize)defs->len);
    g_checksum_update(sum, (const guchar *)body->str, (gssize)body->len);
    char id[16];
    g_snprintf(id, sizeof id, "m%.6s", g_checksum_get_string(sum));

    GString *out = g_string_sized_new(head->len + defs->len + body->len + 1024);
    g_string_append_len(out, head->str, (gssize)head->len);
    const GString *const parts[2] = { defs, body };
    for (int i = 0; i < 2; i++) {
        if (i == 0 && defs->len > 0)
            g_string_append(out, "<defs>\n");
        for (const char *p = parts[i]->str, *mark; p != NULL; p = mark) {
            mark = strchr(p, ID_MARK[0]);
            g_string_append_len(out, p, mark == NULL ? -1 : mark - p);
            if (mark != NULL) {
                g_string_append(out, id);
                mark++;
            }
        }
        if (i == 0 && defs->len > 0)
            g_string_append(out, "</defs>\n");
    }
    g_string_append(out, "</svg>\n");
    *ret_size = out->len;
    return g_string_free(out, FALSE);
}

/* A picture in an img takes the scheme of the page from a media query of its own. */
static void put_dark_style(GString *out)
{
    g_string_append(out, "<style>@media(prefers-color-scheme:dark){");
    for (int ink = 0; ink < DRAW_INKS; ink++) {
        colour_srgb8 c = draw_ink_dark[ink];
        const char *name = draw_ink_names[ink];
        if (*name != '\0')
            g_string_append_printf(out,
                                   ".fill-%s{fill:#%02x%02x%02x}"
                                   ".line-%s{stroke:#%02x%02x%02x}",
                                   name, c.r, c.g, c.b, name, c.r, c.g, c.b);
    }
    g_string_append(out, "}</style>\n");
}

static GBytes *write_svg(const draw_scene *self, int page, bool dark)
{
    const draw_sheet_part *part = draw_scene_page(self, page);
    writer w = { .scene = self,
                 .body = g_string_new(NULL),
                 .defs = g_string_new(NULL),
                 .style = g_string_new(NULL),
                 .images = g_hash_table_new(NULL, NULL),
                 .cloths = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL) };

    /* Symbols first, in their order, so that each stands before those that place it. */
    g_autofree bool *used = g_new0(bool, self->symbols->len + 1);
    mark_symbols(self, part->items, used);
    g_autoptr(GString) symbols = g_string_new(NULL);
    for (guint i = 0; i < self->symbols->len; i++) {
        if (!used[i])
            continue;
        g_string_append_printf(symbols, "<g id=\"" ID_MARK "s%u\">\n", i);
        put_items(&w, g_array_index(self->symbols, draw_sheet_part, i).items);
        g_string_append_len(symbols, w.body->str, (gssize)w.body->len);
        g_string_append(symbols, "</g>\n");
        g_string_truncate(w.body, 0);
    }
    put_items(&w, part->items);
    g_string_append_len(w.defs, symbols->str, (gssize)symbols->len);

    g_autoptr(GString) head = g_string_new("<svg xmlns=\"http://www.w3.org/2000/svg\"");
    put_attribute(head, "width", part->width);
    put_attribute(head, "height", part->height);
    g_string_append(head, " viewBox=\"0 0 ");
    put_pair(head, part->width, part->height);
    g_autofree char *title = g_markup_escape_text(self->title, -1);
    g_string_append_printf(head,
                           "\" class=\"drawing\" role=\"img\" "
                           "font-family=\"" DRAW_FONT_FAMILY ", sans-serif\">\n"
                           "<title>%s</title>\n",
                           title);
    if (dark)
        put_dark_style(head);

    gsize size;
    char *text = join_with_ids(head, w.defs, w.body, &size);
    g_string_free(w.body, TRUE);
    g_string_free(w.defs, TRUE);
    g_string_free(w.style, TRUE);
    g_hash_table_unref(w.images);
    g_hash_table_unref(w.cloths);
    return g_bytes_new_take(text, size);
}

GBytes *draw_scene_svg(const draw_scene *self, int page)
{
    return write_svg(self, page, false);
}

GBytes *draw_scene_svg_on_page(const draw_scene *self, int page)
{
    return write_svg(self, page, true);
}
