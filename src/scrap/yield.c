#include "scrap/yield-internal.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What rounding may have moved an edge by: pixels may stand over it by this much, a
 * length unit less than a finished square may. */
static const length round_off = 3;

int yield_pixels(length unit, length finest)
{
    return unit <= finest ? 1 : (unit + finest - 1) / finest;
}

/* margin = shift * pitch + rest with rest >= 0: cores grow by whole pixels, pixels by the
 * rest. */
static void split_margin(const yield_unit *unit, int *ret_shift, int64_t *ret_rest)
{
    int64_t margin = (int64_t)unit->margin * unit->k, pitch = unit->unit;
    int64_t shift = margin >= 0 ? margin / pitch : -((pitch - 1 - margin) / pitch);
    *ret_shift = (int)shift;
    *ret_rest = margin - shift * pitch;
}

static int corners_of(const scrap_outline *outline)
{
    int corners = outline->outer.count;
    for (int i = 0; i < outline->hole_count; i++)
        corners += outline->holes[i].count;
    return corners;
}

void yield_room_for(const scrap_outline *outline, const yield_unit *unit,
                    yield_room *ret_sizes)
{
    scrap_point least, most;
    scrap_outline_box(outline, &least, &most);
    double across = hypot((double)most.x - least.x, (double)most.y - least.y);
    int shift;
    int64_t rest;
    split_margin(unit, &shift, &rest);
    int pixels = (int)(across * unit->k / unit->unit) + 8 + 2 * abs(shift);
    int corners = corners_of(outline);
    *ret_sizes = (yield_room){
        .words = (size_t)bits_stride(pixels) * (size_t)pixels,
        .work_words = (size_t)bits_stride(pixels) * ((size_t)unit->k + 1),
        .pixels = pixels,
        .corners = corners,
    };
}

void yield_room_alloc(const scrap_outline *outline, const yield_unit *unit,
                      yield_room *ret_room)
{
    yield_room room;
    yield_room_for(outline, unit, &room);
    room.mask = g_new(uint64_t, room.words);
    room.feasible = g_new(uint64_t, room.words);
    room.work = g_new(uint64_t, room.work_words);
    room.strip = g_new(int, room.pixels);
    room.best = g_new(int, room.pixels);
    room.turned = g_new(double, 2 * room.corners);
    room.scaled = g_new(int64_t, 2 * room.corners);
    room.rings = g_new(bits_ring, outline->hole_count + 1);
    *ret_room = room;
}

void yield_room_clear(yield_room *room)
{
    g_free(room->mask);
    g_free(room->feasible);
    g_free(room->work);
    g_free(room->strip);
    g_free(room->best);
    g_free(room->turned);
    g_free(room->scaled);
    g_free(room->rings);
}

length yield_edge(int64_t start, int pixel, const yield_unit *unit)
{
    return (length)lround(((double)start + (double)pixel * unit->unit) / unit->k);
}

static void turn_ring(const scrap_ring *ring, double cosine, double sine, double *xy)
{
    for (int i = 0; i < ring->count; i++) {
        double x = ring->points[i].x, y = ring->points[i].y;
        xy[2 * i] = cosine * x + sine * y;
        xy[2 * i + 1] = cosine * y - sine * x;
    }
}

/* Where a pixel's edge goes: on the longest upright or level side of half a unit or more,
 * so that a side which squares can lie along costs none of them; else on the outermost
 * corner. `axis` 0 for x, 1 for y. */
static length align(const double *xy, int count, int axis, length unit)
{
    double least = xy[axis], longest = unit / 2.0, at = NAN;
    for (int i = 0; i < count; i++) {
        const double *a = xy + 2 * i, *b = xy + 2 * (i + 1 == count ? 0 : i + 1);
        least = fmin(least, a[axis]);
        double along = fabs(a[1 - axis] - b[1 - axis]);
        if (fabs(a[axis] - b[axis]) <= round_off && along >= longest) {
            longest = along;
            at = (a[axis] + b[axis]) / 2;
        }
    }
    return (length)lround(isnan(at) ? least : at);
}

