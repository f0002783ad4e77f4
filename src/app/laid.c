#include "laid-internal.h"

#include "own-internal.h"

#include <stdlib.h>
#include <string.h>

void app_laid_clear(app_laid *self)
{
    g_clear_pointer(&self->design_name, g_free);
    g_clear_pointer(&self->design_text, g_free);
    g_clear_pointer(&self->nearest, json_decref);
    quilt_layout_clear(&self->layout);
}

const quilt_block *app_laid_block(const app_laid *self, int kind)
{
    return &self->design.blocks[self->layout.kinds.kinds[kind].block];
}

int app_laid_basket_squares(const quilt_block *block)
{
    quilt_block_count count = quilt_block_counted(block);
    return count.squares[QUILT_SCRAP] + count.squares[QUILT_LIGHT] +
           count.squares[QUILT_DARK];
}

/* Lays out what design, frame and start say. */
static gboolean lay_out(app_laid *self, GError **error)
{
    if (!quilt_layout_make(&self->design, self->frame.across, self->frame.down,
                           self->start, &self->layout, error) ||
        !quilt_frame_sizes(&self->frame, &self->sizes, error))
        return FALSE;
    quilt_layout_count(&self->design, &self->layout, &self->count);
    return TRUE;
}

gboolean app_laid_from_request(app *self, const app_call *call, app_laid *ret_laid,
                               GError **error)
{
    const char *name;
    g_auto(app_laid) laid = { 0 };
    if (!app_request_need_text(call, "design", &name, error) ||
        !app_design_read(self, name, &laid.design, &laid.design_text, NULL, error) ||
        !app_frame_requested(self, call, &laid, error) || !lay_out(&laid, error))
        return FALSE;
    laid.design_name = g_strdup(laid.design.id);
    *ret_laid = laid;
    memset(&laid, 0, sizeof laid);
    return TRUE;
}

static const char *const set_names[] = { "straight", "on-point", "quarters", NULL };

static json_t *role_json(int role)
{
    return json_string(quilt_role_name((quilt_role)role));
}

char *app_laid_options(const app_laid *self)
{
    const quilt_frame *frame = &self->frame;
    json_t *borders = json_array();
    for (int i = 0; i < frame->border_count; i++)
        json_array_append_new(borders, json_pack("{s:o, s:b}", "role",
                                                 role_json(frame->borders[i].role),
                                                 "mitred", frame->borders[i].mitred));
    g_autoptr(json_t) options = json_pack(
        "{s:s, s:[i, i], s:b, s:o, s:b, s:b, s:o, s:o}", "set",
        set_names[self->design.set], "start", self->start.row, self->start.col, "even",
        self->even, "sash_role", role_json(frame->sash_role), "around",
        frame->sash_around, "cornerstones", frame->cornerstones, "cornerstone_role",
        role_json(frame->cornerstone_role), "borders", borders);
    char *text = json_dumps(options, JSON_COMPACT);
    char *own = g_strdup(text); /* jansson's memory is freed by another function */
    free(text);
    return own;
}

static void take_role(const json_t *value, uint8_t *role)
{
    const char *said = json_string_value(value);
    for (int i = 0; said != NULL && i < QUILT_ROLES; i++)
        if (strcmp(quilt_role_name((quilt_role)i), said) == 0)
            *role = (uint8_t)i;
}

static void take_flag(const json_t *value, bool *flag)
{
    if (json_is_boolean(value))
        *flag = json_is_true(value);
}

/* What a quilt without options has, of a book from before they were kept: the design's
 * own borders keep their fabric, others are of the background. */
static void take_options(const store_quilt *quilt, app_laid *laid)
{
    quilt_frame *frame = &laid->frame;
    int own = frame->border_count;
    frame->border_count = MIN(quilt->border_count, QUILT_BORDERS_MAX);
    for (int i = 0; i < frame->border_count; i++)
        if (i >= own || frame->borders[i].width != quilt->borders[i])
            frame->borders[i] = (quilt_frame_border){ .width = quilt->borders[i],
                                                      .role = QUILT_BACKGROUND };

    g_autoptr(json_t) options =
        quilt->options == NULL ? NULL : json_loads(quilt->options, 0, NULL);
    const char *set = json_string_value(json_object_get(options, "set"));
    for (int i = 0; set != NULL && set_names[i] != NULL; i++)
        if (strcmp(set_names[i], set) == 0)
            laid->design.set = (quilt_set)i;
    json_t *start = json_object_get(options, "start");
    laid->start.row = (int)json_integer_value(json_array_get(start, 0));
    laid->start.col = (int)json_integer_value(json_array_get(start, 1));
    take_flag(json_object_get(options, "even"), &laid->even);
    take_flag(json_object_get(options, "around"), &frame->sash_around);
    take_flag(json_object_get(options, "cornerstones"), &frame->cornerstones);
    take_role(json_object_get(options, "sash_role"), &frame->sash_role);
    take_role(json_object_get(options, "cornerstone_role"), &frame->cornerstone_role);
    json_t *borders = json_object_get(options, "borders");
    for (int i = 0; i < frame->border_count; i++) {
        const json_t *one = json_array_get(borders, (size_t)i);
        take_role(json_object_get(one, "role"), &frame->borders[i].role);
        take_flag(json_object_get(one, "mitred"), &frame->borders[i].mitred);
    }
}

