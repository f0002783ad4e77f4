#include "scene.h"

#include "base/card.h"
#include "base/random.h"
#include "photo/homography.h"

#include <math.h>
#include <string.h>
#include <vips/vips.h>

/* What a pixel shows; pixels whose corners show the same need one sample only, but for a
 * painted table, which changes everywhere. */
enum { PAINTED = 5 };
typedef struct surface {
    int what;
    float rgb[3]; /* linear albedo */
} surface;

/* Which pieces may lie in each cell of the ground that they all lie on, so that a pixel
 * need not try hundreds of them. */
enum { CELLS = 48 };
typedef struct ground {
    photo_point least, cell_in;
    GArray *lie[CELLS * CELLS]; /* int, the piece; NULL where none lies */
} ground;

/* The camera: a table point p becomes turn (p - place). */
typedef struct camera {
    double place[3];
    double turn[3][3]; /* rows: right, down, forward */
    double focal_px, k1;
    double back[9]; /* rays to the table's plane */
} camera;

void scene_default(scene *ret_scene)
{
    *ret_scene = (scene){
        .width = 1600,
        .height = 1200,
        .focal_35mm = 26,
        .focal_factor = 1,
        .target_in = { 6, -4 },
        .distance_in = 20,
        .mat = { 30, 74, 58 },
        .grid = { 30, 74, 58 },
        .card_count = 1,
        .card = { { .scale = 1 } },
        .exposure = 0.85,
        .gain = { 1, 1, 1 },
        .fall_off = 1,
        .blur_px = 0.7,
        .noise = 1.5,
        .seed = 1,
    };
}

static double to_linear(double v)
{
    return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
}

static double to_srgb(double v)
{
    return v <= 0.0031308 ? 12.92 * v : 1.055 * pow(v, 1 / 2.4) - 0.055;
}

/* A surface by its colour; a table, since a photo asks for millions. */
static surface surface_of(int what, colour_srgb8 colour)
{
    static gsize once = 0;
    static float linear[256];
    if (g_once_init_enter(&once)) {
        for (int i = 0; i < 256; i++)
            linear[i] = (float)to_linear(i / 255.0);
        g_once_init_leave(&once, 1);
    }
    return (surface){ what, { linear[colour.r], linear[colour.g], linear[colour.b] } };
}

static camera make_camera(const scene *drawn)
{
    double tilt = drawn->tilt_deg * G_PI / 180, azimuth = drawn->azimuth_deg * G_PI / 180;
    double roll = drawn->roll_deg * G_PI / 180;
    camera cam = { .k1 = drawn->k1 };
    cam.focal_px = drawn->focal_35mm / hypot(36, 24) *
                   hypot(drawn->width, drawn->height) * drawn->focal_factor;
    double back[3] = { sin(tilt) * sin(azimuth), -sin(tilt) * cos(azimuth), cos(tilt) };
    cam.place[0] = drawn->target_in.x + drawn->distance_in * back[0];
    cam.place[1] = drawn->target_in.y + drawn->distance_in * back[1];
    cam.place[2] = drawn->distance_in * back[2];

    /* right = forward x (table's y), down = forward x right, then rolled. */
    double right[3] = { back[2], 0, -back[0] };
    double norm = hypot(right[0], right[2]);
    right[0] /= norm;
    right[2] /= norm;
    double down[3] = { right[1] * back[2] - right[2] * back[1],
                       right[2] * back[0] - right[0] * back[2],
                       right[0] * back[1] - right[1] * back[0] };
    for (int i = 0; i < 3; i++) {
        cam.turn[0][i] = cos(roll) * right[i] + sin(roll) * down[i];
        cam.turn[1][i] = -sin(roll) * right[i] + cos(roll) * down[i];
        cam.turn[2][i] = -back[i];
    }
    return cam;
}

