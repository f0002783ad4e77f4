#include "web/door-internal.h"

#include "web/lock-internal.h"

#include "base/error.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <poll.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <unistd.h>

const web_limits web_limits_default = {
    .connections = 192,
    .per_address = 16,
    .from_here = 128,
    .patience_us = G_USEC_PER_SEC,
    .idle_s = 15,
    .headers_us = 15 * G_USEC_PER_SEC,
    .grace_us = 10 * G_USEC_PER_SEC,
    .pace = 16000,
    .header_bytes = 32 << 10,
    .json_bytes = 1 << 20,
    .photo_bytes = 32 << 20,
    .refused_bytes = 128 << 20,
};

enum {
    MAX_LISTENERS = 2,
    WATCH_MS = 250,
    CLEAR_MS = 1000,
    LEAVING_MAX = 16, /* shown out at a time, so over the limit by so many at most */
};

typedef enum guest_state {
    GUEST_IDLE,    /* owes us nothing yet */
    GUEST_HEADERS, /* owes us headers */
    GUEST_BODY,    /* owes us a body */
    GUEST_SERVED,  /* it is our turn */
} guest_state;

struct web_guest {
    web_door *door;
    int fd;
    bool here;
    char *address;
    char *target;
    guest_state state;
    gint64 since_us;
    size_t body_bytes;
    bool hung_up; /* when last looked at */
    bool leaving; /* shown out to make room */
};

struct web_door {
    web_limits limits;
    uint16_t port;
    int listeners[MAX_LISTENERS];
    int listener_count;
    int stop_fd;
    GThread *thread;
    struct MHD_Daemon *const *daemons;
    int daemon_count;
    unsigned turn; /* of the daemons, for the next connection */

    GMutex lock;            /* over what follows, and all that changes in guests */
    GHashTable *guests;     /* set of web_guest */
    GHashTable *by_address; /* how many connections come from each */
    int count;              /* of connections */
    int here;               /* of those from this machine */
    int leaving;            /* of those that were shown out and have not gone yet */
};

/* --- listening --- */

static gboolean fail_to_listen(int code, uint16_t port, GError **error)
{
    if (code == EADDRINUSE)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_PORT_IN_USE,
                    "Port %d is in use.", port);
    else
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_NO_ADDRESS,
                    "Port %d cannot be listened on: %s.", port, g_strerror(code));
    return FALSE;
}

/* Returns the socket, or -1 with errno. */
static int listen_on(const struct sockaddr *address, socklen_t size)
{
    int fd = socket(address->sa_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (fd < 0)
        return -1;
    int on = 1;
    setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (address->sa_family == AF_INET6)
        setsockopt(fd, IPPROTO_IPV6, IPV6_V6ONLY, &on, sizeof on);
    if (bind(fd, address, size) == 0 && listen(fd, 64) == 0)
        return fd;
    int code = errno;
    close(fd);
    errno = code;
    return -1;
}

static void close_listeners(web_door *door)
{
    while (door->listener_count > 0)
        close(door->listeners[--door->listener_count]);
}

/* Returns 0, or the errno. */
static int listen_on_both(web_door *door, uint16_t port, bool lan)
{
    struct sockaddr_in four = {
        .sin_family = AF_INET,
        .sin_port = htons(port),
        .sin_addr.s_addr = htonl(lan ? INADDR_ANY : INADDR_LOOPBACK),
    };
    int fd = listen_on((struct sockaddr *)&four, sizeof four);
    if (fd < 0)
        return errno;
    door->listeners[door->listener_count++] = fd;
    socklen_t size = sizeof four;
    getsockname(fd, (struct sockaddr *)&four, &size);
    door->port = ntohs(four.sin_port);

    struct sockaddr_in6 six = {
        .sin6_family = AF_INET6,
        .sin6_port = four.sin_port,
        .sin6_addr = lan ? in6addr_any : in6addr_loopback,
    };
    fd = listen_on((struct sockaddr *)&six, sizeof six);
    if (fd >= 0) {
        door->listeners[door->listener_count++] = fd;
        return 0;
    }
    /* Many a machine has no version 6, which is fine. */
    return errno == EADDRINUSE ? EADDRINUSE : 0;
}

web_door *web_door_new(const web_limits *limits, uint16_t port, bool lan, GError **error)
{
    web_door *door = g_new0(web_door, 1);
    door->limits = *limits;
    g_mutex_init(&door->lock);
    door->guests = g_hash_table_new(NULL, NULL);
    door->by_address = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    door->stop_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);

    /* A free port of version 4 may be taken in version 6: then try another. */
    int code = EADDRINUSE;
    for (int tries = port == 0 ? 16 : 1; tries > 0 && code == EADDRINUSE; tries--) {
        close_listeners(door);
        code = listen_on_both(door, port, lan);
    }
    if (code != 0) {
        fail_to_listen(code, port, error);
        web_door_free(door);
        return NULL;
    }
    return door;
}

