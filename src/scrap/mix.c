#include "scrap/mix.h"

#include "base/error.h"
#include "scrap/plan-internal.h"
#include "scrap/yield-internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { WANTS_MAX = 64, DEPTHS_MAX = 2 * WANTS_MAX };
static const int64_t value_max = INT64_C(1000000000000);
/* A common divisor below this would make pixels too fine. */
static const length finest_step = LENGTH_INCH / 128;

/* One way to lay one wanted size, in pixels. */
typedef struct laid_size {
    int width, height;
    int64_t value;
    int want;
    length width_units, height_units;
} laid_size;

/* Strips of one depth: what a free run of so many pixels along them is worth. */
typedef struct strip_depth {
    int height;
    length height_units; /* of the highest size that takes so many pixels */
    int64_t *run_value;  /* pixels of them */
    int *run_size;       /* index of the size laid last, -1 for none */
    int64_t *strip;      /* worth of a strip that starts in each row */
} strip_depth;

typedef struct search {
    const scrap_outline *outline;
    const scrap_want *wants;
    yield_unit unit;
    yield_room room;
    int size_count, depth_count;
    laid_size sizes[DEPTHS_MAX];
    strip_depth depths[DEPTHS_MAX];
    int64_t *best; /* pixels of them, one more for past the end */
} search;

void scrap_mix_free(scrap_mix *mix)
{
    if (mix == NULL)
        return;
    g_free(mix->pieces);
    g_free(mix->cuts);
    g_free(mix);
}

static gboolean check_wants(int count, const scrap_want wants[], GError **error)
{
    bool fine = count >= 1 && count <= WANTS_MAX;
    for (int i = 0; i < count && fine; i++)
        fine = wants[i].width > 0 && wants[i].height > 0 &&
               wants[i].width <= SCRAP_SIZE_MAX && wants[i].height <= SCRAP_SIZE_MAX &&
               wants[i].value > 0 && wants[i].value <= value_max;
    if (!fine)
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_WANT,
                            "A wanted size or its value is out of range.");
    return fine;
}

static length common_divisor(length a, length b)
{
    return b == 0 ? a : common_divisor(b, a % b);
}

static int pixels_of(length side, const yield_unit *unit)
{
    return (int)(((int64_t)side * unit->k + unit->unit - 1) / unit->unit);
}

static void add_size(search *s, length width, length height, int want)
{
    laid_size *size = &s->sizes[s->size_count++];
    *size = (laid_size){ pixels_of(width, &s->unit),
                         pixels_of(height, &s->unit),
                         s->wants[want].value,
                         want,
                         width,
                         height };
    int d = 0;
    while (d < s->depth_count && s->depths[d].height != size->height)
        d++;
    if (d == s->depth_count)
        s->depths[s->depth_count++] = (strip_depth){ .height = size->height };
    s->depths[d].height_units = MAX(s->depths[d].height_units, height);
}

/* Pixels that divide every size, where that is not too fine. */
static void choose_pixels(search *s, int count, length margin)
{
    scrap_point least, most;
    scrap_outline_box(s->outline, &least, &most);
    bool large = MAX(most.x - least.x, most.y - least.y) > LENGTH_M;
    length finest = LENGTH_INCH / (large ? 16 : 32), step = 0;
    for (int i = 0; i < count; i++)
        step =
            common_divisor(s->wants[i].width, common_divisor(s->wants[i].height, step));
    if (step < finest_step)
        step = finest;
    s->unit = (yield_unit){ step, yield_pixels(step, finest), margin };
}

/* The most value of pieces one after another within each length (Gilmore and Gomory
 * 1966). */
static void fill_runs(const search *s, strip_depth *depth, int pixels)
{
    depth->run_value[0] = 0;
    depth->run_size[0] = -1;
    for (int n = 1; n < pixels; n++) {
        depth->run_value[n] = depth->run_value[n - 1];
        depth->run_size[n] = -1;
        for (int i = 0; i < s->size_count; i++) {
            const laid_size *size = &s->sizes[i];
            if (size->height > depth->height || size->width > n)
                continue;
            int64_t value = size->value + depth->run_value[n - size->width];
            if (value > depth->run_value[n]) {
                depth->run_value[n] = value;
                depth->run_size[n] = i;
            }
        }
    }
}

