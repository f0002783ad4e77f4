/* bench/book: makes the book of a maker who has sewn for thirty years, and times what is
 * asked of it.
 *
 *     book FILE [--pictures]
 *
 * FILE is made when it is not there: 120 quilts, 20,000 fabrics in 2,000 layers, 40,000
 * blocks, half of them with fabrics known, and about half a million rows of the ledger.
 * With --pictures each block has a picture of 20 kB too. The file stays. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "store/basket.h"
#include "store/book-internal.h"
#include "store/export.h"
#include "store/fabric.h"
#include "store/quilt.h"
#include "store/scrap.h"

enum {
    UNIT = 20320, /* 2 1/2 in */
    QUILTS = 120,
    ACROSS = 18,
    BLOCKS = 40000,
    LAYERS = 2000,
    LAYER_FABRICS = 10,
    FABRIC_SQUARES = 30,
    BLOCK_SQUARES = 14,
    SOURCES = 150,
    YEARS = 30,
    REPEATS = 15,
};

static const int64_t start = 796046400; /* 24 March 1995 */

static void must(gboolean done, GError *error)
{
    if (done)
        return;
    fprintf(stderr, "%s\n", error != NULL ? error->message : "failed");
    exit(1);
}

/* The call first, then what it left in error. */
#define MUST(call)                                                                       \
    do {                                                                                 \
        gboolean done_ = (call);                                                         \
        must(done_, error);                                                              \
    } while (0)

/* --- making it
 * --------------------------------------------------------------------------- */

typedef struct maker {
    store_book *book;
    motley_random random;
    bool pictures;
    int64_t sources[SOURCES], quilt;
    int64_t newest_fabric;
} maker;

static GBytes *picture_of(maker *m, int size)
{
    /* As good as JPEG: nothing in it repeats. */
    uint64_t *bits = g_malloc((gsize)size);
    for (int i = 0; i < size / 8; i++)
        bits[i] = motley_random_bits(&m->random);
    return g_bytes_new_take(bits, (gsize)(size / 8 * 8));
}

static store_change *begin(maker *m, const char *what, double part)
{
    GError *error = NULL;
    store_change *change = store_change_begin(m->book, what, &error);
    MUST(change != NULL);
    store_change_set_time(change, start + (int64_t)(part * YEARS * 365.25 * 86400));
    return change;
}

static void commit(store_change *change)
{
    GError *error = NULL;
    MUST(store_change_commit(change, &error));
}

static void add_sources(maker *m)
{
    GError *error = NULL;
    g_autoptr(store_change) change = begin(m, "Added sources", 0);
    for (int i = 0; i < SOURCES; i++) {
        g_autofree char *name = g_strdup_printf("Source %d", i + 1);
        MUST(store_source_add(change, name, STORE_SOURCE_QUILT, NULL, &m->sources[i],
                              &error));
    }
    commit(change);
}

static void add_fabric(maker *m, store_change *change, int64_t layer)
{
    GError *error = NULL;
    g_autoptr(GBytes) swatch = picture_of(m, 4096);
    colour_signature colours = { .count = COLOUR_SIGNATURE_MAX };
    for (int i = 0; i < colours.count; i++) {
        colours.lab[i] = (colour_lab){ 100 * motley_random_unit(&m->random),
                                       20 * motley_random_normal(&m->random),
                                       20 * motley_random_normal(&m->random) };
        colours.share[i] = 0.2;
    }
    int64_t fabric;
    MUST(store_fabric_add(change, NULL, -1, &fabric, &error));
    MUST(store_swatch_add(change, fabric, swatch, NULL, &error));
    MUST(store_signature_add(change, fabric, &colours,
                             (colour_value)motley_random_below(&m->random, 3), &error));
    const store_ledger_row row = {
        .layer = layer,
        .unit = UNIT,
        .fabric = fabric,
        .source = m->sources[motley_random_below(&m->random, SOURCES)],
        .count = FABRIC_SQUARES,
        .how = STORE_CUT,
        .fabric_known = true,
        .counted = true,
    };
    MUST(store_ledger_append(change, &row, NULL, &error));
    m->newest_fabric = fabric;
}

