#include "store/daily.h"

#include "book-internal.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <stdio.h>
#include <string.h>
#include <sys/statvfs.h>

enum { DAYS = 7, WEEK = 7, WEEKS = 4, MONTH = 30, MONTHS = 6, ROOM = 3 };

/* Weeks and months are those of the calendar's count of days, not of the age: a window
 * that slid along with today would let the copy in it never grow old. */
void store_daily_thin(int count, const uint32_t days[], uint32_t today, bool *ret_keep)
{
    for (int i = 0; i < count; i++) {
        uint32_t age = days[i] >= today ? 0 : today - days[i];
        uint32_t next = i + 1 < count ? days[i + 1] : UINT32_MAX;
        bool last_of_week = days[i] / WEEK != next / WEEK;
        bool last_of_month = days[i] / MONTH != next / MONTH;
        ret_keep[i] = i + 1 == count || age < DAYS ||
                      (last_of_week && age < DAYS + WEEKS * WEEK) ||
                      (last_of_month && age < DAYS + WEEKS * WEEK + MONTHS * MONTH);
    }
}

/* "2026-11-27.book" as a day; 0: another file, which is left alone. */
uint32_t store_daily_day(const char *name)
{
    unsigned year, month, day;
    char end[8];
    if (sscanf(name, "%4u-%2u-%2u.%7s", &year, &month, &day, end) != 4 ||
        strcmp(end, "book") != 0 ||
        !g_date_valid_dmy((GDateDay)day, (GDateMonth)month, (GDateYear)year))
        return 0;
    GDate date;
    g_date_clear(&date, 1);
    g_date_set_dmy(&date, (GDateDay)day, (GDateMonth)month, (GDateYear)year);
    return g_date_get_julian(&date);
}

static char *path_of(const char *folder, const GDate *day, const char *ending)
{
    char name[32];
    g_date_strftime(name, sizeof name, "%Y-%m-%d", day);
    return g_strdup_printf("%s/%s%s", folder, name, ending);
}

static int by_day(gconstpointer a, gconstpointer b)
{
    const uint32_t *p = a, *q = b;
    return (*p > *q) - (*p < *q);
}

static void take_away_old(const char *folder, uint32_t today)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    g_autoptr(GArray) days = g_array_new(FALSE, FALSE, sizeof(uint32_t));
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        uint32_t day = store_daily_day(name);
        if (day != 0)
            g_array_append_val(days, day);
    }
    g_array_sort(days, by_day);
    g_autofree bool *keep = g_new0(bool, days->len + 1);
    store_daily_thin((int)days->len, (const uint32_t *)(const void *)days->data, today,
                     keep);
    for (guint i = 0; i < days->len; i++) {
        GDate day;
        g_date_clear(&day, 1);
        g_date_set_julian(&day, g_array_index(days, uint32_t, i));
        g_autofree char *path = path_of(folder, &day, ".book");
        if (!keep[i])
            g_unlink(path);
    }
}

static gboolean make_room_known(const char *book, const char *folder, GError **error)
{
    GStatBuf size;
    struct statvfs room;
    if (g_mkdir_with_parents(folder, 0700) != 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE,
                    "%s cannot be made: %s", folder, g_strerror(errno));
        return FALSE;
    }
    if (g_stat(book, &size) != 0 || statvfs(folder, &room) != 0 ||
        (double)room.f_bavail * (double)room.f_frsize >=
            (double)ROOM * (double)size.st_size)
        return TRUE;
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_FULL,
                "there is too little room for a daily copy in %s", folder);
    return FALSE;
}

/* A copy of a damaged book would in time drive out those that are not. */
static gboolean is_sound(store_book *book, GError **error)
{
    g_autoptr(GPtrArray) complaints = NULL;
    return store_book_examine(book, &complaints, error) &&
           store_damage_refuse(book, error);
}

gboolean store_book_daily(store_book *book, const GDate *today, char **ret_made,
                          GError **error)
{
    g_autofree char *folder = g_strconcat(book->path, ".daily", NULL);
    g_autofree char *path = path_of(folder, today, ".book");
    g_autofree char *part = path_of(folder, today, ".part");
    *ret_made = NULL;
    if (!g_file_test(path, G_FILE_TEST_EXISTS)) {
        g_unlink(part); /* of a program that was ended while it copied */
        if (!make_room_known(book->path, folder, error) || !is_sound(book, error) ||
            !store_book_backup(book, part, error))
            return FALSE;
        if (g_rename(part, path) != 0) {
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE,
                        "%s cannot be named: %s", path, g_strerror(errno));
            return FALSE;
        }
        *ret_made = g_steal_pointer(&path);
    }
    take_away_old(folder, g_date_get_julian(today));
    return TRUE;
}
