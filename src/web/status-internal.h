/* web/status-internal.h: which HTTP status goes with which error. Pure. */
#pragma once

#include <glib.h>

/** 400 to 599, by the error's code; web/status.c has the table. */
unsigned web_status_of(const GError *error);
