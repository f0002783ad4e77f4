/* app/own-internal.h: every design that can be named: those of the program and the
 * maker's own. */
#pragma once

#include "app-internal.h"
#include "quilt/design.h"

/** A design by its text. */
typedef struct app_known_design {
    char *name; /* the file's name without its ending */
    char *text;
    bool own;
} app_known_design;

/** GArray of app_known_design: the catalogue, then the maker's own. Unreference it. */
gboolean app_designs_known(app *self, GArray **ret_known,
                           GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * Reads a design of the catalogue or of the book.
 *
 * @ret_text  its text, free with g_free(); may be NULL
 * @ret_own   whether it is the maker's own; may be NULL
 *
 * Errors: design.unknown, naming the nearest.
 */
gboolean app_design_read(app *self, const char *name, quilt_design *ret_design,
                         char **ret_text, bool *ret_own,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A design that has the name of another already; id "" when there is none. */
typedef struct app_taken {
    char id[QUILT_NAME_SIZE], name[QUILT_NAME_SIZE];
    bool own;
} app_taken;

/** Which design goes by its id or its name already; with `replace` one of her own by the
 *  same id is none. */
gboolean app_design_taken(app *self, const quilt_design *design, bool replace,
                          app_taken *ret_taken, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/**
 * A design that a request brings with it: the field "file" names one, or "text" is one.
 * Its id is the field "design", the file's name or what its own name spells.
 *
 * @ret_text  as it was written, free with g_free()
 *
 * Errors: as quilt_design_parse(); file.unreadable; app.field-missing without any name.
 */
gboolean app_design_requested(const app_call *call, quilt_design *ret_design,
                              char **ret_text, GError **error) G_GNUC_WARN_UNUSED_RESULT;
