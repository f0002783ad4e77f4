#include "base/secret.h"

#include <glib.h>
#include <stdint.h>
#include <sys/random.h>

void motley_secret(size_t bytes, char *ret_text)
{
    uint8_t random[256];
    g_assert(bytes <= sizeof random);
    ssize_t got = getrandom(random, bytes, 0);
    g_assert(got == (ssize_t)bytes);
    for (size_t i = 0; i < bytes; i++)
        g_snprintf(ret_text + 2 * i, 3, "%02x", random[i]);
}
