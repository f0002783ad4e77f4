#include "store/seal.h"

#include <glib/gstdio.h>
#include <stdio.h>
#include <string.h>

#include "store-schema-2.h"
#include "store-schema-3.h"
#include "store-schema-4.h"
#include "store-schema.h"

/* steps[v] leads from version v to v + 1. Never alter one that has been in a release. */
static const char *const steps[] = { schema_text, schema_2_text, schema_3_text,
                                     schema_4_text };

int store_schema_version(void)
{
    return G_N_ELEMENTS(steps);
}

enum { SEALED_FROM = 4 };

/* Where SQLite keeps both, high byte first (sqlite.org/fileformat2.html, 1.3). */
enum { HEADER = 100, USER_VERSION_AT = 60, APPLICATION_ID_AT = 68 };

static uint32_t number_at(const uint8_t *bytes)
{
    uint32_t number;
    memcpy(&number, bytes, sizeof number);
    return GUINT32_FROM_BE(number);
}

bool store_book_is_older(const char *path)
{
    uint8_t header[HEADER] = { 0 };
    FILE *file = g_fopen(path, "rbe");
    bool whole = file != NULL && fread(header, sizeof header, 1, file) == 1;
    if (file != NULL)
        fclose(file);
    uint32_t version = number_at(header + USER_VERSION_AT);
    return whole && number_at(header + APPLICATION_ID_AT) == STORE_APPLICATION_ID &&
           version > 0 && version < (uint32_t)store_schema_version();
}

static gboolean run_steps(sqlite3 *db, int from, int count, const char *const todo[],
                          GError **error)
{
    for (int version = from; version < count; version++)
        if (!store_exec(db, todo[version], error))
            return FALSE;

    /* What was recorded of changes speaks of the tables as they were. */
    if (from > 0 &&
        !store_exec(db,
                    "UPDATE journal SET state = iif(state = 'done', 'settled', 'dropped')"
                    " WHERE state IN ('done', 'undone')",
                    error))
        return FALSE;

    /* A PRAGMA takes no bound values; these are our own numbers. */
    g_autofree char *mark =
        g_strdup_printf("PRAGMA application_id = %d; PRAGMA user_version = %d",
                        STORE_APPLICATION_ID, count);
    return store_exec(db, mark, error) &&
           (count < SEALED_FROM || store_seal_all(db, error));
}

/* What is damaged before a step would be sealed after it as if it were sound. */
static gboolean is_sound(sqlite3 *db, int version, GError **error)
{
    if (version < SEALED_FROM)
        return TRUE;
    g_autoptr(GPtrArray) complaints = g_ptr_array_new_with_free_func(g_free);
    if (!store_seal_check(db, complaints, error))
        return FALSE;
    if (complaints->len > 0)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_STORE_DAMAGED, "%s",
                    (const char *)complaints->pdata[0]);
    return complaints->len == 0;
}

gboolean store_migrate(sqlite3 *db, const char *path, int count, const char *const todo[],
                       GError **error)
{
    int64_t version, pages;
    if (!store_number(db, "PRAGMA user_version", &version, error) ||
        !store_number(db, "PRAGMA page_count", &pages, error))
        return FALSE;
    if (version > 0) {
        g_autofree char *copy = g_strdup_printf("%s.before-%d", path, count);
        g_unlink(copy); /* from an attempt that failed: the book is still as it was */
        if (!store_copy_to(db, copy, error))
            return FALSE;
    }

    if (!store_exec(db, "BEGIN IMMEDIATE", error))
        return FALSE;
    /* Another program may have been quicker. */
    if (store_number(db, "PRAGMA user_version", &version, error) &&
        (version >= count || (is_sound(db, (int)version, error) &&
                              run_steps(db, (int)version, count, todo, error))) &&
        store_exec(db, "COMMIT", error))
        return TRUE;
    sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    return FALSE;
}

gboolean store_migrate_to_present(sqlite3 *db, const char *path, GError **error)
{
    return store_migrate(db, path, G_N_ELEMENTS(steps), steps, error);
}
