/* Foresee: the pace of a quilt, when it will be done, and whether what it needs lasts.
 * All of it is worked out from the blocks and the ledger. */
#include "laid-internal.h"

#include "colour/signature.h"
#include "plan/forecast.h"
#include "store/basket.h"

#include <math.h>
#include <string.h>

enum {
    WEEK = 7,
    ENOUGH_WEEKS = 4,    /* with fewer, her other quilts tell more of her pace */
    WEEKS_OF_BOOK = 104, /* that are looked back at for it */
    PER_WEEK_MAX = 1000,
};

static const double discount = 0.97; /* a week, against the one after it */
static const double weeks_of_month = 365.2425 / 12 / WEEK;

/* --- days ----------------------------------------------------------------------------
 */

static GDate today(void)
{
    g_autoptr(GDateTime) now = g_date_time_new_now_local();
    GDate date;
    g_date_set_dmy(&date, (GDateDay)g_date_time_get_day_of_month(now),
                   (GDateMonth)g_date_time_get_month(now),
                   (GDateYear)g_date_time_get_year(now));
    return date;
}

static GDate date_of(const store_day *day)
{
    GDate date;
    g_date_set_dmy(&date, (GDateDay)day->day, (GDateMonth)day->month,
                   (GDateYear)day->year);
    return date;
}

static json_t *day_document(const GDate *date)
{
    char text[16];
    g_date_strftime(text, sizeof text, "%Y-%m-%d", date);
    return json_string(text);
}

/* The day in so many weeks; null for what is not in sight. */
static json_t *weeks_on(double weeks)
{
    if (!isfinite(weeks))
        return json_null();
    GDate date = today();
    g_date_add_days(&date, (guint)lround(weeks * WEEK));
    return day_document(&date);
}

static json_t *range_document(const plan_range *range)
{
    return json_pack("{s:o, s:o, s:o}", "p10", weeks_on(range->p10), "p50",
                     weeks_on(range->p50), "p90", weeks_on(range->p90));
}

/* --- the pace ------------------------------------------------------------------------
 */

/* Blocks by week, the oldest first; the last week ends today. */
typedef struct weeks {
    int count;
    int *blocks; /* owned */
} weeks;

