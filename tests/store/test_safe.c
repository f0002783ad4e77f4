#include "test.h"

#include <math.h>
#include <sys/stat.h>

#include "base/random.h"
#include "book-fixture.h"
#include "quilt/layout.h"
#include "store/export.h"

enum { UNIT = 20320 };

/* A little of everything, some of it undone. */
static void fill(store_book *book)
{
    GError *error = NULL;
    int64_t fabric, source, layer, quilt, block, photo;
    g_autoptr(GBytes) jpeg = g_bytes_new_static("\xff\xd8 a picture", 12);
    const colour_signature plum = { .count = 1,
                                    .lab = { { 33.25, 20, -12.5 } },
                                    .share = { 1 } };
    const scrap_point corners[] = { { 0, 0 }, { 8128, 0 }, { 0, 8128 } };
    const scrap_outline triangle = { { 3, corners }, 0, NULL };
    g_autoptr(store_outline) outline = store_outline_copy(&triangle);
    {
        g_autoptr(store_change) change =
            store_change_begin(book, "A \"bit\", of\nall", &error);
        MUST(change != NULL);
        MUST(store_source_add(change, "Harbour, \"old\"", STORE_SOURCE_QUILT, NULL,
                              &source, &error));
        MUST(store_fabric_add(change, "Plum\nstripe", -1, &fabric, &error));
        MUST(store_swatch_add(change, fabric, jpeg, NULL, &error));
        MUST(store_signature_add(change, fabric, &plum, COLOUR_DARK, &error));
        const store_photo taken = { .sha256 = (char *)"aa",
                                    .name = (char *)"Überall.jpg",
                                    .plan_pixels_per_in = 100.0 / 3,
                                    .card_error_in = 0.1 + 0.2,
                                    .pixels_per_in = 1e-7 };
        MUST(store_photo_add(change, &taken, jpeg, &photo, &error));
        const store_scrap scrap = { .photo = photo,
                                    .number = 1,
                                    .fabric = fabric,
                                    .outline = outline,
                                    .area = 33032192,
                                    .sure = 1.0 / 3,
                                    .colours = plum,
                                    .value = COLOUR_DARK };
        MUST(store_scrap_add(change, &scrap, NULL, &error));
        MUST(store_layer_add(change, &layer, &error));
        const store_ledger_row row = { .layer = layer,
                                       .unit = UNIT,
                                       .fabric = fabric,
                                       .source = source,
                                       .count = 40,
                                       .how = STORE_CUT,
                                       .fabric_known = true,
                                       .counted = true };
        MUST(store_ledger_append(change, &row, NULL, &error));
        const store_quilt start = { .name = (char *)"Tideline",
                                    .design = (char *)"chain",
                                    .design_text = (char *)"name Chain\n\tabout \\ ",
                                    .across = 2,
                                    .down = 3,
                                    .unit = UNIT,
                                    .seam = 2032 };
        MUST(store_quilt_add(change, &start, &quilt, &error));
        MUST(store_quilt_set_fabric(change, quilt, QUILT_LIGHT, fabric, &error));
        const store_bought bought = { (char *)"backing", 5, true };
        MUST(store_bought_set(change, quilt, &bought, &error));
        MUST(store_setting_set(change, "unit", "2 1/2 in", &error));
        MUST(store_change_commit(change, &error));
    }
    {
        g_autoptr(store_change) change = store_change_begin(book, "Crossed off", &error);
        MUST(change != NULL);
        const store_block made = {
            .quilt = quilt, .kind = (char *)"cross", .row = 1, .col = 2
        };
        MUST(store_block_add(change, &made, &block, &error));
        const store_patch patch = { .fabric = fabric, .sure = 0.1 };
        MUST(store_patch_set(change, block, 1, &patch, &error));
        const store_take take = {
            .unit = UNIT, .count = 9, .how = STORE_MADE, .block = block
        };
        MUST(store_basket_take(change, &take, NULL, &error));
        MUST(store_change_commit(change, &error));
    }
    MUST(store_undo(book, NULL, &error));
    {
        g_autoptr(store_change) change = store_change_begin_quiet(book, &error);
        MUST(change != NULL);
        MUST(store_device_add(change, "Phone", "token", &block, &error));
        MUST(store_change_commit(change, &error));
    }
}