static void table_to_ray(const camera *cam, double ret_h[static 9])
{
    for (int i = 0; i < 3; i++) {
        const double *row = cam->turn[i];
        ret_h[3 * i] = row[0];
        ret_h[3 * i + 1] = row[1];
        ret_h[3 * i + 2] =
            -row[0] * cam->place[0] - row[1] * cam->place[1] - row[2] * cam->place[2];
    }
}

photo_pose scene_truth(const scene *drawn)
{
    camera cam = make_camera(drawn);
    photo_pose truth = {
        .centre_px = { drawn->width / 2.0, drawn->height / 2.0 },
        .lens = { .focal_px = cam.focal_px, .k1 = cam.k1 },
        .tilt_deg = drawn->tilt_deg,
    };
    table_to_ray(&cam, truth.table_to_ray);
    return truth;
}

/* Where a ray from the camera meets the height z. */
static photo_point meet(const camera *cam, photo_point ray, double z)
{
    double along[3];
    for (int i = 0; i < 3; i++)
        along[i] = cam->turn[0][i] * ray.x + cam->turn[1][i] * ray.y + cam->turn[2][i];
    double t = (z - cam->place[2]) / along[2];
    return (photo_point){ cam->place[0] + t * along[0], cam->place[1] + t * along[1] };
}

static photo_point into_card(const scene_card *card, photo_point at)
{
    double x = at.x - card->centre_in.x, y = at.y - card->centre_in.y;
    if (card->angle_rad == 0)
        return (photo_point){ x / card->scale, y / card->scale };
    double c = cos(card->angle_rad), s = sin(card->angle_rad);
    return (photo_point){ (c * x + s * y) / card->scale, (-s * x + c * y) / card->scale };
}

static double paper_height(const scene_card *card, double x, double y)
{
    return card->bow_x * x * x + card->bow_y * y * y + card->curl * x * y;
}

/* Its lowest point lies on the table: a quadric on a rectangle is least at the middle, a
 * side's middle or a corner, but for saddles by a little. */
static double card_height(const scene_card *card, photo_point on)
{
    double w = length_to_inches(CARD_WIDTH) / 2, h = length_to_inches(CARD_HEIGHT) / 2,
           least = 0;
    for (int i = -1; i <= 1; i++)
        for (int j = -1; j <= 1; j++)
            least = fmin(least, paper_height(card, i * w, j * h));
    return paper_height(card, on.x, on.y) - least;
}

/* The card's face where a ray meets it; false beside it. */
static bool look_at_card(const camera *cam, const scene_card *card, photo_point ray,
                         photo_point at, surface *ret)
{
    photo_point on = into_card(card, at);
    if (card->bow_x != 0 || card->bow_y != 0 || card->curl != 0) {
        if (fabs(on.x) > 5 || fabs(on.y) > 4)
            return false;
        for (int turn = 0; turn < 4; turn++)
            on = into_card(card, meet(cam, ray, card_height(card, on)));
    }
    if (fabs(on.x) > length_to_inches(CARD_WIDTH) / 2 ||
        fabs(on.y) > length_to_inches(CARD_HEIGHT) / 2)
        return false;
    bool black = fabs(on.y) < 0.01 && fabs(on.x) < length_to_inches(CARD_RULE) / 2;
    int id = card->first_id + (on.y > 0 ? (on.x < 0 ? 0 : 1) : (on.x < 0 ? 3 : 2));
    length x, y;
    card_tag_centre(id, &x, &y);
    double cell = length_to_inches(CARD_TAG_CELL);
    int column = (int)floor((on.x - length_to_inches(x)) / cell) + CARD_TAG_CELLS / 2;
    int row = (int)floor((length_to_inches(y) - on.y) / cell) + CARD_TAG_CELLS / 2;
    black = black || card_tag_black(id, column, row);
    *ret = black ? surface_of(1, (colour_srgb8){ CARD_INK_SRGB })
                 : surface_of(2, (colour_srgb8){ CARD_PAPER_SRGB });
    return true;
}