uint16_t web_door_port(const web_door *door)
{
    return door->port;
}

void web_door_free(web_door *door)
{
    close_listeners(door);
    close(door->stop_fd);
    g_assert(g_hash_table_size(door->guests) == 0);
    g_hash_table_unref(door->guests);
    g_hash_table_unref(door->by_address);
    g_mutex_clear(&door->lock);
    g_free(door);
}

/* --- letting in --- */

/* Sets *ret_here when the address is one of this machine alone. Free with g_free(). */
static char *address_text(const struct sockaddr *address, bool *ret_here)
{
    char text[INET6_ADDRSTRLEN] = "";
    *ret_here = false;
    if (address->sa_family == AF_INET) {
        const struct sockaddr_in *four = (const struct sockaddr_in *)address;
        inet_ntop(AF_INET, &four->sin_addr, text, sizeof text);
        *ret_here = ntohl(four->sin_addr.s_addr) >> 24 == 127;
    } else if (address->sa_family == AF_INET6) {
        const struct sockaddr_in6 *six = (const struct sockaddr_in6 *)address;
        inet_ntop(AF_INET6, &six->sin6_addr, text, sizeof text);
        *ret_here = IN6_IS_ADDR_LOOPBACK(&six->sin6_addr);
    }
    return g_strdup(text);
}

/* For how long it has owed us something, at less than a fair pace; 0 when it is our turn
 * or it sends well. */
static gint64 owes_since(const web_guest *guest, const web_limits *limits, gint64 now)
{
    gint64 spent = now - guest->since_us;
    bool fair =
        guest->state == GUEST_SERVED ||
        (guest->state == GUEST_BODY &&
         (double)guest->body_bytes >= limits->pace * (double)spent / G_USEC_PER_SEC);
    return fair || guest->leaving ? 0 : spent;
}

/* Shows out whoever has let us wait for longest, so that many slow ones keep no good one
 * out. Whoever it is can come again. Under the lock, which keeps the socket its own.
 *
 * @address  look among those from there alone; or NULL */
static bool show_one_out(web_door *door, const char *address)
{
    gint64 now = g_get_monotonic_time(), longest = door->limits.patience_us;
    web_guest *slowest = NULL;
    GHashTableIter iter;
    gpointer key;
    g_hash_table_iter_init(&iter, door->guests);
    while (door->leaving < LEAVING_MAX && g_hash_table_iter_next(&iter, &key, NULL)) {
        web_guest *guest = key;
        gint64 spent = owes_since(guest, &door->limits, now);
        if (spent > longest &&
            (address == NULL || strcmp(guest->address, address) == 0)) {
            longest = spent;
            slowest = guest;
        }
    }
    if (slowest == NULL)
        return false;
    slowest->leaving = true;
    door->leaving++;
    shutdown(slowest->fd, SHUT_RDWR);
    return true;
}

static bool admit(web_door *door, const struct sockaddr *address)
{
    bool here;
    char *text = address_text(address, &here);
    WEB_LOCK(&door->lock);
    int same = GPOINTER_TO_INT(g_hash_table_lookup(door->by_address, text));
    bool crowded =
        here ? door->here >= door->limits.from_here : same >= door->limits.per_address;
    bool full = door->count >= door->limits.connections;
    if ((crowded || full) && !show_one_out(door, crowded ? text : NULL)) {
        g_free(text);
        return false;
    }
    door->count++;
    door->here += here;
    g_hash_table_replace(door->by_address, text, GINT_TO_POINTER(same + 1));
    return true;
}

static void release(web_door *door, const char *address, bool here)
{
    WEB_LOCK(&door->lock);
    int same = GPOINTER_TO_INT(g_hash_table_lookup(door->by_address, address));
    door->count--;
    door->here -= here;
    if (same > 1)
        g_hash_table_replace(door->by_address, g_strdup(address),
                             GINT_TO_POINTER(same - 1));
    else
        g_hash_table_remove(door->by_address, address);
}

/* Says why, as far as a socket that nobody reads from yet allows. */
static void turn_away(int fd)
{
    static const char body[] = "{\"error\":{\"code\":\"web.busy\",\"message\":\"Too many "
                               "connections are open.\","
                               "\"hint\":\"Close other pages of Motley.\"}}";
    g_autofree char *answer = g_strdup_printf(
        "HTTP/1.1 503 Service Unavailable\r\nContent-Type: application/json\r\n"
        "Content-Length: %zu\r\nRetry-After: 2\r\nConnection: close\r\n\r\n%s",
        strlen(body), body);
    ssize_t sent = send(fd, answer, strlen(answer), MSG_NOSIGNAL | MSG_DONTWAIT);
    (void)sent;
    shutdown(fd, SHUT_WR);
    close(fd);
}

