/* quilt/buy.h: everything that a quilt takes to buy and to cut. Pure; exact.
 *
 * Patches of the roles that come from the basket are asked for as squares; everything
 * else is cut from cloth of a usable width U in strips across it, each kind of piece from
 * strips of its own: p = floor(U / piece) a strip, ceil(n / p) strips, one after another
 * along the cloth; on wish smaller squares come from the ends of wider strips. So the
 * length of cloth never falls when a quilt grows. Rounding happens once, in what is
 * bought, and upward. */
#pragma once

#include "quilt/size.h"

/** How half-square triangle units are made. */
typedef enum quilt_hst {
    QUILT_HST_TWO,     /* two at a time from squares halved: exact, up to the step */
    QUILT_HST_TRIMMED, /* the same from squares a quarter inch over, trimmed */
    QUILT_HST_EIGHT,   /* eight at a time */
    QUILT_HST_CORNER,  /* two unit squares for each, one corner turned over and trimmed */
} quilt_hst;

/** What a maker settles once: her cloth, her ways. quilt_buying_defaults() has the
 *  trade's. */
typedef struct quilt_buying {
    length cloth;     /* usable width less selvages; default 40 in */
    length step;      /* what is cut is rounded up to this; default 1/8 in */
    quilt_hst hst;    /* default two at a time */
    bool directional; /* the print has a top: sashes are not turned */
    bool use_ends;    /* smaller squares from the ends of wider strips; default false, as
                         the trade reckons: what is over then is safety */
    int shrink;       /* thousandths of the length lost in the wash; default 0 */
    int share;        /* thousandths bought over, for safety; default 0 */
    length overage;   /* length bought over, for each cloth; default 0 */
    bool from_basket[QUILT_ROLES]; /* default scrap, light and dark */

    length binding;       /* cut width of its strips; default 2 1/4 in; 0 for none */
    length binding_extra; /* for corners and the last join; default 12 in */
    bool binding_bias;    /* cut on the bias from a square, else straight strips */

    bool backing;          /* default true */
    length backing_cloth;  /* usable width; default 40 in */
    length backing_margin; /* beyond the top on each side; default 4 in */
    length backing_seam;   /* allowance of the seams between panels; default 1/2 in */

    bool batting;          /* default true */
    length batting_margin; /* beyond the top on each side; default 4 in */

    length sleeve;      /* finished height of a hanging sleeve; default 0, none */
    length mitre_extra; /* to spare on a mitred border's length; default 4 in */
} quilt_buying;

quilt_buying quilt_buying_defaults(void);

/** What a piece is for. */
typedef enum quilt_part {
    QUILT_PART_PATCH,     /* a patch of one square */
    QUILT_PART_BLOCK,     /* a whole plain block cut in one */
    QUILT_PART_TRIANGLES, /* a square for half-square triangles */
    QUILT_PART_SASH,
    QUILT_PART_CORNERSTONE,
    QUILT_PART_SIDE,   /* a square quartered into setting triangles */
    QUILT_PART_CORNER, /* a square halved into corner triangles */
    QUILT_PART_BORDER,
    QUILT_PART_BINDING,
    QUILT_PART_BACKING,
    QUILT_PART_SLEEVE,
} quilt_part;

/** "patch", "whole block", "square for triangles", "sash" ... Static. */
const char *quilt_part_name(quilt_part part);

/** What is left at the ends of another line's strips, and how it is used. */
typedef struct quilt_ends {
    int64_t pieces;           /* so many pieces lie there; 0: none */
    length at, pitch;         /* of the first of those strips, and from one to the next */
    int64_t strips;           /* how many there are */
    int rows;                 /* of pieces on each end, one below another */
    length full_x, last_x;    /* where the ends begin: of all but the last, of the last */
    int full_cols, last_cols; /* pieces side by side */
} quilt_ends;

/**
 * One line of a cutting list: so many strips off the cloth, and what they are cut into.
 *
 * The strips lie one below another from `at` along the cloth, each from the left; in
 * each, pieces from the left (quilt_line_strip(), quilt_line_piece()). A joined line has
 * strips sewn end to end, and pieces cut from that; one without strips is cut from the
 * joined strips of the line above. A bias line is one piece of cloth. Where ends are used
 * the first pieces lie on the ends of a wider line's strips, and the line may have no
 * strips of its own.
 */
typedef struct quilt_line {
    quilt_part part;
    int border;         /* 1 for the innermost; 0 for other parts */
    length strip_width; /* along the cloth */
    length
        strip_length; /* across the cloth: its width, or less where one piece fills it */
    int64_t strips;
    int per_strip; /* pieces; 0 when joined */
    bool joined;
    bool bias;
    length piece_width;  /* along the strip */
    length piece_height; /* the strip's width, as cut */
    int64_t pieces;
    int parts; /* each piece is then cut in 1, 2 (halved), 4 (quartered), or 8 */
    length at; /* of the first strip, along the cloth */
    quilt_ends ends;
    int64_t covers_twice; /* twice the area of the finished quilt that they make, in
                             square length units */
} quilt_line;

/** What a cloth is for. */
typedef enum quilt_use {
    QUILT_USE_ROLE, /* patches, sashes, borders of one role */
    QUILT_USE_BINDING,
    QUILT_USE_BACKING,
    QUILT_USE_SLEEVE,
} quilt_use;

enum { QUILT_LINES_MAX = 24, QUILT_ITEMS_MAX = QUILT_ROLES + 3 };

