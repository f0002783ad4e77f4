/* A book with photos, blocks and a ledger, in whose file one bit is turned at a time:
 * either opening or checking the book tells of it, or every document that the book gives
 * is what it was. Nothing crashes on the way, whatever is asked of the damaged book.
 *
 * Called with how many bits to turn. */
#include "test.h"

#include "app/app.h"
#include "base/error.h"
#include "base/random.h"

#include <glib/gstdio.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

static int flips = 40;

typedef struct trial {
    char *folder, *path;
    char *bytes;
    gsize size;
} trial;

static gboolean run(app *book, const char *action, const char *request, json_t **document,
                    GError **error)
{
    g_autoptr(json_t) fields = json_loads(request, 0, NULL);
    const app_action *found = app_action_find(action);
    g_assert(fields != NULL && found != NULL);
    app_call call = { .request = fields };
    return found->run(book, &call, document, error);
}

static void does(app *book, const char *action, const char *request)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(json_t) document = NULL;
    if (!run(book, action, request, &document, &error))
        fail_msg("%s: %s", action, error->message);
}

/* --- every document of the book -------------------------------------------------------
 */

/* The answer to a question, or its error, as one line of text. */
static void put_document(GString *text, app *book, const char *action,
                         const char *request)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(json_t) document = NULL;
    bool done = run(book, action, request, &document, &error);
    char *json = done ? json_dumps(document, JSON_SORT_KEYS) : NULL;
    g_string_append_printf(text, "%s %s %s\n", action, request,
                           done ? json : motley_error_code(error));
    free(json);
}

static void put_picture(GString *text, app *book, const char *what, const char *request)
{
    g_autoptr(GError) error = NULL;
    const char *type;
    g_autoptr(json_t) fields = json_loads(request, 0, NULL);
    app_call call = { .request = fields };
    g_autoptr(GBytes) bytes = app_render(book, what, &call, &type, &error);
    g_autofree char *hash =
        bytes != NULL ? g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes) : NULL;
    g_string_append_printf(text, "%s %s %s\n", what, request,
                           bytes != NULL ? hash : motley_error_code(error));
}

static void put_numbered(GString *text, app *book, const char *of, int last)
{
    for (int i = 1; i <= last; i++) {
        g_autofree char *request = g_strdup_printf("{\"%s\": \"%d\"}", of, i);
        if (strcmp(of, "block") == 0) {
            put_picture(text, book, "block.jpg", request);
            continue;
        }
        put_document(text, book, of, request);
        put_picture(text, book, strcmp(of, "photo") == 0 ? "plan.jpg" : "swatch.jpg",
                    request);
    }
}

/* Plans, beds and what is to buy for a design come from the request and the settings. */
static char *documents(app *book)
{
    static const char *const whole[] = {
        "book",      "settings",    "devices", "basket", "tools",   "pile",
        "questions", "fabrics",     "scraps",  "photos", "designs", "quilts",
        "wants",     "backgrounds", "reuse",   "years",  "record",  "sources",
    };
    static const char *const of_quilt[] = {
        "quilt", "next", "wall", "sew", "assemble", "finish", "buy", "record",
    };
    static const char *const pictures[] = {
        "chart.shown",
        "quilt.jpg",
        "cloth.svg",
    };
    static const char *const quilts[] = { "Tideline", "Low Water", "Gull" };
    GString *text = g_string_new(NULL);
    for (size_t i = 0; i < G_N_ELEMENTS(whole); i++)
        put_document(text, book, whole[i], "{}");
    for (size_t q = 0; q < G_N_ELEMENTS(quilts); q++) {
        g_autofree char *request = g_strdup_printf("{\"quilt\": \"%s\"}", quilts[q]);
        for (size_t i = 0; i < G_N_ELEMENTS(of_quilt); i++)
            put_document(text, book, of_quilt[i], request);
        for (size_t i = 0; i < G_N_ELEMENTS(pictures); i++)
            put_picture(text, book, pictures[i], request);
    }
    put_document(text, book, "forecast", "{\"quilt\": \"Tideline\"}");
    put_picture(text, book, "where.svg", "{\"quilt\": \"Tideline\"}");
    put_numbered(text, book, "fabric", 40);
    put_numbered(text, book, "photo", 1);
    put_numbered(text, book, "block", 6);
    return g_string_free(text, FALSE);
}

/* --- the book -------------------------------------------------------------------------
 */

static int open_trial(void **state)
{
    trial *self = g_new0(trial, 1);
    self->folder = g_dir_make_tmp("motley-flips-XXXXXX", NULL);
    self->path = g_build_filename(self->folder, "flips.book", NULL);
    *state = self;
    g_autoptr(app) book = app_open(self->path, APP_OPEN_CREATE, NULL);
    if (book == NULL)
        return -1;
    does(book, "demo", "{}");
    does(book, "measure",
         "{\"photos\": [\"" TEST_PHOTOS "/scraps-1.jpg\"], \"keep\": true}");
    does(book, "quilt.start",
         "{\"quilt\": \"Gull\", \"design\": \"lattice-chain\","
         " \"across\": 12, \"down\": 16, \"unit\": \"2in\"}");
    does(book, "basket.add", "{\"count\": 200, \"unit\": \"2in\"}");
    does(book, "blocks.photo",
         "{\"quilt\": \"Gull\", \"photos\": [\"" TEST_PHOTOS "/blocks-1.jpg\"]}");
    does(book, "settings.change", "{\"paper\": \"letter\"}");
    g_clear_pointer(&book, app_close);
    return g_file_get_contents(self->path, &self->bytes, &self->size, NULL) ? 0 : -1;
}

