#include "test.h"

#include "book-fixture.h"

static store_change *begin(store_book *book)
{
    GError *error = NULL;
    store_change *change = store_change_begin(book, "Test", &error);
    MUST(change != NULL);
    return change;
}

static store_quilt tideline(void)
{
    return (store_quilt){ .name = (char *)"Tideline",
                          .design = (char *)"lattice-chain",
                          .design_text = (char *)"name Lattice chain\n",
                          .across = 12,
                          .down = 16,
                          .unit = 20320,
                          .seam = 2032,
                          .overage_permille = 100,
                          .border_count = 2,
                          .borders = { 8128, 48768 },
                          .binding = 20320,
                          .on_point = true };
}

static int64_t add_quilt(store_change *change)
{
    GError *error = NULL;
    int64_t id;
    store_quilt quilt = tideline();
    MUST(store_quilt_add(change, &quilt, &id, &error));
    return id;
}

static int64_t add_block(store_change *change, int64_t quilt, int row, int col)
{
    GError *error = NULL;
    int64_t id;
    store_block block = {
        .quilt = quilt, .kind = (char *)"cross", .row = row, .col = col, .turn = 1
    };
    MUST(store_block_add(change, &block, &id, &error));
    return id;
}

static void a_quilt_is_kept_as_it_was_started(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autoptr(store_change) change = begin(f->book);
    store_change_set_time(change, 1000000000);
    int64_t id = add_quilt(change);
    g_auto(store_quilt) got = { 0 };
    MUST(store_quilt_find(f->book, "TIDELINE", &got, &error));
    assert_int_equal(got.id, id);
    assert_int_equal(got.started, 1000000000);
    assert_int_equal(got.closed, 0);
    assert_string_equal(got.design_text, "name Lattice chain\n");
    assert_int_equal(got.border_count, 2);
    assert_int_equal(got.borders[1], 48768);
    assert_int_equal(got.binding, 20320);
    assert_true(got.on_point);

    got.across = 13;
    got.border_count = 0;
    MUST(store_quilt_say(change, &got, &error));
    g_auto(store_quilt) said = { 0 }, none = { 0 };
    MUST(store_quilt_get(f->book, id, &said, &error));
    assert_int_equal(said.across, 13);
    assert_int_equal(said.border_count, 0);
    MUST_FAIL(store_quilt_find(f->book, "Nowhere", &none, &error), "store.unknown");
    MUST_FAIL(store_quilt_get(f->book, 99, &none, &error), "store.unknown");
}

static void a_name_is_free_again_when_its_quilt_is_closed(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t id;
    store_quilt quilt = tideline();
    g_autoptr(store_change) change = begin(f->book);
    int64_t first = add_quilt(change);
    MUST_FAIL(store_quilt_add(change, &quilt, &id, &error), "store.name-taken");
    MUST(store_quilt_set_closed(change, first, true, &error));
    int64_t second = add_quilt(change);
    MUST_FAIL(store_quilt_set_closed(change, first, false, &error), "store.name-taken");
    g_auto(store_quilt) found = { 0 };
    MUST(store_quilt_find(f->book, "Tideline", &found, &error));
    assert_int_equal(found.id, second);

    g_autoptr(GArray) lines = NULL;
    MUST(store_quilt_list(f->book, &lines, &error));
    assert_int_equal(lines->len, 2);
    assert_int_equal(g_array_index(lines, store_quilt_line, 0).id, second);
    assert_int_equal(g_array_index(lines, store_quilt_line, 0).closed, 0);
    assert_int_not_equal(g_array_index(lines, store_quilt_line, 1).closed, 0);
}

static void a_role_has_one_fabric(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t linen, indigo, fabrics[QUILT_ROLES];
    g_autoptr(store_change) change = begin(f->book);
    int64_t id = add_quilt(change);
    MUST(store_fabric_add(change, "Linen", -1, &linen, &error));
    MUST(store_fabric_add(change, "Indigo", -1, &indigo, &error));
    MUST(store_quilt_set_fabric(change, id, QUILT_BACKGROUND, linen, &error));
    MUST(store_quilt_set_fabric(change, id, QUILT_BACKGROUND, indigo, &error));
    MUST(store_quilt_set_fabric(change, id, QUILT_ACCENT, linen, &error));
    MUST(store_quilt_set_fabric(change, id, QUILT_ACCENT, 0, &error));
    MUST(store_quilt_fabrics(f->book, id, fabrics, &error));
    assert_int_equal(fabrics[QUILT_BACKGROUND], indigo);
    assert_int_equal(fabrics[QUILT_ACCENT], 0);
    assert_int_equal(fabrics[QUILT_SCRAP], 0);
}

