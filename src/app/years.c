/* The basket through the years: what went in, quarter by quarter, in its colours and
 * values; what of it still lies there; and what else each year held. */
#include "fabric-internal.h"
#include "laid-internal.h"

#include "colour/name.h"
#include "store/basket.h"
#include "store/shade.h"

#include <stdlib.h>
#include <string.h>

enum { QUARTERS = 4, COLOURS_MAX = 64, COLOURS_SHOWN = 24 };

/* One colour of a quarter, by the name that it goes by. */
typedef struct hue {
    char name[COLOUR_NAME_SIZE];
    double l, a, b; /* weighted sums */
    int64_t squares;
} hue;

typedef struct quarter {
    int64_t in, stays;
    int64_t values[3], unknown; /* of what went in */
    int hues;
    hue *hue; /* COLOURS_MAX; NULL before the first */
} quarter;

typedef struct year {
    quarter quarters[QUARTERS];
    int64_t in, out;
    int blocks;
    json_t *begun, *finished; /* names of quilts */
} year;

static void year_free(gpointer data)
{
    year *self = data;
    for (int q = 0; q < QUARTERS; q++)
        g_free(self->quarters[q].hue);
    json_decref(self->begun);
    json_decref(self->finished);
    g_free(self);
}

static int by_number(gconstpointer a, gconstpointer b, gpointer data)
{
    (void)data;
    return GPOINTER_TO_INT(a) - GPOINTER_TO_INT(b);
}

static year *year_at(GTree *years, int number)
{
    year *found = g_tree_lookup(years, GINT_TO_POINTER(number));
    if (found == NULL) {
        found = g_new0(year, 1);
        found->begun = json_array();
        found->finished = json_array();
        g_tree_insert(years, GINT_TO_POINTER(number), found);
    }
    return found;
}

static quarter *quarter_at(GTree *years, int month)
{
    return &year_at(years, month / 100)->quarters[(month % 100 + 11) % 12 / 3];
}

/* --- colours --------------------------------------------------------------------------
 */

/* The hue of that name, a new one, or the last when there are too many. */
static hue *hue_named(quarter *self, const char *name)
{
    if (self->hue == NULL)
        self->hue = g_new0(hue, COLOURS_MAX);
    for (int i = 0; i < self->hues; i++)
        if (strcmp(self->hue[i].name, name) == 0)
            return &self->hue[i];
    if (self->hues == COLOURS_MAX)
        return &self->hue[COLOURS_MAX - 1];
    hue *fresh = &self->hue[self->hues++];
    g_strlcpy(fresh->name, name, sizeof fresh->name);
    return fresh;
}

static void take_in(quarter *self, const store_shade *shade, int64_t squares)
{
    self->in += squares;
    if (shade == NULL || shade->value < 0 || shade->value > 2)
        self->unknown += squares;
    else
        self->values[shade->value] += squares;
    if (shade == NULL || !shade->coloured)
        return;
    char name[COLOUR_NAME_SIZE];
    const colour_lab *lab = &shade->colour;
    hue *one = hue_named(self, colour_name(lab, name));
    one->squares += squares;
    one->l += lab->l * (double)squares;
    one->a += lab->a * (double)squares;
    one->b += lab->b * (double)squares;
}

static gboolean take_in_squares(app *self, GTree *years, GError **error)
{
    g_autoptr(GArray) shades = NULL;
    g_autoptr(GArray) came = NULL;
    g_autoptr(GArray) stays = NULL;
    if (!store_shade_list(self->book, &shades, error) ||
        !store_basket_came(self->book, &came, error) ||
        !store_basket_stays(self->book, &stays, error))
        return FALSE;
    for (guint i = 0; i < came->len; i++) {
        const store_came *one = &g_array_index(came, store_came, i);
        take_in(quarter_at(years, one->month), store_shade_find(shades, one->fabric),
                one->squares);
    }
    for (guint i = 0; i < stays->len; i++) {
        const store_came *one = &g_array_index(stays, store_came, i);
        quarter_at(years, one->month)->stays += one->squares;
    }
    return TRUE;
}

/* --- what else a year held ------------------------------------------------------------
 */

