#include "draw/shopping.h"

#include "draw/asked-internal.h"

/* "4 1/8 yd or 3.80 m", her own system first. */
static char *bought(const quilt_item *item, length_system system)
{
    char yards[LENGTH_TEXT_SIZE], metres[LENGTH_TEXT_SIZE];
    length_text_yd_up(item->buy_yards, yards);
    length_text_m_up(item->buy_metres, metres);
    return system == LENGTH_METRIC ? g_strdup_printf("%s (%s)", metres, yards)
                                   : g_strdup_printf("%s (%s)", yards, metres);
}

static char *capital(const char *text)
{
    char *copy = g_strdup(text);
    copy[0] = g_ascii_toupper(copy[0]);
    return copy;
}

static void list_cloth(draw_flow *flow, const quilt_item *item, const char *fabric,
                       length_system system)
{
    char width[LENGTH_TEXT_SIZE];
    g_autofree char *what = capital(quilt_item_name(item));
    g_autofree char *text = g_strdup_printf(
        "%s%s%s: cloth at least %s wide without its selvages.%s", what,
        fabric == NULL ? "" : ", ", fabric == NULL ? "" : fabric,
        length_text(item->cloth_width, system, 8, width),
        item->exact_fit
            ? " One strip needs this width to the thread: measure before you buy."
            : "");
    g_autofree char *figure = bought(item, system);
    draw_flow_tick(flow, text, figure);
}

static void list_batting(draw_flow *flow, const quilt_batting *batting,
                         length_system system)
{
    if (batting->size.width == 0)
        return;
    char w[LENGTH_TEXT_SIZE], h[LENGTH_TEXT_SIZE], pw[LENGTH_TEXT_SIZE],
        ph[LENGTH_TEXT_SIZE];
    g_autofree char *figure =
        g_strdup_printf("%s x %s", length_text(batting->size.width, system, 8, w),
                        length_text(batting->size.height, system, 8, h));
    g_autofree char *text =
        batting->packaged == NULL
            ? g_strdup("Batting, from the roll: no packaged size covers it.")
            : g_strdup_printf("Batting; the packaged size “%s” (%s x %s) covers it.",
                              batting->packaged,
                              length_text(batting->packaged_size.width, system, 8, pw),
                              length_text(batting->packaged_size.height, system, 8, ph));
    draw_flow_tick(flow, text, figure);
}

static void tell_backing(draw_flow *flow, const quilt_backing *backing,
                         length_system system)
{
    if (backing->panels < 2)
        return;
    char text[LENGTH_TEXT_SIZE], other[LENGTH_TEXT_SIZE];
    g_autofree char *told = g_strdup_printf(
        "The backing is sewn from %d panels of %s with seams running %s; with seams the "
        "other "
        "way it would take %s of cloth.",
        backing->panels, length_text(backing->panel_length, system, 8, text),
        backing->along ? "along the quilt's height" : "across the quilt",
        length_text(backing->other_length, system, 8, other));
    draw_flow_paragraph(flow, told);
}

static const char *asked_for(quilt_part part)
{
    switch (part) {
    case QUILT_PART_TRIANGLES:
        return ", for half-square triangles";
    case QUILT_PART_CORNERSTONE:
        return ", for cornerstones";
    default:
        return "";
    }
}

void draw_asked_list(draw_flow *flow, const quilt_shopping *shopping,
                     length_system system)
{
    if (shopping->asked_count == 0)
        return;
    draw_flow_heading(flow, "From scraps and the basket", DRAW_PT(20));
    for (int i = 0; i < shopping->asked_count; i++) {
        const quilt_asked *asked = &shopping->asked[i];
        char size[LENGTH_TEXT_SIZE];
        g_autofree char *role = capital(quilt_role_name(asked->role));
        g_autofree char *text = g_strdup_printf("%s: squares of %s, cut%s", role,
                                                length_text(asked->cut, system, 16, size),
                                                asked_for(asked->part));
        g_autofree char *figure = g_strdup_printf("%" PRId64, asked->count);
        draw_flow_tick(flow, text, figure);
    }
}

draw_scene *draw_shopping_sheet(const quilt_shopping *shopping, const char *const names[],
                                length_system system, const draw_heading *heading)
{
    draw_flow flow = draw_flow_begin(heading);
    char w[LENGTH_TEXT_SIZE], h[LENGTH_TEXT_SIZE];
    g_autofree char *size =
        g_strdup_printf("The quilt is %s x %s when finished.",
                        length_text(shopping->sizes.finished.width, system, 8, w),
                        length_text(shopping->sizes.finished.height, system, 8, h));
    draw_flow_paragraph(&flow, size);
    if (shopping->item_count > 0) {
        draw_flow_heading(&flow, "Cloth to buy", DRAW_PT(20));
        for (int i = 0; i < shopping->item_count; i++)
            list_cloth(&flow, &shopping->items[i], names == NULL ? NULL : names[i],
                       system);
    }
    list_batting(&flow, &shopping->batting, system);
    tell_backing(&flow, &shopping->backing, system);
    if (shopping->item_count > 0)
        draw_flow_paragraph(
            &flow, "Buy all of one cloth at once and from one bolt: dye lots differ, "
                   "and the next bolt of the same colour may not match. Lengths are "
                   "rounded up already.");
    draw_asked_list(&flow, shopping, system);
    return draw_flow_end(&flow);
}
