#include "web/events-internal.h"

#include "web/lock-internal.h"

static const gint64 LOOK_US = G_USEC_PER_SEC / 2;
static const gint64 SILENCE_US = 15 * G_USEC_PER_SEC;

struct web_events {
    GMutex lock;
    GCond news;
    app *app;
    web_hall *hall;
    GPtrArray *seats;
    int64_t revision;
    bool changed; /* look before the time is up */
    bool stopping;
    GThread *thread;
};

static void say(web_events *events, web_seat *seat)
{
    json_t *document = json_pack("{s:I}", "revision", (json_int_t)events->revision);
    web_seat_say(seat, "change", document, true);
    json_decref(document);
}

/* The look itself runs without the lock: it may wait for the book. */
static void look(web_events *events)
{
    g_mutex_unlock(&events->lock);
    int64_t revision = app_revision(events->app);
    g_mutex_lock(&events->lock);
    if (revision == events->revision)
        return;
    events->revision = revision;
    for (guint i = 0; i < events->seats->len; i++)
        say(events, events->seats->pdata[i]);
}

static gpointer watch(gpointer data)
{
    web_events *events = data;
    g_mutex_lock(&events->lock);
    while (!events->stopping) {
        gint64 until = g_get_monotonic_time() + LOOK_US;
        while (!events->changed && !events->stopping &&
               g_cond_wait_until(&events->news, &events->lock, until))
            ;
        if (events->stopping)
            break;
        events->changed = false;
        /* With nobody to tell, the book is left in peace. */
        if (events->seats->len > 0)
            look(events);
        web_hall_sweep(events->hall, SILENCE_US);
    }
    g_mutex_unlock(&events->lock);
    return NULL;
}

static void unref_seat(gpointer data)
{
    web_seat_unref(data);
}

web_events *web_events_new(app *self, web_hall *hall)
{
    web_events *events = g_new0(web_events, 1);
    g_mutex_init(&events->lock);
    g_cond_init(&events->news);
    events->app = self;
    events->hall = hall;
    events->seats = g_ptr_array_new_with_free_func(unref_seat);
    events->revision = app_revision(self);
    events->thread = g_thread_new("web-events", watch, events);
    return events;
}

void web_events_free(web_events *events)
{
    g_mutex_lock(&events->lock);
    events->stopping = true;
    g_cond_signal(&events->news);
    g_mutex_unlock(&events->lock);
    g_thread_join(events->thread);
    g_ptr_array_unref(events->seats);
    g_cond_clear(&events->news);
    g_mutex_clear(&events->lock);
    g_free(events);
}

void web_events_changed(web_events *events)
{
    WEB_LOCK(&events->lock);
    events->changed = true;
    g_cond_signal(&events->news);
}

void web_events_tell(web_events *events, web_seat *seat)
{
    WEB_LOCK(&events->lock);
    g_ptr_array_add(events->seats, web_seat_ref(seat));
    say(events, seat);
    /* What happened while nobody listened is told a moment later. */
    events->changed = true;
    g_cond_signal(&events->news);
}

void web_events_forget(web_events *events, web_seat *seat)
{
    WEB_LOCK(&events->lock);
    g_ptr_array_remove_fast(events->seats, seat);
}
