/* base/secret.h: what nobody guesses. */
#pragma once

#include <stddef.h>

/** Writes so many random bytes of the kernel (getrandom(2), at most 256) as hexadecimal
 * digits, two for each, and a zero. */
void motley_secret(size_t bytes, char *ret_text);
