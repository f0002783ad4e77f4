#include "test.h"

#include "book-fixture.h"
#include "store/basket.h"
#include "store/recent.h"
#include "store/shade.h"

static const colour_signature teal = {
    2,
    { { 45.5, -30.25, -8 }, { 92, 0, 2 } },
    { 0.75, 0.25 },
    { { 12, 0, 255 }, { 1, 0, 90 }, { 7, 0, 8 }, { 0, 1, 2 } }
};

static store_change *begin(store_book *book)
{
    GError *error = NULL;
    store_change *change = store_change_begin(book, "Test", &error);
    MUST(change != NULL);
    return change;
}

static void sources_are_found_by_name_whatever_the_capitals(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t harbour, other, found;
    g_autoptr(store_change) change = begin(f->book);
    MUST(store_source_add(change, "Übersee", STORE_SOURCE_GIFT, NULL, &other, &error));
    MUST(store_source_add(change, "Harbour", STORE_SOURCE_QUILT, "1998", &harbour,
                          &error));
    MUST_FAIL(
        store_source_add(change, "HARBOUR", STORE_SOURCE_GIFT, NULL, &found, &error),
        "store.name-taken");
    MUST(store_change_commit(change, &error));

    MUST(store_source_find(f->book, "harbour", &found, &error));
    assert_int_equal(found, harbour);
    MUST(store_source_find(f->book, "übersee", &found, &error));
    assert_int_equal(found, other);
    MUST_FAIL(store_source_find(f->book, "Orchard", &found, &error), "store.unknown");

    g_autoptr(GArray) list = NULL;
    MUST(store_source_list(f->book, &list, &error));
    assert_int_equal(list->len, 2);
    const store_source *first = &g_array_index(list, store_source, 0);
    assert_string_equal(first->name, "Harbour");
    assert_string_equal(first->note, "1998");
    assert_int_equal(first->kind, STORE_SOURCE_QUILT);
}

static void a_source_can_be_renamed_but_not_to_anothers_name(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    store_source source = { .name = (char *)"Kite Day", .kind = STORE_SOURCE_SWAP };
    int64_t other;
    g_autoptr(store_change) change = begin(f->book);
    MUST(store_source_add(change, "Orchard", STORE_SOURCE_GIFT, NULL, &other, &error));
    MUST(store_source_add(change, "Kite", STORE_SOURCE_GIFT, NULL, &source.id, &error));
    MUST(store_source_say(change, &source, &error));
    MUST(store_source_say(change, &source, &error));
    source.name = (char *)"orchard";
    MUST_FAIL(store_source_say(change, &source, &error), "store.name-taken");
    source = (store_source){ .id = 99, .name = (char *)"Nobody" };
    MUST_FAIL(store_source_say(change, &source, &error), "store.unknown");
}

static void what_she_says_of_a_value_wins_over_what_was_worked_out(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t id;
    g_autoptr(store_change) change = begin(f->book);
    MUST(store_fabric_add(change, NULL, -1, &id, &error));
    g_auto(store_fabric) unseen = { 0 }, worked_out = { 0 }, said = { 0 };
    MUST(store_fabric_get(f->book, id, &unseen, &error));
    assert_int_equal(unseen.value, -1);
    assert_null(unseen.name);

    MUST(store_signature_add(change, id, &teal, COLOUR_DARK, &error));
    MUST(store_fabric_get(f->book, id, &worked_out, &error));
    assert_int_equal(worked_out.value, COLOUR_DARK);
    assert_false(worked_out.value_said);

    worked_out.value = COLOUR_MEDIUM;
    worked_out.value_said = true;
    worked_out.name = g_strdup("Teal waves");
    MUST(store_fabric_say(change, &worked_out, &error));
    MUST(store_fabric_get(f->book, id, &said, &error));
    assert_int_equal(said.value, COLOUR_MEDIUM);
    assert_true(said.value_said);
    int64_t found;
    MUST(store_fabric_find(f->book, "TEAL waves", &found, &error));
    assert_int_equal(found, id);
    MUST_FAIL(store_fabric_find(f->book, "plum", &found, &error), "store.unknown");
    MUST_FAIL(store_fabric_get(f->book, 77, &said, &error), "store.unknown");
}

static void colours_come_back_as_they_went_in(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t id;
    g_autoptr(store_change) change = begin(f->book);
    MUST(store_fabric_add(change, "Teal", COLOUR_DARK, &id, &error));
    MUST(store_signature_add(change, id, &teal, COLOUR_DARK, &error));
    g_autoptr(GArray) list = NULL, none = NULL;
    MUST(store_signature_list(f->book, id, &list, &error));
    assert_int_equal(list->len, 1);
    const store_signature *got = &g_array_index(list, store_signature, 0);
    assert_int_equal(got->fabric, id);
    assert_int_equal(got->colours.count, 2);
    /* these values are exact in single precision */
    assert_true(got->colours.lab[0].l == 45.5 && got->colours.lab[0].a == -30.25 &&
                got->colours.lab[1].b == 2 && got->colours.share[0] == 0.75);
    assert_memory_equal(&got->colours.texture, &teal.texture, sizeof teal.texture);
    MUST(store_signature_forget(change, id, &error));
    MUST(store_signature_list(f->book, 0, &none, &error));
    assert_int_equal(none->len, 0);
}

