#include "drawing.h"

#include "base/card.h"
#include "draw/card.h"

#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>

static char *card_pdf[DRAW_PAPERS];

static int print_cards(void **state)
{
    (void)state;
    static const char *const names[DRAW_PAPERS] = { "card-a4.pdf", "card-letter.pdf" };
    for (int paper = 0; paper < DRAW_PAPERS; paper++) {
        g_autoptr(draw_scene) scene = draw_card_sheet(paper, DRAW_ENGLISH);
        g_autoptr(GBytes) pdf = draw_scene_pdf(scene, NULL);
        assert_non_null(pdf);
        card_pdf[paper] = drawing_write(names[paper], pdf);
    }
    return 0;
}

static int throw_away(void **state)
{
    (void)state;
    for (int paper = 0; paper < DRAW_PAPERS; paper++)
        g_free(card_pdf[paper]);
    drawing_clean();
    return 0;
}

/* Sizes in points of 1/72 in: A4 of ISO 216 is 210 x 297 mm, letter of ANSI/ASME Y14.1
 * is 8 1/2 x 11 in. */
static void the_sheet_has_the_size_of_the_paper(void **state)
{
    (void)state;
    static const double want[DRAW_PAPERS][2] = { { 595.276, 841.890 }, { 612, 792 } };
    for (int paper = 0; paper < DRAW_PAPERS; paper++) {
        g_autofree char *info = drawing_run("pdfinfo -box -f 1 -l 2 %s", card_pdf[paper]);
        assert_non_null(strstr(info, "Pages:           2"));
        const char *at = info;
        for (int page = 1; page <= 2; page++) {
            at = strstr(at, " MediaBox:");
            assert_non_null(at);
            at += strlen(" MediaBox:");
            double x1, y1, x2, y2;
            assert_int_equal(sscanf(at, "%lf %lf %lf %lf", &x1, &y1, &x2, &y2), 4);
            /* pdfinfo prints boxes with two digits */
            if (fabs(x2 - x1 - want[paper][0]) > 0.01 ||
                fabs(y2 - y1 - want[paper][1]) > 0.01)
                fail_msg("paper %d: %.3f x %.3f pt", paper, x2 - x1, y2 - y1);
        }
    }
}

static void the_file_is_sound_and_carries_its_font(void **state)
{
    (void)state;
    for (int paper = 0; paper < DRAW_PAPERS; paper++) {
        g_autofree char *checked = drawing_run("qpdf --check %s", card_pdf[paper]);
        assert_non_null(strstr(checked, "No syntax or stream encoding errors found"));
        g_autofree char *fonts = drawing_run("pdffonts %s", card_pdf[paper]);
        g_auto(GStrv) lines = g_strsplit(g_strchomp(fonts), "\n", -1);
        assert_true(g_strv_length(lines) >= 4); /* a head of two lines, two weights */
        for (char **line = lines + 2; *line != NULL; line++) {
            if (strstr(*line, "MotleyHyperlegible") == NULL)
                fail_msg("a font from elsewhere: %s", *line);
            assert_non_null(strstr(*line, " yes yes ")); /* embedded, subset */
        }
    }
}

/* How far the print may be off; a pixel of 600 dpi is 0.042 mm. */
enum { DPI = 600 };
#define SLACK_MM 0.2

static double to_mm(double px)
{
    return px * 25.4 / DPI;
}

static zarray_t *detect(apriltag_detector_t *detector, const drawing_grey *grey)
{
    image_u8_t image = { .width = grey->width,
                         .height = grey->height,
                         .stride = grey->width,
                         .buf = grey->pixels };
    return apriltag_detector_detect(detector, &image);
}

/* Another program draws the page, a third finds the tags on it; the card's frame is then
 * laid through where they should be. */
static void the_tags_stand_where_the_card_has_them(void **state)
{
    (void)state;
    apriltag_family_t *family = tag36h11_create();
    apriltag_detector_t *detector = apriltag_detector_create();
    apriltag_detector_add_family(detector, family);
    detector->quad_decimate = 2;
    for (int paper = 0; paper < DRAW_PAPERS; paper++)
        for (int page = 0; page < CARD_KINDS; page++) {
            drawing_grey grey = drawing_raster(card_pdf[paper], page + 1, DPI);
            zarray_t *found = detect(detector, &grey);
            assert_int_equal(zarray_size(found), 4);
            double middle[2] = { 0, 0 };
            bool seen[4] = { false };
            for (int i = 0; i < 4; i++) {
                apriltag_detection_t *tag;
                zarray_get(found, i, &tag);
                assert_int_equal(tag->hamming, 0);
                assert_in_range(tag->id, 4 * page, 4 * page + 3);
                assert_false(seen[tag->id % 4]);
                seen[tag->id % 4] = true;
                middle[0] += tag->c[0] / 4;
                middle[1] += tag->c[1] / 4;
            }
            for (int i = 0; i < 4; i++) {
                apriltag_detection_t *tag;
                zarray_get(found, i, &tag);
                length x, y;
                card_tag_centre(tag->id, &x, &y);
                double off_x = to_mm(tag->c[0] - middle[0]) - length_to_mm(x);
                double off_y = to_mm(middle[1] - tag->c[1]) - length_to_mm(y);
                if (fabs(off_x) > SLACK_MM || fabs(off_y) > SLACK_MM)
                    fail_msg("paper %d tag %d is off by %.3f, %.3f mm", paper, tag->id,
                             off_x, off_y);
                for (int side = 0; side < 4; side++) {
                    const double *a = tag->p[side], *b = tag->p[(side + 1) % 4];
                    double mm = to_mm(hypot(b[0] - a[0], b[1] - a[1]));
                    if (fabs(mm - length_to_mm(CARD_TAG_SIDE)) > SLACK_MM)
                        fail_msg("paper %d tag %d: a side of %.3f mm", paper, tag->id,
                                 mm);
                }
            }
            apriltag_detections_destroy(found);
            g_free(grey.pixels);
        }
    apriltag_detector_destroy(detector);
    tag36h11_destroy(family);
}

