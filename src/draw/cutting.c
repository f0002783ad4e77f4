#include "draw/cutting.h"
#include "draw/flow.h"

#include <math.h>

#define AIR     (7 * LENGTH_MM) /* round a drawing, for the numbers of its cuts */
#define BETWEEN (6 * LENGTH_MM) /* the two drawings of a row */
#define HIGHEST (75 * LENGTH_MM)
#define CAPTION DRAW_PT(56)

static const char caution[] = DRAW_WORDS(
    "A rotary cutter goes through a finger as easily as through four layers of cloth. "
    "Close the blade whenever it leaves your hand, also for a moment. Stand, lay the mat "
    "on a firm table, hold the ruler with spread fingers well back from its edge, and "
    "roll away from yourself. A dull blade needs force, and force slips: change it in "
    "time. Keep cutter and mat from children and animals.");

/* How a scrap comes to lie on the paper: turned so that its strips stand upright, as it
 * lies on the mat when the cutter rolls away from the maker. */
typedef struct scrap_view {
    double cosine, sine;    /* of the turn, anticlockwise */
    length least_x, most_y; /* of all that is drawn, turned */
    length wide, high;      /* on paper */
    int scale;              /* one to so many */
    length x, y;            /* upper left corner on paper */
} scrap_view;

static scrap_point turned(const scrap_view *view, const scrap_point *p)
{
    return (scrap_point){ (length)lround(view->cosine * p->x - view->sine * p->y),
                          (length)lround(view->sine * p->x + view->cosine * p->y) };
}

static draw_point to_paper(const scrap_view *view, const scrap_point *p)
{
    scrap_point at = turned(view, p);
    return (draw_point){ view->x + (at.x - view->least_x) / view->scale,
                         view->y + (view->most_y - at.y) / view->scale };
}

static void take_in(const scrap_view *view, const scrap_point *p, scrap_point *least,
                    scrap_point *most)
{
    scrap_point at = turned(view, p);
    least->x = MIN(least->x, at.x);
    least->y = MIN(least->y, at.y);
    most->x = MAX(most->x, at.x);
    most->y = MAX(most->y, at.y);
}

/* The largest of the scales that makers know which fits into the room. */
static scrap_view view_of(const draw_cutting_scrap *scrap, length wide, length high)
{
    static const int scales[] = {
        1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 48, 64, 100
    };
    double turn = (90 - scrap->plan->angle_deg) * (G_PI / 180);
    scrap_view view = { .cosine = cos(turn), .sine = sin(turn) };
    const scrap_ring *outer = &scrap->outline->outer;
    scrap_point least = turned(&view, &outer->points[0]), most = least;
    for (int i = 0; i < outer->count; i++)
        take_in(&view, &outer->points[i], &least, &most);
    for (int i = 0; i < scrap->plan->cut_count; i++) {
        take_in(&view, &scrap->plan->cuts[i].from, &least, &most);
        take_in(&view, &scrap->plan->cuts[i].to, &least, &most);
    }
    view.least_x = least.x;
    view.most_y = most.y;
    for (size_t i = 0; i < G_N_ELEMENTS(scales); i++) {
        view.scale = scales[i];
        view.wide = (most.x - least.x) / view.scale;
        view.high = (most.y - least.y) / view.scale;
        if (view.wide <= wide && view.high <= high)
            break;
    }
    return view;
}

static void draw_ring(draw_scene *scene, const scrap_view *view, const draw_style *style,
                      const scrap_ring *ring)
{
    g_autofree draw_point *points = g_new(draw_point, ring->count);
    for (int i = 0; i < ring->count; i++)
        points[i] = to_paper(view, &ring->points[i]);
    draw_scene_polygon(scene, style, ring->count, points);
}

static void draw_cloth(draw_scene *scene, const scrap_view *view,
                       const draw_cutting_scrap *scrap)
{
    const scrap_ring *outer = &scrap->outline->outer;
    if (scrap->picture != NULL) {
        g_autofree draw_point *points = g_new(draw_point, outer->count);
        for (int i = 0; i < outer->count; i++)
            points[i] = to_paper(view, &outer->points[i]);
        draw_point corner[3];
        for (int i = 0; i < 3; i++)
            corner[i] = to_paper(view, &scrap->picture_corner[i]);
        draw_scene_picture(scene, scrap->picture, corner, outer->count, points);
    } else {
        for (int i = 0; i < scrap->plan->squares; i++) {
            draw_point square[4];
            for (int k = 0; k < 4; k++)
                square[k] = to_paper(view, &scrap->plan->places[i].corners[k]);
            draw_scene_polygon(scene, &DRAW_FILL(DRAW_TINT_1), 4, square);
        }
    }
    draw_style edge = DRAW_STROKE(DRAW_INK, DRAW_PT(0.75));
    draw_ring(scene, view, &edge, outer);
    edge.fill.ink = DRAW_PAPER;
    for (int i = 0; i < scrap->outline->hole_count; i++)
        draw_ring(scene, view, &edge, &scrap->outline->holes[i]);
}