/* As it was kept before there were twelve bytes of texture, and before there was any. */
static void colours_of_an_older_book_come_without_what_it_did_not_know(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t id;
    store_change *change = begin(f->book);
    MUST(store_fabric_add(change, "Teal", COLOUR_DARK, &id, &error));
    MUST(store_signature_add(change, id, &teal, COLOUR_DARK, &error));
    MUST(store_change_commit(change, &error));
    store_change_free(change);
    for (int bytes = 6; bytes >= 0; bytes -= 6) {
        g_autofree char *cut = g_strdup_printf(
            "UPDATE fabric_signature SET colours = substr(colours, 1, %d)", 32 + bytes);
        assert_int_equal(run_sql(f->path, cut), SQLITE_OK);
        g_autoptr(GArray) list = NULL;
        MUST(store_signature_list(f->book, id, &list, &error));
        const colour_signature *got = &g_array_index(list, store_signature, 0).colours;
        assert_int_equal(got->count, 2);
        assert_int_equal(got->texture.light[2], bytes > 0 ? 255 : 0);
        assert_int_equal(got->texture.chroma[2], bytes > 0 ? 90 : 0);
        assert_int_equal(got->texture.sparse[0], 0);
        assert_int_equal(got->texture.crossed[2], 0);
    }
}

static void fabrics_said_to_be_one_count_as_one(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t a, b, c;
    g_autoptr(store_change) change = begin(f->book);
    MUST(store_fabric_add(change, "a", -1, &a, &error));
    MUST(store_fabric_add(change, "b", -1, &b, &error));
    MUST(store_fabric_add(change, "c", -1, &c, &error));
    MUST(store_signature_add(change, a, &teal, COLOUR_DARK, &error));
    /* a as b, then b as c: both count as c */
    MUST(store_fabric_same(change, a, b, &error));
    MUST(store_fabric_same(change, b, c, &error));
    g_auto(store_fabric) one = { 0 };
    MUST(store_fabric_get(f->book, a, &one, &error));
    assert_int_equal(one.same_as, c);
    /* in a ring it is the same fabric already */
    MUST(store_fabric_same(change, c, a, &error));
    g_auto(store_fabric) root = { 0 };
    MUST(store_fabric_get(f->book, c, &root, &error));
    assert_int_equal(root.same_as, 0);

    g_autoptr(GBytes) jpeg = g_bytes_new_static("swatch", 6);
    int64_t picture;
    MUST(store_swatch_add(change, a, jpeg, &picture, &error));
    g_autoptr(GArray) signatures = NULL, swatches = NULL;
    MUST(store_signature_list(f->book, c, &signatures, &error));
    assert_int_equal(signatures->len, 1);
    assert_int_equal(g_array_index(signatures, store_signature, 0).fabric, c);
    MUST(store_swatch_list(f->book, c, &swatches, &error));
    assert_int_equal(swatches->len, 1);
    assert_int_equal(g_array_index(swatches, int64_t, 0), picture);

    /* The list of all looks: c looks as a does; b, which counts as c, has no look. */
    g_autoptr(GArray) looks = NULL;
    MUST(store_look_list(f->book, false, &looks, &error));
    assert_int_equal(looks->len, 3);
    static const int colours[] = { 1, 0, 1 }, values[] = { COLOUR_DARK, -1, -1 };
    for (guint i = 0; i < looks->len; i++) {
        const store_look *look = &g_array_index(looks, store_look, i);
        assert_int_equal(look->fabric, i == 0 ? a : i == 1 ? b : c);
        assert_int_equal(look->colours.count > 0, colours[i]);
        assert_int_equal(look->value, values[i]);
        assert_int_equal(look->swatch, i == 0);
    }
    /* And of all shades: whoever asks for a or b is told of c, as which they count. */
    g_autoptr(GArray) shades = NULL;
    MUST(store_shade_list(f->book, &shades, &error));
    assert_int_equal(shades->len, 3);
    for (guint i = 0; i < shades->len; i++) {
        const store_shade *shade = &g_array_index(shades, store_shade, i);
        assert_int_equal(shade->value, values[i]);
        assert_int_equal(shade->coloured, colours[i]);
        if (shade->coloured)
            assert_float_equal(shade->colour.a, teal.lab[0].a, 1e-4);
        assert_int_equal(store_shade_find(shades, shade->fabric)->fabric, c);
    }
    assert_null(store_shade_find(shades, c + 1));

    MUST(store_fabric_same(change, a, 0, &error));
    g_auto(store_fabric) again = { 0 };
    MUST(store_fabric_get(f->book, a, &again, &error));
    assert_int_equal(again.same_as, 0);
    assert_int_equal(again.swatch, picture);
    MUST_FAIL(store_fabric_same(change, a, 99, &error), "store.unknown");
}

