/* Any request, as "METHOD TARGET", headers, an empty line and a body. It comes from this
 * machine and is paired; with "@" before it, it comes from the network, with "!" from
 * here, and neither is: what is answered keeps the policy that is written down here once
 * more, and every answer bears its guards. The server is real; the library that talks to
 * sockets is stood in for. */
#include "../tests/web/fake_app.h"

#include "base/error.h"
#include "web/request-internal.h"

#include <arpa/inet.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define MUST(holds)                                                                      \
    do {                                                                                 \
        if (!(holds)) {                                                                  \
            fprintf(stderr, "%s:%d: %s does not hold\n", __FILE__, __LINE__, #holds);    \
            abort(); /* libFuzzer keeps the input of no other end */                     \
        }                                                                                \
    } while (0)

enum { HEADERS_MAX = 40, PAIRED = 0, NETWORK = 1, HERE = 2, VISITS = 3 };

/* --- a stand-in for the library's connection -----------------------------------------
 */

struct MHD_Connection {
    int fd;
    struct sockaddr_in from;
    void *guest;
    union MHD_ConnectionInfo told;
    const char *names[HEADERS_MAX], *values[HEADERS_MAX];
    int headers;
    size_t header_size;
    unsigned status; /* of the answer; 0: none yet */
    bool guarded;    /* the answer bears what every answer must */
    GMutex lock;     /* over the next */
    GCond resumed;
    bool suspended;
};

static struct MHD_Connection visits[VISITS];
static char cookie[64]; /* of who is paired */
static web_server *server;

const union MHD_ConnectionInfo *MHD_get_connection_info(struct MHD_Connection *visit,
                                                        enum MHD_ConnectionInfoType what,
                                                        ...)
{
    switch (what) {
    case MHD_CONNECTION_INFO_CONNECTION_FD:
        visit->told.connect_fd = visit->fd;
        return &visit->told;
    case MHD_CONNECTION_INFO_CLIENT_ADDRESS:
        visit->told.client_addr = (struct sockaddr *)&visit->from;
        return &visit->told;
    case MHD_CONNECTION_INFO_SOCKET_CONTEXT:
        visit->told.socket_context = visit->guest;
        return &visit->told;
    case MHD_CONNECTION_INFO_REQUEST_HEADER_SIZE:
        visit->told.header_size = visit->header_size;
        return &visit->told;
    case MHD_CONNECTION_INFO_HTTP_STATUS:
        visit->told.http_status = visit->status;
        return &visit->told;
    default:
        return NULL;
    }
}

int MHD_get_connection_values_n(struct MHD_Connection *visit, enum MHD_ValueKind kind,
                                MHD_KeyValueIteratorN iterator, void *data)
{
    for (int i = 0; i < visit->headers; i++)
        iterator(data, kind, visit->names[i], strlen(visit->names[i]), visit->values[i],
                 strlen(visit->values[i]));
    return visit->headers;
}

enum MHD_Result MHD_queue_response(struct MHD_Connection *visit, unsigned status,
                                   struct MHD_Response *response)
{
    const char *policy = MHD_get_response_header(response, "Content-Security-Policy");
    const char *sniff = MHD_get_response_header(response, "X-Content-Type-Options");
    /* Viewers of PDF inside browsers fail under a stricter policy. */
    bool is_sheet = g_strcmp0(MHD_get_response_header(response, "Content-Type"),
                              "application/pdf") == 0;
    MUST(visit->status == 0);
    visit->status = status;
    visit->guarded =
        policy != NULL && (is_sheet || strstr(policy, "default-src 'none'") != NULL) &&
        strstr(policy, "frame-ancestors 'none'") != NULL &&
        strstr(policy, "unsafe-eval") == NULL && g_strcmp0(sniff, "nosniff") == 0 &&
        MHD_get_response_header(response, "Access-Control-Allow-Origin") == NULL;
    return MHD_YES;
}

void MHD_suspend_connection(struct MHD_Connection *visit)
{
    g_mutex_lock(&visit->lock);
    visit->suspended = true;
    g_mutex_unlock(&visit->lock);
}

void MHD_resume_connection(struct MHD_Connection *visit)
{
    g_mutex_lock(&visit->lock);
    visit->suspended = false;
    g_cond_signal(&visit->resumed);
    g_mutex_unlock(&visit->lock);
}

/* Waits until the answer can go on; false when it takes too long, as when a client goes.
 */
static bool wait_for_more(struct MHD_Connection *visit)
{
    gint64 until = g_get_monotonic_time() + G_USEC_PER_SEC / 20;
    g_mutex_lock(&visit->lock);
    while (visit->suspended && g_cond_wait_until(&visit->resumed, &visit->lock, until))
        ;
    bool more = !visit->suspended;
    g_mutex_unlock(&visit->lock);
    return more;
}

/* --- the server ----------------------------------------------------------------------
 */

static app *book;

static void stop(void)
{
    for (int i = 0; i < VISITS; i++) {
        web_door_notify(server->door, &visits[i], &visits[i].guest,
                        MHD_CONNECTION_NOTIFY_CLOSED);
        close(visits[i].fd);
    }
    web_server_stop(server);
    fake_app_free(book);
}

static void start(void)
{
    g_autoptr(GError) error = NULL;
    book = fake_app_new();
    server = web_server_start(book, &(web_options){ .lan = true, .quiet = true }, &error);
    MUST(server != NULL);
    g_snprintf(cookie, sizeof cookie, "motley_%d=" FAKE_APP_TOKEN,
               web_server_port(server));
    for (int i = 0; i < VISITS; i++) {
        struct sockaddr_in own = { .sin_family = AF_INET };
        own.sin_addr.s_addr = htonl(i == NETWORK ? INADDR_ANY : INADDR_LOOPBACK);
        visits[i].fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
        MUST(bind(visits[i].fd, (struct sockaddr *)&own, sizeof own) == 0);
        visits[i].from.sin_family = AF_INET;
        inet_pton(AF_INET, i == NETWORK ? "192.0.2.7" : "127.0.0.1",
                  &visits[i].from.sin_addr);
        web_door_notify(server->door, &visits[i], &visits[i].guest,
                        MHD_CONNECTION_NOTIFY_STARTED);
    }
    atexit(stop);
}

/* --- the policy, once more -----------------------------------------------------------
 */

static const char *value_of(const struct MHD_Connection *visit, const char *name)
{
    const char *value = NULL;
    for (int i = 0; i < visit->headers; i++)
        if (g_ascii_strcasecmp(visit->names[i], name) == 0)
            value = visit->values[i];
    return value;
}

static int count_of(const struct MHD_Connection *visit, const char *name)
{
    int count = 0;
    for (int i = 0; i < visit->headers; i++)
        count += g_ascii_strcasecmp(visit->names[i], name) == 0;
    return count;
}

/* A name of the server's, and no other than digits after its colon. */
static bool is_ours(const char *host)
{
    bool ours = false;
    for (char **name = server->names; *name != NULL; name++) {
        size_t size = strlen(*name);
        const char *rest = host + size;
        if (g_ascii_strncasecmp(host, *name, size) == 0)
            ours |= *rest == '\0' || (*rest == ':' && rest[1] != '\0' &&
                                      strspn(rest + 1, "0123456789") == strlen(rest + 1));
    }
    /* the address that the stand-ins of the network were reached at */
    return ours || g_str_has_prefix(host, "0.0.0.0");
}

static void check_answer(const struct MHD_Connection *visit, const char *method,
                         const char *target)
{
    if (visit->status == 0)
        return;
    MUST(visit->guarded);
    /* 500 says that the stand-in for app has no such action. */
    MUST(visit->status >= 200 && visit->status < 600);
    if (visit->status >= 400)
        return;
    const char *host = value_of(visit, "Host"), *origin = value_of(visit, "Origin");
    const char *site = value_of(visit, "Sec-Fetch-Site");
    bool change = strcmp(method, "GET") != 0 && strcmp(method, "HEAD") != 0;
    bool api = g_str_has_prefix(target, "/api");
    MUST(count_of(visit, "Host") == 1 && is_ours(host));
    MUST(count_of(visit, "Content-Length") < 2 &&
         count_of(visit, "Transfer-Encoding") == 0);
    if (change && origin != NULL)
        MUST(g_str_has_prefix(origin, "http://") &&
             g_ascii_strcasecmp(origin + strlen("http://"), host) == 0);
    else if (change)
        MUST(site != NULL ? strcmp(site, "same-origin") == 0 : visit != &visits[NETWORK]);
    else if (api && site != NULL &&
             g_strcmp0(value_of(visit, "Sec-Fetch-Mode"), "navigate") != 0)
        MUST(strcmp(site, "same-origin") == 0 || strcmp(site, "none") == 0);
    /* Nobody is paired but by the code "right", and the cookie of that is not guessed. */
    if (visit != &visits[PAIRED])
        MUST(change ? g_str_has_prefix(target, "/api/pair/claim") : !api);
}

/* --- one request ---------------------------------------------------------------------
 */

/* What the library itself would refuse never comes so far. */
static bool would_come_through(const struct MHD_Connection *visit, size_t *ret_length)
{
    *ret_length = 0;
    for (int i = 0; i < visit->headers; i++) {
        if (visit->names[i][0] == '\0')
            return false;
        if (g_ascii_strcasecmp(visit->names[i], "Content-Length") == 0) {
            const char *digits = visit->values[i];
            size_t count = strlen(digits);
            if (count == 0 || count > 18 || strspn(digits, "0123456789") != count)
                return false;
            *ret_length = g_ascii_strtoull(digits, NULL, 10);
        }
    }
    return true;
}

static void visit_with(struct MHD_Connection *visit, const char *method,
                       const char *target, const char *body, size_t size)
{
    size_t length, none = 0;
    void *request = NULL;
    if (!would_come_through(visit, &length))
        return;
    visit->status = 0;
    visit->suspended = false;
    web_guest_line_came(visit->guest, target);
    enum MHD_Result on = web_request_handle(server, visit, target, method, "HTTP/1.1",
                                            NULL, &none, &request);
    size_t sent = MIN(length, size);
    for (size_t done = 0; on == MHD_YES && visit->status == 0 && done < sent;) {
        size_t piece = MIN(sent - done, 1 + sent / 2), left = piece;
        on = web_request_handle(server, visit, target, method, "HTTP/1.1", body + done,
                                &left, &request);
        done += piece;
    }
    bool whole = sent == length;
    while (on == MHD_YES && whole && visit->status == 0) {
        none = 0;
        on = web_request_handle(server, visit, target, method, "HTTP/1.1", NULL, &none,
                                &request);
        if (visit->status == 0 && !wait_for_more(visit))
            break;
    }
    check_answer(visit, method, target);
    web_request_completed(server, visit, &request,
                          whole ? MHD_REQUEST_TERMINATED_COMPLETED_OK
                                : MHD_REQUEST_TERMINATED_CLIENT_ABORT);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (server == NULL)
        start();
    g_autofree char *text = g_strndup((const char *)data, size);
    int who = text[0] == '@' ? NETWORK : text[0] == '!' ? HERE : PAIRED;
    struct MHD_Connection *visit = &visits[who];
    char *line = text + (who != PAIRED);
    char *target = strchr(line, ' ');
    visit->headers = 0;
    visit->header_size = size;
    if (who == PAIRED) {
        visit->names[0] = "Cookie";
        visit->values[visit->headers++] = cookie;
    }
    if (target == NULL || target == line)
        return 0;
    *target++ = '\0';
    char *end = strchr(target, '\n');
    while (end != NULL) {
        *end = '\0';
        char *name = end + 1;
        end = strchr(name, '\n');
        if (end == name) {
            visit_with(visit, line, target, name + 1, strlen(name + 1));
            break;
        }
        char *colon = strchr(name, ':');
        if (end == NULL || colon == NULL || colon > end || visit->headers == HEADERS_MAX)
            break;
        *colon = '\0';
        visit->names[visit->headers] = name;
        visit->values[visit->headers++] = colon + 1 + (colon[1] == ' ');
    }
    return 0;
}