static void search_start(search *s, int count)
{
    yield_room_alloc(s->outline, &s->unit, &s->room);
    for (int i = 0; i < count; i++) {
        const scrap_want *w = &s->wants[i];
        add_size(s, w->width, w->height, i);
        if (w->turns && w->width != w->height)
            add_size(s, w->height, w->width, i);
    }
    size_t pixels = (size_t)s->room.pixels + 1;
    for (int d = 0; d < s->depth_count; d++) {
        s->depths[d].run_value = g_new(int64_t, pixels);
        s->depths[d].run_size = g_new(int, pixels);
        s->depths[d].strip = g_new(int64_t, pixels);
        fill_runs(s, &s->depths[d], (int)pixels);
    }
    s->best = g_new(int64_t, pixels);
}

static void search_end(search *s)
{
    yield_room_clear(&s->room);
    for (int d = 0; d < s->depth_count; d++) {
        g_free(s->depths[d].run_value);
        g_free(s->depths[d].run_size);
        g_free(s->depths[d].strip);
    }
    g_free(s->best);
}

/* Pixels that a strip of this depth may use, and the margin beside them. */
static bits strips_of_depth(search *s, const yield_view *view, int height)
{
    bits strips = view->loose;
    strips.words = s->room.feasible;
    memcpy(strips.words, view->loose.words,
           sizeof strips.words[0] * (size_t)strips.rows * (size_t)strips.stride);
    bits_erode(&strips, 1, MAX(1, height + 2 * view->shift));
    return strips;
}

/* Pieces may use a run less the margin at both its ends. */
static int usable(const yield_view *view, int run)
{
    return MAX(0, run - 2 * view->shift);
}

static void value_strips(search *s, const yield_view *view, strip_depth *depth)
{
    bits strips = strips_of_depth(s, view, depth->height);
    for (int row = 0; row < strips.rows; row++) {
        depth->strip[row] = 0;
        for (int col = bits_next(&strips, row, 0), end; col >= 0;
             col = bits_next(&strips, row, end)) {
            end = bits_run_end(&strips, row, col);
            int run = MIN(usable(view, end - col), s->room.pixels);
            depth->strip[row] += depth->run_value[run];
        }
    }
}

/* The best depth for a strip that starts in a row, -1 for none. */
static int best_depth(const search *s, const yield_view *view, int row)
{
    for (int d = 0; d < s->depth_count; d++) {
        int end = MIN(row + s->depths[d].height, view->loose.rows);
        if (s->depths[d].strip[row] > 0 &&
            s->depths[d].strip[row] + s->best[end] == s->best[row])
            return d;
    }
    return -1;
}

/* best[row] is the most value from that row up. */
static int64_t value_view(search *s, const yield_view *view)
{
    int rows = view->loose.rows;
    for (int d = 0; d < s->depth_count; d++)
        value_strips(s, view, &s->depths[d]);
    s->best[rows] = 0;
    for (int row = rows - 1; row >= 0; row--) {
        s->best[row] = s->best[row + 1];
        for (int d = 0; d < s->depth_count; d++) {
            int end = MIN(row + s->depths[d].height, rows);
            int64_t value = s->depths[d].strip[row] + s->best[end];
            s->best[row] = MAX(s->best[row], value);
        }
    }
    return s->best[0];
}

/* A piece in the frame of the view, in its strip. */
typedef struct placed {
    length x, y, width, height, strip_height;
    int want;
} placed;

static void place_run(const search *s, const yield_view *view, const strip_depth *depth,
                      length y, int col, int run, GArray *pieces)
{
    length strip_height = depth->height_units;
    int at = col + view->shift;
    length x = yield_edge(view->left, at, &s->unit);
    for (int left = MIN(usable(view, run), s->room.pixels); depth->run_value[left] > 0;) {
        int i = depth->run_size[left];
        if (i < 0) {
            left--;
            continue;
        }
        const laid_size *size = &s->sizes[i];
        placed piece = {
            x, y, size->width_units, size->height_units, strip_height, size->want
        };
        g_array_append_val(pieces, piece);
        x += size->width_units;
        left -= size->width;
    }
}

