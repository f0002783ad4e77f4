#include "web/request-internal.h"

#include "base/error.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

static bool is_type(const char *given, const char *type)
{
    size_t length = strcspn(given, "; ");
    return strlen(type) == length && g_ascii_strncasecmp(given, type, length) == 0;
}

static gboolean check_body(web_request *r, GError **error)
{
    const web_limits *limits = &r->server->limits;
    bool photo = r->route != NULL && r->route->kind == WEB_ROUTE_PHOTO;
    if (photo && r->headers.lengths == 0)
        return web_refuse(error, MOTLEY_ERROR_WEB_LENGTH_REQUIRED,
                          "The photo comes without its length.");
    if (r->length > (photo ? limits->photo_bytes : limits->json_bytes))
        return web_refuse(error, MOTLEY_ERROR_WEB_BODY_LARGE, "The body is too large.");
    if (r->length == 0)
        return TRUE;
    const char *type = r->headers.type;
    if (photo && type != NULL && !is_type(type, "image/jpeg") &&
        !is_type(type, "image/png"))
        return web_refuse(error, MOTLEY_ERROR_WEB_BODY_TYPE,
                          "The photo is neither JPEG nor PNG.");
    if (!photo && (type == NULL || !is_type(type, "application/json")))
        return web_refuse(error, MOTLEY_ERROR_WEB_BODY_TYPE, "The body is no JSON.");
    return TRUE;
}

static gboolean fail_to_keep(GError **error)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_FILE_UNWRITABLE,
                "The photo cannot be kept: %s.", g_strerror(errno));
    return FALSE;
}

/* Opens the photo's file, which nobody else may read. */
static gboolean open_photo(web_request *r, GError **error)
{
    if (r->route == NULL || r->route->kind != WEB_ROUTE_PHOTO)
        return TRUE;
    r->photo = g_build_filename(r->server->folder, "photo-XXXXXX", NULL);
    r->photo_fd = g_mkstemp_full(r->photo, O_RDWR | O_CLOEXEC, 0600);
    if (r->photo_fd >= 0)
        return TRUE;
    g_clear_pointer(&r->photo, g_free);
    return fail_to_keep(error);
}

gboolean web_body_expect(web_request *r, GError **error)
{
    return check_body(r, error) && open_photo(r, error);
}

static gboolean write_photo(web_request *r, const char *bytes, size_t size,
                            GError **error)
{
    while (size > 0) {
        ssize_t n = write(r->photo_fd, bytes, size);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return fail_to_keep(error);
        bytes += n;
        size -= (size_t)n;
    }
    return TRUE;
}

void web_body_take(web_request *r, const char *bytes, size_t size)
{
    web_guest_body_came(r->guest, size);
    if (r->refusal != NULL)
        return;
    if (r->photo != NULL) {
        if (!write_photo(r, bytes, size, &r->refusal)) {
            unlink(r->photo);
            g_clear_pointer(&r->photo, g_free);
        }
        return;
    }
    if (r->body == NULL)
        r->body = g_byte_array_sized_new((guint)r->length);
    g_byte_array_append(r->body, (const guint8 *)bytes, (guint)size);
}

/* What on the command line names a file would name one of this machine, which a page has
 * no business with. */
static gboolean names_a_file(const json_t *fields)
{
    static const char *const files[] = { "file", "output", "photos" };
    for (size_t i = 0; i < G_N_ELEMENTS(files); i++)
        if (json_object_get(fields, files[i]) != NULL)
            return TRUE;
    return json_is_string(json_object_get(fields, "outline"));
}

json_t *web_body_fields(const web_request *r, GError **error)
{
    json_t *all = NULL;
    if (r->body != NULL) {
        json_error_t wrong;
        all = json_loadb((const char *)r->body->data, r->body->len,
                         JSON_REJECT_DUPLICATES, &wrong);
        if (!json_is_object(all)) {
            json_decref(all);
            g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_BODY_UNREADABLE,
                        "The body is no JSON object: %s, at byte %d.",
                        all == NULL ? wrong.text : "something else",
                        all == NULL ? wrong.position : 0);
            return NULL;
        }
    } else {
        all = json_object();
    }
    json_object_update(all, r->target.query);
    json_object_update(all, r->fields);
    if (names_a_file(all)) {
        json_decref(all);
        web_refuse(error, MOTLEY_ERROR_WEB_FILE_NAMED, "A file is named.");
        return NULL;
    }
    return all;
}
