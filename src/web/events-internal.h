/* web/events-internal.h: tells every page that the book has changed, whoever changed it:
 * at once for changes made through the server, within half a second for those of other
 * programs. Its one thread also sweeps the hall. Thread-safe. */
#pragma once

#include "app/app.h"
#include "web/seat-internal.h"

typedef struct web_events web_events;

web_events *web_events_new(app *self, web_hall *hall);

/** Stops the thread and frees. */
void web_events_free(web_events *events);

/** The book may have changed: look now. */
void web_events_changed(web_events *events);

/** Tells the seat the revision now, as the event `change`, and again after each change.
 */
void web_events_tell(web_events *events, web_seat *seat);

/** No more to be told. */
void web_events_forget(web_events *events, web_seat *seat);
