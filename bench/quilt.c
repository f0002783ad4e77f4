/* How long a plan with its whole buying list takes for 10,000 patches, and how long large
 * design files keep the reader busy. */
#include "quilt/buy.h"
#include "quilt/catalogue.h"

#include <stdio.h>
#include <string.h>

enum { ROUNDS = 2000 };

static int plan(const char *name, int across, int down)
{
    gint64 start = g_get_monotonic_time();
    int64_t patches = 0;
    for (int i = 0; i < ROUNDS; i++) {
        quilt_design design;
        g_auto(quilt_layout) layout = { 0 };
        if (!quilt_catalogue_design(name, &design, NULL) ||
            !quilt_layout_make(&design, across, down, (quilt_start){ 0, 0 }, &layout,
                               NULL))
            return 1;
        quilt_frame frame =
            quilt_frame_make(&design, across, down, LENGTH_INCH * 5 / 2, QUILT_SEAM);
        quilt_buying buying = quilt_buying_defaults();
        quilt_shopping shop;
        if (!quilt_shopping_make(&design, &layout, &frame, &buying, &shop, NULL))
            return 1;
        patches = shop.count.blocks * design.blocks[0].side * design.blocks[0].side;
    }
    gint64 taken = g_get_monotonic_time() - start;
    printf("%s, %" PRId64 " patches: %.4f ms\n", name, patches,
           (double)taken / 1000 / ROUNDS);
    return 0;
}

static void read_bytes(const char *what, size_t size)
{
    g_autofree char *text = g_malloc(size);
    const char *line = "# a remark that fills the file\n";
    const char *end = "\nblock one  S B / B S\n";
    for (size_t i = 0; i < size; i++)
        text[i] = line[i % strlen(line)];
    memcpy(text + size - strlen(end), end, strlen(end));
    gint64 start = g_get_monotonic_time();
    quilt_design design;
    g_autoptr(GError) error = NULL;
    gboolean done = quilt_design_parse(text, size, "big", &design, &error);
    printf("%s: %s in %.4f ms\n", what, done ? "read" : "refused",
           (double)(g_get_monotonic_time() - start) / 1000);
}

int main(void)
{
    read_bytes("a design of 1 MB", 1 << 20);
    read_bytes("a design of 64 KiB", QUILT_TEXT_MAX);
    return plan("lattice-chain", 33, 34) + plan("churn-dash", 20, 20) +
           plan("nine-patch-on-point", 24, 24);
}
