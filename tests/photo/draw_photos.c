/* draw-photos: photos of scraps drawn for `score-photos`, with their truth.
 *
 * usage: draw-photos DIR COUNT [SEED]
 *
 * Writes DIR/drawn-NN.jpg of 12 MP and DIR/drawn-NN.json, in the form that
 * tests/photos/README.md describes. Surface, light, camera, lens, blur, cards and scraps
 * are drawn by lot; the same seed draws the same photos. Some 60 cloths come back from
 * photo to photo. All of it is invented. */
#include "colour/lab.h"
#include "tabletop/table.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { SCRAPS_MAX = 40, CLOTHS = 60, OUTLINE_MAX = SHAPE_POINTS_MAX };

static const double per_in = 180; /* of the painted table: some more than a photo's */

typedef struct laid_scrap {
    table_scrap lies;
    cloth print;
    int print_number;
    int touches, under; /* numbers of others; 0 none */
    int count;
    photo_point *outline;
} laid_scrap;

typedef struct drawn_photo {
    motley_random random;
    scene seen;
    photo_pose pose;
    const table_surface *wood, *mat; /* mat NULL: scraps lie on the wood */
    photo_point mat_corner, mat_size;
    double mat_turn;
    int count;
    laid_scrap scrap[SCRAPS_MAX];
} drawn_photo;

static double between(drawn_photo *p, double least, double most)
{
    return cloth_between(&p->random, least, most);
}

static bool chance(drawn_photo *p, double share)
{
    return motley_random_unit(&p->random) < share;
}

static bool in_picture(const drawn_photo *p, photo_point at)
{
    photo_point px;
    return photo_pose_to_px(&p->pose, at, &px) && px.x > 40 && px.y > 40 &&
           px.x < p->seen.width - 40 && px.y < p->seen.height - 40;
}

static bool shows_card(const drawn_photo *p, const scene_card *card)
{
    for (int i = 0; i < 4; i++) {
        double x = i % 2 ? 3.5 : -3.5, y = i / 2 ? 2.5 : -2.5;
        double c = cos(card->angle_rad), s = sin(card->angle_rad);
        if (!in_picture(p, (photo_point){ card->centre_in.x + c * x - s * y,
                                          card->centre_in.y + s * x + c * y }))
            return false;
    }
    return true;
}

/* The phone, the light and the cards, as the lot falls. */
static void set_up_once(drawn_photo *p)
{
    scene *s = &p->seen;
    scene_default(s);
    bool tall = chance(p, 0.3);
    s->width = tall ? 3000 : 4000;
    s->height = tall ? 4000 : 3000;
    s->focal_35mm = 24 + motley_random_below(&p->random, 5);
    s->focal_factor = between(p, 0.985, 1.015);
    s->k1 = between(p, -0.004, 0.004);
    s->target_in = (photo_point){ between(p, 4, 7), between(p, -5, -2) };
    s->distance_in = between(p, 17, 24);
    s->tilt_deg = between(p, 2, 28);
    s->azimuth_deg = between(p, -25, 25);
    s->roll_deg = between(p, -8, 8);
    s->exposure = between(p, 0.55, 0.95);
    s->fall_off = between(p, 1, 2.2);
    s->fall_deg = between(p, 0, 360);
    s->gain[0] = between(p, 0.9, 1.12);
    s->gain[2] = between(p, 0.8, 1.1);
    s->blur_px = between(p, 0.6, 1.6);
    s->sharpen = chance(p, 0.6) ? between(p, 0.2, 0.8) : 0;
    s->noise = between(p, 1, 3.5);
    s->card[0].bow_x = between(p, -0.0015, 0.0015);
    s->card[0].bow_y = between(p, -0.0015, 0.0015);
    if (chance(p, 0.3)) {
        s->card_count = 2;
        s->card[1] =
            (scene_card){ .first_id = 4,
                          .centre_in = { between(p, 10, 12), between(p, -9, -7) },
                          .angle_rad = between(p, -0.5, 0.5),
                          .scale = 1 };
    }
    s->seed = motley_random_bits(&p->random);
    p->pose = scene_truth(s);
}

static void set_up(drawn_photo *p)
{
    bool all_shown;
    do {
        set_up_once(p);
        all_shown = true;
        for (int i = 0; i < p->seen.card_count; i++)
            all_shown = all_shown && shows_card(p, &p->seen.card[i]);
    } while (!all_shown);
}

