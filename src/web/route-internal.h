/* web/route-internal.h: which request calls what. Pure. */
#pragma once

#include <glib.h>
#include <jansson.h>

typedef enum web_route_kind {
    WEB_ROUTE_ACTION,  /* answers the document of the action `name` */
    WEB_ROUTE_PICTURE, /* answers what app_render() draws for `name` */
    WEB_ROUTE_SHEET, /* the same on the queue, for WHAT and the ending `name`; the answer
                        waits for it */
    WEB_ROUTE_PHOTO, /* keeps the body as a file and queues the action `name` on it */
    WEB_ROUTE_CHANGES,    /* tells of changes of the book, as they happen */
    WEB_ROUTE_JOB,        /* answers how a job stands */
    WEB_ROUTE_JOB_EVENTS, /* tells how a job gets on, until it ends */
    WEB_ROUTE_JOB_CANCEL,
    WEB_ROUTE_DEVICES, /* an action that is told who asks and where the server listens */
    WEB_ROUTE_CLAIM,   /* pairs a device by its code: answers with its cookie */
} web_route_kind;

typedef struct web_route {
    const char *method; /* GET stands for HEAD too */
    const char *path;   /* "/api/scraps/{scrap}/throw": braces name a field */
    web_route_kind kind;
    const char *name; /* of the action or picture; NULL where there is none */
} web_route;

/** All routes; *ret_count tells how many. */
const web_route *web_routes(size_t *ret_count);

/**
 * Finds the route of a request.
 *
 * @segments   of the path, decoded, to NULL
 * @fields     an object that takes the fields of the path, as text
 * @ret_allow  written when NULL is returned: the methods for the header Allow, or NULL
 *             when the path is unknown; free with g_free()
 */
const web_route *web_route_find(const char *method, char *const *segments, json_t *fields,
                                char **ret_allow);
