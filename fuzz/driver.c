/* Runs a fuzz target without libFuzzer: replays files, then seeded mutations of them, so
 * that a short run is a test on every compiler.
 *
 * usage: PROGRAM ROUNDS [FILE...] */
#include "base/random.h"

#include <glib.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* A copy of its own size, so that a sanitizer sees a read past the end. */
static void run(const uint8_t *data, size_t size)
{
    uint8_t *copy = malloc(size > 0 ? size : 1);
    if (copy == NULL)
        abort();
    memcpy(copy, data, size);
    LLVMFuzzerTestOneInput(copy, size);
    free(copy);
}

/* Exchanges a run of digits for another number, which bytes alone seldom do. */
static void renumber(motley_random *random, GByteArray *bytes, uint32_t at)
{
    static const char *const numbers[] = {
        "0",     "-1",      "1",          "2",
        "64",    "1000000", "2147483648", "0.0001",
        "1/0",   "1e30",    "-2.5e-30",   "99999",
        "\"9\"", "null",    "[1, 2]",     "9223372036854775807",
    };
    while (at < bytes->len && !g_ascii_isdigit(bytes->data[at]))
        at++;
    uint32_t end = at;
    while (end < bytes->len && g_ascii_isdigit(bytes->data[end]))
        end++;
    if (end == at)
        return;
    const char *number = numbers[motley_random_below(random, G_N_ELEMENTS(numbers))];
    g_autoptr(GByteArray) rest = g_byte_array_new();
    g_byte_array_append(rest, bytes->data + end, bytes->len - end);
    g_byte_array_set_size(bytes, at);
    g_byte_array_append(bytes, (const guint8 *)number, (guint)strlen(number));
    g_byte_array_append(bytes, rest->data, rest->len);
}

/* Bytes put in, left out, exchanged or doubled, and other numbers, a few at a time. */
static void mutate(motley_random *random, GByteArray *bytes, const GByteArray *other)
{
    for (uint32_t n = 1 + motley_random_below(random, 4); n > 0; n--) {
        uint8_t byte = (uint8_t)motley_random_bits(random);
        uint32_t at = bytes->len > 0 ? motley_random_below(random, bytes->len) : 0;
        switch (motley_random_below(random, 5)) {
        case 0:
            g_byte_array_append(bytes, &byte, 1);
            break;
        case 1:
            if (bytes->len > 0)
                g_byte_array_remove_range(
                    bytes, at, 1 + motley_random_below(random, MIN(bytes->len - at, 8)));
            break;
        case 2:
            if (bytes->len > 0)
                bytes->data[at] = byte;
            break;
        case 3:
            renumber(random, bytes, at);
            break;
        default:
            if (other->len > 0) {
                uint32_t from = motley_random_below(random, other->len);
                g_byte_array_append(bytes, other->data + from,
                                    MIN(other->len - from, 16));
            }
        }
    }
}

int main(int argc, char **argv)
{
    if (argc < 2) {
        fprintf(stderr, "usage: %s ROUNDS [FILE...]\n", argv[0]);
        return 2;
    }
    g_autoptr(GPtrArray) seeds =
        g_ptr_array_new_with_free_func((GDestroyNotify)g_byte_array_unref);
    for (int i = 2; i < argc; i++) {
        char *text;
        gsize size;
        g_autoptr(GError) error = NULL;
        if (!g_file_get_contents(argv[i], &text, &size, &error)) {
            fprintf(stderr, "%s\n", error->message);
            return 1;
        }
        g_ptr_array_add(seeds, g_byte_array_new_take((guint8 *)text, size));
        run((const uint8_t *)text, size);
    }
    if (seeds->len == 0)
        g_ptr_array_add(seeds, g_byte_array_new());

    motley_random random;
    motley_random_seed(&random, 1);
    for (long rounds = strtol(argv[1], NULL, 10); rounds > 0; rounds--) {
        const GByteArray *seed = seeds->pdata[motley_random_below(&random, seeds->len)];
        const GByteArray *other = seeds->pdata[motley_random_below(&random, seeds->len)];
        g_autoptr(GByteArray) bytes = g_byte_array_new();
        g_byte_array_append(bytes, seed->data, seed->len);
        mutate(&random, bytes, other);
        run(bytes->data, bytes->len);
    }
    return 0;
}
