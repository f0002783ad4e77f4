/* Arranging and composing as a maker calls them: laws that hold whatever is found. */
#include "test.h"

#include "fixture.h"

#include "app/app-internal.h"
#include "store/quilt.h"

#include <string.h>

/* Tideline of the demo, its 73 blocks, some of them with patches that are known. */
static json_t *tideline(fixture *self)
{
    json_decref(does(self, "demo", "{}"));
    return does(self, "wall", "{\"quilt\": \"Tideline\"}");
}

static int blocks_of(const json_t *places, GHashTable *seen)
{
    size_t r, c;
    const json_t *row, *place;
    int count = 0;
    json_array_foreach (places, r, row) {
        json_array_foreach (row, c, place) {
            json_t *block = json_object_get(place, "block");
            if (!json_is_integer(block))
                continue;
            if (!g_hash_table_add(seen, GINT_TO_POINTER(json_integer_value(block))))
                fail_msg("block %lld lies twice", json_integer_value(block));
            count++;
        }
    }
    return count;
}

/* The kind of a block by its number, as the wall tells. */
static const char *kind_of(const json_t *wall, long long id)
{
    size_t i;
    const json_t *block;
    json_array_foreach (value_at(wall, "blocks"), i, block)
        if (number_at(block, "block") == id)
            return text_at(block, "kind");
    return "";
}

static void check_kinds_and_turns(const json_t *wall, const json_t *places)
{
    size_t r, c;
    const json_t *row, *place;
    json_array_foreach (places, r, row) {
        json_array_foreach (row, c, place) {
            const json_t *drawn =
                json_array_get(json_array_get(value_at(wall, "grid"), r), c);
            if (!json_is_integer(json_object_get(place, "block")))
                continue;
            assert_string_equal(kind_of(wall, number_at(place, "block")),
                                text_at(drawn, "kind"));
            assert_int_equal((number_at(place, "turn") - number_at(drawn, "turn") + 4) %
                                 number_at(drawn, "step"),
                             0);
        }
    }
}

static double real_at(const json_t *document, const char *path)
{
    return json_number_value(value_at(document, path));
}

static void every_block_lies_once_where_its_kind_belongs(void **state)
{
    fixture *self = *state;
    json_t *wall = tideline(self);
    static const char *const wishes[] = { "", ", \"whole\": true",
                                          ", \"from\": \"afresh\"",
                                          ", \"nest\": true, \"layout\": \"rings\"" };
    for (size_t i = 0; i < G_N_ELEMENTS(wishes); i++) {
        json_t *found = does(self, "arrange",
                             "{\"quilt\": \"Tideline\", \"seconds\": 0.1%s}", wishes[i]);
        g_autoptr(GHashTable) seen = g_hash_table_new(NULL, NULL);
        assert_int_equal(blocks_of(value_at(found, "places"), seen), 73);
        check_kinds_and_turns(wall, value_at(found, "places"));
        assert_int_equal(number_at(found, "open"), 192 - 73);
        json_decref(found);
    }
    json_decref(wall);
}

static void open_places_stay_open(void **state)
{
    fixture *self = *state;
    json_t *wall = tideline(self);
    json_t *found = does(self, "arrange", "{\"quilt\": \"Tideline\", \"seconds\": 0.1}");
    size_t r, c;
    const json_t *row, *place;
    json_array_foreach (value_at(wall, "places"), r, row)
        json_array_foreach (row, c, place)
            assert_int_equal(
                json_is_null(json_object_get(place, "block")),
                json_is_null(json_object_get(
                    json_array_get(json_array_get(value_at(found, "places"), r), c),
                    "block")));
    json_decref(found);
    json_decref(wall);
}

/* What the document says of the arrangement is what it is reckoned to be once it lies so:
 * judged anew, without a search. */
static void the_cost_told_is_the_cost_from_scratch(void **state)
{
    fixture *self = *state;
    json_decref(tideline(self));
    json_t *found = does(self, "arrange",
                         "{\"quilt\": \"Tideline\", \"seconds\": 0.2, \"keep\": true}");
    json_t *judged = does(self, "arrange", "{\"quilt\": \"Tideline\", \"seconds\": 0}");
    assert_true(json_is_true(value_at(found, "kept")));
    assert_float_equal(real_at(judged, "cost"), real_at(found, "cost"), 1e-6);
    assert_float_equal(real_at(judged, "spread"), real_at(found, "spread"), 1e-9);
    assert_true(real_at(found, "cost") <= real_at(found, "start_cost"));
    assert_true(json_equal(value_at(judged, "places"), value_at(found, "places")));
    json_decref(judged);
    json_decref(found);
}

