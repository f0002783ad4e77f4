/* A quilt's size and setting as a request asks for them: by blocks, by a wished size, or
 * to cover a bed; with sashes and borders. */
#include "laid-internal.h"

#include "bed-internal.h"

#include <string.h>

static gboolean role_named(const char *word, uint8_t *ret_role)
{
    for (int role = 0; role < QUILT_ROLES; role++) {
        if (strcmp(quilt_role_name((quilt_role)role), word) == 0) {
            *ret_role = (uint8_t)role;
            return TRUE;
        }
    }
    return FALSE;
}

/* "3 in accent mitred": a width with words after it, in any order. The words are cut off
 * the text. */
static void take_words(char *text, quilt_frame_border *border)
{
    for (char *space; (space = strrchr(g_strchomp(text), ' ')) != NULL; *space = '\0') {
        uint8_t role = border->role;
        if (strcmp(space + 1, "mitred") == 0)
            border->mitred = true;
        else if (strcmp(space + 1, "straight") == 0)
            border->mitred = false;
        else if (role_named(space + 1, &role))
            border->role = role;
        else
            return;
    }
}

/* A border as a width, as its words, or as {"width", "role", "mitred"}. */
static gboolean read_border(const json_t *item, length bare, quilt_frame_border *border,
                            GError **error)
{
    *border = (quilt_frame_border){ .role = QUILT_BACKGROUND };
    json_t *width =
        json_is_object(item) ? json_object_get(item, "width") : (json_t *)item;
    g_autofree char *text = g_strdup(json_string_value(width));
    if (text != NULL)
        take_words(text, border);
    g_autoptr(json_t) one =
        text != NULL ? json_pack("{s:s}", "border", text)
                     : json_pack("{s:O}", "border", width != NULL ? width : json_null());
    app_call call = { .request = one };
    border->width = -1;
    if (!app_request_width(&call, "border", bare, &border->width, error))
        return FALSE;
    const char *role = json_string_value(json_object_get(item, "role"));
    if (border->width < 0 || (role != NULL && !role_named(role, &border->role))) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    role != NULL && border->width >= 0
                        ? "border: \"%.40s\" is no role."
                        : "border: its width is missing.%.0s",
                    role != NULL ? role : "");
        return FALSE;
    }
    border->mitred |= json_is_true(json_object_get(item, "mitred"));
    return TRUE;
}

/* A border of no width is none: so a design's own are left out. */
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
        quilt_frame_border *border = &frame->borders[frame->border_count];
        if (!read_border(json_array_get(borders, i), bare, border, error))
            return FALSE;
        frame->border_count += border->width > 0;
    }
    return TRUE;
}

static gboolean read_role(const app_call *call, const char *field, uint8_t *role,
                          GError **error)
{
    const char *said = app_request_text(call, field);
    if (said == NULL || role_named(said, role))
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "%s: \"%.40s\" is no role: scrap, background, light, dark, accent.",
                field, said);
    return FALSE;
}

/* What the text of a design says of a sash without a role goes for hers as well. */
void app_frame_sash_default(const quilt_design *design, quilt_frame *frame)
{
    if (design->sash.width.patches == 0 && design->sash.width.size == 0) {
        frame->sash_role = QUILT_BACKGROUND;
        frame->cornerstone_role = QUILT_SCRAP;
    }
}

static gboolean read_sash(const app_call *call, length bare, quilt_frame *frame,
                          GError **error)
{
    if (!app_request_width(call, "sash", bare, &frame->sash, error) ||
        !read_role(call, "sash_role", &frame->sash_role, error) ||
        !read_role(call, "cornerstone_role", &frame->cornerstone_role, error))
        return FALSE;
    frame->cornerstones |= app_request_flag(call, "cornerstones") ||
                           app_request_has(call, "cornerstone_role");
    frame->sash_around |= app_request_flag(call, "sash_around");
    return TRUE;
}

/* "bed:queen:us", "bed:own" or "bed:60x80in", with the drop: the size that covers it. */
static gboolean read_cover(app *self, const app_call *call, length bare, app_laid *laid,
                           quilt_extent *ret_size, GError **error)
{
    length drop = 12 * LENGTH_INCH, tuck = 0;
    app_bed bed;
    if (!app_bed_requested(self, call, bare, &bed, error) ||
        !app_request_width(call, "drop", bare, &drop, error) ||
        !app_request_width(call, "tuck", bare, &tuck, error) ||
        !quilt_bed_cover(bed.mattress, drop, tuck, ret_size, error))
        return FALSE;
    laid->covers_cot = bed.cot;
    if (bed.own) {
        laid->mattress[0] = bed.mattress.width;
        laid->mattress[1] = bed.mattress.height;
    }
    return TRUE;
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

static gboolean read_size(app *owner, const app_call *call, length bare, app_laid *self,
                          GError **error)
{
    quilt_extent wanted;
    quilt_fit across, down;
    bool covers = app_request_has(call, "cover");
    quilt_fit_by by = self->even ? QUILT_FIT_ALIKE : QUILT_FIT_REPEATS;
    if (covers
            ? !read_cover(owner, call, bare, self, &wanted, error)
            : !app_request_size(call, "size", bare, &wanted.width, &wanted.height, error))
        return FALSE;
    if (!quilt_frame_fit(&self->design, &self->frame, false, wanted.width, by, &across,
                         error) ||
        !quilt_frame_fit(&self->design, &self->frame, true, wanted.height, by, &down,
                         error))
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

static gboolean read_set(const app_call *call, app_laid *laid, GError **error)
{
    static const char *const ways[] = { "straight", "on-point", NULL };
    int way = -1;
    if (!app_request_word(call, "set", ways, &way, error))
        return FALSE;
    if (way >= 0)
        laid->frame.on_point = way == 1;
    if (way == 1)
        laid->design.set = QUILT_ON_POINT;
    if (way == 0 && laid->design.set == QUILT_ON_POINT)
        laid->design.set = QUILT_STRAIGHT;
    return TRUE;
}

gboolean app_frame_requested(app *self, const app_call *call, app_laid *laid,
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
    app_frame_sash_default(&laid->design, &laid->frame);
    laid->even = app_request_flag(call, "even");
    bool by_size = app_request_has(call, "size") || app_request_has(call, "cover");
    if (!read_set(call, laid, error) ||
        !read_sash(call, settings.bare, &laid->frame, error) ||
        !read_borders(call, settings.bare, &laid->frame, error) ||
        !(by_size ? read_size(self, call, settings.bare, laid, error)
                  : read_blocks(call, laid, error)))
        return FALSE;
    /* Unless she asks for even edges the repeat begins where the file begins it: whoever
     * draws a repeat means its first block to lie top left. */
    if (laid->even && laid->frame.across >= 1 && laid->frame.down >= 1 &&
        laid->frame.across <= QUILT_ACROSS_MAX && laid->frame.down <= QUILT_ACROSS_MAX)
        laid->start = quilt_start_even(&laid->design, laid->frame.across,
                                       laid->frame.down, &laid->edges_alike);
    return TRUE;
}