bool scene_inside(int count, const photo_point *corners, photo_point at)
{
    bool in = false;
    for (int i = 0, j = count - 1; i < count; j = i++) {
        photo_point a = corners[i], b = corners[j];
        if ((a.y > at.y) != (b.y > at.y) &&
            at.x < (b.x - a.x) * (at.y - a.y) / (b.y - a.y) + a.x)
            in = !in;
    }
    return in;
}

static void box_of(const scene_piece *piece, photo_point *least, photo_point *most)
{
    for (int i = 0; i < piece->count; i++) {
        const photo_point at = piece->corners_in[i];
        *least = (photo_point){ fmin(least->x, at.x), fmin(least->y, at.y) };
        *most = (photo_point){ fmax(most->x, at.x), fmax(most->y, at.y) };
    }
}

/* The cell of a coordinate; outside 0 to CELLS - 1 beside the ground. */
static double cell_of(double at, double least, double cell_in)
{
    return floor((at - least) / cell_in);
}

static ground *ground_new(const scene *drawn)
{
    ground *pieces = g_new0(ground, 1);
    photo_point most = { -INFINITY, -INFINITY };
    pieces->least = (photo_point){ INFINITY, INFINITY };
    for (int i = 0; i < drawn->piece_count; i++)
        box_of(&drawn->piece[i], &pieces->least, &most);
    /* a hair more, so that the far edge lies in the last cell */
    pieces->cell_in.x = (most.x - pieces->least.x) * 1.000001 / CELLS;
    pieces->cell_in.y = (most.y - pieces->least.y) * 1.000001 / CELLS;
    for (int i = 0; i < drawn->piece_count; i++) {
        photo_point from = { INFINITY, INFINITY }, to = { -INFINITY, -INFINITY };
        box_of(&drawn->piece[i], &from, &to);
        for (double y = cell_of(from.y, pieces->least.y, pieces->cell_in.y);
             y <= cell_of(to.y, pieces->least.y, pieces->cell_in.y); y++)
            for (double x = cell_of(from.x, pieces->least.x, pieces->cell_in.x);
                 x <= cell_of(to.x, pieces->least.x, pieces->cell_in.x); x++) {
                GArray **lie = &pieces->lie[(int)y * CELLS + (int)x];
                if (*lie == NULL)
                    *lie = g_array_new(FALSE, FALSE, sizeof i);
                g_array_append_val(*lie, i);
            }
    }
    return pieces;
}

static void ground_free(ground *pieces)
{
    for (int i = 0; i < CELLS * CELLS; i++)
        g_clear_pointer(&pieces->lie[i], g_array_unref);
    g_free(pieces);
}
G_DEFINE_AUTOPTR_CLEANUP_FUNC(ground, ground_free)

/* The topmost piece at a point; -1 where none lies. */
static int piece_at(const scene *drawn, const ground *pieces, photo_point at)
{
    double x = cell_of(at.x, pieces->least.x, pieces->cell_in.x);
    double y = cell_of(at.y, pieces->least.y, pieces->cell_in.y);
    if (!(x >= 0 && x < CELLS && y >= 0 && y < CELLS))
        return -1;
    const GArray *lie = pieces->lie[(int)y * CELLS + (int)x];
    for (guint i = lie != NULL ? lie->len : 0; i-- > 0;) {
        int piece = g_array_index(lie, int, i);
        if (scene_inside(drawn->piece[piece].count, drawn->piece[piece].corners_in, at))
            return piece;
    }
    return -1;
}

/* Between the pixels of a painted table. */
static surface look_at_table(const scene_table *top, photo_point at)
{
    double x = (at.x - top->least_in.x) * top->per_in - 0.5;
    double y = (at.y - top->least_in.y) * top->per_in - 0.5;
    x = CLAMP(x, 0, top->width - 1.001);
    y = CLAMP(y, 0, top->height - 1.001);
    size_t row = 3 * (size_t)top->width;
    const float *from = top->rgb + (size_t)y * row + 3 * (size_t)x;
    float u = (float)(x - floor(x)), v = (float)(y - floor(y));
    surface seen = { .what = PAINTED };
    for (size_t k = 0; k < 3; k++)
        seen.rgb[k] = (from[k] * (1 - u) + from[k + 3] * u) * (1 - v) +
                      (from[k + row] * (1 - u) + from[k + row + 3] * u) * v;
    return seen;
}