static void undo_puts_every_block_back(void **state)
{
    fixture *self = *state;
    json_t *before = tideline(self);
    json_decref(does(self, "arrange",
                     "{\"quilt\": \"Tideline\", \"seconds\": 0.1, \"keep\": true}"));
    json_t *moved = does(self, "wall", "{\"quilt\": \"Tideline\"}");
    assert_false(json_equal(value_at(before, "places"), value_at(moved, "places")));
    json_decref(does(self, "undo", "{}"));
    json_t *after = does(self, "wall", "{\"quilt\": \"Tideline\"}");
    assert_true(json_equal(before, after));
    json_decref(before);
    json_decref(moved);
    json_decref(after);
}

static void pins_stay(void **state)
{
    fixture *self = *state;
    json_t *wall = tideline(self);
    long long first = number_at(wall, "places.0.0.block");
    json_decref(does(self, "place.pin", "{\"quilt\": \"Tideline\", \"place\": [1, 1]}"));
    /* Another of its kind, sent to a place by the request alone. */
    long long other = number_at(wall, "places.2.2.block");
    assert_string_equal(kind_of(wall, other), text_at(wall, "grid.4.0.kind"));
    json_t *found = does(self, "arrange",
                         "{\"quilt\": \"Tideline\", \"seconds\": 0.1, \"from\": "
                         "\"afresh\", \"pin\": [\"5,1=%lld\"]}",
                         other);
    assert_int_equal(number_at(found, "places.0.0.block"), first);
    assert_int_equal(number_at(found, "places.4.0.block"), other);
    json_decref(found);
    json_decref(wall);
}

static void two_blocks_change_places_and_back(void **state)
{
    fixture *self = *state;
    json_t *wall = tideline(self);
    json_t *swapped = does(self, "place.swap",
                           "{\"quilt\": \"Tideline\", \"a\": \"1,1\", \"b\": [3, 3]}");
    assert_int_equal(number_at(swapped, "places.0.0.block"),
                     number_at(wall, "places.2.2.block"));
    json_decref(swapped);
    json_t *back = does(self, "place.swap",
                        "{\"quilt\": \"Tideline\", \"a\": [3, 3], \"b\": [1, 1]}");
    assert_true(json_equal(value_at(wall, "places"), value_at(back, "places")));
    json_decref(back);
    json_t *turned =
        does(self, "place.turn", "{\"quilt\": \"Tideline\", \"place\": [1, 2]}");
    assert_int_equal(number_at(turned, "places.0.1.turn"),
                     (number_at(wall, "places.0.1.turn") + 1) % 4);
    json_decref(turned);
    json_decref(wall);
}

/* The lattice chain of the catalogue begins: cross plain plain plain; plain stroke ... A
 * stroke's chain runs one way along a diagonal, so no turn but its own or the half turn
 * draws it right; of 73 blocks in rows of twelve the last lies at row 7, column 1. */
