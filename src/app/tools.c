/* Rulers, mat and times: described once, compared on the scraps that she really has. */
#include "tools-internal.h"

#include "document-internal.h"
#include "scrap-internal.h"
#include "store/change.h"
#include "store/setting.h"

#include <math.h>
#include <string.h>

enum { RULERS_MAX = 20, PILES_MAX = 200 };

/* Selvages are woven 3/8 to 1/2 in wide as a rule; the wider is left out. */
#define SELVAGE_USUAL (LENGTH_INCH / 2)

static void app_ruler_clear(gpointer data)
{
    g_free(((app_ruler *)data)->name);
}

static GArray *rulers_new(void)
{
    GArray *rulers = g_array_new(FALSE, TRUE, sizeof(app_ruler));
    g_array_set_clear_func(rulers, app_ruler_clear);
    return rulers;
}

static void add_ruler(GArray *rulers, const char *name, scrap_ruler ruler)
{
    app_ruler one = { g_strdup(name), ruler };
    g_array_append_val(rulers, one);
}

/* A setting that holds JSON; NULL where it was never set or is none. */
static json_t *setting_json(app *self, const char *key, GError **error)
{
    if (self->book == NULL)
        return NULL;
    g_autofree char *text = store_setting_get(self->book, key, error);
    return text == NULL ? NULL : json_loads(text, 0, NULL);
}

static gboolean set_json(store_change *change, const char *key, const json_t *value,
                         GError **error)
{
    g_autofree char *text = json_dumps(value, JSON_COMPACT);
    return store_setting_set(change, key, text, error);
}

/* Lengths are kept in length units, so that they stay exact. */
static json_t *ruler_kept(const char *name, const scrap_ruler *ruler)
{
    return json_pack("{s:s, s:i, s:i, s:i, s:i}", "name", name, "reach", ruler->reach,
                     "width", ruler->width, "slots", ruler->slots, "pitch", ruler->pitch);
}

GArray *app_rulers(app *self, GError **error)
{
    GError *failed = NULL;
    GArray *rulers = rulers_new();
    g_autoptr(json_t) kept = setting_json(self, "rulers", &failed);
    if (failed != NULL) {
        g_propagate_error(error, failed);
        g_array_unref(rulers);
        return NULL;
    }
    for (size_t i = 0; i < json_array_size(kept); i++) {
        const char *name;
        scrap_ruler ruler;
        if (json_unpack(json_array_get(kept, i), "{s:s, s:i, s:i, s:i, s:i}", "name",
                        &name, "reach", &ruler.reach, "width", &ruler.width, "slots",
                        &ruler.slots, "pitch", &ruler.pitch) == 0)
            add_ruler(rulers, name, ruler);
    }
    if (rulers->len == 0)
        add_ruler(rulers, "plain", SCRAP_RULER_PLAIN);
    return rulers;
}

/* The squares don't depend on the ruler: where they are only counted, or rulers compared,
 * one that can cut anything serves. */
static const scrap_ruler any_ruler = { SCRAP_SIZE_MAX, SCRAP_SIZE_MAX, 0, 0 };

static void take_first_able(const GArray *rulers, length unit, scrap_ruler *ruler)
{
    for (guint i = 0; i < rulers->len; i++) {
        const scrap_ruler *one = &g_array_index(rulers, app_ruler, i).ruler;
        if (scrap_ruler_can_cut(one, unit, NULL)) {
            *ruler = *one;
            return;
        }
    }
}

/* The one that the request names; else the first of hers that can cut the unit, or just
 * the first. */
static gboolean choose_ruler(app *self, const app_call *call, length unit,
                             scrap_ruler *ret_ruler, GError **error)
{
    const char *name = app_request_text(call, "ruler");
    g_autoptr(GArray) rulers = app_rulers(self, error);
    if (rulers == NULL)
        return FALSE;
    *ret_ruler = g_array_index(rulers, app_ruler, 0).ruler;
    if (name == NULL) {
        take_first_able(rulers, unit, ret_ruler);
        return TRUE;
    }
    g_autoptr(GString) names = g_string_new(NULL);
    for (guint i = 0; i < rulers->len; i++) {
        const app_ruler *one = &g_array_index(rulers, app_ruler, i);
        if (g_ascii_strcasecmp(one->name, name) == 0) {
            *ret_ruler = one->ruler;
            return TRUE;
        }
        g_string_append_printf(names, "%s%s", i == 0 ? "" : ", ", one->name);
    }
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_RULER,
                "There is no ruler \"%.40s\"; there are %s.", name, names->str);
    return FALSE;
}

