#include "web/jobs-internal.h"

#include "web/lock-internal.h"

#include "base/error.h"
#include "base/secret.h"

#include <stdatomic.h>
#include <string.h>
#include <unistd.h>

enum {
    THREADS = 2,
    ID_BYTES = 8,
    MAX_WAITING = 32,
    MAX_OVER = 64,
};
static const gint64 KEPT_US = 600 * G_USEC_PER_SEC;
static const gint64 PROGRESS_US = 50 * 1000; /* a page cannot show more of it */

typedef enum job_state {
    JOB_WAITING,
    JOB_RUNNING,
    JOB_DONE,
    JOB_FAILED,
    JOB_CANCELLED,
} job_state;

static const char *const state_names[] = { "waiting", "running", "done", "failed",
                                           "cancelled" };

struct web_jobs {
    GMutex lock; /* over the queue and all that is in its jobs */
    GCond news;
    app *app;
    void (*changed)(void *data);
    void *data;
    GHashTable *by_id; /* holds a reference on each */
    GQueue waiting;    /* to be done, oldest first */
    GQueue over;       /* oldest first */
    GQueue running;    /* being done */
    bool stopping;
    GThread *threads[THREADS];
};

struct web_job {
    gatomicrefcount refs;
    web_jobs *jobs;
    char id[2 * ID_BYTES + 1];
    web_work work;
    atomic_bool stop;
    job_state state;
    double done;
    char *doing;
    json_t *partial; /* of the result so far, while it runs */
    json_t *result;
    GBytes *sheet;
    const char *sheet_type;
    GError *error;
    gint64 over_us;
    gint64 told_us;
    GPtrArray *tellers; /* seats that are told events */
    GPtrArray *waiters; /* seats that wait for the end */
};

void web_work_clear(web_work *work)
{
    g_free(work->sheet);
    json_decref(work->request);
    if (work->temporary != NULL)
        unlink(work->temporary);
    g_free(work->temporary);
    memset(work, 0, sizeof *work);
}

web_job *web_job_ref(web_job *job)
{
    g_atomic_ref_count_inc(&job->refs);
    return job;
}

void web_job_unref(web_job *job)
{
    if (!g_atomic_ref_count_dec(&job->refs))
        return;
    web_work_clear(&job->work);
    g_free(job->doing);
    json_decref(job->partial);
    json_decref(job->result);
    g_clear_pointer(&job->sheet, g_bytes_unref);
    g_clear_error(&job->error);
    g_ptr_array_unref(job->tellers);
    g_ptr_array_unref(job->waiters);
    g_free(job);
}

const char *web_job_id(const web_job *job)
{
    return job->id;
}

static bool is_over(const web_job *job)
{
    return job->state >= JOB_DONE;
}

/* With the lock held. */
static json_t *document_of(web_job *job)
{
    json_t *document = json_pack("{s:s, s:s, s:f, s:s}", "job", job->id, "state",
                                 state_names[job->state], "done", job->done, "doing",
                                 job->doing != NULL ? job->doing : "");
    if (job->partial != NULL)
        json_object_set(document, "partial", job->partial);
    if (job->result != NULL)
        json_object_set(document, "result", job->result);
    if (job->error != NULL) {
        json_t *error = app_error_document(job->error);
        json_object_update(document, error);
        json_decref(error);
    }
    return document;
}

/* With the lock held. */
static void tell(web_job *job, const char *event, bool latest)
{
    json_t *document = document_of(job);
    for (guint i = 0; i < job->tellers->len; i++)
        web_seat_say(job->tellers->pdata[i], event, document, latest);
    json_decref(document);
    job->told_us = g_get_monotonic_time();
}

/* With the lock held: the job is over and everyone who waits for it learns of it. */
static void end(web_job *job, job_state state)
{
    web_jobs *jobs = job->jobs;
    job->state = state;
    job->over_us = g_get_monotonic_time();
    if (state == JOB_DONE)
        job->done = 1;
    web_work_clear(&job->work);
    g_clear_pointer(&job->partial, json_decref);
    tell(job, state == JOB_DONE ? "done" : "failed", false);
    for (guint i = 0; i < job->tellers->len; i++)
        web_seat_end(job->tellers->pdata[i]);
    for (guint i = 0; i < job->waiters->len; i++)
        web_seat_end(job->waiters->pdata[i]);
    g_ptr_array_set_size(job->tellers, 0);
    g_ptr_array_set_size(job->waiters, 0);
    g_queue_push_tail(&jobs->over, job);
}

