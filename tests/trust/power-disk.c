#include "power-disk.h"

#include <signal.h>
#include <sqlite3.h>
#include <string.h>

enum { SECTOR = 512 };

/* --- the log ------------------------------------------------------------------------ */

typedef enum happening { WROTE, CUT_SHORT, SYNCED, REMOVED, ACKNOWLEDGED } happening;

typedef struct moment {
    happening what;
    char *name; /* of the file, without its folder */
    gint64
        where; /* WROTE: the offset; CUT_SHORT: the new size; ACKNOWLEDGED: the number */
    GBytes *bytes;   /* WROTE */
    gboolean folder; /* SYNCED, REMOVED: the folder was synced with it */
} moment;

static GArray *happened;
static GMutex lock;
static sqlite3_vfs *plain;

static void moment_clear(gpointer data)
{
    moment *m = data;
    g_free(m->name);
    g_clear_pointer(&m->bytes, g_bytes_unref);
}

static void note(moment m, const char *path)
{
    m.name = path != NULL ? g_path_get_basename(path) : NULL;
    g_mutex_lock(&lock);
    g_array_append_val(happened, m);
    g_mutex_unlock(&lock);
}

void power_disk_acknowledge(int n)
{
    note((moment){ .what = ACKNOWLEDGED, .where = n }, NULL);
}

void power_disk_settle(const char *path)
{
    note((moment){ .what = SYNCED, .folder = TRUE }, path);
}

guint power_disk_moments(void)
{
    return happened->len;
}

/* --- writes that fail --- */

static guint writes, breaks_at; /* the latter 0 for never */
static gboolean breaks_by_kill;

guint power_disk_writes(void)
{
    return writes;
}

void power_disk_break(guint nth, gboolean killed)
{
    breaks_at = nth > 0 ? writes + nth : 0;
    breaks_by_kill = killed;
}

static gboolean is_full(void)
{
    writes++;
    if (breaks_at == 0 || writes < breaks_at)
        return FALSE;
    if (breaks_by_kill)
        raise(SIGKILL);
    return TRUE;
}

/* --- between SQLite and the files --------------------------------------------------- */

typedef struct watched_file {
    sqlite3_file base;
    const char *path; /* SQLite's own; lives as long as the file; NULL: a nameless file */
    gboolean fresh;   /* a journal or log newly made: its first sync syncs the folder too,
                         as SQLite's unix disk does */
    sqlite3_file *real;
} watched_file;

static sqlite3_file *real(sqlite3_file *file)
{
    return ((watched_file *)file)->real;
}

static int watch_close(sqlite3_file *file)
{
    return real(file)->pMethods->xClose(real(file));
}

static int watch_read(sqlite3_file *file, void *to, int count, sqlite3_int64 where)
{
    return real(file)->pMethods->xRead(real(file), to, count, where);
}

static int watch_write(sqlite3_file *file, const void *from, int count,
                       sqlite3_int64 where)
{
    if (is_full())
        return SQLITE_FULL;
    int code = real(file)->pMethods->xWrite(real(file), from, count, where);
    if (code == SQLITE_OK && ((watched_file *)file)->path != NULL)
        note((moment){ .what = WROTE,
                       .where = where,
                       .bytes = g_bytes_new(from, (gsize)count) },
             ((watched_file *)file)->path);
    return code;
}

static int watch_truncate(sqlite3_file *file, sqlite3_int64 size)
{
    int code = real(file)->pMethods->xTruncate(real(file), size);
    if (code == SQLITE_OK && ((watched_file *)file)->path != NULL)
        note((moment){ .what = CUT_SHORT, .where = size }, ((watched_file *)file)->path);
    return code;
}

/* The plain disk is not asked: that the log says "synced" is all that matters here, and
 * thousands of true syncs would take minutes. */
static int watch_sync(sqlite3_file *file, int flags)
{
    (void)flags;
    watched_file *watched = (watched_file *)file;
    if (watched->path != NULL)
        note((moment){ .what = SYNCED, .folder = watched->fresh }, watched->path);
    watched->fresh = FALSE;
    return SQLITE_OK;
}

static int watch_size(sqlite3_file *file, sqlite3_int64 *ret_size)
{
    return real(file)->pMethods->xFileSize(real(file), ret_size);
}

static int watch_lock(sqlite3_file *file, int level)
{
    return real(file)->pMethods->xLock(real(file), level);
}

static int watch_unlock(sqlite3_file *file, int level)
{
    return real(file)->pMethods->xUnlock(real(file), level);
}

