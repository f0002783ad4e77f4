/* Text through pango, in the program's own font. */
#include "draw-fonts.h"
#include "draw/scene-internal.h"

#include <fcntl.h>
#include <fontconfig/fontconfig.h>
#include <math.h>
#include <pango/pangocairo.h>
#include <pango/pangofc-fontmap.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

/* ---- Fractions and clean text ---- */

/* Halves, quarters and eighths have places of their own in Unicode; finer ones are set of
 * small figures with the fraction slash between, which need no feature of the font and
 * read right in any. */
static void append_fraction(GString *out, int num, int den)
{
    static const char *const small[] = { "½", "¼", "¾", "⅛", "⅜", "⅝", "⅞" };
    static const char *const above[] = {
        "⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"
    };
    static const char *const below[] = {
        "₀", "₁", "₂", "₃", "₄", "₅", "₆", "₇", "₈", "₉"
    };
    int eighths = 8 * num / den;
    if (den == 2 || den == 4 || den == 8) {
        static const int8_t which[8] = { -1, 3, 1, 4, 0, 5, 2, 6 };
        g_string_append(out, small[which[eighths]]);
        return;
    }
    if (num >= 10)
        g_string_append(out, above[num / 10]);
    g_string_append(out, above[num % 10]);
    g_string_append(out, "⁄");
    g_string_append(out, below[den / 10]);
    g_string_append(out, below[den % 10]);
}

/* Before: at points at a digit that no digit, point or letter comes before.
 * After:  the length of `1 1/2` or `1/2` there, with its numbers, or 0. Only dens of a
 * ruler count, so that `12/5` of a date and `24/7` stay what they are. */
static int read_fraction(const char *at, int ret_numbers[static 3])
{
    int whole = 0, num = 0, den = 0, used = 0;
    if (sscanf(at, "%3d %2d/%2d%n", &whole, &num, &den, &used) < 3) {
        whole = -1;
        if (sscanf(at, "%2d/%2d%n", &num, &den, &used) < 2)
            return 0;
    }
    bool ruler = den == 2 || den == 4 || den == 8 || den == 16 || den == 32 || den == 64;
    if (!ruler || num < 1 || num >= den)
        return 0;
    if (g_ascii_isalnum(at[used]) || at[used] == '/')
        return 0;
    ret_numbers[0] = whole;
    ret_numbers[1] = num;
    ret_numbers[2] = den;
    return used;
}

char *draw_text_fractions(const char *text)
{
    g_autofree char *valid = g_utf8_make_valid(text == NULL ? "" : text, -1);
    GString *out = g_string_sized_new(strlen(valid));
    char before = ' ';
    for (const char *p = valid; *p != '\0';) {
        int number[3], used = 0;
        bool number_starts = g_ascii_isdigit(*p) && !g_ascii_isalnum(before) &&
                             before != '.' && before != '/' && before != ',';
        if (number_starts && (used = read_fraction(p, number)) > 0) {
            if (number[0] >= 0)
                g_string_append_printf(out, "%d", number[0]);
            append_fraction(out, number[1], number[2]);
            p += used;
            before = '0';
            continue;
        }
        gunichar c = g_utf8_get_char(p);
        if (c == '\n')
            g_string_append_c(out, '\n');
        else if (c < 0x20 || (c >= 0x7f && c < 0xa0) || c == 0xfffe || c == 0xffff)
            g_string_append_c(out, ' '); /* what XML cannot hold, and other controls */
        else
            g_string_append_unichar(out, c);
        before = c < 0x80 ? (char)c : 'a';
        p = g_utf8_next_char(p);
    }
    return g_string_free(out, FALSE);
}

/* ---- The font ---- */

/* A file in memory that fontconfig and FreeType open by name; it stays open as long as
 * the program runs, since they come back to it for every face. */
static void add_font(FcConfig *config, const char *resource)
{
    g_autoptr(GBytes) font = g_resource_lookup_data(draw_fonts_get_resource(), resource,
                                                    G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);
    g_assert(font != NULL);
    gsize size;
    const char *bytes = g_bytes_get_data(font, &size);
    int fd = memfd_create("motley-font", MFD_CLOEXEC);
    gsize done = 0;
    while (fd >= 0 && done < size) {
        ssize_t wrote = write(fd, bytes + done, size - done);
        if (wrote <= 0)
            break;
        done += (gsize)wrote;
    }
    char path[64];
    g_snprintf(path, sizeof path, "/proc/self/fd/%d", fd);
    if (done < size || !FcConfigAppFontAddFile(config, (const FcChar8 *)path))
        g_warning("The program's own font could not be loaded; another is used.");
}

