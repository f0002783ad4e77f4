/* tests/web/client.h: a client that says exactly what it is told to, right or wrong. */
#pragma once

#include "test.h"

#include <jansson.h>
#include <netinet/in.h>
#include <stdbool.h>

typedef struct answer {
    int status;    /* 0 when the connection was closed without an answer */
    char *headers; /* each with its line end; NULL when there is no answer */
    char *body;    /* what came after them, chunks put together */
    size_t size;   /* of the body */
} answer;

void answer_clear(answer *a);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(answer, answer_clear)

/** Where connections go, in the order of the network; 0 is 127.0.0.1. */
extern in_addr_t client_address;

/** The token that every request brings in its cookie; NULL for none. */
extern const char *client_token;

/** A connection to 127.0.0.1, whose reads give up after five seconds. */
int client_connect(int port);

/** Writes it all, with the cookie after each first line of a request in it; false when
 * the other side has closed. */
bool client_write(int fd, const void *bytes, size_t size);

/** Reads one answer, and for HEAD or 304 nothing after its headers. */
answer client_read(int fd, bool head);

/** Connects, says it, reads the answer, closes. */
answer client_ask(int port, const char *text);

/** A request of one line and headers, each ended by \r\n, and a body. Host and
 * Content-Length are added. */
answer client_request(int port, const char *line, const char *headers, const char *body);

/** The value of a header, or NULL; free with g_free(). */
char *answer_header(const answer *a, const char *name);

/** The body as JSON; fails the test when it is none. Free with json_decref(). */
json_t *answer_json(const answer *a);

/** The code of the error document; free with g_free(). */
char *answer_error_code(const answer *a);

/** Reads from fd until the text has come or five seconds are over; what came is put
 * after `seen`. */
bool client_wait_for(int fd, GString *seen, const char *text);
