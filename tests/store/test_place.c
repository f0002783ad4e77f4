#include "test.h"

#include <sys/wait.h>
#include <unistd.h>

#include "book-fixture.h"

enum { SHORT_MS = 50 };

static const char *on_nfs(const char *folder)
{
    (void)folder;
    return "nfs";
}

static char *workshop(void)
{
    return g_strdup("workshop\n1111\n");
}

static char *kitchen(void)
{
    return g_strdup("kitchen\n2222\n");
}

/* Another machine that was given the same name. */
static char *other_workshop(void)
{
    return g_strdup("workshop\n3333\n");
}

static const store_place at_workshop = { on_nfs, workshop };
static const store_place at_kitchen = { on_nfs, kitchen };
static const store_place at_other_workshop = { on_nfs, other_workshop };

static store_book *open_at(const fixture *f, const store_place *place, GError **error)
{
    return store_book_open_placed(f->path, STORE_OPEN_EXISTING, SHORT_MS, place, error);
}

static bool is_held(const fixture *f)
{
    g_autofree char *lock = g_strconcat(f->path, ".lock", NULL);
    return g_file_test(lock, G_FILE_TEST_EXISTS);
}

static void write_lock(const fixture *f, const char *text)
{
    g_autofree char *lock = g_strconcat(f->path, ".lock", NULL);
    assert_true(g_file_set_contents(lock, text, -1, NULL));
}

/* The numbers are those of the manual page statfs(2), those of ceph and exfat from
 * include/uapi/linux/magic.h. */
static void network_disks_are_known_by_their_number(void **state)
{
    (void)state;
    static const struct {
        unsigned long f_type;
        const char *want;
    } rows[] = {
        { 0x6969, "nfs" },
        { 0x517b, "smb" },
        { 0xff534d42, "cifs" },
        { 0xfe534d42, "smb2" },
        { 0x65735546, "fuse" },
        { 0x6b414653, "afs" },
        { 0x73757245, "coda" },
        { 0x01021997, "9p" },
        { 0x7461636f, "ocfs2" },
        { 0x564c, "ncp" },
        { 0x00c36400, "ceph" },
        /* a signed 32-bit f_type, widened */
        { (unsigned long)(long)(int32_t)0xff534d42, "cifs" },
        /* ext4, xfs, btrfs, tmpfs, overlay, vfat, f2fs, ntfs, zfs, exfat */
        { 0xef53, NULL },
        { 0x58465342, NULL },
        { 0x9123683e, NULL },
        { 0x01021994, NULL },
        { 0x794c7630, NULL },
        { 0x4d44, NULL },
        { 0xf2f52010, NULL },
        { 0x5346544e, NULL },
        { 0x2fc12fc1, NULL },
        { 0x2011bab0, NULL },
    };
    for (size_t i = 0; i < G_N_ELEMENTS(rows); i++)
        if (g_strcmp0(store_network_kind(rows[i].f_type), rows[i].want) != 0)
            fail_msg("%#lx: %s, wanted %s", rows[i].f_type,
                     store_network_kind(rows[i].f_type), rows[i].want);
}

static void a_book_on_this_machine_has_a_log_and_no_lock_file(void **state)
{
    fixture *f = *state;
    assert_null(store_book_network(f->book));
    assert_false(is_held(f));
    g_autofree char *mode = ask_text(f->path, "PRAGMA journal_mode");
    assert_string_equal(mode, "wal|\n");
}

static void on_a_network_disk_it_has_a_journal_and_one_machine(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_clear_pointer(&f->book, store_book_close);
    g_autoptr(store_book) here = open_at(f, &at_workshop, &error);
    MUST(here != NULL);
    assert_string_equal(store_book_network(here), "nfs");
    g_autofree char *mode = ask_text(f->path, "PRAGMA journal_mode");
    assert_string_equal(mode, "delete|\n");

    assert_null(open_at(f, &at_kitchen, &error));
    assert_string_equal(motley_error_code(error), "store.elsewhere");
    assert_non_null(strstr(error->message, "the machine workshop has it open"));
    assert_non_null(strstr(error->message, f->path));
    g_clear_error(&error);
    MUST_FAIL(open_at(f, &at_other_workshop, &error) != NULL, "store.elsewhere");

    g_clear_pointer(&here, store_book_close);
    assert_false(is_held(f));
    g_autoptr(store_book) there = open_at(f, &at_kitchen, &error);
    MUST(there != NULL);
}

static void programs_of_one_machine_share_it_and_the_last_lets_go(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_clear_pointer(&f->book, store_book_close);
    g_autoptr(store_book) first = open_at(f, &at_workshop, &error);
    MUST(first != NULL);
    g_autoptr(store_book) second = open_at(f, &at_workshop, &error);
    MUST(second != NULL);
    g_clear_pointer(&first, store_book_close);
    assert_true(is_held(f));
    MUST_FAIL(open_at(f, &at_kitchen, &error) != NULL, "store.elsewhere");
    g_clear_pointer(&second, store_book_close);
    assert_false(is_held(f));
}

/* What a killed program leaves, of this machine and of another. */
static void a_lock_that_was_left_holds_for_other_machines_alone(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_clear_pointer(&f->book, store_book_close);
    pid_t child = fork();
    if (child == 0)
        _exit(open_at(f, &at_workshop, NULL) != NULL ? 0 : 1);
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
    assert_true(is_held(f));

    MUST_FAIL(open_at(f, &at_kitchen, &error) != NULL, "store.elsewhere");
    assert_true(is_held(f));
    g_autoptr(store_book) again = open_at(f, &at_workshop, &error);
    MUST(again != NULL);
    g_clear_pointer(&again, store_book_close);
    assert_false(is_held(f));

    /* one that broke off before its name was written; and no name at all */
    write_lock(f, "");
    again = open_at(f, &at_kitchen, &error);
    MUST(again != NULL);
    g_clear_pointer(&again, store_book_close);
    write_lock(f, "\xff\xfe no text");
    assert_null(open_at(f, &at_kitchen, &error));
    assert_string_equal(motley_error_code(error), "store.elsewhere");
    assert_true(g_utf8_validate(error->message, -1, NULL));
    g_clear_error(&error);
}

static void looking_needs_no_lock_and_nothing_is_left_by_a_refusal(void **state)
{
    fixture *f = *state;
    GError *error = NULL;
    g_clear_pointer(&f->book, store_book_close);
    g_autoptr(store_book) here = open_at(f, &at_workshop, &error);
    MUST(here != NULL);
    g_autoptr(store_book) looking = store_book_open_placed(f->path, STORE_OPEN_READ_ONLY,
                                                           SHORT_MS, &at_kitchen, &error);
    MUST(looking != NULL);
    g_clear_pointer(&looking, store_book_close);
    g_clear_pointer(&here, store_book_close);

    assert_true(g_file_set_contents(f->path, "no book at all", -1, NULL));
    MUST_FAIL(open_at(f, &at_workshop, &error) != NULL, "store.not-a-book");
    assert_false(is_held(f));
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, book_setup, book_teardown)
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(network_disks_are_known_by_their_number),
        TEST(a_book_on_this_machine_has_a_log_and_no_lock_file),
        TEST(on_a_network_disk_it_has_a_journal_and_one_machine),
        TEST(programs_of_one_machine_share_it_and_the_last_lets_go),
        TEST(a_lock_that_was_left_holds_for_other_machines_alone),
        TEST(looking_needs_no_lock_and_nothing_is_left_by_a_refusal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
