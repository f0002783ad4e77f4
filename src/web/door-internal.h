/* web/door-internal.h: the door to the server: listens, counts who is in, and turns out
 * clients who keep it waiting. The library below ends a connection only when nothing at
 * all comes for a while, so a byte now and then would hold it for ever. Thread-safe. */
#pragma once

#include <glib.h>
#include <microhttpd.h>
#include <stdbool.h>
#include <stdint.h>

/** What a client may take. Tests choose their own. */
typedef struct web_limits {
    int connections;      /* in all */
    int per_address;      /* from one address of the network */
    int from_here;        /* from this machine, whose browsers and tools share an address,
                             and which must not lock the network's devices out */
    gint64 patience_us;   /* with each of them while another waits at a full door */
    unsigned idle_s;      /* between requests, or while nothing comes or goes */
    gint64 headers_us;    /* for all headers of a request */
    gint64 grace_us;      /* for a body before its pace counts */
    double pace;          /* bytes a second that a body must come with, on average */
    size_t header_bytes;  /* of all headers of a request */
    size_t json_bytes;    /* of a JSON body */
    size_t photo_bytes;   /* of a photo */
    size_t refused_bytes; /* of a refused body that is read to its end all the same, so
                             that the client comes to read why; longer ones are cut off */
} web_limits;

extern const web_limits web_limits_default;

typedef struct web_door web_door;

/** One connection, from its acceptance to its end. */
typedef struct web_guest web_guest;

/**
 * Opens the sockets; nobody is let in before web_door_open().
 *
 * Errors: WEB_PORT_IN_USE, WEB_NO_ADDRESS.
 */
web_door *web_door_new(const web_limits *limits, uint16_t port, bool lan, GError **error);
uint16_t web_door_port(const web_door *door);

/** Hands connections to the daemons, which must outlive web_door_shut(). */
void web_door_open(web_door *door, struct MHD_Daemon *const *daemons, int count);

/**
 * Listens to the network too, or to this machine alone, on the same port, while it is
 * open: those who are in stay in, but for clients of the network where @lan is false.
 * Where that cannot be had it listens as before.
 *
 * Errors: WEB_PORT_IN_USE, WEB_NO_ADDRESS.
 */
gboolean web_door_move(web_door *door, bool lan, GError **error);

/** Lets nobody in any more. */
void web_door_shut(web_door *door);

/**
 * Sees the guests out, after web_door_shut() and before the daemons are stopped: answers
 * under way are sent to their end, no request comes any more. Waits for a second at most.
 *
 * libmicrohttpd 0.9.75 ends the program by a null pointer when it is stopped while it
 * refuses a malformed request (MHD_queue_response() does nothing then, and
 * transmit_error_response_len() counts on it): so nobody is to be there.
 */
void web_door_clear(web_door *door);
void web_door_free(web_door *door);

/** An MHD_NotifyConnectionCallback whose closure is the door; a connection's socket
 * context is its guest. */
void web_door_notify(void *door, struct MHD_Connection *connection, void **context,
                     enum MHD_ConnectionNotificationCode code);

web_guest *web_guest_of(struct MHD_Connection *connection);

/** Whether its client is on this machine. */
bool web_guest_is_here(const web_guest *guest);

/** The address of its client, as text. Lives as long as the guest. */
const char *web_guest_address(const web_guest *guest);

/** Its socket. */
int web_guest_fd(const web_guest *guest);

/* What a guest is doing, in this order for each request. */
void web_guest_line_came(web_guest *guest, const char *target); /* copied */
void web_guest_headers_came(web_guest *guest);
void web_guest_body_came(web_guest *guest, size_t bytes); /* so many more of it */
void web_guest_request_came(web_guest *guest);            /* whole; it is our turn */
void web_guest_answered(web_guest *guest);

/** The target of its request as it was sent, until the next one; "" before the first. */
const char *web_guest_target(const web_guest *guest);
