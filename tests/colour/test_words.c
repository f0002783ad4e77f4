#include "test.h"

#include "base/random.h"
#include "colour/name.h"
#include "colour/value.h"

/* Named colours of CSS Color 4 (W3C) whose plain word is beyond dispute. */
static const struct {
    colour_srgb8 srgb;
    const char *want;
} plain[] = {
    { { 255, 255, 255 }, "white" },     /* white */
    { { 0, 0, 0 }, "black" },           /* black */
    { { 128, 128, 128 }, "grey" },      /* gray */
    { { 0, 0, 128 }, "navy" },          /* navy */
    { { 128, 0, 0 }, "maroon" },        /* maroon */
    { { 128, 128, 0 }, "olive" },       /* olive */
    { { 64, 224, 208 }, "turquoise" },  /* turquoise */
    { { 135, 206, 235 }, "sky blue" },  /* skyblue */
    { { 65, 105, 225 }, "royal blue" }, /* royalblue */
    { { 210, 180, 140 }, "tan" },       /* tan */
    { { 255, 255, 240 }, "ivory" },     /* ivory */
    { { 0, 100, 0 }, "forest green" },  /* darkgreen */
};

static void undisputed_colours_have_their_plain_names(void **state)
{
    (void)state;
    char text[COLOUR_NAME_SIZE];
    for (size_t i = 0; i < G_N_ELEMENTS(plain); i++) {
        colour_lab lab = colour_lab_from_srgb8(plain[i].srgb);
        colour_name(&lab, text);
        if (strcmp(text, plain[i].want) != 0)
            fail_msg("%d %d %d is called %s, not %s (%.0f, chroma %.0f, hue %.0f)",
                     plain[i].srgb.r, plain[i].srgb.g, plain[i].srgb.b, text,
                     plain[i].want, lab.l, colour_chroma(&lab), colour_hue_deg(&lab));
    }
}

static void every_colour_has_a_name(void **state)
{
    (void)state;
    char text[COLOUR_NAME_SIZE];
    for (int r = 0; r < 256; r += 3) {
        for (int g = 0; g < 256; g += 3) {
            for (int b = 0; b < 256; b += 3) {
                colour_lab lab = colour_lab_from_srgb8(
                    (colour_srgb8){ (uint8_t)r, (uint8_t)g, (uint8_t)b });
                colour_name(&lab, text);
                assert_true(text[0] != 0);
                /* a strong colour is never called by a word for neutrals */
                if (colour_chroma(&lab) > 20 && strstr(text, "grey"))
                    fail_msg("%d %d %d is called %s", r, g, b, text);
            }
        }
    }
}

static void a_basket_is_divided_in_thirds(void **state)
{
    (void)state;
    enum { N = 300 };
    static double l[N], weight[N];
    static int order[N];
    motley_random random;
    motley_random_seed(&random, 9);
    int count[3] = { 0 };
    for (int i = 0; i < N; i++) {
        l[i] = 20 + 75 * motley_random_unit(&random);
        weight[i] = 1;
    }
    colour_value_limits limits = colour_value_limits_from(N, l, weight, order);
    for (int i = 0; i < N; i++)
        count[colour_value_of(l[i], &limits)]++;
    for (int v = 0; v < 3; v++)
        assert_in_range(count[v], 90, 110);
    assert_true(colour_value_of(limits.light, &limits) == COLOUR_LIGHT);
    assert_true(colour_value_of(limits.dark, &limits) == COLOUR_MEDIUM);
}

static void pastels_alone_have_no_darks(void **state)
{
    (void)state;
    double l[50], weight[50];
    int order[50];
    for (int i = 0; i < 50; i++) {
        l[i] = 80 + i / 5.0;
        weight[i] = 1;
    }
    colour_value_limits limits = colour_value_limits_from(50, l, weight, order);
    for (int i = 0; i < 50; i++)
        assert_true(colour_value_of(l[i], &limits) != COLOUR_DARK);
}

static void nothing_to_compare_with_leaves_the_defaults(void **state)
{
    (void)state;
    double l = 90, none = 0;
    int order;
    colour_value_limits limits = colour_value_limits_from(0, NULL, NULL, NULL);
    assert_true(limits.light == colour_value_defaults.light);
    limits = colour_value_limits_from(1, &l, &none, &order);
    assert_true(limits.dark == colour_value_defaults.dark);
    assert_int_equal(colour_value_of(90, &limits), COLOUR_LIGHT);
    assert_int_equal(colour_value_of(55, &limits), COLOUR_MEDIUM);
    assert_int_equal(colour_value_of(20, &limits), COLOUR_DARK);
    assert_string_equal(colour_value_text(COLOUR_MEDIUM), "medium");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(undisputed_colours_have_their_plain_names),
        cmocka_unit_test(every_colour_has_a_name),
        cmocka_unit_test(a_basket_is_divided_in_thirds),
        cmocka_unit_test(pastels_alone_have_no_darks),
        cmocka_unit_test(nothing_to_compare_with_leaves_the_defaults),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