static surface look(const scene *drawn, const ground *pieces, const camera *cam,
                    photo_point ray)
{
    photo_point at;
    if (!photo_homography_map(cam->back, ray, &at))
        return surface_of(0, (colour_srgb8){ 128, 128, 128 });
    int top = piece_at(drawn, pieces, at);
    if (top >= 0) {
        const scene_piece *piece = &drawn->piece[top];
        bool odd = piece->stripe_in > 0 &&
                   (int)floor((at.x + 0.3 * at.y) / piece->stripe_in) % 2 != 0;
        return surface_of(10 + 2 * top + odd, odd ? piece->other : piece->colour);
    }
    surface found;
    for (int i = drawn->card_count - 1; i >= 0; i--)
        if (look_at_card(cam, &drawn->card[i], ray, at, &found))
            return found;
    if (drawn->table != NULL)
        return look_at_table(drawn->table, at);
    if (fabs(at.x - round(at.x)) < 0.01 || fabs(at.y - round(at.y)) < 0.01)
        return surface_of(3, drawn->grid);
    return surface_of(4, drawn->mat);
}

/* The ray through a point of the picture. */
static photo_point ray_at(const scene *drawn, const camera *cam, double x_px, double y_px)
{
    double u = (x_px - drawn->width / 2.0) / cam->focal_px;
    double v = (y_px - drawn->height / 2.0) / cam->focal_px;
    /* by (1 + k1 (by bent)^2) = 1, by Newton. */
    double k = cam->k1 * (u * u + v * v), by = 1;
    for (int turn = 0; turn < 3 && k != 0; turn++)
        by -= (by * (1 + k * by * by) - 1) / (1 + 3 * k * by * by);
    return (photo_point){ u * by, v * by };
}

/* Linear light of every pixel, sharp. */
static float *draw(const scene *drawn, const camera *cam)
{
    g_autoptr(ground) pieces = ground_new(drawn);
    size_t width = (size_t)drawn->width, height = (size_t)drawn->height;
    float *light = g_new(float, 3 * width * height);
    g_autofree surface *corners = g_new(surface, 2 * (width + 1));
    surface *above = corners, *below = corners + width + 1;
    for (size_t c = 0; c <= width; c++)
        below[c] = look(drawn, pieces, cam, ray_at(drawn, cam, (double)c, 0));
    for (size_t r = 0; r < height; r++) {
        surface *other = above;
        above = below;
        below = other;
        for (size_t c = 0; c <= width; c++)
            below[c] =
                look(drawn, pieces, cam, ray_at(drawn, cam, (double)c, (double)r + 1));
        for (size_t c = 0; c < width; c++) {
            /* Nothing drawn is thinner than a pixel, so what the corners agree on is all
             * that the pixel shows. */
            float *out = light + 3 * (r * width + c);
            memcpy(out, above[c].rgb, sizeof above[c].rgb);
            bool alike = above[c + 1].what == above[c].what &&
                         below[c].what == above[c].what &&
                         below[c + 1].what == above[c].what;
            if (alike && above[c].what != PAINTED)
                continue;
            int fine = alike ? 2 : 4;
            out[0] = out[1] = out[2] = 0;
            for (int s = 0; s < fine * fine; s++) {
                surface seen =
                    look(drawn, pieces, cam,
                         ray_at(drawn, cam, (double)c + (s % fine + 0.5) / fine,
                                (double)r + (s / fine + 0.5) / fine));
                for (int band = 0; band < 3; band++)
                    out[band] += seen.rgb[band] / (float)(fine * fine);
            }
        }
    }
    return light;
}

