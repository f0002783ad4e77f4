/* Cutting lists held to the checker of guillotine plans, which shares nothing with them.
 * This program is of two rooms, so it links them as the rooms above do. */
#include "test.h"

#include "quilt/buy.h"
#include "quilt/catalogue.h"
#include "scrap/guillotine.h"

/* The cloth as a remnant, each line a wanted size: its pieces, or its strips where these
 * are joined before they are cut. */
static void check_item(const char *design, const quilt_item *item)
{
    scrap_want wants[QUILT_LINES_MAX];
    g_autoptr(GArray) pieces = g_array_new(FALSE, FALSE, sizeof(scrap_piece));
    for (int i = 0; i < item->line_count; i++) {
        const quilt_line *line = &item->lines[i];
        length width = line->joined ? line->strip_length : line->piece_width;
        length height = line->joined ? line->strip_width : line->piece_height;
        wants[i] = (scrap_want){ width, height, 1, false };
        int64_t count = line->joined ? line->strips : line->pieces;
        for (int64_t n = 0; n < count; n++) {
            quilt_rect at =
                line->joined ? quilt_line_strip(line, n) : quilt_line_piece(line, n);
            scrap_piece piece = { at.x, at.y, at.width, at.height, i };
            g_array_append_val(pieces, piece);
        }
    }
    scrap_guillotine pattern = { .value = pieces->len,
                                 .piece_count = (int)pieces->len,
                                 .pieces = (scrap_piece *)(void *)pieces->data };
    GError *error = NULL;
    if (!scrap_guillotine_check(&pattern, item->cloth_width, item->cut_length,
                                item->line_count, wants, &error))
        fail_msg("%s, %s: %s", design, quilt_item_name(item), error->message);
}

static void check_quilt(const char *name, int way)
{
    quilt_design design;
    assert_true(quilt_catalogue_design(name, &design, NULL));
    if (way % 3 == 2)
        design.set = QUILT_ON_POINT;
    quilt_frame frame =
        quilt_frame_make(&design, 4 + way * 2, 10, LENGTH_INCH * 5 / 2, QUILT_SEAM);
    frame.sash = way % 2 ? LENGTH_INCH * 3 / 2 : frame.sash;
    frame.border_count = way % 3;
    for (int b = 0; b < frame.border_count; b++)
        frame.borders[b] =
            (quilt_frame_border){ LENGTH_INCH * 3, QUILT_BACKGROUND, way % 2 == 0 };
    quilt_buying buying = quilt_buying_defaults();
    buying.hst = (quilt_hst)(way % 4);
    buying.sleeve = LENGTH_INCH * 4;
    buying.binding_bias = way % 2 == 0;
    buying.use_ends = way >= 3;
    memset(buying.from_basket, way < 4, sizeof buying.from_basket);
    g_auto(quilt_layout) layout = { 0 };
    quilt_shopping shop;
    GError *error = NULL;
    if (!quilt_layout_make(&design, frame.across, frame.down, (quilt_start){ 0, 0 },
                           &layout, &error) ||
        !quilt_shopping_make(&design, &layout, &frame, &buying, &shop, &error))
        fail_msg("%s: %s", name, error->message);
    for (int i = 0; i < shop.item_count; i++)
        check_item(name, &shop.items[i]);
}

static void every_cutting_list_can_be_cut_from_edge_to_edge(void **state)
{
    (void)state;
    int count;
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    for (int i = 0; i < count; i++)
        for (int way = 0; way < 6; way++)
            check_quilt(entries[i].name, way);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_cutting_list_can_be_cut_from_edge_to_edge),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
