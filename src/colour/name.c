#include "colour/name.h"

#include <stdbool.h>
#include <string.h>

/* Our own table: a word, and the box of lightness, chroma and hue (degrees, from >= 360
 * when it wraps past red) that it covers. The first row that holds the colour names it,
 * so special words stand before plain ones. */
typedef struct region {
    const char *word;
    float l0, l1, c0, c1, h0, h1;
} region;

static const region special[] = {
    /* neutrals */
    { "white", 95, 101, 0, 4, 0, 360 },
    { "ivory", 93, 101, 4, 14, 70, 125 },
    { "off-white", 90, 101, 0, 6, 0, 360 },
    { "black", -1, 14, 0, 8, 0, 360 },
    { "charcoal", 14, 36, 0, 6, 0, 360 },
    { "dark grey", 36, 48, 0, 6, 0, 360 },
    { "grey", 48, 66, 0, 6, 0, 360 },
    { "light grey", 66, 80, 0, 6, 0, 360 },
    { "pale grey", 80, 91, 0, 5, 0, 360 },
    { "silver blue", 66, 91, 5, 9, 220, 290 },
    { "slate", 30, 60, 5, 14, 225, 290 },
    /* warm and pale */
    { "cream", 85, 101, 5, 24, 65, 112 },
    { "beige", 72, 86, 6, 19, 55, 100 },
    { "oatmeal", 78, 90, 3, 7, 50, 112 },
    { "taupe", 38, 72, 5, 14, 20, 95 },
    { "sand", 77, 87, 18, 34, 62, 95 },
    { "tan", 55, 77, 14, 38, 55, 90 },
    { "khaki", 50, 74, 12, 34, 85, 108 },
    { "peach", 74, 92, 14, 46, 40, 72 },
    { "apricot", 70, 86, 34, 62, 60, 78 },
    { "coral", 58, 76, 38, 70, 25, 45 },
    { "salmon", 60, 86, 18, 42, 24, 46 },
    { "blush", 80, 94, 5, 16, 348, 408 },
    /* strong and warm */
    { "rust", 30, 50, 32, 68, 38, 64 },
    { "brick", 30, 46, 30, 56, 24, 42 },
    { "burgundy", 10, 32, 16, 50, 355, 385 },
    { "maroon", 10, 32, 14, 64, 15, 41 },
    { "chocolate", 12, 30, 6, 34, 30, 80 },
    { "brown", 26, 48, 12, 44, 40, 80 },
    { "mustard", 55, 78, 44, 84, 78, 98 },
    { "ochre", 48, 68, 38, 66, 66, 85 },
    { "gold", 66, 84, 52, 100, 72, 90 },
    { "lemon", 88, 101, 30, 100, 95, 115 },
    { "olive", 26, 58, 14, 60, 92, 118 },
    /* greens to blues */
    { "lime", 70, 100, 50, 140, 108, 128 },
    { "sage", 52, 78, 7, 22, 110, 160 },
    { "moss", 34, 58, 20, 50, 110, 130 },
    { "forest green", 12, 37, 10, 62, 125, 175 },
    { "mint", 78, 97, 10, 36, 140, 190 },
    { "emerald", 40, 66, 44, 90, 140, 168 },
    { "aqua", 72, 94, 14, 50, 190, 215 },
    { "turquoise", 58, 84, 26, 60, 180, 215 },
    { "sky blue", 68, 88, 16, 44, 225, 268 },
    { "powder blue", 78, 94, 7, 18, 215, 285 },
    { "denim", 32, 52, 14, 32, 250, 285 },
    { "navy", 4, 28, 8, 90, 250, 308 },
    { "royal blue", 26, 50, 48, 120, 288, 308 },
    { "cobalt", 30, 50, 40, 70, 270, 292 },
    { "indigo", 12, 34, 28, 80, 296, 315 },
    /* violets to pinks */
    { "lavender", 62, 90, 10, 38, 290, 322 },
    { "lilac", 62, 88, 10, 40, 318, 335 },
    { "plum", 16, 42, 14, 44, 318, 356 },
    { "aubergine", 6, 22, 6, 30, 300, 356 },
    { "mauve", 44, 66, 8, 28, 320, 358 },
    { "fuchsia", 40, 66, 56, 120, 326, 356 },
    { "rose", 48, 70, 24, 56, 354, 384 },
    { "raspberry", 30, 50, 40, 80, 355, 384 },
};

/* What is left is a hue with a word for how light or dull it is. */
static const region hue[] = {
    { "pink", 52, 101, 0, 200, 330, 390 },
    { "red", -1, 101, 0, 200, 350, 402 },
    { "orange", 40, 101, 0, 200, 42, 72 },
    { "brown", -1, 40, 0, 200, 42, 90 },
    { "yellow", 56, 101, 0, 200, 72, 112 },
    { "olive", -1, 56, 0, 200, 72, 112 },
    { "yellow green", 40, 101, 0, 200, 112, 130 },
    { "green", -1, 101, 0, 200, 112, 172 },
    { "teal", -1, 101, 0, 200, 172, 222 },
    { "blue", -1, 101, 0, 200, 222, 298 },
    { "purple", -1, 101, 0, 200, 298, 326 },
    { "magenta", -1, 101, 0, 200, 326, 350 },
};

/* Lightness and chroma leave few boxes whose hue is worth a look. */
static bool holds(const region *r, double l, double c, double h)
{
    if (l < r->l0 || l >= r->l1 || c < r->c0 || c >= r->c1)
        return false;
    return (h >= r->h0 && h < r->h1) || (h + 360 >= r->h0 && h + 360 < r->h1);
}

static const char *modifier(double l, double c)
{
    if (l < 22)
        return "very dark ";
    if (l < 40)
        return "dark ";
    if (l >= 82)
        return "pale ";
    if (l >= 68)
        return "light ";
    return c < 16 ? "dusty " : c > 60 ? "bright " : "";
}

const char *colour_name(const colour_lab *lab, char text[static COLOUR_NAME_SIZE])
{
    double l = lab->l, c = colour_chroma(lab), h = colour_hue_deg(lab);
    for (size_t i = 0; i < sizeof special / sizeof special[0]; i++)
        if (holds(&special[i], l, c, h))
            return strcpy(text, special[i].word);
    for (size_t i = 0; i < sizeof hue / sizeof hue[0]; i++)
        if (holds(&hue[i], l, c, h)) {
            strcpy(stpcpy(text, modifier(l, c)), hue[i].word);
            return text;
        }
    return strcpy(text, "grey");
}