gboolean app_laid_from_quilt(const store_quilt *quilt, app_laid *ret_laid, GError **error)
{
    g_auto(app_laid) laid = { .design_name = g_strdup(quilt->design),
                              .design_text = g_strdup(quilt->design_text) };
    if (!quilt_design_parse(quilt->design_text, strlen(quilt->design_text), quilt->design,
                            &laid.design, error))
        return FALSE;
    laid.frame = quilt_frame_make(&laid.design, quilt->across, quilt->down, quilt->unit,
                                  quilt->seam);
    app_frame_sash_default(&laid.design, &laid.frame);
    laid.frame.on_point = quilt->on_point;
    laid.frame.sash = quilt->sash;
    if (quilt->on_point)
        laid.design.set = QUILT_ON_POINT;
    take_options(quilt, &laid);
    if (laid.even)
        quilt_start_even(&laid.design, quilt->across, quilt->down, &laid.edges_alike);
    if (!lay_out(&laid, error))
        return FALSE;
    *ret_laid = laid;
    memset(&laid, 0, sizeof laid);
    return TRUE;
}

gboolean app_laid_requested(app *self, const app_call *call, app_laid *ret_laid,
                            store_quilt *ret_quilt, GError **error)
{
    g_auto(store_quilt) quilt = { 0 };
    if (app_request_text(call, "quilt") == NULL)
        return app_laid_from_request(self, call, ret_laid, error);
    if (!app_quilt_requested(self, call, &quilt, error) ||
        !app_laid_from_quilt(&quilt, ret_laid, error))
        return FALSE;
    *ret_quilt = quilt;
    memset(&quilt, 0, sizeof quilt);
    return TRUE;
}

/* {"S": 5, "B": 4}: whole squares by role, those that there are. */
static json_t *roles_of_block(const quilt_block *block)
{
    quilt_block_count count = quilt_block_counted(block);
    json_t *roles = json_object();
    for (int role = 0; role < QUILT_ROLES; role++) {
        char letter[2] = { quilt_role_letter((quilt_role)role), '\0' };
        if (count.squares[role] > 0)
            json_object_set_new(roles, letter, json_integer(count.squares[role]));
    }
    return roles;
}

static json_t *kinds_document(const app_laid *self)
{
    json_t *list = json_array();
    for (int kind = 0; kind < self->layout.kinds.count; kind++) {
        const quilt_block *block = app_laid_block(self, kind);
        json_array_append_new(list,
                              json_pack("{s:s, s:I, s:o}", "kind", block->name, "blocks",
                                        (json_int_t)self->count.kind_blocks[kind],
                                        "roles", roles_of_block(block)));
    }
    return list;
}

static json_t *squares_document(const app_laid *self)
{
    json_t *squares = json_object();
    for (int role = 0; role < QUILT_ROLES; role++) {
        char letter[2] = { quilt_role_letter((quilt_role)role), '\0' };
        if (self->count.squares[role] > 0)
            json_object_set_new(squares, letter, json_integer(self->count.squares[role]));
    }
    return squares;
}

length app_laid_triangle_cut(const app_laid *self)
{
    /* A unit that is on a metric ruler and on no inch ruler asks for the next millimetre.
     */
    length unit = self->frame.unit, eighth = LENGTH_INCH / 8;
    length step = unit % eighth != 0 && unit % LENGTH_MM == 0 ? LENGTH_MM : eighth;
    return length_ceil(quilt_half_square(self->sizes.unit_finished, self->frame.seam),
                       step);
}

static json_t *triangles_document(const app_laid *self)
{
    length cut = app_laid_triangle_cut(self);
    json_t *list = json_array();
    for (int a = 0; a < QUILT_ROLES; a++) {
        for (int b = a; b < QUILT_ROLES; b++) {
            char roles[4] = { quilt_role_letter((quilt_role)a), '/',
                              quilt_role_letter((quilt_role)b), '\0' };
            if (self->count.pairs[a][b] > 0)
                json_array_append_new(
                    list, json_pack("{s:s, s:I, s:o}", "roles", roles, "count",
                                    (json_int_t)self->count.pairs[a][b], "cut_in",
                                    app_document_inches(cut)));
        }
    }
    return list;
}

