#include "photo/surface-internal.h"

#include "photo/memory-internal.h"
#include "photo/parallel-internal.h"

#include <glib.h>
#include <math.h>
#include <string.h>

/* Cells small enough to follow a lamp's spot, large enough to see past grid lines. */
static const double cell_in = 0.5;
static const double card_margin_in = 0.1; /* the card's shadow and a crooked cut */
static const float near_l = 7, near_ab = 6;
/* Light changes slowly from cell to cell, cloth at once. */
static const float cell_step = 2, noise_steps = 3;

static bool inside_quad(const photo_point quad[static 4], const double side[static 4],
                        double x, double y, double grow)
{
    /* clockwise seen from above, table y up: inside lies to the right of each side */
    for (int i = 0; i < 4; i++) {
        photo_point a = quad[i], b = quad[(i + 1) % 4];
        double dx = b.x - a.x, dy = b.y - a.y;
        double out = (dy * (a.x - x) + dx * (y - a.y)) / side[i];
        if (out > grow)
            return false;
    }
    return true;
}

static void mark_card(const photo_plan *plan, const photo_card *card, double grow_in,
                      bool value, photo_bits *bits)
{
    double c0 = INFINITY, c1 = -INFINITY, r0 = INFINITY, r1 = -INFINITY, side[4];
    for (int i = 0; i < 4; i++) {
        double c, r;
        photo_point a = card->corners_in[i], b = card->corners_in[(i + 1) % 4];
        side[i] = hypot(b.x - a.x, b.y - a.y);
        photo_plan_from_table(plan, a.x, a.y, &c, &r);
        c0 = fmin(c0, c), c1 = fmax(c1, c), r0 = fmin(r0, r), r1 = fmax(r1, r);
    }
    double grow = grow_in * plan->pixels_per_in;
    int x0 = MAX(0, (int)(c0 - grow)), x1 = MIN(bits->width - 1, (int)(c1 + grow));
    int y0 = MAX(0, (int)(r0 - grow)), y1 = MIN(bits->height - 1, (int)(r1 + grow));
    for (int y = y0; y <= y1; y++) {
        for (int x = x0; x <= x1; x++) {
            double tx, ty;
            photo_plan_to_table(plan, x + 0.5, y + 0.5, &tx, &ty);
            if (!inside_quad(card->corners_in, side, tx, ty, grow_in))
                continue;
            if (value)
                photo_bits_set(bits, x, y);
            else
                photo_bits_unset(bits, x, y);
        }
    }
}

/* Binomial blur (1 2 1) in linear light, rows outside repeated. */
static void blurred_row(const photo_plan *plan, int y, float *sum, float *out)
{
    size_t n = (size_t)plan->width * 3;
    const float *at = plan->rgb + (size_t)y * n;
    const float *up = y > 0 ? at - n : at;
    const float *down = y + 1 < plan->height ? at + n : at;
    for (size_t i = 0; i < n; i++)
        sum[i] = up[i] + 2 * at[i] + down[i];
    for (size_t i = 0; i < n; i++) {
        float left = i >= 3 ? sum[i - 3] : sum[i];
        float right = i + 3 < n ? sum[i + 3] : sum[i];
        out[i] = (left + 2 * sum[i] + right) / 16;
    }
}

static const float *lab_at(const photo_surface *s, int x, int y)
{
    return s->lab + ((size_t)y * (size_t)s->width + (size_t)x) * 3;
}

static photo_surface *new_of_size(int width, int height, int per_in)
{
    photo_surface *s = g_new0(photo_surface, 1);
    s->width = width;
    s->height = height;
    s->per_in = per_in;
    s->cell = (int)(cell_in * per_in);
    s->columns = (width + s->cell - 1) / s->cell;
    s->rows = (height + s->cell - 1) / s->cell;
    size_t pixels = (size_t)width * (size_t)height;
    size_t cells = (size_t)s->columns * (size_t)s->rows;
    s->lab = photo_memory_new(pixels * 3 * sizeof s->lab[0]);
    s->distance = photo_memory_new0(pixels * sizeof s->distance[0]);
    s->back = g_new0(float, cells * 3);
    s->noise = g_new0(float, cells);
    s->covered = photo_bits_new(width, height);
    return s;
}

typedef struct reading {
    const photo_plan *plan;
    photo_surface *s;
    colour_tables tables;
} reading;

