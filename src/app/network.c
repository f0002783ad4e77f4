#include "app/app.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>

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
