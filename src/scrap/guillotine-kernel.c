#include "scrap/guillotine-internal.h"

#include <string.h>

void guillotine_points(guillotine_table *table)
{
    /* Every sum of widths, marked in point_of first. */
    memset(table->point_of, 0, sizeof table->point_of[0] * ((size_t)table->width + 1));
    table->point_of[0] = 1;
    for (int x = 0; x <= table->width; x++) {
        if (table->point_of[x] == 0)
            continue;
        for (int i = 0; i < table->size_count; i++)
            if (table->sizes[i].width <= table->width - x)
                table->point_of[x + table->sizes[i].width] = 1;
    }
    table->point_count = 0;
    for (int x = 0; x <= table->width; x++) {
        if (table->point_of[x] != 0)
            table->points[table->point_count++] = x;
        table->point_of[x] = table->point_count - 1;
    }
}

static int32_t *row_at(const guillotine_table *table, int point)
{
    return table->best + (size_t)point * (size_t)table->stride;
}

/* Before: sum, left and right are rows, and sum has only grown.
 * After:  sum is no less than left and right side by side, for every height. */
static inline __attribute__((always_inline)) void raise_by_upright(int heights,
                                                                   int32_t *restrict sum,
                                                                   const int32_t *left,
                                                                   const int32_t *right)
{
    for (int y = 0; y < heights; y++) {
        int32_t both = left[y] + right[y];
        sum[y] = sum[y] > both ? sum[y] : both;
    }
}

/* Before: row[0..y] are final.
 * After:  row[y + d] is no less than y and d stacked, for every d up to y. */
static inline __attribute__((always_inline)) void raise_by_level(int heights,
                                                                 int32_t *row, int y)
{
    int32_t value = row[y];
    int32_t *restrict upper = row + y + 1;
    const int32_t *lower = row + 1;
    int count = y < heights - 1 - y ? y : heights - 1 - y;
    for (int d = 0; d < count; d++) {
        int32_t both = value + lower[d];
        upper[d] = upper[d] > both ? upper[d] : both;
    }
}

/* Pieces as they are: the last size that fits, then trimmed ones by the running maxima.
 */
static void lay_single(const guillotine_table *table, int point, int32_t *row)
{
    for (int i = 0; i < table->size_count; i++) {
        const guillotine_size *s = &table->sizes[i];
        if (s->width <= table->points[point] && s->value > row[s->height])
            row[s->height] = s->value;
    }
}

/* Rows from narrow to wide. A cut and its mirror image are one, so the left part is never
 * wider than the right one; a left part of a width that is no sum of widths would hold no
 * more than the next narrower that is (Herz 1972). */
static inline __attribute__((always_inline)) void fill_rows(guillotine_table *table)
{
    int heights = table->height + 1;
    for (int i = 0; i < table->point_count; i++) {
        int32_t *row = row_at(table, i);
        int width = table->points[i];
        if (i > 0)
            memcpy(row, row_at(table, i - 1), sizeof row[0] * (size_t)heights);
        lay_single(table, i, row);
        for (int a = 1; 2 * table->points[a] <= width && a < i; a++)
            raise_by_upright(heights, row, row_at(table, a),
                             row_at(table, table->point_of[width - table->points[a]]));
        for (int y = 1; y < heights; y++) {
            if (row[y] < row[y - 1])
                row[y] = row[y - 1];
            /* Where nothing is gained over a step less, that step has done it all. */
            if (row[y] > row[y - 1])
                raise_by_level(heights, row, y);
        }
    }
}

#if defined(__x86_64__)
__attribute__((target("avx2"))) static void fill_rows_by_eight(guillotine_table *table)
{
    fill_rows(table);
}
#endif

void guillotine_fill(guillotine_table *table)
{
#if defined(__x86_64__)
    if (__builtin_cpu_supports("avx2")) {
        fill_rows_by_eight(table);
        return;
    }
#endif
    fill_rows(table);
}

static bool choose_trim_upright(const guillotine_table *table, int width, int height,
                                int32_t best, guillotine_choice *ret_choice)
{
    int point = table->point_of[width];
    while (point > 0 &&
           guillotine_best_of(table, table->points[point - 1], height) == best)
        point--;
    *ret_choice = (guillotine_choice){ GUILLOTINE_UPRIGHT, table->points[point] };
    return table->points[point] < width;
}

static bool choose_trim_level(const guillotine_table *table, int width, int height,
                              int32_t best, guillotine_choice *ret_choice)
{
    int low = height;
    while (guillotine_best_of(table, width, low - 1) == best)
        low--;
    *ret_choice = (guillotine_choice){ GUILLOTINE_LEVEL, low };
    return low < height;
}

