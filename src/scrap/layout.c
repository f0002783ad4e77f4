#include "scrap/plan-internal.h"

#include <math.h>
#include <stdlib.h>

/* A square is tight when an outline smaller by this would not hold it. */
static const length tight_by = LENGTH_INCH / 32;

plan_frame *plan_frame_new(const turned_outline *turned, double cosine, double sine,
                           int lines, int groups)
{
    plan_frame *frame = g_new0(plan_frame, 1);
    frame->cosine = cosine;
    frame->sine = sine;
    frame->across = (length)lround(turned->right - turned->left);
    frame->up = (length)lround(turned->top - turned->bottom);
    frame->lines = g_new(scrap_line, lines + 1);
    frame->group_ends = g_new(int, groups + 1);
    frame->trim_first = lines + 1;
    return frame;
}

void plan_frame_free(plan_frame *frame)
{
    if (frame == NULL)
        return;
    g_free(frame->lines);
    g_free(frame->group_ends);
    g_free(frame);
}

void plan_turn_outline(const scrap_outline *outline, double cosine, double sine,
                       turned_outline *turned)
{
    int corners = outline->outer.count;
    for (int i = 0; i < outline->hole_count; i++)
        corners += outline->holes[i].count;
    *turned = (turned_outline){ 0,        g_new(turned_side, corners),
                                INFINITY, -INFINITY,
                                INFINITY, -INFINITY };
    for (int r = 0; r <= outline->hole_count; r++) {
        const scrap_ring *ring = r == 0 ? &outline->outer : &outline->holes[r - 1];
        for (int i = 0; i < ring->count; i++) {
            scrap_point a = ring->points[i];
            scrap_point b = ring->points[i + 1 == ring->count ? 0 : i + 1];
            turned_side side = { cosine * a.x + sine * a.y, cosine * a.y - sine * a.x,
                                 cosine * b.x + sine * b.y, cosine * b.y - sine * b.x };
            turned->sides[turned->count++] = side;
            turned->left = fmin(turned->left, side.x1);
            turned->right = fmax(turned->right, side.x1);
            turned->bottom = fmin(turned->bottom, side.y1);
            turned->top = fmax(turned->top, side.y1);
        }
    }
}

static turned_side exchanged(turned_side side)
{
    return (turned_side){ side.y1, side.x1, side.y2, side.x2 };
}

/* Whether the outline itself runs along a line from `from` to `to`, so that no cut is
 * needed there. Upright lines are asked with x and y exchanged. */
static bool is_edge(const turned_outline *turned, bool upright, length at, length from,
                    length to)
{
    double covered = 0;
    int pieces = 1;
    for (int i = 0; i < turned->count; i++) {
        turned_side s = upright ? exchanged(turned->sides[i]) : turned->sides[i];
        if (fabs(s.y1 - at) > SCRAP_TOUCH || fabs(s.y2 - at) > SCRAP_TOUCH)
            continue;
        double both = fmin(fmax(s.x1, s.x2), to) - fmax(fmin(s.x1, s.x2), from);
        if (both > 0) {
            covered += both;
            pieces++;
        }
    }
    return covered >= to - from - (double)pieces * SCRAP_TOUCH;
}

void plan_widen_to_section(const turned_outline *turned, length at, length *from,
                           length *to)
{
    for (int i = 0; i < turned->count; i++) {
        turned_side s = turned->sides[i];
        double low = fmin(s.y1, s.y2), high = fmax(s.y1, s.y2);
        if (high < at || low > at)
            continue;
        double share1 = 0, share2 = 1;
        if (high > low)
            share1 = share2 = (at - s.y1) / (s.y2 - s.y1);
        double x1 = s.x1 + share1 * (s.x2 - s.x1), x2 = s.x1 + share2 * (s.x2 - s.x1);
        *from = MIN(*from, (length)lround(fmin(x1, x2)));
        *to = MAX(*to, (length)lround(fmax(x1, x2)));
    }
}

