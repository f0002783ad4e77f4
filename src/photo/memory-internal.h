/* photo/memory-internal.h: room for whole pictures. */
#pragma once

#include <stddef.h>

/**
 * Room for a picture of many megabytes, asked for in large pages where the system has
 * them: touched for the first time page by page, a plan's pictures took a fifth of the
 * time that finding scraps did (bench/photo). Free with g_free().
 */
void *photo_memory_new(size_t bytes);

/** The same, zeroed. */
void *photo_memory_new0(size_t bytes);

/** The same, or NULL where there is not so much. */
void *photo_memory_try(size_t bytes);
