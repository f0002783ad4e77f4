#include "network-internal.h"

#include "app/app.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>
#include <stdio.h>
#include <unistd.h>

char **app_network_addresses(void)
{
    g_autoptr(GStrvBuilder) four = g_strv_builder_new();
    g_autoptr(GPtrArray) six = g_ptr_array_new_with_free_func(g_free);
    struct ifaddrs *all;
    if (getifaddrs(&all) != 0)
        return g_strv_builder_end(four);
    for (struct ifaddrs *one = all; one != NULL; one = one->ifa_next) {
        char text[INET6_ADDRSTRLEN];
        if (one->ifa_addr == NULL || (one->ifa_flags & IFF_LOOPBACK) ||
            !(one->ifa_flags & IFF_UP))
            continue;
        if (one->ifa_addr->sa_family == AF_INET) {
            struct sockaddr_in *address = (struct sockaddr_in *)one->ifa_addr;
            inet_ntop(AF_INET, &address->sin_addr, text, sizeof text);
            g_strv_builder_add(four, text);
        } else if (one->ifa_addr->sa_family == AF_INET6) {
            struct sockaddr_in6 *address = (struct sockaddr_in6 *)one->ifa_addr;
            if (IN6_IS_ADDR_LINKLOCAL(&address->sin6_addr))
                continue;
            inet_ntop(AF_INET6, &address->sin6_addr, text, sizeof text);
            g_ptr_array_add(six, g_strdup_printf("[%s]", text));
        }
    }
    freeifaddrs(all);
    for (guint i = 0; i < six->len; i++)
        g_strv_builder_add(four, six->pdata[i]);
    return g_strv_builder_end(four);
}

enum { LISTENING = 0x0A }; /* TCP_LISTEN of linux/net/tcp_states.h */

/* Adds who listens on the port, one table of sockets. */
static void count_listeners(const char *table, uint16_t port, int *own, int *foreign)
{
    char line[512];
    FILE *file = fopen(table, "re");
    while (file != NULL && fgets(line, sizeof line, file) != NULL) {
        unsigned at, state, user;
        if (sscanf(line,
                   " %*d: %*[0-9A-Fa-f]:%X %*[0-9A-Fa-f]:%*X %X %*X:%*X %*X:%*X %*X %u",
                   &at, &state, &user) == 3 &&
            at == port && state == LISTENING)
            ++*(user == getuid() ? own : foreign);
    }
    if (file != NULL)
        fclose(file);
}

bool app_listens(uint16_t port)
{
    int own = 0, foreign = 0;
    count_listeners("/proc/net/tcp", port, &own, &foreign);
    count_listeners("/proc/net/tcp6", port, &own, &foreign);
    return own > 0 && foreign == 0;
}
