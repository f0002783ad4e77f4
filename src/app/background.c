/* Which background? Solids of a wheel, her own fabrics or one photographed, ranked
 * against the squares of the basket. */
#include "fabric-internal.h"

#include "choose-internal.h"
#include "colour/ciede2000.h"
#include "colour/emd.h"
#include "colour/name.h"
#include "store/basket.h"

#include <math.h>
#include <string.h>

/* A square nearer than this to the background melts into it: seen from across a room the
 * seam is gone. Our own threshold; at 12 by CIEDE2000 neighbouring steps of a grey scale
 * of ten part (12 L* at mid grey come to about 12). */
#define MELTS 12.0

enum {
    HUES = 12,
    LIGHTNESSES = 3,
    NEUTRALS = 6,
    WHEEL = HUES * LIGHTNESSES + NEUTRALS,
    SHOWN_MAX = 100,
};

/* The basket as colours: each fabric's colours weigh by its squares. */
typedef struct basket_colours {
    GArray *looks;   /* of app_look */
    GArray *squares; /* of int64_t */
    int64_t all;
    double lightness; /* mean L* of the squares */
} basket_colours;

static void clear_look(gpointer data)
{
    app_look_clear(data);
}

static GArray *looks_new(void)
{
    GArray *looks = g_array_new(FALSE, TRUE, sizeof(app_look));
    g_array_set_clear_func(looks, clear_look);
    return looks;
}