/* ---- Numbers of the cuts ---- */

/* Numbers that were put down, by their middles and widths; others keep off. */
typedef struct taken_spots {
    int count;
    struct {
        draw_point middle;
        length wide;
    } spots[256];
} taken_spots;

static const draw_text_style number_style = { .size = DRAW_PT(8),
                                              .bold = true,
                                              .align = DRAW_CENTRE };

static bool is_free(const taken_spots *taken, draw_point p, length wide)
{
    for (int i = 0; i < taken->count; i++) {
        length apart = (wide + taken->spots[i].wide) / 2;
        if (abs(p.x - taken->spots[i].middle.x) < apart &&
            abs(p.y - taken->spots[i].middle.y) < DRAW_PT(8))
            return false;
    }
    return true;
}

/* Beyond one end of the cut or the other, near or a little further out. Where all are
 * taken, lines lie closer than figures are high, and the neighbours' numbers tell. */
static void draw_number(draw_scene *scene, taken_spots *taken, draw_point from,
                        draw_point to, int number)
{
    static const int off_tenth_mm[] = { 24, 52 };
    double run = hypot(to.x - from.x, to.y - from.y);
    if (run < 1 || taken->count == (int)G_N_ELEMENTS(taken->spots))
        return;
    char text[16];
    g_snprintf(text, sizeof text, "%d", number);
    length wide = draw_text_width(&number_style, text) + DRAW_PT(1.5);
    for (int tries = 0; tries < 4; tries++) {
        draw_point end = tries % 2 ? to : from, other = tries % 2 ? from : to;
        double off = off_tenth_mm[tries / 2] * (LENGTH_MM / 10.0) / run;
        draw_point p = { end.x + (length)lround((end.x - other.x) * off),
                         end.y + (length)lround((end.y - other.y) * off) };
        if (!is_free(taken, p, wide))
            continue;
        draw_scene_rect(scene, &DRAW_FILL(DRAW_PAPER), p.x - wide / 2, p.y - DRAW_PT(3.8),
                        wide, DRAW_PT(7.6));
        draw_scene_text(scene, &number_style, p.x, p.y + DRAW_PT(2.8), text);
        taken->spots[taken->count].middle = p;
        taken->spots[taken->count++].wide = wide;
        return;
    }
}

static void draw_cuts(draw_scene *scene, const scrap_view *view, const scrap_plan *plan)
{
    draw_style halo = DRAW_STROKE(DRAW_PAPER, DRAW_PT(2.6));
    draw_style line = DRAW_STROKE(DRAW_INK, DRAW_PT(1));
    for (int pass = 0; pass < 2; pass++)
        for (int i = 0; i < plan->cut_count; i++) {
            draw_point a = to_paper(view, &plan->cuts[i].from);
            draw_point b = to_paper(view, &plan->cuts[i].to);
            draw_scene_line(scene, pass == 0 ? &halo : &line, a.x, a.y, b.x, b.y);
        }
    taken_spots taken = { 0 };
    for (int i = 0; i < plan->cut_count; i++)
        draw_number(scene, &taken, to_paper(view, &plan->cuts[i].from),
                    to_paper(view, &plan->cuts[i].to), i + 1);
}

/* ---- Scraps ---- */

