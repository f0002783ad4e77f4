/* pile: 300 scraps of ten photos planned, compared over three rulers and printed, through
 * app as the page and the command line ask for it. Wall time, the least of three runs.
 *
 * usage: pile PICTURE.jpg      what serves as the true-scale picture of each photo */
#include "app/app.h"
#include "remnants.h"
#include "store/book.h"
#include "store/scrap.h"

#include <glib/gstdio.h>
#include <stdio.h>

enum { PHOTOS = 10, SCRAPS = 30, RUNS = 3 };

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

static void must(bool done, GError *error)
{
    if (!done)
        g_error("%s", error != NULL ? error->message : "failed");
}

static void keep_scraps(store_change *change, motley_random *random, int64_t photo)
{
    GError *error = NULL;
    for (int i = 0; i < SCRAPS; i++) {
        scrap_point points[REMNANT_CORNERS];
        draw_remnant(random, points);
        for (int k = 0; k < REMNANT_CORNERS; k++) {
            points[k].x += (6 + i % 6 * 4) * LENGTH_INCH;
            points[k].y += (6 + i / 6 * 4) * LENGTH_INCH;
        }
        scrap_outline outline = { { REMNANT_CORNERS, points }, 0, NULL };
        store_scrap scrap = { .photo = photo,
                              .number = i + 1,
                              .outline = store_outline_copy(&outline),
                              .area = scrap_outline_area2(&outline) / 2,
                              .sure = 1,
                              .value = -1 };
        must(store_scrap_add(change, &scrap, NULL, &error), error);
        store_outline_free(scrap.outline);
    }
}

static void make_book(const char *path, GBytes *picture)
{
    GError *error = NULL;
    motley_random random;
    motley_random_seed(&random, 2);
    store_book *book = store_book_open(path, STORE_OPEN_CREATE, &error);
    must(book != NULL, error);
    for (int i = 0; i < PHOTOS; i++) {
        g_autofree char *name = g_strdup_printf("pile %d", i);
        g_autofree char *sha256 =
            g_compute_checksum_for_string(G_CHECKSUM_SHA256, name, -1);
        store_photo photo = { .sha256 = sha256,
                              .name = name,
                              .width = 4032,
                              .height = 3024,
                              .plan_top = 30 * LENGTH_INCH,
                              .plan_pixels_per_in = 48,
                              .pixels_per_in = 100 };
        int64_t id = 0;
        g_autoptr(store_change) change = store_change_begin(book, "Measure", &error);
        must(change != NULL && store_photo_add(change, &photo, picture, &id, &error),
             error);
        keep_scraps(change, &random, id);
        must(store_change_commit(change, &error), error);
    }
    store_book_close(book);
}

static double now_ms(void)
{
    return (double)g_get_monotonic_time() / 1000;
}

static double ask(app *book, const char *name, const char *request)
{
    g_autoptr(json_t) fields = json_loads(request, 0, NULL);
    g_autoptr(json_t) document = NULL;
    app_call call = { .request = fields };
    GError *error = NULL;
    double from = now_ms();
    must(app_action_find(name)->run(book, &call, &document, &error), error);
    return now_ms() - from;
}

static double print(app *book)
{
    g_autoptr(json_t) fields = json_loads("{\"what\": \"cutting\"}", 0, NULL);
    app_call call = { .request = fields };
    GError *error = NULL;
    double from = now_ms();
    const char *type;
    g_autoptr(GBytes) pdf = app_render(book, "cutting.pdf", &call, &type, &error);
    must(pdf != NULL, error);
    return now_ms() - from;
}

int main(int argc, char **argv)
{
    char *bytes;
    gsize size;
    GError *error = NULL;
    if (argc != 2 || !g_file_get_contents(argv[1], &bytes, &size, &error)) {
        fprintf(stderr, "usage: pile PICTURE.jpg\n");
        return 2;
    }
    g_autoptr(GBytes) picture = g_bytes_new_take(bytes, size);
    g_autofree char *folder = g_dir_make_tmp("motley-pile-XXXXXX", &error);
    must(folder != NULL, error);
    g_autofree char *path = g_build_filename(folder, "pile.book", NULL);
    make_book(path, picture);
    app *book = app_open(path, APP_OPEN_EXISTING, &error);
    must(book != NULL, error);

    double cut = 1e9, rulers = 1e9, sheet = 1e9;
    for (int i = 0; i < RUNS; i++) {
        cut = MIN(cut, ask(book, "cut", "{\"unit\": \"2in\"}"));
        rulers =
            MIN(rulers, ask(book, "rulers",
                            "{\"unit\": \"2in\", \"rulers\": [\"square:12x12:23:0.5in\", "
                            "\"long:24x24:45:0.5in\"]}"));
        sheet = MIN(sheet, print(book));
    }
    printf("| %d scraps: both plans of each | %.0f ms |\n", PHOTOS * SCRAPS, cut);
    printf("| compared over three rulers | %.0f ms |\n", rulers);
    printf("| cutting sheet as PDF | %.0f ms |\n", sheet);
    printf("| in all | %.0f ms |\n", cut + rulers + sheet);
    app_close(book);
    g_unlink(path);
    g_rmdir(folder);
    return 0;
}