/* Every table but the count of changes. */
static char *dump_all(const char *path)
{
    static const char *const tables[] = {
        "journal",       "picture",          "device",      "source",
        "fabric",        "fabric_signature", "layer",       "ledger",
        "scrap_colours", "basket_unit",      "basket_heap", "sqlite_sequence",
    };
    GString *text = g_string_new(NULL);
    for (size_t i = 0; i < G_N_ELEMENTS(tables); i++) {
        g_autofree char *sql =
            g_strdup_printf("SELECT * FROM %s ORDER BY 1, 2", tables[i]);
        g_autofree char *rows = ask_text(path, sql);
        g_string_append_printf(text, "%s\n%s", tables[i], rows);
    }
    g_autofree char *said = dump(path);
    g_string_append(text, said);
    /* all 17 digits */
    g_autofree char *exact = ask_text(
        path,
        "SELECT printf('%!.17g', card_error_in), printf('%!.17g', plan_pixels_per_in),"
        " printf('%!.17g', pixels_per_in), hex(changeset)"
        " FROM photo, journal");
    g_string_append(text, exact);
    return g_string_free(text, FALSE);
}

static void assert_sound(store_book *book)
{
    GError *error = NULL;
    g_autoptr(GPtrArray) complaints = NULL;
    MUST(store_book_check(book, &complaints, &error));
    if (complaints->len > 0)
        fail_msg("%s", (const char *)complaints->pdata[0]);
}

