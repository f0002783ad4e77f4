#include "web/seat-internal.h"

#include "web/lock-internal.h"

#include <poll.h>
#include <string.h>

struct web_hall {
    GMutex lock; /* over the hall and all that is in its seats */
    GPtrArray *seats;
    bool closed;
};

struct web_seat {
    gatomicrefcount refs;
    web_hall *hall;
    struct MHD_Connection *connection;
    int fd;
    bool tells; /* events, which begins with its response */
    bool suspended;
    bool ended;
    bool gone;
    bool left;
    GString *text; /* to be sent, from `sent` on */
    size_t sent;
    GString *latest; /* to be sent after it, if nothing newer comes */
    gint64 said_us;
};

web_hall *web_hall_new(void)
{
    web_hall *hall = g_new0(web_hall, 1);
    g_mutex_init(&hall->lock);
    hall->seats = g_ptr_array_new();
    return hall;
}

void web_hall_free(web_hall *hall)
{
    g_assert(hall->seats->len == 0);
    g_ptr_array_unref(hall->seats);
    g_mutex_clear(&hall->lock);
    g_free(hall);
}

/* With the lock held. Resuming while the handler that suspends is still on its way out is
 * safe: the connection's own thread does it when it comes round. */
static void wake(web_seat *seat)
{
    if (!seat->suspended)
        return;
    seat->suspended = false;
    MHD_resume_connection(seat->connection);
}

void web_hall_close(web_hall *hall)
{
    WEB_LOCK(&hall->lock);
    hall->closed = true;
    for (guint i = 0; i < hall->seats->len; i++) {
        web_seat *seat = hall->seats->pdata[i];
        seat->ended = true;
        wake(seat);
    }
}

/* A suspended connection is not read, so nobody else notices when its client leaves. */
static void wake_the_gone(web_hall *hall)
{
    g_autofree struct pollfd *polled = g_new(struct pollfd, hall->seats->len);
    for (guint i = 0; i < hall->seats->len; i++) {
        web_seat *seat = hall->seats->pdata[i];
        polled[i] =
            (struct pollfd){ .fd = seat->suspended ? seat->fd : -1, .events = POLLRDHUP };
    }
    if (poll(polled, hall->seats->len, 0) <= 0)
        return;
    for (guint i = 0; i < hall->seats->len; i++)
        if (polled[i].revents & (POLLRDHUP | POLLHUP | POLLERR)) {
            web_seat *seat = hall->seats->pdata[i];
            seat->gone = true;
            wake(seat);
        }
}

int web_hall_sweep(web_hall *hall, gint64 silence_us)
{
    WEB_LOCK(&hall->lock);
    if (hall->seats->len > 0)
        wake_the_gone(hall);
    gint64 now = g_get_monotonic_time();
    for (guint i = 0; i < hall->seats->len; i++) {
        web_seat *seat = hall->seats->pdata[i];
        if (!seat->tells || !seat->suspended || now - seat->said_us < silence_us)
            continue;
        g_string_append(seat->text, ":\n\n");
        seat->said_us = now;
        wake(seat);
    }
    return (int)hall->seats->len;
}

web_seat *web_seat_new(web_hall *hall, struct MHD_Connection *connection)
{
    web_seat *seat = g_new0(web_seat, 1);
    g_atomic_ref_count_init(&seat->refs);
    seat->hall = hall;
    seat->connection = connection;
    seat->fd = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)
                   ->connect_fd;
    seat->text = g_string_new(NULL);
    seat->latest = g_string_new(NULL);
    seat->said_us = g_get_monotonic_time();

    WEB_LOCK(&hall->lock);
    seat->ended = hall->closed;
    g_ptr_array_add(hall->seats, seat);
    return seat;
}

web_seat *web_seat_ref(web_seat *seat)
{
    g_atomic_ref_count_inc(&seat->refs);
    return seat;
}

void web_seat_unref(web_seat *seat)
{
    if (!g_atomic_ref_count_dec(&seat->refs))
        return;
    web_seat_leave(seat);
    g_string_free(seat->text, TRUE);
    g_string_free(seat->latest, TRUE);
    g_free(seat);
}

void web_seat_leave(web_seat *seat)
{
    WEB_LOCK(&seat->hall->lock);
    seat->left = true;
    seat->suspended = false;
    g_ptr_array_remove_fast(seat->hall->seats, seat);
}

bool web_seat_wait(web_seat *seat)
{
    WEB_LOCK(&seat->hall->lock);
    if (seat->ended || seat->gone)
        return false;
    seat->suspended = true;
    MHD_suspend_connection(seat->connection);
    return true;
}

bool web_seat_is_gone(web_seat *seat)
{
    WEB_LOCK(&seat->hall->lock);
    return seat->gone;
}

void web_seat_say(web_seat *seat, const char *event, const json_t *document, bool latest)
{
    char *data = json_dumps(document, JSON_COMPACT | JSON_REAL_PRECISION(12));
    g_autofree char *text = g_strdup_printf("event: %s\ndata: %s\n\n", event, data);
    free(data);

    WEB_LOCK(&seat->hall->lock);
    if (seat->left || seat->ended)
        return;
    g_string_truncate(seat->latest, 0);
    g_string_append(latest ? seat->latest : seat->text, text);
    seat->said_us = g_get_monotonic_time();
    wake(seat);
}

void web_seat_end(web_seat *seat)
{
    WEB_LOCK(&seat->hall->lock);
    seat->ended = true;
    wake(seat);
}

/* Hands on what is to be sent, or suspends the connection until there is something. */
static ssize_t read_events(void *data, uint64_t position, char *buffer, size_t size)
{
    (void)position;
    web_seat *seat = data;
    WEB_LOCK(&seat->hall->lock);
    if (seat->gone)
        return MHD_CONTENT_READER_END_WITH_ERROR;
    if (seat->sent == seat->text->len) {
        g_string_assign(seat->text, seat->latest->str);
        g_string_truncate(seat->latest, 0);
        seat->sent = 0;
    }
    if (seat->text->len == 0) {
        if (seat->ended)
            return MHD_CONTENT_READER_END_OF_STREAM;
        seat->suspended = true;
        MHD_suspend_connection(seat->connection);
        return 0;
    }
    size_t n = MIN(size, seat->text->len - seat->sent);
    memcpy(buffer, seat->text->str + seat->sent, n);
    seat->sent += n;
    return (ssize_t)n;
}

static void unref_seat(void *data)
{
    web_seat_unref(data);
}

struct MHD_Response *web_seat_response(web_seat *seat)
{
    g_mutex_lock(&seat->hall->lock);
    seat->tells = true;
    g_mutex_unlock(&seat->hall->lock);
    struct MHD_Response *response = MHD_create_response_from_callback(
        MHD_SIZE_UNKNOWN, 4096, read_events, web_seat_ref(seat), unref_seat);
    return response;
}
