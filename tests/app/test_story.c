/* The record of one quilt and of one fabric: what the ledger says, and where it lies. */
#include "test.h"

#include "fixture.h"

#include <string.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* A quilt of 2 x 2 nine patches: 5 squares of the basket in each. */
static void start(fixture *self)
{
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Tideline\", \"design\": \"nine-patch\","
                     " \"across\": 2, \"down\": 2, \"unit\": \"2in\"}"));
    json_decref(does(self, "basket.add",
                     "{\"count\": 5, \"unit\": \"2in\", \"source\": \"Harbour\"}"));
    json_decref(does(self, "basket.add",
                     "{\"count\": 20, \"unit\": \"2in\", \"source\": \"Orchard\"}"));
}

static void made(fixture *self, int row, int col)
{
    json_decref(
        does(self, "made", "{\"quilt\": \"Tideline\", \"place\": [%d, %d]}", row, col));
}

/* The oldest layer lies on top: the first block is all of Harbour, the others of
 * Orchard. */
static void every_source_has_its_share(void **state)
{
    fixture *self = *state;
    start(self);
    made(self, 1, 1);
    made(self, 1, 2);
    made(self, 2, 1);
    g_autoptr(json_t) story = does(self, "story", "{\"quilt\": \"Tideline\"}");
    assert_int_equal(number_at(story, "made"), 3);
    assert_int_equal(number_at(story, "blocks"), 4);
    assert_string_equal(text_at(story, "sources.0.source"), "Orchard");
    assert_int_equal(number_at(story, "sources.0.squares"), 10);
    assert_string_equal(text_at(story, "sources.1.source"), "Harbour");
    assert_int_equal(number_at(story, "sources.1.squares"), 5);
    assert_int_equal(number_at(story, "days_sewn"), 1);
    /* The same is told by `record` of a quilt, as the command line asks for it. */
    g_autoptr(json_t) record = does(self, "record", "{\"quilt\": \"Tideline\"}");
    assert_true(json_equal(story, record));
}

static void what_is_undone_is_not_told(void **state)
{
    fixture *self = *state;
    start(self);
    made(self, 1, 1);
    json_decref(does(self, "undo", "{}"));
    g_autoptr(json_t) story = does(self, "story", "{\"quilt\": \"Tideline\"}");
    assert_int_equal(number_at(story, "made"), 0);
    assert_int_equal(json_array_size(value_at(story, "sources")), 0);
}

static char *drawn(fixture *self, const char *what, const char *request)
{
    const char *type;
    GError *error = NULL;
    g_autoptr(json_t) fields = json_loads(request, 0, NULL);
    const app_call call = { .request = fields };
    g_autoptr(GBytes) svg = app_render(self->book, what, &call, &type, &error);
    if (svg == NULL) {
        char *message = g_strdup(error->message);
        g_error_free(error);
        return message;
    }
    gsize size;
    const char *bytes = g_bytes_get_data(svg, &size);
    return g_strndup(bytes, size);
}

static char *where(fixture *self, const char *request)
{
    return drawn(self, "where.svg", request);
}

/* A map of one source is another picture than that of all, and of a source that has no
 * patch there all is pale; one that is not there is refused. */
static void the_map_is_drawn_for_sources_that_there_are(void **state)
{
    fixture *self = *state;
    start(self);
    made(self, 1, 1);
    g_autofree char *all = where(self, "{\"quilt\": \"Tideline\"}");
    g_autofree char *one =
        where(self, "{\"quilt\": \"Tideline\", \"source\": \"Harbour\"}");
    g_autofree char *none =
        where(self, "{\"quilt\": \"Tideline\", \"source\": \"Moon\"}");
    assert_non_null(strstr(all, "<svg"));
    assert_non_null(strstr(one, "<svg"));
    assert_string_not_equal(all, one);
    assert_non_null(strstr(none, "Moon"));
}

/* Where nobody has seen the cloth, nothing keeps a colour of its own: every fill is of a
 * class, which the dark scheme paints anew. */
static void cloth_that_nobody_has_seen_follows_the_scheme(void **state)
{
    fixture *self = *state;
    start(self);
    made(self, 1, 1);
    g_autofree char *all = where(self, "{\"quilt\": \"Tideline\"}");
    g_autofree char *one =
        where(self, "{\"quilt\": \"Tideline\", \"source\": \"Orchard\"}");
    assert_non_null(strstr(all, "<g class=\"fill-tint-"));
    assert_null(strstr(all, "<g fill=\"#"));
    assert_null(strstr(one, "<g fill=\"#"));
}