/* With the lock held. */
static void end_cancelled(web_job *job)
{
    g_clear_error(&job->error);
    g_set_error_literal(&job->error, MOTLEY_ERROR, MOTLEY_ERROR_CANCELLED,
                        "It was cancelled.");
    end(job, JOB_CANCELLED);
}

/* With the lock held: forgets what has been over for long. */
static void prune(web_jobs *jobs)
{
    gint64 now = g_get_monotonic_time();
    for (;;) {
        web_job *oldest = g_queue_peek_head(&jobs->over);
        if (oldest == NULL || (now - oldest->over_us < KEPT_US &&
                               g_queue_get_length(&jobs->over) <= MAX_OVER))
            return;
        g_queue_pop_head(&jobs->over);
        g_hash_table_remove(jobs->by_id, oldest->id);
    }
}

static void report(double done, const char *doing, void *data)
{
    web_job *job = data;
    WEB_LOCK(&job->jobs->lock);
    job->done = CLAMP(done, 0, 1);
    if (g_strcmp0(job->doing, doing) != 0) {
        g_free(job->doing);
        job->doing = g_strdup(doing);
    }
    if (g_get_monotonic_time() - job->told_us >= PROGRESS_US)
        tell(job, "progress", true);
}

/* Goes out with the progress that is told next. */
static void report_partial(json_t *partial, void *data)
{
    web_job *job = data;
    WEB_LOCK(&job->jobs->lock);
    json_decref(job->partial);
    job->partial = json_incref(partial);
}

static void run(web_job *job)
{
    web_jobs *jobs = job->jobs;
    app_call call = { .request = job->work.request,
                      .stop = &job->stop,
                      .progress = report,
                      .partial = report_partial,
                      .data = job };
    json_t *result = NULL;
    GBytes *sheet = NULL;
    const char *type = NULL;
    GError *error = NULL;
    bool changes = false;
    if (job->work.action != NULL) {
        changes = job->work.action->changes;
        if (!app_run_once(jobs->app, job->work.action, NULL, &call, &result, &error))
            result = NULL;
    } else {
        sheet = app_render(jobs->app, job->work.sheet, &call, &type, &error);
    }

    g_mutex_lock(&jobs->lock);
    g_queue_remove(&jobs->running, job);
    job->result = result;
    job->sheet = sheet;
    job->sheet_type = type;
    job->error = error;
    if (error == NULL)
        end(job, JOB_DONE);
    else if (g_error_matches(error, MOTLEY_ERROR, MOTLEY_ERROR_CANCELLED))
        end_cancelled(job);
    else
        end(job, JOB_FAILED);
    g_mutex_unlock(&jobs->lock);

    if (changes && jobs->changed != NULL)
        jobs->changed(jobs->data);
}

static gpointer work(gpointer data)
{
    web_jobs *jobs = data;
    g_mutex_lock(&jobs->lock);
    for (;;) {
        while (!jobs->stopping && g_queue_is_empty(&jobs->waiting))
            g_cond_wait(&jobs->news, &jobs->lock);
        if (jobs->stopping)
            break;
        g_autoptr(web_job) job = web_job_ref(g_queue_pop_head(&jobs->waiting));
        g_queue_push_tail(&jobs->running, job);
        job->state = JOB_RUNNING;
        tell(job, "progress", true);
        g_mutex_unlock(&jobs->lock);
        run(job);
        g_mutex_lock(&jobs->lock);
    }
    g_mutex_unlock(&jobs->lock);
    return NULL;
}

static void unref_job(gpointer data)
{
    web_job_unref(data);
}

web_jobs *web_jobs_new(app *self, void (*changed)(void *data), void *data)
{
    web_jobs *jobs = g_new0(web_jobs, 1);
    g_mutex_init(&jobs->lock);
    g_cond_init(&jobs->news);
    jobs->app = self;
    jobs->changed = changed;
    jobs->data = data;
    jobs->by_id = g_hash_table_new_full(g_str_hash, g_str_equal, NULL, unref_job);
    for (int i = 0; i < THREADS; i++)
        jobs->threads[i] = g_thread_new("web-job", work, jobs);
    return jobs;
}