/* The machine's fonts come after our own, for letters that ours has not. */
static gpointer load_fonts(gpointer unused)
{
    (void)unused;
    FcConfig *config = FcInitLoadConfigAndFonts();
    if (config == NULL)
        config = FcConfigCreate();
    add_font(config, "/motley/fonts/hyperlegible-400.ttf");
    add_font(config, "/motley/fonts/hyperlegible-700.ttf");
    return config;
}

static PangoContext *thread_context(void)
{
    static GOnce once = G_ONCE_INIT;
    static GPrivate context_key = G_PRIVATE_INIT(g_object_unref);

    PangoContext *context = g_private_get(&context_key);
    if (context != NULL)
        return context;

    FcConfig *config = g_once(&once, load_fonts, NULL);
    /* A font map is for one thread; the configuration is shared and only read. */
    g_autoptr(PangoFontMap) map =
        pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
    pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(map), config);
    pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(map), 72);
    context = pango_font_map_create_context(map);

    /* Letters stand where paper wants them, whatever pixels the screen has. */
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(context, options);
    cairo_font_options_destroy(options);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_context_set_language(context, pango_language_from_string("en"));

    g_private_set(&context_key, context);
    return context;
}

PangoLayout *draw_text_layout(const draw_text_style *style, const char *text)
{
    PangoLayout *layout = pango_layout_new(thread_context());
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family_static(font, DRAW_FONT_FAMILY);
    pango_font_description_set_weight(font, style->bold ? PANGO_WEIGHT_BOLD
                                                        : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_absolute_size(font,
                                             style->size * 72.0 / 8128 * PANGO_SCALE);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);

    if (style->tabular) {
        PangoAttrList *attributes = pango_attr_list_new();
        pango_attr_list_insert(attributes, pango_attr_font_features_new("tnum"));
        pango_layout_set_attributes(layout, attributes);
        pango_attr_list_unref(attributes);
    }
    pango_layout_set_single_paragraph_mode(layout, TRUE);
    pango_layout_set_text(layout, text, -1);
    return layout;
}

/* ---- Measuring and breaking ---- */

static length set_width(const draw_text_style *style, const char *text)
{
    g_autoptr(PangoLayout) layout = draw_text_layout(style, text);
    int width;
    pango_layout_get_size(layout, &width, NULL);
    return (length)ceil(width * 8128.0 / 72 / PANGO_SCALE);
}

length draw_text_width(const draw_text_style *style, const char *text)
{
    if (text == NULL || *text == '\0')
        return 0;
    g_autofree char *set = draw_text_fractions(text);
    return set_width(style, set);
}

char *draw_text_fit(const draw_text_style *style, const char *text, length width)
{
    char *set = draw_text_fractions(text);
    if (set_width(style, set) <= width)
        return set;
    glong low = 0,
          high = g_utf8_strlen(set, -1); /* so many letters fit; so many do not */
    while (high - low > 1) {
        glong middle = (low + high) / 2;
        g_autofree char *head = g_utf8_substring(set, 0, middle);
        g_autofree char *cut = g_strconcat(g_strchomp(head), "…", NULL);
        if (set_width(style, cut) <= width)
            low = middle;
        else
            high = middle;
    }
    g_autofree char *head = g_utf8_substring(set, 0, low);
    g_free(set);
    return g_strconcat(g_strchomp(head), "…", NULL);
}

length draw_text_leading(const draw_text_style *style)
{
    return (length)((int64_t)style->size * 135 / 100);
}

length draw_scene_paragraph(draw_scene *self, const draw_text_style *style, length x,
                            length y, length width, const char *text, bool draw)
{
    g_autofree char *set = draw_text_fractions(text);
    g_auto(GStrv) lines = g_strsplit(set, "\n", -1);
    for (char **line = lines; *line != NULL; line++) {
        g_auto(GStrv) words = g_strsplit(*line, " ", -1);
        g_autoptr(GString) row = g_string_new(NULL);
        for (char **word = words; *word != NULL; word++) {
            g_autofree char *longer =
                row->len == 0 ? g_strdup(*word) : g_strconcat(row->str, " ", *word, NULL);
            if (row->len == 0 || set_width(style, longer) <= width) {
                g_string_assign(row, longer);
                continue;
            }
            g_autofree char *fits = draw_text_fit(style, row->str, width);
            if (draw)
                draw_scene_text(self, style, x, y, fits);
            y += draw_text_leading(style);
            g_string_assign(row, *word);
        }
        g_autofree char *fits = draw_text_fit(style, row->str, width);
        if (draw)
            draw_scene_text(self, style, x, y, fits);
        y += draw_text_leading(style);
        if (line[1] != NULL) /* a little air between paragraphs */
            y += draw_text_leading(style) * 2 / 5;
    }
    return y;
}