/* Two by three blocks of 4 1/2 in on point and a border of 1 in: the diagonal of a square
 * is 1.414 of its side, so 2 x 6.36 + 2 by 3 x 6.36 + 2 in (reference/trade.md, 3, blocks
 * set on point). Bricks, as blocks on point were drawn once, would be 9 by 22.5. */
static void the_map_has_the_shape_of_the_quilt(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Point\", \"design\": \"nine-patch\", \"across\": 2,"
                     " \"down\": 3, \"unit\": \"2in\", \"set\": \"on-point\","
                     " \"border\": [\"1in\"]}"));
    g_autofree char *map = where(self, "{\"quilt\": \"Point\"}");
    const char *box = strstr(map, "viewBox=\"0 0 ");
    assert_non_null(box);
    char *rest;
    double width = g_ascii_strtod(box + strlen("viewBox=\"0 0 "), &rest);
    double height = g_ascii_strtod(rest, NULL);
    assert_float_equal(height / width, (3 * 6.364 + 2) / (2 * 6.364 + 2), 0.001);
}

static json_t *sources_in_record(fixture *self)
{
    g_autoptr(json_t) record = does(self, "record", "{}");
    return json_incref(value_at(record, "quilts.0.sources"));
}

/* What the program remembers of closed quilts never differs from what the ledger says. */
static void the_years_agree_with_the_ledger_after_every_change(void **state)
{
    static const char *const deeds[][2] = {
        { "made", "{\"quilt\": \"Tideline\", \"place\": [1, 1]}" },
        { "quilt.close", "{\"quilt\": \"Tideline\"}" },
        { "undo", "{}" },
        { "made", "{\"quilt\": \"Tideline\", \"place\": [1, 2]}" },
        { "quilt.close", "{\"quilt\": \"Tideline\"}" },
        { "undo", "{}" },
        { "undo", "{}" },
        { "redo", "{}" },
        { "redo", "{}" },
    };
    fixture *self = *state;
    start(self);
    for (size_t i = 0; i < G_N_ELEMENTS(deeds); i++) {
        json_decref(does(self, deeds[i][0], "%s", deeds[i][1]));
        g_autoptr(json_t) remembered = sources_in_record(self);
        g_autoptr(json_t) again = sources_in_record(self);
        g_autoptr(json_t) story = does(self, "story", "{\"quilt\": \"Tideline\"}");
        if (!json_equal(remembered, value_at(story, "sources")) ||
            !json_equal(remembered, again))
            fail_msg("after %s (%zu) the record says otherwise", deeds[i][0], i);
    }
}

/* Also one of which nothing is left, for more may come from there; one that was taken
 * back is gone. */
static void sources_are_listed_the_newest_first(void **state)
{
    fixture *self = *state;
    start(self);
    made(self, 1, 1); /* all five of Harbour */
    json_decref(does(self, "basket.add", "{\"count\": 3, \"source\": \"Kite Day\"}"));
    json_decref(does(self, "undo", "{}"));
    g_autoptr(json_t) document = does(self, "sources", "{}");
    assert_int_equal(json_array_size(value_at(document, "sources")), 2);
    assert_string_equal(text_at(document, "sources.0.source"), "Orchard");
    assert_int_equal(number_at(document, "sources.0.squares"), 20);
    assert_string_equal(text_at(document, "sources.1.source"), "Harbour");
    assert_int_equal(number_at(document, "sources.1.squares"), 0);
    g_autoptr(json_t) basket = does(self, "basket", "{}");
    assert_int_equal(number_at(document, "squares"), 20);
    assert_true(json_equal(value_at(document, "units"), value_at(basket, "units")));
}

static long long sum_of(const json_t *rows, const char *field)
{
    size_t i;
    json_t *row;
    long long sum = 0;
    json_array_foreach (rows, i, row)
        sum += number_at(row, field);
    return sum;
}

/* Laws: what the quarters say adds up to what the months and the basket say, and what was
 * taken back is gone. */
