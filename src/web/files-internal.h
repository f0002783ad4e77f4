/* web/files-internal.h: the page's files, compiled in; there is no look-up of paths on
 * disk. */
#pragma once

#include <glib.h>

typedef struct web_file {
    const char *type; /* media type */
    char *etag;       /* strong, by content: "\"3f2a...\"" */
    char *etag_gzip;
    GBytes *plain;
    GBytes *gzip; /* or NULL where it does not pay */
} web_file;

typedef struct web_files web_files;

/** Reads what is compiled in. Free with web_files_free(). */
web_files *web_files_new(void);
void web_files_free(web_files *files);

/**
 * @segments  of the path, decoded, to NULL; the empty path is index.html
 *
 * Returns the file, which lives as long as files, or NULL.
 */
const web_file *web_files_find(const web_files *files, char *const *segments);
