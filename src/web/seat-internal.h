/* web/seat-internal.h: connections that wait for news without holding a thread.
 *
 * A seat is one such connection. It is suspended while there is nothing to say and woken
 * by whoever has news. Its hall knows all seats, so that clients who have left without a
 * word are noticed, and so that all can be woken when the server stops. Thread-safe. */
#pragma once

#include <glib.h>
#include <jansson.h>
#include <microhttpd.h>
#include <stdbool.h>

typedef struct web_hall web_hall;
typedef struct web_seat web_seat;

web_hall *web_hall_new(void);

/** Every seat must have been unreffed before. */
void web_hall_free(web_hall *hall);

/** Ends every seat, now and to come; afterwards nothing is suspended. */
void web_hall_close(web_hall *hall);

/**
 * To be called a few times a second: wakes seats whose client has hung up, and lets those
 * that tell events say that they are alive when they have been silent for silence_us.
 * Returns how many seats there are.
 */
int web_hall_sweep(web_hall *hall, gint64 silence_us);

/** A seat for the connection; unref with web_seat_unref(). */
web_seat *web_seat_new(web_hall *hall, struct MHD_Connection *connection);
web_seat *web_seat_ref(web_seat *seat);
void web_seat_unref(web_seat *seat);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(web_seat, web_seat_unref)

/** The connection is done with: from now on everything said is dropped. */
void web_seat_leave(web_seat *seat);

/**
 * Suspends the connection until web_seat_end(), to be called by its access handler
 * alone. Returns false at once when it has ended already.
 */
bool web_seat_wait(web_seat *seat);

/** Whether the client hung up. */
bool web_seat_is_gone(web_seat *seat);

/**
 * Tells an event with a JSON document.
 *
 * @latest  only the newest such event matters: it takes the place of one that is not yet
 *          sent, so that a slow client makes no queue grow
 */
void web_seat_say(web_seat *seat, const char *event, const json_t *document, bool latest);

/** No more will be said: closes the events, or wakes the waiting handler. */
void web_seat_end(web_seat *seat);

/** A response of the type text/event-stream that tells what the seat is told; free with
 * MHD_destroy_response(). */
struct MHD_Response *web_seat_response(web_seat *seat);
