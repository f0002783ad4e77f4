#include "quilt/size.h"

#include "base/error.h"
#include "quilt/layout-internal.h"

#include <math.h>

/* Largest whole number whose square is not above n; 0 <= n < 2^62. */
static int64_t root(int64_t n)
{
    int64_t r = (int64_t)sqrt((double)n);
    /* The double may be off by one where n has more than 53 bits. */
    while (r * r > n)
        r--;
    while ((r + 1) * (r + 1) <= n)
        r++;
    return r;
}

static int64_t root_up(int64_t n)
{
    int64_t r = root(n);
    return r * r == n ? r : r + 1;
}

length quilt_diagonal(length x)
{
    /* x root 2 is never half way between whole numbers, being irrational, so the nearest
     * is the root of the square of twice it, halved up. */
    return (length)((root(8 * (int64_t)x * x) + 1) / 2);
}

length quilt_diagonal_up(length x)
{
    return (length)root_up(2 * (int64_t)x * x);
}

length quilt_leg_up(length x)
{
    /* The least y with 2 y y >= x x. */
    int64_t square = (int64_t)x * x;
    return (length)root_up(square / 2 + square % 2);
}

length quilt_half_square(length f, length seam)
{
    return f + 2 * seam + quilt_diagonal_up(seam);
}

length quilt_half_square_by_eight(length f, length seam)
{
    return 2 * f + 4 * seam + quilt_diagonal_up(2 * seam);
}

length quilt_half_square_by_four(length f, length seam)
{
    return quilt_diagonal_up(f + 2 * seam) + 2 * seam;
}

length quilt_quarter_square(length f, length seam)
{
    return f + 2 * seam + quilt_diagonal_up(2 * seam);
}

length quilt_half_square_raw(length q, length seam)
{
    return q - quilt_diagonal_up(seam);
}

length quilt_unit_for(length block_finished, int side, length seam)
{
    return (block_finished + side / 2) / side + 2 * seam;
}

length quilt_spacer(length body, length unit)
{
    return (length_ceil(body, unit) - body) / 2;
}

int64_t quilt_squares_in(length width, length height, length c)
{
    return (int64_t)(width / c) * (height / c);
}

quilt_seam_test quilt_seam_test_of(length strip, length seam)
{
    return (quilt_seam_test){ strip - 2 * seam, strip - seam, 3 * strip - 4 * seam };
}

length quilt_seam_sewn(length strip, length middle)
{
    return (strip - middle) / 2;
}

length quilt_row_short(int n, length error)
{
    return 2 * (n - 1) * error;
}

length quilt_seam_error(int n, length cut, length seam, length measured)
{
    length missing = n * (cut - 2 * seam) + 2 * seam - measured;
    return (length)lround((double)missing / (2 * (n - 1)));
}

static length width_of(quilt_width width, length finished)
{
    return width.patches * finished + width.size;
}

quilt_frame quilt_frame_make(const quilt_design *design, int across, int down,
                             length unit, length seam)
{
    length finished = MAX(unit - 2 * seam, 0);
    quilt_frame frame = {
        .side = quilt_design_side(design),
        .across = across,
        .down = down,
        .on_point = design->set == QUILT_ON_POINT,
        .unit = unit,
        .seam = seam,
        .sash = width_of(design->sash.width, finished),
        .sash_role = design->sash.role,
        .cornerstone_role = design->sash.cornerstone_role,
        .setting_role = QUILT_BACKGROUND,
        .sash_around = design->sash.around,
        .cornerstones = design->sash.cornerstones,
        .border_count = design->border_count,
    };
    for (int i = 0; i < design->border_count; i++)
        frame.borders[i] =
            (quilt_frame_border){ width_of(design->borders[i].width, finished),
                                  design->borders[i].role, design->borders[i].mitred };
    return frame;
}

static gboolean refuse_measure(GError **error, const char *what, length x)
{
    char text[LENGTH_TEXT_SIZE];
    g_set_error(
        error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_MEASURE, "%s (it is %s%s in)", what,
        x < 0 ? "-" : "",
        length_text_in(x < 0 ? -(int64_t)x > LENGTH_MAX ? LENGTH_MAX : -x : x, 64, text));
    return FALSE;
}

static gboolean check_frame(const quilt_frame *frame, GError **error)
{
    if (frame->seam <= 0 || frame->seam > LENGTH_INCH * 2)
        return refuse_measure(error, "a seam allowance is above 0 and up to 2 in",
                              frame->seam);
    if (frame->unit <= 2 * frame->seam)
        return refuse_measure(error,
                              "the unit is used up by its seams; cut it wider than two",
                              frame->unit);
    if (frame->unit > LENGTH_M)
        return refuse_measure(error, "a unit is at most 1 m", frame->unit);
    if (frame->sash < 0 || frame->sash > LENGTH_M)
        return refuse_measure(error, "a sash is 0 to 1 m wide", frame->sash);
    for (int i = 0; i < frame->border_count; i++)
        if (frame->borders[i].width <= 0 || frame->borders[i].width > LENGTH_M)
            return refuse_measure(error, "a border is above 0 and up to 1 m wide",
                                  frame->borders[i].width);
    if (frame->across < 1 || frame->down < 1 || frame->across > QUILT_ACROSS_MAX ||
        frame->down > QUILT_ACROSS_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_SIZE,
                    "a quilt of %d x %d blocks cannot be made; 1 to %d each way can",
                    frame->across, frame->down, QUILT_ACROSS_MAX);
        return FALSE;
    }
    return TRUE;
}