static void choose_surface(drawn_photo *p)
{
    int tables = table_surface_count - table_mats;
    p->wood =
        &table_surfaces[table_mats + (int)motley_random_below(&p->random, (guint)tables)];
    if (chance(p, 0.35))
        return;
    p->mat = &table_surfaces[motley_random_below(&p->random, (guint)table_mats)];
    p->mat_turn = between(p, -0.1, 0.1);
    bool large = chance(p, 0.5);
    p->mat_size = large ? (photo_point){ 36, 24 } : (photo_point){ 24, 18 };
    p->mat_corner = large ? (photo_point){ between(p, -12, -8), between(p, -17, -12) }
                          : (photo_point){ between(p, -6, -4.5), between(p, -13, -11) };
}

static bool on_surface(const drawn_photo *p, photo_point at)
{
    if (p->mat == NULL)
        return true;
    double dx = at.x - p->mat_corner.x, dy = at.y - p->mat_corner.y;
    double x = cos(p->mat_turn) * dx + sin(p->mat_turn) * dy;
    double y = -sin(p->mat_turn) * dx + cos(p->mat_turn) * dy;
    return x > 0.3 && y > 0.3 && x < p->mat_size.x - 0.3 && y < p->mat_size.y - 0.3;
}

static bool clear_of_cards(const drawn_photo *p, photo_point at)
{
    for (int i = 0; i < p->seen.card_count; i++) {
        const scene_card *card = &p->seen.card[i];
        double dx = at.x - card->centre_in.x, dy = at.y - card->centre_in.y;
        double c = cos(card->angle_rad), s = sin(card->angle_rad);
        if (fabs(c * dx + s * dy) < 3.8 && fabs(-s * dx + c * dy) < 2.8)
            return false;
    }
    return true;
}

/* The least distance of two outlines; 0 where they overlap. */
static double gap(const laid_scrap *a, const laid_scrap *b)
{
    if (scene_inside(a->count, a->outline, b->outline[0]) ||
        scene_inside(b->count, b->outline, a->outline[0]))
        return 0;
    double least = INFINITY;
    for (int i = 0; i < a->count; i += 2)
        for (int k = 0; k < b->count; k += 2)
            least = fmin(least, hypot(a->outline[i].x - b->outline[k].x,
                                      a->outline[i].y - b->outline[k].y));
    return least;
}

/* Whether there is room for it, but for the one that it is to lie against. */
static bool fits(const drawn_photo *p, const laid_scrap *scrap, int against)
{
    for (int i = 0; i < scrap->count; i++)
        if (!in_picture(p, scrap->outline[i]) || !on_surface(p, scrap->outline[i]) ||
            !clear_of_cards(p, scrap->outline[i]))
            return false;
    for (int i = 0; i < p->count; i++)
        if (p->scrap[i].lies.number != against && gap(&p->scrap[i], scrap) < 0.13)
            return false;
    return true;
}

static void follow(laid_scrap *scrap)
{
    scrap->outline = g_renew(photo_point, scrap->outline, OUTLINE_MAX);
    scrap->count = shape_outline(&scrap->lies.laid, scrap->lies.seed, scrap->outline);
}

static laid_scrap cut_scrap(drawn_photo *p)
{
    double size = motley_random_unit(&p->random);
    double area = size < 0.2   ? between(p, 0.5, 1.2)
                  : size < 0.8 ? between(p, 1.2, 9)
                               : between(p, 9, 45);
    laid_scrap scrap = { .print_number = (int)motley_random_below(&p->random, CLOTHS) };
    scrap.print = cloth_of((uint64_t)scrap.print_number);
    scrap.lies.laid = shape_draw(&p->random, area);
    scrap.lies.bolt_in = (photo_point){ between(p, 0, 40), between(p, 0, 40) };
    scrap.lies.grain_rad = between(p, 0, 2 * G_PI);
    scrap.lies.crease = chance(p, 0.3) ? between(p, 0.05, 0.2) : 0;
    scrap.lies.seed = motley_random_bits(&p->random);
    return scrap;
}

