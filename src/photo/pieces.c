#include "photo/pieces-internal.h"

#include "photo/memory-internal.h"
#include "photo/parallel-internal.h"

#include <math.h>
#include <string.h>

/* All found on rendered photos with known truth, tests/photo/score_photos.c. */
static const double near_in = 0.045, small_sq_in = 2.5;
static const double close_in = 0.2;
static const double reach_in = 0.6;   /* of a print's lines beyond its bands */
static const double thread_in = 0.12; /* half of what is wider than a loop of thread */
static const double worth_it = 1.15;  /* growth by which lines show to be a print's */
static const double fillet_in = 0.04; /* more than the inscribed radius of a fillet */
static const double hole_sq_in = 0.2;
static const double piece_sq_in = 0.15;
static const double outside_contact_in = 3;
static const double table_contact_in = 20; /* nothing but a table is so long at the rim */
static const double reaches_in = 1.25;     /* way round inside by that along the rim */

/* The rim of what is covered by the photo, cards not counted as uncovered. */
static photo_bits *photo_rim(const photo_surface *s)
{
    enum { BEYOND = 2 }; /* the plan's edge nothing is covered either */
    photo_bits *rim = photo_bits_copy(s->covered), *inner = photo_bits_copy(s->covered);
    for (int y = 0; y < s->height; y++) {
        if (y < BEYOND || y >= s->height - BEYOND)
            memset(photo_bits_row(inner, y), 0,
                   (size_t)inner->words * sizeof inner->row[0]);
        for (int k = 0; k < MIN(BEYOND, s->width); k++) {
            photo_bits_unset(inner, k, y);
            photo_bits_unset(inner, s->width - 1 - k, y);
        }
    }
    photo_bits_shrink(inner, 2.5);
    photo_bits_and_not(rim, inner);
    photo_bits_free(inner);
    return rim;
}

/* The unset pixels that no way leads out of. */
static photo_bits *enclosed_by(const photo_bits *m)
{
    photo_bits *gaps = photo_bits_copy(m);
    photo_bits_invert(gaps);
    g_autofree int32_t *label = g_new(int32_t, (gsize)m->width * (gsize)m->height);
    int count = photo_bits_label(gaps, label);
    g_autofree photo_part *parts = photo_bits_measure(gaps, label, count);
    for (int y = 0; y < m->height; y++)
        for (int x = -1; (x = photo_bits_next(gaps, x + 1, y)) < m->width;) {
            const photo_part *p = &parts[label[y * m->width + x]];
            if (p->x0 == 0 || p->y0 == 0 || p->x1 == m->width || p->y1 == m->height)
                photo_bits_unset(gaps, x, y);
        }
    return gaps;
}

/* Holes that are few pixels or unlike the surface belong to the piece. */
static void fill_holes(const photo_surface *s, photo_piece *piece)
{
    photo_bits *m = piece->mask, *holes = enclosed_by(m);
    g_autofree int32_t *label = g_new(int32_t, (gsize)m->width * (gsize)m->height);
    int count = photo_bits_label(holes, label);
    g_autofree photo_part *parts = photo_bits_measure(holes, label, count);
    g_autofree double *sum = g_new0(double, count + 1);
    for (int y = 0; y < m->height; y++)
        for (int x = -1; (x = photo_bits_next(holes, x + 1, y)) < m->width;) {
            int px = x + piece->left, py = y + piece->top;
            if (px >= 0 && py >= 0 && px < s->width && py < s->height)
                sum[label[y * m->width + x]] +=
                    s->distance[(size_t)py * (size_t)s->width + (size_t)px];
        }
    double small = hole_sq_in * s->per_in * s->per_in;
    for (int y = 0; y < m->height; y++)
        for (int x = -1; (x = photo_bits_next(holes, x + 1, y)) < m->width;) {
            int i = label[y * m->width + x];
            double pixels = (double)parts[i].pixels;
            if (pixels < small || sum[i] / pixels > 6)
                photo_bits_set(m, x, y);
        }
    photo_bits_free(holes);
}