static void read_row(int y, void *data)
{
    reading *job = data;
    const photo_plan *plan = job->plan;
    size_t n = (size_t)plan->width * 3;
    g_autofree float *sum = g_new(float, n);
    g_autofree float *row = g_new(float, n);
    blurred_row(plan, y, sum, row);
    colour_lab_linear_picture(&job->tables, (size_t)plan->width, row,
                              job->s->lab + (size_t)y * n);
    const uint8_t *covered = plan->covered + (size_t)y * (size_t)plan->width;
    for (int x = 0; x < plan->width; x++)
        if (covered[x])
            photo_bits_set(job->s->covered, x, y);
}

photo_surface *photo_surface_new(const photo_plan *plan)
{
    photo_surface *s = new_of_size(plan->width, plan->height, plan->pixels_per_in);
    g_autofree reading *job = g_new(reading, 1);
    job->plan = plan;
    job->s = s;
    colour_tables_init(&job->tables);
    photo_parallel(plan->height, read_row, job);
    /* the blur mixes in the blackness beyond the photo */
    photo_bits_shrink(s->covered, 1.5);
    s->usable = photo_bits_copy(s->covered);
    for (int i = 0; i < plan->card_count; i++)
        mark_card(plan, &plan->card[i], card_margin_in, false, s->usable);
    return s;
}

typedef struct halving {
    const photo_surface *from;
    photo_surface *s;
} halving;

static void halve_row(int y, void *data)
{
    const halving *job = data;
    const photo_surface *from = job->from, *s = job->s;
    float *out = s->lab + (size_t)y * (size_t)s->width * 3;
    for (int x = 0; x < s->width; x++) {
        const float *up = lab_at(from, 2 * x, 2 * y);
        const float *low = lab_at(from, 2 * x, 2 * y + 1);
        for (int k = 0; k < 3; k++)
            out[3 * x + k] = (up[k] + up[3 + k] + low[k] + low[3 + k]) / 4;
        if (photo_bits_get(from->usable, 2 * x, 2 * y) &&
            photo_bits_get(from->usable, 2 * x + 1, 2 * y + 1))
            photo_bits_set(s->usable, x, y);
        if (photo_bits_get(from->covered, 2 * x, 2 * y))
            photo_bits_set(s->covered, x, y);
    }
}

photo_surface *photo_surface_halved(const photo_surface *surface)
{
    photo_surface *s =
        new_of_size(surface->width / 2, surface->height / 2, surface->per_in / 2);
    s->usable = photo_bits_new(s->width, s->height);
    halving job = { surface, s };
    photo_parallel(s->height, halve_row, &job);
    return s;
}

void photo_surface_free(photo_surface *surface)
{
    if (surface == NULL)
        return;
    g_free(surface->lab);
    g_free(surface->distance);
    g_free(surface->back);
    g_free(surface->noise);
    photo_bits_free(surface->covered);
    photo_bits_free(surface->usable);
    photo_bits_free(surface->narrow);
    g_free(surface);
}

static bool near_to(const float *a, const float *b)
{
    float da = a[1] - b[1], db = a[2] - b[2];
    return fabsf(a[0] - b[0]) < near_l && da * da + db * db < near_ab * near_ab;
}

/* The most frequent colour where the mask is set, by counting in boxes of 4 and then a
 * few mean shifts. False when nothing is set. */
static bool mode_colour(const photo_surface *s, const photo_bits *where,
                        float mode[static 3])
{
    enum { L = 26, AB = 65 };
    g_autofree uint32_t *count = g_new0(uint32_t, L * AB * AB);
    g_autoptr(GArray) seen = g_array_new(FALSE, FALSE, 3 * sizeof(float));
    int best = -1;
    for (int y = 0; y < s->height; y += 2) {
        for (int x = 0; x < s->width; x += 2) {
            if (!photo_bits_get(where, x, y))
                continue;
            const float *c = lab_at(s, x, y);
            g_array_append_vals(seen, c, 1);
            int l = CLAMP((int)(c[0] / 4), 0, L - 1);
            int a = CLAMP((int)(c[1] / 4 + 32), 0, AB - 1);
            int b = CLAMP((int)(c[2] / 4 + 32), 0, AB - 1);
            int at = (l * AB + a) * AB + b;
            count[at]++;
            if (best < 0 || count[at] > count[best])
                best = at;
        }
    }
    if (best < 0)
        return false;
    mode[0] = (float)(best / (AB * AB)) * 4 + 2;
    mode[1] = (float)(best / AB % AB - 32) * 4 + 2;
    mode[2] = (float)(best % AB - 32) * 4 + 2;
    for (int round = 0; round < 4; round++) {
        double sum[3] = { 0 }, n = 0;
        for (guint k = 0; k < seen->len; k++) {
            const float *c = (const float *)(const void *)seen->data + 3 * (gsize)k;
            if (!near_to(c, mode))
                continue;
            for (int i = 0; i < 3; i++)
                sum[i] += c[i];
            n++;
        }
        if (!(n > 0))
            break;
        for (int i = 0; i < 3; i++)
            mode[i] = (float)(sum[i] / n);
    }
    return true;
}

