#include "scrap/ruler.h"

#include "base/error.h"

#include <math.h>

enum { SLOTS_MAX = 1000, MOVES = 4 };

const scrap_ruler SCRAP_RULER_PLAIN = { 24 * LENGTH_INCH, 13 * LENGTH_INCH / 2, 0, 0 };
const scrap_mat SCRAP_MAT_USUAL = { 24 * LENGTH_INCH, 18 * LENGTH_INCH, false };
const scrap_times SCRAP_TIMES_USUAL = { 18, 4, 6, 10 };

double scrap_effort_minutes(const scrap_effort *effort, const scrap_times *times)
{
    return (effort->passes * times->lay + effort->cuts * times->cut +
            effort->turns * times->turn + effort->handled * times->handle) /
           60;
}

void scrap_effort_add(scrap_effort *sum, const scrap_effort *more)
{
    sum->passes += more->passes;
    sum->cuts += more->cuts;
    sum->turns += more->turns;
    sum->handled += more->handled;
    sum->minutes += more->minutes;
}

static const char *ruler_fault(const scrap_ruler *ruler)
{
    if (ruler->reach <= 0 || ruler->width <= 0)
        return "The ruler has no length or no width.";
    if (ruler->reach > LENGTH_MAX || ruler->width > LENGTH_MAX)
        return "The ruler is longer than 1 km.";
    if (ruler->slots == 0)
        return NULL;
    if (ruler->slots < 2 || ruler->slots > SLOTS_MAX)
        return "A slotted ruler has 2 to 1000 slots.";
    if (ruler->pitch <= 0)
        return "The slots have no pitch.";
    if ((int64_t)ruler->pitch * (ruler->slots - 1) > ruler->width)
        return "The slots reach further than the ruler is wide.";
    return NULL;
}

gboolean scrap_ruler_check(const scrap_ruler *ruler, GError **error)
{
    const char *fault = ruler_fault(ruler);
    if (fault == NULL)
        return TRUE;
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_RULER, fault);
    return FALSE;
}

gboolean scrap_ruler_can_cut(const scrap_ruler *ruler, length unit, GError **error)
{
    char wanted[LENGTH_TEXT_SIZE], widest[LENGTH_TEXT_SIZE], pitch[LENGTH_TEXT_SIZE];
    length_text_in(unit, 64, wanted);
    if (ruler->slots == 0) {
        if (unit <= ruler->width)
            return TRUE;
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_PITCH_CANNOT,
                    "This ruler cannot cut %s in: it cuts units of up to %s in.", wanted,
                    length_text_in(ruler->width, 64, widest));
        return FALSE;
    }
    length reach = ruler->pitch * (ruler->slots - 1);
    if (unit % ruler->pitch == 0 && unit <= reach)
        return TRUE;
    g_set_error(
        error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_PITCH_CANNOT,
        "This ruler cannot cut %s in: it cuts %s in and its multiples up to %s in.",
        wanted, length_text_in(ruler->pitch, 64, pitch),
        length_text_in(reach, 64, widest));
    return FALSE;
}

/* Whether a slot lies over a line `apart` from the one under the first slot. */
static bool slot_lies_over(const scrap_ruler *ruler, length apart)
{
    if (ruler->slots == 0)
        return apart == 0;
    return apart % ruler->pitch == 0 && apart / ruler->pitch < ruler->slots;
}

/* One laying: the first slot over lines[first], its end at the lowest end still uncut
 * under the slots. */
static int cut_one_laying(const scrap_ruler *ruler, int first, int count,
                          const scrap_line lines[], length done[], int pass,
                          int ret_pass[])
{
    length low = done[first];
    for (int i = first; i < count; i++)
        if (done[i] < lines[i].to && slot_lies_over(ruler, lines[i].at - lines[first].at))
            low = MIN(low, done[i]);

    int cuts = 0;
    for (int i = first; i < count; i++) {
        if (done[i] >= lines[i].to || done[i] - low >= ruler->reach ||
            !slot_lies_over(ruler, lines[i].at - lines[first].at))
            continue;
        if (ret_pass != NULL && done[i] == lines[i].from)
            ret_pass[i] = pass;
        done[i] = MIN(lines[i].to, low + ruler->reach);
        cuts++;
    }
    return cuts;
}

