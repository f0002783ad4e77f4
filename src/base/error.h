/* base/error.h: every error that a maker can run into, its stable code and how to mend
 * it.
 *
 * Who notices an error says what is wrong, each caller puts before it where
 * (g_prefix_error), and this table adds how to mend it. Codes are a contract with
 * other programs: add rows, never rename one. */
#pragma once

#include <glib.h>

/* X(NAME, code, exit status, how to mend it); 1 failed, 2 wrong usage. */
#define MOTLEY_ERRORS(X)                                                                 \
    /* base */                                                                           \
    X(LENGTH_UNREADABLE, "length.unreadable", 2,                                         \
      "Write a length like 2, 2.5, 2 1/2 in, 5 cm or 1 1/8 yd.")                         \
    X(LENGTH_RANGE, "length.range", 2, "Give a length above zero and under 1 km.")       \
    X(LENGTH_NOT_POSITIVE, "length.not-positive", 2, "Give a length above zero.")        \
    X(USAGE, "usage", 2, "Run motley --help for the commands and their flags.")          \
    X(INTERNAL, "internal", 1,                                                           \
      "This is a fault of the program. Nothing in the book was changed.")                \
    X(CANCELLED, "cancelled", 1, "Nothing was changed. Start it again when you like.")   \
    /* files */                                                                          \
    X(FILE_UNREADABLE, "file.unreadable", 1, "Check the name and that it may be read.")  \
    X(FILE_UNWRITABLE, "file.unwritable", 1,                                             \
      "Choose a folder that may be written to and has room left.")                       \
    /* quilt */                                                                          \
    /* scrap */                                                                          \
    /* plan */                                                                           \
    /* photo */                                                                          \
    /* draw */                                                                           \
    /* store */                                                                          \
    /* app */                                                                            \
    /* web */                                                                            \
    /* end */

typedef enum motley_error {
#define MOTLEY_ERROR_ENUM(name, code, status, hint) MOTLEY_ERROR_##name,
    MOTLEY_ERRORS(MOTLEY_ERROR_ENUM)
#undef MOTLEY_ERROR_ENUM
        MOTLEY_ERROR_COUNT
} motley_error;

#define MOTLEY_ERROR (motley_error_quark())
GQuark motley_error_quark(void);

/** The stable code of an error, such as "photo.no-card"; "internal" for foreign ones. */
const char *motley_error_code(const GError *error);

/** How to mend it, one or two sentences. Never NULL. */
const char *motley_error_hint(const GError *error);

/** 1 for what failed, 2 for wrong usage. */
int motley_error_exit_status(const GError *error);