static void the_years_add_up(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    json_decref(does(self, "basket.add", "{\"count\": 50, \"source\": \"Harbour\"}"));
    json_decref(does(self, "undo", "{}"));
    g_autoptr(json_t) years = does(self, "years", "{}");
    g_autoptr(json_t) record = does(self, "record", "{}");
    g_autoptr(json_t) basket = does(self, "basket", "{}");
    size_t i;
    json_t *year;
    long long in = 0, stays = 0, finished = 0;
    assert_true(json_array_size(value_at(years, "years")) > 0);
    json_array_foreach (value_at(years, "years"), i, year) {
        const json_t *quarters = value_at(year, "quarters");
        long long values = sum_of(quarters, "light") + sum_of(quarters, "medium") +
                           sum_of(quarters, "dark") + sum_of(quarters, "unknown");
        assert_int_equal(values, sum_of(quarters, "squares_in"));
        assert_int_equal(number_at(year, "squares_in"), sum_of(quarters, "squares_in"));
        in += sum_of(quarters, "squares_in");
        stays += sum_of(quarters, "stays");
        finished += (long long)json_array_size(value_at(year, "finished"));
    }
    assert_int_equal(in, sum_of(value_at(record, "months"), "squares_in"));
    assert_int_equal(stays, number_at(basket, "squares"));
    assert_int_equal(finished, 1); /* the demo's earlier quilt */
    assert_int_equal(sum_of(value_at(years, "years"), "blocks"),
                     sum_of(value_at(record, "months"), "blocks"));
}

/* In by source, with what was taken back gone again. */
static void a_fabric_tells_where_it_came_from(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    g_autoptr(json_t) story = does(self, "story", "{\"quilt\": \"Tideline\"}");
    g_autoptr(json_t) fabric =
        does(self, "fabric", "{\"fabric\": %lld}", number_at(story, "fabrics.0.fabric"));
    size_t i;
    json_t *row;
    long long in = 0, flow = 0, out = 0;
    json_array_foreach (value_at(fabric, "sources"), i, row)
        in += number_at(row, "squares");
    json_array_foreach (value_at(fabric, "ledger"), i, row) {
        long long count = number_at(row, "count");
        flow += count;
        out -= strcmp(text_at(row, "how"), "made") == 0 ? count : 0;
    }
    assert_true(in > 0);
    assert_int_equal(flow, number_at(fabric, "squares"));
    assert_int_equal(in - out, flow);
    /* All patches of it lie in the quilts that it says. */
    assert_true(number_at(story, "fabrics.0.patches") > 0);
}

/* By the first bytes: PNG (W3C, Portable Network Graphics, 5.2), PDF (ISO 32000-1,
 * 7.5.2), SVG an element of XML. */
static void sheets_are_written_in_three_forms(void **state)
{
    static const struct {
        const char *ending, *begins;
    } forms[] = { { "pdf", "%PDF-" }, { "png", "\x89PNG\r\n\x1a\n" }, { "svg", "<" } };
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    for (size_t i = 0; i < G_N_ELEMENTS(forms); i++) {
        g_autofree char *file =
            g_strdup_printf("%s/picture.%s", self->folder, forms[i].ending);
        g_autofree char *bytes = NULL;
        g_autoptr(json_t) said = does(self, "print",
                                      "{\"what\": \"picture\", \"quilt\": \"Low Water\","
                                      " \"output\": \"%s\"}",
                                      file);
        assert_string_equal(text_at(said, "file"), file);
        assert_int_equal(number_at(said, "pages"), 1);
        assert_true(g_file_get_contents(file, &bytes, NULL, NULL));
        assert_memory_equal(bytes, forms[i].begins, strlen(forms[i].begins));
    }
}

/* What has several pages is one PDF, but a picture for each page. */
/* The page and `print` write the same sheet, and not the picture that a view shows. */
static void a_sheet_is_no_picture_of_a_view(void **state)
{
    fixture *self = *state;
    start(self);
    g_autofree char *file = g_strdup_printf("%s/chart.svg", self->folder);
    g_autofree char *printed = NULL;
    json_decref(does(self, "print",
                     "{\"what\": \"chart\", \"quilt\": \"Tideline\","
                     " \"output\": \"%s\"}",
                     file));
    assert_true(g_file_get_contents(file, &printed, NULL, NULL));
    g_autofree char *sheet = drawn(self, "chart.svg", "{\"quilt\": \"Tideline\"}");
    g_autofree char *shown = drawn(self, "chart.shown", "{\"quilt\": \"Tideline\"}");
    assert_string_equal(sheet, printed);
    assert_string_not_equal(sheet, shown);
}