static void basket_colours_clear(basket_colours *self)
{
    g_clear_pointer(&self->looks, g_array_unref);
    g_clear_pointer(&self->squares, g_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(basket_colours, basket_colours_clear)

static double lightness(const colour_signature *colours)
{
    return colour_signature_mean(colours).l;
}

static gboolean basket_colours_get(app *self, basket_colours *ret, GError **error)
{
    g_autoptr(GArray) shares = NULL;
    if (app_book(self, error) == NULL ||
        !store_basket_fabrics(self->book, 0, &shares, error))
        return FALSE;
    g_autoptr(GArray) looks = app_looks_of_basket(self, error);
    if (looks == NULL)
        return FALSE;
    ret->looks = looks_new();
    ret->squares = g_array_new(FALSE, FALSE, sizeof(int64_t));
    for (guint i = 0; i < shares->len; i++) {
        const store_share *share = &g_array_index(shares, store_share, i);
        int64_t squares = share->known + share->inferred;
        app_look look;
        if (!app_look_among(self, looks, share->id, &look, error))
            return FALSE;
        if (look.colours.count == 0 || squares <= 0) {
            app_look_clear(&look);
            continue;
        }
        g_array_append_val(ret->looks, look);
        g_array_append_val(ret->squares, squares);
        ret->all += squares;
        ret->lightness += (double)squares * lightness(&look.colours);
    }
    ret->lightness /= (double)MAX(1, ret->all);
    if (ret->all > 0)
        return TRUE;
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_BASKET_EMPTY,
                        "No colours are known in the basket.");
    return FALSE;
}

/* How a background stands to the basket. */
typedef struct candidate {
    colour_signature colours;
    const app_look *look; /* of one of hers; NULL for a solid of the wheel or a photo */
    double apart;         /* mean CIEDE2000 to the squares */
    double lighter;       /* mean L* above (below zero: under) the squares */
    double melting;       /* share of squares that melt into it */
    GArray *melts;        /* of guint: which looks of the basket; NULL: not measured */
} candidate;

static void candidate_clear(gpointer data)
{
    g_clear_pointer(&((candidate *)data)->melts, g_array_unref);
}

static GArray *candidates_new(void)
{
    GArray *candidates = g_array_new(FALSE, TRUE, sizeof(candidate));
    g_array_set_clear_func(candidates, candidate_clear);
    return candidates;
}

/* What it takes to make one cloth's colours the other's, in CIEDE2000: between two solids
 * just that. No saturation, unlike colour_signature_distance(): the figure is told. */
static double apart_from(const colour_signature *one, const colour_signature *other)
{
    double cost[COLOUR_SIGNATURE_MAX * COLOUR_SIGNATURE_MAX];
    for (int i = 0; i < one->count; i++)
        for (int j = 0; j < other->count; j++)
            cost[i * other->count + j] = colour_ciede2000(&one->lab[i], &other->lab[j]);
    return colour_emd(one->count, other->count, one->share, other->share, cost);
}

static void measure(candidate *one, const basket_colours *basket)
{
    one->lighter = lightness(&one->colours) - basket->lightness;
    one->melts = g_array_new(FALSE, FALSE, sizeof(guint));
    for (guint i = 0; i < basket->looks->len; i++) {
        const app_look *look = &g_array_index(basket->looks, app_look, i);
        double weight =
            (double)g_array_index(basket->squares, int64_t, i) / (double)basket->all;
        double apart = apart_from(&one->colours, &look->colours);
        one->apart += weight * apart;
        if (apart < MELTS) {
            one->melting += weight;
            g_array_append_val(one->melts, i);
        }
    }
}

static void add_solid(GArray *candidates, colour_lab lab)
{
    const candidate one = { .colours = { .count = 1, .lab = { lab }, .share = { 1 } } };
    g_array_append_val(candidates, one);
}

/* A wheel of solids: twelve hues in three lightnesses, and neutrals from white to black.
 */
static void add_wheel(GArray *candidates)
{
    static const double light[LIGHTNESSES] = { 32, 58, 82 };
    static const double chroma[LIGHTNESSES] = { 30, 38, 24 };
    static const colour_lab neutrals[NEUTRALS] = {
        { 97, 0, 1 }, { 92, 1, 8 },  { 78, 2, 10 },
        { 62, 0, 0 }, { 38, 0, -2 }, { 16, 0, 0 },
    };
    for (int i = 0; i < NEUTRALS; i++)
        add_solid(candidates, neutrals[i]);
    for (int l = 0; l < LIGHTNESSES; l++) {
        for (int h = 0; h < HUES; h++) {
            double angle = h * 2 * G_PI / HUES;
            add_solid(candidates, (colour_lab){ light[l], chroma[l] * cos(angle),
                                                chroma[l] * sin(angle) });
        }
    }
}

/* Every fabric of hers that has a picture; looks owns what the candidates point to. */
static gboolean add_hers(app *self, GArray *candidates, GArray *looks, GError **error)
{
    g_autoptr(GArray) all = NULL;
    if (!store_look_list(self->book, false, &all, error))
        return FALSE;
    for (guint i = 0; i < all->len; i++) {
        const store_look *stored = &g_array_index(all, store_look, i);
        if (stored->colours.count == 0)
            continue;
        app_look look = app_look_of(stored);
        g_array_append_val(looks, look);
    }
    for (guint i = 0; i < looks->len; i++) {
        const app_look *look = &g_array_index(looks, app_look, i);
        const candidate one = { .colours = look->colours, .look = look };
        g_array_append_val(candidates, one);
    }
    return TRUE;
}

/* Fewest squares melting first; of equals (to a hundredth) the one farther apart. */
static int by_merit(gconstpointer a, gconstpointer b)
{
    const candidate *one = a, *other = b;
    int melting = (int)(100 * one->melting) - (int)(100 * other->melting);
    if (melting != 0)
        return melting;
    return (one->apart < other->apart) - (one->apart > other->apart);
}

static json_t *melting_document(const candidate *one, const basket_colours *basket)
{
    json_t *list = json_array();
    for (guint i = 0; i < one->melts->len; i++) {
        guint which = g_array_index(one->melts, guint, i);
        json_t *row = app_fabric_document(&g_array_index(basket->looks, app_look, which));
        json_object_set_new(row, "squares",
                            json_integer(g_array_index(basket->squares, int64_t, which)));
        json_array_append_new(list, row);
    }
    return list;
}

/* Neighbours on the wheel may both be dark teal: the one farther from blue says so. */
static char *name_among(const candidate *one, const GArray *candidates)
{
    char name[COLOUR_NAME_SIZE], other_name[COLOUR_NAME_SIZE];
    if (one->look != NULL)
        return g_strdup(one->look->name);
    const colour_lab *solid = &one->colours.lab[0];
    colour_lab mean = colour_signature_mean(&one->colours);
    colour_name(&mean, name);
    for (guint i = 0; i < candidates->len; i++) {
        const candidate *other = &g_array_index(candidates, candidate, i);
        if (other->look == NULL && other->colours.lab[0].b < solid->b &&
            strcmp(colour_name(&other->colours.lab[0], other_name), name) == 0)
            return g_strconcat("greenish ", name, NULL);
    }
    return g_strdup(name);
}

static json_t *candidate_document(const candidate *one, const GArray *candidates,
                                  const basket_colours *basket)
{
    g_autofree char *name = name_among(one, candidates);
    const app_look *hers = one->look;
    colour_lab mean = colour_signature_mean(&one->colours);
    return json_pack("{s:o, s:s, s:o, s:b, s:[f,f,f], s:f, s:f, s:f, s:o}", "fabric",
                     app_document_id(hers == NULL ? 0 : hers->fabric), "name", name,
                     "srgb", app_document_srgb(&mean), "swatch",
                     hers != NULL && hers->swatch, "lab", mean.l, mean.a, mean.b, "apart",
                     one->apart, "lighter", one->lighter, "melting", one->melting, "melt",
                     melting_document(one, basket));
}

/* Squares of like mean colour, for a first look. */
typedef struct shade {
    colour_lab lab;
    double weight;
} shade;

enum { SHADE_STEP = 8, SHADES_ACROSS = 32 };

static int shade_of(const colour_lab *lab)
{
    int l = (int)floor(lab->l / SHADE_STEP), a = (int)floor(lab->a / SHADE_STEP) + 16,
        b = (int)floor(lab->b / SHADE_STEP) + 16;
    l = CLAMP(l, 0, SHADES_ACROSS - 1);
    a = CLAMP(a, 0, SHADES_ACROSS - 1);
    b = CLAMP(b, 0, SHADES_ACROSS - 1);
    return (l * SHADES_ACROSS + a) * SHADES_ACROSS + b;
}

/* The basket in shades a few steps wide, each where its squares lie on average. */
static GArray *shades_of(const basket_colours *basket)
{
    GArray *shades = g_array_new(FALSE, TRUE, sizeof(shade));
    g_autoptr(GHashTable) at = g_hash_table_new(NULL, NULL);
    for (guint i = 0; i < basket->looks->len; i++) {
        colour_lab mean =
            colour_signature_mean(&g_array_index(basket->looks, app_look, i).colours);
        double weight =
            (double)g_array_index(basket->squares, int64_t, i) / (double)basket->all;
        gpointer key = GINT_TO_POINTER(shade_of(&mean) + 1);
        guint which = GPOINTER_TO_UINT(g_hash_table_lookup(at, key));
        if (which == 0) {
            g_array_set_size(shades, shades->len + 1);
            which = shades->len;
            g_hash_table_insert(at, key, GUINT_TO_POINTER(which));
        }
        shade *one = &g_array_index(shades, shade, which - 1);
        one->weight += weight;
        one->lab.l += (mean.l - one->lab.l) * weight / one->weight;
        one->lab.a += (mean.a - one->lab.a) * weight / one->weight;
        one->lab.b += (mean.b - one->lab.b) * weight / one->weight;
    }
    return shades;
}

/* Thousands of fabrics against thousands take minutes: those whose mean colours promise
 * most go on to be measured, so many. By straight distance in CIELAB, which is enough to
 * tell which are out of the question. */
static void keep_likely(GArray *candidates, const basket_colours *basket, guint most)
{
    if (candidates->len <= most)
        return;
    g_autoptr(GArray) shades = shades_of(basket);
    for (guint i = 0; i < candidates->len; i++) {
        candidate *one = &g_array_index(candidates, candidate, i);
        colour_lab mean = colour_signature_mean(&one->colours);
        for (guint k = 0; k < shades->len; k++) {
            const shade *with = &g_array_index(shades, shade, k);
            double apart = sqrt((mean.l - with->lab.l) * (mean.l - with->lab.l) +
                                (mean.a - with->lab.a) * (mean.a - with->lab.a) +
                                (mean.b - with->lab.b) * (mean.b - with->lab.b));
            one->apart += with->weight * apart;
            one->melting += apart < MELTS ? with->weight : 0;
        }
    }
    g_array_sort(candidates, by_merit);
    g_array_set_size(candidates, most);
    for (guint i = 0; i < candidates->len; i++) {
        candidate *one = &g_array_index(candidates, candidate, i);
        one->apart = one->melting = 0;
    }
}

/* Measures and ranks candidates; the best so many. */
static json_t *ranking(GArray *candidates, const basket_colours *basket, int64_t count)
{
    keep_likely(candidates, basket, (guint)MAX(WHEEL, 2 * count));
    for (guint i = 0; i < candidates->len; i++)
        measure(&g_array_index(candidates, candidate, i), basket);
    g_array_sort(candidates, by_merit);
    json_t *list = json_array();
    for (guint i = 0; i < candidates->len && i < count; i++)
        json_array_append_new(list,
                              candidate_document(&g_array_index(candidates, candidate, i),
                                                 candidates, basket));
    return json_pack("{s:I, s:f, s:o}", "squares", (json_int_t)basket->all, "melts_under",
                     MELTS, "backgrounds", list);
}

static gboolean no_colours(const app_look *look, GError **error)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_FABRIC,
                "There is no picture of %s, so its colours are not known.", look->name);
    return FALSE;
}

