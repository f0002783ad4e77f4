/* store/place-internal.h: where a book lies, and holding it for one machine.
 *
 * On a disk that is shared through the network, SQLite's locks and its log's shared
 * memory cannot be relied on between machines. There a book keeps a rollback journal, and
 * a file beside it ("NAME.lock") says which machine has it open: programs of that machine
 * may share it, those of another are refused. */
#pragma once

#include <glib.h>

/** What is asked about where a book lies; tests bring their own. */
typedef struct store_place {
    /** The kind of network disk that a folder lies on ("nfs"), static; NULL for a disk of
     * this machine, or when it cannot be told. */
    const char *(*network_of)(const char *folder);
    /** Two lines: the machine's name, and what tells it from others of that name. Free
     * with g_free(). */
    char *(*machine)(void);
} store_place;

/** Asks the system. */
extern const store_place store_place_here;

/** The kind of network disk by its number in statfs(2); NULL for any other. */
const char *store_network_kind(unsigned long f_type);

/**
 * Holds a book for a machine, until store_hold_end().
 *
 * @machine  as store_place.machine() gives it
 *
 * Returns a file descriptor; -1 with store.elsewhere when another machine holds it, or
 * store.read-only when nothing can be written or locked there.
 */
int store_hold_begin(const char *book, const char *machine, GError **error);

/** Ends it; the last of this machine takes the file away. fd -1 is fine. */
void store_hold_end(const char *book, int fd);
