#include "test.h"

#include "base/random.h"
#include "book-fixture.h"

enum { UNIT = 20320, SMALL = 16256 }; /* 2 1/2 in, 2 in */

static store_change *begin(store_book *book)
{
    GError *error = NULL;
    store_change *change = store_change_begin(book, "Test", &error);
    MUST(change != NULL);
    return change;
}

static int64_t add_layer(store_change *change)
{
    GError *error = NULL;
    int64_t layer;
    MUST(store_layer_add(change, &layer, &error));
    return layer;
}

static int64_t add_fabric(store_change *change, int value)
{
    GError *error = NULL;
    int64_t fabric;
    MUST(store_fabric_add(change, NULL, value, &fabric, &error));
    return fabric;
}

static void put(store_change *change, int64_t layer, int64_t fabric, int count)
{
    GError *error = NULL;
    store_ledger_row row = { .layer = layer,
                             .unit = UNIT,
                             .fabric = fabric,
                             .count = count,
                             .how = STORE_CUT,
                             .fabric_known = true,
                             .counted = true };
    MUST(store_ledger_append(change, &row, NULL, &error));
}

static int take(store_change *change, int64_t fabric, int count, int64_t block)
{
    GError *error = NULL;
    int taken;
    store_take what = { .unit = UNIT,
                        .count = count,
                        .fabric = fabric,
                        .fabric_known = fabric != 0,
                        .how = STORE_MADE,
                        .block = block };
    MUST(store_basket_take(change, &what, &taken, &error));
    return taken;
}

static store_unit_total total(store_book *book, length unit)
{
    GError *error = NULL;
    g_autoptr(GArray) totals = NULL;
    MUST(store_basket_units(book, &totals, &error));
    for (guint i = 0; i < totals->len; i++)
        if (g_array_index(totals, store_unit_total, i).unit == unit)
            return g_array_index(totals, store_unit_total, i);
    return (store_unit_total){ .unit = unit };
}

static store_share share_of(GArray *shares, int64_t id)
{
    for (guint i = 0; i < shares->len; i++)
        if (g_array_index(shares, store_share, i).id == id)
            return g_array_index(shares, store_share, i);
    return (store_share){ .id = id };
}

static void assert_fabric(store_book *book, int64_t fabric, int known, int inferred)
{
    GError *error = NULL;
    g_autoptr(GArray) shares = NULL;
    MUST(store_basket_fabrics(book, UNIT, &shares, &error));
    store_share share = share_of(shares, fabric);
    if (share.known != known || share.inferred != inferred)
        fail_msg("fabric %d: %d known, %d inferred; wanted %d, %d", (int)fabric,
                 (int)share.known, (int)share.inferred, known, inferred);
}

/* --- taking --------------------------------------------------------------------------
 */

static void squares_come_off_the_oldest_layer_first(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autoptr(store_change) change = begin(f->book);
    int64_t a = add_fabric(change, -1), b = add_fabric(change, -1);
    int64_t old = add_layer(change), young = add_layer(change);
    put(change, old, a, 5);
    put(change, young, b, 20);
    assert_int_equal(take(change, 0, 7, 0), 7);

    g_autoptr(GArray) layers = NULL, heaps = NULL;
    MUST(store_basket_layers(f->book, UNIT, &layers, &error));
    assert_int_equal(layers->len, 1);
    const store_layer_total *left = &g_array_index(layers, store_layer_total, 0);
    assert_int_equal(left->layer, young);
    assert_int_equal(left->put_in, 20);
    assert_int_equal(left->left, 18);
    assert_int_equal(left->inferred, -2);
    MUST(store_basket_top(f->book, UNIT, 0, &heaps, &error));
    assert_int_equal(heaps->len, 1);
    assert_int_equal(g_array_index(heaps, store_heap, 0).fabric, b);
    assert_false(g_array_index(heaps, store_heap, 0).exact);
}

