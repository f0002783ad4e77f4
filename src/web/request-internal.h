/* web/request-internal.h: one request, from its headers to its answer: the callbacks of
 * the library below, whose closure is the server. */
#pragma once

#include "web/server-internal.h"

/** An MHD_AccessHandlerCallback. */
enum MHD_Result web_request_handle(void *server, struct MHD_Connection *connection,
                                   const char *url, const char *method,
                                   const char *version, const char *upload,
                                   size_t *upload_size, void **context);

/** An MHD_RequestCompletedCallback. */
void web_request_completed(void *server, struct MHD_Connection *connection,
                           void **context, enum MHD_RequestTerminationCode code);
