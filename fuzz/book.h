/* book.h: the small books of seeds/book, for targets that need one. They hold a measured
 * photo, three quilts, a design, tools and changes; the program's version 3 wrote them,
 * those of versions 1 and 2 are the same rows in the tables of that version, and version
 * 4 brought them to its own. */
#pragma once

#include "app/app.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

enum {
    FUZZ_BOOK_SEEDS = 4,
    FUZZ_BOOK_VERSIONS, /* and the last seed brought to the present */
};

/** A folder of this process, in memory where the system has such; goes away at its end.
 * Borrowed. */
const char *fuzz_folder(void);

/** The bytes of a book of a version from 1 on; the last is as this program writes it.
 * Borrowed. */
GBytes *fuzz_book_bytes(int version);

/** Puts a book of this process in place, without what lay beside the one before.
 * Returns its path, borrowed. */
const char *fuzz_book_put(const void *bytes, size_t size);

enum { FUZZ_PARTS = 6 };

/**
 * Asks for documents, pictures and sheets as a page can, by the server's table of routes,
 * of all that the small books hold. Each must come, or be refused with one of our codes.
 *
 * @part  which of FUZZ_PARTS parts of the table, for all of them take long; or -1
 */
void fuzz_read(app *book, int part);

/** Runs one action as the server would; TRUE when it was done. Holds that it gives
 * either a document that can be written or an error of ours. */
bool fuzz_act(app *book, const app_action *action, const json_t *fields);

/** What must hold of whatever the target reads; the program ends where it does not. */
#define FUZZ_MUST(holds)                                                                 \
    do {                                                                                 \
        if (!(holds)) {                                                                  \
            fprintf(stderr, "%s:%d: %s does not hold\n", __FILE__, __LINE__, #holds);    \
            abort(); /* libFuzzer keeps the input of no other end */                     \
        }                                                                                \
    } while (0)
