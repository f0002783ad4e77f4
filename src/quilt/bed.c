/* Mattresses as listed. Starting values: names and sizes differ between countries and
 * makers, and a maker's own measure goes first. */
#include "quilt/size.h"

#include "base/error.h"

#define IN(x)  ((length)((x)*8128.0))
#define CM(x)  ((length)((x)*LENGTH_CM))
#define CRIB   "16 CFR 1508.3, interior of a full-size crib"
#define MATTR  "16 CFR 1219, smallest mattress for a full-size crib"
#define SLEEP  "sleep.org, Mattress sizes"
#define LISTED "table of bed sizes after Wikipedia"
#define NBF    "National Bed Federation (UK)"

static const quilt_bed beds[] = {
    { "us", "crib", "crib, inside", IN(28), IN(52.375), CRIB },
    { "us", "crib-mattress", "crib mattress", IN(27.25), IN(51.25), MATTR },
    { "us", "twin", "twin", IN(38), IN(75), SLEEP },
    { "us", "twin-xl", "twin XL", IN(38), IN(80), SLEEP },
    { "us", "full", "full (double)", IN(54), IN(75), SLEEP },
    { "us", "queen", "queen", IN(60), IN(80), SLEEP },
    { "us", "king", "king", IN(76), IN(80), SLEEP },
    { "us", "california-king", "California king", IN(72), IN(84), SLEEP },
    { "us", "twin-39", "twin, older listing", IN(39), IN(75), LISTED },
    { "uk", "small-single", "small single", CM(75), CM(190), NBF },
    { "uk", "single", "single", CM(90), CM(190), NBF },
    { "uk", "small-double", "small double", CM(120), CM(190), NBF },
    { "uk", "double", "double", CM(135), CM(190), NBF },
    { "uk", "king", "king", CM(150), CM(200), NBF },
    { "uk", "super-king", "super king", CM(180), CM(200), NBF },
    { "eu", "single", "single", CM(90), CM(200), LISTED },
    { "eu", "double", "double", CM(140), CM(200), LISTED },
    { "eu", "queen", "queen width", CM(160), CM(200), LISTED },
    { "eu", "king", "king width", CM(180), CM(200), LISTED },
};

const quilt_bed *quilt_beds(int *ret_count)
{
    *ret_count = G_N_ELEMENTS(beds);
    return beds;
}

/* "California King" and "california-king" are one. */
static bool same(const char *a, const char *b)
{
    for (; *a != '\0' && *b != '\0'; a++, b++) {
        char one = *a == ' ' || *a == '_' ? '-' : g_ascii_tolower(*a);
        char two = *b == ' ' || *b == '_' ? '-' : g_ascii_tolower(*b);
        if (one != two)
            return false;
    }
    return *a == *b;
}

const quilt_bed *quilt_bed_find(const char *size, const char *country, GError **error)
{
    g_autoptr(GString) known = g_string_new(NULL);
    for (size_t i = 0; i < G_N_ELEMENTS(beds); i++) {
        if (!same(beds[i].country, country))
            continue;
        bool full = same(size, "double") && same(beds[i].size, "full");
        if (same(size, beds[i].size) || full)
            return &beds[i];
        g_string_append_printf(known, "%s%s", known->len > 0 ? ", " : "", beds[i].size);
    }
    if (known->len > 0)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_BED,
                    "no bed of %s is called \"%.40s\"; there are %s", country, size,
                    known->str);
    else
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_BED,
                    "no beds of \"%.40s\" are listed; there are us, uk and eu", country);
    return NULL;
}

gboolean quilt_bed_cover(quilt_extent mattress, length drop, length tuck,
                         quilt_extent *ret, GError **error)
{
    const length most = 2 * LENGTH_M;
    const char *wrong = NULL;
    if (mattress.width <= 0 || mattress.height <= 0 || mattress.width > 5 * most ||
        mattress.height > 5 * most)
        wrong = "a mattress is above 0 and up to 10 m each way";
    else if (drop < 0 || drop > most)
        wrong = "the drop is 0 to 2 m";
    else if (tuck < 0 || tuck > most)
        wrong = "the tuck under the pillow is 0 to 2 m";
    if (wrong != NULL) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_QUILT_MEASURE, wrong);
        return FALSE;
    }
    *ret = (quilt_extent){ mattress.width + 2 * drop, mattress.height + drop + tuck };
    return TRUE;
}
