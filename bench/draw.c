/* How long drawings take. usage: draw [ROUNDS]
 *
 * Prints, for each, the least and the median of so many runs (default 21), in one thread,
 * after one run that loads the font; and how large the file is. */
#include "draw/block.h"
#include "draw/card.h"
#include "draw/chart.h"
#include "draw/map.h"
#include "draw/weave.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char text[] = "name Bench\nabout Chains over scraps.\n"
                           "block plain S S S / S S S / S S S\n"
                           "block cross B S B / S B S / B S B\n"
                           "block stroke B S S / S B S / S S B\n"
                           "repeat cross plain plain plain\n"
                           "repeat plain stroke plain stroke+1\n"
                           "repeat plain plain cross plain\n"
                           "repeat plain stroke+1 plain stroke\n";

typedef struct scene_source {
    quilt_design design;
    quilt_layout layout;
    quilt_frame frame;
    draw_chart_kind kinds[DRAW_CHART_KINDS_MAX];
    draw_chart chart;
    draw_map map;
    draw_fabric fabrics[24];
    draw_cloths cloths;
} scene_source;

static void lay_out(scene_source *self, int across, int down)
{
    memset(self, 0, sizeof *self);
    if (!quilt_design_parse(text, strlen(text), "bench", &self->design, NULL) ||
        !quilt_layout_make(&self->design, across, down, (quilt_start){ 0, 0 },
                           &self->layout, NULL))
        abort();
    self->frame =
        quilt_frame_make(&self->design, across, down, LENGTH_INCH * 5 / 2, QUILT_SEAM);
    draw_chart_place *places = g_new0(draw_chart_place, self->layout.count);
    draw_map_place *mapped = g_new0(draw_map_place, self->layout.count);
    for (int i = 0; i < self->layout.count; i++) {
        quilt_place place = self->layout.places[i];
        places[i] = (draw_chart_place){ (int8_t)place.kind, place.turn, i % 2 };
        mapped[i].kind = (int8_t)place.kind;
        mapped[i].turn = place.turn;
        mapped[i].label = "317";
    }
    for (int k = 0; k < self->layout.kinds.count; k++) {
        const quilt_block *block =
            &self->design.blocks[self->layout.kinds.kinds[k].block];
        self->kinds[k] = (draw_chart_kind){ block->name, block };
    }
    self->chart =
        (draw_chart){ across, down, self->layout.kinds.count, self->kinds, places,
                      false,  NULL };
    self->map =
        (draw_map){ across, down, self->layout.kinds.count, self->kinds, mapped, false };
    for (int i = 0; i < 24; i++) {
        colour_srgb8 colour = { (uint8_t)(40 + 8 * i), (uint8_t)(220 - 7 * i),
                                (uint8_t)(90 + 3 * i) };
        self->fabrics[i] = (draw_fabric){ .colour = colour,
                                          .picture = draw_weave_picture(colour),
                                          .repeat = LENGTH_INCH / 2 };
    }
    self->cloths = (draw_cloths){ { 20, 1, 1, 1, 1 },
                                  { self->fabrics, self->fabrics + 20, self->fabrics + 21,
                                    self->fabrics + 22, self->fabrics + 23 } };
}

static GBytes *chart_pdf(const scene_source *source)
{
    const draw_heading heading = { DRAW_A4, "Chart to cross off", "Bench", "today",
                                   DRAW_ENGLISH };
    g_autoptr(draw_scene) scene = draw_chart_sheet(&source->chart, &heading);
    return draw_scene_pdf(scene, NULL);
}

static GBytes *chart_svg(const scene_source *source)
{
    g_autoptr(draw_scene) scene = draw_chart_screen(&source->chart, "Bench");
    return draw_scene_svg(scene, 0);
}

static GBytes *card_pdf(const scene_source *source)
{
    (void)source;
    g_autoptr(draw_scene) scene = draw_card_sheet(DRAW_A4, DRAW_ENGLISH);
    return draw_scene_pdf(scene, NULL);
}

static GBytes *map_pdf(const scene_source *source)
{
    const draw_heading heading = { DRAW_A4, "Arrangement map", "Bench", "today",
                                   DRAW_ENGLISH };
    g_autoptr(draw_scene) scene = draw_map_sheet(&source->map, &heading);
    return draw_scene_pdf(scene, NULL);
}

static GBytes *design_svg(const scene_source *source)
{
    g_autoptr(draw_scene) scene =
        draw_design_scene(&source->design, &source->layout, &source->frame,
                          &source->cloths, 1, 3 * LENGTH_INCH, NULL);
    return draw_scene_svg(scene, 0);
}

static GBytes *design_png(const scene_source *source)
{
    g_autoptr(draw_scene) scene =
        draw_design_scene(&source->design, &source->layout, &source->frame,
                          &source->cloths, 1, 3 * LENGTH_INCH, NULL);
    return draw_scene_png(scene, 0, 288, NULL);
}

static int by_time(const void *a, const void *b)
{
    gint64 x = *(const gint64 *)a, y = *(const gint64 *)b;
    return (x > y) - (x < y);
}

static void measure(const char *what, GBytes *(*draw)(const scene_source *),
                    const scene_source *source, int rounds)
{
    g_autofree gint64 *took = g_new(gint64, rounds);
    gsize size = 0;
    for (int i = 0; i < rounds; i++) {
        gint64 start = g_get_monotonic_time();
        g_autoptr(GBytes) bytes = draw(source);
        took[i] = g_get_monotonic_time() - start;
        size = g_bytes_get_size(bytes);
    }
    qsort(took, (size_t)rounds, sizeof took[0], by_time);
    printf("%-44s least %6.1f ms, median %6.1f ms, %zu bytes\n", what, took[0] / 1000.0,
           took[rounds / 2] / 1000.0, size);
}

int main(int argc, char **argv)
{
    int rounds = argc > 1 ? MAX(atoi(argv[1]), 1) : 21;
    static scene_source large, small;
    lay_out(&large, 20, 24);
    lay_out(&small, 4, 4);
    gint64 start = g_get_monotonic_time();
    g_bytes_unref(card_pdf(&small));
    printf("%-44s %12.1f ms\n", "first sheet, font loaded",
           (g_get_monotonic_time() - start) / 1000.0);
    measure("measuring card as PDF", card_pdf, &small, rounds);
    measure("chart of 480 blocks as PDF", chart_pdf, &large, rounds);
    measure("chart of 480 blocks as SVG for the page", chart_svg, &large, rounds);
    measure("arrangement map of 480 blocks as PDF", map_pdf, &large, rounds);
    measure("design of 4 x 4 blocks in fabric as SVG", design_svg, &small, rounds);
    measure("the same as PNG, 288 px", design_png, &small, rounds);
    return 0;
}