static void what_would_break_the_design_is_refused(void **state)
{
    fixture *self = *state;
    json_t *wall = tideline(self);
    long long plain = number_at(wall, "places.0.1.block");
    const char *quilt = "\"quilt\": \"Tideline\"";
    refuses(self, "app.kinds-differ", "place.swap", "{%s, \"a\": [1, 1], \"b\": [1, 2]}",
            quilt);
    refuses(self, "app.turn-wrong", "place.turn",
            "{%s, \"place\": [2, 2], \"turn\": %lld}", quilt,
            (number_at(wall, "places.1.1.turn") + 1) % 4);
    refuses(self, "app.place-empty", "place.turn", "{%s, \"place\": [16, 12]}", quilt);
    refuses(self, "app.place-empty", "place.pin", "{%s, \"place\": [16, 12]}", quilt);
    refuses(self, "app.no-place", "place.pin", "{%s, \"place\": [17, 1]}", quilt);
    refuses(self, "app.field-missing", "place.swap", "{%s, \"a\": [1, 1]}", quilt);
    refuses(self, "app.field-wrong", "place.swap", "{%s, \"a\": [1, 1], \"b\": [1, 1]}",
            quilt);
    refuses(self, "app.field-wrong", "arrange", "{%s, \"pin\": [\"1,1\"]}", quilt);
    refuses(self, "app.field-wrong", "arrange", "{%s, \"seconds\": -1}", quilt);
    refuses(self, "app.field-wrong", "arrange", "{%s, \"seconds\": \"long\"}", quilt);
    refuses(self, "app.field-wrong", "arrange", "{%s, \"spread\": 11}", quilt);
    refuses(self, "app.field-wrong", "arrange", "{%s, \"layout\": \"spiral\"}", quilt);
    refuses(self, "app.no-block", "arrange", "{%s, \"pin\": [\"1,1=9999\"]}", quilt);
    refuses(self, "app.no-place", "arrange", "{%s, \"pin\": [\"40,1=%lld\"]}", quilt,
            plain);
    refuses(self, "plan.pin-does-not-belong", "arrange", "{%s, \"pin\": [\"1,1=%lld\"]}",
            quilt, plain);
    refuses(self, "plan.pin-block-twice", "arrange",
            "{%s, \"pin\": [\"1,2=%lld\", \"1,3=%lld\"]}", quilt, plain, plain);
    refuses(self, "plan.pin-place-taken", "arrange",
            "{%s, \"pin\": [\"1,3=%lld\", \"1,3=%lld\"]}", quilt, plain,
            number_at(wall, "places.0.2.block"));
    refuses(self, "app.field-wrong", "arrange.keep", "{%s, \"places\": []}", quilt);
    refuses(self, "app.quilt-closed", "place.pin",
            "{\"quilt\": \"Low Water\", \"place\": [1, 1]}");
    json_decref(wall);
}

static void start_small(fixture *self)
{
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Small\", \"design\": \"nine-patch\", \"across\": 3, "
                     "\"down\": 3, \"unit\": \"2.5in\"}"));
}

static void a_quilt_without_blocks_has_nothing_to_arrange(void **state)
{
    fixture *self = *state;
    start_small(self);
    refuses(self, "app.no-blocks", "arrange", "{\"quilt\": \"Small\"}");
}

static bool warns(const json_t *document, const char *code)
{
    size_t i;
    const json_t *warning;
    json_array_foreach (value_at(document, "warnings"), i, warning)
        if (strcmp(text_at(warning, "code"), code) == 0)
            return true;
    return false;
}

static void one_fabric_is_the_best_possible_and_said_so(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    start_small(self);
    json_t *fabrics = does(self, "fabrics", "{}");
    long long fabric = number_at(fabrics, "fabrics.0.fabric");
    for (int col = 1; col <= 3; col++)
        json_decref(does(self, "made",
                         "{\"quilt\": \"Small\", \"place\": [1, %d], \"patches\": [%lld, "
                         "%lld, %lld, %lld, %lld, %lld, %lld, %lld, %lld]}",
                         col, fabric, fabric, fabric, fabric, fabric, fabric, fabric,
                         fabric, fabric));
    json_t *found = does(self, "arrange", "{\"quilt\": \"Small\", \"seconds\": 0.05}");
    assert_true(warns(found, "arrange.one-fabric"));
    assert_float_equal(real_at(found, "seams"), 1, 1e-4);
    json_decref(found);
    json_decref(fabrics);
}

static void unknown_fabric_is_said(void **state)
{
    fixture *self = *state;
    json_decref(tideline(self));
    json_t *found = does(self, "arrange", "{\"quilt\": \"Tideline\", \"seconds\": 0}");
    assert_true(warns(found, "arrange.unknown-fabric"));
    json_decref(found);
}

/* ---- What does not fit ---- */

/* Small with so many of its nine blocks made. */
static void make_small(fixture *self, int blocks)
{
    start_small(self);
    json_decref(does(self, "made",
                     "{\"quilt\": \"Small\", \"kind\": \"nine\", \"count\": %d}",
                     blocks));
}

/* The design is changed under the blocks, as a book that was brought in may have it. */
static void change_design(fixture *self, const char *name, int across, int down,
                          const char *design_text)
{
    g_autoptr(GError) error = NULL;
    g_auto(store_quilt) quilt = { 0 };
    g_autoptr(store_change) change = NULL;
    if (!store_quilt_find(self->book->book, name, &quilt, &error) ||
        (change = store_change_begin(self->book->book, "Changed", &error)) == NULL)
        fail_msg("%s", error->message);
    quilt.across = across;
    quilt.down = down;
    if (design_text != NULL) {
        g_free(quilt.design_text);
        quilt.design_text = g_strdup(design_text);
    }
    if (!store_quilt_say(change, &quilt, &error) || !store_change_commit(change, &error))
        fail_msg("%s", error->message);
}