static void an_unsaid_take_is_spread_in_proportion_and_inferred(void **state)
{
    fixture *f = *state;
    g_autoptr(store_change) change = begin(f->book);
    int64_t a = add_fabric(change, -1), b = add_fabric(change, -1),
            c = add_fabric(change, -1);
    int64_t layer = add_layer(change);
    put(change, layer, a, 60);
    put(change, layer, b, 30);
    put(change, layer, c, 10);
    assert_int_equal(take(change, 0, 10, 0), 10);
    assert_fabric(f->book, a, 60, -6);
    assert_fabric(f->book, b, 30, -3);
    assert_fabric(f->book, c, 10, -1);
    /* the total is exact all the same */
    assert_int_equal(total(f->book, UNIT).squares, 90);
    assert_int_equal(total(f->book, UNIT).estimated, 0);
}

static void a_named_fabric_is_taken_exactly(void **state)
{
    fixture *f = *state;
    g_autoptr(store_change) change = begin(f->book);
    int64_t a = add_fabric(change, -1), b = add_fabric(change, -1);
    put(change, add_layer(change), a, 5);
    int64_t young = add_layer(change);
    put(change, young, a, 5);
    put(change, young, b, 5);
    assert_int_equal(take(change, a, 7, 0), 7);
    assert_fabric(f->book, a, 3, 0);
    assert_fabric(f->book, b, 5, 0);
    /* no more than there is */
    assert_int_equal(take(change, a, 7, 0), 3);
    assert_int_equal(take(change, 0, 100, 0), 5);
    assert_int_equal(take(change, 0, 1, 0), 0);
    assert_int_equal(total(f->book, UNIT).squares, 0);
}

static void a_taken_off_block_gives_its_squares_back_to_their_layers(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int back;
    g_autoptr(store_change) change = begin(f->book);
    int64_t a = add_fabric(change, -1);
    put(change, add_layer(change), a, 5);
    put(change, add_layer(change), a, 8);
    take(change, 0, 9, 42);
    take(change, 0, 2, 43);
    MUST(store_basket_put_back(change, 42, &back, &error));
    assert_int_equal(back, 9);
    MUST(store_basket_put_back(change, 42, &back, &error));
    assert_int_equal(back, 0);
    assert_int_equal(total(f->book, UNIT).squares, 11);
    g_autoptr(GArray) layers = NULL;
    MUST(store_basket_layers(f->book, 0, &layers, &error));
    assert_int_equal(g_array_index(layers, store_layer_total, 0).left, 5);
    assert_int_equal(g_array_index(layers, store_layer_total, 0).put_in, 5);
    assert_int_equal(g_array_index(layers, store_layer_total, 1).left, 6);
}

static void putting_back_and_undoing_it_meet(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int back;
    {
        g_autoptr(store_change) change = begin(f->book);
        put(change, add_layer(change), 0, 30);
        MUST(store_change_commit(change, &error));
    }
    {
        g_autoptr(store_change) change = begin(f->book);
        take(change, 0, 9, 42);
        MUST(store_change_commit(change, &error));
    }
    {
        g_autoptr(store_change) change = begin(f->book);
        MUST(store_basket_put_back(change, 42, &back, &error));
        MUST(store_change_commit(change, &error));
    }
    assert_int_equal(total(f->book, UNIT).squares, 30);
    MUST(store_undo(f->book, NULL, &error));
    assert_int_equal(total(f->book, UNIT).squares, 21);
    MUST(store_undo(f->book, NULL, &error));
    assert_int_equal(total(f->book, UNIT).squares, 30);
    {
        /* the block was undone: nothing is left to put back */
        g_autoptr(store_change) change = begin(f->book);
        MUST(store_basket_put_back(change, 42, &back, &error));
        assert_int_equal(back, 0);
    }
    MUST(store_redo(f->book, NULL, &error));
    MUST(store_redo(f->book, NULL, &error));
    assert_int_equal(total(f->book, UNIT).squares, 30);
}

/* --- counting again -------------------------------------------------------------------
 */