static int watch_check_lock(sqlite3_file *file, int *ret_reserved)
{
    return real(file)->pMethods->xCheckReservedLock(real(file), ret_reserved);
}

static int watch_control(sqlite3_file *file, int which, void *argument)
{
    return real(file)->pMethods->xFileControl(real(file), which, argument);
}

static int watch_sector(sqlite3_file *file)
{
    return real(file)->pMethods->xSectorSize(real(file));
}

static int watch_traits(sqlite3_file *file)
{
    return real(file)->pMethods->xDeviceCharacteristics(real(file));
}

static int watch_shm_map(sqlite3_file *file, int page, int size, int extend,
                         void volatile **ret_memory)
{
    return real(file)->pMethods->xShmMap(real(file), page, size, extend, ret_memory);
}

static int watch_shm_lock(sqlite3_file *file, int offset, int n, int flags)
{
    return real(file)->pMethods->xShmLock(real(file), offset, n, flags);
}

static void watch_shm_barrier(sqlite3_file *file)
{
    real(file)->pMethods->xShmBarrier(real(file));
}

static int watch_shm_unmap(sqlite3_file *file, int remove)
{
    return real(file)->pMethods->xShmUnmap(real(file), remove);
}

static sqlite3_io_methods watching = {
    .xClose = watch_close,
    .xRead = watch_read,
    .xWrite = watch_write,
    .xTruncate = watch_truncate,
    .xSync = watch_sync,
    .xFileSize = watch_size,
    .xLock = watch_lock,
    .xUnlock = watch_unlock,
    .xCheckReservedLock = watch_check_lock,
    .xFileControl = watch_control,
    .xSectorSize = watch_sector,
    .xDeviceCharacteristics = watch_traits,
    .xShmMap = watch_shm_map,
    .xShmLock = watch_shm_lock,
    .xShmBarrier = watch_shm_barrier,
    .xShmUnmap = watch_shm_unmap,
};

static int disk_open(sqlite3_vfs *vfs, const char *path, sqlite3_file *file, int flags,
                     int *ret_flags)
{
    (void)vfs;
    watched_file *watched = (watched_file *)file;
    const int journals =
        SQLITE_OPEN_MAIN_JOURNAL | SQLITE_OPEN_SUPER_JOURNAL | SQLITE_OPEN_WAL;
    *watched =
        (watched_file){ .path = path,
                        .fresh = (flags & SQLITE_OPEN_CREATE) && (flags & journals),
                        .real = (sqlite3_file *)(watched + 1) };
    int code = plain->xOpen(plain, path, watched->real, flags, ret_flags);
    /* Without methods SQLite does not close it, as it should be after a failure. */
    watched->base.pMethods = watched->real->pMethods != NULL ? &watching : NULL;
    return code;
}

static int disk_delete(sqlite3_vfs *vfs, const char *path, int sync_folder)
{
    (void)vfs;
    int code = plain->xDelete(plain, path, sync_folder);
    if (code == SQLITE_OK)
        note((moment){ .what = REMOVED, .folder = sync_folder != 0 }, path);
    return code;
}

static sqlite3_vfs disk;

void power_disk_plug_in(gboolean shared_memory)
{
    watching.iVersion = shared_memory ? 2 : 1;
    happened = g_array_new(FALSE, FALSE, sizeof(moment));
    g_array_set_clear_func(happened, moment_clear);
    plain = sqlite3_vfs_find(NULL);
    disk = *plain;
    disk.zName = "power-disk";
    disk.pNext = NULL;
    disk.szOsFile = plain->szOsFile + (int)sizeof(watched_file);
    disk.xOpen = disk_open;
    disk.xDelete = disk_delete;
    sqlite3_vfs_register(&disk, 1);
}

void power_disk_unplug(void)
{
    sqlite3_vfs_register(plain, 1);
    sqlite3_vfs_unregister(&disk);
    g_clear_pointer(&happened, g_array_unref);
}

/* --- after the cut ------------------------------------------------------------------ */

typedef struct disk_file {
    GByteArray *bytes;
    GPtrArray *unsynced; /* moments, borrowed from the log */
    gboolean there;      /* its name has reached the disk */
    gboolean removed;    /* but the disk does not know yet */
} disk_file;

static void disk_file_free(gpointer data)
{
    disk_file *f = data;
    g_byte_array_unref(f->bytes);
    g_ptr_array_unref(f->unsynced);
    g_free(f);
}