static void a_picture_is_kept_once(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t a, first, second;
    g_autoptr(store_change) change = begin(f->book);
    g_autoptr(GBytes) jpeg = g_bytes_new_static("picture", 7);
    MUST(store_fabric_add(change, NULL, -1, &a, &error));
    MUST(store_swatch_add(change, a, jpeg, &first, &error));
    MUST(store_swatch_add(change, a, jpeg, &second, &error));
    assert_int_equal(first, second);
    g_autoptr(GBytes) got = store_picture(f->book, first, &error);
    assert_true(g_bytes_equal(got, jpeg));
    assert_null(store_picture(f->book, 99, &error));
    assert_string_equal(motley_error_code(error), "store.unknown");
    g_clear_error(&error);
}

static void an_undone_fabric_is_gone_and_comes_back_with_redo(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t id;
    {
        g_autoptr(store_change) change = begin(f->book);
        MUST(store_fabric_add(change, "Brief", -1, &id, &error));
        MUST(store_signature_add(change, id, &teal, COLOUR_DARK, &error));
        MUST(store_change_commit(change, &error));
    }
    g_autoptr(GArray) before = NULL, none = NULL, signatures = NULL, after = NULL;
    MUST(store_fabric_list(f->book, 0, 0, &before, &error));
    assert_int_equal(before->len, 1);
    MUST(store_undo(f->book, NULL, &error));
    MUST(store_fabric_list(f->book, 0, 0, &none, &error));
    assert_int_equal(none->len, 0);
    MUST(store_signature_list(f->book, 0, &signatures, &error));
    assert_int_equal(signatures->len, 0);
    MUST(store_redo(f->book, NULL, &error));
    MUST(store_fabric_list(f->book, 0, 10, &after, &error));
    assert_int_equal(after->len, 1);
    assert_int_equal(g_array_index(after, store_fabric, 0).value, COLOUR_DARK);
}

/* An hour in which she put squares of a fabric in the basket; 0 makes a new fabric first.
 */
static int64_t hour_with(store_book *book, int hour, int64_t fabric, int count,
                         bool known)
{
    GError *error = NULL;
    g_autoptr(store_change) change = begin(book);
    store_change_set_time(change, 1700000000 + 3600 * (int64_t)hour);
    if (fabric == 0)
        MUST(store_fabric_add(change, NULL, -1, &fabric, &error));
    store_ledger_row row = {
        .unit = LENGTH_INCH,
        .fabric = fabric,
        .count = count,
        .how = STORE_ADDED,
        .fabric_known = known,
        .counted = true,
    };
    if (count > 0)
        MUST(store_layer_add(change, &row.layer, &error) &&
             store_ledger_append(change, &row, NULL, &error));
    MUST(store_change_commit(change, &error));
    return fabric;
}

static void in_this_order(store_book *book, size_t n, const int64_t wanted[n])
{
    GError *error = NULL;
    g_autoptr(GArray) recent = NULL;
    MUST(store_recent_list(book, &recent, &error));
    g_array_sort(recent, store_recent_order);
    assert_int_equal(recent->len, n);
    for (guint i = 0; i < recent->len; i++)
        assert_int_equal(g_array_index(recent, store_recent, i).fabric, wanted[i]);
}

static void what_she_had_in_hand_last_comes_first(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t few = hour_with(f->book, 1, 0, 3, true);
    int64_t many = hour_with(f->book, 1, 0, 9, true);
    int64_t none = hour_with(f->book, 1, 0, 0, true);
    int64_t newer = hour_with(f->book, 2, 0, 0, true);
    /* the newest; of one time that of which there is most */
    in_this_order(f->book, 4, (const int64_t[]){ newer, many, few, none });
    /* what is guessed to have moved was not in her hand; what she says, was */
    hour_with(f->book, 3, many, 1, false);
    hour_with(f->book, 4, few, 1, true);
    in_this_order(f->book, 4, (const int64_t[]){ few, newer, many, none });
    /* used as another, it is the other that was used; and it keeps its own time */
    {
        g_autoptr(store_change) change = begin(f->book);
        MUST(store_fabric_same(change, few, none, &error));
        MUST(store_change_commit(change, &error));
    }
    in_this_order(f->book, 4, (const int64_t[]){ none, newer, many, few });
    g_autoptr(GArray) recent = NULL;
    MUST(store_recent_list(f->book, &recent, &error));
    assert_int_equal(store_recent_find(recent, none)->squares, 4);
    assert_null(store_recent_find(recent, few + 100));
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, book_setup, book_teardown)
    const struct CMUnitTest tests[] = {
        TEST(sources_are_found_by_name_whatever_the_capitals),
        TEST(a_source_can_be_renamed_but_not_to_anothers_name),
        TEST(what_she_says_of_a_value_wins_over_what_was_worked_out),
        TEST(colours_come_back_as_they_went_in),
        TEST(colours_of_an_older_book_come_without_what_it_did_not_know),
        TEST(fabrics_said_to_be_one_count_as_one),
        TEST(a_picture_is_kept_once),
        TEST(an_undone_fabric_is_gone_and_comes_back_with_redo),
        TEST(what_she_had_in_hand_last_comes_first),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
