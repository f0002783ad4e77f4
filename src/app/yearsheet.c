/* The sheet "year": one year in one picture: what went into the basket by season, in its
 * colours and values, what of it still lies there, and the quilts that were finished. */
#include "story-internal.h"

#include "draw/flow.h"
#include "sheet-internal.h"

enum { QUILTS_ACROSS = 3, QUILTS_MAX = 12 };

#define BAR_HEIGHT   (11 * LENGTH_MM)
#define VALUE_HEIGHT (4 * LENGTH_MM)
#define NAME_WIDTH   (38 * LENGTH_MM)
#define GAP          (6 * LENGTH_MM)

static const char *const seasons[] = { DRAW_WORDS("January to March"),
                                       DRAW_WORDS("April to June"),
                                       DRAW_WORDS("July to September"),
                                       DRAW_WORDS("October to December") };
static const struct {
    const char *field;
    draw_ink ink;
} values[] = { { "light", DRAW_TINT_0 },
               { "medium", DRAW_TINT_2 },
               { "dark", DRAW_TINT_5 } };

static json_int_t whole(const json_t *object, const char *field)
{
    return json_integer_value(json_object_get(object, field));
}

/* The year of that number; the last when it is 0. NULL: the book holds none such. */
static json_t *year_numbered(const json_t *years, int64_t number)
{
    size_t i;
    json_t *year, *found = NULL;
    json_array_foreach (years, i, year)
        if (number == 0 || whole(year, "year") == number)
            found = year;
    return found;
}

static void draw_colours(draw_scene *scene, const json_t *quarter, length left, length y,
                         length width)
{
    const draw_style frame = DRAW_STROKE(DRAW_LINE, 0);
    double at = 0;
    size_t i;
    json_t *colour;
    json_array_foreach (json_object_get(quarter, "colours"), i, colour) {
        double share = json_number_value(json_object_get(colour, "share"));
        const draw_style fill = { .fill = { DRAW_COLOUR, app_document_srgb_of(colour) } };
        length from = (length)(at * width), to = (length)((at + share) * width);
        draw_scene_rect(scene, &fill, left + from, y, to - from, BAR_HEIGHT);
        at += share;
    }
    draw_scene_rect(scene, &frame, left, y, width, BAR_HEIGHT);
}

static void draw_values(draw_scene *scene, const json_t *quarter, length left, length y,
                        length width)
{
    json_int_t all = whole(quarter, "squares_in"), before = 0;
    for (size_t v = 0; v < G_N_ELEMENTS(values) && all > 0; v++) {
        const draw_style style = { .fill = { .ink = values[v].ink },
                                   .line = { .ink = DRAW_LINE } };
        json_int_t squares = whole(quarter, values[v].field);
        length from = (length)(width * before / all);
        length to = (length)(width * (before + squares) / all);
        draw_scene_rect(scene, &style, left + from, y, to - from, VALUE_HEIGHT);
        before += squares;
    }
}

/* A season: its colours, as wide as squares went in; light, medium and dark below; a row
 * of stitches for what still lies there. */
static void draw_season(draw_flow *flow, const json_t *quarter, const char *name,
                        json_int_t most)
{
    const draw_language language = flow->heading->language;
    const draw_text_style text = { .size = DRAW_PT(10) };
    const draw_text_style quiet = { .size = DRAW_PT(9), .ink = DRAW_QUIET };
    const draw_style stays = { .line = { .ink = DRAW_THREAD },
                               .width = DRAW_PT(2),
                               .stitch = DRAW_RUNNING };
    length left = flow->frame.left + NAME_WIDTH;
    length room = flow->frame.right - left;
    json_int_t in = whole(quarter, "squares_in");
    draw_flow_room(flow, BAR_HEIGHT + VALUE_HEIGHT + GAP + DRAW_PT(4));
    length y = flow->y;
    g_autofree char *sums = g_strdup_printf(draw_words(language, "%d in"), (int)in);
    g_autofree char *left_over = g_strdup_printf(draw_words(language, "%d still there"),
                                                 (int)whole(quarter, "stays"));
    draw_scene_text(flow->scene, &text, flow->frame.left, y + DRAW_PT(11),
                    draw_words_of(language, name));
    draw_scene_text(flow->scene, &quiet, flow->frame.left, y + DRAW_PT(24), sums);
    draw_scene_text(flow->scene, &quiet, flow->frame.left, y + DRAW_PT(36), left_over);
    length width = (length)(room * in / most);
    draw_colours(flow->scene, quarter, left, y, width);
    draw_values(flow->scene, quarter, left, y + BAR_HEIGHT, width);
    y += BAR_HEIGHT + VALUE_HEIGHT + DRAW_PT(4);
    draw_scene_line(flow->scene, &stays, left, y,
                    left + (length)(room * whole(quarter, "stays") / most), y);
    flow->y = y + GAP;
}