static bool choose_piece(const guillotine_table *table, int width, int height,
                         int32_t best, guillotine_choice *ret_choice)
{
    for (int i = 0; i < table->size_count; i++) {
        const guillotine_size *s = &table->sizes[i];
        if (s->width <= width && s->height <= height && s->value == best) {
            *ret_choice = (guillotine_choice){ GUILLOTINE_PIECE, i };
            return true;
        }
    }
    return false;
}

static bool choose_cut_upright(const guillotine_table *table, int width, int height,
                               int32_t best, guillotine_choice *ret_choice)
{
    for (int a = 1; a < table->point_count && 2 * table->points[a] <= width; a++) {
        int x = table->points[a];
        if (guillotine_best_of(table, x, height) +
                guillotine_best_of(table, width - x, height) ==
            best) {
            *ret_choice = (guillotine_choice){ GUILLOTINE_UPRIGHT, x };
            return true;
        }
    }
    return false;
}

static bool choose_cut_level(const guillotine_table *table, int width, int height,
                             int32_t best, guillotine_choice *ret_choice)
{
    for (int y = 1; 2 * y <= height; y++) {
        if (guillotine_best_of(table, width, y) +
                guillotine_best_of(table, width, height - y) ==
            best) {
            *ret_choice = (guillotine_choice){ GUILLOTINE_LEVEL, y };
            return true;
        }
    }
    return false;
}

typedef bool choose_one(const guillotine_table *table, int width, int height,
                        int32_t best, guillotine_choice *ret_choice);

/* One cut takes off all that is of no use, where a search among other cuts would slice it
 * off bit by bit. */
void guillotine_choose(const guillotine_table *table, int width, int height,
                       guillotine_kind liked, guillotine_choice *ret_choice)
{
    static choose_one *const upright_first[] = { choose_piece, choose_trim_upright,
                                                 choose_trim_level, choose_cut_upright,
                                                 choose_cut_level },
                             *const level_first[] = { choose_piece, choose_trim_level,
                                                      choose_trim_upright,
                                                      choose_cut_level,
                                                      choose_cut_upright };
    choose_one *const *ways = liked == GUILLOTINE_UPRIGHT ? upright_first : level_first;
    int32_t best = guillotine_best_of(table, width, height);
    for (size_t i = 0; best > 0 && i < G_N_ELEMENTS(upright_first); i++)
        if (ways[i](table, width, height, best, ret_choice))
            return;
    *ret_choice = (guillotine_choice){ GUILLOTINE_NOTHING, 0 };
}

static int along_of(const guillotine_strips *strips, const guillotine_size *size)
{
    return strips->turned ? size->height : size->width;
}

static int depth_of(const guillotine_strips *strips, const guillotine_size *size)
{
    return strips->turned ? size->width : size->height;
}

void guillotine_fill_row(guillotine_strips *strips, int depth)
{
    strips->row[0] = 0;
    strips->row_size[0] = -1;
    for (int x = 1; x <= strips->length; x++) {
        int32_t most = strips->row[x - 1];
        int last = -1;
        for (int i = 0; i < strips->size_count; i++) {
            const guillotine_size *s = &strips->sizes[i];
            int along = along_of(strips, s);
            if (depth_of(strips, s) > depth || along > x)
                continue;
            if (s->value + strips->row[x - along] > most) {
                most = s->value + strips->row[x - along];
                last = i;
            }
        }
        strips->row[x] = most;
        strips->row_size[x] = last;
    }
}

int32_t guillotine_fill_strips(guillotine_strips *strips)
{
    for (int i = 0; i < strips->size_count; i++) {
        guillotine_fill_row(strips, depth_of(strips, &strips->sizes[i]));
        strips->strip_value[i] = strips->row[strips->length];
    }
    strips->stack[0] = 0;
    strips->stack_size[0] = -1;
    for (int y = 1; y <= strips->depth; y++) {
        int32_t most = strips->stack[y - 1];
        int last = -1;
        for (int i = 0; i < strips->size_count; i++) {
            int depth = depth_of(strips, &strips->sizes[i]);
            if (depth > y || strips->strip_value[i] + strips->stack[y - depth] <= most)
                continue;
            most = strips->strip_value[i] + strips->stack[y - depth];
            last = i;
        }
        strips->stack[y] = most;
        strips->stack_size[y] = last;
    }
    return strips->stack[strips->depth];
}
