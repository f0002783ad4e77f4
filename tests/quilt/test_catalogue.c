#include "test.h"

#include "base/error.h"
#include "quilt/catalogue.h"
#include "quilt/layout.h"

/* A reader of its own: the text of a design turned into points of colour, by the page
 * docs/designs.md and not by the program's parser. Each patch has four points, near the
 * middles of its top, right, bottom and left edge; a diagonal parts them two and two. */
enum { TOP, RIGHT, BOTTOM, LEFT, POINTS };
typedef struct picture {
    int side, blocks, rows, cols;
    bool quarters, on_point;
    char names[16][64];
    char points[16][12][12][POINTS];
    int splits[16];
    int cell[32][32], turn[32][32];
} picture;

static void read_picture_block(picture *self, char **words)
{
    int at = self->blocks++, row = 0, col = 0;
    g_strlcpy(self->names[at], words[1], sizeof self->names[at]);
    for (char **word = words + 2; *word != NULL; word++) {
        if (strcmp(*word, "/") == 0) {
            row++;
            col = 0;
            continue;
        }
        char *point = self->points[at][row][col++];
        char first = (*word)[0], split = (*word)[1], second = split ? (*word)[2] : first;
        point[TOP] = first;
        point[BOTTOM] = second;
        point[LEFT] = split == '\\' ? second : first;
        point[RIGHT] = split == '\\' ? first : second;
        self->splits[at] += split != '\0';
    }
    self->side = row + 1;
}

static void read_picture(const char *text, picture *self)
{
    memset(self, 0, sizeof *self);
    g_autoptr(GString) joined = g_string_new(text);
    while (strstr(joined->str, "  ") != NULL)
        g_string_replace(joined, "  ", " ", 0);
    g_string_replace(joined, "\n ", " ", 0);
    g_auto(GStrv) lines = g_strsplit(joined->str, "\n", -1);
    for (char **line = lines; *line != NULL; line++) {
        g_auto(GStrv) words = g_strsplit(*line, " ", -1);
        if (words[0] == NULL)
            continue;
        if (strcmp(words[0], "block") == 0)
            read_picture_block(self, words);
        if (strcmp(words[0], "set") == 0) {
            self->quarters = strcmp(words[1], "quarters") == 0;
            self->on_point = strcmp(words[1], "on") == 0;
        }
        if (strcmp(words[0], "repeat") == 0) {
            self->cols = 0;
            for (char **word = words + 1; *word != NULL; word++) {
                char *plus = strchr(*word, '+');
                self->turn[self->rows][self->cols] = plus != NULL ? plus[1] - '0' : 0;
                if (plus != NULL)
                    *plus = '\0';
                for (int i = 0; i < self->blocks; i++)
                    if (strcmp(self->names[i], *word) == 0)
                        self->cell[self->rows][self->cols] = i;
                self->cols++;
            }
            self->rows++;
        }
    }
}

/* The colour at a point of a block turned clockwise: the point is turned back about the
 * block's middle, in quarters of a patch. */
static char colour_at(const picture *self, int block, int turn, int x4, int y4)
{
    int size = 4 * self->side;
    for (int i = 0; i < turn; i++) {
        int back = y4;
        y4 = size - x4;
        x4 = back;
    }
    int in_x = x4 % 4, in_y = y4 % 4;
    int point = in_y == 1 ? TOP : in_y == 3 ? BOTTOM : in_x == 1 ? LEFT : RIGHT;
    return self->points[block][y4 / 4][x4 / 4][point];
}

/* Which block lies in a straight or quartered quilt, and its turn. Quarters: the lower
 * right cell of the repeat touches the middle from the upper left; the whole quarter is
 * turned about the middle, so block (x, y) of it, counted outwards, comes from (y, x) in
 * the quarters turned by one and three. */