static void add_layer(maker *m, double part)
{
    GError *error = NULL;
    int64_t layer;
    g_autoptr(store_change) change = begin(m, "Cut scraps", part);
    MUST(store_layer_add(change, &layer, &error));
    for (int i = 0; i < LAYER_FABRICS; i++)
        add_fabric(m, change, layer);
    commit(change);
}

static void start_quilt(maker *m, int number, double part)
{
    GError *error = NULL;
    g_autofree char *name = g_strdup_printf("Quilt %d", number + 1);
    g_autoptr(store_change) change = begin(m, "Started a quilt", part);
    if (m->quilt != 0)
        MUST(store_quilt_set_closed(change, m->quilt, true, &error));
    const store_quilt quilt = {
        .name = name,
        .design = (char *)"lattice-chain",
        .design_text = (char *)"name Lattice chain\nblock plain S S S / S S S / S S S\n",
        .across = ACROSS,
        .down = BLOCKS / QUILTS / ACROSS + 1,
        .unit = UNIT,
        .seam = 2032,
    };
    MUST(store_quilt_add(change, &quilt, &m->quilt, &error));
    commit(change);
}

/* Known fabrics come one by one from the top; else they come off the top unsaid. */
static void take_squares(maker *m, store_change *change, int64_t block, bool known,
                         store_patch patches[BLOCK_SQUARES])
{
    GError *error = NULL;
    g_autoptr(GArray) heaps = NULL;
    MUST(store_basket_top(m->book, UNIT, 10 * BLOCK_SQUARES, &heaps, &error));
    for (int i = 0; i < BLOCK_SQUARES; i++) {
        const store_heap *heap = &g_array_index(heaps, store_heap, (guint)i % heaps->len);
        patches[i] = (store_patch){
            .place = i, .fabric = heap->fabric, .sure = known ? 1 : 0.5, .known = known
        };
        const store_take take = { .unit = UNIT,
                                  .count = 1,
                                  .fabric = heap->fabric,
                                  .fabric_known = true,
                                  .how = STORE_MADE,
                                  .block = block };
        if (known)
            MUST(store_basket_take(change, &take, NULL, &error));
    }
    const store_take unsaid = {
        .unit = UNIT, .count = BLOCK_SQUARES, .how = STORE_MADE, .block = block
    };
    if (!known)
        MUST(store_basket_take(change, &unsaid, NULL, &error));
}

static void make_block(maker *m, int number, double part)
{
    GError *error = NULL;
    int64_t id;
    int in_quilt = number % (BLOCKS / QUILTS + 1);
    store_patch patches[BLOCK_SQUARES];
    g_autoptr(store_change) change = begin(m, "Crossed off a block", part);
    const store_block block = { .quilt = m->quilt,
                                .kind = (char *)"plain",
                                .row = in_quilt / ACROSS + 1,
                                .col = in_quilt % ACROSS + 1 };
    MUST(store_block_add(change, &block, &id, &error));
    take_squares(m, change, id, number % 2 == 0, patches);
    MUST(store_patch_set(change, id, BLOCK_SQUARES, patches, &error));
    if (m->pictures) {
        g_autoptr(GBytes) jpeg = picture_of(m, 20480);
        MUST(store_block_set_picture(change, id, jpeg, &error));
    }
    commit(change);
}

