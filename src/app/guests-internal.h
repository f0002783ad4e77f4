/* app/guests-internal.h: codes and devices that this run of the program alone knows. A
 * book that takes no change, damaged or on a full disk, must still let its maker in, who
 * comes to mend it. Safe to use from many threads. */
#pragma once

#include <glib.h>
#include <stdbool.h>
#include <stdint.h>

typedef struct app_guests app_guests;

app_guests *app_guests_new(void);
void app_guests_free(app_guests *guests);

/** Lets one device in by this code until it expires, in seconds since 1970. */
void app_guests_offer(app_guests *guests, const char *code_sha256, int64_t expires);

/** Takes the code, which is gone then, and says whether it held; if so, the device with
 * this token is let in until the program ends. */
bool app_guests_claim(app_guests *guests, const char *code_sha256,
                      const char *token_sha256, int64_t now);

bool app_guests_know(app_guests *guests, const char *token_sha256);
