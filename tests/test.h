/* test.h: what every test program includes first: cmocka with what it needs before it. */
#pragma once

/* clang-format off: cmocka.h wants these before it */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
/* clang-format on */
#include <glib.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