/* One fabric that she names, hers, or the wheel. */
static gboolean add_requested(app *self, const app_call *call, GArray *candidates,
                              GArray *looks, GError **error)
{
    static const char *const choices[] = { "wheel", "fabrics", NULL };
    int from = 0;
    int64_t fabric = 0;
    if (!app_request_word(call, "from", choices, &from, error) ||
        !app_fabric_requested(self, call, "fabric", &fabric, error))
        return FALSE;
    if (fabric != 0) {
        app_look look;
        if (!app_look_get(self, fabric, &look, error))
            return FALSE;
        g_array_append_val(looks, look);
        const candidate one = { .colours = look.colours,
                                .look = &g_array_index(looks, app_look, 0) };
        g_array_append_val(candidates, one);
        return look.colours.count > 0 || no_colours(&look, error);
    }
    if (from == 1)
        return add_hers(self, candidates, looks, error);
    add_wheel(candidates);
    return TRUE;
}

gboolean app_do_backgrounds(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    int64_t count = 12;
    g_auto(basket_colours) basket = { 0 };
    g_autoptr(GArray) looks = looks_new();
    g_autoptr(GArray) candidates = candidates_new();
    if (!basket_colours_get(self, &basket, error) ||
        !app_request_int(call, "count", 1, SHOWN_MAX, &count, error) ||
        !add_requested(self, call, candidates, looks, error))
        return FALSE;
    *ret_document = ranking(candidates, &basket, count);
    return TRUE;
}

/* A photo of the bolt in the shop: its colours as they were photographed. */
gboolean app_do_backgrounds_photo(app *self, const app_call *call, json_t **ret_document,
                                  GError **error)
{
    g_auto(basket_colours) basket = { 0 };
    g_autoptr(GArray) candidates = candidates_new();
    candidate one = { 0 };
    if (!basket_colours_get(self, &basket, error) ||
        !app_photo_colours(call, &one.colours, error))
        return FALSE;
    g_array_append_val(candidates, one);
    *ret_document = ranking(candidates, &basket, 1);
    return TRUE;
}
