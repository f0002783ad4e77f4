#include "photo/bits-internal.h"

#include <glib.h>
#include <math.h>
#include <string.h>

photo_bits *photo_bits_new(int width, int height)
{
    photo_bits *bits = g_new(photo_bits, 1);
    bits->width = width;
    bits->height = height;
    bits->words = (width + 63) / 64;
    bits->row = g_new0(uint64_t, (gsize)bits->words * (gsize)height);
    return bits;
}

static size_t words_in(const photo_bits *bits)
{
    return (size_t)bits->words * (size_t)bits->height;
}

photo_bits *photo_bits_copy(const photo_bits *from)
{
    photo_bits *bits = photo_bits_new(from->width, from->height);
    memcpy(bits->row, from->row, words_in(from) * sizeof bits->row[0]);
    return bits;
}

void photo_bits_free(photo_bits *bits)
{
    if (bits == NULL)
        return;
    g_free(bits->row);
    g_free(bits);
}

void photo_bits_or(photo_bits *into, const photo_bits *with)
{
    for (size_t i = 0; i < words_in(into); i++)
        into->row[i] |= with->row[i];
}

void photo_bits_and(photo_bits *into, const photo_bits *with)
{
    for (size_t i = 0; i < words_in(into); i++)
        into->row[i] &= with->row[i];
}

void photo_bits_and_not(photo_bits *into, const photo_bits *with)
{
    for (size_t i = 0; i < words_in(into); i++)
        into->row[i] &= ~with->row[i];
}

/* The bits of the last word of a row that lie in the mask. */
static uint64_t last_word(const photo_bits *bits)
{
    int used = bits->width & 63;
    return used == 0 ? ~(uint64_t)0 : ((uint64_t)1 << used) - 1;
}

void photo_bits_invert(photo_bits *bits)
{
    uint64_t last = last_word(bits);
    for (int y = 0; y < bits->height; y++) {
        uint64_t *row = photo_bits_row(bits, y);
        for (int i = 0; i < bits->words; i++)
            row[i] = ~row[i];
        row[bits->words - 1] &= last;
    }
}

int64_t photo_bits_count(const photo_bits *bits)
{
    int64_t count = 0;
    for (size_t i = 0; i < words_in(bits); i++)
        count += __builtin_popcountll(bits->row[i]);
    return count;
}

/* out |= in, moved right by px. */
static void or_moved(int words, const uint64_t *in, int px, uint64_t *out)
{
    int whole = px / 64, part = px % 64;
    for (int i = words - 1; i >= whole; i--) {
        uint64_t word = in[i - whole] << part;
        if (part > 0 && i > whole)
            word |= in[i - whole - 1] >> (64 - part);
        out[i] |= word;
    }
}

/* Widens every set bit of a row to the 2 px + 1 that begin there; words leave room. The
 * reach doubles at each step. */
static void widen(int words, uint64_t *row, int px)
{
    int want = 2 * px + 1, reach = 1;
    while (reach < want) {
        int step = reach < want - reach ? reach : want - reach;
        or_moved(words, row, step, row); /* from the last word down: in place is safe */
        reach += step;
    }
}

void photo_bits_grow(photo_bits *bits, double radius_px)
{
    int reach = (int)floor(radius_px);
    if (reach < 1)
        return;

    int words = bits->words, spare = words + reach / 64 + 1;
    uint64_t *wide = g_new(uint64_t, (gsize)spare);
    uint64_t *from = bits->row;
    bits->row = g_new0(uint64_t, words_in(bits));
    for (int y = 0; y < bits->height; y++) {
        const uint64_t *in = from + (int64_t)y * words;
        bool empty = true;
        for (int i = 0; i < words && empty; i++)
            empty = in[i] == 0;
        if (empty)
            continue;
        int before = -1;
        for (int dy = reach; dy >= 0; dy--) {
            int px = (int)floor(sqrt(radius_px * radius_px - dy * dy));
            if (px != before) {
                memcpy(wide, in, (size_t)words * sizeof in[0]);
                memset(wide + words, 0, (size_t)(spare - words) * sizeof in[0]);
                widen(spare, wide, px);
                before = px;
            }
            for (int side = 0; side < (dy == 0 ? 1 : 2); side++) {
                int at = side == 0 ? y + dy : y - dy;
                if (at < 0 || at >= bits->height)
                    continue;
                /* the run began px too far right */
                uint64_t *out = photo_bits_row(bits, at);
                int whole = px / 64, part = px % 64;
                for (int i = 0; i < words; i++) {
                    uint64_t word = wide[i + whole] >> part;
                    if (part > 0 && i + whole + 1 < spare)
                        word |= wide[i + whole + 1] << (64 - part);
                    out[i] |= word;
                }
            }
        }
    }
    uint64_t last = last_word(bits);
    for (int y = 0; y < bits->height; y++)
        photo_bits_row(bits, y)[words - 1] &= last;
    g_free(from);
    g_free(wide);
}

