/* draw/scene.h: a drawing that is recorded once and written as SVG for the page, PDF for
 * paper and PNG to share.
 *
 * Coordinates are lengths: x to the right, y down, from the upper left corner of the
 * page. Nothing is written until asked, so a scene may be written several times and in
 * several forms; what is recorded later lies on top. A scene belongs to one thread at a
 * time. */
#pragma once

#include "base/length.h"
#include "colour/lab.h"
#include "draw/picture.h"

typedef struct draw_scene draw_scene;

typedef struct draw_point {
    length x, y;
} draw_point;

/** One point of type, 1/72 in, to the nearest length. */
#define DRAW_PT(points) ((length)((points)*8128 / 72.0 + 0.5))

/* ---- Paint ---- */

/** What a line or an area is painted with. All but DRAW_COLOUR follow the medium: black
 * on white on paper, the page's colours on the screen. */
typedef enum draw_ink {
    DRAW_NONE,
    DRAW_PAPER,
    DRAW_RAISED,
    DRAW_INK,
    DRAW_QUIET,
    DRAW_THREAD,
    DRAW_LINE,
    DRAW_ASK,
    DRAW_STOP,
    DRAW_TINT_0, /* greys for what must be told apart without colour: 0 white .. 5 dark */
    DRAW_TINT_1,
    DRAW_TINT_2,
    DRAW_TINT_3,
    DRAW_TINT_4,
    DRAW_TINT_5,
    DRAW_COLOUR, /* a fabric's own colour, the same everywhere */
    DRAW_INKS
} draw_ink;

typedef struct draw_paint {
    draw_ink ink;
    colour_srgb8 colour; /* for DRAW_COLOUR */
} draw_paint;

/** Lines over a fill, in DRAW_INK; they tell kinds apart in black and white. */
typedef enum draw_hatch {
    DRAW_HATCH_NONE,
    DRAW_HATCH_RISING,
    DRAW_HATCH_DOTS,
    DRAW_HATCH_LEVEL,
    DRAW_HATCH_FALLING,
    DRAW_HATCH_UPRIGHT,
    DRAW_HATCH_LATTICE, /* rising and falling */
    DRAW_HATCH_GRID,    /* level and upright */
    DRAW_HATCHES
} draw_hatch;

/** How a line is sewn; dash lengths follow its width. */
typedef enum draw_stitch {
    DRAW_SOLID,
    DRAW_RUNNING, /* what is exact */
    DRAW_OPEN,    /* hollow stitches: what is inferred or wished */
    DRAW_DOTTED,
} draw_stitch;

/** A zeroed style paints nothing. */
typedef struct draw_style {
    draw_paint fill;
    draw_hatch hatch;
    draw_paint line;
    length width; /* of the line; 0 is a hairline of 1/4 pt */
    draw_stitch stitch;
} draw_style;

#define DRAW_FILL(which) ((draw_style){ .fill = { .ink = (which) } })
#define DRAW_STROKE(which, how_wide)                                                     \
    ((draw_style){ .line = { .ink = (which) }, .width = (how_wide) })

/* ---- Making ---- */

/** title names the drawing for screen readers and PDF; copied. The scene has no page yet.
 *  Free with draw_scene_free(). */