static disk_file *file_of(GHashTable *files, const char *name)
{
    disk_file *f = g_hash_table_lookup(files, name);
    if (f == NULL || f->removed) {
        f = g_new0(disk_file, 1);
        f->bytes = g_byte_array_new();
        f->unsynced = g_ptr_array_new();
        g_hash_table_insert(files, g_strdup(name), f);
    }
    return f;
}

static void resize(GByteArray *bytes, gsize size)
{
    guint before = bytes->len;
    g_byte_array_set_size(bytes, (guint)size);
    if (size > before)
        memset(bytes->data + before, 0, size - before);
}

static void put(GByteArray *bytes, gsize where, const guint8 *from, gsize count)
{
    if (bytes->len < where + count)
        resize(bytes, where + count);
    memcpy(bytes->data + where, from, count);
}

static void apply(disk_file *f, const moment *m)
{
    if (m->what == CUT_SHORT) {
        resize(f->bytes, (gsize)m->where);
        return;
    }
    gsize count;
    const guint8 *from = g_bytes_get_data(m->bytes, &count);
    put(f->bytes, (gsize)m->where, from, count);
}

/* Some of its sectors reach the disk. */
static void apply_torn(disk_file *f, const moment *m, GRand *chance)
{
    gsize count;
    const guint8 *from = g_bytes_get_data(m->bytes, &count);
    for (gsize done = 0; done < count;) {
        gsize step = MIN(count - done, SECTOR - ((gsize)m->where + done) % SECTOR);
        if (g_rand_boolean(chance))
            put(f->bytes, (gsize)m->where + done, from + done, step);
        done += step;
    }
}

static void shuffle(GPtrArray *list, GRand *chance)
{
    for (guint i = list->len; i > 1; i--) {
        guint j = (guint)g_rand_int_range(chance, 0, (gint32)i);
        gpointer other = list->pdata[j];
        list->pdata[j] = list->pdata[i - 1];
        list->pdata[i - 1] = other;
    }
}

/* Of what was not synced, each part is kept, torn or lost, in any order. */
static void lose_power(disk_file *f, GRand *chance)
{
    if (g_rand_boolean(chance))
        shuffle(f->unsynced, chance);
    for (guint i = 0; i < f->unsynced->len; i++) {
        const moment *m = f->unsynced->pdata[i];
        int fate = g_rand_int_range(chance, 0, 3);
        if (fate == 0)
            apply(f, m);
        else if (fate == 1 && m->what == WROTE)
            apply_torn(f, m, chance);
        if (fate < 2)
            f->there = f->there || g_rand_boolean(chance);
    }
}

static gboolean is_removed(gpointer name, gpointer file, gpointer data)
{
    (void)name, (void)data;
    return ((disk_file *)file)->removed;
}

static void go_through(GHashTable *files, const moment *m)
{
    disk_file *f = file_of(files, m->name);
    if (m->what == REMOVED) {
        f->removed = TRUE;
    } else if (m->what == SYNCED) {
        for (guint i = 0; i < f->unsynced->len; i++)
            apply(f, f->unsynced->pdata[i]);
        g_ptr_array_set_size(f->unsynced, 0);
        f->there = TRUE;
    } else {
        g_ptr_array_add(f->unsynced, (gpointer)m);
    }
    if (m->folder)
        g_hash_table_foreach_remove(files, is_removed, NULL);
}

int power_disk_cut(guint at, GRand *chance, const char *folder)
{
    int acknowledged = 0;
    g_autoptr(GHashTable) files =
        g_hash_table_new_full(g_str_hash, g_str_equal, g_free, disk_file_free);
    for (guint i = 0; i < at; i++) {
        const moment *m = &g_array_index(happened, moment, i);
        if (m->what == ACKNOWLEDGED)
            acknowledged = (int)m->where;
        else
            go_through(files, m);
    }

    GHashTableIter iter;
    gpointer name, value;
    g_hash_table_iter_init(&iter, files);
    while (g_hash_table_iter_next(&iter, &name, &value)) {
        disk_file *f = value;
        lose_power(f, chance);
        if (!f->there || (f->removed && g_rand_boolean(chance)))
            continue;
        g_autofree char *path = g_build_filename(folder, name, NULL);
        g_autoptr(GError) error = NULL;
        if (!g_file_set_contents_full(path, (const char *)f->bytes->data, f->bytes->len,
                                      G_FILE_SET_CONTENTS_NONE, 0600, &error))
            g_error("%s", error->message);
    }
    return acknowledged;
}