static void read_mat(const json_t *kept, scrap_mat *mat)
{
    int turns;
    scrap_mat read;
    if (json_unpack((json_t *)(uintptr_t)kept, "{s:i, s:i, s:b}", "width", &read.width,
                    "height", &read.height, "turns", &turns) != 0)
        return;
    read.turns = turns;
    *mat = read;
}

/* Her times: what the piles that she timed say, drawn towards the usual ones. */
static void fit_times(const json_t *piles, scrap_times *times, double *ret_error_s)
{
    scrap_effort efforts[PILES_MAX];
    int count = 0;
    for (size_t i = 0; i < json_array_size(piles) && count < PILES_MAX; i++) {
        scrap_effort *effort = &efforts[count];
        count +=
            json_unpack(json_array_get(piles, i), "{s:i, s:i, s:i, s:i, s:F}", "passes",
                        &effort->passes, "cuts", &effort->cuts, "turns", &effort->turns,
                        "handled", &effort->handled, "minutes", &effort->minutes) == 0;
    }
    scrap_times_fit(count, efforts, &SCRAP_TIMES_USUAL, times, ret_error_s);
}

/* How she cuts, as it is kept: lengths in length units. What was never said stays usual.
 */
static void read_habits(const json_t *kept, app_cutting *cutting)
{
    scrap_thresholds *thresholds = &cutting->thresholds;
    const struct {
        const char *key;
        length *place;
    } places[] = {
        { "trim", &cutting->plan.trim },
        { "selvage", &cutting->selvage },
        { "whole_width", &thresholds->whole_width },
        { "whole_height", &thresholds->whole_height },
        { "string_width", &thresholds->string_width },
        { "string_length", &thresholds->string_length },
        { "least_squares", &thresholds->least_squares },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(places); i++) {
        const json_t *said = json_object_get(kept, places[i].key);
        if (json_is_integer(said))
            *places[i].place = (length)json_integer_value(said);
    }
    const json_t *tolerance = json_object_get(kept, "tolerance");
    if (json_is_number(tolerance))
        cutting->plan.tolerance_deg = json_number_value(tolerance);
}

static json_t *habits_kept(const app_cutting *cutting)
{
    const scrap_thresholds *thresholds = &cutting->thresholds;
    return json_pack("{s:i, s:i, s:i, s:i, s:i, s:i, s:i, s:f}", "trim",
                     cutting->plan.trim, "selvage", cutting->selvage, "whole_width",
                     thresholds->whole_width, "whole_height", thresholds->whole_height,
                     "string_width", thresholds->string_width, "string_length",
                     thresholds->string_length, "least_squares",
                     thresholds->least_squares, "tolerance", cutting->plan.tolerance_deg);
}

/* Degrees either side of the grain. */
static gboolean read_tolerance(const app_call *call, double *ret_deg, GError **error)
{
    const json_t *value = json_object_get(call->request, "tolerance");
    const char *text = json_string_value(value);
    char *end = NULL;
    double degrees = json_is_number(value) ? json_number_value(value)
                     : text != NULL        ? g_ascii_strtod(text, &end)
                                           : NAN;
    if (value == NULL)
        return TRUE;
    if (!(degrees >= 0 && degrees <= 45) || (end != NULL && *end != '\0')) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                            "tolerance: from 0 to 45 degrees.");
        return FALSE;
    }
    *ret_deg = degrees;
    return TRUE;
}