/* A quilt as small as those that are given to babies: the largest packaged batting called
 * so is 45 x 60 in. */
#define BABY_SHORT ((length)(45 * LENGTH_INCH))
#define BABY_LONG  ((length)(60 * LENGTH_INCH))

bool app_is_of_baby_size(quilt_extent size)
{
    return MIN(size.width, size.height) <= BABY_SHORT &&
           MAX(size.width, size.height) <= BABY_LONG;
}

static json_t *notes_document(const app_laid *self)
{
    json_t *notes = json_array();
    if (self->covers_cot || app_is_of_baby_size(self->sizes.finished))
        json_array_append_new(
            notes, json_pack("{s:s, s:s}", "code", "plan.baby", "message",
                             "If it is for a baby: a quilt is for the floor and for time"
                             " awake, not for sleep in the first year. Your country's"
                             " health service says what belongs in a cot."));
    if (self->even && !self->edges_alike)
        json_array_append_new(
            notes, json_pack("{s:s, s:s}", "code", "plan.edges-differ", "message",
                             "With so many blocks both edges cannot end alike; this is"
                             " as near as it gets."));
    return notes;
}

static json_t *borders_document(const app_laid *self)
{
    json_t *borders = json_array();
    for (int i = 0; i < self->frame.border_count; i++) {
        const quilt_frame_border *border = &self->frame.borders[i];
        const quilt_extent *after = &self->sizes.after[i];
        json_array_append_new(
            borders, json_pack("{s:o, s:o, s:o, s:b}", "width_in",
                               app_document_inches(border->width), "finished_in",
                               app_document_size(after->width, after->height), "role",
                               role_json(border->role), "mitred", border->mitred));
    }
    return borders;
}

static json_t *sash_document(const quilt_frame *frame)
{
    return json_pack(
        "{s:o, s:o, s:b, s:o}", "width_in", app_document_inches(frame->sash), "role",
        role_json(frame->sash_role), "around", frame->sash_around, "cornerstones",
        frame->cornerstones ? role_json(frame->cornerstone_role) : json_null());
}

void app_laid_describe(const app_laid *self, json_t *document)
{
    const quilt_sizes *sizes = &self->sizes;
    json_t *plan = json_pack(
        "{s:s, s:s, s:o, s:o, s:s, s:{s:i, s:o, s:o}, s:i, s:i, s:o, s:o, s:o, s:o}",
        "design", self->design_name, "design_name", self->design.name, "unit_in",
        app_document_inches(self->frame.unit), "seam_in",
        app_document_inches(self->frame.seam), "set", set_names[self->design.set],
        "block", "patches", self->frame.side, "finished_in",
        app_document_inches(sizes->block_finished), "unfinished_in",
        app_document_inches(sizes->block_unfinished), "across", self->frame.across,
        "down", self->frame.down, "finished_in",
        app_document_size(sizes->finished.width, sizes->finished.height), "kinds",
        kinds_document(self), "squares", squares_document(self), "triangles",
        triangles_document(self));
    json_object_set_new(plan, "body_in",
                        app_document_size(sizes->body.width, sizes->body.height));
    json_object_set_new(plan, "sash_in", app_document_inches(self->frame.sash));
    if (self->frame.sash > 0)
        json_object_set_new(plan, "sash", sash_document(&self->frame));
    json_object_set_new(plan, "borders", borders_document(self));
    json_object_set_new(plan, "even", json_boolean(self->even));
    json_object_set_new(plan, "notes", notes_document(self));
    if (self->nearest != NULL)
        json_object_set(plan, "nearest", self->nearest);
    json_object_update(document, plan);
    json_decref(plan);
}

gboolean app_laid_place_read(const json_t *item, const app_laid *laid, int *ret_place,
                             GError **error)
{
    long row = 0, col = 0;
    if (json_array_size(item) == 2) {
        row = (long)json_integer_value(json_array_get(item, 0));
        col = (long)json_integer_value(json_array_get(item, 1));
    } else if (json_is_string(item)) {
        char *end;
        row = strtol(json_string_value(item), &end, 10);
        col = *end == ',' ? strtol(end + 1, &end, 10) : 0;
        if (*end != '\0')
            col = 0;
    }
    int place = row > 100000 || col > 100000
                    ? -1
                    : app_laid_place_index(laid, (int)row, (int)col);
    if (place < 0) {
        g_autofree char *text = json_dumps(item, JSON_ENCODE_ANY);
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_PLACE,
                    "The quilt has no place %.40s: it has %d rows of %d.", text,
                    laid->layout.rows, laid->layout.across);
        return FALSE;
    }
    *ret_place = place;
    return TRUE;
}