void photo_piece_keep_largest(photo_piece *piece)
{
    photo_bits *m = piece->mask;
    g_autofree int32_t *label = g_new(int32_t, (gsize)m->width * (gsize)m->height);
    int count = photo_bits_label(m, label);
    if (count < 2)
        return;
    g_autofree photo_part *parts = photo_bits_measure(m, label, count);
    int best = 1;
    for (int i = 2; i <= count; i++)
        if (parts[i].pixels > parts[best].pixels)
            best = i;
    memset(m->row, 0, (size_t)m->words * (size_t)m->height * sizeof m->row[0]);
    for (int y = 0; y < m->height; y++)
        for (int x = 0; x < m->width; x++)
            if (label[y * m->width + x] == best)
                photo_bits_set(m, x, y);
}

void photo_piece_tidy(const photo_surface *surface, photo_piece *piece)
{
    fill_holes(surface, piece);
    photo_piece_keep_largest(piece);
}

/* What the closing added may not be another piece's, nor lie beyond the photo or on a
 * card. */
static void respect_others(const photo_surface *s, const int32_t *group, int which,
                           photo_piece *piece)
{
    photo_bits *m = piece->mask;
    for (int y = 0; y < m->height; y++) {
        for (int x = 0; x < m->width; x++) {
            if (!photo_bits_get(m, x, y))
                continue;
            int px = x + piece->left, py = y + piece->top;
            int32_t owner = px >= 0 && py >= 0 && px < s->width && py < s->height
                                ? group[(size_t)py * (size_t)s->width + (size_t)px]
                                : -1;
            if ((owner != 0 && owner != which) || !photo_bits_get(s->usable, px, py))
                photo_bits_unset(m, x, y);
        }
    }
}

/* Lines of a print cross and enclose its ground; loose threads end in the open. */
static bool lines_enclose(const photo_surface *s, const photo_bits *lines,
                          const photo_bits *piece)
{
    photo_bits *whole = enclosed_by(lines);
    photo_bits_or(whole, lines);
    photo_bits_open(whole, PHOTO_LINE_IN * s->per_in);
    photo_bits_or(whole, piece);
    bool enclose =
        (double)photo_bits_count(whole) > worth_it * (double)photo_bits_count(piece);
    photo_bits_free(whole);
    return enclose;
}

/* On a bare surface, narrow lines that hang on to a piece are its own print: a plaid
 * whose ground has the surface's colour shows only its bands and lines. With them the
 * piece is closed; what they do not make wide, as loose threads, goes again. */
static void add_own_lines(const photo_surface *s, const int32_t *group, int which,
                          photo_piece *piece)
{
    photo_bits *m = piece->mask;
    photo_bits *with = photo_bits_copy(m);
    for (int y = 0; y < m->height; y++) {
        for (int x = 0; x < m->width; x++) {
            int px = x + piece->left, py = y + piece->top;
            if (!photo_bits_get(s->narrow, px, py))
                continue;
            int32_t owner = group[(size_t)py * (size_t)s->width + (size_t)px];
            if (owner == 0 || owner == which)
                photo_bits_set(with, x, y);
        }
    }
    photo_piece whole = { .left = piece->left, .top = piece->top, .mask = with };
    photo_bits_close(with, 1.5);
    photo_piece_keep_largest(&whole);
    if (lines_enclose(s, with, m)) {
        photo_bits_close(with, close_in * s->per_in);
        photo_bits_open(with, thread_in * s->per_in);
        photo_bits_or(with, m);
        respect_others(s, group, which, &whole);
        piece->mask = with;
        with = m;
    }
    photo_bits_free(with);
}

static photo_piece *cut_out(const photo_surface *s, const int32_t *group, int which,
                            const photo_part *p)
{
    /* room for the closing, and for lines that reach out, on all sides */
    int margin = (int)(reach_in * s->per_in) + 2;
    photo_piece *piece =
        photo_piece_new(p->x0 - margin, p->y0 - margin, p->x1 - p->x0 + 2 * margin,
                        p->y1 - p->y0 + 2 * margin);
    for (int y = p->y0; y < p->y1; y++)
        for (int x = p->x0; x < p->x1; x++)
            if (group[(size_t)y * (size_t)s->width + (size_t)x] == which)
                photo_bits_set(piece->mask, x - piece->left, y - piece->top);
    return piece;
}

/* Closes a piece, so that stripes and checks of the surface's colour become part of it.
 * A closing also rounds off every inner corner and narrow notch: what it added so thinly
 * is no stripe and goes again. */