static void weeks_clear(weeks *self)
{
    g_clear_pointer(&self->blocks, g_free);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(weeks, weeks_clear)

static weeks weeks_of(const GArray *days, int most)
{
    weeks out = { 0 };
    if (days->len == 0)
        return out;
    GDate now = today(), first = date_of(&g_array_index(days, store_day, 0));
    int past = MAX(0, g_date_days_between(&first, &now));
    out.count = MIN(most, past / WEEK + 1);
    out.blocks = g_new0(int, out.count);
    for (guint i = 0; i < days->len; i++) {
        const store_day *day = &g_array_index(days, store_day, i);
        GDate date = date_of(day);
        int ago = g_date_days_between(&date, &now) / WEEK;
        if (ago >= 0 && ago < out.count)
            out.blocks[out.count - 1 - ago] += day->blocks;
    }
    return out;
}

static json_t *weeks_document(const weeks *by_week)
{
    json_t *list = json_array();
    for (int i = 0; i < by_week->count; i++) {
        GDate from = today();
        g_date_subtract_days(&from, (guint)(WEEK * (by_week->count - i) - 1));
        json_array_append_new(list, json_pack("{s:o, s:i}", "from", day_document(&from),
                                              "blocks", by_week->blocks[i]));
    }
    return list;
}

static json_t *days_document(const GArray *days)
{
    json_t *list = json_array();
    for (guint i = 0; i < days->len; i++) {
        const store_day *day = &g_array_index(days, store_day, i);
        GDate date = date_of(day);
        json_array_append_new(list, json_pack("{s:o, s:i}", "day", day_document(&date),
                                              "blocks", day->blocks));
    }
    return list;
}

/* Seasons begin with March, June, September and December, as the weather's do. */
static json_t *seasons_document(const GArray *days)
{
    json_t *list = json_array();
    int last = -1;
    for (guint i = 0; i < days->len; i++) {
        const store_day *day = &g_array_index(days, store_day, i);
        int season = (day->year * 12 + day->month % 12 + (day->month == 12 ? 12 : 0)) / 3;
        if (season != last) {
            int month = season * 3 % 12, year = season * 3 / 12 - (month == 0);
            char from[32];
            g_snprintf(from, sizeof from, "%04d-%02d-01", year, month == 0 ? 12 : month);
            json_array_append_new(list,
                                  json_pack("{s:s, s:i}", "from", from, "blocks", 0));
        }
        last = season;
        json_t *row = json_array_get(list, json_array_size(list) - 1);
        json_object_set_new(
            row, "blocks",
            json_integer(json_integer_value(json_object_get(row, "blocks")) +
                         day->blocks));
    }
    return list;
}

/* How much so short a history can tell, in one word. */
static const char *how_sure(double worth_weeks)
{
    return worth_weeks < ENOUGH_WEEKS ? "hardly" : worth_weeks < 12 ? "roughly" : "well";
}

/* What the forecast starts from. */
typedef struct outlook {
    plan_pace pace; /* blocks a week */
    bool from_book; /* of all her quilts: this one is too young */
    weeks by_week;  /* of what the pace is from */
    GArray *days;   /* of this quilt: store_day */
} outlook;

static void outlook_clear(outlook *self)
{
    weeks_clear(&self->by_week);
    g_clear_pointer(&self->days, g_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(outlook, outlook_clear)

static gboolean look_out(app *self, int64_t quilt, outlook *ret_outlook, GError **error)
{
    g_auto(outlook) out = { 0 };
    if (!store_block_days(self->book, quilt, &out.days, error))
        return FALSE;
    out.by_week = weeks_of(out.days, PLAN_WEEKS_MAX);
    if (out.by_week.count < ENOUGH_WEEKS) {
        g_autoptr(GArray) all = NULL;
        if (!store_block_days(self->book, 0, &all, error))
            return FALSE;
        g_auto(weeks) of_book = weeks_of(all, WEEKS_OF_BOOK);
        if (of_book.count > out.by_week.count) {
            weeks_clear(&out.by_week);
            out.by_week = of_book;
            of_book = (weeks){ 0 };
            out.from_book = true;
        }
    }
    out.pace = plan_pace_fit(out.by_week.count, out.by_week.blocks, discount);
    *ret_outlook = out;
    out = (outlook){ 0 };
    return TRUE;
}

static json_t *pace_document(const outlook *out)
{
    return json_pack("{s:f, s:i, s:f, s:s, s:s, s:o, s:o, s:o}", "blocks_a_week",
                     out->pace.mean, "weeks", out->by_week.count, "worth_weeks",
                     out->pace.weeks, "sure", how_sure(out->pace.weeks), "of",
                     out->from_book ? "all quilts" : "this quilt", "by_week",
                     weeks_document(&out->by_week), "by_day", days_document(out->days),
                     "seasons", seasons_document(out->days));
}

/* --- what it needs -------------------------------------------------------------------
 */

/* Squares that the blocks still to come take out of the basket. */
typedef struct needed {
    int64_t scrap, light, dark;
} needed;

static int64_t needed_squares(const needed *need)
{
    return need->scrap + need->light + need->dark;
}

static needed still_needed(const app_laid *laid, const int64_t *made)
{
    needed sum = { 0 };
    for (int i = 0; i < laid->layout.count; i++) {
        if (made[i] != 0)
            continue;
        quilt_block_count block =
            quilt_block_counted(app_laid_block(laid, laid->layout.places[i].kind));
        sum.scrap += block.squares[QUILT_SCRAP];
        sum.light += block.squares[QUILT_LIGHT];
        sum.dark += block.squares[QUILT_DARK];
    }
    return sum;
}

/* Squares of a unit that come in each week, by the months that are over; of the one month
 * there is when it is the first. */
static gboolean coming_in(app *self, length unit, plan_pace *ret_pace, GError **error)
{
    g_autoptr(GArray) flows = NULL;
    if (!store_basket_months(self->book, unit, &flows, error))
        return FALSE;
    GDate now = today();
    int last = g_date_get_year(&now) * 12 + (int)g_date_get_month(&now) - 1;
    int first = last;
    if (flows->len > 0) {
        const store_flow *oldest = &g_array_index(flows, store_flow, 0);
        first = MIN(last, oldest->year * 12 + oldest->month - 1);
    }
    int months = MAX(1, last - first);
    g_autofree int *in = g_new0(int, months);
    for (guint i = 0; i < flows->len; i++) {
        const store_flow *flow = &g_array_index(flows, store_flow, i);
        int at = flow->year * 12 + flow->month - 1 - first;
        if (at < months)
            in[at] += (int)MIN(flow->in, G_MAXINT / 2);
    }
    plan_pace by_month = plan_pace_fit(months, in, pow(discount, weeks_of_month));
    /* A month is so many weeks that know nothing of each other: their shapes add. */
    *ret_pace =
        (plan_pace){ by_month.mean / weeks_of_month, by_month.shape / weeks_of_month,
                     by_month.weeks * weeks_of_month };
    return TRUE;
}

static plan_pace share_of(const plan_pace *pace, double share)
{
    return (plan_pace){ pace->mean * share, pace->shape, pace->weeks };
}

static json_t *short_document(double stock, double share, double need,
                              const plan_pace *come, const plan_pace *go, int64_t blocks,
                              uint64_t seed)
{
    double lasts = 1;
    plan_range range = { INFINITY, INFINITY, INFINITY };
    plan_pace part = share_of(come, share);
    if (blocks > 0 && need > 0)
        range = plan_forecast_short(stock, &part, go, need / (double)blocks, blocks, seed,
                                    &lasts);
    json_t *document = range_document(&range);
    json_object_set_new(document, "lasts", json_real(lasts));
    json_object_set_new(document, "squares", json_integer((json_int_t)llround(stock)));
    json_object_set_new(document, "needed", json_integer((json_int_t)llround(need)));
    return document;
}

/* Squares of each value in the basket; the last is of those whose value nobody knows. */
static gboolean stock_by_value(app *self, length unit, double ret_stock[static 4],
                               GError **error)
{
    g_autoptr(GArray) shares = NULL;
    memset(ret_stock, 0, 4 * sizeof ret_stock[0]);
    if (!store_basket_values(self->book, unit, &shares, error))
        return FALSE;
    for (guint i = 0; i < shares->len; i++) {
        const store_share *share = &g_array_index(shares, store_share, i);
        int at =
            share->id >= COLOUR_LIGHT && share->id <= COLOUR_DARK ? (int)share->id : 3;
        ret_stock[at] += (double)(share->known + share->inferred);
    }
    return TRUE;
}

static json_t *basket_document(app *self, const app_laid *laid, const needed *need,
                               const plan_pace *go, int64_t blocks, uint64_t seed,
                               GError **error)
{
    double stock[4];
    plan_pace come;
    if (!stock_by_value(self, laid->frame.unit, stock, error) ||
        !coming_in(self, laid->frame.unit, &come, error))
        return NULL;
    double all = fmax(0, stock[0] + stock[1] + stock[2] + stock[3]);
    json_t *document = json_pack(
        "{s:f, s:o}", "squares_a_week", come.mean, "all",
        short_document(all, 1, (double)needed_squares(need), &come, go, blocks, seed));
    const struct {
        const char *name;
        colour_value value;
        int64_t asked;
    } values[] = { { "lights", COLOUR_LIGHT, need->light },
                   { "darks", COLOUR_DARK, need->dark } };
    for (size_t i = 0; i < G_N_ELEMENTS(values); i++) {
        /* A scrap place takes what lies on top, so each value by its share. */
        double share = all > 0 ? fmax(0, stock[values[i].value]) / all : 0;
        double wanted = (double)values[i].asked + share * (double)need->scrap;
        json_object_set_new(document, values[i].name,
                            values[i].asked == 0
                                ? json_null()
                                : short_document(fmax(0, stock[values[i].value]), share,
                                                 wanted, &come, go, blocks,
                                                 seed + 1 + i));
    }
    return document;
}

/* How far the background that she has bought reaches, by the share that the blocks made
 * have used. Null when the quilt has a background and she has not said what she bought.
 */
static gboolean background_document(app *self, const app_call *call, int made, int blocks,
                                    const plan_pace *go, uint64_t seed,
                                    json_t **ret_document, GError **error)
{
    g_auto(app_laid) laid = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_autofree quilt_shopping *shopping = g_new0(quilt_shopping, 1);
    g_autoptr(GArray) bought = NULL;
    if (!app_shopping(self, call, &laid, &quilt, shopping, error) ||
        !store_bought_list(self->book, quilt.id, &bought, error))
        return FALSE;
    length need = 0, got = 0;
    bool ticked = false;
    const char *name = quilt_role_name(QUILT_BACKGROUND);
    for (int i = 0; i < shopping->item_count; i++)
        if (strcmp(quilt_item_name(&shopping->items[i]), name) == 0)
            need = shopping->items[i].length_need;
    for (guint i = 0; i < bought->len; i++) {
        const store_bought *one = &g_array_index(bought, store_bought, i);
        if (strcmp(one->item, name) == 0) {
            got = one->length_bought;
            ticked = one->ticked;
        }
    }
    if (need > 0 && got == 0 && !ticked) {
        *ret_document = json_null();
        return TRUE;
    }
    bool enough = ticked || got >= need;
    int64_t reaches =
        enough ? blocks : (int64_t)floor((double)got / (double)need * blocks);
    plan_range range = { INFINITY, INFINITY, INFINITY };
    if (!enough)
        range = plan_forecast_done(go, MAX(0, reaches - made), seed);
    json_t *document = range_document(&range);
    json_object_set_new(document, "enough", json_boolean(enough));
    json_object_set_new(document, "bought_in",
                        got == 0 ? json_null() : json_real(length_to_inches(got)));
    json_object_set_new(document, "needed_in", json_real(length_to_inches(need)));
    json_object_set_new(document, "blocks", json_integer(reaches));
    *ret_document = document;
    return TRUE;
}

/* --- the action ----------------------------------------------------------------------
 */

/* "If you make n a week": no more to it than a division. */
static json_t *if_document(int64_t per_week, int64_t left, int64_t to_half)
{
    return json_pack("{s:I, s:o, s:o}", "blocks_a_week", (json_int_t)per_week, "half",
                     weeks_on((double)to_half / (double)per_week), "done",
                     weeks_on((double)left / (double)per_week));
}

gboolean app_do_forecast(app *self, const app_call *call, json_t **ret_document,
                         GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    g_auto(app_laid) laid = { 0 };
    g_auto(outlook) out = { 0 };
    int64_t per_week = 0;
    int made;
    if (!app_quilt_requested(self, call, &quilt, error) ||
        !app_request_int(call, "per_week", 1, PER_WEEK_MAX, &per_week, error) ||
        !app_laid_from_quilt(&quilt, &laid, error) ||
        !look_out(self, quilt.id, &out, error))
        return FALSE;
    g_autofree int64_t *at = app_quilt_made_at(self, &laid, quilt.id, &made, error);
    if (at == NULL)
        return FALSE;
    const int blocks = laid.layout.count;
    const int64_t left = MAX(0, blocks - made), half = MAX(0, (blocks + 1) / 2 - made);
    const uint64_t seed = (uint64_t)quilt.id * 16;
    needed need = still_needed(&laid, at);
    plan_range done = plan_forecast_done(&out.pace, left, seed);
    plan_range halfway = plan_forecast_done(&out.pace, half, seed);
    json_t *background;
    json_t *basket =
        basket_document(self, &laid, &need, &out.pace, left, seed + 1, error);
    if (basket == NULL)
        return FALSE;
    g_autoptr(json_t) document = json_pack(
        "{s:s, s:i, s:i, s:I, s:o, s:o, s:o, s:o}", "quilt", quilt.name, "blocks", blocks,
        "made", made, "left", (json_int_t)left, "pace", pace_document(&out), "half",
        range_document(&halfway), "done", range_document(&done), "basket", basket);
    if (!background_document(self, call, made, blocks, &out.pace, seed + 8, &background,
                             error))
        return FALSE;
    json_object_set_new(document, "background", background);
    json_object_set_new(document, "if",
                        per_week == 0 ? json_null() : if_document(per_week, left, half));
    *ret_document = json_incref(document);
    return TRUE;
}
