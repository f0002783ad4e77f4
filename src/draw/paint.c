/* Scenes through cairo: PDF for paper, PNG to share. */
#include "base/error.h"
#include "draw/scene-internal.h"

#include <cairo-pdf.h>
#include <math.h>
#include <pango/pangocairo.h>
#include <png.h>
#include <stdlib.h>

typedef struct painter {
    const draw_scene *scene;
    const colour_srgb8 *inks;
    cairo_t *cr;
    bool paper; /* PDF, else pixels */
    /* In PDF each symbol is one form that is named wherever it is placed. Forms by
     * symbol, made when first placed; NULL while one is being made, and for pixels. */
    cairo_surface_t **forms;
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

/* The rings of a path, and room for where a line crosses them. Hatches are cut to the
 * area by reckoning: cairo 1.16 loses a clip in what is placed more than once. */
typedef struct hatch_area {
    guint rings;
    const int *counts;
    const draw_point *points;
    double *crossings; /* as many as there are points */
} hatch_area;

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Where the area is cut by the line y = level in a frame turned by the angle whose cosine
 * and sine are given: sorted x; inside lies between the first and the second, the third
 * and the fourth, and so on. Returns how many. */
static int cross(const hatch_area *area, double cosine, double sine, double level)
{
    int found = 0;
    const draw_point *ring = area->points;
    for (guint i = 0; i < area->rings; ring += area->counts[i], i++)
        for (int k = 0; k < area->counts[i]; k++) {
            const draw_point *a = &ring[k], *b = &ring[(k + 1) % area->counts[i]];
            double ya = a->y * cosine - a->x * sine, yb = b->y * cosine - b->x * sine;
            if ((ya <= level) == (yb <= level))
                continue;
            double xa = a->x * cosine + a->y * sine, xb = b->x * cosine + b->y * sine;
            area->crossings[found++] = xa + (xb - xa) * (level - ya) / (yb - ya);
        }
    qsort(area->crossings, (size_t)found, sizeof area->crossings[0], by_size);
    return found;
}

/* Lines, or rows of dots, over the area; they lie where the SVG's pattern has them. */
static void hatch_rows(cairo_t *cr, const hatch_area *area, double angle, bool dots)
{
    double cosine = cos(angle), sine = sin(angle), p = DRAW_HATCH_PITCH;
    double least = G_MAXDOUBLE, most = -G_MAXDOUBLE;
    const draw_point *point = area->points;
    for (guint i = 0; i < area->rings; i++)
        for (int k = 0; k < area->counts[i]; k++, point++) {
            double y = point->y * cosine - point->x * sine;
            least = MIN(least, y);
            most = MAX(most, y);
        }
    cairo_save(cr);
    cairo_rotate(cr, angle);
    for (double y = (floor(least / p) + 0.5) * p; y < most; y += p) {
        int crossings = cross(area, cosine, sine, y);
        for (int i = 0; i + 1 < crossings; i += 2) {
            double from = area->crossings[i], to = area->crossings[i + 1];
            if (!dots) {
                cairo_move_to(cr, from, y);
                cairo_line_to(cr, to, y);
                continue;
            }
            for (double x = (ceil(from / p - 0.5) + 0.5) * p; x < to; x += p) {
                cairo_move_to(cr, x, y);
                cairo_close_path(cr);
            }
        }
    }
    cairo_restore(cr);
    cairo_set_line_cap(cr, dots ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
    cairo_set_line_width(cr, dots ? 3 * DRAW_HATCH_WIDTH : DRAW_HATCH_WIDTH);
    cairo_stroke(cr);
}

/* Leaves no path. */
static void paint_hatch(const painter *self, const draw_item *item)
{
    draw_hatch hatch = item->path.style.hatch;
    hatch_area area = {
        .rings = item->path.rings,
        .counts = &g_array_index(self->scene->rings, int, item->path.first_ring),
        .points = draw_scene_points(self->scene, item->path.first_point),
    };
    int points = 0;
    for (guint i = 0; i < area.rings; i++)
        points += area.counts[i];
    g_autofree double *crossings = g_new(double, points);
    area.crossings = crossings;

    cairo_new_path(self->cr);
    set_paint(self, &(draw_paint){ .ink = DRAW_INK });
    if (hatch == DRAW_HATCH_DOTS)
        hatch_rows(self->cr, &area, G_PI / 4, true);
    if (hatch == DRAW_HATCH_LEVEL || hatch == DRAW_HATCH_GRID)
        hatch_rows(self->cr, &area, 0, false);
    if (hatch == DRAW_HATCH_UPRIGHT || hatch == DRAW_HATCH_GRID)
        hatch_rows(self->cr, &area, G_PI / 2, false);
    if (hatch == DRAW_HATCH_RISING || hatch == DRAW_HATCH_LATTICE)
        hatch_rows(self->cr, &area, -G_PI / 4, false);
    if (hatch == DRAW_HATCH_FALLING || hatch == DRAW_HATCH_LATTICE)
        hatch_rows(self->cr, &area, G_PI / 4, false);
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

static void trace_path(const painter *self, const draw_item *item)
{
    const draw_point *points = draw_scene_points(self->scene, item->path.first_point);
    cairo_new_path(self->cr);
    for (guint i = 0; i < item->path.rings; i++) {
        int count = g_array_index(self->scene->rings, int, item->path.first_ring + i);
        cairo_new_sub_path(self->cr);
        trace_ring(self->cr, count, points, item->path.open);
        points += count;
    }
}

/* The hatch lies on the fill and under the line. */
static void paint_path(const painter *self, const draw_item *item)
{
    const draw_style *style = &item->path.style;
    trace_path(self, item);
    if (!item->path.open && style->fill.ink != DRAW_NONE) {
        set_paint(self, &style->fill);
        cairo_fill_preserve(self->cr);
    }
    if (!item->path.open && style->hatch != DRAW_HATCH_NONE) {
        paint_hatch(self, item);
        trace_path(self, item);
    }
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

/* Without padding there is nothing beyond the picture, so that the outline alone can be
 * filled; with it the outline must be a clip. */
static void paint_picture(const painter *self, const draw_item *item)
{
    const draw_point *c = item->picture.corner;
    bool cloth = item->what == DRAW_ITEM_CLOTH, cut = item->picture.points > 0;
    cairo_new_path(self->cr);
    cairo_save(self->cr);
    if (cut)
        trace_ring(self->cr, (int)item->picture.points,
                   draw_scene_points(self->scene, item->picture.first_point), false);
    if (!cloth && cut && !self->paper)
        cairo_clip(self->cr);
    if (!cloth && !(cut && self->paper)) {
        const draw_point all[4] = {
            c[0], c[1], { c[1].x + c[2].x - c[0].x, c[1].y + c[2].y - c[0].y }, c[2]
        };
        trace_ring(self->cr, 4, all, false);
    }
    fill_with_picture(self, item, cloth);
    cairo_restore(self->cr);
}

static void paint_items(painter *self, const GArray *items);

/* Lines on a symbol's edge stand half over it. */
#define FORM_EDGE DRAW_PT(3)

static cairo_surface_t *form_of(painter *self, int symbol)
{
    if (self->forms[symbol] != NULL)
        return self->forms[symbol];
    const draw_sheet_part *part =
        &g_array_index(self->scene->symbols, draw_sheet_part, symbol);
    cairo_rectangle_t extents = { -FORM_EDGE, -FORM_EDGE, part->width + 2.0 * FORM_EDGE,
                                  part->height + 2.0 * FORM_EDGE };
    cairo_surface_t *form =
        cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, &extents);
    painter within = *self;
    within.cr = cairo_create(form);
    within.forms = NULL;
    cairo_set_fill_rule(within.cr, CAIRO_FILL_RULE_EVEN_ODD);
    paint_items(&within, part->items);
    cairo_destroy(within.cr);
    return self->forms[symbol] = form;
}

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
    if (self->forms != NULL) {
        cairo_set_source_surface(self->cr, form_of(self, item->place.symbol), 0, 0);
        cairo_paint(self->cr);
    } else {
        paint_items(self, part->items);
    }
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
    p.forms = g_new0(cairo_surface_t *, self->symbols->len + 1);
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
    for (guint i = 0; i < self->symbols->len; i++)
        if (p.forms[i] != NULL)
            cairo_surface_destroy(p.forms[i]);
    g_free(p.forms);
    draw_pdf_tidy((char *)bytes->data, bytes->len);
    return finish(bytes, status, error);
}

/* The page as pixels; its status is to be asked. Destroy with cairo_surface_destroy(). */
static cairo_surface_t *paint_pixels(const draw_scene *self, const draw_sheet_part *part,
                                     int width_px, int height_px,
                                     const colour_srgb8 *inks)
{
    cairo_surface_t *surface =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, width_px, height_px);
    painter p = { .scene = self, .inks = inks, .cr = cairo_create(surface) };
    set_paint(&p, &(draw_paint){ .ink = DRAW_PAPER });
    cairo_paint(p.cr);
    cairo_set_fill_rule(p.cr, CAIRO_FILL_RULE_EVEN_ODD);
    double scale = (double)width_px / part->width;
    cairo_scale(p.cr, scale, scale);
    paint_items(&p, part->items);
    cairo_destroy(p.cr);
    cairo_surface_flush(surface);
    return surface;
}

GBytes *draw_scene_png(const draw_scene *self, int page, int width_px, GError **error)
{
    const draw_sheet_part *part = draw_scene_page(self, page);
    g_assert(width_px >= 1 && width_px <= 16384);
    double height_px = ceil(part->height * ((double)width_px / part->width));
    if (height_px > 32767 || width_px * height_px > 64e6) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_DRAW_FAILED,
                    "A picture of %d x %.0f pixels is too large.", width_px, height_px);
        return NULL;
    }
    cairo_surface_t *surface =
        paint_pixels(self, part, width_px, (int)height_px, draw_ink_screen);
    GByteArray *bytes = g_byte_array_new();
    cairo_status_t status = cairo_surface_write_to_png_stream(surface, append, bytes);
    cairo_surface_destroy(surface);
    return finish(bytes, status, error);
}