static void a_count_makes_the_total_exact_again_after_weighing(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int difference;
    g_autoptr(store_change) change = begin(f->book);
    put(change, add_layer(change), 0, 100);
    MUST(store_basket_correct(change, UNIT, 130, false, &difference, &error));
    assert_int_equal(difference, 30);
    assert_int_equal(total(f->book, UNIT).squares, 130);
    assert_int_equal(total(f->book, UNIT).estimated, 30);
    MUST(store_basket_correct(change, UNIT, 120, false, &difference, &error));
    assert_int_equal(difference, -10);
    assert_int_equal(total(f->book, UNIT).estimated, 20);
    MUST(store_basket_correct(change, UNIT, 118, true, &difference, &error));
    assert_int_equal(difference, -2);
    assert_int_equal(total(f->book, UNIT).squares, 118);
    assert_int_equal(total(f->book, UNIT).estimated, 0);
    MUST(store_basket_correct(change, UNIT, 125, true, &difference, &error));
    assert_int_equal(total(f->book, UNIT).squares, 125);
    MUST(store_basket_correct(change, UNIT, 125, true, &difference, &error));
    assert_int_equal(difference, 0);
    MUST(store_basket_correct(change, SMALL, 3, true, NULL, &error));
    assert_int_equal(total(f->book, SMALL).squares, 3);
}

/* --- by what --------------------------------------------------------------------------
 */

static void the_basket_is_told_by_source_value_and_merged_fabric(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t harbour;
    g_autoptr(store_change) change = begin(f->book);
    MUST(store_source_add(change, "Harbour", STORE_SOURCE_QUILT, NULL, &harbour, &error));
    int64_t light = add_fabric(change, COLOUR_LIGHT),
            dark = add_fabric(change, COLOUR_DARK);
    int64_t twin = add_fabric(change, COLOUR_LIGHT), unseen = add_fabric(change, -1);
    int64_t layer = add_layer(change);
    store_ledger_row row = { .layer = layer,
                             .unit = UNIT,
                             .fabric = light,
                             .source = harbour,
                             .count = 12,
                             .how = STORE_CUT,
                             .fabric_known = true,
                             .counted = true };
    MUST(store_ledger_append(change, &row, NULL, &error));
    put(change, layer, dark, 4);
    put(change, layer, twin, 3);
    put(change, layer, unseen, 2);
    MUST(store_fabric_same(change, twin, dark, &error));
    assert_fabric(f->book, dark, 7, 0);
    assert_fabric(f->book, twin, 0, 0);

    g_autoptr(GArray) sources = NULL, values = NULL, none = NULL, rows = NULL;
    MUST(store_basket_sources(f->book, 0, &sources, &error));
    assert_int_equal(share_of(sources, harbour).known, 12);
    assert_int_equal(share_of(sources, 0).known, 9);
    MUST(store_basket_values(f->book, UNIT, &values, &error));
    assert_int_equal(share_of(values, COLOUR_LIGHT).known, 12);
    assert_int_equal(share_of(values, COLOUR_DARK).known, 7);
    assert_int_equal(share_of(values, -1).known, 2);
    MUST(store_basket_values(f->book, SMALL, &none, &error));
    assert_int_equal(none->len, 0);
    MUST(store_ledger_of_fabric(f->book, dark, &rows, &error));
    assert_int_equal(rows->len, 2);
    /* a take of the merged fabric reaches both */
    assert_int_equal(take(change, dark, 7, 0), 7);
}

static void months_tell_what_came_in_and_went_out_and_forget_what_was_undone(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    const int64_t june = 1686830400, july = 1689422400; /* the 15th, noon UTC, 2023 */
    {
        g_autoptr(store_change) change = begin(f->book);
        store_change_set_time(change, june);
        put(change, add_layer(change), 0, 50);
        take(change, 0, 9, 0);
        MUST(store_change_commit(change, &error));
    }
    {
        g_autoptr(store_change) change = begin(f->book);
        store_change_set_time(change, july);
        take(change, 0, 5, 0);
        MUST(store_change_commit(change, &error));
    }
    g_autoptr(GArray) flows = NULL, undone = NULL;
    MUST(store_basket_months(f->book, 0, &flows, &error));
    assert_int_equal(flows->len, 2);
    const store_flow *first = &g_array_index(flows, store_flow, 0);
    assert_int_equal(first->year, 2023);
    assert_int_equal(first->month, 6);
    assert_int_equal(first->in, 50);
    assert_int_equal(first->out, 9);
    /* undone years later, and still it is July that loses it */
    MUST(store_undo(f->book, NULL, &error));
    MUST(store_basket_months(f->book, UNIT, &undone, &error));
    assert_int_equal(undone->len, 1);
    assert_int_equal(g_array_index(undone, store_flow, 0).in, 50);
}

