#include "web/files-internal.h"

#include <gio/gio.h>
#include <string.h>

/* Made by tools/pack_page.py. */
GResource *web_page_get_resource(void);

#define ROOT "/page/"

struct web_files {
    GHashTable *by_path; /* "vendor/htm.js" to web_file */
};

static const struct {
    const char *ending, *type;
} types[] = {
    { ".html", "text/html; charset=utf-8" },
    { ".js", "text/javascript; charset=utf-8" },
    { ".mjs", "text/javascript; charset=utf-8" },
    { ".css", "text/css; charset=utf-8" },
    { ".json", "application/json" },
    { ".webmanifest", "application/manifest+json" },
    { ".svg", "image/svg+xml" },
    { ".png", "image/png" },
    { ".jpg", "image/jpeg" },
    { ".ico", "image/x-icon" },
    { ".woff2", "font/woff2" },
    { ".txt", "text/plain; charset=utf-8" },
    { "LICENSE", "text/plain; charset=utf-8" },
};

static const char *type_of(const char *path)
{
    for (size_t i = 0; i < G_N_ELEMENTS(types); i++)
        if (g_str_has_suffix(path, types[i].ending))
            return types[i].type;
    return "application/octet-stream";
}

static void file_free(gpointer data)
{
    web_file *file = data;
    g_clear_pointer(&file->plain, g_bytes_unref);
    g_clear_pointer(&file->gzip, g_bytes_unref);
    g_free(file->etag);
    g_free(file->etag_gzip);
    g_free(file);
}

static web_file *file_new(GResource *resource, const char *path)
{
    web_file *file = g_new0(web_file, 1);
    file->type = type_of(path);
    g_autofree char *full = g_strconcat(ROOT, path, NULL);
    file->plain =
        g_resource_lookup_data(resource, full, G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);
    g_autofree char *packed = g_strconcat(full, ".gz", NULL);
    file->gzip =
        g_resource_lookup_data(resource, packed, G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);

    g_autofree char *hash = g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, file->plain);
    file->etag = g_strdup_printf("\"%.32s\"", hash);
    file->etag_gzip = g_strdup_printf("\"%.32s-gz\"", hash);
    return file;
}

/* Adds all below folder ("" or "vendor/"). */
static void add_folder(web_files *files, GResource *resource, const char *folder)
{
    g_autofree char *full = g_strconcat(ROOT, folder, NULL);
    g_auto(GStrv) names =
        g_resource_enumerate_children(resource, full, G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);
    for (char **name = names; name != NULL && *name != NULL; name++) {
        g_autofree char *path = g_strconcat(folder, *name, NULL);
        if (g_str_has_suffix(path, "/"))
            add_folder(files, resource, path);
        else if (!g_str_has_suffix(path, ".gz"))
            g_hash_table_insert(files->by_path, g_strdup(path), file_new(resource, path));
    }
}

web_files *web_files_new(void)
{
    web_files *files = g_new0(web_files, 1);
    files->by_path = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, file_free);
    add_folder(files, web_page_get_resource(), "");
    return files;
}

void web_files_free(web_files *files)
{
    g_hash_table_unref(files->by_path);
    g_free(files);
}

const web_file *web_files_find(const web_files *files, char *const *segments)
{
    g_autofree char *path = g_strjoinv("/", (char **)segments);
    return g_hash_table_lookup(files->by_path, path[0] != '\0' ? path : "index.html");
}