static int year_of(int64_t at)
{
    g_autoptr(GDateTime) when = g_date_time_new_from_unix_local(at);
    return g_date_time_get_year(when);
}

static gboolean take_in_sewing(app *self, GTree *years, GError **error)
{
    g_autoptr(GArray) flows = NULL;
    g_autoptr(GArray) months = NULL;
    g_autoptr(GArray) quilts = NULL;
    if (!store_basket_months(self->book, 0, &flows, error) ||
        !store_block_months(self->book, &months, error) ||
        !store_quilt_list(self->book, &quilts, error))
        return FALSE;
    for (guint i = 0; i < flows->len; i++) {
        const store_flow *flow = &g_array_index(flows, store_flow, i);
        year *one = year_at(years, flow->year);
        one->in += flow->in;
        one->out += flow->out;
    }
    for (guint i = 0; i < months->len; i++) {
        const store_day *month = &g_array_index(months, store_day, i);
        year_at(years, month->year)->blocks += month->blocks;
    }
    for (guint i = 0; i < quilts->len; i++) {
        const store_quilt_line *quilt = &g_array_index(quilts, store_quilt_line, i);
        json_array_append_new(year_at(years, year_of(quilt->started))->begun,
                              json_string(quilt->name));
        if (quilt->closed != 0)
            json_array_append_new(year_at(years, year_of(quilt->closed))->finished,
                                  json_string(quilt->name));
    }
    return TRUE;
}

/* --- the document ---------------------------------------------------------------------
 */

static int most_squares(const void *a, const void *b)
{
    const hue *one = a, *other = b;
    return (one->squares < other->squares) - (one->squares > other->squares);
}

static json_t *colours_document(quarter *self)
{
    json_t *list = json_array();
    int64_t all = MAX(self->in, 1);
    if (self->hues > 0)
        qsort(self->hue, (size_t)self->hues, sizeof self->hue[0], most_squares);
    /* Of some all may have been taken back. */
    for (int i = 0; i < self->hues && i < COLOURS_SHOWN && self->hue[i].squares > 0;
         i++) {
        const hue *one = &self->hue[i];
        double n = (double)one->squares;
        const colour_lab mean = { one->l / n, one->a / n, one->b / n };
        json_array_append_new(list, json_pack("{s:s, s:o, s:f}", "name", one->name,
                                              "srgb", app_document_srgb(&mean), "share",
                                              n / (double)all));
    }
    return list;
}

static gboolean append_year(gpointer key, gpointer value, gpointer data)
{
    year *self = value;
    json_t *quarters = json_array();
    for (int q = 0; q < QUARTERS; q++) {
        quarter *one = &self->quarters[q];
        json_array_append_new(
            quarters,
            json_pack("{s:i, s:I, s:I, s:I, s:I, s:I, s:I, s:o}", "quarter", q + 1,
                      "squares_in", (json_int_t)one->in, "stays", (json_int_t)one->stays,
                      "light", (json_int_t)one->values[0], "medium",
                      (json_int_t)one->values[1], "dark", (json_int_t)one->values[2],
                      "unknown", (json_int_t)one->unknown, "colours",
                      colours_document(one)));
    }
    json_array_append_new(data, json_pack("{s:i, s:I, s:I, s:i, s:O, s:O, s:o}", "year",
                                          GPOINTER_TO_INT(key), "squares_in",
                                          (json_int_t)self->in, "squares_out",
                                          (json_int_t)self->out, "blocks", self->blocks,
                                          "begun", self->begun, "finished",
                                          self->finished, "quarters", quarters));
    return FALSE;
}

gboolean app_do_years(app *self, const app_call *call, json_t **ret_document,
                      GError **error)
{
    (void)call;
    g_autoptr(GTree) years = g_tree_new_full(by_number, NULL, NULL, year_free);
    if (app_book(self, error) == NULL || !take_in_squares(self, years, error) ||
        !take_in_sewing(self, years, error))
        return FALSE;
    json_t *list = json_array();
    g_tree_foreach(years, append_year, list);
    *ret_document = json_pack("{s:o}", "years", list);
    return TRUE;
}
