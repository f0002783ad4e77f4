/* photo/find.h: the scraps on the table, with true outlines and the colours of their
 * cloth.
 *
 * Outlines are in the table frame (x right, y up, origin at the centre of the card) and
 * in lengths; a place in the plan is in its pixels, as photo/plan.h defines them. What is
 * unsure is kept, marked and asked about, never dropped in silence. */
#pragma once

#include "colour/match.h"
#include "photo/plan.h"
#include "photo/watch.h"
#include "scrap/outline.h"

/** Why a scrap is not quite sure; one scrap may have several. */
typedef enum photo_doubt {
    PHOTO_DOUBT_FAINT = 1 << 0,  /* hardly differs from the surface */
    PHOTO_DOUBT_EDGE = 1 << 1,   /* runs out of the picture */
    PHOTO_DOUBT_HAND = 1 << 2,   /* looks like a hand or an arm */
    PHOTO_DOUBT_TOOL = 1 << 3,   /* looks like a ruler, a cutter, scissors */
    PHOTO_DOUBT_PILE = 1 << 4,   /* may be several scraps that touch or overlap */
    PHOTO_DOUBT_SMALL = 1 << 5,  /* so small that it may be a mark on the surface */
    PHOTO_DOUBT_RAGGED = 1 << 6, /* its edge could not be followed everywhere */
} photo_doubt;

/** The best flat piece of a fabric: a rectangle in the plan, turned about its centre.
 * Its own x axis, along columns_px, points turn_deg anticlockwise from the table's x.
 * columns_px is 0 when the scrap holds none. */
typedef struct photo_swatch {
    double centre_column, centre_row; /* plan pixels */
    double columns_px, rows_px;
    double turn_deg; /* -45 to 45: the way of the weave or print where it can be told */
} photo_swatch;

/** One scrap. Its rings belong to the photo_scraps that holds it. */
typedef struct photo_scrap {
    scrap_outline outline;
    int64_t twice_area; /* exactly, of the outline less its holes, in square lengths */
    bool on_edge;       /* cut off by the edge of the photo */
    double sure;        /* 0 to 1: that it is one whole scrap */
    unsigned doubts;    /* of photo_doubt */
    colour_signature signature;
    colour_lab mean;    /* CIELAB, white-balanced by the card */
    colour_srgb8 srgb;  /* the same */
    colour_value value; /* by the default limits of colour/value.h */
    photo_swatch swatch;
    int group; /* scraps of one fabric within this photo share it; 0 and up */
} photo_scrap;

/** Something to ask about. Codes: scraps.maybe (something may lie here), scraps.hand,
 * scraps.tool, scraps.pile, scraps.edge, scraps.none, scraps.faint. */
typedef struct photo_remark {
    const char *code; /* static, stable */
    char message[PHOTO_WARNING_SIZE];
    bool has_place;
    scrap_point place; /* in the table frame, when has_place */
    int scrap;         /* index of the scrap it is about; -1 for none */
} photo_remark;

/** What was found, from the top left of the photo to the bottom right. */
typedef struct photo_scraps {
    int count;
    photo_scrap *scrap;
    int group_count;
    int remark_count;
    photo_remark *remark;
} photo_scraps;

/**
 * Finds every piece of fabric on the surface. The cards are none, what lies beyond the
 * edge of a mat is none; hands and tools come out with a low `sure` and a remark.
 *
 * Deterministic. About 0.25 s for a plan of 26 x 20 in on two cores.
 *
 * Returns TRUE and the scraps, free with photo_scraps_free(), none being no error but
 * a remark; FALSE with `cancelled`.
 */
gboolean photo_find_scraps(const photo_plan *plan, const photo_watch *watch,
                           photo_scraps **ret_scraps,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Grows one scrap that was missed from two taps, on two far places of it.
 *
 * @one, @other  places inside the scrap, table frame
 *
 * Returns TRUE and a list of one, free with photo_scraps_free(); FALSE with
 * photo.nothing-there when nothing differs from the surface at the taps, photo.points
 * when they lie outside the photo, or `cancelled`.
 */
gboolean photo_grow_scrap(const photo_plan *plan, scrap_point one, scrap_point other,
                          const photo_watch *watch, photo_scraps **ret_scraps,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Reads the colours and the swatch of an outline that the maker has drawn or mended;
 * sure is 1. The group is 0.
 *
 * @outline  any simple polygon; what of it lies outside the photo is passed over
 *
 * Returns a list of one, free with photo_scraps_free().
 */
photo_scraps *photo_read_outline(const photo_plan *plan, const scrap_outline *outline);

/**
 * Cuts a swatch out of the plan as height x width x 3 bytes of sRGB, straightened.
 *
 * @width, @height  of the picture to make, in px
 */
void photo_swatch_to_srgb(const photo_plan *plan, const photo_swatch *swatch, int width,
                          int height, uint8_t *rgb);

/** Frees what was found; NULL is nothing. */
void photo_scraps_free(photo_scraps *scraps);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(photo_scraps, photo_scraps_free)
