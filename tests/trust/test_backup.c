/* Copies of a book while another thread writes to it: each is a sound book, and holds a
 * state that the book was in between the copy's beginning and its end.
 *
 * usage: test_trust_backup COPIES MEGABYTES; the book is so large */
#include "test.h"

#include "base/error.h"
#include "base/random.h"
#include "store/basket.h"
#include "store/book-internal.h"

#include <glib/gstdio.h>
#include <stdatomic.h>
#include <stdlib.h>

static int copies = 3, megabytes = 2;
static char *folder, *path, *copy;

typedef struct writer {
    store_book *book;
    atomic_bool stop;
    atomic_long confirmed; /* changes, of a square each */
} writer;

static void must(gboolean done, const GError *error)
{
    if (!done)
        fail_msg("%s", error != NULL ? error->message : "failed without an error");
}

static void add_a_square(store_book *book)
{
    GError *error = NULL;
    int64_t layer;
    g_autoptr(store_change) change = store_change_begin(book, "Added", &error);
    must(change != NULL, error);
    must(store_layer_add(change, &layer, &error), error);
    const store_ledger_row row = {
        .layer = layer, .unit = 20320, .count = 1, .how = STORE_ADDED, .counted = true
    };
    must(store_ledger_append(change, &row, NULL, &error), error);
    must(store_change_commit(change, &error), error);
}

static void *write_on(void *data)
{
    writer *self = data;
    while (!atomic_load(&self->stop)) {
        add_a_square(self->book);
        atomic_fetch_add(&self->confirmed, 1);
    }
    return NULL;
}

/* Pictures of chance, which is what makes a book large. */
static void fill(store_book *book)
{
    GError *error = NULL;
    motley_random random;
    motley_random_seed(&random, 5);
    static uint8_t picture[50000];
    g_autoptr(store_change) change = store_change_begin_quiet(book, &error);
    must(change != NULL, error);
    for (int i = 0; i < megabytes * 20; i++) {
        for (size_t at = 0; at < sizeof picture; at++)
            picture[at] = (uint8_t)motley_random_bits(&random);
        int64_t id;
        g_autoptr(GBytes) jpeg = g_bytes_new(picture, sizeof picture);
        must(store_picture_keep(change, jpeg, &id, &error), error);
    }
    must(store_change_commit(change, &error), error);
}

static int64_t squares_of(store_book *book)
{
    GError *error = NULL;
    g_autoptr(GArray) units = NULL;
    must(store_basket_units(book, &units, &error), error);
    return units->len > 0 ? g_array_index(units, store_unit_total, 0).squares : 0;
}

static void look_through(long least, long most)
{
    GError *error = NULL;
    g_autoptr(store_book) book = store_book_open(copy, STORE_OPEN_READ_ONLY, &error);
    g_autoptr(GPtrArray) complaints = NULL;
    must(book != NULL, error);
    must(store_book_check(book, &complaints, &error), error);
    if (complaints->len > 0)
        fail_msg("the copy: %s", (const char *)complaints->pdata[0]);
    int64_t squares = squares_of(book);
    if (squares < least || squares > most)
        fail_msg("the copy has %d squares; the book had %ld to %ld meanwhile",
                 (int)squares, least, most);
}

static void a_copy_made_under_writes_is_a_state_of_the_book(void **state)
{
    (void)state;
    GError *error = NULL;
    writer self = { .book = store_book_open(path, STORE_OPEN_CREATE, &error) };
    must(self.book != NULL, error);
    fill(self.book);
    GThread *thread = g_thread_new("writer", write_on, &self);
    for (int i = 0; i < copies; i++) {
        while (atomic_load(&self.confirmed) < 5 * (i + 1))
            g_usleep(1000);
        long before = atomic_load(&self.confirmed);
        must(store_book_backup(self.book, copy, &error), error);
        /* The writer may have confirmed one that it has not counted yet. */
        look_through(before, atomic_load(&self.confirmed) + 1);
        assert_int_equal(g_unlink(copy), 0);
    }
    atomic_store(&self.stop, true);
    g_thread_join(thread);
    assert_int_equal(squares_of(self.book), atomic_load(&self.confirmed));
    store_book_close(self.book);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_copy_made_under_writes_is_a_state_of_the_book),
    };
    if (argc > 2) {
        copies = atoi(argv[1]);
        megabytes = atoi(argv[2]);
    }
    folder = g_dir_make_tmp("motley-backup-XXXXXX", NULL);
    path = g_build_filename(folder, "a.book", NULL);
    copy = g_build_filename(folder, "a.copy", NULL);
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    g_unlink(path);
    g_rmdir(folder);
    g_free(folder);
    g_free(path);
    g_free(copy);
    return failed;
}