float photo_quantile(int n, float *v, double share)
{
    int low = 0, high = n - 1, k = MIN(n - 1, (int)(n * share));
    while (low < high) {
        float pivot = v[(low + high) / 2];
        int i = low, j = high;
        while (i <= j) {
            while (v[i] < pivot)
                i++;
            while (v[j] > pivot)
                j--;
            if (i <= j) {
                float swap = v[i];
                v[i++] = v[j];
                v[j--] = swap;
            }
        }
        if (k <= j)
            high = j;
        else if (k >= i)
            low = i;
        else
            break;
    }
    return v[k];
}

typedef struct growth {
    photo_surface *s;
    const photo_bits *covered; /* or NULL */
    uint8_t *state;            /* a cell: 0 unknown, 1 bare */
    uint8_t *next;             /* the same after this wave */
    uint8_t *stale;            /* whether what its neighbours say may have changed */
    float bound;               /* how far a cell may be from what its neighbours say */
} growth;

static float apart(const float a[static 3], const float b[static 3])
{
    float l = a[0] - b[0], u = a[1] - b[1], v = a[2] - b[2];
    return sqrtf(l * l + u * u + v * v);
}

/* The median colour of a cell's pixels that are near to what is expected, and their
 * share of the usable ones. */
static double cell_near(const growth *g, int column, int row,
                        const float expected[static 3], float found[static 3])
{
    enum { MOST = 16 * 16 }; /* every other pixel of every other row */
    const photo_surface *s = g->s;
    float value[3][MOST];
    int usable = 0, n = 0;
    g_assert((s->cell + 1) / 2 * ((s->cell + 1) / 2) <= MOST);
    int x1 = MIN((column + 1) * s->cell, s->width),
        y1 = MIN((row + 1) * s->cell, s->height);
    for (int y = row * s->cell; y < y1; y += 2) {
        for (int x = column * s->cell; x < x1; x += 2) {
            if (!photo_bits_get(s->usable, x, y))
                continue;
            usable++;
            if (g->covered != NULL && photo_bits_get(g->covered, x, y))
                continue;
            const float *c = lab_at(s, x, y);
            if (!near_to(c, expected))
                continue;
            for (int i = 0; i < 3; i++)
                value[i][n] = c[i];
            n++;
        }
    }
    if (n < 8)
        return 0;
    for (int i = 0; i < 3; i++)
        found[i] = photo_quantile(n, value[i], 0.5);
    return (double)n / usable;
}

enum { LOOK = 3 }; /* cells that a cell looks around itself */

/* What a cell's neighbours say of it: a plane through those within three cells, near ones
 * weighing more, its slopes drawn towards none where little is known. */
