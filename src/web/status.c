#include "web/status-internal.h"

#include "base/error.h"

#include <string.h>

/* The first row whose pattern matches the code holds; * stands for any text. What no row
 * names is 400 when the request was at fault and 409 when the book stands against it. */
static const struct {
    const char *pattern;
    unsigned status;
} table[] = {
    { "web.not-paired", 401 },
    { "web.guesses", 429 },
    { "app.pair-code", 403 },
    { "app.no-network", 409 },
    { "web.no-such-page", 404 },
    { "web.no-such-job", 404 },
    { "web.method", 405 },
    { "web.length-required", 411 },
    { "web.body-large", 413 },
    { "web.body-type", 415 },
    { "web.host", 421 },
    { "web.origin", 403 },
    { "web.headers-large", 431 },
    { "internal", 500 },
    { "file.*", 500 },
    { "draw.failed", 500 },
    { "draw.picture-unreadable", 500 },
    { "scrap.plan-wrong", 500 },
    { "store.damaged", 500 }, /* and what else keeps a book from being used at all */
    { "store.unreadable", 500 },
    { "store.not-a-book", 500 },
    { "store.newer", 500 },
    { "store.no-book", 500 },
    { "cancelled", 409 },
    { "*.no-card", 422 }, /* a photo was sent, but what it shows cannot be used */
    { "photo.*", 422 },
    { "*.no-room", 507 },
    { "*.full", 507 },
    { "*.busy", 503 },
    { "store.memory", 503 },
    { "app.done-unseen", 500 },
    { "*.locked", 503 },
    { "*.unknown*", 404 },
    { "*.no-such*", 404 },
    { "*.no-*", 404 },
};

/* Whether code is the pattern, in which * stands for any text, also none. */
static gboolean matches(const char *pattern, const char *code)
{
    if (*pattern == '\0')
        return *code == '\0';
    if (*pattern != '*')
        return *pattern == *code && matches(pattern + 1, code + 1);
    for (;; code++) {
        if (matches(pattern + 1, code))
            return TRUE;
        if (*code == '\0')
            return FALSE;
    }
}

unsigned web_status_of(const GError *error)
{
    const char *code = motley_error_code(error);
    for (size_t i = 0; i < G_N_ELEMENTS(table); i++)
        if (matches(table[i].pattern, code))
            return table[i].status;
    return motley_error_exit_status(error) == 2 ? 400 : 409;
}
