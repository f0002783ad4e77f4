#include "test.h"

#include "base/card.h"

/* The published cells of tag36h11 numbers 0 and 1, white margin included, 1 white; from
 * the family's pictures in the AprilRobotics apriltag-imgs collection. */
static const struct {
    int id;
    const char *rows[10];
} published[] = {
    { 0,
      { "1111111111", "1000000001", "1011010101", "1001110101", "1001100001",
        "1010100001", "1001011001", "1000010001", "1000000001", "1111111111" } },
    { 1,
      { "1111111111", "1000000001", "1011011001", "1001011101", "1011110001",
        "1001100001", "1010110101", "1000100101", "1000000001", "1111111111" } },
};

static void tags_have_the_published_cells(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(published); i++)
        for (int row = 0; row < 10; row++)
            for (int column = 0; column < 10; column++)
                if (card_tag_black(published[i].id, column - 1, row - 1) !=
                    (published[i].rows[row][column] == '0'))
                    fail_msg("tag %d, row %d, column %d", published[i].id, row, column);
}

static bool turned_black(int id, int turns, int column, int row)
{
    for (int i = 0; i < turns; i++) {
        int other = column;
        column = row;
        row = CARD_TAG_CELLS - 1 - other;
    }
    return card_tag_black(id, column, row);
}

/* The family's name says it: any two of its codes differ in 11 bits, however turned. */
static void tags_differ_in_11_cells_however_turned(void **state)
{
    (void)state;
    for (int a = 0; a < CARD_TAGS * CARD_KINDS; a++)
        for (int b = 0; b < CARD_TAGS * CARD_KINDS; b++)
            for (int turns = 0; turns < 4; turns++) {
                int differ = 0;
                for (int row = 0; row < CARD_TAG_CELLS; row++)
                    for (int column = 0; column < CARD_TAG_CELLS; column++)
                        differ += card_tag_black(a, column, row) !=
                                  turned_black(b, turns, column, row);
                if ((a != b || turns != 0) && differ < 11)
                    fail_msg("tags %d and %d after %d turns differ in %d", a, b, turns,
                             differ);
            }
}

static void tags_run_clockwise_from_the_top_left(void **state)
{
    (void)state;
    for (int id = 0; id < CARD_TAGS * CARD_KINDS; id++) {
        length x, y, next_x, next_y;
        card_tag_centre(id, &x, &y);
        card_tag_centre(id / 4 * 4 + (id + 1) % 4, &next_x, &next_y);
        assert_true((int64_t)x * next_y - (int64_t)y * next_x < 0);
        assert_int_equal(abs(x), LENGTH_INCH * 21 / 8);
        assert_int_equal(abs(y), LENGTH_INCH * 13 / 8);
    }
    length x, y;
    card_tag_centre(4, &x, &y);
    assert_true(x < 0 && y > 0);
}

static void the_cells_make_an_inch_and_a_quarter(void **state)
{
    (void)state;
    assert_int_equal(CARD_TAG_SIDE, LENGTH_INCH * 5 / 4);
    assert_int_equal(CARD_WIDTH, 7 * LENGTH_INCH);
    assert_int_equal(CARD_HEIGHT, 5 * LENGTH_INCH);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tags_have_the_published_cells),
        cmocka_unit_test(tags_differ_in_11_cells_however_turned),
        cmocka_unit_test(tags_run_clockwise_from_the_top_left),
        cmocka_unit_test(the_cells_make_an_inch_and_a_quarter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