static bool expected_at(const growth *g, int column, int row, float out[static 3])
{
    static const double caution = 0.15;
    const photo_surface *s = g->s;
    double w = 0, x = 0, y = 0, xx = 0, xy = 0, yy = 0;
    double v[3] = { 0 }, vx[3] = { 0 }, vy[3] = { 0 };
    bool touches = false;
    for (int dy = -LOOK; dy <= LOOK; dy++) {
        for (int dx = -LOOK; dx <= LOOK; dx++) {
            int c = column + dx, r = row + dy;
            if (c < 0 || r < 0 || c >= s->columns || r >= s->rows ||
                (dx == 0 && dy == 0) || g->state[r * s->columns + c] != 1)
                continue;
            double k = 1.0 / (dx * dx + dy * dy);
            const float *at = s->back + (r * s->columns + c) * 3;
            w += k, x += k * dx, y += k * dy;
            xx += k * dx * dx, xy += k * dx * dy, yy += k * dy * dy;
            for (int i = 0; i < 3; i++) {
                v[i] += k * at[i];
                vx[i] += k * dx * at[i];
                vy[i] += k * dy * at[i];
            }
            touches |= abs(dx) <= 1 && abs(dy) <= 1;
        }
    }
    if (!touches)
        return false;
    double cx = x / w, cy = y / w;
    double sxx = xx / w - cx * cx + caution, syy = yy / w - cy * cy + caution;
    double sxy = xy / w - cx * cy, det = sxx * syy - sxy * sxy;
    for (int i = 0; i < 3; i++) {
        double mean = v[i] / w;
        double svx = vx[i] / w - cx * mean, svy = vy[i] / w - cy * mean;
        double slope_x = (syy * svx - sxy * svy) / det;
        double slope_y = (sxx * svy - sxy * svx) / det;
        out[i] = (float)(mean - slope_x * cx - slope_y * cy);
    }
    return true;
}

/* Cells without a sight of the surface are spanned like a membrane from those with one;
 * when none has one, all are of the likely colour. */
static void span_unknown(photo_surface *s, const uint8_t *state,
                         const float likely[static 3])
{
    int cells = s->columns * s->rows;
    double sum[3] = { 0 }, n = 0;
    for (int i = 0; i < cells; i++) {
        if (state[i] != 1)
            continue;
        for (int k = 0; k < 3; k++)
            sum[k] += s->back[3 * i + k];
        n++;
    }
    typedef struct spanned {
        float *at;
        const float *near[4];
    } spanned;
    g_autofree spanned *unknown = g_new(spanned, cells + 1);
    int count = 0;
    for (int i = 0; i < cells; i++) {
        if (state[i] == 1)
            continue;
        int r = i / s->columns, c = i % s->columns, line = 3 * s->columns;
        float *at = s->back + 3 * i;
        for (int k = 0; k < 3; k++)
            at[k] = n > 0 ? (float)(sum[k] / n) : likely[k];
        unknown[count++] =
            (spanned){ at,
                       { c > 0 ? at - 3 : at, c + 1 < s->columns ? at + 3 : at,
                         r > 0 ? at - line : at, r + 1 < s->rows ? at + line : at } };
    }
    for (int round = 0; round < 300; round++) {
        float most = 0;
        for (int i = 0; i < count; i++) {
            const spanned *u = &unknown[i];
            for (int k = 0; k < 3; k++) {
                float mean = 0;
                for (int j = 0; j < 4; j++)
                    mean += u->near[j][k] / 4;
                float step = 1.6f * (mean - u->at[k]), size = fabsf(step);
                u->at[k] += step;
                most = size > most ? size : most;
            }
        }
        if (most < 0.01f)
            break;
    }
}

void photo_surface_at(const photo_surface *surface, int x, int y, float back[static 3])
{
    const photo_surface *s = surface;
    float u = ((float)x + 0.5f) / (float)s->cell - 0.5f;
    float v = ((float)y + 0.5f) / (float)s->cell - 0.5f;
    u = CLAMP(u, 0, (float)(s->columns - 1));
    v = CLAMP(v, 0, (float)(s->rows - 1));
    int c = MIN((int)u, MAX(0, s->columns - 2)), r = MIN((int)v, MAX(0, s->rows - 2));
    int right = c + 1 < s->columns ? 3 : 0;
    int down = r + 1 < s->rows ? 3 * s->columns : 0;
    float p = u - (float)c, q = v - (float)r;
    const float *at = s->back + (r * s->columns + c) * 3;
    for (int k = 0; k < 3; k++) {
        float top = at[k] + p * (at[right + k] - at[k]);
        float low = at[down + k] + p * (at[down + right + k] - at[down + k]);
        back[k] = top + q * (low - top);
    }
}

/* A shadow lowers lightness and, in proportion, chroma; it counts for less than a change
 * of hue. */
static inline float distance_from(const float *c, const float *back)
{
    float l = c[0] - back[0], a = back[1], b = back[2];
    if (l < 0 && back[0] > 1) {
        float shade = c[0] / back[0];
        a *= shade;
        b *= shade;
        l *= 0.55f;
    }
    a -= c[1];
    b -= c[2];
    return sqrtf(l * l + a * a + b * b);
}

