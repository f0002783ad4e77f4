#include "test.h"

#include "book-fixture.h"

static const char hash[] =
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";

static const scrap_point square[] = {
    { -8128, 0 }, { 8128, 0 }, { 8128, 16256 }, { -8128, 16256 }
};
static const scrap_point hole[] = { { 0, 100 }, { 0, 200 }, { 100, 200 } };
static const scrap_ring holes[] = { { 3, hole } };
static const scrap_outline outline = { { 4, square }, 1, holes };

static store_change *begin(store_book *book)
{
    GError *error = NULL;
    store_change *change = store_change_begin(book, "Test", &error);
    MUST(change != NULL);
    return change;
}

static int64_t add_photo(store_change *change, const char *sha256)
{
    GError *error = NULL;
    int64_t id;
    store_photo photo = { .sha256 = (char *)sha256,
                          .name = (char *)"scraps.jpg",
                          .width = 4000,
                          .height = 3000,
                          .plan_left = -30000,
                          .plan_top = 40000,
                          .plan_pixels_per_in = 72.5,
                          .card_tags = 11,
                          .card_error_in = 0.002,
                          .pixels_per_in = 143,
                          .warnings = (char *)"[]",
                          .geometry = (char *)"{}" };
    g_autoptr(GBytes) plan = g_bytes_new_static("plan", 4);
    MUST(store_photo_add(change, &photo, plan, &id, &error));
    return id;
}

static int64_t add_scrap(store_change *change, int64_t photo, int number)
{
    GError *error = NULL;
    int64_t id;
    g_autoptr(store_outline) found = store_outline_copy(&outline);
    store_scrap scrap = {
        .photo = photo,
        .number = number,
        .outline = found,
        .area = (int64_t)16256 * 16256 - 5000,
        .sure = 0.875,
        .on_edge = true,
        .colours = { .count = 1, .lab = { { 50, 10, -10 } }, .share = { 1 } },
        .value = COLOUR_MEDIUM
    };
    MUST(store_scrap_add(change, &scrap, &id, &error));
    return id;
}

static void an_outline_reads_back_as_it_was_written(void **state)
{
    (void)state;
    g_autofree char *text = store_outline_write(&outline);
    assert_string_equal(text, "[[[-8128,0],[8128,0],[8128,16256],[-8128,16256]],"
                              "[[0,100],[0,200],[100,200]]]");
    g_autoptr(store_outline) read = store_outline_read(text);
    assert_non_null(read);
    const scrap_outline *view = store_outline_view(read);
    assert_int_equal(view->outer.count, 4);
    assert_int_equal(view->hole_count, 1);
    assert_int_equal(view->holes[0].points[2].x, 100);
    g_autofree char *again = store_outline_write(view);
    assert_string_equal(again, text);
    g_autoptr(store_outline) spaced = store_outline_read(" [ [ [ 1 , -2 ] ] ] \n");
    assert_non_null(spaced);
    assert_int_equal(store_outline_view(spaced)->outer.points[0].y, -2);
}

static void a_text_that_is_no_outline_is_refused(void **state)
{
    (void)state;
    static const char *const wrong[] = {
        "",
        "[",
        "[]",
        "[[",
        "[[1,2]]",
        "[[[1,2]]",
        "[[[1,2]]]x",
        "[[[1;2]]]",
        "[[[1,2,3]]]",
        "[[[1.5,2]]]",
        "[[[99999999999999999999,2]]]",
        "[[[320000001,0]]]",
        "[[[,2]]]",
        "[[[1,2],]]",
        "[[[1,2]],]",
        "{}",
        "null",
        "[[[--1,2]]]",
        "[[[ ,]]]",
    };
    for (size_t i = 0; i < G_N_ELEMENTS(wrong); i++) {
        g_autoptr(store_outline) read = store_outline_read(wrong[i]);
        if (read != NULL)
            fail_msg("%s was read", wrong[i]);
    }
}