/* The pixel edge at or below `least`, in sub-units, when one lies at `at`. */
static int64_t start_at(length at, double least, const yield_unit *unit)
{
    double below = ceil((at - least - round_off) * unit->k / unit->unit);
    return (int64_t)at * unit->k - (below > 0 ? (int64_t)below : 0) * unit->unit;
}

static int pixels_to(double most, int64_t start, const yield_unit *unit)
{
    return (int)ceil((most * unit->k - (double)start) / unit->unit);
}

static void scale_rings(const scrap_outline *outline, int k, const double *turned,
                        int64_t *scaled, bits_ring *rings)
{
    for (int r = 0; r <= outline->hole_count; r++) {
        int count = r == 0 ? outline->outer.count : outline->holes[r - 1].count;
        rings[r] = (bits_ring){ count, scaled };
        for (int i = 0; i < 2 * count; i++)
            *scaled++ = llround(*turned++ * k);
    }
}

static void quarter_exact(double angle_deg, double *cosine, double *sine)
{
    *cosine = cos(angle_deg * (M_PI / 180));
    *sine = sin(angle_deg * (M_PI / 180));
    if (fmod(angle_deg, 90) == 0) {
        *cosine = nearbyint(*cosine);
        *sine = nearbyint(*sine);
    }
}

void yield_turn(const scrap_outline *outline, const yield_unit *unit, double angle_deg,
                yield_room *room, yield_view *ret_view)
{
    yield_view view = { .unit = *unit };
    quarter_exact(angle_deg, &view.cosine, &view.sine);
    double *turned = room->turned;
    turn_ring(&outline->outer, view.cosine, view.sine, turned);
    int outer = outline->outer.count;
    double least[2] = { INFINITY, INFINITY }, most[2] = { -INFINITY, -INFINITY };
    for (int i = 0; i < 2 * outer; i++) {
        least[i % 2] = fmin(least[i % 2], turned[i]);
        most[i % 2] = fmax(most[i % 2], turned[i]);
    }
    view.left = start_at(align(turned, outer, 0, unit->unit), least[0], unit);
    view.bottom = start_at(align(turned, outer, 1, unit->unit), least[1], unit);
    turned += 2 * outer;
    for (int i = 0; i < outline->hole_count; i++) {
        turn_ring(&outline->holes[i], view.cosine, view.sine, turned);
        turned += 2 * outline->holes[i].count;
    }
    scale_rings(outline, unit->k, room->turned, room->scaled, room->rings);

    int64_t rest;
    split_margin(unit, &view.shift, &rest);
    view.side = unit->k + 2 * view.shift;
    /* The bound's last line may lie past the far edges. */
    int past = 2 + 2 * abs(view.shift);
    bits mask = { .rows = pixels_to(most[1], view.bottom, unit) + past,
                  .cols = pixels_to(most[0], view.left, unit) + past,
                  .words = room->mask };
    mask.stride = bits_stride(mask.cols);
    bits_frame frame = { view.left, view.bottom, unit->unit };
    bits_fill_inside(&mask, outline->hole_count + 1, room->rings, &frame,
                     rest - (int64_t)round_off * unit->k);
    view.loose = mask;
    *ret_view = view;
}

void yield_look(const scrap_outline *outline, const yield_unit *unit, double angle_deg,
                yield_room *room, yield_view *ret_view)
{
    yield_turn(outline, unit, angle_deg, room, ret_view);
    /* Cores a pixel smaller serve the bound; two by two of them make a whole one. */
    bits_erode(&ret_view->loose, ret_view->side - 1, ret_view->side - 1);
    ret_view->feasible = ret_view->loose;
    ret_view->feasible.words = room->feasible;
    bits_erode_by_two(&ret_view->loose, &ret_view->feasible);
}

