#include "base/bits.h"

#include <math.h>
#include <string.h>

/* A side that enters a pixel by less than this share of it only touches: what is left of
 * rounding in the crossings. */
static const double touch_px = 1e-7;

/* Bodies of the hot functions are compiled twice: plainly and, on processors that have
 * them, with 256-bit words. All they call is inlined, so that it is compiled with them.
 */
#define INLINE static inline __attribute__((always_inline))
#if defined(__x86_64__)
#define WIDE __attribute__((target("avx2")))
#define RUN(name, ...)                                                                   \
    (__builtin_cpu_supports("avx2") ? name##_wide(__VA_ARGS__) : name##_body(__VA_ARGS__))
#else
#define RUN(name, ...) name##_body(__VA_ARGS__)
#endif

/* Four words at once, wherever they lie. */
typedef uint64_t four __attribute__((vector_size(32), aligned(8), may_alias));

INLINE uint64_t *row_of(const bits *raster, int row)
{
    return raster->words + (size_t)row * (size_t)raster->stride;
}

INLINE four *four_of(const bits *raster, int row, int word)
{
    return (four *)(void *)(row_of(raster, row) + word);
}

void bits_clear(bits *raster)
{
    memset(raster->words, 0,
           sizeof raster->words[0] * (size_t)raster->rows * (size_t)raster->stride);
}

int64_t bits_count(const bits *raster)
{
    int64_t count = 0;
    for (int row = 0; row < raster->rows; row++) {
        const uint64_t *words = row_of(raster, row);
        for (int i = 0; i < raster->stride; i++)
            count += __builtin_popcountll(words[i]);
    }
    return count;
}

void bits_count_rows(const bits *raster, int counts[])
{
    for (int row = 0; row < raster->rows; row++) {
        const uint64_t *words = row_of(raster, row);
        counts[row] = 0;
        for (int i = 0; i < raster->stride; i++)
            counts[row] += __builtin_popcountll(words[i]);
    }
}

enum { PLANES = 31 }; /* counts stay below 2^31 */

/* Before: a bit of planes[0], planes[1], ... is, read upward, a number for each of 256
 * columns. After: the numbers of those columns whose bit is set have grown by one. By
 * address: a compiler that does not count on wide words passes them otherwise from unit
 * to unit, and says so. */
INLINE void add_four_to_planes(four planes[PLANES], const four *added)
{
    four words = *added;
    for (int p = 0; (words[0] | words[1] | words[2] | words[3]) != 0; p++) {
        four carry = planes[p] & words;
        planes[p] ^= words;
        words = carry;
    }
}

INLINE void read_four_planes(const four planes[PLANES], int columns, int counts[])
{
    memset(counts, 0, sizeof counts[0] * (size_t)columns);
    for (int p = 0; p < PLANES; p++) {
        const uint64_t *plane = (const uint64_t *)(const void *)&planes[p];
        if ((plane[0] | plane[1] | plane[2] | plane[3]) == 0)
            continue;
        for (int col = 0; col < columns; col++)
            counts[col] += (int)(plane[col / 64] >> (col % 64) & 1) << p;
    }
}

void bits_count_cols(const bits *raster, int counts[])
{
    for (int group = 0; 64 * group < raster->cols; group += 4) {
        four planes[PLANES] = { { 0 } };
        for (int row = 0; row < raster->rows; row++)
            add_four_to_planes(planes, four_of(raster, row, group));
        int left = raster->cols - 64 * group;
        read_four_planes(planes, left < 256 ? left : 256, counts + 64 * group);
    }
}

/* One side of a ring in pixels of the frame, from its lower to its upper end. */
typedef struct side {
    double x, y, top_x, top_y, slope; /* slope is dx/dy; 0 when level */
} side;

INLINE side side_in_pixels(const int64_t from[2], const int64_t to[2],
                           const bits_frame *frame)
{
    const int64_t *low = from[1] <= to[1] ? from : to;
    const int64_t *high = low == from ? to : from;
    double pitch = (double)frame->pitch;
    side s = { (double)(low[0] - frame->left) / pitch,
               (double)(low[1] - frame->bottom) / pitch,
               (double)(high[0] - frame->left) / pitch,
               (double)(high[1] - frame->bottom) / pitch, 0 };
    if (high[1] != low[1])
        s.slope = (double)(high[0] - low[0]) / (double)(high[1] - low[1]);
    return s;
}

INLINE double least_of(double a, double b)
{
    return a < b ? a : b;
}

INLINE double most_of(double a, double b)
{
    return a > b ? a : b;
}

INLINE int clamp_int(double x, int least, int most)
{
    return (int)least_of(most_of(x, least), most);
}

/* Places along a side go on in fixed point, which costs an addition a row; a fresh start
 * every BATCH rows keeps what rounding adds far below touch_px. */
enum { BATCH = 64 };
static const double fixed_one = 4294967296.0; /* 2^32 */

INLINE int floor_clamped(int64_t fixed, int most)
{
    int64_t whole = fixed >> 32;
    whole = whole < 0 ? 0 : whole;
    return (int)(whole < most ? whole : most);
}

INLINE int ceil_clamped(int64_t fixed, int most)
{
    return floor_clamped(fixed + INT64_C(0xffffffff), most);
}

/* Flips, in each row whose middle the side crosses, the first pixel whose middle is not
 * left of the crossing. The running parity of a row is then the even-odd rule. */
INLINE void flip_crossings(bits *raster, const side *s)
{
    int first = clamp_int(ceil(s->y - 0.5), 0, raster->rows);
    int end = clamp_int(ceil(s->top_y - 0.5), 0, raster->rows);
    int64_t step = end - first > 1 ? llrint(s->slope * fixed_one) : 0;
    while (first < end) {
        int batch_end = end - first < BATCH ? end : first + BATCH;
        int64_t x = llrint((s->x + (first - s->y + 0.5) * s->slope - 0.5) * fixed_one);
        for (; first < batch_end; first++, x += step) {
            int col = ceil_clamped(x, raster->cols);
            if (col < raster->cols)
                row_of(raster, first)[col / 64] ^= UINT64_C(1) << (col % 64);
        }
    }
}

/* Each bit becomes the parity of those up to it in its row. */
INLINE void run_parity(bits *raster)
{
    int spare = raster->cols % 64;
    uint64_t last = spare == 0 ? ~UINT64_C(0) : (UINT64_C(1) << spare) - 1;
    for (int row = 0; row < raster->rows; row++) {
        uint64_t *words = row_of(raster, row), carry = 0;
        for (int i = 0; i < raster->stride; i++) {
            uint64_t word = words[i];
            if (word == 0) {
                words[i] = carry;
                continue;
            }
            word ^= word << 1;
            word ^= word << 2;
            word ^= word << 4;
            word ^= word << 8;
            word ^= word << 16;
            word ^= word << 32;
            word ^= carry;
            carry = -(word >> 63);
            words[i] = word;
        }
        /* Rows that end inside would run on past the last pixel. */
        words[(raster->cols - 1) / 64] &= last;
        for (int i = (raster->cols - 1) / 64 + 1; i < raster->stride; i++)
            words[i] = 0;
    }
}

INLINE void clear_run(uint64_t *words, int first, int last)
{
    int from = first / 64, to = last / 64;
    uint64_t head = ~UINT64_C(0) << (first % 64);
    uint64_t tail = ~UINT64_C(0) >> (63 - last % 64);
    if (from == to) {
        words[from] &= ~(head & tail);
        return;
    }
    words[from] &= ~head;
    for (int i = from + 1; i < to; i++)
        words[i] = 0;
    words[to] &= ~tail;
}

/* Clears what a side that goes from x1 to x2 within a row's grown band enters there. */
INLINE void clear_between(bits *raster, int row, double x1, double x2, double reach)
{
    int from = clamp_int(floor(least_of(x1, x2) - reach), 0, raster->cols);
    int to = clamp_int(ceil(most_of(x1, x2) + reach), 0, raster->cols);
    if (from < to)
        clear_run(row_of(raster, row), from, to - 1);
}

/* Rows where the side begins or ends within the grown band. */
INLINE void clear_ends(bits *raster, const side *s, double grow, int first, int end)
{
    for (int row = first; row < end; row++) {
        double low = most_of(s->y, row - grow), high = least_of(s->top_y, row + 1 + grow);
        bool level = s->y == s->top_y;
        clear_between(raster, row, level ? s->x : s->x + (low - s->y) * s->slope,
                      level ? s->top_x : s->x + (high - s->y) * s->slope,
                      grow - touch_px);
    }
}

/* Rows that the side goes all through: the same breadth in each. */
INLINE void clear_through(bits *raster, const side *s, double grow, int first, int end)
{
    double breadth = (1 + 2 * grow) * s->slope, reach = grow - touch_px;
    double left = least_of(0, breadth) - reach, right = most_of(0, breadth) + reach;
    int64_t step = llrint(s->slope * fixed_one),
            across = llrint((right - left) * fixed_one);
    for (; first < end;) {
        int batch_end = end - first < BATCH ? end : first + BATCH;
        int64_t x = llrint((s->x + (first - grow - s->y) * s->slope + left) * fixed_one);
        for (; first < batch_end; first++, x += step) {
            int from = floor_clamped(x, raster->cols);
            int to = ceil_clamped(x + across, raster->cols);
            if (from < to)
                clear_run(row_of(raster, first), from, to - 1);
        }
    }
}

/* Clears the pixels whose box, grown, the side enters. */
INLINE void clear_entered(bits *raster, const side *s, double grow)
{
    double reach = grow - touch_px;
    int first = clamp_int(floor(s->y - reach), 0, raster->rows);
    int end = clamp_int(ceil(s->top_y + reach), 0, raster->rows);
    int through = clamp_int(ceil(s->y + grow), first, end);
    int through_end = clamp_int(floor(s->top_y - 1 - grow) + 1, through, end);
    clear_ends(raster, s, grow, first, through);
    if (through < through_end)
        clear_through(raster, s, grow, through, through_end);
    clear_ends(raster, s, grow, through_end, end);
}

INLINE void fill_body(bits *raster, int ring_count, const bits_ring rings[],
                      const bits_frame *frame, int64_t grow)
{
    bits_clear(raster);
    for (int pass = 0; pass < 2; pass++) {
        for (int i = 0; i < ring_count; i++) {
            for (int j = 0; j < rings[i].count; j++) {
                int next = j + 1 == rings[i].count ? 0 : j + 1;
                side s =
                    side_in_pixels(rings[i].xy + 2 * j, rings[i].xy + 2 * next, frame);
                if (pass == 0)
                    flip_crossings(raster, &s);
                else
                    clear_entered(raster, &s, (double)grow / (double)frame->pitch);
            }
        }
        if (pass == 0)
            run_parity(raster);
    }
}

/* words[i] becomes its own and that of the pixels `shift` to the right of them. */
INLINE void and_shifted(uint64_t *words, int stride, int shift)
{
    int whole = shift / 64, part = shift % 64;
    int full = stride - whole;
    if (full <= 0) {
        memset(words, 0, sizeof words[0] * (size_t)stride);
        return;
    }
    if (part == 0)
        for (int i = 0; i < full; i++)
            words[i] &= words[i + whole];
    else if (whole == 0)
        for (int i = 0; i < stride - 1; i++)
            words[i] &= words[i] >> part | words[i + 1] << (64 - part);
    else
        for (int i = 0; i < full - 1; i++)
            words[i] &= words[i + whole] >> part | words[i + whole + 1] << (64 - part);
    if (part != 0)
        words[full - 1] &= words[stride - 1] >> part;
    for (int i = full; i < stride; i++)
        words[i] = 0;
}

/* The last step of a doubling overlaps: after `done` pixels, how many more. */
INLINE int next_step(int done, int all)
{
    return done < all - done ? done : all - done;
}

/* Rows are whole numbers of 256 bits: loops over them need no odd ends. */
INLINE int whole_stride(const bits *raster)
{
    return raster->stride / 4 * 4;
}

/* Rows in blocks of `height`: a run of that many rows is the end of one block and the
 * beginning of the next, so two ANDs a row do for any height (M. van Herk, Pattern
 * Recognition Letters 13, 1992; J. Gil and M. Werman, IEEE PAMI 15, 1993). */
INLINE void erode_up(bits *raster, int height, int word)
{
    int rows = raster->rows;
    for (int start = 0; start < rows; start += height) {
        int end = start + height < rows ? start + height : rows;
        /* Each row becomes what all from it to the end of its block have. */
        four rest = *four_of(raster, end - 1, word);
        for (int row = end - 2; row >= start; row--) {
            rest &= *four_of(raster, row, word);
            *four_of(raster, row, word) = rest;
        }
        /* The first row's run is its block; that of each later one goes on into the next.
         */
        four next = ~(four){ 0 };
        int reaching = rows - height + 1 < end ? rows - height + 1 : end;
        for (int row = start + 1; row < reaching; row++) {
            next &= *four_of(raster, row + height - 1, word);
            *four_of(raster, row, word) &= next;
        }
        for (int row = reaching > start ? reaching : start; row < end; row++)
            *four_of(raster, row, word) = (four){ 0 };
    }
}

/* The first and one past the last group of four words in which some row has a 1. */
INLINE void find_groups(const bits *raster, int first_row, int end_row, int *ret_first,
                        int *ret_end)
{
    int first = raster->stride, end = 0;
    for (int group = 0; group < raster->stride; group += 4) {
        four any = { 0 };
        for (int row = first_row; row < end_row; row++)
            any |= *four_of(raster, row, group);
        if ((any[0] | any[1] | any[2] | any[3]) != 0) {
            first = first < group ? first : group;
            end = group + 4;
        }
    }
    *ret_first = first;
    *ret_end = end;
}

/* Rows that one step sideways goes through before the next step: few enough to stay near,
 * enough that what was stored is not read again at once at another place, which stalls.
 */
enum { BLOCK = 32 };

/* After each step sideways a 1 stands for a run of `done` 1s. */
INLINE void erode_body(bits *raster, int width, int height)
{
    int stride = whole_stride(raster), rows = raster->rows;
    if (height > 1)
        for (int group = 0; group < stride; group += 4)
            erode_up(raster, height, group);
    for (int from = 0; from < rows && width > 1; from += BLOCK) {
        int to = from + BLOCK < rows ? from + BLOCK : rows, first, end;
        find_groups(raster, from, to, &first, &end);
        for (int done = 1, step; done < width && first < end; done += step) {
            step = next_step(done, width);
            for (int row = from; row < to; row++)
                and_shifted(row_of(raster, row) + first, end - first, step);
        }
    }
}

/* The same from block to block downward, with OR. */
INLINE void smear_up_words(bits *raster, int height, int word)
{
    int rows = raster->rows;
    for (int block = (rows + height - 1) / height - 1; block >= 0; block--) {
        int start = block * height, end = start + height < rows ? start + height : rows;
        /* Each row becomes what any from the start of its block to it has. */
        four begun = *four_of(raster, start, word);
        for (int row = start + 1; row < end; row++) {
            begun |= *four_of(raster, row, word);
            *four_of(raster, row, word) = begun;
        }
        /* The last row's run is its block; that of each earlier one begins in the one
         * below. */
        four below = { 0 };
        for (int row = start + height - 2; row >= start && block > 0; row--) {
            below |= *four_of(raster, row - height + 1, word);
            if (row < end)
                *four_of(raster, row, word) |= below;
        }
    }
}

INLINE void smear_up_body(bits *raster, int height)
{
    if (height > 1)
        for (int group = 0; group < whole_stride(raster); group += 4)
            smear_up_words(raster, height, group);
}

INLINE void erode_by_two_body(const bits *raster, bits *ret_eroded)
{
    int stride = whole_stride(raster);
    for (int row = 0; row + 1 < raster->rows; row++) {
        for (int i = 0; i + 4 < stride; i += 4) {
            four here = *four_of(raster, row, i) & *four_of(raster, row + 1, i);
            four right = *four_of(raster, row, i + 1) & *four_of(raster, row + 1, i + 1);
            *four_of(ret_eroded, row, i) = here & (here >> 1 | right << 63);
        }
        uint64_t *eroded = row_of(ret_eroded, row), right = 0;
        for (int i = stride - 1; i >= stride - 4; i--) {
            uint64_t here = row_of(raster, row)[i] & row_of(raster, row + 1)[i];
            eroded[i] = here & (here >> 1 | right << 63);
            right = here;
        }
    }
    if (raster->rows > 0)
        memset(row_of(ret_eroded, raster->rows - 1), 0,
               sizeof(uint64_t) * (size_t)stride);
}

/* words[i] becomes its own or that of the pixels `shift` to the left of them. From the
 * last word down, so that none is read after it was changed. */
INLINE void or_shifted(uint64_t *words, int stride, int shift)
{
    int whole = shift / 64, part = shift % 64;
    if (whole >= stride)
        return;
    if (part == 0)
        for (int i = stride - 1; i > whole; i--)
            words[i] |= words[i - whole];
    else if (whole == 0)
        for (int i = stride - 1; i > 0; i--)
            words[i] |= words[i] << part | words[i - 1] >> (64 - part);
    else
        for (int i = stride - 1; i > whole; i--)
            words[i] |= words[i - whole] << part | words[i - whole - 1] >> (64 - part);
    words[whole] |= words[0] << part;
}

INLINE void smear_right_body(bits *raster, int width)
{
    int stride = whole_stride(raster);
    int spare = raster->cols % 64, last = (raster->cols - 1) / 64;
    for (int from = 0; from < raster->rows; from += BLOCK) {
        int to = from + BLOCK < raster->rows ? from + BLOCK : raster->rows;
        for (int done = 1, step; done < width; done += step) {
            step = next_step(done, width);
            for (int row = from; row < to; row++)
                or_shifted(row_of(raster, row), stride, step);
        }
    }
    for (int row = 0; row < raster->rows; row++) {
        uint64_t *words = row_of(raster, row);
        if (spare != 0)
            words[last] &= (UINT64_C(1) << spare) - 1;
        for (int i = last + 1; i < stride; i++)
            words[i] = 0;
    }
}

/* Before: `busy` holds the columns with a pixel kept in the gap - 1 rows below; the rows
 * of `kept`, used in turn, hold which. 256 columns at a time, all rows of them. */
INLINE void count_apart_body(const bits *raster, int gap, uint64_t *work, int counts[])
{
    four *kept = (four *)(void *)work;
    for (int group = 0; 64 * group < raster->cols; group += 4) {
        four planes[PLANES] = { { 0 } }, busy = { 0 };
        memset(kept, 0, sizeof kept[0] * (size_t)gap);
        for (int row = 0, turn = 0; row < raster->rows; row++) {
            four still = busy & ~kept[turn]; /* kept gap rows ago: over */
            four kept_here = *four_of(raster, row, group) & ~still;
            kept[turn] = kept_here;
            busy = still | kept_here;
            turn = turn + 1 == gap ? 0 : turn + 1;
            add_four_to_planes(planes, &kept_here);
        }
        int left = raster->cols - 64 * group;
        read_four_planes(planes, left < 256 ? left : 256, counts + 64 * group);
    }
}

#if defined(__x86_64__)
WIDE static void fill_wide(bits *raster, int ring_count, const bits_ring rings[],
                           const bits_frame *frame, int64_t grow)
{
    fill_body(raster, ring_count, rings, frame, grow);
}

WIDE static void erode_wide(bits *raster, int width, int height)
{
    erode_body(raster, width, height);
}

WIDE static void erode_by_two_wide(const bits *raster, bits *ret_eroded)
{
    erode_by_two_body(raster, ret_eroded);
}

WIDE static void smear_up_wide(bits *raster, int height)
{
    smear_up_body(raster, height);
}

WIDE static void smear_right_wide(bits *raster, int width)
{
    smear_right_body(raster, width);
}

WIDE static void count_apart_wide(const bits *raster, int gap, uint64_t *work,
                                  int counts[])
{
    count_apart_body(raster, gap, work, counts);
}
#endif

void bits_fill_inside(bits *raster, int ring_count, const bits_ring rings[],
                      const bits_frame *frame, int64_t grow)
{
    RUN(fill, raster, ring_count, rings, frame, grow);
}

void bits_erode(bits *raster, int width, int height)
{
    RUN(erode, raster, width, height);
}

void bits_erode_by_two(const bits *raster, bits *ret_eroded)
{
    RUN(erode_by_two, raster, ret_eroded);
}

void bits_smear_up(bits *raster, int height)
{
    RUN(smear_up, raster, height);
}

void bits_smear_right(bits *raster, int width)
{
    RUN(smear_right, raster, width);
}

void bits_count_apart_cols(const bits *raster, int gap, uint64_t *work, int counts[])
{
    RUN(count_apart, raster, gap, work, counts);
}
