/* quilt/catalogue-internal.h: the table that tools/catalogue.py writes from designs/. */
#pragma once

#include "quilt/catalogue.h"

extern const quilt_catalogue_entry quilt_catalogue_table[];
extern const int quilt_catalogue_size;