static void shine(const scene *drawn, float *light)
{
    double turn = drawn->fall_deg * G_PI / 180;
    g_autofree double *across = g_new(double, drawn->width);
    for (int c = 0; c < drawn->width; c++)
        across[c] = drawn->exposure *
                    pow(drawn->fall_off, cos(turn) * (0.5 - (c + 0.5) / drawn->width));
    double middle_x = drawn->width / 2.0, middle_y = drawn->height / 2.0;
    for (int r = 0; r < drawn->height; r++) {
        double down = pow(drawn->fall_off, sin(turn) * (0.5 - (r + 0.5) / drawn->height));
        for (int c = 0; c < drawn->width; c++) {
            float *out = light + 3 * ((size_t)r * (size_t)drawn->width + (size_t)c);
            double burnt = 0;
            if (drawn->glare_in > 0) {
                double from = hypot(c - middle_x, r - middle_y) / drawn->width;
                burnt = 2 * exp(-pow(from * drawn->distance_in / drawn->glare_in, 4));
            }
            for (int band = 0; band < 3; band++)
                out[band] =
                    (float)(out[band] * across[c] * down * drawn->gain[band] + burnt);
        }
    }
}

/* One pass of a Gaussian over lines of pixels; step is the distance between neighbours.
 */
static void blur_lines(float *light, int lines, size_t line_step, int pixels, size_t step,
                       double sigma)
{
    int reach = (int)ceil(3 * sigma);
    g_autofree float *weights = g_new(float, reach + 1);
    float sum = 0;
    for (int i = 0; i <= reach; i++) {
        weights[i] = (float)exp(-i * i / (2 * sigma * sigma));
        sum += i == 0 ? weights[i] : 2 * weights[i];
    }
    for (int i = 0; i <= reach; i++)
        weights[i] /= sum;
    g_autofree float *line = g_new(float, 3 * (pixels + 2 * reach));
    for (int l = 0; l < lines; l++) {
        float *at = light + (size_t)l * line_step;
        for (int i = -reach; i < pixels + reach; i++)
            memcpy(line + 3 * (i + reach), at + (size_t)CLAMP(i, 0, pixels - 1) * step,
                   3 * sizeof *line);
        for (int i = 0; i < pixels; i++)
            for (int band = 0; band < 3; band++) {
                const float *from = line + 3 * (i + reach) + band;
                float total = weights[0] * from[0];
                for (int k = 1; k <= reach; k++)
                    total += weights[k] * (from[3 * k] + from[-3 * k]);
                at[(size_t)i * step + (size_t)band] = total;
            }
    }
}

static void blur(const scene *drawn, float *light, double sigma)
{
    size_t width = (size_t)drawn->width;
    blur_lines(light, drawn->height, 3 * width, drawn->width, 3, sigma);
    blur_lines(light, drawn->width, 3, drawn->height, 3 * width, sigma);
}

/* What a phone does to please: steps of light are made steeper. */
static void sharpen(const scene *drawn, float *light)
{
    size_t values = 3 * (size_t)drawn->width * (size_t)drawn->height;
    g_autofree float *soft = g_memdup2(light, values * sizeof *light);
    blur(drawn, soft, 1.2);
    for (size_t i = 0; i < values; i++)
        light[i] += (float)drawn->sharpen * (light[i] - soft[i]);
}

