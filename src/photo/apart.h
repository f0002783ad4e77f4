/* photo/apart.h: photos are decoded in a process of their own.
 *
 * A photo may come from anywhere, and decoders are large programs with a history of
 * faults. So they run where they can do no harm: a process that was started before the
 * book was opened, may open no file and no socket, and has little memory and time. It
 * gets the photo's bytes and gives back pixels; what it says is checked like any other
 * input. When it dies, that photo is refused and nothing else happens. */
#pragma once

#include "photo/load.h"

#include <glib.h>
#include <stdbool.h>

/**
 * From now on photo_load() and photo_load_bytes() decode apart. Call it first in main(),
 * while the program has one thread and nothing open. The starter that it forks holds no
 * more than a socket to this process and ends with it; each photo gets a fork of that.
 *
 * Does nothing where a process cannot be started: then photos are decoded here.
 */
void photo_apart_start(void);

/** Whether photos are decoded apart. */
bool photo_apart_runs(void);

/** Ends the starter; photos are decoded here again. For tests. */
void photo_apart_stop(void);