/* Each block once, laid or in "over"; returns how many are laid. */
static int check_nothing_is_lost(const json_t *found, int blocks)
{
    g_autoptr(GHashTable) seen = g_hash_table_new(NULL, NULL);
    int laid = blocks_of(value_at(found, "places"), seen);
    size_t i;
    const json_t *over;
    json_array_foreach (value_at(found, "over"), i, over)
        if (!g_hash_table_add(seen, GINT_TO_POINTER(json_integer_value(over))))
            fail_msg("block %lld is laid and left over", json_integer_value(over));
    assert_int_equal(g_hash_table_size(seen), blocks);
    return laid;
}

static void more_blocks_than_places_leave_some_over_and_none_is_lost(void **state)
{
    fixture *self = *state;
    make_small(self, 9);
    change_design(self, "Small", 3, 2, NULL);
    json_t *found = does(self, "arrange",
                         "{\"quilt\": \"Small\", \"seconds\": 0.05, \"keep\": true}");
    assert_true(warns(found, "arrange.over"));
    assert_int_equal(check_nothing_is_lost(found, 9), 6);
    json_decref(found);
    json_t *wall = does(self, "wall", "{\"quilt\": \"Small\"}");
    assert_int_equal(json_array_size(value_at(wall, "blocks")), 9);
    json_decref(wall);
    /* Places that are there again may be filled again. */
    change_design(self, "Small", 3, 3, NULL);
    found = does(self, "arrange", "{\"quilt\": \"Small\", \"seconds\": 0.05}");
    assert_int_equal(check_nothing_is_lost(found, 9), 9);
    json_decref(found);
}

static void fewer_blocks_than_places_leave_some_open(void **state)
{
    fixture *self = *state;
    make_small(self, 4);
    json_t *found = does(self, "arrange",
                         "{\"quilt\": \"Small\", \"seconds\": 0.05, \"whole\": true}");
    assert_int_equal(check_nothing_is_lost(found, 4), 4);
    assert_int_equal(number_at(found, "open"), 5);
    json_decref(found);
}

/* Tideline's strokes have no place once its design has crosses in their stead; what lay
 * there was 18 of its 73 blocks. */
static void a_kind_that_lost_its_places_is_told_and_kept_in_the_book(void **state)
{
    fixture *self = *state;
    json_t *wall = tideline(self);
    int strokes = 0;
    size_t i;
    const json_t *block;
    json_array_foreach (value_at(wall, "blocks"), i, block)
        strokes += strcmp(text_at(block, "kind"), "stroke") == 0;
    assert_true(strokes > 0);
    change_design(self, "Tideline", 12, 16,
                  "name Lattice chain\n"
                  "block plain S S S / S S S / S S S\n"
                  "block cross B S B / S B S / B S B\n"
                  "block stroke B S S / S B S / S S B\n"
                  "repeat cross plain\nrepeat plain cross\n");
    json_t *found = does(self, "arrange",
                         "{\"quilt\": \"Tideline\", \"seconds\": 0.1, \"keep\": true}");
    assert_true(warns(found, "arrange.design-changed"));
    assert_int_equal(check_nothing_is_lost(found, 73 - strokes), 73 - strokes);
    json_decref(found);
    json_t *after = does(self, "wall", "{\"quilt\": \"Tideline\"}");
    assert_int_equal(number_at(after, "strangers"), strokes);
    check_kinds_and_turns(after, value_at(after, "places"));
    json_decref(after);
    json_decref(wall);
}

static void a_design_without_any_of_the_kinds_is_said_plainly(void **state)
{
    fixture *self = *state;
    make_small(self, 3);
    change_design(self, "Small", 3, 3,
                  "name Other\nblock other B S S / S S S / S S S\nrepeat other\n");
    refuses(self, "app.no-blocks", "arrange", "{\"quilt\": \"Small\"}");
    json_t *wall = does(self, "wall", "{\"quilt\": \"Small\"}");
    assert_int_equal(number_at(wall, "strangers"), 3);
    json_decref(wall);
}