uint8_t *scene_pixels(const scene *drawn)
{
    camera cam = make_camera(drawn);
    double h[9];
    table_to_ray(&cam, h);
    photo_homography_invert(h, cam.back);
    g_autofree float *light = draw(drawn, &cam);
    shine(drawn, light);
    if (drawn->blur_px > 0)
        blur(drawn, light, drawn->blur_px);
    if (drawn->sharpen > 0)
        sharpen(drawn, light);
    size_t values = 3 * (size_t)drawn->width * (size_t)drawn->height;
    uint8_t *rgb = g_malloc(values);
    /* A table of noise costs less than a fresh draw for every value. */
    enum { DRAWS = 65521 };
    g_autofree float *noise = g_new(float, DRAWS);
    motley_random random;
    motley_random_seed(&random, drawn->seed);
    for (int i = 0; i < DRAWS; i++)
        noise[i] = (float)(drawn->noise * motley_random_normal(&random));
    enum { CODES = 8192 };
    g_autofree float *codes = g_new(float, CODES + 1);
    for (int i = 0; i <= CODES; i++)
        codes[i] = (float)(255 * to_srgb((double)i / CODES));
    for (size_t i = 0; i < values; i++) {
        float v = CLAMP(light[i], 0, 1);
        rgb[i] = (uint8_t)CLAMP(lrintf(codes[(int)(v * CODES + 0.5f)] + noise[i % DRAWS]),
                                0, 255);
    }
    return rgb;
}

photo_picture *scene_picture(const scene *drawn)
{
    photo_picture *picture = g_new0(photo_picture, 1);
    picture->width = picture->columns = drawn->width;
    picture->height = picture->rows = drawn->height;
    picture->shrink = 1;
    picture->rgb = scene_pixels(drawn);
    picture->focal_px =
        drawn->focal_35mm / hypot(36, 24) * hypot(drawn->width, drawn->height);
    return picture;
}

/* Upright pixels as they are stored when the file says this EXIF orientation. */
static VipsImage *turn_stored(VipsImage *upright, int orientation)
{
    static const struct {
        VipsAngle turn;
        bool mirror;
    } turns[9] = {
        { VIPS_ANGLE_D0, false },   { VIPS_ANGLE_D0, false },  { VIPS_ANGLE_D0, true },
        { VIPS_ANGLE_D180, false }, { VIPS_ANGLE_D180, true }, { VIPS_ANGLE_D90, true },
        { VIPS_ANGLE_D270, false }, { VIPS_ANGLE_D270, true }, { VIPS_ANGLE_D90, false },
    };
    VipsImage *turned, *stored;
    if (vips_rot(upright, &turned, turns[orientation].turn, NULL) != 0)
        return NULL;
    if (!turns[orientation].mirror)
        return turned;
    int failed = vips_flip(turned, &stored, VIPS_DIRECTION_HORIZONTAL, NULL);
    g_object_unref(turned);
    return failed ? NULL : stored;
}

GBytes *scene_jpeg(const scene *drawn, int quality, int orientation)
{
    if (VIPS_INIT("scene") != 0)
        g_error("libvips: %s", vips_error_buffer());
    g_autofree uint8_t *rgb = scene_pixels(drawn);
    VipsImage *upright = vips_image_new_from_memory_copy(
        rgb, 3 * (size_t)drawn->width * (size_t)drawn->height, drawn->width,
        drawn->height, 3, VIPS_FORMAT_UCHAR);
    VipsImage *turned = turn_stored(upright, orientation);
    VipsImage *stored;
    if (turned == NULL ||
        vips_copy(turned, &stored, "interpretation", VIPS_INTERPRETATION_sRGB, NULL) != 0)
        g_error("libvips: %s", vips_error_buffer());
    g_autofree char *focal = g_strdup_printf("%.0f", drawn->focal_35mm);
    vips_image_set_int(stored, VIPS_META_ORIENTATION, orientation);
    vips_image_set_string(stored, "exif-ifd2-FocalLengthIn35mmFilm", focal);
    vips_image_set_string(stored, "exif-ifd0-Model", "Drawn camera");
    void *bytes;
    size_t size;
    if (vips_jpegsave_buffer(stored, &bytes, &size, "Q", quality, NULL) != 0)
        g_error("libvips: %s", vips_error_buffer());
    g_object_unref(stored);
    g_object_unref(turned);
    g_object_unref(upright);
    return g_bytes_new_take(bytes, size);
}
