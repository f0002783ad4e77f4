#include "draw/designsheet.h"

#include "draw/flow.h"

#include <string.h>

#define PICTURE_HIGHEST (125 * LENGTH_MM)
#define SAMPLE          (24 * LENGTH_MM)

/* The picture as wide as the page, or as high as leaves room for the figures. */
static gboolean draw_picture_of(draw_flow *flow, const quilt_design *design,
                                const quilt_layout *layout, const quilt_frame *frame,
                                const quilt_sizes *sizes, const draw_cloths *cloths,
                                GError **error)
{
    length room = flow->frame.right - flow->frame.left;
    double ratio = (double)sizes->finished.height / sizes->finished.width;
    length width = MIN(room, (length)(PICTURE_HIGHEST / ratio));
    length height = (length)(width * ratio);
    if (!draw_design(flow->scene, design, layout, frame, cloths, 1,
                     flow->frame.left + (room - width) / 2, flow->y, width, error))
        return FALSE;
    flow->y += height + 5 * LENGTH_MM;
    return TRUE;
}

static char *size_text(quilt_extent size, length_system system, draw_language language)
{
    char w[LENGTH_TEXT_SIZE], h[LENGTH_TEXT_SIZE];
    return g_strdup_printf("%s x %s", draw_length(language, size.width, system, 8, w),
                           draw_length(language, size.height, system, 8, h));
}

/* The measures as a table of two columns. */
static void tell_measures(draw_flow *flow, const quilt_frame *frame,
                          const quilt_sizes *sizes, length_system system)
{
    static const draw_flow_column columns[] = {
        { DRAW_WORDS("Measure"), 3, DRAW_LEFT }, { DRAW_WORDS("Finished"), 2, DRAW_RIGHT }
    };
    const draw_language language = flow->heading->language;
    char unit[LENGTH_TEXT_SIZE], block[LENGTH_TEXT_SIZE], sewn[LENGTH_TEXT_SIZE],
        sash[LENGTH_TEXT_SIZE];
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    draw_unit(language, frame->unit, unit);
    draw_length(language, sizes->block_finished, system, 8, block);
    draw_length(language, sizes->block_unfinished, system, 8, sewn);
    g_ptr_array_add(
        cells, g_strdup_printf(
                   draw_words(language,
                              "Block of %d x %d squares cut %s (sewn, it measures %s)"),
                   frame->side, frame->side, unit, sewn));
    g_ptr_array_add(cells, g_strdup_printf("%s", block));
    g_ptr_array_add(cells,
                    g_strdup_printf(frame->on_point
                                        ? draw_words(language, "%d x %d blocks, on point")
                                        : draw_words(language, "%d x %d blocks"),
                                    frame->across, frame->down));
    g_ptr_array_add(cells, size_text(sizes->body, system, language));
    if (frame->sash > 0) {
        g_ptr_array_add(
            cells,
            g_strdup_printf(
                frame->cornerstones
                    ? draw_words(language,
                                 "Sashes between the blocks, %s, with cornerstones")
                    : draw_words(language, "Sashes between the blocks, %s"),
                draw_words_of(language, quilt_role_name(frame->sash_role))));
        g_ptr_array_add(cells,
                        g_strdup(draw_length(language, frame->sash, system, 8, sash)));
    }
    for (int i = 0; i < frame->border_count; i++) {
        const quilt_frame_border *border = &frame->borders[i];
        g_ptr_array_add(
            cells,
            g_strdup_printf(border->mitred
                                ? draw_words(language, "With border %d, %s of %s, mitred")
                                : draw_words(language, "With border %d, %s of %s"),
                            i + 1, draw_length(language, border->width, system, 8, sash),
                            draw_words_of(language, quilt_role_name(border->role))));
        g_ptr_array_add(cells, size_text(sizes->after[i], system, language));
    }
    draw_flow_table(flow, 2, columns, (int)cells->len / 2,
                    (const char *const *)cells->pdata);
}

