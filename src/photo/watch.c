#include "photo/watch.h"

#include "base/error.h"

#include <stdio.h>
#include <string.h>

gboolean photo_watch_tell(const photo_watch *watch, double done, const char *doing,
                          GError **error)
{
    if (watch == NULL)
        return TRUE;
    if (watch->stop != NULL && atomic_load(watch->stop)) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_CANCELLED, "Stopped.");
        return FALSE;
    }
    if (watch->progress != NULL)
        watch->progress(done, doing, watch->data);
    return TRUE;
}

bool photo_warned(const photo_warnings *warnings, const char *code)
{
    for (int i = 0; i < warnings->count; i++)
        if (strcmp(warnings->item[i].code, code) == 0)
            return true;
    return false;
}

void photo_warn(photo_warnings *warnings, const char *code, const char *format, ...)
{
    if (warnings->count == PHOTO_WARNINGS_MAX || photo_warned(warnings, code))
        return;
    photo_warning *warning = &warnings->item[warnings->count++];
    warning->code = code;
    va_list args;
    va_start(args, format);
    vsnprintf(warning->message, sizeof warning->message, format, args);
    va_end(args);
}
