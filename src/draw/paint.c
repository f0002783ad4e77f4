/* Scenes through cairo: PDF for paper, PNG to share. */
#include "base/error.h"
#include "draw/scene-internal.h"

#include <cairo-pdf.h>
#include <math.h>
#include <pango/pangocairo.h>

typedef struct painter {
    const draw_scene *scene;
    const colour_srgb8 *inks;
    cairo_t *cr;
    bool paper; /* PDF, else pixels */
    int hidden; /* groups deep */
} painter;

static void set_paint(const painter *self, const draw_paint *paint)
{
    colour_srgb8 c = paint->ink == DRAW_COLOUR ? paint->colour : self->inks[paint->ink];
    cairo_set_source_rgb(self->cr, c.r / 255.0, c.g / 255.0, c.b / 255.0);
}

static void trace_ring(cairo_t *cr, int count, const draw_point points[count], bool open)
{
    for (int i = 0; i < count; i++)
        cairo_line_to(cr, points[i].x, points[i].y);
    if (!open)
        cairo_close_path(cr);
}

/* ---- Hatches ---- */

/* Level lines over all of the clip, in a frame turned by so much; they lie where the
 * SVG's pattern has them. */
static void hatch_lines(cairo_t *cr, double angle)
{
    cairo_save(cr);
    cairo_rotate(cr, angle);
    double x1, y1, x2, y2, p = DRAW_HATCH_PITCH;
    cairo_clip_extents(cr, &x1, &y1, &x2, &y2);
    for (double y = (floor(y1 / p) + 0.5) * p; y < y2; y += p) {
        cairo_move_to(cr, x1, y);
        cairo_line_to(cr, x2, y);
    }
    cairo_restore(cr);
    cairo_stroke(cr);
}

static void hatch_dots(cairo_t *cr)
{
    cairo_save(cr);
    cairo_rotate(cr, G_PI / 4);
    double x1, y1, x2, y2, p = DRAW_HATCH_PITCH;
    cairo_clip_extents(cr, &x1, &y1, &x2, &y2);
    for (double y = (floor(y1 / p) + 0.5) * p; y < y2; y += p)
        for (double x = (floor(x1 / p) + 0.5) * p; x < x2; x += p) {
            cairo_move_to(cr, x, y);
            cairo_close_path(cr);
        }
    cairo_restore(cr);
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_width(cr, 3 * DRAW_HATCH_WIDTH);
    cairo_stroke(cr);
}

/* Before: the area is the current path. After: it still is. */
static void paint_hatch(const painter *self, draw_hatch hatch)
{
    cairo_t *cr = self->cr;
    cairo_path_t *path = cairo_copy_path(cr);
    cairo_save(cr);
    cairo_clip(cr);
    set_paint(self, &(draw_paint){ .ink = DRAW_INK });
    cairo_set_line_width(cr, DRAW_HATCH_WIDTH);
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_BUTT);
    if (hatch == DRAW_HATCH_DOTS)
        hatch_dots(cr);
    if (hatch == DRAW_HATCH_LEVEL || hatch == DRAW_HATCH_GRID)
        hatch_lines(cr, 0);
    if (hatch == DRAW_HATCH_UPRIGHT || hatch == DRAW_HATCH_GRID)
        hatch_lines(cr, G_PI / 2);
    if (hatch == DRAW_HATCH_RISING || hatch == DRAW_HATCH_LATTICE)
        hatch_lines(cr, -G_PI / 4);
    if (hatch == DRAW_HATCH_FALLING || hatch == DRAW_HATCH_LATTICE)
        hatch_lines(cr, G_PI / 4);
    cairo_restore(cr);
    cairo_append_path(cr, path);
    cairo_path_destroy(path);
}

/* ---- Items ---- */