static void a_photo_is_kept_once_with_its_plan(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t found;
    g_autoptr(store_change) change = begin(f->book);
    MUST(store_photo_find(f->book, hash, &found, &error));
    assert_int_equal(found, 0);
    int64_t id = add_photo(change, hash);
    MUST(store_photo_find(f->book, hash, &found, &error));
    assert_int_equal(found, id);

    g_auto(store_photo) photo = { 0 };
    MUST(store_photo_get(f->book, id, &photo, &error));
    assert_string_equal(photo.sha256, hash);
    assert_int_equal(photo.plan_top, 40000);
    assert_true(photo.plan_pixels_per_in == 72.5);
    assert_int_equal(photo.taken, 0);
    g_autoptr(GBytes) plan = store_picture(f->book, photo.plan, &error);
    assert_int_equal(g_bytes_get_size(plan), 4);

    int64_t second;
    MUST_FAIL(store_photo_add(change, &photo, NULL, &second, &error),
              "store.photo-known");
    g_auto(store_photo) none = { 0 };
    MUST_FAIL(store_photo_get(f->book, 99, &none, &error), "store.unknown");
}

static void photos_are_listed_newest_first_page_by_page(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autoptr(store_change) change = begin(f->book);
    for (int i = 0; i < 5; i++) {
        g_autofree char *name = g_strdup_printf("%064d", i);
        add_photo(change, name);
    }
    g_autoptr(GArray) first = NULL, second = NULL;
    MUST(store_photo_list(f->book, 0, 3, &first, &error));
    assert_int_equal(first->len, 3);
    assert_int_equal(g_array_index(first, store_photo, 0).id, 5);
    MUST(store_photo_list(f->book, g_array_index(first, store_photo, 2).id, 0, &second,
                          &error));
    assert_int_equal(second->len, 2);
}

static void a_mended_outline_wins_and_can_be_dropped(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autoptr(store_change) change = begin(f->book);
    int64_t id = add_scrap(change, add_photo(change, hash), 1);
    g_auto(store_scrap) found = { 0 }, mended = { 0 }, again = { 0 };
    MUST(store_scrap_get(f->book, id, &found, &error));
    assert_false(found.mended);
    assert_int_equal(store_outline_view(found.outline)->hole_count, 1);
    assert_int_equal(found.colours.count, 1);
    assert_int_equal(found.value, COLOUR_MEDIUM);

    const scrap_outline triangle = { { 3, square }, 0, NULL };
    MUST(store_scrap_mend(change, id, &triangle, 77, &error));
    MUST(store_scrap_get(f->book, id, &mended, &error));
    assert_true(mended.mended);
    assert_int_equal(mended.area, 77);
    assert_int_equal(store_outline_view(mended.outline)->outer.count, 3);

    MUST(store_scrap_mend(change, id, NULL, 0, &error));
    MUST(store_scrap_get(f->book, id, &again, &error));
    assert_false(again.mended);
    assert_int_equal(again.area, found.area);
    MUST_FAIL(store_scrap_mend(change, 99, NULL, 0, &error), "store.unknown");
}

static void scraps_are_listed_by_state(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t fabric;
    g_autoptr(store_change) change = begin(f->book);
    int64_t photo = add_photo(change, hash);
    int64_t second = add_scrap(change, photo, 2);
    int64_t first = add_scrap(change, photo, 1);
    g_autoptr(GArray) all = NULL, lying = NULL, cut = NULL, left = NULL;
    MUST(store_scrap_of_photo(f->book, photo, &all, &error));
    assert_int_equal(g_array_index(all, store_scrap, 0).id, first);

    MUST(store_scrap_set_state(change, first, STORE_SCRAP_CUT, &error));
    MUST(store_fabric_add(change, NULL, -1, &fabric, &error));
    MUST(store_scrap_say(change, second, fabric, 0, &error));
    MUST(store_scrap_list(f->book, STORE_SCRAP_LYING, 0, 0, &lying, &error));
    assert_int_equal(lying->len, 1);
    assert_int_equal(g_array_index(lying, store_scrap, 0).id, second);
    assert_int_equal(g_array_index(lying, store_scrap, 0).fabric, fabric);
    MUST(store_scrap_list(f->book, STORE_SCRAP_CUT, 0, 0, &cut, &error));
    assert_int_equal(cut->len, 1);
    MUST(store_scrap_remove(change, second, &error));
    MUST_FAIL(store_scrap_remove(change, second, &error), "store.unknown");
    MUST(store_photo_remove(change, photo, &error));
    MUST(store_scrap_of_photo(f->book, photo, &left, &error));
    assert_int_equal(left->len, 0);
}