static void make_book(const char *path, bool pictures)
{
    GError *error = NULL;
    maker m = { .pictures = pictures };
    motley_random_seed(&m.random, 30);
    m.book = store_book_open(path, STORE_OPEN_CREATE, &error);
    MUST(m.book != NULL);
    /* Nobody's work hangs on this file, and it has forty thousand commits to come. */
    sqlite3_exec(m.book->writer, "PRAGMA synchronous = OFF", NULL, NULL, NULL);

    gint64 begun = g_get_monotonic_time();
    int layers = 0, quilts = 0;
    add_sources(&m);
    for (int number = 0; number < BLOCKS; number++) {
        double part = (double)number / BLOCKS;
        /* twenty layers ahead of what is sewn */
        for (; layers < LAYERS && layers < 20 + part * LAYERS; layers++)
            add_layer(&m, part);
        for (; quilts <= number / (BLOCKS / QUILTS + 1); quilts++)
            start_quilt(&m, quilts, part);
        make_block(&m, number, part);
        if (number % 4000 == 0)
            fprintf(stderr, "%d blocks\n", number);
    }
    fprintf(stderr, "made in %.0f s\n", (double)(g_get_monotonic_time() - begun) / 1e6);
    store_book_close(m.book);
}

/* --- timing it
 * ----------------------------------------------------------------------------- */

typedef struct thirty_years {
    const char *path;
    store_book *book;
    int64_t quilt, fabric, block;
} thirty_years;

static int compare_times(const void *a, const void *b)
{
    gint64 left = *(const gint64 *)a, right = *(const gint64 *)b;
    return (left > right) - (left < right);
}

/* Runs what leaves an array in `list`, and prints how many it holds and how long it took.
 * Needs a GError *error. */
#define TIME(name, call)                                                                 \
    do {                                                                                 \
        gint64 times[REPEATS];                                                           \
        guint count = 0;                                                                 \
        for (int i_ = 0; i_ < REPEATS; i_++) {                                           \
            g_autoptr(GArray) list = NULL;                                               \
            gint64 begun = g_get_monotonic_time();                                       \
            MUST(call);                                                                  \
            times[i_] = g_get_monotonic_time() - begun;                                  \
            count = list != NULL ? list->len : 1;                                        \
        }                                                                                \
        qsort(times, REPEATS, sizeof times[0], compare_times);                           \
        printf("| %s | %u | %.2f | %.2f |\n", name, count,                               \
               (double)times[REPEATS / 2] / 1e3, (double)times[REPEATS - 1] / 1e3);      \
    } while (0)

/* The same once, for what takes long. */
#define TIME_ONCE(name, call)                                                            \
    do {                                                                                 \
        gint64 begun = g_get_monotonic_time();                                           \
        MUST(call);                                                                      \
        printf("| %s | | %.0f | |\n", name,                                              \
               (double)(g_get_monotonic_time() - begun) / 1e3);                          \
        fflush(stdout);                                                                  \
    } while (0)

static gboolean open_and_close(const char *path, GError **error)
{
    g_autoptr(store_book) book = store_book_open(path, STORE_OPEN_EXISTING, error);
    return book != NULL && store_revision(book) > 0;
}

static gboolean cross_off(thirty_years *t, GError **error)
{
    int64_t id;
    store_patch patches[BLOCK_SQUARES] = { 0 };
    for (int i = 0; i < BLOCK_SQUARES; i++)
        patches[i] = (store_patch){ .place = i, .fabric = t->fabric, .sure = 0.5 };
    g_autoptr(store_change) change = store_change_begin(t->book, "Crossed off", error);
    const store_block block = { .quilt = t->quilt, .kind = (char *)"plain" };
    if (change == NULL || !store_block_add(change, &block, &id, error))
        return FALSE;
    const store_take take = {
        .unit = UNIT, .count = BLOCK_SQUARES, .how = STORE_MADE, .block = id
    };
    return store_basket_take(change, &take, NULL, error) &&
           store_patch_set(change, id, BLOCK_SQUARES, patches, error) &&
           store_change_commit(change, error);
}

static gboolean check(store_book *book, GError **error)
{
    g_autoptr(GPtrArray) complaints = NULL;
    if (!store_book_check(book, &complaints, error))
        return FALSE;
    for (guint i = 0; i < complaints->len; i++)
        fprintf(stderr, "%s\n", (const char *)complaints->pdata[i]);
    return complaints->len == 0;
}