static length block_finished(const quilt_frame *frame)
{
    return frame->side * (frame->unit - 2 * frame->seam);
}

/* n blocks with their sashes, finished; no borders. Before: what check_frame() holds, so
 * that all fits in 64 bits; what is too long for a quilt comes back as above its most. */
static int64_t body_along(const quilt_frame *frame, int n)
{
    int64_t pitch = block_finished(frame) + frame->sash;
    if (frame->on_point) {
        int64_t side = n * pitch + frame->sash;
        return side > QUILT_FINISHED_MAX ? side : quilt_diagonal((length)side);
    }
    return n * pitch + (frame->sash_around ? frame->sash : -frame->sash);
}

static int64_t borders_along(const quilt_frame *frame)
{
    int64_t sum = 0;
    for (int i = 0; i < frame->border_count; i++)
        sum += 2 * (int64_t)frame->borders[i].width;
    return sum;
}

gboolean quilt_frame_sizes(const quilt_frame *frame, quilt_sizes *ret, GError **error)
{
    if (!check_frame(frame, error))
        return FALSE;
    int64_t width = body_along(frame, frame->across);
    int64_t height = body_along(frame, frame->down);
    if (MAX(width, height) + borders_along(frame) > QUILT_FINISHED_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_SIZE,
                    "a quilt of %d x %d such blocks would be over 100 m on a side",
                    frame->across, frame->down);
        return FALSE;
    }
    quilt_sizes sizes = {
        .unit_finished = frame->unit - 2 * frame->seam,
        .block_finished = block_finished(frame),
        .block_unfinished = block_finished(frame) + 2 * frame->seam,
        .body = { (length)width, (length)height },
        .finished = { (length)width, (length)height },
    };
    for (int i = 0; i < frame->border_count; i++) {
        sizes.finished.width += 2 * frame->borders[i].width;
        sizes.finished.height += 2 * frame->borders[i].width;
        sizes.after[i] = sizes.finished;
    }
    if (frame->on_point) {
        sizes.side_triangles = 2 * (frame->across - 1) + 2 * (frame->down - 1);
        sizes.corner_triangles = 4;
    }
    *ret = sizes;
    return TRUE;
}

/* Which numbers of blocks are wanted: those n with allowed[n % period]. */
typedef struct fit_rule {
    int period;
    bool allowed[QUILT_REPEAT_MAX + 1];
} fit_rule;

static fit_rule rule_of(const quilt_design *design, bool down, quilt_fit_by by)
{
    fit_rule rule = { .period = 1, .allowed = { true } };
    int repeat = down ? design->rows : design->cols;
    if (design->set == QUILT_QUARTERS)
        return (fit_rule){ .period = 2, .allowed = { true, false } };
    if (by == QUILT_FIT_REPEATS && design->set == QUILT_STRAIGHT)
        return (fit_rule){ .period = repeat, .allowed = { true } };
    if (by == QUILT_FIT_ALIKE) {
        fit_rule alike = { .period = 0 };
        alike.period = quilt_alike_counts(design, down, alike.allowed);
        for (int i = 0; i < alike.period; i++)
            if (alike.allowed[i])
                return alike;
    }
    return rule;
}

gboolean quilt_frame_fit(const quilt_design *design, const quilt_frame *frame, bool down,
                         length wanted, quilt_fit_by by, quilt_fit *ret, GError **error)
{
    quilt_frame one = *frame;
    one.across = one.down = 1;
    if (!check_frame(&one, error))
        return FALSE;
    if (wanted <= 0)
        return refuse_measure(error, "a wanted size is above 0", wanted);

    fit_rule rule = rule_of(design, down, by);
    int64_t borders = borders_along(frame);
    quilt_fit fit = { 0 };
    for (int n = 1; n <= QUILT_ACROSS_MAX; n++) {
        if (!rule.allowed[n % rule.period])
            continue;
        int64_t size = body_along(&one, n) + borders;
        if (size > QUILT_FINISHED_MAX)
            break;
        if (size <= wanted) {
            fit.below = n;
            fit.below_finished = (length)size;
        }
        if (size >= wanted) {
            fit.above = n;
            fit.above_finished = (length)size;
            *ret = fit;
            return TRUE;
        }
    }
    char text[LENGTH_TEXT_SIZE];
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_SIZE,
                "%d blocks %s give %s in, which is as far as this goes", fit.below,
                down ? "down" : "across", length_text_in(fit.below_finished, 8, text));
    return FALSE;
}