static void close_alone(const photo_surface *s, photo_piece *piece)
{
    photo_bits *before = photo_bits_copy(piece->mask);
    photo_bits_close(piece->mask, close_in * s->per_in);
    photo_bits *added = photo_bits_copy(piece->mask);
    photo_bits_and_not(added, before);
    photo_bits *stripes = photo_bits_copy(added);
    photo_bits_shrink(stripes, fillet_in * s->per_in);
    photo_bits_grow(stripes, 2 * fillet_in * s->per_in);
    photo_bits_and(added, stripes);
    photo_bits_or(before, added);
    memcpy(piece->mask->row, before->row,
           (size_t)before->words * (size_t)before->height * sizeof before->row[0]);
    photo_bits_free(before);
    photo_bits_free(added);
    photo_bits_free(stripes);
}

static void mark_of_kind(const photo_bits *mask, const int32_t *label,
                         const uint8_t *kind, uint8_t which, photo_bits *bits)
{
    for (int y = 0; y < bits->height; y++)
        for (int x = -1; (x = photo_bits_next(mask, x + 1, y)) < bits->width;)
            if (kind[label[(size_t)y * (size_t)bits->width + (size_t)x]] & which)
                photo_bits_set(bits, x, y);
}

/* What belongs together although the mask shows it apart: fragments too narrow to be
 * cloth by themselves with what is near, small parts (the squares of a check) with what
 * is very near, and all across gaps that are no more than the blur between dark and
 * light of a print. @label is room for the mask's pixels. */
static photo_bits *join_fragments(const photo_surface *s, const photo_bits *mask,
                                  int32_t *label)
{
    enum { NARROW = 1, SMALL = 2 };
    int count = photo_bits_label(mask, label);
    g_autofree photo_part *parts = photo_bits_measure(mask, label, count);
    g_autofree uint8_t *kind = g_new0(uint8_t, count + 1);
    double small = small_sq_in * s->per_in * s->per_in;
    for (int i = 1; i <= count; i++)
        kind[i] = NARROW | ((double)parts[i].pixels < small ? SMALL : 0);
    photo_bits *core = photo_bits_copy(mask);
    photo_bits_shrink(core, PHOTO_THIN_IN * s->per_in);
    for (int y = 0; y < s->height; y++)
        for (int x = -1; (x = photo_bits_next(core, x + 1, y)) < s->width;)
            kind[label[(size_t)y * (size_t)s->width + (size_t)x]] &= (uint8_t)~NARROW;
    photo_bits_free(core);

    photo_bits *joined = photo_bits_new(s->width, s->height);
    photo_bits *near = photo_bits_new(s->width, s->height);
    mark_of_kind(mask, label, kind, NARROW, joined);
    photo_bits_close(joined, PHOTO_JOIN_IN * s->per_in);
    mark_of_kind(mask, label, kind, SMALL, near);
    photo_bits_close(near, near_in * s->per_in);
    photo_bits_or(joined, near);
    photo_bits_free(near);
    photo_bits_or(joined, mask);
    photo_bits_close(joined, PHOTO_GAP_IN * s->per_in);
    return joined;
}

static void free_piece(gpointer piece)
{
    photo_piece_free(piece);
}

GPtrArray *photo_pieces_new_list(void)
{
    return g_ptr_array_new_with_free_func(free_piece);
}

/* Whether a piece that lies long on the rim of the photo reaches into it as cloth does.
 * The table beyond a mat ends at the mat's straight edge, which is no longer than the way
 * along the rim. */
static bool reaches_inside(const photo_surface *s, const photo_bits *rim,
                           const photo_piece *piece, double contact_px)
{
    enum { WIDE = 2 };
    photo_bits *edge = photo_bits_copy(piece->mask), *inner = photo_bits_copy(edge);
    photo_bits_shrink(inner, WIDE);
    photo_bits_and_not(edge, inner);
    photo_bits_free(inner);
    double inside = 0;
    for (int y = 0; y < edge->height; y++)
        for (int x = 0; x < edge->width; x++)
            inside += photo_bits_get(edge, x, y) &&
                      photo_bits_get(s->usable, x + piece->left, y + piece->top) &&
                      !photo_bits_get(rim, x + piece->left, y + piece->top);
    photo_bits_free(edge);
    return inside / WIDE > reaches_in * contact_px;
}

