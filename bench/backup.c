/* bench/backup: how long a copy of a large book takes while the book is written to, and
 * how long the writes wait for it.
 *
 *     backup FOLDER [MEGABYTES]
 *
 * Makes FOLDER/large.book (200 MB without another number, most of it pictures), then
 * copies it while a thread confirms one change after another, with a rest of 10 ms as
 * between the taps of several hands. Does so three times; both files go away. */
#include "base/random.h"
#include "store/basket.h"
#include "store/book-internal.h"

#include <glib/gstdio.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>

enum { PICTURE = 20000, PAUSE_US = 10000, ROUNDS = 3 };

typedef struct writer {
    store_book *book;
    atomic_bool stop;
    GArray *waits_us;
} writer;

#define MUST(call)                                                                       \
    do {                                                                                 \
        if (!(call)) {                                                                   \
            fprintf(stderr, "%s: %s\n", #call, error != NULL ? error->message : "");     \
            exit(1);                                                                     \
        }                                                                                \
    } while (0)

static void add_squares(store_book *book)
{
    GError *error = NULL;
    int64_t layer;
    g_autoptr(store_change) change = store_change_begin(book, "Added", &error);
    MUST(change != NULL);
    MUST(store_layer_add(change, &layer, &error));
    const store_ledger_row row = {
        .layer = layer, .unit = 20320, .count = 3, .how = STORE_ADDED, .counted = true
    };
    MUST(store_ledger_append(change, &row, NULL, &error));
    MUST(store_change_commit(change, &error));
}

static void *write_on(void *data)
{
    writer *self = data;
    while (!atomic_load(&self->stop)) {
        gint64 began = g_get_monotonic_time();
        add_squares(self->book);
        gint64 waited = g_get_monotonic_time() - began;
        g_array_append_val(self->waits_us, waited);
        g_usleep(PAUSE_US);
    }
    return NULL;
}

static void fill(store_book *book, int64_t bytes)
{
    GError *error = NULL;
    motley_random random;
    motley_random_seed(&random, 1);
    g_autofree uint8_t *picture = g_malloc(PICTURE);
    for (int64_t done = 0; done < bytes;) {
        g_autoptr(store_change) change = store_change_begin_quiet(book, &error);
        MUST(change != NULL);
        for (int i = 0; i < 200 && done < bytes; i++, done += PICTURE) {
            for (int at = 0; at < PICTURE; at++)
                picture[at] = (uint8_t)motley_random_bits(&random);
            int64_t id;
            g_autoptr(GBytes) jpeg = g_bytes_new(picture, PICTURE);
            MUST(store_picture_keep(change, jpeg, &id, &error));
        }
        MUST(store_change_commit(change, &error));
    }
}

static int compare(const void *a, const void *b)
{
    gint64 x = *(const gint64 *)a, y = *(const gint64 *)b;
    return (x > y) - (x < y);
}

static void copy_once(store_book *book, const char *copy)
{
    GError *error = NULL;
    struct stat found;
    writer self = { .book = book, .waits_us = g_array_new(FALSE, FALSE, sizeof(gint64)) };
    GThread *thread = g_thread_new("writer", write_on, &self);
    g_usleep(G_USEC_PER_SEC / 5);
    gint64 began = g_get_monotonic_time();
    MUST(store_book_backup(book, copy, &error));
    double seconds = (double)(g_get_monotonic_time() - began) / G_USEC_PER_SEC;
    atomic_store(&self.stop, true);
    g_thread_join(thread);
    MUST(g_stat(copy, &found) == 0);
    g_array_sort(self.waits_us, compare);
    guint n = self.waits_us->len;
    printf("%.0f MB copied in %.2f s; %u changes meanwhile, median %.1f ms, p99 %.1f ms, "
           "longest %.0f ms\n",
           (double)found.st_size / 1e6, seconds, n,
           (double)g_array_index(self.waits_us, gint64, n / 2) / 1000,
           (double)g_array_index(self.waits_us, gint64, n * 99 / 100) / 1000,
           (double)g_array_index(self.waits_us, gint64, n - 1) / 1000);
    g_array_unref(self.waits_us);
    g_unlink(copy);
}

int main(int argc, char **argv)
{
    GError *error = NULL;
    if (argc < 2) {
        fprintf(stderr, "usage: backup FOLDER [MEGABYTES]\n");
        return 2;
    }
    int64_t bytes = (argc > 2 ? atoi(argv[2]) : 200) * INT64_C(1000000);
    g_autofree char *path = g_build_filename(argv[1], "large.book", NULL);
    g_autofree char *copy = g_build_filename(argv[1], "large.copy", NULL);
    store_book *book = store_book_open(path, STORE_OPEN_CREATE, &error);
    MUST(book != NULL);
    fill(book, bytes);
    for (int i = 0; i < ROUNDS; i++)
        copy_once(book, copy);
    store_book_close(book);
    g_unlink(path);
    return 0;
}
