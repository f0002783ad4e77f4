/* power-disk.h: a disk whose power can be cut, under SQLite.
 *
 * It stands between SQLite and the files, lets everything through, and keeps a log of
 * what was written, cut short, made, removed and synced. From the log it says what a disk
 * could hold after a power cut at any moment: all that was synced, and of what came later
 * any part in any order, also half a write. A write is torn at sectors of 512 bytes.
 *
 * What SQLite itself takes for granted of a disk holds here too: bytes outside a write
 * stay (SQLITE_IOCAP_POWERSAFE_OVERWRITE), and a sync that returned is kept. */
#pragma once

#include <glib.h>

/**
 * Starts logging all files that SQLite opens from now on.
 *
 * @shared_memory  FALSE: a disk such as some networks', where programs cannot share
 * memory
 */
void power_disk_plug_in(gboolean shared_memory);

/** Ends logging, forgets the log, and gives SQLite its plain disk back. Close all files
 * before. */
void power_disk_unplug(void);

/** Notes in the log that n was acknowledged. */
void power_disk_acknowledge(int n);

/** As if the file and its folder had been synced long ago. */
void power_disk_settle(const char *path);

/** How many writes there were, those refused among them. */
guint power_disk_writes(void);

/**
 * Before the nth write from now on the program is killed (SIGKILL), or from it on the
 * disk is full.
 *
 * @nth  from 1; 0 for neither
 */
void power_disk_break(guint nth, gboolean killed);

/** How many moments the log holds, at each of which the power can be cut. */
guint power_disk_moments(void);

/**
 * Writes into a folder what the disk may hold after a cut before a moment. Files keep
 * their names.
 *
 * @moment  0 to power_disk_moments()
 * @chance  decides what of the unsynced reaches the disk
 *
 * Returns the last number that was acknowledged before the cut, 0 for none.
 */
int power_disk_cut(guint moment, GRand *chance, const char *folder);