/** One cloth to buy, with its cutting list from the longest cuts to the shortest. */
typedef struct quilt_item {
    quilt_use use;
    quilt_role role; /* of QUILT_USE_ROLE */
    length cloth_width;
    length cut_length;  /* of cloth that the lines take, exact */
    length length_need; /* with shrinkage, share and overage; not yet rounded */
    length buy_yards;   /* length_need up to the next 1/8 yd */
    length buy_metres;  /* and up to the next 5 cm */
    bool exact_fit;     /* some strip leaves nothing to trim: a risk */
    int line_count;
    quilt_line lines[QUILT_LINES_MAX];
} quilt_item;

/** "background", "accent" ... "binding", "backing", "sleeve". Static. */
const char *quilt_item_name(const quilt_item *item);

/** Squares that are asked of the basket or cut from scraps. */
typedef struct quilt_asked {
    quilt_role role;
    quilt_part part; /* patch, square for triangles, cornerstone */
    length cut;      /* side */
    int64_t count;
    int parts;            /* each is then cut in 1, 2 or 8 */
    int64_t covers_twice; /* as in quilt_line */
} quilt_asked;

/** Half-square triangle units by their two roles, the lower first. */
typedef struct quilt_triangles {
    quilt_role roles[2];
    int64_t count;      /* units */
    length cut;         /* side of the squares that they are made of */
    int64_t squares[2]; /* of each role */
} quilt_triangles;

typedef struct quilt_backing {
    int panels;          /* 0 for no backing */
    bool along;          /* seams run along the quilt's height, else across */
    quilt_extent size;   /* all told, margins in */
    length panel_length; /* each */
    length other_length; /* of cloth that the dearer way takes */
} quilt_backing;

typedef struct quilt_batting {
    quilt_extent size; /* all told, margins in */
    const char
        *packaged; /* the smallest packaged size that covers it: "queen"; or NULL */
    quilt_extent packaged_size;
} quilt_batting;

typedef struct quilt_binding {
    length length_need; /* round the quilt, extra in */
    int strips;         /* straight: with joins on the diagonal; bias: 0 */
    int strips_simple;  /* by the trade's rule, joins not reckoned */
    length bias_square; /* side of the square for bias; 0 when straight */
} quilt_binding;

enum {
    QUILT_ASKED_MAX = 3 * QUILT_ROLES + 1,
    QUILT_TRIANGLES_MAX = QUILT_ROLES * (QUILT_ROLES + 1) / 2
};

/** Everything to buy and cut. Holds no memory of its own. */
typedef struct quilt_shopping {
    quilt_sizes sizes;
    quilt_count count;
    int item_count;
    quilt_item items[QUILT_ITEMS_MAX];
    int asked_count;
    quilt_asked asked[QUILT_ASKED_MAX];
    int triangle_count;
    quilt_triangles triangles[QUILT_TRIANGLES_MAX];
    quilt_backing backing;
    quilt_batting batting;
    quilt_binding binding;
} quilt_shopping;

/**
 * All that a laid out quilt takes.
 *
 * @layout  of the same design, across and down as in frame
 *
 * Errors: as quilt_frame_sizes(); QUILT_CLOTH when a piece is wider than the cloth;
 * QUILT_SIZE when some cloth would be over a kilometre; QUILT_MEASURE for a setting that
 * cannot be: widths not above 0, shares below 0 or a half and more.
 * O(places); 10,000 patches take well under a millisecond.
 */
gboolean quilt_shopping_make(const quilt_design *design, const quilt_layout *layout,
                             const quilt_frame *frame, const quilt_buying *buying,
                             quilt_shopping *ret,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A rectangle on a cloth: x across it from the left, y along it from the cut end. */
typedef struct quilt_rect {
    length x, y, width, height;
} quilt_rect;

/** Where a strip lies; 0 <= strip < line->strips. */
quilt_rect quilt_line_strip(const quilt_line *line, int64_t strip);

/** Where a piece lies; 0 <= piece < line->pieces, not for joined lines. */
quilt_rect quilt_line_piece(const quilt_line *line, int64_t piece);

/* The sums by themselves. Widths above 0, counts 0 or more; formulas of the trade. */

/** Strips for n pieces, each so long along the strip: ceil(n / floor(cloth / along));
 *  -1 when not one fits. */
int64_t quilt_strips(int64_t n, length along, length cloth);

/** Strips that joined on the diagonal give so much: each join costs the strip's width.
 *  ceil((need - w) / (cloth - w)); -1 unless w < cloth. */
int quilt_binding_strips(length need, length cloth, length w);

/** 2 (W + H) + extra. */
length quilt_binding_length(quilt_extent quilt, length extra);

/** Side of a square that gives so much bias of width w: the root of their product, up to
 *  the next inch. */
length quilt_bias_square(length need, length w);

/** Panels that cover `all` with seams of so much: n U - (n - 1) 2 seam; -1 unless
 *  2 seam < cloth. */
int quilt_panels(length all, length cloth, length seam);

/** The way of the backing that takes less cloth; seams along where both take the same. */
quilt_backing quilt_backing_of(quilt_extent all, length cloth, length seam);

/** The smallest packaged batting that covers it either way round. */
quilt_batting quilt_batting_of(quilt_extent all);

/** Cut height of a tube for a sleeve: twice its finished height and an inch. */
length quilt_sleeve_cut(length finished);

/** Length of a mitred border: side + 2 border + extra. */
length quilt_mitred(length side, length border, length extra);