static void draw_seasons(draw_flow *flow, const json_t *year)
{
    size_t i;
    json_t *quarter;
    json_int_t most = 1;
    const json_t *quarters = json_object_get(year, "quarters");
    json_array_foreach (quarters, i, quarter)
        most = MAX(most, MAX(whole(quarter, "squares_in"), whole(quarter, "stays")));
    draw_flow_heading(flow,
                      draw_words(flow->heading->language, "What went into the basket"),
                      30 * LENGTH_MM);
    json_array_foreach (quarters, i, quarter)
        if (i < G_N_ELEMENTS(seasons))
            draw_season(flow, quarter, seasons[i], most);
}

/* The pictures of the quilts that were finished in the year, three in a row. */
static gboolean draw_finished(app *self, draw_flow *flow, const json_t *names,
                              GError **error)
{
    const draw_text_style text = { .size = DRAW_PT(10), .bold = true };
    const app_story_shown all = { 0 };
    length room = flow->frame.right - flow->frame.left;
    length across = (room - (QUILTS_ACROSS - 1) * GAP) / QUILTS_ACROSS, lowest = 0;
    size_t i;
    json_t *name;
    if (json_array_size(names) > 0)
        draw_flow_heading(flow, draw_words(flow->heading->language, "Finished"), across);
    json_array_foreach (names, i, name) {
        g_auto(app_story) story = { 0 };
        g_autoptr(json_t) request = json_pack("{s:O}", "quilt", name);
        const app_call call = { .request = request };
        if (i == QUILTS_MAX)
            break;
        if (!app_story_requested(self, &call, &story, error))
            return FALSE;
        if (i % QUILTS_ACROSS == 0) {
            flow->y += lowest;
            lowest = 0;
            draw_flow_room(flow, 80 * LENGTH_MM);
        }
        length left = flow->frame.left + (length)(i % QUILTS_ACROSS) * (across + GAP);
        g_autofree char *fitted = draw_text_fit(&text, json_string_value(name), across);
        draw_scene_text(flow->scene, &text, left, flow->y + DRAW_PT(10), fitted);
        length high =
            app_story_draw(&story, &all, flow->scene, left, flow->y + DRAW_PT(14),
                           app_story_width_within(&story, across, 70 * LENGTH_MM));
        lowest = MAX(lowest, high + DRAW_PT(14) + GAP);
    }
    flow->y += lowest;
    return TRUE;
}

static void tell_begun(draw_flow *flow, const json_t *names)
{
    size_t i;
    json_t *name;
    g_autoptr(GString) all = g_string_new(NULL);
    json_array_foreach (names, i, name)
        g_string_append_printf(all, "%s%s", i > 0 ? ", " : "", json_string_value(name));
    if (all->len == 0)
        return;
    g_autofree char *words =
        g_strdup_printf(draw_words(flow->heading->language, "Begun: %s"), all->str);
    draw_flow_paragraph(flow, words);
}

static void tell_sums(draw_flow *flow, const json_t *year)
{
    g_autofree char *sums = g_strdup_printf(
        draw_words(flow->heading->language,
                   "%d squares in, %d out, %d blocks sewn. Each bar is as wide as "
                   "squares went in, in their colours; light, medium and dark below it; "
                   "the stitches are what still lies in the basket."),
        (int)whole(year, "squares_in"), (int)whole(year, "squares_out"),
        (int)whole(year, "blocks"));
    draw_flow_paragraph(flow, sums);
}

draw_scene *app_year_sheet(app *self, const app_call *call, GError **error)
{
    g_auto(app_sheet_head) head = { 0 };
    json_t *document = NULL;
    int64_t number = 0;
    if (!app_request_int(call, "year", 1, 9999, &number, error) ||
        !app_do_years(self, call, &document, error))
        return NULL;
    g_autoptr(json_t) owned = document;
    const json_t *year = year_numbered(json_object_get(document, "years"), number);
    if (year == NULL) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                            "year: the book holds nothing of that year.");
        return NULL;
    }
    if (!app_sheet_heading(self, call, NULL, &head, error))
        return NULL;
    g_autofree char *title = g_strdup_printf(
        draw_words(head.heading.language, "The year %d"), (int)whole(year, "year"));
    head.heading.title = title;
    draw_flow flow = draw_flow_begin(&head.heading);
    tell_sums(&flow, year);
    draw_seasons(&flow, year);
    if (!draw_finished(self, &flow, json_object_get(year, "finished"), error)) {
        draw_scene_free(flow.scene);
        return NULL;
    }
    tell_begun(&flow, json_object_get(year, "begun"));
    return draw_flow_end(&flow);
}
