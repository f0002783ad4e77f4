/* draw/scene-internal.h: the recorded drawing, for the writers of this room. */
#pragma once

#include "draw/scene.h"

#include <cairo.h>
#include <pango/pango.h>

typedef enum draw_item_what {
    DRAW_ITEM_PATH,
    DRAW_ITEM_TEXT,
    DRAW_ITEM_PICTURE, /* one picture on a parallelogram */
    DRAW_ITEM_CLOTH, /* a picture repeated; corner[0] and [1] are one repeat's upper edge
                      */
    DRAW_ITEM_PLACE,
    DRAW_ITEM_GROUP_BEGIN,
    DRAW_ITEM_GROUP_END,
} draw_item_what;

/** Points and ring counts lie in the scene's pools, from these places. */
typedef struct draw_item {
    draw_item_what what;
    union {
        struct {
            draw_style style;
            guint first_ring, rings, first_point;
            bool open; /* a polyline */
        } path;
        struct {
            draw_text_style style;
            length x, y;
            char *text; /* set with fractions, valid UTF-8 */
        } text;
        struct {
            draw_picture *picture;
            draw_point corner[3];
            guint first_point, points; /* outline; 0 points for the whole picture */
        } picture;
        struct {
            int symbol, turns;
            length x, y, width;
        } place;
        struct {
            char *attributes;
            bool hidden;
        } group;
    };
} draw_item;

/** A page or a symbol. */
typedef struct draw_sheet_part {
    length width, height;
    GArray *items; /* draw_item */
} draw_sheet_part;

struct draw_scene {
    char *title;
    GArray *pages;   /* draw_sheet_part */
    GArray *symbols; /* draw_sheet_part */
    GArray *points;  /* draw_point */
    GArray *rings;   /* int */
    int page;        /* turned to; -1 before the first */
    int symbol;      /* being recorded; -1 for none */
};

static inline const draw_sheet_part *draw_scene_page(const draw_scene *self, int page)
{
    g_assert(page >= 0 && (guint)page < self->pages->len);
    return &g_array_index(self->pages, draw_sheet_part, page);
}

static inline const draw_point *draw_scene_points(const draw_scene *self, guint first)
{
    return &g_array_index(self->points, draw_point, first);
}

/** Name of an ink in class names; "" for DRAW_NONE and DRAW_COLOUR. */
extern const char *const draw_ink_names[DRAW_INKS];
/** The page's light and dark colours, and what is printed. */
extern const colour_srgb8 draw_ink_screen[DRAW_INKS];
extern const colour_srgb8 draw_ink_dark[DRAW_INKS];
extern const colour_srgb8 draw_ink_print[DRAW_INKS];

#define DRAW_FONT_FAMILY "Motley Hyperlegible"

/** A layout of one line of text, 1 pango unit being 1/1024 pt. Unref with
 *  g_object_unref(). Uses a font map of the calling thread. */
PangoLayout *draw_text_layout(const draw_text_style *style, const char *text);

/** How long and thick the lines of a hatch are and how far apart: 6 pt and 0.6 pt. */
#define DRAW_HATCH_PITCH DRAW_PT(5)
#define DRAW_HATCH_WIDTH DRAW_PT(0.5)

/** Dash and gap of a stitch for a line so wide; FALSE for a solid line. */
bool draw_stitch_dashes(draw_stitch stitch, double width, double ret_dashes[static 2]);
/** Hollow stitches are a second, narrower stroke of paper in the first. */
#define DRAW_OPEN_HOLLOW 0.5
#define DRAW_HAIRLINE    DRAW_PT(0.25)

/* Of picture.c. */
GBytes *draw_picture_bytes(const draw_picture *self);
const char *draw_picture_href(const draw_picture *self);
bool draw_picture_is_jpeg(const draw_picture *self);
/** Borrowed; holds the JPEG itself for PDF. Not written to after the picture was made. */
cairo_surface_t *draw_picture_surface(const draw_picture *self);

/**
 * Of tidy.c. cairo names a form or picture in a page's resources as often as the page
 * shows it, under the same name; readers do not mind, strict checkers do. The repeated
 * ones become spaces, so that no offset moves.
 */
void draw_pdf_tidy(char *pdf, size_t size);