/* "4 scrap, 5 background; 2 scrap/background triangles" */
static char *block_in_words(const quilt_block *block, draw_language language)
{
    quilt_block_count count = quilt_block_counted(block);
    g_autoptr(GString) text = g_string_new(NULL);
    for (int role = 0; role < QUILT_ROLES; role++)
        if (count.squares[role] > 0)
            g_string_append_printf(
                text, "%s%d %s", text->len > 0 ? ", " : "", count.squares[role],
                draw_words_of(language, quilt_role_name((quilt_role)role)));
    for (int a = 0; a < QUILT_ROLES; a++)
        for (int b = a; b < QUILT_ROLES; b++)
            if (count.pairs[a][b] > 0) {
                g_string_append(text, text->len > 0 ? ", " : "");
                g_string_append_printf(
                    text, draw_words(language, "%d of %s and %s triangles"),
                    count.pairs[a][b],
                    draw_words_of(language, quilt_role_name((quilt_role)a)),
                    draw_words_of(language, quilt_role_name((quilt_role)b)));
            }
    return g_strdup(text->str);
}

/* One kind in the left or right half of the page. */
static void tell_kind(draw_flow *flow, int kind, const quilt_block *block, int64_t blocks)
{
    const draw_text_style name = { .size = DRAW_PT(10.5), .bold = true };
    const draw_text_style words = { .size = DRAW_PT(10) };
    const draw_fabric *grey[2 * QUILT_SIDE_MAX * QUILT_SIDE_MAX] = { NULL };
    length half = (flow->frame.right - flow->frame.left) / 2;
    length x = flow->frame.left + kind % 2 * half;
    length text_x = x + SAMPLE + 4 * LENGTH_MM;
    if (kind % 2 == 0)
        draw_flow_room(flow, SAMPLE + 3 * LENGTH_MM);
    draw_block(flow->scene, block, grey, x, flow->y, SAMPLE, 0);
    const draw_language language = flow->heading->language;
    char counted[DRAW_COUNTED_SIZE];
    g_autofree char *head =
        g_strdup_printf("%s: %s", draw_words_of(language, block->name),
                        draw_counted(language, (int)blocks, "block", "blocks", counted));
    g_autofree char *fitted = draw_text_fit(&name, head, x + half - text_x);
    g_autofree char *made_of = block_in_words(block, language);
    draw_scene_text(flow->scene, &name, text_x, flow->y + DRAW_PT(14), fitted);
    draw_scene_paragraph(flow->scene, &words, text_x, flow->y + DRAW_PT(30),
                         x + half - 2 * LENGTH_MM - text_x, made_of, true);
    if (kind % 2 == 1)
        flow->y += SAMPLE + 3 * LENGTH_MM;
}

draw_scene *draw_design_sheet(const quilt_design *design, const quilt_layout *layout,
                              const quilt_frame *frame, const draw_cloths *cloths,
                              length_system system, const draw_heading *heading,
                              GError **error)
{
    quilt_sizes sizes;
    quilt_count count;
    if (!quilt_frame_sizes(frame, &sizes, error))
        return NULL;
    draw_flow flow = draw_flow_begin(heading);
    if (!draw_picture_of(&flow, design, layout, frame, &sizes, cloths, error)) {
        draw_scene_free(flow.scene);
        return NULL;
    }
    if (*design->about != '\0')
        draw_flow_paragraph(&flow, draw_words_of(heading->language, design->about));
    tell_measures(&flow, frame, &sizes, system);
    quilt_layout_count(design, layout, &count);
    draw_flow_heading(&flow, draw_words(heading->language, "Blocks"), SAMPLE);
    for (int kind = 0; kind < layout->kinds.count; kind++)
        tell_kind(&flow, kind, &design->blocks[layout->kinds.kinds[kind].block],
                  count.kind_blocks[kind]);
    return draw_flow_end(&flow);
}