static bool strip_needs_cut(const plan_layout *layout, const plan_strip *strip,
                            const turned_outline *turned, length at)
{
    for (int i = 0; i < strip->count; i++) {
        length x = layout->x[strip->first + i];
        if (!is_edge(turned, false, at, x, x + layout->unit))
            return true;
    }
    return false;
}

/* A line along strips `first` to `last`, which is the same or the next one. */
static void add_along(plan_frame *frame, const plan_layout *layout,
                      const plan_strip *first, const plan_strip *last,
                      const turned_outline *turned, length at)
{
    /* Squares may stand over the outline a little, and the cut goes to their ends. */
    length from = LENGTH_MAX, to = -LENGTH_MAX;
    for (const plan_strip *s = first; s <= last; s++) {
        from = MIN(from, layout->x[s->first]);
        to = MAX(to, layout->x[s->first + s->count - 1] + layout->unit);
    }
    plan_widen_to_section(turned, at, &from, &to);
    frame->lines[frame->count++] = (scrap_line){ at, from, to };
}

/* Below and above every strip, across the whole scrap; once where strips touch. */
static void list_along(plan_frame *frame, const plan_layout *layout,
                       const turned_outline *turned)
{
    for (int i = 0; i < layout->strip_count; i++) {
        const plan_strip *strip = &layout->strips[i];
        length top = strip->y + layout->unit;
        bool touches_last = i > 0 && strip[-1].y + layout->unit == strip->y;
        bool touches_next = i + 1 < layout->strip_count && strip[1].y == top;
        if (!touches_last && strip_needs_cut(layout, strip, turned, strip->y))
            add_along(frame, layout, strip, strip, turned, strip->y);
        if (touches_next || strip_needs_cut(layout, strip, turned, top))
            add_along(frame, layout, strip, touches_next ? strip + 1 : strip, turned,
                      top);
    }
    frame->along_count = frame->count;
}

static int by_place(const void *a, const void *b)
{
    const scrap_line *s = a, *t = b;
    if (s->at != t->at)
        return s->at < t->at ? -1 : 1;
    return (s->from > t->from) - (s->from < t->from);
}

/* Joins lines that lie end to end, or over each other, at one place. */
static int join_lines(int count, scrap_line lines[])
{
    int kept = 0;
    for (int i = 0; i < count; i++) {
        if (kept > 0 && lines[kept - 1].at == lines[i].at &&
            lines[kept - 1].to >= lines[i].from)
            lines[kept - 1].to = MAX(lines[kept - 1].to, lines[i].to);
        else
            lines[kept++] = lines[i];
    }
    return kept;
}

/* Cross-cuts of strips first to end - 1 as one group: one cut serves all strips between
 * its first and its last, also those that have no square there. */
static void list_group(plan_frame *frame, const plan_layout *layout,
                       const turned_outline *turned, int first, int end)
{
    int start = frame->count;
    for (int i = first; i < end; i++) {
        const plan_strip *strip = &layout->strips[i];
        for (int j = 0; j < strip->count; j++) {
            const length *x = &layout->x[strip->first + j];
            length top = strip->y + layout->unit;
            bool touches_last = j > 0 && x[-1] + layout->unit == x[0];
            bool touches_next = j + 1 < strip->count && x[1] == x[0] + layout->unit;
            if (!touches_last && !is_edge(turned, true, x[0], strip->y, top))
                frame->lines[frame->count++] = (scrap_line){ x[0], strip->y, top };
            if (touches_next ||
                !is_edge(turned, true, x[0] + layout->unit, strip->y, top))
                frame->lines[frame->count++] =
                    (scrap_line){ x[0] + layout->unit, strip->y, top };
        }
    }
    int count = frame->count - start;
    scrap_line *lines = frame->lines + start;
    qsort(lines, (size_t)count, sizeof lines[0], by_place);
    for (int i = 1; i < count; i++)
        if (lines[i].at == lines[i - 1].at)
            lines[i].from = MIN(lines[i].from, lines[i - 1].to);
    frame->count = start + join_lines(count, lines);
    if (frame->count > start)
        frame->group_ends[frame->group_count++] = frame->count;
}