gboolean app_cutting_requested(app *self, const app_call *call, app_cutting *ret_cutting,
                               GError **error)
{
    app_settings settings;
    double error_s;
    app_cutting *cutting = ret_cutting;
    *cutting = (app_cutting){ .plan = SCRAP_PLAN_USUAL,
                              .mat = SCRAP_MAT_USUAL,
                              .thresholds = SCRAP_THRESHOLDS_USUAL,
                              .selvage = SELVAGE_USUAL };
    if (!app_settings_get(self, &settings, error))
        return FALSE;
    cutting->plan.unit = settings.unit;
    if (!app_request_length(call, "unit", settings.bare, &cutting->plan.unit, error) ||
        !choose_ruler(self, call, cutting->plan.unit, &cutting->ruler, error))
        return FALSE;
    g_autoptr(json_t) mat = setting_json(self, "mat", NULL);
    g_autoptr(json_t) piles = setting_json(self, "timed_piles", NULL);
    g_autoptr(json_t) habits = setting_json(self, "cutting", NULL);
    read_mat(mat, &cutting->mat);
    read_habits(habits, cutting);
    fit_times(piles, &cutting->times, &error_s);

    scrap_plan_request *plan = &cutting->plan;
    plan->ruler = &cutting->ruler;
    plan->mat = &cutting->mat;
    plan->times = &cutting->times;
    const char *angles = app_request_text(call, "angles");
    if (angles != NULL && strcmp(angles, "grain") != 0 && strcmp(angles, "free") != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "angles: \"%.40s\" is neither grain nor free.", angles);
        return FALSE;
    }
    if (angles != NULL && strcmp(angles, "free") == 0)
        plan->angles = SCRAP_ANGLES_FREE;
    return app_request_width(call, "trim", settings.bare, &plan->trim, error) &&
           read_tolerance(call, &plan->tolerance_deg, error);
}

gboolean app_counting_requested(app *self, const app_call *call, app_cutting *ret_cutting,
                                GError **error)
{
    if (!app_cutting_requested(self, call, ret_cutting, error))
        return FALSE;
    if (!scrap_ruler_can_cut(&ret_cutting->ruler, ret_cutting->plan.unit, NULL))
        ret_cutting->ruler = any_ruler;
    return TRUE;
}

/* ---- Describing them ---- */

static json_t *ruler_document(const app_ruler *one)
{
    return json_pack(
        "{s:s, s:o, s:o, s:i, s:o}", "ruler", one->name, "reach_in",
        app_document_inches(one->ruler.reach), "width_in",
        app_document_inches(one->ruler.width), "slots", one->ruler.slots, "pitch_in",
        one->ruler.slots == 0 ? json_null() : app_document_inches(one->ruler.pitch));
}

json_t *app_thresholds_document(const scrap_thresholds *thresholds)
{
    return json_pack(
        "{s:o, s:i, s:o}", "whole_in",
        app_document_size(thresholds->whole_width, thresholds->whole_height),
        "least_squares", thresholds->least_squares, "string_in",
        app_document_size(thresholds->string_length, thresholds->string_width));
}

static json_t *habits_document(const app_cutting *cutting)
{
    json_t *document = app_thresholds_document(&cutting->thresholds);
    json_object_update_new(document, json_pack("{s:f, s:o, s:o}", "tolerance_deg",
                                               cutting->plan.tolerance_deg, "trim_in",
                                               app_document_inches(cutting->plan.trim),
                                               "selvage_in",
                                               app_document_inches(cutting->selvage)));
    return document;
}

gboolean app_do_tools(app *self, const app_call *call, json_t **ret_document,
                      GError **error)
{
    app_cutting cutting;
    double error_s;
    scrap_times times;
    g_autoptr(GArray) rulers = app_rulers(self, error);
    if (rulers == NULL || !app_cutting_requested(self, call, &cutting, error))
        return FALSE;
    g_autoptr(json_t) piles = setting_json(self, "timed_piles", NULL);
    fit_times(piles, &times, &error_s);
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < rulers->len; i++)
        json_array_append_new(list, ruler_document(&g_array_index(rulers, app_ruler, i)));
    *ret_document = json_pack(
        "{s:O, s:{s:o, s:o, s:b}, s:{s:f, s:f, s:f, s:f, s:i, s:f}, s:o}", "rulers", list,
        "mat", "width_in", app_document_inches(cutting.mat.width), "height_in",
        app_document_inches(cutting.mat.height), "turns", cutting.mat.turns, "times",
        "lay_s", times.lay, "cut_s", times.cut, "turn_s", times.turn, "handle_s",
        times.handle, "piles", (int)json_array_size(piles), "error_s", error_s, "cutting",
        habits_document(&cutting));
    return TRUE;
}

/* "24 x 6 1/2 in", slots and their pitch, by the fields of a request. */
static gboolean read_ruler(const app_call *call, length bare, scrap_ruler *ret_ruler,
                           GError **error)
{
    int64_t slots = 0;
    scrap_ruler ruler = { 0 };
    if (!app_request_size(call, "size", bare, &ruler.reach, &ruler.width, error) ||
        !app_request_int(call, "slots", 0, 1000, &slots, error) ||
        !app_request_length(call, "pitch", bare, &ruler.pitch, error))
        return FALSE;
    ruler.slots = (int)slots;
    if (!scrap_ruler_check(&ruler, error))
        return FALSE;
    *ret_ruler = ruler;
    return TRUE;
}

