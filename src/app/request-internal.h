/* app/request-internal.h: reads the fields of a request. What came as text (from a flag
 * or a query) and what came as a JSON number or list are read alike. Every error names
 * the field. */
#pragma once

#include "app/app.h"
#include "base/length.h"

/** The text of a field, borrowed from the request; NULL when it isn't there or is empty.
 */
const char *app_request_text(const app_call *call, const char *field);

/** The same, refused with app.field-missing when it isn't there. */
gboolean app_request_need_text(const app_call *call, const char *field,
                               const char **ret_text,
                               GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** true for true, "", "1", "true", "yes": a flag without value is on. */
bool app_request_flag(const app_call *call, const char *field);
bool app_request_has(const app_call *call, const char *field);

/** A whole number low <= n <= high; absent leaves *ret_number as it was. */
gboolean app_request_int(const app_call *call, const char *field, int64_t low,
                         int64_t high, int64_t *ret_number,
                         GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The field "port"; APP_PORT where it is absent. */
gboolean app_port_requested(const app_call *call, int64_t *ret_port,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A length above zero; a bare number counts `bare`s; absent leaves *ret_length as it
 * was. */
gboolean app_request_length(const app_call *call, const char *field, length bare,
                            length *ret_length, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same for what may also be nothing: 0 or above. */
gboolean app_request_width(const app_call *call, const char *field, length bare,
                           length *ret_length, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** One of a list of words that ends with NULL; absent leaves *ret_which as it was. */
gboolean app_request_word(const app_call *call, const char *field,
                          const char *const words[], int *ret_which,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The items of a list, or the one item that stands alone: always an array, free with
 *  json_decref(); empty when the field isn't there. */
json_t *app_request_list(const app_call *call, const char *field);

/** The path of the first of "photos", borrowed from the request; NULL with
 * app.field-missing when there is none. */
const char *app_request_photo(const app_call *call, GError **error);

/** "W x H" (also with × or by): two lengths above zero. */
gboolean app_request_size(const app_call *call, const char *field, length bare,
                          length *ret_width, length *ret_height,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** One item of a list as a whole number from 1 on: 7 or "7". */
gboolean app_request_item_id(const json_t *item, const char *field, int64_t *ret_id,
                             GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Tells how far a long action is; returns FALSE with `cancelled` when it shall stop. */
gboolean app_call_step(const app_call *call, double done, const char *doing,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** A whole file, free with g_free(). Errors: file.unreadable. */
char *app_file_read(const char *path, gsize *ret_size, GError **error);