static void each_page_is_a_picture_of_its_own(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    g_autoptr(json_t) said =
        does(self, "print",
             "{\"what\": \"story\", \"quilt\": \"Tideline\", \"output\": \"%s/it.svg\"}",
             self->folder);
    size_t i;
    json_t *file;
    assert_true(number_at(said, "pages") > 1);
    assert_int_equal(json_array_size(value_at(said, "files")), number_at(said, "pages"));
    json_array_foreach (value_at(said, "files"), i, file)
        assert_true(g_file_test(json_string_value(file), G_FILE_TEST_IS_REGULAR));
}

/* Each sheet says something of its own in German, and none the head that all share in
 * English. */
static void sheets_speak_the_language_of_the_book(void **state)
{
    static const struct {
        const char *what, *request, *said;
    } rows[] = {
        { "card", "", "Flach, sauber und ganz halten." },
        { "chart", ", \"quilt\": \"Tideline\"", "73 fertig" },
        { "cutting", "", "Klinge schließen" },
        { "cutting", ", \"quilt\": \"Tideline\"", "Streifen quer zum Stoff" },
        { "design", ", \"quilt\": \"Tideline\"", "schräge Ketten" },
        { "label", ", \"quilt\": \"Tideline\"", "Kühl und schonend waschen" },
        { "map", ", \"quilt\": \"Tideline\"", "Der Keil zeigt" },
        { "next", ", \"quilt\": \"Tideline\"", "Quadrate zum Herausnehmen" },
        { "rows", ", \"quilt\": \"Tideline\"", "12 Blöcke, linkes Ende" },
        { "sew", ", \"quilt\": \"Tideline\"", "Nach außen bügeln." },
        { "shopping", ", \"quilt\": \"Tideline\"", "Rückseite: Stoff" },
        { "story", ", \"quilt\": \"Tideline\"", "Größe nach Plan" },
        { "year", "", "Januar bis März" },
    };
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    json_decref(does(self, "settings.change", "{\"language\": \"de\"}"));
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(json_t) said =
            does(self, "print", "{\"what\": \"%s\"%s, \"output\": \"%s/%d.svg\"}",
                 rows[i].what, rows[i].request, self->folder, (int)i);
        g_autofree char *drawn = NULL;
        g_autofree char *file = json_is_array(json_object_get(said, "files"))
                                    ? g_strdup(text_at(said, "files.0"))
                                    : g_strdup(text_at(said, "file"));
        assert_true(g_file_get_contents(file, &drawn, NULL, NULL));
        if (strstr(drawn, rows[i].said) == NULL || strstr(drawn, ">Seite 1 von ") == NULL)
            fail_msg("%s does not say “%s”", rows[i].what, rows[i].said);
        assert_null(strstr(drawn, "page 1 of"));
    }
}

/* The sheet of a year tells the sums of the document. */
static void a_year_is_one_picture(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    g_autoptr(json_t) years = does(self, "years", "{}");
    const json_t *last = json_array_get(value_at(years, "years"),
                                        json_array_size(value_at(years, "years")) - 1);
    g_autofree char *file = g_strdup_printf("%s/year.svg", self->folder);
    g_autofree char *drawn = NULL;
    json_decref(does(self, "print", "{\"what\": \"year\", \"output\": \"%s\"}", file));
    assert_true(g_file_get_contents(file, &drawn, NULL, NULL));
    g_autofree char *title = g_strdup_printf("The year %lld", number_at(last, "year"));
    g_autofree char *sums =
        g_strdup_printf("%lld squares in, %lld out", number_at(last, "squares_in"),
                        number_at(last, "squares_out"));
    assert_non_null(strstr(drawn, title));
    assert_non_null(strstr(drawn, sums));
    refuses(self, "app.field-wrong", "print",
            "{\"what\": \"year\", \"year\": 1899, \"output\": \"%s\"}", file);
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)
    const struct CMUnitTest tests[] = {
        TEST(every_source_has_its_share),
        TEST(what_is_undone_is_not_told),
        TEST(sources_are_listed_the_newest_first),
        TEST(the_map_is_drawn_for_sources_that_there_are),
        TEST(cloth_that_nobody_has_seen_follows_the_scheme),
        TEST(the_map_has_the_shape_of_the_quilt),
        TEST(the_years_agree_with_the_ledger_after_every_change),
        TEST(the_years_add_up),
        TEST(a_fabric_tells_where_it_came_from),
        TEST(sheets_are_written_in_three_forms),
        TEST(a_sheet_is_no_picture_of_a_view),
        TEST(sheets_speak_the_language_of_the_book),
        TEST(each_page_is_a_picture_of_its_own),
        TEST(a_year_is_one_picture),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