static void place_pieces(search *s, const yield_view *view, GArray *pieces)
{
    int last_end = -1;
    length top = 0;
    value_view(s, view);
    for (int row = 0; row < view->loose.rows;) {
        int d = s->best[row] > 0 ? best_depth(s, view, row) : -1;
        if (d < 0) {
            row++;
            continue;
        }
        /* One cut parts strips that touch, whatever the first was rounded by. */
        length y = yield_edge(view->bottom, row + view->shift, &s->unit);
        if (row == last_end && abs(y - top) <= 1)
            y = top;
        bits strips = strips_of_depth(s, view, s->depths[d].height);
        for (int col = bits_next(&strips, row, 0), end; col >= 0;
             col = bits_next(&strips, row, end)) {
            end = bits_run_end(&strips, row, col);
            place_run(s, view, &s->depths[d], y, col, end - col, pieces);
        }
        row += s->depths[d].height;
        last_end = row;
        top = y + s->depths[d].height_units;
    }
}

static int by_at(const void *a, const void *b)
{
    const scrap_line *s = a, *t = b;
    if (s->at != t->at)
        return s->at < t->at ? -1 : 1;
    return (s->from > t->from) - (s->from < t->from);
}

/* Sorts lines from `first` on and joins those that lie end to end at one place. */
static void tidy_lines(plan_frame *frame, int first)
{
    scrap_line *lines = frame->lines + first;
    int count = frame->count - first, kept = 0;
    qsort(lines, (size_t)count, sizeof lines[0], by_at);
    for (int i = 0; i < count; i++) {
        if (kept > 0 && lines[kept - 1].at == lines[i].at &&
            lines[kept - 1].to >= lines[i].from)
            lines[kept - 1].to = MAX(lines[kept - 1].to, lines[i].to);
        else
            lines[kept++] = lines[i];
    }
    frame->count = first + kept;
}

/* One past the last piece of the strip that begins with piece `first`. */
static int strip_end(int count, const placed pieces[], int first)
{
    int end = first;
    while (end < count && pieces[end].y == pieces[first].y)
        end++;
    return end;
}

/* Below and above each strip. */
static void list_along(plan_frame *frame, const turned_outline *turned, int count,
                       const placed pieces[])
{
    for (int first = 0, end; first < count; first = end) {
        end = strip_end(count, pieces, first);
        const placed *last = &pieces[end - 1];
        for (int side = 0; side < 2; side++) {
            length at = pieces[first].y + (side == 0 ? 0 : pieces[first].strip_height);
            length from = pieces[first].x, to = last->x + last->width;
            plan_widen_to_section(turned, at, &from, &to);
            frame->lines[frame->count++] = (scrap_line){ at, from, to };
        }
    }
    tidy_lines(frame, 0);
    frame->along_count = frame->count;
}

/* Beside each piece, strip by strip. */
static void list_across(plan_frame *frame, int count, const placed pieces[])
{
    for (int first = 0, end; first < count; first = end) {
        end = strip_end(count, pieces, first);
        int start = frame->count;
        for (const placed *p = pieces + first; p < pieces + end; p++) {
            length top = p->y + p->strip_height;
            frame->lines[frame->count++] = (scrap_line){ p->x, p->y, top };
            frame->lines[frame->count++] = (scrap_line){ p->x + p->width, p->y, top };
        }
        tidy_lines(frame, start);
        frame->group_ends[frame->group_count++] = frame->count;
    }
}

/* Pieces lower than their strip lie loose by now, and are trimmed. */
static void list_trims(plan_frame *frame, int count, const placed pieces[])
{
    frame->trim_first = frame->count;
    for (int i = 0; i < count; i++) {
        const placed *p = &pieces[i];
        if (p->height < p->strip_height)
            frame->lines[frame->count++] =
                (scrap_line){ p->y + p->height, p->x, p->x + p->width };
    }
    tidy_lines(frame, frame->trim_first);
    if (frame->count > frame->trim_first)
        frame->group_ends[frame->group_count++] = frame->count;
}

static scrap_point turned_back(const plan_frame *frame, length x, length y)
{
    return (scrap_point){ (length)lround(frame->cosine * x - frame->sine * y),
                          (length)lround(frame->sine * x + frame->cosine * y) };
}