void photo_bits_shrink(photo_bits *bits, double radius_px)
{
    photo_bits_invert(bits);
    photo_bits_grow(bits, radius_px);
    photo_bits_invert(bits);
}

void photo_bits_open(photo_bits *bits, double radius_px)
{
    photo_bits_shrink(bits, radius_px);
    photo_bits_grow(bits, radius_px);
}

void photo_bits_close(photo_bits *bits, double radius_px)
{
    photo_bits_grow(bits, radius_px);
    photo_bits_shrink(bits, radius_px);
}

static int32_t root_of(int32_t *parent, int32_t i)
{
    while (parent[i] != i)
        i = parent[i] = parent[parent[i]];
    return i;
}

int photo_bits_label(const photo_bits *bits, int32_t *label)
{
    int width = bits->width;
    g_autoptr(GArray) parent = g_array_new(FALSE, FALSE, sizeof(int32_t));
    int32_t none = 0;
    g_array_append_val(parent, none);

    for (int y = 0; y < bits->height; y++) {
        int32_t *line = label + (int64_t)y * width;
        const int32_t *above = line - width;
        const uint64_t *row = photo_bits_row(bits, y);
        memset(line, 0, (size_t)width * sizeof line[0]);
        for (int x = 0; x < width; x++) {
            uint64_t ahead = row[x >> 6] >> (x & 63);
            if (ahead == 0) {
                x |= 63; /* nothing more in this word */
                continue;
            }
            x += __builtin_ctzll(ahead);
            int32_t left = x > 0 ? line[x - 1] : 0, up = y > 0 ? above[x] : 0;
            if (left == 0 && up == 0) {
                int32_t fresh = (int32_t)parent->len;
                g_array_append_val(parent, fresh);
                line[x] = fresh;
                continue;
            }
            line[x] = left != 0 ? left : up;
            if (left != 0 && up != 0 && left != up) {
                int32_t *p = (int32_t *)(void *)parent->data;
                int32_t a = root_of(p, left), b = root_of(p, up);
                p[MAX(a, b)] = MIN(a, b);
            }
        }
    }

    /* Roots come before what hangs from them, so one pass numbers them. */
    int32_t *p = (int32_t *)(void *)parent->data;
    int count = 0;
    g_autofree int32_t *number = g_new0(int32_t, parent->len);
    for (int32_t i = 1; i < (int32_t)parent->len; i++)
        number[i] = p[i] == i ? ++count : number[root_of(p, i)];
    for (int64_t i = 0; i < (int64_t)width * bits->height; i++)
        if (label[i] != 0)
            label[i] = number[label[i]];
    return count;
}

photo_part *photo_bits_measure(const photo_bits *bits, const int32_t *label, int count)
{
    photo_part *parts = g_new0(photo_part, count + 1);
    for (int i = 0; i <= count; i++)
        parts[i] = (photo_part){ .x0 = bits->width, .y0 = bits->height };
    for (int y = 0; y < bits->height; y++) {
        for (int x = -1; (x = photo_bits_next(bits, x + 1, y)) < bits->width;) {
            photo_part *p = &parts[label[(size_t)y * (size_t)bits->width + (size_t)x]];
            p->x0 = MIN(p->x0, x);
            p->x1 = MAX(p->x1, x + 1);
            p->y0 = MIN(p->y0, y);
            p->y1 = MAX(p->y1, y + 1);
            p->pixels++;
        }
    }
    return parts;
}

/* Flips the first so many pixels of a row. */
static void flip_first(uint64_t *row, int count)
{
    for (int i = 0; i < count >> 6; i++)
        row[i] = ~row[i];
    if ((count & 63) != 0)
        row[count >> 6] ^= ((uint64_t)1 << (count & 63)) - 1;
}

void photo_bits_flip_inside(photo_bits *bits, int count, const photo_point *ring)
{
    for (int i = 0, j = count - 1; i < count; j = i++) {
        photo_point a = ring[j], b = ring[i];
        int from = MAX(0, (int)ceil(fmin(a.y, b.y) - 0.5));
        int to = MIN(bits->height, (int)ceil(fmax(a.y, b.y) - 0.5));
        for (int y = from; y < to; y++) {
            double x = a.x + (y + 0.5 - a.y) / (b.y - a.y) * (b.x - a.x);
            flip_first(photo_bits_row(bits, y),
                       CLAMP((int)ceil(x - 0.5), 0, bits->width));
        }
    }
}