static int block_at(const picture *self, int across, int down, int row, int col,
                    int *turn)
{
    if (!self->quarters) {
        *turn = self->turn[row % self->rows][col % self->cols];
        return self->cell[row % self->rows][col % self->cols];
    }
    int up = row < down / 2 ? down / 2 - 1 - row : row - down / 2;
    int out = col < across / 2 ? across / 2 - 1 - col : col - across / 2;
    int quarter =
        row < down / 2 ? (col < across / 2 ? 0 : 1) : (col < across / 2 ? 3 : 2);
    int r = quarter % 2 ? out : up, c = quarter % 2 ? up : out;
    r = self->rows - 1 - r % self->rows;
    c = self->cols - 1 - c % self->cols;
    *turn = (self->turn[r][c] + quarter) % 4;
    return self->cell[r][c];
}

static const int point_x[POINTS] = { 2, 3, 2, 1 }, point_y[POINTS] = { 1, 2, 3, 2 };

/* The same point as the layout has it. */
static char layout_colour(const quilt_design *design, const quilt_layout *layout,
                          const quilt_place *place, int row, int col, int point)
{
    const quilt_block *block = &design->blocks[layout->kinds.kinds[place->kind].block];
    quilt_patch patch = quilt_block_at(block, place->turn, row, col);
    bool second = patch.split == QUILT_RISING    ? point == RIGHT || point == BOTTOM
                  : patch.split == QUILT_FALLING ? point == LEFT || point == BOTTOM
                                                 : false;
    return quilt_role_letter(patch.role[second]);
}

static void check_picture(const char *name, const picture *want,
                          const quilt_design *design, int across, int down)
{
    g_auto(quilt_layout) layout = { 0 };
    GError *error = NULL;
    if (!quilt_layout_make(design, across, down, (quilt_start){ 0, 0 }, &layout, &error))
        fail_msg("%s: %s", name, error->message);
    quilt_count count;
    quilt_layout_count(design, &layout, &count);

    int64_t points[128] = { 0 }, splits = 0;
    for (int row = 0; row < down; row++) {
        int places;
        const quilt_place *place = quilt_layout_row(&layout, row, &places);
        assert_int_equal(places, across);
        for (int col = 0; col < across; col++, place++) {
            int turn, block = block_at(want, across, down, row, col, &turn);
            splits += want->splits[block];
            for (int i = 0; i < want->side * want->side * POINTS; i++) {
                int r = i / POINTS / want->side, c = i / POINTS % want->side;
                char colour = colour_at(want, block, turn, 4 * c + point_x[i % POINTS],
                                        4 * r + point_y[i % POINTS]);
                points[(int)colour]++;
                char got = layout_colour(design, &layout, place, r, c, i % POINTS);
                if (got != colour)
                    fail_msg("%s, block %d,%d patch %d,%d point %d: %c, drawn %c", name,
                             row, col, r, c, i % POINTS, got, colour);
            }
        }
    }
    int64_t pairs = 0;
    for (int role = 0; role < QUILT_ROLES; role++) {
        int64_t got = 4 * count.squares[role] + 2 * count.triangles[role];
        if (got != points[(int)quilt_role_letter((quilt_role)role)])
            fail_msg("%s: role %d has %d points", name, role, (int)got);
        for (int other = role; other < QUILT_ROLES; other++)
            pairs += count.pairs[role][other];
    }
    if (pairs != splits)
        fail_msg("%s: %d pairs of triangles, counted %d", name, (int)pairs, (int)splits);
}

static void every_design_is_as_its_text_draws_it(void **state)
{
    (void)state;
    int count;
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    assert_true(count >= 32);
    for (int i = 0; i < count; i++) {
        picture want;
        read_picture(entries[i].text, &want);
        quilt_design design;
        GError *error = NULL;
        if (!quilt_catalogue_design(entries[i].name, &design, &error))
            fail_msg("%s: %s", entries[i].name, error->message);
        assert_int_equal(strlen(entries[i].text), entries[i].size);
        assert_string_equal(design.id, entries[i].name);
        assert_true(design.about[0] != '\0');
        if (want.on_point)
            design.set = QUILT_STRAIGHT; /* the blocks are the same */
        check_picture(entries[i].name, &want, &design, 12, 8);
        check_picture(entries[i].name, &want, &design, 6, 14);
    }
}

