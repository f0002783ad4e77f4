/* store/export-internal.h: what writing and reading the open formats share. */
#pragma once

#include "store/book-internal.h"

/** The tables that are written, NULL at the end. */
extern const char *const store_export_tables[];
