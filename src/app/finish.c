/* Finish: backing, batting, binding and sleeve for the quilt as it really measures, how
 * close to quilt it, and the steps from top to label. */
#include "work-internal.h"

#include <string.h>

/* Common practice, no source: pins a hand's breadth apart. */
#define BASTING ((length)(4 * LENGTH_INCH))
/* Hill Country Quilt Guild, 2023: wider than this, two sleeves carry it. */
#define ONE_SLEEVE ((length)(90 * LENGTH_INCH))
/* The same, and sewhappystitchers.com: an inch free at either end. */
#define SLEEVE_SHORTER ((length)(2 * LENGTH_INCH))

static const char *const steps[] = { "backing", "press", "layers", "baste",
                                     "quilt",   "trim",  "bind",   "sleeve",
                                     "pins",    "label", NULL };

static quilt_extent real_size(const app_work *work, bool *ret_measured)
{
    quilt_extent top = app_work_size(work, "top");
    *ret_measured = top.width > 0;
    return *ret_measured ? top : work->laid.sizes.finished;
}

static void add_bought(json_t *document, length need)
{
    char text[LENGTH_TEXT_SIZE];
    length yards = length_ceil(need, LENGTH_YARD / 8);
    length metres = length_ceil(need, 50 * LENGTH_MM);
    json_object_set_new(document, "buy_yd", json_real((double)yards / LENGTH_YARD));
    json_object_set_new(document, "buy_m", json_real((double)metres / LENGTH_M));
    json_object_set_new(document, "buy_text", json_string(length_text_yd_up(need, text)));
    json_object_set_new(document, "buy_metric_text",
                        json_string(length_text_m_up(need, text)));
}

static quilt_extent with_margin(quilt_extent size, length margin)
{
    return (quilt_extent){ size.width + 2 * margin, size.height + 2 * margin };
}

static json_t *backing_document(quilt_extent size, const quilt_buying *buying)
{
    quilt_backing backing = quilt_backing_of(with_margin(size, buying->backing_margin),
                                             buying->backing_cloth, buying->backing_seam);
    length all = backing.panels * backing.panel_length;
    json_t *document =
        json_pack("{s:o, s:i, s:s, s:o, s:o, s:o}", "size_in",
                  app_document_size(backing.size.width, backing.size.height), "panels",
                  backing.panels, "seams",
                  backing.panels < 2 ? "none"
                  : backing.along    ? "along"
                                     : "across",
                  "panel_length_in", app_document_inches(backing.panel_length),
                  "length_in", app_document_inches(all), "cloth_width_in",
                  app_document_inches(buying->backing_cloth));
    add_bought(document, all);
    return document;
}

static json_t *batting_document(quilt_extent size, const quilt_buying *buying)
{
    quilt_batting batting = quilt_batting_of(with_margin(size, buying->batting_margin));
    return json_pack("{s:o, s:s?, s:o}", "size_in",
                     app_document_size(batting.size.width, batting.size.height),
                     "packaged", batting.packaged, "packaged_in",
                     batting.packaged == NULL
                         ? json_null()
                         : app_document_size(batting.packaged_size.width,
                                             batting.packaged_size.height));
}

static json_t *binding_document(quilt_extent size, const quilt_buying *buying)
{
    length around = quilt_binding_length(size, buying->binding_extra);
    int strips = buying->binding == 0
                     ? 0
                     : quilt_binding_strips(around, buying->cloth, buying->binding);
    json_t *document = json_pack("{s:o, s:i, s:o, s:o}", "length_in",
                                 app_document_inches(around), "strips", MAX(strips, 0),
                                 "width_in", app_document_inches(buying->binding),
                                 "cloth_width_in", app_document_inches(buying->cloth));
    add_bought(document, MAX(strips, 0) * buying->binding);
    return document;
}

static json_t *sleeve_document(quilt_extent size, length finished)
{
    if (finished == 0 || size.width <= SLEEVE_SHORTER)
        return json_null();
    int count = size.width > ONE_SLEEVE ? 2 : 1;
    return json_pack("{s:o, s:i, s:o}", "finished_in", app_document_inches(finished),
                     "count", count, "cut_in",
                     app_document_size((size.width - SLEEVE_SHORTER) / count,
                                       quilt_sleeve_cut(finished)));
}

/* Lines that leave no gap wider than `apart` between them or to an edge. */
static int lines_for(length side, length apart)
{
    return (side + apart - 1) / apart - 1;
}