/* Squares along a row, each as soon as the last one has ended. A run of n corners gives
 * one, and another for each k more. */
static int squares_along(const bits *corners, int row, int k)
{
    /* Division by multiplying: exact while n and k are below 2^16. */
    uint64_t by_k = (UINT64_C(0x100000000) + (uint64_t)k - 1) / (uint64_t)k;
    int count = 0;
    for (int col = bits_next(corners, row, 0); col >= 0;) {
        int more = bits_run_end(corners, row, col) - col - 1;
        int here = 1 + (int)((uint64_t)more * by_k >> 32);
        count += here;
        col = bits_next(corners, row, col + here * k);
    }
    return count;
}

static void count_rows(const bits *corners, int k, int counts[])
{
    size_t bytes = sizeof corners->words[0] * (size_t)corners->stride;
    const uint64_t *words = corners->words;
    for (int row = 0; row < corners->rows; row++, words += corners->stride) {
        /* Neighbouring rows are mostly alike. */
        if (row > 0 && memcmp(words, words - corners->stride, bytes) == 0)
            counts[row] = counts[row - 1];
        else
            counts[row] = squares_along(corners, row, k);
    }
}

int yield_strips(const yield_view *view, bool upright, yield_room *room)
{
    int k = view->unit.k, *best = room->best;
    int starts = upright ? view->feasible.cols : view->feasible.rows;
    if (upright)
        bits_count_apart_cols(&view->feasible, k, room->work, room->strip);
    else
        count_rows(&view->feasible, k, room->strip);
    for (int at = starts - 1; at >= 0; at--) {
        int without = at + 1 < starts ? best[at + 1] : 0;
        int with = room->strip[at] + (at + k < starts ? best[at + k] : 0);
        best[at] = with > without ? with : without;
    }
    return starts > 0 ? best[0] : 0;
}

/* Up to 64 bits of a row from a column on. */
static uint64_t bits_from(const bits *raster, int row, int col, int count)
{
    const uint64_t *words = raster->words + (size_t)row * (size_t)raster->stride;
    int i = col / 64, part = col % 64;
    uint64_t word = words[i] >> part;
    if (part != 0 && i + 1 < raster->stride)
        word |= words[i + 1] << (64 - part);
    return count < 64 ? word & ((UINT64_C(1) << count) - 1) : word;
}

enum { PLANES = 32 };

/* Before: bit b of the planes, read upward, is a number for each b.
 * After:  those with bit b of `word` set have grown by one. */
static void add_to_planes(uint64_t planes[PLANES], uint64_t word)
{
    for (int p = 0; word != 0; p++) {
        uint64_t carry = planes[p] & word;
        planes[p] ^= word;
        word = carry;
    }
}

/* The largest of 64 numbers held in planes, and the first bit that holds it. */
static int largest_in_planes(const uint64_t planes[PLANES], int *ret_bit)
{
    uint64_t among = ~UINT64_C(0);
    int largest = 0;
    for (int p = PLANES - 1; p >= 0; p--) {
        largest *= 2;
        if ((among & planes[p]) != 0) {
            among &= planes[p];
            largest++;
        }
    }
    *ret_bit = __builtin_ctzll(among);
    return largest;
}

/* No grid whose squares start in rows `first`, first + k, ... has more squares. */
static int most_from_row(const bits *corners, int k, int first, const int in_row[])
{
    int sum = 0;
    for (int row = first; row < corners->rows; row += k)
        sum += in_row[row];
    return sum;
}

/* Squares whose corners agree modulo k in both directions never overlap, and every grid
 * is such a class: the fullest class is the best grid. Classes are counted 64 at a time.
 */