/* Dark runs along a row of pixels: measured straight, without any detector. */
static void the_black_squares_measure_an_inch_and_a_quarter(void **state)
{
    (void)state;
    for (int paper = 0; paper < DRAW_PAPERS; paper++) {
        drawing_grey grey = drawing_raster(card_pdf[paper], 1, DPI);
        double middle_x =
            grey.width / 2.0; /* the card stands in the middle of the sheet */
        double edge[2] = { length_to_inches(CARD_TAG_X - CARD_TAG_SIDE / 2) * DPI,
                           length_to_inches(CARD_TAG_X + CARD_TAG_SIDE / 2) * DPI };
        int rows = 0;
        for (int y = 0; y < grey.height; y++) {
            const guint8 *row = grey.pixels + (gsize)y * (gsize)grey.width;
            int left[2] = { -1, -1 }, right[2] = { -1, -1 };
            for (int x = 0; x < grey.width; x++)
                if (row[x] < 128) {
                    int half = x > middle_x;
                    if (left[half] < 0)
                        left[half] = x;
                    right[half] = x + 1;
                }
            /* Rows of the black ring: dark from edge to edge, and nothing outside. */
            if (left[0] < 0 || left[1] < 0 || row[left[0] + 2] >= 128)
                continue;
            double want_left = middle_x - edge[1], want_right = middle_x + edge[1];
            bool ring = fabs(left[0] - want_left) < 0.2 / 25.4 * DPI &&
                        fabs(right[1] - want_right) < 0.2 / 25.4 * DPI;
            for (int x = (int)want_left + 5; ring && x < (int)(middle_x - edge[0]) - 5;
                 x++)
                ring = row[x] < 128;
            rows += ring;
        }
        /* Each of four tags has two rings of 5/32 in; two tags stand in one row. */
        double want = 4 * length_to_inches(CARD_TAG_CELL) * DPI;
        if (fabs(rows - want) > 4 * SLACK_MM / 25.4 * DPI)
            fail_msg("paper %d: %d rows of black ring, %.1f wanted", paper, rows, want);
        g_free(grey.pixels);
    }
}

/* The longest run of dark pixels in a part of the page. */
static int longest_run(const drawing_grey *grey, int y1, int y2, int x1, int x2)
{
    int most = 0;
    for (int y = MAX(y1, 0); y < MIN(y2, grey->height); y++)
        for (int x = MAX(x1, 0), run = 0; x < MIN(x2, grey->width); x++) {
            run = grey->pixels[(gsize)y * (gsize)grey->width + (gsize)x] < 128 ? run + 1
                                                                               : 0;
            most = MAX(most, run);
        }
    return most;
}

static void the_lines_measure_3_in_and_100_mm(void **state)
{
    (void)state;
    for (int paper = 0; paper < DRAW_PAPERS; paper++) {
        drawing_grey grey = drawing_raster(card_pdf[paper], 1, DPI);
        /* Between the tags, in the middle of the card, and below it. */
        draw_frame frame = draw_sheet_frame(paper);
        int card_top = (int)(length_to_inches(frame.top + 10 * LENGTH_MM) * DPI);
        int card = (int)(length_to_inches(CARD_HEIGHT) * DPI);
        double rule = to_mm(longest_run(&grey, card_top + card / 2 - 60,
                                        card_top + card / 2 + 60, 0, grey.width));
        double metric = to_mm(longest_run(&grey, card_top + card + 200,
                                          card_top + card + 600, 0, grey.width));
        if (fabs(rule - 76.2) > SLACK_MM + 0.3) /* round ends add the line's 0.26 mm */
            fail_msg("paper %d: the 3 in line is %.2f mm", paper, rule);
        if (fabs(metric - 100) > SLACK_MM + 0.3)
            fail_msg("paper %d: the 100 mm line is %.2f mm", paper, metric);
        g_free(grey.pixels);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_sheet_has_the_size_of_the_paper),
        cmocka_unit_test(the_file_is_sound_and_carries_its_font),
        cmocka_unit_test(the_tags_stand_where_the_card_has_them),
        cmocka_unit_test(the_black_squares_measure_an_inch_and_a_quarter),
        cmocka_unit_test(the_lines_measure_3_in_and_100_mm),
    };
    return cmocka_run_group_tests(tests, print_cards, throw_away);
}