/* The daemon with the fewest connections; in turn where it is the same, as a connection
 * is counted only once its daemon has come round to it. */
static struct MHD_Daemon *choose_daemon(web_door *door)
{
    unsigned turn = door->turn++;
    struct MHD_Daemon *best = NULL;
    unsigned fewest = UINT_MAX;
    for (int i = 0; i < door->daemon_count; i++) {
        struct MHD_Daemon *daemon =
            door->daemons[(turn + (unsigned)i) % (unsigned)door->daemon_count];
        unsigned n = MHD_get_daemon_info(daemon, MHD_DAEMON_INFO_CURRENT_CONNECTIONS)
                         ->num_connections;
        if (n < fewest) {
            fewest = n;
            best = daemon;
        }
    }
    return best;
}

static void let_in(web_door *door, int listener)
{
    struct sockaddr_storage address = { 0 };
    socklen_t size = sizeof address;
    int fd = accept4(listener, (struct sockaddr *)&address, &size,
                     SOCK_NONBLOCK | SOCK_CLOEXEC);
    if (fd < 0) {
        /* Out of files: whoever knocks stays at the door, so do not look again at once.
         */
        if (errno == EMFILE || errno == ENFILE)
            g_usleep(100 * 1000);
        return;
    }
    if (!admit(door, (struct sockaddr *)&address)) {
        turn_away(fd);
        return;
    }
    if (MHD_add_connection(choose_daemon(door), fd, (struct sockaddr *)&address, size) !=
        MHD_YES) {
        bool here;
        g_autofree char *text = address_text((struct sockaddr *)&address, &here);
        release(door, text, here);
    }
}

/* --- watching --- */

/* Whether the guest has kept us waiting for longer than is fair. */
static bool is_too_slow(const web_guest *guest, const web_limits *limits, gint64 now)
{
    gint64 spent = now - guest->since_us;
    gint64 idle = (gint64)limits->idle_s * G_USEC_PER_SEC;
    switch (guest->state) {
    case GUEST_IDLE:
        /* Between two requests it may rest, and then take its time for the headers. */
        return spent > idle + limits->headers_us;
    case GUEST_HEADERS:
        return spent > limits->headers_us;
    case GUEST_BODY:
        return spent > limits->grace_us &&
               (double)guest->body_bytes < limits->pace * (double)spent / G_USEC_PER_SEC;
    case GUEST_SERVED:
        break;
    }
    return false;
}

/* Whether the guest has hung up and all that it sent has been read, so that it will never
 * send what it owes. The library below overlooks a hang-up that arrives together with the
 * last bytes. Seen twice before it counts: a request that is whole may just be on its way
 * from the socket to us. */
static bool is_gone(web_guest *guest)
{
    struct pollfd polled = { .fd = guest->fd, .events = POLLRDHUP };
    int unread = 0;
    bool gone = guest->state != GUEST_SERVED && poll(&polled, 1, 0) > 0 &&
                ioctl(guest->fd, FIONREAD, &unread) == 0 && unread == 0;
    bool twice = gone && guest->hung_up;
    guest->hung_up = gone;
    return twice;
}

/* Shutting a socket down makes the daemon that owns it see its end and close it. The
 * lock keeps the daemon from closing it under our hands. */
static void turn_out(web_door *door)
{
    WEB_LOCK(&door->lock);
    gint64 now = g_get_monotonic_time();
    GHashTableIter iter;
    gpointer key;
    g_hash_table_iter_init(&iter, door->guests);
    while (g_hash_table_iter_next(&iter, &key, NULL)) {
        web_guest *guest = key;
        if (is_gone(guest) || is_too_slow(guest, &door->limits, now))
            shutdown(guest->fd, SHUT_RDWR);
    }
}

static bool is_empty(web_door *door)
{
    WEB_LOCK(&door->lock);
    return door->count == 0;
}

static gpointer keep(gpointer data)
{
    web_door *door = data;
    gint64 watched_us = 0;
    for (;;) {
        struct pollfd polled[MAX_LISTENERS + 1] = { { .fd = door->stop_fd,
                                                      .events = POLLIN } };
        for (int i = 0; i < door->listener_count; i++)
            polled[i + 1] = (struct pollfd){ .fd = door->listeners[i], .events = POLLIN };
        poll(polled, (nfds_t)door->listener_count + 1, is_empty(door) ? -1 : WATCH_MS);
        if (polled[0].revents != 0)
            return NULL;
        for (int i = 0; i < door->listener_count; i++)
            if (polled[i + 1].revents != 0)
                let_in(door, door->listeners[i]);
        gint64 now = g_get_monotonic_time();
        if (now - watched_us >= WATCH_MS * 1000) {
            turn_out(door);
            watched_us = now;
        }
    }
}

