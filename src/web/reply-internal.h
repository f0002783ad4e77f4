/* web/reply-internal.h: answers, each with the headers that keep browsers from doing more
 * with it than showing it. Each function queues one answer and returns what an access
 * handler returns; the status is for the log. */
#pragma once

#include "web/files-internal.h"

#include <jansson.h>
#include <microhttpd.h>

/** A document; takes the reference. */
enum MHD_Result web_reply_document(struct MHD_Connection *connection, unsigned status,
                                   json_t *document);

/** The text of a document, free with g_bytes_unref(); takes the reference. */
GBytes *web_document_text(json_t *document);

/** A document that is text already; takes the reference. */
enum MHD_Result web_reply_text(struct MHD_Connection *connection, GBytes *text,
                               const char *etag);

/** 202 {"job": id}, with its path in Location. */
enum MHD_Result web_reply_job(struct MHD_Connection *connection, const char *id);

/**
 * The document of an error, with the status that goes with it.
 *
 * @allow  for the header Allow, or NULL
 * @end    whether to close the connection, for what comes next cannot be trusted
 */
enum MHD_Result web_reply_error(struct MHD_Connection *connection, const GError *error,
                                const char *allow, gboolean end);

/** The document of a device that was paired, with the cookie that it comes back with;
 * takes the reference. */
enum MHD_Result web_reply_paired(struct MHD_Connection *connection, json_t *document,
                                 const char *cookie);

/** 401 with the page that says how to pair. */
enum MHD_Result web_reply_unpaired(struct MHD_Connection *connection,
                                   const web_file *page);

/** A file of the page, or 304 when the client has it. @cookie to keep, or NULL; with one
 * the file is always sent. */
enum MHD_Result web_reply_file(struct MHD_Connection *connection, const web_file *file,
                               const char *accept_encoding, const char *if_none_match,
                               const char *cookie);

/** A picture or sheet; takes the reference. @etag may be NULL. */
enum MHD_Result web_reply_bytes(struct MHD_Connection *connection, GBytes *bytes,
                                const char *type, const char *etag);

/** 304: the client has what bears the etag. */
enum MHD_Result web_reply_known(struct MHD_Connection *connection, const char *etag);

/** Events, as they come; takes the response. */
enum MHD_Result web_reply_events(struct MHD_Connection *connection,
                                 struct MHD_Response *response);

/** Whether the header If-None-Match (NULL if missing) names the etag. */
gboolean web_etag_matches(const char *if_none_match, const char *etag);