static void a_quilt_knows_the_sources_of_its_squares(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t harbour, quilt, block;
    store_quilt start = { .name = (char *)"Q",
                          .design = (char *)"d",
                          .design_text = (char *)"",
                          .across = 1,
                          .down = 1,
                          .unit = UNIT };
    g_autoptr(store_change) change = begin(f->book);
    MUST(store_source_add(change, "Harbour", STORE_SOURCE_QUILT, NULL, &harbour, &error));
    store_ledger_row row = { .layer = add_layer(change),
                             .unit = UNIT,
                             .source = harbour,
                             .count = 12,
                             .how = STORE_CUT,
                             .fabric_known = true,
                             .counted = true };
    MUST(store_ledger_append(change, &row, NULL, &error));
    MUST(store_quilt_add(change, &start, &quilt, &error));
    store_block cross = { .quilt = quilt, .kind = (char *)"cross" };
    MUST(store_block_add(change, &cross, &block, &error));
    take(change, 0, 9, block);
    g_autoptr(GArray) shares = NULL;
    MUST(store_quilt_sources(f->book, quilt, &shares, &error));
    assert_int_equal(shares->len, 1);
    assert_int_equal(g_array_index(shares, store_share, 0).id, harbour);
    assert_int_equal(g_array_index(shares, store_share, 0).inferred, 9);
}

/* --- laws
 * ------------------------------------------------------------------------------- */

static void nobody_alters_the_ledger(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    {
        g_autoptr(store_change) change = begin(f->book);
        put(change, add_layer(change), add_fabric(change, -1), 9);
        MUST(store_source_add(change, "S", STORE_SOURCE_GIFT, NULL, &(int64_t){ 0 },
                              &error));
        MUST(store_change_commit(change, &error));
    }
    static const char *const attempts[] = {
        "UPDATE ledger SET count = 8",
        "DELETE FROM ledger",
        "DELETE FROM layer",
        "UPDATE layer SET at = 0",
        "DELETE FROM fabric",
        "UPDATE fabric SET id = 9",
        "DELETE FROM source",
        "UPDATE source SET created = 0",
        "INSERT INTO ledger (at, day, change, layer, unit, count, how, inward, "
        "fabric_known,"
        " counted) VALUES (0, 0, 1, 1, 1, 0, 'cut', 1, 1, 1)",
    };
    for (size_t i = 0; i < G_N_ELEMENTS(attempts); i++)
        if ((run_sql(f->path, attempts[i]) & 0xff) != SQLITE_CONSTRAINT)
            fail_msg("%s was allowed", attempts[i]);
    assert_int_equal(ask_number(f->path, "SELECT sum(count) FROM ledger"), 9);
}

/* One change at random, as a maker might. */
static void change_something(store_book *book, motley_random *random, int64_t fabrics[4])
{
    GError *error = NULL;
    g_autoptr(store_change) change = begin(book);
    int count = 1 + (int)motley_random_below(random, 12);
    int64_t fabric = fabrics[motley_random_below(random, 4)];
    switch (motley_random_below(random, 8)) {
    case 0:
    case 1:
        put(change, add_layer(change), fabric, count);
        break;
    case 2:
        take(change, 0, count, 0);
        break;
    case 3:
        take(change, fabric, count, 1 + motley_random_below(random, 5));
        break;
    case 4:
        MUST(store_basket_put_back(change, 1 + motley_random_below(random, 5), NULL,
                                   &error));
        break;
    case 5:
        MUST(store_basket_correct(change, UNIT, 3 * count, count % 2 == 0, NULL, &error));
        break;
    case 6:
        MUST(store_setting_set(change, "unit", count % 3 == 0 ? NULL : "2 in", &error));
        break;
    default:
        MUST(store_fabric_same(change, fabric, fabrics[0], &error));
        break;
    }
    MUST(store_change_commit(change, &error));
}