/* In the chain of the catalogue row 1, column 2 is plain; here it is a cross. */
static void a_pin_whose_place_has_changed_is_left_out_and_said(void **state)
{
    fixture *self = *state;
    json_decref(tideline(self));
    json_decref(does(self, "place.pin", "{\"quilt\": \"Tideline\", \"place\": [1, 2]}"));
    change_design(self, "Tideline", 12, 16,
                  "name Lattice chain\n"
                  "block plain S S S / S S S / S S S\n"
                  "block cross B S B / S B S / B S B\n"
                  "block stroke B S S / S B S / S S B\n"
                  "repeat plain cross\nrepeat stroke plain\n");
    json_t *found = does(self, "arrange", "{\"quilt\": \"Tideline\", \"seconds\": 0.1}");
    assert_true(warns(found, "arrange.pin-loose"));
    check_nothing_is_lost(found, 73);
    json_decref(found);
}

static void a_place_pinned_in_the_book_takes_no_other(void **state)
{
    fixture *self = *state;
    json_t *wall = tideline(self);
    json_decref(does(self, "place.pin", "{\"quilt\": \"Tideline\", \"place\": [1, 1]}"));
    refuses(self, "plan.pin-place-taken", "arrange",
            "{\"quilt\": \"Tideline\", \"pin\": [\"1,1=%lld\"]}",
            number_at(wall, "places.2.2.block"));
    json_decref(wall);
}

/* Stopped from the first picture on: what is given is what was best, and kept if asked.
 */
static void stop_at_once(json_t *partial, void *data)
{
    (void)partial;
    atomic_store((atomic_bool *)data, true);
}

static void a_search_that_is_stopped_keeps_the_best_found(void **state)
{
    fixture *self = *state;
    json_decref(tideline(self));
    atomic_bool stop = false;
    g_autoptr(json_t) request =
        json_pack("{s:s, s:i, s:b}", "quilt", "Tideline", "seconds", 3000, "keep", true);
    app_call call = {
        .request = request, .stop = &stop, .partial = stop_at_once, .data = &stop
    };
    json_t *found = NULL;
    g_autoptr(GError) error = NULL;
    if (!app_action_find("arrange")->run(self->book, &call, &found, &error))
        fail_msg("%s", error->message);
    assert_true(json_is_true(value_at(found, "stopped")));
    assert_true(json_is_true(value_at(found, "kept")));
    assert_true(real_at(found, "cost") < real_at(found, "start_cost"));
    json_t *wall = does(self, "wall", "{\"quilt\": \"Tideline\"}");
    assert_true(json_equal(value_at(wall, "places"), value_at(found, "places")));
    json_decref(wall);
    json_decref(found);
}

/* ---- The next block ---- */

static void a_basket_of_one_fabric_makes_the_best_possible_and_says_so(void **state)
{
    fixture *self = *state;
    json_decref(does(self, "demo", "{}"));
    json_t *fabrics = does(self, "fabrics", "{}");
    json_decref(does(self, "quilt.start",
                     "{\"quilt\": \"Small\", \"design\": \"nine-patch\", \"across\": 3, "
                     "\"down\": 3, \"unit\": \"3in\"}")); /* the demo has none of these */
    for (int i = 0; i < 2; i++) {
        g_autofree char *path = g_strdup_printf("fabrics.%d.fabric", i);
        json_decref(does(self, "basket.add",
                         "{\"count\": 30, \"unit\": \"3in\", \"fabric\": %lld}",
                         number_at(fabrics, path)));
        json_t *next = does(self, "next", "{\"quilt\": \"Small\"}");
        assert_int_equal(warns(next, "next.one-fabric"), i == 0);
        json_decref(next);
    }
    json_decref(fabrics);
}

static void what_is_locked_stays_and_what_is_turned_over_goes(void **state)
{
    fixture *self = *state;
    json_decref(tideline(self));
    json_t *first = does(self, "next", "{\"quilt\": \"Tideline\"}");
    json_t *shown = json_array();
    int drawn = 0, kept = 0;
    size_t r, c;
    const json_t *row, *patch;
    json_array_foreach (value_at(first, "blocks.0.patches"), r, row) {
        json_t *line = json_array();
        json_array_foreach (row, c, patch) {
            json_array_append(line, json_object_get(patch, "fabric"));
            drawn += json_is_integer(json_object_get(patch, "fabric"));
        }
        json_array_append_new(shown, line);
    }
    g_autofree char *rows = json_dumps(shown, 0);
    json_t *second = does(self, "next",
                          "{\"quilt\": \"Tideline\", \"shown\": %s, \"turn_over\": 2, "
                          "\"seed\": 4}",
                          rows);
    json_array_foreach (value_at(second, "blocks.0.patches"), r, row)
        json_array_foreach (row, c, patch)
            kept += json_is_integer(json_object_get(patch, "fabric")) &&
                    json_equal(json_object_get(patch, "fabric"),
                               json_array_get(json_array_get(shown, r), c));
    assert_int_equal(kept, drawn - 2);

    json_t *locked = does(self, "next",
                          "{\"quilt\": \"Tideline\", \"locked\": %s, \"seed\": 9}", rows);
    assert_true(json_equal(value_at(locked, "blocks.0.patches.0.0.fabric"),
                           value_at(first, "blocks.0.patches.0.0.fabric")));
    json_decref(locked);
    json_decref(second);
    json_decref(shown);
    json_decref(first);
    refuses(self, "app.field-wrong", "next",
            "{\"quilt\": \"Tideline\", \"locked\": [[1]]}");
    refuses(
        self, "app.no-fabric", "next",
        "{\"quilt\": \"Tideline\", \"used\": [[9999, 9999, 9999], [9999, 9999, 9999], "
        "[9999, 9999, 9999]]}");
}

