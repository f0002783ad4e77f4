#include "cli/cli.h"

#include "text-internal.h"

#include <gio/gio.h>
#include <unistd.h>

/* What opens http opens the file too: what opens files of HTML may be an editor. */
static bool launch(const char *uri)
{
    g_autoptr(GAppInfo) browser = g_app_info_get_default_for_uri_scheme("http");
    const char *const words[] = { "xdg-open", uri, NULL };
    if (browser != NULL) {
        GList uris = { .data = (char *)uri };
        return g_app_info_launch_uris(browser, &uris, NULL, NULL);
    }
    return g_spawn_async(NULL, (char **)words, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL,
                         NULL, NULL);
}

/* A page that leads to the address at once. It stays; its code is for once. */
static bool open_browser(const char *address)
{
    if (g_getenv("DISPLAY") == NULL && g_getenv("WAYLAND_DISPLAY") == NULL)
        return false;
    g_autofree char *path =
        g_build_filename(g_get_user_runtime_dir(), "motley-open.html", NULL);
    g_autofree char *page = g_strdup_printf(
        "<!doctype html>\n<meta charset=\"utf-8\">\n<title>Motley</title>\n"
        "<meta name=\"referrer\" content=\"no-referrer\">\n"
        "<meta http-equiv=\"refresh\" content=\"0; url=%s\">\n"
        "<a href=\"%s\">Motley</a>\n",
        address, address);
    g_autofree char *uri = g_filename_to_uri(path, NULL, NULL);
    return g_mkdir_with_parents(g_get_user_runtime_dir(), 0700) == 0 &&
           g_file_set_contents_full(path, page, -1, G_FILE_SET_CONTENTS_NONE, 0600,
                                    NULL) &&
           uri != NULL && launch(uri);
}

static void print_address(const char *address, FILE *out)
{
    fprintf(out,
            "Open this in a browser of this computer, within five minutes; it holds "
            "once:\n  %s\n",
            address);
}

bool cli_show_page(const json_t *document, FILE *out)
{
    const char *address = json_string_value(json_object_get(document, "address"));
    if (open_browser(address)) {
        fprintf(out, "The browser opens Motley.\n");
    } else if (isatty(fileno(out))) {
        print_address(address, out);
    } else {
        return false;
    }
    fflush(out);
    return true;
}

void cli_text_open(const json_t *document, FILE *out)
{
    /* It was asked for by name, so it is told wherever the answer goes. */
    if (!cli_show_page(document, out))
        print_address(json_string_value(json_object_get(document, "address")), out);
}