static void lay_out(scrap_mix *mix, const search *s, const yield_view *view, int count,
                    const placed pieces[], const scrap_plan_request *request)
{
    turned_outline turned;
    plan_turn_outline(s->outline, view->cosine, view->sine, &turned);
    plan_frame *frame =
        plan_frame_new(&turned, view->cosine, view->sine, 5 * count, count + 1);
    list_along(frame, &turned, count, pieces);
    list_across(frame, count, pieces);
    mix->strips = frame->group_count;
    list_trims(frame, count, pieces);
    g_free(turned.sides);

    int64_t used = 0;
    mix->piece_count = count;
    mix->pieces = g_new(scrap_mix_piece, (size_t)count + 1);
    for (int i = 0; i < count; i++) {
        const placed *p = &pieces[i];
        mix->pieces[i] = (scrap_mix_piece){
            { turned_back(frame, p->x, p->y), turned_back(frame, p->x + p->width, p->y),
              turned_back(frame, p->x + p->width, p->y + p->height),
              turned_back(frame, p->x, p->y + p->height) },
            p->want,
        };
        mix->value += s->wants[p->want].value;
        used += 2 * (int64_t)p->width * p->height;
    }
    mix->waste_area2 = MAX(0, scrap_outline_area2(s->outline) - used);
    mix->cut_count = frame->count;
    mix->cuts = g_new(scrap_cut, (size_t)frame->count + 1);
    plan_count_effort(frame, mix->strips, request->ruler, request->mat, request->times,
                      mix->cuts, &mix->effort);
    plan_frame_free(frame);
}

/* Both ways round at each angle: strips lie along the second as well. */
static double best_angle(search *s, const scrap_plan_request *request)
{
    double grain = isnan(request->grain_deg) ? scrap_outline_longest_side_deg(s->outline)
                                             : request->grain_deg;
    double widest = request->angles == SCRAP_ANGLES_FREE ? 45 : request->tolerance_deg;
    double best_deg = plan_normal_deg(grain);
    int64_t best = 0;
    for (int i = 0; i * request->step_deg <= widest; i++) {
        for (int way = 0; way < (i == 0 ? 2 : 4); way++) {
            double off = (way < 2 ? 1 : -1) * i * request->step_deg;
            double angle = plan_normal_deg(grain + off + 90 * (way % 2));
            yield_view view;
            yield_turn(s->outline, &s->unit, angle, &s->room, &view);
            int64_t value = value_view(s, &view);
            if (value > best) {
                best = value;
                best_deg = angle;
            }
        }
    }
    return best_deg;
}

/* By area: no piece is worth more for its cloth than the dearest. */
static int64_t bound_by_area(const search *s)
{
    double bound = 0;
    for (int i = 0; i < s->size_count; i++) {
        const laid_size *size = &s->sizes[i];
        yield_unit unit = { MIN(size->width_units, size->height_units), 1,
                            s->unit.margin };
        double over = (unit.margin < 0 ? -unit.margin : 0) + SCRAP_TOUCH;
        double cloth = (size->width_units - 2 * over) * (size->height_units - 2 * over);
        double area = (double)scrap_outline_area2(s->outline) / 2;
        bound = fmax(bound, (double)size->value * area / fmax(cloth, 1));
    }
    return bound < 9e18 ? (int64_t)bound : INT64_MAX;
}

scrap_mix *scrap_mix_make(const scrap_outline *outline, const scrap_plan_request *request,
                          int count, const scrap_want wants[], GError **error)
{
    scrap_plan_request asked = *request;
    asked.unit = SCRAP_PLAN_USUAL.unit;
    if (!check_wants(count, wants, error) || !plan_check_request(&asked, error))
        return NULL;
    search s = { .outline = outline, .wants = wants };
    choose_pixels(&s, count, request->trim - request->slack);
    search_start(&s, count);
    yield_view view;
    g_autoptr(scrap_mix) mix = g_new0(scrap_mix, 1);
    mix->angle_deg = best_angle(&s, request);
    mix->bound = bound_by_area(&s);
    yield_turn(outline, &s.unit, mix->angle_deg, &s.room, &view);
    g_autoptr(GArray) pieces = g_array_new(FALSE, FALSE, sizeof(placed));
    place_pieces(&s, &view, pieces);
    lay_out(mix, &s, &view, (int)pieces->len, (const placed *)(const void *)pieces->data,
            request);
    search_end(&s);
    if (!scrap_mix_check(mix, outline, SCRAP_TOUCH + request->slack, count, wants, error))
        return NULL;
    return g_steal_pointer(&mix);
}