draw_scene *draw_scene_new(const char *title);
void draw_scene_free(draw_scene *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(draw_scene, draw_scene_free)

/** Adds a page and turns to it; both sides above zero. Returns its number from 0. */
int draw_scene_add_page(draw_scene *self, length width, length height);

/** Turns to a page that is there, to draw more on it. */
void draw_scene_turn_to(draw_scene *self, int page);
int draw_scene_pages(const draw_scene *self);
length draw_scene_width(const draw_scene *self, int page);
length draw_scene_height(const draw_scene *self, int page);

/* ---- Shapes ---- */

/** One closed polygon. count >= 2. Points are copied. */
void draw_scene_polygon(draw_scene *self, const draw_style *style, int count,
                        const draw_point points[count]);

/**
 * Several closed rings painted as one area: what lies in an even number of them stays
 * open (holes).
 *
 * @counts  points of each ring
 * @points  of all rings, one ring after the other
 */
void draw_scene_rings(draw_scene *self, const draw_style *style, int rings,
                      const int counts[], const draw_point points[]);

void draw_scene_rect(draw_scene *self, const draw_style *style, length x, length y,
                     length width, length height);
/** An open line through the points; a fill is not painted. */
void draw_scene_polyline(draw_scene *self, const draw_style *style, int count,
                         const draw_point points[count]);
void draw_scene_line(draw_scene *self, const draw_style *style, length x1, length y1,
                     length x2, length y2);

/* ---- Text ---- */

typedef enum draw_align { DRAW_LEFT, DRAW_CENTRE, DRAW_RIGHT } draw_align;

typedef struct draw_text_style {
    length size; /* of the type, DRAW_PT(10) */
    bool bold;
    draw_align align; /* which point of the text x is */
    draw_ink ink;     /* DRAW_NONE is DRAW_INK */
    bool tabular;     /* figures of one width, for columns of them */
} draw_text_style;

/**
 * One line of text with its baseline at y. Fractions such as `2 1/2` are set as
 * fractions. Bytes that are no UTF-8 and control characters become
 * U+FFFD and spaces. NULL and "" draw nothing.
 */
void draw_scene_text(draw_scene *self, const draw_text_style *style, length x, length y,
                     const char *text);

/** How wide draw_scene_text() sets it. */
length draw_text_width(const draw_text_style *style, const char *text);

/** The same text, shortened with an ellipsis so that it is no wider than that. Free with
 *  g_free(). */
char *draw_text_fit(const draw_text_style *style, const char *text, length width);

/**
 * Text in lines no wider than width, broken at spaces and at line ends in it; a word that
 * is too long is shortened. The first baseline is y.
 *
 * @draw  FALSE only measures; self may then be NULL
 *
 * Returns the baseline after the last line, where more text could follow.
 */
length draw_scene_paragraph(draw_scene *self, const draw_text_style *style, length x,
                            length y, length width, const char *text, bool draw);

/** Line to line distance of draw_scene_paragraph(). */
length draw_text_leading(const draw_text_style *style);

/** "2 1/2" as "2½", "1 11/16" as "1¹¹⁄₁₆", "3/4" as "¾"; valid UTF-8 without control
 *  characters. Only fractions of a ruler (halves to 64ths, below one) are taken for such.
 *  Free with g_free(). */
char *draw_text_fractions(const char *text);

/* ---- Pictures ---- */

/**
 * A whole picture laid on a parallelogram. A reference is kept.
 *
 * @corners  upper left, upper right and lower left corner of the picture
 * @count    points of the outline that it is cut to; 0 for all of it
 */
void draw_scene_picture(draw_scene *self, draw_picture *picture,
                        const draw_point corners[static 3], int count,
                        const draw_point outline[]);

/**
 * An area of cloth: the picture repeated without end, upright, one repeat being width
 * wide, laid so that one has its upper left corner at origin. A reference is kept.
 */
void draw_scene_cloth(draw_scene *self, draw_picture *picture, draw_point origin,
                      length width, int count, const draw_point outline[]);

/* ---- What is drawn many times ---- */

/**
 * Begins a drawing of its own, width x height, that is not on the page but may be placed
 * there often; everything up to draw_scene_symbol_end() goes into it. Symbols may place
 * symbols that were ended before. Returns its number.
 */
int draw_scene_symbol_begin(draw_scene *self, length width, length height);
void draw_scene_symbol_end(draw_scene *self);

/** Places a symbol, turned clockwise by so many quarter turns and then made so wide (seen
 *  on the page), with the upper left corner of what is seen at x, y. */
void draw_scene_place(draw_scene *self, int symbol, length x, length y, length width,
                      int turns);

/**
 * Everything up to draw_scene_group_end() is one group of the SVG, with these attributes,
 * so that the page can find and restyle it: `class="cell" data-row="3"`.
 *
 * @attributes  of the program's own making: it is written as it is
 * @hidden      not drawn on paper and in PNG, and invisible in the SVG until the page's
 *              style sheet shows it
 */
void draw_scene_group_begin(draw_scene *self, const char *attributes, bool hidden);
void draw_scene_group_end(draw_scene *self);

/* ---- Writing ---- */

/**
 * One page as SVG 1.1 with `href` of SVG 2, in CSS pixels (96 an inch). Colours are
 * presentation attributes with a class beside them ("fill-ink", "line-thread",
 * "fill-tint-2"), so a style sheet may change them and a strict Content-Security-Policy
 * has nothing to refuse. Text is text. Ids begin with a digest of the drawing, so that
 * several may stand in one page. The same scene gives the same bytes.
 *
 * Returns the bytes without a final zero; free with g_bytes_unref().
 */
GBytes *draw_scene_svg(const draw_scene *self, int page);

/** The same for a picture that the page shows: where the page is dark, its inks are those
 *  of the dark scheme. A file that leaves the program keeps the light ones. */
GBytes *draw_scene_svg_on_page(const draw_scene *self, int page);

/** All pages as PDF with the font embedded. Errors: DRAW_FAILED. */
GBytes *draw_scene_pdf(const draw_scene *self, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * One page as PNG in the page's light colours.
 *
 * @width_px  1 to 16384; the height follows
 *
 * Errors: DRAW_FAILED, also when it would be over 64 megapixels.
 */
GBytes *draw_scene_png(const draw_scene *self, int page, int width_px,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * One page as a small PNG for a list on the page, which a browser shows in a fraction of
 * the time that it takes for an SVG of hundreds of shapes. Packed for speed, not for
 * size.
 *
 * @width_px  1 to 1024; the height follows, 1024 at most
 * @dark      in the inks of the page's dark scheme
 *
 * Errors: DRAW_FAILED.
 */
GBytes *draw_scene_small_png(const draw_scene *self, int page, int width_px, bool dark,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;
