/* web/target-internal.h: the target of a request, taken apart and decoded by ourselves.
 * Pure. The library below would decode %00 to the end of a string and let malformed
 * escapes pass, so it is kept from decoding at all. */
#pragma once

#include <glib.h>
#include <jansson.h>

typedef struct web_target {
    char **segments; /* of the path, decoded, to NULL; "/" has one, the empty one */
    json_t *query;   /* an object: name to text, or to an array of texts if it repeats */
} web_target;

/**
 * Takes "/api/quilts/My%20quilt?count=2" apart. A slash written %2F stays in its segment.
 *
 * Refuses with WEB_TARGET what does not start with a slash (absolute and authority
 * forms), what holds anything but visible ASCII, escapes that are not two hexadecimal
 * digits, text that is not UTF-8 or holds control characters once decoded (%00 among
 * them), and the segments "." and "..".
 *
 * @ret_target  clear with web_target_clear(); untouched when refused
 */
gboolean web_target_parse(const char *raw, web_target *ret_target,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Frees what is in the target; one that is all zero is fine. */
void web_target_clear(web_target *target);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(web_target, web_target_clear)