static void paint_line(const painter *self, const draw_style *style, bool open)
{
    cairo_t *cr = self->cr;
    double width = style->width > 0 ? style->width : DRAW_HAIRLINE, dash[2];
    bool stitched = draw_stitch_dashes(style->stitch, width, dash);
    cairo_set_dash(cr, dash, stitched ? 2 : 0, 0);
    cairo_set_line_cap(cr, stitched || open ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
    cairo_set_line_width(cr, width);
    set_paint(self, &style->line);
    cairo_stroke_preserve(cr);
    if (style->stitch == DRAW_OPEN) {
        cairo_set_line_width(cr, width * DRAW_OPEN_HOLLOW);
        set_paint(self, &(draw_paint){ .ink = DRAW_PAPER });
        cairo_stroke_preserve(cr);
    }
    cairo_set_dash(cr, NULL, 0, 0);
}

static void paint_path(const painter *self, const draw_item *item)
{
    const draw_style *style = &item->path.style;
    const draw_point *points = draw_scene_points(self->scene, item->path.first_point);
    cairo_new_path(self->cr);
    for (guint i = 0; i < item->path.rings; i++) {
        int count = g_array_index(self->scene->rings, int, item->path.first_ring + i);
        cairo_new_sub_path(self->cr);
        trace_ring(self->cr, count, points, item->path.open);
        points += count;
    }
    if (!item->path.open && style->fill.ink != DRAW_NONE) {
        set_paint(self, &style->fill);
        cairo_fill_preserve(self->cr);
    }
    if (!item->path.open && style->hatch != DRAW_HATCH_NONE)
        paint_hatch(self, style->hatch);
    if (style->line.ink != DRAW_NONE)
        paint_line(self, style, item->path.open);
    cairo_new_path(self->cr);
}

static void paint_text(const painter *self, const draw_item *item)
{
    g_autoptr(PangoLayout) layout = draw_text_layout(&item->text.style, item->text.text);
    PangoLayoutLine *line = pango_layout_get_line_readonly(layout, 0);
    PangoRectangle box;
    pango_layout_line_get_extents(line, NULL, &box);
    static const double before[] = { 0, 0.5, 1 };
    double shift = before[item->text.style.align] * box.width / PANGO_SCALE;

    cairo_save(self->cr);
    cairo_translate(self->cr, item->text.x, item->text.y);
    cairo_scale(self->cr, 8128 / 72.0, 8128 / 72.0); /* layouts are in points */
    cairo_move_to(self->cr, -shift, 0);
    set_paint(self, &(draw_paint){ .ink = item->text.style.ink });
    pango_cairo_show_layout_line(self->cr, line);
    cairo_restore(self->cr);
    cairo_new_path(self->cr);
}

/* One repeat of the picture, or the one picture, in the current path. */
static void fill_with_picture(const painter *self, const draw_item *item, bool repeat)
{
    const draw_point *c = item->picture.corner;
    const draw_picture *picture = item->picture.picture;
    double w = draw_picture_width_px(picture), h = draw_picture_height_px(picture);
    cairo_matrix_t place;
    if (repeat) {
        double scale = (c[1].x - c[0].x) / w;
        cairo_matrix_init(&place, scale, 0, 0, scale, c[0].x, c[0].y);
    } else {
        cairo_matrix_init(&place, (c[1].x - c[0].x) / w, (c[1].y - c[0].y) / w,
                          (c[2].x - c[0].x) / h, (c[2].y - c[0].y) / h, c[0].x, c[0].y);
    }
    if (cairo_matrix_invert(&place) != CAIRO_STATUS_SUCCESS) {
        cairo_new_path(self->cr); /* laid on a line or a point: nothing to see */
        return;
    }
    cairo_pattern_t *pattern =
        cairo_pattern_create_for_surface(draw_picture_surface(picture));
    cairo_pattern_set_matrix(pattern, &place);
    /* PDF keeps one image for all uses only when it is not padded; pixels need the pad,
     * or their edges would fade. */
    cairo_extend_t single = self->paper ? CAIRO_EXTEND_NONE : CAIRO_EXTEND_PAD;
    cairo_pattern_set_extend(pattern, repeat ? CAIRO_EXTEND_REPEAT : single);
    cairo_set_source(self->cr, pattern);
    cairo_fill(self->cr);
    cairo_pattern_destroy(pattern);
}

static void paint_picture(const painter *self, const draw_item *item)
{
    const draw_point *c = item->picture.corner;
    cairo_new_path(self->cr);
    cairo_save(self->cr);
    if (item->picture.points > 0) {
        trace_ring(self->cr, (int)item->picture.points,
                   draw_scene_points(self->scene, item->picture.first_point), false);
        if (item->what == DRAW_ITEM_PICTURE)
            cairo_clip(self->cr);
    }
    if (item->what == DRAW_ITEM_PICTURE) {
        const draw_point all[4] = {
            c[0], c[1], { c[1].x + c[2].x - c[0].x, c[1].y + c[2].y - c[0].y }, c[2]
        };
        trace_ring(self->cr, 4, all, false);
    }
    fill_with_picture(self, item, item->what == DRAW_ITEM_CLOTH);
    cairo_restore(self->cr);
}

static void paint_items(painter *self, const GArray *items);

static void paint_place(painter *self, const draw_item *item)
{
    const draw_sheet_part *part =
        &g_array_index(self->scene->symbols, draw_sheet_part, item->place.symbol);
    int turns = item->place.turns;
    double seen = (turns & 1) ? part->height : part->width;
    double scale = item->place.width / seen;
    double high = ((turns & 1) ? part->width : part->height) * scale;

    cairo_save(self->cr);
    cairo_translate(self->cr,
                    item->place.x + (turns == 1 || turns == 2 ? item->place.width : 0),
                    item->place.y + (turns >= 2 ? high : 0));
    cairo_rotate(self->cr, turns * G_PI / 2);
    cairo_scale(self->cr, scale, scale);
    paint_items(self, part->items);
    cairo_restore(self->cr);
}

static void paint_items(painter *self, const GArray *items)
{
    for (guint i = 0; i < items->len; i++) {
        const draw_item *item = &g_array_index(items, draw_item, i);
        if (item->what == DRAW_ITEM_GROUP_BEGIN &&
            (item->group.hidden || self->hidden > 0)) {
            self->hidden++;
            continue;
        }
        if (self->hidden > 0) {
            self->hidden -= item->what == DRAW_ITEM_GROUP_END;
            continue;
        }
        switch (item->what) {
        case DRAW_ITEM_PATH:
            paint_path(self, item);
            break;
        case DRAW_ITEM_TEXT:
            paint_text(self, item);
            break;
        case DRAW_ITEM_PICTURE:
        case DRAW_ITEM_CLOTH:
            paint_picture(self, item);
            break;
        case DRAW_ITEM_PLACE:
            paint_place(self, item);
            break;
        case DRAW_ITEM_GROUP_BEGIN:
        case DRAW_ITEM_GROUP_END:
            break;
        }
    }
}

/* ---- Files ---- */

static cairo_status_t append(void *closure, const unsigned char *data, unsigned int size)
{
    g_byte_array_append(closure, data, size);
    return CAIRO_STATUS_SUCCESS;
}

static GBytes *finish(GByteArray *bytes, cairo_status_t status, GError **error)
{
    if (status == CAIRO_STATUS_SUCCESS)
        return g_byte_array_free_to_bytes(bytes);
    g_byte_array_unref(bytes);
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_DRAW_FAILED, "The drawing failed: %s.",
                cairo_status_to_string(status));
    return NULL;
}