static void a_removed_photo_comes_back_with_its_scraps_and_colours(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t photo, id;
    {
        g_autoptr(store_change) change = begin(f->book);
        photo = add_photo(change, hash);
        id = add_scrap(change, photo, 1);
        MUST(store_change_commit(change, &error));
    }
    g_autofree char *before = dump(f->path);
    {
        g_autoptr(store_change) change = begin(f->book);
        MUST(store_photo_remove(change, photo, &error));
        MUST(store_change_commit(change, &error));
    }
    MUST(store_undo(f->book, NULL, &error));
    g_autofree char *after = dump(f->path);
    assert_string_equal(before, after);
    g_auto(store_scrap) scrap = { 0 };
    MUST(store_scrap_get(f->book, id, &scrap, &error));
    assert_int_equal(scrap.colours.count, 1);
}

/* Colours read in an outline go back with it; those worked out anew in between, which no
 * one said, stand in nobody's way. */
static void colours_are_undone_with_the_outline_they_were_read_in(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t id;
    {
        g_autoptr(store_change) change = begin(f->book);
        id = add_scrap(change, add_photo(change, hash), 1);
        MUST(store_change_commit(change, &error));
    }
    g_autofree char *before = dump(f->path);
    const scrap_outline triangle = { { 3, square }, 0, NULL };
    const colour_signature red = { .count = 1,
                                   .lab = { { 40, 60, 30 } },
                                   .share = { 1 } },
                           blue = { .count = 1,
                                    .lab = { { 40, 0, -60 } },
                                    .share = { 1 } };
    {
        g_autoptr(store_change) change = begin(f->book);
        MUST(store_scrap_mend(change, id, &triangle, 77, &error));
        MUST(store_scrap_set_colours(change, id, &red, COLOUR_DARK, &error));
        MUST(store_change_commit(change, &error));
    }
    {
        g_autoptr(store_change) change = store_change_begin_quiet(f->book, &error);
        MUST(store_scrap_set_colours(change, id, &blue, COLOUR_LIGHT, &error));
        MUST(store_change_commit(change, &error));
    }
    MUST(store_undo(f->book, NULL, &error));
    g_autofree char *after = dump(f->path);
    assert_string_equal(before, after);
    MUST(store_redo(f->book, NULL, &error));
    g_auto(store_scrap) scrap = { 0 };
    MUST(store_scrap_get(f->book, id, &scrap, &error));
    assert_int_equal(scrap.area, 77);
    assert_int_equal(scrap.value, COLOUR_DARK);
}

static void a_scrap_seen_again_counts_once_while_the_other_is_there(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autoptr(store_change) change = begin(f->book);
    int64_t photo = add_photo(change, hash);
    int64_t one = add_scrap(change, photo, 1), two = add_scrap(change, photo, 2);
    MUST(store_scrap_again(change, two, one, true, &error));
    g_auto(store_scrap) again = { 0 }, itself = { 0 };
    MUST(store_scrap_get(f->book, two, &again, &error));
    assert_int_equal(again.again_of, one);
    assert_true(again.again_sure);
    MUST(store_scrap_remove(change, one, &error));
    MUST(store_scrap_get(f->book, two, &itself, &error));
    assert_int_equal(itself.again_of, 0);
    assert_false(itself.again_sure);
    MUST_FAIL(store_scrap_again(change, 99, 0, false, &error), "store.unknown");
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, book_setup, book_teardown)
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_outline_reads_back_as_it_was_written),
        cmocka_unit_test(a_text_that_is_no_outline_is_refused),
        TEST(a_photo_is_kept_once_with_its_plan),
        TEST(photos_are_listed_newest_first_page_by_page),
        TEST(a_mended_outline_wins_and_can_be_dropped),
        TEST(scraps_are_listed_by_state),
        TEST(a_removed_photo_comes_back_with_its_scraps_and_colours),
        TEST(colours_are_undone_with_the_outline_they_were_read_in),
        TEST(a_scrap_seen_again_counts_once_while_the_other_is_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