/* Strips that touch and whose squares stand over each other are cross-cut together. */
static bool in_line(const plan_layout *layout, const plan_strip *a, const plan_strip *b)
{
    if (a->y + layout->unit != b->y)
        return false;
    length start = layout->x[a->first];
    for (const plan_strip *s = a; s <= b; s++)
        for (int i = 0; i < s->count; i++)
            if ((layout->x[s->first + i] - start) % layout->unit != 0)
                return false;
    return true;
}

static void list_across(plan_frame *frame, const plan_layout *layout,
                        const turned_outline *turned, scrap_method method)
{
    if (method == SCRAP_CUT_GRID) {
        list_group(frame, layout, turned, 0, layout->strip_count);
        return;
    }
    for (int first = 0, end; first < layout->strip_count; first = end) {
        end = first + 1;
        while (end < layout->strip_count &&
               in_line(layout, &layout->strips[end - 1], &layout->strips[end]))
            end++;
        list_group(frame, layout, turned, first, end);
    }
}

static scrap_point turned_back(const plan_frame *frame, double x, double y)
{
    return (scrap_point){ (length)lround(frame->cosine * x - frame->sine * y),
                          (length)lround(frame->sine * x + frame->cosine * y) };
}

/* Whether a side enters the open box, by clipping (Liang and Barsky 1984). */
static bool enters(const turned_side *s, double left, double bottom, double right,
                   double top)
{
    if ((s->x1 <= left && s->x2 <= left) || (s->x1 >= right && s->x2 >= right) ||
        (s->y1 <= bottom && s->y2 <= bottom) || (s->y1 >= top && s->y2 >= top))
        return false;
    double dx = s->x2 - s->x1, dy = s->y2 - s->y1, from = 0, to = 1;
    const double step[4] = { -dx, dx, -dy, dy };
    const double room[4] = { s->x1 - left, right - s->x1, s->y1 - bottom, top - s->y1 };
    for (int i = 0; i < 4; i++) {
        if (step[i] == 0 && room[i] <= 0)
            return false;
        if (step[i] < 0)
            from = fmax(from, room[i] / step[i]);
        else if (step[i] > 0)
            to = fmin(to, room[i] / step[i]);
    }
    return from < to;
}

static bool is_tight(const turned_outline *turned, length x, length y, length unit)
{
    double over = tight_by - SCRAP_TOUCH;
    for (int i = 0; i < turned->count; i++)
        if (enters(&turned->sides[i], x - over, y - over, x + unit + over,
                   y + unit + over))
            return true;
    return false;
}

static void place_squares(scrap_plan *plan, const plan_layout *layout,
                          const turned_outline *turned)
{
    plan->places = g_new(scrap_square, layout->count);
    scrap_square *next = plan->places;
    for (int i = 0; i < layout->strip_count; i++) {
        const plan_strip *strip = &layout->strips[i];
        for (int j = strip->first; j < strip->first + strip->count; j++) {
            length left = layout->x[j], right = left + layout->unit;
            length bottom = strip->y, top = bottom + layout->unit;
            *next = (scrap_square){
                { turned_back(plan->frame, left, bottom),
                  turned_back(plan->frame, right, bottom),
                  turned_back(plan->frame, right, top),
                  turned_back(plan->frame, left, top) },
                is_tight(turned, left, bottom, layout->unit),
            };
            plan->tight += next->tight;
            next++;
        }
    }
}

