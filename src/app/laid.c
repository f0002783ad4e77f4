#include "laid-internal.h"

#include "quilt/catalogue.h"

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

/* Lays out what design and frame say. */
static gboolean lay_out(app_laid *self, GError **error)
{
    /* The repeat begins where the file begins it: whoever draws a repeat means its first
     * block to lie top left. */
    quilt_start start = { 0, 0 };
    if (!quilt_layout_make(&self->design, self->frame.across, self->frame.down, start,
                           &self->layout, error) ||
        !quilt_frame_sizes(&self->frame, &self->sizes, error))
        return FALSE;
    quilt_layout_count(&self->design, &self->layout, &self->count);
    return TRUE;
}

static gboolean read_borders(const app_call *call, length bare, quilt_frame *frame,
                             GError **error)
{
    g_autoptr(json_t) borders = app_request_list(call, "border");
    size_t count = json_array_size(borders);
    if (count > QUILT_BORDERS_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "border: at most %d.", QUILT_BORDERS_MAX);
        return FALSE;
    }
    if (count > 0)
        frame->border_count = 0; /* hers, in place of the design's */
    for (size_t i = 0; i < count; i++) {
        g_autoptr(json_t) one = json_pack("{s:O}", "border", json_array_get(borders, i));
        app_call each = { .request = one };
        quilt_frame_border *border = &frame->borders[frame->border_count];
        *border = (quilt_frame_border){ .role = QUILT_BACKGROUND };
        if (!app_request_length(&each, "border", bare, &border->width, error))
            return FALSE;
        frame->border_count++;
    }
    return TRUE;
}

/* "bed:queen:us" with the drop: the size that covers it. */
static gboolean read_cover(const app_call *call, length bare, quilt_extent *ret_size,
                           GError **error)
{
    g_auto(GStrv) parts = g_strsplit(app_request_text(call, "cover"), ":", 3);
    if (g_strv_length(parts) != 3 || strcmp(parts[0], "bed") != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "cover: \"%.60s\" is no bed:SIZE:COUNTRY.",
                    app_request_text(call, "cover"));
        return FALSE;
    }
    length drop = 12 * LENGTH_INCH, tuck = 0;
    const quilt_bed *bed = quilt_bed_find(parts[1], parts[2], error);
    return bed != NULL && app_request_length(call, "drop", bare, &drop, error) &&
           app_request_length(call, "tuck", bare, &tuck, error) &&
           quilt_bed_cover((quilt_extent){ bed->width, bed->height }, drop, tuck,
                           ret_size, error);
}

/* The nearest of what whole repeats give; what covers a bed is never too small. */
static int choose(const quilt_fit *fit, length wanted, bool covers)
{
    if (fit->below <= 0 || covers)
        return fit->below > 0 && fit->below_finished >= wanted ? fit->below : fit->above;
    return wanted - fit->below_finished < fit->above_finished - wanted ? fit->below
                                                                       : fit->above;
}

static json_t *fit_document(const quilt_fit *fit)
{
    return json_pack("{s:i, s:o, s:i, s:o}", "below", fit->below, "below_in",
                     app_document_inches(fit->below_finished), "above", fit->above,
                     "above_in", app_document_inches(fit->above_finished));
}

static gboolean read_size(const app_call *call, length bare, app_laid *self,
                          GError **error)
{
    quilt_extent wanted;
    quilt_fit across, down;
    bool covers = app_request_has(call, "cover");
    if (covers
            ? !read_cover(call, bare, &wanted, error)
            : !app_request_size(call, "size", bare, &wanted.width, &wanted.height, error))
        return FALSE;
    if (!quilt_frame_fit(&self->design, &self->frame, false, wanted.width,
                         QUILT_FIT_REPEATS, &across, error) ||
        !quilt_frame_fit(&self->design, &self->frame, true, wanted.height,
                         QUILT_FIT_REPEATS, &down, error))
        return FALSE;
    self->frame.across = choose(&across, wanted.width, covers);
    self->frame.down = choose(&down, wanted.height, covers);
    self->nearest = json_pack("{s:o, s:o, s:o}", "wanted_in",
                              app_document_size(wanted.width, wanted.height), "across",
                              fit_document(&across), "down", fit_document(&down));
    return TRUE;
}

static gboolean read_blocks(const app_call *call, app_laid *self, GError **error)
{
    /* The bounds are quilt_layout_make()'s to tell; here only whole numbers are asked. */
    int64_t across = INT64_MIN, down = INT64_MIN;
    if (!app_request_int(call, "across", INT32_MIN, INT32_MAX, &across, error) ||
        !app_request_int(call, "down", INT32_MIN, INT32_MAX, &down, error))
        return FALSE;
    if (across == INT64_MIN || down == INT64_MIN) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_MISSING,
                            "How large? across and down, or size, or cover is missing.");
        return FALSE;
    }
    self->frame.across = (int)across;
    self->frame.down = (int)down;
    return TRUE;
}