/* Her rulers as they are kept, without the one of that name. */
static json_t *rulers_without(app *self, const char *name, bool *ret_found,
                              GError **error)
{
    GError *failed = NULL;
    g_autoptr(json_t) kept = setting_json(self, "rulers", &failed);
    if (failed != NULL) {
        g_propagate_error(error, failed);
        return NULL;
    }
    json_t *rest = json_array();
    *ret_found = false;
    for (size_t i = 0; i < json_array_size(kept); i++) {
        json_t *one = json_array_get(kept, i);
        const char *its = json_string_value(json_object_get(one, "name"));
        if (its != NULL && g_ascii_strcasecmp(its, name) == 0)
            *ret_found = true;
        else
            json_array_append(rest, one);
    }
    return rest;
}

gboolean app_do_ruler_keep(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    const char *name;
    bool found;
    app_settings settings;
    scrap_ruler ruler;
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error) ||
        !app_request_need_text(call, "name", &name, error) ||
        !read_ruler(call, settings.bare, &ruler, error))
        return FALSE;
    g_autoptr(json_t) rulers = rulers_without(self, name, &found, error);
    if (rulers == NULL)
        return FALSE;
    if (json_array_size(rulers) >= RULERS_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "There are %d rulers already.", RULERS_MAX);
        return FALSE;
    }
    json_array_append_new(rulers, ruler_kept(name, &ruler));
    g_autofree char *what = g_strdup_printf("Described the ruler %s", name);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    app_call none = { 0 };
    return change != NULL && set_json(change, "rulers", rulers, error) &&
           store_change_commit(change, error) &&
           app_do_tools(self, &none, ret_document, error);
}

gboolean app_do_ruler_drop(app *self, const app_call *call, json_t **ret_document,
                           GError **error)
{
    const char *name;
    bool found;
    if (app_book(self, error) == NULL ||
        !app_request_need_text(call, "name", &name, error))
        return FALSE;
    g_autoptr(json_t) rulers = rulers_without(self, name, &found, error);
    if (rulers == NULL)
        return FALSE;
    if (!found) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_RULER,
                    "There is no ruler \"%.40s\".", name);
        return FALSE;
    }
    g_autofree char *what = g_strdup_printf("Dropped the ruler %s", name);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    app_call none = { 0 };
    return change != NULL && set_json(change, "rulers", rulers, error) &&
           store_change_commit(change, error) &&
           app_do_tools(self, &none, ret_document, error);
}

gboolean app_do_mat_say(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    app_settings settings;
    scrap_mat mat;
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error) ||
        !app_request_size(call, "size", settings.bare, &mat.width, &mat.height, error))
        return FALSE;
    g_autoptr(json_t) kept =
        json_pack("{s:i, s:i, s:b}", "width", mat.width, "height", mat.height, "turns",
                  app_request_flag(call, "turns"));
    g_autoptr(store_change) change =
        store_change_begin(self->book, "Described the mat", error);
    app_call none = { 0 };
    return change != NULL && set_json(change, "mat", kept, error) &&
           store_change_commit(change, error) &&
           app_do_tools(self, &none, ret_document, error);
}

static gboolean read_thresholds(const app_call *call, length bare,
                                scrap_thresholds *thresholds, GError **error)
{
    int64_t least = thresholds->least_squares;
    if (!app_request_int(call, "least_squares", 1, 1000, &least, error) ||
        (app_request_has(call, "whole") &&
         !app_request_size(call, "whole", bare, &thresholds->whole_width,
                           &thresholds->whole_height, error)) ||
        (app_request_has(call, "string") &&
         !app_request_size(call, "string", bare, &thresholds->string_length,
                           &thresholds->string_width, error)))
        return FALSE;
    thresholds->least_squares = (int)least;
    return TRUE;
}

/* Beyond these it is a slip of the pen, and plans would hold nothing. */
static gboolean check_habits(const app_cutting *cutting, GError **error)
{
    const scrap_thresholds *thresholds = &cutting->thresholds;
    const length most[] = { thresholds->whole_width, thresholds->whole_height,
                            thresholds->string_length, thresholds->string_width };
    const char *wrong = cutting->plan.trim > 4 * LENGTH_INCH ? "trim: up to 4 in."
                        : cutting->selvage > 4 * LENGTH_INCH ? "selvage: up to 4 in."
                                                             : NULL;
    for (size_t i = 0; wrong == NULL && i < G_N_ELEMENTS(most); i++)
        if (most[i] > SCRAP_SIZE_MAX)
            wrong = "whole and string: up to 5 m.";
    if (wrong == NULL)
        return TRUE;
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG, wrong);
    return FALSE;
}