GBytes *draw_scene_pdf(const draw_scene *self, GError **error)
{
    g_assert(self->pages->len > 0);
    GByteArray *bytes = g_byte_array_new();
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(append, bytes, 1, 1);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, self->title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Motley");
    painter p = {
        .scene = self, .inks = draw_ink_print, .paper = true, .cr = cairo_create(surface)
    };
    for (guint i = 0; i < self->pages->len; i++) {
        const draw_sheet_part *part = draw_scene_page(self, (int)i);
        cairo_pdf_surface_set_size(surface, part->width * 72.0 / 8128,
                                   part->height * 72.0 / 8128);
        cairo_save(p.cr);
        cairo_set_fill_rule(p.cr, CAIRO_FILL_RULE_EVEN_ODD);
        cairo_scale(p.cr, 72.0 / 8128, 72.0 / 8128);
        paint_items(&p, part->items);
        cairo_restore(p.cr);
        cairo_show_page(p.cr);
    }
    cairo_status_t status = cairo_status(p.cr);
    cairo_destroy(p.cr);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    return finish(bytes, status, error);
}

GBytes *draw_scene_png(const draw_scene *self, int page, int width_px, GError **error)
{
    const draw_sheet_part *part = draw_scene_page(self, page);
    g_assert(width_px >= 1 && width_px <= 16384);
    double scale = (double)width_px / part->width;
    double height_px = ceil(part->height * scale);
    if (height_px > 32767 || width_px * height_px > 64e6) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_DRAW_FAILED,
                    "A picture of %d x %.0f pixels is too large.", width_px, height_px);
        return NULL;
    }
    cairo_surface_t *surface =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, width_px, (int)height_px);
    painter p = { .scene = self, .inks = draw_ink_screen, .cr = cairo_create(surface) };
    set_paint(&p, &(draw_paint){ .ink = DRAW_PAPER });
    cairo_paint(p.cr);
    cairo_set_fill_rule(p.cr, CAIRO_FILL_RULE_EVEN_ODD);
    cairo_scale(p.cr, scale, scale);
    paint_items(&p, part->items);
    cairo_status_t status = cairo_status(p.cr);
    cairo_destroy(p.cr);
    GByteArray *bytes = g_byte_array_new();
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_write_to_png_stream(surface, append, bytes);
    cairo_surface_destroy(surface);
    return finish(bytes, status, error);
}