static void count_rows(store_book *book)
{
    GError *error = NULL;
    static const char *const tables[] = {
        "quilt", "fabric",      "layer",   "ledger",
        "block", "block_patch", "journal", "basket_heap"
    };
    g_autoptr(store_reading) reading = store_reading_begin(book, &error);
    for (size_t i = 0; i < G_N_ELEMENTS(tables); i++) {
        int64_t rows;
        g_autofree char *sql = g_strdup_printf("SELECT count(*) FROM %s", tables[i]);
        MUST(store_number(reading->db, sql, &rows, &error));
        fprintf(stderr, "%s %" PRId64 "\n", tables[i], rows);
    }
}

static void time_queries(thirty_years *t)
{
    store_book *book = t->book;
    GError *error = NULL;
    printf("| what | rows | median ms | worst ms |\n|---|---|---|---|\n");
    TIME("opening and closing", open_and_close(t->path, &error));
    TIME("revision", store_revision(book) > 0);
    TIME("basket by unit", store_basket_units(book, &list, &error));
    TIME("basket by fabric", store_basket_fabrics(book, UNIT, &list, &error));
    TIME("basket by source", store_basket_sources(book, UNIT, &list, &error));
    TIME("basket by value", store_basket_values(book, UNIT, &list, &error));
    TIME("basket by layer", store_basket_layers(book, UNIT, &list, &error));
    TIME("top of the basket, 100 squares",
         store_basket_top(book, UNIT, 100, &list, &error));
    TIME("top of the basket, all", store_basket_top(book, UNIT, 0, &list, &error));
    TIME("squares in and out by month", store_basket_months(book, 0, &list, &error));
    TIME("sources", store_source_list(book, &list, &error));
    TIME("fabrics, first 100", store_fabric_list(book, 0, 100, &list, &error));
    TIME("fabrics, all", store_fabric_list(book, 0, 0, &list, &error));
    TIME("signatures, all", store_signature_list(book, 0, &list, &error));
    TIME("ledger of a fabric", store_ledger_of_fabric(book, t->fabric, &list, &error));
    TIME("where a fabric went", store_fabric_uses(book, t->fabric, &list, &error));
    TIME("quilts", store_quilt_list(book, &list, &error));
    TIME("blocks of a quilt", store_block_list(book, t->quilt, &list, &error));
    TIME("patches of a quilt", store_patch_of_quilt(book, t->quilt, &list, &error));
    TIME("sources of a quilt", store_quilt_sources(book, t->quilt, &list, &error));
    TIME("blocks by day, one quilt", store_block_days(book, t->quilt, &list, &error));
    TIME("blocks by day, all", store_block_days(book, 0, &list, &error));
    TIME("journal, last 100", store_journal_list(book, 0, 100, &list, &error));
    TIME("crossing off a block (safe on disk)", cross_off(t, &error));
    TIME("undo", store_undo(book, NULL, &error));
    TIME("redo", store_redo(book, NULL, &error));
}

int main(int count, char **words)
{
    GError *error = NULL;
    if (count < 2) {
        fprintf(stderr, "usage: book FILE [--pictures]\n");
        return 2;
    }
    thirty_years t = { .path = words[1], .fabric = 12345 };
    if (!g_file_test(t.path, G_FILE_TEST_EXISTS))
        make_book(t.path, count > 2 && strcmp(words[2], "--pictures") == 0);

    t.book = store_book_open(t.path, STORE_OPEN_EXISTING, &error);
    MUST(t.book != NULL);
    count_rows(t.book);
    store_quilt quilt = { 0 };
    MUST(store_quilt_find(t.book, "Quilt 100", &quilt, &error));
    t.quilt = quilt.id;
    store_quilt_clear(&quilt);
    time_queries(&t);

    g_autofree char *copy = g_strconcat(t.path, ".copy", NULL);
    g_autofree char *folder = g_strconcat(t.path, ".export", NULL);
    TIME_ONCE("check", check(t.book, &error));
    TIME_ONCE("backup", store_book_backup(t.book, copy, &error));
    TIME_ONCE("export of everything", store_export(t.book, folder, &error));
    store_book_close(t.book);
    return 0;
}