int scrap_ruler_lay(const scrap_ruler *ruler, int count, const scrap_line lines[],
                    length done[], int *ret_pass, int *ret_cuts)
{
    int passes = 0, cuts = 0;
    for (int i = 0; i < count; i++)
        done[i] = lines[i].from;
    for (int first = 0; first < count;) {
        if (done[first] >= lines[first].to) {
            first++;
            continue;
        }
        cuts += cut_one_laying(ruler, first, count, lines, done, passes, ret_pass);
        passes++;
    }
    *ret_cuts = cuts;
    return passes;
}

/* Least squares by the normal equations over the moves in `free_moves`, the others zero.
 * a is symmetric and, thanks to the prior, positive definite: no pivoting. */
static void solve(double a[MOVES][MOVES], const double b[MOVES], unsigned free_moves,
                  double x[MOVES])
{
    double m[MOVES][MOVES + 1];
    for (int i = 0; i < MOVES; i++) {
        for (int j = 0; j < MOVES; j++) {
            bool both = (free_moves >> i & 1) != 0 && (free_moves >> j & 1) != 0;
            m[i][j] = both ? a[i][j] : i == j;
        }
        m[i][MOVES] = (free_moves >> i & 1) != 0 ? b[i] : 0;
    }
    for (int i = 0; i < MOVES; i++)
        for (int row = i + 1; row < MOVES; row++)
            for (int j = MOVES; j >= i; j--)
                m[row][j] -= m[row][i] / m[i][i] * m[i][j];
    for (int i = MOVES - 1; i >= 0; i--) {
        x[i] = m[i][MOVES];
        for (int j = i + 1; j < MOVES; j++)
            x[i] -= m[i][j] * x[j];
        x[i] /= m[i][i];
    }
}

static void moves_of(const scrap_effort *pile, double ret_moves[MOVES])
{
    ret_moves[0] = pile->passes;
    ret_moves[1] = pile->cuts;
    ret_moves[2] = pile->turns;
    ret_moves[3] = pile->handled;
}

void scrap_times_fit(int count, const scrap_effort piles[], const scrap_times *prior,
                     scrap_times *ret_times, double *ret_error_s)
{
    const double seen = 10.0 * 10.0, least_of_prior = 1.0 / 8;
    double a[MOVES][MOVES] = { 0 };
    double b[MOVES] = { seen * prior->lay, seen * prior->cut, seen * prior->turn,
                        seen * prior->handle };
    double floor[MOVES];
    for (int i = 0; i < MOVES; i++) {
        a[i][i] = seen;
        floor[i] = b[i] / seen * least_of_prior;
    }
    for (int p = 0; p < count; p++) {
        double moves[MOVES];
        moves_of(&piles[p], moves);
        for (int i = 0; i < MOVES; i++) {
            b[i] += moves[i] * piles[p].minutes * 60;
            for (int j = 0; j < MOVES; j++)
                a[i][j] += moves[i] * moves[j];
        }
    }

    /* What is sought is how far each time lies above its floor. */
    for (int i = 0; i < MOVES; i++)
        for (int j = 0; j < MOVES; j++)
            b[i] -= a[i][j] * floor[j];
    double best[MOVES] = { 0 }, least = INFINITY;
    for (unsigned free_moves = 0; free_moves < 1u << MOVES; free_moves++) {
        double x[MOVES], loss = 0;
        solve(a, b, free_moves, x);
        bool below_zero = false;
        for (int i = 0; i < MOVES; i++) {
            below_zero = below_zero || x[i] < 0;
            for (int j = 0; j < MOVES; j++)
                loss += x[i] * a[i][j] * x[j];
            loss -= 2 * b[i] * x[i];
        }
        if (!below_zero && loss < least) {
            least = loss;
            for (int i = 0; i < MOVES; i++)
                best[i] = x[i];
        }
    }
    *ret_times = (scrap_times){ floor[0] + best[0], floor[1] + best[1],
                                floor[2] + best[2], floor[3] + best[3] };

    double squares = 0;
    for (int p = 0; p < count; p++) {
        double off = 60 * (piles[p].minutes - scrap_effort_minutes(&piles[p], ret_times));
        squares += off * off;
    }
    *ret_error_s = count > 0 ? sqrt(squares / count) : 0;
}
