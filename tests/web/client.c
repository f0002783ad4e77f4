#include "client.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

void answer_clear(answer *a)
{
    g_free(a->headers);
    g_free(a->body);
    memset(a, 0, sizeof *a);
}

in_addr_t client_address = 0;
const char *client_token = NULL;

int client_connect(int port)
{
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_true(fd >= 0);
    struct sockaddr_in address = {
        .sin_family = AF_INET,
        .sin_port = htons((uint16_t)port),
        .sin_addr.s_addr = client_address != 0 ? client_address : htonl(INADDR_LOOPBACK),
    };
    struct timeval patience = { .tv_sec = 5 };
    setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    setsockopt(fd, SOL_SOCKET, SO_SNDTIMEO, &patience, sizeof patience);
    if (connect(fd, (struct sockaddr *)&address, sizeof address) != 0)
        fail_msg("connect: %s", g_strerror(errno));
    return fd;
}

static bool write_all(int fd, const char *from, size_t size)
{
    while (size > 0) {
        ssize_t n = send(fd, from, size, MSG_NOSIGNAL);
        if (n <= 0)
            return false;
        from += n;
        size -= (size_t)n;
    }
    return true;
}

bool client_write(int fd, const void *bytes, size_t size)
{
    static const char ending[] = " HTTP/1.1\r\n";
    const char *from = bytes, *line;
    struct sockaddr_in server = { 0 };
    socklen_t length = sizeof server;
    getpeername(fd, (struct sockaddr *)&server, &length);
    while (client_token != NULL &&
           (line = g_strstr_len(from, (gssize)size, ending)) != NULL) {
        size_t first = (size_t)(line - from) + strlen(ending);
        g_autofree char *cookie = g_strdup_printf("Cookie: motley_%d=%s\r\n",
                                                  ntohs(server.sin_port), client_token);
        if (!write_all(fd, from, first) || !write_all(fd, cookie, strlen(cookie)))
            return false;
        from += first;
        size -= first;
    }
    return write_all(fd, from, size);
}

/* Reads on until `seen` holds the text or `size` bytes; false at the end of it all. */
static bool read_on(int fd, GString *seen)
{
    char buffer[16384];
    ssize_t n = recv(fd, buffer, sizeof buffer, 0);
    if (n <= 0)
        return false;
    g_string_append_len(seen, buffer, n);
    return true;
}

char *answer_header(const answer *a, const char *name)
{
    g_auto(GStrv) lines = g_strsplit(a->headers != NULL ? a->headers : "", "\r\n", -1);
    size_t length = strlen(name);
    for (char **line = lines; *line != NULL; line++)
        if (g_ascii_strncasecmp(*line, name, length) == 0 && (*line)[length] == ':')
            return g_strstrip(g_strdup(*line + length + 1));
    return NULL;
}

static void join_chunks(answer *a)
{
    GString *whole = g_string_new(NULL);
    for (const char *from = a->body; from < a->body + a->size;) {
        char *end;
        unsigned long size = strtoul(from, &end, 16);
        if (size == 0)
            break;
        g_string_append_len(whole, end + 2, (gssize)size);
        from = end + 2 + size + 2;
    }
    g_free(a->body);
    a->size = whole->len;
    a->body = g_string_free(whole, FALSE);
}

answer client_read(int fd, bool head)
{
    answer a = { 0 };
    g_autoptr(GString) seen = g_string_new(NULL);
    while (strstr(seen->str, "\r\n\r\n") == NULL)
        if (!read_on(fd, seen))
            return a;
    size_t start = (size_t)(strstr(seen->str, "\r\n\r\n") - seen->str) + 4;
    a.headers = g_strndup(seen->str, start - 2);
    assert_int_equal(sscanf(a.headers, "HTTP/1.1 %d", &a.status), 1);

    g_autofree char *length = answer_header(&a, "Content-Length");
    g_autofree char *coding = answer_header(&a, "Transfer-Encoding");
    if (head || a.status == 304)
        ;
    else if (length != NULL)
        while (seen->len < start + strtoul(length, NULL, 10) && read_on(fd, seen))
            ;
    else
        while (read_on(fd, seen) && strstr(seen->str + start, "\r\n0\r\n\r\n") == NULL)
            ;
    a.size = seen->len - start;
    a.body = g_malloc(a.size + 1);
    memcpy(a.body, seen->str + start, a.size);
    a.body[a.size] = '\0';
    if (coding != NULL)
        join_chunks(&a);
    return a;
}

answer client_ask(int port, const char *text)
{
    int fd = client_connect(port);
    client_write(fd, text, strlen(text));
    answer a = client_read(fd, g_str_has_prefix(text, "HEAD "));
    close(fd);
    return a;
}

answer client_request(int port, const char *line, const char *headers, const char *body)
{
    g_autofree char *length =
        body != NULL ? g_strdup_printf("Content-Length: %zu\r\n", strlen(body)) : NULL;
    g_autofree char *text =
        g_strdup_printf("%s HTTP/1.1\r\nHost: localhost:%d\r\n%s%s\r\n%s", line, port,
                        headers != NULL ? headers : "", length != NULL ? length : "",
                        body != NULL ? body : "");
    return client_ask(port, text);
}

json_t *answer_json(const answer *a)
{
    json_error_t wrong;
    json_t *document = json_loads(a->body != NULL ? a->body : "", 0, &wrong);
    if (document == NULL)
        fail_msg("no JSON: %s: %s", wrong.text, a->body);
    return document;
}

char *answer_error_code(const answer *a)
{
    json_t *document = answer_json(a);
    const char *code =
        json_string_value(json_object_get(json_object_get(document, "error"), "code"));
    char *copy = g_strdup(code);
    json_decref(document);
    return copy;
}

bool client_wait_for(int fd, GString *seen, const char *text)
{
    while (strstr(seen->str, text) == NULL)
        if (!read_on(fd, seen))
            return false;
    return true;
}