/* The length of what lies on so many pixels of the rim, which is about 4 px wide. */
static double contact_px(int on_rim)
{
    return on_rim / 4.0;
}

typedef struct making {
    const photo_surface *s;
    const int32_t *label;
    const photo_part *parts;
    const int *on_rim; /* pixels of each label at the edge of what the photo covers */
    const int *which;  /* the labels of those that are large enough */
    GPtrArray **made;  /* of each of these, the scraps that hung together in it */
} making;

enum { MOST_PARTINGS = 3 }; /* one after another */

/* Each scrap of a piece that hangs together at necks; takes the piece. */
static void part_at_necks(const photo_surface *s, photo_piece *piece, int deep,
                          GPtrArray *into)
{
    photo_bits *side = deep > 0 ? photo_piece_beside_neck(s, piece) : NULL;
    if (side == NULL) {
        g_ptr_array_add(into, piece);
        return;
    }
    photo_piece *parts[2];
    photo_piece_cut(s, piece, side, parts);
    photo_bits_free(side);
    photo_piece_free(piece);
    part_at_necks(s, parts[0], deep - 1, into);
    part_at_necks(s, parts[1], deep - 1, into);
}

/* Closes one of the parts of a group without what is the others'. */
static void close_among(const making *job, int group, GPtrArray *parts, guint which)
{
    photo_piece *piece = parts->pdata[which];
    close_alone(job->s, piece);
    respect_others(job->s, job->label, group, piece);
    for (guint p = 0; p < parts->len; p++)
        if (p != which)
            photo_bits_and_not(piece->mask, ((photo_piece *)parts->pdata[p])->mask);
    photo_piece_tidy(job->s, piece);
}

static void make_pieces(int k, void *data)
{
    const making *job = data;
    const photo_surface *s = job->s;
    int i = job->which[k];
    photo_piece *piece = cut_out(s, job->label, i, &job->parts[i]);
    piece->on_edge = job->on_rim[i] > 8;
    if (!s->print.any && s->narrow != NULL)
        add_own_lines(s, job->label, i, piece);
    job->made[k] = photo_pieces_new_list();
    bool table = contact_px(job->on_rim[i]) > outside_contact_in * s->per_in;
    part_at_necks(s, piece, table ? 0 : MOST_PARTINGS, job->made[k]);
    for (guint p = 0; p < job->made[k]->len; p++)
        close_among(job, i, job->made[k], p);
}

GPtrArray *photo_pieces_from_mask(const photo_surface *surface, const photo_bits *mask,
                                  GPtrArray *long_on_edge)
{
    const photo_surface *s = surface;
    size_t pixels = (size_t)s->width * (size_t)s->height;
    GPtrArray *pieces = photo_pieces_new_list();

    g_autofree int32_t *label = photo_memory_new(pixels * sizeof label[0]);
    photo_bits *joined = join_fragments(s, mask, label);
    int groups = photo_bits_label(joined, label);
    g_autofree photo_part *parts = photo_bits_measure(joined, label, groups);
    photo_bits_free(joined);
    g_autofree int *on_rim = g_new0(int, groups + 1);
    photo_bits *rim = photo_rim(s);
    for (int y = 0; y < s->height; y++)
        for (int x = -1; (x = photo_bits_next(rim, x + 1, y)) < s->width;)
            on_rim[label[(size_t)y * (size_t)s->width + (size_t)x]]++;

    g_autofree int *large = g_new(int, groups + 1);
    g_autofree GPtrArray **made = g_new(GPtrArray *, groups + 1);
    int count = 0;
    for (int i = 1; i <= groups; i++)
        if ((double)parts[i].pixels >= piece_sq_in * s->per_in * s->per_in &&
            contact_px(on_rim[i]) <= table_contact_in * s->per_in)
            large[count++] = i;
    making job = { s, label, parts, on_rim, large, made };
    photo_parallel(count, make_pieces, &job);

    for (int k = 0; k < count; k++) {
        double contact = contact_px(on_rim[large[k]]);
        if (contact <= outside_contact_in * s->per_in)
            g_ptr_array_extend_and_steal(pieces, made[k]);
        else if (reaches_inside(s, rim, made[k]->pdata[0], contact))
            g_ptr_array_extend_and_steal(long_on_edge, made[k]);
        else
            g_ptr_array_unref(made[k]);
    }
    photo_bits_free(rim);
    return pieces;
}
