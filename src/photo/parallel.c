#include "photo/parallel-internal.h"

#include <glib.h>
#include <stdatomic.h>

typedef struct job {
    atomic_int next;
    int count;
    void (*work)(int i, void *data);
    void *data;
} job;

/* Takes what nobody has taken, until nothing is left: pieces differ much in size. */
static gpointer take(gpointer data)
{
    job *j = data;
    for (int i; (i = atomic_fetch_add(&j->next, 1)) < j->count;)
        j->work(i, j->data);
    return NULL;
}

void photo_parallel(int count, void (*work)(int i, void *data), void *data)
{
    job j = { .count = count, .work = work, .data = data };
    GThread *helper = NULL;
    if (count > 1 && g_get_num_processors() > 1)
        helper = g_thread_try_new("photo", take, &j, NULL);
    take(&j);
    if (helper != NULL)
        g_thread_join(helper);
}