static void empty(const char *folder)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        g_autofree char *path = g_build_filename(folder, name, NULL);
        g_unlink(path);
    }
}

static int close_trial(void **state)
{
    trial *self = *state;
    empty(self->folder);
    g_rmdir(self->folder);
    g_free(self->folder);
    g_free(self->path);
    g_free(self->bytes);
    g_free(self);
    return 0;
}

/* Most pages hold nothing but pictures, whose every bit is under a hash; so three flips
 * in four fall on pages with a tree in them, which begin with one of SQLite's four marks
 * (sqlite.org/fileformat2.html, 1.6). */
static gsize choose(const trial *self, motley_random *random)
{
    enum { PAGE = 4096 };
    bool anywhere = motley_random_below(random, 4) == 0;
    for (;;) {
        gsize at = motley_random_below(random, (uint32_t)self->size);
        gsize page = at / PAGE * PAGE;
        char mark = self->bytes[page == 0 ? 100 : page];
        if (anywhere || mark == 2 || mark == 5 || mark == 10 || mark == 13)
            return at;
    }
}

typedef enum outcome { REFUSED, FOUND, HARMLESS, MISSED } outcome;

/* What the book says, also when it is not as it was; NULL when it does not open. */
static char *ask(const trial *self, bool *ret_sound, const char *place)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(json_t) verdict = NULL;
    g_autoptr(app) book = app_open(self->path, APP_OPEN_EXISTING, &error);
    if (book == NULL) {
        if (!g_str_has_prefix(motley_error_code(error), "store."))
            fail_msg("%s: opening says %s: %s", place, motley_error_code(error),
                     error->message);
        return NULL;
    }
    *ret_sound = run(book, "check", "{}", &verdict, &error);
    if (!*ret_sound && strcmp(motley_error_code(error), "store.damaged") != 0)
        fail_msg("%s: the check says %s: %s", place, motley_error_code(error),
                 error->message);
    return documents(book);
}

/* What is saved of a damaged book is a sound one, with as many squares as the ledger's
 * rows still say; only a book whose tables are unknown gives none. */
static void salvage(const trial *self, const char *place)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(json_t) document = NULL, verdict = NULL;
    g_autofree char *saved = g_build_filename(self->folder, "saved.book", NULL);
    g_autofree char *request = g_strdup_printf("{\"file\": \"%s\"}", saved);
    g_autoptr(app) book = app_open(self->path, APP_OPEN_HURT, &error);
    if (book == NULL)
        fail_msg("%s: %s", place, error->message);
    if (!run(book, "salvage", request, &document, &error)) {
        if (strcmp(motley_error_code(error), "store.damaged") != 0)
            fail_msg("%s: salvage says %s: %s", place, motley_error_code(error),
                     error->message);
        return;
    }
    g_autoptr(app) mended = app_open(saved, APP_OPEN_EXISTING, &error);
    if (mended == NULL || !run(mended, "check", "{}", &verdict, &error))
        fail_msg("%s: what was saved is not sound: %s", place, error->message);
}

static outcome flip(const trial *self, gsize at, int bit, char **before)
{
    bool sound = false, was_sound = false;
    g_autofree char *place = g_strdup_printf("byte %zu, bit %d", at, bit);
    empty(self->folder);
    self->bytes[at] ^= (char)(1 << bit);
    g_assert(g_file_set_contents(self->path, self->bytes, (gssize)self->size, NULL));
    self->bytes[at] ^= (char)(1 << bit);
    g_autofree char *after = ask(self, &sound, place);
    if (after == NULL || !sound) {
        if (at % 4 == 0)
            salvage(self, place);
        return after == NULL ? REFUSED : FOUND;
    }
    if (strcmp(after, *before) == 0)
        return HARMLESS;
    /* A forecast says other things after midnight: ask the whole book again. */
    empty(self->folder);
    g_assert(g_file_set_contents(self->path, self->bytes, (gssize)self->size, NULL));
    g_free(*before);
    *before = ask(self, &was_sound, place);
    if (strcmp(after, *before) == 0)
        return HARMLESS;
    int line = 0;
    g_auto(GStrv) old = g_strsplit(*before, "\n", -1), new = g_strsplit(after, "\n", -1);
    while (g_strcmp0(old[line], new[line]) == 0)
        line++;
    print_error("%s went unseen: %.300s\nwas %.300s\n", place, new[line], old[line]);
    return MISSED;
}

static void every_flip_is_noticed_or_harmless(void **state)
{
    const trial *self = *state;
    int counts[4] = { 0 };
    bool sound = false;
    motley_random random;
    motley_random_seed(&random, 1);
    g_autofree char *before = ask(self, &sound, "the whole book");
    assert_non_null(before);
    assert_true(sound);
    for (int i = 0; i < flips; i++) {
        gsize at = choose(self, &random);
        counts[flip(self, at, (int)motley_random_below(&random, 8), &before)]++;
    }
    print_message(
        "# %d flips of a book of %zu bytes: %d refused at opening, %d found by the"
        " check, %d harmless, %d unseen\n",
        flips, self->size, counts[REFUSED], counts[FOUND], counts[HARMLESS],
        counts[MISSED]);
    assert_int_equal(counts[MISSED], 0);
    assert_true(counts[FOUND] > flips / 3);
}

int main(int argc, char **argv)
{
    if (argc > 1)
        flips = atoi(argv[1]);
    signal(SIGXFSZ, SIG_IGN);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_flip_is_noticed_or_harmless, open_trial,
                                        close_trial),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