void web_door_open(web_door *door, struct MHD_Daemon *const *daemons, int count)
{
    door->daemons = daemons;
    door->daemon_count = count;
    door->thread = g_thread_new("web-door", keep, door);
}

void web_door_shut(web_door *door)
{
    if (door->thread == NULL)
        return;
    uint64_t one = 1;
    ssize_t written = write(door->stop_fd, &one, sizeof one);
    g_assert(written == sizeof one);
    g_thread_join(g_steal_pointer(&door->thread));
    ssize_t taken = read(door->stop_fd, &one, sizeof one);
    g_assert(taken == sizeof one);
    close_listeners(door);
}

/* Of all who are in, or of clients of the network alone. The lock keeps a daemon from
 * closing the socket under our hands. */
static void shut_down(web_door *door, bool network_alone, int how)
{
    WEB_LOCK(&door->lock);
    GHashTableIter iter;
    gpointer key;
    g_hash_table_iter_init(&iter, door->guests);
    while (g_hash_table_iter_next(&iter, &key, NULL)) {
        const web_guest *guest = key;
        if (!(network_alone && guest->here))
            shutdown(guest->fd, how);
    }
}

void web_door_clear(web_door *door)
{
    for (int waited_ms = 0; waited_ms < CLEAR_MS && !is_empty(door); waited_ms++) {
        if (waited_ms % (CLEAR_MS / 10) == 0)
            shut_down(door, false, waited_ms < CLEAR_MS / 2 ? SHUT_RD : SHUT_RDWR);
        g_usleep(1000);
    }
}

gboolean web_door_move(web_door *door, bool lan, GError **error)
{
    uint16_t port = door->port;
    web_door_shut(door);
    int code = listen_on_both(door, port, lan);
    if (code != 0) {
        close_listeners(door);
        (void)listen_on_both(door, port, !lan);
    } else if (!lan)
        shut_down(door, true, SHUT_RDWR);
    web_door_open(door, door->daemons, door->daemon_count);
    return code == 0 || fail_to_listen(code, port, error);
}

/* --- guests --- */

static web_guest *guest_new(web_door *door, struct MHD_Connection *connection)
{
    web_guest *guest = g_new0(web_guest, 1);
    guest->door = door;
    guest->fd = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)
                    ->connect_fd;
    guest->address = address_text(
        MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS)
            ->client_addr,
        &guest->here);
    guest->target = g_strdup("");
    guest->state = GUEST_HEADERS;
    guest->since_us = g_get_monotonic_time();
    return guest;
}

void web_door_notify(void *data, struct MHD_Connection *connection, void **context,
                     enum MHD_ConnectionNotificationCode code)
{
    web_door *door = data;
    if (code == MHD_CONNECTION_NOTIFY_STARTED) {
        web_guest *guest = guest_new(door, connection);
        g_mutex_lock(&door->lock);
        g_hash_table_add(door->guests, guest);
        g_mutex_unlock(&door->lock);
        *context = guest;
    } else {
        web_guest *guest = *context;
        g_mutex_lock(&door->lock);
        g_hash_table_remove(door->guests, guest);
        door->leaving -= guest->leaving;
        g_mutex_unlock(&door->lock);
        release(door, guest->address, guest->here);
        g_free(guest->address);
        g_free(guest->target);
        g_free(guest);
    }
}

web_guest *web_guest_of(struct MHD_Connection *connection)
{
    return MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT)
        ->socket_context;
}

bool web_guest_is_here(const web_guest *guest)
{
    return guest->here;
}

const char *web_guest_address(const web_guest *guest)
{
    return guest->address;
}

int web_guest_fd(const web_guest *guest)
{
    return guest->fd;
}

static void enter(web_guest *guest, guest_state state)
{
    WEB_LOCK(&guest->door->lock);
    /* The first request's headers are owed from the acceptance on. */
    if (!(state == GUEST_HEADERS && guest->state == GUEST_HEADERS))
        guest->since_us = g_get_monotonic_time();
    guest->state = state;
    guest->body_bytes = 0;
}

void web_guest_line_came(web_guest *guest, const char *target)
{
    g_free(guest->target);
    guest->target = g_strdup(target);
    enter(guest, GUEST_HEADERS);
}

void web_guest_headers_came(web_guest *guest)
{
    enter(guest, GUEST_BODY);
}

void web_guest_body_came(web_guest *guest, size_t bytes)
{
    WEB_LOCK(&guest->door->lock);
    guest->body_bytes += bytes;
}

void web_guest_request_came(web_guest *guest)
{
    enter(guest, GUEST_SERVED);
}

void web_guest_answered(web_guest *guest)
{
    enter(guest, GUEST_IDLE);
}

const char *web_guest_target(const web_guest *guest)
{
    return guest->target;
}