void web_jobs_stop(web_jobs *jobs)
{
    g_mutex_lock(&jobs->lock);
    jobs->stopping = true;
    web_job *job;
    while ((job = g_queue_pop_head(&jobs->waiting)) != NULL)
        end_cancelled(job);
    for (GList *item = jobs->running.head; item != NULL; item = item->next)
        atomic_store(&((web_job *)item->data)->stop, true);
    g_cond_broadcast(&jobs->news);
    g_mutex_unlock(&jobs->lock);
    for (int i = 0; i < THREADS; i++)
        g_thread_join(jobs->threads[i]);
}

void web_jobs_free(web_jobs *jobs)
{
    g_queue_clear(&jobs->over);
    g_hash_table_unref(jobs->by_id);
    g_cond_clear(&jobs->news);
    g_mutex_clear(&jobs->lock);
    g_free(jobs);
}

static void unref_seat(gpointer data)
{
    web_seat_unref(data);
}

static web_job *job_new(web_jobs *jobs)
{
    web_job *job = g_new0(web_job, 1);
    g_atomic_ref_count_init(&job->refs);
    job->jobs = jobs;
    motley_secret(ID_BYTES, job->id);
    job->tellers = g_ptr_array_new_with_free_func(unref_seat);
    job->waiters = g_ptr_array_new_with_free_func(unref_seat);
    return job;
}

web_job *web_jobs_submit(web_jobs *jobs, web_work *work, GError **error)
{
    WEB_LOCK(&jobs->lock);
    prune(jobs);
    if (jobs->stopping || g_queue_get_length(&jobs->waiting) >= MAX_WAITING) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_BUSY,
                    "%u pieces of work wait already.",
                    g_queue_get_length(&jobs->waiting));
        return NULL;
    }
    web_job *job = job_new(jobs);
    job->work = *work;
    memset(work, 0, sizeof *work);
    g_hash_table_insert(jobs->by_id, job->id, job);
    g_queue_push_tail(&jobs->waiting, job);
    g_cond_signal(&jobs->news);
    return web_job_ref(job);
}

web_job *web_jobs_find(web_jobs *jobs, const char *id, GError **error)
{
    WEB_LOCK(&jobs->lock);
    prune(jobs);
    web_job *job = g_hash_table_lookup(jobs->by_id, id);
    if (job == NULL) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_WEB_NO_SUCH_JOB,
                    "There is no job %s.", id);
        return NULL;
    }
    return web_job_ref(job);
}

json_t *web_job_document(web_job *job)
{
    WEB_LOCK(&job->jobs->lock);
    return document_of(job);
}

void web_job_tell(web_job *job, web_seat *seat)
{
    WEB_LOCK(&job->jobs->lock);
    json_t *document = document_of(job);
    if (is_over(job)) {
        web_seat_say(seat, job->state == JOB_DONE ? "done" : "failed", document, false);
        web_seat_end(seat);
    } else {
        web_seat_say(seat, "progress", document, true);
        g_ptr_array_add(job->tellers, web_seat_ref(seat));
    }
    json_decref(document);
}

bool web_job_wait(web_job *job, web_seat *seat)
{
    WEB_LOCK(&job->jobs->lock);
    if (is_over(job) || !web_seat_wait(seat))
        return false;
    g_ptr_array_add(job->waiters, web_seat_ref(seat));
    return true;
}

void web_job_cancel(web_job *job)
{
    WEB_LOCK(&job->jobs->lock);
    atomic_store(&job->stop, true);
    if (job->state == JOB_WAITING && g_queue_remove(&job->jobs->waiting, job))
        end_cancelled(job);
}

GBytes *web_job_sheet(web_job *job, const char **ret_type, bool *ret_over, GError **error)
{
    WEB_LOCK(&job->jobs->lock);
    *ret_over = is_over(job);
    if (job->error != NULL)
        g_propagate_error(error, g_error_copy(job->error));
    if (job->sheet == NULL)
        return NULL;
    *ret_type = job->sheet_type;
    return g_bytes_ref(job->sheet);
}
