/* Puts right what cairo 1.16 writes into the resources of a PDF page. */
#include "draw/scene-internal.h"

#include <string.h>

/* Past a run of such bytes. */
static char *skip(char *at, const char *end, const char *bytes)
{
    while (at < end && strchr(bytes, *at) != NULL && *at != '\0')
        at++;
    return at;
}

static bool begins(const char *at, const char *end, const char *text)
{
    size_t size = strlen(text);
    return (size_t)(end - at) >= size && memcmp(at, text, size) == 0;
}

/* Before: at stands after "/XObject <<", at names with their objects: "/x9 9 0 R".
 * After:  of each name the first is left, the others are spaces.
 * Returns where it stopped: at anything that does not look so. */
static char *blank_repeated(char *at, const char *end)
{
    g_autoptr(GHashTable) seen =
        g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    for (;;) {
        char *name = skip(at, end, " \n");
        if (!begins(name, end, "/x"))
            return name;
        char *after = skip(name + 2, end, "0123456789");
        char *last = skip(after, end, " 0123456789");
        if (last == after || !begins(last, end, "R"))
            return name;
        if (!g_hash_table_add(seen, g_strndup(name, (gsize)(after - name))))
            memset(name, ' ', (size_t)(last + 1 - name));
        at = last + 1;
    }
}

void draw_pdf_tidy(char *pdf, size_t size)
{
    static const char STREAM[] = "stream\n", ENDSTREAM[] = "endstream",
                      FORMS[] = "/XObject <<";
    const char *end = pdf + size;
    for (char *at = pdf; at < end; at++) {
        if (*at == 's' && begins(at, end, STREAM)) {
            char *past = memmem(at, (size_t)(end - at), ENDSTREAM, strlen(ENDSTREAM));
            if (past == NULL)
                return;
            at = past + strlen(ENDSTREAM);
        } else if (*at == '/' && begins(at, end, FORMS)) {
            at = blank_repeated(at + strlen(FORMS), end) - 1;
        }
    }
}