/* One row: the cells are blended downward once, then across pixel by pixel. */
static void measure_row(int y, void *data)
{
    photo_surface *s = data;
    int n = s->columns;
    float v = CLAMP(((float)y + 0.5f) / (float)s->cell - 0.5f, 0, (float)(s->rows - 1));
    int r = MIN((int)v, MAX(0, s->rows - 2)), down = r + 1 < s->rows ? 3 * n : 0;
    g_autofree float *line = g_new(float, 3 * (gsize)n);
    const float *cells = s->back + 3 * (size_t)r * (size_t)n;
    for (int i = 0; i < 3 * n; i++)
        line[i] = cells[i] + (v - (float)r) * (cells[down + i] - cells[i]);

    float *out = s->distance + (size_t)y * (size_t)s->width;
    const float *lab = lab_at(s, 0, y);
    const uint64_t *usable = photo_bits_row(s->usable, y);
    for (int x = 0; x < s->width; x++) {
        if ((usable[x >> 6] >> (x & 63) & 1) == 0) {
            out[x] = 0;
            continue;
        }
        float u = CLAMP(((float)x + 0.5f) / (float)s->cell - 0.5f, 0, (float)(n - 1));
        int c = MIN((int)u, MAX(0, n - 2)), right = c + 1 < n ? 3 : 0;
        const float *at = line + 3 * c;
        float p = u - (float)c;
        const float back[3] = { at[0] + p * (at[right] - at[0]),
                                at[1] + p * (at[right + 1] - at[1]),
                                at[2] + p * (at[right + 2] - at[2]) };
        out[x] = distance_from(lab + 3 * x, back);
    }
}

typedef struct listening {
    photo_surface *s;
    const photo_bits *covered; /* or NULL */
} listening;

/* How far bare pixels are from the model, for a row of cells: the median over a window of
 * 3 x 3 cells of the distances under a bound that no bare surface exceeds. Below zero
 * where hardly any is seen. */
static void measure_noise_row(int r, void *data)
{
    const listening *job = data;
    photo_surface *s = job->s;
    int most = 9 * (s->cell / 3 + 1) * (s->cell / 3 + 1);
    g_autofree float *v = g_new(float, most);
    for (int c = 0; c < s->columns; c++) {
        int n = 0;
        int x0 = MAX(0, (c - 1) * s->cell), x1 = MIN(s->width, (c + 2) * s->cell);
        int y0 = MAX(0, (r - 1) * s->cell), y1 = MIN(s->height, (r + 2) * s->cell);
        for (int y = y0; y < y1; y += 3) {
            for (int x = x0; x < x1 && n < most; x += 3) {
                float d = s->distance[(size_t)y * (size_t)s->width + (size_t)x];
                if (d > 0 && d < 10 &&
                    (job->covered == NULL || !photo_bits_get(job->covered, x, y)))
                    v[n++] = d;
            }
        }
        s->noise[r * s->columns + c] = n >= 40 ? photo_quantile(n, v, 0.5) : -1;
    }
}

/* The same for all cells; where nothing is seen it is as in the others. */
static void measure_noise(photo_surface *s, const photo_bits *covered)
{
    listening job = { s, covered };
    photo_parallel(s->rows, measure_noise_row, &job);
    double all = 0;
    int known = 0, cells = s->columns * s->rows;
    for (int i = 0; i < cells; i++)
        if (s->noise[i] >= 0) {
            all += s->noise[i];
            known++;
        }
    for (int i = 0; i < cells; i++)
        if (!(s->noise[i] > 0))
            s->noise[i] = known > 0 ? (float)(all / known) : 2;
}

/* One wave of growth over a row of cells. Only cells that were bare before are read, and
 * only others are written. */
static void grow_row(int r, const growth *g)
{
    const photo_surface *s = g->s;
    for (int c = 0; c < s->columns; c++) {
        int at = r * s->columns + c;
        float expected[3], found[3];
        if (g->state[at] == 1 || !g->stale[at] || !expected_at(g, c, r, expected) ||
            cell_near(g, c, r, expected, found) < 0.2 ||
            apart(found, expected) > g->bound)
            continue;
        memcpy(s->back + 3 * at, found, sizeof found);
        g->next[at] = 1;
    }
}

/* Marks the cells that look at one which the last wave has laid bare. FALSE when there
 * was none. */
