/* Any text as an outline that the book keeps: refused, or read and written back alike. */
#include "store/scrap.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    g_autofree char *text = g_strndup((const char *)data, size);
    g_autoptr(store_outline) outline = store_outline_read(text);
    if (outline == NULL)
        return 0;
    g_autofree char *written = store_outline_write(store_outline_view(outline));
    g_autoptr(store_outline) again = store_outline_read(written);
    if (again == NULL)
        abort();
    g_autofree char *rewritten = store_outline_write(store_outline_view(again));
    if (strcmp(written, rewritten) != 0)
        abort();
    return 0;
}