/* Lays the ruler along one set of lines; numbers their cuts on from the passes so far. */
static void count_lines(const plan_frame *frame, const scrap_ruler *ruler, int first,
                        int end, length done[], int pass[], scrap_cut cuts[],
                        scrap_effort *effort)
{
    int made;
    int passes =
        scrap_ruler_lay(ruler, end - first, frame->lines + first, done, pass, &made);
    scrap_cut *next = cuts + first;
    for (int p = 0; p < passes; p++) {
        for (int i = first; i < end; i++) {
            if (pass[i - first] != p)
                continue;
            scrap_line line = frame->lines[i];
            bool along = i < frame->along_count || i >= frame->trim_first;
            *next++ = (scrap_cut){
                along ? turned_back(frame, line.from, line.at)
                      : turned_back(frame, line.at, line.from),
                along ? turned_back(frame, line.to, line.at)
                      : turned_back(frame, line.at, line.to),
                effort->passes + p + 1,
            };
        }
    }
    effort->passes += passes;
    effort->cuts += made;
}

/* How often a piece this size is moved on over the mat. */
static int mats_across(const plan_frame *frame, const scrap_mat *mat)
{
    if (mat->width <= 0 || mat->height <= 0)
        return 1;
    length longer = MAX(frame->across, frame->up),
           shorter = MIN(frame->across, frame->up);
    length wide = MAX(mat->width, mat->height), narrow = MIN(mat->width, mat->height);
    return MAX(1, (longer + wide - 1) / wide) * MAX(1, (shorter + narrow - 1) / narrow);
}

void plan_count_effort(const plan_frame *frame, int strips, const scrap_ruler *ruler,
                       const scrap_mat *mat, const scrap_times *times, scrap_cut cuts[],
                       scrap_effort *ret_effort)
{
    scrap_effort effort = { 0 };
    g_autofree length *done = g_new(length, frame->count + 1);
    g_autofree int *pass = g_new(int, frame->count + 1);
    count_lines(frame, ruler, 0, frame->along_count, done, pass, cuts, &effort);
    for (int g = 0, first = frame->along_count; g < frame->group_count; g++) {
        count_lines(frame, ruler, first, frame->group_ends[g], done, pass, cuts, &effort);
        first = frame->group_ends[g];
    }
    if (strips > 0) {
        effort.handled = mats_across(frame, mat);
        if (frame->count > frame->along_count && frame->along_count > 0) {
            effort.turns = frame->count > frame->trim_first ? 2 : 1;
            /* Cloth that does not turn with its mat is laid anew, strip by strip. */
            effort.handled += mat->turns ? 0 : strips;
        }
    }
    effort.minutes = scrap_effort_minutes(&effort, times);
    *ret_effort = effort;
}

void plan_lay_out(scrap_plan *plan, const plan_layout *layout,
                  const scrap_outline *outline, const scrap_plan_request *request)
{
    turned_outline turned;
    plan_turn_outline(outline, layout->cosine, layout->sine, &turned);
    plan_frame *frame =
        plan_frame_new(&turned, layout->cosine, layout->sine,
                       2 * (layout->strip_count + layout->count), layout->strip_count);
    plan->frame = frame;

    list_along(frame, layout, &turned);
    list_across(frame, layout, &turned, plan->method);
    plan->cut_count = frame->count;
    plan->cuts = g_new(scrap_cut, frame->count + 1);
    place_squares(plan, layout, &turned);
    plan_count_effort(frame, plan->strips, request->ruler, request->mat, request->times,
                      plan->cuts, &plan->effort);
    g_free(turned.sides);
}

gboolean scrap_plan_retool(scrap_plan *plan, const scrap_ruler *ruler,
                           const scrap_mat *mat, const scrap_times *times, GError **error)
{
    if (!scrap_ruler_check(ruler, error) ||
        !scrap_ruler_can_cut(ruler, plan->unit, error))
        return FALSE;
    plan_count_effort(plan->frame, plan->strips, ruler, mat, times, plan->cuts,
                      &plan->effort);
    return TRUE;
}