static bool mark_stale(growth *g)
{
    int columns = g->s->columns, rows = g->s->rows;
    bool moved = false;
    memset(g->stale, 0, (size_t)columns * (size_t)rows);
    for (int r = 0; r < rows; r++)
        for (int c = 0; c < columns; c++) {
            if (g->next[r * columns + c] == g->state[r * columns + c])
                continue;
            moved = true;
            int from = MAX(0, c - LOOK), to = MIN(columns, c + LOOK + 1);
            for (int y = MAX(0, r - LOOK); y < MIN(rows, r + LOOK + 1); y++)
                memset(g->stale + y * columns + from, 1, (size_t)(to - from));
        }
    return moved;
}

/* In waves, so that each cell is asked when it has as many neighbours as it can. */
static void grow_in_waves(growth *g)
{
    size_t cells = (size_t)g->s->columns * (size_t)g->s->rows;
    memcpy(g->next, g->state, cells);
    memset(g->stale, 1, cells);
    do {
        memcpy(g->state, g->next, cells);
        for (int r = 0; r < g->s->rows; r++)
            grow_row(r, g);
    } while (mark_stale(g));
}

void photo_surface_learn(photo_surface *surface, const photo_plan *plan,
                         const photo_bits *covered)
{
    photo_surface *s = surface;
    int cells = s->columns * s->rows;
    g_autofree uint8_t *state = g_new0(uint8_t, cells);
    g_autofree uint8_t *next = g_new(uint8_t, cells);
    g_autofree uint8_t *stale = g_new(uint8_t, cells);
    growth g = {
        .s = s, .covered = covered, .state = state, .next = next, .stale = stale
    };

    /* What lies close round the cards is most likely bare. */
    photo_bits *ring = photo_bits_new(s->width, s->height);
    for (int i = 0; i < plan->card_count; i++)
        mark_card(plan, &plan->card[i], 0.8, true, ring);
    for (int i = 0; i < plan->card_count; i++)
        mark_card(plan, &plan->card[i], 0.25, false, ring);
    if (photo_bits_count(ring) == 0)
        photo_bits_or(ring, s->usable);
    photo_bits_and(ring, s->usable);
    float mode[3] = { 50, 0, 0 };
    mode_colour(s, ring, mode);

    for (int r = 0; r < s->rows; r++) {
        for (int c = 0; c < s->columns; c++) {
            int x = MIN(c * s->cell + s->cell / 2, s->width - 1);
            int y = MIN(r * s->cell + s->cell / 2, s->height - 1);
            float found[3];
            if (photo_bits_get(ring, x, y) && cell_near(&g, c, r, mode, found) > 0.3) {
                memcpy(s->back + (r * s->columns + c) * 3, found, sizeof found);
                state[r * s->columns + c] = 1;
            }
        }
    }
    photo_bits_free(ring);

    /* How restless the bare cells are, as on wood, beside a lamp's fall-off. */
    double restless = 0;
    int known = 0;
    for (int r = 0; r < s->rows; r++) {
        for (int c = 0; c < s->columns; c++) {
            float expected[3];
            int at = r * s->columns + c;
            if (state[at] != 1)
                continue;
            state[at] = 0;
            if (expected_at(&g, c, r, expected)) {
                restless += apart(s->back + 3 * at, expected);
                known++;
            }
            state[at] = 1;
        }
    }
    g.bound = fmaxf(cell_step, known > 0 ? noise_steps * (float)(restless / known) : 0);

    grow_in_waves(&g);
    span_unknown(s, state, mode);
    photo_parallel(s->height, measure_row, s);
    measure_noise(s, covered);
}

float photo_surface_off_print(const photo_surface *surface, int x, int y,
                              float *ret_strength)
{
    const photo_surface *s = surface;
    float back[3], c[3], step[3], along = 0, size = 0, off = 0;
    photo_surface_at(s, x, y, back);
    /* light scales both: lightness plus 16 by its cube root */
    float light = (back[0] + 16) / (s->print.bare_l + 16);
    const float *at = lab_at(s, x, y);
    for (int i = 0; i < 3; i++) {
        c[i] = at[i] - back[i];
        step[i] = s->print.step[i] * light;
        along += c[i] * step[i];
        size += step[i] * step[i];
    }
    along = CLAMP(along / size, 0, 1);
    for (int i = 0; i < 3; i++)
        off += (c[i] - along * step[i]) * (c[i] - along * step[i]);
    *ret_strength = along * sqrtf(size);
    return sqrtf(off);
}
