/* Assemble: from finished blocks to a top: the order of joining, what nests where, strips
 * measured against the plan, borders cut to the middle. */
#include "nest-internal.h"

#include "quilt/assemble.h"

#include <string.h>

enum { OPEN_MAX = 12, STEP_NAME = 48 };

/* All that the document is made from. */
typedef struct assembly {
    app_work work;
    app_wall wall;
    bool quarters;
    int count; /* of steps */
    quilt_step *steps;
    char (*names)[STEP_NAME];
    const char **list; /* the names and those of borders, ended by NULL */
    char border[QUILT_BORDERS_MAX][STEP_NAME];
    int *line, *pos; /* by place */
    app_nest nest;
} assembly;

static void assembly_clear(assembly *self)
{
    app_work_clear(&self->work);
    app_wall_clear(&self->wall);
    g_free(self->steps);
    g_free(self->names);
    g_free(self->list);
    g_free(self->line);
    g_free(self->pos);
    app_nest_clear(&self->nest);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(assembly, assembly_clear)

/* --- names ----------------------------------------------------------------------------
 */

/* What a step is called as long as the quilt is this size: "row-3", "row-3-left",
 * "join-1-2-4", "quarter-1-1", "half-1", "middle". Lines count from 1. */
static void name_step(const quilt_step *step, int lines, bool quarters,
                      char ret_name[static STEP_NAME])
{
    int from = step->first_line + 1, to = step->last_line + 1;
    const char *side = step->first_pos == 0 ? "left" : "right";
    switch (step->kind) {
    case QUILT_STEP_ROW:
        if (quarters)
            g_snprintf(ret_name, STEP_NAME, "row-%d-%s", from, side);
        else
            g_snprintf(ret_name, STEP_NAME, "row-%d", from);
        break;
    case QUILT_STEP_QUARTER:
        g_snprintf(ret_name, STEP_NAME, "quarter-%d-%s", from, side);
        break;
    case QUILT_STEP_HALF:
        g_snprintf(ret_name, STEP_NAME, "half-%d", from);
        break;
    case QUILT_STEP_JOIN:
    default:
        if (from == 1 && to == lines && quarters)
            g_strlcpy(ret_name, "middle", STEP_NAME);
        else
            g_snprintf(ret_name, STEP_NAME, "join-%d-%d", from, to);
        break;
    }
}

/* --- joints ---------------------------------------------------------------------------
 */

static void find_lines(assembly *self)
{
    const quilt_layout *layout = &self->wall.laid.layout;
    self->line = g_new(int, (gsize)layout->count);
    self->pos = g_new(int, (gsize)layout->count);
    for (int place = 0; place < layout->count; place++)
        quilt_line_of(layout, place, &self->line[place], &self->pos[place]);
}

static bool is_closed_by(const assembly *self, const quilt_step *step, int place, int k)
{
    int other = self->nest.next[k][place];
    return self->nest.usual[k][place] >= 0 &&
           quilt_step_joins(step, self->line[place], self->pos[place], self->line[other],
                            self->pos[other]);
}

static void add_place(const assembly *self, json_t *list, int place)
{
    int row, col;
    if (json_array_size(list) >= OPEN_MAX)
        return;
    app_laid_place_at(&self->wall.laid, place, &row, &col);
    json_array_append_new(list, json_pack("[i, i]", row, col));
}

/* What the step closes: how much of it nests when the blocks are pressed as sewing says,
 * and where it would not if all were pressed as usual. */
static void add_joints(const assembly *self, const quilt_step *step, json_t *document)
{
    int joints = 0, nested = 0, usual = 0;
    json_t *open = json_array();
    for (int place = 0; place < self->wall.laid.layout.count; place++)
        for (int k = 0; k < APP_NEST_JOINTS; k++) {
            if (!is_closed_by(self, step, place, k))
                continue;
            joints++;
            nested += self->nest.pressed[k][place] == 1;
            usual += self->nest.usual[k][place] == 1;
            if (self->nest.usual[k][place] == 0)
                add_place(self, open, place);
        }
    json_object_set_new(document, "joints", json_integer(joints));
    json_object_set_new(document, "nested", json_integer(nested));
    json_object_set_new(document, "nested_usual", json_integer(usual));
    json_object_set_new(document, "open", open);
}

/* The blocks of a strip that are not pressed as usual. */
static json_t *other_ways_document(const assembly *self, const quilt_step *step)
{
    json_t *list = json_array();
    for (int place = 0; place < self->wall.laid.layout.count; place++) {
        uint8_t way = self->nest.way[place];
        if (way == QUILT_PRESS_USUAL || self->line[place] != step->first_line ||
            self->pos[place] < step->first_pos || self->pos[place] > step->last_pos)
            continue;
        json_array_append_new(list, json_pack("{s:i, s:s}", "block", self->pos[place] + 1,
                                              "way", app_nest_way(way)));
    }
    return list;
}

/* --- steps ----------------------------------------------------------------------------
 */

static const char *const kinds[] = { "row", "join", "quarter", "half" };
static const char *const verdicts[] = { "true", "ease", "trim", "seam" };

/* Seams that shorten a strip: between blocks and sashes, and within the first row of
 * patches of each block. Plain blocks that are cut whole have fewer; the error told is
 * then a little small. */
static int seams_of_strip(const app_laid *laid, int blocks)
{
    int between = laid->frame.sash > 0 ? 2 * (blocks - 1) : blocks - 1;
    return between + blocks * (laid->frame.side - 1);
}

static length planned_length(const app_laid *laid, int blocks)
{
    return quilt_strip_planned(&laid->frame, laid->sizes.block_finished, blocks);
}

static length measured_strip(const app_work *work, const char *step)
{
    g_autofree char *name = g_strdup_printf("measured %s", step);
    return app_work_length(work, name);
}

static void add_measures(const assembly *self, const quilt_step *step, const char *name,
                         json_t *document)
{
    const app_laid *laid = &self->work.laid;
    int blocks = step->last_pos - step->first_pos + 1;
    length planned = planned_length(laid, blocks);
    length measured = measured_strip(&self->work, name);
    json_object_set_new(document, "planned_in", app_document_inches(planned));
    json_object_set_new(document, "measured_in", app_work_inches(measured));
    if (measured == 0) {
        json_object_set_new(document, "check", json_null());
        return;
    }
    quilt_strip_check check =
        quilt_strip_checked(planned, measured, blocks, seams_of_strip(laid, blocks));
    json_object_set_new(
        document, "check",
        json_pack("{s:s, s:f, s:f, s:f}", "verdict", verdicts[check.verdict], "off_in",
                  length_to_inches(check.off), "ease_in", length_to_inches(check.ease),
                  "seam_error_in", length_to_inches(check.seam_error)));
}

/* Rows are pressed by turns to the right and to the left, so that their seams lock. */
static const char *strip_pressing(const quilt_step *step, bool open)
{
    return open ? "open" : step->first_line % 2 == 0 ? "right" : "left";
}

static json_t *step_document(const assembly *self, int at)
{
    const quilt_step *step = &self->steps[at];
    bool strip = step->kind == QUILT_STEP_ROW;
    json_t *document = json_pack(
        "{s:s, s:s, s:[i, i], s:[i, i], s:i, s:s?, s:b}", "step", self->names[at], "kind",
        kinds[step->kind], "lines", step->first_line + 1, step->last_line + 1, "places",
        step->first_pos + 1, step->last_pos + 1, "seam", step->seam + 1, "press",
        strip ? strip_pressing(step, self->nest.open) : NULL, "done",
        app_work_is_done(&self->work, self->names[at]));
    add_joints(self, step, document);
    if (strip) {
        json_object_set_new(document, "ways", other_ways_document(self, step));
        add_measures(self, step, self->names[at], document);
    }
    return document;
}

/* Strips of one length among themselves: they go together when the longest can be eased
 * to the shortest, whatever the plan says. */
static json_t *fit_document(const assembly *self)
{
    length shortest = 0, longest = 0;
    int64_t sum = 0;
    int measured = 0, blocks = 0;
    if (self->work.laid.layout.set == QUILT_ON_POINT)
        return json_null(); /* no two neighbours are of one length */
    for (int i = 0; i < self->count; i++) {
        length one = measured_strip(&self->work, self->names[i]);
        if (self->steps[i].kind != QUILT_STEP_ROW || self->steps[i].first_pos != 0 ||
            one == 0)
            continue;
        shortest = measured == 0 ? one : MIN(shortest, one);
        longest = MAX(longest, one);
        blocks = self->steps[i].last_pos + 1;
        sum += one;
        measured++;
    }
    if (measured < 2)
        return json_null();
    length middle = (length)(sum / measured);
    quilt_strip_check check = quilt_strip_checked(shortest, longest, blocks, 0);
    return json_pack(
        "{s:i, s:o, s:o, s:o, s:b}", "measured", measured, "shortest_in",
        app_document_inches(shortest), "longest_in", app_document_inches(longest),
        "middle_in", app_document_inches(middle), "together",
        check.verdict == QUILT_STRIP_TRUE || check.verdict == QUILT_STRIP_EASE);
}

/* --- borders --------------------------------------------------------------------------
 */

static quilt_extent planned_top(const app_laid *laid)
{
    length seams = 2 * laid->frame.seam;
    return (quilt_extent){ laid->sizes.body.width + seams,
                           laid->sizes.body.height + seams };
}

static json_t *middle_document(const assembly *self)
{
    quilt_extent planned = planned_top(&self->work.laid);
    quilt_extent measured = app_work_size(&self->work, "middle");
    bool is = measured.width > 0;
    double off[] = { length_to_inches(measured.width - planned.width),
                     length_to_inches(measured.height - planned.height) };
    return json_pack("{s:o, s:o, s:o}", "planned_in",
                     app_document_size(planned.width, planned.height), "measured_in",
                     app_work_size_document(measured), "off_in",
                     is ? json_pack("[f, f]", off[0], off[1]) : json_null());
}

static json_t *borders_document(const assembly *self)
{
    const app_laid *laid = &self->work.laid;
    quilt_border_strips strips[QUILT_BORDERS_MAX];
    quilt_extent middle = app_work_size(&self->work, "middle");
    json_t *list = json_array();
    quilt_border_strips_of(&laid->frame, middle.width > 0 ? middle : planned_top(laid),
                           quilt_buying_defaults().mitre_extra, strips);
    for (int i = 0; i < laid->frame.border_count; i++) {
        const quilt_frame_border *border = &laid->frame.borders[i];
        json_array_append_new(
            list,
            json_pack("{s:s, s:s, s:b, s:o, s:o, s:o, s:o, s:b}", "step", self->border[i],
                      "role", quilt_role_name((quilt_role)border->role), "mitred",
                      border->mitred, "width_in", app_document_inches(strips[i].width),
                      "sides_in", app_document_inches(strips[i].sides), "ends_in",
                      app_document_inches(strips[i].ends), "after_in",
                      app_document_size(strips[i].after.width, strips[i].after.height),
                      "done", app_work_is_done(&self->work, self->border[i])));
    }
    return list;
}

/* --- the whole ------------------------------------------------------------------------
 */

static const char *const orders[] = { "rows", "quarters", NULL };

static gboolean read_order(const app_call *call, assembly *self, GError **error)
{
    const char *kept = json_string_value(json_object_get(self->work.said, "by"));
    int order = kept != NULL && strcmp(kept, orders[1]) == 0;
    if (!app_request_word(call, "by", orders, &order, error))
        return FALSE;
    self->quarters = order == 1;
    return TRUE;
}

static void plan_steps(assembly *self)
{
    const quilt_layout *layout = &self->work.laid.layout;
    gsize most = (gsize)quilt_steps_max(layout);
    self->steps = g_new(quilt_step, most);
    self->names = g_malloc0(most * sizeof self->names[0]);
    self->list = g_new0(const char *, most + QUILT_BORDERS_MAX + 1);
    self->count = quilt_assemble(layout, self->quarters, self->steps);
    int named = 0;
    for (int i = 0; i < self->count; i++) {
        name_step(&self->steps[i], quilt_lines(layout), self->quarters, self->names[i]);
        self->list[named++] = self->names[i];
    }
    for (int i = 0; i < self->work.laid.frame.border_count; i++) {
        g_snprintf(self->border[i], STEP_NAME, "border-%d", i + 1);
        self->list[named++] = self->border[i];
    }
}

static json_t *assembly_document(const assembly *self)
{
    const app_laid *laid = &self->work.laid;
    json_t *steps = json_array();
    for (int i = 0; i < self->count; i++)
        json_array_append_new(steps, step_document(self, i));
    return json_pack(
        "{s:s, s:s, s:s, s:b, s:i, s:o, s:o, s:o, s:o, s:o, s:o}", "quilt",
        self->work.quilt.name, "by", orders[self->quarters], "press",
        app_nest_name(self->nest.open), "on_point", laid->layout.set == QUILT_ON_POINT,
        "lines", quilt_lines(&laid->layout), "seam_in",
        app_document_inches(laid->frame.seam), "sash_in",
        app_document_inches(laid->frame.sash), "steps", steps, "fit", fit_document(self),
        "middle", middle_document(self), "borders", borders_document(self));
}

static gboolean assembly_requested(app *self, const app_call *call, assembly *ret,
                                   GError **error)
{
    if (!app_work_requested(self, call, &ret->work, error) ||
        !app_wall_requested(self, call, &ret->wall, error) ||
        !read_order(call, ret, error) || !app_nest_say(&ret->work, call, error))
        return FALSE;
    plan_steps(ret);
    find_lines(ret);
    app_nest_read(&ret->wall, app_nest_is_open(&ret->work), &ret->nest);
    return TRUE;
}

gboolean app_do_assemble(app *self, const app_call *call, json_t **ret_document,
                         GError **error)
{
    g_auto(assembly) it = { 0 };
    if (!assembly_requested(self, call, &it, error))
        return FALSE;
    *ret_document = assembly_document(&it);
    return TRUE;
}

static gboolean read_measure(assembly *self, const app_call *call, const char *step,
                             length bare, GError **error)
{
    if (json_object_get(call->request, "measured") == NULL)
        return TRUE;
    if (step == NULL || !g_str_has_prefix(step, "row-")) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                            "measured: goes with the step of one row.");
        return FALSE;
    }
    g_autofree char *name = g_strdup_printf("measured %s", step);
    return app_work_read_length(&self->work, call, "measured", name, bare, error);
}

gboolean app_do_assembled(app *self, const app_call *call, json_t **ret_document,
                          GError **error)
{
    g_auto(assembly) it = { 0 };
    app_settings settings;
    const char *step;
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error))
        return FALSE;
    g_autoptr(store_change) change =
        store_change_begin(self->book, "Said how the top comes together", error);
    if (change == NULL || !assembly_requested(self, call, &it, error) ||
        !app_work_read_step(&it.work, call, it.list, &step, error) ||
        !read_measure(&it, call, step, settings.bare, error) ||
        !app_work_read_size(&it.work, call, "middle", settings.bare, error))
        return FALSE;
    if (app_request_has(call, "by"))
        json_object_set_new(it.work.said, "by", json_string(orders[it.quarters]));
    if (!app_work_keep(change, &it.work, error))
        return FALSE;
    *ret_document = assembly_document(&it);
    return TRUE;
}