static gboolean read_frame(app *self, const app_call *call, app_laid *laid,
                           GError **error)
{
    app_settings settings;
    if (!app_settings_get(self, &settings, error))
        return FALSE;
    length unit = settings.unit, seam = settings.seam;
    if (!app_request_length(call, "unit", settings.bare, &unit, error) ||
        !app_request_length(call, "seam", settings.bare, &seam, error))
        return FALSE;
    laid->frame = quilt_frame_make(&laid->design, 1, 1, unit, seam);
    const char *set = app_request_text(call, "set");
    if (set != NULL && strcmp(set, "on-point") != 0 && strcmp(set, "straight") != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "set: \"%.40s\" is neither straight nor on-point.", set);
        return FALSE;
    }
    if (set != NULL) {
        laid->frame.on_point = strcmp(set, "on-point") == 0;
        laid->design.set = laid->frame.on_point                 ? QUILT_ON_POINT
                           : laid->design.set == QUILT_QUARTERS ? QUILT_QUARTERS
                                                                : QUILT_STRAIGHT;
    }
    if (!app_request_length(call, "sash", settings.bare, &laid->frame.sash, error) ||
        !read_borders(call, settings.bare, &laid->frame, error))
        return FALSE;
    return app_request_has(call, "size") || app_request_has(call, "cover")
               ? read_size(call, settings.bare, laid, error)
               : read_blocks(call, laid, error);
}

gboolean app_design_read(const char *name, quilt_design *ret_design, char **ret_text,
                         GError **error)
{
    int count;
    if (!quilt_catalogue_design(name, ret_design, error))
        return FALSE;
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    for (int i = 0; ret_text != NULL && i < count; i++)
        if (strcmp(entries[i].name, ret_design->id) == 0)
            *ret_text = g_strndup(entries[i].text, entries[i].size);
    return TRUE;
}

gboolean app_laid_from_request(app *self, const app_call *call, app_laid *ret_laid,
                               GError **error)
{
    const char *name;
    g_auto(app_laid) laid = { 0 };
    if (!app_request_need_text(call, "design", &name, error) ||
        !app_design_read(name, &laid.design, &laid.design_text, error) ||
        !read_frame(self, call, &laid, error) || !lay_out(&laid, error))
        return FALSE;
    laid.design_name = g_strdup(laid.design.id);
    *ret_laid = laid;
    memset(&laid, 0, sizeof laid);
    return TRUE;
}

/* The design's own borders keep their fabric; hers are of the background. */
static void take_borders(const store_quilt *quilt, quilt_frame *frame)
{
    int own = frame->border_count;
    frame->border_count = MIN(quilt->border_count, QUILT_BORDERS_MAX);
    for (int i = 0; i < frame->border_count; i++)
        if (i >= own || frame->borders[i].width != quilt->borders[i])
            frame->borders[i] = (quilt_frame_border){ .width = quilt->borders[i],
                                                      .role = QUILT_BACKGROUND };
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
    laid.frame.on_point = quilt->on_point;
    if (quilt->on_point)
        laid.design.set = QUILT_ON_POINT;
    laid.frame.sash = quilt->sash;
    take_borders(quilt, &laid.frame);
    if (!lay_out(&laid, error))
        return FALSE;
    *ret_laid = laid;
    memset(&laid, 0, sizeof laid);
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

static json_t *triangles_document(const app_laid *self)
{
    /* A unit that is on a metric ruler and on no inch ruler asks for the next millimetre.
     */
    length unit = self->frame.unit, eighth = LENGTH_INCH / 8;
    length step = unit % eighth != 0 && unit % LENGTH_MM == 0 ? LENGTH_MM : eighth;
    length cut =
        length_ceil(quilt_half_square(self->sizes.unit_finished, self->frame.seam), step);
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

void app_laid_describe(const app_laid *self, json_t *document)
{
    const quilt_sizes *sizes = &self->sizes;
    json_t *plan = json_pack(
        "{s:s, s:s, s:o, s:o, s:s, s:{s:i, s:o, s:o}, s:i, s:i, s:o, s:o, s:o, s:o}",
        "design", self->design_name, "design_name", self->design.name, "unit_in",
        app_document_inches(self->frame.unit), "seam_in",
        app_document_inches(self->frame.seam), "set",
        self->frame.on_point                 ? "on-point"
        : self->design.set == QUILT_QUARTERS ? "quarters"
                                             : "straight",
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
    json_t *borders = json_array();
    for (int i = 0; i < self->frame.border_count; i++)
        json_array_append_new(
            borders,
            json_pack("{s:o, s:o}", "width_in",
                      app_document_inches(self->frame.borders[i].width), "finished_in",
                      app_document_size(sizes->after[i].width, sizes->after[i].height)));
    json_object_set_new(plan, "borders", borders);
    if (self->nearest != NULL)
        json_object_set(plan, "nearest", self->nearest);
    json_object_update(document, plan);
    json_decref(plan);
}