/* How she cuts: tolerance, trim, selvage, and how the pile is sorted. What isn't named
 * stays. */
gboolean app_do_cutting_say(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    app_settings settings;
    app_cutting cutting;
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error) ||
        !app_cutting_requested(self, call, &cutting, error) ||
        !app_request_width(call, "selvage", settings.bare, &cutting.selvage, error) ||
        !read_thresholds(call, settings.bare, &cutting.thresholds, error) ||
        !check_habits(&cutting, error))
        return FALSE;
    g_autoptr(json_t) kept = habits_kept(&cutting);
    g_autoptr(store_change) change =
        store_change_begin(self->book, "Said how to cut", error);
    app_call none = { 0 };
    return change != NULL && set_json(change, "cutting", kept, error) &&
           store_change_commit(change, error) &&
           app_do_tools(self, &none, ret_document, error);
}

/* A pile cut by the clock: its moves by the plans of its scraps, and how long it took. */
gboolean app_do_times_add(app *self, const app_call *call, json_t **ret_document,
                          GError **error)
{
    int64_t passes = 0, cuts = 0, turns = 0, handled = 0, seconds = 0;
    if (app_book(self, error) == NULL ||
        !app_request_int(call, "passes", 0, 100000, &passes, error) ||
        !app_request_int(call, "cuts", 0, 100000, &cuts, error) ||
        !app_request_int(call, "turns", 0, 100000, &turns, error) ||
        !app_request_int(call, "handled", 0, 100000, &handled, error) ||
        !app_request_int(call, "seconds", 1, 86400, &seconds, error))
        return FALSE;
    if (seconds == 0 || passes + cuts + turns + handled == 0) {
        g_set_error_literal(
            error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
            "A timed pile has its moves (passes, cuts, turns, handled) and "
            "its seconds.");
        return FALSE;
    }
    GError *failed = NULL;
    g_autoptr(json_t) piles = setting_json(self, "timed_piles", &failed);
    if (failed != NULL) {
        g_propagate_error(error, failed);
        return FALSE;
    }
    if (piles == NULL)
        piles = json_array();
    if (json_array_size(piles) >=
        PILES_MAX) /* the oldest says least of how she cuts now */
        json_array_remove(piles, 0);
    json_array_append_new(
        piles, json_pack("{s:I, s:I, s:I, s:I, s:f}", "passes", (json_int_t)passes,
                         "cuts", (json_int_t)cuts, "turns", (json_int_t)turns, "handled",
                         (json_int_t)handled, "minutes", (double)seconds / 60));
    g_autoptr(store_change) change =
        store_change_begin(self->book, "Timed a pile", error);
    app_call none = { 0 };
    return change != NULL && set_json(change, "timed_piles", piles, error) &&
           store_change_commit(change, error) &&
           app_do_tools(self, &none, ret_document, error);
}

/* ---- Comparing them ---- */

/* "NAME:24x6.5" or "NAME:24x6.5:13:0.5in" (slots, pitch): a ruler that she thinks of. */
static gboolean read_thought_of(const char *text, length bare, GArray *rulers,
                                GError **error)
{
    g_auto(GStrv) parts = g_strsplit(text, ":", 4);
    guint count = g_strv_length(parts);
    scrap_ruler ruler;
    if (count != 2 && count != 4) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "ruler: \"%.60s\" is no NAME:LENGTHxWIDTH or "
                    "NAME:LENGTHxWIDTH:SLOTS:PITCH.",
                    text);
        return FALSE;
    }
    g_autoptr(json_t) fields = json_pack("{s:s}", "size", parts[1]);
    if (count == 4) {
        json_object_set_new(fields, "slots", json_string(parts[2]));
        json_object_set_new(fields, "pitch", json_string(parts[3]));
    }
    app_call each = { .request = fields };
    if (!read_ruler(&each, bare, &ruler, error)) {
        g_prefix_error(error, "ruler %s: ", parts[0]);
        return FALSE;
    }
    add_ruler(rulers, parts[0], ruler);
    return TRUE;
}

/* Both plans of a scrap; easiest is NULL where they are one. */
typedef struct scrap_both {
    scrap_plan *best, *easiest;
} scrap_both;