static bool lay_by_lot(drawn_photo *p, laid_scrap *scrap)
{
    shape form = scrap->lies.laid;
    for (int trial = 0; trial < 200; trial++) {
        photo_point at = { between(p, -13, 24), between(p, -18, 10) };
        scrap->lies.laid = shape_laid(&form, at, between(p, 0, 2 * G_PI));
        follow(scrap);
        if (fits(p, scrap, 0))
            return true;
    }
    return false;
}

/* Against a scrap that lies there: moved up to it until they meet, or a little further so
 * that it lies over. */
static bool lay_against(drawn_photo *p, laid_scrap *scrap, laid_scrap *other)
{
    shape form = scrap->lies.laid;
    photo_point middle = { 0 };
    for (int i = 0; i < other->count; i++) {
        middle.x += other->outline[i].x / other->count;
        middle.y += other->outline[i].y / other->count;
    }
    bool over = chance(p, 0.5);
    for (int trial = 0; trial < 60; trial++) {
        double from = between(p, 0, 2 * G_PI), turn = between(p, 0, 2 * G_PI);
        for (double away = 9; away > 0; away -= 0.03) {
            photo_point at = { middle.x + away * cos(from), middle.y + away * sin(from) };
            scrap->lies.laid = shape_laid(&form, at, turn);
            follow(scrap);
            if (gap(scrap, other) > 0.03)
                continue;
            away -= over ? 0.5 : 0.02;
            at =
                (photo_point){ middle.x + away * cos(from), middle.y + away * sin(from) };
            scrap->lies.laid = shape_laid(&form, at, turn);
            follow(scrap);
            break;
        }
        if (!fits(p, scrap, other->lies.number))
            continue;
        *(over ? &scrap->under : &scrap->touches) = other->lies.number;
        return true;
    }
    return false;
}

static void lay_scraps(drawn_photo *p)
{
    int wanted = 8 + (int)motley_random_below(&p->random, 20);
    bool pairs = chance(p, 0.4);
    double light = p->seen.fall_deg * G_PI / 180;
    for (int i = 0; i < wanted; i++) {
        laid_scrap scrap = cut_scrap(p);
        scrap.lies.number = p->count + 1;
        scrap.lies.shade_in = (photo_point){ 0.025 * cos(light), -0.025 * sin(light) };
        laid_scrap *other = p->count > 0 ? &p->scrap[p->count - 1] : NULL;
        bool against = pairs && i % 6 == 5 && other != NULL &&
                       other->print_number != scrap.print_number;
        if (against ? lay_against(p, &scrap, other) : lay_by_lot(p, &scrap))
            p->scrap[p->count++] = scrap;
        else
            g_free(scrap.outline);
    }
}

/* The table as far as the picture shows it. */
static table *paint_table(drawn_photo *p)
{
    photo_point least = { 0, 0 }, most = { 0, 0 };
    for (int i = 0; i < 4; i++) {
        photo_point corner = { i % 2 ? p->seen.width : 0, i / 2 ? p->seen.height : 0 };
        photo_point at;
        if (!photo_pose_to_table(&p->pose, corner, &at))
            continue;
        least = (photo_point){ fmin(least.x, at.x - 0.5), fmin(least.y, at.y - 0.5) };
        most = (photo_point){ fmax(most.x, at.x + 0.5), fmax(most.y, at.y + 0.5) };
    }
    table *t = table_new(least, most, per_in, p->wood, motley_random_bits(&p->random));
    if (p->mat != NULL)
        table_lay_mat(t, p->mat, p->mat_corner, p->mat_turn, p->mat_size.x, p->mat_size.y,
                      motley_random_bits(&p->random));
    for (int i = 0; i < p->count; i++) {
        p->scrap[i].lies.print = &p->scrap[i].print;
        table_lay_scrap(t, &p->scrap[i].lies);
    }
    return t;
}

static json_t *point_json(photo_point at)
{
    return json_pack("[f,f]", at.x, at.y);
}

static json_t *camera_json(const drawn_photo *p)
{
    const photo_pose *pose = &p->pose;
    json_t *rows = json_array();
    for (int r = 0; r < 3; r++) {
        double by = r < 2 ? pose->lens.focal_px : 1;
        double centre = r == 0 ? pose->centre_px.x : r == 1 ? pose->centre_px.y : 0;
        json_t *row = json_array();
        for (int c = 0; c < 3; c++)
            json_array_append_new(row, json_real(by * pose->table_to_ray[3 * r + c] +
                                                 centre * pose->table_to_ray[6 + c]));
        json_array_append_new(rows, row);
    }
    return json_pack("{s:f,s:f,s:f,s:f,s:o,s:o}", "blur_px", p->seen.blur_px, "focal_px",
                     pose->lens.focal_px, "k1", pose->lens.k1, "tilt_deg",
                     p->seen.tilt_deg, "principal_point_upright_px",
                     point_json(pose->centre_px),
                     "homography_table_to_upright_px_undistorted", rows);
}