static void assert_sound(store_book *book)
{
    GError *error = NULL;
    g_autoptr(GPtrArray) complaints = NULL;
    MUST(store_book_check(book, &complaints, &error));
    if (complaints->len > 0)
        fail_msg("%s", (const char *)complaints->pdata[0]);
}

static void the_basket_is_the_sum_of_the_ledger_whatever_is_done_and_undone(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    int64_t fabrics[4];
    motley_random random;
    motley_random_seed(&random, 4);
    {
        g_autoptr(store_change) change = begin(f->book);
        for (int i = 0; i < 4; i++)
            fabrics[i] = add_fabric(change, i % 3);
        MUST(store_change_commit(change, &error));
    }
    for (int round = 0; round < 200; round++) {
        guint32 dice = motley_random_below(&random, 10);
        if (dice < 6)
            change_something(f->book, &random, fabrics);
        else if ((dice < 9 ? store_undo : store_redo)(f->book, NULL, &error) == FALSE) {
            assert_true(error->code == MOTLEY_ERROR_STORE_NOTHING_TO_UNDO ||
                        error->code == MOTLEY_ERROR_STORE_NOTHING_TO_REDO);
            g_clear_error(&error);
        }
        if (round % 10 == 0)
            assert_sound(f->book);
        if (total(f->book, UNIT).squares < 0)
            fail_msg("round %d: less than nothing in the basket", round);
    }
    assert_sound(f->book);
    assert_int_equal(total(f->book, UNIT).squares,
                     ask_number(f->path, "SELECT sum(count) FROM ledger"));
}

static void undoing_all_and_redoing_all_gives_the_same_book(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    enum { CHANGES = 60 };
    int64_t fabrics[4];
    motley_random random;
    motley_random_seed(&random, 11);
    {
        g_autoptr(store_change) change = begin(f->book);
        for (int i = 0; i < 4; i++)
            fabrics[i] = add_fabric(change, -1);
        MUST(store_change_commit(change, &error));
    }
    g_autoptr(GPtrArray) states = g_ptr_array_new_with_free_func(g_free);
    g_ptr_array_add(states, dump(f->path));
    int64_t last = 0;
    for (int i = 0; i < CHANGES; i++) {
        change_something(f->book, &random, fabrics);
        /* a change that altered nothing is no change */
        int64_t head = ask_number(f->path, "SELECT max(id) FROM journal");
        if (head != last)
            g_ptr_array_add(states, dump(f->path));
        last = head;
    }
    assert_true(states->len > CHANGES / 2);
    for (guint i = states->len - 1; i > 0; i--) {
        MUST(store_undo(f->book, NULL, &error));
        g_autofree char *now = dump(f->path);
        if (strcmp(now, states->pdata[i - 1]) != 0)
            fail_msg("undo to state %u:\n%s\nwanted\n%s", i - 1, now,
                     (char *)states->pdata[i - 1]);
    }
    for (guint i = 1; i < states->len; i++) {
        MUST(store_redo(f->book, NULL, &error));
        g_autofree char *now = dump(f->path);
        if (strcmp(now, states->pdata[i]) != 0)
            fail_msg("redo to state %u:\n%s\nwanted\n%s", i, now,
                     (char *)states->pdata[i]);
    }
    MUST_FAIL(store_redo(f->book, NULL, &error), "store.nothing-to-redo");
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, book_setup, book_teardown)
    const struct CMUnitTest tests[] = {
        TEST(squares_come_off_the_oldest_layer_first),
        TEST(an_unsaid_take_is_spread_in_proportion_and_inferred),
        TEST(a_named_fabric_is_taken_exactly),
        TEST(a_taken_off_block_gives_its_squares_back_to_their_layers),
        TEST(putting_back_and_undoing_it_meet),
        TEST(a_count_makes_the_total_exact_again_after_weighing),
        TEST(the_basket_is_told_by_source_value_and_merged_fabric),
        TEST(months_tell_what_came_in_and_went_out_and_forget_what_was_undone),
        TEST(a_quilt_knows_the_sources_of_its_squares),
        TEST(nobody_alters_the_ledger),
        TEST(the_basket_is_the_sum_of_the_ledger_whatever_is_done_and_undone),
        TEST(undoing_all_and_redoing_all_gives_the_same_book),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