/* On point, counted over the plane: with half a block's diagonal as the step, blocks have
 * their middles where x + y is even within the quilt; one step of the repeat to the right
 * goes down to the right, one down goes down to the left. Every design is set so. */
static void on_point_every_design_counts_what_lies_in_the_plane(void **state)
{
    (void)state;
    enum { ACROSS = 5, DOWN = 7 };
    int count;
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    for (int i = 0; i < count; i++) {
        picture want;
        quilt_design design;
        quilt_count got;
        g_auto(quilt_layout) layout = { 0 };
        int64_t points[128] = { 0 }, blocks = 0;
        read_picture(entries[i].text, &want);
        assert_true(quilt_catalogue_design(entries[i].name, &design, NULL));
        design.set = QUILT_ON_POINT;
        assert_true(quilt_layout_make(&design, ACROSS, DOWN, (quilt_start){ 0, 0 },
                                      &layout, NULL));
        quilt_layout_count(&design, &layout, &got);
        for (int y = 1; y < 2 * DOWN; y++) {
            for (int x = 1; x < 2 * ACROSS; x++) {
                if ((x + y) % 2 != 0)
                    continue;
                int col = (x + y) / 2 - 1, row = (y - x) / 2;
                row = (row % want.rows + want.rows) % want.rows;
                int block = want.cell[row][col % want.cols];
                blocks++;
                for (int k = 0; k < want.side * want.side * POINTS; k++)
                    points[(int)want.points[block][k / POINTS / want.side]
                                           [k / POINTS % want.side][k % POINTS]]++;
            }
        }
        assert_int_equal(blocks, got.blocks);
        for (int role = 0; role < QUILT_ROLES; role++)
            if (4 * got.squares[role] + 2 * got.triangles[role] !=
                points[(int)quilt_role_letter((quilt_role)role)])
                fail_msg("%s: role %d", entries[i].name, role);
    }
}

static void the_catalogue_covers_the_usual_grids(void **state)
{
    (void)state;
    int count, sides[QUILT_SIDE_MAX + 1] = { 0 };
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    for (int i = 0; i < count; i++) {
        quilt_design design;
        assert_true(quilt_catalogue_design(entries[i].name, &design, NULL));
        sides[quilt_design_side(&design)]++;
    }
    assert_true(sides[3] >= 16);
    assert_true(sides[2] >= 2 && sides[4] >= 2 && sides[5] >= 2);
}

static void every_design_is_written_and_read_back(void **state)
{
    (void)state;
    int count;
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    for (int i = 0; i < count; i++) {
        quilt_design design, again;
        assert_true(quilt_catalogue_design(entries[i].name, &design, NULL));
        g_autofree char *text = quilt_design_write(&design);
        GError *error = NULL;
        if (!quilt_design_parse(text, strlen(text), entries[i].name, &again, &error))
            fail_msg("%s: %s", entries[i].name, error->message);
        assert_true(quilt_design_equal(&design, &again));
        assert_string_equal(design.name, again.name);
        assert_string_equal(design.about, again.about);
    }
}

/* Drawn and turned by hand for the project's notes on the trade: of the traditional
 * blocks these differ from their mirror images even when turned, ... */
