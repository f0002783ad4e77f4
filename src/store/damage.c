#include "store/daily.h"
#include "store/seal.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <string.h>

/* The faults that a check found are written beside the book, one a line, so that every
 * program that opens it later knows; a book whose disk fails is not to be asked anew. */
static char *note_path(const char *book)
{
    return g_strconcat(book, ".damage", NULL);
}

static char *read_note(const char *book)
{
    g_autofree char *path = note_path(book);
    char *text = NULL;
    if (!g_file_get_contents(path, &text, NULL, NULL))
        return NULL;
    return g_strchomp(text);
}

static void write_note(const char *book, GPtrArray *complaints)
{
    g_autofree char *path = note_path(book);
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint i = 0; i < complaints->len; i++)
        g_string_append_printf(text, "%s\n", (const char *)complaints->pdata[i]);
    /* Where it cannot be written the book cannot be changed either. */
    if (!g_file_set_contents(path, text->str, (gssize)text->len, NULL))
        g_debug("%s cannot be written", path);
}

void store_damage_forget(store_book *book)
{
    g_autofree char *path = note_path(book->path);
    g_unlink(path);
    g_mutex_lock(&book->pool);
    book->turns += book->damage != NULL;
    g_clear_pointer(&book->damage, g_free);
    g_mutex_unlock(&book->pool);
}

static void set_damage(store_book *book, const char *text)
{
    g_mutex_lock(&book->pool);
    book->turns += book->damage == NULL;
    g_free(book->damage);
    book->damage = g_strdup(text);
    g_mutex_unlock(&book->pool);
}

bool store_damage_known(store_book *book)
{
    g_autofree char *text = read_note(book->path);
    if (text != NULL)
        set_damage(book, text);
    return text != NULL;
}

void store_damage_set(store_book *book, const char *fault)
{
    set_damage(book, fault);
}

char *store_book_damage(store_book *book)
{
    g_mutex_lock(&book->pool);
    char *text = g_strdup(book->damage);
    g_mutex_unlock(&book->pool);
    return text;
}

gboolean store_damage_refuse(store_book *book, GError **error)
{
    g_autofree char *damage = store_book_damage(book);
    if (damage == NULL)
        return TRUE;
    int first = (int)strcspn(damage, "\n");
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_DAMAGED,
                "the book is damaged and is only read: %.*s", first, damage);
    return FALSE;
}

gboolean store_book_examine(store_book *book, GPtrArray **ret_complaints, GError **error)
{
    g_autoptr(GPtrArray) complaints = NULL;
    if (!store_book_check(book, &complaints, error))
        return FALSE;
    /* Under the mutex of changes: none begins between the finding and the saying. */
    g_mutex_lock(&book->writing);
    gboolean done = TRUE;
    if (complaints->len > 0) {
        g_autofree char *text = NULL;
        g_ptr_array_add(complaints, NULL);
        text = g_strjoinv("\n", (char **)complaints->pdata);
        g_ptr_array_set_size(complaints, (int)complaints->len - 1);
        set_damage(book, text);
        write_note(book->path, complaints);
    } else if (!book->read_only) {
        done = book->writer != NULL || store_book_open_writer(book, error);
        if (done)
            store_damage_forget(book);
    }
    g_mutex_unlock(&book->writing);
    if (done)
        *ret_complaints = g_steal_pointer(&complaints);
    return done;
}

/* --- what can be taken back -----------------------------------------------------------
 */

static void copy_clear(void *data)
{
    store_copy *copy = data;
    g_free(copy->name);
    g_free(copy->path);
}

/* The day of a copy that carries one in its name, else when it was written. */
static void add_copy(GArray *copies, const char *folder, const char *file,
                     const char *name, bool daily)
{
    GStatBuf found, log = { 0 };
    g_autofree char *path = g_build_filename(folder, file, NULL);
    /* Of a damaged book that was kept most may lie in its log. */
    g_autofree char *log_path = g_strconcat(path, "-wal", NULL);
    if (g_stat(path, &found) != 0 || !S_ISREG(found.st_mode))
        return;
    if (g_stat(log_path, &log) != 0)
        log.st_size = 0;
    const store_copy copy = { .name = g_strdup(name),
                              .path = g_steal_pointer(&path),
                              .at = found.st_mtime,
                              .bytes = found.st_size + log.st_size,
                              .daily = daily };
    g_array_append_val(copies, copy);
}

static int newest_first(gconstpointer a, gconstpointer b)
{
    const store_copy *p = a, *q = b;
    if (p->at != q->at)
        return p->at < q->at ? 1 : -1;
    return strcmp(q->name, p->name);
}

GArray *store_copies(const char *book)
{
    GArray *copies = g_array_new(FALSE, TRUE, sizeof(store_copy));
    g_array_set_clear_func(copies, copy_clear);
    g_autofree char *daily = g_strconcat(book, ".daily", NULL);
    g_autofree char *folder = g_path_get_dirname(book);
    g_autofree char *base = g_path_get_basename(book);
    g_autofree char *before = g_strconcat(base, ".before-", NULL);
    const char *file;

    g_autoptr(GDir) days = g_dir_open(daily, 0, NULL);
    while (days != NULL && (file = g_dir_read_name(days)) != NULL)
        if (store_daily_day(file) != 0) {
            g_autofree char *day = g_strndup(file, strlen("2026-11-27"));
            add_copy(copies, daily, file, day, true);
        }
    g_autoptr(GDir) beside = g_dir_open(folder, 0, NULL);
    while (beside != NULL && (file = g_dir_read_name(beside)) != NULL)
        if (g_str_has_prefix(file, before) &&
            strchr(file + strlen(before), '.') == NULL &&
            !g_str_has_suffix(file, "-wal") && !g_str_has_suffix(file, "-shm"))
            add_copy(copies, folder, file, file + strlen(base) + 1, false);
    g_array_sort(copies, newest_first);
    return copies;
}

char *store_copy_path(const char *book, const char *name)
{
    g_autoptr(GArray) copies = store_copies(book);
    for (guint i = 0; i < copies->len; i++) {
        const store_copy *copy = &g_array_index(copies, store_copy, i);
        if (strcmp(copy->name, name) == 0)
            return g_strdup(copy->path);
    }
    return NULL;
}
