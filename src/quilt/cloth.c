/* Sums of the trade by themselves, and how strips and pieces lie on a cloth. */
#include "quilt/cloth-internal.h"

#include <math.h>
#include <stdlib.h>

/* The sums by themselves. */

int64_t quilt_divide_up(int64_t a, int64_t b)
{
    return (a + b - 1) / b;
}

int64_t quilt_strips(int64_t n, length along, length cloth)
{
    return along > cloth ? -1 : quilt_divide_up(n, cloth / along);
}

int quilt_binding_strips(length need, length cloth, length w)
{
    if (w >= cloth)
        return -1;
    return need <= cloth ? 1 : (int)quilt_divide_up((int64_t)need - w, cloth - w);
}

length quilt_binding_length(quilt_extent quilt, length extra)
{
    return 2 * (quilt.width + quilt.height) + extra;
}

length quilt_bias_square(length need, length w)
{
    int64_t area = (int64_t)need * w;
    int64_t side = (int64_t)sqrt((double)area);
    while (side * side < area)
        side++;
    return length_ceil((length)side, LENGTH_INCH);
}

int quilt_panels(length all, length cloth, length seam)
{
    if (2 * seam >= cloth)
        return -1;
    return all <= cloth ? 1
                        : (int)quilt_divide_up((int64_t)all - 2 * seam, cloth - 2 * seam);
}

quilt_backing quilt_backing_of(quilt_extent all, length cloth, length seam)
{
    int64_t along = (int64_t)quilt_panels(all.width, cloth, seam) * all.height;
    int64_t across = (int64_t)quilt_panels(all.height, cloth, seam) * all.width;
    quilt_backing backing = { .along = along <= across, .size = all };
    backing.panels = quilt_panels(backing.along ? all.width : all.height, cloth, seam);
    backing.panel_length = backing.along ? all.height : all.width;
    backing.other_length = (length)MIN(MAX(along, across), LENGTH_MAX);
    return backing;
}

/* Sizes of packaged batting in common trade, in inches. */
static const struct {
    const char *name;
    int width, height;
} packages[] = {
    { "craft", 36, 45 }, { "crib", 45, 60 },   { "throw", 60, 60 },  { "twin", 72, 90 },
    { "full", 81, 96 },  { "queen", 90, 108 }, { "king", 120, 120 },
};

quilt_batting quilt_batting_of(quilt_extent all)
{
    quilt_batting batting = { .size = all };
    length narrow = MIN(all.width, all.height), wide = MAX(all.width, all.height);
    for (size_t i = 0; i < G_N_ELEMENTS(packages); i++) {
        quilt_extent size = { packages[i].width * LENGTH_INCH,
                              packages[i].height * LENGTH_INCH };
        if (narrow <= size.width && wide <= size.height) {
            batting.packaged = packages[i].name;
            batting.packaged_size = size;
            break;
        }
    }
    return batting;
}

length quilt_sleeve_cut(length finished)
{
    return 2 * finished + LENGTH_INCH;
}

length quilt_mitred(length side, length border, length extra)
{
    return side + 2 * border + extra;
}

/* Where things lie on the cloth. */

quilt_rect quilt_line_strip(const quilt_line *line, int64_t strip)
{
    return (quilt_rect){ 0, line->at + (length)(strip * line->strip_width),
                         line->strip_length, line->strip_width };
}

/* Those on the end of the last strip come first: it is the longest. */
static quilt_rect piece_on_ends(const quilt_line *line, int64_t piece)
{
    const quilt_ends *ends = &line->ends;
    int64_t on_last = (int64_t)ends->rows * ends->last_cols;
    bool last = piece < on_last;
    int cols = last ? ends->last_cols : ends->full_cols;
    int64_t on_end = last ? on_last : (int64_t)ends->rows * ends->full_cols;
    int64_t from_last = last ? piece : piece - on_last;
    int64_t strip = last ? ends->strips - 1 : from_last / on_end;
    int64_t there = from_last % on_end;
    return (quilt_rect){
        (last ? ends->last_x : ends->full_x) + (length)(there % cols) * line->piece_width,
        ends->at + (length)(strip * ends->pitch) +
            (length)(there / cols) * line->piece_height,
        line->piece_width,
        line->piece_height,
    };
}