static const struct {
    const char *design, *block;
    bool own_mirror;
    int symmetry; /* turns that look alike */
} kinds[] = {
    { "nine-patch", "nine", true, 4 },
    { "trip-around-the-world", "trip", true, 1 },
    { "sunshine-and-shadow", "sun", true, 1 },
    { "streak-of-lightning", "stroke", true, 2 },
    { "shoo-fly", "fly", true, 4 },
    { "friendship-star", "star", false, 4 },
    { "maple-leaf", "leaf", true, 1 },
    { "birds-in-the-air", "birds", true, 1 },
    { "barn-raising", "half", true, 1 },
    { "rail-fence", "rail", true, 1 },
    { "basket-weave", "weave", true, 2 },
    { "plus", "plus", true, 4 },
    { "sawtooth-strips", "teeth", false, 2 },
    { "four-patch", "four", true, 2 },
    { "pinwheel", "wheel", false, 4 },
    { "hourglass", "glass", true, 2 },
    { "economy", "economy", true, 4 },
    { "broken-dishes", "dishes", false, 4 },
    { "flying-geese", "geese", true, 1 },
    { "dutchmans-puzzle", "chase", false, 4 },
    { "sawtooth-star", "star", true, 4 },
    { "ocean-waves", "wave", true, 1 },
    { "puss-in-the-corner", "puss", true, 4 },
    { "double-four-patch", "double", true, 2 },
    { "churn-dash", "churn", true, 4 },
    { "double-irish-chain", "chain", true, 4 },
    { "triple-irish-chain", "chain", true, 4 },
};

static void blocks_are_of_one_kind_with_their_mirror_where_they_should_be(void **state)
{
    (void)state;
    for (size_t i = 0; i < G_N_ELEMENTS(kinds); i++) {
        quilt_design design;
        GError *error = NULL;
        if (!quilt_catalogue_design(kinds[i].design, &design, &error))
            fail_msg("%s: %s", kinds[i].design, error->message);
        const quilt_block *block = NULL;
        for (int b = 0; b < design.block_count; b++)
            if (strcmp(design.blocks[b].name, kinds[i].block) == 0)
                block = &design.blocks[b];
        assert_non_null(block);
        quilt_block mirror = quilt_block_mirror(block);
        quilt_block one = quilt_block_canonical(block);
        quilt_block two = quilt_block_canonical(&mirror);
        if ((quilt_block_compare(&one, &two) == 0) != kinds[i].own_mirror)
            fail_msg("%s and its mirror", kinds[i].design);
        if (quilt_block_symmetry(block) != kinds[i].symmetry)
            fail_msg("%s has symmetry %d", kinds[i].design, quilt_block_symmetry(block));
    }
}

static void four_turns_and_two_mirrors_change_nothing(void **state)
{
    (void)state;
    int count;
    const quilt_catalogue_entry *entries = quilt_catalogue(&count);
    for (int i = 0; i < count; i++) {
        quilt_design design;
        assert_true(quilt_catalogue_design(entries[i].name, &design, NULL));
        for (int b = 0; b < design.block_count; b++) {
            quilt_block start = design.blocks[b], turned = start;
            for (int turn = 0; turn < 4; turn++)
                turned = quilt_block_turn(&turned, 1);
            assert_int_equal(quilt_block_compare(&start, &turned), 0);
            turned = quilt_block_mirror(&start);
            turned = quilt_block_mirror(&turned);
            assert_int_equal(quilt_block_compare(&start, &turned), 0);
            for (int turn = 0; turn < 8; turn++) {
                turned = quilt_block_turn(&start, turn);
                quilt_block canonical = quilt_block_canonical(&turned);
                quilt_block same = quilt_block_canonical(&start);
                assert_int_equal(quilt_block_compare(&canonical, &same), 0);
            }
        }
    }
}

/* Nebraska State Historical Society, Quilts A to Z: 25 checks make the pieced block of a
 * chain double, 49 triple; weddingdressblue.com: its scrap form has 21 and 4. */
static void chains_have_the_published_checks(void **state)
{
    (void)state;
    quilt_design design;
    assert_true(quilt_catalogue_design("double-irish-chain", &design, NULL));
    quilt_block_count chain = quilt_block_counted(&design.blocks[0]);
    assert_int_equal(chain.squares[QUILT_DARK], 9);
    assert_int_equal(chain.squares[QUILT_SCRAP], 12);
    assert_int_equal(chain.squares[QUILT_BACKGROUND], 4);
    assert_true(quilt_catalogue_design("triple-irish-chain", &design, NULL));
    chain = quilt_block_counted(&design.blocks[0]);
    int all = 0;
    for (int role = 0; role < QUILT_ROLES; role++)
        all += chain.squares[role];
    assert_int_equal(all, 49);
    /* An open block takes the one that it touches. */
    assert_int_equal(chain.squares[QUILT_ACCENT], 13);
}

