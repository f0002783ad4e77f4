/* web/guard-internal.h: who may ask for what. Pure.
 *
 * Three dangers, and what stands against each:
 *
 * - A foreign page makes its name point to this machine and so becomes our origin. The
 *   header Host then bears the foreign name, so only known names and addresses are
 *   answered. The port is not compared: it says nothing about who asks, and a forwarded
 *   port would be locked out.
 * - A foreign page sends a change to us from her browser. Browsers put Origin on every
 *   request that is not GET or HEAD, so where there is one it must be ours. Without one,
 *   Sec-Fetch-Site may vouch for the request instead. With neither, no browser of today
 *   sent it: a program of this machine may, one of the network may not. Either brings a
 *   session besides (gate.c).
 * - A foreign page embeds or measures an answer. Sec-Fetch-Site tells of it, and
 *   whatever is not a plain visit is refused; no answer allows another origin to read. */
#pragma once

#include <glib.h>
#include <stdbool.h>

/** What is judged of a request; texts may be NULL where a header is missing. */
typedef struct web_asked {
    bool changes;     /* its method is neither GET nor HEAD */
    bool from_here;   /* its client is on this machine */
    bool api;         /* its path lies under /api */
    const char *host; /* "localhost:8766" */
    const char *origin;
    const char *fetch_site;
    const char *fetch_mode;
} web_asked;

/**
 * Errors: WEB_HEADERS without a Host, WEB_HOST, WEB_ORIGIN.
 *
 * @names  that the page may be asked for by, lower case, addresses of version 6 in
 *         brackets, to NULL
 */
gboolean web_guard(const web_asked *asked, const char *const *names, GError **error);