static json_t *others_json(int number)
{
    json_t *list = json_array();
    if (number > 0)
        json_array_append_new(list, json_integer(number));
    return list;
}

static json_t *scrap_json(const drawn_photo *p, const laid_scrap *scrap, const table *t)
{
    const table_surface *under = p->mat != NULL ? p->mat : p->wood;
    colour_lab ground = colour_lab_from_srgb8(under->base);
    double rgb[3], visible = table_visible(t, scrap->lies.number, rgb);
    colour_lab mean = colour_lab_from_linear((colour_linear){ rgb[0], rgb[1], rgb[2] });
    json_t *outline = json_array();
    for (int i = 0; i < scrap->count; i++)
        json_array_append_new(outline, point_json(scrap->outline[i]));
    int covered = 0;
    for (int i = 0; i < p->count; i++)
        if (p->scrap[i].under == scrap->lies.number)
            covered = p->scrap[i].lies.number;
    g_autofree char *fabric = g_strdup_printf("C%02d", scrap->print_number);
    return json_pack(
        "{s:i,s:s,s:f,s:f,s:f,s:o,s:o,s:o,s:o}", "id", scrap->lies.number, "fabric",
        fabric, "area_in2", shape_area(scrap->count, scrap->outline), "visible_area_in2",
        visible, "delta_e76_to_surface", colour_delta_e76(&ground, &mean), "outline",
        outline, "touches", others_json(scrap->touches), "lies_over",
        others_json(scrap->under), "lies_under", others_json(covered));
}

static json_t *truth_json(const drawn_photo *p, const table *t)
{
    json_t *scraps = json_array(), *cards = json_array();
    for (int i = 0; i < p->count; i++)
        json_array_append_new(scraps, scrap_json(p, &p->scrap[i], t));
    for (int i = 0; i < p->seen.card_count; i++)
        json_array_append_new(
            cards, json_pack("{s:o}", "centre", point_json(p->seen.card[i].centre_in)));
    return json_pack("{s:s,s:b,s:{s:s},s:o,s:o,s:o}", "kind", "scraps", "synthetic", 1,
                     "table_surface", "kind", (p->mat != NULL ? p->mat : p->wood)->name,
                     "cards", cards, "camera", camera_json(p), "scraps", scraps);
}

static bool write_photo(const char *folder, int number, uint64_t seed)
{
    drawn_photo p = { 0 };
    motley_random_seed(&p.random, seed + 1000 * (uint64_t)number);
    set_up(&p);
    choose_surface(&p);
    lay_scraps(&p);
    table *t = paint_table(&p);
    p.seen.table = &t->top;
    g_autoptr(GBytes) jpeg = scene_jpeg(&p.seen, 88, 1);
    g_autofree char *photo = g_strdup_printf("%s/drawn-%02d.jpg", folder, number);
    g_autofree char *truth = g_strdup_printf("%s/drawn-%02d.json", folder, number);
    json_t *root = truth_json(&p, t);
    gsize size;
    const char *bytes = g_bytes_get_data(jpeg, &size);
    bool done = g_file_set_contents(photo, bytes, (gssize)size, NULL) &&
                json_dump_file(root, truth, JSON_INDENT(1)) == 0;
    json_decref(root);
    table_free(t);
    for (int i = 0; i < p.count; i++)
        g_free(p.scrap[i].outline);
    return done;
}

int main(int argc, char **argv)
{
    if (argc != 3 && argc != 4) {
        fprintf(stderr, "usage: draw-photos DIR COUNT [SEED]\n");
        return 2;
    }
    uint64_t seed = argc == 4 ? strtoull(argv[3], NULL, 10) : 1;
    for (int i = 1; i <= atoi(argv[2]); i++)
        if (!write_photo(argv[1], i, seed)) {
            fprintf(stderr, "draw-photos: cannot write to %s\n", argv[1]);
            return 1;
        }
    return 0;
}
