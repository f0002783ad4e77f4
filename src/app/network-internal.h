/* app/network-internal.h: who listens on this machine. */
#pragma once

#include <stdbool.h>
#include <stdint.h>

/** Whether programs of this user, and of nobody else, listen on this port for connections
 * by TCP, as the kernel tells in /proc/net/tcp and tcp6 (proc(5)). */
bool app_listens(uint16_t port);