static void a_misspelt_name_is_told_its_nearest(void **state)
{
    (void)state;
    static const struct {
        const char *written, *first;
    } rows[] = {
        { "latice-chain", "lattice-chain" },
        { "Lattice Chain", "lattice-chain" },
        { "shoofly", "shoo-fly" },
        { "pinwhele", "pinwheel" },
        { "barnraising", "barn-raising" },
        { "trip", "trip-around-the-world" },
        { "sawtooth-start", "sawtooth-star" },
        { "churndash", "churn-dash" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        const char *nearest[3];
        int count = quilt_catalogue_nearest(rows[i].written, 3, nearest);
        if (count < 1 || strcmp(nearest[0], rows[i].first) != 0)
            fail_msg("%s: %s", rows[i].written, count > 0 ? nearest[0] : "none");
    }
    const char *none[3];
    assert_int_equal(quilt_catalogue_nearest("xyzzyplugh", 3, none), 0);
    assert_int_equal(quilt_catalogue_nearest("", 3, none), 0);

    quilt_design design;
    g_autoptr(GError) error = NULL;
    assert_false(quilt_catalogue_design("latice-chain", &design, &error));
    assert_string_equal(motley_error_code(error), "design.unknown");
    assert_non_null(strstr(error->message, "lattice-chain"));
}

/* The page docs/designs.md shows whole designs between fences. */
static void the_examples_of_the_page_are_designs(void **state)
{
    (void)state;
    g_autofree char *page = NULL;
    if (!g_file_get_contents(SOURCE_ROOT "/docs/designs.md", &page, NULL, NULL))
        fail_msg("docs/designs.md cannot be read");
    g_auto(GStrv) parts = g_strsplit(page, "```", -1);
    int examples = 0;
    for (int i = 1; parts[i - 1] != NULL && parts[i] != NULL; i += 2, examples++) {
        quilt_design design;
        GError *error = NULL;
        if (!quilt_design_parse(parts[i], strlen(parts[i]), "example", &design, &error))
            fail_msg("example %d: %s", examples + 1, error->message);
    }
    assert_true(examples >= 2);
}

static void every_file_of_the_folder_is_built_in(void **state)
{
    (void)state;
    g_autoptr(GDir) folder = g_dir_open(SOURCE_ROOT "/designs", 0, NULL);
    assert_non_null(folder);
    int files = 0, count;
    for (const char *name = g_dir_read_name(folder); name != NULL;
         name = g_dir_read_name(folder)) {
        quilt_design design;
        g_autofree char *id = g_strndup(name, strcspn(name, "."));
        if (!quilt_catalogue_design(id, &design, NULL))
            fail_msg("designs/%s is missing in src/quilt/meson.build", name);
        files++;
    }
    quilt_catalogue(&count);
    assert_int_equal(files, count);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_design_is_as_its_text_draws_it),
        cmocka_unit_test(on_point_every_design_counts_what_lies_in_the_plane),
        cmocka_unit_test(the_catalogue_covers_the_usual_grids),
        cmocka_unit_test(every_design_is_written_and_read_back),
        cmocka_unit_test(blocks_are_of_one_kind_with_their_mirror_where_they_should_be),
        cmocka_unit_test(four_turns_and_two_mirrors_change_nothing),
        cmocka_unit_test(chains_have_the_published_checks),
        cmocka_unit_test(the_examples_of_the_page_are_designs),
        cmocka_unit_test(every_file_of_the_folder_is_built_in),
        cmocka_unit_test(a_misspelt_name_is_told_its_nearest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