static void squares_to_pull_are_those_of_the_blocks(void **state)
{
    fixture *self = *state;
    json_decref(tideline(self));
    json_t *next = does(self, "next", "{\"quilt\": \"Tideline\", \"count\": 10}");
    long long pulled = 0, drawn = 0;
    size_t i, r, c;
    const json_t *block, *row, *patch;
    json_array_foreach (value_at(next, "pull"), i, row)
        pulled += number_at(row, "squares");
    json_array_foreach (value_at(next, "blocks"), i, block)
        json_array_foreach (value_at(block, "patches"), r, row)
            json_array_foreach (row, c, patch)
                drawn += strcmp(text_at(patch, "role"), "scrap") == 0;
    assert_int_equal(pulled, drawn);
    json_decref(next);
}

/* A nine patch takes five squares and the basket holds 22. */
static void a_day_ends_where_the_basket_does(void **state)
{
    fixture *self = *state;
    start_small(self);
    json_decref(does(self, "basket.add", "{\"count\": 22, \"unit\": \"2.5in\"}"));
    json_t *next = does(self, "next", "{\"quilt\": \"Small\", \"count\": 8}");
    assert_int_equal(json_array_size(value_at(next, "blocks")), 4);
    assert_true(warns(next, "next.short"));
    json_decref(next);
    json_decref(does(self, "basket.take", "{\"count\": 18, \"unit\": \"2.5in\"}"));
    refuses(self, "app.basket-short", "next", "{\"quilt\": \"Small\", \"count\": 8}");
}

#define ARRANGE_TEST(name)                                                               \
    cmocka_unit_test_setup_teardown(name, fixture_open, fixture_close)

int main(void)
{
    const struct CMUnitTest tests[] = {
        ARRANGE_TEST(every_block_lies_once_where_its_kind_belongs),
        ARRANGE_TEST(open_places_stay_open),
        ARRANGE_TEST(the_cost_told_is_the_cost_from_scratch),
        ARRANGE_TEST(undo_puts_every_block_back),
        ARRANGE_TEST(pins_stay),
        ARRANGE_TEST(two_blocks_change_places_and_back),
        ARRANGE_TEST(what_would_break_the_design_is_refused),
        ARRANGE_TEST(a_quilt_without_blocks_has_nothing_to_arrange),
        ARRANGE_TEST(one_fabric_is_the_best_possible_and_said_so),
        ARRANGE_TEST(unknown_fabric_is_said),
        ARRANGE_TEST(more_blocks_than_places_leave_some_over_and_none_is_lost),
        ARRANGE_TEST(fewer_blocks_than_places_leave_some_open),
        ARRANGE_TEST(a_kind_that_lost_its_places_is_told_and_kept_in_the_book),
        ARRANGE_TEST(a_design_without_any_of_the_kinds_is_said_plainly),
        ARRANGE_TEST(a_pin_whose_place_has_changed_is_left_out_and_said),
        ARRANGE_TEST(a_place_pinned_in_the_book_takes_no_other),
        ARRANGE_TEST(a_search_that_is_stopped_keeps_the_best_found),
        ARRANGE_TEST(a_basket_of_one_fabric_makes_the_best_possible_and_says_so),
        ARRANGE_TEST(what_is_locked_stays_and_what_is_turned_over_goes),
        ARRANGE_TEST(squares_to_pull_are_those_of_the_blocks),
        ARRANGE_TEST(a_day_ends_where_the_basket_does),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
