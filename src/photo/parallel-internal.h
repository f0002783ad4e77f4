/* photo/parallel-internal.h: equal work on two threads. */
#pragma once

/** Calls work(i, data) for every i from 0 to count - 1, each once, on this thread and a
 * helper; returns when all are done. The calls must not touch what the others write. */
void photo_parallel(int count, void (*work)(int i, void *data), void *data);
