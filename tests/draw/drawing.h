/* drawing.h: what the tests of this room share: other programs to look through. */
#pragma once

#include "test.h"

#include "draw/scene.h"

#include <gio/gio.h>

/** A fresh folder for one test program; removed with drawing_clean(). */
const char *drawing_folder(void);
void drawing_clean(void);

/** Writes bytes to name in the folder; returns the path, free with g_free(). */
char *drawing_write(const char *name, GBytes *bytes);

/** Runs a command line (printf style) and returns its standard output, free with
 * g_free(); fails the test with what it said when its exit status is not 0. */
char *drawing_run(const char *format, ...) G_GNUC_PRINTF(1, 2);

/** The same where only the exit status matters. */
void drawing_check(const char *format, ...) G_GNUC_PRINTF(1, 2);

/** A grey picture read from a binary PGM. */
typedef struct drawing_grey {
    int width, height;
    guint8 *pixels; /* free with g_free() */
} drawing_grey;
drawing_grey drawing_read_pgm(const char *path);

/** One page of a PDF as grey pixels. */
drawing_grey drawing_raster(const char *pdf, int page, int dpi);