quilt_rect quilt_line_piece(const quilt_line *line, int64_t piece)
{
    if (piece < line->ends.pieces)
        return piece_on_ends(line, piece);
    piece -= line->ends.pieces;
    quilt_rect strip = quilt_line_strip(line, piece / line->per_strip);
    return (quilt_rect){ (length)(piece % line->per_strip) * line->piece_width, strip.y,
                         line->piece_width, line->piece_height };
}

/* Longest first, so that a slip costs the least cloth; joined strips stay together. */
static int by_length(const void *a, const void *b)
{
    const quilt_line *one = a, *two = b;
    length first = MAX(one->piece_width, one->piece_height);
    length second = MAX(two->piece_width, two->piece_height);
    if (one->joined != two->joined)
        return one->joined ? -1 : 1;
    if (one->joined && one->border != two->border)
        return one->border - two->border;
    /* Of two joined lines the one with the strips comes first. */
    if (one->joined && (one->strips == 0) != (two->strips == 0))
        return one->strips == 0 ? 1 : -1;
    return first != second ? (first < second) - (first > second)
                           : (int)one->part - (int)two->part;
}

/* What may share strips: squares of a size that does not change as a quilt grows, cut one
 * way. Sashes may turn and borders grow, which would let the sum fall. */
static bool shares_strips(const quilt_line *line)
{
    return !line->joined && !line->bias && line->per_strip > 0 &&
           line->piece_width == line->piece_height &&
           (line->part == QUILT_PART_PATCH || line->part == QUILT_PART_BLOCK ||
            line->part == QUILT_PART_TRIANGLES || line->part == QUILT_PART_SIDE ||
            line->part == QUILT_PART_CORNER || line->part == QUILT_PART_CORNERSTONE);
}

/* Puts as many pieces as go there on what is left of the strips of a wider line. Each
 * strip of that line spares at most its own width: its rows are that many strips of this
 * line at the most. So the length of cloth never falls when a quilt grows. */
static void take_ends(const quilt_line *above, quilt_line *line, bool *ret_exact)
{
    if (above->strips == 0 || line->piece_height > above->strip_width)
        return;
    int64_t own = above->pieces - above->ends.pieces;
    int64_t on_last = own - (above->strips - 1) * above->per_strip;
    quilt_ends ends = {
        .at = above->at,
        .pitch = above->strip_width,
        .strips = above->strips,
        .rows = above->strip_width / line->piece_height,
        .full_x = above->per_strip * above->piece_width,
        .last_x = (length)on_last * above->piece_width,
    };
    ends.full_cols = (above->strip_length - ends.full_x) / line->piece_width;
    ends.last_cols = (above->strip_length - ends.last_x) / line->piece_width;
    int64_t room =
        ends.rows * (ends.last_cols + (above->strips - 1) * (int64_t)ends.full_cols);
    ends.pieces = MIN(room, line->pieces);
    line->ends = ends;
    line->strips = quilt_divide_up(line->pieces - ends.pieces, line->per_strip);
    length left = above->strip_length - ends.last_x - ends.last_cols * line->piece_width;
    *ret_exact |= ends.pieces > 0 && left == 0;
}

int64_t quilt_cloth_lay(quilt_item *item, bool use_ends)
{
    qsort(item->lines, (size_t)item->line_count, sizeof item->lines[0], by_length);
    int64_t at = 0;
    const quilt_line *above = NULL;
    for (int i = 0; i < item->line_count; i++) {
        quilt_line *line = &item->lines[i];
        if (use_ends && shares_strips(line)) {
            if (above != NULL)
                take_ends(above, line, &item->exact_fit);
            above = line;
        }
        line->at = (length)MIN(at, LENGTH_MAX);
        at += line->strips * line->strip_width;
    }
    return at;
}
