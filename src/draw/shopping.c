#include "draw/shopping.h"

#include "draw/asked-internal.h"

/* "4 1/8 yd or 3.80 m", her own system first. */
static char *bought(const quilt_item *item, length_system system, draw_language language)
{
    char yards[LENGTH_TEXT_SIZE], metres[LENGTH_TEXT_SIZE];
    draw_length_yd_up(language, item->buy_yards, yards);
    draw_length_m_up(language, item->buy_metres, metres);
    return system == LENGTH_METRIC ? g_strdup_printf("%s (%s)", metres, yards)
                                   : g_strdup_printf("%s (%s)", yards, metres);
}

static char *capital(const char *text)
{
    char *copy = g_strdup(text);
    copy[0] = g_ascii_toupper(copy[0]);
    return copy;
}

char *draw_item_words(draw_language language, const quilt_item *item, const char *fabric)
{
    g_autofree char *name = capital(draw_words_of(language, quilt_item_name(item)));
    if (fabric == NULL)
        return g_steal_pointer(&name);
    g_autofree char *cloth = draw_fabric_words(language, fabric);
    return g_strdup_printf("%s, %s", name, cloth);
}

static void list_cloth(draw_flow *flow, const quilt_item *item, const char *fabric,
                       length_system system)
{
    const draw_language language = flow->heading->language;
    char width[LENGTH_TEXT_SIZE];
    g_autofree char *what = draw_item_words(language, item, fabric);
    g_autoptr(GString) text = g_string_new(NULL);
    g_string_printf(
        text, draw_words(language, "%s: cloth at least %s wide without its selvages."),
        what, draw_length(language, item->cloth_width, system, 8, width));
    if (item->exact_fit)
        g_string_append_printf(
            text, " %s",
            draw_words(
                language,
                "One strip needs this width to the thread: measure before you buy."));
    g_autofree char *figure = bought(item, system, language);
    draw_flow_tick(flow, text->str, figure);
}

static void list_batting(draw_flow *flow, const quilt_batting *batting,
                         length_system system)
{
    if (batting->size.width == 0)
        return;
    const draw_language language = flow->heading->language;
    char w[LENGTH_TEXT_SIZE], h[LENGTH_TEXT_SIZE], pw[LENGTH_TEXT_SIZE],
        ph[LENGTH_TEXT_SIZE];
    g_autofree char *figure = g_strdup_printf(
        "%s x %s", draw_length(language, batting->size.width, system, 8, w),
        draw_length(language, batting->size.height, system, 8, h));
    g_autofree char *text =
        batting->packaged == NULL
            ? g_strdup(draw_words(language,
                                  "Batting, from the roll: no packaged size covers it."))
            : g_strdup_printf(
                  draw_words(language,
                             "Batting; the packaged size “%s” (%s x %s) covers it."),
                  batting->packaged,
                  draw_length(language, batting->packaged_size.width, system, 8, pw),
                  draw_length(language, batting->packaged_size.height, system, 8, ph));
    draw_flow_tick(flow, text, figure);
}

static void tell_backing(draw_flow *flow, const quilt_backing *backing,
                         length_system system)
{
    if (backing->panels < 2)
        return;
    const draw_language language = flow->heading->language;
    char text[LENGTH_TEXT_SIZE], other[LENGTH_TEXT_SIZE];
    draw_length(language, backing->panel_length, system, 8, text);
    draw_length(language, backing->other_length, system, 8, other);
    g_autofree char *told = g_strdup_printf(
        backing->along
            ? draw_words(
                  language,
                  "The backing is sewn from %d panels of %s with seams running along the "
                  "quilt's height; with seams the other way it would take %s of cloth.")
            : draw_words(
                  language,
                  "The backing is sewn from %d panels of %s with seams running across "
                  "the quilt; with seams the other way it would take %s of cloth."),
        backing->panels, text, other);
    draw_flow_paragraph(flow, told);
}

/* "Scrap: squares of 2 1/2 in, cut" */
static char *asked_in_words(const quilt_asked *asked, length_system system,
                            draw_language language)
{
    char size[LENGTH_TEXT_SIZE];
    g_autofree char *role =
        capital(draw_words_of(language, quilt_role_name(asked->role)));
    draw_length(language, asked->cut, system, 16, size);
    switch (asked->part) {
    case QUILT_PART_TRIANGLES:
        return g_strdup_printf(
            draw_words(language, "%s: squares of %s, cut, for half-square triangles"),
            role, size);
    case QUILT_PART_CORNERSTONE:
        return g_strdup_printf(
            draw_words(language, "%s: squares of %s, cut, for cornerstones"), role, size);
    default:
        return g_strdup_printf(draw_words(language, "%s: squares of %s, cut"), role,
                               size);
    }
}

void draw_asked_list(draw_flow *flow, const quilt_shopping *shopping,
                     length_system system)
{
    if (shopping->asked_count == 0)
        return;
    draw_flow_heading(flow,
                      draw_words(flow->heading->language, "From scraps and the basket"),
                      DRAW_PT(20));
    for (int i = 0; i < shopping->asked_count; i++) {
        const quilt_asked *asked = &shopping->asked[i];
        g_autofree char *text = asked_in_words(asked, system, flow->heading->language);
        g_autofree char *figure = g_strdup_printf("%" PRId64, asked->count);
        draw_flow_tick(flow, text, figure);
    }
}

draw_scene *draw_shopping_sheet(const quilt_shopping *shopping, const char *const names[],
                                length_system system, const draw_heading *heading)
{
    draw_flow flow = draw_flow_begin(heading);
    const draw_language language = heading->language;
    char w[LENGTH_TEXT_SIZE], h[LENGTH_TEXT_SIZE];
    g_autofree char *size = g_strdup_printf(
        draw_words(language, "The quilt is %s x %s when finished."),
        draw_length(language, shopping->sizes.finished.width, system, 8, w),
        draw_length(language, shopping->sizes.finished.height, system, 8, h));
    draw_flow_paragraph(&flow, size);
    if (shopping->item_count > 0) {
        draw_flow_heading(&flow, draw_words(language, "Cloth to buy"), DRAW_PT(20));
        for (int i = 0; i < shopping->item_count; i++)
            list_cloth(&flow, &shopping->items[i], names == NULL ? NULL : names[i],
                       system);
    }
    list_batting(&flow, &shopping->batting, system);
    tell_backing(&flow, &shopping->backing, system);
    if (shopping->item_count > 0)
        draw_flow_paragraph(
            &flow,
            draw_words(language, "Buy all of one cloth at once and from one bolt: dye "
                                 "lots differ, and the next bolt of the same colour may "
                                 "not match. Lengths are rounded up already."));
    draw_asked_list(&flow, shopping, system);
    return draw_flow_end(&flow);
}