/* ---- Small ones ---- */

static void append_png(png_structp png, png_bytep data, png_size_t size)
{
    g_byte_array_append(png_get_io_ptr(png), data, (guint)size);
}

static void flush_nothing(png_structp png)
{
    (void)png;
}

/* cairo packs with libpng's own choice, which takes four times as long as drawing: flat
 * colours are as small without a filter, and nearly so at the quickest level. */
static GBytes *pack_quickly(cairo_surface_t *surface)
{
    png_infop info = NULL;
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    GByteArray *bytes = g_byte_array_new();
    if (png != NULL)
        info = png_create_info_struct(png);
    if (info == NULL || setjmp(png_jmpbuf(png)) != 0) {
        png_destroy_write_struct(&png, &info);
        g_byte_array_unref(bytes);
        return NULL;
    }
    int height = cairo_image_surface_get_height(surface);
    png_set_write_fn(png, bytes, append_png, flush_nothing);
    png_set_IHDR(png, info, (png_uint_32)cairo_image_surface_get_width(surface),
                 (png_uint_32)height, 8, PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_set_compression_level(png, 1);
    png_set_filter(png, PNG_FILTER_TYPE_BASE, PNG_FILTER_NONE);
    png_write_info(png, info);
    /* cairo's pixels are numbers 0x00RRGGBB */
    if (G_BYTE_ORDER == G_LITTLE_ENDIAN)
        png_set_bgr(png);
    png_set_filler(
        png, 0, G_BYTE_ORDER == G_LITTLE_ENDIAN ? PNG_FILLER_AFTER : PNG_FILLER_BEFORE);
    const unsigned char *row = cairo_image_surface_get_data(surface);
    for (int y = 0; y < height; y++, row += cairo_image_surface_get_stride(surface))
        png_write_row(png, row);
    png_write_end(png, info);
    png_destroy_write_struct(&png, &info);
    return g_byte_array_free_to_bytes(bytes);
}

GBytes *draw_scene_small_png(const draw_scene *self, int page, int width_px, bool dark,
                             GError **error)
{
    enum { MOST_PX = 1024 };
    const draw_sheet_part *part = draw_scene_page(self, page);
    g_assert(width_px >= 1 && width_px <= MOST_PX);
    double height_px = ceil(part->height * ((double)width_px / part->width));
    cairo_surface_t *surface =
        paint_pixels(self, part, width_px, (int)CLAMP(height_px, 1, MOST_PX),
                     dark ? draw_ink_dark : draw_ink_screen);
    GBytes *bytes = cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS
                        ? pack_quickly(surface)
                        : NULL;
    cairo_surface_destroy(surface);
    if (bytes == NULL)
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_DRAW_FAILED,
                            "The small picture could not be drawn.");
    return bytes;
}
