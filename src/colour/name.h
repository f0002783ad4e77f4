/* colour/name.h: plain English words for colours. Pure. */
#pragma once

#include "colour/lab.h"

/** The longest name with its end. */
enum { COLOUR_NAME_SIZE = 32 };

/**
 * Names a colour as one would across a table: "cream", "rust", "dark teal". The words and
 * the regions of CIELAB (D65) that they cover are this project's own and follow no
 * standard; near a border two fair names compete and one is chosen. Every colour has a
 * name. Returns text.
 */
const char *colour_name(const colour_lab *lab, char text[static COLOUR_NAME_SIZE]);