static void two_blocks_never_lie_in_one_place(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t at;
    g_autoptr(store_change) change = begin(f->book);
    int64_t id = add_quilt(change);
    int64_t a = add_block(change, id, 1, 1), b = add_block(change, id, 1, 2);
    add_block(change, id, 0, 0);
    add_block(change, id, 0, 0);
    store_block third = { .quilt = id, .kind = (char *)"cross", .row = 1, .col = 2 };
    MUST_FAIL(store_block_add(change, &third, &at, &error), "store.place-taken");

    const store_placing swap[] = { { a, 1, 2, 3, true }, { b, 1, 1, 0, false } };
    MUST(store_block_place(change, 2, swap, &error));
    MUST(store_block_at(f->book, id, 1, 2, &at, &error));
    assert_int_equal(at, a);
    MUST(store_block_at(f->book, id, 7, 7, &at, &error));
    assert_int_equal(at, 0);
    g_auto(store_block) block = { 0 };
    MUST(store_block_get(f->book, a, &block, &error));
    assert_int_equal(block.turn, 3);
    assert_true(block.pinned);
    MUST_FAIL(
        store_block_place(change, 1, swap + 1, &error) &&
            store_block_place(change, 1, &(store_placing){ a, 1, 1, 0, false }, &error),
        "store.place-taken");
    MUST_FAIL(
        store_block_place(change, 1, &(store_placing){ 99, 0, 0, 0, false }, &error),
        "store.unknown");

    g_autoptr(GArray) blocks = NULL;
    MUST(store_block_list(f->book, id, &blocks, &error));
    assert_int_equal(blocks->len, 4);
    assert_int_equal(g_array_index(blocks, store_block, 3).row, 0);
}

static void an_exchange_of_blocks_can_be_undone(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t a, b;
    {
        g_autoptr(store_change) change = begin(f->book);
        int64_t id = add_quilt(change);
        a = add_block(change, id, 1, 1);
        b = add_block(change, id, 2, 5);
        MUST(store_change_commit(change, &error));
    }
    g_autofree char *before = dump(f->path);
    {
        g_autoptr(store_change) change = begin(f->book);
        const store_placing swap[] = { { a, 2, 5, 0, false }, { b, 1, 1, 0, false } };
        MUST(store_block_place(change, 2, swap, &error));
        MUST(store_change_commit(change, &error));
    }
    g_autofree char *swapped = dump(f->path);
    MUST(store_undo(f->book, NULL, &error));
    g_autofree char *after = dump(f->path);
    assert_string_equal(before, after);
    MUST(store_redo(f->book, NULL, &error));
    g_autofree char *again = dump(f->path);
    assert_string_equal(swapped, again);
}

static void patches_say_where_a_fabric_went(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t teal, sea;
    g_autoptr(store_change) change = begin(f->book);
    int64_t id = add_quilt(change);
    int64_t a = add_block(change, id, 1, 1), b = add_block(change, id, 1, 2);
    MUST(store_fabric_add(change, "Teal", -1, &teal, &error));
    MUST(store_fabric_add(change, "Sea", -1, &sea, &error));
    const store_patch of_a[] = { { .place = 0, .fabric = teal, .sure = 1, .known = true },
                                 { .place = 1, .part = 0, .fabric = 0, .sure = 0.5 },
                                 { .place = 1, .part = 1, .fabric = sea, .sure = 0.25 } };
    const store_patch of_b[] = { { .place = 4, .fabric = teal, .sure = 0.75 } };
    MUST(store_patch_set(change, a, 3, of_a, &error));
    MUST(store_patch_set(change, a, 3, of_a, &error));
    MUST(store_patch_set(change, b, 1, of_b, &error));
    MUST(store_fabric_same(change, sea, teal, &error));

    g_autoptr(GArray) one = NULL, all = NULL, uses = NULL;
    MUST(store_patch_of_block(f->book, a, &one, &error));
    assert_int_equal(one->len, 3);
    assert_int_equal(g_array_index(one, store_patch, 2).fabric, teal);
    assert_int_equal(g_array_index(one, store_patch, 2).part, 1);
    MUST(store_patch_of_quilt(f->book, id, &all, &error));
    assert_int_equal(all->len, 4);
    MUST(store_fabric_uses(f->book, teal, &uses, &error));
    assert_int_equal(uses->len, 1);
    const store_fabric_use *use = &g_array_index(uses, store_fabric_use, 0);
    assert_int_equal(use->quilt, id);
    assert_int_equal(use->known, 1);
    assert_int_equal(use->inferred, 2);
}