static json_t *quilting_document(const app_work *work, quilt_extent size)
{
    length limit = app_work_length(work, "limit");
    length spacing = app_work_length(work, "spacing");
    length apart = spacing > 0 ? spacing : limit;
    return json_pack(
        "{s:o, s:o, s:o, s:o}", "limit_in", app_work_inches(limit), "spacing_in",
        app_work_inches(spacing), "within",
        limit > 0 && spacing > 0 ? json_boolean(spacing <= limit) : json_null(), "lines",
        apart > 0 ? json_pack("[i, i]", lines_for(size.width, apart),
                              lines_for(size.height, apart))
                  : json_null());
}

static json_t *basting_document(quilt_extent size)
{
    return json_pack("{s:o, s:i}", "apart_in", app_document_inches(BASTING), "pins",
                     lines_for(size.width, BASTING) * lines_for(size.height, BASTING));
}

static json_t *notes_document(const app_work *work, quilt_extent size)
{
    json_t *notes = json_array();
    if (work->laid.covers_cot || app_is_of_baby_size(size))
        json_array_append_new(
            notes, json_pack("{s:s, s:s}", "code", "finish.baby", "message",
                             "If it is for a baby: for the floor and for time awake, not"
                             " for sleep in the first year; nothing loose sewn on. Your"
                             " country's health service says what belongs in a cot, and"
                             " its word goes before ours."));
    return notes;
}

static json_t *steps_document(const app_work *work)
{
    json_t *list = json_array();
    for (int i = 0; steps[i] != NULL; i++)
        if (strcmp(steps[i], "sleeve") != 0 || app_work_length(work, "sleeve") > 0)
            json_array_append_new(list, json_pack("{s:s, s:b}", "step", steps[i], "done",
                                                  app_work_is_done(work, steps[i])));
    return list;
}

static quilt_buying buying_of(const app_settings *settings, const store_quilt *quilt)
{
    quilt_buying buying = quilt_buying_defaults();
    buying.cloth =
        quilt->width_of_fabric > 0 ? quilt->width_of_fabric : settings->width_of_fabric;
    buying.backing_cloth = buying.cloth;
    buying.binding = quilt->binding > 0 ? quilt->binding : settings->binding;
    return buying;
}

static json_t *finish_document(const app_work *work, const app_settings *settings)
{
    bool measured;
    quilt_extent size = real_size(work, &measured);
    const quilt_extent *planned = &work->laid.sizes.finished;
    quilt_buying buying = buying_of(settings, &work->quilt);
    return json_pack("{s:s, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
                     "quilt", work->quilt.name, "size_in",
                     app_document_size(size.width, size.height), "measured", measured,
                     "planned_in", app_document_size(planned->width, planned->height),
                     "backing", backing_document(size, &buying), "batting",
                     batting_document(size, &buying), "binding",
                     binding_document(size, &buying), "sleeve",
                     sleeve_document(size, app_work_length(work, "sleeve")), "basting",
                     basting_document(size), "quilting", quilting_document(work, size),
                     "steps", steps_document(work), "notes", notes_document(work, size));
}

gboolean app_do_finish(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    g_auto(app_work) work = { 0 };
    app_settings settings;
    if (!app_work_requested(self, call, &work, error) ||
        !app_settings_get(self, &settings, error))
        return FALSE;
    *ret_document = finish_document(&work, &settings);
    return TRUE;
}

static gboolean read_all(app_work *work, const app_call *call, length bare,
                         GError **error)
{
    static const char *const lengths[] = { "limit", "spacing" };
    const char *step;
    length sleeve = app_work_length(work, "sleeve");
    for (size_t i = 0; i < G_N_ELEMENTS(lengths); i++)
        if (!app_work_read_length(work, call, lengths[i], lengths[i], bare, error))
            return FALSE;
    if (!app_request_width(call, "sleeve", bare, &sleeve, error))
        return FALSE;
    app_work_say_length(work, "sleeve", sleeve);
    return app_work_read_step(work, call, steps, &step, error) &&
           app_work_read_size(work, call, "top", bare, error);
}

gboolean app_do_finishing(app *self, const app_call *call, json_t **ret_document,
                          GError **error)
{
    g_auto(app_work) work = { 0 };
    app_settings settings;
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error))
        return FALSE;
    g_autoptr(store_change) change =
        store_change_begin(self->book, "Said how the quilt is finished", error);
    if (change == NULL || !app_work_requested(self, call, &work, error) ||
        !read_all(&work, call, settings.bare, error) ||
        !app_work_keep(change, &work, error))
        return FALSE;
    *ret_document = finish_document(&work, &settings);
    return TRUE;
}
