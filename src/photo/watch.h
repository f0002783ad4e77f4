/* photo/watch.h: how long work is watched and stopped, and the remarks that it makes. */
#pragma once

#include <glib.h>
#include <stdatomic.h>
#include <stdbool.h>

/** Handed to every slow function; a NULL watch is never told and never stops. */
typedef struct photo_watch {
    const atomic_bool
        *stop; /* when it turns true the work ends with `cancelled`; or NULL */
    void (*progress)(double done, const char *doing, void *data); /* 0 to 1; or NULL */
    void *data;
} photo_watch;

/** Tells how far the work is; FALSE with MOTLEY_ERROR_CANCELLED when it shall stop. */
gboolean photo_watch_tell(const photo_watch *watch, double done, const char *doing,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

enum { PHOTO_WARNINGS_MAX = 16, PHOTO_WARNING_SIZE = 240 };

/** Something that the maker should know though the work went on. */
typedef struct photo_warning {
    const char *code;                 /* "photo.blurred"; static, stable */
    char message[PHOTO_WARNING_SIZE]; /* what is wrong and what to do */
} photo_warning;

/** The remarks made on one photo, at most one of each code. Zeroed is empty. */
typedef struct photo_warnings {
    int count;
    photo_warning item[PHOTO_WARNINGS_MAX];
} photo_warnings;

/** Appends a remark unless its code is there already; a full list drops it. */
void photo_warn(photo_warnings *warnings, const char *code, const char *format, ...)
    G_GNUC_PRINTF(3, 4);

/** Whether a remark of this code was made. */
bool photo_warned(const photo_warnings *warnings, const char *code);