static void a_check_finds_what_does_not_add_up(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    fill(f->book);
    assert_sound(f->book);
    static const struct {
        const char *harm, *complaint;
    } harms[] = {
        { "UPDATE basket_unit SET squares = squares + 1", "the basket of unit" },
        { "UPDATE basket_fabric SET inferred = 5", "the basket of fabric" },
        { "DELETE FROM basket_source", "the basket of source" },
        { "UPDATE basket_layer SET put_in = 0", "layer 1 is not" },
        { "INSERT INTO basket_heap VALUES (7, 7, 7, 7, 7, 7)", "layer 7, fabric 7" },
        { "UPDATE basket_month SET came_in = came_in - 1", "month" },
        { "DELETE FROM quilt", "a row of" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(harms); i++) {
        g_autofree char *path = g_strdup_printf("%s/%zu.book", f->folder, i);
        g_autoptr(GPtrArray) complaints = NULL;
        MUST(store_book_backup(f->book, path, &error));
        assert_int_equal(run_sql(path, harms[i].harm), SQLITE_OK);
        g_autoptr(store_book) harmed = store_book_open(path, STORE_OPEN_EXISTING, &error);
        MUST(harmed != NULL);
        MUST(store_book_check(harmed, &complaints, &error));
        bool found = false;
        for (guint j = 0; j < complaints->len; j++)
            if (strstr(complaints->pdata[j], harms[i].complaint) != NULL)
                found = true;
        if (!found)
            fail_msg("%s went unseen", harms[i].harm);
    }
}

static void a_backup_is_the_whole_book_and_is_never_written_over(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *path = g_build_filename(f->folder, "backup.book", NULL);
    g_autofree char *nowhere = g_build_filename(f->folder, "no", "such", "backup", NULL);
    fill(f->book);
    MUST(store_book_backup(f->book, path, &error));
    g_autofree char *before = dump_all(f->path), *after = dump_all(path);
    assert_string_equal(before, after);
    MUST_FAIL(store_book_backup(f->book, path, &error), "store.exists");
    MUST_FAIL(store_book_backup(f->book, nowhere, &error), "file.unwritable");
    g_autoptr(store_book) book = store_book_open(path, STORE_OPEN_EXISTING, &error);
    MUST(book != NULL);
    MUST(store_redo(book, NULL, &error));
}

static void a_restore_brings_all_back_and_keeps_what_was(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *path = g_build_filename(f->folder, "backup.book", NULL);
    g_autofree char *kept = NULL;
    fill(f->book);
    g_autofree char *before = dump_all(f->path);
    MUST(store_book_backup(f->book, path, &error));
    MUST(store_redo(f->book, NULL, &error));
    g_autofree char *later = dump_all(f->path);
    int64_t revision = store_revision(f->book);

    MUST(store_book_restore(f->book, path, &kept, &error));
    g_autofree char *after = dump_all(f->path), *was = dump_all(kept);
    assert_string_equal(before, after);
    assert_string_equal(later, was);
    assert_true(store_revision(f->book) > revision);
    /* the open book goes on with what it now holds */
    g_autofree char *unit = store_setting_get(f->book, "unit", &error);
    assert_string_equal(unit, "2 1/2 in");
    MUST(store_redo(f->book, NULL, &error));
    assert_sound(f->book);
}

static void a_backup_that_is_not_sound_is_not_restored(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *path = g_build_filename(f->folder, "backup.book", NULL);
    g_autofree char *text = g_build_filename(f->folder, "text", NULL);
    fill(f->book);
    g_autofree char *before = dump_all(f->path);
    MUST_FAIL(store_book_restore(f->book, path, NULL, &error), "store.no-book");
    assert_true(g_file_set_contents(text, "Not a book at all.", -1, NULL));
    MUST_FAIL(store_book_restore(f->book, text, NULL, &error), "store.not-a-book");
    MUST(store_book_backup(f->book, path, &error));
    assert_int_equal(run_sql(path, "DELETE FROM quilt"), SQLITE_OK);
    MUST_FAIL(store_book_restore(f->book, path, NULL, &error), "store.damaged");
    assert_int_equal(run_sql(path, "PRAGMA user_version = 9;"
                                   " UPDATE seal SET key = 9 WHERE part = 'schema'"),
                     SQLITE_OK);
    MUST_FAIL(store_book_restore(f->book, path, NULL, &error), "store.newer");
    g_autofree char *after = dump_all(f->path);
    assert_string_equal(before, after);
}

static void a_damaged_book_is_only_read_until_a_copy_is_taken_back(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *copy = g_build_filename(f->folder, "backup.book", NULL);
    g_autofree char *saved = g_build_filename(f->folder, "saved.book", NULL);
    g_autoptr(GPtrArray) complaints = NULL, none = NULL, lost = NULL;
    fill(f->book);
    MUST(store_book_backup(f->book, copy, &error));
    assert_int_equal(run_sql(f->path, "UPDATE fabric_said SET name = 'Plumb'"),
                     SQLITE_OK);
    MUST(store_book_examine(f->book, &complaints, &error));
    assert_int_equal(complaints->len, 1);
    assert_string_equal(complaints->pdata[0],
                        "what was said of fabric 1 is not as it was written");
    MUST_FAIL(store_undo(f->book, NULL, &error), "store.damaged");
    /* who opens it next knows it too, and reads it */
    g_clear_pointer(&f->book, store_book_close);
    f->book = store_book_open(f->path, STORE_OPEN_EXISTING, &error);
    MUST(f->book != NULL);
    g_autofree char *unit = store_setting_get(f->book, "unit", &error);
    assert_string_equal(unit, "2 1/2 in");
    MUST_FAIL(store_undo(f->book, NULL, &error), "store.damaged");

    MUST(store_salvage(f->path, saved, &lost, &error));
    assert_int_equal(lost->len, 1);
    MUST(store_book_restore(f->book, copy, NULL, &error));
    MUST(store_book_examine(f->book, &none, &error));
    assert_int_equal(none->len, 0);
    MUST(store_undo(f->book, NULL, &error));
    /* a book that does not open at all */
    g_clear_pointer(&f->book, store_book_close);
    assert_true(g_file_set_contents(f->path, "Nothing of a book is left.", -1, NULL));
    MUST(store_restore_file(f->path, copy, NULL, &error));
    f->book = store_book_open(f->path, STORE_OPEN_EXISTING, &error);
    MUST(f->book != NULL);
    assert_sound(f->book);
}

static void an_export_reads_back_as_the_same_book(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *folder = g_build_filename(f->folder, "export", NULL);
    g_autofree char *path = g_build_filename(f->folder, "other.book", NULL);
    fill(f->book);
    g_autofree char *before = dump_all(f->path);
    MUST(store_export(f->book, folder, &error));
    MUST_FAIL(store_export(f->book, folder, &error), "store.exists");
    {
        g_autoptr(store_book) other = store_book_open(path, STORE_OPEN_CREATE, &error);
        MUST(other != NULL);
        MUST(store_import(other, folder, NULL, &error));
        assert_sound(other);
        g_autofree char *after = dump_all(path);
        assert_string_equal(before, after);
        /* what was undone before the export can be done again after it */
        MUST(store_redo(other, NULL, &error));
        MUST(store_undo(other, NULL, &error));
        MUST(store_undo(other, NULL, &error));
        assert_sound(other);
    }
    g_autofree char *part = g_strconcat(path, ".import", NULL);
    assert_false(g_file_test(part, G_FILE_TEST_EXISTS));
}

/* A folder as version 1 wrote it, made by taking out what version 2 brought. */
static void an_export_of_version_1_reads_back_too(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *folder = g_build_filename(f->folder, "older", NULL);
    g_autofree char *table =
        g_build_filename(folder, "tables", "block_colours.jsonl", NULL);
    g_autofree char *about = g_build_filename(folder, "book.json", NULL);
    fill(f->book);
    MUST(store_export(f->book, folder, &error));
    assert_int_equal(g_unlink(table), 0);
    assert_true(g_file_set_contents(
        about, "{\"format\": \"motley book\", \"version\": 1}", -1, NULL));
    MUST(store_import(f->book, folder, NULL, &error));
    assert_sound(f->book);
    g_autoptr(GArray) lines = NULL;
    MUST(store_quilt_list(f->book, &lines, &error));
    assert_true(lines->len > 0);
}

static void an_exports_sheets_are_quoted_as_rfc_4180_asks(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *folder = g_build_filename(f->folder, "export", NULL);
    g_autofree char *path = g_build_filename(folder, "sources.csv", NULL);
    g_autofree char *text = NULL;
    fill(f->book);
    MUST(store_export(f->book, folder, &error));
    assert_true(g_file_get_contents(path, &text, NULL, NULL));
    assert_string_equal(text,
                        "source,name,kind,note\r\n1,\"Harbour, \"\"old\"\"\",quilt,\r\n");
}

static void a_folder_that_is_no_export_is_refused_with_its_place(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_autofree char *folder = g_build_filename(f->folder, "export", NULL);
    g_autofree char *about = g_build_filename(folder, "book.json", NULL);
    g_autofree char *table = g_build_filename(folder, "tables", "ledger.jsonl", NULL);
    g_autofree char *lines = NULL;
    fill(f->book);
    g_autofree char *before = dump_all(f->path);
    MUST_FAIL(store_import(f->book, f->folder, NULL, &error), "store.unreadable");
    MUST(store_export(f->book, folder, &error));

    assert_true(g_file_get_contents(table, &lines, NULL, NULL));
    static const char *const wrong[] = {
        "{}\n",
        "{\"id\": 1}\n",
        "gibberish\n",
        "\n",
        "[1, 2]\n",
        ("{\"id\":99,\"at\":0,\"day\":1,\"change\":77,\"layer\":1,\"unit\":1,\"count\":1,"
         "\"how\":\"cut\",\"inward\":1,\"fabric_known\":1,\"counted\":1}\n"),
    };
    for (size_t i = 0; i < G_N_ELEMENTS(wrong); i++) {
        g_autofree char *spoilt = g_strconcat(lines, wrong[i], NULL);
        assert_true(g_file_set_contents(table, spoilt, -1, NULL));
        MUST_FAIL(store_import(f->book, folder, NULL, &error), "store.unreadable");
    }
    g_unlink(table);
    MUST_FAIL(store_import(f->book, folder, NULL, &error), "store.unreadable");
    assert_true(g_file_set_contents(table, lines, -1, NULL));
    static const struct {
        const char *text, *code;
    } abouts[] = {
        { "{\"format\": \"motley book\", \"version\": 99}", "store.newer" },
        { "{\"format\": \"motley book\"}", "store.unreadable" },
        { "{\"format\": \"another\", \"version\": 1}", "store.unreadable" },
        { "", "store.unreadable" },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(abouts); i++) {
        assert_true(g_file_set_contents(about, abouts[i].text, -1, NULL));
        MUST_FAIL(store_import(f->book, folder, NULL, &error), abouts[i].code);
    }
    g_autofree char *after = dump_all(f->path);
    assert_string_equal(before, after);
}

/* --- a file that has rotted
 * ---------------------------------------------------------------- */

/* Asks for all that a page might show. What comes may be wrong or an error, but it comes
 * whole. */
static void read_everything(store_book *book)
{
    int64_t fabrics[QUILT_ROLES];
    store_quilt quilt = { 0 };
    store_scrap scrap = { 0 };
    store_fabric fabric = { 0 };
    GArray *list = NULL;
#define LIST(call)                                                                       \
    do {                                                                                 \
        if (call)                                                                        \
            g_clear_pointer(&list, g_array_unref);                                       \
    } while (0)
    LIST(store_basket_units(book, &list, NULL));
    LIST(store_basket_fabrics(book, 0, &list, NULL));
    LIST(store_basket_values(book, 0, &list, NULL));
    LIST(store_basket_top(book, UNIT, 0, &list, NULL));
    LIST(store_ledger_list(book, 0, 100, &list, NULL));
    LIST(store_source_list(book, &list, NULL));
    LIST(store_fabric_list(book, 0, 0, &list, NULL));
    LIST(store_signature_list(book, 0, &list, NULL));
    LIST(store_photo_list(book, 0, 0, &list, NULL));
    LIST(store_scrap_list(book, STORE_SCRAP_LYING, 0, 0, &list, NULL));
    LIST(store_scrap_of_photo(book, 1, &list, NULL));
    LIST(store_quilt_list(book, &list, NULL));
    LIST(store_block_list(book, 1, &list, NULL));
    LIST(store_patch_of_quilt(book, 1, &list, NULL));
    LIST(store_setting_list(book, &list, NULL));
    LIST(store_journal_list(book, 0, 100, &list, NULL));
#undef LIST
    if (store_quilt_get(book, 1, &quilt, NULL))
        assert_non_null(quilt.name);
    if (store_scrap_get(book, 1, &scrap, NULL))
        assert_non_null(scrap.outline);
    if (store_fabric_get(book, 1, &fabric, NULL))
        assert_true(fabric.value >= -1);
    (void)!store_quilt_fabrics(book, 1, fabrics, NULL);
    store_quilt_clear(&quilt);
    store_scrap_clear(&scrap);
    store_fabric_clear(&fabric);
    GBytes *picture = store_picture(book, 1, NULL);
    if (picture != NULL)
        g_bytes_unref(picture);
}

static void a_rotten_file_gives_errors_or_nonsense_but_no_crash(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    char *bytes = NULL;
    gsize size = 0;
    motley_random random;
    motley_random_seed(&random, 77);
    g_autofree char *path = g_build_filename(f->folder, "sound.book", NULL);
    g_autofree char *rotten = g_build_filename(f->folder, "rotten.book", NULL);
    fill(f->book);
    MUST(store_book_backup(f->book, path, &error));
    assert_true(g_file_get_contents(path, &bytes, &size, NULL));
    int opened = 0, complained = 0;
    for (int round = 0; round < 300; round++) {
        g_autofree char *spoilt = g_memdup2(bytes, size);
        for (int i = 0; i < 60; i++)
            spoilt[100 + motley_random_below(&random, (uint32_t)size - 100)] =
                (char)motley_random_bits(&random);
        FILE *file = fopen(rotten, "wb");
        assert_non_null(file);
        assert_int_equal(fwrite(spoilt, 1, size, file), size);
        fclose(file);
        g_autoptr(store_book) book = store_book_open(rotten, STORE_OPEN_READ_ONLY, NULL);
        g_autoptr(GPtrArray) complaints = NULL;
        if (book == NULL)
            continue;
        opened++;
        read_everything(book);
        if (store_book_check(book, &complaints, NULL) && complaints->len > 0)
            complained++;
    }
    g_free(bytes);
    assert_true(opened > 0 && complained > 0);
}

/* Such rows pass SQLite's own checks of the file. */
static void what_another_hand_wrote_is_read_within_bounds(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    fill(f->book);
    assert_int_equal(run_sql(f->path,
                             "PRAGMA ignore_check_constraints = ON;"
                             "UPDATE scrap SET outline = '[[[0,0],[1,1]]]', sure = 1e300;"
                             "UPDATE photo SET pixels_per_in = 9e999;"
                             "UPDATE quilt SET across = 9000000000, unit = -5,"
                             " started = 9223372036854775807;"
                             "UPDATE basket_month SET month = -99,"
                             " came_in = 9223372036854775807"),
                     SQLITE_OK);
    store_scrap scrap = { 0 };
    MUST(store_scrap_get(f->book, 1, &scrap, &error));
    MUST(scrap_outline_check(store_outline_view(scrap.outline), &error));
    assert_true(scrap.sure <= 1);
    store_scrap_clear(&scrap);
    store_photo photo = { 0 };
    MUST(store_photo_get(f->book, 1, &photo, &error));
    assert_true(isfinite(photo.pixels_per_in));
    store_photo_clear(&photo);
    store_quilt quilt = { 0 };
    MUST(store_quilt_get(f->book, 1, &quilt, &error));
    assert_true(quilt.across > 0 && quilt.across <= QUILT_ACROSS_MAX && quilt.unit > 0);
    g_autoptr(GDateTime) started = g_date_time_new_from_unix_utc(quilt.started);
    assert_non_null(started);
    store_quilt_clear(&quilt);
    g_autoptr(GArray) months = NULL;
    MUST(store_basket_months(f->book, 0, &months, &error));
    assert_true(months->len > 0);
    const store_flow *flow = &g_array_index(months, store_flow, 0);
    assert_true(flow->year > 0 && flow->month >= 1 && flow->month <= 12);
    assert_true(flow->in < INT64_MAX / 1000);
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, book_setup, book_teardown)
    const struct CMUnitTest tests[] = {
        TEST(a_check_finds_what_does_not_add_up),
        TEST(a_backup_is_the_whole_book_and_is_never_written_over),
        TEST(a_restore_brings_all_back_and_keeps_what_was),
        TEST(a_backup_that_is_not_sound_is_not_restored),
        TEST(a_damaged_book_is_only_read_until_a_copy_is_taken_back),
        TEST(an_export_reads_back_as_the_same_book),
        TEST(an_export_of_version_1_reads_back_too),
        TEST(an_exports_sheets_are_quoted_as_rfc_4180_asks),
        TEST(a_folder_that_is_no_export_is_refused_with_its_place),
        TEST(a_rotten_file_gives_errors_or_nonsense_but_no_crash),
        TEST(what_another_hand_wrote_is_read_within_bounds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
