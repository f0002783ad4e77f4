/* web/guesses-internal.h: how often wrong codes may be tried. A code cannot be guessed;
 * this keeps trying from being worth anything, and a log from filling with it.
 * Thread-safe. */
#pragma once

#include <glib.h>
#include <stdbool.h>

enum {
    WEB_GUESSES_EACH = 10, /* wrong codes a minute from one address */
    WEB_GUESSES_ALL = 60,  /* and from all of them */
};

typedef struct web_guesses web_guesses;

web_guesses *web_guesses_new(void);
void web_guesses_free(web_guesses *guesses);

/** Whether a code from that address may be tried now. */
bool web_guesses_may(web_guesses *guesses, const char *address, gint64 now_us);

/** It was wrong. */
void web_guesses_wrong(web_guesses *guesses, const char *address, gint64 now_us);