static void draw_caption(draw_scene *scene, const draw_cutting_scrap *scrap, int scale,
                         draw_language language, length x, length y, length width)
{
    const draw_text_style name = { .size = DRAW_PT(11), .bold = true };
    const draw_text_style text = { .size = DRAW_PT(9.5) };
    const scrap_plan *plan = scrap->plan;
    char a[DRAW_COUNTED_SIZE], b[DRAW_COUNTED_SIZE], c[DRAW_COUNTED_SIZE],
        unit[LENGTH_TEXT_SIZE];
    g_autofree char *fabric =
        scrap->fabric == NULL ? NULL : draw_fabric_words(language, scrap->fabric);
    g_autofree char *line = fabric == NULL
                                ? g_strdup(scrap->name)
                                : g_strdup_printf("%s, %s", scrap->name, fabric);
    g_autofree char *fitted = draw_text_fit(&name, line, width);
    draw_scene_text(scene, &name, x, y + DRAW_PT(11), fitted);

    g_autofree char *squares = g_strdup_printf(
        draw_words(language, "%s of %s (at most %d) in %s, drawn 1 : %d"),
        draw_counted(language, plan->squares, "square", "squares", a),
        draw_unit(language, plan->unit, unit), plan->bound,
        draw_counted(language, plan->strips, "strip", "strips", b), scale);
    g_autofree char *fits = draw_text_fit(&text, squares, width);
    draw_scene_text(scene, &text, x, y + DRAW_PT(24), fits);

    g_autofree char *moves =
        g_strdup_printf(draw_words(language, "%s, %s, %s, about %.0f min"),
                        draw_counted(language, plan->effort.passes, "pass", "passes", a),
                        draw_counted(language, plan->effort.cuts, "cut", "cuts", b),
                        draw_counted(language, plan->effort.turns, "turn", "turns", c),
                        ceil(plan->effort.minutes));
    draw_scene_text(scene, &text, x, y + DRAW_PT(36), moves);

    draw_style line_to_write_on = DRAW_STROKE(DRAW_INK, DRAW_PT(0.5));
    const char *got = draw_words(language, "I got");
    length after = x + draw_text_width(&text, got) + DRAW_PT(3);
    draw_scene_text(scene, &text, x, y + DRAW_PT(50), got);
    draw_scene_line(scene, &line_to_write_on, after, y + DRAW_PT(51),
                    after + 18 * LENGTH_MM, y + DRAW_PT(51));
    draw_scene_text(scene, &text, after + 20 * LENGTH_MM, y + DRAW_PT(50),
                    draw_words(language, "squares"));
}

static void draw_scrap(draw_scene *scene, const draw_cutting_scrap *scrap,
                       scrap_view *view, draw_language language, length x, length y,
                       length width)
{
    draw_caption(scene, scrap, view->scale, language, x, y, width);
    view->x = x + AIR;
    view->y = y + CAPTION + AIR;
    draw_cloth(scene, view, scrap);
    draw_cuts(scene, view, scrap->plan);
}

/* "14 scraps, 50 squares, about 40 min" */
static char *sum_of(int count, const draw_cutting_scrap scraps[], draw_language language)
{
    char a[DRAW_COUNTED_SIZE], b[DRAW_COUNTED_SIZE];
    int squares = 0;
    double minutes = 0;
    for (int i = 0; i < count; i++) {
        squares += scraps[i].plan->squares;
        minutes += scraps[i].plan->effort.minutes;
    }
    return g_strdup_printf(draw_words(language, "%s, %s, about %.0f min"),
                           draw_counted(language, count, "scrap", "scraps", a),
                           draw_counted(language, squares, "square", "squares", b),
                           ceil(minutes));
}

/* The setting of the first scrap, and what all that share it come to. */
static void draw_group_heading(draw_flow *flow, int count,
                               const draw_cutting_scrap scraps[], length room)
{
    int alike = 1;
    while (alike < count && g_strcmp0(scraps[alike].setting, scraps[0].setting) == 0)
        alike++;
    g_autofree char *sum = sum_of(alike, scraps, flow->heading->language);
    g_autofree char *heading = g_strdup_printf("%s: %s", scraps[0].setting, sum);
    draw_flow_heading(flow, heading, room);
}

draw_scene *draw_cutting_sheet(int count, const draw_cutting_scrap scraps[],
                               const draw_heading *heading)
{
    draw_flow flow = draw_flow_begin(heading);
    draw_flow_paragraph(&flow, draw_words_of(heading->language, caution));
    g_autofree char *sum = sum_of(count, scraps, heading->language);
    g_autofree char *all = g_strdup_printf(
        draw_words(heading->language, "%s in all. Lay each scrap before you as it is "
                                      "drawn, and cut in the order of the numbers."),
        sum);
    draw_flow_paragraph(&flow, all);

    length width = (flow.frame.right - flow.frame.left - BETWEEN) / 2;
    for (int i = 0; i < count;) {
        const char *setting = scraps[i].setting;
        bool first = i == 0 || g_strcmp0(setting, scraps[i - 1].setting) != 0;
        int row = i + 1 < count && g_strcmp0(setting, scraps[i + 1].setting) == 0 ? 2 : 1;
        scrap_view view[2];
        length high = 0;
        for (int k = 0; k < row; k++) {
            view[k] = view_of(&scraps[i + k], width - 2 * AIR, HIGHEST);
            high = MAX(high, view[k].high);
        }
        high += CAPTION + 2 * AIR;
        if (first && setting != NULL)
            draw_group_heading(&flow, count - i, scraps + i, high);
        draw_flow_room(&flow, high);
        for (int k = 0; k < row; k++)
            draw_scrap(flow.scene, &scraps[i + k], &view[k], heading->language,
                       flow.frame.left + k * (width + BETWEEN), flow.y, width);
        flow.y += high;
        i += row;
    }
    return draw_flow_end(&flow);
}