int yield_grid(const yield_view *view, const int in_row[], int beyond, int *ret_row,
               int *ret_col)
{
    const bits *corners = &view->feasible;
    int k = view->unit.k, most = beyond;
    for (int row = 0; row < k && row < corners->rows; row++) {
        if (in_row != NULL && most_from_row(corners, k, row, in_row) <= most)
            continue;
        for (int col = 0; col < k && col < corners->cols; col += 64) {
            uint64_t planes[PLANES] = { 0 };
            int wide = k - col < 64 ? k - col : 64, bit;
            for (int r = row; r < corners->rows; r += k)
                for (int c = col; c < corners->cols; c += k)
                    add_to_planes(planes, bits_from(corners, r, c, wide));
            int here = largest_in_planes(planes, &bit);
            if (here > most) {
                most = here;
                *ret_row = row;
                *ret_col = col + bit;
            }
        }
    }
    return most > beyond ? most : 0;
}

/* Squares that cross the level lines at rows first, first + k, ...: on each line as many
 * as lie apart among the cores that start in the k rows up to it. */
static int squares_on_lines(const bits *loose, int k, int first, uint64_t *line)
{
    bits smeared = { 1, loose->cols, loose->stride, line };
    int sum = 0;
    for (int row = first; row < loose->rows; row += k) {
        memset(line, 0, sizeof line[0] * (size_t)loose->stride);
        for (int r = row - k + 1 > 0 ? row - k + 1 : 0; r <= row; r++) {
            const uint64_t *words = loose->words + (size_t)r * (size_t)loose->stride;
            for (int i = 0; i < loose->stride; i++)
                line[i] |= words[i];
        }
        sum += squares_along(&smeared, 0, k);
    }
    return sum;
}

/* The least sum of counts over lines k apart. */
static int least_sum(int count, const int counts[], int k)
{
    int least = INT_MAX;
    for (int first = 0; first < k; first++) {
        int sum = 0;
        for (int at = first; at < count; at += k)
            sum += counts[at];
        least = sum < least ? sum : least;
    }
    return least;
}

static int least_on_upright_lines(const yield_view *view, yield_room *room)
{
    int k = view->unit.k;
    bits across = view->loose;
    across.words = room->feasible;
    memcpy(across.words, view->loose.words,
           sizeof across.words[0] * (size_t)across.rows * (size_t)across.stride);
    bits_smear_right(&across, k);
    bits_count_apart_cols(&across, k, room->work, room->strip);
    return least_sum(across.cols, room->strip, k);
}

static int least_on_level_lines(yield_view *view, yield_room *room)
{
    int k = view->unit.k;
    bits_smear_up(&view->loose, k);
    count_rows(&view->loose, k, room->strip);
    return least_sum(view->loose.rows, room->strip, k);
}

int yield_bound(yield_view *view, int enough, yield_room *room)
{
    /* A square that starts anywhere within pixel (r, c) covers the core a pixel smaller
     * at (r + 1, c + 1), so lines are held against those cores. A few sets of lines show
     * quickly that most angles are no better than one tried before. */
    enum { TRIES = 8 };
    int k = view->unit.k, bound = INT_MAX;
    for (int i = 0; i < TRIES && bound > enough; i++) {
        int here = squares_on_lines(&view->loose, k, i * k / TRIES, room->work);
        bound = here < bound ? here : bound;
    }
    for (int level = 0; level < 2 && bound > enough; level++) {
        int here = level != 0 ? least_on_level_lines(view, room)
                              : least_on_upright_lines(view, room);
        bound = here < bound ? here : bound;
    }
    return bound;
}

int yield_area_bound(const scrap_outline *outline, const yield_unit *unit)
{
    /* A square may stand over by `over`, but what lies deeper in does not overlap. */
    double area = (double)scrap_outline_area2(outline) / 2;
    double over = (unit->margin < 0 ? -unit->margin : 0) + round_off;
    double deep = unit->unit - 2 * over;
    double grown = area + M_SQRT2 * over * scrap_outline_perimeter(outline) +
                   8 * over * over * corners_of(outline);
    double bound = fmin(area / (deep * deep), grown / ((double)unit->unit * unit->unit));
    return (int)floor(bound);
}
