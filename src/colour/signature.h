/* colour/signature.h: the colours that make a fabric known again. Pure. */
#pragma once

#include "colour/lab.h"

enum { COLOUR_SIGNATURE_MAX = 5 };

/** Up to five colours, the largest share first; shares sum to 1. count 0: no picture yet.
 */
typedef struct colour_signature {
    int count;
    colour_lab lab[COLOUR_SIGNATURE_MAX];
    double share[COLOUR_SIGNATURE_MAX];
} colour_signature;

/** Light, medium, dark: how a fabric reads beside the others. */
typedef enum colour_value { COLOUR_LIGHT, COLOUR_MEDIUM, COLOUR_DARK } colour_value;