static void both_free(gpointer data)
{
    scrap_both *self = data;
    scrap_plan_free(self->best);
    scrap_plan_free(self->easiest);
    g_free(self);
}

typedef struct ruler_sum {
    int squares;
    scrap_effort effort;
} ruler_sum;

static void add_to_sum(ruler_sum *sum, const scrap_plan *plan)
{
    sum->squares += plan->squares;
    scrap_effort_add(&sum->effort, &plan->effort);
}

static json_t *sum_document(const ruler_sum *sum)
{
    return json_pack("{s:i, s:i, s:i, s:i, s:f}", "squares", sum->squares, "passes",
                     sum->effort.passes, "cuts", sum->effort.cuts, "turns",
                     sum->effort.turns, "minutes", sum->effort.minutes);
}

/* Which of the two is quicker a square may differ from ruler to ruler. */
static const scrap_plan *easier(const scrap_both *both)
{
    const scrap_plan *a = both->best, *b = both->easiest;
    if (b == NULL || a->squares == 0 || b->squares == 0)
        return a;
    return b->effort.minutes * a->squares < a->effort.minutes * b->squares ? b : a;
}

/* What all plans together take with one ruler: those of most squares, and those of least
 * effort. */
static json_t *compare_one(const app_ruler *one, GPtrArray *plans,
                           const app_cutting *cutting)
{
    ruler_sum most = { 0 }, least = { 0 };
    g_autoptr(GError) cannot = NULL;
    json_t *document = ruler_document(one);
    for (guint i = 0; i < plans->len; i++) {
        scrap_both *both = plans->pdata[i];
        if (!scrap_plan_retool(both->best, &one->ruler, &cutting->mat, &cutting->times,
                               &cannot) ||
            (both->easiest != NULL &&
             !scrap_plan_retool(both->easiest, &one->ruler, &cutting->mat,
                                &cutting->times, &cannot))) {
            json_object_set_new(document, "cannot", json_string(cannot->message));
            return document;
        }
        add_to_sum(&most, both->best);
        add_to_sum(&least, easier(both));
    }
    json_object_set_new(document, "cannot", json_null());
    json_object_update_new(document, sum_document(&most));
    json_object_set_new(document, "easiest", sum_document(&least));
    return document;
}

/* Both plans of every scrap that lies there. */
static GPtrArray *plans_of(const GArray *lying, const scrap_plan_request *request,
                           const app_call *call, GError **error)
{
    g_autoptr(GPtrArray) plans = g_ptr_array_new_with_free_func(both_free);
    for (guint i = 0; i < lying->len; i++) {
        const store_scrap *scrap = &g_array_index(lying, store_scrap, i);
        scrap_both both;
        if (!app_call_step(call, (double)i / lying->len, "Planning the cuts", error) ||
            !scrap_plan_both(store_outline_view(scrap->outline), request, &both.best,
                             &both.easiest, error))
            return NULL;
        g_ptr_array_add(plans, g_memdup2(&both, sizeof both));
    }
    return g_steal_pointer(&plans);
}

gboolean app_do_rulers(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    app_settings settings;
    app_cutting cutting;
    g_autoptr(GArray) lying = NULL;
    g_autoptr(GArray) rulers = app_rulers(self, error);
    g_autoptr(json_t) thought = app_request_list(call, "rulers");
    if (rulers == NULL || app_book(self, error) == NULL ||
        !app_settings_get(self, &settings, error) ||
        !app_cutting_requested(self, call, &cutting, error) ||
        !store_scrap_list(self->book, STORE_SCRAP_LYING, 0, 0, &lying, error))
        return FALSE;
    for (size_t i = 0; i < json_array_size(thought); i++) {
        const char *text = json_string_value(json_array_get(thought, i));
        if (!read_thought_of(text == NULL ? "" : text, settings.bare, rulers, error))
            return FALSE;
    }
    cutting.plan.ruler = &any_ruler;
    g_autoptr(GPtrArray) plans = plans_of(lying, &cutting.plan, call, error);
    if (plans == NULL)
        return FALSE;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < rulers->len; i++)
        json_array_append_new(
            list, compare_one(&g_array_index(rulers, app_ruler, i), plans, &cutting));
    *ret_document =
        json_pack("{s:o, s:i, s:O}", "unit_in", app_document_inches(cutting.plan.unit),
                  "scraps", (int)lying->len, "rulers", list);
    return TRUE;
}
