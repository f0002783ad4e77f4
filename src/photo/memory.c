#include "photo/memory-internal.h"

#include <glib.h>
#include <stdint.h>
#include <sys/mman.h>

static void prefer_large_pages(void *room, size_t bytes)
{
#ifdef MADV_HUGEPAGE
    const uintptr_t page = (uintptr_t)1 << 21;
    uintptr_t from = ((uintptr_t)room + page - 1) & ~(page - 1);
    uintptr_t to = ((uintptr_t)room + bytes) & ~(page - 1);
    if (to > from) /* a wish: where it is refused, small pages do */
        (void)madvise((char *)room + (from - (uintptr_t)room), to - from, MADV_HUGEPAGE);
#else
    (void)room;
    (void)bytes;
#endif
}

void *photo_memory_try(size_t bytes)
{
    void *room = g_try_malloc(bytes);
    if (room != NULL)
        prefer_large_pages(room, bytes);
    return room;
}

void *photo_memory_new(size_t bytes)
{
    void *room = g_malloc(bytes);
    prefer_large_pages(room, bytes);
    return room;
}

void *photo_memory_new0(size_t bytes)
{
    void *room = g_malloc0(bytes);
    prefer_large_pages(room, bytes);
    return room;
}
