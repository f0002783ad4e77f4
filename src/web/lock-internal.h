/* web/lock-internal.h: a mutex held to the end of the scope. */
#pragma once

#include <glib.h>

/** Locks; the end of the scope unlocks. (Said to be unused, for clang counts no cleanup
 * as a use.) */
#define WEB_LOCK(mutex)                                                                  \
    g_autoptr(GMutexLocker) web_locker G_GNUC_UNUSED = g_mutex_locker_new(mutex)