static void blocks_count_by_the_day_they_were_made(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autoptr(store_change) change = begin(f->book);
    int64_t id = add_quilt(change), other;
    /* noon UTC: the same day wherever the clock is less than 12 hours off */
    const int64_t noon = 1700049600; /* 15 November 2023 */
    static const int later[] = { 0, 0, 0, 1, 1, 16, 16, 16, 16, 47 }; /* days */
    for (size_t i = 0; i < G_N_ELEMENTS(later); i++) {
        store_block block = { .quilt = id,
                              .kind = (char *)"cross",
                              .made_at = noon + 86400 * later[i] };
        MUST(store_block_add(change, &block, &other, &error));
    }
    g_autoptr(GArray) days = NULL, all = NULL;
    MUST(store_block_days(f->book, id, &days, &error));
    MUST(store_block_days(f->book, 0, &all, &error));
    assert_int_equal(days->len, 4);
    assert_int_equal(all->len, 4);
    const store_day *first = &g_array_index(days, store_day, 0);
    assert_int_equal(first->year, 2023);
    assert_int_equal(first->month, 11);
    assert_int_equal(first->day, 15);
    assert_int_equal(first->blocks, 3);
    /* 5 in November, 4 on 1 December, 1 on 1 January */
    static const store_day wanted[] = { { .year = 2023, .month = 11, .blocks = 5 },
                                        { .year = 2023, .month = 12, .blocks = 4 },
                                        { .year = 2024, .month = 1, .blocks = 1 } };
    g_autoptr(GArray) months = NULL;
    MUST(store_block_months(f->book, &months, &error));
    assert_int_equal(months->len, G_N_ELEMENTS(wanted));
    assert_memory_equal(months->data, wanted, sizeof wanted);
}

static void no_month_has_blocks_before_the_first(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autoptr(GArray) months = NULL;
    MUST(store_block_months(f->book, &months, &error));
    assert_int_equal(months->len, 0);
}

static void removing_a_quilt_takes_all_of_it_and_undo_brings_it_back(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t id, fabric;
    {
        g_autoptr(store_change) change = begin(f->book);
        id = add_quilt(change);
        int64_t block = add_block(change, id, 3, 4);
        MUST(store_fabric_add(change, NULL, -1, &fabric, &error));
        const store_patch patch = { .fabric = fabric, .sure = 1, .known = true };
        MUST(store_patch_set(change, block, 1, &patch, &error));
        MUST(store_quilt_set_fabric(change, id, QUILT_BACKGROUND, fabric, &error));
        const store_bought bought = { (char *)"background", 32512, true };
        MUST(store_bought_set(change, id, &bought, &error));
        g_autoptr(GBytes) jpeg = g_bytes_new_static("quilt", 5);
        MUST(store_quilt_set_picture(change, id, jpeg, &error));
        MUST(store_block_set_picture(change, block, jpeg, &error));
        MUST(store_change_commit(change, &error));
    }
    g_autofree char *before = dump(f->path);
    {
        g_autoptr(store_change) change = begin(f->book);
        MUST(store_quilt_remove(change, id, &error));
        MUST_FAIL(store_quilt_remove(change, id, &error), "store.unknown");
        MUST(store_change_commit(change, &error));
    }
    g_autofree char *gone = dump(f->path);
    MUST(store_undo(f->book, NULL, &error));
    g_autofree char *after = dump(f->path);
    assert_string_equal(before, after);
    g_autoptr(GArray) bought = NULL;
    MUST(store_bought_list(f->book, id, &bought, &error));
    assert_int_equal(bought->len, 1);
    assert_int_equal(g_array_index(bought, store_bought, 0).length_bought, 32512);
    MUST(store_redo(f->book, NULL, &error));
    g_autofree char *again = dump(f->path);
    assert_string_equal(gone, again);
}

static void a_block_can_be_taken_off(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autoptr(store_change) change = begin(f->book);
    int64_t block = add_block(change, add_quilt(change), 1, 1);
    MUST(store_block_remove(change, block, &error));
    MUST_FAIL(store_block_remove(change, block, &error), "store.unknown");
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, book_setup, book_teardown)
    const struct CMUnitTest tests[] = {
        TEST(a_quilt_is_kept_as_it_was_started),
        TEST(a_name_is_free_again_when_its_quilt_is_closed),
        TEST(a_role_has_one_fabric),
        TEST(two_blocks_never_lie_in_one_place),
        TEST(an_exchange_of_blocks_can_be_undone),
        TEST(patches_say_where_a_fabric_went),
        TEST(blocks_count_by_the_day_they_were_made),
        TEST(no_month_has_blocks_before_the_first),
        TEST(removing_a_quilt_takes_all_of_it_and_undo_brings_it_back),
        TEST(a_block_can_be_taken_off),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
